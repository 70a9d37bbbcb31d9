"""The table of 20s, by what you would do otherwise and when you sell; and the card without software.

Lecture
-------
In how many of 20 futures is the change the cheaper one? Each shipped upkeep plan gives a pair of ways: keep
the roof under that plan, or change it today to a roof that is looked at as often (`plans`). Both are
evaluated in the same futures, so a row of the table says how often the change is cheaper than that habit, for
each year of sale; a future within 1 % counts half. The futures are those of the scenario itself, as far as it
has the inputs. The row of what the owner would do otherwise is taken from the doubt behind the verdict, with
its loan and its last jobs, and from more draws near a limit: so it says what the verdict says
(`with_own_row`).

The highest price worth paying is the quote at which the mean net savings over the futures are zero: net
savings fall by one for each unit of money paid today. So each future has a price at which both ways cost
the same, and spraying is cheaper in it at any lower price. The *even* price is below that of half the
futures: about 10 of 20. The *careful* price is below that of three quarters: about 15 of 20.

*The card without software* is for the many who will never run anything: the same table, and the prices worth
paying a sprayed length, for coaches of three ages. In each of its rows *the past is as the future*: the roof
had the upkeep of that row since it was laid. Leaks that may be hidden today follow from it, the futures are
weighed by the chance that a roof so looked after still stands, and the joints are as old as that upkeep
leaves them. With a visit that takes a share r of the seal age s away, each month::

    s = s + 1, and s = s (1 - r) after a visit, at likely values, rounded to a month

What is known of the one coach of the scenario only is left out of the card: its own past, leaks found so far,
a look today, an effective age, leaks listed by hand.

Left out: habits of the scenario's own, which stand in its own comparison; people who look after the roof
better, or worse, from today on than before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.data import frame_words, words_of
from lifecycle.evaluation.comparison import keeps_what_stands
from lifecycle.files import data, shared
from lifecycle.kinds import COVERINGS
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.quantities import Array, Figure, Frame, Framed, in_rows
from lifecycle.roofs import Case, Number
from lifecycle.scenario import Scenario, geometry_of, resolve
from lifecycle.studies.decision import chance_cheaper
from lifecycle.studies.doubt import Doubt, of_20
from lifecycle.studies.futures import (
    DRAWS,
    SEED,
    Evaluator,
    Progress,
    correlations,
    futures,
    in_draws,
    walked,
    weighed,
)
from lifecycle.studies.sampling import sample
from lifecycle.studies.ways import judged_way

MONTHS = 12

YEARS = (3, 5, 8, 10, 15)
"""Years of sale that the table shows, as far as the study period goes. [years]"""

EVEN, CAREFUL = 0.5, 0.75
"""Share of futures in which the change is cheaper at the even, and at the careful, price. [-]"""


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
class Habits(Framed):
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
        head = frame_words("habits")("named", years=list(self.years))
        return "\n".join([head, *(f"  {plan}: {list(row.values())}" for plan, row in self.of_20.items())])

    def to_frame(self) -> Frame:
        """Return the table: by what would be done otherwise and year of sale, in how many of 20 futures."""
        rows = {self.titles[plan]: row for plan, row in self.of_20.items()}
        return in_rows(rows).rename_axis(columns=frame_words("habits")("sold"))

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
    """Take the row of what the owner would do otherwise from the doubt that the verdict stands on, settled.

    Years of sale that it does not reach stay as they are, and so does all where no row is what the owner
    would do.
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
    costs = evaluator.costs(case.kept(float(last)), draws, progress=progress)
    return {plan: (costs[f"{CHANGE}{plan}"].by_year, costs[f"{KEEP}{plan}"].by_year) for plan in plans}


def price_cheaper_in(share: float, same: Array, weights: Array) -> float:
    """Return the price at which the change is cheaper in a share of the futures. [money]

    `same` is the price at which both ways cost the same in each future, shape (draws,); on a straight line
    between two futures.

    Examples
    --------
    >>> price_cheaper_in(0.75, np.array([100.0, 200.0, 300.0, 400.0]), np.full(4, 0.25))
    150.0
    """
    order = np.argsort(same, kind="stable")
    running = np.cumsum(weights[order]) - 0.5 * weights[order]
    return float(np.interp(1.0 - share, running, same[order]))


class NoCard(ValueError):
    """A scenario that no card can be made of."""


@dataclass(frozen=True)
class PriceCard:
    """The numbers of the card.

    Parameters
    ----------
    scenario : Scenario
        The coach behind it, as stated.
    length, sprayed_length : float
        Of the coach, and of what is sprayed. [m]
    quote : float
        Price at which the futures are counted, at its likely value. [money]
    tables : dict of int to Habits
        By age of the coach. [years]
    figures : tuple of Figure
        The main figures that it rests on, in the order of the data.
    estimates : dict of str to int
        Number of all figures that are estimates, by basis.
    """

    scenario: Scenario
    length: float
    sprayed_length: float
    quote: float
    tables: Mapping[int, Habits]
    figures: tuple[Figure, ...]
    estimates: Mapping[str, int]

    @property
    def draws(self) -> int:
        """Number of futures."""
        return next(iter(self.tables.values())).draws

    @property
    def seed(self) -> int:
        """Seed of the futures."""
        return next(iter(self.tables.values())).seed


