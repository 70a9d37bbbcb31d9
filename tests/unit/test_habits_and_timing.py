"""The table of 20s, the dates of the change and the reseal intervals, against evaluations by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from lifecycle.evaluation.expectation import evaluate
from lifecycle.files import load, loads
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import under
from lifecycle.studies.futures import futures
from lifecycle.studies.habits import Habits, habits
from lifecycle.studies.timing import NEVER, Timing, timing
from lifecycle.studies.ways import WHEN_IT_MUST

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
DRAWS = 32


@cache
def scenario(name: str) -> Scenario:
    return load(SCENARIOS / f"{name}.toml")


@cache
def table(name: str) -> Habits:
    return habits(scenario(name), draws=DRAWS, seed=3, years=(3, 8))


@cache
def dates(name: str) -> Timing:
    return timing(scenario(name), draws=DRAWS, seed=3)


def test_every_shipped_plan_gives_a_pair_of_ways() -> None:
    laid_out = under_every_plan(scenario("humid-coast-motorhome"))
    names = {way.name for way in laid_out.alternatives}
    assert names == {f"{kind}{plan}" for plan in plan_titles() for kind in (KEEP, CHANGE)}
    assert len(plan_titles()) == 7


def test_plans_share_their_figures_and_keep_the_scenarios_own() -> None:
    one = scenario("humid-coast-motorhome")
    laid_out = under_every_plan(one)
    for path, figure in one.inputs.items():
        if path in laid_out.inputs:
            assert laid_out.inputs[path] == figure
    case = resolve(laid_out)
    for plan in plan_titles():
        kept, changed = case.alternative(f"{KEEP}{plan}"), case.alternative(f"{CHANGE}{plan}")
        assert changed.change_month == 0 and kept.change_month is None
        assert float(np.asarray(changed.quote)) == one.inputs["figures.coating_quote"].likely


@pytest.mark.parametrize(
    ("name", "plan"), [("humid-coast-motorhome", "shop_every_year"), ("own-hands", "own_reseal")]
)
def test_the_row_of_what_the_owner_would_do_says_what_the_verdict_says(name: str, plan: str) -> None:
    """The base case of the scenario is that plan, so its row is the doubt of the scenario itself."""
    one = scenario(name)
    found = under(one, futures(one, draws=DRAWS, seed=3))
    subject = one.subject.name
    for year in (3, 8):
        assert table(name).chance[plan][year] == found.chance_cheaper(subject, year=year)
        saved = found.futures.weights @ (found.costs["keep"][:, year] - found.costs[subject][:, year])
        quote = np.asarray(resolve(one, found.futures.sample.values).alternative(subject).quote)
        price = float(found.futures.weights @ np.broadcast_to(quote, (DRAWS,)) + saved)
        assert table(name).highest_price[plan][year] == pytest.approx(price)


def test_inputs_that_a_scenario_lacks_are_drawn_beside_its_own() -> None:
    one = scenario("humid-coast-motorhome")
    laid_out = under_every_plan(one)
    alone, beside = futures(one, draws=DRAWS, seed=3), futures(laid_out, draws=DRAWS, seed=3, alike=one)
    assert set(beside.sample.values) > set(alone.sample.values)
    for path, values in alone.sample.values.items():
        np.testing.assert_allclose(beside.sample.values[path], values, rtol=1e-12)
    new = beside.sample.scores[next(iter(set(beside.sample.values) - set(alone.sample.values)))]
    assert abs(float(np.mean(new))) < 0.5 and float(np.std(new)) > 0.5


def test_at_the_highest_price_the_mean_saving_is_zero() -> None:
    one = scenario("sells-in-three-years")
    laid_out = under_every_plan(one)
    price = table("sells-in-three-years").highest_price["only_looks"][3]
    drawn = futures(laid_out, draws=DRAWS, seed=3, alike=one)
    case = resolve(laid_out, drawn.sample.values)
    ways = tuple(
        replace(way, quote=price) if way.name == f"{CHANGE}only_looks" else way for way in case.alternatives
    )
    costs = evaluate(replace(case, alternatives=ways))
    change, keep = costs[f"{CHANGE}only_looks"], costs[f"{KEEP}only_looks"]
    saving = drawn.weights @ (keep.net_present_cost[:, 3] - change.net_present_cost[:, 3])
    assert saving == pytest.approx(0.0, abs=1e-6)


def test_whoever_sells_in_three_years_should_not_spray() -> None:
    """Common practice, no source: a coating is not earned back in three years of touching up."""
    assert table("sells-in-three-years").of_20["own_touch_up"][3] <= 2


@pytest.mark.parametrize("name", ["worked-example-1", "own-hands"])
def test_chances_of_the_dates_and_of_the_intervals_add_up(name: str) -> None:
    found = dates(name)
    assert sum(choice.chance_best for choice in found.change) == pytest.approx(1.0)
    assert sum(choice.chance_best for choice in found.reseal) == pytest.approx(1.0)
    assert [choice.when for choice in found.change[-2:]] == [WHEN_IT_MUST, NEVER]


def test_changing_now_later_and_never_cost_what_the_worked_example_prints() -> None:
    """Worked example 1, sold after 8 years: now 7,751.07, at the end of life 10,204.25, kept 11,030.51."""
    costs = {choice.when: float(choice.cost.mean) for choice in dates("worked-example-1").change}
    assert costs[0] == pytest.approx(7751.07, abs=0.005)
    assert costs[WHEN_IT_MUST] == pytest.approx(10204.25, abs=0.005)
    assert costs[NEVER] == pytest.approx(11030.51, abs=0.005)
    assert dates("worked-example-1").best_change.when == 0


def test_at_the_risen_price_waiting_costs_as_much_as_now() -> None:
    one = scenario("worked-example-1")
    wait = next(choice for choice in dates("worked-example-1").change if choice.when == 3)
    case = resolve(one)
    subject = case.alternative("coat_now")
    later = replace(subject, quote=subject.quote + wait.price_rise, change_month=36)
    costs = evaluate(replace(case, alternatives=(case.base_case, later)))
    assert costs["coat_now"].at_holding[0] == pytest.approx(7751.07, abs=0.005)


def test_the_interval_of_the_plan_itself_costs_the_base_case() -> None:
    every_year = next(choice for choice in dates("worked-example-1").reseal if choice.when == 12)
    assert float(every_year.cost.mean) == pytest.approx(11030.51, abs=0.005)
    assert dates("worked-example-1").best_reseal is not None
    assert dates("worked-example-1").best_reseal.when == NEVER


def test_the_dates_say_how_far_they_are_and_can_be_given_up() -> None:
    scenario = load(SCENARIOS / "sells-in-three-years.toml")
    seen: list[tuple[int, int]] = []
    timing(scenario, draws=16, progress=lambda done, of: seen.append((done, of)))
    assert [done for done, _ in seen] == sorted({done for done, _ in seen})
    assert len({of for _, of in seen}) == 1 and len(seen) > 2 and seen[0][0] == 0
    assert seen[-1] == (seen[-1][1], seen[-1][1])

    def give_up(done: int, of: int) -> None:
        if done:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        timing(scenario, draws=16, progress=give_up)


ENDLESS = """
schema = 1
title = "Two ways of keeping a roof that never wears out and never leaks"
currency = "USD"
units = "us"
basis = "demo"
study = { base_date = 2027-04-01, study_period = 10, discount_rate = 0 }
owner = { holding_period = 4 }
leaks = { rot_time = 2, severe_after = 1 }
existing = { roof = "resealed", age = 0, seal_age = 0 }

