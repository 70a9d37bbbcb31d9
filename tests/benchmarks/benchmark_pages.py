"""How long pages take from a change to its painted answer, in a real browser. Not timed in CI.

Run with:  python tests/benchmarks/benchmark_pages.py [owner counter analyst doubt method sliders]

Prints the machine; for each page how long it takes to open, to its first chart where it has one, else to
its first text from the kernel:

    ready     with the kernel that waits for a first tab, the median of three
    at once   with a kernel that has to start, as after a reload that comes within seconds

then, for each change, the median and the worst of twelve, in milliseconds, from the key or the choice to
the frame in which the part is painted:

    verdict   the word and its sentences         chart   the chart, decoded
    table     the table of 20s                   answer  all sections of the counter; the answer now
    turns     where each figure turns the answer (it follows the chart, as the table does)

`sliders` are those of a notebook in JupyterLab, moved by an arrow key. All
but these with doubt on, 1,024 draws. Each change is a new value, so nothing that is kept from an earlier
one makes it faster than it would be for a person.
"""

from __future__ import annotations

import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import nbformat

from lifecycle.interview import scenario_text
from lifecycle.pages.panels.sliders import CHARTS, MOVED
from lifecycle.places import scenario_path, shipped_names
from tests.faces.browsing import chromium
from tests.faces.refresh_notebooks import METADATA
from tests.faces.serving import serving
from tests.faces.test_lab_browser import READY, run_all

TIMES, OPENED = 12, 3
WARM, SOON = 25.0, 1.0
"""Time from one opening to the next: until the next kernel is ready, and before it is. [s]"""

TARGETS = {
    **{"verdict": 100.0, "chart": 100.0, "answer": 400.0, "table": 300.0, "opens": 1500.0},
    **{"break_even": 300.0, "swings": 300.0},
}
"""In the median, on two quiet cores. [ms]"""

AFTER_YEARS = 150.0
"""Target for the verdict and its chart after an age, or the years kept: every way is worked out anew. [ms]"""

ANSWERS: dict[str, Any] = {
    "otherwise": "shop_every_year",
    "keep": {"low": 4, "likely": 10, "high": 15},
    "quote": 8130,
    "roof_age": 14,
    "length": 26,
    "place": "Houston",
    "trouble": [],
}

WATCH = """parts => {
  const now = () => performance.now();
  const seen = window.seen = { start: 0 };
  const put = name => { seen[name] = seen[name] || now(); };
  const painted = name => requestAnimationFrame(() => setTimeout(() => put(name)));
  const begin = () => { seen.start = now(); for (const name in parts) { seen[name] = 0; look(name); } };
  const state = {};
  function look(name) { state[name] = is[parts[name].by](parts[name]); }
  const is = {
    mark: part => [...document.querySelectorAll(part.of)].map(one => one.classList.contains('lc-old')).join(),
    text: part => [...document.querySelectorAll(part.of)].map(one => one.innerText).join(),
    image: part => (document.querySelector(part.of + ' img') || {}).src,
  };
  const was = {};
  const keys = ['Enter', 'ArrowRight'];
  document.addEventListener('keydown', event => { if (keys.includes(event.key)) { begin(); } }, true);
  document.addEventListener('change', event => { if (event.target.tagName === 'SELECT') { begin(); } }, true);
  new MutationObserver(() => {
    for (const [name, part] of Object.entries(parts)) {
      const found = is[part.by](part);
      if (part.by === 'mark') {
        if (seen.start && was[name] && found !== was[name] && !found.includes('true')) { painted(name); }
      } else if (seen.start && found && found !== state[name]) { painted(name); }
      was[name] = found;
    }
  }).observe(document.body, { attributes: true, childList: true, subtree: true, characterData: true });
}"""
"""Notes when a part is painted anew: what was marked as old is not, or its text or image is another."""


@dataclass(frozen=True)
class Change:
    """One change of a page, made again and again.

    Parameters
    ----------
    name : str
        What is changed.
    make : callable
        Takes the page and the number of the time.
    parts : dict of str to (str, str)
        What is watched: how ("mark", "text", "image"), and the selector.
    """

    name: str
    make: Callable[[Any, int], object]
    parts: dict[str, tuple[str, str]]


def typed(label: str, value: Callable[[int], str]) -> Callable[[Any, int], None]:
    """Return what types a value into a field and presses Enter; a folded question is opened first."""

    def make(page: Any, number: int) -> None:
        field, folded = page.get_by_label(label).first, page.locator(".lc-folded:visible")
        while not field.is_visible() and folded.count():
            folded.first.click()
        field.fill(value(number))
        page.keyboard.press("Enter")

    return make


OWNER = {"verdict": ("mark", ".lc-sticky"), "chart": ("mark", ".lc-chart"), "table": ("mark", ".lc-table")}
COUNTER = {"verdict": ("mark", ".lc-sticky"), "answer": ("mark", ".lc-answering .lc-screen > *")}
CHANGES: dict[str, list[Change]] = {
    "owner": [
        Change("the quote", typed("The quote for spraying", lambda n: f"{8000 + 37 * n}"), OWNER),
        Change("price of a reseal", typed("What does a shop near you", lambda n: f"{900 + 11 * n}"), OWNER),
        Change("years kept", typed("most likely", lambda n: f"{6 + n % 6}"), OWNER),
        Change("age of the roof", typed("How old is the roof", lambda n: f"{20 + n} months"), OWNER),
    ],
    "counter": [
        Change("years kept", typed("most likely", lambda n: f"{6 + n % 6}"), COUNTER),
        Change("price of a reseal", typed("What does a shop near you", lambda n: f"{900 + 11 * n}"), COUNTER),
    ],
    "analyst": [
        Change(
            "a figure",
            typed("likely", lambda n: f"{0.031 + 0.001 * n:.3f}"),
            {"answer": ("text", ".lc-page p")},
        )
    ],
    "doubt": [
        Change(
            "another coach",
            lambda page, n: page.get_by_label("An invented coach").select_option(index=1 + n % OTHERS),
            {"chart": ("image", ".lc-study .lc-picture")},
        )
    ],
    "method": [],
}
OTHERS = len(shipped_names())

