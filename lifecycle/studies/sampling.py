"""From ranges to draws: what nobody knows for sure, as many equally likely sets of inputs.

Lecture
-------
A range is a distribution:

- *pert*        beta on (low, high): alpha = 1 + 4 (likely - low) / (high - low), beta = 6 - alpha;
- *triangular*  low, likely, high;
- *uniform*     low to high;
- *normal*      mean likely; low and high are its 10 and 90 % points by width;
- *lognormal*   median likely; spread of the logarithm ln(high / low) / (2 x 1.2816).

The draws come from scrambled Sobol points of one seed: one coordinate for each ranged input, in the
order of their paths (entries of a list without names: of what they state), so that the order in which
a file says things means nothing. Inputs that move together do so by a Gaussian copula: the points
become normal scores z, whose root matrix gives them the correlation 2 sin(pi rank / 6) that belongs to
a rank correlation, and each score goes through the inverse distribution of its input.

A PERT quantile is slow to find, so it is read from a table by normal score, one table for each skewness.
A draw outside the bounds of its input is moved to the bound, and counted.

Assumption: beyond the stated correlations inputs are independent. Left out: ranges of ranges.
Source: PERT by its usual mean (low + 4 likely + high) / 6; Gaussian copula and Sobol points as in
scipy; 1.2816 is the normal 90 % point.

*Even points*. Coordinate by coordinate, point k (k = 0, 1, 2 ...) is a number of 30 binary digits: the
exclusive or of the *direction numbers* v_b of those digits b that are 1 in the Gray code of k, ``k xor (k
>> 1)``. The first direction numbers of a coordinate are tabled, with a primitive polynomial of degree s
over the field of two elements whose coefficients are a_i; the others follow from

    m_j = 2 a_1 m_(j-1)  xor  2^2 a_2 m_(j-2)  xor ...  xor  2^s m_(j-s)  xor  m_(j-s)
    v_j = m_j / 2^j

*Scrambling*: the digits of every direction number are multiplied by a random lower triangular
matrix with ones on its diagonal, and every point is shifted by random digits. So the points are
uniform, as even as before, and another set for every seed.

These are the very points of scipy's `stats.qmc.Sobol`; to import that takes longer than a thousand
futures of a comparison. It serves where more coordinates are wanted than are tabled here.

Left out: nested scrambling.

Source of these: Joe & Kuo, SIAM Journal on Scientific Computing 30 (2008) 2635-2654, for the tabled
numbers (read from the file that scipy ships); Matousek, Journal of Complexity 14 (1998) 527-556, for the
scrambling, from memory. A test holds the points to those of scipy.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache, reduce
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lifecycle.errors import fault
from lifecycle.files import data
from lifecycle.quantities import Array, Figure, clip_to_bounds

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
        points = _whole_points(directions, shift, draws).astype(float) * 2.0**-DIGITS
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


def _whole_points(directions: Digits, shift: Digits, draws: int) -> Digits:
    """Return the points as whole numbers, shape (draws, inputs)."""
    number = np.arange(draws, dtype=np.uint32)
    gray = number ^ (number >> np.uint32(1))
    points = np.repeat(shift[None], draws, axis=0)
    for place in range(max(1, int(draws - 1).bit_length())):
        points[(gray >> np.uint32(place)) & np.uint32(1) == 1] ^= directions[:, place]
    return points


NINETY = 1.2815515655446004
"""The point below which a standard normal variable lies with 90 %. [-]"""

FEWEST_DRAWS = 16

KEPT, MOST_KEPT = 4, 16384
"""Samples that are kept for the next study of the same inputs, and the draws of the largest of these."""

_NODES, REACH = 601, 7.25
"""A table of quantiles: its normal scores, and where the last of them lies on either side. [-]"""

_APART = 0.05
"""Smallest eigenvalue to which correlations of our own give way, or half of what is stated allows: no input
is to be settled by the others. [-]"""

_ROUNDING = 1e-10
"""An eigenvalue nearer to 0 than this is 0: some inputs move exactly together. [-]"""


class Contradiction(ValueError):
    """Rank correlations that no figures can have together."""


@dataclass(frozen=True)
class Sample:
    """Draws of the ranged inputs of a scenario.

    Parameters
    ----------
    values : dict of str to ndarray, shape (draws,)
        By path of the input. [unit of the input]
    scores : dict of str to ndarray, shape (draws,)
        Normal score of each value, before bounds. [-]
    moved : dict of str to int
        How many draws were moved to the bound of their input; only inputs with any.
    draws, seed : int
        Number of draws; seed of the points.
    """

    values: Mapping[str, Array]
    scores: Mapping[str, Array]
    moved: Mapping[str, int]
    draws: int
    seed: int


def quantile(figure: Figure, share: ArrayLike) -> Array:
    """Inverse distribution of a ranged figure: its value by cumulative probability. [unit of the figure]"""
    return at_score(figure, _scores(share))


def at_score(figure: Figure, score: Array) -> Array:
    """Return the value of a ranged figure by its normal score; parameters as for `quantile`."""
    low, likely, high = figure.low, figure.likely, figure.high
    if figure.shape == "pert":
        alpha = 1.0 + 4.0 * (likely - low) / (high - low)
        return np.asarray(low + (high - low) * _from_table(_table(alpha), score))
    if figure.shape == "normal":
        return np.asarray(likely + score * (high - low) / (2.0 * NINETY))
    if figure.shape == "lognormal":
        return np.asarray(likely * np.exp(score * np.log(high / low) / (2.0 * NINETY)))

    share = np.asarray(_below(score), dtype=float)
    if figure.shape == "uniform":
        return low + (high - low) * share
    if figure.shape == "triangular":
        mode = (likely - low) / (high - low)
        rising = low + (high - low) * np.sqrt(share * mode)
        falling = high - (high - low) * np.sqrt((1.0 - share) * (1.0 - mode))
        return np.where(share < mode, rising, falling)
    raise ValueError(f"{figure.path}: unknown shape {figure.shape!r}")


_below = np.frompyfunc(NormalDist().cdf, 1, 1)
_score = np.frompyfunc(NormalDist().inv_cdf, 1, 1)
_log = np.frompyfunc(math.log, 1, 1)


_ABOVE = (
    2509.0809287301226727,
    33430.575583588128105,
    67265.770927008700853,
    45921.953931549871457,
    13731.693765509461125,
    1971.5909503065514427,
    133.14166789178437745,
    3.387132872796366608,
)
_UNDER = (
    5226.495278852854561,
    28729.085735721942674,
    39307.89580009271061,
    21213.794301586595867,
    5394.1960214247511077,
    687.1870074920579083,
    42.313330701600911252,
    1.0,
)
"""Of the middle of the normal scores, by powers of 0.425^2 - (share - 0.5)^2, the highest first."""

_ABOVE_OUTSIDE = (
    7.7454501427834140764e-4,
    0.0227238449892691845833,
    0.24178072517745061177,
    1.27045825245236838258,
    3.64784832476320460504,
    5.7694972214606914055,
    4.6303378461565452959,
    1.42343711074968357734,
)
_UNDER_OUTSIDE = (
    1.05075007164441684324e-9,
    5.475938084995344946e-4,
    0.0151986665636164571966,
    0.14810397642748007459,
    0.68976733498510000455,
    1.6763848301838038494,
    2.05319162663775882187,
    1.0,
)
"""Of the others, by powers of sqrt(-log(distance to the nearer end)) - 1.6."""


def _scores(share: ArrayLike) -> Array:
    """Return normal scores.

    All at once but the rarest, 1 in 10^11, which the standard library finds; the same to the bit, for the
    logarithm is its own. To import scipy takes longer than to find them.

    Source
    ------
    Wichura, Applied Statistics 37 (1988) 477-484, algorithm AS 241; numbers as in Python's standard library.
    """
    given = np.asarray(share, dtype=float)
    away = given - 0.5
    middle = np.abs(away) <= 0.425
    score = np.empty(given.shape)
    by = 0.180625 - away[middle] * away[middle]
    score[middle] = np.polyval(_ABOVE, by) * away[middle] / np.polyval(_UNDER, by)
    outside = given[~middle]
    away = np.sqrt(-_log(np.minimum(outside, 1.0 - outside)).astype(float)) - 1.6
    found = np.polyval(_ABOVE_OUTSIDE, away) / np.polyval(_UNDER_OUTSIDE, away)
    found = np.where(outside < 0.5, -found, found)
    rare = away > 3.4
    found[rare] = _score(outside[rare])
    score[~middle] = found
    return score


@lru_cache(maxsize=512)
def _table(alpha: float) -> Array:
    """Return the beta quantiles of a PERT range on (0, 1) at even normal scores, shape (nodes,)."""
    by_node = _series()
    return np.asarray(1.0 / (1.0 + np.exp(-by_node @ _chebyshev(0.5 * (alpha - 3.0), by_node.shape[1]))))


@cache
def _series() -> Array:
    """Return the series of each node in alpha: of the logarithm of x / (1 - x), shape (nodes, terms)."""
    rows = data("quantiles.toml")["coefficients"]
    terms = np.zeros((len(rows), 2 * max(len(row) for row in rows)))
    for place, row in enumerate(rows):
        terms[place, (place + 1) % 2 : 2 * len(row) : 2] = row
    return _chebyshev(np.linspace(-REACH, REACH, _NODES) / 7.5, len(rows)) @ terms


def _chebyshev(x: ArrayLike, terms: int) -> Array:
    """Return the Chebyshev polynomials of degree 0, 1, ... at x, shape (..., terms)."""
    return np.cos(np.multiply.outer(np.arccos(x), np.arange(terms)))


def _from_table(table: Array, score: Array) -> Array:
    """Return values between nodes, by Lagrange's formula through the six nearest; errs by 1.5e-13."""
    step = 2.0 * REACH / (_NODES - 1)
    place = (np.clip(score, -REACH, REACH) + REACH) / step
    first = np.clip(np.floor(place).astype(np.int64) - 2, 0, _NODES - 6)
    away = [place - first - node for node in range(6)]
    value = np.zeros(np.shape(score))
    for node in range(6):
        others = (away[other] / (node - other) for other in range(6) if other != node)
        value += reduce(np.multiply, others) * table[first + node]
    return value


