"""A fleet as a workbook of one page: change the budget or a price, and ratio and turn follow.

Lecture
-------
Rows stand in the order that was worked out and stay there; a price that changes much may put one out of
order. A coach's savings fall by one with each one of its price, and its further investment grows by it::

    saves      = highest price - price
    invests    = price + further outlay besides
    ratio      = (saves + invests) / invests
    candidate  = the year reached so far if the price still fits into its budget, else the next one
    left out   if nothing is saved, the price is above a year's budget, or the coach is sold by then

Coaches that are not compared stand first and take no part.

Left out: bands, which stand as numbers; spending by year.
"""

from __future__ import annotations

import math

from lifecycle.answers.fleet import Fleet
from lifecycle.language.sentences import say, words
from lifecycle.studies.fleet import Coach
from lifecycle.writers.workbook.cells import CHANGE, NUMBER, WHOLE, Book, Page, cell, span
from lifecycle.writers.workbook.cells import YEARS as RATIO_LOOK

WIDTHS = (12, 18, 8, 12, 12, 12, 12, 12, 10, 9, 12, 12, 8, 9, 8, 8, 12, 44)
"""Width of each column. [letters]"""

NAME, STANDS, TURN, PRICE, WORTH, SAVES, LOW, HIGH, OF_20, RATIO, INVESTS, BESIDES, YEARS = range(13)
CANDIDATE, OUT, REACHED, SPENT, LEADS = range(13, 18)
"""Columns."""

BUDGET, HEAD = (2, 2), 4
"""Cell of the budget; row of the names of columns."""


def as_fleet_workbook(fleet: Fleet) -> bytes:
    """Return a fleet as a workbook."""
    book = Book(next(iter(fleet.grid.scenarios.values())))
    page = book.page(say("fleet.sheet"), WIDTHS)
    page.sentence(0, say("fleet.title"), "title")
    page.sentence(1, say("fleet.sheet_note"), "note")
    page.text(BUDGET[0], 0, say("fleet.sheet_budget"), "label")
    page.number(*BUDGET, fleet.budget, CHANGE)
    page.titles(HEAD, 0, words("fleet.sheet_head"))
    page.freeze(HEAD + 1, 1, repeat=True)
    apart = [coach for coach in fleet.coaches if math.isnan(coach.price)]
    queue = [coach for coach in fleet.coaches if not math.isnan(coach.price)]
    for row, coach in enumerate((*apart, *queue), start=HEAD + 1):
        page.texts(row, NAME, (coach.label, coach.stands))
        page.text(row, LEADS, coach.lead or coach.reason)
        page.number(row, YEARS, coach.years, NUMBER)
    first, year, spent = HEAD + 1 + len(apart), 1, 0.0
    for row, coach in enumerate(queue, start=first):
        if coach.turn:
            spent = coach.price if coach.turn > year else spent + coach.price
            year = coach.turn
        _row(page, row, coach, first, fleet.budget, year, spent)
    last = first + len(queue) - 1
    if queue:
        turns, prices = span((first, TURN), (last, TURN)), span((first, PRICE), (last, PRICE))
        of_first = math.fsum(coach.price for coach in queue if coach.turn == 1)
        page.text(last + 1, NAME, say("fleet.sheet_sum"), "total label")
        page.formula(last + 1, PRICE, f"SUMIF({turns},1,{prices})", of_first, "total")
    return book.content()


def _row(page: Page, row: int, coach: Coach, first: int, budget: float, year: int, spent: float) -> None:
    """Write one coach of the queue; `year` and `spent` are those after it."""
    price, saves, invests, out = (cell(row, column) for column in (PRICE, SAVES, INVESTS, OUT))
    limit, candidate, sold = cell(*BUDGET, fixed=True), cell(row, CANDIDATE), cell(row, YEARS)
    before, spent_before = ("1", "0") if row == first else (cell(row - 1, REACHED), cell(row - 1, SPENT))
    page.number(row, PRICE, coach.price, CHANGE)
    page.number(row, WORTH, coach.worth[0])
    page.number(row, BESIDES, coach.invested - coach.price)
    page.formula(row, SAVES, f"{cell(row, WORTH)}-{price}", coach.saves[0])
    page.formula(row, INVESTS, f"{price}+{cell(row, BESIDES)}", coach.invested)
    ratio = coach.ratio[0] if math.isfinite(coach.ratio[0]) else ""
    page.formula(row, RATIO, f'IF({invests}>0,({saves}+{invests})/{invests},"")', ratio, RATIO_LOOK)
    fits = f"{spent_before}+{price}<={limit}"
    taken = coach.turn or year + (spent + coach.price > budget)
    page.formula(row, CANDIDATE, f"IF({fits},{before},{before}+1)", taken, WHOLE)
    skip = f"OR({saves}<=0,{price}>{limit},{candidate}-1>={sold})"
    page.formula(row, OUT, f"IF({skip},1,0)", 0 if coach.turn else 1, WHOLE)
    page.formula(row, REACHED, f"IF({out}=1,{before},{candidate})", year, WHOLE)
    new_spent = f"IF({out}=1,{spent_before},IF({candidate}={before},{spent_before}+{price},{price}))"
    page.formula(row, SPENT, new_spent, spent)
    page.formula(row, TURN, f'IF({out}=1,"",{candidate})', coach.turn or "", WHOLE)
    page.number(row, LOW, coach.saves[1])
    page.number(row, HIGH, coach.saves[2])
    if not math.isnan(coach.of_20):
        page.number(row, OF_20, coach.of_20, WHOLE)
