"""What each way costs by category, at the years kept and year by year; and three stories as bills by year.

Lecture
-------
*At the years kept* costs are stacked to the right of zero, receipts (what a warranty or an insurer pays, what
a buyer pays for unused life) to the left of it, and a tick marks the sum of both, which is what the way
costs and what stands in figures beside its title. So no receipt hides a cost. Costs are means over the
futures where the comparison is averaged (`doubt.averaged`), else every input stands at its likely value; the
chart says which.

*Year by year* a bar is what a way costs in that year on average, in prices of today, not discounted; receipts
lie below zero. A change today falls into year 1. It is an average over many coaches like this one: no coach
pays just this, for a new roof comes in one year or another. A planned change dwarfs every other year. So the
scale ends at `ROOM` times an ordinary year (nine in ten are no dearer); a bar that goes beyond is cut open at
its top, and its amount stands beside it.

*Three stories* for each way, one below the other, all with one scale: what a coach that is lucky, one in
the middle and one that is unlucky pay in each year, at today's prices. What happened stands in words
above the bars. It is luck: every input stands at its likely value. Of ten coaches one fares better than
the good story, and one worse than the bad one.

Left out: the sale of a year, doubt, and which bills go together between two ways.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import NDArray

from lifecycle.charts.canvas import (
    FULL,
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    WIDTH,
    Picture,
    headline,
    lines_height,
    placed,
    wrapped,
    write,
)
from lifecycle.charts.frame import (
    BAR,
    NOTHING_COMPARED,
    Scale,
    Where,
    axis_name,
    fill_patch,
    filled_bars,
    heading,
    key,
    money_scale,
    named,
    plain_axes,
    round_years,
    said_instead,
    stands_out,
    titled_bars,
    way_title,
    ways_of,
)
from lifecycle.charts.palette import GROUND, INK, KEEP, KEEP_FILL, LOOKS, Look
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.evaluation.yearly import yearly_by_category
from lifecycle.kinds import CATEGORIES
from lifecycle.language.labels import listed, rounded, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import money_text
from lifecycle.scenario import Scenario
from lifecycle.studies.stories import Stories, Story

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


def _swatches(categories: Iterable[str]) -> list[tuple[Patch | Line2D, str]]:
    """Return the entries of categories of cost in the key: swatch and plain name."""
    return [(fill_patch(name), CATEGORIES[name].label) for name in categories]


def _entries(ways: Iterable[Way]) -> list[tuple[Patch | Line2D, str]]:
    """Return the entries of the key: swatch and plain name."""
    total = Line2D([], [], color=INK, linewidth=2.4, marker="|", markersize=13, linestyle="none")
    total.set_markeredgewidth(2.4)
    return [*_swatches(_shown(ways)), (total, say("charts.costs.sum"))]


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


Array = NDArray[np.float64]
Spending = Mapping[str, Array]
"""Spending of one way by category, each of shape (years,). [money/year]"""

PANEL, BETWEEN, LEFT = 0.95, 0.34, 0.55
"""Height of a panel; what is left between a title and the panel above; room for ticks. [inch]"""

ORDINARY, ROOM = 0.9, 1.8
"""Share of the years that an ordinary year is no dearer than; height of the scale in such years. [-]"""

YEARS_ABOVE, YEARS_BELOW = 0.75, 0.62
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
        return _year_panel(ax, spent[name], scale.by, limits)

    titles = [wrapped(way_title(comparison, way), bold=True) for way in ways]
    shown = [
        name for name in CATEGORIES if any(_seen(part, name, limits[1] * scale.by) for part in spent.values())
    ]
    slots = [lines_height(len(lines)) + PANEL + BETWEEN for lines in titles]
    below = YEARS_BELOW + lines_height(-(-len(shown) // 3)) + MARGIN
    picture = Picture(YEARS_ABOVE + sum(slots) - BETWEEN + below, describe_yearly_spending(comparison, spent))
    top = picture.get_size_inches()[1] - YEARS_ABOVE
    for way_shown, lines, slot in zip(ways, titles, slots, strict=True):
        bottom = top - lines_height(len(lines)) - PANEL
        panel = picture.axes_at(LEFT, bottom, WIDTH - LEFT - MARGIN, PANEL)
        _year_panel(panel, spent[way_shown.name], scale.by, limits)
        heading(panel, lines, above=0.12, size=TEXT, bold=stands_out(comparison, way_shown))
        panel.tick_params(labelbottom=way_shown is ways[-1])
        top -= slot
    first = picture.axes[0]
    up = lines_height(len(titles[0])) + 0.2
    heading(first, [scale.name], above=up, size=TEXT, bold=False)
    heading(first, [say("charts.spending.title")], above=up + 0.22)
    axis_name(panel, "year")
    key(panel, _swatches(shown), below=YEARS_BELOW)
    return panel


def _scale(comparison: Comparison, spent: Mapping[str, Spending]) -> tuple[Scale, tuple[float, float]]:
    """Return the unit of the money axis, and its two ends in that unit."""
    costs = np.concatenate([_above(spending) for spending in spent.values()])
    most = min(1.05 * float(costs.max()), ROOM * float(np.quantile(costs, ORDINARY)) or np.inf)
    least = min(float(_below(spending).min()) for spending in spent.values())
    scale = _at_todays_prices(money_scale(most, comparison.scenario.currency))
    return scale, (1.08 * least / scale.by, (most or 1.0) / scale.by)


def _at_todays_prices(scale: Scale) -> Scale:
    """Return the unit of money that is not discounted."""
    return replace(scale, name=scale.name.replace(say("charts.todays_money"), say("charts.todays_prices")))


def _year_panel(ax: Axes, spending: Spending, by: float, limits: tuple[float, float]) -> Axes:
    """Draw the bars of one way."""
    years = next(iter(spending.values())).size
    at = np.arange(1, years + 1)
    _bills(ax, years, limits, ticks=3)
    high, low = np.zeros(years), np.zeros(years)
    for name, amounts in spending.items():
        for ends, part in ((high, np.maximum(amounts, 0.0) / by), (low, np.minimum(amounts, 0.0) / by)):
            if part.any():
                filled_bars(ax, name, np.stack([at - 0.4, ends, at + 0.4, ends + part], axis=1))
                ends += part
    _cut_open(ax, high, limits[1])
    return ax


def _bills(ax: Axes, years: int, limits: tuple[float, float], *, ticks: int) -> None:
    """Set axes for bars by year: money up, at so many ticks, and years across."""
    plain_axes(ax, grid="y")
    ax.axhline(0.0, color=INK, linewidth=0.8)
    ax.set_ylim(*limits)
    ax.set_xlim(0.3, years + 0.7)
    round_years(ax)
    ax.locator_params(axis="y", nbins=ticks)


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


def describe_yearly_spending(comparison: Comparison, spent: Mapping[str, Spending]) -> str:
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


STORY, OVER, STORY_BELOW = 0.62, 0.22, 0.55
"""Height of the panel of a story; what is left above its title; room for ticks below. [inch]"""


def three_stories(
    told: Stories,
    scenario: Scenario,
    ax: Axes | None = None,
    *,
    ways: Sequence[str] = (),
    story: str = "middle",
) -> Axes:
    """Draw the bills by year of a good, a middle and a bad story of some ways.

    Parameters
    ----------
    told : Stories
        The stories; with trouble reported a sentence stands instead.
    scenario : Scenario
        That they are of; gives titles and currency.
    ax : Axes or None
        Where to draw one story alone; None: all, on a picture of their own.
    ways : sequence of str
        Names of ways; empty: what the owner would do otherwise, and the way that the answer is about.
    story : str
        The story of the first way to draw on `ax`.

    Returns
    -------
    Axes
        The last one drawn on.
    """
    if not told.ways:
        return said_instead(NOTHING_COMPARED, ax)
    names = _told_ways(told, scenario, ways)
    bills = [part.bills for name in names for part in told.ways[name].values()]
    largest, smallest = max(float(one.max()) for one in bills), min(float(one.min()) for one in bills)
    scale = money_scale(largest, scenario.currency)
    limits = (1.05 * min(0.0, smallest) / scale.by, 1.05 * largest / scale.by)
    if ax is not None:
        return _story_panel(ax, told.ways[names[0]][story], KEEP, scale.by, limits)

    titles = {name: wrapped(_story_title(scenario, name), bold=True) for name in names}
    texts = {
        (name, kind): wrapped(said)
        for name in names
        for kind, said in _sentences(told, name, scenario).items()
    }
    head = headline(_stories_heading(told))
    above = lines_height(len(head), HEADING) + lines_height(1) + 2 * MARGIN
    height = sum(lines_height(len(lines)) + OVER for lines in titles.values())
    height += sum(lines_height(len(lines)) + STORY + OVER for lines in texts.values())
    picture = Picture(above + height + STORY_BELOW, describe_three_stories(told, scenario, ways=ways))
    top = picture.get_size_inches()[1] - above
    for place, name in enumerate(names):
        strong = titles[name]
        for kind, part in told.ways[name].items():
            lines = texts[name, kind]
            top -= OVER + lines_height(len(strong) + len(lines)) + (OVER if strong else 0.0) + STORY
            panel = picture.axes_at(LEFT, top, WIDTH - LEFT - MARGIN, STORY)
            _story_panel(panel, part, LOOKS[place % len(LOOKS)], scale.by, limits)
            heading(panel, lines, above=0.08, size=TEXT, bold=False)
            heading(panel, strong, above=0.14 + lines_height(len(lines)), size=TEXT)
            panel.tick_params(labelbottom=False)
            strong = []
    panel.tick_params(labelbottom=True)
    axis_name(panel, "year")
    first = picture.axes[0]
    up = picture.get_size_inches()[1] - MARGIN - lines_height(len(head), HEADING)
    over = up - first.get_position().y1 * picture.get_size_inches()[1]
    heading(first, head, above=over)
    heading(first, [_at_todays_prices(scale).name], above=over - lines_height(1), size=TEXT, bold=False)
    return panel


def _told_ways(told: Stories, scenario: Scenario, ways: Sequence[str]) -> list[str]:
    """Return the ways shown."""
    if ways:
        return list(ways)
    others = [way for way in scenario.alternatives if not way.base_case]
    marked = [way for way in others if way.subject] or [way for way in others if way.change == 0.0] or others
    return [scenario.base_case.name, *(way.name for way in marked[:1] if way.name in told.ways)]


def _story_title(scenario: Scenario, name: str) -> str:
    """Return the title of a way; what the owner would do otherwise is marked."""
    way = next(way for way in scenario.alternatives if way.name == name)
    return say("charts.otherwise", way=way.title) if way.base_case else way.title


def _stories_heading(told: Stories) -> str:
    """Return the heading."""
    return say("charts.stories.title", years=years_text(told.years))


def _story_panel(ax: Axes, part: Story, look: Look, by: float, limits: tuple[float, float]) -> Axes:
    """Draw the bills of one story."""
    years = part.bills.size
    _bills(ax, years, limits, ticks=2)
    fill = KEEP_FILL if look is KEEP else {"color": look.colour, "edgecolor": INK, "linewidth": 0.5}
    ax.bar(np.arange(1, years + 1), part.bills / by, 0.8, **fill)
    ax.set_xlim(0.3, years + 0.7)
    return ax


def _sentences(told: Stories, name: str, scenario: Scenario) -> dict[str, str]:
    """Say what happens in each story of a way."""
    return {kind: f"{kind}: {_said(part, scenario)}" for kind, part in told.ways[name].items()}


def _said(part: Story, scenario: Scenario) -> str:
    """Say what a story costs and what happened in it, year by year."""
    events = (
        (say("charts.stories.leak"), part.leak),
        (say("charts.stories.deck"), part.deck_gone),
        (say("charts.stories.roof"), part.new_roof),
    )
    by_year: dict[int, list[str]] = {}
    for event, year in events:
        if year is not None:
            by_year.setdefault(year, []).append(event)
    happened = [say("charts.stories.year", year=year, what=listed(by_year[year])) for year in sorted(by_year)]
    paid = say("charts.stories.in_all", currency=scenario.currency, money=rounded(part.total))
    return f"{paid}; {', '.join(happened) if happened else say('charts.stories.nothing')}"


def describe_three_stories(told: Stories, scenario: Scenario, *, ways: Sequence[str] = ()) -> str:
    """Say in one sentence what `three_stories` shows."""
    parts = [
        f"{_story_title(scenario, name)}: {'; '.join(_sentences(told, name, scenario).values())}"
        for name in _told_ways(told, scenario, ways)
    ]
    return say("charts.stories.said", title=_stories_heading(told), stories=". ".join(parts))
