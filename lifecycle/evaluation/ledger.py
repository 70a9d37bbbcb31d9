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

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import discount_factor
from lifecycle.evaluation.renewal import renewals
from lifecycle.evaluation.spell import Flow, Spell
from lifecycle.roofs import Terms

Array = NDArray[np.float64]

COUNTS = ("renewals", "leaks", "severe finds", "days", "hours")
"""What is counted besides money, in the order of results."""


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
        Chance of an unplanned new roof by year. [-]
    first_change : ndarray, shape (draws, years + 1)
        Discounted expected number of first changes paid by a sale in the year. [-]
    first_change_at_holding : ndarray, shape (draws,)
        The same at the holding period. [-]
    residual_at_holding : ndarray, shape (draws,)
        Present value of the residual value at the holding period. [money]
    """

    net_present_cost: Array
    at_holding: Array
    by_category: Mapping[str, Array]
    expected: Mapping[str, Array]
    chance_renewed: Array
    first_change: Array
    first_change_at_holding: Array
    residual_at_holding: Array


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

    def laid(self) -> Array:
        """Expected number of new roofs laid by month, shape (months + 1, draws)."""
        first = self.existing.standing.renewed + self.existing.standing.changed
        return renewals(first, self.following.standing.renewed)

    def laid_before_sale(self, laid: Array, month: int) -> Array:
        """Expected number of new roofs laid in step 2 of one month, shape (draws,)."""
        young_first = self.following.standing.renewed_before[1 : month + 1][::-1]
        from_new = np.einsum("jd,jd->d", young_first, laid[:month])
        return np.asarray(self.existing.standing.renewed_before[month] + from_new)


def close_account(chain: Chain, terms: Terms) -> Ledger:
    """Add the spells of one alternative up to its account.

    Parameters
    ----------
    chain : Chain
        Its spells; arrays of shape (months + 1, draws).
    terms : Terms
        Discount rate, escalation, holding period, prices of time.

    Returns
    -------
    Ledger
    """
    laid = chain.laid()
    rows, draws = laid.shape
    years = terms.study_period
    sales = [np.full(draws, 12 * year) for year in range(1, years + 1)]
    holding = np.rint(12.0 * np.broadcast_to(np.asarray(terms.holding_period, dtype=float), (draws,)))
    ends = np.stack([*sales, holding.astype(np.int64)])  # (years + 1, draws): month of each sale

    money, counts = _by_escalation(chain, terms)
    totals = np.zeros((years + 1, draws))
    by_category: dict[str, Array] = {}
    for group in money:
        factor = _factors(rows, terms, group.escalation)
        weights = _Weights(laid, factor, ends)
        totals += weights.total(group.existing, group.following)
        for name, (own, next_one) in group.parts.items():
            by_category[name] = weights.at_holding(own, next_one)
    expected = {}
    plain = _Weights(laid, np.ones((rows, 1)), ends[-1:])
    for name, (own, next_one) in counts.items():
        expected[name] = plain.at_holding(own, next_one)

    found, residual = _sale(chain, laid, ends, terms)
    initial = _initial(chain, terms)
    by_category["initial"] = initial
    by_category["renewal"] = by_category["renewal"] - initial
    by_category["sale"] = found[-1] - residual[-1]
    totals += found - residual
    first = _first_change(chain, terms, ends)
    for_expected = float(chain.planned == 0)
    expected["renewals"] = expected["renewals"] - for_expected * chain.existing.standing.changed[0]
    return Ledger(
        _with_year_0(totals[:-1]),
        totals[-1],
        by_category,
        expected,
        _chance_renewed(chain, years),
        _with_year_0(first[:-1]),
        first[-1],
        residual[-1],
    )


def _with_year_0(by_year: Array) -> Array:
    """Turn (years, draws) into (draws, years + 1) with 0 in year 0."""
    return np.concatenate([np.zeros((1, by_year.shape[1])), by_year]).T


def _factors(rows: int, terms: Terms, escalation: object) -> Array:
    """Discount factors by month, shape (rows, draws or 1)."""
    months = np.arange(rows)[:, None]
    return np.asarray(
        discount_factor(months, discount_rate=np.asarray(terms.discount_rate), escalation=escalation)  # type: ignore[arg-type]
    )


@dataclass(frozen=True)
class _Group:
    """Categories that share one rate of escalation, and their sums."""

    escalation: object
    parts: dict[str, tuple[Flow | None, Flow | None]]
    existing: Flow
    following: Flow


def _by_escalation(
    chain: Chain, terms: Terms
) -> tuple[list[_Group], dict[str, tuple[Flow | None, Flow | None]]]:
    """Sort the flows of both spells into money, by rate of escalation, and counts."""
    names = list(dict.fromkeys([*chain.existing.flows, *chain.following.flows]))
    sorted_flows: dict[object, dict[str, tuple[Flow | None, Flow | None]]] = {}
    rates: dict[object, object] = {}
    counts: dict[str, tuple[Flow | None, Flow | None]] = {}
    for name in names:
        pair = chain.existing.flows.get(name), chain.following.flows.get(name)
        if name in COUNTS:
            counts[name] = pair
        if name in ("days", "hours"):
            price = terms.day_cost if name == "days" else terms.hour_value
            pair = _priced(pair[0], price), _priced(pair[1], price)
        elif name in COUNTS:
            continue
        rate = terms.escalation.get(name.split(":")[0], 0.0)
        key = float(rate) if np.ndim(rate) == 0 else id(rate)
        rates[key] = rate
        sorted_flows.setdefault(key, {})[name] = pair
    groups = [
        _Group(rates[key], parts, _sum([p[0] for p in parts.values()]), _sum([p[1] for p in parts.values()]))
        for key, parts in sorted_flows.items()
    ]
    return groups, counts


def _priced(flow: Flow | None, price: object) -> Flow | None:
    """Turn a count into money."""
    if flow is None:
        return None
    return Flow(flow.before * np.asarray(price), flow.after * np.asarray(price))


def _sum(flows: list[Flow | None]) -> Flow:
    """Add flows."""
    present = [flow for flow in flows if flow is not None]
    before, after = present[0].before.copy(), present[0].after.copy()
    for flow in present[1:]:
        before += flow.before
        after += flow.after
    return Flow(before, after)


class _Weights:
    """What an amount of either spell counts for, at each sale: discounted, and by roofs laid."""

    def __init__(self, laid: Array, factor: Array, ends: NDArray[np.int64]) -> None:
        rows, draws = laid.shape
        self.factor = factor
        self.ends = ends
        self.rows = np.arange(rows)[:, None]
        self.running = np.zeros((rows + 1, draws))  # roofs laid before month t, discounted
        np.cumsum(laid * factor, axis=0, out=self.running[1:])
        self._holding = self._weights(ends[-1])

    def _weights(self, end: NDArray[np.int64]) -> tuple[Array, Array, Array, Array]:
        """Weights of amounts before and after the sale of their month, for both spells."""
        before, after = self.rows <= end, self.rows < end
        roofs_before = np.take_along_axis(self.running, np.maximum(end - self.rows + 1, 0), axis=0)
        roofs_after = np.take_along_axis(self.running, np.maximum(end - self.rows, 0), axis=0)
        factor = self.factor
        return factor * before, factor * after, factor * roofs_before, factor * roofs_after

    def at_holding(self, own: Flow | None, next_one: Flow | None) -> Array:
        """Return the sum to the last of the sales, shape (draws,)."""
        before, after, roofs_before, roofs_after = self._holding
        total = np.zeros(self.running.shape[1])
        if own is not None:
            total += _dot(before, own.before) + _dot(after, own.after)
        if next_one is not None:
            total += _dot(roofs_before, next_one.before) + _dot(roofs_after, next_one.after)
        return total

    def total(self, own: Flow, next_one: Flow) -> Array:
        """Return the sum to each of the sales, shape (sales, draws)."""
        out = np.empty(self.ends.shape)
        running = np.zeros_like(self.running)
        np.cumsum(own.before * self.factor, axis=0, out=running[1:])
        own_after = np.zeros_like(self.running)
        np.cumsum(own.after * self.factor, axis=0, out=own_after[1:])
        new_before, new_after = next_one.before * self.factor, next_one.after * self.factor
        for number, end in enumerate(self.ends[:-1]):
            month = int(end[0])
            out[number] = running[month + 1] + own_after[month]
            out[number] += _dot(new_before[: month + 1], self.running[month + 1 : 0 : -1])
            out[number] += _dot(new_after[: month + 1], self.running[month::-1])
        out[-1] = self.at_holding(own, next_one)
        return out


def _dot(left: Array, right: Array) -> Array:
    """Sum of products over months, shape (draws,)."""
    if left.shape != right.shape:
        left = np.broadcast_to(left, right.shape)
    return np.asarray(np.einsum("td,td->d", left, right))


def _sale(chain: Chain, laid: Array, ends: NDArray[np.int64], terms: Terms) -> tuple[Array, Array]:
    """Return discounted leaks found at a sale, and residual value, by sale; shape (sales, draws)."""
    rows, draws = laid.shape
    factor = np.broadcast_to(_factors(rows, terms, 0.0), (rows, draws))
    values = [
        (chain.existing.found_at_sale, chain.following.found_at_sale),
        (chain.existing.residual_value(), chain.following.residual_value()),
    ]
    out = []
    for own, new in values:
        sums = np.zeros(ends.shape)
        if np.any(own) or np.any(new):
            for number, end in enumerate(ends):
                for month in np.unique(end):
                    which = np.flatnonzero(end == month)
                    some = slice(None) if which.size == draws else which
                    sums[number, some] = _standing_value(chain, laid, own, new, int(month), some)
        out.append(sums * np.take_along_axis(factor, ends, axis=0))
    return out[0], out[1]


def _standing_value(
    chain: Chain, laid: Array, own: Array, new: Array, month: int, some: slice | NDArray[np.int64]
) -> Array:
    """Value of what stands at a sale in one month, for some draws."""
    sold_new = chain.laid_before_sale(laid[:, some], month) if isinstance(some, slice) else None
    if sold_new is None:
        sold_new = chain.laid_before_sale(laid, month)[some]
    older = np.einsum("jd,jd->d", new[1 : month + 1, some][::-1], laid[:month, some])
    return np.asarray(own[month, some] + older + sold_new * new[0, some])


def _initial(chain: Chain, terms: Terms) -> Array:
    """Return the price of a change today, shape (draws,)."""
    if chain.planned != 0:
        return np.zeros(chain.existing.standing.start.shape[1])
    return np.asarray(chain.existing.flows["renewal"].after[0])


def _first_change(chain: Chain, terms: Terms, ends: NDArray[np.int64]) -> Array:
    """Return the discounted expected number of first changes by sale, shape (sales, draws)."""
    standing = chain.existing.standing
    rows = standing.start.shape[0]
    factor = _factors(rows, terms, terms.escalation.get("renewal", 0.0))
    before = np.cumsum(standing.renewed_before * factor, axis=0)
    after = np.zeros((rows + 1, standing.start.shape[1]))
    np.cumsum((standing.renewed_after + standing.changed) * factor, axis=0, out=after[1:])
    return np.take_along_axis(before, ends, axis=0) + np.take_along_axis(after, ends, axis=0)


def _chance_renewed(chain: Chain, years: int) -> Array:
    """Chance of an unplanned new roof by year, shape (draws, years + 1)."""
    months = 12 * np.arange(years + 1)
    chance = _by_month(chain.existing)[months]
    if chain.planned is not None and chain.planned < chain.existing.standing.start.shape[0]:
        following = _by_month(chain.following)
        changed = chain.existing.standing.changed[chain.planned]
        later = months >= chain.planned
        chance[later] += changed * following[months[later] - chain.planned]
    chance[0] = 0.0
    return chance.T


def _by_month(spell: Spell) -> Array:
    """Mass renewed without a plan before a sale in each month, shape (months + 1, draws)."""
    standing = spell.standing
    after = np.zeros_like(standing.start)
    after[1:] = np.cumsum(standing.renewed_after, axis=0)[:-1]
    return np.asarray(np.cumsum(standing.renewed_before, axis=0) + after)
