"""What knowing is worth, and how likely a roof's history is: against cases by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import exp, inf, log
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.past import log_likelihood, standing_and_found
from lifecycle.files import load, loads
from lifecycle.roofs import Alternative, Case, Existing, HiddenLeak, Leaks, Roof, Terms, Visit
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.decision import perfect_information, value_of_looking
from lifecycle.studies.doubt import Doubt, doubt
from lifecycle.studies.futures import Futures
from lifecycle.studies.sampling import Sample
from lifecycle.studies.value_of_information import Knowing, knowing, value_of_a_look

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


@cache
def scenario() -> Scenario:
    return load(SCENARIOS / "hidden-wet-spot.toml")


@cache
def study() -> tuple[Doubt, Knowing]:
    result = doubt(scenario(), draws=256, seed=2)
    return result, knowing(scenario(), result, scenario().subject.name)


def test_no_part_is_worth_more_than_knowing_everything() -> None:
    result, known = study()
    assert known.total == pytest.approx(perfect_information(result.at_years, result.futures.weights))
    parts = [*known.by_group.values(), *known.by_input.values()]
    assert parts and all(0.0 <= part <= known.total + 1e-9 for part in parts)


def test_only_what_one_can_ask_for_is_listed_singly() -> None:
    _, known = study()
    assert all(scenario().inputs[path].field.by_telephone for path in known.by_input)


def test_shares_add_up_to_one_by_input_and_by_basis() -> None:
    _, known = study()
    assert sum(known.share_by_input.values()) == pytest.approx(1.0)
    assert sum(known.share_by_basis.values()) == pytest.approx(1.0)


def test_a_look_that_changes_nothing_is_worth_nothing() -> None:
    costs = np.array([[100.0, 200.0], [110.0, 220.0]])
    assert value_of_looking(costs, np.array([0.3, 0.6]), np.array([0.5, 0.5])) == 0.0


def test_a_look_is_worth_what_the_tree_says() -> None:
    """Two futures, two ways. The look finds with 0.2 and 0.9; after nothing the first way costs 40 less.

    By hand: before, the ways cost 100 and 105 on average (the first is taken). Weight of "nothing":
    0.5 x 0.8 and 0.5 x 0.1. Nothing: first 0.4 x 20 + 0.05 x 100 = 13, second 0.45 x 105 = 47.25.
    Something: first 100 - 13 = 87, second 105 - 47.25 = 57.75. Best after each: 13 + 57.75 = 70.75.
    """
    costs = np.array([[60.0, 105.0], [140.0, 105.0]])
    after = np.array([[20.0, 105.0], [100.0, 105.0]])
    worth = value_of_looking(costs, np.array([0.2, 0.9]), np.array([0.5, 0.5]), after_nothing=after)
    assert worth == pytest.approx(100.0 - 70.75)


def test_costs_after_a_look_that_found_nothing_and_something_add_up_to_the_cost_before() -> None:
    """The rule behind the value of a look, on the model itself: thinning by `inspected_today` is exact.

    A roof with one certain kind of leak hidden, punctures of one age: the cost is linear in their
    number, so the cost after a find follows from the number that a find implies.
    """
    finds, number = 0.6, 0.5
    leaks = Leaks(rot_time=2.0, severe_after=1e9, sign_rate=1.0, patch_cost=300.0, rot_cost=6000.0)
    roof = Roof("any", 2.0, inf)
    keep = Alternative("keep", "", roof, roof, None, 0.0, 0.0, base_case=True)

    def cost(hidden: float, looked: float) -> float:
        existing = Existing(
            roof, 24, 24, hidden_now=(HiddenLeak(6, puncture=hidden),), inspected_today=looked
        )
        case = Case(Terms(5, 5, 0.03), leaks, existing, (keep,))
        return float(evaluate(case)["keep"].at_holding[0])

    nothing = exp(-finds * number)
    after_nothing = cost(number, finds)
    mean_given_found = (number - nothing * number * (1.0 - finds)) / (1.0 - nothing)
    after_something = cost(mean_given_found, 0.0)
    assert nothing * after_nothing + (1.0 - nothing) * after_something == pytest.approx(cost(number, 0.0))


def test_likelihood_of_a_history_is_standing_times_poisson() -> None:
    """Constant hazard, punctures found by a monthly look that misses nothing: closed form."""
    rate, hazard, age = 0.4, 0.05, 60
    roof = Roof("any", 1.0, 1.0 / hazard, puncture_rate=rate, visits=(Visit("look", 1, finds=1.0),))
    existing = Existing(roof, age, age, leaks_found=2)
    leaks = Leaks(rot_time=2.0, severe_after=1.0)
    log_stands, found = standing_and_found(existing, leaks, 1)
    assert log_stands[0] == pytest.approx(-hazard * 5.0, rel=1e-9)
    assert found[0] == pytest.approx(rate / 12 * 59, rel=1e-9)  # today's look is left to the alternatives
    for number in (0, 1, 2, 3):
        known = replace(existing, leaks_found=number)
        case = replace(resolve(scenario()), existing=known, leaks=leaks)
        expected = -hazard * 5.0 - found[0] + number * log(found[0])
        assert log_likelihood(case, 1)[0] == pytest.approx(expected, rel=1e-9)
    unknown = replace(resolve(scenario()), existing=replace(existing, leaks_found=None), leaks=leaks)
    assert log_likelihood(unknown, 1)[0] == pytest.approx(-hazard * 5.0, rel=1e-9)


def test_a_new_roof_has_no_history() -> None:
    existing = Existing(Roof("any", 1.0, 5.0), 0, 0)
    case = replace(resolve(scenario()), existing=existing)
    assert log_likelihood(case, 3).tolist() == [0.0, 0.0, 0.0]


def known_by(number: int) -> float:
    """Return the worth of knowing so many prices of one group, of which the first alone decides.

    With its normal score z the other way costs 40 (1.5 - z^2) more, 20 on average: less at both ends.
    """
    paths = [path for path, one in scenario().inputs.items() if one.field.group == "price"][:number]
    assert len(paths) == number
    chance = np.random.default_rng(5)
    scores = dict(zip(paths, chance.standard_normal((number, 4000)), strict=True))
    deciding = scores[paths[0]]
    costs = np.stack([np.full(4000, 500.0), 560.0 - 40.0 * deciding**2], axis=1)
    drawn = Futures(Sample(scores, scores, {}, 4000, 5), np.full(4000, 1 / 4000))
    by_year = {name: costs[:, [place]] for place, name in enumerate(("keep", "coat"))}
    by_hand = Doubt(drawn, ("keep", "coat"), "keep", 5.0, by_year, costs, costs)
    found = knowing(scenario(), by_hand, "coat")
    end = 1.5**0.5
    saved = 80.0 * (end * float(norm.pdf(end)) + float(norm.sf(end))) - 120.0 * float(norm.sf(end))
    assert found.total == pytest.approx(saved, rel=0.05)  # the mean of 40 (z^2 - 1.5) beyond both ends
    return found.by_group["price"] / found.total


def test_few_inputs_are_known_by_a_curve_and_many_by_a_line() -> None:
    """By hand: no straight line sees a middle that is dear at both sides alike; a curve sees its ends."""
    assert known_by(1) == pytest.approx(1.0, abs=0.01) and known_by(7) == pytest.approx(1.0, abs=0.02)
    assert known_by(8) == pytest.approx(0.0, abs=0.05)


LOOK = """
schema = 1
title = "One leak may be hidden that has gone through the deck"
currency = "USD"
units = "us"
basis = "demo"
study = { base_date = 2027-04-01, study_period = 2, discount_rate = 0 }
owner = { holding_period = 2 }
leaks = { sign_rate = 1000, rot_time = 2, severe_after = 1 }

