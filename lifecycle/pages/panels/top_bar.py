"""What stands at the very top of a page: units, undo, start over, save and load; and the status line.

Lecture
-------
Nothing is kept until somebody asks: "Save" is a link that carries the file. A file is loaded from the
computer of whoever uses the page; it goes to the program behind the page, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import ipywidgets

from lifecycle.language.sentences import say as sentence
from lifecycle.pages.panels.folds import AskedOnceMore
from lifecycle.pages.panels.guard import guarded
from lifecycle.pages.panels.scenario_choice import received, upload
from lifecycle.pages.panels.words_on_page import file_link, paragraphs, part

PRIVATE = (
    "This page runs on this computer only. Nothing is sent, and nothing is kept until you save it: a reload "
    "starts empty."
)
NOT_YET = "Save: answer the first four questions first."


@dataclass(frozen=True)
class Wanted:
    """What is done when something in the bar is used.

    Parameters
    ----------
    units, load : callable
        Take "us" or "metric"; name and content of a file.
    undo, start_over : callable
        Take nothing.
    """

    units: Callable[[str], None]
    undo: Callable[[], None]
    start_over: Callable[[], None]
    load: Callable[[str, bytes], None]


class TopBar:
    """The bar of a page; its status line stands where the page puts it.

    Parameters
    ----------
    wanted : Wanted
        What is done when something is used.
    """

    def __init__(self, wanted: Wanted) -> None:
        self._wanted, self._quiet = wanted, False
        self.units = ipywidgets.ToggleButtons(
            options=[("feet", "us"), ("metres", "metric")], tooltips=["feet", "metres"], tooltip="units"
        )
        self.undo = ipywidgets.Button(description="Undo", disabled=True, tooltip="Undo the last change")
        self.over = AskedOnceMore("Start over", "pages.sure.start_over", wanted.start_over, self.say)
        self.save = ipywidgets.HTML()
        self.load = upload(sentence("pages.load.scenario"), ".toml")
        self.status = ipywidgets.HTML()
        self.status.add_class("lc-status")
        bar = ipywidgets.Box([self.units, self.undo, self.over.button, self.load, self.save])
        bar.add_class("lc-bar")
        self.box = ipywidgets.VBox([bar, self.over.box, ipywidgets.HTML(paragraphs([PRIVATE]))])
        self.box.add_class("lc-top")
        self.say("")
        self.offer(None)
        self.units.observe(guarded(self._units, self.say), names="value")
        self.undo.on_click(guarded(lambda _: wanted.undo(), self.say))
        self.load.observe(guarded(self._loaded, self.say), names="value")

    def say(self, text: str) -> None:
        """Show a sentence in the status line."""
        self.status.value = part("status", [text])

    def offer(self, file: tuple[str, str] | None) -> None:
        """Offer a file to keep, by name and text; None: not yet."""
        if file is None:
            self.save.value = part("note", NOT_YET)
        else:
            name, text = file
            self.save.value = file_link(name, text.encode("utf-8"), "application/toml", "Save as a file")

    def show_units(self, units: str) -> None:
        """Show the units of the page without asking for them."""
        self._quiet = True
        self.units.value = units
        self._quiet = False

    def _units(self, change: Any) -> None:
        """Pass other units on."""
        if not self._quiet:
            self._wanted.units(change["new"])

    def _loaded(self, change: Any) -> None:
        """Pass a file on, and make room for the next."""
        if self._quiet or not change["new"]:
            return
        name, content = received(change["new"])
        self._quiet = True
        self.load.value = ()
        self._quiet = False
        self._wanted.load(name, content)
