"""How long a page takes from a change to its painted verdict and chart, in a real browser. Not timed in CI.

Run with:  python tests/benchmarks/benchmark_pages.py

Prints the machine, then for each change the median and the worst of twelve, in milliseconds:

    verdict   from Enter to the frame in which the word and its sentences are painted
    chart     the same for the chart, decoded
    table     the same for the table of 20s

and for a page that opens with a scenario the time to its first chart. All with doubt on, 1,024 draws.
Each change is a new value, so nothing that is kept from an earlier one makes it faster.
"""

from __future__ import annotations

import os
import platform
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from lifecycle.interview import scenario_text
from tests.faces.browsing import Tab, chromium
from tests.faces.serving import serving

TIMES = 12
TARGETS = {"verdict": 400.0, "chart": 400.0, "table": 2500.0, "first chart": 2500.0}
"""In the median, on two quiet cores. [ms]"""

ANSWERS: dict[str, Any] = {
    "otherwise": "shop_every_year",
    "keep": {"low": 4, "likely": 10, "high": 15},
    "quote": 8130,
    "roof_age": 14,
    "length": 26,
    "place": "Houston",
    "trouble": [],
}

CHANGES = {
    "the quote": ("The quote for spraying", lambda n: f"{8000 + 37 * n}"),
    "price of a reseal": ("What does a shop near you ask", lambda n: f"{900 + 11 * n}"),
    "years kept": ("most likely", lambda n: f"{6 + n % 6}"),
    "age of the roof": ("How old is the roof", lambda n: f"{20 + n} months"),
}

WATCH = """() => {
  const now = () => performance.now();
  const seen = window.seen = { start: 0, verdict: 0, chart: 0, table: 0 };
  const parts = { verdict: '.lc-sticky', chart: '.lc-chart', table: '.lc-table' };
  const was = {};
  document.addEventListener('keydown', event => {
    if (event.key === 'Enter') { Object.assign(seen, { start: now(), verdict: 0, chart: 0, table: 0 }); }
  }, true);
  for (const [name, selector] of Object.entries(parts)) {
    const box = document.querySelector(selector);
    new MutationObserver(() => {
      const old = box.classList.contains('lc-old');
      if (was[name] && !old && !seen[name]) {
        requestAnimationFrame(() => setTimeout(() => { seen[name] = seen[name] || now(); }));
      }
      was[name] = old;
    }).observe(box, { attributes: true });
  }
}"""
"""Notes when what was marked as old is painted anew: the frame after the mark is gone."""


def main() -> None:
    """Print every measurement."""
    load = os.getloadavg()[0]
    cores = os.cpu_count()
    print(f"{platform.machine()}, {cores} cores, load {load:.1f} before, Python {platform.python_version()}")
    with chromium() as browser, tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "mine.toml"
        from datetime import date

        file.write_text(scenario_text(ANSWERS, base_date=date(2027, 4, 1)), encoding="utf-8")
        with serving("owner", file) as page:
            time.sleep(6.0)  # the kernel that waits for a first tab is ready by then
            first = []
            for _ in range(3):
                start = time.perf_counter()
                tab = Tab(browser, page.url)
                tab.page.wait_for_selector(".lc-picture img")
                first.append(1000.0 * (time.perf_counter() - start))
                tab.settled()
                tab.close()
                time.sleep(4.0)
            _line("page opens", "first chart", first)
            tab = Tab(browser, page.url)
            tab.settled()
            tab.page.evaluate(WATCH)
            for name, (label, value) in CHANGES.items():
                _measure(tab, name, label, value)
            tab.close()
    print(f"load {os.getloadavg()[0]:.1f} after")


def _measure(tab: Tab, name: str, label: str, value: Any) -> None:
    """Make a change twelve times, each time another one."""
    found: dict[str, list[float]] = {"verdict": [], "chart": [], "table": []}
    for number in range(TIMES):
        tab.page.get_by_label(label).first.fill(value(number))
        tab.page.keyboard.press("Enter")
        tab.page.wait_for_function("() => seen.verdict && seen.chart && seen.table")
        seen = tab.page.evaluate("() => seen")
        for part, times in found.items():
            times.append(seen[part] - seen["start"])
        tab.settled()
    for part, times in found.items():
        _line(name, part, times)


def _line(change: str, part: str, times: list[float]) -> None:
    """Print one line."""
    middle, target = statistics.median(times), TARGETS[part]
    met = "met" if middle <= target else "missed"
    print(
        f"{change:<20} {part:<12} median {middle:6.0f} ms, worst {max(times):6.0f} ms "
        f"(target {target:.0f}: {met})"
    )


if __name__ == "__main__":
    main()
