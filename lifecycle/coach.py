"""The roof of a coach from a walk with a tape measure: what is sprayed, what is joint, what goes through.

Lecture
-------
With L the length of the coach, W the width of its roof, F and R the front and rear caps (moulded
ends, not sprayed), e the edge return (how far the coating goes over each side)::

    sprayed length   S = L - F - R
    sprayed area       = S (W + 2 e)          stripped area = S W          roof area = L W
    perimeter          = 2 S + 2 W            two sides; at each end a cap joint or the roof's edge
    flange length      = sum over penetrations of count * perimeter of the flange
    joint length       = perimeter + flange length

A *penetration* is any opening or fixture through the roof; its flange is a rectangle of length and
width, or, without a width, a circle with its length as diameter.

A figure of a roof holds for a *reference coach*. On another coach joint leaks are multiplied by the
joint length against the reference's, punctures by the roof area against the reference's.

What nobody measured is taken from the reference coach: the width so that the roof is as wide; caps
so that the same share of the length is sprayed; penetrations so that the flanges are as long as
the reference has them::

    flanges of the reference = its joint length - 2 (its sprayed length + its width)

Assumed: a rectangular roof; every joint leaks as easily as any other. Openings are not deducted
from the sprayed area, as their flanges are sprayed up. A fixture that is removed and patched counts
as a joint all the same: it is one today. Left out: rounded caps, slide-out roofs, awning rails.

Source
------
Geometry. That a coach of 24 ft overall may have 20 ft to spray, and that the price follows the
sprayed length: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Any

import numpy as np

FATES = ("refit", "replace", "remove")
"""What happens to a penetration when the roof is stripped; remove: and patch the hole."""

MM_A_METRE = 1000.0


@dataclass(frozen=True)
class Penetration:
    """Openings or fixtures of one kind and size.

    Parameters
    ----------
    kind : str
        What it is.
    count : float
        How many.
    length, width : float or ndarray, shape (draws,)
        Of the flange; without a width (None) it is round, and its length is its diameter. [mm]
    fate : str
        One of `FATES`.
    """

    kind: str
    count: float
    length: Any
    width: Any = None
    fate: str = "refit"

    @property
    def flange_length(self) -> Any:
        """Joint around all of them. [m]"""
        one = pi * self.length if self.width is None else 2.0 * (self.length + self.width)
        return self.count * one / MM_A_METRE

    @property
    def covered_area(self) -> Any:
        """Roof that all of them cover. [m2]"""
        one = pi / 4.0 * self.length**2 if self.width is None else self.length * self.width
        return self.count * one / MM_A_METRE**2


@dataclass(frozen=True)
class Reference:
    """The coach for which the figures of a roof hold as written.

    Parameters
    ----------
    length, joint_length : float or ndarray, shape (draws,)
        Overall length, length of all joints. [m]
    roof_area : float or ndarray, shape (draws,)
        Length times width of the roof. [m2]
    sprayed_share : float or ndarray, shape (draws,)
        Sprayed length as a share of the length. [-]
    """

    length: Any
    joint_length: Any
    roof_area: Any
    sprayed_share: Any

    @property
    def width(self) -> Any:
        """Width of its roof. [m]"""
        return self.roof_area / self.length

    @property
    def flange_length(self) -> Any:
        """What its joints have beyond the perimeter of what is sprayed. [m]"""
        perimeter = 2.0 * (self.sprayed_share * self.length + self.width)
        return np.maximum(self.joint_length - perimeter, 0.0)


@dataclass(frozen=True)
class Coach:
    """What was measured of a coach; None where nobody did. Lengths are floats or of shape (draws,).

    Parameters
    ----------
    length, width : float, ndarray or None
        From end to end; of the roof. [m]
    front_cap, rear_cap : float, ndarray or None
        Lengths of the moulded ends; with one of them known, the other counts as 0. [m]
    edge : float, ndarray or None
        How far the coating goes over each side. [mm]
    penetrations : tuple of Penetration, or None
        All of them; None: nobody counted.
    """

    length: Any = None
    width: Any = None
    front_cap: Any = None
    rear_cap: Any = None
    edge: Any = None
    penetrations: tuple[Penetration, ...] | None = None


@dataclass(frozen=True)
class Geometry:
    """Lengths and areas of a roof; each a float or of shape (draws,).

    Parameters
    ----------
    length, width : float or ndarray
        Of the coach; of its roof. [m]
    sprayed_length : float or ndarray
        Between the caps. [m]
    sprayed_area, stripped_area, roof_area, covered_area : float or ndarray
        With the edge returns; between the caps; of the whole roof; under penetrations. [m2]
    perimeter, flange_length, joint_length : float or ndarray
        Of what is sprayed; around penetrations; both. [m]
    joint_ratio, area_ratio : float or ndarray
        Joint length and roof area against those of the reference coach. [-]
    assumed : tuple of str
        What nobody measured, taken from the reference coach: "length", "width", "caps",
        "penetrations".
    """

    length: Any
    width: Any
    sprayed_length: Any
    sprayed_area: Any
    stripped_area: Any
    roof_area: Any
    covered_area: Any
    perimeter: Any
    flange_length: Any
    joint_length: Any
    joint_ratio: Any
    area_ratio: Any
    assumed: tuple[str, ...] = ()


def geometry(coach: Coach, reference: Reference) -> Geometry:
    """Work out the lengths and areas of a roof.

    Parameters
    ----------
    coach : Coach
        What was measured.
    reference : Reference
        Stands in for what was not, and is what ratios are against.

    Returns
    -------
    Geometry

    Notes
    -----
    Caps as long as the coach leave nothing to spray, longer ones no less.

    Examples
    --------
    >>> reference = Reference(length=8.0, joint_length=26.0, roof_area=20.0, sprayed_share=0.8)
    >>> found = geometry(Coach(length=10.0, width=2.0, front_cap=1.0, edge=100.0), reference)
    >>> found.sprayed_length, found.sprayed_area, found.perimeter, found.assumed
    (9.0, 19.8, 22.0, ('penetrations',))
    """
    length = reference.length if coach.length is None else coach.length
    width = reference.width if coach.width is None else coach.width
    sprayed = _sprayed_length(coach, reference, length)
    edge = 0.0 if coach.edge is None else coach.edge / MM_A_METRE
    perimeter = 2.0 * (sprayed + width)
    flanges, covered = reference.flange_length, 0.0
    if coach.penetrations is not None:
        flanges = sum((one.flange_length for one in coach.penetrations), 0.0)
        covered = sum((one.covered_area for one in coach.penetrations), 0.0)
    return Geometry(
        length=length,
        width=width,
        sprayed_length=sprayed,
        sprayed_area=sprayed * (width + 2.0 * edge),
        stripped_area=sprayed * width,
        roof_area=length * width,
        covered_area=covered,
        perimeter=perimeter,
        flange_length=flanges,
        joint_length=perimeter + flanges,
        joint_ratio=(perimeter + flanges) / reference.joint_length,
        area_ratio=length * width / reference.roof_area,
        assumed=_assumed(coach),
    )


def _sprayed_length(coach: Coach, reference: Reference, length: Any) -> Any:
    """Return the length between the caps. [m]"""
    caps = [cap for cap in (coach.front_cap, coach.rear_cap) if cap is not None]
    if not caps:
        return reference.sprayed_share * length
    between = np.maximum(length - sum(caps), 0.0)
    return float(between) if np.ndim(between) == 0 else between


def _assumed(coach: Coach) -> tuple[str, ...]:
    """Name what nobody measured."""
    missing = {
        "length": coach.length is None,
        "width": coach.width is None,
        "caps": coach.front_cap is None and coach.rear_cap is None,
        "penetrations": coach.penetrations is None,
    }
    return tuple(name for name, is_so in missing.items() if is_so)
