"""The papers to take home: for us, for the shop, and the offer of a shop; what they say is worked out once.

Lecture
-------
All papers, the workbook and the calendar stand on what `gather` works out: each study runs once, with the
draws and the seed of the command line, so no two papers say two things. With trouble reported, or one way
only, nothing is compared, and the papers say why. A paper tells its day (the base date, no clock), its
version and the first letters of the digest of its file: whoever has that file gets the same paper.

*For us*, a page front and a page back. Front: the verdict as `compare` prints it, what each way costs, in how
many of 20 futures, what happens to twenty coaches, now, later or never. Back: what would change the answer,
the case for and against, whose figures they are, the seven answers, what to mind, room for a pen.

*For the shop*: the roof, the scope part by part, and questions. It never says the highest price worth paying,
how long the coach is kept, what an hour is worth to its owner, what the owner would do otherwise, nor
anything from which they follow: no verdict, no job of one's own, no title. The questions are those of every
job, in one order, for an order by what matters here would tell: two owners of one roof hand over the same
bytes.

*The offer* is a shop's, printed at a counter: the verdict, also when it says no, then the price line by line,
its two forms, what can change it, what was not looked at. It binds nobody before the shop has signed.

*For the analyst* stands what the papers for owners leave out, under the standard's names: net-present cost,
net savings, savings-to-investment ratio, rates of return; percentiles over the futures; Sobol indices with
their standard errors and what has to be said first; switch values; a map of the two inputs that move the
answer most; the same coach in every place of the table; the register of every input with basis and
source. Method, draws, seed and base points are named, so that it can be made again.

Left out: yearly cash flow (the workbook), what another shop asks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import lifecycle
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
    Table,
)
from lifecycle.answers.claims import offer_lines
from lifecycle.answers.climate import places_blocks
from lifecycle.answers.comparison import glossary_line, living_table
from lifecycle.answers.doubt import own_twenties, shares_blocks, twenties, ways_legend, worth_blocks
from lifecycle.answers.figures import counts, register_table
from lifecycle.answers.parts import made_line, verdict_blocks
from lifecycle.answers.quote import price_blocks, terms, terms_said
from lifecycle.answers.sensitivity import (
    Sensitivity,
    defaults_sentence,
    first_sentence,
    indices_blocks,
    moving_blocks,
    what_changes,
)
from lifecycle.answers.seven_answers import answers_blocks
from lifecycle.answers.timing import last_day_sentence, when_sentence
from lifecycle.charts import (
    answer_map,
    cost_by_category,
    owning_under_doubt,
    roof_plan,
    savings_spread,
    twenty_coaches,
)
from lifecycle.charts import indices as indices_chart
from lifecycle.evaluation.comparison import Comparison, Measures, Way, compare
from lifecycle.language.cautions import found_lines, path_lines
from lifecycle.language.claims import case_lines
from lifecycle.language.labels import BASES, HEADINGS, area_text, counted, length_text, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import NO_QUOTE, NO_SINGLE, Verdict, verdict_under
from lifecycle.quantities import money_text
from lifecycle.scenario import Scenario, geometry_of
from lifecycle.studies import assessment
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.by_place import ByPlace, by_place
from lifecycle.studies.doubt import averaged
from lifecycle.studies.futures import DRAWS, SEED, Evaluator
from lifecycle.studies.quoting import examine, scope
from lifecycle.studies.register import register
from lifecycle.studies.sensitivity import TwoWayMap, two_way_map
from lifecycle.studies.timing import Timing, timing

POINTS = 128
"""Base points of the indices on the analyst's paper; the command takes more."""

Told = Callable[[str], None]
"""Called with what is being worked out."""


@dataclass(frozen=True)
class Studied:
    """What the studies of a comparison say; a change has indices, and a map of what moves it most."""

    found: Assessment
    timing: Timing
    change: Sensitivity


@dataclass(frozen=True)
class Gathered:
    """What the papers of one scenario say.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    answer : Verdict
        Under doubt, where there is any.
    studied : Studied or None
        None where nothing is compared.
    places : ByPlace
        Where it stands.
    """

    comparison: Comparison
    answer: Verdict
    studied: Studied | None
    places: ByPlace

    @property
    def scenario(self) -> Scenario:
        """What was stated."""
        return self.comparison.scenario


