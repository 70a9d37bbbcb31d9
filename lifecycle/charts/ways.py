"""What several charts say about ways and money in the same words, and how costs are filled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.patches import Patch

from lifecycle.charts.canvas import MARGIN, WIDTH, Picture, lines_height, wrapped, write
from lifecycle.charts.palette import FILLS, INK
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.sentences import say
from lifecycle.quantities import Array
from lifecycle.studies.assessment import Assessment


@dataclass(frozen=True)
class Scale:
    """The unit of a money axis: what amounts are divided by, and what it is called."""

    by: float
    name: str


def money_scale(largest: float, currency: str) -> Scale:
    """Return the unit in which amounts up to `largest` are easily read.

    Parameters
    ----------
    largest : float
        Largest amount shown. [money]
    currency : str
        Its currency.

    Returns
    -------
    Scale

    Examples
    --------
    >>> money_scale(7100.0, "USD").name
    "thousand USD in today's money"
    """
    steps = ((2e6, 1e6, "million "), (2e3, 1e3, "thousand "), (0.0, 1.0, ""))
    by, word = next((by, word) for least, by, word in steps if abs(largest) >= least)
    return Scale(by, say("charts.money_axis", word=word, currency=currency))


NOTHING_COMPARED = say("charts.nothing_compared")
"""What stands in place of a chart where trouble is reported."""


def said_instead(sentence: str, ax: Axes | None) -> Axes:
    """Write a sentence where there is nothing to draw.

    Parameters
    ----------
    sentence : str
        Why there is nothing.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    lines = wrapped(sentence, WIDTH - 2 * MARGIN)
    if ax is None:
        height = lines_height(len(lines)) + 2 * MARGIN
        ax = Picture(height, sentence).axes_at(MARGIN, 0.0, WIDTH - 2 * MARGIN, height)
    ax.set_axis_off()
    write(ax, 0.0, 0.5, "\n".join(lines), up="center")
    return ax


def ways_of(comparison: Comparison) -> list[Way]:
    """Return the ways of a comparison, what the owner would do otherwise first."""
    return sorted(comparison.ways.values(), key=lambda way: way.name != comparison.base_case)


def title_of(found: Assessment, name: str) -> str:
    """Return the title of a way of an assessment."""
    return found.scenario.alternative(name).title


def way_title(comparison: Comparison, way: Way) -> str:
    """Return the title of a way; what the owner would do otherwise is marked."""
    return say("charts.otherwise", way=way.title) if way.name == comparison.base_case else way.title


def stands_out(comparison: Comparison, way: Way) -> bool:
    """Whether the answer is about this way, or given against it."""
    return way.name in (comparison.base_case, comparison.subject)


def fill_patch(category: str) -> Patch:
    """Return the swatch of a category of cost."""
    fill = FILLS[category]
    return Patch(facecolor=fill.colour, hatch=fill.hatch, edgecolor=INK, linewidth=0.6)


def filled_bars(ax: Axes, category: str, corners: Array) -> None:
    """Draw the bars of one category of cost on axes whose limits are set elsewhere.

    Parameters
    ----------
    ax : Axes
        Where.
    category : str
        A category of cost.
    corners : ndarray, shape (bars, 4)
        Left, bottom, right and top of each bar, in data coordinates.
    """
    left, bottom, right, top = np.asarray(corners).T
    outlines = np.stack([[left, left, right, right], [bottom, top, top, bottom]]).transpose(2, 1, 0)
    fill = FILLS[category]
    bars = PolyCollection(
        list(outlines), facecolor=fill.colour, hatch=fill.hatch, edgecolor=INK, linewidth=0.5, label=category
    )
    ax.add_collection(bars, autolim=False)
