"""Labels at the right ends of lines, spread apart so that none touches another.

Lecture
-------
Labels want to stand where the lines end, and must not touch. With wanted centres d and half heights
h, the centres p are those with the smallest ``sum (p - d)^2`` such that neighbours stay ``h + h'``
apart, moved back into the room there is. Labels that touch are joined to one block at the mean of
what its members want; blocks that touch are joined again. A leader ties each label to its line.

Source: joining blocks until none touch is isotonic regression by pooling adjacent violators,
textbook.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from lifecycle.charts.canvas import POINTS, TEXT, lines_height, placed, write
from lifecycle.charts.palette import INK, QUIET, Look

GAP, APART = 0.07, 0.03
"""Least distance between two labels, and between a title and its remark. [inch]"""


def spread(
    wanted: Sequence[float], heights: Sequence[float], *, low: float, high: float, gap: float = 0.0
) -> list[float]:
    """Return centres near the wanted ones at which labels do not touch.

    Parameters
    ----------
    wanted : sequence of float
        Centres that the labels would like, in any order.
    heights : sequence of float
        Their heights, in the same unit.
    low, high : float
        Room; if it is too small for all, they grow beyond `low`.
    gap : float
        Least distance between two labels.

    Returns
    -------
    list of float
        Centres in the order given.

    Examples
    --------
    >>> spread([5.0, 5.0], [2.0, 2.0], low=0.0, high=10.0)
    [4.0, 6.0]
    >>> spread([10.0], [2.0], low=0.0, high=10.0)
    [9.0]
    """
    order = sorted(range(len(wanted)), key=lambda place: (wanted[place], place))
    offset, at = {}, 0.0
    for place in order:
        offset[place] = at + heights[place] / 2.0
        at += heights[place] + gap
    total = at - gap
    blocks: list[list[int]] = []
    for place in order:
        blocks.append([place])
        while len(blocks) > 1 and _start(blocks[-2], wanted, offset) >= _start(blocks[-1], wanted, offset):
            blocks[-2:] = [blocks[-2] + blocks[-1]]
    centres = [0.0] * len(wanted)
    for block in blocks:
        start = _start(block, wanted, offset)
        start = min(max(start, low), high - total)
        for place in block:
            centres[place] = start + offset[place]
    return centres


def _start(block: Sequence[int], wanted: Sequence[float], offset: dict[int, float]) -> float:
    """Return where the pile of all labels would start if this block stood as it wants."""
    return sum(wanted[place] - offset[place] for place in block) / len(block)


@dataclass(frozen=True)
class Label:
    """The label of a line: the lines of its title and of a remark, and whether the title is bold."""

    title: Sequence[str]
    remark: Sequence[str] = ()
    bold: bool = False

    @property
    def height(self) -> float:
        """Height of all its lines. [inch]"""
        return lines_height(len(self.title) + len(self.remark)) + (APART if self.remark else 0.0)


def label_ends(
    axes: Axes, ends: Sequence[tuple[float, Label, Look]], *, room: float, reach: float = 0.22
) -> None:
    """Write a label at the right end of each line, spread apart, each with a leader to its line.

    Parameters
    ----------
    axes : Axes
        With its limits set for good.
    ends : sequence of (float, Label, Look)
        Height of the end in data coordinates, label, look of the line.
    room : float
        Height that the labels may take below the top of the axes. [inch]
    reach : float
        Length of the leaders. [inch]
    """
    _, _, width, height = placed(axes)
    bottom, top = axes.get_ylim()
    wanted = [(end - bottom) / (top - bottom) * height for end, _, _ in ends]
    heights = [label.height for _, label, _ in ends]
    centres = spread(wanted, heights, low=height - room, high=height + 0.1, gap=GAP)
    for (_, label, look), start, centre in zip(ends, wanted, centres, strict=True):
        across, up = [1.0, 1.0 + reach / width], [start / height, centre / height]
        leader = Line2D(across, up, color=look.colour, linewidth=1.2, transform=axes.transAxes, clip_on=False)
        axes.add_line(leader)
        first = centre + label.height / 2.0 - 0.98 * TEXT / POINTS
        for number, line in enumerate([*label.title, *label.remark]):
            bold, colour = (
                label.bold and number < len(label.title),
                INK if number < len(label.title) else QUIET,
            )
            lower = 0.0 if number < len(label.title) else APART
            up_here = (first - lines_height(number) - lower) / height
            write(axes, across[1], up_here, line, bold=bold, colour=colour, shift=(4.0, 0.0))
