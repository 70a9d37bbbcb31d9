"""Plans from above: the roof to scale, and the film spot by spot.

Lecture
-------
*Roof*: the front is at the left. Outline, caps, sprayed area, edge returns and the sizes of fixtures are to
scale. *Places of fixtures are not*: nobody measured them, so they stand in two rows in the order of the list,
large ones in the middle. Each carries the number of its kind, explained below the roof with what happens to
it. Joints are drawn heavy: around what is sprayed, and around every flange. A fixture that is refitted is
an outline, one that is replaced is filled, one that is removed is crossed out.

*Film*: spots lie where the file says, by their names as rows and columns, or in order; the caption says so.
A spot that is thick enough is an open circle, a thin one a filled square, one with too few readings a
cross: shape, fill and number tell it, not colour.

Left out: rounded corners, slide-outs, awning rails.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from matplotlib.axes import Axes
from matplotlib.patches import Circle, Patch, Rectangle

from lifecycle.charts.canvas import MARGIN, WIDTH, write
from lifecycle.charts.frame import plan_axes
from lifecycle.charts.palette import GROUND, INK, QUIET
from lifecycle.coach import Geometry
from lifecycle.language.labels import area_text, counted, length_text, listed
from lifecycle.language.sentences import say
from lifecycle.quantities import number_text
from lifecycle.records.handover import FilmCheck, Spot
from lifecycle.scenario import Scenario, geometry_of

SPRAYED, CAP = "#cfe0f7", "#eeeeee"
"""Fill of what is sprayed, and of the caps."""

MOST_DRAWN = 40
"""Fixtures drawn at most; the list names all."""

FATES = {
    "refit": say("charts.roof_plan.put_back"),
    "replace": say("charts.roof_plan.replaced"),
    "remove": say("charts.roof_plan.removed"),
}
"""What happens to a fixture, in words."""

JOINT = 2.2
"""Width of a joint. [point]"""


@dataclass(frozen=True)
class Fixture:
    """One fixture: the number of its kind, what happens to it, and length and width of its flange. [m]"""

    number: int
    fate: str
    length: float
    width: float | None

    @property
    def across(self) -> float:
        """Its extent across the roof. [m]"""
        return self.length if self.width is None else self.width


def roof_plan(scenario: Scenario, ax: Axes | None = None) -> Axes:
    """Draw the roof of a scenario from above.

    Parameters
    ----------
    scenario : Scenario
        With `[coach]`.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
        In metres from the front left corner.

    Raises
    ------
    ValueError
        If the scenario has no coach.
    """
    shape = geometry_of(scenario)
    if shape is None:
        raise ValueError("a roof plan needs a measured coach: [coach]")
    kinds = _kinds(scenario)
    axes = _roof_axes(scenario, shape, kinds) if ax is None else ax
    edge = (shape.sprayed_area / shape.sprayed_length - shape.width) / 2.0
    front = _front_cap(scenario, shape)
    axes.set_xlim(-0.02 * shape.length, 1.02 * shape.length)
    axes.set_ylim(shape.width + edge + 0.05 * shape.width, -edge - 0.05 * shape.width)
    axes.set_aspect("equal", adjustable="box")
    axes.set_axis_off()
    _draw_roof(axes, shape, front, edge)
    for fixture, place in zip(_fixtures(scenario), _places(scenario, shape, front), strict=False):
        _draw_fixture(axes, fixture, place)
    return axes


def describe_roof_plan(scenario: Scenario) -> str:
    """Say what `roof_plan` shows, in one sentence."""
    shape = geometry_of(scenario)
    if shape is None:
        raise ValueError("a roof plan needs a measured coach: [coach]")
    units = scenario.units
    through = _kinds(scenario)
    with_them = say("charts.roof_plan.through", what=listed(through)) if through else ""
    return say(
        "charts.roof_plan.said",
        length=length_text(shape.length, units),
        sprayed=length_text(shape.sprayed_length, units),
        area=area_text(shape.sprayed_area, units),
        joints=length_text(shape.joint_length, units),
        through=with_them,
    )


def _kinds(scenario: Scenario) -> list[str]:
    """Return the fixtures by kind, with what happens to them."""
    through = scenario.coach.penetrations if scenario.coach is not None else None
    return [
        f"{counted(round(scenario.likely(one.numbers['count'])), one.kind)}, {FATES[one.fate]}"
        for one in through or ()
    ]


def _fixtures(scenario: Scenario) -> list[Fixture]:
    """Return every fixture, as many as are drawn."""
    through = scenario.coach.penetrations if scenario.coach is not None else None
    found = []
    for number, one in enumerate(through or (), start=1):
        sizes = {name: scenario.likely(one.numbers[name]) / 1000.0 for name in one.numbers if name != "count"}
        count = round(scenario.likely(one.numbers["count"]))
        found += [Fixture(number, one.fate, sizes["length"], sizes.get("width"))] * count
    return found[:MOST_DRAWN]


def _front_cap(scenario: Scenario, shape: Geometry) -> float:
    """Return the length of the front cap; caps that nobody measured are taken as equal. [m]"""
    numbers = scenario.coach.numbers if scenario.coach is not None else {}
    if "front_cap" in numbers or "rear_cap" in numbers:
        return scenario.likely(numbers.get("front_cap", 0.0))
    return float((shape.length - shape.sprayed_length) / 2.0)


def _places(scenario: Scenario, shape: Geometry, front: float) -> list[tuple[float, float]]:
    """Return the middles of the fixtures: two rows, large ones in the middle. [m]"""
    fixtures = _fixtures(scenario)
    step = shape.sprayed_length / max(1, len(fixtures))
    rows = (0.3 * shape.width, 0.72 * shape.width)
    return [
        (
            front + (count + 0.5) * step,
            0.55 * shape.width if fixture.across > 0.2 * shape.width else rows[count % 2],
        )
        for count, fixture in enumerate(fixtures)
    ]


def _draw_roof(axes: Axes, shape: Geometry, front: float, edge: float) -> None:
    """Draw outline, caps, sprayed area with its edges, and the joints around it."""
    whole = Rectangle((0.0, 0.0), shape.length, shape.width, facecolor=CAP, edgecolor=QUIET, hatch="//")
    whole.set_linewidth(1.0)
    axes.add_patch(whole)
    high = shape.width + 2.0 * edge
    axes.add_patch(
        Rectangle((front, -edge), shape.sprayed_length, high, facecolor=SPRAYED, edgecolor=QUIET, ls="--")
    )
    joints = Rectangle((front, 0.0), shape.sprayed_length, shape.width, fill=False, edgecolor=INK)
    joints.set_linewidth(JOINT)
    axes.add_patch(joints)


def _draw_fixture(axes: Axes, fixture: Fixture, place: tuple[float, float]) -> None:
    """Draw a fixture with its number above it."""
    x, y = place
    fill = INK if fixture.fate == "replace" else GROUND
    flange: Patch
    if fixture.width is None:
        half = fixture.length / 2.0
        flange = Circle((x, y), half, facecolor=fill, edgecolor=INK)
        reach = half / sqrt(2.0), half / sqrt(2.0)
    else:
        half = fixture.width / 2.0
        corner = (x - fixture.length / 2.0, y - half)
        flange = Rectangle(corner, fixture.length, fixture.width, facecolor=fill, edgecolor=INK)
        reach = fixture.length / 2.0, half
    flange.set_linewidth(JOINT)
    axes.add_patch(flange)
    if fixture.fate == "remove":
        for sign in (-1.0, 1.0):
            ends = [y - sign * reach[1], y + sign * reach[1]]
            axes.plot([x - reach[0], x + reach[0]], ends, color=INK, linewidth=1.2)
    write(axes, x, y - half, str(fixture.number), across="center", shift=(0.0, 4.0), by=axes.transData)


def _roof_axes(scenario: Scenario, shape: Geometry, kinds: Sequence[str]) -> Axes:
    """Make a picture with a heading, room for the roof, and the list of fixtures."""
    units = scenario.units
    title = say(
        "charts.roof_plan.title",
        sprayed=length_text(shape.sprayed_length, units),
        length=length_text(shape.length, units),
        area=area_text(shape.sprayed_area, units),
    )
    notes = [
        say("charts.roof_plan.key", joints=length_text(shape.joint_length, units)),
        *(f"{number}: {kind}" for number, kind in enumerate(kinds, start=1)),
        say("charts.roof_plan.scale"),
    ]
    high = (WIDTH - 2.0 * MARGIN) * 1.1 * shape.width / shape.length + 0.1
    return plan_axes(title, notes, high, describe_roof_plan(scenario))


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
    axes = _film_axes(check, unit) if ax is None else ax
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
        _draw_spot(axes, check, spot)
    return axes


def _draw_spot(axes: Axes, check: FilmCheck, spot: Spot) -> None:
    """Draw one spot."""
    thin = spot in check.thin
    marker = "s" if thin else "o" if spot.complete else "x"
    fill = INK if thin else GROUND
    axes.plot(*spot.place, marker=marker, markersize=10, markerfacecolor=fill, markeredgecolor=INK, color=INK)
    if len(check.spots) <= MOST_NAMED or thin:
        text = number_text(spot.mean, 3)
        write(axes, *spot.place, text, across="center", shift=(0.0, 8.0), by=axes.transData, bold=thin)


def describe_film_plan(check: FilmCheck, unit: str) -> str:
    """Say what `film_plan` shows, in one sentence."""
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


def _film_axes(check: FilmCheck, unit: str) -> Axes:
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
