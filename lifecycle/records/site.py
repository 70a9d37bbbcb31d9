"""Where records stand and how long their coaches are: what brings their figures to the reference.

Lecture
-------
The figures of a scenario hold on the tool's reference coach in its reference climate; place and size multiply
them on the way to a roof (`scenario.site`). What was seen in Miami on long coaches has that place and that
size in it already. So every age and every leak of a record is divided by what its own site does, and what is
written into a scenario is a figure of the reference. Then place and size count once, wherever the scenario
stands::

    effective age   = age by the calendar * ageing of the climate
    joint leaks     = m1 * joint length ratio * (seal ageing) ** k * frost
    punctures       = rate * area ratio * hail

The factors stand at the likely values of how a roof responds; a fit over several places may free two of
them (`lives`). A site that nobody names leaves everything as it was seen, and then nothing may be written
into a scenario.

Left out: cover, caps and fixtures of single coaches.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from lifecycle.climate import DRIVERS, Drivers, mixed
from lifecycle.errors import ScenarioError
from lifecycle.files import fields, shared
from lifecycle.quantities import Array, Flags, Whole, convert
from lifecycle.reading.reader import Reader
from lifecycle.reading.site import read_coach
from lifecycle.records.columns import Places
from lifecycle.scenario import Scenario
from lifecycle.scenario.site import site_of
from lifecycle.studies.by_place import drivers_of, with_climate
from lifecycle.studies.implied import shipped_membrane


@dataclass(frozen=True)
class SiteFactors:
    """What a site multiplies the figures of a roof with.

    Parameters
    ----------
    heat, sun : float
        Acceleration by heat, and ratio of the sun, both before their exponents. [-]
    ageing : float
        Effective years per year. [-]
    seal_ageing, frost : float
        How much faster the time of the seals goes; part of the joint leaks that frost makes. [-]
    punctures : float
        Of the climate. [-]
    joints, area : float
        Joint length and roof area against the reference coach's. [-]
    """

    heat: float = 1.0
    sun: float = 1.0
    ageing: float = 1.0
    seal_ageing: float = 1.0
    frost: float = 1.0
    punctures: float = 1.0
    joints: float = 1.0
    area: float = 1.0


def site_factors(
    places: Places, length: float = 0.0, scenario: Scenario | None = None, covering: str = "membrane"
) -> SiteFactors:
    """Work out what a site does.

    Parameters
    ----------
    places : tuple of (str, float)
        Places and their shares of the year; none: the reference climate.
    length : float
        Of the coach; 0: that of the reference coach. [m]
    scenario : Scenario or None
        Whose reference and responses hold; None: the tool's own.
    covering : str
        Of the roof.

    Returns
    -------
    SiteFactors

    Examples
    --------
    >>> site_factors(()) == SiteFactors()
    True
    >>> site_factors((("Miami", 1.0),)).ageing > 1.1
    True
    """
    if not places and not length > 0.0:
        return SiteFactors()
    site = site_of(standing_in(scenario if scenario is not None else shipped_membrane(), places, length))
    found = SiteFactors()
    if site.geometry is not None and length > 0.0:
        found = replace(found, joints=float(site.geometry.joint_ratio), area=float(site.geometry.area_ratio))
    if not places or site.here is None or site.reference is None:
        return found
    climate = site.factors[covering]
    known = site.here.sun is not None and site.reference.sun is not None
    return replace(
        found,
        heat=float(climate.heat),
        sun=float(site.here.sun / site.reference.sun) if known else 1.0,
        ageing=float(climate.ageing),
        seal_ageing=float(climate.seal_ageing),
        frost=float(climate.joints_by_frost),
        punctures=float(climate.punctures),
    )


def standing_in(scenario: Scenario, places: Places, length: float = 0.0) -> Scenario:
    """Return a scenario whose coach stands elsewhere, in the open, and is as long as said.

    Parameters
    ----------
    scenario : Scenario
        Its reference, and how its roofs respond, stay.
    places, length
        As of `site_factors`; the reference climate and coach change no figure.

    Returns
    -------
    Scenario

    Raises
    ------
    ScenarioError
        If no coach can be as long.
    """
    moved = replace(scenario, climate=None, coach=None)
    if places:
        whole = with_climate(scenario)
        here = mixed(
            [Drivers(**drivers_of(one, DRIVERS)) for one, _ in places], [share for _, share in places]
        )
        drivers = {name: value for name, value in vars(here).items() if value is not None}
        stated = whole.climate
        if stated is None:
            raise ValueError("a scenario with a climate has one")
        kept = {one: use for one, use in stated.numbers.items() if one not in (*DRIVERS, "sheltered_share")}
        climate = replace(stated, numbers={**kept, **drivers}, places=())
        moved = replace(whole, climate=climate, coach=None)
    return moved if not length > 0.0 else _as_long(moved, scenario, length)


def _as_long(moved: Scenario, scenario: Scenario, length: float) -> Scenario:
    """Return a scenario with a coach of a length, all else of it as the reference coach's."""
    reader = Reader(fields(), {"coach": {"length": convert(length, "m", "ft")}}, shared())
    coach = read_coach(reader)
    if coach is None or reader.faults:
        raise ScenarioError(reader.faults, "the length of the coaches")
    figures = dict(reader.figures)
    if scenario.coach is not None:
        own = {name: use for name, use in scenario.coach.numbers.items() if name.startswith("reference_")}
        coach = replace(coach, numbers={**coach.numbers, **own})
        figures |= {path: figure for path, figure in scenario.inputs.items() if "reference_" in path}
    return replace(moved, coach=coach, inputs={**moved.inputs, **figures})


@dataclass(frozen=True)
class Sites:
    """Factors for each of many rows, each array of shape (rows,), as of `SiteFactors`.

    Parameters
    ----------
    known : bool
        Whether every row has a place and a length; else all factors are 1 and nothing is brought anywhere.
    """

    heat: Array
    sun: Array
    ageing: Array
    seal_ageing: Array
    frost: Array
    punctures: Array
    joints: Array
    area: Array
    known: bool

    def of(self, rows: Whole | Flags) -> Sites:
        """Return the factors of some rows."""
        arrays = {name: getattr(self, name)[rows] for name in SiteFactors.__dataclass_fields__}
        return replace(self, **arrays)


def sites_of(
    site: Whole,
    sites: tuple[Places, ...],
    length: Array,
    scenario: Scenario | None = None,
    covering: str = "membrane",
) -> Sites:
    """Work out the factors of many rows.

    Parameters
    ----------
    site : ndarray of int, shape (rows,)
        Number of the site of each row; below 0 where nothing says it.
    sites : tuple of Places
        The sites.
    length : ndarray, shape (rows,)
        0: that of the reference coach; not a number where nothing says it. [m]
    scenario, covering
        As of `site_factors`.

    Returns
    -------
    Sites
    """
    known = bool(np.all(site >= 0) and not np.any(np.isnan(length)))
    names = list(SiteFactors.__dataclass_fields__)
    factors = np.ones((site.size, len(names)))
    if known and site.size:
        kinds, which = np.unique(np.column_stack([site.astype(float), length]), axis=0, return_inverse=True)
        per = [site_factors(sites[int(one)], float(long), scenario, covering) for one, long in kinds]
        factors = np.array([[getattr(one, name) for name in names] for one in per])[which.ravel()]
    return Sites(**dict(zip(names, factors.T, strict=True)), known=known)
