"""Trouble, what was found when it was opened, and moisture readings: in the file, in the model, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import exp, factorial, inf

import numpy as np
import pytest

from lifecycle.answers.papers import for_shop, for_us, gather
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.comparison import compare
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.opening import opening
from lifecycle.evaluation.past import log_likelihood
from lifecycle.files import loads
from lifecycle.interview import broken_rule, parts, scenario_text
from lifecycle.language.cautions import found_lines, path_lines
from lifecycle.language.verdict import first_lines
from lifecycle.places import scenario_path
from lifecycle.roofs import Alternative, Case, Existing, Leaks, Roof, Terms, Visit
from lifecycle.scenario import Meter, Opened, Scenario, resolve
from lifecycle.writers.terminal import as_text

TROUBLE = 'trouble = ["stain", "soft spot"]'
WET = 'found = "wet"\nrepaired = "two panels of plywood"\ncost = 640'
PLACES = ("front cap", "left edge", "vent")


def shipped(name: str, old: str, new: str) -> Scenario:
    """Return a shipped scenario with one line replaced."""
    text = scenario_path(name).read_text(encoding="utf-8")
    assert old in text
    return loads(text.replace(old, new), name)


def opened(lines: str) -> Scenario:
    """Return the shipped coach with trouble, opened."""
    return shipped("trouble-reported", TROUBLE, f"{TROUBLE}\n\n[existing.opened]\n{lines}\n")


def measured(*readings: float, more: str = "", limit: float = 16) -> Scenario:
    """Return the shipped coach with a wet spot that nobody sees, measured at some places."""
    rows = ", ".join(
        f'{{ place = "{PLACES[number % 3]} {number}", percent = {one} }}'
        for number, one in enumerate(readings)
    )
    meter = f"\n[existing.meter]\nlimit = {limit}\nreadings = [{rows}]\n{more}\n[alternatives.keep]"
    return shipped("hidden-wet-spot", "\n[alternatives.keep]", meter)


def faults(scenario: str, old: str, new: str) -> list[tuple[str, str]]:
    """Return place and rule of what is wrong with a changed file."""
    with pytest.raises(ScenarioError) as caught:
        shipped(scenario, old, new)
    return [(fault.place, fault.rule) for fault in caught.value.faults]


def test_trouble_stops_until_it_is_opened_and_then_goes_on() -> None:
    closed = loads(scenario_path("trouble-reported").read_text(encoding="utf-8"), "closed")
    assert closed.trouble == ("stain", "soft spot") and compare(closed).cheapest is None
    for lines in (WET, 'found = "dry"'):
        found = opened(lines)
        assert found.trouble == () and found.seen.signs == closed.trouble
        assert compare(found).cheapest in compare(found).ways


def test_what_the_repair_cost_moves_no_difference_and_no_cost() -> None:
    assert compare(opened(WET)).ways["keep"].at_holding == pytest.approx(
        compare(opened(WET.replace("640", "9000"))).ways["keep"].at_holding
    )


def test_a_place_that_is_dry_thins_what_a_look_would_have_found() -> None:
    """1 - inspected = (1 - look) (1 - finds)^n: the chance that independent tries all miss (textbook)."""
    two = resolve(measured(9, 16, more="finds = 0.25"))
    look = resolve(loads(scenario_path("hidden-wet-spot").read_text(encoding="utf-8"), "look"))
    before = float(np.asarray(look.existing.inspected_today))
    assert two.existing.inspected_today == pytest.approx(1.0 - (1.0 - before) * 0.75**2)
    by_hand = replace(look, existing=replace(look.existing, inspected_today=1.0 - (1.0 - before) * 0.75**2))
    costs, expected = evaluate(two), evaluate(by_hand)
    assert all(
        costs[name].at_holding == pytest.approx(expected[name].at_holding) for name in ("keep", "coat_now")
    )


def test_more_dry_places_leave_less_wet_wood_but_never_none() -> None:
    chances = [opening(resolve(measured(*[10.0] * number))).wet for number in (1, 4, 12, 40)]
    assert chances == sorted(chances, reverse=True) and chances[-1] > 0.0
    assert len(set(chances)) == 4


def test_dry_readings_are_an_input_with_a_range_of_their_own() -> None:
    figure = measured(10).inputs["figures.meter_finds"]
    assert figure.ranged and figure.basis == "judgement" and 0.0 < figure.low < figure.high < 0.2


def test_a_reading_above_the_limit_is_trouble_and_one_at_the_limit_is_not() -> None:
    assert measured(16).trouble == ()
    wet = measured(9, 16.5)
    assert wet.trouble == ("a reading above the limit",) and compare(wet).cheapest is None
    on = measured(9, 16.5, more=f"\n[existing.opened]\n{WET}")
    assert on.trouble == () and on.existing.dry_places == 1 and on.existing.found_at_least == 1


def test_a_spot_that_was_opened_and_dry_is_one_more_dry_place() -> None:
    dry = opened('found = "dry"')
    assert dry.existing.dry_places == 1 and dry.existing.found_at_least == 0
    assert resolve(dry).existing.inspected_today == pytest.approx(dry.inputs["figures.meter_finds"].likely)


def test_one_leak_at_least_is_all_numbers_of_leaks_from_one_on() -> None:
    """Constant hazard, punctures, a monthly look that misses nothing: a Poisson number, so 1 - exp(-mean)."""
    roof = Roof("any", 1.0, 20.0, puncture_rate=0.4, visits=(Visit("look", 1, finds=1.0),))
    leaks = Leaks(rot_time=2.0, severe_after=1.0)
    keep = Alternative("keep", "", roof, roof, None, 0.0, 0.0, base_case=True)
    wet = Existing(roof, 60, 60, found_at_least=1)

    def chance(existing: Existing) -> float:
        return exp(float(log_likelihood(Case(Terms(5, 5, 0.03), leaks, existing, (keep,)), 1)[0]))

    mean, stands = 0.4 / 12 * 59, exp(-60 / 12 / 20.0)
    assert chance(wet) == pytest.approx(stands * (1.0 - exp(-mean)), rel=1e-9)
    each = [chance(replace(wet, found_at_least=0, leaks_found=number)) for number in range(1, 40)]
    # The same draws weighed by a count say mean^k / k! less: the k! is the same for every draw and left out.
    total = sum(one / factorial(number) for number, one in enumerate(each, start=1))
    assert chance(wet) == pytest.approx(total, rel=1e-9)
    assert chance(replace(wet, leaks_found=3)) == pytest.approx(each[2])


def test_a_wet_spot_moves_what_is_likely_of_this_roof_and_a_dry_one_hardly() -> None:
    def mean_leaks(scenario: Scenario) -> float:
        from lifecycle.studies.futures import futures

        drawn = futures(scenario, draws=256, seed=1)
        joint = drawn.sample.values["roofs.membrane.joint_leaks_ten_years"]
        return float(np.average(joint, weights=drawn.weights))

    assert mean_leaks(opened(WET)) > 1.05 * mean_leaks(opened('found = "dry"'))


def test_a_limit_that_is_too_high_for_wood_makes_no_wet_reading_dry() -> None:
    """A dishonest seller's trick: 32 percent under a limit of 40 is no trouble by that limit, and not dry."""
    tricked, honest = measured(32, 12, limit=40), measured(12, limit=16)
    assert tricked.seen.dry_places == honest.seen.dry_places == 1 and not tricked.seen.stops
    told = " ".join(found_lines(tricked.seen))
    assert "a limit of 40 is of another scale, or too high" in told and "1 place above 19 count" in told
    assert "too high" not in " ".join(found_lines(honest.seen))


