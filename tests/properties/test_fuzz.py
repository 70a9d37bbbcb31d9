"""A slice of the bad input for every reader (`tests/benchmarks/fuzz.py`), and what it once found.

Every good file that inputs are made from is accepted; every input is accepted, or refused in words.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from lifecycle.errors import ScenarioError
from tests.benchmarks.fuzz import READERS, made, prepared, tried

SLICE = 40
"""Inputs of each reader."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    return prepared(tmp_path_factory.mktemp("inputs"))


def place_of(folder: Path, reader: str) -> Path:
    return folder / reader.replace(" ", "-") / f"input{READERS[reader].ending}"


@pytest.mark.parametrize("reader", READERS)
def test_what_inputs_are_made_from_is_accepted(reader: str, folder: Path) -> None:
    for good in READERS[reader].good:
        place_of(folder, reader).write_text(good, encoding="utf-8")
        assert READERS[reader].read(place_of(folder, reader), 0) is not None


@pytest.mark.parametrize("reader", READERS)
def test_every_input_is_accepted_or_refused_in_words(reader: str, folder: Path) -> None:
    count = tried(reader, range(SLICE), folder)
    assert count.uncaught == []
    assert count.refused > 0 and count.accepted > 0
    assert count.refused + count.accepted == SLICE


def test_an_input_is_made_from_its_number_alone() -> None:
    assert made("scenario", 7) == made("scenario", 7) != made("scenario", 8)


LONG = "1" + "0" * 400

FOUND_ONCE = {
    "an answer too long for a fraction": ("answers", f"[answers]\nquote = {LONG}\n", "answers.quote must be"),
    "an end of an answer too long for a fraction": (
        "answers",
        f"[answers]\nkeep = {{ low = 1, likely = 2, high = {LONG} }}\n",
        "answers.keep high must be",
    ),
    "a cost too long for a fraction": (
        "log as TOML",
        f'[[entries]]\ndate = 2028-04-01\nkind = "leak"\ncost = {LONG}\n',
        "must be an amount of money",
    ),
}


@pytest.mark.parametrize("case", FOUND_ONCE)
def test_what_was_found_once_is_refused(case: str, folder: Path) -> None:
    reader, text, said = FOUND_ONCE[case]
    place_of(folder, reader).write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError, match=said):
        READERS[reader].read(place_of(folder, reader), 0)
