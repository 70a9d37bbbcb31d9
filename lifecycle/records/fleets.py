"""A table of coaches: a row for each, its columns named as in a scenario, the rest from a base scenario.

Lecture
-------
A fleet, or a region's stock, is a table (`tables`). Each column is a name of a scenario file with its section
(``existing.age``, ``coach.length``) or a plain one (``place``, ``quote``, ``reseal_price``, ``hour_value``,
``otherwise`` for the way that would be taken otherwise, by its name); units are those of the base scenario's
file. The column `NAME`, if there is one, holds what the owner calls the coach. An empty cell says nothing:
the base scenario's figure holds. Signs of trouble are set apart by semicolons.

A cell that is a number is one; "true" and "false" are flags; everything else is a word. What is wrong is said
for each row with its line, the coach and the column, all of it at once, by the rules of the scenario file
(`studies.grid.faults_of`); a column that cannot be is said once.

Left out: ranges in a cell; a figure of a coach is one number.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

from lifecycle.data import frame_words
from lifecycle.errors import Fault, nearest, stop_at
from lifecycle.files import fields, opened
from lifecycle.quantities import Frame, Framed
from lifecycle.records.tables import at_lines, read_sheet
from lifecycle.scenario import Scenario
from lifecycle.studies.grid import PLAIN, SINGLE, Point, Value

NAME = "coach"
"""Column with the names of the coaches."""

LISTS = ("existing.trouble",)
"""Columns that hold several words, set apart by semicolons."""


@dataclass(frozen=True)
class Coaches(Framed):
    """A table of coaches.

    Parameters
    ----------
    source : str
        Name of the file.
    rows : tuple of mapping of str to Value
        What each row says, by name of a scenario.
    labels, lines : tuple
        What each coach is called; its line of the file.
    """

    source: str
    rows: tuple[Mapping[str, Value], ...]
    labels: tuple[str, ...]
    lines: tuple[int, ...]

    def __repr__(self) -> str:
        """Say how many there are, and what is told of them."""
        told = dict.fromkeys(name for row in self.rows for name in row)
        said = frame_words("coaches")
        return said("named", number=len(self.rows), source=repr(self.source), told=", ".join(told))

    def to_frame(self) -> Frame:
        """Return the coaches as rows, what no row says left empty."""
        import pandas

        return pandas.DataFrame(list(self.rows), list(self.labels))


def coaches(file: str | os.PathLike[str], base: Scenario) -> Coaches:
    """Read a table of coaches from a file.

    Parameters
    ----------
    file : str or PathLike
        CSV.
    base : Scenario
        That it is said of: what no column names is as there.

    Returns
    -------
    Coaches
        For `lifecycle.sweep`: ``rows=found.rows, labels=found.labels``.

    Raises
    ------
    ScenarioError
        If it cannot be read or is no table, or a column can be no name of a scenario.
    """
    with opened(file) as table:
        return read_coaches(table, Path(file).name, base)


def read_coaches(file: BinaryIO, source: str, base: Scenario) -> Coaches:
    """Read a table of coaches, said of a base scenario; whether what it says can be is left to `told`.

    Raises a `ScenarioError` if it is no table, or a column can be no name of a scenario.
    """
    sheet = read_sheet(file, source)
    known = known_names(base)
    folded = {name.casefold(): name for name in known}
    columns = {name: folded.get(name.casefold(), name) for name in sheet.names if name}
    faults = [
        Fault(f'column "{name[:60]}"', "must be a name of the scenario, with its section", "", remedy, 1)
        for name, column in columns.items()
        if column != NAME and column not in known and not _may_be(column, base)
        for remedy in [nearest(name, known)]
    ]
    if len(columns) == len([name for name in columns if columns[name] == NAME]):
        faults.append(Fault(source, "must say something of the coaches", "no column", "add existing.age"))
    stop_at(faults, source)
    cells = {column: sheet.column(name) for name, column in columns.items()}
    names = cells.pop(NAME, None)
    rows = tuple(
        {column: _value(column, some[row]) for column, some in cells.items() if some[row]}
        for row in range(len(sheet.rows))
    )
    labels = tuple(
        str(names[row])[:60] if names is not None and names[row] else f"line {line}"
        for row, line in enumerate(sheet.lines)
    )
    return Coaches(source, rows, labels, tuple(map(int, sheet.lines)))


def known_names(base: Scenario) -> tuple[str, ...]:
    """Return the names that a column may have: fields of a coach's sections, inputs, and our own."""
    stated = (f"{section}.{name}" for section in SINGLE for name in fields()[section])
    return tuple(dict.fromkeys((NAME, *PLAIN, *stated, *base.inputs)))


def _may_be(column: str, base: Scenario) -> bool:
    """Whether a column names a table of the file, such as a roof, in which anything may be said."""
    section, _, rest = column.partition(".")
    named = {"roofs": base.roofs, "alternatives": {way.name for way in base.alternatives}}
    return section == "figures" or rest.partition(".")[0] in named.get(section, ())


def value_of(text: str) -> Value:
    """Return what a cell, or a word at the command line, says.

    Examples
    --------
    >>> value_of("36"), value_of("1.5"), value_of("Denver"), value_of("true")
    (36.0, 1.5, 'Denver', True)
    """
    if text.casefold() in ("true", "false"):
        return text.casefold() == "true"
    try:
        number = float(text.replace("_", "x"))
    except ValueError:
        return text
    return number if math.isfinite(number) else text


def _value(column: str, text: str) -> Value:
    """Return what a cell says."""
    if column in LISTS:
        return [word.strip() for word in text.split(";") if word.strip()]
    return value_of(text)


def told(coaches: Coaches, found: Iterable[tuple[Point, Sequence[Fault]]]) -> list[Fault]:
    """Return what is wrong with rows, each with its line and coach; what is wrong alike in many, once.

    `found` is what `studies.grid.faults_of` gives of a grid whose rows are these.
    """
    alike: dict[Fault, list[int]] = {}
    for point, faults in found:
        for one in faults:
            alike.setdefault(replace(one, line=None), []).append(point.row)
    return [_of_rows(coaches, one, list(dict.fromkeys(rows))) for one, rows in alike.items()]


def _of_rows(coaches: Coaches, one: Fault, rows: Sequence[int]) -> Fault:
    """Return a fault of one row, or of several."""
    if len(rows) == 1:
        return replace(one, place=f"{coaches.labels[rows[0]]}: {one.place}", line=coaches.lines[rows[0]])
    where = at_lines(coaches.lines[row] for row in rows)
    return replace(one, got=f"{one.got} on {where}" if one.got else where)
