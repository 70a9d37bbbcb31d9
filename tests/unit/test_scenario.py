"""The scenario as frozen data: the step to resolved roofs, and changed inputs."""

from __future__ import annotations

import math
from dataclasses import FrozenInstanceError, replace
from pathlib import Path

import numpy as np
import pytest

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.roofs import draws_of
from lifecycle.scenario import Scenario, replaced, resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"

TEXT = """
schema = 1
title = "a test"

[study]
base_date = 2027-04-01
study_period = 20
discount_rate = 0.03
escalation = { "upkeep" = 0.01, "leak damage" = { low = 0.0, likely = 0.01, high = 0.02 } }

[owner]
holding_period = { low = 4, likely = 8, high = 15 }

[leaks]
sign_years = 0.8
rot_time = 2
severe_after = 1

[figures]
job = 40

[roofs.membrane]
life_shape = 3
life_mean = { low = 10, likely = 16, high = 22 }
joint_leaks_ten_years = { low = 0.2, likely = 0.6, high = 2.5 }
joint_leak_growth = 2
age_leaks_ten_years = 0.1
puncture_rate = 0.01
renew_cost = { low = 4000, likely = 7800, high = 11000 }
renew_days = 5
visits = [{ name = "reseal", every = 12, cost = "job", restores = 1 }]

[roofs.coating]
like = "membrane"
covering = "coating"
leak_ratio = { low = 0.1, likely = 0.5, high = 1 }
joint_leak_growth = 1
puncture_rate = 0.004
life_scale = "endless"
renew_cost = 7000
visits = [{ name = "look", every = 12, cost = "job" }]

[existing]
roof = "membrane"
age = 36
hidden_now = [{ age = 8.5, joint = 0.1 }]

[alternatives.keep]
base_case = true

[alternatives.coat]
change = 2.5
then = "coating"
"""


@pytest.fixture
def scenario() -> Scenario:
    return files.loads(TEXT)


def test_everything_stands_at_its_likely_value(scenario: Scenario) -> None:
    case = resolve(scenario)
    keep, coat = case.alternatives
    assert (case.terms.study_period, case.terms.holding_period, case.terms.discount_rate) == (20, 8.0, 0.03)
    assert case.terms.escalation == {"upkeep": 0.01, "leak damage": 0.01}
    assert case.leaks.sign_rate == pytest.approx(1.25)
    assert keep.roof.life_scale == pytest.approx(16 / math.gamma(1 + 1 / 3), rel=1e-12)
    assert keep.roof.joint_leaks_first_year == pytest.approx(0.006)
    assert keep.quote == 7800.0 and keep.days == 5.0
    assert coat.change_month == 30 and keep.change_month is None
    assert case.existing.seal_age == 36
    assert case.existing.hidden_now is not None and case.existing.hidden_now[0].age == 8.5
    assert draws_of(case) is None


def test_ratio_multiplies_what_is_taken_over_and_only_that(scenario: Scenario) -> None:
    coating = resolve(scenario).alternative("coat").then
    assert coating.joint_leaks_first_year == pytest.approx(0.6 * 0.5 / 10)
    assert coating.age_leaks_ten_years == pytest.approx(0.1 * 0.5)
    assert coating.puncture_rate == 0.004
    assert coating.life_scale == math.inf
    assert coating.renew_days == 5.0


def test_a_roof_used_twice_is_one_object(scenario: Scenario) -> None:
    case = resolve(scenario)
    assert case.existing.roof is case.alternatives[0].roof is case.alternatives[1].roof


def test_draws_flow_through_to_every_number_made_of_them(scenario: Scenario) -> None:
    values = {
        "roofs.membrane.life_mean": np.array([10.0, 20.0]),
        "roofs.membrane.joint_leaks_ten_years": np.array([0.5, 1.0]),
        "roofs.coating.leak_ratio": np.array([0.2, 1.0]),
        "owner.holding_period": np.array([4.04, 31.0]),
        "figures.job": np.array([10.0, 20.0]),
    }
    case = resolve(scenario, values)
    membrane, coating = case.existing.roof, case.alternative("coat").then
    assert draws_of(case) == 2
    assert membrane.life_scale == pytest.approx(np.array([10.0, 20.0]) / math.gamma(1 + 1 / 3))
    assert membrane.joint_leaks_first_year == pytest.approx([0.005, 0.01])
    assert coating.joint_leaks_first_year == pytest.approx([0.01, 0.1])
    assert case.terms.holding_period == pytest.approx([48 / 12, 20.0])
    assert membrane.visits[0].cost is coating.visits[0].cost


