"""A page for the buyer: what was done on the roof and when, and what to ask before paying.

Lecture
-------
The page is the owner's own word, and says so first. It holds what a buyer can check: jobs and leaks with
their months, film readings, the warranty and whether it goes on with the coach, what is due next. It holds
no money, no hours, no notes and no title of the scenario, for these are private; and no field for names,
plates or serial numbers, for which there is room to write by hand.

Left out: a judgement of the roof.
"""

from __future__ import annotations

from datetime import date

import lifecycle
from lifecycle.answers.blocks import Answer, Block, Handwriting, Heading, Items, Sentence, Table
from lifecycle.answers.handover import film_sentence, rule
from lifecycle.kinds import COVERINGS
from lifecycle.language.labels import counted, listed, years_text
from lifecycle.quantities import convert, number_text
from lifecycle.quote import Quote
from lifecycle.records.from_today import brought_forward, renewed_as
from lifecycle.records.handover import FilmCheck
from lifecycle.records.logbook import LEAK, RENEWAL, SALE, Entry, Log, months_later
from lifecycle.scenario import Scenario, StatedRoof, Use

TITLE = "The roof of this coach"

OWN_WORD = (
    "This page is the owner's own word. Nobody else has checked it. Ask for bills and photographs, and have "
    "the roof looked at, up there and inside."
)
"""What must be said first."""

ASK_WARRANTY = "Ask the shop in writing whether its warranty goes on with the coach."


