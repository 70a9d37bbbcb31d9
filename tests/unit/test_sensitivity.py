"""Sensitivity: plain cases whose indices, switch values and maps are known, and the shipped ones."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from lifecycle.answers.sensitivity import defaults_sentence, what_changes
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.swings import one_at_a_time, swings
from lifecycle.files import load, loads
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies.doubt import under
from lifecycle.studies.futures import futures
from lifecycle.studies.sampling import sample
from lifecycle.studies.sensitivity import (
    SAYS,
    design,
    indices,
    indices_from,
    sobol_indices,
    two_way_map,
)
from lifecycle.studies.switching import (
    along,
    costs,
    defaults,
    held,
    in_few,
    inputs_used,
    switch_values,
    ways_in_question,
)
from lifecycle.studies.verdict import word_under_doubt

Array = NDArray[np.float64]

SCENARIOS = Path(__file__).parents[2] / "scenarios"

PLAIN = """
currency = "USD"
[study]
base_date = 2027-01-01
study_period = 10
discount_rate = 0
[owner]
holding_period = 5
[leaks]
rot_time = 2
severe_after = 1
[roofs.old]
life_shape = 3
life_scale = "endless"
visits = [{ name = "reseal", every = 12, cost = RESEAL, restores = RESTORES }]
[roofs.new]
life_shape = 3
life_scale = "endless"
visits = [{ name = "topcoat", every = 36, cost = TOPCOAT }]
[existing]
roof = "old"
age = 12
seal_age = 6
[alternatives.keep]
base_case = true
[alternatives.coat]
change = "now"
then = "new"
quote = QUOTE
"""
"""Nothing leaks and nothing ends. Reseals in months 6, 18, 30, 42, 54; a topcoat each 36 months."""

DRAWN = 3.0
"""What a mean over 1,024 futures may be off where ranges are 2,000 and, five times, 200 wide. [money]"""

UNIFORM = 'shape = "uniform"'


def plain(
    reseal: str = f"{{ low = 200, likely = 300, high = 400, {UNIFORM} }}",
    quote: str = f"{{ low = 200, likely = 1200, high = 2200, {UNIFORM} }}",
    topcoat: str = "0",
    restores: str = "1",
) -> Scenario:
    """Return the plain scenario: net savings = 5 x reseal - quote - topcoat."""
    text = PLAIN.replace("RESEAL", reseal).replace("QUOTE", quote)
    return loads(text.replace("TOPCOAT", topcoat).replace("RESTORES", restores), "plain")


RESEAL, QUOTE = "roofs.old.visits.reseal.cost", "alternatives.coat.quote"


@pytest.fixture(scope="module")
def humid_coast() -> Scenario:
    """Return a shipped scenario with many ranges."""
    return load(SCENARIOS / "humid-coast-motorhome.toml")


# The answer as a function of the inputs


def test_rows_cost_what_the_expectation_says_over_all_years(humid_coast: Scenario) -> None:
    """Cut at the years kept, grouped and made distinct: the very same numbers."""
    drawn = sample(list(humid_coast.inputs.values()), draws=64, seed=2).values
    rows = {path: np.concatenate([value, value[:9]]) for path, value in drawn.items()}
    found = costs(humid_coast, ("keep", "coat_now"), rows)
    ledgers = evaluate(resolve(humid_coast, rows))
    for name, cost in found.items():
        assert cost == pytest.approx(ledgers[name].at_holding, rel=1e-12)


def test_a_change_planned_after_the_sale_is_never_made(humid_coast: Scenario) -> None:
    rows = {"owner.holding_period": np.array([3.0, 6.0, 4.0])}
    found = costs(humid_coast, ("coat_in_year_5",), rows)["coat_in_year_5"]
    ledger = evaluate(resolve(humid_coast, rows))["coat_in_year_5"]
    assert found == pytest.approx(ledger.at_holding, rel=1e-12)
    assert found[0] < found[2] < found[1]


def test_rows_that_fix_the_calendar_are_evaluated_apart() -> None:
    """A job that restores all follows the age of the seals; one that restores less does not."""
    scenario = plain(restores="{ low = 0.5, likely = 1, high = 1 }")
    path = "roofs.old.visits.reseal.restores"
    found = costs(scenario, ("keep",), {path: np.array([0.5, 1.0, 0.8, 1.0])})["keep"]
    alone = [evaluate(resolve(scenario, {path: value}))["keep"].at_holding[0] for value in (0.5, 1.0)]
    assert alone == [pytest.approx(1200.0), pytest.approx(1500.0)]  # months 12 ... 48; 6 ... 54
    assert found == pytest.approx([alone[0], alone[1], alone[0], alone[1]])


def test_a_job_that_restores_all_may_restore_less_on_a_map() -> None:
    """One number, 1: the map goes from half of it to 1, where the job follows the age of the seals."""
    found = two_way_map(plain(), "roofs.old.visits.reseal.restores", QUOTE, steps=3)
    assert list(found.across_values) == [0.5, 0.75, 1.0]
    assert found.net_savings[1] == pytest.approx(
        [0.0, 0.0, 300.0], abs=DRAWN
    )  # quote 1200; keeping 1200, 1200, 1500


def test_without_rows_everything_stands_at_its_likely_value() -> None:
    found = costs(plain(), ("keep", "coat"), {})
    assert {name: list(cost) for name, cost in found.items()} == {"keep": [1500.0], "coat": [1200.0]}


def test_progress_ends_with_all_that_there_is_to_do(humid_coast: Scenario) -> None:
    seen: list[tuple[int, int]] = []
    rows = {"leaks.rot_time": np.linspace(1.0, 3.0, 5000)}
    costs(humid_coast, ("keep", "coat_now"), rows, progress=lambda done, whole: seen.append((done, whole)))
    assert seen[-1][0] == seen[-1][1]
    assert [done for done, _ in seen] == sorted(done for done, _ in seen) and len({*seen}) == 4
    assert len({whole for _, whole in seen}) == 1


def test_other_prices_are_one_evaluation_and_cost_the_same(humid_coast: Scenario) -> None:
    """A price of upkeep, a quote, the worth of an hour: by one evaluation what each row alone says."""
    seen: list[tuple[int, int]] = []
    rows = {
        "figures.shop_reseal_cost": np.array([300.0, 900.0, 2000.0]),
        humid_coast.alternative("coat_now").quote.path: np.array([9000.0, 8000.0, 7000.0]),
        "owner.hour_value": np.array([0.0, 10.0, 40.0]),
    }
    names = ("keep", "keep_touched_up", "coat_now")
    found = costs(humid_coast, names, rows, progress=lambda done, whole: seen.append((done, whole)))
    assert seen[-1] == (len(names), len(names))
    for row in range(3):
        alone = evaluate(resolve(humid_coast, {path: values[row] for path, values in rows.items()}))
        for name in names:
            assert found[name][row] == pytest.approx(alone[name].at_holding[0], rel=1e-12)


def test_inputs_used_are_all_that_move_a_way(humid_coast: Scenario) -> None:
    used = inputs_used(humid_coast, "keep")
    assert "figures.shop_reseal_cost" in used
    assert "roofs.coating.leak_ratio" not in used
    assert "roofs.coating.leak_ratio" in inputs_used(humid_coast, "coat_now")
    batch = one_at_a_time(humid_coast)
    likely = batch.ledgers["keep"].at_holding[0]
    for path, ends in batch.at_ends(lambda accounts: accounts["keep"].at_holding).items():
        if path not in used:
            assert ends == (likely, likely), path


def test_ways_in_question_are_the_subject_and_the_base_case(humid_coast: Scenario) -> None:
    assert ways_in_question(humid_coast, None, None) == ("coat_now", "keep")
    assert ways_in_question(humid_coast, "coat_at_end", None) == ("coat_at_end", "keep")
    assert ways_in_question(humid_coast, None, "keep_third_year") == ("coat_now", "keep_third_year")


@pytest.mark.parametrize(
    ("subject", "than", "message"),
    [
        ("coat_nwo", None, "'coat_nwo' is not a way of this scenario: did you mean \"coat_now\"?"),
        (None, "kep", "'kep' is not a way of this scenario: did you mean \"keep\"?"),
        ("keep", None, "'keep' cannot be compared with itself"),
    ],
)
def test_ways_that_cannot_be_compared_are_named(
    humid_coast: Scenario, subject: str | None, than: str | None, message: str
) -> None:
    with pytest.raises(ValueError) as error:
        ways_in_question(humid_coast, subject, than)
    assert message in str(error.value)


def test_with_trouble_reported_nothing_is_compared() -> None:
    with pytest.raises(ValueError, match=r"trouble is reported \(stain, soft spot\): open the roof first"):
        indices(load(SCENARIOS / "trouble-reported.toml"))


# Sobol indices


def test_a_design_changes_one_column_at_a_time() -> None:
    a, b = np.zeros((2, 3)), np.ones((2, 3))
    expected = [[0, 0, 0], [1, 1, 1], [1, 0, 0], [0, 1, 0], [0, 0, 1]]
    assert np.array_equal(design(a, b), np.repeat(expected, 2, axis=0))


def product(share: Array) -> Array:
    """Return a function whose inputs act together; the third is idle."""
    return np.asarray((1.0 + share[:, 0]) * np.exp(2.0 * share[:, 1]) + 0.0 * share[:, 2])


def test_indices_agree_with_those_of_another_estimator() -> None:
    """SciPy estimates the same indices from its own points."""
    own = sobol_indices(product, 3, points=8192, seed=1)
    theirs = stats.sobol_indices(
        func=lambda x: product(x.T)[None], n=8192, dists=[stats.uniform()] * 3, rng=np.random.default_rng(2)
    )
    assert own.first == pytest.approx(theirs.first_order.ravel(), abs=0.005)
    assert own.total == pytest.approx(theirs.total_order.ravel(), abs=0.005)


def test_an_idle_input_has_exactly_no_index() -> None:
    found = sobol_indices(product, 3, points=256, seed=1)
    assert (found.first[2], found.total[2], found.first_error[2], found.total_error[2]) == (0, 0, 0, 0)


def test_error_bars_are_the_spread_over_random_points_and_shrink_as_one_over_their_root() -> None:
    """With random instead of Sobol points the jackknife must give the spread over repeats."""

    def estimate(points: int, seed: int) -> tuple[float, float]:
        generator = np.random.default_rng(seed)
        a, b = generator.random((2, points, 3))
        found = indices_from(product(design(a, b)), 3)
        return float(found.total[1]), float(found.total_error[1])

    for points in (128, 512):
        found = np.array([estimate(points, seed) for seed in range(300)])
        assert found[:, 1].mean() == pytest.approx(found[:, 0].std(), rel=0.15)
    small, large = (np.mean([estimate(points, seed)[1] for seed in range(50)]) for points in (128, 2048))
    assert small / large == pytest.approx(4.0, rel=0.1)


def test_an_answer_that_does_not_vary_has_no_indices() -> None:
    found = sobol_indices(lambda share: np.full(len(share), 0.1) * 3.0, 2, points=64, seed=1)
    assert found.variance == 0.0
    assert list(found.first) == list(found.total) == [0.0, 0.0]


def test_too_few_base_points_and_values_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match=r"points must be a whole number from 16.*got 8"):
        sobol_indices(product, 3, points=8, seed=1)
    with pytest.raises(ValueError, match="11 values cannot be those of a design for 3 inputs"):
        indices_from(np.zeros(11), 3)


# Indices of a scenario


def test_indices_of_a_plain_cost() -> None:
    """Derived: 5 x reseal has variance 25 x 200^2 / 12, the quote 2000^2 / 12: shares 0.2 and 0.8."""
    found = indices(plain(), points=2048)
    assert [index.figure.path for index in found.inputs] == [QUOTE, RESEAL]
    for index, share in zip(found.inputs, (0.8, 0.2), strict=True):
        assert index.first == pytest.approx(share, abs=0.005)
        assert index.total == pytest.approx(share, abs=0.005)
    assert found.mean == pytest.approx(300.0, abs=1.0)
    assert found.variance == pytest.approx((25.0 * 200.0**2 + 2000.0**2) / 12.0, rel=0.005)
    assert found.evaluations == 4 * 2048
    assert found.said_first == SAYS["first"]


def test_only_the_inputs_with_the_largest_swings_are_taken_and_it_is_said() -> None:
    found = indices(plain(), points=256, most=1)
    assert [index.figure.path for index in found.inputs] == [QUOTE]
    assert found.inputs[0].total == pytest.approx(1.0, abs=0.01)
    assert [figure.path for figure in found.held] == [RESEAL]
    assert (
        found.said_first
        == f"{SAYS['first']} One input, the one with the smallest swing, stands at its likely value."
    )


def test_indices_of_a_shipped_scenario_follow_its_swings(humid_coast: Scenario) -> None:
    found = indices(humid_coast, points=64, most=4)
    largest = [swing.figure.path for swing in swings(humid_coast, "coat_now", "keep")[:4]]
    assert {index.figure.path for index in found.inputs} == set(largest)
    assert found.inputs[0].figure.path == "figures.shop_reseal_cost"
    assert found.inputs[0].total > 0.5
    assert f"{len(found.held)} inputs, those with the smallest swings, stand at" in found.said_first
    totals = [index.total for index in found.inputs]
    assert totals == sorted(totals, reverse=True)


def test_the_same_seed_gives_the_same_indices(humid_coast: Scenario) -> None:
    one, again, other = (indices(humid_coast, points=16, most=3, seed=seed) for seed in (1, 1, 2))
    assert one == again
    assert one.inputs != other.inputs


def test_a_scenario_without_ranges_has_no_indices() -> None:
    found = indices(load(SCENARIOS / "worked-example-1.toml"))
    assert found.inputs == ()
    assert found.mean == pytest.approx(11030.51 - 7751.07, abs=0.011)


# Switch values


def test_switch_values_of_a_plain_cost() -> None:
    """Derived: 5 x 240 = 1200, and 5 x 300 = 1500."""
    scenario = plain()
    reseal, quote = switch_values(along(scenario))
    assert (reseal.figure.path, quote.figure.path) == (RESEAL, QUOTE)
    assert reseal.at == (pytest.approx(240.0, abs=DRAWN / 5.0),)
    assert quote.at == (pytest.approx(1500.0, abs=DRAWN),)
    assert (reseal.cheaper_at_low, quote.cheaper_at_low) == (False, True)


def test_no_switch_value_in_the_range_is_said() -> None:
    scenario = plain(quote="{ low = 200, likely = 300, high = 900 }")
    reseal, quote = switch_values(along(scenario))
    assert reseal.at == quote.at == ()
    assert reseal.cheaper_at_low


def test_all_crossings_are_found_also_where_the_answer_jumps() -> None:
    """A reseal of 300 in months 6, 18, 30, ..., a topcoat of 900 in month 36, a quote of 590.

    What falls on a month counts if the coach is sold later, and years kept are rounded to months. So
    the savings are -590, -290 from month 7 on, 10 from 19, 310 from 31, -590 from 37, -290 from 43, 10
    from 55: they turn half a month before months 19, 37 and 55.
    """
    scenario = plain(reseal="300", quote="590", topcoat="900")
    kept = replace(scenario.inputs["owner.holding_period"], low=0.5, high=5.4, shape="uniform")
    scenario = replaced(scenario, {kept.path: kept})
    (switch,) = switch_values(along(scenario, points=33))
    assert switch.at == pytest.approx([18.5 / 12.0, 36.5 / 12.0, 54.5 / 12.0], abs=0.001)
    assert not switch.cheaper_at_low


def test_the_switch_value_of_a_quote_is_the_highest_price_worth_paying(humid_coast: Scenario) -> None:
    """The quote plus what the way is cheaper by, on average: costs are linear in the quote."""
    quote = humid_coast.inputs["figures.coating_quote"]
    scenario = replaced(humid_coast, {quote.path: replace(quote, low=6000.0, high=14000.0, shape="pert")})
    grid = along(scenario, points=9)
    found = {switch.figure.path: switch for switch in switch_values(grid)}
    drawn = futures(scenario)
    result = under(scenario, drawn, until=10)
    quotes = drawn.sample.values[quote.path]
    worth = float(drawn.weights @ (quotes + result.net_savings("coat_now", "keep")))
    assert found[quote.path].at == (pytest.approx(worth, rel=1e-3),)
    assert grid.mean == pytest.approx(float(drawn.weights @ result.net_savings("coat_now", "keep")))


@pytest.mark.parametrize("path", ["figures.shop_reseal_cost", "roofs.membrane.life_mean"])
def test_at_a_switch_value_the_two_ways_cost_the_same_on_average(humid_coast: Scenario, path: str) -> None:
    """In a scenario that states the value: its own futures, some other draws of all other inputs."""
    (value,) = next(one.at for one in switch_values(along(humid_coast)) if one.figure.path == path)
    there = replaced(humid_coast, {path: value})
    result = under(there, futures(there), until=10)
    saved = result.net_savings("coat_now", "keep")
    assert abs(float(result.futures.weights @ saved)) < 0.06 * float(np.ptp(saved))
    cost = float(result.futures.weights @ result.cost("keep"))
    assert abs(float(result.futures.weights @ saved)) < 0.02 * cost


def test_inputs_held_at_values_move_the_mean_as_a_scenario_that_states_them(humid_coast: Scenario) -> None:
    """One at its high end, and one that bears on the history of the standing roof."""
    for path in ("figures.shop_reseal_cost", "roofs.membrane.age_leaks_ten_years", "owner.holding_period"):
        figure = humid_coast.inputs[path]
        mean, _ = held(humid_coast).at([{path: figure.high}])
        there = replaced(humid_coast, {path: figure.high})
        result = under(there, futures(there), until=math.ceil(there.likely(there.owner["holding_period"])))
        saved = result.net_savings("coat_now", "keep")
        assert mean[0] == pytest.approx(float(result.futures.weights @ saved), abs=150.0), path


def test_the_history_of_the_roof_weighs_each_value_anew(humid_coast: Scenario) -> None:
    """A roof of twelve years on which one leak was found: where few leak, fewer futures explain it."""
    text = humid_coast.text.replace("leaks_found = 0", "leaks_found = 3").replace("age = 14  ", "age = 150  ")
    scenario = loads(text, "older")
    tried = held(scenario)
    figure = scenario.inputs["roofs.membrane.age_leaks_ten_years"]
    points = [{}, {figure.path: figure.low}, {"owner.day_cost": 90.0}]
    cost, weights = in_few(scenario, tried.few, points, ways=tried.pair)
    assert cost["keep"].shape == weights.shape and weights.sum(axis=1) == pytest.approx(1.0)
    assert not np.allclose(weights[0], weights[1]) and np.array_equal(weights[0], weights[2])
    assert weights[0] == pytest.approx(tried.few.weights)


# Defaults that cannot change the word


def as_the_tools_own(scenario: Scenario) -> Scenario:
    """Return a scenario whose ranges count as the tool's own figures."""
    inputs = {path: replace(figure, shared=figure.ranged) for path, figure in scenario.inputs.items()}
    return replace(scenario, inputs=inputs)


