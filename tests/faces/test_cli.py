"""The command line: answers, result files, mistakes, and how quickly it says what it can do."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import lifecycle
from lifecycle.cli.main import main
from lifecycle.evaluation.compiled.library import form

SCENARIOS = Path(__file__).parents[2] / "scenarios"
ALL = sorted(path.name for path in SCENARIOS.glob("*.toml"))
GOOD = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")

PRINTED = {  # sold after 1, 5, 8, 10, 15, 20 years; the model's worked examples (derived)
    1: {
        "keep": [1716.23, 7061.08, 11030.51, 13685.10, 20012.37, 25262.64],
        "coat_now": [6722.32, 7337.67, 7751.07, 8003.32, 10051.78, 11056.45],
        "coat_later": [1707.66, 6721.86, 9637.73, 13658.59, 14392.10, 15821.13],
        "coat_at_end": [1707.66, 6721.86, 10204.25, 12326.31, 16525.53, 18700.67],
    },
    2: {
        "keep": [2628.10, 9357.99, 13860.85, 16482.43, 22410.64, 27784.36],
        "coat_now": [7428.72, 8496.61, 9330.55, 11013.43, 12666.20, 15005.61],
        "coat_later": [2706.35, 9050.79, 12061.45, 12823.13, 14950.81, 16804.11],
        "coat_at_end": [2706.35, 9050.79, 12099.88, 13521.17, 15701.59, 17662.33],
    },
    3: {
        "keep": [2332.61, 7780.46, 11224.13, 13623.71, 18783.72, 23272.09],
        "coat_later": [2279.45, 8585.58, 9105.39, 9422.32, 11332.95, 12353.49],
    },
}

WAY = ["title", "net_present_cost", "annual_value", "by_category", "expected", "chance_renewed"]
MEASURES = [
    "net_savings",
    "savings_to_investment",
    "adjusted_internal_rate_of_return",
    "simple_payback",
    "discounted_payback",
    "break_even_year",
    "crossings",
    "break_even_price",
    "reasons",
]


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what a command prints; it must succeed."""
    assert main(arguments) == 0
    return capsys.readouterr().out


