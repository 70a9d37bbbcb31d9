"""What would change the answer: each input alone, shares of the doubt, two inputs at once, the place.

Lecture
-------
*Swings*: one bar for each ranged input, the widest on top: net savings of the way that the answer is about,
as that input goes from the low to the high end of its range. All others lie as in the futures, and the net
savings are the mean over these; or they stand at their likely values, which the heading then says. Right
of zero the way is cheaper than what the owner would do otherwise, left of it dearer, in the fills that
these have everywhere. An upright line stands where no input is moved. A bar that crosses zero is an input
that can turn the answer by itself. "low" and "high" stand at the ends of the bar; what they are stands
beside the name.

*Indices*: for each input how much of the variance of the answer it brings alone (dark bar) and in all
(light bar), with error bars of one standard error. What has to be said first stands below the
heading.

*Map*: net savings over two inputs, all others at their likely values. The thick line is where both ways
cost the same; on the hatched side the way is dearer. Thin lines join points of the same net savings. The
mark stands where both inputs are likely.

*Places*: a bar for each place of the table, the scenario's own first, then in the order of their answer.

Left out: inputs that move together, how likely the ends are, and luck.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.patches import Patch

from lifecycle.charts.canvas import (
    FULL,
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    TYPEFACE,
    headline,
    lines_height,
    wrapped,
    write,
)
from lifecycle.charts.frame import (
    BAR,
    NOTHING_COMPARED,
    Where,
    framed,
    heading,
    key,
    money_scale,
    named,
    said_instead,
    titled_bars,
)
from lifecycle.charts.palette import GROUND, HATCH, INK, KEEP_FILL, PART, QUIET, SPRAY_FILL, WHOLE
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.swings import Swing
from lifecycle.language.labels import (
    amount_of,
    cheaper_or_dearer,
    in_percent,
    input_name,
    range_text,
    years_text,
)
from lifecycle.language.sentences import say
from lifecycle.quantities import Array, Figure, convert, inner
from lifecycle.scenario import Scenario
from lifecycle.studies.by_place import ByPlace
from lifecycle.studies.sensitivity import Indices, TwoWayMap

ABOVE = BELOW = 0.62
"""Room below the axes and above them. [inch]"""

NO_SWING = say("charts.swings.none")
"""What stands in place of the bars where there are none."""

ENDS = 0.45
"""Room for the words at the ends of the longest bar. [inch]"""

SHOWN = 8
"""Inputs shown, if not said otherwise."""


def swings(
    comparison: Comparison,
    ax: Where = None,
    *,
    shown: int = SHOWN,
    moved: Sequence[Swing] | None = None,
) -> Axes:
    """Draw how far each input alone moves the net savings of the subject.

    Parameters
    ----------
    comparison : Comparison
        Any; without trouble, subject or range a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.
    shown : int
        Number of inputs shown, the widest first.
    moved : sequence of Swing or None
        What moves the mean over the futures, the widest first (`sensitivity`); None: what moves the
        comparison at likely values, which is then said.

    Returns
    -------
    Axes
    """
    rows = _rows(comparison, shown, moved)
    if not rows:
        return said_instead(NO_SWING if comparison.ways else NOTHING_COMPARED, ax)
    title = headline(_heading(comparison, moved))
    said = describe_swings(comparison, shown=shown, moved=moved)
    below, above = BELOW + lines_height(1) + MARGIN, ABOVE + lines_height(len(title) - 1, HEADING)
    names = [_name(comparison, swing) for swing in rows]
    ax, middles = titled_bars(ax, said, names, below=below, above=above)
    ends = [value for swing in rows for value in (swing.at_low, swing.at_high, swing.likely)]
    scale = money_scale(max(map(abs, ends)), comparison.scenario.currency)
    likely = rows[0].likely / scale.by
    for swing, middle in zip(rows, middles, strict=True):
        at_ends = swing.at_low / scale.by, swing.at_high / scale.by
        first, last = min(*at_ends, likely), max(*at_ends, likely)
        for fill, start, stop in (
            (KEEP_FILL, first, min(last, 0.0)),
            (SPRAY_FILL, max(first, 0.0), last),
        ):
            if stop > start:
                ax.barh(middle, stop - start, BAR, left=start, **fill)
        for at, other, name in zip(at_ends, at_ends[::-1], ("low", "high"), strict=True):
            left = at < other
            write(
                ax, at, middle, name, colour=QUIET, across="right" if left else "left", up="center_baseline",
                by=ax.transData, shift=(-4.0 if left else 4.0, 0.0), clear=True,
            )  # fmt: skip
    low, high = min(0.0, *ends) / scale.by, max(0.0, *ends) / scale.by
    pad = ENDS / (FULL - 2 * ENDS) * (high - low or 1.0)
    ax.set_xlim(low - pad, high + pad)
    ax.axvline(0.0, color=INK, linewidth=2.0)
    ax.axvline(likely, color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)))
    marks = [(Patch(**KEEP_FILL), "dearer"), (Patch(**SPRAY_FILL), "cheaper")]
    return named(ax, say("charts.cheaper_by", money=scale.name), title, 0.1, marks, BELOW)


def _rows(comparison: Comparison, shown: int, moved: Sequence[Swing] | None) -> tuple[Swing, ...]:
    """Return the swings shown."""
    known = comparison.swings if moved is None else moved
    return tuple(swing for swing in known[:shown] if swing.size >= 0.5)


def _name(comparison: Comparison, swing: Swing) -> list[str]:
    """Return the lines that name an input and the ends of its range."""
    figure, scenario = swing.figure, comparison.scenario
    said = say("sensitivity.range", figure=input_name(figure), ends=range_text(figure, scenario))
    return wrapped(said, FULL - 0.1)


def _heading(comparison: Comparison, moved: Sequence[Swing] | None) -> str:
    """Return the heading: which way against which."""
    subject, base = comparison.ways[comparison.subject or ""], comparison.ways[comparison.base_case]
    said = "charts.swings.title" if moved is not None else "charts.swings.title_likely"
    return say(said, way=subject.title, base=base.title)


def describe_swings(
    comparison: Comparison, *, shown: int = SHOWN, moved: Sequence[Swing] | None = None
) -> str:
    """Say in one sentence what `swings` shows."""
    parts = [
        say(
            "charts.swings.one",
            figure=input_name(swing.figure),
            low=cheaper_or_dearer(swing.at_low),
            high=cheaper_or_dearer(swing.at_high),
        )
        for swing in _rows(comparison, shown, moved)
    ]
    return say(
        "charts.swings.said",
        title=_heading(comparison, moved),
        currency=comparison.scenario.currency,
        swings="; ".join(parts),
    )


NO_INDICES = say("charts.shares.none")
"""What stands in place of the indices where there are none."""


def indices(found: Indices, ax: Where = None, *, shown: int = SHOWN) -> Axes:
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
    rows, said = found.inputs[:shown], wrapped(found.said_first)
    ax, middles = titled_bars(
        ax,
        describe_indices(found, shown=shown),
        [wrapped(input_name(row.figure)) for row in rows],
        below=0.95,
        above=lines_height(1, HEADING) + lines_height(len(said)) + 0.5,
    )
    for row, middle in zip(rows, middles, strict=True):
        error = {"ecolor": INK, "elinewidth": 1.4, "capsize": 3.0}
        ax.barh(middle - BAR / 4.0, row.first, BAR / 2.0, xerr=row.first_error, error_kw=error, **PART)
        ax.barh(middle + BAR / 4.0, row.total, BAR / 2.0, xerr=row.total_error, error_kw=error, **WHOLE)
    ax.set_xlim(min(0.0, *(row.first - row.first_error for row in rows)), 1.0)
    heading(ax, said, above=0.12, size=TEXT, bold=False, colour=QUIET)
    marks = [(Patch(**PART), "alone"), (Patch(**WHOLE), say("charts.shares.in_all"))]
    title, above = [say("charts.shares.title")], 0.22 + lines_height(len(said))
    return named(ax, say("charts.shares.axis"), title, above, marks)


def describe_indices(found: Indices, *, shown: int = SHOWN) -> str:
    """Say in one sentence what `indices` shows."""
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


def answer_map(found: TwoWayMap, scenario: Scenario, ax: Where = None) -> Axes:
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
    head = headline(_map_heading(found, scenario))
    up_name = wrapped(say("charts.shares.map.up", figure=_with_unit(found.up, scenario)))
    across_name = wrapped(say("charts.shares.map.across", figure=_with_unit(found.across, scenario)))
    ax = framed(
        ax,
        describe_answer_map(found, scenario),
        height=3.4,
        below=0.75 + lines_height(len(across_name)),
        above=lines_height(len(head), HEADING) + lines_height(len(up_name)) + 0.35,
        left=0.85,
        right=0.35,
        grid="y",
    )
    ax.grid(False)
    scale = money_scale(float(np.abs(found.net_savings).max()), scenario.currency)
    axes = ((found.across, found.across_values), (found.up, found.up_values))
    across, up = (_shown(figure, values, scenario) for figure, values in axes)
    savings = found.net_savings / scale.by
    if savings.min() < 0.0:
        dearer = ax.contourf(
            across, up, savings, levels=[savings.min() - 1.0, 0.0], colors="none", hatches=[HATCH]
        )
        dearer.set_edgecolor(KEEP_FILL["edgecolor"])
    lines = ax.contour(across, up, savings, levels=7, colors=QUIET, linewidths=0.9, linestyles="solid")
    _label_lines(ax, lines)
    if savings.min() < 0.0 < savings.max():
        ax.contour(across, up, savings, levels=[0.0], colors=INK, linewidths=3.2)
    at = [_shown(figure, np.array([figure.likely]), scenario) for figure, _ in axes]
    mark: dict[str, Any] = {"marker": "D", "markersize": 9, "color": INK, "linestyle": "none"}
    ax.plot(*at, markeredgecolor=GROUND, zorder=5, **mark)
    for number, line in enumerate(reversed(up_name)):
        write(ax, 0.0, 1.0, line, shift=(-0.7 * POINTS, (0.12 + lines_height(number)) * POINTS))
    for number, line in enumerate(across_name):
        write(ax, 0.0, 0.0, line, shift=(-0.7 * POINTS, -(0.44 + lines_height(number)) * POINTS))
    heading(ax, head, above=0.2 + lines_height(len(up_name)))
    entries = [
        (Patch(**{**KEEP_FILL, "facecolor": "none"}), "dearer"),
        (ax.plot([], [], color=INK, linewidth=3.2)[0], say("charts.shares.map.same")),
        (ax.plot([], [], **mark)[0], say("charts.shares.map.likely")),
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


def _with_unit(figure: Figure, scenario: Scenario) -> str:
    """Return the name of an input with its unit, as it stands behind more than one."""
    _, unit = amount_of(figure, 2.0, scenario)
    shown = say("labels.percent", number="").strip() + unit if in_percent(figure) else unit.strip()
    return f"{input_name(figure)}{f' [{shown}]' if shown else ''}"


def _map_heading(found: TwoWayMap, scenario: Scenario) -> str:
    """Return the heading of the map."""
    titles = {way.name: way.title for way in scenario.alternatives}
    unit = money_scale(float(np.abs(found.net_savings).max()), scenario.currency).name
    pair = say("charts.compared", way=titles[found.subject], base=titles[found.than])
    return say("charts.shares.map.title", ways=pair, unit=unit)


def describe_answer_map(found: TwoWayMap, scenario: Scenario) -> str:
    """Say in one sentence what `answer_map` shows."""
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
        across=_with_unit(found.across, scenario),
        up=_with_unit(found.up, scenario),
        corners="; ".join(corners),
    )


THICK = 0.2
"""Thickness of the bar of a place. [inch]"""


def by_place(found: ByPlace, ax: Where = None) -> Axes:
    """Draw the net savings of the way in question in every place.

    Parameters
    ----------
    found : ByPlace
        Any; where nothing is compared, a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    savings = _savings(found)
    if not savings:
        return said_instead(NOTHING_COMPARED, ax)
    titles, amounts = [[name] for name, _ in savings], [amount for _, amount in savings]
    first = [place == 0 for place in range(len(savings))]
    beside, said = list(map(cheaper_or_dearer, amounts)), describe_by_place(found)
    ax, middles = titled_bars(ax, said, titles, bold=first, beside=beside, below=0.75, above=0.85)
    scale = money_scale(max(map(abs, amounts)), found.scenario.currency)
    for middle, amount in zip(middles, amounts, strict=True):
        ax.barh(middle, amount / scale.by, height=THICK, **(SPRAY_FILL if amount > 0.0 else KEEP_FILL))
    ax.axvline(0.0, color=INK, linewidth=2.0)
    title = [say("charts.by_place.title"), _of_what(found)]
    return named(ax, say("charts.cheaper_by", money=scale.name), title, 0.15)


def _savings(found: ByPlace) -> list[tuple[str, float]]:
    """Return the places with the net savings there: that of the scenario, then the largest first. [money]"""
    known = [
        (place.name, savings) for place in found.places if (savings := found.net_savings(place)) is not None
    ]
    here = found.net_savings(found.here)
    return (
        [] if here is None else [(say("charts.by_place.here"), here), *sorted(known, key=lambda one: -one[1])]
    )


def _of_what(found: ByPlace) -> str:
    """Return which way is compared, and for how long."""
    title = found.scenario.alternative(found.subject or "").title
    return say("charts.by_place.of_what", way=title, years=years_text(found.years))


def describe_by_place(found: ByPlace) -> str:
    """Say in one sentence what `by_place` shows."""
    said = "; ".join(f"{name}, {cheaper_or_dearer(amount)}" for name, amount in _savings(found))
    return say("charts.by_place.said", way=inner(_of_what(found)), places=said)
