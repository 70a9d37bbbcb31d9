"""Which way is cheaper? The verdict, the ways side by side, and what it is like to live with each.

Lecture
-------
Each way is a numbered column and each category of cost a row, so that any number of ways fits. Whole money
stands in a table; only sentences are rounded. A minus stands for money that comes in. *Cheaper by* and
*dearer by* are rows of their own, so that no sign has to be read.

The highest price worth paying is named for ways that lay another roof; for a way that keeps what stands it
would be the price of the same roof laid anew. The chance of an unplanned new roof is what happens to one
coach, as so many of 20.

Money is one side of a choice. How often somebody goes up, the owner's own hours, the days without the coach
and the leaks to expect are another, and so a standard for decision aids asks for them beside the money
(DEVELOPERS.md names it). They stand for each way at likely values, over the years kept, and for doing nothing
at all: the roof as it stands, without upkeep, laid anew when it must be. Days on which somebody goes up are
those of the calendar of jobs; a new roof that nobody planned is not among them, but its days without the
coach are counted. Trade terms that stand on a page have their meaning on it.

*Data.* Names are fixed, so that files written today stay readable. Money is in the currency of the scenario
at the base date, present values; counts are not discounted. There is no NaN and no infinity: where there is
no number stands null, with the reason under `reasons`. A remark on a number that is there stands under
`reasons` too. With trouble reported `alternatives` is null.

Left out: noise, smell, pride.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from lifecycle.answers.blocks import Answer, Block, Columns, Drawing, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.doubt import doubt_part
from lifecycle.answers.parts import (
    band_text,
    head_of,
    in_brackets,
    made_by,
    numbered,
    trouble_reason,
    verdict_blocks,
    whole_if,
)
from lifecycle.evaluation.comparison import Comparison, Measures, Way
from lifecycle.evaluation.comparison import compare as compared
from lifecycle.evaluation.ledger import Ledger
from lifecycle.kinds import CATEGORIES
from lifecycle.language.cautions import last_whole_year
from lifecycle.language.labels import HEADINGS, LABELS, shared_out, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import DECIDED, Verdict, verdict_under
from lifecycle.quantities import WhenAsked, money_text
from lifecycle.studies import assessment
from lifecycle.studies.doubt import Doubt, averaged, of_20
from lifecycle.studies.futures import in_draws
from lifecycle.studies.upkeep_calendar import END, FIRST_LOOK, REVIEW, WARRANTY, dated_jobs
from lifecycle.studies.ways import nothing_done

if TYPE_CHECKING:
    from lifecycle.answers.parts import Told
    from lifecycle.scenario import Scenario
    from lifecycle.studies.assessment import Assessment

HEADS = ("on_average", "band", "cheapest")
"""Heads of the first table, under doubt."""


def compare(scenario: Scenario, *, draws: int, seed: int, told: Told) -> Answer:
    """Answer which way is cheaper."""
    found = None
    if not scenario.trouble:
        found = assessment.brief(scenario, draws=draws, seed=seed, told=told.step)
    comparison = compared(found.scenario if found else scenario)
    verdict = verdict_under(comparison, found)
    blocks = verdict_blocks(verdict)
    chart = Drawing(partial(_drawn, comparison, verdict, found))
    if found is not None:
        # Whoever has said yes is told what still matters first: the ways stand behind it.
        table, said_yes = ways_table(comparison, found), verdict.parts.word == DECIDED
        blocks += [] if said_yes else [table]
        behind = (table,) if said_yes else ()
        blocks.append(Rest(partial(_rest, comparison, found, tuple(blocks), behind, chart)))

    def data() -> dict[str, Any]:
        return result(comparison, verdict, doubt_part(found) if found else None)

    return Answer(HEADINGS["compare"], scenario.title, tuple(blocks), WhenAsked(data), chart)


def _rest(
    comparison: Comparison,
    found: Assessment,
    first: tuple[Block, ...],
    behind: tuple[Block, ...],
    chart: Drawing,
) -> Iterator[Block]:
    """Give what is behind the first blocks: the ways by category, life with each, the trade's words."""
    rest = (*behind, *category_blocks(comparison, found), *living_blocks(comparison, found.doubt), chart)
    yield from (*rest, *glossary((*first, *rest)))


def nothing_compared(scenario: Scenario, question: str) -> Answer:
    """Return the answer of every question where trouble is reported, or there is one way only."""
    comparison = compared(scenario)
    verdict = verdict_under(comparison, None)
    reason = trouble_reason(comparison.trouble) if comparison.trouble else say("compare.reasons.one_way")
    data = {
        **head_of(scenario),
        "base_case": comparison.base_case,
        "subject": comparison.subject,
        "alternatives": None,
        "verdict": [*verdict.lines, *verdict.beside],
        "verdict_parts": verdict.parts.as_result(),
        "made_by": made_by(scenario, evaluated=False),
        "reasons": {"alternatives": reason},
    }
    return Answer(HEADINGS[question], scenario.title, tuple(verdict_blocks(verdict)), data)


