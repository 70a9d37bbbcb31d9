"""What each way costs until it is sold: one line for each way, by year of sale.

Lecture
-------
The line of a way at N is what it costs if the coach is sold at the end of year N. A ring marks the
*break-even year*: the first from which the way stays no dearer than what the owner would do
otherwise, whatever later year the coach is sold in. The label says the year, or that there is none
within the years shown. An upright line stands at the years that the owner expects to keep it: where
the way is dearer at that line, no later break-even year makes it the cheaper one for this owner.

Costs are means over the futures where the comparison is averaged (`doubt.averaged`), else every input stands
at its likely value; the chart says which. Left out: how sure they are, and luck.
"""

from __future__ import annotations

from matplotlib.axes import Axes

from lifecycle.charts.canvas import MARGIN, POINTS, WIDTH, Picture, placed, text_width, wrapped, write
from lifecycle.charts.ends import GAP, Label, label_ends
from lifecycle.charts.frame import axis_name, heading, key, plain_axes, ring, whole_years
from lifecycle.charts.palette import GROUND, INK, QUIET, Look, looks
from lifecycle.charts.ways import NOTHING_COMPARED, money_scale, said_instead, stands_out, way_title, ways_of
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.labels import years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import money_text

LABELS, LEFT = 2.15, 0.55
"""Room right of the axes for labels, and left of them for ticks. [inch]"""

ABOVE, BELOW, LEAST = 1.0, 1.0, 3.2
"""Room above the axes, below them, and least height of the axes. [inch]"""


def cost_of_owning(comparison: Comparison, ax: Axes | None = None) -> Axes:
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
    if ax is None:
        height = owning_height(comparison)
        picture = Picture(BELOW + height + ABOVE, describe_cost_of_owning(comparison))
        ax = picture.axes_at(LEFT, BELOW, WIDTH - LEFT - LABELS, height)
    scale = money_scale(max(float(max(way.net_present_cost)) for way in ways), comparison.scenario.currency)
    plain_axes(ax, grid="y")
    whole_years(ax, years)
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
        _mark(ax, way, look, scale.by)
    ax.set_ylim(bottom=min(0.0, *(float(min(way.net_present_cost)) / scale.by for way in ways)))
    _years_kept(ax, comparison.holding_period)
    ends = [
        (float(way.net_present_cost[-1]) / scale.by, _label(comparison, way), given[way.name]) for way in ways
    ]
    label_ends(ax, ends, room=owning_height(comparison) + 0.5)
    axis_name(ax, say("charts.sold_after"))
    write(
        ax,
        0.0,
        1.0,
        say("charts.on_average" if comparison.futures > 1 else "charts.at_likely", money=scale.name),
        shift=((MARGIN - LEFT) * POINTS, 0.38 * POINTS),
    )
    heading(ax, [say("charts.owning.title")], above=0.6)
    key(ax, [(ring(INK), say("charts.owning.key"))], below=0.62)
    return ax


def owning_height(comparison: Comparison) -> float:
    """Return the height of the axes of `cost_of_owning`: at least that of its labels. [inch]"""
    labels = [_label(comparison, way) for way in ways_of(comparison)]
    return max(LEAST, sum(label.height + GAP for label in labels) - 0.4)


def _label(comparison: Comparison, way: Way) -> Label:
    """Return the label at the end of a way's line."""
    bold = stands_out(comparison, way)
    title = wrapped(way_title(comparison, way), LABELS - 0.42, bold=bold)
    said = break_even_text(comparison, way)
    return Label(title, wrapped(f"○ {said}", LABELS - 0.42) if said else (), bold)


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


def _mark(ax: Axes, way: Way, look: Look, by: float) -> None:
    """Mark the break-even year of a way on its line."""
    year = way.measures.break_even_year.value if way.measures else None
    if year is not None:
        ax.add_line(ring(look.colour, year, float(way.net_present_cost[int(year)]) / by))


def _years_kept(ax: Axes, years: float) -> None:
    """Draw an upright line at the years that the owner expects to keep the coach."""
    ax.axvline(years, color=QUIET, linewidth=1.4, linestyle=(0, (2.0, 2.0)), zorder=1)
    text = say("charts.owning.kept", years=years_text(years))
    width = placed(ax)[2]
    half = text_width(text) / 2.0
    middle = min(max(years / ax.get_xlim()[1] * width, half), width - half)
    write(ax, middle / width, 1.0, text, across="center", colour=QUIET, shift=(0.0, 5.0))


def describe_cost_of_owning(comparison: Comparison) -> str:
    """Say in one sentence what `cost_of_owning` shows.

    Parameters
    ----------
    comparison : Comparison
        What is drawn.

    Returns
    -------
    str
    """
    if not comparison.ways:
        return NOTHING_COMPARED
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
