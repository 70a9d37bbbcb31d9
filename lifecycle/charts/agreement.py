"""How far lives drawn by chance are from exact averages: a dot for each line of each way.

Lecture
-------
A row for each way; a dot for each line, at its distance in standard errors. Within the shaded middle lie
19 of 20 dots on average if both are right; no dot lies beyond the ends.

Left out: which dot is which line; the table of all lines says so.
"""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from lifecycle.charts.canvas import HEADING, MARGIN, WIDTH, Picture, lines_height, wrapped
from lifecycle.charts.frame import axis_name, heading, key, plain_axes, titled_bars, titled_height
from lifecycle.charts.palette import FAINT, INK
from lifecycle.language.sentences import say
from lifecycle.studies.agreement import BEYOND, WITHIN, Agreement

BELOW = 1.0
"""Room below the axes. [inch]"""


def agreement_dots(found: Agreement, ax: Axes | None = None) -> Axes:
    """Draw how far apart the two evaluations are.

    Parameters
    ----------
    found : Agreement
        With at least one line.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    ways = list(dict.fromkeys(line.way for line in found.lines))
    titles = [wrapped(way, WIDTH - 2 * MARGIN) for way in ways]
    title = wrapped(_title(found), WIDTH - 2 * MARGIN, HEADING, bold=True)
    if ax is None:
        height = titled_height(titles)
        above = lines_height(len(title), HEADING) + 3.0 * MARGIN
        picture = Picture(BELOW + height + above, describe_agreement_dots(found))
        ax = picture.axes_at(2.0 * MARGIN, BELOW, WIDTH - 4.0 * MARGIN, height)
    plain_axes(ax, grid="x")
    ax.axvspan(-WITHIN, WITHIN, color=FAINT, alpha=0.6, linewidth=0.0)
    ax.axvline(0.0, color=INK, linewidth=1.4)
    for way, middle in zip(ways, titled_bars(ax, titles), strict=True):
        apart = [line.apart for line in found.lines if line.way == way]
        ax.plot(apart, [middle] * len(apart), linestyle="none", marker="o", markersize=7, color=INK)
    widest = max(BEYOND, *(1.1 * abs(line.apart) for line in found.lines))
    ax.set_xlim(-widest, widest)
    axis_name(ax, say("charts.agreement.axis"))
    heading(ax, title, above=MARGIN)
    dot = Line2D([], [], linestyle="none", marker="o", markersize=7, color=INK)
    key(
        ax,
        [(dot, say("charts.agreement.one")), (Patch(facecolor=FAINT), say("charts.agreement.band"))],
        below=0.62,
    )
    return ax


def _title(found: Agreement) -> str:
    """Return the heading."""
    return say("charts.agreement.title", near=found.near, lines=len(found.lines), within=f"{WITHIN:g}")


def describe_agreement_dots(found: Agreement) -> str:
    """Say in one sentence what `agreement_dots` shows.

    Parameters
    ----------
    found : Agreement
        What is drawn.

    Returns
    -------
    str
    """
    far = found.furthest
    return say(
        "charts.agreement.said",
        title=_title(found),
        lives=f"{found.lives:,}",
        apart=f"{abs(far.apart):.1f}",
        name=far.name,
        way=far.way,
    )
