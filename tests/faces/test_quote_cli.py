"""`lifecycle quote`: what it says, as text and as JSON; the roof plan; mistakes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from lifecycle import files
from lifecycle.charts.plans import describe_roof_plan, roof_plan
from lifecycle.cli.main import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"
TWO = str(SCENARIOS / "two-quotes.toml")


def answer(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what the command prints, in one line; it must succeed."""
    assert main(("quote", *arguments)) == 0
    return " ".join(capsys.readouterr().out.split())


def result(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """Return what the command prints as JSON."""
    assert main(("quote", *arguments, "--json")) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what the command says of a mistake."""
    assert main(("quote", *arguments)) == 2
    captured = capsys.readouterr()
    assert not captured.out and "Traceback" not in captured.err
    return captured.err


def test_the_first_screen_sets_the_quotes_side_by_side(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(("quote", TWO)) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 40
    assert "parts of the job left out                       none                  4" in lines
    assert "on one scope                                   7,526     8,349 and more" in lines
    assert '"By overall length" leaves out:' in lines


def test_other_years_move_the_sale_until_which_the_loan_is_paid(capsys: pytest.CaptureFixture[str]) -> None:
    loan = result(capsys, TWO, "--years", "2")["scenarios"][0]["loan"]
    assert loan["sold_at"] == 24 and loan["balance"] > 0.0


def test_it_says_what_stands_in_the_quote_and_what_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(capsys, TWO, "--all")
    assert said.startswith("Is the quote complete, and will it hold?")
    assert "Of 24 ft overall, 20 ft are sprayed: 170 sq ft with the edges" in said
    assert "price of a sound job 7,526" in said
    assert (
        "It is made by overall length. The same prices on the sprayed length give 6,376 USD: 1,269 less."
        in said
    )
    assert '"By overall length" leaves out: - look at the bare deck' in said
    assert "Nobody looked for moisture today" in said
    assert "new wood at 30.11 a sq ft, never above 11,500" in said
    assert "nobody names a price for: bring the coating over the edges" in said
    assert 'warranty: "By the sprayed foot" 10 years; "By overall length" 5 years' in said
    assert "Paid by a loan of 5,000 USD at 8.99 % over 60 months: 104 USD a month." in said


def test_the_result_says_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    found = result(capsys, TWO)
    (one,) = found["scenarios"]
    by_foot, overall = one["quotes"]["by_the_foot"], one["quotes"]["by_overall_length"]
    assert by_foot["sum"]["price"] == pytest.approx(7000 * 1.0752)
    assert overall["sum"]["price"] == pytest.approx((24 * 295 + 180 - 150) * 1.0752 + 120)
    assert overall["recomputed_by_sprayed_length"] == pytest.approx((20 * 295 + 180 - 150) * 1.0752)
    assert by_foot["two_forms"]["all_in"] > by_foot["two_forms"]["sound"]
    assert by_foot["left_out"] == []
    assert by_foot["plausible"]["judged"] == "within"
    assert one["once_open"]["chance_wet"] > one["once_open"]["chance_rotten"] > 0.0
    assert [scoped["name"] for scoped in found["on_one_scope"]] == ["by_the_foot", "by_overall_length"]
    assert one["loan"]["balance"] == pytest.approx(0.0)
    assert found["found"] is None


def test_two_files_stand_on_one_scope(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "prices").mkdir()
    listed = (SCENARIOS / "prices" / "by-the-foot.toml").read_text(encoding="utf-8")
    (tmp_path / "prices" / "by-the-foot.toml").write_text(listed.replace("price = 235", "price = 200"))
    other = tmp_path / "other.toml"
    other.write_text(Path(TWO).read_text(encoding="utf-8"), encoding="utf-8")
    found = result(capsys, TWO, str(other))
    bills = [scoped["bill"] for scoped in found["on_one_scope"]]
    assert len(bills) == 4
    assert bills[0] - bills[2] == pytest.approx(20 * 35 * 1.0752)


def test_a_bill_is_held_against_the_promise(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    found = tmp_path / "found.toml"
    found.write_text(
        'quote = "by_the_foot"\nbill = 8600\ncalled = false\n'
        '[[items]]\nwhat = "new wood"\namount = 14\n[[items]]\nwhat = "new rafter"\namount = 1\n',
        encoding="utf-8",
    )
    held = result(capsys, TWO, "--found", str(found))["found"]
    assert held["promised"] == pytest.approx((7000 + 14 * 28) * 1.0752)
    assert held["above"] == pytest.approx(8600 - held["promised"])
    assert held["unpromised"] == ["new rafter"]
    said = answer(capsys, TWO, "--found", str(found))
    assert "Promised: 7,948 USD with what was found by its own prices (new wood 392, before tax)" in said
    assert "Asked: 8,600 USD: 652 above it." in said
    assert "Not in the quote: new rafter." in said
    assert "They did not." in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("bill = 8600\n", "must name a [quotes.NAME] of the scenario"),
        ('quote = "by_the_foot"\n', "bill is required"),
        ('quote = "by_the_foto"\nbill = 1\n', 'did you mean "by_the_foot"?'),
        ('quote = "by_the_foot"\nbill = 1\n[[items]]\nwhat = "new wood"\n', "items.1.amount is required"),
    ],
)
def test_what_was_found_with_a_slip(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str, words: str
) -> None:
    found = tmp_path / "found.toml"
    found.write_text(text, encoding="utf-8")
    assert words in mistake(capsys, TWO, "--found", str(found))


def test_with_trouble_it_says_open_it_first(capsys: pytest.CaptureFixture[str]) -> None:
    troubled = str(SCENARIOS / "trouble-reported.toml")
    assert "Open it first." in answer(capsys, troubled)
    found = result(capsys, troubled)
    assert found["scenarios"] is None and "open it first" in found["reasons"]["scenarios"]


def test_a_scenario_without_a_quote_is_told_how_to_state_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert "[[quotes.NAME.items]]" in mistake(capsys, str(SCENARIOS / "own-hands.toml"))


def test_a_quote_of_two_lines_without_a_coach(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    lines = '[quotes.shop]\n[[quotes.shop.items]]\nwhat = "spray"\nprice = 7000\n'
    lines += '[[quotes.shop.items]]\nwhat = "vents"\nprice = 300\n'
    mine = tmp_path / "mine.toml"
    example = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
    mine.write_text(example + lines, encoding="utf-8")
    said = answer(capsys, str(mine))
    assert "price of a sound job 7,300" in said
    assert "The coach is not measured" in said


def test_the_loan_of_a_quote_is_that_of_the_textbook(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """32,000 at 6 %/12 over 36 months: 973.50 a month, 31,186.50 owed after the first.

    OpenStax Principles of Finance 2e, section 8.3; seen. Half a unit of the last printed digit.
    """
    text = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
    text += '[quotes.shop]\n[[quotes.shop.items]]\nwhat = "spray"\nprice = 32000\n'
    text += '[loan]\nalternative = "coat_now"\nprincipal = 32000\nrate = 0.06\nmonths = 36\n'
    mine = tmp_path / "mine.toml"
    mine.write_text(text.replace("holding_period = 8", "holding_period = 0.0833333333333"), encoding="utf-8")
    loan = result(capsys, str(mine))["scenarios"][0]["loan"]
    assert loan["payment"] == pytest.approx(973.50, abs=0.005)
    assert loan["sold_at"] == 1
    assert loan["balance"] == pytest.approx(31186.50, abs=0.005)
    first, last = ([loan["schedule"][part][month] for part in loan["schedule"]] for month in (0, -1))
    assert first == pytest.approx([160.00, 813.50, 31186.50], abs=0.005)
    assert last == pytest.approx([4.84, 968.66, 0.0], abs=0.005)
    said = answer(capsys, str(mine), "--schedule")
    assert "1 (sale) 160.00 813.50 31,186.50 2 155.93" in said
    assert "36 4.84 968.66 0.00 There is more" in said


def test_a_schedule_needs_a_loan(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
    mine = tmp_path / "mine.toml"
    mine.write_text(f'{text}[quotes.shop]\n[[quotes.shop.items]]\nwhat = "spray"\nprice = 7000\n')
    assert "--schedule needs a loan" in mistake(capsys, str(mine), "--schedule")


def test_the_roof_plan_is_to_scale(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scenario = files.load(TWO)
    axes = roof_plan(scenario)
    assert axes.get_aspect() == 1.0
    boxes = [patch.get_bbox() for patch in axes.patches if hasattr(patch, "get_bbox")]
    whole, sprayed, joints = boxes[:3]
    assert (whole.width, whole.height) == pytest.approx((24 * 0.3048, 8 * 0.3048))
    assert (sprayed.x0, sprayed.width) == pytest.approx((2.5 * 0.3048, 20 * 0.3048))
    assert sprayed.height - joints.height == pytest.approx(2 * 3 * 0.0254)
    assert len(axes.patches) == 3 + 7
    figure = axes.get_figure(root=True)
    assert figure is not None
    figure.draw_without_rendering()
    for text in axes.texts:
        assert axes.get_window_extent().contains(*text.get_window_extent().get_points()[0])
    assert "20 ft are sprayed" in describe_roof_plan(scenario)
    place = tmp_path / "roof.png"
    assert f"Chart: {place}" in answer(capsys, TWO, "--chart", str(place))
    assert place.read_bytes().startswith(b"\x89PNG")


def test_a_roof_that_nobody_measured_is_not_drawn(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="measured coach"):
        roof_plan(files.load(SCENARIOS / "worked-example-1.toml"))