def gather(scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED, told: Told | None = None) -> Gathered:
    """Work out what the papers of a scenario say."""
    if scenario.trouble or scenario.subject is None:
        comparison = compare(scenario)
        return Gathered(comparison, verdict_under(comparison, None), None, by_place(scenario))
    work = Evaluator()
    found = assessment.whole(scenario, draws=draws, seed=seed, told=told, evaluator=work)
    dates = timing(scenario, draws=draws, seed=seed, drawn=found.doubt.futures, evaluator=work)
    change = what_changes(found.scenario, doubt=found.doubt, points=POINTS, seed=seed)
    change = replace(change, map=_map(found, [swing.figure.path for swing in change.swings]))
    studied = Studied(found, dates, change)
    comparison = compare(found.scenario)
    places = by_place(found.scenario, doubt=found.doubt)
    return Gathered(comparison, verdict_under(comparison, found), studied, places)


def _map(found: Assessment, paths: list[str]) -> TwoWayMap | None:
    """Return the map of the two figures that move the answer most; None with fewer ranges."""
    return two_way_map(found.scenario, *paths[:2], doubt=found.doubt) if len(paths) > 1 else None


def footer(scenario: Scenario) -> str:
    """Return the foot of every paper."""
    said = say(
        "papers.footer",
        day=scenario.base_date.isoformat(),
        version=lifecycle.__version__,
        digest=scenario.sha256[:16],
        changed=say("papers.changed") if scenario.changed else "",
    )
    return f"{said} {made_line()}"


def invented(scenario: Scenario) -> tuple[Sentence, ...]:
    """Return the mark of an invented scenario; nothing for another."""
    says = "invented" in scenario.title.lower()
    demo = any(figure.basis == "demo" and not figure.shared for figure in scenario.inputs.values())
    return (Sentence(say("papers.invented"), "caution"),) if says or demo else ()


SIZE, US_SIZE, ANALYST_SIZE = 9.0, 7.5, 8.5
"""Size of the text in print, of the offer, the paper for us, and the one for the analyst. [point]"""

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
    return _paper("papers.us", told.scenario, blocks, text_size=US_SIZE)


def _paper(name: str, scenario: Scenario, blocks: Iterable[Block], text_size: float = SIZE) -> Answer:
    """Return a paper on a scenario, with its day and its foot."""
    foot, day = footer(scenario), scenario.base_date.isoformat()
    return Answer(say(name), scenario.title, tuple(blocks), footer=foot, text_size=text_size, date=day)


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
    yield Items(tuple(words("papers.cautions")))


