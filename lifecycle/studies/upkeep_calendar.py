"""The years after, as dated jobs: what is due under one way, when, by whom, and for about how much.

Lecture
-------
The model already says when each job of a plan is due (`evaluation.timeline`): by the clocks of the roof
that stands, then, after a planned change, by those of the new one. Here its months become days: month
m is m calendar months after the base date, or the last day of a shorter month. What a sale at the
years kept does not count is left out: that day the coach is sold.

Besides the jobs there are *occasions*: a first look, today; the planned change; the end of a warranty,
with a look before it; each year the question whether the answer still stands; the end of the years
kept. The dates hold as long as the roof stands: a new roof that nobody planned needs a new calendar.

*By whom* follows from the figures: a job that takes the owner's hours and no day without the coach is
the owner's; a job that costs money or days is a shop's; both together, a shop's with the owner's help.
What *kind* of job it is follows from what it does, whatever its name: a topcoat rejuvenates, a full
reseal restores all of the seals' age, a touch-up a part of it, a look finds leaks.

Left out: what happens by chance.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from lifecycle.evaluation.timeline import due_visits
from lifecycle.quantities import Figure
from lifecycle.roofs import Alternative, Case, Roof, Visit
from lifecycle.scenario import Scenario, Stated, StatedRoof, StatedVisit, Use, resolve

LOOK, TOUCH_UP, RESEAL, TOPCOAT, OTHER = "look", "touch_up", "reseal", "topcoat", "other"
"""Kinds of jobs."""

FIRST_LOOK, CHANGE, WARRANTY, REVIEW, END = "first_look", "change", "warranty", "review", "end"
"""Kinds of occasions."""

OWNER, SHOP, BOTH, NOBODY = "owner", "shop", "both", "nobody"
"""Who does a job; nobody: the scenario does not say."""

BEFORE_WARRANTY_ENDS = 1
"""Months before the end of a warranty at which the look is due. [months]"""


@dataclass(frozen=True)
class Range:
    """Low, likely and high value of a figure; all the same for a single value. [unit of the figure]"""

    low: float
    likely: float
    high: float

    @property
    def any(self) -> bool:
        """Whether it is more than nothing."""
        return self.high > 0.0


NOTHING = Range(0.0, 0.0, 0.0)
"""No money, no hours, no days."""


@dataclass(frozen=True)
class Job:
    """Something to do on one day.

    Parameters
    ----------
    kind : str
        What it is: a kind of job, or of occasion.
    name : str
        Name of the job in its plan; title of the way for a change; "" for other occasions.
    day : date
        When.
    month : int
        Months after the base date. [months]
    by : str
        Who does it.
    cost : Range
        Price at the base date. [money]
    hours, days : Range
        The owner's hours; days without the coach. [h, days]
    every : int or None
        Interval of the plan; None: once. [months]
    covering : str
        What lies on the roof that day: name of a covering.
    ends : date or None
        Day on which a warranty ends.
    """

    kind: str
    name: str
    day: date
    month: int
    by: str = NOBODY
    cost: Range = NOTHING
    hours: Range = NOTHING
    days: Range = NOTHING
    every: int | None = None
    covering: str = ""
    ends: date | None = None


def dated_jobs(scenario: Scenario, way: str) -> tuple[Job, ...]:
    """Return what is due under one way, from the base date to the years kept, in order of time."""
    case = resolve(scenario)
    chosen = case.alternative(way)
    jobs = [*_upkeep(scenario, case, chosen), *_occasions(scenario, case, chosen)]
    return tuple(sorted(jobs, key=lambda job: (job.month, job.kind != FIRST_LOOK)))


def day_after(start: date, months: int) -> date:
    """Return the day so many calendar months later, or the last of a shorter month.

    Examples
    --------
    >>> day_after(date(2027, 1, 31), 1), day_after(date(2027, 4, 1), -3)
    (datetime.date(2027, 2, 28), datetime.date(2027, 1, 1))
    """
    year, month = divmod(12 * start.year + start.month - 1 + months, 12)
    return date(year, month + 1, min(start.day, calendar.monthrange(year, month + 1)[1]))


def months_kept(case: Case) -> int:
    """Return the month of the sale at the years kept. [months]"""
    return round(12.0 * float(case.terms.holding_period))


def _upkeep(scenario: Scenario, case: Case, way: Alternative) -> Iterator[Job]:
    """Go through the jobs of the roof that stands, and of the planned one."""
    end, planned = months_kept(case), way.change_month
    stated = scenario.alternative(way.name)
    last = end - 1 if planned is None else min(end - 1, planned)
    own = due_visits(way.roof, max(0, last), standing=case.existing, planned=planned)
    yield from _of_roof(scenario, scenario.roofs[stated.roof], way.roof, own, 0)
    if planned is not None and planned < end:
        following = due_visits(way.then, end - 1 - planned)
        yield from _of_roof(scenario, scenario.roofs[stated.then], way.then, following, planned)


def _of_roof(
    scenario: Scenario, roof: StatedRoof, resolved: Roof, due: tuple[tuple[Visit, ...], ...], laid: int
) -> Iterator[Job]:
    """Go through the jobs of one roof, laid in a month."""
    stated = {id(one): two for one, two in zip(resolved.all_visits, roof.all_visits, strict=True)}
    for month, visits in enumerate(due):
        for visit in visits:
            yield _job(scenario, roof, stated[id(visit)], visit, laid + month)


def _job(scenario: Scenario, roof: StatedRoof, stated: StatedVisit, visit: Visit, month: int) -> Job:
    """Return one job."""
    cost, hours, days = (
        range_of(scenario, stated.numbers.get(name, 0.0)) for name in ("cost", "hours", "days")
    )
    return Job(
        kind_of(visit),
        visit.name,
        day_after(scenario.base_date, month),
        month,
        _by(cost, hours, days),
        cost,
        hours,
        days,
        visit.every,
        roof.covering,
    )


def kind_of(visit: Visit) -> str:
    """Return what kind of job a visit is, by what it does.

    Examples
    --------
    >>> kind_of(Visit("any", 12, restores=1.0)), kind_of(Visit("any", 12, finds=0.4))
    ('reseal', 'look')
    """
    if np.any(visit.rejuvenates):
        return TOPCOAT
    if visit.is_full_reseal:
        return RESEAL
    if np.any(visit.restores):
        return TOUCH_UP
    return LOOK if np.any(visit.finds) else OTHER


def range_of(scenario: Scenario, stated: Stated) -> Range:
    """Return the range of a stated number, its ratios at their likely values."""
    if not isinstance(stated, Use):
        return Range(stated, stated, stated)
    figure: Figure = scenario.inputs[stated.path]
    ratio = math.prod(scenario.inputs[path].likely for path in stated.ratios)
    return Range(figure.low * ratio, figure.likely * ratio, figure.high * ratio)


def _by(cost: Range, hours: Range, days: Range) -> str:
    """Return who does a job."""
    if hours.any:
        return BOTH if days.any else OWNER
    return SHOP if cost.any or days.any else NOBODY


def _occasions(scenario: Scenario, case: Case, way: Alternative) -> Iterator[Job]:
    """Go through what is due besides upkeep."""
    start, end, planned = scenario.base_date, months_kept(case), way.change_month
    stated = scenario.alternative(way.name)
    now, then = scenario.roofs[stated.roof], scenario.roofs[stated.then]
    yield Job(FIRST_LOOK, "", start, 0, OWNER, covering=now.covering)
    if planned is not None and planned < end:
        cost, days = range_of(scenario, stated.quote), range_of(scenario, stated.days)
        day = day_after(start, planned)
        yield Job(CHANGE, way.title, day, planned, SHOP, cost, days=days, covering=then.covering)
    if planned is None or planned > 0:
        until = end if planned is None else min(end, planned)
        yield from _warranty(start, way.roof, now.covering, -case.existing.age, until)
    if planned is not None:
        yield from _warranty(start, way.then, then.covering, planned, end)
    for month in range(12, end, 12):
        covering = then.covering if planned is not None and month >= planned else now.covering
        yield Job(REVIEW, "", day_after(start, month), month, OWNER, covering=covering)
    yield Job(END, "", day_after(start, end), end, OWNER)


def _warranty(start: date, roof: Roof, covering: str, laid: int, until: int) -> Iterator[Job]:
    """Return the look before a warranty ends, if it falls into the time that the roof stands and is kept."""
    years = float(roof.warranty_years)
    if not years or not np.any(roof.warranty_share):
        return
    ends = laid + round(12.0 * years)
    look = ends - BEFORE_WARRANTY_ENDS
    if max(0, laid) <= look < until:
        day, last = day_after(start, look), day_after(start, ends)
        yield Job(WARRANTY, "", day, look, OWNER, covering=covering, ends=last)
