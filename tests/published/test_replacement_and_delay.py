"""Age replacement and delay time: published numbers through the renewal equation and the spell.

Sources stand beside each check.
"""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from numpy.typing import NDArray

from lifecycle.evaluation.renewal import renewals
from lifecycle.evaluation.spell import run_spell
from lifecycle.evaluation.timeline import Start
from lifecycle.roofs import Leaks, Roof, Visit

LONGEST_LIFE, PLANNED, FAILURE = 40_000.0, 100.0, 200.0


def cost_per_cell(failing: NDArray[np.float64], *, planned: float, failure: float) -> float:
    """Long-run cost per cell of age of replacing at an age, from the chance that a life ends in each cell.

    `failing` holds the cells up to that age. A life that ends within a cell is taken to end in its middle;
    the renewal equation wants whole cells, so half of it ends at each edge.
    """
    last, standing = failing.size, 1.0 - failing.sum()
    masses = np.zeros(80 * last + 1)
    masses[:last] += failing / 2.0
    masses[1 : last + 1] += failing / 2.0
    masses[last] += standing
    early, masses[0] = masses[0], 0.0  # ends at age 0: a renewal that is at once renewed again
    first = np.zeros_like(masses)
    first[0] = 1.0
    laid = renewals(first, masses / (1.0 - early))
    # Each roof that is laid stands for 1 / (1 - early) lives, as some end at once.
    rate = laid[-last:].mean() / (1.0 - early)
    return float(rate * (planned * standing + failure * (1.0 - standing)))


def cost_rate(replaced_at: float, cells: int) -> float:
    """Long-run cost per unit of time of replacing at an age, uniform lives, on a grid of `cells` a life."""
    failing = np.full(round(replaced_at / LONGEST_LIFE * cells), 1.0 / cells)
    return cost_per_cell(failing, planned=PLANNED, failure=FAILURE) / (LONGEST_LIFE / cells)


@pytest.mark.parametrize(
    ("age", "printed", "tolerance"),
    [(10_000, 0.0143, 5e-5), (20_000, 0.01, 5e-5), (30_000, 0.0093, 5e-5), (40_000, 0.01, 5e-5)],
)
def test_l11_age_replacement_of_uniform_lives(age: float, printed: float, tolerance: float) -> None:
    """Jardine and Tsang, solutions manual to their book, chapter 2, problem 2 (seen).

    Lives uniform on (0, 40,000); planned replacement costs 100, failure 200. Tolerance: half a unit
    of the last printed digit; the grid of 400 cells errs by less than a tenth of that.
    """
    assert cost_rate(age, 400) == pytest.approx(printed, abs=tolerance)


@pytest.mark.slow
def test_l11_the_cheapest_age_is_29_282() -> None:
    """Same source: optimum 29,282.0323. The lowest of the grid, and a parabola through its neighbours.

    Tolerance: a tenth of a cell of 100; a parabola is not quite the curve.
    """
    ages = np.arange(28_900.0, 29_800.0, 100.0)
    rates = np.array([cost_rate(age, 400) for age in ages])
    low = int(np.argmin(rates))
    before, at, after = rates[low - 1 : low + 2]
    lowest = ages[low] + 100.0 * 0.5 * (before - after) / (before - 2.0 * at + after)
    assert lowest == pytest.approx(29_282.0323, abs=10.0)


@pytest.mark.slow
def test_age_replacement_of_weibull_lives() -> None:
    """Documentation of the Python package reliability, optimal replacement time (seen): Weibull lives of
    shape 2.5 and scale 1,000, planned replacement 1, failure 5; printed 493.19 and 0.0035, in its own tests
    493.1851185 and 0.003462042919 (seen). The lowest of a grid of one unit, and a parabola through its
    neighbours. Tolerances: a parabola is not quite the curve, and the grid errs by its square.
    """
    edges = np.arange(0, 541)
    failing = -np.diff(np.exp(-((edges / 1000.0) ** 2.5)))
    ages = np.arange(475, 516, 5)
    rates = np.array([cost_per_cell(failing[:age], planned=1.0, failure=5.0) for age in ages])
    low = int(np.argmin(rates))
    before, at, after = rates[low - 1 : low + 2]
    lowest = ages[low] + 5.0 * 0.5 * (before - after) / (before - 2.0 * at + after)
    assert lowest == pytest.approx(493.1851, abs=0.5)
    assert at == pytest.approx(0.003462042919, rel=1e-4)
    assert round(at, 4) == 0.0035


def surfaced(finds: float, months: int) -> float:
    """Share of leaks that signs show before a visit finds them, in the steady state.

    Visits are `months` apart; the delay rate is such that 1 delay is expected between two visits.
    """
    rate_a_year = 12.0 / months
    leaks = Leaks(rot_time=1e9, severe_after=1e9, sign_rate=rate_a_year)
    roof = Roof("any", 1.0, inf, puncture_rate=0.01, visits=(Visit("look", months, finds=finds),))
    spell = run_spell(roof, leaks, start=Start(), months=14 * months, draws=1)
    last = slice(13 * months, 14 * months)
    by_signs = float(spell.by_signs.number[last, 0].sum())
    by_visit = float(spell.by_visits.number[-1, 0])
    return by_signs / (by_signs + by_visit)


@pytest.mark.parametrize(
    ("finds", "expected"), [(1.0, 0.3678794412), (0.9, 0.4093631828), (0.6, 0.5552874183)]
)
def test_l12_share_of_defects_that_surface_before_an_inspection(finds: float, expected: float) -> None:
    """Basic delay-time model, closed form (derived): delay rate 0.5 a year, a look every 2 years.

    The model's month is made small: 300, then 600 months between looks. Its leaks start in
    mid-month and may show at its end, so the error falls with the month; what is left after
    extrapolation is of its square. Tolerance: that square.
    """
    coarse, fine = surfaced(finds, 300), surfaced(finds, 600)
    assert 2.0 * fine - coarse == pytest.approx(expected, abs=1.0 / 300**2)
    assert abs(fine - expected) < abs(coarse - expected)
