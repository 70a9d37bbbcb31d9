"""The pocket page: what it carries, where its kernel comes from, and what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from lifecycle.cli.main import main
from lifecycle.evaluation.compiled import build
from lifecycle.files import shared
from lifecycle.interview import parts
from lifecycle.pages import pocket
from lifecycle.pages.pocket import carried_by, pocket_page
from lifecycle.pages.pocket.stored import NOT_ASKED, stored
from lifecycle.reading.roofs import all_plans
from lifecycle.studies.sampling import random_digits

SAMPLE = Path(__file__).resolve().parents[2] / "reports" / "pocket.html"


def test_it_carries_every_plan_place_question_and_figure_that_it_needs() -> None:
    carried = json.loads(json.dumps(stored(), allow_nan=False))
    plans = set(all_plans(shared()))
    assert set(carried["plans"]) == plans and set(carried["places"]) == set(shared()["places"])
    asked = {part["key"] for question in carried["questions"] for part in question["parts"]}
    assert asked | set(NOT_ASKED) == set(parts())
    read = (Path(pocket.__file__).parent / "scenario.js").read_text(encoding="utf-8")
    assert [key for key in asked if not re.search(rf"known\.{key}\b|'{key}'", read)] == []
    for standing in carried["standing"].values():
        assert set(standing["visits"]) == set(standing["coating_visits"]) == plans
        jobs = [job for some in standing["visits"].values() for job in some]
        named = [path for job in jobs for paths in job["numbers"].values() for path in paths]
        assert named and set(named) <= set(carried["figures"])


def test_random_digits_of_more_inputs_begin_with_those_of_fewer() -> None:
    assert np.array_equal(random_digits(1000, 3)[:200], random_digits(200, 3))


def test_a_page_that_stands_gives_its_kernel_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lifecycle.pages.pocket.browser_kernel", lambda: None)
    old = SAMPLE.read_text(encoding="utf-8")
    assert carried_by(pocket_page(old))["made"]["kernel"] == build.source_digest()


def test_without_a_compiler_it_is_refused_with_the_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(build, "ROOM", tmp_path)
    monkeypatch.setattr(build, "CROSS_COMPILER", ["no-such-compiler"])
    monkeypatch.setenv("PATH", str(tmp_path))
    assert main(["pocket", "--to", str(tmp_path / "pocket.html")]) == 2
    said = capsys.readouterr().err
    assert "no compiler here can make it" in said and "ziglang" in said
    assert not (tmp_path / "pocket.html").exists()


@pytest.mark.parametrize(
    ("place", "rule"), [("page.txt", "must name an HTML file"), ("none/page.html", "a folder that exists")]
)
def test_a_wrong_place_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], place: str, rule: str
) -> None:
    assert main(["pocket", "--to", str(tmp_path / place)]) == 2
    assert rule in capsys.readouterr().err
