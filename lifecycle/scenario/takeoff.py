"""The take-off: what the coach of a scenario needs, from its measures and the figures of the material.

Lecture
-------
Geometry is taken at likely measures. The coating is worked out three times: with every figure of the
material at its likely value, and with all of them at the end that takes least, and most, material::

    least   thin film, all of it landing, all of it staying, light; a heavy membrane is stripped
    most    thick film, much overspray, much solvent, heavy; a light membrane is stripped

Both ends are extremes, not a band: hardly any job lies at one. Sealant is for all joints, once.

Left out: what it costs (`quote`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lifecycle.coach import Geometry
from lifecycle.material import (
    Coating,
    Layer,
    WeightCheck,
    cartridges,
    coating,
    label_limit,
    ribbon_section,
    weight_check,
)
from lifecycle.quantities import Figure
from lifecycle.scenario.site import geometry_of
from lifecycle.scenario.stated import Scenario

LEAST = {"volume_solids": "high", "transfer": "high", "topcoat_solids": "high", "membrane_weight": "high"}
"""Figures whose high end takes least material or adds least weight; of the others it is the low end."""


REFIT = "refit"
"""Begins the names of the hours by kind of fixture in a costing."""


@dataclass(frozen=True)
class Takeoff:
    """What a coach needs.

    Parameters
    ----------
    geometry : Geometry
        Lengths and areas, at likely measures.
    coating, least, most : Coating
        With likely figures; with every figure at the end that takes least, and most.
    weight : WeightCheck
        Net weight of the likely coating against the limits of the label.
    cartridges : int
        Cartridges of sealant for all joints.
    """

    geometry: Geometry
    coating: Coating
    least: Coating
    most: Coating
    weight: WeightCheck
    cartridges: int


def takeoff_of(scenario: Scenario) -> Takeoff | None:
    """Work out what the coach of a scenario needs.

    Parameters
    ----------
    scenario : Scenario
        What was stated.

    Returns
    -------
    Takeoff or None
        None without `[coach]`.
    """
    shape = geometry_of(scenario)
    if scenario.coach is None or shape is None:
        return None
    figures, limits = scenario.coach.material, scenario.coach.limits
    likely = {name: figure.likely for name, figure in figures.items()}
    found, least, most = (_coating(_at_end(figures, end), shape) for end in ("likely", "least", "most"))
    rating = limits.get("gross_rating")
    label = likely["label_share"], likely["label_weight"]
    on_label = None if rating is None else label_limit(rating.likely, share=label[0], weight=label[1])
    capacity = limits.get("cargo_capacity")
    return Takeoff(
        geometry=shape,
        coating=found,
        least=least,
        most=most,
        weight=weight_check(
            found.net_weight,
            cargo_capacity=None if capacity is None else capacity.likely,
            label_limit=on_label,
        ),
        cartridges=cartridges(
            shape.joint_length,
            section=ribbon_section(likely["bead_width"], likely["bead_height"]),
            cartridge=likely["cartridge"],
            waste=likely["bead_waste"],
        ),
    )


def _at_end(figures: Mapping[str, Figure], end: str) -> dict[str, float]:
    """Return the figures of the material at their likely values, or at the end that takes least or most."""
    if end == "likely":
        return {name: figure.likely for name, figure in figures.items()}
    other = {"low": "high", "high": "low"}
    ends = {name: LEAST.get(name, "low") for name in figures}
    return {
        name: getattr(f, ends[name] if end == "least" else other[ends[name]]) for name, f in figures.items()
    }


def _coating(numbers: Mapping[str, float], shape: Geometry) -> Coating:
    """Return what coating the roof takes."""
    base = Layer(
        film=numbers["film"],
        volume_solids=numbers["volume_solids"],
        transfer=numbers["transfer"],
        density=numbers["density"],
        coats=numbers["coats"],
    )
    topcoat = Layer(
        film=numbers["topcoat_film"],
        volume_solids=numbers["topcoat_solids"],
        transfer=numbers["transfer"],
        density=numbers["topcoat_density"],
        coats=numbers["topcoat_coats"],
    )
    return coating(
        base,
        topcoat,
        area=shape.sprayed_area,
        stripped_area=shape.stripped_area,
        membrane_weight=numbers["membrane_weight"],
    )


def refit_hours(scenario: Scenario) -> tuple[float, float, float] | None:
    """Return the hours to take every fixture off, put it back and seal it: low, likely, high.

    Parameters
    ----------
    scenario : Scenario
        With its costing: hours by the kind of fixture, or one figure for all kinds.

    Returns
    -------
    tuple of float, or None
        [h]; None where nobody counted them.
    """
    through = None if scenario.coach is None else scenario.coach.penetrations
    if through is None:
        return None
    one = scenario.costing.get("fixture_hours")
    found = [
        (scenario.likely(each.numbers["count"]), one or scenario.costing[f"{REFIT}.{each.kind}"])
        for each in through
    ]
    low, likely, high = (
        sum(count * float(getattr(hours, end)) for count, hours in found) for end in ("low", "likely", "high")
    )
    return low, likely, high
