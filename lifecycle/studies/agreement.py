"""The two evaluations of one model: averages worked out exactly, and lives drawn by chance.

Lecture
-------
The expectation follows averages month by month; the simulation throws dice for one coach after another.
They share the figures and nothing else, so a mistake in one of them shows. A mean m over n lives with
standard error e may differ from the expected value x by chance; counted in standard errors,
``(m - x) / e`` is normal where enough happens: 1 in 20 such numbers lies beyond 2 on average, and none
beyond 4 unless something is wrong. The lines of one way are counted from the same lives, so they stray
together: now and then 5 of 21 lie beyond 2, with nothing wrong.

Left out: lines in which fewer than `FEWEST` of the lives differ, for chance is not normal there; lines
that luck does not move, which agree to the last digit.

Source: standard errors of means; the rule of 4 is the model's own text.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.data import frame_words, words_of
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.simulation import simulate
from lifecycle.kinds import CATEGORIES
from lifecycle.quantities import Frame, in_rows, table_html
from lifecycle.scenario import Scenario, resolve

LIVES = 20_000
"""Lives of each way."""

SEED = 1

FEWEST = 100
"""Lives that must differ from the commonest value of a line."""

WITHIN, BEYOND = 2.0, 4.0
"""Standard errors within which 19 of 20 lie on average, and beyond which something is wrong."""

COUNT_LABELS: Mapping[str, str] = words_of("charts")["agreement"]["counts"]
"""Counts that are compared, with their plain names; days and hours are compared as money."""

TOTAL: str = words_of("charts")["agreement"]["total"]
"""Name of the line that is the whole cost."""


@dataclass(frozen=True)
class Line:
    """One line of one way.

    Parameters
    ----------
    way, name : str
        Title of the way; what the line is.
    expected, mean, error : float
        Exact average; mean over lives, and its standard error. [money or a number]
    """

    way: str
    name: str
    expected: float
    mean: float
    error: float

    @property
    def apart(self) -> float:
        """Mean less expected. [standard errors]"""
        return (self.mean - self.expected) / self.error


@dataclass(frozen=True)
class Agreement:
    """How far apart the two evaluations are.

    Parameters
    ----------
    lines : tuple of Line
        By way, at the years kept.
    lives, seed : int
        Lives simulated under each way, and their seed.
    """

    lines: tuple[Line, ...]
    lives: int
    seed: int

    def __repr__(self) -> str:
        """Say how many lines lie near."""
        said, lives = frame_words("agreement"), f"{self.lives:,}"
        return said("named", near=self.near, lines=len(self.lines), errors=f"{WITHIN:g}", lives=lives)

    def to_frame(self) -> Frame:
        """Return the lines as rows, by way and name: both averages, their error, how far they are apart.

        Amounts are in money at the base date, numbers as their rows say.
        """
        import pandas

        rows, said = {}, frame_words("agreement")
        for line in self.lines:
            digits = 3 if line.name in COUNT_LABELS else 2
            amounts = {said(key): getattr(line, key) for key in ("expected", "mean", "error")}
            rows[line.way, _named(line)] = {
                **{head: f"{amount:,.{digits}f}" for head, amount in amounts.items()},
                said("apart"): f"{line.apart:+.1f}",
            }
        table = in_rows(rows)
        table.index = pandas.MultiIndex.from_tuples(list(rows), names=[said("way"), said("line")])
        return table

    def _repr_html_(self) -> str:
        """Show in a notebook how near the lines of each way lie; `to_frame` has them all."""
        return table_html(self.by_way())

    def by_way(self) -> Frame:
        """Return a row for each way: its lines, how many of them lie near, and the furthest."""
        apart: dict[str, list[float]] = {}
        said = frame_words("agreement")
        for line in self.lines:
            apart.setdefault(line.way, []).append(abs(line.apart))
        rows = {
            way: {
                said("lines"): len(found),
                said("within_1"): sum(one <= 1.0 for one in found),
                said("within_2"): sum(one <= WITHIN for one in found),
                said("furthest"): f"{max(found):.1f}",
            }
            for way, found in apart.items()
        }
        return in_rows(rows)

    @property
    def near(self) -> int:
        """Lines within 2 standard errors."""
        return sum(abs(line.apart) <= WITHIN for line in self.lines)

    @property
    def furthest(self) -> Line:
        """The line that is furthest apart."""
        return max(self.lines, key=lambda line: abs(line.apart))


def agreement(scenario: Scenario, *, lives: int = LIVES, seed: int = SEED) -> Agreement:
    """Evaluate a scenario twice and compare.

    Parameters
    ----------
    scenario : Scenario
        One that reports no trouble.
    lives, seed : int
        Lives simulated under each way, and their seed.

    Returns
    -------
    Agreement
    """
    case = resolve(scenario)
    expected, simulated = evaluate(case), simulate(case, lives=lives, seed=seed)
    lines: list[Line] = []
    for way in case.alternatives:
        exact, drawn = expected[way.name], simulated[way.name]
        lines += _compared(way.title, TOTAL, float(exact.at_holding[0]), drawn.at_holding)
        amounts = {**exact.expected, **exact.by_category}
        for name, values in {**drawn.by_category, **{one: drawn.counts[one] for one in COUNT_LABELS}}.items():
            amount = float(amounts[name][0]) if name in amounts else 0.0
            lines += _compared(way.title, name, amount, values)
    return Agreement(tuple(lines), lives, seed)


def _compared(way: str, name: str, expected: float, values: NDArray[np.floating]) -> list[Line]:
    """Return one line; none where luck hardly moves it."""
    _, number = np.unique(np.round(values.astype(float), 2), return_counts=True)
    if values.size - int(number.max()) < FEWEST:
        return []
    error = float(values.std(dtype=float)) / values.size**0.5
    return [Line(way, name, expected, float(values.mean(dtype=float)), error)]


def _named(line: Line) -> str:
    """Return the plain name of a line with its unit.

    Examples
    --------
    >>> _named(Line("any", "upkeep: reseal", 1.0, 1.0, 1.0))
    'upkeep: reseal, money'
    >>> _named(Line("any", "severe finds", 1.0, 1.0, 1.0))
    'decks gone, number'
    """
    said = frame_words("agreement")
    if line.name in COUNT_LABELS:
        return said("number", name=COUNT_LABELS[line.name])
    category, between, job = line.name.partition(": ")
    label = CATEGORIES[category].label if category in CATEGORIES else category
    return said("money", name=f"{label}{between}{job}")
