"""Panels: what a page is made of, and the only room that knows widgets.

Lecture
-------
What is entered and what is worked out from it (`session`, `counter_customer`) know nothing of widgets. A
worker takes the newest state and gives up an older one (`worker`). Widgets only show and ask: markup, boxes
and pictures (`pieces`), what is folded away or done on demand (`folds`), fields from the questions and from
the field metadata (`fields`, `figure_fields`), the answer (`results`), and the pages of each reader (`owner`,
`counter`, `analyst`).

Left out: the server of the pages, and what stands in the notebooks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from os import PathLike

    from lifecycle.pages.panels.analyst import AnalystPage, DoubtPage
    from lifecycle.pages.panels.counter import CounterPage
    from lifecycle.pages.panels.owner import OwnerPage
    from lifecycle.scenario import Scenario

    Given = Scenario | str | PathLike[str] | None

__all__ = ["analyst_page", "counter_page", "doubt_page", "given", "owner_page"]


def analyst_page(scenario: Given = None) -> AnalystPage:
    """Return the analyst's page on a scenario or the file of one; it shows itself in a notebook."""
    from lifecycle.pages.panels.analyst import AnalystPage

    return AnalystPage(*_example(scenario))


def counter_page(scenario: Given = None) -> CounterPage:
    """Return the page for the counter, with a scenario or the file of one; it shows itself in a notebook."""
    from lifecycle.pages.panels.counter import CounterPage

    return CounterPage(_scenario(scenario))


def doubt_page(scenario: Given = None) -> DoubtPage:
    """Return the page on doubt, on a scenario or the file of one; it shows itself in a notebook."""
    from lifecycle.pages.panels.analyst import DoubtPage

    return DoubtPage(*_example(scenario))


def given(name: str) -> Scenario:
    """Return the scenario that the page was opened with, else a shipped one."""
    from lifecycle import files

    found = _scenario(None)
    return files.example(name) if found is None else found


def owner_page(scenario: Given = None) -> OwnerPage:
    """Return the owner's page, with a scenario or the file of one; it shows itself in a notebook."""
    from lifecycle.pages.panels.owner import OwnerPage

    return OwnerPage(_scenario(scenario))


def _example(scenario: Given) -> tuple[Scenario, str]:
    """Return the scenario of a page of analysts, else a shipped one, and its name in the list of those."""
    from lifecycle import files
    from lifecycle.pages.panels.analyst import EXAMPLE

    found = _scenario(scenario)
    return (files.example(EXAMPLE), EXAMPLE) if found is None else (found, "")


def _scenario(scenario: Given) -> Scenario | None:
    """Return the scenario that a cell gives, else the one that the page was opened with; None: neither."""
    from lifecycle import files
    from lifecycle.pages.server import given_scenario
    from lifecycle.scenario import Scenario

    if isinstance(scenario, Scenario):
        return scenario
    path = given_scenario() if scenario is None else scenario
    return None if path is None else files.load(path)
