"""Reading numbers: bare, with a basis, as a range, or by the name of a figure; and tables of them.

Lecture
-------
Where a number may stand, a file may say::

    950                                                         bare
    { value = 950, basis = "offer", note = "on the telephone" } with a basis
    { low = 300, likely = 1000, high = 2000, shape = "pert" }   a range
    "shop_reseal_cost"                                          the figure of that name in [figures]

A bare number has the basis of the file (judgement, unless the file says otherwise) and the note
"entered without basis"; one that may not be a range (an age, an interval, a date) is a statement.
A figure that is named is one input wherever it is used, and obeys the rule of every name that it is
used for. Files in US units are converted here, and nowhere else.

A table is read by the fields of its section. Numbers that the comparison depends on become inputs
(`read_numbers`, `read_on_shared`); what is kept for other questions is read so that a slip of the pen is
found (`read_section`): texts and flags as written, numbers as figures in metric units.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from lifecycle.errors import closest, nearest
from lifecycle.quantities import (
    BASES,
    FRACTION_UNITS,
    SHAPES,
    FieldInfo,
    Figure,
    convert,
    number_text,
    unit_text,
)
from lifecycle.reading.reader import WORDS, Reader, Table, is_number
from lifecycle.scenario import Stated, Use

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

_ANY = FieldInfo("figure", "figures", "figure", ranged=True)
"""Stands for the field of a figure that nothing uses."""


def read_number(
    reader: Reader, raw: Any, path: str, field: FieldInfo, *, shared: bool = False, tool: Figure | None = None
) -> Use | None:
    """Read a number where one may stand, and enter it among the figures.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    raw : Any
        As parsed.
    path : str
        Path of the input, if the number is written here.
    field : FieldInfo
        What the number means.
    shared : bool
        Whether it stands in the shared data.
    tool : Figure or None
        The tool's own figure, if this one takes its place.

    Returns
    -------
    Use or None
        None if a fault was noted.
    """
    if isinstance(raw, str):
        return _named(reader, raw, path, field)
    figure = read_figure(reader, raw, path, field, shared=shared)
    if figure is None:
        return None
    reader.figures[path] = replace(figure, tool=tool)
    return Use(path)


def read_numbers(
    reader: Reader, raw: Table, place: str, section: str, *, shared: bool = False
) -> tuple[dict[str, Stated], bool]:
    """Read the numbers of a table by their fields, and say whether all of them could be read."""
    fields = reader.fields[section]
    uses = {
        name: read_number(reader, value, f"{place}.{name}", fields[name], shared=shared)
        for name, value in raw.items()
        if fields[name].kind == "number"
    }
    found: dict[str, Stated] = {name: use for name, use in uses.items() if use is not None}
    return found, len(found) == len(uses)


def read_figure(
    reader: Reader, raw: Any, path: str, field: FieldInfo, *, shared: bool = False
) -> Figure | None:
    """Read a number that is written out, without entering it among the figures."""
    stated = _single(raw) if not isinstance(raw, dict) else _table(reader, raw, path)
    if stated is None:
        remedy = _write_a_number(raw, field)
        reader.fault(path, _rule(reader, field), raw, remedy)
    unit = field.unit_in("us" if shared else reader.units)
    if not stated or not _allowed(reader, stated, path, field, unit):
        return None
    low, likely, high = (convert(stated[end], unit, field.unit) for end in ("low", "likely", "high"))
    basis = stated.get("basis", "judgement" if shared else reader.basis)
    return Figure(
        path=path,
        likely=likely,
        low=low,
        high=high,
        shape=stated.get("shape", "pert") if low < high else "",
        basis=basis,
        source=stated.get("source", ""),
        note=stated.get("note", "" if "basis" in stated else _note(reader, field, shared)),
        field=field,
        shared=shared,
    )


def _note(reader: Reader, field: FieldInfo, shared: bool) -> str:
    """Return the note of a number that says nothing of where it comes from."""
    if shared:
        return WORDS["notes"]["of_the_tool"]
    if reader.basis == "judgement" and not field.ranged:
        return WORDS["notes"]["stated"]
    return reader.note


def read_on_shared(reader: Reader, raw: Table, place: str, section: str) -> dict[str, Use]:
    """Read the numbers of a section: its own where they are stated, else the shared ones, where there are."""
    return read_on(reader, raw, reader.shared.get(section, {}), place, reader.fields[section])


def read_on(
    reader: Reader, raw: Table, tools: Table, place: str, fields: Mapping[str, FieldInfo]
) -> dict[str, Use]:
    """Read the numbers of some fields: as stated, else the tool's own, where there are."""
    found = {}
    for name, field in fields.items():
        if field.kind != "number" or name not in (*raw, *tools):
            continue
        path, own = f"{place}.{name}", tools.get(name)
        if name in raw:
            written = is_number(own) or isinstance(own, Mapping)
            tool = read_figure(reader, own, path, field, shared=True) if written else None
            use = read_number(reader, raw[name], path, field, tool=tool)
        else:
            use = read_number(reader, own, path, field, shared=True)
        if use is not None:
            found[name] = use
    return found


