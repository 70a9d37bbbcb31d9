"""Discounting, measures and loans: limits, shapes, refusals and reasons."""

import numpy as np
import pytest

from lifecycle.economics import (
    Answer,
    adjusted_internal_rate_of_return,
    annual_value,
    break_even_year,
    crossings,
    discount_factor,
    financing_cost,
    loan_balance,
    loan_payment,
    loan_schedule,
    nominal_rate,
    payback,
    present_value,
    savings_to_investment,
    uniform_present_worth_factor,
)


def test_discount_factor_with_escalation() -> None:
    assert discount_factor(0, discount_rate=0.03) == 1.0
    assert discount_factor(24, discount_rate=0.03, escalation=0.01) == pytest.approx((1.01 / 1.03) ** 2)
    assert discount_factor(6, discount_rate=0.03) == pytest.approx(1.03**-0.5)


def test_draws_by_months() -> None:
    rates = np.array([0.0, 0.03, 0.06])
    factors = discount_factor(np.arange(25), discount_rate=rates[:, None])
    assert factors.shape == (3, 25)
    assert factors[2, 12] == pytest.approx(1.0 / 1.06)


def test_scalars_give_plain_floats() -> None:
    answers = [
        discount_factor(12, discount_rate=0.03),
        nominal_rate(0.05, 0.02),
        present_value(5, months=3, discount_rate=0.03),
        uniform_present_worth_factor(discount_rate=0.03, years=3),
        annual_value(5, discount_rate=0.03, years=3),
        loan_payment(5, rate=0.03, months=3),
        loan_balance(5, rate=0.03, months=3, month=1),
        financing_cost(5, rate=0.03, months=3, sold_at_month=2, nominal_discount_rate=0.05),
    ]
    assert [type(answer) for answer in answers] == [float] * len(answers)


@pytest.mark.parametrize("rate", [-1.0, -3.0, np.nan])
def test_a_rate_at_or_below_minus_one_is_refused(rate: float) -> None:
    with pytest.raises(ValueError, match="discount_rate must be a fraction above -1"):
        discount_factor(12, discount_rate=rate)
    with pytest.raises(ValueError, match="inflation must be a fraction above -1"):
        nominal_rate(0.05, rate)


def test_present_value_with_a_rate_for_each_draw() -> None:
    amounts = np.array([[100.0, 50.0], [10.0, 20.0]])
    values = present_value(amounts, months=[0, 12], discount_rate=np.array([0.25, 0.0]))
    np.testing.assert_allclose(values, [140.0, 30.0])


def test_present_value_with_escalation_at_the_discount_rate_is_the_plain_sum() -> None:
    value = present_value([5.0, 6.0, 7.0], months=[0, 13, 40], discount_rate=0.04, escalation=0.04)
    assert value == pytest.approx(18.0)


def test_uniform_present_worth_factor_is_the_sum_of_single_ones() -> None:
    months = 12 * np.arange(1, 16)
    for escalation in (0.0, 0.02, 0.03, 0.05):
        expected = np.sum(discount_factor(months, discount_rate=0.03, escalation=escalation))
        factor = uniform_present_worth_factor(discount_rate=0.03, years=15, escalation=escalation)
        assert factor == pytest.approx(expected, rel=1e-12)


def test_uniform_present_worth_factor_near_a_rate_of_zero() -> None:
    """It goes smoothly to the number of years: no digits are lost at a tiny rate."""
    assert uniform_present_worth_factor(discount_rate=0.0, years=20) == 20.0
    assert uniform_present_worth_factor(discount_rate=1e-12, years=20) == pytest.approx(20.0, abs=1e-9)
    assert uniform_present_worth_factor(discount_rate=0.03, years=0) == 0.0


def test_annual_value_over_years() -> None:
    values = annual_value(1000.0, discount_rate=0.0, years=np.arange(1, 5))
    np.testing.assert_allclose(values, [1000.0, 500.0, 1000.0 / 3.0, 250.0])


