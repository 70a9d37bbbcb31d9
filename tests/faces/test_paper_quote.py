"""A shop's quote on paper, written into a scenario from `lifecycle new`; and the other ways that it holds."""

from __future__ import annotations

import io
import json
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from lifecycle import files
from lifecycle.cli.main import main
from lifecycle.interview import scenario_text
from lifecycle.interview.paper import bill_of, paper_faults, paper_parts, paper_quote, with_paper
from lifecycle.quote import added_up
from lifecycle.scenario import resolve

BASE_DATE = date(2027, 4, 1)
OWNER: dict[str, Any] = {
    "otherwise": "own_touch_up",
    "keep": 8,
    "quote": 8130,
    "quoted_length": 26,
    "quoted_by": "overall",
    "warranty_years": 5,
    "roof_age": 14,
    "length": 26,
    "trouble": [],
}
LINES: dict[str, Any] = {
    "price": 8000,
    "tax": 7.5,
    "extras": 200,
    "extras_what": "moving the antenna",
    "cap": 9500,
    "deposit": 1000,
    "quoted_length": 26,
    "quoted_by": "overall",
    "wood": 12,
    "topcoat": True,
    "topcoat_years": 10,
    "topcoat_price": 900,
    "fixtures": False,
    "warranty_years": 10,
    "warranty_in_writing": True,
}
TYPED = {
    **LINES,
    "tax": "7.5%",
    "price": "8k",
    "topcoat": "yes",
    "fixtures": "no",
    "warranty_in_writing": "y",
}


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """A scenario as `lifecycle new` writes it, with a remark of its owner."""
    place = tmp_path / "mine.toml"
    text = scenario_text(OWNER, base_date=BASE_DATE)
    place.write_text(text.replace("[owner]\n", "[owner]  # that is me\n"), encoding="utf-8")
    return place


def quoted(monkeypatch: pytest.MonkeyPatch, place: Path, **changed: Any) -> int:
    """Run `lifecycle quote` with the lines of the paper typed, and all said to be right."""
    lines = [
        line
        for value in ({**TYPED, **changed}).values()
        for line in (value if isinstance(value, list) else [value])
    ]
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in [*lines, ""])))
    return main(("quote", str(place)))