def test_a_default_that_can_change_the_word_is_named_with_the_words() -> None:
    """Keeping costs 1450 to 1550, the quote 200 to 3200: cheaper in about 9 of 20 futures."""
    scenario = as_the_tools_own(
        plain(
            f"{{ low = 290, likely = 300, high = 310, {UNIFORM} }}",
            f"{{ low = 200, likely = 1700, high = 3200, {UNIFORM} }}",
        )
    )
    found = defaults(along(scenario))
    share = (1500.0 - 200.0) / 3000.0  # 0.43
    assert found.word == word_under_doubt(share) == "could go either way"
    assert [figure.path for figure in found.safe] == [RESEAL]
    assert [(figure.path, words) for figure, words in found.able] == [(QUOTE, ("cheaper", "dearer"))]
    said = defaults_sentence(what_changes(scenario))
    assert 'The word of the verdict is "could go either way". Of the tool\'s own figures 1 can' in said
    assert said.endswith("The other 1 figure cannot change this word.")


def test_defaults_that_are_all_safe_are_counted() -> None:
    figure = "{ low = 290, likely = 300, high = 310 }"
    found = what_changes(as_the_tools_own(plain(figure, figure)))
    known = found.defaults
    assert (known.word, len(known.safe), known.able) == ("cheaper", 2, ())
    assert defaults_sentence(found).endswith("The tool's own 2 figures cannot change this word.")


