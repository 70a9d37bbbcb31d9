"""Bad input for every reader: what happens to files that are nearly right. Prints; a slice of it is a test.

    python tests/benchmarks/fuzz.py --inputs 20000
    python tests/benchmarks/fuzz.py --repeat scenario:123

One generator serves all readers: a good file is taken, and one to four things in it are changed, in its
tree (TOML, JSON), in its table (CSV) or in its bytes. Each input is made from its reader and its number
alone, so it can be made again. A reader may *refuse* an input, which is one `ScenarioError` that can be
printed, or *accept* it, and then it is worked with. Everything else is *uncaught*, and the run ends with
status 1.
"""

from __future__ import annotations

import argparse
import copy
import csv
import io
import json
import sys
import tempfile
import time
import tomllib
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from datetime import time as clock
from functools import cache, partial
from pathlib import Path
from random import Random
from typing import Any

import tomlkit

from lifecycle import compare, files
from lifecycle.cli.asking import read_answers
from lifecycle.errors import ScenarioError
from lifecycle.interview import scenario_text
from lifecycle.records.columns import ColumnMap, read_map
from lifecycle.records.editions import Digests, Told, fixed_text, read_edition, read_fixed, read_seen
from lifecycle.records.fleets import read_coaches, told
from lifecycle.records.handover import check_film, read_readings
from lifecycle.records.hidden import read_job_sheets
from lifecycle.records.lives import read_intervals
from lifecycle.records.logbook import checked_log, kinds_of, read_csv, read_table
from lifecycle.records.looks import read_looks
from lifecycle.records.tables import read_sheet
from lifecycle.records.weather import read_daily, station_climate
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.grid import faults_of, grid
from lifecycle.studies.region_scenarios import load_protocol, load_regions

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RECORDS = SCENARIOS / "records"
TODAY = date(2031, 4, 1)
CHANGES = (1, 1, 1, 2, 4)
"""How many things of a file are changed."""

COMPARED = 10
"""Of so many scenarios that are accepted, one is compared; the others are resolved."""

LONGEST_MESSAGE = 100_000
"""Letters of a refusal at most: some dozen faults of a few lines each."""


@dataclass(frozen=True)
class Format:
    """A kind of file: how its content becomes something to change, and back."""

    parsed: Callable[[str], Any]
    written: Callable[[Any], str]


@dataclass(frozen=True)
class Reader:
    """A reader: good files, their format, and what reads one and works with it."""

    ending: str
    good: tuple[str, ...]
    read: Callable[[Path, int], object]


@dataclass
class Count:
    """What came of the inputs of one reader."""

    tried: int = 0
    refused: int = 0
    accepted: int = 0
    uncaught: list[tuple[int, str]] = field(default_factory=list)
    slowest: float = 0.0


# --- what is changed -----------------------------------------------------------------------------

NASTY: tuple[Any, ...] = (
    *(True, False, 0, 1, -1, 5, 1.5, -0.0, 1e-320, 1e308, -1e308, 10**30, -(10**30), 10**400),
    *(float("inf"), float("-inf"), float("nan"), "", " ", "x", "x" * 3000, "\u202eabc", "\x00", "a\nb"),
    *("now", "endless", "membrane", "not sure", "nan", "1,5", "12/13/2020", "0000-01-01", "../../x", "-5"),
    *([], {}, [[]], [{}], {"low": 1}, {"low": 3, "likely": 2, "high": 1}, {"value": 1}, ["x", 3]),
    *(date(1, 1, 1), date(9999, 12, 31), datetime(2020, 1, 1, 8, 0), clock(8, 0), None),
)

BYTES = (
    *(b"", b"\x00", b"\xff", b"\xef\xbb\xbf", b'"', b"'", b"[", b"]", b"{", b"=", b",", b";", b"\t", b"\r"),
    *(
        b"\n",
        b"\n\n",
        b"#",
        b"-",
        b"9" * 400,
        b"1e999",
        b"nan",
        "\u202e".encode(),
        "\ud7fc".encode(),
        b"x" * 9000,
    ),
)


