r"""What the columns and words of somebody's records mean, and their cells as numbers, dates and words.

Lecture
-------
Everybody keeps records in their own way, so a TOML file says what theirs mean: the column map. What may
stand in it is data (`records.toml`): every column, the words of those that hold words, the sections of a
map. It is read by the reader of scenarios, with every fault at once and its line. For instance::

    [columns]            # our name = the name in the file
    coach = "unit"
    seen = "result"
    covariates = ["sun"] # further columns of numbers that a life may depend on

    [seen]               # words for what was seen
    fine = ["ok"]
    blank = "fine"       # or "not looked": what an empty cell means

    [records]
    place = "Miami"      # where they stand: figures are brought from there to the reference climate

What an empty cell means must be said, for "fine" and "not looked" lead to opposite answers. Words are
compared without regard to capitals. Without a map a file must use our own names and words.

*Dates.* A month is counted as ``12 year + month - 1``. These forms say by themselves what they mean and are
always read::

    2021-03-14   2021-03   2021/03/14   20210314   14.3.2021   14 Mar 2021   Mar 14, 2021   March 2021

Numbers between slashes or hyphens with the year last may start with the day or with the month. Which one
it is stands in the map, one of `STATED`; a day above 12 proves it for that row only, and nothing is
concluded from it. Years have four digits.

*Cells.* A column has few different texts and many rows, so each text is read once. What cannot be read
becomes a fault with its lines; for dates the map may choose to leave such rows out instead. An empty cell
is no mistake where the column may be empty, and then is `MISSING` or not a number.

Left out: several columns for one thing; words inside longer remarks; months in other languages; clock
times, which are cut off after a T or a space.
"""

from __future__ import annotations

import calendar
import os
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from math import isfinite, nan
from typing import Any

import numpy as np

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.files import data, load_table, load_text, shared
from lifecycle.quantities import Array, FieldInfo, Fields, Flags, Whole, convert, fields_from
from lifecycle.reading.reader import Reader, is_number, placed
from lifecycle.reading.site import place_called
from lifecycle.records.tables import Sheet, Texts, at_lines, cell_fault, need_columns

STATED = ("m/d/y", "d/m/y", "m-d-y", "d-m-y")
"""Forms of dates that a column map must state, because the same text can mean two days."""

REFERENCE = "reference"
"""Says that records are from so many places, or coaches, that the tool's reference stands for them."""

OWN_WORDS: Mapping[str, tuple[str, ...]] = {
    "end": ("end", "end of life"),
    "deck_gone": ("deck_gone", "deck gone"),
}
"""Words that are understood without being stated, beside the word itself."""

Places = tuple[tuple[str, float], ...]
"""Places and the share of the year in each; none: the reference climate."""


@cache
def layout() -> Fields:
    """Return the layout of a column map, as the reader of scenarios wants it."""
    raw = data("records.toml")
    sections = {**raw["layout"]}
    sections["columns"] = {
        name: {"kind": "text", "label": entry["label"]} for name, entry in raw["columns"].items()
    } | {"covariates": {"kind": "list", "label": _label("covariates")}}
    for column, entry in raw["words"].items():
        sections[column] = {
            word: {"kind": "list", "label": _label("their_words", word=word)} for word in entry["words"]
        } | {"blank": {"kind": "choice", "choices": entry["blank"], "label": _label("blank")}}
    return fields_from(sections)


def _label(name: str, /, **slots: str) -> str:
    """Return a label of what may stand in a column map."""
    return str(data("records.toml")["labels"][name]).format(**slots)


def holds(name: str) -> str:
    """Return what one of our columns holds, in plain words."""
    return str(data("records.toml")["columns"][name]["label"])


def words_of(column: str) -> tuple[str, ...]:
    """Return our words of a column, in the order in which they are numbered."""
    return tuple(data("records.toml")["words"][column]["words"])


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
    age_unit, weather_units : str or None
        "months" or "years"; "us" or "metric"; None: not stated.
    length_unit : str
        "ft" or "m".
    begin : int or None
        Month in which the records begin. [months]
    all_from_begin : bool
        Whether every coach was there from then on, or since its roof was laid.
    places : tuple of (str, float), or None
        Where all of them stand; none: the reference climate; None: not stated.
    length : float or None
        Length of all of them, 0 for that of the reference coach; None: not stated. [m]
    all_at_joints : bool
        Whether every leak counted was at a joint.
    station : str
        Name of the weather station.
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
    weather_units: str | None = None
    length_unit: str = "ft"
    begin: int | None = None
    all_from_begin: bool = False
    places: Places | None = None
    length: float | None = None
    all_at_joints: bool = False
    station: str = ""

    def named(self, name: str) -> str:
        """Return the column of the file for one of our names."""
        return self.columns.get(name, name)


