"""Reading the sections that are kept for other questions: correlations, answers; and a table by its fields.

Lecture
-------
Nothing of these is used in comparing the ways. They are read so that a slip of the pen is found,
and kept so that nothing is lost: texts and flags as written, numbers as figures in metric units.
The answers are kept as they were given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from lifecycle.quantities import FieldInfo
from lifecycle.reading.numbers import read_figure
from lifecycle.reading.reader import Reader, is_number

KEPT = ("correlations", "answers")

ITEM_UNITS = {
    "sprayed length": ("ft", "m"),
    "area": ("sq ft", "m2"),
    "each": ("-", "-"),
    "hour": ("h", "h"),
    "fixed": ("-", "-"),
}
"""US and metric unit of an item's amount, by what it is priced by."""

LISTS = {"items": "items", "readings": "readings"}
"""Names that hold a list of tables, and the section of the field metadata that these obey."""


def read_kept(reader: Reader) -> dict[str, Any]:
    """Read every section that is kept.

    Parameters
    ----------
    reader : Reader
        Notes the faults.

    Returns
    -------
    dict
        By section; a section that the file lacks is left out.
    """
    own, found = reader.own, dict[str, Any]()
    if "answers" in own:
        found["answers"] = read_section(reader, own["answers"], "answers", "answers")
        decided = found["answers"].get("decided", False)
        if not isinstance(decided, bool):
            rule = "must be true or false"
            reader.fault(
                "answers.decided", rule, decided, "write true once you have said yes or paid a deposit"
            )
    if "correlations" in own:
        found["correlations"] = _list(reader, own["correlations"], "correlations", "correlations")
    return found


def read_section(reader: Reader, raw: Any, place: str, section: str, *, whole: bool = True) -> dict[str, Any]:
    """Read one table by the fields of its section, or a part of it; entries with a fault are left out."""
    known = reader.table(raw, place, section)
    if whole:
        reader.required(known, section, place, instead={})
    kept = {
        name: _entry(reader, value, f"{place}.{name}".lstrip("."), _field(reader, known, section, name))
        for name, value in known.items()
    }
    return {name: value for name, value in kept.items() if value is not None}


def _list(reader: Reader, raw: Any, place: str, section: str) -> tuple[dict[str, Any], ...]:
    """Read a list of tables by the fields of their section."""
    return tuple(read_section(reader, entry, where, section) for where, entry in reader.tables(raw, place))


def _field(reader: Reader, known: Mapping[str, Any], section: str, name: str) -> FieldInfo:
    """Return the field of a name; that of an item's amount and price depends on its unit."""
    field = reader.fields[section][name]
    if section != "items" or name not in ("amount", "price"):
        return field
    unit = known.get("unit", "fixed")
    us, metric = ITEM_UNITS.get(unit, ("-", "-")) if isinstance(unit, str) else ("-", "-")
    if name == "price":
        us, metric = (f"money/{one}" if one != "-" else "money" for one in (us, metric))
    return replace(field, unit=metric, unit_us=us, unit_metric=metric)


def _entry(reader: Reader, raw: Any, place: str, field: FieldInfo) -> Any:
    """Read what stands for one name."""
    if field.name in LISTS and field.kind == "list":
        return _list(reader, raw, place, LISTS[field.name])
    if field.kind == "number":
        return read_figure(reader, raw, place, field)
    if field.kind == "flag":
        return reader.flag(raw, place)
    if field.kind == "choice":
        return reader.choice(raw, place, field.choices)
    if field.kind in ("text", "name"):
        return reader.text(raw, place)
    if field.kind == "list":
        return _texts(reader, raw, place, field.choices)
    return _loose(reader, raw, place)


def _texts(reader: Reader, raw: Any, place: str, choices: Sequence[str]) -> tuple[str, ...] | None:
    """Read a list of words, each one of the choices."""
    if not isinstance(raw, list):
        reader.fault(place, "must be a list", raw, f"choose from: {', '.join(choices)}")
        return None
    found = (reader.choice(entry, f"{place}.{count}", choices) for count, entry in enumerate(raw, start=1))
    return tuple(entry for entry in found if entry is not None)


def _loose(reader: Reader, raw: Any, place: str) -> Any:
    """Keep a text, flag, date, number, a list of texts or a range as written."""
    if isinstance(raw, str):
        return reader.text(raw, place)
    if isinstance(raw, bool | date) or is_number(raw):
        return raw
    if isinstance(raw, list) and all(isinstance(entry, str) for entry in raw):
        texts = (reader.text(entry, f"{place}.{count}") for count, entry in enumerate(raw, start=1))
        return tuple(text for text in texts if text is not None)
    if isinstance(raw, Mapping):
        numbers = reader.table(raw, place, "figure")
        return {name: value for name, value in numbers.items() if _is_kept(reader, value, f"{place}.{name}")}
    reader.fault(
        place, "must be a text, a number, true or false, a date, or a list of texts", raw, "correct it"
    )
    return None


def _is_kept(reader: Reader, value: Any, place: str) -> bool:
    """Whether an entry of a range is a number or a text; note it if not."""
    if is_number(value) or isinstance(value, str):
        return True
    reader.fault(place, "must be a finite number or a text", value, "correct it")
    return False
