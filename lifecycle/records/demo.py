"""Invented records with known truth: looks, job sheets and weather.

Lecture
-------
Nobody's records are shown. Coaches, looks and stripped roofs are drawn from the same laws that the fits
assume, with figures that are stated (`Truth`), so that a fit can be held against what it should find:

- a roof lasts a Weibull life; a coach whose roof ended before it came to the shop is not in the records;
- joints leak as a power-law process from the last redoing, every third year or never; signs bring a
  coach in, a routine look finds a hidden leak with a chance; months are steps, as in the model;
- routine looks come every half, whole or second year, and end when the coach is sold;
- a stripped roof is sound, wet or rotten with the chances that the model gives for its age and upkeep.

`untidy` writes looks the way people do: dates in three forms, empty cells, the same row twice, remarks.

*Weather.* The mean temperature of a day follows a wave over the year, plus what is left of yesterday's
departure and a new one; night and day lie on both sides of it. A day is wet with a chance, and then has a
spread amount. Some days are missing, and the last year is broken off, so that whoever reads it sees a year
refused.

Left out: anything that real records have and the model has not; storms, droughts, change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import gamma

import numpy as np

from lifecycle.records.columns import month_text
from lifecycle.records.hidden import HiddenByAge

BEGIN, END = 12 * 2014, 12 * 2025 - 1
"""First and last month of the invented records. [months]"""

EARLIEST = 12 * 1997
"""Roofs are laid from then on. [months]"""

INTERVALS = (6, 12, 24)
"""Between routine looks. [months]"""

RESEALED_EVERY = 36
"""Of the coaches whose joints are redone. [months]"""


@dataclass(frozen=True)
class Truth:
    """The figures that invented records are drawn from.

    Parameters
    ----------
    life_mean, life_shape : float
        Of the roof. [years, -]
    joint_leaks_ten_years, joint_leak_growth : float
        Of joints never redone. [leaks, -]
    sign_years, look_finds : float
        Mean time until signs show a leak; chance that a look finds one. [years, -]
    silent_share, age_leaks_ten_years : float
        Of the job sheets. [-, leaks]
    """

    life_mean: float = 15.0
    life_shape: float = 3.0
    joint_leaks_ten_years: float = 2.0
    joint_leak_growth: float = 1.8
    sign_years: float = 0.8
    look_finds: float = 0.45
    silent_share: float = 0.25
    age_leaks_ten_years: float = 0.5


@dataclass(frozen=True)
class Look:
    """One invented look: coach, month, what was seen, why, month laid, month resealed or None, leaks."""

    coach: int
    month: int
    seen: str
    reason: str
    laid: int
    resealed: int | None
    leaks: int


def demo_looks(coaches: int, generator: np.random.Generator, truth: Truth | None = None) -> list[Look]:
    """Draw the looks at so many coaches, in the order of coach and month."""
    truth = truth or Truth()
    scale = 12.0 * truth.life_mean / gamma(1.0 + 1.0 / truth.life_shape)
    found: list[Look] = []
    number = 0
    while number < coaches:
        laid = int(generator.integers(EARLIEST, END - 24))
        joined = max(BEGIN, laid) + int(generator.integers(0, 60))
        ends = laid + scale * generator.weibull(truth.life_shape)
        sold = joined + int(generator.geometric(1.0 / 96.0))
        if joined >= END or ends <= joined:
            continue
        found += _coach(number, laid, joined, min(sold, END), ends, truth, generator)
        number += 1
    return found


def _coach(
    number: int,
    laid: int,
    joined: int,
    leaves: int,
    ends: float,
    truth: Truth,
    generator: np.random.Generator,
) -> list[Look]:
    """Draw the looks at one coach."""
    routine = set(range(joined, leaves + 1, int(generator.choice(INTERVALS))))
    redone = bool(generator.random() < 0.5)
    reseals = list(range(laid + RESEALED_EVERY, leaves + 1, RESEALED_EVERY)) if redone else []
    starts = [laid, *reseals]
    looks: list[Look] = []
    for start, end in zip(starts, [*reseals, leaves], strict=True):
        resealed = start if start > laid else None
        born, shown = _leaks(start, end, truth, generator)
        last = start if resealed is not None else start - 1
        times = sorted({month for month in routine if last < month <= end} | set(shown.tolist()))
        open_ = np.ones(born.size, dtype=bool)
        for month in times:
            if month > end or (month not in routine and not np.any(open_ & (shown == month))):
                continue
            signs = open_ & (shown == month)
            open_ &= ~signs
            if month < joined:
                continue  # another shop saw to it
            complaint = bool(signs.any())
            if month >= ends:
                looks.append(
                    Look(number, month, "end", "complaint" if complaint else "routine", laid, resealed, 0)
                )
                return looks
            seen = open_ & (born <= month) & (generator.random(born.size) < truth.look_finds)
            open_ &= ~seen
            leaks = int(signs.sum() + seen.sum())
            reason = "complaint" if complaint else "routine"
            looks.append(Look(number, month, "leak" if leaks else "fine", reason, laid, resealed, leaks))
    return looks


def _leaks(
    start: int, end: int, truth: Truth, generator: np.random.Generator
) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], np.ndarray[tuple[int], np.dtype[np.int64]]]:
    """Draw the months in which joint leaks of an epoch start, and in which signs would show them."""
    span = (end - start) / 12.0
    expected = truth.joint_leaks_ten_years * (span / 10.0) ** truth.joint_leak_growth
    number = int(generator.poisson(expected))
    ages = span * generator.random(number) ** (1.0 / truth.joint_leak_growth)
    born = start + np.maximum(1, np.ceil(12.0 * ages)).astype(np.int64)
    chance = -np.expm1(-1.0 / (12.0 * truth.sign_years))
    return born, born + generator.geometric(chance, number) - 1


def untidy(looks: Sequence[Look], generator: np.random.Generator) -> str:
    """Write looks the way people do: three forms of dates, empty cells, rows twice, remarks."""
    rows = ["unit,inspected,result,found,why,roof laid,joints redone,remarks"]
    for look in looks:
        day = int(generator.integers(1, 29))
        form = int(generator.integers(0, 3))
        words = {
            "fine": ("ok", "OK", "")[form],
            "leak": ("leak", "Wet inside", "leak")[form],
            "end": "replaced",
        }
        why = {"routine": "annual", "complaint": "owner called"}[look.reason]
        unit = f"U{look.coach:04d}"
        resealed = "" if look.resealed is None else month_text(look.resealed)
        remark = ("", '"cap, rear"', "")[form]
        date = _written(look.month, day, form)
        chance = generator.random()
        if chance < 0.006:
            unit = ""
        elif chance < 0.012:
            date = ""
        cells = (unit, date, words[look.seen], str(look.leaks or ""), why)
        row = ",".join((*cells, month_text(look.laid), resealed, remark))
        rows += [row, row] if 0.012 <= chance < 0.02 else [row]
    return "\n".join(rows) + "\n"


def _written(month: int, day: int, form: int) -> str:
    """Write a date in one of three forms."""
    year, number = month // 12, month % 12 + 1
    return (f"{year}-{number:02d}-{day:02d}", f"{number}/{day}/{year}", f"{day}.{number}.{year}")[form]


def demo_job_sheets(
    jobs: int,
    model: HiddenByAge,
    generator: np.random.Generator,
    truth: Truth | None = None,
) -> str:
    """Draw so many job sheets from what the model hides by plan, as CSV with ages in months."""
    truth = truth or Truth()
    plans = sorted(model.every)
    longest = min(table.shape[1] for table in model.every.values()) - 1
    share, size = np.array(truth.silent_share), np.array(truth.age_leaks_ten_years)
    rows = ["job,age,upkeep,deck,area,reason"]
    for job in range(jobs):
        plan = plans[int(generator.integers(0, len(plans)))]
        age = int(generator.integers(24, longest + 1))
        every, rotten = (float(values[0]) for values in model.at(plan, np.array([age]), share, size))
        gone = int(generator.poisson(rotten))
        wet = int(generator.poisson(max(0.0, every - rotten)))
        deck = "rotten" if gone else "wet" if wet else "sound"
        area = (
            "" if deck == "sound" else f"{(6.0 if wet else 20.0) * float(generator.lognormal(0.0, 0.7)):.0f}"
        )
        rows.append(f"J{job:03d},{age},{plan},{deck},{area},routine")
    return "\n".join(rows) + "\n"


WEATHER_BEGINS, WEATHER_ENDS = date(2022, 1, 1), date(2024, 4, 30)
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
    """Draw an invented daily record as a CSV file, a row for each day that is not missing."""
    known = truth or WeatherTruth()
    rows, departure = [HEAD], 0.0
    for number in range((WEATHER_ENDS - WEATHER_BEGINS).days + 1):
        day = WEATHER_BEGINS + timedelta(days=number)
        departure = known.lasting * departure + known.new * float(generator.standard_normal())
        phase = 2.0 * np.pi * (day.timetuple().tm_yday - known.coldest_day) / 365.25
        middle = known.mean - known.wave * float(np.cos(phase)) + departure
        rain = float(generator.exponential(known.rain)) if generator.random() < known.wet else 0.0
        if generator.random() >= known.missing:
            rows.append(f"{day},{middle + known.apart:.0f},{middle - known.apart:.0f},{rain:.2f}")
    return "\n".join([*rows, ""])