def sample(
    figures: Sequence[Figure],
    *,
    draws: int,
    seed: int,
    correlations: Mapping[tuple[str, str], float] | None = None,
    alone: int | None = None,
) -> Sample:
    """Draw the ranged figures together; others are left out.

    Parameters
    ----------
    draws, seed : int
        Number of draws, at least 16; seed of the scrambled Sobol points.
    correlations : mapping of (str, str) to float
        Rank correlation by pair of paths; others are independent. `Contradiction` if they are no correlation
        matrix. [-]
    alone : int or None
        So many of the ranged figures, the first ones, are drawn as they would be without the others;
        None: all of them belong together.
    """
    check_whole("draws", draws, FEWEST_DRAWS)
    check_whole("seed", seed, 0)
    ranged = [figure for figure in figures if figure.ranged]
    alone = len(ranged) if alone is None else alone
    placed = (*sorted(ranged[:alone], key=_place), *sorted(ranged[alone:], key=_place))
    pairs = tuple(sorted((min(pair), max(pair), rank) for pair, rank in (correlations or {}).items()))
    draw = _kept if draws <= MOST_KEPT else _drawn
    return draw(placed, draws, seed, pairs, alone)


def check_whole(name: str, value: object, fewest: int) -> None:
    """Check a whole number of draws, of points, or of a seed."""
    if isinstance(value, bool) or not isinstance(value, int | np.integer) or value < fewest:
        why = ", for fewer do not show doubt" if fewest else ""
        rule = f"must be a whole number from {fewest}{why}"
        raise fault(name, rule, repr(value), "leave it out, and it is as usual")


