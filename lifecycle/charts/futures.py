"""How sure is this? Cost of owning with its band, and net savings as a distribution.

Lecture
-------
Each *future* is one set of inputs that could all be true. *Under doubt* the line of a way is its mean
cost over the futures, and its band holds 16 of 20 of them. The bands of two ways may overlap though one
of them is cheaper in nearly every future, because the same future moves both; how often one is cheaper
stands in the *spread* of net savings: bars are shares of the futures, zero is marked, left of it the way
is dearer, right of it cheaper; a row over the way that leads, and one over what would be done otherwise.
One future in a hundred at either end lies beyond the picture.

This is about what nobody knows for sure, not about what happens to one coach.

Left out: luck.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import ArrayLike, NDArray

from lifecycle.charts.canvas import MARGIN, POINTS, WIDTH, Picture, lines_height, placed, wrapped, write
from lifecycle.charts.ends import Label, label_ends
from lifecycle.charts.frame import (
    axis_name,
    heading,
    key,
    plain_axes,
    whole_years,
)
from lifecycle.charts.palette import FAINT, GROUND, HATCH, INK, KEEP_FILL, LOOKS, RANGE, SPRAY_FILL
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead, title_of
from lifecycle.language.labels import cheaper_or_dearer, many_of_20, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import Array, money_text, number_text
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.doubt import of_20

NO_DOUBT = say("charts.no_doubt")
"""What stands in place of a chart of doubt where no input is a range."""

LABELS, LEFT, ABOVE, BELOW, HEIGHT = 2.15, 0.55, 0.92, 0.9, 3.2
"""Room for labels, left, above and below the axes, and their height. [inch]"""

ROW, UNDER = 1.35, 0.3
"""Height of a row of the spread; room under it for its range. [inch]"""

BINS = 24
"""Bars that the middle of the spread is cut into, about."""

BEYOND = 0.01
"""Share of the futures beyond either end of the picture. [-]"""


def owning_under_doubt(found: Assessment, ax: Axes | None = None) -> Axes:
    """Draw mean and band of what base case, subject and the leading way cost, by year of sale.

    Parameters
    ----------
    found : Assessment
        Any; without doubt or subject a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    subject = _subject(found)
    if not subject:
        return said_instead(_why_nothing(found), ax)
    if ax is None:
        picture = Picture(BELOW + HEIGHT + ABOVE, describe_owning_under_doubt(found))
        ax = picture.axes_at(LEFT, BELOW, WIDTH - LEFT - LABELS, HEIGHT)
    names = _drawn(found, subject)
    scale = money_scale(max(float(found.costs[name].p90.max()) for name in names), found.scenario.currency)
    years = np.arange(1, found.costs[names[0]].mean.size)
    plain_axes(ax, grid="y")
    whole_years(ax, int(years[-1]))
    ends = []
    for name, look, hatch in zip(names, LOOKS, (HATCH, "", ""), strict=False):
        band = found.costs[name]
        low, mean, high = (part[1:] / scale.by for part in (band.p10, band.mean, band.p90))
        fill_band(ax, years, low, high, look.colour, hatch)
        ax.plot(years, mean, color=look.colour, linestyle=look.line, linewidth=2.6, clip_on=False)
        title = wrapped(title_of(found, name), LABELS - 0.42, bold=True)
        remark = say("charts.futures.ends", low=_two_digits(low[-1]), high=_two_digits(high[-1]))
        ends.append((float(mean[-1]), Label(title, wrapped(remark, LABELS - 0.42), bold=True), look))
    ax.set_ylim(bottom=min(0.0, ax.get_ylim()[0]))
    label_ends(ax, ends, room=HEIGHT)
    axis_name(ax, say("charts.sold_after"))
    write(
        ax,
        0.0,
        1.0,
        say("charts.futures.axis", money=scale.name),
        shift=((MARGIN - LEFT) * POINTS, 0.22 * POINTS),
    )
    heading(ax, [say("charts.futures.title")], above=0.46)
    return ax


def fill_band(ax: Axes, years: ArrayLike, low: Array, high: Array, colour: str, hatch: str) -> None:
    """Fill a band in a colour that the other shines through, with a hatch that tells it from the other."""
    ax.fill_between(years, low, high, facecolor=colour, alpha=0.13, linewidth=0.0)
    ax.fill_between(
        years, low, high, facecolor="none", edgecolor=colour, hatch=hatch, linewidth=0.6, alpha=0.6
    )


def _two_digits(amount: float) -> str:
    """Write an amount with two significant digits."""
    return number_text(float(f"{amount:.2g}"))


