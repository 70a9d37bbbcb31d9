"""What a good job does, step by step; and at its end, before the owner drives off: is the film as promised?

Lecture
-------
The list follows the steps of the job and prints (`data/words/checklist.toml`), each line with its reason and
its basis: a rule or standard by its name, from memory, the maker's sheet, or common practice without a
source. What must work and be on paper at the hand-over is said once (`data/handover.toml`) and stands in both
answers.

Left out: what a shop must do by the law of its state.

*For the buyer*: what was done on the roof and when, and what to ask before paying. The page is the owner's
own word, and says so first. It holds what a buyer can check: jobs and leaks with their months, film readings,
the warranty and whether it goes on with the coach, what is due next. It holds no money, no hours, no notes
and no title of the scenario, for these are private; and no field for names, plates or serial numbers, for
which there is room to write by hand. It does not judge the roof.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

import lifecycle
from lifecycle.answers.blocks import (
    Answer,
    Block,
    Drawing,
    Handwriting,
    Heading,
    Items,
    Rest,
    Sentence,
    Table,
    charted,
)
from lifecycle.answers.parts import SCHEMA, Told, fields_of, made_by
from lifecycle.files import data
from lifecycle.kinds import COVERINGS
from lifecycle.language.cautions import found_lines
from lifecycle.language.labels import BASES, counted, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import capital, convert, number_text
from lifecycle.quote import Quote
from lifecycle.records.from_today import brought_forward, renewed_as
from lifecycle.records.handover import READINGS, SPOT_SHARE, FilmCheck
from lifecycle.records.logbook import LEAK, RENEWAL, SALE, Entry, Log
from lifecycle.scenario import Scenario, StatedRoof, Use
from lifecycle.studies.upkeep_calendar import day_after

LISTS = ("works", "papers")
"""Lists of what to check, by their names in the data."""


def handover_answer(check: FilmCheck, unit: str) -> Answer:
    """Put the film check and the list of what to check into blocks and plain data."""
    chart = Drawing(charted("plans:film_plan", check, unit))
    lists: list[Block] = []
    for name in LISTS:
        lists += [Heading(say(f"handover.{name}")), Items(entries(name))]
    rows = tuple((spot.name, str(len(spot.readings)), number_text(spot.mean, 4)) for spot in check.spots)
    spots = Table(tuple(words("handover.heads")), rows, say("handover.spots", unit=unit), numbers=(1, 2))
    where = tuple(_where_not(check, unit))
    blocks = (
        Sentence(film_sentence(check, unit), "verdict"),
        *((Items(where),) if where else ()),
        Sentence(rule(), "note"),
        *lists,
        Rest(),
        spots,
        chart,
    )
    return Answer(say("handover.title"), "", blocks, _data(check, unit), chart)


def entries(name: str) -> tuple[str, ...]:
    """Return a list of what to check, by its name in the data."""
    return tuple(say("handover.entry", **entry) for entry in data("handover.toml")[name])


def film_sentence(check: FilmCheck, unit: str) -> str:
    """Say whether the film is accepted."""
    if not check.judged:
        return say("handover.not_judged", spots=counted(len(check.spots), "spot"), readings=READINGS)
    failed = check.thin or check.area_thin
    said = "accepted" if check.accepted else "not_accepted" if failed else "not_all_judged"
    return say(
        f"handover.{said}",
        spots=counted(len(check.judged), "spot"),
        mean=number_text(check.mean, 4),
        unit=unit,
        film=number_text(check.specified, 4),
    )


def rule() -> str:
    """Say by which rule a film is accepted, and how it is known."""
    return say("handover.rule", readings=READINGS, share=f"{100.0 * SPOT_SHARE:.0f}")


def _where_not(check: FilmCheck, unit: str) -> Iterator[str]:
    """Say where the film is not as promised."""
    if check.area_thin:
        yield say("handover.area_thin", film=number_text(check.specified, 4), unit=unit)
    if check.thin:
        spots = listed(f"{spot.name} {number_text(spot.mean, 4)}" for spot in check.thin)
        yield say("handover.thin", least=number_text(check.least, 4), unit=unit, spots=spots)
    if check.incomplete:
        spots = listed(f"{spot.name} ({len(spot.readings)})" for spot in check.incomplete)
        yield say("handover.incomplete", readings=READINGS, spots=spots)


def _data(check: FilmCheck, unit: str) -> dict[str, Any]:
    """Return the film check and the list as plain data."""
    found = data("handover.toml")
    return {
        "schema": SCHEMA,
        "unit": unit,
        **fields_of(check, "specified", "least", "mean", "accepted"),
        "judged": len(check.judged),
        "area_thin": check.area_thin,
        "thin": [spot.name for spot in check.thin],
        "incomplete": [spot.name for spot in check.incomplete],
        "spots": {
            spot.name: {"readings": list(spot.readings), "mean": spot.mean, "place": list(spot.place)}
            for spot in check.spots
        },
        "placed_by": check.placed_by,
        "rule": rule(),
        **{name: found[name] for name in LISTS},
        "made_by": made_by(None, "film readings", evaluated=False),
    }


BOX = "[ ] "
"""What is ticked by hand."""


def checklist(*, told: Told | None = None) -> Answer:
    """Put what a good job does into blocks and plain data; there is nothing to be told of."""
    steps, blocks = words("checklist.steps"), list[Block]()
    for number, step in enumerate(steps, start=1):
        blocks.append(Heading(f"{number} {step['title']}"))
        lines = [_line(item) for item in step["items"]]
        if step.get("handover"):
            lines += [line for name in ("works", "papers") for line in entries(name)]
        blocks.append(Items(tuple(f"{BOX}{line}" for line in lines), marks=False))
        if step.get("handover"):
            blocks.append(Sentence(say("checklist.handover"), "note"))
        if number == 1:
            blocks.append(Rest())
    data = {"schema": SCHEMA, "steps": steps, "made_by": made_by(None, "checklist", evaluated=False)}
    how, sign = Sentence(say("checklist.how"), "caution"), Handwriting(say("checklist.sign"), 2)
    return Answer(say("checklist.title"), "", (how, *blocks, sign), data)


def _line(item: Mapping[str, Any]) -> str:
    """Return what is done, why, and how that is known."""
    basis = BASES["practice"] if item["basis"] == "practice" else item["basis"]
    return say("checklist.entry", what=item["what"], why=item["why"], basis=basis)


def for_buyer(scenario: Scenario, log: Log, film: FilmCheck | None) -> Answer:
    """Return the page for the buyer."""
    day, roof = log.until, _roof_sentence(scenario, log)
    due, warranty = _due(scenario, log), _warranty(scenario, log)
    done = _done(log, _roof_that_stands(scenario, log))
    blocks: list[Block] = [Sentence(roof, "verdict"), Sentence(say("buyer.own_word"), "caution")]
    if any(figure.basis == "demo" for figure in scenario.inputs.values()):
        blocks.append(Sentence(say("buyer.invented"), "caution"))
    if scenario.trouble:
        blocks.append(Sentence(say("buyer.trouble", signs=listed(scenario.trouble)), "caution"))
    blocks += [Sentence(line, "caution") for line in found_lines(scenario.seen, scenario.currency)]
    begins = _month(log.start)
    blocks += [
        Handwriting(say("buyer.coach")),
        Heading(say("buyer.done")),
        Table(
            tuple(words("buyer.heads.done")),
            tuple((*entry, "") for entry in done),
            note=say("buyer.begins", month=begins),
        )
        if done
        else Sentence(say("buyer.nothing", month=begins)),
    ]
    if due:
        blocks += [Heading(say("buyer.due")), Items(due)]
    if film is not None:
        blocks += [Heading(say("buyer.film")), *_film(film, scenario)]
    blocks += [
        Heading(say("buyer.warranty")),
        Items(warranty),
        Heading(say("buyer.does_not_say")),
        Items(tuple(words("buyer.unsaid"))),
        Handwriting(say("buyer.seen"), 3),
    ]
    data = {
        "schema": SCHEMA,
        "until": str(day),
        "roof": roof,
        "trouble": list(scenario.trouble),
        "done": [{"month": month, "what": what} for month, what in done],
        "due": list(due),
        "film_accepted": None if film is None else film.accepted,
        "warranty": list(warranty),
        "made_by": made_by(scenario, evaluated=False),
    }
    return Answer(
        say("buyer.title"),
        say("buyer.subtitle", month=_month(day)),
        tuple(blocks),
        data,
        footer=say("buyer.footer", day=day, version=lifecycle.__version__),
        date=str(day),
    )


def promised_film(scenario: Scenario) -> float | None:
    """Return the dry film that the quote promises, in the unit of readings (mil, or mm); None if none is."""
    quote = _quote(scenario)
    if quote is None or quote.terms.film is None:
        return None
    return convert(quote.terms.film, "mm", _film_unit(scenario))


def _film_unit(scenario: Scenario) -> str:
    """Return the unit of film readings."""
    return "mil" if scenario.units == "us" else "mm"


def _quote(scenario: Scenario, way: str | None = None) -> Quote | None:
    """Return the quote of a way, or the only one."""
    stated = next((one.quote for one in scenario.alternatives if one.name == way), None)
    named = [
        quote
        for name, quote in scenario.quotes.items()
        if isinstance(stated, Use) and name in stated.path.split(".")
    ]
    every = named or (list(scenario.quotes.values()) if len(scenario.quotes) == 1 else [])
    return every[0] if every else None


def _month(day: date) -> str:
    """Return a month in words: the day is no buyer's business.

    Examples
    --------
    >>> _month(date(2027, 4, 19))
    'April 2027'
    """
    return say("buyer.month", month=words("buyer.months")[str(day.month)], year=day.year)


def _roof_that_stands(scenario: Scenario, log: Log) -> StatedRoof:
    """Return the roof that stands at the end of the log."""
    return renewed_as(scenario, log) or scenario.roofs[scenario.existing.roof]


def _laid(scenario: Scenario, log: Log) -> date:
    """Return the day on which the roof that stands was laid."""
    if log.renewal is not None:
        return log.renewal.day
    age = round(scenario.likely(scenario.existing.numbers["age"]))
    return day_after(scenario.base_date, -age)


def _roof_sentence(scenario: Scenario, log: Log) -> str:
    """Say what roof it is, how old, and how it was looked after."""
    roof, laid = _roof_that_stands(scenario, log), _laid(scenario, log)
    jobs = [entry for entry in log.entries if entry.kind not in (LEAK, RENEWAL, SALE) and entry.day >= laid]
    leaks = [entry for entry in log.entries if entry.kind == LEAK and entry.day >= laid]
    return say(
        "buyer.roof",
        what=COVERINGS[roof.covering].what,
        month=_month(laid),
        age=years_text(max(0, (log.until - laid).days) / 365.25),
        since=_month(laid if log.renewal is not None else log.start),
        jobs=counted(len(jobs), "upkeep job") if jobs else say("buyer.no_job"),
        leaks=counted(len(leaks), "leak") if leaks else say("buyer.no_leak"),
    )


def _done(log: Log, roof: StatedRoof) -> list[tuple[str, str]]:
    """Return the months, and what was done and found in each."""
    return [(_month(entry.day), _what(entry, roof)) for entry in log.entries if entry.kind != SALE]


def _what(entry: Entry, roof: StatedRoof) -> str:
    """Return what an entry is, without the owner's note."""
    if entry.kind == RENEWAL:
        return say("buyer.renewal", what=COVERINGS[roof.covering].what)
    return say("buyer.leak") if entry.kind == LEAK else entry.kind