@pytest.mark.parametrize("years", [0, -1, np.array([1, 0])])
def test_annual_value_needs_time(years: object) -> None:
    with pytest.raises(ValueError, match="years must be above 0"):
        annual_value(1000.0, discount_rate=0.03, years=years)


def test_worth_of_a_time_that_runs_backwards_is_refused() -> None:
    with pytest.raises(ValueError, match="years must not be negative"):
        uniform_present_worth_factor(discount_rate=0.03, years=-1)
    with pytest.raises(ValueError, match="years must be above 0"):
        adjusted_internal_rate_of_return(1.2, discount_rate=0.03, years=0)


def test_an_answer_without_a_value_needs_a_reason() -> None:
    with pytest.raises(ValueError, match="needs a reason"):
        Answer(None)


def test_ratio_and_return() -> None:
    ratio = savings_to_investment(1000.0, 1000.0)
    assert ratio == Answer(2.0)
    adjusted = adjusted_internal_rate_of_return(ratio, discount_rate=0.0, years=1)
    assert adjusted == Answer(1.0)


@pytest.mark.parametrize("investment", [0.0, -10.0])
def test_no_ratio_without_an_investment(investment: float) -> None:
    ratio = savings_to_investment(500.0, investment)
    assert ratio == Answer(None, "no investment beyond the base case's")
    assert adjusted_internal_rate_of_return(ratio, discount_rate=0.03, years=8) == ratio


@pytest.mark.parametrize("net_savings", [-1000.0, -2500.0])
def test_no_ratio_where_the_investment_saves_nothing(net_savings: float) -> None:
    ratio = savings_to_investment(net_savings, 1000.0)
    assert ratio == Answer(None, "the investment saves nothing")
    assert adjusted_internal_rate_of_return(-0.5, discount_rate=0.03, years=8) == ratio


def test_payback_within_the_first_year() -> None:
    assert payback([0.0, 5.0, -3.0]) == Answer(1.0, "within the first year")


def test_payback_interpolates_within_the_year() -> None:
    assert payback([0.0, -80.0, -30.0, 10.0]) == Answer(2.75)


def test_payback_looks_at_the_first_time_only() -> None:
    assert payback([0.0, -10.0, 10.0, -50.0]) == Answer(1.5)


def test_payback_does_not_look_at_year_zero() -> None:
    assert payback([9e9, -10.0, 10.0]) == payback([-9e9, -10.0, 10.0])


@pytest.mark.parametrize(("savings", "year"), [(-0.005, 2.0), (-0.004, 2.0), (0.0, 2.0)])
def test_half_a_hundredth_below_zero_is_no_loss(savings: float, year: float) -> None:
    assert payback([0.0, -10.0, savings]).value == year
    assert break_even_year([0.0, -10.0, savings]) == Answer(year)
    assert crossings([0.0, -10.0, savings]) == [2]


def test_more_than_half_a_hundredth_is_a_loss() -> None:
    assert payback([0.0, -10.0, -0.006]) == Answer(None, "not within 2 years")
    assert payback([0.0, -10.0]) == Answer(None, "not within 1 year")


def test_break_even_year_stays() -> None:
    assert break_even_year([0.0, 1.0, 2.0]) == Answer(1.0)
    assert break_even_year([0.0, -1.0, 2.0, -1.0, 2.0, 3.0]) == Answer(4.0)
    assert break_even_year([0.0, 1.0, 2.0, -1.0]) == Answer(None, "not within the study period")


def test_crossings() -> None:
    assert crossings([0.0, -1.0, 2.0, 3.0, -1.0, -2.0, 2.0]) == [2, 4, 6]
    assert crossings([0.0, 1.0, 2.0]) == []


@pytest.mark.parametrize("function", [payback, break_even_year, crossings])
@pytest.mark.parametrize("row", [[0.0], [[0.0, 1.0], [0.0, 2.0]], [0.0, np.nan, 1.0]])
def test_a_row_that_is_too_short_or_has_gaps_is_refused(function: object, row: object) -> None:
    with pytest.raises(ValueError, match="year"):
        function(row)


