"""First pages of the workbook: what it is and how to use it, and every figure that it rests on.

Lecture
-------
Two figures may be changed in the workbook: the discount rate and the years kept. They stand first
among the assumptions, in cells of their own colour, and the formulas follow them. All other figures
went into the amounts that the model worked out; they are shown with range, basis and source, and are
changed in the scenario file.
"""

from __future__ import annotations

from collections.abc import Iterator

import lifecycle
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.compiled.library import form
from lifecycle.language.assumptions import BASES
from lifecycle.language.labels import input_name, years_text
from lifecycle.language.verdict import Verdict
from lifecycle.scenario import Scenario, Stated, Use
from lifecycle.studies.register import Entry, entry
from lifecycle.writers.workbook.account import (
    ASSUMPTIONS,
    CASH_FLOW,
    DISCOUNTING,
    DOUBT,
    MEASURES,
    PRESENT,
    RATE_NAME,
    YEARS_NAME,
)
from lifecycle.writers.workbook.cells import CHANGE, NUMBER, Book, Page, cell

PAGES = {
    ASSUMPTIONS: "every figure with its range, what it rests on, and its source; two of them may be changed",
    CASH_FLOW: "what each way pays in each year, by category, not discounted",
    PRESENT: "the same in today's money: by category, and by year of sale",
    MEASURES: "what each way is worth against what you would do otherwise: net savings, payback and others",
    DOUBT: "how sure it is: middles and ends of 16 of 20 futures; values, no formulas",
    DISCOUNTING: "what money in each month is worth today",
    "Way 1, 2 ...": "each way month by month, as the model worked it out",
}
"""What is on each page."""

USE = (
    f"Change the two yellow cells on the page {ASSUMPTIONS}: the discount rate and the years you keep it. "
    "All formulas follow, to the cent.",
    "The other figures are shown, not used: a change to them here changes nothing. Change them in the "
    "scenario file and have the workbook made again.",
    "Figures here are averages at the likely value of every input. No single coach meets them. The page "
    f"{DOUBT} says how far the answer may be off; it does not follow the yellow cells.",
)
"""How to use the workbook."""

ADVICE = (
    "These are estimates, not a quote, and not financial, legal or insurance advice.",
    "Nobody has published how often coach roofs leak or how long a coating lasts. Most is judgement.",
    "A stain, a soft spot, a musty smell, a bubble or a white patch: have the roof opened first.",
)
"""What to mind, whatever the scenario."""

HEADS = (
    "figure, in plain words",
    "standard term",
    "value",
    "unit",
    "low",
    "high",
    "shape of the range",
    "rests on",
    "source and note",
    "the tool's own, where this one stands in its place",
    "name in the scenario file",
)
"""Heads of the assumptions."""

VALUE = 2
"""Column of the value."""


def write_read_me(book: Book, comparison: Comparison, verdict: Verdict, *, doubt: bool) -> None:
    """Write what the workbook is, what the answer is, and how to use it."""
    scenario = comparison.scenario
    page = book.page("Read me", [22, 90])
    page.sentence(0, "What each way costs: the sums behind the answer", "title")
    page.text(1, 0, "about", "label")
    page.text(1, 1, scenario.title, "label", most=500)
    row = 2
    for head, line in _read_me(comparison, verdict, doubt):
        page.text(row, 0, head, "label" if head else "plain")
        page.text(row, 1, line)
        row += 1
    page.freeze(1)


def _read_me(comparison: Comparison, verdict: Verdict, doubt: bool) -> Iterator[tuple[str, str]]:
    """Go through the lines of the first page: a head or nothing, and a text."""
    scenario = comparison.scenario
    if is_invented(scenario):
        yield "invented", "Figures of this scenario are invented, as an example. It describes no real coach."
    yield from _headed("the answer", (*verdict.lines, *verdict.beside))
    if comparison.ways:
        ways = [f"{number}: {way.title}" for number, way in enumerate(comparison.ways.values(), start=1)]
        yield from _headed("the ways", ways)
        kept = years_text(comparison.holding_period)
        yield "years kept", f"{kept}; years shown: {years_text(comparison.study_period)}"
        yield from _headed("how to use it", USE if doubt else USE[:2])
        shown = [f"{name}: {text}" for name, text in PAGES.items() if doubt or name != DOUBT]
        yield from _headed("pages", shown)
    else:
        yield "pages", f"{ASSUMPTIONS}: every figure. Nothing is compared, so there are no sums."
    yield from _headed("mind", ADVICE)
    yield "base date", f"{scenario.base_date:%d %B %Y}: all money is of that day; the sums start there"
    yield "currency", scenario.currency
    yield "made by", f"lifecycle {lifecycle.__version__}, exact expectation, {form()} form"
    yield "scenario file", f"SHA-256 {scenario.sha256}"


def _headed(head: str, lines: tuple[str, ...] | list[str]) -> Iterator[tuple[str, str]]:
    """Put a head before the first of some lines."""
    for place, line in enumerate(lines):
        yield (head if place == 0 else ""), line


def is_invented(scenario: Scenario) -> bool:
    """Whether a scenario says that figures of it are invented."""
    figures = scenario.inputs.values()
    said = [scenario.title, *(figure.note for figure in figures)]
    return any(figure.basis == "demo" for figure in figures) or any(
        "invented" in text.lower() for text in said
    )


def write_assumptions(book: Book, scenario: Scenario) -> None:
    """Write every figure with its range, basis and source; name the two that formulas use."""
    page = book.page(ASSUMPTIONS, [32, 20, 11, 12, 10, 10, 11, 17, 36, 16, 34])
    page.sentence(0, "Every figure and where it comes from", "title")
    page.texts(2, 0, HEADS, "head left")
    used: dict[str, Stated] = {
        RATE_NAME: scenario.study["discount_rate"],
        YEARS_NAME: scenario.owner["holding_period"],
    }
    page.text(3, 0, "May be changed here: all formulas follow", "heading")
    row = 4
    for name, stated in used.items():
        if isinstance(stated, Use):
            _write_entry(page, row, scenario, stated.path, CHANGE)
        else:
            page.texts(row, 0, (name.replace("_", " "), name))
            page.number(row, VALUE, stated, CHANGE)
        book.name(name, ASSUMPTIONS, cell(row, VALUE, fixed=True))
        row += 1
    page.text(row + 1, 0, "Shown, not used by the formulas: change these in the scenario file", "heading")
    row += 2
    paths = {stated.path for stated in used.values() if isinstance(stated, Use)}
    for path in scenario.inputs:
        if path not in paths:
            _write_entry(page, row, scenario, path, NUMBER)
            row += 1
    page.print_columns(len(HEADS) - 1, row)
    page.freeze(3, 1, repeat=True)


def _write_entry(page: Page, row: int, scenario: Scenario, path: str, look: str) -> None:
    """Write one figure."""
    figure = scenario.inputs[path]
    line: Entry = entry(figure, scenario)
    amount = line.amount
    page.texts(row, 0, (input_name(figure), line.term))
    page.number(row, VALUE, amount.likely, look)
    page.text(row, VALUE + 1, line.unit, "behind")
    if amount.shape:
        page.number(row, VALUE + 2, amount.low, NUMBER)
        page.number(row, VALUE + 3, amount.high, NUMBER)
        page.text(row, VALUE + 4, amount.shape, "behind")
    said = "; ".join(part for part in (line.source, line.note) if part)
    own = f"{line.own.text} {line.unit}".strip() if line.own is not None and line.changed else ""
    page.texts(row, VALUE + 5, (BASES[line.basis], said, own, path))
