"""How often roofs are laid: the discrete renewal equation.

Lecture
-------
Time runs in whole months t = 0, 1, ... n. With

- ``first[t]``   probability that the first new roof is laid in month t (by the roof before it),
- ``masses[j]``  probability that a new roof is renewed when it is j months old; ``masses[0]`` is
  not looked at, for a roof is never renewed in the month in which it is laid,
- ``laid[t]``    expected number of new roofs laid in month t,

every new roof but the first follows one laid j months before::

    laid[t] = first[t] + sum over j = 1 ... t of masses[j] laid[t - j]

It is exact for the month grid. The sum of ``laid`` to month t is the expected number of renewals,
and any reward that depends on a roof's age is a sum over ``laid`` (renewal-reward).

Assumptions: the roofs that follow are alike, and independent of each other and of the first.
``masses`` may sum to less than 1: a roof may outlast the study.

The recursion runs month by month for a few hundred draws at a time, so that what it looks back on
stays in the processor's cache. A Fourier transform was tried and left out: it is no faster here,
and it is exact only beside the largest value, so that the small chances of a young roof are lost.

Source
------
Discrete renewal equation, textbook: Tijms, *A First Course in Stochastic Models*, ch. 2 and 8.
"""

from __future__ import annotations

import numpy as np

from lifecycle.quantities import Array

_DRAWS_AT_A_TIME = 512
"""Draws that a round of the recursion takes together; measured for 361 months."""


def renewals(first: Array, masses: Array) -> Array:
    """Return the expected number of new roofs laid in each month.

    Parameters
    ----------
    first : ndarray, shape (months + 1, draws) or (months + 1,)
        Probability that the first new roof is laid in the month. [-]
    masses : ndarray, the same shape
        Probability that a new roof is renewed at that age in months. [-]

    Returns
    -------
    ndarray, the same shape
        Expected number laid in the month, the first among them. [roofs]

    Raises
    ------
    ValueError
        If the shapes differ or are not of one or two axes.

    Source
    ------
    The discrete renewal equation; see the lecture.

    Examples
    --------
    Each new roof lasts exactly two months; the first is laid today:

    >>> first, masses = np.zeros(6), np.zeros(6)
    >>> first[0] = masses[2] = 1.0
    >>> renewals(first, masses)
    array([1., 0., 1., 0., 1., 0.])
    """
    if first.shape != masses.shape or first.ndim not in (1, 2):
        raise ValueError(
            f"first and masses need one shape, (months + 1, draws), got {first.shape}, {masses.shape}"
        )
    if first.ndim == 1:
        return renewals(first[:, None], masses[:, None])[:, 0]
    laid = np.empty_like(first, dtype=float)
    for start in range(0, first.shape[1], _DRAWS_AT_A_TIME):
        some = slice(start, start + _DRAWS_AT_A_TIME)
        laid[:, some] = _recursion(first[:, some], masses[:, some])
    return laid


def _recursion(first: Array, masses: Array) -> Array:
    """Run the renewal equation month by month for a few draws; shapes (months + 1, draws)."""
    last = first.shape[0] - 1
    laid = np.array(first, dtype=float, order="C")
    oldest_first = np.ascontiguousarray(masses[::-1])
    for month in range(1, last + 1):
        laid[month] += np.einsum("jd,jd->d", oldest_first[last - month : last], laid[:month])
    return laid
