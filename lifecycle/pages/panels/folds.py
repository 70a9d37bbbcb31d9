"""What is folded away on a page until somebody wants it, and work that is done only on demand.

Lecture
-------
A fold is a button and what lies below it. What lies there is made when it is opened for the first time,
so a page is there at once. Work on demand has a button to start it, a bar while it goes on, and a button
to give it up; its result is marked as old when an answer changes.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets

from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.guard import Say, guarded, sentence_of
from lifecycle.pages.panels.words_on_page import paragraphs, part
from lifecycle.pages.panels.working import Job, Worker, loop_of_page


class Fold:
    """A button, and what lies below it.

    Parameters
    ----------
    title : str
        What lies there.
    fill : callable
        Returns what lies there; called when it is opened, and again by `renew` while it is open.
    say : callable
        Shows a sentence in the status line.
    turned : callable
        Takes whether it is open, after each turn.
    """

    def __init__(
        self,
        title: str,
        fill: Callable[[], list[Any]],
        say: Say,
        turned: Callable[[bool], object] = lambda _: None,
    ) -> None:
        self._title, self._fill, self._turned = title, fill, turned
        self.button = ipywidgets.Button()
        self.inside = ipywidgets.VBox(layout={"display": "none"})
        self.inside.add_class("lc-inside")
        self.box = ipywidgets.VBox([self.button, self.inside])
        self.box.add_class("lc-fold")
        self.open = False
        self._name()
        self.button.on_click(guarded(lambda _: self.turn(), say))

    def turn(self) -> None:
        """Open it, or close it."""
        self.open = not self.open
        self._name()
        self.inside.layout.display = "" if self.open else "none"
        (self.box.add_class if self.open else self.box.remove_class)("lc-open")
        self.renew()
        self._turned(self.open)

    def renew(self) -> None:
        """Make what lies there anew, if it is open."""
        if self.open:
            self.inside.children = self._fill()

    def _name(self) -> None:
        """Name the button; the mark says whether it is open."""
        self.button.description = f"{'▾' if self.open else '▸'} {self._title}"
        self.button.tooltip = f"{self._title}: {'close' if self.open else 'open'}"


class AskedOnceMore:
    """A button whose work is done only after a question was answered with yes.

    Parameters
    ----------
    name : str
        What the button says.
    words_of : str
        Where question, yes and no stand, as "pages.sure.start_over".
    work : callable
        Takes nothing.
    say : callable
        Shows a sentence in the status line.
    """

    def __init__(self, name: str, words_of: str, work: Callable[[], object], say: Say) -> None:
        asked = words(words_of)
        self.button = ipywidgets.Button(description=name, tooltip=name)
        self.yes, self.no = (ipywidgets.Button(description=asked[one]) for one in ("yes", "no"))
        self.box = ipywidgets.Box([ipywidgets.HTML(paragraphs([asked["ask"]])), self.yes, self.no])
        for kind in ("lc-bar", "lc-sure"):
            self.box.add_class(kind)
        self._ask(False)

        def answered_yes() -> None:
            self._ask(False)
            work()

        for button, does in (
            (self.button, lambda: self._ask(True)),
            (self.no, lambda: self._ask(False)),
            (self.yes, answered_yes),
        ):
            button.on_click(guarded(lambda _, does=does: does(), say))

    def _ask(self, asking: bool) -> None:
        """Ask, or take the question away."""
        self.box.layout.display = "" if asking else "none"


def held(widget: Any, kind: str) -> Any:
    """Return a box around a widget, which is marked in its place.

    A change of any trait of an HTML widget writes its whole content anew, pictures included; so marks
    such as "old" are set on the box.
    """
    box = ipywidgets.Box([widget])
    box.add_class(kind)
    return box


class OnDemand:
    """Work that is done when a button is pressed.

    Parameters
    ----------
    name : str
        What the button says.
    work : callable
        Takes the job and a callable that shows what is being done; returns widgets' content by `show`.
    """

    def __init__(
        self, name: str, work: Callable[[Job, Callable[[str], None]], Callable[[], list[Any]]]
    ) -> None:
        self._work = work
        self._worker = Worker(self._failed, loop_of_page())
        self.start = ipywidgets.Button(description=name, tooltip=name)
        self.stop = ipywidgets.Button(description="Stop", tooltip="Give it up", layout={"display": "none"})
        self.said = ipywidgets.HTML()
        self.result = ipywidgets.VBox()
        buttons = ipywidgets.Box([self.start, self.stop])
        buttons.add_class("lc-bar")
        self.box = ipywidgets.VBox([buttons, self.said, self.result])
        self.start.on_click(guarded(lambda _: self._started(), self._say))
        self.stop.on_click(guarded(lambda _: self._stopped(), self._say))

    def old(self) -> None:
        """Give up what is under way, and mark what stands there as old."""
        self._worker.give_up()
        self.stop.layout.display = "none"
        if self.result.children:
            self.result.add_class("lc-old")
            self._say("An answer has changed since: this is the old result.")
        else:
            self._say("")

    def _started(self) -> None:
        """Start the work."""
        self.stop.layout.display = ""
        self._progress("at work")
        self._worker.start(self._do)

    def _stopped(self) -> None:
        """Give the work up."""
        self._worker.give_up()
        self.stop.layout.display = "none"
        self._say("Stopped.")

    def _do(self, job: Job) -> None:
        """Do the work, and show what it gives."""

        def told(what: str) -> None:
            job.show(lambda: self._progress(what))

        show = self._work(job, told)
        job.show(lambda: self._done(show()))

    def _done(self, children: list[Any]) -> None:
        """Show the result."""
        self.stop.layout.display = "none"
        self.result.remove_class("lc-old")
        self.result.children = children
        self._say("")

    def _failed(self, error: BaseException) -> None:
        """Say what went wrong."""
        self.stop.layout.display = "none"
        self._say(sentence_of(error))

    def _progress(self, what: str) -> None:
        """Say what is being worked out."""
        self.said.value = part("progress", say("pages.at_work", what=what))

    def _say(self, text: str) -> None:
        """Show a sentence below the buttons."""
        self.said.value = paragraphs([text])
