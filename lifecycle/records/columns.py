"""What the columns and words of somebody's records mean, and their cells as numbers, months and words.

Lecture
-------
Everybody keeps records in their own way, so a TOML file says what theirs mean::

    [columns]            # our name = the name in the file
    coach = "unit"
    date = "inspected"
    seen = "result"
    covariates = ["sun"] # further columns of numbers that a life may depend on

    [dates]
    forms = ["m/d/y"]    # only for forms that can be read in two ways
    unreadable = "stop"  # or "drop": leave such rows out, and count them

    [seen]               # words for what was seen
    fine = ["ok"]
    leak = ["leak"]
    end = ["replaced"]   # the roof's life has ended
    blank = "fine"       # or "not looked": what an empty cell means

    [reason]             # why somebody looked
    routine = ["annual"]
    complaint = ["owner called"]
    blank = "routine"

    [units]
    age = "months"       # or "years": of every column of ages

    [records]
    begin = 2016-01-01   # roofs that ended before can not be in them

What an empty cell means must be said, for "fine" and "not looked" lead to opposite answers. Words are
compared without regard to capitals. Without a map a file must use our own names and words.

Left out: several columns for one thing; words inside longer remarks.

*Dates as people write them, to the month; what can be read in two ways is asked for, never guessed.*

A month is counted as ``12 year + month - 1``; the day is read, checked and forgotten. These forms say
by themselves what they mean and are always read::

    2021-03-14   2021-03   2021/03/14   14.3.2021   14 Mar 2021   Mar 14, 2021   March 2021

Numbers between slashes or hyphens with the year last may start with the day or with the month. Which
one it is stands in the column map, one of `STATED`; a day above 12 proves it for that row only, and
nothing is concluded from it. Years have four digits.

Left out: clock times (cut off after a T or a space), months in other languages.

*Cells of a sheet to numbers, months and our words; every cell that cannot be read is named.*

A column has few different texts and many rows, so each text is read once. What cannot be read becomes
a fault with its lines; for dates the column map may choose to leave such rows out instead. An empty
cell is no mistake where the column may be empty, and then is `MISSING` or not a number.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import isfinite, nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.records.tables import Sheet, Texts, cell_fault

COLUMNS: Mapping[str, str] = {
    "coach": "which coach it is",
    "date": "the day of the look or of the job",
    "seen": "what was seen: fine, leak or end of life",
    "reason": "why somebody looked: routine or complaint",
    "laid": "the day the roof was laid",
    "age": "the age of the roof that day",
    "resealed": "the day all joints were last redone",
    "leaks": "how many leaks were found",
    "lower": "age at which the roof was last known to stand",
    "upper": "age at which its life was known to have ended; empty: it stands",
    "entry": "age at which it came into the records",
    "count": "how many such roofs",
    "upkeep": "how the roof was looked after",
    "deck": "how the stripped deck was: sound, wet or rotten",
    "area": "area of wood that was replaced",
}
"""Our names of columns, and what each holds."""


WORDS: Mapping[str, tuple[str, ...]] = {
    "seen": ("fine", "leak", "end"),
    "reason": ("routine", "complaint"),
    "deck": ("sound", "wet", "rotten"),
}
"""Columns that hold words, and our words for each."""


OWN_WORDS: Mapping[str, tuple[str, ...]] = {"end": ("end", "end of life")}
"""Words that are understood without being stated, beside the word itself."""


BLANKS: Mapping[str, tuple[str, ...]] = {
    "seen": ("fine", "not looked"),
    "reason": ("routine", "complaint", "drop"),
    "deck": ("sound", "drop"),
}
"""What an empty cell may mean."""


UNREADABLE = ("stop", "drop")


AGE_UNITS = ("months", "years")


_SECTIONS = ("columns", "dates", "seen", "reason", "deck", "upkeep", "units", "records")


@dataclass(frozen=True)
class ColumnMap:
    """What columns and words mean.

    Parameters
    ----------
    columns : mapping of str to str
        Name in the file by our name, as far as stated.
    covariates : tuple of str
        Further columns of numbers.
    forms : tuple of str
        Forms of dates that had to be stated.
    drops_unreadable : bool
        Whether rows whose date cannot be read are left out.
    words : mapping of str to mapping of str to str
        By column: our word by the word of the file, in small letters.
    blank : mapping of str to str
        By column: what an empty cell means.
    upkeep : mapping of str to str
        Upkeep plan by the word of the file, in small letters.
    upkeep_of_all : str or None
        Plan of all roofs, where no column says it.
    age_unit : str or None
        "months" or "years"; None: not stated.
    begin : int or None
        Month in which the records begin. [months]
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    covariates: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    drops_unreadable: bool = False
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    blank: Mapping[str, str] = field(default_factory=dict)
    upkeep: Mapping[str, str] = field(default_factory=dict)
    upkeep_of_all: str | None = None
    age_unit: str | None = None
    begin: int | None = None

    def named(self, name: str) -> str:
        """Return the column of the file for one of our names."""
        return self.columns.get(name, name)


