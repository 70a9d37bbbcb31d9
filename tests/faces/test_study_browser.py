"""The pages on doubt, of the analyst and on method in a real browser: by mouse, by keyboard, at all widths.

Each page is opened once by `lifecycle open`; its tests go on with one tab. What stands there is held
against the library. Screenshots are kept as artefacts of the run, below the folder of pytest.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import lifecycle
from lifecycle.answers.sensitivity import first_sentence, what_changes
from lifecycle.charts.swings import describe_answer_map, describe_swings
from lifecycle.language.sentences import say
from lifecycle.pages.panels.analyst import answer_lines
from lifecycle.places import scenario_path
from lifecycle.records.published import published
from lifecycle.studies.by_place import by_place
from lifecycle.studies.sensitivity import two_way_map
from tests.faces.browsing import CONTRAST, SMALL, UNNAMED, WIDTHS, Tab, chromium
from tests.faces.serving import serving

GIVEN, OTHER = scenario_path("own-hands"), scenario_path("cold-stored-trailer")
STANDS = """selector => [...document.querySelectorAll(selector)].map(one =>
  one.getBoundingClientRect().right + window.scrollX > document.documentElement.clientWidth + 1
  && !one.closest('pre, .lc-wide') && one.innerText.slice(0, 40)).filter(Boolean)"""
"""Texts that stand beyond the right edge of the page, but for what scrolls within itself."""

UNEVEN = """() => [...document.querySelectorAll('.lc-page, .jp-OutputArea, .jp-RenderedMarkdown')].map(one =>
  [one.getBoundingClientRect().left, document.documentElement.clientWidth - one.getBoundingClientRect().right]
).filter(([left, right]) => left < 8 || right < 8)"""
"""Margins of what stands on the page, left and right, where one is too narrow. [CSS pixel]"""

BROKEN = """() => [...document.querySelectorAll('.lc-study pre')].filter(one => one.checkVisibility())
  .map(one => getComputedStyle(one))
  .filter(one => one.whiteSpace !== 'pre' || !one.fontFamily.includes('Mono') || one.wordBreak !== 'normal')
  .length"""
"""Number of laid out texts whose columns do not stand below each other."""


@pytest.fixture(scope="module")
def browsing() -> Iterator[Any]:
    """Start one browser for all tests here."""
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def doubt(browsing: Any) -> Iterator[Tab]:
    """Open the page on doubt with a file."""
    with serving("doubt", GIVEN) as page:
        tab = Tab(browsing, page.url, there=".lc-study img")
        yield tab
        tab.close()


@pytest.fixture(scope="module")
def analyst(browsing: Any) -> Iterator[Tab]:
    """Open the analyst's page with a file."""
    with serving("analyst", GIVEN) as page:
        tab = Tab(browsing, page.url, there=".lc-study .lc-folds")
        yield tab
        tab.close()


@pytest.fixture(scope="module")
def method(browsing: Any) -> Iterator[Tab]:
    """Open the page on method."""
    with serving("method") as page:
        tab = Tab(browsing, page.url, there="img")
        yield tab
        tab.close()


def text(tab: Tab) -> str:
    """Return all that stands on the page, every space one."""
    return re.sub(r"\s+", " ", tab.text("body"))


def says(tab: Tab, *parts: str) -> None:
    """Wait until a page says something, wherever it breaks its lines."""
    for part in parts:
        tab.page.wait_for_function(
            "part => document.body.innerText.replace(/\\s+/g, ' ').includes(part)",
            arg=re.sub(r"\s+", " ", part),
        )


def pictured(tab: Tab, sentence: str) -> None:
    """Wait until a picture says a sentence."""
    tab.page.wait_for_function(
        "sentence => [...document.images].some(one => one.alt === sentence && one.complete)", arg=sentence
    )


def press(tab: Tab, name: str) -> None:
    """Press a button by the keyboard."""
    button = tab.page.get_by_role("button", name=name)
    button.focus()
    tab.page.keyboard.press("Enter")


def load(tab: Tab, file: Path) -> None:
    """Load a file by the button."""
    with tab.page.expect_file_chooser() as chooser:
        tab.page.get_by_title("Load a scenario file").first.click()
    chooser.value.set_files(file)