def test_every_answer_tells_what_was_found() -> None:
    """The path stands where it is closed, the finding where it is open: command, both papers."""
    gone = opened(WET.replace('"wet"', '"gone"'))
    assert "the deck was rotten through; repaired" in " ".join(found_lines(gone.seen))
    assert gone.existing.found_at_least == 1
    for scenario in (opened(WET), measured(9, 12)):
        told = found_lines(scenario.seen, scenario.currency)
        plain = found_lines(scenario.seen)
        assert len(told) == len(plain) + (scenario.seen.opened is not None)
        assert plain and not path_lines(scenario.seen)
        _, verdict = first_lines(scenario, draws=64)
        assert set(told) <= set(verdict.beside)
        gathered = gather(scenario, draws=64)
        us, shop = (" ".join(as_text(paper).split()) for paper in (for_us(gathered), for_shop(scenario)))
        assert all(line in us for line in told) and all(line in shop for line in plain)
        assert not any(line in shop for line in set(told) - set(plain))


def test_both_papers_of_a_closed_roof_say_what_to_open_and_ours_whom_to_call() -> None:
    closed = loads(scenario_path("trouble-reported").read_text(encoding="utf-8"), "closed")
    gathered = gather(closed, draws=64)
    us, shop = (" ".join(as_text(paper).split()) for paper in (for_us(gathered), for_shop(closed)))
    assert all(line in us for line in path_lines(closed.seen)) and "inspector of coaches" in us
    assert all(line in shop for line in path_lines(closed.seen, to_shop=True))
    assert "Call a roof shop" not in shop and "in the file" not in shop
    assert all("Stain: open" in text and "Soft spot: open" in text for text in (us, shop))


