"""Daily weather files: the days of a station, and the drivers of a climate from them.

Lecture
-------
Three forms are known, plain or packed (`tables`).

- *By station*: GHCN-Daily by-station CSV (NOAA). One row for each element of a day: station, date
  yyyymmdd, element, value, and flags of measurement, quality and source. Rain (PRCP) in tenths of a
  millimetre, temperatures (TMAX, TMIN, TAVG) in tenths of a degree Celsius, hail as WT05. With or without
  a header.
- *By day*: NOAA's daily export. A header, one row a day: STATION, DATE (ISO), PRCP, TMAX, TMIN ...; flags
  in columns ``..._ATTRIBUTES`` (measurement, quality, source). Its units are the choice of whoever ordered
  the file, and stand nowhere in it: they are asked for, never guessed.
- *Mapped*: any other table with a header and one row a day; a column map (`columns`) names its columns and
  units.

A row with a quality flag is dropped and counted, as is a last line that is cut off. A trace of rain is no
rain. What is missing stays missing. The file is read in pieces, so that memory holds the days of one station
and not the file.

*What cannot be* is refused: a day whose warmest is below its coldest (swapped columns), values beyond any on
earth. *What is not likely* is refused too, by rules that are data: a year, a day or a season that no place
where coaches stand has, but a metric file read as US, or tenths read as degrees, does. Where the place is
known, the yearly mean must lie near the one of the table of places.

Of the days of a year that were observed::

    freeze-thaw day    coldest < 0 C < warmest (strict)
    wet day            rain >= 0.254 mm (0.01 in)
    hail day           hail was seen
    mean temperature   mean over the days of (warmest + coldest) / 2, or of the mean where only that stands

A count is brought to the whole year: counted days x days of the year / days observed. A year counts
only if at least 90 % of its days and half of each month's were observed, for each driver by itself (a month
that is missing every year takes its frost or its rain away, and is only 8 % of the days); the others are
named with what they lack. The driver is the mean over the years that count, and its range the 80 % interval
of that mean by Student's t: with two years or more a year differs from the next, and so the mean of a few is
not the climate. One year gives one number.

Hail counts only in years in which the file says what weather was seen; else no hail would mean nothing. The
sun is in no file of this kind.

Assumed: years are alike but for chance. Left out: trends; the weather between the station and the coach.

Source
------
NOAA, readme of GHCN-Daily (public domain); from the trade's own summary of it.
days as NOAA counts them (0.01 in of rain; freeze-thaw by the day's extremes); interval: textbook.
"""

from __future__ import annotations

import calendar
import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from os import PathLike
from pathlib import Path
from typing import Any, BinaryIO

from lifecycle.data import frame_words
from lifecycle.errors import Fault, ScenarioError, fault, nearest, stop_at
from lifecycle.files import data, fields, load_table, opened, shared
from lifecycle.quantities import Frame, Framed, convert, in_rows
from lifecycle.records.columns import EARLIEST, LATEST, ColumnMap, Places, read_date, read_map
from lifecycle.records.tables import Shape, at_lines, read_rows

ELEMENTS: Mapping[str, str] = {"TMAX": "warmest", "TMIN": "coldest", "PRCP": "rain", "TAVG": "mean"}
"""Elements that are read, and what they are called here."""

HAIL = "WT05"
"""Element of a day with hail."""

WEATHER_TYPES = "WT"
"""Start of the elements that say what weather was seen."""

YEARS = f"of the years {EARLIEST} to {LATEST}"
"""Years that weather may be of, as faults say it."""

MEASURED = ("warmest", "coldest", "mean", "rain")
"""What is measured of a day: temperatures [C], rain [mm]."""

BOUNDS: Mapping[str, tuple[float, float]] = {
    "warmest": (-90.0, 60.0),
    "coldest": (-90.0, 60.0),
    "mean": (-90.0, 60.0),
    "rain": (0.0, 2000.0),
}
"""What a day on earth can be; beyond it a value is a slip or in another unit. [C, mm]"""

PIECE = 250_000
"""Rows read at a time."""

