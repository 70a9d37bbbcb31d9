"""First pages of the workbook: what it is and how to use it, and every figure that it rests on.

Lecture
-------
Two figures may be changed in the workbook: the discount rate and the years kept. They stand first
among the assumptions, in cells of their own colour, and the formulas follow them. All other figures
went into the amounts that the model worked out; they are shown with range, basis and source, and are
changed in the scenario file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import lifecycle
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.compiled.library import form
from lifecycle.language.labels import BASES, input_name, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict
from lifecycle.scenario import Scenario, Stated, Use
from lifecycle.studies.register import Entry, entry
from lifecycle.writers.workbook.account import (
    ASSUMPTIONS,
    DOUBT,
    RATE_NAME,
    READ_ME,
    YEARS_NAME,
)
from lifecycle.writers.workbook.cells import CHANGE, NUMBER, Book, Page, cell

VALUE = 2
"""Column of the value."""


def write_read_me(book: Book, comparison: Comparison, verdict: Verdict, *, doubt: bool) -> None:
    """Write what the workbook is, what the answer is, and how to use it."""
    scenario = comparison.scenario
    page = book.page(READ_ME, [22, 90])
    page.sentence(0, say("workbook.read_me.title"), "title")
    page.text(1, 0, say("workbook.read_me.about"), "label")
    page.text(1, 1, scenario.title, "label", most=500)
    row = 2
    for head, line in _read_me(comparison, verdict, doubt):
        page.text(row, 0, head, "label" if head else "plain")
        page.text(row, 1, line)
        row += 1
    page.freeze(1)


def _read_me(comparison: Comparison, verdict: Verdict, doubt: bool) -> Iterator[tuple[str, str]]:
    """Go through the lines of the first page: a head or nothing, and a text."""
    scenario, said = comparison.scenario, words("workbook.read_me")
    if is_invented(scenario):
        yield said["invented_head"], said["invented"]
    yield from _headed(said["answer"], (*verdict.lines, *verdict.beside))
    if comparison.ways:
        titles = enumerate((way.title for way in comparison.ways.values()), start=1)
        yield from _headed(
            said["ways"],
            [say("workbook.read_me.way", number=number, title=title) for number, title in titles],
        )
        kept, shown = years_text(comparison.holding_period), years_text(comparison.study_period)
        yield said["kept_head"], say("workbook.read_me.kept", kept=kept, shown=shown)
        use = [say("workbook.read_me.change", assumptions=ASSUMPTIONS), said["shown"]]
        yield from _headed(
            said["use_head"], [*use, *([say("workbook.read_me.averages", doubt=DOUBT)] if doubt else [])]
        )
        names = {**words("workbook.pages"), "ways": said["all_ways"]}
        pages = {
            names[page]: text for page, text in words("workbook.on_page").items() if doubt or page != "doubt"
        }
        yield from _headed(
            said["pages"],
            [say("workbook.read_me.page", name=name, text=text) for name, text in pages.items()],
        )
    else:
        yield said["pages"], say("workbook.read_me.nothing_compared", assumptions=ASSUMPTIONS)
    yield from _headed(said["mind_head"], said["mind"])
    yield said["date_head"], say("workbook.read_me.date", date=f"{scenario.base_date:%d %B %Y}")
    yield said["currency_head"], scenario.currency
    yield said["made_by_head"], say("workbook.read_me.made_by", version=lifecycle.__version__, form=form())
    yield said["file_head"], say("workbook.read_me.file", digest=scenario.sha256)


def _headed(head: str, lines: Sequence[str]) -> Iterator[tuple[str, str]]:
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
    page.sentence(0, say("workbook.assumptions.title"), "title")
    heads = words("workbook.assumptions.heads")
    page.texts(2, 0, heads, "head left")
    used: dict[str, Stated] = {
        RATE_NAME: scenario.study["discount_rate"],
        YEARS_NAME: scenario.owner["holding_period"],
    }
    page.text(3, 0, say("workbook.assumptions.changed_here"), "heading")
    row = 4
    for name, stated in used.items():
        if isinstance(stated, Use):
            _write_entry(page, row, scenario, stated.path, CHANGE)
        else:
            page.texts(row, 0, (name.replace("_", " "), name))
            page.number(row, VALUE, stated, CHANGE)
        book.name(name, ASSUMPTIONS, cell(row, VALUE, fixed=True))
        row += 1
    page.text(row + 1, 0, say("workbook.assumptions.shown"), "heading")
    row += 2
    paths = {stated.path for stated in used.values() if isinstance(stated, Use)}
    for path in scenario.inputs:
        if path not in paths:
            _write_entry(page, row, scenario, path, NUMBER)
            row += 1
    page.print_columns(len(heads) - 1, row)
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
