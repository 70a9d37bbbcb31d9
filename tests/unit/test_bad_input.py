"""Bad input: one clear fault for each slip, all of them at once, and never another error."""

from __future__ import annotations

import copy
import os
import tomllib
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.reading import read_scenario
from lifecycle.reading.reader import line_of, lines_by_place
from lifecycle.scenario import Scenario, resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"
GOOD = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
OTHER = (SCENARIOS / "hidden-wet-spot.toml").read_text(encoding="utf-8")


def faults_of(text: str) -> list[str]:
    """Return the faults of a text as they are printed."""
    with pytest.raises(ScenarioError) as caught:
        files.loads(text)
    return [str(fault) for fault in caught.value.faults]


def changed(old: str, new: str) -> str:
    """Return the good scenario with one passage changed."""
    assert GOOD.count(old) >= 1, old
    return GOOD.replace(old, new, 1)


SLIPS = {
    "figures that are no table": ("schema = 1", "schema = 1\nfigures = 5", "figures", ["must be a table"]),
    "a figure that names another": (
        "[study]",
        '[figures]\nspare = "other"\n[study]',
        "figures.spare",
        ["a figure cannot name another figure"],
    ),
    "a figure of two units": (
        "[leaks]",
        '[figures]\nsame = 0.2\n[leaks]\nsilent_share = "same"\nsudden_within = "same"',
        "figures.same",
        ["stands for one number", "write two figures"],
    ),
    "a slip of a shared figure": (
        "[study]",
        "[figures]\nshop_reseal_costs = 5\n[study]",
        "figures.shop_reseal_costs",
        ["is used nowhere", 'did you mean "shop_reseal_cost"?'],
    ),
    "an entry of no price list": (
        "[existing]",
        '[quotes.shop]\n[[quotes.shop.items]]\nwhat = "all"\nentry = "x"\n[existing]',
        "quotes.shop.items.1.entry",
        ['name the list: prices = "shop.toml"'],
    ),
    "a past plan that is no name": (
        "age = 36",
        "age = 36\npast_plan = 5",
        "existing.past_plan",
        ["must name an upkeep plan", "write a name"],
    ),
    "a plan that is no table": ("[leaks]", "[plans]\nmine = 3\n[leaks]", "plans.mine", ["must be a table"]),
    "a plan with a number for a title": (
        "[leaks]",
        "[plans.mine]\ntitle = 5\n[leaks]",
        "plans.mine.title",
        ["must be a text", "quotation marks"],
    ),
    "an answer that holds a list in its range": (
        "[study]",
        "[answers]\nkeep = { low = [1], likely = 2, high = 3 }\n[study]",
        "answers.keep.low",
        ["must be a finite number or a text"],
    ),
    "an answer without end": (
        "[study]",
        "[answers]\nroof_age = inf\n[study]",
        "answers.roof_age",
        ["must be a text, a number", "got inf"],
    ),
    "a warranty of negative years": (
        "warranty_years = 10",
        "warranty_years = -1",
        "roofs.coating.warranty_years",
        ["number from 0 to 1,000 years", "got -1"],
    ),
    "honoured more often than always": (
        "warranty_years = 10",
        "warranty_years = 10\nwarranty_honoured = 1.2",
        "roofs.coating.warranty_honoured",
        ["number from 0 to 1", "got 1.2"],
    ),
    "more than all leaking ends": (
        "warranty_years = 10",
        "warranty_years = 10\nwarranty_leaking_ends = 100",
        "roofs.coating.warranty_leaking_ends",
        ["number from 0 to 1", "100 % is written 1"],
    ),
    "a plan that ends without another": (
        "[roofs.membrane]",
        "[roofs.membrane]\nplan_ends = 60",
        "roofs.membrane.plan_ends",
        ["needs plan_after or visits_after", "visits_after = []"],
    ),
    "a plan after one that never ends": (
        "[roofs.membrane]",
        '[roofs.membrane]\nplan_after = "nothing"',
        "roofs.membrane.plan_after",
        ["needs plan_ends"],
    ),
    "a plan after that is no plan": (
        "[roofs.membrane]",
        '[roofs.membrane]\nplan_ends = 60\nplan_after = "nothin"',
        "roofs.membrane.plan_after",
        ['did you mean "nothing"?'],
    ),
    "a plan that ends in part of a month": (
        "[roofs.membrane]",
        "[roofs.membrane]\nplan_ends = 60.5\nvisits_after = []",
        "roofs.membrane.plan_ends",
        ["whole"],
    ),
    "a plan that ends before today": (
        "[roofs.membrane]",
        "[roofs.membrane]\nplan_ends = -1\nvisits_after = []",
        "roofs.membrane.plan_ends",
        ["from 0", "got -1"],
    ),
    "cover for a way where nobody said where": (
        "[alternatives.coat_now]",
        "[alternatives.coat_now]\nsheltered_share = 0.5",
        "alternatives.coat_now.sheltered_share",
        ["needs [climate]"],
    ),
    "unknown name": (
        "patch_cost = 350",
        "patch_cots = 350",
        "leaks.patch_cots",
        ['did you mean "patch_cost"?'],
    ),
    "unknown section": ("[owner]", "[owners]", "owners", ['did you mean "owner"?']),
    "low above high": (
        "patch_cost = 350",
        "patch_cost = { low = 9, likely = 8, high = 7 }",
        "leaks.patch_cost",
        ["low <= likely <= high", "got 9, 8, 7"],
    ),
    "likely outside": (
        "patch_cost = 350",
        "patch_cost = { low = 1, likely = 8, high = 7 }",
        "leaks.patch_cost",
        ["low <= likely <= high"],
    ),
    "no high": (
        "patch_cost = 350",
        "patch_cost = { low = 1, likely = 2 }",
        "leaks.patch_cost",
        ["low, likely and high"],
    ),
    "value and range": (
        "patch_cost = 350",
        "patch_cost = { value = 1, low = 1 }",
        "leaks.patch_cost",
        ["one value, or a range"],
    ),
    "uniform off the middle": (
        "patch_cost = 350",
        'patch_cost = { low = 1, likely = 2, high = 7, shape = "uniform" }',
        "leaks.patch_cost",
        ["middle"],
    ),
    "lognormal at 0": (
        "patch_cost = 350",
        'patch_cost = { low = 0, likely = 2, high = 7, shape = "lognormal" }',
        "leaks.patch_cost",
        ["low above 0"],
    ),
    "unknown shape": (
        "patch_cost = 350",
        'patch_cost = { low = 0, likely = 2, high = 7, shape = "prt" }',
        "leaks.patch_cost.shape",
        ['did you mean "pert"?'],
    ),
    "unknown basis": (
        "patch_cost = 350",
        'patch_cost = { value = 3, basis = "guess" }',
        "leaks.patch_cost.basis",
        ["published, practice, record, offer, judgement, demo"],
    ),
    "published without source": (
        "patch_cost = 350",
        'patch_cost = { value = 3, basis = "published" }',
        "leaks.patch_cost",
        ["must name its source"],
    ),
    "probability of 1.2": (
        "finds = 0.6",
        "finds = 1.2",
        "roofs.membrane.visits.reseal.finds",
        ["from 0 to 1", "got 1.2"],
    ),
    "percentage": (
        "finds = 0.6",
        "finds = 60",
        "roofs.membrane.visits.reseal.finds",
        ["60 % is written 0.6"],
    ),
    "negative life": (
        "life_scale = 17",
        "life_scale = -17",
        "roofs.membrane.life_scale",
        ["from 0.1 to 10,000 years", "got -17"],
    ),
    "alternative without a roof": (
        'then = "coating"',
        'then = "coatin"',
        "alternatives.coat_now.then",
        ['did you mean "coating"?'],
    ),
    "two base cases": (
        "subject = true",
        "base_case = true",
        "alternatives",
        ["exactly one", "got 2: keep, coat_now"],
    ),
    "no base case": ("base_case = true", "", "alternatives", ["exactly one", "got none"]),
    "two subjects": (
        "change = 8",
        "change = 8\nsubject = true",
        "alternatives",
        ["one way at most", "coat_now, coat_later"],
    ),
    "base case as subject": (
        "base_case = true",
        "base_case = true\nsubject = true",
        "alternatives.keep.subject",
        ["base case"],
    ),
    "discount rate of -1": (
        "discount_rate = 0.03",
        "discount_rate = -1",
        "study.discount_rate",
        ["from -0.9 to 1 a year", "got -1"],
    ),
    "study period of 0": (
        "study_period = 20",
        "study_period = 0",
        "study.study_period",
        ["from 1 to 60 years", "got 0"],
    ),
    "study period of 500": (
        "study_period = 20",
        "study_period = 500",
        "study.study_period",
        ["from 1 to 60 years", "got 500"],
    ),
    "study period of 7.5": (
        "study_period = 20",
        "study_period = 7.5",
        "study.study_period",
        ["whole number"],
    ),
    "kept beyond the years shown": (
        "holding_period = 8",
        "holding_period = 21",
        "owner.holding_period",
        ["study.study_period, 20 years", "got 21 years"],
    ),
    "leak older than the roof": (
        "{ age = 20,",
        "{ age = 40,",
        "existing.hidden_now.2.age",
        ["existing.age, 36 months", "got 40"],
    ),
    "seal older than the roof": (
        "seal_age = 10",
        "seal_age = 37",
        "existing.seal_age",
        ["existing.age, 36 months", "got 37"],
    ),
    "job older than the roof": (
        "seal_age = 10",
        "last_visits = { reseal = 37 }",
        "existing.last_visits.reseal",
        ["existing.age, 36 months"],
    ),
    "job that is none": (
        "seal_age = 10",
        "last_visits = { resael = 3 }",
        "existing.last_visits.resael",
        ['did you mean "reseal"?'],
    ),
    "two jobs of one name": (
        'name = "touch-up"',
        'name = "reseal"',
        "roofs.membrane.visits.reseal.name",
        ["one job only"],
    ),
    "job without a name": ('name = "touch-up"', "", "roofs.membrane.visits.3.name", ["is required"]),
    "job without an interval": ("every = 3", "", "roofs.membrane.visits.inspection.every", ["is required"]),
    "layout of the future": ("schema = 1", "schema = 2", "schema", ["at most 1", "got 2"]),
    "layout that is no number": ("schema = 1", "schema = true", "schema", ["whole number", "got true"]),
    "not a number": (
        "rot_time = 2",
        "rot_time = nan",
        "leaks.rot_time",
        ["from 0.01 to 1,000 years", "got nan"],
    ),
    "infinity": ("rot_time = 2", "rot_time = inf", "leaks.rot_time", ["got inf"]),
    "infinity in a range": (
        "rot_time = 2",
        "rot_time = { low = 1, likely = 2, high = inf }",
        "leaks.rot_time.high",
        ["finite number", "got inf"],
    ),
    "number without end": (
        "rot_time = 2",
        "rot_time = 1" + "0" * 400,
        "leaks.rot_time",
        ["a very long number"],
    ),
    "true for a number": (
        "rot_time = 2",
        "rot_time = true",
        "leaks.rot_time",
        ["got true", "write a number"],
    ),
    "list for a number": ("rot_time = 2", "rot_time = [2]", "leaks.rot_time", ["got a list"]),
    "date for a number": ("rot_time = 2", "rot_time = 2027-01-01", "leaks.rot_time", ["got 2027-01-01"]),
    "figure that is none": ("rot_time = 2", 'rot_time = "slow"', "leaks.rot_time", ["names no figure"]),
    "range for an age": (
        "age = 36",
        "age = { low = 1, likely = 2, high = 3 }",
        "existing.age",
        ["not a range"],
    ),
    "range for an interval": (
        "every = 12",
        "every = { low = 6, likely = 12, high = 18 }",
        "roofs.membrane.visits.reseal.every",
        ["not a range"],
    ),
    "range for a change": (
        "change = 8",
        "change = { low = 1, likely = 2, high = 3 }",
        "alternatives.coat_later.change",
        ["not a range"],
    ),
    "change in mid-month": ("change = 8", "change = 2.54", "alternatives.coat_later.change", ["whole month"]),
    "change at some time": (
        "change = 8",
        'change = "later"',
        "alternatives.coat_later.change",
        ['"now", a number of years'],
    ),
    "text for a date": (
        "2027-04-01",
        '"2027-04-01"',
        "study.base_date",
        ["must be a date", "no quotation marks"],
    ),
    "a year of no coach": (
        "2027-04-01",
        "9999-12-31",
        "study.base_date",
        ["years 1900 to 2200", "got 9999-12-31"],
    ),
    "time for a date": ("2027-04-01", "2027-04-01T08:00:00", "study.base_date", ["must be a date"]),
    "number for a flag": (
        "base_case = true",
        "base_case = 1",
        "alternatives.keep.base_case",
        ["true or false", "got 1"],
    ),
    "section as a number": ("schema = 1", "schema = 1\ncoach = 1", "coach", ["must be a table"]),
    "ways as a list": ("[alternatives.keep]", "[[alternatives]]", "alternatives", ["must be a table"]),
    "jobs as a table": (
        "[existing]",
        "[plans.p]\nmembrane = 3\n[existing]",
        "plans.p.membrane",
        ["list of tables"],
    ),
    "required name missing": ("life_shape = 3.5", "", "roofs.membrane.life_shape", ["is required"]),
    "life missing": ("life_scale = 17", "", "roofs.membrane.life_scale", ["is required", "life_mean"]),
    "both forms of life": (
        "life_scale = 17",
        "life_scale = 17\nlife_mean = 15",
        "roofs.membrane.life_mean",
        ["life_scale"],
    ),
    "bad roofs without a life": (
        "life_scale = 17",
        "life_scale = 17\ndefect_share = 0.1",
        "roofs.membrane.defect_life",
        ["is required where defect_share is above 0"],
    ),
    "ratio of nothing": (
        "life_scale = 17",
        "life_scale = 17\nleak_ratio = 0.3",
        "roofs.membrane.leak_ratio",
        ["needs like"],
    ),
    "like nobody": (
        "life_scale = 17",
        'life_scale = 17\nlike = "membrain"',
        "roofs.membrane.like",
        ['did you mean "membrane"?'],
    ),
    "covering that is none": (
        'covering = "coating"',
        'covering = "metal"',
        "roofs.coating.covering",
        ["membrane, coating"],
    ),
    "plan that is none": (
        "life_scale = 17",
        'life_scale = 17\nplan = "shop_every_yaer"',
        "roofs.membrane.plan",
        ['did you mean "shop_every_year"?'],
    ),
    "roof of another kind": (
        "base_case = true",
        'base_case = true\nroof = "coating"',
        "alternatives.keep.roof",
        ["must be the roof that stands under another upkeep"],
    ),
    "trouble that is none": (
        "age = 36",
        'age = 36\ntrouble = ["stian"]',
        "existing.trouble.1",
        ['did you mean "stain"?'],
    ),
    "leaks from somewhere": (
        "hidden_now = [",
        'hidden_now = "from above"\nx = [',
        "existing.hidden_now",
        ["from upkeep"],
    ),
    "sale that escalates": (
        "discount_rate = 0.03",
        "discount_rate = 0.03\nescalation = { sale = 0.01 }",
        "study.escalation.sale",
        ["must be one of"],
    ),
    "loan for a later change": (
        "[existing]",
        '[loan]\nalternative = "coat_later"\nprincipal = 1\nrate = 0.1\nmonths = 12\n[existing]',
        "loan.alternative",
        ['change = "now"'],
    ),
    "loan for nobody": (
        "[existing]",
        '[loan]\nalternative = "coat_nwo"\nprincipal = 1\nrate = 0.1\nmonths = 12\n[existing]',
        "loan.alternative",
        ['did you mean "coat_now"?'],
    ),
    "quote that adds up to nothing": (
        "[alternatives.coat_now]",
        '[quotes.shop]\n[alternatives.coat_now]\nquote = "shop"\n[alternatives.coat_now.x]',
        "quotes.shop.items",
        ["must have an item"],
    ),
    "coach with a slip": (
        "[existing]",
        "[coach]\nlenght = 30\n[existing]",
        "coach.lenght",
        ['did you mean "length"?'],
    ),
    "coach too long": (
        "[existing]",
        "[coach]\nlength = 300\n[existing]",
        "coach.length",
        ["131.234 ft", "the unit is ft"],
    ),
    "answer with a slip": (
        "[existing]",
        "[answers]\nkep = 3\n[existing]",
        "answers.kep",
        ['did you mean "keep"?'],
    ),
    "correlation of a figure that is not there": (
        "[existing]",
        '[[correlations]]\na = "roofs.membrane.renew_cst"\n'
        'b = "roofs.coating.renew_cost"\nrank = 0.5\n[existing]',
        "correlations.1.a",
        ["that this scenario uses", 'did you mean "roofs.membrane.renew_cost"?'],
    ),
    "correlation of a figure with itself": (
        "[existing]",
        '[[correlations]]\na = "roofs.membrane.renew_cost"\n'
        'b = "roofs.membrane.renew_cost"\nrank = 0.5\n[existing]',
        "correlations.1.b",
        ["must name another figure"],
    ),
    "correlation beyond 1": (
        "[existing]",
        '[[correlations]]\na = "x"\nb = "y"\nrank = 2\n[existing]',
        "correlations.1.rank",
        ["from -1 to 1"],
    ),
    "line break in a title": (
        'title = "Spray now"',
        'title = "Spray\\nnow"',
        "alternatives.coat_now.title",
        ["one line"],
    ),
    "name with a dot": (
        "[alternatives.keep]",
        '[alternatives."ke.ep"]',
        "alternatives.ke.ep",
        ["letters, digits"],
    ),
    "past told twice": (
        "age = 36",
        'age = 36\npast_plan = "only_looks"\npast_visits = []',
        "existing.past_plan",
        ["must not stand beside past_visits"],
    ),
    "correlation told twice": (
        "[existing]",
        '[[correlations]]\na = "x"\nb = "y"\nrank = 0.2\n'
        '[[correlations]]\na = "y"\nb = "x"\nrank = 0.3\n[existing]',
        "correlations.2",
        ["must not say again what correlations.1 says"],
    ),
    "parts of a job that are no list": (
        "[existing]",
        '[quotes.shop]\n[[quotes.shop.items]]\nwhat = "all"\nprice = 1\ncovers = true\n[existing]',
        "quotes.shop.items.1.covers",
        ["must be a list", "got true", "choose from: strip"],
    ),
    "part of a job that is none": (
        "[existing]",
        '[quotes.shop]\n[[quotes.shop.items]]\nwhat = "all"\nprice = 1\ncovers = ["spary"]\n[existing]',
        "quotes.shop.items.1.covers.1",
        ["must be one of: strip", 'did you mean "spray"?'],
    ),
    "validity that is a flag": (
        "[existing]",
        '[quotes.shop]\nvalidity = true\n[[quotes.shop.items]]\nwhat = "all"\nprice = 1\n[existing]',
        "quotes.shop.validity",
        ["a number of days", "got true"],
    ),
    "units that are none": ('units = "us"', 'units = "imperial"', "units", ["us, metric"]),
    "currency that is none": ('currency = "USD"', "currency = 3", "currency", ["1 to 8 letters"]),
    "slip in a figure's name": (
        "[existing]",
        "[figures]\nshop_reseal_cots = 3\n[existing]",
        "figures.shop_reseal_cots",
        ["shop_reseal_cost"],
    ),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_said_with_place_rule_and_remedy(slip: str) -> None:
    old, new, place, words = SLIPS[slip]
    found = [fault for fault in faults_of(changed(old, new)) if fault.startswith(f"{place} ")]
    assert found, faults_of(changed(old, new))
    assert any(all(word in fault for word in words) for fault in found), found


@pytest.mark.parametrize(
    "slip", ["probability of 1.2", "negative life", "seal older than the roof", "two jobs of one name"]
)
def test_a_slip_is_said_once_and_nothing_besides(slip: str) -> None:
    assert len(faults_of(changed(*SLIPS[slip][:2]))) == 1


def test_all_faults_are_said_at_once_in_the_order_of_the_file() -> None:
    text = GOOD
    chosen = [
        "discount rate of -1",
        "negative life",
        "probability of 1.2",
        "seal older than the roof",
        "two base cases",
    ]
    for slip in chosen:
        old, new, _, _ = SLIPS[slip]
        text = text.replace(old, new, 1)
    with pytest.raises(ScenarioError) as caught:
        files.loads(text, "mine.toml")
    assert len(caught.value.faults) == len(chosen)
    assert str(caught.value).startswith("mine.toml: 5 faults\n")
    lines = [fault.line for fault in caught.value.faults if fault.line]
    assert lines == sorted(lines) and len(lines) == 4


@pytest.mark.parametrize(
    "slip", ["probability of 1.2", "negative life", "leak older than the roof", "change in mid-month"]
)
def test_a_fault_names_its_line(slip: str) -> None:
    old, new, place, _ = SLIPS[slip]
    text = changed(old, new)
    with pytest.raises(ScenarioError) as caught:
        files.loads(text)
    fault = next(fault for fault in caught.value.faults if fault.place == place)
    assert fault.line is not None
    assert new.splitlines()[0] in text.splitlines()[fault.line - 1]


def test_of_many_unknown_names_some_are_shown_and_all_are_counted() -> None:
    faults = faults_of(changed("[leaks]", "[leaks]\n" + "".join(f"qz{name} = 1\n" for name in range(40))))
    assert any("leaks (line 20) has 40 unknown names" in fault for fault in faults)
    assert 1 < sum("qz" in fault for fault in faults) < 40


def test_a_circle_of_roofs_is_said() -> None:
    text = changed("[existing]", '[roofs.a]\nlike = "b"\n[roofs.b]\nlike = "a"\n[existing]')
    assert any("must not lead back" in fault for fault in faults_of(text))


def test_an_empty_file_says_all_that_is_missing() -> None:
    places = {fault.split(" ")[0] for fault in faults_of("")}
    assert places == {"study", "owner", "leaks", "existing", "alternatives"}


@pytest.mark.parametrize(
    "text",
    [
        "[",
        "a = ",
        "a = 1\na = 2",
        "[study]\n[study]",
        "schema = 1\x00",
        "x = [[[" * 3000,
        "x = " + "9" * 9000,
    ],
)
def test_broken_toml_is_one_fault(text: str) -> None:
    (fault,) = faults_of(text)
    assert "must be TOML" in fault


def test_broken_toml_names_the_line() -> None:
    (fault,) = faults_of("schema = 1\ntitle = oops\n")
    assert "(line 2)" in fault


def refused(path: str | os.PathLike[str]) -> str:
    """Return what is said of a file that is refused."""
    with pytest.raises(ScenarioError) as caught:
        files.load(path)
    assert len(caught.value.faults) == 1
    return str(caught.value)


def test_names_and_values_are_shown_to_60_letters() -> None:
    long = "x" * 10_000
    for new in (f"{long} = 350", f'patch_cost = "{long}"', f'patch_cost = {{ value = 1, basis = "{long}" }}'):
        assert all(len(fault) < 600 for fault in faults_of(changed("patch_cost = 350", new)))
    (fault,) = faults_of(changed('then = "coating"', f'then = "{long}"'))
    assert f'got "{"x" * 59} ...' in fault


@pytest.mark.parametrize("covers", ["true", "3", '["spary"]', "[[]]"])
def test_parts_of_a_job_in_a_price_list_are_a_list_of_known_ones(covers: str) -> None:
    text = f'title = "t"\n[entries.spray]\nwhat = "spray"\nunit = "fixed"\nprice = 3\ncovers = {covers}\n'
    with pytest.raises(ScenarioError) as caught:
        files.loads_prices(text.encode(), "shop.toml")
    assert ["entries.spray.covers" in fault.place for fault in caught.value.faults] == [True]


def test_what_was_found_needs_a_line(tmp_path: Path) -> None:
    (tmp_path / "found.toml").write_text("bill = 9100\n")
    with pytest.raises(ScenarioError, match="items must have a line for what was found"):
        files.load_found(tmp_path / "found.toml", files.load(SCENARIOS / "two-quotes.toml"))


def test_files_that_are_none_are_refused(tmp_path: Path) -> None:
    assert "does not exist" in refused(tmp_path / "none.toml")
    assert "must be a file; got a folder" in refused(tmp_path)
    assert "cannot be read" in refused("a\0b")
    assert "cannot be read" in refused(tmp_path / ("x" * 5000))


def test_a_path_through_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "there.toml").write_text("schema = 1")
    assert "cannot be read" in refused(tmp_path / "there.toml" / "mine.toml")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device on this system")
