"""The owner's page in a real browser: by mouse and by keyboard, at all widths, with nothing outside in reach.

Screenshots are kept as artefacts of the run, below the folder of pytest.
"""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import lifecycle
from lifecycle import files
from lifecycle.charts.owning import describe_savings_spread
from lifecycle.language.verdict import verdict_under
from lifecycle.places import scenario_path
from lifecycle.studies.assessment import brief
from lifecycle.studies.habits import habits
from lifecycle.studies.verdict import last_year_needed
from tests.faces.browsing import CONTRAST, SMALL, UNNAMED, WIDTHS, Tab, chromium
from tests.faces.serving import Page, serving


@pytest.fixture(scope="module")
def served() -> Iterator[Page]:
    """Serve the owner's page, empty."""
    with serving("owner") as page:
        yield page


@pytest.fixture(scope="module")
def browsing() -> Iterator[Any]:
    """Start one browser for all tests here."""
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def tab(served: Page, browsing: Any) -> Iterator[Tab]:
    """Open one tab that tests go on with."""
    tab = Tab(browsing, served.url)
    yield tab
    tab.close()


@pytest.fixture(scope="module")
def phone(served: Page, browsing: Any) -> Iterator[Tab]:
    """Open one tab on a telephone that tests go on with; at last it hears nothing more."""
    tab = Tab(browsing, served.url, WIDTHS[-1])
    yield tab
    tab.close()


@pytest.fixture(scope="module")
def keyed(served: Page, browsing: Any) -> Iterator[Tab]:
    """Open one tab for the keyboard alone; at last its kernel is gone."""
    tab = Tab(browsing, served.url)
    yield tab
    tab.close()


def answer(tab: Tab) -> None:
    """Answer what is needed, by mouse."""
    page = tab.page
    page.get_by_label("a shop reseals, every year", exact=True).first.check()
    for name, value in (("surely", "4"), ("most likely", "10"), ("at most", "15")):
        page.get_by_label(name).first.fill(value)
    page.get_by_label("The quote for spraying").first.fill("8130")
    page.get_by_label("How old is the roof").first.fill("14 months")
    page.keyboard.press("Enter")
    tab.settled()


def saved(tab: Tab, place: Path) -> Path:
    """Save what is entered, and return the file."""
    with tab.page.expect_download() as found:
        tab.page.get_by_text("Save as a file").click()
    found.value.save_as(place)
    return place


def load(tab: Tab, file: Path) -> None:
    """Load a file by the button."""
    with tab.page.expect_file_chooser() as chooser:
        tab.page.locator(".widget-upload").click()
    chooser.value.set_files(file)


def shown_table(tab: Tab) -> list[list[str]]:
    """Return the cells of the table of 20s."""
    rows = tab.page.locator(".lc-table tbody tr").all()
    return [[cell.inner_text().strip() for cell in row.locator("td").all()] for row in rows]


def agrees(tab: Tab, file: Path) -> None:
    """Check that verdict, chart and table are those of the library for a file."""
    scenario = lifecycle.load(file)
    found = brief(scenario, until=last_year_needed(scenario))
    comparison = lifecycle.compare(found.scenario)
    verdict = verdict_under(comparison, found)
    top, below = tab.text(".lc-panel"), tab.text(".lc-next") + tab.text(".lc-beside")
    for line in verdict.lines[: verdict.top]:
        assert line in top
    for line in (*verdict.lines[verdict.top :], *verdict.beside):
        assert line in below
    assert tab.page.locator(".lc-picture img").first.get_attribute("alt") == describe_savings_spread(found)
    table = habits(scenario)
    assert shown_table(tab) == [[str(number) for number in row.values()] for row in table.of_20.values()]


def test_it_opens_without_a_verdict_and_asks_nothing_outside(tab: Tab) -> None:
    assert tab.text(".lc-word") == "No verdict yet"
    assert "questions 1, 2, 3 and 4" in tab.text(".lc-panel")
    text = tab.text("body")
    assert "Nothing is sent" in text and "a reload starts empty" in text
    assert "An invented example" not in text


def test_seven_questions_by_mouse_and_the_library_agrees(tab: Tab, tmp_path: Path) -> None:
    answer(tab)
    assert tab.text(".lc-word") != "No verdict yet"
    agrees(tab, saved(tab, tmp_path / "mine.toml"))


