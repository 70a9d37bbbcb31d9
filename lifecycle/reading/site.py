"""Reading the coach and where it stands: size, openings, coating; places, drivers, cover, responses.

Lecture
-------
*The coach.* Dimensions, penetrations and the reference coach are inputs: joint leaks and punctures depend on
them. Weights of the label, coating and sealant are figures, but no inputs: the comparison does not depend on
them. What is not stated of the reference, of a penetration's size and of the material is a shared figure; two
penetrations of one kind that nobody measured share it.

*The climate.* A place is a name of the table of places, which is part of the shared data; its drivers are the
tool's own figures, each with its basis. `place` is one place for the whole year, `places` a list with the
share of the year in each. A driver that the file states itself takes the place of theirs.

The reference climate is the mean of the table of places, unless the file names one place of it or states
drivers; a driver that such a reference lacks changes nothing. What cooling costs are figures, but no inputs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from lifecycle.climate import DRIVERS
from lifecycle.errors import closest
from lifecycle.quantities import Figure
from lifecycle.reading.numbers import read_number, read_numbers, read_on, read_on_shared
from lifecycle.reading.reader import WORDS, Reader, Table
from lifecycle.scenario import Stated, StatedClimate, StatedCoach, StatedPenetration, StatedPlace, Use

LIMITS = ("gross_rating", "cargo_capacity")
"""Weights of the label."""

DIVISORS = ("sun", "wet_days", "hail_days")
"""Drivers of the reference that are divided by: they must be above 0."""

LEAST = 0.01
"""The least that a driver may be that is divided by. [unit of the driver]"""


def read_coach(reader: Reader) -> StatedCoach | None:
    """Read the coach; None where the file has none, without numbers after a fault in a dimension."""
    if "coach" not in reader.own:
        return None
    raw = reader.table(reader.own["coach"], "coach", "coach")
    before = len(reader.faults)
    uses = read_on_shared(reader, raw, "coach", "coach")
    fine = len(reader.faults) == before
    limits = {name: reader.figures[use.path] for name, use in uses.items() if name in LIMITS}
    numbers: dict[str, Stated] = {name: use for name, use in uses.items() if fine and name not in LIMITS}
    through = None
    if "penetrations" in raw:
        through = tuple(
            one
            for where, entry in reader.tables(raw["penetrations"], "coach.penetrations")
            if (one := _penetration(reader, entry, where)) is not None
        )
    deck = reader.text(raw["deck"], "coach.deck") if "deck" in raw else None
    return StatedCoach(numbers, through, deck or "", limits, _figures(reader, raw.get("material", {})))


def _figures(reader: Reader, raw: Any) -> Mapping[str, Figure]:
    """Read coating and sealant."""
    place = "coach.material"
    uses = read_on_shared(reader, reader.table(raw, place, "material"), place, "material")
    return {name: reader.figures[use.path] for name, use in uses.items()}


def _penetration(reader: Reader, entry: Table, place: str) -> StatedPenetration | None:
    """Read openings or fixtures of one kind; None after a fault."""
    fields = reader.fields["penetrations"]
    known = reader.table(entry, place, "penetrations")
    fate = reader.choice(known["fate"], f"{place}.fate", fields["fate"].choices) if "fate" in known else None
    own: dict[str, Use | None] = {
        name: read_number(reader, known[name], f"{place}.{name}", fields[name])
        for name in ("count", "length", "width")
        if name in known
    }
    if not reader.required(known, "penetrations", place):
        return None
    kind = reader.choice(known["kind"], f"{place}.kind", fields["kind"].choices)
    if kind is None or None in own.values():
        return None
    numbers: dict[str, Stated] = {"count": 1.0}
    numbers |= {name: use for name, use in own.items() if use is not None}
    return StatedPenetration(kind, fate or fields["fate"].default, numbers | _usual(reader, kind, own))


def _usual(reader: Reader, kind: str, own: Mapping[str, Use | None]) -> dict[str, Stated]:
    """Return the usual size of a kind where it was not measured; a kind without width is round.

    Of a kind that is not round, with a length and no width, the width is the length.
    """
    usual, fields = reader.shared["fixtures"][kind], reader.fields["penetrations"]
    found: dict[str, Stated] = {}
    for name in ("length", "width"):
        if name in own or name not in usual:
            continue
        if name == "width" and own.get("length") is not None:
            found[name] = own["length"] or 0.0
            continue
        use = read_number(reader, usual[name], f"coach.fixtures.{kind}.{name}", fields[name], shared=True)
        if use is not None:
            found[name] = use
    return found


def read_climate(reader: Reader) -> StatedClimate | None:
    """Read where the coach stands; None where the file does not say it."""
    if "climate" not in reader.own:
        return None
    raw = reader.table(reader.own["climate"], "climate", "climate")
    numbers: dict[str, Stated] = dict(read_on_shared(reader, raw, "climate", "climate"))
    reference, name = _reference(reader, raw.get("reference"))
    place = "climate.cooling"
    cooling = read_on_shared(reader, reader.table(raw.get("cooling", {}), place, "cooling"), place, "cooling")
    figures = {key: reader.figures[use.path] for key, use in cooling.items()}
    return StatedClimate(numbers, _places(reader, raw, "climate"), reference, name, figures)


def read_climate_of_way(reader: Reader, known: Table, place: str) -> StatedClimate | None:
    """Read what is other where the coach stands under a way, of its known entries; None where nothing is."""
    both = [name for name in ("sheltered_share", "climate") if name in known]
    if not both:
        return None
    if "climate" not in reader.own:
        rule = "needs [climate]: where the coach stands if nothing is done about it"
        reader.fault(f"{place}.{both[0]}", rule, None, 'add [climate] with place = "..."')
    if len(both) == 2:
        rule = "must not stand beside climate"
        reader.fault(f"{place}.sheltered_share", rule, None, "write it as sheltered_share in climate")
    where, raw = place, {"sheltered_share": known.get("sheltered_share")}
    if "climate" in known:
        where = f"{place}.climate"
        raw = reader.table(known["climate"], where, "climate")
    for name in ("reference", "cooling"):
        if name in raw:
            reader.fault(f"{where}.{name}", "stands in [climate] for all ways", None, "take it out here")
    numbers, _ = read_numbers(reader, raw, where, "climate")
    return StatedClimate(numbers, _places(reader, raw, where), {}, "")


def _places(reader: Reader, raw: Table, within: str) -> tuple[StatedPlace, ...]:
    """Read the place or the places; none after a fault in a share, without drivers after one in a name."""
    if "place" in raw and "places" in raw:
        reader.fault(f"{within}.place", "must not stand beside places", None, "keep one of the two")
    elif "place" in raw:
        name = place_called(reader, raw["place"], f"{within}.place")
        return () if name is None else (StatedPlace(name, 1.0, _drivers(reader, name)),)
    found: list[StatedPlace] = []
    entries = reader.tables(raw["places"], f"{within}.places") if "places" in raw else []
    for where, entry in entries:
        known = reader.table(entry, where, "places")
        if not reader.required(known, "places", where):
            continue
        share = read_number(reader, known["share"], f"{where}.share", reader.fields["places"]["share"])
        name = place_called(reader, known["place"], f"{where}.place")
        if name is not None and name in [place.name for place in found]:
            reader.fault(f"{where}.place", "must be named once", name, "add the two shares")
        elif share is not None:
            found.append(StatedPlace(name or "", share, _drivers(reader, name) if name else {}))
    return tuple(found) if len(found) == len(entries) else ()


def place_called(reader: Reader, raw: Any, place: str) -> str | None:
    """Return the name of a place of the table; note it if there is none."""
    known = tuple(reader.shared["places"])
    if isinstance(raw, str) and raw in known:
        return raw
    near = closest(raw, known) if isinstance(raw, str) else None
    remedy = f'did you mean "{near}"?' if near else "write a name in quotation marks"
    if isinstance(raw, str) and near is None:
        remedy = f"known: {', '.join(known)}; or state sun, air_temperature and the others yourself"
    reader.fault(place, "must be a place of the table of places", raw, remedy)
    return None


def _drivers(reader: Reader, name: str) -> dict[str, Stated]:
    """Return the drivers of a place of the table."""
    found: dict[str, Stated] = {}
    for driver in DRIVERS:
        raw, field = reader.shared["places"][name][driver], reader.fields["climate"][driver]
        use = read_number(reader, raw, f"climate.{name}.{driver}", field, shared=True)
        if use is not None:
            found[driver] = use
    return found


def _reference(reader: Reader, raw: Any) -> tuple[dict[str, Stated], str]:
    """Read the reference climate, and what to call it."""
    place = "climate.reference"
    if isinstance(raw, str):
        name = place_called(reader, raw, place)
        return (_drivers(reader, name), name) if name else ({}, raw)
    own = DRIVERS if raw is None else tuple(reader.table(raw, place, "climate"))
    for name in own:
        if name not in DRIVERS:
            reader.fault(f"{place}.{name}", "is no driver of a climate", None, f"known: {', '.join(DRIVERS)}")
    fields, means = {}, {}
    for name in DRIVERS:
        if name in own:
            field = reader.fields["climate"][name]
            fields[name] = replace(field, low=max(field.low, LEAST)) if name in DIVISORS else field
            means[name] = _mean(reader, name)
    found: dict[str, Stated] = dict(read_on(reader, raw or {}, means, place, fields))
    return found, WORDS["notes"]["mean_climate" if raw is None else "own_climate"]


def _mean(reader: Reader, driver: str) -> Mapping[str, Any]:
    """Return the mean of a driver over the table of places, as a number's table."""
    values = [
        figure.get("likely", figure.get("value"))
        for figure in (p[driver] for p in reader.shared["places"].values())
    ]
    note = WORDS["notes"]["mean_climate"]
    return {"value": sum(values) / len(values), "basis": "judgement", "note": note}
