"""Published life-cycle costs from beginning to end: written as a scenario file, answered by the command line.

No source is about roofs, so what it buys is written as a roof that never ends and never leaks, each of its
payments as a job, and its salvage as what a buyer pays for the unused life. The sources pay at the end of a
year, and a sale comes before the jobs of its day: so the thing is sold a month after the last payment, and
its salvage, which the source has at the end of the last year, is worth one month's discount more.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from scipy.optimize import brentq

from lifecycle.cli.main import main

HEAD = """
schema = 1
title = "A published example"
units = "metric"
basis = "demo"
[study]
base_date = 2027-01-01
study_period = {years}
discount_rate = {rate}
{study}
[owner]
holding_period = {kept}
{owner}
[leaks]
rot_time = 2
severe_after = 1
[existing]
roof = "{first}"
age = 600
"""


def head(first: str, *, rate: float, years: int, study: str = "", owner: str = "") -> str:
    """Return what stands before the roofs: the thing is kept a month longer than the years of the source."""
    kept = years + 1.0 / 12
    return HEAD.format(first=first, rate=rate, years=years + 1, kept=kept, study=study, owner=owner)


def roof(name: str, *jobs: str, salvage: float = 0.0, rest: str = "") -> str:
    """Return a roof without an end: jobs as `name, every, cost and more`, and what it is sold for."""
    rows = "".join(f"[[roofs.{name}.visits]]\n{job}\n" for job in jobs)
    resale = f"renew_cost = {salvage!r}\nresale_share = 1\n" if salvage else ""
    return f'[roofs.{name}]\nlife_shape = 1\nlife_scale = "endless"\n{resale}{rest}\n{rows}'


def answered(tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]) -> dict[str, dict[str, object]]:
    """Return the ways of a scenario as the command line gives them to programs."""
    file = tmp_path / "example.toml"
    file.write_text(text, encoding="utf-8")
    assert main(["compare", str(file), "--json", "--draws", "16"]) == 0
    ways: dict[str, dict[str, object]] = json.loads(capsys.readouterr().out)["alternatives"]
    return ways


def total(way: dict[str, object]) -> float:
    """Return the present value at the years kept: the sum of the categories."""
    parts = way["by_category"]
    assert isinstance(parts, dict)
    return sum(sum(part.values()) if isinstance(part, dict) else part for part in parts.values())


def test_m4_overhaul_or_new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """M4: a tutorial on life cycle costing, question 1 (seen). 15 years at 5 %.

    Overhaul: 60,000 now, 70,000 in year 10, 4,000 a year to year 10 and 5,000 from year 11. New: 120,000 now,
    nothing for 5 years, 6,000 a year from year 6, salvage 15,000. Printed: 147,151 (parts 42,974, 30,887 and
    13,290) and 149,086 (parts 36,301 and 7,215), saving 1,935. The source rounds its factors to four
    decimals and adds up rounded parts, so the totals are held within 1.
    """
    month = 1.05 ** (1 / 12)
    text = (
        head("overhauled", rate=0.05, years=15)
        + 'last_visits = { "overhaul" = 600, "overhaul again" = 480, "buy" = 600 }\n'
        + roof(
            "overhauled",
            'name = "overhaul"\nevery = 600\ncost = 60000',
            'name = "overhaul again"\nevery = 600\ncost = 70000',
            'name = "upkeep"\nevery = 12\ncost = 4000',
            rest="plan_ends = 120",
        )
        + '[[roofs.overhauled.visits_after]]\nname = "later upkeep"\nevery = 12\ncost = 5000\n'
        + roof(
            "new", 'name = "buy"\nevery = 600\ncost = 120000', salvage=15_000 * month, rest="plan_ends = 60"
        )
        + '[[roofs.new.visits_after]]\nname = "upkeep"\nevery = 12\ncost = 6000\n'
        + '[alternatives.overhaul]\nbase_case = true\nroof = "overhauled"\n'
        + '[alternatives.buy]\nroof = "new"\nsubject = true\n'
    )
    ways = answered(tmp_path, text, capsys)
    overhaul, new = (ways[name]["by_category"] for name in ("overhaul", "buy"))
    assert isinstance(overhaul, dict) and isinstance(new, dict)
    assert overhaul["upkeep"]["overhaul"] == 60_000.0
    assert overhaul["upkeep"]["overhaul again"] == pytest.approx(42_974, abs=0.5)
    assert overhaul["upkeep"]["upkeep"] == pytest.approx(30_887, abs=0.5)
    assert overhaul["upkeep"]["later upkeep"] == pytest.approx(13_290, abs=0.5)
    assert new["upkeep"]["upkeep"] == pytest.approx(36_301, abs=0.5)
    assert new["sale"] == pytest.approx(-7_215, abs=0.5)
    assert total(ways["overhaul"]) == pytest.approx(147_151, abs=1.0)
    assert total(ways["buy"]) == pytest.approx(149_086, abs=1.0)
    assert total(ways["buy"]) - total(ways["overhaul"]) == pytest.approx(1_935, abs=1.5)


def test_m3_heating_system_with_energy(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """M3: base case of a heating system, NIST Handbook 135 (1995), Table 5-2; present values transcribed,
    cash amounts from memory. 20 years at 3 %: 103,000 now, 12,000 in year 12, residual 3,500 in year 20,
    upkeep 7,000 a year, energy 20,000 a year, whose price rises so that its factor is 15.13.

    Energy is written as an owner's hours, the category of yearly items that has a price and an escalation of
    its own. Printed: 516,233, with factors rounded to two decimals; unrounded but for the factor of energy
    516,221.02 (recomputed). Tolerance: that factor is met to 1e-9.
    """
    month = 1.03 ** (1 / 12)
    rise = brentq(
        lambda g: sum(((1 + g) / 1.03) ** year for year in range(1, 21)) - 15.13, 0.0, 0.02, xtol=1e-14
    )
    text = (
        head(
            "system",
            rate=0.03,
            years=20,
            study=f'escalation = {{ "hours" = {float(rise)!r} }}',
            owner="hour_value = 20000",
        )
        + 'last_visits = { "buy" = 600, "replace" = 456 }\n'
        + roof(
            "system",
            'name = "buy"\nevery = 600\ncost = 103000',
            'name = "replace"\nevery = 600\ncost = 12000',
            'name = "upkeep"\nevery = 12\ncost = 7000',
            'name = "energy"\nevery = 12\nhours = 1',
            salvage=3_500 * month,
        )
        + "[alternatives.keep]\nbase_case = true\n"
    )
    (way,) = answered(tmp_path, text, capsys).values()
    parts = way["by_category"]
    assert isinstance(parts, dict)
    assert parts["hours"] == pytest.approx(20_000 * 15.13, rel=1e-9)
    assert total(way) == pytest.approx(516_221.02, abs=0.005)
