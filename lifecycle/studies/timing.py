"""Now, later or never: when to change, and how often to reseal.

Lecture
-------
*When.* The change is put off to the end of year 0, 1, 2 ... as long as the coach is kept, to the day
when the roof must be renewed, and for ever (the same roof is laid again). For the years of waiting
the roof is kept in the way that is cheapest on average, among the plans that the scenario gives to
the existing roof; if nobody said whether the owner climbs, among those of a shop. Costs stand at the
likely holding period. If waiting y years costs C_y and changing now C_0, the price may rise by::

    (C_0 - C_y) / (discounted expected number of changes when one waits)

before waiting costs more: the test of a price that is said to hold for today only. Below 0, waiting
costs more even at today's price.

*How often.* The full reseal of a way of keeping the roof is done every 6 ... 72 months, or never;
everything else stays. The cheapest interval may be "seldom".

Under doubt every choice is evaluated in the same futures; the chance of being best is shared between
choices within 1 %. Choices are compared by their mean.

Left out: that a price may fall, and that one learns while waiting.
Source: the model's own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np

from lifecycle.data import frame_words
from lifecycle.quantities import Array, Frame, Framed
from lifecycle.roofs import Alternative, Case, Roof
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.decision import chances_cheapest
from lifecycle.studies.doubt import Band, band
from lifecycle.studies.futures import DRAWS, SEED, Cost, Evaluator, Futures, Progress, futures, in_draws
from lifecycle.studies.switching import ways_in_question
from lifecycle.studies.ways import dates, judged_way
from lifecycle.studies.ways import waiting_roofs as roofs_of

NEVER = "never"
"""The choice of no change."""

INTERVALS = (6, 12, 18, 24, 36, 48, 60, 72)
"""Reseal intervals compared. [months]"""


@dataclass(frozen=True)
class Choice:
    """One date of the change, or one reseal interval.

    Parameters
    ----------
    when : int or str
        Years of waiting or months between reseals; or a word.
    upkeep : str
        Name of the roof with the upkeep of the years of waiting.
    cost : Band
        Net-present cost at the likely holding period. [money]
    chance_best : float
        Chance that it is the best of its table. [-]
    price_rise : float or None
        How far the price may rise before this waiting costs more than now, on average. [money]
    """

    when: int | str
    upkeep: str
    cost: Band
    chance_best: float
    price_rise: float | None = None

    @property
    def mean(self) -> float:
        """Mean cost. [money]"""
        return float(self.cost.mean)


@dataclass(frozen=True)
class Timing(Framed):
    """When to change, and how often to reseal.

    Parameters
    ----------
    change : tuple of Choice
        By years of waiting, then when it must, then never.
    reseal : tuple of Choice
        By interval, then never; empty if no way of keeping the roof has a full reseal.
    years : float
        Likely holding period. [years]
    quote : float
        Likely price of the change today. [money]
    subject : str
        The way whose change is put off.
    resealed : str
        The roof whose reseal interval is varied.
    draws, seed : int
        Number of futures, and the seed of their points.
    currency : str
        Unit of all money.
    """

    change: tuple[Choice, ...]
    reseal: tuple[Choice, ...]
    years: float
    quote: float
    subject: str
    resealed: str
    draws: int
    seed: int
    currency: str = "money"

    def __repr__(self) -> str:
        """Name the cheapest date and the cheapest interval."""
        said = frame_words("timing")
        head = said("named", way=repr(self.subject), years=f"{self.years:g}", when=self.best_change.when)
        return head + (said("how_often", when=self.best_reseal.when) if self.best_reseal else "")

    def to_frame(self) -> Frame:
        """Return dates and intervals as rows.

        Returns
        -------
        pandas.DataFrame
            By question ("change", in years of waiting; "reseal", in months) and choice: mean, 10 and 90 %
            points of the net-present cost [money], chance of being the best of its table [-], and how far the
            price may rise [money].
        """
        import pandas

        said = frame_words("timing", money=self.currency)
        rows = [
            {
                said("question"): question,
                said("when"): choice.when,
                said("upkeep"): choice.upkeep,
                **{
                    said("cost", point=point): float(getattr(choice.cost, point))
                    for point in ("mean", "p10", "p90")
                },
                said("best"): choice.chance_best,
                said("rise"): choice.price_rise,
            }
            for question, choices in (("change", self.change), ("reseal", self.reseal))
            for choice in choices
        ]
        return pandas.DataFrame(rows).set_index([said("question"), said("when")])

    @property
    def best_change(self) -> Choice:
        """The choice with the smallest mean cost."""
        return min(self.change, key=attrgetter("mean"))

    @property
    def best_reseal(self) -> Choice | None:
        """The interval with the smallest mean cost."""
        return min(self.reseal, key=attrgetter("mean")) if self.reseal else None


def timing(
    scenario: Scenario,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    drawn: Futures | None = None,
    evaluator: Evaluator | None = None,
    progress: Progress | None = None,
) -> Timing:
    """Evaluate every date of the change and every reseal interval under doubt.

    Parameters
    ----------
    scenario : Scenario
        Its subject is the change.
    draws, seed : int
        Number of futures, and the seed of their points.
    drawn : Futures or None
        The futures, where they are drawn already: so many, with this seed.
    evaluator : Evaluator or None
        With what it keeps of other studies of these futures.
    progress : callable or None
        As for `Evaluator.costs`.

    Returns
    -------
    Timing
        ``best_change`` and ``best_reseal``; ``to_frame()`` has a row for each date and interval.
    """
    drawn = drawn or futures(scenario, draws=draws, seed=seed)
    case = in_draws(scenario, drawn)
    likely = resolve(scenario)
    years = float(np.asarray(likely.terms.holding_period))
    case = case.kept(years)
    subject = case.alternative(ways_in_question(scenario, judged_way(scenario), None)[0])
    borrows = case.loan is not None and case.loan.alternative == subject.name
    now = f"0 {subject.roof.name}"
    case = replace(case, loan=replace(case.loan, alternative=now) if case.loan and borrows else None)
    quote = float(np.mean(likely.alternative(subject.name).quote))
    resealed = _resealed(case)
    changes = _dates(case, subject, years, roofs_of(scenario, climbing=scenario.climbs is not None))
    intervals: dict[int | str, Alternative] = {}
    if resealed is not None:
        whens: list[int | str] = [*INTERVALS, NEVER]
        intervals = {when: _resealed_every(resealed, when) for when in whens}
    ways = (*changes.values(), *intervals.values())
    work = evaluator or Evaluator(by_category=False)
    accounts = work.costs(replace(case, alternatives=ways), drawn.weights.size, progress=progress)
    change = _best_dates(changes, accounts, drawn.weights)
    name = resealed.name if resealed is not None else ""
    chosen = {when: (name, accounts[way.name]) for when, way in intervals.items()}
    reseal = _choices(chosen, drawn.weights) if chosen else ()
    return Timing(change, reseal, years, quote, subject.name, name, draws, seed, scenario.currency)


def waiting_roofs(case: Case) -> dict[str, Roof]:
    """Return the roofs that the existing one may be while one waits: those of its ways, by name."""
    return {way.roof.name: way.roof for way in case.alternatives}


def _dates(
    case: Case, subject: Alternative, years: float, kept: Sequence[str]
) -> dict[tuple[int | str, str], Alternative]:
    """Return the ways of putting the change off, by date and by the roof that is kept until then."""
    whens: list[int | str] = [*dates(years), NEVER]
    roofs = {name: roof for name, roof in waiting_roofs(case).items() if name in kept}
    now = subject.roof.name
    return {(0, now): _put_off(subject, subject.roof, 0, f"0 {now}")} | {
        (when, name): _put_off(subject, roofs[name], when, f"{when} {name}")
        for when in whens
        for name in sorted(roofs)
    }


def _best_dates(
    dates: Mapping[tuple[int | str, str], Alternative], accounts: Mapping[str, Cost], weights: Array
) -> tuple[Choice, ...]:
    """Return the choices of the date, each with the upkeep that is cheapest on average."""
    options: dict[int | str, list[tuple[str, Cost]]] = {}
    for (when, name), way in dates.items():
        options.setdefault(when, []).append((name, accounts[way.name]))
    return _choices(
        {
            when: min(upkeeps, key=lambda option: _weighted(option[1].at_holding, weights))
            for when, upkeeps in options.items()
        },
        weights,
    )


def _put_off(subject: Alternative, roof: Roof, when: int | str, name: str) -> Alternative:
    """Return the subject with its change put off, the roof kept under one upkeep until then."""
    if when == NEVER:
        return Alternative(name, name, roof, roof, None, roof.renew_cost, roof.renew_days)
    month = 12 * when if isinstance(when, int) else None
    return replace(subject, name=name, roof=roof, change_month=month)


def _weighted(values: Array, weights: Array) -> float:
    """Mean over the futures; one value stands for all."""
    return float(np.sum(weights * values))


def _choices(chosen: Mapping[int | str, tuple[str, Cost]], weights: Array) -> tuple[Choice, ...]:
    """Turn the accounts of choices into a table."""
    costs = {when: account.at_holding for when, (_, account) in chosen.items()}
    chances = chances_cheapest(np.stack(list(costs.values()), axis=1), weights)
    now = costs.get(0)
    choices = []
    for (when, (upkeep, account)), chance in zip(chosen.items(), chances, strict=True):
        rise = None
        if now is not None and isinstance(when, int) and when > 0:
            number = _weighted(account.first_change, weights)
            rise = _weighted(now - costs[when], weights) / number
        choices.append(Choice(when, upkeep, band(costs[when], weights), float(chance), rise))
    return tuple(choices)


def _resealed(case: Case) -> Roof | None:
    """Return the roof whose reseal interval is varied: the base case's, else the first that has one."""
    roofs = [case.base_case.roof, *waiting_roofs(case).values()]
    return next((roof for roof in roofs if any(visit.is_full_reseal for visit in roof.visits)), None)


def _resealed_every(roof: Roof, when: int | str) -> Alternative:
    """Return the way of keeping a roof with another reseal interval."""
    visits = tuple(
        replace(visit, every=when) if visit.is_full_reseal and isinstance(when, int) else visit
        for visit in roof.visits
        if not (visit.is_full_reseal and when == NEVER)
    )
    other = replace(roof, visits=visits)
    name = f"reseal {when}"
    return Alternative(name, name, other, other, None, roof.renew_cost, roof.renew_days)
