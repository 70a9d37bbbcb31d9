"""What stands around a chart: heading, axes, key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from lifecycle.faces.charts.canvas import HEADING, MARGIN, POINTS, TEXT, TYPEFACE, lines_height, placed, write
from lifecycle.faces.palette import FAINT, GROUND, INK, QUIET


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
    for number, line in enumerate(reversed(lines)):
        up = (above + lines_height(number, size)) * POINTS
        write(axes, 0.0, 1.0, line, size=size, bold=bold, shift=(-left * POINTS, up))


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
