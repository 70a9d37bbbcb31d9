"""The simulation: lives of coaches drawn by chance, each with its own account.

Lecture
-------
`simulate` draws lives under each alternative: the roof that stands, then roof after roof of the
kind that follows, one round for each renewal (`lives`), and writes what each life costs
(`life_account`). It is the second evaluation of the one model: its means agree with the
expectation's within their standard errors. The means are not what it is for, since the expectation
has them exactly and sooner; it gives what means hide: *luck*. Leaks come or do not, so one coach
may cost half of another with the same roof, the same owner and the same prices.

With n lives, a mean has the standard error ``s / sqrt(n)``, s the spread of one life's amounts.

The chance of each alternative comes from the seed and the alternative's name. So the same seed
gives the same lives whatever the order of the alternatives, more lives go on from fewer, and two
alternatives never share their luck: what a leak of one roof would have been on another, nothing
tells. Hence never take the difference of two alternatives life by life.

Left out: doubt about the inputs. Each is one plain number here; the doubt is evaluated by the
expectation, draw by draw, and never mixed unnamed with luck.

Source: simulation of renewal-reward processes, textbook.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import financing_cost, nominal_rate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.evaluation.life_account import LifeAccount, Prices, Upkeep, prices_of, upkeep_of
from lifecycle.evaluation.lives import Course, course_of, live
from lifecycle.evaluation.past import Today, today
from lifecycle.evaluation.timeline import Start, first_due
from lifecycle.roofs import CATEGORIES, Alternative, Case, draws_of

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Years = NDArray[np.int16]

_LIVES_AT_A_TIME = 8192
"""Lives in a round; measured. Changing it changes every simulated figure within its standard error."""


@dataclass(frozen=True)
class Lives:
    """Simulated lives under one alternative.

    Parameters
    ----------
    net_present_cost : ndarray, shape (lives, years + 1)
        By year of sale 0 ... study period. [money]
    at_holding : ndarray, shape (lives,)
        Net-present cost at the holding period. [money]
    by_category : dict of str to ndarray, shape (lives,)
        Present value to the holding period; upkeep under ``"upkeep: NAME"``. [money]
    counts : dict of str to ndarray, shape (lives,)
        Counts to the holding period, not discounted.
    largest_bill : ndarray, shape (lives, years + 1)
        Most that leak damage and an unplanned renewal cost in one month, by year of sale; in real
        money of that month, before warranty and insurance. [money]
    first_change : ndarray, shape (lives, years + 1)
        Discount factor of the first change if a sale in the year comes after it, else 0. [-]
    first_change_at_holding : ndarray, shape (lives,)
        The same at the holding period. [-]
    residual_at_holding : ndarray, shape (lives,)
        Present value of the residual value at the holding period. [money]
    new_roof, severe_find, leak_found : ndarray of int, shape (lives,)
        First year of sale that comes after an unplanned new roof, a find with a severe leak in it,
        a leak found or uncovered; years + 1: none. [years]
    seed : int
        Seed of all alternatives.
    """

    net_present_cost: Single
    at_holding: Array
    by_category: Mapping[str, Array]
    counts: Mapping[str, Array]
    largest_bill: Single
    first_change: Single
    first_change_at_holding: Array
    residual_at_holding: Array
    new_roof: Years
    severe_find: Years
    leak_found: Years
    seed: int

    @property
    def number(self) -> int:
        """Number of lives."""
        return self.at_holding.size

    def mean(self) -> Ledger:
        """Return the means over all lives, in the form of the expectation's account with one draw."""
        return self._ledger(_mean)

    def standard_error(self) -> Ledger:
        """Return the standard errors of the means, in the same form."""
        return self._ledger(_standard_error)

    def percentile(self, percent: float) -> Array:
        """Net-present cost that so many of a hundred lives do not exceed, by year of sale.

        Parameters
        ----------
        percent : float
            0 ... 100. [%]

        Returns
        -------
        ndarray, shape (years + 1,)
            Net-present cost. [money]
        """
        return np.asarray(np.percentile(self.net_present_cost, percent, axis=0), dtype=float)

    def chance_of_bill_above(self, amount: float) -> Array:
        """Chance that one month's bill is above an amount, by year of sale.

        Parameters
        ----------
        amount : float
            Leak damage and unplanned renewal of one month. [money]

        Returns
        -------
        ndarray, shape (years + 1,)
            Probability. [-]
        """
        return np.asarray(np.mean(self.largest_bill > amount, axis=0))

    def chance_of_new_roof(self) -> Array:
        """Chance of an unplanned new roof by year of sale, shape (years + 1,)."""
        return self._by_year(self.new_roof)

    def chance_of_severe_find(self) -> Array:
        """Chance of a find with a severe leak in it by year of sale, shape (years + 1,)."""
        return self._by_year(self.severe_find)

    def chance_of_leak(self) -> Array:
        """Chance that a leak is found or uncovered by year of sale, shape (years + 1,)."""
        return self._by_year(self.leak_found)

    def _by_year(self, first: Years) -> Array:
        """Share of lives to which something has happened, by year of sale."""
        columns = self.net_present_cost.shape[1]
        return np.cumsum(np.bincount(first, minlength=columns + 1)[:columns]) / self.number

    def _ledger(self, summary: _Summary) -> Ledger:
        """Sum every column of the lives up to one row."""
        renewed = (self.new_roof[:, None] <= np.arange(self.net_present_cost.shape[1])).astype(np.float32)
        return Ledger(
            net_present_cost=summary(self.net_present_cost),
            at_holding=summary(self.at_holding),
            by_category={name: summary(values) for name, values in self.by_category.items()},
            expected={name: summary(values) for name, values in self.counts.items()},
            chance_renewed=summary(renewed),
            first_change=summary(self.first_change),
            first_change_at_holding=summary(self.first_change_at_holding),
            residual_at_holding=summary(self.residual_at_holding),
        )
