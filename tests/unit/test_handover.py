"""Film readings at the hand-over: the rule, where spots lie, and rows that cannot be read."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.charts.plans import describe_film_plan, film_plan
from lifecycle.cli.main import main
from lifecycle.errors import ScenarioError
from lifecycle.records.handover import FilmCheck, Reading, check_film, film_of, read_readings


def checked(specified: float = 100.0, **films: list[float]) -> FilmCheck:
    return check_film([Reading(name, film) for name, each in films.items() for film in each], specified)


def test_a_film_as_promised_is_accepted() -> None:
    found = checked(A=[100, 110, 90], B=[70, 90, 80], C=[120, 120, 120])
    assert found.mean == pytest.approx(100.0)
    assert found.least == 80.0
    assert found.accepted and not found.thin and not found.area_thin


def test_a_single_reading_may_be_thin_but_no_spot() -> None:
    found = checked(A=[40, 130, 70], B=[79, 80, 80], C=[150, 150, 150])
    assert [spot.name for spot in found.thin] == ["B"]
    assert not found.area_thin and not found.accepted


def test_the_mean_of_the_spots_must_reach_the_film() -> None:
    found = checked(A=[99, 99, 99], B=[100, 100, 100])
    assert found.area_thin and not found.thin and not found.accepted


def test_spots_count_once_however_many_readings_they_have() -> None:
    found = checked(A=[200] * 9, B=[100, 100, 100])
    assert found.mean == pytest.approx(150.0)


def test_a_spot_with_too_few_readings_is_not_judged() -> None:
    found = checked(A=[100, 100, 100], B=[10, 10], C=[200, 200, 200])
    assert [spot.name for spot in found.incomplete] == ["B"]
    assert not found.thin and not found.accepted


@pytest.mark.parametrize(
    ("text", "placed_by", "places"),
    [
        ("spot,reading,along,across\nx,1,3,0.5\ny,1,9,2\n", "columns", [(3.0, 0.5), (9.0, 2.0)]),
        ("spot,reading\nA1,1\nB12,1\n", "names", [(1.0, 1.0), (12.0, 2.0)]),
        ("Spot, Reading\nfront,1\n\nrear,1\n", "order", [(1.0, 1.0), (2.0, 1.0)]),
    ],
)
def test_where_spots_lie(text: str, placed_by: str, places: list[tuple[float, float]]) -> None:
    found = check_film(read_readings(text), 1.0)
    assert found.placed_by == placed_by
    assert [spot.place for spot in found.spots] == places


def test_rows_that_cannot_be_read_are_said_at_once() -> None:
    rows = (
        "A,187,,",
        ",190,,",
        "B,thick,,",
        "C,-3,,",
        "D,,,",
        "E,nan,,",
        "F,180,left,1",
        "G,1900,1,2",
        "H,18,1,",
    )
    text = "\n".join(["spot,reading,along,across", *rows, ""])
    with pytest.raises(ScenarioError) as caught:
        read_readings(text, "film.csv")
    said = [(fault.place, fault.line) for fault in caught.value.faults]
    assert said == [
        ("spot", 3),
        ("reading", 4),
        ("reading", 5),
        ("reading", 6),
        ("reading", 7),
        *[("along", 8), ("reading", 9), ("a row", 10)],
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "must have a row that names its columns"),
        ("spot,film\nA,1\n", r'must have a column "reading" \(dry film\)'),
        ("spot,reading\nA1,187,5\n", r"more on line 2: .*write a decimal comma as a point: 187.5"),
        (
            "spot,reading,reading\nA1,1,2\n",
            r'column "reading" \(line 1\) must stand once; got columns 2 and 3',
        ),
        ("spot,reading,along\nA1,1,2\n", "must not stand without its pair, across"),
        ("spot;reading\nA1;187,5\n", r"got 187,5: a decimal point"),
        ("spot,reading\nA1,190\nA1", r"the last row \(line 3\) is cut off"),
        ("spot,reading\n", "must have a row of records"),
        ('spot,reading\n"A,1\n', "must be CSV"),
    ],
)
def test_files_that_are_none(text: str, words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        read_readings(text, "film.csv")


def test_no_film_is_specified_at_nothing() -> None:
    with pytest.raises(ValueError, match="above 0"):
        checked(0.0, A=[1, 1, 1])


def test_the_picture_shows_every_spot_and_marks_the_thin_ones() -> None:
    found = checked(A1=[100, 100, 100], A2=[70, 70, 70], B1=[140, 140, 140], B2=[100])
    axes = film_plan(found, "mil")
    marks = {tuple(line.get_xydata()[0].tolist()): line.get_marker() for line in axes.lines}
    assert marks == {(1.0, 1.0): "o", (2.0, 1.0): "s", (1.0, 2.0): "o", (2.0, 2.0): "x"}
    assert sorted(text.get_text() for text in axes.texts) == ["100", "100", "140", "70"]
    assert "1 below 80, 1 with too few readings" in describe_film_plan(found, "mil")


def test_columns_of_another_name_need_a_map(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place, known = tmp_path / "film.csv", tmp_path / "map.toml"
    place.write_text("Stelle;Dicke\nA1;190\nA1;191\nA1;189\n", encoding="utf-8")
    known.write_text('[columns]\nspot = "Stelle"\nreading = "Dicke"\n', encoding="utf-8")
    assert main(("handover", str(place), "--film", "187.5")) == 2
    assert "a column map (--columns) says which column holds what" in capsys.readouterr().err
    assert main(("handover", str(place), "--film", "187.5", "--columns", str(known), "--json")) == 0
    assert json.loads(capsys.readouterr().out)["accepted"] is True


def drawn_words(found: FilmCheck) -> str:
    """Return what is written around a picture of the spots."""
    return " ".join(text.get_text() for text in film_plan(found, "mil").figure.axes[0].texts)


def test_one_reading_a_spot_judges_no_spot(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """140 of 187.5 mil is below 80 %, yet one reading of a rough film tells nothing: read it again."""
    found = checked(187.5, A1=[190], A2=[140])
    assert not found.judged and not found.thin and not found.area_thin and not found.accepted
    assert "No spot has enough readings: nothing can be judged" in drawn_words(found)
    place = tmp_path / "film.csv"
    place.write_text("spot,reading\nA1,190\nA2,140\n", encoding="utf-8")
    assert main(("handover", str(place), "--film", "187.5")) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Nothing can be judged yet: 2 spots, none with 3 readings." in said
    assert "A1 (1) and A2 (1)" in said and "too thin" not in said and "as promised" not in said


def test_a_spot_that_is_not_judged_counts_for_no_mean_and_hides_none() -> None:
    found = checked(A=[100, 100, 100], B=[10], C=[110, 110, 110])
    assert found.mean == pytest.approx(105.0) and not found.area_thin and not found.accepted
    assert "No spot with enough readings is too thin, 1 cannot be judged" in drawn_words(found)


@pytest.mark.parametrize(
    ("stated", "units", "film", "unit"),
    [
        ("187.5", "", 187.5, "mil"),
        ("187.5mil", "metric", 4.7625, "mm"),
        ("4.7625 mm", "", 4.7625, "mm"),
        ("4.7625mm", "us", 187.5, "mil"),
        ("4.8", "metric", 4.8, "mm"),
        ("20", "us", 20.0, "mil"),
    ],
)
def test_a_film_is_taken_with_its_unit(stated: str, units: str, film: float, unit: str) -> None:
    """A mil is a thousandth of an inch, 25.4 mm by definition (NIST SP 811): 187.5 mil = 4.7625 mm."""
    found, in_unit = film_of(stated, units)
    assert found == pytest.approx(film, abs=1e-9) and in_unit == unit


@pytest.mark.parametrize(
    ("stated", "units", "words"),
    [
        ("4.8", "", "must say its unit, mil or mm; got 4.8"),
        ("187.5", "metric", "must be at most an inch, 25.4 mm"),
        ("1200", "", "must be at most an inch, 1000 mil"),
        ("4.8 cm", "", "must be above 0"),
        ("nan", "us", "must be above 0"),
    ],
)
def test_a_film_without_its_unit_is_asked_for(stated: str, units: str, words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        film_of(stated, units)


def test_readings_in_the_other_unit_are_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "film.csv"
    place.write_text("spot,reading\nA1,4.9\nA1,4.8\nA1,4.8\n", encoding="utf-8")
    assert main(("handover", str(place), "--film", "187.5mil")) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "the readings must be in mil, as the film of 187.5 mil is; they look like mm" in said
    assert main(("handover", str(place), "--film", "187.5mil", "--units", "metric")) == 0
    assert "on average 4.833 mm of 4.763 specified" in " ".join(capsys.readouterr().out.split())
    assert main(("handover", str(place), "--film", "187.5mil", "--units", "us")) == 0
    assert "on average 4.833 mil of 187.5" in " ".join(capsys.readouterr().out.split())


def test_what_must_work_is_a_list_with_reasons() -> None:
    found = files.data("handover.toml")
    assert {"Power", "LP gas", "Air conditioner", "Water"} <= {entry["what"] for entry in found["works"]}
    assert all(set(entry) == {"what", "check"} for part in ("works", "papers") for entry in found[part])


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place, chart = tmp_path / "film.csv", tmp_path / "film.png"
    rows = [f"{spot},{film}" for spot, film in (("A1", 190), ("A2", 140), ("A3", 240)) for _ in range(3)]
    place.write_text("\n".join(["spot,reading", *rows]), encoding="utf-8")
    command = ("handover", str(place), "--film", "187.5")
    assert main((*command, "--chart", str(chart))) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Before you drive off The film is not yet as promised: 3 spots, on average 190 mil" in said
    assert "Below 150 mil: A2 140." in said
    assert "SSPC-PA 2, from memory" in said
    assert "LP gas" in said and f"Chart: {chart}" in said
    assert chart.read_bytes().startswith(b"\x89PNG")
    assert main((*command, "--json")) == 0
    result = json.loads(capsys.readouterr().out)
    assert (result["accepted"], result["thin"], result["area_thin"]) == (False, ["A2"], False)
    assert main(("handover", str(place), "--film", "0")) == 2
    assert "--film must be above 0" in capsys.readouterr().err


def test_too_many_rows_are_refused_before_any_is_read() -> None:
    with pytest.raises(ScenarioError, match=r"rows must be at most 5,000; got 5,001"):
        read_readings("spot,reading\n" + "A,190\n" * 5001)
