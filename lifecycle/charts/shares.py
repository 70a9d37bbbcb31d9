"""What brings the doubt: indices of each input, and a map of two inputs.

Lecture
-------
*Indices*: for each input how much of the variance of the answer it brings alone (dark bar) and in all
(light bar), with error bars of one standard error. What has to be said first stands below the
heading.

*Map*: net savings over two inputs, all others at their likely values. The thick line is where both ways
cost the same; on the hatched side the way is dearer. Thin lines join points of the same net savings. The
mark stands where both inputs are likely.

Left out: luck.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.patches import Patch

from lifecycle.charts.canvas import (
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    TYPEFACE,
    WIDTH,
    Picture,
    lines_height,
    wrapped,
    write,
)
from lifecycle.charts.frame import (
    BAR,
    axis_name,
    heading,
    key,
    plain_axes,
    titled_bars,
    titled_height,
)
from lifecycle.charts.palette import GROUND, HATCH, INK, KEEP_FILL, PART, QUIET, WHOLE
from lifecycle.charts.ways import money_scale, said_instead
from lifecycle.language.labels import cheaper_or_dearer, in_percent, input_name, value_text
from lifecycle.language.sentences import say
from lifecycle.quantities import Array, Figure, convert
from lifecycle.scenario import Scenario
from lifecycle.studies.sensitivity import Indices, TwoWayMap

NO_INDICES = say("charts.shares.none")
"""What stands in place of the indices where there are none."""

SHOWN = 8
"""Inputs shown, if not said otherwise."""


def indices(found: Indices, ax: Axes | None = None, *, shown: int = SHOWN) -> Axes:
    """Draw first-order and total indices of the inputs that bring most of the doubt.

    Parameters
    ----------
    found : Indices
        Any; without ranges a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.
    shown : int
        Number of inputs shown, the largest first.

    Returns
    -------
    Axes
    """
    if not found.inputs:
        return said_instead(NO_INDICES, ax)
    rows = found.inputs[:shown]
    titles = [wrapped(input_name(row.figure), WIDTH - 2 * MARGIN) for row in rows]
    said = wrapped(found.said_first, WIDTH - 2 * MARGIN)
    if ax is None:
        above = lines_height(1, HEADING) + lines_height(len(said)) + 0.5
        below = 0.95
        picture = Picture(below + titled_height(titles) + above, describe_indices(found, shown=shown))
        ax = picture.axes_at(MARGIN, below, WIDTH - 2 * MARGIN, titled_height(titles))
    plain_axes(ax, grid="x")
    for row, middle in zip(rows, titled_bars(ax, titles), strict=True):
        error = {"ecolor": INK, "elinewidth": 1.4, "capsize": 3.0}
        ax.barh(middle - BAR / 4.0, row.first, BAR / 2.0, xerr=row.first_error, error_kw=error, **PART)
        ax.barh(middle + BAR / 4.0, row.total, BAR / 2.0, xerr=row.total_error, error_kw=error, **WHOLE)
    ax.set_xlim(min(0.0, *(row.first - row.first_error for row in rows)), 1.0)
    axis_name(ax, say("charts.shares.axis"))
    heading(ax, [say("charts.shares.title")], above=0.22 + lines_height(len(said)))
    for number, line in enumerate(said):
        up = 0.12 + lines_height(len(said) - 1 - number)
        write(ax, 0.0, 1.0, line, colour=QUIET, shift=(0.0, up * POINTS))
    key(ax, [(Patch(**PART), "alone"), (Patch(**WHOLE), say("charts.shares.in_all"))], below=0.62)
    return ax


def describe_indices(found: Indices, *, shown: int = SHOWN) -> str:
    """Say in one sentence what `indices` shows.

    Parameters
    ----------
    found : Indices
        What is drawn.
    shown : int
        Number of inputs shown.

    Returns
    -------
    str
    """
    if not found.inputs:
        return NO_INDICES
    parts = [
        say(
            "charts.shares.one",
            figure=input_name(row.figure),
            alone=f"{row.first:.2f}",
            in_all=f"{row.total:.2f}",
        )
        for row in found.inputs[:shown]
    ]
    return say("charts.shares.said", first=found.said_first, shares="; ".join(parts))


def answer_map(found: TwoWayMap, scenario: Scenario, ax: Axes | None = None) -> Axes:
    """Draw the answer over two inputs, with the line where it turns.

    Parameters
    ----------
    found : TwoWayMap
        The grid.
    scenario : Scenario
        Of the grid; gives titles, units and currency.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    head = wrapped(_map_heading(found, scenario), WIDTH - 2 * MARGIN, HEADING, bold=True)
    up_name = wrapped(say("charts.shares.map.up", figure=_named(found.up, scenario)), WIDTH - 2 * MARGIN)
    across_name = wrapped(
        say("charts.shares.map.across", figure=_named(found.across, scenario)), WIDTH - 2 * MARGIN
    )
    if ax is None:
        above = lines_height(len(head), HEADING) + lines_height(len(up_name)) + 0.35
        below = 0.75 + lines_height(len(across_name))
        picture = Picture(below + 3.4 + above, describe_answer_map(found, scenario))
        ax = picture.axes_at(0.85, below, WIDTH - 1.2, 3.4)
    scale = money_scale(float(np.abs(found.net_savings).max()), scenario.currency)
    across, up = (
        _shown(found.across, found.across_values, scenario),
        _shown(found.up, found.up_values, scenario),
    )
    savings = found.net_savings / scale.by
    plain_axes(ax, grid="y")
    ax.grid(False)
    if savings.min() < 0.0:
        dearer = ax.contourf(
            across, up, savings, levels=[savings.min() - 1.0, 0.0], colors="none", hatches=[HATCH]
        )
        dearer.set_edgecolor(KEEP_FILL["edgecolor"])
    lines = ax.contour(across, up, savings, levels=7, colors=QUIET, linewidths=0.9, linestyles="solid")
    _label_lines(ax, lines)
    if savings.min() < 0.0 < savings.max():
        ax.contour(across, up, savings, levels=[0.0], colors=INK, linewidths=3.2)
    at = [_shown(figure, np.array([figure.likely]), scenario) for figure in (found.across, found.up)]
    ax.plot(*at, marker="D", markersize=9, color=INK, markeredgecolor=GROUND, linestyle="none", zorder=5)
    for number, line in enumerate(reversed(up_name)):
        write(ax, 0.0, 1.0, line, shift=(-0.7 * POINTS, (0.12 + lines_height(number)) * POINTS))
    for number, line in enumerate(across_name):
        write(ax, 0.0, 0.0, line, shift=(-0.7 * POINTS, -(0.44 + lines_height(number)) * POINTS))
    heading(ax, head, above=0.2 + lines_height(len(up_name)))
    entries = [
        (Patch(**{**KEEP_FILL, "facecolor": "none"}), "dearer"),
        (ax.plot([], [], color=INK, linewidth=3.2)[0], say("charts.shares.map.same")),
        (
            ax.plot([], [], marker="D", markersize=9, color=INK, linestyle="none")[0],
            say("charts.shares.map.likely"),
        ),
    ]
    key(ax, entries, below=0.5 + lines_height(len(across_name)))
    return ax


