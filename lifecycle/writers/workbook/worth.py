"""Page of present values: each way by category at the years kept, and by year of sale.

Lecture
-------
Every figure is a formula over the moments of the ways (`account`), so that another discount rate, or
other years kept, gives another answer at once. The cost by year of sale is written a second time at a
discount rate of 0: the simple payback is read from that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lifecycle.kinds import CATEGORIES
from lifecycle.language.sentences import say, words
from lifecycle.writers.workbook.account import (
    BALANCE,
    FOUND,
    MONTHS_NAME,
    PRESENT,
    RESIDUAL,
    WAYS,
    YEARS_NAME,
    Account,
    factor_in,
)
from lifecycle.writers.workbook.cells import WHOLE, YEAR, Book, Page, cell

KEPT_ROW = 3
"""Row of the month of the sale."""


@dataclass(frozen=True)
class Worth:
    """Where the figures stand that the measures need.

    Parameters
    ----------
    by_category : dict of str to int
        Row of each category at the years kept, the sale among them.
    residual, total : int
        Rows of the residual value and of the total.
    discounted, undiscounted : tuple of int
        First and last row of the net savings by year of sale, year 1 to the last.
    """

    by_category: dict[str, int]
    residual: int
    total: int
    discounted: tuple[int, int]
    undiscounted: tuple[int, int]


def write_present_values(book: Book, account: Account) -> Worth:
    """Write what each way costs in today's money."""
    page = book.page(PRESENT, [30, 22, 8, *[15] * len(account.ways)])
    page.sentence(0, say("workbook.present.title"), "title")
    page.sentence(1, say("workbook.in_money", currency=account.comparison.scenario.currency), "note")
    _write_month(book, page, account)
    by_category, residual, total = _at_years_kept(page, account, KEPT_ROW + 2)
    costs = _by_year(page, account, total + 3, discounted=True)
    savings = _savings(page, account, costs + account.years + 3, costs, discounted=True)
    plain = _by_year(page, account, savings[1] + 3, discounted=False)
    plain_savings = _savings(page, account, plain + account.years + 3, plain, discounted=False)
    page.freeze(2)
    return Worth(by_category, residual, total, savings, plain_savings)


def _write_month(book: Book, page: Page, account: Account) -> None:
    """Write the month of the sale: the years kept in whole months, not beyond the years shown."""
    page.texts(KEPT_ROW, 0, words("workbook.present.month_of_sale"))
    twelve = f"12*{YEARS_NAME}"
    halves_to_even = f"IF(ABS(MOD({twelve},1)-0.5)<0.000000001,2*ROUND({twelve}/2,0),ROUND({twelve},0))"
    formula = f"MAX(1,MIN({12 * account.years},{halves_to_even}))"
    page.formula(KEPT_ROW, WAYS, formula, account.months_kept, WHOLE)
    book.name(MONTHS_NAME, PRESENT, cell(KEPT_ROW, WAYS, fixed=True))


def _heads(page: Page, row: int, account: Account, heading: str, first: Sequence[str]) -> None:
    """Write a heading, and under it the heads of the columns."""
    page.text(row, 0, heading, "heading")
    page.texts(row + 1, 0, first, "head left")
    page.titles(row + 1, WAYS, account.titles)


def _at_years_kept(page: Page, account: Account, row: int) -> tuple[dict[str, int], int, int]:
    """Write each category at the years kept; return the rows of each, of residual value, of the total."""
    said = words("workbook.present")
    _heads(page, row, account, said["by_category"], said["category"])
    factor = factor_in(MONTHS_NAME)
    names = dict.fromkeys((*account.categories, "sale"))
    rows = {name: row + 2 + place for place, name in enumerate(names)}
    total = row + 2 + len(rows)
    residual = total + 1
    for name, place in rows.items():
        page.texts(place, 0, (CATEGORIES[name].label, name))
        for way, found in enumerate(account.ways):
            if name == "sale":
                formula = f"({_sale_part(account, way, FOUND)}-{_sale_part(account, way, RESIDUAL)})*{factor}"
            else:
                formula = account.sum_to(MONTHS_NAME, account.amounts(way, name))
            if name == "financing":
                formula += f"+{_sale_part(account, way, BALANCE)}*{factor}"
            page.formula(place, WAYS + way, formula, found.by_category[name])
    page.texts(total, 0, said["total"], "total label")
    page.texts(residual, 0, said["residual"])
    worth = (1.0 + account.rate) ** (-account.months_kept / 12.0)
    for way, found in enumerate(account.ways):
        column = WAYS + way
        add = f"SUM({cell(row + 2, column)}:{cell(total - 1, column)})"
        page.formula(total, column, add, found.at_holding, "total")
        left = float(account.payments(way).sale.residual[account.months_kept]) * worth
        page.formula(residual, column, f"{_sale_part(account, way, RESIDUAL)}*{factor}", left)
    return rows, residual, total


def _sale_part(account: Account, way: int, what: int) -> str:
    """Return a formula for what a sale after the years kept brings."""
    return account.in_month(MONTHS_NAME, way, what)


def _by_year(page: Page, account: Account, row: int, *, discounted: bool) -> int:
    """Write the cost of each way by year of sale; return the row of year 0."""
    heading = say("workbook.present.cost" if discounted else "workbook.present.cost_not_discounted")
    _heads(page, row, account, heading, (say("workbook.sold_after"), "", ""))
    start = row + 2
    for year in range(account.years + 1):
        page.number(start + year, 0, year, YEAR)
        month = f"12*$A{start + year + 1}"
        factor = f"*{factor_in(month)}" if discounted else ""
        for way in range(len(account.ways)):
            if year == 0:
                page.number(start, WAYS + way, 0.0)
                continue
            paid = account.sum_to(month, account.amounts(way), discounted=discounted)
            formula = f"{paid}+{account.sale(month, way)}{factor}"
            value = account.cost(way, year, discounted=discounted)
            page.formula(start + year, WAYS + way, formula, value)
    return start


def _savings(page: Page, account: Account, row: int, costs: int, *, discounted: bool) -> tuple[int, int]:
    """Write the net savings by year of sale; return their first and last row, from year 1 on."""
    heading = say("workbook.present.savings" if discounted else "workbook.present.savings_not_discounted")
    columns = (say("workbook.sold_after"), say("workbook.present.net_savings"), "")
    _heads(page, row, account, heading, columns)
    start = row + 2
    savings = [account.savings(way, discounted=discounted) for way in range(len(account.ways))]
    for year in range(1, account.years + 1):
        at = start + year - 1
        page.number(at, 0, year, YEAR)
        for way in range(len(account.ways)):
            base, own = (cell(costs + year, WAYS + place) for place in (account.base, way))
            page.formula(at, WAYS + way, f"{base}-{own}", float(savings[way][year - 1]))
    return start, start + account.years - 1
