"""What each way pays and when, month by month and not discounted: an account that anyone can discount anew.

Lecture
-------
None of the amounts of the model depends on the discount rate: that only weighs them. So the account
of a way is a list of expected amounts, each with the month in which it is paid, and what a sale in
each month brings. Within a month there are two *moments*: before a sale in it (leaks that show, new
roofs that must be) and after it (visits, the planned change). With

- ``t``  month in which an amount is paid, ``k`` first month of sale that counts it: t before the
  sale, t + 1 after it,
- ``s(H)``  what a sale in month H costs, net, ``d`` discount rate,

the cost in today's money of a way that is sold in month H is ::

    sum of amount (1 + d) ** (-t / 12) over all moments with k <= H   +   s(H) (1 + d) ** (-H / 12)

for any d. Amounts are in real money: base-date prices with the real rise of their category, if one
is stated. A loan is paid in the money of the year; in real money a payment in month t is divided by
(1 + inflation) ** (t / 12), which at d is the same as the payment at the nominal rate.

The first change of the roof is kept besides as a number, with the rise of its price: the cost of a
way is linear in its quote, and this number, discounted, is the slope.

Left out: what happens beyond the years shown.
Source: sums of the ledger (`evaluation.ledger`) written out; the identity above is derived.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lifecycle.economics import loan_balance, loan_payment
from lifecycle.evaluation.expectation import chains
from lifecycle.evaluation.flows import Flow
from lifecycle.evaluation.ledger import Chain
from lifecycle.evaluation.renewal import renewals
from lifecycle.evaluation.spell import Spell
from lifecycle.kinds import CATEGORIES
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Case, Loan, Terms, draws_of

PAID = tuple(name for name in CATEGORIES if name != "sale")
"""Categories that are paid at moments: all but the sale."""


@dataclass(frozen=True)
class Sale:
    """What a sale in each month 0 ... n brings, not discounted, in real money.

    Parameters
    ----------
    found : ndarray, shape (months + 1,)
        What the buyer takes off for hidden leaks. [money]
    residual : ndarray, shape (months + 1,)
        What the buyer pays for the roof's unused life. [money]
    balance : ndarray, shape (months + 1,)
        What is still owed on a loan. [money]
    """

    found: Array
    residual: Array
    balance: Array


@dataclass(frozen=True)
class Payments:
    """What one way pays.

    Parameters
    ----------
    amounts : dict of str to ndarray, shape (moments,)
        By category of `PAID`. [money]
    first_changes : ndarray, shape (moments,)
        Expected number of first changes of the roof, with the rise of their price. [-]
    sale : Sale
        What a sale brings.
    """

    amounts: Mapping[str, Array]
    first_changes: Array
    sale: Sale


@dataclass(frozen=True)
class CashFlow:
    """What every way pays, and when.

    Parameters
    ----------
    paid, counts_from : ndarray of int, shape (moments,)
        Month in which a moment lies; first month of sale that counts it. [months]
    ways : dict of str to Payments
        By name of alternative.
    """

    paid: Whole
    counts_from: Whole
    ways: Mapping[str, Payments]


def cash_flow(case: Case) -> CashFlow:
    """Return what every way of a case without draws pays, month by month, not discounted.

    Moments are in order: after a sale today, before and after one in month 1, ... before one in the last
    month.
    """
    if draws_of(case) is not None:
        raise ValueError("payments by month are for one scenario, not for draws")
    months = np.arange(case.terms.months + 1)
    paid = np.repeat(months, 2)[1:-1]
    after_sale = np.tile([0, 1], months.size)[1:-1]
    ways = {}
    for name, chain in chains(case).items():
        loan = case.loan if case.loan is not None and case.loan.alternative == name else None
        ways[name] = _payments(chain, case.terms, loan)
    return CashFlow(paid, paid + after_sale, ways)


def _payments(chain: Chain, terms: Terms, loan: Loan | None) -> Payments:
    """Write out the account of one way."""
    rows = terms.months + 1
    laid = renewals(chain.existing.ended(rows), chain.following.renewed(rows))[:, 0]
    names = dict.fromkeys([*chain.existing.flows, *chain.following.flows])
    moments: dict[str, Array] = {category: np.zeros(2 * rows - 2) for category in PAID}
    prices = {"days": float(terms.day_cost), "hours": float(terms.hour_value)}
    for name in names:
        category = name.split(":")[0]
        own = _own(chain.existing, chain.existing.flows.get(name), rows)
        new = _own(chain.following, chain.following.flows.get(name), rows)
        both = np.stack([own[at] + _after_laying(laid, new[at]) for at in (0, 1)], axis=1)
        rise = _rises(terms, category)[:, None]
        moments[category] = moments[category] + (both * rise).ravel()[1:-1] * prices.get(category, 1.0)
    if chain.planned == 0:
        moments["initial"][0] = float(chain.existing.flows["renewal"].after[-1, 0])
        moments["renewal"][0] -= moments["initial"][0]
    balance = np.zeros(rows)
    if loan is not None:
        moments["financing"], balance = _loan(loan, terms)
    found, residual = _sold(chain, laid, rows)
    return Payments(moments, _first_changes(chain, terms), Sale(found, residual, balance))


def _own(spell: Spell, flow: Flow | None, rows: int) -> tuple[Array, Array]:
    """Return a flow before and after the sale of each month of a spell, shape (rows,) each."""
    before, after = np.zeros(rows), np.zeros(rows)
    if flow is not None:
        after[spell.days] = flow.after[:, 0]
        if flow.before is not None:
            before[: flow.before.shape[0]] = flow.before[:, 0]
    return before, after


def _after_laying(laid: Array, by_age: Array) -> Array:
    """Return the amounts by month of roofs laid in each month, from the amounts by a roof's age."""
    return np.asarray(np.convolve(laid, by_age)[: laid.size])


