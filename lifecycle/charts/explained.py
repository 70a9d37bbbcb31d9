"""One step of the model as lines: a picture for whoever wants to see what is computed.

Lecture
-------
A line for each case, told apart by colour, dash and a key; a dotted upright line where a place across
means something. Figures are at their likely values.

Left out: doubt and luck, which have pictures of their own.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from lifecycle.charts.canvas import HEADING, MARGIN, WIDTH, Picture, lines_height, wrapped, write
from lifecycle.charts.frame import axis_name, heading, plain_axes, round_years
from lifecycle.charts.palette import CURVES, INK, QUIET
from lifecycle.language.sentences import say
from lifecycle.quantities import number_text
from lifecycle.studies.explained import Curves

LEFT, BELOW, ROOM, LINE = 0.85, 0.62, 2.3, 0.26
"""Room left of the axes and below them; their height; height of a line of the key. [inch]"""


def step(found: Curves, ax: Axes | None = None) -> Axes:
    """Draw the lines of one step.

    Parameters
    ----------
    found : Curves
        From `studies.explained`.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    title = wrapped(found.title, WIDTH - 2 * MARGIN, HEADING, bold=True)
    below = BELOW + LINE * len(found.lines) + MARGIN
    if ax is None:
        above = lines_height(len(title), HEADING) + lines_height(1) + 3.0 * MARGIN
        picture = Picture(below + ROOM + above, describe_step(found))
        ax = picture.axes_at(LEFT, below, WIDTH - LEFT - 2.0 * MARGIN, ROOM)
    plain_axes(ax, grid="y")
    drawn: list[tuple[Any, str]] = []
    for place, (name, across, up) in enumerate(found.lines):
        look = CURVES[place % len(CURVES)]
        (line,) = ax.plot(across, up, color=look.colour, linewidth=2.2, linestyle=look.line)
        drawn.append((line, name))
    ax.set_xlim(0.0, max(float(across[-1]) for _, across, _ in found.lines))
    ax.set_ylim(0.0, 1.06 * max(float(np.max(up)) for _, _, up in found.lines) or 1.0)
    if found.mark is not None:
        ax.axvline(found.mark[0], color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)))
        write(ax, found.mark[0], 0.0, f" {found.mark[1]}", by=ax.get_xaxis_transform(), shift=(2.0, 8.0))
    round_years(ax)
    axis_name(ax, found.across)
    heading(ax, title, above=lines_height(1) + 2.0 * MARGIN)
    write(ax, 0.0, 1.0, found.up, colour=QUIET, shift=(-44.0, 10.0))
    for place, (line, name) in enumerate(drawn):
        _named(ax, line, name, place)
    return ax


def _named(ax: Axes, line: Any, name: str, place: int) -> None:
    """Write one line of the key below the axes."""
    _, height = ax.get_figure(root=True).get_size_inches()  # type: ignore[union-attr]
    up = -(BELOW + LINE * (place + 0.4)) / (ax.get_position().height * float(height))
    ax.plot(
        [0.0, 0.09],
        [up, up],
        transform=ax.transAxes,
        clip_on=False,
        color=line.get_color(),
        linewidth=2.2,
        linestyle=CURVES[place % len(CURVES)].line,
    )
    write(ax, 0.11, up, name, colour=INK, up="center")


def describe_step(found: Curves) -> str:
    """Say in one sentence what `step` shows.

    Parameters
    ----------
    found : Curves
        What is drawn.

    Returns
    -------
    str
    """
    parts = []
    for name, across, up in found.lines:
        middle = across.size // 2
        values = [
            say("charts.explained.point", up=number_text(float(f"{up[i]:.3g}"), 3), across=f"{across[i]:g}")
            for i in (middle, -1)
        ]
        parts.append(f"{name}, {' and '.join(values)}")
    mark = (
        say("charts.explained.mark", across=f"{found.mark[0]:g}", name=found.mark[1])
        if found.mark is not None
        else ""
    )
    return say(
        "charts.explained.said",
        title=found.title,
        up=found.up,
        across=found.across,
        points="; ".join(parts),
        mark=mark,
    )
