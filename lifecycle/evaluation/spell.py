"""One roof from the day it is laid (or from today) until it is renewed: money, events, masses.

Lecture
-------
A spell's course (`timeline`) and its hidden leaks (`hiding`) are settled as long as the roof
stands. This room adds the chance that it stands, and so what a spell costs, on average, in each
month. In month t, in this order:

1. Signs show open leaks with probability q. Finding a severe leak or an end leak forces a renewal.
2. The roof is renewed with probability ``1 - exp(-(a + b))``; a: forcing finds by signs, b: the part
   of the increase of the hazard that is seen in time, and ``1 / (12 defect_life)`` if badly done.
   Stripping uncovers all that is still hidden.
3. A sale would happen here.
4. If the roof stands, a planned change strips it, or else the visits find open leaks; a forcing
   find renews the roof now.

What is found is Poisson and independent of what is not: so the damage found does not depend on
whether the roof is renewed, and the damage uncovered does not depend on what forced the renewal.

With S the standing mass, ``w(t) = (1 - p) + p exp(-t / (12 defect_life))`` the mixture of a good
and a badly done roof (p = `defect_share`), a roof that would stand by all other causes with
probability G(t) stands with probability ``G(t) w(t)``.

Each amount is kept twice: *before* the sale of its month (steps 1-2), for every month, and *after*
it (step 4), for the few months in which something is done. Amounts are expected money or events of
one spell at constant prices, not discounted. Costs are positive, receipts negative.

Left out: that a renewal is late, or that its price depends on the state of the roof (the damage
uncovered is counted by itself).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lifecycle.deterioration import residual_share
from lifecycle.evaluation.hiding import Cohorts, Hidden, hidden_leaks, sign_chance
from lifecycle.evaluation.timeline import TOLERANCE, Start, Timeline, due_visits, timeline
from lifecycle.roofs import Leaks, Number, Roof, Visit

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Flow:
    """Expected amounts of one kind in a spell.

    Parameters
    ----------
    before : ndarray, shape (months + 1, draws), or None
        Before a sale in the month: steps 1 and 2; None: nothing.
    after : ndarray, shape (days, draws)
        After it: step 4, in the months in which something is done (`Timeline.days`).
    """

    before: Array | None
    after: Array


@dataclass(frozen=True)
class Standing:
    """Where the mass of a spell is.

    Parameters
    ----------
    start : ndarray, shape (months + 1, draws)
        Probability that the roof stands at the start of the month. [-]
    at_sale : ndarray, shape (months + 1, draws)
        That it stands after step 2, when a sale would happen. [-]
    renewed_before : ndarray, shape (months + 1, draws)
        That it is renewed in step 2. [-]
    renewed_after : ndarray, shape (days, draws)
        That it is renewed in step 4 by a forcing find. [-]
    changed : ndarray, shape (days, draws)
        That it is stripped by the planned change. [-]
    life_ended : ndarray, shape (months + 1, draws)
        That its life ends by step 2(b), whatever else happens. [-]
    """

    start: Array
    at_sale: Array
    renewed_before: Array
    renewed_after: Array
    changed: Array
    life_ended: Array


@dataclass(frozen=True)
class Found:
    """Leaks found by one step, given that the roof stands then; by month, or by day of visits.

    Parameters
    ----------
    number, puncture : ndarray, shape (rows, draws)
        Leaks found; punctures among them. [leaks]
    severe, forcing : ndarray, shape (rows, draws)
        Severe ones; those that force a renewal. [leaks]
    damage, insured : ndarray, shape (rows, draws)
        Their damage, and what insurance pays of it. [money]
    """

    number: Array
    puncture: Array
    severe: Array
    forcing: Array
    damage: Array
    insured: Array


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
        Its settled course.
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
    def days(self) -> NDArray[np.int64]:
        """Months in which something is done. [months]"""
        return self.course.days

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

    def residual_value(self, months: NDArray[np.int64]) -> Array:
        """Residual value at a sale in some months, expected over what stands. [money]"""
        stands = self.standing.at_sale[months]
        if not np.any(self.roof.resale_share):
            return np.zeros_like(stands)
        unused = residual_share(
            self.course.effective_age[months], shape=self.roof.life_shape, scale=self.roof.life_scale
        )
        return np.asarray(stands * unused * np.asarray(self.roof.resale_share) * self.roof.renew_cost)

    def found_at_sale(self, months: NDArray[np.int64]) -> Array:
        """Return what a buyer takes off for hidden leaks in some months, over what stands. [money]"""
        stands = self.standing.at_sale[months]
        share = np.asarray(self.leaks.found_at_sale)
        if not np.any(share):
            return np.zeros_like(stands)
        hidden = self.hidden
        unseen = 1.0 - _signs(self.leaks, months)
        number = unseen * hidden.open[months] + hidden.silent[months]
        sound = unseen * hidden.sound_open[months] + hidden.sound_silent[months]
        grave = unseen * (hidden.severe[months] + hidden.open_end[months])
        stripped = 1.0 - np.exp(-share * grave)
        harm = share * _damage(number, sound, self.leaks)
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
        Whether it may be badly done, and whether month 0 is the day it is laid: nothing is due.
    change_cost, change_days : Number or None
        What its end costs; None: `renew_cost`, `renew_days`. [money, days]
    due : tuple, length months + 1, or None
        Visits of each month; None: by the plan of the roof and the clocks of `start`.

    Returns
    -------
    Spell
        Arrays by month have min(months, planned) + 1 rows.
    """
    planned_row = None if planned is not None and planned > months else planned
    last = months if planned_row is None else planned_row
    if due is None:
        due = due_visits(roof.visits, start, last, planned)
        due = ((), *due[1:]) if newly_laid else due
    course = timeline(roof, start, due, draws, planned_row)
    hidden = hidden_leaks(course, leaks, hidden_at_start)
    every_month = np.arange(last + 1)
    seen = _signs(leaks, every_month)
    by_signs = _found(hidden, every_month, seen, leaks)
    unseen = 1.0 - seen[course.days]
    by_visits = _found(hidden, course.days, unseen * (1.0 - course.misses), leaks)
    standing = _standing(roof, course, by_signs, by_visits, planned_row, newly_laid)
    flows = _flows(
        roof,
        leaks,
        course,
        standing,
        by_signs,
        by_visits,
        _uncovered(roof, hidden, 1.0 - seen, course, leaks),
        roof.renew_cost if change_cost is None else change_cost,
        roof.renew_days if change_days is None else change_days,
    )
    return Spell(roof, leaks, course, hidden, by_signs, by_visits, standing, flows)


