"""How sure is this? The comparison for a thousand sets of inputs that could all be true.

Lecture
-------
Nobody knows the inputs. Each *future* is one draw of all ranged inputs, weighed by what is known of the
roof (`futures`); the exact expectation is evaluated for each, all alternatives on the same draws. So what
is said here is about what nobody knows for sure, not about luck: a coach that happens to leak is the
simulation's business.

All chances stand at the likely holding period; curves run over every year of sale.

Left out: doubt about the form of the model itself.
Source: the model's own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from lifecycle.data import frame_words
from lifecycle.economics import break_even_year
from lifecycle.evaluation.comparison import Comparison
from lifecycle.kinds import CATEGORIES
from lifecycle.quantities import Array, Frame, Framed, in_rows
from lifecycle.scenario import Scenario, years_kept
from lifecycle.studies import decision
from lifecycle.studies.futures import (
    DRAWS,
    SEED,
    Evaluator,
    Futures,
    Progress,
    futures,
    in_draws,
)

HOLDING = "owner.holding_period"
"""Path of the years kept."""


@dataclass(frozen=True)
class Band:
    """Mean and percentiles over the futures, each of shape (...) like one value. [unit of the value]"""

    mean: Array
    p10: Array
    p50: Array
    p90: Array


@dataclass(frozen=True)
class Doubt(Framed):
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
    parts : mapping of str to mapping of str to ndarray, shape (draws,)
        What `at_years` is made of, by way and category of cost, upkeep as one. [money]
    first_changes : mapping of str to ndarray, shape (draws,)
        What the price of each way's change comes to in today's money, whenever it is paid. [money]
    closer : dict of (str, str) to (float, float)
        Pairs whose chance was taken from more draws, as it lay near a limit (`verdict.settled`): the
        chance that the first is cheaper at the likely years, and the effective number of draws. [-]
    currency : str
        Unit of all money.
    """

    futures: Futures
    names: tuple[str, ...]
    base_case: str
    years: float
    costs: Mapping[str, Array]
    at_years: Array
    own_years: Array
    parts: Mapping[str, Mapping[str, Array]] = field(default_factory=dict)
    first_changes: Mapping[str, Array] = field(default_factory=dict)
    closer: Mapping[tuple[str, str], tuple[float, float]] = field(default_factory=dict)
    currency: str = "money"

    def __repr__(self) -> str:
        """Name the ways with their mean costs and bands, a line each."""
        said = frame_words("doubt")
        lines = [said("named", futures=f"{self.futures.weights.size:,}", years=f"{self.years:g}")]
        for name in self.names:
            band = self.band(self.cost(name))
            mean, low, high = (f"{point:,.0f}" for point in (band.mean, band.p10, band.p90))
            lines.append(said("way", way=name, mean=mean, low=low, high=high))
        return "\n".join(lines)

    def to_frame(self) -> Frame:
        """Return the ways as rows: cost over the futures at the likely years kept.

        Returns
        -------
        pandas.DataFrame
            By name of the way: mean, 10, 50 and 90 % points of the net-present cost [money], mean net savings
            over the base case [money], and the chance of being cheaper than it [-].
        """
        rows, said = {}, frame_words("doubt", money=self.currency)
        for name in self.names:
            band, other = self.band(self.cost(name)), name != self.base_case
            points = {point: float(getattr(band, point)) for point in ("mean", "p10", "p50", "p90")}
            rows[name] = {
                **{said("cost", point=point): value for point, value in points.items()},
                said("savings"): float(self.futures.weights @ self.net_savings(name)),
                said("cheaper"): self.chance_cheaper(name) if other else None,
            }
        return in_rows(rows)

    @property
    def any_doubt(self) -> bool:
        """Whether any input is a range."""
        return bool(self.futures.sample.values)

    def cost(self, name: str) -> Array:
        """Net-present cost of one way at the likely holding period, shape (draws,). [money]"""
        return self.at_years[:, self.names.index(name)]

    def net_savings(self, name: str, than: str | None = None) -> Array:
        """Return how much cheaper than another way (the base case) at the likely years, (draws,). [money]"""
        return self.cost(than or self.base_case) - self.cost(name)

    def break_even_years(self, name: str) -> Array:
        """Return the year of sale from which a way is no dearer than the base case, by future.

        Returns
        -------
        ndarray, shape (draws,)
            Whole years; infinite where it is dearer in the last year shown. [years]
        """
        savings = self.costs[self.base_case] - self.costs[name]
        found = (break_even_year(one).value for one in savings)
        return np.array([np.inf if year is None else year for year in found])

    def by_category(self) -> dict[str, dict[str, float]]:
        """Return the mean cost of every way by category at the likely years kept, upkeep as one. [money]"""
        if not all(self.parts.values()):
            raise ValueError("it was evaluated without categories")
        means = {
            name: {category: float(cost @ self.futures.weights) for category, cost in parts.items()}
            for name, parts in self.parts.items()
        }
        return {name: dict.fromkeys(CATEGORIES, 0.0) | mean for name, mean in means.items()}

    def price_of_first_change(self, name: str) -> float:
        """Return what the price of a way's change comes to on average, whenever it is paid. [money]"""
        return float(self.first_changes[name] @ self.futures.weights)

    def band(self, values: Array) -> Band:
        """Mean and 10, 50, 90 % points of values whose first axis is the futures."""
        return band(values, self.futures.weights)

    def chance_cheaper(self, name: str, than: str | None = None, year: int | None = None) -> float:
        """Chance that a way is cheaper than another (the base case), at a year of sale."""
        other = than or self.base_case
        if year is None or year == self.years:
            if (name, other) in self.closer:
                return self.closer[name, other][0]
            if (other, name) in self.closer:
                return 1.0 - self.closer[other, name][0]
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


