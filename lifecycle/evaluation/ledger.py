"""Money by alternative: what an evaluation gives back, and how spells add up to it.

Lecture
-------
An alternative is the spell of the existing roof, and then roof after roof of one kind. With

- ``e_c(t)``  expected amount of category c from the existing roof in month t,
- ``n_c(j)``  the same from a new roof j months old, from the day it is laid,
- ``laid(t)`` expected number of new roofs laid in month t (`renewal`),

the account of month t is ``e_c(t) + sum over L of laid(L) n_c(t - L)``. Its present value to a sale
in month H counts what lies before the sale in month H and all of the months before. As the discount
factor of a sum of times is the product of theirs, each amount n_c(j) is weighed by the discounted
number of roofs laid early enough: ``sum over L <= H - j of laid(L) v^L`` times ``v^j``. So the
totals need one running sum for each rate of escalation, and the categories none of their own.

The sale itself: the roof that stands after step 2 of month H is sold; one laid in step 2 of that
month is sold new, one laid in step 4 comes after the sale.

Source: renewal-reward convolution, textbook; discounting in `economics`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lifecycle.economics import discount_factor, financing_cost, nominal_rate
from lifecycle.evaluation.flows import Flow
from lifecycle.evaluation.renewal import renewals
from lifecycle.evaluation.spell import Spell
from lifecycle.evaluation.timeline import running_sum
from lifecycle.quantities import Array, Whole
from lifecycle.roofs import Loan, Number, Terms

COUNTS = ("renewals", "leaks", "severe finds", "days", "hours")
"""What is counted besides money, in the order of results."""


@dataclass(frozen=True)
class Apart:
    """A line that is no part of the totals, discounted.

    Parameters
    ----------
    by_year : ndarray, shape (draws, years + 1)
        By year of sale. [money, or what is counted where a price is 1]
    at_holding : ndarray, shape (draws,)
        The same at the holding period.
    """

    by_year: Array
    at_holding: Array


@dataclass(frozen=True)
class Ledger:
    """The account of one alternative.

    Parameters
    ----------
    net_present_cost : ndarray, shape (draws, years + 1)
        By year of sale 0 ... study period. [money]
    at_holding : ndarray, shape (draws,)
        Net-present cost at the holding period of each draw. [money]
    by_category : dict of str to ndarray, shape (draws,)
        Present value to the holding period; upkeep under ``"upkeep: NAME"``. [money]
    expected : dict of str to ndarray, shape (draws,)
        Counts to the holding period, not discounted.
    chance_renewed : ndarray, shape (draws, years + 1)
        Chance of an unplanned new roof by year; no columns with totals only. [-]
    first_change : ndarray, shape (draws, years + 1)
        Discounted expected number of first changes paid by a sale in the year. [-]
    first_change_at_holding : ndarray, shape (draws,)
        The same at the holding period. [-]
    residual_at_holding : ndarray, shape (draws,)
        Present value of the residual value at the holding period. [money]
    apart : dict of str to Apart
        Lines of the categories that were asked for apart; the totals leave them out.
    """

    net_present_cost: Array
    at_holding: Array
    by_category: Mapping[str, Array]
    expected: Mapping[str, Array]
    chance_renewed: Array
    first_change: Array
    first_change_at_holding: Array
    residual_at_holding: Array
    apart: Mapping[str, Apart]

    @property
    def invested(self) -> Array:
        """Present value of what is laid out for roofs, less what is left of it at the sale. [money]"""
        return self.by_category["initial"] + self.by_category["renewal"] - self.residual_at_holding


@dataclass(frozen=True)
class Chain:
    """The spells of one alternative.

    Parameters
    ----------
    existing, following : Spell
        The roof that stands, and the roof that follows, laid in its month 0.
    planned : int or None
        Month of the planned change. [months]
    """

    existing: Spell
    following: Spell
    planned: int | None


def close_account(
    chain: Chain, terms: Terms, *, totals_only: bool = False, apart: Collection[str] = ()
) -> Ledger:
    """Add the spells of one alternative up to its account.

    Parameters
    ----------
    chain : Chain
        Spell of the roof that stands, and of the roof that follows.
    terms : Terms
        Discount rate, escalation, holding period, prices of time.
    totals_only : bool
        Whether to leave out categories, counts and chances.
    apart : collection of str
        Categories that are no part of the totals.

    Returns
    -------
    Ledger

    Examples
    --------
    A roof that never wears out or leaks, resealed for 100 every 12 months, at a rate of 25 % a year. The
    reseal of month 12 comes after a sale in that month: sold after 1, 2, 3 years it costs nothing, 80, and
    80 + 64. It is laid anew for 500 today, and the roof that follows is resealed in the same months.

    >>> from lifecycle.evaluation.expectation import chains
    >>> from lifecycle.roofs import Alternative, Case, Existing, Leaks, Roof, Terms, Visit
    >>> roof = Roof("roof", 1.0, np.inf, renew_cost=500.0, visits=(Visit("reseal", 12, 100.0, restores=1.0),))
    >>> terms, leaks = Terms(3, 3, 0.25), Leaks(rot_time=2.0, severe_after=1.0)
    >>> keep = Alternative("keep", "", roof, roof, None, 500.0, 0.0, base_case=True)
    >>> anew = Alternative("anew", "", roof, roof, 0, 500.0, 0.0)
    >>> found = chains(Case(terms, leaks, Existing(roof, 0, 0), (keep, anew)))
    >>> close_account(found["keep"], terms).net_present_cost.round(6)
    array([[  0.,   0.,  80., 144.]])
    >>> account = close_account(found["anew"], terms)
    >>> account.net_present_cost.round(6)
    array([[  0., 500., 580., 644.]])
    >>> {name: round(float(cost[0]), 6) for name, cost in account.by_category.items() if cost[0]}
    {'upkeep: reseal': 144.0, 'initial': 500.0}
    """
    rows, draws = chain.following.standing.start.shape
    years = terms.study_period
    laid = renewals(chain.existing.ended(rows), chain.following.renewed(rows))
    holding = np.broadcast_to(holding_months(terms), (draws,))

    at_year = _same_whole_year(holding) if totals_only else None
    totals, at_holding = np.zeros((years + 1, draws)), np.zeros(draws)
    by_category: dict[str, Array] = {}
    kept_apart: dict[str, Apart] = {}
    for group in _by_escalation(chain, terms, apart):
        sums = _Sums(chain, laid, _factors(rows, terms, group.escalation), holding)
        if not totals_only:
            by_category |= {name: sums.to_holding(*pair) for name, pair in group.parts.items()}
        for name in group.apart:
            own, new = group.parts[name]
            by_year = sums.by_year(_sum([own], chain.existing), _sum([new], chain.following), years)
            kept_apart[name] = Apart(by_year.T, sums.to_holding(own, new))
        totals += sums.by_year(group.own, group.new, years)
        if at_year is None:
            at_holding += sums.to_holding(Flow(*group.own), Flow(*group.new))
    sale, found, residual = _sales(chain, laid, _factors(rows, terms, 0.0), holding, years)
    expected: dict[str, Array] = {}
    if not totals_only:
        plain = _Sums(chain, laid, np.ones((rows, 1)), holding)
        expected = {name: plain.to_holding(*pair) for name, pair in _counts(chain).items()}
        by_category["initial"] = np.zeros(draws)
        if chain.planned == 0:
            by_category["initial"] = by_category["initial"] + chain.existing.flows["renewal"].after[-1]
            expected["renewals"] = expected["renewals"] - chain.existing.standing.changed[-1]
        by_category["renewal"] = by_category["renewal"] - by_category["initial"]
        by_category["sale"] = found - residual
    first, first_at_holding = _first_change(chain, terms, holding, years)
    return Ledger(
        (totals + sale).T,
        (at_holding if at_year is None else totals[at_year]) + found - residual,
        by_category,
        expected,
        np.empty((draws, 0)) if totals_only else _chance_renewed(chain, years),
        first.T,
        first_at_holding,
        residual,
        kept_apart,
    )


def holding_months(terms: Terms) -> Whole:
    """Return the month of the sale that stands for the holding period, shape () or (draws,).

    Raises
    ------
    ValueError
        If it lies outside the study period.
    """
    months = np.rint(12.0 * np.asarray(terms.holding_period, dtype=float))
    if not np.all((months >= 0.0) & (months <= terms.months)):
        raise ValueError(f"the years kept must lie within the study period of {terms.study_period} years")
    return months.astype(np.int64)


def financed(loan: Loan, terms: Terms, sold_at_month: Whole, draws: int = 1) -> Array:
    """Return what a loan costs at a sale in some months, shape (months,) or of each draw, (draws, months).

    In money of today, less the principal, shape (draws, months). [money]
    """
    cost = financing_cost(
        np.broadcast_to(np.asarray(loan.principal, dtype=float), (draws,)),
        rate=np.asarray(loan.rate, dtype=float),
        months=loan.months,
        sold_at_month=sold_at_month,
        nominal_discount_rate=nominal_rate(np.asarray(terms.discount_rate), np.asarray(terms.inflation)),
    )
    return np.asarray(cost)


def _same_whole_year(holding: Whole) -> int | None:
    """Return the year that all draws are sold after, or None if they differ or it is no whole one."""
    first = int(holding[0])
    return first // 12 if first % 12 == 0 and np.all(holding == first) else None


def _factors(rows: int, terms: Terms, escalation: Number) -> Array:
    """Discount factors by month, shape (rows, draws or 1); each is the one before times a month's."""
    rate = np.atleast_1d(np.asarray(terms.discount_rate, dtype=float))
    month = np.atleast_1d(discount_factor(1.0, discount_rate=rate, escalation=np.asarray(escalation)))
    factors = np.ones((rows, month.size))
    for row in range(1, rows):
        np.multiply(factors[row - 1], month, out=factors[row])
    return factors