def _signs(leaks: Leaks, months: NDArray[np.int64]) -> Array:
    """Chance that signs show an open leak in some months; none in month 0; shape (months, 1 or draws)."""
    return np.asarray(np.where(months[:, None] > 0, sign_chance(leaks), 0.0))


def _damage(number: Array, sound: Array, leaks: Leaks) -> Array:
    """Damage of `number` leaks of which the part `sound` has not rotted yet. [money]"""
    harm: Array = number * (np.asarray(leaks.patch_cost) + leaks.rot_cost)
    harm -= leaks.rot_cost * sound
    return harm


def _found(hidden: Hidden, rows: NDArray[np.int64], share: Array, leaks: Leaks) -> Found:
    """Return what is found in some months if each open leak is found with probability `share`."""
    some: NDArray[np.int64] | slice = rows if rows.size < hidden.open.shape[0] else slice(None)
    found = share * hidden.open[some]
    severe = share * hidden.severe[some]
    return Found(
        found,
        share * hidden.open_puncture[some],
        severe + share * hidden.severe_end[some],
        severe + share * hidden.open_end[some],
        _damage(found, share * hidden.sound_open[some], leaks),
        share * hidden.insured_open[some] if np.any(leaks.insured_share) else found,
    )


_Three = tuple[Array, Array | None, Array | None]


@dataclass(frozen=True)
class _Uncovered:
    """What stripping uncovers: damage, leaks but punctures, insured; in step 2, and by day in step 4.

    `stripped` is after the visits of the day, `changed` is without them. What nobody asks for (no
    warranty, no insurance) is None.
    """

    before: _Three
    stripped: _Three
    changed: _Three


def _uncovered(roof: Roof, hidden: Hidden, unseen: Array, course: Timeline, leaks: Leaks) -> _Uncovered:
    """Return what stripping would uncover in each month, given that the roof stands."""
    days = course.days
    warranted, insured = np.any(roof.warranty_share), np.any(leaks.insured_share)

    def at(rows: NDArray[np.int64] | slice, left: Array) -> _Three:
        def both(openly: Array, silently: Array) -> Array:
            found: Array = left * openly[rows]
            found += silently[rows]
            return found

        number = both(hidden.open, hidden.silent)
        return (
            _damage(number, both(hidden.sound_open, hidden.sound_silent), leaks),
            number - both(hidden.open_puncture, hidden.silent_puncture) if warranted else None,
            both(hidden.insured_open, hidden.insured_silent) if insured else None,
        )

    return _Uncovered(at(slice(None), unseen), at(days, unseen[days] * course.misses), at(days, unseen[days]))


