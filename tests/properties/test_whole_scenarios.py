"""Whole scenarios at the borders of what a file may say: worked out, or refused in words.

A scenario is drawn from the field metadata itself: any number may stand at either end of what is allowed, or
anywhere between. So a field that is added is drawn as well, and no bound is stated twice.
"""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
import tomlkit
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as some

from lifecycle import compare, files
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.comparison import Comparison
from lifecycle.quantities import SHAPES, FieldInfo
from lifecycle.scenario import Scenario, replaced
from lifecycle.studies.doubt import doubt
from lifecycle.studies.futures import in_futures

MOST = 1e6
"""Where a field has no end of its own. [unit of the field]"""

JOBS = ("reseal", "look", "topcoat")
EITHER = ("life_mean", "joint_leaks_ten_years", "sign_years", "leak_ratio", "plan_ends")
"""Other forms of what is stated, or what needs something beside it: left out."""


def single(field: FieldInfo, low: float, high: float) -> some.SearchStrategy[float]:
    """Draw a number that a field allows, its ends above all."""
    if field.whole:
        return some.integers(math.ceil(low), math.floor(high)).map(float)
    between = some.floats(0.0, 1.0).map(lambda share: low + (high - low) * share**3)
    return some.sampled_from([low, high]) | between


@some.composite
def number(draw: some.DrawFn, field: FieldInfo) -> Any:
    """Draw what may stand for a number: bare, with a basis, or as a range."""
    low, high = max(field.low, -MOST), min(field.high, MOST)
    value = draw(single(field, low, high))
    form = draw(some.sampled_from(["bare", "bare", "value", "range"]))
    if form == "bare" or (form == "range" and not field.ranged):
        return int(value) if field.whole else value
    if form == "value":
        return {"value": value, "basis": "demo", "note": "drawn"}
    ends = sorted([value, *draw(some.tuples(single(field, low, high), single(field, low, high)))])
    shape = draw(some.sampled_from(SHAPES))
    if shape == "uniform":
        return {"low": ends[0], "high": ends[2], "shape": shape, "basis": "demo"}
    names = dict(zip(("low", "likely", "high"), ends, strict=True))
    return {**names, "shape": shape if shape != "lognormal" or ends[0] > 0 else "pert", "basis": "demo"}


@some.composite
def section(draw: some.DrawFn, name: str, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
    """Draw some of the numbers of a section, and all that it needs."""
    found = {}
    for key, field in files.fields()[name].items():
        if field.kind == "number" and key not in without:
            needed = field.required
            if needed or draw(some.integers(0, 2)) == 0:
                found[key] = draw(number(field))
    return found


@some.composite
def roof(draw: some.DrawFn) -> dict[str, Any]:
    """Draw a roof with its jobs."""
    own = draw(section("roofs", without=EITHER))
    own["defect_life"] = draw(number(files.fields()["roofs"]["defect_life"]))
    names = draw(some.lists(some.sampled_from(JOBS), unique=True, max_size=3))
    own["visits"] = [{"name": name, **draw(section("visits"))} for name in names]
    return own


@some.composite
def scenarios(draw: some.DrawFn) -> str:
    """Draw the text of a whole scenario."""
    years, age = draw(some.integers(1, 6)), draw(some.sampled_from([0, 1, 30, 240]))
    study = draw(section("study", without=("study_period", "escalation")))
    owner = draw(section("owner", without=("holding_period",)))
    existing = draw(section("existing", without=("age", "seal_age", "last_visits", "leaks_found")))
    kept = draw(some.integers(1, 12 * years)) / 12
    whole = {
        "schema": 1,
        "units": draw(some.sampled_from(["us", "metric"])),
        "study": {"study_period": years, **study},
        "owner": {"holding_period": max(kept, 1 / 12), **owner},
        "leaks": draw(section("leaks", without=EITHER)),
        "roofs": {"standing": draw(roof()), "coating": {"covering": "coating", **draw(roof())}},
        "existing": {"roof": "standing", "age": age, "seal_age": draw(some.integers(0, age)), **existing},
        "alternatives": {
            "keep": {"base_case": True},
            "now": {"change": "now", "then": "coating", **draw(section("alternatives", without=("change",)))},
            "later": {"change": draw(some.integers(0, 6)), "then": "coating"},
        },
    }
    if draw(some.booleans()):
        whole["existing"]["hidden_now"] = "from upkeep"
    text = tomlkit.dumps(whole)
    return text.replace("[study]\n", "[study]\nbase_date = 2027-04-01\n", 1)


def check_finite(comparison: Comparison) -> None:
    """Check that every number of an answer is one, and that the categories add up."""
    for way in comparison.ways.values():
        assert np.all(np.isfinite(way.net_present_cost))
        assert np.all((way.chance_renewed >= -1e-9) & (way.chance_renewed <= 1.0 + 1e-9))
        assert np.all(np.diff(way.chance_renewed) >= -1e-9)
        parts = list(way.by_category.values())
        assert all(map(math.isfinite, parts)) and all(map(math.isfinite, way.expected.values()))
        size = sum(map(abs, parts))
        assert abs(sum(parts) - way.at_holding) <= 1e-9 * size + 1e-6
        if way.measures is not None:
            stated = [answer.value for answer in way.measures.answers.values() if answer.value is not None]
            assert all(map(math.isfinite, stated))


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.large_base_example])
@given(scenarios())
def test_whatever_a_file_may_say_is_worked_out_or_refused(text: str) -> None:
    try:
        scenario = files.loads(text)
    except ScenarioError as error:
        event("refused")
        assert all(fault.rule and str(fault) for fault in error.faults)
        return
    event("accepted")
    check_finite(compare(scenario))
    again = files.loads(tomlkit.dumps(tomlkit.parse(scenario.text)))
    assert again.inputs == scenario.inputs
    try:
        under = in_futures(lambda: doubt(scenario, draws=16), scenario)
    except ScenarioError as error:
        assert "history" in str(error)
        return
    assert all(np.all(np.isfinite(cost)) for cost in under.costs.values())
    assert under.futures.weights.sum() == pytest.approx(1.0)


@settings(max_examples=15, suppress_health_check=[HealthCheck.too_slow, HealthCheck.large_base_example])
@given(scenarios(), some.data())
def test_a_changed_input_is_a_new_scenario_and_the_old_one_stays(text: str, data: some.DataObject) -> None:
    try:
        scenario: Scenario = files.loads(text)
    except ScenarioError:
        return
    before = json.dumps({path: figure.likely for path, figure in scenario.inputs.items()})
    path = data.draw(some.sampled_from(sorted(scenario.inputs)))
    try:
        other = replaced(scenario, {path: scenario.inputs[path].low})
    except ScenarioError:
        return
    assert other.inputs[path].likely == scenario.inputs[path].low
    assert json.dumps({name: figure.likely for name, figure in scenario.inputs.items()}) == before
