"""Charts one below the other on one sheet, headed by the first line of an answer.

Lecture
-------
Each chart keeps the room that it takes on a picture of its own, so that nothing overlaps that did not
overlap there; the sheet is as wide as one chart and as high as all of them. The sentence of the sheet
is the heading with the sentences of its charts.

Left out: charts side by side; a phone would not show them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from lifecycle.charts.canvas import HEADING, MARGIN, WIDTH, Picture, lines_height, placed, wrapped
from lifecycle.charts.frame import heading

BETWEEN = 0.15
"""Room between charts. [inch]"""

Chart = Callable[[Axes | None], Axes]
"""Draws on axes, or on a picture of its own."""

Described = tuple[Chart, str]
"""A chart, and the sentence that says what it shows."""


def stacked(title: str, charts: Sequence[Described]) -> Figure:
    """Draw charts one below the other.

    Parameters
    ----------
    title : str
        Above all of them.
    charts : sequence of (callable, str)
        At least one; each with its sentence.

    Returns
    -------
    Figure
        With a text alternative.
    """
    lines = wrapped(title, WIDTH - 2 * MARGIN, HEADING, bold=True)
    places = [_own_place(chart) for chart, _ in charts]
    headed = lines_height(len(lines), HEADING) + MARGIN
    height = headed + sum(own for own, _ in places) + BETWEEN * (len(places) - 1)
    picture = Picture(height, described(title, charts))
    top = height - headed
    for (chart, _), (own, (left, bottom, wide, high)) in zip(charts, places, strict=True):
        chart(picture.axes_at(left, top - own + bottom, wide, high))
        top -= own + BETWEEN
    _, bottom, _, high = placed(picture.axes[0])
    heading(picture.axes[0], lines, above=height - headed - bottom - high + lines_height(0.2, HEADING))
    return picture


def described(title: str, charts: Sequence[Described]) -> str:
    """Say what a sheet shows.

    Examples
    --------
    >>> described("Spray later.", [])
    'Spray later.'
    """
    return " ".join([title, *(said for _, said in charts)])


def _own_place(chart: Chart) -> tuple[float, tuple[float, float, float, float]]:
    """Return the height of a chart's own picture, and left, bottom, width, height of its axes. [inch]"""
    ax = chart(None)
    place = placed(ax)
    return place[3] / ax.get_position().height, place
