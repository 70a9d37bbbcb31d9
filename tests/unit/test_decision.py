"""Deciding under doubt: ties, permutations, identities and cases whose answer is known."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import norm

from lifecycle.quantities import FieldInfo, Figure
from lifecycle.studies.decision import (
    SAME_WITHIN,
    chance_cheaper,
    chances_cheapest,
    expected_opportunity_loss,
    perfect_information,
    shares_of_doubt,
    value_of_knowing,
    value_of_looking,
)
from lifecycle.studies.sampling import sample

Array = NDArray[np.float64]


def unit_normal_loss(mean: float) -> float:
    """Return the mean of what a unit normal variable lies below `-mean` (closed form)."""
    return float(norm.pdf(mean) - mean * norm.sf(mean))


def some_costs(draws: int = 200, ways: int = 4, seed: int = 0) -> tuple[Array, Array]:
    """Return costs and weights with nothing special about them."""
    generator = np.random.default_rng(seed)
    costs = 1000.0 + 300.0 * generator.standard_normal((draws, ways)) + 50.0 * np.arange(ways)
    weights = generator.random(draws)
    return costs, weights / weights.sum()


def test_ways_within_one_percent_share_the_place() -> None:
    costs = np.array([[100.0, 101.0, 101.01], [200.0, 90.0, 95.0]])
    assert chances_cheapest(costs, np.array([0.5, 0.5])) == pytest.approx([0.25, 0.75, 0.0])


def test_receipts_tie_by_their_size() -> None:
    costs = np.array([[-100.0, -99.5, -98.0]])
    assert chances_cheapest(costs, np.ones(1)) == pytest.approx([0.5, 0.5, 0.0])


def test_for_a_pair_a_future_within_one_percent_counts_half() -> None:
    cost, than = np.array([100.0, 101.0, 50.0, 80.0]), np.array([101.0, 100.0, 60.0, 70.0])
    weights = np.array([0.1, 0.2, 0.3, 0.4])
    assert chance_cheaper(cost, than, weights) == pytest.approx(0.05 + 0.1 + 0.3)


def test_chances_of_a_pair_add_up_to_one() -> None:
    costs, weights = some_costs()
    costs[:50, 1] = costs[:50, 0] * (1.0 + 0.9 * SAME_WITHIN)
    there = chance_cheaper(costs[:, 0], costs[:, 1], weights)
    back = chance_cheaper(costs[:, 1], costs[:, 0], weights)
    assert there + back == pytest.approx(1.0)


def test_chances_of_being_cheapest_add_up_to_one() -> None:
    costs, weights = some_costs()
    assert chances_cheapest(costs, weights).sum() == pytest.approx(1.0)


@pytest.mark.parametrize("order", list(itertools.permutations(range(4)))[1::5])
def test_permuting_ways_permutes_results(order: tuple[int, ...]) -> None:
    costs, weights = some_costs()
    costs[:60, 2] = costs[:60, 0]
    permuted = costs[:, order]
    for measure in (chances_cheapest, expected_opportunity_loss):
        assert measure(permuted, weights) == pytest.approx(measure(costs, weights)[list(order)])
    assert perfect_information(permuted, weights) == pytest.approx(perfect_information(costs, weights))


@pytest.mark.parametrize("seed", range(20))
def test_perfect_information_is_the_smallest_expected_opportunity_loss(seed: int) -> None:
    costs, weights = some_costs(seed=seed, ways=2 + seed % 5)
    losses = expected_opportunity_loss(costs, weights)
    assert perfect_information(costs, weights) == pytest.approx(losses.min(), abs=1e-9)
    assert losses.min() >= 0.0


def test_weights_stand_for_repeated_futures() -> None:
    costs, _ = some_costs(draws=3)
    often = np.repeat(costs, [1, 2, 5], axis=0)
    weights = np.array([1.0, 2.0, 5.0]) / 8.0
    for measure in (chances_cheapest, expected_opportunity_loss, perfect_information):
        assert measure(costs, weights) == pytest.approx(measure(often, np.full(8, 1.0 / 8)))


def test_a_way_that_is_always_cheaper_leaves_nothing_to_know() -> None:
    costs, weights = some_costs()
    costs[:, 0] = costs.min(axis=1) - 1.0
    assert perfect_information(costs, weights) == pytest.approx(0.0, abs=1e-9)
    assert expected_opportunity_loss(costs, weights)[0] == pytest.approx(0.0, abs=1e-9)


def spread_of_estimates(draws: int, repeats: int = 400) -> float:
    """Return the standard deviation of the estimated worth of knowing everything, over seeds."""
    found = []
    for seed in range(repeats):
        difference = 0.5 + np.random.default_rng(seed).standard_normal(draws)
        costs = np.stack([np.zeros(draws), difference], axis=1)
        found.append(perfect_information(costs, np.full(draws, 1.0 / draws)))
    return float(np.std(found))


def test_more_draws_shrink_the_error_as_one_over_their_root() -> None:
    """Sixteen times the draws: a quarter of the error. 400 repeats give a ratio within some 5 %."""
    assert spread_of_estimates(100) / spread_of_estimates(1600) == pytest.approx(4.0, rel=0.2)


@pytest.fixture(scope="module")
def gaussian() -> tuple[Array, Array, Array, Array]:
    """Two ways whose difference of cost is 0.6 + 1.5 x + 0.8 y, x and y standard normal."""
    x, y = np.random.default_rng(1).standard_normal((2, 20_000))
    costs = np.stack([np.zeros(x.size), 0.6 + 1.5 * x + 0.8 * y], axis=1)
    return costs, x, y, np.full(x.size, 1.0 / x.size)


def test_knowing_one_input_of_a_gaussian_case(gaussian: tuple[Array, Array, Array, Array]) -> None:
    """Derived: the worth of knowing x is 1.5 times the unit normal loss at 0.6 / 1.5."""
    costs, x, y, weights = gaussian
    worth_x, worth_y = 1.5 * unit_normal_loss(0.6 / 1.5), 0.8 * unit_normal_loss(0.6 / 0.8)
    assert value_of_knowing(costs, [x], weights) == pytest.approx(worth_x, abs=0.02)
    assert value_of_knowing(costs, [y], weights) == pytest.approx(worth_y, abs=0.02)


def test_knowing_an_input_whose_both_ends_are_good_news() -> None:
    """The second way is dearer by ``0.8 - |y|``, y the second of two inputs drawn as a scenario draws.

    A polynomial shows nearly all there is to know, if it is learnt on both sides of the range.
    """
    field = FieldInfo("x", "tests", "x", ranged=True)
    figures = [Figure(f"tests.{name}", 0.0, -1.0, 1.0, "normal", "judgement", "", "", field) for name in "xy"]
    score = sample(figures, draws=1024, seed=1).scores["tests.y"]
    costs = np.stack([np.zeros(1024), 0.8 - np.abs(score)], axis=1)
    everything = perfect_information(costs, np.full(1024, 1.0 / 1024))
    assert value_of_knowing(costs, [score], np.full(1024, 1.0 / 1024)) > 0.9 * everything


def test_knowing_all_inputs_is_knowing_everything(gaussian: tuple[Array, Array, Array, Array]) -> None:
    costs, x, y, weights = gaussian
    everything = perfect_information(costs, weights)
    deviation = math.hypot(1.5, 0.8)
    assert everything == pytest.approx(deviation * unit_normal_loss(0.6 / deviation), abs=0.02)
    assert value_of_knowing(costs, [x, y], weights) == pytest.approx(everything, rel=1e-3)


def test_knowing_what_does_not_matter_is_worth_next_to_nothing(
    gaussian: tuple[Array, Array, Array, Array],
) -> None:
    costs, x, _, weights = gaussian
    other = np.random.default_rng(2).standard_normal(x.size)
    assert value_of_knowing(costs, [other], weights) < 0.01
    assert value_of_knowing(costs, [], weights) == 0.0


def test_many_idle_inputs_and_few_draws_are_not_taken_for_knowledge() -> None:
    """Thirty inputs without any influence, 256 draws: fitting chance patterns must gain nothing."""
    generator = np.random.default_rng(3)
    costs = np.stack([np.zeros(256), 0.1 + generator.standard_normal(256)], axis=1)
    idle = list(generator.standard_normal((30, 256)))
    everything = perfect_information(costs, np.full(256, 1.0 / 256))
    assert value_of_knowing(costs, idle, np.full(256, 1.0 / 256), degree=1) < 0.25 * everything


def test_knowing_is_worth_between_nothing_and_everything() -> None:
    for seed in range(10):
        costs, weights = some_costs(seed=seed)
        scores = list(np.random.default_rng(seed + 100).standard_normal((3, 200)))
        assert 0.0 <= value_of_knowing(costs, scores, weights) <= perfect_information(costs, weights)


def test_shares_of_doubt_are_those_of_the_variance_and_add_up() -> None:
    """Derived: y = 3 a + 4 b + c d with c, d standard normal has shares 9/26, 16/26, 0, 0 and 1/26."""
    a, b, c, d = np.random.default_rng(4).standard_normal((4, 40_000))
    difference = 3.0 * a + 4.0 * b + c * d
    shares = shares_of_doubt(difference, {"a": a, "b": b, "c": c, "d": d}, np.full(a.size, 1.0 / a.size))
    assert sum(shares.values()) == pytest.approx(1.0)
    expected = [9.0 / 26.0, 16.0 / 26.0, 0.0, 0.0, 1.0 / 26.0]
    assert list(shares.values()) == pytest.approx(expected, abs=0.015)


def test_without_doubt_there_is_nothing_to_share() -> None:
    score = np.random.default_rng(5).standard_normal(64)
    weights = np.random.default_rng(6).random(64)
    weights /= weights.sum()
    assert shares_of_doubt(np.full(64, 1234.567), {"a": score}, weights) == {}
    assert shares_of_doubt(score, {}, weights) == {}


def test_a_look_that_cannot_find_anything_is_worth_nothing() -> None:
    costs, weights = some_costs()
    assert value_of_looking(costs, np.zeros(200), weights) == pytest.approx(0.0, abs=1e-9)


def test_a_look_that_tells_the_futures_apart_is_worth_as_much_as_knowing() -> None:
    costs = np.array([[10.0, 14.0], [30.0, 20.0]])
    weights = np.array([0.7, 0.3])
    everything = perfect_information(costs, weights)
    assert value_of_looking(costs, np.array([0.0, 1.0]), weights) == pytest.approx(everything)
    assert value_of_looking(costs, np.array([1.0, 0.0]), weights) == pytest.approx(everything)


def test_an_unsure_look_by_hand() -> None:
    """By hand: means 16.0 and 15.8. Found (0.2 x 0.7 + 0.9 x 0.3 = 0.41): 9.5 against 7.36; not
    found (0.59): 6.5 against 8.44. So 15.8 - 7.36 - 6.5 = 1.94.
    """
    costs = np.array([[10.0, 14.0], [30.0, 20.0]])
    found = np.array([0.2, 0.9])
    assert value_of_looking(costs, found, np.array([0.7, 0.3])) == pytest.approx(1.94)