def test_a_loan_without_interest() -> None:
    assert loan_payment(1200.0, rate=0.0, months=12) == 100.0
    assert loan_balance(1200.0, rate=0.0, months=12, month=9) == pytest.approx(300.0)


@pytest.mark.parametrize("rate", [1e-5, 0.001, 0.0899, 0.25])
@pytest.mark.parametrize("months", [1, 36, 240])
def test_a_loan_is_what_its_payments_are_worth(rate: float, months: int) -> None:
    """Payment and balances are those of the uniform present worth factor, apart from the library."""
    left = np.arange(months, -1, -1)
    worth = np.asarray(uniform_present_worth_factor(discount_rate=rate / 12.0, years=left))
    payment = loan_payment(6000.0, rate=rate, months=months)
    assert payment == pytest.approx(6000.0 / worth[0], rel=1e-9)
    balance = loan_balance(6000.0, rate=rate, months=months, month=np.arange(months + 1))
    np.testing.assert_allclose(balance, payment * worth, rtol=0.0, atol=6000.0 * 1e-9)


def test_a_rate_that_only_rounding_keeps_from_zero() -> None:
    assert loan_payment(1200.0, rate=3e-17, months=12) == pytest.approx(100.0)
    cost = financing_cost(1200.0, rate=3e-17, months=12, sold_at_month=6, nominal_discount_rate=3e-17)
    assert cost == pytest.approx(0.0, abs=1e-9)


def test_a_schedule_adds_up() -> None:
    schedule = loan_schedule(np.array([6000.0, 100.0]), rate=np.array([0.0899, 0.0]), months=120)
    assert schedule.interest.shape == schedule.principal.shape == schedule.balance.shape == (2, 120)
    np.testing.assert_allclose(schedule.principal.sum(axis=-1), [6000.0, 100.0])
    payment = schedule.interest + schedule.principal
    np.testing.assert_allclose(payment, np.broadcast_to(payment[:, :1], (2, 120)))
    np.testing.assert_array_equal(schedule.balance[:, -1], 0.0)


def test_financing_of_the_worked_loan() -> None:
    """6,000 at 8.99 % over 120 months, sold after 8 years, 3 % real, 2.5 % inflation: 981.03, an
    evaluation written apart from this code. Tolerance: the cent.
    """
    cost = financing_cost(
        6000.0, rate=0.0899, months=120, sold_at_month=96, nominal_discount_rate=nominal_rate(0.03, 0.025)
    )
    assert cost == pytest.approx(981.03, abs=0.005)


def test_financing_is_the_discounted_schedule_less_the_principal() -> None:
    schedule = loan_schedule(6000.0, rate=0.0899, months=120)
    payment = schedule.interest + schedule.principal
    sold = 40
    owed = np.append(payment[:sold], schedule.balance[sold - 1])
    when = np.append(np.arange(1, sold + 1), sold)
    expected = present_value(owed, months=when, discount_rate=0.05) - 6000.0
    cost = financing_cost(6000.0, rate=0.0899, months=120, sold_at_month=sold, nominal_discount_rate=0.05)
    assert cost == pytest.approx(expected, rel=1e-10)


def test_financing_by_draw_and_month_of_sale() -> None:
    sold = np.array([0, 12, 120, 240])
    cost = financing_cost(
        np.array([6000.0, 3000.0]),
        rate=0.0899,
        months=120,
        sold_at_month=sold,
        nominal_discount_rate=np.array([0.05, 0.0]),
    )
    assert cost.shape == (2, 4)
    np.testing.assert_allclose(cost[:, 0], 0.0, atol=1e-9)
    np.testing.assert_array_equal(cost[:, 2], cost[:, 3])
    interest = loan_schedule(3000.0, rate=0.0899, months=120).interest
    assert cost[1, 3] == pytest.approx(interest.sum())


@pytest.mark.parametrize(("rate", "months"), [(0.05, 0), (-0.01, 12)])
def test_a_loan_that_cannot_be_is_refused(rate: float, months: int) -> None:
    with pytest.raises(ValueError, match="loan"):
        loan_payment(1000.0, rate=rate, months=months)
