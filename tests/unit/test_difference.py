"""The difference between two scenarios: by cause, averaged over orders, adding up exactly."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from lifecycle.answers.difference import first_sentence
from lifecycle.files import load, loads
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies import difference as module
from lifecycle.studies.assessment import compared
from lifecycle.studies.difference import (
    LABELS,
    OTHERWISE,
    PLACE,
    QUOTE,
    SIZE,
    STANDING,
    WAY,
    Difference,
    with_inputs_alike,
)
from lifecycle.studies.futures import futures

SCENARIOS = Path(__file__).parents[2] / "scenarios"

DRAWS = 32
"""Futures here; tests/agreement holds the default number to the other answers."""

difference = partial(module.difference, draws=DRAWS)

YEARS, PRICE, RESEAL = "owner.holding_period", "figures.coating_quote", "figures.shop_reseal_cost"


@pytest.fixture(scope="module")
def humid_coast() -> Scenario:
    """Return a shipped scenario."""
    return load(SCENARIOS / "humid-coast-motorhome.toml")


def answer(scenario: Scenario) -> float:
    """Return the mean net savings of the subject over the base case, from a doubt of its own."""
    _, found = compared(scenario, futures(scenario, draws=DRAWS))
    subject = next(way.name for way in scenario.alternatives if way.subject)
    return float(found.futures.weights @ found.net_savings(subject))


def shifted(scenario: Scenario, changes: dict[str, float]) -> Scenario:
    """Return a scenario with some ranges moved so that they lie about other values."""
    moved = {}
    for path, value in changes.items():
        old = scenario.inputs[path]
        by = value / old.likely
        moved[path] = replace(old, low=old.low * by, likely=value, high=old.high * by)
    return replaced(scenario, moved)


def amounts(found: Difference) -> dict[str, float]:
    """Return the amount of each cause by its key."""
    return {cause.key: cause.amount for cause in found.causes}


def changed_text(scenario: Scenario, *changes: tuple[str, str]) -> Scenario:
    """Return a scenario read from the text of another with some passages replaced."""
    text = scenario.text
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return loads(text, "changed")


def check(found: Difference, first: Scenario, second: Scenario) -> None:
    """Assert that both answers are those of the scenarios, and that the causes add up."""
    assert found.first == pytest.approx(answer(first), abs=1e-6)
    assert found.second == pytest.approx(answer(second), abs=1e-6)
    assert sum(amounts(found).values()) == pytest.approx(found.total, abs=1e-6)
    sizes = [abs(cause.amount) for cause in found.causes]
    assert sizes == sorted(sizes, reverse=True)


def test_a_scenario_does_not_differ_from_itself(humid_coast: Scenario) -> None:
    found = difference(humid_coast, humid_coast)
    assert (found.causes, found.total, found.orders) == ((), 0.0, None)


def test_one_cause_is_the_whole_difference(humid_coast: Scenario) -> None:
    other = replaced(humid_coast, {YEARS: 5.0})
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    (cause,) = found.causes
    assert (cause.key, cause.label, cause.first, cause.second) == (
        YEARS,
        "years you keep it",
        "10 years",
        "5 years",
    )
    assert cause.amount == found.total
    assert [(one.likely, two.likely) for one, two in cause.figures] == [(10.0, 5.0)]


def test_two_causes_count_with_the_mean_of_both_orders(humid_coast: Scenario) -> None:
    """By single comparisons: a price of the reseal matters the more, the longer one keeps the coach."""
    years, price = shifted(humid_coast, {YEARS: 5.0}), shifted(humid_coast, {RESEAL: 600.0})
    both = shifted(humid_coast, {YEARS: 5.0, RESEAL: 600.0})
    nothing, one, other, all_of_it = (answer(scenario) for scenario in (humid_coast, years, price, both))
    found = difference(humid_coast, both)
    check(found, humid_coast, both)
    assert amounts(found) == {
        YEARS: pytest.approx((one - nothing + all_of_it - other) / 2.0, abs=1e-6),
        RESEAL: pytest.approx((other - nothing + all_of_it - one) / 2.0, abs=1e-6),
    }
    assert one - nothing != pytest.approx(all_of_it - other, abs=100.0)  # the order matters


def test_back_is_there_with_the_other_sign(humid_coast: Scenario) -> None:
    other = replaced(humid_coast, {YEARS: 7.0, PRICE: 8000.0, RESEAL: 700.0})
    there, back = difference(humid_coast, other), difference(other, humid_coast)
    assert amounts(back) == {key: pytest.approx(-amount) for key, amount in amounts(there).items()}


def test_a_quote_paid_today_counts_one_for_one(humid_coast: Scenario) -> None:
    other = replaced(humid_coast, {YEARS: 7.0, PRICE: 8000.0, RESEAL: 700.0})
    assert amounts(difference(humid_coast, other))[PRICE] == pytest.approx(9870.0 - 8000.0)


def test_another_plan_is_one_cause_with_all_that_follows_it(humid_coast: Scenario) -> None:
    """The base case's roof under another plan: the coating is looked at in another way too."""
    other = changed_text(
        humid_coast,
        (
            'base_case = true               # what the owner would do otherwise\nroof = "membrane"',
            'base_case = true\nroof = "membrane_touched_up"',
        ),
    )
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    (cause,) = found.causes
    assert (cause.key, cause.label) == (OTHERWISE, "what you would do otherwise")
    assert cause.first == "A shop reseals every year"
    assert cause.second == f"{cause.first} (upkeep: you touch up cracks every year yourself)"