[roofs.resealed]
life_shape = 1
life_scale = "endless"
renew_cost = 5000
visits = [{ name = "reseal", every = 12, cost = 100, restores = 1 }]

[roofs.touched]
like = "resealed"
visits = [{ name = "touch-up", every = 12, cost = 40 }]

[roofs.coating]
life_shape = 1
life_scale = "endless"
renew_cost = 9000

[alternatives.resealed]
base_case = true

[alternatives.touched]
roof = "touched"

[alternatives.coat]
change = "now"
then = "coating"
quote = 1000
subject = true
"""


def test_while_one_waits_the_roof_is_kept_in_the_cheapest_way() -> None:
    """Solved by hand: sold after 4 years at rate 0, so jobs fall due after 12, 24 and 36 months.

    The change takes the place of the job of its month, and no full reseal is done in the 12 months
    before it: waiting 1, 2, 3 years costs 0, 0, 1 reseals of 100, or 0, 1, 2 touch-ups of 40.
    Waiting until the roof must go, or for ever, costs 3 of either.
    """
    found = timing(loads(ENDLESS), draws=16)
    told = {choice.when: (choice.upkeep, float(choice.cost.mean)) for choice in found.change}
    assert told == {
        0: ("resealed", 1000.0),
        1: ("resealed", 1000.0),
        2: ("resealed", 1000.0),
        3: ("touched", 1080.0),
        WHEN_IT_MUST: ("touched", 120.0),
        NEVER: ("touched", 120.0),
    }
    assert [choice.chance_best for choice in found.change] == [0.0] * 4 + [0.5, 0.5]
    assert [choice.price_rise for choice in found.change] == [None, 0.0, 0.0, -80.0, None, None]
    assert (found.years, found.quote, found.subject) == (4.0, 1000.0, "coat")
    assert found.best_change.when == WHEN_IT_MUST  # the first of equals


def test_a_reseal_more_often_costs_one_more_each_time() -> None:
    """Solved by hand: 47 months before the sale hold 7, 3, 2, 1, 1 reseals of 100, and then none."""
    found = timing(loads(ENDLESS), draws=16)
    told = {choice.when: float(choice.cost.mean) for choice in found.reseal}
    assert told == {6: 700, 12: 300, 18: 200, 24: 100, 36: 100, 48: 0, 60: 0, 72: 0, NEVER: 0}
    assert found.resealed == "resealed" and {choice.upkeep for choice in found.reseal} == {"resealed"}
    assert [choice.chance_best for choice in found.reseal] == [0.0] * 5 + [0.25] * 4
    assert all(choice.price_rise is None for choice in found.reseal)
    assert found.best_reseal is not None and found.best_reseal.when == 48
