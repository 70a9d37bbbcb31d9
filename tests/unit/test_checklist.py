"""What a good job does, step by step: each with a reason and a basis, and it prints."""

from __future__ import annotations

import json
from io import BytesIO

import pytest
from pypdf import PdfReader

from lifecycle.answers.handover import checklist
from lifecycle.cli.main import main
from lifecycle.files import data
from lifecycle.language.sentences import words
from lifecycle.writers.pdf import as_pdf


def lines() -> str:
    """Return all that is done, in the order of the work."""
    return " ".join(item["what"] for step in words("checklist.steps") for item in step["items"])


def test_each_has_a_reason_and_a_basis() -> None:
    every = [item for step in words("checklist.steps") for item in step["items"]]
    assert len(every) >= 30
    for item in every:
        assert set(item) == {"what", "why", "basis"}
        assert all(text.strip() for text in item.values()) and item["what"].endswith(".")


@pytest.mark.parametrize(
    "named",
    [
        "insurance", "licence", "deposit", "three business days", "a month", "who moves it",
        "Inside first", "19 %", "Photographs", "pulled off", "primer", "dew point", "wind",
        "three readings a spot", "test strips", "pinholes", "slept under", "sticks to this coating",
        "Volatile", "local rules", "Film readings", "next topcoat",
    ],
)  # fmt: skip
def test_what_the_trade_does_stands_in_it(named: str) -> None:
    """Common practice, no source: what an experienced eye misses where it is not there."""
    assert named in lines()


def test_the_steps_follow_the_work() -> None:
    said = lines()
    order = [
        "estimate",
        "Moisture of the wood",
        "LP gas is closed",
        "test patch",
        "supplied air",
        "slept under",
    ]
    places = [said.index(one) for one in order]
    assert places == sorted(places)


def test_the_hand_over_says_what_the_film_check_says() -> None:
    """One list: power, gas and water stand in both, in the same words."""
    pages = PdfReader(BytesIO(as_pdf(checklist(), paper="letter"))).pages
    printed = " ".join(" ".join(page.extract_text() for page in pages).split())
    for entry in data("handover.toml")["works"]:
        assert entry["what"] in printed


def test_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(("checklist", "--all")) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.startswith("What a good job does, step by step")
    assert "(29 CFR 1910.134)" in said and "[ ] LP gas is closed" in said
    assert main(("checklist", "--json")) == 0
    steps = json.loads(capsys.readouterr().out)["steps"]
    assert steps[0]["title"] == "Before anything is signed"
