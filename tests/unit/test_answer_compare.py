"""The ways side by side: as text."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from lifecycle.answers import comparison as answers
from lifecycle.answers.blocks import Answer
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.files import load
from lifecycle.language.labels import LABELS
from lifecycle.language.sentences import WIDTH
from lifecycle.quantities import money_text
from lifecycle.studies.assessment import Assessment, brief
from lifecycle.writers.terminal import as_text

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def shipped(name: str) -> Comparison:
    """Return the comparison of a shipped scenario."""
    return compare(load(SCENARIOS / f"{name}.toml"))


@cache
def doubted(name: str) -> Assessment:
    """Return the doubt of a shipped scenario, in a few futures."""
    return brief(load(SCENARIOS / f"{name}.toml"), draws=64)


def text(name: str) -> str:
    """Return both tables of ways as a terminal shows them."""
    found = doubted(name)
    comparison = compare(found.scenario)
    blocks = (answers.ways_table(comparison, found), *answers.category_blocks(comparison, found))
    return as_text(Answer("", "", blocks))


def row(said: str, label: str) -> list[str]:
    """Return the cells of the row of a label."""
    line = next(line for line in said.splitlines() if line.startswith(label))
    return line.removeprefix(label).split()


def test_without_a_range_the_tables_hold_what_the_comparison_holds() -> None:
    said = text("worked-example-1")
    assert "[1] Keep the membrane, resealed every year (what you would do otherwise)" in said
    assert row(said, "Spray now ") == ["7,751"]
    assert row(said, "change today")[:2] == ["0", "7,100"]
    assert row(said, "cost in today's money")[:2] == ["11,031", "7,751"]
    assert row(said, "cheaper by")[0] == "3,279"
    assert "of 20" not in said and "Cheaper or dearer: than [1]" in said


def test_categories_are_means_over_the_futures_and_add_up_to_the_mean_cost() -> None:
    found = doubted("humid-coast-motorhome")
    means = found.doubt.by_category()
    for name in found.doubt.names:
        mean = float(found.doubt.futures.weights @ found.doubt.cost(name))
        assert sum(means[name].values()) == pytest.approx(mean, abs=0.01)
        assert money_text(mean) in text("humid-coast-motorhome")


def test_categories_that_are_nothing_are_left_out() -> None:
    assert "cooling" not in text("worked-example-1")
    assert "cooling" in text("worked-example-2")


def test_twenty_futures_are_shared_out_over_the_ways() -> None:
    titles = [way.title for way in doubted("humid-coast-motorhome").scenario.alternatives]
    said = text("humid-coast-motorhome")
    assert len(titles) == len([line for line in said.splitlines() if " to " in line and "," in line])


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-1", "two-quotes"])
def test_no_line_is_wider_than_the_terminal(name: str) -> None:
    assert max(len(line) for line in text(name).splitlines()) <= WIDTH


def test_trouble_is_an_answer_without_a_table() -> None:
    found = shipped("trouble-reported")
    said = as_text(answers.nothing_compared(found.scenario, "doubt"))
    assert said.startswith("How sure is this?\n")
    assert "Open it first." in said and LABELS["net-present cost"] not in said
