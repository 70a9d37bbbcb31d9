"""Reading texts, flags, choices and tables, with every fault written down.

Lecture
-------
A `Reader` goes through one scenario. It never stops at a fault: it notes the fault and gives back
None, so that all faults of a file are found at once. Whoever needs a whole scenario asks at the
end whether any were noted. A place is a dotted path; in a list, a table with a name is called by
its name, another by its number, the first being 1.

*Lines*. The parser gives values without lines. For a fault it is enough to find the line on which a name is
written: headers in brackets open a table, ``name =`` at the start of a line states a name, and a
list of tables counts its entries (an entry with a ``name`` is called by it). A place inside a value
is found at the line on which that value begins, or, in a list written over several lines, at the
line of its entry. Names that cannot be found have no line.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any, TypeGuard

from lifecycle.data import data
from lifecycle.errors import LONGEST, Fault, nearest, safe
from lifecycle.quantities import FieldInfo, Fields, Figure

Table = Mapping[str, Any]
ReadEntry = Callable[[Any, str, FieldInfo], Any]

WORDS: Mapping[str, Mapping[str, str]] = data("words/reading.toml")["reading"]
"""What reading a file adds to it: notes of numbers, notices."""

LONGEST_NAME = 60
LONGEST_TEXT = 2000
MOST = 200
"""Entries of one table or list at most."""

MOST_UNKNOWN = 20
"""Unknown names of one table that are noted one by one."""


class Reader:
    """What is known while a scenario is read.

    Parameters
    ----------
    fields : Fields
        The field metadata.
    own, shared : mapping
        The scenario and the shared data, as they were parsed.
    """

    def __init__(self, fields: Fields, own: Table, shared: Table) -> None:
        self.fields = fields
        self.own = own
        self.shared = shared
        self.units = "us"
        self.basis, self.note = "judgement", WORDS["notes"]["without_basis"]
        self.faults: list[Fault] = []
        self.notices: list[str] = []
        self.figures: dict[str, Figure] = {}

    def fault(self, place: str, rule: str, value: Any = None, remedy: str = "", *, got: str = "") -> None:
        """Note a fault, with a value as parsed or with words for what was got."""
        self.faults.append(Fault(place, rule, got or shown(value), remedy))

    def section(self, name: str) -> Table:
        """Return a section of the file as parsed; empty where there is none, or it is no table."""
        found = self.own.get(name)
        return found if isinstance(found, Mapping) else {}

    def table(self, raw: Any, place: str, section: str, *, also: Iterable[str] = ()) -> dict[str, Any]:
        """Return the entries of a table that its section knows, or `also`; note all others, and no table."""
        if not isinstance(raw, Mapping):
            self.fault(place, "must be a table", raw, f"write it as [{place}]")
            return {}
        known = (*self.fields[section], *also)
        unknown = [key for key in raw if key not in known]
        for key in unknown[:MOST_UNKNOWN]:
            self.fault(_under(place, key), "is not a known name here", None, nearest(key, known))
        if len(unknown) > MOST_UNKNOWN:
            self.fault(place or "the file", f"has {len(unknown)} unknown names", None, nearest("", known))
        return {key: value for key, value in raw.items() if key in known}

    def named_tables(self, raw: Any, place: str) -> dict[str, Any]:
        """Return the entries of a table of tables whose names are the user's own."""
        if not isinstance(raw, Mapping):
            self.fault(place, "must be a table", raw, f"write it as [{place}.NAME]")
            return {}
        self._few(raw, place)
        some = list(raw.items())[:MOST]
        return {name: value for name, value in some if self.is_name(name, _under(place, name))}

    def tables(self, raw: Any, place: str) -> list[tuple[str, Table]]:
        """Return the tables of a list with their places; note whatever is no table."""
        if not isinstance(raw, list):
            self.fault(place, "must be a list of tables", raw, f"write each as [[{place}]]")
            return []
        self._few(raw, place)
        found = []
        for count, entry in enumerate(raw[:MOST], start=1):
            where = _under(place, item_name(entry, count))
            if isinstance(entry, Mapping):
                found.append((where, entry))
            else:
                self.fault(where, "must be a table", entry, f"write it as [[{place}]]")
        return found

    def _few(self, entries: Mapping[str, Any] | list[Any], place: str) -> None:
        """Note a table or list that is too long."""
        if len(entries) > MOST:
            self.fault(
                place, f"must have at most {MOST} entries", None, "take some out", got=f"{len(entries):,}"
            )

    def is_name(self, name: Any, place: str) -> bool:
        """Whether a name that the user gave may be one; note it if not."""
        if not isinstance(name, str):
            self.fault(place, "must be a name", name, 'write it in quotation marks: "reseal"')
            return False
        fine = name.strip() == name and 0 < len(name) <= LONGEST_NAME
        if not fine or not all(letter.isalnum() or letter in " _-" for letter in name):
            rule = f"must be a name of 1 to {LONGEST_NAME} letters, digits, spaces, - and _"
            self.fault(place, rule, name, "choose a shorter or plainer name")
            return False
        return True

    def text(self, raw: Any, place: str) -> str | None:
        """Return a text without control characters; note it if it is none."""
        if not isinstance(raw, str):
            self.fault(place, "must be a text", raw, "write it in quotation marks")
        elif len(raw) > LONGEST_TEXT or not raw.isprintable():
            rule = f"must be one line of at most {LONGEST_TEXT:,} printable characters"
            self.fault(place, rule, raw, "shorten it, and take out line breaks")
        else:
            return raw
        return None

    def flag(self, raw: Any, place: str) -> bool | None:
        """Return true or false; note it if it is neither."""
        if isinstance(raw, bool):
            return raw
        self.fault(place, "must be true or false", raw, "write it without quotation marks")
        return None

    def choice(self, raw: Any, place: str, choices: Sequence[str]) -> str | None:
        """Return one of the choices; note it if it is none."""
        rule = f"must be one of: {', '.join(choices)}"
        return self.known(raw, place, rule, choices, "write it in quotation marks")

    def known(self, raw: Any, place: str, rule: str, names: Sequence[str], no_name: str) -> str | None:
        """Return a name that is known; note it if not, with the nearest, or `no_name` if it is no text."""
        if isinstance(raw, str) and raw in names:
            return raw
        self.fault(place, rule, raw, nearest(raw, names) if isinstance(raw, str) else no_name)
        return None

    def entries(
        self, raw: Any, place: str, section: str, read: ReadEntry | None = None, *, whole: bool = True
    ) -> dict[str, Any]:
        """Return the entries of a table, each read by the kind that its field states.

        What is wrong is noted and left out, as is a required name that is lacking, unless the table is not
        the `whole` of it. A list is one of texts; with choices each of them is one. Tables and loose entries
        are given back as they are. `read`: reads an entry instead.
        """
        known = self.table(raw, place, section)
        if whole:
            self.required(known, section, place)
        read = read or self.by_kind
        found = {
            name: read(value, _under(place, name), self.fields[section][name])
            for name, value in known.items()
        }
        return {name: value for name, value in found.items() if value is not None}

    def by_kind(self, raw: Any, place: str, field: FieldInfo) -> Any:
        """Return an entry checked by its kind; None after a fault."""
        match field.kind:
            case "text":
                found = self.text(raw, place)
                if found is None or found.strip():
                    return found
                self.fault(place, "must not be empty", raw, f"write {field.label}")
                return None
            case "name":
                return raw if self.is_name(raw, place) else None
            case "flag":
                return self.flag(raw, place)
            case "choice":
                return self.choice(raw, place, field.choices)
            case "list":
                return self.texts(raw, place, field.choices)
            case "date":
                if isinstance(raw, date) and not isinstance(raw, datetime):
                    return raw
                self.fault(place, "must be a date", raw, "write it as 2027-04-01, no quotation marks")
                return None
            case "number":
                if is_number(raw) and field.low <= raw <= field.high and (not field.whole or raw == int(raw)):
                    return int(raw) if field.whole else float(raw)
                self.fault(place, field.rule(), raw, f"write {field.label}")
                return None
        return raw

    def texts(self, raw: Any, place: str, choices: Sequence[str]) -> list[str] | None:
        """Return a list of texts, each named once and one of the choices if there are any."""
        if not isinstance(raw, list):
            remedy = nearest("", choices) if choices else 'write it as ["a", "b"]'
            self.fault(
                place, "must be a list of names" if choices else "must be a list of texts", raw, remedy
            )
            return None
        if len(raw) > MOST:
            self.fault(place, f"must have at most {MOST} entries", None, "take some out", got=f"{len(raw):,}")
            return None
        read = [self.choice(one, place, choices) if choices else self.text(one, place) for one in raw]
        found = [one for one in read if one is not None]
        if len(set(found)) < len(found):
            self.fault(place, "must name each once", None, "take the second one out")
        return list(dict.fromkeys(found))

    def required(self, table: Table, section: str, place: str, *, instead: Mapping[str, str] = {}) -> bool:
        """Note every required name of a section that a table lacks; whether none is lacking.

        `instead` names what may stand in place of a required name.
        """
        lacking = [
            field
            for name, field in self.fields[section].items()
            if field.required and name not in table and instead.get(name) not in table
        ]
        for field in lacking:
            self.fault(_under(place, field.name), "is required", None, _how_to_state(field, instead))
        return not lacking

    def needed(self, table: Table, names: Iterable[str], place: str, otherwise: str = "") -> None:
        """Note each name that a table lacks, unless something else is wrong at its place."""
        noted = {one.place for one in self.faults}
        for name in names:
            where = _under(place, name)
            if name not in table and where not in noted:
                self.fault(where, "is required", None, f"state {name}{otherwise}")


