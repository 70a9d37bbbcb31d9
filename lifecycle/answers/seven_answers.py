"""The seven answers on paper, with what was changed since, so that anyone can retype them.

Lecture
-------
A scenario that `lifecycle new` wrote keeps the answers that it was made from. Whoever types the same
answers gets the same file but for what was changed in it by hand since; so every figure that differs
from what the answers alone would give is listed beside them. If something other than figures was
changed (ways, roofs), retyping does not give the same verdict, and that is said.

A scenario written by hand has no answers: what the seven questions stand at is read from it, and it is
said that the file itself has to be kept.

Left out: how a question is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from lifecycle.answers.blocks import Block, Sentence, Table
from lifecycle.files import loads
from lifecycle.interview import NOT_SURE, Doubt, Part, questions, scenario_text
from lifecycle.interview.typed import LENGTHS, METRES_IN_A_FOOT, in_feet
from lifecycle.language.labels import counted, input_name, listed, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import Figure, money_text, number_text
from lifecycle.reading.reader import is_number
from lifecycle.scenario import Scenario, StatedAlternative, Use
from lifecycle.studies.register import Amount, entry

CURRENCY = "USD"
"""Of the prices that stand in for what is not answered."""

NUMBERS = ("amount", "number", "age", "months")
"""Kinds of answers that are numbers."""


def answers_blocks(scenario: Scenario) -> tuple[Block, ...]:
    """Return the seven answers, and what was changed since."""
    head = (say("papers.answers.question"), say("papers.answers.answer"))
    if not scenario.answers:
        return Table(head, tuple(_stands_at(scenario))), Sentence(say("papers.answers.by_hand"), "note")
    table = Table(head, tuple(_answered(scenario)))
    changed = changed_since(scenario)
    if changed is None:
        return table, Sentence(say("papers.answers.more_changed"), "note")
    if not changed:
        return table, Sentence(say("papers.answers.as_answered"), "note")
    rows = tuple(
        (input_name(now), entry(now, scenario).figure, entry(was, scenario).figure) for was, now in changed
    )
    said = say("papers.answers.changed", figures=counted(len(changed), "figure"))
    heads = tuple(say(f"papers.answers.{name}") for name in ("changed_head", "now", "alone"))
    return table, Sentence(said, "note"), Table(heads, rows)


def changed_since(scenario: Scenario) -> tuple[tuple[Figure, Figure], ...] | None:
    """Return the figures that differ from what the answers alone give, as they were and as they are."""
    alone = loads(scenario_text(in_feet(scenario.answers, scenario.units), base_date=scenario.base_date))
    same_parts = (
        alone.inputs.keys() == scenario.inputs.keys()
        and _untitled(alone) == _untitled(scenario)
        and alone.roofs == scenario.roofs
        and alone.existing == scenario.existing
        and (alone.climbs, alone.trouble, alone.left_out)
        == (scenario.climbs, scenario.trouble, scenario.left_out)
    )
    if not same_parts:
        return None
    pairs = ((alone.inputs[path], now) for path, now in scenario.inputs.items())
    return tuple((was, now) for was, now in pairs if _numbers(was) != _numbers(now))


def _untitled(scenario: Scenario) -> list[StatedAlternative]:
    """Return the ways without their titles, which change no figure."""
    return [replace(way, title="", action="") for way in scenario.alternatives]


def _numbers(figure: Figure) -> tuple[float, float, float, str]:
    """Return what counts in a figure."""
    return figure.low, figure.likely, figure.high, figure.shape


def _answered(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Go through the questions that were answered."""
    for question in questions():
        answered = [part for part in question.parts if part.key in scenario.answers]
        texts = [answer_text(part, scenario.answers[part.key], scenario.units) for part in answered]
        yield (
            f"{question.number}. {question.text}",
            "; ".join(f"{_short(part)}: {text}" for part, text in zip(answered, texts, strict=True))
            or NOT_SURE,
        )


