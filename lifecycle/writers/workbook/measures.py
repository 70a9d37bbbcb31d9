"""Page of measures: what each way is worth against what the owner would do otherwise.

Lecture
-------
Measures are formulas over the page of present values. Below them stand the marks that the years are
read from (`marks`). Where a measure does not exist its cell gives the reason, as the library
does.

Which ways change today, and the quotes, are facts of the scenario, written in as they are.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lifecycle.economics import Answer, annual_value
from lifecycle.evaluation.comparison import Measures, Way
from lifecycle.language.labels import LABELS
from lifecycle.writers.workbook.account import (
    CHANGES,
    MEASURES,
    MONTHS_NAME,
    PRESENT,
    RATE_NAME,
    WAYS,
    Account,
)
from lifecycle.writers.workbook.cells import MONEY, RATE, WHOLE, YEARS, Book, Value, cell
from lifecycle.writers.workbook.marks import Marks
from lifecycle.writers.workbook.worth import Worth

OTHERWISE = "what you would do otherwise"
"""Stands where a way is compared with itself."""

NOT_TODAY = "only for a change today"
SAVES_NOTHING, NO_INVESTMENT = "the investment saves nothing", "no investment beyond the base case's"
NEVER_PAID = "the change is never paid within the years kept"
NEVER_STAYS = "not within the study period"
KEEPS = "keeps the roof that stands"
"""Reasons why there is no number, as the library gives them."""


@dataclass(frozen=True)
class _Line:
    """One measure: its row, label, standard term and unit, how it looks, and formula and value by way.

    Both take the place of the way; a formula of "" is no formula: the value stands as it is.
    """

    row: int
    label: str
    term: str
    unit: str
    look: str
    formula: Callable[[int], str]
    value: Callable[[int], Value]
    against_base: bool = True


FIRST_LINE = 4
(
    COST,
    YEARLY,
    SAVINGS,
    LAID_OUT,
    INVESTMENT,
    RATIO,
    RETURN,
    SIMPLE,
    DISCOUNTED,
    EVEN,
    TURNS,
    QUOTE,
    PAID,
    PRICE,
) = range(FIRST_LINE, FIRST_LINE + 14)
"""Rows of the measures."""


def write_measures(book: Book, account: Account, worth: Worth) -> None:
    """Write the measures of every way."""
    page = book.page(MEASURES, [44, 36, 12, *[16] * len(account.ways)])
    page.sentence(0, "What each way is worth", "title")
    note = f"{account.comparison.scenario.currency}; compared with way {account.titles[account.base]}"
    page.sentence(1, note, "note")
    page.texts(FIRST_LINE - 1, 0, ("in plain words", "standard term", "unit"), "head left")
    page.titles(FIRST_LINE - 1, WAYS, account.titles)
    marks = Marks(account, worth, PRICE + 3)
    for line in _lines(account, worth, marks):
        page.texts(line.row, 0, (line.label, line.term, line.unit))
        for way in range(len(account.ways)):
            if line.against_base and way == account.base:
                page.text(line.row, WAYS + way, OTHERWISE, "right")
                continue
            formula, value = line.formula(way), line.value(way)
            if formula:
                page.formula(line.row, WAYS + way, formula, value, line.look)
            else:
                page.value(line.row, WAYS + way, value, line.look)
    marks.write(page)
    page.freeze(FIRST_LINE, 1)


def _lines(account: Account, worth: Worth, marks: Marks) -> list[_Line]:
    """Return the measures, in order."""
    ways, base = account.ways, account.base
    money = account.comparison.scenario.currency

    def present(row: int, way: int) -> str:
        return cell(row, WAYS + way, page=PRESENT)

    def at(row: int, way: int) -> str:
        return cell(row, WAYS + way)

    def measures(way: int) -> Measures:
        found = ways[way].measures
        if found is None:
            raise ValueError("the base case is not measured against itself")
        return found

    def answer(pick: Callable[[Measures], Answer]) -> Callable[[int], Value]:
        return lambda way: _value(pick(measures(way)))

    def today(way: int) -> bool:
        return ways[way].change_month == 0

    def laid_out(way: int) -> str:
        rows = [worth.by_category[name] for name in ("initial", "renewal") if name in worth.by_category]
        return "+".join([*(present(row, way) for row in rows), f"-{present(worth.residual, way)}"]).replace(
            "+-", "-"
        )

    def price(way: int) -> str:
        if ways[way].keeps_what_stands:
            return ""
        per_quote, quote = at(PAID, way), at(QUOTE, way)
        return f'IF({per_quote}<=0,"{NEVER_PAID}",{quote}+{at(SAVINGS, way)}/{per_quote})'

    years = f"({MONTHS_NAME}/12)"
    kept = account.comparison.holding_period
    grown = f"{RATE_NAME}/(1-(1+{RATE_NAME})^(-{years}))"
    return [
        _Line(
            COST,
            "cost in today's money, sold after the years kept",
            "net-present cost",
            money,
            MONEY,
            lambda way: present(worth.total, way),
            lambda way: ways[way].at_holding,
            against_base=False,
        ),
        _Line(
            YEARLY,
            "the same as an equal cost each year",
            "annual value (equivalent uniform annual cost)",
            f"{money} a year",
            MONEY,
            lambda way: f"IF({RATE_NAME}=0,{at(COST, way)}/{years},{at(COST, way)}*{grown})",
            lambda way: float(annual_value(ways[way].at_holding, discount_rate=account.rate, years=kept)),
            against_base=False,
        ),
        _Line(
            SAVINGS,
            "cheaper than otherwise by (a minus: dearer by)",
            "net savings",
            money,
            MONEY,
            lambda way: f"{at(COST, base)}-{at(COST, way)}",
            lambda way: measures(way).at_holding,
        ),
        _Line(
            LAID_OUT,
            "laid out for roofs, less what is left at the sale",
            "investment, present value",
            money,
            MONEY,
            laid_out,
            lambda way: _laid_out(account, way),
            against_base=False,
        ),
        _Line(
            INVESTMENT,
            "of this, more than otherwise",
            "further investment",
            money,
            MONEY,
            lambda way: f"{at(LAID_OUT, way)}-{at(LAID_OUT, base)}",
            lambda way: _laid_out(account, way) - _laid_out(account, base),
        ),
        _Line(
            RATIO,
            "saved for each unit of money laid out",
            "savings-to-investment ratio",
            "",
            YEARS,
            lambda way: (
                f'IF({at(INVESTMENT, way)}<=0,"{NO_INVESTMENT}",'
                f'IF({at(SAVINGS, way)}+{at(INVESTMENT, way)}<=0,"{SAVES_NOTHING}",'
                f"({at(SAVINGS, way)}+{at(INVESTMENT, way)})/{at(INVESTMENT, way)}))"
            ),
            answer(lambda found: found.savings_to_investment),
        ),
        _Line(
            RETURN,
            "yearly return on what is laid out, above inflation",
            "adjusted internal rate of return",
            "a year",
            RATE,
            lambda way: (
                f"IF(ISNUMBER({at(RATIO, way)}),"
                f"(1+{RATE_NAME})*{at(RATIO, way)}^(1/{years})-1,{at(RATIO, way)})"
            ),
            answer(lambda found: found.adjusted_internal_rate_of_return),
        ),
        _Line(
            SIMPLE,
            "paid back after, not discounted (1: within the first year)",
            "simple payback",
            "years",
            YEARS,
            lambda way: marks.payback("undiscounted", way) if today(way) else "",
            answer(lambda found: found.simple_payback),
        ),
        _Line(
            DISCOUNTED,
            "paid back after (1: within the first year)",
            "discounted payback",
            "years",
            YEARS,
            lambda way: marks.payback("discounted", way) if today(way) else "",
            answer(lambda found: found.discounted_payback),
        ),
        _Line(
            EVEN,
            LABELS["break-even year"],
            "break-even year",
            "years",
            WHOLE,
            lambda way: (
                f'IF(SUM({marks.range("stays", way)})=0,"{NEVER_STAYS}",'
                f"{account.years}-SUM({marks.range('stays', way)})+1)"
            ),
            answer(lambda found: found.break_even_year),
        ),
        _Line(
            TURNS,
            "how often the cheaper of the two changes with the year of sale",
            "number of crossings",
            "",
            WHOLE,
            lambda way: marks.turns(way),
            lambda way: float(len(measures(way).crossings)),
        ),
        _Line(
            QUOTE,
            "price of the change, as quoted",
            "quote",
            money,
            MONEY,
            lambda way: "",
            lambda way: ways[way].quote,
        ),
        _Line(
            PAID,
            "worth today of paying 1 for the first change",
            "first changes, discounted",
            "",
            "factor",
            lambda way: account.sum_to(MONTHS_NAME, account.right(way, CHANGES)),
            lambda way: ways[way].first_changes_at_holding,
        ),
        _Line(
            PRICE,
            "highest price worth paying (below 0: dearer even as a gift)",
            "break-even price",
            money,
            MONEY,
            price,
            lambda way: KEEPS if ways[way].keeps_what_stands else _value(measures(way).break_even_price),
        ),
    ]


def _value(answer: Answer) -> Value:
    """Return the number of an answer, or the reason why there is none."""
    return answer.value if answer.value is not None else answer.reason or ""


def _laid_out(account: Account, way: int) -> float:
    """Return what a way lays out for roofs, less the residual value, in today's money."""
    found: Way = account.ways[way]
    month = account.months_kept
    residual = account.payments(way).sale.residual[month] * (1.0 + account.rate) ** (-month / 12.0)
    return float(found.by_category["initial"] + found.by_category["renewal"] - residual)
