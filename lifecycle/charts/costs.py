"""What each way costs by category: one stacked bar for each way, at the years kept.

Lecture
-------
Costs are stacked to the right of zero, receipts (what a warranty or an insurer pays, what a buyer
pays for unused life) to the left of it, and a tick marks the sum of both, which is what the way
costs and what stands in figures beside its title. So no receipt hides a cost.

Costs are means over the futures where the comparison is averaged (`doubt.averaged`), else every input stands
at its likely value; the chart says which. Left out: how sure they are, and luck.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from lifecycle.charts.canvas import FULL, MARGIN, POINTS, lines_height, wrapped, write
from lifecycle.charts.frame import (
    BAR,
    NOTHING_COMPARED,
    Scale,
    Where,
    fill_patch,
    filled_bars,
    money_scale,
    named,
    said_instead,
    stands_out,
    titled_bars,
    way_title,
    ways_of,
)
from lifecycle.charts.palette import GROUND, INK
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.kinds import CATEGORIES
from lifecycle.language.labels import years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import money_text

BELOW, ABOVE = 0.62, 0.78
"""Room below the axes for ticks and unit, and above them for the heading. [inch]"""


def cost_by_category(comparison: Comparison, ax: Where = None) -> Axes:
    """Draw what each way costs at the years kept, stacked by category.

    Parameters
    ----------
    comparison : Comparison
        Any; where nothing is compared, a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own. It needs the height `costs_height` and, around it,
        `ABOVE` and `BELOW` with the key.

    Returns
    -------
    Axes
    """
    ways = ways_of(comparison)
    if not ways:
        return said_instead(NOTHING_COMPARED, ax)
    scale = money_scale(max(_costs(way) for way in ways), comparison.scenario.currency)
    ax, middles = titled_bars(
        ax,
        describe_cost_by_category(comparison),
        _titles(comparison),
        bold=[stands_out(comparison, way) for way in ways],
        beside=[f"{way.at_holding / scale.by:,.1f}" for way in ways],
        below=BELOW + key_height(comparison),
        above=ABOVE,
    )
    for way, middle in zip(ways, middles, strict=True):
        _bar(ax, way, middle, scale)
    most = max(_costs(way) for way in ways) / scale.by
    least = min(way.at_holding - _costs(way) for way in ways) / scale.by
    pad = 0.02 * ((most - least) or 1.0)
    ax.set_xlim(least - pad, most + pad)
    ax.axvline(0.0, color=INK, linewidth=1.2)
    how = "on_average" if comparison.futures > 1 else "at_likely"
    write(ax, 0.0, 1.0, say(f"charts.costs.{how}"), shift=(0.0, 0.14 * POINTS))
    title = [say("charts.costs.title", years=years_text(comparison.holding_period))]
    return named(ax, scale.name, title, 0.4, _entries(ways), BELOW)


def key_height(comparison: Comparison) -> float:
    """Return the height of the key of `cost_by_category`. [inch]"""
    return lines_height(-(-len(_entries(ways_of(comparison))) // 3)) + MARGIN


def _titles(comparison: Comparison) -> list[list[str]]:
    """Return the lines of the title of each way; room is left for its sum."""
    return [
        wrapped(way_title(comparison, way), FULL - 0.7, bold=stands_out(comparison, way))
        for way in ways_of(comparison)
    ]


def _shown(ways: Iterable[Way]) -> list[str]:
    """Return the categories that can be seen in some bar: half a hundredth of the longest, or more."""
    ways = list(ways)
    least = 0.005 * max(_costs(way) for way in ways)
    return [name for name in CATEGORIES if any(abs(way.by_category[name]) > least for way in ways)]


def _entries(ways: Iterable[Way]) -> list[tuple[Patch | Line2D, str]]:
    """Return the entries of the key: swatch and plain name."""
    total = Line2D([], [], color=INK, linewidth=2.4, marker="|", markersize=13, linestyle="none")
    total.set_markeredgewidth(2.4)
    swatches = [(fill_patch(name), CATEGORIES[name].label) for name in _shown(ways)]
    return [*swatches, (total, say("charts.costs.sum"))]


def _costs(way: Way) -> float:
    """Return the sum of what a way costs, receipts left out. [money]"""
    return sum(max(0.0, amount) for amount in way.by_category.values())


def _bar(ax: Axes, way: Way, middle: float, scale: Scale) -> None:
    """Draw one bar: costs to the right of zero, receipts to the left, a tick at their sum."""
    ends = {True: 0.0, False: 0.0}
    for name in CATEGORIES:
        amount = way.by_category[name] / scale.by
        if amount:
            side = amount > 0.0
            bar = [[ends[side], middle - BAR / 2.0, ends[side] + amount, middle + BAR / 2.0]]
            filled_bars(ax, name, np.array(bar))
            ends[side] += amount
    total = [way.at_holding / scale.by] * 2
    up = [middle - 0.55 * BAR, middle + 0.85 * BAR]
    ax.plot(total, up, color=GROUND, linewidth=5.0, zorder=3, solid_capstyle="butt")
    ax.plot(total, up, color=INK, linewidth=2.4, zorder=4, solid_capstyle="butt")


def describe_cost_by_category(comparison: Comparison) -> str:
    """Say in one sentence what `cost_by_category` shows."""
    currency = comparison.scenario.currency
    parts = [
        say(
            "charts.costs.way",
            way=way_title(comparison, way),
            money=money_text(way.at_holding),
            largest=_largest(way),
        )
        for way in sorted(ways_of(comparison), key=lambda way: way.at_holding)
    ]
    return say(
        "charts.costs.said",
        currency=currency,
        years=years_text(comparison.holding_period),
        ways="; ".join(parts),
    )


def _largest(way: Way) -> str:
    """Return the plain name of the largest category of a way, with its amount."""
    name = max(CATEGORIES, key=lambda category: way.by_category[category])
    return f"{CATEGORIES[name].label} ({money_text(way.by_category[name])})"