NAMED = 5
"""Rows named of each kind of fault."""

_WORDS: Mapping[str, Any] = data("words/weather.toml")["weather"]
_GHCN = ("station", "date", "element", "value", "measurement", "quality", "source", "time")


@dataclass
class DailyRecord:
    """The days of one station.

    Parameters
    ----------
    station : str
        Its name or number.
    days : DataFrame
        One row a day, index "date" (days, sorted, each once), columns `MEASURED` (NaN where missing),
        "hail" (bool) and "watched" (whether something says what weather was seen).
    rows : int
        Rows of the file.
    dropped : dict of str to int
        Reason -> values that were dropped.
    """

    station: str
    days: Any
    rows: int
    dropped: dict[str, int] = field(default_factory=dict)


Told = Callable[[int], None]
"""Called with the bytes read so far."""


def read_daily(
    file: BinaryIO,
    source: str,
    *,
    units: str | None = None,
    columns: ColumnMap | None = None,
    station: str | None = None,
    told: Told | None = None,
) -> DailyRecord:
    """Read a daily weather file.

    Parameters
    ----------
    file : binary file
        Open at its start.
    source : str
        Its name, for messages.
    units : str or None
        "us" or "metric": those of NOAA's daily export.
    columns : ColumnMap or None
        For a file of another form.
    station : str or None
        The one that is wanted, where the file holds several.
    told : callable or None
        Called with the bytes read so far.

    Returns
    -------
    DailyRecord

    Raises
    ------
    ScenarioError
        With what is wrong with the file; rows by their line.
    """
    cells = next((cells for _, cells, _ in read_rows(file, source)), [])
    file.seek(0)
    if not any(cells):
        raise fault(source, "must have weather in it", "an empty file", source=source)
    if columns is not None:
        where = _mapped(cells, columns, units, source)
    elif "DATE" in cells and {"PRCP", "TMAX", "TMIN", "TAVG"} & set(cells):
        where = _export(cells, units, source)
    elif len(cells) in (7, 8) and (cells[0] == "ID" or _is_day(cells[1])):
        return _by_station(file, source, header=cells[0] == "ID", station=station, told=told)
    else:
        raise _unknown_form(cells, source)
    return _one_row_a_day(file, source, where, station=station, told=told)


def _is_day(text: str) -> bool:
    """Whether a text is a date yyyymmdd."""
    return len(text) == 8 and text.isdigit()


def _unknown_form(cells: list[str], source: str) -> ScenarioError:
    """Return the error for a file of no known form."""
    got = ", ".join(cells[:8])
    remedy = (
        "GHCN-Daily by station has ID, date yyyymmdd, element, value and four flags; NOAA's daily export "
        "has a header with STATION, DATE and PRCP, TMAX or TMIN; another form needs a column map: --columns"
    )
    return fault("line 1", "must be of a known form", got[:100], remedy, source=source)


@dataclass(frozen=True)
class _Where:
    """Where things stand in a file of one row a day.

    `columns` are those of the file by their names here, `weather` those that say what weather was seen.
    """

    columns: Mapping[str, str]
    units: str
    forms: tuple[str, ...] = ()
    station: str = ""
    weather: tuple[str, ...] = ()


def _export(cells: list[str], units: str | None, source: str) -> _Where:
    """Return where things stand in NOAA's daily export; its units must be said."""
    if units is None:
        rule = "must say the units of this form (us: F and in; metric: C and mm): they stand nowhere in it"
        raise fault("--units", rule, "nothing", "look at the order form", source=source)
    found = {name: element for element, name in ELEMENTS.items() if element in cells}
    found |= {"date": "DATE"}
    found |= {"station": "STATION"} if "STATION" in cells else {}
    found |= {"hail": HAIL} if HAIL in cells else {}
    seen = tuple(one for one in cells if one.startswith(WEATHER_TYPES) and not one.endswith("_ATTRIBUTES"))
    return _Where(found, units, weather=seen)