def test_verdict_chart_and_table_change_together(tab: Tab, tmp_path: Path) -> None:
    def shown() -> tuple[Any, ...]:
        picture = tab.page.locator(".lc-picture img").first
        return tab.text(".lc-word"), picture.get_attribute("src"), shown_table(tab), tab.text(".lc-next")

    before, places = shown(), _places(tab)
    tab.page.get_by_label("What does a shop near you ask").first.fill("400")
    tab.page.keyboard.press("Enter")
    tab.settled()
    assert not any(one == other for one, other in zip(before, shown(), strict=True))
    assert "what a shop asks for resealing did it" in tab.text(".lc-turned")
    assert _places(tab) == places, "nothing jumps"
    agrees(tab, saved(tab, tmp_path / "mine.toml"))


def _places(tab: Tab) -> Any:
    """Return where questions, chart and table stand."""
    return tab.page.evaluate(
        "() => ['.lc-question', '.lc-picture', '.lc-table'].map("
        "one => Math.round(document.querySelector(one).getBoundingClientRect().top + window.scrollY))"
    )


def test_a_newer_change_counts_and_the_older_is_given_up(tab: Tab, tmp_path: Path) -> None:
    quote = tab.page.get_by_label("The quote for spraying").first
    for price in ("9000", "7000", "5000"):
        quote.fill(price)
        tab.page.keyboard.press("Enter")
    tab.settled()
    file = saved(tab, tmp_path / "mine.toml")
    assert lifecycle.load(file).answers["quote"] == 5000
    agrees(tab, file)


def test_a_wrong_value_is_explained_beside_its_field(tab: Tab) -> None:
    before = tab.text(".lc-panel")
    quote = tab.page.get_by_label("The quote for spraying").first
    quote.fill("a lot")
    tab.page.keyboard.press("Enter")
    tab.page.wait_for_selector(".lc-message span")
    assert '"a lot" is no answer' in tab.text(".lc-message span")
    assert tab.text(".lc-panel") == before
    quote.fill("8130")
    tab.page.keyboard.press("Enter")
    tab.settled()
    assert not tab.page.locator(".lc-message span").count()


def test_save_reload_and_load(tab: Tab, tmp_path: Path) -> None:
    file = saved(tab, tmp_path / "mine.toml")
    verdict = tab.text(".lc-said p >> nth=0")
    tab.page.reload()
    tab.page.wait_for_selector(".lc-word")
    assert tab.text(".lc-word") == "No verdict yet"
    bad = tmp_path / "bad.toml"
    bad.write_text("quote = ", encoding="utf-8")
    load(tab, bad)
    tab.page.wait_for_function(
        "() => document.querySelector('.lc-status').innerText.includes('That does not')"
    )
    load(tab, file)
    tab.settled()
    assert tab.text(".lc-said p >> nth=0") == verdict
    assert tab.page.get_by_label("most likely").first.input_value() == "10"


STALE = """async () => {
  const models = await Promise.all(Object.values(window.jupyterapp.widgetManager._models));
  models.find(one => String(one.get('value')).includes('id="verdict"')).set('value', 'nothing');
}"""
"""Lets the browser hold something else for the verdict than the program does."""


def test_what_came_while_the_page_was_drawn_is_sent_again(tab: Tab) -> None:
    """As if an answer had been lost on the way; what somebody begins to type meanwhile stays."""
    before = tab.text(".lc-panel")
    length = tab.page.get_by_label("How long is the coach").first
    length.focus()
    tab.page.keyboard.type("3")
    tab.page.evaluate(STALE)
    tab.page.wait_for_function("() => document.querySelector('.lc-sticky').innerText.trim() === 'nothing'")
    tab.page.evaluate("() => document.querySelector('button.lc-arrived').click()")
    tab.page.wait_for_selector(".lc-word")
    assert tab.text(".lc-panel") == before
    assert length.input_value() == "3"
    length.fill("")


def test_start_over_asks_first_and_can_be_undone(tab: Tab) -> None:
    before = tab.text(".lc-word")
    button = tab.page.get_by_role("button", name="Start over")
    button.click()
    tab.page.get_by_role("button", name="No, keep it").click()
    assert tab.text(".lc-word") == before
    button.click()
    tab.page.get_by_role("button", name="Yes, empty it").click()
    tab.page.wait_for_function("() => document.querySelector('.lc-word').innerText === 'No verdict yet'")
    tab.page.get_by_role("button", name="Undo").click()
    tab.settled()
    assert tab.text(".lc-word") == before


