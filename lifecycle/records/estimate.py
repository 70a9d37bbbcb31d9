"""An estimate from records: a likely value, and the ends that 8 of 10 such records would put it between.

Lecture
-------
A fit gives the maximum of a log likelihood in *working numbers* x (logarithms of what is above 0) and
its curvature there. The estimate has about a normal distribution in x, so that

    likely = exp(x),  low, high = exp(x -+ 1.2816 standard error)

which is what a range of the shape "lognormal" means in a scenario: its median, and 10 and 90 %.

*Widened*: with fewer than `FEWEST` events the records alone give no rate of their own. If asked, the
tool's own figure joins as one more look: a normal distribution in x about its likely value with
``ln(high / low) / (2 x 1.2816)`` for its standard error, added to the log likelihood. Its ends are the
lowest and highest that were thought possible; to take them for 10 and 90 % makes it wider than it was.

Source: large-sample theory of likelihood, and pooling with a normal prior; textbook.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError

Array = NDArray[np.float64]

FEWEST = 5
"""Events that an estimate of its own needs."""

NINE_IN_TEN = 1.2815515655446004
"""Standard normal value that 9 of 10 lie below."""


GRADIENT, STEP, FAR = 1e-4, 1e-3, 1e12
"""Slope at which a maximum is found, step of its curvature, and what stands for an impossible value."""


@dataclass(frozen=True)
class Estimate:
    """One figure from records.

    Parameters
    ----------
    name : str
        Name of the figure in a scenario.
    likely, low, high : float
        Estimate, and the ends that hold 8 in 10. [unit of the figure]
    shape : str
        Shape of the range.
    """

    name: str
    likely: float
    low: float
    high: float
    shape: str = "lognormal"

    def holds(self, value: float) -> bool:
        """Whether a value lies between the ends."""
        return self.low <= value <= self.high


@dataclass(frozen=True)
class Prior:
    """The tool's own figure, as it joins records that are too few. [unit of the figure]"""

    low: float
    likely: float
    high: float

    @property
    def middle(self) -> float:
        """Middle in working numbers."""
        return log(self.likely)

    @property
    def error(self) -> float:
        """Standard error in working numbers."""
        return max(log(self.high / self.low) / (2.0 * NINE_IN_TEN), 1e-6)

    def log_density(self, working: float) -> float:
        """Logarithm of its density, but for a constant."""
        return -0.5 * ((working - self.middle) / self.error) ** 2


def from_working(name: str, working: float, error: float) -> Estimate:
    """Return the estimate of a figure from its logarithm.

    Parameters
    ----------
    name : str
        Of the figure.
    working, error : float
        Logarithm, and its standard error.

    Examples
    --------
    >>> found = from_working("life_mean", 0.0, 1.0)
    >>> found.likely, round(found.low, 3), round(found.high, 3)
    (1.0, 0.278, 3.602)
    """
    return Estimate(
        name, exp(working), exp(working - NINE_IN_TEN * error), exp(working + NINE_IN_TEN * error)
    )


def maximum(
    log_likelihood: Callable[[Array], float], start: Array, *, events: int = 1
) -> tuple[Array, Array, float]:
    """Find the maximum of a log likelihood, and the covariance that its curvature gives.

    Parameters
    ----------
    log_likelihood : callable
        Of working numbers.
    start : ndarray, shape (numbers,)
        Where to begin.
    events : int
        How many there are: the log likelihood grows with them, and is known to a share of one.

    Returns
    -------
    ndarray, shape (numbers,)
        Working numbers at the maximum.
    ndarray, shape (numbers, numbers)
        Their covariance; not a number where the records do not bound a number.
    float
        Log likelihood.
    """
    from scipy.optimize import minimize

    def cost(working: Array) -> float:
        value = log_likelihood(working)
        return -value if np.isfinite(value) else FAR

    def by_event(working: Array) -> float:
        return cost(working) / max(1, events)

    found = minimize(by_event, np.asarray(start, dtype=float), method="BFGS", options={"gtol": GRADIENT})
    if not np.all(np.isfinite(found.x)) or found.fun >= FAR / max(1, events):
        found = minimize(by_event, np.asarray(start, dtype=float), method="Nelder-Mead")
    best = np.asarray(found.x, dtype=float)
    curvature = _curvature(cost, best, np.full(best.shape, STEP))
    try:
        covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
    except np.linalg.LinAlgError:
        covariance = np.full((best.size, best.size), np.nan)
    if np.any(np.diag(covariance) <= 0.0):
        covariance = np.full((best.size, best.size), np.nan)
    return best, covariance, -float(cost(best))


def _curvature(cost: Callable[[Array], float], at: Array, steps: Array) -> Array:
    """Return the second derivatives by central differences."""
    size = at.size
    found = np.empty((size, size))
    for row in range(size):
        for column in range(row + 1):
            total = 0.0
            for one, other, sign in ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)):
                moved = at.copy()
                moved[row] += one * steps[row]
                moved[column] += other * steps[column]
                total += sign * cost(moved)
            found[row, column] = found[column, row] = total / (4.0 * steps[row] * steps[column])
    return found


def too_few(events: int, what: str, where: str) -> ScenarioError:
    """Return the refusal of records with too few events.

    Parameters
    ----------
    events : int
        How many there are.
    what : str
        What they are, in the plural.
    where : str
        Name of the file.
    """
    rule = f"must hold at least {FEWEST} {what} for a figure of its own"
    remedy = "gather more, or add --widen: they then only move the tool's own figure"
    return ScenarioError([Fault(where, rule, str(events), remedy)])
