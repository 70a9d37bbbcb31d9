"""What doubt and luck say is gathered once, adds up, and does not hang on how it was evaluated."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from lifecycle.evaluation.simulation import simulate
from lifecycle.files import load
from lifecycle.language.labels import shared_out
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies import assessment, doubt, futures
from lifecycle.studies.assessment import Assessment, brief, choosing, whole
from lifecycle.studies.doubt import Doubt
from lifecycle.studies.futures import Futures
from lifecycle.studies.habits import Habits, habits
from lifecycle.studies.sampling import Contradiction, Sample
from lifecycle.studies.value_of_information import Stretch, calls, knowing, stretches, value_of_a_look

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def scenario(name: str = "sells-in-three-years") -> Scenario:
    return load(SCENARIOS / f"{name}.toml")


@cache
def gathered() -> Assessment:
    """Return the whole assessment of a short scenario with few draws."""
    return whole(scenario(), draws=64, seed=1)


def two_ways(cost_of_other: np.ndarray, value: np.ndarray) -> Doubt:
    """Return a doubt by hand: one way costs 100, the other what is given; one input, drawn in order."""
    draws = value.size
    weights = np.full(draws, 1.0 / draws)
    score = (value - value.mean()) / value.std()
    drawn = Futures(Sample({"x": value}, {"x": score}, {}, draws, 1), weights)
    costs = np.stack([np.full(draws, 100.0), cost_of_other], axis=1)
    by_year = {name: costs[:, [place]] for place, name in enumerate(("even", "other"))}
    return Doubt(drawn, ("even", "other"), "even", 5.0, by_year, costs, costs)


def test_chances_add_up_and_the_smallest_loss_is_the_worth_of_knowing_everything() -> None:
    found = gathered()
    assert sum(found.choosing.chance_cheapest.values()) == pytest.approx(1.0, abs=1e-12)
    loss = min(found.choosing.opportunity_loss.values())
    assert found.choosing.perfect_information == pytest.approx(loss, abs=1e-6)
    assert found.knowing is not None
    assert found.knowing.total == found.choosing.perfect_information
    for one, than in found.choosing.chance_cheaper.items():
        for other, chance in than.items():
            back = found.choosing.chance_cheaper[other][one]
            assert chance + back == pytest.approx(1.0, abs=1e-12)


def test_the_cheapest_has_the_smallest_mean_and_the_smallest_loss() -> None:
    found = gathered()
    years = round(found.doubt.years)
    means = {name: band.mean[years] for name, band in found.costs.items()}
    assert found.cheapest == min(means, key=lambda name: means[name])
    loss = found.choosing.opportunity_loss
    assert found.cheapest == min(loss, key=lambda name: loss[name])


def test_bands_are_in_order_and_savings_are_differences_of_costs() -> None:
    found = gathered()
    for band in (*found.costs.values(), *found.net_savings.values()):
        assert np.all(band.p10 <= band.p50)
        assert np.all(band.p50 <= band.p90)
    base = found.costs[found.doubt.base_case].mean
    for name, band in found.net_savings.items():
        assert_allclose(band.mean, base - found.costs[name].mean, atol=1e-8)
    assert found.doubt.base_case not in found.net_savings


def test_shares_of_the_doubt_add_up_to_one() -> None:
    knowing = gathered().knowing
    assert knowing is not None
    assert sum(knowing.share_by_input.values()) == pytest.approx(1.0, abs=1e-9)
    assert sum(knowing.share_by_basis.values()) == pytest.approx(1.0, abs=1e-9)


def test_luck_is_that_of_simulated_lives_at_likely_values() -> None:
    found = gathered()
    lives = simulate(resolve(found.scenario), lives=found.lives, seed=1)
    renewal = float(resolve(scenario()).existing.roof.renew_cost)
    assert found.large_bill == pytest.approx(0.5 * renewal)
    for name, luck in found.luck.items():
        assert_array_equal(luck.chance_of_new_roof, lives[name].chance_of_new_roof())
        assert_array_equal(luck.chance_of_large_bill, lives[name].chance_of_bill_above(found.large_bill))
        assert_array_equal(luck.cost.p90, lives[name].percentile(90.0))
        assert np.all(np.diff(luck.chance_of_leak) >= 0.0)


def test_a_named_bill_is_the_amount() -> None:
    small = whole(scenario("worked-example-3"), draws=16, bill=10.0)
    large = whole(scenario("worked-example-3"), draws=16, bill=1e7)
    assert small.large_bill == 10.0
    assert small.luck["keep"].chance_of_large_bill[10] > 0.5
    assert large.luck["keep"].chance_of_large_bill[10] == 0.0


def test_a_brief_one_says_the_same_of_the_choice_and_nothing_of_luck() -> None:
    short = brief(scenario(), draws=64, seed=1)
    assert short.choosing == gathered().choosing
    assert (short.habits, short.luck, short.lives) == (None, {}, 0)
    assert short.no_habits == short.no_look == assessment.SAYS["not_asked"]


def test_what_comes_after_the_last_year_wanted_changes_nothing_before_it() -> None:
    short = brief(scenario(), draws=64, seed=1, until=5)
    full = gathered()
    assert_allclose(short.doubt.at_years, full.doubt.at_years, rtol=1e-12)
    for name, costs in short.doubt.costs.items():
        assert costs.shape == (64, 6)
        assert_allclose(costs, full.doubt.costs[name][:, :6], rtol=1e-12, atol=1e-9)
    assert short.knowing is not None
    assert "years kept" not in short.knowing.by_group


@pytest.mark.parametrize("years", [3.0, 3.5])
def test_rounds_of_futures_change_nothing(years: float, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = scenario()
    if years != 3.0:
        figure = asked.inputs["owner.holding_period"]
        asked = replaced(asked, {"owner.holding_period": replace(figure, likely=years)})
    drawn = doubt.futures(asked, draws=48, seed=2)
    once = doubt.under(asked, drawn)
    monkeypatch.setattr(futures, "_BLOCK", 17)
    often = doubt.under(asked, drawn)
    assert_allclose(often.at_years, once.at_years, rtol=1e-12)
    assert_allclose(often.own_years, once.own_years, rtol=1e-12)
    assert not np.allclose(once.at_years, once.own_years)
    for name, costs in once.costs.items():
        assert_allclose(often.costs[name], costs, rtol=1e-12, atol=1e-9)


def test_no_range_no_doubt() -> None:
    found = brief(scenario("worked-example-1"), draws=16)
    assert not found.doubt.any_doubt
    for band in found.costs.values():
        assert_allclose(band.p10, band.p90)
    assert set(found.choosing.chance_cheapest.values()) == {0.0, 1.0}
    assert found.knowing is not None
    assert found.knowing.total == pytest.approx(0.0, abs=1e-6)


def test_plans_whose_figures_cannot_move_together_leave_no_table_but_a_reason(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(asked: Scenario, **options: object) -> Habits:
        raise Contradiction("the rank correlations contradict each other")

    monkeypatch.setattr(assessment, "habits", refuse)
    found = whole(scenario("worked-example-3"), draws=16)
    assert found.habits is None
    assert found.no_habits == "with the figures of every plan the rank correlations contradict each other"


def test_the_table_of_20s_is_that_of_the_study() -> None:
    table = habits(scenario(), draws=64, seed=1)
    assert gathered().habits == table


def test_the_worth_of_a_look_is_that_of_the_study_and_only_a_whole_one_has_it() -> None:
    found = gathered()
    assert found.knowing is not None and found.knowing.look is not None
    assert found.knowing.look == pytest.approx(value_of_a_look(found.scenario, found.doubt))
    asked = brief(scenario(), draws=16).knowing
    assert asked is not None and asked.look is None


def test_told_names_each_part_of_the_work() -> None:
    said: list[str] = []
    whole(scenario("worked-example-3"), draws=16, told=said.append)
    assert said == [
        "16 futures of 2 ways",
        "what finding out is worth",
        "the table of 20s",
    ]


def test_a_call_says_from_which_value_on_the_advice_changes() -> None:
    """By hand: the other way costs 4 x, so it is the cheaper one below x = 25."""
    value = np.linspace(0.0, 50.0, 201)
    found = stretches(two_ways(4.0 * value, value), "x")
    assert [stretch.way for stretch in found] == ["other", "even"]
    assert found[0].up_to == pytest.approx(25.0, abs=0.25)
    assert found[1].up_to is None


def test_a_call_that_changes_no_advice_has_one_stretch() -> None:
    value = np.linspace(0.0, 20.0, 101)
    assert stretches(two_ways(4.0 * value, value), "x") == (Stretch("other", None),)


@pytest.mark.parametrize(("largest", "ways"), [(25.0 / 0.97, 2), (25.0 / 0.99, 1)])
def test_a_turn_in_the_outermost_hundredths_is_not_told(largest: float, ways: int) -> None:
    """By hand: the other way is cheaper below 25, with 3 % and with 1 % of the futures above it."""
    rising = np.linspace(0.0, largest, 1001)
    assert len(stretches(two_ways(4.0 * rising, rising), "x")) == ways
    falling = 25.0 * 2.0 - rising
    assert len(stretches(two_ways(4.0 * falling, falling), "x")) == ways


def test_a_call_is_named_from_half_a_unit_of_money_on() -> None:
    assert calls(scenario(), gathered().doubt, {"leaks.rot_cost": 0.4999}) == ()
    assert len(calls(scenario(), gathered().doubt, {"leaks.rot_cost": 0.5})) == 1


def test_advice_that_changes_twice() -> None:
    """By hand: the other way costs 60 + (x - 25)^2 / 5, cheaper within 25 +- root(200)."""
    value = np.linspace(0.0, 50.0, 401)
    found = stretches(two_ways(60.0 + (value - 25.0) ** 2 / 5.0, value), "x")
    assert [stretch.way for stretch in found] == ["even", "other", "even"]
    assert [stretch.up_to for stretch in found[:2]] == pytest.approx([25 - 200**0.5, 25 + 200**0.5], abs=0.2)


def test_only_calls_that_are_worth_something_are_named_the_best_first() -> None:
    worth = {"leaks.patch_cost": 0.2, "leaks.rot_cost": 40.0, "figures.shop_reseal_cost": 90.0}
    found = calls(scenario(), gathered().doubt, worth)
    assert [call.figure.path for call in found] == ["figures.shop_reseal_cost", "leaks.rot_cost"]
    whole_ = gathered().knowing
    assert whole_ is not None
    assert len(calls(scenario(), gathered().doubt, dict.fromkeys(whole_.by_input, 1.0))) == 3


def test_between_two_ways_knowing_what_decides_is_worth_knowing_everything() -> None:
    """By hand: x alone makes the difference, so to know it is to know all there is."""
    asked = scenario()
    path = "figures.shop_reseal_cost"
    chance = np.random.default_rng(1)
    value = chance.uniform(0.0, 50.0, 4000)
    by_hand = two_ways(4.0 * value, value)
    sample = by_hand.futures.sample
    renamed = replace(sample, values={path: value}, scores={path: sample.scores["x"]})
    by_hand = replace(by_hand, futures=replace(by_hand.futures, sample=renamed))
    known = knowing(asked, by_hand, "other").by_input
    assert known[path] == pytest.approx(choosing(by_hand).perfect_information, rel=0.02)
    assert known[path] > 20.0


def test_twenty_futures_are_shared_out_as_twenty() -> None:
    chances = np.random.default_rng(3).dirichlet(np.full(7, 0.4), size=200)
    for row in chances:
        shared = shared_out(dict(zip("abcdefg", row, strict=True)))
        assert sum(shared.values()) == 20
        assert all(abs(number - 20.0 * row["abcdefg".index(name)]) < 1.0 for name, number in shared.items())
