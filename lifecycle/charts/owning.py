"""What ways cost by year of sale: all of them, the two that are judged with their futures, the year it pays.

Lecture
-------
The line of a way at N is what it costs if the coach is sold at the end of year N. A ring marks the
*break-even year*: the first from which the way stays no dearer than what the owner would do
otherwise, whatever later year the coach is sold in. The label says the year, or that there is none
within the years shown. An upright line stands at the years that the owner expects to keep it: where
the way is dearer at that line, no later break-even year makes it the cheaper one for this owner.
Costs are means over the futures where the comparison is averaged (`doubt.averaged`), else every input stands
at its likely value; the chart says which.

*Under doubt*: each *future* is one set of inputs that could all be true; the line of a way is its mean
cost over the futures, and its band holds 16 of 20 of them. The bands of two ways may overlap though one
of them is cheaper in nearly every future, because the same future moves both; how often one is cheaper
stands in the *spread* of net savings: bars are shares of the futures, zero is marked, left of it the way
is dearer, right of it cheaper; a row over the way that leads, and one over what would be done otherwise.
One future in a hundred at either end lies beyond the picture.

*The break-even year* has a bar below its ring that holds that year in 16 of 20 futures; an arrow says that it
runs beyond the years shown. A wide bar beside a clear ring is the usual case: the year is known much
worse than the answer.

This is about what nobody knows for sure, not about what happens to one coach. Left out: luck.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import ArrayLike, NDArray

from lifecycle.charts.canvas import HEADING, TEXT, headline, lines_height, placed, text_width, wrapped, write
from lifecycle.charts.frame import (
    GAP,
    NOTHING_COMPARED,
    Label,
    Scale,
    Where,
    framed,
    heading,
    label_ends,
    money_scale,
    named,
    ring,
    said_instead,
    stands_out,
    title_of,
    way_title,
    ways_of,
    whole_years,
)
from lifecycle.charts.palette import (
    FAINT,
    GROUND,
    HATCH,
    INK,
    KEEP_FILL,
    LOOKS,
    QUIET,
    RANGE,
    SPRAY,
    SPRAY_FILL,
    Look,
    looks,
)
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.labels import cheaper_or_dearer, many_of_20, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import Array, inner, money_text, number_text
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.doubt import Doubt, averaged, band, of_20

LABELS, LEFT = 2.15, 0.55
"""Room right of the axes for labels, and left of them for ticks. [inch]"""

LEAST = 3.2
"""Least height of the axes. [inch]"""


def cost_of_owning(comparison: Comparison, ax: Where = None) -> Axes:
    """Draw what each way costs by year of sale, with the break-even years marked.

    Parameters
    ----------
    comparison : Comparison
        Any; where nothing is compared, a sentence says so.
    ax : Axes or None
        Where; None: on a picture of its own. It needs the height `owning_height`, `ABOVE` and
        `BELOW` around it, and `LABELS` to the right.

    Returns
    -------
    Axes
    """
    ways, years = ways_of(comparison), comparison.study_period
    if not ways:
        return said_instead(NOTHING_COMPARED, ax)
    labels = [_way_label(comparison, way, bold=stands_out(comparison, way)) for way in ways]
    height = max(LEAST, sum(label.height + GAP for label in labels) - 0.4)
    said, scale = describe_cost_of_owning(comparison), _scale(comparison, ways)
    ax = _by_year(ax, said, years, height=height, below=1.0, above=1.0)
    given = looks(comparison.ways, base_case=comparison.base_case, subject=comparison.subject)
    for place, way in enumerate(ways):
        cost = way.net_present_cost / scale.by
        look, wide = given[way.name], 2.6 if place == 0 or way.name == comparison.subject else 1.6
        ax.plot(
            range(1, years + 1),
            cost[1:],
            color=look.colour,
            linestyle=look.line,
            linewidth=wide,
            marker=look.marker,
            markersize=6,
            markevery=(place % 4, 4),
            markeredgecolor=GROUND,
            markeredgewidth=0.6,
            clip_on=False,
        )
        _mark(ax, way, look, scale)
    ax.set_ylim(bottom=min(0.0, *(float(min(way.net_present_cost)) / scale.by for way in ways)))
    _years_kept(ax, comparison.holding_period)
    ends = [float(way.net_present_cost[-1]) / scale.by for way in ways]
    label_ends(ax, list(zip(ends, labels, given.values(), strict=True)), room=height + 0.5)
    _unit(ax, _how(comparison, scale), 0.38)
    title, marks = [say("charts.owning.title")], [(ring(INK), say("charts.owning.key"))]
    return named(ax, say("labels.sold_after"), title, 0.6, marks)


def _by_year(ax: Where, said: str, years: int, **room: float) -> Axes:
    """Return axes for lines by year of sale, with room for labels at their right."""
    ax = framed(ax, said, left=LEFT, right=LABELS, grid="y", **room)
    whole_years(ax, years)
    return ax


def _scale(comparison: Comparison, ways: Sequence[Way]) -> Scale:
    """Return the unit of what ways cost."""
    return money_scale(max(float(max(way.net_present_cost)) for way in ways), comparison.scenario.currency)


def _how(comparison: Comparison, scale: Scale) -> str:
    """Say in which money costs are, and whether they are means over futures."""
    return say("charts.on_average" if comparison.futures > 1 else "charts.at_likely", money=scale.name)


def _unit(ax: Axes, text: str, up: float, colour: str = INK) -> None:
    """Write a line above axes, so far up, flush with the left edge of the picture. [inch]"""
    heading(ax, [text], above=up, size=TEXT, bold=False, colour=colour)


def _label(title: str, remark: str, *, bold: bool = True) -> Label:
    """Return the label at the end of a line."""
    room = LABELS - 0.42
    return Label(wrapped(title, room, bold=bold), wrapped(remark, room) if remark else (), bold)


def _way_label(comparison: Comparison, way: Way, *, bold: bool = True) -> Label:
    """Return the label of a way: its title, and from which year it is no dearer."""
    said = break_even_text(comparison, way)
    return _label(way_title(comparison, way), f"○ {said}" if said else "", bold=bold)


def break_even_text(comparison: Comparison, way: Way) -> str:
    """Say in a few words from which year of sale a way is no dearer.

    Parameters
    ----------
    comparison : Comparison
        Of the way.
    way : Way
        Any; nothing is said of what the owner would do otherwise.

    Returns
    -------
    str
    """
    if way.measures is None:
        return ""
    year = way.measures.break_even_year.value
    if year is None:
        return say("charts.owning.never", years=years_text(comparison.study_period))
    return say("charts.owning.from_year", year=f"{year:.0f}")


def _mark(ax: Axes, way: Way, look: Look, scale: Scale) -> None:
    """Mark the break-even year of a way on its line."""
    year = way.measures.break_even_year.value if way.measures else None
    if year is not None:
        ax.add_line(ring(look.colour, year, float(way.net_present_cost[int(year)]) / scale.by))


def _kept_line(ax: Axes, years: float) -> None:
    """Draw an upright line at the years that the owner expects to keep the coach."""
    ax.axvline(years, color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)), zorder=1)


def _years_kept(ax: Axes, years: float) -> None:
    """Draw an upright line at the years that the owner expects to keep the coach."""
    _kept_line(ax, years)
    text = say("charts.owning.kept", years=years_text(years))
    width = placed(ax)[2]
    half = text_width(text) / 2.0
    middle = min(max(years / ax.get_xlim()[1] * width, half), width - half)
    write(ax, middle / width, 1.0, text, across="center", colour=QUIET, shift=(0.0, 5.0))


def describe_cost_of_owning(comparison: Comparison) -> str:
    """Say in one sentence what `cost_of_owning` shows."""
    last = years_text(comparison.study_period)
    parts = []
    for way in ways_of(comparison):
        said = break_even_text(comparison, way)
        no_dearer = say("charts.owning.no_dearer", years=said) if said else ""
        parts.append(
            f"{way_title(comparison, way)}, {money_text(float(way.net_present_cost[-1]))}{no_dearer}"
        )
    return say(
        "charts.owning.said",
        currency=comparison.scenario.currency,
        kept=years_text(comparison.holding_period),
        last=last,
        ways="; ".join(parts),
    )


NO_DOUBT = say("charts.no_doubt")
"""What stands in place of a chart of doubt where no input is a range."""


ROW, UNDER = 1.35, 0.3
"""Height of a row of the spread; room under it for its range. [inch]"""

BINS = 24
"""Bars that the middle of the spread is cut into, about."""

BEYOND = 0.01
"""Share of the futures beyond either end of the picture. [-]"""


def owning_under_doubt(found: Assessment, ax: Where = None) -> Axes:
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
    names = _drawn(found, subject)
    scale = money_scale(max(float(found.costs[name].p90.max()) for name in names), found.scenario.currency)
    years = np.arange(1, found.costs[names[0]].mean.size)
    said = describe_owning_under_doubt(found)
    ax = _by_year(ax, said, int(years[-1]), height=LEAST, below=0.9, above=0.92)
    ends = []
    for name, look, hatch in zip(names, LOOKS, (HATCH, "", ""), strict=False):
        band = found.costs[name]
        low, mean, high = (part[1:] / scale.by for part in (band.p10, band.mean, band.p90))
        fill_band(ax, years, low, high, look.colour, hatch)
        ax.plot(years, mean, color=look.colour, linestyle=look.line, linewidth=2.6, clip_on=False)
        remark = say("charts.futures.ends", low=_two_digits(low[-1]), high=_two_digits(high[-1]))
        ends.append((float(mean[-1]), _label(title_of(found, name), remark), look))
    ax.set_ylim(bottom=min(0.0, ax.get_ylim()[0]))
    label_ends(ax, ends, room=LEAST)
    _unit(ax, say("charts.futures.axis", money=scale.name), 0.22)
    return named(ax, say("labels.sold_after"), [say("charts.futures.title")], 0.46)


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
    """Say in one sentence what `owning_under_doubt` shows."""
    year = _last_year(found)
    parts = []
    for name in _drawn(found, _subject(found)):
        band = found.costs[name]
        low, mean, high = (money_text(float(part[year])) for part in (band.p10, band.mean, band.p90))
        parts.append(say("charts.futures.way", way=title_of(found, name), mean=mean, low=low, high=high))
    return say(
        "charts.futures.said", currency=found.scenario.currency, years=years_text(year), ways="; ".join(parts)
    )


def _subject(found: Assessment) -> str:
    """Return the way that the answer is about; "" where there is nothing to draw."""
    return "" if found.scenario.trouble or not found.doubt.any_doubt else found.subject or ""


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


def savings_spread(found: Assessment, ax: Where = None) -> Axes:
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
    title = headline(_spread_heading(found))
    captions = [wrapped(_against(found, name)) for name in others]
    written = sum(lines_height(len(lines) + 1.3) + UNDER for lines in captions)
    ax = framed(
        ax,
        describe_savings_spread(found),
        height=written + len(others) * ROW,
        below=0.95,
        above=0.2 + lines_height(len(title), HEADING),
        grid="x",
    )
    ax.grid(visible=False)
    high = placed(ax)[3]
    room = (high - written) / len(others)
    savings = [found.doubt.net_savings(subject, than=name) for name in others]
    scale = money_scale(max(float(np.abs(some).max()) for some in savings), found.scenario.currency)
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
    middle = Line2D([], [], color=INK, marker="D", markersize=9, linestyle="none")
    marks = [
        (Line2D([], [], **RANGE), say("charts.futures.in_16")),
        (middle, say("charts.futures.middle")),
    ]
    return named(ax, say("charts.cheaper_by", money=scale.name), title, 0.1, marks)


def _draw_spread(ax: Axes, found: Assessment, savings: Array, *, floor: float, room: float) -> list[float]:
    """Draw one row of bars with its range, standing at `floor`, `room` high; return its ends. [inch]"""
    edges, shares = spread_bars(savings, found.doubt.futures.weights)
    tall = shares * room / float(shares.max())
    dearer = edges[1:] <= 1e-12
    for side, look in ((dearer, KEEP_FILL), (~dearer, SPRAY_FILL)):
        ax.add_artist(PathPatch(_bars(edges, tall, side, floor), **look))
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
    """Say in a sentence for each row what `savings_spread` shows."""
    subject, rows = _subject(found), []
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


BREAK_EVEN: dict[str, float] = {"height": 3.4, "below": 0.8, "above": 1.3}
"""Height of the axes of `break_even`, and room below and above them. [inch]"""

YEAR_UP = 0.06
"""Height of the bar of the break-even year above the axis. [share of the axes]"""


def break_even(comparison: Comparison, found: Doubt | None = None, ax: Where = None) -> Axes:
    """Draw what the way in question and the base case cost by year of sale, and from when it pays.

    Parameters
    ----------
    comparison : Comparison
        At likely values; without a way in question a sentence says so.
    found : Doubt or None
        Of the same scenario: draws the bands; None: lines only.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    if comparison.subject is None or not comparison.ways:
        return said_instead(NOTHING_COMPARED, ax)
    said = describe_break_even(comparison, found)
    if found is not None:
        comparison = averaged(comparison, found)
    ways = [comparison.ways[name] for name in (comparison.base_case, str(comparison.subject))]
    scale = _scale(comparison, ways)
    years = np.arange(1, comparison.study_period + 1)
    ax = _by_year(ax, said, comparison.study_period, **BREAK_EVEN)
    ends = []
    for way, look, hatch in zip(ways, LOOKS, (HATCH, ""), strict=False):
        cost = way.net_present_cost[1:] / scale.by
        if found is not None:
            futures = found.band(found.costs[way.name][:, 1:] / scale.by)
            fill_band(ax, years, futures.p10, futures.p90, look.colour, hatch)
        ax.plot(years, cost, color=look.colour, linestyle=look.line, linewidth=2.6, clip_on=False)
        ends.append((float(cost[-1]), _way_label(comparison, way), look))
    ax.set_ylim(bottom=min(0.0, ax.get_ylim()[0]))
    _kept_line(ax, comparison.holding_period)
    _mark(ax, ways[1], SPRAY, scale)
    if found is not None:
        _year_bar(ax, year_band(comparison, found), comparison.study_period)
    label_ends(ax, ends, room=BREAK_EVEN["height"] + 0.5)
    kept = say("charts.break_even.kept", years=years_text(comparison.holding_period))
    shades = say("charts.break_even.shades") if found is not None else ""
    _unit(ax, _how(comparison, scale), 0.42)
    _unit(ax, f"{kept}{shades}", 0.12, QUIET)
    return named(ax, say("labels.sold_after"), [say("charts.break_even.title")], 0.75)


