"""Daily weather files: flags, gaps, traces, years that do not count, and what is wrong with a file."""

from __future__ import annotations

import io
from datetime import date, timedelta

import pytest

from lifecycle.errors import ScenarioError
from lifecycle.records import weather
from lifecycle.records.weather import (
    DailyRecord,
    DayColumns,
    StationClimate,
    day_columns,
    read_daily,
    station_climate,
)


def days_of(year: int, number: int = 366) -> list[str]:
    """Return the first days of a year as yyyymmdd."""
    first = date(year, 1, 1)
    every = (first + timedelta(days=count) for count in range(number))
    return [f"{day:%Y%m%d}" for day in every if day.year == year]


def by_station(*rows: str) -> DailyRecord:
    return read_daily(io.BytesIO("\n".join(rows).encode()), "station.csv")


def temperatures(days: list[str], cold: int = -50, warm: int = 50, quality: str = "") -> list[str]:
    """Return rows of GHCN-Daily with the same extremes every day. [tenths of C]"""
    return [
        f"X1,{day},{element},{value},,{quality},W,"
        for day in days
        for element, value in (("TMAX", warm), ("TMIN", cold))
    ]


def climate(*rows: str) -> StationClimate:
    return station_climate(by_station(*rows))


def test_a_day_counts_when_it_freezes_and_thaws_strictly() -> None:
    days = days_of(2021)
    rows = temperatures(days[:100]) + temperatures(days[100:200], cold=0) + temperatures(days[200:], warm=0)
    found = climate(*rows).drivers["freeze_thaw_days"]
    assert (found.mean, found.low, found.high) == (100.0, 100.0, 100.0)


def test_a_quality_flag_drops_a_value_and_a_gap_is_counted() -> None:
    days = days_of(2021)
    found = climate(*temperatures(days[:20], quality="I"), *temperatures(days[20:]))
    year = found.drivers["freeze_thaw_days"].years[0]
    assert found.dropped == {"with a quality flag": 40}
    assert (year.observed, year.days, year.counts) == (345, 365, True)
    assert year.value == pytest.approx(365.0)  # every day seen froze and thawed


def test_a_trace_of_rain_is_no_rain_and_a_hundredth_of_an_inch_is() -> None:
    days = days_of(2021)
    rows = [f"X1,{day},PRCP,5,T,,W," for day in days[:200]] + [f"X1,{day},PRCP,3,,,W," for day in days[200:]]
    assert climate(*rows).drivers["wet_days"].mean == 165.0
    rows = [f"X1,{day},PRCP,2,,,W," for day in days]  # 0.2 mm
    assert climate(*rows).drivers["wet_days"].mean == 0.0


def test_no_hail_means_none_only_where_weather_is_seen() -> None:
    days = days_of(2021)
    plain = temperatures(days)
    assert climate(*plain).missing["hail_days"] == "the file does not say what weather was seen"
    assert climate(*plain, f"X1,{days[3]},WT01,1,,,W,").drivers["hail_days"].mean == 0.0
    assert climate(*plain, *(f"X1,{day},WT05,1,,,W," for day in days[:4])).drivers["hail_days"].mean == 4.0


def test_a_year_under_nine_tenths_does_not_count() -> None:
    found = climate(*temperatures(days_of(2020, 329)), *temperatures(days_of(2021)))
    years = found.drivers["freeze_thaw_days"].years
    assert [year.counts for year in years] == [False, True]
    assert 329 < 0.9 * 366 < 330
    assert found.drivers["freeze_thaw_days"].mean == 365.0


def test_three_months_are_refused_with_what_they_have() -> None:
    with pytest.raises(ScenarioError, match=r"the fullest, 2021, has 90 of 365"):
        climate(*temperatures(days_of(2021, 90)))


def test_the_interval_of_two_years_is_students() -> None:
    """By hand: values 100 and 120, mean 110, standard error 10, t(1, 0.9) = 3.0777."""
    one, two = days_of(2021), days_of(2022)
    rows = temperatures(one[:100]) + temperatures(one[100:], cold=10)
    rows += temperatures(two[:120]) + temperatures(two[120:], cold=10)
    found = climate(*rows).drivers["freeze_thaw_days"]
    assert found.mean == pytest.approx(110.0)
    assert found.high - found.mean == pytest.approx(30.777, abs=0.001)
    assert found.low == pytest.approx(110.0 - 30.777, abs=0.001)