Pair = tuple[Flow | None, Flow | None]
"""A flow of the existing roof's spell, and the same of a new roof's."""

Both = tuple[Array, Array]
"""Amounts of one spell before and after the sale of a month; shapes (months + 1, draws), (days, draws)."""


@dataclass(frozen=True)
class _Group:
    """Categories that share one rate of escalation, and their sums over those that are not kept apart."""

    escalation: Number
    parts: dict[str, Pair]
    apart: list[str]
    own: Both
    new: Both


def _by_escalation(chain: Chain, terms: Terms, apart: Collection[str]) -> list[_Group]:
    """Turn the flows of both spells into money, and group them by rate of escalation."""
    grouped: dict[float, dict[str, Pair]] = {}
    rates: dict[float, Number] = {}
    prices = {"days": terms.day_cost, "hours": terms.hour_value}
    for name in dict.fromkeys([*chain.existing.flows, *chain.following.flows]):
        own, new = chain.existing.flows.get(name), chain.following.flows.get(name)
        if name in prices:
            own, new = _priced(own, prices[name]), _priced(new, prices[name])
        rate = terms.escalation.get(name.split(":")[0], 0.0)
        key = float(rate) if np.ndim(rate) == 0 else float(id(rate))
        rates[key] = rate
        grouped.setdefault(key, {})[name] = own, new
    groups = []
    for key, parts in grouped.items():
        alone = [name for name in parts if name.split(":")[0] in apart]
        together = [pair for name, pair in parts.items() if name not in alone]
        own_sum = _sum([own for own, _ in together], chain.existing)
        new_sum = _sum([new for _, new in together], chain.following)
        groups.append(_Group(rates[key], parts, alone, own_sum, new_sum))
    return groups


