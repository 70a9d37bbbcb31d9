"""The sums of the workbook: the account behind its formulas, what is paid when, its worth today, measures.

Lecture
-------
Every way has a page of its own with its *moments*: a row for each month before a sale in it, and one after
it, with what is paid by category: figures of the model, expected amounts in real money, not discounted. To
the right stands what a sale in the month brings; only the row before the sale of a month has it. All else is
sums of these. All these pages have the same rows as the page of discount factors, so a sum over moments
multiplies ranges of one height, and a formula names them::

    counts_from       first month of sale that counts the row
    paid_month        month in which it is paid
    discount_factor   its worth today

*Today* is the moment after a sale in month 0; year N is what a sale after N years counts and one after N - 1
years does not, today left out. So another discount rate, or other years kept, gives another answer at once.
The cost by year of sale is written a second time at a discount rate of 0: the simple payback is read from
that.

*Measures*, what each way is worth against what the owner would do otherwise, are formulas over the page of
present values. Where one does not exist its cell gives the reason, as the library does. Which ways change
today, and the quotes, are facts of the scenario, written in as they are.

Below them stand blocks of marks by year of sale, 1 for yes and 0 for no: no dearer if sold after that year
(half a hundredth does not count); no dearer then and in every later year shown; as the first, not discounted.
*Payback* is the first year marked, in a straight line within it; the *break-even year* the first of those
that stay so; a *crossing* is a year whose mark differs from that of the year before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from lifecycle.economics import Answer, annual_value, discount_factor
from lifecycle.economics.measures import NEVER_STAYS, NO_INVESTMENT, SAVES_NOTHING, TOLERANCE, not_within
from lifecycle.evaluation.comparison import NEVER_PAID, Comparison, Measures, Way
from lifecycle.kinds import CATEGORIES
from lifecycle.language.labels import LABELS
from lifecycle.language.sentences import say, words
from lifecycle.quantities import Array, Whole
from lifecycle.studies.cash_flow import PAID, CashFlow, Payments, cash_flow
from lifecycle.writers.workbook.cells import (
    FACTOR,
    LINE_OF_PAGE,
    MONEY,
    RATE,
    WHOLE,
    YEAR,
    YEARS,
    Book,
    Page,
    Value,
    cell,
    span,
)

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
    counts, later = account.flow.counts_from, account.flow.paid > 0
    for column, category in zip(columns, account.categories, strict=True):
        amounts = account.payments(way).amounts[category]
        source = account.amounts(way, category)
        values = [float(amounts[0])]
        page.formula(start, column, cell(FIRST, AMOUNTS + column - 1, page=way_page(way)), values[0])
        for year in years:
            values.append(float(amounts[(12 * (year - 1) < counts) & (counts <= 12 * year) & later].sum()))
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
    _heads(page, row, account, heading, (say("labels.sold_after"), "", ""))
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
    columns = (say("labels.sold_after"), say("workbook.present.net_savings"), "")
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


_YEARS_KEPT = f"({MONTHS_NAME}/12)"
"""Years kept, in a formula."""

FIRST_LINE = 4
ROWS = {name: FIRST_LINE + place for place, name in enumerate(words("workbook.measures.rows"))}
"""Row of each measure, in the order in which the words list them."""


@dataclass(frozen=True)
class _Line:
    """One measure: its unit, how it looks, and formula and value by way.

    Both take the place of the way; a formula of "" is no formula: the value stands as it is. `against_base`:
    whether it compares a way with what the owner would do otherwise.
    """

    unit: str
    look: str
    formula: Callable[[int], str]
    value: Callable[[int], Value]
    against_base: bool = True


def write_measures(book: Book, account: Account, worth: Worth) -> None:
    """Write the measures of every way."""
    said = words("workbook.measures")
    page = book.page(MEASURES, [44, 36, 12, *[16] * len(account.ways)])
    page.sentence(0, said["title"], "title")
    currency, base = account.comparison.scenario.currency, account.titles[account.base]
    page.sentence(1, say("workbook.measures.note", currency=currency, base=base), "note")
    page.texts(FIRST_LINE - 1, 0, said["heads"], "head left")
    page.titles(FIRST_LINE - 1, WAYS, account.titles)
    marks = Marks(account, worth, max(ROWS.values()) + 3)
    lines = {**_costs(account, worth), **_against_base(account, marks), **_prices(account)}
    for name, row in ROWS.items():
        line = lines[name]
        page.texts(row, 0, (*said["rows"][name], line.unit))
        for way in range(len(account.ways)):
            if line.against_base and way == account.base:
                page.text(row, WAYS + way, LABELS["base case"], "right")
                continue
            formula, value = line.formula(way), line.value(way)
            if formula:
                page.formula(row, WAYS + way, formula, value, line.look)
            else:
                page.value(row, WAYS + way, value, line.look)
    marks.write(page)
    page.freeze(FIRST_LINE, 1)


def _at(name: str, way: int) -> str:
    """Return where a measure of a way stands."""
    return cell(ROWS[name], WAYS + way)


def _costs(account: Account, worth: Worth) -> dict[str, _Line]:
    """Return what a way costs and lays out."""
    money = account.comparison.scenario.currency
    kept = account.comparison.holding_period
    growth = f"{RATE_NAME}/(1-(1+{RATE_NAME})^(-{_YEARS_KEPT}))"

    def present(row: int, way: int) -> str:
        return cell(row, WAYS + way, page=PRESENT)

    def laid_out(way: int) -> str:
        rows = [worth.by_category[name] for name in ("initial", "renewal") if name in worth.by_category]
        parts = [*(present(row, way) for row in rows), f"-{present(worth.residual, way)}"]
        return "+".join(parts).replace("+-", "-")

    def yearly(way: int) -> str:
        cost = _at("cost", way)
        return f"IF({RATE_NAME}=0,{cost}/{_YEARS_KEPT},{cost}*{growth})"

    def worth_of_yearly(way: int) -> float:
        return float(annual_value(account.ways[way].at_holding, discount_rate=account.rate, years=kept))

    return {
        "cost": _Line(
            money,
            MONEY,
            lambda way: present(worth.total, way),
            lambda way: account.ways[way].at_holding,
            against_base=False,
        ),
        "yearly": _Line(
            say("workbook.measures.a_year", currency=money),
            MONEY,
            yearly,
            worth_of_yearly,
            against_base=False,
        ),
        "laid_out": _Line(money, MONEY, laid_out, lambda way: _laid_out(account, way), against_base=False),
    }


def _against_base(account: Account, marks: Marks) -> dict[str, _Line]:
    """Return what a way is worth against what the owner would do otherwise."""
    base, money, said = account.base, account.comparison.scenario.currency, words("workbook.measures")

    def answer(pick: Callable[[Measures], Answer]) -> Callable[[int], Value]:
        return lambda way: _value(pick(_measures(account, way)))

    def payback(which: str) -> Callable[[int], str]:
        return lambda way: marks.payback(which, way) if account.ways[way].change_month == 0 else ""

    def ratio(way: int) -> str:
        saved, laid = _at("savings", way), _at("investment", way)
        return (
            f'IF({laid}<=0,"{NO_INVESTMENT}",IF({saved}+{laid}<=0,"{SAVES_NOTHING}",({saved}+{laid})/{laid}))'
        )

    def yearly_return(way: int) -> str:
        found = _at("ratio", way)
        return f"IF(ISNUMBER({found}),(1+{RATE_NAME})*{found}^(1/{_YEARS_KEPT})-1,{found})"

    def even(way: int) -> str:
        stays = f"SUM({marks.range('stays', way)})"
        return f'IF({stays}=0,"{NEVER_STAYS}",{account.years}-{stays}+1)'

    return {
        "savings": _Line(
            money,
            MONEY,
            lambda way: f"{_at('cost', base)}-{_at('cost', way)}",
            lambda way: _measures(account, way).at_holding,
        ),
        "investment": _Line(
            money,
            MONEY,
            lambda way: f"{_at('laid_out', way)}-{_at('laid_out', base)}",
            lambda way: _laid_out(account, way) - _laid_out(account, base),
        ),
        "ratio": _Line("", YEARS, ratio, answer(lambda found: found.savings_to_investment)),
        "return": _Line(
            said["yearly"], RATE, yearly_return, answer(lambda found: found.adjusted_internal_rate_of_return)
        ),
        "simple": _Line(
            said["years"], YEARS, payback("undiscounted"), answer(lambda found: found.simple_payback)
        ),
        "discounted": _Line(
            said["years"], YEARS, payback("discounted"), answer(lambda found: found.discounted_payback)
        ),
        "even": _Line(said["years"], WHOLE, even, answer(lambda found: found.break_even_year)),
        "turns": _Line("", WHOLE, marks.turns, lambda way: float(len(_measures(account, way).crossings))),
    }


def _prices(account: Account) -> dict[str, _Line]:
    """Return the quote of a way, and the highest price worth paying for it."""
    ways, money = account.ways, account.comparison.scenario.currency

    def highest(way: int) -> str:
        if ways[way].keeps_what_stands:
            return ""
        paid = _at("paid", way)
        return f'IF({paid}<=0,"{NEVER_PAID}",{_at("quote", way)}+{_at("savings", way)}/{paid})'

    return {
        "quote": _Line(money, MONEY, lambda way: "", lambda way: ways[way].quote),
        "paid": _Line(
            "",
            FACTOR,
            lambda way: account.sum_to(MONTHS_NAME, account.right(way, CHANGES)),
            lambda way: ways[way].first_changes_at_holding,
        ),
        "price": _Line(
            money,
            MONEY,
            highest,
            lambda way: (
                words("workbook.measures.keeps")
                if ways[way].keeps_what_stands
                else _value(_measures(account, way).break_even_price)
            ),
        ),
    }


def _measures(account: Account, way: int) -> Measures:
    """Return the measures of a way that is not the base case."""
    found = account.ways[way].measures
    if found is None:
        raise ValueError("the base case is not measured against itself")
    return found


def _value(answer: Answer) -> Value:
    """Return the number of an answer, or the reason why there is none."""
    return answer.value if answer.value is not None else answer.reason or ""


def _laid_out(account: Account, way: int) -> float:
    """Return what a way lays out for roofs, less the residual value, in today's money."""
    found: Way = account.ways[way]
    month = account.months_kept
    residual = account.payments(way).sale.residual[month] * (1.0 + account.rate) ** (-month / 12.0)
    return float(found.by_category["initial"] + found.by_category["renewal"] - residual)