def read_map(raw: Mapping[str, Any], source: str = "", plans: tuple[str, ...] = ()) -> ColumnMap:
    """Read a column map.

    Parameters
    ----------
    raw : mapping
        As parsed; empty: our own names and words.
    source : str
        Name of the file, for messages.
    plans : tuple of str
        Names of the upkeep plans.

    Returns
    -------
    ColumnMap

    Raises
    ------
    ScenarioError
        With all that is wrong with it.

    Examples
    --------
    >>> found = read_map({"columns": {"coach": "unit"}, "seen": {"fine": ["OK"], "blank": "fine"}})
    >>> found.named("coach"), found.words["seen"]["ok"], found.blank["seen"]
    ('unit', 'fine', 'fine')
    """
    faults = list(_unknown(raw))
    tables = {name: raw.get(name, {}) for name in _SECTIONS}
    for name, table in tables.items():
        if not isinstance(table, Mapping):
            faults.append(Fault(name, "must be a table", str(table)[:40], f"write it as [{name}]"))
            tables[name] = {}
    columns, dates, upkeep = dict(tables["columns"]), tables["dates"], tables["upkeep"]
    covariates = columns.pop("covariates", [])
    faults += _wrong_columns(columns, covariates)
    faults += _wrong_choices(dates, tables["units"], tables["records"])
    words = {name: _words(name, tables[name], faults) for name in WORDS}
    by_word = _upkeep(upkeep, plans, faults)
    if faults:
        raise ScenarioError(faults, source)
    begin = tables["records"].get("begin")
    return ColumnMap(
        columns=columns,
        covariates=tuple(covariates),
        forms=tuple(dates.get("forms", ())),
        drops_unreadable=dates.get("unreadable", "stop") == "drop",
        words=words,
        blank={name: tables[name]["blank"] for name in WORDS if "blank" in tables[name]},
        upkeep=by_word,
        upkeep_of_all=upkeep.get("all"),
        age_unit=tables["units"].get("age"),
        begin=12 * begin.year + begin.month - 1 if begin is not None else None,
    )


def _unknown(raw: Mapping[str, Any]) -> Iterator[Fault]:
    """Give a fault for each name that is not known."""
    known = {
        "columns": (*COLUMNS, "covariates"),
        "dates": ("forms", "unreadable"),
        "units": ("age",),
        "records": ("begin",),
        **{name: (*words, "blank") for name, words in WORDS.items()},
    }
    for name, table in raw.items():
        if name not in _SECTIONS:
            yield Fault(name, "is no section of a column map", remedy=nearest(name, _SECTIONS))
        elif name in known and isinstance(table, Mapping):
            for key in table:
                if key not in known[name]:
                    yield Fault(f"{name}.{key}", "is not known", remedy=nearest(key, known[name]))


def _wrong_columns(columns: Mapping[str, Any], covariates: Any) -> Iterator[Fault]:
    """Give a fault for each column that is named by no text."""
    for name, named in columns.items():
        if not isinstance(named, str) or not named.strip():
            yield Fault(f"columns.{name}", "must name a column", str(named)[:40], "write its name as a text")
    if not isinstance(covariates, list) or not all(isinstance(name, str) for name in covariates):
        yield Fault("columns.covariates", "must be a list of columns", str(covariates)[:40], '["sun"]')
        covariates = []
    yield from named_twice({**columns, **{f"covariates.{name}": name for name in covariates}})


