"""Roof temperature, acceleration and cooling."""

from __future__ import annotations

import numpy as np
import pytest

from lifecycle.heat import (
    STANDARD_WINDS,
    Cooling,
    Exchange,
    Surface,
    acceleration_factor,
    cooling_saved,
    mean_sun,
    sol_air_temperature,
    solar_reflectance_index,
    surface_temperature,
)

EXCHANGE = Exchange(surface_coefficient=17.0, sky_loss=63.0)
WHITE, DARK = Surface(0.6, 0.9), Surface(0.06, 0.86)
COOLING = Cooling(insulation=1.4, cooler=2.6, power_price=0.2, cooling_days=100.0, cooled_share=0.3)


def test_a_reaction_runs_as_fast_at_the_same_temperature_and_faster_when_hot() -> None:
    factors = acceleration_factor(np.array([0.0, 10.0, 20.0]), 10.0, activation_energy=70.0)
    assert factors[1] == 1.0
    assert factors[0] < 1.0 < factors[2]
    assert factors[0] == pytest.approx(1.0 / acceleration_factor(10.0, 0.0, activation_energy=70.0))


def test_accelerations_chain() -> None:
    direct = acceleration_factor(30.0, 10.0, activation_energy=60.0)
    steps = [acceleration_factor(*pair, activation_energy=60.0) for pair in ((30.0, 20.0), (20.0, 10.0))]
    assert steps[0] * steps[1] == pytest.approx(direct)


def test_a_roof_that_takes_nothing_in_and_gives_nothing_off_is_as_warm_as_the_air() -> None:
    assert sol_air_temperature(12.0, 200.0, surface=Surface(1.0, 0.0), exchange=EXCHANGE) == 12.0


def test_draws_flow_through_the_sol_air_temperature() -> None:
    surface = Surface(np.array([0.06, 0.6]), 0.9)
    found = sol_air_temperature(10.0, 200.0, surface=surface, exchange=EXCHANGE)
    assert found.shape == (2,)
    assert found[0] - found[1] == pytest.approx(0.54 * 200.0 / 17.0)


def test_the_sun_of_a_year_is_a_mean_power() -> None:
    assert mean_sun(6.0) * 365.25 * 86400.0 == pytest.approx(6.0e9)


@pytest.mark.parametrize("wind", STANDARD_WINDS)
def test_the_heat_of_the_standard_balances(wind: str) -> None:
    temperature = surface_temperature(np.array([0.0, 0.3, 1.0]), 0.5, wind=wind)
    given_off = 0.5 * 5.670374419e-8 * (temperature**4 - 300.0**4) + STANDARD_WINDS[wind] * (
        temperature - 310.0
    )
    np.testing.assert_allclose(given_off, [1000.0, 700.0, 0.0], atol=1e-6)


def test_the_index_is_0_and_100_on_its_own_surfaces_in_any_wind() -> None:
    for wind in STANDARD_WINDS:
        assert solar_reflectance_index(0.05, 0.9, wind=wind) == pytest.approx(0.0, abs=1e-9)
        assert solar_reflectance_index(0.80, 0.9, wind=wind) == pytest.approx(100.0)


def test_an_unknown_wind_is_refused() -> None:
    with pytest.raises(ValueError, match="low, medium, high"):
        surface_temperature(0.5, 0.9, wind="storm")


def test_cooling_by_hand() -> None:
    saved = cooling_saved(WHITE, DARK, area=20.0, sun=200.0, exchange=EXCHANGE, cooling=COOLING)
    warmer = (0.54 * 200.0 + (0.9 - 0.86) * 63.0) / 17.0
    heat = 20.0 / 1.4 * warmer * 24.0 * 100.0 * 0.3 / 1000.0
    assert saved.warmer == pytest.approx(warmer)
    assert saved.heat == pytest.approx(heat)
    assert saved.power == pytest.approx(heat / 2.6)
    assert saved.money == pytest.approx(heat / 2.6 * 0.2)


def test_equal_surfaces_save_nothing_and_swapped_ones_cost_as_much() -> None:
    terms = {"area": 20.0, "sun": 200.0, "exchange": EXCHANGE, "cooling": COOLING}
    assert cooling_saved(DARK, DARK, **terms).money == 0.0
    assert cooling_saved(DARK, WHITE, **terms).money == pytest.approx(
        -cooling_saved(WHITE, DARK, **terms).money
    )
