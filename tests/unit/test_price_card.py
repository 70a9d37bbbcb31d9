"""The card without software: its numbers against evaluations by hand, and a past that fits the row."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lifecycle.evaluation.expectation import evaluate
from lifecycle.files import load, loads
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.decision import SAME_WITHIN, chance_cheaper
from lifecycle.studies.futures import futures
from lifecycle.studies.habits import (
    NoCard,
    PriceCard,
    ages_shown,
    price_card,
    price_cheaper_in,
    seal_age,
    with_past,
)

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
DRAWS, YEARS = 64, (3, 8)
PLANS = ("shop_every_year", "own_touch_up")


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return load(SCENARIOS / "price-card.toml")


@pytest.fixture(scope="module")
def laid_out(scenario: Scenario) -> Scenario:
    return under_every_plan(scenario)


@pytest.fixture(scope="module")
def card(scenario: Scenario) -> PriceCard:
    return price_card(scenario, draws=DRAWS, seed=3, years=YEARS, plans=PLANS)


def test_the_coach_is_the_reference_coach_at_the_middle_of_the_tools_price(card: PriceCard) -> None:
    """26 ft, 0.83 of it sprayed, at 350 a sprayed ft: the figures of the shared data."""
    feet = card.sprayed_length / 0.3048
    assert card.length / 0.3048 == pytest.approx(26.0)
    assert feet == pytest.approx(0.83 * 26.0)
    assert card.quote / feet == pytest.approx(350.0, abs=0.5)


def test_rows_and_columns_are_those_that_were_asked_for(card: PriceCard) -> None:
    assert tuple(card.tables) == ages_shown()
    for table in card.tables.values():
        assert tuple(table.titles) == PLANS and table.years == YEARS
        assert (table.draws, table.seed) == (DRAWS, 3)


def test_a_cell_is_the_comparison_of_its_two_ways(laid_out: Scenario, card: PriceCard) -> None:
    lived = with_past(laid_out, "own_touch_up", 5)
    drawn = futures(lived, draws=DRAWS, seed=3)
    case = resolve(lived, drawn.sample.values)
    assert case.base_case.name == f"{KEEP}own_touch_up"
    costs = evaluate(case)
    kept, changed = (costs[f"{kind}own_touch_up"].net_present_cost[:, 8] for kind in (KEEP, CHANGE))
    table = card.tables[5]
    assert table.chance["own_touch_up"][8] == chance_cheaper(changed, kept, drawn.weights)
    assert table.highest_price["own_touch_up"][8] == pytest.approx(
        float(drawn.weights @ (card.quote + kept - changed)), abs=1e-6
    )


@pytest.mark.parametrize(("name", "share"), [("even_price", 0.5), ("careful_price", 0.75)])
def test_at_the_price_spraying_is_cheaper_in_the_share_it_says(
    laid_out: Scenario, card: PriceCard, name: str, share: float
) -> None:
    """By weight of the futures whose own price lies above it; one future may lie on it."""
    price = getattr(card.tables[5], name)["own_touch_up"][8]
    lived = with_past(laid_out, "own_touch_up", 5)
    drawn = futures(lived, draws=DRAWS, seed=3)
    case = resolve(lived, drawn.sample.values)
    ways = tuple(replace(w, quote=price) if w.name.startswith(CHANGE) else w for w in case.alternatives)
    costs = evaluate(replace(case, alternatives=ways))
    kept, changed = (costs[f"{kind}own_touch_up"].net_present_cost[:, 8] for kind in (KEEP, CHANGE))
    cheaper = float(drawn.weights[changed < kept].sum())
    assert cheaper == pytest.approx(share, abs=float(drawn.weights.max()))
    near = float(drawn.weights[np.abs(changed - kept) <= SAME_WITHIN * kept].sum())
    assert chance_cheaper(changed, kept, drawn.weights) == pytest.approx(share, abs=near + 1.0 / DRAWS)


def test_the_careful_price_is_below_the_even_one(card: PriceCard) -> None:
    for table in card.tables.values():
        for plan in PLANS:
            for year in YEARS:
                assert table.careful_price[plan][year] < table.even_price[plan][year]


def test_a_price_by_weight_leans_to_the_heavier_futures() -> None:
    same = np.array([100.0, 200.0, 300.0])
    assert price_cheaper_in(0.5, same, np.full(3, 1 / 3)) == pytest.approx(200.0)
    assert price_cheaper_in(0.5, same, np.array([0.1, 0.1, 0.8])) > 250.0
    assert price_cheaper_in(0.75, same, np.full(3, 1 / 3)) < 200.0


@pytest.mark.parametrize(
    ("plan", "years", "months"),
    [
        ("shop_every_year", 1, 12),  # due today, not yet done
        ("shop_every_year", 10, 12),
        ("shop_every_third_year", 5, 24),  # redone after 36 months of 60
        ("shop_every_third_year", 10, 12),  # after 108 of 120
        ("only_looks", 10, 120),
        ("nothing", 5, 60),
        # Each year 0.3 of it is taken away: 12 > 8.4, 20.4 > 14.28, 26.28 > 18.396, 30.396 > 21.2772
        ("own_touch_up", 5, 33),
    ],
)
def test_joints_are_as_old_as_the_upkeep_of_the_row_leaves_them(
    laid_out: Scenario, plan: str, years: int, months: int
) -> None:
    assert seal_age(resolve(laid_out), f"{KEEP}{plan}", 12 * years) == months
    lived = with_past(laid_out, plan, years).existing
    assert lived.numbers == {"age": 12.0 * years, "seal_age": float(months)}
    assert lived.hidden_now is None


def test_a_past_of_full_upkeep_hides_less_than_one_without(laid_out: Scenario) -> None:
    """Same pair of ways, sold at once: only what is hidden today differs."""
    pairs = {}
    for past in ("shop_every_year", "nothing"):
        lived = with_past(laid_out, past, 10)
        way = f"{KEEP}{past}"
        pairs[past] = float(evaluate(resolve(lived))[way].net_present_cost[0, 1])
    reseal = float(resolve(laid_out).alternative(f"{KEEP}shop_every_year").roof.visits[0].cost)
    assert pairs["nothing"] > pairs["shop_every_year"] - reseal > 0.0


def test_what_is_known_of_one_coach_only_is_left_out() -> None:
    text = (SCENARIOS / "price-card.toml").read_text(encoding="utf-8")
    known = loads(text.replace('hidden_now = "from upkeep"', 'hidden_now = "from upkeep"\nleaks_found = 3\n'))
    assert "leaks_found" in known.existing.numbers
    lived = with_past(under_every_plan(known), "nothing", 5)
    assert set(lived.existing.numbers) == {"age", "seal_age"}


def test_the_older_the_coach_the_more_spraying_is_worth(card: PriceCard) -> None:
    """Common practice, no source: an old membrane must be renewed sooner."""
    prices = [card.tables[age].even_price["own_touch_up"][8] for age in ages_shown()]
    assert prices == sorted(prices)


def test_there_is_no_card_without_a_length_or_with_trouble(scenario: Scenario) -> None:
    text = (SCENARIOS / "price-card.toml").read_text(encoding="utf-8")
    bare = text.replace("[coach]", "").replace("length = 26", "# length = 26")
    with pytest.raises(NoCard, match="length"):
        price_card(loads(bare), draws=DRAWS)
    with pytest.raises(NoCard, match="trouble"):
        price_card(replace(scenario, trouble=("stain",)), draws=DRAWS)


def test_every_main_figure_of_the_data_is_an_input(scenario: Scenario, card: PriceCard) -> None:
    from lifecycle.files import data

    assert [figure.path for figure in card.figures] == data("card.toml")["figures"]
    example = data("card.toml")["example"]
    assert example["plan"] in plan_titles() and example["age"] in ages_shown()