def _due(scenario: Scenario, log: Log) -> tuple[str, ...]:
    """Say which job is due when, if the roof is looked after as before."""
    way = scenario.alternative(log.way)
    roof = scenario.roofs[way.then if log.renewal is not None else way.roof]
    clocks = brought_forward(scenario, log).existing.last_visits
    lines = []
    for visit in roof.visits:
        every = round(scenario.likely(visit.numbers["every"]))
        ago = round(scenario.likely(clocks[visit.name])) if visit.name in clocks else 0
        slots = {
            "job": capital(visit.name),
            "again": words("buyer.again").get(str(every), years_text(every / 12.0)),
        }
        if ago >= every:
            lines.append(say("buyer.due_now", **slots))
        else:
            lines.append(say("buyer.next", **slots, month=_month(day_after(log.until, every - ago))))
    return tuple(lines)


def _film(film: FilmCheck, scenario: Scenario) -> list[Block]:
    """Return the film readings: the sentence, and a table of the spots."""
    unit = _film_unit(scenario)
    rows = []
    for spot in film.spots:
        judged = ("thin" if film.is_thin(spot) else "fine") if spot.complete else "not_judged"
        readings = listed(number_text(value, 4) for value in spot.readings)
        rows.append((spot.name, readings, number_text(spot.mean, 4), say(f"buyer.{judged}")))
    name, each, by_rule = words("buyer.heads.film")
    return [
        Sentence(film_sentence(film, unit)),
        Table((name, each, say("buyer.mean", unit=unit), by_rule), tuple(rows), numbers=(2,)),
        Sentence(rule(), "note"),
    ]


def _warranty(scenario: Scenario, log: Log) -> tuple[str, ...]:
    """Say what warranty there is, until when, and whether it goes on with the coach."""
    roof, laid = _roof_that_stands(scenario, log), _laid(scenario, log)
    stated = roof.numbers.get("warranty_years", 0.0)
    quote = _quote(scenario, log.way) if log.renewal is not None else None
    promised = quote.terms.warranty_years if quote is not None else None
    years = promised if promised is not None else scenario.likely(stated)
    if years <= 0.0:
        return (say("buyer.no_warranty"),)
    ends = day_after(laid, round(12.0 * years))
    offered = promised is not None or (
        isinstance(stated, Use) and scenario.inputs[stated.path].basis == "offer"
    )
    first = say(
        "buyer.shop_stated" if offered else "buyer.owner_takes",
        years=years_text(years),
        month=_month(laid),
        state=say("buyer.until" if ends > log.until else "buyer.ended", month=_month(ends)),
    )
    if ends <= log.until:
        return (first,)
    passes = quote.terms.warranty_transfers if quote is not None else None
    if passes is False:
        return first, say("buyer.ends_with_sale")
    ask = say("buyer.ask_warranty")
    return first, say("buyer.goes_on" if passes else "buyer.not_known", ask=ask)