def _counts(chain: Chain) -> dict[str, Pair]:
    """Return what is counted, of both spells."""
    own, new = ({**spell.counts, **spell.flows} for spell in (chain.existing, chain.following))
    return {name: (own[name], new[name]) for name in COUNTS}


def _priced(flow: Flow | None, price: Number) -> Flow | None:
    """Turn a count into money."""
    if flow is None:
        return None
    return Flow(None if flow.before is None else flow.before * price, flow.after * price)


def _sum(flows: list[Flow | None], spell: Spell) -> Both:
    """Add flows of one spell, before and after the sale of a month; none: zeros."""
    before = np.zeros_like(spell.standing.start)
    after = np.zeros_like(spell.standing.renewed_after)
    for flow in flows:
        if flow is not None:
            after += flow.after
            if flow.before is not None:
                before += flow.before
    return before, after


class _Sums:
    """Discounted sums of amounts of both spells to a sale.

    Parameters
    ----------
    chain : Chain
        Spell of the roof that stands, and of the roof that follows.
    laid : ndarray, shape (months + 1, draws)
        Expected number of new roofs laid. [roofs]
    factor : ndarray, shape (months + 1, draws or 1)
        Discount factor of the month. [-]
    holding : ndarray of int, shape (draws,)
        Month of the sale that stands for the holding period. [months]
    """

    def __init__(self, chain: Chain, laid: Array, factor: Array, holding: Whole) -> None:
        self.factor = factor
        self.own_days, self.new_days = chain.existing.days, chain.following.days
        rows, draws = laid.shape
        self.own_rows = chain.existing.standing.start.shape[0]
        self.running = np.zeros((rows + 1, draws))  # roofs laid before month t, discounted
        self.running[1:] = running_sum(laid * factor)
        self.holding = holding

    @cached_property
    def _weights(self) -> tuple[Array, Array, Array, Array]:
        """Weights that turn monthly flows into present value at a sale after the holding period."""
        holding, days = self.holding, self.new_days[:, None]
        month = np.arange(self.factor.shape[0])[:, None]
        own = slice(0, self.own_rows)
        return (
            self.factor[own] * (month[own] <= holding),
            self.factor[self.own_days] * (self.own_days[:, None] < holding),
            self.factor * _by_draw(self.running, np.maximum(holding - month + 1, 0)),
            self.factor[self.new_days] * _by_draw(self.running, np.maximum(holding - days, 0)),
        )

    def to_holding(self, own: Flow | None, new: Flow | None) -> Array:
        """Return the sum to the holding period, shape (draws,)."""
        own_before, own_after, new_before, new_after = self._weights
        return _weighed(own, own_before, own_after) + _weighed(new, new_before, new_after)

    def by_year(self, own: Both, new: Both, years: int) -> Array:
        """Return the sum to a sale at the end of each year 0 ... years, shape (years + 1, draws)."""
        own_before = running_sum(own[0] * self.factor[: self.own_rows])
        own_after = running_sum(own[1] * self.factor[self.own_days])
        new_before, new_after = new[0] * self.factor, new[1] * self.factor[self.new_days]
        out = np.zeros((years + 1, self.running.shape[1]))
        for year in range(1, years + 1):
            month = 12 * year
            out[year] = own_before[min(month, self.own_rows - 1)]
            past_days = int(np.searchsorted(self.own_days, month))
            if past_days:
                out[year] += own_after[past_days - 1]
            out[year] += _dot(new_before[: month + 1], self.running[month + 1 : 0 : -1])
            past_days = int(np.searchsorted(self.new_days, month))
            out[year] += _dot(new_after[:past_days], self.running[month - self.new_days[:past_days]])
        return out


