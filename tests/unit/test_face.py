"""The library's own face: what it offers, how results show themselves, what can be changed."""

from __future__ import annotations

from pathlib import Path

import pytest

import lifecycle
from lifecycle.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHORT = "sells-in-three-years"


@pytest.fixture(scope="module")
def scenario() -> lifecycle.scenario.Scenario:
    return lifecycle.load(SCENARIOS / f"{SHORT}.toml")


def test_it_names_what_it_offers_and_nothing_else() -> None:
    assert dir(lifecycle) == sorted(lifecycle.__all__)
    assert all(callable(getattr(lifecycle, name)) for name in lifecycle.__all__ if name != "__version__")
    with pytest.raises(AttributeError, match="it has __version__, ask"):
        lifecycle.compares  # noqa: B018


def test_every_result_shows_itself_in_a_few_lines_and_as_a_table(scenario: object) -> None:
    results = [
        lifecycle.compare(scenario),
        lifecycle.doubt(scenario, draws=64),
        lifecycle.timing(scenario, draws=64),
        lifecycle.sensitivity(scenario),
    ]
    for result in results:
        assert 0 < len(repr(result).splitlines()) <= 12, result
        assert max(map(len, repr(result).splitlines())) <= 120
        assert len(result.to_frame()) > 0
        assert result._repr_html_().count("<table") == 1
    assert len(repr(scenario)) < 120


def test_tables_hold_what_the_results_hold(scenario: object) -> None:
    comparison, doubt = lifecycle.compare(scenario), lifecycle.doubt(scenario, draws=64)
    frame = comparison.to_frame()
    for name, way in comparison.ways.items():
        assert frame.loc[name, "net-present cost [USD]"] == way.at_holding
        assert frame.loc[name, "leak damage [USD]"] == way.by_category["leak damage"]
    by_draw = doubt.by_draw()
    assert len(by_draw) == 64 and by_draw["weight"].sum() == pytest.approx(1.0)
    for name in doubt.names:
        mean = float((by_draw[name] * by_draw["weight"]).sum())
        assert doubt.to_frame().loc[name, "cost, mean"] == pytest.approx(mean)


def test_an_input_and_the_place_are_changed_in_a_new_scenario(scenario: object) -> None:
    sooner = lifecycle.change(scenario, {"owner.holding_period": 2.0})
    assert lifecycle.compare(sooner).holding_period == 2.0
    assert lifecycle.compare(scenario).holding_period == 3.0
    hot, cold = (lifecycle.change(scenario, place=place) for place in ("Phoenix", "Duluth"))
    base = scenario.base_case.name
    costs = [lifecycle.compare(one).ways[base].net_present_cost[-1] for one in (hot, cold)]
    assert abs(costs[0] - costs[1]) > 100.0
    with pytest.raises(ScenarioError, match="Duluth"):
        lifecycle.change(scenario, place="Dulut")
    with pytest.raises(ScenarioError, match="is not an input"):
        lifecycle.change(scenario, {"owner.holding": 2.0})


def test_an_answer_is_that_of_the_command_and_is_kept_in_every_form(scenario: object, tmp_path: Path) -> None:
    asked = lifecycle.ask("compare", scenario, draws=64)
    assert repr(asked).startswith("Which way is cheaper?")
    assert list(asked.data["verdict"][: len(lifecycle.verdict(scenario, draws=64).lines)]) == list(
        lifecycle.verdict(scenario, draws=64).lines
    )
    assert asked._repr_html_().count("<table") >= 1
    for form in ("html", "pdf", "txt", "json"):
        asked.save(tmp_path / f"answer.{form}")
        assert (tmp_path / f"answer.{form}").stat().st_size > 500
    with pytest.raises(ScenarioError, match="must end in"):
        asked.save(tmp_path / "answer.docx")
    with pytest.raises(ScenarioError, match="timing"):
        lifecycle.ask("timings", scenario)
    with pytest.raises(ScenarioError, match="draws"):
        lifecycle.ask("timing", scenario, draw=64)


def test_two_scenarios_differ_by_causes_that_add_up(scenario: object) -> None:
    other = lifecycle.change(scenario, {"owner.holding_period": 5.0})
    found = lifecycle.difference(scenario, other)
    assert found.to_frame()["amount"].sum() == pytest.approx(found.total)
    assert repr(found).startswith("Difference of ")
