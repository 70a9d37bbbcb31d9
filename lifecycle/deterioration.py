"""Ageing: service life, leaks that start, and the damage of a hidden leak.

Lecture
-------
Each process has one primitive, a cumulative number; the rest is derived.

*Service life.* The cumulative hazard at effective age A [years] is Weibull,
``H(A) = (A / scale) ** shape``; the survival is ``exp(-H)``, the mean life
``scale Gamma(1 + 1 / shape)``. The mean residual life of a roof that stands at A is::

    m(A) = 1 / S(A) * integral of S from A on = mean life * Q(1 / shape, H) exp(H)

with Q the upper incomplete gamma integral over the whole one. An endless life has an infinite
scale: no hazard, and a residual share of 1.

*Leaks.* Between ages a0 and a1 [years] a power-law (Crow) process starts ``m1 (a1^k - a0^k)``
leaks: m1 in the first year, growing with the power k. Joints count from their last full reseal, the
surface from its effective age; a resealing is an age put back, no other change. Punctures have k = 1.

*Ageing by neglect.* A month with mean seal age s [years] makes the roof older by a multiple of a
month, ``min(2, max(1, (s / 0.5) ** exponent))``: joints resealed each year (mean age half a year)
are the reference, and the worst neglect counts double.

*Damage.* A leak hidden for the time u [years] (delay time) costs
``patch_cost + rot_cost (1 - exp(-u / rot_time))`` when found.

Assumptions: leaks start independently; a roof's hazard knows only its effective age. All functions
broadcast; a scalar gives a scalar.

Left out: repair that makes a roof worse, and leaks that cause leaks.

Source
------
Weibull mean residual life in closed form: derived by substitution of H in the integral. Power-law
process: MIL-HDBK-189 (1981). Series and continued fraction of the incomplete gamma function:
textbook. The ageing multiple is the model's own.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

REFERENCE_SEAL_AGE = 0.5
"""Mean seal age of joints resealed each year: they age the roof as stated. [years]"""

WORST_AGEING_MULTIPLIER = 2.0
"""The most by which neglected joints speed up the ageing of a roof. [-]"""


# --- service life ------------------------------------------------------------------------------


def cumulative_hazard(effective_age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Any:
    """Cumulative hazard of the service life: ``(A / scale) ** shape``.

    Parameters
    ----------
    effective_age : float or ndarray, shape (...)
        Effective age A, not negative. [years]
    shape : float or ndarray, shape (...)
        Weibull shape, above 0. [-]
    scale : float or ndarray, shape (...)
        Weibull scale in effective age, above 0; infinite for an endless life. [years]

    Returns
    -------
    float or ndarray, shape (...)
        Expected number of life ends by A, were each met at once by an equal roof as old. [-]

    Examples
    --------
    >>> cumulative_hazard(8.0, shape=3.0, scale=16.0)
    0.125
    >>> cumulative_hazard(8.0, shape=3.0, scale=np.inf)
    0.0
    """
    return _plain((np.asarray(effective_age, dtype=float) / scale) ** np.asarray(shape, dtype=float))


def survival(effective_age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Any:
    """Probability that a roof outlasts an effective age: ``exp(-H)``.

    Parameters
    ----------
    effective_age, shape, scale
        As for `cumulative_hazard`.

    Returns
    -------
    float or ndarray, shape (...)
        Probability. [-]

    Examples
    --------
    >>> round(survival(20.0, shape=3.0, scale=20.0), 6)
    0.367879
    """
    return _plain(np.exp(-np.asarray(cumulative_hazard(effective_age, shape=shape, scale=scale))))


def scale_from_mean(mean: ArrayLike, shape: ArrayLike) -> Any:
    """Weibull scale that gives a mean service life: ``mean / Gamma(1 + 1 / shape)``.

    Parameters
    ----------
    mean : float or ndarray, shape (...)
        Mean life in effective age. [years]
    shape : float or ndarray, shape (...)
        Weibull shape, above 0. [-]

    Returns
    -------
    float or ndarray, shape (...)
        Scale. [years]

    Examples
    --------
    >>> scale_from_mean(10.0, 1.0)
    10.0
    """
    return _plain(np.asarray(mean, dtype=float) / _gamma_above_one(shape))


def residual_share(effective_age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> Any:
    """Unused share of a roof's life: mean residual life over mean life when new, at most 1.

    Parameters
    ----------
    effective_age, shape, scale
        As for `cumulative_hazard`.

    Returns
    -------
    float or ndarray, shape (...)
        Share; 1 for an endless life. [-]

    Examples
    --------
    >>> residual_share(8.0, shape=1.0, scale=20.0)
    1.0
    >>> round(residual_share(8.0, shape=3.0, scale=20.0), 6)
    0.596052
    """
    return _plain(np.minimum(1.0, _residual_part(effective_age, shape=shape, scale=scale)))


def _gamma_above_one(shape: ArrayLike) -> NDArray[np.float64]:
    """Return Gamma(1 + 1 / shape)."""
    return np.asarray(_gamma(1.0 + 1.0 / np.asarray(shape, dtype=float)), dtype=float)


_gamma = np.frompyfunc(math.gamma, 1, 1)
"""One number at a time; to import scipy's takes as long as half a million of these."""


