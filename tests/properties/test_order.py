"""The order in which a file says things means nothing: not of ways, roofs, rows, ranges or keys.

Every shipped scenario is written anew with all its tables and lists in another order, and read again. Costs
agree to rounding (sums are added up in another order), so chances agree but for ties.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as some

from lifecycle import compare, files
from lifecycle.scenario import Scenario
from lifecycle.studies.assessment import choosing
from lifecycle.studies.doubt import Doubt, doubt

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHIPPED = sorted(path.name for path in SCENARIOS.glob("*.toml"))
DRAWS = 64
ROUNDING = 1e-9
"""Sums of some hundred terms in another order differ by less. [-]"""


def shuffled(value: Any, chance: Random) -> Any:
    """Return a parsed value with the entries of every table and list in another order."""
    if isinstance(value, dict):
        names = list(value)
        chance.shuffle(names)
        return {name: shuffled(value[name], chance) for name in names}
    if isinstance(value, list):
        entries = [shuffled(entry, chance) for entry in value]
        chance.shuffle(entries)
        return entries
    return value


@cache
def as_shipped(name: str) -> tuple[Scenario, Doubt]:
    """Return a shipped scenario and its doubt."""
    scenario = files.load(SCENARIOS / name)
    return scenario, doubt(scenario, draws=DRAWS)


@pytest.mark.parametrize("name", SHIPPED)
@settings(max_examples=3)
@given(seed=some.integers(0, 10**6))
def test_a_scenario_in_another_order_has_the_same_answer(name: str, seed: int) -> None:
    before, sure = as_shipped(name)
    written = tomlkit.dumps(shuffled(tomllib.loads(before.text), Random(seed)))
    assert written != before.text
    after = files.loads(written, beside=str(SCENARIOS))
    assert after.trouble == before.trouble or set(after.trouble) == set(before.trouble)
    one, other = compare(before), compare(after)
    assert (one.cheapest, one.cheapest_way_of_keeping) == (other.cheapest, other.cheapest_way_of_keeping)
    for way, known in one.ways.items():
        assert other.ways[way].net_present_cost == pytest.approx(known.net_present_cost, rel=ROUNDING)
    again = doubt(after, draws=DRAWS)
    for path, values in sure.futures.sample.values.items():
        if path in again.futures.sample.values:  # an entry without a name is called by its number
            assert np.array_equal(values, again.futures.sample.values[path])
    for way in sure.names:
        assert again.costs[way] == pytest.approx(sure.costs[way], rel=ROUNDING)
    assert choosing(again).chance_cheapest == pytest.approx(choosing(sure).chance_cheapest, abs=1e-6)
