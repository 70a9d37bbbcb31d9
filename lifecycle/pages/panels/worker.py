"""Working things out beside the page: the newest change counts, older work is given up.

Lecture
-------
One thread does the work of a page, one job after another; a job that waits is replaced by a newer one.
A running job asks between its parts whether it is still wanted (`Job.check`); if not, it ends. What it
has to show is handed to the loop of the page (`asyncio`), so that widgets are touched by one thread
only. Without a loop, as in tests in process, everything is done at once and in order.

Work that tells its parts, done and in all, does so by a `Measure`, so that a bar can fill. What is shown
changes only when a whole per cent has passed, so that the page is not flooded.

Left out: what is worked out, the widgets that start it (`folds`), and how long it will take.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable

Show = Callable[[], object]


class Superseded(Exception):
    """A newer change makes this work worthless."""


class Job:
    """One piece of work that may be given up: who does it, and its place among the jobs."""

    def __init__(self, worker: Worker, number: int) -> None:
        self._worker, self._number = worker, number

    @property
    def wanted(self) -> bool:
        """Whether there is no newer job."""
        return self._worker.newest == self._number

    def check(self, _: object = None) -> None:
        """Give the work up if it is not wanted any more."""
        if not self.wanted:
            raise Superseded

    def show(self, show: Show) -> None:
        """Show something, if it is still wanted by then."""
        self.check()
        self._worker.on_page(lambda: show() if self.wanted else None)


class Measure:
    """How far a job is; shown is what is being done, and the share that is done (None: not known)."""

    def __init__(self, job: Job, shown: Callable[[str, float | None], object]) -> None:
        self.check, self._job, self._shown = job.check, job, shown
        self._what, self._percent = "", -1

    def step(self, what: str) -> None:
        """Begin something whose length is not known."""
        self.check()
        self._what, self._percent = what, -1
        self._job.show(lambda: self._shown(what, None))

    def part(self, done: int, of: int) -> None:
        """Say how many parts of it are done."""
        self.check()
        percent = int(100.0 * done / max(1, of))
        if percent != self._percent:
            self._percent, what = percent, self._what
            self._job.show(lambda: self._shown(what, percent / 100.0))


Work = Callable[[Job], None]


class Worker:
    """Does one job at a time, the newest.

    Parameters
    ----------
    failed : callable
        Called on the page with an error that ended a job.
    loop : asyncio loop, or None
        Of the page; None: work is done at once, by whoever asks for it.
    """

    def __init__(
        self, failed: Callable[[BaseException], object], loop: asyncio.AbstractEventLoop | None
    ) -> None:
        self.newest = 0
        self._failed, self._loop = failed, loop
        self._waiting: tuple[Work, Job] | None = None
        self._changed = threading.Condition()
        self._thread: threading.Thread | None = None

    def on_page(self, show: Show) -> None:
        """Do something in the thread of the page."""
        if self._loop is None:
            show()
        else:
            self._loop.call_soon_threadsafe(show)

    def give_up(self) -> None:
        """Make all work worthless that is under way."""
        with self._changed:
            self.newest += 1
            self._waiting = None

    def start(self, work: Work) -> None:
        """Start a job; whatever is under way is given up."""
        with self._changed:
            self.newest += 1
            job = Job(self, self.newest)
            if self._loop is not None:
                self._waiting = (work, job)
                self._changed.notify()
                if self._thread is None:
                    self._thread = threading.Thread(target=self._run, daemon=True)
                    self._thread.start()
        if self._loop is None:
            self._do(work, job)

    def _run(self) -> None:
        """Take one job after another, for ever."""
        while True:
            with self._changed:
                while self._waiting is None:
                    self._changed.wait()
                work, job = self._waiting
                self._waiting = None
            self._do(work, job)

    def _do(self, work: Work, job: Job) -> None:
        """Do a job; an error is told to the page."""
        try:
            work(job)
        except Superseded:
            return
        except Exception as error:
            reason = error
            if job.wanted:
                self.on_page(lambda: self._failed(reason))


def loop_of_page() -> asyncio.AbstractEventLoop | None:
    """Return the running loop of a page, or None where there is none."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None
