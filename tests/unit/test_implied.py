"""What the figures imply together: closed forms, one input at a time, and facts of the trade."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lifecycle import files
from lifecycle.evaluation.comparison import compare
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.spell import Spell
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies import one_roof
from lifecycle.studies.case import chance_of_leak
from lifecycle.studies.implied import QUANTITIES, implied, plan_spells, shipped_membrane, with_every_plan
from tests.unit.for_trouble import rotten_among_stripped_for_trouble

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PLANS = tuple(files.shared()["plans"])

PLAIN = """
[study]
base_date = 2027-04-01
study_period = 20
discount_rate = 0.03
[owner]
holding_period = 8
[leaks]
rot_time = 2
severe_after = 1
patch_cost = 100
rot_cost = 1000
SIGNS
[roofs.skin]
life_shape = 1
life_scale = "endless"
puncture_rate = 0.12
OTHER
[[roofs.skin.visits]]
name = "look"
every = 24
finds = 1
[existing]
roof = "skin"
age = 0
[alternatives.keep]
base_case = true
"""
"""A roof with nothing but punctures, 0.01 a month, looked at every other year by somebody who sees all."""


def plain(signs: str = "", other: str = "") -> Scenario:
    """Return the plain scenario with further lines for the leaks and the roof."""
    return files.loads(PLAIN.replace("SIGNS", signs).replace("OTHER", other))


def spell(scenario: Scenario, plan: str) -> Spell:
    """Return the roof from new under one plan, at likely values."""
    return plan_spells(with_every_plan(scenario))[plan]


# --- closed forms --------------------------------------------------------------------------------


def test_only_punctures_give_the_same_chance_each_year() -> None:
    nothing = spell(plain(), "nothing")
    assert one_roof.new_leaks(nothing, 0, 9).item() == pytest.approx(1.2, rel=1e-12)
    for age in (0, 7, 15):
        assert one_roof.chance_of_new_leak(nothing, age, age).item() == pytest.approx(1 - math.exp(-0.12))


def test_what_nobody_finds_is_all_hidden_and_rots_after_its_time() -> None:
    """At age 2, 24 months of leaks are hidden; those of months 1 to 12 for 12.5 months or longer."""
    nothing = spell(plain(), "nothing")
    assert one_roof.chance_of_hidden_leak(nothing, 2).item() == pytest.approx(1 - math.exp(-0.24))
    assert one_roof.chance_of_rotten_deck(nothing, 2).item() == pytest.approx(1 - math.exp(-0.12))
    assert one_roof.renewed_by(nothing, 15).item() == 0.0
    assert one_roof.leak_damage_a_year(nothing, 0, 9).item() == 0.0
    assert one_roof.found_late(nothing, 15).item() == 0.0


def test_signs_that_show_at_once_leave_nothing_hidden() -> None:
    """Every leak is found after half a month: 0.12 a year, each at patch + rot (1 - exp(-1/48))."""
    shown = spell(plain(signs="sign_rate = 900"), "nothing")
    assert one_roof.chance_of_hidden_leak(shown, 8).item() == pytest.approx(0.0, abs=1e-12)
    each = 100 + 1000 * (1 - math.exp(-1 / 48))
    assert one_roof.leak_damage_a_year(shown, 0, 9).item() == pytest.approx(0.12 * each, rel=1e-9)
    assert one_roof.leak_damage_a_year(shown, 4, 8).item() == pytest.approx(0.12 * each, rel=1e-9)


def test_a_look_every_other_year_finds_half_of_the_leaks_late() -> None:
    """Of 24 months of leaks found together, those of the first 12 are older than a year."""
    looked_at = spell(plain(), "roofs.skin")
    assert one_roof.found_late(looked_at, 15).item() == pytest.approx(0.5, rel=1e-12)
    # It stands at 15 years if none of the seven looks until then found a severe leak.
    assert one_roof.renewed_by(looked_at, 15).item() == pytest.approx(1 - math.exp(-7 * 0.12), rel=1e-12)


def test_a_look_that_ends_a_year_opens_the_next() -> None:
    """The look at 24 months belongs to age 2: it finds 24 months of leaks; 1 - exp(-0.12) are stripped."""
    looked_at = spell(plain(), "roofs.skin")
    assert one_roof.leak_damage_a_year(looked_at, 0, 1).item() == 0.0
    hidden = [(24.5 - month) / 12 for month in range(1, 25)]
    damage = sum(0.01 * (100 + 1000 * (1 - math.exp(-years / 2))) for years in hidden)
    assert one_roof.leak_damage_a_year(looked_at, 2, 2).item() == pytest.approx(damage / math.exp(-0.12))


def test_the_chance_of_a_leak_runs_over_all_years_kept() -> None:
    """Kept 8 years, 0.12 punctures a year; less than a year counts as one."""
    assert chance_of_leak(compare(plain()), "keep") == pytest.approx(1 - math.exp(-8 * 0.12))
    short = replaced(plain(), {"owner.holding_period": 0.5})
    assert chance_of_leak(compare(short), "keep") == pytest.approx(1 - math.exp(-0.12))


def test_silent_leaks_are_hidden_too() -> None:
    """Half of the leaks show at once, half when they are a year old, which strips the roof."""
    silent = spell(plain(signs="sign_rate = 900\nsilent_share = 0.5"), "nothing")
    assert one_roof.chance_of_hidden_leak(silent, 8).item() == pytest.approx(1 - math.exp(-0.06), rel=1e-9)
    stands, early, late = 1.0, 0.0, 0.0
    for month in range(1, 181):
        turned = 0.005 if month > 12 else 0.0
        stripped = stands * (1 - math.exp(-turned))
        early += stands * 0.005 + stripped * 0.005 * min(month, 12)
        late += stands * turned
        stands -= stripped
    assert one_roof.found_late(silent, 15).item() == pytest.approx(late / (early + late), rel=1e-9)
    assert one_roof.renewed_by(silent, 15).item() == pytest.approx(1 - stands, rel=1e-9)


def test_trouble_is_always_rot_if_only_rot_forces() -> None:
    assert rotten_among_stripped_for_trouble(spell(plain(), "roofs.skin"), 3).item() == 1.0


def test_trouble_is_never_rot_if_no_leak_rots() -> None:
    wears = "ends_by_leak = 1"
    text = PLAIN.replace("SIGNS", "sign_rate = 2").replace("OTHER", wears).replace('"endless"', "10")
    scenario = files.loads(text.replace("severe_after = 1", "severe_after = 900"))
    assert rotten_among_stripped_for_trouble(spell(scenario, "nothing"), 5).item() == 0.0


def test_trouble_with_both_causes_is_counted_as_by_drawing_lots() -> None:
    """A month with a severe and an end leaks open, each found with one chance: against drawn numbers."""
    text = PLAIN.replace("SIGNS", "sign_rate = 0").replace("OTHER", "ends_by_leak = 1")
    text = text.replace('"endless"', "4").replace("finds = 1", "finds = 0.3")
    looked_at = spell(files.loads(text), "roofs.skin")
    severe = (looked_at.hidden.severe + looked_at.hidden.severe_end)[24].item()
    end = (looked_at.hidden.open_end - looked_at.hidden.severe_end)[24].item()
    lots = np.random.default_rng(20270401)
    rotten, other = lots.poisson(severe, 400_000), lots.poisson(end, 400_000)
    stripped = (lots.binomial(rotten, 0.3) + lots.binomial(other, 0.3)) > 0
    share = (rotten[stripped] > 0).mean()
    error = math.sqrt(share * (1 - share) / stripped.sum())
    # The look at 24 months falls in the year that ends with age 3, and is its only one.
    got = rotten_among_stripped_for_trouble(looked_at, 3).item()
    assert 0.05 < share < 0.95
    assert abs(got - share) < 4 * error


# --- the study -----------------------------------------------------------------------------------


def test_every_shared_plan_is_shown_on_the_existing_roof() -> None:
    shown = implied(files.load(SCENARIOS / "humid-coast-motorhome.toml"))
    assert tuple(under.plan for under in shown) == PLANS
    assert [under.title for under in shown] == [files.shared()["plans"][plan]["title"] for plan in PLANS]


def test_upkeep_that_the_file_states_itself_is_shown_besides() -> None:
    shown = implied(files.load(SCENARIOS / "worked-example-1.toml"))
    assert tuple(under.plan for under in shown) == (*PLANS, "roofs.membrane")


def test_every_quantity_that_was_asked_for_is_there() -> None:
    names = {quantity.name for quantity in QUANTITIES}
    assert {f"new leak, age {age}" for age in range(16)} <= names
    assert {f"hidden leak when stripped, age {age}" for age in (2, 8, 15)} <= names
    assert {f"rotten deck when stripped, age {age}" for age in (2, 8, 15)} <= names
    assert {"leaks in ten years", "leak damage a year", "renewed", "found late"} <= names
    assert len(names) == len(QUANTITIES)


def test_one_input_at_a_time_is_that_input_alone_replaced() -> None:
    scenario = files.load(SCENARIOS / "own-hands.toml")
    before = {under.plan: under for under in implied(scenario)}
    for path in ("leaks.sign_years", "figures.touch_up_restores", "roofs.membrane.life_mean"):
        for end in ("low", "high"):
            changed = replaced(scenario, {path: getattr(scenario.inputs[path], end)})
            for under in implied(changed):
                for name, now in under.implied.items():
                    was = before[under.plan].implied[name]
                    swing = next((s for s in was.swings if s.figure.path == path), None)
                    expected = was.likely if swing is None else getattr(swing, f"at_{end}")
                    assert now.likely == pytest.approx(expected, rel=1e-9, abs=1e-12), (path, name)


def test_the_ends_name_the_input_that_goes_furthest() -> None:
    for under in implied(shipped_membrane()):
        for name, what in under.implied.items():
            values = [value for s in what.swings for value in (s.at_low, s.at_high)]
            assert what.low is not None and what.high is not None, (under.plan, name)
            assert what.low.value == min(values) < what.likely < max(values) == what.high.value
            for extreme in (what.low, what.high):
                swing = next(s for s in what.swings if s.figure == extreme.figure)
                assert getattr(swing, f"at_{extreme.end}") == extreme.value


def test_without_ranges_there_are_no_swings() -> None:
    under = implied(files.load(SCENARIOS / "worked-example-1.toml"))[-1]
    for what in under.implied.values():
        assert what.swings == () and what.low is None and what.high is None


def test_what_the_owner_changed_is_what_is_looked_at() -> None:
    text = '[owner]\nlike = "shared"\n[leaks]\nlike = "shared"\n[study]\nlike = "shared"\n'
    text += 'base_date = 2027-04-01\n[figures]\nlook_finds = 1\n[roofs.membrane]\nlike = "membrane"\n'
    text += (
        'plan = "only_looks"\n[existing]\nroof = "membrane"\nage = 0\n[alternatives.keep]\nbase_case = true\n'
    )
    sharp = {under.plan: under.implied for under in implied(files.loads(text))}
    usual = {under.plan: under.implied for under in implied(shipped_membrane())}
    for plan in ("only_looks", "shop_every_third_year", "shop_look_and_touch_up"):
        assert sharp[plan]["found late"].likely < usual[plan]["found late"].likely
    assert sharp["own_touch_up"]["found late"].likely == usual["own_touch_up"]["found late"].likely


def test_a_coating_is_looked_at_under_its_own_jobs() -> None:
    membrane = shipped_membrane()
    coating = files.load(SCENARIOS / "own-hands.toml").roofs["coating"]
    scenario = files.load(SCENARIOS / "own-hands.toml")
    scenario = replace(scenario, existing=replace(scenario.existing, roof=coating.name))
    names = {visit.name for visit in with_every_plan(scenario).roofs["under own_reseal"].visits}
    assert names == {"own look", "topcoat"}
    on_coating, on_membrane = implied(scenario)[0].implied, implied(membrane)[0].implied
    assert on_coating["leaks in ten years"].likely < on_membrane["leaks in ten years"].likely


# --- facts of the trade --------------------------------------------------------------------------


@pytest.mark.parametrize("plan", ["shop_every_year", "nothing"])
def test_a_yearly_reseal_costs_several_times_the_leak_damage_of_a_near_new_membrane(plan: str) -> None:
    """Common practice, no source: a full yearly reseal costs about 1,000, and that is several times
    what the leaks of a membrane in its first years cost on average, resealed or not."""
    scenario = replaced(shipped_membrane(), {})
    price = with_every_plan(scenario).inputs["figures.shop_reseal_cost"].likely
    damage = one_roof.leak_damage_a_year(spell(scenario, plan), 0, 3).item()
    assert price == pytest.approx(1000, abs=100)
    assert price > 3 * damage > 0


TEAR = """
[study]
like = "shared"
base_date = 2027-04-01
[owner]
like = "shared"
[leaks]
like = "shared"
[roofs.membrane]
like = "membrane"
plan = "only_looks"
[existing]
roof = "membrane"
age = 24
hidden_now = [ { age = MONTHS, puncture = 1 } ]
[alternatives.keep]
base_case = true
"""


def test_a_minor_tear_unseen_for_long_on_a_two_year_old_roof_can_mean_stripping() -> None:
    """Common practice, no source. One tear, one look a year; new roofs expected in the first year."""

    def renewed_within_a_year(months_hidden: int) -> float:
        case = resolve(files.loads(TEAR.replace("MONTHS", str(months_hidden))))
        return evaluate(case)["keep"].chance_renewed[0, 1].item()

    fresh, old = renewed_within_a_year(1), renewed_within_a_year(20)
    assert fresh < 0.1
    assert old > 0.4
