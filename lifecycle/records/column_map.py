"""What the columns and words of somebody's records mean: the column map.

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
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.records.dates import STATED

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


def _wrong_choices(
    dates: Mapping[str, Any], units: Mapping[str, Any], records: Mapping[str, Any]
) -> Iterator[Fault]:
    """Give a fault for each word that is none of its choices."""
    forms = dates.get("forms", [])
    for form in forms if isinstance(forms, list) else [forms]:
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
