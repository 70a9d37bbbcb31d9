"""The page for the counter in a real browser: by finger, at all widths, one customer after another."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lifecycle import files
from lifecycle.evaluation.comparison import compare
from lifecycle.language.sentences import say
from lifecycle.language.verdict import verdict_under
from lifecycle.pages.panels.counter_answer import FOLDED
from lifecycle.places import scenario_path
from lifecycle.studies.assessment import brief
from lifecycle.studies.verdict import last_year_needed
from tests.faces.browsing import CONTRAST, SMALL, WIDTHS, Tab, chromium
from tests.faces.serving import serving

LIST = scenario_path("two-quotes").parent / "prices" / "by-the-foot.toml"
UPRIGHT = (820, 1180)
TABLET = (1024, 768)
MOST_WORDS = 250
ASK, WALK, PRICE, ANSWER = 0, 1, 2, 3


@pytest.fixture(scope="module")
def tab() -> Iterator[Tab]:
    """Open one tab on an upright tablet; tests go on with it."""
    with serving("counter") as page, chromium() as browser:
        tab = Tab(browser, page.url, UPRIGHT)
        yield tab
        tab.close()


def turn_to(tab: Tab, step: int) -> None:
    """Turn to a step; a wide screen shows all."""
    button = tab.page.locator(".lc-nav button").nth(step)
    if button.is_visible():
        button.click()


def settled(tab: Tab) -> None:
    """Wait until the whole answer is that of what is entered."""
    tab.page.wait_for_timeout(200)
    tab.page.wait_for_function(
        "() => document.querySelector('.lc-screen .lc-two-sides') && document.querySelector('.lc-screen h3')"
        " && !document.querySelector('.lc-page .lc-old')"
    )


def load_prices(tab: Tab) -> None:
    """Load the price list by the button."""
    turn_to(tab, PRICE)
    with tab.page.expect_file_chooser() as chooser:
        tab.page.locator(".widget-upload").click()
    chooser.value.set_files(LIST)
    tab.page.get_by_text("Price list loaded").wait_for()


def overflow(tab: Tab) -> int:
    """Return by how much the page is wider than the window. [CSS pixel]"""
    return int(tab.page.evaluate("() => document.documentElement.scrollWidth - window.innerWidth"))


def test_a_customer_is_asked_the_roof_walked_and_the_answer_keeps_its_order(tab: Tab) -> None:
    page = tab.page
    load_prices(tab)
    assert "No verdict yet" in tab.text(".lc-word")
    turn_to(tab, WALK)
    page.get_by_title("Length of the coach: more").click()
    for _ in range(2):
        page.get_by_title("Roof vent: more").click()
    page.get_by_role("textbox", name="Front cap, not sprayed").fill("2.5")
    page.keyboard.press("Tab")
    page.locator(".lc-walk img").wait_for()
    page.get_by_text("Counted: 2 roof vents").wait_for()
    assert "7,5" not in page.locator(".lc-page").inner_text()
    turn_to(tab, ASK)
    page.get_by_label("a shop reseals, every year", exact=True).check()
    page.get_by_label("most likely").fill("10")
    page.get_by_label("How old is the roof").fill("14 months")
    page.keyboard.press("Enter")
    turn_to(tab, ANSWER)
    settled(tab)
    folds = [button.inner_text() for button in page.locator(".lc-answering .lc-fold > button").all()]
    assert folds[: len(FOLDED)] == [f"▸ {say(f'counter.folds.{name}')}" for name in FOLDED]
    assert page.locator(".lc-screen h3").inner_text() == say("counter.answer.price")
    page.get_by_text(say("counter.folds.price")).click()
    page.locator(".lc-counter .columns > div").first.wait_for()
    assert page.locator(".lc-counter .columns > div").count() == 2
    page.get_by_text(say("counter.folds.price")).click()
    page.locator(".lc-counter .columns").wait_for(state="hidden")


def test_the_answer_is_one_screen_of_a_tablet(tab: Tab) -> None:
    """At 1,024 x 768 nothing of the answer has to be scrolled to, and it is read in a minute or so."""
    page = tab.page
    page.set_viewport_size({"width": TABLET[0], "height": TABLET[1]})
    turn_to(tab, ANSWER)
    page.wait_for_timeout(300)
    lowest = page.evaluate(
        "() => Math.max(...[...document.querySelectorAll('.lc-answering .jupyter-widgets')]"
        ".filter(one => one.checkVisibility()).map(one => one.getBoundingClientRect().bottom))"
    )
    assert page.evaluate("() => window.scrollY") == 0 and 0 < lowest <= TABLET[1]
    shown = [word for word in page.locator("body").inner_text().split() if any(map(str.isalnum, word))]
    assert 100 < len(shown) <= MOST_WORDS
    page.set_viewport_size({"width": UPRIGHT[0], "height": UPRIGHT[1]})


def test_the_verdict_is_that_of_the_library(tab: Tab, tmp_path: Path) -> None:
    page = tab.page
    page.locator(".lc-fold > button", has_text=say("counter.folds.papers")).click()
    with page.expect_download() as found:
        page.get_by_text("Keep as a file").click()
    found.value.save_as(tmp_path / "kept.toml")
    scenario = files.load(tmp_path / "kept.toml")
    found = brief(scenario, until=last_year_needed(scenario))
    pieces = verdict_under(compare(found.scenario), found).pieces
    page.locator(".lc-fold > button", has_text=say("counter.folds.figures")).click()
    page.get_by_text("With the figures as stated").wait_for()
    shown = re.sub(r"\s+", " ", page.locator(".lc-page").inner_text())
    assert all(text in shown for _, text in pieces)
    page.locator(".lc-fold > button", has_text=say("counter.folds.figures")).click()
    page.locator(".lc-fold > button", has_text=say("counter.folds.papers")).click()


@pytest.mark.parametrize("size", WIDTHS, ids=lambda size: str(size[0]))
def test_nothing_is_cut_off_too_small_or_too_pale(tab: Tab, size: tuple[int, int], tmp_path: Path) -> None:
    page = tab.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    for step in (ASK, WALK, PRICE, ANSWER):
        turn_to(tab, step)
        page.wait_for_timeout(100)
        page.screenshot(path=tmp_path / f"counter-{size[0]}-{step}.png", full_page=True)
        assert overflow(tab) <= 0
        assert page.evaluate(SMALL) == []
        assert page.evaluate(CONTRAST) == []
    page.set_viewport_size({"width": UPRIGHT[0], "height": UPRIGHT[1]})


def test_no_fault_of_access(tab: Tab) -> None:
    """A wide screen shows questions, roof, price and answer at once."""
    tab.page.set_viewport_size({"width": WIDTHS[0][0], "height": WIDTHS[0][1]})
    assert not tab.faults_of_access()
    tab.page.set_viewport_size({"width": UPRIGHT[0], "height": UPRIGHT[1]})


def test_trouble_stops_and_a_new_customer_wipes(tab: Tab) -> None:
    page = tab.page
    turn_to(tab, ASK)
    page.get_by_label("looked, and saw one of these:").check()
    page.get_by_label("a soft spot").check()
    page.locator(".lc-word", has_text="Open it first.").wait_for()
    turn_to(tab, ANSWER)
    page.locator(".lc-answering.lc-shown").wait_for()
    shown = page.locator(".lc-page").inner_text()
    assert "Spraying over wet wood shuts the water in." in shown and "cheaper" not in shown
    assert not page.locator(".lc-counter .columns").count()
    page.get_by_role("button", name="New customer").click()
    page.get_by_role("button", name="No, keep it").click()
    assert "Open it first." in tab.text(".lc-word")
    page.get_by_role("button", name="New customer").click()
    page.get_by_role("button", name="Yes, wipe it").click()
    page.get_by_text("Wiped. A new customer.").wait_for()
    assert "No verdict yet" in tab.text(".lc-word")
    assert page.get_by_label("most likely").input_value() == ""
    turn_to(tab, PRICE)
    page.locator(".lc-pricing.lc-shown").wait_for()
    assert "by the sprayed foot" in page.locator(".lc-pricing").inner_text()


def test_a_reload_starts_empty_and_nothing_outside_is_asked_for(tab: Tab) -> None:
    page = tab.page
    page.reload()
    page.locator(".lc-word").wait_for()
    turn_to(tab, PRICE)
    page.locator(".lc-pricing.lc-shown").wait_for()
    shown: Any = page.locator(".lc-page").inner_text()
    assert "a reload starts empty" in shown and "by the sprayed foot" not in shown
    assert tab.outside == [] and tab.errors == []
