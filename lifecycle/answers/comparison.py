"""Which way is cheaper? The verdict, the ways side by side, and the comparison as a result file has it.

Lecture
-------
Each way is a numbered column and each category of cost a row, so that any number of ways fits. Whole money
stands in a table; only sentences are rounded. A minus stands for money that comes in. *Cheaper by* and
*dearer by* are rows of their own, so that no sign has to be read.

The highest price worth paying is named for ways that lay another roof; for a way that keeps what stands it
would be the price of the same roof laid anew. The chance of an unplanned new roof is what happens to one
coach, as so many of 20.

*Data.* Names are fixed, so that files written today stay readable. Money is in the currency of the scenario
at the base date, present values; counts are not discounted. There is no NaN and no infinity: where there is
no number stands null, with the reason under `reasons`. A remark on a number that is there stands under
`reasons` too. With trouble reported `alternatives` is null.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Drawing, Items, Rest, Table
from lifecycle.answers.doubt import doubt_part
from lifecycle.answers.living import glossary, living_blocks
from lifecycle.answers.shared import head_of, made_by, rounded_signed, trouble_reason, verdict_blocks
from lifecycle.evaluation.comparison import Comparison, Measures, Way
from lifecycle.evaluation.comparison import compare as compared
from lifecycle.kinds import CATEGORIES
from lifecycle.language.cautions import last_whole_year
from lifecycle.language.labels import HEADINGS, LABELS, years_text
from lifecycle.language.sentences import say
from lifecycle.language.verdict import DECIDED, Verdict, verdict_under
from lifecycle.language.words import shared_out
from lifecycle.quantities import money_text
from lifecycle.studies import assessment
from lifecycle.studies.doubt import averaged, by_category, of_20

if TYPE_CHECKING:
    import pandas

    from lifecycle.answers.shared import Told
    from lifecycle.scenario import Scenario
    from lifecycle.studies.assessment import Assessment

HEADS = ("on_average", "band", "cheapest")
"""Heads of the first table, under doubt."""


def compare(scenario: Scenario, *, draws: int, seed: int, told: Told) -> Answer:
    """Answer which way is cheaper."""
    comparison = compared(scenario)
    found = None
    if comparison.ways:
        found = assessment.brief(scenario, draws=draws, seed=seed, told=told.step)
        comparison = compared(found.scenario)
    verdict = verdict_under(comparison, found)
    blocks = verdict_blocks(verdict)
    chart = Drawing(partial(_drawn, comparison, verdict, found))
    if found is not None:
        rest = category_blocks(comparison, found)
        # Whoever has said yes is told what still matters first: the ways stand behind it.
        table, said_yes = ways_table(comparison, found), verdict.parts.word == DECIDED
        blocks += [Rest(), table] if said_yes else [table, Rest()]
        blocks += [*rest, *living_blocks(comparison), chart]
        blocks += glossary(blocks)
    data = result(comparison, verdict, doubt_part(found) if found else None)
    return Answer(HEADINGS["compare"], scenario.title, tuple(blocks), data, chart)


def nothing_compared(scenario: Scenario) -> Answer:
    """Return the answer of every study where trouble is reported, or there is one way only."""
    comparison = compared(scenario)
    verdict = verdict_under(comparison, None)
    reason = trouble_reason(comparison.trouble) if comparison.trouble else "there is only one way"
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
    return Answer(HEADINGS["compare"], scenario.title, tuple(verdict_blocks(verdict)), data)


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
        "compare.ways",
        currency=comparison.scenario.currency,
        kept=years_text(comparison.holding_period),
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
        if found.any_doubt:
            spread = say(
                "compare.band", low=rounded_signed(float(band.p10)), high=rounded_signed(float(band.p90))
            )
            cells += [spread, str(often[name])]
        rows.append((label, *cells))
    heads = [say(f"compare.heads.{name}") for name in (HEADS if found.any_doubt else ("cost",))]
    return Table(("", *heads), tuple(rows), caption, numbers=tuple(range(1, 1 + len(heads))))


def category_blocks(comparison: Comparison, found: Assessment) -> list[Block]:
    """Return the ways side by side by category of cost: a legend, and means over the futures."""
    means = by_category(found.scenario, found.doubt.futures)
    ways = comparison.ways
    rows = [
        (kind.label, *(money_text(means[name][category]) for name in ways))
        for category, kind in CATEGORIES.items()
        if any(abs(means[name][category]) >= 0.5 for name in ways)
    ]
    costs = {name: float(found.doubt.futures.weights @ found.doubt.cost(name)) for name in ways}
    savings = [costs[comparison.base_case] - cost for cost in costs.values()]
    total, year = len(rows), last_whole_year(comparison)
    rows += [
        (LABELS["net-present cost"], *map(money_text, costs.values())),
        (say("compare.cheaper_by"), *(_if_above(amount) for amount in savings)),
        (say("compare.dearer_by"), *(_if_above(-amount) for amount in savings)),
        (say("compare.new_roof", year=year), *(_coaches(way, year) for way in ways.values())),
    ]
    caption = say(
        "compare.categories",
        currency=comparison.scenario.currency,
        kept=years_text(comparison.holding_period),
    )
    head = ("", *(f"[{number}]" for number in range(1, len(ways) + 1)))
    table = Table(
        head, tuple(rows), caption, numbers=tuple(range(1, len(head))), ruled=(total,), strong=(total,)
    )
    remarks = {comparison.base_case: f" ({LABELS['base case']})"}
    legend = tuple(
        f"[{number}] {way.title}{remarks.get(name, '')}"
        for number, (name, way) in enumerate(ways.items(), start=1)
    )
    return [Items(legend, marks=False), table]


def _if_above(amount: float) -> str:
    """Return money above half a unit."""
    return money_text(amount) if amount >= 0.5 else ""


def _coaches(way: Way, year: int) -> str:
    """Return the chance of an unplanned new roof as so many of 20."""
    number = of_20(float(way.chance_renewed[year]))
    return str(number) if number else "<1 in 40"


def records(comparison: Comparison) -> list[dict[str, Any]]:
    """Return the ways as rows of plain numbers, one for each way."""
    year = last_whole_year(comparison)
    rows = []
    for way in comparison.ways.values():
        measures = way.measures
        keeps = way.keeps_what_stands or measures is None
        rows.append(
            {
                LABELS["alternative"]: way.title,
                **{CATEGORIES[name].label: amount for name, amount in way.by_category.items()},
                LABELS["net-present cost"]: way.at_holding,
                LABELS["net savings"]: measures.at_holding if measures else None,
                LABELS["break-even year"]: measures.break_even_year.value if measures else None,
                LABELS["break-even price"]: None
                if keeps or not measures
                else measures.break_even_price.value,
                f"chance of an unplanned new roof by year {year}": float(way.chance_renewed[year]),
            }
        )
    return rows


def frame(comparison: Comparison) -> pandas.DataFrame:
    """Return the ways as a data frame for notebooks, one column for each way."""
    import pandas

    table = pandas.DataFrame(records(comparison))
    if table.empty:
        return table
    labels = [category.label for category in CATEGORIES.values()]
    nothing = [label for label in labels if table[label].abs().max() < 0.5]
    return table.drop(columns=nothing).set_index(LABELS["alternative"]).T


def result(
    comparison: Comparison, verdict: Verdict, doubt: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return a comparison as plain data for a result file."""
    scenario = comparison.scenario
    kept = comparison.holding_period
    answer: dict[str, Any] = {
        **head_of(scenario),
        "base_case": comparison.base_case,
        "holding_period": int(kept) if kept == int(kept) else kept,
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
    reasons = {} if doubt is not None else {"doubt": "not asked for"}
    if comparison.cheapest_way_of_keeping is None:
        reasons["cheapest_way_of_keeping"] = "no way keeps the roof that stands"
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
