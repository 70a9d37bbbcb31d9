"""The climate of a weather record as a section of a scenario: by itself, or in its place in a file.

Lecture
-------
Drivers stand on a line each, with the station and the years as their source. In a scenario only they are
exchanged; everything else, comments too, stays as it was.

Left out: where the drivers come from (`records.weather`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario

HEAD = """# The climate of a place, from a daily weather record. Put this section into a scenario in place of
# its own, or let the weather command do it: --scenario. The sun is in no such record: name a place,
# or state it.
"""
"""What stands above a climate that is written by itself."""


def climate_alone(figures: Mapping[str, Mapping[str, Any]], units: str) -> str:
    """Return the section by itself."""
    import tomlkit

    named = {"us": "F", "metric": "C"}[units]
    return (
        HEAD
        + f'# Temperatures in {named}: for a scenario with units = "{units}".\n\n'
        + tomlkit.dumps({"climate": {name: _inline(figure) for name, figure in figures.items()}})
    )


def climate_into(scenario: Scenario, figures: Mapping[str, Mapping[str, Any]]) -> str:
    """Return a scenario with the drivers in its section, all else as it was."""
    import tomlkit

    document = tomlkit.parse(scenario.text)
    if "climate" not in document:
        document["climate"] = tomlkit.table()
    section: Any = document["climate"]
    for name, figure in figures.items():
        section[name] = _inline(figure)
    return tomlkit.dumps(document)


def _inline(figure: Mapping[str, Any]) -> Any:
    """Return a figure on one line."""
    import tomlkit

    table = tomlkit.inline_table()
    table.update(figure)
    return table
