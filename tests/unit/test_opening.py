"""Once the roof is open: chances, mean and tail against closed forms and a seeded simulation."""

from __future__ import annotations

from math import exp
from pathlib import Path

import numpy as np
import pytest

from lifecycle import files
from lifecycle.evaluation.opening import compound_poisson, opening
from lifecycle.scenario import resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def test_chances_and_mean_of_the_first_worked_example() -> None:
    """Listed: 0.15 leaks 8 months old, 0.03 leaks 20 months old; the deck is gone after a year."""
    found = opening(resolve(files.load(SCENARIOS / "worked-example-1.toml")))
    young, old = (350 + 7500 * (1 - exp(-age / 24)) for age in (8, 20))
    assert found.leaks == pytest.approx(0.18)
    assert found.wet == pytest.approx(1 - exp(-0.18))
    assert found.rotten == pytest.approx(1 - exp(-0.03))
    assert found.mean == pytest.approx(0.15 * young + 0.03 * old)
    assert found.percentile(0.5) == 0.0
    assert found.percentile(0.9) == pytest.approx(young, rel=0.003)
    mean, spread = found.up_to(float("inf"))
    assert mean == pytest.approx(found.mean, rel=0.003)
    assert spread == pytest.approx((0.15 * young**2 + 0.03 * old**2) ** 0.5, rel=0.003)
    assert found.up_to(0.0) == (0.0, 0.0)


def test_leaks_from_upkeep_are_those_of_the_model() -> None:
    """Numbers of the model's second worked example (derived)."""
    found = opening(resolve(files.load(SCENARIOS / "worked-example-2.toml")))
    hidden = 0.054356 + 0.083552 + 0.047578 + 0.012250
    assert found.leaks == pytest.approx(hidden, abs=2e-6)


def test_the_distribution_adds_up_and_has_the_mean() -> None:
    numbers, damages = np.array([0.7, 0.2, 0.05]), np.array([600.0, 2500.0, 9000.0])
    extra, chance = compound_poisson(numbers, damages)
    assert chance.sum() == pytest.approx(1.0, abs=1e-8)
    assert float(extra @ chance) == pytest.approx(float(numbers @ damages), rel=0.005)


def test_the_tail_is_that_of_simulated_coaches() -> None:
    numbers, damages = np.array([0.7, 0.2, 0.05]), np.array([600.0, 2500.0, 9000.0])
    drawn = np.random.default_rng(7).poisson(numbers, size=(200_000, 3)) @ damages
    extra, chance = compound_poisson(numbers, damages)
    for bound in (700.0, 1900.0, 4000.0, 9500.0):
        expected = float(chance[extra <= bound].sum())
        error = np.sqrt(expected * (1 - expected) / drawn.size)
        assert float(np.mean(drawn <= bound)) == pytest.approx(expected, abs=4 * error)


def test_nothing_hidden_is_nothing_extra() -> None:
    extra, chance = compound_poisson(np.zeros(2), np.array([1.0, 2.0]))
    assert extra.tolist() == [0.0] and chance.tolist() == [1.0]