def _place(figure: Figure) -> tuple[str, float, float, float, str, str]:
    """Return what the coordinate of an input goes by: no number of an entry that has no name."""
    path = ".".join(part for part in figure.path.split(".") if not part.isdecimal())
    return path, figure.low, figure.likely, figure.high, figure.shape, figure.path


def _drawn(
    ranged: tuple[Figure, ...],
    draws: int,
    seed: int,
    correlations: tuple[tuple[str, str, float], ...],
    alone: int,
) -> Sample:
    """Draw ranged figures together; the arrays cannot be changed."""
    if not ranged:
        return Sample({}, {}, {}, draws, seed)
    points = _points(draws, len(ranged), alone, seed)
    root = _root([figure.path for figure in ranged], correlations)
    scores = points if root is None else points @ root.T
    if root is not None and alone < len(ranged) and not np.any(np.triu(root, 1)):
        # To the last bit as without the others, so that costs that stand on these alone are the same costs.
        own = _root([figure.path for figure in ranged[:alone]], correlations)
        scores[:, :alone] = points[:, :alone] if own is None else points[:, :alone] @ own.T
    values, moved = {}, {}
    for place, figure in enumerate(ranged):
        drawn = at_score(figure, scores[:, place])
        values[figure.path], number = clip_to_bounds(figure, drawn)
        if number:
            moved[figure.path] = number
    by_path = {figure.path: scores[:, place] for place, figure in enumerate(ranged)}
    for array in (*values.values(), *by_path.values()):
        array.setflags(write=False)
    return Sample(values, by_path, moved, draws, seed)


