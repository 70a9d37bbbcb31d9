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

from lifecycle.deterioration import damage
from lifecycle.evaluation.timeline import END, PUNCTURE, TOLERANCE, Timeline
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Leaks, Number


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
    open, silent : ndarray, shape (months + 1, draws)
        Hidden leaks, all classes together. [leaks]
    open_puncture, silent_puncture, open_end : ndarray, shape (months + 1, draws)
        Punctures and end leaks among them; end leaks are never silent. [leaks]
    severe, severe_end : ndarray, shape (months + 1, draws)
        Those of the open ones past `severe_after`: not end leaks, and end leaks. [leaks]
    sound_open, sound_silent : ndarray, shape (months + 1, draws)
        Sum of ``exp(-u / rot_time)`` over the leaks. [leaks]
    insured_open, insured_silent : ndarray, shape (months + 1, draws)
        What insurance would pay if all were found now. [money]
    """

    open: Array
    open_puncture: Array
    open_end: Array
    severe: Array
    severe_end: Array
    silent: Array
    silent_puncture: Array
    sound_open: Array
    sound_silent: Array
    insured_open: Array
    insured_silent: Array


def sign_chance(leaks: Leaks) -> Number:
    """Probability that signs show an open leak within a month."""
    chance: Number = -np.expm1(-np.asarray(leaks.sign_rate) / 12.0)
    return chance


def months_until_severe(leaks: Leaks, age: float = 0.5) -> Whole:
    """Whole months until a leak hidden for `age` months is past `severe_after`; shape () or (draws,)."""
    limit = 12.0 * np.asarray(leaks.severe_after) - age
    months: Whole = np.maximum(0, np.floor(limit + TOLERANCE) + 1).astype(np.int64)
    return months


# Rows of the running sums, kept together so that a month is two operations.
_OPEN, _PUNCTURE, _END, _SOUND, _SEVERE, _SEVERE_END = range(6)
_SILENT, _SILENT_PUNCTURE, _SILENT_SOUND = range(6, 9)
_FINDABLE = slice(0, 6)
_ROWS = 9


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
    sums = _inflow(course, leaks)
    if at_start is not None:
        _add_cohorts(at_start, course, leaks, sums)
    fading = np.exp(-1.0 / (12.0 * np.asarray(leaks.rot_time)))
    keeps = np.ones((_ROWS, sums.shape[2]))
    keeps[[_SOUND, _SILENT_SOUND]] = fading
    after_visits = dict(zip(course.days.tolist(), course.misses, strict=True))
    brought_on = np.empty_like(keeps)
    for month in range(1, sums.shape[0]):
        np.multiply(sums[month - 1], keeps, out=brought_on)
        if month - 1 in after_visits:
            brought_on[_FINDABLE] *= after_visits[month - 1]
        sums[month] += brought_on
        if month == 1:
            keeps[_FINDABLE] *= 1.0 - np.asarray(sign_chance(leaks))  # there are no signs in month 0
    insured_open, insured_silent = _insured(course, leaks, at_start)
    by_row = sums.transpose(1, 0, 2)
    return Hidden(
        open=by_row[_OPEN],
        open_puncture=by_row[_PUNCTURE],
        open_end=by_row[_END],
        severe=by_row[_SEVERE],
        severe_end=by_row[_SEVERE_END],
        silent=by_row[_SILENT],
        silent_puncture=by_row[_SILENT_PUNCTURE],
        sound_open=by_row[_SOUND],
        sound_silent=by_row[_SILENT_SOUND],
        insured_open=insured_open,
        insured_silent=insured_silent,
    )


def _inflow(course: Timeline, leaks: Leaks) -> Array:
    """Return what flows into each running sum, shape (months + 1, 9, draws): births, and turns."""
    born = course.born
    _, rows, draws = born.shape
    silent_share = np.asarray(leaks.silent_share)
    fading = np.exp(-1.0 / (12.0 * np.asarray(leaks.rot_time)))
    inflow = np.zeros((rows, _ROWS, draws))
    # Joint leaks, age leaks and punctures together: of these a share is silent; end leaks never are.
    plain = born[0] + born[1]
    plain += born[PUNCTURE]
    by_row = inflow.transpose(1, 0, 2)
    # Births of the month that signs and visits may find: of all classes, punctures and end leaks among them.
    np.multiply(plain, 1.0 - silent_share, out=by_row[_OPEN])
    by_row[_OPEN] += born[END]
    np.multiply(born[PUNCTURE], 1.0 - silent_share, out=by_row[_PUNCTURE])
    by_row[_END] = born[END]
    # Their sound part: a leak that starts in mid-month has rotted for half a month at the month's signs.
    np.multiply(by_row[_OPEN], fading**0.5, out=by_row[_SOUND])
    # The same three of the silent leaks; without any, their rows stay zero.
    if np.any(silent_share):
        np.multiply(plain, silent_share, out=by_row[_SILENT])
        np.multiply(born[PUNCTURE], silent_share, out=by_row[_SILENT_PUNCTURE])
        np.multiply(by_row[_SILENT], fading**0.5, out=by_row[_SILENT_SOUND])

    # So many months after its birth a leak turns severe; draws in which that takes as long go together.
    until_severe = np.broadcast_to(months_until_severe(leaks), (draws,))
    for months, some in _alike(until_severe):
        if months >= rows:
            continue  # the spell ends before any of its leaks turns
        share, fade = _some(silent_share, some), _some(fading, some)
        kept = _kept(course, leaks, int(months), some)
        # Row by row, births of `before` turn in `later`: all of the silent ones, for nothing found them
        # till then, and what signs and visits have left of the others.
        later, before = slice(int(months), rows), slice(0, rows - int(months))
        turning = plain[before, some]
        by_row[_SEVERE][later, some] += turning * (share + (1.0 - share) * kept)
        by_row[_SEVERE_END][later, some] += born[END][before, some] * kept
        # A silent leak that turns is open from then on: what joins the open rows leaves the silent ones,
        # its sound part as far as it has rotted by then.
        if np.any(share):
            silent = turning * share
            punctures = born[PUNCTURE][before, some] * share
            sound = silent * fade ** (months + 0.5)
            for openly, silently, number in (
                (_OPEN, _SILENT, silent),
                (_PUNCTURE, _SILENT_PUNCTURE, punctures),
                (_SOUND, _SILENT_SOUND, sound),
            ):
                by_row[openly][later, some] += number
                by_row[silently][later, some] -= number
    return inflow


def _alike(months: Whole) -> list[tuple[int, slice | Whole]]:
    """Return each value with the draws that have it, as a slice where they stand together."""
    groups: list[tuple[int, slice | Whole]] = []
    for value in sorted({*months.tolist()}):
        which = np.flatnonzero(months == value)
        together = which[-1] - which[0] + 1 == which.size
        groups.append((value, slice(int(which[0]), int(which[-1]) + 1) if together else which))
    return groups


def _some(number: Array, some: slice | Whole) -> Array:
    """Return some draws of a number that may be one for all."""
    return number[some] if number.ndim else number


def _kept(course: Timeline, leaks: Leaks, months: int, some: slice | Whole) -> Array:
    """Return what signs and visits leave of a leak that was open in the `months` months before.

    Shape (rows - months, draws of `some`), by month in which it turns severe.
    """
    unseen = np.broadcast_to(1.0 - np.asarray(sign_chance(leaks)), course.born.shape[2:])[some] ** months
    kept = np.repeat(unseen[None], course.born.shape[1] - months, axis=0)
    for month, misses in zip(course.days.tolist(), course.misses[:, some], strict=True):
        # A visit in month v thins what was born in v or before and turns after v.
        kept[max(0, month + 1 - months) : month + 1] *= misses
    return kept


def _add_cohorts(at_start: Cohorts, course: Timeline, leaks: Leaks, inflow: Array) -> None:
    """Add the leaks hidden at the start to the inflows, in place."""
    rows, _, draws = inflow.shape
    every = np.arange(draws)
    left = _left_by_month(course, leaks)
    rot_months = 12.0 * np.asarray(leaks.rot_time)
    for number, age in enumerate(at_start.ages):
        opens, silents = at_start.open[:, number], at_start.silent[:, number]
        sound = np.exp(-age / rot_months)
        inflow[0, _OPEN] += opens.sum(0)
        inflow[0, _PUNCTURE] += opens[PUNCTURE]
        inflow[0, _END] += opens[END]
        inflow[0, _SOUND] += opens.sum(0) * sound
        inflow[0, _SILENT] += silents.sum(0)
        inflow[0, _SILENT_PUNCTURE] += silents[PUNCTURE]
        inflow[0, _SILENT_SOUND] += silents.sum(0) * sound
        month = np.broadcast_to(months_until_severe(leaks, age), (draws,))
        which = every[month < rows]
        when = month[which]
        turning_open = opens[:, which] * left[when, which]
        turning = silents[:, which].sum(0)
        inflow[when, _SEVERE, which] += turning_open[:END].sum(0) + turning
        inflow[when, _SEVERE_END, which] += turning_open[END]
        if np.any(turning):
            sound = turning * np.exp(-(when + age) / np.broadcast_to(rot_months, (draws,))[which])
            for openly, silently, turned in (
                (_OPEN, _SILENT, turning),
                (_PUNCTURE, _SILENT_PUNCTURE, silents[PUNCTURE, which]),
                (_SOUND, _SILENT_SOUND, sound),
            ):
                inflow[when, openly, which] += turned
                inflow[when, silently, which] -= turned


def _left_by_month(course: Timeline, leaks: Leaks) -> Array:
    """Return the share of a leak open at the start that is left before each month's signs."""
    _, rows, draws = course.born.shape
    left = np.ones((rows, draws))
    unseen = 1.0 - np.asarray(sign_chance(leaks))
    after_visits = dict(zip(course.days.tolist(), course.misses, strict=True))
    for month in range(1, rows):
        left[month] = left[month - 1] * (unseen if month > 1 else 1.0)
        if month - 1 in after_visits:
            left[month] *= after_visits[month - 1]
    return left