def _drawn(comparison: Comparison, verdict: Verdict, found: Assessment | None) -> Any:
    """Draw the first look, of means where there are futures."""
    from lifecycle.charts import first_look

    return first_look(averaged(comparison, found.doubt) if found else comparison, verdict)


def ways_table(comparison: Comparison, found: Assessment) -> Table:
    """Return what each way costs over the futures, and how often it is the cheapest.

    A quote for which another stands is no row: it is for less work, or without the loan, and the verdict
    names it on one scope.
    """
    caption = say(
        "compare.ways", currency=comparison.scenario.currency, kept=years_text(comparison.holding_period)
    )
    others: tuple[str, ...] = ()
    chances = dict(found.choosing.chance_cheapest)
    if found.judged is not None:
        others = tuple(found.judged.others)
        chances[found.judged.subject] += sum(chances.pop(name) for name in others)
    often = shared_out(chances)
    rows = []
    for name, way in comparison.ways.items():
        if name in others:
            continue
        band = found.doubt.band(found.doubt.cost(name))
        label = say("compare.own_way", way=way.title) if name == comparison.base_case else way.title
        cells = [money_text(float(band.mean))]
        if found.doubt.any_doubt:
            cells += [band_text(band.p10, band.p90), str(often[name])]
        rows.append((label, *cells))
    heads = [say(f"compare.heads.{name}") for name in (HEADS if found.doubt.any_doubt else ("cost",))]
    return Table.of_numbers(("", *heads), rows, caption)


def category_blocks(comparison: Comparison, found: Assessment) -> list[Block]:
    """Return the ways side by side by category of cost: a legend, and means over the futures."""
    means = found.doubt.by_category()
    ways = comparison.ways
    rows = [
        (kind.label, *(money_text(means[name][category]) for name in ways))
        for category, kind in CATEGORIES.items()
        if any(abs(means[name][category]) >= 0.5 for name in ways)
    ]
    costs = {name: float(found.doubt.futures.weights @ found.doubt.cost(name)) for name in ways}
    savings = [costs[comparison.base_case] - cost for cost in costs.values()]
    total = len(rows)
    base = f"[{1 + list(ways).index(comparison.base_case)}]"
    gaps = (
        (say("compare.cheaper_by"), *(_if_above(amount) for amount in savings)),
        (say("compare.dearer_by"), *(_if_above(-amount) for amount in savings)),
    )
    rows += [
        (LABELS["net-present cost"], *map(money_text, costs.values())),
        *(row for row in gaps if any(row[1:])),
    ]
    caption = say(
        "compare.categories" if found.doubt.any_doubt else "compare.categories_of_one",
        currency=comparison.scenario.currency,
        kept=years_text(comparison.holding_period),
    )
    against = say("compare.against", base=base) if len(ways) > 1 else ""
    remarks = {comparison.base_case: f" ({LABELS['base case']})"}
    legend = [f"{way.title}{remarks.get(name, '')}" for name, way in ways.items()]
    head = ("", *in_brackets(ways))
    table = Table.of_numbers(head, rows, caption, against, ruled=(total,), strong=(total,))
    return [numbered(legend), table]


def _if_above(amount: float) -> str:
    """Return money above half a unit."""
    return money_text(amount) if amount >= 0.5 else ""


