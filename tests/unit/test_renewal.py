"""The discrete renewal equation, against plain sums and closed forms."""

import numpy as np
import pytest

from lifecycle.deterioration import cumulative_hazard
from lifecycle.evaluation.renewal import renewals


def monthly_masses(months: int, *, shape: object, scale: object) -> np.ndarray:
    """Probability that a life ends in each month, shape (months + 1, ...)."""
    age = np.arange(months + 1) / 12.0
    outlasts = np.exp(-cumulative_hazard(age[:, None], shape=shape, scale=scale))
    return np.concatenate([np.zeros_like(outlasts[:1]), -np.diff(outlasts, axis=0)])


def by_plain_sums(first: np.ndarray, masses: np.ndarray) -> np.ndarray:
    """The equation as it is written, one number at a time."""
    laid = np.zeros_like(first)
    for month in range(len(first)):
        laid[month] = first[month] + sum(masses[j] * laid[month - j] for j in range(1, month + 1))
    return laid


def test_exponential_lives_of_mean_ten_years() -> None:
    """240 (1 - exp(-1/120)) renewals in 20 years: each month alike, and nearly the continuous 2."""
    masses = monthly_masses(240, shape=1.0, scale=10.0)
    laid = renewals(masses, masses)
    assert np.sum(laid) == pytest.approx(240.0 * -np.expm1(-1.0 / 120.0), rel=1e-12)
    assert round(float(np.sum(laid)), 4) == 1.9917
    np.testing.assert_allclose(laid[1:], -np.expm1(-1.0 / 120.0), rtol=1e-12)


def test_the_equation_as_written() -> None:
    generator = np.random.default_rng(11)
    first = generator.random((40, 3))
    masses = generator.random((40, 3)) / 40.0
    np.testing.assert_allclose(renewals(first, masses), by_plain_sums(first, masses), rtol=1e-12)


def test_a_sum_over_the_first_second_and_later_roofs() -> None:
    """laid = first + first * masses + first * masses * masses + ... (convolutions)."""
    masses = monthly_masses(60, shape=2.0, scale=1.5)[:, 0]
    first = monthly_masses(60, shape=3.0, scale=2.0)[:, 0]
    total, roof = np.zeros(61), first
    for _ in range(61):
        total, roof = total + roof, np.convolve(roof, masses)[:61]
    np.testing.assert_allclose(renewals(first, masses), total, rtol=1e-12)


def test_small_chances_of_a_young_roof_keep_all_their_digits() -> None:
    """Beside the roof laid today, that of a month later has a chance of 3e-10: all digits are kept."""
    masses = monthly_masses(12, shape=4.0, scale=20.0)[:, 0]
    today = np.zeros(13)
    today[0] = 1.0
    laid = renewals(today, masses)
    assert laid[1] == masses[1] < 1e-9
    assert laid[2] == pytest.approx(masses[2] + masses[1] ** 2, rel=1e-15)


def test_each_draw_stands_alone_however_many_there_are() -> None:
    """More draws than are taken at a time, the last of them few, give what each gives by itself."""
    scale = np.linspace(3.0, 30.0, 1100)
    masses = monthly_masses(60, shape=2.5, scale=scale)
    laid = renewals(masses, masses)
    for draw in (0, 511, 512, 1023, 1024, 1099):
        alone = renewals(masses[:, draw], masses[:, draw])
        np.testing.assert_allclose(laid[:, draw], alone, rtol=1e-13)


def test_no_renewals_where_none_can_be() -> None:
    masses = monthly_masses(24, shape=2.0, scale=np.inf)
    assert not np.any(renewals(masses, masses))


def test_month_zero_counts_in_first_only_and_nothing_is_changed() -> None:
    first, masses = np.zeros((4, 1)), np.zeros((4, 1))
    first[0] = 1.0
    masses[0] = 0.9
    masses[1] = 0.5
    kept = first.copy(), masses.copy()
    np.testing.assert_array_equal(renewals(first, masses)[:, 0], [1.0, 0.5, 0.25, 0.125])
    np.testing.assert_array_equal(first, kept[0])
    np.testing.assert_array_equal(masses, kept[1])


@pytest.mark.parametrize(("one", "other"), [((5, 2), (5, 3)), ((5,), (5, 1)), ((2, 2, 2), (2, 2, 2))])
def test_shapes_that_do_not_fit_are_refused(one: tuple[int, ...], other: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="one shape"):
        renewals(np.zeros(one), np.zeros(other))
