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
from dataclasses import dataclass

import numpy as np

from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import DRAWS, SEED, Doubt, doubt, of_20

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
    result = doubt(laid_out, draws=draws, seed=seed)
    shown = years_shown(scenario, years)
    titles = plan_titles()
    chance = {plan: {year: _chance(result, plan, year) for year in shown} for plan in titles}
    price = {plan: {year: _highest_price(laid_out, result, plan, year) for year in shown} for plan in titles}
    return Habits(titles, shown, chance, price, draws, seed)


def _chance(result: Doubt, plan: str, year: int) -> float:
    """Chance that the change is cheaper than the plan."""
    return result.chance_cheaper(f"{CHANGE}{plan}", f"{KEEP}{plan}", year)


def _highest_price(laid_out: Scenario, result: Doubt, plan: str, year: int) -> float:
    """Return the mean quote plus the mean net savings: the quote at which these are zero. [money]"""
    change, keep = f"{CHANGE}{plan}", f"{KEEP}{plan}"
    case = resolve(laid_out, result.futures.sample.values)
    quote = np.broadcast_to(case.alternative(change).quote, result.futures.weights.shape)
    savings = result.costs[keep][:, year] - result.costs[change][:, year]
    return float(result.futures.weights @ (quote + savings))