[roofs.membrane]
life_shape = 1
life_scale = "endless"
renew_cost = 10000
visits = [
  { name = "look", every = 12, finds = 0.6 },
  { name = "glance", every = 12, finds = 0.2 },
  { name = "reseal", every = 12, finds = 0.9, restores = 1 },
]

[roofs.coating]
life_shape = 1
life_scale = "endless"
renew_cost = 9000
visits = [{ name = "topcoat", every = 120, finds = 0.8, rejuvenates = 1 }]

[existing]
roof = "membrane"
age = 36
seal_age = 0
inspected_today = 0.5
hidden_now = [{ age = 24, puncture = 2.0 }]

[alternatives.keep]
base_case = true

[alternatives.coat]
change = "now"
then = "coating"
quote = 6000
subject = true
"""


def test_the_look_of_a_scenario_is_worth_what_the_tree_says() -> None:
    """Solved by hand. Half of what is hidden was seen already, so 2.0 leaks are 1.0; the deck is gone.

    Any of them shows at once and the membrane is laid again: 10,000 (1 - 1/e) = 6,321, or spray for
    6,000. The best look that touches nothing finds 0.6 of a leak: it finds none with exp(-0.6), and
    then 0.4 are left, so keeping costs 10,000 (1 - exp(-0.4)) = 3,297 and is chosen. After a find
    spraying stays the cheaper. What is saved is 6,000 less that, if nothing is found.
    """
    asked = loads(LOOK)
    result = doubt(asked, draws=16)
    assert result.cost("keep")[0] == pytest.approx(10_000 * (1 - exp(-1)))
    assert result.cost("coat")[0] == pytest.approx(6_000)
    saved = exp(-0.6) * (6_000 - 10_000 * (1 - exp(-0.4)))
    assert value_of_a_look(asked, result) == pytest.approx(saved)


def test_without_a_look_that_finds_there_is_nothing_to_be_worth() -> None:
    blind = LOOK.replace("finds = 0.6", "finds = 0").replace("finds = 0.2", "finds = 0")
    asked = loads(blind)
    assert value_of_a_look(asked, doubt(asked, draws=16)) is None
