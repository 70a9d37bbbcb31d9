"""Where it stands as plain data: drivers, factors, and the answer in every place.

Lecture
-------
Lengths stand in metres and temperatures in C. Factors are those of the climate alone; those of the
size stand apart. Where nothing is compared there is null.
"""

from __future__ import annotations

from typing import Any

import lifecycle
from lifecycle.answers.where import SURVEY, stands_in
from lifecycle.climate import Drivers
from lifecycle.heat import solar_reflectance_index
from lifecycle.kinds import COVERINGS
from lifecycle.scenario import Scenario
from lifecycle.studies.by_place import ByPlace, OnRoof, Standing


def where_result(found: ByPlace) -> dict[str, Any]:
    """Return where a coach stands, and the answer in every place, as plain data.

    Parameters
    ----------
    found : ByPlace
        From `studies.by_place`.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    scenario, size = found.scenario, found.site.geometry
    return {
        "schema": 1,
        "title": scenario.title,
        "currency": scenario.currency,
        "holding_period": found.years,
        "base_case": found.base_case,
        "subject": found.subject,
        "has_climate": found.named,
        "stands": stands_in(found),
        "sheltered_share": float(found.site.sheltered_share),
        "reference": {
            "name": scenario.climate.reference_name if scenario.climate else None,
            "drivers": _drivers_result(found.site.reference or Drivers()),
        },
        "size": None
        if size is None
        else {"joint_length_ratio": float(size.joint_ratio), "roof_area_ratio": float(size.area_ratio)},
        "here": _standing_result(found, found.here),
        "effects_alone": dict(found.alone),
        "net_savings_without_climate": found.without,
        "places": {place.name: _standing_result(found, place) for place in found.places},
        "solar_reflectance_index": _indices(scenario),
        "cooling": None
        if found.cooling is None
        else {
            "warmer": found.cooling.warmer,
            "heat": found.cooling.heat,
            "power": found.cooling.power,
            "money": found.cooling.money,
        },
        "caution": SURVEY,
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "scenario_sha256": scenario.sha256,
        },
    }


def _drivers_result(drivers: Drivers) -> dict[str, float | None]:
    """Return drivers as plain data."""
    return {name: None if value is None else float(value) for name, value in vars(drivers).items()}


def _standing_result(found: ByPlace, place: Standing) -> dict[str, Any]:
    """Return one place as plain data."""
    return {
        "zone": place.zone or None,
        "drivers": _drivers_result(place.drivers),
        "roof_that_stands": _roof_result(place.stands),
        "roof_that_follows": _roof_result(place.then),
        "rot_time": place.rot_time,
        "net_present_cost": dict(place.costs) or None,
        "net_savings": found.net_savings(place),
        "cheapest": place.cheapest,
    }


def _roof_result(roof: OnRoof) -> dict[str, Any]:
    """Return what a climate does to a roof as plain data; factors of the climate alone."""
    factors = roof.factors
    warm = factors.roof_temperature
    return {
        "covering": roof.covering,
        "roof_temperature": None if warm is None else float(warm),
        "acceleration": float(factors.heat),
        "sealant_acceleration": float(factors.sealant_heat),
        "ageing": float(factors.ageing),
        "ageing_by": {"heat": float(factors.ageing_by_heat), "sun": float(factors.ageing_by_sun)},
        "joint_leaks": roof.joint_leaks,
        "joint_leaks_by": {"heat": roof.joints_by_heat, "frost": float(factors.joints_by_frost)},
        "punctures": float(factors.punctures),
    }


def _indices(scenario: Scenario) -> dict[str, float]:
    """Return the solar reflectance index of the two coverings, and of the two roofs compared for cooling."""
    climate = scenario.climate
    if climate is None:
        return {}
    found = {}
    for name in {kind.kept_as: kind for kind in COVERINGS.values()}:
        both = (scenario.likely(climate.numbers[f"{name}_{what}"]) for what in ("reflectance", "emittance"))
        found[name] = float(solar_reflectance_index(*both))
    for name in ("white", "dark"):
        pair = (climate.cooling[f"{name}_{what}"].likely for what in ("reflectance", "emittance"))
        found[name] = float(solar_reflectance_index(*pair))
    return found
