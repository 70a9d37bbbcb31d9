"""Why this number? From a printed result, or the name of an input, to bases and sources.

Lecture
-------
A result is named as it is printed (a label of the tables, a standard's word, a name of the result files),
with the way before it if it is not the one that the verdict is about: ``keep.leak damage``. The answer says
what it is, what it is here, and then lists the inputs that it stands on, the one that moves it most first:
value or range, basis, source, and what it alone makes of the result.

An input is named by its path, or by the end of it. The answer is its line of the register, and what it
makes of the cost of each way.

Left out: chances over the futures; they stand on the same inputs, all moved at once.
"""

from __future__ import annotations

from typing import Any

import lifecycle
from lifecycle.answers.figures import entry_lines, entry_result
from lifecycle.answers.shared import SCHEMA
from lifecycle.errors import Fault, ScenarioError, closest
from lifecycle.language.labels import HEADINGS, LABELS, counted, listed, years_text
from lifecycle.language.lines import blocks, wrapped
from lifecycle.quantities import Figure, money_text, number_text
from lifecycle.scenario import Scenario
from lifecycle.studies.register import entry
from lifecycle.studies.tracing import Move, Trace, moved, result_called, results, trace

ROWS = {"cheaper by": "net_savings", "dearer by": "net_savings"}
"""Rows of the table of ways that are one result."""

FOLLOWING = (LABELS["break-even year"], LABELS["break-even price"])
"""Rows of that table that follow from another."""

LISTED = 12
"""Inputs listed, the one that moves the result most first; the others are counted."""


def why(scenario: Scenario, name: str) -> Trace | Figure:
    """Find out what a name means: a result with its inputs, or an input.

    Parameters
    ----------
    scenario : Scenario
        Without trouble, if a result is asked for.
    name : str
        As printed.

    Returns
    -------
    Trace or Figure

    Raises
    ------
    ScenarioError
        If nothing is called so, with the nearest name.
    """
    if found := _input(scenario, name):
        return found
    way, _, rest = name.partition(".")
    named = {one.name: one for one in scenario.alternatives}
    asked = rest if way in named else name
    result = result_called(ROWS.get(asked.strip().casefold(), asked))
    if result is None:
        if asked.strip().casefold() in FOLLOWING:
            rule = "cannot be traced by itself: it follows from what a way is cheaper or dearer by"
            remedy = 'write --why "cheaper or dearer by"'
            raise ScenarioError([Fault("--why", rule, f'"{name}"', remedy)])
        known = [*results(), *(one.label for one in results().values()), *scenario.inputs]
        near = closest(asked, known)
        printed = ", ".join(f'"{one.label}"' for one in results().values())
        remedy = f'did you mean "{near}"?' if near else f"results: {printed}; or the path of an input"
        raise ScenarioError([Fault("--why", "must name a result or an input", f'"{name}"', remedy)])
    if scenario.trouble:
        rule = "cannot be traced: trouble is reported, so nothing is compared"
        raise ScenarioError([Fault("--why", rule, f'"{name}"', "open the roof first")])
    try:
        return trace(scenario, result, way if way in named else None)
    except ValueError as error:
        rule = "must name a way that the result can be of"
        raise ScenarioError([Fault("--why", rule, f'"{name}"', str(error))]) from None


def _input(scenario: Scenario, name: str) -> Figure | None:
    """Return the input of a path, or of the only path that ends so."""
    if name in scenario.inputs:
        return scenario.inputs[name]
    ends = [path for path in scenario.inputs if path.endswith(f".{name}")]
    if len(ends) > 1:
        rule = "must be the end of one path only"
        raise ScenarioError([Fault("--why", rule, f'"{name}"', f"write {' or '.join(ends[:4])}")])
    return scenario.inputs[ends[0]] if ends else None


def why_text(scenario: Scenario, found: Trace | Figure) -> str:
    """Return the answer as plain text.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Trace or Figure
        What was asked for.

    Returns
    -------
    str
        Many lines.
    """
    head = [HEADINGS["figures"], scenario.title]
    if isinstance(found, Figure):
        return blocks(head, _input_lines(scenario, found))
    moves = [line for move in found.moves[:LISTED] for line in _move(found, move, scenario)]
    return blocks(
        head,
        wrapped([_is(found, scenario), f"{found.result.how} ({found.result.term})"]),
        ["What each figure alone makes of it, from the low to the high end of its range:"] if moves else [],
        moves,
        wrapped(_rest(found)),
        _fixed(found, scenario),
    )


