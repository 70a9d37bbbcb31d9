"""Ways compared at likely values: measures, who is cheapest, swings.

The measures are recomputed here from separate evaluations, not read from the same batch.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from lifecycle.evaluation.comparison import (
    Comparison,
    compare,
    keeps_what_stands,
)
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.swings import Swing, swings
from lifecycle.files import load, loads
from lifecycle.roofs import CATEGORIES, Case
from lifecycle.scenario import Scenario, replaced, resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"

SMALL = """
[study]
base_date = 2027-04-01
study_period = 10
discount_rate = {{ low = 0.01, likely = 0.03, high = 0.06 }}
[owner]
holding_period = {holding}
[leaks]
sign_rate = 1.2
patch_cost = {{ low = 200, likely = 350, high = 900 }}
rot_cost = 7500
rot_time = 2
severe_after = 1
[roofs.skin]
life_shape = 3.5
life_scale = 17
joint_leaks_first_year = 0.06
joint_leak_growth = 2
renew_cost = 6200
[[roofs.skin.visits]]
name = "reseal"
every = 12
cost = 950
finds = 0.6
restores = {restores}
[roofs.spray]
life_shape = 3
life_scale = {spray_life}
joint_leaks_first_year = 0.004
renew_cost = 7400
resale_share = {resale}
[existing]
roof = "skin"
age = 36
seal_age = 12
[alternatives.keep]
base_case = true
[alternatives.spray_now]
change = "now"
then = "spray"
quote = {quote}
[alternatives.spray_later]
change = 4
then = "spray"
quote = 7100
"""
"""A small scenario of our own, to be varied."""


def small(**changed: object) -> Scenario:
    """Return the small scenario, some of it changed."""
    stated = {"holding": 8, "restores": 1, "spray_life": 30, "resale": 0, "quote": 7100}
    return loads(SMALL.format(**{**stated, **changed}))


@cache
def shipped(name: str) -> Comparison:
    """Return the comparison of a shipped scenario."""
    return compare(load(SCENARIOS / f"{name}.toml"))


def cost(case: Case, name: str) -> float:
    """Return the cost of one way at the years kept, from an evaluation of its own."""
    return float(evaluate(case)[name].at_holding[0])


def test_the_likely_draw_of_the_batch_is_the_scenario_evaluated_alone() -> None:
    found = shipped("humid-coast-motorhome")
    alone = evaluate(found.case)
    for name, way in found.ways.items():
        np.testing.assert_allclose(way.net_present_cost, alone[name].net_present_cost[0], rtol=1e-12)
        assert way.at_holding == pytest.approx(float(alone[name].at_holding[0]), rel=1e-12)


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-2"])
def test_categories_add_up_to_the_cost_at_the_years_kept(name: str) -> None:
    for way in shipped(name).ways.values():
        assert tuple(way.by_category) == tuple(CATEGORIES)
        assert sum(way.by_category.values()) == pytest.approx(way.at_holding, rel=1e-12)
        assert sum(way.upkeep.values()) == pytest.approx(way.by_category["upkeep"], rel=1e-12)


def test_annual_value_is_the_payment_that_is_worth_the_cost_today() -> None:
    way = shipped("worked-example-1").ways["keep"]
    assert way.annual_value[0] is None
    paid = way.annual_value[8]
    assert paid is not None
    assert sum(paid / 1.03**year for year in range(1, 9)) == pytest.approx(way.net_present_cost[8])


def test_at_the_break_even_price_both_ways_cost_the_same() -> None:
    found = compare(small())
    for name in ("spray_now", "spray_later"):
        price = found.break_even_price(name).value
        assert price is not None
        ways = [replace(way, quote=price) if way.name == name else way for way in found.case.alternatives]
        case = replace(found.case, alternatives=tuple(ways))
        assert cost(case, name) == pytest.approx(cost(case, "keep"), abs=1e-6)


def test_break_even_price_at_another_year_and_against_another_way() -> None:
    found = compare(small())
    price = found.break_even_price("spray_now", "spray_later", 6).value
    assert price is not None
    ways = [replace(way, quote=price) if way.name == "spray_now" else way for way in found.case.alternatives]
    ledgers = evaluate(replace(found.case, alternatives=tuple(ways)))
    now, later = (ledgers[name].net_present_cost[0, 6] for name in ("spray_now", "spray_later"))
    assert now == pytest.approx(later, abs=1e-6)


def test_a_price_below_zero_is_given_with_its_remark() -> None:
    dear_to_keep = small(spray_life=1.5, holding=8)
    measures = compare(dear_to_keep).ways["spray_now"].measures
    assert measures is not None
    assert measures.break_even_price.value is not None
    assert measures.break_even_price.value < 0.0
    assert measures.break_even_price.reason == "dearer even as a gift"


def test_savings_to_investment_is_recomputed_from_categories() -> None:
    found = compare(small(resale=0.2))
    base, way = found.ways["keep"], found.ways["spray_now"]
    assert way.measures is not None
    # found_at_sale is 0, so the sale is nothing but the residual value, as a receipt
    invested = sum(way.by_category[c] - base.by_category[c] for c in ("initial", "renewal", "sale"))
    assert way.by_category["sale"] < 0.0
    ratio = (base.at_holding - way.at_holding + invested) / invested
    assert way.measures.savings_to_investment.value == pytest.approx(ratio, rel=1e-12)
    rate = way.measures.adjusted_internal_rate_of_return.value
    assert rate == pytest.approx(1.03 * ratio ** (1 / 8) - 1.0, rel=1e-12)


def test_simple_payback_is_the_payback_of_the_same_case_without_discounting() -> None:
    found = compare(small())
    case = replace(found.case, terms=replace(found.case.terms, discount_rate=0.0))
    ledgers = evaluate(case)
    by_year = (ledgers["keep"].net_present_cost - ledgers["spray_now"].net_present_cost)[0]
    year = next(n for n in range(1, 11) if by_year[n] >= 0.0)
    exact = year - 1 + by_year[year - 1] / (by_year[year - 1] - by_year[year])
    measures = found.ways["spray_now"].measures
    assert measures is not None
    assert measures.simple_payback.value == pytest.approx(exact, abs=1e-9)
    assert measures.discounted_payback.value is not None
    assert measures.discounted_payback.value > exact


def test_payback_is_only_for_a_change_today() -> None:
    measures = compare(small()).ways["spray_later"].measures
    assert measures is not None
    assert measures.discounted_payback.value is None
    assert measures.simple_payback.reason == "only for a change today"


def test_who_keeps_what_stands() -> None:
    found = shipped("humid-coast-motorhome")
    keeping = {name for name, way in found.ways.items() if way.keeps_what_stands}
    assert keeping == {"keep", "keep_third_year", "keep_touched_up", "keep_looked_at"}
    assert found.cheapest_way_of_keeping == min(keeping, key=lambda name: found.ways[name].at_holding)


def test_a_coating_at_the_end_of_life_keeps_nothing() -> None:
    scenario = shipped("worked-example-1").scenario
    stated = {way.name: way for way in scenario.alternatives}
    assert keeps_what_stands(scenario, stated["keep"])
    assert not keeps_what_stands(scenario, stated["coat_at_end"])
    assert not keeps_what_stands(scenario, replace(stated["keep"], change=0.0))


def test_the_subject_is_the_marked_one_else_the_one_that_changes_now() -> None:
    scenario = small()
    assert scenario.subject is not None
    assert scenario.subject.name == "spray_now"
    marked = tuple(replace(way, subject=way.name == "spray_later") for way in scenario.alternatives)
    chosen = replace(scenario, alternatives=marked).subject
    assert chosen is not None
    assert chosen.name == "spray_later"
    assert replace(scenario, alternatives=scenario.alternatives[:1]).subject is None


def test_trouble_compares_nothing() -> None:
    found = shipped("trouble-reported")
    assert found.trouble == ("stain", "soft spot")
    assert not found.ways
    assert found.cheapest is None
    assert found.subject == "coat_now"


def test_a_swing_is_the_scenario_with_that_input_at_its_end() -> None:
    scenario = small()
    found = {swing.figure.path: swing for swing in compare(scenario).swings}
    assert set(found) == {"study.discount_rate", "leaks.patch_cost"}
    swing = found["leaks.patch_cost"]
    case = resolve(replaced(scenario, {"leaks.patch_cost": 900.0}))
    assert swing.at_high == pytest.approx(cost(case, "keep") - cost(case, "spray_now"), abs=1e-8)
    assert swing.likely == pytest.approx(compare(scenario).net_savings("spray_now"), abs=1e-8)


def test_swings_come_largest_first() -> None:
    sizes = [swing.size for swing in shipped("humid-coast-motorhome").swings]
    assert len(sizes) > 40
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] > 2.0 * sizes[3] > 0.0


def test_a_job_that_may_be_a_full_reseal_does_not_move_the_other_draws() -> None:
    scenario = small(restores="{ low = 0.7, likely = 1, high = 1 }")
    found = compare(scenario)
    path = "roofs.skin.visits.reseal.restores"
    assert found.ways["keep"].at_holding == pytest.approx(cost(resolve(scenario), "keep"), rel=1e-12)
    swing = next(swing for swing in swings(scenario, "spray_now", "keep") if swing.figure.path == path)
    low = resolve(replaced(scenario, {path: 0.7}))
    assert swing.at_low == pytest.approx(cost(low, "keep") - cost(low, "spray_now"), abs=1e-8)
    assert swing.at_high == pytest.approx(swing.likely, abs=1e-8)


def test_a_swing_reaches_from_its_least_to_its_greatest() -> None:
    figure = small().inputs["leaks.patch_cost"]
    assert Swing(figure, -100.0, -50.0, 200.0).size == 300.0


def test_other_years_kept_are_whole_months() -> None:
    found = compare(small(holding=7.54))
    assert found.holding_period == pytest.approx(90 / 12)
    whole = (
        compare(small(holding=7)).ways["keep"].at_holding,
        compare(small(holding=8)).ways["keep"].at_holding,
    )
    assert whole[0] < found.ways["keep"].at_holding < whole[1]


def test_a_comparison_shows_every_way_with_its_cost() -> None:
    found = compare(small())
    head, *lines = repr(found).splitlines()
    assert head.startswith("Comparison of ") and head.endswith(", kept 8 years")
    costs = [f"{name}: {way.at_holding:,.0f}" for name, way in found.ways.items()]
    assert [line.strip().partition("  (")[0] for line in lines] == costs
