"""What is folded away on a page until somebody wants it, what is asked once more, and work done on demand.

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
from lifecycle.pages.panels.pieces import (
    Tell,
    below,
    beside,
    button,
    html,
    mark,
    paragraphs,
    part,
    put_away,
    said,
    sentence_of,
)
from lifecycle.pages.panels.worker import Job, Measure, Worker, loop_of_page

Shown = Callable[[], list[Any]]
"""Makes what is shown, in the thread of the page."""


class Fold:
    """A button, and what lies below it.

    Parameters
    ----------
    title : str
        What lies there.
    fill : callable
        Returns what lies there; called when it is opened, and again by `renew` while it is open.
    tell : callable
        Shows a sentence in the status line.
    turned : callable
        Takes whether it is open, after each turn.
    """

    def __init__(
        self, title: str, fill: Shown, tell: Tell, turned: Callable[[bool], object] = lambda _: None
    ) -> None:
        self._title, self._fill, self._turned = title, fill, turned
        self.button = button("", self.turn, tell)
        self.inside = below("lc-inside")
        self.box = below("lc-fold", self.button, self.inside)
        self.open = False
        self._show()

    def turn(self) -> None:
        """Open it, or close it."""
        self.open = not self.open
        self._show()
        self.renew()
        self._turned(self.open)

    def renew(self) -> None:
        """Make what lies there anew, if it is open."""
        if self.open:
            self.inside.children = self._fill()

    def _show(self) -> None:
        """Show it open or closed; the button's mark says which."""
        put_away(self.inside, not self.open)
        mark(self.box, "lc-open", self.open)
        self.button.description = f"{'▾' if self.open else '▸'} {self._title}"
        self.button.tooltip = say(f"pages.{'close' if self.open else 'open'}", what=self._title)


class AskedOnceMore:
    """A button whose work is done only after a question, of `pages.sure`, was answered with yes."""

    def __init__(self, name: str, question: str, work: Callable[[], object], tell: Tell) -> None:
        asked = words(f"pages.sure.{question}")

        def answered_yes() -> None:
            self._ask(False)
            work()

        self.button = button(name, lambda: self._ask(True), tell)
        self.yes = button(asked["yes"], answered_yes, tell)
        self.no = button(asked["no"], lambda: self._ask(False), tell)
        self.box = beside("lc-bar lc-sure", said(asked["ask"]), self.yes, self.no)
        self._ask(False)

    def _ask(self, asking: bool) -> None:
        """Ask, or take the question away."""
        put_away(self.box, not asking)


class OnDemand:
    """Work that is done when a button is pressed; `work` tells its parts, and returns what shows it."""

    def __init__(self, name: str, work: Callable[[Measure], Shown]) -> None:
        self._work = work
        self._worker = Worker(self._failed, loop_of_page())
        self.said, self.result = html(), ipywidgets.VBox()
        self.start = button(name, self._started, self._tell)
        self.stop = button(
            say("pages.stop"),
            self._stopped,
            self._tell,
            tooltip=say("pages.give_up"),
            layout={"display": "none"},
        )
        self.box = below("", beside("lc-bar", self.start, self.stop), self.said, self.result)

    def old(self) -> None:
        """Give up what is under way, and mark what stands there as old."""
        self._give_up(say("pages.old") if self.result.children else "")
        mark(self.result, "lc-old", bool(self.result.children))

    def _started(self) -> None:
        """Start the work."""
        put_away(self.stop, False)
        self._at(say("pages.started"), None)
        self._worker.start(self._do)

    def _stopped(self) -> None:
        """Give the work up."""
        self._give_up(say("pages.stopped"))

    def _give_up(self, why: str) -> None:
        """Give up what is under way, and say why."""
        self._worker.give_up()
        self._ended(why)

    def _do(self, job: Job) -> None:
        """Do the work, and show what it gives."""
        show = self._work(Measure(job, self._at))
        job.show(lambda: self._done(show()))

    def _done(self, children: list[Any]) -> None:
        """Show the result."""
        mark(self.result, "lc-old", False)
        self.result.children = children
        self._ended("")

    def _failed(self, error: BaseException) -> None:
        """Say what went wrong."""
        self._ended(sentence_of(error, answered=bool(self.result.children)))

    def _ended(self, text: str) -> None:
        """Take the button that gives it up away, and say a sentence."""
        put_away(self.stop)
        self._tell(text)

    def _at(self, what: str, share: float | None) -> None:
        """Show how far it is."""
        so_far = what if share is None else say("pages.part_of_it", what=what, share=f"{share:.0%}")
        self.said.value = part("progress", say("pages.at_work", what=so_far), share)

    def _tell(self, text: str) -> None:
        """Show a sentence below the buttons."""
        self.said.value = paragraphs([text])


def telling_worker(tell: Tell) -> Worker:
    """Return a worker whose errors are said in the status line."""
    return Worker(lambda error: tell(sentence_of(error)), loop_of_page())
