"""The workbook: every sum behind the answer as a live formula, with its value beside it.

Lecture
-------
Whoever distrusts the answer can follow it here from the amounts of each month to the verdict, and
discount it anew. Each formula cell holds the value that the library has for it; a spreadsheet program
that works the formulas out gets the same to the cent, and with another discount rate it gets what the
library gives at that rate. The pages are written in the order in which they are read.

The content is the same for the same scenario: no author, no time, nothing of the machine.
"""

from __future__ import annotations

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.verdict import verdict_under
from lifecycle.studies.assessment import Assessment
from lifecycle.writers.workbook.account import (
    account_of,
    write_cash_flow,
    write_discounting,
    write_measures,
    write_present_values,
    write_ways,
)
from lifecycle.writers.workbook.cells import Book
from lifecycle.writers.workbook.values import write_assumptions, write_doubt, write_read_me

__all__ = ["as_workbook"]


def as_workbook(comparison: Comparison, found: Assessment | None) -> bytes:
    """Return a comparison as a workbook."""
    book = Book(comparison.scenario)
    write_read_me(book, comparison, verdict_under(comparison, found), doubt=found is not None)
    write_assumptions(book, comparison.scenario)
    if comparison.ways:
        account = account_of(comparison)
        write_cash_flow(book, account)
        worth = write_present_values(book, account)
        write_measures(book, account, worth)
        if found is not None:
            write_doubt(book, found)
        write_discounting(book, account)
        write_ways(book, account)
    return book.content()
