"""What would change the answer? Indices of all inputs, and a map of two.

Lecture
-------
The answer is the net savings of one way over another at the years kept (`switching`), as a function of
the ranged inputs.

- *Indices* (Sobol's): how much of the variance of the answer each input brings, alone and in all.
  Every input is drawn from its own range, as if it moved independently of the others and as if the
  history of the existing roof said nothing: with inputs that move together, or with draws that are
  weighed, a variance no longer splits into parts of single inputs. That is said first wherever
  indices are shown, for the doubt itself (`doubt`) is drawn with both. Inputs beyond the number
  wanted, those with the smallest swings, stand at their likely values.
- *Map*: the mean answer over the futures on a grid of two inputs (`switching.Held`), all others as the
  futures have them. Where it is zero the two ways cost the same. An input without a range goes from half
  to one and a half times its value.

*How indices are estimated.* An answer f of independent inputs x_1 ... x_d has a variance V. For each
input

- the *first-order* index  S_i  = V(E(f | x_i)) / V  is what knowing x_i alone would take away;
- the *total* index        ST_i = E(V(f | all but x_i)) / V  is what would be left if everything but
  x_i were known: x_i alone and in all its doings with others.

Two independent sets of n base points A and B, and for each input i the points A with the i-th
coordinate from B (AB_i), estimate both (y is f less its mean over A and B)::

    S_i  = mean(y(B) (y(AB_i) - y(A))) / V
    ST_i = mean((y(A) - y(AB_i)) ** 2) / (2 V)

from n (d + 2) values of f. The points are scrambled Sobol points of 2 d coordinates.

Error bars are standard errors by the jackknife over the base points (each left out in turn), as if
these were random; Sobol points are more even, so the bars are rather too wide.

Where f does not vary there is nothing to share: all indices are 0.

scipy's ``sobol_indices`` gives the same estimates, to the last digits, and a test holds the two
together. Its error bars are a bootstrap that takes no seed, so that one study run twice would not give
the same bytes (they differed by 5 %), and it wants a power of 2 of base points; so the few lines are
our own.

Which values of single inputs turn the answer, and how far each moves it, stands in `switching`.

Left out: second-order indices; indices of the spread due to luck. Source: Saltelli et al., Computer
Physics Communications 181 (2010) 259-270, for S; Jansen, Computer Physics Communications 117 (1999)
35-43, for ST; both from memory. The map is the model's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from lifecycle.data import frame_words, words_of
from lifecycle.errors import Fault, fault, stop_at
from lifecycle.evaluation.swings import Swing, swings
from lifecycle.quantities import Array, Figure, Frame, Framed, clip_to_bounds, number_text
from lifecycle.scenario import Scenario, near_input
from lifecycle.studies.futures import Progress
from lifecycle.studies.sampling import FEWEST_DRAWS, check_whole, quantile, sobol_points
from lifecycle.studies.switching import costs, held, ways_in_question

if TYPE_CHECKING:
    from lifecycle.studies.doubt import Doubt


@dataclass(frozen=True)
class SobolIndices:
    """Estimated indices of one answer.

    Parameters
    ----------
    first, first_error : ndarray, shape (inputs,)
        First-order indices and their standard errors. [-]
    total, total_error : ndarray, shape (inputs,)
        Total indices and their standard errors. [-]
    mean, variance : float
        Of the answer. [unit of the answer, and its square]
    """

    first: Array
    first_error: Array
    total: Array
    total_error: Array
    mean: float
    variance: float


def base_points(points: int, inputs: int, seed: int) -> tuple[Array, Array]:
    """Return two independent sets of base points strictly within the unit cube, (points, inputs) each.

    Raises ScenarioError below 16 points; a power of 2 is the most even.
    """
    check_whole("points", points, FEWEST_DRAWS)
    both = sobol_points(points, 2 * inputs, seed)
    return both[:, :inputs], both[:, inputs:]


def design(a: Array, b: Array) -> Array:
    """Return all points at which the answer is needed: A, B, then A with one column of B after the other."""
    points, inputs = a.shape
    rows = np.tile(a, (inputs + 2, 1))
    rows[points : 2 * points] = b
    for place in range(inputs):
        rows[(place + 2) * points : (place + 3) * points, place] = b[:, place]
    return rows


def indices_from(values: Array, inputs: int) -> SobolIndices:
    """Estimate the indices from the answer at the points of a design, ((inputs + 2) points,)."""
    if values.size % (inputs + 2):
        raise ValueError(f"{values.size} values cannot be those of a design for {inputs} inputs")
    by_block = values.reshape(inputs + 2, -1)
    mean = float(np.mean(by_block[:2]))
    a, b, mixed = by_block[0] - mean, by_block[1] - mean, by_block[2:] - mean
    square = (a**2 + b**2) / 2.0
    variance = float(np.mean(square))
    if variance <= (1e-9 * mean) ** 2:
        none = np.zeros(inputs)
        return SobolIndices(none, none, none, none, mean, 0.0)
    first, first_error = _ratio(b * (mixed - a), square)
    total, total_error = _ratio((a - mixed) ** 2 / 2.0, square)
    return SobolIndices(first, first_error, total, total_error, mean, variance)


def sobol_indices(answer: Callable[[Array], Array], inputs: int, *, points: int, seed: int) -> SobolIndices:
    """Estimate the indices of a plain function from points of the unit cube (rows, inputs) to (rows,).

    Examples
    --------
    >>> found = sobol_indices(lambda u: 3.0 * u[:, 0] + 4.0 * u[:, 1], 2, points=1024, seed=1)
    >>> found.total.round(2)
    array([0.36, 0.64])
    """
    a, b = base_points(points, inputs, seed)
    return indices_from(np.asarray(answer(design(a, b)), dtype=float), inputs)


def _ratio(above: Array, below: Array) -> tuple[Array, Array]:
    """Mean over mean, and its standard error by the jackknife, for each row of `above`."""
    number = below.size
    sums, whole = above.sum(axis=1, keepdims=True), below.sum()
    without_one = (sums - above) / (whole - below)
    spread = without_one - without_one.mean(axis=1, keepdims=True)
    error = np.sqrt((number - 1) / number * np.sum(spread**2, axis=1))
    return sums[:, 0] / whole, error


BASE_POINTS, SEED, MOST_INPUTS = 2048, 1, 20
"""Default base points, seed, and number of inputs that indices are computed for."""

STEPS, FEW_ON_A_MAP = 25, 32
"""Default number of values of either input of a map; futures in which each pair is tried."""

SAYS: Mapping[str, str] = words_of("analyst")["indices_as"]
"""What is said before any index, why indices as correlated are refused, and of a map."""


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
        Names of the way in question and of the way that it is compared with.
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
        more = SAYS["one_held" if number == 1 else "many_held"].format(number=number) if number else ""
        return f"{SAYS['first']} {more}".rstrip()


@dataclass(frozen=True)
class TwoWayMap(Framed):
    """Mean net savings over the futures on a grid of two inputs.

    Parameters
    ----------
    subject, than : str
        Names of the way in question and of the way that it is compared with.
    across, up : Figure
        Inputs along the horizontal and the vertical axis.
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

    def __repr__(self) -> str:
        """Name the inputs and the ends of the answer."""
        low, high = self.net_savings.min(), self.net_savings.max()
        four = {"way": self.subject, "than": self.than, "across": self.across.path, "up": self.up.path}
        named = {slot: repr(name) for slot, name in four.items()}
        return frame_words("two_way_map")("named", **named, low=f"{low:,.0f}", high=f"{high:,.0f}")

    def to_frame(self) -> Frame:
        """Return net savings by the values of the second input (rows) and the first (columns). [money]"""
        import pandas

        rows = pandas.Index(self.up_values, name=self.up.path)
        return pandas.DataFrame(
            self.net_savings, rows, pandas.Index(self.across_values, name=self.across.path)
        )


