"""What happens to many roofs of one kind: lives drawn by chance, event by event.

Lecture
-------
Every roof of a kind has the same settled course as long as it stands (its upkeep, its ages, how
many leaks start on average); what differs from roof to roof is luck. Time is counted in *instants*:
``2 t`` is month t before its sale (steps 1 and 2 of the month), ``2 t + 1`` is after it (step 4).
A sale at t lies between the two. For each roof are drawn

1. the month in which its life ends, seen in time: the first in which the cumulative hazard
   (times ``1 - ends_by_leak``) passes an exponential number; a badly done roof has a second one;
2. how many leaks start until then: Poisson; and where each comes from, by inverting the cumulative
   intensity over *cells*. A cell is one month, one class of leaks, silent or not; leaks hidden at
   the start are cells of month 0;
3. the instant in which each leak is found: the first in which the *cumulative chance of being
   found* has grown by an exponential number since the leak was open. Signs add ``sign_rate / 12``
   in each month and a visit adds ``-log(1 - finds)``;
4. the end of the roof: the first of its life's end, of a find that forces a renewal, and of the
   planned change. What started later, or was found later, never was.

So a leak is one draw, whatever the number of visits, and nothing runs month by month. What the
roof costs is left to `life_account`; the roof that follows is another round (`simulation`).

The expectation takes the same steps with means instead of draws; this room shares with it the
calendar of visits and today's hidden leaks, and nothing else.

Left out: leaks that depend on each other. Source: thinning and inversion of Poisson processes,
textbook.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lifecycle.deterioration import (
    ageing_multiplier,
    cumulative_hazard,
    leaks_between,
    leaks_between_ten_years,
)
from lifecycle.evaluation.hiding import Cohorts
from lifecycle.evaluation.timeline import AGE, END, JOINT, PUNCTURE, TOLERANCE, Start
from lifecycle.quantities import Array, Flags, Whole
from lifecycle.roofs import Leaks, Roof, Visit

_SURE = 100.0
"""Growth of the cumulative chance by a visit that finds everything: no exponential number is larger."""


@dataclass(frozen=True)
class Cells:
    """Where the leaks of a roof come from, in the order of their first month.

    Parameters
    ----------
    first : ndarray of int, shape (cells,)
        Month in which the leak is there first; 0: hidden at the start. [months]
    since : ndarray, shape (cells,)
        When it started: in mid-month, or before the start of the spell. [months]
    leak_class : ndarray of int, shape (cells,)
        Joint, age, puncture or end leak.
    open_from : ndarray of int, shape (cells,)
        Month from which signs and visits may find it. [months]
    severe_from : ndarray of int, shape (cells,)
        First month in which it is severe. [months]
    running : ndarray, shape (cells + 1,)
        Expected number of leaks from the cells before each cell. [leaks]
    """

    first: Whole
    since: Array
    leak_class: Whole
    open_from: Whole
    severe_from: Whole
    running: Array


@dataclass(frozen=True)
class Course:
    """Ages, visits and leaks of a kind of roof by month, as tables that lives are drawn from.

    Parameters
    ----------
    roof : Roof
        The roof system under its plan.
    due : tuple, length months + 1
        Visits of each month.
    calendar_age : int
        At the start of the spell. [months]
    effective_age : ndarray, shape (months + 1,)
        At the end of each month, before its visits. [years]
    seen_in_time : ndarray, shape (months + 1,)
        Cumulative hazard of a life's end that is seen in time, by month. [-]
    finding : ndarray, shape (2 months + 2,)
        Cumulative chance (minus log of what is missed) of an open leak being found, by instant. [-]
    cells : Cells
        Where its leaks come from.
    newly_laid : bool
        Whether it may be badly done.
    planned : int or None
        Month of the planned change. [months]
    end_cost, end_days : float
        What its end costs. [money, days]
    """

    roof: Roof
    due: tuple[tuple[Visit, ...], ...]
    calendar_age: int
    effective_age: Array
    seen_in_time: Array
    finding: Array
    cells: Cells
    newly_laid: bool
    planned: int | None
    end_cost: float
    end_days: float

    @property
    def never(self) -> int:
        """An instant after all others."""
        return self.finding.size


@dataclass(frozen=True)
class Fates:
    """What happened to some roofs of one kind, in instants of their own spell.

    Parameters
    ----------
    end : ndarray of int, shape (roofs,)
        When each was stripped; `Course.never` if not before the last sale. [instants]
    life_ended : ndarray of bool, shape (roofs,)
        Whether its life ended then, seen in time, whatever else happened.
    leaking_ends : ndarray, shape (roofs,)
        Share of end leaks among the finds that forced its renewal; 0 if none did. [-]
    roof : ndarray of int, shape (leaks,)
        The roof of each leak.
    cell : ndarray of int, shape (leaks,)
        Where it comes from.
    found : ndarray of int, shape (leaks,)
        When signs or a visit found it, if the roof still stood. [instants]
    seen_by_buyer : ndarray of bool, shape (leaks,)
        Whether a buyer would see it if it were hidden at a sale.
    """

    end: Whole
    life_ended: Flags
    leaking_ends: Array
    roof: Whole
    cell: Whole
    found: Whole
    seen_by_buyer: Flags


def course_of(
    roof: Roof,
    leaks: Leaks,
    *,
    start: Start,
    due: tuple[tuple[Visit, ...], ...],
    planned: int | None = None,
    hidden_at_start: Cohorts | None = None,
    newly_laid: bool = True,
    end_cost: float | None = None,
    end_days: float | None = None,
) -> Course:
    """Return the tables from which roofs of a kind are drawn.

    Parameters
    ----------
    roof : Roof
        The kind; plain numbers.
    leaks : Leaks
        Leak figures; plain numbers.
    start : Start
        How it stands in month 0.
    due : tuple, length months + 1
        Visits of each month of the study.
    planned : int or None
        Month of the planned change. [months]
    hidden_at_start : Cohorts or None
        Leaks hidden in month 0, one draw.
    newly_laid : bool
        Whether it may be badly done.
    end_cost, end_days : float or None
        What its end costs; None: `renew_cost`, `renew_days`. [money, days]

    Returns
    -------
    Course
    """
    months = len(due) - 1
    seal, seal_end, age, age_end = _ages(roof, start, due)
    hazard = _hazard(age_end, roof) - _hazard(age, roof)
    ends_by_leak = float(roof.ends_by_leak)
    born = np.zeros((months + 1, 4))
    born[:, JOINT] = leaks_between(
        seal, seal_end, first_year=roof.joint_leaks_first_year, growth=roof.joint_leak_growth
    )
    born[:, AGE] = leaks_between_ten_years(
        age, age_end, in_ten_years=roof.age_leaks_ten_years, growth=roof.age_leak_growth
    )
    born[1:, PUNCTURE] = float(roof.puncture_rate) / 12.0
    born[:, END] = ends_by_leak * hazard
    return Course(
        roof,
        due,
        start.age,
        age_end,
        np.cumsum((1.0 - ends_by_leak) * hazard),
        _finding(due, leaks),
        _cells(born, hidden_at_start, leaks),
        newly_laid,
        planned,
        float(roof.renew_cost if end_cost is None else end_cost),
        float(roof.renew_days if end_days is None else end_days),
    )


def _ages(roof: Roof, start: Start, due: tuple[tuple[Visit, ...], ...]) -> tuple[Array, Array, Array, Array]:
    """Return seal age and effective age at the start and the end of each month. [years]

    Month 0 has no length: only its visits count.
    """
    seal, seal_end, age, age_end = np.zeros((4, len(due)))
    seals, ages = start.seal_age / 12.0, float(start.effective_age)
    for month, visits in enumerate(due):
        seal[month] = seals
        seals += 1.0 / 12.0 if month else 0.0
        seal_end[month] = seals
        seals *= 1.0 - max((float(visit.restores) for visit in visits), default=0.0)
    ageing = float(roof.ageing) * ageing_multiplier(seal + 1.0 / 24.0, roof.upkeep_exponent) / 12.0
    for month, visits in enumerate(due):
        age[month] = ages
        ages += ageing[month] if month else 0.0
        age_end[month] = ages
        ages *= 1.0 - max((float(visit.rejuvenates) for visit in visits), default=0.0)
    return seal, seal_end, age, age_end


def _hazard(age: Array, roof: Roof) -> Array:
    """Cumulative hazard of life at each effective age."""
    return np.asarray(cumulative_hazard(age, shape=roof.life_shape, scale=roof.life_scale))


def _finding(due: tuple[tuple[Visit, ...], ...], leaks: Leaks) -> Array:
    """Return the cumulative chance of an open leak being found, by instant."""
    growth = np.zeros((len(due), 2))
    growth[1:, 0] = float(leaks.sign_rate) / 12.0
    missed = [math.prod(1.0 - float(visit.finds) for visit in visits) for visits in due]
    growth[:, 1] = -np.log(np.maximum(missed, np.exp(-_SURE)))
    return np.cumsum(growth.ravel())


def _cells(born: Array, hidden: Cohorts | None, leaks: Leaks) -> Cells:
    """Lay the sources of leaks out in cells; those that bring none are left out."""
    months = born.shape[0] - 1
    silent_share = np.full(4, float(leaks.silent_share))
    silent_share[END] = 0.0
    # Axes: month or cohort, silent or not, class.
    number = np.stack([born * (1.0 - silent_share), born * silent_share], axis=1)
    first, since = np.arange(months + 1), np.arange(months + 1) - 0.5
    if hidden is not None:
        at_start = np.stack([hidden.open[:, :, 0].T, hidden.silent[:, :, 0].T], axis=1)
        number = np.concatenate([at_start, number])
        first = np.concatenate([np.zeros(hidden.ages.size, dtype=np.int64), first])
        since = np.concatenate([-hidden.ages, since])
    place, silent, leak_class = np.nonzero(number)
    first, since = first[place], since[place]
    severe = np.minimum(np.floor(since + 12.0 * float(leaks.severe_after) + TOLERANCE) + 1.0, months + 1.0)
    severe_from = np.maximum(first, severe.astype(np.int64))
    return Cells(
        first,
        since,
        leak_class,
        np.where(silent == 1, severe_from, first),
        severe_from,
        np.concatenate([[0.0], np.cumsum(number[place, silent, leak_class])]),
    )


def live(course: Course, months_left: Whole, leaks: Leaks, chance: np.random.Generator) -> Fates:
    """Draw what happens to some roofs of one kind.

    Parameters
    ----------
    course : Course
        Tables of this kind of roof.
    months_left : ndarray of int, shape (roofs,)
        Months from the start of each to the last sale of the study. [months]
    leaks : Leaks
        Leak figures.
    chance : numpy.random.Generator
        Where the luck comes from.

    Returns
    -------
    Fates
    """
    cells = course.cells
    life_end = _life_end(course, months_left.size, chance)
    last = np.minimum(life_end, months_left)
    end = 2 * life_end
    if course.planned is not None:
        last = np.minimum(last, course.planned)
        end = np.minimum(end, 2 * course.planned + 1)

    expected = cells.running[np.searchsorted(cells.first, last, side="right")]
    roof = np.repeat(np.arange(last.size), chance.poisson(expected))
    drawn = chance.random(roof.size) * expected[roof]
    cell = np.searchsorted(cells.running[1:], drawn, side="right")
    found = _found(course, cell, chance)
    forcing = (found >> 1 >= cells.severe_from[cell]) | (cells.leak_class[cell] == END)
    np.minimum.at(end, roof[forcing], found[forcing])
    fatal = forcing & (found == end[roof])
    ends = np.bincount(roof[fatal], weights=cells.leak_class[cell[fatal]] == END, minlength=end.size)
    leaking_ends = ends / np.maximum(1, np.bincount(roof[fatal], minlength=end.size))
    end[end > 2 * months_left] = course.never
    life_ended = (end == 2 * life_end) & (end < course.never)

    was = np.flatnonzero(2 * cells.first[cell] <= end[roof])
    seen_by_buyer = chance.random(was.size) < float(leaks.found_at_sale)
    return Fates(end, life_ended, leaking_ends, roof[was], cell[was], found[was], seen_by_buyer)


def _life_end(course: Course, roofs: int, chance: np.random.Generator) -> Whole:
    """Draw the month in which each life ends, seen in time; past the study if it does not."""
    months = np.searchsorted(course.seen_in_time, chance.exponential(size=roofs), side="right")
    share, life = float(course.roof.defect_share), float(course.roof.defect_life)
    if course.newly_laid and share > 0.0:
        badly_done = np.flatnonzero(chance.random(roofs) < share)
        fails = np.ceil(12.0 * life * chance.exponential(size=badly_done.size))
        fails = np.clip(fails, 1.0, course.seen_in_time.size).astype(np.int64)
        months[badly_done] = np.minimum(months[badly_done], fails)
    return months


def _found(course: Course, cell: Whole, chance: np.random.Generator) -> Whole:
    """Draw the instant in which each leak is found as long as its roof stands."""
    opened = 2 * course.cells.open_from
    before = np.where(opened > 0, course.finding[opened - 1], 0.0)
    return np.searchsorted(course.finding, before[cell] + chance.exponential(size=cell.size), side="right")
