"""What each way costs in each year, by category: the expected spending of one scenario over time.

Lecture
-------
An account to a sale after N years counts all that is paid before it. So what is spent in year N is
the account to a sale after N years less that to a sale after N - 1::

    spent in year N = account(N) - account(N - 1),   account(0) = 0

One evaluation gives all of them: a batch whose draws are alike but for the years kept, 1 ... n, at a
discount rate of 0. A change today falls into year 1, as do the jobs that are due today. Amounts are
at base-date prices, with their real escalation.

For a loan the difference is what keeping the coach a year longer adds to the cost of financing.
Left out: the sale, which comes once, whenever it comes; and luck: no single coach pays these means.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.expectation import evaluate
from lifecycle.kinds import CATEGORIES
from lifecycle.roofs import Case, draws_of

Array = NDArray[np.float64]

SPENT = tuple(name for name in CATEGORIES if name != "sale")
"""Categories that are spent year by year: all but the sale."""


def yearly_by_category(case: Case) -> dict[str, dict[str, Array]]:
    """Return the expected spending of each way by category and year.

    Parameters
    ----------
    case : Case
        Without draws.

    Returns
    -------
    dict of str to dict of str to ndarray, shape (years,)
        By alternative and category of `SPENT`, for the years 1 ... study period; not discounted.
        [money/year]

    Raises
    ------
    ValueError
        If the case holds draws.
    """
    if draws_of(case) is not None:
        raise ValueError("spending by year is for one scenario, not for draws")
    years = np.arange(1.0, case.terms.study_period + 1.0)
    terms = replace(case.terms, holding_period=years, discount_rate=0.0)
    ledgers = evaluate(replace(case, terms=terms))
    return {name: _spent(ledger.by_category, years) for name, ledger in ledgers.items()}


def _spent(accounts: Mapping[str, Array], years: Array) -> dict[str, Array]:
    """Return the differences between accounts to successive years, by category."""
    totals = {category: np.zeros_like(years) for category in SPENT}
    for name, account in accounts.items():
        category = name.split(":")[0]
        if category in totals:
            totals[category] = totals[category] + account
    return {category: np.diff(total, prepend=0.0) for category, total in totals.items()}
