"""In how many of 20 futures, by what you would do otherwise and when you sell.

Lecture
-------
Each shipped upkeep plan gives a pair of ways: keep the roof under that plan, or change it today to a
roof that is looked at as often (`plans`). Both are evaluated in the same futures, so a row of the
table says how often the change is cheaper than that habit, for each year of sale; a future within
1 % counts half. The futures are those of the scenario itself, as far as it has the inputs. The row
of what the owner would do otherwise is taken from the doubt behind the verdict, with its loan and its last
jobs, and from more draws near a limit: so it says what the verdict says (`with_own_row`).

The highest price worth paying is the quote at which the mean net savings over the futures are zero: net
savings fall by one for each unit of money paid today. So each future has a price at which both ways cost
the same, and spraying is cheaper in it at any lower price. The *even* price is below that of half the
futures: about 10 of 20. The *careful* price is below that of three quarters: about 15 of 20.

Left out: habits of the scenario's own; they stand in its own comparison.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.comparison import keeps_what_stands
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.quantities import table_html
from lifecycle.roofs import Case, Number
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.decision import chance_cheaper
from lifecycle.studies.doubt import Doubt, of_20
from lifecycle.studies.futures import DRAWS, SEED, Evaluator, Progress, futures, in_draws
from lifecycle.studies.ways import judged_way

if TYPE_CHECKING:
    import pandas

YEARS = (3, 5, 8, 10, 15)
"""Years of sale that the table shows, as far as the study period goes. [years]"""

EVEN, CAREFUL = 0.5, 0.75
"""Share of futures in which the change is cheaper at the even, and at the careful, price. [-]"""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Row:
    """One row of the table of 20s.

    Parameters
    ----------
    chance : dict of int to float
        Year of sale -> chance that the change is cheaper. [-]
    highest_price : dict of int to float
        Highest price worth paying, on average over the futures. [money]
    even_price, careful_price : dict of int to float
        Price at which the change is cheaper in 10, and in 15, of 20 futures; not above 0 where no price
        is low enough. [money]
    """

    chance: Mapping[int, float]
    highest_price: Mapping[int, float]
    even_price: Mapping[int, float]
    careful_price: Mapping[int, float]


@dataclass(frozen=True)
class Habits:
    """The table of 20s.

    Parameters
    ----------
    titles : dict of str to str
        Plan -> plain title, in order.
    years : tuple of int
        Years of sale. [years]
    chance, highest_price, even_price, careful_price : dict of str to dict of int to float
        Plan -> year -> as in `Row`. [-], [money]
    draws, seed : int
        Number of futures, and the seed of their points.
    """

    titles: Mapping[str, str]
    years: tuple[int, ...]
    chance: Mapping[str, Mapping[int, float]]
    highest_price: Mapping[str, Mapping[int, float]]
    even_price: Mapping[str, Mapping[int, float]]
    careful_price: Mapping[str, Mapping[int, float]]
    draws: int
    seed: int

    @classmethod
    def of(cls, rows: Mapping[str, Row], years: Sequence[int], *, draws: int, seed: int) -> Habits:
        """Return the table of some rows by plan."""
        titles = {plan: title for plan, title in plan_titles().items() if plan in rows}
        return cls(
            titles=titles,
            years=tuple(years),
            chance={plan: rows[plan].chance for plan in titles},
            highest_price={plan: rows[plan].highest_price for plan in titles},
            even_price={plan: rows[plan].even_price for plan in titles},
            careful_price={plan: rows[plan].careful_price for plan in titles},
            draws=draws,
            seed=seed,
        )

    def __repr__(self) -> str:
        """Name the plans with their counts of 20, a line each."""
        head = f"In how many of 20 futures the change is cheaper, sold after {list(self.years)} years"
        return "\n".join([head, *(f"  {plan}: {list(row.values())}" for plan, row in self.of_20.items())])

    def to_frame(self) -> pandas.DataFrame:
        """Return the table: by what would be done otherwise and year of sale, in how many of 20 futures."""
        import pandas

        rows = {self.titles[plan]: row for plan, row in self.of_20.items()}
        return pandas.DataFrame.from_dict(rows, orient="index").rename_axis(columns="sold after [years]")

    def _repr_html_(self) -> str:
        """Show the table in a notebook."""
        return table_html(self.to_frame())

    @property
    def of_20(self) -> dict[str, dict[int, int]]:
        """Plan -> year -> in how many of 20 futures the change is cheaper."""
        return {plan: {year: of_20(p) for year, p in row.items()} for plan, row in self.chance.items()}


def years_shown(scenario: Scenario, wanted: Sequence[int] = YEARS) -> tuple[int, ...]:
    """Return the years of sale that the study period covers."""
    last = resolve(scenario).terms.study_period
    return tuple(year for year in wanted if year <= last) or (last,)


def habits(
    scenario: Scenario,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    years: Sequence[int] = YEARS,
    evaluator: Evaluator | None = None,
    progress: Progress | None = None,
) -> Habits:
    """Compare the change today with every shipped plan under doubt.

    Parameters
    ----------
    scenario : Scenario
        Its subject is the change.
    draws, seed : int
        Number of futures, and the seed of their points.
    years : sequence of int
        Years of sale to show. [years]
    evaluator : Evaluator or None
        May have some of the ways already.
    progress : callable or None
        As for `Evaluator.costs`.

    Returns
    -------
    Habits
        ``of_20`` and ``chance`` by plan and year of sale, and the highest prices worth paying [money].
    """
    laid_out = under_every_plan(scenario)
    shown = years_shown(laid_out, years)
    drawn = futures(laid_out, draws=draws, seed=seed, alike=scenario)
    case, work = in_draws(laid_out, drawn), evaluator or Evaluator()
    rows = rows_of(case, plan_titles(), shown, drawn.weights, work, progress)
    return Habits.of(rows, shown, draws=draws, seed=seed)


def with_own_row(table: Habits, scenario: Scenario, doubt: Doubt) -> Habits:
    """Take the row of what the owner would do otherwise from the doubt that the verdict stands on.

    Parameters
    ----------
    table : Habits
        Of the scenario.
    scenario : Scenario
        With the one set of ways.
    doubt : Doubt
        Of it, settled; years of sale that it does not reach stay as they are.

    Returns
    -------
    Habits
        The same where no row is what the owner would do otherwise.
    """
    base, subject = scenario.base_case, judged_way(scenario)
    roof, plan = scenario.roofs[base.roof], scenario.roofs[base.roof].plan
    own = keeps_what_stands(scenario, base) and "plan_ends" not in roof.numbers and base.climate is None
    if not own or plan is None or plan not in table.chance or subject is None:
        return table
    row = {
        year: doubt.chance_cheaper(subject, base.name, year) if year < doubt.costs[subject].shape[1] else p
        for year, p in table.chance[plan].items()
    }
    return replace(table, chance={**table.chance, plan: row})


def rows_of(
    case: Case,
    plans: Iterable[str],
    years: Sequence[int],
    weights: Array,
    evaluator: Evaluator,
    progress: Progress | None = None,
) -> dict[str, Row]:
    """Compare the pairs of ways of some plans in a case of `plans.under_every_plan`, in all futures."""
    pairs = costs_of_pairs(case, plans, years[-1], weights.size, evaluator, progress)
    return {
        plan: row_of(case.alternative(f"{CHANGE}{plan}").quote, changed, kept, years, weights)
        for plan, (changed, kept) in pairs.items()
    }


def row_of(quote: Number, changed: Array, kept: Array, years: Sequence[int], weights: Array) -> Row:
    """Compare a change with keeping by year of sale: its price, and costs (draws, years + 1). [money]"""
    same = {year: np.asarray(quote) + kept[:, year] - changed[:, year] for year in years}
    return Row(
        {year: chance_cheaper(changed[:, year], kept[:, year], weights) for year in years},
        {year: float(weights @ prices) for year, prices in same.items()},
        {year: price_cheaper_in(EVEN, prices, weights) for year, prices in same.items()},
        {year: price_cheaper_in(CAREFUL, prices, weights) for year, prices in same.items()},
    )


def costs_of_pairs(
    case: Case,
    plans: Iterable[str],
    last: int,
    draws: int,
    evaluator: Evaluator,
    progress: Progress | None = None,
) -> dict[str, tuple[Array, Array]]:
    """Return the cost of changing and of keeping by plan, (draws, last + 1) each. [money]"""
    short = replace(case.terms, study_period=last, holding_period=float(last))
    costs = evaluator.costs(replace(case, terms=short), draws, progress=progress)
    return {plan: (costs[f"{CHANGE}{plan}"].by_year, costs[f"{KEEP}{plan}"].by_year) for plan in plans}


def price_cheaper_in(share: float, same: Array, weights: Array) -> float:
    """Return the price at which the change is cheaper in a share of the futures.

    Parameters
    ----------
    share : float
        Of the futures, between 0 and 1. [-]
    same : ndarray, shape (draws,)
        The price at which both ways cost the same, in each future. [money]
    weights : ndarray, shape (draws,)
        Weights of the futures, adding up to 1. [-]

    Returns
    -------
    float
        On a straight line between two futures. [money]

    Examples
    --------
    >>> price_cheaper_in(0.75, np.array([100.0, 200.0, 300.0, 400.0]), np.full(4, 0.25))
    150.0
    """
    order = np.argsort(same, kind="stable")
    running = np.cumsum(weights[order]) - 0.5 * weights[order]
    return float(np.interp(1.0 - share, running, same[order]))
