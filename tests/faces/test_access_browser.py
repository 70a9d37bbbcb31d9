"""Every page is open to everybody: axe-core finds no fault of WCAG 2.2 A and AA, light and dark.

Source: W3C, Web Content Accessibility Guidelines 2.2; the rules are those of axe-core, which the package
axe-playwright-python carries (seen). What no program can judge (order, words, sense) is looked at by people.
"""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe

from lifecycle.places import scenario_path
from tests.faces.browsing import chromium
from tests.faces.serving import serving

LEVELS = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
READY = {
    "owner": ".lc-table table",
    "counter": ".lc-word",
    "doubt": ".lc-study img",
    "analyst": ".lc-study",
    "method": "#rendered_cells img",
}
"""What is there once a page is there."""


@pytest.mark.slow
@pytest.mark.parametrize("page", READY)
def test_no_fault_of_access_in_the_light_or_in_the_dark(page: str) -> None:
    scenario = scenario_path("two-quotes") if page in ("owner", "counter") else None
    with serving(page, scenario) as served, chromium() as browser:
        tab = browser.new_page()
        tab.goto(served.url)
        tab.wait_for_selector(READY[page], timeout=60_000)
        for scheme in ("light", "dark"):
            tab.emulate_media(color_scheme=scheme)
            found = Axe().run(tab, options=LEVELS).response
            assert found["passes"], "the rules were run"
            faults = [(one["id"], one["nodes"][0]["html"][:120]) for one in found["violations"]]
            assert not faults, (scheme, faults)