def _is(found: Trace, scenario: Scenario) -> str:
    """Say what the result is here."""
    titles = {way.name: way.title for way in scenario.alternatives}
    against = f', compared with "{titles[found.than]}"' if found.than else ""
    kept = f"if you keep it {years_text(found.years)}"
    return (
        f'{found.result.label[:1].upper()}{found.result.label[1:]}, "{titles[found.way]}"{against}, {kept}: '
        f"{_value(found, found.likely, scenario)} with every figure at its likely value."
    )


def _value(found: Trace, value: float, scenario: Scenario) -> str:
    """Return a value of the result with its unit."""
    if found.result.unit == "money":
        return money_text(value, scenario.currency)
    if found.result.unit == "-":
        return f"{number_text(100.0 * value, 3)} %"
    return f"{number_text(value, 3)} {found.result.unit}"


def _move(found: Trace, move: Move, scenario: Scenario) -> list[str]:
    """Return the lines of one input."""
    first, second = entry_lines(entry(move.figure, scenario))
    ends = f"{_value(found, move.at_low, scenario)} to {_value(found, move.at_high, scenario)}"
    return [first, second, f"    makes it {ends}"]


def _rest(found: Trace) -> list[str]:
    """Count the inputs that are not listed, and all by basis."""
    bases = [move.figure.basis for move in found.moves]
    by_basis = listed(f"{bases.count(basis)} {basis}" for basis in dict.fromkeys(bases))
    more, still = len(found.moves) - LISTED, found.still
    lines = []
    if more > 0:
        lines.append(f"{counted(more, 'more figure')} {'moves' if more == 1 else 'move'} it less.")
    if bases:
        lines.append(f"Of the {counted(len(bases), 'range')} that move it: {by_basis}.")
        lines.append(f"{counted(still, 'range')} {'does' if still == 1 else 'do'} not move it.")
    else:
        lines.append("No range of this scenario moves it.")
    return lines


def _fixed(found: Trace, scenario: Scenario) -> list[str]:
    """List the inputs at one value that the result stands on."""
    if not found.fixed:
        return []
    lines = [line for figure in found.fixed for line in entry_lines(entry(figure, scenario))]
    return ["It stands on these as well, each at one value:", *lines]


def _input_lines(scenario: Scenario, figure: Figure) -> list[str]:
    """Return the register's lines of an input, what it means, and what it makes of the cost of each way."""
    line = entry(figure, scenario)
    said = [*entry_lines(line), *wrapped([f"{line.term}: {line.meaning}"] if line.meaning else [])]
    if scenario.trouble:
        return said
    cost = results()["net_present_cost"]
    accounts = moved(scenario)
    traced = [trace(scenario, cost, way.name, accounts) for way in scenario.alternatives]
    moves = [(one, move) for one in traced for move in one.moves if move.figure.path == figure.path]
    titles = {way.name: way.title for way in scenario.alternatives}
    said += ["", "Cost of each way in today's money, at its low and its high end:"] if moves else []
    said += [
        f"- {titles[one.way]}: {_value(one, move.at_low, scenario)} to {_value(one, move.at_high, scenario)}"
        for one, move in moves
    ]
    if not moves:
        said += ["", "It is one value here, or moves the cost of no way."]
    return said


def why_result(scenario: Scenario, found: Trace | Figure) -> dict[str, Any]:
    """Return the answer as plain data.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Trace or Figure
        What was asked for.

    Returns
    -------
    dict
        Of str, int, float, None, lists and dicts.
    """
    made_by = {"version": lifecycle.__version__, "method": "expectation", "scenario_sha256": scenario.sha256}
    whole = {"schema": SCHEMA, "title": scenario.title, "currency": scenario.currency}
    if isinstance(found, Figure):
        return {**whole, "figure": entry_result(entry(found, scenario)), "made_by": made_by}
    return {
        **whole,
        "result": vars(found.result),
        "way": found.way,
        "than": found.than or None,
        "years": found.years,
        "likely": found.likely,
        "figures": [
            {
                **entry_result(entry(move.figure, scenario)),
                "result_at_low": move.at_low,
                "result_at_high": move.at_high,
            }
            for move in found.moves
        ],
        "at_one_value": [entry_result(entry(figure, scenario)) for figure in found.fixed],
        "ranges_that_do_not_move_it": found.still,
        "made_by": made_by,
    }
