"""Leaks that nobody has found yet: how many a standing roof hides, and for how long.

Lecture
-------
Leaks that start in month m are a *cohort*; in month t they have been hidden for
``u = t - m + 1/2`` months. Three things happen to a cohort:

- an *open* leak is found by signs, each month with probability q, and by the month's visits, which
  miss it with probability ``miss``;
- a *silent* leak is found by neither while ``u <= severe_after``, and is open from then on;
- past ``severe_after`` a leak is *severe*: the deck is gone.

Finds thin the cohorts independently of each other, so the number of hidden leaks of a roof that
still stands is Poisson, and its mean follows from month to month by running sums: open leaks of all
ages share one thinning, ``exp(-u / rot_time)`` is a product over months (its sum is called the
*sound* part of the leaks below), and only the month in which a cohort becomes severe, or stops
being sudden, needs its age. How much of a cohort is left by then is a product of thinnings over a
window of months. It is built up by multiplication alone: a visit may find everything, and nothing
is ever divided by it.

Arrays are month-major; values stand at the *start* of step 1 of the month's order of events, before
its signs are looked at, new leaks of the month included. In month 0 they stand before its visits.

Left out: leaks that depend on each other.
Source: delay-time model, textbook; the silent class is the model's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.deterioration import damage
from lifecycle.evaluation.timeline import END, PUNCTURE, TOLERANCE, Timeline
from lifecycle.roofs import Leaks, Number

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Cohorts:
    """Leaks hidden at the start of a spell.

    Parameters
    ----------
    ages : ndarray, shape (cohorts,)
        Time hidden so far. [months]
    open : ndarray, shape (4, cohorts, draws)
        Expected numbers that signs and visits may find, by class. [leaks]
    silent : ndarray, shape (4, cohorts, draws)
        Expected numbers that are silent still, by class. [leaks]
    """

    ages: Array
    open: Array
    silent: Array


@dataclass(frozen=True)
class Hidden:
    """What a roof that stands hides, by month of its spell.

    Parameters
    ----------
    open, silent : ndarray, shape (4, months + 1, draws)
        Hidden leaks by class. [leaks]
    severe, severe_end : ndarray, shape (months + 1, draws)
        Those of the open ones past `severe_after`: not end leaks, and end leaks. [leaks]
    sound_open, sound_silent : ndarray, shape (months + 1, draws)
        Sum of ``exp(-u / rot_time)`` over the leaks. [leaks]
    insured_open, insured_silent : ndarray, shape (months + 1, draws)
        What insurance would pay if all were found now. [money]
    """

    open: Array
    silent: Array
    severe: Array
    severe_end: Array
    sound_open: Array
    sound_silent: Array
    insured_open: Array
    insured_silent: Array


def sign_chance(leaks: Leaks) -> Number:
    """Probability that signs show an open leak within a month."""
    chance: Number = -np.expm1(-np.asarray(leaks.sign_rate) / 12.0)
    return chance


def months_until_severe(leaks: Leaks, age: float = 0.5) -> NDArray[np.int64]:
    """Whole months until a leak hidden for `age` months is past `severe_after`; shape () or (draws,)."""
    limit = 12.0 * np.asarray(leaks.severe_after) - age
    return np.maximum(0, np.floor(limit + TOLERANCE) + 1).astype(np.int64)


def hidden_leaks(course: Timeline, leaks: Leaks, at_start: Cohorts | None) -> Hidden:
    """Follow the hidden leaks of one spell.

    Parameters
    ----------
    course : Timeline
        The settled course of the spell.
    leaks : Leaks
        Leak figures.
    at_start : Cohorts or None
        Leaks hidden at the start of month 0.

    Returns
    -------
    Hidden
        Arrays whose last axes are (months + 1, draws).
    """
    _, rows, draws = course.born.shape
    thinning = course.misses * (1.0 - sign_chance(leaks))
    thinning[0] = course.misses[0]
    fading = np.exp(-1.0 / (12.0 * np.asarray(leaks.rot_time)))

    silent_born = course.born * np.asarray(leaks.silent_share)
    silent_born[END] = 0.0
    open_born = course.born - silent_born
    months = np.broadcast_to(months_until_severe(leaks), (draws,))
    kept = _window_product(thinning, months)
    turning_open = _later(open_born, months) * kept
    turning_silent = _later(silent_born, months)
    new_sound = fading**0.5
    sound_when_severe = fading ** (months + 0.5)

    # Inflow to each running sum by month: five rows, the four classes and their sound part.
    open_in = np.concatenate([open_born, (open_born.sum(0) * new_sound)[None]])
    silent_in = np.concatenate([silent_born, (silent_born.sum(0) * new_sound)[None]])
    turned = np.concatenate([turning_silent, (turning_silent.sum(0) * sound_when_severe)[None]])
    severe_in = np.stack(
        [(turning_open[:END] + turning_silent[:END]).sum(0), turning_open[END] + turning_silent[END]]
    )
    if at_start is not None:
        _add_cohorts(at_start, leaks, thinning, open_in, silent_in, turned, severe_in)

    open_now, silent_now = np.empty((5, rows, draws)), np.empty((5, rows, draws))
    severe_now = np.empty((2, rows, draws))
    decay = np.ones((5, draws))
    decay[4] = fading
    open_now[:, 0] = open_in[:, 0] + turned[:, 0]
    silent_now[:, 0] = silent_in[:, 0] - turned[:, 0]
    severe_now[:, 0] = severe_in[:, 0]
    for month in range(1, rows):
        kept_open = decay * thinning[month - 1]
        open_now[:, month] = open_now[:, month - 1] * kept_open + open_in[:, month] + turned[:, month]
        silent_now[:, month] = silent_now[:, month - 1] * decay + silent_in[:, month] - turned[:, month]
        severe_now[:, month] = severe_now[:, month - 1] * thinning[month - 1] + severe_in[:, month]

    insured_open, insured_silent = _insured(course, leaks, thinning, at_start)
    return Hidden(
        open_now[:4],
        silent_now[:4],
        severe_now[0],
        severe_now[1],
        open_now[4],
        silent_now[4],
        insured_open,
        insured_silent,
    )


def _window_product(thinning: Array, months: NDArray[np.int64]) -> Array:
    """Return the product of `thinning` over the `months` months before each month.

    ``out[t, d]`` is the product of ``thinning[t - months[d] ... t - 1, d]``; rows in which the
    window would begin before month 1 mean nothing and are 0 or a part product.
    """
    longest = min(int(months.max(initial=0)), thinning.shape[0])
    product = np.ones_like(thinning)
    out = np.where(months == 0, product, 0.0)
    for length in range(1, longest + 1):
        product[length:] *= thinning[: thinning.shape[0] - length]
        reached = months == length
        if np.any(reached):
            out[:, reached] = product[:, reached]
    return out


def _later(born: Array, months: NDArray[np.int64]) -> Array:
    """Shift births (4, rows, draws) later by `months` months, of each draw its own; before them 0."""
    rows = born.shape[1]
    if np.all(months == months[0]):
        shifted = np.zeros_like(born)
        if months[0] < rows:
            shifted[:, months[0] :] = born[:, : rows - months[0]]
        return shifted
    source = np.arange(rows)[:, None] - months
    flat = np.maximum(source, 0) * born.shape[2] + np.arange(born.shape[2])
    shifted = born.reshape(born.shape[0], -1)[:, flat]
    shifted *= source >= 0
    return shifted


def _add_cohorts(
    at_start: Cohorts,
    leaks: Leaks,
    thinning: Array,
    open_in: Array,
    silent_in: Array,
    turned: Array,
    severe_in: Array,
) -> None:
    """Add the leaks hidden at the start to the inflows, in place."""
    rows, draws = thinning.shape
    every = np.arange(draws)
    left = np.ones((rows + 1, draws))
    np.cumprod(thinning, axis=0, out=left[1:])
    rot_months = 12.0 * np.asarray(leaks.rot_time)
    for number, age in enumerate(at_start.ages):
        opens, silents = at_start.open[:, number], at_start.silent[:, number]
        sound = np.exp(-age / rot_months)
        open_in[:, 0] += np.vstack([opens, opens.sum(0) * sound])
        silent_in[:, 0] += np.vstack([silents, silents.sum(0) * sound])
        month = np.broadcast_to(months_until_severe(leaks, age), (draws,))
        within = month < rows
        when, which = month[within], every[within]
        turning_open = opens[:, within] * left[when, which]
        turning = silents[:, within]
        sound_then = np.broadcast_to(np.exp(-(month + age) / rot_months), (draws,))[within]
        severe_in[0, when, which] += (turning_open[:END] + turning[:END]).sum(0)
        severe_in[1, when, which] += turning_open[END] + turning[END]
        turned[:, when, which] += np.vstack([turning, turning.sum(0) * sound_then])


def _insured(
    course: Timeline, leaks: Leaks, thinning: Array, at_start: Cohorts | None
) -> tuple[Array, Array]:
    """Return what insurance would pay for the open and the silent punctures if found now."""
    rows, draws = thinning.shape
    paid_open, paid_silent = np.zeros((rows, draws)), np.zeros((rows, draws))
    if not np.any(leaks.insured_share):
        return paid_open, paid_silent
    limit = 12.0 * np.asarray(leaks.sudden_within) + TOLERANCE
    longest = int(min(np.floor(np.max(limit) - 0.5), rows - 1))
    silent_share = np.asarray(leaks.silent_share)
    born = course.born[PUNCTURE]
    left = born * (1.0 - silent_share)
    for lag in range(longest + 1):
        amount = insurance(lag + 0.5, leaks)
        paid_open[lag:] += amount * left[lag:]
        paid_silent[lag:] += amount * silent_share * born[: rows - lag]
        left[1:] = left[:-1] * thinning[:-1]
        left[0] = 0.0
    if at_start is not None:
        for number, age in enumerate(at_start.ages):
            still = at_start.open[PUNCTURE, number].copy()
            silent = at_start.silent[PUNCTURE, number]
            for month in range(int(min(np.floor(np.max(limit) - age), rows - 1)) + 1):
                amount = insurance(month + age, leaks)
                paid_open[month] += amount * still
                paid_silent[month] += amount * silent
                still *= thinning[month]
    return paid_open, paid_silent


def insurance(hidden_months: float, leaks: Leaks) -> Array:
    """Payment for one puncture found after a time: sudden damage above the deductible.

    Parameters
    ----------
    hidden_months : float
        Time since it started. [months]
    leaks : Leaks
        Leak figures.

    Returns
    -------
    ndarray, shape () or (draws,)
        Payment, 0 past `sudden_within`. [money]
    """
    harm = damage(
        hidden_months / 12.0, patch_cost=leaks.patch_cost, rot_cost=leaks.rot_cost, rot_time=leaks.rot_time
    )
    payment = np.asarray(leaks.insured_share) * np.maximum(0.0, harm - np.asarray(leaks.deductible))
    sudden = hidden_months <= 12.0 * np.asarray(leaks.sudden_within) + TOLERANCE
    return np.asarray(payment * sudden, dtype=float)
