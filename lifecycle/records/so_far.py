"""What was spent so far against what the comparison had expected of the same time.

Lecture
-------
Spent: what the log says, brought to the money of the base date by the likely inflation. Expected: the
account of the way that was taken, from the base date to the day on which the log ends, in the same money
and not discounted, for every future; so it has a mean and a band (8 in 10 futures). The two are held
against each other by

    change today   the change that the way begins with
    upkeep         by job
    repairs        leaks and later new roofs, less what warranty and insurance pay, for an owner logs what
                   is left to pay
    at the sale    what the buyer takes off, less what is left of the roof; only after a sale

and, apart, the owner's own hours. Days without the coach, cooling and the loan are not in a log, so they
are left out on both sides.

The expected number is a mean over luck, and luck is nearly all in the repairs. Lives drawn by chance
(`evaluation.simulation`) under the same way, to the same day, every input at its likely value, say how
many coaches have no repair at all, and how many spend less on repairs than the owner did.

Left out: who paid for what besides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.simulation import simulate
from lifecycle.quantities import Array
from lifecycle.records.logbook import LEAK, RENEWAL, SALE, Log, changes_now
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import Band, band
from lifecycle.studies.futures import Futures

CHANGE, REPAIRS, AT_SALE = "change today", "repairs", "at the sale"
"""Rows besides the jobs."""

UPKEEP = "upkeep: "
"""How an account names the upkeep category of one job."""

_PARTS = {
    CHANGE: ("initial",),
    REPAIRS: ("renewal", "leak damage", "warranty", "insurance"),
    AT_SALE: ("sale",),
}

ROUNDING = 0.02
"""What is nearer than this to a band counts as within it. [-]"""

LIVES = 8192
"""Lives drawn for the luck: a share is then within 0.6 %, one standard error."""


@dataclass(frozen=True)
class Held:
    """One row: what was spent against what was expected.

    Parameters
    ----------
    name : str
        A job, or one of the other rows.
    spent : float
        [money, or h]
    expected : Band
        Over the futures, each of shape (). [money, or h]
    """

    name: str
    spent: float
    expected: Band

    @property
    def within(self) -> bool:
        """Whether 8 in 10 futures hold what was spent, but for `ROUNDING` of what was expected."""
        least = max(0.5, ROUNDING * abs(float(self.expected.mean)))
        return bool(self.expected.p10 - least <= self.spent <= self.expected.p90 + least)


@dataclass(frozen=True)
class SoFar:
    """The account of the logged time.

    Parameters
    ----------
    months : int
        That it counts. [months]
    rows : tuple of Held
        Money by row; those that are nothing on both sides are left out.
    total, hours : Held
        All money; the owner's own hours.
    paid : float
        Paid in all, in the money of each day. [money]
    other : str or None
        The other way: what the owner would have done otherwise, or the subject.
    other_total, other_hours : Band or None
        What was expected of the other way.
    no_repairs, fewer_repairs : float
        Share of coaches under the way taken that pay for no repair, or for less than the owner did, by
        luck. [-]
    """

    months: int
    rows: tuple[Held, ...]
    total: Held
    hours: Held
    paid: float
    other: str | None
    other_total: Band | None
    other_hours: Band | None
    no_repairs: float
    fewer_repairs: float


def so_far(scenario: Scenario, log: Log, drawn: Futures, *, seed: int = 1) -> SoFar:
    """Hold what was spent against what was expected, in draws of the inputs; `seed` is of the lives."""
    months = log.months_of_account
    sold = log.sale is not None
    other = other_way(scenario, log.way)
    case = _to_the_day(resolve(scenario, drawn.sample.values), months, log.way, other)
    accounts = _accounts(case, drawn.weights.size, sold)
    spent, hours = spent_by_row(scenario, log)
    own, own_hours = accounts[log.way]
    rows = tuple(
        Held(name, spent.get(name, 0.0), _band(own.get(name, np.zeros(1)), drawn))
        for name in dict.fromkeys((*own, *spent))
        if name != AT_SALE or sold
    )
    total = sum(spent.get(row.name, 0.0) for row in rows)
    theirs = accounts[other] if other else None
    lives = _repairs_by_luck(scenario, log.way, months, seed)
    return SoFar(
        months=months,
        rows=tuple(row for row in rows if row.spent or np.any(np.abs(own.get(row.name, 0.0)) >= 0.5)),
        total=Held("total", total, _band(_sum(own), drawn)),
        hours=Held("hours", hours, _band(own_hours, drawn)),
        paid=sum(entry.cost for entry in log.entries if entry.kind != SALE),
        other=other,
        other_total=_band(_sum(theirs[0]), drawn) if theirs else None,
        other_hours=_band(theirs[1], drawn) if theirs else None,
        no_repairs=float(np.mean(lives < 0.5)),
        fewer_repairs=float(np.mean(lives < spent.get(REPAIRS, 0.0) - 0.5)),
    )


def other_way(scenario: Scenario, way: str) -> str | None:
    """Return the way that was not taken: what the owner would do otherwise, or the subject."""
    base = scenario.base_case.name
    if way != base:
        return base
    others = [one for one in scenario.alternatives if one.name != base]
    now = [one for one in others if changes_now(one, scenario)]
    first = next(iter([*(one for one in others if one.subject), *now, *others]), None)
    return first.name if first else None


def spent_by_row(scenario: Scenario, log: Log) -> tuple[dict[str, float], float]:
    """Return what was spent by row, in the money of the base date, and the owner's hours. [money, h]"""
    inflation = inflation_of(scenario)
    names = {RENEWAL: REPAIRS, LEAK: REPAIRS, SALE: AT_SALE}
    way = scenario.alternative(log.way)
    change = next((entry for entry in log.entries if entry.kind == RENEWAL), None)
    spent: dict[str, float] = {}
    for entry in log.entries:
        name = CHANGE if entry is change and changes_now(way, scenario) else names.get(entry.kind, entry.kind)
        spent[name] = spent.get(name, 0.0) + log.real_cost(entry, inflation)
    return spent, sum(entry.hours for entry in log.entries)


