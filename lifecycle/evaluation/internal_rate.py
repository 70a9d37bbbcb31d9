"""The discount rate at which two ways cost the same.

Lecture
-------
With all inputs at their likely values, net savings S are a function of the discount rate. The
*internal rate of return* is a rate at which S is zero; a flow that changes its sign more than once
may have several, and then no single one describes it: that is warned of.

S is taken on a grid, in one batch of draws; then again on a finer grid between the two points where
the sign changes, until they meet. So nothing is assumed about the form of S but that it does not
change its sign twice between two points of the first grid.

Source: bisection by grids, textbook; internal rate by its usual meaning.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import Answer, SeveralInternalRates
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.roofs import Case

Array = NDArray[np.float64]

POINTS, ROUNDS = 33, 6
"""Points of each grid, and finer grids at most: each is 32 times finer than the one before."""

LOWEST_RATE, HIGHEST_RATE = -0.5, 1.0
"""Discount rates between which internal rates are looked for. [1/year]"""


def internal_rate_of_return(case: Case, name: str, than: str) -> Answer:
    """Return the discount rate at which two ways cost the same at the years kept.

    Parameters
    ----------
    case : Case
        Without draws.
    name, than : str
        The two ways.

    Returns
    -------
    Answer
        The rate nearest to zero, with a remark naming all if there are several; none if there is
        none between `LOWEST_RATE` and `HIGHEST_RATE`. [1/year]

    Warns
    -----
    SeveralInternalRates
        If there are several.
    """

    def savings(rates: Array) -> Array:
        return _savings(replace(case, terms=replace(case.terms, discount_rate=rates)), name, than)

    found = zeros(savings, LOWEST_RATE, HIGHEST_RATE)
    if not found:
        return Answer(None, f"no rate from {LOWEST_RATE:.0%} to {HIGHEST_RATE:.0%} makes both cost the same")
    remark = None
    if len(found) > 1:
        named = ", ".join(f"{100.0 * rate:.2f} %" for rate in found)
        remark = f"one of {len(found)} internal rates: {named}"
        warnings.warn(remark, SeveralInternalRates, stacklevel=2)
    return Answer(min(found, key=abs), remark)


def zeros(function: Callable[[Array], Array], low: float, high: float) -> list[float]:
    """Return where a function changes its sign between two values, rising.

    Parameters
    ----------
    function : callable
        From an array of shape (n,) to one of the same shape.
    low, high : float
        Ends.

    Returns
    -------
    list of float
        One for each change between two points of the first grid.

    Examples
    --------
    >>> [round(x, 9) for x in zeros(lambda x: x**2 - 2.0, -3.0, 3.0)]
    [-1.414213562, 1.414213562]
    """
    grid = np.linspace(low, high, POINTS)
    return [_narrowed(function, *ends) for ends in _brackets(grid, function(grid))]


def _narrowed(function: Callable[[Array], Array], low: float, high: float) -> float:
    """Return where the sign changes between two values, by ever finer grids."""
    for _ in range(ROUNDS):
        if high - low <= 1e-12 * max(1.0, abs(low), abs(high)):
            break
        grid = np.linspace(low, high, POINTS)
        low, high = _brackets(grid, function(grid))[0]
    return 0.5 * (low + high)


def _brackets(grid: Array, values: Array) -> list[tuple[float, float]]:
    """Return neighbouring points between which the sign changes; 0 counts as positive."""
    positive = values >= 0.0
    places = np.flatnonzero(positive[1:] != positive[:-1])
    return [(float(grid[place]), float(grid[place + 1])) for place in places]


def _savings(case: Case, name: str, than: str) -> Array:
    """Net savings at the years kept, shape (draws,). [money]"""
    ways = tuple(way for way in case.alternatives if way.name in (name, than))
    ledgers: dict[str, Ledger] = evaluate(replace(case, alternatives=ways))
    return ledgers[than].at_holding - ledgers[name].at_holding