def _residual_part(effective_age: ArrayLike, *, shape: ArrayLike, scale: ArrayLike) -> NDArray[np.float64]:
    """Return mean residual life over mean life, ``Q(a, H) exp(H)`` with a = 1 / shape.

    The two factors leave the range of a float in old age, and the library's Q is slow; so the
    product is taken as one, by a series below ``H = max(2, 1 + a)`` and by a continued fraction
    above. In both, ``H ** a`` is the age over the scale. Agrees with the library to 2e-11.
    """
    age = np.asarray(effective_age, dtype=float) / np.asarray(scale, dtype=float)
    power = np.asarray(shape, dtype=float)
    with np.errstate(over="ignore"):
        hazard = np.minimum(age**power, 1e100)
    age, a, gamma = (
        np.broadcast_to(value, hazard.shape) for value in (age, 1.0 / power, _gamma_above_one(power))
    )
    if hazard.ndim < 2:
        return _part(age, a, gamma, hazard)
    part = np.empty(hazard.shape)
    for start in range(0, hazard.shape[0], _ROWS_TOGETHER):
        rows = slice(start, start + _ROWS_TOGETHER)
        part[rows] = _part(age[rows], a[rows], gamma[rows], hazard[rows])
    return part


_ROWS_TOGETHER = 12
"""Months whose series are taken together: a young roof needs few terms, and need not wait for an old one."""


