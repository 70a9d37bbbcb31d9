"""Doubt, timing, sensitivity and difference on the command line: answers, mistakes, and who waits."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import subprocess
import sys
import time
from contextlib import redirect_stdout
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from lifecycle.answers import doubt as doubt_answer
from lifecycle.answers import timing as timing_answer
from lifecycle.answers.difference import first_sentence as why_they_differ
from lifecycle.answers.sensitivity import break_even_line, flips_text
from lifecycle.cli import arguments
from lifecycle.cli.arguments import Waiting
from lifecycle.cli.main import main
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.files import load, loads, write
from lifecycle.language.labels import HEADINGS
from lifecycle.language.sentences import say
from lifecycle.language.verdict import NO_QUOTE, Verdict, VerdictParts, biggest_unknown, verdict_under
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.assessment import Assessment, brief, whole
from lifecycle.studies.difference import Cause, Difference
from lifecycle.studies.doubt import Band
from lifecycle.studies.switching import Switch
from lifecycle.studies.timing import NEVER, Choice, Timing
from lifecycle.studies.ways import WHEN_IT_MUST

pytestmark = pytest.mark.usefixtures("few_lives")

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHORT = str(SCENARIOS / "sells-in-three-years.toml")
PLAIN = str(SCENARIOS / "worked-example-3.toml")
TROUBLE = str(SCENARIOS / "trouble-reported.toml")
TEXT = (SCENARIOS / "sells-in-three-years.toml").read_text(encoding="utf-8")

FEW = ("--draws", "64")
SAID = Verdict(VerdictParts("coat_now", "keep", 3.0, "dearer"), ("Spray now: dearer.",))


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what a command prints; it must succeed."""
    assert main(arguments) == 0
    return capsys.readouterr().out


@cache
def printed(*arguments: str) -> str:
    """Return what a command prints, once for all tests that only read it."""
    with redirect_stdout(io.StringIO()) as out:
        assert main(arguments) == 0
    return out.getvalue()


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


@cache
def scenario() -> Scenario:
    return load(SHORT)


@cache
def compared() -> Comparison:
    return compare(scenario())


@cache
def assessed() -> Assessment:
    return brief(scenario(), draws=64)


# --- how sure is this? ---------------------------------------------------------------------------


def test_doubt_in_words() -> None:
    text = printed("doubt", SHORT, *FEW, "--all")
    assert text.startswith("How sure is this?\n")
    flowing = " ".join(text.split())
    assert 'Quite sure: in more than 39 in 40 futures "Spray now" is dearer' in flowing
    for part in (
        "so we tried 64 combinations of them",
        "spraying now is dearer, by about",
        "What each way costs, USD in today's money, by the year in which you sell",
        "Cheaper or dearer than what you would do otherwise [1]",
        "In how many of 20 futures each way is the cheapest of all",
        "the way at the left is cheaper than the way above",
        "a shop reseals every third year, you look every year",
        "Luck is another thing",
        "an unplanned new roof by year 3",
        "What a wrong choice costs",
        "Worth finding out",
        "Where the doubt comes from",
    ):
        assert part in flowing, part
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "nan" not in text.lower().split()


def test_futures_of_the_cheapest_add_up_to_twenty() -> None:
    text = printed("doubt", SHORT, *FEW, "--all")
    block = text[text.index("is the cheapest of all, if you keep") :].split("\n\n")[0].splitlines()[1:]
    rows = [re.search(r"(\d+)  (o+)$", line) for line in block]
    counts = [(int(row[1]), len(row[2])) for row in rows if row]
    assert sum(number for number, _ in counts) == 20
    assert all(number == dots for number, dots in counts)


@pytest.mark.parametrize("name", ["humid-coast-motorhome", "two-quotes", "own-hands"])
def test_how_sure_fits_a_screen_and_the_rest_is_there(name: str) -> None:
    file = str(SCENARIOS / f"{name}.toml")
    first, whole = printed("doubt", file, *FEW), printed("doubt", file, *FEW, "--all")
    assert len(first.splitlines()) <= 40 and first.rstrip().endswith("add --all.")
    assert "sold after ... years" in first
    assert whole.startswith(first[: first.index("There is more")].rstrip())