def trails(value: Any, trail: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Go through the places of a tree, but for its root."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in inside:
        yield (*trail, key)
        yield from trails(inner, (*trail, key))


def change_tree(tree: Any, chance: Random) -> None:
    """Change one place of a tree."""
    places = list(trails(tree))
    if not places:
        return
    *way, last = chance.choice(places)
    around = tree
    for key in way:
        around = around[key]
    match chance.choice([0, 1, 2, 3, 3, 3, 4, 5, 6]):
        case 0:
            del around[last]
        case 1 | 2:
            around[last] = copy.deepcopy(chance.choice(NASTY))
        case 3 if isinstance(around[last], int | float) and not isinstance(around[last], bool):
            with suppress(OverflowError):  # a number too long for a fraction
                around[last] *= chance.choice([-1, 0, 0.1, 0.5, 0.9, 1.1, 2, 10, 1e9])
        case 4:
            *other, name = chance.choice(places)
            found = tree
            for key in other:
                found = found[key]
            around[last] = copy.deepcopy(found[name])
        case 5 if isinstance(around, list):
            around.append(copy.deepcopy(around[last]))
        case _ if isinstance(around, dict):
            name = chance.choice(
                [str(last) + "s", str(last)[:-1] or "x", "x" * 300, "a.b", "\u00e9", "", "low"]
            )
            around[name] = around.pop(last)


def change_table(rows: list[list[str]], chance: Random) -> None:
    """Change one cell, row or column of a table."""
    row = chance.choice(rows)
    match chance.randrange(9):
        case 0 | 1 | 2 if row:
            row[chance.randrange(len(row))] = str(chance.choice(NASTY))
        case 3 if row:
            del row[chance.randrange(len(row))]
        case 4:
            row.insert(chance.randrange(len(row) + 1), chance.choice(["", "3", "x"]))
        case 5:
            rows.insert(chance.randrange(len(rows)), list(row))
        case 6:
            rows.remove(row)
            rows += [] if rows else [[]]
        case 7 if rows[0]:
            column = chance.randrange(len(rows[0]))
            rows[0][column] = chance.choice([*rows[0], rows[0][column].upper(), "", "x"])
        case _:
            chance.shuffle(rows)


def change_bytes(content: bytes, chance: Random) -> bytes:
    """Change some bytes of a file."""
    start = chance.randrange(len(content) + 1)
    end = min(len(content), start + chance.choice([0, 1, 1, 2, 5, 40, len(content)]))
    match chance.randrange(4):
        case 0:
            return content[:start] + content[end:]
        case 1:
            return content[:end] + content[start:end] * chance.choice([1, 2, 30]) + content[end:]
        case 2:
            return content[:start] + bytes([chance.randrange(256)]) + content[start + 1 :]
        case _:
            return content[:start] + chance.choice(BYTES) + content[end:]


def _rows(text: str) -> list[list[str]]:
    """Return a CSV text as rows of cells."""
    return list(csv.reader(io.StringIO(text)))


def _as_csv(rows: Sequence[Sequence[str]]) -> str:
    """Return rows of cells as a CSV text."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows(rows)
    return stream.getvalue()


def _as_toml(tree: Any) -> str:
    """Return a tree as TOML; what it cannot say is left out."""
    return tomlkit.dumps(_sayable(tree))


def _sayable(value: Any) -> Any:
    """Return a value without what TOML does not know."""
    if isinstance(value, dict):
        return {str(key): _sayable(inner) for key, inner in value.items() if inner is not None}
    return [_sayable(inner) for inner in value if inner is not None] if isinstance(value, list) else value


FORMATS = {
    ".toml": Format(tomllib.loads, _as_toml),
    ".json": Format(json.loads, partial(json.dumps, default=str)),
    ".csv": Format(_rows, _as_csv),
}


def made(reader: str, number: int) -> bytes:
    """Return the input of a reader with a number: always the same."""
    chance, kind = Random(f"{reader}:{number}"), READERS[reader]
    text = chance.choice(kind.good)
    if number % 3:
        tree, format = FORMATS[kind.ending].parsed(text), FORMATS[kind.ending]
        for _ in range(chance.choice(CHANGES)):
            change_table(tree, chance) if kind.ending == ".csv" else change_tree(tree, chance)
        return format.written(tree).encode("utf-8", "surrogatepass")
    content = text.encode()
    for _ in range(chance.choice(CHANGES)):
        content = change_bytes(content, chance)
    return content


# --- who reads -----------------------------------------------------------------------------------


def _scenario(path: Path, number: int) -> object:
    scenario = files.load(path)
    return compare(scenario) if number % COMPARED == 0 else resolve(scenario)


def _answers(path: Path, number: int) -> object:
    return files.loads(scenario_text(read_answers(path), base_date=TODAY))


def _prices(path: Path, number: int) -> object:
    return files.loads_prices(path.read_bytes(), path.name)


@cache
def _quoted() -> Any:
    return files.load(SCENARIOS / "two-quotes.toml")


def _found(path: Path, number: int) -> object:
    return files.load_found(path, _quoted())


@cache
def _coast() -> Any:
    return files.load(SCENARIOS / "humid-coast-motorhome.toml")


def _log(path: Path, number: int) -> object:
    text, kinds = files.load_text(path), kinds_of(_coast())
    written = (
        read_csv(text, path.name, kinds)
        if path.suffix == ".csv"
        else read_table(files.load_table(path), text, path.name, kinds)
    )
    known = {"way": written.way, "source": path.name, "faults": written.faults}
    return checked_log(written.entries, _coast(), TODAY, **known)


@cache
def _map(name: str) -> ColumnMap:
    plans = tuple(files.shared()["plans"])
    return read_map(files.load_table(RECORDS / name), name, plans)


def _looks(path: Path, number: int) -> object:
    return read_looks(read_sheet(files.load_text(path), path.name), _map("looks-columns.toml"))


def _job_sheets(path: Path, number: int) -> object:
    return read_job_sheets(read_sheet(files.load_text(path), path.name), _map("job-sheets-columns.toml"))


def _intervals(path: Path, number: int) -> object:
    known = read_map({"units": {"age": "months"}, "columns": {"count": "count", "entry": "entry"}})
    return read_intervals(read_sheet(files.load_text(path), path.name), known)


def _columns(path: Path, number: int) -> object:
    known = read_map(files.load_table(path), path.name, tuple(files.shared()["plans"]))
    return read_looks(read_sheet(_head("looks.csv", 40), "looks.csv"), known)


def _weather(path: Path, number: int) -> object:
    columns = read_map(files.load_table(RECORDS / "daily-weather-columns.toml"), "columns")
    with files.opened(path) as file:
        return station_climate(read_daily(file, path.name, columns=columns))


def _stations(path: Path, number: int) -> object:
    with files.opened(path) as file:
        return station_climate(read_daily(file, path.name, units="us"))


def _weather_map(path: Path, number: int) -> object:
    columns = read_map(files.load_table(path), path.name)
    return read_daily(io.BytesIO(_head("daily-weather.csv", 40).encode()), "weather.csv", columns=columns)


def _regions(path: Path, number: int) -> object:
    return load_regions(load_protocol(str(path)))


def _fixed(path: Path, number: int) -> object:
    return read_fixed(files.load_table(path), path.name)


def _edition(path: Path, number: int) -> object:
    return read_edition(files.load_text(path), path.name)


def _seen(path: Path, number: int) -> object:
    costs = {"kept": (8000.0, 10000.0, 13000.0), "sprayed": (9000.0, 11000.0, 12000.0)}
    told = {("coast", "nothing", 5): Told(12, "", "", costs)}
    return read_seen(read_sheet(files.load_text(path), path.name), told)


def _film(path: Path, number: int) -> object:
    return check_film(read_readings(files.load_text(path), path.name), 187.5)


def _coaches(path: Path, number: int) -> object:
    base = _fleet_base()
    with files.opened(path) as file:
        found = read_coaches(file, path.name, base)
    whole = grid(base, rows=found.rows, labels=found.labels)
    if faults := told(found, [one for one in faults_of(whole) if one[1]]):
        raise ScenarioError(faults)
    return found


@cache
def _fleet_base() -> Scenario:
    return files.load(SCENARIOS / "fleets" / "rental-motorhomes.toml")


def _head(name: str, lines: int) -> str:
    """Return the first lines of a shipped table."""
    return "\n".join((RECORDS / name).read_text(encoding="utf-8").splitlines()[:lines]) + "\n"


def _shipped(*names: str) -> tuple[str, ...]:
    return tuple((SCENARIOS / name).read_text(encoding="utf-8") for name in names)


ANSWERS = """units = "us"
[answers]
otherwise = "shop_every_year"
reseal_price = { low = 600, likely = 900, high = 1500 }
keep = { low = 4, likely = 8, high = 15 }
quote = 8130
quoted_length = 31
quoted_by = "overall"
roof_age = 14
seal_age = 14
climbs = true
climbs_in_ten_years = "not sure"
length = 31
place = "Miami"
second_place = "Chicago"
second_share = 0.4
sheltered_share = 0.2
trouble = []
"""
FOUND = 'quote = "by_the_foot"\nbill = 9100\n[[items]]\nwhat = "new wood"\namount = 14\n'
LOG = "date,kind,cost,hours,note\n2028-04-01,reseal,950,,\n2029-06-01,leak,350,2,cap\n"
INTERVALS = "lower,upper,entry,count\n100,120,0,2\n,60,,1\n90,,12,3\n140,150,24,1\n"
STATIONS = "".join(
    f"S1,2021{month:02}{day:02},{element},{value},,,X,0700\n"
    for month in range(1, 13)
    for day in range(1, 29)
    for element, value in (("TMAX", 150 - 10 * month), ("TMIN", -20), ("PRCP", day % 3))
)
EXPORT = "STATION,DATE,PRCP,TMAX,TMIN\n" + "".join(
    f"S1,2021-{month:02}-{day:02},0.1,{70 - month},30\n" for month in range(1, 13) for day in range(1, 29)
)
EDITION = json.dumps(
    {
        "title": "before",
        "protocol": {"sha256": "a", "fixed_on": "2027-01-01"},
        "made_by": {"version": "0", "shared_sha256": "b"},
        "currency": "USD",
        "draws": 64,
        "seed": 1,
        "rows": [
            {
                "region": "coast",
                "habit": "nothing",
                "years": {
                    "5": {"of_20": 3, "word": "dearer", "firmness": "firm"},
                    "10": {"of_20": None, "reason": "withheld"},
                },
            }
        ],
        "regions": [{"name": "coast", "scenario": "schema = 1"}, {"name": "yard"}],
    }
)
SEEN = "region,habit,year,way,coaches,cost,spread\ncoast,nothing,5,kept,40,9400,5200\n"
DIGESTS = Digests(*["0" * 64] * 3, version="1", files={"b.toml": ""})
FILM = "spot,reading\n1,190\n1,185\n1,188\n2,187\n2,180\n2,201\n3,190\n3,190\n3,150\n"

READERS: Mapping[str, Reader] = {
    "scenario": Reader(
        ".toml",
        _shipped(
            *(
                "worked-example-1.toml",
                "hidden-wet-spot.toml",
                "humid-coast-motorhome.toml",
                "own-hands.toml",
            ),
            *("cold-stored-trailer.toml", "two-quotes.toml"),
        ),
        _scenario,
    ),
    "answers": Reader(".toml", (ANSWERS,), _answers),
    "price list": Reader(".toml", _shipped("prices/by-the-foot.toml"), _prices),
    "found": Reader(".toml", (FOUND,), _found),
    "log": Reader(".csv", (LOG, *_shipped("logbooks/cold-trailer-kept.csv")), _log),
    "log as TOML": Reader(".toml", _shipped("logbooks/humid-coast-sprayed.toml"), _log),
    "column map": Reader(".toml", _shipped("records/looks-columns.toml"), _columns),
    "looks": Reader(".csv", (_head("looks.csv", 60),), _looks),
    "job sheets": Reader(".csv", (_head("job-sheets.csv", 60),), _job_sheets),
    "intervals": Reader(".csv", (INTERVALS,), _intervals),
    "weather": Reader(".csv", (_head("daily-weather.csv", 800),), _weather),
    "weather by station": Reader(".csv", (STATIONS, EXPORT), _stations),
    "weather map": Reader(".toml", _shipped("records/daily-weather-columns.toml"), _weather_map),
    "regions": Reader(".toml", _shipped("regions/three-regions.toml"), _regions),
    "fixed edition": Reader(".toml", (fixed_text("a.toml", DIGESTS, TODAY),), _fixed),
    "other edition": Reader(".json", (EDITION,), _edition),
    "seen": Reader(".csv", (SEEN,), _seen),
    "film": Reader(".csv", (FILM,), _film),
    "coaches": Reader(".csv", (_head("../fleets/forty-coaches.csv", 6),), _coaches),
}
BESIDE = {"regions": SCENARIOS / "regions", "scenario": SCENARIOS}
"""Folders whose files an input may name."""


# --- what comes of it ----------------------------------------------------------------------------


def tried(reader: str, numbers: Sequence[int], folder: Path) -> Count:
    """Give inputs to a reader and count what comes of them.

    Parameters
    ----------
    reader : str
        Of `READERS`.
    numbers : sequence of int
        Of the inputs.
    folder : Path
        Where they are written; it holds what they may name.

    Returns
    -------
    Count
    """
    kind, count = READERS[reader], Count()
    place = folder / reader.replace(" ", "-") / f"input{kind.ending}"
    for number in numbers:
        place.write_bytes(made(reader, number))
        start = time.perf_counter()
        count.tried += 1
        try:
            kind.read(place, number)
            count.accepted += 1
        except ScenarioError as error:
            said = str(error)
            if not error.faults or len(said) > LONGEST_MESSAGE or not said.replace("\n", "").isprintable():
                count.uncaught.append((number, f"a refusal that cannot be shown: {said[:300]!r}"))
            else:
                count.refused += 1
        except Exception:
            count.uncaught.append((number, traceback.format_exc()))
        count.slowest = max(count.slowest, time.perf_counter() - start)
    return count


def prepared(folder: Path) -> Path:
    """Put what inputs may name into a folder."""
    for reader in READERS:
        own = folder / reader.replace(" ", "-")
        own.mkdir()
        for path in sorted(BESIDE[reader].rglob("*")) if reader in BESIDE else ():
            target = own / path.relative_to(BESIDE[reader])
            if path.is_dir():
                target.mkdir(parents=True, exist_ok=True)
            else:
                target.write_bytes(path.read_bytes())
    for path in SCENARIOS.glob("*.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


def main() -> int:
    """Try inputs and print a table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--inputs", type=int, default=2000, help="inputs, for all these readers together")
    parser.add_argument("--reader", action="append", choices=READERS, help="only this one; several times")
    parser.add_argument("--repeat", metavar="READER:NUMBER", help="one input, shown")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = prepared(Path(name))
        if given.repeat:
            reader, _, number = given.repeat.rpartition(":")
            sys.stdout.write(made(reader, int(number)).decode("utf-8", "replace")[:20_000] + "\n")
            counts = {reader: tried(reader, [int(number)], folder)}
        else:
            readers = given.reader or list(READERS)
            each = -(-given.inputs // len(readers))
            counts = {}
            print(f"{'reader':20}{'tried':>8}{'refused':>9}{'accepted':>10}{'uncaught':>10}{'slowest':>10}")
            for reader in readers:
                counts[reader] = one = tried(reader, range(each), folder)
                cells = f"{one.tried:8,}{one.refused:9,}{one.accepted:10,}{len(one.uncaught):10,}"
                print(f"{reader:20}{cells}{one.slowest:9.2f}s", flush=True)
    total = [sum(getattr(one, what) for one in counts.values()) for what in ("tried", "refused", "accepted")]
    uncaught = [(reader, *fault) for reader, one in counts.items() for fault in one.uncaught]
    print(f"{'together':20}{total[0]:8,}{total[1]:9,}{total[2]:10,}{len(uncaught):10,}")
    for reader, number, said in uncaught[:20]:
        print(f"\n--- {reader}:{number}\n{said}")
    return 1 if uncaught else 0


if __name__ == "__main__":
    sys.exit(main())
