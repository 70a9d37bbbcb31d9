"""The sample papers under reports: their figures are what the library says today, and all are invented."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

import lifecycle
from lifecycle.answers.claims import offer_lines
from lifecycle.answers.papers import footer, for_shop
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.language.claims import case_lines
from lifecycle.language.sentences import say
from lifecycle.language.verdict import verdict_under
from lifecycle.quantities import money_text
from lifecycle.studies import assessment
from lifecycle.studies.register import register
from lifecycle.writers.html import as_html

ROOT = Path(__file__).parents[2]
REPORTS = ROOT / "reports"
SAMPLES = ("humid-coast-motorhome", "cold-stored-trailer")


def words(page: str) -> str:
    """Return what a reader reads of a page, on one line."""
    bare = re.sub(r"<(style|svg)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", bare)).split())


def sample(name: str, paper: str) -> str:
    """Return what a reader reads of a sample."""
    return words((REPORTS / name / paper).read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_is_fresh(name: str) -> None:
    scenario = lifecycle.load(ROOT / "scenarios" / f"{name}.toml")
    found = assessment.brief(scenario)
    comparison = compare(found.scenario)
    answer = verdict_under(comparison, found)
    said = sample(name, "us.html")
    case = case_lines(comparison, found.doubt)
    for line in (*answer.lines, *answer.beside, *case.for_, *case.against, footer(scenario)):
        assert line in said
    assert " ".join(offer_lines(comparison, found.doubt)) in said
    assert sample(name, "shop.html") == words(as_html(for_shop(scenario)))
    if (REPORTS / name / "analyst.html").exists():
        check_figures(sample(name, "analyst.html"), comparison)


def check_figures(said: str, comparison: Comparison) -> None:
    """Check that an analyst's paper has the cost of every way, and every figure."""
    for way in comparison.ways.values():
        assert f"{way.title} {money_text(way.at_holding)}" in said
    for entry in register(comparison.scenario).entries:
        assert f"{entry.path} {entry.amount.text}" in said and entry.label in said


def test_where_spraying_is_dearer_the_first_line_says_so() -> None:
    said = sample("cold-stored-trailer", "us.html")
    assert "Keep the membrane and touch it up yourself each year" in said
    assert "spraying now is dearer" in said


def test_samples_are_marked_small_and_name_no_machine() -> None:
    files = [path for name in SAMPLES for path in (REPORTS / name).iterdir()]
    assert len(files) >= 8
    assert sum(path.stat().st_size for path in files) < 1_500_000
    for path in files:
        content = path.read_bytes()
        assert not re.search(rb"/(home|root|tmp|Users)/", content)
        if path.suffix == ".html":
            assert say("papers.invented") in words(content.decode("utf-8"))
