"""Work on demand that says how far it is, and can be given up at any part.

Lecture
-------
As in `folds.OnDemand`: a button starts it, another gives it up. Here the work tells its parts, done and
in all, so the bar fills; at each part it asks whether it is still wanted. The bar is drawn anew only when
a whole per cent has passed, so that the page is not flooded.

Left out: how long it will take.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lifecycle.language.sentences import say
from lifecycle.pages.panels.folds import OnDemand
from lifecycle.pages.panels.words_on_page import part
from lifecycle.pages.panels.working import Job

Show = Callable[[], list[Any]]
"""Makes what is shown, in the thread of the page."""


class Measure:
    """How far a piece of work is.

    Parameters
    ----------
    job : Job
        Asked at each part whether it is still wanted.
    shown : callable
        Takes what is being done, and the share that is done (None: not known).
    """

    def __init__(self, job: Job, shown: Callable[[str, float | None], object]) -> None:
        self._job, self._shown = job, shown
        self._what, self._percent = "", -1

    def step(self, what: str) -> None:
        """Begin something whose length is not known."""
        self._job.check()
        self._what, self._percent = what, -1
        self._job.show(lambda: self._shown(what, None))

    def part(self, done: int, of: int) -> None:
        """Say how many parts of it are done."""
        self._job.check()
        percent = int(100.0 * done / max(1, of))
        if percent != self._percent:
            self._percent, what = percent, self._what
            self._job.show(lambda: self._shown(what, percent / 100.0))


class Measured(OnDemand):
    """Work that is done when a button is pressed, with a bar that fills.

    Parameters
    ----------
    name : str
        What the button says.
    work : callable
        Takes the job and a `Measure`; returns what makes the result.
    """

    def __init__(self, name: str, work: Callable[[Job, Measure], Show]) -> None:
        super().__init__(name, lambda job, _: work(job, Measure(job, self._at)))

    def _at(self, what: str, share: float | None) -> None:
        """Show how far it is."""
        so_far = what if share is None else f"{what}, {share:.0%}"
        self.said.value = part("progress", say("pages.at_work", what=so_far), share)
