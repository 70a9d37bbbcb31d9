"""Heat on a roof: how warm it is, how much faster that ages it, and what it costs to cool.

Lecture
-------
*Arrhenius.* A reaction with activation energy E runs at the temperature T [K] so many times as fast
as at T0::

    AF = exp(E / R (1 / T0 - 1 / T))        R = 8.314 J / (mol K), or k in eV / K with E in eV

*Sol-air temperature.* A surface with absorptance a = 1 - reflectance and emittance e, under the sun
I and the air temperature T_air, gives off heat as if the air were at::

    T = T_air + a I / h - e L / h

h is the heat transfer coefficient of the surface, L what a flat surface loses to the sky beyond
what it loses to the air. Used for one hour, or for the mean of a year (it is linear).

*Solar reflectance index.* In the standard's sun and wind a surface settles at the temperature Ts of ::

    a I = e sigma (Ts^4 - T_sky^4) + h (Ts - T_air)        I = 1000 W/m2, T_air = 310 K, T_sky = 300 K

and the index is 100 (T_black - Ts) / (T_black - T_white), with a standard black (reflectance 0.05)
and a standard white surface (0.80), both of emittance 0.90.

*Cooling.* A dark roof lets more heat in than a white one, while it is hot and somebody cools::

    heat = area / insulation * (a_dark - a_white) I / h * hours       power = heat / (heat a unit of power)

Assumed: the yearly mean of the sun stands for its mean on cooling days (summer's is about a third
higher). Left out: heat stored in the roof, winter heating that a dark roof saves, thermal bridges.

Source
------
Sol-air temperature: ASHRAE, Handbook of Fundamentals, from memory. Index: ASTM E1980, its heat
balance and standard conditions, from memory, held by published tables (tests). Constants: CODATA 2018.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

GAS_CONSTANT = 8.31446261815324e-3
"""Molar gas constant. [kJ/(mol K)]"""

STEFAN_BOLTZMANN = 5.670374419e-8
"""Of black-body radiation. [W/(m2 K4)]"""

FREEZING = 273.15
"""0 C. [K]"""

SECONDS_A_YEAR = 365.25 * 86_400.0

STANDARD_SUN, STANDARD_AIR, STANDARD_SKY = 1000.0, 310.0, 300.0
"""Conditions of ASTM E1980. [W/m2, K, K]"""

STANDARD_WINDS = {"low": 5.0, "medium": 12.0, "high": 30.0}
"""Convection coefficient by wind in ASTM E1980. [W/(m2 K)]"""

STANDARD_BLACK, STANDARD_WHITE = (0.05, 0.90), (0.80, 0.90)
"""Reflectance and emittance of the standard surfaces of ASTM E1980. [-]"""

NEWTON_STEPS = 12
"""More than enough: the balance is convex, and four steps settle it."""


@dataclass(frozen=True)
class Surface:
    """What a roof looks like to the sun.

    Parameters
    ----------
    reflectance, emittance : float or ndarray, shape (draws,)
        Solar reflectance, thermal emittance. [-]
    """

    reflectance: Any
    emittance: Any


@dataclass(frozen=True)
class Exchange:
    """How a flat surface gives off heat.

    Parameters
    ----------
    surface_coefficient : float or ndarray, shape (draws,)
        To air and surroundings. [W/(m2 K)]
    sky_loss : float or ndarray, shape (draws,)
        What it loses to the sky beyond that, at emittance 1. [W/m2]
    """

    surface_coefficient: Any
    sky_loss: Any


@dataclass(frozen=True)
class Cooling:
    """How the coach is cooled.

    Parameters
    ----------
    insulation : float
        Thermal resistance of the roof. [m2 K/W]
    cooler : float
        Heat that the air conditioner moves for a unit of power. [W/W]
    power_price : float
        Price of power. [money/kWh]
    cooling_days : float
        Days of the year on which it is hot enough to cool. [days/year]
    cooled_share : float
        Share of these days' hours in which somebody does. [-]
    """

    insulation: float
    cooler: float
    power_price: float
    cooling_days: float
    cooled_share: float


@dataclass(frozen=True)
class CoolingSaved:
    """What a light roof saves against a dark one.

    Parameters
    ----------
    warmer : float
        How much warmer the dark surface is, in the yearly mean. [K]
    heat : float
        Heat that it lets in more, while somebody cools. [kWh/year]
    power : float
        Power to move it out again. [kWh/year]
    money : float
        Its price. [money/year]
    """

    warmer: float
    heat: float
    power: float
    money: float


def acceleration_factor(
    temperature: ArrayLike,
    reference: ArrayLike,
    *,
    activation_energy: ArrayLike,
    gas_constant: float = GAS_CONSTANT,
) -> Any:
    """How many times as fast a reaction runs at one temperature as at another (Arrhenius).

    Parameters
    ----------
    temperature, reference : float or ndarray, shape (...)
        Temperatures. [C]
    activation_energy : float or ndarray, shape (...)
        Activation energy. [kJ/mol]
    gas_constant : float
        In the unit of the activation energy per kelvin. [kJ/(mol K)]

    Returns
    -------
    float or ndarray, shape (...)
        Above 1 where it is hotter. [-]

    Examples
    --------
    >>> round(acceleration_factor(30.0, 20.0, activation_energy=70.0), 2)
    2.58
    """
    here = np.asarray(temperature, dtype=float) + FREEZING
    there = np.asarray(reference, dtype=float) + FREEZING
    energy = np.asarray(activation_energy, dtype=float) / gas_constant
    return _plain(np.exp(energy * (1.0 / there - 1.0 / here)))


def mean_sun(yearly_sun: ArrayLike) -> Any:
    """Mean power of the sun over a year.

    Parameters
    ----------
    yearly_sun : float or ndarray, shape (...)
        On the flat. [GJ/m2 a year]

    Returns
    -------
    float or ndarray, shape (...)
        Day and night. [W/m2]

    Examples
    --------
    >>> round(mean_sun(6.25), 1)
    198.1
    """
    return _plain(np.asarray(yearly_sun, dtype=float) * 1e9 / SECONDS_A_YEAR)


def sol_air_temperature(
    air_temperature: ArrayLike, sun: ArrayLike, *, surface: Surface, exchange: Exchange
) -> Any:
    """Sol-air temperature of a flat surface: ``T_air + a I / h - e L / h``.

    Parameters
    ----------
    air_temperature : float or ndarray, shape (...)
        Of the air. [C]
    sun : float or ndarray, shape (...)
        On the surface. [W/m2]
    surface : Surface
        Reflectance and emittance.
    exchange : Exchange
        Surface coefficient and loss to the sky.

    Returns
    -------
    float or ndarray, shape (...)
        In the unit of the air temperature; any coherent units will do. [C]

    Examples
    --------
    >>> light = Surface(reflectance=0.55, emittance=1.0)
    >>> exchange = Exchange(surface_coefficient=3.0, sky_loss=20.0)
    >>> round(sol_air_temperature(90.0, 300.0, surface=light, exchange=exchange), 1)
    128.3
    """
    absorbed = (1.0 - np.asarray(surface.reflectance, dtype=float)) * np.asarray(sun, dtype=float)
    lost = np.asarray(surface.emittance, dtype=float) * exchange.sky_loss
    rise = (absorbed - lost) / np.asarray(exchange.surface_coefficient, dtype=float)
    return _plain(np.asarray(air_temperature, dtype=float) + rise)


def surface_temperature(reflectance: ArrayLike, emittance: ArrayLike, *, wind: str = "medium") -> Any:
    """Steady temperature of a surface in the sun and wind of ASTM E1980.

    Parameters
    ----------
    reflectance, emittance : float or ndarray, shape (...)
        Solar reflectance, thermal emittance. [-]
    wind : str
        "low", "medium" or "high".

    Returns
    -------
    float or ndarray, shape (...)
        Temperature. [K]

    Raises
    ------
    ValueError
        If the wind is none of the standard's.

    Examples
    --------
    >>> round(surface_temperature(0.05, 0.9), 1)
    355.6
    """
    if wind not in STANDARD_WINDS:
        raise ValueError(f"wind must be one of {', '.join(STANDARD_WINDS)}; got {wind!r}")
    convection = STANDARD_WINDS[wind]
    absorbed = (1.0 - np.asarray(reflectance, dtype=float)) * STANDARD_SUN
    radiating = np.asarray(emittance, dtype=float) * STEFAN_BOLTZMANN
    temperature = np.full(np.broadcast(absorbed, radiating).shape, STANDARD_AIR)
    for _ in range(NEWTON_STEPS):
        given_off = radiating * (temperature**4 - STANDARD_SKY**4) + convection * (temperature - STANDARD_AIR)
        slope = 4.0 * radiating * temperature**3 + convection
        temperature = temperature - (given_off - absorbed) / slope
    return _plain(temperature)


def solar_reflectance_index(reflectance: ArrayLike, emittance: ArrayLike, *, wind: str = "medium") -> Any:
    """Solar reflectance index (ASTM E1980): 0 for the standard black, 100 for the standard white.

    Parameters
    ----------
    reflectance, emittance, wind
        As for `surface_temperature`.

    Returns
    -------
    float or ndarray, shape (...)
        May lie below 0 or above 100. [-]

    Raises
    ------
    ValueError
        If the wind is none of the standard's.

    Examples
    --------
    >>> round(solar_reflectance_index(0.34, 0.90))
    37
    """
    black = surface_temperature(*STANDARD_BLACK, wind=wind)
    white = surface_temperature(*STANDARD_WHITE, wind=wind)
    here = surface_temperature(reflectance, emittance, wind=wind)
    return _plain(100.0 * (black - np.asarray(here)) / (black - white))


def cooling_saved(
    light: Surface, dark: Surface, *, area: float, sun: float, exchange: Exchange, cooling: Cooling
) -> CoolingSaved:
    """Cooling that a light roof saves against a dark one.

    Parameters
    ----------
    light, dark : Surface
        The two surfaces.
    area : float
        Of the roof. [m2]
    sun : float
        Yearly mean on the roof. [W/m2]
    exchange : Exchange
        Surface coefficient and loss to the sky.
    cooling : Cooling
        How the coach is cooled.

    Returns
    -------
    CoolingSaved
        Negative amounts where the "dark" surface is the cooler one.
    """
    temperatures = (
        sol_air_temperature(0.0, sun, surface=surface, exchange=exchange) for surface in (dark, light)
    )
    warmer = float(np.subtract(*temperatures))
    hours = 24.0 * cooling.cooling_days * cooling.cooled_share
    heat = area / cooling.insulation * warmer * hours / 1000.0
    power = heat / cooling.cooler
    return CoolingSaved(warmer, heat, power, power * cooling.power_price)


def _plain(value: Any) -> Any:
    """Return an array without axes as a float."""
    return float(value) if np.ndim(value) == 0 else value
