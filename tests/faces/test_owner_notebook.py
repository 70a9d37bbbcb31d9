"""The owner's notebook: a question, the page, an example with its code, limits; and what it stores."""

from __future__ import annotations

import json
from typing import Any

import lifecycle
from lifecycle.language.sentences import say
from lifecycle.pages.server.server import BESIDE
from lifecycle.places import notebook_paths

NAME = "humid-coast-motorhome"
OWNER = next(path for path in notebook_paths() if path.name == "owner.ipynb")


def cells() -> dict[str, dict[str, Any]]:
    return {cell["id"]: cell for cell in json.loads(OWNER.read_text(encoding="utf-8"))["cells"]}


def test_it_opens_with_the_question_and_ends_with_limits() -> None:
    texts = ["".join(cell["source"]) for cell in cells().values()]
    assert texts[0].startswith("# Spray the roof, or go on looking after it?")
    assert "## Before you do anything" in texts[-1] and "no advice" in texts[-1]
    assert "panels.owner_page()" in texts[1]


def test_the_stored_example_is_that_of_the_library() -> None:
    scenario = lifecycle.example(NAME)
    (answer,) = cells()["example"]["outputs"]
    verdict = lifecycle.verdict(scenario, draws=256)
    assert "".join(answer["data"]["text/plain"]) == repr(verdict)
    assert "".join(answer["data"]["text/markdown"]) == verdict._repr_markdown_()
    assert "invented" in "".join(cells()["story"]["source"])
    table = "".join(cells()["table_of_20s"]["outputs"][0]["data"]["text/plain"])
    assert table == repr(lifecycle.habits(scenario, draws=256))


def test_a_page_shows_no_example() -> None:
    """A verdict on somebody else's coach would anchor whoever has not answered yet."""
    beside = {name for name, cell in cells().items() if BESIDE in cell["metadata"].get("tags", [])}
    assert set(cells()) - beside == {"question", "page", "limits"}


def test_where_nothing_runs_a_sentence_stands() -> None:
    stored = cells()["page"]["outputs"][0]["data"]
    assert "".join(stored["text/plain"]) == say("pages.owner.not_running")
