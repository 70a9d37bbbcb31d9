"""How sure is this? The comparison for a thousand sets of inputs that could all be true.

Lecture
-------
Nobody knows the inputs. Each *future* is one draw of all ranged inputs (`sampling`); the exact
expectation is evaluated for each, all alternatives on the same draws. So what is said here is about
what nobody knows for sure, not about luck: a coach that happens to leak is the simulation's business.

*History weighs the futures*: each by the probability that the existing roof, with that future's
inputs, stands today, times, if it is known how many leaks were found on it so far, the Poisson
probability of that number, whose mean is the expected number *found* by a roof that stands. With
weights w that add up to 1 the effective number of draws is ``1 / sum w^2``.

*Prices move together* (rank correlation 0.7: new roofs, visits, patches, rot, and a quote unless the
seller stated it) and so do *lives* (0.5); the scenario may say otherwise for any pair: what we hold
together gives way to it.

All chances stand at the likely holding period; curves run over every year of sale.

Left out: doubt about the form of the model itself.
Source: the model's own; weights by likelihood are importance sampling, textbook.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import fault
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.history import log_likelihood
from lifecycle.evaluation.ledger import Ledger
from lifecycle.quantities import Figure
from lifecycle.roofs import Case, take
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies import decision
from lifecycle.studies.sampling import Contradiction, Sample, give_way, sample

Array = NDArray[np.float64]
Found = TypeVar("Found")

DRAWS, SEED = 1024, 1
"""Default number of draws and seed on every face."""

PRICES_TOGETHER, LIVES_TOGETHER = 0.7, 0.5
"""Rank correlations of prices with each other, of lives with each other. [-]"""

_ROUND = 16384
"""Futures that are evaluated together."""

_PRICES = ("renew_cost", "cost", "patch_cost", "rot_cost", "quote")
_LIVES = ("life_scale", "life_mean")


class NoFuture(ValueError):
    """No draw can explain the history of the roof."""


@dataclass(frozen=True)
class Futures:
    """Draws of a scenario's inputs, with their weights.

    Parameters
    ----------
    sample : Sample
        Values and scores by input.
    weights : ndarray, shape (draws,)
        By the history of the existing roof; add up to 1. [-]
    """

    sample: Sample
    weights: Array

    @property
    def effective(self) -> float:
        """Effective number of draws."""
        return float(1.0 / np.sum(self.weights**2))


@dataclass(frozen=True)
class Band:
    """Mean and percentiles over the futures, each of shape (...) like one value. [unit of the value]"""

    mean: Array
    p10: Array
    p50: Array
    p90: Array


@dataclass(frozen=True)
class Doubt:
    """A scenario under doubt.

    Parameters
    ----------
    futures : Futures
        The draws.
    names : tuple of str
        Ways, in the order of the case.
    base_case : str
        The way that the owner would take otherwise.
    years : float
        Likely holding period. [years]
    costs : dict of str to ndarray, shape (draws, years + 1)
        Net-present cost by way, future and year of sale. [money]
    at_years : ndarray, shape (draws, ways)
        Net-present cost at the likely holding period. [money]
    own_years : ndarray, shape (draws, ways)
        Net-present cost at the holding period of each future; the same array as `at_years` where
        every future keeps the coach for the likely years. [money]
    """

    futures: Futures
    names: tuple[str, ...]
    base_case: str
    years: float
    costs: Mapping[str, Array]
    at_years: Array
    own_years: Array

    def cost(self, name: str) -> Array:
        """Net-present cost of one way at the likely holding period, shape (draws,). [money]"""
        return self.at_years[:, self.names.index(name)]

    def net_savings(self, name: str, than: str | None = None) -> Array:
        """Return how much cheaper than another way (the base case) at the likely years, (draws,). [money]"""
        return self.cost(than or self.base_case) - self.cost(name)

    def band(self, values: Array) -> Band:
        """Mean and 10, 50, 90 % points of values whose first axis is the futures."""
        return band(values, self.futures.weights)

    def chance_cheaper(self, name: str, than: str | None = None, year: int | None = None) -> float:
        """Chance that a way is cheaper than another (the base case), at a year of sale."""
        other = than or self.base_case
        if year is None:
            return decision.chance_cheaper(self.cost(name), self.cost(other), self.futures.weights)
        pair = self.costs[name][:, year], self.costs[other][:, year]
        return decision.chance_cheaper(*pair, self.futures.weights)


def of_20(chance: float) -> int:
    """Return a chance as so many of 20: floor(20 p + 0.5).

    Examples
    --------
    >>> of_20(0.5), of_20(0.024), of_20(0.026)
    (10, 0, 1)
    """
    return int(np.floor(20.0 * chance + 0.5))


def band(values: Array, weights: Array) -> Band:
    """Mean and percentiles of weighted values.

    Parameters
    ----------
    values : ndarray, shape (draws, ...)
        Values by future.
    weights : ndarray, shape (draws,)
        Adding up to 1. [-]

    Returns
    -------
    Band
        Arrays of shape (...). A percentile is the value at which the running weight, taken at the
        middle of each future's own, reaches it, on a straight line between two futures.
    """
    flat = values.reshape(values.shape[0], -1)
    points = np.empty((3, flat.shape[1]))
    for column in range(flat.shape[1]):
        order = np.argsort(flat[:, column], kind="stable")
        running = np.cumsum(weights[order]) - 0.5 * weights[order]
        points[:, column] = np.interp((0.1, 0.5, 0.9), running, flat[order, column])
    p10, p50, p90 = points.reshape(3, *values.shape[1:])
    return Band(np.tensordot(weights, values, axes=1), p10, p50, p90)


def futures(
    scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED, alike: Scenario | None = None
) -> Futures:
    """Draw the inputs of a scenario and weigh the draws by the history of its roof.

    Parameters
    ----------
    scenario : Scenario
        With at least one range; without any, all futures are alike.
    draws, seed : int
        Number of draws; seed of their points.
    alike : Scenario or None
        Another scenario with the same draws for the inputs that both have, so that what is said of the
        two agrees; it has no range that the first one lacks.

    Returns
    -------
    Futures

    Raises
    ------
    NoFuture
        If no draw can explain the history.
    ValueError
        If there are too few draws, or the correlations contradict each other.
    """
    first = [path for path in (alike.inputs if alike else ()) if path in scenario.inputs]
    figures = [scenario.inputs[path] for path in dict.fromkeys([*first, *scenario.inputs])]
    alone = sum(scenario.inputs[path].ranged for path in first) if alike else None
    pairs = correlations(scenario)
    return weighed(scenario, sample(figures, draws=draws, seed=seed, correlations=pairs, alone=alone))


def weighed(scenario: Scenario, drawn: Sample) -> Futures:
    """Weigh draws by the history of a scenario's roof.

    Parameters
    ----------
    scenario : Scenario
        With the inputs that were drawn.
    drawn : Sample
        Of its inputs.

    Returns
    -------
    Futures

    Raises
    ------
    NoFuture
        If no draw can explain the history.
    """
    return Futures(drawn, _weights(resolve(scenario, drawn.values), drawn.draws))


def _weights(case: Case, draws: int) -> Array:
    """Return the weight of each future by the history of the existing roof."""
    log_weight = log_likelihood(case, draws)
    highest = float(np.max(log_weight))
    if not np.isfinite(highest):
        raise NoFuture(
            "existing: no draw of the inputs can explain this roof's history (its age, and the leaks found "
            "so far); check existing.age and existing.leaks_found, or widen the ranges of life and leaks"
        )
    weight = np.exp(log_weight - highest)
    return np.asarray(weight / weight.sum())


def correlations(scenario: Scenario) -> dict[tuple[str, str], float]:
    """Return the rank correlation of each pair of inputs that move together. [-]

    Parameters
    ----------
    scenario : Scenario
        Its ``[[correlations]]`` replace the tool's own for the pairs they name; the tool's own for the
        inputs that they name give way, if not all can hold (`sampling.give_way`).

    Returns
    -------
    dict of (str, str) to float
    """
    ranged = [figure for figure in scenario.inputs.values() if figure.ranged]
    prices = [figure.path for figure in ranged if _is_price(figure)]
    lives = [figure.path for figure in ranged if figure.field.name in _LIVES]
    pairs = {pair: PRICES_TOGETHER for pair in itertools.combinations(prices, 2)}
    pairs |= {pair: LIVES_TOGETHER for pair in itertools.combinations(lives, 2)}
    said = scenario.sections.get("correlations", ())
    return give_way(pairs, {(stated["a"], stated["b"]): stated["rank"].likely for stated in said})


def _is_price(figure: Figure) -> bool:
    """Whether an input is a price that moves with the others; the seller's own quote does not."""
    if figure.field.name == "quote":
        return figure.basis != "offer"
    return figure.field.name in _PRICES


