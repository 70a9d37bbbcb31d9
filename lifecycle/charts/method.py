"""Pictures for whoever checks: a step of the model, printed numbers, how long roofs lasted, two evaluations.

Lecture
-------
*A step of the model* has a line for each case, told apart by colour, dash and a key; a dotted upright line
where a place across means something. Figures are at their likely values.

*Printed numbers* are rings, our own a line at every place; where no line runs through the numbers, ours are
points. A point within a ring agrees as far as an eye can see; the table beside it says how far exactly.

*Lives*: on this paper a Weibull life is a straight line: age on a logarithmic axis across, up the share of
roofs that have ended, spaced as ``ln(-ln(1 - share))``. Points on a straight line mean that the shape
fits; a bend means that it does not. The band holds 8 in 10; points are Turnbull's estimate. Records with
numbers that a life depends on have no points; there is no single line then.

*Two evaluations*, lives drawn by chance and exact averages: a row for each way, a dot for each line at its
distance in standard errors. Within the shaded middle lie 19 of 20 dots on average if both are right; no dot
lies beyond the ends. The table of all lines says which dot is which.

Left out: how the numbers are worked out; doubt and luck, which have pictures of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from lifecycle.charts.canvas import (
    HEADING,
    MARGIN,
    TEXT,
    TYPEFACE,
    headline,
    lines_height,
    placed,
    wrapped,
    write,
)
from lifecycle.charts.frame import Where, framed, named, ring, round_years, titled_bars
from lifecycle.charts.palette import CURVES, FAINT, INK, QUIET
from lifecycle.language.sentences import say
from lifecycle.quantities import Array, number_text
from lifecycle.records.lives import LifeFit
from lifecycle.records.published import Published
from lifecycle.studies.agreement import BEYOND, WITHIN, Agreement
from lifecycle.studies.steps import Curves

LEFT, BELOW, LINE = 0.85, 0.62, 0.26
"""Room left of the axes and below them; their height; height of a line of the key. [inch]"""


def step(found: Curves, ax: Where = None) -> Axes:
    """Draw the lines of one step.

    Parameters
    ----------
    found : Curves
        From `studies.steps`.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    title = headline(found.title)
    below = BELOW + LINE * len(found.lines) + MARGIN
    ax = _framed(ax, describe_step(found), title, height=2.3, below=below)
    for place, (name, across, up) in enumerate(found.lines):
        look = CURVES[place % len(CURVES)]
        style: dict[str, Any] = {"color": look.colour, "linewidth": 2.2, "linestyle": look.line}
        ax.plot(across, up, **style)
        low = -(BELOW + LINE * (place + 0.4)) / placed(ax)[3]
        ax.plot([0.0, 0.09], [low, low], transform=ax.transAxes, clip_on=False, **style)
        write(ax, 0.11, low, name, up="center")
    ax.set_xlim(0.0, max(float(across[-1]) for _, across, _ in found.lines))
    ax.set_ylim(0.0, 1.06 * max(float(np.max(up)) for _, _, up in found.lines) or 1.0)
    if found.mark is not None:
        ax.axvline(found.mark[0], color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)))
        write(ax, found.mark[0], 0.0, f" {found.mark[1]}", by=ax.get_xaxis_transform(), shift=(2.0, 8.0))
    round_years(ax)
    write(ax, 0.0, 1.0, found.up, colour=QUIET, shift=(-44.0, 10.0))
    return named(ax, found.across, title, lines_height(1) + 2.0 * MARGIN)


def _framed(ax: Where, said: str, title: Sequence[str], *, height: float, below: float) -> Axes:
    """Return axes under a title, and under what stands up. [inch]"""
    above = lines_height(len(title), HEADING) + lines_height(1) + 3.0 * MARGIN
    return framed(ax, said, height=height, below=below, above=above, left=LEFT, right=2.0 * MARGIN, grid="y")


def describe_step(found: Curves) -> str:
    """Say in one sentence what `step` shows."""
    parts = []
    for name, across, up in found.lines:
        middle = across.size // 2
        values = [
            say("charts.explained.point", up=number_text(float(f"{up[i]:.3g}"), 3), across=f"{across[i]:g}")
            for i in (middle, -1)
        ]
        parts.append(f"{name}, {' and '.join(values)}")
    mark = (
        say("charts.explained.mark", across=f"{found.mark[0]:g}", name=found.mark[1])
        if found.mark is not None
        else ""
    )
    return say(
        "charts.explained.said",
        title=found.title,
        up=found.up,
        across=found.across,
        points="; ".join(parts),
        mark=mark,
    )