def can_be_used(tab: Tab, name: str, pictures: Path) -> None:
    """Check a page at every width: nothing beyond its edge, nothing too small, too pale or without a name."""
    for width, height in WIDTHS:
        tab.page.set_viewport_size({"width": width, "height": height})
        tab.page.wait_for_timeout(250)
        tab.page.screenshot(path=pictures / f"{name}-{width}.png", full_page=True)
        assert tab.page.evaluate("() => document.documentElement.scrollWidth") <= width
        assert tab.page.evaluate(STANDS, "p, h1, h2, h3, li, img, button, input, select") == []
        assert tab.page.evaluate(UNEVEN) == []
        assert tab.page.evaluate(BROKEN) == 0
        assert tab.page.evaluate(SMALL) == []
    tab.page.set_viewport_size(dict(zip(("width", "height"), WIDTHS[0], strict=True)))
    assert tab.page.evaluate(CONTRAST) == []
    assert tab.page.evaluate(UNNAMED) == 0
    for picture in tab.page.locator("img").all():
        sentence = picture.get_attribute("alt") or ""
        assert len(sentence) > 40 and sentence.rstrip().endswith(".")
    assert tab.outside == [] and tab.errors == []


def test_the_browser_reaches_nothing_else(browsing: Any) -> None:
    """An address that is nobody's (RFC 5737) is refused by the browser itself, at once."""
    page = browsing.new_page()
    with pytest.raises(Exception, match="PROXY_CONNECTION_FAILED"):
        page.goto("http://192.0.2.1/")
    page.close()


# ---- doubt ----------------------------------------------------------------------------------------


def bars_of(scenario: Any) -> str:
    """Return what is said of the bars: means over the futures."""
    return describe_swings(lifecycle.compare(scenario), moved=what_changes(scenario).swings)


def test_doubt_opens_with_what_moves_the_answer(doubt: Tab) -> None:
    scenario = lifecycle.load(GIVEN)
    says(doubt, scenario.title, first_sentence(what_changes(scenario)))
    shown = doubt.page.locator("img").first.get_attribute("alt")
    assert shown == bars_of(scenario)


def test_doubt_has_no_fault_of_access(doubt: Tab) -> None:
    assert not doubt.faults_of_access()


def test_another_coach_is_chosen_by_mouse(doubt: Tab) -> None:
    scenario = lifecycle.load(OTHER)
    doubt.page.get_by_label("An invented coach").select_option(label="cold stored trailer")
    says(doubt, scenario.title, first_sentence(what_changes(scenario)))
    pictured(doubt, bars_of(scenario))
    assert lifecycle.load(GIVEN).title not in text(doubt)


def test_a_map_is_drawn_by_keyboard(doubt: Tab) -> None:
    across, up = doubt.page.get_by_label("Across"), doubt.page.get_by_label("Up")
    across.focus()
    doubt.page.keyboard.press("Home")
    up.focus()
    doubt.page.keyboard.press("Home")
    press(doubt, "Draw the map")
    says(doubt, say("analyst.doubt_page.twice"))
    up.focus()
    doubt.page.keyboard.press("ArrowDown")
    press(doubt, "Draw the map")
    scenario = lifecycle.load(OTHER)
    first, second = (swing.figure.path for swing in lifecycle.compare(scenario).swings[:2])
    pictured(doubt, describe_answer_map(two_way_map(scenario, first, second), scenario))
    assert say("analyst.doubt_page.twice") not in text(doubt)


def test_long_work_fills_a_bar_and_can_be_stopped(doubt: Tab) -> None:
    doubt.page.get_by_label("How fine").select_option(label="as the command does it")
    press(doubt, "Work the shares out")
    doubt.page.wait_for_function(
        "() => [...document.querySelectorAll('progress')].some(one => one.value > 0)"
    )
    doubt.page.get_by_role("button", name="Stop").click()
    says(doubt, "Stopped.")
    assert not doubt.page.locator("progress:visible").count()


