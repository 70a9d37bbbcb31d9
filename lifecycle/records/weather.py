"""Daily weather files: the days of a station, and the drivers of a climate from them.

Lecture
-------
Three forms are known.

- *By station*: GHCN-Daily by-station CSV (NOAA). One row for each element of a day: station, date
  yyyymmdd, element, value, and flags of measurement, quality and source. Rain (PRCP) in tenths of a
  millimetre, temperatures (TMAX, TMIN, TAVG) in tenths of a degree Celsius, hail as WT05. With or without
  a header.
- *By day*: NOAA's daily export. A header, one row a day: STATION, DATE (ISO), PRCP, TMAX, TMIN ...; flags
  in columns ``..._ATTRIBUTES`` (measurement, quality, source). Its units are the choice of whoever ordered
  the file, and stand nowhere in it: they are asked for, never guessed.
- *Mapped*: any other CSV with a header and one row a day; a column map names its columns, the form of its
  dates, and its units.

A row with a quality flag is dropped and counted. A trace of rain is no rain. What is missing stays
missing. The file is read in pieces, so that memory holds the days of one station and not the file.

*From the days of a weather station to the drivers of a climate.*

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

Source
------
NOAA, readme of GHCN-Daily (public domain); from the trade's own summary of it.
days as NOAA counts them (0.01 in of rain; freeze-thaw by the day's extremes); interval: textbook.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import IO, Any

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.records.columns import named_twice

ELEMENTS: Mapping[str, str] = {"TMAX": "warmest", "TMIN": "coldest", "PRCP": "rain", "TAVG": "mean"}
"""Elements that are read, and what they are called here."""


HAIL = "WT05"
"""Element of a day with hail."""


WEATHER_TYPES = "WT"
"""Start of the elements that say what weather was seen."""


FIRST_YEAR, LAST_YEAR = 1700, 2200
"""Years that weather may be of. [years]"""

DATE_FORMS: Mapping[str, str] = {
    "y-m-d": "%Y-%m-%d",
    "y/m/d": "%Y/%m/%d",
    "ymd": "%Y%m%d",
    "m/d/y": "%m/%d/%Y",
    "d/m/y": "%d/%m/%Y",
    "d.m.y": "%d.%m.%Y",
}
"""Forms of a date that a column map may name."""


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


_GHCN = ("station", "date", "element", "value", "measurement", "quality", "source", "time")


@dataclass(frozen=True)
class DayColumns:
    """Where things stand in a file of one row a day.

    Parameters
    ----------
    columns : dict of str to str
        Names here (`MEASURED`, "date", "station", "hail") -> columns of the file.
    date_form : str
        One of `DATE_FORMS`.
    units : str
        "us" (F, in) or "metric" (C, mm).
    station : str
        Name of the station, where no column names it.
    """

    columns: Mapping[str, str]
    date_form: str
    units: str
    station: str = ""


@dataclass
class DailyRecord:
    """The days of one station.

    Parameters
    ----------
    station : str
        Its name or number.
    days : DataFrame
        One row a day, index "date" (days, sorted, each once), columns `MEASURED` (NaN where missing)
        and "hail" (bool).
    rows : int
        Rows of the file.
    dropped : dict of str to int
        Reason -> values that were dropped.
    sees_hail : bool
        Whether the file says what weather was seen, so that no hail means none.
    """

    station: str
    days: Any
    rows: int
    dropped: dict[str, int] = field(default_factory=dict)
    sees_hail: bool = False


Told = Callable[[int], None]
"""Called with the bytes read so far."""


def read_daily(
    file: IO[bytes],
    source: str,
    *,
    units: str | None = None,
    columns: DayColumns | None = None,
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
    columns : DayColumns or None
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
    head = file.readline().decode("utf-8-sig", "replace").strip()
    file.seek(0)
    if not head:
        raise ScenarioError([Fault(source, "must have weather in it", "an empty file")], source)
    cells = [cell.strip().strip('"') for cell in head.split(",")]
    if columns is not None:
        by_day = _mapped(cells, columns, source)
    elif "DATE" in cells and {"PRCP", "TMAX", "TMIN", "TAVG"} & set(cells):
        by_day = _export(cells, units, source)
    elif len(cells) in (7, 8) and (cells[0] == "ID" or _is_day(cells[1])):
        return _by_station(file, source, header=cells[0] == "ID", station=station, told=told)
    else:
        raise _unknown_form(cells, source)
    return _one_row_a_day(file, source, by_day, station=station, told=told)


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
    return ScenarioError([Fault("line 1", "must be of a known form", got[:100], remedy)], source)


def _export(cells: list[str], units: str | None, source: str) -> DayColumns:
    """Return the map of NOAA's daily export; its units must be said."""
    if units is None:
        rule = "must say the units of this form (us: F and in; metric: C and mm): they stand nowhere in it"
        raise ScenarioError([Fault("--units", rule, "nothing", "look at the order form")], source)
    found = {name: element for element, name in ELEMENTS.items() if element in cells}
    found |= {"date": "DATE"}
    found |= {"station": "STATION"} if "STATION" in cells else {}
    found |= {"hail": HAIL} if HAIL in cells else {}
    return DayColumns(found, "y-m-d", units)