def published_numbers(found: Published, ax: Where = None) -> Axes:
    """Draw printed numbers and our own.

    Parameters
    ----------
    found : Published
        From `records.published`.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    title = headline(found.title)
    ax = _framed(ax, describe_published_numbers(found), title, height=2.4, below=1.15)
    entries: list[tuple[Any, str]] = [(ring(INK), found.rings_are)]
    for place, (name, across, up) in enumerate(found.curves):
        look = CURVES[place]
        (line,) = ax.plot(across, up, color=look.colour, linewidth=2.2, linestyle=look.line)
        entries.append((line, name or say("published.ours")))
    if found.dots is not None:
        (dots,) = ax.plot(*found.dots, linestyle="none", marker="D", markersize=5.5, color=CURVES[0].colour)
        entries.append((dots, say("published.ours_at_its_own" if found.curves else "published.ours")))
    for x, y in zip(*found.rings, strict=True):
        ax.add_line(ring(INK, float(x), float(y)))
    name = "" if _ring_scales(ax, found) else found.across
    write(ax, 0.0, 1.0, found.up, colour=QUIET, shift=(-44.0, 10.0))
    return named(ax, name, title, lines_height(1) + 2.0 * MARGIN, entries[:4])


def _ring_scales(ax: Axes, found: Published) -> bool:
    """Leave room around what is drawn; name numbers that stand side by side, and say so."""
    shown = [
        found.rings,
        *((across, up) for _, across, up in found.curves),
        *([found.dots] if found.dots else []),
    ]
    across, up = (np.concatenate([pair[axis] for pair in shown]) for axis in (0, 1))
    for values, limit in ((across, ax.set_xlim), (up, ax.set_ylim)):
        room = 0.06 * (float(values.max() - values.min()) or 1.0)
        limit(float(values.min()) - room, float(values.max()) + room)
    named = not found.curves and len(found.numbers) > 3
    if named:
        names = [number.name.replace(", ", "\n") for number in found.numbers]
        ax.set_xticks(found.rings[0], names, fontsize=TEXT - 2.0, fontfamily=TYPEFACE)
    return named


def describe_published_numbers(found: Published) -> str:
    """Say in one sentence what `published_numbers` shows."""
    numbers = "; ".join(
        say("published.number", what=number.name, printed=number.printed, ours=f"{number.ours:.4g}")
        for number in found.numbers
    )
    agree = sum(number.agrees for number in found.numbers)
    return say("published.shown", title=found.title, agree=agree, number=len(found.numbers), numbers=numbers)


SHARES = (0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 0.99)
"""Shares that the axis up may name. [-]"""

AGES = (0.1, 0.2, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 50, 100, 200, 500, 1000, 2000, 5000)
"""Ages that the axis across may name. [years]"""


def probability_plot(fit: LifeFit, ax: Where = None) -> Axes:
    """Draw the points, the curve and its band.

    Parameters
    ----------
    fit : LifeFit
        With points.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes

    Raises
    ------
    ValueError
        If the fit has no points.
    """
    ages, survival = fit.points
    if not ages.size:
        raise ValueError("there are no points: too few ends, or a life that depends on numbers")
    title = headline(_life_title(fit))
    above = lines_height(len(title), HEADING) + 2.0 * MARGIN
    said = describe_probability_plot(fit)
    ax = framed(ax, said, height=3.6, below=1.2, above=above, left=LEFT, right=2.0 * MARGIN, grid="y")
    first, last = 0.8 * float(ages.min()), 1.1 * max(float(ages.max()), fit.lives.oldest)
    grid = np.geomspace(first, last, 101)
    low, high = fit.band(grid)
    ax.set_xscale("log")
    ax.fill_between(grid, _weibull_y(low), _weibull_y(high), color=FAINT, linewidth=0.0)
    (line,) = ax.plot(grid, _weibull_y(fit.survival(grid)), color=CURVES[0].colour, linewidth=2.0)
    (points,) = ax.plot(ages, _weibull_y(survival), linestyle="none", marker="o", markersize=5, color=INK)
    _life_scales(ax, first, last, survival, fit)
    ax.set_ylabel(say("charts.probability_plot.ended"), fontsize=TEXT, fontfamily=TYPEFACE, color=INK)
    band = Patch(facecolor=FAINT, edgecolor="none")
    marks = [(points, "records"), (line, "fitted"), (band, say("charts.probability_plot.band"))]
    return named(ax, say("charts.probability_plot.age"), title, MARGIN, marks, 0.72)


def _weibull_y(survival: Array) -> Array:
    """Return where a share that outlasts an age stands on the axis up."""
    return np.asarray(np.log(-np.log(np.clip(survival, 1e-12, 1.0 - 1e-12))))


def _life_scales(ax: Axes, first: float, last: float, survival: Array, fit: LifeFit) -> None:
    """Name ages and shares at round places."""
    named = [age for age in AGES if first <= age <= last]
    ax.set_xlim(first, last)
    ax.set_xticks(named, [f"{age:g}" for age in named])
    ax.minorticks_off()
    ends = [float(_weibull_y(np.array([share]))[0]) for share in (survival.max(), survival.min())]
    curve = [float(value) for value in _weibull_y(fit.survival(np.array([first, last])))]
    low, high = max(min(ends[0], curve[0]), -6.5) - 0.2, max(ends[1], curve[1]) + 0.2
    ax.set_ylim(low, high)
    shares = [share for share in SHARES if low <= _weibull_y(np.array([1.0 - share]))[0] <= high]
    places = [float(_weibull_y(np.array([1.0 - share]))[0]) for share in shares]
    ax.set_yticks(places, [f"{100.0 * share:.0f}" for share in shares])


def _life_title(fit: LifeFit) -> str:
    """Return the heading."""
    mean = fit.estimates[0]
    return say(
        "charts.probability_plot.title",
        mean=f"{mean.likely:.1f}",
        low=f"{mean.low:.1f}",
        high=f"{mean.high:.1f}",
    )


def describe_probability_plot(fit: LifeFit) -> str:
    """Say what `probability_plot` shows, in one sentence."""
    ages = fit.points[0]
    span = (
        say("charts.probability_plot.ages", first=f"{ages.min():.1f}", last=f"{ages.max():.1f}")
        if ages.size
        else ""
    )
    title = _life_title(fit)
    return say(
        "charts.probability_plot.said",
        points=ages.size,
        roofs=fit.lives.roofs,
        ended=fit.lives.ended,
        ages=span,
        title=f"{title[0].lower()}{title[1:]}",
    )


def agreement_dots(found: Agreement, ax: Where = None) -> Axes:
    """Draw how far apart the two evaluations are.

    Parameters
    ----------
    found : Agreement
        With at least one line.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    ways = list(dict.fromkeys(line.way for line in found.lines))
    title, said = headline(_dots_title(found)), describe_agreement_dots(found)
    above, side = lines_height(len(title), HEADING) + 3.0 * MARGIN, 2.0 * MARGIN
    titles = [wrapped(way) for way in ways]
    ax, middles = titled_bars(ax, said, titles, below=1.0, above=above, left=side, right=side)
    ax.axvspan(-WITHIN, WITHIN, color=FAINT, alpha=0.6, linewidth=0.0)
    ax.axvline(0.0, color=INK, linewidth=1.4)
    dot: dict[str, Any] = {"linestyle": "none", "marker": "o", "markersize": 7, "color": INK}
    for way, middle in zip(ways, middles, strict=True):
        apart = [line.apart for line in found.lines if line.way == way]
        ax.plot(apart, [middle] * len(apart), **dot)
    widest = max(BEYOND, *(1.1 * abs(line.apart) for line in found.lines))
    ax.set_xlim(-widest, widest)
    entries = [
        (Line2D([], [], **dot), say("charts.agreement.one")),
        (Patch(facecolor=FAINT), say("charts.agreement.band")),
    ]
    return named(ax, say("charts.agreement.axis"), title, MARGIN, entries)


def _dots_title(found: Agreement) -> str:
    """Return the heading."""
    return say("charts.agreement.title", near=found.near, lines=len(found.lines), within=f"{WITHIN:g}")


def describe_agreement_dots(found: Agreement) -> str:
    """Say in one sentence what `agreement_dots` shows."""
    far = found.furthest
    return say(
        "charts.agreement.said",
        title=_dots_title(found),
        lives=f"{found.lives:,}",
        apart=f"{abs(far.apart):.1f}",
        name=far.name,
        way=far.way,
    )