def test_a_bad_file_changes_nothing_and_trouble_stops(doubt: Tab, tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("title = ", encoding="utf-8")
    before = doubt.page.locator("img").first.get_attribute("alt")
    load(doubt, bad)
    says(doubt, "That does not work", "bad.toml")
    assert doubt.page.locator("img").first.get_attribute("alt") == before
    load(doubt, scenario_path("trouble-reported"))
    says(doubt, say("analyst.doubt_page.open_first"))
    assert not doubt.page.locator(".lc-study img").count()
    load(doubt, GIVEN)
    says(doubt, lifecycle.load(GIVEN).title, first_sentence(what_changes(lifecycle.load(GIVEN))))


def test_doubt_can_be_used_at_every_width(doubt: Tab, tmp_path: Path) -> None:
    press(doubt, "Draw the map")
    doubt.page.wait_for_function("() => document.images.length > 1")
    can_be_used(doubt, "doubt", tmp_path)


# ---- analyst --------------------------------------------------------------------------------------


def test_the_bench_opens_with_the_answer(analyst: Tab) -> None:
    scenario = lifecycle.load(GIVEN)
    says(analyst, scenario.title, f"As it came: {answer_lines(scenario)}", "Nothing was changed yet.")
    assert "Now:" not in text(analyst)


def test_the_bench_has_no_fault_of_access(analyst: Tab) -> None:
    assert not analyst.faults_of_access()


def kept(tab: Tab, place: Path) -> Path:
    """Keep the scenario as it stands, and return the file."""
    with tab.page.expect_download() as found:
        tab.page.get_by_text("Save the scenario as it stands").click()
    found.value.save_as(place)
    return place


def test_a_figure_is_changed_by_keyboard_before_and_now_stand_there(analyst: Tab, tmp_path: Path) -> None:
    press(analyst, "Change figures")
    analyst.page.get_by_label("Group", exact=True).select_option(label="Prices of roofs and jobs")
    field = analyst.page.locator(".lc-figure", has_text="quoted price of the coating").locator("input")
    field.focus()
    analyst.page.keyboard.press("Control+A")
    analyst.page.keyboard.type("3000")
    analyst.page.keyboard.press("Enter")
    says(analyst, "Now:", "Done so far: by hand:")
    now = lifecycle.load(kept(analyst, tmp_path / "tuned.toml"))
    says(analyst, f"As it came: {answer_lines(lifecycle.load(GIVEN))}", f"Now: {answer_lines(now)}")
    assert answer_lines(now) != answer_lines(lifecycle.load(GIVEN))
    assert 3000.0 in [figure.likely for figure in now.inputs.values()]


def test_a_value_that_cannot_be_is_explained_beside_its_field(analyst: Tab) -> None:
    analyst.page.get_by_text("Done so far").first.wait_for()
    before = text(analyst)
    now = before[before.index("Now:") : before.index("Done so far")]
    field = analyst.page.locator(".lc-figure input[type=text]:enabled").last
    was = field.input_value()
    field.fill("a lot")
    analyst.page.keyboard.press("Enter")
    says(analyst, '"a lot" is not taken.', "The figure before still counts.")
    assert now in text(analyst)
    field.fill(was)
    analyst.page.keyboard.press("Enter")
    analyst.page.wait_for_function("() => !document.body.innerText.includes('a lot')")


def test_places_are_those_of_the_library(analyst: Tab, tmp_path: Path) -> None:
    now = lifecycle.load(kept(analyst, tmp_path / "tuned.toml"))
    analyst.page.get_by_role("button", name="Where it stands").click()
    analyst.page.get_by_text("Duluth").first.wait_for()
    shown = text(analyst)
    names = [one.name for one in by_place(now).places]
    assert len(names) > 10 and all(name in shown for name in names)


def test_save_load_and_put_back(analyst: Tab, tmp_path: Path) -> None:
    file = kept(analyst, tmp_path / "tuned.toml")
    load(analyst, file)
    says(analyst, f"As it came: {answer_lines(lifecycle.load(file))}", "Nothing was changed yet.")
    bad = tmp_path / "bad.toml"
    bad.write_bytes(b"\xff\xfe")
    load(analyst, bad)
    says(analyst, "That does not work", "must be text in UTF-8")
    assert answer_lines(lifecycle.load(file)) in text(analyst)
    analyst.page.get_by_role("button", name="Put everything back").click()
    says(analyst, "Everything is put back.")


def test_the_bench_can_be_used_at_every_width(analyst: Tab, tmp_path: Path) -> None:
    for name in ("Change figures", "What the figures imply", "A daily weather file"):
        analyst.page.get_by_role("button", name=name).click()
    analyst.page.get_by_role("button", name="Where it stands").click()
    analyst.page.get_by_text("Duluth").first.wait_for()
    can_be_used(analyst, "analyst", tmp_path)


# ---- method ---------------------------------------------------------------------------------------


def test_method_shows_printed_numbers_beside_ours(method: Tab) -> None:
    method.page.wait_for_selector("table")
    shown = text(method)
    for one in published("factors", "renewals", "joints", "reflectance", "shares"):
        assert one.title in shown and one.source in shown
        for number in one.numbers:
            assert number.printed in shown
    tables = method.page.locator("table", has=method.page.locator("th", has_text="printed")).all()
    rows = [row for table in tables for row in table.locator("tbody tr").all()]
    assert len(rows) > 20
    assert {row.locator("td").last.inner_text() for row in rows} == {"yes"}


def test_method_has_no_fault_of_access(method: Tab) -> None:
    method.page.wait_for_selector("#rendered_cells img")
    assert not method.faults_of_access()


def test_method_can_be_used_at_every_width(method: Tab, tmp_path: Path) -> None:
    can_be_used(method, "method", tmp_path)