def test_partners_differ_in_what_they_would_do_and_how_long(humid_coast: Scenario) -> None:
    other = changed_text(
        humid_coast,
        ('like = "membrane"\nplan = "shop_every_year"', 'like = "membrane"\nplan = "own_touch_up"'),
        ("low = 6, likely = 10, high = 15", "low = 3, likely = 5, high = 9"),
    )
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    assert set(amounts(found)) == {OTHERWISE, YEARS}
    assert all(amount < -1000.0 for amount in amounts(found).values())


def test_the_roof_that_stands_is_one_cause(humid_coast: Scenario) -> None:
    other = changed_text(
        humid_coast,
        ("age = 14                       #", "age = 60 #"),
        ("seal_age = 14                  #", "seal_age = 30 #"),
        ('past_plan = "only_looks"', 'past_plan = "own_touch_up"'),
    )
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    (cause,) = found.causes
    assert (cause.key, cause.label) == (STANDING, LABELS[STANDING])
    assert {one.path for one, _ in cause.figures} == {"existing.age", "existing.seal_age"}
    assert "60 months" in cause.second
    assert "30 months" in cause.second


def test_a_price_that_is_another_input_is_the_quote(humid_coast: Scenario) -> None:
    """The subject's quote stated by itself, not by the figure that all ways share."""
    other = changed_text(
        humid_coast,
        ('quote = "coating_quote"\nsubject = true', "quote = 7000\nsubject = true"),
    )
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    (cause,) = found.causes
    assert (cause.key, cause.first, cause.second) == (QUOTE, "9,870 USD", "7,000 USD")
    assert cause.amount == pytest.approx(2870.0)


def test_another_subject_is_the_way_in_question(humid_coast: Scenario) -> None:
    other = changed_text(
        humid_coast,
        ("\nsubject = true", ""),
        ('title = "Spray in year 5"', 'title = "Spray in year 5"\nsubject = true'),
    )
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    assert found.ways_second == ("coat_in_year_5", "keep")
    assert {cause.key: (cause.first, cause.second) for cause in found.causes} == {
        WAY: ("Spray now", "Spray in year 5; until then the owner touches up cracks every year")
    }


def test_how_often_goes_with_the_way_that_it_belongs_to() -> None:
    first = load(SCENARIOS / "worked-example-1.toml")
    path = "roofs.membrane.visits.reseal.every"
    for changes, key in (({path: 24.0}, OTHERWISE), ({"roofs.coating.visits.topcoat.every": 60.0}, WAY)):
        second = replaced(first, changes)
        found = difference(first, second)
        check(found, first, second)
        assert list(amounts(found)) == [key]
        assert found.causes[0].first != found.causes[0].second


def test_what_only_other_ways_use_is_no_cause(humid_coast: Scenario) -> None:
    """The years shown, and figures of ways that are not compared."""
    other = changed_text(
        humid_coast,
        ("[study]\n", "[study]\nstudy_period = 30\n"),
        ("[figures]\n", "[figures]\nown_touch_up_cost = 500\n"),
    )
    assert other.inputs["figures.own_touch_up_cost"].likely == 500.0
    found = difference(humid_coast, other)
    assert found.causes == ()
    # Each has the mean of its own futures, as a comparison of it has.
    assert found.first == pytest.approx(answer(humid_coast), abs=1e-6)
    assert found.second == pytest.approx(answer(other), abs=1e-6)
    assert found.by_draws == pytest.approx(found.total) and abs(found.by_draws) > 1.0
    assert "is chance: other figures are drawn" in first_sentence(found, "USD")