def _weighed(flow: Flow | None, before: Array, after: Array) -> Array:
    """Sum a flow by the weights of its months and its days, shape (draws,); none: zeros."""
    if flow is None:
        return np.zeros(before.shape[1])
    total = _dot(after, flow.after)
    return total if flow.before is None else total + _dot(before, flow.before)


def _by_draw(values: Array, row: Whole) -> Array:
    """Pick a row for each draw: ``out[i, d] = values[row[i, d], d]``."""
    if np.all(row == row[:, :1]):
        return values[row[:, 0]]
    return np.take_along_axis(values, np.broadcast_to(row, (row.shape[0], values.shape[1])), axis=0)


def _dot(left: Array, right: Array) -> Array:
    """Sum of products over months, shape (draws,)."""
    return np.asarray(np.einsum("td,td->d", np.broadcast_to(left, right.shape), right))


def _sales(
    chain: Chain, laid: Array, factor: Array, holding: Whole, years: int
) -> tuple[Array, Array, Array]:
    """Return what a sale costs by year, and found leaks and residual value at the holding period.

    Shapes (years + 1, draws), (draws,), (draws,); discounted. [money]
    """
    rows, draws = laid.shape
    every = np.arange(rows)
    new = dict(zip(("found", "residual"), chain.following.sold_at_any_age, strict=True))
    renewed_before = chain.following.standing.renewed_before
    standing = chain.existing.standing

    ends = np.unique(np.concatenate([12 * np.arange(1, years + 1), holding]))
    within = ends[ends < standing.start.shape[0]]
    own = {"found": np.zeros((rows, draws)), "residual": np.zeros((rows, draws))}
    own["found"][within] = chain.existing.found_at_sale(within)
    own["residual"][within] = chain.existing.residual_value(within)
    own_renewed = np.zeros((rows, draws))
    own_renewed[: standing.start.shape[0]] = standing.renewed_before

    def value(kind: str, own_now: Array, renewed_now: Array, lag: Array) -> Array:
        """Add the existing roof, new ones j months old, and one laid in step 2 of the month."""
        last = lag.shape[0]
        sold_new = renewed_now + _dot(lag[1:], renewed_before[1:last])
        return np.asarray(own_now + _dot(lag[1:], new[kind][1:last]) + sold_new * new[kind][0])

    by_year = np.zeros((years + 1, draws))
    if any(np.any(values) for values in (*new.values(), *own.values())):
        net = {"net": new["found"] - new["residual"]}
        new |= net
        for year in range(1, years + 1):
            month = 12 * year
            own_now = own["found"][month] - own["residual"][month]
            by_year[year] = value("net", own_now, own_renewed[month], laid[month::-1]) * factor[month]
    lag = _by_draw(laid, np.maximum(holding - every[:, None], 0)) * (every[:, None] <= holding)
    at = holding[None]
    own_at = {kind: _by_draw(values, at)[0] for kind, values in own.items()}
    renewed_at = _by_draw(own_renewed, at)[0]
    discount = _by_draw(np.broadcast_to(factor, (rows, draws)), at)[0]
    found, residual = (value(kind, own_at[kind], renewed_at, lag) * discount for kind in own)
    return by_year, found, residual