SLIDERS = "sliders"
SHOWN = """import lifecycle
scenario = lifecycle.change(lifecycle.example("humid-coast-motorhome"), quote=5000, years=6)
lifecycle.sliders(scenario, "{chart}")"""
"""Sliders of a notebook, and its cell."""


def main() -> None:
    """Print every measurement."""
    load, cores = os.getloadavg()[0], os.cpu_count()
    print(f"{platform.machine()}, {cores} cores, load {load:.1f} before, Python {platform.python_version()}")
    with chromium() as browser, tempfile.TemporaryDirectory() as folder:
        mine = Path(folder) / "mine.toml"
        mine.write_text(scenario_text(ANSWERS, base_date=date(2027, 4, 1)), encoding="utf-8")
        given = {"owner": mine, "counter": mine, "analyst": scenario_path("humid-coast-motorhome")}
        for name in sys.argv[1:] or [*CHANGES, SLIDERS]:
            if name == SLIDERS:
                _sliders(browser, Path(folder))
                continue
            with serving(name, given.get(name)) as served:
                _measure(browser, name, served.url)
    print(f"load {os.getloadavg()[0]:.1f} after")


def _measure(browser: Any, name: str, url: str) -> None:
    """Open a page some times, then make its changes."""
    ready, soon = [], []
    for _ in range(OPENED):
        time.sleep(WARM)
        ready.append(_opened(browser, name, url)[0])
        time.sleep(SOON)
        soon.append(_opened(browser, name, url)[0])
    _line(name, "opens", "ready", ready)
    _line(name, "opens", "at once", soon)
    if not CHANGES[name]:
        return
    time.sleep(WARM)
    _, page = _opened(browser, name, url, keep=True)
    page.wait_for_timeout(15_000.0)
    _begin(name, page)
    _change(name, page, CHANGES[name])
    page.context.close()


def _sliders(browser: Any, folder: Path) -> None:
    """Move the sliders of a notebook in JupyterLab."""
    for chart in CHARTS:
        cell = nbformat.v4.new_code_cell(SHOWN.format(chart=chart))
        notebook = nbformat.v4.new_notebook(cells=[cell], metadata=METADATA)
        nbformat.write(notebook, folder / f"{chart}.ipynb")
    with serving("owner", options=["--lab"], folder=folder) as lab:
        for chart in CHARTS:
            page = browser.new_context(viewport={"width": 1400, "height": 1000}).new_page()
            page.set_default_timeout(60_000.0)
            page.goto(lab.url.replace("owner.ipynb", f"{chart}.ipynb") + "&reset")
            page.wait_for_selector(READY)
            run_all(page)
            page.wait_for_selector(".lc-picture img")
            parts = {chart: ("image", ".lc-picture")}
            _change(SLIDERS, page, [Change(name, _moved(place), parts) for place, name in enumerate(MOVED)])
            page.context.close()


def _moved(place: int) -> Callable[[Any, int], None]:
    """Return what moves a slider one step to the right, by its place."""
    return lambda page, _: page.locator(".noUi-handle:visible").nth(place).press("ArrowRight")


def _change(name: str, page: Any, changes: Sequence[Change]) -> None:
    """Make changes again and again, and print how long each takes."""
    for change in changes:
        page.evaluate(WATCH, {part: {"by": by, "of": of} for part, (by, of) in change.parts.items()})
        found: dict[str, list[float]] = {part: [] for part in change.parts}
        for number in range(TIMES):
            change.make(page, number)
            page.wait_for_function("() => Object.values(seen).every(Boolean)")
            seen = page.evaluate("() => seen")
            for part, times in found.items():
                times.append(seen[part] - seen["start"])
            page.wait_for_timeout(1_500.0)
        for part, times in found.items():
            _line(name, change.name, part, times)


def _opened(browser: Any, name: str, url: str, *, keep: bool = False) -> tuple[float, Any]:
    """Open a tab; return the time to its first chart, or to its first word. [ms]"""
    first = ".lc-word" if name == "counter" else ".lc-page p" if name == "analyst" else "img"
    page = browser.new_context(viewport={"width": 1400, "height": 1000}).new_page()
    page.set_default_timeout(60_000.0)
    start = time.perf_counter()
    page.goto(url, wait_until="commit")
    page.wait_for_selector(first)
    taken = 1000.0 * (time.perf_counter() - start)
    if not keep:
        page.context.close()
    return taken, page


def _begin(name: str, page: Any) -> None:
    """Bring a page to where its changes are made."""
    if name == "analyst":
        page.get_by_role("button", name="Change figures").click()
        page.get_by_label("likely").first.wait_for()


def _line(page: str, change: str, part: str, times: list[float]) -> None:
    """Print one line."""
    middle, target = statistics.median(times), TARGETS.get(part, TARGETS.get(change, 0.0))
    if part in ("verdict", "chart") and change in ("years kept", "age of the roof"):
        target = AFTER_YEARS
    met = f" (target {target:.0f}: {'met' if middle <= target else 'missed'})" if target else ""
    print(
        f"{page:<8} {change:<18} {part:<8} median {middle:6.0f} ms, worst {max(times):6.0f} ms{met}",
        flush=True,
    )


if __name__ == "__main__":
    main()
