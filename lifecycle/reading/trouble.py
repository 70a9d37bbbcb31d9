"""Reading the trouble that was seen, what was found when it was opened, and what a moisture meter read.

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

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from lifecycle.reading.kept import read_section
from lifecycle.reading.numbers import read_number
from lifecycle.reading.reader import Reader
from lifecycle.scenario import LEAKED, Meter, Opened, Seen, Stated, StatedExisting

WET_READING = "a reading above the limit"
"""Trouble that a moisture meter makes, as it is named beside what was seen."""


def read_trouble(reader: Reader) -> Seen:
    """Read what was seen, opened and measured."""
    existing = reader.own.get("existing")
    raw = existing if isinstance(existing, Mapping) else {}
    signs = _signs(reader, raw.get("trouble", []))
    meter = _meter(reader, raw["meter"]) if "meter" in raw else None
    if meter is not None and meter.wet:
        signs = (*signs, WET_READING)
    opened = _opened(reader, raw["opened"], signs) if "opened" in raw else None
    return Seen(signs, opened, meter)


def _signs(reader: Reader, raw: Any) -> tuple[str, ...]:
    """Read the signs of trouble."""
    choices = reader.fields["existing"]["trouble"].choices
    if not isinstance(raw, list):
        reader.fault("existing.trouble", "must be a list", raw, f"choose from: {', '.join(choices)}")
        return ()
    found = (
        reader.choice(entry, f"existing.trouble.{count}", choices) for count, entry in enumerate(raw, start=1)
    )
    return tuple(dict.fromkeys(entry for entry in found if entry is not None))


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

    Parameters
    ----------
    reader : Reader
        Gets the figure of a place, and notes a count of leaks that leaves the opened one out.
    existing : StatedExisting
        As read.
    seen : Seen
        What was seen, opened and measured.
    """
    wet = seen.opened is not None and seen.opened.found in LEAKED
    count = existing.numbers.get("leaks_found")
    if wet and count is not None and not isinstance(count, float) and reader.figures[count.path].likely < 1:
        remedy = "count the one that was opened too"
        reader.fault("existing.leaks_found", "must be 1 at least where an opened spot was wet", 0, remedy)
    dry = seen.dry_places
    numbers: dict[str, Stated] = dict(existing.numbers)
    own = reader.own.get("existing")
    meter = own.get("meter", {} if dry else None) if isinstance(own, Mapping) else None
    if isinstance(meter, Mapping):
        field = reader.fields["meter"]["finds"]
        finds = read_number(reader, meter.get("finds", "meter_finds"), "existing.meter.finds", field)
        if finds is not None and dry:
            numbers["meter_finds"] = finds
    return replace(existing, numbers=numbers, dry_places=dry, found_at_least=int(wet))
