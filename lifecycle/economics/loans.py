"""Loans: equal monthly payments, and what paying by a loan costs at the base date.

Lecture
-------
A loan of ``P`` at the nominal yearly rate ``r`` is paid in ``M`` months at ``i = r / 12``; the payment,
its parts and the balance are numpy-financial's. With the uniform present worth factor ``F(j, m)`` of m
payments::

    financing cost, sold in month s = payment * F(j, min(s, M)) + balance(s) / (1 + D) ** (s / 12) - P

where ``D`` is the nominal discount rate and ``j = (1 + D) ** (1 / 12) - 1``. At a sale that month's
payment is made and then the balance. A rate below a thousandth of a percent is taken as none, since
the library loses it to rounding. Left out: fees, and a penalty for paying early.

Source
------
Textbook.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy_financial as npf
from numpy.typing import ArrayLike, NDArray

from lifecycle.economics.discounting import checked_rate, discount_factor, plain, uniform_present_worth_factor

NO_RATE = 1e-5
"""Yearly rate below which a loan bears no interest. [1/year]"""


@dataclass(frozen=True)
class LoanSchedule:
    """What a loan costs month by month; arrays of shape (..., months), month 1 first.

    Parameters
    ----------
    interest : ndarray
        Interest part of the payment. [money]
    principal : ndarray
        Part that pays the loan back. [money]
    balance : ndarray
        Owed after the payment. [money]
    """

    interest: NDArray[np.float64]
    principal: NDArray[np.float64]
    balance: NDArray[np.float64]


def loan_payment(principal: ArrayLike, *, rate: ArrayLike, months: int) -> Any:
    """Equal monthly payment of a loan.

    Parameters
    ----------
    principal : float or ndarray, shape (...)
        Amount borrowed. [money]
    rate : float or ndarray, shape (...)
        Nominal yearly rate as a fraction, a twelfth each month. [1/year]
    months : int
        Number of payments, at least 1. [months]

    Returns
    -------
    float or ndarray, shape (...)
        Payment at the end of each month. [money/month]

    Raises
    ------
    ValueError
        If `months` is below 1 or `rate` is negative.

    Examples
    --------
    >>> round(loan_payment(32000.0, rate=0.06, months=36), 2)
    973.5
    """
    if months < 1:
        raise ValueError(f"a loan runs for at least 1 month, got {months}")
    if np.any(np.asarray(rate) < 0.0):
        raise ValueError(f"the rate of a loan must not be negative, got {rate!r}")
    return plain(-npf.pmt(_monthly(rate), months, np.asarray(principal, dtype=float)))


@np.errstate(invalid="ignore")  # the library divides 0 by 0, and throws it away, where there is no interest
def loan_balance(principal: ArrayLike, *, rate: ArrayLike, months: int, month: ArrayLike) -> Any:
    """Balance of a loan after the payment of a month: what is left to pay, at the loan's own rate.

    Parameters
    ----------
    principal, rate, months
        As for `loan_payment`.
    month : int or ndarray, shape (...)
        Month after whose payment it stands; after the last payment it is 0. [months]

    Returns
    -------
    float or ndarray, shape (...)
        Balance. [money]

    Examples
    --------
    >>> round(loan_balance(32000.0, rate=0.06, months=36, month=1), 2)
    31186.5
    """
    payment = loan_payment(principal, rate=rate, months=months)
    owed = npf.fv(_monthly(rate), month, payment, -np.asarray(principal, dtype=float))
    return plain(np.where(np.asarray(month) < months, owed, 0.0))


@np.errstate(invalid="ignore")
def loan_schedule(principal: ArrayLike, *, rate: ArrayLike, months: int) -> LoanSchedule:
    """Interest, principal and balance of a loan, month by month.

    Parameters
    ----------
    principal, rate, months
        As for `loan_payment`; shapes (...).

    Returns
    -------
    LoanSchedule
        Arrays of shape (..., months).

    Examples
    --------
    >>> schedule = loan_schedule(32000.0, rate=0.06, months=36)
    >>> round(float(schedule.interest[0]), 2), round(float(schedule.principal[0]), 2)
    (160.0, 813.5)
    """
    owed, yearly = np.asarray(principal, dtype=float)[..., None], np.asarray(rate, dtype=float)[..., None]
    month = np.arange(1, months + 1)
    terms = _monthly(yearly), month, months, -owed
    balance = loan_balance(owed, rate=yearly, months=months, month=month)
    return LoanSchedule(npf.ipmt(*terms), npf.ppmt(*terms), balance)


def financing_cost(
    principal: ArrayLike,
    *,
    rate: ArrayLike,
    months: int,
    sold_at_month: ArrayLike,
    nominal_discount_rate: ArrayLike,
) -> Any:
    """Present cost of paying by a loan instead of at once, by month of sale.

    Parameters
    ----------
    principal, rate : float or ndarray, shape (...)
        As for `loan_payment`.
    months : int
        Number of payments. [months]
    sold_at_month : int or ndarray, shape (n,) or (..., n)
        Month of the sale, at which that month's payment and then the balance are paid. [months]
    nominal_discount_rate : float or ndarray, shape (...)
        Nominal yearly rate as a fraction. [1/year]

    Returns
    -------
    float or ndarray, shape (..., n), or (...) for a single month of sale
        Payments and balance, discounted, less the principal; negative where the loan is cheaper
        than the discount rate. [money]

    Examples
    --------
    >>> nominal = 1.03 * 1.025 - 1.0
    >>> cost = financing_cost(
    ...     6000.0, rate=0.0899, months=120, sold_at_month=96, nominal_discount_rate=nominal
    ... )
    >>> round(cost, 2)
    981.03
    """
    sold = np.asarray(sold_at_month)
    axis = (..., None) if sold.ndim else ()
    owed, yearly, nominal = (
        np.asarray(value, dtype=float)[axis] for value in (principal, rate, nominal_discount_rate)
    )
    monthly = (1.0 + checked_rate(nominal, "nominal_discount_rate")) ** (1.0 / 12.0) - 1.0
    paid = np.minimum(sold, months)
    payments = np.asarray(loan_payment(owed, rate=yearly, months=months)) * np.asarray(
        uniform_present_worth_factor(discount_rate=monthly, years=paid)
    )
    balance = np.asarray(loan_balance(owed, rate=yearly, months=months, month=paid))
    return plain(payments + balance * discount_factor(sold, discount_rate=nominal) - owed)


def _monthly(rate: ArrayLike) -> NDArray[np.float64]:
    """Return the rate of a month."""
    yearly = np.asarray(rate, dtype=float)
    return np.where(yearly < NO_RATE, 0.0, yearly) / 12.0
