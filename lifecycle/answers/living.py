"""What it is like to live with each way, if nothing is done, and what the words mean.

Lecture
-------
Money is one side of a choice. How often somebody goes up, the owner's own hours, the days without the coach
and the leaks to expect are another, and so a standard for decision aids asks for them beside the money
(DEVELOPERS.md names it). They stand for each way at likely values, over the years kept, and for doing nothing
at all: the roof as it stands, without upkeep, laid anew when it must be.

Days on which somebody goes up are those of the calendar of jobs; a new roof that nobody planned is not among
them, but its days without the coach are counted. Trade terms that stand on a page have their meaning on it.

Left out: noise, smell, pride.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from lifecycle.answers.blocks import Block, Columns, Heading, Items, Sentence, Table
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.language.cautions import last_whole_year
from lifecycle.language.labels import years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import money_text
from lifecycle.roofs import Alternative
from lifecycle.studies.doubt import of_20
from lifecycle.studies.upkeep_calendar import END, FIRST_LOOK, REVIEW, WARRANTY, dated_jobs

NOTHING = "nothing"
"""Name of the way in which nothing is done."""

NO_WORK = (FIRST_LOOK, REVIEW, WARRANTY, END)
"""Days of the calendar on which no plan sends anybody up."""


@dataclass(frozen=True)
class Living:
    """What it is like to live with one way, to the years kept.

    Parameters
    ----------
    goes_up : float
        Days a year on which somebody goes up, as the plan says. [1/year]
    hours, days, leaks : float
        The owner's own hours, days without the coach, and leaks, each to be expected. [h, days, -]
    renewed : float
        Chance of an unplanned new roof by the last whole year kept. [-]
    """

    goes_up: float
    hours: float
    days: float
    leaks: float
    renewed: float

    @classmethod
    def of(cls, goes_up: float, counts: Mapping[str, float], renewed: float) -> Living:
        """Return it from the counts of a way."""
        return cls(goes_up, counts["hours"], counts["days"], counts["leaks"], renewed)


def living_of(comparison: Comparison, name: str) -> Living:
    """Return what it is like to live with a way of a comparison."""
    way = comparison.ways[name]
    renewed = float(way.chance_renewed[last_whole_year(comparison)])
    return Living.of(_times_a_year(comparison, name), way.expected, renewed)


def _nothing(comparison: Comparison, ledger: Ledger) -> Living:
    """Return what it is like where nothing is done."""
    counts = {name: float(values[0]) for name, values in ledger.expected.items()}
    return Living.of(0.0, counts, float(ledger.chance_renewed[0][last_whole_year(comparison)]))


def living_blocks(comparison: Comparison) -> list[Block]:
    """Return what it is like to live with each way, and with none."""
    ledger = nothing_done(comparison)
    columns = [*(living_of(comparison, name) for name in comparison.ways), _nothing(comparison, ledger)]
    rows = (
        (say("living.goes_up"), *(_count(column.goes_up) for column in columns)),
        (say("living.hours"), *(_count(column.hours) for column in columns)),
        (say("living.days"), *(_count(column.days) for column in columns)),
        (say("living.leaks"), *(_count(column.leaks) for column in columns)),
        (
            say("living.new_roof", year=last_whole_year(comparison)),
            *(_of_20(column.renewed) for column in columns),
        ),
    )
    heads = ("", *(f"[{number}]" for number in range(1, len(columns))), say("living.nothing"))
    caption = say("living.caption", kept=years_text(comparison.holding_period))
    note = say("living.note", cost=money_text(float(ledger.at_holding[0])))
    table = Table(heads, rows, caption, note, numbers=tuple(range(1, len(heads))))
    return [Heading(say("living.head")), table]


def living_table(comparison: Comparison) -> list[Block]:
    """Return the same for the ways that matter most: the cheapest, the one in question, otherwise, none."""
    names = dict.fromkeys((comparison.cheapest, comparison.subject, comparison.base_case))
    titles = {name: comparison.ways[name].title for name in names if name is not None}
    shown = {title: living_of(comparison, name) for name, title in titles.items()}
    shown[say("living.nothing_done")] = _nothing(comparison, nothing_done(comparison))
    heads = words("living.heads")
    rows = tuple(
        (title, *map(_count, (one.goes_up, one.hours, one.days, one.leaks)), _of_20(one.renewed))
        for title, one in shown.items()
    )
    kept = years_text(comparison.holding_period)
    return [Heading(say("living.head_kept", kept=kept)), Table(("", *heads), rows, numbers=(1, 2, 3, 4, 5))]


def _of_20(chance: float) -> str:
    """Return a chance as so many of 20, short."""
    return str(of_20(chance) or "<1 in 40")


def nothing_done(comparison: Comparison) -> Ledger:
    """Return the account of doing nothing, at likely values.

    The roof that stands gets no upkeep and no look; when it must go the same is laid anew, and gets none.
    """
    case = comparison.case
    bare = replace(case.existing.roof, visits=(), plan_ends=None, visits_after=())
    way = Alternative(NOTHING, NOTHING, bare, bare, None, bare.renew_cost, bare.renew_days, base_case=True)
    return evaluate(replace(case, alternatives=(way,), loan=None))[NOTHING]


def _count(number: float) -> str:
    """Return a count with one decimal below ten, else whole."""
    return f"{number:.1f}" if number < 9.95 else f"{number:.0f}"


def _times_a_year(comparison: Comparison, way: str) -> float:
    """Return how many days a year somebody goes up, as the plans say. [1/year]"""
    jobs = dated_jobs(comparison.scenario, way)
    days = {job.day for job in jobs if job.kind not in NO_WORK}
    return len(days) / comparison.holding_period


def glossary(blocks: Iterable[Block]) -> list[Block]:
    """Return the trade terms that stand in some blocks, with what they mean."""
    lines = tuple(f"{line}." for line in _terms(blocks))
    return [Heading(say("living.words")), Items(lines)] if lines else []


def glossary_line(blocks: Iterable[Block]) -> list[Block]:
    """Return the same as `glossary` in a paragraph of small print, where room is short."""
    lines = _terms(blocks)
    return [Sentence(say("living.words_line", terms="; ".join(lines)), "note")] if lines else []


def _terms(blocks: Iterable[Block]) -> list[str]:
    """Return each trade term that stands in some blocks, or in what such a term means, with its meaning."""
    meant = words("living.glossary")
    text, known = " ".join(_texts(blocks)).lower(), -1
    found: list[str] = []
    while len(found) != known:
        known = len(found)
        found = [term for term in meant if re.search(rf"\b{re.escape(term.split()[0])}", text)]
        text = " ".join((text, *(meant[term] for term in found)))
    return [say("living.term", term=term, meaning=meant[term]) for term in found]


def _texts(blocks: Iterable[Block]) -> Iterator[str]:
    """Go through the texts of blocks; drawings are left out, and not drawn."""
    for block in blocks:
        match block:
            case Heading() | Sentence():
                yield block.text
            case Items():
                yield from block.lines
            case Table():
                yield from (block.caption, block.note, *block.head)
                yield from (cell for row in block.rows for cell in row)
            case Columns():
                yield from _texts((*block.left, *block.right))
            case _:
                pass
