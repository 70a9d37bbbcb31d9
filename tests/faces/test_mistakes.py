"""What a user may do wrong at the command line: one message with exit status 2, and nothing half written."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from lifecycle.cli.main import main
from lifecycle.files import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PLAIN = str(SCENARIOS / "worked-example-1.toml")
RECORDS = SCENARIOS / "records"


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what is said of a mistake; nothing is printed as an answer."""
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.startswith("lifecycle: ") and "Traceback" not in said.err
    return said.err


def in_a_shell(command: str, **how: Any) -> subprocess.CompletedProcess[bytes]:
    """Run the command line in a shell, with its streams as that says."""
    line = f'"{sys.executable}" -m lifecycle {command}'
    return subprocess.run(["bash", "-c", line], capture_output=True, check=False, timeout=60, **how)


def put(folder: Path, name: str, text: str) -> str:
    """Write a file and return its name."""
    (folder / name).write_text(text, encoding="utf-8")
    return str(folder / name)


@pytest.mark.skipif(os.name != "posix", reason="streams as shells of this kind redirect them")
@pytest.mark.parametrize(
    ("command", "said"),
    [
        (f"figures {PLAIN} >&-", b"the standard output must be open"),
        (f"figures {PLAIN} >/dev/full", b"the standard output cannot be written: no space left"),
        ("new <&-", b"must be answered; got the end of the input"),
        ("new < <(printf '\\xff\\xfe\\n')", b"the standard input must be text in UTF-8"),
        ("figures nowhere.toml 2>&-", b""),
    ],
)
def test_streams_that_are_closed_full_or_no_text(command: str, said: bytes) -> None:
    run = in_a_shell(command)
    assert run.returncode == 2
    assert said in run.stderr
    assert b"Traceback" not in run.stderr and b"Exception" not in run.stderr


def test_a_name_too_long_for_a_file_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    long = "x" * 300
    rule = "must have a name of at most 255 letters"
    assert f"--chart {rule}" in mistake(capsys, "compare", PLAIN, "--chart", f"{long}.png")
    assert rule in mistake(capsys, "new", f"{long}.toml", "--answers", PLAIN)
    assert f"--to {rule}" in mistake(capsys, "report", PLAIN, "--to", long)
    assert f"--to {rule}" in mistake(capsys, "card", "--to", f"{long}.html")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_the_way_of_a_paper_is_said_before_anything_is_computed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("lifecycle.answers.papers.gather", None)
    (tmp_path / "us.html").write_text("ours", encoding="utf-8")
    (tmp_path / "us.pdf").mkdir()
    said = mistake(capsys, "report", PLAIN, "--to", str(tmp_path), "--replace")
    assert "us.pdf must be a file; got a folder: move it away first" in said
    assert (tmp_path / "us.html").read_text(encoding="utf-8") == "ours"


