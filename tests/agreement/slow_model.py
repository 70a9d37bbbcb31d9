"""The model once more, as a slow loop over single months, to hold the fast evaluation against.

Lecture
-------
Every bunch of leaks that may be hidden is carried by itself: the month in which it *started*, its
*kind* (joint, age, puncture, end), whether it is of the *silent* sort, and its expected *number*.
One month comes after another, and in each month the four steps of the model follow in their order.

A roof is followed once, from the day it is laid to the end of the study period: a *spell*. All
numbers of leaks in a spell are given that the roof still stands; `standing` is the probability of
that. Found leaks are thinned from Poisson numbers, so what is found, what stays hidden and what
the years do to the roof do not depend on each other: products of expectations are exact.

A roof renewed in month L begins the same spell anew at L. So the account of a case is a double
sum over the month in which a roof was laid and its age. A newly laid roof is a mixture of a well
and a badly done one, each with its own `standing`.

Assumptions: those of the model. Plain floats only; no arrays, no running sums, no closed form but
the Weibull law. Left out: draws, and everything about several alternatives at once.

Source: written from the model's text alone, apart from the fast evaluation.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from math import exp, gamma, inf, isinf

from lifecycle.roofs import CATEGORIES, Alternative, Case, Leaks, Loan, Roof, Terms, Visit

TIE = 1e-9  # ages and delays are compared in months with this tolerance
COUNTS = ("renewals", "leaks", "severe finds", "days", "hours")

Book = dict[tuple[str, str], float]
"""Expected amounts: (category, line) to money, days and hours at their number, or ("count", name)."""


@dataclass
class Bunch:
    """Leaks of one kind that started together."""

    started: float  # [months on the clock of the spell]
    kind: str
    silent: bool
    number: float  # expected, still hidden


@dataclass
class Today:
    """What the past leaves at the base date."""

    hidden: list[Bunch]
    effective_age: float  # [years]


@dataclass
class Spell:
    """One roof from its start, month by month; all masses are of one roof laid."""

    standing: list[float]  # after step 2
    sold: list[float]  # cost to the seller of what stands after step 2, times standing
    hidden: list[dict[str, float]]  # expected hidden leaks after step 2, given that it stands
    ended: list[float]  # mass renewed in step 2
    forced: list[float]  # mass renewed by a find of step 4
    planned: list[float]  # mass renewed by plan in step 4
    early: list[Book]  # what steps 1 and 2 cost
    late: list[Book]  # what step 4 costs


@dataclass
class Account:
    """What it costs to hold the coach for some months and sell it then."""

    present: dict[str, float | dict[str, float]]  # by category, upkeep by visit name
    undiscounted: dict[str, float | dict[str, float]]
    expected: dict[str, float]  # the counts

    @property
    def net_present_cost(self) -> float:
        return sum(sum(v.values()) if isinstance(v, dict) else v for v in self.present.values())


@dataclass
class SlowResult:
    """The account of one alternative."""

    net_present_cost: list[float]  # by year of sale
    by_category: dict[str, float | dict[str, float]]  # present values at the holding period
    accounts: dict[int, Account]  # by month of sale
    chance_renewed: list[float]  # unplanned, by year
    first_change_weight: list[float]  # discounted mass of the first change, by year of sale
    standing_at_sale: list[float]  # all masses that stand, by year of sale
    hidden: dict[str, list[dict[str, float]]] = field(default_factory=dict)  # "existing", "then"


# --- leaks ------------------------------------------------------------------------------------


def is_severe(leaks: Leaks, delay: float) -> bool:
    return delay > 12 * leaks.severe_after + TIE


def damage(leaks: Leaks, delay: float) -> float:
    return leaks.patch_cost + leaks.rot_cost * (1 - exp(-delay / 12 / leaks.rot_time))


def may_be_found(leaks: Leaks, bunch: Bunch, month: float) -> bool:
    return not bunch.silent or is_severe(leaks, month - bunch.started)


def forces(leaks: Leaks, bunch: Bunch, month: float) -> bool:
    return bunch.kind == "end" or is_severe(leaks, month - bunch.started)


def find(leaks: Leaks, hidden: list[Bunch], month: float, chance: float) -> list[Bunch]:
    """Take what is found out of `hidden`, and return it."""
    found = []
    for bunch in hidden:
        if may_be_found(leaks, bunch, month):
            found.append(Bunch(bunch.started, bunch.kind, bunch.silent, chance * bunch.number))
            bunch.number *= 1 - chance
    return found


def started_in(roof: Roof, leaks: Leaks, month: int, seal: float, old: float, new: float) -> list[Bunch]:
    """Leaks that start in the middle of a month; `old` and `new` are its effective ages."""
    k, g = roof.joint_leak_growth, roof.age_leak_growth
    numbers = {
        "joint": roof.joint_leaks_first_year * ((seal + 1 / 12) ** k - seal**k),
        "age": roof.age_leaks_ten_years * ((new / 10) ** g - (old / 10) ** g),
        "puncture": roof.puncture_rate / 12,
    }
    bunches = []
    for kind, number in numbers.items():
        bunches.append(Bunch(month - 0.5, kind, True, leaks.silent_share * number))
        bunches.append(Bunch(month - 0.5, kind, False, (1 - leaks.silent_share) * number))
    end = roof.ends_by_leak * (hazard(roof, new) - hazard(roof, old))
    bunches.append(Bunch(month - 0.5, "end", False, end))
    return [bunch for bunch in bunches if bunch.number > 0]


def hidden_by_kind(leaks: Leaks, hidden: list[Bunch], month: float) -> dict[str, float]:
    numbers = dict.fromkeys(("joint", "age", "puncture", "end", "silent", "still silent"), 0.0)
    for bunch in hidden:
        numbers[bunch.kind] += bunch.number
        numbers["silent"] += bunch.number * bunch.silent
        numbers["still silent"] += bunch.number * (not may_be_found(leaks, bunch, month))
    return numbers


# --- ageing -----------------------------------------------------------------------------------


def hazard(roof: Roof, age: float) -> float:
    return (age / roof.life_scale) ** roof.life_shape


def grown(roof: Roof, age: float, seal: float) -> float:
    neglect = ((seal + 1 / 24) / 0.5) ** roof.upkeep_exponent
    return age + roof.ageing * min(2.0, max(1.0, neglect)) / 12


@cache
def unused_share(shape: float, scale: float, age: float) -> float:
    """Mean residual life over mean life when new, at most 1: the integral of the survival function."""
    if isinf(scale):
        return 1.0
    step, total, start = 0.05, 0.0, (age / scale) ** shape
    for i in range(int(-40 / step), int(12 / step)):  # further life x = scale exp(z): trapezoidal in z
        x = exp(i * step)
        total += step * x * exp(start - (age / scale + x) ** shape)
    return min(1.0, total / gamma(1 + 1 / shape))


# --- visits -----------------------------------------------------------------------------------


def missed(day: Iterable[Visit]) -> float:
    chance = 1.0
    for visit in day:
        chance *= 1 - visit.finds
    return chance


def renewed_seal(day: list[Visit], seal: float) -> float:
    return seal * (1 - max(visit.restores for visit in day))


def renewed_age(day: list[Visit], age: float) -> float:
    return age * (1 - max(visit.rejuvenates for visit in day))


def first_due(case: Case, roof: Roof) -> dict[str, int]:
    """Month of the first visit of each kind on the existing roof."""
    dues = {}
    for visit in roof.visits:
        usual = case.existing.seal_age if visit.restores == 1 else 0
        dues[visit.name] = max(0, visit.every - case.existing.last_visits.get(visit.name, usual))
    return dues


# --- the past ---------------------------------------------------------------------------------


def past_upkeep(case: Case) -> Today:
    """Hidden leaks and effective age today, from the past visits; today's step 4 is left out."""
    existing, leaks = case.existing, case.leaks
    roof, seal, age = existing.roof, 0.0, 0.0
    hidden: list[Bunch] = []
    for month in range(1, existing.age + 1):
        older = grown(roof, age, seal)
        hidden += started_in(roof, leaks, month, seal, age, older)
        age, seal = older, seal + 1 / 12
        find(leaks, hidden, month, 1 - exp(-leaks.sign_rate / 12))
        day = [visit for visit in roof.visits if was_due(visit, month, existing.age, existing.seal_age)]
        if day and month < existing.age:
            find(leaks, hidden, month, 1 - missed(day))
            seal, age = renewed_seal(day, seal), renewed_age(day, age)
    for bunch in hidden:
        bunch.started -= existing.age
    return Today(hidden, age)


