"""Now, later or never? When to change, and how often to reseal.

Lecture
-------
The first sentence names the cheapest date on average: change now, wait until a year, wait until the roof must
go, or never. Where another date costs about the same (`verdict.about_the_same`) that is said, and so is in
how many of 20 futures the date named is the best.

*The last day of an offer*: what waiting one year costs or saves, with the best upkeep for that year. If it is
about the same, nothing in the figures makes the day matter. If waiting saves, the price may rise by so much
before it no longer does.

*How often*: the cheapest interval between full reseals of a way that has them, everything else as it is.

Left out: that prices may fall, and that one learns while waiting.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Drawing, Items, Rest, Sentence, Table
from lifecycle.answers.parts import (
    any_range,
    band_text,
    fields_of,
    head_of,
    made_by,
    whole_if,
)
from lifecycle.kinds import COVERINGS
from lifecycle.language.labels import HEADINGS, about, best_of_20, shared_out, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import capital, inner, money_text, rounded
from lifecycle.studies import timing as study
from lifecycle.studies.timing import NEVER, Choice, Timing
from lifecycle.studies.verdict import about_the_same
from lifecycle.studies.ways import WHEN_IT_MUST

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from lifecycle.answers.parts import Told
    from lifecycle.scenario import Scenario

RISE_NAMED = 0.01
"""Least rise of the price that is named, as a share of it. [-]"""


def timing(scenario: Scenario, *, draws: int, seed: int, told: Told) -> Answer:
    """Answer when to change, and how often to reseal."""
    told.step(say("timing.working"))
    return timing_answer(scenario, study.timing(scenario, draws=draws, seed=seed, progress=told.part))


def timing_answer(scenario: Scenario, found: Timing) -> Answer:
    """Put what each date and each interval costs into words."""
    sentences = [when_sentence(scenario, found), last_day_sentence(found, scenario.currency)]
    sentences += [how_often_sentence(scenario, found)] if found.best_reseal else []
    one_value = [] if any_range(scenario) else [say("timing.one_value")]
    blocks: list[Block] = [*map(Sentence, (*sentences, *one_value)), *_dates(scenario, found), Rest()]
    chart = Drawing(partial(_drawn, scenario, found))
    return Answer(
        HEADINGS["timing"],
        scenario.title,
        (*blocks, *_intervals(scenario, found), chart),
        _data(scenario, found, sentences),
        chart,
    )


def when_sentence(scenario: Scenario, found: Timing) -> str:
    """Say when to change."""
    way = scenario.alternative(found.subject)
    verb = COVERINGS[scenario.roofs[way.then].covering].lay
    best, now, sure = found.best_change, found.change[0], any_range(scenario)
    start = {
        0: partial(say, "timing.now", Change=capital(verb)),
        WHEN_IT_MUST: partial(say, "timing.when_it_must", change=verb),
        NEVER: partial(say, "timing.never", change=verb),
    }.get(best.when, partial(say, "timing.wait", year=best.when, change=verb))
    costs = "timing.costs_on_average" if sure else "timing.costs"
    sentences = [
        start(),
        say(costs, money=about(best.mean, scenario.currency), kept=years_text(found.years)),
    ]
    if best.when != 0:
        more = now.mean - best.mean
        alike_now = about_the_same(more, now.mean)
        sentences.append(
            say("timing.now_about_the_same", change=verb)
            if alike_now
            else say("timing.now_costs_more", change=verb, money=about(more, scenario.currency))
        )
    if sure:
        named = {
            0: partial(say, "timing.now_is_best", change=verb),
            NEVER: partial(say, "timing.never_is_best"),
        }.get(best.when, partial(say, "timing.waiting_is_best"))
        sentences.append(named(often=_often(found.change, best)))
    sentences += _alike(found.change, best, _date, but=0)
    return " ".join([*sentences, *([] if scenario.climbs is not None else [say("timing.nobody_climbs")])])


def _alike(
    choices: Sequence[Choice], best: Choice, named: Any, *, but: int | str | None = None
) -> Iterator[str]:
    """Say which other choices cost about the same."""
    alike = [
        named(choice)
        for choice in choices
        if choice.when not in (best.when, but) and about_the_same(choice.mean - best.mean, choice.mean)
    ]
    if alike:
        yield say("timing.alike", choices="; ".join(alike))


def _often(choices: Sequence[Choice], best: Choice) -> str:
    """Say in how many of 20 futures a choice is the best of its table."""
    return best_of_20({choice.when: choice.chance_best for choice in choices}, best.when)


def _date(choice: Choice) -> str:
    """Return a date in words."""
    key = {0: "timing.date.now", WHEN_IT_MUST: "verdict.titles.when_it_must", NEVER: "timing.date.never"}
    known = key.get(choice.when)
    return say(known) if known else say("verdict.titles.in_year", year=choice.when)


def last_day_sentence(found: Timing, currency: str = "") -> str:
    """Say whether the last day of an offer matters."""
    later = [choice for choice in found.change if isinstance(choice.when, int) and choice.when > 0]
    if not later:
        return say("timing.no_later_date")
    now, year = found.change[0], later[0]
    saves = now.mean - year.mean
    best = max(later, key=lambda choice: choice.price_rise or 0.0)
    if about_the_same(saves, now.mean):
        first = say("timing.last_day_nothing", money=f"{_above(abs(saves))} {currency}".rstrip())
    elif saves > 0.0:
        first = say("timing.last_day_saves", money=about(saves, currency))
    else:
        first = say("timing.last_day_costs", money=about(saves, currency), month=about(saves / 12.0))
    if best.price_rise is None or best.price_rise <= RISE_NAMED * found.quote:
        return first
    rise = say(
        "timing.price_may_rise",
        money=about(best.price_rise, currency),
        share=round(100.0 * best.price_rise / found.quote),
        years=years_text(float(best.when)),
    )
    return f"{first} {rise}"


def _above(amount: float) -> str:
    """Return a round amount that is not below another.

    Examples
    --------
    >>> _above(231.0), _above(3.0), _above(1210.0)
    ('300', '100', '1,300')
    """
    return f"{100 * (int(amount // 100) + 1):,}"


def how_often_sentence(scenario: Scenario, found: Timing) -> str:
    """Say how often to reseal; nothing where no way of keeping the roof has a full reseal."""
    best = found.best_reseal
    if best is None:
        return ""
    slots = {
        "way": _kept_titles(scenario)[found.resealed],
        "money": about(best.mean, scenario.currency),
    }
    said = (
        say("timing.never_reseal", **slots)
        if best.when == NEVER
        else say("timing.reseal", every=_every(best), **slots)
    )
    if any_range(scenario):
        said = say("timing.on_average_best", said=said, often=_often(found.reseal, best))
    planned = _planned(scenario, found)
    if planned is not None and planned.when != best.when:
        more = about(planned.mean - best.mean)
        said = say("timing.as_it_stands", said=said, every=_every(planned), money=more)
    return " ".join([f"{said}.", *_alike(found.reseal, best, _every)])


def _planned(scenario: Scenario, found: Timing) -> Choice | None:
    """Return the interval that the scenario states, if it is among those compared."""
    months = {
        scenario.likely(visit.numbers["every"])
        for visit in scenario.roofs[found.resealed].visits
        if scenario.likely(visit.numbers.get("restores", 0.0)) == 1.0
    }
    return next((choice for choice in found.reseal if choice.when in months), None)


def _every(choice: Choice) -> str:
    """Return an interval in words."""
    known = words("timing.every")
    return (
        str(known[str(choice.when)])
        if str(choice.when) in known
        else say("timing.every.other", months=choice.when)
    )


def _kept_titles(scenario: Scenario) -> dict[str, str]:
    """Return for each standing roof the title of the first way that has it."""
    titles: dict[str, str] = {}
    for way in scenario.alternatives:
        titles.setdefault(way.roof, way.title)
    return titles


def _dates(scenario: Scenario, found: Timing) -> Iterator[Block]:
    """Return the table of dates, and what is cheapest until then."""
    titles, sure = _kept_titles(scenario), any_range(scenario)
    kept = dict.fromkeys(choice.upkeep for choice in found.change if choice.when != 0)
    numbers = {name: f"({place})" for place, name in enumerate(kept, 1)}
    rises = any(choice.price_rise and choice.price_rise > 0.5 for choice in found.change)
    labels = [
        _date(choice) if choice.when == 0 else f"{_date(choice)} {numbers[choice.upkeep]}"
        for choice in found.change
    ]
    last = [
        [rounded(choice.price_rise) if choice.price_rise and choice.price_rise > 0.5 else ""]
        for choice in found.change
    ]
    yield _table(
        say(
            "timing.dates_with_rise" if rises else "timing.dates",
            currency=scenario.currency,
            kept=years_text(found.years),
        ),
        found.change,
        labels,
        sure,
        (last, [say("timing.heads.rise")]) if rises else None,
    )
    yield Sentence(f"{say('timing.meanwhile')}:", "note")
    yield Items(tuple(f"{number} {inner(titles[name])}" for name, number in numbers.items()), marks=False)


def _table(
    caption: str,
    choices: Sequence[Choice],
    labels: Sequence[str],
    sure: bool,
    more: tuple[list[list[str]], list[str]] | None = None,
) -> Table:
    """Return a table of choices: a mean with three digits, to tell dates apart, its band, of 20."""
    often = shared_out({choice.when: choice.chance_best for choice in choices})
    heads = [say(f"timing.heads.{name}") for name in (("on_average", "band", "best") if sure else ("cost",))]
    rows = []
    for place, choice in enumerate(choices):
        cells = [money_text(choice.mean)]
        if sure:
            mean, band = float(f"{choice.mean:.3g}"), band_text(choice.cost.p10, choice.cost.p90)
            cells = [money_text(mean), band, str(often[choice.when])]
        rows.append((labels[place], *cells, *(more[0][place] if more else ())))
    return Table.of_numbers(("", *heads, *(more[1] if more else ())), rows, caption)


def _intervals(scenario: Scenario, found: Timing) -> Iterator[Block]:
    """Return the table of reseal intervals."""
    if found.reseal:
        caption = say(
            "timing.intervals",
            way=_kept_titles(scenario)[found.resealed],
            currency=scenario.currency,
            kept=years_text(found.years),
        )
        yield _table(caption, found.reseal, [*map(_every, found.reseal)], any_range(scenario))


def _drawn(scenario: Scenario, found: Timing) -> Figure:
    """Draw what each date costs, and each interval."""
    from lifecycle.charts import how_often_to_reseal, when_to_change
    from lifecycle.charts.sheets import stacked

    charts = [when_to_change, *([how_often_to_reseal] if found.reseal else [])]
    drawn = [partial(chart, found, currency=scenario.currency) for chart in charts]
    return stacked(when_sentence(scenario, found), drawn)


def _data(scenario: Scenario, found: Timing, said: Sequence[str]) -> dict[str, Any]:
    """Return the answer as plain data for a result file."""
    best = found.best_reseal
    reasons: Mapping[str, str] = (
        {} if best else dict.fromkeys(("resealed", "best_reseal"), say("timing.no_reseal"))
    )
    return {
        **head_of(scenario),
        "subject": found.subject,
        "holding_period": whole_if(found.years),
        "quote": found.quote,
        "change": [_choice(choice) for choice in found.change],
        "best_change": found.best_change.when,
        "resealed": found.resealed or None,
        "reseal": [_choice(choice) for choice in found.reseal],
        "best_reseal": best.when if best else None,
        "said": list(said),
        **fields_of(found, "draws", "seed"),
        "made_by": made_by(scenario, "expectation by future"),
        **({"reasons": reasons} if reasons else {}),
    }


def _choice(choice: Choice) -> dict[str, Any]:
    """Return one date or interval as plain data."""
    cost = {name: float(getattr(choice.cost, name)) for name in ("mean", "p10", "p50", "p90")}
    when, chances = fields_of(choice, "when", "upkeep"), fields_of(choice, "chance_best", "price_rise")
    return {**when, "cost": cost, **chances}