def ages_shown() -> tuple[int, ...]:
    """Return the ages of the coach that the card shows. [years]"""
    return tuple(data("card.toml")["ages"])


def ages_for(scenario: Scenario) -> tuple[int, ...]:
    """Return the ages that a card of a scenario shows: the shared ones, and its own coach's. [years]"""
    own = max(1, round(float(resolve(scenario).existing.age) / MONTHS))
    return tuple(sorted({*ages_shown(), own}))


def plans_for(scenario: Scenario) -> tuple[str, ...]:
    """Return the plans that a card of a scenario shows: all, or those without the owner's hours."""
    own = {
        name
        for name, plan in shared()["plans"].items()
        for covering in COVERINGS
        for visit in plan.get(covering, ())
        if "hours" in visit
    }
    return tuple(plan for plan in plan_titles() if scenario.climbs is not False or plan not in own)


def price_card(
    scenario: Scenario,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    ages: Sequence[int] | None = None,
    years: Sequence[int] = YEARS,
    plans: Sequence[str] | None = None,
    told: Callable[[str], None] | None = None,
) -> PriceCard:
    """Work the card out.

    Parameters
    ----------
    scenario : Scenario
        Its subject is the change; `NoCard` if it has no measures of the coach, or trouble is reported.
    draws, seed : int
        Number of futures, and the seed of their points.
    ages : sequence of int or None
        Of the coach; None: those of the shared data. [years]
    years : sequence of int
        Years of sale to show. [years]
    plans : sequence of str or None
        Names of the shipped plans to show as rows; None: all.
    told : callable or None
        Called with the age that is being worked out.
    """
    shape = geometry_of(scenario)
    if shape is None:
        raise NoCard("the coach has no length, so no price a sprayed length can be given")
    if scenario.trouble:
        raise NoCard("trouble is reported, so nothing is compared")
    tell = told or (lambda _: None)
    laid_out = under_every_plan(scenario)
    shown = years_shown(laid_out, years)
    figures = list(laid_out.inputs.values())
    drawn = sample(figures, draws=draws, seed=seed, correlations=correlations(laid_out))
    every = tuple(ages if ages is not None else ages_shown())
    kept_by = tuple(plans if plans is not None else plan_titles())

    def row(place: tuple[int, str], work: Evaluator) -> dict[str, Row]:
        age, plan = place
        if plan == kept_by[0]:
            tell(words_of("card")["working"].format(age=age))
        lived = with_past(laid_out, plan, age)
        lived_in = weighed(lived, drawn)
        return rows_of(in_draws(lived, lived_in), (plan,), shown, lived_in.weights, work)

    places = [(age, plan) for age in every for plan in kept_by]
    rows: dict[int, dict[str, Row]] = {age: {} for age in every}
    for (age, _), found in zip(places, walked(places, row), strict=True):
        rows[age] |= found
    tables = {age: Habits.of(some, shown, draws=draws, seed=seed) for age, some in rows.items()}
    bases = [figure.basis for figure in figures if figure.field.ranged]  # others are stated, not estimated
    return PriceCard(
        scenario,
        float(shape.length),
        float(shape.sprayed_length),
        float(resolve(laid_out).alternative(f"{CHANGE}{next(iter(plan_titles()))}").quote),
        tables,
        tuple(laid_out.inputs[path] for path in data("card.toml")["figures"] if path in laid_out.inputs),
        {basis: bases.count(basis) for basis in dict.fromkeys(bases)},
    )


def with_past(laid_out: Scenario, plan: str, years: int) -> Scenario:
    """Return the pair of ways of one plan, for a coach of some years that had this upkeep so far.

    All its inputs stay, so that the draws of all plans and ages are the same.
    """
    kept = f"{KEEP}{plan}"
    ways = tuple(
        replace(way, base_case=way.name == kept)
        for way in laid_out.alternatives
        if way.name in (kept, f"{CHANGE}{plan}")
    )
    visits = laid_out.roofs[kept].visits
    months = MONTHS * years
    numbers = {"age": float(months), "seal_age": float(seal_age(resolve(laid_out), kept, months))}
    past = replace(
        laid_out.existing,
        numbers=numbers,
        hidden_now=None,
        last_visits={},
        past_visits=visits,
    )
    return replace(laid_out, existing=past, alternatives=ways)


def seal_age(case: Case, way: str, age: int) -> int:
    """Return how old the joints of a roof of some months are, if it always had the upkeep of a way. [months]

    At likely values, before what is done today.
    """
    visits = case.alternative(way).roof.visits
    seal = 0.0
    for month in range(1, age + 1):
        seal += 1.0
        done = [float(visit.restores) for visit in visits if month % visit.every == 0]
        if month < age and done:
            seal *= 1.0 - max(done)
    return round(seal)
