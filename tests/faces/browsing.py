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
    """Start a browser, and end it after."""
    path = chromium_path()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=path, args=list(FLAGS))
        try:
            yield browser
        finally:
            browser.close()


class Tab:
    """One tab on a page: it may reach nothing but that page, and keeps what it asked for and what failed.

    Parameters
    ----------
    browser : playwright Browser
        From `chromium`.
    url : str
        Of the page.
    size : tuple of int
        Of the window. [CSS pixel]
    """

    def __init__(self, browser: Any, url: str, size: tuple[int, int] = WIDTHS[0]) -> None:
        self.outside: list[str] = []
        self.errors: list[str] = []
        self._host = urlsplit(url).netloc
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, accept_downloads=True)
        context.set_default_timeout(PATIENCE)
        context.route("**/*", self._routed)
        self.page = context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", self._said)
        self.page.goto(url)
        self.page.wait_for_selector(".lc-word")

    def close(self) -> None:
        """Close it."""
        self.page.context.close()

    def text(self, selector: str) -> str:
        """Return the text of the first that fits."""
        return str(self.page.locator(selector).first.inner_text())

    def settled(self) -> None:
        """Wait until verdict, chart and table are those of what is entered."""
        self.page.wait_for_timeout(150)
        self.page.wait_for_function(
            "() => document.querySelector('.lc-table table, .lc-table p')"
            " && !document.querySelector('.lc-page .lc-old')"
        )

    def _routed(self, route: Any) -> None:
        """Let through what goes to the page itself."""
        address = urlsplit(route.request.url)
        if address.netloc == self._host or address.scheme in ("data", "blob"):
            route.continue_()
        else:
            self.outside.append(route.request.url)
            route.abort()

    def _said(self, message: Any) -> None:
        """Keep errors of the page."""
        if message.type == "error":
            self.errors.append(message.text)