def _part(
    age: NDArray[np.float64],
    a: NDArray[np.float64],
    gamma: NDArray[np.float64],
    hazard: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the product of `_residual_part` by series or fraction; arrays of one shape."""
    young = hazard <= np.maximum(2.0, 1.0 + a)
    if np.all(young):
        return np.asarray(np.exp(hazard) - age / gamma * _series(a, hazard))
    part, old = np.empty(hazard.shape), ~young
    part[young] = np.exp(hazard[young]) - age[young] / gamma[young] * _series(a[young], hazard[young])
    part[old] = age[old] * a[old] / gamma[old] / _fraction(a[old], hazard[old])
    return part


def _series(a: NDArray[np.float64], hazard: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return ``1 + H / (a + 1) + H^2 / ((a + 1)(a + 2)) + ...``; shapes (number,)."""
    total, term, below = np.ones_like(hazard), np.ones_like(hazard), a.copy()
    while np.any(term > 1e-15 * total):
        below += 1.0
        term *= hazard
        term /= below
        total += term
    return total


def _fraction(a: NDArray[np.float64], hazard: NDArray[np.float64], depth: int = 20) -> NDArray[np.float64]:
    """Return ``b0 - c1 / (b1 - c2 / (b2 - ...))``, b = H + 2 n + 1 - a, c = n (n - a), from behind.

    It starts from the value that a level would have if the next were larger by 1, as it nearly is
    far down; this saves half the levels.
    """
    step = hazard + (2.0 * depth - a)
    following = (depth + 1.0) * (depth + 1.0 - a)
    value = 0.5 * (step + np.sqrt(step**2 + 4.0 * (step + 1.0 - following)))
    for level in range(depth, 0, -1):
        value = hazard + (2.0 * level - 1.0 - a) - level * (level - a) / value
    return value


# --- leaks -------------------------------------------------------------------------------------


def power_law(age: ArrayLike, *, first_year: ArrayLike, growth: ArrayLike) -> Any:
    """Leaks started by an age under a power-law (Crow) process: ``m1 age ** k``.

    Parameters
    ----------
    age : float or ndarray, shape (...)
        Age, not negative. [years]
    first_year : float or ndarray, shape (...)
        m1, leaks started in the first year. [leaks]
    growth : float or ndarray, shape (...)
        k, above 0; 1 is a constant rate. [-]

    Returns
    -------
    float or ndarray, shape (...)
        Expected number. [leaks]

    Examples
    --------
    >>> power_law(3.0, first_year=0.5, growth=2.0)
    4.5
    """
    return _plain(np.asarray(first_year) * np.asarray(age, dtype=float) ** np.asarray(growth, dtype=float))


def leaks_between(age0: ArrayLike, age1: ArrayLike, *, first_year: ArrayLike, growth: ArrayLike) -> Any:
    """Leaks started between two ages: ``m1 (age1 ** k - age0 ** k)``.

    Parameters
    ----------
    age0, age1 : float or ndarray, shape (...)
        Ages at the start and the end of the span. [years]
    first_year, growth
        As for `power_law`.

    Returns
    -------
    float or ndarray, shape (...)
        Expected number. [leaks]

    Examples
    --------
    >>> leaks_between(1.0, 3.0, first_year=0.5, growth=2.0)
    4.0
    """
    later = power_law(age1, first_year=first_year, growth=growth)
    return later - power_law(age0, first_year=first_year, growth=growth)


def leaks_between_ten_years(
    age0: ArrayLike, age1: ArrayLike, *, in_ten_years: ArrayLike, growth: ArrayLike
) -> Any:
    """Leaks started between two ages, for a process stated by its first ten years.

    Parameters
    ----------
    age0, age1 : float or ndarray, shape (...)
        Ages at the start and the end of the span. [years]
    in_ten_years : float or ndarray, shape (...)
        Leaks started in the first ten years. [leaks]
    growth : float or ndarray, shape (...)
        k, above 0. [-]

    Returns
    -------
    float or ndarray, shape (...)
        Expected number. [leaks]

    Examples
    --------
    >>> leaks_between_ten_years(0.0, 5.0, in_ten_years=8.0, growth=2.0)
    2.0
    """
    first, last = np.asarray(age0, dtype=float) / 10.0, np.asarray(age1, dtype=float) / 10.0
    return leaks_between(first, last, first_year=in_ten_years, growth=growth)


def first_year_leaks(in_ten_years: ArrayLike, growth: ArrayLike) -> Any:
    """Leaks in the first year of a process stated by its first ten: ``in_ten_years / 10 ** k``.

    Parameters
    ----------
    in_ten_years : float or ndarray, shape (...)
        Leaks started in the first ten years. [leaks]
    growth : float or ndarray, shape (...)
        k, above 0. [-]

    Returns
    -------
    float or ndarray, shape (...)
        m1. [leaks]

    Examples
    --------
    >>> first_year_leaks(6.0, 2.0)
    0.06
    """
    return _plain(np.asarray(in_ten_years) / 10.0 ** np.asarray(growth, dtype=float))


def ageing_multiplier(seal_age: ArrayLike, exponent: ArrayLike) -> Any:
    """How many months a roof ages in a month with old joints.

    Parameters
    ----------
    seal_age : float or ndarray, shape (...)
        Mean seal age in the month, above 0. [years]
    exponent : float or ndarray, shape (...)
        Upkeep exponent; 0: joints do not matter. [-]

    Returns
    -------
    float or ndarray, shape (...)
        Multiple between 1 and `WORST_AGEING_MULTIPLIER`. [-]

    Examples
    --------
    >>> ageing_multiplier(4.5, 0.5), ageing_multiplier(0.25, 0.5)
    (2.0, 1.0)
    """
    multiple = (np.asarray(seal_age, dtype=float) / REFERENCE_SEAL_AGE) ** np.asarray(exponent, dtype=float)
    return _plain(np.minimum(WORST_AGEING_MULTIPLIER, np.maximum(1.0, multiple)))


# --- damage ------------------------------------------------------------------------------------


def damage(delay: ArrayLike, *, patch_cost: ArrayLike, rot_cost: ArrayLike, rot_time: ArrayLike) -> Any:
    """Damage of a leak found after a delay: ``patch + rot (1 - exp(-u / rot_time))``.

    Parameters
    ----------
    delay : float or ndarray, shape (...)
        Time from the start of the leak. [years]
    patch_cost, rot_cost : float or ndarray, shape (...)
        Cost if found at once; further cost if found very late. [money]
    rot_time : float or ndarray, shape (...)
        Time constant of rot, above 0. [years]

    Returns
    -------
    float or ndarray, shape (...)
        Damage. [money]

    Examples
    --------
    >>> damage(0.0, patch_cost=350.0, rot_cost=7500.0, rot_time=2.0)
    350.0
    """
    rotten = -np.expm1(-np.asarray(delay, dtype=float) / rot_time)
    return _plain(np.asarray(patch_cost) + np.asarray(rot_cost) * rotten)


def _plain(values: Any) -> Any:
    """Return a zero-dimensional result as a plain float."""
    return float(values) if np.ndim(values) == 0 else values