def whole_years(years: float) -> int:
    """Return the last whole year that a coach is kept, at least 1. [years]"""
    return max(1, int(years + 1e-9))


def band(values: Array, weights: Array) -> Band:
    """Mean and percentiles of values by future, shape (draws, ...), with weights that add up to 1.

    A percentile is the value at which the running weight, taken at the middle of each future's own, reaches
    it, on a straight line between two futures.
    """
    flat = values.reshape(values.shape[0], -1)
    points = np.empty((3, flat.shape[1]))
    for column in range(flat.shape[1]):
        order = np.argsort(flat[:, column], kind="stable")
        running = np.cumsum(weights[order]) - 0.5 * weights[order]
        points[:, column] = np.interp((0.1, 0.5, 0.9), running, flat[order, column])
    p10, p50, p90 = points.reshape(3, *values.shape[1:])
    return Band(np.tensordot(weights, values, axes=1), p10, p50, p90)


def doubt(scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED) -> Doubt:
    """Evaluate a scenario under doubt: what every way costs in many futures that may all be true.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    draws : int
        Number of futures, at least 16; a power of 2 is the most even. More of them narrow the chances.
    seed : int
        Of the points, a whole number from 0: the same seed gives the same futures.

    Returns
    -------
    Doubt
        ``costs`` by way, future and year of sale [money]; ``to_frame()`` with means, bands and chances;
        ``cost(name)``, ``chance_cheaper(name, than, year)``, ``break_even_years(name)``, ``band(values)``.

    Raises
    ------
    ScenarioError
        If draws or seed are none, or no draw explains what was seen of the roof.

    Notes
    -----
    Ranged figures are drawn together (scrambled Sobol points, shapes and rank correlations as stated), and
    each future is weighed by how likely it makes the history of the roof: looks that found nothing, leaks
    that were found. Within a future costs are exact means: the luck of one coach is not in them.

    Examples
    --------
    >>> import lifecycle
    >>> found = doubt(lifecycle.load("scenarios/worked-example-3.toml"), draws=64)
    >>> sorted(found.names) == sorted(found.costs), found.costs[found.base_case].shape[0]
    (True, 64)
    """
    drawn = futures(scenario, draws=draws, seed=seed)
    return under(scenario, drawn)


def under(
    scenario: Scenario,
    drawn: Futures,
    *,
    until: int | None = None,
    ways: Collection[str] | None = None,
    ahead: int = 0,
    evaluator: Evaluator | None = None,
    progress: Progress | None = None,
) -> Doubt:
    """Evaluate a scenario in given futures (of this scenario, or of one with the same inputs).

    Parameters
    ----------
    until : int or None
        Last year of sale that is wanted, if not the whole study period: curves end there, and every
        future keeps the coach for the likely years. Not below the likely years. [years]
    ways : collection of str or None
        Names of the ways that are wanted, the base case among them; None: all.
    ahead, progress
        As for `Evaluator.costs`. [years]
    evaluator : Evaluator or None
        May have some of the ways already.
    """
    case = in_draws(scenario, drawn)
    if ways is not None:
        case = case.only(ways)
    years = years_kept(scenario)
    likely = replace(case, terms=replace(case.terms, holding_period=years))
    if until is not None:
        case = likely = replace(likely, terms=replace(likely.terms, study_period=until))
    work = evaluator or Evaluator()
    names, draws = tuple(way.name for way in case.alternatives), drawn.weights.size
    costs = work.costs(case, draws, ahead=ahead, progress=progress)
    own_years = at_years = np.stack([costs[name].at_holding for name in names], axis=1)
    if np.ndim(case.terms.holding_period):
        costs = work.costs(likely, draws, ahead=ahead, progress=progress)
        at_years = np.stack([costs[name].at_holding for name in names], axis=1)
    return Doubt(
        drawn,
        names,
        case.base_case.name,
        years,
        {name: costs[name].by_year for name in names},
        at_years,
        own_years,
        {name: costs[name].by_category for name in names},
        {way.name: way.quote * costs[way.name].first_change for way in case.alternatives},
        currency=scenario.currency,
    )


def averaged(comparison: Comparison, found: Doubt) -> Comparison:
    """Return a comparison whose costs are the means over the futures, as the verdict has them: for charts.

    Costs by year of sale, at the years kept and by category, net savings and break-even year are means, or
    follow from them; all else stays at likely values. Ways that the doubt leaves out are left out here. With
    trouble, or without any range, it stays as it is.
    """
    if not comparison.ways or not found.futures.sample.values:
        return comparison
    weights, parts = found.futures.weights, found.by_category()
    there = {name: way for name, way in comparison.ways.items() if name in found.costs}
    curves = {name: weights @ found.costs[name] for name in there}
    sold = {name: float(weights @ found.cost(name)) for name in there}
    base, ways = comparison.base_case, {}
    for name, way in there.items():
        saved, measures = curves[base] - curves[name], way.measures
        if measures is not None:
            pays = break_even_year(saved)
            measures = replace(
                measures, net_savings=saved, at_holding=sold[base] - sold[name], break_even_year=pays
            )
        ways[name] = replace(
            way,
            net_present_cost=curves[name],
            at_holding=sold[name],
            by_category=parts[name],
            measures=measures,
        )
    shown = curves[base].size - 1
    return replace(comparison, ways=ways, study_period=shown, futures=weights.size)
