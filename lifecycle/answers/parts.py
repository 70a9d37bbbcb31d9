"""What answers share: the head of their data, who made them, money in tables, who hears how far it is."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING, Any, Protocol

import lifecycle
from lifecycle.answers.blocks import Answer, Block, Items, Sentence
from lifecycle.data import data
from lifecycle.evaluation.compiled.library import form
from lifecycle.language.cautions import path_lines
from lifecycle.language.sentences import say
from lifecycle.language.verdict import open_it_first as open_first
from lifecycle.quantities import CONVERSIONS, convert, number_text, rounded

if TYPE_CHECKING:
    from lifecycle.language.verdict import Verdict
    from lifecycle.scenario import Scenario

SCHEMA = 1
"""Version of the layout of result files."""

US = {metric: us for us, (metric, _, _) in CONVERSIONS.items()}
"""US unit of each metric one."""


class Told(Protocol):
    """Who hears what is being worked out, and how much of it is done; either call may give the work up."""

    def step(self, what: str) -> None:
        """Hear what is being worked out now."""

    def part(self, done: int, whole: int, /) -> None:
        """Hear how much of it is done."""


class Silent:
    """Nobody hears; for the library and for tests."""

    def step(self, what: str) -> None:
        """Take no notice."""

    def part(self, done: int, whole: int, /) -> None:
        """Take no notice."""


def head_of(scenario: Scenario) -> dict[str, Any]:
    """Return the first fields of every result."""
    return {"schema": SCHEMA, "title": scenario.title, "currency": scenario.currency}


def band_text(low: Any, high: Any) -> str:
    """Return the two ends of a band of money.

    Examples
    --------
    >>> band_text(-204.0, 12466.0)
    '-200 to 12,000'
    """
    return say("labels.range", low=rounded_signed(float(low)), high=rounded_signed(float(high)))


def fields_of(result: object, *names: str) -> dict[str, Any]:
    """Return some fields of a result as plain data, each under its own name."""
    return {name: getattr(result, name) for name in names}


def whole_if(years: float) -> float:
    """Return years as a whole number where they are one, so that JSON shows no point."""
    return int(years) if years == int(years) else years


def made_by(
    scenario: Scenario | None, method: str | None = None, *, evaluated: bool = True
) -> dict[str, str]:
    """Return how a result was got: version, method, form of the evaluation, digest of the one scenario."""
    said = {
        "version": lifecycle.__version__,
        "method": method,
        "evaluation": form() if evaluated else None,
        "scenario_sha256": scenario.sha256 if scenario else None,
    }
    return {name: value for name, value in said.items() if value is not None}


def made_line() -> str:
    """Say of what day figures and sources are, when they are gone through again, who made this, who gains."""
    day, renewed = (data("editions/today.toml")[name].isoformat() for name in ("day", "renewed"))
    return say("living.made.by", day=day, renewed=renewed)


def signed(answer: Answer) -> Answer:
    """Return an answer with the line of who made it at its foot, once."""
    line = made_line()
    if line in answer.footer:
        return answer
    return replace(answer, footer=f"{answer.footer} {line}".strip())


def any_range(scenario: Scenario) -> bool:
    """Whether any input is a range, so that there are futures to speak of."""
    return any(figure.ranged for figure in scenario.inputs.values())


def rounded_signed(amount: float) -> str:
    """Return money with two significant digits, a minus where it comes in.

    Examples
    --------
    >>> rounded_signed(12466.0), rounded_signed(-204.0)
    ('12,000', '-200')
    """
    return f"-{rounded(amount)}" if amount <= -0.5 else rounded(amount)


def measure_text(value: float, unit: str, units: str) -> str:
    """Return a quantity in the units of a scenario, with three significant digits.

    Examples
    --------
    >>> measure_text(10.0, "L", "us"), measure_text(10.0, "L", "metric")
    ('2.64 US gal', '10 L')
    """
    return " ".join(measured(value, unit, units))


def measured(value: float, unit: str, units: str) -> tuple[str, str]:
    """Return the same as number and unit."""
    to = US[unit] if units == "us" else unit
    return number_text(float(f"{convert(float(value), unit, to):.3g}")), to


def film_text(film: float, units: str) -> str:
    """Return a film in mil, or in millimetres. [mm]

    Examples
    --------
    >>> film_text(4.7625, "us"), film_text(4.7625, "metric")
    ('187.5 mil', '4.76 mm')
    """
    return f"{convert(film, 'mm', 'mil'):.4g} mil" if units == "us" else f"{film:.3g} mm"


def trouble_reason(trouble: Sequence[str]) -> str:
    """Say why nothing is compared where trouble is reported.

    Examples
    --------
    >>> trouble_reason(["stain", "soft spot"])
    'open it first: trouble is reported (stain, soft spot), so nothing is compared'
    """
    return say("compare.reasons.trouble", signs=", ".join(trouble))


def open_it_first(title: str, scenario: Scenario, name: str) -> Answer:
    """Return the answer of a question that is not compared before trouble was opened: what to do instead.

    `name`: of the field of the data that stays empty.
    """
    lines = (Sentence(line, "verdict") for line in open_first(scenario.trouble))
    notes = (Sentence(line, "note") for line in path_lines(scenario.seen))
    reasons = {name: trouble_reason(scenario.trouble)}
    made = {"made_by": made_by(scenario, evaluated=False), "reasons": reasons}
    data = {**head_of(scenario), name: None, **made}
    return Answer(title, scenario.title, (*lines, *notes), data)


def verdict_blocks(verdict: Verdict) -> list[Block]:
    """Return a verdict as blocks: its lines, and what stands beside it."""
    return [
        *(Sentence(line, "verdict") for line in verdict.lines),
        *(Sentence(line, "note", waits) for line, waits in verdict.noted),
    ]


def in_brackets(ways: Collection[object]) -> Iterator[str]:
    """Return the numbers of ways as they stand at the heads of columns.

    Examples
    --------
    >>> list(in_brackets(["keep", "spray"]))
    ['[1]', '[2]']
    """
    return (f"[{number}]" for number in range(1, len(ways) + 1))


def numbered(titles: Collection[str]) -> Items:
    """Return titles with the numbers that stand for them at the heads of columns."""
    pairs = zip(in_brackets(titles), titles, strict=True)
    return Items(tuple(f"{number} {title}" for number, title in pairs), marks=False)


def line_blocks(lines: Iterable[tuple[str, bool]]) -> Iterator[Block]:
    """Go through lines as sentences and lists; each comes with whether it is an item of a list.

    Examples
    --------
    >>> list(line_blocks([("One of:", False), ("a", True), ("b", True)]))
    [Sentence(text='One of:', kind='plain', waits=False), Items(lines=('a', 'b'), numbered=False, marks=True)]
    """
    for item, group in groupby(lines, key=lambda line: line[1]):
        texts = tuple(text for text, _ in group)
        yield from [Items(texts)] if item else map(Sentence, texts)
