"""The analyst's paper: measures, doubt, indices, switch values, a map, the places, and every figure.

Lecture
-------
What the papers for owners leave out stands here, under the standard's names: net-present cost, net
savings, savings-to-investment ratio, rates of return; percentiles over the futures; Sobol indices with
their standard errors and what has to be said first; switch values; a map of the two inputs that move the
answer most; the same coach in every place of the table; the register of every input with basis and
source. Method, draws, seed and base points are named, so that it can be made again.

Left out: yearly cash flow (the workbook).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from lifecycle.answers.blocks import Answer, Block, Columns, Drawing, Heading, Items, Sentence, Table
from lifecycle.answers.climate import places_blocks
from lifecycle.answers.doubt import shares_blocks, twenties, ways_legend, worth_blocks
from lifecycle.answers.figures import counts, register_table
from lifecycle.answers.papers import Gathered, Studied, footer, invented
from lifecycle.answers.sensitivity import defaults_sentence, indices_blocks, moving_blocks
from lifecycle.answers.shared import verdict_blocks
from lifecycle.charts import answer_map, savings_spread
from lifecycle.charts import indices as indices_chart
from lifecycle.evaluation.comparison import Comparison, Measures, Way
from lifecycle.language.labels import HEADINGS, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import money_text
from lifecycle.studies.register import register

SIZE = 8.5
"""Size of the text in print. [point]"""

SHOWN = 24
"""Inputs whose switch values are shown, the largest swings first."""

NONE = "-"
"""Stands where there is no number; the reason stands below the table."""


def for_analyst(told: Gathered) -> Answer:
    """Return the analyst's paper."""
    scenario = told.scenario
    blocks: list[Block] = list(invented(scenario))
    blocks += verdict_blocks(told.answer)
    if told.studied is not None:
        blocks += [
            *_method(told.studied),
            *_ways(told.comparison),
            *_doubt(told, told.studied),
            *_change(told.studied),
            *_map(told.studied),
        ]
    places = [Heading(HEADINGS["climate"]), *places_blocks(told.places)]
    blocks += [*places, *_figures(told)]
    return Answer(
        title=say("analyst.title"),
        subtitle=scenario.title,
        blocks=tuple(blocks),
        footer=footer(scenario),
        text_size=SIZE,
        date=scenario.base_date.isoformat(),
    )


def _method(studied: Studied) -> Iterator[Block]:
    """Say how the numbers were got."""
    found, indices = studied.found, studied.change.indices
    drawn = found.doubt.futures
    lines = [
        say("analyst.costs"),
        say(
            "analyst.doubt",
            draws=f"{drawn.sample.draws:,}",
            seed=drawn.sample.seed,
            effective=f"{drawn.effective:,.0f}",
        ),
        say("analyst.luck", lives=f"{found.lives:,}"),
    ]
    if indices is not None:
        taken = {"points": f"{indices.points:,}", "evaluations": f"{indices.evaluations:,}"}
        lines.append(say("analyst.indices", **taken))
    yield Heading(say("analyst.method"))
    yield Items(tuple(lines))


def _ways(comparison: Comparison) -> Iterator[Block]:
    """Return the measures of every way at likely values."""
    kept = years_text(comparison.holding_period)
    reasons: dict[str, list[str]] = {}
    for way in comparison.ways.values():
        for name, answer in (way.measures.answers if way.measures else {}).items():
            if answer.reason:
                reasons.setdefault(f"{name.replace('_', ' ')}: {answer.reason}", []).append(way.title)
    yield Heading(say("analyst.ways"))
    yield Table(
        head=tuple(words("analyst.way_heads")),
        rows=tuple(_way_row(way, comparison) for way in comparison.ways.values()),
        caption=say("analyst.ways_caption", currency=comparison.scenario.currency, kept=kept),
        note=say("analyst.ways_note"),
        numbers=tuple(range(1, 9)),
        strong=tuple(
            place
            for place, name in enumerate(comparison.ways)
            if name in (comparison.subject, comparison.base_case)
        ),
    )
    if reasons:
        yield Heading(say("analyst.why_none"), 3)
        of_ways = partial(say, "analyst.reason_of")
        yield Items(tuple(of_ways(reason=one, ways="; ".join(titles)) for one, titles in reasons.items()))


def _way_row(way: Way, comparison: Comparison) -> tuple[str, ...]:
    """Return the row of one way."""
    year = max(1, int(comparison.holding_period + 1e-9))
    measures = _measures(way.measures) if way.measures else (NONE,) * 6
    return (
        way.title,
        money_text(way.at_holding),
        *measures,
        f"{100.0 * float(way.chance_renewed[year]):.0f}",
    )


def _measures(measures: Measures) -> tuple[str, ...]:
    """Return the measures of one way against the base case."""
    found = {name: answer.value for name, answer in measures.answers.items()}

    def text(name: str, by: float, digits: int) -> str:
        value = found[name]
        return NONE if value is None else f"{by * value:,.{digits}f}"

    return (
        money_text(measures.at_holding),
        text("savings_to_investment", 1.0, 2),
        text("adjusted_internal_rate_of_return", 100.0, 1),
        text("discounted_payback", 1.0, 1),
        text("break_even_year", 1.0, 0),
        text("break_even_price", 1.0, 0),
    )


def _doubt(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return costs over the futures, who is cheapest how often, and what finding out is worth."""
    found, comparison = studied.found, told.comparison
    yield Heading(say("analyst.under_doubt"))
    chances, loss = found.choosing.chance_cheapest, found.choosing.opportunity_loss
    costs = []
    for name in found.doubt.names:
        band = found.doubt.band(found.doubt.cost(name))
        amounts = (float(getattr(band, part)) for part in ("mean", "p10", "p50", "p90"))
        costs.append(
            (
                comparison.ways[name].title,
                *map(money_text, amounts),
                f"{100.0 * chances[name]:.0f}",
                money_text(loss[name]),
            )
        )
    yield Table(
        head=tuple(words("analyst.cost_heads")),
        rows=tuple(costs),
        caption=say("analyst.costs_caption"),
        note=say("analyst.costs_note", money=money_text(found.choosing.perfect_information)),
        numbers=tuple(range(1, 7)),
    )
    left = [Drawing(partial(savings_spread, found))]
    right: list[Block] = list(shares_blocks(found))
    if found.habits is not None:
        right.insert(0, twenties(found.habits, comparison.ways[comparison.subject or ""].title))
    yield Columns(tuple(left), tuple(right))
    yield from worth_blocks(found)
    yield ways_legend(found)


def _change(studied: Studied) -> Iterator[Block]:
    """Return indices, and the figures that move the answer most."""
    change = studied.change
    yield Heading(say("analyst.indices_head"))
    yield from indices_blocks(change, most=len(change.swings))
    if change.indices is not None and change.indices.inputs:
        yield Drawing(partial(indices_chart, change.indices), share=0.6)
    yield Heading(say("analyst.swings_head"))
    yield from moving_blocks(change, most=SHOWN)
    yield Sentence(defaults_sentence(change), "note")


def _map(studied: Studied) -> Iterator[Block]:
    """Return the map of the two inputs that move the answer most."""
    plan = studied.change.map
    if plan is not None:
        yield Heading(say("analyst.map_head"))
        yield Drawing(partial(answer_map, plan, studied.change.scenario), share=0.6)


def _figures(told: Gathered) -> Iterator[Block]:
    """Return every figure with its basis and source."""
    table = register(told.scenario)
    yield Heading(HEADINGS["figures"])
    yield Sentence(" ".join(counts(table)))
    yield register_table(table.entries)
    yield Items(table.on_bands)
