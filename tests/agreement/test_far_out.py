"""Numbers far out: the fast evaluation equals the slow loop, and exact rationals are the judge of both.

Rates near -1 and of 50 %, life shapes of 0.3 and 20, lives of a month and of 1,000 years, a leak a day, none,
one year and sixty. A sum of large costs and large receipts loses digits in both evaluations, so agreement is
relative to the sum of the amounts without their signs.

The judge is a third evaluation of a small case, in fractions: every sum and product is exact, and what the
model takes from the exponential and the power is worked out to 60 digits. Source: the model's text, for a
roof that ages at a constant rate.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal, localcontext
from fractions import Fraction

import numpy as np
import pytest

from lifecycle.evaluation.expectation import evaluate
from lifecycle.roofs import Alternative, Case, Existing, Leaks, Roof, Terms, Visit
from tests.agreement.random_cases import random_case
from tests.agreement.slow_model import slow_evaluate

Change = Callable[[Case], Case]


def with_roofs(**figures: float) -> Change:
    """Change figures of every roof."""

    def change(case: Case) -> Case:
        def changed(roof: Roof) -> Roof:
            return replace(roof, **figures)

        ways = tuple(
            replace(way, roof=changed(way.roof), then=changed(way.then)) for way in case.alternatives
        )
        existing = replace(case.existing, roof=changed(case.existing.roof))
        return replace(case, alternatives=ways, existing=existing)

    return change


def with_terms(**figures: float) -> Change:
    """Change terms."""
    return lambda case: replace(case, terms=replace(case.terms, **figures))


def with_leaks(**figures: float) -> Change:
    """Change leak figures of the case, and of ways with a site of their own."""

    def change(case: Case) -> Case:
        ways = tuple(
            replace(way, leaks=None if way.leaks is None else replace(way.leaks, **figures))
            for way in case.alternatives
        )
        return replace(case, alternatives=ways, leaks=replace(case.leaks, **figures))

    return change


FAR: dict[str, Change] = {
    "a rate near -1": with_terms(discount_rate=-0.9),
    "a rate of 50 %": with_terms(discount_rate=0.5),
    "a rate of 100 %, prices that halve": with_terms(discount_rate=1.0, inflation=-0.5),
    "lives of any length": with_roofs(life_shape=0.3),
    "lives all alike": with_roofs(life_shape=20.0),
    "lives all alike, and over": with_roofs(life_shape=20.0, life_scale=0.5),
    "lives of a month": with_roofs(life_scale=0.1, life_shape=1.0),
    "lives of 1,000 years": with_roofs(life_scale=1000.0, life_shape=3.5),
    "lives of 1,000 years, of any length": with_roofs(life_scale=1000.0, life_shape=0.3),
    "a leak a day": with_roofs(puncture_rate=365.0),
    "a leak a day from the joints, ever more": with_roofs(
        joint_leaks_first_year=365.0, joint_leak_growth=4.0
    ),
    "no leaks": with_roofs(
        joint_leaks_first_year=0.0, age_leaks_ten_years=0.0, puncture_rate=0.0, ends_by_leak=0.0
    ),
    "leaks that grow with the tenth power": with_roofs(age_leaks_ten_years=3.0, age_leak_growth=10.0),
    "rot at once": with_leaks(rot_time=0.01, severe_after=0.01),
    "rot never": with_leaks(rot_time=1000.0, severe_after=60.0),
    "signs at once": with_leaks(sign_rate=365.0),
    "all silent": with_leaks(silent_share=1.0, severe_after=3.0),
    "ages twice and more": with_roofs(ageing=5.0, upkeep_exponent=2.0),
}


def agree(case: Case) -> None:
    """Check that both evaluations agree, or raise."""
    fast, slow = evaluate(case), slow_evaluate(case)
    for name, ledger in fast.items():
        by_year = ledger.net_present_cost[0]
        assert np.all(np.isfinite(by_year))
        for year, cost in enumerate(by_year):
            account = slow[name].accounts[12 * year]
            plain = [
                sum(part.values()) if isinstance(part, dict) else part for part in account.present.values()
            ]
            size = sum(map(abs, plain))
            assert abs(cost - account.net_present_cost) <= 1e-9 * size + 1e-7, (name, year)
        assert ledger.chance_renewed[0].tolist() == pytest.approx(
            slow[name].chance_renewed, rel=1e-9, abs=1e-9
        )


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("far", FAR)
def test_far_out_the_evaluation_equals_the_slow_loop(far: str, seed: int) -> None:
    agree(FAR[far](random_case(seed)))


@pytest.mark.parametrize(
    ("years", "fars"), [(1, ("a rate of 50 %", "a leak a day")), (60, ("a rate near -1", "lives all alike"))]
)
def test_far_out_in_one_year_and_in_sixty(years: int, fars: tuple[str, ...]) -> None:
    case = with_terms(study_period=years, holding_period=float(years))(random_case(1))
    case = replace(with_leaks(sign_rate=3.0, silent_share=0.0)(case), alternatives=case.alternatives[:1])
    for far in fars:
        case = FAR[far](case)
    agree(case)


# --- a judge in fractions ------------------------------------------------------------------------

DIGITS = 60
MONTHS = 30
Q = Fraction


def exact(function: str, *values: Fraction) -> Fraction:
    """Return the exponential of a fraction, or a power of one, to 60 digits."""
    with localcontext() as context:
        context.prec = DIGITS
        first, *rest = (Decimal(value.numerator) / Decimal(value.denominator) for value in values)
        return Fraction(first.exp() if function == "exp" else first ** rest[0])


def judged(
    *, rate: Fraction, life: Fraction, leaks: Fraction, signs: Fraction, finds: Fraction
) -> list[Fraction]:
    """Net-present cost by month of sale of keeping a roof of constant rates, all in fractions.

    A roof is looked at every third month for 7, which finds a leak with probability `finds`; patching costs
    300, rot 6,000 more with a time of 2 years; a leak hidden for more than half a year forces a new roof of
    5,000.
    """
    seen, ends = 1 - exact("exp", -signs / 12), 1 / life / 12
    hidden_after = [leaks / 12]  # leaks by months since they started, next to a half
    laid = [Q(0)] * (MONTHS + 2)
    costs = {"early": [Q(0)] * (MONTHS + 1), "late": [Q(0)] * (MONTHS + 1)}

    def damage(months: int) -> Fraction:
        return 300 + 6000 * (1 - exact("exp", -(Q(months) + Q(1, 2)) / 12 / 2))

    course = []  # of one roof: by age, what it costs and what becomes of it, given that it stands
    for age in range(MONTHS + 1):
        step: dict[str, Fraction] = {"early": Q(0), "end": Q(0), "late": Q(0), "forced": Q(0)}
        if age > 0:
            number = [leaks / 12, *hidden_after] if age > 1 else [leaks / 12]
            found = [seen * one for one in number]
            number = [one - some for one, some in zip(number, found, strict=True)]
            forcing = sum((some for months, some in enumerate(found) if months >= 6), Q(0))
            step["end"] = 1 - exact("exp", -forcing - ends)
            uncovered = sum((one * damage(months) for months, one in enumerate(number)), Q(0))
            step["early"] = sum((some * damage(months) for months, some in enumerate(found)), Q(0))
            step["early"] += step["end"] * (5000 + uncovered)
            if age % 3 == 0:
                looked = [finds * one for one in number]
                number = [one - some for one, some in zip(number, looked, strict=True)]
                forcing = sum((some for months, some in enumerate(looked) if months >= 6), Q(0))
                step["forced"] = 1 - exact("exp", -forcing)
                uncovered = sum((one * damage(months) for months, one in enumerate(number)), Q(0))
                step["late"] = 7 + sum((some * damage(months) for months, some in enumerate(looked)), Q(0))
                step["late"] += step["forced"] * (5000 + uncovered)
            hidden_after = number
        course.append(step)
    laid[0] = Q(1)
    for month in range(MONTHS + 1):
        for start in range(month + 1):
            if not laid[start]:
                continue
            step = course[month - start]
            alive = laid[start] * _alive(course, month - start)
            costs["early"][month] += alive * step["early"]
            left = alive * (1 - step["end"])
            costs["late"][month] += left * step["late"]
            laid[month] += alive * step["end"] + left * step["forced"] if month > start else Q(0)
    total, by_sale = Q(0), []
    for month in range(MONTHS + 1):
        worth = exact("power", 1 / (1 + rate), Q(month, 12))
        total += worth * costs["early"][month]
        by_sale.append(total)
        total += worth * costs["late"][month]
    return by_sale


def _alive(course: list[dict[str, Fraction]], age: int) -> Fraction:
    """Return the chance that a roof stands at the beginning of a month of its age."""
    chance = Q(1)
    for step in course[:age]:
        chance *= (1 - step["end"]) * (1 - step["forced"])
    return chance


@pytest.mark.parametrize(
    ("rate", "life", "leaks", "signs", "finds"),
    [
        (Q(3, 100), Q(20), Q(1, 4), Q(6, 5), Q(2, 5)),
        (Q(-9, 10), Q(20), Q(1, 4), Q(6, 5), Q(2, 5)),
        (Q(1, 2), Q(1, 10), Q(365), Q(0), Q(1)),
        (Q(0), Q(1000), Q(1, 10**6), Q(365), Q(0)),
    ],
)
def test_fractions_judge_both_evaluations(
    rate: Fraction, life: Fraction, leaks: Fraction, signs: Fraction, finds: Fraction
) -> None:
    roof = Roof(
        "any", 1.0, float(life), puncture_rate=float(leaks), renew_cost=5000.0,
        visits=(Visit("look", 3, cost=7.0, finds=float(finds)),),
    )  # fmt: skip
    case = Case(
        Terms(study_period=2, holding_period=2.0, discount_rate=float(rate)),
        Leaks(rot_time=2.0, severe_after=0.5, sign_rate=float(signs), patch_cost=300.0, rot_cost=6000.0),
        Existing(roof, age=0, seal_age=0),
        (Alternative("keep", "", roof, roof, None, 5000.0, 0.0, base_case=True),),
    )
    known = judged(rate=rate, life=life, leaks=leaks, signs=signs, finds=finds)
    fast, slow = evaluate(case)["keep"].net_present_cost[0], slow_evaluate(case)["keep"].net_present_cost
    for year in (1, 2):
        assert float(known[12 * year]) > 0.0
        assert fast[year] == pytest.approx(float(known[12 * year]), rel=2e-12)
        assert slow[year] == pytest.approx(float(known[12 * year]), rel=2e-12)