def _mapped(cells: list[str], known: ColumnMap, units: str | None, source: str) -> _Where:
    """Return where things stand by a column map."""
    by_name = {cell.casefold(): cell for cell in reversed(cells)}
    names = ("date", "station", "hail", *MEASURED)
    found = {
        one: by_name[known.named(one).casefold()] for one in names if known.named(one).casefold() in by_name
    }
    faults = [
        Fault(
            f"column {known.columns[one]}",
            f"is named by the column map as {one}",
            "not there",
            nearest(known.columns[one], cells),
        )
        for one in names
        if one in known.columns and one not in found
    ]
    if "date" not in found and "date" not in known.columns:
        faults.append(Fault("columns.date", "is required", remedy="name the column of the dates"))
    if not faults and not set(found) & set(MEASURED):
        faults.append(Fault("columns", "must name something measured", remedy=", ".join(MEASURED)))
    if known.weather_units is None and units is None:
        rule = "must say the units of the weather: us (F and in) or metric (C and mm)"
        faults.append(Fault("units", rule, "nothing", 'ask who made the file; then units = "us"'))
    if units is not None and known.weather_units not in (None, units):
        rule = "must not say other units than the column map"
        faults.append(Fault("--units", rule, f"{units} and {known.weather_units}", "leave it out"))
    stop_at(faults, source)
    hail = (found["hail"],) if "hail" in found else ()
    return _Where(found, known.weather_units or units or "us", known.forms, known.station, hail)


class _Pieces:
    """A table in pieces of rows as text, counting its rows.

    Parameters
    ----------
    file : binary file
        Open at its start.
    source : str
        For messages.
    told : callable or None
        Called with the bytes read so far.
    names : sequence of str or None
        Of the columns, where the file has none or others; None: those of its first row.
    header : bool
        Whether the first row names the columns.

    `rows` are counted, and in `left_out` the values that are not used, by names of the data.
    """

    def __init__(
        self,
        file: BinaryIO,
        source: str,
        told: Told | None,
        names: Sequence[str] | None = None,
        header: bool = True,
    ) -> None:
        self.file, self.source, self.told, self.names, self.header = file, source, told, names, header
        self.rows = 0
        self.left_out = Counter[str]()
        self.shape = Shape(source)

    def __iter__(self) -> Iterator[Any]:
        """Go through the pieces; their index is the line in the file."""
        lines: list[int] = []
        rows: list[list[str]] = []
        for line, cells, ended in read_rows(self.file, self.source):
            if line == 1:
                first = self.shape.head(cells) if self.header else ()
                self.shape.stop()
                self.shape.width = len(cells)
                self.names = list(first if self.names is None else self.names[: len(cells)])
                if self.header:
                    continue
            if any(cells) and self.shape.check(line, cells, ended):
                lines.append(line)
                rows.append(cells)
            if len(rows) == PIECE:
                yield self._piece(lines, rows)
                lines, rows = [], []
        if rows:
            yield self._piece(lines, rows)
        self.shape.cut, self.cut = None, self.shape.cut
        self.shape.stop()

    def _piece(self, lines: list[int], rows: list[list[str]]) -> Any:
        """Return some rows as a frame."""
        import pandas as pd

        self.rows += len(rows)
        if self.told is not None:
            self.told(self.file.tell())
        return pd.DataFrame(rows, index=lines, columns=self.names, dtype=object)

    @property
    def dropped(self) -> dict[str, int]:
        """What was dropped, by reason, a last line that is cut off among it."""
        said = _WORDS["left_out"]
        found = {said[name]: self.left_out[name] for name in ("flagged", "missing")}
        if self.cut is not None:
            found[said["cut_off"].format(lines=at_lines([self.cut]))] = 1
        return {reason: number for reason, number in found.items() if number}


def _dates(texts: Any, forms: tuple[str, ...] = ()) -> Any:
    """Return a column of dates as days; what cannot be read, or has no day, is missing."""
    import pandas as pd

    places, different = pd.factorize(texts)
    read = [read_date(text, forms) for text in different]
    days = [
        None if one is None or one[2] is None else f"{one[0]:04d}-{one[1]:02d}-{one[2]:02d}" for one in read
    ]
    return pd.Series(pd.to_datetime(pd.Series(days, dtype=object)).to_numpy()[places], index=texts.index)


