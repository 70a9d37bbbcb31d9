"""What the pages of analysts share: which scenario it is about, a status line, and parts below each other.

Lecture
-------
A page is about one scenario at a time, a shipped one or a file. When another is chosen, everything that
stands there is made anew, and work under way is given up. An error says a sentence and leaves what stands
there.

Left out: what the parts are (`doubt`, `analyst`).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import groupby
from typing import Any

from lifecycle import files
from lifecycle.answers.blocks import Answer, Drawing
from lifecycle.language.sentences import say
from lifecycle.pages.panels.pieces import (
    Page,
    Tell,
    as_text,
    below,
    beside,
    dropdown,
    guarded,
    html,
    part,
    said,
    shown_chart,
    style_sheet,
    upload,
    watched,
)
from lifecycle.places import scenario_path, shipped_names
from lifecycle.scenario import Scenario
from lifecycle.writers.html import as_parts

OWN = ""
"""Stands in the list of scenarios for a file."""

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario with which a page opens."""


class StudyPage(Page):
    """A page about one scenario; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario
        With which it opens.
    name : str
        In the list of shipped ones; another stands for a file.
    not_running : str
        What stands in its place where nothing runs.
    """

    def __init__(self, scenario: Scenario, name: str, not_running: str) -> None:
        super().__init__("lc-page lc-study", not_running)
        self.scenario = scenario
        self.choice = ScenarioChoice(name, self._took, self.tell)
        self.head, self.parts = html(), below("")
        private = said(say("pages.private_anew"))
        self._lay_out(
            html(style_sheet("study")), private, self.choice.box, self.status, self.head, self.parts
        )

    def open(self, scenario: Scenario) -> None:
        """Show another scenario."""
        guarded(self._took, self.tell)(scenario)

    def _took(self, scenario: Scenario) -> None:
        """Take another scenario, if the page can be made for it."""
        before, self.scenario = self.scenario, scenario
        try:
            made = self._made()
        except Exception:
            self.scenario = before
            raise
        self.head.value = part("title", scenario.title)
        self.parts.children = made

    def _made(self) -> list[Any]:
        """Make all parts for the scenario."""
        raise NotImplementedError


class ScenarioChoice:
    """A list of scenarios and a button for a file; `took` takes the scenario that is chosen."""

    def __init__(self, name: str, took: Callable[[Scenario], object], tell: Tell) -> None:
        self._took, self._tell = took, tell
        names = [(one.replace("-", " "), one) for one in shipped_names()]
        self.shipped = dropdown(
            say("analyst.page.invented_coach"),
            [(say("asking.page.choose"), OWN), *names],
            value=name if name in shipped_names() else OWN,
        )
        watched(self.shipped, self._shipped, tell)
        self.file = upload(say("pages.load.scenario"), ".toml", self._loaded, tell)
        self.box = beside("lc-bar", self.shipped, self.file)

    def _shipped(self, name: str) -> None:
        """Take a shipped scenario."""
        if name != OWN:
            self._took(files.load(scenario_path(name)))
            self._tell("")

    def _loaded(self, name: str, content: bytes) -> None:
        """Take a file."""
        self._took(files.loads(as_text(content, name), name))
        self.shipped.value = OWN
        self._tell(say("pages.loaded", name=name))


def parts_of(answer: Answer) -> list[Any]:
    """Return an answer as widgets: its blocks, and each drawing as an image with its sentence."""
    widgets: list[Any] = []
    for is_drawing, group in groupby(answer.blocks, key=lambda block: isinstance(block, Drawing)):
        if is_drawing:
            widgets += [shown_chart(block.figure) for block in group if isinstance(block, Drawing)]
        else:
            widgets.append(html(as_parts(group)))
    return widgets


def stacked(*widgets: Any) -> Callable[[], list[Any]]:
    """Return what shows widgets below each other, as the result of work."""
    return lambda: [below("", *widgets)]
