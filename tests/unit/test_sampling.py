"""From ranges to draws: shapes, bounds, correlations, seeds."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special, stats
from scipy.special import betaincinv, ndtr

from lifecycle.quantities import FieldInfo, Figure
from lifecycle.studies.sampling import NINETY, at_score, quantile, sample, sobol_points


def figure(
    path: str = "tests.x",
    low: float = 2.0,
    likely: float = 3.0,
    high: float = 7.0,
    shape: str = "pert",
    least: float = -math.inf,
    most: float = math.inf,
) -> Figure:
    """Return a range."""
    field = FieldInfo("x", "tests", "x", low=least, high=most, ranged=True)
    return Figure(path, likely, low, high, shape, "judgement", "", "", field)


SHARES = np.linspace(0.01, 0.99, 99)


@pytest.mark.parametrize(
    ("shape", "same"),
    [
        ("pert", stats.beta(1.0 + 4.0 * 0.2, 1.0 + 4.0 * 0.8, loc=2.0, scale=5.0)),
        ("triangular", stats.triang(0.2, loc=2.0, scale=5.0)),
        ("uniform", stats.uniform(2.0, 5.0)),
        ("normal", stats.norm(3.0, 5.0 / (2.0 * NINETY))),
        ("lognormal", stats.lognorm(math.log(7.0 / 2.0) / (2.0 * NINETY), scale=3.0)),
    ],
)
def test_each_shape_is_the_distribution_that_it_says(shape: str, same: stats.rv_continuous) -> None:
    assert quantile(figure(shape=shape), SHARES) == pytest.approx(same.ppf(SHARES), rel=1e-9)


def test_a_normal_score_is_that_of_the_standard_library() -> None:
    """All over the middle, its two ends, and far out."""
    shares = np.concatenate([np.linspace(0.001, 0.999, 997), [0.075, 0.925, 2.0**-40, 1.0 - 2.0**-40]])
    values = quantile(figure(low=-NINETY, likely=0.0, high=NINETY, shape="normal"), shares)
    own = [NormalDist().inv_cdf(share) for share in shares.tolist()]
    assert values == pytest.approx(own, rel=1e-15, abs=1e-16)  # the value rounds once more
    assert values == pytest.approx(special.ndtri(shares), rel=1e-14, abs=1e-15)


def test_ends_of_normal_are_its_10_and_90_percent_points_where_likely_is_the_middle() -> None:
    points = quantile(figure(low=2.0, likely=4.0, high=6.0, shape="normal"), [0.1, 0.5, 0.9])
    assert points == pytest.approx([2.0, 4.0, 6.0])


def test_lognormal_spread_is_that_of_its_ends_and_its_middle_is_likely() -> None:
    low, middle, high = quantile(figure(shape="lognormal"), [0.1, 0.5, 0.9])
    assert middle == pytest.approx(3.0)
    assert high / low == pytest.approx(7.0 / 2.0)


@pytest.mark.parametrize("likely", [2.0, 7.0])
@pytest.mark.parametrize("shape", ["pert", "triangular"])
def test_likely_at_an_end_is_a_range_like_any_other(shape: str, likely: float) -> None:
    values = quantile(figure(likely=likely, shape=shape), SHARES)
    assert np.all(np.diff(values) > 0.0)
    assert 2.0 <= values[0] < values[-1] <= 7.0


def test_an_unknown_shape_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"tests\.x: unknown shape 'round'"):
        quantile(figure(shape="round"), 0.5)


def test_the_same_seed_gives_the_same_draws_and_another_seed_others() -> None:
    figures = [figure("tests.a"), figure("tests.b", shape="normal")]
    one, again, other = (sample(figures, draws=64, seed=seed) for seed in (5, 5, 6))
    for path in one.values:
        assert one.values[path].tobytes() == again.values[path].tobytes()
        assert one.scores[path].tobytes() == again.scores[path].tobytes()
        assert not np.array_equal(one.values[path], other.values[path])


def test_an_input_that_is_no_range_is_not_drawn() -> None:
    single = figure("tests.single", low=3.0, high=3.0)
    assert list(sample([single, figure()], draws=16, seed=1).values) == ["tests.x"]
    assert sample([single], draws=16, seed=1).values == {}


def test_draws_spread_as_their_distribution_does() -> None:
    values = sample([figure()], draws=1024, seed=1).values["tests.x"]
    shares = stats.beta(1.8, 4.2, loc=2.0, scale=5.0).cdf(np.sort(values))
    middles = (np.arange(1024) + 0.5) / 1024
    assert np.max(np.abs(shares - middles)) < 1.0 / 1024  # one draw in each equal part


def test_a_draw_outside_its_bounds_is_moved_and_counted() -> None:
    share = figure(low=0.5, likely=0.8, high=1.1, shape="normal", least=0.0, most=1.0)
    drawn = sample([share, figure("tests.free")], draws=4096, seed=1)
    values = drawn.values["tests.x"]
    assert 0.0 <= values.min() < values.max() == 1.0
    assert drawn.moved == {"tests.x": np.count_nonzero((values == 0.0) | (values == 1.0))}
    above = 1.0 - stats.norm.cdf((1.0 - 0.8) / (0.6 / (2.0 * NINETY)))
    assert drawn.moved["tests.x"] / 4096 == pytest.approx(above, abs=0.002)


def spearman(one: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    """Return the rank correlation."""
    return float(stats.spearmanr(one, other).statistic)


@pytest.mark.parametrize("rank", [-0.9, -0.3, 0.5, 0.7])
def test_inputs_move_together_as_their_rank_correlation_says(rank: float) -> None:
    figures = [figure("tests.a"), figure("tests.b", shape="lognormal"), figure("tests.c")]
    values = sample(figures, draws=8192, seed=2, correlations={("tests.a", "tests.b"): rank}).values
    assert spearman(values["tests.a"], values["tests.b"]) == pytest.approx(rank, abs=0.01)
    assert spearman(values["tests.a"], values["tests.c"]) == pytest.approx(0.0, abs=0.02)


def test_a_rank_correlation_of_one_means_the_same_share_of_both_ranges() -> None:
    figures = [figure("tests.a"), figure("tests.b", shape="lognormal")]
    drawn = sample(figures, draws=256, seed=2, correlations={("tests.a", "tests.b"): 1.0})
    assert drawn.scores["tests.a"] == pytest.approx(drawn.scores["tests.b"], abs=1e-6)
    assert spearman(drawn.values["tests.a"], drawn.values["tests.b"]) == pytest.approx(1.0)


def test_single_distributions_stay_as_they_are_when_inputs_move_together() -> None:
    figures = [figure("tests.a"), figure("tests.b")]
    values = sample(figures, draws=4096, seed=3, correlations={("tests.a", "tests.b"): 0.7}).values
    points = quantile(figure(), [0.1, 0.5, 0.9])
    for path in values:
        assert np.quantile(values[path], [0.1, 0.5, 0.9]) == pytest.approx(points, abs=0.05)


def test_correlations_that_are_no_correlation_matrix_are_refused() -> None:
    figures = [figure(f"tests.{name}") for name in "abc"]
    contradiction = {
        ("tests.a", "tests.b"): 0.9,
        ("tests.b", "tests.c"): 0.9,
        ("tests.a", "tests.c"): -0.9,
    }
    with pytest.raises(ValueError, match=r"contradict each other.*must not be below 0.*nearer to 0"):
        sample(figures, draws=16, seed=1, correlations=contradiction)


def test_fewer_than_16_draws_are_refused() -> None:
    with pytest.raises(ValueError, match=r"draws must be a whole number from 16.*got 15"):
        sample([figure()], draws=15, seed=1)
    assert sample([figure()], draws=16, seed=1).values["tests.x"].shape == (16,)


def test_points_are_inside_the_unit_cube_and_even_in_both_halves_of_the_draws() -> None:
    """One half learns what the other is judged by (`decision`), so both must cover every range.

    Every second point would not do: of the second coordinate they are all on one side.
    """
    points = sobol_points(1024, 50, 1)
    assert 0.0 < points.min() < points.max() < 1.0
    for half in (points[:512], points[512:]):
        assert half.mean(axis=0) == pytest.approx(np.full(50, 0.5), abs=0.01)


@pytest.mark.parametrize("mode", [0.0, 0.01, 0.3, 0.5, 0.85, 1.0])
def test_the_table_of_quantiles_is_the_inverse_beta_distribution(mode: float) -> None:
    """Judge: scipy's inverse, from the nearer end; to 1.5e-13 of the range, everywhere a draw can fall."""
    scores = np.random.default_rng(5).uniform(-6.5, 6.5, 20_000)
    alpha, share = 1.0 + 4.0 * mode, ndtr(-np.abs(scores))
    judge = np.where(
        scores < 0.0, betaincinv(alpha, 6.0 - alpha, share), 1.0 - betaincinv(6.0 - alpha, alpha, share)
    )
    drawn = at_score(figure(low=0.0, likely=mode, high=1.0), scores)
    assert np.max(np.abs(drawn - judge)) <= 1.5e-13
