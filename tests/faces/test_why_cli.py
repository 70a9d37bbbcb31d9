"""Why this number? One command from a printed number to bases and sources."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from lifecycle.cli.main import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHORT = str(SCENARIOS / "sells-in-three-years.toml")


def said(capsys: pytest.CaptureFixture[str], *arguments: str, file: str = SHORT) -> str:
    assert main(("figures", file, "--why", *arguments)) == 0
    return capsys.readouterr().out


def mistake(capsys: pytest.CaptureFixture[str], name: str, file: str = SHORT) -> str:
    assert main(("figures", file, "--why", name)) == 2
    captured = capsys.readouterr()
    assert not captured.out and "Traceback" not in captured.err
    return captured.err


def test_a_number_of_the_table_leads_to_bases_and_sources(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(("compare", SHORT, "--json")) == 0
    compared = json.loads(capsys.readouterr().out)
    subject = compared["verdict_parts"]["subject"]
    found = json.loads(said(capsys, "leak damage", "--json"))
    assert found["way"] == subject
    assert found["likely"] == pytest.approx(compared["alternatives"][subject]["by_category"]["leak damage"])
    assert all(figure["basis"] for figure in found["figures"])
    assert found["figures"][0]["path"] in (text := said(capsys, "leak damage"))
    assert "Leak damage, " in text and "[judgement]" in text and "makes it, from" in text


def test_a_way_can_stand_before_the_result(capsys: pytest.CaptureFixture[str]) -> None:
    assert json.loads(said(capsys, "keep.upkeep", "--json"))["way"] == "keep"


def test_an_input_is_found_by_the_end_of_its_path(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "patch_cost")
    assert re.search(r"\nleaks\.patch_cost +300 \.\.\. 600 \.\.\.", text) and "[judgement]" in text
    assert "Cost of each way in today's money, at its low and its high end:" in text
    assert json.loads(said(capsys, "patch_cost", "--json"))["figure"]["path"] == "leaks.patch_cost"


def test_what_cannot_be_traced_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert 'did you mean "upkeep"?' in mistake(capsys, "upkep")
    assert "must be the end of one path only" in mistake(capsys, "life_mean")
    assert 'results: "cost in today\'s money", ' in mistake(capsys, "xyzzy")
    assert said(capsys, "dearer by") == said(capsys, "cheaper or dearer by")
    assert 'write --why "cheaper or dearer by"' in mistake(capsys, "highest price worth paying")
    assert "cannot be compared with itself" in mistake(capsys, "keep.net_savings")
    trouble = str(SCENARIOS / "trouble-reported.toml")
    assert "open the roof first" in mistake(capsys, "leaks that start", file=trouble)
    assert "rot_cost" in said(capsys, "rot_cost", file=trouble)
