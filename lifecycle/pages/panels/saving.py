"""What was entered, as a scenario file to keep; read back, it is the same.

Lecture
-------
The file is the one that `lifecycle new` writes from the answers (or the file that the page was opened
with), with the figures that were changed on the page in their places. So it can be read, changed by hand
and given to every command. It is read back before it is offered: a figure that could not be written down
is a fault, not a loss.

Left out: writing it anywhere. The browser keeps it, when asked.
"""

from __future__ import annotations

from typing import Any

from lifecycle import files
from lifecycle.errors import Fault, ScenarioError
from lifecycle.pages.panels.state import Entered, plain
from lifecycle.quantities import Figure, convert
from lifecycle.scenario import Scenario

SECTIONS = ("study", "owner", "leaks", "figures", "roofs", "existing", "coach", "climate")
"""Sections of a file in which a figure can be changed on a page."""

NAME = "my-roof.toml"
"""Of the file, unless it came from one."""

_ROUNDING = 1e-9


def can_be_written(figure: Figure) -> bool:
    """Whether a figure has a place of its own in a file."""
    section, *rest = figure.path.split(".")
    return section in SECTIONS and len(rest) == (2 if section == "roofs" else 1)


def scenario_file(entered: Entered) -> str:
    """Return a scenario file of what was entered."""
    import tomlkit

    base = plain(entered)
    here = {path: figure for path, figure in entered.changed.items() if path in base.inputs}
    if not here:
        return base.text
    document: Any = tomlkit.parse(base.text)
    units = document.get("units", "us")
    for path, figure in here.items():
        *tables, name = path.split(".")
        place = document
        for table in tables:
            if table not in place:
                place[table] = tomlkit.table()
            place = place[table]
        place[name] = _written(figure, units)
    text = tomlkit.dumps(document)
    _check(files.loads(text, NAME), here)
    return text


def file_name(entered: Entered) -> str:
    """Return the name under which a file is kept."""
    source = entered.by_hand.source if entered.by_hand is not None else ""
    last = source.replace("\\", "/").rpartition("/")[2]
    return last if last.endswith(".toml") else NAME


def _written(figure: Figure, units: str) -> Any:
    """Return a figure as an inline table in the units of the file."""
    import tomlkit

    unit = figure.field.unit_in(units)
    numbers = {
        name: _whole(convert(value, figure.field.unit, unit))
        for name, value in (("low", figure.low), ("likely", figure.likely), ("high", figure.high))
    }
    table = tomlkit.inline_table()
    table.update(numbers if figure.ranged else {"value": numbers["likely"]})
    if figure.ranged and figure.shape:
        table["shape"] = figure.shape
    table["basis"] = figure.basis
    for name, text in (("source", figure.source), ("note", figure.note)):
        if text:
            table[name] = text
    return table


def _whole(number: float) -> int | float:
    """Return a whole number as one."""
    return int(number) if number == int(number) else number


def _check(read: Scenario, changed: dict[str, Figure]) -> None:
    """Check that a file that was read back says what was entered."""
    faults = []
    for path, figure in changed.items():
        found = read.inputs.get(path)
        same = found is not None and all(
            abs(one - other) <= _ROUNDING * max(1.0, abs(other))
            for one, other in zip(
                (found.low, found.likely, found.high), (figure.low, figure.likely, figure.high), strict=True
            )
        )
        if not same:
            faults.append(
                Fault(path, "cannot be written into a file", remedy="change it in the file by hand")
            )
    if faults:
        raise ScenarioError(faults)