def _by_station(
    file: BinaryIO, source: str, *, header: bool, station: str | None, told: Told | None
) -> DailyRecord:
    """Read GHCN-Daily by station: one row for each element of a day."""
    import pandas as pd

    pieces = _Pieces(file, source, told, _GHCN, header)
    kept, watched, faults = [], [], _Faults()
    stations = _Stations(station, source)
    for piece in pieces:
        piece = stations.only(piece)
        seen = piece["element"].str.startswith(WEATHER_TYPES)
        watched.append(_dates(piece["date"][seen]).dropna())
        piece = piece[piece["element"].isin([*ELEMENTS, HAIL])]
        flagged = piece["quality"].str.strip() != ""
        pieces.left_out["flagged"] += int(flagged.sum())
        piece = piece[~flagged]
        date = _dates(piece["date"].where(piece["date"].map(_is_day), ""))
        faults.add(piece["date"], date.isna(), "date", f"must be a date yyyymmdd {YEARS}")
        value = pd.to_numeric(piece["value"], errors="coerce")
        faults.add(piece["value"], value.isna(), "value", "must be a whole number")
        missing = value == -9999
        pieces.left_out["missing"] += int(missing.sum())
        value = value.where(piece["measurement"].str.strip() != "T", 0.0) / 10.0
        sound = date.notna() & value.notna() & ~missing
        for element, name in ELEMENTS.items():
            low, high = BOUNDS[name]
            wrong = sound & (piece["element"] == element) & ~value.between(low, high)
            rule = f"must be from {low:g} to {high:g} after dividing by 10"
            faults.add(piece["value"], wrong, element, rule)
        kept.append(pd.DataFrame({"date": date, "element": piece["element"], "value": value})[sound])
    stations.check()
    faults.stop(source)
    every = pd.concat(kept) if kept else pd.DataFrame({"date": [], "element": [], "value": []})
    twice = every.duplicated(["date", "element"])
    faults.add(every["element"], twice, "date", "must stand once for each element")
    faults.stop(source)
    wide = every.pivot(index="date", columns="element", values="value")
    seen = pd.DatetimeIndex(pd.concat(watched)).unique() if watched else pd.DatetimeIndex([])
    wide = wide.reindex(wide.index.union(seen))  # days of which only the weather was seen were watched too
    days = pd.DataFrame({name: wide.get(element) for element, name in ELEMENTS.items()}, index=wide.index)
    days["hail"] = wide[HAIL].notna() if HAIL in wide else False
    backwards = days.index[days["coldest"].astype(float) > days["warmest"].astype(float)]
    lines = every[every["date"].isin(backwards) & (every["element"] == "TMIN")]
    faults.add(lines["value"], lines["value"].notna(), "TMIN", "must not be above TMAX of its day")
    faults.stop(source)
    days["watched"] = days.index.isin(seen)
    return DailyRecord(stations.found, days.sort_index(), pieces.rows, pieces.dropped)


