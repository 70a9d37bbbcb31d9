"""How sure is this, on one sheet: the answer, the table of 20s, the spread, and what each way costs.

Lecture
-------
The sheet is headed by the first line of the verdict, as it stands on every other face. Below it stand
three charts of doubt, each as wide as a phone, in the order in which people ask: in how many of 20
futures, how much cheaper or dearer, and what each way costs by the year of sale. Each chart keeps the
room that it takes on a picture of its own. Where no input is a range there are no futures to count: a
sentence says so.

Left out: luck, which is another kind of chance and never in the same picture (`twenties`, `stories`).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from lifecycle.faces.charts.canvas import HEADING, MARGIN, WIDTH, Picture, lines_height, placed, wrapped
from lifecycle.faces.charts.frame import heading
from lifecycle.faces.charts.futures import (
    describe_owning_under_doubt,
    describe_savings_spread,
    owning_under_doubt,
    savings_spread,
)
from lifecycle.faces.charts.twenties import describe_table_of_20s, table_of_20s
from lifecycle.faces.words import Verdict
from lifecycle.studies.assessment import Assessment

BETWEEN = 0.15
"""Room between charts. [inch]"""

Chart = Callable[[Axes | None], Axes]
"""Draws on axes, or on a picture of its own."""


def doubt_sheet(found: Assessment, answer: Verdict) -> Figure:
    """Draw how sure an answer is.

    Parameters
    ----------
    found : Assessment
        The whole of it; without a table of 20s that chart is left out.
    answer : Verdict
        Under this doubt.

    Returns
    -------
    Figure
        With a text alternative.
    """
    lines = wrapped(answer.lines[0], WIDTH - 2 * MARGIN, HEADING, bold=True)
    charts = [chart for chart, _ in _charts(found)]
    places = [_own_place(chart) for chart in charts]
    title = lines_height(len(lines), HEADING) + MARGIN
    height = title + sum(own for own, _ in places) + BETWEEN * (len(places) - 1)
    picture = Picture(height, describe_doubt_sheet(found, answer))
    top = height - title
    for chart, (own, (left, bottom, wide, high)) in zip(charts, places, strict=True):
        chart(picture.axes_at(left, top - own + bottom, wide, high))
        top -= own + BETWEEN
    _, bottom, _, high = placed(picture.axes[0])
    heading(picture.axes[0], lines, above=height - title - bottom - high + lines_height(0.2, HEADING))
    return picture


def _charts(found: Assessment) -> list[tuple[Chart, str]]:
    """Return the charts of the sheet and their sentences; without doubt one sentence says so."""
    owning: tuple[Chart, str] = partial(owning_under_doubt, found), describe_owning_under_doubt(found)
    if not found.any_doubt:
        return [owning]
    charts: list[tuple[Chart, str]] = []
    if found.habits is not None:
        charts.append((partial(table_of_20s, found.habits), describe_table_of_20s(found.habits)))
    charts.append((partial(savings_spread, found), describe_savings_spread(found)))
    return [*charts, owning]


def _own_place(chart: Chart) -> tuple[float, tuple[float, float, float, float]]:
    """Return the height of a chart's own picture, and left, bottom, width, height of its axes. [inch]"""
    ax = chart(None)
    place = placed(ax)
    return place[3] / ax.get_position().height, place


def describe_doubt_sheet(found: Assessment, answer: Verdict) -> str:
    """Say what `doubt_sheet` shows: the verdict's first line, and its charts.

    Parameters
    ----------
    found : Assessment
        The whole of it.
    answer : Verdict
        Under this doubt.

    Returns
    -------
    str
    """
    return " ".join([answer.lines[0], *(said for _, said in _charts(found))])
