"""The seven questions at the prompt, and answers read from a file."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from lifecycle import files
from lifecycle.cli.asking import ask, read_answers
from lifecycle.cli.main import main
from lifecycle.errors import ScenarioError
from lifecycle.interview import NOT_SURE, parts, scenario_text
from lifecycle.interview.typed import understood

BASE_DATE = date(2027, 4, 1)
LINES = {
    "otherwise": "1",
    "climbs": "yes",
    "climbs_in_ten_years": "no",
    "reseal_price": "not sure",
    "hour_value": "20",
    "keep": "6 10 15",
    "quote": "$8,130",
    "quoted_length": "26 ft",
    "quoted_by": "the whole coach",
    "warranty_years": "10",
    "warranty_in_writing": "no",
    "decided": "no",
    "roof_age": "14 months",
    "covering": "1",
    "seal_age": "never",
    "length": "26",
    "place": "Miami, Florida",
    "second_place": "",
    "sheltered_share": "3",
    "trouble": "none",
}


def typist(lines: list[str], shown: list[str]) -> Callable[[str], str]:
    """Return an `input` that types `lines` and keeps the prompts."""
    left = iter(lines)

    def type_line(prompt: str) -> str:
        shown.append(prompt)
        try:
            return next(left)
        except StopIteration:
            raise EOFError from None

    return type_line


def asked(lines: list[str]) -> tuple[dict[str, Any], list[str]]:
    """Return the answers that `lines` give, and all that was shown."""
    shown: list[str] = []
    return ask(typist(lines, shown), shown.append), shown


def with_lines(**changed: str | list[str]) -> list[str]:
    """Return the lines of a whole interview with some of them changed."""
    lines: list[str] = []
    for line in {**LINES, **changed}.values():
        lines += line if isinstance(line, list) else [line]
    return lines


def test_a_whole_interview_makes_a_scenario_that_loads() -> None:
    answers, shown = asked(with_lines())
    assert answers["keep"] == {"low": 6, "likely": 10, "high": 15}
    assert answers["quote"] == 8130
    assert answers["quoted_by"] == "overall"
    assert answers["sheltered_share"] == 0.25
    assert answers["trouble"] == []
    assert "second_place" not in answers
    assert any("understood: 6 / 10 / 15 years" in line for line in shown)
    scenario = files.loads(scenario_text(answers, base_date=BASE_DATE))
    assert scenario.answers["otherwise"] == "shop_every_year"


@pytest.mark.parametrize("key", ["otherwise", "climbs", "reseal_price", "keep", "quote", "roof_age"])
def test_an_empty_line_is_no_answer_where_no_default_stands(key: str) -> None:
    answers, shown = asked(with_lines(**{key: ["", LINES[key]]}))
    assert answers == asked(with_lines())[0]
    assert any("No answer is assumed here" in line for line in shown)


def test_not_sure_is_an_answer_to_every_question() -> None:
    lines = ["not sure"] * 7 + ["7 years"] + ["not sure"] * 6
    answers, _ = asked(lines)
    assert answers.pop("roof_age") == 84
    assert set(answers.values()) == {NOT_SURE}
    assert files.loads(scenario_text({**answers, "roof_age": 84}, base_date=BASE_DATE)).title


@pytest.mark.parametrize(
    ("key", "wrong", "said"),
    [
        ("otherwise", "9", "Say a number from 1 to 7, or 'not sure'."),
        ("climbs", "perhaps", "Say yes or no, or 'not sure'."),
        ("keep", "15 10 6", "Say one number from 1 to 60 years, or three with the smallest first"),
        ("quote", "-3", "Say a number from 1 to 1,000,000, or 'not sure'."),
        ("roof_age", "14", "Say months or years, as 14 months or 7 years."),
        ("seal_age", "3 years", "must not be above the age of the roof, 14 months"),
        ("roof_age", "not sure", "has to be known: a good guess will do"),
        ("length", "hm", "Say a number from 5 to 100 ft, or 'not sure'."),
        ("sheltered_share", "13", "Say a number of months from 0 to 12"),
        ("trouble", "rust", "Say numbers from 1 to 5, or none, or 'not sure'."),
    ],
)
def test_a_wrong_line_is_explained_and_asked_again(key: str, wrong: str, said: str) -> None:
    answers, shown = asked(with_lines(**{key: [wrong, LINES[key]]}))
    assert answers == asked(with_lines())[0]
    assert any(said in line for line in shown), shown


def test_who_reseals_and_does_not_climb_is_asked_again() -> None:
    answers, shown = asked(with_lines(otherwise="4", climbs=["no", "yes"]))
    assert answers["otherwise"] == "own_reseal" and answers["climbs"] is True
    assert any("does not fit" in line for line in shown)


def test_input_that_ends_early_is_one_message() -> None:
    with pytest.raises(ScenarioError, match="must be answered; got the end of the input"):
        asked(["1", "yes"])


@pytest.mark.parametrize(
    ("key", "typed", "answer"),
    [
        ("keep", "10", 10),
        ("keep", "6,10,15", {"low": 6, "likely": 10, "high": 15}),
        ("quote", "8130.50", 8130.5),
        ("quoted_length", "8 m", 26.25),
        ("roof_age", "1.5 years", 18),
        ("roof_age", "2 years 3 months", 27),
        ("seal_age", "3 years ago", 36),
        ("seal_age", "Never", "never"),
        ("climbs", "Y", True),
        ("otherwise", "Honestly, nothing", "nothing"),
        ("trouble", "2, 1", ["stain", "soft spot"]),
        ("trouble", "musty smell and white patch", ["musty smell", "white patch"]),
        ("second_share", "4 months", 0.3333),
        ("hour_value", "?", NOT_SURE),
    ],
)
def test_what_is_typed_is_understood(key: str, typed: str, answer: object) -> None:
    assert understood(parts()[key], typed) == answer


ANSWERS = """
[answers]
otherwise = "own_touch_up"
keep = 8
quote = 8130
quoted_length = 26
roof_age = 14
"""


def test_answers_are_read_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(ANSWERS, encoding="utf-8")
    answers = read_answers(path)
    assert answers["otherwise"] == "own_touch_up"
    scenario = files.loads(scenario_text(answers, base_date=BASE_DATE))
    path.write_text(scenario_text(answers, base_date=BASE_DATE), encoding="utf-8")
    assert read_answers(path) == answers == scenario.answers


def test_metres_are_converted_at_the_border(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text('units = "metric"\n' + ANSWERS.replace("26", "7.9248"), encoding="utf-8")
    assert read_answers(path)["quoted_length"] == pytest.approx(26)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[study]\n", r"must hold a section \[answers\]"),
        ('units = "miles"\n' + ANSWERS, "must be 'us' or 'metric'"),
        ('currency = "EUR"\n' + ANSWERS, "must be 'USD'"),
        ("[answers\n", "must be TOML"),
    ],
)
def test_a_file_that_holds_no_answers_is_one_message(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match=said):
        read_answers(path)


def test_a_missing_file_is_one_message(tmp_path: Path) -> None:
    with pytest.raises(ScenarioError):
        read_answers(tmp_path / "none.toml")


def test_a_plan_of_ones_own_without_climbing_is_said_in_the_words_of_the_questions() -> None:
    _, shown = asked(with_lines(otherwise="4", climbs=["no", "yes"]))
    said = next(line for line in shown if "does not fit" in line)
    assert 'it must be yes for what you would do otherwise, "I reseal it myself, every year"' in said
    assert "own_reseal" not in said and "true" not in said


def test_money_is_asked_for_with_its_unit() -> None:
    _, shown = asked(with_lines())
    assert any(line.strip() == "The price with tax (USD):" for line in shown)
    assert any(line.strip().endswith("worth to you? (USD an hour)") for line in shown)


def test_a_place_that_is_not_known_is_asked_again_with_the_nearest_names() -> None:
    answers, shown = asked(with_lines(place=["Miamy, FL", "Humid coast", "miami"]))
    assert answers["place"] == "Miami"
    said = [line for line in shown if "not in the table of places" in line]
    assert len(said) == 2
    assert "Nearest: Miami. " in said[0]
    assert all(name in said[1] for name in files.shared()["places"])  # none is near: all are named


@pytest.mark.parametrize(
    ("key", "lines", "said"),
    [
        ("quote", ["8.130", "8,130"], "'8.130' can be read as 8,130 or as 8.13. Type the one that you mean."),
        ("keep", ["2020", "6 10 15"], "'2020' is a sale before today"),
        ("reseal_price", ["0", "not sure"], "'0' is no answer here"),
        ("length", ["20", "26"], "must not be below the feet of the quote, 26 ft"),
        ("quote", ["80", "no", "8130"], "This is very low: for 5 ft"),
        ("quote", ["8,130 plus tax", "8130"], "'8,130 plus tax' is no answer here"),
    ],
)
def test_what_cannot_be_meant_is_asked_about_and_the_answers_before_are_kept(
    key: str, lines: list[str], said: str
) -> None:
    answers, shown = asked(with_lines(**{key: lines}))
    assert answers == asked(with_lines())[0]
    assert any(said in line for line in shown), shown


def test_sprayed_feet_that_are_the_whole_coach_are_questioned_with_their_cost() -> None:
    """The usual share that is sprayed is 0.83: of 8,130, what stands for the rest is 1,382."""
    sprayed = with_lines(quoted_by="what is sprayed", length=["26", "no", "30"])
    answers, shown = asked(sprayed)
    assert answers["length"] == 30
    assert any("that is 1,382 for ends that are not sprayed" in line for line in shown)
    meant = asked(with_lines(quoted_by="what is sprayed", length=["26", "yes"]))[0]
    assert meant["length"] == 26


def test_a_low_quote_that_is_meant_is_taken_and_asked_about_once() -> None:
    answers, shown = asked(with_lines(quote=["700", "yes"]))
    assert answers["quote"] == 700
    assert sum("Is it so?" in line for line in shown) == 1


def test_back_asks_the_question_before_again() -> None:
    answers, _ = asked(with_lines(length=["back", "never", "26"]))
    assert answers == asked(with_lines())[0]
    changed, _ = asked(with_lines(length=["back", "1 year", "26"]))
    assert changed["seal_age"] == 12


def test_every_answer_is_read_back_in_one_screen_before_anything_is_written() -> None:
    _, shown = asked(with_lines())
    start = shown.index("Your answers:")
    screen = shown[start:]
    assert len(screen) <= 24
    # Nothing follows from no second place, no trouble, and no readings.
    after = ("second_place", "trouble", "opened", "readings")
    not_asked = {part.key for part in parts().values() if part.after in after}
    for part in parts().values():
        assert sum(f"  {part.short}: " in line for line in screen) == (part.key not in not_asked), part.key
    assert any(line.endswith("the months under cover: 3 months a year") for line in screen)
    assert not any("understood" in line for line in screen)


def test_one_answer_is_corrected_by_its_number_and_only_what_follows_is_asked() -> None:
    whole = asked(with_lines())[0]
    answers, shown = asked([*with_lines(), "6", "8 years", "99", ""])
    assert answers == {**whole, "keep": 8}
    assert any("'99' is not a number of this list" in line for line in shown)
    none, _ = asked([*with_lines(), "7", "not sure", ""])
    gone = ("quoted_length", "quoted_by", "warranty_years", "warranty_in_writing", "decided")
    assert none == {key: value for key, value in {**whole, "quote": NOT_SURE}.items() if key not in gone}
    again, _ = asked([*with_lines(), "7", "not sure", "7", "9k", "26", "1", "0", "yes", ""])
    assert again["quote"] == 9000 and again["quoted_by"] == "overall" and again["warranty_years"] == 0
    assert "warranty_in_writing" not in again and again["decided"] is True


def test_a_correction_that_does_not_fit_the_others_is_explained_and_back_leaves_it() -> None:
    lines = [*with_lines(seal_age="1 year"), "13", "6 months", "back", ""]
    answers, shown = asked(lines)
    assert answers["roof_age"] == 14
    said = "'6 months' does not fit: when the joints were last redone must not be above the age of the roof"
    assert any(said in line for line in shown)


def corrected(monkeypatch: pytest.MonkeyPatch, place: Path, lines: list[str], *words: str) -> int:
    """Run `lifecycle new PLACE --correct` with these lines typed."""
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    return main(("new", str(place), "--correct", *words))


@pytest.mark.parametrize(("words", "lines"), [(("keep",), ["9"]), (("6",), ["9"]), ((), ["6", "9"])])
def test_one_answer_of_a_file_is_corrected(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], lines: list[str]
) -> None:
    place, answers = tmp_path / "mine.toml", asked(with_lines())[0]
    place.write_text(scenario_text(answers, base_date=BASE_DATE), encoding="utf-8")
    assert corrected(monkeypatch, place, [*lines, ""], *words) == 0
    assert place.read_text(encoding="utf-8") == scenario_text({**answers, "keep": 9}, base_date=BASE_DATE)


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("# mine\n", ("keep",), "was changed since it was written"),
        ("", ("kep",), 'did you mean "keep"?'),
        ("", (str(len(parts()) + 1),), f"must be a number from 1 to {len(parts())}"),
    ],
)
def test_a_correction_that_cannot_be_made_loses_nothing(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    text: str,
    words: tuple[str, ...],
    said: str,
) -> None:
    place = tmp_path / "mine.toml"
    written = scenario_text(asked(with_lines())[0], base_date=BASE_DATE) + text
    place.write_text(written, encoding="utf-8")
    assert corrected(monkeypatch, place, ["9", ""], *words) == 2
    assert said in capsys.readouterr().err
    assert place.read_text(encoding="utf-8") == written


def test_answers_of_a_file_that_are_hardly_meant_or_not_known_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(ANSWERS.replace("8130", "813") + 'place = "Humid coast"\n', encoding="utf-8")
    assert main(("new", "--answers", str(path))) == 0
    said = capsys.readouterr().err
    assert "This is very low: for 26 ft" in said
    assert "The place 'Humid coast' is not in the table" in said
