"""A fleet: order and turns under a budget, spending by year, the workbook and what a command says of it."""

import json
import math
import re
import subprocess
import sys
from dataclasses import replace
from io import BytesIO

import numpy as np
import openpyxl
import pytest

from lifecycle.answers.fleet import Fleet, fleet_answer
from lifecycle.errors import ScenarioError
from lifecycle.files import load
from lifecycle.records.fleets import read_coaches, told, value_of
from lifecycle.scenario import at_likely, resolve
from lifecycle.studies.cash_flow import PAID, cash_flow
from lifecycle.studies.fleet import (
    ABOVE,
    NOT_WORTH,
    OPEN,
    SOLD,
    TAKEN,
    Coach,
    coaches_of,
    paths_of,
    queued,
    same_for_all,
    spending,
    summed,
)
from lifecycle.studies.grid import faults_of, grid, sweep
from lifecycle.writers.terminal import as_text
from lifecycle.writers.workbook.fleet import as_fleet_workbook

BASE, TABLE = "scenarios/fleets/rental-motorhomes.toml", "scenarios/fleets/forty-coaches.csv"


def coach(label: str, ratio: float, price: float, *, years: float = 10.0, stands: str = TAKEN) -> Coach:
    """Return a coach that is worth spraying."""
    return Coach(0, label, stands, years=years, price=price, ratio=(ratio,) * 3, otherwise="keep")


def turns(coaches, budget):
    """Return label and turn, or where it stands, in order."""
    return [(one.label, one.turn or one.stands) for one in queued(coaches, budget)]


def test_the_largest_ratio_first_and_none_jumps_the_queue():
    """Worked by hand: 10,000 a year; 6, 3 | 5, 4 | 9 thousand, in the order of the ratio."""
    some = [
        coach("e", 1.1, 9000.0),
        coach("a", 3.0, 6000.0),
        coach("d", 1.2, 4000.0),
        coach("b", 2.5, 3000.0),
        coach("c", 2.0, 5000.0),
    ]
    assert turns(some, 10_000.0) == [("a", 1), ("b", 1), ("c", 2), ("d", 2), ("e", 3)]
    assert turns(some[::-1], 10_000.0) == turns(some, 10_000.0)


def test_too_dear_sold_and_trouble_stand_apart():
    some = [
        coach("dear", 5.0, 12_000.0),
        coach("first", 4.0, 9_000.0),
        coach("sold", 3.0, 9_000.0, years=1.0),
        coach("next", 2.0, 9_000.0),
        coach("not", 0.5, 9_000.0, stands=NOT_WORTH),
        Coach(0, "wet", OPEN, "trouble: stain"),
    ]
    assert turns(some, 10_000.0) == [
        *(("wet", OPEN), ("first", 1), ("next", 2), ("dear", ABOVE), ("sold", SOLD), ("not", NOT_WORTH))
    ]


def test_no_budget_is_ever_overspent():
    chance = np.random.default_rng(5)
    some = [coach(f"{n}", chance.uniform(1, 4), chance.uniform(1e3, 9e3)) for n in range(60)]
    found = queued(some, 12_000.0)
    by_year = {}
    for one in found:
        if one.turn:
            by_year[one.turn] = by_year.get(one.turn, 0.0) + one.price
    assert max(by_year.values()) <= 12_000.0
    assert sorted(by_year) == list(range(1, max(by_year) + 1))
    in_turn = [one.ratio[0] for one in found if one.turn]
    assert in_turn == sorted(in_turn, reverse=True)


def test_spending_is_the_cash_flow_by_year():
    """The account of months, which is worked out apart, gives the same sums by year without any range."""
    scenario = at_likely(load("scenarios/humid-coast-motorhome.toml"))
    case = resolve(scenario)
    paid = spending(case, np.ones(1), 8)
    flow = cash_flow(case)
    cash = [name for name in PAID if name not in ("hours", "days", "financing")]
    for name, way in flow.ways.items():
        whole = sum(way.amounts[category] for category in cash)
        for year in range(1, 9):
            of_year = (flow.counts_from <= 12 * year) & (flow.counts_from > 12 * (year - 1))
            assert paid[name][0, year - 1] == pytest.approx(whole[of_year].sum(), rel=1e-9, abs=1e-6)


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    """Return twelve coaches of the shipped fleet, in few futures."""
    base = load(BASE)
    with open(TABLE, "rb") as file:
        coaches = read_coaches(file, "forty-coaches.csv", base)
    some = [3, 5, 6, 8, 9, 27]
    found = sweep(
        base,
        rows=[coaches.rows[row] for row in some],
        labels=[coaches.labels[row] for row in some],
        draws=64,
        ratios=True,
    )
    in_order = queued(coaches_of(found.to_frame()), 10_000.0)
    return Fleet(found.grid, "forty-coaches.csv", 10_000.0, in_order, paths_of(found.grid, in_order))


def test_the_answer_says_trouble_first_then_the_order(fleet):
    answer = fleet_answer(fleet)
    text = as_text(answer, everything=True)
    assert text.index("Open first") < text.index("worth its price") < text.index("In what order")
    assert "M07 (stain)" in text
    json.dumps(answer.data, allow_nan=False)
    by_name = {one["coach"]: one for one in answer.data["coaches"]}
    assert by_name["M07"]["stands"] == OPEN
    assert by_name["M07"]["turn"] is None
    assert by_name["M04"]["turn"] == 1


