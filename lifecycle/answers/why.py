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

from collections.abc import Iterator
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Items, Sentence, Table
from lifecycle.answers.figures import entry_result, figures_answer, register_table
from lifecycle.answers.shared import Told, head_of, made_by
from lifecycle.errors import Fault, ScenarioError, closest
from lifecycle.language.labels import HEADINGS, LABELS, counted, listed, years_text
from lifecycle.language.sentences import say
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


def figures(scenario: Scenario, *, why: str | None = None, told: Told) -> Answer:
    """List every figure, where it comes from, and what the figures imply together; or trace one number."""
    if why is not None:
        return traced(scenario, why)
    told.step("what the figures imply")
    return figures_answer(scenario)


def traced(scenario: Scenario, name: str) -> Answer:
    """Answer what one printed number, or one input, stands on."""
    found = _called(scenario, name)
    blocks = _input(scenario, found) if isinstance(found, Figure) else _traced(scenario, found)
    return Answer(HEADINGS["figures"], scenario.title, tuple(blocks), _data(scenario, found))


def _called(scenario: Scenario, name: str) -> Trace | Figure:
    """Find out what a name means: a result with its inputs, or an input."""
    if found := _input_called(scenario, name):
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


def _input_called(scenario: Scenario, name: str) -> Figure | None:
    """Return the input of a path, or of the only path that ends so."""
    if name in scenario.inputs:
        return scenario.inputs[name]
    ends = [path for path in scenario.inputs if path.endswith(f".{name}")]
    if len(ends) > 1:
        rule = "must be the end of one path only"
        raise ScenarioError([Fault("--why", rule, f'"{name}"', f"write {' or '.join(ends[:4])}")])
    return scenario.inputs[ends[0]] if ends else None


def _traced(scenario: Scenario, found: Trace) -> Iterator[Block]:
    """Say what a result is here, and what it stands on."""
    yield Sentence(_is(found, scenario))
    yield Sentence(say("figures.how", how=found.result.how, term=found.result.term))
    shown = [(move, entry(move.figure, scenario)) for move in found.moves[:LISTED]]
    if shown:
        table = register_table([line for _, line in shown], say("figures.moves"))
        made = [_from_to(found, move, scenario) for move, _ in shown]
        rows = tuple((*row[:2], makes, row[2]) for row, makes in zip(table.rows, made, strict=True))
        head = (*table.head[:2], say("figures.heads.makes"), table.head[2])
        yield Table(head, rows, table.caption)
    yield Sentence(" ".join(_rest(found)), "note")
    if found.fixed:
        yield register_table([entry(figure, scenario) for figure in found.fixed], say("figures.fixed"))


def _is(found: Trace, scenario: Scenario) -> str:
    """Say what the result is here."""
    titles = {way.name: way.title for way in scenario.alternatives}
    return say(
        "figures.is",
        Result=f"{found.result.label[:1].upper()}{found.result.label[1:]}",
        way=titles[found.way],
        against=say("figures.against", way=titles[found.than]) if found.than else "",
        kept=years_text(found.years),
        value=_value(found, found.likely, scenario),
    )


def _value(found: Trace, value: float, scenario: Scenario) -> str:
    """Return a value of the result with its unit."""
    if found.result.unit == "money":
        return money_text(value, scenario.currency)
    if found.result.unit == "-":
        return f"{number_text(100.0 * value, 3)} %"
    return f"{number_text(value, 3)} {found.result.unit}"


def _from_to(found: Trace, move: Move, scenario: Scenario) -> str:
    """Return what an input makes of the result at its two ends."""
    low, high = (_value(found, end, scenario) for end in (move.at_low, move.at_high))
    return say("figures.from_to", low=low, high=high)


def _rest(found: Trace) -> list[str]:
    """Count the inputs that are not listed, and all by basis."""
    bases = [move.figure.basis for move in found.moves]
    by_basis = listed(f"{bases.count(basis)} {basis}" for basis in dict.fromkeys(bases))
    more, still = len(found.moves) - LISTED, found.still
    lines = []
    if more > 0:
        name = "more_moves" if more == 1 else "more_move"
        lines.append(say(f"figures.{name}", figures=counted(more, "more figure")))
    if not bases:
        return [*lines, say("figures.no_range")]
    lines.append(say("figures.ranges", ranges=counted(len(bases), "range"), by_basis=by_basis))
    return [*lines, say(f"figures.still_{'one' if still == 1 else 'many'}", ranges=counted(still, "range"))]


def _input(scenario: Scenario, figure: Figure) -> Iterator[Block]:
    """Return the register's line of an input, what it means, and what it makes of the cost of each way."""
    line = entry(figure, scenario)
    yield register_table([line])
    if line.meaning:
        yield Sentence(say("figures.meaning", term=line.term, meaning=line.meaning))
    if scenario.trouble:
        return
    cost, accounts = results()["net_present_cost"], moved(scenario)
    traced = [trace(scenario, cost, way.name, accounts) for way in scenario.alternatives]
    moves = [(one, move) for one in traced for move in one.moves if move.figure.path == figure.path]
    titles = {way.name: way.title for way in scenario.alternatives}
    if not moves:
        yield Sentence(say("figures.one_value"))
        return
    yield Sentence(say("figures.cost"))
    lines = []
    for one, move in moves:
        lines.append(say("figures.cost_of", way=titles[one.way], range=_from_to(one, move, scenario)))
    yield Items(tuple(lines))


def _data(scenario: Scenario, found: Trace | Figure) -> dict[str, Any]:
    """Return the answer as plain data."""
    whole, made = head_of(scenario), made_by(scenario, "expectation")
    if isinstance(found, Figure):
        return {**whole, "figure": entry_result(entry(found, scenario)), "made_by": made}
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
        "made_by": made,
    }
