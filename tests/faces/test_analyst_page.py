"""The analyst's bench, page and notebook: records in the place of judgement, before and after."""

from __future__ import annotations

import json
from datetime import datetime
from html import escape, unescape
from typing import Any

import numpy as np
import pytest

import lifecycle
from lifecycle.answers import workbench as benches
from lifecycle.answers.records import Fitted
from lifecycle.errors import ScenarioError
from lifecycle.files import loads
from lifecycle.language.sentences import say
from lifecycle.pages.panels.analyst import EXAMPLE, AnalystPage
from lifecycle.pages.panels.figure_fields import SHORT
from lifecycle.places import notebook_paths, scenario_path, shipped_file
from lifecycle.records.demo import HEAD, Truth, WeatherTruth, demo_weather
from lifecycle.scenario import Scenario
from lifecycle.writers.terminal import as_text

pytest.importorskip("surpyval", reason="life fits need the extra [records]")


ENDS = ".csv", "-columns.toml"
PURPOSES = {"life": "looks", "joints": "looks", "hidden": "job-sheets"}


def fitted(bench: benches.Workbench, purpose: str, sheet: str) -> Fitted:
    file, columns = (shipped_file("records", f"{sheet}{end}") for end in ENDS)
    return bench.fit(file, purpose, columns=columns)


def loaded(name: str = EXAMPLE) -> Scenario:
    return lifecycle.load(scenario_path(name))


def shown(widget: Any) -> str:
    """Return all text below a widget."""
    inside = "".join(shown(child) for child in getattr(widget, "children", ()))
    return str(getattr(widget, "value", "")) + inside


def given(content: bytes, name: str) -> tuple[dict[str, Any]]:
    """Return a file as it is handed over."""
    return ({"name": name, "content": content, "size": 1, "type": "", "last_modified": datetime.now()},)


@pytest.fixture(scope="module")
def bench_page() -> AnalystPage:
    return AnalystPage(loaded(), EXAMPLE, draws=32)


@pytest.fixture(scope="module")
def tuned() -> benches.Workbench:
    weather, columns = (shipped_file("records", f"daily-weather{end}") for end in ENDS)
    found = lifecycle.workbench(loaded()).with_weather(weather, columns=columns)
    for purpose, sheet in PURPOSES.items():
        found = found.with_records(fitted(found, purpose, sheet))
    return found


def test_the_tuned_scenario_loads_and_its_register_names_the_records(tuned: benches.Workbench) -> None:
    read = loads(tuned.now.text, "tuned.toml")
    mean = read.inputs["roofs.membrane.life_mean"]
    assert mean.basis == "record" and mean.source.startswith("looks.csv: 254 roofs")
    assert mean.low < Truth().life_mean < mean.high
    air = read.inputs["climate.air_temperature"]
    assert air.basis == "record" and "INVENTED INLAND" in air.source
    rows = {name: source for name, _, source in benches.record_rows(tuned)}
    assert set(rows) >= {"mean life of the roof", "wet days", "joint leaks in ten years if never resealed"}
    assert len(tuned.done) == 4 and tuned.first.text == loaded().text


def test_what_the_figures_imply_moves_with_the_records(tuned: benches.Workbench) -> None:
    rows = {name: (before, after) for name, before, after in benches.implied_rows(tuned)}
    before, after = (float(text.split(" ")[0]) for text in rows["leaks that start in ten years"])
    assert after > 1.2 * before
    untouched = benches.implied_rows(benches.workbench(loaded()))
    assert all(first == now for _, first, now in untouched)
    with pytest.raises(ScenarioError, match="shop_every_year"):
        benches.implied_rows(tuned, "shop_every_yaer")


def test_objections_are_tried_on_the_tuned_answer(tuned: benches.Workbench) -> None:
    rows = benches.objection_rows(tuned, draws=32)
    assert rows[0][0] == "as stated" and len(rows) == 15
    assert all(of.endswith("of 20") for _, of, _ in rows)
    untuned = benches.objection_rows(benches.workbench(loaded()), draws=32)
    assert [word for _, of, word in untuned if of == "not tried"] == ["no life here comes from records"]


def test_the_difference_is_split_by_cause(tuned: benches.Workbench) -> None:
    text = as_text(benches.why_it_differs(tuned))
    assert "where it stands" in text and "mean life of the membrane" in text and "in all" in text


def test_the_invented_weather_is_what_it_was_drawn_from() -> None:
    truth = WeatherTruth()
    rows = demo_weather(np.random.default_rng(7)).splitlines()
    assert rows[0] == HEAD
    cells = np.array([[float(cell) for cell in row.split(",")[1:]] for row in rows[1:]])
    assert np.all(cells[:, 0] - cells[:, 1] == pytest.approx(2.0 * truth.apart, abs=1.01))
    two_years = cells[: 2 * 358].mean(axis=0)
    assert two_years[:2].mean() == pytest.approx(truth.mean, abs=2.5)
    assert 0.24 < float(np.mean(cells[:, 2] > 0.0)) < 0.35
    calm = demo_weather(np.random.default_rng(7), WeatherTruth(new=0.0, wet=0.0, missing=0.0))
    assert {row.rpartition(",")[2] for row in calm.splitlines()[1:]} == {"0.00"}


def test_the_page_opens_with_its_answer_and_nothing_done(bench_page: AnalystPage) -> None:
    bench_page.open(loaded())
    assert (
        say("analyst.page.nothing_done") in bench_page.answer.value and "is about" in bench_page.answer.value
    )
    bench_page.weather.read.start.click()
    assert say("analyst.page.no_file") in shown(bench_page.weather.read.result)


