"""The register of assumptions on the terminal and as JSON: every figure, and what they imply together.

Lecture
-------
Each input takes two lines: its path with value or range, unit and basis; then what it means, its
source and note, and the tool's own figure where another stands in its place. Then come the count by
basis, how the tool's own figures stand to the joint bands, and what the figures of this scenario
imply together under each upkeep plan: at likely values, and in brackets the lowest and the highest
that one input alone makes of it.

Left out: how much each figure matters to the answer (`cautions`, the swings).
"""

from __future__ import annotations

from typing import Any

import lifecycle
from lifecycle.faces.labels import HEADINGS, counted, listed
from lifecycle.faces.tables import Row, laid_out
from lifecycle.quantities import number_text
from lifecycle.scenario import Scenario
from lifecycle.studies.implied import QUANTITIES, Extreme, Implied, PlanImplied, Quantity, implied
from lifecycle.studies.register import Amount, Entry, Register, register

IMPLIED_HEADING = "What these figures imply together, for such a roof laid anew"
"""Heading of the second half."""

SINGLE_AGE = "new leak, age "
"""How the names of the chances in a single year of age begin; they make a table of their own."""

BY_AGE = "Chance of a new leak in the year of age, %, at likely values"
"""Heading of that table."""


def figures_text(scenario: Scenario) -> str:
    """Return the register, and what the figures imply, as plain text.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    str
        Many lines.
    """
    table = register(scenario)
    lines = [HEADINGS["figures"], scenario.title, ""]
    for entry in table.entries:
        lines += _entry(entry)
    return "\n".join([*lines, "", *_counts(table), "", *table.on_bands, "", *_implied(implied(scenario))])


def _entry(entry: Entry) -> list[str]:
    """Return the two lines of one input."""
    unit = f" {entry.unit}" if entry.unit else ""
    shape = f", {entry.amount.shape}" if entry.amount.shape else ""
    said = [entry.label]
    said += [f"source: {entry.source}"] if entry.source else []
    said += [entry.note] if entry.note else []
    if entry.own is not None and entry.changed:
        said.append(f"the tool's own: {entry.own.text}")
    return [f"{entry.path} = {entry.amount.text}{unit}{shape}  [{entry.basis}]", f"    {'; '.join(said)}"]


def _counts(table: Register) -> list[str]:
    """Count the figures by basis."""
    by_basis = [f"{number} {basis}" for basis, number in table.by_basis.items() if number]
    lines = [f"{counted(table.estimates, 'estimate')} by basis: {listed(by_basis) or 'none'}."]
    lines.append(f"{counted(table.statements, 'statement')} (ages, intervals, years shown).")
    lines.append(
        f"{counted(table.offers, 'figure')} said by somebody who gains by it; "
        f"{table.changed} in the place of one of the tool's own."
    )
    return lines


def _implied(plans: tuple[PlanImplied, ...]) -> list[str]:
    """Return what the figures imply, a column for each plan."""
    legend = [f"[{number}] {plan.title}" for number, plan in enumerate(plans, start=1)]
    single = {quantity.name for quantity in QUANTITIES if quantity.name.startswith(SINGLE_AGE)}
    ranges = [
        Row(_label(quantity), tuple(_cell(plan.implied[quantity.name]) for plan in plans))
        for quantity in QUANTITIES
        if quantity.name not in single
    ]
    ages = [
        Row(
            quantity.name.removeprefix(SINGLE_AGE),
            tuple(_likely(plan.implied[quantity.name]) for plan in plans),
        )
        for quantity in QUANTITIES
        if quantity.name in single
    ]
    head = "At likely values; in brackets the lowest and highest that one input alone makes of it."
    tables = [head, "", *laid_out(ranges, len(plans)), "", BY_AGE, "", *laid_out(ages, len(plans))]
    return [IMPLIED_HEADING, *legend, "", *tables]


def _label(quantity: Quantity) -> str:
    """Return a label with its unit; shares are in per cent."""
    return f"{quantity.label}, %" if quantity.unit == "-" else quantity.label


def _likely(value: Implied) -> str:
    """Return a value at likely inputs."""
    return _number(value.likely, value.quantity.unit)


def _cell(value: Implied) -> str:
    """Return a value with its extremes."""
    low, high = (extreme.value if extreme else value.likely for extreme in (value.low, value.high))
    texts = [_number(number, value.quantity.unit) for number in (value.likely, low, high)]
    return texts[0] if low == high else f"{texts[0]} ({texts[1]}-{texts[2]})"


def _number(number: float, unit: str) -> str:
    """Return a number with two significant digits; shares in per cent."""
    shown = 100.0 * number if unit == "-" else number
    return number_text(float(f"{shown:.2g}"), 2)


def figures_result(scenario: Scenario) -> dict[str, Any]:
    """Return the register, and what the figures imply, as plain data.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    table = register(scenario)
    return {
        "schema": 1,
        "title": scenario.title,
        "currency": scenario.currency,
        "figures": [_entry_result(entry) for entry in table.entries],
        "by_basis": dict(table.by_basis),
        "estimates": table.estimates,
        "statements": table.statements,
        "offers": table.offers,
        "changed": table.changed,
        "joint_bands": list(table.on_bands),
        "implied": {plan.plan: _plan_result(plan) for plan in implied(scenario)},
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "scenario_sha256": scenario.sha256,
        },
    }


def _entry_result(entry: Entry) -> dict[str, Any]:
    """Return one input as plain data."""
    return {
        "path": entry.path,
        "label": entry.label,
        "term": entry.term,
        "meaning": entry.meaning,
        "unit": entry.unit,
        **_amount(entry.amount),
        "basis": entry.basis,
        "source": entry.source or None,
        "note": entry.note or None,
        "own": None if entry.own is None else _amount(entry.own),
        "statement": entry.statement,
        "this_run": entry.this_run,
    }


def _amount(amount: Amount) -> dict[str, Any]:
    """Return a value or a range as plain data."""
    return {
        "likely": amount.likely,
        "low": amount.low,
        "high": amount.high,
        "shape": amount.shape or None,
    }


def _plan_result(plan: PlanImplied) -> dict[str, Any]:
    """Return what the figures imply under one plan as plain data."""
    return {
        "title": plan.title,
        "quantities": {
            name: {
                "label": value.quantity.label,
                "unit": value.quantity.unit,
                "likely": value.likely,
                "low": _extreme(value.low),
                "high": _extreme(value.high),
            }
            for name, value in plan.implied.items()
        },
    }


def _extreme(extreme: Extreme | None) -> dict[str, Any] | None:
    """Return the furthest that one input alone takes a quantity as plain data."""
    if extreme is None:
        return None
    return {"value": extreme.value, "input": extreme.figure.path, "end": extreme.end}
