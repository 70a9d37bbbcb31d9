"""Panels: what a page is made of, and the only room that knows widgets.

Lecture
-------
What is entered (`state`) and what is worked out from it (`answering`) know nothing of widgets. A worker
takes the newest state and gives up an older one (`working`). Widgets only show and ask: fields from the
questions and from the field metadata (`fields`, `figure_fields`), pictures (`pictures`), the look of the
page (`style`), and one page for each reader (`owner`, `counter`, `doubt_page`, `analyst_page`).

Whatever goes wrong in a callback of a widget becomes a sentence on the page (`guard`); the last good
answer stays.

Left out: the server of the pages, and what stands in the notebooks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lifecycle.pages.panels.analyst_page import AnalystPage
    from lifecycle.pages.panels.counter import CounterPage
    from lifecycle.pages.panels.doubt_page import DoubtPage
    from lifecycle.pages.panels.owner import OwnerPage
    from lifecycle.scenario import Scenario

__all__ = ["analyst_page", "counter_page", "doubt_page", "given", "owner_page"]


def analyst_page() -> AnalystPage:
    """Return the analyst's page; it shows itself in a notebook."""
    from lifecycle import files
    from lifecycle.pages.panels.analyst_page import EXAMPLE, AnalystPage
    from lifecycle.pages.server import given_scenario
    from lifecycle.places import scenario_path

    given = given_scenario()
    if given:
        return AnalystPage(files.load(given))
    return AnalystPage(files.load(scenario_path(EXAMPLE)), EXAMPLE)


def counter_page() -> CounterPage:
    """Return the page for the counter; it shows itself in a notebook."""
    from lifecycle import files
    from lifecycle.pages.panels.counter import CounterPage
    from lifecycle.pages.server import given_scenario

    given = given_scenario()
    return CounterPage(files.load(given) if given else None)


def doubt_page() -> DoubtPage:
    """Return the page on doubt; it shows itself in a notebook."""
    from lifecycle import files
    from lifecycle.pages.panels.doubt_page import EXAMPLE, DoubtPage
    from lifecycle.pages.server import given_scenario
    from lifecycle.places import scenario_path

    given = given_scenario()
    if given:
        return DoubtPage(files.load(given))
    return DoubtPage(files.load(scenario_path(EXAMPLE)), EXAMPLE)


def given(name: str) -> Scenario:
    """Return the scenario that the page was opened with, else a shipped one."""
    from lifecycle import files
    from lifecycle.pages.server import given_scenario

    path = given_scenario()
    return files.load(path) if path else files.example(name)


def owner_page() -> OwnerPage:
    """Return the owner's page; it shows itself in a notebook."""
    from lifecycle import files
    from lifecycle.pages.panels.owner import OwnerPage
    from lifecycle.pages.server import given_scenario

    given = given_scenario()
    return OwnerPage(files.load(given) if given else None)
