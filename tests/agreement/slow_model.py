"""The account of a case as a plain double sum, to hold the fast evaluation against.

Lecture
-------
A roof renewed in month L begins its spell (`slow_roof.py`) anew at L. So what an alternative costs is
a double sum over the month in which a roof was laid and its age: the mass laid in L times what the
spell costs at that age. A roof laid in step 2 of a month may be sold in it, as new; one laid in step
4 comes after the sale.

Assumptions: those of the model. Plain floats. Left out: draws, and every measure that compares
alternatives.

Source: written from the model's text alone, apart from the fast evaluation.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lifecycle.kinds import CATEGORIES
from lifecycle.roofs import Alternative, Case, Loan, Terms
from tests.agreement.slow_roof import Book, Spell, add, calendar_of_standing, follow, newly_laid, today

COUNTS = ("renewals", "leaks", "severe finds", "days", "hours")

Table = dict[str, float | dict[str, float]]
"""Money by category; upkeep by visit name."""


@dataclass
class Account:
    """What it costs to hold the coach for some months and sell it then."""

    present: Table  # present values
    undiscounted: Table
    expected: dict[str, float]  # the counts
    standing: float  # masses of all roofs that stand at the sale

    @property
    def net_present_cost(self) -> float:
        return sum(sum(v.values()) if isinstance(v, dict) else v for v in self.present.values())


@dataclass
class SlowResult:
    """The account of one alternative."""

    net_present_cost: list[float]  # by year of sale
    by_category: Table  # present values at the holding period
    accounts: dict[int, Account]  # by month of sale
    chance_renewed: list[float]  # unplanned, by year
    first_change_weight: list[float]  # present value of a first change that costs 1, by year of sale
    hidden: dict[str, list[dict[str, float]]]  # "existing", "then": by age in the spell [months]


def slow_evaluate(case: Case, months_extra: Iterable[int] = ()) -> dict[str, SlowResult]:
    """Evaluate every alternative of `case`, sold at each year's end, the holding period, `months_extra`."""
    holding = round(12 * case.terms.holding_period)
    wanted = {*range(0, case.terms.months + 1, 12), holding, *months_extra}
    return {way.name: evaluate_one(case, way, wanted, holding) for way in case.alternatives}


def evaluate_one(case: Case, way: Alternative, wanted: set[int], holding: int) -> SlowResult:
    terms, n, change = case.terms, case.terms.months, way.change_month
    leaks = case.leaks if way.leaks is None else way.leaks
    first = follow(
        way.roof,
        leaks,
        n,
        now=today(case),
        laid=case.existing.age,
        seal=case.existing.seal_age / 12,
        dues=calendar_of_standing(case, way.roof),
        change=change,
        price=way.quote,
        days=way.days,
        failure=0.0,
    )
    then = newly_laid(way.then, leaks, n)
    early, at_sale, late = ([dict(book) for book in books] for books in (first.early, first.sale, first.late))
    for laid in range(n + 1):
        before = sum(early[laid].get(("mass", why), 0.0) for why in ("ended", "forced", "planned"))
        after = sum(late[laid].get(("mass", why), 0.0) for why in ("ended", "forced", "planned"))
        add(at_sale[laid], then.sale[0], before)  # laid in step 4: after a sale in that month
        for age in range(1, n - laid + 1):
            add(early[laid + age], then.early[age], before + after)
            add(at_sale[laid + age], then.sale[age], before + after)
            add(late[laid + age], then.late[age], before + after)

    loan = case.loan if case.loan is not None and case.loan.alternative == way.name else None
    accounts, plain, present = {}, {}, {}
    for month in range(n + 1):
        add(plain, money(early[month], terms), 1.0)
        add(present, discounted(early[month], month, terms), 1.0)
        if month in wanted:
            accounts[month] = settle(plain, present, at_sale[month], loan, month, terms)
        add(plain, money(late[month], terms), 1.0)
        add(present, discounted(late[month], month, terms), 1.0)
    years = range(0, n + 1, 12)
    return SlowResult(
        net_present_cost=[accounts[month].net_present_cost for month in years],
        by_category=accounts[holding].present,
        accounts=accounts,
        chance_renewed=[chance_renewed(first, then, change, month) for month in years],
        first_change_weight=[first_change_weight(first, month, terms) for month in years],
        hidden={"existing": first.hidden, "then": then.hidden},
    )