def was_due(visit: Visit, month: int, today: int, seal_age: int) -> bool:
    if visit.restores == 1:
        return month <= today - seal_age and (today - seal_age - month) % visit.every == 0
    return month % visit.every == 0


def today(case: Case) -> Today:
    """Hidden leaks and effective age at the base date, whichever way they are told."""
    existing, leaks, silent = case.existing, case.leaks, case.leaks.silent_share
    if existing.hidden_now is None:
        now = past_upkeep(case)
    else:
        now = Today([], existing.age / 12 * existing.roof.ageing)
        for told in existing.hidden_now:
            for kind, number in (("joint", told.joint), ("puncture", told.puncture)):
                now.hidden.append(Bunch(-told.age, kind, True, silent * number))
                now.hidden.append(Bunch(-told.age, kind, False, (1 - silent) * number))
    if existing.effective_age is not None:
        now.effective_age = existing.effective_age
    find(leaks, now.hidden, 0, existing.inspected_today)
    return now


# --- one roof ---------------------------------------------------------------------------------


def follow(
    roof: Roof,
    leaks: Leaks,
    months: int,
    *,
    now: Today,
    laid: int,
    seal: float,
    dues: dict[str, int],
    change: int | None,
    price: float,
    days: float,
    failure: float,
) -> Spell:
    """Follow one roof from month 0 of its spell.

    Parameters
    ----------
    now : Today
        Hidden leaks and effective age at month 0.
    laid : int
        Calendar age at month 0. [months]
    seal : float
        Seal age at month 0. [years]
    dues : dict of str to int
        First month of each kind of visit.
    change : int or None
        Month of the planned change.
    price, days : float
        What the renewal that ends the spell costs. [money, days]
    failure : float
        Further rate of failure of a badly done roof. [1/month]
    """
    blank = [0.0] * (months + 1)
    spell = Spell(
        *(list(blank) for _ in range(2)),
        [{} for _ in blank],
        *(list(blank) for _ in range(3)),
        *([defaultdict(float) for _ in blank] for _ in range(2)),
    )
    hidden = [Bunch(b.started, b.kind, b.silent, b.number) for b in now.hidden]
    age, standing = now.effective_age, 1.0
    sign = 1 - exp(-leaks.sign_rate / 12)

    def under_warranty(month: int) -> bool:
        return laid + month <= 12 * roof.warranty_years + TIE

    def pay_leaks(book: Book, mass: float, paid: list[Bunch], month: int) -> None:
        for bunch in paid:
            delay, number = month - bunch.started, mass * bunch.number
            book["leak damage", ""] += number * damage(leaks, delay)
            if bunch.kind != "puncture" and under_warranty(month):
                book["warranty", ""] -= number * roof.warranty_share * leaks.patch_cost
            if bunch.kind == "puncture" and delay <= 12 * leaks.sudden_within + TIE:
                above = max(0.0, damage(leaks, delay) - leaks.deductible)
                book["insurance", ""] -= number * leaks.insured_share * above

    def pay_find(book: Book, mass: float, found: list[Bunch], month: int) -> float:
        """Pay one find, and return the expected number of leaks in it that force a renewal."""
        pay_leaks(book, mass, found, month)
        severe = sum(b.number for b in found if is_severe(leaks, month - b.started))
        mild = sum(b.number for b in found) - severe
        book["count", "severe finds"] += mass * (1 - exp(-severe))
        book["days", ""] += mass * ((1 - exp(-severe)) * leaks.severe_days + mild * leaks.patch_days)
        return sum(b.number for b in found if forces(leaks, b, month))

    def renew(book: Book, mass: float, month: int, initial: bool = False) -> None:
        pay_leaks(book, mass, hidden, month)
        book["initial" if initial else "renewal", ""] += mass * price
        book["days", ""] += mass * days
        book["count", "renewals"] += 0.0 if initial else mass

    for month in range(months + 1):
        early, late = spell.early[month], spell.late[month]
        if month > 0:
            # 1. Leaks start, the roof ages, signs show.
            early["energy", ""] += standing * roof.energy_cost / 12
            older = grown(roof, age, seal)
            fresh = started_in(roof, leaks, month, seal, age, older)
            early["count", "leaks"] += standing * sum(b.number for b in fresh)
            hidden += fresh
            risen = hazard(roof, older) - hazard(roof, age)
            age, seal = older, seal + 1 / 12
            forcing = pay_find(early, standing, find(leaks, hidden, month, sign), month)
            # 2. A forcing find, or the end of its life seen in time, renews the roof.
            seen = 1 - exp(-(1 - roof.ends_by_leak) * risen - failure)
            mass = standing * (1 - exp(-forcing) * (1 - seen))
            renew(early, mass, month)
            if under_warranty(month):
                early["warranty", ""] -= standing * seen * roof.warranty_share * roof.renew_cost
            spell.ended[month] = mass
            standing -= mass
        # 3. A sale happens here.
        spell.standing[month] = standing
        spell.hidden[month] = hidden_by_kind(leaks, hidden, month)
        spell.sold[month] = standing * sale(roof, leaks, hidden, age, month)
        # 4. The planned change, or the visits.
        if month == change:
            renew(late, standing, month, initial=month == 0)
            spell.planned[month] = standing
            break
        day = [v for v in roof.visits if (month - dues[v.name]) % v.every == 0 and month >= dues[v.name]]
        if change is not None and change - 12 <= month:
            day = [visit for visit in day if visit.restores != 1]
        if day:
            for visit in day:
                late["upkeep", visit.name] += standing * visit.cost
                late["hours", ""] += standing * visit.hours
                late["days", ""] += standing * visit.days
            forcing = pay_find(late, standing, find(leaks, hidden, month, 1 - missed(day)), month)
            mass = standing * (1 - exp(-forcing))
            renew(late, mass, month)
            spell.forced[month] = mass
            standing -= mass
            seal, age = renewed_seal(day, seal), renewed_age(day, age)
    return spell


