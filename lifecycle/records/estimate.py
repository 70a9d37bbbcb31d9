"""An estimate from records: a likely value, and the ends that 8 of 10 such records would put it between.

Lecture
-------
A fit seeks the maximum of a log likelihood l in *working numbers* x: the logarithm of what is above 0, the
logit of a chance. The ends of one figure are those of its *profile*: the values at which l, all other
figures chosen as well as they can be, has fallen by ``1.2816 ^ 2 / 2``. With many records this is the normal
rule; with few it is skewed as the likelihood is, and it sees when there is no end at all.

*What the records cannot tell.* Some figures are hidden behind others: leaks that are rare and easily seen
look like leaks that are frequent and seldom seen. For these the tool's own figure joins as one more look: a
normal distribution in x about its likely value, with its lowest and highest taken for 10 and 90 %. With
many records it weighs nothing; with few it holds the figure in the tool's range, and the ends of the other
figures carry that doubt. Records tell such a figure only if they alone, without its own prior, put it within
a narrower range than the tool's; else it is said to be the tool's.

*At a bound.* A maximum at the end of where it is sought is no estimate: it is refused, with what is
missing. An end that is not found within the bounds is no end: the figure is not given.

*Widened*: with fewer than `FEWEST` events the records alone give no rate of their own. If asked, the tool's
own figure joins for every figure.

*Together.* The correlation of two figures, from the curvature at the maximum, belongs to the answer: two
figures that explain the same leaks cannot both be high. As a rank: ``6 / pi asin(rho / 2)``.

Source
------
Profile likelihood, pooling with a normal prior, rank correlation of a normal pair: textbook.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import asin, exp, log, pi, sqrt

import numpy as np

from lifecycle.errors import ScenarioError, fault
from lifecycle.quantities import Array

FEWEST = 5
"""Events that an estimate of its own needs."""

NINE_IN_TEN = 1.2815515655446004
"""Standard normal value that 9 of 10 lie below."""

FALL = 0.5 * NINE_IN_TEN**2
"""How far the profile falls to its ends."""

ROOT = FALL**0.5
"""Root of that: about a straight line along the profile."""

STRONGLY = 0.8
"""Correlation worth a sentence. [-]"""

CHANCES = ("look_finds",)
"""Figures whose working number is a logit; all others are logarithms, or stand for themselves."""

EFFECT = "effect of "
"""Begins the name of what a covariate does to the logarithm of a life."""

PLAIN = ("heat_exponent", "sun_exponent")
"""Figures that are their own working number, as effects are."""

STEP, SLOPE, FAR, EXACT = 1e-4, 1e-5, 1e12, 0.01
"""Step of the curvature as a share of where a figure is sought, step of the slope, what stands for an
impossible value, and how well an end's fall is met."""


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


def working(name: str, value: float) -> float:
    """Return the working number of a figure.

    Examples
    --------
    >>> working("look_finds", 0.5), working("life_mean", 1.0), working("sun_exponent", 0.3)
    (0.0, 0.0, 0.3)
    """
    if name in PLAIN or name.startswith(EFFECT):
        return value
    return log(value / (1.0 - value)) if name in CHANCES else log(value)


def plain(name: str, number: float) -> float:
    """Return a figure from its working number."""
    if name in PLAIN or name.startswith(EFFECT):
        return number
    number = min(max(number, -500.0), 500.0)
    return 1.0 / (1.0 + exp(-number)) if name in CHANCES else exp(number)


@dataclass(frozen=True)
class Prior:
    """The tool's own figure, as it joins what records cannot tell. [unit of the figure]"""

    low: float
    likely: float
    high: float
    name: str = ""

    @property
    def middle(self) -> float:
        """Middle in working numbers."""
        return working(self.name, self.likely)

    @property
    def error(self) -> float:
        """Standard error in working numbers."""
        low, high = (working(self.name, one) for one in (self.low, self.high))
        return max((high - low) / (2.0 * NINE_IN_TEN), 1e-6)

    def log_density(self, number: float) -> float:
        """Logarithm of its density, but for a constant."""
        return -0.5 * ((number - self.middle) / self.error) ** 2


