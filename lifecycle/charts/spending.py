"""What is spent year by year: one small panel for each way, all with one scale.

Lecture
-------
A bar is what a way costs in that year on average, in prices of today, not discounted, by category of
cost as in `costs`; receipts lie below zero. A change today falls into year 1. It is an average over
many coaches like this one: no coach pays just this, for a new roof comes in one year or another.

A planned change dwarfs every other year. So the scale ends at `ROOM` times an ordinary year (nine in
ten are no dearer); a bar that goes beyond is cut open at its top, and its amount stands beside it.

Left out: the sale, which comes once, whenever it comes; doubt and luck.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes

from lifecycle.charts.canvas import MARGIN, POINTS, TEXT, WIDTH, Picture, lines_height, placed, wrapped, write
from lifecycle.charts.frame import axis_name, heading, key, plain_axes, round_years
from lifecycle.charts.palette import GROUND, INK
from lifecycle.charts.ways import (
    NOTHING_COMPARED,
    Scale,
    fill_patch,
    filled_bars,
    money_scale,
    said_instead,
    stands_out,
    way_title,
    ways_of,
)
from lifecycle.evaluation.comparison import Comparison, yearly_by_category
from lifecycle.kinds import CATEGORIES
from lifecycle.language.labels import years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import Array, money_text

Spending = Mapping[str, Array]
"""Spending of one way by category, each of shape (years,). [money/year]"""

PANEL, BETWEEN, LEFT = 0.95, 0.34, 0.55
"""Height of a panel; what is left between a title and the panel above; room for ticks. [inch]"""

ORDINARY, ROOM = 0.9, 1.8
"""Share of the years that an ordinary year is no dearer than; height of the scale in such years. [-]"""

ABOVE, BELOW = 0.75, 0.62
"""Room above the first title, and below the last panel for ticks and unit. [inch]"""


def yearly_spending(comparison: Comparison, ax: Axes | None = None, *, way: str | None = None) -> Axes:
    """Draw what is spent in each year on average, by category: a panel for each way.

    Parameters
    ----------
    comparison : Comparison
        Any; where nothing is compared, a sentence says so.
    ax : Axes or None
        Where to draw one way alone; None: all ways, on a picture of their own.
    way : str or None
        Name of the way to draw on `ax`; None: what the owner would do otherwise.

    Returns
    -------
    Axes
        The last one drawn on.

    Raises
    ------
    ValueError
        If there is no such way.
    """
    ways = ways_of(comparison)
    if not ways:
        return said_instead(NOTHING_COMPARED, ax)
    spent = yearly_by_category(comparison.case)
    scale, limits = _scale(comparison, spent)
    if ax is not None:
        name = way or comparison.base_case
        if name not in spent:
            raise ValueError(f"no way is called {name!r}; there are {', '.join(spent)}")
        return _panel(ax, spent[name], scale.by, limits)

    titles = [wrapped(way_title(comparison, way), WIDTH - 2 * MARGIN, bold=True) for way in ways]
    shown = [
        name for name in CATEGORIES if any(_seen(part, name, limits[1] * scale.by) for part in spent.values())
    ]
    slots = [lines_height(len(lines)) + PANEL + BETWEEN for lines in titles]
    below = BELOW + lines_height(-(-len(shown) // 3)) + MARGIN
    picture = Picture(ABOVE + sum(slots) - BETWEEN + below, _described(comparison, spent))
    top = picture.get_size_inches()[1] - ABOVE
    for way_shown, lines, slot in zip(ways, titles, slots, strict=True):
        bottom = top - lines_height(len(lines)) - PANEL
        panel = picture.axes_at(LEFT, bottom, WIDTH - LEFT - MARGIN, PANEL)
        _panel(panel, spent[way_shown.name], scale.by, limits)
        heading(panel, lines, above=0.12, size=TEXT, bold=stands_out(comparison, way_shown))
        panel.tick_params(labelbottom=way_shown is ways[-1])
        top -= slot
    first = picture.axes[0]
    up = lines_height(len(titles[0])) + 0.2
    write(first, 0.0, 1.0, scale.name, shift=((MARGIN - LEFT) * POINTS, up * POINTS))
    heading(first, [say("charts.spending.title")], above=up + 0.22)
    axis_name(panel, "year")
    key(panel, [(fill_patch(name), CATEGORIES[name].label) for name in shown], below=BELOW)
    return panel


def _scale(comparison: Comparison, spent: Mapping[str, Spending]) -> tuple[Scale, tuple[float, float]]:
    """Return the unit of the money axis, and its two ends in that unit."""
    costs = np.concatenate([_above(spending) for spending in spent.values()])
    most = min(1.05 * float(costs.max()), ROOM * float(np.quantile(costs, ORDINARY)) or np.inf)
    least = min(float(_below(spending).min()) for spending in spent.values())
    scale = money_scale(most, comparison.scenario.currency)
    scale = replace(scale, name=scale.name.replace(say("charts.todays_money"), say("charts.todays_prices")))
    return scale, (1.08 * least / scale.by, (most or 1.0) / scale.by)


def _panel(ax: Axes, spending: Spending, by: float, limits: tuple[float, float]) -> Axes:
    """Draw the bars of one way."""
    years = next(iter(spending.values())).size
    at = np.arange(1, years + 1)
    plain_axes(ax, grid="y")
    high, low = np.zeros(years), np.zeros(years)
    for name, amounts in spending.items():
        for ends, part in ((high, np.maximum(amounts, 0.0) / by), (low, np.minimum(amounts, 0.0) / by)):
            if part.any():
                filled_bars(ax, name, np.stack([at - 0.4, ends, at + 0.4, ends + part], axis=1))
                ends += part
    ax.axhline(0.0, color=INK, linewidth=0.8)
    ax.set_ylim(*limits)
    ax.set_xlim(0.3, years + 0.7)
    round_years(ax)
    ax.locator_params(axis="y", nbins=3)
    _cut_open(ax, high, limits[1])
    return ax


def _cut_open(ax: Axes, high: Array, top: float) -> None:
    """Cut the bars that go beyond the scale open, and write their amounts beside them."""
    step = lines_height(1) / placed(ax)[3]
    row = 0
    for year in range(1, high.size + 1):
        if high[year - 1] <= top:
            row = 0
            continue
        ax.plot([year - 0.45, year + 0.45], [0.8 * top, 0.9 * top], color=GROUND, linewidth=4.0, zorder=3)
        last = year > 0.9 * high.size
        where = ax.transLimits.transform((year - 0.6 if last else year + 0.6, 0.0))[0]
        up, across = 0.98 - step * row, "right" if last else "left"
        write(ax, where, up, f"{high[year - 1]:,.1f}", up="top", across=across, clear=True)
        row += 1


def _above(spending: Spending) -> Array:
    """Sum of the costs of each year, receipts left out. [money/year]"""
    return np.asarray(sum(np.maximum(amounts, 0.0) for amounts in spending.values()))


def _below(spending: Spending) -> Array:
    """Sum of the receipts of each year, as negative amounts. [money/year]"""
    return np.asarray(sum(np.minimum(amounts, 0.0) for amounts in spending.values()))


def _seen(spending: Spending, name: str, most: float) -> bool:
    """Whether a category can be seen in some year: half a hundredth of the largest year, or more."""
    return name in spending and float(np.abs(spending[name]).max()) > 0.005 * most


def describe_yearly_spending(comparison: Comparison) -> str:
    """Say in one sentence what `yearly_spending` shows.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.

    Returns
    -------
    str
    """
    if not comparison.ways:
        return NOTHING_COMPARED
    return _described(comparison, yearly_by_category(comparison.case))


def _described(comparison: Comparison, spent: Mapping[str, Spending]) -> str:
    """Say what is spent in the dearest year, and in all years together, for each way."""
    parts = []
    for way in ways_of(comparison):
        total = np.asarray(sum(spent[way.name].values()))
        dearest = int(np.argmax(total)) + 1
        parts.append(
            say(
                "charts.spending.way",
                way=way_title(comparison, way),
                total=money_text(float(total.sum())),
                most=money_text(float(total.max())),
                year=dearest,
            )
        )
    return say(
        "charts.spending.said",
        years=years_text(comparison.study_period),
        currency=comparison.scenario.currency,
        ways="; ".join(parts),
    )
