"""The weather command: what it says, what it writes, and what it refuses."""

from __future__ import annotations

import csv
import json
import tomllib
from importlib import resources
from pathlib import Path

import pytest

import lifecycle
from lifecycle.cli.main import main
from lifecycle.scenario import resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SEATTLE = str(resources.files("vega_datasets") / "_data" / "seattle-weather.csv")
LINCOLN = str(resources.files("bokeh_sampledata") / "_data" / "lincoln_weather.csv")
MAP = """units = "metric"
date_form = "y/m/d"
station = "Seattle"
[columns]
date = "date"
rain = "precipitation"
warmest = "temp_max"
coldest = "temp_min"
"""


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(("weather", *arguments)) == 0
    return capsys.readouterr().out


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(("weather", *arguments)) == 2
    captured = capsys.readouterr()
    assert not captured.out and "Traceback" not in captured.err
    return captured.err


@pytest.fixture
def mapped(tmp_path: Path) -> str:
    (tmp_path / "map.toml").write_text(MAP, encoding="utf-8")
    return str(tmp_path / "map.toml")


def test_it_says_what_the_record_can_and_cannot_tell(capsys: pytest.CaptureFixture[str], mapped: str) -> None:
    text = said(capsys, SEATTLE, "--columns", mapped)
    assert "16.8 freeze-thaw days a year (11.7 to 21.8)" in text.replace("\n", " ")
    assert "2012 366 of 366 52.3 16.0 177.0" in " ".join(text.split())
    assert "No figure for sun: the sun is in no record of this kind." in text
    assert "No figure for hail days: the file does not say what weather was seen." in text
    assert "No figure for wet days: the file has no rain." in said(capsys, LINCOLN, "--units", "us")


def test_json_gives_every_year(capsys: pytest.CaptureFixture[str], mapped: str) -> None:
    found = json.loads(said(capsys, SEATTLE, "--columns", mapped, "--json"))
    years = found["drivers"]["freeze_thaw_days"]["years"]
    assert [year["value"] for year in years] == [16.0, 25.0, 16.0, 10.0]
    assert found["source"] == "seattle-weather.csv"
    assert set(found["reasons"]) == {"hail_days", "sun"}


def test_a_scenario_tuned_by_weather_loads_compares_and_shows_its_source(
    capsys: pytest.CaptureFixture[str], mapped: str, tmp_path: Path
) -> None:
    before = SCENARIOS / "cold-stored-trailer.toml"
    new = tmp_path / "tuned.toml"
    said(capsys, SEATTLE, "--columns", mapped, "--scenario", str(before), "--to", str(new))
    tuned = lifecycle.load(new)
    figure = tuned.inputs["climate.freeze_thaw_days"]
    assert (figure.basis, figure.likely) == ("record", 16.75)
    assert figure.source == "station Seattle, daily record seattle-weather.csv, 2012-2015"
    old, now = (resolve(scenario) for scenario in (lifecycle.load(before), tuned))
    assert now.existing.roof.joint_leaks_first_year != old.existing.roof.joint_leaks_first_year
    comparison = lifecycle.compare(tuned)
    assert comparison.ways[comparison.base_case].at_holding > 0.0
    assert main(("figures", str(new), "--all")) == 0
    assert "seattle-weather.csv, 2012-2015" in " ".join(capsys.readouterr().out.split())
    kept = [line for line in before.read_text(encoding="utf-8").splitlines() if line.startswith("#")]
    assert kept == [line for line in new.read_text(encoding="utf-8").splitlines() if line.startswith("#")]


def test_a_climate_by_itself_is_a_section_in_the_units_asked_for(
    capsys: pytest.CaptureFixture[str], mapped: str, tmp_path: Path
) -> None:
    means = {}
    for units in ("us", "metric"):
        place = tmp_path / f"{units}.toml"
        said(capsys, SEATTLE, "--columns", mapped, "--in", units, "--to", str(place))
        means[units] = tomllib.loads(place.read_text(encoding="utf-8"))["climate"]["air_temperature"][
            "likely"
        ]
    with open(SEATTLE, encoding="utf-8", newline="") as file:
        middle = [(float(row["temp_min"]) + float(row["temp_max"])) / 2 for row in csv.DictReader(file)]
    assert means["metric"] == pytest.approx(sum(middle) / len(middle), abs=0.02)
    assert means["us"] == pytest.approx(32.0 + 1.8 * means["metric"], abs=0.01)


def test_nothing_is_written_after_a_mistake(
    capsys: pytest.CaptureFixture[str], mapped: str, tmp_path: Path
) -> None:
    new, own = tmp_path / "new.toml", str(SCENARIOS / "own-hands.toml")
    assert "--units must say the units" in mistake(capsys, LINCOLN, "--to", str(new))
    assert "--scenario needs a place to write to" in mistake(capsys, LINCOLN, "--scenario", own)
    assert "does not exist" in mistake(capsys, str(tmp_path / "none.csv"), "--to", str(new))
    assert "exists already" in mistake(capsys, LINCOLN, "--units", "us", "--to", mapped)
    assert not new.exists()