def test_the_first_verdict_is_covered_while_the_partner_answers(tab: Tab) -> None:
    turn = tab.page.get_by_role("button", name="The partner's turn")
    assert turn.get_attribute("aria-expanded") == "false"
    turn.click()
    tab.page.wait_for_selector(".lc-columns", state="hidden")
    assert turn.get_attribute("aria-expanded") == "true"
    assert "Covered while your partner answers" in tab.text(".lc-page")
    assert tab.page.locator(".lc-folds > .lc-fold:visible").count() == 1, "nothing else tells the verdict"
    turn.click()
    tab.page.wait_for_selector(".lc-columns", state="visible")


def test_the_keyboard_alone_suffices(keyed: Tab) -> None:
    tab, keys = keyed, keyed.page.keyboard

    def go_to(name: str) -> None:
        for _ in range(80):
            keys.press("Tab")
            if name in tab.page.evaluate(
                "() => [...(document.activeElement.labels || [])].map(one => one.innerText).join(' ')"
            ):
                return
        raise AssertionError(f"Tab does not lead to {name!r}")

    go_to("a shop reseals, every year")
    keys.press("Space")
    for name, typed in (
        ("most likely", "10"),
        ("The quote for spraying", "8130"),
        ("How old is the roof", "7 years"),
    ):
        go_to(name)
        keys.type(typed)
    keys.press("Enter")
    tab.settled()
    assert tab.text(".lc-word") != "No verdict yet" and "if you keep it 10 years" in tab.text(".lc-panel")
    go_to("nobody has looked")
    keys.press("ArrowDown")
    keys.press("ArrowDown")
    tab.page.get_by_label("a soft spot").first.wait_for()
    go_to("a soft spot")
    keys.press("Space")
    tab.page.wait_for_function(
        "() => document.querySelector('.lc-word').innerText.startsWith('Open it first')"
    )
    tab.settled()
    assert not tab.page.locator(".lc-table td").count()
    assert not tab.errors and not tab.outside


def test_a_doubtful_answer_is_asked_back_and_one_of_two_readings_is_refused(tab: Tab) -> None:
    quote = tab.page.get_by_label("The quote for spraying").first
    before = tab.text(".lc-panel")
    for typed, said in (("8.130", "can be read as 8,130 or as 8.13"), ("81", "very low")):
        quote.fill(typed)
        tab.page.keyboard.press("Enter")
        tab.page.wait_for_function(
            "said => document.querySelector('.lc-questions').innerText.includes(said)", arg=said
        )
    tab.settled()
    assert tab.text(".lc-panel") != before
    tab.page.get_by_role("button", name="Yes, it is so").click()
    tab.page.wait_for_selector(".lc-asked-back", state="detached")
    quote.fill("8k")
    tab.page.keyboard.press("Enter")
    tab.settled()
    assert "understood: 8,000 USD" in tab.text(".lc-questions")
    quote.fill("8130")
    tab.page.keyboard.press("Enter")
    tab.settled()


def test_other_ways_are_compared_when_asked_for(tab: Tab) -> None:
    button = tab.page.get_by_role("button", name=re.compile("^Compare . other ways too"))
    assert "not compared" in tab.text(".lc-beside")
    button.click()
    tab.settled()
    assert "not compared" not in tab.text(".lc-beside")
    tab.page.get_by_role("button", name="Leave the other ways aside again").click()
    tab.settled()
    assert button.count() == 1


def test_not_sure_stays_not_sure(served: Page, browsing: Any) -> None:
    """No habit and no price: no row is marked as theirs, and ways by years stand for the chart."""
    tab = Tab(browsing, served.url)
    page = tab.page
    page.locator(".lc-question").nth(0).get_by_label("not sure", exact=True).first.check()
    page.get_by_label("most likely").first.fill("10")
    page.locator(".lc-question").nth(2).get_by_label("not sure", exact=True).first.check()
    page.get_by_label("How old is the roof").first.fill("7 years")
    page.keyboard.press("Enter")
    tab.settled()
    assert page.locator(".lc-ways table tbody tr").count() > 3
    assert not page.locator(".lc-picture img").count() and not page.locator(".lc-answer tr.strong").count()
    assert "what you would do" not in tab.text(".lc-answer table")
    tab.close()


