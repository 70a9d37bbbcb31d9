"""A good, a middle and a bad story, as bills by year.

Lecture
-------
Three panels for each way, one below the other, all with one scale: what a coach that is lucky, one in
the middle and one that is unlucky pay in each year, at today's prices. What happened stands in words
above the bars. It is luck: every input stands at its likely value. Of ten coaches one fares better than
the good story, and one worse than the bad one.

Left out: the sale, doubt, and which bills go together between two ways.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes

from lifecycle.charts.canvas import (
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    WIDTH,
    Picture,
    lines_height,
    wrapped,
    write,
)
from lifecycle.charts.frame import axis_name, heading, plain_axes, round_years
from lifecycle.charts.palette import INK, KEEP, KEEP_FILL, LOOKS, Look
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead
from lifecycle.language.labels import listed, rounded, years_text
from lifecycle.language.sentences import say
from lifecycle.scenario import Scenario
from lifecycle.studies.stories import Stories, Story

PANEL, BETWEEN, LEFT, BELOW = 0.62, 0.22, 0.55, 0.55
"""Height of a panel; what is left above its title; room for ticks, left and below. [inch]"""


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
    names = _names(told, scenario, ways)
    largest = max(float(part.bills.max()) for name in names for part in told.ways[name].values())
    scale = money_scale(largest, scenario.currency)
    smallest = min(float(part.bills.min()) for name in names for part in told.ways[name].values())
    limits = (1.05 * min(0.0, smallest) / scale.by, 1.05 * largest / scale.by)
    if ax is not None:
        return _panel(ax, told.ways[names[0]][story], KEEP, scale.by, limits)

    titles = {name: wrapped(_title(scenario, name), WIDTH - 2 * MARGIN, bold=True) for name in names}
    texts = {
        (name, kind): wrapped(said, WIDTH - 2 * MARGIN)
        for name in names
        for kind, said in _sentences(told, name, scenario).items()
    }
    head = wrapped(_heading(told), WIDTH - 2 * MARGIN, HEADING, bold=True)
    above = lines_height(len(head), HEADING) + lines_height(1) + 2 * MARGIN
    height = sum(lines_height(len(lines)) + BETWEEN for lines in titles.values())
    height += sum(lines_height(len(lines)) + PANEL + BETWEEN for lines in texts.values())
    picture = Picture(above + height + BELOW, describe_three_stories(told, scenario, ways=ways))
    top = picture.get_size_inches()[1] - above
    unit = scale.name.replace(say("charts.todays_money"), say("charts.todays_prices"))
    for place, name in enumerate(names):
        strong = titles[name]
        for kind, part in told.ways[name].items():
            lines = texts[name, kind]
            top -= BETWEEN + lines_height(len(strong) + len(lines)) + (BETWEEN if strong else 0.0) + PANEL
            panel = picture.axes_at(LEFT, top, WIDTH - LEFT - MARGIN, PANEL)
            _panel(panel, part, LOOKS[place % len(LOOKS)], scale.by, limits)
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
    write(first, 0.0, 1.0, unit, shift=((MARGIN - LEFT) * POINTS, (over - lines_height(1)) * POINTS))
    return panel


def _names(told: Stories, scenario: Scenario, ways: Sequence[str]) -> list[str]:
    """Return the ways shown."""
    if ways:
        return list(ways)
    others = [way for way in scenario.alternatives if not way.base_case]
    marked = [way for way in others if way.subject] or [way for way in others if way.change == 0.0] or others
    return [scenario.base_case.name, *(way.name for way in marked[:1] if way.name in told.ways)]


def _title(scenario: Scenario, name: str) -> str:
    """Return the title of a way; what the owner would do otherwise is marked."""
    way = scenario.alternative(name)
    return say("charts.otherwise", way=way.title) if way.base_case else way.title


def _heading(told: Stories) -> str:
    """Return the heading."""
    return say("charts.stories.title", years=years_text(told.years))


def _panel(ax: Axes, part: Story, look: Look, by: float, limits: tuple[float, float]) -> Axes:
    """Draw the bills of one story."""
    years = np.arange(1, part.bills.size + 1)
    plain_axes(ax, grid="y")
    fill = KEEP_FILL if look is KEEP else {"color": look.colour, "edgecolor": INK, "linewidth": 0.5}
    ax.bar(years, part.bills / by, 0.8, **fill)
    ax.axhline(0.0, color=INK, linewidth=0.8)
    ax.set_ylim(*limits)
    ax.set_xlim(0.3, part.bills.size + 0.7)
    round_years(ax)
    ax.locator_params(axis="y", nbins=2)
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
    """Say in one sentence what `three_stories` shows.

    Parameters
    ----------
    told : Stories
        The stories.
    scenario : Scenario
        That they are of.
    ways : sequence of str
        Names of ways; empty: what the owner would do otherwise, and the way that the answer is about.

    Returns
    -------
    str
    """
    if not told.ways:
        return NOTHING_COMPARED
    parts = [
        f"{_title(scenario, name)}: {'; '.join(_sentences(told, name, scenario).values())}"
        for name in _names(told, scenario, ways)
    ]
    return say("charts.stories.said", title=_heading(told), stories=". ".join(parts))
