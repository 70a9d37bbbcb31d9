"""Factors of a climate, each against the formula, and what must hold of them together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lifecycle.climate import (
    DRIVERS,
    Drivers,
    Response,
    ageing_factor,
    factors,
    frost_factor,
    mixed,
    puncture_factor,
    roof_temperature,
    rot_time_factor,
    sheltered,
)
from lifecycle.heat import Exchange, Surface, acceleration_factor

WARM = Drivers(sun=7.2, air_temperature=24.8, freeze_thaw_days=0.0, wet_days=135.0, hail_days=0.5)
COLD = Drivers(sun=4.9, air_temperature=3.9, freeze_thaw_days=75.0, wet_days=130.0, hail_days=1.5)
MIDDLE = Drivers(sun=6.2, air_temperature=13.8, freeze_thaw_days=47.8, wet_days=98.3, hail_days=1.7)
RESPONSE = Response(
    heat_exponent=0.15,
    sun_exponent=0.3,
    frost_coefficient=0.3,
    wet_exponent=0.3,
    hail_share=0.2,
    membrane_activation_energy=70.0,
    sealant_activation_energy=60.0,
)
SURFACE, EXCHANGE = Surface(0.55, 0.9), Exchange(17.0, 63.0)


def at(here: Drivers, reference: Drivers = MIDDLE, share: float = 0.0, response: Response = RESPONSE):
    """Return the factors of a place."""
    return factors(
        here, reference, response=response, surface=SURFACE, exchange=EXCHANGE, sheltered_share=share
    )


def test_the_reference_itself_changes_nothing() -> None:
    found = at(MIDDLE)
    for name in ("ageing", "seal_ageing", "joints_by_frost", "punctures", "rot_time", "heat", "sealant_heat"):
        assert getattr(found, name) == pytest.approx(1.0), name
    assert found.joint_leaks(1.9) == pytest.approx(1.0)


def test_each_factor_is_the_model_s_formula() -> None:
    found = at(COLD)
    warm = {here: roof_temperature(here, surface=SURFACE, exchange=EXCHANGE) for here in (COLD, MIDDLE)}
    heat = acceleration_factor(warm[COLD], warm[MIDDLE], activation_energy=70.0)
    seal = acceleration_factor(warm[COLD], warm[MIDDLE], activation_energy=60.0)
    assert found.heat == pytest.approx(heat)
    assert found.ageing == pytest.approx(heat**0.15 * (4.9 / 6.2) ** 0.3)
    frost = np.exp(0.3 * (75.0 - 47.8) / 100.0)
    assert found.joint_leaks(1.9) == pytest.approx((seal**0.15) ** 1.9 * frost)
    assert found.punctures == pytest.approx(1 - 0.2 + 0.2 * 1.5 / 1.7)
    assert found.rot_time == pytest.approx((130.0 / 98.3) ** -0.3)


def test_a_warm_sunny_place_ages_a_roof_faster_than_a_cold_one() -> None:
    assert at(WARM).ageing > 1.0 > at(COLD).ageing
    assert at(WARM).roof_temperature > at(COLD).roof_temperature


def test_ageing_is_held_within_its_range() -> None:
    strong = replace(RESPONSE, heat_exponent=1.0, sun_exponent=1.0)
    assert at(WARM, response=strong).ageing == 1.6
    assert at(COLD, response=strong).ageing == 0.6
    assert ageing_factor(np.array([0.1, 1.0, 9.0]), 1.0).tolist() == [0.6, 1.0, 1.6]


def test_exponents_of_zero_switch_each_driver_off() -> None:
    nothing = replace(
        RESPONSE, heat_exponent=0.0, sun_exponent=0.0, frost_coefficient=0.0, wet_exponent=0.0, hail_share=0.0
    )
    found = at(COLD, share=1.0, response=nothing)
    ones = found.ageing, found.joint_leaks(2.0), found.punctures, found.rot_time
    assert ones == (1.0, 1.0, 1.0, 1.0)


def test_cover_keeps_off_sun_rain_frost_and_hail_but_not_the_air() -> None:
    half = sheltered(COLD, 0.5)
    assert (half.sun, half.wet_days, half.freeze_thaw_days, half.hail_days) == (2.45, 65.0, 37.5, 0.75)
    assert half.air_temperature == COLD.air_temperature
    whole = roof_temperature(COLD, surface=SURFACE, exchange=EXCHANGE, sheltered_share=1.0)
    assert whole == COLD.air_temperature


def test_more_cover_never_harms() -> None:
    shares = np.linspace(0.0, 1.0, 6)
    found = at(WARM, share=shares)
    assert np.all(np.diff(found.ageing) <= 0.0)
    assert np.all(np.diff(found.punctures) < 0.0)
    assert np.all(np.diff(found.rot_time) > 0.0)
    assert np.all(np.isfinite(found.rot_time))


def test_a_mix_lies_between_its_places_and_only_proportions_count() -> None:
    mix = mixed([COLD, WARM], [0.25, 0.75])
    for name in DRIVERS:
        one, other = getattr(COLD, name), getattr(WARM, name)
        assert getattr(mix, name) == pytest.approx(0.25 * one + 0.75 * other)
    assert mixed([COLD, WARM], [1.0, 3.0]) == mix


def test_a_mix_knows_what_all_its_places_know() -> None:
    mix = mixed([COLD, replace(WARM, hail_days=None)], [0.5, 0.5])
    assert mix.hail_days is None
    assert mix.sun == pytest.approx(6.05)


def test_a_mix_needs_a_share_for_each_place() -> None:
    with pytest.raises(ValueError, match="2 places need as many shares"):
        mixed([COLD, WARM], [1.0])


@pytest.mark.parametrize(
    ("driver", "touched"),
    [
        ("sun", {"ageing_by_sun", "ageing_by_heat", "seal_ageing"}),
        ("air_temperature", {"ageing_by_heat", "seal_ageing"}),
        ("freeze_thaw_days", {"joints_by_frost"}),
        ("wet_days", {"rot_time"}),
        ("hail_days", {"punctures"}),
    ],
)
def test_a_driver_that_is_not_known_changes_nothing(driver: str, touched: set[str]) -> None:
    whole = at(COLD)
    for lacking in (at(replace(COLD, **{driver: None})), at(COLD, replace(MIDDLE, **{driver: None}))):
        for name in touched:
            assert getattr(lacking, name) == 1.0
        for name in {"ageing_by_sun", "ageing_by_heat", "joints_by_frost", "rot_time", "punctures"} - touched:
            assert getattr(lacking, name) == getattr(whole, name)


def test_a_reference_without_hail_cannot_be_divided_by() -> None:
    with pytest.raises(ValueError, match="hail_days of the reference climate must be above 0"):
        at(COLD, replace(MIDDLE, hail_days=0.0))


def test_draws_flow_through() -> None:
    draws = replace(
        RESPONSE, heat_exponent=np.array([0.0, 0.15, 0.5]), wet_exponent=np.array([0.0, 0.3, 0.7])
    )
    found = at(COLD, response=draws)
    assert found.ageing.shape == found.rot_time.shape == (3,)
    assert found.ageing[1] == pytest.approx(at(COLD).ageing)
    assert found.joint_leaks(np.array([1.5, 1.9, 3.0]))[1] == pytest.approx(at(COLD).joint_leaks(1.9))


def test_single_factors() -> None:
    assert frost_factor(147.8, 47.8, coefficient=0.3) == pytest.approx(np.exp(0.3))
    assert puncture_factor(0.0, hail_share=0.2) == pytest.approx(0.8)
    assert rot_time_factor(0.0, wet_exponent=0.5) == pytest.approx(1000.0**0.5)
