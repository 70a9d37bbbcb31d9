"""What to ask for by telephone, what it is worth, and what follows from each answer.

Lecture
-------
Of the inputs that one can ask for, those are worth a call whose value may change the choice
(`knowing`). What follows from an answer is the way that is cheapest on average, given that value and
nothing else (`decision.costs_by_input`). Along the values of the futures, from the smallest to the
largest, the advice stays or changes; it is told as *stretches*: up to so much this way, above it that
one. The outermost hundredths are left out, for a polynomial says little there.

Left out: what asking costs, and several answers together (`knowing.by_group`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.decision import costs_by_input
from lifecycle.studies.doubt import Doubt

Array = NDArray[np.float64]

CALLS = 3
"""Calls at most."""

LEAST = 0.5
"""Least worth of a call. [money]"""

OUTERMOST = 0.02
"""Share of the futures left out at either end of an input's values. [-]"""


@dataclass(frozen=True)
class Stretch:
    """A way that is the cheapest on average while an input is at most `up_to`; None: to its end."""

    way: str
    up_to: float | None


@dataclass(frozen=True)
class Call:
    """One input to ask for.

    Parameters
    ----------
    figure : Figure
        The input.
    worth : float
        What knowing it would save, on average: the most that asking may cost. [money]
    stretches : tuple of Stretch
        What follows, from its smallest value to its largest.
    """

    figure: Figure
    worth: float
    stretches: tuple[Stretch, ...]


def calls(scenario: Scenario, result: Doubt, worth: Mapping[str, float]) -> tuple[Call, ...]:
    """Return the calls that are worth most, with what follows from each.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    result : Doubt
        Its doubt.
    worth : mapping of str to float
        Worth of knowing each input that one can ask for, by path. [money]

    Returns
    -------
    tuple of Call
        The one that is worth most first.
    """
    best = sorted((path for path in worth if worth[path] >= LEAST), key=lambda path: -worth[path])
    return tuple(Call(scenario.inputs[path], worth[path], stretches(result, path)) for path in best[:CALLS])


def stretches(result: Doubt, path: str) -> tuple[Stretch, ...]:
    """Return which way is the cheapest on average along the values of one input.

    Parameters
    ----------
    result : Doubt
        Costs by way and future.
    path : str
        A ranged input.

    Returns
    -------
    tuple of Stretch
        Neighbours are different ways.
    """
    drawn = result.futures
    value, score = drawn.sample.values[path], drawn.sample.scores[path]
    best = np.argmin(costs_by_input(result.at_years, score, drawn.weights), axis=1)
    order = np.argsort(value, kind="stable")
    running = np.cumsum(drawn.weights[order])
    order = order[(running > OUTERMOST) & (running <= 1.0 - OUTERMOST)]
    value, best = value[order], best[order]
    turns = np.flatnonzero(best[1:] != best[:-1])
    ends = [float(value[turn] + value[turn + 1]) / 2.0 for turn in turns]
    ways = [int(best[turn]) for turn in turns] + [int(best[-1])]
    return tuple(Stretch(result.names[way], end) for way, end in zip(ways, [*ends, None], strict=True))