def _short(part: Part) -> str:
    """Return the name of a part as it stands in the file, in words."""
    return part.key.replace("_", " ")


def said_back(part: Part, value: Any, units: str = "us") -> str:
    """Say an answer back in words, numbers with their unit; lengths are held in feet.

    Examples
    --------
    >>> from lifecycle.interview import parts
    >>> said_back(parts()["keep"], {"low": 6, "likely": 10, "high": 15}), said_back(parts()["roof_age"], 30)
    ('6 / 10 / 15 years', '30 months (2.5 years)')
    >>> said_back(parts()["length"], 30, "metric"), said_back(parts()["quote"], 8130)
    ('9.1 m', '8,130 USD')
    """
    if part.kind == "months" and is_number(value):
        return say("asking.months_a_year", months=f"{12.0 * value:.3g}")
    if part.kind not in NUMBERS or isinstance(value, str):
        return answer_text(part, value, units)
    numbers = value.values() if isinstance(value, Mapping) else (value,)
    metric = part.key in LENGTHS and units == "metric"
    shown = (f"{round(number * METRES_IN_A_FOOT, 1) if metric else number:,.10g}" for number in numbers)
    said = f"{' / '.join(shown)} {'m' if metric else part.unit.replace('money', CURRENCY)}"
    years = say("asking.in_years", years=f"{value / 12:.3g}") if part.kind == "age" and value >= 24 else ""
    return f"{said}{years}"


def doubt_text(doubt: Doubt) -> str:
    """Return the sentence that asks back."""
    if doubt.name == "long_warranty":
        return say(f"asking.doubt.{doubt.name}", years=f"{doubt.amount:g}")
    return say(f"asking.doubt.{doubt.name}", money=money_text(doubt.amount), feet=f"{doubt.feet:g}")


def answer_text(part: Part, value: Any, units: str) -> str:
    """Return an answer in words."""
    if isinstance(value, bool):
        return say(f"asking.page.{'yes' if value else 'no'}")
    if isinstance(value, str):
        return next((choice["text"] for choice in part.choices if choice["value"] == value), value)
    if isinstance(value, dict):
        amount = Amount(value["likely"], value["low"], value["high"], "")
        return f"{amount.text} {_unit(part, units)}".strip()
    if isinstance(value, list | tuple):
        return listed(map(str, value)) or say("asking.page.none")
    return f"{number_text(float(value))} {_unit(part, units)}".strip()


def _unit(part: Part, units: str) -> str:
    """Return the unit of an answer; money has none."""
    if part.unit.startswith("money"):
        return ""
    return "m" if part.unit == "ft" and units == "metric" else part.unit


def _stands_at(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Read what the seven questions stand at from a scenario that was written by hand."""
    text = {question.number: f"{question.number}. {question.text}" for question in questions()}
    yield text[1], scenario.base_case.title
    yield text[2], _stated(scenario, scenario.owner["holding_period"])
    subject = next((way for way in scenario.alternatives if way.subject), None)
    if subject is not None:
        yield text[3], _stated(scenario, subject.quote)
    numbers = scenario.existing.numbers
    age = years_text(scenario.likely(numbers["age"]) / 12.0)
    seal = numbers.get("seal_age")
    if seal is not None:
        age = say("papers.answers.redone", age=age, ago=years_text(scenario.likely(seal) / 12.0))
    yield text[4], age
    if scenario.coach is not None and "length" in scenario.coach.numbers:
        yield text[5], _stated(scenario, scenario.coach.numbers["length"])
    if scenario.climate is not None and scenario.climate.places:
        yield text[6], listed(place.name for place in scenario.climate.places)
    yield text[7], listed(scenario.trouble) or say("papers.answers.no_trouble")


def _stated(scenario: Scenario, stated: Any) -> str:
    """Return a stated number with its unit."""
    if isinstance(stated, Use):
        return entry(scenario.inputs[stated.path], scenario).figure
    return number_text(float(stated))
