"""Real weather records, through all three forms that are read.

Source: the daily record of Seattle, 2012-2015, that the PyPI package vega_datasets ships (a NOAA record in
columns of its own), and that of Lincoln, Nebraska, 2016, that bokeh_sampledata ships (NOAA's daily export,
in degrees Fahrenheit, temperatures only). Expected: freeze-thaw days (coldest < 0 C < warmest, strict) of
Seattle 16, 25, 16 and 10 by year, 67 in all; days with at least 0.254 mm of rain 623 in all; strict
freeze-thaw days of Lincoln 85. How known: recomputed from the records by the trade's own list of checks,
and here once more by a plain loop. Counts are whole, so there is no tolerance.
"""

from __future__ import annotations

import csv
import io
from importlib import resources

import pytest

from lifecycle.errors import ScenarioError
from lifecycle.records.columns import read_map
from lifecycle.records.weather import DailyRecord, read_daily, station_climate

SEATTLE = (resources.files("vega_datasets") / "_data" / "seattle-weather.csv").read_bytes()
LINCOLN = (resources.files("bokeh_sampledata") / "_data" / "lincoln_weather.csv").read_bytes()
COLUMNS = read_map(
    {
        "units": "metric",
        "station": "Seattle",
        "columns": {"rain": "precipitation", "warmest": "temp_max", "coldest": "temp_min"},
    }
)


def as_by_station(content: bytes) -> bytes:
    """Rewrite Seattle's record as GHCN-Daily by station: tenths, one row for each element of a day."""
    out = []
    for row in csv.DictReader(io.StringIO(content.decode())):
        day = row["date"].replace("/", "")
        for element, name in (("PRCP", "precipitation"), ("TMAX", "temp_max"), ("TMIN", "temp_min")):
            out.append(f"SEATTLE,{day},{element},{round(10 * float(row[name]))},,,W,2400")
    return "\n".join(out).encode()


def counted(record: DailyRecord, name: str) -> list[int]:
    """Return the days of each year that were counted, before they are brought to the whole year."""
    years = station_climate(record).drivers[name].years
    return [round(year.value * year.observed / year.days) for year in years]


@pytest.mark.parametrize("form", ["mapped", "by station"])
def test_h7_seattle(form: str) -> None:
    content, columns = (SEATTLE, COLUMNS) if form == "mapped" else (as_by_station(SEATTLE), None)
    record = read_daily(io.BytesIO(content), "seattle.csv", columns=columns)
    assert counted(record, "freeze_thaw_days") == [16, 25, 16, 10]
    assert sum(counted(record, "wet_days")) == 623
    assert station_climate(record).drivers["wet_days"].coverage == 1.0
    assert set(station_climate(record).missing) == {"hail_days"}


def test_seattle_by_a_plain_loop() -> None:
    rows = list(csv.DictReader(io.StringIO(SEATTLE.decode())))
    thaw = [row["date"][:4] for row in rows if float(row["temp_min"]) < 0.0 < float(row["temp_max"])]
    assert [thaw.count(year) for year in ("2012", "2013", "2014", "2015")] == [16, 25, 16, 10]
    middles = [(float(row["temp_min"]) + float(row["temp_max"])) / 2 for row in rows if row["date"] < "2013"]
    record = read_daily(io.BytesIO(SEATTLE), "seattle.csv", columns=COLUMNS)
    first = station_climate(record).drivers["air_temperature"].years[0]
    assert first.value == pytest.approx(sum(middles) / len(middles))


def test_lincoln_has_no_rain_and_says_so() -> None:
    record = read_daily(io.BytesIO(LINCOLN), "lincoln.csv", units="us")
    assert counted(record, "freeze_thaw_days") == [85]
    assert station_climate(record).missing["wet_days"] == "the file has no rain"
    assert record.station == "USW00094996"


def test_units_of_an_export_are_asked_for_and_the_wrong_ones_are_seen() -> None:
    with pytest.raises(ScenarioError, match="--units must say the units of this form"):
        read_daily(io.BytesIO(LINCOLN), "lincoln.csv")
    with pytest.raises(ScenarioError, match=r"TMAX \(line 50\) must be from -90 to 60 C; got 72"):
        read_daily(io.BytesIO(LINCOLN), "lincoln.csv", units="metric")