def money(book: Book, terms: Terms) -> Book:
    """Give days and hours their worth; keep their numbers as counts."""
    worth = {"days": terms.day_cost, "hours": terms.hour_value}
    counts = {("count", heading): x for (heading, _), x in book.items() if heading in worth}
    return counts | {key: x * worth.get(key[0], 1.0) for key, x in book.items()}


def discount(terms: Terms, heading: str, month: int) -> float:
    return ((1 + terms.escalation.get(heading, 0.0)) / (1 + terms.discount_rate)) ** (month / 12)


def discounted(book: Book, month: int, terms: Terms) -> Book:
    return {key: x * discount(terms, key[0], month) for key, x in money(book, terms).items()}


def settle(plain: Book, present: Book, sold: Book, loan: Loan | None, month: int, terms: Terms) -> Account:
    """Close the account by a sale; sold today, nothing has cost anything, by definition."""

    def table(book: Book, sale_cost: float, loan_cost: float) -> Table:
        plainly = {name: sum(x for (heading, _), x in book.items() if heading == name) for name in CATEGORIES}
        upkeep = {line: x for (heading, line), x in book.items() if heading == "upkeep"}
        return plainly | {"upkeep": upkeep, "sale": sale_cost, "financing": loan_cost}

    if month == 0:
        return Account(table({}, 0.0, 0.0), table({}, 0.0, 0.0), dict.fromkeys(COUNTS, 0.0), 1.0)
    nominal = (1 + terms.discount_rate) * (1 + terms.inflation) - 1
    cost = sold["sale", ""]
    return Account(
        table(present, cost * (1 + terms.discount_rate) ** (-month / 12), financing(loan, month, nominal)),
        table(plain, cost, financing(loan, month, 0.0)),
        {name: plain.get(("count", name), 0.0) for name in COUNTS},
        sold["mass", "standing"],
    )


def financing(loan: Loan | None, month: int, rate: float) -> float:
    """Payments to the sale and the balance then, less the principal, at a yearly nominal `rate`."""
    if loan is None:
        return 0.0
    monthly = loan.rate / 12
    payment = loan.principal / loan.months
    if monthly > 0:
        payment = loan.principal * monthly / (1 - (1 + monthly) ** -loan.months)
    balance, cost = loan.principal, -loan.principal
    for paid in range(1, min(month, loan.months) + 1):
        balance = balance * (1 + monthly) - payment
        cost += payment * (1 + rate) ** (-paid / 12)
    return cost + balance * (1 + rate) ** (-month / 12)


def chance_renewed(first: Spell, then: Spell, change: int | None, month: int) -> float:
    """Chance of an unplanned new roof by a sale in `month`; step 4 of that month comes after it."""

    def ended_by(spell: Spell, age: int) -> float:
        return spell.mass("ended", 0, age) + (spell.mass("forced", 0, age - 1) if age > 0 else 0.0)

    chance = ended_by(first, month)
    if change is not None and change <= month:
        chance += first.mass("planned", change, change) * ended_by(then, month - change)
    return chance


def first_change_weight(first: Spell, month: int, terms: Terms) -> float:
    weight = sum(first.mass("ended", t, t) * discount(terms, "renewal", t) for t in range(month + 1))
    for t in range(month):
        step_4 = first.mass("forced", t, t) + first.mass("planned", t, t)
        weight += step_4 * discount(terms, "renewal", t)
    return weight
