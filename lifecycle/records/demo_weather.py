"""An invented daily weather record, with known truth.

Lecture
-------
Nobody's weather is shown. The mean temperature of a day follows a wave over the year, plus what is left of
yesterday's departure and a new one; night and day lie on both sides of it. A day is wet with a chance, and
then has a spread amount. Some days are missing, as they are in real records, and the last year is broken
off, so that whoever reads it sees a year refused.

Left out: anything that real weather has and this has not: storms, droughts, change.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

BEGIN, END = date(2022, 1, 1), date(2024, 4, 30)
"""First and last day."""

HEAD = "day,highest,lowest,rain"
"""Columns."""


@dataclass(frozen=True)
class WeatherTruth:
    """What the invented record is drawn from.

    Parameters
    ----------
    mean, wave : float
        Mean of the year, and how far summer and winter are from it. [F]
    coldest_day : int
        Of the year. [days]
    apart : float
        From the mean of a day to its highest and lowest. [F]
    lasting, new : float
        Share of yesterday's departure that is left; spread of a new one. [-, F]
    wet : float
        Chance of a wet day. [-]
    rain : float
        Mean rain of a wet day. [in]
    missing : float
        Chance that a day is not in the record. [-]
    """

    mean: float = 49.0
    wave: float = 24.0
    coldest_day: int = 20
    apart: float = 10.0
    lasting: float = 0.7
    new: float = 6.0
    wet: float = 0.3
    rain: float = 0.25
    missing: float = 0.02


def demo_weather(generator: np.random.Generator, truth: WeatherTruth | None = None) -> str:
    """Draw an invented daily record as a CSV file.

    Parameters
    ----------
    generator : Generator
        Of chance.
    truth : WeatherTruth or None
        What it is drawn from; None: as shipped.

    Returns
    -------
    str
        A row for each day that is not missing.
    """
    known = truth or WeatherTruth()
    rows, departure = [HEAD], 0.0
    for number in range((END - BEGIN).days + 1):
        day = BEGIN + timedelta(days=number)
        departure = known.lasting * departure + known.new * float(generator.standard_normal())
        phase = 2.0 * np.pi * (day.timetuple().tm_yday - known.coldest_day) / 365.25
        middle = known.mean - known.wave * float(np.cos(phase)) + departure
        rain = float(generator.exponential(known.rain)) if generator.random() < known.wet else 0.0
        if generator.random() >= known.missing:
            rows.append(f"{day},{middle + known.apart:.0f},{middle - known.apart:.0f},{rain:.2f}")
    return "\n".join([*rows, ""])
