"""Sobol points are those of scipy, to the last digit; and they are even.

Published: Joe & Kuo, SIAM Journal on Scientific Computing 30 (2008) 2635-2654, the numbers as scipy ships
them (seen). Equal to the last binary digit, so there is no tolerance.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from lifecycle.files import data
from lifecycle.studies.sampling import EDGE, sobol_points

TABLED = len(data("directions.toml")["numbers"])


@pytest.mark.parametrize(
    ("draws", "inputs", "seed"),
    [
        (1, 3, 2),
        (16, 1, 0),
        (1000, 5, 1),
        (1024, 61, 1),
        (4096, 120, 7),
        (33, TABLED, 5),
        (20, TABLED + 1, 5),
    ],
)
def test_the_points_are_those_of_scipy(draws: int, inputs: int, seed: int) -> None:
    from scipy.stats.qmc import Sobol

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        known = Sobol(inputs, scramble=True, rng=np.random.default_rng(seed)).random(draws)
    assert np.array_equal(sobol_points(draws, inputs, seed), np.clip(known, EDGE, 1.0 - EDGE))


def test_every_sixteenth_of_every_coordinate_gets_its_share() -> None:
    points = sobol_points(1024, 40, seed=3)
    for coordinate in points.T:
        assert np.bincount((16.0 * coordinate).astype(int), minlength=16).tolist() == [64] * 16


def test_fewer_points_are_the_first_of_more() -> None:
    assert np.array_equal(sobol_points(1024, 7, seed=1)[:100], sobol_points(100, 7, seed=1))


def test_seeds_differ_and_no_point_is_at_an_edge() -> None:
    points = sobol_points(4096, 9, seed=1)
    assert not np.array_equal(points, sobol_points(4096, 9, seed=2))
    assert points.min() > 0.0
    assert points.max() < 1.0
