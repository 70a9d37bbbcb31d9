"""Money of simulated lives: what happened to roofs, turned into each life's account.

Lecture
-------
A life is one coach under one alternative. Its account has a total for each year of sale N, and
categories at the holding period. An amount at instant i (`lives`: ``2 t`` before the sale of month
t, ``2 t + 1`` after it) counts for a sale in month H if ``i <= 2 H``: so it is written once, into
the first year that counts it, and the totals are a running sum over years.

What a roof costs as long as it stands is looked up (`upkeep_of`). What a sale alone brings
(residual value, leaks that the buyer finds) is kept apart and written for that year only.

At a sale each hidden leak is found by the buyer with probability `found_at_sale` and then costs its
damage; if a severe or an end leak is among those found, the buyer also takes off the standing
roof's `renew_cost`, once. Hidden leaks are Poisson, so this happens with probability
``1 - exp(-found_at_sale x expected hidden severe or end leaks)``: the mean is the model's.

A *bill* is what leak damage and an unplanned renewal cost in one month, in real money of that
month: not discounted, before warranty and insurance, without visits and the planned change.

Costs are positive, receipts negative. Left out: what the owner could have put aside.

*What a roof costs as long as it stands*. Visits, the owner's hours, days out of use for visits, and
energy are not a matter of luck: they are the same for all roofs of a kind that were laid in month L and
stand at the age j. With v the discount factor of a month at the escalation of a line, and c(i) its amount
at age i::

    cost to age j = sum over lines of v^L (c(0) + v c(1) + ... + v^j c(j))

for ``v^(L + i) = v^L v^i``. So each line needs one running sum, and all lines together one table by L
and j. Ages are counted in instants, as in `lives`: ``2 j`` before a sale in the month, ``2 j + 1``
after it. The roof pays energy before the sale of each month but its first, and visits after it.
The residual value at a sale depends on L and j alone as well, and is in the table too.

Left out of these tables: the end of the roof, and its leaks.
Source: derived from the model.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lifecycle.deterioration import damage, residual_share
from lifecycle.economics import discount_factor
from lifecycle.evaluation.ledger import COUNTS
from lifecycle.evaluation.lives import Course, Fates
from lifecycle.evaluation.timeline import END, PUNCTURE, TOLERANCE
from lifecycle.quantities import Array, Flags, Whole
from lifecycle.roofs import ESCALATING, Leaks, Terms


@dataclass(frozen=True)
class Prices:
    """Terms of the account as the lives need them.

    Parameters
    ----------
    terms : Terms
        Terms of the account, one number each.
    factors : dict of str to ndarray, shape (months + 1,)
        Discount factor of each category by month; `"sale"` does not escalate. [-]
    rises : dict of str to ndarray, shape (months + 1,)
        Real rise of the price of each category by month. [-]
    """

    terms: Terms
    factors: dict[str, Array]
    rises: dict[str, Array]


def prices_of(terms: Terms) -> Prices:
    """Return discount factors and price rises by category and month.

    Parameters
    ----------
    terms : Terms
        Terms of the account, one number each.

    Returns
    -------
    Prices
    """
    months = np.arange(terms.months + 1)
    rate = float(terms.discount_rate)
    growth = {name: float(terms.escalation.get(name, 0.0)) for name in ESCALATING} | {"sale": 0.0}
    return Prices(
        terms,
        {
            name: np.asarray(discount_factor(months, discount_rate=rate, escalation=rise))
            for name, rise in growth.items()
        },
        {name: np.asarray((1.0 + rise) ** (months / 12.0)) for name, rise in growth.items()},
    )


@dataclass(frozen=True)
class Upkeep:
    """What a kind of roof costs as long as it stands.

    Parameters
    ----------
    money : dict of str to ndarray, shape (2 months + 2,)
        Name of a line -> its running sum by instant of the spell, discounted to its start. [money]
    counts : dict of str to ndarray, shape (2 months + 2,)
        Running sums of days and hours. [days, h]
    paid : ndarray, shape (months, 2 months + 2)
        All lines together, discounted to the base date, by the month of laying and instant. [money]
    sold : ndarray, shape (months, months + 1)
        The same to a sale, less the residual value then, by the month of laying and age. [money]
    residual : ndarray, shape (months + 1,)
        Residual value by age. [money]
    """

    money: dict[str, Array]
    counts: dict[str, Array]
    paid: Array
    sold: Array
    residual: Array


def upkeep_of(course: Course, prices: Prices, laid_in: int) -> Upkeep:
    """Return what a kind of roof costs as long as it stands.

    Parameters
    ----------
    course : Course
        Tables of this kind of roof.
    prices : Prices
        Terms of the account.
    laid_in : int
        Last month in which one may be laid; the first is 0. [months]

    Returns
    -------
    Upkeep
    """
    terms, roof = prices.terms, course.roof
    rows = len(course.due)
    lines = {f"upkeep: {visit.name}": np.zeros((rows, 2)) for visit in roof.all_visits}
    counts = {"days": np.zeros((rows, 2)), "hours": np.zeros((rows, 2))}
    for month, visits in enumerate(course.due):
        for visit in visits:
            lines[f"upkeep: {visit.name}"][month, 1] += float(visit.cost)
            counts["days"][month, 1] += float(visit.days)
            counts["hours"][month, 1] += float(visit.hours)
    lines["days"] = counts["days"] * float(terms.day_cost)
    lines["hours"] = counts["hours"] * float(terms.hour_value)
    lines["energy"] = np.zeros((rows, 2))
    lines["energy"][1:, 0] = float(roof.energy_cost) / 12.0
    money = {
        name: np.cumsum((amount * line_factor(prices, name)[:, None]).ravel())
        for name, amount in lines.items()
    }
    laid = np.arange(laid_in + 1)
    paid = sum(
        (np.multiply.outer(line_factor(prices, name)[laid], running) for name, running in money.items()),
        np.zeros((laid.size, 2 * rows)),
    )
    unused = residual_share(course.effective_age, shape=roof.life_shape, scale=roof.life_scale)
    residual = float(roof.resale_share) * float(roof.renew_cost) * np.asarray(unused)
    at_base_date = np.multiply.outer(prices.factors["sale"][laid], prices.factors["sale"] * residual)
    return Upkeep(
        money,
        {name: np.cumsum(number.ravel()) for name, number in counts.items()},
        paid,
        paid[:, ::2] - at_base_date,
        residual,
    )


def line_factor(prices: Prices, line: str) -> Array:
    """Return the discount factors of a line of the account, ``"upkeep: NAME"`` or a category.

    Parameters
    ----------
    prices : Prices
        Terms of the account.
    line : str
        Name of the line.

    Returns
    -------
    ndarray, shape (months + 1,)
        By month. [-]
    """
    return prices.factors[line.split(":")[0]]


class LifeAccount:
    """The accounts of some lives under one alternative, written roof by roof.

    Parameters
    ----------
    prices : Prices
        Terms of the account.
    leaks : Leaks
        Leak figures.
    lives : int
        Number of lives.
    lines : tuple of str
        Names of the lines: categories, and upkeep by visit.
    honoured : mapping of str to ndarray of bool, shape (lives,)
        By name of roof: whether its warranty is honoured in each life.
    """

    def __init__(
        self,
        prices: Prices,
        leaks: Leaks,
        lives: int,
        lines: tuple[str, ...],
        honoured: Mapping[str, Flags],
    ) -> None:
        terms = prices.terms
        self.honoured = honoured
        self.prices, self.leaks, self.lives = prices, leaks, lives
        self.years, self.months = terms.study_period, terms.months
        self.holding = 2 * round(12.0 * float(terms.holding_period))
        size = lives * (self.years + 1)
        self.paid, self.at_sale, self.bills = np.zeros(size), np.zeros(size), np.zeros(size)
        self.by_line = {name: np.zeros(lives) for name in lines}
        self.counts = {name: np.zeros(lives) for name in COUNTS}
        self.residual = np.zeros(lives)
        self.first_change = np.full(lives, 2 * self.months + 2)
        never = self.years + 1
        self.new_roof, self.severe_find, self.leak_found = (np.full(lives, never) for _ in range(3))

    def totals(self) -> Array:
        """Net-present cost by year of sale, shape (lives, years + 1). [money]"""
        shape = self.lives, self.years + 1
        totals: Array = np.cumsum(self.paid.reshape(shape), axis=1) + self.at_sale.reshape(shape)
        return totals

    def largest_bills(self) -> Array:
        """Largest bill by year of sale, shape (lives, years + 1). [money]"""
        bills: Array = np.maximum.accumulate(self.bills.reshape(self.lives, self.years + 1), axis=1)
        return bills

    def first_changes(self) -> tuple[Array, Array]:
        """Return discounted first changes by year of sale, (lives, years + 1), and to the holding period."""
        changed = self.first_change <= 2 * self.months
        worth = changed * self.prices.factors["renewal"][np.minimum(self.first_change >> 1, self.months)]
        counted = self._year(self.first_change)[:, None] <= np.arange(self.years + 1)
        return worth[:, None] * counted, worth * (self.first_change <= self.holding)

    def enter(
        self, life: Whole, laid: Whole, course: Course, upkeep: Upkeep, fates: Fates, *, first: bool
    ) -> None:
        """Post one roof's costs to each simulated life's account.

        Parameters
        ----------
        life : ndarray of int, shape (roofs,)
            The life of each roof.
        laid : ndarray of int, shape (roofs,)
            When it was laid. [instants]
        course : Course
            Tables of its kind of roof.
        upkeep : Upkeep
            What its kind costs as long as it stands.
        fates : Fates
            What happened to it.
        first : bool
            Whether it is the roof that stands at the base date.
        """
        self._stand(life, laid, upkeep, fates)
        self._end(life, laid, course, upkeep, fates, first)
        self._leak(life, laid >> 1, course, fates)

    def _year(self, instant: Whole) -> Whole:
        """First year of sale that counts what happens at an instant."""
        return (instant + 23) // 24

    def _place(self, life: Whole, instant: Whole) -> Whole:
        """Where an amount at an instant belongs in the totals by year."""
        return life * (self.years + 1) + self._year(instant)

    def _pay(self, line: str, life: Whole, instant: Whole, amount: Array | float) -> None:
        """Write amounts at base-date prices."""
        worth = amount * line_factor(self.prices, line)[instant >> 1]
        np.add.at(self.paid, self._place(life, instant), worth)
        np.add.at(self.by_line[line], life, worth * (instant <= self.holding))

    def _count(self, name: str, life: Whole, instant: Whole, number: Array | float) -> None:
        """Count what happens to the holding period."""
        np.add.at(self.counts[name], life, number * (instant <= self.holding))

    def _stand(self, life: Whole, laid: Whole, upkeep: Upkeep, fates: Fates) -> None:
        """Write what roofs cost as long as they stand, and their residual value at each sale."""
        month, end = laid >> 1, fates.end
        start = np.maximum(1, self._year(laid))
        last = np.minimum(self.years, (2 * month + end - 1) // 24)
        which, year = _each_year(start, last)
        age = 12 * year - month[which]
        self.at_sale[life[which] * (self.years + 1) + year] += upkeep.sold[month[which], age]

        some = np.flatnonzero(laid <= self.holding)
        life, month = life[some], month[some]
        until = np.minimum(end[some], self.holding - 2 * month)
        for name, running in upkeep.money.items():
            self.by_line[name][life] += line_factor(self.prices, name)[month] * running[until]
        for name, running in upkeep.counts.items():
            self.counts[name][life] += running[until]
        stands = np.flatnonzero(end[some] > self.holding - 2 * month)
        at_sale = upkeep.residual[self.holding // 2 - month[stands]]
        self.residual[life[stands]] = at_sale * self.prices.factors["sale"][self.holding // 2]

    def _end(
        self, life: Whole, laid: Whole, course: Course, upkeep: Upkeep, fates: Fates, first: bool
    ) -> None:
        """Write what the end of roofs costs."""
        ended = np.flatnonzero(fates.end < course.never)
        life, month, end = life[ended], laid[ended] >> 1, fates.end[ended]
        instant = 2 * month + end
        self.paid[self._place(life, instant)] += upkeep.paid[month, end]
        planned = end == _planned_instant(course)
        if first:
            self.first_change[life] = instant
        today = first and course.planned == 0
        self._pay("initial" if today else "renewal", life, instant, course.end_cost)
        if not today:
            self._count("renewals", life, instant, 1.0)
        self._count("days", life, instant, course.end_days)
        self._pay("days", life, instant, course.end_days * float(self.prices.terms.day_cost))
        forced = life[~planned]
        self.new_roof[forced] = np.minimum(self.new_roof[forced], self._year(instant[~planned]))

        leaking = float(course.roof.warranty_leaking_ends) * fates.leaking_ends[ended]
        covered = self._under_warranty(course, life, end >> 1) * (fates.life_ended[ended] + leaking)
        worth = float(course.roof.warranty_share) * float(course.roof.renew_cost)
        self._pay("warranty", life, instant, -worth * covered)

    def _under_warranty(self, course: Course, life: Whole, age: Whole) -> Flags:
        """Whether the warranty still holds at an age in months of the spell, and is honoured in that life."""
        held: Flags = course.calendar_age + age <= 12.0 * float(course.roof.warranty_years) + TOLERANCE
        return held & self.honoured[course.roof.name][life]

    def _leak(self, life: Whole, month: Whole, course: Course, fates: Fates) -> None:
        """Write the leaks of roofs: started, found, uncovered, or hidden at a sale."""
        cells, cell = course.cells, fates.cell
        owner, start = life[fates.roof], 2 * month[fates.roof]
        born, end = 2 * cells.first[cell], fates.end[fates.roof]
        gone = np.minimum(fates.found, end)
        new = np.flatnonzero(born)
        self._count("leaks", owner[new], start[new] + born[new], 1.0)
        self._sell(owner, start, course, fates, born, gone)

        known = np.flatnonzero(start + gone <= 2 * self.months)
        owner, instant, age = owner[known], start[known] + gone[known], gone[known] >> 1
        found, cell = fates.found[known] <= end[known], cell[known]
        harm = self._damage(age - cells.since[cell])
        self._pay("leak damage", owner, instant, harm)
        self._claim(owner, instant, age, course, cell, harm)
        np.minimum.at(self.leak_found, owner, self._year(instant))

        severe = found & (age >= cells.severe_from[cell])
        mended = np.flatnonzero(found & ~severe)
        self._days(owner[mended], instant[mended], float(self.leaks.patch_days))
        grave = np.unique(fates.roof[known[severe]])  # a severe find ends its roof: one for each
        when = 2 * month[grave] + fates.end[grave]
        self._days(life[grave], when, float(self.leaks.severe_days))
        self._count("severe finds", life[grave], when, 1.0)
        self.severe_find[life[grave]] = np.minimum(self.severe_find[life[grave]], self._year(when))
        self._bill(owner, instant, harm, life, 2 * month + fates.end, course, fates)

    def _days(self, life: Whole, instant: Whole, days: float) -> None:
        """Count and pay days out of use."""
        self._count("days", life, instant, days)
        self._pay("days", life, instant, days * float(self.prices.terms.day_cost))

    def _damage(self, hidden: Array) -> Array:
        """Damage of leaks hidden for some months. [money]"""
        leaks = self.leaks
        return np.asarray(
            damage(
                hidden / 12.0, patch_cost=leaks.patch_cost, rot_cost=leaks.rot_cost, rot_time=leaks.rot_time
            )
        )

    def _claim(
        self, owner: Whole, instant: Whole, age: Whole, course: Course, cell: Whole, harm: Array
    ) -> None:
        """Write what warranty and insurance pay for leaks found or uncovered."""
        leaks, cells = self.leaks, course.cells
        puncture = cells.leak_class[cell] == PUNCTURE
        covered = np.flatnonzero(~puncture & self._under_warranty(course, owner, age))
        worth = float(course.roof.warranty_share) * float(leaks.patch_cost)
        self._pay("warranty", owner[covered], instant[covered], -worth)
        hidden = age - cells.since[cell]
        sudden = np.flatnonzero(puncture & (hidden <= 12.0 * float(leaks.sudden_within) + TOLERANCE))
        above = np.maximum(0.0, harm[sudden] - float(leaks.deductible))
        self._pay("insurance", owner[sudden], instant[sudden], -float(leaks.insured_share) * above)

    def _sell(
        self, owner: Whole, start: Whole, course: Course, fates: Fates, born: Whole, gone: Whole
    ) -> None:
        """Write what a buyer takes off for leaks that he sees, in each year, and at the holding period."""
        seen = np.flatnonzero(fates.seen_by_buyer)
        cell, owner, start = fates.cell[seen], owner[seen], start[seen]
        born, gone = start + born[seen], start + gone[seen]
        first = np.maximum(1, self._year(born))
        which, year = _each_year(first, np.minimum(self.years, (gone - 1) // 24))
        taken_off = self._taken_off(course, cell[which], 12 * year - start[which] // 2)
        place = owner[which] * (self.years + 1) + year
        worth = self.prices.factors["sale"][12 * year]
        self._take_off(self.at_sale, place, taken_off, worth, course)

        hidden = np.flatnonzero((born <= self.holding) & (self.holding < gone))
        taken_off = self._taken_off(course, cell[hidden], (self.holding - start[hidden]) // 2)
        worth = np.full(hidden.size, self.prices.factors["sale"][self.holding // 2])
        self._take_off(self.by_line["sale"], owner[hidden], taken_off, worth, course)

    def _taken_off(self, course: Course, cell: Whole, age: Whole) -> tuple[Array, Flags]:
        """Return the damage of leaks hidden at a sale, and whether the roof must be renewed for them."""
        cells = course.cells
        grave = (age >= cells.severe_from[cell]) | (cells.leak_class[cell] == END)
        return self._damage(age - cells.since[cell]), grave

    def _take_off(
        self,
        account: Array,
        place: Whole,
        taken_off: tuple[Array, Flags],
        worth: Array,
        course: Course,
    ) -> None:
        """Write what a buyer takes off: damage of each leak, and the roof's renewal once."""
        harm, grave = taken_off
        np.add.at(account, place, harm * worth)
        once, where = np.unique(place[grave], return_index=True)
        account[once] += float(course.roof.renew_cost) * worth[grave][where]

    def _bill(
        self,
        owner: Whole,
        instant: Whole,
        harm: Array,
        life: Whole,
        ended_at: Whole,
        course: Course,
        fates: Fates,
    ) -> None:
        """Keep the largest bill of a month; a part of it paid before a sale in that month counts there."""
        rises = self.prices.rises
        forced = np.flatnonzero((fates.end < course.never) & (fates.end != _planned_instant(course)))
        renewed = course.end_cost * rises["renewal"][ended_at[forced] >> 1]
        who = np.concatenate([owner, life[forced]])
        when = np.concatenate([instant, ended_at[forced]])
        amount = np.concatenate([harm * rises["leak damage"][instant >> 1], renewed])
        if not who.size:
            return
        month_key = who * (self.months + 2) + (when >> 1)
        order = np.argsort(2 * month_key + (when & 1))
        running = np.cumsum(amount[order])
        new_month = np.concatenate([[True], np.diff(month_key[order]) != 0])
        before = np.where(new_month, running - amount[order], 0.0)
        bill = running - np.maximum.accumulate(before)
        np.maximum.at(self.bills, self._place(who[order], when[order]), bill)


def _planned_instant(course: Course) -> int:
    """Instant of the planned change; -1 if there is none."""
    return -1 if course.planned is None else 2 * course.planned + 1


def _each_year(first: Whole, last: Whole) -> tuple[Whole, Whole]:
    """Return, for each year from `first` to `last` of each entry: which entry, and which year."""
    number = np.maximum(0, last - first + 1)
    which = np.repeat(np.arange(first.size), number)
    steps = np.arange(which.size) - np.repeat(np.cumsum(number) - number, number)
    return which, first[which] + steps
