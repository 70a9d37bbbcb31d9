"""The pocket page in a real browser: it says what the whole tool says, from a disk, and lets nothing out."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lifecycle.cli.asking import read_answers
from lifecycle.cli.main import main
from lifecycle.pages.pocket import carried_by, pocket_page
from tests.faces.browsing import CONTRAST, TOUCH, Tab, chromium, faults_of_access
from tests.faces.pocket import BEGIN, SAID, SAMPLE, pocket, random_answers, told

REBUILD = "rebuild it: lifecycle pocket --to reports/pocket.html"
LARGEST = 2_000_000
SHOWN = "() => document.querySelector('#answer table') && !document.querySelector('.old')"
CASES, TABLES, LEAST = 40, 4, 38


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def tab(browser: Any) -> Iterator[Tab]:
    with pocket(browser) as found:
        yield found
        assert found.errors == [] and found.outside == []


def _answer(page: Any) -> None:
    """Answer what is needed, and wait for the answer."""
    page.check("input[name=otherwise][value=shop_every_year]")
    page.fill("#keep-likely", "10")
    page.fill("#quote", "8130")
    page.fill("#roof_age", "5")
    page.wait_for_function(SHOWN)


def test_the_stored_page_is_fresh() -> None:
    page = SAMPLE.read_text(encoding="utf-8")
    day = carried_by(page)["made"]["day"]
    today = pocket_page(page)
    assert page == today.replace(carried_by(today)["made"]["day"], day), REBUILD


def test_the_page_is_small_closed_and_complete_in_itself() -> None:
    page = SAMPLE.read_text(encoding="utf-8")
    assert len(page.encode()) < LARGEST
    plain = re.sub(r"[A-Za-z0-9+/=]{60,}", "", page)
    assert not re.search(r"https?:|//[a-z]|src=|@import|url\(", plain)
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)
    assert policy and policy[1].startswith("default-src 'none'; script-src 'sha256-")
    assert "unsafe-inline" not in policy[1] and "'unsafe-eval'" not in policy[1]
    assert not re.search(r'\son\w+="', page) and "style=" not in page


@pytest.mark.slow
def test_it_says_what_the_whole_tool_says(tab: Tab) -> None:
    chance, same, alike = random.Random(19), 0, 0
    cases = [(random_answers(chance), number < TABLES) for number in range(CASES)]
    tab.page.evaluate(BEGIN, cases)  # the page works while the tool does
    by_tool = [told(answers, table=table) for answers, table in cases]
    by_page = tab.page.evaluate("() => window.begun")
    for (answers, _), here, there in zip(cases, by_page, by_tool, strict=True):
        assert here["costs"] == pytest.approx(there["costs"], rel=1e-6), answers
        assert abs(here["of_20"] - there["of_20"]) <= 1, answers
        which = [name for name in ("leads", "acting", "word") if here[name] != there[name]]
        assert not which or there["borders"], answers
        same += not which
        alike += here == {**there, "costs": here["costs"]}
    assert same >= LEAST and alike >= LEAST, (same, alike)


def test_trouble_is_opened_first(tab: Tab) -> None:
    answers = {"otherwise": "nothing", "keep": 8, "quote": 8000, "roof_age": 60, "trouble": ["stain"]}
    assert tab.page.evaluate(SAID, [answers, False]) == told(answers)


def test_nothing_is_said_before_what_is_needed_and_what_is_wrong_is_marked(browser: Any) -> None:
    with pocket(browser) as tab:
        page = tab.page
        assert "what you would do otherwise" in tab.text("#state") and "the quote" in tab.text("#state")
        _answer(page)
        for field, wrong in (
            ("#keep-low", "12"),
            ("#seal_age", "9"),
            ("#quote", "free"),
            ("#roof_age", "600"),
        ):
            page.fill(field, wrong)
            page.wait_for_selector(f"{field}[aria-invalid]")
            assert tab.text(f'[data-part="{field[1:].split("-")[0]}"] .wrong')
            assert page.locator("#answer").inner_text() == ""
            page.fill(field, {"#quote": "8130", "#roof_age": "5"}.get(field, ""))
            page.wait_for_function(SHOWN)
        assert tab.errors == []


def test_it_goes_by_keyboard_and_gives_the_file_for_the_whole_answer(
    browser: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pocket(browser) as tab:
        page = tab.page
        page.locator("input[name=otherwise]").first.focus()
        page.keyboard.press("Space")
        page.keyboard.press("ArrowDown")
        for field, typed in (("keep-likely", "10"), ("quote", "8130"), ("roof_age", "5")):
            for _ in range(30):
                page.keyboard.press("Tab")
                if page.evaluate("() => document.activeElement.id") == field:
                    break
            page.keyboard.type(typed)
        page.wait_for_function(SHOWN)
        with page.expect_download() as kept:
            page.locator("#save").press("Enter")
        kept.value.save_as(tmp_path / "answers.toml")
        answers = read_answers(tmp_path / "answers.toml")
        assert answers["otherwise"] == "shop_every_third_year" and answers["roof_age"] == 60
        lines = page.evaluate(SAID, [answers, False])["lines"]
        assert tab.text("#answer h2") == lines[0]
    assert main(["new", "--answers", str(tmp_path / "answers.toml"), str(tmp_path / "ours.toml")]) == 0
    assert main(["compare", str(tmp_path / "ours.toml"), "--draws", "256"]) == 0
    assert lines[0] in " ".join(capsys.readouterr().out.split())


def test_everybody_can_read_it_at_any_width_in_light_and_dark(browser: Any) -> None:
    for width, scheme in ((360, "light"), (820, "dark"), (1400, "light")):
        context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
        page = context.new_page()
        page.goto(SAMPLE.resolve().as_uri())
        _answer(page)
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width
        assert page.evaluate(CONTRAST) == []
        heights = "() => [...document.querySelectorAll('button, select, input[type=text], .choice')]"
        low = f"{heights}.filter((one) => one.checkVisibility()).map((one) => one.offsetHeight)"
        assert min(page.evaluate(low)) >= TOUCH
        assert not faults_of_access(page)
        page.emulate_media(media="print")
        assert page.evaluate("() => document.querySelector('#answer').checkVisibility()")
        context.close()
