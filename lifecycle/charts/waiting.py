"""Now, later or never; and how often to reseal: a line for each choice, the cheapest marked.

Lecture
-------
For each choice a dot is the mean cost over the futures and the line through it holds 16 of 20 of them;
the ring is the smallest mean. At the right stands in how many of 20 futures the choice is the best of
its table. Lines overlap widely, because a future that is dear for one choice is dear for all; so the
number at the right, and not the overlap, says how sure the choice is.

Left out: luck.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.transforms import blended_transform_factory

from lifecycle.charts.canvas import (
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    TYPEFACE,
    WIDTH,
    Picture,
    lines_height,
    text_width,
    wrapped,
    write,
)
from lifecycle.charts.frame import axis_name, heading, key, money_scale, plain_axes, ring, said_instead
from lifecycle.charts.palette import GROUND, INK, QUIET, RANGE
from lifecycle.language.labels import shared_out, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import money_text
from lifecycle.studies.timing import Choice, Timing
from lifecycle.studies.ways import WHEN_IT_MUST

NO_RESEAL = say("charts.waiting.no_interval")
"""What stands in place of the reseal intervals where there are none."""

ROW, RIGHT, BELOW, ABOVE = 0.3, 0.75, 0.95, 0.68
"""Height of a choice; room right of the axes, below and above them. [inch]"""


def when_to_change(timing: Timing, ax: Axes | None = None, *, currency: str = "") -> Axes:
    """Draw what each date of the change costs.

    Parameters
    ----------
    timing : Timing
        The choices.
    ax : Axes or None
        Where; None: on a picture of its own.
    currency : str
        Of the money axis.

    Returns
    -------
    Axes
    """
    names = [_when(choice.when) for choice in timing.change]
    said = describe_when_to_change(timing, currency=currency)
    return _choices(timing.change, names, _change_heading(timing), said, currency, ax)


def how_often_to_reseal(timing: Timing, ax: Axes | None = None, *, currency: str = "") -> Axes:
    """Draw what each reseal interval costs.

    Parameters
    ----------
    timing : Timing
        The choices; without a reseal a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.
    currency : str
        Of the money axis.

    Returns
    -------
    Axes
    """
    if not timing.reseal:
        return said_instead(NO_RESEAL, ax)
    names = [_how_often(choice.when) for choice in timing.reseal]
    said = describe_how_often_to_reseal(timing, currency=currency)
    return _choices(timing.reseal, names, _reseal_heading(timing), said, currency, ax)


def _when(when: int | str) -> str:
    """Say when the change is made."""
    if isinstance(when, str):
        return say("charts.waiting.at_end") if when == WHEN_IT_MUST else when
    return "today" if when == 0 else say("charts.waiting.in_year", year=when)


def _how_often(when: int | str) -> str:
    """Say how often is resealed."""
    if isinstance(when, str):
        return when
    if when % 12:
        return say("charts.waiting.every_months", months=when)
    return (
        say("charts.waiting.every_year")
        if when == 12
        else say("charts.waiting.every_years", years=when // 12)
    )


def _change_heading(timing: Timing) -> str:
    """Return the heading of the dates."""
    return say("charts.waiting.when", years=years_text(timing.years))


def _reseal_heading(timing: Timing) -> str:
    """Return the heading of the intervals."""
    return say("charts.waiting.how_often", years=years_text(timing.years))


def _choices(
    choices: Sequence[Choice], names: Sequence[str], title: str, said: str, currency: str, ax: Axes | None
) -> Axes:
    """Draw a line for each choice."""
    lines = wrapped(title, WIDTH - 2 * MARGIN, HEADING, bold=True)
    left = MARGIN + 0.12 + max(text_width(name) for name in names)
    height = ROW * len(choices)
    if ax is None:
        picture = Picture(BELOW + height + ABOVE + lines_height(len(lines) - 1, HEADING), said)
        ax = picture.axes_at(left, BELOW, WIDTH - left - RIGHT, height)
    bands = np.array([[choice.cost.p10, choice.cost.mean, choice.cost.p90] for choice in choices])
    scale = money_scale(float(bands.max()), currency)
    bands /= scale.by
    plain_axes(ax, grid="x")
    ax.set_ylim(len(choices) - 0.5, -0.5)
    ax.set_yticks(range(len(choices)), names, fontfamily=TYPEFACE, fontsize=TEXT)
    ax.tick_params(axis="y", length=0.0)
    ax.spines["left"].set_visible(False)
    across = blended_transform_factory(ax.transAxes, ax.transData)
    often = shared_out({choice.when: choice.chance_best for choice in choices})
    for place, (choice, (low, mean, high)) in enumerate(zip(choices, bands, strict=True)):
        ax.plot([low, high], [place, place], **RANGE)
        ax.plot([mean], [place], color=INK, marker="o", markersize=9, markeredgecolor=GROUND)
        best_in, right = str(often[choice.when]), (0.55 * POINTS, 0.0)
        write(ax, 1.0, place, best_in, across="right", up="center_baseline", shift=right, by=across)
    best = int(np.argmin(bands[:, 1]))
    ax.add_line(ring(INK, float(bands[best, 1]), float(best)))
    right = ((RIGHT - MARGIN) * POINTS, 6.0)
    write(ax, 1.0, 1.0, say("charts.waiting.best_in"), colour=QUIET, across="right", shift=right)
    axis_name(ax, scale.name)
    heading(ax, lines, above=0.36)
    band = Line2D([], [], marker="o", markersize=9, markerfacecolor=INK, markeredgecolor=GROUND, **RANGE)
    key(ax, [(ring(INK), say("charts.waiting.cheapest")), (band, say("charts.waiting.mean"))], below=0.62)
    return ax


def describe_when_to_change(timing: Timing, *, currency: str = "") -> str:
    """Say in one sentence what `when_to_change` shows.

    Parameters
    ----------
    timing : Timing
        The choices.
    currency : str
        Of the money.

    Returns
    -------
    str
    """
    names = [_when(choice.when) for choice in timing.change]
    return _described(_change_heading(timing), timing.change, names, currency)


def describe_how_often_to_reseal(timing: Timing, *, currency: str = "") -> str:
    """Say in one sentence what `how_often_to_reseal` shows.

    Parameters
    ----------
    timing : Timing
        The choices.
    currency : str
        Of the money.

    Returns
    -------
    str
    """
    if not timing.reseal:
        return NO_RESEAL
    names = [_how_often(choice.when) for choice in timing.reseal]
    return _described(_reseal_heading(timing), timing.reseal, names, currency)


def _described(title: str, choices: Sequence[Choice], names: Sequence[str], currency: str) -> str:
    """Say what each choice costs on average, and which is the cheapest."""
    means = [float(choice.cost.mean) for choice in choices]
    parts = [f"{name} {money_text(mean)}" for name, mean in zip(names, means, strict=True)]
    best = names[int(np.argmin(means))]
    unit = say("charts.waiting.in_currency", currency=currency) if currency else say("charts.todays_money")
    return say("charts.waiting.said", title=title, unit=unit, choices=", ".join(parts), best=best)
