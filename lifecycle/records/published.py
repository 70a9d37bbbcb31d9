"""Numbers that others printed, and what this tool works out in their place.

Lecture
-------
A tool is believed for what can be looked up. Each entry of `data/published.toml` is a printed source: its
numbers are worked out here by the very functions that answer for a roof, and stand beside them with the
difference and with what is allowed, half a unit of the last digit printed unless a reason is given.

- `factors`: discounting. `renewals`, `replacement`: the renewal equation. On a grid of steps each life is
  rounded up to the end of its step; the error is a series in the step, and is taken out power by power by
  halving it (Richardson).
- `delay`: hidden leaks, looks and signs, by the spell itself. `joints`: the power-law fit of records.
- `reflectance`: the heat of a surface. `shares`: the indices.

Left out: whether those sources hold for roofs. They hold the arithmetic, not the figures.

Source: beside each entry, with how it is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Any

import numpy as np

from lifecycle.data import data
from lifecycle.deterioration import power_law, scale_from_mean, survival
from lifecycle.economics import discount_factor
from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.evaluation.renewal import renewals
from lifecycle.evaluation.spell import run_spell
from lifecycle.evaluation.timeline import Start
from lifecycle.heat import solar_reflectance_index
from lifecycle.quantities import Array
from lifecycle.records.joints import fit_exact_times
from lifecycle.roofs import Leaks, Roof, Visit
from lifecycle.studies.sensitivity import sobol_indices

Curve = tuple[str, Array, Array]
"""Name, places across, places up; the name is empty where there is one curve."""

HALVINGS = (50, 100, 200, 400, 800)
"""Steps of the grids that a renewal function is taken to the limit from."""

CELLS = 400
"""Cells that the longest life is cut into."""

SETTLED = 12
"""Longest lives until the number of renewals has settled."""

LOOK_MONTHS = (300, 600)
"""Months between two looks, coarse and fine: a month is a small part of the time between them."""


@dataclass(frozen=True)
class Number:
    """One printed number and our own.

    Parameters
    ----------
    name : str
        What it is.
    printed : str
        As printed.
    ours : float
        As worked out.
    allowed : float
        How far ours may be from it.
    """

    name: str
    printed: str
    ours: float
    allowed: float

    @property
    def difference(self) -> float:
        """Ours less the printed one."""
        return self.ours - float(self.printed)

    @property
    def agrees(self) -> bool:
        """Whether the difference is allowed; a hair more for the rounding of floats."""
        return abs(self.difference) <= self.allowed * (1.0 + 1e-9)


@dataclass(frozen=True)
class Published:
    """A printed source, redrawn.

    Parameters
    ----------
    key, title, says, source, status, across, up : str
        Name of the entry; its texts; "seen", "transcribed" or "derived"; names of the axes.
    why, rings_are : str
        Why the difference allowed is not half a digit, or ""; what the rings are.
    numbers : tuple of Number
        At least one.
    rings : tuple of ndarray
        Places across and up of what was printed.
    curves : tuple of Curve
        Our own lines; none where the numbers stand for themselves.
    dots : tuple of ndarray or None
        Our own points, where there is no line through them.
    """

    key: str
    title: str
    says: str
    source: str
    status: str
    across: str
    up: str
    why: str
    rings_are: str
    numbers: tuple[Number, ...]
    rings: tuple[Array, Array]
    curves: tuple[Curve, ...]
    dots: tuple[Array, Array] | None = None

    @property
    def furthest(self) -> Number:
        """The number that uses up most of what is allowed."""
        return max(self.numbers, key=lambda number: abs(number.difference) / number.allowed)


@dataclass(frozen=True)
class _Ours:
    """What a function works out: a value for each number, and a picture."""

    values: Array
    at: Array
    curves: tuple[Curve, ...] = ()
    rings_up: Array | None = None
    dots: bool = False


def published(*names: str) -> tuple[Published, ...]:
    """Work out what stands beside printed numbers.

    Parameters
    ----------
    *names : str
        Entries; none: all.

    Returns
    -------
    tuple of Published
        In the order of the names, else of the file.

    Raises
    ------
    ScenarioError
        If there is no such entry.

    Examples
    --------
    >>> all(number.agrees for number in published("factors")[0].numbers)
    True
    """
    entries = data("published.toml")
    unknown = [
        Fault(name, "is no printed source", remedy=nearest(name, tuple(entries)))
        for name in names
        if name not in entries
    ]
    if unknown:
        raise ScenarioError(unknown)
    return tuple(_redrawn(name, entries[name]) for name in names or tuple(entries))


def _redrawn(key: str, own: Mapping[str, Any]) -> Published:
    """Work out one source."""
    ours = WORK[key](own)
    numbers = tuple(
        Number(name, printed, float(value), float(own.get("allowed", half_unit(printed))))
        for (name, printed), value in zip(own["numbers"], ours.values, strict=True)
    )
    up = np.array([float(number.printed) for number in numbers]) if ours.rings_up is None else ours.rings_up
    texts = {name: str(own.get(name, "")) for name in ("title", "says", "source", "status", "across", "up")}
    return Published(
        key,
        **texts,
        why=str(own.get("why", "")),
        rings_are=str(own.get("rings", data("words/published.toml")["published"]["printed"])),
        numbers=numbers,
        rings=(ours.at, up),
        curves=ours.curves,
        dots=(ours.at, ours.values) if ours.dots else None,
    )


def half_unit(printed: str) -> float:
    """Return half a unit of the last digit of a number as printed.

    Examples
    --------
    >>> half_unit("0.0143"), half_unit("104")
    (5e-05, 0.5)
    """
    return float(f"0.5e-{len(printed.partition('.')[2])}")


def _factors(own: Mapping[str, Any]) -> _Ours:
    """Worth today of a dollar, at some rates."""
    rates, years = own["rates"], np.array(own["years"], dtype=float)
    values = [discount_factor(12 * year, discount_rate=rate) for rate, year in zip(rates, years, strict=True)]
    months = np.arange(0, 121)
    worth = [np.asarray(discount_factor(months, discount_rate=rate)) for rate in rates]
    names = [own["curve"].format(rate=f"{rate:.0%}") for rate in rates]
    curves = tuple((name, months / 12.0, one) for name, one in zip(names, worth, strict=True))
    return _Ours(np.array(values), years, curves)


def _renewals(own: Mapping[str, Any]) -> _Ours:
    """Renewal function of spread lives of mean 1."""
    shape, times = float(own["shape"]), np.array(own["times"])
    scale = float(scale_from_mean(1.0, shape))
    values = np.array(
        [_to_the_limit([_renewed(shape, scale, time, n)[-1] for n in HALVINGS]) for time in times]
    )
    last = float(times.max())
    grid = np.linspace(0.0, last, HALVINGS[-1] + 1)
    return _Ours(values, times, (("", grid, _renewed(shape, scale, last, HALVINGS[-1])),))


def _renewed(shape: float, scale: float, until: float, steps: int) -> Array:
    """Renewals by the end of each step, lives rounded up to the end of a step."""
    time = np.linspace(0.0, until, steps + 1)
    masses = np.append(0.0, -np.diff(survival(time, shape=shape, scale=scale)))
    return np.asarray(np.cumsum(renewals(masses, masses)))


def _to_the_limit(row: list[float]) -> float:
    """Take the step to zero: each pass removes one power of it."""
    for power in range(1, len(row)):
        row = [fine + (fine - coarse) / (2**power - 1) for coarse, fine in pairwise(row)]
    return row[0]


def _replacement(own: Mapping[str, Any]) -> _Ours:
    """Long-run cost of replacing at an age, lives spread evenly."""
    ages = np.array(own["ages"])
    grid = np.linspace(0.15 * own["longest"], own["longest"], 18)
    values = np.array([_cost_rate(age, own) for age in ages])
    return _Ours(values, ages, (("", grid, np.array([_cost_rate(age, own) for age in grid])),))


def _cost_rate(replaced_at: float, own: Mapping[str, Any]) -> float:
    """Cost per unit, from renewals in the long run.

    A life that ends within a cell is taken to end in its middle: half of it at each edge. A life of
    length 0 is renewed at once, so each laid part stands for a little more than one life.
    """
    last = round(replaced_at / own["longest"] * CELLS)
    failing = last / CELLS
    masses = np.zeros(SETTLED * CELLS + 1)
    masses[1:last] = 1.0 / CELLS
    masses[last] = 0.5 / CELLS + (1.0 - failing)
    at_once = 0.5 / CELLS
    first = np.zeros_like(masses)
    first[0] = 1.0
    laid = renewals(first, masses / (1.0 - at_once))
    unit = 1000.0 * own["longest"] / CELLS
    rate: float = float(laid[-CELLS:].mean()) / (1.0 - at_once) / unit
    return rate * float(own["planned"] * (1.0 - failing) + own["failure"] * failing)


def _delay(own: Mapping[str, Any]) -> _Ours:
    """Share of leaks that show inside before a look finds them, months taken to the limit."""
    finds = np.array(own["finds"])
    values = [
        2.0 * _shown_first(share, LOOK_MONTHS[1]) - _shown_first(share, LOOK_MONTHS[0]) for share in finds
    ]
    return _Ours(np.array(values), finds, dots=True)


def _shown_first(finds: float, months: int) -> float:
    """Share that signs show first, once things have settled, with a look after so many months."""
    leaks = Leaks(rot_time=1e9, severe_after=1e9, sign_rate=12.0 / months)
    roof = Roof("any", 1.0, inf, puncture_rate=0.01, visits=(Visit("look", months, finds=finds),))
    spell = run_spell(roof, leaks, start=Start(), months=14 * months, draws=1)
    shown = float(spell.by_signs.number[13 * months : 14 * months, 0].sum())
    return shown / (shown + float(spell.by_visits.number[-1, 0]))


def _joints(own: Mapping[str, Any]) -> _Ours:
    """Power law fitted to exact times."""
    times, end = np.array(own["times"]), float(own["end"])
    growth, first = fit_exact_times(times, end)
    grid = np.linspace(0.0, end, 121)
    line = np.asarray(power_law(grid, first_year=first, growth=growth))
    return _Ours(np.array([growth, first]), times, (("", grid, line),), np.arange(1.0, times.size + 1.0))


def _reflectance(own: Mapping[str, Any]) -> _Ours:
    """Solar reflectance index."""
    reflectance, emittance = np.array(own["reflectance"]), np.array(own["emittance"])
    grid = np.linspace(0.0, 0.9, 46)
    line = np.asarray(solar_reflectance_index(grid, np.full(grid.size, own["drawn_at"])))
    values = np.asarray(solar_reflectance_index(reflectance, emittance))
    return _Ours(values, reflectance, (("", grid, line),), dots=True)


def _shares(own: Mapping[str, Any]) -> _Ours:
    """Work out indices of a function that is known exactly."""

    def function(share: Array) -> Array:
        x = np.pi * (2.0 * share - 1.0)
        return np.asarray(
            np.sin(x[:, 0]) + own["a"] * np.sin(x[:, 1]) ** 2 + own["b"] * x[:, 2] ** 4 * np.sin(x[:, 0])
        )

    found = sobol_indices(function, 3, points=int(own["points"]), seed=1)
    values = np.concatenate([found.first, found.total])
    return _Ours(values, np.arange(1.0, values.size + 1.0), dots=True)


WORK: Mapping[str, Callable[[Mapping[str, Any]], _Ours]] = {
    work.__name__.lstrip("_"): work
    for work in (_factors, _renewals, _replacement, _delay, _joints, _reflectance, _shares)
}
"""What works each entry out."""