def test_a_header_and_a_mean_temperature_are_understood() -> None:
    rows = ["ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME"]
    rows += [f"X1,{day},TAVG,123,,,W," for day in days_of(2021)]
    found = climate(*rows)
    assert found.drivers["air_temperature"].mean == pytest.approx(12.3)
    assert "warmest and the coldest" in found.missing["freeze_thaw_days"]


def test_an_export_honours_flags_and_its_units() -> None:
    days = [f"{day[:4]}-{day[4:6]}-{day[6:]}" for day in days_of(2021)]
    rows = ['"STATION","NAME","DATE","PRCP","PRCP_ATTRIBUTES","TMAX","TMIN","WT05"']
    rows += [f'"X1","A PLACE, US","{day}","0.01",",,W","41","23",""' for day in days[:360]]
    rows += [f'"X1","A PLACE, US","{day}","0.50",",I,W","41","23","1"' for day in days[360:]]
    content = "\n".join(rows).encode()
    record = read_daily(io.BytesIO(content), "export.csv", units="us")
    found = station_climate(record)
    assert found.dropped == {"with a quality flag": 5}
    assert found.drivers["wet_days"].years[0].observed == 360
    assert found.drivers["hail_days"].mean == 5.0
    assert found.drivers["air_temperature"].mean == pytest.approx(0.0)


GOOD = temperatures(days_of(2021, 3))


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([""], "must have weather in it; got an empty file"),
        (["a,b", "1,2"], r"line 1 must be of a known form; got a, b"),
        (
            [*GOOD, "X1,20211399,TMAX,50,,,W,"],
            r"date \(line 7\) must be a date yyyymmdd of the years 1700 to 2200; got 20211399",
        ),
        ([*GOOD, "X1,20210301,TMAX,warm,,,W,"], r"value \(line 7\) must be a whole number; got warm"),
        ([*GOOD, GOOD[0]], r"date \(line 7\) must stand once for each element; got TMAX"),
        (
            [*GOOD, "X1,20210301,TMAX,700,,,W,"],
            r"TMAX \(line 7\) must be from -90 to 60 after dividing by 10; got 700",
        ),
        (
            [*GOOD, "Y2,20210301,TMAX,50,,,W,"],
            r"must hold one station, or name one: --station; got 2 stations",
        ),
    ],
)
def test_what_is_wrong_with_a_file_is_said_with_its_line(rows: list[str], said: str) -> None:
    with pytest.raises(ScenarioError, match=said):
        by_station(*rows)


def test_many_wrong_rows_are_counted() -> None:
    with pytest.raises(ScenarioError, match="got 15 more such rows"):
        by_station(*GOOD, *(f"X1,2021030{count % 10},TMAX,x,,,W," for count in range(20)))


def test_one_station_of_several_can_be_chosen() -> None:
    content = "\n".join([*temperatures(days_of(2021)), "Y2,20210301,TMAX,50,,,W,"]).encode()
    assert read_daily(io.BytesIO(content), "two.csv", station="X1").station == "X1"
    with pytest.raises(ScenarioError, match="--station must be in the file; got Z9"):
        read_daily(io.BytesIO(content), "two.csv", station="Z9")


def test_a_file_is_read_in_pieces_with_the_same_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = temperatures(days_of(2021))
    whole = climate(*rows)
    seen: list[int] = []
    monkeypatch.setattr(weather, "PIECE", 50)
    content = "\n".join(rows).encode()
    record = read_daily(io.BytesIO(content), "pieces.csv", told=seen.append)
    assert station_climate(record) == whole
    assert len(seen) == -(-len(rows) // 50) and seen[-1] == len(content)
    with pytest.raises(ScenarioError, match=r"\(line 731\)"):
        read_daily(io.BytesIO(content + b"\nX1,20210301,TMAX,x,,,W,"), "pieces.csv")


def test_a_column_map_says_all_that_is_wrong_with_it() -> None:
    with pytest.raises(ScenarioError) as error:
        day_columns({"unit": "us", "columns": {"day": "d", "rain": 3}, "date_form": "d-m"}, "map.toml")
    text = str(error.value)
    for said in (
        "unit is no entry",
        "columns.day is nothing that is read",
        "columns.rain must be the name of a column; got 3",
        "columns.date is required",
        "units must be us",
        "date_form must be one of y-m-d",
    ):
        assert said in text


def test_a_column_that_is_not_there_is_named_with_the_nearest() -> None:
    columns = DayColumns({"date": "day", "rain": "rian"}, "y-m-d", "metric")
    with pytest.raises(
        ScenarioError, match=r'column rian is named by the column map as rain.*did you mean "rain"'
    ):
        read_daily(io.BytesIO(b"day,rain\n2021-01-01,3\n"), "own.csv", columns=columns)
