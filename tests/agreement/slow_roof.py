"""One roof as a slow loop over single months: the model's sections 2 to 4 once more.

Lecture
-------
Every bunch of leaks that may be hidden is carried by itself: the month in which it *started*, whether
it is of the *silent* sort, its expected *number*, and the share of each *kind* (joint, age, puncture,
end), which stays: leaks that started together and are of one sort are found alike. One month comes
after another, and in each month the four steps of the model follow in their order.

A roof is followed from the day it is laid to the end of the study period: a *spell*. All numbers of
leaks in a spell are given that the roof still stands, with probability `standing`. Finds are thinned
from Poisson numbers, so what is found, what stays hidden and what the years do to the roof do not
depend on each other: products of expectations are exact.

Assumptions: those of the model. Plain floats; no arrays, no running sums, no closed form but the
Weibull law. Left out: draws.

Source: written from the model's text alone, apart from the fast evaluation.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import exp, gamma, inf, isinf

from lifecycle.roofs import Case, Leaks, Roof, Visit

TIE = 1e-9  # ages and delays are compared in months with this tolerance
KINDS = ("joint", "age", "puncture", "end")

Due = tuple[Visit, int, float]
"""A kind of visit, the month in which it is first due, and the last in which it may be."""

Book = dict[tuple[str, str], float]
"""Expected amounts by (heading, line). Headings are the categories of cost (days and hours at their
number, not their worth), "count", and "mass": probabilities of a roof that was laid."""


@dataclass(slots=True)
class Bunch:
    """Leaks of one sort that started together."""

    started: float  # [months on the clock of the spell]
    silent: bool
    number: float  # expected, still hidden
    share: dict[str, float]  # by kind; adds up to 1


@dataclass
class Today:
    """What the past leaves at the base date."""

    hidden: list[Bunch]
    effective_age: float  # [years]


@dataclass
class Spell:
    """One roof laid, or standing today, month by month."""

    early: list[Book]  # steps 1 and 2
    sale: list[Book]  # step 3
    late: list[Book]  # step 4
    hidden: list[dict[str, float]]  # expected hidden leaks at step 3, given that it stands

    def mass(self, name: str, first: int, last: int) -> float:
        """Probability of `name` in the months from `first` to `last`."""
        months = zip(self.early[first : last + 1], self.late[first : last + 1], strict=True)
        return sum(book.get(("mass", name), 0.0) for month in months for book in month)


# --- leaks ------------------------------------------------------------------------------------


def is_severe(leaks: Leaks, bunch: Bunch, month: int) -> bool:
    return month - bunch.started > 12 * leaks.severe_after + TIE


def may_be_found(leaks: Leaks, bunch: Bunch, month: int) -> bool:
    return not bunch.silent or is_severe(leaks, bunch, month)


def forcing(leaks: Leaks, bunch: Bunch, month: int) -> float:
    return bunch.number * (1.0 if is_severe(leaks, bunch, month) else bunch.share["end"])


def damage(leaks: Leaks, bunch: Bunch, month: int) -> float:
    years = (month - bunch.started) / 12
    return leaks.patch_cost + leaks.rot_cost * (1 - exp(-years / leaks.rot_time))


def find(leaks: Leaks, hidden: list[Bunch], month: int, chance: float) -> list[Bunch]:
    """Take what is found out of `hidden`, and return it."""
    found = []
    for bunch in hidden:
        if may_be_found(leaks, bunch, month):
            found.append(Bunch(bunch.started, bunch.silent, chance * bunch.number, bunch.share))
            bunch.number *= 1 - chance
    return found


def bunches(leaks: Leaks, started: float, numbers: dict[str, float]) -> list[Bunch]:
    """Part the leaks that started together into silent ones and others."""
    silent = {kind: (kind != "end") * leaks.silent_share * number for kind, number in numbers.items()}
    others = {kind: number - silent[kind] for kind, number in numbers.items()}
    return [
        Bunch(started, part is silent, total, {kind: part.get(kind, 0.0) / total for kind in KINDS})
        for part in (silent, others)
        if (total := sum(part.values())) > 0
    ]


def started_in(roof: Roof, leaks: Leaks, month: int, seal: float, old: float, new: float) -> list[Bunch]:
    """Leaks that start in the middle of a month; `old` and `new` are its effective ages."""
    k, g = roof.joint_leak_growth, roof.age_leak_growth
    joint = roof.joint_leaks_first_year * ((seal + 1 / 12) ** k - seal**k)
    age = roof.age_leaks_ten_years * ((new / 10) ** g - (old / 10) ** g)
    end = roof.ends_by_leak * (hazard(roof, new) - hazard(roof, old))
    numbers = (joint, age, roof.puncture_rate / 12, end)
    return bunches(leaks, month - 0.5, dict(zip(KINDS, numbers, strict=True)))


def hidden_by_kind(leaks: Leaks, hidden: list[Bunch], month: int) -> dict[str, float]:
    """Expected hidden leaks: by kind, of the silent sort, and still silent."""
    numbers = dict.fromkeys((*KINDS, "silent", "still silent"), 0.0)
    for bunch in hidden:
        for kind in KINDS:
            numbers[kind] += bunch.number * bunch.share[kind]
        if bunch.silent:
            numbers["silent"] += bunch.number
            numbers["still silent"] += 0.0 if is_severe(leaks, bunch, month) else bunch.number
    return numbers


# --- ageing and visits --------------------------------------------------------------------------


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
    step = 0.05 / max(1.0, shape / 3)  # lives that are all alike end within a narrow z
    total, start = 0.0, (age / scale) ** shape
    for i in range(int(-40 / step), int(12 / step)):  # further life x = scale exp(z): trapezoidal in z
        x = exp(i * step)
        total += step * x * exp(start - (age / scale + x) ** shape)
    return min(1.0, total / gamma(1 + 1 / shape))


def missed(day: Iterable[Visit]) -> float:
    chance = 1.0
    for visit in day:
        chance *= 1 - visit.finds
    return chance


def first_due(case: Case, visit: Visit) -> int:
    """Month of the first visit of its kind on the existing roof."""
    usual = case.existing.seal_age if visit.restores == 1 else 0
    return max(0, visit.every - case.existing.last_visits.get(visit.name, usual))


def calendar_of_standing(case: Case, roof: Roof) -> list[Due]:
    """When the visits of the existing roof may be due: its plan, and the one that follows at its end."""
    if roof.plan_ends is None:
        return [(visit, first_due(case, visit), inf) for visit in roof.visits]
    ends = roof.plan_ends
    before: list[Due] = [(visit, first_due(case, visit), ends) for visit in roof.visits]
    return before + [(visit, ends + visit.every, inf) for visit in roof.visits_after]


def calendar_of_new(roof: Roof) -> list[Due]:
    """When the visits of a roof laid after the base date may be due."""
    plan = roof.visits if roof.plan_ends is None else roof.visits_after
    return [(visit, visit.every, inf) for visit in plan]


def was_due(visit: Visit, month: int, today: int, seal_age: int) -> bool:
    if visit.restores == 1:
        return month <= today - seal_age and (today - seal_age - month) % visit.every == 0
    return month % visit.every == 0


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
        day = [v for v in roof.visits if was_due(v, month, existing.age, existing.seal_age)]
        if day and month < existing.age:
            find(leaks, hidden, month, 1 - missed(day))
            seal *= 1 - max(visit.restores for visit in day)
            age *= 1 - max(visit.rejuvenates for visit in day)
    for bunch in hidden:
        bunch.started -= existing.age
    return Today(hidden, age)


def today(case: Case) -> Today:
    """Hidden leaks and effective age at the base date, whichever way they are told."""
    existing, leaks = case.existing, case.leaks
    if existing.hidden_now is None:
        now = past_upkeep(case)
    else:
        now = Today([], existing.age / 12 * existing.roof.ageing)
        for told in existing.hidden_now:
            now.hidden += bunches(leaks, -told.age, {"joint": told.joint, "puncture": told.puncture})
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
    laid: int,  # calendar age at the start of the spell [months]
    seal: float,  # seal age then [years]
    dues: list[Due],
    change: int | None,  # month of the planned change
    price: float,  # of the renewal that ends the spell [money]
    days: float,  # out of use for it [days]
    failure: float,  # further rate of failure of a badly done roof [1/month]
) -> Spell:
    """Follow one roof until it has ended or the study period is over."""
    spell = Spell(*([defaultdict(float) for _ in range(months + 1)] for _ in range(3)), [])
    hidden = [Bunch(b.started, b.silent, b.number, b.share) for b in now.hidden]
    age, standing = now.effective_age, 1.0
    honoured_share = roof.warranty_honoured * roof.warranty_share

    def under_warranty(month: int) -> bool:
        return laid + month <= 12 * roof.warranty_years + TIE

    def pay_leaks(book: Book, mass: float, paid: list[Bunch], month: int) -> None:
        for bunch in paid:
            number, cost = mass * bunch.number, damage(leaks, bunch, month)
            punctures = number * bunch.share["puncture"]
            book["leak damage", ""] += number * cost
            if under_warranty(month):
                book["warranty", ""] -= (number - punctures) * honoured_share * leaks.patch_cost
            if month - bunch.started <= 12 * leaks.sudden_within + TIE:
                book["insurance", ""] -= punctures * leaks.insured_share * max(0.0, cost - leaks.deductible)

    def pay_find(book: Book, mass: float, found: list[Bunch], month: int) -> float:
        """Pay one find; return the expected number of leaks in it that force a renewal."""
        pay_leaks(book, mass, found, month)
        severe = sum(b.number for b in found if is_severe(leaks, b, month))
        mild = sum(b.number for b in found) - severe
        book["count", "severe finds"] += mass * (1 - exp(-severe))
        book["days", ""] += mass * ((1 - exp(-severe)) * leaks.severe_days + mild * leaks.patch_days)
        force = sum(forcing(leaks, b, month) for b in found)
        if force > 0 and under_warranty(month):
            of_ends = sum(b.number * b.share["end"] for b in found) / force
            paid = honoured_share * roof.warranty_leaking_ends * roof.renew_cost
            book["warranty", ""] -= mass * paid * (1 - exp(-force)) * of_ends
        return force

    def renew(book: Book, mass: float, month: int, why: str) -> None:
        initial = why == "planned" and month == 0
        pay_leaks(book, mass, hidden, month)
        book["initial" if initial else "renewal", ""] += mass * price
        book["days", ""] += mass * days
        book["count", "renewals"] += 0.0 if initial else mass
        book["mass", why] += mass

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
            found = find(leaks, hidden, month, 1 - exp(-leaks.sign_rate / 12))
            force = pay_find(early, standing, found, month)
            # 2. A forcing find, or the end of its life seen in time, renews the roof.
            seen = 1 - exp(-(1 - roof.ends_by_leak) * risen - failure)
            if under_warranty(month):
                early["warranty", ""] -= standing * seen * honoured_share * roof.renew_cost
            mass = standing * (1 - exp(-force) * (1 - seen))
            renew(early, mass, month, "ended")
            standing -= mass
        # 3. A sale happens here.
        spell.hidden.append(hidden_by_kind(leaks, hidden, month))
        spell.sale[month]["sale", ""] = standing * sale(roof, leaks, hidden, age, month)
        spell.sale[month]["mass", "standing"] = standing
        # 4. The planned change, or the visits.
        if month == change:
            renew(late, standing, month, "planned")
            break
        day = [v for v, start, last in dues if start <= month <= last and (month - start) % v.every == 0]
        if change is not None and change - 12 <= month:
            day = [visit for visit in day if visit.restores != 1]
        if day:
            for visit in day:
                late["upkeep", visit.name] += standing * visit.cost
                late["hours", ""] += standing * visit.hours
                late["days", ""] += standing * visit.days
            force = pay_find(late, standing, find(leaks, hidden, month, 1 - missed(day)), month)
            mass = standing * (1 - exp(-force))
            renew(late, mass, month, "forced")
            standing -= mass
            seal *= 1 - max(visit.restores for visit in day)
            age *= 1 - max(visit.rejuvenates for visit in day)
    return spell


def sale(roof: Roof, leaks: Leaks, hidden: list[Bunch], age: float, month: int) -> float:
    """What the hidden leaks cost at a sale, less the residual value of the roof."""
    share = leaks.found_at_sale
    taken_off = sum(share * b.number * damage(leaks, b, month) for b in hidden)
    grave = sum(share * forcing(leaks, b, month) for b in hidden)
    unused = unused_share(roof.life_shape, roof.life_scale, age) if roof.resale_share > 0 else 0.0
    return taken_off + roof.renew_cost * (1 - exp(-grave) - roof.resale_share * unused)


@cache
def newly_laid(roof: Roof, leaks: Leaks, months: int) -> Spell:
    """Spell of a newly laid roof: the mixture of a well and a badly done one."""
    mixture = Spell(*([defaultdict(float) for _ in range(months + 1)] for _ in range(3)), [])
    for share, life in ((1 - roof.defect_share, inf), (roof.defect_share, roof.defect_life)):
        if share > 0:
            part = follow(
                roof,
                leaks,
                months,
                now=Today([], 0.0),
                laid=0,
                seal=0.0,
                dues=calendar_of_new(roof),
                change=None,
                price=roof.renew_cost,
                days=roof.renew_days,
                failure=1 / 12 / life,
            )
            mixture.hidden = part.hidden
            for month in range(months + 1):
                add(mixture.early[month], part.early[month], share)
                add(mixture.sale[month], part.sale[month], share)
                add(mixture.late[month], part.late[month], share)
    return mixture


def add(book: Book, other: Book, factor: float) -> None:
    for key, amount in other.items():
        book[key] = book.get(key, 0.0) + factor * amount