def test_years_kept_may_be_longer_than_the_other_scenario_shows(humid_coast: Scenario) -> None:
    other = changed_text(
        humid_coast,
        ("[study]\n", "[study]\nstudy_period = 30\n"),
        ("low = 6, likely = 10, high = 15", "low = 20, likely = 25, high = 30"),
    )
    for first, second in ((humid_coast, other), (other, humid_coast)):
        found = difference(first, second)
        check(found, first, second)
        assert list(amounts(found)) == [YEARS]


@pytest.mark.parametrize("name", ["own-hands", "cold-stored-trailer", "hidden-wet-spot"])
def test_shipped_scenarios_add_up(humid_coast: Scenario, name: str) -> None:
    other = load(SCENARIOS / f"{name}.toml")
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    assert found.orders == 2 * module.ORDERS
    assert {OTHERWISE, STANDING, YEARS} <= set(amounts(found))
    (otherwise,) = (cause for cause in found.causes if cause.key == OTHERWISE)
    titles = [one.alternative(one.base_case.name).title for one in (humid_coast, other)]
    assert titles[0] == titles[1] or [otherwise.first, otherwise.second] == titles
    sizes = [abs(cause.amount) for cause in found.causes]
    assert all(cause.error < 0.05 * max(sizes) for cause in found.causes)


def test_many_causes_are_averaged_over_random_orders_and_still_add_up() -> None:
    first, second = (load(SCENARIOS / f"worked-example-{number}.toml") for number in (1, 2))
    found = difference(first, second, orders=3, seed=4)
    check(found, first, second)
    assert len(found.causes) > module.MOST_CAUSES
    assert found.orders == 6  # each order and its reversed one
    assert "6 orders" in found.method
    assert any(cause.error > 0.0 for cause in found.causes)
    assert difference(first, second, orders=3, seed=4) == found
    assert amounts(difference(first, second, orders=3, seed=5)) != amounts(found)


@pytest.mark.slow
def test_random_orders_come_near_to_all_orders(
    humid_coast: Scenario, monkeypatch: pytest.MonkeyPatch
) -> None:
    changes = {YEARS: 5.0, PRICE: 8000.0, RESEAL: 600.0}
    changes |= {"leaks.rot_cost": 9000.0, "roofs.membrane.life_mean": 15.0, "study.discount_rate": 0.06}
    other = shifted(humid_coast, changes)
    scatter, errors = [], []
    for seed in range(1, 7):
        exact = difference(humid_coast, other, seed=seed)
        monkeypatch.setattr(module, "MOST_CAUSES", 0)
        drawn = difference(humid_coast, other, seed=seed, orders=10)
        monkeypatch.undo()
        assert (exact.orders, drawn.orders) == (None, 20)
        assert drawn.total == pytest.approx(exact.total)
        by_key = amounts(exact)
        for cause in drawn.causes:
            assert abs(cause.amount - by_key[cause.key]) <= 5.0 * cause.error + 1e-6, cause.key
            scatter.append(cause.amount - by_key[cause.key])
            errors.append(cause.error)
    # Orders scatter as much as the error says: the root of its mean square over all causes and seeds.
    assert max(errors) > 1.0
    assert np.sqrt(np.mean(np.square(scatter))) == pytest.approx(np.sqrt(np.mean(np.square(errors))), rel=0.4)


def test_leaks_found_so_far_weigh_the_futures_and_belong_to_the_roof_that_stands(
    humid_coast: Scenario,
) -> None:
    other = changed_text(humid_coast, ("leaks_found = 0", "leaks_found = 2"))
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    (cause,) = found.causes
    assert (cause.key, abs(cause.amount) > 50.0) == (STANDING, True)


def test_a_wider_range_alone_is_a_cause_and_both_ranges_are_named(humid_coast: Scenario) -> None:
    life = humid_coast.inputs["roofs.membrane.life_mean"]
    other = replaced(humid_coast, {life.path: replace(life, high=life.high + 10.0)})
    found = difference(humid_coast, other)
    check(found, humid_coast, other)
    (cause,) = found.causes
    assert (cause.key, cause.first, cause.second) == (
        life.path,
        "23 years (15 to 30)",
        "23 years (15 to 40)",
    )


def test_a_loan_in_one_of_them_is_a_cause() -> None:
    first = load(SCENARIOS / "worked-example-1.toml")
    loan = '\n[loan]\nalternative = "coat_now"\nprincipal = 6000\nrate = 0.0899\nmonths = 120\n'
    second = loads(first.text + loan, "with a loan")
    found = difference(first, second)
    check(found, first, second)
    (cause,) = found.causes
    assert (cause.label, cause.first, cause.second) == ("the loan", "no loan", "stated in its own way")


