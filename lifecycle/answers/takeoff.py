"""What the coach needs, as lines and as plain data: lengths and areas, coating, weight, sealant.

Lecture
-------
Quantities stand in the units of the scenario, at likely figures; behind a volume or a weight stand the
two ends in brackets, with every figure of the material at the end that takes least and most. What
nobody measured is named. Below stand the figures that they rest on, each with its basis.

Left out: what it costs.
"""

from __future__ import annotations

from typing import Any

from lifecycle.coach import Geometry
from lifecycle.language.labels import counted, listed
from lifecycle.language.sentences import say
from lifecycle.material import Coating, LayerMaterial
from lifecycle.quantities import CONVERSIONS, Figure, convert, number_text
from lifecycle.scenario import Scenario, Takeoff

HEADING = say("takeoff.heading")
"""Of the lines."""

US = {metric: us for us, (metric, _, _) in CONVERSIONS.items()}
"""US unit of each metric one."""


def takeoff_lines(found: Takeoff, scenario: Scenario) -> list[str]:
    """Return what a coach needs as lines."""
    units = scenario.units
    return [
        HEADING,
        *_shape(found.geometry, units),
        *_coating(found, units),
        *_weight(found, units),
        say("takeoff.sealant", cartridges=counted(found.cartridges, "cartridge")),
    ]


def _shape(shape: Geometry, units: str) -> list[str]:
    """Return lengths and areas."""
    sprayed, whole, joints, flanges = (
        _in(value, "m", units)
        for value in (shape.sprayed_length, shape.length, shape.joint_length, shape.flange_length)
    )
    area, roof = (_in(value, "m2", units) for value in (shape.sprayed_area, shape.roof_area))
    joint_ratio, area_ratio = (
        number_text(float(ratio), 3) for ratio in (shape.joint_ratio, shape.area_ratio)
    )
    lines = [
        say("takeoff.sprayed", sprayed=sprayed, whole=whole, area=area, roof=roof),
        say("takeoff.joints", joints=joints, flanges=flanges),
        say("takeoff.ratios", joints=joint_ratio, roof=area_ratio),
    ]
    if shape.assumed:
        lines.append(say("takeoff.assumed", what=listed(shape.assumed)))
    return lines


def _coating(found: Takeoff, units: str) -> list[str]:
    """Return what the layers take."""
    three = (found.coating, found.least, found.most)
    return [
        _layer(say("takeoff.base"), *(one.base for one in three), units=units),
        _layer(say("takeoff.topcoat"), *(one.topcoat for one in three), units=units),
    ]


def _layer(name: str, layer: LayerMaterial, least: LayerMaterial, most: LayerMaterial, *, units: str) -> str:
    """Return what one layer takes."""
    if layer.volume == 0.0:
        return say("takeoff.none", name=name)
    volume = say(
        "takeoff.volume",
        volume=_in(layer.volume, "L", units),
        ends=_between((least.volume, most.volume), "L", units),
    )
    coats = say(
        "takeoff.coats", coats=counted(round(layer.coats), "coat"), film=_film(layer.film_a_coat, units)
    )
    return say("takeoff.layer", name=name, volume=volume, film=_film(layer.film, units), coats=coats)


def _weight(found: Takeoff, units: str) -> list[str]:
    """Return what the coach gains, against the limits of its label."""
    check = found.weight
    added, back = (_in(value, "kg", units) for value in (found.coating.added, found.coating.given_back))
    ends = _between((found.least.net_weight, found.most.net_weight), "kg", units)
    direction = say("takeoff.more" if check.net_weight >= 0 else "takeoff.less")
    gained = f"{_in(abs(check.net_weight), 'kg', units)} {direction}"
    lines = [say("takeoff.weight", added=added, back=back, gained=gained, ends=ends)]
    if check.cargo_capacity is None or check.left is None:
        lines.append(say("takeoff.no_capacity"))
    elif check.too_heavy:
        over, capacity = (_in(value, "kg", units) for value in (-check.left, check.cargo_capacity))
        lines.append(say("takeoff.too_heavy", over=over, capacity=capacity))
    else:
        left, capacity = (_in(value, "kg", units) for value in (check.left, check.cargo_capacity))
        lines.append(say("takeoff.left", capacity=capacity, left=left))
    if check.label_limit is not None:
        limit = _in(check.label_limit, "kg", units)
        which = say("takeoff.more") if check.on_label else say("takeoff.not_more")
        lines.append(say("takeoff.label", limit=limit, which=which))
    return lines


def _in(value: Any, unit: str, units: str) -> str:
    """Return a quantity in the units of a scenario, with three significant digits."""
    to = US[unit] if units == "us" else unit
    return f"{_number(value, unit, units)} {to}"


def _number(value: Any, unit: str, units: str) -> str:
    """Return a quantity without its unit."""
    to = US[unit] if units == "us" else unit
    return number_text(float(f"{convert(float(value), unit, to):.3g}"))


def _film(value: Any, units: str) -> str:
    """Return a film: in mil, or in millimetres."""
    return (
        f"{number_text(convert(float(value), 'mm', 'mil'), 4)} mil"
        if units == "us"
        else f"{float(value):.3g} mm"
    )


def _between(ends: tuple[Any, Any], unit: str, units: str) -> str:
    """Return two ends in brackets; nothing if they are the same."""
    low, high = (_number(end, unit, units) for end in ends)
    return "" if low == high else f" ({low} to {high})"


def takeoff_result(found: Takeoff) -> dict[str, Any]:
    """Return what a coach needs as plain data, in m, m2, mm, L and kg."""
    shape, check = found.geometry, found.weight
    lengths = {name: float(value) for name, value in vars(shape).items() if name != "assumed"}
    return {
        **lengths,
        "not_measured": list(shape.assumed),
        "coating": _coating_result(found.coating),
        "least": _coating_result(found.least),
        "most": _coating_result(found.most),
        "net_weight": check.net_weight,
        "cargo_capacity": check.cargo_capacity,
        "cargo_left": check.left,
        "too_heavy": check.too_heavy,
        "label_limit": check.label_limit,
        "on_label": check.on_label,
        "cartridges": found.cartridges,
    }


def _coating_result(coating: Coating) -> dict[str, Any]:
    """Return a coating as plain data."""
    return {
        "base": {name: float(value) for name, value in vars(coating.base).items()},
        "topcoat": {name: float(value) for name, value in vars(coating.topcoat).items()},
        "added": float(coating.added),
        "given_back": float(coating.given_back),
    }


def figures_of(scenario: Scenario) -> tuple[Figure, ...]:
    """Return the figures of material, label and cooling that a scenario has besides its inputs."""
    coach, climate = scenario.coach, scenario.climate
    found = [*coach.limits.values(), *coach.material.values()] if coach is not None else []
    return tuple([*found, *climate.cooling.values()] if climate is not None else found)
