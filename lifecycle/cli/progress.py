"""A line that says what is being worked out, for whoever waits at a terminal.

Lecture
-------
From one second on the line stands on the error stream, if that is a terminal, and it is wiped away when the
work is done (tqdm). Work that tells how much of it is done gets a bar, and the time that is left. Nothing is
shown in a file, in a pipe, or for work that is quick. A thread keeps the time going: work that is one long
step tells nothing between its start and its end.
"""

from __future__ import annotations

import sys
import threading
from typing import TYPE_CHECKING, Self, TextIO

if TYPE_CHECKING:
    from types import TracebackType

    from tqdm import tqdm

QUIET, BETWEEN = 1.0, 0.2
"""Time before the line is first shown, and between two of them. [s]"""

STEP, PART = "{desc}, {elapsed}", "{percentage:.0f} % [{bar:24}] {desc}, {elapsed}, about {remaining} left"
"""The line of work that does not tell how much of it is done, and of work that does."""


class Waiting:
    """The line, from the start of some work to its end.

    Parameters
    ----------
    stream : TextIO or None
        Where it stands; None: the error stream.

    Examples
    --------
    >>> with Waiting() as waiting:
    ...     waiting.step("the table of 20s")
    ...     waiting.part(1, 4)
    """

    def __init__(self, stream: TextIO | None = None) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._bar: tqdm[None] | None = None
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._show, daemon=True)

    def step(self, what: str) -> None:
        """Say what is being worked out now."""
        if self._thread.is_alive():
            self._close()
            self._bar = self._new(what)

    def part(self, done: int, whole: int) -> None:
        """Say how much of it is done."""
        if self._bar is not None and whole:
            self._bar.total, self._bar.n, self._bar.bar_format = whole, done, PART

    def __enter__(self) -> Self:
        """Start to wait; somebody must be there to see it."""
        if self._stream.isatty():
            self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Wipe the line away."""
        self._over.set()
        if self._thread.is_alive():
            self._thread.join()
        self._close()

    def _new(self, what: str) -> tqdm[None]:
        """Return the bar of one step; its delay, however short, keeps it from being shown when it is made."""
        from tqdm import tqdm

        return tqdm(
            desc=what,
            file=self._stream,
            leave=False,
            ascii=" #",
            bar_format=STEP,
            miniters=0,
            mininterval=0.0,
            delay=0.001,
        )

    def _close(self) -> None:
        """Wipe the bar away, if there is one that was shown."""
        if self._bar is not None:
            self._bar.close()

    def _show(self) -> None:
        """Write the line again and again until the work is done."""
        wait = QUIET
        while not self._over.wait(wait):
            if self._bar is not None:
                self._bar.update(0)
            wait = BETWEEN
