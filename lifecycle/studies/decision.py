"""Deciding under doubt: who is cheapest how often, what a wrong choice costs, what knowing is worth.

Lecture
-------
For each draw of the inputs (a *future*) each way has one cost, its expectation over luck; costs are
an array (draws, ways) [money], weights w, shape (draws,), add up to 1.

- *Chance of being cheapest.* In each future the ways within 1 % of the cheapest share the place.
  For a pair a future within 1 % counts half.
- *Expected opportunity loss* of a way: mean of its cost less the cheapest of that future.
- *Expected value of perfect information*: the smallest mean cost less the mean of the smallest cost.
  It equals the smallest expected opportunity loss.
- *Value of knowing some inputs*: the gain of choosing, in each future, the way that looks cheapest
  from these inputs alone. How costs hang on them is learnt by least squares on polynomials of their
  normal scores, in one half of the futures, and used in the other: so chance patterns gain nothing,
  and the value is never overstated by overfitting. Below 0 it is 0. The halves are the first and the
  second part of the draws, each even over all ranges; every second Sobol point would not be.
- *Share of the doubt*: least squares of a difference y on all inputs' polynomials f_i splits its
  variance into cov(f_i, y) / var(y), which add up, with what is left (inputs acting together and
  what a polynomial misses), to 1. Correlated inputs share what they cannot be told apart in.
- *A look before deciding* finds something with probability p in each future: choose anew after each
  outcome. The parts of the mean cost that belong to the two outcomes add up to it.

Left out: that knowing costs something; the reader sets that against the value.
Source: value of information, textbook (Raiffa and Schlaifer, Applied Statistical Decision Theory,
1961, from memory); the half-and-half rule is our own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from lifecycle.quantities import Array

SAME_WITHIN = 0.01
"""Costs nearer than this share of the cheaper are a tie. [-]"""

OUTERMOST = 0.02
"""Share of the futures left out at either end of an input's values: a polynomial says little there. [-]"""

_SINGULAR = 1e-12
"""Directions of terms weaker than this share of the strongest are none: inputs that move exactly together."""

_ROUNDING = 1e-9
"""A spread below this share of the size of a difference is none. [-]"""


def chances_cheapest(costs: Array, weights: Array) -> Array:
    """Chance of each way to be the cheapest, shape (ways,), adding up to 1; ties share. [-]

    Examples
    --------
    >>> chances_cheapest(np.array([[100.0, 100.5], [100.0, 90.0]]), np.full(2, 0.5))
    array([0.25, 0.75])
    """
    least = costs.min(axis=1, keepdims=True)
    first = costs <= least + SAME_WITHIN * np.abs(least)
    return np.asarray(weights @ (first / first.sum(axis=1, keepdims=True)))


def chance_cheaper(cost: Array, than: Array, weights: Array) -> float:
    """Chance that one way is cheaper than another, by their costs (draws,); a tie counts half. [-]

    Examples
    --------
    >>> chance_cheaper(np.array([100.0, 100.0]), np.array([100.5, 120.0]), np.full(2, 0.5))
    0.75
    """
    tie = np.abs(cost - than) <= SAME_WITHIN * np.abs(np.minimum(cost, than))
    return float(weights @ np.where(tie, 0.5, cost < than))


def expected_opportunity_loss(costs: Array, weights: Array) -> Array:
    """Mean cost of each way above the cheapest of each future, shape (ways,). [money]

    Examples
    --------
    >>> expected_opportunity_loss(np.array([[10.0, 12.0], [14.0, 12.0]]), np.full(2, 0.5))
    array([1., 1.])
    """
    return np.asarray(weights @ (costs - costs.min(axis=1, keepdims=True)))


def perfect_information(costs: Array, weights: Array) -> float:
    """Worth of knowing everything before deciding: smallest mean less mean of the smallest. [money]"""
    return float(np.min(weights @ costs) - weights @ costs.min(axis=1))