def test_a_device_is_refused_unread() -> None:
    assert "must be a plain file" in refused("/dev/zero")


def test_a_file_of_20_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(20_000_000)
    assert "at most 300,000 bytes; got 20,000,000 bytes" in refused(path)


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes('title = "Gr\xfcn"'.encode("latin-1"))
    assert "must be text in UTF-8; got byte 12 is none" in refused(path)


def test_a_name_with_control_characters_is_printed_safely(tmp_path: Path) -> None:
    message = refused(tmp_path / "a\x1b[31mb\n.toml")
    assert "\x1b" not in message and "\n" not in message


def test_values_with_control_characters_are_printed_safely() -> None:
    (fault,) = faults_of(changed('then = "coating"', 'then = "\\u001b[31m\\u0007"'))
    assert fault.isprintable()


def test_long_lists_of_faults_end() -> None:
    text = GOOD + "".join(f"[alternatives.way{count}]\nthen = 'nowhere'\n" for count in range(3000))
    with pytest.raises(ScenarioError) as caught:
        files.loads(text)
    assert len(str(caught.value).splitlines()) == 62
    assert "must have at most 200 entries; got 3,004" in "\n".join(map(str, caught.value.faults))


def attempt(data: dict[str, Any]) -> Scenario | None:
    """Read parsed data: a scenario that resolves, or the one error that is allowed."""
    try:
        scenario = read_scenario(data, files.shared(), files.fields())
    except ScenarioError as error:
        assert error.faults
        assert all(str(fault).isprintable() and fault.rule for fault in error.faults)
        assert str(error)
        return None
    assert resolve(scenario).base_case.base_case
    return scenario


