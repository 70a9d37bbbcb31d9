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

Each amount is kept twice: *before* the sale of its month (steps 1-2) and *after* it (step 4).
Amounts are expected money or events of one spell at constant prices, not discounted; all arrays
are (months + 1, draws). Costs are positive, receipts negative.

Left out: that a renewal is late, or that its price depends on the state of the roof (the damage
uncovered is counted by itself).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.deterioration import residual_share
from lifecycle.evaluation.hiding import Cohorts, Hidden, hidden_leaks, sign_chance
from lifecycle.evaluation.timeline import PUNCTURE, TOLERANCE, Start, Timeline, due_visits, timeline
from lifecycle.roofs import Leaks, Number, Roof

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Flow:
    """Expected amounts of one kind, by month of the spell: before and after a sale in that month."""

    before: Array
    after: Array


@dataclass(frozen=True)
class Standing:
    """Where the mass of a spell is.

    Parameters
    ----------
    start : ndarray, shape (months + 1, draws)
        Probability that the roof stands at the start of the month. [-]
    at_sale : ndarray
        That it stands after step 2, when a sale would happen. [-]
    renewed_before, renewed_after : ndarray
        That it is renewed in step 2; in step 4 by a forcing find. [-]
    changed : ndarray
        That it is stripped by the planned change. [-]
    life_ended : ndarray
        That its life ends by step 2(b), whatever else happens. [-]
    """

    start: Array
    at_sale: Array
    renewed_before: Array
    renewed_after: Array
    changed: Array
    life_ended: Array

    @property
    def renewed(self) -> Array:
        """Mass renewed in the month without a plan."""
        return self.renewed_before + self.renewed_after


