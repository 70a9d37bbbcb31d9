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

from collections.abc import Iterable, Iterator
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.shared import head_of, made_by
from lifecycle.answers.takeoff import figures_of, takeoff_lines, takeoff_result
from lifecycle.language.labels import HEADINGS, counted, listed
from lifecycle.language.sentences import say, words
from lifecycle.quantities import number_text
from lifecycle.scenario import Scenario, takeoff_of
from lifecycle.studies.effects import Effect, effects
from lifecycle.studies.implied import QUANTITIES, Extreme, Implied, PlanImplied, Quantity, implied
from lifecycle.studies.register import Amount, Entry, Register, entry, register

SIGNS = {1: "+", -1: "-", 0: "."}
"""How a sign is shown."""

SINGLE_AGE = "new leak, age "
"""How the names of the chances in a single year of age begin; they make a table of their own."""


def figures_answer(scenario: Scenario) -> Answer:
    """Put every figure, and what they imply together, into words."""
    table, plans, found = register(scenario), implied(scenario), effects(scenario)
    likely, ranges, ages = _implied(plans, scenario.currency)
    legend = Items(tuple(f"[{number}] {plan.title}" for number, plan in enumerate(plans, 1)), marks=False)
    blocks: list[Block] = [
        Sentence(" ".join(counts(table))),
        Sentence(say("figures.implied")),
        legend,
        likely,
        Rest(),
        ranges,
        register_table(table.entries),
        Items(table.on_bands),
        ages,
        *_signs(scenario, found),
        *_takeoff(scenario),
    ]
    data = _data(scenario, table, plans, found)
    return Answer(HEADINGS["figures"], scenario.title, tuple(blocks), data)


def _signs(scenario: Scenario, found: tuple[Effect, ...]) -> Iterator[Block]:
    """Return which way each ranged figure moves the cost of each way, and why where that surprises."""
    if not found:
        return
    ways = {way.name: way.title for way in scenario.alternatives}
    yield Heading(say("figures.signs"), 3)
    yield Items(tuple(f"[{number}] {title}" for number, title in enumerate(ways.values(), 1)), marks=False)
    heads = (words("figures.heads")["figure"], *(f"[{number}]" for number in range(1, len(ways) + 1)))
    yield Table(heads, tuple((one.figure.path, *(SIGNS[one.sign(way)] for way in ways)) for one in found))
    reasons = {one.figure.field.label: one.reason for one in found if one.surprising}
    yield Items(tuple(f"{label}: {reason}" for label, reason in reasons.items()))


def _takeoff(scenario: Scenario) -> Iterator[Block]:
    """Return what the coach needs, and the figures that it rests on."""
    found, others = takeoff_of(scenario), figures_of(scenario)
    if found is not None:
        head, *lines = takeoff_lines(found, scenario)
        yield Heading(head, 3)
        yield Items(tuple(lines))
    if others:
        yield register_table([entry(one, scenario) for one in others], say("figures.others"))


def register_table(lines: Iterable[Entry], caption: str = "") -> Table:
    """Return figures with value or range, basis, and where each comes from."""
    heads = words("figures.heads")
    rows = tuple((line.path, _value(line), _about(line)) for line in lines)
    return Table((heads["figure"], heads["value"], heads["about"]), rows, caption)


def _value(line: Entry) -> str:
    """Return a value or range with unit, shape and basis; a star stands for one in the tool's place."""
    unit = f" {line.unit}" if line.unit else ""
    shape = f", {line.amount.shape}" if line.amount.shape else ""
    basis = f"[{line.basis} *]" if line.changed else f"[{line.basis}]"
    return f"{line.amount.text}{unit}{shape} {basis}"


def _about(line: Entry) -> str:
    """Say what a figure is and where it comes from."""
    said = [line.label]
    said += [say("figures.source", source=line.source)] if line.source else []
    said += [line.note] if line.note else []
    if line.own is not None and line.changed:
        said.append(say("figures.own", own=line.own.text))
    return "; ".join(said)


def counts(table: Register) -> list[str]:
    """Count the figures by basis."""
    by_basis = [f"{number} {basis}" for basis, number in table.by_basis.items() if number]
    estimates, statements = counted(table.estimates, "estimate"), counted(table.statements, "statement")
    return [
        say("figures.estimates", estimates=estimates, by_basis=listed(by_basis) or say("figures.none")),
        say("figures.statements", statements=statements),
        say("figures.offers", offers=counted(table.offers, "figure"), changed=table.changed),
    ]


def _implied(plans: tuple[PlanImplied, ...], currency: str) -> tuple[Table, Table, Table]:
    """Return what the figures imply, a column for each plan: likely, with extremes, and by year of age."""
    head = tuple(f"[{number}]" for number in range(1, len(plans) + 1))
    numbers = tuple(range(1, len(head) + 1))
    single = [quantity for quantity in QUANTITIES if quantity.name.startswith(SINGLE_AGE)]
    several = [quantity for quantity in QUANTITIES if quantity not in single]

    def likely(quantity: Quantity) -> tuple[str, ...]:
        return tuple(_number(plan.implied[quantity.name].likely, quantity.unit) for plan in plans)

    def ranges(quantity: Quantity) -> tuple[str, ...]:
        return tuple(implied_text(plan.implied[quantity.name]) for plan in plans)

    named = [(quantity, quantity_label(quantity, currency)) for quantity in several]
    tables = (
        ("", [(label, *likely(one)) for one, label in named], say("figures.likely")),
        ("", [(label, *ranges(one)) for one, label in named], say("figures.extremes")),
        (
            say("figures.heads.age"),
            [(one.name.removeprefix(SINGLE_AGE), *likely(one)) for one in single],
            say("figures.by_age"),
        ),
    )
    first, second, third = (
        Table((corner, *head), tuple(rows), caption, numbers=numbers) for corner, rows, caption in tables
    )
    return first, second, third


def quantity_label(quantity: Quantity, currency: str) -> str:
    """Return a label with its unit; shares are in per cent, counts name what is counted."""
    units = {"-": ", %", "money/year": f", {currency}"}
    return f"{quantity.label}{units.get(quantity.unit, '')}"


def implied_text(value: Implied) -> str:
    """Return a value with its extremes."""
    low, high = (extreme.value if extreme else value.likely for extreme in (value.low, value.high))
    texts = [_number(number, value.quantity.unit) for number in (value.likely, low, high)]
    return texts[0] if low == high else f"{texts[0]} ({texts[1]}-{texts[2]})"


def _number(number: float, unit: str) -> str:
    """Return a number with two significant digits; shares in per cent."""
    shown = 100.0 * number if unit == "-" else number
    return number_text(float(f"{shown:.2g}"), 2)


def _data(
    scenario: Scenario, table: Register, plans: tuple[PlanImplied, ...], found: tuple[Effect, ...]
) -> dict[str, Any]:
    """Return the register, what the figures imply, and what each does to each way, as plain data."""
    return {
        **head_of(scenario),
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
            for one in found
        ],
        **_takeoff_result(scenario),
        "implied": {plan.plan: _plan_result(plan) for plan in plans},
        "made_by": made_by(scenario, "expectation"),
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