def _mapped(cells: list[str], columns: DayColumns, source: str) -> DayColumns:
    """Check that the columns of a map are there."""
    faults = [
        Fault(
            f"column {column}", f"is named by the column map as {name}", "not there", nearest(column, cells)
        )
        for name, column in columns.columns.items()
        if column not in cells
    ]
    if faults:
        raise ScenarioError(faults, source)
    return columns


class _Pieces:
    """A CSV file in pieces of text, counting its rows.

    Parameters
    ----------
    file : binary file
        Open at its start.
    source : str
        For messages.
    told : callable or None
        Called with the bytes read so far.
    options : mapping
        Of `pandas.read_csv`.
    """

    def __init__(self, file: IO[bytes], source: str, told: Told | None, **options: Any) -> None:
        self.file, self.source, self.told, self.options = file, source, told, options
        self.rows = 0

    def __iter__(self) -> Iterator[Any]:
        """Go through the pieces; their index is the line in the file."""
        import pandas as pd

        first = 1 if self.options.get("header", 0) is None else 2
        try:
            reader = pd.read_csv(
                self.file,
                dtype=str,
                keep_default_na=False,
                na_filter=False,
                chunksize=PIECE,
                encoding="utf-8-sig",
                skip_blank_lines=False,
                **self.options,
            )
            for piece in reader:
                piece.index = piece.index + first
                self.rows += len(piece)
                if self.told is not None:
                    self.told(self.file.tell())
                yield piece
        except (pd.errors.ParserError, UnicodeDecodeError, pd.errors.EmptyDataError) as error:
            reason = " ".join(str(error).split())
            raise ScenarioError(
                [Fault(self.source, f"must be CSV in UTF-8: {reason}")], self.source
            ) from None


def _by_station(
    file: IO[bytes], source: str, *, header: bool, station: str | None, told: Told | None
) -> DailyRecord:
    """Read GHCN-Daily by station: one row for each element of a day."""
    import pandas as pd

    names = {"names": list(_GHCN), "header": 0 if header else None, "index_col": False}
    pieces = _Pieces(file, source, told, **names)
    kept, faults, sees_hail = [], _Faults(), False
    dropped = {"with a quality flag": 0, "missing": 0}
    stations = _Stations(station, source)
    for piece in pieces:
        piece = stations.only(piece)
        sees_hail = sees_hail or bool(piece["element"].str.startswith(WEATHER_TYPES).any())
        piece = piece[piece["element"].isin([*ELEMENTS, HAIL])]
        flagged = piece["quality"].str.strip() != ""
        dropped["with a quality flag"] += int(flagged.sum())
        piece = piece[~flagged]
        date = _days(piece["date"], "%Y%m%d")
        faults.add(piece["date"], date.isna(), "date", f"must be a date yyyymmdd {_YEARS}")
        value = pd.to_numeric(piece["value"], errors="coerce")
        faults.add(piece["value"], value.isna(), "value", "must be a whole number")
        missing = value == -9999
        dropped["missing"] += int(missing.sum())
        value = value.where(piece["measurement"].str.strip() != "T", 0.0) / 10.0
        sound = date.notna() & value.notna() & ~missing
        for element, name in ELEMENTS.items():
            low, high = BOUNDS[name]
            wrong = sound & (piece["element"] == element) & ~value.between(low, high)
            faults.add(
                piece["value"], wrong, element, f"must be from {low:g} to {high:g} after dividing by 10"
            )
        tidy = pd.DataFrame({"date": date, "element": piece["element"], "value": value})[sound]
        kept.append(tidy)
    stations.check()
    faults.stop(source)
    every = pd.concat(kept) if kept else pd.DataFrame({"date": [], "element": [], "value": []})
    twice = every.duplicated(["date", "element"])
    faults.add(every["element"], twice, "date", "must stand once for each element")
    faults.stop(source)
    wide = every.pivot(index="date", columns="element", values="value")
    days = pd.DataFrame({name: wide.get(element) for element, name in ELEMENTS.items()}, index=wide.index)
    days["hail"] = wide[HAIL].notna() if HAIL in wide else False
    backwards = days.index[days["coldest"].astype(float) > days["warmest"].astype(float)]
    lines = every[every["date"].isin(backwards) & (every["element"] == "TMIN")]
    faults.add(lines["value"], lines["value"].notna(), "TMIN", "must not be above TMAX of its day")
    faults.stop(source)
    return DailyRecord(stations.found, days.sort_index(), pieces.rows, _counted(dropped), sees_hail)


