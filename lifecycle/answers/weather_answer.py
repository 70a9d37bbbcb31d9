"""What a weather record says of a climate: as text, as plain data, and as a section of a scenario.

Lecture
-------
The first sentence says which station and how many years speak. A table gives each year with its days
observed; years that do not count are marked and explained. What the file cannot say is named. The
section that is written states each driver with its interval, the station and the years as its source;
what it leaves out comes from the place of the scenario, or from the reference climate.

Left out: what the climate does to a roof (the command about places says that).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import lifecycle
from lifecycle.answers.shared import SCHEMA
from lifecycle.answers.tables import NONE, Row, laid_out
from lifecycle.files import fields
from lifecycle.language.labels import HEADINGS, counted, listed
from lifecycle.language.lines import blocks, wrapped
from lifecycle.quantities import convert, number_text, unit_text
from lifecycle.records.weather import DRIVERS, LEAST_OBSERVED, Driver, StationClimate

SHORT: Mapping[str, str] = {
    "air_temperature": "mean air",
    "freeze_thaw_days": "freeze-thaw",
    "wet_days": "wet",
    "hail_days": "hail",
}
"""Heads of the table of years."""

SUN = "the sun is in no record of this kind"
"""Why there is no sun."""


def weather_text(found: StationClimate, source: str, units: str) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    found : StationClimate
        What the record says.
    source : str
        Name of the file.
    units : str
        "us" or "metric".

    Returns
    -------
    str
        Many lines.
    """
    return blocks(
        [HEADINGS["records"], source],
        wrapped([_first(found, units)]),
        _years(found, units),
        wrapped(_not_used(found)),
        wrapped(_missing(found)),
    )


def _first(found: StationClimate, units: str) -> str:
    """Say which station speaks, and what a year there is like."""
    years = [driver.used for driver in found.drivers.values()]
    first, last = min(some[0].year for some in years), max(some[-1].year for some in years)
    said = [_mean(driver, units) for driver in found.drivers.values()]
    named = f" {found.station}" if found.station else ""
    span = f"{first} to {last}" if last > first else f"{first}"
    return f"At the station{named}, {span}: {listed(said)}."


def _mean(driver: Driver, units: str) -> str:
    """Say the mean of one driver, with its interval."""
    field = fields()["climate"][driver.name]
    low, mean, high = (number_text(one, 3) for one in _in_units(driver, units))
    unit = unit_text(field.unit_in(units)) if driver.name == "air_temperature" else ""
    span = f" ({low} to {high}{unit})" if low != high else ""
    if driver.name == "air_temperature":
        return f"a mean of {mean}{unit}{span}"
    return f"{mean} {SHORT[driver.name]} days a year{span}"


def _in_units(driver: Driver, units: str) -> tuple[float, float, float]:
    """Return low, mean and high in the units of a file."""
    field = fields()["climate"][driver.name]
    to = field.unit_in(units)
    low, mean, high = (convert(one, field.unit, to) for one in (driver.low, driver.mean, driver.high))
    return low, mean, high


def _years(found: StationClimate, units: str) -> list[str]:
    """Lay the years out: observed days and value of each driver."""
    drivers = [found.drivers[name] for name in DRIVERS if name in found.drivers]
    years = sorted({year.year for driver in drivers for year in driver.years})
    unit = unit_text(fields()["climate"]["air_temperature"].unit_in(units)).strip()
    heads = [
        SHORT[driver.name] + (f", {unit}" if driver.name == "air_temperature" else "") for driver in drivers
    ]
    rows = []
    for number in years:
        here = [{year.year: year for year in driver.years}.get(number) for driver in drivers]
        most = max((year for year in here if year), key=lambda year: year.observed)
        cells = [
            NONE if year is None or not year.counts else _value(driver, year.value, units)
            for driver, year in zip(drivers, here, strict=True)
        ]
        rows.append(Row(str(number), (f"{most.observed} of {most.days}", *cells)))
    means = tuple(_value(driver, driver.mean, units) for driver in drivers)
    rows.append(Row("mean", ("", *means), rule=True))
    return laid_out(rows, 1 + len(drivers), heads=["days seen", *heads], corner="year")


def _value(driver: Driver, value: float, units: str) -> str:
    """Return a value as it stands in the table."""
    field = fields()["climate"][driver.name]
    return f"{convert(value, field.unit, field.unit_in(units)):.1f}"


def _not_used(found: StationClimate) -> list[str]:
    """Say which years do not count, and which values were dropped."""
    lines = []
    for name, driver in found.drivers.items():
        refused = [
            f"{year.year} ({year.observed} of {year.days} days)" for year in driver.years if not year.counts
        ]
        if refused:
            years = counted(len(refused), "year")
            lines.append(
                f"{years} not used for {SHORT[name]}, with under {100.0 * LEAST_OBSERVED:.0f} % of the days: "
                f"{listed(refused)}."
            )
    if found.dropped:
        parts = [f"{number:,} {reason}" for reason, number in found.dropped.items()]
        lines.append(f"Of {counted(found.rows, 'row')}, values left out: {listed(parts)}.")
    return lines


def _missing(found: StationClimate) -> list[str]:
    """Say what the record cannot tell."""
    reasons = dict.fromkeys([*found.missing.values(), SUN])
    label = fields()["climate"]
    named = {
        reason: listed([label[name].label for name, why in found.missing.items() if why == reason] or ["sun"])
        for reason in reasons
    }
    lines = [f"No figure for {name}: {reason}." for reason, name in named.items()]
    return [
        *lines,
        "What is missing comes from the place that the scenario names, else from the reference climate.",
    ]


def weather_result(found: StationClimate, source: str) -> dict[str, Any]:
    """Return the whole answer as plain data, in metric units."""
    return {
        "schema": SCHEMA,
        "source": source,
        "station": found.station,
        "drivers": {
            name: {
                "low": driver.low,
                "likely": driver.mean,
                "high": driver.high,
                "unit": fields()["climate"][name].unit,
                "coverage": driver.coverage,
                "years": [{**vars(year), "used": year.counts} for year in driver.years],
            }
            for name, driver in found.drivers.items()
        },
        "reasons": {**found.missing, "sun": SUN},
        "rows": found.rows,
        "dropped": dict(found.dropped),
        "made_by": {"version": lifecycle.__version__, "method": "means of whole years"},
    }


def figures_of(found: StationClimate, source: str, units: str) -> dict[str, dict[str, Any]]:
    """Return the drivers as figures of a scenario's `[climate]`.

    Parameters
    ----------
    found : StationClimate
        What the record says.
    source : str
        Name of the file.
    units : str
        Units of the scenario.

    Returns
    -------
    dict of str to dict
        Name of the driver -> its table: low, likely, high, shape, or value; basis, source, note.
    """
    figures: dict[str, dict[str, Any]] = {}
    for name, driver in found.drivers.items():
        low, mean, high = (round(one, 2) for one in _in_units(driver, units))
        used = driver.used
        stated: dict[str, Any] = {"value": mean}
        if high > low:
            stated = {"low": low, "likely": mean, "high": high, "shape": "normal"}
        span = f"{used[0].year}-{used[-1].year}" if len(used) > 1 else f"{used[0].year}"
        station = f"station {found.station}, " if found.station else ""
        figures[name] = {
            **stated,
            "basis": "record",
            "source": f"{station}daily record {source}, {span}",
            "note": f"mean of {counted(len(used), 'year')}, {driver.coverage:.1%} of the days seen",
        }
    return figures