def result(
    comparison: Comparison, verdict: Verdict, doubt: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return a comparison as plain data for a result file."""
    scenario = comparison.scenario
    kept = comparison.holding_period
    answer: dict[str, Any] = {
        **head_of(scenario),
        "base_case": comparison.base_case,
        "holding_period": whole_if(kept),
        "study_period": comparison.study_period,
        "alternatives": {name: _way(way) for name, way in comparison.ways.items()} or None,
        "cheapest": comparison.cheapest,
        "cheapest_way_of_keeping": comparison.cheapest_way_of_keeping,
        "verdict": [*verdict.lines, *verdict.beside],
        "verdict_parts": verdict.parts.as_result(),
        "doubt": doubt,
        "made_by": made_by(scenario, "expectation"),
    }
    reasons = _reasons(comparison, doubt)
    return {**answer, "reasons": reasons} if reasons else answer


def _reasons(comparison: Comparison, doubt: Mapping[str, Any] | None) -> dict[str, str]:
    """Say why something of the whole is null."""
    if comparison.trouble:
        return dict.fromkeys(("alternatives", "doubt"), trouble_reason(comparison.trouble))
    reasons = {} if doubt is not None else {"doubt": say("compare.reasons.not_asked")}
    if comparison.cheapest_way_of_keeping is None:
        reasons["cheapest_way_of_keeping"] = say("compare.reasons.none_keeps")
    return reasons


def _way(way: Way) -> dict[str, Any]:
    """Return one way as plain data."""
    categories: dict[str, Any] = {**way.by_category, "upkeep": dict(way.upkeep)}
    own = {
        "title": way.title,
        "net_present_cost": way.net_present_cost.tolist(),
        "annual_value": list(way.annual_value),
        "by_category": categories,
        "expected": dict(way.expected),
        "chance_renewed": way.chance_renewed.tolist(),
    }
    return own | (_measures(way.measures) if way.measures else {})


def _measures(measures: Measures) -> dict[str, Any]:
    """Return the measures of a way as plain data."""
    answers = measures.answers
    values: dict[str, Any] = {name: answer.value for name, answer in answers.items()}
    if values["break_even_year"] is not None:
        values["break_even_year"] = int(values["break_even_year"])
    price = values.pop("break_even_price")
    return {
        "net_savings": measures.net_savings.tolist(),
        **values,
        "crossings": list(measures.crossings),
        "break_even_price": price,
        "reasons": {name: answer.reason for name, answer in answers.items() if answer.reason},
    }


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
    days = {job.day for job in dated_jobs(comparison.scenario, name) if job.kind not in NO_WORK}
    renewed = float(way.chance_renewed[last_whole_year(comparison)])
    return Living.of(len(days) / comparison.holding_period, way.expected, renewed)


def _nothing(comparison: Comparison, ledger: Ledger) -> Living:
    """Return what it is like where nothing is done."""
    counts = {name: float(values[0]) for name, values in ledger.expected.items()}
    return Living.of(0.0, counts, float(ledger.chance_renewed[0][last_whole_year(comparison)]))


def living_blocks(comparison: Comparison, doubt: Doubt | None = None) -> list[Block]:
    """Return what it is like to live with each way, and with none."""
    ledger = nothing_done(comparison.case)
    columns = [*(living_of(comparison, name) for name in comparison.ways), _nothing(comparison, ledger)]
    rows = (
        (say("living.goes_up"), *(_count(column.goes_up) for column in columns)),
        (say("living.hours"), *(_count(column.hours) for column in columns)),
        (say("cautions.undecided.days"), *(_count(column.days) for column in columns)),
        (say("living.leaks"), *(_count(column.leaks) for column in columns)),
        (
            say("living.new_roof", year=last_whole_year(comparison)),
            *(_of_20(column.renewed) for column in columns),
        ),
    )
    heads = ("", *in_brackets(comparison.ways), say("living.nothing"))
    caption = say("living.caption", kept=years_text(comparison.holding_period))
    cost = float(ledger.at_holding[0])
    if doubt is not None:  # as all money beside it
        case = in_draws(comparison.scenario, doubt.futures).kept(comparison.holding_period)
        each = nothing_done(case).at_holding
        cost = float(np.broadcast_to(each, doubt.futures.weights.shape) @ doubt.futures.weights)
    note = say("living.note", cost=money_text(cost), currency=comparison.scenario.currency)
    return [Heading(say("living.head")), Table.of_numbers(heads, rows, caption, note)]


def living_table(comparison: Comparison) -> list[Block]:
    """Return the same for the ways that matter most: the cheapest, the one in question, otherwise, none."""
    names = dict.fromkeys((comparison.cheapest, comparison.subject, comparison.base_case))
    titles = {name: comparison.ways[name].title for name in names if name is not None}
    shown = {title: living_of(comparison, name) for name, title in titles.items()}
    shown[say("living.nothing_done")] = _nothing(comparison, nothing_done(comparison.case))
    rows = (
        (title, *map(_count, (one.goes_up, one.hours, one.days, one.leaks)), _of_20(one.renewed))
        for title, one in shown.items()
    )
    kept = years_text(comparison.holding_period)
    return [Heading(say("living.head_kept", kept=kept)), Table.of_numbers(("", *words("living.heads")), rows)]


def _of_20(chance: float) -> str:
    """Return a chance as so many of 20, short."""
    return str(of_20(chance) or say("compare.under"))


def _count(number: float) -> str:
    """Return a count with one decimal below ten, else whole."""
    return f"{number:.1f}" if number < 9.95 else f"{number:.0f}"


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
    return [say("figures.meaning", term=term, meaning=meant[term]) for term in found]


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
