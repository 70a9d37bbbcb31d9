"""From the days of a weather station to the drivers of a climate.

Lecture
-------
Of the days of a year that were observed::

    freeze-thaw day    coldest < 0 C < warmest (strict)
    wet day            rain >= 0.254 mm (0.01 in)
    hail day           hail was seen
    mean temperature   mean over the days of (warmest + coldest) / 2, or of the mean where only that stands

A count is brought to the whole year: counted days x days of the year / days observed. A year counts
only if at least 90 % of its days were observed, for each driver by itself; the others are named with
what they lack. The driver is the mean over the years that count, and its range the 80 % interval of that
mean by Student's t: with two years or more a year differs from the next, and so the mean of a few is not
the climate. One year gives one number.

Hail counts only where the file says what weather was seen; else no hail would mean nothing. The sun is
in no file of this kind.

Assumed: years are alike but for chance. Left out: trends; the weather between the station and the coach.

Source: days as NOAA counts them (0.01 in of rain; freeze-thaw by the day's extremes); interval: textbook.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lifecycle.errors import Fault, ScenarioError
from lifecycle.records.daily_files import DATE_FORMS, MEASURED, DailyRecord, DayColumns

LEAST_OBSERVED = 0.9
"""Share of a year's days below which the year is refused. [-]"""

WET = 0.254
"""Rain from which on a day is wet. [mm]"""

DRIVERS = ("air_temperature", "freeze_thaw_days", "wet_days", "hail_days")
"""Drivers that a weather file can give, by their names in a scenario."""

WITHIN = 0.8
"""Chance that the interval of a mean holds it. [-]"""

NOT_THERE: Mapping[str, str] = {
    "air_temperature": "the file has no temperatures",
    "freeze_thaw_days": "the file does not have the warmest and the coldest of the day",
    "wet_days": "the file has no rain",
    "hail_days": "the file does not say what weather was seen",
}
"""Why a driver cannot be had from a file."""


@dataclass(frozen=True)
class Year:
    """One driver in one year.

    Parameters
    ----------
    year : int
        The year.
    observed, days : int
        Days observed; days of the year. [days]
    value : float
        Mean temperature [C], or days brought to the whole year [days].
    """

    year: int
    observed: int
    days: int
    value: float

    @property
    def counts(self) -> bool:
        """Whether enough of the year was observed."""
        return self.observed >= LEAST_OBSERVED * self.days


@dataclass(frozen=True)
class Driver:
    """A driver of a climate from the years of a record.

    Parameters
    ----------
    name : str
        One of `DRIVERS`.
    years : tuple of Year
        Every year of the record; some may not count.
    mean : float
        Over the years that count. [C or days]
    low, high : float
        80 % interval of the mean; both the mean where one year counts. [C or days]
    """

    name: str
    years: tuple[Year, ...]
    mean: float
    low: float
    high: float

    @property
    def used(self) -> tuple[Year, ...]:
        """Years that count."""
        return tuple(year for year in self.years if year.counts)

    @property
    def coverage(self) -> float:
        """Share of the days of the years used that were observed. [-]"""
        return sum(year.observed for year in self.used) / sum(year.days for year in self.used)


@dataclass(frozen=True)
class StationClimate:
    """What a record says of a climate.

    Parameters
    ----------
    station : str
        Its name or number.
    drivers : dict of str to Driver
        Those that can be had.
    missing : dict of str to str
        Driver -> why it cannot be had.
    rows : int
        Rows of the file.
    dropped : dict of str to int
        Reason -> values dropped.
    """

    station: str
    drivers: Mapping[str, Driver]
    missing: Mapping[str, str]
    rows: int
    dropped: Mapping[str, int]


def station_climate(record: DailyRecord) -> StationClimate:
    """Work the drivers of a climate out of the days of a station.

    Parameters
    ----------
    record : DailyRecord
        The days.

    Returns
    -------
    StationClimate

    Raises
    ------
    ScenarioError
        If no driver can be had, with what each year lacks.
    """
    drivers: dict[str, Driver] = {}
    missing: dict[str, str] = {}
    for name, values in _daily(record).items():
        observed = values.dropna()
        if observed.empty or (name == "hail_days" and not record.sees_hail):
            missing[name] = NOT_THERE[name]
            continue
        years = _by_year(observed, counted=name != "air_temperature")
        if any(year.counts for year in years):
            drivers[name] = _driver(name, years)
        else:
            missing[name] = no_year_counts(years)
    if not drivers:
        place = record.station or "the station"
        rule = f"must have a year with at least {LEAST_OBSERVED:.0%} of its days"
        said = "; ".join(dict.fromkeys(missing.values()))
        raise ScenarioError([Fault(place, rule, said, "take a longer record")])
    return StationClimate(record.station, drivers, missing, record.rows, record.dropped)