def test_doubt_without_a_range_shows_costs_and_luck_only() -> None:
    text = printed("doubt", PLAIN, *FEW)
    assert "Every input stands at one value, so nothing here says how sure this is" in text
    assert "futures" not in text
    assert "16 of 20" not in text
    assert "Luck is another thing" in text


def test_a_bill_may_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "one bill above 1,234 USD by year 8" in answer(capsys, "doubt", PLAIN, *FEW, "--bill", "1234")
    assert result(capsys, "doubt", PLAIN, *FEW, "--bill", "1234")["luck"]["large_bill"] == 1234.0


@pytest.mark.parametrize("command", ["doubt", "timing", "sensitivity", "card"])
def test_trouble_is_opened_first(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(capsys, command, TROUBLE)
    assert said.startswith(f"{HEADINGS[command]}\n") and "\n\nOpen it first." in said
    found = result(capsys, command, TROUBLE)
    assert found["alternatives"] is None
    assert found["reasons"]["alternatives"].startswith("open it first")


@pytest.mark.parametrize("command", ["doubt", "timing", "sensitivity"])
def test_one_way_has_nothing_to_be_sure_of(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    alone = tmp_path / "alone.toml"
    text = (SCENARIOS / "worked-example-3.toml").read_text(encoding="utf-8")
    start = text.index("[alternatives.coat_later]")
    end = text.find("\n[", start + 1)
    alone.write_text(text[:start] + (text[end:] if end > 0 else ""), encoding="utf-8")
    assert "There is nothing to compare" in answer(capsys, command, str(alone))
    assert result(capsys, command, str(alone))["reasons"] == {"alternatives": "there is only one way"}


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_the_sheet_of_doubt_is_drawn(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / f"sure.{kind}"
    assert f"Chart: {place}" in answer(capsys, "doubt", PLAIN, *FEW, "--chart", str(place))
    start = place.read_bytes()[:200]
    assert start.startswith(b"\x89PNG") if kind == "png" else b"<svg" in start or b"<?xml" in start
    assert [path.name for path in tmp_path.iterdir()] == [place.name]


@pytest.mark.parametrize(
    ("command", "headed"),
    [(("timing", SHORT, *FEW), "When to change?"), (("sensitivity", SHORT), "what moves the answer most")],
)
def test_dates_and_swings_are_drawn_under_the_first_sentence(
    command: tuple[str, ...], headed: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from matplotlib.text import Text

    drawn: list[Any] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(arguments, "write", lambda place, content: drawn.append((place, content)))
        patch.setattr("lifecycle.charts.picture_bytes", lambda figure, _: drawn.append(figure) or b"")
        said = answer(capsys, *command, "--chart", str(tmp_path / "sheet.svg"))
    figure, (place, _) = drawn
    texts = " ".join(text.get_text().replace("\n", " ") for text in figure.findobj(Text))
    assert place.name == "sheet.svg"
    assert headed in texts
    starts = [" ".join(part.split()[:6]) for part in said.split("\n\n")[1:4]]
    first = next(start for start in starts if figure.text_alternative.startswith(start))
    assert first in texts


def test_how_sure_is_a_word_by_the_futures(monkeypatch: pytest.MonkeyPatch) -> None:
    said = []
    for chance in (0.99, 0.8, 0.5, 0.2, 0.01):
        monkeypatch.setattr(type(assessed().doubt), "chance_cheaper", lambda *_, chance=chance, **__: chance)
        said.append(doubt_answer.first_sentence(assessed(), SAID).split(' "')[0])
    assert said == [
        "Quite sure: in more than 39 in 40 futures",
        "Fairly sure: in 16 of 20 futures",
        "Not sure: in 10 of 20 futures",
        "Fairly sure: in 16 of 20 futures",
        "Quite sure: in more than 39 in 40 futures",
    ]


def test_few_futures_that_fit_the_history_are_said_first_and_with_the_chances() -> None:
    found = brief(loads(TEXT.replace("[existing]", "[existing]\nleaks_found = 40")), draws=64)
    said = doubt_answer.first_sentence(found, SAID)
    assert said.startswith("Mind: the history of this roof fits few futures; of 64 draws only about")
    second = verdict_under(compare(found.scenario), found).lines[1]
    assert "the history of this roof fits few futures" in second


# --- compare under doubt -------------------------------------------------------------------------


def test_compare_speaks_the_whole_grammar(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(answer(capsys, "compare", SHORT, *FEW).split())
    for part in (
        "Keep the membrane and have a shop reseal it every third year.",
        "less than spraying now, if you keep it 3 years. In 16 of 20 futures it is",
        "Against what you would do otherwise (only looking), spraying now is dearer",
        "If you sell after 5 years, it is cheaper in",
        "Next: ",
    ):
        assert part in text, part
    assert "one case" not in text


def test_a_scenario_without_ranges_keeps_to_one_value(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "compare", PLAIN)
    assert found["verdict_parts"]["of_20"] is None
    assert "This is one case; nothing here says how sure it is." in " ".join(found["verdict"])
    cost = found["doubt"]["alternatives"]["keep"]["cost"]
    assert cost["p10"][8] == pytest.approx(cost["p90"][8])


def test_the_word_under_doubt_is_that_of_the_futures(capsys: pytest.CaptureFixture[str]) -> None:
    parts = result(capsys, "compare", str(SCENARIOS / "humid-coast-motorhome.toml"), *FEW)["verdict_parts"]
    assert parts["low"] < parts["middle"] < parts["high"]
    assert 0 <= parts["of_20"] <= 20
    assert list(parts["if_sold"]) == ["5"]
    assert parts["cheapest_willing"] is not None
    assert parts["next_step"].startswith("Next: ")


def test_draws_and_seed_are_those_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, "compare", SHORT, "--draws", "32", "--seed", "5")["doubt"]
    assert (found["draws"], found["seed"]) == (32, 5)
    assert 0.0 < found["effective_draws"] <= 32.0
    other = result(capsys, "compare", SHORT, "--draws", "32", "--seed", "6")["doubt"]
    assert found["alternatives"]["keep"]["cost"] != other["alternatives"]["keep"]["cost"]


def test_without_a_quote_the_highest_price_has_its_band() -> None:
    answers = '\n[answers]\nquote = "not sure"\n'
    found = brief(loads(TEXT + answers), draws=64)
    said = verdict_under(compare(found.scenario), found)
    assert said.parts.word == NO_QUOTE
    assert "(16 of 20: " in said.lines[1]


def test_not_sure_what_otherwise_gives_each_way_with_its_chance() -> None:
    answers = '\n[answers]\notherwise = "not sure"\n'
    found = brief(loads(TEXT + answers), draws=64)
    said = verdict_under(compare(found.scenario), found)
    rows = [line for line in said.lines if line.startswith("- ")]
    assert rows
    assert all(re.fullmatch(r"- .+: (\d+)( / \d+)*", row) for row in rows)
    assert "Quite sure" not in doubt_answer.first_sentence(found, said)
    assert said.lines[-1].startswith("Next: settle what you would really do otherwise.")


def test_the_table_of_20s_marks_what_the_owner_said_and_nothing_else() -> None:
    text = (SCENARIOS / "humid-coast-motorhome.toml").read_text(encoding="utf-8")
    marked = []
    for answers in ("", '\n[answers]\notherwise = "not sure"\nkeep = "not sure"\n'):
        found = whole(loads(text + answers), draws=32)
        table = doubt_answer.own_twenties(compare(found.scenario), found)
        assert table is not None
        marked.append((table.strong, bool(table.shaded), "(what you would do)" in str(table.rows)))
    assert marked == [((0,), True, True), ((), False, False)]


# --- worth finding out ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("figures.shop_reseal_cost", "what a full reseal costs"),
        ("owner.hour_value", "what an hour of yours is worth"),
        ("roofs.membrane.life_mean", "how long roofs like yours last"),
    ],
)
def test_the_biggest_unknown_is_named_as_a_person_would(path: str, name: str) -> None:
    knowing = assessed().knowing
    assert knowing is not None
    knowing = replace(knowing, share_by_input={path: 0.6, "together": 0.4})
    assert biggest_unknown(replace(assessed(), knowing=knowing)) == f"The biggest unknown is {name}."
    small = replace(knowing, share_by_input={path: 0.09, "together": 0.91})
    assert biggest_unknown(replace(assessed(), knowing=small)) is None


# --- now, later or never? ------------------------------------------------------------------------


def band(cost: float) -> Band:
    """Return a band of one cost."""
    return Band(*(cost + shift for shift in (0.0, -500.0, 0.0, 500.0)))  # type: ignore[arg-type]


def times(
    change: dict[int | str, float], reseal: dict[int | str, float] | None = None, rise: float = 0.0
) -> Timing:
    """Return a timing by hand: costs by date, and by interval."""
    dates = tuple(
        Choice(when, "membrane", band(cost), 0.5, rise if isinstance(when, int) and when else None)
        for when, cost in change.items()
    )
    intervals = tuple(Choice(when, "membrane", band(cost), 0.5) for when, cost in (reseal or {}).items())
    return Timing(dates, intervals, 8.0, 9000.0, "coat_now", "membrane", 64, 1)


@pytest.mark.parametrize(
    ("costs", "start"),
    [
        ({0: 7000.0, 1: 7900.0, WHEN_IT_MUST: 9000.0, NEVER: 9900.0}, "Spray now. That costs about 7,000"),
        ({0: 9000.0, 1: 8000.0, 6: 6000.0, NEVER: 9900.0}, "Wait until year 6, then spray. That costs about"),
        ({0: 9000.0, 1: 8000.0, WHEN_IT_MUST: 5000.0}, "Wait until the roof must go, then spray."),
        ({0: 9000.0, 1: 8000.0, NEVER: 3000.0}, "Never spray: lay the same roof again when it must go."),
    ],
)
def test_when_to_change_in_a_sentence(costs: dict[int | str, float], start: str) -> None:
    said = timing_answer.when_sentence(scenario(), times(costs))
    assert said.startswith(start)
    assert "if you keep it 8 years" in said


def test_a_date_that_costs_about_the_same_is_named() -> None:
    said = timing_answer.when_sentence(scenario(), times({0: 9000.0, 1: 6100.0, 6: 6000.0}))
    assert "To spray now costs about 3,000 USD more." in said
    assert said.endswith("About as cheap: in year 1.")


@pytest.mark.parametrize(
    ("costs", "start"),
    [
        (
            {0: 9000.0, 1: 8850.0},
            "Nothing in these figures makes the offer's last day matter: waiting a year ",
        ),
        ({0: 9000.0, 1: 8000.0}, "The offer's last day does not matter: waiting a year saves about 1,000"),
        ({0: 9000.0, 1: 10200.0}, "Waiting a year costs about 1,200; a month of waiting costs about 100."),
        ({0: 9000.0, NEVER: 8000.0}, "You sell within the year"),
    ],
)
def test_whether_the_last_day_of_an_offer_matters(costs: dict[int | str, float], start: str) -> None:
    assert timing_answer.last_day_sentence(times(costs)).startswith(start)


def test_the_last_day_matters_by_less_than_a_round_amount_above() -> None:
    said = timing_answer.last_day_sentence(times({0: 9000.0, 1: 8799.0}))
    assert "costs or saves less than 300," in said


def test_how_far_the_price_may_rise() -> None:
    said = timing_answer.last_day_sentence(times({0: 9000.0, 1: 8000.0}, rise=1810.0))
    assert said.endswith(
        "The price may rise by about 1,800 (20 %) in 1 year before that wait costs more than to do it now."
    )


def test_how_often_to_reseal_in_a_sentence() -> None:
    found = times({0: 1.0}, {12: 9000.0, 36: 6000.0, 60: 6050.0, NEVER: 9900.0})
    said = timing_answer.how_often_sentence(scenario(), found)
    assert said.startswith("Reseal every third year, if you keep the roof as in")
    assert said.endswith("About as cheap: every fifth year.")
    never = times({0: 1.0}, {12: 9000.0, NEVER: 6000.0})
    assert timing_answer.how_often_sentence(scenario(), never).startswith("Never reseal in full")


def test_timing_in_words_and_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "timing", SHORT, *FEW, "--all")
    assert text.startswith("Now, later or never?\n")
    assert "The change at other dates, USD in today's money, if you keep it 3 years" in text
    assert "A full reseal at other intervals" in text
    assert max(len(line) for line in text.splitlines()) <= 100
    found = result(capsys, "timing", SHORT, *FEW)
    assert [choice["when"] for choice in found["change"]] == [0, 1, 2, "when it must", "never"]
    assert [choice["when"] for choice in found["reseal"]] == [6, 12, 18, 24, 36, 48, 60, 72, "never"]
    for table in ("change", "reseal"):
        assert sum(choice["chance_best"] for choice in found[table]) == pytest.approx(1.0)
    cheapest = min(found["change"], key=lambda choice: choice["cost"]["mean"])
    assert found["best_change"] == cheapest["when"]
    assert " ".join(found["said"][0].split()) in " ".join(text.split())


def test_timing_without_a_range_speaks_of_no_futures(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "timing", PLAIN, *FEW)
    assert "futures" not in text
    assert "16 of 20" not in text
    assert say("timing.one_value") in text


# --- what would change the answer? ---------------------------------------------------------------


def test_sensitivity_in_words_and_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    text = answer(capsys, "sensitivity", SHORT)
    found = result(capsys, "sensitivity", SHORT)
    assert text.startswith("What would change the answer?\n")
    assert "as one figure at a time goes through its range" in " ".join(text.split())
    assert len(text.splitlines()) <= 40
    sizes = [abs(swing["at_high"] - swing["at_low"]) for swing in found["swings"]]
    assert len(sizes) == sum(figure.ranged for figure in scenario().inputs.values())
    turning = [swing for swing in found["swings"] if swing["switch_values"]]
    for swing in found["swings"]:
        assert all(swing["low"] <= value <= swing["high"] for value in swing["switch_values"])
        assert bool(swing["switch_values"]) != ("reasons" in swing)
    number = {0: "No single figure", 1: "Only 1 of"}.get(len(turning), f"figures {len(turning)} change")
    first = " ".join(text.split("\n\n")[2].split())
    assert first.startswith('"Spray now", held against what you would do otherwise') and number in first
    defaults = found["defaults"]
    assert not set(defaults["cannot_change_it"]) & set(defaults["can_change_it"])


def test_indices_say_first_what_they_leave_out(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lifecycle.studies.sensitivity.BASE_POINTS", 128)
    found = result(capsys, "sensitivity", SHORT, "--indices")["indices"]
    assert found["said_first"].startswith("Computed as if the inputs moved independently of each other")
    assert len(found["by_input"]) == 20
    assert found["evaluations"] == 128 * 22
    for index in found["by_input"].values():
        assert index["first"] <= index["total"] + 3.0 * (index["first_error"] + index["total_error"])


def test_as_correlated_is_refused_with_its_reason(capsys: pytest.CaptureFixture[str]) -> None:
    said = mistake(capsys, "sensitivity", SHORT, "--indices", "--as-correlated")
    assert "--as-correlated is refused" in said
    assert "move together" in said


def test_a_map_has_its_letters_and_its_line() -> None:
    pair = ("owner.holding_period", "figures.shop_reseal_cost")
    humid = str(SCENARIOS / "humid-coast-motorhome.toml")
    found = json.loads(printed("sensitivity", humid, "--map", *pair, "--json"))["map"]
    assert (found["across"], found["up"]) == pair
    text = printed("sensitivity", humid, "--map", *pair)
    rows = [
        line.split()[-1]
        for line in text.splitlines()
        if set(line.split()[-1:][0] if line else "x") <= {"o", "."}
    ]
    drawn = [row for row in rows if len(row) == len(found["across_values"])]
    assert len(drawn) == len(found["up_values"])
    for row, savings in zip(reversed(drawn), found["net_savings"], strict=True):
        assert row == "".join("o" if saved >= 0.0 else "." for saved in savings)
    assert found["break_even_line"]
    low, high = found["across_values"][0], found["across_values"][-1]
    assert all(low <= across <= high for across, _ in found["break_even_line"])


def test_the_break_even_line_by_hand() -> None:
    import numpy as np

    from lifecycle.studies.sensitivity import TwoWayMap

    figure = scenario().inputs["owner.holding_period"]
    across, up = np.array([0.0, 10.0, 20.0]), np.array([1.0, 2.0])
    savings = np.array([[-30.0, 10.0, 50.0], [5.0, 15.0, 25.0]])
    plan = TwoWayMap("a", "b", figure, figure, across, up, savings)
    assert break_even_line(plan) == [(7.5, 1.0)]


@pytest.mark.parametrize(
    ("at", "cheaper_at_low", "said"),
    [
        ((970.0,), False, "dearer below about 970 USD, cheaper above"),
        ((400.0, 970.0), True, "cheaper below about 400 USD, dearer up to about 970 USD, cheaper above"),
        ((), True, "stays cheaper all along"),
    ],
)
def test_where_it_flips_in_words(at: tuple[float, ...], cheaper_at_low: bool, said: str) -> None:
    figure: Figure = scenario().inputs["figures.shop_reseal_cost"]
    assert flips_text(Switch(figure, at, cheaper_at_low), scenario()) == said


# --- why do two differ? --------------------------------------------------------------------------


def test_difference_in_words_and_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "other.toml"
    figure = scenario().inputs["leaks.patch_cost"]
    other.write_text(TEXT + "\n", encoding="utf-8")
    same = answer(capsys, "difference", SHORT, str(other))
    assert "The two give the same answer: nothing that matters to it is said differently." in same
    text = TEXT.replace(
        '[leaks]\nlike = "shared"', f'[leaks]\nlike = "shared"\npatch_cost = {figure.likely + 900}'
    )
    assert text != TEXT
    other.write_text(text, encoding="utf-8")
    found = result(capsys, "difference", SHORT, str(other))
    assert [cause["key"] for cause in found["causes"]] == ["leaks.patch_cost"]
    assert sum(cause["amount"] for cause in found["causes"]) == pytest.approx(found["difference"])
    said = answer(capsys, "difference", SHORT, str(other))
    assert said.startswith("Why do the two differ?\n")
    assert "all of it is the cost of a leak found at once" in " ".join(said.split())


def cause(label: str, amount: float) -> Cause:
    return Cause(label, label, "a", "b", amount, 0.0, ())


@pytest.mark.parametrize(
    ("amounts", "said"),
    [
        ({}, "The two give the same answer: nothing that matters to it is said differently."),
        (
            {"the roof": 500.0, "years": -500.0},
            "The two give the same answer, though they differ in 2 things, which cancel out: first of all "
            "the roof.",
        ),
        (
            {"what you would do otherwise": 5700.0, "years you keep it": 3500.0},
            "Against what would be done otherwise, the way in question is about 9,200 cheaper in the second "
            "than in the first: about 5,700 of it is what you would do otherwise and about 3,500 years you "
            "keep it.",
        ),
        (
            {"the roof": -570.0},
            "Against what would be done otherwise, the way in question is about 570 dearer in the second "
            "than in the first: all of it is the roof.",
        ),
        (
            {"the roof": -5700.0, "years": 1700.0},
            "Against what would be done otherwise, the way in question is about 4,000 dearer in the second "
            "than in the first: about 5,700 of it is the roof. Against it: years (1,700).",
        ),
    ],
)
def test_why_two_differ_in_a_sentence(amounts: dict[str, float], said: str) -> None:
    causes = tuple(cause(*one) for one in amounts.items())
    assert (
        why_they_differ(Difference(0.0, sum(amounts.values()), ("a", "b"), ("a", "b"), causes, None, 1))
        == said
    )


# --- mistakes ------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["compare", "doubt", "timing"])
def test_too_few_draws(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "--draws must be at least 16" in mistake(capsys, command, SHORT, "--draws", "15")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("doubt", SHORT, "--seed", "-1"), "--seed must be a whole number from 0"),
        (("doubt", SHORT, "--draws", "3", "--seed", "-1"), "2 faults"),
        (("doubt", SHORT, "--draws", "100000000000"), "--draws must be at most"),
        (("doubt", SHORT, "--bill", "nan"), "--bill must be an amount of money"),
        (("doubt", SHORT, "--chart", "sure.pdf"), "must name a file ending in .png or .svg"),
        (("timing", SHORT, "--chart", "when.pdf"), "must name a file ending in .png or .svg"),
        (("sensitivity", SHORT, "--chart", "what.gif"), "must name a file ending in .png or .svg"),
        (("sensitivity", SHORT, "--seed", "-1"), "--seed must be"),
        (("sensitivity", SHORT, "--map", "owner.holding_perio", "x"), 'did you mean "owner.holding_period"?'),
        (("sensitivity", SHORT, "--map", "study.study_period", "owner.day_cost"), "fixes the calendar"),
        (("sensitivity", SHORT, "--map", "owner.day_cost", "owner.day_cost"), "two different inputs"),
        (("difference", SHORT, "nowhere.toml"), "does not exist"),
        (("difference", SHORT, TROUBLE), "trouble is reported"),
    ],
)
def test_mistakes_are_one_message(
    arguments: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in mistake(capsys, *arguments)


def test_two_currencies_are_not_compared(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "other.toml"
    other.write_text(TEXT.replace('currency = "USD"', 'currency = "CAD"'), encoding="utf-8")
    assert "must be in the currency of the first; got CAD" in mistake(capsys, "difference", SHORT, str(other))


@pytest.mark.parametrize("command", ["compare", "doubt", "timing"])
def test_correlations_that_contradict_each_other(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.toml"
    names = "leaks.patch_cost", "leaks.rot_cost", "roofs.membrane.renew_cost"
    pairs = zip(names, (*names[1:], names[0]), (0.9, 0.9, -0.9), strict=True)
    stated = [f'\n[[correlations]]\na = "{a}"\nb = "{b}"\nrank = {rank}\n' for a, b, rank in pairs]
    file.write_text(TEXT + "".join(stated), encoding="utf-8")
    assert "the rank correlations contradict each other" in mistake(capsys, command, str(file))


IMPOSSIBLE = {
    "joint_leaks_first_year": 0,
    "age_leaks_ten_years": 0,
    "puncture_rate": 0,
    "ends_by_leak": 0,
}


@pytest.mark.parametrize("command", ["compare", "doubt", "timing"])
def test_a_history_that_no_draw_can_explain(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A roof that cannot leak, on which leaks were found."""
    file = tmp_path / "mine.toml"
    text = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
    start = text.index("[roofs.membrane]")
    kept = "\n".join(
        line for line in text[start:].splitlines() if line.split("=")[0].strip() not in IMPOSSIBLE
    )
    leakless = "\n".join(f"{name} = {value}" for name, value in IMPOSSIBLE.items())
    kept = kept.replace("[roofs.membrane]", f"[roofs.membrane]\n{leakless}", 1)
    kept = kept.replace("[existing]", "[existing]\nleaks_found = 3", 1)
    file.write_text(text[:start] + kept, encoding="utf-8")
    said = mistake(capsys, command, str(file))
    assert "no draw of the inputs can explain this roof's history" in said
    without = file.with_name("nothing-found.toml")
    without.write_text(file.read_text(encoding="utf-8").replace("leaks_found = 3", ""), encoding="utf-8")
    assert main(["compare", str(without), "--likely", "--json", "--draws", "16"]) == 0
    ways = json.loads(capsys.readouterr().out)["alternatives"]
    assert len(ways) > 1
    for way in ways.values():
        assert f"{way['title']}: {way['net_present_cost'][8]:,.0f}" in said


# --- who waits -----------------------------------------------------------------------------------


def test_very_many_draws_say_what_they_take_and_go_on(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arguments, "MANY", 63)
    monkeypatch.setattr(arguments, "TRIED", 16)
    assert main(["compare", PLAIN, *FEW]) == 0
    said = capsys.readouterr()
    assert said.err.startswith("lifecycle: 64 draws take about ")
    assert "GB of memory here" in said.err
    assert said.out.startswith("Which way is cheaper?")


def test_draws_that_do_not_fit_into_memory_are_refused_before_they_start(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("lifecycle.cli.arguments.memory", lambda: 2.0)
    monkeypatch.setattr("lifecycle.studies.assessment.brief", None)
    said = mistake(capsys, "doubt", SHORT, "--draws", "10000000")
    assert "--draws must fit into the memory of this computer, 2.0 GB; got 10,000,000" in said
    assert "take at most" in said


class Terminal(io.StringIO):
    """A stream that takes itself for a terminal."""

    def isatty(self) -> bool:
        return True


def shown(stream: io.StringIO, seconds: float, monkeypatch: pytest.MonkeyPatch) -> str:
    """Return what stands on a stream when work ends after some seconds; a second lasts a hundredth."""
    monkeypatch.setattr("lifecycle.cli.arguments.QUIET", 0.01)
    monkeypatch.setattr("lifecycle.cli.arguments.BETWEEN", 0.002)
    with Waiting(stream) as waiting:
        waiting.step("the table of 20s")
        waiting.part(1, 2)
        time.sleep(seconds / 100.0)
    return stream.getvalue()


def test_a_line_for_whoever_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    written = shown(Terminal(), 20.0, monkeypatch)
    assert "50 % [############            ] the table of 20s, 00:00, about 00:00 left" in written
    assert written.endswith("\r")
    assert written.rstrip("\r").split("\r")[-1].strip() == ""


def test_nothing_is_shown_of_quick_work_nor_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    assert shown(io.StringIO(), 5.0, monkeypatch) == ""
    monkeypatch.setattr("lifecycle.cli.arguments.QUIET", 60.0)
    stream = Terminal()
    with Waiting(stream) as waiting:
        waiting.step("quick")
    assert stream.getvalue() == ""


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "chart.png"
    place.write_bytes(b"before")

    def stop(source: object, target: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("lifecycle.files.os.replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write(place, b"after")
    assert place.read_bytes() == b"before"
    assert [path.name for path in tmp_path.iterdir()] == ["chart.png"]


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_stopping_a_long_run_leaves_nothing_behind(tmp_path: Path) -> None:
    place = tmp_path / "sure.png"
    command = [sys.executable, "-m", "lifecycle", "doubt", SHORT, "--draws", "200000"]
    run = subprocess.Popen(
        [*command, "--chart", str(place)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a test run may ignore it
    )
    assert run.stderr is not None
    first = run.stderr.readline()  # what the draws take: the work has begun
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert "draws take about" in first
    assert run.returncode == 130
    assert out == ""
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_comparing_imports_nothing_that_takes_a_second() -> None:
    look = (
        f"import sys\nfrom lifecycle.cli import main\nmain(['compare', {SHORT!r}, '--draws', '16'])\n"
        "print([name for name in ('pandas', 'matplotlib', 'scipy.stats') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", look], text=True, capture_output=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"
