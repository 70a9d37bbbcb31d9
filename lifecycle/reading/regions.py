"""Reading a file of regions: the question, the regions, habits, years of sale and objections.

Lecture
-------
The file says what will be answered, before anything is::

    question = "Is it cheaper to spray a new roof, or to go on looking after it?"
    scenario = "../humid-coast-motorhome.toml"
    habits = ["shop_every_year", "nothing"]     # default: every shipped plan
    years = [3, 5, 8, 10, 15]
    objections = ["suspicion", "hurried"]       # default: all

    [[regions]]
    name = "humid coast"
    place = "Miami"

    [[regions]]
    name = "north in summer, south in winter"
    places = [{ place = "Duluth", share = 0.5 }, { place = "Houston", share = 0.5 }]
    records = "tuned.toml"                      # the scenario with figures from records
    coaches = 41                                # or by habit: { shop_every_year = 12, nothing = 4 }
    lives = "lives.json"                        # what the records command said of lives, as JSON

    [[regions]]
    name = "our yard"
    climate = "yard.toml"                       # as the weather command writes it

Names of files are as seen from this file. What may stand where is data (`regions.toml`); the reader of
scenarios checks it. Every fault is noted, none ends the reading.

Left out: opening the files that it names.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from lifecycle.errors import Fault, nearest
from lifecycle.quantities import FieldInfo
from lifecycle.reading.reader import Reader, Table, placed
from lifecycle.reading.site import place_called

YEARS = (3, 5, 8, 10, 15)
"""Years of sale where the file names none. [years]"""

LAST_YEAR = 100
"""Latest year of sale that may be asked for. [years]"""

MOST_REGIONS = 1000
"""Regions of one file."""

WHERE = ("place", "places", "climate")
"""A region states one of them."""

ROUNDING = 1e-6
"""How far shares may be from adding up to 1. [-]"""


@dataclass(frozen=True)
class StatedRegion:
    """A region as the file states it.

    Parameters
    ----------
    name : str
        As published.
    places : tuple of (str, float)
        Places and the share of the year in each; none: a climate file, or the scenario's own.
    climate, records, lives : str or None
        Names of files.
    coaches : mapping of str to int, or None
        Coaches in the records, by habit.
    """

    name: str
    places: tuple[tuple[str, float], ...] = ()
    climate: str | None = None
    records: str | None = None
    lives: str | None = None
    coaches: Mapping[str, int] | None = None


@dataclass(frozen=True)
class RegionsFile:
    """A file of regions.

    Parameters
    ----------
    title, question : str
        What is published, and what it answers.
    scenario : str
        Name of the scenario that every region starts from.
    regions : tuple of StatedRegion
        At least one.
    habits, objections : tuple of str
        Names.
    years : tuple of int
        Of sale, rising. [years]
    """

    title: str
    question: str
    scenario: str
    regions: tuple[StatedRegion, ...]
    habits: tuple[str, ...]
    years: tuple[int, ...]
    objections: tuple[str, ...]


def read_regions(
    reader: Reader, objections: tuple[str, ...], *, text: str, source: str
) -> tuple[RegionsFile, tuple[Fault, ...]]:
    """Read a parsed file of regions, as far as it can be read; with any fault it is not to be used.

    `text` is the file, to find the lines of faults; `source` its name.
    """
    plans = tuple(reader.shared["plans"])
    reader.fields = {**reader.fields, "regions_file": _with_choices(reader, plans, objections)}
    own = reader.entries({"regions": [], **reader.own}, "", "regions_file")
    habits = tuple(own.get("habits", plans))
    if not habits:
        reader.fault("habits", "must name an upkeep plan", None, nearest("", plans))
    found = RegionsFile(
        title=own.get("title", source),
        question=own.get("question", ""),
        scenario=own.get("scenario", ""),
        regions=_regions(reader, reader.own.get("regions"), habits),
        habits=habits,
        years=_years(reader, own.get("years", list(YEARS))),
        objections=tuple(own.get("objections", objections)),
    )
    return found, tuple(placed(reader.faults, text))


def _with_choices(
    reader: Reader, plans: tuple[str, ...], objections: tuple[str, ...]
) -> dict[str, FieldInfo]:
    """Return the layout of the file with the names that its lists may hold."""
    found = dict(reader.fields["regions_file"])
    for name, choices in (("habits", plans), ("objections", objections)):
        found[name] = replace(found[name], choices=choices)
    found["regions"] = replace(found["regions"], kind="loose")
    return found


def _years(reader: Reader, raw: Any) -> tuple[int, ...]:
    """Return the years of sale."""
    if not isinstance(raw, list) or not raw:
        reader.fault("years", "must be a list of whole years", raw, "for instance [3, 5, 8, 10, 15]")
        return ()
    for year in raw:
        if isinstance(year, bool) or not isinstance(year, int) or not 1 <= year <= LAST_YEAR:
            reader.fault("years", f"must be whole years from 1 to {LAST_YEAR}", year, "correct that one")
            return ()
    return tuple(sorted(set(raw)))


def _regions(reader: Reader, raw: Any, habits: tuple[str, ...]) -> tuple[StatedRegion, ...]:
    """Read every region; their names differ."""
    if raw is None or raw == []:
        reader.fault("regions", "must have at least one region", None, 'write [[regions]] with name = "..."')
        return ()
    tables = reader.tables(raw, "regions")
    if len(tables) > MOST_REGIONS:
        reader.fault(
            "regions", f"must be at most {MOST_REGIONS}", None, "make two files", got=str(len(tables))
        )
        return ()
    found = [_region(reader, place, table, habits) for place, table in tables]
    names = [region.name for region in found]
    for name in dict.fromkeys(name for name in names if names.count(name) > 1):
        reader.fault(f"regions.{name}", "must be the name of one region", name, "give each its own name")
    return tuple(found)


def _region(reader: Reader, place: str, raw: Table, habits: tuple[str, ...]) -> StatedRegion:
    """Read one region."""
    own = reader.entries(raw, place, "region")
    stated = [where for where in WHERE if where in raw]
    if len(stated) > 1:
        reader.fault(
            f"{place}.{stated[1]}", f"must not stand beside {stated[0]}", None, "keep one of the two"
        )
    if not stated and "records" not in raw:
        reader.fault(
            place, "must say where it is", None, 'write place = "...", places = [...] or climate = "FILE"'
        )
    records = own.get("records")
    coaches = _coaches(reader, raw.get("coaches"), f"{place}.coaches", habits)
    if records is not None and "coaches" not in raw:
        rule = "is required where records stand behind the figures"
        reader.fault(f"{place}.coaches", rule, None, "say of how many coaches they are")
    if "coaches" in raw and "records" not in raw:
        rule = "is for regions with records behind their figures"
        reader.fault(f"{place}.coaches", rule, None, 'name them: records = "FILE.toml"')
    return StatedRegion(
        name=own.get("name", ""),
        places=_places(reader, own, place),
        climate=own.get("climate"),
        records=records,
        lives=own.get("lives"),
        coaches=coaches,
    )


def _places(reader: Reader, raw: Table, place: str) -> tuple[tuple[str, float], ...]:
    """Read the place, or the places with their shares of the year."""
    if "place" in raw:
        name = place_called(reader, raw["place"], f"{place}.place")
        return ((name, 1.0),) if name else ()
    if "places" not in raw:
        return ()
    found: list[tuple[str, float]] = []
    shares = []
    for where, entry in reader.tables(raw["places"], f"{place}.places"):
        own = reader.entries(entry, where, "region_places")
        name = place_called(reader, own["place"], f"{where}.place") if "place" in own else None
        share = own.get("share")
        if share is None:
            continue
        if not share > 0.0:
            reader.fault(f"{where}.share", "must be above 0", share, "leave that place out")
            continue
        shares.append(share)
        if name in [one for one, _ in found]:
            reader.fault(f"{where}.place", "must be named once", name, "add the two shares")
        elif name is not None:
            found.append((name, share))
    if not math.isclose(sum(shares), 1.0, abs_tol=ROUNDING) and not any(
        fault.place.startswith(f"{place}.places") for fault in reader.faults
    ):
        rule, got = "must have shares of the year that add up to 1", f"{sum(shares):.6g}"
        reader.fault(f"{place}.places", rule, None, "correct one of them", got=got)
    return tuple(found)


def _coaches(reader: Reader, raw: Any, place: str, habits: tuple[str, ...]) -> Mapping[str, int] | None:
    """Return the coaches behind each habit; one number holds for all."""
    if raw is None:
        return None
    if isinstance(raw, Mapping):
        for habit in raw:
            reader.choice(habit, place, tuple(reader.shared["plans"]))
        for number in raw.values():
            _number_of_coaches(reader, number, place)
        return {habit: number for habit, number in raw.items() if isinstance(number, int)}
    _number_of_coaches(reader, raw, place)
    return dict.fromkeys(habits, raw) if isinstance(raw, int) else None


def _number_of_coaches(reader: Reader, raw: Any, place: str) -> None:
    """Note what is no number of coaches."""
    if isinstance(raw, bool) or not isinstance(raw, int) or raw < 0:
        reader.fault(place, "must be a whole number of coaches from 0", raw, "or one for each habit")
