"""Where does it pay? A bar for each place of the table: how much cheaper the way in question is there.

Lecture
-------
Zero is marked: left of it the way in question is dearer than what the owner would do otherwise, right of it
cheaper. The scenario's own place stands first, the others in the order of their answer. No other chart has
places, so this one has a module.

Every number is a mean over the futures. Left out: how sure it is.
"""

from __future__ import annotations

from matplotlib.axes import Axes

from lifecycle.charts.canvas import MARGIN, WIDTH, Picture
from lifecycle.charts.frame import (
    axis_name,
    heading,
    plain_axes,
    titled_bars,
    titled_height,
)
from lifecycle.charts.palette import INK, KEEP_FILL, SPRAY_FILL
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead
from lifecycle.language.labels import cheaper_or_dearer, inner, years_text
from lifecycle.language.sentences import say
from lifecycle.studies.by_place import ByPlace

ABOVE, BELOW, THICK = 0.85, 0.75, 0.2
"""Room above the axes, below them, and thickness of a bar. [inch]"""


def by_place(found: ByPlace, ax: Axes | None = None) -> Axes:
    """Draw the net savings of the way in question in every place.

    Parameters
    ----------
    found : ByPlace
        Any; where nothing is compared, a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    savings = _savings(found)
    if not savings:
        return said_instead(NOTHING_COMPARED, ax)
    titles = [[name] for name, _ in savings]
    if ax is None:
        height = titled_height(titles)
        picture = Picture(BELOW + height + ABOVE, describe_by_place(found))
        ax = picture.axes_at(MARGIN, BELOW, WIDTH - 2 * MARGIN, height)
    scale = money_scale(max(abs(amount) for _, amount in savings), found.scenario.currency)
    plain_axes(ax, grid="x")
    beside = [cheaper_or_dearer(amount) for _, amount in savings]
    middles = titled_bars(ax, titles, bold=[place == 0 for place in range(len(savings))], beside=beside)
    for middle, (_, amount) in zip(middles, savings, strict=True):
        ax.barh(middle, amount / scale.by, height=THICK, **(SPRAY_FILL if amount > 0.0 else KEEP_FILL))
    ax.axvline(0.0, color=INK, linewidth=2.0)
    axis_name(ax, say("charts.cheaper_by", money=scale.name))
    heading(ax, [say("charts.by_place.title"), _of_what(found)], above=0.15)
    return ax


def _savings(found: ByPlace) -> list[tuple[str, float]]:
    """Return the places with the net savings there: that of the scenario, then the largest first. [money]"""
    known = [
        (place.name, savings) for place in found.places if (savings := found.net_savings(place)) is not None
    ]
    here = found.net_savings(found.here)
    return (
        [] if here is None else [(say("charts.by_place.here"), here), *sorted(known, key=lambda one: -one[1])]
    )


def _of_what(found: ByPlace) -> str:
    """Return which way is compared, and for how long."""
    title = found.scenario.alternative(found.subject or "").title
    return say("charts.by_place.of_what", way=title, years=years_text(found.years))


def describe_by_place(found: ByPlace) -> str:
    """Say in one sentence what `by_place` shows.

    Parameters
    ----------
    found : ByPlace
        What is drawn.

    Returns
    -------
    str
    """
    savings = _savings(found)
    if not savings:
        return NOTHING_COMPARED
    said = "; ".join(f"{name}, {cheaper_or_dearer(amount)}" for name, amount in savings)
    return say("charts.by_place.said", way=inner(_of_what(found)), places=said)
