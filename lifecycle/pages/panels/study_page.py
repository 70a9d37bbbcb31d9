"""What the pages of analysts share: which scenario it is about, a status line, and parts below each other.

Lecture
-------
A page is about one scenario at a time. When another is chosen, everything that stands there is made anew,
and work under way is given up. An error says a sentence and leaves what stands there.

Left out: what the parts are (`doubt_page`, `analyst_page`).
"""

from __future__ import annotations

from itertools import groupby
from typing import Any

import ipywidgets

from lifecycle.answers.blocks import Answer, Drawing
from lifecycle.pages.panels.arriving import arrival
from lifecycle.pages.panels.guard import guarded
from lifecycle.pages.panels.pictures import shown_chart
from lifecycle.pages.panels.scenario_choice import ScenarioChoice
from lifecycle.pages.panels.style import style_sheet
from lifecycle.pages.panels.words_on_page import paragraphs, part
from lifecycle.scenario import Scenario
from lifecycle.writers.html import as_parts

PRIVATE = (
    "This page runs on this computer only. Nothing is sent, and nothing is kept until you save it: a reload "
    "starts anew."
)


class StudyPage:
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
        self._not_running = not_running
        self.scenario = scenario
        self.status = ipywidgets.HTML()
        self.status.add_class("lc-status")
        self.say("")
        self.choice = ScenarioChoice(self._took, self.say)
        self.choice.show(name)
        self.head = ipywidgets.HTML()
        self.parts = ipywidgets.VBox()
        style = ipywidgets.HTML(style_sheet("study"))
        private = ipywidgets.HTML(paragraphs([PRIVATE]))
        self.box = ipywidgets.VBox([style, private, self.choice.box, self.status, self.head, self.parts])
        self.box.children = [*self.box.children, arrival(self.box)]
        for kind in ("lc-page", "lc-study"):
            self.box.add_class(kind)

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Show the page in a notebook; where none runs, a sentence."""
        shown = self.box._repr_mimebundle_(**options)
        data: dict[str, Any] = shown[0] if isinstance(shown, tuple) else shown
        return {**data, "text/plain": self._not_running}

    def say(self, text: str) -> None:
        """Show a sentence in the status line."""
        self.status.value = part("status", [text])

    def open(self, scenario: Scenario) -> None:
        """Show another scenario."""
        guarded(self._took, self.say)(scenario)

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


def parts_of(answer: Answer) -> list[Any]:
    """Return an answer as widgets: its blocks, and each drawing as an image with its sentence."""
    widgets: list[Any] = []
    for is_drawing, group in groupby(answer.blocks, key=lambda block: isinstance(block, Drawing)):
        if is_drawing:
            widgets += [shown_chart(block.figure) for block in group if isinstance(block, Drawing)]
        else:
            widgets.append(ipywidgets.HTML(as_parts(group)))
    return widgets


def said(*sentences: str) -> Any:
    """Return sentences."""
    return ipywidgets.HTML(paragraphs(sentences))


def title(text: str) -> Any:
    """Return the heading of a part."""
    return ipywidgets.HTML(part("title", text))


def below(*widgets: Any) -> Any:
    """Return widgets below each other."""
    return ipywidgets.VBox(list(widgets))
