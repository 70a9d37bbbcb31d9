"""Random cases that between them use every feature of the model, ties in ages and delays above all.

`random_case(seed)` is the same case for the same seed. Numbers are drawn to be awkward, not likely:
leaks are many and lives short, so that a few years hold many events. `features(case)` says what a
case uses, so that a test can see that nothing is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import inf
from random import Random

from lifecycle.roofs import (
    ESCALATING,
    Alternative,
    Case,
    Existing,
    HiddenLeak,
    Leaks,
    Loan,
    Roof,
    Terms,
    Visit,
)

INTERVALS = (1, 2, 3, 4, 5, 6, 6, 9, 12, 12, 18, 24, 36, 48)


def random_case(seed: int) -> Case:
    """Return a case of plain floats, with one to four alternatives."""
    luck = Random(seed)
    years = luck.choice((4, 5, 6, 6, 8, 8, 10, 12))
    standing, following = (
        with_plan_end(luck, random_roof(luck, name), years) for name in ("standing", "following")
    )
    existing = random_existing(luck, standing)
    ways = [way_of_keeping(luck, standing)]
    for month in (0, planned_month(luck, years), None):
        if luck.random() < 0.7:
            ways.append(way_of_changing(luck, standing, following, month))
    leaks = random_leaks(luck)
    if luck.random() < 0.3:
        ways.append(way_under_cover(luck, standing, leaks))
    now = [way for way in ways if way.change_month == 0]
    loan = random_loan(luck, now[0].name) if now and luck.random() < 0.5 else None
    return Case(random_terms(luck, years), leaks, existing, tuple(ways), loan)


def sometimes(luck: Random, chance: float, low: float, high: float, otherwise: float = 0.0) -> float:
    return luck.uniform(low, high) if luck.random() < chance else otherwise


def random_terms(luck: Random, years: int) -> Terms:
    keys = luck.sample(ESCALATING, luck.randint(1, 5)) if luck.random() < 0.6 else []
    return Terms(
        study_period=years,
        holding_period=luck.choice((luck.randint(1, years), luck.randint(1, 12 * years) / 12)),
        discount_rate=luck.choice((0.0, 0.03, luck.uniform(-0.01, 0.1))),
        inflation=sometimes(luck, 0.7, -0.01, 0.08),
        escalation={key: luck.uniform(-0.03, 0.05) for key in keys},
        day_cost=luck.uniform(0, 200),
        hour_value=luck.uniform(0, 40),
    )


def random_leaks(luck: Random) -> Leaks:
    ties = (luck.randint(0, 30) + 0.5) / 12, 10.5 / 12, luck.randint(1, 24) / 12
    return Leaks(
        rot_time=luck.uniform(0.3, 4),
        severe_after=luck.choice((*ties, luck.uniform(0.05, 2.5))),
        sign_rate=luck.choice((0.0, 1.2, luck.uniform(0, 6))),
        patch_cost=luck.uniform(50, 600),
        rot_cost=luck.uniform(0, 9000),
        severe_days=luck.uniform(0, 10),
        patch_days=luck.uniform(0, 3),
        silent_share=luck.choice((0.0, 0.4, luck.random(), 1.0)),
        insured_share=sometimes(luck, 0.7, 0.1, 1),
        deductible=sometimes(luck, 0.7, 50, 1500),
        sudden_within=luck.choice((0.25, (luck.randint(0, 9) + 0.5) / 12, luck.randint(0, 9) / 12)),
        found_at_sale=luck.choice((0.0, 0.5, luck.random(), 1.0)),
    )


def random_visit(luck: Random, name: str) -> Visit:
    return Visit(
        name,
        every=luck.choice((*INTERVALS, luck.randint(1, 60))),
        cost=sometimes(luck, 0.8, 10, 1500),
        hours=sometimes(luck, 0.5, 0.5, 6),
        days=sometimes(luck, 0.4, 0.5, 3),
        finds=luck.choice((0.0, 0.35, luck.random(), 1.0)) if luck.random() < 0.9 else 0.0,
        restores=luck.choice((0.0, 0.0, luck.random(), 1.0, 1.0)),
        rejuvenates=luck.choice((0.0, 0.0, 0.0, luck.random(), luck.random(), 1.0)),
    )


def random_visits(luck: Random) -> tuple[Visit, ...]:
    """Up to four kinds of visit; the names are common to all roofs, so their costs share a line."""
    names = luck.sample(
        ("reseal", "inspection", "touch-up", "topcoat", "wash"), luck.choice((0, 1, 2, 3, 3, 4))
    )
    return tuple(random_visit(luck, name) for name in names)


def with_plan_end(luck: Random, roof: Roof, years: int) -> Roof:
    """The roof as it is, or with a plan that ends within the study period, today, or after it."""
    if luck.random() < 0.6:
        return roof
    ends = luck.choice((0, luck.randint(1, 12 * years), luck.randint(1, 12 * years), 12 * years + 7))
    return replace(roof, plan_ends=ends, visits_after=random_visits(luck))


def random_roof(luck: Random, name: str) -> Roof:
    defect_share = luck.choice((0.0, 0.0, luck.random(), 1.0 if luck.random() < 0.3 else 0.1))
    return Roof(
        name=name,
        life_shape=luck.choice((0.7, 1.0, luck.uniform(0.6, 6), 3.5)),
        life_scale=luck.choice(
            (luck.uniform(2, 10), luck.uniform(5, 30), inf if luck.random() < 0.5 else 15.0)
        ),
        ageing=luck.uniform(0.5, 1.7),
        upkeep_exponent=sometimes(luck, 0.6, 0.05, 1),
        ends_by_leak=luck.choice((0.0, luck.random(), luck.random(), 1.0)),
        joint_leaks_first_year=sometimes(luck, 0.8, 0.01, 0.6),
        joint_leak_growth=luck.choice((1.0, 2.0, luck.uniform(0.5, 3))),
        age_leaks_ten_years=sometimes(luck, 0.6, 0.05, 3),
        age_leak_growth=luck.choice((1.0, luck.uniform(0.5, 3))),
        puncture_rate=sometimes(luck, 0.8, 0.01, 0.5),
        visits=random_visits(luck),
        renew_cost=luck.uniform(2000, 9000),
        renew_days=luck.uniform(0, 8),
        defect_share=defect_share,
        defect_life=luck.uniform(0.5, 4) if defect_share > 0 else inf,
        warranty_years=luck.choice(
            (0.0, luck.randint(1, 10), luck.randint(1, 120) / 12, luck.uniform(0, 10))
        ),
        warranty_share=sometimes(luck, 0.8, 0.1, 1),
        warranty_honoured=luck.choice((1.0, 1.0, luck.random(), 0.0)),
        warranty_leaking_ends=luck.choice((0.0, luck.random(), 1.0)),
        resale_share=sometimes(luck, 0.6, 0.05, 0.6),
        energy_cost=sometimes(luck, 0.5, 1, 60),
    )


def random_existing(luck: Random, roof: Roof) -> Existing:
    age = luck.choice((0, luck.randint(1, 24), luck.randint(1, 150), luck.randint(1, 150)))
    past = replace(roof, visits=random_visits(luck)) if luck.random() < 0.4 else roof
    every = [visit.every for visit in past.visits if visit.restores == 1]
    seal_age = luck.choice((0, age, luck.randint(0, age), min([age, *every])))
    return Existing(
        roof=past,
        age=age,
        seal_age=seal_age,
        hidden_now=None if luck.random() < 0.5 else random_hidden(luck, age),
        effective_age=luck.uniform(0, 15) if luck.random() < 0.3 else None,
        inspected_today=luck.choice((0.0, 0.0, luck.random(), 1.0)),
        last_visits=random_last_visits(luck, roof),
    )


def random_hidden(luck: Random, age: int) -> tuple[HiddenLeak, ...]:
    """Up to three lists, some of whole months, some in mid-month, some at any age."""
    ages = (
        luck.choice((luck.randint(0, 40), luck.randint(0, 40) + 0.5, luck.uniform(0, 40))) for _ in range(3)
    )
    some = [min(float(old), float(age)) for old in ages][: luck.randint(0, 3)]
    return tuple(HiddenLeak(old, sometimes(luck, 0.8, 0, 0.6), sometimes(luck, 0.8, 0, 0.4)) for old in some)


def random_last_visits(luck: Random, roof: Roof) -> Mapping[str, int]:
    known = [visit for visit in roof.visits if luck.random() < 0.3]
    return {visit.name: luck.randint(0, 2 * visit.every) for visit in known}


def planned_month(luck: Random, years: int) -> int:
    """Whole years, fractional ones, the end of the study period, and beyond it."""
    months = 12 * years
    return luck.choice(
        (12 * luck.randint(1, years - 1), luck.randint(1, months), months, months + luck.randint(1, 11))
    )


def way_of_keeping(luck: Random, roof: Roof) -> Alternative:
    return Alternative("keep", "Keep", roof, roof, None, roof.renew_cost, roof.renew_days, base_case=True)


def way_of_changing(luck: Random, standing: Roof, following: Roof, month: int | None) -> Alternative:
    name = {0: "now", None: "at end"}.get(month, "later")
    under = replace(standing, visits=random_visits(luck)) if luck.random() < 0.3 else standing
    price, days = luck.uniform(0, 9000), luck.uniform(0, 8)
    return Alternative(name, name, under, following, month, price, days, subject=month == 0)


def way_under_cover(luck: Random, roof: Roof, leaks: Leaks) -> Alternative:
    """The standing roof at a site of its own: its wear and its rot are others from the base date."""
    ageing, rate = luck.uniform(0.3, 1.2) * roof.ageing, luck.uniform(0.3, 1.2) * roof.puncture_rate
    roof = replace(roof, ageing=ageing, puncture_rate=rate)
    leaks = replace(leaks, rot_time=luck.uniform(0.7, 3) * leaks.rot_time)
    cost, days = luck.uniform(0, 9000), roof.renew_days
    return Alternative("under cover", "Under cover", roof, roof, None, cost, days, leaks=leaks)


def random_loan(luck: Random, alternative: str) -> Loan:
    rate = luck.choice((0.0, luck.uniform(0.01, 0.2)))
    return Loan(alternative, luck.uniform(500, 9000), rate, luck.randint(1, 180))


def features(case: Case) -> dict[str, bool]:
    """Name every feature, and whether `case` uses it."""
    terms, leaks, existing = case.terms, case.leaks, case.existing
    roofs = [roof for way in case.alternatives for roof in (way.roof, way.then)]
    visits = [visit for roof in roofs for visit in roof.all_visits]
    plans = [roof for roof in roofs if roof.plan_ends is not None]
    standing_plans = [way.roof for way in case.alternatives if way.roof.plan_ends is not None]
    hidden = existing.hidden_now or ()
    changes = [way.change_month for way in case.alternatives if way.change_month is not None]
    severe = 12 * leaks.severe_after
    return {
        "silent leaks": 0 < leaks.silent_share < 1,
        "all leaks silent": leaks.silent_share == 1,
        "no signs": leaks.sign_rate == 0,
        "severe in a tie in mid-month": abs(severe % 1 - 0.5) < 1e-9,
        "severe after exactly 10.5 months": severe == 10.5,
        "severe in a tie with a listed leak": any(abs((severe - h.age) % 1) < 1e-9 for h in hidden),
        "short sudden time in a tie": abs(12 * leaks.sudden_within % 1 - 0.5) < 1e-9,
        "sudden time in a tie with a listed leak": any(
            abs((12 * leaks.sudden_within - h.age) % 1) < 1e-9 for h in hidden if h.puncture > 0
        ),
        "insurance": leaks.insured_share > 0 and leaks.deductible > 0,
        "nothing found at a sale": leaks.found_at_sale == 0,
        "everything found at a sale": leaks.found_at_sale == 1,
        "end leaks": any(0 < roof.ends_by_leak < 1 for roof in roofs),
        "all ends by leak": any(roof.ends_by_leak == 1 and roof.life_scale < 20 for roof in roofs),
        "defects": any(0 < way.then.defect_share < 1 for way in case.alternatives),
        "all badly done": any(way.then.defect_share == 1 for way in case.alternatives),
        "warranty": any(roof.warranty_years > 0 and roof.warranty_share > 0 for roof in roofs),
        "warranty of part years": any(roof.warranty_years % 1 > 0 for roof in roofs),
        "warranty not sure to be honoured": any(0 < roof.warranty_honoured < 1 for roof in roofs),
        "warranty pays leaking ends": any(
            roof.warranty_leaking_ends * roof.ends_by_leak * roof.warranty_honoured * roof.warranty_share > 0
            for roof in roofs
        ),
        "a plan ends": any(0 < roof.plan_ends < terms.months for roof in standing_plans),
        "a plan ends today": any(roof.plan_ends == 0 for roof in plans),
        "a plan ends after the study period": any(roof.plan_ends > terms.months for roof in plans),
        "a plan ends before a planned change": any(
            way.roof.plan_ends is not None and way.change_month and way.roof.plan_ends < way.change_month
            for way in case.alternatives
        ),
        "a job in both plans": any(
            {visit.name for visit in roof.visits} & {visit.name for visit in roof.visits_after}
            for roof in plans
        ),
        "a site of its own": any(way.leaks is not None for way in case.alternatives),
        "energy": any(roof.energy_cost > 0 for roof in roofs),
        "resale": any(roof.resale_share > 0 for roof in roofs),
        "endless life": any(roof.life_scale == inf for roof in roofs),
        "falling hazard": any(roof.life_shape < 1 for roof in roofs),
        "neglect": any(roof.upkeep_exponent > 0 for roof in roofs),
        "age leaks": any(roof.age_leaks_ten_years > 0 for roof in roofs),
        "finds all": any(visit.finds == 1 for visit in visits),
        "restores in part": any(0 < visit.restores < 1 for visit in visits),
        "rejuvenates": any(0 < visit.rejuvenates < 1 for visit in visits),
        "rejuvenates all": any(visit.rejuvenates == 1 for visit in visits),
        "coinciding visits": any(len({v.every for v in r.visits}) < len(r.visits) for r in roofs),
        "no visits": any(not roof.visits for roof in roofs),
        "two kinds of full reseal": any(sum(v.restores == 1 for v in r.visits) > 1 for r in roofs),
        "change now": 0 in changes,
        "change in whole years": any(month > 0 and month % 12 == 0 for month in changes),
        "change in part years": any(month % 12 > 0 for month in changes),
        "change at the end of the study period": terms.months in changes,
        "change after the study period": any(month > terms.months for month in changes),
        "reseals left out before a change": any(
            way.change_month and any(v.restores == 1 and v.every <= 12 for v in way.roof.visits)
            for way in case.alternatives
        ),
        "change at the end of life": any(way.name == "at end" for way in case.alternatives),
        "new roof today": existing.age == 0,
        "sealed today": existing.seal_age == 0 < existing.age,
        "never resealed": existing.seal_age == existing.age > 0,
        "hidden from upkeep": existing.hidden_now is None,
        "hidden by list": len(hidden) > 0,
        "nothing hidden": existing.hidden_now == (),
        "effective age given": existing.effective_age is not None,
        "inspected today": 0 < existing.inspected_today < 1,
        "inspected and sure": existing.inspected_today == 1,
        "last visits": len(existing.last_visits) > 0,
        "other past upkeep": existing.hidden_now is None and existing.roof != case.base_case.roof,
        "escalation": len(terms.escalation) > 0,
        "no discount": terms.discount_rate == 0,
        "loan": case.loan is not None and case.loan.rate > 0,
        "loan without interest": case.loan is not None and case.loan.rate == 0,
        "loan outlives the study period": case.loan is not None and case.loan.months > terms.months,
        "holding period of part years": terms.holding_period * 12 % 12 > 1e-6,
    }
