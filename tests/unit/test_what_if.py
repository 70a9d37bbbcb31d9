"""What if a figure were other: plain names, the place, what is done otherwise, and mistakes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

import lifecycle
from lifecycle.errors import ScenarioError
from lifecycle.places import shipped_names
from lifecycle.scenario import Scenario
from lifecycle.studies.what_if import asked_inputs


@pytest.fixture(scope="module")
def coast() -> Scenario:
    return lifecycle.example("humid-coast-motorhome")


@pytest.mark.parametrize("name", shipped_names())
def test_a_plain_name_changes_the_one_input_that_it_stands_for(name: str) -> None:
    scenario = lifecycle.example(name)
    for plain, path in asked_inputs(scenario).items():
        value = scenario.inputs[path].likely * 0.9
        new = lifecycle.change(scenario, **{plain: value})
        assert new.inputs[path].likely == value
        assert {one for one in new.inputs if new.inputs[one] != scenario.inputs[one]} == {path}


def test_the_price_of_the_quote_moves_the_change_and_nothing_else(coast: Scenario) -> None:
    """A dollar more today is a dollar more in today's money, whatever comes after."""
    before = lifecycle.compare(coast)
    after = lifecycle.compare(
        lifecycle.change(coast, quote=coast.inputs["figures.coating_quote"].likely + 100.0)
    )
    moved = {name: after.ways[name].at_holding - before.ways[name].at_holding for name in before.ways}
    assert moved["coat_now"] == pytest.approx(100.0)
    assert moved["keep"] == pytest.approx(0.0)


def test_none_leaves_everything_as_it_is(coast: Scenario) -> None:
    assert lifecycle.change(coast, quote=None, years=None, otherwise=None, place=None) == coast


def test_three_numbers_are_a_range(coast: Scenario) -> None:
    figure = lifecycle.change(coast, years=(4, 8, 12)).inputs["owner.holding_period"]
    assert (figure.low, figure.likely, figure.high, figure.shape) == (4.0, 8.0, 12.0, "pert")


def test_what_is_done_otherwise_may_be_another_way(coast: Scenario) -> None:
    moved = lifecycle.compare(lifecycle.change(coast, otherwise="keep_touched_up"))
    assert moved.base_case == "keep_touched_up"
    by_hand = coast.text.replace("base_case = true", "")
    by_hand = by_hand.replace(
        "[alternatives.keep_touched_up]", "[alternatives.keep_touched_up]\nbase_case = true"
    )
    said = lifecycle.compare(lifecycle.loads(by_hand))
    assert {one: way.at_holding for one, way in moved.ways.items()} == {
        one: way.at_holding for one, way in said.ways.items()
    }
    assert moved.case.alternatives[4].then.visits != lifecycle.compare(coast).case.alternatives[4].then.visits


def test_another_place_is_named_and_brings_what_the_table_of_places_says(coast: Scenario) -> None:
    there = lifecycle.change(coast, place="Duluth")
    found = lifecycle.doubt(there, draws=256)
    costs = {name: float(found.futures.weights @ found.cost(name)) for name in found.names}
    row = lifecycle.by_place(coast).to_frame().loc["Duluth"]
    # Costs there are means over the futures, moved by what the first of them tell.
    assert costs == pytest.approx({name: row[f"{name} [USD]"] for name in costs}, rel=0.03)
    cause = lifecycle.difference(coast, there).to_frame().loc["place"]
    assert (cause["first"], cause["second"]) == ("Miami", "Duluth")
    back = lifecycle.compare(lifecycle.change(there, place="Miami"))
    assert back.ways["keep"].at_holding == lifecycle.compare(coast).ways["keep"].at_holding


def test_a_first_quote_is_a_price_of_its_own() -> None:
    """With no quote yet, the price of a later roof stands in; a quote must not move that one too."""
    text = lifecycle.example("worked-example-1").text
    bare = lifecycle.loads("\n".join(line for line in text.splitlines() if not line.startswith("quote")))
    assert asked_inputs(bare)["quote"] == "roofs.coating.renew_cost"
    new = lifecycle.change(bare, quote=5000)
    assert new.inputs["roofs.coating.renew_cost"] == bare.inputs["roofs.coating.renew_cost"]
    assert new.inputs["alternatives.coat_now.quote"].likely == 5000.0


WRONG: list[tuple[Callable[[Scenario], Any], str]] = [
    (lambda one: lifecycle.change(one, quote=-5), "quote must be a number from 0 to 10,000,000"),
    (lambda one: lifecycle.change(one, quote="9k"), "quote must be a number, or three: low, likely, high"),
    (lambda one: lifecycle.change(one, years=True), "years must be a number, or three"),
    (lambda one: lifecycle.change(one, years=(12, 8, 4)), "years must have low <= likely <= high"),
    (lambda one: lifecycle.change(one, years=50), "years must not be above study.study_period"),
    (lambda one: lifecycle.change(one, years=float("nan")), "years must be a number from"),
    (lambda one: lifecycle.change(one, otherwise="keep_touch_up"), 'otherwise .* "keep_touched_up"'),
    (lambda one: lifecycle.change(one, otherwise="coat_now"), "otherwise must be a way .* not in question"),
    (lambda one: lifecycle.change(one, place="Dulth"), 'place .* "Duluth"'),
    (lambda one: lifecycle.change(one, {"quote": 5}), "quote is not an input: .*figures.coating_quote"),
    (lambda one: lifecycle.change(one, {"owner.holding_perod": 5}), 'did you mean "owner.holding_period"'),
    (lambda one: lifecycle.verdict(one, draws=2), "draws must be a whole number from 16"),
    (lambda one: lifecycle.doubt(one, draws="many"), "draws must be a whole number from 16.*got 'many'"),
    (lambda one: lifecycle.timing(one, seed=-1), "seed must be a whole number from 0"),
    (lambda one: lifecycle.sensitivity(one, points=3), "points must be a whole number from 16"),
    (lambda one: lifecycle.two_way_map(one, "quote", "years"), "'quote' is not an input: .*coating_quote"),
    (lambda one: lifecycle.example("humid-cost"), "humid-cost is not a shipped scenario"),
    (lambda one: lifecycle.load("no-such-file.toml"), "no-such-file.toml does not exist"),
]


@pytest.mark.parametrize(("call", "message"), WRONG, ids=[message[:30] for _, message in WRONG])
def test_a_mistake_is_one_message_that_names_what_was_given(
    coast: Scenario, call: Callable[[Scenario], Any], message: str
) -> None:
    """A notebook shows this message and no traceback (`ScenarioError._render_traceback_`)."""
    with pytest.raises(ScenarioError, match=message) as caught:
        call(coast)
    assert caught.value._render_traceback_() == str(caught.value).splitlines()