def _standing(
    roof: Roof,
    course: Timeline,
    by_signs: Found,
    by_visits: Found,
    planned: int | None,
    newly_laid: bool,
) -> Standing:
    """Return the masses of the spell by month."""
    rows, draws = by_signs.number.shape
    mixture = _mixture(roof, rows, newly_laid)
    seen_in_time = (1.0 - np.asarray(roof.ends_by_leak)) * course.hazard
    survives = np.exp(-(seen_in_time + by_signs.forcing))
    no_find = np.exp(-by_visits.forcing)
    on_day = dict(zip(course.days.tolist(), no_find, strict=True))
    good = np.ones((rows + 1, draws))  # at the start of each month, if well done
    for month in range(rows):
        np.multiply(good[month], survives[month], out=good[month + 1])
        if month in on_day:
            good[month + 1] *= on_day[month]

    start = good[:-1] * mixture[:-1]
    at_sale = good[:-1] * survives
    at_sale *= mixture[1:]
    changed = np.zeros_like(no_find)
    renewed_after = at_sale[course.days] * (1.0 - no_find)
    if planned is not None:
        changed[-1], renewed_after[-1] = at_sale[planned], 0.0
    life_ended = start
    if np.any(roof.warranty_share):
        life_ended = start - good[:-1] * np.exp(-seen_in_time) * mixture[1:]
    return Standing(start, at_sale, start - at_sale, renewed_after, changed, life_ended)


def _mixture(roof: Roof, rows: int, newly_laid: bool) -> Array:
    """Return w(t) at the start and the end of each month, one row after the other, (rows + 1, draws)."""
    if not newly_laid or not np.any(roof.defect_share):
        return np.ones((rows + 1, 1))
    share = np.asarray(roof.defect_share)
    month = np.maximum(0, np.arange(-1, rows))[:, None]
    return np.asarray(1.0 - share + share * np.exp(-month / (12.0 * np.asarray(roof.defect_life))))


def _flows(
    roof: Roof,
    leaks: Leaks,
    course: Timeline,
    standing: Standing,
    by_signs: Found,
    by_visits: Found,
    uncovered: _Uncovered,
    change_cost: Number,
    change_days: Number,
) -> dict[str, Flow]:
    """Return the expected money, days and hours of the spell, by category."""
    start, stripped = standing.start, standing.renewed_before
    visited = standing.at_sale[course.days] - standing.changed
    ended = standing.renewed_after + standing.changed

    def found(by_sign: Array, by_visit: Array, kind: int) -> tuple[Array, Array]:
        """Add what is found and what stripping uncovers."""
        parts = (uncovered.before[kind], uncovered.stripped[kind], uncovered.changed[kind])
        bare, stripped_now, changed_now = (part for part in parts if part is not None)
        before = start * by_sign
        before += stripped * bare
        after = visited * by_visit
        after += standing.renewed_after * stripped_now
        after += standing.changed * changed_now
        return before, after

    flows: dict[str, Flow] = {}
    flows["renewal"] = Flow(change_cost * stripped, change_cost * ended)
    flows["leak damage"] = Flow(*found(by_signs.damage, by_visits.damage, 0))
    if np.any(leaks.insured_share):
        before, after = found(by_signs.insured, by_visits.insured, 2)
        flows["insurance"] = Flow(-before, -after)
    if np.any(roof.warranty_share):
        under = course.calendar_age[:, None] <= 12.0 * np.asarray(roof.warranty_years) + TOLERANCE
        share = -np.asarray(roof.warranty_share) * under
        before, after = found(by_signs.number - by_signs.puncture, by_visits.number - by_visits.puncture, 1)
        flows["warranty"] = Flow(
            share * (leaks.patch_cost * before + roof.renew_cost * standing.life_ended),
            share[course.days] * leaks.patch_cost * after,
        )
    if np.any(roof.energy_cost):
        energy = start * (np.asarray(roof.energy_cost) / 12.0)
        energy[0] = 0.0
        flows["energy"] = Flow(energy, np.zeros_like(visited))

    upkeep, visit_days, visit_hours = _work(course, visited)
    flows.update({f"upkeep: {name}": Flow(None, paid_for) for name, paid_for in upkeep.items()})
    out_of_use = start * _find_days(by_signs, leaks)
    out_of_use += change_days * stripped
    on_days = visited * (_find_days(by_visits, leaks) + visit_days) + change_days * ended
    flows["days"] = Flow(out_of_use, on_days)
    flows["hours"] = Flow(None, visited * visit_hours)
    return flows


def _work(course: Timeline, visited: Array) -> tuple[dict[str, Array], Array, Array]:
    """Return the price of the visits by name, and days and hours of one visited roof; (days, draws)."""
    upkeep: dict[str, Array] = {}
    days, hours = np.zeros_like(visited), np.zeros_like(visited)
    for place, month in enumerate(course.days.tolist()):
        for visit in course.due[month]:
            days[place] += visit.days
            hours[place] += visit.hours
            paid = upkeep.setdefault(visit.name, np.zeros_like(visited))
            paid[place] += visited[place] * visit.cost
    return upkeep, days, hours


def _find_days(found: Found, leaks: Leaks) -> Array:
    """Return days out of use for the finds of one step."""
    days: Array = leaks.patch_days * (found.number - found.severe)
    days -= leaks.severe_days * np.expm1(-found.severe)
    return days