def read_map(
    raw: Mapping[str, Any], source: str = "", plans: tuple[str, ...] = (), text: str = ""
) -> ColumnMap:
    """Read a column map.

    Parameters
    ----------
    raw : mapping
        As parsed; empty: our own names and words.
    source : str
        Name of the file, for messages.
    plans : tuple of str
        Names of the upkeep plans.
    text : str
        The file as text, to find the lines of faults.

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
    fields = {**layout(), "upkeep": _upkeep_fields(plans)}
    reader = Reader(fields, raw, shared())
    own = dict(raw)
    if isinstance(own.get("units"), str):
        own["units"] = {"weather": own["units"]}
    top = reader.entries(own, "", "map")
    tables = {name: reader.entries(top.get(name, {}), name, name) for name in fields if name != "map"}
    columns = dict(tables["columns"])
    covariates = columns.pop("covariates", [])
    _each_once(reader, {**columns, **{f"covariates.{name}": name for name in covariates}})
    words = {name: _words(reader, name, tables[name]) for name in data("records.toml")["words"]}
    records = tables["records"]
    found = ColumnMap(
        columns=columns,
        covariates=tuple(covariates),
        forms=_forms(reader, tables["dates"].get("forms", []), top.get("date_form")),
        drops_unreadable=tables["dates"].get("unreadable") == "drop",
        words=words,
        blank={name: tables[name]["blank"] for name in words if "blank" in tables[name]},
        upkeep=_upkeep(reader, tables["upkeep"], plans),
        upkeep_of_all=tables["upkeep"].get("all"),
        age_unit=tables["units"].get("age"),
        weather_units=tables["units"].get("weather"),
        length_unit=tables["units"].get("length", "ft"),
        begin=month_of(records["begin"]) if "begin" in records else None,
        all_from_begin=records.get("all_from_begin", False),
        places=_places(reader, records),
        length=_length(reader, records.get("length"), tables["units"].get("length", "ft")),
        all_at_joints="where" in records,
        station=records.get("station", top.get("station", "")),
    )
    if reader.faults:
        raise ScenarioError(placed(reader.faults, text), source)
    return found


def load_map(path: str | None, plans: tuple[str, ...] = ()) -> ColumnMap:
    """Load a column map from a TOML file; without one our own names and words hold."""
    if not path:
        return read_map({}, plans=plans)
    return read_map(load_table(path), os.path.basename(path), plans, load_text(path))


def _upkeep_fields(plans: tuple[str, ...]) -> dict[str, FieldInfo]:
    """Return the layout of the words for upkeep plans."""
    words = {plan: _label("their_words", word=plan) for plan in plans}
    found = {plan: FieldInfo(plan, "upkeep", label, kind="list") for plan, label in words.items()}
    of_all = FieldInfo("all", "upkeep", _label("plan_of_all"), kind="choice", choices=plans)
    return {**found, "all": of_all}


def _each_once(reader: Reader, columns: Mapping[str, str]) -> None:
    """Note a column of the file that stands for two things."""
    seen: dict[str, str] = {}
    for name, theirs in columns.items():
        other = seen.setdefault(theirs.casefold(), name)
        if other != name:
            rule = f"must name another column than columns.{other}"
            reader.fault(f"columns.{name}", rule, theirs, "one column holds one thing")


def _words(reader: Reader, column: str, table: Mapping[str, Any]) -> dict[str, str]:
    """Return our word by the word of the file."""
    found: dict[str, str] = {}
    for word in words_of(column):
        for one in (*OWN_WORDS.get(word, (word,)), *table.get(word, [])):
            plain = one.strip().casefold()
            if found.setdefault(plain, word) != word:
                rule = f'cannot mean both "{found[plain]}" and "{word}"'
                reader.fault(f"{column}.{word}", rule, one, "take it out of one of them")
    return found


def _forms(reader: Reader, forms: list[str], of_all: str | None) -> tuple[str, ...]:
    """Return the forms of dates that had to be stated."""
    every = [*forms, *([of_all] if of_all in STATED and of_all not in forms else [])]
    for pair in (("m/d/y", "d/m/y"), ("m-d-y", "d-m-y")):
        if all(form in every for form in pair):
            reader.fault("dates.forms", f"cannot be {pair[0]} and {pair[1]}", None, "split the file in two")
    return tuple(every)


def _upkeep(reader: Reader, table: Mapping[str, Any], plans: tuple[str, ...]) -> dict[str, str]:
    """Return the upkeep plan by the word of the file."""
    found = {plan: plan for plan in plans}
    for plan in plans:
        for one in table.get(plan, []):
            if found.setdefault(one.strip().casefold(), plan) != plan:
                rule = f"cannot mean {found[one.strip().casefold()]} too"
                reader.fault(f"upkeep.{plan}", rule, one, "take it out of one of them")
    return found


def _places(reader: Reader, records: Mapping[str, Any]) -> Places | None:
    """Return where the records stand."""
    if "place" in records and "places" in records:
        reader.fault("records.place", "must not stand beside places", None, "keep one of the two")
    if "place" in records:
        if records["place"] == REFERENCE:
            return ()
        name = place_called(reader, records["place"], "records.place")
        return None if name is None else ((name, 1.0),)
    if "places" not in records:
        return None
    found: list[tuple[str, float]] = []
    for where, entry in reader.tables(records["places"], "records.places"):
        name = place_called(reader, entry.get("place"), f"{where}.place")
        raw = entry.get("share")
        share = float(raw) if raw is not None and is_number(raw) else 0.0
        if not 0.0 < share <= 1.0:
            rule = "must be a share of the year, above 0 and at most 1"
            reader.fault(f"{where}.share", rule, raw, "half a year is written 0.5")
        elif name is not None:
            found.append((name, share))
    total = sum(share for _, share in found)
    if not reader.faults and not abs(total - 1.0) < 1e-6:
        rule = "must have shares of the year that add up to 1"
        reader.fault("records.places", rule, None, "correct one of them", got=f"{total:.6g}")
    return tuple(found)


def _length(reader: Reader, raw: Any, unit: str) -> float | None:
    """Return the length of all coaches, 0 for that of the reference coach. [m]"""
    if raw is None:
        return None
    if raw == REFERENCE:
        return 0.0
    metres = convert(float(raw), unit, "m") if is_number(raw) else nan
    if not 2.0 <= metres <= 40.0:
        remedy = f'the unit is that of [units] length, {unit}; or write "{REFERENCE}"'
        reader.fault("records.length", "must be the length of a coach", raw, remedy)
        return None
    return metres


_DAY, _MONTH, _YEAR = r"(?P<day>\d{1,2})", r"(?P<month>\d{1,2})", r"(?P<year>\d{4})"
_WORD = r"(?P<word>[A-Za-z]{3,9})\.?"
_ALWAYS = tuple(
    re.compile(form)
    for form in (
        rf"{_YEAR}-{_MONTH}(?:-{_DAY})?",
        rf"{_YEAR}/{_MONTH}(?:/{_DAY})?",
        r"(?P<year>\d{4})(?P<month>\d{2})(?P<day>\d{2})",
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
EARLIEST, LATEST = 1700, 2200
"""Years that a date may lie in. [years]"""


def read_date(text: str, forms: Iterable[str] = ()) -> tuple[int, int, int | None] | None:
    """Return year, month and, if it says one, day of a date; None if it cannot be read.

    Parameters
    ----------
    text : str
        One date.
    forms : iterable of str
        Of `STATED`, those that the records use.

    Examples
    --------
    >>> read_date("2021-03-14") == read_date("14.3.2021") == read_date("Mar 14, 2021")
    True
    >>> read_date("3/4/2021"), read_date("3/4/2021", ["d/m/y"]), read_date("31.2.2021")
    (None, (2021, 4, 3), None)
    """
    plain = _CLOCK.sub("", text.strip())
    for pattern in (*_ALWAYS, *(_BY_FORM[form] for form in forms)):
        found = pattern.fullmatch(plain)
        if found:
            return _of_parts(found.groupdict())
    return None


def _of_parts(parts: dict[str, str | None]) -> tuple[int, int, int | None] | None:
    """Return a date from its parts, if there is such a day."""
    word = parts.get("word")
    month = _NAMES.get(word[:3].casefold(), 0) if word else int(parts["month"] or 0)
    if word and not calendar.month_name[month].casefold().startswith(word.casefold()) and word != "Sept":
        return None
    year, day = int(parts["year"] or 0), parts.get("day")
    if not (EARLIEST <= year <= LATEST and 1 <= month <= 12):
        return None
    if day is not None and not 1 <= int(day) <= calendar.monthrange(year, month)[1]:
        return None
    return year, month, None if day is None else int(day)


def two_ways(text: str) -> bool:
    """Whether a date may start with the day or with the month, so that its form must be stated.

    Examples
    --------
    >>> two_ways("3/4/2021"), two_ways("2021-03-04")
    (True, False)
    """
    return _TWO_WAYS.fullmatch(_CLOCK.sub("", text.strip())) is not None


def month_of(day: date) -> int:
    """Return the month of a day, counted from the year 0. [months]"""
    return 12 * day.year + day.month - 1


def month_text(month: int) -> str:
    """Return a month as text.

    Examples
    --------
    >>> month_text(12 * 2021 + 2)
    '2021-03'
    """
    return f"{month // 12:04d}-{month % 12 + 1:02d}"


MISSING = -1
"""Stands for a month or a word that is not there."""

KINDS_SHOWN = 6
"""Different texts of a column that are shown when they cannot be read."""


def lacking(sheet: Sheet, known: ColumnMap, needed: Iterable[str], may: Iterable[str] = ()) -> list[Fault]:
    """Return a fault that names the columns that records need, or that the map names, and lack."""
    wanted = {holds(name): known.named(name) for name in needed}
    wanted |= {holds(name): known.columns[name] for name in may if name in known.columns}
    wanted |= {_label("covariate", name=name): name for name in known.covariates}
    return need_columns(sheet, wanted)


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


def months(sheet: Sheet, name: str, known: ColumnMap, faults: list[Fault]) -> tuple[Whole, Flags]:
    """Read a column of dates to the month; nothing is said where there is no such column.

    Returns the months since the year 0, `MISSING` where the cell is empty or cannot be read, and whether
    there is a text that cannot be read; both of shape (rows,). [months]
    """
    if not sheet.has(name):
        return np.full(len(sheet.rows), MISSING, dtype=np.int64), np.zeros(len(sheet.rows), dtype=bool)
    places, different = codes(sheet.column(name))
    dates = [read_date(text, known.forms) for text in different]
    wrong = [number for number, text in enumerate(different) if text and dates[number] is None]
    if not known.forms:
        _ask_for_forms(sheet, name, places, different, wrong, faults)
    if not known.drops_unreadable:
        plain = [number for number in wrong if known.forms or not two_ways(different[number])]
        rule = "must be a day of the calendar, its year with four digits"
        remedy = 'correct it, or leave such rows out: [dates] unreadable = "drop"'
        for number in plain[:KINDS_SHOWN]:
            at = sheet.lines[places == number]
            faults.append(cell_fault(name, rule, different[number], at, remedy))
        if len(plain) > KINDS_SHOWN:
            more = len(plain) - KINDS_SHOWN
            faults.append(Fault(f'column "{name}"', f"has {more} more texts that are no dates"))
    read = [MISSING if found is None else 12 * found[0] + found[1] - 1 for found in dates]
    return np.array(read, dtype=np.int64)[places], np.isin(places, wrong)


def _ask_for_forms(
    sheet: Sheet, name: str, places: Whole, different: list[str], wrong: list[int], faults: list[Fault]
) -> None:
    """Ask for the form of dates that can be read in two ways."""
    asked = [number for number in wrong if two_ways(different[number])]
    if asked:
        remedy = f"state which in the column map: [dates] forms, of {', '.join(STATED)}"
        rule, lines = "can be read in two ways, day or month first", sheet.lines[np.isin(places, asked)]
        faults.append(cell_fault(name, rule, different[asked[0]], lines, remedy))


def words(sheet: Sheet, column: str, known: ColumnMap, faults: list[Fault], *, asks: bool = True) -> Whole:
    """Read a column of words; nothing is said where there is no such column.

    Returns the place of our word in `words_of`, shape (rows,); `MISSING` where the row has none ("not
    looked", "drop"). `asks`: whether the map must say what an empty cell means.
    """
    ours, theirs = words_of(column), known.words.get(column, {})
    name = known.named(column)
    if not sheet.has(name):
        return np.full(len(sheet.rows), MISSING, dtype=np.int64)
    blank = known.blank.get(column)
    empty = sheet.column(name) == ""
    if blank is None and asks and np.any(empty):
        choices = '" or "'.join(layout()[column]["blank"].choices)
        remedy = f'say in the column map what empty means: [{column}] blank = "{choices}"'
        rule = "must not be empty without saying what that means"
        faults.append(cell_fault(name, rule, "", sheet.lines[empty], remedy))

    def read(text: str) -> int | None:
        word = theirs.get(text.casefold()) if text else blank or ""
        return None if word is None else ours.index(word) if word in ours else MISSING

    rule = f"must be a word for {', '.join(ours)}"
    remedy = f"add it to [{column}] of the column map; {nearest('', sorted(theirs))}"
    return np.array(_each(sheet, name, read, faults, rule, remedy), dtype=np.int64)


def numbers(
    sheet: Sheet,
    name: str,
    faults: list[Fault],
    *,
    low: float = 0.0,
    high: float = 1e6,
    whole: bool = False,
    may_be_empty: bool = True,
    what: str = "a number",
) -> Array:
    """Read a column of numbers; nothing is said where there is no such column.

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
    whole : bool
        Whether only whole numbers are allowed.
    may_be_empty : bool
        Whether a cell may be empty.
    what : str
        What they are, for messages.

    Returns
    -------
    ndarray, shape (rows,)
        Not a number where the cell is empty.
    """
    if not sheet.has(name):
        return np.full(len(sheet.rows), nan)

    def read(text: str) -> float | None:
        if not text:
            return nan if may_be_empty else None
        number = number_in(text)
        fine = number is not None and low <= number <= high and not (whole and number != round(number))
        return number if fine else None

    rule = f"must be {what}{', a whole number' if whole else ''} from {low:g} to {high:g}, digits only"
    remedy = "one unit in the whole column and none in the cell; a decimal point, no comma"
    return np.array(_each(sheet, name, read, faults, rule, remedy), dtype=float)


def number_in(text: str) -> float | None:
    """Return a finite number as it is written in a cell, or None.

    Examples
    --------
    >>> number_in("187.5"), number_in("187,5"), number_in("nan")
    (187.5, None, None)
    """
    try:
        number = float(text.replace("_", "x"))
    except ValueError:
        return None
    return number if isfinite(number) else None


def ages(sheet: Sheet, name: str, known: ColumnMap, faults: list[Fault]) -> Array:
    """Read a column of ages in the unit of the map; not a number where the cell is empty. [months]"""
    if known.age_unit is None and sheet.has(name):
        rule = "holds ages, but nothing says whether in months or in years"
        faults.append(
            Fault(f'column "{name}"', rule, remedy='say so in the column map: [units] age = "months"')
        )
    most = 100.0 if known.age_unit == "years" else 1200.0
    what = f"an age in {known.age_unit}" if known.age_unit else "an age"
    found = numbers(sheet, name, faults, high=most, what=what)
    return found if known.age_unit == "months" else 12.0 * found


def sites(sheet: Sheet, known: ColumnMap, faults: list[Fault]) -> tuple[Whole, tuple[Places, ...]]:
    """Read where each row stands.

    Returns the number of the site of each row, shape (rows,), `MISSING` where nothing says it; and the sites,
    where none of places is the reference climate.
    """
    name = known.named("place")
    if not sheet.has(name):
        stated = () if known.places is None else (known.places,)
        return np.full(len(sheet.rows), 0 if stated else MISSING, dtype=np.int64), stated
    places, different = codes(sheet.column(name))
    every: list[Places] = [known.places] if known.places is not None else []
    numbered = []
    for number, text in enumerate(different):
        if not text or text == REFERENCE:
            site: Places | None = () if text else known.places
        else:
            reader = Reader({}, {}, shared())
            found = place_called(reader, text, "")
            site = ((found, 1.0),) if found else None
            for fault in reader.faults:
                at = f"{text[:40]} on {at_lines(sheet.lines[places == number])}"
                faults.append(Fault(f'column "{name}"', fault.rule, at, fault.remedy))
        if site is not None and site not in every:
            every.append(site)
        numbered.append(MISSING if site is None else every.index(site))
    return np.array(numbered, dtype=np.int64)[places], tuple(every)


def lengths(sheet: Sheet, known: ColumnMap, faults: list[Fault]) -> Array:
    """Read the length of each coach; 0: the reference coach's, not a number where nothing says it. [m]"""
    stated = nan if known.length is None else known.length
    unit = known.length_unit
    low, high = (convert(metres, "m", unit) for metres in (2.0, 40.0))
    found = numbers(sheet, known.named("length"), faults, low=low, high=high, what=f"a length in {unit}")
    return np.where(np.isnan(found), stated, found * convert(1.0, unit, "m"))