def test_a_figure_that_somebody_stated_is_no_default() -> None:
    found = what_changes(plain())
    assert (found.defaults.safe, found.defaults.able, defaults_sentence(found)) == ((), (), "")


def test_defaults_of_a_shipped_scenario_are_as_scenarios_that_state_their_ends_say(
    humid_coast: Scenario,
) -> None:
    found = defaults(along(humid_coast))
    able = {figure.path: words for figure, words in found.able}
    assert able["figures.shop_reseal_cost"] == ("dearer", "cheaper")
    shared = {path for path, figure in humid_coast.inputs.items() if figure.shared and figure.ranged}
    assert shared == set(able) | {figure.path for figure in found.safe}
    assert "owner.holding_period" not in shared
    for path in ("figures.shop_reseal_cost", "leaks.patch_days"):
        figure = humid_coast.inputs[path]
        words = [word(replaced(humid_coast, {path: end})) for end in (figure.low, figure.high)]
        assert set(words) - {found.word} <= set(able.get(path, ()))
        assert (set(words) == {found.word}) == (path not in able)


def word(scenario: Scenario) -> str:
    """Return the word of a doubt of its own."""
    return word_under_doubt(under(scenario, futures(scenario), until=10).chance_cheaper("coat_now", "keep"))


# Maps


