"""Cells of a sheet to numbers, months and our words; every cell that cannot be read is named.

Lecture
-------
A column has few different texts and many rows, so each text is read once. What cannot be read becomes
a fault with its lines; for dates the column map may choose to leave such rows out instead. An empty
cell is no mistake where the column may be empty, and then is `MISSING` or not a number.
"""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite, nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, nearest
from lifecycle.records.column_map import BLANKS, WORDS, ColumnMap
from lifecycle.records.dates import STATED, read_month, two_ways
from lifecycle.records.sheets import Sheet, Texts, cell_fault

Whole = NDArray[np.int64]
Array = NDArray[np.float64]

MISSING = -1
"""Stands for a month or a word that is not there."""

KINDS_SHOWN = 6
"""Different texts of a column that are shown when they cannot be read."""


def codes(texts: Texts) -> tuple[Whole, list[str]]:
    """Return the different texts of a column, and the place of each cell among them."""
    import pandas

    places, different = pandas.factorize(texts)
    return places.astype(np.int64), [str(text) for text in different]


def _each(
    sheet: Sheet, name: str, read: Callable[[str], Any], faults: list[Fault], rule: str, remedy: str
) -> list[Any]:
    """Read each different text of a column, a value for each row; None is a fault, then `MISSING`."""
    places, different = codes(sheet.column(name))
    values = [read(text) for text in different]
    wrong = [number for number, value in enumerate(values) if value is None]
    for number in wrong[:KINDS_SHOWN]:
        faults.append(cell_fault(name, rule, different[number], sheet.lines[places == number], remedy))
    if len(wrong) > KINDS_SHOWN:
        faults.append(Fault(f'column "{name}"', f"has {len(wrong) - KINDS_SHOWN} more such texts"))
    known = [MISSING if value is None else value for value in values]
    return [known[place] for place in places]


def months(sheet: Sheet, name: str, known: ColumnMap, faults: list[Fault]) -> tuple[Whole, NDArray[np.bool_]]:
    """Read a column of dates.

    Parameters
    ----------
    sheet : Sheet
        The records.
    name : str
        Its column.
    known : ColumnMap
        Forms of dates, and what becomes of those that cannot be read.
    faults : list of Fault
        Is added to.

    Returns
    -------
    ndarray of int, shape (rows,)
        Months since the year 0; `MISSING` where the cell is empty or cannot be read. [months]
    ndarray of bool, shape (rows,)
        Whether there is a text that cannot be read.
    """
    places, different = codes(sheet.column(name))
    values = [read_month(text, known.forms) if text else MISSING for text in different]
    asked = [text for text, value in zip(different, values, strict=True) if value is None and two_ways(text)]
    if asked and not known.forms:
        lines = sheet.lines[np.isin(places, [different.index(text) for text in asked])]
        remedy = f"state which in the column map: [dates] forms, of {', '.join(STATED)}"
        faults.append(
            cell_fault(name, "can be read in two ways, day or month first", asked[0], lines, remedy)
        )
    wrong = [number for number, value in enumerate(values) if value is None]
    if not known.drops_unreadable:
        _say_unreadable(sheet, name, places, different, wrong, known, faults)
    read = np.array([MISSING if value is None else value for value in values], dtype=np.int64)
    return read[places], np.isin(places, wrong)


def _say_unreadable(
    sheet: Sheet,
    name: str,
    places: Whole,
    different: list[str],
    wrong: list[int],
    known: ColumnMap,
    faults: list[Fault],
) -> None:
    """Note the dates that cannot be read."""
    said = [number for number in wrong if known.forms or not two_ways(different[number])]
    remedy = 'correct it, or leave such rows out: [dates] unreadable = "drop"'
    for number in said[:KINDS_SHOWN]:
        lines = sheet.lines[places == number]
        faults.append(
            cell_fault(
                name,
                "must be a day of the calendar, its year with four digits",
                different[number],
                lines,
                remedy,
            )
        )
    if len(said) > KINDS_SHOWN:
        faults.append(
            Fault(f'column "{name}"', f"has {len(said) - KINDS_SHOWN} more texts that are no dates")
        )


def words(sheet: Sheet, column: str, known: ColumnMap, faults: list[Fault]) -> Whole:
    """Read a column of words.

    Parameters
    ----------
    sheet : Sheet
        The records.
    column : str
        Our name of it: "seen", "reason" or "deck".
    known : ColumnMap
        What their words mean.
    faults : list of Fault
        Is added to.

    Returns
    -------
    ndarray of int, shape (rows,)
        Place of our word in `WORDS`; `MISSING` where the row has none ("not looked", "drop").
    """
    theirs = known.words.get(column, {})
    name = known.named(column)
    blank = known.blank.get(column)

    def read(text: str) -> int | None:
        word = theirs.get(text.casefold()) if text else blank
        if word is None:
            return None
        return WORDS[column].index(word) if word in WORDS[column] else MISSING

    if blank is None and np.any(sheet.column(name) == ""):
        choices = '" or "'.join(BLANKS[column])
        remedy = f'say in the column map what empty means: [{column}] blank = "{choices}"'
        empty = sheet.lines[sheet.column(name) == ""]
        faults.append(cell_fault(name, "must not be empty without saying what that means", "", empty, remedy))

        def read_known(text: str) -> int | None:
            return MISSING if not text else read(text)

        reader = read_known
    else:
        reader = read
    rule = f"must be a word for {', '.join(WORDS[column])}"
    remedy = f"add it to [{column}] of the column map; {nearest('', sorted(theirs))}"
    return np.array(_each(sheet, name, reader, faults, rule, remedy), dtype=np.int64)


def numbers(
    sheet: Sheet,
    name: str,
    faults: list[Fault],
    *,
    low: float = 0.0,
    high: float = 1e6,
    may_be_empty: bool = True,
    what: str = "a number",
) -> Array:
    """Read a column of numbers.

    Parameters
    ----------
    sheet : Sheet
        The records.
    name : str
        Its column.
    faults : list of Fault
        Is added to.
    low, high : float
        Bounds.
    may_be_empty : bool
        Whether a cell may be empty.
    what : str
        What they are, for messages.

    Returns
    -------
    ndarray, shape (rows,)
        Not a number where the cell is empty.
    """

    def read(text: str) -> float | None:
        if not text:
            return nan if may_be_empty else None
        try:
            number = float(text)
        except ValueError:
            return None
        return number if isfinite(number) and low <= number <= high else None

    rule = f"must be {what} from {low:g} to {high:g}, digits only"
    remedy = "one unit in the whole column, and none in the cell"
    return np.array(_each(sheet, name, read, faults, rule, remedy), dtype=float)


def ages(
    sheet: Sheet, name: str, known: ColumnMap, faults: list[Fault], *, may_be_empty: bool = True
) -> Array:
    """Read a column of ages.

    Parameters
    ----------
    sheet : Sheet
        The records.
    name : str
        Its column.
    known : ColumnMap
        States the unit.
    faults : list of Fault
        Is added to.
    may_be_empty : bool
        Whether a cell may be empty.

    Returns
    -------
    ndarray, shape (rows,)
        Not a number where the cell is empty. [months]
    """
    if known.age_unit is None:
        rule = "holds ages, but nothing says whether in months or in years"
        faults.append(
            Fault(f'column "{name}"', rule, remedy='say so in the column map: [units] age = "months"')
        )
    most = 1200.0 if known.age_unit == "months" else 100.0
    unit = known.age_unit or "years"
    found = numbers(sheet, name, faults, high=most, may_be_empty=may_be_empty, what=f"an age in {unit}")
    return found if known.age_unit == "months" else 12.0 * found
