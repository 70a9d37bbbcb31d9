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

from matplotlib.axes import Axes

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
from lifecycle.answers.papers.footing import caution_lines, footer, invented
from lifecycle.answers.papers.seven_answers import answers_blocks
from lifecycle.answers.sensitivity import first_sentence, moving_blocks
from lifecycle.answers.timing import last_day_sentence, when_sentence
from lifecycle.charts import cost_by_category, owning_under_doubt, roof_plan, twenty_coaches
from lifecycle.files import data
from lifecycle.language.assumptions import bases_sentence
from lifecycle.language.case_lines import case_lines
from lifecycle.language.labels import HEADINGS, years_text
from lifecycle.language.words import NO_QUOTE, NO_SINGLE
from lifecycle.scenario import Scenario, geometry_of

TITLE = "For us: spray the roof, or go on looking after it?"
"""Of the paper."""

SIZE = 8.0
"""Size of the text in print. [point]"""

MOVING = 4
"""Figures shown that move the answer most."""

NOT_ANSWERED = (
    "Your own answers, first of all: what you would do otherwise, how long you keep it, and the quote. As "
    "long as one of them is not sure there is no verdict, so there is no case for or against it either."
)
"""Stands in place of what would change a verdict that nobody asked for."""

SPARE = 1
"""Empty lines for the pen."""


def for_us(told: Gathered) -> Answer:
    """Return the paper for the owner.

    Parameters
    ----------
    told : Gathered
        What the studies say.

    Returns
    -------
    Answer
    """
    blocks = [*invented(told.scenario), *_answer(told)]
    if told.studied is not None:
        blocks += [*_front(told, told.studied), PageBreak(), *_back(told, told.studied)]
    else:
        blocks += [*_instead(told), *_kept(told.scenario)]
    return Answer(
        title=TITLE,
        subtitle=told.scenario.title,
        blocks=tuple(blocks),
        footer=footer(told.scenario),
        text_size=SIZE,
        date=told.scenario.base_date.isoformat(),
    )


def _answer(told: Gathered) -> Iterator[Block]:
    """Return the verdict, and what stands beside it."""
    for line in told.answer.lines:
        yield Sentence(line, "verdict")
    for line in told.answer.beside:
        yield Sentence(line, "note")


def _instead(told: Gathered) -> Iterator[Block]:
    """Return what to do where nothing is compared."""
    if told.scenario.trouble:
        yield Heading("What to do first")
        yield Items(tuple(data("papers.toml")["open_it"]), numbered=True)


def _kept(scenario: Scenario) -> Iterator[Block]:
    """Return what stands at the foot of every paper for us: answers, cautions, room for a pen."""
    answers = (Heading("The seven questions"), *answers_blocks(scenario), Handwriting("Our notes", SPARE))
    if geometry_of(scenario) is None:
        yield from answers
    else:
        yield Columns(answers, (Heading("The roof from above"), drawn(roof_plan(scenario), share=0.72)))
    yield Heading("What to mind")
    yield caution_lines()


def drawn(axes: Axes, *, share: float = 1.0) -> Drawing:
    """Return a chart as a drawing.

    Parameters
    ----------
    axes : Axes
        On a picture of its own, with a text alternative.
    share : float
        Of the width, in print. [-]
    """
    figure = axes.get_figure(root=True)
    if figure is None:
        raise ValueError("the chart stands on no figure")
    return Drawing(figure, share=share)


def _front(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return the page front below the verdict."""
    found, comparison = studied.found, told.comparison
    yield Heading("What each way costs, and what may happen")
    left: list[Block] = [drawn(cost_by_category(comparison), share=0.95)]
    right: list[Block] = [drawn(owning_under_doubt(found))]
    if found.subject in found.luck:
        right.append(drawn(twenty_coaches(found, found.subject or "")))
    if found.habits is not None:
        titles = {name: way.title for name, way in comparison.ways.items()}
        own, kept = titles[comparison.base_case], comparison.holding_period
        left.append(twenties(found.habits, titles[comparison.subject or ""], own=own, kept=kept))
    right += [
        Heading(HEADINGS["timing"], 3),
        Sentence(when_sentence(told.scenario, studied.timing)),
        Sentence(last_day_sentence(studied.timing)),
    ]
    yield Columns(tuple(left), tuple(right))
    offers = offer_lines(comparison, found.doubt)
    if offers:
        yield Heading("Whose figures are these?")
        yield Sentence(" ".join(offers))


def _back(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return the page back."""
    scenario = told.scenario
    if told.answer.parts.word in (NO_QUOTE, NO_SINGLE):
        yield Heading(HEADINGS["sensitivity"])
        yield Sentence(NOT_ANSWERED)
        yield from _kept(scenario)
        return
    yield Heading(HEADINGS["sensitivity"])
    yield Sentence(first_sentence(studied.change))
    yield from moving_blocks(studied.change, most=MOVING, sources=True)
    yield Sentence(f"Kept {years_text(studied.found.doubt.years)}. {bases_sentence(scenario)}", "note")
    lines = case_lines(told.comparison, studied.found.doubt)
    if lines.for_:
        yield Columns(
            (Heading("The case for"), Items(lines.for_)), (Heading("The case against"), Items(lines.against))
        )
    yield from _kept(scenario)
