"""How sure is this? Cost of owning with its band, and net savings as a distribution.

Lecture
-------
Each *future* is one set of inputs that could all be true. *Under doubt* the line of a way is its mean
cost over the futures, and its band holds 16 of 20 of them. The bands of two ways may overlap though one
of them is cheaper in nearly every future, because the same future moves both; how often one is cheaper
stands in the *spread* of net savings: bars are shares of the futures, zero is marked, left of it the
way is dearer, right of it cheaper. One future in a hundred at either end lies beyond the picture.

This is about what nobody knows for sure, not about what happens to one coach.

Left out: luck.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from numpy.typing import ArrayLike, NDArray

from lifecycle.charts.canvas import MARGIN, POINTS, WIDTH, Picture, wrapped, write
from lifecycle.charts.ends import Label, label_ends
from lifecycle.charts.frame import (
    axis_name,
    heading,
    key,
    plain_axes,
    whole_years,
)
from lifecycle.charts.palette import GROUND, HATCH, INK, KEEP_FILL, LOOKS, RANGE, SPRAY_FILL
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead, title_of
from lifecycle.language.labels import cheaper_or_dearer, years_text
from lifecycle.language.sentences import say
from lifecycle.language.words import many_of_20
from lifecycle.quantities import money_text, number_text
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.doubt import of_20

Array = NDArray[np.float64]

NO_DOUBT = say("charts.no_doubt")
"""What stands in place of a chart of doubt where no input is a range."""

LABELS, LEFT, ABOVE, BELOW, HEIGHT = 2.15, 0.55, 0.92, 0.9, 3.2
"""Room for labels, left, above and below the axes, and their height. [inch]"""

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
    title = wrapped(_spread_heading(found), WIDTH - 2 * MARGIN, 14.0, bold=True)
    above = 0.62 + 0.25 * len(title)
    if ax is None:
        picture = Picture(0.95 + 2.2 + above, describe_savings_spread(found))
        ax = picture.axes_at(MARGIN, 0.95, WIDTH - 2 * MARGIN, 2.2)
    savings = found.doubt.net_savings(subject)
    weights = found.doubt.futures.weights
    scale = money_scale(float(np.abs(savings).max()), found.scenario.currency)
    edges, shares = spread_bars(savings / scale.by, weights)
    plain_axes(ax, grid="x")
    dearer = edges[1:] <= 1e-12
    for side, look in ((dearer, KEEP_FILL), (~dearer, SPRAY_FILL)):
        ax.bar(edges[:-1][side], shares[side], np.diff(edges)[side], align="edge", **look)
    band = found.doubt.band(savings / scale.by)
    top = 1.12 * float(shares.max())
    ax.set_ylim(-0.16 * top, top)
    ax.plot([band.p10, band.p90], [-0.08 * top] * 2, **RANGE)
    ax.plot([band.p50], [-0.08 * top], marker="D", markersize=9, color=INK, markeredgecolor=GROUND)
    ax.set_xlim(min(edges[0], 0.0), max(edges[-1], 0.0))
    ax.axvline(0.0, color=INK, linewidth=2.0)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    chance = of_20(found.doubt.chance_cheaper(subject))
    write(ax, 0.0, 1.0, say("charts.futures.dearer", many=many_of_20(20 - chance)), shift=(0.0, 6.0))
    write(
        ax, 1.0, 1.0, say("charts.futures.cheaper", many=many_of_20(chance)), across="right", shift=(0.0, 6.0)
    )
    axis_name(ax, say("charts.cheaper_by", money=scale.name))
    heading(ax, title, above=0.38)
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
    """Return the heading of the spread: which way against which, and for how long."""
    subject, base = title_of(found, found.subject or ""), title_of(found, found.doubt.base_case)
    return say("charts.futures.spread_title", way=subject, base=base, years=years_text(found.doubt.years))


def describe_savings_spread(found: Assessment) -> str:
    """Say in one sentence what `savings_spread` shows.

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
    band = found.doubt.band(found.doubt.net_savings(subject))
    chance = of_20(found.doubt.chance_cheaper(subject))
    ends = " and ".join(cheaper_or_dearer(float(end)) for end in (band.p10, band.p90))
    return say(
        "charts.futures.spread",
        title=_spread_heading(found),
        middle=cheaper_or_dearer(float(band.p50)),
        ends=ends,
        cheaper=many_of_20(chance),
        dearer=many_of_20(20 - chance),
    )
