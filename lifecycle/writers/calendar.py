"""The upkeep calendar (ics): every job of one way on its day, with what to do, by whom, and what to mind.

Lecture
-------
Each job is an event of its own, all day, that blocks nobody's time: so one can be moved or struck out
without the others. It names what to do, who does it, how long it takes, what it may cost at the prices
of the base date, and the caution that belongs to it.

The way is the one that the owner chooses. Where none is named it is the cheapest of the ways compared,
every input at its likely value; the calendar says which it is.

An event's name (UID) follows from the scenario's title and base date, the way, the job and its month,
and from nothing of the machine: a calendar made anew takes the place of the old one.

Left out: alarms; a reader's own calendar has its own.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import seen
from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.files import data
from lifecycle.kinds import COVERINGS
from lifecycle.language.labels import counted, inner, rounded
from lifecycle.quantities import money_text, number_text
from lifecycle.scenario import Scenario, StatedAlternative
from lifecycle.studies.upkeep_calendar import (
    BOTH,
    CHANGE,
    END,
    FIRST_LOOK,
    NOBODY,
    OWNER,
    REVIEW,
    SHOP,
    WARRANTY,
    Job,
    Range,
    dated_jobs,
)

if TYPE_CHECKING:
    import icalendar

TEXTS = "upkeep.toml"
"""Data file with the texts."""

PRODUCT = "-//lifecycle//upkeep calendar//EN"
"""What made the calendar."""

OPEN_FIRST = "open_first"
"""The one event of a roof with trouble."""

OCCASIONS = (FIRST_LOOK, CHANGE, WARRANTY, REVIEW, END, OPEN_FIRST)
"""Events that are no jobs of a plan."""

BY = {OWNER: "you", SHOP: "a shop", BOTH: "a shop, with hours of your own", NOBODY: ""}
"""Who does a job."""

LADDER = "roof_work"
"""What only people on the roof have to mind."""

EVENTS = uuid.UUID("6f0f4a1e-6a0e-5a53-9a3e-0c6b1f8f2d11")
"""Space of the names of events; a number of our own."""

LONGEST = 200
"""Letters of a title at most. [letters]"""


def as_calendar(scenario: Scenario, way: str | None = None, *, comparison: Comparison | None = None) -> bytes:
    """Return the upkeep calendar of one way."""
    import icalendar

    chosen = chosen_way(scenario, way, comparison)
    jobs: tuple[Job, ...]
    if scenario.trouble:
        covering = scenario.roofs[chosen.roof].covering
        jobs = (Job(OPEN_FIRST, "", scenario.base_date, 0, covering=covering),)
    else:
        jobs = dated_jobs(scenario, chosen.name)
    whole = icalendar.Calendar()
    title = _title(chosen.title)
    whole.add("prodid", PRODUCT)
    whole.add("version", "2.0")
    whole.add("calscale", "GREGORIAN")
    whole.add("x-wr-calname", "The roof: open it first" if scenario.trouble else f"Roof upkeep: {title}")
    whole.add("x-wr-caldesc", _about(scenario, title))
    last = scenario.roofs[chosen.roof].covering
    for job in jobs:
        last = job.covering or last
        whole.add_component(_event(scenario, chosen, job, last))
    return bytes(whole.to_ical())


def chosen_way(
    scenario: Scenario, way: str | None, comparison: Comparison | None = None
) -> StatedAlternative:
    """Return the way that the calendar is for."""
    ways = {stated.name: stated for stated in scenario.alternatives}
    if way is None:
        found = comparison if comparison is not None or scenario.trouble else compare(scenario)
        way = (found.cheapest if found is not None else None) or scenario.base_case.name
    if way not in ways:
        fault = Fault("--way", "must name a way of the scenario", way, nearest(way, tuple(ways)))
        raise ScenarioError([fault], scenario.source)
    return ways[way]


def _title(title: str) -> str:
    """Return a title without what nobody can see, at a readable length."""
    text = seen(title)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"


def _about(scenario: Scenario, title: str) -> str:
    """Say what the calendar is."""
    if scenario.trouble:
        return f"{_title(scenario.title)}. Trouble is reported: nothing else is planned until it was opened."
    return (
        f"{_title(scenario.title)}. Jobs of one way: {inner(title)}. They hold as long as this roof and "
        "this plan stand; a new roof that nobody planned needs a new calendar. Prices are estimates in money "
        f"of {scenario.base_date:%B %Y}, not quotes."
    )


def _event(scenario: Scenario, way: StatedAlternative, job: Job, covering: str) -> icalendar.Event:
    """Return one event."""
    import icalendar

    text: Mapping[str, Any] = data(TEXTS)["kinds"][job.kind]
    event = icalendar.Event()
    event.add("uid", _name_of(scenario, way, job))
    event.add("dtstamp", datetime.combine(scenario.base_date, time(), UTC))
    event.add("dtstart", job.day)
    event.add("dtend", job.day + timedelta(days=1))
    event.add("summary", _summary(text["title"], job))
    event.add("description", "\n".join(_lines(scenario, way, job, text, covering)))
    event.add("categories", ["roof"])
    event.add("transp", "TRANSPARENT")
    return event


def _name_of(scenario: Scenario, way: StatedAlternative, job: Job) -> str:
    """Return the lasting name of an event."""
    parts = (scenario.title, str(scenario.base_date), way.name, job.kind, job.name, str(job.month))
    return str(uuid.uuid5(EVENTS, "\x1f".join(parts)))


def _summary(title: str, job: Job) -> str:
    """Return the headline of an event."""
    if job.kind == CHANGE:
        return f"{title}: {_title(job.name)}"
    if job.ends is not None:
        return f"{title} ({job.ends.day} {job.ends:%B %Y})"
    named = f"{title} ({_title(job.name)})" if job.name else title
    by = {OWNER: "yourself", SHOP: "a shop", BOTH: "a shop and you"}.get(job.by)
    return f"{named}: {by}" if by and job.kind not in OCCASIONS else named


def _lines(
    scenario: Scenario, way: StatedAlternative, job: Job, text: Mapping[str, Any], covering: str
) -> Iterator[str]:
    """Go through what an event says."""
    yield text["do"][COVERINGS[covering].kept_as]
    if job.kind not in OCCASIONS and job.by != NOBODY:
        yield f"Who: {BY[job.by]}."
    if job.hours.any:
        yield f"Your time: {_range(job.hours, 'hour')}, ladder included."
    if job.days.any:
        yield f"Without the coach: {_range(job.days, 'day')}."
    if job.cost.any:
        yield _price(scenario, job)
    if job.ends is not None:
        yield f"The warranty ends on {job.ends.day} {job.ends:%B %Y}, if the paper says what was entered."
    minds = data(TEXTS)["mind"]
    names = [*text["mind"], *(text.get("mind_sprayed", ()) if COVERINGS[covering].sprayed else ())]
    yield from (f"Mind: {minds[name]}" for name in names if job.by != SHOP or name != LADDER)
    if job.every is not None:
        yield f"Due every {counted(job.every, 'month')} in this plan."
        yield "Afterwards write down the day, the cost, the hours, and any leak that was found."
    if job.kind != OPEN_FIRST:
        yield f'Plan: "{_title(way.title)}".'


def _price(scenario: Scenario, job: Job) -> str:
    """Say what a job may cost."""
    day = f"{scenario.base_date:%B %Y}"
    if job.kind == CHANGE and job.cost.low == job.cost.high:
        price = money_text(job.cost.likely, scenario.currency)
        return f"Price: {price}, as known in {day}. Have it in writing."
    what = "Material" if job.by == OWNER else "Price"
    return f"{what}: {scenario.currency} {_range(job.cost)}, at prices of {day}. An estimate, not a quote."


def _range(values: Range, unit: str = "") -> str:
    """Return a range in plain words: an amount of money, or a number of things.

    Examples
    --------
    >>> _range(Range(300.0, 1000.0, 2000.0)), _range(Range(1.0, 1.0, 1.0), "day")
    ('300 to 2,000 (most likely 1,000)', 'about 1 day')
    >>> _range(Range(0.5, 1.0, 2.0), "day")
    '0.5 to 2 days (most likely 1)'
    """
    ends = values.low, values.likely, values.high
    low, likely, high = (number_text(value, 2) if unit else rounded(value) for value in ends)
    if low == high:
        return f"about {likely}{_units(unit, likely)}"
    return f"{low} to {high}{_units(unit, high)} (most likely {likely})"


def _units(unit: str, number: str) -> str:
    """Return a unit behind a number.

    Examples
    --------
    >>> _units("day", "1"), _units("day", "0.5"), _units("", "1")
    (' day', ' days', '')
    """
    return f" {unit}{'' if number == '1' else 's'}" if unit else ""