def test_life_scale_is_reckoned_with_each_draws_own_shape(scenario: Scenario) -> None:
    shapes = np.array([2.0, 3.0, 5.0])
    free = replace(scenario.inputs["roofs.membrane.life_shape"], low=2.0, high=5.0)
    ranged = replaced(scenario, {"roofs.membrane.life_shape": free})
    scale = resolve(ranged, {"roofs.membrane.life_shape": shapes}).existing.roof.life_scale
    assert scale == pytest.approx([16 / math.gamma(1 + 1 / shape) for shape in shapes])


def test_a_holding_period_is_whole_months_and_one_at_least(scenario: Scenario) -> None:
    months = [
        12 * resolve(scenario, {"owner.holding_period": years}).terms.holding_period
        for years in (0.01, 0.29, 7.99)
    ]
    assert months == pytest.approx([1.0, 3.0, 96.0])


def test_values_for_no_input_or_a_fixed_one_are_refused(scenario: Scenario) -> None:
    with pytest.raises(ValueError, match=r'did you mean "roofs\.membrane\.life_mean"'):
        resolve(scenario, {"roofs.membrane.life_meen": 3.0})
    with pytest.raises(ValueError, match="fixes the calendar"):
        resolve(scenario, {"existing.age": np.array([1.0, 2.0])})
    with pytest.raises(ValueError, match="draws"):
        resolve(scenario, {"leaks.rot_time": np.ones((2, 2))})


def test_inputs_are_the_numbers_stated_each_once(scenario: Scenario) -> None:
    paths = list(scenario.inputs)
    assert paths[:4] == [
        "study.study_period",
        "study.discount_rate",
        "study.escalation.upkeep",
        "study.escalation.leak damage",
    ]
    assert "roofs.coating.renew_days" not in paths
    assert "leaks.patch_cost" not in paths
    assert "roofs.membrane.visits.reseal.every" in paths
    assert "existing.hidden_now.1.joint" in paths
    assert paths.count("figures.job") == 1
    assert all(figure.path == path for path, figure in scenario.inputs.items())


def test_a_scenario_does_not_change(scenario: Scenario) -> None:
    with pytest.raises(FrozenInstanceError):
        scenario.title = "another"  # type: ignore[misc]


def test_a_changed_input_is_a_new_scenario(scenario: Scenario) -> None:
    changed = replaced(scenario, {"owner.holding_period": 5})
    assert resolve(changed).terms.holding_period == 5.0
    assert resolve(scenario).terms.holding_period == 8.0
    assert changed.changed == ("owner.holding_period",)
    assert not changed.inputs["owner.holding_period"].ranged
    twice = replaced(changed, {"figures.job": 50, "owner.holding_period": 6})
    assert twice.changed == ("owner.holding_period", "figures.job")


def test_a_figure_in_place_of_another_takes_its_path(scenario: Scenario) -> None:
    price = replace(scenario.inputs["roofs.membrane.renew_cost"], likely=9000.0, basis="offer")
    changed = replaced(scenario, {"roofs.coating.renew_cost": price})
    figure = changed.inputs["roofs.coating.renew_cost"]
    assert (figure.path, figure.likely, figure.high, figure.basis) == (
        "roofs.coating.renew_cost",
        9000.0,
        11000.0,
        "offer",
    )


def test_the_tools_own_stays_beside_a_changed_shared_figure() -> None:
    shared = files.load(SCENARIOS / "hidden-wet-spot.toml")
    own = shared.inputs["figures.shop_look_cost"]
    changed = replaced(shared, {"figures.shop_look_cost": 90})
    assert own.shared and changed.inputs["figures.shop_look_cost"].tool == own
    again = replaced(changed, {"figures.shop_look_cost": 95})
    assert again.inputs["figures.shop_look_cost"].tool == own
    back = replaced(changed, {"figures.shop_look_cost": own})
    assert back.inputs["figures.shop_look_cost"] == own


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("owner.holding_peroid", 5, 'did you mean "owner.holding_period"'),
        ("owner.holding_period", 25, "must not be above study.study_period, 20 years; got 25 years"),
        ("owner.holding_period", -1, "from 0.08 to 60 years"),
        ("leaks.rot_time", math.nan, "got nan"),
        ("study.study_period", 10.5, "whole number"),
        ("study.study_period", 5, "must not be above study.study_period, 5 years"),
        ("existing.age", 6, "must not be above existing.age, 6 months"),
    ],
)
def test_a_change_that_is_not_allowed_says_why(
    scenario: Scenario, path: str, value: float, words: str
) -> None:
    with pytest.raises(ScenarioError, match=words):
        replaced(scenario, {path: value})


def test_a_range_where_none_is_allowed_is_refused(scenario: Scenario) -> None:
    age = replace(scenario.inputs["existing.age"], low=20.0, high=50.0)
    with pytest.raises(ScenarioError, match="not a range"):
        replaced(scenario, {"existing.age": age})
