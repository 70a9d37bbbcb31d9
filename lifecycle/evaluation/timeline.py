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

A visit kind is first due in its own month and then at each interval. In the twelve months before a
planned change no full reseal is paid for.

Arrays are month-major: axis 0 is the month 0 ... n, axis 1 the draw. Month 0 starts nothing.
Left out: that a visit is ever late, or done badly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lifecycle.deterioration import ageing_multiplier, first_year_leaks, power_law
from lifecycle.roofs import Existing, Number, Roof, Visit

JOINT, AGE, PUNCTURE, END = range(4)
"""Classes of leaks, in the order of every array that keeps them apart."""

CLASSES = ("joint", "age", "puncture", "end")
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
    first_due : mapping of str to int
        Month in which each visit kind is first due; missing: after its interval.
    """

    age: int = 0
    seal_age: int = 0
    effective_age: Number = 0.0
    first_due: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Timeline:
    """The settled course of one spell.

    Parameters
    ----------
    due : tuple, length months + 1
        Visits of each month.
    calendar_age : ndarray of int, shape (months + 1,)
        Calendar age of the roof. [months]
    effective_age : ndarray, shape (months + 1, draws)
        At the end of the month, before its visits. [years]
    hazard : ndarray, shape (months + 1, draws)
        Increase of the cumulative hazard of life in the month. [-]
    born : ndarray, shape (4, months + 1, draws)
        Leaks that start in the month, by class. [leaks]
    misses : ndarray, shape (months + 1, draws)
        Probability that the month's visits all miss a given leak. [-]
    """

    due: tuple[tuple[Visit, ...], ...]
    calendar_age: NDArray[np.int64]
    effective_age: NDArray[np.float64]
    hazard: NDArray[np.float64]
    born: NDArray[np.float64]
    misses: NDArray[np.float64]

    @property
    def months(self) -> int:
        """Length of the spell. [months]"""
        return len(self.due) - 1


def first_due(existing: Existing, visits: tuple[Visit, ...]) -> dict[str, int]:
    """Return the month in which each visit kind of the standing roof is first due.

    Parameters
    ----------
    existing : Existing
        The roof that stands at the base date.
    visits : tuple of Visit
        The plan that starts today.

    Returns
    -------
    dict of str to int
        First month, 0 for today. [months]
    """
    return {visit.name: max(0, visit.every - _months_ago(existing, visit)) for visit in visits}


def _months_ago(existing: Existing, visit: Visit) -> int:
    """Months since a visit kind was last done on the standing roof."""
    return existing.last_visits.get(visit.name, existing.seal_age if visit.is_full_reseal else 0)


def due_visits(
    visits: tuple[Visit, ...], start: Start, months: int, planned: int | None
) -> tuple[tuple[Visit, ...], ...]:
    """Return the visits of each month 0 ... months.

    Parameters
    ----------
    visits : tuple of Visit
        The upkeep plan.
    start : Start
        Its clocks.
    months : int
        Length of the spell. [months]
    planned : int or None
        Month of a planned change: no visit in it, no full reseal in the year before it.

    Returns
    -------
    tuple of tuple of Visit, length months + 1
    """
    due: list[list[Visit]] = [[] for _ in range(months + 1)]
    for visit in visits:
        for month in range(start.first_due.get(visit.name, visit.every), months + 1, visit.every):
            left_out = planned is not None and (
                month == planned or (visit.is_full_reseal and planned - 12 <= month < planned)
            )
            if not left_out:
                due[month].append(visit)
    return tuple(tuple(day) for day in due)


def timeline(
    roof: Roof, start: Start, due: tuple[tuple[Visit, ...], ...], draws: int
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

    Returns
    -------
    Timeline
        Arrays of shape (months + 1, draws).
    """
    months = len(due) - 1
    shape = (months + 1, draws)
    # State at the start of each month (after the visits of the one before) and at its end.
    seal, seal_end = np.zeros(shape), np.zeros(shape)
    age, age_end = np.zeros(shape), np.zeros(shape)
    misses = np.ones(shape)
    seal_end[0], age_end[0] = start.seal_age / 12.0, start.effective_age
    renewed_joints, renewed_surface = set[int](), set[int]()
    for month in range(months + 1):
        if month:
            seal_end[month] = seal[month] + 1.0 / 12.0
            multiple = _month_of_ageing(seal[month], roof.upkeep_exponent)
            age_end[month] = age[month] + roof.ageing * multiple / 12.0
        left_seal, left_age = 1.0, 1.0
        for visit in due[month]:
            misses[month] *= 1.0 - visit.finds
            left_seal = np.minimum(left_seal, 1.0 - np.asarray(visit.restores))
            left_age = np.minimum(left_age, 1.0 - np.asarray(visit.rejuvenates))
        if month < months:
            seal[month + 1] = seal_end[month] * left_seal
            age[month + 1] = age_end[month] * left_age
            if np.any(left_seal != 1.0):
                renewed_joints.add(month + 1)
            if np.any(left_age != 1.0):
                renewed_surface.add(month + 1)

    born = np.zeros((4, *shape))
    growth, surface = roof.joint_leak_growth, roof.age_leak_growth
    born[JOINT] = roof.joint_leaks_first_year * _increase(seal, seal_end, renewed_joints, growth)
    in_first_year = first_year_leaks(roof.age_leaks_ten_years, surface)
    born[AGE] = in_first_year * _increase(age, age_end, renewed_surface, surface)
    born[PUNCTURE, 1:] = np.asarray(roof.puncture_rate) / 12.0
    lives = age / roof.life_scale, age_end / roof.life_scale
    hazard = _increase(*lives, renewed_surface, roof.life_shape)
    born[END] = roof.ends_by_leak * hazard
    return Timeline(due, start.age + np.arange(months + 1), age_end, hazard, born, misses)


def _month_of_ageing(seal_age: NDArray[np.float64], exponent: Number) -> Number:
    """Months of ageing in the month that starts at a seal age [years]."""
    if not np.any(exponent):
        return 1.0
    multiple: Number = ageing_multiplier(seal_age + 1.0 / 24.0, exponent)
    return multiple


def _increase(
    start: NDArray[np.float64], end: NDArray[np.float64], jumps: set[int], growth: Number
) -> NDArray[np.float64]:
    """Return ``end ** growth - start ** growth`` by month; month 0 has none.

    A month starts where the one before ended, but for the months in `jumps`: so a power is taken
    once, not twice.
    """
    at_end = power_law(end, first_year=1.0, growth=growth)
    increase = np.zeros_like(at_end)
    increase[1:] = at_end[1:] - at_end[:-1]
    after = sorted(jumps)
    increase[after] = at_end[after] - power_law(start[after], first_year=1.0, growth=growth)
    return increase
