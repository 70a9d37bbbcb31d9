"""Pages of what is paid, and when: by year and category, the discount factors, and each way by month.

Lecture
-------
The pages of the ways are figures of the model: expected amounts in real money, not discounted. All
else is sums of them. *Today* is the moment after a sale in month 0; year N is what a sale after N
years counts and one after N - 1 years does not, today left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lifecycle.kinds import CATEGORIES
from lifecycle.language.sentences import say, words
from lifecycle.writers.workbook.account import (
    AMOUNTS,
    BALANCE,
    CASH_FLOW,
    CHANGES,
    COUNTS_NAME,
    DISCOUNTING,
    FACTOR_NAME,
    FIRST,
    FOUND,
    PAID_NAME,
    RATE_NAME,
    RESIDUAL,
    Account,
    way_page,
)
from lifecycle.writers.workbook.cells import FACTOR, LINE_OF_PAGE, MONEY, WHOLE, YEAR, Book, Page, cell, span

RIGHT = {FOUND: "found", RESIDUAL: "residual", BALANCE: "balance", CHANGES: "changes"}
"""Names of the heads of the columns after the categories."""


def write_cash_flow(book: Book, account: Account) -> None:
    """Write what each way pays in each year, by category."""
    wide = len(account.categories) + 2
    page = book.page(CASH_FLOW, [9, *[13] * (wide - 1)])
    page.sentence(0, say("workbook.cash_flow.title"), "title")
    currency = account.comparison.scenario.currency
    page.sentence(1, say("workbook.cash_flow.note", currency=currency), "note")
    row = 3
    for way, title in enumerate(account.titles):
        page.text(row, 0, title, "heading", most=LINE_OF_PAGE)
        page.text(row + 1, 0, say("workbook.cash_flow.year"), "head left")
        page.titles(
            row + 1,
            1,
            [*(CATEGORIES[name].label for name in account.categories), say("workbook.cash_flow.all")],
        )
        row = _years_of(page, row + 2, account, way) + 2
    page.freeze(2)


def _years_of(page: Page, start: int, account: Account, way: int) -> int:
    """Write today and the years of one way; return the row of their total."""
    columns = range(1, len(account.categories) + 1)
    years = range(1, account.years + 1)
    end = start + account.years + 1
    page.text(start, 0, say("workbook.cash_flow.today"))
    for year in years:
        page.number(start + year, 0, year, YEAR)
    page.text(end, 0, say("workbook.cash_flow.all"), "total label")
    sums = np.zeros(account.years + 2)
    for column, category in zip(columns, account.categories, strict=True):
        amounts = account.payments(way).amounts[category]
        source = account.amounts(way, category)
        values = [float(amounts[0])]
        page.formula(start, column, cell(FIRST, AMOUNTS + column - 1, page=way_page(way)), values[0])
        for year in years:
            values.append(float(amounts[_in_year(account, year)].sum()))
            within = f'{COUNTS_NAME},">"&12*({cell(start + year, 0)}-1),{COUNTS_NAME},"<="&12*'
            formula = f'SUMIFS({source},{within}{cell(start + year, 0)},{PAID_NAME},">0")'
            page.formula(start + year, column, formula, values[-1])
        values.append(sum(values))
        page.formula(end, column, f"SUM({span((start, column), (end - 1, column))})", values[-1], "total")
        sums += values
    last = len(account.categories)
    for row in range(start, end + 1):
        look = "total" if row == end else MONEY
        formula = f"SUM({cell(row, 1)}:{cell(row, last)})"
        page.formula(row, last + 1, formula, float(sums[row - start]), look)
    return end


def _in_year(account: Account, year: int) -> NDArray[np.bool_]:
    """Which moments lie in a year."""
    counts = account.flow.counts_from
    return (12 * (year - 1) < counts) & (counts <= 12 * year) & (account.flow.paid > 0)


def write_discounting(book: Book, account: Account) -> None:
    """Write the discount factor of every moment."""
    page = book.page(DISCOUNTING, [14, 18, 14])
    page.sentence(0, say("workbook.discounting.title"), "title")
    page.sentence(1, say("workbook.discounting.note", rate=RATE_NAME), "note")
    page.texts(FIRST - 1, 0, (*words("workbook.way.moment"), say("workbook.discounting.factor")), "head")
    for place, factor in enumerate(account.factors):
        row = FIRST + place
        _moment(page, row, account, place)
        page.formula(row, 2, f"(1+{RATE_NAME})^(-{cell(row, 0)}/12)", float(factor), FACTOR)
    for column, name in enumerate((PAID_NAME, COUNTS_NAME, FACTOR_NAME)):
        book.name(name, DISCOUNTING, span((FIRST, column), (account.last, column)))
    page.freeze(FIRST, repeat=True)


def _moment(page: Page, row: int, account: Account, place: int) -> None:
    """Write when a moment lies."""
    page.number(row, 0, int(account.flow.paid[place]), WHOLE)
    page.number(row, 1, int(account.flow.counts_from[place]), WHOLE)


def write_ways(book: Book, account: Account) -> None:
    """Write each way by month, as the model has it."""
    for way in range(len(account.ways)):
        _write_way(book, account, way)


def _write_way(book: Book, account: Account, way: int) -> None:
    """Write the moments of one way."""
    page = book.page(way_page(way), [9, 12, *[12] * len(account.categories), 2, *[14] * len(RIGHT)])
    page.sentence(0, account.titles[way], "title", most=LINE_OF_PAGE)
    page.sentence(1, say("workbook.way.note", currency=account.comparison.scenario.currency), "note")
    page.texts(FIRST - 1, 0, words("workbook.way.moment"), "head")
    page.titles(FIRST - 1, AMOUNTS, [CATEGORIES[name].label for name in account.categories])
    for what, head in RIGHT.items():
        page.text(FIRST - 1, account.right_column(what), words("workbook.way")[head], "head")
    payments = account.payments(way)
    sold = {FOUND: payments.sale.found, RESIDUAL: payments.sale.residual, BALANCE: payments.sale.balance}
    for place, month in enumerate(account.flow.paid.tolist()):
        row = FIRST + place
        _moment(page, row, account, place)
        for column, category in enumerate(account.categories, start=AMOUNTS):
            _if_any(page, row, column, payments.amounts[category][place])
        _if_any(page, row, account.right_column(CHANGES), payments.first_changes[place], FACTOR)
        if account.flow.counts_from[place] == month:
            for what, values in sold.items():
                _if_any(page, row, account.right_column(what), values[month])
    page.freeze(FIRST, AMOUNTS, repeat=True)


def _if_any(page: Page, row: int, column: int, value: float, look: str = MONEY) -> None:
    """Write an amount, unless it is nothing."""
    if value:
        page.number(row, column, float(value), look)
