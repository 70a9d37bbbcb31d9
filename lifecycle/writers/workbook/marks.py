"""The marks that years of a measure are read from: is a way no dearer, by year of sale?

Lecture
-------
Three blocks of marks stand below the measures, 1 for yes and 0 for no:

- no dearer if sold after that year (half a hundredth does not count),
- no dearer then and in every later year shown,
- as the first, not discounted.

*Payback* is the first year marked, in a straight line within it; the *break-even year* the first of
those that stay so; a *crossing* is a year whose mark differs from that of the year before.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics.measures import TOLERANCE
from lifecycle.language.sentences import say
from lifecycle.writers.workbook.account import PRESENT, WAYS, Account
from lifecycle.writers.workbook.cells import WHOLE, YEAR, Page, cell, span
from lifecycle.writers.workbook.worth import Worth

NO_LOSS = f">=-{TOLERANCE}"
"""What counts as no dearer."""


class Marks:
    """The marks by year of sale, below the measures.

    Parameters
    ----------
    account : Account
        Gives the years and the ways.
    worth : Worth
        Where the net savings stand.
    row : int
        Row of the first heading.
    """

    def __init__(self, account: Account, worth: Worth, row: int) -> None:
        self.account, self.years = account, account.years
        block = self.years + 3
        self.starts = {
            "discounted": row + 2,
            "stays": row + 2 + block,
            "undiscounted": row + 2 + 2 * block,
        }
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
        none = f'"not within {_years(self.years)}"'
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


def _years(number: int) -> str:
    """Return a number of years as the library's reasons write it."""
    return f"{number} year" if number == 1 else f"{number} years"
