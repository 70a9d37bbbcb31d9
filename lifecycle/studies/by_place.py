"""Where it stands: what a place does to the answer, and what the answer is in every other place.

Lecture
-------
One coach, one owner; only the climate differs. Every number of money is the mean over the futures, here
the very one of the verdict. What moves with the climate is tried in the first of these futures, in pairs,
as `switching` does with one figure; so the noise of few futures drops out of the difference::

    point 0           the climate of the scenario
    point 1           no climate: every exponent 0, the figures as they hold in the reference
    points 2 ... 6    one effect alone: heat, sun, frost, rain, hail
    the others        each place of the table, under the same cover as here

    cost at a point = mean over all futures + (mean at the point - mean at point 0) over the first ones

Where no figure is a range, the one case stands for the futures.

What an effect alone does to the answer is the net savings with it less those without any. The parts
need not add up to the whole: they multiply, and ageing is held within its range.

A scenario that names no climate is looked at as if it stood in the reference climate.

Left out: how sure the difference between two places is. Whether places differ at all is in doubt: a survey of
building roofs (from memory) saw no geographic difference, so the range of every exponent begins at 0.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.climate import DRIVERS, Drivers, Factors
from lifecycle.data import frame_words
from lifecycle.files import fields, shared
from lifecycle.heat import Cooling, CoolingSaved, Surface, cooling_saved, mean_sun
from lifecycle.quantities import Array, Figure, Frame, Framed, convert, in_rows
from lifecycle.reading.reader import Reader
from lifecycle.reading.site import read_climate
from lifecycle.roofs import Case
from lifecycle.scenario import (
    SET,
    Lookup,
    Scenario,
    Site,
    StatedClimate,
    Use,
    exchange_of,
    numbers_of_site,
    resolve,
    site_of,
)
from lifecycle.studies.doubt import Doubt, under
from lifecycle.studies.futures import first, futures
from lifecycle.studies.switching import in_few

EFFECTS = {
    "heat": "heat_exponent",
    "sun": "sun_exponent",
    "frost": "frost_coefficient",
    "rain": "wet_exponent",
    "hail": "hail_share",
}
"""Effects of a climate, and the input that switches each off at 0."""

WITHOUT = 1
"""Point at which no effect is on; the place of the scenario is the first."""

FEW = 128
"""Futures in which other places are tried."""


@dataclass(frozen=True)
class OnRoof:
    """What a climate does to one roof.

    Parameters
    ----------
    covering : str
        What the roof is covered with.
    factors : Factors
        Of the climate on such a surface.
    joints_by_heat, joint_leaks : float
        Factor of joint leaks with the roof's own growth: by heat, and by heat and frost. [-]
    """

    covering: str
    factors: Factors
    joints_by_heat: float
    joint_leaks: float


@dataclass(frozen=True)
class Standing:
    """A place: what it does to the roofs, and what the ways cost there.

    Parameters
    ----------
    name, zone : str
        Of the place; "" for that of the scenario.
    drivers : Drivers
        Climate drivers in the open, without cover.
    stands, then : OnRoof
        The roof that stands, and the one that the way in question lays.
    rot_time : float
        Factor of the time constant of rot. [-]
    costs : mapping of str to float
        Net-present cost of each way at the years kept, mean over the futures; empty with trouble
        reported. [money]
    """

    name: str
    zone: str
    drivers: Drivers
    stands: OnRoof
    then: OnRoof
    rot_time: float
    costs: Mapping[str, float]

    @property
    def cheapest(self) -> str | None:
        """Name of the cheapest way on average; None with trouble reported."""
        return min(self.costs, key=lambda name: self.costs[name], default=None)


@dataclass(frozen=True)
class ByPlace(Framed):
    """A scenario in its place and in every other.

    Parameters
    ----------
    scenario : Scenario
        With a climate; without one of its own it stands in the reference.
    named : bool
        Whether it has one of its own.
    site : Site
        What size and place do.
    here : Standing
        The place of the scenario.
    places : tuple of Standing
        Each place of the table, under the same cover.
    alone : mapping of str to float
        What each effect alone adds to the net savings of the way in question; empty where nothing is
        compared. [money]
    without : float or None
        Its net savings without any effect of the climate. [money]
    subject : str or None
        Name of the way in question; None if there is only one way.
    base_case : str
        Name of what the owner would do otherwise.
    years : float
        Years kept. [years]
    cooling : CoolingSaved or None
        A white against a dark roof, here; None if the sun is not known.
    futures : int
        Futures that the costs are means over; 1 where no figure is a range, 0 where nothing is compared.
    """

    scenario: Scenario
    named: bool
    site: Site
    here: Standing
    places: tuple[Standing, ...]
    alone: Mapping[str, float]
    without: float | None
    subject: str | None
    base_case: str
    years: float
    cooling: CoolingSaved | None
    futures: int

    def __repr__(self) -> str:
        """Say in how many places the way in question is the cheaper one."""
        found = [savings for one in self.places if (savings := self.net_savings(one)) is not None]
        cheaper = sum(savings > 0.0 for savings in found)
        ways = {"way": repr(self.subject), "than": repr(self.base_case)}
        return frame_words("by_place")("named", **ways, cheaper=cheaper, places=len(found))

    def to_frame(self) -> Frame:
        """Return the places as rows, that of the scenario first.

        Returns
        -------
        pandas.DataFrame
            By name: factors of ageing, of joint leaks and of rot [-], cost of every way at the years kept and
            net savings of the way in question [money].
        """
        said = frame_words("by_place", money=self.scenario.currency)
        rows = {
            place.name or said("here"): {
                said("ageing"): place.stands.factors.ageing,
                said("joint_leaks"): place.stands.joint_leaks,
                said("rot_time"): place.rot_time,
                **{said("cost", way=name): cost for name, cost in place.costs.items()},
                said("savings"): self.net_savings(place),
            }
            for place in (self.here, *self.places)
        }
        return in_rows(rows)

    def net_savings(self, place: Standing) -> float | None:
        """Return how much cheaper the way in question is than the base case in a place. [money]"""
        if self.subject is None or not place.costs:
            return None
        return place.costs[self.base_case] - place.costs[self.subject]


def by_place(scenario: Scenario, *, doubt: Doubt | None = None) -> ByPlace:
    """Compare the ways of a scenario in its place and in every other, on average over the futures.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    doubt : Doubt or None
        Of it, where it is there already; None: of the default futures.

    Returns
    -------
    ByPlace
    """
    whole = with_climate(scenario)
    site = site_of(whole)
    here = known_drivers(site.here or Drivers())
    table = {name: drivers_of(name, tuple(here)) for name in shared()["places"]}
    movable = _with_own_drivers(whole, here)
    case = resolve(movable)
    if doubt is None and not scenario.trouble:
        until = math.ceil(scenario.likely(scenario.owner["holding_period"]))
        doubt = under(scenario, futures(scenario), until=until)
    costs = {} if doubt is None else _costs(movable, here, table, doubt, scenario)
    others = 2 + len(EFFECTS)
    places = tuple(
        _standing(movable, case, name, drivers, _row(costs, others + row))
        for row, (name, drivers) in enumerate(table.items())
    )
    subject, base = scenario.subject, case.base_case.name
    savings = costs[base] - costs[subject.name] if costs and subject else None
    more = {} if savings is None else {e: float(savings[2 + k] - savings[1]) for k, e in enumerate(EFFECTS)}
    return ByPlace(
        scenario=whole,
        named=scenario.climate is not None,
        site=site,
        here=_standing(movable, case, "", here, _row(costs, 0)),
        places=places,
        alone=more,
        without=None if savings is None else float(savings[WITHOUT]),
        subject=subject.name if subject else None,
        base_case=base,
        years=float(case.terms.holding_period),
        cooling=cooling_of(whole),
        futures=0 if doubt is None else doubt.futures.weights.size if doubt.futures.sample.values else 1,
    )


def with_climate(scenario: Scenario) -> Scenario:
    """Return a scenario that stands in the reference climate if it names none itself."""
    if scenario.climate is not None:
        return scenario
    reader = Reader(fields(), {"climate": {}}, shared())
    bare = replace(scenario, climate=read_climate(reader), coach=None)
    used = {use.path: reader.figures[use.path] for use in numbers_of_site(bare) if isinstance(use, Use)}
    return replace(bare, coach=scenario.coach, inputs={**scenario.inputs, **used})


def cooling_of(scenario: Scenario) -> CoolingSaved | None:
    """Return what cooling costs less under a white roof than under a dark one; None without a climate or sun.

    For the roof of the scenario's coach, or of the reference coach.
    """
    site = site_of(scenario)
    if scenario.climate is None or site.here is None or site.here.sun is None:
        return None
    likely = {name: figure.likely for name, figure in scenario.climate.cooling.items()}
    white, dark = (
        Surface(likely[f"{one}_reflectance"], likely[f"{one}_emittance"]) for one in ("white", "dark")
    )
    reference = convert(shared()["coach"]["reference_area"]["value"], "sq ft", "m2")
    area = site.geometry.roof_area if site.geometry else reference
    return cooling_saved(
        white,
        dark,
        area=area,
        sun=mean_sun(site.here.sun) * (1.0 - site.sheltered_share),
        exchange=exchange_of(scenario.climate.numbers, Lookup(scenario, {})),
        cooling=Cooling(**{name: likely[name] for name in Cooling.__dataclass_fields__}),
    )


def known_drivers(drivers: Drivers) -> dict[str, float]:
    """Return the drivers that are known."""
    return {name: float(value) for name, value in vars(drivers).items() if value is not None}


def drivers_of(name: str, drivers: tuple[str, ...]) -> dict[str, float]:
    """Return some drivers of a place of the table, in the model's own units."""
    found = {}
    for driver in drivers:
        stated, field = shared()["places"][name][driver], fields()["climate"][driver]
        found[driver] = convert(stated.get("likely", stated.get("value")), field.unit_us, field.unit)
    return found


