"""Published and derived numbers about service lives, renewals and leaks.

The renewal function is checked through the discrete renewal equation: the continuous life is cut
into steps, each life rounded up to the end of its step, as the model does with months. That makes
lives longer by half a step on average, so the number of renewals too small by an error with a first,
second, ... power of the step. It is removed by halving the step and extrapolating, power by power
(Richardson). What removing the last power still changed is the tolerance: about the error that is
left. Half a unit of the last digit printed is added.
"""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from lifecycle.deterioration import (
    cumulative_hazard,
    leaks_between,
    power_law,
    residual_share,
    scale_from_mean,
    survival,
)
from lifecycle.evaluation.renewal import renewals

Hazard = Callable[[np.ndarray], np.ndarray]


def on_a_grid(hazard: Hazard, horizon: float, steps: int, discount_rate: float = 0.0) -> float:
    """Renewals up to a horizon, discounted at a continuous rate, with lives rounded up to a grid."""
    time = np.linspace(0.0, horizon, steps + 1)
    masses = np.append(0.0, -np.diff(np.exp(-hazard(time))))
    return float(np.sum(renewals(masses, masses) * np.exp(-discount_rate * time)))


def extrapolated(hazard: Hazard, horizon: float, discount_rate: float = 0.0) -> tuple[float, float]:
    """Renewals extrapolated to a step of zero, and what removing the last power changed."""
    row = [on_a_grid(hazard, horizon, steps, discount_rate) for steps in (50, 100, 200, 400, 800)]
    before = row[-2]
    for power in range(1, len(row)):
        before = row[-1]
        row = [fine + (fine - coarse) / (2**power - 1) for coarse, fine in pairwise(row)]
    return row[0], abs(row[0] - before)


def erlang(phases: int, rate: float) -> Hazard:
    """Cumulative hazard of a life of equal exponential phases."""

    def hazard(time: np.ndarray) -> np.ndarray:
        terms = np.ones_like(time)
        total = np.ones_like(time)
        for phase in range(1, phases):
            terms = terms * rate * time / phase
            total = total + terms
        return rate * time - np.log(total)

    return hazard


@pytest.mark.parametrize(
    ("time", "printed", "half_a_unit"),
    [
        (0.2, 0.0261, 5e-5),
        (0.4, 0.1087, 5e-5),
        (0.6, 0.2422, 5e-5),
        (1.0, 0.6091, 5e-5),
        (1.5, 1.124, 5e-4),
        (2.5, 2.125, 5e-4),
    ],
)
def test_weibull_renewal_function(time: float, printed: float, half_a_unit: float) -> None:
    """Tijms, A First Course in Stochastic Models, Table 8.1.1: renewal function of Weibull lives of
    mean 1 and squared coefficient of variation 0.25. Seen. Shape and scale are recomputed from the
    two moments. Tolerance: half a unit of the last printed digit and what the discretisation leaves.
    """
    shape = 2.10134909
    scale = scale_from_mean(1.0, shape)
    assert scale == pytest.approx(1.12906339, abs=1e-8)
    renewed, left = extrapolated(lambda age: cumulative_hazard(age, shape=shape, scale=scale), time)
    assert left < 1e-8
    assert renewed == pytest.approx(printed, abs=half_a_unit + left)


def test_weibull_of_the_table_has_its_squared_variation() -> None:
    """The same table: squared variation 0.25, from the second moment, which is the mean life of the
    squared age: a Weibull with half the shape. Recomputed; tolerance: nine printed digits of the shape.
    """
    shape, scale = 2.10134909, 1.12906339
    second_moment = scale**2 / scale_from_mean(1.0, shape / 2.0)
    assert second_moment / (scale / scale_from_mean(1.0, shape)) ** 2 - 1.0 == pytest.approx(0.25, abs=1e-7)


@pytest.mark.parametrize(("phases", "expected"), [(2, 1.2506196880), (3, 0.6646029136)])
def test_erlang_renewals(phases: int, expected: float) -> None:
    """Lives of two and three exponential phases, rate 2, up to 1.5. Derived: the renewal function of
    an Erlang life has a closed form. Tolerance: what the discretisation leaves, below 1e-9.
    """
    renewed, left = extrapolated(erlang(phases, 2.0), 1.5)
    assert left < 1e-9
    assert renewed == pytest.approx(expected, abs=left + 5e-11)


@pytest.mark.parametrize(("phases", "rate", "expected"), [(1, 0.1, 1.264241118), (2, 0.2, 1.042046320)])
def test_discounted_renewals(phases: int, rate: float, expected: float) -> None:
    """Renewals in 20 years of lives of mean 10 years, discounted at the continuous rate 0.05:
    exponential and Erlang-2. Derived: integral of the discounted renewal density in closed form.
    Tolerance: what the discretisation leaves, below 1e-9.
    """
    renewed, left = extrapolated(erlang(phases, rate), 20.0, discount_rate=0.05)
    assert left < 1e-9
    assert renewed == pytest.approx(expected, abs=left + 5e-10)


def test_resealing_each_year_or_never() -> None:
    """Leaks of joints with the power law (t / 6)^1.8 in 20 years, resealed each year and never.
    Derived: 20 (1 / 6)^1.8 and (20 / 6)^1.8. Tolerance: a unit of the ninth decimal, for the second
    number was cut there, not rounded (8.7333676177). The monthly steps of the model add up to the same.
    """
    first_year = 6.0**-1.8
    yearly = 20.0 * power_law(1.0, first_year=first_year, growth=1.8)
    never = power_law(20.0, first_year=first_year, growth=1.8)
    assert yearly == pytest.approx(0.794982823, abs=1e-9)
    assert never == pytest.approx(8.733367617, abs=1e-9)

    month = np.arange(240)
    for seal_age, total in [(month % 12, yearly), (month, never)]:
        started = leaks_between(seal_age / 12, (seal_age + 1) / 12, first_year=first_year, growth=1.8)
        assert np.sum(started) == pytest.approx(total, rel=1e-12)


def test_residual_life_at_eight_years() -> None:
    """A Weibull life of shape 3 and scale 20 years at age 8: mean residual life, and the chance of 5
    years more. Derived: incomplete gamma function in closed form. Tolerance: the printed digits.
    """
    left = residual_share(8.0, shape=3.0, scale=20.0) * 20.0 / scale_from_mean(1.0, 3.0)
    assert left == pytest.approx(10.64523557, abs=5e-9)
    more = survival(13.0, shape=3.0, scale=20.0) / survival(8.0, shape=3.0, scale=20.0)
    assert more == pytest.approx(0.8100777891, abs=5e-11)
