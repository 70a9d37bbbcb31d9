"""The card without software: the table of 20s and the prices worth paying, for coaches of three ages.

Lecture
-------
Most people will never run anything. The card says, for a coach of each age, by what the owner would
do otherwise and year of sale, in how many of 20 futures spraying is cheaper at the price of the
scenario; and at which price a sprayed length it is cheaper in 10, and in 15, of 20 (`habits`).

In each row *the past is as the future*: the roof had the upkeep of that row since it was laid. Leaks
that may be hidden today follow from it, the futures are weighed by the chance that a roof so looked
after still stands, and the joints are as old as that upkeep leaves them. With a visit that takes a
share r of the seal age s away, each month::

    s = s + 1, and s = s (1 - r) after a visit, at likely values, rounded to a month

What is known of the one coach of the scenario only is left out: its own past, leaks found so far, a
look today, an effective age, leaks listed by hand.

Left out: people who look after the roof better, or worse, from today on than before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from lifecycle.files import data, shared
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.quantities import Figure
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario, geometry_of, resolve
from lifecycle.studies.futures import DRAWS, SEED, Evaluator, correlations, in_draws, walked, weighed
from lifecycle.studies.habits import YEARS, Habits, Row, rows_of, years_shown
from lifecycle.studies.sampling import sample

MONTHS = 12


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
        for visit in (*plan["membrane"], *plan["coating"])
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
        Its subject is the change; it has a `[coach]`, and no trouble.
    draws, seed : int
        Number of futures, and the seed of their points.
    ages : sequence of int or None
        Of the coach; None: those of the shared data. [years]
    years : sequence of int
        Years of sale to show. [years]
    plans : sequence of str or None
        Names of the shipped plans to show as rows; None: all.
    told : callable or None
        Called with what is being worked out.

    Returns
    -------
    PriceCard

    Raises
    ------
    NoCard
        If the scenario has no measures of the coach, or trouble is reported.
    ValueError
        If there is no way beside the base case, or there are too few draws.
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
            tell(f"a coach of {age} years")
        lived = with_past(laid_out, plan, age)
        lived_in = weighed(lived, drawn)
        return rows_of(in_draws(lived, lived_in), (plan,), shown, lived_in.weights, work)

    places = [(age, plan) for age in every for plan in kept_by]
    rows: dict[int, dict[str, Row]] = {age: {} for age in every}
    for (age, _), found in zip(places, walked(places, row), strict=True):
        rows[age] |= found
    tables = {age: Habits.of(some, shown, draws=draws, seed=seed) for age, some in rows.items()}
    return PriceCard(
        scenario,
        float(shape.length),
        float(shape.sprayed_length),
        float(resolve(laid_out).alternative(f"{CHANGE}{next(iter(plan_titles()))}").quote),
        tables,
        _main_figures(laid_out),
        _by_basis(laid_out),
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
        past_plan=plan,
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


def _main_figures(laid_out: Scenario) -> tuple[Figure, ...]:
    """Return the main figures that the card rests on, as far as the scenario has them."""
    return tuple(laid_out.inputs[path] for path in data("card.toml")["figures"] if path in laid_out.inputs)


def _by_basis(laid_out: Scenario) -> dict[str, int]:
    """Count the estimates by basis; what may not be a range is stated, not estimated."""
    bases = [figure.basis for figure in laid_out.inputs.values() if figure.field.ranged]
    return {basis: bases.count(basis) for basis in dict.fromkeys(bases)}