def _one_row_a_day(
    file: BinaryIO, source: str, known: _Where, *, station: str | None, told: Told | None
) -> DailyRecord:
    """Read a file of one row a day."""
    import pandas as pd

    where = known.columns
    pieces = _Pieces(file, source, told)
    kept, faults = [], _Faults()
    stations = _Stations(station, source, known.station)
    for piece in pieces:
        if "station" in where:
            piece = stations.only(piece.rename(columns={where["station"]: "station"}))
        written = piece[where["date"]].str.strip()
        date = _dates(written, known.forms)
        remedy = "a date that can be read in two ways needs its form in the column map: [dates] forms"
        faults.add(written, date.isna(), where["date"], f"must be a day of the calendar {YEARS}", remedy)
        row = {"date": date}
        for name in MEASURED:
            if name not in where:
                continue
            text, flagged = piece[where[name]].str.strip(), _flagged(piece, where[name])
            blank = text.isin(["", "NA", "9999", "-9999", "99999"])
            value = pd.to_numeric(text.where(~text.isin(["T"]), "0").where(~blank), errors="coerce")
            faults.add(text, value.isna() & ~blank & ~flagged, where[name], "must be a number, or nothing")
            pieces.left_out["flagged"] += int((flagged & ~blank).sum())
            pieces.left_out["missing"] += int(blank.sum())
            value = _metric(value.where(~flagged), name, known.units)
            low, high = BOUNDS[name]
            unit = "mm" if name == "rain" else "C"
            remedy = f"the file is read as {known.units}: are its units others?"
            wrong = value.notna() & ~value.between(low, high)
            faults.add(text, wrong, where[name], f"must be from {low:g} to {high:g} {unit}", remedy)
            row[name] = value
        if {"coldest", "warmest"} <= row.keys():
            backwards = row["coldest"] > row["warmest"]
            rule = f"must not be above {where['warmest']}"
            faults.add(piece[where["coldest"]], backwards, where["coldest"], rule, "are the columns swapped?")
        if "hail" in where:
            row["hail"] = ~piece[where["hail"]].isin(["", "0", "0.0"])
        row["watched"] = (piece[list(known.weather)] != "").any(axis=1)
        kept.append(pd.DataFrame(row))
    stations.check()
    faults.stop(source)
    every = pd.concat(kept) if kept else pd.DataFrame({"date": []})
    faults.add(every["date"].astype(str), every.duplicated("date"), where["date"], "must stand once")
    faults.stop(source)
    days = every.set_index("date").reindex(columns=[*MEASURED, "hail", "watched"]).sort_index()
    for name in ("hail", "watched"):
        days[name] = days[name].eq(True)
    return DailyRecord(stations.found, days, pieces.rows, pieces.dropped)


def _flagged(piece: Any, column: str) -> Any:
    """Return which values carry a quality flag, by the column of attributes beside theirs."""
    beside = f"{column}_ATTRIBUTES"
    if beside not in piece:
        return piece[column].eq(None)
    return piece[beside].str.split(",").str[1].fillna("").str.strip() != ""


def _metric(values: Any, name: str, units: str) -> Any:
    """Return values in C or mm."""
    if units == "metric":
        return values
    return values * 25.4 if name == "rain" else (values - 32.0) / 1.8


class _Stations:
    """The stations of a file: one, or the one that is wanted."""

    def __init__(self, wanted: str | None, source: str, otherwise: str = "") -> None:
        self.wanted, self.source, self.otherwise = wanted, source, otherwise
        self.seen: dict[str, None] = {}

    def only(self, piece: Any) -> Any:
        """Keep the rows of the station that is wanted, or of the first."""
        names = piece["station"].str.strip()
        self.seen.update(dict.fromkeys(names.unique()))
        return piece if self.wanted is None else piece[names == self.wanted]

    def check(self) -> None:
        """Refuse a file of several stations of which none is chosen, or without the one that is."""
        known = list(self.seen)
        if self.wanted is None and len(known) > 1:
            rule, got = "must hold one station, or name one: --station", f"{len(known)} stations"
            raise fault(self.source, rule, got, ", ".join(known[:NAMED]), source=self.source)
        if self.wanted is not None and self.wanted not in known:
            remedy = nearest(self.wanted, known[:20])
            raise fault("--station", "must be in the file", self.wanted, remedy, source=self.source)

    @property
    def found(self) -> str:
        """The station that was read."""
        return self.wanted or next(iter(self.seen), self.otherwise)


