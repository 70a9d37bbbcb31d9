"""One input at a time: a scenario at its likely values, undiscounted, and at the ends of each range.

Lecture
-------
Everything that a comparison at likely values needs is one batch of draws of one case::

    draw 0            every input at its likely value
    draw 1            the same at a discount rate of 0 (simple payback)
    draws 2k, 2k + 1  the k-th ranged input (k = 1, 2, ...) at its low and its high end

A *swing* is what the net savings of one way over another are at the two ends, at the years kept, all
other inputs at their likely values. The ends are those that the scenario states; for a normal or
lognormal range one value in ten lies beyond each.

A job that restores the whole age of the seals fixes the calendar (it is due by the age of the
seals). A range that starts from such a job would change the calendar of every draw of the batch; so
its two ends are evaluated by themselves.

Left out: inputs that move together, and how likely the ends are (`studies.doubt`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.quantities import Array, Figure
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario, resolve

Accounts = Mapping[str, Ledger]
"""Accounts by alternative."""

LIKELY, UNDISCOUNTED = 0, 1
"""Draws of the batch that are no swings."""


@dataclass(frozen=True)
class Swing:
    """What one ranged input does to the net savings of one way over another.

    Parameters
    ----------
    figure : Figure
        The input.
    likely, at_low, at_high : float
        Net savings with the input at its likely value, its low and its high end. [money]
    """

    figure: Figure
    likely: float
    at_low: float
    at_high: float

    @property
    def size(self) -> float:
        """Distance between the largest and the smallest of the three. [money]"""
        three = (self.likely, self.at_low, self.at_high)
        return max(three) - min(three)


@dataclass(frozen=True)
class OneAtATime:
    """A scenario evaluated at likely values, undiscounted, and at the ends of each range.

    Parameters
    ----------
    ledgers : dict of str to Ledger
        By alternative; draws `LIKELY` and `UNDISCOUNTED`, then those of the swings.
    ranged : tuple of Figure
        The ranged inputs, in the order of the scenario.
    apart : dict of str to tuple of two dict of str to Ledger
        By path of a ranged input that fixes the calendar: the accounts at its low and its high end,
        one draw each.
    """

    ledgers: Mapping[str, Ledger]
    ranged: tuple[Figure, ...]
    apart: Mapping[str, tuple[Accounts, Accounts]]

    def at_ends(self, read: Callable[[Accounts], Array]) -> dict[str, tuple[float, float]]:
        """Return a result with each ranged input at its low and at its high end.

        Parameters
        ----------
        read : callable
            Takes the accounts by alternative, returns the result by draw, shape (draws,).

        Returns
        -------
        dict of str to (float, float)
            By path, in the order of the scenario. [unit of the result]
        """
        together = iter(read(self.ledgers)[2:].reshape(-1, 2).tolist())
        ends: dict[str, tuple[float, float]] = {}
        for figure in self.ranged:
            if figure.path in self.apart:
                low, high = (float(read(accounts)[0]) for accounts in self.apart[figure.path])
            else:
                low, high = next(together)
            ends[figure.path] = low, high
        return ends

    def swings(self, name: str, than: str) -> tuple[Swing, ...]:
        """Return what the function `swings` returns, of accounts that are there."""

        def saved(accounts: Accounts) -> Array:
            return accounts[than].at_holding - accounts[name].at_holding

        likely, ends = float(saved(self.ledgers)[LIKELY]), self.at_ends(saved)
        all_of_them = [Swing(figure, likely, *ends[figure.path]) for figure in self.ranged]
        return tuple(sorted(all_of_them, key=lambda swing: -swing.size))


def one_at_a_time(scenario: Scenario) -> OneAtATime:
    """Evaluate a scenario at its likely values, undiscounted, and at the ends of each range.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.

    Returns
    -------
    OneAtATime
        From one evaluation (and two more for each job that may or may not be a full reseal).
    """
    ranged = tuple(figure for figure in scenario.inputs.values() if figure.ranged)
    together = [figure for figure in ranged if not is_full_reseal(figure)]
    apart = {figure.path: _at_its_ends(scenario, figure) for figure in ranged if is_full_reseal(figure)}
    return OneAtATime(evaluate(_batch(scenario, together)), ranged, apart)


def is_full_reseal(figure: Figure) -> bool:
    """Whether an input is a full reseal, and so the calendar's business: anything less is due otherwise.

    Parameters
    ----------
    figure : Figure
        The input in question.
    """
    return figure.field.name == "restores" and figure.likely == 1.0


def _batch(scenario: Scenario, ranged: list[Figure]) -> Case:
    """Return the case of the batch."""
    draws = 2 + 2 * len(ranged)
    values: dict[str, Array] = {}
    for k, figure in enumerate(ranged):
        values[figure.path] = np.full(draws, figure.likely)
        values[figure.path][2 + 2 * k : 4 + 2 * k] = figure.low, figure.high
    case = resolve(scenario, values)
    rate = np.broadcast_to(np.asarray(case.terms.discount_rate, dtype=float), (draws,)).copy()
    rate[UNDISCOUNTED] = 0.0
    return replace(case, terms=replace(case.terms, discount_rate=rate))


def _at_its_ends(scenario: Scenario, figure: Figure) -> tuple[Accounts, Accounts]:
    """Return the accounts with one input at its low and at its high end, evaluated by itself."""
    low, high = (evaluate(resolve(scenario, {figure.path: end})) for end in (figure.low, figure.high))
    return low, high


def swings(scenario: Scenario, name: str, than: str) -> tuple[Swing, ...]:
    """Return how each ranged input moves the net savings of one way over another.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    name, than : str
        The way, and the way that it is compared with.

    Returns
    -------
    tuple of Swing
        The largest first; equal ones in the order of the scenario.
    """
    return one_at_a_time(scenario).swings(name, than)
