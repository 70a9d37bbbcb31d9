"""Why two scenarios differ: the difference of their answers, split by cause, adding up exactly.

Lecture
-------
Each scenario has its answer: the net savings of its subject over its base case, at its own likely
years kept, every input likely. A *cause* is something that the two say differently: an input that
both have, or a group that belongs together

- what you would do otherwise: the base case, its roof and upkeep, and whatever follows its plan;
- the roof that stands: its age, its joints, what it hides;
- the way in question; its quote, if it is another input; the loan; the terms; the leak figures.

For a set T of causes v(T) is the answer of the first scenario with T taken over from the second.
One cause after the other is taken over, and what the answer moves by is the cause's; this depends on
the order, so it is averaged over all orders (Shapley value)::

    amount_i = sum over T without i of  |T|! (n - |T| - 1)! / n!  (v(T and i) - v(T))

In each order the moves add up to the whole difference, and so do the means. With more causes than
can be taken over in every order, a number of random orders and their reversed ones are averaged:
still adding up exactly, each amount with a standard error.

Inputs that only other ways use, the years shown and the leaks found so far are no causes: they do
not touch the answer.

Left out: doubt. Both stand at their likely values.
Source: Shapley, A value for n-person games (1953), from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import factorial

import numpy as np
from numpy.typing import NDArray

from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import Progress
from lifecycle.studies.taking_over import TwoScenarios, two_scenarios

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SEED, ORDERS = 1, 16
"""Default seed and number of random orders; each is gone through backwards too."""

MOST_CAUSES, MOST_APART = 10, 6
"""Up to so many causes, and so many of them that change the calendar or a statement, every order counts."""


@dataclass(frozen=True)
class Cause:
    """One cause of the difference.

    Parameters
    ----------
    key, label : str
        Path of the input or name of the group; plain words.
    first, second : str
        What the two scenarios say, in words.
    amount : float
        What it adds to the net savings, from the first to the second. [money]
    error : float
        Standard error; 0 where every order counts. [money]
    figures : tuple of (Figure, Figure)
        The inputs that differ, in the first and in the second.
    """

    key: str
    label: str
    first: str
    second: str
    amount: float
    error: float
    figures: tuple[tuple[Figure, Figure], ...]


@dataclass(frozen=True)
class Difference:
    """The difference between the answers of two scenarios, by cause.

    Parameters
    ----------
    first, second : float
        Net savings of the subject over the base case in the two scenarios. [money]
    ways_first, ways_second : tuple of str
        Subject and base case of the two.
    causes : tuple of Cause
        The largest amount first.
    orders : int or None
        Number of orders that were averaged; None: all.
    seed : int
        Of the orders.

    Raises
    ------
    ValueError
        If the causes do not add up to the difference.
    """

    first: float
    second: float
    ways_first: tuple[str, str]
    ways_second: tuple[str, str]
    causes: tuple[Cause, ...]
    orders: int | None
    seed: int

    def __post_init__(self) -> None:
        left = self.total - sum(cause.amount for cause in self.causes)
        if abs(left) > 1e-6 * max(1.0, abs(self.first), abs(self.second)):
            raise ValueError(f"the causes do not add up to the difference: {left} is left")

    @property
    def total(self) -> float:
        """Net savings in the second scenario less those in the first. [money]"""
        return self.second - self.first

    @property
    def method(self) -> str:
        """How the difference was split, in a sentence."""
        if self.orders is None:
            return "Each cause counts with its mean over all orders of taking the causes over; they add up."
        return (
            f"Each cause counts with its mean over {self.orders} orders of taking the causes over, drawn "
            f"with seed {self.seed}; they add up, and each has a standard error."
        )


def difference(
    first: Scenario,
    second: Scenario,
    *,
    seed: int = SEED,
    orders: int = ORDERS,
    progress: Progress | None = None,
) -> Difference:
    """Split the difference between the answers of two scenarios by cause.

    Parameters
    ----------
    first, second : Scenario
        What was stated.
    seed, orders : int
        Seed and number of random orders where there are too many causes for all orders; at least 2.
    progress : callable or None
        Called with how much is done, and how much there is to do.

    Returns
    -------
    Difference

    Raises
    ------
    ValueError
        If there is nothing to compare in one of them, or their currencies differ.
    """
    two = two_scenarios(first, second)
    number = len(two.causes)
    every_order = number <= MOST_CAUSES and sum(cause.apart for cause in two.causes) <= MOST_APART
    if every_order:
        taken = _all_sets(number)
        values = two.answers(taken, progress)
        amounts, errors = _mean_over_all_orders(values, number), np.zeros(number)
        ends = values[0], values[-1]
    else:
        sequences = _orders(number, max(2, orders), seed)
        ends, amounts, errors = _mean_over(sequences, two, progress)
    causes = [
        Cause(cause.key, cause.label, cause.first, cause.second, float(amount), float(error), cause.figures)
        for cause, amount, error in zip(two.causes, amounts, errors, strict=True)
    ]
    causes.sort(key=lambda cause: -abs(cause.amount))
    return Difference(
        float(ends[0]),
        float(ends[1]),
        two.ways_first,
        two.ways_second,
        tuple(causes),
        None if every_order else len(sequences),
        seed,
    )


def _all_sets(number: int) -> Flags:
    """Return every set of causes, shape (2^number, number); set k holds the bits of k."""
    sets = np.arange(2**number)
    return np.asarray((sets[:, None] >> np.arange(number)) & 1, dtype=bool)


def _mean_over_all_orders(values: Array, number: int) -> Array:
    """Return the amounts of the causes from the answer of every set. [money]"""
    sets = np.arange(values.size)
    size = _all_sets(number).sum(axis=1)
    share = np.array([factorial(k) * factorial(number - k - 1) / factorial(number) for k in range(number)])
    amounts = np.empty(number)
    for cause in range(number):
        without = sets[(sets >> cause) & 1 == 0]
        amounts[cause] = share[size[without]] @ (values[without | 1 << cause] - values[without])
    return amounts


def _orders(number: int, orders: int, seed: int) -> list[NDArray[np.int64]]:
    """Return random orders of the causes, each followed by its reversed one."""
    generator = np.random.default_rng(seed)
    drawn = [generator.permutation(number) for _ in range(orders)]
    return [order for one in drawn for order in (one, one[::-1])]


def _mean_over(
    sequences: Sequence[NDArray[np.int64]], two: TwoScenarios, progress: Progress | None
) -> tuple[tuple[float, float], Array, Array]:
    """Return both answers, the amounts of the causes, and their standard errors. [money]"""
    number = len(two.causes)
    taken = np.zeros((len(sequences), number + 1, number), dtype=bool)
    for row, order in enumerate(sequences):
        for step, cause in enumerate(order):
            taken[row, step + 1 :, cause] = True
    sets, place = np.unique(taken.reshape(-1, number), axis=0, return_inverse=True)
    values = two.answers(sets, progress)[place.ravel()].reshape(len(sequences), number + 1)
    moves = np.empty((len(sequences), number))
    for row, order in enumerate(sequences):
        moves[row, order] = np.diff(values[row])
    pairs = moves.reshape(-1, 2, number).mean(axis=1)
    errors = pairs.std(axis=0, ddof=1) / np.sqrt(pairs.shape[0])
    return (float(values[0, 0]), float(values[0, -1])), pairs.mean(axis=0), errors
