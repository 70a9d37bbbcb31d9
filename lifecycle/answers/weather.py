"""What a weather record says of a climate: as an answer, as figures, and as a section of a scenario.

Lecture
-------
The first sentence says which station and how many years speak. A table gives each year with its days
observed; years that do not count are marked and explained. What the file cannot say is named. The figures
state each driver with its interval, a line each, the station and the years as its source; what they leave out
comes from the place of the scenario, or from the reference climate. In a scenario only they are exchanged;
all else, comments too, stays as it was.

Left out: what the climate does to a roof (the command about places says that).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Rest, Sentence, Table
from lifecycle.answers.parts import SCHEMA, made_by
from lifecycle.files import fields, on_one_line
from lifecycle.language.labels import HEADINGS, counted, listed
from lifecycle.language.sentences import say, words
from lifecycle.quantities import convert, number_text, unit_text
from lifecycle.records.weather import DRIVERS, LEAST_OBSERVED, Driver, StationClimate

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario

MOST = 15
"""Rows of the table of years that stand on the first screen at most."""

AIR = "air_temperature"
"""The driver that is no number of days."""


def weather_answer(found: StationClimate, source: str, units: str, written: str = "") -> Answer:
    """Put what a record says into blocks and plain data."""
    table = _years(found, units)
    missing: list[Block] = [Sentence(line) for line in (*_missing(found), *([written] if written else []))]
    years: list[Block] = [table, *(Sentence(line, "note") for line in _not_used(found))]
    blocks: list[Block] = [Sentence(_first(found, units)), *years, *missing]
    if len(table.rows) > MOST:
        blocks = [Sentence(_first(found, units)), *missing, Rest(), *years]
    return Answer(HEADINGS["records"], source, tuple(blocks), _data(found, source))


def _first(found: StationClimate, units: str) -> str:
    """Say which station speaks, and what a year there is like."""
    every = [driver.used for driver in found.drivers.values()]
    first, last = min(some[0].year for some in every), max(some[-1].year for some in every)
    years = say("weather.span", first=first, last=last) if last > first else str(first)
    means = listed(_mean(driver, units) for driver in found.drivers.values())
    if found.station:
        return say("weather.station", station=found.station, years=years, means=means)
    return say("weather.a_station", years=years, means=means)


def _mean(driver: Driver, units: str) -> str:
    """Say the mean of one driver, with its interval."""
    low, mean, high = (number_text(one, 3) for one in _in_units(driver, units))
    unit = unit_text(fields()["climate"][driver.name].unit_in(units)) if driver.name == AIR else ""
    span = say("weather.low_high", low=low, high=high, unit=unit) if low != high else ""
    if driver.name == AIR:
        return say("weather.mean_air", mean=mean, unit=unit, span=span)
    return say("weather.mean_days", mean=mean, days=_short(driver.name), span=span)


def _short(name: str) -> str:
    """Return a driver in a word or two."""
    return str(words("weather.short")[name])


def _in_units(driver: Driver, units: str) -> tuple[float, float, float]:
    """Return low, mean and high in the units of a file."""
    field = fields()["climate"][driver.name]
    to = field.unit_in(units)
    low, mean, high = (convert(one, field.unit, to) for one in (driver.low, driver.mean, driver.high))
    return low, mean, high


def _years(found: StationClimate, units: str) -> Table:
    """Return the years: observed days and value of each driver."""
    drivers = [found.drivers[name] for name in DRIVERS if name in found.drivers]
    known, label = fields()["climate"], words("weather.rows")
    heads = [
        say(
            "weather.head_with_unit",
            head=_short(driver.name),
            unit=unit_text(known[driver.name].unit_in(units)).strip(),
        )
        for driver in drivers
    ]
    rows = []
    for number in sorted({year.year for driver in drivers for year in driver.years}):
        here = [{year.year: year for year in driver.years}.get(number) for driver in drivers]
        most = max((year for year in here if year), key=lambda year: year.observed)
        cells = (
            say("weather.none") if year is None or not year.counts else _value(driver, year.value, units)
            for driver, year in zip(drivers, here, strict=True)
        )
        rows.append((str(number), say("weather.seen", observed=most.observed, days=most.days), *cells))
    rows.append((label["mean"], "", *(_value(driver, driver.mean, units) for driver in drivers)))
    return Table.of_numbers((label["year"], label["seen"], *heads), rows, ruled=(len(rows) - 1,))


def _value(driver: Driver, value: float, units: str) -> str:
    """Return a value as it stands in the table."""
    field = fields()["climate"][driver.name]
    return f"{convert(value, field.unit, field.unit_in(units)):.1f}"


def _not_used(found: StationClimate) -> Iterator[str]:
    """Say which years do not count and for which drivers, and which values were dropped."""
    refused: dict[tuple[str, ...], list[str]] = {}
    for name, driver in found.drivers.items():
        years = tuple(
            say("weather.year_seen", year=year.year, observed=year.observed, days=year.days)
            for year in driver.years
            if not year.counts
        )
        if years:
            refused.setdefault(years, []).append(_short(name))
    for years, names in refused.items():
        slots = {"drivers": listed(names), "share": f"{100.0 * LEAST_OBSERVED:.0f}", "years": listed(years)}
        if len(years) == 1:
            yield say("weather.one_not_used", **slots)
        else:
            yield say("weather.many_not_used", number=len(years), **slots)
    if found.dropped:
        parts = (
            say("weather.part", number=f"{number:,}", reason=why) for why, number in found.dropped.items()
        )
        yield say("weather.dropped", rows=counted(found.rows, "row"), parts=listed(parts))


def _missing(found: StationClimate) -> Iterator[str]:
    """Say what the record cannot tell."""
    label, no_sun = fields()["climate"], say("weather.no_sun")
    for reason in dict.fromkeys([*found.missing.values(), no_sun]):
        names = [label[name].label for name, why in found.missing.items() if why == reason]
        drivers = listed(names or [say("weather.sun")])
        yield say("weather.no_figure", drivers=drivers, reason=reason)
    yield say("weather.missing")


def _data(found: StationClimate, source: str) -> dict[str, Any]:
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
        "reasons": {**found.missing, "sun": say("weather.no_sun")},
        "rows": found.rows,
        "dropped": dict(found.dropped),
        "made_by": made_by(None, say("weather.method"), evaluated=False),
    }


def figures_of(found: StationClimate, source: str, units: str) -> dict[str, dict[str, Any]]:
    """Return the drivers as figures of a scenario's `[climate]`."""
    figures: dict[str, dict[str, Any]] = {}
    for name, driver in found.drivers.items():
        low, mean, high = (round(one, 2) for one in _in_units(driver, units))
        used = driver.used
        stated: dict[str, Any] = {"value": mean}
        if high > low:
            stated = {"low": low, "likely": mean, "high": high, "shape": "normal"}
        years = f"{used[0].year}-{used[-1].year}" if len(used) > 1 else f"{used[0].year}"
        slots = {"file": source, "years": years}
        figures[name] = {
            **stated,
            "basis": "record",
            "source": say("weather.source", station=found.station, **slots)
            if found.station
            else say("weather.source_alone", **slots),
            "note": say("weather.note", years=counted(len(used), "year"), share=f"{driver.coverage:.1%}"),
        }
    return figures


def climate_alone(figures: Mapping[str, Mapping[str, Any]], units: str) -> str:
    """Return the section by itself."""
    import tomlkit

    head = say("weather.alone", unit={"us": "F", "metric": "C"}[units], units=units)
    return head + tomlkit.dumps({"climate": {name: on_one_line(figure) for name, figure in figures.items()}})


def climate_into(scenario: Scenario, figures: Mapping[str, Mapping[str, Any]]) -> str:
    """Return a scenario with the drivers in its section, all else as it was."""
    import tomlkit

    document = tomlkit.parse(scenario.text)
    if "climate" not in document:
        document["climate"] = tomlkit.table()
    section: Any = document["climate"]
    for name, figure in figures.items():
        section[name] = on_one_line(figure)
    return tomlkit.dumps(document)
