"""Where the answer flips, and internal rates of return: checked by evaluating there."""

from __future__ import annotations

import warnings
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from lifecycle.economics import SeveralInternalRates
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.internal_rate import internal_rate_of_return, zeros
from lifecycle.files import load
from lifecycle.roofs import Alternative, Case, Existing, Leaks, Roof, Terms, Visit
from lifecycle.scenario import Scenario, resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def scenario(name: str) -> Scenario:
    """Return a shipped scenario."""
    return load(SCENARIOS / f"{name}.toml")


def savings(case: Case) -> float:
    """Return the net savings of spraying now over keeping, at the years kept."""
    ledgers = evaluate(case)
    return float((ledgers["keep"].at_holding - ledgers["coat_now"].at_holding)[0])


def test_at_the_internal_rate_both_ways_cost_the_same() -> None:
    case = resolve(scenario("worked-example-1"))
    rate = internal_rate_of_return(case, "coat_now", "keep").value
    assert rate is not None
    assert rate > 0.03
    assert savings(replace(case, terms=replace(case.terms, discount_rate=rate))) == pytest.approx(
        0.0, abs=1e-4
    )


def test_several_internal_rates_are_warned_of() -> None:
    """Pay 350 today, earn 950 in year 1, pay 620 in year 2: rates of 9.18 % and 62.25 %.

    Source: roots of 350 x^2 - 950 x + 620 = 0 in x = 1 + rate (derived).
    """
    endless = Roof("r", life_shape=1.0, life_scale=np.inf)
    earning = replace(endless, visits=(Visit("earns", 12, cost=-950.0), Visit("pays", 24, cost=1570.0)))
    ways = (
        Alternative("keep", "", endless, endless, None, 0.0, 0.0, base_case=True),
        Alternative("coat_now", "", endless, earning, 0, 350.0, 0.0),
    )
    terms = Terms(study_period=3, holding_period=2.5, discount_rate=0.03)
    leaks = Leaks(rot_time=1.0, severe_after=1.0)
    case = Case(terms, leaks, Existing(endless, 12, 12), ways)
    with pytest.warns(SeveralInternalRates, match="2 internal rates: 9.18 %, 62.25 %"):
        answer = internal_rate_of_return(case, "coat_now", "keep")
    assert answer.value == pytest.approx(0.0918, abs=5e-5)


def test_no_internal_rate() -> None:
    case = resolve(scenario("worked-example-1"))
    for_free = [replace(way, quote=0.0) if way.name == "coat_now" else way for way in case.alternatives]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        answer = internal_rate_of_return(replace(case, alternatives=tuple(for_free)), "coat_now", "keep")
    assert answer.value is None


def test_a_jump_is_found_where_it_is() -> None:
    found = zeros(lambda x: np.where(x < 0.3, -1.0, 1.0), 0.0, 1.0)
    assert found == pytest.approx([0.3], abs=1e-9)