def indices(
    scenario: Scenario,
    *,
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
        Coach, roofs, ways and terms, as a file states them; its subject is held against its base case.
    points, seed : int
        Base points (at least 16; a power of 2 is the most even), and their seed.
    most : int
        Number of inputs; those with the largest swings are taken.
    known_swings : tuple of Swing or None
        Swings of this pair, the largest first, where they are known already.
    progress : callable or None
        Called with the rows done and the number of rows.
    """
    pair = ways_in_question(scenario, None, None)
    by_swing = swings(scenario, *pair) if known_swings is None else known_swings
    figures = tuple(swing.figure for swing in by_swing)
    moving, held = figures[:most], figures[most:]
    if not moving:
        cost = costs(scenario, pair, {})
        return Indices(*pair, (), (), float(cost[pair[1]][0] - cost[pair[0]][0]), 0.0, points, seed, 1)
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


def two_way_map(
    scenario: Scenario,
    across: str,
    up: str,
    *,
    subject: str | None = None,
    than: str | None = None,
    steps: int = STEPS,
    doubt: Doubt | None = None,
    progress: Progress | None = None,
) -> TwoWayMap:
    """Compute the answer on a grid of two inputs.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    across, up : str
        Paths of two inputs that may be ranges.
    subject, than : str or None
        Names of ways; None: the subject of the verdict, and the base case.
    steps : int
        Number of values of either input, at least 2.
    doubt : Doubt or None
        Of the scenario, where it is there already.
    progress : callable or None
        Called with the rows done and the number of rows.

    Returns
    -------
    TwoWayMap

    Raises
    ------
    ScenarioError
        If an input is unknown, fixes the calendar or has nowhere to go, or both are the same; with
        the nearest known path.
    """
    if steps < 2:
        raise fault("steps", "must be at least 2: values of either input", str(steps), "leave it out")
    figures = _two_inputs(scenario, across, up)
    ends = [_ends(figure) for figure in figures]
    axes = [np.linspace(low, high, steps) for low, high in ends]
    paths = [figure.path for figure in figures]
    at = [dict(zip(paths, (x, y), strict=True)) for y in axes[1] for x in axes[0]]
    tried = held(scenario, doubt=doubt, subject=subject, than=than, few=FEW_ON_A_MAP)
    savings = tried.at(at, progress=progress)[0].reshape(steps, steps)
    notes = tuple(
        SAYS["one_value"].format(figure=figure.path, value=value, low=low, high=high)
        for figure, both in zip(figures, ends, strict=True)
        for value, low, high in [map(number_text, (figure.likely, *both))]
        if not figure.ranged
    )
    return TwoWayMap(*tried.pair, *figures, axes[0], axes[1], savings, notes)


def _two_inputs(scenario: Scenario, across: str, up: str) -> tuple[Figure, Figure]:
    """Return the two inputs of a map; all that is wrong with their names at once."""
    known = tuple(path for path, figure in scenario.inputs.items() if figure.field.ranged)
    faults = []
    for path in dict.fromkeys((across, up)):
        if path not in scenario.inputs:
            faults.append(Fault(repr(path), "is not an input", "", near_input(path, scenario)))
        elif path not in known:
            rule = "fixes the calendar, so it cannot be on a map"
            faults.append(Fault(path, rule, "", "take another input"))
    if across == up:
        faults.append(Fault("a map", "needs two different inputs", f"{across!r} twice", "name another"))
    stop_at(faults)
    return scenario.inputs[across], scenario.inputs[up]


def _ends(figure: Figure) -> tuple[float, float]:
    """Return how far an input goes on a map: its range, else from half to one and a half times."""
    if figure.ranged:
        return figure.low, figure.high
    (low, high), _ = clip_to_bounds(figure, np.array([0.5, 1.5]) * figure.likely)
    if not low < high:
        rule = f"stands at {number_text(figure.likely)}, so there is nowhere to go on a map"
        raise fault(figure.path, rule, "", "give it a range")
    return float(low), float(high)
