"""At the hand-over: is the film as thick as promised, and where is it not?

Lecture
-------
Film is read at *spots*; a spot is the mean of `READINGS` readings close together. With the specified
film F::

    thin spot     mean of its readings < `SPOT_SHARE` F
    thin area     mean of the spots that have their readings < F
    accepted      every spot has its readings, none is thin, and the area is not

Single readings may lie anywhere: a gauge on a rough film scatters. A spot with too few readings is not
judged, counts for no mean, and the area is not accepted before it is.

A mil is not a millimetre: a film is stated with its unit, or its size tells it (none is an inch thick). The
readings are in the unit that was stated for them, else in that of the film; where they lie as far from it as
mm from mil, the unit is asked.

A spot lies where its columns `along` and `across` say (from the front left corner); else, if every name
is a letter and a number (B3), in that row and column; else in the order of the list.

Left out: destructive tests, adhesion, how many spots an area needs, an upper limit of the film.

Source
------
The rule is that of SSPC-PA 2, coating thickness over steel, from memory and not confirmed; it is used here
for a coating on a roof, which it was not written for.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

from lifecycle.errors import Fault, fault, stop_at
from lifecycle.quantities import convert
from lifecycle.records.columns import ColumnMap, lacking, number_in
from lifecycle.records.tables import read_sheet

READINGS = 3
"""Readings of a spot."""

SPOT_SHARE = 0.8
"""Share of the specified film that no spot may lie below. [-]"""

COLUMNS = ("spot", "reading")
PLACE = ("along", "across")
"""Columns that every file has, and those that may say where a spot is."""

MOST = 5000
"""Rows of a file at most."""

THICKEST = {"mil": 1000.0, "mm": 25.4}
"""Thickest film that a reading may be, an inch: beyond any coating."""

OTHER_UNIT = 2.0
"""Readings ask for their unit where they are mil / mm times the film, or so much more or less than that."""

FARTHEST = 100.0
"""Farthest that a spot may lie from the front left. [ft or m]"""


@dataclass(frozen=True)
class Reading:
    """One reading.

    Parameters
    ----------
    spot : str
        Name of the spot.
    film : float
        In the unit of the file. [mil or mm]
    place : tuple of float, or None
        Along the coach from the front, across it from the left, where stated. [ft or m]
    """

    spot: str
    film: float
    place: tuple[float, float] | None = None


@dataclass(frozen=True)
class Spot:
    """A spot: name, its readings, and where it is drawn."""

    name: str
    readings: tuple[float, ...]
    place: tuple[float, float]

    @property
    def mean(self) -> float:
        """Mean of its readings."""
        return sum(self.readings) / len(self.readings)

    @property
    def complete(self) -> bool:
        """Whether it has its readings."""
        return len(self.readings) >= READINGS


@dataclass(frozen=True)
class FilmCheck:
    """Film readings against the specified film.

    Parameters
    ----------
    specified : float
        Specified dry film. [mil or mm]
    spots : tuple of Spot
        In the order of the file.
    placed_by : str
        "columns", "names" or "order".
    """

    specified: float
    spots: tuple[Spot, ...]
    placed_by: str

    @property
    def least(self) -> float:
        """Film that no spot may lie below. [mil or mm]"""
        return SPOT_SHARE * self.specified

    @property
    def judged(self) -> tuple[Spot, ...]:
        """Spots that have their readings."""
        return tuple(spot for spot in self.spots if spot.complete)

    @property
    def mean(self) -> float:
        """Mean of the spots that have their readings; of all where none has. [mil or mm]"""
        spots = self.judged or self.spots
        return sum(spot.mean for spot in spots) / len(spots)

    @property
    def thin(self) -> tuple[Spot, ...]:
        """Spots that have their readings and are too thin."""
        return tuple(spot for spot in self.judged if self.is_thin(spot))

    @property
    def incomplete(self) -> tuple[Spot, ...]:
        """Spots with too few readings."""
        return tuple(spot for spot in self.spots if not spot.complete)

    @property
    def area_thin(self) -> bool:
        """Whether the mean of the spots that have their readings is below the specified film."""
        return bool(self.judged) and self.mean < self.specified - 1e-9

    @property
    def accepted(self) -> bool:
        """Whether the rule is met."""
        return not (self.thin or self.incomplete or self.area_thin)

    def is_thin(self, spot: Spot) -> bool:
        """Whether a spot lies below the share of the specified film."""
        return spot.mean < self.least - 1e-9


def check_film(readings: Sequence[Reading], specified: float) -> FilmCheck:
    """Hold readings against the specified film.

    Parameters
    ----------
    readings : sequence of Reading
        At least one.
    specified : float
        Specified dry film, in the unit of the readings, above 0. [mil or mm]

    Returns
    -------
    FilmCheck

    Raises
    ------
    ValueError
        If there is no reading, or the film is not above 0.

    Examples
    --------
    >>> found = check_film([Reading("A", 190.0), Reading("A", 200.0), Reading("A", 180.0)], 187.5)
    >>> found.spots[0].mean, found.accepted
    (190.0, True)
    """
    if not readings or not specified > 0.0:
        raise ValueError(f"needs readings and a film above 0; got {len(readings)} and {specified}")
    films: dict[str, list[float]] = {}
    stated: dict[str, tuple[float, float]] = {}
    for reading in readings:
        films.setdefault(reading.spot, []).append(reading.film)
        if reading.place is not None:
            stated.setdefault(reading.spot, reading.place)
    places, placed_by = _places(list(films), stated)
    spots = tuple(Spot(name, tuple(film), places[name]) for name, film in films.items())
    return FilmCheck(specified, spots, placed_by)


def _places(
    names: list[str], stated: dict[str, tuple[float, float]]
) -> tuple[dict[str, tuple[float, float]], str]:
    """Return where spots are drawn, and by what."""
    if all(name in stated for name in names):
        return stated, "columns"
    cells = {name: re.fullmatch(r"([A-Za-z])\s*-?(\d{1,3})", name) for name in names}
    found = {
        name: (float(cell[2]), float(ord(cell[1].upper()) - ord("A") + 1))
        for name, cell in cells.items()
        if cell
    }
    if len(found) == len(names) and len(set(found.values())) == len(names):
        return found, "names"
    return {name: (float(count), 1.0) for count, name in enumerate(names, start=1)}, "order"


def film_of(stated: str, units: str = "") -> tuple[float, str]:
    """Return a dry film and the unit that its readings are in, from what was stated of both.

    Parameters
    ----------
    stated : str
        The film, with its unit or without.
    units : str
        "us" or "metric" where the unit of the readings was stated: mil, or mm.

    Returns
    -------
    float, str
        The film in the unit of the readings; "mil" or "mm".

    Raises
    ------
    ScenarioError
        If it is no film, or does not say in which unit.

    Examples
    --------
    >>> film_of("187.5"), film_of("4.76 mm"), film_of("187.5mil", "metric")
    ((187.5, 'mil'), (4.76, 'mm'), (4.7625, 'mm'))
    """
    written = re.fullmatch(r"\s*(\S+?)\s*(mil|mm)?\s*", stated)
    film, unit = (number_in(written[1]), written[2] or "") if written else (None, "")
    readings = {"us": "mil", "metric": "mm", "": ""}[units]
    unit = unit or readings
    remedy = "the film of the quote with its unit: 187.5mil (3/16 in), or 4.76mm"
    if film is None or not film > 0.0:
        raise fault("--film", "must be above 0", stated, remedy)
    if not unit and film <= THICKEST["mm"]:
        raise fault("--film", "must say its unit, mil or mm", stated, remedy)
    if film > THICKEST[unit or "mil"]:
        rule = f"must be at most an inch, {THICKEST[unit or 'mil']:g} {unit or 'mil'}"
        raise fault("--film", rule, stated, remedy)
    unit = unit or "mil"
    return convert(film, unit, readings or unit), readings or unit


def asked_for_unit(check: FilmCheck, unit: str) -> None:
    """Ask for the unit of readings that look as if they were in another unit than the film.

    Raises
    ------
    ScenarioError
        If they lie as far from the film as mm from mil.
    """
    to, ratio = {"mil": "mm", "mm": "mil"}[unit], check.mean / check.specified
    far = ratio / convert(1.0, unit, to)
    if 1.0 / OTHER_UNIT < far < OTHER_UNIT:
        rule = f"must be in {unit}, as the film of {check.specified:.4g} {unit} is; they look like {to}"
        remedy = "say the unit of the readings: --units us for mil, --units metric for mm"
        raise fault("the readings", rule, f"on average {check.mean:.4g}", remedy)


def read_readings(
    content: str | bytes | BinaryIO, source: str = "", known: ColumnMap | None = None, unit: str = ""
) -> tuple[Reading, ...]:
    r"""Read film readings, at least one, or say every row that cannot be read.

    The unit is mil or mm; where it is not known, a reading is held against the larger number.

    Examples
    --------
    >>> read_readings("spot,reading\nA,190\n")
    (Reading(spot='A', film=190.0, place=None),)
    """
    columns = known or ColumnMap()
    sheet = read_sheet(content, source)
    faults = lacking(sheet, columns, COLUMNS, PLACE)
    there = [name for name in PLACE if sheet.has(columns.named(name))]
    if len(there) == 1:
        lacks = next(name for name in PLACE if name not in there)
        rule = f"must not stand without its pair, {columns.named(lacks)}: one alone places no spot"
        faults.append(
            Fault(f'column "{columns.named(there[0])}"', rule, "", "add it, or take this one out", 1)
        )
    if len(sheet.rows) > MOST:
        faults.append(Fault("rows", f"must be at most {MOST:,}", f"{len(sheet.rows):,}"))
    stop_at(faults, source)
    cells = [sheet.column(columns.named(name)) for name in (*COLUMNS, *there)]
    found = [
        _reading([str(cell) for cell in row], int(line), unit, faults)
        for *row, line in zip(*cells, sheet.lines, strict=True)
    ]
    stop_at(faults, source)
    return tuple(one for one in found if one is not None)


def _reading(cells: Sequence[str], line: int, unit: str, faults: list[Fault]) -> Reading | None:
    """Read one row: spot, film and, if they are there, along and across; note what is wrong with it."""
    spot, written, *place = cells
    if not spot or len(spot) > 40 or not spot.isprintable():
        faults.append(Fault("spot", "must be a name of 1 to 40 letters", spot[:40], "name the spot", line))
    film, most = number_in(written), THICKEST[unit or "mil"]
    if film is None or not 0.0 <= film <= most:
        rule = f"must be a number from 0 to {most:g}{f' {unit}' if unit else ''}: dry film"
        remedy = "leave out the line" if not written else "a decimal point, no unit; or is it another unit?"
        faults.append(Fault("reading", rule, written[:40] or "nothing", remedy, line))
        film = None
    numbers = [number_in(text) for text in place]
    for name, text, number in zip(PLACE, place, numbers, strict=False):
        if text and (number is None or not 0.0 <= number <= FARTHEST):
            rule = f"must be a number from 0 to {FARTHEST:g}"
            faults.append(Fault(name, rule, text[:40], "measure from the front left", line))
    if len(place) == 2 and bool(place[0]) != bool(place[1]):
        faults.append(Fault("a row", "must say along and across, or neither", "one of them", "add it", line))
    if film is None:
        return None
    along, across = numbers if len(numbers) == 2 else (None, None)
    return Reading(spot, film, None if along is None or across is None else (along, across))
