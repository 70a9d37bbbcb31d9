"""Points that fill the unit cube evenly: Sobol points, scrambled from a seed.

Lecture
-------
Coordinate by coordinate, point k (k = 0, 1, 2 ...) is a number of 30 binary digits: the exclusive or
of the *direction numbers* v_b of those digits b that are 1 in the Gray code of k, ``k xor (k >> 1)``.
The first direction numbers of a coordinate are tabled, with a primitive polynomial of degree s over
the field of two elements whose coefficients are a_i; the others follow from

    m_j = 2 a_1 m_(j-1)  xor  2^2 a_2 m_(j-2)  xor ...  xor  2^s m_(j-s)  xor  m_(j-s)
    v_j = m_j / 2^j

*Scrambling*: the digits of every direction number are multiplied by a random lower triangular
matrix with ones on its diagonal, and every point is shifted by random digits. So the points are
uniform, as even as before, and another set for every seed.

These are the very points of scipy's `stats.qmc.Sobol`; to import that takes longer than a thousand
futures of a comparison. It serves where more coordinates are wanted than are tabled here.

Left out: nested scrambling.

Source
------
Joe & Kuo, SIAM Journal on Scientific Computing 30 (2008) 2635-2654, for the tabled numbers (read from
the file that scipy ships); Matousek, Journal of Complexity 14 (1998) 527-556, for the scrambling,
from memory. A test holds the points to those of scipy.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from lifecycle.files import data

Array = NDArray[np.float64]
Digits = NDArray[np.uint32]

DIGITS = 30
"""Binary digits of a coordinate; there are 2 ** 30 points."""

EDGE = 2.0**-40
"""Points are kept this far inside the unit cube. [-]"""


def sobol_points(draws: int, inputs: int, seed: int) -> Array:
    """Return scrambled Sobol points inside the unit cube.

    Parameters
    ----------
    draws, inputs : int
        Number of points, and of coordinates.
    seed : int
        Of the scrambling.

    Returns
    -------
    ndarray, shape (draws, inputs)
        Strictly between 0 and 1. [-]

    Examples
    --------
    >>> points = sobol_points(8, 2, seed=1)
    >>> np.sort(np.floor(8 * points[:, 0])).astype(int).tolist()
    [0, 1, 2, 3, 4, 5, 6, 7]
    """
    if inputs > len(data("directions.toml")["numbers"]):
        points = _by_scipy(draws, inputs, seed)
    else:
        directions, shift = _scrambled(inputs, seed)
        points = _drawn(directions, shift, draws).astype(float) * 2.0**-DIGITS
    return np.asarray(np.clip(points, EDGE, 1.0 - EDGE))


def _by_scipy(draws: int, inputs: int, seed: int) -> Array:
    """Return the points from scipy."""
    from scipy.stats.qmc import Sobol

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a number that is no power of 2 is less even
        return np.asarray(Sobol(inputs, scramble=True, rng=np.random.default_rng(seed)).random(draws))


@cache
def _directions(inputs: int) -> Digits:
    """Return the direction numbers as digits of weight 2 ** 29 ... 1, shape (inputs, numbers, digits)."""
    numbers = np.array(
        [_continued(row) for row in data("directions.toml")["numbers"][:inputs]], dtype=np.uint32
    )
    return (numbers[..., None] >> np.arange(DIGITS - 1, -1, -1, dtype=np.uint32)) & np.uint32(1)


def _continued(row: Sequence[int]) -> list[int]:
    """Return all direction numbers of a coordinate, from its polynomial and its first m; times 2 ** 30."""
    polynomial, *m = row
    degree = polynomial.bit_length() - 1
    if degree == 0:  # the first coordinate
        m = [1] * DIGITS
    for j in range(len(m), DIGITS):
        new = m[j - degree]
        for back in range(1, degree + 1):
            if polynomial >> (degree - back) & 1:
                new ^= m[j - back] << back
        m.append(new)
    return [value << (DIGITS - 1 - j) for j, value in enumerate(m[:DIGITS])]


def random_digits(number: int, seed: int) -> Digits:
    """Return random binary digits of a seed; the first of more of them are the same."""
    chance = np.random.default_rng(seed).spawn(1)[0]  # as scipy does with a generator
    return chance.integers(2, size=number, dtype=np.uint32)


def _scrambled(inputs: int, seed: int) -> tuple[Digits, Digits]:
    """Return scrambled direction numbers, shape (inputs, numbers), and the shift, shape (inputs,)."""
    drawn = random_digits(inputs * DIGITS * (1 + DIGITS), seed)
    weights = np.uint32(1) << np.arange(DIGITS, dtype=np.uint32)
    shift = drawn[: inputs * DIGITS].reshape(inputs, DIGITS) @ weights
    matrices = np.tril(drawn[inputs * DIGITS :].reshape(inputs, DIGITS, DIGITS))
    matrices[:, np.arange(DIGITS), np.arange(DIGITS)] = 1
    digits = (_directions(inputs).astype(float) @ matrices.astype(float).transpose(0, 2, 1)).astype(np.uint32)
    return (digits & np.uint32(1)) @ weights[::-1], shift


def _drawn(directions: Digits, shift: Digits, draws: int) -> Digits:
    """Return the points as whole numbers, shape (draws, inputs)."""
    number = np.arange(draws, dtype=np.uint32)
    gray = number ^ (number >> np.uint32(1))
    points = np.repeat(shift[None], draws, axis=0)
    for place in range(max(1, int(draws - 1).bit_length())):
        points[(gray >> np.uint32(place)) & np.uint32(1) == 1] ^= directions[:, place]
    return points
