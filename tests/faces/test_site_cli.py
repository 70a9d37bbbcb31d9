"""The command that says where it stands, and what the coach needs in the register."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from lifecycle.cli.main import main
from lifecycle.files import shared

SCENARIOS = Path(__file__).parents[2] / "scenarios"
ALL = sorted(path.name for path in SCENARIOS.glob("*.toml"))
EXAMPLE = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what a command prints; it must succeed."""
    assert main(arguments) == 0
    return capsys.readouterr().out


def result(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """Return the JSON that a command prints."""
    found: dict[str, Any] = json.loads(answer(capsys, *arguments, "--json"))
    return found


@pytest.mark.parametrize("name", ALL)
def test_every_shipped_scenario_is_answered_in_fourteen_places(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    found = result(capsys, "climate", str(SCENARIOS / name))
    assert list(found["places"]) == list(shared()["places"])
    for place in (*found["places"].values(), found["here"]):
        roof = place["roof_that_stands"]
        assert 0.6 <= roof["ageing"] <= 1.6
        assert min(roof["joint_leaks"], roof["punctures"], place["rot_time"]) > 0.0
        assert (place["net_savings"] is None) == (place["net_present_cost"] is None)
    assert found["here"]["net_savings"] is not None or name == "trouble-reported.toml"


def test_the_answer_here_is_that_of_the_comparison(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(EXAMPLE + '\n[climate]\nplace = "Seattle"\n[coach]\nlength = 30\n', encoding="utf-8")
    compared = result(capsys, "compare", str(file))["doubt"]["alternatives"]
    here = result(capsys, "climate", str(file))["here"]
    for way, cost in here["net_present_cost"].items():
        assert cost == pytest.approx(compared[way]["cost"]["mean"][8], rel=1e-9)


def test_the_text_has_its_heading_and_the_same_bytes_each_time(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(SCENARIOS / "worked-example-1.toml")
    first = answer(capsys, "climate", file)
    assert first.startswith("Where it stands\n")
    assert first == answer(capsys, "climate", file)
    assert max(map(len, first.splitlines())) <= 100


def test_the_solar_index_stands_in_the_json_only(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(SCENARIOS / "worked-example-1.toml")
    index = result(capsys, "climate", file)["solar_reflectance_index"]
    assert index["dark"] == pytest.approx(-1.0, abs=1.0)
    assert index["white"] > index["membrane"] > index["dark"]
    assert "index" not in answer(capsys, "climate", file)


def test_a_slip_is_one_message_and_no_traceback(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(EXAMPLE + '\n[climate]\nplace = "Duluht"\n', encoding="utf-8")
    assert main(["climate", str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert 'got "Duluht": did you mean "Duluth"?' in said.err


def test_figures_say_what_the_coach_needs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(EXAMPLE + "\n[coach]\nlength = 24\nfront_cap = 2\nrear_cap = 2\n", encoding="utf-8")
    assert len(answer(capsys, "figures", str(file)).splitlines()) <= 40
    text = answer(capsys, "figures", str(file), "--all")
    assert "What the coach needs\n- Sprayed: 20 ft of 24 ft, " in text
    assert re.search(r"coach\.material\.film +125 \.\.\. 187\.5 \.\.\. 220 mil, pert", text)
    found = result(capsys, "figures", str(file))
    assert found["takeoff"]["sprayed_length"] == pytest.approx(6.096)
    assert {figure["basis"] for figure in found["other_figures"]} <= {"published", "practice", "judgement"}


def test_figures_without_a_coach_need_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "figures", str(SCENARIOS / "worked-example-1.toml"))
    assert "takeoff" not in found and "other_figures" not in found
