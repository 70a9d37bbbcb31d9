"""The paper for us: everything about one roof on a page front and a page back.

Lecture
-------
Front: the verdict as `compare` prints it, what each way costs, in how many of 20 futures, what happens to
twenty coaches, now, later or never. Back: what would change the answer and what it rests on, the case
for and the case against, whose figures they are, the seven answers, what to mind, and room for a pen.
Tables of small numbers are tables, so that they can be read aloud and copied.

With trouble reported the paper says "open it first" and carries no comparison.

Left out: every single figure (the analyst's paper and the workbook have them).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from lifecycle.answers.blocks import (
    Answer,
    Block,
    Columns,
    Drawing,
    Handwriting,
    Heading,
    Items,
    PageBreak,
    Sentence,
)
from lifecycle.answers.both_ways import offer_lines
from lifecycle.answers.doubt import twenties
from lifecycle.answers.gathered import Gathered, Studied
from lifecycle.answers.living import glossary_line, living_table
from lifecycle.answers.papers.footing import caution_lines, footer, invented
from lifecycle.answers.papers.seven_answers import answers_blocks
from lifecycle.answers.sensitivity import first_sentence, moving_blocks
from lifecycle.answers.shared import verdict_blocks
from lifecycle.answers.timing import last_day_sentence, when_sentence
from lifecycle.charts import cost_by_category, owning_under_doubt, roof_plan, twenty_coaches
from lifecycle.language.case_lines import case_lines
from lifecycle.language.labels import HEADINGS, bases_sentence, years_text
from lifecycle.language.sentences import say
from lifecycle.language.verdict import NO_QUOTE, NO_SINGLE
from lifecycle.scenario import Scenario, geometry_of
from lifecycle.studies.doubt import averaged

SIZE = 7.5
"""Size of the text in print. [point]"""

MOVING = 3
"""Figures shown that move the answer most."""

LEFT, RIGHT = 0.74, 0.68
"""Share of its column that a chart of the page front takes, in print. [-]"""

SPARE = 1
"""Empty lines for the pen; none where what was found takes their room."""


def for_us(told: Gathered) -> Answer:
    """Return the paper for the owner."""
    blocks = [*invented(told.scenario), *verdict_blocks(told.answer)]
    if told.studied is not None:
        front, back = list(_front(told, told.studied)), list(_back(told, told.studied))
        blocks += [*front, *glossary_line([*blocks, *front, *back]), PageBreak(), *back]
    else:
        blocks += _kept(told.scenario)
        blocks += glossary_line(blocks)
    return Answer(
        title=say("papers.us"),
        subtitle=told.scenario.title,
        blocks=tuple(blocks),
        footer=footer(told.scenario),
        text_size=SIZE,
        date=told.scenario.base_date.isoformat(),
    )


def _kept(scenario: Scenario) -> Iterator[Block]:
    """Return what stands at the foot of every paper for us: answers, cautions, room for a pen."""
    notes = () if scenario.seen.opened else (Handwriting(say("papers.notes"), SPARE),)
    answers = (Heading(say("papers.seven")), *answers_blocks(scenario), *notes)
    if geometry_of(scenario) is None:
        yield from answers
    else:
        yield Columns(
            answers, (Heading(say("papers.from_above")), Drawing(partial(roof_plan, scenario), share=0.72))
        )
    yield Heading(say("papers.mind"))
    yield caution_lines()


def _front(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return the page front below the verdict."""
    found, comparison = studied.found, told.comparison
    yield Heading(say("papers.may_happen"))
    means = averaged(comparison, found.doubt)
    left: list[Block] = [Drawing(partial(cost_by_category, means), share=LEFT)]
    right: list[Block] = [Drawing(partial(owning_under_doubt, found), share=RIGHT)]
    if found.subject in found.luck:
        right.append(Drawing(partial(twenty_coaches, found, found.subject or ""), share=RIGHT))
    if found.habits is not None:
        titles = {name: way.title for name, way in comparison.ways.items()}
        own, kept = titles[comparison.base_case], comparison.holding_period
        change, judged = titles[comparison.subject or ""], found.judged
        left.append(twenties(found.habits, change, own=own, kept=kept, judged=judged))
    right += [
        Heading(HEADINGS["timing"], 3),
        Sentence(when_sentence(told.scenario, studied.timing)),
        Sentence(last_day_sentence(studied.timing, told.scenario.currency)),
    ]
    yield Columns(tuple(left), tuple(right))
    offers = offer_lines(comparison, found.doubt)
    if offers:
        yield Heading(say("papers.whose"))
        yield Sentence(" ".join(offers))


def _back(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return the page back."""
    scenario = told.scenario
    if told.answer.parts.word in (NO_QUOTE, NO_SINGLE):
        yield Heading(HEADINGS["sensitivity"])
        yield Sentence(say("papers.not_answered"))
        yield from _kept(scenario)
        return
    yield Heading(HEADINGS["sensitivity"])
    yield Sentence(first_sentence(studied.change))
    yield from moving_blocks(studied.change, most=MOVING)
    kept = years_text(studied.found.doubt.years)
    yield Sentence(say("papers.kept", kept=kept, bases=bases_sentence(scenario)), "note")
    lines = case_lines(told.comparison, studied.found.doubt)
    if lines.for_:
        yield Columns(
            (Heading(say("papers.case_for")), Items(lines.for_)),
            (Heading(say("papers.case_against")), Items(lines.against)),
        )
    yield from living_table(told.comparison)
    yield from _kept(scenario)
