"""How long roofs lasted: what the records say without any shape, the fitted curve, and its band.

Lecture
-------
On this paper a Weibull life is a straight line: age on a logarithmic axis across, and up the share of
roofs that have ended, spaced as ``ln(-ln(1 - share))``. Points on a straight line mean that the shape
fits; a bend means that it does not. The band holds 8 in 10; points are Turnbull's estimate.

Left out: points of records with numbers that a life depends on; there is no single line then.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch

from lifecycle.charts.canvas import HEADING, MARGIN, TEXT, TYPEFACE, WIDTH, Picture, lines_height, wrapped
from lifecycle.charts.frame import axis_name, heading, key, plain_axes
from lifecycle.charts.palette import CURVES, FAINT, INK
from lifecycle.language.sentences import say
from lifecycle.quantities import Array
from lifecycle.records.lives import LifeFit

SHARES = (0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 0.99)
"""Shares that the axis up may name. [-]"""

AGES = (0.1, 0.2, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 50, 100, 200, 500, 1000, 2000, 5000)
"""Ages that the axis across may name. [years]"""

LEFT, BELOW, ROOM = 0.85, 1.2, 3.6
"""Room left of the axes and below them; their height. [inch]"""


def probability_plot(fit: LifeFit, ax: Axes | None = None) -> Axes:
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
    lines = wrapped(_title(fit), WIDTH - 2 * MARGIN, HEADING, bold=True)
    if ax is None:
        above = lines_height(len(lines), HEADING) + 2.0 * MARGIN
        picture = Picture(BELOW + ROOM + above, describe_probability_plot(fit))
        ax = picture.axes_at(LEFT, BELOW, WIDTH - LEFT - 2.0 * MARGIN, ROOM)
    plain_axes(ax, grid="y")
    first, last = 0.8 * float(ages.min()), 1.1 * max(float(ages.max()), fit.lives.oldest)
    grid = np.geomspace(first, last, 101)
    low, high = fit.band(grid)
    ax.set_xscale("log")
    ax.fill_between(grid, _weibull_y(low), _weibull_y(high), color=FAINT, linewidth=0.0)
    (line,) = ax.plot(grid, _weibull_y(fit.survival(grid)), color=CURVES[0].colour, linewidth=2.0)
    (points,) = ax.plot(ages, _weibull_y(survival), linestyle="none", marker="o", markersize=5, color=INK)
    _scales(ax, first, last, survival, fit)
    axis_name(ax, say("charts.probability_plot.age"))
    ax.set_ylabel(say("charts.probability_plot.ended"), fontsize=TEXT, fontfamily=TYPEFACE, color=INK)
    heading(ax, lines, above=MARGIN)
    band = Patch(facecolor=FAINT, edgecolor="none")
    key(ax, [(points, "records"), (line, "fitted"), (band, say("charts.probability_plot.band"))], below=0.72)
    return ax


def _weibull_y(survival: Array) -> Array:
    """Return where a share that outlasts an age stands on the axis up."""
    return np.asarray(np.log(-np.log(np.clip(survival, 1e-12, 1.0 - 1e-12))))


def _scales(ax: Axes, first: float, last: float, survival: Array, fit: LifeFit) -> None:
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


def _title(fit: LifeFit) -> str:
    """Return the heading."""
    mean = fit.estimates[0]
    return say(
        "charts.probability_plot.title",
        mean=f"{mean.likely:.1f}",
        low=f"{mean.low:.1f}",
        high=f"{mean.high:.1f}",
    )


def describe_probability_plot(fit: LifeFit) -> str:
    """Say what `probability_plot` shows, in one sentence.

    Parameters
    ----------
    fit : LifeFit
        What is drawn.
    """
    ages = fit.points[0]
    span = (
        say("charts.probability_plot.ages", first=f"{ages.min():.1f}", last=f"{ages.max():.1f}")
        if ages.size
        else ""
    )
    title = _title(fit)
    return say(
        "charts.probability_plot.said",
        points=ages.size,
        roofs=fit.lives.roofs,
        ended=fit.lives.ended,
        ages=span,
        title=f"{title[0].lower()}{title[1:]}",
    )