def _how_to_state(field: FieldInfo, instead: Mapping[str, str]) -> str:
    """Say what to write for a required name."""
    other = f" or {instead[field.name]}" if field.name in instead else ""
    return f"state {field.name}{other}: {field.label}"


def _under(place: str, name: str) -> str:
    """Return the path of a name within a place."""
    return f"{place}.{name}" if place else name


def item_name(entry: Any, count: int) -> str:
    """Return how an entry of a list is called: its name, else its number, the first being 1."""
    name = entry.get("name") if isinstance(entry, Mapping) else None
    return name if isinstance(name, str) and name else str(count)


def shown(value: Any) -> str:
    """Return a parsed value as it would stand in the file, cut to a readable length.

    Examples
    --------
    >>> shown(True), shown("now"), shown(1.2), shown([1]), shown({})
    ('true', '"now"', '1.2', 'a list', 'a table')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return safe(json.dumps(value[: 2 * LONGEST], ensure_ascii=False))
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int | float):
        return _shown_number(value)
    if isinstance(value, date | time | datetime):
        return value.isoformat()
    return type(value).__name__


def _shown_number(value: float) -> str:
    """Return a number as written; a very long one by its length."""
    if isinstance(value, int):
        return str(value) if abs(value) < 10**20 else "a very long number"
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def is_number(value: Any) -> TypeGuard[float]:
    """Whether a parsed value is a finite number that a float can hold, and no flag."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    try:
        return math.isfinite(float(value))
    except OverflowError:
        return False


