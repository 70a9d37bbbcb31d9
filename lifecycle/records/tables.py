"""Tables of records: CSV of any common kind as named columns of text, and what became of the rows.

Lecture
-------
Looks, job sheets, logs, film readings, weather and what was seen of an edition are all read here, so that
a file which one command takes is no riddle to the next. The first row names the columns (daily weather by
station may have none). Cells are separated by commas, semicolons or tabs, whichever the first row has most
of; a text that holds one stands in quotation marks. The text is UTF-8, with or without a mark at its start,
plain or packed (.csv.gz). Names of columns are compared without regard to capitals.

What is wrong is said with its line and a remedy, and never mended by guessing:

- a name that stands twice, for nobody knows which of the two is meant;
- a row with more cells than names: a comma within a text, or a decimal comma, and everything after it stands
  one column too far;
- a row with fewer cells; the last row of a file without a line break at its end is then called cut off, for
  that is what a broken copy looks like.

A table is held whole while it is read; only the columns that are asked for go further, and everything else
(names, plates, remarks) is left behind.
What is wrong in many rows is said once, with the first lines and how many more.

*The account.* Records are cleaned in steps: rows become looks, looks belong to coaches, coaches give what a
fit uses. A *count* is one step: so many were found, each that was left out has one reason, the rest is
kept. ``found = left out + kept`` is checked when a count is made, so that an account which does not add up
cannot be printed. The first lines of the file for each reason stand beside it. No identifier does.

Left out: other encodings; spreadsheets, which can be saved as CSV.
"""

from __future__ import annotations

import csv
import gzip
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from typing import BinaryIO, cast

import numpy as np
from numpy.typing import NDArray

from lifecycle.data import data
from lifecycle.errors import Fault, closest, fault, safe, stop_at
from lifecycle.quantities import Flags, Whole

LARGEST = 100_000_000
"""Size of the largest table that is kept whole, unpacked: about a million looks. [bytes]"""

LONGEST_LINE = 1_000_000
"""Size of the longest line. [bytes]"""

SEPARATORS = ",;\t"
"""What may stand between cells."""

SHOWN_LINES = 4
"""Lines that a fault names."""

SAY_SO = "a column map (--columns) says which column holds what"
"""What to do about a column that is called otherwise."""

WHOLE_AGAIN = "the file was not written or fetched whole: get it again, or take that line out"
"""What to do about a file that is cut off."""

Texts = NDArray[np.object_]


def read_rows(
    file: BinaryIO, source: str, *, largest: int | None = None
) -> Iterator[tuple[int, list[str], bool]]:
    """Go through the rows of a table, the first one included.

    Parameters
    ----------
    file : binary file
        Open at its start; plain or packed.
    source : str
        Its name, for messages.
    largest : int or None
        Most bytes that it may have, unpacked; None: any number.

    Yields
    ------
    int, list of str, bool
        Line on which the row begins, its cells without spaces around them, and whether a line break ends it.

    Raises
    ------
    ScenarioError
        If it is no CSV in UTF-8, or ends within a packed file or a quotation.
    """
    lines = _Lines(file, source, largest)
    first = lines.first()
    separator = max(SEPARATORS, key=first.count)
    rows = csv.reader(lines, strict=True, delimiter=separator)
    begins = 1
    try:
        for cells in rows:
            yield begins, [cell.strip() for cell in cells], lines.ended
            begins = rows.line_num + 1
    except csv.Error as error:
        said = "a quotation mark is open at its end" if "end of data" in str(error) else str(error)
        remedy = "close it, or save the file as CSV anew"
        raise fault(source, f"must be CSV: {said}", "", remedy, line=begins, source=source) from None


