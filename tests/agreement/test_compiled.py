"""The compiled form against the numpy form, for draws that differ in every number; both are held to the
slow loop and to the printed worked examples elsewhere.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from lifecycle.errors import ScenarioError
from lifecycle.evaluation import expectation, past
from lifecycle.evaluation.compiled import calling
from lifecycle.evaluation.compiled import library as loaded
from lifecycle.evaluation.compiled.build import CROSS_COMPILER, ROOM, build, compilers, library_name
from lifecycle.evaluation.compiled.library import COMPILED, NUMPY, Library, form, found, load
from lifecycle.evaluation.expectation import evaluate, evaluate_in_numpy
from lifecycle.evaluation.ledger import Ledger
from lifecycle.roofs import Case, Visit, take
from tests.agreement.random_cases import random_case

DRAWS = 11
"""Not a whole multiple of what goes side by side."""


@cache
def kernel() -> Library:
    """The kernel, compiled for the test where it is not there."""
    if not (ROOM / library_name()).exists() and not build(ROOM, native=True):
        pytest.skip("no compiler here")
    found.cache_clear()
    library, why = found()
    if library is None:
        pytest.skip(why)
    return library


def spread(case: Case, draws: int, seed: int) -> Case:
    """Give every number of a case a value for each draw, 0 and 1 among them where they were."""
    luck = np.random.default_rng(seed)
    months = luck.integers(1, case.terms.months + 1, draws)

    def some(value: Any, name: str = "") -> Any:
        if isinstance(value, float) and (name, value) != (
            "restores",
            1.0,
        ):  # a reseal in full for all, or none
            share = value <= 1.0 and name not in ("life_shape", "joint_leak_growth", "age_leak_growth")
            drawn = value * luck.uniform(0.7, 1.3, draws)
            drawn = np.minimum(drawn, 1.0) if share else drawn
            return np.where(luck.random(draws) < 0.3, value, drawn)
        if is_dataclass(value) and not isinstance(value, type):
            same = {"study_period", "name", "title", "age"}
            changed = {
                f.name: some(getattr(value, f.name), f.name) for f in fields(value) if f.name not in same
            }
            return replace(value, **changed)
        if isinstance(value, tuple):
            return tuple(some(each) for each in value)
        return {key: some(each) for key, each in value.items()} if isinstance(value, dict) else value

    drawn = some(case)
    return replace(drawn, terms=replace(drawn.terms, holding_period=months / 12.0))


def assert_same(one: dict[str, Ledger], other: dict[str, Ledger]) -> None:
    """To 1e-10 of the largest, and a millionth of a cent where an amount is next to nothing."""
    assert list(one) == list(other)
    for name, ledger in other.items():
        for field in fields(Ledger):
            mine, judge = getattr(one[name], field.name), getattr(ledger, field.name)
            pairs = [(mine, judge)]
            if isinstance(judge, dict):
                assert list(mine) == list(judge)
                pairs = [(mine[key], judge[key]) for key in judge]
            if field.name == "apart":
                pairs = [
                    both for a, b in pairs for both in ((a.by_year, b.by_year), (a.at_holding, b.at_holding))
                ]
            for left, right in pairs:
                assert left.shape == right.shape, field.name
                scale = np.max(np.abs(right), initial=0.0)
                np.testing.assert_allclose(
                    left, right, rtol=0.0, atol=1e-10 * scale + 1e-8, err_msg=field.name
                )


@pytest.mark.parametrize("seed", range(500))
def test_it_says_what_the_numpy_form_says(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """All of the account: lines in the totals and apart, counts or totals alone, what a loan adds."""
    case = spread(random_case(seed), DRAWS, seed)
    kept_apart = ("upkeep", "hours", "days", "financing") if seed // 2 % 2 else ()
    asked = {"totals_only": seed % 2 == 1, "apart": kept_apart}
    assert calling.unfit(case) is None
    monkeypatch.setattr(expectation, "found", lambda: (kernel(), ""))
    compiled = evaluate(case, **asked)
    monkeypatch.setattr(expectation, "found", lambda: (None, ""))
    assert_same(compiled, evaluate(case, **asked))


@pytest.mark.parametrize("seed", range(100))
def test_it_says_how_likely_a_past_is_as_the_numpy_form_does(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = spread(random_case(seed), DRAWS, seed)
    known = ({}, {"leaks_found": 0}, {"leaks_found": 3}, {"found_at_least": 1})[seed % 4]
    case = replace(case, existing=replace(case.existing, age=case.existing.age or 7, **known))
    for mine, judge in zip(
        calling.recall_compiled(case, DRAWS, kernel()),
        past.standing_and_found(case.existing, case.leaks, DRAWS),
        strict=True,
    ):
        np.testing.assert_allclose(mine, judge, rtol=1e-10, atol=1e-13)
    monkeypatch.setattr(past, "found", lambda: (kernel(), ""))
    compiled = past.log_likelihood(case, DRAWS)
    assert not np.any(np.isnan(compiled))  # what cannot have been has no chance, and no rounding gives it one
    monkeypatch.setattr(past, "found", lambda: (None, ""))
    np.testing.assert_allclose(compiled, past.log_likelihood(case, DRAWS), rtol=1e-10, atol=1e-10)


@pytest.mark.parametrize("seed", range(6))
def test_what_is_kept_apart_is_missing_from_the_totals_and_no_more(seed: int) -> None:
    case = spread(random_case(seed), DRAWS, seed)
    whole = evaluate(case, totals_only=True)
    for name, ledger in evaluate(case, totals_only=True, apart=("upkeep", "days", "leak damage")).items():
        assert {line.split(":")[0] for line in ledger.apart} >= {"days", "leak damage"}
        lines = ledger.apart.values()
        by_year = ledger.net_present_cost + sum(line.by_year for line in lines)
        at_holding = ledger.at_holding + sum(line.at_holding for line in lines)
        np.testing.assert_allclose(by_year, whole[name].net_present_cost, rtol=1e-11, atol=1e-8)
        np.testing.assert_allclose(at_holding, whole[name].at_holding, rtol=1e-11, atol=1e-8)


def test_a_draw_does_not_know_its_neighbours() -> None:
    """A draw alone gives the same bits as among others, wherever it stands."""
    case = spread(random_case(3), 600, 3)
    together = calling.evaluate_compiled(case, 600, kernel(), totals_only=True, workers=2)
    for draw in (0, 5, 599):
        alone = calling.evaluate_compiled(
            take(case, slice(draw, draw + 1)), 1, kernel(), totals_only=True, workers=1
        )
        for name, ledger in alone.items():
            assert ledger.net_present_cost[0].tolist() == together[name].net_present_cost[draw].tolist()


@pytest.mark.parametrize("seed", [2, 3, 7])
def test_a_way_costs_the_same_in_any_company_and_over_any_longer_study(seed: int) -> None:
    case = random_case(seed)
    together = calling.evaluate_compiled(case, 1, kernel(), totals_only=True, workers=1)
    longer = replace(case.terms, study_period=case.terms.study_period + 3)
    for way in case.alternatives:
        if way.change_month is not None and way.change_month > case.terms.months:
            continue
        own = replace(case, alternatives=(way,), terms=longer)
        alone = calling.evaluate_compiled(own, 1, kernel(), totals_only=True, workers=1)[way.name]
        shown = alone.net_present_cost[:, : case.terms.study_period + 1]
        assert shown.tolist() == together[way.name].net_present_cost.tolist()
        assert alone.at_holding.tolist() == together[way.name].at_holding.tolist()


def test_libraries_for_any_processor_of_a_kind_say_the_same(tmp_path: Path) -> None:
    """As they are in a wheel: fewer draws at once, and rounding of their own."""
    own = kernel()
    others = [load(path) for path in build(tmp_path)]
    usable = [library for library in others if library.functions.lifecycle_runs()]
    assert usable and len({library.instructions for library in others}) == len(others)
    for seed in range(8):
        case = spread(random_case(seed), DRAWS, seed)
        mine = calling.evaluate_compiled(case, DRAWS, own, totals_only=False, workers=1)
        for library in usable:
            assert_same(calling.evaluate_compiled(case, DRAWS, library, totals_only=False, workers=1), mine)


def test_it_answers_where_it_is_compiled() -> None:
    kernel()
    compiled = f"{COMPILED}, {kernel().instructions}"
    assert form() == (NUMPY if os.environ.get("LIFECYCLE_FORM") == NUMPY else compiled)


def test_years_beyond_the_study_period_are_refused() -> None:
    case = random_case(0)
    beyond = replace(case, terms=replace(case.terms, holding_period=case.terms.study_period + 1.0))
    with pytest.raises(ValueError, match="years kept"):
        evaluate_in_numpy(beyond, 1)
    with pytest.raises(ValueError, match="years kept"):
        calling.evaluate_compiled(beyond, 1, kernel(), totals_only=True, workers=1)


def test_every_month_before_its_beginning_is_named_with_its_rule() -> None:
    case = random_case(0)
    wrong = replace(
        case,
        alternatives=(replace(case.base_case, change_month=-1),),
        existing=replace(case.existing, age=-2, seal_age=-3),
        terms=replace(case.terms, study_period=0),
    )
    with pytest.raises(ScenarioError) as caught:
        calling.evaluate_compiled(wrong, 1, kernel(), totals_only=True, workers=1)
    months, years = "must be 0 months or more; got", "must be 1 years or more; got"
    said = [str(fault).split(":")[0] for fault in caught.value.faults]
    assert said == [
        f"existing.age {months} -2",
        f"existing.seal_age {months} -3",
        f"terms.study_period {years} 0",
        f"alternatives.{case.base_case.name}.change_month {months} -1",
    ]


@pytest.mark.parametrize("totals_only", [False, True])
def test_a_result_without_a_row_ends_the_evaluation(
    monkeypatch: pytest.MonkeyPatch, totals_only: bool
) -> None:
    """The kernel asks before it writes: nothing lands beside what is laid out."""
    laid_out = calling._places

    def one_too_few(*what: Any) -> dict[str, Any]:
        return {name: replace(places, end=places.end - 1) for name, places in laid_out(*what).items()}

    monkeypatch.setattr(calling, "_places", one_too_few)
    monkeypatch.setattr(calling._Places, "read", lambda places, rows: pytest.fail("read"))
    with pytest.raises(RuntimeError, match="no row is laid out for it"):
        calling.evaluate_compiled(random_case(2), 1, kernel(), totals_only=totals_only, workers=1)


@pytest.mark.parametrize("number", [2, 40])
def test_what_it_does_not_carry_is_left_to_the_numpy_form(number: int) -> None:
    """Too many kinds of visit, and one that stands twice in its plan."""
    case = random_case(1)
    many = tuple(Visit(f"look {place}", every=place + 1, cost=1.0) for place in range(number))
    plan = many if number > 32 else (many[0], *many)
    roof = replace(case.base_case.roof, visits=plan, plan_ends=None, visits_after=())
    crowded = replace(case, alternatives=(replace(case.base_case, roof=roof),), loan=None)
    assert calling.unfit(crowded) is not None
    assert_same(evaluate(crowded), evaluate_in_numpy(crowded, 1))


def test_the_numpy_form_can_be_asked_for() -> None:
    words = [sys.executable, "-m", "lifecycle", "--version"]
    done = subprocess.run(
        words, env={**os.environ, "LIFECYCLE_FORM": "numpy"}, capture_output=True, text=True, check=True
    )
    assert "numpy" in done.stdout and "LIFECYCLE_FORM" in done.stdout


@pytest.mark.parametrize("words", [["--version"], ["compare", "scenarios/worked-example-1.toml"]])
def test_a_form_that_there_is_not_is_one_sentence(words: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "lifecycle", *words],
        env={**os.environ, "LIFECYCLE_FORM": "nunpy"},
        capture_output=True,
        text=True,
    )
    said = "LIFECYCLE_FORM must be numpy or compiled; got nunpy: leave it out, and the faster one is taken"
    assert (done.returncode, done.stdout, done.stderr) == (2, "", f"lifecycle: {said}\n")


def test_why_there_is_no_kernel_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """None is there, a file that is no library, one without the functions, one for another processor."""
    kernel()
    monkeypatch.delenv("LIFECYCLE_FORM", raising=False)
    place = tmp_path / library_name()
    monkeypatch.setattr(loaded, "ROOM", tmp_path)
    assert loaded.found.__wrapped__()[1].startswith("the kernel is not compiled here; python -m")
    place.write_text("no library", encoding="utf-8")
    kept, why = loaded.found.__wrapped__()
    assert kept is None and why.startswith("the kernel cannot be loaded: ")
    source = tmp_path / "other.c"
    source.write_text("int lifecycle_other(void) { return 0; }", encoding="utf-8")
    subprocess.run([*compilers()[0], "-shared", "-fPIC", "-o", str(place), str(source)], check=True)
    kept, why = loaded.found.__wrapped__()
    assert kept is None and why.startswith("the kernel cannot be loaded: ")
    deaf = SimpleNamespace(functions=SimpleNamespace(lifecycle_runs=lambda: 0))
    monkeypatch.setattr(loaded, "load", lambda path: deaf)
    assert loaded.found.__wrapped__() == (None, "the kernel was compiled for another processor")
    monkeypatch.setenv("LIFECYCLE_FORM", "numpy")
    assert loaded.found.__wrapped__() == (None, "LIFECYCLE_FORM asks for it")


def test_without_a_compiler_nothing_is_built_and_nothing_is_left(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A compiler that fails leaves what was there; one that a person names is tried first."""
    older = tmp_path / "kernel-0.so"
    older.touch()
    monkeypatch.setattr("lifecycle.evaluation.compiled.build.compilers", lambda: [["false"]])
    assert build(tmp_path, native=True) == []
    assert list(tmp_path.iterdir()) == [older]
    monkeypatch.undo()
    monkeypatch.setenv("CC", "false -m64")
    assert compilers()[0] == ["false", "-m64"] and compilers()[-1] == CROSS_COMPILER


