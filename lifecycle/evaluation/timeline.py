"""What happens to a roof that goes on standing: its upkeep, its ages, the leaks that start.

Lecture
-------
A *spell* is the time that one roof stands, counted in months from 0. As long as it stands, its
course is settled: which visits are due, how old its joints are, how far it has aged, and how many
leaks start, on average, in each month. With

- ``s``  seal age at the start of a month [years], ``A`` effective age [years],
- ``x``  upkeep exponent, ``g`` ageing of the climate,

a month takes ``A`` on by ``g min(2, max(1, ((s + 1/24) / 0.5) ** x)) / 12`` and ``s`` by 1/12; then
the visits of the day take their largest share of both away. Leaks that start in the month:

- joint     ``m1 ((s + 1/12)^k - s^k)``, by the age of the seals,
- age       ``mA ((A1/10)^g - (A0/10)^g)``, by the effective age, whatever the seals,
- puncture  a twelfth of the yearly rate,
- end       the share of the month's hazard of life that announces itself by a leak.

A visit kind is first due in its own month and then at each interval. The plan of the standing roof may
end in a month: the kinds of the plan that stands for it have clocks at 0 then. In the twelve months
before a planned change no full reseal is paid for.

Arrays are month-major: axis 0 is the month 0 ... n, axis 1 the draw. Month 0 starts nothing.
Left out: that a visit is ever late, or done badly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lifecycle.deterioration import ageing_multiplier, first_year_leaks, power_law
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Existing, Number, Roof, Visit

JOINT, AGE, PUNCTURE, END = range(4)
"""Classes of leaks, in the order of every array that keeps them apart."""

TOLERANCE = 1e-9
"""Two times nearer than this are the same. [months]"""


@dataclass(frozen=True)
class Start:
    """How a roof stands at the start of its spell.

    Parameters
    ----------
    age : int
        Calendar age. [months]
    seal_age : int
        Months since the last full reseal. [months]
    effective_age : Number
        Effective age. [years]
    """

    age: int = 0
    seal_age: int = 0
    effective_age: Number = 0.0


@dataclass(frozen=True)
class Timeline:
    """Ages, visits and starting leaks of one roof, by month of its spell.

    Parameters
    ----------
    due : tuple, length months + 1
        Visits of each month.
    days : ndarray of int, shape (days,)
        Months in which something is done: a visit, or the planned change. [months]
    calendar_age : ndarray of int, shape (months + 1,)
        Calendar age of the roof. [months]
    effective_age : ndarray, shape (months + 1, draws)
        At the end of the month, before its visits. [years]
    hazard : ndarray, shape (months + 1, draws)
        Increase of the cumulative hazard of life in the month. [-]
    born : ndarray, shape (4, months + 1, draws)
        Leaks that start in the month, by class. [leaks]
    misses : ndarray, shape (days, draws)
        Probability that the visits of the day all miss a given leak. [-]
    """

    due: tuple[tuple[Visit, ...], ...]
    days: Whole
    calendar_age: Whole
    effective_age: Array
    hazard: Array
    born: Array
    misses: Array


def due_visits(
    roof: Roof, months: int, *, standing: Existing | None = None, planned: int | None = None
) -> tuple[tuple[Visit, ...], ...]:
    """Return the visits of each month 0 ... months.

    Parameters
    ----------
    roof : Roof
        With its plans.
    months : int
        Length of the spell. [months]
    standing : Existing or None
        The clocks of the roof that stands at the base date; None: it is laid in month 0.
    planned : int or None
        Month of a planned change: no visit in it, no full reseal in the year before it.

    Returns
    -------
    tuple of tuple of Visit, length months + 1
    """
    due: list[list[Visit]] = [[] for _ in range(months + 1)]
    for visit, first, last in _clocks(roof, months, standing):
        for month in range(first, last + 1, visit.every):
            left_out = planned is not None and (
                month == planned or (visit.is_full_reseal and planned - 12 <= month < planned)
            )
            if not left_out:
                due[month].append(visit)
    return tuple(tuple(day) for day in due)


def past_visits(existing: Existing) -> tuple[tuple[Visit, ...], ...]:
    """Return the visits that were really paid, by month since the existing roof was laid.

    The last full reseal was `seal_age` months ago, others at each interval before it and none
    since; nothing was due on the first day, and today's visits are left to the alternatives.
    """
    due: list[list[Visit]] = [[] for _ in range(existing.age + 1)]
    last_reseal = existing.age - existing.seal_age
    for visit in existing.roof.visits:
        if visit.is_full_reseal:
            months = range(last_reseal, 0, -visit.every)
        else:
            months = range(visit.every, existing.age, visit.every)
        for month in months:
            if 0 < month < existing.age:
                due[month].append(visit)
    return tuple(tuple(day) for day in due)


def _clocks(roof: Roof, months: int, standing: Existing | None) -> Iterator[tuple[Visit, int, int]]:
    """Go through the visit kinds with the month in which each is first due, and the last that it may be."""
    if standing is None:
        yield from ((visit, visit.every, months) for visit in roof.visits_when_new)
        return
    ends = months if roof.plan_ends is None else roof.plan_ends
    for visit in roof.visits:
        months_ago = standing.last_visits.get(visit.name, standing.seal_age if visit.is_full_reseal else 0)
        yield visit, max(0, visit.every - months_ago), min(ends, months)
    yield from ((visit, ends + visit.every, months) for visit in roof.visits_after)


def timeline(
    roof: Roof,
    start: Start,
    due: tuple[tuple[Visit, ...], ...],
    draws: int,
    planned: int | None = None,
) -> Timeline:
    """Follow one roof through its spell, as long as it stands.

    Parameters
    ----------
    roof : Roof
        The roof; numbers of shape () or (draws,).
    start : Start
        How it stands in month 0.
    due : tuple, length months + 1
        Visits of each month.
    draws : int
        Number of draws.
    planned : int or None
        Month of the planned change, if it lies within the spell. [months]

    Returns
    -------
    Timeline
        Arrays of shape (months + 1, draws).
    """
    rows = len(due)
    seal, seal_end, resealed = _seal_ages(start.seal_age / 12.0, due)
    growing = _months_of_ageing(seal, roof.upkeep_exponent) * np.asarray(roof.ageing) / 12.0
    age, age_end, renewed = _effective_ages(start.effective_age, growing, due)

    born = np.zeros((4, rows, draws))
    surface = roof.age_leak_growth
    joint = _increase(seal, seal_end, resealed, roof.joint_leak_growth)
    born[JOINT] = roof.joint_leaks_first_year * joint
    if np.any(roof.age_leaks_ten_years):
        in_first_year = first_year_leaks(roof.age_leaks_ten_years, surface)
        born[AGE] = in_first_year * _increase(age, age_end, renewed, surface)
    born[PUNCTURE, 1:] = np.asarray(roof.puncture_rate) / 12.0
    lives = age / roof.life_scale, age_end / roof.life_scale
    hazard = np.broadcast_to(_increase(*lives, renewed, roof.life_shape), (rows, draws))
    if np.any(roof.ends_by_leak):
        born[END] = roof.ends_by_leak * hazard

    active = [month for month, day in enumerate(due) if day or month == planned]
    misses = np.ones((len(active), draws))
    for place, month in enumerate(active):
        for visit in due[month]:
            misses[place] *= 1.0 - np.asarray(visit.finds)
    return Timeline(
        due,
        np.array(active, dtype=np.int64),
        start.age + np.arange(rows),
        np.broadcast_to(age_end, (rows, draws)),
        hazard,
        born,
        misses,
    )


def _seal_ages(at_start: float, due: tuple[tuple[Visit, ...], ...]) -> tuple[Array, Array, list[int]]:
    """Return the seal age at the start and end of each month, and the months after a reseal. [years]

    The second axis is 1 as long as no visit restores a share that differs between draws.
    """
    rows = len(due)
    left = {month: _left(day, "restores") for month, day in enumerate(due) if day}
    events = [month for month, share in left.items() if np.any(share != 1.0)]
    width = max((np.size(left[month]) for month in events), default=1)
    seal_end = np.empty((rows, width))
    seal_end[:] = at_start + np.arange(rows)[:, None] / 12.0
    seal = seal_end - 1.0 / 12.0
    for month in events:
        after = seal_end[month] * left[month]
        months = np.arange(rows - month - 1)[:, None]
        seal[month + 1 :] = after + months / 12.0
        seal_end[month + 1 :] = after + (months + 1) / 12.0
    return seal, seal_end, [month + 1 for month in events if month + 1 < rows]


def _effective_ages(
    at_start: Number, growing: Array, due: tuple[tuple[Visit, ...], ...]
) -> tuple[Array, Array, list[int]]:
    """Return the effective age at the start and end of each month, and the months after a topcoat."""
    rows = len(due)
    growing = np.broadcast_to(growing, (rows, growing.shape[1])).copy()
    growing[0] = 0.0
    age_end = running_sum(growing) + np.asarray(at_start)
    younger: dict[int, Array] = {}
    for month, day in enumerate(due):
        left = _left(day, "rejuvenates")
        if np.any(left != 1.0) and month + 1 < rows:
            after = age_end[month] * left
            if np.size(after) > age_end.shape[1]:
                age_end = np.repeat(age_end, np.size(after), axis=1)
            age_end[month + 1 :] = after + running_sum(growing[month + 1 :])
            younger[month + 1] = after
    age = age_end.copy()
    age[1:] = age_end[:-1]
    for month, after in younger.items():
        age[month] = after
    return age, age_end, list(younger)


def _left(day: tuple[Visit, ...], share: str) -> Array:
    """Return what the visits of a day leave of an age: 1 - the largest share that they take away."""
    left = np.ones(())
    for visit in day:
        left = np.minimum(left, 1.0 - np.asarray(getattr(visit, share)))
    return np.asarray(left)


def _months_of_ageing(seal: Array, exponent: Number) -> Array:
    """Return the months that a roof ages in each month, from the seal age at its start [years]."""
    if not np.any(exponent):
        return np.ones((1, 1))
    middle = np.maximum(seal, 0.0) + 1.0 / 24.0
    if seal.shape[1] == 1:
        ages, place = np.unique(middle, return_inverse=True)
        return np.asarray(
            np.reshape(ageing_multiplier(ages[:, None], exponent), (ages.size, -1))[place.ravel()]
        )
    return np.asarray(ageing_multiplier(middle, exponent))


def _increase(start: Array, end: Array, jumps: list[int], growth: Number) -> Array:
    """Return ``end ** growth - start ** growth`` by month; month 0 has none.

    A month starts where the one before ended, but for the months in `jumps`: so a power is taken
    once, not twice.
    """
    at_end = _power(end, growth)
    increase = np.zeros_like(at_end)
    np.subtract(at_end[1:], at_end[:-1], out=increase[1:])
    if jumps:
        increase[jumps] = at_end[jumps] - _power(start[jumps], growth)
    return increase


def _power(age: Array, growth: Number) -> Array:
    """Return ``age ** growth``, each age that all draws share once."""
    if age.shape[1] > 1 or np.ndim(growth) == 0:
        return np.asarray(power_law(age, first_year=1.0, growth=growth))
    ages, place = np.unique(age, return_inverse=True)
    return np.asarray(power_law(ages[:, None], first_year=1.0, growth=growth)[place.ravel()])


def running_sum(values: Array) -> Array:
    """Return the sum over months up to and with each month; row by row, as rows are contiguous."""
    total = values.copy()
    for month in range(1, total.shape[0]):
        np.add(total[month - 1], total[month], out=total[month])
    return total
