"""In how many of 20 futures, by what you would do otherwise and when you sell.

Lecture
-------
Each shipped upkeep plan gives a pair of ways: keep the roof under that plan, or change it today to a
roof that is looked at as often (`plans`). Both are evaluated in the same futures, so a row of the
table says how often the change is cheaper than that habit, for each year of sale; a future within
1 % counts half. The highest price worth paying is the quote at which the mean net savings over the
futures are zero: net savings fall by one for each unit of money paid today.

Left out: habits of the scenario's own; they stand in its own comparison.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.expectation import evaluate
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.decision import chance_cheaper
from lifecycle.studies.doubt import DRAWS, SEED, futures, of_20

YEARS = (3, 5, 8, 10, 15)
"""Years of sale that the table shows, as far as the study period goes. [years]"""


@dataclass(frozen=True)
class Habits:
    """The table of 20s.

    Parameters
    ----------
    titles : dict of str to str
        Plan -> plain title, in order.
    years : tuple of int
        Years of sale. [years]
    chance : dict of str to dict of int to float
        Plan -> year -> chance that the change is cheaper. [-]
    highest_price : dict of str to dict of int to float
        Plan -> year -> highest price worth paying, on average over the futures. [money]
    draws, seed : int
        Of the futures.
    """

    titles: Mapping[str, str]
    years: tuple[int, ...]
    chance: Mapping[str, Mapping[int, float]]
    highest_price: Mapping[str, Mapping[int, float]]
    draws: int
    seed: int

    @property
    def of_20(self) -> dict[str, dict[int, int]]:
        """Plan -> year -> in how many of 20 futures the change is cheaper."""
        return {plan: {year: of_20(p) for year, p in row.items()} for plan, row in self.chance.items()}


def years_shown(scenario: Scenario, wanted: Sequence[int] = YEARS) -> tuple[int, ...]:
    """Return the years of sale that the study period covers."""
    last = resolve(scenario).terms.study_period
    return tuple(year for year in wanted if year <= last) or (last,)


def habits(
    scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED, years: Sequence[int] = YEARS
) -> Habits:
    """Compare the change today with every shipped plan under doubt.

    Parameters
    ----------
    scenario : Scenario
        Its subject is the change.
    draws, seed : int
        Of the futures.
    years : sequence of int
        Years of sale to show. [years]

    Returns
    -------
    Habits
    """
    laid_out = under_every_plan(scenario)
    shown = years_shown(scenario, years)
    drawn = futures(laid_out, draws=draws, seed=seed)
    case = resolve(laid_out, drawn.sample.values)
    short = replace(case.terms, study_period=shown[-1], holding_period=float(shown[-1]))
    ledgers = evaluate(replace(case, terms=short), totals_only=True)
    pairs = {plan: (ledgers[f"{CHANGE}{plan}"], ledgers[f"{KEEP}{plan}"]) for plan in plan_titles()}
    titles = plan_titles()
    chance, price = {}, {}
    for plan, (change, keep) in pairs.items():
        costs = change.net_present_cost, keep.net_present_cost
        quote = np.asarray(case.alternative(f"{CHANGE}{plan}").quote)
        chance[plan] = {
            year: chance_cheaper(costs[0][:, year], costs[1][:, year], drawn.weights) for year in shown
        }
        price[plan] = {
            year: float(drawn.weights @ (quote + costs[1][:, year] - costs[0][:, year])) for year in shown
        }
    return Habits(titles, shown, chance, price, draws, seed)
