"""What a spell costs and counts in each month, on average: by category, before and after a sale.

Lecture
-------
Each amount is the mass of the roof that meets it times what is met, for what is found is independent of
what is not::

    before the sale   standing x found by signs  +  renewed x uncovered by stripping
    after it          visited x found by visits  +  renewed now, or changed, x uncovered

Before the sale of a month (steps 1-2) there is an amount for every month, after it (step 4) for the few
months in which something is done. Amounts are expected money or events of one spell at constant prices,
not discounted. Costs are positive, receipts negative.

Left out: the price of days and hours, and discounting (`ledger`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lifecycle.evaluation.hiding import Hidden
from lifecycle.evaluation.standing import Found, Standing, damage_of
from lifecycle.evaluation.timeline import TOLERANCE, Timeline
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Leaks, Number, Roof


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


_Three = tuple[Array, Array | None, Array | None]


@dataclass(frozen=True)
class Uncovered:
    """What stripping uncovers: damage, leaks but punctures, insured; in step 2, and by day in step 4.

    `stripped` is after the visits of the day, `changed` is without them. What nobody asks for (no
    warranty, no insurance) is None.
    """

    before: _Three
    stripped: _Three
    changed: _Three


def uncovered_by(roof: Roof, hidden: Hidden, unseen: Array, course: Timeline, leaks: Leaks) -> Uncovered:
    """Return what stripping would uncover in each month, given that the roof stands.

    Parameters
    ----------
    roof : Roof
        The roof.
    hidden : Hidden
        What it hides.
    unseen : ndarray, shape (months + 1, 1 or draws)
        Chance that the signs of the month miss an open leak. [-]
    course : Timeline
        Its ages, visits and starting leaks by month.
    leaks : Leaks
        Leak figures.

    Returns
    -------
    Uncovered
    """
    days = course.days
    warranted, insured = np.any(roof.warranty_share), np.any(leaks.insured_share)

    def at(rows: Whole | slice, left: Array) -> _Three:
        def both(openly: Array, silently: Array) -> Array:
            found: Array = left * openly[rows]
            found += silently[rows]
            return found

        number = both(hidden.open, hidden.silent)
        return (
            damage_of(number, both(hidden.sound_open, hidden.sound_silent), leaks),
            number - both(hidden.open_puncture, hidden.silent_puncture) if warranted else None,
            both(hidden.insured_open, hidden.insured_silent) if insured else None,
        )

    return Uncovered(at(slice(None), unseen), at(days, unseen[days] * course.misses), at(days, unseen[days]))


FLOWS = ("renewal", "leak damage", "insurance", "warranty", "energy", "upkeep", "days", "hours")
"""Categories of cost that one roof gives, in the order in which a spell writes them."""


def flows_of(
    roof: Roof,
    leaks: Leaks,
    course: Timeline,
    standing: Standing,
    by_signs: Found,
    by_visits: Found,
    uncovered: Uncovered,
    change_cost: Number,
    change_days: Number,
) -> dict[str, Flow]:
    """Return the expected money, days and hours of a spell, by category.

    Parameters
    ----------
    roof : Roof
        The roof.
    leaks : Leaks
        Leak figures.
    course : Timeline
        Its ages, visits and starting leaks by month.
    standing : Standing
        Where its mass is.
    by_signs, by_visits : Found
        What signs find in each month, and visits on each day.
    uncovered : Uncovered
        What stripping would uncover.
    change_cost, change_days : Number
        What its end costs. [money, days]

    Returns
    -------
    dict of str to Flow
        Upkeep by visit name under ``"upkeep: NAME"``.
    """
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
        share = -np.asarray(roof.warranty_honoured) * roof.warranty_share * under
        before, after = found(by_signs.number - by_signs.puncture, by_visits.number - by_visits.puncture, 1)
        before = leaks.patch_cost * before + roof.renew_cost * standing.life_ended
        after = leaks.patch_cost * after
        if np.any(roof.warranty_leaking_ends):
            for_ends = np.asarray(roof.warranty_leaking_ends) * roof.renew_cost
            before += for_ends * start * _ended_by_leak(by_signs)
            after += for_ends * visited * _ended_by_leak(by_visits)
        flows["warranty"] = Flow(share * before, share[course.days] * after)
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


def _ended_by_leak(found: Found) -> Array:
    """Return the expected share of end leaks among the forcing finds of one step; 0 if there are none."""
    share: Array = -np.expm1(-found.forcing) * found.ends
    return np.divide(share, found.forcing, out=np.zeros_like(share), where=found.forcing > 0.0)


def _find_days(found: Found, leaks: Leaks) -> Array:
    """Return days out of use for the finds of one step."""
    days: Array = leaks.patch_days * (found.number - found.severe)
    days -= leaks.severe_days * np.expm1(-found.severe)
    return days
