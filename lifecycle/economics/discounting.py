"""Discounting: what an amount, or a row of yearly amounts, is worth at the base date.

Lecture
-------
With real discount rate ``d``, real escalation ``g``, inflation ``e``, nominal rate ``D`` [1/year]
and time ``t`` [months]::

    present value = amount * ((1 + g) / (1 + d)) ** (t / 12)
    1 + D = (1 + d) (1 + e)
    uniform present worth factor = v (1 - v^N) / (1 - v),  v = (1 + g) / (1 + d);  N where v = 1

Within a year time runs smoothly: half a year is the square root of a year's factor. Assumed: one
rate for all years. Left out: a rate that changes with time.

Source
------
Textbook; the terms are those of ASTM E833 and E917.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray


def discount_factor(months: ArrayLike, *, discount_rate: ArrayLike, escalation: ArrayLike = 0.0) -> Any:
    """Present value of 1 unit at base-date prices, `months` after the base date.

    Parameters
    ----------
    months : float or ndarray, shape (...)
        Time from the base date. [months]
    discount_rate : float or ndarray, shape (...)
        Real rate as a fraction; a rate for each draw is given as ``rate[..., None]``. [1/year]
    escalation : float or ndarray, shape (...)
        Real escalation of the price. [1/year]

    Returns
    -------
    float or ndarray, shape (...)
        Factor; the shapes broadcast. [-]

    Raises
    ------
    ValueError
        If a rate is not above -1.

    Examples
    --------
    >>> round(discount_factor(108, discount_rate=0.03), 4)
    0.7664
    """
    growth = (1.0 + checked_rate(escalation, "escalation")) / (
        1.0 + checked_rate(discount_rate, "discount_rate")
    )
    return plain(growth ** (np.asarray(months) / 12.0))


def nominal_rate(discount_rate: ArrayLike, inflation: ArrayLike) -> Any:
    """Nominal rate that goes with a real one, exact: ``(1 + d) (1 + e) - 1``.

    Parameters
    ----------
    discount_rate, inflation : float or ndarray, shape (...)
        As fractions. [1/year]

    Returns
    -------
    float or ndarray, shape (...)
        Nominal rate. [1/year]

    Examples
    --------
    >>> round(nominal_rate(0.03, 0.025), 6)
    0.05575
    """
    real = checked_rate(discount_rate, "discount_rate")
    return plain((1.0 + real) * (1.0 + checked_rate(inflation, "inflation")) - 1.0)


def present_value(
    amounts: ArrayLike, *, months: ArrayLike, discount_rate: ArrayLike, escalation: ArrayLike = 0.0
) -> Any:
    """Present value of amounts at base-date prices, summed over time.

    Parameters
    ----------
    amounts : float or ndarray, shape (..., m)
        Amounts, costs positive; the last axis is time. [money]
    months : float or ndarray, shape (m,)
        When they fall. [months]
    discount_rate, escalation : float or ndarray, shape (...)
        Real rates as fractions, one for each draw, without a time axis. [1/year]

    Returns
    -------
    float or ndarray, shape (...)
        Sum of the discounted amounts. [money]

    Examples
    --------
    >>> round(present_value([100.0, 100.0], months=[0, 12], discount_rate=0.25), 2)
    180.0
    """
    factors = discount_factor(
        np.atleast_1d(months),
        discount_rate=np.asarray(discount_rate)[..., None],
        escalation=np.asarray(escalation)[..., None],
    )
    return plain(np.sum(np.asarray(amounts, dtype=float) * factors, axis=-1))


def uniform_present_worth_factor(
    *, discount_rate: ArrayLike, years: ArrayLike, escalation: ArrayLike = 0.0
) -> Any:
    """Present value of 1 at the end of each of `years` years, at base-date prices.

    Parameters
    ----------
    discount_rate, escalation : float or ndarray, shape (...)
        Real rates as fractions. [1/year]
    years : float or ndarray, shape (...)
        Number of payments; part of a year is taken by the same equation. [years]

    Returns
    -------
    float or ndarray, shape (...)
        Factor. [-]

    Raises
    ------
    ValueError
        If a rate is not above -1 or `years` is negative.

    Notes
    -----
    With ``x = ln((1 + g) / (1 + d))``: ``exp(x) (exp(N x) - 1) / (exp(x) - 1)``, and N where x = 0.

    Examples
    --------
    >>> round(uniform_present_worth_factor(discount_rate=0.03, years=15), 2)
    11.94
    """
    number = np.asarray(years, dtype=float)
    if np.any(number < 0.0):
        raise ValueError(f"years must not be negative, got {years!r}")
    growth = np.log1p(checked_rate(escalation, "escalation")) - np.log1p(
        checked_rate(discount_rate, "discount_rate")
    )
    flat = growth == 0.0
    safe = np.where(flat, 1.0, growth)
    return plain(np.where(flat, number, np.exp(safe) * np.expm1(number * safe) / np.expm1(safe)))


def annual_value(present_cost: ArrayLike, *, discount_rate: ArrayLike, years: ArrayLike) -> Any:
    """Uniform yearly cost worth `present_cost` today (ASTM E833: annual value).

    Parameters
    ----------
    present_cost : float or ndarray, shape (...)
        Present cost, positive = spent. [money]
    discount_rate : float or ndarray, shape (...)
        Real rate as a fraction. [1/year]
    years : float or ndarray, shape (...)
        Number of equal payments, the first at the end of year 1; above 0. [years]

    Returns
    -------
    float or ndarray, shape (...)
        Yearly cost. [money/year]

    Raises
    ------
    ValueError
        If `years` is not above 0 or `discount_rate` is not above -1.

    Examples
    --------
    >>> annual_value(1000.0, discount_rate=0.0, years=4)
    250.0
    """
    if np.any(np.asarray(years) <= 0):
        raise ValueError(f"years must be above 0, got {years!r}")
    factor = uniform_present_worth_factor(discount_rate=discount_rate, years=years)
    return plain(np.asarray(present_cost) / factor)


def plain(values: Any) -> Any:
    """Return a result without axes as a plain float: scalar in, scalar out."""
    return float(values) if np.ndim(values) == 0 else values


def checked_rate(rate: ArrayLike, name: str) -> NDArray[np.float64]:
    """Return a yearly rate as an array after checking that it is above -1."""
    fraction = np.asarray(rate, dtype=float)
    if not np.all(fraction > -1.0):
        raise ValueError(f"{name} must be a fraction above -1, got {rate!r}")
    return fraction