def test_the_cross_compiler_does_not_take_this_processor_for_any(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("lifecycle.evaluation.compiled.build.compilers", lambda: [CROSS_COMPILER])
    intel = platform.machine().lower() in ("x86_64", "amd64")
    expected = [("x86-64, clang", 2), ("AVX2, clang", 4)] if intel else [("ARM, clang", 2)]
    assert [(one.instructions, one.lanes) for one in map(load, build(tmp_path))] == expected


def test_what_is_built_takes_the_place_of_what_was_there(tmp_path: Path) -> None:
    kernel()
    older, at_work = tmp_path / "kernel-0.so", tmp_path / "kernel-1.so.7.part"
    older.touch()
    at_work.touch()
    (new,) = build(tmp_path, native=True)
    assert set(tmp_path.iterdir()) == {new, at_work}


@pytest.mark.parametrize("half", ["a flow", "a number", "a result"])
def test_a_kernel_that_lacks_what_the_model_has_is_left_aside(
    monkeypatch: pytest.MonkeyPatch, half: str
) -> None:
    kernel()
    if half == "a flow":
        monkeypatch.setattr(loaded, "FLOWS", (*loaded.FLOWS, "storage"))
    elif half == "a result":
        monkeypatch.setattr(loaded, "RESULTS", {**loaded.RESULTS, "storage": ()})
    else:
        monkeypatch.setattr(loaded, "_NOT_NUMBERS", loaded._NOT_NUMBERS - {"age"})
    kept, why = loaded.found.__wrapped__()
    assert kept is None
    assert (
        why
        == {
            "a flow": "the kernel does not write the flows ['storage']",
            "a number": "the kernel does not know ['age']",
            "a result": "the kernel and its caller do not both know the results ['storage']",
        }[half]
    )
