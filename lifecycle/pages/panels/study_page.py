"""What the pages of analysts share: which scenario it is about, a status line, and parts below each other.

Lecture
-------
A page is about one scenario at a time. When another is chosen, everything that stands there is made anew,
and work under way is given up. An error says a sentence and leaves what stands there.

Left out: what the parts are (`doubt_page`, `analyst_page`).
"""

from __future__ import annotations

from html import escape
from itertools import groupby
from typing import Any

import ipywidgets

from lifecycle.answers.blocks import Answer, Drawing
from lifecycle.language.lines import WIDTH
from lifecycle.pages.panels.arriving import arrival
from lifecycle.pages.panels.guard import guarded
from lifecycle.pages.panels.pictures import picture_widget, put
from lifecycle.pages.panels.scenario_choice import ScenarioChoice
from lifecycle.pages.panels.style import style_sheet
from lifecycle.pages.panels.words_on_page import STROKE, items, paragraphs
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
        self.status.value = f'<div role="status" aria-live="polite">{paragraphs([text])}</div>'

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
        self.head.value = f"<h2>{escape(scenario.title)}</h2>"
        self.parts.children = made

    def _made(self) -> list[Any]:
        """Make all parts for the scenario."""
        raise NotImplementedError


def as_laid_out(text: str) -> str:
    """Return laid out text as HTML, letters of one width.

    Examples
    --------
    >>> as_laid_out("a  < b")
    '<pre tabindex="0">a  &lt; b</pre>'
    """
    return f'<pre tabindex="0">{escape(text)}</pre>'


def parts_of(answer: Answer) -> list[Any]:
    """Return an answer as widgets: its blocks, and each drawing as an image with its sentence."""
    widgets: list[Any] = []
    for is_drawing, group in groupby(answer.blocks, key=lambda block: isinstance(block, Drawing)):
        if is_drawing:
            widgets += [drawn(block.figure) for block in group if isinstance(block, Drawing)]
        else:
            widgets.append(ipywidgets.HTML(as_parts(group)))
    return widgets


def text_of(text: str) -> Any:
    """Return an answer for a terminal as a widget."""
    return ipywidgets.HTML(as_read(text))


def as_read(text: str) -> str:
    r"""Return an answer for a terminal as a page shows it: columns as laid out, the rest breaks by itself.

    Parameters
    ----------
    text : str
        Blocks with an empty line between them; items begin with a stroke, and hang; two spaces within a
        line are a column.

    Returns
    -------
    str
        HTML.

    Examples
    --------
    >>> as_read("All of it:\n- one\n  more\n- two\nThe rest.")
    '<p>All of it:</p><ul><li>one more</li><li>two</li></ul><p>The rest.</p>'
    >>> as_read("a   1\nbc  2")
    '<pre tabindex="0">a   1\nbc  2</pre>'
    """
    return "".join(_block(part.split("\n")) for part in text.split("\n\n"))


def _block(rows: list[str]) -> str:
    """Return one block."""
    if any("  " in row.strip() for row in rows):
        return as_laid_out("\n".join(rows))
    shown = ""
    for item, group in groupby(_whole_lines(rows), key=lambda line: line.startswith(STROKE)):
        said_there = [line.removeprefix(STROKE) for line in group]
        shown += items(said_there) if item else paragraphs(said_there)
    return shown


def _whole_lines(broken: list[str]) -> list[str]:
    """Join lines that were broken because the next word was too long for the terminal."""
    whole: list[str] = []
    length = 0
    for line in broken:
        word = line.lstrip().replace(" %", "\N{NO-BREAK SPACE}%").partition(" ")[0]
        full = length + 1 + len(word) > WIDTH
        if whole and not line.startswith(STROKE) and (full or line.startswith(" ")):
            whole[-1] = f"{whole[-1]} {line.strip()}"
        else:
            whole.append(line)
        length = len(line)
    return whole


def said(*sentences: str) -> Any:
    """Return sentences."""
    return ipywidgets.HTML(paragraphs(sentences))


def title(text: str) -> Any:
    """Return the heading of a part."""
    return ipywidgets.HTML(f"<h2>{escape(text)}</h2>")


def drawn(chart: Any) -> Any:
    """Return a chart as an image with its sentence."""
    from matplotlib.figure import Figure

    from lifecycle.charts import picture_bytes

    figure = chart if isinstance(chart, Figure) else chart.get_figure(root=True)
    image = picture_widget()
    put(image, picture_bytes(figure, "png"), getattr(figure, "text_alternative", ""))
    return image


def below(*widgets: Any) -> Any:
    """Return widgets below each other."""
    return ipywidgets.VBox(list(widgets))