def _front(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return the page front below the verdict."""
    found, comparison = studied.found, told.comparison
    yield Heading(say("papers.may_happen"))
    means = averaged(comparison, found.doubt)
    left: list[Block] = [Drawing(partial(cost_by_category, means), share=LEFT)]
    right: list[Block] = [Drawing(partial(owning_under_doubt, found), share=RIGHT)]
    if found.subject in found.luck:
        right.append(Drawing(partial(twenty_coaches, found, found.subject or ""), share=RIGHT))
    if (table := own_twenties(comparison, found)) is not None:
        left.append(table)
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
    yield Sentence(say("papers.kept", kept=kept, bases=_bases(scenario)), "note")
    lines = case_lines(told.comparison, studied.found.doubt)
    if lines.for_:
        yield Columns(
            (Heading(say("claims.for")), Items(lines.for_)),
            (Heading(say("claims.against")), Items(lines.against)),
        )
    yield from living_table(told.comparison)
    yield from _kept(scenario)


def for_shop(scenario: Scenario) -> Answer:
    """Return the paper for the shop."""
    blocks = [*invented(scenario), *_roof(scenario)]
    blocks += _open_first(scenario) if scenario.trouble else [*_scope(scenario), *_questions()]
    day = scenario.base_date.isoformat()
    return Answer(
        title=say("papers.for_shop.title"),
        subtitle=say("papers.for_shop.subtitle"),
        blocks=(*blocks, Handwriting(say("papers.for_shop.answered"), 2)),
        footer=f"{say('papers.for_shop.footer', day=day)} {made_line()}",
        date=day,
    )


def _roof(scenario: Scenario) -> Iterator[Block]:
    """Return what the roof is."""
    yield Heading(say("papers.for_shop.roof"))
    existing = scenario.roofs[scenario.existing.roof]
    facts = [say("papers.for_shop.on_it", covering=existing.covering, age=_age(scenario))]
    facts += found_lines(scenario.seen)
    shape = geometry_of(scenario)
    if shape is None:
        yield Items((*facts, say("papers.for_shop.not_measured")))
        return
    facts.append(
        say(
            "papers.for_shop.size",
            length=length_text(shape.length, scenario.units),
            sprayed=length_text(shape.sprayed_length, scenario.units),
            area=area_text(shape.sprayed_area, scenario.units),
            joints=length_text(shape.joint_length, scenario.units),
        )
    )
    unseen = [text for name, text in words("quote.unseen").items() if name in shape.assumed]
    yield Items((*facts, *unseen))
    yield Drawing(partial(roof_plan, scenario), share=0.6)


def _age(scenario: Scenario) -> str:
    """Return the age of the roof."""
    months = scenario.likely(scenario.existing.numbers["age"])
    if months < 24.0:
        return say("papers.for_shop.months", age=f"{months:.0f}")
    return say("papers.for_shop.years", age=f"{months / 12.0:.0f}")


def _open_first(scenario: Scenario) -> list[Block]:
    """Return what is asked where trouble is reported."""
    return [
        Heading(say("papers.for_shop.open_first")),
        Sentence(say("papers.for_shop.seen", trouble=", ".join(scenario.trouble)), "caution"),
        Items(path_lines(scenario.seen, to_shop=True), numbered=True),
        Handwriting(say("papers.for_shop.opened"), 5),
    ]


def _scope(scenario: Scenario) -> Iterator[Block]:
    """Return the parts of the job, with room for a price each, and what the quote says of them."""
    yield Heading(say("papers.for_shop.parts"))
    # Of several quotes, none is shown to another shop.
    quote = next(iter(scenario.quotes.values())) if len(scenario.quotes) == 1 else None
    covered = set(quote.covered) if quote is not None else set()
    said, heads = words("papers.for_shop"), words("papers.for_shop.heads")
    named = {name: said["in_it" if name in covered else "not_named"] for name in scope()}
    rows = tuple(
        (part["title"], part["ask"], named[name] if covered else said["blank"])
        for name, part in scope().items()
    )
    yield Table((heads["part"], heads["say"], heads["quoted" if covered else "price"]), rows)
    if quote is None:
        return
    silent = [name for name, text in terms(quote, scenario.units, "").items() if text is None]
    if silent:
        yield Sentence(say("papers.for_shop.silent", quote=quote.title, terms=", ".join(silent)))


def _questions() -> Iterator[Block]:
    """Return the questions of every job, in one order."""
    for name, asked in words("papers.shop").items():
        yield Heading(say(f"papers.for_shop.{name}"))
        yield Items(tuple(asked), numbered=True)


def offer(gathered: Gathered) -> Answer | None:
    """Return the offer; None where there is trouble to open first, or no quote line by line."""
    scenario = gathered.scenario
    if scenario.trouble or not scenario.quotes:
        return None
    examination = examine(scenario)
    unseen = [words("quote.unseen")[name] for name in examination.unseen]
    first, *others = gathered.answer.lines
    blocks = (
        *invented(scenario),
        Sentence(say("papers.offer.suggested"), "caution"),
        Sentence(first, "verdict"),
        *map(Sentence, others),
        Heading(say("counter.answer.price")),
        *price_blocks(examination),
        *map(Sentence, terms_said(examination.quotes[0].quote, scenario.units, scenario.currency)),
        *map(Sentence, found_lines(scenario.seen)),
        *((Heading(say("quote.not_looked_at")), Items(tuple(unseen))) if unseen else ()),
        Handwriting(say("papers.offer.signed"), 2),
    )
    return _paper("papers.offer.title", scenario, blocks)


def _bases(scenario: Scenario) -> str:
    """Say on what the estimates of a scenario rest."""
    table = register(scenario)
    parts = [f"{number} {BASES[basis]}" for basis, number in table.by_basis.items() if number]
    return say("labels.estimates", estimates=counted(table.estimates, "estimate"), bases="; ".join(parts))


SWITCHES_SHOWN = 24
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
            *_method_blocks(told.studied),
            *_ways_blocks(told.comparison),
            *_doubt_blocks(told, told.studied),
            *_change_blocks(told.studied),
            *_map_blocks(told.studied),
        ]
    places = [Heading(HEADINGS["climate"]), *places_blocks(told.places)]
    blocks += [*places, *_figures_blocks(told)]
    return _paper("analyst.title", scenario, blocks, text_size=ANALYST_SIZE)


def _method_blocks(studied: Studied) -> Iterator[Block]:
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


def _ways_blocks(comparison: Comparison) -> Iterator[Block]:
    """Return the measures of every way at likely values."""
    kept = years_text(comparison.holding_period)
    reasons: dict[str, list[str]] = {}
    for way in comparison.ways.values():
        for name, answer in (way.measures.answers if way.measures else {}).items():
            if answer.reason:
                reasons.setdefault(f"{name.replace('_', ' ')}: {answer.reason}", []).append(way.title)
    yield Heading(say("analyst.ways"))
    two = (comparison.subject, comparison.base_case)
    yield Table.of_numbers(
        words("analyst.way_heads"),
        (_way_row(way, comparison) for way in comparison.ways.values()),
        say("analyst.ways_caption", currency=comparison.scenario.currency, kept=kept),
        say("analyst.ways_note"),
        strong=tuple(place for place, name in enumerate(comparison.ways) if name in two),
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


def _doubt_blocks(told: Gathered, studied: Studied) -> Iterator[Block]:
    """Return costs over the futures, who is cheapest how often, and what finding out is worth."""
    found, comparison = studied.found, told.comparison
    yield Heading(say("analyst.under_doubt"))
    chances, loss = found.choosing.chance_cheapest, found.choosing.opportunity_loss
    costs = []
    for name in found.doubt.names:
        band = found.doubt.band(found.doubt.cost(name))
        amounts = (float(getattr(band, part)) for part in ("mean", "p10", "p50", "p90"))
        often = f"{100.0 * chances[name]:.0f}"
        costs.append((comparison.ways[name].title, *map(money_text, amounts), often, money_text(loss[name])))
    note = say("analyst.costs_note", money=money_text(found.choosing.perfect_information))
    yield Table.of_numbers(words("analyst.cost_heads"), costs, say("analyst.costs_caption"), note)
    left = [Drawing(partial(savings_spread, found))]
    right: list[Block] = list(shares_blocks(found))
    if found.habits is not None:
        right.insert(0, twenties(found.habits, comparison.ways[comparison.subject or ""].title))
    yield Columns(tuple(left), tuple(right))
    yield from worth_blocks(found)
    yield ways_legend(found)


def _change_blocks(studied: Studied) -> Iterator[Block]:
    """Return indices, and the figures that move the answer most."""
    change = studied.change
    yield Heading(say("analyst.indices_head"))
    yield from indices_blocks(change, most=len(change.swings))
    if change.indices is not None and change.indices.inputs:
        yield Drawing(partial(indices_chart, change.indices), share=0.6)
    yield Heading(say("analyst.swings_head"))
    yield from moving_blocks(change, most=SWITCHES_SHOWN)
    yield Sentence(defaults_sentence(change), "note")


def _map_blocks(studied: Studied) -> Iterator[Block]:
    """Return the map of the two inputs that move the answer most."""
    plan = studied.change.map
    if plan is not None:
        yield Heading(say("analyst.map_head"))
        yield Drawing(partial(answer_map, plan, studied.change.scenario), share=0.6)


def _figures_blocks(told: Gathered) -> Iterator[Block]:
    """Return every figure with its basis and source."""
    table = register(told.scenario)
    yield Heading(HEADINGS["figures"])
    yield Sentence(" ".join(counts(table)))
    yield register_table(table.entries)
    yield Items(table.on_bands)
