"""From which year of sale does the change pay? Two lines, their bands, and the year with a band of its own.

Lecture
-------
The lines are what the way in question and the owner's own way cost, by year of sale: on average over the
futures, with shades that hold 16 of 20 of them, or at likely values where no futures are given. The ring is
the *break-even year* of the lines; the bar below it holds that year in 16 of 20 futures, and an arrow says
that it runs beyond the years shown. A wide bar beside a clear ring is the usual case: the year is known much
worse than the answer.

Other charts of owning draw every way (`owning`) or no year (`futures`); neither has room for the year's band.

Left out: the other ways, and luck.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from lifecycle.charts.canvas import MARGIN, POINTS, WIDTH, Picture, wrapped, write
from lifecycle.charts.ends import Label, label_ends
from lifecycle.charts.frame import axis_name, heading, plain_axes, ring, whole_years
from lifecycle.charts.futures import fill_band
from lifecycle.charts.owning import break_even_text
from lifecycle.charts.palette import HATCH, LOOKS, QUIET, RANGE, SPRAY
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead, way_title
from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.labels import inner, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import money_text
from lifecycle.studies.doubt import Doubt, averaged, band

LABELS, LEFT, ABOVE, BELOW, HEIGHT = 2.15, 0.55, 1.3, 0.8, 3.4
"""Room for labels, left, above and below the axes, and their height. [inch]"""

BAR = 0.06
"""Height of the bar of the break-even year above the axis. [share of the axes]"""


def break_even(comparison: Comparison, found: Doubt | None = None, ax: Axes | None = None) -> Axes:
    """Draw what the way in question and the base case cost by year of sale, and from when it pays.

    Parameters
    ----------
    comparison : Comparison
        At likely values; without a way in question a sentence says so.
    found : Doubt or None
        Of the same scenario: draws the bands; None: lines only.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    if comparison.subject is None or not comparison.ways:
        return said_instead(NOTHING_COMPARED, ax)
    names = comparison.base_case, comparison.subject
    if found is not None:
        comparison = averaged(comparison, found)
    if ax is None:
        picture = Picture(BELOW + HEIGHT + ABOVE, describe_break_even(comparison, found))
        ax = picture.axes_at(LEFT, BELOW, WIDTH - LEFT - LABELS, HEIGHT)
    ways = [comparison.ways[name] for name in names]
    scale = money_scale(max(float(max(way.net_present_cost)) for way in ways), comparison.scenario.currency)
    years = np.arange(1, comparison.study_period + 1)
    plain_axes(ax, grid="y")
    whole_years(ax, comparison.study_period)
    ends = []
    for way, look, hatch in zip(ways, LOOKS, (HATCH, ""), strict=False):
        cost = way.net_present_cost[1:] / scale.by
        if found is not None:
            futures = found.band(found.costs[way.name][:, 1:] / scale.by)
            fill_band(ax, years, futures.p10, futures.p90, look.colour, hatch)
        ax.plot(years, cost, color=look.colour, linestyle=look.line, linewidth=2.6, clip_on=False)
        said = break_even_text(comparison, way)
        lines = wrapped(f"○ {said}", LABELS - 0.42) if said else ()
        title = wrapped(way_title(comparison, way), LABELS - 0.42, bold=True)
        ends.append((float(cost[-1]), Label(title, lines, bold=True), look))
    ax.set_ylim(bottom=min(0.0, ax.get_ylim()[0]))
    ax.axvline(comparison.holding_period, color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)), zorder=1)
    measures = ways[1].measures
    year = measures.break_even_year.value if measures else None
    if year is not None:
        ax.add_line(ring(SPRAY.colour, year, float(ways[1].net_present_cost[int(year)]) / scale.by))
    if found is not None:
        _year_bar(ax, year_band(comparison, found), comparison.study_period)
    label_ends(ax, ends, room=HEIGHT + 0.5)
    axis_name(ax, say("charts.sold_after"))
    shift = (MARGIN - LEFT) * POINTS
    kept = say("charts.break_even.kept", years=years_text(comparison.holding_period))
    how = "on_average" if comparison.futures > 1 else "at_likely"
    shades = say("charts.break_even.shades") if found is not None else ""
    write(ax, 0.0, 1.0, say(f"charts.{how}", money=scale.name), shift=(shift, 0.42 * POINTS))
    write(ax, 0.0, 1.0, f"{kept}{shades}", shift=(shift, 0.12 * POINTS), colour=QUIET)
    heading(ax, [say("charts.break_even.title")], above=0.75)
    return ax


def year_band(comparison: Comparison, found: Doubt) -> tuple[float, float]:
    """Return the ends of 16 of 20 break-even years; infinite: beyond the years shown. [years]"""
    years: NDArray[np.float64] = found.break_even_years(str(comparison.subject))
    beyond = np.where(np.isinf(years), comparison.study_period + 1.0, years)
    ends = band(beyond, found.futures.weights)
    low, high = (float(np.round(end)) for end in (ends.p10, ends.p90))
    return tuple(np.inf if end > comparison.study_period else end for end in (low, high))  # type: ignore[return-value]


def _year_bar(ax: Axes, ends: tuple[float, float], last: int) -> None:
    """Draw the bar of the break-even year; an arrow where it runs on beyond the years shown."""
    across, up = ax.get_xaxis_transform(), BAR
    low, high = (min(end, float(last)) for end in ends)
    ax.plot([low, high], [up, up], transform=across, **RANGE)
    if np.isinf(ends[1]):
        ax.plot(
            [high], [up], marker=">", markersize=10, color=RANGE["color"], transform=across, clip_on=False
        )


def describe_break_even(comparison: Comparison, found: Doubt | None = None) -> str:
    """Say in one sentence what `break_even` shows.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.
    found : Doubt or None
        As drawn.

    Returns
    -------
    str
    """
    if comparison.subject is None or not comparison.ways:
        return NOTHING_COMPARED
    names = comparison.base_case, comparison.subject
    if found is not None:
        comparison = averaged(comparison, found)
    base, way = (comparison.ways[name] for name in names)
    year = comparison.study_period
    costs = [money_text(float(one.net_present_cost[-1])) for one in (base, way)]
    said = say(
        "charts.break_even.said",
        way=inner(way.title),
        base=inner(base.title),
        currency=comparison.scenario.currency,
        years=years_text(year),
        cost=costs[1],
        base_cost=costs[0],
        no_dearer=break_even_text(comparison, way),
    )
    if found is None:
        return f"{said}."
    low, high = (
        say("charts.break_even.year", year=f"{end:.0f}")
        if np.isfinite(end)
        else say("charts.break_even.later", years=years_text(year))
        for end in year_band(comparison, found)
    )
    ends = low if low == high else say("charts.break_even.ends", low=low, high=high)
    return say("charts.break_even.in_futures", said=said, ends=ends)
