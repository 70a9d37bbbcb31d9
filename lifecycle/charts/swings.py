"""What would change the answer: how far each input alone moves it from one end of its range to the other.

Lecture
-------
One bar for each ranged input, the widest on top: net savings of the way that the answer is about, as
that input goes from the low to the high end of its range. All others lie as in the futures, and the net
savings are the mean over these; or they stand at their likely values, which the heading then says. Right
of zero the way is cheaper than what the owner would do otherwise, left of it dearer, in the fills that
these have everywhere. An upright line stands where no input is moved. A bar that crosses zero is an input
that can turn the answer by itself. "low" and "high" stand at the ends of the bar; what they are stands
beside the name.

Left out: inputs that move together, and how likely the ends are.
"""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.patches import Patch

from lifecycle.charts.canvas import MARGIN, WIDTH, Picture, lines_height, wrapped, write
from lifecycle.charts.frame import (
    BAR,
    axis_name,
    heading,
    key,
    plain_axes,
    titled_bars,
    titled_height,
)
from lifecycle.charts.palette import INK, KEEP_FILL, QUIET, SPRAY_FILL
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.swings import Swing
from lifecycle.language.labels import cheaper_or_dearer, input_name, range_text
from lifecycle.language.sentences import say

BELOW, ABOVE = 0.62, 0.62
"""Room below the axes and above them. [inch]"""

NO_SWING = say("charts.swings.none")
"""What stands in place of the bars where there are none."""

ENDS = 0.45
"""Room for the words at the ends of the longest bar. [inch]"""

SHOWN = 8
"""Inputs shown, if not said otherwise."""


def swings(
    comparison: Comparison,
    ax: Axes | None = None,
    *,
    shown: int = SHOWN,
    moved: Sequence[Swing] | None = None,
) -> Axes:
    """Draw how far each input alone moves the net savings of the subject.

    Parameters
    ----------
    comparison : Comparison
        Any; without trouble, subject or range a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.
    shown : int
        Number of inputs shown, the widest first.
    moved : sequence of Swing or None
        What moves the mean over the futures, the widest first (`sensitivity`); None: what moves the
        comparison at likely values, which is then said.

    Returns
    -------
    Axes
    """
    rows = _rows(comparison, shown, moved)
    if not rows:
        return said_instead(describe_swings(comparison, moved=moved), ax)
    names = [_name(comparison, swing) for swing in rows]
    title = wrapped(_heading(comparison, moved), WIDTH - 2 * MARGIN, 14.0, bold=True)
    if ax is None:
        height = titled_height(names)
        below, above = BELOW + lines_height(1) + MARGIN, ABOVE + lines_height(len(title) - 1, 14.0)
        picture = Picture(below + height + above, describe_swings(comparison, shown=shown, moved=moved))
        ax = picture.axes_at(MARGIN, below, WIDTH - 2 * MARGIN, height)
    ends = [value for swing in rows for value in (swing.at_low, swing.at_high, swing.likely)]
    scale = money_scale(max(map(abs, ends)), comparison.scenario.currency)
    plain_axes(ax, grid="x")
    likely = rows[0].likely / scale.by
    for swing, middle in zip(rows, titled_bars(ax, names), strict=True):
        at_ends = swing.at_low / scale.by, swing.at_high / scale.by
        first, last = min(*at_ends, likely), max(*at_ends, likely)
        for fill, start, stop in (
            (KEEP_FILL, first, min(last, 0.0)),
            (SPRAY_FILL, max(first, 0.0), last),
        ):
            if stop > start:
                ax.barh(middle, stop - start, BAR, left=start, **fill)
        for at, other, name in zip(at_ends, at_ends[::-1], ("low", "high"), strict=True):
            left = at < other
            write(
                ax, at, middle, name, colour=QUIET, across="right" if left else "left", up="center_baseline",
                by=ax.transData, shift=(-4.0 if left else 4.0, 0.0), clear=True,
            )  # fmt: skip
    low, high = min(0.0, *ends) / scale.by, max(0.0, *ends) / scale.by
    pad = ENDS / (WIDTH - 2 * MARGIN - 2 * ENDS) * (high - low or 1.0)
    ax.set_xlim(low - pad, high + pad)
    ax.axvline(0.0, color=INK, linewidth=2.0)
    ax.axvline(likely, color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)))
    axis_name(ax, say("charts.cheaper_by", money=scale.name))
    heading(ax, title, above=0.1)
    key(ax, [(Patch(**KEEP_FILL), "dearer"), (Patch(**SPRAY_FILL), "cheaper")], below=BELOW)
    return ax


def _rows(comparison: Comparison, shown: int, moved: Sequence[Swing] | None) -> tuple[Swing, ...]:
    """Return the swings shown."""
    known = comparison.swings if moved is None else moved
    return tuple(swing for swing in known[:shown] if swing.size >= 0.5)


def _name(comparison: Comparison, swing: Swing) -> list[str]:
    """Return the lines that name an input and the ends of its range."""
    figure, scenario = swing.figure, comparison.scenario
    ends = range_text(figure, scenario)
    named = say("charts.swings.figure", figure=input_name(figure), ends=ends)
    return wrapped(named, WIDTH - 2 * MARGIN - 0.1)


def _heading(comparison: Comparison, moved: Sequence[Swing] | None) -> str:
    """Return the heading: which way against which."""
    subject, base = comparison.ways[comparison.subject or ""], comparison.ways[comparison.base_case]
    said = "charts.swings.title" if moved is not None else "charts.swings.title_likely"
    return say(said, way=subject.title, base=base.title)


def describe_swings(
    comparison: Comparison, *, shown: int = SHOWN, moved: Sequence[Swing] | None = None
) -> str:
    """Say in one sentence what `swings` shows.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.
    shown : int
        Number of inputs shown.
    moved : sequence of Swing or None
        As for `swings`.

    Returns
    -------
    str
    """
    if not comparison.ways:
        return NOTHING_COMPARED
    rows = _rows(comparison, shown, moved)
    if not rows:
        return NO_SWING
    parts = [
        say(
            "charts.swings.one",
            figure=input_name(swing.figure),
            low=cheaper_or_dearer(swing.at_low),
            high=cheaper_or_dearer(swing.at_high),
        )
        for swing in rows
    ]
    return say(
        "charts.swings.said",
        title=_heading(comparison, moved),
        currency=comparison.scenario.currency,
        swings="; ".join(parts),
    )