def _one_row_a_day(
    file: IO[bytes], source: str, columns: DayColumns, *, station: str | None, told: Told | None
) -> DailyRecord:
    """Read a file of one row a day."""
    import pandas as pd

    where = columns.columns
    pieces = _Pieces(file, source, told, index_col=False)
    kept, faults = [], _Faults()
    dropped = {"with a quality flag": 0, "missing": 0}
    stations = _Stations(station, source, columns.station)
    form = columns.date_form
    for piece in pieces:
        if "station" in where:
            piece = stations.only(piece.rename(columns={where["station"]: "station"}))
        written = piece[where["date"]].str.strip()
        date = _days(written, DATE_FORMS[form])
        faults.add(written, date.isna(), where["date"], f"must be a date {form} {_YEARS}")
        row = {"date": date}
        for name in MEASURED:
            if name not in where:
                continue
            text, flagged = piece[where[name]].str.strip(), _flagged(piece, where[name])
            blank = text.isin(["", "NA", "9999", "-9999", "99999"])
            value = pd.to_numeric(text.where(~text.isin(["T"]), "0").where(~blank), errors="coerce")
            faults.add(text, value.isna() & ~blank & ~flagged, where[name], "must be a number, or nothing")
            dropped["with a quality flag"] += int((flagged & ~blank).sum())
            dropped["missing"] += int(blank.sum())
            value = _metric(value.where(~flagged), name, columns.units)
            low, high = BOUNDS[name]
            unit = "mm" if name == "rain" else "C"
            remedy = f"the file is read as {columns.units}: are its units others?"
            wrong = value.notna() & ~value.between(low, high)
            faults.add(text, wrong, where[name], f"must be from {low:g} to {high:g} {unit}", remedy)
            row[name] = value
        if {"coldest", "warmest"} <= row.keys():
            backwards = row["coldest"] > row["warmest"]
            rule = f"must not be above {where['warmest']}"
            faults.add(piece[where["coldest"]], backwards, where["coldest"], rule, "are the columns swapped?")
        if "hail" in where:
            row["hail"] = ~piece[where["hail"]].str.strip().isin(["", "0", "0.0"])
        kept.append(pd.DataFrame(row))
    stations.check()
    faults.stop(source)
    every = pd.concat(kept) if kept else pd.DataFrame({"date": []})
    faults.add(every["date"].astype(str), every.duplicated("date"), where["date"], "must stand once")
    faults.stop(source)
    days = every.set_index("date").reindex(columns=[*MEASURED, "hail"]).sort_index()
    days["hail"] = days["hail"].eq(True)
    return DailyRecord(stations.found, days, pieces.rows, _counted(dropped), "hail" in where)


_YEARS = f"of the years {FIRST_YEAR} to {LAST_YEAR}"


def _days(texts: Any, form: str) -> Any:
    """Return dates, and none where there is no such day, or not in the years that weather may be of."""
    import pandas as pd

    dates = pd.to_datetime(texts, format=form, errors="coerce")
    return dates.where(dates.dt.year.between(FIRST_YEAR, LAST_YEAR))


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


def _counted(dropped: Mapping[str, int]) -> dict[str, int]:
    """Return the reasons that occurred."""
    return {reason: number for reason, number in dropped.items() if number}


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
            raise ScenarioError([Fault(self.source, rule, got, ", ".join(known[:NAMED]))], self.source)
        if self.wanted is not None and self.wanted not in known:
            remedy = nearest(self.wanted, known[:20])
            raise ScenarioError([Fault("--station", "must be in the file", self.wanted, remedy)], self.source)

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
        if faults:
            raise ScenarioError(faults, source)

    def _faults(self) -> Iterable[Fault]:
        """Go through the faults, by kind."""
        for (place, rule, remedy), (named, number) in self.by_kind.items():
            for line, text in named:
                yield Fault(place, rule, text[:40] or "nothing", remedy, line)
            if number > len(named):
                yield Fault(place, rule, f"{number - len(named):,} more such rows", remedy)


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
    faults += named_twice(columns)
    form = own.get("date_form", "nothing")
    if not isinstance(form, str) or form not in DATE_FORMS:
        remedy = "look at a date whose day is above 12"
        faults.append(Fault("date_form", f"must be one of {', '.join(DATE_FORMS)}", str(form), remedy))
    if not isinstance(own.get("station", ""), str):
        faults.append(Fault("station", "must be a text", str(own["station"]), "write it in quotation marks"))
    if faults:
        raise ScenarioError(faults, source)
    return DayColumns(dict(columns), form, own["units"], own.get("station", ""))
