"""The register of assumptions on the terminal and as JSON: every figure, and what they imply together.

Lecture
-------
Each input opens with its path with value or range, unit and basis; below stand what it means, its
source and note, and the tool's own figure where another stands in its place. Then come the count by
basis, how the tool's own figures stand to the joint bands, and what the figures of this scenario
imply together under each upkeep plan: at likely values, and in brackets the lowest and the highest
that one input alone makes of it. Where the coach was measured, what it needs stands between the two,
with the figures of the material; these are no inputs, for the comparison does not depend on them.

Left out: how much each figure matters to the answer (`cautions`, the swings).
"""

from __future__ import annotations

from textwrap import fill
from typing import Any

import lifecycle
from lifecycle.answers.tables import Row, laid_out
from lifecycle.answers.takeoff import figures_of, takeoff_lines, takeoff_result
from lifecycle.language.labels import HEADINGS, counted, listed
from lifecycle.language.lines import WIDTH, wrapped
from lifecycle.quantities import number_text
from lifecycle.scenario import Scenario, takeoff_of
from lifecycle.studies.effects import Effect, effects
from lifecycle.studies.implied import QUANTITIES, Extreme, Implied, PlanImplied, Quantity, implied
from lifecycle.studies.register import Amount, Entry, Register, entry, register

IMPLIED_HEADING = "What these figures imply together, for such a roof laid anew"
"""Heading of the second half."""

INDENT = "    "
"""Before what an input means."""

OTHERS_HEADING = "Figures that the comparison does not depend on"
"""Heading of coating, sealant, label and cooling."""

EFFECTS_HEADING = (
    "What the high end of a range does to the cost of each way: + dearer, - less dear, . nothing"
)
"""Heading of the signs."""

SIGNS = {1: "+", -1: "-", 0: "."}
"""How a sign is shown."""

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
    for line in table.entries:
        lines += entry_lines(line)
    needs = _takeoff(scenario)
    implies = _implied(implied(scenario), scenario.currency)
    bands, signs = wrapped(table.on_bands), _effects(effects(scenario))
    return "\n".join([*lines, "", *_counts(table), "", *bands, "", *needs, *signs, *implies])


def _effects(found: tuple[Effect, ...]) -> list[str]:
    """Return which way each ranged figure moves the cost of each way, and why where that surprises."""
    if not found:
        return []
    ways = tuple(found[0].changes)
    rows = [Row(one.figure.path, tuple(SIGNS[one.sign(way)] for way in ways)) for one in found]
    reasons = {one.figure.field.label: one.reason for one in found if one.surprising}
    why = wrapped(f"{label}: {reason}" for label, reason in reasons.items())
    legend = [f"[{number}] {way}" for number, way in enumerate(ways, start=1)]
    return [EFFECTS_HEADING, *legend, "", *laid_out(rows, len(ways)), "", *why, ""]


def _takeoff(scenario: Scenario) -> list[str]:
    """Return what the coach needs, and the figures that it rests on."""
    found, others = takeoff_of(scenario), figures_of(scenario)
    lines = [*wrapped(takeoff_lines(found, scenario)), ""] if found is not None else []
    if others:
        lines += [OTHERS_HEADING, *(line for one in others for line in entry_lines(entry(one, scenario))), ""]
    return lines


def entry_lines(line: Entry) -> list[str]:
    """Return one input: its numbers and basis on a line; below, what it is and where it comes from."""
    unit = f" {line.unit}" if line.unit else ""
    shape = f", {line.amount.shape}" if line.amount.shape else ""
    said = [line.label]
    said += [f"source: {line.source}"] if line.source else []
    said += [line.note] if line.note else []
    if line.own is not None and line.changed:
        said.append(f"the tool's own: {line.own.text}")
    about = fill(
        "; ".join(said), WIDTH, initial_indent=INDENT, subsequent_indent=INDENT, break_long_words=False
    )
    return [f"{line.path} = {line.amount.text}{unit}{shape}  [{line.basis}]", about]


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


def _implied(plans: tuple[PlanImplied, ...], currency: str) -> list[str]:
    """Return what the figures imply, a column for each plan."""
    legend = [f"[{number}] {plan.title}" for number, plan in enumerate(plans, start=1)]
    single = {quantity.name for quantity in QUANTITIES if quantity.name.startswith(SINGLE_AGE)}
    ranges = [
        Row(
            quantity_label(quantity, currency),
            tuple(implied_text(plan.implied[quantity.name]) for plan in plans),
        )
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


def quantity_label(quantity: Quantity, currency: str) -> str:
    """Return a label with its unit; shares are in per cent, counts name what is counted."""
    units = {"-": ", %", "money/year": f", {currency}"}
    return f"{quantity.label}{units.get(quantity.unit, '')}"


def _likely(value: Implied) -> str:
    """Return a value at likely inputs."""
    return _number(value.likely, value.quantity.unit)


def implied_text(value: Implied) -> str:
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
        "figures": [entry_result(line) for line in table.entries],
        "by_basis": dict(table.by_basis),
        "estimates": table.estimates,
        "statements": table.statements,
        "offers": table.offers,
        "changed": table.changed,
        "joint_bands": list(table.on_bands),
        "effects": [
            {
                "figure": one.figure.path,
                "changes": dict(one.changes),
                "expected": one.expected,
                "reason": one.reason if one.surprising else None,
            }
            for one in effects(scenario)
        ],
        **_takeoff_result(scenario),
        "implied": {plan.plan: _plan_result(plan) for plan in implied(scenario)},
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "scenario_sha256": scenario.sha256,
        },
    }


def _takeoff_result(scenario: Scenario) -> dict[str, Any]:
    """Return what the coach needs, and the figures that are no inputs; nothing without either."""
    found, figures = takeoff_of(scenario), figures_of(scenario)
    needs = {} if found is None else {"takeoff": takeoff_result(found)}
    others = [entry_result(entry(figure, scenario)) for figure in figures]
    return {**needs, "other_figures": others} if others else needs


def entry_result(line: Entry) -> dict[str, Any]:
    """Return one input as plain data."""
    return {
        "path": line.path,
        "label": line.label,
        "term": line.term,
        "meaning": line.meaning,
        "unit": line.unit,
        **_amount(line.amount),
        "basis": line.basis,
        "source": line.source or None,
        "note": line.note or None,
        "own": None if line.own is None else _amount(line.own),
        "statement": line.statement,
        "this_run": line.this_run,
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
