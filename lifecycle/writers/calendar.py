"""The upkeep calendar (ics): every job of one way on its day, with what to do, by whom, and what to mind.

Lecture
-------
Each job is an event of its own, all day, that blocks nobody's time: so one can be moved or struck out
without the others. It names what to do, who does it, how long it takes, what it may cost at the prices
of the base date, and the caution that belongs to it.

The calendar says which way it is of: that of the papers is the cheapest of the ways compared.

An event's name (UID) follows from the scenario's title and base date, the way, the job and its month,
and from nothing of the machine: a calendar made anew takes the place of the old one.

Left out: alarms; a reader's own calendar has its own.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import seen
from lifecycle.files import data
from lifecycle.kinds import COVERINGS
from lifecycle.language.labels import counted
from lifecycle.language.sentences import say, words
from lifecycle.quantities import inner, money_text, number_text, rounded
from lifecycle.scenario import Scenario, StatedAlternative
from lifecycle.studies.upkeep_calendar import (
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

LADDER = "roof_work"
"""What only people on the roof have to mind."""

EVENTS = uuid.UUID("6f0f4a1e-6a0e-5a53-9a3e-0c6b1f8f2d11")
"""Space of the names of events; a number of our own."""

LONGEST = 200
"""Letters of a title at most. [letters]"""


def as_calendar(scenario: Scenario, way: str | None) -> bytes:
    """Return the upkeep calendar of one way; None: of what the owner would do otherwise."""
    import icalendar

    chosen = {one.name: one for one in scenario.alternatives}[way or scenario.base_case.name]
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
    name = say("calendar.name_open_first") if scenario.trouble else say("calendar.name", way=title)
    whole.add("x-wr-calname", name)
    whole.add("x-wr-caldesc", _about(scenario, title))
    last = scenario.roofs[chosen.roof].covering
    for job in jobs:
        last = job.covering or last
        whole.add_component(_event(scenario, chosen, job, last))
    return bytes(whole.to_ical())


def _title(title: str) -> str:
    """Return a title without what nobody can see, at a readable length."""
    text = seen(title)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"


def _about(scenario: Scenario, title: str) -> str:
    """Say what the calendar is."""
    about = _title(scenario.title)
    if scenario.trouble:
        return say("calendar.about_open_first", title=about)
    return say("calendar.about", title=about, way=inner(title), month=f"{scenario.base_date:%B %Y}")


def _event(scenario: Scenario, way: StatedAlternative, job: Job, covering: str) -> icalendar.Event:
    """Return one event."""
    import icalendar

    text: Mapping[str, Any] = data(TEXTS)["kinds"][job.kind]
    event = icalendar.Event()
    named = (scenario.title, str(scenario.base_date), way.name, job.kind, job.name, str(job.month))
    event.add("uid", str(uuid.uuid5(EVENTS, "\x1f".join(named))))
    event.add("dtstamp", datetime.combine(scenario.base_date, time(), UTC))
    event.add("dtstart", job.day)
    event.add("dtend", job.day + timedelta(days=1))
    event.add("summary", _summary(text["title"], job))
    event.add("description", "\n".join(_lines(scenario, way, job, text, covering)))
    event.add("categories", ["roof"])
    event.add("transp", "TRANSPARENT")
    return event


def _day(day: date) -> str:
    """Return a day in words."""
    return f"{day.day} {day:%B %Y}"


def _summary(title: str, job: Job) -> str:
    """Return the headline of an event."""
    if job.kind == CHANGE:
        return say("calendar.change", title=title, name=_title(job.name))
    if job.ends is not None:
        return say("calendar.ends", title=title, day=_day(job.ends))
    named = say("calendar.named", title=title, name=_title(job.name)) if job.name else title
    if job.kind in OCCASIONS or job.by == NOBODY:
        return named
    return say("calendar.by", title=named, by=words("calendar.in_title")[job.by])


def _lines(
    scenario: Scenario, way: StatedAlternative, job: Job, text: Mapping[str, Any], covering: str
) -> Iterator[str]:
    """Go through what an event says."""
    yield text["do"][COVERINGS[covering].kept_as]
    if job.kind not in OCCASIONS and job.by != NOBODY:
        yield say("calendar.who", by=words("calendar.does")[job.by])
    if job.hours.any:
        yield say("calendar.hours", hours=_range(job.hours, "hour"))
    if job.days.any:
        yield say("calendar.days", days=_range(job.days, "day"))
    if job.cost.any:
        yield _price(scenario, job)
    if job.ends is not None:
        yield say("calendar.warranty_ends", day=_day(job.ends))
    minds = data(TEXTS)["mind"]
    names = [*text["mind"], *(text.get("mind_sprayed", ()) if COVERINGS[covering].sprayed else ())]
    yield from (say("labels.mind", what=minds[name]) for name in names if job.by != SHOP or name != LADDER)
    if job.every is not None:
        yield say("calendar.due", months=counted(job.every, "month"))
        yield say("calendar.afterwards")
    if job.kind != OPEN_FIRST:
        yield say("calendar.plan", way=_title(way.title))


def _price(scenario: Scenario, job: Job) -> str:
    """Say what a job may cost."""
    month = f"{scenario.base_date:%B %Y}"
    if job.kind == CHANGE and job.cost.low == job.cost.high:
        price = money_text(job.cost.likely, scenario.currency)
        return say("calendar.price_known", price=price, month=month)
    what = "calendar.material" if job.by == OWNER else "calendar.price"
    return say(what, range=_range(job.cost, currency=scenario.currency), month=month)


def _range(values: Range, unit: str = "", currency: str = "") -> str:
    """Return a range in plain words: an amount of money, or a number of things.

    Examples
    --------
    >>> _range(Range(300.0, 1000.0, 2000.0), currency="USD"), _range(Range(1.0, 1.0, 1.0), "day")
    ('300 to 2,000 USD (most likely 1,000)', 'about 1 day')
    >>> _range(Range(0.5, 1.0, 2.0), "day")
    '0.5 to 2 days (most likely 1)'
    """
    ends = values.low, values.likely, values.high
    low, likely, high = (number_text(value, 2) if unit else rounded(value) for value in ends)
    if low == high:
        return say("calendar.one_value", value=f"{likely}{_units(unit, likely)} {currency}".rstrip())
    behind = f"{high}{_units(unit, high)} {currency}".rstrip()
    return say("calendar.range", low=low, high=behind, likely=likely)


def _units(unit: str, number: str) -> str:
    """Return a unit behind a number.

    Examples
    --------
    >>> _units("day", "1"), _units("day", "0.5"), _units("", "1")
    (' day', ' days', '')
    """
    return f" {unit}{'' if number == '1' else 's'}" if unit else ""