def doubt(scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED) -> Doubt:
    """Evaluate a scenario under doubt.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    draws, seed : int
        Number of draws; seed of their points.

    Returns
    -------
    Doubt
    """
    drawn = futures(scenario, draws=draws, seed=seed)
    return under(scenario, drawn)


def under(scenario: Scenario, drawn: Futures, *, until: int | None = None) -> Doubt:
    """Evaluate a scenario in given futures (of this scenario, or of one with the same inputs).

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    drawn : Futures
        Draws of its inputs.
    until : int or None
        Last year of sale that is wanted, if not the whole study period: curves end there, and every
        future keeps the coach for the likely years. Not below the likely years. [years]

    Returns
    -------
    Doubt
        Evaluated some thousand futures at a time: memory beyond the result does not grow.
    """
    values = {path: value for path, value in drawn.sample.values.items() if path in scenario.inputs}
    case = resolve(scenario, values)
    years = float(np.asarray(resolve(scenario).terms.holding_period))
    if until is not None:
        case = replace(case, terms=replace(case.terms, study_period=until, holding_period=years))
    names, draws = tuple(way.name for way in case.alternatives), drawn.weights.size
    costs = {name: np.empty((draws, case.terms.study_period + 1)) for name in names}
    at_years, own_years = np.empty((draws, len(names))), np.empty((draws, len(names)))
    for start in range(0, draws, _ROUND):
        some = slice(start, min(start + _ROUND, draws))
        part = take(case, some)
        ledgers = evaluate(part, totals_only=True)
        for place, (name, ledger) in enumerate(ledgers.items()):
            costs[name][some] = ledger.net_present_cost
            own_years[some, place] = ledger.at_holding
        at_years[some] = _at(part, ledgers, years)
    if not np.ndim(case.terms.holding_period):
        own_years = at_years
    return Doubt(drawn, names, case.base_case.name, years, costs, at_years, own_years)


def _at(case: Case, ledgers: Mapping[str, Ledger], years: float) -> Array:
    """Return the costs at the likely holding period, shape (draws, ways)."""
    if np.ndim(case.terms.holding_period):
        if years == round(years):
            return np.stack([ledger.net_present_cost[:, round(years)] for ledger in ledgers.values()], axis=1)
        likely = replace(case, terms=replace(case.terms, holding_period=years))
        ledgers = evaluate(likely, totals_only=True)
    return np.stack([ledger.at_holding for ledger in ledgers.values()], axis=1)


def in_futures(work: Callable[[], Found]) -> Found:
    """Do work in futures of a scenario; a scenario that allows none is a user's mistake.

    Raises
    ------
    ScenarioError
        If correlations contradict each other, or no draw can explain the history.
    """
    try:
        return work()
    except Contradiction as error:
        raise fault("[[correlations]]", "must be possible together", "", str(error)) from None
    except NoFuture as error:
        raise fault("existing", "must have a history that can be", "", str(error)) from None
