r"""Reading a log from the text of a CSV file, or from a parsed TOML file.

Lecture
-------
Both forms come down to rows of ``date, kind, cost, hours, note``. A date is written 2027-04-19: other
forms can be read in two ways. An amount is a number from 0 with a point, without separators and
currency; left out it is 0. Whatever is wrong is noted with its line, and the reading goes on; only
a file without its columns, or without entries at all, is given back at once.

Left out: what the entries mean (`logbook`).
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from io import StringIO
from typing import Any

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.reading.lines import line_of, lines_by_place
from lifecycle.records.logbook import Entry, unknown_kind

REQUIRED = ("date", "kind")
COLUMNS = (*REQUIRED, "cost", "hours", "note")
"""Columns of a log; the first two must be there."""

MOST = 5000
"""Entries of a log at most."""

DEAREST = 1e7
"""Most that an entry may cost, or take in hours."""

LONGEST_TEXT = 500
"""Letters of a note at most."""


@dataclass(frozen=True)
class Written:
    """What a file says.

    Parameters
    ----------
    entries : tuple of Entry
        Those that could be read.
    way : str or None
        Way that was taken, where the file names it.
    faults : tuple of Fault
        What could not be read.
    """

    entries: tuple[Entry, ...]
    way: str | None
    faults: tuple[Fault, ...]


Row = tuple[int | None, Mapping[str, Any]]
"""Line of a row, and its cells by column."""


def read_csv(text: str, source: str = "", kinds: tuple[str, ...] = ()) -> Written:
    r"""Read a log from the text of a CSV file.

    Parameters
    ----------
    text : str
        With a header; separated by commas, or by semicolons.
    source : str
        Name of the file, for messages.
    kinds : tuple of str
        Known kinds; none: kinds are not looked at here.

    Raises
    ------
    ScenarioError
        If it is no CSV, or lacks its columns.

    Examples
    --------
    >>> read_csv("date,kind,cost\n2027-04-19,renewal,9870\n").entries[0].cost
    9870.0
    """
    head = text.partition("\n")[0]
    separator = ";" if ";" in head and "," not in head else ","
    try:
        rows = list(csv.reader(StringIO(text), strict=True, delimiter=separator))
    except csv.Error as error:
        raise ScenarioError([Fault(source, f"must be CSV: {error}", remedy="save it as CSV anew")]) from None
    names = [name.strip().lower() for name in rows[0]] if rows else []
    if not any(names):
        remedy = f"begin it with the line: {','.join(COLUMNS)}"
        raise ScenarioError([Fault(source, "must not be empty", remedy=remedy)])
    faults = [
        Fault(f"column {name}", "is required", remedy=f"begin the file with: {','.join(COLUMNS)}")
        for name in REQUIRED
        if name not in names
    ]
    faults += [
        Fault(f"column {name[:40] or 'without a name'}", "is not known here", remedy=nearest(name, COLUMNS))
        for name in names
        if name not in COLUMNS
    ]
    faults += [Fault(f"column {name}", "must not stand twice") for name in COLUMNS if names.count(name) > 1]
    faults += _too_many(len(rows) - 1, source)
    if faults:
        raise ScenarioError(faults, source)
    return _written(_rows(text, separator, names, faults), None, kinds, faults)


def _rows(text: str, separator: str, names: list[str], faults: list[Fault]) -> Iterator[Row]:
    """Go through the rows of a CSV file that hold anything, each with the line on which it begins."""
    reader = csv.reader(StringIO(text), delimiter=separator)
    begins = 1
    for count, cells in enumerate(reader):
        line, begins = begins, reader.line_num + 1
        if count == 0 or not any(cell.strip() for cell in cells):
            continue
        if len(cells) > len(names):
            rule = f"must have at most {len(names)} cells"
            remedy = "put a note that holds a comma in quotation marks"
            faults.append(Fault("the row", rule, f"{len(cells)}", remedy, line))
        yield line, dict(zip(names, (cell.strip() for cell in cells), strict=False))


def read_table(own: Mapping[str, Any], text: str, source: str = "", kinds: tuple[str, ...] = ()) -> Written:
    """Read a log from a parsed TOML file.

    Parameters
    ----------
    own : mapping
        As parsed.
    text : str
        The file as text, to find lines.
    source : str
        Name of the file, for messages.
    kinds : tuple of str
        Known kinds; none: kinds are not looked at here.

    Raises
    ------
    ScenarioError
        If it has no entries at all.

    Examples
    --------
    >>> read_table({"way": "keep", "entries": [{"date": date(2027, 4, 19), "kind": "leak"}]}, "").way
    'keep'
    """
    known = ("schema", "way", "entries")
    lines = lines_by_place(text)
    faults = [
        Fault(
            str(name)[:40], "is not a known name here", remedy=nearest(str(name), known), line=lines.get(name)
        )
        for name in own
        if name not in known
    ]
    if own.get("schema", 1) != 1:
        rule = "must be 1: this version knows no other layout"
        faults.append(Fault("schema", rule, str(own["schema"])[:40], "write schema = 1", lines.get("schema")))
    way = own.get("way")
    if way is not None and not isinstance(way, str):
        remedy = 'write it in quotation marks: way = "keep"'
        faults.append(Fault("way", "must be a name", str(way)[:40], remedy, lines.get("way")))
        way = None
    entries = own.get("entries")
    if not isinstance(entries, list):
        remedy = "write each as [[entries]] with date and kind, or entries = [] if nothing was done yet"
        got = "" if entries is None else str(entries)[:40]
        raise ScenarioError([*faults, Fault("entries", "must be a list of tables", got, remedy)], source)
    if too_many := _too_many(len(entries), source):
        raise ScenarioError(too_many, source)
    return _written(_tables(entries, lines, faults), way, kinds, faults)


def _tables(entries: list[Any], lines: dict[str, int], faults: list[Fault]) -> Iterator[Row]:
    """Go through the entries of a TOML file; note those that are no tables, and unknown names."""
    for count, entry in enumerate(entries, start=1):
        place = f"entries.{count}"
        line = line_of(place, lines)
        if not isinstance(entry, Mapping):
            faults.append(Fault(place, "must be a table", str(entry)[:40], "write [[entries]]", line))
            continue
        for name in entry:
            if name not in COLUMNS:
                where = line_of(f"{place}.{name}", lines)
                remedy = nearest(str(name), COLUMNS)
                faults.append(Fault(f"{place}.{name}"[:60], "is not a known name here", "", remedy, where))
        yield line, entry


def _too_many(number: int, source: str) -> list[Fault]:
    """Check the number of entries."""
    return [Fault(source, f"must have at most {MOST:,} entries", f"{number:,}")] if number > MOST else []


def _written(rows: Iterator[Row], way: str | None, kinds: tuple[str, ...], faults: list[Fault]) -> Written:
    """Read every row; note what is wrong with each."""
    entries = [entry for line, cells in rows if (entry := _entry(cells, line, kinds, faults)) is not None]
    return Written(tuple(entries), way, tuple(faults))


def _entry(
    cells: Mapping[str, Any], line: int | None, kinds: tuple[str, ...], faults: list[Fault]
) -> Entry | None:
    """Read one row; None if its day or kind cannot be read."""
    day = _day(cells.get("date", ""), line, faults)
    kind = cells.get("kind", "")
    if not isinstance(kind, str) or not kind.strip():
        remedy = "name the job as the scenario calls it, or leak, renewal, sale"
        faults.append(Fault("kind", "must be a name", str(kind)[:40] or "nothing", remedy, line))
        kind = ""
    kind = kind.strip()[:60]
    if kind and kinds and kind not in kinds:
        faults.append(unknown_kind(kind, kinds, line))
    cost, hours = (_amount(cells.get(name, ""), name, line, faults) for name in ("cost", "hours"))
    note = cells.get("note", "")
    if not isinstance(note, str) or len(note) > LONGEST_TEXT:
        rule = f"must be a text of at most {LONGEST_TEXT} letters"
        faults.append(Fault("note", rule, f"{len(str(note)):,} letters", "shorten it", line))
        note = ""
    if day is None or not kind:
        return None
    return Entry(day, kind, cost, hours, note, line)


def _day(raw: Any, line: int | None, faults: list[Fault]) -> date | None:
    """Read a date."""
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    try:
        if isinstance(raw, str) and len(raw) == 10:
            return date.fromisoformat(raw)
    except ValueError:
        pass
    remedy = "year, month, day: 2027-04-19"
    got = str(raw)[:40] or "nothing"
    faults.append(Fault("date", "must be a day written as YYYY-MM-DD", got, remedy, line))
    return None


def _amount(raw: Any, name: str, line: int | None, faults: list[Fault]) -> float:
    """Read an amount of money, or hours; nothing is 0."""
    if raw == "":
        return 0.0
    try:
        amount = math.nan if isinstance(raw, bool) else float(raw)
    except (TypeError, ValueError):
        amount = math.nan
    if 0.0 <= amount <= DEAREST:
        return amount
    what = {"cost": "an amount of money", "hours": "a number of hours"}[name]
    remedy = (
        "what an insurance or a warranty paid is taken off the cost" if amount < 0.0 else _number_remedy(raw)
    )
    faults.append(Fault(name, f"must be {what} from 0 to {DEAREST:,.0f}", str(raw)[:40], remedy, line))
    return 0.0


def _number_remedy(raw: Any) -> str:
    """Say how a number is written."""
    return "write 1250.50: a point, no other marks, no currency" if isinstance(raw, str) else "check it"