def buyer_sheet(scenario: Scenario, log: Log, film: FilmCheck | None) -> Answer:
    """Return the page for the buyer.

    Parameters
    ----------
    scenario : Scenario
        As it stood at the base date.
    log : Log
        Of it.
    film : FilmCheck or None
        Film readings, where there are any.
    """
    day = log.until
    blocks: list[Block] = [Sentence(_roof_sentence(scenario, log), "verdict"), Sentence(OWN_WORD, "caution")]
    if any(figure.basis == "demo" for figure in scenario.inputs.values()):
        blocks.append(Sentence("INVENTED: this page shows an example. There is no such coach.", "caution"))
    if scenario.trouble:
        trouble = f"The owner has reported: {listed(scenario.trouble)}. Have it opened before you buy."
        blocks.append(Sentence(trouble, "caution"))
    blocks += [
        Handwriting("Coach, and how to reach the owner (by hand)"),
        Heading("What was done, and what was found"),
        *_done(log, _roof_that_stands(scenario, log)),
    ]
    due = _due(scenario, log)
    if due:
        blocks += [Heading("What is due next"), Items(due)]
    if film is not None:
        blocks += [Heading("Thickness of the film"), *_film(film, scenario)]
    blocks += [Heading("Warranty"), Items(_warranty(scenario, log))]
    blocks += [
        Heading("What this page does not say"),
        Items(
            (
                "A leak that nobody has found yet may be there. A moisture meter inside, along the edges and "
                "around every opening, tells more than any list.",
                "What the jobs cost, and the owner's notes, are left out.",
            )
        ),
        Handwriting("Seen with the buyer, day and remarks (by hand)", 3),
    ]
    return Answer(
        TITLE,
        f"For the buyer, as of {_month(day)}",
        tuple(blocks),
        footer=f"Made from the owner's log, which runs to {day}; lifecycle {lifecycle.__version__}.",
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
    names = (
        *("January", "February", "March", "April", "May", "June", "July"),
        *("August", "September", "October", "November", "December"),
    )
    return f"{names[day.month - 1]} {day.year}"


def _roof_that_stands(scenario: Scenario, log: Log) -> StatedRoof:
    """Return the roof that stands at the end of the log."""
    return renewed_as(scenario, log) or scenario.roofs[scenario.existing.roof]


def _laid(scenario: Scenario, log: Log) -> date:
    """Return the day on which the roof that stands was laid."""
    if log.renewal is not None:
        return log.renewal.day
    age = round(scenario.likely(scenario.existing.numbers["age"]))
    return months_later(scenario.base_date, -age)


def _roof_sentence(scenario: Scenario, log: Log) -> str:
    """Say what roof it is, how old, and how it was looked after."""
    roof, laid = _roof_that_stands(scenario, log), _laid(scenario, log)
    what = COVERINGS[roof.covering].what
    age = years_text(max(0, (log.until - laid).days) / 365.25)
    jobs = [entry for entry in log.entries if entry.kind not in (LEAK, RENEWAL, SALE) and entry.day >= laid]
    leaks = [entry for entry in log.entries if entry.kind == LEAK and entry.day >= laid]
    since = _month(laid if log.renewal is not None else log.start)
    done = counted(len(jobs), "upkeep job") if jobs else "no upkeep job"
    found = counted(len(leaks), "leak") if leaks else "no leak"
    roof_and_age = f"The roof is {what}, laid in {_month(laid)}, so {age} old."
    return f"{roof_and_age} Since {since}: {done} done, {found} found."


def _done(log: Log, roof: StatedRoof) -> list[Block]:
    """Return the table of what was done and found."""
    entries = [entry for entry in log.entries if entry.kind != SALE]
    if not entries:
        return [Sentence(f"Nothing was logged since {_month(log.start)}.")]
    rows = tuple((_month(entry.day), _what(entry, roof), "") for entry in entries)
    note = f"The log begins in {_month(log.start)}. What was done before is not in it."
    return [Table(("When", "What", "Bill seen (tick by hand)"), rows, note=note)]


def _what(entry: Entry, roof: StatedRoof) -> str:
    """Return what an entry is, without the owner's note."""
    laid = f"a new roof was laid: {COVERINGS[roof.covering].what}"
    words = {LEAK: "a leak was found and mended", RENEWAL: laid}
    return words.get(entry.kind, entry.kind)


def _due(scenario: Scenario, log: Log) -> tuple[str, ...]:
    """Say which job is due when, if the roof is looked after as before."""
    way = next(one for one in scenario.alternatives if one.name == log.way)
    roof = scenario.roofs[way.then if log.renewal is not None else way.roof]
    clocks = brought_forward(scenario, log).existing.last_visits
    lines = []
    for visit in roof.visits:
        every = round(scenario.likely(visit.numbers["every"]))
        ago = round(scenario.likely(clocks[visit.name])) if visit.name in clocks else 0
        when = "due now" if ago >= every else f"next in {_month(months_later(log.until, every - ago))}"
        again = {1: "month", 12: "year"}.get(every, years_text(every / 12.0))
        lines.append(f"{visit.name[:1].upper()}{visit.name[1:]}, every {again}: {when}.")
    return tuple(lines)


def _film(film: FilmCheck, scenario: Scenario) -> list[Block]:
    """Return the film readings: the sentence, and a table of the spots."""
    unit = _film_unit(scenario)
    rows = tuple(
        (
            spot.name,
            listed(number_text(value, 4) for value in spot.readings),
            number_text(spot.mean, 4),
            "thin"
            if film.is_thin(spot) and spot.complete
            else ("not judged" if not spot.complete else "fine"),
        )
        for spot in film.spots
    )
    return [
        Sentence(film_sentence(film, unit)),
        Table(("Spot", "Readings", f"Mean [{unit}]", "By the rule"), rows, numbers=(2,)),
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
        return ("No warranty is known. Ask the owner for the papers.",)
    ends = months_later(laid, round(12.0 * years))
    state = f"until {_month(ends)}" if ends > log.until else f"it ended in {_month(ends)}"
    offered = promised is not None or (
        isinstance(stated, Use) and scenario.inputs[stated.path].basis == "offer"
    )
    said = "The shop stated" if offered else "The owner takes it that there are"
    first = f"{said} {years_text(years)} of warranty from {_month(laid)}: {state}. Read what it covers."
    if ends <= log.until:
        return (first,)
    passes = quote.terms.warranty_transfers if quote is not None else None
    goes_on = {
        True: f"The quote says that it goes on with the coach. {ASK_WARRANTY}",
        False: "The quote says that it does not go on with the coach: to the buyer it is worth nothing.",
        None: f"It is not known whether it goes on with the coach. {ASK_WARRANTY}",
    }
    return first, goes_on[passes]