def sale(roof: Roof, leaks: Leaks, hidden: list[Bunch], age: float, month: int) -> float:
    """What the hidden leaks cost at a sale, less the residual value of the roof."""
    share = leaks.found_at_sale
    taken_off = sum(share * b.number * damage(leaks, month - b.started) for b in hidden)
    grave = sum(share * b.number for b in hidden if forces(leaks, b, month))
    unused = unused_share(roof.life_shape, roof.life_scale, age) if roof.resale_share > 0 else 0.0
    residual = roof.resale_share * roof.renew_cost * unused
    return taken_off + (1 - exp(-grave)) * roof.renew_cost - residual


def mixed(parts: list[tuple[float, Spell]]) -> Spell:
    """Return one spell that is each of `parts` with its share."""

    def numbers(name: str) -> list[float]:
        columns = zip(*(getattr(spell, name) for _, spell in parts), strict=True)
        return [sum(w * x for (w, _), x in zip(parts, column, strict=True)) for column in columns]

    def books(name: str) -> list[Book]:
        mixture: list[Book] = [defaultdict(float) for _ in parts[0][1].standing]
        for share, spell in parts:
            for book, part in zip(mixture, getattr(spell, name), strict=True):
                add(book, part, share)
        return mixture

    return Spell(
        *(numbers(name) for name in ("standing", "sold")),
        parts[0][1].hidden,
        *(numbers(name) for name in ("ended", "forced", "planned")),
        *(books(name) for name in ("early", "late")),
    )


