"""The workbook: its formulas give what the library gives, at the rate of the scenario and at others.

Two readers that know nothing of this library work the formulas out: a headless spreadsheet program, where
one is installed (with CI=true it must be), and the package `formulas`. Both get another discount rate and
other years kept in the two cells that may be changed, and no stored values to lean on.
"""

from __future__ import annotations

import html
import io
import os
import re
import shutil
import subprocess
import zipfile
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

import lifecycle
from lifecycle.economics import Answer
from lifecycle.evaluation.comparison import Comparison
from lifecycle.files import loads
from lifecycle.scenario import Scenario, Use, replaced
from lifecycle.studies.assessment import brief
from lifecycle.writers.workbook import as_workbook
from lifecycle.writers.workbook.account import ASSUMPTIONS, DOUBT, MEASURES, PRESENT, WAYS

CENT = 0.005
RATES, YEARS = {"two-quotes": 0.055, "small": 0.055, "tiny": 0.0}, 7.25
"""What is written into the two cells that may be changed. [1/year, years]"""

SMALL = """
schema = 1
title = "=1+1 <b>\\"small\\"</b>"
currency = "=EUR"
units = "metric"
basis = "demo"
[study]
base_date = 2027-04-01
study_period = 3
discount_rate = {low = 0.01, likely = 0.03, high = 0.06, basis = "judgement"}
inflation = 0.02
escalation = { "upkeep" = 0.02, "renewal" = 0.01 }
[owner]
holding_period = 2
hour_value = 20
day_cost = 60
[leaks]
sign_rate = 1.2
patch_cost = 350
rot_cost = 7500
rot_time = 2
severe_after = 1
found_at_sale = 0.5
[roofs.membrane]
life_shape = 2
life_scale = 6
joint_leaks_first_year = 0.1
joint_leak_growth = 1.9
renew_cost = { low = 3000, likely = 6200, high = 9000, basis = "judgement", note = "=HYPERLINK(1)" }
resale_share = 0.1
[[roofs.membrane.visits]]
name = "-reseal"
every = 12
cost = 950
finds = 0.6
restores = 1
[roofs.coating]
covering = "coating"
life_shape = 3
life_scale = 30
renew_cost = 5400
resale_share = 0.6
warranty_years = 5
warranty_share = 0.8
[existing]
roof = "membrane"
age = 36
seal_age = 10
[alternatives.keep]
title = "@SUM(A1)"
base_case = true
[alternatives.coat_now]
title = "+spray 🚐 now"
change = "now"
then = "coating"
quote = 3000
[alternatives.coat_later]
title = "LONG"
change = 1.5
then = "coating"
quote = 3000
[loan]
alternative = "coat_now"
principal = 2000
rate = 0.08
months = 30
"""


def small() -> Scenario:
    return loads(SMALL.replace("LONG", "-" + "אב long 'title' " * 33))


def tiny() -> Scenario:
    """One year, kept for half of it."""
    text = SMALL.replace("study_period = 3", "study_period = 1").replace("change = 1.5", "change = 0.5")
    return loads(text.replace("holding_period = 2", "holding_period = 0.5"))


def changed(scenario: Scenario, rate: float) -> Scenario:
    """The scenario with the other rate and years."""
    stated = scenario.study["discount_rate"], scenario.owner["holding_period"]
    years = min(YEARS, scenario.likely(scenario.study["study_period"]) - 0.25)
    paths = [use.path for use in stated if isinstance(use, Use)]
    return replaced(scenario, dict(zip(paths, (rate, years), strict=True)))


@pytest.fixture(scope="module")
def comparisons() -> Mapping[str, tuple[Comparison, Comparison]]:
    """As stated, and with the other rate and years: many ways and a loan; rising prices, awkward titles.

    The first shows ten years only, as reading a workbook takes its time.
    """
    large = replaced(lifecycle.load("scenarios/two-quotes.toml"), {"study.study_period": 10.0})
    scenarios = {"two-quotes": large, "small": small(), "tiny": tiny()}
    return {
        name: (lifecycle.compare(scenario), lifecycle.compare(changed(scenario, RATES[name])))
        for name, scenario in scenarios.items()
    }


def read(content: bytes, *, values: bool) -> Any:
    return openpyxl.load_workbook(io.BytesIO(content), data_only=values)