def test_a_map_of_a_plain_cost_is_a_plane() -> None:
    found = two_way_map(plain(), RESEAL, QUOTE, steps=5)
    assert (found.across.path, found.up.path) == (RESEAL, QUOTE)
    assert list(found.across_values) == [200.0, 250.0, 300.0, 350.0, 400.0]
    assert list(found.up_values) == [200.0, 700.0, 1200.0, 1700.0, 2200.0]
    plane = 5.0 * found.across_values[None, :] - found.up_values[:, None]
    assert found.net_savings == pytest.approx(plane, abs=DRAWN)
    assert found.notes == ()


def test_a_map_goes_from_half_to_one_and_a_half_where_there_is_no_range() -> None:
    found = two_way_map(plain(quote="1000"), RESEAL, QUOTE, steps=3)
    assert list(found.up_values) == [500.0, 1000.0, 1500.0]
    assert found.notes == (f"{QUOTE} stands at one value, 1,000: the map goes from 500 to 1,500",)


@pytest.mark.parametrize(
    ("across", "up", "messages"),
    [
        ("alternatives.coat.quot", RESEAL, ['did you mean "alternatives.coat.quote"?']),
        (
            "xyz",
            "existing.age",
            ["'xyz' is not an input: scenario.inputs lists", "existing.age fixes the calendar"],
        ),
        (RESEAL, RESEAL, ["a map needs two different inputs"]),
        (RESEAL, "study.discount_rate", ["study.discount_rate stands at 0, so there is nowhere to go"]),
    ],
)
def test_inputs_that_cannot_be_mapped_are_named(across: str, up: str, messages: list[str]) -> None:
    with pytest.raises(ValueError) as error:
        two_way_map(plain(), across, up)
    for message in messages:
        assert message in str(error.value)


def test_a_map_needs_two_values_of_either_input() -> None:
    with pytest.raises(ValueError, match="steps must be at least 2"):
        two_way_map(plain(), RESEAL, QUOTE, steps=1)
