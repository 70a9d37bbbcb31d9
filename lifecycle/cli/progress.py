"""A line that says what is being worked out, for whoever waits at a terminal.

Lecture
-------
From one second on the line stands on the error stream, if that is a terminal; it is wiped away when
the work is done. Work that tells how much of it is done gets a bar. Nothing is shown in a file, in
a pipe, or for work that is quick.

Left out: how long the rest will take.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from types import TracebackType
from typing import Self, TextIO

QUIET, BETWEEN = 1.0, 0.2
"""Time before the line is first shown, and between two of them. [s]"""

BAR = 24
"""Length of the bar. [characters]"""


class Waiting:
    """The line, from the start of some work to its end.

    Parameters
    ----------
    stream : TextIO or None
        Where it stands; None: the error stream.
    clock : callable
        Gives the time. [s]

    Examples
    --------
    >>> with Waiting() as waiting:
    ...     waiting.step("the table of 20s")
    ...     waiting.part(1, 4)
    ...     waiting.line(3.2)
    '[######                  ] 25 %  the table of 20s, 3 s'
    """

    def __init__(self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._clock = clock
        self._what, self._share = "", -1.0
        self._width = 0
        self._over = threading.Event()
        self._thread: threading.Thread | None = None

    def step(self, what: str) -> None:
        """Say what is being worked out now."""
        self._what, self._share = what, -1.0

    def part(self, done: int, whole: int) -> None:
        """Say how much of it is done."""
        self._share = done / whole if whole else -1.0

    def line(self, seconds: float) -> str:
        """Return the line after so many seconds."""
        bar = ""
        if self._share >= 0.0:
            full = round(BAR * self._share)
            bar = f"[{'#' * full}{' ' * (BAR - full)}] {round(100.0 * self._share)} %  "
        return f"{bar}{self._what}, {seconds:.0f} s"

    def __enter__(self) -> Self:
        """Start to wait; somebody must be there to see it."""
        if self._stream.isatty():
            self._thread = threading.Thread(target=self._show, args=(self._clock(),), daemon=True)
            self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Wipe the line away."""
        self._over.set()
        if self._thread is not None:
            self._thread.join()
            self._write("")

    def _show(self, start: float) -> None:
        """Write the line again and again until the work is done."""
        wait = QUIET
        while not self._over.wait(wait):
            self._write(self.line(self._clock() - start))
            wait = BETWEEN

    def _write(self, line: str) -> None:
        """Put a line over the one before."""
        if line or self._width:
            self._stream.write(f"\r{line.ljust(self._width)}" + ("" if line else "\r"))
            self._stream.flush()
            self._width = len(line)
