"""The account behind the formulas: where each amount of each way stands in the workbook.

Lecture
-------
Every way has a page of its own with its *moments*: a row for each month before a sale in it, and one
after it, with what is paid by category. All these pages have the same rows as the page of discount
factors. So a sum over moments multiplies ranges of one height, and a formula names them::

    counts_from       first month of sale that counts the row
    paid_month        month in which it is paid
    discount_factor   its worth today

To the right stands what a sale in the month brings; only the row before the sale of a month has it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import discount_factor
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.sentences import say, words
from lifecycle.studies.cash_flow import PAID, CashFlow, Payments, cash_flow
from lifecycle.writers.workbook.cells import span

Array = NDArray[np.float64]

READ_ME, ASSUMPTIONS, CASH_FLOW, PRESENT, MEASURES, DOUBT, DISCOUNTING = (
    words("workbook.pages")[page]
    for page in ("read_me", "assumptions", "cash_flow", "present", "measures", "doubt", "discounting")
)
"""Pages, besides one for each way."""

RATE_NAME, YEARS_NAME, MONTHS_NAME = "discount_rate", "years_kept", "months_kept"
COUNTS_NAME, PAID_NAME, FACTOR_NAME = "counts_from", "paid_month", "discount_factor"
"""Names of cells and ranges."""

FIRST = 4
"""Row of the first moment, on the pages of the ways and of the discount factors."""

AMOUNTS = 2
"""Column of the first category on the page of a way."""

FOUND, RESIDUAL, BALANCE, CHANGES = range(4)
"""Columns after the categories, in order, with one left empty between."""

WAYS = 3
"""Column of the first way on the pages that compare ways."""


@dataclass(frozen=True)
class Account:
    """What the pages of the workbook are written from.

    Parameters
    ----------
    comparison : Comparison
        At likely values, without trouble.
    flow : CashFlow
        What every way pays, and when.
    categories : tuple of str
        Categories in which any way pays anything; the sale is apart.
    """

    comparison: Comparison
    flow: CashFlow
    categories: tuple[str, ...]

    @property
    def ways(self) -> tuple[Way, ...]:
        """The ways, in the order of the scenario."""
        return tuple(self.comparison.ways.values())

    @property
    def titles(self) -> tuple[str, ...]:
        """Number and title of each way, as they stand at the heads of columns."""
        return tuple(f"{number}: {way.title}" for number, way in enumerate(self.ways, start=1))

    @property
    def base(self) -> int:
        """Place of what the owner would do otherwise among the ways."""
        return list(self.comparison.ways).index(self.comparison.base_case)

    @property
    def rate(self) -> float:
        """Real discount rate. [1/year]"""
        return float(self.comparison.case.terms.discount_rate)

    @property
    def years(self) -> int:
        """Years shown. [years]"""
        return self.comparison.study_period

    @property
    def months_kept(self) -> int:
        """Month of the sale at the years kept. [months]"""
        return round(12.0 * self.comparison.holding_period)

    @property
    def last(self) -> int:
        """Row of the last moment."""
        return FIRST + self.flow.paid.size - 1

    @property
    def factors(self) -> Array:
        """Discount factor of each moment, shape (moments,). [-]"""
        return np.asarray(discount_factor(self.flow.paid, discount_rate=self.rate))

    def payments(self, way: int) -> Payments:
        """Return what a way pays."""
        return self.flow.ways[self.ways[way].name]

    def total(self, way: int) -> Array:
        """All that a way pays at each moment, shape (moments,). [money]"""
        amounts = self.payments(way).amounts
        return np.asarray(np.sum([amounts[category] for category in self.categories], axis=0))

    def at_sale(self, way: int) -> Array:
        """Return what a sale in each month costs, net, not discounted, shape (months + 1,). [money]"""
        sale = self.payments(way).sale
        return sale.found - sale.residual + sale.balance

    def cost(self, way: int, year: int, *, discounted: bool = True) -> float:
        """Return what a way costs by a year of sale, in today's money or not discounted. [money]"""
        if discounted:
            return float(self.ways[way].net_present_cost[year])
        counted = self.flow.counts_from <= 12 * year
        return float(self.total(way)[counted].sum() + self.at_sale(way)[12 * year])

    def savings(self, way: int, *, discounted: bool = True) -> Array:
        """Return the net savings of a way by year of sale 1 ... n, shape (years,). [money]"""
        costs = [
            [self.cost(place, year, discounted=discounted) for year in range(1, self.years + 1)]
            for place in (self.base, way)
        ]
        return np.asarray(np.subtract(np.array(costs[0]), np.array(costs[1])))

    def amounts(self, way: int, category: str | None = None) -> str:
        """Address of a category of a way, or of all of them."""
        if category is None:
            first, last = AMOUNTS, AMOUNTS + len(self.categories) - 1
        else:
            first = last = AMOUNTS + self.categories.index(category)
        return span((FIRST, first), (self.last, last), page=way_page(way))

    def right(self, way: int, what: int) -> str:
        """Address of one of the columns after the categories."""
        column = self.right_column(what)
        return span((FIRST, column), (self.last, column), page=way_page(way))

    def right_column(self, what: int) -> int:
        """Column of one of those after the categories."""
        return AMOUNTS + len(self.categories) + 1 + what

    def sum_to(self, month: str, ranges: str, *, discounted: bool = True) -> str:
        """Return a formula that adds amounts of moments up to a sale in a month."""
        factor = f"*{FACTOR_NAME}" if discounted else ""
        return f"SUMPRODUCT(({COUNTS_NAME}<={month})*{ranges}{factor})"

    def in_month(self, month: str, way: int, what: int) -> str:
        """Return a formula that looks up what a sale in a month brings."""
        return f"SUMIFS({self.right(way, what)},{PAID_NAME},{month},{COUNTS_NAME},{month})"

    def sale(self, month: str, way: int) -> str:
        """Return a formula for what a sale in a month costs, net, not discounted."""
        found, residual, balance = (self.in_month(month, way, what) for what in (FOUND, RESIDUAL, BALANCE))
        return f"({found}-{residual}+{balance})"


def account_of(comparison: Comparison) -> Account:
    """Return what the pages of the workbook are written from."""
    flow = cash_flow(comparison.case)
    used = tuple(
        category for category in PAID if any(np.any(way.amounts[category]) for way in flow.ways.values())
    )
    return Account(comparison, flow, used or PAID[:1])


def factor_in(month: str) -> str:
    """Return a formula for the discount factor of a month."""
    return f"(1+{RATE_NAME})^(-{month}/12)"


def way_page(way: int) -> str:
    """Return the name of the page of a way."""
    return say("workbook.way.name", number=way + 1)
