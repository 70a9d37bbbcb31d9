"""Service life, leaks, ageing by neglect and damage."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import gammaincc

from lifecycle.deterioration import (
    WORST_AGEING_MULTIPLIER,
    ageing_multiplier,
    cumulative_hazard,
    damage,
    first_year_leaks,
    leaks_between,
    leaks_between_ten_years,
    power_law,
    residual_share,
    scale_from_mean,
    survival,
)
from lifecycle.evaluation.hiding import insurance
from lifecycle.roofs import Leaks


def test_cumulative_hazard_and_survival_go_together() -> None:
    age = np.array([0.0, 5.0, 20.0])
    hazard = cumulative_hazard(age, shape=2.0, scale=10.0)
    np.testing.assert_allclose(hazard, [0.0, 0.25, 4.0])
    np.testing.assert_allclose(survival(age, shape=2.0, scale=10.0), np.exp([0.0, -0.25, -4.0]))


def test_draws_and_time_broadcast() -> None:
    age = np.arange(5.0)[:, None]
    hazard = cumulative_hazard(age, shape=np.array([1.0, 2.0]), scale=np.array([10.0, np.inf]))
    assert hazard.shape == (5, 2)
    np.testing.assert_array_equal(hazard[:, 1], 0.0)
    assert residual_share(age, shape=np.array([1.0, 2.0]), scale=10.0).shape == (5, 2)


def test_scalars_give_plain_floats() -> None:
    answers = [
        cumulative_hazard(1, shape=2, scale=3),
        survival(1, shape=2, scale=3),
        scale_from_mean(3, 2),
        residual_share(1, shape=2, scale=3),
        power_law(1, first_year=2, growth=3),
        leaks_between(1, 2, first_year=2, growth=3),
        leaks_between_ten_years(1, 2, in_ten_years=2, growth=3),
        ageing_multiplier(1, 0.2),
        damage(1, patch_cost=1, rot_cost=2, rot_time=3),
    ]
    assert [type(answer) for answer in answers] == [float] * len(answers)


def test_mean_life_is_the_integral_of_the_survival() -> None:
    area, _ = quad(lambda age: survival(age, shape=3.5, scale=17.0), 0.0, np.inf)
    assert scale_from_mean(area, 3.5) == pytest.approx(17.0, rel=1e-9)


@pytest.mark.parametrize("shape", [0.8, 1.5, 3.0, 6.0])
@pytest.mark.parametrize("age", [0.0, 4.0, 12.0, 25.0])
def test_the_life_left_is_the_integral_of_the_survival_that_is_left(shape: float, age: float) -> None:
    area, _ = quad(lambda later: survival(later, shape=shape, scale=17.0), age, np.inf, epsabs=0.0)
    share = area / survival(age, shape=shape, scale=17.0) * scale_from_mean(1.0, shape) / 17.0
    assert residual_share(age, shape=shape, scale=17.0) == pytest.approx(min(1.0, share), rel=1e-8)


def test_the_share_left_agrees_with_the_library_over_all_shapes() -> None:
    """Against scipy's incomplete gamma function where that does not leave the range of a float;
    2e-11 is what the continued fraction leaves where it takes over, at H = 2.
    """
    generator = np.random.default_rng(5)
    shape = np.exp(generator.uniform(np.log(0.3), np.log(15.0), 20000))
    hazard = np.exp(generator.uniform(-12.0, np.log(150.0), 20000))
    age = hazard ** (1.0 / shape)
    hazard = age**shape
    expected = np.minimum(1.0, gammaincc(1.0 / shape, hazard) * np.exp(hazard))
    np.testing.assert_allclose(residual_share(age, shape=shape, scale=1.0), expected, rtol=2e-11)


def test_the_life_left_to_a_very_old_roof() -> None:
    """For large H it nears the inverse of the hazard, scale / shape * (scale / A) ** (shape - 1)."""
    age = np.array([2e3, 2e6, 2e9, 1e300])
    left = 20.0 / scale_from_mean(1.0, 3.0) * residual_share(age, shape=3.0, scale=20.0)
    np.testing.assert_allclose(left[:3], 20.0 / 3.0 * (20.0 / age[:3]) ** 2, rtol=1e-5)
    assert np.all(np.isfinite(left))
    assert np.all(left >= 0.0)


def test_residual_share_ends() -> None:
    assert residual_share(0.0, shape=3.0, scale=20.0) == 1.0
    assert residual_share(50.0, shape=3.0, scale=np.inf) == 1.0
    ages = np.linspace(0.0, 60.0, 721)
    assert np.all(np.diff(residual_share(ages, shape=3.0, scale=20.0)) < 0.0)
    np.testing.assert_allclose(residual_share(ages, shape=1.0, scale=20.0), 1.0, rtol=2e-11)
    np.testing.assert_array_equal(residual_share(ages, shape=0.8, scale=20.0), 1.0)


def test_resealing_changes_nothing_where_leaks_come_at_a_constant_rate() -> None:
    age = np.arange(24) / 12.0
    started = leaks_between(age, age + 1.0 / 12.0, first_year=0.06, growth=1.0)
    np.testing.assert_allclose(started, 0.005, rtol=1e-12)


def test_leaks_stated_by_ten_years_or_by_the_first() -> None:
    first = first_year_leaks(3.0, 1.9)
    by_first = leaks_between(2.0, 7.5, first_year=first, growth=1.9)
    assert leaks_between_ten_years(2.0, 7.5, in_ten_years=3.0, growth=1.9) == pytest.approx(by_first)
    assert power_law(10.0, first_year=first, growth=1.9) == pytest.approx(3.0)


def test_ageing_multiplier_is_held_between_one_and_its_worst() -> None:
    seal_age = np.array([1.0 / 24.0, 0.5, 2.0, 1000.0])
    np.testing.assert_allclose(
        ageing_multiplier(seal_age, 0.2), [1.0, 1.0, 4.0**0.2, WORST_AGEING_MULTIPLIER]
    )
    np.testing.assert_array_equal(ageing_multiplier(seal_age, 0.0), 1.0)


def test_a_roof_never_resealed_for_thirteen_years() -> None:
    """With the exponent 0.2 it is 20.87 years old. Published, second-hand: lives of 21 years with
    upkeep and 13 without. Tolerance: half a unit of the last digit.
    """
    month = np.arange(13 * 12)
    aged = np.sum(ageing_multiplier(month / 12.0 + 1.0 / 24.0, 0.2)) / 12.0
    assert aged == pytest.approx(20.87, abs=0.005)


def test_damage_grows_from_the_patch_to_all_of_the_rot() -> None:
    cost = damage(np.array([0.0, 2.0, np.inf]), patch_cost=350.0, rot_cost=7500.0, rot_time=2.0)
    np.testing.assert_allclose(cost, [350.0, 350.0 + 7500.0 * (1.0 - np.exp(-1.0)), 7850.0])


def test_damage_of_a_leak_found_in_its_own_month() -> None:
    """Half a month old on average: patch_cost + rot_cost (1 - exp(-1 / (24 rot_time)))."""
    expected = 350.0 + 7500.0 * (1.0 - np.exp(-1.0 / 48.0))
    assert damage(0.5 / 12.0, patch_cost=350.0, rot_cost=7500.0, rot_time=2.0) == pytest.approx(expected)


def test_insurance_pays_sudden_damage_above_the_deductible_and_nothing_afterwards() -> None:
    """Solved by hand: half of what is above 500, where 350 and 7,500 of rot within two years are the harm."""
    leaks = Leaks(
        rot_time=2.0,
        severe_after=1.0,
        patch_cost=350.0,
        rot_cost=7500.0,
        insured_share=0.5,
        deductible=500.0,
        sudden_within=0.5,
    )
    at_the_end = 0.5 * (350.0 + 7500.0 * (1.0 - math.exp(-0.25)) - 500.0)
    assert insurance(6.0, leaks) == pytest.approx(at_the_end)
    assert insurance(6.1, leaks) == 0.0
    assert insurance(0.0, leaks) == 0.0  # 350 is below the deductible