def read_section(reader: Reader, raw: Any, place: str, section: str, *, whole: bool = True) -> dict[str, Any]:
    """Read one table by the fields of its section, or a part of it; entries with a fault are left out."""
    unit = raw.get("unit", "fixed") if isinstance(raw, Mapping) else ""

    def read(raw: Any, place: str, field: FieldInfo) -> Any:
        return _entry(reader, raw, place, _of_item(field, unit) if section == "items" else field)

    return reader.entries(raw, place, section, read, whole=whole)


def read_tables(reader: Reader, raw: Any, place: str, section: str) -> tuple[dict[str, Any], ...]:
    """Read a list of tables by the fields of their section."""
    return tuple(read_section(reader, entry, where, section) for where, entry in reader.tables(raw, place))


def _of_item(field: FieldInfo, unit: Any) -> FieldInfo:
    """Return a field of an item; that of its amount and price depends on its unit."""
    if field.name not in ("amount", "price"):
        return field
    us, metric = ITEM_UNITS.get(unit, ("-", "-")) if isinstance(unit, str) else ("-", "-")
    if field.name == "price":
        us, metric = (f"money/{one}" if one != "-" else "money" for one in (us, metric))
    return replace(field, unit=metric, unit_us=us, unit_metric=metric)


def _entry(reader: Reader, raw: Any, place: str, field: FieldInfo) -> Any:
    """Read what stands for one name."""
    match field.kind:
        case "list" if field.name in LISTS:
            return read_tables(reader, raw, place, LISTS[field.name])
        case "list":
            return read_words(reader, raw, place, field.choices)
        case "number":
            return read_figure(reader, raw, place, field)
        case "text" | "name":
            return reader.text(raw, place)
        case "flag" | "choice":
            return reader.by_kind(raw, place, field)
    return _loose(reader, raw, place)


def read_words(reader: Reader, raw: Any, place: str, choices: Sequence[str]) -> tuple[str, ...] | None:
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


def unused_figures(reader: Reader) -> None:
    """Check the figures that nothing used; note those whose name is a slip of a known one."""
    own, shared = reader.own.get("figures", {}), reader.shared.get("figures", {})
    if not isinstance(own, dict):
        reader.fault("figures", "must be a table", own, "write it as [figures]")
        return
    for name, raw in own.items():
        path = f"figures.{name}"
        if path in reader.figures or not reader.is_name(name, path):
            continue
        if isinstance(raw, str):
            reader.fault(path, "must be a number", raw, "a figure cannot name another figure")
        elif read_figure(reader, raw, path, _ANY) is not None and name not in shared:
            _say_unused(reader, name, path)


def _say_unused(reader: Reader, name: str, path: str) -> None:
    """Note a figure that nothing uses: a fault if its name is nearly a known one."""
    known = tuple(reader.shared.get("figures", {}))
    if closest(name, known) is not None:
        reader.fault(path, "is used nowhere", None, nearest(name, known))
    else:
        reader.notices.append(WORDS["notices"]["unused"].format(path=path))


def _named(reader: Reader, name: str, place: str, field: FieldInfo) -> Use | None:
    """Read the figure that a name stands for, once, and check it for every use."""
    path = f"figures.{name}"
    own, shared = reader.section("figures"), reader.shared.get("figures", {})
    if name not in own and name not in shared:
        known = (*field.words, *own, *shared)
        reader.fault(place, "names no figure of [figures]", name, nearest(name, known))
        return None
    raw = own.get(name, shared.get(name))
    if isinstance(raw, str) or not reader.is_name(name, path):
        return None
    tool = None
    if name in own and name in shared:
        tool = read_figure(reader, shared[name], path, field, shared=True)
    known_figure = reader.figures.get(path)
    if known_figure is not None and known_figure.field.unit != field.unit:
        both = " and ".join(f"{one.label} ({one.unit})" for one in (known_figure.field, field))
        rule = f"stands for one number, but is used in two units: {both}"
        reader.fault(path, rule, None, "write two figures")
        return None
    if known_figure is None or known_figure.field != field:
        figure = read_figure(reader, raw, path, field, shared=name not in own)
        if figure is None:
            return None
        if known_figure is None:
            reader.figures[path] = replace(figure, tool=tool)
    return Use(path)