def result(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """Return the JSON that a command prints; NaN and infinity are no JSON."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} in the result")

    parsed: dict[str, Any] = json.loads(answer(capsys, *arguments, "--json"), parse_constant=refuse)
    return parsed


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what a command says of a mistake; nothing is printed as an answer."""
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("lifecycle: ")
    assert "Traceback" not in said.err
    return said.err


def run(*arguments: str, **how: Any) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own."""
    command = [sys.executable, "-m", "lifecycle", *arguments]
    return subprocess.run(command, text=True, capture_output=True, check=False, timeout=60, **how)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_worked_examples_as_json(number: int, capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "compare", str(SCENARIOS / f"worked-example-{number}.toml"))
    assert list(found["alternatives"])[: len(PRINTED[number])] == list(PRINTED[number])
    for name, printed in PRINTED[number].items():
        costs = found["alternatives"][name]["net_present_cost"]
        assert costs[0] == 0.0
        assert len(costs) == 21
        assert [costs[year] for year in (1, 5, 8, 10, 15, 20)] == pytest.approx(printed, abs=0.01)


def test_result_has_the_names_that_are_fixed(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "compare", str(SCENARIOS / "worked-example-1.toml"))
    assert list(found) == [
        "schema", "title", "currency", "base_case", "holding_period", "study_period", "alternatives",
        "cheapest", "cheapest_way_of_keeping", "verdict", "verdict_parts", "doubt", "made_by",
    ]  # fmt: skip
    assert found["holding_period"] == 8
    assert found["base_case"] == found["cheapest_way_of_keeping"] == "keep"
    assert found["cheapest"] == "coat_now"
    keep, now = found["alternatives"]["keep"], found["alternatives"]["coat_now"]
    assert list(keep) == WAY
    assert list(now) == [*WAY, *MEASURES]
    assert list(keep["by_category"]) == [
        "initial", "renewal", "upkeep", "leak damage", "warranty", "insurance", "days", "hours", "energy",
        "financing", "sale",
    ]  # fmt: skip
    assert set(keep["by_category"]["upkeep"]) == {"reseal", "inspection", "touch-up"}
    assert list(keep["expected"]) == ["renewals", "leaks", "severe finds", "days", "hours"]
    assert keep["annual_value"][0] is None
    assert found["made_by"]["method"] == "expectation"
    assert found["made_by"]["evaluation"] == form()
    assert found["made_by"]["version"] == lifecycle.__version__
    assert len(found["made_by"]["scenario_sha256"]) == 64


def test_measures_without_a_value_have_a_reason(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "compare", str(SCENARIOS / "own-hands.toml"))
    for way in found["alternatives"].values():
        for name in MEASURES[1:6]:
            if name in way and way[name] is None:
                assert way["reasons"][name]
    kept = found["alternatives"]["keep_touched_up"]
    assert kept["break_even_year"] is None
    assert kept["reasons"]["break_even_year"] == "not within the study period"


def test_trouble_is_opened_first(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(SCENARIOS / "trouble-reported.toml")
    found = result(capsys, "compare", file)
    assert found["alternatives"] is None
    assert "open it first" in found["reasons"]["alternatives"]
    assert found["verdict_parts"]["word"] == "open it first"
    text = answer(capsys, "compare", file)
    assert "Open it first." in text
    assert "cost in today's money" not in text


@pytest.mark.parametrize("name", ALL)
def test_every_shipped_scenario_is_answered(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "compare", str(SCENARIOS / name))
    assert text.startswith("Which way is cheaper?\n")
    assert name == "trouble-reported.toml" or "Cost in today's money" in text


def test_the_verdict_comes_before_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "compare", str(SCENARIOS / "cold-stored-trailer.toml"))
    places = [text.index(part) for part in ("Keep the membrane and touch it up", "Cost in today's money ")]
    assert places == sorted(places)


def test_years_set_the_holding_period_of_this_run(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(SCENARIOS / "worked-example-1.toml")
    found = result(capsys, "compare", file, "--years", "5")
    assert found["holding_period"] == 5
    flat = found["alternatives"]["keep"]["by_category"]
    total = sum(sum(value.values()) if isinstance(value, dict) else value for value in flat.values())
    assert total == pytest.approx(7061.08, abs=0.01)


def test_one_case_has_every_figure_at_its_likely_value_and_says_so(
    capsys: pytest.CaptureFixture[str],
) -> None:
    file = str(SCENARIOS / "humid-coast-motorhome.toml")
    one, all_ = result(capsys, "compare", file, "--likely"), result(capsys, "compare", file)
    assert "This is one case; nothing here says how sure it is." in " ".join(one["verdict"])
    assert one["verdict_parts"]["of_20"] is None and one["verdict_parts"]["word"] == "one case"
    shared = one["alternatives"].keys() & all_["alternatives"].keys()
    assert {"keep", "coat_now"} <= shared
    for way in shared:
        likely = [found["alternatives"][way]["net_present_cost"] for found in (one, all_)]
        if one["alternatives"][way]["title"] == all_["alternatives"][way]["title"]:
            assert likely[0] == pytest.approx(likely[1], abs=0.005), way


def test_the_same_file_gives_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ("compare", str(SCENARIOS / "humid-coast-motorhome.toml"), "--json")
    assert answer(capsys, *arguments) == answer(capsys, *arguments)


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_a_chart_is_drawn(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / f"look.{kind}"
    text = answer(capsys, "compare", str(SCENARIOS / "worked-example-3.toml"), "--chart", str(place))
    assert f"Chart: {place}" in text
    start = place.read_bytes()[:200]
    assert start.startswith(b"\x89PNG") if kind == "png" else b"<svg" in start or b"<?xml" in start


@pytest.mark.parametrize(
    ("chart", "said"),
    [
        ("nowhere/look.png", "folder that exists"),
        ("look.pdf", "must name a file ending in .png or .svg"),
        ("look", "must name a file ending in .png or .svg"),
    ],
)
def test_a_chart_that_cannot_be_is_said_before_computing(
    chart: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def computed(path: str) -> None:
        raise AssertionError(f"{path} was loaded")

    monkeypatch.setattr("lifecycle.files.load", computed)
    file = str(SCENARIOS / "worked-example-1.toml")
    assert said in mistake(capsys, "compare", file, "--chart", str(tmp_path / chart))
    assert list(tmp_path.iterdir()) == []


def test_a_bad_scenario_draws_no_chart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text(GOOD.replace("silent_share", "x").replace("finds = 0.6", "finds = 1.2"), encoding="utf-8")
    chart = tmp_path / "look.png"
    assert "finds" in mistake(capsys, "compare", str(bad), "--chart", str(chart))
    assert not chart.exists()


SLIPS = {
    "unknown key": ("patch_cost = 350", "patch_cots = 350", ["patch_cots", 'did you mean "patch_cost"?']),
    "low above high": (
        "patch_cost = 350",
        "patch_cost = { low = 9, likely = 8, high = 7 }",
        ["leaks.patch_cost"],
    ),
    "probability of 1.2": ("finds = 0.6", "finds = 1.2", ["finds", "from 0 to 1", "1.2"]),
    "negative life": ("life_scale = 17", "life_scale = -17", ["life_scale", "-17"]),
    "no such roof": ('then = "coating"', 'then = "coatign"', ["coatign", 'did you mean "coating"?']),
    "two base cases": ("subject = true", "base_case = true", ["exactly one", "base_case"]),
    "no base case": ("base_case = true", "base_case = false", ["exactly one", "base_case"]),
    "discount rate of -1": ("discount_rate = 0.03", "discount_rate = -1", ["study.discount_rate", "-1"]),
    "study period of 0": ("study_period = 20", "study_period = 0", ["study.study_period", "from 1 to 60"]),
    "study period of 500": ("study_period = 20", "study_period = 500", ["study.study_period", "500"]),
    "kept beyond the years shown": (
        "holding_period = 8 ",
        "holding_period = 21 ",
        ["owner.holding_period", "20 years"],
    ),
    "a leak older than the roof": ("age = 20, joint", "age = 40, joint", ["hidden_now", "36 months"]),
    "a seal older than the roof": ("seal_age = 10", "seal_age = 37", ["existing.seal_age", "36 months"]),
    "two visits of one name": ('name = "touch-up"', 'name = "reseal"', ["reseal"]),
    "a schema of the future": ("schema = 1", "schema = 2", ["schema"]),
    "NaN": ("patch_cost = 350", "patch_cost = nan", ["leaks.patch_cost", "nan"]),
    "infinity": ("patch_cost = 350", "patch_cost = inf", ["leaks.patch_cost", "inf"]),
    "broken TOML": ("[leaks]", "[leaks", ["line"]),
}


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("command", ["compare", "figures"])
def test_a_slip_is_one_message_and_status_2(
    command: str, slip: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new, expected = SLIPS[slip]
    assert old in GOOD
    bad = tmp_path / "bad.toml"
    bad.write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    said = mistake(capsys, command, str(bad))
    for part in expected:
        assert part in said
    assert [path.name for path in tmp_path.iterdir()] == ["bad.toml"]


def test_a_missing_file_and_a_file_of_20_megabytes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "does not exist" in mistake(capsys, "compare", str(tmp_path / "none.toml"))
    large = tmp_path / "large.toml"
    with large.open("wb") as file:
        file.truncate(20_000_000)
    assert "at most" in mistake(capsys, "compare", str(large))


@pytest.mark.parametrize("years", ["21", "0", "-3", "nan", "inf", "61"])
def test_years_that_cannot_be(years: str, capsys: pytest.CaptureFixture[str]) -> None:
    said = mistake(capsys, "compare", str(SCENARIOS / "worked-example-1.toml"), "--years", years)
    assert "--years" in said


def test_arguments_that_are_none_end_with_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in ([], ["compare"], ["compare", "x.toml", "--years", "many"]):
        with pytest.raises(SystemExit) as caught:
            main(arguments)
        assert caught.value.code == 2
        assert "usage: lifecycle" in capsys.readouterr().err


@pytest.mark.parametrize("name", ALL)
def test_figures_list_no_number_without_a_basis(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "figures", str(SCENARIOS / name))
    bases = {"published", "practice", "record", "offer", "judgement", "demo"}
    assert found["figures"]
    assert {figure["basis"] for figure in found["figures"]} <= bases
    if name.startswith("worked-example"):
        assert {figure["basis"] for figure in found["figures"]} == {"demo"}
    assert found["estimates"] + found["statements"] == len(found["figures"])
    assert sum(found["by_basis"].values()) == found["estimates"]
    under = found["implied"]["shop_every_year"]["quantities"]
    assert under["leaks in ten years"]["likely"] > 0.0


def test_figures_print_what_they_imply(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "figures", str(SCENARIOS / "humid-coast-motorhome.toml"), "--all")
    assert text.startswith("Every figure and where it comes from\n")
    assert "figures.shop_reseal_cost" in text and "300 ... 1,000 ... 2,000" in text
    assert "estimates by basis: " in text
    assert "What these figures imply together" in text
    assert "any leak hidden when stripped at age 8, %" in text
    assert "Chance of a new leak in the year of age" in text


ANSWERS = """[answers]
otherwise = "shop_every_year"
keep = 8
quote = 8130
roof_age = 14
"""


def test_new_writes_a_scenario_that_compares(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers, file = tmp_path / "answers.toml", tmp_path / "mine.toml"
    answers.write_text(ANSWERS, encoding="utf-8")
    text = answer(capsys, "new", str(file), "--answers", str(answers))
    assert text.strip() == f"Written to {file}. Now: lifecycle compare {file}"
    assert result(capsys, "compare", str(file))["verdict_parts"]["subject"] == "coat_now"
    before = file.read_bytes()
    assert "exists already" in mistake(capsys, "new", str(file), "--answers", str(answers))
    assert file.read_bytes() == before


def test_new_without_a_file_prints_the_scenario(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text(ANSWERS, encoding="utf-8")
    text = answer(capsys, "new", "--answers", str(answers))
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    assert lifecycle.load(tmp_path / "mine.toml").answers["quote"] == 8130


def test_new_with_bad_answers_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers, file = tmp_path / "answers.toml", tmp_path / "mine.toml"
    answers.write_text(ANSWERS.replace("keep = 8", "keep = -8"), encoding="utf-8")
    assert "keep" in mistake(capsys, "new", str(file), "--answers", str(answers))
    assert not file.exists()
    assert "folder that exists" in mistake(capsys, "new", str(tmp_path / "no" / "x.toml"))


def test_questions_whose_input_ends_are_one_message() -> None:
    done = run("new", stdin=subprocess.DEVNULL)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "answers.otherwise must be answered; got the end of the input" in done.stderr
    assert "Traceback" not in done.stderr


def test_stopping_leaves_no_traceback(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(path: str, **_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("lifecycle.files.load", stop)
    assert main(["compare", "x.toml"]) == 130
    assert "Traceback" not in capsys.readouterr().err


def test_a_reader_that_goes_away_leaves_no_traceback() -> None:
    read, write = os.pipe()
    os.close(read)
    command = [
        sys.executable,
        "-m",
        "lifecycle",
        "figures",
        str(SCENARIOS / "worked-example-3.toml"),
    ]
    done = subprocess.run(command, stdout=write, stderr=subprocess.PIPE, text=True, check=False, timeout=60)
    os.close(write)
    assert done.returncode == 141
    assert done.stderr == ""


def test_a_terminal_that_cannot_show_a_letter_is_no_mistake(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(GOOD.replace("Worked example 1", "Größe → 1"), encoding="utf-8")
    done = run("compare", str(file), env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert "Gr??e ? 1" in done.stdout


def test_help_imports_nothing_heavy() -> None:
    look = (
        "import sys\nfrom lifecycle.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit as end:\n    assert end.code == 0\n"
        "heavy = ('numpy', 'pandas', 'matplotlib', 'scipy', 'tomlkit')\n"
        "print([name for name in heavy if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", look], text=True, capture_output=True, check=True, timeout=60
    )
    assert "which way is cheaper?" in done.stdout
    assert done.stdout.splitlines()[-1] == "[]"


def test_comparing_without_a_chart_imports_no_drawing_and_no_scipy() -> None:
    """Ranges and all: `scipy.special` alone would take as long as the comparison."""
    file = str(SCENARIOS / "humid-coast-motorhome.toml")
    look = (
        f"import sys\nfrom lifecycle.cli import main\nmain(['compare', {file!r}, '--json'])\n"
        "print([name for name in ('pandas', 'matplotlib', 'scipy') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", look], text=True, capture_output=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_library_answers_as_the_command_line_does(capsys: pytest.CaptureFixture[str]) -> None:
    file = SCENARIOS / "worked-example-2.toml"
    found = result(capsys, "compare", str(file))
    comparison = lifecycle.compare(lifecycle.load(file))
    for name, way in comparison.ways.items():
        assert found["alternatives"][name]["net_present_cost"] == way.net_present_cost.tolist()


def test_the_library_names_what_it_offers() -> None:
    assert {"load", "compare", "resolve", "__version__"} <= set(dir(lifecycle))
    with pytest.raises(AttributeError, match="it has __version__, agreement, ask"):
        _ = lifecycle.spray  # type: ignore[attr-defined]


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["--version"])
    assert caught.value.code == 0
    said = capsys.readouterr().out
    assert said.startswith(f"lifecycle {lifecycle.__version__}, ")
    assert re.search(r"evaluation: (compiled, [^(]+, (gcc|clang)|numpy) \(.+\)", said)