_kept = lru_cache(maxsize=KEPT)(_drawn)
"""Draws the same inputs once: a study after another, and a page after a change of what is no range."""


@lru_cache(maxsize=KEPT)
def _points(draws: int, inputs: int, alone: int, seed: int) -> Array:
    """Return scores at the points of the first inputs, and beside them of the others from another seed."""
    parts = ((alone, seed), (inputs - alone, seed + 1))
    points = np.concatenate([sobol_points(draws, number, own) for number, own in parts if number], axis=1)
    scores = _scores(points)
    scores.setflags(write=False)
    return scores


def give_way(
    own: Mapping[tuple[str, str], float], stated: Mapping[tuple[str, str], float]
) -> dict[tuple[str, str], float]:
    """Return rank correlations of our own and stated ones, by pair of paths, that can hold together. [-]

    What is stated stays, and counts where a pair stands in both. If not all can hold together, our own
    correlations of the inputs that are stated come nearer to 0, all by one factor and as little as will do.
    Stated ones that contradict each other remain a contradiction.
    """
    said = {(min(pair), max(pair)): rank for pair, rank in stated.items()}
    rest = {pair: rank for pair, rank in own.items() if (min(pair), max(pair)) not in said}
    named = {path for pair in said for path in pair}
    yielding = {pair for pair in rest if named & {*pair}}
    paths = sorted({path for pair in (*said, *rest) for path in pair})

    def with_share(share: float) -> dict[tuple[str, str], float]:
        some = {pair: rank * (share if pair in yielding else 1.0) for pair, rank in rest.items()}
        return some | said

    def smallest(share: float) -> float:
        pairs = [(*pair, rank) for pair, rank in with_share(share).items()]
        return float(np.linalg.eigvalsh(_matrix(paths, pairs))[0])

    if not yielding or smallest(1.0) >= -_ROUNDING:
        return with_share(1.0)
    least, share, most = min(_APART, smallest(0.0) / 2.0), 0.0, 1.0
    for _ in range(20):
        middle = (share + most) / 2.0
        share, most = (middle, most) if smallest(middle) >= least else (share, middle)
    return with_share(share)


def _matrix(paths: Sequence[str], correlations: Sequence[tuple[str, str, float]]) -> Array:
    """Return the correlation matrix of the scores, shape (inputs, inputs). [-]"""
    place = {path: number for number, path in enumerate(paths)}
    matrix = np.eye(len(paths))
    for one, other, rank in correlations:
        if one in place and other in place and one != other:
            score = 2.0 * np.sin(np.pi * rank / 6.0)
            matrix[place[one], place[other]] = matrix[place[other], place[one]] = score
    return matrix


def _root(paths: Sequence[str], correlations: Sequence[tuple[str, str, float]]) -> Array | None:
    """Return a root of the correlation matrix of the scores; None if all are independent."""
    matrix = _matrix(paths, correlations)
    if np.array_equal(matrix, np.eye(len(paths))):
        return None
    sizes, directions = np.linalg.eigh(matrix)
    if sizes[0] < -_ROUNDING:
        raise Contradiction(
            "the rank correlations contradict each other: no figures can move together in this way "
            f"(smallest eigenvalue {sizes[0]:.3f}, must not be below 0); take some of them nearer to 0"
        )
    if sizes[0] > _ROUNDING:
        return np.asarray(np.linalg.cholesky(matrix))
    return np.asarray(directions * np.sqrt(np.maximum(sizes, 0.0)))
