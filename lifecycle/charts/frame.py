"""What stands around a chart: heading, axes, key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator
from matplotlib.transforms import blended_transform_factory

from lifecycle.charts.canvas import (
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    TYPEFACE,
    WIDTH,
    Picture,
    lines_height,
    placed,
    wrapped,
    write,
)
from lifecycle.charts.palette import FAINT, GROUND, INK, QUIET


def plain_axes(axes: Axes, *, grid: Literal["x", "y"]) -> None:
    """Give axes quiet lines, readable ticks, and a grid across ("x") or up ("y")."""
    axes.set_facecolor(GROUND)
    axes.set_axisbelow(True)
    axes.grid(True, axis=grid, color=FAINT, linewidth=0.8)
    for name, spine in axes.spines.items():
        spine.set_visible(name in ("left", "bottom"))
        spine.set_color(QUIET)
    axes.tick_params(labelsize=TEXT, labelfontfamily=TYPEFACE, colors=INK, length=3.0)


def whole_years(axes: Axes, years: int) -> None:
    """Set the axis across to years of sale from 0 to the study period, at round years."""
    axes.set_xlim(0.0, years)
    round_years(axes)


def round_years(axes: Axes) -> None:
    """Set the ticks of the axis across to round years."""
    axes.xaxis.set_major_locator(MaxNLocator(nbins=5, integer=True, steps=[1, 2, 5, 10]))


BAR, SLOT = 0.28, 0.22
"""Height of a bar that lies below its title, and what is left below it. [inch]"""

Titles = Sequence[Sequence[str]]
"""Lines of the title of each bar."""


def titled_height(titles: Titles) -> float:
    """Return the height of axes with a bar for each title. [inch]"""
    return sum(lines_height(len(lines)) + BAR + SLOT for lines in titles)


def titled_bars(
    axes: Axes, titles: Titles, *, bold: Sequence[bool] = (), beside: Sequence[str] = ()
) -> list[float]:
    """Write the titles of lying bars, each above its bar; the axis up is then in inches from the top.

    Parameters
    ----------
    axes : Axes
        Of the height `titled_height`.
    titles : sequence of sequence of str
        Lines of each title.
    bold : sequence of bool
        Whether each is in bold; empty: none.
    beside : sequence of str
        What stands at the right end of the first line of each; empty: nothing.

    Returns
    -------
    list of float
        Middle of each bar. [inch]
    """
    across = blended_transform_factory(axes.transAxes, axes.transData)
    top, middles = 0.0, []
    for place, lines in enumerate(titles):
        strong = bool(bold) and bold[place]
        for number, line in enumerate(lines):
            write(axes, 0.0, top + lines_height(number + 0.85), line, bold=strong, by=across, clear=True)
        if beside:
            up = top + lines_height(0.85)
            write(axes, 1.0, up, beside[place], bold=strong, across="right", by=across, clear=True)
        middles.append(top + lines_height(len(lines)) + 0.04 + BAR / 2.0)
        top += lines_height(len(lines)) + BAR + SLOT
    axes.set_ylim(top, 0.0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    return middles


def heading(
    axes: Axes, lines: Sequence[str], *, above: float, size: float = HEADING, bold: bool = True
) -> None:
    """Write a heading above axes, flush with the left edge of the picture.

    Parameters
    ----------
    axes : Axes
        Where.
    lines : sequence of str
        Lines of the heading.
    above : float
        Distance of the last line from the top of the axes. [inch]
    size : float
        Size. [point]
    bold : bool
        Whether in bold.
    """
    left = placed(axes)[0] - MARGIN
    for number, line in enumerate(lines):
        up = (above + lines_height(len(lines) - 1 - number, size)) * POINTS
        write(axes, 0.0, 1.0, line, size=size, bold=bold, shift=(-left * POINTS, up))


def plan_axes(title: str, notes: Sequence[str], height: float, sentence: str) -> Axes:
    """Make a picture with a heading above a plan and notes below it, and return the axes between them.

    Parameters
    ----------
    title, notes : str, sequence of str
        Heading, and what stands below; broken into lines here.
    height : float
        Of the plan. [inch]
    sentence : str
        Text alternative of the picture.
    """
    room = WIDTH - 2.0 * MARGIN
    above = wrapped(title, room, HEADING, bold=True)
    below = [line for note in notes for line in wrapped(note, room, TEXT)]
    foot = lines_height(len(below)) + 2.0 * MARGIN
    whole = foot + height + lines_height(len(above), HEADING) + 2.0 * MARGIN
    picture = Picture(whole, sentence)
    axes = picture.axes_at(0.0, 0.0, WIDTH, whole)
    axes.set_axis_off()
    for number, line in enumerate(above):
        up = whole - MARGIN - lines_height(number + 0.8, HEADING)
        write(axes, MARGIN / WIDTH, up / whole, line, size=HEADING, bold=True)
    for number, line in enumerate(below):
        up = foot - MARGIN - lines_height(number + 0.8)
        write(axes, MARGIN / WIDTH, up / whole, line)
    return picture.axes_at(MARGIN, foot, room, height)


def ring(colour: str, *place: float) -> Line2D:
    """Return a ring, at a place if one is given."""
    return Line2D(
        place[:1],
        place[1:],
        linestyle="none",
        marker="o",
        markersize=12,
        markerfacecolor="none",
        markeredgewidth=2.0,
        markeredgecolor=colour,
        zorder=5,
        clip_on=False,
    )


def axis_name(axes: Axes, name: str) -> None:
    """Name the axis across, below its ticks at the left."""
    axes.set_xlabel(name, fontsize=TEXT, fontfamily=TYPEFACE, color=INK, loc="left", labelpad=3.0)


def key(axes: Axes, entries: Sequence[tuple[Any, str]], *, below: float) -> None:
    """Draw the key of a chart in up to three columns below the axes.

    Parameters
    ----------
    axes : Axes
        Where.
    entries : sequence of (artist, str)
        Swatches and their names.
    below : float
        Distance of its top from the bottom of the axes. [inch]
    """
    left, _, width, height = placed(axes)
    drawn = axes.legend(
        [artist for artist, _ in entries],
        [name for _, name in entries],
        loc="upper left",
        bbox_to_anchor=((MARGIN - left) / width, -below / height),
        ncols=min(3, len(entries)),
        prop={"family": TYPEFACE, "size": TEXT},
        labelcolor=INK,
        frameon=False,
        borderpad=0.0,
        borderaxespad=0.0,
        labelspacing=0.25,
        handlelength=1.6,
        handletextpad=0.5,
        columnspacing=1.2,
    )
    drawn.set_in_layout(False)
