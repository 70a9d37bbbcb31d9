"""Finding the line of a place in a TOML text, so that every fault names it.

Lecture
-------
The parser gives values without lines. For a fault it is enough to find the line on which a name is
written: headers in brackets open a table, ``name =`` at the start of a line states a name, and a
list of tables counts its entries (an entry with a ``name`` is called by it). A place inside a value
is found at the line on which that value begins, or, in a list written over several lines, at the
line of its entry. Names that cannot be found have no line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from lifecycle.errors import Fault

LONGEST = 500
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
        line = whole[:LONGEST]
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