def estimate(name: str, number: float, ends: tuple[float, float]) -> Estimate:
    """Return the estimate of a figure from its working number and those of its ends."""
    likely, low, high = (plain(name, one) for one in (number, *ends))
    return Estimate(name, likely, low, high, "normal" if name in (*CHANCES, *PLAIN) else "lognormal")


@dataclass(frozen=True)
class Free:
    """A figure that is sought.

    Parameters
    ----------
    name : str
        In a scenario, or of a fit's own.
    low, high : float
        Where it is sought. [unit of the figure]
    start : float
        Where to begin. [unit of the figure]
    prior : Prior or None
        The tool's own figure, where it joins.
    """

    name: str
    low: float
    high: float
    start: float
    prior: Prior | None = None


@dataclass(frozen=True)
class Sought:
    """What was found.

    Parameters
    ----------
    free : tuple of Free
        The figures.
    best : ndarray, shape (figures,)
        Working numbers at the maximum.
    top : float
        Log likelihood there, with what joined.
    covariance : ndarray, shape (figures, figures)
        Of the working numbers, from the curvature; not a number where it is none.
    ends : dict of str to (float or None, float or None)
        Working numbers at the ends of the figures that were asked for; None: no end within the bounds.
    """

    free: tuple[Free, ...]
    best: Array
    top: float
    covariance: Array
    ends: dict[str, tuple[float | None, float | None]]

    def at(self, name: str) -> float:
        """Return a figure at the maximum. [unit of the figure]"""
        return plain(name, float(self.best[self._place(name)]))

    def _place(self, name: str) -> int:
        """Return the place of a figure."""
        return [one.name for one in self.free].index(name)

    @property
    def at_a_bound(self) -> tuple[str, ...]:
        """Figures whose maximum lies at the end of where they are sought."""
        found = []
        for one, number in zip(self.free, self.best, strict=True):
            low, high = working(one.name, one.low), working(one.name, one.high)
            if min(number - low, high - number) < 1e-3 * (high - low):
                found.append(one.name)
        return tuple(found)

    def estimate(self, name: str) -> Estimate | None:
        """Return a figure with its ends; None if an end is lacking."""
        low, high = self.ends[name]
        if low is None or high is None:
            return None
        return estimate(name, float(self.best[self._place(name)]), (low, high))

    def tells(self, name: str, tool: Prior) -> Estimate | None:
        """Return a figure sought without its prior, if it is put more narrowly than the tool's own."""
        low, high = self.ends[name]
        if low is None or high is None or name in self.at_a_bound:
            return None
        return self.estimate(name) if high - low < 2.0 * NINE_IN_TEN * tool.error else None

    def may_tell(self, name: str) -> bool:
        """Whether a figure with a prior lies so much narrower than it that records alone may bound it."""
        place = self._place(name)
        prior, variance = self.free[place].prior, float(self.covariance[place, place])
        return prior is not None and 0.0 < variance < 0.5 * prior.error**2

    def together(self, one: str, other: str) -> float:
        """Return the correlation of two working numbers. [-]"""
        a, b = self._place(one), self._place(other)
        spread = float(np.sqrt(self.covariance[a, a] * self.covariance[b, b]))
        found = float(self.covariance[a, b]) / spread if spread > 0.0 else float("nan")
        return found if np.isfinite(found) else 0.0


