"""The first picture: the answer in plain words, what each way costs by category, and by year of sale.

Lecture
-------
Its heading is the first line of the verdict, as it stands on every other face. With trouble reported
nothing is compared, and the picture says only that.
"""

from __future__ import annotations

from matplotlib.figure import Figure

from lifecycle.charts import costs, owning
from lifecycle.charts.canvas import HEADING, MARGIN, WIDTH, Picture, lines_height, wrapped, write
from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.verdict import Verdict, verdict_under

BETWEEN = 0.15
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
        _title(picture, lines)
        return picture
    bars, curves = costs.costs_height(comparison), owning.owning_height(comparison)
    below_bars = costs.BELOW + costs.key_height(comparison)
    lower = owning.BELOW + curves + owning.ABOVE
    height = title + BETWEEN + costs.ABOVE + bars + below_bars + BETWEEN + lower
    picture = Picture(height, describe_first_look(comparison, answer))
    _title(picture, lines)
    upper_axes = picture.axes_at(MARGIN, lower + BETWEEN + below_bars, WIDTH - 2 * MARGIN, bars)
    costs.cost_by_category(comparison, upper_axes)
    lower_axes = picture.axes_at(owning.LEFT, owning.BELOW, WIDTH - owning.LEFT - owning.LABELS, curves)
    owning.cost_of_owning(comparison, lower_axes)
    return picture


def _title(picture: Picture, lines: list[str]) -> None:
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
