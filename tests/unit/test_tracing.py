"""From a printed result to its inputs: found by computing, so held against computing each end anew."""

from __future__ import annotations

from pathlib import Path

import pytest

import lifecycle
from lifecycle.evaluation.comparison import Comparison
from lifecycle.kinds import CATEGORIES
from lifecycle.scenario import Scenario, replaced
from lifecycle.studies.tracing import Trace, moved, result_called, results, trace

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return lifecycle.load(SCENARIOS / "sells-in-three-years.toml")


@pytest.fixture(scope="module")
def comparison(scenario: Scenario) -> Comparison:
    return lifecycle.compare(scenario)


@pytest.fixture(scope="module")
def traced(scenario: Scenario) -> dict[str, Trace]:
    accounts = moved(scenario)
    return {name: trace(scenario, one, accounts=accounts) for name, one in results().items()}


def value(comparison: Comparison, found: Trace) -> float:
    """Return the traced result as the comparison gives it."""
    way, name = comparison.ways[found.way], found.result.name
    match found.result.kind:
        case "cost":
            return way.at_holding
        case "savings":
            return comparison.net_savings(found.way)
        case "category":
            return way.by_category.get(name, sum(way.upkeep.values()) if name == "upkeep" else 0.0)
        case "count":
            return way.expected[name]
    return float(way.chance_renewed[round(found.years)])


@pytest.mark.parametrize("name", list(results()))
def test_a_traced_result_is_the_one_that_is_printed(
    name: str, traced: dict[str, Trace], comparison: Comparison
) -> None:
    assert traced[name].likely == pytest.approx(value(comparison, traced[name]))


@pytest.mark.parametrize("name", ["net_savings", "leak damage", "days", "leaks", "chance_renewed"])
def test_the_ends_are_those_of_a_scenario_with_the_input_there(
    name: str, traced: dict[str, Trace], scenario: Scenario
) -> None:
    found = traced[name]
    move = next(one for one in found.moves if one.figure.path != "owner.holding_period")
    for end, expected in ((move.figure.low, move.at_low), (move.figure.high, move.at_high)):
        changed = lifecycle.compare(replaced(scenario, {move.figure.path: end}))
        assert value(changed, found) == pytest.approx(expected)


def test_no_input_that_moves_a_result_is_left_out(traced: dict[str, Trace], scenario: Scenario) -> None:
    """Every ranged input is either listed or moves nothing: each of those is tried alone."""
    found = traced["leak damage"]
    listed = {move.figure.path for move in found.moves}
    ranged = [figure for figure in scenario.inputs.values() if figure.ranged]
    assert len(listed) + found.still == len(ranged)
    for figure in [one for one in ranged if one.path not in listed][:6]:
        changed = lifecycle.compare(replaced(scenario, {figure.path: figure.high}))
        assert value(changed, found) == pytest.approx(found.likely)


def test_a_result_on_one_value_names_it(traced: dict[str, Trace]) -> None:
    found = traced["initial"]
    assert found.moves == ()
    assert [figure.field.name for figure in found.fixed] == ["quote"]
    assert found.fixed[0].likely == pytest.approx(found.likely)


def test_the_largest_move_comes_first(traced: dict[str, Trace]) -> None:
    sizes = [move.size for move in traced["net_savings"].moves]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[-1] > 0.0


def test_every_label_of_the_table_can_be_traced() -> None:
    for category, label in ((name, kind.label) for name, kind in CATEGORIES.items()):
        found = result_called(label)
        assert found is not None and found.name == category, label
    for name, one in results().items():
        assert {result_called(text) for text in (name, one.label.upper(), one.term)} == {one}


def test_what_you_do_otherwise_is_not_compared_with_itself(scenario: Scenario) -> None:
    base = next(way.name for way in scenario.alternatives if way.base_case)
    with pytest.raises(ValueError, match="cannot be compared with itself"):
        trace(scenario, results()["net_savings"], base)
    with pytest.raises(ValueError, match="is not a way of this scenario"):
        trace(scenario, results()["leaks"], "nobody")