def seek(log_likelihood: Callable[[Array], float], free: Sequence[Free], asked: Sequence[str]) -> Sought:
    """Find the maximum of a log likelihood, and the ends of some figures.

    Parameters
    ----------
    log_likelihood : callable
        Of the figures, in the order of `free`, shape (figures,). [units of the figures]
    free : sequence of Free
        What is sought.
    asked : sequence of str
        Figures whose ends are wanted.

    Returns
    -------
    Sought

    Examples
    --------
    >>> free = [Free("life_mean", 0.1, 100.0, 3.0)]
    >>> found = seek(lambda x: -0.5 * ((log(x[0]) - log(2.0)) / 0.1) ** 2, free, ["life_mean"])
    >>> one = found.estimate("life_mean")
    >>> round(one.likely, 2), round(one.low, 2), round(one.high, 2)
    (2.0, 1.76, 2.27)
    """
    names = [one.name for one in free]
    bounds = [(working(one.name, one.low), working(one.name, one.high)) for one in free]
    priors = [(place, one.prior) for place, one in enumerate(free) if one.prior is not None]

    def cost(numbers: Array) -> float:
        figures = np.array([plain(name, float(one)) for name, one in zip(names, numbers, strict=True)])
        value = log_likelihood(figures)
        value += sum(prior.log_density(float(numbers[place])) for place, prior in priors)
        return -value if np.isfinite(value) else FAR

    start = np.array([working(one.name, one.start) for one in free])
    best, top = _least(cost, start, bounds)
    steps = STEP * np.array([high - low for low, high in bounds])
    ends: dict[str, tuple[float | None, float | None]] = {}
    covariance = _inverse(_curvature(cost, best, steps))
    for _ in range(3):
        profiles = {name: _Profile(cost, best, top, covariance, names.index(name), bounds) for name in asked}
        ends = {name: (one.end(-1.0), one.end(1.0)) for name, one in profiles.items()}
        better = [one.better for one in profiles.values() if one.better is not None]
        if not better:
            break
        best, top = _least(cost, min(better, key=lambda one: one[1])[0], bounds)
        covariance = _inverse(_curvature(cost, best, steps))
    return Sought(tuple(free), best, -top, covariance, ends)


Bounds = Sequence[tuple[float, float]]
Cost = Callable[[Array], float]


def _least(cost: Cost, start: Array, bounds: Bounds) -> tuple[Array, float]:
    """Return where a cost is least within bounds, and the cost there."""
    from scipy.optimize import minimize

    low, high = np.array(bounds).T
    options = {"ftol": 1e-9, "gtol": 1e-3, "eps": SLOPE}
    found = minimize(cost, np.clip(start, low, high), method="L-BFGS-B", bounds=bounds, options=options)
    best = (np.asarray(found.x, dtype=float), float(found.fun))
    if best[1] >= FAR:
        again = minimize(cost, best[0], method="Nelder-Mead", bounds=bounds, options={"maxfev": 400})
        if again.fun < best[1]:
            best = (np.asarray(again.x, dtype=float), float(again.fun))
    return best


