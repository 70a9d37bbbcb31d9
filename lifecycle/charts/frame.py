"""What stands around a chart: heading, axes, money, key, titles of bars, labels at the ends of lines.

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
from typing import Any, Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator
from matplotlib.transforms import blended_transform_factory

from lifecycle.charts.canvas import (
    FULL,
    HEADING,
    MARGIN,
    POINTS,
    TEXT,
    TYPEFACE,
    WIDTH,
    Picture,
    headline,
    lines_height,
    placed,
    wrapped,
    write,
)
from lifecycle.charts.palette import FAINT, FILLS, GROUND, INK, QUIET, Look
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.sentences import say
from lifecycle.quantities import Array
from lifecycle.studies.assessment import Assessment


class Sheet(Picture):
    """A picture that charts are put on one below the other; each keeps the room of a picture of its own.

    Parameters
    ----------
    heading : sequence of str
        Lines above all charts.
    under : float
        Room between them and the first chart, besides a margin. [inch]
    """

    def __init__(self, heading: str, under: float = 0.0) -> None:
        super().__init__(TALLEST, heading)
        self._heading, self._under = headline(heading), under
        self._depth = lines_height(len(self._heading), HEADING) + MARGIN + under
        self._places: list[tuple[float, float, float, float]] = []

    def put(self, said: str, left: float, width: float, height: float, below: float, above: float) -> Axes:
        """Return axes below all that is there; the sheet says what they show. [inch]"""
        self._depth += (BETWEEN if self._places else 0.0) + above + height
        self._places.append((left, self._depth, width, height))
        self.text_alternative = f"{self.text_alternative} {said}"
        axes = self.axes_at(left, TALLEST - self._depth, width, height)
        self._depth += below
        return axes

    def cut(self) -> Sheet:
        """Cut off what is left at the bottom, and write the heading."""
        self.set_size_inches(WIDTH, self._depth)
        for axes, (left, down, width, height) in zip(self.axes, self._places, strict=True):
            place = left / WIDTH, (self._depth - down) / self._depth, width / WIDTH, height / self._depth
            axes.set_position(place)
        over = self._places[0][1] - self._places[0][3] - MARGIN
        above = over - lines_height(len(self._heading) - 0.2, HEADING)
        heading(self.axes[0], self._heading, above=above)
        return self


Where = Axes | Sheet | None
"""What a chart is drawn on: axes, the next place of a sheet, or a picture of its own."""


def framed(
    ax: Where,
    said: str,
    *,
    height: float,
    below: float,
    above: float,
    left: float = MARGIN,
    right: float = MARGIN,
    grid: Literal["x", "y"] | None = None,
) -> Axes:
    """Return the axes that a chart is drawn on: those given, or ones on a picture of its own.

    Parameters
    ----------
    ax : Axes or None
        Where; None: on a picture of its own.
    said : str
        Text alternative of that picture, and of one that has none.
    height : float
        Of its axes. [inch]
    below, above, left, right : float
        Room around them. [inch]
    grid : "x", "y" or None
        Grid across or up, with quiet lines and readable ticks; None: neither.
    """
    width = WIDTH - left - right
    if ax is None:
        ax = Picture(below + height + above, said).axes_at(left, below, width, height)
    elif isinstance(ax, Sheet):
        ax = ax.put(said, left, width, height, below, above)
    elif isinstance(picture := ax.get_figure(root=True), Picture):
        picture.text_alternative = picture.text_alternative or said
    if grid is not None:
        plain_axes(ax, grid=grid)
    return ax


def named(
    ax: Axes,
    across: str,
    title: Sequence[str],
    above: float,
    entries: Sequence[tuple[Any, str]] = (),
    below: float = 0.62,
) -> Axes:
    """Name the axis across, write the heading above the axes, and the key below them. [inch]"""
    if across:
        axis_name(ax, across)
    heading(ax, title, above=above)
    if entries:
        key(ax, entries, below=below)
    return ax


def plain_axes(axes: Axes, *, grid: Literal["x", "y"]) -> None:
    """Give axes quiet lines, readable ticks, and a grid across ("x") or up ("y")."""
    axes.set_facecolor(GROUND)
    axes.set_axisbelow(True)
    axes.grid(True, axis=grid, color=FAINT, linewidth=0.8)
    for name, spine in axes.spines.items():
        spine.set_visible(name in ("left", "bottom"))
        spine.set_color(QUIET)
    axes.tick_params(labelsize=TEXT, labelfontfamily=TYPEFACE, colors=INK, length=3.0)


def whole_years(axes: Axes, years: int) -> None:
    """Set the axis across to years of sale from 0 to the study period, at round years."""
    axes.set_xlim(0.0, years)
    round_years(axes)


def round_years(axes: Axes) -> None:
    """Set the ticks of the axis across to round years."""
    axes.xaxis.set_major_locator(MaxNLocator(nbins=5, integer=True, steps=[1, 2, 5, 10]))


TALLEST, BETWEEN = 100.0, 0.15
"""Height of a sheet before it is cut; room between its charts. [inch]"""

BAR, SLOT = 0.28, 0.22
"""Height of a bar that lies below its title, and what is left below it. [inch]"""

Titles = Sequence[Sequence[str]]
"""Lines of the title of each bar."""


def titled_height(titles: Titles) -> float:
    """Return the height of axes with a bar for each title. [inch]"""
    return sum(lines_height(len(lines)) + BAR + SLOT for lines in titles)


def titled_bars(
    ax: Where,
    said: str,
    titles: Titles,
    *,
    bold: Sequence[bool] = (),
    beside: Sequence[str] = (),
    **around: float,
) -> tuple[Axes, list[float]]:
    """Write the titles of lying bars, each above its bar; the axis up is then in inches from the top.

    Parameters
    ----------
    ax : Axes or None
        Where, of the height `titled_height`; None: on a picture of its own.
    said : str
        Text alternative of that picture.
    titles : sequence of sequence of str
        Lines of each title.
    bold : sequence of bool
        Whether each is in bold; empty: none.
    beside : sequence of str
        What stands at the right end of the first line of each; empty: nothing.
    around : float
        Room around the axes, as `framed` takes it. [inch]

    Returns
    -------
    Axes, list of float
        With the middle of each bar. [inch]
    """
    axes = framed(ax, said, height=titled_height(titles), grid="x", **around)
    across = blended_transform_factory(axes.transAxes, axes.transData)
    top, middles = 0.0, []
    for place, lines in enumerate(titles):
        strong = bool(bold) and bold[place]
        for number, line in enumerate(lines):
            write(axes, 0.0, top + lines_height(number + 0.85), line, bold=strong, by=across, clear=True)
        if beside:
            up = top + lines_height(0.85)
            write(axes, 1.0, up, beside[place], bold=strong, across="right", by=across, clear=True)
        middles.append(top + lines_height(len(lines)) + 0.04 + BAR / 2.0)
        top += lines_height(len(lines)) + BAR + SLOT
    axes.set_ylim(top, 0.0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    return axes, middles


def heading(
    axes: Axes,
    lines: Sequence[str],
    *,
    above: float,
    size: float = HEADING,
    bold: bool = True,
    colour: str = INK,
) -> None:
    """Write a heading above axes, flush with the left edge of the picture.

    Parameters
    ----------
    axes : Axes
        Where.
    lines : sequence of str
        Lines of the heading.
    above : float
        Distance of the last line from the top of the axes. [inch]
    size : float
        Size. [point]
    bold : bool
        Whether in bold.
    colour : str
        Colour.
    """
    left = placed(axes)[0] - MARGIN
    for number, line in enumerate(lines):
        up = (above + lines_height(len(lines) - 1 - number, size)) * POINTS
        write(axes, 0.0, 1.0, line, size=size, bold=bold, colour=colour, shift=(-left * POINTS, up))


def plan_axes(title: str, notes: Sequence[str], height: float, sentence: str) -> Axes:
    """Make a picture with a heading above a plan and notes below it, and return the axes between them.

    Parameters
    ----------
    title, notes : str, sequence of str
        Heading, and what stands below; broken into lines here.
    height : float
        Of the plan. [inch]
    sentence : str
        Text alternative of the picture.
    """
    above = headline(title)
    below = [line for note in notes for line in wrapped(note)]
    foot = lines_height(len(below)) + 2.0 * MARGIN
    whole = foot + height + lines_height(len(above), HEADING) + 2.0 * MARGIN
    picture = Picture(whole, sentence)
    axes = picture.axes_at(0.0, 0.0, WIDTH, whole)
    axes.set_axis_off()
    for number, line in enumerate(above):
        up = whole - MARGIN - lines_height(number + 0.8, HEADING)
        write(axes, MARGIN / WIDTH, up / whole, line, size=HEADING, bold=True)
    for number, line in enumerate(below):
        up = foot - MARGIN - lines_height(number + 0.8)
        write(axes, MARGIN / WIDTH, up / whole, line)
    return picture.axes_at(MARGIN, foot, FULL, height)


def ring(colour: str, *place: float) -> Line2D:
    """Return a ring, at a place if one is given."""
    return Line2D(
        place[:1],
        place[1:],
        linestyle="none",
        marker="o",
        markersize=12,
        markerfacecolor="none",
        markeredgewidth=2.0,
        markeredgecolor=colour,
        zorder=5,
        clip_on=False,
    )


def axis_name(axes: Axes, name: str) -> None:
    """Name the axis across, below its ticks at the left."""
    axes.set_xlabel(name, fontsize=TEXT, fontfamily=TYPEFACE, color=INK, loc="left", labelpad=3.0)


def key(axes: Axes, entries: Sequence[tuple[Any, str]], *, below: float) -> None:
    """Draw the key of a chart in up to three columns below the axes.

    Parameters
    ----------
    axes : Axes
        Where.
    entries : sequence of (artist, str)
        Swatches and their names.
    below : float
        Distance of its top from the bottom of the axes. [inch]
    """
    left, _, width, height = placed(axes)
    drawn = axes.legend(
        [artist for artist, _ in entries],
        [name for _, name in entries],
        loc="upper left",
        bbox_to_anchor=((MARGIN - left) / width, -below / height),
        ncols=min(3, len(entries)),
        prop={"family": TYPEFACE, "size": TEXT},
        labelcolor=INK,
        frameon=False,
        borderpad=0.0,
        borderaxespad=0.0,
        labelspacing=0.25,
        handlelength=1.6,
        handletextpad=0.5,
        columnspacing=1.2,
    )
    drawn.set_in_layout(False)


GAP, APART, REACH = 0.07, 0.03, 0.22
"""Least distance between two labels, and between a title and its remark; length of the leaders. [inch]"""


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


def label_ends(axes: Axes, ends: Sequence[tuple[float, Label, Look]], *, room: float) -> None:
    """Write a label at the right end of each line, spread apart, each with a leader to its line.

    Parameters
    ----------
    axes : Axes
        With its limits set for good.
    ends : sequence of (float, Label, Look)
        Height of the end in data coordinates, label, look of the line.
    room : float
        Height that the labels may take below the top of the axes. [inch]
    """
    _, _, width, height = placed(axes)
    bottom, top = axes.get_ylim()
    wanted = [(end - bottom) / (top - bottom) * height for end, _, _ in ends]
    heights = [label.height for _, label, _ in ends]
    centres = spread(wanted, heights, low=height - room, high=height + 0.1, gap=GAP)
    for (_, label, look), start, centre in zip(ends, wanted, centres, strict=True):
        across, up = [1.0, 1.0 + REACH / width], [start / height, centre / height]
        leader = Line2D(across, up, color=look.colour, linewidth=1.2, transform=axes.transAxes, clip_on=False)
        axes.add_line(leader)
        first = centre + label.height / 2.0 - 0.98 * TEXT / POINTS
        for number, line in enumerate([*label.title, *label.remark]):
            own = number < len(label.title)
            up_here = (first - lines_height(number) - (0.0 if own else APART)) / height
            bold, colour = own and label.bold, INK if own else QUIET
            write(axes, across[1], up_here, line, bold=bold, colour=colour, shift=(4.0, 0.0))


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


def said_instead(sentence: str, ax: Where) -> Axes:
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
    lines = wrapped(sentence)
    ax = framed(ax, sentence, height=lines_height(len(lines)) + 2 * MARGIN, below=0.0, above=0.0)
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
        list(outlines),
        facecolor=fill.colour,
        hatch=fill.hatch,
        edgecolor=INK,
        linewidth=0.5,
        label=category,
        zorder=3,  # above the ground of what is written
    )
    ax.add_collection(bars, autolim=False)
