"""What must hold of the expectation, whatever the figures: the model's own list.

Source: the model's section on what must hold; each test derives its expected value by hand.
"""

from __future__ import annotations

from dataclasses import replace
from math import exp, gamma, inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from lifecycle.economics import annual_value, nominal_rate
from lifecycle.evaluation.expectation import chains, evaluate
from lifecycle.evaluation.past import today
from lifecycle.evaluation.renewal import renewals
from lifecycle.roofs import Alternative, Case, Existing, Leaks, Number, Roof, Terms, Visit
from tests.agreement.worked_examples import example_1, example_2, example_3

TIGHT = 1e-9


def case_of(
    existing: Roof,
    then: Roof,
    *,
    change: int | None = 0,
    quote: Number = 0.0,
    leaks: Leaks | None = None,
    **terms,
) -> Case:
    """A case with the existing roof kept as base case, and one change; nothing hidden, all new."""
    account = Terms(**{"study_period": 20, "holding_period": 20, "discount_rate": 0.03} | terms)
    return Case(
        account,
        leaks or Leaks(rot_time=2.0, severe_after=1.0),
        Existing(existing, age=0, seal_age=0),
        (
            Alternative("keep", "", existing, existing, None, existing.renew_cost, 0.0, base_case=True),
            Alternative("change", "", existing, then, change, quote, 0.0),
        ),
    )


LEAKY = Leaks(
    rot_time=2.0, severe_after=1.5, sign_rate=1.0, patch_cost=300.0, rot_cost=6000.0, silent_share=0.2,
    severe_days=4.0, patch_days=1.0, insured_share=0.5, deductible=500.0, found_at_sale=0.5,
)  # fmt: skip

MEMBRANE = Roof(
    "membrane", 3.0, 16.0, joint_leaks_first_year=0.05, joint_leak_growth=1.9, puncture_rate=0.03,
    age_leaks_ten_years=0.2, age_leak_growth=2.0, ends_by_leak=0.3, renew_cost=6000.0, resale_share=0.2,
    visits=(
        Visit("reseal", 24, cost=800.0, finds=0.5, restores=1.0), Visit("look", 12, hours=1.0, finds=0.4),
    ),
)  # fmt: skip


@pytest.mark.parametrize("example", [example_1, example_2, example_3])
def test_what_stands_at_a_sale_adds_up_to_one(example) -> None:
    for chain in chains(example()).values():
        own, new = chain.existing, chain.following
        rows = new.standing.start.shape[0]
        laid = renewals(own.ended(rows), new.renewed(rows))
        for month in range(12, rows, 12):
            stands = own.standing.at_sale[month] if month < own.standing.at_sale.shape[0] else 0.0
            older = sum(laid[month - age] * new.standing.at_sale[age] for age in range(1, month + 1))
            renewed_now = sum(
                laid[month - age] * new.standing.renewed_before[age] for age in range(1, month + 1)
            )
            if month < own.standing.renewed_before.shape[0]:
                renewed_now = renewed_now + own.standing.renewed_before[month]
            assert float(np.sum(stands + older + renewed_now)) == pytest.approx(1.0, abs=1e-10)


@given(every=some.integers(1, 40), cost=some.floats(0, 5000), rate=some.floats(-0.02, 0.2))
@settings(max_examples=40, deadline=None)
def test_no_leaks_and_endless_life_cost_the_plain_sum_of_discounted_visits(every, cost, rate) -> None:
    roof = Roof("endless", 2.0, inf, visits=(Visit("work", every, cost=cost),))
    got = evaluate(case_of(roof, roof, discount_rate=rate))["keep"].net_present_cost[0, 20]
    months = range(every, 240, every)
    assert got == pytest.approx(
        sum(cost / (1 + rate) ** (month / 12) for month in months), rel=1e-9, abs=1e-9
    )