class _Profile:
    """The cost of one number, all others chosen as well as they can be.

    The others start on the line on which they go with this one at the maximum, and the curvature there is
    the metric of their search, so that a few steps settle them.
    """

    def __init__(
        self, cost: Cost, best: Array, top: float, covariance: Array, place: int, bounds: Bounds
    ) -> None:
        self.cost, self.best, self.top, self.place = cost, best, top, place
        self.edges = bounds[place]
        self.others = [number for number in range(best.size) if number != place]
        self.low, self.high = np.array([bounds[number] for number in self.others]).reshape(-1, 2).T
        variance = covariance[place, place]
        self.error, self.along, self.metric = 0.3, np.zeros(len(self.others)), None
        if np.isfinite(variance) and variance > 0.0:
            with_it = covariance[self.others, place]
            self.error = min(float(np.sqrt(variance)), 3.0)
            self.along = with_it / variance
            metric = covariance[np.ix_(self.others, self.others)] - np.outer(with_it, with_it) / variance
            metric = 0.5 * (metric + metric.T)
            if len(self.others) and np.all(np.linalg.eigvalsh(metric) > 0.0):
                self.metric = metric
        self.better: tuple[Array, float] | None = None

    def fall(self, number: float) -> float:
        """Return how far the profile lies below its top."""
        start = self.best[self.others] + self.along * (number - self.best[self.place])
        rest, value = self._settled(number, np.clip(start, self.low, self.high))
        if value < self.top - 0.02 and (self.better is None or value < self.better[1]):
            self.better = np.insert(rest, self.place, number), value
        return value - self.top

    def _settled(self, number: float, start: Array) -> tuple[Array, float]:
        """Return the best others for a number."""
        from scipy.optimize import minimize

        def cost(rest: Array) -> float:
            inside = np.clip(rest, self.low, self.high)
            return self.cost(np.insert(inside, self.place, number)) + 10.0 * float(
                np.sum((rest - inside) ** 2)
            )

        if not self.others:
            return start, cost(start)
        options = {"gtol": 0.03, "eps": SLOPE, "maxiter": 20}
        if self.metric is not None:
            options["hess_inv0"] = self.metric
        found = minimize(cost, start, method="BFGS", options=options)
        return np.clip(found.x, self.low, self.high), float(found.fun)

    def end(self, side: float) -> float | None:
        """Return where the profile has fallen to its end below (-1) or above (1); None within the bounds.

        The root of the fall is about a straight line, so that a line through two points nearly meets it.
        """
        middle, edge = float(self.best[self.place]), self.edges[0 if side < 0.0 else 1]
        step = NINE_IN_TEN * self.error
        near, low, far, high = middle, 0.0, middle, 0.0
        while high < ROOT:
            if far == edge:
                return None
            near, low = far, high
            far = max(edge, near - step) if side < 0.0 else min(edge, near + step)
            high = sqrt(max(self.fall(far), 0.0))
            if high > low:
                needed = 1.05 * abs(far - near) * (ROOT - high) / (high - low)
                step = min(max(needed, 0.5 * step), 2.0 * step)
        for _ in range(10):
            share = (ROOT - low) / (high - low)
            here = near + min(max(share, 0.02), 0.98) * (far - near)
            root = sqrt(max(self.fall(here), 0.0))
            if abs(root**2 - FALL) < EXACT:
                return float(here)
            near, low, far, high = (here, root, far, high) if root < ROOT else (near, low, here, root)
        return 0.5 * (near + far)


def maximum(log_likelihood: Callable[[Array], float], start: Array) -> tuple[Array, Array, float]:
    """Find the maximum of a log likelihood of working numbers, and the covariance that its curvature gives.

    Parameters
    ----------
    log_likelihood : callable
        Of working numbers.
    start : ndarray, shape (numbers,)
        Where to begin.

    Returns
    -------
    ndarray, shape (numbers,)
        Working numbers at the maximum.
    ndarray, shape (numbers, numbers)
        Their covariance; not a number where the records do not bound a number.
    float
        Log likelihood.
    """

    def cost(numbers: Array) -> float:
        value = log_likelihood(numbers)
        return -value if np.isfinite(value) else FAR

    best, least = _least(cost, np.asarray(start, dtype=float), [(-50.0, 50.0)] * len(start))
    return best, _inverse(_curvature(cost, best, np.full(best.shape, 10.0 * STEP))), -least


def _inverse(curvature: Array) -> Array:
    """Return the covariance; not a number where there is none."""
    try:
        covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.full(curvature.shape, np.nan)
    fine = np.all(np.isfinite(covariance)) and np.all(np.diag(covariance) > 0.0)
    return covariance if fine else np.full(curvature.shape, np.nan)


def _curvature(cost: Cost, at: Array, steps: Array) -> Array:
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


def as_rank(correlation: float) -> float:
    """Return the rank correlation of a normal pair.

    Examples
    --------
    >>> as_rank(1.0), round(as_rank(0.5), 3), as_rank(0.0)
    (1.0, 0.483, 0.0)
    """
    return 6.0 / pi * asin(min(max(correlation, -1.0), 1.0) / 2.0)


def too_few(events: int, what: str, where: str) -> ScenarioError:
    """Return the refusal of records with too few events; `what` they are, in the plural."""
    rule = f"must hold at least {FEWEST} {what} for a figure of its own"
    remedy = "gather more, or add --widen: they then only move the tool's own figure"
    return fault(where, rule, str(events), remedy)


def not_bounded(what: str, where: str) -> ScenarioError:
    """Return the refusal of records that do not bound what they were asked for."""
    rule = f"must bound {what}: these fit as well with one as high, or as low, as can be sought"
    remedy = "gather longer records, or add --widen: they then only move the tool's own figure"
    return fault(where, rule, "", remedy)
