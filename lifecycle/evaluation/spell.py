"""One roof from the day it is laid (or from today) until it is renewed: money, events, masses.

Lecture
-------
A spell's course (`timeline`) and its hidden leaks (`hiding`) are settled as long as the roof
stands. What is found, and the chance that it stands, follow from them (`standing`), and from these
what it costs (`flows`). In month t, in this order:

1. Signs show open leaks with probability q. Finding a severe leak or an end leak forces a renewal.
2. The roof is renewed with probability ``1 - exp(-(a + b))``; a: forcing finds by signs, b: the part
   of the increase of the hazard that is seen in time, and ``1 / (12 defect_life)`` if badly done.
   Stripping uncovers all that is still hidden.
3. A sale would happen here.
4. If the roof stands, a planned change strips it, or else the visits find open leaks; a forcing
   find renews the roof now.

What is found is Poisson and independent of what is not: so the damage found does not depend on
whether the roof is renewed, and the damage uncovered does not depend on what forced the renewal.

Left out: that a renewal is late, or that its price depends on the state of the roof (the damage
uncovered is counted by itself).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lifecycle.deterioration import residual_share
from lifecycle.evaluation.flows import Flow, flows_of, uncovered_by
from lifecycle.evaluation.hiding import Cohorts, Hidden, hidden_leaks
from lifecycle.evaluation.standing import Found, Standing, damage_of, found_in, signs_seen, standing_of
from lifecycle.evaluation.timeline import Start, Timeline, due_visits, timeline
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Leaks, Number, Roof, Visit


@dataclass(frozen=True)
class Spell:
    """One roof's spell: its course, its hidden leaks, what is found, and where its mass is.

    Parameters
    ----------
    roof : Roof
        The roof.
    leaks : Leaks
        The leak figures.
    course : Timeline
        Its ages, visits and starting leaks by month.
    hidden : Hidden
        What it hides, before the signs of each month.
    by_signs, by_visits : Found
        What signs find in each month, and visits on each day.
    standing : Standing
        Where its mass is.
    flows : dict of str to Flow
        Category of cost -> expected amounts of the spell. Days and hours are counts here; upkeep is
        kept by visit name under ``"upkeep: NAME"``.
    """

    roof: Roof
    leaks: Leaks
    course: Timeline
    hidden: Hidden
    by_signs: Found
    by_visits: Found
    standing: Standing
    flows: dict[str, Flow]

    @property
    def days(self) -> Whole:
        """Months in which something is done. [months]"""
        return self.course.days

    @property
    def found(self) -> Array:
        """Leaks that signs and jobs find, given that the roof stands, shape (draws,). [leaks]"""
        steps = (self.by_signs, self.by_visits)
        return np.asarray(sum((step.number - step.forcing).sum(axis=0) for step in steps))

    def renewed(self, rows: int) -> Array:
        """Mass renewed without a plan in each month, shape (rows, draws)."""
        return self._dense(rows, self.standing.renewed_after)

    def ended(self, rows: int) -> Array:
        """Mass that ends in each month, planned or not, shape (rows, draws)."""
        return self._dense(rows, self.standing.renewed_after + self.standing.changed)

    def _dense(self, rows: int, on_days: Array) -> Array:
        """Add what happens on days to what happens before a sale, and fill up with zeros."""
        mass = np.zeros((rows, on_days.shape[1]))
        mass[: self.standing.start.shape[0]] = self.standing.renewed_before
        mass[self.days] += on_days
        return mass

    @cached_property
    def counts(self) -> dict[str, Flow]:
        """Expected numbers of renewals, leaks that start and severe finds, which have no price themselves."""
        standing, nothing = self.standing, np.zeros_like(self.standing.changed)
        visited = standing.at_sale[self.days] - standing.changed
        by_signs, by_visits = (-np.expm1(-found.severe) for found in (self.by_signs, self.by_visits))
        return {
            "renewals": Flow(standing.renewed_before, standing.renewed_after + standing.changed),
            "leaks": Flow(standing.start * self.course.born.sum(0), nothing),
            "severe finds": Flow(standing.start * by_signs, visited * by_visits),
        }

    @cached_property
    def sold_at_any_age(self) -> tuple[Array, Array]:
        """Leaks found at a sale and residual value in every month, (months + 1, draws). [money]"""
        every = np.arange(self.standing.start.shape[0])
        return self.found_at_sale(every), self.residual_value(every)

    def residual_value(self, months: Whole) -> Array:
        """Residual value at a sale in some months, expected over what stands. [money]"""
        stands = self.standing.at_sale[months]
        if not np.any(self.roof.resale_share):
            return np.zeros_like(stands)
        unused = residual_share(
            self.course.effective_age[months], shape=self.roof.life_shape, scale=self.roof.life_scale
        )
        return np.asarray(stands * unused * np.asarray(self.roof.resale_share) * self.roof.renew_cost)

    def found_at_sale(self, months: Whole) -> Array:
        """Return what a buyer takes off for hidden leaks in some months, over what stands. [money]"""
        stands = self.standing.at_sale[months]
        share = np.asarray(self.leaks.found_at_sale)
        if not np.any(share):
            return np.zeros_like(stands)
        hidden = self.hidden
        unseen = 1.0 - signs_seen(self.leaks, months)
        number = unseen * hidden.open[months] + hidden.silent[months]
        sound = unseen * hidden.sound_open[months] + hidden.sound_silent[months]
        grave = unseen * (hidden.severe[months] + hidden.open_end[months])
        stripped = 1.0 - np.exp(-share * grave)
        harm = share * damage_of(number, sound, self.leaks)
        return np.asarray(stands * (harm + stripped * self.roof.renew_cost))


def run_spell(
    roof: Roof,
    leaks: Leaks,
    *,
    start: Start,
    months: int,
    draws: int,
    planned: int | None = None,
    hidden_at_start: Cohorts | None = None,
    newly_laid: bool = True,
    change_cost: Number | None = None,
    change_days: Number | None = None,
    due: tuple[tuple[Visit, ...], ...] | None = None,
) -> Spell:
    """Run one roof from its start to its planned change or the end of the study.

    Parameters
    ----------
    roof : Roof
        The roof.
    leaks : Leaks
        Leak figures.
    start : Start
        How it stands in month 0.
    months : int
        Length of the study. [months]
    draws : int
        Number of draws.
    planned : int or None
        Month of the planned change; the spell ends with it. [months]
    hidden_at_start : Cohorts or None
        Leaks hidden in month 0.
    newly_laid : bool
        Whether it may be badly done.
    change_cost, change_days : Number or None
        What its end costs; None: `renew_cost`, `renew_days`. [money, days]
    due : tuple, length months + 1, or None
        Visits of each month; None: those of a roof laid in month 0.

    Returns
    -------
    Spell
        Arrays by month have min(months, planned) + 1 rows.
    """
    planned_row = None if planned is not None and planned > months else planned
    last = months if planned_row is None else planned_row
    course = timeline(roof, start, due or due_visits(roof, last, planned=planned), draws, planned_row)
    hidden = hidden_leaks(course, leaks, hidden_at_start)
    every_month = np.arange(last + 1)
    seen = signs_seen(leaks, every_month)
    by_signs = found_in(hidden, every_month, seen, leaks)
    unseen = 1.0 - seen[course.days]
    by_visits = found_in(hidden, course.days, unseen * (1.0 - course.misses), leaks)
    standing = standing_of(roof, course, by_signs, by_visits, planned_row, newly_laid)
    flows = flows_of(
        roof,
        leaks,
        course,
        standing,
        by_signs,
        by_visits,
        uncovered_by(roof, hidden, 1.0 - seen, course, leaks),
        roof.renew_cost if change_cost is None else change_cost,
        roof.renew_days if change_days is None else change_days,
    )
    return Spell(roof, leaks, course, hidden, by_signs, by_visits, standing, flows)
