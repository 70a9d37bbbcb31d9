"""Where the film is thick enough: every spot with its mean, thin ones filled.

Lecture
-------
Spots lie where the file says, by their names as rows and columns, or in order; the caption says which.
A spot that is thick enough is an open circle, a thin one a filled square, one with too few readings a
cross: shape, fill and number tell it, not colour.
"""

from __future__ import annotations

from matplotlib.axes import Axes

from lifecycle.charts.canvas import write
from lifecycle.charts.frame import plan_axes
from lifecycle.charts.palette import GROUND, INK, QUIET
from lifecycle.language.sentences import say
from lifecycle.quantities import number_text
from lifecycle.records.handover import FilmCheck, Spot

PLACED = {
    "columns": say("charts.film_plan.measured"),
    "names": say("charts.film_plan.named"),
    "order": say("charts.film_plan.listed"),
}
"""What to say of the places, by how they were found."""

MOST_NAMED = 40
"""Spots whose means are written; of more, only thin ones."""

ROOM = 2.6
"""Height of the plan. [inch]"""


def film_plan(check: FilmCheck, unit: str, ax: Axes | None = None) -> Axes:
    """Draw the spots with their means.

    Parameters
    ----------
    check : FilmCheck
        Readings against the specified film.
    unit : str
        Unit of the readings.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    axes = _own_axes(check, unit) if ax is None else ax
    along, across = ([spot.place[side] for spot in check.spots] for side in (0, 1))
    for values, limits in ((along, axes.set_xlim), (across, axes.set_ylim)):
        margin = max(0.12 * (max(values) - min(values)), 0.5)
        limits(min(values) - margin, max(values) + margin)
    axes.invert_yaxis()
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color(QUIET)
    for spot in check.spots:
        _draw(axes, check, spot)
    return axes


def _draw(axes: Axes, check: FilmCheck, spot: Spot) -> None:
    """Draw one spot."""
    thin = spot in check.thin
    marker = "s" if thin else "o" if spot.complete else "x"
    fill = INK if thin else GROUND
    axes.plot(*spot.place, marker=marker, markersize=10, markerfacecolor=fill, markeredgecolor=INK, color=INK)
    if len(check.spots) <= MOST_NAMED or thin:
        text = number_text(spot.mean, 3)
        write(axes, *spot.place, text, across="center", shift=(0.0, 8.0), by=axes.transData, bold=thin)


def describe_film_plan(check: FilmCheck, unit: str) -> str:
    """Say what `film_plan` shows, in one sentence.

    Parameters
    ----------
    check : FilmCheck
        Readings against the specified film.
    unit : str
        Unit of the readings.
    """
    return say(
        "charts.film_plan.said",
        spots=len(check.spots),
        mean=number_text(check.mean, 4),
        unit=unit,
        specified=number_text(check.specified, 4),
        thin=len(check.thin),
        least=number_text(check.least, 4),
        incomplete=len(check.incomplete),
    )


def _headline(check: FilmCheck, unit: str) -> str:
    """Say how many spots are too thin, of those that can be judged."""
    judged, count = len(check.judged), len(check.thin)
    if not judged:
        return say("charts.film_plan.none_judged")
    unjudged = say("charts.film_plan.not_judged", spots=len(check.incomplete)) if check.incomplete else ""
    said = say("charts.film_plan.none_thin")
    if count:
        said = say(f"charts.film_plan.{'one' if count == 1 else 'many'}_thin", thin=count, spots=judged)
    if unjudged and not count:
        said = say("charts.film_plan.none_of_judged_thin")
    enough = say("charts.film_plan.mean_thin") if check.area_thin else say("charts.film_plan.mean_kept")
    return say(
        "charts.film_plan.title",
        thin=said,
        not_judged=unjudged,
        mean=number_text(check.mean, 4),
        unit=unit,
        enough=enough,
    )


def _own_axes(check: FilmCheck, unit: str) -> Axes:
    """Make a picture with a heading and a caption."""
    notes = [
        say(
            "charts.film_plan.under",
            unit=unit,
            specified=number_text(check.specified, 4),
            least=number_text(check.least, 4),
        ),
        PLACED[check.placed_by],
    ]
    return plan_axes(_headline(check, unit), notes, ROOM, describe_film_plan(check, unit))