class _Lines:
    """The lines of a file as text, one after the other; `ended` says whether the last one had its break."""

    def __init__(self, file: BinaryIO, source: str, largest: int | None) -> None:
        self.source, self.largest = source, largest
        packed = file.read(2) == b"\x1f\x8b"
        file.seek(0)
        self.file = cast(BinaryIO, gzip.GzipFile(fileobj=file)) if packed else file
        self.number, self.size, self.ended = 0, 0, True
        self.waiting: list[str] = []

    def first(self) -> str:
        """Return the first line, which is read again afterwards."""
        line = next(self, "")
        self.waiting = [line] if line else []
        return line

    def __iter__(self) -> _Lines:
        return self

    def __next__(self) -> str:
        if self.waiting:
            return self.waiting.pop()
        try:
            line = self.file.readline(LONGEST_LINE)
        except (EOFError, OSError, zlib.error) as error:
            cut = isinstance(error, EOFError)
            rule = "is cut off: its packing ends too early" if cut else "cannot be unpacked"
            raise fault(self.source, rule, "", WHOLE_AGAIN, source=self.source) from None
        if not line:
            raise StopIteration
        self.number, self.size, self.ended = self.number + 1, self.size + len(line), line.endswith(b"\n")
        self._check(line)
        try:
            return line.decode("utf-8-sig" if self.number == 1 else "utf-8").replace("\r\n", "\n")
        except UnicodeDecodeError as error:
            got = f"byte {error.start + 1} of the line is none"
            remedy = 'save it as "CSV UTF-8"'
            raise fault(
                self.source, "must be text in UTF-8", got, remedy, line=self.number, source=self.source
            ) from None

    def _check(self, line: bytes) -> None:
        """Refuse a line, or a file, that is too long, and one that is no text."""
        if len(line) >= LONGEST_LINE or b"\0" in line:
            rule = f"must be text in lines of fewer than {LONGEST_LINE:,} bytes"
            remedy = "a spreadsheet is saved as CSV"
            raise fault(self.source, rule, "", remedy, line=self.number, source=self.source)
        if self.largest is not None and self.size > self.largest:
            rule = f"must be at most {self.largest:,} bytes"
            raise fault(self.source, rule, "more", "split it in two", source=self.source)


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
        Line of the file on which each row begins.
    """

    source: str
    names: tuple[str, ...]
    rows: list[list[str]]
    lines: Whole
    _places: dict[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        places = {name.casefold(): place for place, name in reversed(list(enumerate(self.names)))}
        object.__setattr__(self, "_places", places)

    def has(self, name: str) -> bool:
        """Whether there is a column of this name."""
        return name.casefold() in self._places

    def column(self, name: str) -> Texts:
        """Return a column as an array of text, shape (rows,)."""
        place = self._places[name.casefold()]
        return np.array([row[place] for row in self.rows], dtype=object)


def read_sheet(
    content: str | bytes | BinaryIO, source: str, *, may_be_empty: bool = False, may_be_short: bool = False
) -> Sheet:
    r"""Read a whole table.

    Parameters
    ----------
    content : str, bytes or binary file
        With a header.
    source : str
        Name of the file, for messages and as a source.
    may_be_empty : bool
        Whether there may be names of columns without a row.
    may_be_short : bool
        Whether a row may leave out its last cells; they are empty then.

    Returns
    -------
    Sheet

    Raises
    ------
    ScenarioError
        If it is no CSV, has no row, a name twice, or rows of another length than the first.

    Examples
    --------
    >>> read_sheet("coach;date\nA;2021-03\n", "looks.csv").column("Date").tolist()
    ['2021-03']
    """
    raw = content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content
    file = BytesIO(raw) if isinstance(raw, bytes) else raw
    names: tuple[str, ...] = ()
    rows: list[list[str]] = []
    lines: list[int] = []
    shape = Shape(source)
    for line, cells, ended in read_rows(file, source, largest=LARGEST):
        if line == 1:
            names = shape.head(cells)
        elif any(cells):
            if may_be_short and ended:
                cells += [""] * (len(names) - len(cells))
            shape.check(line, cells, ended)
            rows.append(cells)
            lines.append(line)
    if not names:
        shape.head([])
    elif not rows and not may_be_empty:
        rule = "must have a row of records"
        shape.faults.append(Fault(source, rule, "only the names of columns", "add the records"))
    shape.stop()
    return Sheet(source, tuple(names), rows, np.array(lines, dtype=np.int64))


@dataclass
class Shape:
    """Whether a table is as wide everywhere as its first row.

    Parameters
    ----------
    source : str
        Name of the file.
    width : int
        Cells of the first row.
    faults : list of Fault
        What is wrong.
    cut : int or None
        Line that is cut off.
    """

    source: str
    width: int = 0
    faults: list[Fault] = field(default_factory=list)
    cut: int | None = None
    _longer: list[int] = field(default_factory=list)
    _shorter: list[int] = field(default_factory=list)

    def head(self, cells: Sequence[str]) -> tuple[str, ...]:
        """Take the names of the columns."""
        names = tuple(cells)
        self.width = len(names)
        if not any(names):
            rule = "must have a row that names its columns"
            self.faults.append(Fault(self.source, rule, "an empty file", "write it as CSV"))
        folded = [name.casefold() for name in names]
        for name in dict.fromkeys(name for name in folded if name and folded.count(name) > 1):
            which = " and ".join(str(place) for place, one in enumerate(folded, start=1) if one == name)
            remedy = "take one of them out, or give each its own name"
            rule = "must stand once"
            self.faults.append(Fault(f'column "{name[:40]}"', rule, f"columns {which}", remedy, 1))
        return names

    def check(self, line: int, cells: Sequence[str], ended: bool) -> bool:
        """Note a row of another length; whether it has the right one."""
        if len(cells) > self.width:
            self._longer.append(line)
        elif len(cells) < self.width:
            if ended:
                self._shorter.append(line)
            else:
                self.cut = line
        return len(cells) == self.width

    def stop(self) -> None:
        """Raise all that is wrong.

        Raises
        ------
        ScenarioError
            If anything is.
        """
        faults = [*self.faults, *self._lengths()]
        if self.cut is not None:
            faults.append(Fault("the last row", "is cut off", at_lines([self.cut]), WHOLE_AGAIN, self.cut))
        stop_at(faults, self.source)

    def _lengths(self) -> Iterator[Fault]:
        """Give a fault for rows that are too long, and one for those too short."""
        rule = f"must have {self.width} cells, as the first row has"
        for lines, remedy in (
            (
                self._longer,
                "put a text with a comma in quotation marks; write a decimal comma as a point: 187.5",
            ),
            (self._shorter, "leave no separator out: an empty cell has one too"),
        ):
            if lines:
                kind = "more" if lines is self._longer else "fewer"
                yield Fault("a row", rule, f"{kind} on {at_lines(lines)}", remedy, lines[0])


def need_columns(sheet: Sheet, wanted: dict[str, str]) -> list[Fault]:
    """Return one fault for all columns that are lacking; `wanted`: the name in the file by what it holds."""
    missing = {what: name for what, name in wanted.items() if not sheet.has(name)}
    if not missing:
        return []
    near = {name: closest(name, sheet.names) for name in missing.values()}
    meant = [f'is "{safe(there)}" your "{safe(name)}"?' for name, there in near.items() if there]
    has = [f"it has {', '.join(map(safe, sheet.names))}"] if len(meant) < len(missing) else []
    columns = ", ".join(f'"{safe(name)}" ({what})' for what, name in missing.items())
    rule = f"must have {'a column' if len(missing) == 1 else 'columns'} {columns}"
    return [Fault("the table", rule, "", "; ".join((*meant, *has, SAY_SO)))]


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


class Cleaning:
    """Leaves rows out, each for the first reason that it meets.

    Parameters
    ----------
    what : str
        What is counted; as the reasons, a name of the data (`words/records.toml`).
    lines : ndarray of int, shape (rows,)
        Lines of the file.

    Examples
    --------
    >>> cleaning = Cleaning("job_sheets", np.array([2, 3]))
    >>> cleaning.leave_out("no_age", np.array([True, False]))
    >>> cleaning.count.drops
    (Drop(reason='no age', number=1, lines=(2,)),)
    """

    def __init__(self, what: str, lines: Whole) -> None:
        self.what, self.lines = what, lines
        self.gone = np.zeros(lines.shape, dtype=bool)
        self.drops: list[Drop] = []

    def leave_out(self, reason: str, which: Flags) -> None:
        """Leave out the rows that a reason holds for, shape (rows,), and that are still there."""
        lines = np.sort(self.lines[which & ~self.gone]).tolist()
        if lines:
            said = data("words/records.toml")["records"]["drops"][reason]
            self.drops.append(Drop(said, len(lines), tuple(lines[:LINES_KEPT])))
            self.gone |= which

    @property
    def kept(self) -> Flags:
        """Rows that are still there, shape (rows,)."""
        return ~self.gone

    @property
    def count(self) -> Count:
        """The step so far."""
        what = data("words/records.toml")["records"]["counted"][self.what]
        return Count(what, self.lines.size, tuple(self.drops), int(self.kept.sum()))

    def stop_if_empty(self, place: str, rule: str, source: str = "", between: str = ": ") -> None:
        """Refuse records of which nothing is left.

        Raises
        ------
        ScenarioError
            With what was left out.
        """
        if self.gone.all():
            left = "; ".join(f"{one.number}{between}{one.reason}" for one in self.drops)
            raise fault(place, rule, left, source=source)