def test_scenarios_in_two_currencies_are_refused(humid_coast: Scenario) -> None:
    with pytest.raises(ValueError, match="one scenario is in USD, the other in EUR: nothing converts"):
        difference(humid_coast, replace(humid_coast, currency="EUR"))


def test_causes_that_do_not_add_up_are_refused(humid_coast: Scenario) -> None:
    found = difference(humid_coast, replaced(humid_coast, {YEARS: 5.0}))
    with pytest.raises(ValueError, match="do not add up"):
        replace(found, second=found.second + 1.0)


def test_progress_ends_with_all_sets(humid_coast: Scenario) -> None:
    seen: list[tuple[int, int]] = []
    other = replaced(humid_coast, {YEARS: 5.0, PRICE: 8000.0})
    difference(humid_coast, other, progress=lambda done, whole: seen.append((done, whole)))
    assert seen[-1] == (4, 4)


WORKED = (SCENARIOS / "worked-example-2.toml").read_text(encoding="utf-8")


def site(text: str) -> Scenario:
    """Return a worked example on a coach in a place."""
    return loads(WORKED + text, "with a site")


def test_another_place_is_one_cause_and_no_way_is_stated_otherwise() -> None:
    miami, duluth = (site(f'\n[climate]\nplace = "{name}"\n') for name in ("Miami", "Duluth"))
    found = difference(miami, duluth)
    check(found, miami, duluth)
    (cause,) = found.causes
    assert (cause.key, cause.label, cause.first, cause.second) == (
        PLACE,
        "where it stands",
        "Miami",
        "Duluth",
    )


def test_size_and_place_are_two_causes_and_each_is_the_mean_of_both_orders() -> None:
    coach, climate = "\n[coach]\nlength = 40\n", '\n[climate]\nplace = "Phoenix"\nsheltered_share = 0.2\n'
    plain, both = site(""), site(coach + climate)
    found = difference(plain, both)
    check(found, plain, both)
    assert set(amounts(found)) == {SIZE, PLACE}
    sized, placed = answer(site(coach)), answer(site(climate))
    size = ((sized - found.first) + (found.second - placed)) / 2
    assert amounts(found)[SIZE] == pytest.approx(size, rel=0.01)  # the plain one draws other ranges
    said = {cause.key: (cause.first, cause.second) for cause in found.causes}
    assert said[PLACE] == ("no place named", "Phoenix, under cover for 20 % of the year")
    assert said[SIZE][0] == "not measured" and "1.54 times the roof" in said[SIZE][1]


def test_an_exponent_that_both_have_is_a_cause_of_its_own() -> None:
    climate = '\n[climate]\nplace = "Phoenix"\n'
    weak, strong = site(climate), site(climate + "heat_exponent = 0.5\nhail_days = 3\n")
    found = difference(weak, strong)
    check(found, weak, strong)
    assert set(amounts(found)) == {"climate.heat_exponent", PLACE}


MEMBRANE = '[roofs.membrane]\nlike = "membrane"\n'


@pytest.mark.parametrize(
    ("name", "value"),
    [("joint_leaks_ten_years", 2.22), ("age_leaks_ten_years", 0.162), ("puncture_rate", 0.1)],
)
def test_a_figure_of_the_membrane_is_no_other_coating(humid_coast: Scenario, name: str, value: float) -> None:
    """Said of the membrane alone it leaves the coating on the tool's own: one input becomes two."""
    said = changed_text(humid_coast, (MEMBRANE, f"{MEMBRANE}{name} = {value}\n"))
    assert f"shared.roofs.membrane.{name}" in said.inputs
    for first, second in ((humid_coast, said), (said, humid_coast)):
        found = difference(first, second)
        check(found, first, second)
        assert list(amounts(found)) == [f"roofs.membrane.{name}"]
        assert abs(found.total) > 10.0


def test_inputs_made_alike_leave_every_number(humid_coast: Scenario) -> None:
    said = changed_text(humid_coast, (MEMBRANE, f"{MEMBRANE}joint_leaks_ten_years = 2.22\n"))
    first, second = with_inputs_alike(humid_coast, said)
    assert resolve(first) == resolve(humid_coast) and second is said
    both = {
        roof.numbers["joint_leaks_ten_years"] for roof in (first.roofs["coating"], second.roofs["coating"])
    }
    assert len(both) == 1
    assert with_inputs_alike(humid_coast, humid_coast) == (humid_coast, humid_coast)