WHOLE = "a:text-is('See the whole answer')"
"""Leads to the answer, on a telephone."""


def _ragged(tab: Tab) -> float:
    """Return by how much one column of the wide page ends below the other. [CSS pixel]"""
    tab.page.set_viewport_size(dict(zip(("width", "height"), WIDTHS[0], strict=True)))
    ends = "() => ['.lc-first', '.lc-rest', '.lc-panel > :last-child', '.lc-said'].map(one =>"
    ends += " document.querySelector(one).getBoundingClientRect()).filter(one => one.height)"
    found = tab.page.evaluate(ends + ".map(one => [one.left, one.bottom])")
    columns = [max(low for left, low in found if (left > 500.0) is right) for right in (False, True)]
    return float(abs(columns[0] - columns[1]))


def test_a_telephone_shows_one_line_and_the_first_question(phone: Tab) -> None:
    places = [phone.page.locator(one).first.bounding_box() for one in (".lc-word", ".lc-question", ".lc-top")]
    word, first, bar = ((box or {"y": -1.0, "height": 0.0}) for box in places)
    assert 0.0 < word["y"] < first["y"] < 300.0 and word["height"] < 40.0
    assert bar["y"] > WIDTHS[-1][1], "buttons come after the questions"
    assert not phone.page.locator(WHOLE).count(), "there is none yet"


def test_no_column_is_empty_for_long_before_there_is_an_answer(phone: Tab) -> None:
    assert _ragged(phone) < 1500.0


def test_a_telephone_leads_to_the_whole_answer(phone: Tab) -> None:
    phone.page.set_viewport_size(dict(zip(("width", "height"), WIDTHS[-1], strict=True)))
    answer(phone)
    whole = phone.page.locator(WHOLE)
    whole.click()
    phone.page.wait_for_function("document.activeElement.id == 'answer'")
    head, rest = (phone.page.locator(one).bounding_box() for one in (".lc-sticky", "#answer"))
    assert head and rest and 0.0 <= head["y"] + head["height"] <= rest["y"] < WIDTHS[-1][1] / 2.0
    phone.page.set_viewport_size(dict(zip(("width", "height"), WIDTHS[0], strict=True)))
    assert not whole.is_visible(), "on a wide screen the answer stands beside the questions"


def test_no_column_is_empty_for_long_beside_an_answer(phone: Tab) -> None:
    assert _ragged(phone) < 1500.0


def test_an_answer_that_does_not_come_is_said_and_the_old_one_is_grey(phone: Tab) -> None:
    """Offline: the page asks the program, hears nothing, and says so within 3 seconds and a little."""
    word = "() => getComputedStyle(document.querySelector('.lc-panel .lc-word')).color"
    before = phone.page.evaluate(word)
    phone.page.context.set_offline(True)
    phone.page.evaluate("() => { window.jupyterapp.widgetManager.kernel._ws.send = () => {}; }")
    phone.page.get_by_role("button", name="The partner's turn").click()
    phone.page.wait_for_selector("body.lc-waiting", timeout=1500)
    phone.page.wait_for_selector("#connection:not([hidden])", timeout=4000)
    assert "No connection" in phone.text("#connection")
    ink = phone.page.evaluate("() => getComputedStyle(document.querySelector('.lc-question h3')).color")
    assert phone.page.evaluate(word) not in (before, ink)


def _heights(sheet: Any) -> list[float]:
    """Return how high above its foot each text of a sheet stands. [point]"""
    found: list[float] = []

    def note(text: str, all_of_it: Any, this: Any, *_: Any) -> None:
        if text.strip():
            found.append(all_of_it[1] * this[4] + all_of_it[3] * this[5] + all_of_it[5])

    sheet.extract_text(visitor_text=note)
    return found


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_paper_takes_two_sheets_the_first_full(tab: Tab, scheme: str, tmp_path: Path) -> None:
    from pypdf import PdfReader

    tab.page.emulate_media(color_scheme=scheme)
    for paper in ("Letter", "A4"):
        tab.page.pdf(path=tmp_path / "page.pdf", format=paper)
        sheets = PdfReader(tmp_path / "page.pdf").pages
        first, height = sheets[0].extract_text(), float(sheets[0].mediabox.height)
        assert len(sheets) == 2 and tab.text(".lc-word").split()[0] in first
        assert "dearer" in first and "Seven questions" in "".join(sheet.extract_text() for sheet in sheets)
        assert "8,130 USD" in sheets[1].extract_text() and "Start over" not in first
        assert min(_heights(sheets[0])) < 0.2 * height, "the first sheet is full"
    tab.page.emulate_media(color_scheme="light")


