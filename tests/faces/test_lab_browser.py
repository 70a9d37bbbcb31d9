"""A notebook in a real JupyterLab and browser: run from top to bottom, one cell changed, the chart changes.

What came of it is read from the file that the browser saved: a notebook draws only the cells in sight.
JupyterLab drops what it is told to run before its kernel is connected, so nothing is typed before the kernel
is idle.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import nbformat
import pytest

import lifecycle
from lifecycle.charts.owning import describe_break_even
from lifecycle.places import notebook_paths
from lifecycle.scenario import at_likely
from tests.faces.browsing import Tab, chromium
from tests.faces.serving import Page, serving

pytestmark = pytest.mark.slow

LONGEST = 120.0
"""Time that a whole notebook may take on a busy computer. [s]"""

READY = 'body:has([title^="Change kernel"]:has-text("| Idle")) .jp-Notebook .jp-CodeCell .cm-content'
"""A cell to write in, once a kernel waits for it."""

SHORT = "sliders.ipynb"
"""A notebook of the cells that show sliders, and no other."""

FIRST = next(path for path in notebook_paths() if path.stem == "first-steps")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of somebody's own, with the first notebook, not run yet, and a part of it."""
    place = tmp_path_factory.mktemp("mine")
    whole = nbformat.read(FIRST, 4)
    for cell in whole.cells:
        if cell.cell_type == "code":
            cell.execution_count, cell.outputs = None, []
    nbformat.write(whole, place / FIRST.name)
    whole.cells = [cell for cell in whole.cells if cell.id in ("parameters", "sliders")]
    nbformat.write(whole, place / SHORT)
    return place


@pytest.fixture(scope="module")
def lab(folder: Path) -> Iterator[Page]:
    """Serve the folder in JupyterLab, as the command does."""
    with serving("owner", options=["--lab"], folder=folder) as page:
        yield page


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def short(browser: Any, lab: Page) -> Iterator[Tab]:
    """Open the notebook of sliders, for all who try them."""
    tab = opened(browser, lab, SHORT)
    yield tab
    tab.close()


def opened(browser: Any, lab: Page, name: str) -> Tab:
    """Open a notebook of the folder in a tab of its own, and none that was open before."""
    address = lab.url.replace("owner.ipynb", name) + "&reset"
    return Tab(browser, address, there=READY)


def write(tab: Tab, source: str) -> None:
    """Write the first cell anew, as somebody types it."""
    tab.page.locator(".jp-Notebook .jp-CodeCell .cm-content").first.click()
    tab.page.keyboard.press("Control+a")
    tab.page.keyboard.insert_text(source)


def run_all(page: Any) -> None:
    """Run all cells from the menu."""
    page.get_by_role("menuitem", name="Run", exact=True).first.click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).first.click()


def saved(tab: Tab, file: Path) -> dict[str, dict[str, Any]]:
    """Return all cells by name, as the browser saved them when the last one had run."""
    until, counts = time.monotonic() + LONGEST, list[int]()
    while time.monotonic() < until:
        tab.page.wait_for_timeout(500)
        tab.page.keyboard.press("Control+s")
        tab.page.wait_for_timeout(500)
        with suppress(json.JSONDecodeError):  # it may just be written
            cells = {cell["id"]: cell for cell in json.loads(file.read_text(encoding="utf-8"))["cells"]}
            counts = [cell["execution_count"] or 0 for cell in cells.values() if cell["cell_type"] == "code"]
            if all(counts):
                assert counts == sorted(counts)
                return cells
    dialogs = tab.page.locator(".jp-Dialog").all_inner_texts()
    raise AssertionError(f"not all cells ran within {LONGEST:g} s: {counts}; JupyterLab asks: {dialogs}")


def test_one_cell_changed_and_the_chart_changes(browser: Any, lab: Page, folder: Path) -> None:
    """The sentence of the chart is that of the library for the new quote, and the picture is another."""
    tab = opened(browser, lab, FIRST.name)
    stored = {cell.id: cell for cell in nbformat.read(FIRST, 4).cells}
    source = stored["parameters"].source
    assert "quote, years, reseal_price = 8500" in source
    write(tab, source.replace("8500", "5500"))
    run_all(tab.page)
    cells = saved(tab, folder / FIRST.name)
    shown = [one for cell in cells.values() for one in cell.get("outputs", ())]
    assert shown and not [one for one in shown if one["output_type"] == "error"]
    (chart,) = cells["break_even"]["outputs"]
    before = stored["break_even"].outputs[0]
    assert chart["data"]["image/png"] != before["data"]["image/png"]
    scenario = lifecycle.change(lifecycle.example("humid-coast-motorhome"), quote=5500)
    doubt = lifecycle.doubt(scenario, draws=256)
    said = "".join(chart["data"]["text/plain"])
    assert said == describe_break_even(lifecycle.compare(scenario), doubt)
    assert said != "".join(before["data"]["text/plain"])
    assert lifecycle.load(folder / "lower-quote.toml").inputs["figures.coating_quote"].likely == 6500
    assert tab.outside == []
    tab.close()


def test_a_mistake_in_the_first_cell_is_one_sentence_that_names_it(short: Tab) -> None:
    write(short, nbformat.read(FIRST, 4).cells[1].source.replace("8500", "-8500"))
    short.page.keyboard.press("Shift+Enter")
    error = short.page.locator(
        ".jp-RenderedText[data-mime-type*=error], .jp-RenderedText[data-mime-type*=stderr]"
    )
    error.first.wait_for(timeout=1000.0 * LONGEST)
    said = error.first.inner_text()
    assert said.startswith("quote must be a number from 0 to 10,000,000") and "Traceback" not in said
    assert len(said.strip().splitlines()) == 1


def test_a_slider_moves_by_keyboard_and_the_chart_follows(short: Tab) -> None:
    """What stands above the chart is what the library says of the figures to which the slider went."""
    write(short, nbformat.read(FIRST, 4).cells[1].source)
    run_all(short.page)
    handle, picture = (
        short.page.locator(".noUi-handle:visible"),
        short.page.locator(".lc-picture img:visible"),
    )
    handle.first.wait_for(timeout=1000.0 * LONGEST)
    picture.wait_for(timeout=1000.0 * LONGEST)
    before = picture.get_attribute("alt")
    handle.first.focus()
    short.page.keyboard.press("ArrowRight")
    until = time.monotonic() + LONGEST
    while picture.get_attribute("alt") == before and time.monotonic() < until:
        short.page.wait_for_timeout(100)
    quote = float(handle.first.get_attribute("aria-valuenow") or "nan")
    assert quote > 8500.0
    likely = at_likely(lifecycle.example("humid-coast-motorhome"))
    said = describe_break_even(lifecycle.compare(lifecycle.change(likely, quote=quote)))
    assert picture.get_attribute("alt") == said
