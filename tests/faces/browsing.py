"""A real browser for tests of pages: Debian's Chromium, driven by playwright, nothing outside in reach."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from typing import Any
from urllib.parse import urlsplit

import pytest

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
WIDTHS = ((1400, 1000), (1024, 768), (820, 1180), (390, 844))
"""Wide screen, laptop, upright tablet, phone. [CSS pixel]"""

PATIENCE = 60_000.0
"""How long something may take to be there on a busy computer. [ms]"""

NOWHERE = {"server": "http://127.0.0.1:1", "bypass": "127.0.0.1"}
"""A way out that leads nowhere: all addresses but those of this computer go by it."""

TOUCH = 44.0
"""Least height of what is touched. [CSS pixel]"""

CONTRAST = """() => {
  const part = c => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
  const light = c => 0.2126 * part(c[0]) + 0.7152 * part(c[1]) + 0.0722 * part(c[2]);
  const rgb = text => text.match(/[0-9.]+/g).map(Number);
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const box = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || !box.checkVisibility()
        || ['STYLE', 'SCRIPT', 'OPTION'].includes(box.tagName) || box.disabled
        || box.closest('label')?.querySelector(':disabled')) { continue; }
    let ground = [255, 255, 255];
    for (let one = box; one; one = one.parentElement) {
      const colour = rgb(getComputedStyle(one).backgroundColor);
      if (colour.length < 4 || colour[3] === 1) { ground = colour; break; }
    }
    const both = [light(rgb(getComputedStyle(box).color)), light(ground)].sort((a, b) => b - a);
    const ratio = (both[0] + 0.05) / (both[1] + 0.05);
    if (ratio < 4.5) { found.push(ratio.toFixed(2) + ' ' + walk.currentNode.textContent.slice(0, 40)); }
  }
  return found;
}"""

SMALL = f"""() => [...document.querySelectorAll(
  '.lc-page button, .lc-page a, .lc-page input[type=text], .lc-page select, .lc-page label')]
  .filter(one => one.checkVisibility() && (one.tagName !== 'LABEL' || one.querySelector('input')))
  .filter(one => one.getBoundingClientRect().height < {TOUCH} - 0.5)
  .map(one => one.tagName + ' ' + one.innerText + ' ' + one.getBoundingClientRect().height)"""
"""Texts too pale, as ratio and beginning; what is touched and too low. Empty where all is well."""

LEVELS = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
"""W3C, Web Content Accessibility Guidelines 2.2, A and AA, by the rules of axe-core, which the package
axe-playwright-python carries (seen). What no program can judge (order, words, sense) people look at."""

UNNAMED = """() => [...document.querySelectorAll('.lc-page input, .lc-page select')].filter(one =>
  one.checkVisibility() && !one.labels?.length && !one.title).length"""
"""Number of fields that nobody could call by a name."""


def chromium_path() -> str:
    """Return where Chromium is; skip where there is none, which is a failure on CI."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    missing = [] if found else ["chromium"]
    missing += [] if find_spec("playwright") else ["playwright (it comes with lifecycle[tests])"]
    if missing:
        reason = f"no browser here: {', '.join(missing)} not found"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    assert found
    return found


@contextmanager
def chromium() -> Iterator[Any]:
    """Start a browser that reaches nothing but this computer, and end it after."""
    path = chromium_path()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=path, args=list(FLAGS), proxy=NOWHERE)
        try:
            yield browser
        finally:
            browser.close()


def faults_of_access(page: Any) -> list[tuple[str, str]]:
    """Return what axe-core finds wrong on a page as it stands: the rule, and the first element."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options=LEVELS).response
    assert found["passes"], "the rules were run"
    return [(one["id"], one["nodes"][0]["html"][:120]) for one in found["violations"]]


class Tab:
    """One tab on a page: it keeps what was asked for outside that page, and what failed.

    Parameters
    ----------
    browser : playwright Browser
        From `chromium`.
    url : str
        Of the page.
    size : tuple of int
        Of the window. [CSS pixel]
    there : str
        What is on the page once it is there.
    """

    def __init__(
        self, browser: Any, url: str, size: tuple[int, int] = WIDTHS[0], there: str = ".lc-word"
    ) -> None:
        self.outside: list[str] = []
        self.errors: list[str] = []
        self._host = urlsplit(url).netloc
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, accept_downloads=True)
        context.set_default_timeout(PATIENCE)
        self.page = context.new_page()
        self.page.on("request", self._asked)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", self._said)
        self.page.goto(url)
        self.page.wait_for_selector(there)

    def close(self) -> None:
        """Close it."""
        self.page.context.close()

    def text(self, selector: str) -> str:
        """Return the text of the first that fits."""
        return str(self.page.locator(selector).first.inner_text())

    def settled(self) -> None:
        """Wait until verdict, chart and table are those of what is entered."""
        for _ in range(2):  # what was just sent is waited for, and then what came of it
            self.page.wait_for_timeout(350)
            self.page.wait_for_function(
                "() => document.querySelector('.lc-table table, .lc-table p')"
                " && !document.querySelector('.lc-waiting, .lc-page .lc-old')"
            )

    def faults_of_access(self) -> list[tuple[str, str]]:
        """Return what axe-core finds wrong on the page, in the light and in the dark."""
        faults = []
        for scheme in ("dark", "light"):
            self.page.emulate_media(color_scheme=scheme)
            faults += faults_of_access(self.page)
        return faults

    def _asked(self, request: Any) -> None:
        """Keep what is asked for anywhere but at the page."""
        address = urlsplit(request.url)
        if address.netloc != self._host and address.scheme not in ("data", "blob"):
            self.outside.append(request.url)

    def _said(self, message: Any) -> None:
        """Keep errors of the page."""
        if message.type == "error":
            self.errors.append(message.text)