@given(rot_time=some.floats(0.2, 8), rot=some.floats(0, 20000), patch=some.floats(0, 1000))
@settings(max_examples=25, deadline=None)
def test_leaks_found_each_month_cost_the_damage_of_half_a_month(rot_time, rot, patch) -> None:
    leaks = Leaks(rot_time=rot_time, severe_after=1.0, patch_cost=patch, rot_cost=rot)
    roof = Roof("looked at", 2.0, inf, puncture_rate=0.3, visits=(Visit("look", 1, finds=1.0),))
    ledger = evaluate(case_of(roof, roof, leaks=leaks, discount_rate=0.0))["keep"]
    found = 0.3 / 12 * 239  # the leak of the last month is sold with the coach
    each = patch + rot * (1 - exp(-1 / (24 * rot_time)))
    assert ledger.by_category["leak damage"][0] == pytest.approx(found * each, rel=1e-9, abs=1e-9)


@given(every=some.integers(6, 60))
@settings(max_examples=15, deadline=None)
def test_with_growth_one_resealing_changes_no_number_of_leaks_started(every) -> None:
    never = Roof("never", 2.0, inf, joint_leaks_first_year=0.2, joint_leak_growth=1.0)
    often = replace(never, visits=(Visit("reseal", every, restores=1.0),))
    leaks = [
        evaluate(case_of(roof, roof, discount_rate=0.0))["keep"].expected["leaks"][0]
        for roof in (never, often)
    ]
    assert leaks[0] == pytest.approx(0.2 * 20, rel=TIGHT)
    assert leaks[1] == pytest.approx(leaks[0], rel=TIGHT)


@given(rate=some.floats(0, 0.1), life=some.floats(8, 40))
@settings(max_examples=15, deadline=None)
def test_laying_the_same_new_roof_for_nothing_changes_nothing(rate, life) -> None:
    roof = replace(MEMBRANE, life_scale=life)
    costs = evaluate(case_of(roof, roof, leaks=LEAKY, discount_rate=rate))
    savings = costs["keep"].net_present_cost - costs["change"].net_present_cost
    assert np.allclose(savings, 0.0, atol=1e-7)


def test_a_free_coating_without_needs_saves_the_whole_cost_of_the_base_case() -> None:
    free = Roof("free", 2.0, inf)
    roof = replace(MEMBRANE, resale_share=0.0)
    costs = evaluate(case_of(roof, free, leaks=LEAKY))
    assert np.allclose(costs["change"].net_present_cost, 0.0, atol=1e-9)
    assert costs["keep"].net_present_cost[0, 20] > 1000.0


def test_net_present_cost_falls_as_the_discount_rate_rises() -> None:
    roof = replace(MEMBRANE, resale_share=0.0)
    leaks = replace(LEAKY, insured_share=0.0)
    rates = np.linspace(0.0, 0.12, 13)
    costs = evaluate(case_of(roof, roof, leaks=leaks, discount_rate=rates))["keep"].net_present_cost
    assert np.all(np.diff(costs[:, 1:], axis=0) < 0.0)


def test_renewals_of_a_roof_that_fails_at_a_constant_rate_are_the_discrete_renewal_function() -> None:
    roof = Roof("exponential", 1.0, 10.0)
    got = evaluate(case_of(roof, roof, discount_rate=0.0))["keep"].expected["renewals"][0]
    assert got == pytest.approx(240 * (1 - exp(-1 / 120)), rel=TIGHT)
    assert got == pytest.approx(1.9917, abs=5e-5)


def test_renewals_come_near_the_continuous_renewal_function() -> None:
    """Exponential lives of mean 10 years: 2 renewals in 20 years in continuous time."""
    roof = Roof("exponential", 1.0, 10.0)
    got = evaluate(case_of(roof, roof, discount_rate=0.0))["keep"].expected["renewals"][0]
    assert abs(got - 2.0) < 0.01


