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
from functools import partial

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from lifecycle.charts.canvas import HEADING, MARGIN, WIDTH, Picture, headline, lines_height, write
from lifecycle.charts.costs import cost_by_category
from lifecycle.charts.frame import BETWEEN, Sheet
from lifecycle.charts.owning import cost_of_owning
from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.verdict import Verdict, verdict_under


def stacked(title: str, charts: Sequence[Callable[[Sheet], Axes]], *, under: float = 0.0) -> Figure:
    """Draw charts one below the other.

    Parameters
    ----------
    title : str
        Above all of them.
    charts : sequence of callable
        At least one; each draws on the next place of a sheet.
    under : float
        Room between title and charts, besides a margin. [inch]

    Returns
    -------
    Figure
        With a text alternative.
    """
    sheet = Sheet(title, under)
    for draw in charts:
        draw(sheet)
    return sheet.cut()


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
    if comparison.ways:
        charts = partial(cost_by_category, comparison), partial(cost_of_owning, comparison)
        return stacked(said[0], charts, under=MARGIN + BETWEEN)
    lines = [line for part in said for line in headline(part)]
    height = lines_height(len(lines), HEADING) + 2 * MARGIN
    picture = Picture(height, " ".join(said))
    axes = picture.axes_at(0.0, 0.0, WIDTH, height)
    axes.set_axis_off()
    for number, line in enumerate(lines):
        up = height - MARGIN - lines_height(number + 0.8, HEADING)
        write(axes, MARGIN / WIDTH, up / height, line, size=HEADING, bold=True)
    return picture
