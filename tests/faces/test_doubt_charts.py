"""The sheet of doubt: it says what the answer says, and shows what was computed, legibly.

Texts are recorded as they are drawn; none may touch another, leave the picture or be too small for a
phone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure

from lifecycle import files
from lifecycle.answers.doubt import doubt_sheet
from lifecycle.charts import picture_bytes
from lifecycle.charts.owning import describe_owning_under_doubt, describe_savings_spread
from lifecycle.charts.twenties import describe_table_of_20s
from lifecycle.evaluation.comparison import compare
from lifecycle.language.sentences import say
from lifecycle.language.verdict import Verdict, verdict_under
from lifecycle.studies.assessment import Assessment, whole
from tests.faces.drawn import drawn_bars

pytestmark = pytest.mark.usefixtures("few_lives")

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RANGED = [
    "cold-stored-trailer",
    "hidden-wet-spot",
    "humid-coast-motorhome",
    "own-hands",
    "sells-in-three-years",
]
DRAWS = 128

Texts = Callable[[Figure], list[tuple[str, float, Any]]]
Faults = Callable[[Figure], list[str]]
Said = Callable[[Figure], str]


@cache
def assessed(name: str) -> tuple[Assessment, Verdict]:
    """Assess a shipped scenario with few draws."""
    scenario = files.load(SCENARIOS / f"{name}.toml")
    found = whole(scenario, draws=DRAWS)
    return found, verdict_under(compare(scenario), found)


@pytest.mark.parametrize("name", [*RANGED, "worked-example-1"])
def test_the_sheet_can_be_read(name: str, faults_of: Faults) -> None:
    assert faults_of(doubt_sheet(*assessed(name))) == []


@pytest.mark.parametrize("name", RANGED)
def test_the_sheet_is_headed_by_the_verdict(name: str, texts_of: Texts) -> None:
    found, answer = assessed(name)
    texts = texts_of(doubt_sheet(found, answer))
    bold = [(box.y1, text) for text, size, box in texts if size == 14.0]
    first = " ".join(text for _, text in sorted(bold, reverse=True))
    assert first.startswith(answer.lines[0])
    assert max(box.y1 for _, _, box in texts) == max(bold)[0]  # nothing stands above it


def test_another_verdict_heads_the_sheet(said_by: Said) -> None:
    found, answer = assessed("own-hands")
    figure = doubt_sheet(found, replace(answer, lines=("Could go either way.", "Not shown.")))
    assert "Could go either way." in said_by(figure) and "Not shown." not in said_by(figure)


def test_the_sheet_shows_the_table_the_spread_and_the_costs(texts_of: Texts) -> None:
    found, answer = assessed("humid-coast-motorhome")
    figure = doubt_sheet(found, answer)
    assert found.habits is not None and found.subject is not None
    table, spread, owning = figure.axes
    texts = [text for text, _, box in texts_of(figure) if table.bbox.contains(*box.get_points().mean(axis=0))]
    numbers = [int(text) for text in texts if text.isdigit()]
    assert numbers == [number for row in found.habits.of_20.values() for number in row.values()]
    floors = {bar.y0 for bar, _ in drawn_bars(spread)}
    assert len(floors) == 2  # over the way that leads, and over the base case
    assert "thousand USD in today's money" in spread.get_xlabel()
    for way in (found.doubt.base_case, found.subject):
        mean = found.costs[way].mean[1:] / 1000.0
        assert any(np.array_equal(line.get_ydata(), mean) for line in owning.lines)
    assert owning.get_xlabel() == "sold after ... years"


def test_the_text_alternative_is_the_verdict_and_the_sentence_of_every_chart() -> None:
    found, answer = assessed("cold-stored-trailer")
    sentence = doubt_sheet(found, answer).text_alternative  # type: ignore[attr-defined]
    assert found.habits is not None
    parts = (
        describe_table_of_20s(found.habits),
        describe_savings_spread(found),
        describe_owning_under_doubt(found),
    )
    assert sentence == " ".join([answer.lines[0], *parts])


def test_without_ranges_nothing_is_counted_and_a_sentence_says_so(said_by: Said) -> None:
    found, answer = assessed("worked-example-1")
    figure = doubt_sheet(found, answer)
    assert said_by(figure).count("there is no doubt to draw") == 1
    assert "of 20" not in said_by(figure) and len(figure.axes) == 1
    said = f"{answer.lines[0]} {say('charts.no_doubt')}"
    assert figure.text_alternative == said  # type: ignore[attr-defined]


def test_without_a_table_the_other_charts_stand(faults_of: Faults) -> None:
    found, answer = assessed("own-hands")
    figure = doubt_sheet(replace(found, habits=None), answer)
    assert len(figure.axes) == 2 and faults_of(figure) == []
    assert "of 20 futures is" not in figure.text_alternative  # type: ignore[attr-defined]


def test_the_same_doubt_gives_the_same_bytes() -> None:
    once, again = (picture_bytes(doubt_sheet(*assessed("own-hands")), "svg") for _ in range(2))
    assert once == again
