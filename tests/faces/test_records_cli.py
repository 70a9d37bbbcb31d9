"""The command about records: what it prints, writes, draws and refuses; and the invented records."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from lifecycle.answers.records import life_lines
from lifecycle.charts.method import describe_probability_plot, probability_plot
from lifecycle.cli.generated import demo_files
from lifecycle.cli.main import main
from lifecycle.files import load
from lifecycle.records.demo import Truth
from lifecycle.records.lives import fit_life, roof_lives

pytest.importorskip("surpyval", reason="life fits need the extra [records]")

ROOT = Path(__file__).parents[2]
RECORDS = ROOT / "scenarios" / "records"
LOOKS = ["records", str(RECORDS / "looks.csv"), "--columns", str(RECORDS / "looks-columns.toml"), "--for"]
SHEETS = ["records", str(RECORDS / "job-sheets.csv"), "--columns", str(RECORDS / "job-sheets-columns.toml")]
SHEETS += ["--for", "hidden"]
COACH = ROOT / "scenarios" / "humid-coast-motorhome.toml"


def test_the_invented_records_are_those_that_the_generator_draws() -> None:
    """Else run: python -m lifecycle.cli.generated scenarios"""
    for name, text in demo_files().items():
        assert (RECORDS / name).read_text(encoding="utf-8") == text
        assert len(text) < 100_000
        columns = (RECORDS / name.replace(".csv", "-columns.toml")).read_text(encoding="utf-8")
        assert "INVENTED" in columns


def test_lives_with_a_chart_and_a_tuned_scenario(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new, chart = tmp_path / "new.toml", tmp_path / "lives.svg"
    tuned = ["--scenario", str(COACH), "--to", str(new), "--chart", str(chart), "--all"]
    status = main([*LOOKS, "life", *tuned])
    said = capsys.readouterr().out
    assert status == 0
    assert "looks: 1,575, of which 21 left out, 1,554 used" in said
    assert "Roofs that ended before are missing" in " ".join(said.split())
    assert "U0001" not in said and "U0001" not in new.read_text(encoding="utf-8")
    mean = load(new).inputs["roofs.membrane.life_mean"]
    assert mean.basis == "record" and mean.source.startswith(
        "looks.csv: 254 roofs, 61 ends of life, 2014-01 to"
    )
    assert mean.low < Truth().life_mean < mean.high
    assert "Share of roofs that have ended" in chart.read_text(encoding="utf-8")
    assert main(["figures", str(new), "--all"]) == 0
    register = capsys.readouterr().out
    assert "lognormal" in register and "[record *]" in register and "looks.csv: 254 roofs" in register
    assert main(["compare", str(new), "--draws", "64"]) == 0
    assert "spraying now" in " ".join(capsys.readouterr().out.split())


def test_joints_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*LOOKS, "joints", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    told = {"joint_leaks_ten_years", "joint_leak_growth", "sign_years", "look_finds"}
    assert set(found["estimates"]) == told - set(found["kept"])
    assert {"joint_leaks_ten_years", "joint_leak_growth"} <= set(found["estimates"])
    assert found["at_reference"] is True and found["leaks_without_a_place"] == 0.0
    for count in found["account"]:
        assert count["found"] == count["used"] + sum(left["number"] for left in count["left_out"])
    assert found["reason_known"] is True and found["widened"] is False
    assert found["source"].startswith("looks.csv: 192 leaks in 904 years")


def test_stripped_roofs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = tmp_path / "new.toml"
    assert main([*SHEETS, "--scenario", str(COACH), "--to", str(new)]) == 0
    said = capsys.readouterr().out
    assert "Of 240 stripped roofs" in said and re.search(r"new wood in \d+ of 20 jobs", said)
    share = load(new).inputs["leaks.silent_share"]
    assert share.basis == "record" and share.low <= Truth().silent_share <= share.high
    assert "leaks.silent_share:" in said and "(was 0 ... 0.1 ... 0.4 [judgement])" in said


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(list(arguments)) == 2
    shown = capsys.readouterr()
    assert not shown.out and "Traceback" not in shown.err
    return shown.err


def test_bad_records_write_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad, new = tmp_path / "bad.csv", tmp_path / "new.toml"
    bad.write_text("lower,upper,entry\n3,2,0\n2,8,9\n", encoding="utf-8")
    columns = tmp_path / "map.toml"
    columns.write_text('[units]\nage = "years"\n', encoding="utf-8")
    said = refused(
        capsys,
        *["records", str(bad), "--for", "life", "--columns", str(columns)],
        *["--scenario", str(COACH), "--to", str(new)],
    )
    assert "runs backwards; got line 2" in said and "came in after that; got line 3" in said
    assert not new.exists()


def test_too_few_events_are_refused_and_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    few = tmp_path / "few.csv"
    few.write_text("lower,upper\n3,4\n5,\n6,\n", encoding="utf-8")
    columns = tmp_path / "map.toml"
    columns.write_text('[units]\nage = "years"\n', encoding="utf-8")
    arguments = ["records", str(few), "--for", "life", "--columns", str(columns)]
    assert "at least 5 life ends for a figure of its own; got 1" in refused(capsys, *arguments)
    assert main([*arguments, "--widen"]) == 0
    assert "the tool's own figures stand here, moved by" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["records", "nowhere.csv", "--for", "life"], "nowhere.csv does not exist"),
        ([*LOOKS, "joints", "--chart", "x.png"], "--chart draws lives only"),
        ([*LOOKS, "life", "--to", "x.toml"], "--scenario and --to go together"),
        ([*LOOKS, "life", "--scenario", str(COACH), "--to", str(COACH)], "is not overwritten"),
        (
            ["records", str(RECORDS / "looks.csv"), "--for", "life"],
            'columns "coach" (which coach it is), "date" (the day)',
        ),
    ],
)
def test_slips(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert said in refused(capsys, *arguments)


def test_a_line_on_the_chart_is_the_fit_and_points_lie_where_roofs_ended() -> None:
    import numpy as np

    lower = np.repeat(np.arange(4.0, 20.0, 2.0), 5)
    fit = fit_life(roof_lives(lower, lower + 2.0, 2.0))
    axes = probability_plot(fit)
    line = next(one for one in axes.lines if len(one.get_xdata()) == 101)
    x, y = (np.asarray(values, dtype=float) for values in line.get_data())
    slope = np.diff(y) / np.diff(np.log(x))
    assert slope == pytest.approx(np.full(100, fit.shape), rel=1e-6)
    points = next(one for one in axes.lines if one.get_marker() == "o")
    assert np.array_equal(np.asarray(points.get_xdata(), dtype=float), fit.points[0])
    assert "40 roofs, 40 of which ended" in describe_probability_plot(fit)


def test_extrapolation_and_what_cannot_be_told_apart_are_said() -> None:
    """All watched to an age of 4 only: the mean life lies far beyond, and hangs on the shape."""
    import numpy as np

    lower = np.concatenate([np.repeat([1.0, 2.0, 3.0], 3), np.full(200, 4.0)])
    upper = np.where(lower < 4.0, lower + 1.0, np.inf)
    said = " ".join(life_lines(fit_life(roof_lives(lower, upper))))
    assert "Beyond an age of 4 years fewer than 5 roofs were watched" in said
    assert "The mean life lies there." in said
    assert "cannot well tell a longer life" in said