def year_band(comparison: Comparison, found: Doubt) -> tuple[float, float]:
    """Return the ends of 16 of 20 break-even years; infinite: beyond the years shown. [years]"""
    years: NDArray[np.float64] = found.break_even_years(str(comparison.subject))
    beyond = np.where(np.isinf(years), comparison.study_period + 1.0, years)
    ends = band(beyond, found.futures.weights)
    low, high = (float(np.round(end)) for end in (ends.p10, ends.p90))
    return tuple(np.inf if end > comparison.study_period else end for end in (low, high))  # type: ignore[return-value]


def _year_bar(ax: Axes, ends: tuple[float, float], last: int) -> None:
    """Draw the bar of the break-even year; an arrow where it runs on beyond the years shown."""
    across, up = ax.get_xaxis_transform(), YEAR_UP
    low, high = (min(end, float(last)) for end in ends)
    ax.plot([low, high], [up, up], transform=across, **RANGE)
    if np.isinf(ends[1]):
        ax.plot(
            [high], [up], marker=">", markersize=10, color=RANGE["color"], transform=across, clip_on=False
        )


def describe_break_even(comparison: Comparison, found: Doubt | None = None) -> str:
    """Say in one sentence what `break_even` shows."""
    names = comparison.base_case, str(comparison.subject)
    if found is not None:
        comparison = averaged(comparison, found)
    base, way = (comparison.ways[name] for name in names)
    year = comparison.study_period
    costs = [money_text(float(one.net_present_cost[-1])) for one in (base, way)]
    said = say(
        "charts.break_even.said",
        way=inner(way.title),
        base=inner(base.title),
        currency=comparison.scenario.currency,
        years=years_text(year),
        cost=costs[1],
        base_cost=costs[0],
        no_dearer=break_even_text(comparison, way),
    )
    if found is None:
        return f"{said}."
    low, high = (
        say("charts.break_even.year", year=f"{end:.0f}")
        if np.isfinite(end)
        else say("charts.break_even.later", years=years_text(year))
        for end in year_band(comparison, found)
    )
    ends = low if low == high else say("charts.break_even.ends", low=low, high=high)
    return say("charts.break_even.in_futures", said=said, ends=ends)