def _single(raw: Any) -> dict[str, Any] | None:
    """Return a bare number as what a table would say; None if it is no number."""
    if not is_number(raw):
        return None
    return {"low": float(raw), "likely": float(raw), "high": float(raw)}


def _table(reader: Reader, raw: Table, path: str) -> dict[str, Any]:
    """Return what a number's table says, checked but for the field's rule; empty after a fault."""
    before = len(reader.faults)
    known = reader.table(raw, path, "figure")
    for key in ("value", "low", "likely", "high"):
        if key in known and not is_number(known[key]):
            reader.fault(
                f"{path}.{key}", "must be a finite number", known[key], "write digits, no quotation marks"
            )
    for key, choices in (("basis", BASES), ("shape", SHAPES)):
        if key in known:
            reader.choice(known[key], f"{path}.{key}", choices)
    for key in ("source", "note"):
        if key in known:
            reader.text(known[key], f"{path}.{key}")
    if len(reader.faults) > before:
        return {}
    if known.get("basis") == "published" and not known.get("source", "").strip():
        reader.fault(path, "must name its source, as its basis is published", None, 'add source = "..."')
    stated: dict[str, Any] = {key: known[key] for key in ("basis", "source", "note", "shape") if key in known}
    stated.update(_ends(reader, known, path))
    return stated if len(reader.faults) == before else {}


def _ends(reader: Reader, known: Table, path: str) -> dict[str, float]:
    """Return low, likely and high of a number's table; notes what is wrong with them."""
    ends = [key for key in ("low", "likely", "high") if key in known]
    if "value" in known:
        if ends or "shape" in known:
            reader.fault(
                path, "must be one value, or a range low, likely, high", None, "take out one of them"
            )
        return dict.fromkeys(("low", "likely", "high"), float(known["value"]))
    uniform = known.get("shape") == "uniform"
    if "low" not in known or "high" not in known or not ("likely" in known or uniform):
        rule = "must say value, or low, likely and high"
        reader.fault(path, rule, None, "state what is missing", got=", ".join(ends))
        return {}
    low, high = float(known["low"]), float(known["high"])
    likely = float(known.get("likely", low / 2 + high / 2))
    got = f"{number_text(low)}, {number_text(likely)}, {number_text(high)}"
    remedy = "correct low, likely or high"
    if not low <= likely <= high:
        reader.fault(path, "must have low <= likely <= high", None, remedy, got=got)
    elif uniform and not math.isclose(likely, low / 2 + high / 2, rel_tol=1e-6, abs_tol=1e-12):
        reader.fault(
            path, "must have likely in the middle, as its shape is uniform", None, "leave likely out"
        )
    elif known.get("shape") == "lognormal" and low <= 0:
        reader.fault(path, "must have low above 0, as its shape is lognormal", None, remedy, got=got)
    return {"low": low, "likely": likely, "high": high}


def _allowed(reader: Reader, stated: Table, path: str, field: FieldInfo, unit: str) -> bool:
    """Whether a number stated in `unit` obeys the rule of its field; note it if not."""
    ends = {key: stated[key] for key in ("low", "likely", "high")}
    single = stated["low"] == stated["high"]
    for key, value in ends.items():
        place = path if single else f"{path}.{key}"
        inside = field.low <= convert(value, unit, field.unit) <= field.high
        if not inside or (field.whole and value != round(value)):
            reader.fault(place, _rule(reader, field), value, _hint(value, field, unit))
            return False
    if not single and not field.ranged:
        reader.fault(path, "must be one number, not a range", None, f"state one number: {field.label}")
        return False
    return True


def _rule(reader: Reader, field: FieldInfo) -> str:
    """Say what may stand for a field."""
    if math.isinf(field.low):
        return "must be a finite number"
    words = "".join(f' or "{word}"' for word in field.words)
    return f"({field.label}) {field.rule(reader.units)}{words}"


def _hint(value: float, field: FieldInfo, unit: str) -> str:
    """Say what a number of this field is, and how a percentage is written."""
    if unit in FRACTION_UNITS and field.high <= 1:
        percent = value if 1 < value <= 100 else 3
        return f"it is a fraction: {number_text(percent)} % is written {number_text(percent / 100)}"
    return (
        f"the unit is{unit_text(unit)}" if unit_text(unit) and "money" not in unit else "correct the number"
    )


def _write_a_number(raw: Any, field: FieldInfo) -> str:
    """Say what to write instead of something that is no number."""
    if isinstance(raw, bool):
        return "write a number: true and false are none"
    if isinstance(raw, float):
        return "nan and inf are no numbers that can be reckoned with"
    return "write a number, or { value, basis, note }, or { low, likely, high, basis, note }"