def test_sums_of_the_fleet_are_those_of_its_coaches(fleet):
    data = fleet_answer(fleet).data
    paths = fleet.paths.values()
    assert data["spending"]["as_now"][0]["mean"] == pytest.approx(sum(one.otherwise[0, 0] for one in paths))
    compared = [one for one in fleet.coaches if one.otherwise]
    assert data["cost"]["as_now"]["mean"] == pytest.approx(sum(o.costs[o.otherwise][0] for o in compared))
    assert data["cost"]["each_its_own"]["mean"] <= min(cost[0] for cost in same_for_all(compared).values())
    assert summed([]) == (0.0, 0.0, 0.0)


def test_money_stops_when_a_coach_is_sold(fleet):
    for one in fleet.compared:
        kept = math.ceil(one.years)
        assert fleet.paths[one.point].otherwise[0, : min(kept, 10)].all()
        assert not fleet.paths[one.point].otherwise[:, kept:].any()


@pytest.mark.slow
def test_an_independent_reader_gives_the_budget_out_alike(fleet, tmp_path):
    """The package `formulas` works the page out at another budget, and gets what the library gets."""
    formulas = pytest.importorskip("formulas")
    budget = 7_000.0
    book = openpyxl.load_workbook(BytesIO(as_fleet_workbook(fleet)))
    page = book.worksheets[0]
    page["C3"] = budget
    place = tmp_path / "fleet.xlsx"
    book.save(place)
    solution = formulas.ExcelModel().loads(str(place)).finish().calculate()
    got = {
        re.sub(r"^.*!", "", str(key)).upper(): value.value[0, 0]
        for key, value in solution.items()
        if "!" in key
    }
    wanted = {
        one.label: one
        for one in queued([replace(o, turn=None, stands=_before(o)) for o in fleet.coaches], budget)
    }
    seen = 0
    for row in range(6, 6 + len(fleet.coaches)):
        one = wanted[page.cell(row, 1).value]
        if math.isnan(one.price):
            continue
        seen += 1
        turn = got[f"C{row}"]
        assert (int(turn) if str(turn) not in ("", "empty") else None) == one.turn, one.label
        assert float(got[f"J{row}"]) == pytest.approx(one.ratio[0], rel=1e-9)
        assert float(got[f"F{row}"]) == pytest.approx(one.saves[0], rel=1e-9, abs=1e-6)
    assert seen > 3


def _before(one: Coach) -> str:
    """Return where a coach stood before the budget was given out."""
    return TAKEN if one.stands in (ABOVE, SOLD) else one.stands


def test_the_workbook_holds_the_values_of_the_library(fleet):
    page = openpyxl.load_workbook(BytesIO(as_fleet_workbook(fleet)), data_only=True).worksheets[0]
    shown = {page.cell(row, 1).value: page.cell(row, 3).value for row in range(6, 6 + len(fleet.coaches))}
    assert {label: turn or None for label, turn in shown.items()} == {
        one.label: one.turn for one in fleet.coaches
    }


TABLES = [
    ("coach\nA\n", "must say something"),
    ("coach,age\nA,3\n", 'column "age"'),
    ("coach,existing.agee\nA,3\n", "existing.agee"),
    ("coach,existing.age,Existing.Age\nA,3,4\n", "must stand once"),
    ("", "names its columns"),
    ("coach,existing.age\n", "must have a row"),
    ("coach,existing.age\nA,3,4\n", "must have 2 cells"),
]


@pytest.mark.parametrize(("text", "said"), TABLES)
def test_a_table_that_cannot_be_is_one_message(text, said):
    with pytest.raises(ScenarioError, match=re.escape(said)):
        read_coaches(BytesIO(text.encode()), "fleet.csv", load(BASE))


def test_faults_name_line_coach_and_column_and_come_all_at_once():
    base = load(BASE)
    text = (
        "coach,existing.age,coach.length,place\nA,-3,30,Miami\nB,36,900,Nowhere\nC,36,30,Nowhere\nD,36,30,\n"
    )
    coaches = read_coaches(BytesIO(text.encode()), "fleet.csv", base)
    whole = grid(base, rows=coaches.rows, labels=coaches.labels, draws=16)
    said = [str(one) for one in told(coaches, faults_of(whole))]
    assert any(one.startswith("A: existing.age (line 2)") for one in said)
    assert any(one.startswith("B: coach.length (line 3)") for one in said)
    assert sum("Nowhere" in one and "lines 3, 4" in one for one in said) == 1


def test_cells_are_numbers_flags_and_words():
    assert value_of("nan") == "nan"
    assert value_of("1e400") == "1e400"
    assert value_of("1_000") == "1_000"
    assert value_of("-0.5") == -0.5


@pytest.mark.slow
def test_the_command_goes_on_skips_faults_and_writes(tmp_path):
    table = tmp_path / "mine.csv"
    table.write_text("coach,existing.age,existing.trouble\nA,98,\nB,-1,\nC,36,stain\n")
    words = ["fleet", BASE, "--coaches", str(table), "--budget", "9000", "--draws", "32"]
    words += ["--parts", str(tmp_path / "parts")]

    def run(*more):
        return subprocess.run(
            [sys.executable, "-m", "lifecycle", *words, *more], capture_output=True, text=True
        )

    refused = run()
    assert refused.returncode == 2
    assert "B: existing.age (line 3)" in refused.stderr
    assert "Traceback" not in refused.stderr
    book = tmp_path / "fleet.xlsx"
    done = run("--skip-faults", "--json", "--workbook", str(book))
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["left_out"] == 1
    assert {one["coach"]: one["stands"] for one in said["coaches"]}["C"] == OPEN
    assert book.read_bytes()[:2] == b"PK"
    again = run("--skip-faults", "--json", "--workbook", str(book))
    assert again.stdout == done.stdout