def value_of_knowing(costs: Array, scores: Sequence[Array], weights: Array, *, degree: int = 3) -> float:
    """Worth of knowing some inputs, by their normal scores, before deciding. [money]

    At least 0, and at most the worth of knowing everything.
    """
    if not scores:
        return 0.0
    terms = _polynomials(scores, degree)
    first = np.arange(costs.shape[0]) < costs.shape[0] // 2
    chosen = np.empty(costs.shape[0], dtype=np.int64)
    for half in (first, ~first):
        fitted = _fit(terms[half], costs[half], weights[half])
        chosen[~half] = np.argmin(terms[~half] @ fitted, axis=1)
    informed = weights @ costs[np.arange(costs.shape[0]), chosen]
    gain = float(np.min(weights @ costs) - informed)
    return min(max(0.0, gain), perfect_information(costs, weights))


def costs_by_input(costs: Array, score: Array, weights: Array, *, degree: int = 3) -> Array:
    """Mean cost of each way as it hangs on one input, by least squares on its polynomials.

    At the value that the input has in each future, shape (draws, ways). [money]
    """
    terms = _polynomials([score], degree)
    return np.asarray(terms @ _fit(terms, costs, weights))


def inner_order(values: Array, weights: Array) -> NDArray[np.intp]:
    """Return the places of the futures by an input's rising values, without the outermost."""
    order = np.argsort(values, kind="stable")
    running = np.cumsum(weights[order])
    return order[(running > OUTERMOST) & (running <= 1.0 - OUTERMOST)]


def shares_of_doubt(difference: Array, scores: Mapping[str, Array], weights: Array) -> dict[str, float]:
    """Split the variance of a difference of costs, shape (draws,), by input, from normal scores.

    By input, and ``"together"`` for what no input does alone; adds up to 1. Empty if there is no doubt. [-]
    """
    centred = difference - weights @ difference
    variance = float(weights @ centred**2)
    if not scores or variance <= (_ROUNDING * float(np.max(np.abs(difference)))) ** 2:
        return {}
    degree = 2 if difference.size > 8 * len(scores) else 1
    terms = _polynomials(list(scores.values()), degree)
    fitted = _fit(terms, centred[:, None], weights)[:, 0]
    shares = {}
    for number, name in enumerate(scores):
        own = slice(1 + number * degree, 1 + (number + 1) * degree)
        part = terms[:, own] @ fitted[own]
        shares[name] = float(weights @ ((part - weights @ part) * centred)) / variance
    shares["together"] = 1.0 - sum(shares.values())
    return shares


def value_of_looking(
    costs: Array, found: Array, weights: Array, *, after_nothing: Array | None = None
) -> float:
    """Worth of a look before deciding, that finds something or not; at least 0. [money]

    `costs` are those before the look, over both outcomes; `found` is the probability, shape (draws,), that it
    finds something; `after_nothing` the costs after a look that found nothing (None: as before the look). The
    cost after a find follows, as both outcomes together are the cost before.

    Examples
    --------
    >>> costs = np.array([[10.0, 12.0], [30.0, 20.0]])
    >>> value_of_looking(costs, np.array([0.0, 1.0]), np.full(2, 0.5))
    1.0
    """
    calm = costs if after_nothing is None else after_nothing
    nothing = (weights * (1.0 - found)) @ calm
    something = weights @ costs - nothing
    return max(0.0, float(np.min(weights @ costs) - np.min(nothing) - np.min(something)))


def _polynomials(scores: Sequence[Array], degree: int) -> Array:
    """Return 1 and the powers of each score, shape (draws, 1 + inputs x degree)."""
    powers = [score**power for score in scores for power in range(1, degree + 1)]
    return np.stack([np.ones_like(scores[0]), *powers], axis=1)


def _fit(terms: Array, values: Array, weights: Array) -> Array:
    """Least squares with weights by the normal equations, shape (terms, columns); the smallest of many."""
    weighted = weights[:, None] * terms
    found = np.linalg.lstsq(terms.T @ weighted, weighted.T @ values, rcond=_SINGULAR)[0]
    return np.asarray(found)
