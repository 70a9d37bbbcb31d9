"""Answers as plain text: what stands close, what is broken, what goes on below, what waits for more."""

from __future__ import annotations

from lifecycle.answers.blocks import Answer, Columns, Heading, Items, Rest, Sentence, Table
from lifecycle.language.sentences import WIDTH, say
from lifecycle.writers.terminal import SCREEN, as_text, table_lines


def test_what_is_too_wide_goes_on_below_with_the_first_column() -> None:
    head = ("", *(f"[{number}]" for number in range(1, 13)))
    lines = table_lines(Table(head, (("label", *["1234567890"] * 12),), numbers=tuple(range(1, 13))))
    assert sum(line.startswith("label") for line in lines) == 2
    assert "[12]" in lines[3] and max(map(len, lines)) <= WIDTH


def test_words_are_broken_before_numbers_go_below() -> None:
    rows = (("a figure", "one word after the other " * 8, "12"),)
    lines = table_lines(Table(("what", "says", "n"), rows, numbers=(2,)))
    assert max(map(len, lines)) <= WIDTH
    assert [line.split()[-1] for line in lines[:2]] == ["n", "12"]
    assert " ".join(line[10:-4].strip() for line in lines[1:]).startswith("one word after the other one")


def test_lines_of_the_verdict_stand_close_and_the_rest_apart() -> None:
    blocks = (Sentence("One.", "verdict"), Sentence("Two.", "verdict"), Sentence("Three."), Sentence("Four."))
    assert as_text(Answer("Q?", "of it", blocks)) == "Q?\nof it\n\nOne.\nTwo.\n\nThree.\n\nFour."


def test_a_list_stands_under_its_heading_and_columns_below_each_other() -> None:
    sides = Columns(
        (Heading("For"), Items(("a", "b"))), (Sentence("In order:"), Items(("c",), numbered=True))
    )
    assert as_text(Answer("Q?", "", (sides,))) == "Q?\n\nFor\n- a\n- b\n\nIn order:\n1. c"


def test_the_rest_waits_until_it_is_asked_for() -> None:
    answer = Answer("Q?", "", (Sentence("First."), Rest(), Sentence("More.")), footer="Made so.")
    assert as_text(answer) == "Q?\n\nFirst.\n\nMore.\n\nMade so."
    assert as_text(answer, everything=False) == f"Q?\n\nFirst.\n\n{say('commands.said.more')}"


def test_what_may_wait_leaves_only_a_screen_that_is_too_full() -> None:
    lines, waiting = Items(tuple("x" * (SCREEN - 5)), marks=False), Sentence("Later.", "note", waits=True)
    assert as_text(Answer("Q?", "", (lines, waiting)), everything=False).endswith("Later.")
    fuller = Answer("Q?", "", (waiting, Items(("x",) * (SCREEN - 3), marks=False)))
    said = as_text(fuller, everything=False)
    assert "Later." not in said and said.endswith(say("commands.said.more")) and "Later." in as_text(fuller)


def test_what_nobody_can_see_is_taken_out() -> None:
    table = Table(("", "b"), (("a\u202e", "1\x00"),))
    assert table_lines(table) == ["   b", "a  1"]