def _rises(terms: Terms, category: str) -> Array:
    """Return the real rise of the prices of a category by month, shape (months + 1,). [-]"""
    growth = float(terms.escalation.get(category, 0.0))
    return np.asarray((1.0 + growth) ** (np.arange(terms.months + 1) / 12.0))


def _first_changes(chain: Chain, terms: Terms) -> Array:
    """Return the expected number of first changes at each moment, with the rise of their price."""
    rows, standing = terms.months + 1, chain.existing.standing
    ended = np.zeros((rows, 2))
    ended[: standing.start.shape[0], 0] = standing.renewed_before[:, 0]
    ended[chain.existing.days, 1] = (standing.renewed_after + standing.changed)[:, 0]
    return np.asarray((ended * _rises(terms, "renewal")[:, None]).ravel()[1:-1])


def _sold(chain: Chain, laid: Array, rows: int) -> tuple[Array, Array]:
    """Return leaks that the buyer finds, and residual value, by month of sale.

    One roof is sold: the existing one, a later one j months old, or one laid in the month, before
    the sale. One that is laid after the sale is not.
    """
    renewed_own = np.zeros(rows)
    before = chain.existing.standing.renewed_before[:, 0]
    renewed_own[: before.size] = before
    older = np.arange(rows) > 0
    sold_new = renewed_own + _after_laying(laid, chain.following.standing.renewed_before[:, 0] * older)
    found, residual = (
        np.pad(own[:, 0], (0, rows - own.shape[0]))
        + _after_laying(laid, new[:, 0] * older)
        + sold_new * new[0, 0]
        for own, new in zip(chain.existing.sold_at_any_age, chain.following.sold_at_any_age, strict=True)
    )
    return found, residual


def _loan(loan: Loan, terms: Terms) -> tuple[Array, Array]:
    """Return the payments of a loan by moment, less the principal today, and the balance by month."""
    months = np.arange(terms.months + 1)
    real = (1.0 + float(terms.inflation)) ** (-months / 12.0)
    owed, rate = float(loan.principal), float(loan.rate)
    payment = float(loan_payment(owed, rate=rate, months=loan.months))
    flow = np.zeros((months.size, 2))
    flow[1 : loan.months + 1, 0] = payment
    flow[0, 1] = -owed
    balance = loan_balance(owed, rate=rate, months=loan.months, month=np.minimum(months, loan.months))
    return (flow * real[:, None]).ravel()[1:-1], np.asarray(balance) * real
