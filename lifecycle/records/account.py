"""What became of the rows of a file: found, left out and why, used. It always adds up.

Lecture
-------
Records are cleaned in steps: rows of the file become looks, looks belong to coaches, coaches give
what a fit uses. A *count* is one step: so many were found, each that was left out has one reason,
the rest is kept. ``found = left out + kept`` is checked when a count is made, so that an account
which does not add up cannot be printed.

The first lines of the file for each reason stand beside it. No identifier does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

LINES_KEPT = 5
"""Lines of the file that are named for each reason."""


@dataclass(frozen=True)
class Drop:
    """What was left out for one reason.

    Parameters
    ----------
    reason : str
        In plain words.
    number : int
        How many.
    lines : tuple of int
        The first lines of the file that it concerns.
    """

    reason: str
    number: int
    lines: tuple[int, ...] = ()


@dataclass(frozen=True)
class Count:
    """One step of the cleaning.

    Parameters
    ----------
    what : str
        What is counted, in the plural: "looks", "coaches".
    found : int
        Before the step.
    drops : tuple of Drop
        What was left out, by reason; none of them empty.
    kept : int
        After the step.

    Raises
    ------
    ValueError
        If it does not add up.

    Examples
    --------
    >>> Count("looks", 10, (Drop("no date", 3),), 7).left_out
    3
    >>> Count("looks", 10, (), 7)
    Traceback (most recent call last):
    ...
    ValueError: 10 looks are not 0 left out and 7 kept
    """

    what: str
    found: int
    drops: tuple[Drop, ...]
    kept: int

    def __post_init__(self) -> None:
        if self.found != self.left_out + self.kept:
            raise ValueError(
                f"{self.found} {self.what} are not {self.left_out} left out and {self.kept} kept"
            )

    @property
    def left_out(self) -> int:
        """How many were left out."""
        return sum(drop.number for drop in self.drops)


Account = tuple[Count, ...]
"""The steps in their order."""


def drop(reason: str, lines: Iterable[int]) -> Drop:
    """Return what was left out for a reason, from the lines of the file.

    Parameters
    ----------
    reason : str
        In plain words.
    lines : iterable of int
        A line for each that was left out.

    Examples
    --------
    >>> drop("no date", [9, 4])
    Drop(reason='no date', number=2, lines=(4, 9))
    """
    every = sorted(int(line) for line in lines)
    return Drop(reason, len(every), tuple(every[:LINES_KEPT]))
