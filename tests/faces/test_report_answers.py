"""The seven answers on paper: whoever retypes them, with what was changed since, gets the same file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import lifecycle
from lifecycle.answers.blocks import Sentence, Table
from lifecycle.answers.seven_answers import (
    answers_blocks,
    changed_since,
)
from lifecycle.evaluation.comparison import compare
from lifecycle.files import loads
from lifecycle.interview import scenario_text
from lifecycle.language.sentences import say
from lifecycle.language.verdict import verdict_under
from lifecycle.scenario import Scenario, replaced

ANSWERS = {
    "otherwise": "shop_every_third_year",
    "climbs": True,
    "reseal_price": 900,
    "keep": {"low": 4, "likely": 8, "high": 12},
    "quote": 8130,
    "quoted_length": 26,
    "quoted_by": "overall",
    "roof_age": 14,
    "seal_age": "never",
    "length": 26,
    "place": "Houston",
    "trouble": [],
}
DAY = date(2027, 4, 1)


def written() -> tuple[str, Scenario]:
    """Return a file that the answers give, and it read."""
    text = scenario_text(ANSWERS, base_date=DAY)
    return text, loads(text)


def sentences(scenario: Scenario) -> str:
    """Return what is said beside the answers."""
    return " ".join(block.text for block in answers_blocks(scenario) if isinstance(block, Sentence))


def test_the_answers_stand_as_they_were_given() -> None:
    table = next(block for block in answers_blocks(written()[1]) if isinstance(block, Table))
    said = dict(table.rows)
    assert len(said) == 7
    assert said["1. If you do not spray, what will you really do?"] == (
        "otherwise: a shop reseals, every few years; climbs: yes; reseal price: 900"
    )
    assert said["2. How long will you keep it?"] == "keep: 4 ... 8 ... 12 years"
    assert said["4. How old is the roof?"] == "roof age: 14 months; seal age: never"
    assert said["5. How long is the coach?"] == "length: 26 ft"
    assert said["7. Has anyone looked, up there and inside, and what was seen?"] == "trouble: none"


def test_unchanged_answers_give_the_same_verdict() -> None:
    scenario = written()[1]
    assert changed_since(scenario) == ()
    assert say("papers.answers.as_answered") in sentences(scenario)


def test_retyped_answers_with_the_changed_figures_give_the_same_verdict() -> None:
    """The paper's own words are enough: answers, then each figure that it lists, by its path."""
    text, plain = written()
    lines = text.splitlines()
    place = next(number for number, line in enumerate(lines) if line.startswith("[leaks]"))
    text = "\n".join([*lines[: place + 1], "patch_cost = 777", *lines[place + 1 :]])
    changed = loads(text)
    pairs = changed_since(changed)
    assert pairs is not None
    assert [now.path for _, now in pairs] == ["leaks.patch_cost"]
    assert pairs[0][1].likely == 777.0 and pairs[0][0].likely != 777.0
    retyped = replaced(plain, {now.path: now for _, now in pairs})
    assert verdict_under(compare(retyped), None).lines == verdict_under(compare(changed), None).lines
    assert compare(retyped).ways["coat_now"].at_holding != compare(plain).ways["coat_now"].at_holding
    listed = [block for block in answers_blocks(changed) if isinstance(block, Table)][1]
    assert listed.rows[0][1] == "777 USD" and "change 1 figure" in sentences(changed)


def test_a_changed_title_changes_nothing_and_a_changed_way_is_said() -> None:
    text, _ = written()
    assert changed_since(loads(text.replace('title = "Spray now"', 'title = "Have it sprayed"'))) == ()
    other = loads(text.replace("base_case = true", "base_case = true\nchange = 3", 1))
    assert changed_since(other) is None
    assert say("papers.answers.more_changed") in sentences(other)


def test_a_file_written_by_hand_says_so_and_what_the_questions_stand_at() -> None:
    scenario = lifecycle.load(Path(__file__).parents[2] / "scenarios" / "humid-coast-motorhome.toml")
    table = next(block for block in answers_blocks(scenario) if isinstance(block, Table))
    said = " ".join(cell for row in table.rows for cell in row)
    assert say("papers.answers.by_hand") in sentences(scenario)
    for fact in (
        "A shop reseals every year",
        "6 ... 10 ... 15 years",
        "9,870 USD",
        "1 year 2 months",
        "32 ft",
    ):
        assert fact in said
    assert "Miami" in said
