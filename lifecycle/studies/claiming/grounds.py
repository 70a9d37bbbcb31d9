"""What statements are tested on: one comparison, its doubt, and what follows from them.

Lecture
-------
*The price of waiting*: the way in question a year later, the roof kept meanwhile in the way that is
cheapest on average, in the same futures, as in `timing`. Waiting costs what that costs more than now.

*Jobs* of a way are counted as they are planned: those of the standing roof until the change, then those of
the new one, up to the sale. A roof that must be renewed before starts its calendar anew; that is not
counted.

Left out: the judgements (`judging`).
Source: the model's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.evaluation.timeline import due_visits
from lifecycle.quantities import Figure
from lifecycle.quote import Quote
from lifecycle.roofs import Visit
from lifecycle.scenario import Scenario, Stated, StatedAlternative
from lifecycle.studies.decision import chance_cheaper
from lifecycle.studies.doubt import Doubt
from lifecycle.studies.futures import Evaluator, in_draws
from lifecycle.studies.timing import waiting_roofs

Array = NDArray[np.float64]

A_YEAR = 12
"""Months of waiting that are priced. [months]"""


@dataclass(frozen=True)
class Waiting:
    """What it costs to wait a year, on average over the futures.

    Parameters
    ----------
    more : float
        What waiting costs more than to do it now; below 0 it saves. [money]
    rise : float
        How far the price may rise in the year before waiting costs more. [money]
    now_cheaper : float
        Share of futures in which it is cheaper to do it now. [-]
    """

    more: float
    rise: float
    now_cheaper: float


@dataclass(frozen=True)
class Grounds:
    """What statements on one scenario are tested on.

    Parameters
    ----------
    comparison : Comparison
        With a subject, without trouble.
    doubt : Doubt
        Of the same scenario.
    not_sure : frozenset of str
        Questions that the owner was not sure of: "quote", "otherwise".
    """

    comparison: Comparison
    doubt: Doubt
    not_sure: frozenset[str] = frozenset()

    @property
    def scenario(self) -> Scenario:
        """What was stated."""
        return self.comparison.scenario

    @property
    def way(self) -> Way:
        """The way in question."""
        return self.comparison.ways[self.comparison.subject or ""]

    @property
    def base(self) -> Way:
        """What the owner would do otherwise."""
        return self.comparison.ways[self.comparison.base_case]

    @property
    def years(self) -> float:
        """Years kept. [years]"""
        return self.comparison.holding_period

    @property
    def whole_years(self) -> int:
        """Last whole year kept, at least 1. [years]"""
        return max(1, int(self.years + 1e-9))

    @property
    def in_doubt(self) -> bool:
        """Whether any input is a range."""
        return bool(self.doubt.futures.sample.values)

    @property
    def today(self) -> bool:
        """Whether the way in question changes the roof today."""
        return self.way.change_month == 0

    @property
    def dearer(self) -> float:
        """Cost of the dearer of the two ways at likely values. [money]"""
        return max(self.way.at_holding, self.base.at_holding)

    @property
    def laid(self) -> str:
        """Name of the roof that the way in question lays."""
        return self.comparison.case.alternative(self.way.name).then.name

    @property
    def kept(self) -> str:
        """Name of the standing roof as it is looked after otherwise."""
        return self.comparison.case.base_case.roof.name

    @cached_property
    def own_way(self) -> Way | None:
        """The cheapest way of keeping the roof with hours of the owner; the base case if it has any."""
        if self.base.expected["hours"] > 0.0:
            return self.base
        own = [
            way
            for way in self.comparison.ways.values()
            if way.keeps_what_stands and way.expected["hours"] > 0.0
        ]
        return min(own, key=lambda way: way.at_holding, default=None)

    @cached_property
    def cheapest_kept(self) -> str:
        """Name of the way of keeping the roof that is cheapest on average; the base case if there is none."""
        weights = self.doubt.futures.weights
        kept = [name for name, way in self.comparison.ways.items() if way.keeps_what_stands]
        return min(kept, key=lambda name: float(weights @ self.doubt.cost(name)), default=self.base.name)

    @cached_property
    def quote(self) -> Quote | None:
        """The quote that the price of the way in question is added up from; None if it is a plain number."""
        figure = self.figure(self.stated.quote)
        section, _, rest = (figure.path if figure else "").partition(".")
        return self.scenario.quotes.get(rest.partition(".")[0]) if section == "quotes" else None

    @property
    def stated(self) -> StatedAlternative:
        """The way in question, as stated."""
        return next(way for way in self.scenario.alternatives if way.name == self.way.name)

    def figure(self, stated: Stated | None) -> Figure | None:
        """Return the input of a stated number; None if it is none."""
        if stated is None or isinstance(stated, float):
            return None
        return self.scenario.inputs[stated.path]

    def jobs(self, way: Way) -> tuple[Visit, ...]:
        """Return the jobs planned from today to the sale, one entry for each time."""
        case = self.comparison.case
        months = math.ceil(12.0 * self.years) - 1
        resolved, planned = case.alternative(way.name), way.change_month
        until = months if planned is None else min(planned - 1, months)
        done = (
            list(due_visits(resolved.roof, until, standing=case.existing, planned=planned))
            if until >= 0
            else []
        )
        if planned is not None and planned <= months:
            done += due_visits(resolved.then, months - planned)
        return tuple(visit for day in done for visit in day)

    @cached_property
    def waiting(self) -> Waiting | None:
        """What it costs to wait a year; None if there is no such year, or nothing is done today."""
        if not self.today or self.years <= 1.0:
            return None
        case = in_draws(self.scenario, self.doubt.futures)
        now = replace(case.alternative(self.way.name), name="now")
        later = {
            f"later, {name}": replace(now, name=f"later, {name}", roof=roof, change_month=A_YEAR)
            for name, roof in waiting_roofs(case).items()
        }
        terms = replace(case.terms, study_period=math.ceil(self.years), holding_period=self.years)
        ways = (now, *later.values())
        weights = self.doubt.futures.weights
        asked = replace(case, terms=terms, alternatives=ways, loan=None)
        found = Evaluator().costs(asked, weights.size)
        cost = {name: one.at_holding for name, one in found.items()}
        best = min(later, key=lambda name: float(weights @ cost[name]))
        more = float(weights @ (cost[best] - cost["now"]))
        return Waiting(
            more,
            -more / float(weights @ found[best].first_change),
            chance_cheaper(cost["now"], cost[best], weights),
        )
