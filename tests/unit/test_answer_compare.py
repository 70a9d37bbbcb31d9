"""The ways side by side: as text, and as rows for notebooks."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lifecycle.answers import comparison as answers
from lifecycle.answers.blocks import Answer
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.files import load
from lifecycle.language.labels import LABELS
from lifecycle.language.lines import WIDTH
from lifecycle.writers.terminal import as_text

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def shipped(name: str) -> Comparison:
    """Return the comparison of a shipped scenario."""
    return compare(load(SCENARIOS / f"{name}.toml"))


def ways_text(found: Comparison) -> str:
    """Return the ways side by side as a terminal shows them."""
    return as_text(Answer("", "", tuple(answers.ways_blocks(found))))


def row(text: str, label: str) -> list[str]:
    """Return the cells of the row of a label."""
    line = next(line for line in text.splitlines() if line.startswith(label))
    return line.removeprefix(label).split()


def test_the_table_holds_what_the_comparison_holds() -> None:
    text = ways_text(shipped("worked-example-1"))
    assert "[1] Keep the membrane, resealed every year (what you would do otherwise)" in text
    assert "USD in today's money, every figure at its likely value, if you keep it 8 years" in text
    assert row(text, "change today") == ["0", "7,100", "0", "0"]
    assert row(text, "cost in today's money") == ["11,031", "7,751", "9,638", "10,204"]
    assert row(text, "cheaper by") == ["3,279", "1,393", "826"]
    assert row(text, LABELS["break-even year"]) == ["-", "6", "10", "1"]
    assert row(text, LABELS["break-even price"]) == ["-", "10,379", "13,541", "10,929"]
    assert row(text, "of 20 coaches, unplanned new roof by year 8")[0] == "5"


def test_categories_that_are_nothing_are_left_out() -> None:
    text = ways_text(shipped("worked-example-1"))
    assert "cooling" not in text
    assert "cooling" in ways_text(shipped("worked-example-2"))


def test_a_year_that_is_never_reached_and_a_price_that_is_never_low_enough() -> None:
    assert "not in 20" in row_text(shipped("own-hands"), LABELS["break-even year"])
    found = shipped("worked-example-1")
    way = found.ways["coat_now"]
    assert way.measures is not None
    gift = replace(way.measures, break_even_price=replace(way.measures.break_even_price, value=-1.0))
    ways = {**found.ways, "coat_now": replace(way, measures=gift)}
    assert row(ways_text(replace(found, ways=ways)), LABELS["break-even price"])[1] == "none"


def row_text(found: Comparison, label: str) -> str:
    """Return the row of a label as it stands."""
    return next(line for line in ways_text(found).splitlines() if line.startswith(label))


def test_the_highest_price_is_for_another_roof_only() -> None:
    cells = row(ways_text(shipped("humid-coast-motorhome")), LABELS["break-even price"])
    assert cells[:4] == ["-"] * 4
    assert cells[4] == "8,052"


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "worked-example-1"])
def test_no_line_is_wider_than_the_terminal(name: str) -> None:
    body = ways_text(shipped(name))
    assert max(len(line) for line in body.splitlines()) <= WIDTH


def test_trouble_is_an_answer_without_a_table() -> None:
    found = shipped("trouble-reported")
    said = as_text(answers.nothing_compared(found.scenario))
    assert "Open it first." in said and LABELS["net-present cost"] not in said
    assert answers.frame(found).empty


def test_rows_for_notebooks_hold_plain_numbers() -> None:
    found = shipped("worked-example-1")
    rows = answers.records(found)
    assert [each["way"] for each in rows] == [way.title for way in found.ways.values()]
    assert rows[0][LABELS["net savings"]] is None
    assert rows[1][LABELS["net savings"]] == pytest.approx(3279.43, abs=0.005)
    assert rows[1]["upkeep"] == 0.0


def test_the_frame_has_a_column_for_each_way() -> None:
    frame = answers.frame(shipped("worked-example-1"))
    assert list(frame.columns) == [way.title for way in shipped("worked-example-1").ways.values()]
    assert frame.loc[LABELS["net-present cost"], "Spray now"] == pytest.approx(7751.07, abs=0.005)
    assert "cooling" not in frame.index
