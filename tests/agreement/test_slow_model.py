"""The slow model meets every figure printed in the worked examples.

Source: the model's text, section 12 (transcribed; evaluated there independently of this code).
Tolerance: half a unit of the last printed digit, and the rounding of that half in binary.
"""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache
from math import erfc, exp

import pytest

from lifecycle.roofs import Leaks, Roof, Terms, Visit
from tests.agreement import worked_examples as printed
from tests.agreement.random_cases import features, random_case
from tests.agreement.slow_model import SlowResult, slow_evaluate
from tests.agreement.slow_roof import hidden_by_kind, past_upkeep, unused_share

CENT = 0.005 + 1e-9


@cache
def evaluated(number: int) -> dict[str, SlowResult]:
    return slow_evaluate(printed.EXAMPLES[number]())


@pytest.mark.parametrize(("number", "name"), printed.NET_PRESENT_COST)
def test_net_present_cost_by_year_of_sale(number: int, name: str) -> None:
    costs = evaluated(number)[name].net_present_cost
    assert costs[0] == 0
    got = [costs[year] for year in printed.YEARS]
    assert got == pytest.approx(printed.NET_PRESENT_COST[number, name], abs=CENT)


@pytest.mark.parametrize(("number", "name"), printed.UNDISCOUNTED)
def test_undiscounted_figures(number: int, name: str) -> None:
    account = evaluated(number)[name].accounts[240]
    for what, figure in printed.UNDISCOUNTED[number, name].items():
        got = account.expected[what] if what in account.expected else account.undiscounted[what]
        assert got == pytest.approx(figure, abs=printed.UNDISCOUNTED_TOLERANCE[what] + 1e-9), what


@pytest.mark.parametrize("number", printed.FROM_UPKEEP)
def test_hidden_from_upkeep(number: int) -> None:
    case = printed.EXAMPLES[number]()
    case = replace(case, existing=replace(case.existing, hidden_now=None))
    now = past_upkeep(case)
    got = {"effective_age": now.effective_age} | hidden_by_kind(case.leaks, now.hidden, 0)
    for what, figure in printed.FROM_UPKEEP[number].items():
        assert got[what] == pytest.approx(figure, abs=5e-7 + 1e-12), what


def test_another_seal_age() -> None:
    case = printed.example_2(seal_age=24)
    costs = slow_evaluate(replace(case, alternatives=case.alternatives[:1]))["keep"].net_present_cost
    for year, figure in printed.SEAL_AGE_24.items():
        assert costs[year] == pytest.approx(figure, abs=CENT)


def test_loan() -> None:
    case = printed.example_1_with_loan()
    case = replace(case, terms=replace(case.terms, study_period=8), alternatives=case.alternatives[:2])
    way = slow_evaluate(case)["coat_now"]
    assert way.by_category["financing"] == pytest.approx(printed.LOAN_FINANCING, abs=CENT)


@pytest.mark.parametrize("number", printed.EXAMPLES)
def test_what_stands_at_a_sale_is_one_roof(number: int) -> None:
    for way in evaluated(number).values():
        assert [way.accounts[12 * year].standing for year in range(1, 21)] == pytest.approx(
            [1.0] * 20, abs=1e-12
        )


def test_unused_share_of_a_constant_hazard_is_all_of_it() -> None:
    """An exponential life has no memory (derived)."""
    assert unused_share(1.0, 12.0, 30.0) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("age", [0.01, 1.0, 15.0, 40.0])
def test_unused_share_at_shape_2(age: float) -> None:
    """Mean residual life by the complementary error function, over scale sqrt(pi) / 2 (derived)."""
    x = age / 20.0
    assert unused_share(2.0, 20.0, age) == pytest.approx(exp(x * x) * erfc(x), rel=1e-11)


@pytest.mark.parametrize("shape", [0.6, 1.3, 3.5, 7.0])
def test_unused_share_of_a_new_roof_is_1(shape: float) -> None:
    assert unused_share(shape, 17.0, 0.0) == pytest.approx(1.0, abs=1e-11)


SEEDS = range(200)


def test_random_cases_use_every_feature() -> None:
    used = [features(random_case(seed)) for seed in SEEDS]
    never = [name for name in used[0] if sum(case[name] for case in used) < 3]
    assert never == []


def test_random_cases_use_every_number() -> None:
    """So a number that is new is in the slow model, the simulation and the kernel too, or they disagree."""
    used = {kind: set[str]() for kind in (Leaks, Roof, Visit, Terms)}
    for case in map(random_case, SEEDS):
        roofs = [roof for way in case.alternatives for roof in (way.roof, way.then)]
        for thing in (case.leaks, case.terms, *roofs, *(visit for roof in roofs for visit in roof.visits)):
            used[type(thing)] |= {
                one.name for one in fields(thing) if getattr(thing, one.name) not in (one.default, 0.0)
            }
    unused = [(kind, one.name) for kind in used for one in fields(kind) if one.name not in used[kind]]
    assert unused == []


def test_a_random_case_is_the_same_for_the_same_seed() -> None:
    assert random_case(7) == random_case(7)
    assert random_case(7) != random_case(8)


@pytest.mark.parametrize("seed", range(3))
def test_a_random_case_keeps_one_roof_on_the_coach(seed: int) -> None:
    for way in slow_evaluate(random_case(seed)).values():
        for month, account in way.accounts.items():
            assert account.standing == pytest.approx(1.0, abs=1e-12), month