def parts_of(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        return {name: parts.read(name) for name in parts.namelist()}


def formulas_of(content: bytes) -> dict[tuple[str, str], float | str]:
    """Stored value of each formula, by page and cell, as it stands in the file."""
    parts = parts_of(content)
    pages = re.findall(r'<sheet name="([^"]*)" sheetId="(\d+)"', parts["xl/workbook.xml"].decode())
    return {
        (page, cell): html.unescape(value) if kind else float(value)
        for page, number in pages
        for cell, kind, value in re.findall(
            r'<c r="(\w+)"[^>]*?( t="str")?><f>[^<]*</f><v>([^<]*)</v></c>',
            parts[f"xl/worksheets/sheet{number}.xml"].decode(),
        )
    }


def other_rate(content: bytes, scenario: Scenario, place: Path) -> Path:
    """Write a workbook with the other rate and years in its cells, and no stored values."""
    stated = scenario.study["discount_rate"], scenario.owner["holding_period"]
    cells = dict(zip(("C5", "C6"), map(scenario.likely, stated), strict=True))
    with zipfile.ZipFile(place, "w") as file:
        for name, part in parts_of(content).items():
            text = part.decode()
            if name.startswith("xl/worksheets/"):
                text, blanked = re.subn(r"(</f>)<v>[^<]*</v>", r"\1", text)
                assert blanked == text.count("<f>")
            if name == "xl/worksheets/sheet2.xml":
                for cell, value in cells.items():
                    text, written = re.subn(f'(<c r="{cell}"[^>]*><v>)[^<]*', rf"\g<1>{value}", text)
                    assert written == 1
            file.writestr(name, text)
    return place


def same(got: Any, wanted: Any) -> bool:
    if isinstance(wanted, str):
        return bool(got == wanted)
    return isinstance(got, int | float) and abs(got - wanted) < CENT


@pytest.fixture(scope="module")
def spreadsheet_program() -> str:
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None and os.environ.get("CI", "").lower() == "true":
        pytest.fail("no spreadsheet program: CI must have one")
    if program is None:
        pytest.skip("no spreadsheet program (soffice) on this machine; the other reader still checks")
    return program


def test_a_spreadsheet_program_gets_the_librarys_figures_at_another_rate(
    comparisons: Mapping[str, tuple[Comparison, Comparison]], spreadsheet_program: str, tmp_path: Path
) -> None:
    files = [
        other_rate(as_workbook(stated, None), other.scenario, tmp_path / f"{name}.xlsx")
        for name, (stated, other) in comparisons.items()
    ]
    out = tmp_path / "worked out"
    profile = (tmp_path / "profile").as_uri()
    command = [spreadsheet_program, f"-env:UserInstallation={profile}", "--headless", "--convert-to", "xlsx"]
    subprocess.run(
        [*command, "--outdir", str(out), *map(str, files)],
        check=True,
        capture_output=True,
        timeout=120,
        env={**os.environ, "HOME": str(tmp_path)},
    )
    for name, (_, other) in comparisons.items():
        wanted = as_workbook(other, None)
        got, cells = read((out / f"{name}.xlsx").read_bytes(), values=True), formulas_of(wanted)
        assert len(cells) > 100
        wrong = [
            (page, cell, got[page][cell].value, value)
            for (page, cell), value in cells.items()
            if not same(got[page][cell].value, value)
        ]
        assert not wrong, f"{name}: {len(wrong)} of {len(cells)} formulas differ, {wrong[:3]}"


def test_an_independent_reader_gets_the_librarys_figures_at_another_rate(
    comparisons: Mapping[str, tuple[Comparison, Comparison]], tmp_path: Path
) -> None:
    formulas = pytest.importorskip("formulas")
    stated, other = comparisons["small"]
    place = other_rate(as_workbook(stated, None), other.scenario, tmp_path / "small.xlsx")
    solution = formulas.ExcelModel().loads(str(place)).finish().calculate()
    found = {
        key.upper(): value.value[0, 0]
        for key, value in solution.items()
        if hasattr(value, "value") and value.value.shape == (1, 1)
    }
    cells, wrong = formulas_of(as_workbook(other, None)), []
    for (page, cell), value in cells.items():
        got = found.get(f"'[SMALL.XLSX]{page}'!{cell}".upper())
        got = float(got) if hasattr(got, "dtype") else got
        if not same(got, value):
            wrong.append((page, cell, got, value))
    assert len(cells) > 200
    assert not wrong, f"{len(wrong)} of {len(cells)} formulas differ, {wrong[:3]}"


def rows_under(page: Any, heading: str, rows: int) -> list[list[Any]]:
    """Values of the ways below a heading and its line of titles."""
    start = next(row[0].row for row in page.iter_rows(max_col=1) if row[0].value == heading)
    return [
        [cell.value for cell in row[WAYS:]]
        for row in page.iter_rows(min_row=start + 2, max_row=start + 1 + rows)
    ]


def test_every_formula_holds_the_librarys_value(
    comparisons: Mapping[str, tuple[Comparison, Comparison]],
) -> None:
    for stated, _ in comparisons.values():
        content = as_workbook(stated, None)
        book = read(content, values=True)
        stored = formulas_of(content)
        assert len(stored) == sum(
            cell.data_type == "f"
            for page in read(content, values=False)
            for row in page.iter_rows()
            for cell in row
        )
        assert all(book[page][cell].value == value for (page, cell), value in stored.items())
        ways = list(stated.ways.values())
        by_year = rows_under(book[PRESENT], "Cost in today's money, by year of sale", stated.study_period + 1)
        for place, way in enumerate(ways):
            assert [row[place] for row in by_year] == pytest.approx(way.net_present_cost.tolist(), abs=1e-9)
        measured = {row[1].value: [cell.value for cell in row[WAYS:]] for row in book[MEASURES].iter_rows()}
        terms = {
            "savings_to_investment": "savings-to-investment ratio",
            "adjusted_internal_rate_of_return": "adjusted internal rate of return",
            "simple_payback": "simple payback",
            "discounted_payback": "discounted payback",
            "break_even_year": "break-even year",
            "break_even_price": "break-even price",
        }
        for place, way in enumerate(ways):
            assert measured["net-present cost"][place] == pytest.approx(way.at_holding, abs=1e-9)
            if way.measures is None:
                continue
            assert measured["net savings"][place] == pytest.approx(way.measures.at_holding, abs=1e-9)
            for name, term in terms.items():
                answer: Answer = way.measures.answers[name]
                if name == "break_even_price" and way.keeps_what_stands:
                    continue
                wanted = answer.value if answer.value is not None else answer.reason
                assert measured[term][place] == (
                    pytest.approx(wanted, abs=1e-9) if answer.value is not None else wanted
                ), (way.name, name)


def test_titles_are_never_computed(comparisons: Mapping[str, tuple[Comparison, Comparison]]) -> None:
    stated, _ = comparisons["small"]
    content = as_workbook(stated, brief(stated.scenario, draws=64))
    book = read(content, values=False)
    texts = [str(c.value) for page in book for row in page.iter_rows() for c in row if c.data_type == "s"]
    for title in ('=1+1 <b>"small"</b>', "1: @SUM(A1)", "2: +spray 🚐 now", "=HYPERLINK(1)", "=EUR"):
        assert any(title in text for text in texts), title
    assert any(text.startswith("3: -אב long") and text.endswith("…") for text in texts)
    written = [str(c.value) for page in book for row in page.iter_rows() for c in row if c.data_type == "f"]
    assert len(written) == len(formulas_of(content)) > 100
    assert not [
        formula for formula in written if re.search(r"HYPERLINK|SUM\(A1\)|spray|1\+1[^0-9]*small", formula)
    ]
    assert max(map(len, texts)) <= 1000


def test_nothing_of_the_machine_is_in_it(comparisons: Mapping[str, tuple[Comparison, Comparison]]) -> None:
    stated, _ = comparisons["small"]
    content = as_workbook(stated, None)
    assert content == as_workbook(stated, None)
    properties = read(content, values=False).properties
    assert not properties.creator and not properties.lastModifiedBy
    assert properties.created == properties.modified == datetime(2027, 4, 1)
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        assert {entry.date_time[:3] for entry in parts.infolist()} == {(1980, 1, 1)}
        whole = "\n".join(parts.read(name).decode() for name in parts.namelist())
    assert str(Path.cwd()) not in whole and str(Path.home()) + "/" not in whole


def test_it_says_what_it_is(comparisons: Mapping[str, tuple[Comparison, Comparison]]) -> None:
    stated, _ = comparisons["two-quotes"]
    found = brief(stated.scenario, draws=64)
    book = read(as_workbook(stated, found), values=True)
    said = " ".join(str(cell.value) for row in book["Read me"].iter_rows() for cell in row if cell.value)
    assert "invented" in said and lifecycle.__version__ in said and stated.scenario.sha256 in said
    assert "not a quote" in said and "two yellow cells" in said
    paths = {cell.value for row in book[ASSUMPTIONS].iter_rows() for cell in row}
    assert set(stated.scenario.inputs) <= paths
    doubt = book[DOUBT]
    middle = next(row for row in doubt.iter_rows() if row[0].value == "middle (median)")
    costs = found.doubt
    wanted = [float(costs.band(costs.cost(name)).p50) for name in costs.names]
    assert [cell.value for cell in middle[WAYS:]] == pytest.approx(wanted, abs=1e-9)
    assert not any(cell.data_type == "f" for row in doubt.iter_rows() for cell in row)


def test_one_way_alone_is_written_too() -> None:
    scenario = loads(SMALL[: SMALL.index("[alternatives.coat_now]")])
    stated = lifecycle.compare(scenario)
    book = read(as_workbook(stated, brief(scenario, draws=64)), values=True)
    measured = {row[1].value: row[WAYS].value for row in book[MEASURES].iter_rows()}
    assert measured["net-present cost"] == pytest.approx(stated.ways["keep"].at_holding, abs=1e-9)
    assert measured["net savings"] == "what you would do otherwise"


def test_with_trouble_there_are_no_sums() -> None:
    stated = lifecycle.compare(lifecycle.load("scenarios/trouble-reported.toml"))
    content = as_workbook(stated, None)
    book = read(content, values=True)
    assert book.sheetnames == ["Read me", ASSUMPTIONS]
    assert not formulas_of(content)
    assert any("Open it first" in str(cell.value) for row in book["Read me"].iter_rows() for cell in row)