def add(book: Book, other: Book, factor: float) -> None:
    for key, amount in other.items():
        book[key] += factor * amount


# --- the account ------------------------------------------------------------------------------


def slow_evaluate(case: Case, months_extra: Iterable[int] = ()) -> dict[str, SlowResult]:
    """Evaluate every alternative of `case` (plain floats), sold at each year's end and `months_extra`."""
    holding = round(12 * case.terms.holding_period)
    years = range(0, case.terms.months + 1, 12)
    wanted = {*years, holding, *months_extra}
    return {way.name: _evaluate(case, way, wanted, holding) for way in case.alternatives}


def _evaluate(case: Case, way: Alternative, wanted: set[int], holding: int) -> SlowResult:
    n, then, leaks, terms = case.terms.months, way.then, case.leaks, case.terms
    first = follow(
        way.roof,
        leaks,
        n,
        now=today(case),
        laid=case.existing.age,
        seal=case.existing.seal_age / 12,
        dues=first_due(case, way.roof),
        change=way.change_month,
        price=way.quote,
        days=way.days,
        failure=0.0,
    )
    new = newly_laid(then, leaks, n)

    # Masses laid in step 2 and in step 4 of each month, and all that they cost.
    before = list(first.ended)
    after = [a + b for a, b in zip(first.forced, first.planned, strict=True)]
    early, late, sold, standing = first.early, first.late, list(first.sold), list(first.standing)
    for laid in range(n + 1):
        mass = before[laid] + after[laid]
        for age in range(n - laid + 1):
            here = before[laid] if age == 0 else mass  # laid in step 4: after a sale in that month
            sold[laid + age] += here * new.sold[age]
            standing[laid + age] += here * new.standing[age]
            before[laid + age] += mass * new.ended[age]
            after[laid + age] += mass * new.forced[age]
            add(early[laid + age], new.early[age], mass)
            add(late[laid + age], new.late[age], mass)

    accounts = {}
    undiscounted: Book = defaultdict(float)
    present: Book = defaultdict(float)
    for month in range(n + 1):
        book_month(undiscounted, present, early[month], month, terms)
        if month in wanted:
            loan = case.loan if case.loan is not None and case.loan.alternative == way.name else None
            accounts[month] = settle(undiscounted, present, sold[month], loan, month, terms)
        book_month(undiscounted, present, late[month], month, terms)
    by_year = range(0, n + 1, 12)
    return SlowResult(
        net_present_cost=[accounts[month].net_present_cost for month in by_year],
        by_category=accounts[holding].present,
        accounts=accounts,
        chance_renewed=[chance_renewed(first, new, way.change_month, month) for month in by_year],
        first_change_weight=[first_change_weight(first, month, terms) for month in by_year],
        standing_at_sale=[standing[month] for month in by_year],
        hidden={"existing": first.hidden, "then": new.hidden},
    )