def _first_change(chain: Chain, terms: Terms, holding: Whole, years: int) -> tuple[Array, Array]:
    """Return the discounted number of first changes, by year (years + 1, draws) and at the holding period."""
    standing = chain.existing.standing
    rows = terms.months + 1
    factor = _factors(rows, terms, terms.escalation.get("renewal", 0.0))
    ended = np.zeros((rows, standing.start.shape[1]))
    ended[chain.existing.days] = standing.renewed_after + standing.changed
    before = np.zeros_like(ended)
    before[: standing.start.shape[0]] = standing.renewed_before
    after = running_sum(ended * factor)
    to_sale = running_sum(before * factor)
    to_sale[1:] += after[:-1]
    by_year = np.concatenate([np.zeros_like(to_sale[:1]), to_sale[12 : 12 * years + 1 : 12]])
    return by_year, _by_draw(to_sale, holding[None])[0]


def _chance_renewed(chain: Chain, years: int) -> Array:
    """Chance of an unplanned new roof by year, shape (draws, years + 1)."""
    rows = 12 * years + 1
    months = 12 * np.arange(years + 1)
    chance = _renewed_by(chain.existing, rows)[months]
    if chain.planned is not None and chain.planned < rows:
        following = _renewed_by(chain.following, rows)
        later = months >= chain.planned
        chance[later] += chain.existing.standing.changed[-1] * following[months[later] - chain.planned]
    chance[0] = 0.0
    return chance.T


def _renewed_by(spell: Spell, rows: int) -> Array:
    """Mass renewed without a plan before a sale in each month, shape (rows, draws)."""
    after = np.zeros((rows, spell.standing.start.shape[1]))
    after[spell.days] = spell.standing.renewed_after
    renewed = running_sum(spell.renewed(rows))
    return renewed - after
