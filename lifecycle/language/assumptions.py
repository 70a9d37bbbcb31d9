"""The figures that an answer stands on, as rows and tables for notebooks.

Lecture
-------
Three views of the register of assumptions, for people who do not read a register: how many figures
rest on what, in one sentence; the figures that move the answer most, each with its range and basis;
and all of them. Ranges are written as in the register, from low over likely to high.

Left out: what the figures imply together (`figures`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from lifecycle.language.labels import counted, input_name
from lifecycle.language.sentences import say, words
from lifecycle.scenario import Scenario
from lifecycle.studies.register import Entry, register

if TYPE_CHECKING:
    import pandas

BASES: Mapping[str, str] = words("labels.bases")
"""What each basis means, in plain words."""

MOST = 8
"""Figures shown that move the answer most."""


def bases_sentence(scenario: Scenario) -> str:
    """Say on what the estimates of a scenario rest."""
    table = register(scenario)
    parts = [f"{number} {BASES[basis]}" for basis, number in table.by_basis.items() if number]
    return say("labels.estimates", estimates=counted(table.estimates, "estimate"), bases="; ".join(parts))


def assumptions(scenario: Scenario) -> pandas.DataFrame:
    """Return every figure of a scenario with its range and basis."""
    import pandas

    entries = {entry.path: entry for entry in register(scenario).entries}
    rows = [{"figure": input_name(scenario.inputs[path]), **_row(entry)} for path, entry in entries.items()]
    return pandas.DataFrame(rows).set_index("figure")


def _row(entry: Entry) -> dict[str, str]:
    """Return range, unit and basis of a figure in plain words."""
    rests_on = ": ".join(part for part in (BASES[entry.basis], entry.source) if part)
    return {"low ... likely ... high": f"{entry.amount.text} {entry.unit}".strip(), "rests on": rests_on}
