"""Now, later or never; and how often to reseal: a line for each choice, the cheapest marked.

Lecture
-------
For each choice a dot is the mean cost over the futures and the line through it holds 16 of 20 of them;
the ring is the smallest mean. At the right stands in how many of 20 futures the choice is the best of
its table. Lines overlap widely, because a future that is dear for one choice is dear for all; so the
number at the right, and not the overlap, says how sure the choice is. Where every input stands at one
value there is a dot alone.

Left out: luck.
"""

from __future__ import annotations

from typing import Any

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
    headline,
    lines_height,
    text_width,
    write,
)
from lifecycle.charts.frame import Where, framed, money_scale, named, ring, said_instead
from lifecycle.charts.palette import GROUND, INK, QUIET, RANGE
from lifecycle.language.labels import shared_out, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import money_text
from lifecycle.studies.timing import Choice, Timing
from lifecycle.studies.ways import WHEN_IT_MUST

NO_RESEAL = say("charts.waiting.no_interval")
"""What stands in place of the reseal intervals where there are none."""

ROW, RIGHT = 0.3, 0.75
"""Height of a choice; room right of the axes. [inch]"""


Choices = tuple[str, dict[str, Choice]]
"""What stands above choices, and the choices by name."""


def when_to_change(timing: Timing, ax: Where = None, *, currency: str = "") -> Axes:
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
    return _drawn(_change(timing), currency, ax)


def how_often_to_reseal(timing: Timing, ax: Where = None, *, currency: str = "") -> Axes:
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
    return _drawn(_reseal(timing), currency, ax) if timing.reseal else said_instead(NO_RESEAL, ax)


def _when(when: int | str) -> str:
    """Say when the change is made."""
    if isinstance(when, str):
        return say("verdict.titles.when_it_must" if when == WHEN_IT_MUST else "timing.date.never")
    return say("verdict.titles.in_year", year=when) if when else say("charts.waiting.today")


def _how_often(when: int | str) -> str:
    """Say how often is resealed."""
    if isinstance(when, str):
        return say("timing.date.never")
    if when == 12:
        return say("timing.every.12")
    if when % 12:
        return say("timing.every.other", months=when)
    return say("charts.waiting.every_years", years=when // 12)


def _change(timing: Timing) -> Choices:
    """Return the dates of the change, with what stands above them."""
    choices = {_when(choice.when): choice for choice in timing.change}
    return say("charts.waiting.when", years=years_text(timing.years)), choices


def _reseal(timing: Timing) -> Choices:
    """Return the intervals of reseals, with what stands above them."""
    choices = {_how_often(choice.when): choice for choice in timing.reseal}
    return say("charts.waiting.how_often", years=years_text(timing.years)), choices


def _drawn(shown: Choices, currency: str, ax: Where) -> Axes:
    """Draw a line for each choice."""
    title, choices = headline(shown[0]), list(shown[1].values())
    ax = framed(
        ax,
        _said(shown, currency),
        height=ROW * len(choices),
        below=0.95,
        above=0.68 + lines_height(len(title) - 1, HEADING),
        left=MARGIN + 0.12 + max(map(text_width, shown[1])),
        right=RIGHT,
        grid="x",
    )
    bands = np.array([[choice.cost.p10, choice.cost.mean, choice.cost.p90] for choice in choices])
    scale = money_scale(float(bands.max()), currency)
    bands /= scale.by
    ranged = bool((bands[:, 0] < bands[:, 2]).any())
    ax.set_ylim(len(choices) - 0.5, -0.5)
    ax.set_yticks(range(len(choices)), list(shown[1]), fontfamily=TYPEFACE, fontsize=TEXT)
    ax.tick_params(axis="y", length=0.0)
    ax.spines["left"].set_visible(False)
    across = blended_transform_factory(ax.transAxes, ax.transData)
    often = shared_out({choice.when: choice.chance_best for choice in choices})
    mean_dot: dict[str, Any] = {"marker": "o", "markersize": 9, "markeredgecolor": GROUND}
    for place, (choice, (low, mean, high)) in enumerate(zip(choices, bands, strict=True)):
        ax.plot([low, high], [place, place], **RANGE)
        ax.plot([mean], [place], color=INK, **mean_dot)
        best_in, right = str(often[choice.when]) if ranged else "", (0.55 * POINTS, 0.0)
        write(ax, 1.0, place, best_in, across="right", up="center_baseline", shift=right, by=across)
    best = int(np.argmin(bands[:, 1]))
    ax.add_line(ring(INK, float(bands[best, 1]), float(best)))
    cheapest = say("charts.waiting.cheapest" if ranged else "charts.waiting.cheapest_of_one")
    marks = [(ring(INK), cheapest)]
    if ranged:
        right = ((RIGHT - MARGIN) * POINTS, 6.0)
        write(ax, 1.0, 1.0, say("charts.waiting.best_in"), colour=QUIET, across="right", shift=right)
        marks.append((Line2D([], [], markerfacecolor=INK, **mean_dot, **RANGE), say("charts.waiting.mean")))
    return named(ax, scale.name, title, 0.36, marks)


def _said(shown: Choices, currency: str) -> str:
    """Say what each choice costs on average, and which is the cheapest."""
    title, choices = shown
    means = {name: float(choice.cost.mean) for name, choice in choices.items()}
    unit = say("charts.waiting.in_currency", currency=currency) if currency else say("charts.todays_money")
    parts = ", ".join(f"{name} {money_text(mean)}" for name, mean in means.items())
    best = min(means, key=lambda name: means[name])
    return say("charts.waiting.said", title=title, unit=unit, choices=parts, best=best)
