"""Reading the roof that stands: its age and past, trouble that was seen, what a moisture meter read.

Lecture
-------
Trouble stops a comparison until the roof was opened at the spot. What was found then says on::

    [existing.opened]
    found = "wet"                        # or "dry", or "gone": the deck was rotten through
    repaired = "two sq ft of plywood, membrane patched"
    cost = 640                           # told, and not compared: the same whichever way is taken

A wet spot, or a deck that is gone, without a repair goes on stopping it: nothing may go over wet wood. A
meter's reading above its limit is trouble like any other.

*What dry places say.* Readings at n places (a spot that was opened and dry is one more) all miss a given
hidden leak with chance (1 - finds)^n, beside the miss of a look (`existing.inspected_today`)::

    1 - inspected = (1 - inspected_today) (1 - finds) ^ n

so they thin what may be hidden, and are no proof. A reading above what is wet on a scale for wood counts for
nothing where the limit is higher: nobody can tell another scale from a limit that hides wet wood. Left out:
silent leaks, which the model lets nobody find before the deck is gone; places so near to each other that they
tell the same. *What a wet spot says*: one leak at least was found so far; where the file counts the leaks
found, the opened one is to be among them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from lifecycle.errors import nearest
from lifecycle.reading.numbers import read_number, read_numbers, read_section, read_words
from lifecycle.reading.reader import Reader, Table
from lifecycle.reading.roofs import Roofs, plan_visits, read_visits
from lifecycle.scenario import (
    LEAKED,
    Meter,
    Numbers,
    Opened,
    Seen,
    Stated,
    StatedExisting,
    StatedRoof,
    StatedVisit,
)

WET_READING = "a reading above the limit"
"""Trouble that a moisture meter makes, as it is named beside what was seen."""


def read_existing(reader: Reader, roofs: Roofs) -> StatedExisting:
    """Read the roof that stands; after a fault its roof is "", or numbers are missing."""
    if "existing" not in reader.own:
        reader.fault("existing", "is required", None, "say which roof stands, and how old it is: [existing]")
        return StatedExisting("", {})
    raw = reader.table(reader.own["existing"], "existing", "existing")
    reader.required(raw, "existing", "existing")
    numbers, _ = read_numbers(reader, raw, "existing", "existing")
    roof = roofs.known(raw["roof"], "existing.roof") if "roof" in raw else None
    hidden = _hidden_now(reader, raw.get("hidden_now", []))
    last = _last_visits(reader, raw.get("last_visits", {}))
    return StatedExisting(roof or "", numbers, hidden, last, _past(reader, raw, roofs, roof))


def _hidden_now(reader: Reader, raw: Any) -> tuple[Numbers, ...] | None:
    """Read the leaks hidden today; None: from upkeep."""
    place = "existing.hidden_now"
    if isinstance(raw, str):
        reader.choice(raw, place, reader.fields["existing"]["hidden_now"].words)
        return None
    entries = []
    for where, entry in reader.tables(raw, place):
        known = reader.table(entry, where, "hidden_now")
        complete = reader.required(known, "hidden_now", where)
        numbers, all_read = read_numbers(reader, known, where, "hidden_now")
        if complete and all_read:
            entries.append(numbers)
    return tuple(entries)


def _last_visits(reader: Reader, raw: Any) -> Numbers:
    """Read when jobs were last done; whether there are such jobs is checked when all are known."""
    field = reader.fields["existing"]["last_visits"]
    return {
        name: use
        for name, value in reader.named_tables(raw, "existing.last_visits").items()
        if (use := read_number(reader, value, f"existing.last_visits.{name}", field)) is not None
    }


def _past(reader: Reader, raw: Table, roofs: Roofs, roof: str | None) -> tuple[StatedVisit, ...] | None:
    """Read the jobs of the past, by a plan or one by one; None where neither stands."""
    if "past_plan" in raw and "past_visits" in raw:
        reader.fault("existing.past_plan", "must not stand beside past_visits", None, "keep one of the two")
    past: tuple[StatedVisit, ...] | None = None
    if "past_plan" in raw:
        covering = roofs.draft(roof).covering if roof else "membrane"
        past = plan_visits(reader, raw["past_plan"], covering, "existing.past_plan")
    if "past_visits" in raw:
        past = read_visits(reader, raw["past_visits"], "existing.past_visits")
    return past


def check_last_visits(reader: Reader, existing: StatedExisting, roofs: Mapping[str, StatedRoof]) -> None:
    """Note a job that was last done but is a job of no roof."""
    jobs = list(dict.fromkeys(visit.name for roof in roofs.values() for visit in roof.all_visits))
    jobs += [visit.name for visit in existing.past_visits or () if visit.name not in jobs]
    for name in existing.last_visits:
        if name not in jobs:
            place = f"existing.last_visits.{name}"
            reader.fault(place, "must be the name of an upkeep job", name, nearest(name, jobs))


def without_clocks(existing: StatedExisting, roofs: Iterable[StatedRoof]) -> StatedExisting:
    """Return the roof that stands without the clocks of jobs that no roof in use has, nor its past."""
    jobs = {visit.name for roof in roofs for visit in roof.all_visits}
    jobs |= {visit.name for visit in existing.past_visits or ()}
    last = {name: months for name, months in existing.last_visits.items() if name in jobs}
    return replace(existing, last_visits=last)


def read_trouble(reader: Reader) -> Seen:
    """Read what was seen, opened and measured."""
    raw = reader.section("existing")
    choices = reader.fields["existing"]["trouble"].choices
    seen = read_words(reader, raw.get("trouble", []), "existing.trouble", choices)
    signs = tuple(dict.fromkeys(seen or ()))
    meter = _meter(reader, raw["meter"]) if "meter" in raw else None
    if meter is not None and meter.wet:
        signs = (*signs, WET_READING)
    opened = _opened(reader, raw["opened"], signs) if "opened" in raw else None
    return Seen(signs, opened, meter)


def _opened(reader: Reader, raw: Any, signs: tuple[str, ...]) -> Opened | None:
    """Read what was found when it was opened; None after a fault."""
    place = "existing.opened"
    read = read_section(reader, raw, place, "opened")
    if not signs:
        remedy = "say what had been seen: existing.trouble"
        reader.fault(place, "must not stand without trouble", None, remedy)
    if read.get("found") in LEAKED and not read.get("repaired", "").strip():
        rule = "is required where it was wet or gone: nothing may go over wet wood"
        remedy = "have it repaired, then say what was done; until then leave [existing.opened] out"
        reader.fault(f"{place}.repaired", rule, None, remedy)
    if "found" not in read:
        return None
    cost = read.get("cost")
    return Opened(read["found"], read.get("repaired", "").strip(), None if cost is None else cost.likely)


def _meter(reader: Reader, raw: Any) -> Meter | None:
    """Read a moisture meter and its readings; None after a fault."""
    place = "existing.meter"
    if isinstance(raw, Mapping):
        raw = {name: value for name, value in raw.items() if name != "finds"}  # an input: `with_looks`
    read = read_section(reader, raw, place, "meter")
    rows = [
        (one["place"], one["percent"].likely)
        for one in read.get("readings", ())
        if {"place", "percent"} <= set(one)
    ]
    if "readings" in read and not rows:
        reader.fault(f"{place}.readings", "must have one reading at least", None, "state place and percent")
    if "limit" not in read or not rows:
        return None
    wood = float(reader.shared["usual_meter"]["limit"])
    return Meter(read["limit"].likely, tuple(rows), read.get("kind", ""), wood)


def with_looks(reader: Reader, existing: StatedExisting, seen: Seen) -> StatedExisting:
    """Return the roof that stands with what dry places and a wet spot say of it.

    Notes a count of leaks that leaves the opened one out.
    """
    wet = seen.opened is not None and seen.opened.found in LEAKED
    count = existing.numbers.get("leaks_found")
    if wet and count is not None and not isinstance(count, float) and reader.figures[count.path].likely < 1:
        remedy = "count the one that was opened too"
        reader.fault("existing.leaks_found", "must be 1 at least where an opened spot was wet", 0, remedy)
    dry = seen.dry_places
    numbers: dict[str, Stated] = dict(existing.numbers)
    meter = reader.section("existing").get("meter", {} if dry else None)
    if isinstance(meter, Mapping):
        field = reader.fields["meter"]["finds"]
        finds = read_number(reader, meter.get("finds", "meter_finds"), "existing.meter.finds", field)
        if finds is not None and dry:
            numbers["meter_finds"] = finds
    return replace(existing, numbers=numbers, dry_places=dry, found_at_least=int(wet))