NO_LOSS = f">=-{TOLERANCE}"
"""What counts as no dearer."""


class Marks:
    """The marks by year of sale, below the measures, from the row of their first heading on."""

    def __init__(self, account: Account, worth: Worth, row: int) -> None:
        self.account, self.years = account, account.years
        block = self.years + 3
        self.starts = {"discounted": row + 2, "stays": row + 2 + block, "undiscounted": row + 2 + 2 * block}
        self.savings = {"discounted": worth.discounted, "undiscounted": worth.undiscounted}

    def range(self, which: str, way: int) -> str:
        """Address of the marks of a way."""
        start, column = self.starts[which], WAYS + way
        return span((start, column), (start + self.years - 1, column))

    def savings_range(self, which: str, way: int) -> str:
        """Address of the net savings that the marks are read from."""
        first, last = self.savings[which]
        return span((first, WAYS + way), (last, WAYS + way), page=PRESENT)

    def payback(self, which: str, way: int) -> str:
        """Return a formula for the first year in which the way is no dearer, in a straight line within it."""
        marks, savings = self.range(which, way), self.savings_range(which, way)
        first = f"MATCH(1,{marks},0)"
        before, after = f"INDEX({savings},{first}-1)", f"INDEX({savings},{first})"
        line = f"{first}-1+{before}/({before}-MAX(0,{after}))"
        none = f'"{not_within(self.years)}"'
        return f"IF(SUM({marks})=0,{none},IF(INDEX({marks},1)=1,1,{line}))"

    def values(self, which: str, way: int) -> Whole:
        """Return the marks of a way, shape (years,)."""
        savings = self.account.savings(way, discounted=which != "undiscounted")
        marks: Whole = (savings >= -TOLERANCE).astype(np.int64)
        return np.minimum.accumulate(marks[::-1])[::-1] if which == "stays" else marks

    def write(self, page: Page) -> None:
        """Write the marks."""
        for which, start in self.starts.items():
            page.text(start - 2, 0, say(f"workbook.marks.{which}"), "heading")
            page.texts(start - 1, 0, (say("labels.sold_after"), "", ""), "head left")
            page.titles(start - 1, WAYS, self.account.titles)
            for year in range(1, self.years + 1):
                page.number(start + year - 1, 0, year, YEAR)
            for way in range(len(self.account.ways)):
                values = self.values(which, way)
                for place in range(self.years):
                    formula = self._mark(which, way, place)
                    page.formula(start + place, WAYS + way, formula, int(values[place]), WHOLE)

    def _mark(self, which: str, way: int, place: int) -> str:
        """Return the formula of one mark."""
        column = WAYS + way
        if which != "stays":
            savings = cell(self.savings[which][0] + place, column, page=PRESENT)
            return f"IF({savings}{NO_LOSS},1,0)"
        own = cell(self.starts["discounted"] + place, column)
        later = cell(self.starts["stays"] + place + 1, column)
        return own if place == self.years - 1 else f"{own}*{later}"

    def turns(self, way: int) -> str:
        """Return a formula for the number of years from the second on in which the cheaper changes."""
        start, column = self.starts["discounted"], WAYS + way
        if self.years == 1:
            return ""
        earlier = span((start, column), (start + self.years - 2, column))
        later = span((start + 1, column), (start + self.years - 1, column))
        return f"SUMPRODUCT(ABS({later}-{earlier}))"
