"""What must hold of money whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lifecycle.economics import (
    adjusted_internal_rate_of_return,
    annual_value,
    break_even_year,
    crossings,
    financing_cost,
    loan_schedule,
    nominal_rate,
    payback,
    present_value,
    savings_to_investment,
)
from lifecycle.economics.loans import NO_RATE

untimed = settings(deadline=None)
rates = st.floats(-0.05, 0.25)
money = st.floats(-20000.0, 20000.0)
costs = st.floats(1.0, 20000.0)
loan_rates = st.just(0.0) | st.floats(NO_RATE, 0.3)
savings = st.lists(money, min_size=2, max_size=31)


@untimed
@given(cost=costs, rate=rates, life=st.integers(1, 15), lives=st.integers(1, 6))
def test_annual_value_of_a_chain_of_equal_lives_equals_that_of_one(
    cost: float, rate: float, life: int, lives: int
) -> None:
    chain = present_value(np.full(lives, cost), months=12 * life * np.arange(lives), discount_rate=rate)
    one = annual_value(cost, discount_rate=rate, years=life)
    assert annual_value(chain, discount_rate=rate, years=life * lives) == pytest.approx(one, rel=1e-9)


@untimed
@given(amounts=st.lists(money, min_size=1, max_size=40), rate=rates, inflation=rates, escalation=rates)
def test_constant_and_current_currency_agree(
    amounts: list[float], rate: float, inflation: float, escalation: float
) -> None:
    months = 7 * np.arange(len(amounts))
    constant = present_value(amounts, months=months, discount_rate=rate, escalation=escalation)
    current = np.asarray(amounts) * (1.0 + escalation) ** (months / 12) * (1.0 + inflation) ** (months / 12)
    nominal = present_value(current, months=months, discount_rate=nominal_rate(rate, inflation))
    assert nominal == pytest.approx(constant, rel=1e-9, abs=1e-9 * np.sum(np.abs(current)))


@untimed
@given(amounts=st.lists(costs, min_size=1, max_size=40), rate=rates, step=st.floats(0.001, 0.1))
def test_present_cost_falls_as_the_discount_rate_rises(
    amounts: list[float], rate: float, step: float
) -> None:
    months = 6 * np.arange(1, len(amounts) + 1)
    low, high = (present_value(amounts, months=months, discount_rate=r) for r in (rate, rate + step))
    assert high < low


@untimed
@given(net=money, investment=costs, rate=rates, years=st.integers(1, 40))
def test_net_savings_ratio_and_return_agree_on_the_choice(
    net: float, investment: float, rate: float, years: int
) -> None:
    ratio = savings_to_investment(net, investment)
    adjusted = adjusted_internal_rate_of_return(ratio, discount_rate=rate, years=years)
    if net + investment <= 0.0:
        assert ratio.value is None
        assert adjusted == ratio
        return
    assert ratio.value is not None
    assert adjusted.value is not None
    assert investment * ratio.value == pytest.approx(net + investment, rel=1e-12)
    grown = ((1.0 + adjusted.value) / (1.0 + rate)) ** years
    assert grown == pytest.approx(ratio.value, rel=1e-9)


@untimed
@given(row=savings)
def test_payback_break_even_and_crossings_fit_together(row: list[float]) -> None:
    first, stays, turns = payback(row), break_even_year(row), crossings(row)
    good = [value >= -0.005 for value in row]
    assert (first.value is None) == (not any(good[1:]))
    assert (stays.value is None) == (not good[-1])
    if first.value is not None:
        year = int(np.ceil(first.value))
        assert good[year]
        assert not any(good[1:year])
    if stays.value is not None:
        year = int(stays.value)
        assert all(good[year:])
        assert stays.value >= np.floor(first.value or 0.0)
        assert year == (turns[-1] if turns else 1)
    assert len(turns) % 2 == (good[1] != good[-1])


@untimed
@given(row=savings, factor=st.floats(1.0, 50.0))
def test_payback_does_not_depend_on_the_currency(row: list[float], factor: float) -> None:
    """Where no year is so near to zero that half a hundredth decides."""
    clear = [value if abs(value) > 1.0 else 1.0 for value in row]
    one, other = payback(clear), payback([factor * value for value in clear])
    assert other.reason == one.reason
    assert (other.value is None) == (one.value is None)
    assert (other.value or 0.0) == pytest.approx(one.value or 0.0, rel=1e-9)


@untimed
@given(principal=costs, rate=loan_rates, months=st.integers(1, 240))
def test_a_loan_pays_back_its_principal(principal: float, rate: float, months: int) -> None:
    schedule = loan_schedule(principal, rate=rate, months=months)
    assert schedule.principal.sum() == pytest.approx(principal, rel=1e-9)
    assert np.all(schedule.interest >= 0.0)
    assert np.all(schedule.principal > 0.0)


@untimed
@given(principal=costs, rate=loan_rates, months=st.integers(1, 240), sold=st.integers(0, 300))
def test_a_loan_at_the_discount_rate_costs_nothing(
    principal: float, rate: float, months: int, sold: int
) -> None:
    """Whenever the coach is sold, a loan at the discount rate is worth its principal."""
    same = (1.0 + rate / 12.0) ** 12 - 1.0
    cost = financing_cost(principal, rate=rate, months=months, sold_at_month=sold, nominal_discount_rate=same)
    assert cost == pytest.approx(0.0, abs=1e-9 * principal)