def test_what_is_wrong_with_trouble_is_said_with_its_remedy() -> None:
    for found in ("wet", "gone"):
        assert faults("trouble-reported", TROUBLE, f'{TROUBLE}\n[existing.opened]\nfound = "{found}"') == [
            ("existing.opened.repaired", "is required where it was wet or gone: nothing may go over wet wood")
        ]
    assert faults("trouble-reported", TROUBLE, '[existing.opened]\nfound = "dry"') == [
        ("existing.opened", "must not stand without trouble")
    ]
    counted = f"leaks_found = 0\n{TROUBLE}\n[existing.opened]\n{WET}"
    assert faults("trouble-reported", TROUBLE, counted)[0][0] == "existing.leaks_found"
    meter = f"{TROUBLE}\n[existing.meter]\nlimit = 16\nreadings = []"
    assert faults("trouble-reported", TROUBLE, meter) == [
        ("existing.meter.readings", "must have one reading at least")
    ]
    meter = f'limit = 0\nreadings = [{{ place = "cap", percent = {inf} }}]\nfinds = 2'
    bad = f"{TROUBLE}\n[existing.meter]\n{meter}"
    assert {place for place, _ in faults("trouble-reported", TROUBLE, bad)} >= {
        "existing.meter.limit",
        "existing.meter.readings.1.percent",
        "existing.meter.finds",
    }


ANSWERS = {"otherwise": "shop_every_year", "keep": 8, "quote": 8000, "roof_age": 60, "trouble": ["stain"]}


def answered(**more: object) -> Scenario:
    """Return the scenario of the seven answers with trouble, and more."""
    return loads(scenario_text({**ANSWERS, **more}, base_date=date(2027, 4, 1)), "answers")


def test_answers_say_what_was_found_as_a_file_does() -> None:
    assert answered().trouble == answered(opened="not yet").trouble == ("stain",)
    assert answered(opened="wet").trouble == ("stain",), "wet wood that nobody repaired stops as before"
    on = answered(
        opened="wet", repaired='one "panel"', repair_cost=640, readings="vent 9, cap 14.5 %", meter_limit=15
    )
    assert on.trouble == () and on.seen.opened == Opened("wet", 'one "panel"', 640.0)
    assert on.seen.meter == Meter(15.0, (("vent", 9.0), ("cap", 14.5)), wood=19.0)
    assert answered(opened="dry").seen.opened == Opened("dry")
    above = answered(trouble=[], readings="vent 19", meter_limit=15)
    assert above.trouble == ("a reading above the limit",)
    assert answered(trouble=[], opened="wet", repaired="left from before").seen.opened is None
    assert answered(trouble=[], readings="vent 9").seen.meter is None, (
        "a reading without a limit says nothing"
    )


@pytest.mark.parametrize("typed", ["", "vent", "9", "vent 140", "vent 9,", "vent nine", "9 vent"])
def test_readings_are_understood_whole_or_refused(typed: str) -> None:
    assert (
        broken_rule(parts()["readings"], typed)
        == "must be places and percents, as: front cap 9, left edge 12"
    )
