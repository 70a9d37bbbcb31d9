"""Every figure and where it comes from, what they imply together, and why a number is what it is.

Lecture
-------
Each input opens with its path with value or range, unit and basis; below stand what it means, its source and
note, and the tool's own figure where another stands in its place. Then come the count by basis, how the
tool's own figures stand to the joint bands, and what the figures of this scenario imply together under each
upkeep plan: at likely values, and in brackets the lowest and the highest that one input alone makes of it.

Where the coach was measured, what it needs follows, in the units of the scenario: behind a volume or a weight
stand its ends, with every figure of the material at the end that takes least and most. What nobody measured
is named, and so are the figures of the material; these are no inputs, for the comparison does not depend on
them.

*Why this number?* A result is named as it is printed (a label of the tables, a standard's word, a name of the
result files), with the way before it if it is not the one that the verdict is about: ``keep.leak damage``.
The answer says what it is here, and lists the inputs that it stands on, the one that moves it most first,
with what each alone makes of it. An input is named by its path, or by the end of it; the answer is its line
of the register, and what it makes of the cost of each way.

Left out: chances over the futures, which stand on the same inputs, all moved at once; what material costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.parts import (
    Told,
    fields_of,
    film_text,
    head_of,
    in_brackets,
    made_by,
    measure_text,
    measured,
    numbered,
)
from lifecycle.coach import Geometry
from lifecycle.errors import ScenarioError, closest, fault
from lifecycle.language.labels import HEADINGS, LABELS, counted, from_to, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.material import Coating, LayerMaterial
from lifecycle.quantities import Figure, capital, money_text, number_text
from lifecycle.scenario import Scenario, Takeoff, takeoff_of
from lifecycle.studies.implied import QUANTITIES, Extreme, Implied, PlanImplied, Quantity, implied
from lifecycle.studies.register import Amount, Entry, Register, entry, register
from lifecycle.studies.tracing import Effect, Move, Trace, effects, moved, result_called, results, trace

SIGNS = {1: "+", -1: "-", 0: "."}
"""How a sign is shown."""


def figures_answer(scenario: Scenario) -> Answer:
    """Put every figure, and what they imply together, into words."""
    table, plans, found = register(scenario), implied(scenario), effects(scenario)
    likely, ranges, ages = _implied(plans, scenario.currency)
    blocks: list[Block] = [
        Sentence(" ".join(counts(table))),
        Sentence(say("figures.implied")),
        numbered([plan.title for plan in plans]),
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
    yield numbered(ways.values())
    heads = (words("figures.heads")["figure"], *in_brackets(ways))
    yield Table(heads, tuple((one.figure.path, *(SIGNS[one.sign(way)] for way in ways)) for one in found))
    reasons = {one.figure.field.label: one.reason for one in found if one.surprising}
    yield Items(tuple(f"{label}: {reason}" for label, reason in reasons.items()))


def _takeoff(scenario: Scenario) -> Iterator[Block]:
    """Return what the coach needs, and the figures that it rests on."""
    found, others = takeoff_of(scenario), figures_of(scenario)
    if found is not None:
        yield Heading(say("takeoff.heading"), 3)
        yield Items(tuple(takeoff_lines(found, scenario)))
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
    single = [quantity for quantity in QUANTITIES if quantity.age is not None]
    several = [quantity for quantity in QUANTITIES if quantity.age is None]

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
            [(str(one.age), *likely(one)) for one in single],
            say("figures.by_age"),
        ),
    )
    first, second, third = (
        Table.of_numbers((corner, *in_brackets(plans)), rows, caption) for corner, rows, caption in tables
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
        **fields_of(table, "estimates", "statements", "offers", "changed"),
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
        **fields_of(line, "path", "label", "term", "meaning", "unit"),
        **_amount(line.amount),
        "basis": line.basis,
        "source": line.source or None,
        "note": line.note or None,
        "own": None if line.own is None else _amount(line.own),
        **fields_of(line, "statement", "this_run"),
    }


def _amount(amount: Amount) -> dict[str, Any]:
    """Return a value or a range as plain data."""
    return {**fields_of(amount, "likely", "low", "high"), "shape": amount.shape or None}


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


ROWS = {say(f"compare.{side}_by"): "net_savings" for side in ("cheaper", "dearer")}
"""Rows of the table of ways that are one result."""

FOLLOWING = (LABELS["break-even year"], LABELS["break-even price"])
"""Rows of that table that follow from another."""

LISTED = 12
"""Inputs listed, the one that moves the result most first; the others are counted."""


def figures(scenario: Scenario, *, why: str | None = None, told: Told) -> Answer:
    """List every figure, where it comes from, and what the figures imply together; or trace one number."""
    if why is not None:
        return traced(scenario, why)
    told.step(say("figures.working"))
    return figures_answer(scenario)


def traced(scenario: Scenario, name: str) -> Answer:
    """Answer what one printed number, or one input, stands on."""
    found = _called(scenario, name)
    blocks = _input(scenario, found) if isinstance(found, Figure) else _traced(scenario, found)
    return Answer(HEADINGS["figures"], scenario.title, tuple(blocks), _traced_data(scenario, found))


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
            savings = results()["net_savings"].label
            rule = f"cannot be traced by itself: it follows from what a way is {savings}"
            raise _untraced(rule, name, f'write --why "{savings}"')
        known = [*results(), *(one.label for one in results().values()), *scenario.inputs]
        near = closest(asked, known)
        printed = ", ".join(f'"{one.label}"' for one in results().values())
        remedy = f'did you mean "{near}"?' if near else f"results: {printed}; or the path of an input"
        raise _untraced("must name a result or an input", name, remedy)
    if scenario.trouble:
        rule = "cannot be traced: trouble is reported, so nothing is compared"
        raise _untraced(rule, name, "open the roof first")
    try:
        return trace(scenario, result, way if way in named else None)
    except ValueError as error:
        raise _untraced("must name a way that the result can be of", name, str(error)) from None


def _untraced(rule: str, name: str, remedy: str) -> ScenarioError:
    """Return what is wrong with a name."""
    return fault("--why", rule, f'"{name}"', remedy)


def _input_called(scenario: Scenario, name: str) -> Figure | None:
    """Return the input of a path, or of the only path that ends so."""
    if name in scenario.inputs:
        return scenario.inputs[name]
    ends = [path for path in scenario.inputs if path.endswith(f".{name}")]
    if len(ends) > 1:
        raise _untraced("must be the end of one path only", name, f"write {' or '.join(ends[:4])}")
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
        Result=capital(found.result.label),
        way=titles[found.way],
        against=say("figures.against", way=titles[found.than]) if found.than else "",
        kept=years_text(found.years),
        value="".join(_result_of(found, found.likely, scenario)),
    )


def _result_of(found: Trace, value: float, scenario: Scenario) -> tuple[str, str]:
    """Return a value of the result as number and unit."""
    if found.result.unit == "money":
        return money_text(value), f" {scenario.currency}".rstrip()
    if found.result.unit == "-":
        return number_text(100.0 * value, 3), " %"
    return number_text(value, 3), f" {found.result.unit}"


def _from_to(found: Trace, move: Move, scenario: Scenario) -> str:
    """Return what an input makes of the result at its two ends."""
    low, high = (_result_of(found, end, scenario) for end in (move.at_low, move.at_high))
    return from_to(low[0], *high)


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


def _traced_data(scenario: Scenario, found: Trace | Figure) -> dict[str, Any]:
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


def takeoff_lines(found: Takeoff, scenario: Scenario) -> list[str]:
    """Return what a coach needs as lines."""
    units = scenario.units
    return [
        *_shape(found.geometry, units),
        *_coating(found, units),
        *_weight(found, units),
        say("takeoff.sealant", cartridges=counted(found.cartridges, "cartridge")),
    ]


def _shape(shape: Geometry, units: str) -> list[str]:
    """Return lengths and areas."""
    sprayed, whole, joints, flanges = (
        measure_text(value, "m", units)
        for value in (shape.sprayed_length, shape.length, shape.joint_length, shape.flange_length)
    )
    area, roof = (measure_text(value, "m2", units) for value in (shape.sprayed_area, shape.roof_area))
    joint_ratio, area_ratio = (
        number_text(float(ratio), 3) for ratio in (shape.joint_ratio, shape.area_ratio)
    )
    lines = [
        say("takeoff.sprayed", sprayed=sprayed, whole=whole, area=area, roof=roof),
        say("takeoff.joints", joints=joints, flanges=flanges),
        say("takeoff.ratios", joints=joint_ratio, roof=area_ratio),
    ]
    if shape.assumed:
        lines.append(say("takeoff.assumed", what=listed(shape.assumed)))
    return lines


def _coating(found: Takeoff, units: str) -> list[str]:
    """Return what the layers take."""
    three = (found.coating, found.least, found.most)
    return [
        _layer(say("takeoff.base"), *(one.base for one in three), units=units),
        _layer(say("takeoff.topcoat"), *(one.topcoat for one in three), units=units),
    ]


def _layer(name: str, layer: LayerMaterial, least: LayerMaterial, most: LayerMaterial, *, units: str) -> str:
    """Return what one layer takes."""
    if layer.volume == 0.0:
        return say("takeoff.none", name=name)
    volume = say(
        "takeoff.volume",
        volume=measure_text(layer.volume, "L", units),
        ends=_between((least.volume, most.volume), "L", units),
    )
    coats = say(
        "takeoff.coats", coats=counted(round(layer.coats), "coat"), film=film_text(layer.film_a_coat, units)
    )
    return say("takeoff.layer", name=name, volume=volume, film=film_text(layer.film, units), coats=coats)


def _weight(found: Takeoff, units: str) -> list[str]:
    """Return what the coach gains, against the limits of its label."""
    check = found.weight
    added, back = (
        measure_text(value, "kg", units) for value in (found.coating.added, found.coating.given_back)
    )
    ends = _between((found.least.net_weight, found.most.net_weight), "kg", units)
    direction = say("takeoff.more" if check.net_weight >= 0 else "takeoff.less")
    gained = f"{measure_text(abs(check.net_weight), 'kg', units)} {direction}"
    lines = [say("takeoff.weight", added=added, back=back, gained=gained, ends=ends)]
    if check.cargo_capacity is None or check.left is None:
        lines.append(say("takeoff.no_capacity"))
    elif check.too_heavy:
        over, capacity = (measure_text(value, "kg", units) for value in (-check.left, check.cargo_capacity))
        lines.append(say("takeoff.too_heavy", over=over, capacity=capacity))
    else:
        left, capacity = (measure_text(value, "kg", units) for value in (check.left, check.cargo_capacity))
        lines.append(say("takeoff.left", capacity=capacity, left=left))
    if check.label_limit is not None:
        limit = measure_text(check.label_limit, "kg", units)
        which = say("takeoff.more") if check.on_label else say("takeoff.not_more")
        lines.append(say("takeoff.label", limit=limit, which=which))
    return lines


def _between(ends: tuple[Any, Any], unit: str, units: str) -> str:
    """Return two ends in brackets; nothing if they are the same."""
    low, high = (measured(end, unit, units)[0] for end in ends)
    return "" if low == high else f" ({low} to {high})"


def takeoff_result(found: Takeoff) -> dict[str, Any]:
    """Return what a coach needs as plain data, in m, m2, mm, L and kg."""
    shape, check = found.geometry, found.weight
    lengths = {name: float(value) for name, value in vars(shape).items() if name != "assumed"}
    return {
        **lengths,
        "not_measured": list(shape.assumed),
        "coating": _coating_result(found.coating),
        "least": _coating_result(found.least),
        "most": _coating_result(found.most),
        "net_weight": check.net_weight,
        "cargo_capacity": check.cargo_capacity,
        "cargo_left": check.left,
        "too_heavy": check.too_heavy,
        "label_limit": check.label_limit,
        "on_label": check.on_label,
        "cartridges": found.cartridges,
    }


def _coating_result(coating: Coating) -> dict[str, Any]:
    """Return a coating as plain data."""
    return {
        "base": {name: float(value) for name, value in vars(coating.base).items()},
        "topcoat": {name: float(value) for name, value in vars(coating.topcoat).items()},
        "added": float(coating.added),
        "given_back": float(coating.given_back),
    }


def figures_of(scenario: Scenario) -> tuple[Figure, ...]:
    """Return the figures of material, label and cooling that a scenario has besides its inputs."""
    coach, climate = scenario.coach, scenario.climate
    found = [*coach.limits.values(), *coach.material.values()] if coach is not None else []
    return tuple([*found, *climate.cooling.values()] if climate is not None else found)