class _Faults:
    """Rows that cannot be used: the first of each kind by line, the others counted."""

    def __init__(self) -> None:
        self.by_kind: dict[tuple[str, str, str], tuple[list[tuple[int, str]], int]] = {}

    def add(self, texts: Any, wrong: Any, place: str, rule: str, remedy: str = "") -> None:
        """Note rows; `texts` and `wrong` share an index of line numbers."""
        if not wrong.any():
            return
        rows = texts[wrong]
        named, number = self.by_kind.get((place, rule, remedy), ([], 0))
        named += [(int(line), str(text)) for line, text in rows.head(NAMED - len(named)).items()]
        self.by_kind[place, rule, remedy] = (named, number + len(rows))

    def stop(self, source: str) -> None:
        """Raise all faults, if there are any."""
        faults = list(self._faults())
        stop_at(faults, source)

    def _faults(self) -> Iterable[Fault]:
        """Go through the faults, by kind."""
        for (place, rule, remedy), (named, number) in self.by_kind.items():
            for line, text in named:
                yield Fault(place, rule, text[:40] or "nothing", remedy, line)
            if number > len(named):
                yield Fault(place, rule, f"{number - len(named):,} more such rows", remedy)


LEAST_OBSERVED, LEAST_OF_MONTH = 0.9, 0.5
"""Share of a year's days, and of a month's, below which the year is refused. [-]"""

WET = 0.254
"""Rain from which on a day is wet. [mm]"""

DRIVERS = ("air_temperature", "freeze_thaw_days", "wet_days", "hail_days")
"""Drivers that a weather file can give, by their names in a scenario."""

WITHIN = 0.8
"""Chance that the interval of a mean holds it. [-]"""


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
    lacks : str
        Month of which less than half was observed; "": none.
    watched : bool
        Whether the year was watched for it at all.
    """

    year: int
    observed: int
    days: int
    value: float
    lacks: str = ""
    watched: bool = True

    @property
    def counts(self) -> bool:
        """Whether enough of the year was observed, and of each of its months."""
        return self.watched and self.observed >= LEAST_OBSERVED * self.days and not self.lacks


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
class StationClimate(Framed):
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

    def __repr__(self) -> str:
        """Name the station and its drivers."""
        said = frame_words("weather")
        lines = [said("named", station=self.station or said("a_station"), rows=f"{self.rows:,}")]
        for name, one in self.drivers.items():
            mean, low, high = (f"{point:.4g}" for point in (one.mean, one.low, one.high))
            lines.append(said("driver", driver=name, mean=mean, low=low, high=high))
        return "\n".join(lines)

    @property
    def likely(self) -> dict[str, float]:
        """Mean of every driver that can be had. [C or days]"""
        return {name: one.mean for name, one in self.drivers.items()}

    def to_frame(self) -> Frame:
        """Return the drivers as rows: mean, 80 % interval [C or days], years used, days observed [-]."""
        said = frame_words("weather")
        rows = {
            name: {
                said("mean"): one.mean,
                said("low"): one.low,
                said("high"): one.high,
                said("years"): len(one.used),
                said("observed"): one.coverage,
            }
            for name, one in self.drivers.items()
        }
        return in_rows(rows)


def weather(
    file: str | PathLike[str], *, columns: str | PathLike[str] | None = None, units: str | None = None
) -> StationClimate:
    """Read a daily weather file, and work the drivers of its climate out.

    Parameters
    ----------
    file : str or PathLike
        A CSV file: NOAA's daily export or by-station file, or any other with a column map.
    columns : str, PathLike or None
        A column map, a TOML file.
    units : str or None
        "us" or "metric", those of the export where it does not say.

    Returns
    -------
    StationClimate

    Raises
    ------
    ScenarioError
        With what is wrong with the file or the map.
    """
    known = None if columns is None else read_map(load_table(columns), str(columns))
    with opened(file) as content:
        record = read_daily(content, Path(file).name, units=units, columns=known)
    return station_climate(record, None if known is None else known.places)


def station_climate(record: DailyRecord, places: Places | None = None) -> StationClimate:
    """Work drivers of a climate out of a station's days; refused if none can be had, or if not likely."""
    check_likely(record, places)
    drivers: dict[str, Driver] = {}
    missing: dict[str, str] = {}
    for name, values in _daily(record).items():
        observed = values.dropna()
        hail = name == "hail_days"
        if observed.empty or (hail and not record.days["watched"].any()):
            missing[name] = _WORDS["not_there"][name]
            continue
        years = _by_year(observed, counted=name != "air_temperature")
        if hail:
            watched = set(record.days.index[record.days["watched"]].year)
            years = tuple(replace(year, watched=year.year in watched) for year in years)
        if any(year.counts for year in years):
            drivers[name] = _driver(name, years)
        else:
            missing[name] = no_year_counts(years)
    if not drivers:
        place = record.station or "the station"
        rule = f"must have a year with at least {LEAST_OBSERVED:.0%} of its days"
        said = "; ".join(dict.fromkeys(missing.values()))
        raise fault(place, rule, said, "take a longer record")
    return StationClimate(record.station, drivers, missing, record.rows, record.dropped)


