"""Daily weather files: flags, gaps, traces, years that do not count, and what is wrong with a file."""

from __future__ import annotations

import gzip
import io
from datetime import date, timedelta

import pytest

from lifecycle.errors import ScenarioError
from lifecycle.records import weather
from lifecycle.records.columns import read_map
from lifecycle.records.weather import (
    DailyRecord,
    StationClimate,
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


def temperatures(days: list[str], cold: int = -50, warm: int = 150, quality: str = "") -> list[str]:
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
    found = climate(*temperatures(days[:10], quality="I"), *temperatures(days[10:]))
    year = found.drivers["freeze_thaw_days"].years[0]
    assert found.dropped == {"with a quality flag": 20}
    assert (year.observed, year.days, year.counts) == (355, 365, True)
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
    rows += [f'"X1","A PLACE, US","{day}","0.01",",,W","59","23",""' for day in days[:360]]
    rows += [f'"X1","A PLACE, US","{day}","0.50",",I,W","59","23","1"' for day in days[360:]]
    content = "\n".join(rows).encode()
    record = read_daily(io.BytesIO(content), "export.csv", units="us")
    found = station_climate(record)
    assert found.dropped == {"with a quality flag": 5}
    assert found.drivers["wet_days"].years[0].observed == 360
    assert found.drivers["hail_days"].mean == 5.0
    assert found.drivers["air_temperature"].mean == pytest.approx(5.0)


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
    text = """unit = "us"
date_form = "d-m"
[columns]
day = "d"
rain = 3
"""
    raw = {"unit": "us", "columns": {"day": "d", "rain": 3}, "date_form": "d-m"}
    with pytest.raises(ScenarioError) as error:
        read_map(raw, "map.toml", text=text)
    for said in (
        "unit (line 1) is not a known name here",
        "date_form (line 2) must be one of: y-m-d",
        "columns.day (line 4) is not a known name here",
        "columns.rain (line 5) must be a text; got 3",
    ):
        assert said in str(error.value)
    with pytest.raises(ScenarioError) as error:
        read_daily(io.BytesIO(b"day,rainfall\n2021-01-01,3\n"), "own.csv", columns=read_map({}))
    for said in ("columns.date is required", "must say the units of the weather"):
        assert said in str(error.value)


def test_a_column_that_is_not_there_is_named_with_the_nearest() -> None:
    columns = read_map({"units": "metric", "columns": {"date": "day", "rain": "rian"}})
    with pytest.raises(
        ScenarioError, match=r'column rian is named by the column map as rain.*did you mean "rain"'
    ):
        read_daily(io.BytesIO(b"day,rain\n2021-01-01,3\n"), "own.csv", columns=columns)


# --- what is not likely ------------------------------------------------------------------------------


def year_of(warmest: str, coldest: str, rain: str = "0", *, units: str = "metric") -> DailyRecord:
    """Return a year with the same day over and over, in columns of its own."""
    days = [f"{day[:4]}-{day[4:6]}-{day[6:]},{warmest},{coldest},{rain}" for day in days_of(2021)]
    content = "\n".join(["date,warmest,coldest,rain", *days]).encode()
    return read_daily(io.BytesIO(content), "year.csv", columns=read_map({"units": units}))


@pytest.mark.parametrize(
    ("rows", "units", "said"),
    [
        (("20", "10", "2"), "us", "the warmest month must be from 3 to 45 C"),  # C read as F
        (
            ("55", "40", "0"),
            "metric",
            "the mean temperature of a year must be from -15 to 32 C",
        ),  # F read as C
        (("2.0", "1.0", "0"), "metric", "the difference of day and night"),  # tenths of tenths
        (("20", "10", "30"), "metric", "the rain of a year must be from 5 to 6000 mm; got 10950.0 mm"),
    ],
)
def test_weather_that_no_place_has_is_refused_with_what_it_most_often_is(
    rows: tuple[str, str, str], units: str, said: str
) -> None:
    with pytest.raises(ScenarioError) as error:
        station_climate(year_of(*rows, units=units))
    assert said in str(error.value) and "?" in str(error.value)


def test_swapped_columns_and_whole_degrees_read_as_tenths_are_refused() -> None:
    with pytest.raises(ScenarioError, match=r"coldest \(line 2\) must not be above warmest; got 20: are the"):
        year_of("10", "20")
    with pytest.raises(ScenarioError, match=r"TMIN \(line 2\) must not be above TMAX of its day"):
        climate(*temperatures(days_of(2021), cold=60, warm=50))
    with pytest.raises(ScenarioError, match="are whole degrees read as tenths"):
        climate(*temperatures(days_of(2021), cold=5, warm=25))


def test_a_place_that_is_named_must_have_such_a_year() -> None:
    record = year_of("20", "10", "2")
    assert station_climate(record, (("Houston", 1.0),)).drivers["air_temperature"].mean == 15.0
    with pytest.raises(ScenarioError, match="within 8 C of the table's for Duluth"):
        station_climate(record, (("Duluth", 1.0),))


def test_a_month_that_is_missing_every_year_is_no_year() -> None:
    """335 of 365 days are more than 90 %, and all of the frost may lie in the others."""
    days = [day for day in days_of(2021) if day[4:6] != "01"]
    assert len(days) > 0.9 * 365
    with pytest.raises(
        ScenarioError, match=r"half of the days of each month \(the fullest, 2021, lacks January"
    ):
        climate(*temperatures(days))


def test_hail_counts_only_in_years_that_say_what_weather_was_seen() -> None:
    one, two = days_of(2021), days_of(2022)
    rows = [*temperatures(one), *temperatures(two), *(f"X1,{day},WT05,1,,,W," for day in two[:4])]
    found = climate(*rows).drivers["hail_days"]
    assert found.mean == 4.0 and [year.year for year in found.used] == [2022]


def test_a_packed_file_is_read_and_a_cut_one_is_said() -> None:
    content = "\n".join(temperatures(days_of(2021))).encode()
    packed = gzip.compress(content)
    assert station_climate(read_daily(io.BytesIO(packed), "x.csv.gz")) == climate(
        *temperatures(days_of(2021))
    )
    with pytest.raises(ScenarioError, match="is cut off: its packing ends too early"):
        read_daily(io.BytesIO(packed[: len(packed) // 2]), "x.csv.gz")
    record = read_daily(io.BytesIO(content + b"\nX1,2022"), "x.csv")
    assert [reason for reason in record.dropped if "last line that is cut off (line 731)" in reason]


def test_a_column_that_stands_twice_is_refused() -> None:
    content = b"date,rain,warmest,rain\n2021-01-01,1,2,3\n"
    with pytest.raises(ScenarioError, match=r'column "rain" \(line 1\) must stand once; got columns 2 and 4'):
        read_daily(io.BytesIO(content), "own.csv", columns=read_map({"units": "metric"}))