def _with_own_drivers(scenario: Scenario, here: Mapping[str, float]) -> Scenario:
    """Return a scenario whose climate is stated by its drivers, so that they can be moved."""
    climate = scenario.climate
    if climate is None:
        raise ValueError("a scenario without a climate has no drivers to move")
    figures = {f"climate.{name}": _figure(name, value) for name, value in here.items()}
    others = {name: stated for name, stated in climate.numbers.items() if name not in DRIVERS}
    moved = replace(climate, numbers={**others, **{name: Use(f"climate.{name}") for name in here}}, places=())
    return replace(scenario, climate=moved, inputs={**scenario.inputs, **figures})


def _figure(name: str, value: float) -> Figure:
    """Return a driver as an input."""
    field = fields()["climate"][name]
    return Figure(f"climate.{name}", value, value, value, "", "judgement", "", SET, field)


def _costs(
    scenario: Scenario,
    here: Mapping[str, float],
    table: Mapping[str, Mapping[str, float]],
    doubt: Doubt,
    stated: Scenario,
) -> dict[str, Array]:
    """Mean net-present cost of every way at the years kept, at each point. [money]"""
    stands = {f"climate.{name}": value for name, value in here.items()}
    off = dict.fromkeys((_path(scenario.climate, name) for name in EFFECTS.values()), 0.0)
    alone = [{path: value for path, value in off.items() if path != one} for one in off]
    places = [{f"climate.{name}": value for name, value in drivers.items()} for drivers in table.values()]
    some = 1
    drawn = doubt.futures
    if drawn.sample.values:
        some = min(FEW, drawn.weights.size)
        drawn = futures(scenario, draws=drawn.sample.draws, seed=drawn.sample.seed, alike=stated)
    points = [stands, off, *alone, *places]
    cost, weights = in_few(scenario, first(drawn, some), points, ways=doubt.names)
    means = {way: np.sum(weights * one, axis=1) for way, one in cost.items()}
    return {way: doubt.futures.weights @ doubt.cost(way) + mean - mean[0] for way, mean in means.items()}