SCALARS = st.one_of(
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.sampled_from([0, 1, 12, 36, 10**400]),
    st.floats(),
    st.text(max_size=8),
    st.sampled_from(
        ["now", "end of life", "endless", "shared", "membrane", "coating", "shop_reseal_cost", "from upkeep"]
    ),
    st.sampled_from([date(2027, 4, 1), datetime(2027, 4, 1, 8, 0), time(8, 0)]),
)
NAMES = st.one_of(
    st.sampled_from(sorted({name for names in files.fields().values() for name in names})),
    st.sampled_from(sorted(tomllib.loads(GOOD))),
    st.text(max_size=5),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(NAMES, VALUES, max_size=8))
def test_any_structure_gives_a_scenario_or_faults(data: dict[str, Any]) -> None:
    assert attempt(data) is None or "alternatives" in data


def places_in(value: Any, trail: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the trail of every value in a structure."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [trail, *(found for key, inner in inside for found in places_in(inner, (*trail, key)))]


SOURCES = [tomllib.loads(text) for text in (GOOD, OTHER)]
TRAILS = [places_in(source)[1:] for source in SOURCES]


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_any_change_to_a_good_file_gives_a_scenario_or_faults(data: st.DataObject) -> None:
    number = data.draw(st.integers(0, len(SOURCES) - 1))
    mutated = copy.deepcopy(SOURCES[number])
    for _ in range(data.draw(st.integers(1, 3))):
        trail = data.draw(st.sampled_from(TRAILS[number]))
        around: Any = mutated
        try:
            for key in trail[:-1]:
                around = around[key]
            kind = data.draw(st.sampled_from(["remove", "replace", "rename"]))
            if kind == "remove":
                del around[trail[-1]]
            elif kind == "replace":
                around[trail[-1]] = data.draw(VALUES)
            elif isinstance(around, dict):
                around[data.draw(NAMES)] = around.pop(trail[-1])
        except (KeyError, IndexError, TypeError):
            assume(False)
    scenario = attempt(mutated)
    assert scenario is None or scenario.alternatives


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(GOOD) - 1), st.integers(0, 12), st.text(max_size=6))
def test_any_slip_of_the_pen_gives_a_scenario_or_faults(place: int, length: int, typed: str) -> None:
    text = GOOD[:place] + typed + GOOD[place + length :]
    try:
        scenario = files.loads(text)
    except ScenarioError as error:
        assert error.faults and str(error)
    else:
        assert resolve(scenario).terms.months >= 12


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="ab.=\"'[]{}#\n 1,", max_size=80))
def test_lines_are_found_in_any_text(text: str) -> None:
    lines = lines_by_place(text)
    count = text.count("\n") + 1
    assert all(1 <= line <= count for line in lines.values())
    assert line_of("no.such.place", {}) is None


def test_lines_of_every_form() -> None:
    text = """a = 1
[b]
c.d = 2
"e f" = '''
c = 3
'''
g = [
  { x = 1 },
  { name = "n", x = 2 },
]
[[h]]
y = 1
name = "k"
z = 1
[[h]]
y = 2
"""
    lines = lines_by_place(text)
    found = {
        place: line_of(place, lines)
        for place in ("a", "b.c.d", "b.e f", "b.g.1.x", "b.g.n.x", "h.k.y", "h.k.z", "h.2.y")
    }
    assert found == {
        "a": 1,
        "b.c.d": 3,
        "b.e f": 4,
        "b.g.1.x": 8,
        "b.g.n.x": 9,
        "h.k.y": 12,
        "h.k.z": 14,
        "h.2.y": 16,
    }