def describe_owning_under_doubt(found: Assessment) -> str:
    """Say in one sentence what `owning_under_doubt` shows.

    Parameters
    ----------
    found : Assessment
        What is drawn.

    Returns
    -------
    str
    """
    subject = _subject(found)
    if not subject:
        return _why_nothing(found)
    year = _last_year(found)
    parts = []
    for name in _drawn(found, subject):
        band = found.costs[name]
        low, mean, high = (money_text(float(part[year])) for part in (band.p10, band.mean, band.p90))
        parts.append(say("charts.futures.way", way=title_of(found, name), mean=mean, low=low, high=high))
    return say(
        "charts.futures.said", currency=found.scenario.currency, years=years_text(year), ways="; ".join(parts)
    )


def _subject(found: Assessment) -> str:
    """Return the way that the answer is about; "" where there is nothing to draw."""
    return "" if found.scenario.trouble or not found.any_doubt else found.subject or ""


def _drawn(found: Assessment, subject: str) -> tuple[str, ...]:
    """Return the ways drawn: the base case, the subject, and the way that leads where it is neither."""
    leads = [found.judged.acting.place.way] if found.judged is not None else []
    return tuple(dict.fromkeys([found.doubt.base_case, subject, *leads]))


def _why_nothing(found: Assessment) -> str:
    """Say why there is nothing to draw."""
    return NOTHING_COMPARED if found.scenario.trouble or found.subject is None else NO_DOUBT


def _last_year(found: Assessment) -> int:
    """Return the last whole year that the coach is kept, at least 1. [years]"""
    return max(1, int(found.doubt.years + 1e-9))


