"""The page and the notebook on doubt: swings at once, the rest on demand, errors in a sentence."""

from __future__ import annotations

import importlib
import inspect
import json
from datetime import datetime
from html import escape
from typing import Any

import pytest

import lifecycle
from lifecycle.answers.sensitivity import Sensitivity, first_sentence, what_changes
from lifecycle.answers.timing import when_sentence
from lifecycle.language.labels import input_name
from lifecycle.language.sentences import say
from lifecycle.pages import panels
from lifecycle.pages.panels.analyst import EXAMPLE, DoubtPage
from lifecycle.pages.panels.figure_fields import SHORT
from lifecycle.pages.panels.worker import Job, Measure, Superseded, Worker
from lifecycle.places import notebook_paths, scenario_path
from lifecycle.studies.timing import timing


@pytest.fixture(scope="module")
def doubt_page() -> DoubtPage:
    return DoubtPage(lifecycle.load(scenario_path(EXAMPLE)), EXAMPLE, draws=64)


@pytest.fixture(scope="module")
def found() -> Sensitivity:
    return what_changes(lifecycle.load(scenario_path(EXAMPLE)))


def shown(widget: Any) -> str:
    """Return all text below a widget."""
    inside = "".join(shown(child) for child in getattr(widget, "children", ()))
    return str(getattr(widget, "value", "")) + inside


def test_a_cell_may_ask_for_a_page_again() -> None:
    """A module of a page's name, once imported, would stand in the function's place."""
    importlib.import_module(DoubtPage.__module__)
    assert all(inspect.isfunction(getattr(panels, name)) for name in panels.__all__)


def test_what_moves_the_answer_stands_there_at_once(doubt_page: DoubtPage, found: Sensitivity) -> None:
    everything = shown(doubt_page.parts)
    assert first_sentence(found).replace('"', "&#34;") in everything
    assert "<img alt=" in everything and "years you keep it: 6 to 15 years</th>" in everything
    assert doubt_page.status.value.count("<p>") == 0


def test_shares_are_worked_out_on_demand_with_a_bar(doubt_page: DoubtPage) -> None:
    seen: list[str] = []
    doubt_page.indices.said.observe(lambda change: seen.append(change["new"]), names="value")
    assert not doubt_page.indices.result.children
    doubt_page.indices.start.click()
    doubt_page.indices.said.unobserve_all()
    assert "What brings the doubt" not in doubt_page.status.value
    assert "alone and" in shown(doubt_page.indices.result)
    filled = [float(text.split('value="')[1].split('"')[0]) for text in seen if 'value="' in text]
    assert filled == sorted(filled) and filled[-1] == 1.0 and len(filled) > 3


def test_a_map_of_any_two_figures(doubt_page: DoubtPage) -> None:
    first, second = doubt_page.lists
    before = [one.value for one in doubt_page.lists]
    assert before == [one[1] for one in first.options[:2]]
    assert len(first.options) == SHORT and "12 figures" in doubt_page.find.said.value
    doubt_page.find.field.value = "Hour of your OWN"
    assert [one[1] for one in first.options] == [before[0], "owner.hour_value"] and first.value == before[0]
    second.value = "owner.hour_value"
    doubt_page.map.start.click()
    assert "worth of an hour of your own work" in shown(doubt_page.map.result)
    doubt_page.find.field.value = "no such figure"
    assert [one[1] for one in second.options] == ["owner.hour_value"], "what was chosen stays"
    doubt_page.find.field.value = ""
    second.value = first.value
    doubt_page.map.start.click()
    assert say("analyst.doubt_page.twice") in shown(doubt_page.map.result)


def test_dates_are_those_of_the_command(doubt_page: DoubtPage) -> None:
    doubt_page.timing.start.click()
    found = timing(doubt_page.scenario, draws=64)
    assert when_sentence(doubt_page.scenario, found).replace('"', "&#34;") in shown(doubt_page.timing.result)


def test_work_that_nobody_wants_ends_at_its_next_part() -> None:
    worker = Worker(lambda _: None, None)
    said: list[tuple[str, float | None]] = []
    worker.start(lambda _: None)
    measure = Measure(Job(worker, worker.newest), lambda what, share: said.append((what, share)))
    measure.step("something")
    measure.part(1, 4)
    measure.part(1, 4)
    worker.give_up()
    with pytest.raises(Superseded):
        measure.part(2, 4)
    assert said == [("something", None), ("something", 0.25)]


def test_with_trouble_nothing_is_compared(doubt_page: DoubtPage) -> None:
    doubt_page.choice.shipped.value = "trouble-reported"
    assert shown(doubt_page.parts).count("<p>") == 1 and say("analyst.doubt_page.open_first") in shown(
        doubt_page.parts
    )
    doubt_page.choice.shipped.value = "worked-example-3"
    assert say("analyst.doubt_page.open_first") not in shown(doubt_page.parts)


def test_a_wrong_file_is_said_and_the_scenario_stays(doubt_page: DoubtPage) -> None:
    before = doubt_page.scenario
    for content, said in (
        (b"a =", "must be TOML"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b'title = "x"\n', "not work"),
    ):
        file = {
            "name": "own.toml",
            "content": content,
            "size": 3,
            "type": "",
            "last_modified": datetime.now(),
        }
        doubt_page.choice.file.value = (file,)
        assert said in doubt_page.status.value and doubt_page.scenario is before


def test_a_file_is_taken(doubt_page: DoubtPage) -> None:
    content = scenario_path("worked-example-2").read_bytes()
    file = {"name": "own.toml", "content": content, "size": 3, "type": "", "last_modified": datetime.now()}
    doubt_page.choice.file.value = (file,)
    assert doubt_page.scenario.source == "own.toml" and doubt_page.scenario.title in doubt_page.head.value
    assert doubt_page.choice.shipped.value == ""


def test_an_error_in_the_work_is_a_sentence(doubt_page: DoubtPage, monkeypatch: Any) -> None:
    def broken(*_: Any, **__: Any) -> Any:
        raise RuntimeError("no")

    monkeypatch.setattr("lifecycle.studies.sensitivity.indices", broken)
    doubt_page.indices.start.click()
    assert "Something went wrong in this program" in doubt_page.indices.said.value
    monkeypatch.setattr("lifecycle.evaluation.comparison.compare", broken)
    before = doubt_page.scenario
    doubt_page.open(lifecycle.load(scenario_path("worked-example-1")))
    assert "Something went wrong" in doubt_page.status.value and doubt_page.scenario is before


def test_what_is_stored_is_what_the_library_says(found: Sensitivity) -> None:
    path = next(path for path in notebook_paths() if path.stem == "sensitivity")
    cells = {cell["id"]: cell for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]}
    assert path.stat().st_size < 300_000
    stored = "".join(cells["changes"]["outputs"][0]["data"]["text/html"])
    assert stored == found._repr_html_()
    assert all(escape(input_name(one.figure)) in stored for one in found.swings[:12])
    page_cell = cells["page"]["outputs"][0]["data"]["text/plain"]
    assert "".join(page_cell) == say("analyst.doubt_page.not_running")