@pytest.mark.parametrize(
    ("arguments", "option"),
    [
        (("compare", PLAIN, "--chart", ""), "--chart"),
        (("records", "x.csv", "--for", "life", "--columns", ""), "--columns"),
        (("logbook", "x.csv", "--scenario", PLAIN, "--way", ""), "--way"),
        (("weather", "x.csv", "--in", "us", "--station", ""), "--station"),
    ],
)
def test_an_empty_option_is_a_slip(
    arguments: tuple[str, ...], option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert f'{option} must not be empty; got ""' in mistake(capsys, *arguments)


def test_options_that_exclude_each_other(capsys: pytest.CaptureFixture[str]) -> None:
    weather, columns = (str(RECORDS / name) for name in ("daily-weather.csv", "daily-weather-columns.toml"))
    said = mistake(capsys, "weather", weather, "--columns", columns, "--units", "us")
    assert "--units must not stand beside --columns" in said
    regions = str(SCENARIOS / "regions" / "three-regions.toml")
    for other, value in (("--against", "old.json"), ("--seen", "seen.csv"), ("--to", "new.toml")):
        assert f"--fix must not stand beside {other}" in mistake(
            capsys, "regions", regions, "--fix", other, value
        )


EDITION: dict[str, Any] = {
    "title": "before",
    "protocol": {"sha256": "a", "fixed_on": None},
    "made_by": {"version": "0", "shared_sha256": "b"},
    "currency": "USD",
    "draws": 64,
    "seed": 1,
    "rows": [
        {"region": "coast", "habit": "nothing", "years": {"5": {"of_20": 3, "word": "w", "firmness": "f"}}}
    ],
    "regions": [{"name": "coast", "scenario": "schema = 1"}],
}

OTHER_EDITIONS: Mapping[str, Callable[[dict[str, Any]], object]] = {
    "text for a number": lambda old: old.update(draws="many"),
    "no number": lambda old: old.update(draws=float("nan")),
    "no end": lambda old: old.update(seed=float("inf")),
    "a fraction": lambda old: old.update(seed=1.5),
    "true": lambda old: old.update(seed=True),
    "below 0": lambda old: old.update(seed=-1),
    "number for a text": lambda old: old.update(title=5),
    "number for a table": lambda old: old.update(made_by=5),
    "numbers for rows": lambda old: old.update(rows=[1, 2]),
    "a year that is none": lambda old: old["rows"][0].update(years={"soon": {"of_20": 3}}),
    "text for a count": lambda old: old["rows"][0]["years"]["5"].update(of_20="3"),
    "no end of a count": lambda old: old["rows"][0]["years"]["5"].update(of_20=float("inf")),
    "more than 20": lambda old: old["rows"][0]["years"]["5"].update(of_20=21),
    "number for a word": lambda old: old["rows"][0]["years"]["5"].update(word=1),
    "list for a region": lambda old: old["rows"][0].update(region=["coast"]),
    "number for a scenario": lambda old: old["regions"][0].update(scenario=3),
    "nothing for a name": lambda old: old["regions"][0].update(name=None),
}


@pytest.mark.parametrize("slip", OTHER_EDITIONS)
def test_another_edition_that_is_none_is_refused(
    slip: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = json.loads(json.dumps(EDITION))
    OTHER_EDITIONS[slip](old)
    regions = str(SCENARIOS / "regions" / "three-regions.toml")
    said = mistake(capsys, "regions", regions, "--against", put(tmp_path, "old.json", json.dumps(old)))
    assert "old.json must be the result of an edition; got" in said


def test_the_edition_that_the_slips_are_made_in_is_one() -> None:
    from lifecycle.records.editions import read_edition

    assert read_edition(json.dumps(EDITION), "before").drawn == (64, 1)


def test_a_price_of_nothing_is_no_quote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = put(tmp_path, "answers.toml", ANSWERS)
    assert "answers.quote must be from 1 to 1e+06 money" in mistake(capsys, "new", "--answers", answers)


ANSWERS = """[answers]
otherwise = "shop_every_year"
keep = 5
quote = 0
roof_age = 12
climbs = true
"""

MAPS = {
    "forms that are no list": ("[dates]\nforms = 5", "dates.forms (line 2) must be a list of names; got 5"),
    "one column twice": (
        '[columns]\ncoach = "unit"\ndate = "unit"',
        'columns.date (line 3) must name another column than columns.coach; got "unit"',
    ),
    "a covariate that is the coach": (
        '[columns]\ncoach = "unit"\ncovariates = ["unit"]',
        "columns.covariates.unit (line 3) must name another column than columns.coach",
    ),
}


@pytest.mark.parametrize("slip", MAPS)
def test_a_column_map_that_cannot_be(slip: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, said = MAPS[slip]
    columns = put(tmp_path, "map.toml", text)
    arguments = ("records", str(RECORDS / "looks.csv"), "--for", "life", "--columns", columns)
    assert said in mistake(capsys, *arguments)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("date_form = []", "date_form (line 1) must be one of"),
        ("station = 3", "station (line 1) must be a text; got 3"),
        ('columns = { date = "d", rain = "d" }', "must name another column than columns.date"),
    ],
)
def test_a_map_of_the_weather_that_cannot_be(
    line: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    columns = put(tmp_path, "map.toml", line)
    assert said in mistake(capsys, "weather", str(RECORDS / "daily-weather.csv"), "--columns", columns)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (
            "2022-01-02,24,44,0.00",
            "lowest (line 3) must not be above highest; got 44: are the columns swapped?",
        ),
        (
            "0000-01-02,24,4,0.00",
            "day (line 3) must be a day of the calendar of the years 1700 to 2200; got 0000-01-02",
        ),
        ("1000-01-02,24,4,0.00", "got 1000-01-02"),
    ],
)
def test_a_day_that_cannot_be(
    row: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = put(tmp_path, "days.csv", f"day,highest,lowest,rain\n2022-01-01,37,17,0.00\n{row}\n")
    columns = str(RECORDS / "daily-weather-columns.toml")
    assert said in mistake(capsys, "weather", table, "--columns", columns)


def test_a_day_of_a_station_that_is_colder_at_noon(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = ("20220101,TMAX,10", "20220101,TMIN,-20", "20220102,TMAX,10", "20220102,TMIN,20")
    table = put(tmp_path, "days.csv", "".join(f"S1,{row},,,X,0700\n" for row in rows))
    assert "TMIN (line 4) must not be above TMAX of its day; got 2.0" in mistake(capsys, "weather", table)


MANY = "".join(f"{age},{age + 20},1\n" for age in range(100, 160, 5))
COUNT_MAP = '[columns]\ncount = "count"\n[units]\nage = "months"\n'


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("100,120,1.5", 'column "count" must be how many, a whole number from 1'),
        (",,1", 'column "lower" or column "upper" must hold an age: such a row says nothing'),
    ],
)
def test_an_interval_that_cannot_be(
    row: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = put(tmp_path, "ends.csv", f"lower,upper,count\n{MANY}{row}\n")
    columns = put(tmp_path, "map.toml", COUNT_MAP)
    assert said in mistake(capsys, "records", table, "--for", "life", "--columns", columns)


SHEETS = "coach,age,upkeep,deck,area,reason\n" + "".join(
    f"J{number},{24 + number},nothing,wet,4,routine\n" for number in range(12)
)


def test_sheets_that_bound_nothing_stay_in_the_tools_range(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every deck is wet and none rotten, which no rate of leaks explains better than a higher one."""
    new = tmp_path / "new.toml"
    known = '[units]\nage = "months"\n[records]\nplace = "reference"\nlength = "reference"\n'
    columns = put(tmp_path, "map.toml", known)
    arguments = ("records", put(tmp_path, "sheets.csv", SHEETS), "--for", "hidden", "--columns", columns)
    scenario = str(SCENARIOS / "humid-coast-motorhome.toml")
    assert main((*arguments, "--scenario", scenario, "--to", str(new))) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "These sheets alone do not tell" in said
    tool, now = (load(place).inputs["leaks.silent_share"] for place in (scenario, new))
    assert now.basis == "record" and tool.low <= now.low <= now.high <= tool.high


def test_a_slip_in_a_command_or_a_number_is_told_with_its_mend(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["comapre", "x.toml"]) == 2
    assert "'comapre' is not a command: did you mean \"compare\"?" in capsys.readouterr().err
    for words, rule in ((["--years", "ten"], "a number"), (["--draws", "3.5"], "a whole number")):
        with pytest.raises(SystemExit):
            main(["compare", "x.toml", *words])
        assert f"must be {rule}; got '{words[1]}'" in capsys.readouterr().err
