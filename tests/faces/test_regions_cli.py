"""The regions command: what it prints, fixes, says of another edition, and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from lifecycle.cli.main import main
from lifecycle.files import load
from lifecycle.studies.habits import habits

SCENARIOS = Path(__file__).parents[2] / "scenarios"
BASE = (SCENARIOS / "humid-coast-motorhome.toml").read_text(encoding="utf-8")
FILE = """title = "Two regions (invented)"
question = "Is it cheaper to spray?"
scenario = "base.toml"
habits = ["shop_every_year", "nothing"]
years = [5, 10]
objections = ["hurried", "late"]
[[regions]]
name = "coast"
place = "Miami"
[[regions]]
name = "yard"
records = "tuned.toml"
coaches = 4
"""
SECRET = "4 roofs, secretly counted"


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(("regions", *arguments)) == 0
    captured = capsys.readouterr()
    assert captured.err == ""
    return captured.out


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(("regions", *arguments)) == 2
    captured = capsys.readouterr()
    assert not captured.out and "Traceback" not in captured.err
    return captured.err


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("guidance")
    (place / "two.toml").write_text(FILE, encoding="utf-8")
    (place / "base.toml").write_text(BASE, encoding="utf-8")
    life = f'life_mean = {{ low = 11, likely = 14, high = 18, basis = "record", source = "{SECRET}" }}'
    tuned = BASE.replace('plan = "shop_every_year"\n', f'plan = "shop_every_year"\n{life}\n', 1)
    (place / "tuned.toml").write_text(tuned, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def answer(folder: Path) -> str:
    """The JSON answer, made once."""
    from contextlib import redirect_stdout
    from io import StringIO

    out = StringIO()
    with redirect_stdout(out):
        assert main(("regions", str(folder / "two.toml"), "--draws", "64", "--json")) == 0
    (folder / "old.json").write_text(out.getvalue(), encoding="utf-8")
    return out.getvalue()


def test_the_text_says_what_the_file_says(
    capsys: pytest.CaptureFixture[str], folder: Path, answer: str
) -> None:
    assert len(said(capsys, str(folder / "two.toml"), "--draws", "64").splitlines()) <= 40
    text = said(capsys, str(folder / "two.toml"), "--draws", "64", "--all")
    found = json.loads(answer)
    flat = " ".join(text.split())
    for sentence in found["said"]:
        assert sentence in flat
    assert "not fixed beforehand" in flat
    assert f"of {found['regions'][0]['figures']} behind coast" in flat
    cell = found["rows"][0]["years"]["10"]
    row = next(line for line in text.splitlines() if line.startswith("a shop reseals every year"))
    assert row.split()[-2:] == [str(cell["of_20"]), cell["firmness"]]
    assert "It cannot be tried with these figures: no life here comes from records." in flat
    for meaning in found["rule"].values():
        assert meaning in flat


def test_cells_are_those_of_the_table_of_20s(folder: Path, answer: str) -> None:
    expected = habits(load(folder / "base.toml"), draws=64, years=(5, 10)).of_20
    for row in json.loads(answer)["rows"][:2]:
        assert {int(year): cell["of_20"] for year, cell in row["years"].items()} == expected[row["habit"]]


def test_too_few_coaches_are_held_back_everywhere(
    capsys: pytest.CaptureFixture[str], folder: Path, answer: str
) -> None:
    found = json.loads(answer)
    assert [row["years"]["5"] for row in found["rows"][2:]] == [{"firmness": "too few records"}] * 2
    assert found["regions"][1] == {"name": "yard", "stands": "Miami", "firmness": "too few records"}
    text = said(capsys, str(folder / "two.toml"), "--draws", "16", "--all")
    assert SECRET not in answer and SECRET not in text and '"coaches"' not in answer
    assert "too few" in text and "4 more cells held back" in " ".join(text.split())
    refused = mistake(capsys, str(folder / "two.toml"), "--region", "yard", "--to", str(folder / "yard.toml"))
    assert "too few records" in refused and not (folder / "yard.toml").exists()


def test_the_same_seed_gives_the_same_bytes(
    capsys: pytest.CaptureFixture[str], folder: Path, answer: str
) -> None:
    assert said(capsys, str(folder / "two.toml"), "--draws", "64", "--json") == answer


def test_an_edition_is_fixed_once_and_knows_itself(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    file = tmp_path / "two.toml"
    file.write_text(FILE.replace("[5, 10]", "[5]"), encoding="utf-8")
    (tmp_path / "base.toml").write_text(BASE, encoding="utf-8")
    assert "Fixed on" in said(capsys, str(file), "--fix"), "the records need not be there yet"
    assert "exists already" in mistake(capsys, str(file), "--fix")
    (tmp_path / "tuned.toml").write_text(BASE, encoding="utf-8")
    text = " ".join(said(capsys, str(file), "--draws", "16").split())
    assert "unchanged since: this is that edition." in text
    file.write_text(FILE.replace("[5, 10]", "[10]"), encoding="utf-8")
    found = json.loads(said(capsys, str(file), "--draws", "16", "--json"))
    assert found["protocol"]["is_fixed"] is False and found["protocol"]["changed"] == ["the protocol"]
    assert "This is not the edition fixed on" in found["protocol"]["said"]


def test_what_changed_since_is_split_by_cause(
    capsys: pytest.CaptureFixture[str], folder: Path, answer: str, tmp_path: Path
) -> None:
    file = tmp_path / "two.toml"
    file.write_text(FILE, encoding="utf-8")
    (tmp_path / "base.toml").write_text(BASE.replace("value = 9870", "value = 7870"), encoding="utf-8")
    (tmp_path / "tuned.toml").write_text(BASE, encoding="utf-8")
    old = str(folder / "old.json")
    (tmp_path / "seen.csv").write_text(
        "region,habit,year,way,coaches,cost,spread\ncoast,nothing,5,kept,40,90000,3000\n"
        "coast,shop_every_year,10,sprayed,3,9000,1000\n",
        encoding="utf-8",
    )
    asked = (str(file), "--draws", "64", "--against", old, "--seen", str(tmp_path / "seen.csv"))
    text = " ".join(said(capsys, *asked, "--all").split())
    assert (
        "Why, coast: Against what would be done otherwise, the way in question is about 2,000 USD cheaper in "
        "this edition than in the earlier one: all of it is the quoted price of the coating" in text
    )
    assert "coast, nothing, 5 years, kept: it said" in text and "40 coaches cost 90,000" in text
    assert "it said too little" in text and "sprayed: too few coaches were seen to be shown" in text
    found = json.loads(said(capsys, *asked, "--json"))
    before, now = json.loads(answer)["rows"][0]["years"]["10"], found["rows"][0]["years"]["10"]
    assert now["of_20"] > before["of_20"]
    assert any(
        cell["before"]["of_20"] == before["of_20"] and cell["now"]["of_20"] == now["of_20"]
        for cell in found["since"]["cells"]
    )
    assert found["since"]["same_figures_of_the_tool"] and list(found["since"]["causes"]) == ["coast"]


def test_an_edition_against_itself_changed_nothing(
    capsys: pytest.CaptureFixture[str], folder: Path, answer: str
) -> None:
    asked = (str(folder / "two.toml"), "--draws", "64", "--against", str(folder / "old.json"), "--json")
    found = json.loads(said(capsys, *asked))["since"]
    assert (found["cells"], found["causes"], found["same_futures"]) == ([], {}, True)


def test_a_region_can_be_written_and_looked_into(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    new = tmp_path / "coast.toml"
    said(capsys, str(folder / "two.toml"), "--region", "coast", "--to", str(new))
    assert load(new).climate is not None
    assert 'did you mean "coast"?' in mistake(
        capsys, str(folder / "two.toml"), "--region", "cost", "--to", str(tmp_path / "x.toml")
    )


def test_all_mistakes_at_once_and_nothing_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text('scenario = "no.toml"\nregions = []\n', encoding="utf-8")
    asked = (str(tmp_path / "bad.toml"), "--against", str(tmp_path / "no.json"))
    text = mistake(capsys, *asked)
    for part in ("at least one region", "no.toml does not exist", "no.json"):
        assert part in text
    assert mistake(capsys, str(tmp_path / "bad.toml"), "--fix")
    assert [one.name for one in tmp_path.iterdir()] == ["bad.toml"]


def test_a_climate_file_of_the_weather_command_is_a_region(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "base.toml").write_text(BASE, encoding="utf-8")
    (tmp_path / "yard.toml").write_text(
        "[climate]\n"
        'freeze_thaw_days = { low = 70, likely = 80, high = 90, basis = "record", source = "x" }\n',
        encoding="utf-8",
    )
    file = tmp_path / "one.toml"
    file.write_text(
        'scenario = "base.toml"\n[[regions]]\nname = "yard"\nclimate = "yard.toml"\n', encoding="utf-8"
    )
    new = tmp_path / "new.toml"
    said(capsys, str(file), "--region", "yard", "--to", str(new))
    figure = load(new).inputs["climate.freeze_thaw_days"]
    assert (figure.likely, figure.basis) == (80.0, "record")
    (tmp_path / "yard.toml").write_text("[roof]\nx = 1\n", encoding="utf-8")
    assert "must name a file with a section [climate]" in mistake(capsys, str(file), "--draws", "16")