def savings_spread(found: Assessment, ax: Axes | None = None) -> Axes:
    """Draw the net savings of the subject over the futures, with zero marked.

    A row over the way that leads, so that nobody is shown the easier comparison alone, and one over what
    would be done otherwise; one row where these are one way, or the subject leads.

    Parameters
    ----------
    found : Assessment
        Any; without doubt or subject a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    subject = _subject(found)
    if not subject:
        return said_instead(_why_nothing(found), ax)
    others = _held_against(found, subject)
    title = wrapped(_spread_heading(found), WIDTH - 2 * MARGIN, 14.0, bold=True)
    captions = [wrapped(_against(found, name), WIDTH - 2 * MARGIN) for name in others]
    written = sum(lines_height(len(lines) + 1.3) + UNDER for lines in captions)
    if ax is None:
        high = written + len(others) * ROW
        picture = Picture(0.95 + high + 0.2 + lines_height(len(title), 14.0), describe_savings_spread(found))
        ax = picture.axes_at(MARGIN, 0.95, WIDTH - 2 * MARGIN, high)
    high = placed(ax)[3]
    room = (high - written) / len(others)
    savings = [found.doubt.net_savings(subject, than=name) for name in others]
    scale = money_scale(max(float(np.abs(some).max()) for some in savings), found.scenario.currency)
    plain_axes(ax, grid="x")
    ax.grid(visible=False)
    ax.set_ylim(0.0, high)
    top, ends, floors = high, [0.0], []
    for name, some, lines in zip(others, savings, captions, strict=True):
        top -= lines_height(len(lines) + 1.3) + room
        ends += _draw_spread(ax, found, some / scale.by, floor=top, room=room)
        for number, line in enumerate(lines):
            up = top + room + lines_height(len(lines) + 0.4 - number)
            write(ax, 0.0, up, line, by=ax.get_yaxis_transform())
        _write_sides(ax, of_20(found.doubt.chance_cheaper(subject, than=name)), top + room)
        floors.append(top)
        top -= UNDER
    pad = 0.02 * (max(ends) - min(ends))  # so that the first tick's label stays on the picture
    ax.set_xlim(min(ends) - pad, max(ends) + pad)
    seen = [tick for tick in ax.get_xticks() if min(ends) < tick < max(ends)]
    for floor in floors:
        ax.vlines(seen, floor - UNDER, floor + room, color=FAINT, linewidth=0.8, zorder=0.5)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    axis_name(ax, say("charts.cheaper_by", money=scale.name))
    heading(ax, title, above=0.1)
    marks = (
        Line2D([], [], **RANGE),
        Line2D([], [], color=INK, marker="D", markersize=9, linestyle="none"),
    )
    key(
        ax,
        list(zip(marks, (say("charts.futures.in_16"), say("charts.futures.middle")), strict=True)),
        below=0.62,
    )
    return ax


def _draw_spread(ax: Axes, found: Assessment, savings: Array, *, floor: float, room: float) -> list[float]:
    """Draw one row of bars with its range, standing at `floor`, `room` high; return its ends. [inch]"""
    edges, shares = spread_bars(savings, found.doubt.futures.weights)
    tall = shares * room / float(shares.max())
    dearer = edges[1:] <= 1e-12
    for side, look in ((dearer, KEEP_FILL), (~dearer, SPRAY_FILL)):
        ax.add_patch(PathPatch(_bars(edges, tall, side, floor), **look))
    band, middle = found.doubt.band(savings), floor - 0.5 * UNDER
    ax.plot([band.p10, band.p90], [middle] * 2, **RANGE)
    ax.plot([band.p50], [middle], marker="D", markersize=9, color=INK, markeredgecolor=GROUND)
    ax.plot([0.0, 0.0], [floor - UNDER, floor + room], color=INK, linewidth=2.0)
    return [float(edges[0]), float(edges[-1])]


def _bars(edges: Array, tall: Array, side: NDArray[np.bool_], floor: float) -> Path:
    """Return bars on a floor as one shape: a patch for each takes three times as long to draw."""
    left, right, top = edges[:-1][side], edges[1:][side], floor + tall[side]
    bottom = np.full(top.shape, floor)
    corners = ((left, bottom), (left, top), (right, top), (right, bottom), (left, bottom))
    around = np.stack([np.stack(corner, axis=-1) for corner in corners], axis=1)
    codes = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY] * int(side.sum())
    return Path(around.reshape(-1, 2), codes)


def _write_sides(ax: Axes, chance: int, up: float) -> None:
    """Write over a row in how many futures it is dearer, and in how many cheaper."""
    by = ax.get_yaxis_transform()
    dearer = say("charts.futures.dearer", many=many_of_20(20 - chance))
    cheaper = say("charts.futures.cheaper", many=many_of_20(chance))
    write(ax, 0.0, up, dearer, shift=(0.0, 5.0), by=by)
    write(ax, 1.0, up, cheaper, across="right", shift=(0.0, 5.0), by=by)


def _held_against(found: Assessment, subject: str) -> tuple[str, ...]:
    """Return the ways that the subject is held against: the one that leads, and what is done otherwise."""
    return tuple(name for name in reversed(_drawn(found, subject)) if name != subject)


def _against(found: Assessment, name: str) -> str:
    """Say which way a row holds the subject against, and which part that way has."""
    part = "otherwise" if name == found.doubt.base_case else "leads"
    return say(f"charts.futures.{part}", way=title_of(found, name))


def spread_bars(values: Array, weights: Array) -> tuple[Array, Array]:
    """Cut values into bars of one width, one edge of which is zero.

    Parameters
    ----------
    values : ndarray, shape (draws,)
        By future.
    weights : ndarray, shape (draws,)
        Adding up to 1. [-]

    Returns
    -------
    edges : ndarray, shape (bars + 1,)
        Edges of the bars.
    shares : ndarray, shape (bars,)
        Weight of the futures in each; what lies beyond either end is left out. [-]
    """
    order = np.argsort(values, kind="stable")
    running = np.cumsum(weights[order])
    ends = np.searchsorted(running, (BEYOND, 1.0 - BEYOND - 1e-12))
    low, high = values[order][np.minimum(ends, values.size - 1)]
    raw = (high - low or abs(high) or 1.0) / BINS
    power = 10.0 ** np.floor(np.log10(raw))
    width = power * next(step for step in (1.0, 2.0, 2.5, 5.0, 10.0) if step * power >= raw * (1.0 - 1e-9))
    edges = width * np.arange(np.floor(low / width), np.floor(high / width) + 2.0)
    shares, _ = np.histogram(values, bins=edges, weights=weights)
    return edges, shares


def _spread_heading(found: Assessment) -> str:
    """Return the heading of the spread: which way, and for how long."""
    subject = title_of(found, found.subject or "")
    return say("charts.futures.spread_title", way=subject, years=years_text(found.doubt.years))


def describe_savings_spread(found: Assessment) -> str:
    """Say in a sentence for each row what `savings_spread` shows.

    Parameters
    ----------
    found : Assessment
        What is drawn.

    Returns
    -------
    str
    """
    subject = _subject(found)
    if not subject:
        return _why_nothing(found)
    rows = []
    for name in _held_against(found, subject):
        band = found.doubt.band(found.doubt.net_savings(subject, than=name))
        chance = of_20(found.doubt.chance_cheaper(subject, than=name))
        rows.append(
            say(
                "charts.futures.row",
                against=_against(found, name),
                middle=cheaper_or_dearer(float(band.p50)),
                ends=" and ".join(cheaper_or_dearer(float(end)) for end in (band.p10, band.p90)),
                cheaper=many_of_20(chance),
                dearer=many_of_20(20 - chance),
            )
        )
    return say("charts.futures.spread", title=_spread_heading(found), rows="; ".join(rows))
