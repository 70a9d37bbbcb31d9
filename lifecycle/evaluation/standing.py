"""What is found on a roof that stands, by signs and by visits, and the chance that it stands.

Lecture
-------
What is found in a step is Poisson: each open leak is found with a probability of its own, so the share of
a mean is the mean of the share. A severe leak or an end leak that is found forces a renewal. With

- ``F(t)``  forcing finds by signs in month t, ``V(t)`` those by the visits of the day,
- ``h(t)``  the part of the increase of the hazard that is seen in time,

a well done roof stands at the start of month t + 1 with probability
``G(t + 1) = G(t) exp(-h(t) - F(t)) exp(-V(t))``, and any roof with ``G(t) w(t)``, where
``w(t) = (1 - p) + p exp(-t / (12 defect_life))`` is the mixture of a good and a badly done one
(p = `defect_share`).

Left out: money (`flows`), and the order of the steps of a month (`spell`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lifecycle.evaluation.hiding import Hidden, sign_chance
from lifecycle.evaluation.timeline import Timeline
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Leaks, Roof


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
    severe, forcing, ends : ndarray, shape (rows, draws)
        Severe ones; those that force a renewal; end leaks, all of which do. [leaks]
    damage, insured : ndarray, shape (rows, draws)
        Their damage, and what insurance pays of it. [money]
    """

    number: Array
    puncture: Array
    severe: Array
    forcing: Array
    ends: Array
    damage: Array
    insured: Array


def signs_seen(leaks: Leaks, months: Whole) -> Array:
    """Chance that signs show an open leak in some months; there are none in month 0.

    Parameters
    ----------
    leaks : Leaks
        Leak figures.
    months : ndarray of int, shape (months,)
        Which. [months]

    Returns
    -------
    ndarray, shape (months, 1 or draws)
        Probability. [-]
    """
    return np.asarray(np.where(months[:, None] > 0, sign_chance(leaks), 0.0))


def damage_of(number: Array, sound: Array, leaks: Leaks) -> Array:
    """Return the damage of leaks.

    Parameters
    ----------
    number, sound : ndarray, shape (...)
        How many leaks; the part of them that has not rotted yet. [leaks]
    leaks : Leaks
        Leak figures.

    Returns
    -------
    ndarray, shape (...)
        Before insurance and warranty. [money]
    """
    harm: Array = number * (np.asarray(leaks.patch_cost) + leaks.rot_cost)
    harm -= leaks.rot_cost * sound
    return harm


def found_in(hidden: Hidden, rows: Whole, share: Array, leaks: Leaks) -> Found:
    """Return what is found in some months if each open leak is found with some probability.

    Parameters
    ----------
    hidden : Hidden
        What the roof hides.
    rows : ndarray of int, shape (rows,)
        Months; as many as there are: all of them. [months]
    share : ndarray, shape (rows, 1 or draws)
        The probability. [-]
    leaks : Leaks
        Leak figures.

    Returns
    -------
    Found
    """
    some: Whole | slice = rows if rows.size < hidden.open.shape[0] else slice(None)
    found = share * hidden.open[some]
    severe = share * hidden.severe[some]
    ends = share * hidden.open_end[some]
    return Found(
        found,
        share * hidden.open_puncture[some],
        severe + share * hidden.severe_end[some],
        severe + ends,
        ends,
        damage_of(found, share * hidden.sound_open[some], leaks),
        share * hidden.insured_open[some] if np.any(leaks.insured_share) else found,
    )


def standing_of(
    roof: Roof,
    course: Timeline,
    by_signs: Found,
    by_visits: Found,
    planned: int | None,
    newly_laid: bool,
) -> Standing:
    """Return the masses of a spell by month.

    Parameters
    ----------
    roof : Roof
        The roof.
    course : Timeline
        Its ages, visits and starting leaks by month.
    by_signs, by_visits : Found
        What signs find in each month, and visits on each day.
    planned : int or None
        Month of the planned change, the last one. [months]
    newly_laid : bool
        Whether it may be badly done.

    Returns
    -------
    Standing
    """
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
