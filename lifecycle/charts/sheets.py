"""Several charts on one sheet, headed by the first line of an answer.

Lecture
-------
Each chart keeps the room that it takes on a picture of its own, so that nothing overlaps that did not
overlap there; the sheet is as wide as one chart and as high as all of them. The sentence of the sheet
is the heading with the sentences of its charts. The *first look* at a comparison is such a sheet: its heading
is the first line of the verdict, as it stands on every other face; with trouble reported nothing is compared,
and the picture says only that.

Left out: charts side by side; a phone would not show them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from lifecycle.charts import costs, owning
from lifecycle.charts.canvas import HEADING, MARGIN, WIDTH, Picture, lines_height, placed, wrapped, write
from lifecycle.charts.frame import heading
from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.verdict import Verdict, verdict_under

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


BETWEEN_ = 0.15
"""Room between heading and charts, and between charts. [inch]"""


def first_look(comparison: Comparison, answer: Verdict | None = None) -> Figure:
    """Draw the answer: verdict, cost by category, cost of owning.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.
    answer : Verdict or None
        Verdict on it; None: at likely values.

    Returns
    -------
    Figure
        With a text alternative.
    """
    said = (answer or verdict_under(comparison, None)).lines
    shown = said[:1] if comparison.ways else said
    lines = [line for part in shown for line in wrapped(part, WIDTH - 2 * MARGIN, HEADING, bold=True)]
    title = lines_height(len(lines), HEADING) + 2 * MARGIN
    if not comparison.ways:
        picture = Picture(title, describe_first_look(comparison, answer))
        _headed(picture, lines)
        return picture
    bars, curves = costs.costs_height(comparison), owning.owning_height(comparison)
    below_bars = costs.BELOW + costs.key_height(comparison)
    lower = owning.BELOW + curves + owning.ABOVE
    height = title + BETWEEN_ + costs.ABOVE + bars + below_bars + BETWEEN_ + lower
    picture = Picture(height, describe_first_look(comparison, answer))
    _headed(picture, lines)
    upper_axes = picture.axes_at(MARGIN, lower + BETWEEN_ + below_bars, WIDTH - 2 * MARGIN, bars)
    costs.cost_by_category(comparison, upper_axes)
    lower_axes = picture.axes_at(owning.LEFT, owning.BELOW, WIDTH - owning.LEFT - owning.LABELS, curves)
    owning.cost_of_owning(comparison, lower_axes)
    return picture


def _headed(picture: Picture, lines: list[str]) -> None:
    """Write the heading at the top of a picture."""
    height = picture.get_size_inches()[1]
    whole = picture.axes_at(0.0, 0.0, WIDTH, height)
    whole.set_axis_off()
    for number, line in enumerate(lines):
        up = height - MARGIN - lines_height(number + 0.8, HEADING)
        write(whole, MARGIN / WIDTH, up / height, line, size=HEADING, bold=True)


def describe_first_look(comparison: Comparison, answer: Verdict | None = None) -> str:
    """Say what `first_look` shows: the verdict's first line, and the two charts.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.
    answer : Verdict or None
        Verdict on it; None: at likely values.

    Returns
    -------
    str
    """
    said = (answer or verdict_under(comparison, None)).lines
    if not comparison.ways:
        return " ".join(said)
    charts = costs.describe_cost_by_category(comparison), owning.describe_cost_of_owning(comparison)
    return " ".join([said[0], *charts])
