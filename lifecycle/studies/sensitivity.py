"""What would change the answer? Indices of all inputs, and a map of two.

Lecture
-------
The answer is the net savings of one way over another at the years kept (`answer`), as a function of
the ranged inputs.

- *Indices* (`sobol`): how much of the variance of the answer each input brings, alone and in all.
  Every input is drawn from its own range, as if it moved independently of the others and as if the
  history of the existing roof said nothing: with inputs that move together, or with draws that are
  weighed, a variance no longer splits into parts of single inputs. That is said first wherever
  indices are shown, for the doubt itself (`doubt`) is drawn with both. Inputs beyond the number
  wanted, those with the smallest swings, stand at their likely values.
- *Map*: the answer on a grid of two inputs, all others at their likely values. Where it is zero the
  two ways cost the same. An input without a range goes from half to one and a half times its value.

Which values of single inputs turn the answer stands in `switching`; swings in `evaluation.swings`.

Left out: second-order indices; indices of the spread due to luck.
Source: see `sobol`; the map is the model's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import nearest
from lifecycle.evaluation.swings import Swing, swings
from lifecycle.quantities import Figure, clip_to_bounds, number_text
from lifecycle.scenario import Scenario
from lifecycle.studies.answer import costs, input_called, ways_in_question
from lifecycle.studies.futures import Progress
from lifecycle.studies.sampling import quantile
from lifecycle.studies.sobol import base_points, design, indices_from

Array = NDArray[np.float64]

BASE_POINTS, SEED, MOST_INPUTS = 2048, 1, 20
"""Default base points, seed, and number of inputs that indices are computed for."""

STEPS = 25
"""Default number of values of either input of a map."""

SAID_FIRST = (
    "Computed as if the inputs moved independently of each other, and without weighing them by the "
    "history of the roof."
)
"""What is said before any index."""

NOT_AS_CORRELATED = (
    "indices cannot be computed as correlated: where inputs move together, the doubt does not split into "
    "parts that belong to one input each; the doubt itself is drawn with all correlations"
)
"""Why indices of inputs that move together are refused."""


@dataclass(frozen=True)
class InputIndices:
    """Indices of one input.

    Parameters
    ----------
    figure : Figure
        The input.
    first, total : float
        Share of the variance that it brings alone, and in all. [-]
    first_error, total_error : float
        Standard errors. [-]
    """

    figure: Figure
    first: float
    first_error: float
    total: float
    total_error: float


@dataclass(frozen=True)
class Indices:
    """Sobol indices of the net savings of one way over another.

    Parameters
    ----------
    subject, than : str
        The two ways.
    inputs : tuple of InputIndices
        The largest total index first; empty if no input is a range.
    held : tuple of Figure
        Ranged inputs that stood at their likely values.
    mean, variance : float
        Of the net savings, as computed here. [money, money^2]
    points, seed : int
        Base points, and their seed.
    evaluations : int
        Sets of inputs that were evaluated.
    """

    subject: str
    than: str
    inputs: tuple[InputIndices, ...]
    held: tuple[Figure, ...]
    mean: float
    variance: float
    points: int
    seed: int
    evaluations: int

    @property
    def said_first(self) -> str:
        """What has to be said before the indices."""
        number = len(self.held)
        if number == 0:
            return SAID_FIRST
        if number == 1:
            return f"{SAID_FIRST} One input, the one with the smallest swing, stands at its likely value."
        return f"{SAID_FIRST} {number} inputs, those with the smallest swings, stand at their likely values."


@dataclass(frozen=True)
class TwoWayMap:
    """Net savings on a grid of two inputs, all others at their likely values.

    Parameters
    ----------
    subject, than : str
        The two ways.
    across, up : Figure
        The two inputs.
    across_values, up_values : ndarray, shapes (across,) and (up,)
        Their values. [unit of the input]
    net_savings : ndarray, shape (up, across)
        Positive where the subject is cheaper. [money]
    notes : tuple of str
        Which input has no range of its own, and how far it goes here.
    """

    subject: str
    than: str
    across: Figure
    up: Figure
    across_values: Array
    up_values: Array
    net_savings: Array
    notes: tuple[str, ...] = ()


def indices(
    scenario: Scenario,
    *,
    subject: str | None = None,
    than: str | None = None,
    points: int = BASE_POINTS,
    seed: int = SEED,
    most: int = MOST_INPUTS,
    known_swings: tuple[Swing, ...] | None = None,
    progress: Progress | None = None,
) -> Indices:
    """Compute first-order and total indices of the inputs that move the answer most.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    subject, than : str or None
        Names of ways; None: the subject of the verdict, and the base case.
    points, seed : int
        Base points (at least 16; a power of 2 is the most even), and their seed.
    most : int
        Number of inputs; those with the largest swings are taken.
    known_swings : tuple of Swing or None
        Swings of this pair, the largest first, where they are known already.
    progress : callable or None
        Called with the rows done and the number of rows.

    Returns
    -------
    Indices

    Raises
    ------
    ValueError
        If a way is unknown, or there are too few base points.
    """
    pair = ways_in_question(scenario, subject, than)
    by_swing = swings(scenario, *pair) if known_swings is None else known_swings
    figures = tuple(swing.figure for swing in by_swing)
    moving, held = figures[:most], figures[most:]
    if not moving:
        return Indices(*pair, (), (), _likely(scenario, pair), 0.0, points, seed, 1)
    rows = design(*(_drawn(moving, shares) for shares in base_points(points, len(moving), seed)))
    values = {figure.path: rows[:, place] for place, figure in enumerate(moving)}
    cost = costs(scenario, pair, values, progress=progress)
    found = indices_from(cost[pair[1]] - cost[pair[0]], len(moving))
    by_input = [
        InputIndices(figure, *(float(part[place]) for part in parts))
        for place, figure in enumerate(moving)
        if (parts := (found.first, found.first_error, found.total, found.total_error))
    ]
    by_input.sort(key=lambda index: -index.total)
    spread = found.mean, found.variance
    return Indices(*pair, tuple(by_input), held, *spread, points, seed, rows.shape[0])


def _drawn(figures: tuple[Figure, ...], shares: Array) -> Array:
    """Return the values of inputs at points of the unit cube, within bounds, shape (points, inputs)."""
    columns = [
        clip_to_bounds(figure, quantile(figure, shares[:, place]))[0] for place, figure in enumerate(figures)
    ]
    return np.stack(columns, axis=1)


def _likely(scenario: Scenario, pair: tuple[str, str]) -> float:
    """Net savings with every input at its likely value. [money]"""
    cost = costs(scenario, pair, {})
    return float(cost[pair[1]][0] - cost[pair[0]][0])


def two_way_map(
    scenario: Scenario,
    across: str,
    up: str,
    *,
    subject: str | None = None,
    than: str | None = None,
    steps: int = STEPS,
    progress: Progress | None = None,
) -> TwoWayMap:
    """Compute the answer on a grid of two inputs.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    across, up : str
        Paths of two inputs that may be ranges.
    subject, than : str or None
        Names of ways; None: the subject of the verdict, and the base case.
    steps : int
        Number of values of either input, at least 2.
    progress : callable or None
        Called with the rows done and the number of rows.

    Returns
    -------
    TwoWayMap

    Raises
    ------
    ValueError
        If an input is unknown, fixes the calendar or has nowhere to go, or both are the same; with
        the nearest known path.
    """
    if steps < 2:
        raise ValueError(f"a map needs at least 2 values of either input; got {steps}")
    pair = ways_in_question(scenario, subject, than)
    figures = _two_inputs(scenario, across, up)
    ends = [_ends(figure) for figure in figures]
    axes = [np.linspace(low, high, steps) for low, high in ends]
    grid = np.meshgrid(*axes)
    values = {figure.path: plane.ravel() for figure, plane in zip(figures, grid, strict=True)}
    cost = costs(scenario, pair, values, progress=progress)
    savings = (cost[pair[1]] - cost[pair[0]]).reshape(steps, steps)
    notes = tuple(
        f"{figure.path} stands at one value, {number_text(figure.likely)}: the map goes from "
        f"{number_text(low)} to {number_text(high)}"
        for figure, (low, high) in zip(figures, ends, strict=True)
        if not figure.ranged
    )
    return TwoWayMap(*pair, *figures, axes[0], axes[1], savings, notes)


def _two_inputs(scenario: Scenario, across: str, up: str) -> tuple[Figure, Figure]:
    """Return the two inputs of a map; all that is wrong with their names at once."""
    known = tuple(path for path, figure in scenario.inputs.items() if figure.field.ranged)
    faults = []
    for path in dict.fromkeys((across, up)):
        if path not in scenario.inputs:
            faults.append(f"{path!r} is not an input: {nearest(path, known)}")
        elif path not in known:
            faults.append(f"{path} fixes the calendar, so it cannot be on a map: take another input")
    if across == up:
        faults.append(f"a map needs two different inputs; got {across!r} twice")
    if faults:
        raise ValueError("; ".join(faults))
    return input_called(scenario, across), input_called(scenario, up)


def _ends(figure: Figure) -> tuple[float, float]:
    """Return how far an input goes on a map: its range, else from half to one and a half times."""
    if figure.ranged:
        return figure.low, figure.high
    (low, high), _ = clip_to_bounds(figure, np.array([0.5, 1.5]) * figure.likely)
    if not low < high:
        raise ValueError(f"{figure.path} stands at {number_text(figure.likely)}: give it a range for a map")
    return float(low), float(high)