def named_twice(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Give a fault for each column that is to be two things.

    Parameters
    ----------
    columns : mapping
        Name in the file by our name, as parsed.
    """
    first: dict[str, str] = {}
    for name, named in columns.items():
        if isinstance(named, str) and first.setdefault(named, name) != name:
            rule = f"must name another column than columns.{first[named]}"
            yield Fault(f"columns.{name}", rule, named, "one column holds one thing")


def _wrong_choices(
    dates: Mapping[str, Any], units: Mapping[str, Any], records: Mapping[str, Any]
) -> Iterator[Fault]:
    """Give a fault for each word that is none of its choices."""
    forms = dates.get("forms", [])
    if not isinstance(forms, list):
        yield Fault("dates.forms", "must be a list", str(forms), 'forms = ["m/d/y"]')
        forms = []
    for form in forms:
        if form not in STATED:
            remedy = f"{nearest(str(form), STATED)}; all other forms are read without being stated"
            yield Fault("dates.forms", "must be of the forms that can be read in two ways", str(form), remedy)
    for pair in (("m/d/y", "d/m/y"), ("m-d-y", "d-m-y")):
        if all(form in forms for form in pair):
            yield Fault("dates.forms", f"cannot be {pair[0]} and {pair[1]}", "", "split the file in two")
    for place, got, choices in (
        ("dates.unreadable", dates.get("unreadable", "stop"), UNREADABLE),
        ("units.age", units.get("age", "months"), AGE_UNITS),
    ):
        if got not in choices:
            yield Fault(place, f"must be {' or '.join(choices)}", str(got), nearest(str(got), choices))
    begin = records.get("begin")
    if begin is not None and not isinstance(begin, date):
        yield Fault("records.begin", "must be a date", str(begin)[:40], "write it as 2016-01-01")


def _words(column: str, table: Mapping[str, Any], faults: list[Fault]) -> dict[str, str]:
    """Return our word by the word of the file; note what is wrong."""
    found: dict[str, str] = {}
    for word in WORDS[column]:
        theirs = table.get(word, [])
        if not isinstance(theirs, list) or not all(isinstance(one, str) for one in theirs):
            faults.append(Fault(f"{column}.{word}", "must be a list of words", str(theirs)[:40], '["ok"]'))
            continue
        for one in (*OWN_WORDS.get(word, (word,)), *theirs):
            plain = one.strip().casefold()
            if found.setdefault(plain, word) != word:
                rule = f'cannot mean both "{found[plain]}" and "{word}"'
                faults.append(Fault(f"{column}.{word}", rule, f'"{one}"', "take it out of one of them"))
    blank = table.get("blank")
    if blank is not None and blank not in BLANKS[column]:
        choices = '" or "'.join(BLANKS[column])
        faults.append(Fault(f"{column}.blank", f'must be "{choices}"', str(blank), "say what empty means"))
    return found


def _upkeep(table: Mapping[str, Any], plans: tuple[str, ...], faults: list[Fault]) -> dict[str, str]:
    """Return the upkeep plan by the word of the file; note what is wrong."""
    found = {plan: plan for plan in plans}
    for name, theirs in table.items():
        if name == "all":
            if theirs not in plans:
                faults.append(
                    Fault(
                        "upkeep.all",
                        "must name an upkeep plan",
                        str(theirs)[:40],
                        nearest(str(theirs), plans),
                    )
                )
        elif name not in plans:
            faults.append(Fault(f"upkeep.{name}", "is no upkeep plan", remedy=nearest(name, plans)))
        elif not isinstance(theirs, list) or not all(isinstance(one, str) for one in theirs):
            faults.append(Fault(f"upkeep.{name}", "must be a list of words", str(theirs)[:40], '["yearly"]'))
        else:
            found |= {one.strip().casefold(): name for one in theirs}
    return found


STATED = ("m/d/y", "d/m/y", "m-d-y", "d-m-y")
"""Forms that a column map must state, because the same text can mean two days."""


_DAY, _MONTH, _YEAR = r"(?P<day>\d{1,2})", r"(?P<month>\d{1,2})", r"(?P<year>\d{4})"


_WORD = r"(?P<word>[A-Za-z]{3,9})\.?"


_ALWAYS = tuple(
    re.compile(form)
    for form in (
        rf"{_YEAR}-{_MONTH}(?:-{_DAY})?",
        rf"{_YEAR}/{_MONTH}(?:/{_DAY})?",
        rf"{_DAY}\.\s?{_MONTH}\.\s?{_YEAR}",
        rf"{_DAY}[ -]{_WORD}[ -]{_YEAR}",
        rf"{_WORD} {_DAY},? {_YEAR}",
        rf"{_WORD},? {_YEAR}",
    )
)


_BY_FORM = {
    "m/d/y": re.compile(rf"{_MONTH}/{_DAY}/{_YEAR}"),
    "d/m/y": re.compile(rf"{_DAY}/{_MONTH}/{_YEAR}"),
    "m-d-y": re.compile(rf"{_MONTH}-{_DAY}-{_YEAR}"),
    "d-m-y": re.compile(rf"{_DAY}-{_MONTH}-{_YEAR}"),
}


_TWO_WAYS = re.compile(r"\d{1,2}[/-]\d{1,2}[/-]\d{4}")


_CLOCK = re.compile(r"[T ]\d{1,2}:\d{2}.*$")


_NAMES = {name.casefold(): number for number, name in enumerate(calendar.month_abbr) if name}


EARLIEST, LATEST = 1900, 2200
"""Years that a date may lie in. [years]"""


def read_month(text: str, forms: Iterable[str] = ()) -> int | None:
    """Return the month of a date, or None if it cannot be read.

    Parameters
    ----------
    text : str
        One date.
    forms : iterable of str
        Of `STATED`, those that the records use.

    Returns
    -------
    int or None
        Months since the year 0. [months]

    Examples
    --------
    >>> read_month("2021-03-14") == read_month("14.3.2021") == read_month("Mar 14, 2021")
    True
    >>> read_month("3/4/2021") is None, month_text(read_month("3/4/2021", ["d/m/y"]))
    (True, '2021-04')
    >>> read_month("31.2.2021") is None
    True
    """
    plain = _CLOCK.sub("", text.strip())
    for pattern in (*_ALWAYS, *(_BY_FORM[form] for form in forms)):
        found = pattern.fullmatch(plain)
        if found:
            return _month(found.groupdict())
    return None


def _month(parts: dict[str, str | None]) -> int | None:
    """Return the month of a date in parts, if there is such a day."""
    word = parts.get("word")
    month = _NAMES.get(word[:3].casefold(), 0) if word else int(parts["month"] or 0)
    if word and not calendar.month_name[month].casefold().startswith(word.casefold()) and word != "Sept":
        return None
    year, day = int(parts["year"] or 0), int(parts.get("day") or 1)
    if not (EARLIEST <= year <= LATEST and 1 <= month <= 12):
        return None
    if not 1 <= day <= calendar.monthrange(year, month)[1]:
        return None
    return 12 * year + month - 1


def two_ways(text: str) -> bool:
    """Whether a date may start with the day or with the month, so that its form must be stated.

    Examples
    --------
    >>> two_ways("3/4/2021"), two_ways("2021-03-04")
    (True, False)
    """
    return _TWO_WAYS.fullmatch(_CLOCK.sub("", text.strip())) is not None


def month_text(month: int) -> str:
    """Return a month as text.

    Examples
    --------
    >>> month_text(12 * 2021 + 2)
    '2021-03'
    """
    return f"{month // 12:04d}-{month % 12 + 1:02d}"


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
    whole: bool = False,
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
    may_be_empty, whole : bool
        Whether a cell may be empty; whether it must be a whole number.
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
        fine = isfinite(number) and low <= number <= high and not (whole and number % 1.0)
        return number if fine else None

    rule = f"must be {what}{', a whole number' if whole else ''} from {low:g} to {high:g}, digits only"
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