@dataclass(frozen=True)
class Found:
    """Leaks found in a month by one step, given that the roof stands then.

    Parameters
    ----------
    by_class : ndarray, shape (4, months + 1, draws)
        Leaks found. [leaks]
    severe : ndarray, shape (months + 1, draws)
        Severe ones among them. [leaks]
    forcing : ndarray
        Those that force a renewal. [leaks]
    damage, insured : ndarray
        Their damage, and what insurance pays of it. [money]
    """

    by_class: Array
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
    course : Timeline
    hidden : Hidden
    by_signs, by_visits : Found
    standing : Standing
    flows : dict of str to Flow
        Category of cost or count -> expected amounts of the spell. Days and hours are counts here;
        upkeep is kept by visit name under ``"upkeep: NAME"``.
    found_at_sale : ndarray, shape (months + 1, draws)
        Hidden leaks found at a sale, expected over what stands. [money]
    """

    roof: Roof
    course: Timeline
    hidden: Hidden
    by_signs: Found
    by_visits: Found
    standing: Standing
    flows: dict[str, Flow]
    found_at_sale: Array

    def residual_value(self) -> Array:
        """Residual value at a sale in each month, expected over what stands. [money]"""
        if not np.any(self.roof.resale_share):
            return np.zeros_like(self.standing.at_sale)
        unused = residual_share(
            self.course.effective_age, shape=self.roof.life_shape, scale=self.roof.life_scale
        )
        return np.asarray(
            self.standing.at_sale * unused * np.asarray(self.roof.resale_share) * self.roof.renew_cost
        )


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
    leave_last: bool = False,
) -> Spell:
    """Run one roof from its start to its renewal or the end of the study.

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
        Month of the planned change. [months]
    hidden_at_start : Cohorts or None
        Leaks hidden in month 0.
    newly_laid : bool
        Whether it may be badly done, and whether month 0 is the day it is laid: nothing is due.
    change_cost, change_days : Number or None
        What its end costs; None: `renew_cost`, `renew_days`. [money, days]
    leave_last : bool
        Whether the visits of the last month are left to somebody else.

    Returns
    -------
    Spell
    """
    due = due_visits(roof.visits, start, months, planned)
    if newly_laid:
        due = ((), *due[1:])
    if leave_last:
        due = (*due[:-1], ())
    course = timeline(roof, start, due, draws)
    hidden = hidden_leaks(course, leaks, hidden_at_start)
    seen = np.broadcast_to(np.asarray(sign_chance(leaks)), course.misses.shape).copy()
    seen[0] = 0.0
    unseen = 1.0 - seen
    by_signs = _found(hidden, seen, leaks)
    by_visits = _found(hidden, unseen * (1.0 - course.misses), leaks)
    standing = _standing(roof, course, by_signs, by_visits, planned, newly_laid)
    flows = _flows(
        roof,
        leaks,
        course,
        hidden,
        unseen,
        by_signs,
        by_visits,
        standing,
        roof.renew_cost if change_cost is None else change_cost,
        roof.renew_days if change_days is None else change_days,
    )
    at_sale = _found_at_sale(roof, leaks, hidden, unseen, standing)
    return Spell(roof, course, hidden, by_signs, by_visits, standing, flows, at_sale)


def _found(hidden: Hidden, share: Array, leaks: Leaks) -> Found:
    """Return what is found if each open leak is found with probability `share`."""
    by_class = share * hidden.open
    severe = share * (hidden.severe + hidden.severe_end)
    forcing = share * hidden.severe + by_class[3]
    harm = _damage(by_class.sum(0), share * hidden.sound_open, leaks)
    return Found(by_class, severe, forcing, harm, share * hidden.insured_open)


def _damage(number: Array, sound: Array, leaks: Leaks) -> Array:
    """Damage of `number` leaks of which the part `sound` has not rotted yet. [money]"""
    return np.asarray(leaks.patch_cost * number + leaks.rot_cost * (number - sound))


def _standing(
    roof: Roof,
    course: Timeline,
    by_signs: Found,
    by_visits: Found,
    planned: int | None,
    newly_laid: bool,
) -> Standing:
    """Return the masses of the spell by month."""
    rows, draws = course.misses.shape
    month = np.arange(rows)[:, None]
    may_be_bad = newly_laid and bool(np.any(roof.defect_share))
    badly_done = np.asarray(roof.defect_share) if may_be_bad else 0.0
    failing = np.exp(-month / (12.0 * np.asarray(roof.defect_life))) if may_be_bad else np.ones((1, 1))
    mixture = np.broadcast_to((1.0 - badly_done) + badly_done * failing, (rows, draws))
    seen_in_time = (1.0 - np.asarray(roof.ends_by_leak)) * course.hazard
    survives_end = np.exp(-seen_in_time)
    survives_step_2 = survives_end * np.exp(-by_signs.forcing)
    survives_step_4 = np.exp(-by_visits.forcing)
    good = np.ones((rows + 1, draws))  # G at the start of each month, were there no planned change
    np.cumprod(survives_step_2 * survives_step_4, axis=0, out=good[1:])
    mixture_before = np.concatenate([mixture[:1], mixture[:-1]])

    start = good[:-1] * mixture_before
    at_sale = good[:-1] * survives_step_2 * mixture
    renewed_before = good[:-1] * (mixture_before - survives_step_2 * mixture)
    life_ended = good[:-1] * (mixture_before - survives_end * mixture)
    renewed_after = at_sale * (1.0 - survives_step_4)
    changed = np.zeros((rows, draws))
    if planned is not None and planned < rows:
        changed[planned] = at_sale[planned]
        renewed_after[planned] = 0.0
        for mass in (start, at_sale, renewed_before, renewed_after, life_ended):
            mass[planned + 1 :] = 0.0
    return Standing(start, at_sale, renewed_before, renewed_after, changed, life_ended)


def _flows(
    roof: Roof,
    leaks: Leaks,
    course: Timeline,
    hidden: Hidden,
    unseen: Array,
    by_signs: Found,
    by_visits: Found,
    standing: Standing,
    change_cost: Number,
    change_days: Number,
) -> dict[str, Flow]:
    """Return the expected money and counts of the spell, by category."""
    visited = standing.at_sale - standing.changed
    stripped_2, stripped_4 = standing.renewed_before, standing.renewed_after
    all_open = unseen  # share of the open leaks that is left after the signs
    left = unseen * course.misses  # ... and after the visits

    number = hidden.open.sum(0)
    silent = hidden.silent.sum(0)
    silent_harm = _damage(silent, hidden.sound_silent, leaks)
    open_harm = _damage(number, hidden.sound_open, leaks)
    covered_open = number - hidden.open[PUNCTURE]
    covered_silent = silent - hidden.silent[PUNCTURE]

    def uncovered(of_open: Array, of_silent: Array) -> tuple[Array, Array]:
        """Weigh what stripping uncovers, in step 2 and in step 4."""
        in_step_2 = stripped_2 * (all_open * of_open + of_silent)
        in_step_4 = stripped_4 * (left * of_open + of_silent)
        return in_step_2, in_step_4 + standing.changed * (all_open * of_open + of_silent)

    def flow(by_sign: Array, by_visit: Array, of_open: Array, of_silent: Array) -> Flow:
        """Add what is found and what is uncovered."""
        in_step_2, in_step_4 = uncovered(of_open, of_silent)
        return Flow(standing.start * by_sign + in_step_2, visited * by_visit + in_step_4)

    flows: dict[str, Flow] = {}
    nothing = np.zeros_like(standing.start)
    flows["renewal"] = Flow(change_cost * stripped_2, change_cost * (stripped_4 + standing.changed))
    flows["leak damage"] = flow(by_signs.damage, by_visits.damage, open_harm, silent_harm)
    if np.any(leaks.insured_share):
        paid = flow(by_signs.insured, by_visits.insured, hidden.insured_open, hidden.insured_silent)
        flows["insurance"] = Flow(-paid.before, -paid.after)
    if np.any(roof.warranty_share):
        under = course.calendar_age[:, None] <= 12.0 * np.asarray(roof.warranty_years) + TOLERANCE
        share = np.asarray(roof.warranty_share) * under
        mended = flow(
            by_signs.by_class.sum(0) - by_signs.by_class[PUNCTURE],
            by_visits.by_class.sum(0) - by_visits.by_class[PUNCTURE],
            covered_open,
            covered_silent,
        )
        ended = roof.renew_cost * standing.life_ended
        flows["warranty"] = Flow(
            -share * (leaks.patch_cost * mended.before + ended), -share * leaks.patch_cost * mended.after
        )
    if np.any(roof.energy_cost):
        energy = standing.start * np.asarray(roof.energy_cost) / 12.0
        energy[0] = 0.0
        flows["energy"] = Flow(energy, nothing)

    days_signs, severe_signs = _find_days(by_signs, leaks)
    days_visits, severe_visits = _find_days(by_visits, leaks)
    visit_days, visit_hours = nothing.copy(), nothing.copy()
    for month, day in enumerate(course.due):
        for visit in day:
            visit_days[month] += visit.days
            visit_hours[month] += visit.hours
            key = f"upkeep: {visit.name}"
            if key not in flows:
                flows[key] = Flow(nothing, nothing.copy())
            flows[key].after[month] += visited[month] * visit.cost
    flows["days"] = Flow(
        standing.start * days_signs + change_days * stripped_2,
        visited * (days_visits + visit_days) + change_days * (stripped_4 + standing.changed),
    )
    flows["hours"] = Flow(nothing, visited * visit_hours)
    started = course.born.sum(0)
    flows["leaks"] = Flow(standing.start * started, nothing)
    flows["severe finds"] = Flow(standing.start * severe_signs, visited * severe_visits)
    flows["renewals"] = Flow(stripped_2, stripped_4 + standing.changed)
    return flows


def _find_days(found: Found, leaks: Leaks) -> tuple[Array, Array]:
    """Return days out of use for the finds of one step, and the chance of a severe find."""
    severe_find = 1.0 - np.exp(-found.severe)
    not_severe = found.by_class.sum(0) - found.severe
    return leaks.patch_days * not_severe + leaks.severe_days * severe_find, severe_find


def _found_at_sale(roof: Roof, leaks: Leaks, hidden: Hidden, unseen: Array, standing: Standing) -> Array:
    """Return what a buyer takes off for hidden leaks, expected over what stands. [money]"""
    if not np.any(leaks.found_at_sale):
        return np.zeros_like(unseen)
    number = unseen * hidden.open.sum(0) + hidden.silent.sum(0)
    sound = unseen * hidden.sound_open + hidden.sound_silent
    grave = unseen * (hidden.severe + hidden.open[3])
    share = np.asarray(leaks.found_at_sale)
    stripped = 1.0 - np.exp(-share * grave)
    return np.asarray(standing.at_sale * (share * _damage(number, sound, leaks) + stripped * roof.renew_cost))