@given(inflation=some.floats(-0.02, 0.1), real=some.floats(0.0, 0.1))
@settings(max_examples=20, deadline=None)
def test_constant_and_current_currency_agree(inflation, real) -> None:
    """Prices that rise with inflation, discounted at the nominal rate, are worth the same."""
    roof = replace(MEMBRANE, resale_share=0.0)
    leaks = replace(LEAKY, found_at_sale=0.0)
    constant = evaluate(case_of(roof, roof, leaks=leaks, discount_rate=real))["keep"]
    rising = dict.fromkeys(
        ("initial", "renewal", "upkeep", "leak damage", "warranty", "insurance", "days", "hours", "energy"),
        inflation,
    )
    nominal = float(nominal_rate(real, inflation))
    current = evaluate(case_of(roof, roof, leaks=leaks, discount_rate=nominal, escalation=rising))["keep"]
    assert np.allclose(constant.net_present_cost, current.net_present_cost, rtol=1e-9)


def test_annual_value_of_a_chain_of_equal_lives_equals_that_of_one() -> None:
    """A roof that always lasts five years: its change is planned, and a long chain costs the same a year."""
    one = annual_value(1000.0, discount_rate=0.04, years=5)
    chain = sum(1000.0 / 1.04**year for year in range(0, 40, 5))
    assert annual_value(chain, discount_rate=0.04, years=40) == pytest.approx(one, rel=TIGHT)


def test_a_roof_never_resealed_is_20_87_years_old_after_13() -> None:
    """Published, second-hand: lives of 21 and 13 years with and without upkeep; exponent 0.2."""
    roof = Roof("neglected", 3.0, 16.0, upkeep_exponent=0.2)
    state = today(Existing(roof, age=156, seal_age=156, hidden_now=None), Leaks(2.0, 1.0), 1)
    assert float(np.asarray(state.effective_age)[0]) == pytest.approx(20.87, abs=0.005)


def test_draws_are_evaluated_as_they_are_one_by_one() -> None:
    """A batch in which the months until severe differ gives what each draw gives by itself."""
    severe_after = np.array([2.4, 0.4, 1.0, 0.02, 1.9, 1.0])
    quote = np.linspace(5000.0, 9000.0, severe_after.size)
    case = example_2()
    ways = tuple(replace(way, quote=quote) if way.name == "coat_now" else way for way in case.alternatives)
    batch = evaluate(replace(case, leaks=replace(case.leaks, severe_after=severe_after), alternatives=ways))
    for draw, (limit, price) in enumerate(zip(severe_after, quote, strict=True)):
        alone_ways = tuple(replace(w, quote=price) if w.name == "coat_now" else w for w in case.alternatives)
        leaks = replace(case.leaks, severe_after=float(limit))
        alone = evaluate(replace(case, leaks=leaks, alternatives=alone_ways))
        for name, ledger in alone.items():
            assert np.allclose(batch[name].net_present_cost[draw], ledger.net_present_cost[0], rtol=1e-12)
            for category, amount in ledger.by_category.items():
                assert batch[name].by_category[category][draw] == pytest.approx(amount[0], rel=1e-9, abs=1e-9)


def test_totals_only_gives_the_same_totals() -> None:
    for example in (example_1, example_2, example_3):
        whole, totals = evaluate(example()), evaluate(example(), totals_only=True)
        for name, ledger in whole.items():
            assert np.array_equal(ledger.net_present_cost, totals[name].net_present_cost)
            assert sum(a[0] for a in ledger.by_category.values()) == pytest.approx(
                ledger.at_holding[0], rel=1e-9
            )


def test_a_weibull_roof_lives_its_mean_life() -> None:
    """The mean of the age at renewal, over a study long enough, is scale Gamma(1 + 1 / shape)."""
    roof = Roof("weibull", 3.0, 8.0)
    chain = chains(case_of(roof, roof, study_period=60, holding_period=60))["keep"]
    mass = chain.following.renewed(721)[:, 0]
    mean = float(np.sum(mass * (np.arange(721) - 0.5)) / 12)
    assert mass.sum() == pytest.approx(1.0, abs=1e-9)
    assert mean == pytest.approx(8.0 * gamma(1 + 1 / 3), abs=1e-3)