def inflation_of(scenario: Scenario) -> float:
    """Return the likely inflation of a scenario; 0 where it states none. [1/year]"""
    return scenario.likely(scenario.study.get("inflation", 0.0))


def _to_the_day(case: Case, months: int, *names: str | None) -> Case:
    """Return some ways of a case, from the base date to a month, not discounted and without a loan."""
    terms = replace(
        case.terms,
        study_period=max(1, math.ceil(months / 12.0)),
        holding_period=months / 12.0,
        discount_rate=0.0,
    )
    return replace(case.only(names), terms=terms, loan=None)


def _accounts(case: Case, draws: int, sold: bool) -> dict[str, tuple[dict[str, Array], Array]]:
    """Return for each way the money by row, and the owner's hours, each of shape (draws,)."""
    return {
        name: (_by_row(ledger.by_category, draws, sold), _all(ledger.expected["hours"], draws))
        for name, ledger in evaluate(case).items()
    }


def _by_row(by_category: Mapping[str, Array], draws: int, sold: bool) -> dict[str, Array]:
    """Sum the categories of an account up to the rows of a log."""
    rows = {}
    for name, parts in _PARTS.items():
        if name != AT_SALE or sold:
            amounts = [by_category[part] for part in parts if part in by_category]
            rows[name] = _all(sum(amounts, start=np.zeros(1)), draws)
    jobs = {
        name.removeprefix(UPKEEP): _all(amount, draws)
        for name, amount in by_category.items()
        if name.startswith(UPKEEP)
    }
    return {CHANGE: rows.pop(CHANGE), **jobs, **rows}


def _all(values: Array, draws: int) -> Array:
    """Return one value for each draw."""
    return np.broadcast_to(values, (draws,))


def _sum(rows: Mapping[str, Array]) -> Array:
    """Add rows up."""
    return np.asarray(sum(rows.values()))


def _band(values: Array, drawn: Futures) -> Band:
    """Return mean and band over the futures."""
    return band(_all(values, drawn.weights.size), drawn.weights)


def _repairs_by_luck(scenario: Scenario, way: str, months: int, seed: int) -> Array:
    """Return what single coaches pay for repairs under a way to the day, by luck, shape (lives,). [money]"""
    if months == 0:
        return np.zeros(LIVES)
    case = _to_the_day(resolve(scenario), months, way)
    account = simulate(case, lives=LIVES, seed=seed)[way].by_category
    return _by_row(account, LIVES, sold=False)[REPAIRS]


FAR_FROM = 1.25
"""A price paid is another one than was taken if it is so many times as much, or as little. [-]"""


@dataclass(frozen=True)
class PricePaid:
    """What a job cost, by the log and in the comparison; both in the money of the base date.

    Parameters
    ----------
    name : str
        The job.
    times : int
        How often it was paid for.
    paid, taken : float
        On average by the log; likely value of the comparison. [money]
    """

    name: str
    times: int
    paid: float
    taken: float

    @property
    def another(self) -> bool:
        """Whether the two are far from each other."""
        return not self.taken / FAR_FROM <= self.paid <= self.taken * FAR_FROM


def prices_paid(scenario: Scenario, log: Log) -> tuple[PricePaid, ...]:
    """Return what each job of the way taken cost, where something was paid for it."""
    way = resolve(scenario).alternative(log.way)
    taken = {visit.name: float(visit.cost) for roof in (way.roof, way.then) for visit in roof.all_visits}
    inflation = inflation_of(scenario)
    found = []
    for name, cost in taken.items():
        paid = [log.real_cost(entry, inflation) for entry in log.entries if entry.kind == name and entry.cost]
        if paid:
            found.append(PricePaid(name, len(paid), sum(paid) / len(paid), cost))
    return tuple(found)