def test_weather_and_records_are_read_shown_and_used(bench_page: AnalystPage) -> None:
    bench_page.open(loaded())
    bench_page.weather.given.own.click()
    bench_page.weather.read.start.click()
    assert "days seen" in shown(bench_page.weather.read.result) and not bench_page.bench.done
    bench_page.weather.read.result.children[-1].children[0].click()
    assert bench_page.bench.now.inputs["climate.wet_days"].basis == "record"
    bench_page.records.given.own.click()
    bench_page.records.fit.start.click()
    assert "of which 21 left out, 1,554 used" in shown(bench_page.records.fit.result)
    bench_page.records.fit.result.children[-1].children[0].click()
    assert bench_page.bench.now.inputs["roofs.membrane.life_mean"].basis == "record"
    assert (
        len(bench_page.bench.done) == 2
        and "Now:" in bench_page.answer.value
        and "looks.csv" in bench_page.answer.value
    )
    assert "-tuned.toml" in bench_page.save.value
    bench_page.difference.start.click()
    assert "where it stands" in shown(bench_page.difference.result)
    bench_page.back.click()
    assert not bench_page.bench.done and bench_page.bench.now.text == loaded().text
    assert "old result" in bench_page.difference.said.value


def test_a_group_of_figures_is_changed_with_the_tools_own_beside(bench_page: AnalystPage) -> None:
    bench_page.open(loaded())
    bench_page.folds["figures"].turn()
    bench_page.folds["implied"].turn()
    bench_page.group.value = "leak"
    assert len(bench_page.lines.children) == sum(
        figure.field.group == "leak" for figure in bench_page.scenario.inputs.values()
    )
    bench_page.find.field.value = "MEMBRANE leaks years"
    names = [unescape(one.children[0].value) for one in bench_page.lines.children]
    assert 0 < len(names) < SHORT and all("leaks" in one and "membrane" in one for one in names)
    assert f"of every group: {len(names)}." in bench_page.find.said.value
    bench_page.find.field.value = "e"
    assert len(bench_page.lines.children) == SHORT and "another word" in bench_page.find.said.value
    bench_page.find.field.value = "joint leaks in ten"
    line = next(
        one for one in bench_page.lines.children if "joint leaks in ten years" in one.children[0].value
    )
    line.children[1].value = "2 / 3 / 4"
    figure = bench_page.bench.now.inputs["roofs.membrane.joint_leaks_ten_years"]
    assert (figure.low, figure.likely, figure.high) == (2.0, 3.0, 4.0)
    assert "the tool's own" in unescape(line.children[2].children[0].value)
    implied = shown(bench_page.folds["implied"].inside)
    assert "as it came" in implied and bench_page.bench.done == (
        "by hand: joint leaks in ten years if never resealed (membrane)",
    )
    line.children[1].value = "9 / 3"
    assert "is not taken" in line.children[2].children[0].value
    assert bench_page.bench.now.inputs["roofs.membrane.joint_leaks_ten_years"].likely == 3.0
    line.children[2].children[1].click()
    assert not bench_page.bench.done


def test_wrong_files_are_said_in_a_sentence(bench_page: AnalystPage) -> None:
    bench_page.open(loaded())
    before = bench_page.bench
    bench_page.records.given.file.value = given(b"one,two\n1,2\n", "wrong.csv")
    bench_page.records.given.map.value = given(b"a = ", "map.toml")
    assert "must be TOML" in bench_page.status.value
    bench_page.records.given.columns = {}
    bench_page.records.fit.start.click()
    said = bench_page.records.fit.said.value
    assert "coach" in said and "must have columns" in said
    bench_page.weather.given.file.value = given(b"a,b\n", "wrong.csv")
    bench_page.weather.given.columns = {}
    bench_page.weather.read.start.click()
    assert "must be of a known form" in bench_page.weather.read.said.value
    assert bench_page.bench is before


def test_with_trouble_nothing_is_compared(bench_page: AnalystPage) -> None:
    bench_page.choice.shipped.value = "trouble-reported"
    assert say("analyst.page.open_first") in bench_page.answer.value
    bench_page.objections.start.click()
    assert say("analyst.page.open_first") in shown(bench_page.objections.result)
    bench_page.choice.shipped.value = EXAMPLE


def test_shipped_files_are_named() -> None:
    with pytest.raises(ScenarioError, match=r"looks\.csv"):
        shipped_file("records", "look.csv")


def test_what_is_stored_is_what_the_library_says(tuned: benches.Workbench) -> None:
    path = next(path for path in notebook_paths() if path.stem == "records")
    assert path.stat().st_size < 300_000
    cells = {cell["id"]: cell for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]}
    for purpose, sheet in PURPOSES.items():
        found = fitted(lifecycle.workbench(loaded()), purpose, sheet)
        (shown,) = cells[purpose]["outputs"]
        assert "".join(shown["data"]["text/html"]) == found._repr_html_()
        assert all(escape(line, quote=False) in found._repr_html_() for line in found.lines)
        assert "".join(shown["data"]["text/plain"]) == repr(found)
    assert "".join(cells["tuned"]["outputs"][0]["text"]) == f"{tuned!r}\n"
    assert "".join(cells["page"]["outputs"][0]["data"]["text/plain"]) == say("analyst.page.not_running")
