"""A fleet under a yearly budget: which coaches first, what waits and at what price, what is spent each year.

Lecture
-------
The grid answers each coach alone (`grid`). The change in question is worth while on a coach if it saves over
the *best way of keeping*, at its mean over the futures; what the owner would do otherwise is often dearer
than that and would flatter it. Coaches are ranked by the savings-to-investment ratio against the best way of
keeping, the largest first (the order in which a budget is best spent: 10 CFR 436.22 ranks projects so)::

    ratio = mean of (savings + further investment) / mean of further investment

and the year's budget is given out in that order until it is spent; the next in order waits for the next year,
and none smaller jumps the queue. What is left of a year is not carried over. A coach that costs more than a
whole year's budget is named apart, and so is one that is sold before its turn.

- *Trouble first and apart*: a coach with trouble is opened before anything is compared; it has no rank.
- *What waits*: for one that is worth while, what waiting until its turn costs, under the best way of keeping
  meanwhile; for one that is not, the price at which it would be.
- *Spending by year* is money that is paid out: hours and days of the owner's own, and what a sale brings, are
  none; prices are today's, not discounted. A year counts the coaches that are not sold before its end. Nobody
  knows the inputs, and they are alike for all coaches: so the low ends of all coaches are added up, and the
  high ends. A fleet whose coaches were unlike would have a narrower band.
- *The same upkeep for all*: what each way costs if every coach takes it, beside each coach taking the one
  that leads for it.
- *Days out of use*: expected over the years kept, at likely values.

Left out: what a coach loses in worth by its age; coaches bought later; a shop that takes only so many a year;
rent lost beyond a day's worth. Source: the ratio is ASTM E964's; ranking by it 10 CFR part 436 subpart A,
from memory; the queue a convention of our own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from lifecycle.evaluation.expectation import evaluate
from lifecycle.quantities import Array
from lifecycle.roofs import Alternative, Case
from lifecycle.scenario import resolve
from lifecycle.studies.doubt import band
from lifecycle.studies.futures import Progress, futures, in_draws, walked
from lifecycle.studies.grid import Grid
from lifecycle.studies.stories import unsold

if TYPE_CHECKING:
    import pandas

Three = tuple[float, float, float]
"""Mean, and the low and the high end of 8 in 10 futures."""

YEARS = 10
"""Years of spending that are shown at most. [years]"""

OPEN, ONE, NOT_TODAY, NOT_WORTH, ABOVE, SOLD, TAKEN = (
    *("open first", "nothing compared", "no change today", "not worth while"),
    *("above a year's budget", "sold before its turn", "in the budget"),
)
"""Where a coach stands."""


@dataclass(frozen=True)
class Coach:
    """One coach of the fleet.

    Parameters
    ----------
    point : int
        Of the grid.
    label : str
        What it is called.
    stands : str
        Where it stands: `OPEN`, `TAKEN` or another.
    trouble, reason : str
        Signs of trouble that are reported; why nothing is compared.
    years : float
        Years until it is sold. [years]
    lead, lead_way, keeping, change, otherwise : str
        Short title and name of the way that leads; names of the best way of keeping, of the change in
        question, and of what is done otherwise.
    price : float
        What the change costs. [money]
    worth : Three
        Highest price worth paying, against the best way of keeping. [money]
    saves, ratio : Three
        What it saves over that, and the savings-to-investment ratio. [money], [-]
    invested : float
        What it lays out more than that, over the years kept. [money]
    of_20 : float
        In how many of 20 futures it saves over that.
    word : str
        The verdict's, against what is done otherwise.
    costs : mapping of str to Three
        Cost of every way of the file by name. [money]
    lead_cost : Three
        Cost of the way that leads. [money]
    turn : int or None
        Year of the budget in which it is done, from 1.
    """

    point: int
    label: str
    stands: str
    trouble: str = ""
    reason: str = ""
    years: float = math.nan
    lead: str = ""
    lead_way: str = ""
    keeping: str = ""
    change: str = ""
    otherwise: str = ""
    price: float = math.nan
    worth: Three = (math.nan,) * 3
    saves: Three = (math.nan,) * 3
    ratio: Three = (math.nan,) * 3
    invested: float = math.nan
    of_20: float = math.nan
    word: str = ""
    costs: Mapping[str, Three] = field(default_factory=dict)
    lead_cost: Three = (math.nan,) * 3
    turn: int | None = None


def coaches_of(frame: pandas.DataFrame) -> tuple[Coach, ...]:
    """Read the coaches of a fleet from the tidy table of its grid, in its order, without turns.

    The grid has ratios, and one number of years kept for each coach.
    """
    return tuple(_coach(int(point), some) for point, some in frame.groupby("point", sort=True))


def _coach(point: int, rows: pandas.DataFrame) -> Coach:
    """Read one coach from its rows."""
    first = rows.iloc[0]
    label, trouble = str(first.get("label", "") or first.scenario), str(first.trouble)
    if first.reason:
        stands = OPEN if trouble else ONE
        return Coach(point, label, stands, trouble, str(first.reason), float(first.years))
    by_way = rows.set_index("way")
    lead, keeping = by_way.loc[first.lead], rows[rows.best_keeping]
    subject, other = rows[rows.subject].way.iloc[0], rows[rows.base_case].way.iloc[0]
    coach = Coach(
        point,
        label,
        NOT_TODAY,
        years=float(first.years),
        lead=str(lead.short),
        lead_way=str(first.lead),
        change=str(subject),
        otherwise=str(other),
        word=str(first.word),
        costs={str(way): _three(row, "cost") for way, row in by_way.iterrows()},
        lead_cost=_three(lead, "cost"),
    )
    if keeping.empty or math.isnan(keeping.price.iloc[0]):
        return coach
    best = keeping.iloc[0]
    price = float(best.price - best.saves)
    free = best.saves > 0.0 and math.isnan(best.ratio)
    return replace(
        coach,
        stands=TAKEN if best.saves > 0.0 else NOT_WORTH,
        keeping=str(best.way),
        price=price,
        worth=_three(best, "price"),
        saves=_three(best, "saves"),
        ratio=(math.inf,) * 3 if free else _three(best, "ratio"),
        invested=float(best.invested),
        of_20=float(best.of_20),
    )


def _three(row: pandas.Series, name: str) -> Three:
    """Return mean, low and high of a row."""
    return float(row[name]), float(row[f"{name}_p10"]), float(row[f"{name}_p90"])


def queued(coaches: Sequence[Coach], budget: float) -> tuple[Coach, ...]:
    """Give a yearly budget, in today's prices, out to coaches, the largest ratio first.

    Those with trouble come first; then those that have a turn, in order; then the others by ratio.
    """
    order = sorted(
        (one for one in coaches if one.stands == TAKEN), key=lambda one: (-one.ratio[0], one.label)
    )
    year, spent, done = 1, 0.0, []
    for coach in order:
        if coach.price > budget:
            done.append(replace(coach, stands=ABOVE))
            continue
        turn, sum_ = (year, spent + coach.price) if spent + coach.price <= budget else (year + 1, coach.price)
        if turn - 1 >= coach.years:
            done.append(replace(coach, stands=SOLD))
            continue
        year, spent = turn, sum_
        done.append(replace(coach, turn=turn))
    rank = {OPEN: 0, TAKEN: 1}
    others = [one for one in coaches if one.stands != TAKEN]
    return tuple(
        sorted(
            (*done, *others),
            key=lambda one: (rank.get(one.stands, 2), one.turn or 0, -_or_last(one.ratio[0]), one.label),
        )
    )


def _or_last(ratio: float) -> float:
    """Return a ratio, or below all others where there is none."""
    return -math.inf if math.isnan(ratio) else ratio


@dataclass(frozen=True)
class Path:
    """What a coach pays by year and costs in all, as is done otherwise and by the plan.

    Parameters
    ----------
    otherwise, planned : ndarray, shape (3, years)
        Spending in each year: mean, low, high. [money/year]
    waiting : float
        What its turn costs more than the change now, in today's money; 0 for the first year. [money]
    days : (float, float)
        Expected days out of use over the years kept, otherwise and by the plan. [days]
    """

    otherwise: Array
    planned: Array
    waiting: float
    days: tuple[float, float]


def paths_of(whole: Grid, coaches: Sequence[Coach], *, progress: Progress | None = None) -> dict[int, Path]:
    """Follow each compared coach, by point of the grid: as is done otherwise, and by the plan."""
    compared = [coach for coach in coaches if coach.otherwise]

    found = walked(compared, lambda coach, _: _path(whole, coach), progress=progress)
    return {coach.point: one for coach, one in zip(compared, found, strict=True)}


def _path(whole: Grid, coach: Coach) -> Path:
    """Follow one coach."""
    scenario = whole.scenario(whole.point(coach.point))
    drawn = futures(scenario, draws=whole.draws, seed=whole.seed)
    case = in_draws(scenario, drawn)
    planned = replace(case.kept(coach.years), alternatives=tuple(_plan(case, coach).values()))
    paid = spending(planned, drawn.weights, YEARS)
    sold = evaluate(planned, totals_only=True)
    mean = {name: float(np.mean(drawn.weights @ one.at_holding)) for name, one in sold.items()}
    likely = resolve(scenario)
    likely = replace(likely, terms=replace(likely.terms, holding_period=coach.years))
    counted = evaluate(replace(likely, alternatives=tuple(_plan(likely, coach).values())))
    days = {name: float(one.expected["days"][0]) for name, one in counted.items()}
    waiting = mean["planned"] - mean["now"] if coach.turn else 0.0
    return Path(paid["otherwise"], paid["planned"], waiting, (days["otherwise"], days["planned"]))


def _plan(case: Case, coach: Coach) -> dict[str, Alternative]:
    """Return what is done otherwise, by the plan, and the change now, as ways of a case."""
    otherwise, named = case.alternative(coach.otherwise), coach.keeping or coach.lead_way
    planned = next((way for way in case.alternatives if way.name == named), otherwise)
    ways = {"otherwise": otherwise, "planned": planned}
    if coach.turn:
        change = case.alternative(coach.change)
        ways["planned"] = replace(change, roof=planned.roof, change_month=12 * (coach.turn - 1))
        ways["now"] = replace(change, roof=planned.roof)
    return {name: replace(way, name=name, base_case=name == "otherwise") for name, way in ways.items()}


def spending(case: Case, weights: Array, years: int) -> dict[str, Array]:
    """Return what each way pays out by year until the coach is sold: mean, low and high end, (3, years).

    The case is in futures, and kept for whole years, or to the end of a year that is begun. In today's
    prices, not discounted. [money/year]
    """
    bare = unsold(replace(case, terms=replace(case.terms, hour_value=0.0, day_cost=0.0)))
    found = {}
    for name, ledger in evaluate(bare, totals_only=True).items():
        paid = np.diff(ledger.net_present_cost, axis=1)[:, :years]
        paid = np.broadcast_to(paid, (weights.size, paid.shape[1]))
        of_year = band(paid, weights)
        shown = np.zeros((3, years))
        shown[:, : paid.shape[1]] = of_year.mean, of_year.p10, of_year.p90
        found[name] = shown
    return found


def summed(threes: Sequence[Three]) -> Three:
    """Add up means, low ends and high ends: nobody knows the inputs, and they are alike for all.

    Examples
    --------
    >>> summed([(2.0, 1.0, 4.0), (3.0, 2.0, 4.0)])
    (5.0, 3.0, 8.0)
    """
    return tuple(math.fsum(one[place] for one in threes) for place in range(3))  # type: ignore[return-value]


def same_for_all(coaches: Sequence[Coach]) -> dict[str, Three]:
    """Return what each way costs if every coach takes it, for ways that every compared coach has. [money]

    By name of the way, the cheapest first.
    """
    compared = [coach for coach in coaches if coach.otherwise]
    if not compared:
        return {}
    common = set.intersection(*(set(coach.costs) for coach in compared))
    found = {way: summed([coach.costs[way] for coach in compared]) for way in common}
    return dict(sorted(found.items(), key=lambda one: (one[1][0], one[0])))
