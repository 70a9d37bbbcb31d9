"""A changed scenario as a file: read back it says the same, and what has no line in a file is refused."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

import lifecycle
from lifecycle.errors import ScenarioError
from lifecycle.places import shipped_names
from lifecycle.scenario import Scenario


@pytest.fixture(scope="module")
def coast() -> Scenario:
    return lifecycle.example("humid-coast-motorhome")


CHANGES: list[dict[str, Any]] = [
    {"quote": 6500},
    {"years": (4, 8, 12)},
    {"changes": {"coach.length": 9.0, "leaks.patch_cost": 400, "roofs.coating.life_mean": (12, 20, 25)}},
    {"changes": {"existing.age": 30, "climate.heat_exponent": 0.5, "coach.penetrations.1.count": 3}},
    {"place": "Duluth"},
    {"place": {"air_temperature": 9.8, "wet_days": 106.0}},
    {"otherwise": "keep_touched_up", "quote": 7000, "place": "Denver", "hour_value": 12},
]


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: " ".join(change))
def test_what_was_changed_is_read_back(coast: Scenario, tmp_path: Path, change: dict[str, Any]) -> None:
    new = lifecycle.change(coast, **change)
    lifecycle.save(new, tmp_path / "mine.toml")
    read = lifecycle.load(tmp_path / "mine.toml")
    for path, figure in new.inputs.items():
        ends = (figure.low, figure.likely, figure.high)
        found = read.inputs[path]
        assert (found.low, found.likely, found.high) == pytest.approx(ends), path
        assert (found.shape, found.basis) == (figure.shape, figure.basis), path
    assert read.inputs.keys() == new.inputs.keys()
    costs = {name: way.at_holding for name, way in lifecycle.compare(new).ways.items()}
    assert costs == pytest.approx(
        {name: way.at_holding for name, way in lifecycle.compare(read).ways.items()}
    )
    assert lifecycle.compare(read).base_case == lifecycle.compare(new).base_case


def test_only_what_was_changed_is_other_in_the_file(coast: Scenario) -> None:
    """Counted with the reader of the standard library: one entry differs, and every comment stands."""
    text = lifecycle.dumps(lifecycle.change(coast, quote=6500))
    before, after = tomllib.loads(coast.text), tomllib.loads(text)
    assert after["figures"].pop("coating_quote")["value"] == 6500
    before["figures"].pop("coating_quote")
    assert before == after
    assert [line for line in coast.text.splitlines() if line.startswith("#")] == [
        line for line in text.splitlines() if line.startswith("#")
    ]


@pytest.mark.parametrize("name", shipped_names())
def test_what_was_not_changed_is_the_file_itself(name: str) -> None:
    assert lifecycle.dumps(lifecycle.example(name)) == lifecycle.example(name).text


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("two-quotes", "quotes.by_the_foot.price"),
        ("humid-coast-motorhome", "climate.Miami.sun"),
        ("humid-coast-motorhome", "plans.shop_every_year.membrane.reseal.every"),
        ("humid-coast-motorhome", "roofs.membrane.puncture_rate"),
    ],
)
def test_what_has_no_line_of_its_own_is_refused(name: str, path: str) -> None:
    """A sum of lines, a figure of the table of places, of a shared plan; one that two roofs share."""
    scenario = lifecycle.example(name)
    new = lifecycle.change(scenario, {path: scenario.inputs[path].likely * 2})
    with pytest.raises(ScenarioError, match="has no line of its own in a file") as caught:
        lifecycle.dumps(new)
    assert path.split(".")[-1] in str(caught.value)


def test_a_file_is_not_replaced_unless_asked_and_has_an_ending(coast: Scenario, tmp_path: Path) -> None:
    place = tmp_path / "mine.toml"
    lifecycle.save(coast, place)
    with pytest.raises(ScenarioError, match="exists already"):
        lifecycle.save(coast, place)
    lifecycle.save(lifecycle.change(coast, quote=1234), place, over=True)
    assert lifecycle.load(place).inputs["figures.coating_quote"].likely == 1234
    with pytest.raises(ScenarioError, match=r"must end in .toml: name it mine.toml"):
        lifecycle.save(coast, tmp_path / "mine.txt")
    with pytest.raises(ScenarioError, match="cannot be written"):
        lifecycle.save(coast, tmp_path / "no such folder" / "mine.toml")


def test_a_price_list_must_lie_beside_it(tmp_path: Path) -> None:
    priced = next(one for one in map(lifecycle.example, shipped_names()) if one.price_lists)
    with pytest.raises(ScenarioError, match="must lie beside the price list"):
        lifecycle.save(priced, tmp_path / "mine.toml")


def test_a_scenario_with_figures_of_an_earlier_version_is_not_moved_in_silence() -> None:
    """Its text would be read again with the figures of today."""
    then = lifecycle.load(lifecycle.example("humid-coast-motorhome").source, edition="0.1.0")
    with pytest.raises(ScenarioError, match="must be as its file says"):
        lifecycle.change(then, place="Duluth")
