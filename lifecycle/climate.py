"""Where a coach stands: what sun, heat, frost, rain and hail do to the figures of its roof.

Lecture
-------
A place has *drivers* by the year: sun I [GJ/m2], mean air temperature T [C], freeze-thaw days F, wet
days W, hail days H. A coach that stands in several places has the mean of their drivers, weighed by
the share of the year. Cover for the share s of the year keeps sun, rain, frost and hail off for that
share: the open share is o = 1 - s.

Each figure of a roof holds as written in a *reference climate*. Elsewhere it is multiplied::

    ageing        (AF ** c_heat) (o I / I0) ** a_sun                      held within 0.6 ... 1.6
    joint leaks   (AF_sealant ** c_heat) ** k * exp(b_frost (o F - F0) / 100)
    punctures     1 - h + h o H / H0
    rot time      (o W / W0) ** -a_wet

AF is the Arrhenius acceleration at the mean roof temperature against that of the reference
(`heat`), with the activation energy of the membrane or of the sealant. Heat speeds the time of the
seals, so it acts on joint leaks with their power of growth k. The mean roof temperature is the
sol-air temperature of the open time and the air's under cover::

    T_roof = T + o (a I_mean - e L) / h

The exponents are weak and uncertain on purpose: a survey of building roofs (from memory) saw no
geographic difference, and laboratory Arrhenius slopes do not carry over to roofs.

A driver that is not known, here or of the reference, changes nothing: its factor is 1.

Assumed: yearly means say enough; under cover the roof is as warm as the air. Left out: in which
season the coach is where (winters in the south are cooler than the south's year, and miss the
north's frost), days of great heat, salt, ponding water, how cold wet wood is.

Source
------
The form of the factors, and the range of ageing, are the model's own (judgement).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from lifecycle.heat import Exchange, Surface, acceleration_factor, mean_sun, sol_air_temperature

DRIVERS = ("sun", "air_temperature", "freeze_thaw_days", "wet_days", "hail_days")
"""What a place does to a roof, by the year."""

SHELTERED_DRIVERS = ("sun", "freeze_thaw_days", "wet_days", "hail_days")
"""Drivers that a cover keeps off."""

SLOWEST_AGEING, FASTEST_AGEING = 0.6, 1.6
"""Within these the factor of ageing is held. [-]"""

DRIEST = 1e-3
"""Ratio of wet days below which wood rots no more slowly: a roof that never gets wet. [-]"""


@dataclass(frozen=True)
class Drivers:
    """What a place does to a roof, by the year; None where it is not known.

    Parameters
    ----------
    sun : float, ndarray or None
        On the flat. [GJ/m2]
    air_temperature : float, ndarray or None
        Yearly mean. [C]
    freeze_thaw_days, wet_days, hail_days : float, ndarray or None
        Days with freezing and thawing, with rain or snow, with hail. [days]
    """

    sun: Any = None
    air_temperature: Any = None
    freeze_thaw_days: Any = None
    wet_days: Any = None
    hail_days: Any = None


@dataclass(frozen=True)
class Response:
    """How strongly a roof responds to its climate.

    Parameters
    ----------
    heat_exponent, sun_exponent, wet_exponent : float or ndarray, shape (draws,)
        c_heat, a_sun, a_wet. [-]
    frost_coefficient : float or ndarray, shape (draws,)
        b_frost, for each 100 freeze-thaw days. [-]
    hail_share : float or ndarray, shape (draws,)
        h, share of the punctures that hail makes. [-]
    membrane_activation_energy, sealant_activation_energy : float or ndarray, shape (draws,)
        Activation energies. [kJ/mol]
    """

    heat_exponent: Any
    sun_exponent: Any
    frost_coefficient: Any
    wet_exponent: Any
    hail_share: Any
    membrane_activation_energy: Any
    sealant_activation_energy: Any


@dataclass(frozen=True)
class Factors:
    """What a climate multiplies the figures of a roof with; each a float or of shape (draws,).

    Parameters
    ----------
    roof_temperature, reference_temperature : float, ndarray or None
        Mean roof temperature here and in the reference climate; None if it is not known. [C]
    heat, sealant_heat : float or ndarray
        Arrhenius acceleration of membrane and sealant, before any exponent. [-]
    ageing_by_heat, ageing_by_sun : float or ndarray
        The two parts of the factor of ageing. [-]
    ageing : float or ndarray
        Their product, held within its range. [-]
    seal_ageing : float or ndarray
        How much faster the time of the seals goes; acts with the power k. [-]
    joints_by_frost : float or ndarray
        Part of the joint leaks that frost makes. [-]
    punctures : float or ndarray
        Factor of the puncture rate. [-]
    rot_time : float or ndarray
        Factor of the time constant of rot. [-]
    """

    roof_temperature: Any
    reference_temperature: Any
    heat: Any
    sealant_heat: Any
    ageing_by_heat: Any
    ageing_by_sun: Any
    ageing: Any
    seal_ageing: Any
    joints_by_frost: Any
    punctures: Any
    rot_time: Any

    def joint_leaks(self, growth: ArrayLike) -> Any:
        """Return the factor of joint leaks that grow with the power `growth`. [-]"""
        return joint_leak_factor(self.seal_ageing, self.joints_by_frost, growth=growth)


def mixed(places: Sequence[Drivers], shares: Sequence[ArrayLike]) -> Drivers:
    """Mean drivers of a coach that stands in several places.

    Parameters
    ----------
    places : sequence of Drivers
        At least one.
    shares : sequence of float or ndarray, shape (draws,)
        Share of the year in each; only their proportions count. [-]

    Returns
    -------
    Drivers
        A driver that one place lacks is None.

    Raises
    ------
    ValueError
        If there is no place, or not one share for each.

    Examples
    --------
    >>> mixed([Drivers(sun=6.0), Drivers(sun=7.0)], [0.75, 0.25]).sun
    6.25
    """
    if not places or len(places) != len(shares):
        raise ValueError(f"{len(places)} places need as many shares; got {len(shares)}")
    weights = [np.asarray(share, dtype=float) for share in shares]
    whole = sum(weights[1:], weights[0])
    means: dict[str, Any] = {}
    for name in DRIVERS:
        values = [getattr(place, name) for place in places]
        if all(value is not None for value in values):
            weighed = [weight * value for weight, value in zip(weights, values, strict=True)]
            means[name] = _plain(sum(weighed[1:], weighed[0]) / whole)
    return Drivers(**means)


def sheltered(drivers: Drivers, sheltered_share: ArrayLike) -> Drivers:
    """Drivers that reach a roof under cover for a share of the year.

    Parameters
    ----------
    drivers : Drivers
        Of the place, in the open.
    sheltered_share : float or ndarray, shape (draws,)
        Share of the year under cover, 0 to 1. [-]

    Returns
    -------
    Drivers
        Sun, frost, rain and hail of the open time; the air is as warm under cover.

    Examples
    --------
    >>> sheltered(Drivers(sun=6.0, air_temperature=10.0), 0.5)
    Drivers(sun=3.0, air_temperature=10.0, freeze_thaw_days=None, wet_days=None, hail_days=None)
    """
    open_share = 1.0 - np.asarray(sheltered_share, dtype=float)
    reaching = {
        name: _plain(open_share * value)
        for name in SHELTERED_DRIVERS
        if (value := getattr(drivers, name)) is not None
    }
    return replace(drivers, **reaching)


def roof_temperature(
    drivers: Drivers, *, surface: Surface, exchange: Exchange, sheltered_share: ArrayLike = 0.0
) -> Any:
    """Mean temperature of a roof over the year.

    Parameters
    ----------
    drivers : Drivers
        Of the place, in the open.
    surface : Surface
        Reflectance and emittance of the roof.
    exchange : Exchange
        Surface coefficient and loss to the sky.
    sheltered_share : float or ndarray, shape (draws,)
        Share of the year under cover. [-]

    Returns
    -------
    float, ndarray or None
        None if sun or air temperature is not known. [C]
    """
    if drivers.sun is None or drivers.air_temperature is None:
        return None
    rise = sol_air_temperature(0.0, mean_sun(drivers.sun), surface=surface, exchange=exchange)
    open_share = 1.0 - np.asarray(sheltered_share, dtype=float)
    return _plain(np.asarray(drivers.air_temperature, dtype=float) + open_share * rise)


def ageing_factor(by_heat: ArrayLike, by_sun: ArrayLike) -> Any:
    """Effective years per year against the reference, held within its range.

    Parameters
    ----------
    by_heat, by_sun : float or ndarray, shape (...)
        AF ** c_heat and (sun ratio) ** a_sun. [-]

    Returns
    -------
    float or ndarray, shape (...)
        From 0.6 to 1.6. [-]

    Examples
    --------
    >>> ageing_factor(1.1, 1.0), ageing_factor(2.0, 1.2), ageing_factor(1.0, 0.0)
    (1.1, 1.6, 0.6)
    """
    return _plain(np.clip(np.asarray(by_heat) * np.asarray(by_sun), SLOWEST_AGEING, FASTEST_AGEING))


def joint_leak_factor(seal_ageing: ArrayLike, by_frost: ArrayLike, *, growth: ArrayLike) -> Any:
    """Joint leaks of the first year against the reference: ``seal_ageing ** growth * by_frost``.

    Parameters
    ----------
    seal_ageing : float or ndarray, shape (...)
        How much faster the time of the seals goes. [-]
    by_frost : float or ndarray, shape (...)
        What frost multiplies. [-]
    growth : float or ndarray, shape (...)
        Power k with which joint leaks grow. [-]

    Returns
    -------
    float or ndarray, shape (...)
        [-]

    Examples
    --------
    >>> joint_leak_factor(1.1, 1.0, growth=2.0)
    1.2100000000000002
    """
    return _plain(np.asarray(seal_ageing) ** np.asarray(growth, dtype=float) * np.asarray(by_frost))


def frost_factor(days: ArrayLike, reference: ArrayLike, *, coefficient: ArrayLike) -> Any:
    """Factor that freezing and thawing puts on joint leaks: ``exp(b (days - reference) / 100)``.

    Parameters
    ----------
    days, reference : float or ndarray, shape (...)
        Freeze-thaw days that reach the roof, and of the reference. [days/year]
    coefficient : float or ndarray, shape (...)
        b, for each 100 days. [-]

    Returns
    -------
    float or ndarray, shape (...)
        [-]
    """
    more = (np.asarray(days, dtype=float) - reference) / 100.0
    return _plain(np.exp(np.asarray(coefficient) * more))


def puncture_factor(hail_ratio: ArrayLike, *, hail_share: ArrayLike) -> Any:
    """Punctures against the reference: ``1 - h + h ratio``; branches and feet are everywhere alike.

    Parameters
    ----------
    hail_ratio : float or ndarray, shape (...)
        Hail days that reach the roof against the reference's. [-]
    hail_share : float or ndarray, shape (...)
        Share h of the punctures that hail makes in the reference climate. [-]

    Returns
    -------
    float or ndarray, shape (...)
        [-]

    Examples
    --------
    >>> puncture_factor(3.0, hail_share=0.25)
    1.5
    """
    share = np.asarray(hail_share, dtype=float)
    return _plain(1.0 - share + share * np.asarray(hail_ratio))


def rot_time_factor(wet_ratio: ArrayLike, *, wet_exponent: ArrayLike) -> Any:
    """Time constant of rot against the reference: ``ratio ** -a``; wetter is faster.

    Parameters
    ----------
    wet_ratio : float or ndarray, shape (...)
        Wet days that reach the roof against the reference's; below a thousandth counts as that. [-]
    wet_exponent : float or ndarray, shape (...)
        a. [-]

    Returns
    -------
    float or ndarray, shape (...)
        [-]

    Examples
    --------
    >>> rot_time_factor(4.0, wet_exponent=0.5)
    0.5
    """
    ratio = np.maximum(np.asarray(wet_ratio, dtype=float), DRIEST)
    return _plain(ratio ** -np.asarray(wet_exponent, dtype=float))


def factors(
    here: Drivers,
    reference: Drivers,
    *,
    response: Response,
    surface: Surface,
    exchange: Exchange,
    sheltered_share: ArrayLike = 0.0,
) -> Factors:
    """Return what a climate multiplies the figures of a roof with.

    Parameters
    ----------
    here, reference : Drivers
        Of the place in the open, and of the climate in which the figures hold as written.
    response : Response
        How strongly a roof responds.
    surface : Surface
        Reflectance and emittance of the roof.
    exchange : Exchange
        Surface coefficient and loss to the sky.
    sheltered_share : float or ndarray, shape (draws,)
        Share of the year under cover; the reference is in the open. [-]

    Returns
    -------
    Factors
        1 for whatever rests on a driver that is not known.

    Raises
    ------
    ValueError
        If a driver of the reference that is divided by is not above 0.
    """
    reaching = sheltered(here, sheltered_share)
    warm = roof_temperature(here, surface=surface, exchange=exchange, sheltered_share=sheltered_share)
    before = roof_temperature(reference, surface=surface, exchange=exchange)
    heat, sealant = (
        acceleration_factor(warm, before, activation_energy=energy) if _known(warm, before) else 1.0
        for energy in (response.membrane_activation_energy, response.sealant_activation_energy)
    )
    by_heat, seal_ageing = (_plain(np.asarray(one) ** response.heat_exponent) for one in (heat, sealant))
    by_sun = _plain(np.asarray(_ratio(reaching, reference, "sun")) ** response.sun_exponent)
    frost = reaching.freeze_thaw_days, reference.freeze_thaw_days
    by_frost = frost_factor(*frost, coefficient=response.frost_coefficient) if _known(*frost) else 1.0
    hail, wet = _ratio(reaching, reference, "hail_days"), _ratio(reaching, reference, "wet_days")
    return Factors(
        roof_temperature=warm,
        reference_temperature=before,
        heat=heat,
        sealant_heat=sealant,
        ageing_by_heat=by_heat,
        ageing_by_sun=by_sun,
        ageing=ageing_factor(by_heat, by_sun),
        seal_ageing=seal_ageing,
        joints_by_frost=by_frost,
        punctures=puncture_factor(hail, hail_share=response.hail_share),
        rot_time=rot_time_factor(wet, wet_exponent=response.wet_exponent),
    )


def _known(*values: Any) -> bool:
    """Whether none of the values is missing."""
    return all(value is not None for value in values)


def _ratio(here: Drivers, reference: Drivers, name: str) -> Any:
    """Return a driver against the reference's; 1 where one of the two is not known."""
    one, other = getattr(here, name), getattr(reference, name)
    if not _known(one, other):
        return 1.0
    if not np.all(np.asarray(other) > 0.0):
        raise ValueError(f"{name} of the reference climate must be above 0; got {other}")
    return _plain(np.asarray(one, dtype=float) / other)


def _plain(value: Any) -> Any:
    """Return an array without axes as a float."""
    return float(value) if np.ndim(value) == 0 else value
