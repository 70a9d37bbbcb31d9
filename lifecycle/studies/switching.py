"""Where the answer flips: switch values, and defaults that cannot change the verdict's word.

Lecture
-------
One input goes through its range, all others stand at their likely values, and the coach is kept for
the likely years. On a grid of each range the costs of both ways are evaluated, all inputs in one
batch (`along`).

- *Switch value*: where the net savings change sign. Every change of sign between two neighbours on
  the grid is narrowed by cutting its interval into sixteen, three times, and then taken on a
  straight line; for an answer that jumps (years kept are whole months) it is the place of the jump.
  There may be several, or none in the range.
- *A default cannot change the word* if the word at likely values (`verdict`, without doubt) is the
  word all along its range. Asked of inputs that are the tool's own: whoever has stated a figure knows
  what it may be.

Left out: two crossings between the same two neighbours on the grid; inputs that move together.
Source: the model's own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.swings import LIKELY, Accounts, OneAtATime
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.answer import costs, ways_in_question
from lifecycle.studies.futures import Progress
from lifecycle.studies.verdict import word_without_doubt

Array = NDArray[np.float64]

POINTS = 17
"""Values of each range on the grid, its ends among them."""

_PIECES, _TIMES = 16, 3
"""How an interval with a change of sign is narrowed."""

NONE_IN_RANGE = "none in its range"


@dataclass(frozen=True)
class Along:
    """Costs of two ways along the range of each ranged input, all others at their likely values.

    Parameters
    ----------
    subject, than : str
        The way in question, and the way that it is compared with.
    figures : tuple of Figure
        The ranged inputs, in the order of the scenario.
    values : ndarray, shape (inputs, points)
        Values of each input, from its low to its high end. [unit of the input]
    cost, cost_than : ndarray, shape (inputs, points)
        Net-present cost of the two ways at the years kept. [money]
    likely, likely_than : float
        The same with every input at its likely value. [money]
    """

    subject: str
    than: str
    figures: tuple[Figure, ...]
    values: Array
    cost: Array
    cost_than: Array
    likely: float
    likely_than: float

    @property
    def net_savings(self) -> Array:
        """Net savings of the subject, shape (inputs, points). [money]"""
        return self.cost_than - self.cost


@dataclass(frozen=True)
class Switch:
    """Where one input turns the answer.

    Parameters
    ----------
    figure : Figure
        The input.
    at : tuple of float
        Values at which the net savings change sign, from low to high. [unit of the input]
    cheaper_at_low : bool
        Whether the subject is the cheaper of the two at the low end of the range.
    reason : str or None
        Why there is none.
    """

    figure: Figure
    at: tuple[float, ...]
    cheaper_at_low: bool
    reason: str | None = None


@dataclass(frozen=True)
class Defaults:
    """Which of the tool's own figures can change the word of the verdict.

    Parameters
    ----------
    word : str
        At likely values.
    safe : tuple of Figure
        Those whose whole range leaves it.
    able : tuple of (Figure, tuple of str)
        The others, each with the other words along its range, from low to high.
    """

    word: str
    safe: tuple[Figure, ...]
    able: tuple[tuple[Figure, tuple[str, ...]], ...]


def along(
    scenario: Scenario,
    *,
    subject: str | None = None,
    than: str | None = None,
    points: int = POINTS,
    progress: Progress | None = None,
) -> Along:
    """Evaluate two ways along the range of each ranged input.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    subject, than : str or None
        Names of ways; None: the subject of the verdict, and the base case.
    points : int
        Values of each range, at least 2.
    progress : callable or None
        Called with the rows done and the number of rows.

    Returns
    -------
    Along

    Raises
    ------
    ValueError
        If a way is unknown, or there is only one.
    """
    pair = ways_in_question(scenario, subject, than)
    figures = tuple(figure for figure in scenario.inputs.values() if figure.ranged)
    steps = np.linspace(0.0, 1.0, points)
    low = np.array([figure.low for figure in figures]).reshape(-1, 1)
    high = np.array([figure.high for figure in figures]).reshape(-1, 1)
    values = np.where(steps < 1.0, low + steps * (high - low), high)
    rows = [
        (None, 0.0),
        *((figure, value) for figure, row in zip(figures, values, strict=True) for value in row),
    ]
    cost = _one_at_a_time(scenario, pair, rows, progress)
    own, other = (cost[name][1:].reshape(len(figures), points) for name in pair)
    return Along(*pair, figures, values, own, other, float(cost[pair[0]][0]), float(cost[pair[1]][0]))


def at_ends(batch: OneAtATime, subject: str, than: str) -> Along:
    """Return two ways at the two ends of each range, from a batch that was evaluated already."""
    values = np.array([(figure.low, figure.high) for figure in batch.ranged]).reshape(-1, 2)
    likely = (float(batch.ledgers[name].at_holding[LIKELY]) for name in (subject, than))
    own, other = (
        np.array(list(batch.at_ends(_cost_of(name)).values())).reshape(-1, 2) for name in (subject, than)
    )
    return Along(subject, than, batch.ranged, values, own, other, *likely)


def _cost_of(name: str) -> Callable[[Accounts], Array]:
    """Return what reads the cost of a way at the years kept out of accounts. [money]"""
    return lambda accounts: accounts[name].at_holding


Row = tuple[Figure | None, float]
"""An input and its value; None: every input at its likely value."""


def _one_at_a_time(
    scenario: Scenario, pair: tuple[str, str], rows: Sequence[Row], progress: Progress | None = None
) -> dict[str, Array]:
    """Net-present cost of both ways, one input moved in each row. [money]"""
    moved = {figure.path: figure for figure, _ in rows if figure is not None}
    values = {path: np.full(len(rows), figure.likely) for path, figure in moved.items()}
    for row, (figure, value) in enumerate(rows):
        if figure is not None:
            values[figure.path][row] = value
    return costs(scenario, pair, values, progress=progress)


def switch_values(scenario: Scenario, grid: Along) -> tuple[Switch, ...]:
    """Find the values of each ranged input at which the answer flips.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    grid : Along
        Its costs along each range.

    Returns
    -------
    tuple of Switch
        In the order of the scenario.

    Raises
    ------
    ValueError
        If a way of the grid is unknown.
    """
    pair = ways_in_question(scenario, grid.subject, grid.than)
    cheaper = grid.net_savings >= 0.0
    inputs, places = np.nonzero(cheaper[:, 1:] != cheaper[:, :-1])
    figures = [grid.figures[place] for place in inputs]
    ends = grid.values[inputs, places], grid.values[inputs, places + 1]
    savings = grid.net_savings[inputs, places], grid.net_savings[inputs, places + 1]
    found = _narrowed(scenario, pair, figures, ends, savings)
    switches = []
    for place, figure in enumerate(grid.figures):
        at = tuple(float(value) for value in found[inputs == place])
        switches.append(Switch(figure, at, bool(cheaper[place, 0]), None if at else NONE_IN_RANGE))
    return tuple(switches)


def _narrowed(
    scenario: Scenario,
    pair: tuple[str, str],
    figures: Sequence[Figure],
    ends: tuple[Array, Array],
    savings: tuple[Array, Array],
) -> Array:
    """Return where the savings change sign between two ends, shape (intervals,)."""
    if not figures:
        return np.empty(0)
    x = np.stack(ends, axis=1)
    y = np.stack(savings, axis=1)
    every = np.arange(len(figures))
    for _ in range(_TIMES):
        inner = np.linspace(x[:, 0], x[:, 1], _PIECES + 1, axis=1)[:, 1:-1]
        rows = [(figure, value) for figure, row in zip(figures, inner, strict=True) for value in row]
        cost = _one_at_a_time(scenario, pair, rows)
        between = (cost[pair[1]] - cost[pair[0]]).reshape(inner.shape)
        xs = np.column_stack([x[:, 0], inner, x[:, 1]])
        ys = np.column_stack([y[:, 0], between, y[:, 1]])
        first = np.argmax((ys[:, 1:] >= 0.0) != (ys[:, :-1] >= 0.0), axis=1)
        x = np.stack([xs[every, first], xs[every, first + 1]], axis=1)
        y = np.stack([ys[every, first], ys[every, first + 1]], axis=1)
    return np.asarray(x[:, 0] + (x[:, 1] - x[:, 0]) * y[:, 0] / (y[:, 0] - y[:, 1]))


def defaults(grid: Along) -> Defaults:
    """Sort the tool's own ranged figures by whether they can change the word of the verdict."""
    word = _word(grid.likely, grid.likely_than)
    safe, able = [], []
    for place, figure in enumerate(grid.figures):
        if not figure.shared:
            continue
        words = [_word(*costs) for costs in zip(grid.cost[place], grid.cost_than[place], strict=True)]
        others = tuple(dict.fromkeys(other for other in words if other != word))
        if others:
            able.append((figure, others))
        else:
            safe.append(figure)
    return Defaults(word, tuple(safe), tuple(able))


def _word(cost: float, than: float) -> str:
    """Return the word for two costs."""
    return word_without_doubt(than - cost, max(cost, than))
