"""Sobol indices: how much of the variance of an answer each input brings, alone and in all.

Lecture
-------
An answer f of independent inputs x_1 ... x_d has a variance V. For each input

- the *first-order* index  S_i  = V(E(f | x_i)) / V  is what knowing x_i alone would take away;
- the *total* index        ST_i = E(V(f | all but x_i)) / V  is what would be left if everything but
  x_i were known: x_i alone and in all its doings with others.

Two independent sets of n base points A and B, and for each input i the points A with the i-th
coordinate from B (AB_i), estimate both (y is f less its mean over A and B)::

    S_i  = mean(y(B) (y(AB_i) - y(A))) / V
    ST_i = mean((y(A) - y(AB_i)) ** 2) / (2 V)

from n (d + 2) values of f. The points are scrambled Sobol points of 2 d coordinates.

Error bars are standard errors by the jackknife over the base points (each left out in turn), as if
these were random; Sobol points are more even, so the bars are rather too wide.

Where f does not vary there is nothing to share: all indices are 0.

Assumption: independent inputs. Left out: second-order indices.

Source
------
Saltelli et al., Computer Physics Communications 181 (2010) 259-270, for S; Jansen, Computer Physics
Communications 117 (1999) 35-43, for ST; both from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.studies.even_points import sobol_points
from lifecycle.studies.sampling import FEWEST_DRAWS

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SobolIndices:
    """Estimated indices of one answer.

    Parameters
    ----------
    first, first_error : ndarray, shape (inputs,)
        First-order indices and their standard errors. [-]
    total, total_error : ndarray, shape (inputs,)
        Total indices and their standard errors. [-]
    mean, variance : float
        Of the answer. [unit of the answer, and its square]
    """

    first: Array
    first_error: Array
    total: Array
    total_error: Array
    mean: float
    variance: float


def base_points(points: int, inputs: int, seed: int) -> tuple[Array, Array]:
    """Return two independent sets of base points in the unit cube.

    Parameters
    ----------
    points, inputs : int
        Base points, at least 16; a power of 2 is the most even. Inputs, at least 1.
    seed : int
        Of the points.

    Returns
    -------
    tuple of ndarray, each of shape (points, inputs)
        Strictly between 0 and 1. [-]

    Raises
    ------
    ValueError
        If there are too few points.
    """
    if points < FEWEST_DRAWS:
        raise ValueError(f"{points} base points are too few for indices: take at least {FEWEST_DRAWS}")
    both = sobol_points(points, 2 * inputs, seed)
    return both[:, :inputs], both[:, inputs:]


def design(a: Array, b: Array) -> Array:
    """Return all points at which the answer is needed.

    Parameters
    ----------
    a, b : ndarray, shape (points, inputs)
        Base points.

    Returns
    -------
    ndarray, shape ((inputs + 2) points, inputs)
        A, then B, then A with one column of B after the other.
    """
    points, inputs = a.shape
    rows = np.tile(a, (inputs + 2, 1))
    rows[points : 2 * points] = b
    for place in range(inputs):
        rows[(place + 2) * points : (place + 3) * points, place] = b[:, place]
    return rows


def indices_from(values: Array, inputs: int) -> SobolIndices:
    """Estimate the indices from the answer at the points of a design.

    Parameters
    ----------
    values : ndarray, shape ((inputs + 2) points,)
        The answer, in the order of `design`.
    inputs : int
        Number of inputs.

    Returns
    -------
    SobolIndices

    Raises
    ------
    ValueError
        If the number of values does not fit the number of inputs.
    """
    if values.size % (inputs + 2):
        raise ValueError(f"{values.size} values cannot be those of a design for {inputs} inputs")
    by_block = values.reshape(inputs + 2, -1)
    mean = float(np.mean(by_block[:2]))
    a, b, mixed = by_block[0] - mean, by_block[1] - mean, by_block[2:] - mean
    square = (a**2 + b**2) / 2.0
    variance = float(np.mean(square))
    if variance <= (1e-9 * mean) ** 2:
        none = np.zeros(inputs)
        return SobolIndices(none, none, none, none, mean, 0.0)
    first, first_error = _ratio(b * (mixed - a), square)
    total, total_error = _ratio((a - mixed) ** 2 / 2.0, square)
    return SobolIndices(first, first_error, total, total_error, mean, variance)


def sobol_indices(answer: Callable[[Array], Array], inputs: int, *, points: int, seed: int) -> SobolIndices:
    """Estimate the indices of a plain function.

    Parameters
    ----------
    answer : callable
        From points of the unit cube, shape (rows, inputs), to values, shape (rows,).
    inputs : int
        Number of inputs.
    points, seed : int
        Base points and their seed.

    Returns
    -------
    SobolIndices

    Examples
    --------
    >>> found = sobol_indices(lambda u: 3.0 * u[:, 0] + 4.0 * u[:, 1], 2, points=1024, seed=1)
    >>> found.total.round(2)
    array([0.36, 0.64])
    """
    a, b = base_points(points, inputs, seed)
    return indices_from(np.asarray(answer(design(a, b)), dtype=float), inputs)


def _ratio(above: Array, below: Array) -> tuple[Array, Array]:
    """Mean over mean, and its standard error by the jackknife, for each row of `above`."""
    number = below.size
    sums, whole = above.sum(axis=1, keepdims=True), below.sum()
    without_one = (sums - above) / (whole - below)
    spread = without_one - without_one.mean(axis=1, keepdims=True)
    error = np.sqrt((number - 1) / number * np.sum(spread**2, axis=1))
    return sums[:, 0] / whole, error
