"""The exact expectation against the slow loop over single months, on random cases of every feature.

The slow loop is written apart from the fast evaluation, from the model's text alone; agreement is to
rounding. Both are held to the printed worked examples elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from lifecycle.evaluation.expectation import chains, evaluate
from lifecycle.evaluation.ledger import COUNTS, Ledger
from lifecycle.roofs import HiddenLeak
from tests.agreement.random_cases import features, random_case
from tests.agreement.slow_model import SlowResult, slow_evaluate
from tests.agreement.worked_examples import example_2

CASES = range(60)
CLOSE = {"rel": 1e-9, "abs": 1e-7}


@cache
def both(seed: int) -> tuple[dict[str, Ledger], dict[str, SlowResult]]:
    case = random_case(seed)
    return evaluate(case), slow_evaluate(case)


@pytest.mark.parametrize("seed", CASES)
def test_costs_by_year_of_sale(seed: int) -> None:
    fast, slow = both(seed)
    assert list(fast) == list(slow)
    for name, ledger in fast.items():
        assert ledger.net_present_cost[0].tolist() == pytest.approx(slow[name].net_present_cost, **CLOSE), (
            name
        )


@pytest.mark.parametrize("seed", CASES)
def test_categories_and_counts_at_the_holding_period(seed: int) -> None:
    fast, slow = both(seed)
    for name, ledger in fast.items():
        categories = {key: float(value[0]) for key, value in ledger.by_category.items()}
        upkeep = slow[name].by_category["upkeep"]
        for visit in upkeep.keys() | {key[8:] for key in categories if key.startswith("upkeep: ")}:
            assert categories.get(f"upkeep: {visit}", 0.0) == pytest.approx(upkeep.get(visit, 0.0), **CLOSE)
        for category, amount in slow[name].by_category.items():
            if category != "upkeep":
                assert categories.get(category, 0.0) == pytest.approx(amount, **CLOSE), (name, category)
        assert ledger.at_holding[0] == pytest.approx(sum(categories.values()), **CLOSE)
        holding = round(12 * random_case(seed).terms.holding_period)
        for count in COUNTS:
            counted = slow[name].accounts[holding].expected[count]
            assert ledger.expected[count][0] == pytest.approx(counted, **CLOSE), (name, count)


@pytest.mark.parametrize("seed", CASES)
def test_chance_of_a_new_roof_and_number_of_first_changes(seed: int) -> None:
    fast, slow = both(seed)
    for name, ledger in fast.items():
        assert ledger.chance_renewed[0].tolist() == pytest.approx(slow[name].chance_renewed, **CLOSE)
        assert ledger.first_change[0].tolist() == pytest.approx(slow[name].first_change_weight, **CLOSE)


def test_the_random_cases_do_use_every_feature() -> None:
    """A case set that left a feature out would prove nothing of it."""
    used = [features(random_case(seed)) for seed in CASES]
    missing = [name for name in used[0] if not any(case[name] for case in used)]
    assert not missing


@pytest.mark.parametrize("seed", CASES)
def test_hidden_leaks_stay_numbers_of_leaks(seed: int) -> None:
    """No running sum goes below zero by more than rounding, and no probability leaves 0 ... 1."""
    for chain in chains(random_case(seed)).values():
        for spell in (chain.existing, chain.following):
            hidden = spell.hidden
            numbers = hidden.open, hidden.open_puncture, hidden.open_end, hidden.severe, hidden.severe_end
            for number in (*numbers, hidden.silent, hidden.silent_puncture):
                assert number.min() > -1e-12
            assert np.all(hidden.open_puncture + hidden.open_end <= hidden.open + 1e-12)
            for mass in (spell.standing.start, spell.standing.at_sale, spell.standing.renewed_before):
                assert mass.min() > -1e-12 and mass.max() < 1.0 + 1e-12


def test_a_silent_puncture_that_turns_severe_while_still_sudden_is_insured_when_found() -> None:
    """Severe after two months, sudden within nine, half of the leaks silent: in both evaluations."""
    case = example_2()
    leaks = replace(case.leaks, severe_after=2.0 / 12, sudden_within=0.75, silent_share=0.5, deductible=100.0)
    listed = (HiddenLeak(1, puncture=0.4), HiddenLeak(4, joint=0.1, puncture=0.2))
    for existing in (case.existing, replace(case.existing, hidden_now=listed)):
        odd = replace(case, leaks=leaks, existing=existing)
        fast, slow = evaluate(odd), slow_evaluate(odd)
        for name, ledger in fast.items():
            paid = slow[name].by_category["insurance"]
            assert paid < -10.0
            assert ledger.by_category["insurance"][0] == pytest.approx(paid, rel=1e-9)