def no_year_counts(years: tuple[Year, ...]) -> str:
    """Say that no year counts, and what the fullest has.

    Examples
    --------
    >>> no_year_counts((Year(2020, 91, 366, 5.0),))
    'no year has 90% of its days (the fullest, 2020, has 91 of 366)'
    """
    best = max(years, key=lambda year: year.observed / year.days)
    whole = best.lacks and best.observed >= LEAST_OBSERVED * best.days
    return str(_WORDS["no_whole_year" if whole else "no_year"]).format(
        share=f"{LEAST_OBSERVED:.0%}", year=best.year, month=best.lacks, seen=best.observed, days=best.days
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
        by_month = some.groupby(some.index.month).size()
        lacks = [
            calendar.month_name[month]
            for month in range(1, 13)
            if by_month.get(month, 0) < LEAST_OF_MONTH * calendar.monthrange(int(year), month)[1]
        ]
        value = mean * days if counted else mean
        found.append(Year(int(year), len(some), days, value, lacks[0] if lacks else ""))
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


def check_likely(record: DailyRecord, places: Places | None = None) -> None:
    """Refuse weather that no place has where coaches stand, most often other units or swapped columns."""
    days, faults = record.days, []
    for name, value in _measures(days).items():
        rule = data("records.toml")["likely_weather"][name]
        if not rule["low"] <= value <= rule["high"]:
            said = f"must be from {rule['low']:g} to {rule['high']:g} {rule['unit']}"
            remedy = f"{rule['else']} (the limits are {rule['basis']})"
            faults.append(Fault(rule["label"], said, f"{value:.1f} {rule['unit']}", remedy))
    faults += _far_from(days, places or ())
    stop_at(faults, record.station or "the weather")


def _measures(days: Any) -> dict[str, float]:
    """Return what is held against the limits of likely weather, as far as a whole year is there."""
    both = days["warmest"].notna() & days["coldest"].notna()
    found = {}
    if both.sum() >= WHOLE_YEAR:
        some = days[both]
        middle = 0.5 * (some["warmest"] + some["coldest"])
        by_month = middle.groupby(middle.index.month).mean()
        found["mean"] = float(by_month.mean())
        found["warmest_month"] = float(by_month.max())
        found["range_of_a_day"] = float((some["warmest"] - some["coldest"]).mean())
    rain = days["rain"].dropna()
    if len(rain) >= WHOLE_YEAR:
        found["rain_of_a_year"] = 365.0 * float(rain.mean())
    return found


def _far_from(days: Any, places: Places) -> list[Fault]:
    """Return a fault if the year is far from that of the places of the table."""
    middle = (0.5 * (days["warmest"] + days["coldest"])).dropna()
    if not places or len(middle) < WHOLE_YEAR:
        return []
    field = fields()["climate"]["air_temperature"]
    there = 0.0
    for name, share in places:
        stated = shared()["places"][name]["air_temperature"]
        there += share * convert(stated.get("likely", stated.get("value")), field.unit_us, field.unit)
    here = float(middle.groupby(middle.index.month).mean().mean())
    apart = float(data("records.toml")["likely_weather"]["from_place"]["high"])
    if abs(here - there) <= apart:
        return []
    named = ", ".join(name for name, _ in places)
    rule = f"must have a yearly mean within {apart:g} C of the table's for {named}, {there:.1f} C"
    return [Fault("the weather", rule, f"{here:.1f} C", "are the units others, or is it another place?")]


WHOLE_YEAR = 330
"""Days from which on a record is long enough to be held against a year. [days]"""
