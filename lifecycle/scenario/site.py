"""How large the coach is and where it stands: what these multiply the figures of its roofs with.

Lecture
-------
Without `[coach]` and `[climate]` a scenario is complete, and its figures hold as written. With them
the figures are what they are on the reference coach in the reference climate, and are multiplied on
the way to resolved roofs::

    ageing                   * ageing of the climate
    joint leaks, first year  * joint leaks of the climate with the roof's power of growth
                             * joint length / that of the reference coach
    puncture rate            * punctures of the climate * roof area / that of the reference coach
    rot time                 * rot time of the climate

(`climate`, `coach`). A driver of the climate is the coach's own where it is stated, else that of its
place or places, else that of the reference. Cover weakens it in any case.

Left out: prices. A price is stated for the coach in question; nothing scales it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lifecycle import climate, coach
from lifecycle.heat import Exchange, Surface
from lifecycle.kinds import COVERINGS
from lifecycle.scenario.stated import Lookup, Numbers, Scenario, StatedClimate, StatedCoach, Values

RESPONSES = tuple(climate.Response.__dataclass_fields__)
"""Names of the inputs that say how strongly a roof responds to its climate."""


@dataclass(frozen=True)
class Site:
    """What size and place do to the figures of a scenario.

    Parameters
    ----------
    geometry : Geometry or None
        Of the roof; None without `[coach]`.
    here, reference : Drivers or None
        Of the place in the open, and of the reference climate; None without `[climate]`.
    sheltered_share : float or ndarray, shape (draws,)
        Share of the year under cover. [-]
    factors : mapping of str to Factors
        By covering; empty without `[climate]`.
    """

    geometry: coach.Geometry | None = None
    here: climate.Drivers | None = None
    reference: climate.Drivers | None = None
    sheltered_share: Any = 0.0
    factors: Mapping[str, climate.Factors] = field(default_factory=dict)

    def on_roof(self, covering: str, numbers: Mapping[str, Any]) -> dict[str, Any]:
        """Return the figures of a roof on this coach in this place.

        Parameters
        ----------
        covering : str
            One of `COVERINGS`.
        numbers : mapping
            Figures as stated, by the names of `roofs.Roof`.
        """
        found = dict(numbers)
        if self.geometry is not None:
            _multiply(found, "joint_leaks_first_year", self.geometry.joint_ratio)
            _multiply(found, "puncture_rate", self.geometry.area_ratio)
        if self.factors:
            factors = self.factors[covering]
            found.setdefault("ageing", 1.0)
            _multiply(found, "ageing", factors.ageing)
            _multiply(
                found, "joint_leaks_first_year", factors.joint_leaks(found.get("joint_leak_growth", 1.0))
            )
            _multiply(found, "puncture_rate", factors.punctures)
        return found

    def on_leaks(self, numbers: Mapping[str, Any]) -> dict[str, Any]:
        """Return the leak figures in this place."""
        found = dict(numbers)
        if self.factors:
            _multiply(found, "rot_time", self.factors[next(iter(COVERINGS))].rot_time)
        return found


def site_of(scenario: Scenario, values: Values | None = None) -> Site:
    """Work out what size and place do to the figures of a scenario.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    values : mapping of str to float or ndarray, shape (draws,)
        Values instead of the likely ones, by path of the input. [unit of the input]

    Returns
    -------
    Site
        Changes nothing where neither `[coach]` nor `[climate]` stands.
    """
    return looked_up(scenario, Lookup(scenario, values or {}))


def geometry_of(scenario: Scenario, values: Values | None = None) -> coach.Geometry | None:
    """Work out lengths and areas of the roof.

    Parameters
    ----------
    scenario, values
        As for `site_of`.

    Returns
    -------
    Geometry or None
        None without `[coach]`.
    """
    return None if scenario.coach is None else _geometry(scenario.coach, Lookup(scenario, values or {}))


def looked_up(scenario: Scenario, number: Lookup, of_way: StatedClimate | None = None) -> Site:
    """Work out the site, or that of a way, with a look-up at hand; see `site_of`."""
    geometry = None if scenario.coach is None else _geometry(scenario.coach, number)
    if scenario.climate is None:
        return Site(geometry)
    stated = scenario.climate if of_way is None else _moved(scenario.climate, of_way)
    reference = _drivers(stated.reference, number)
    here = _here(stated, reference, number)
    share = number(stated.numbers.get("sheltered_share", 0.0))
    response = climate.Response(**{name: number(stated.numbers[name]) for name in RESPONSES})
    exchange = exchange_of(stated.numbers, number)
    factors = {
        covering: climate.factors(
            here,
            reference,
            response=response,
            surface=surface_of(stated.numbers, kind.kept_as, number),
            exchange=exchange,
            sheltered_share=share,
        )
        for covering, kind in COVERINGS.items()
    }
    return Site(geometry, here, reference, share, factors)


def _moved(stated: StatedClimate, of_way: StatedClimate) -> StatedClimate:
    """Return a climate with what is other under a way; a place of its own brings its own drivers."""
    kept = {
        name: value
        for name, value in stated.numbers.items()
        if not (of_way.places and name in climate.DRIVERS)
    }
    return replace(stated, numbers={**kept, **of_way.numbers}, places=of_way.places or stated.places)


def surface_of(numbers: Numbers, name: str, number: Lookup) -> Surface:
    """Return reflectance and emittance of a surface by the beginning of its names."""
    return Surface(number(numbers[f"{name}_reflectance"]), number(numbers[f"{name}_emittance"]))


def exchange_of(numbers: Numbers, number: Lookup) -> Exchange:
    """Return how a flat surface gives off heat."""
    return Exchange(number(numbers["surface_coefficient"]), number(numbers["sky_loss"]))


def _geometry(stated: StatedCoach, number: Lookup) -> coach.Geometry:
    """Return lengths and areas of the roof."""
    numbers = number.all(stated.numbers)
    reference = coach.Reference(
        length=numbers["reference_length"],
        joint_length=numbers["reference_joint_length"],
        roof_area=numbers["reference_area"],
        sprayed_share=numbers["sprayed_share"],
    )
    names = ("length", "width", "front_cap", "rear_cap", "edge")
    measured = {name: numbers[name] for name in names if name in numbers}
    through = None
    if stated.penetrations is not None:
        through = tuple(
            coach.Penetration(one.kind, fate=one.fate, **number.all(one.numbers))
            for one in stated.penetrations
        )
    return coach.geometry(coach.Coach(**measured, penetrations=through), reference)


def _drivers(numbers: Numbers, number: Lookup) -> climate.Drivers:
    """Return the drivers among some numbers."""
    return climate.Drivers(**{name: number(numbers[name]) for name in climate.DRIVERS if name in numbers})


def _here(stated: StatedClimate, reference: climate.Drivers, number: Lookup) -> climate.Drivers:
    """Return the drivers of the place: the coach's own, else of its places, else of the reference."""
    found = reference
    if stated.places:
        shares = [number(place.share) for place in stated.places]
        found = climate.mixed([_drivers(place.numbers, number) for place in stated.places], shares)
    own = {name: number(stated.numbers[name]) for name in climate.DRIVERS if name in stated.numbers}
    return climate.Drivers(**{**vars(found), **own})


def _multiply(numbers: dict[str, Any], name: str, factor: Any) -> None:
    """Multiply a figure, if it is stated."""
    if name in numbers:
        numbers[name] = numbers[name] * factor
