"""Doubt: futures weighed by the history of the roof, chances, bands, seeds."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.past import log_likelihood
from lifecycle.files import load, loads
from lifecycle.kinds import CATEGORIES
from lifecycle.roofs import take
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies.decision import (
    chances_cheapest,
    expected_opportunity_loss,
    perfect_information,
)
from lifecycle.studies.doubt import Doubt, band, doubt, of_20, under
from lifecycle.studies.futures import (
    LIVES_TOGETHER,
    PRICES_TOGETHER,
    Futures,
    NoFuture,
    correlations,
    futures,
    in_draws,
)
from lifecycle.studies.sampling import Contradiction

SCENARIOS = Path(__file__).parents[2] / "scenarios"

OLD_ROOF = """
currency = "USD"
[study]
base_date = 2027-01-01
study_period = 12
discount_rate = 0.03
[owner]
holding_period = 5
[leaks]
rot_time = 2
severe_after = 100
sign_rate = { low = 0.3, likely = 1, high = 2 }
patch_cost = { low = 300, likely = 600, high = 1500 }
[roofs.old]
life_shape = 3
life_scale = { low = 6, likely = 14, high = 22 }
ageing = 1.1
puncture_rate = { low = 0.01, likely = 0.1, high = 0.5 }
renew_cost = { low = 4000, likely = 8000, high = 12000 }
[roofs.new]
life_shape = 3
life_scale = "endless"
[existing]
roof = "old"
age = 96
LEAKS_FOUND
[alternatives.keep]
base_case = true
[alternatives.coat]
change = "now"
then = "new"
quote = 5000
"""
"""A plain roof, eight years old: only punctures, nothing ever severe, no upkeep."""


@pytest.fixture(scope="module")
def humid_coast() -> Scenario:
    """Return a shipped scenario with ranges."""
    return load(SCENARIOS / "humid-coast-motorhome.toml")


@pytest.fixture(scope="module")
def doubted(humid_coast: Scenario) -> Doubt:
    """Return its doubt, from few draws."""
    return doubt(humid_coast, draws=128, seed=3)


def old_roof(leaks_found: int | None = None) -> Scenario:
    """Return the plain roof, with or without a known number of leaks found."""
    stated = "" if leaks_found is None else f"leaks_found = {leaks_found}"
    return loads(OLD_ROOF.replace("LEAKS_FOUND", stated), "an old roof")


def weights_by_hand(scenario: Scenario, drawn: Futures, leaks_found: int | None) -> list[float]:
    """Weigh each draw by itself, month by month, from the words of the model.

    It stands with probability exp(-(age x ageing / scale)^shape). A puncture of month m is found by
    today if a sign showed it in one of the months m ... 96.
    """
    weights = []
    for place in range(drawn.weights.size):
        value = {path: float(values[place]) for path, values in drawn.sample.values.items()}
        weight = math.exp(-((8.0 * 1.1 / value["roofs.old.life_scale"]) ** 3))
        shown = 1.0 - math.exp(-value["leaks.sign_rate"] / 12.0)
        found = 0.0
        for month in range(1, 97):
            hidden = 1.0
            for _ in range(month, 97):
                hidden *= 1.0 - shown
            found += value["roofs.old.puncture_rate"] / 12.0 * (1.0 - hidden)
        if leaks_found is not None:
            weight *= found**leaks_found * math.exp(-found) / math.factorial(leaks_found)
        weights.append(weight)
    return [weight / sum(weights) for weight in weights]


@pytest.mark.parametrize("leaks_found", [None, 0, 2])
def test_history_weighs_the_draws_as_by_hand(leaks_found: int | None) -> None:
    scenario = old_roof(leaks_found)
    drawn = futures(scenario, draws=64, seed=1)
    assert drawn.weights == pytest.approx(weights_by_hand(scenario, drawn, leaks_found), rel=1e-9)
    assert drawn.effective == pytest.approx(1.0 / np.sum(drawn.weights**2))
    assert drawn.effective < 63.0


def test_a_roof_that_stands_is_likely_to_be_of_the_longer_lived() -> None:
    """The chance of the history over all draws makes long lives and many leaks likelier."""
    one, other = (futures(old_roof(number), draws=256, seed=1) for number in (0, 4))
    life = one.sample.values["roofs.old.life_scale"]
    leaks = one.sample.values["roofs.old.puncture_rate"]
    assert one.weights @ life > np.mean(life) + 0.3
    assert one.weights @ leaks < np.mean(leaks) - 0.01 < np.mean(leaks) + 0.01 < other.weights @ leaks


def test_a_new_roof_has_no_history() -> None:
    scenario = loads(OLD_ROOF.replace("LEAKS_FOUND", "").replace("age = 96", "age = 0"), "a new roof")
    drawn = futures(scenario, draws=64, seed=1)
    assert np.array_equal(drawn.weights, np.full(64, 1.0 / 64))
    assert drawn.effective == pytest.approx(64.0)


def test_a_history_that_no_draw_explains_is_said() -> None:
    impossible = OLD_ROOF.replace("{ low = 0.01, likely = 0.1, high = 0.5 }", "0")
    scenario = loads(impossible.replace("LEAKS_FOUND", "leaks_found = 3"), "impossible")
    with pytest.raises(NoFuture, match=r"no draw .* can explain.*leaks_found"):
        futures(scenario, draws=64, seed=1)


def test_a_history_is_weighed_in_parts_as_in_one() -> None:
    """More futures than are weighed at a time: each is what it is among fewer."""
    scenario = loads(OLD_ROOF.replace("LEAKS_FOUND", "leaks_found = 1"), "many")
    drawn = futures(scenario, draws=600, seed=1)
    case = resolve(scenario, drawn.sample.values)
    together = log_likelihood(case, 600)
    alone = log_likelihood(take(case, slice(500, 600)), 100)
    assert together.shape == (600,) and np.ptp(together) > 0.1
    assert together[500:] == pytest.approx(alone, rel=1e-12)


def test_a_history_that_is_only_unlikely_is_still_weighed() -> None:
    """Eight years old with a life of some 1.3 years: next to impossible, but the weights compare."""
    short = OLD_ROOF.replace("low = 6, likely = 14, high = 22", "low = 1.2, likely = 1.3, high = 1.4")
    drawn = futures(loads(short.replace("LEAKS_FOUND", ""), "unlikely"), draws=64, seed=1)
    assert np.all(np.isfinite(drawn.weights))
    assert drawn.weights.sum() == pytest.approx(1.0)
    assert drawn.effective < 3.0


def test_a_chance_too_small_for_a_number_is_still_weighed() -> None:
    """A shape of 20 and eight years of a life of 1.3 years: the chance is below e-700 in every draw."""
    short = OLD_ROOF.replace("low = 6, likely = 14, high = 22", "low = 1.2, likely = 1.3, high = 1.4")
    short = short.replace("life_shape = 3", "life_shape = 20")
    scenario = loads(short.replace("LEAKS_FOUND", "leaks_found = 1"), "too small")
    drawn = futures(scenario, draws=64, seed=1)
    life = drawn.sample.values["roofs.old.life_scale"]
    assert np.exp(-((8.0 / life.max()) ** 20)) == 0.0
    assert drawn.weights.sum() == pytest.approx(1.0)
    assert np.argmax(drawn.weights) == np.argmax(life)
    assert np.all(np.isfinite(doubt(scenario, draws=64, seed=1).at_years))


def test_the_same_seed_gives_the_same_bytes(humid_coast: Scenario, doubted: Doubt) -> None:
    again, other = (doubt(humid_coast, draws=128, seed=seed) for seed in (3, 4))
    assert again.at_years.tobytes() == doubted.at_years.tobytes()
    assert again.futures.weights.tobytes() == doubted.futures.weights.tobytes()
    for name, cost in doubted.costs.items():
        assert again.costs[name].tobytes() == cost.tobytes()
    assert other.at_years.tobytes() != doubted.at_years.tobytes()


def test_each_future_is_the_expectation_with_its_inputs(humid_coast: Scenario, doubted: Doubt) -> None:
    for place in (0, 77):
        values = {path: value[place] for path, value in doubted.futures.sample.values.items()}
        ledgers = evaluate(resolve(humid_coast, values))
        own = [ledger.at_holding[0] for ledger in ledgers.values()]
        assert doubted.own_years[place] == pytest.approx(own, rel=1e-12)
        at_ten = [ledger.net_present_cost[0, 10] for ledger in ledgers.values()]
        assert doubted.at_years[place] == pytest.approx(at_ten, rel=1e-12)


def test_chances_stand_at_the_likely_years_in_whole_years_and_in_months(humid_coast: Scenario) -> None:
    """9 years stand on the curve of years of sale; 9.5 years do not, and are evaluated."""
    kept = humid_coast.inputs["owner.holding_period"]
    for years in (9.0, 9.5):
        scenario = replaced(humid_coast, {"owner.holding_period": replace(kept, likely=years)})
        found = doubt(scenario, draws=16, seed=1)
        values = {path: value[5] for path, value in found.futures.sample.values.items()}
        ledgers = evaluate(resolve(scenario, values | {"owner.holding_period": years}))
        assert found.years == years
        assert found.at_years[5] == pytest.approx([led.at_holding[0] for led in ledgers.values()], rel=1e-12)


def test_years_kept_may_be_a_figure_of_another_name(humid_coast: Scenario) -> None:
    stated = '{ low = 6, likely = 10, high = 15, basis = "judgement", note = "said by the owner (invented)" }'
    assert stated in humid_coast.text
    text = humid_coast.text.replace(f"holding_period = {stated}", 'holding_period = "years_kept"')
    text = text.replace("[figures]\n", f"[figures]\nyears_kept = {stated}\n", 1)
    named = doubt(loads(text, "named"), draws=16, seed=1)
    curve = np.stack([named.costs[name][:, 10] for name in named.names], axis=1)
    assert np.array_equal(named.at_years, curve)
    assert not np.array_equal(named.at_years, named.own_years)


def test_permuting_the_ways_permutes_the_results(humid_coast: Scenario, doubted: Doubt) -> None:
    turned = under(
        replace(humid_coast, alternatives=humid_coast.alternatives[::-1]),
        doubted.futures,
    )
    assert turned.names == doubted.names[::-1]
    assert turned.at_years == pytest.approx(doubted.at_years[:, ::-1], rel=1e-12)
    weights = doubted.futures.weights
    chances = chances_cheapest(doubted.at_years, weights)
    assert chances_cheapest(turned.at_years, weights) == pytest.approx(chances[::-1])
    for name in doubted.names:
        assert turned.chance_cheaper(name) == pytest.approx(doubted.chance_cheaper(name))


def test_perfect_information_is_the_smallest_expected_opportunity_loss(doubted: Doubt) -> None:
    weights = doubted.futures.weights
    losses = expected_opportunity_loss(doubted.at_years, weights)
    assert perfect_information(doubted.at_years, weights) == pytest.approx(losses.min(), rel=1e-9)
    assert chances_cheapest(doubted.at_years, weights).sum() == pytest.approx(1.0)


def test_a_way_against_itself_is_even(doubted: Doubt) -> None:
    assert doubted.chance_cheaper("keep") == pytest.approx(0.5)
    assert doubted.chance_cheaper("keep", year=3) == pytest.approx(0.5)
    assert np.all(doubted.net_savings("keep") == 0.0)


def test_a_scenario_without_ranges_has_futures_that_are_all_alike() -> None:
    found = doubt(load(SCENARIOS / "worked-example-1.toml"), draws=16, seed=1)
    assert np.array_equal(found.at_years, np.repeat(found.at_years[:1], 16, axis=0))
    assert found.band(found.net_savings("coat_now")).mean == pytest.approx(11030.51 - 7751.07, abs=0.011)


def test_prices_and_lives_move_together_but_not_a_quote_that_the_seller_stated(humid_coast: Scenario) -> None:
    pairs = correlations(humid_coast)
    assert pairs[("roofs.membrane.renew_cost", "figures.shop_reseal_cost")] == PRICES_TOGETHER
    assert pairs[("roofs.membrane.life_mean", "roofs.coating.life_mean")] == LIVES_TOGETHER
    assert not any("owner.hour_value" in pair or "leaks.sign_years" in pair for pair in pairs)
    quote = humid_coast.inputs["figures.coating_quote"]
    ranged = replace(quote, low=8000.0, high=12000.0, shape="pert")
    for basis, together in (("offer", False), ("judgement", True)):
        scenario = replaced(humid_coast, {quote.path: replace(ranged, basis=basis)})
        assert any(quote.path in pair for pair in correlations(scenario)) is together


def test_a_stated_correlation_replaces_the_tools_own(humid_coast: Scenario) -> None:
    stated = '\n[[correlations]]\na = "figures.shop_reseal_cost"\nb = "leaks.patch_cost"\nrank = 0.5\n'
    scenario = loads(humid_coast.text + stated, "stated")
    values = futures(scenario, draws=4096, seed=1).sample.values
    own = futures(humid_coast, draws=4096, seed=1).sample.values

    def rank(drawn: dict[str, np.ndarray], one: str, other: str) -> float:
        return float(stats.spearmanr(drawn[one], drawn[other]).statistic)

    pair = "figures.shop_reseal_cost", "leaks.patch_cost"
    assert rank(dict(own), *pair) == pytest.approx(PRICES_TOGETHER, abs=0.02)
    assert rank(dict(values), *pair) == pytest.approx(0.5, abs=0.02)
    other = "figures.shop_reseal_cost", "roofs.membrane.renew_cost"
    assert rank(dict(values), *other) == pytest.approx(PRICES_TOGETHER, abs=0.02)
    lives = "roofs.membrane.life_mean", "roofs.coating.life_mean"
    assert rank(dict(values), *lives) == pytest.approx(LIVES_TOGETHER, abs=0.03)


@pytest.mark.parametrize("rank", [0.0, -0.99])
def test_two_prices_may_be_said_to_be_independent_or_opposed(humid_coast: Scenario, rank: float) -> None:
    """What we hold together gives way, of these two prices only, and as little as will do."""
    one, other = "leaks.patch_cost", "leaks.rot_cost"
    stated = f'\n[[correlations]]\na = "{one}"\nb = "{other}"\nrank = {rank}\n'
    scenario = loads(humid_coast.text + stated, "stated")
    values = futures(scenario, draws=4096, seed=1).sample.values
    assert stats.spearmanr(values[one], values[other]).statistic == pytest.approx(rank, abs=0.03)
    own, pairs = correlations(humid_coast), correlations(scenario)
    for pair, before in own.items():
        if not {one, other} & {*pair}:
            assert pairs[pair] == before
        elif not {one, other} <= {*pair}:
            assert 0.0 < pairs[pair] < before
            assert (pairs[pair] > 0.5) is (rank == 0.0)


def test_what_we_hold_together_does_not_excuse_what_is_stated(humid_coast: Scenario) -> None:
    names = "leaks.patch_cost", "leaks.rot_cost", "roofs.membrane.renew_cost"
    pairs = zip(names, (*names[1:], names[0]), (0.9, 0.9, -0.9), strict=True)
    stated = [f'\n[[correlations]]\na = "{a}"\nb = "{b}"\nrank = {rank}\n' for a, b, rank in pairs]
    with pytest.raises(Contradiction, match="contradict each other"):
        futures(loads(humid_coast.text + "".join(stated), "contradiction"), draws=64)


def test_percentiles_of_a_band_are_weighted() -> None:
    """By hand: values 1, 2, 3 with weights 0.2, 0.5, 0.3 stand at 0.1, 0.45 and 0.85."""
    found = band(np.array([3.0, 1.0, 2.0]), np.array([0.3, 0.2, 0.5]))
    assert found.p10 == pytest.approx(1.0)
    assert found.p50 == pytest.approx(2.0 + 0.05 / 0.4)
    assert found.p90 == pytest.approx(3.0)
    assert found.mean == pytest.approx(2.1)


def test_a_band_of_curves_is_that_of_each_year() -> None:
    values = np.random.default_rng(1).random((50, 4, 3))
    weights = np.full(50, 1.0 / 50)
    curves = band(values, weights)
    assert curves.p90.shape == (4, 3)
    assert curves.p90[2, 1] == band(values[:, 2, 1], weights).p90


@pytest.mark.parametrize(("chance", "number"), [(0.0, 0), (0.0249, 0), (0.025, 1), (0.5, 10), (1.0, 20)])
def test_a_chance_is_so_many_of_20(chance: float, number: int) -> None:
    assert of_20(chance) == number


def test_percentiles_of_ten_even_values_lie_between_them() -> None:
    """By hand: the value in place k has the running weight (k + 1/2) / 10, so 10 % lies half-way on."""
    found = band(np.arange(10.0)[::-1], np.full(10, 0.1))
    assert [float(point) for point in (found.p10, found.p50, found.p90)] == pytest.approx([0.5, 4.5, 8.5])
    assert float(found.mean) == pytest.approx(4.5)


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "two-quotes", "worked-example-4"])
def test_categories_are_those_of_the_whole_account(name: str) -> None:
    """Kept line by line without prices, and priced after: the same as evaluated at once, loan and all."""
    scenario = load(SCENARIOS / f"{name}.toml")
    drawn = futures(scenario, draws=32)
    found = under(scenario, drawn)
    accounts = evaluate(in_draws(scenario, drawn).kept(found.years))
    means = found.by_category()
    for way, account in accounts.items():
        sums = dict.fromkeys(CATEGORIES, 0.0)
        for line, cost in account.by_category.items():
            sums[line.partition(":")[0]] += float(np.broadcast_to(cost, 32) @ drawn.weights)
        assert means[way] == pytest.approx(sums, rel=1e-9, abs=1e-9)
        assert sum(means[way].values()) == pytest.approx(float(drawn.weights @ found.cost(way)))
        paid = account.first_change_at_holding * in_draws(scenario, drawn).alternative(way).quote
        price = found.price_of_first_change(way)
        assert price == pytest.approx(float(np.broadcast_to(paid, 32) @ drawn.weights))