def test_the_paper_is_asked_for_and_written_and_comments_stay(
    mine: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert quoted(monkeypatch, mine) == 0
    captured = capsys.readouterr()
    assert "price of a sound job                          8,815" in captured.out  # (8,000 + 200) * 1.075
    assert "Your answers:" in captured.err
    text = mine.read_text(encoding="utf-8")
    assert "[owner]  # that is me" in text and "# Your answers, as you gave them" in text
    assert tomllib.loads(text)["answers"] == OWNER
    scenario = files.load(str(mine))
    quote = scenario.quotes["paper"]
    assert added_up(quote).bill == pytest.approx(8815.0)
    assert (quote.cap, quote.deposit, quote.terms.warranty_years, quote.terms.in_writing) == (
        9500, 1000, 10, True,
    )  # fmt: skip
    assert quote.covered == ("spray", "topcoat", "deck repair")
    assert quote.wood_price == pytest.approx(12 / 0.3048**2)
    case = resolve(scenario)
    for name in ("coat_now", "coat_in_year_4", "coat_at_end"):
        assert float(case.alternative(name).quote) == pytest.approx(8815.0)
    assert case.alternative("coat_now").then.warranty_years == 10.0  # no longer the 5 that were told


def test_lines_are_read_from_a_file_as_they_are_typed(
    mine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.toml"
    other.write_text(mine.read_text(encoding="utf-8"), encoding="utf-8")
    lines = tmp_path / "paper.toml"
    lines.write_text("[paper]\n" + "\n".join(f"{key} = {json.dumps(value)}" for key, value in LINES.items()))
    assert main(("quote", str(mine), "--answers", str(lines))) == 0
    assert quoted(monkeypatch, other) == 0
    assert mine.read_text(encoding="utf-8") == other.read_text(encoding="utf-8")
    assert main(("quote", str(mine), "--answers", str(lines))) == 2
    assert "that has no quote yet" in capsys.readouterr().err


def test_a_bill_over_its_cap_says_so_and_is_asked_again(
    mine: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert quoted(monkeypatch, mine, cap=["8500", "9500"]) == 0
    assert "'8500' does not fit: it is below the bill of 8,815.00" in capsys.readouterr().err


def test_a_bill_over_its_cap_in_a_file_is_one_message_and_the_file_stays(
    mine: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, lines = mine.read_bytes(), tmp_path / "paper.toml"
    lines.write_text("[paper]\nprice = 8000\ntax = 10\ncap = 8500\n")
    assert main(("quote", str(mine), "--answers", str(lines))) == 2
    said = capsys.readouterr().err
    assert "paper.cap is below the bill of 8,800.00" in said and "Traceback" not in said
    assert mine.read_bytes() == before


def test_a_bill_that_is_found_to_be_over_the_cap_says_so_first(
    mine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert quoted(monkeypatch, mine) == 0
    found = tmp_path / "found.toml"
    found.write_text('quote = "paper"\nbill = 9900\n[[items]]\nwhat = "new wood"\namount = 20\n')
    capsys.readouterr()
    assert main(("quote", str(mine), "--found", str(found))) == 0
    lines = [line for line in capsys.readouterr().out.splitlines() if line]
    assert lines[2] == "The bill is over its cap: 9,900 USD is 400 above 9,500."


def test_what_the_paper_does_not_say_stays_out() -> None:
    table = paper_quote({"price": 8000, **dict.fromkeys(list(paper_parts())[1:], "not sure")})
    assert set(table) == {"title", "items"} and len(table["items"]) == 1
    scenario = files.loads(with_paper(scenario_text(OWNER, base_date=BASE_DATE), table))
    assert resolve(scenario).alternative("coat_now").then.warranty_years == 5.0  # as it was told


@pytest.mark.parametrize(
    ("lines", "place"),
    [
        ({}, "paper.price"),
        ({**LINES, "price": 0}, "paper.price"),
        ({**LINES, "tax": 75}, "paper.tax"),
        ({**LINES, "depost": 5}, "paper.depost"),
        ({**LINES, "deposit": 9000}, "paper.deposit"),
        ({**LINES, "cap": 8814}, "paper.cap"),
    ],
)
def test_what_is_wrong_with_the_lines_is_named(lines: dict[str, Any], place: str) -> None:
    assert [fault.place for fault in paper_faults(lines)] == [place]


def test_the_bill_is_price_and_extras_with_tax() -> None:
    assert bill_of(LINES) == pytest.approx(8815.0)
    assert not paper_faults(LINES)


def test_feet_and_square_feet_become_metres_in_a_metric_file() -> None:
    table = paper_quote(LINES, "metric")
    assert table["quoted_length"] == pytest.approx(7.9248)
    assert table["items"][-1]["price"]["value"] == pytest.approx(129.1669)


def test_more_feet_than_the_coach_has_are_refused(
    mine: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert quoted(monkeypatch, mine, quoted_length=["30", "26"]) == 0
    said = " ".join(capsys.readouterr().err.split())
    assert "the length of the coach must not be below the feet of the quote, 30 ft" in said


def test_an_answer_is_corrected_and_the_quote_on_paper_stays(
    mine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine.write_text(scenario_text(OWNER, base_date=BASE_DATE), encoding="utf-8")
    assert quoted(monkeypatch, mine) == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("9\n\n"))
    assert main(("new", str(mine), "--correct", "keep")) == 0
    text = scenario_text({**OWNER, "keep": 9}, base_date=BASE_DATE)
    assert mine.read_text(encoding="utf-8") == with_paper(text, paper_quote(LINES))


@pytest.mark.parametrize("command", ["compare", "doubt", "timing"])
def test_other_ways_are_counted_and_compared_when_asked_for(
    mine: Path, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    aside = len(files.load(str(mine)).aside)
    assert aside > 0
    few = ("--draws", "64")
    assert main((command, str(mine), *few)) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert f"Other ways that stand aside: {aside}. To compare them too: lifecycle {command}" in said
    assert main((command, str(mine), *few, "--other-ways")) == 0
    assert "Other ways that stand aside" not in capsys.readouterr().out


def test_other_ways_are_in_the_result_when_asked_for(mine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ways = []
    for words in ((), ("--other-ways",)):
        assert main(("compare", str(mine), "--draws", "64", "--json", *words)) == 0
        ways.append(set(json.loads(capsys.readouterr().out)["alternatives"]))
    assert ways[1] - ways[0] == set(files.load(str(mine)).aside)
    assert ways[0] < ways[1]
