"""Printed numbers as rings, our own as a line: whoever looks sees whether they meet.

Lecture
-------
A ring is what a source printed. A line is what this tool works out, at every place; where no line runs
through the numbers, ours are points. A point within a ring agrees as far as an eye can see; the table
beside it says how far exactly.

Left out: how the numbers are worked out (`records.published`).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from lifecycle.charts.canvas import (
    HEADING,
    MARGIN,
    TEXT,
    TYPEFACE,
    WIDTH,
    Picture,
    lines_height,
    wrapped,
    write,
)
from lifecycle.charts.frame import axis_name, heading, key, plain_axes, ring
from lifecycle.charts.palette import CURVES, INK, QUIET
from lifecycle.language.sentences import say
from lifecycle.records.published import Published

LEFT, BELOW, ROOM = 0.85, 1.15, 2.4
"""Room left of the axes and below them; their height. [inch]"""


def published_numbers(found: Published, ax: Axes | None = None) -> Axes:
    """Draw printed numbers and our own.

    Parameters
    ----------
    found : Published
        From `records.published`.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    title = wrapped(found.title, WIDTH - 2 * MARGIN, HEADING, bold=True)
    if ax is None:
        above = lines_height(len(title), HEADING) + lines_height(1) + 3.0 * MARGIN
        picture = Picture(BELOW + ROOM + above, describe_published_numbers(found))
        ax = picture.axes_at(LEFT, BELOW, WIDTH - LEFT - 2.0 * MARGIN, ROOM)
    plain_axes(ax, grid="y")
    entries: list[tuple[Any, str]] = [(ring(INK), found.rings_are)]
    for place, (name, across, up) in enumerate(found.curves):
        look = CURVES[place]
        (line,) = ax.plot(across, up, color=look.colour, linewidth=2.2, linestyle=look.line)
        entries.append((line, name or say("published.ours")))
    if found.dots is not None:
        (dots,) = ax.plot(*found.dots, linestyle="none", marker="D", markersize=5.5, color=CURVES[0].colour)
        entries.append((dots, say("published.ours_at_its_own" if found.curves else "published.ours")))
    for x, y in zip(*found.rings, strict=True):
        ax.add_line(ring(INK, float(x), float(y)))
    named = _scales(ax, found)
    if not named:
        axis_name(ax, found.across)
    heading(ax, title, above=lines_height(1) + 2.0 * MARGIN)
    write(ax, 0.0, 1.0, found.up, colour=QUIET, shift=(-44.0, 10.0))
    key(ax, entries[:4], below=0.62)
    return ax


def _scales(ax: Axes, found: Published) -> bool:
    """Leave room around what is drawn; name numbers that stand side by side, and say so."""
    shown = [
        found.rings,
        *((across, up) for _, across, up in found.curves),
        *([found.dots] if found.dots else []),
    ]
    across, up = (np.concatenate([pair[axis] for pair in shown]) for axis in (0, 1))
    for values, limit in ((across, ax.set_xlim), (up, ax.set_ylim)):
        room = 0.06 * (float(values.max() - values.min()) or 1.0)
        limit(float(values.min()) - room, float(values.max()) + room)
    named = not found.curves and len(found.numbers) > 3
    if named:
        names = [number.name.replace(", ", "\n") for number in found.numbers]
        ax.set_xticks(found.rings[0], names, fontsize=TEXT - 2.0, fontfamily=TYPEFACE)
    return named


def describe_published_numbers(found: Published) -> str:
    """Say in one sentence what `published_numbers` shows.

    Parameters
    ----------
    found : Published
        What is drawn.

    Returns
    -------
    str
    """
    numbers = "; ".join(
        say("published.number", what=number.name, printed=number.printed, ours=f"{number.ours:.4g}")
        for number in found.numbers
    )
    agree = sum(number.agrees for number in found.numbers)
    return say("published.shown", title=found.title, agree=agree, number=len(found.numbers), numbers=numbers)