def _path(climate: StatedClimate | None, name: str) -> str:
    """Return the path of the input that says how strongly a roof responds."""
    stated = climate.numbers[name] if climate is not None else None
    if not isinstance(stated, Use):
        raise ValueError(f"{name} is no input")
    return stated.path


def _row(costs: Mapping[str, Array], row: int) -> dict[str, float]:
    """Return the costs at one point."""
    return {name: float(cost[row]) for name, cost in costs.items()}


def _standing(
    scenario: Scenario, case: Case, name: str, drivers: Mapping[str, float], costs: Mapping[str, float]
) -> Standing:
    """Return what a place does."""
    factors = site_of(scenario, {f"climate.{driver}": value for driver, value in drivers.items()}).factors
    way = case.alternative((scenario.subject or scenario.base_case).name)
    stands, then = (
        _on_roof(factors, scenario.roofs[roof.name].covering, float(np.asarray(roof.joint_leak_growth)))
        for roof in (case.existing.roof, way.then)
    )
    return Standing(
        name=name,
        zone=shared()["places"][name]["zone"] if name else "",
        drivers=Drivers(**drivers),
        stands=stands,
        then=then,
        rot_time=float(stands.factors.rot_time),
        costs=costs,
    )


def _on_roof(factors: Mapping[str, Factors], covering: str, growth: float) -> OnRoof:
    """Return what a climate does to a roof."""
    found = factors[covering]
    return OnRoof(covering, found, float(found.seal_ageing**growth), float(found.joint_leaks(growth)))