def no_year_counts(years: tuple[Year, ...]) -> str:
    """Say that no year counts, and what the fullest has.

    Examples
    --------
    >>> no_year_counts((Year(2020, 91, 366, 5.0),))
    'no year has 90% of its days (the fullest, 2020, has 91 of 366)'
    """
    best = max(years, key=lambda year: year.observed / year.days)
    return (
        f"no year has {LEAST_OBSERVED:.0%} of its days (the fullest, {best.year}, has {best.observed} of "
        f"{best.days})"
    )


def _daily(record: DailyRecord) -> dict[str, Any]:
    """Return each driver by day, missing where it was not observed."""
    days = record.days
    both = days["warmest"].notna() & days["coldest"].notna()
    middle = (days["warmest"] + days["coldest"]) / 2.0
    thaw = ((days["coldest"] < 0.0) & (days["warmest"] > 0.0)).astype(float)
    wet = (days["rain"] >= WET - 1e-9).astype(float)
    seen = days[list(MEASURED)].notna().any(axis=1) | days["hail"]
    return {
        "air_temperature": middle.fillna(days["mean"].astype(float)),
        "freeze_thaw_days": thaw.where(both),
        "wet_days": wet.where(days["rain"].notna()),
        "hail_days": days["hail"].astype(float).where(seen),
    }


def _by_year(values: Any, *, counted: bool) -> tuple[Year, ...]:
    """Sum or average the observed days of each year."""
    found = []
    for year, some in values.groupby(values.index.year):
        days = 366 if calendar.isleap(int(year)) else 365
        mean = float(some.mean())
        found.append(Year(int(year), len(some), days, mean * days if counted else mean))
    return tuple(found)


def _driver(name: str, years: tuple[Year, ...]) -> Driver:
    """Average the years that count."""
    values = [year.value for year in years if year.counts]
    mean = sum(values) / len(values)
    half = 0.0
    if len(values) > 1:
        from scipy.special import stdtrit

        variance = sum((value - mean) ** 2 for value in values) / (len(values) - 1)
        half = float(stdtrit(len(values) - 1, 0.5 + WITHIN / 2.0)) * math.sqrt(variance / len(values))
    low = mean - half
    return Driver(name, years, mean, low if name == "air_temperature" else max(0.0, low), mean + half)


def day_columns(own: Mapping[str, Any], source: str) -> DayColumns:
    """Read a column map.

    Parameters
    ----------
    own : mapping
        As parsed: units, date_form, station (if no column names it), and a table `columns`.
    source : str
        Its name, for messages.

    Returns
    -------
    DayColumns

    Raises
    ------
    ScenarioError
        With all that is wrong with it.
    """
    names = ("date", "station", "hail", *MEASURED)
    columns = own.get("columns", {})
    faults = [
        Fault(name, "is no entry of a column map", remedy="known: units, date_form, station, columns")
        for name in own
        if name not in ("units", "date_form", "station", "columns")
    ]
    if not isinstance(columns, Mapping):
        faults.append(Fault("columns", "must be a table", str(columns)[:40], "[columns]"))
        columns = {}
    for name, column in columns.items():
        if name not in names:
            faults.append(
                Fault(f"columns.{name}", "is nothing that is read", remedy=f"known: {', '.join(names)}")
            )
        elif not isinstance(column, str):
            faults.append(Fault(f"columns.{name}", "must be the name of a column", str(column)[:40]))
    if "date" not in columns:
        faults.append(Fault("columns.date", "is required", remedy="name the column of the dates"))
    if not set(columns) & set(MEASURED):
        faults.append(Fault("columns", "must name something measured", remedy=", ".join(MEASURED)))
    if own.get("units") not in ("us", "metric"):
        rule = "must be us (F and in) or metric (C and mm)"
        faults.append(Fault("units", rule, str(own.get("units", "nothing")), "ask who made the file"))
    if own.get("date_form") not in DATE_FORMS:
        faults.append(
            Fault(
                "date_form", f"must be one of {', '.join(DATE_FORMS)}", str(own.get("date_form", "nothing"))
            )
        )
    if faults:
        raise ScenarioError(faults, source)
    return DayColumns(dict(columns), own["date_form"], own["units"], str(own.get("station", "")))
