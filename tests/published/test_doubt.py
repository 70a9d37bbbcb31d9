"""Published and derived numbers about doubt, through the project's own sampling and estimators.

Each test names its source and how the number is known (seen: the text was read; derived: worked out
from closed forms). An estimate from points cannot meet every printed digit: the tolerance is then
given with its reason.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtri

from lifecycle.quantities import FieldInfo, Figure
from lifecycle.studies.decision import expected_opportunity_loss, perfect_information
from lifecycle.studies.sampling import NINETY, quantile, sample
from lifecycle.studies.sensitivity import sobol_indices

Array = NDArray[np.float64]

POINTS = 2**14


def figure(low: float, likely: float, high: float, shape: str) -> Figure:
    """Return a range without bounds."""
    field = FieldInfo("x", "tests", "x", ranged=True)
    return Figure("tests.x", likely, low, high, shape, "judgement", "", "", field)


def ishigami(share: Array) -> Array:
    """Return the Ishigami function with a = 7, b = 0.1 at points of the unit cube."""
    x = np.pi * (2.0 * share - 1.0)
    return np.asarray(np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0]))


def test_ishigami_indices() -> None:
    """D1. First-order and total indices of the Ishigami function, a = 7, b = 0.1.

    Source: the test fixture of SciPy, formulas; seen. Tolerance 0.002: an estimate from 16,384 base
    points, whose error falls nearly as 1/n; at these points it is 0.0003 at most.
    """
    found = sobol_indices(ishigami, 3, points=POINTS, seed=1)
    assert found.first == pytest.approx([0.31390519, 0.44241114, 0.0], abs=0.002)
    assert found.total == pytest.approx([0.55758886, 0.44241114, 0.24368366], abs=0.002)


def test_ishigami_error_bars_hold_the_truth() -> None:
    """D1. The same values lie within three standard errors at 1,024 base points, for ten seeds.

    Source as above. The bars are those of random points, hence rather wide: none may lie outside.
    """
    for seed in range(10):
        found = sobol_indices(ishigami, 3, points=1024, seed=seed)
        first = np.abs(found.first - [0.31390519, 0.44241114, 0.0]) / found.first_error
        total = np.abs(found.total - [0.55758886, 0.44241114, 0.24368366]) / found.total_error
        assert max(first.max(), total.max()) < 3.0


def test_pert_percentiles() -> None:
    """D2. PERT 10/14/25: 10, 50 and 90 % points. Derived; half a unit of the last printed digit."""
    points = quantile(figure(10.0, 14.0, 25.0, "pert"), [0.1, 0.5, 0.9])
    assert points == pytest.approx([11.80072, 14.89303, 18.94539], abs=0.5e-5)


def test_pert_mean_and_variance() -> None:
    """D2. PERT 10/14/25: mean 15.1666667, variance 7.25793651.

    Mean: formula in the R package mc2d; variance: derived. The quantile is integrated by the middle
    points of 2^18 equal parts of the unit interval; tolerance 1e-5, because its slope is endless at
    the ends and the outermost parts count too little (what is left is some 1e-6).
    """
    parts = 2**18
    values = quantile(figure(10.0, 14.0, 25.0, "pert"), (np.arange(parts) + 0.5) / parts)
    assert np.mean(values) == pytest.approx(15.1666667, abs=1e-5)
    assert np.var(values) == pytest.approx(7.25793651, abs=1e-5)


def test_product_of_two_normal_inputs() -> None:
    """D3. Product of independent X1 (mean 10, deviation 2) and X2 (5, 1).

    Derived: variance 204, both first-order indices 100 / 204 = 0.490196078; totals 104 / 204.
    Tolerances: an estimate from 16,384 base points; 0.1 % of the variance, 0.001 for the indices.
    """
    figures = (
        figure(10.0 - 2.0 * NINETY, 10.0, 10.0 + 2.0 * NINETY, "normal"),
        figure(5.0 - NINETY, 5.0, 5.0 + NINETY, "normal"),
    )

    def product(share: Array) -> Array:
        return quantile(figures[0], share[:, 0]) * quantile(figures[1], share[:, 1])

    found = sobol_indices(product, 2, points=POINTS, seed=1)
    assert found.variance == pytest.approx(204.0, rel=1e-3)
    assert found.first == pytest.approx([0.490196078, 0.490196078], abs=1e-3)
    assert found.total == pytest.approx([104.0 / 204.0, 104.0 / 204.0], abs=1e-3)


@pytest.mark.parametrize(
    ("mean", "loss"), [(0.0, 0.39894228), (0.5, 0.19779656), (1.0, 0.08331547), (2.0, 0.00849070)]
)
def test_unit_normal_loss_is_the_value_of_perfect_information(mean: float, loss: float) -> None:
    """D4. Two ways whose difference of cost is normal with deviation 1: perfect information is worth
    the unit normal loss at the mean.

    Closed form phi(m) - m (1 - Phi(m)). Tolerance 2e-6: the mean of 2^17 evenly spread draws; by
    middle points of equal parts the outermost parts count too little (some 1e-6).
    """
    parts = 2**17
    difference = mean + ndtri((np.arange(parts) + 0.5) / parts)
    costs = np.stack([np.full(parts, 100.0), 100.0 + difference], axis=1)
    weights = np.full(parts, 1.0 / parts)
    assert perfect_information(costs, weights) == pytest.approx(loss, abs=2e-6)
    assert expected_opportunity_loss(costs, weights)[0] == pytest.approx(loss, abs=2e-6)


@pytest.mark.parametrize(("mean", "loss"), [(0.0, 0.39894228), (0.5, 0.19779656), (1.0, 0.08331547)])
def test_unit_normal_loss_from_drawn_inputs(mean: float, loss: float) -> None:
    """D4 through a range of shape normal and scrambled Sobol points, as a scenario would draw it.

    Tolerance 2e-4: 16,384 scrambled points.
    """
    drawn = sample([figure(mean - NINETY, mean, mean + NINETY, "normal")], draws=2**14, seed=1)
    difference = drawn.values["tests.x"]
    costs = np.stack([np.zeros_like(difference), difference], axis=1)
    assert perfect_information(costs, np.full(2**14, 1.0 / 2**14)) == pytest.approx(loss, abs=2e-4)