def newly_laid(roof: Roof, leaks: Leaks, months: int) -> Spell:
    """Spell of a newly laid roof: a mixture of a well and a badly done one."""
    parts = []
    for share, life in ((1 - roof.defect_share, inf), (roof.defect_share, roof.defect_life)):
        if share > 0:
            spell = follow(
                roof,
                leaks,
                months,
                now=Today([], 0.0),
                laid=0,
                seal=0.0,
                dues={visit.name: visit.every for visit in roof.visits},
                change=None,
                price=roof.renew_cost,
                days=roof.renew_days,
                failure=1 / 12 / life,
            )
            parts.append((share, spell))
    return mixed(parts)


def discount(terms: Terms, category: str, month: int) -> float:
    return ((1 + terms.escalation.get(category, 0.0)) / (1 + terms.discount_rate)) ** (month / 12)


def book_month(undiscounted: Book, present: Book, book: Book, month: int, terms: Terms) -> None:
    """Add a month's amounts to the running sums, days and hours at their worth."""
    worth = {"days": terms.day_cost, "hours": terms.hour_value}
    for (category, line), amount in book.items():
        if category in worth:
            undiscounted["count", category] += amount
        money = amount * worth.get(category, 1.0)
        undiscounted[category, line] += money
        if category != "count":
            present[category, line] += money * discount(terms, category, month)


def settle(
    undiscounted: Book, present: Book, sold: float, loan: Loan | None, month: int, terms: Terms
) -> Account:
    """Close the account by a sale; sold at once, nothing has cost anything, by definition."""

    def by_category(book: Book, sale_cost: float, loan_cost: float) -> dict[str, float | dict[str, float]]:
        table: dict[str, float | dict[str, float]] = {name: 0.0 for name in CATEGORIES}
        lines = {line: amount for (name, line), amount in book.items() if name == "upkeep"}
        table |= {name: amount for (name, _), amount in book.items() if name in table}
        return table | {"upkeep": lines, "sale": sale_cost, "financing": loan_cost}

    if month == 0:
        return Account(by_category({}, 0.0, 0.0), by_category({}, 0.0, 0.0), dict.fromkeys(COUNTS, 0.0))
    nominal = (1 + terms.discount_rate) * (1 + terms.inflation) - 1
    return Account(
        by_category(present, sold * discount(terms, "sale", month), financing(loan, month, nominal)),
        by_category(undiscounted, sold, financing(loan, month, 0.0)),
        {name: undiscounted.get(("count", name), 0.0) for name in COUNTS},
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


def chance_renewed(first: Spell, new: Spell, change: int | None, month: int) -> float:
    """Chance of an unplanned new roof by a sale in `month`."""

    def ended_by(spell: Spell, age: int) -> float:
        return sum(spell.ended[: age + 1]) + sum(spell.forced[:age])

    chance = ended_by(first, month)
    if change is not None and change <= month:
        chance += first.planned[change] * ended_by(new, month - change)
    return chance


def first_change_weight(first: Spell, month: int, terms: Terms) -> float:
    """Present value at a sale in `month` of one unit of money paid at the first change."""
    weight = sum(first.ended[t] * discount(terms, "renewal", t) for t in range(month + 1))
    step_4 = [a + b for a, b in zip(first.forced, first.planned, strict=True)]
    return weight + sum(step_4[t] * discount(terms, "renewal", t) for t in range(month))
