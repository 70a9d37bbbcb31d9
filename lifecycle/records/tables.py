"""Tables of records: the text of a CSV file as named columns, and what became of its rows.

Lecture
-------
The first row names the columns. Only the columns that a column map names are kept; everything else
(names, plates, remarks) is never looked at. A file is at most `LARGEST` bytes, about a million looks.

What is wrong in many rows is said once, with the first lines and how many more.

*What became of the rows of a file: found, left out and why, used. It always adds up.*

Records are cleaned in steps: rows of the file become looks, looks belong to coaches, coaches give
what a fit uses. A *count* is one step: so many were found, each that was left out has one reason,
the rest is kept. ``found = left out + kept`` is checked when a count is made, so that an account
which does not add up cannot be printed.

The first lines of the file for each reason stand beside it. No identifier does.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import StringIO

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError, nearest

LARGEST = 100_000_000
"""Size of the largest file of records. [bytes]"""


SHOWN_LINES = 4
"""Lines that a fault names."""


SAY_SO = "a column map (--columns) says which column holds what"
"""What to do about a column that is called otherwise."""


Texts = NDArray[np.object_]


@dataclass(frozen=True)
class Sheet:
    """Columns of text.

    Parameters
    ----------
    source : str
        Name of the file, without the way to it.
    names : tuple of str
        All columns of the file, in their order.
    rows : list of list of str
        Cells without spaces around them, empty rows left out.
    lines : ndarray of int, shape (rows,)
        Line of the file on which each row ends.
    """

    source: str
    names: tuple[str, ...]
    rows: list[list[str]]
    lines: NDArray[np.int64]

    def column(self, name: str) -> Texts:
        """Return a column as an array of text, shape (rows,)."""
        place = self.names.index(name)
        return np.array([row[place].strip() for row in self.rows], dtype=object)


def read_sheet(text: str, source: str) -> Sheet:
    r"""Read the text of a CSV file.

    Parameters
    ----------
    text : str
        With a header.
    source : str
        Name of the file, for messages and as a source.

    Returns
    -------
    Sheet
        With at least one row.

    Raises
    ------
    ScenarioError
        If it is no CSV, has no row, or rows of different lengths.

    Examples
    --------
    >>> read_sheet("coach,date\nA,2021-03\n", "looks.csv").column("date").tolist()
    ['2021-03']
    """
    reader = csv.reader(StringIO(text.lstrip("\ufeff")), strict=True)
    rows, lines = [], []
    try:
        names = tuple(name.strip() for name in next(reader, []))
        for row in reader:
            if any(row) and any(map(str.strip, row)):
                rows.append(row)
                lines.append(reader.line_num)
    except csv.Error as error:
        fault = Fault(source, f"must be CSV: {error}", remedy="save it as CSV anew", line=reader.line_num)
        raise ScenarioError([fault]) from None
    faults = _faults(source, names, rows, lines)
    if faults:
        raise ScenarioError(faults, source)
    return Sheet(source, names, rows, np.array(lines, dtype=np.int64))


def _faults(source: str, names: Sequence[str], rows: list[list[str]], lines: list[int]) -> list[Fault]:
    """Return what is wrong with the shape of a sheet."""
    if not any(names):
        return [Fault(source, "must have a row that names its columns", "an empty file", "write it as CSV")]
    if not rows:
        return [Fault(source, "must have a row of records", "only the names of columns", "add the records")]
    twice = sorted({name for name in names if name and names.count(name) > 1})
    faults = [Fault(f'column "{name}"', "must stand once", remedy="give each its own name") for name in twice]
    wrong = [line for row, line in zip(rows, lines, strict=True) if len(row) != len(names)]
    if wrong:
        rule = f"must have {len(names)} cells, as the first row has"
        faults.append(Fault("a row", rule, at_lines(wrong), "a text with a comma stands in quotation marks"))
    return faults


def need_columns(sheet: Sheet, wanted: dict[str, str]) -> list[Fault]:
    """Return a fault for each column that a sheet lacks.

    Parameters
    ----------
    sheet : Sheet
        The records.
    wanted : dict of str to str
        Column of the file by what it is to hold.
    """
    missing = {what: name for what, name in wanted.items() if name not in sheet.names}
    return [
        Fault(f'column "{name}"', f"is expected: {what}", "", f"{nearest(name, sheet.names)}; {SAY_SO}")
        for what, name in missing.items()
    ]


def at_lines(lines: Iterable[int]) -> str:
    """Say on which lines something stands.

    Examples
    --------
    >>> at_lines([3]), at_lines([9, 3, 4, 5, 6, 7])
    ('line 3', 'lines 3, 4, 5, 6 and 2 more')
    """
    every = sorted(int(line) for line in lines)
    shown = ", ".join(str(line) for line in every[:SHOWN_LINES])
    more = f" and {len(every) - SHOWN_LINES} more" if len(every) > SHOWN_LINES else ""
    return f"line{'s' if len(every) > 1 else ''} {shown}{more}"


def cell_fault(name: str, rule: str, text: str, lines: Iterable[int], remedy: str) -> Fault:
    """Return the fault of a text that stands in one or more cells of a column."""
    every = sorted(int(line) for line in lines)
    shown = f'"{text[:40]}"' if text else "an empty cell"
    return Fault(f'column "{name}"', rule, f"{shown} on {at_lines(every)}", remedy)


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
