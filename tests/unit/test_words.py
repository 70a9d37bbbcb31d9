"""Words for chances, inputs and cautions."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.files import fields, load
from lifecycle.language import cautions, labels
from lifecycle.roofs import Roof, Visit

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def shipped(name: str) -> Comparison:
    """Return the comparison of a shipped scenario."""
    return compare(load(SCENARIOS / f"{name}.toml"))


def test_unequal_looks_are_named_and_equal_ones_are_not() -> None:
    looks = cautions.unequal_looks(shipped("worked-example-1"))
    assert looks is not None
    assert "a year's upkeep finds 40 on the new roof" in looks
    assert "95 on that of" in looks
    assert cautions.unequal_looks(shipped("humid-coast-motorhome")) is None


def test_the_chance_of_a_find_within_a_year() -> None:
    jobs = (Visit("look", 6, finds=0.5), Visit("reseal", 24, finds=0.36))
    assert cautions.yearly_look(Roof("r", 3.0, 17.0, visits=jobs)) == pytest.approx(1 - 0.5**2 * 0.64**0.5)
    assert cautions.yearly_look(Roof("r", 3.0, 17.0)) == 0.0


def test_ways_left_out_are_named() -> None:
    found = shipped("humid-coast-motorhome")
    scenario = replace(found.scenario, left_out={"x": "The owner paints it"})
    assert 'Left out, as you do not go up yourself: "The owner paints it".' in dict(
        cautions.cautions(replace(found, scenario=scenario))
    )


def test_both_ends_on_one_side() -> None:
    assert labels.range_sentence(-900.0, -100.0) == "It is somewhere between 100 and 900 dearer (16 of 20)."


def test_names_of_inputs_say_where_they_stand() -> None:
    inputs = shipped("humid-coast-motorhome").scenario.inputs
    assert labels.input_name(inputs["roofs.membrane.life_mean"]) == "mean life of the membrane"
    assert labels.input_name(inputs["figures.shop_reseal_cost"]) == "price of the shop reseal"
    assert labels.input_name(inputs["owner.holding_period"]) == "years you keep it"
    own = shipped("worked-example-1").scenario.inputs["roofs.membrane.visits.reseal.cost"]
    assert labels.input_name(own) == "price of the reseal (membrane)"
    often = inputs["plans.own_touch_up.membrane.own touch-up.every"]
    assert labels.input_name(often) == "how often your own touch-up is due (membrane, own touch-up)"
    assert labels.the_input(often) == labels.input_name(often)
    assert labels.the_input(own) == "the price of the reseal (membrane)"
    further = shipped("worked-example-2").scenario.inputs
    assert "prices that rise faster than inflation (upkeep)" in map(labels.input_name, further.values())


def test_a_label_that_asks_is_marked() -> None:
    inputs = (names for section, names in fields().items() if section != "answers")
    every = [field for names in inputs for field in names.values()]
    asking = [field.label.partition(" ")[0] in ("how", "what", "when", "which") for field in every]
    assert any(asking) and asking == [field.asks for field in every]