def _label_lines(ax: Axes, lines: QuadContourSet) -> None:
    """Write their values on lines of the same net savings, but not next to the edge."""
    for label in ax.clabel(lines, fontsize=TEXT, fmt=lambda value: f"{value:+.3g}" if value else "0"):
        label.set(fontfamily=TYPEFACE, bbox={"facecolor": GROUND, "edgecolor": "none", "pad": 1.0})
        across, up = ax.transLimits.transform(label.get_position())
        label.set_visible(bool(0.08 < across < 0.92 and 0.08 < up < 0.92))


def _shown(figure: Figure, values: Array, scenario: Scenario) -> Array:
    """Return values of an input in the units of the scenario, rates of money in percent."""
    if in_percent(figure):
        return 100.0 * values
    unit = figure.field.unit_in(scenario.units)
    return np.array([convert(float(value), figure.field.unit, unit) for value in values])


def _named(figure: Figure, scenario: Scenario) -> str:
    """Return the name of an input with its unit, as it stands behind more than one."""
    unit = " ".join(value_text(figure, 2.0, scenario).split()[1:])
    return f"{input_name(figure)}{f' [{unit}]' if unit else ''}"


def _map_heading(found: TwoWayMap, scenario: Scenario) -> str:
    """Return the heading of the map."""
    titles = {way.name: way.title for way in scenario.alternatives}
    unit = money_scale(float(np.abs(found.net_savings).max()), scenario.currency).name
    pair = say("charts.compared", way=titles[found.subject], base=titles[found.than])
    return say("charts.shares.map.title", ways=pair, unit=unit)


def describe_answer_map(found: TwoWayMap, scenario: Scenario) -> str:
    """Say in one sentence what `answer_map` shows.

    Parameters
    ----------
    found : TwoWayMap
        The grid.
    scenario : Scenario
        Of the grid.

    Returns
    -------
    str
    """
    corners = [
        say(
            "charts.shares.map.corner",
            savings=cheaper_or_dearer(float(found.net_savings[row, column])),
            up=up,
            across=across,
        )
        for row, up in ((0, "low"), (-1, "high"))
        for column, across in ((0, "low"), (-1, "high"))
    ]
    return say(
        "charts.shares.map.said",
        title=_map_heading(found, scenario),
        across=_named(found.across, scenario),
        up=_named(found.up, scenario),
        corners="; ".join(corners),
    )