def _insured(course: Timeline, leaks: Leaks, at_start: Cohorts | None) -> tuple[Array, Array]:
    """Return what insurance would pay for the open and the silent punctures if found now."""
    paid_open, paid_silent = np.zeros((2, *course.born.shape[1:]))
    if np.any(leaks.insured_share):
        limit = float(np.max(12.0 * np.asarray(leaks.sudden_within))) + TOLERANCE
        _insure_births(course, leaks, limit, paid_open, paid_silent)
        if at_start is not None:
            _insure_cohorts(course, leaks, limit, at_start, paid_open, paid_silent)
    return paid_open, paid_silent


def _insure_births(
    course: Timeline, leaks: Leaks, limit: float, paid_open: Array, paid_silent: Array
) -> None:
    """Add the payments for punctures of the spell, one age after another; a silent one may turn open."""
    rows = course.born.shape[1]
    share, unseen = np.asarray(leaks.silent_share), 1.0 - np.asarray(sign_chance(leaks))
    until_severe = months_until_severe(leaks)
    born = course.born[PUNCTURE]
    left = born * (1.0 - share)
    for lag in range(min(int(np.floor(limit - 0.5)), rows - 1) + 1):
        amount = insurance(lag + 0.5, leaks)
        if np.any(share):
            silent = share * born[: rows - lag]
            left[lag:] += silent * (lag == until_severe)
            paid_silent[lag:] += amount * silent * (lag < until_severe)
        paid_open[lag:] += amount * left[lag:]
        left[1:] = left[:-1] * unseen
        left[0] = 0.0
        for month, misses in zip(course.days.tolist(), course.misses, strict=True):
            left[month + 1 : month + 2] *= misses


def _insure_cohorts(
    course: Timeline, leaks: Leaks, limit: float, at_start: Cohorts, paid_open: Array, paid_silent: Array
) -> None:
    """Add the payments for punctures hidden at the start, one month after another."""
    unseen = 1.0 - np.asarray(sign_chance(leaks))
    after_visits = dict(zip(course.days.tolist(), course.misses, strict=True))
    for number, age in enumerate(at_start.ages):
        left, silent = at_start.open[PUNCTURE, number], at_start.silent[PUNCTURE, number]
        until_severe = months_until_severe(leaks, age)
        for month in range(min(int(np.floor(limit - age)), paid_open.shape[0] - 1) + 1):
            amount = insurance(month + age, leaks)
            left = left + silent * (month == until_severe)
            paid_open[month] += amount * left
            paid_silent[month] += amount * silent * (month < until_severe)
            left = left * (unseen if month else 1.0) * after_visits.get(month, 1.0)


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
