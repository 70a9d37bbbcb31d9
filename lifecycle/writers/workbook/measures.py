"""Page of measures: what each way is worth against what the owner would do otherwise.

Lecture
-------
Measures are formulas over the page of present values. Where one does not exist its cell gives the reason, as
the library does. Which ways change today, and the quotes, are facts of the scenario, written in as they are.

Below stand three blocks of marks by year of sale, 1 for yes and 0 for no: no dearer if sold after that year
(half a hundredth does not count); no dearer then and in every later year shown; as the first, not discounted.
*Payback* is the first year marked, in a straight line within it; the *break-even year* the first of those
that stay so; a *crossing* is a year whose mark differs from that of the year before.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import Answer, annual_value
from lifecycle.economics.measures import NEVER_STAYS, NO_INVESTMENT, SAVES_NOTHING, TOLERANCE, not_within
from lifecycle.evaluation.comparison import NEVER_PAID, Measures, Way
from lifecycle.language.sentences import say, words
from lifecycle.writers.workbook.account import (
    CHANGES,
    MEASURES,
    MONTHS_NAME,
    PRESENT,
    RATE_NAME,
    WAYS,
    Account,
    Worth,
)
from lifecycle.writers.workbook.cells import (
    FACTOR,
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
                page.text(row, WAYS + way, said["otherwise"], "right")
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

    def values(self, which: str, way: int) -> NDArray[np.int64]:
        """Return the marks of a way, shape (years,)."""
        savings = self.account.savings(way, discounted=which != "undiscounted")
        marks: NDArray[np.int64] = (savings >= -TOLERANCE).astype(np.int64)
        return np.minimum.accumulate(marks[::-1])[::-1] if which == "stays" else marks

    def write(self, page: Page) -> None:
        """Write the marks."""
        for which, start in self.starts.items():
            page.text(start - 2, 0, say(f"workbook.marks.{which}"), "heading")
            page.texts(start - 1, 0, (say("workbook.sold_after"), "", ""), "head left")
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