CUT = """() => ['p', 'button', 'h2', 'h3', 'label'].flatMap(
  kind => [...document.querySelectorAll('.lc-page ' + kind)]).filter(
  one => one.checkVisibility() && one.scrollWidth > one.clientWidth + 1).map(one => one.innerText)"""
"""Texts that do not fit their box."""


def test_at_200_percent_everything_stands_in_one_column_and_nothing_is_cut(tab: Tab) -> None:
    """WCAG 2.2, 1.4.4: at 200 % zoom a window of 1,400 px is one of 700."""
    tab.page.set_viewport_size({"width": WIDTHS[0][0] // 2, "height": WIDTHS[0][1] // 2})
    tab.page.wait_for_timeout(250)
    assert tab.page.evaluate("() => document.documentElement.scrollWidth") <= WIDTHS[0][0] // 2
    cut = tab.page.evaluate(CUT)
    assert not cut
    tab.page.set_viewport_size(dict(zip(("width", "height"), WIDTHS[0], strict=True)))


def test_every_width_holds_the_page(tab: Tab, tmp_path_factory: pytest.TempPathFactory) -> None:
    pictures = tmp_path_factory.mktemp("screenshots")
    tab.page.get_by_text("The case for, and the case against").click()
    tab.page.wait_for_selector(".lc-sides li")
    for width, height in WIDTHS:
        tab.page.set_viewport_size({"width": width, "height": height})
        tab.page.wait_for_timeout(250)
        assert tab.page.evaluate("() => document.documentElement.scrollWidth") <= width
        tab.page.screenshot(path=pictures / f"owner-{width}.png", full_page=True)
        assert not tab.page.evaluate(SMALL), width
        tab.page.evaluate("() => document.querySelector('.lc-question').scrollIntoView()")
        tab.page.wait_for_timeout(100)
        box = tab.page.locator(".lc-word").bounding_box()
        assert box and 0 <= box["y"] < height / 3, "the verdict stands beside the questions"
        tab.page.screenshot(path=pictures / f"owner-{width}-below.png")
        tab.page.evaluate("() => window.scrollTo(0, 0)")
    tab.page.set_viewport_size(dict(zip(("width", "height"), WIDTHS[0], strict=True)))
    assert len(list(pictures.iterdir())) == 2 * len(WIDTHS)


def test_it_can_be_read(tab: Tab) -> None:
    assert not tab.page.evaluate(CONTRAST)
    for picture in tab.page.locator(".lc-page img").all():
        assert len(picture.get_attribute("alt") or "") > 40
    assert not tab.page.evaluate(UNNAMED)
    assert not tab.page.locator("[title=null]:visible").count()


def test_no_expert_word_stands_on_the_page(tab: Tab) -> None:
    text = tab.text("body").casefold()
    words: dict[str, list[str]] = files.data("plain_words.toml")["words"]
    assert len(words) > 10
    found = [word for word in words if re.search(rf"\b{re.escape(word.casefold())}\b", text)]
    assert not [word for word in found if not any(plain.casefold() in text for plain in words[word])]


def test_no_fault_of_access(tab: Tab) -> None:
    """With a file that holds two quotes, all of its answer there."""
    load(tab, scenario_path("two-quotes"))
    tab.page.wait_for_function("() => document.body.innerText.includes('two-quotes')")
    tab.settled()
    assert not tab.faults_of_access()


def test_the_page_asked_for_nothing_outside_and_nothing_broke(tab: Tab) -> None:
    assert not tab.outside
    assert not tab.errors


def test_a_lost_kernel_is_said(served: Page, keyed: Tab) -> None:
    import psutil

    for child in psutil.Process(served.process.pid).children(recursive=True):
        if "ipykernel" in " ".join(child.cmdline()):
            child.send_signal(signal.SIGKILL)
    keyed.page.wait_for_function(
        "() => !document.querySelector('#connection').hidden", timeout=30_000, polling=200
    )
    assert re.search("ended|No connection", keyed.text("#connection"))