LOOKED_AT = 500
"""Letters of a line that are looked at."""

_HEADER = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(#.*)?$")
_NAME = re.compile(r"""^\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=\s*(.*)$""")
_PART = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")
_INLINE_NAME = re.compile(r"""\bname\s*=\s*["']([^"']*)["']""")
_QUOTED = re.compile(r'"(?:\\.|[^"\\])*"|' + r"'[^']*'")


def placed(faults: Iterable[Fault], text: str) -> list[Fault]:
    """Return faults, each once and with its line, in the order of the file."""
    lines = lines_by_place(text)
    found = [replace(fault, line=line_of(fault.place, lines)) for fault in dict.fromkeys(faults)]
    return sorted(found, key=lambda fault: fault.line or 0)


def line_of(place: str, lines: dict[str, int]) -> int | None:
    r"""Return the line of a place, or of the nearest place around it; None if no part of it is found.

    Examples
    --------
    >>> lines = lines_by_place("schema = 1\n[owner]\nday_cost = { low = 3 }")
    >>> line_of("owner.day_cost.low", lines), line_of("leaks", lines)
    (3, None)
    """
    while place:
        if place in lines:
            return lines[place]
        place = place.rpartition(".")[0]
    return None


def lines_by_place(text: str) -> dict[str, int]:
    """Return the line of every place, a dotted path, that a TOML text names; the first line is 1."""
    found: dict[str, int] = {}
    since: list[str] = []
    counts: dict[str, int] = {}
    prefix, value, open_until, depth, entry = "", "", "", 0, 0
    for number, whole in enumerate(text.split("\n"), start=1):
        line = whole[:LOOKED_AT]
        if open_until:
            open_until = "" if open_until in line else open_until
            continue
        if depth:
            if line.lstrip().startswith("{"):
                entry += 1
                found.setdefault(f"{value}.{_entry_name(line, entry)}", number)
            depth += _depth(line)
            continue
        header = _HEADER.match(line)
        if header:
            prefix = _dotted(header[2])
            if header[1] == "[[":
                counts[prefix] = counts.get(prefix, 0) + 1
                prefix = f"{prefix}.{counts[prefix]}"
            since = [] if prefix in found else [prefix]
            found.setdefault(prefix, number)
            continue
        stated = _NAME.match(line)
        if not stated:
            continue
        value = _dotted(stated[1])
        if value == "name" and prefix.rpartition(".")[2].isdigit():
            list_place = prefix.rpartition(".")[0]
            called = f"{list_place}.{stated[2].strip().partition('#')[0].strip().strip(_QUOTES)}"
            for place in since:
                found.setdefault(called + place.removeprefix(prefix), found.pop(place))
            prefix = called
        value = f"{prefix}.{value}" if prefix else value
        if value not in found:
            found[value] = number
            since.append(value)
        open_until = next((mark for mark in ('"""', "'''") if stated[2].count(mark) == 1), "")
        depth, entry = (0, 0) if open_until else (max(0, _depth(stated[2])), 0)
    return found


_QUOTES = "\"'"


def _dotted(key: str) -> str:
    """Return a key of TOML as a dotted path without quotation marks."""
    return ".".join(part.strip(_QUOTES) for part in _PART.findall(key))


def _depth(line: str) -> int:
    """Count the brackets that a line opens and does not close."""
    bare = _QUOTED.sub("", line).partition("#")[0]
    return bare.count("[") + bare.count("{") - bare.count("]") - bare.count("}")


def _entry_name(line: str, count: int) -> str:
    """Return how an entry of a list is called: its name, else its number."""
    name = _INLINE_NAME.search(line)
    return name[1] if name else str(count)
