"""What the model computes on: roofs, their upkeep, and what the owner may decide.

Lecture
-------
A *roof* is a roof system (a membrane, a coating) under an upkeep plan. It ages, its joints and
its surface let water in, and *visits* (upkeep jobs) find leaks and make joints young again. An
*alternative* is one thing that the owner may decide: the roof that stands, under a plan, and the
roof that follows it, now, in some year, or when it must. A *case* is everything that an evaluation
needs: the terms of the account (years, discount rate, prices of time), the leak figures, the roof
that stands today, and the alternatives.

These are *resolved* objects: plain numbers in the model's own units (money at the base date,
years, months, leaks), after units, ranges, inheritance, coach and climate have been dealt with.
A number may be a float, or an array of shape (draws,) with one value for each draw; all arrays of
one case have the same length. Numbers that fix the calendar (`every`, ages, change dates, the
study period) are never arrays.

What is left out: where a number came from. That stands in the scenario (`scenario.py`).
"""

from __future__ import annotations

import math
from collections.abc import Container, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lifecycle.data import frame_words
from lifecycle.kinds import CATEGORIES

Number = float | NDArray[np.float64]
"""A float, or an array of shape (draws,)."""

ESCALATING = tuple(name for name, category in CATEGORIES.items() if category.escalates)
"""Categories whose prices may rise in real terms; financing and sale do not."""


@dataclass(frozen=True)
class Visit:
    """One upkeep job and what it does.

    Parameters
    ----------
    name : str
        Name within its roof, for instance ``"reseal"``.
    every : int
        Interval. [months, at least 1]
    cost : Number
        Price of one visit at the base date. [money]
    hours : Number
        Owner's own hours. [h]
    days : Number
        Days that the coach is out of use. [days]
    finds : Number
        Probability that the visit finds a given hidden leak. [-]
    restores : Number
        Share of the seal age that it takes away; a full reseal 1. [-]
    rejuvenates : Number
        Share of the effective age that it takes away. [-]
    """

    name: str
    every: int
    cost: Number = 0.0
    hours: Number = 0.0
    days: Number = 0.0
    finds: Number = 0.0
    restores: Number = 0.0
    rejuvenates: Number = 0.0

    @property
    def is_full_reseal(self) -> bool:
        """Whether every draw restores the whole seal age."""
        return bool(np.all(np.asarray(self.restores) == 1.0))


@dataclass(frozen=True)
class Roof:
    """A roof system in its climate under an upkeep plan.

    Parameters
    ----------
    name : str
        Name of the roof in its scenario.
    life_shape, life_scale : Number
        Weibull shape and scale of the service life in effective age; ``inf``: endless. [-, years]
    ageing : Number
        Effective years per year. [-]
    upkeep_exponent : Number
        How strongly old joints age the roof. [-]
    ends_by_leak : Number
        Share of life ends that announce themselves by a hidden leak. [-]
    joint_leaks_first_year, joint_leak_growth : Number
        Joint leaks started in the first year after a full reseal; power of their growth. [leaks, -]
    age_leaks_ten_years, age_leak_growth : Number
        Leaks by age in the first ten effective years; power of their growth. [leaks, -]
    puncture_rate : Number
        Punctures by branches, hail and feet. [leaks/year]
    visits : tuple of Visit
        The upkeep plan.
    plan_ends : int or None
        Month after the base date from which `visits_after` stand for the plan of the standing roof; a
        roof laid later has them from its first day. None: the plan does not end. [months]
    visits_after : tuple of Visit
        The plan that stands for `visits` then.
    renew_cost, renew_days : Number
        Price of stripping and laying this roof again, and days out of use for that. [money, days]
    defect_share, defect_life : Number
        Probability that a newly laid roof is badly done; mean years to its failure. [-, years]
    warranty_years, warranty_share : Number
        Calendar age up to which the warranty of the roof pays, and the share that it pays. [years, -]
    warranty_honoured : Number
        Probability that it is honoured when called: once a life for a named roof, all or nothing. [-]
    warranty_leaking_ends : Number
        Share of `warranty_share` of a new roof that it pays where leaks at the end of life force one. [-]
    resale_share : Number
        Share of the price of the unused life that a buyer pays for. [-]
    energy_cost : Number
        Cooling cost that the surface causes. [money/year]
    """

    name: str
    life_shape: Number
    life_scale: Number
    ageing: Number = 1.0
    upkeep_exponent: Number = 0.0
    ends_by_leak: Number = 0.0
    joint_leaks_first_year: Number = 0.0
    joint_leak_growth: Number = 1.0
    age_leaks_ten_years: Number = 0.0
    age_leak_growth: Number = 1.0
    puncture_rate: Number = 0.0
    visits: tuple[Visit, ...] = ()
    plan_ends: int | None = None
    visits_after: tuple[Visit, ...] = ()
    renew_cost: Number = 0.0
    renew_days: Number = 0.0
    defect_share: Number = 0.0
    defect_life: Number = np.inf
    warranty_years: Number = 0.0
    warranty_share: Number = 0.0
    warranty_honoured: Number = 1.0
    warranty_leaking_ends: Number = 0.0
    resale_share: Number = 0.0
    energy_cost: Number = 0.0

    @property
    def visits_when_new(self) -> tuple[Visit, ...]:
        """The plan of such a roof laid after the base date."""
        return self.visits if self.plan_ends is None else self.visits_after

    @property
    def all_visits(self) -> tuple[Visit, ...]:
        """The visits of both plans."""
        return (*self.visits, *self.visits_after)


@dataclass(frozen=True)
class Leaks:
    """How leaks show, hurt and are paid for.

    Parameters
    ----------
    rot_time : Number
        Time constant of rot. [years]
    severe_after : Number
        A leak hidden for longer has taken the deck. [years]
    sign_rate : Number
        Rate at which interior signs show a leak. [1/year]
    patch_cost, rot_cost : Number
        Cost of a leak found at once; further cost of one found very late. [money]
    severe_days, patch_days : Number
        Days out of use for a find with a severe leak, for each leak that is not severe. [days]
    silent_share : Number
        Share of joint, age and puncture leaks that stay silent until severe. [-]
    insured_share, deductible : Number
        Share of sudden damage above the deductible that insurance pays; the deductible. [-, money]
    sudden_within : Number
        A puncture found by this age is sudden damage. [years]
    found_at_sale : Number
        Share of the damage of hidden leaks that a buyer takes off. [-]
    """

    rot_time: Number
    severe_after: Number
    sign_rate: Number = 0.0
    patch_cost: Number = 0.0
    rot_cost: Number = 0.0
    severe_days: Number = 0.0
    patch_days: Number = 0.0
    silent_share: Number = 0.0
    insured_share: Number = 0.0
    deductible: Number = 0.0
    sudden_within: Number = 0.25
    found_at_sale: Number = 0.0


@dataclass(frozen=True)
class HiddenLeak:
    """Leaks hidden at the base date, all of one age.

    Parameters
    ----------
    age : float
        Months since they started. [months]
    joint, puncture : Number
        Expected numbers. [leaks]
    """

    age: float
    joint: Number = 0.0
    puncture: Number = 0.0


@dataclass(frozen=True)
class Existing:
    """The roof that stands at the base date.

    Parameters
    ----------
    roof : Roof
        Its system, with the visits of the past as its visits.
    age : int
        Months since it was laid. [months]
    seal_age : int
        Months since the last full reseal. [months]
    hidden_now : tuple of HiddenLeak, or None
        None: from the past upkeep.
    effective_age : Number or None
        Effective age today; None: from the past upkeep, else age times ageing. [years]
    inspected_today : Number
        Probability that a look today would have found a given leak; it found nothing. [-]
    leaks_found : int or None
        Leaks found on this roof so far, if known. [leaks]
    found_at_least : int
        Leaks found at least, 0 or 1, where their number is not known. [leaks]
    last_visits : mapping of str to int
        Months since a visit kind was last done, where known. [months]
    """

    roof: Roof
    age: int
    seal_age: int
    hidden_now: tuple[HiddenLeak, ...] | None = ()
    effective_age: Number | None = None
    inspected_today: Number = 0.0
    leaks_found: int | None = None
    found_at_least: int = 0
    last_visits: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Alternative:
    """One thing that the owner may decide.

    Parameters
    ----------
    name, title : str
        Key in the scenario, and plain title.
    roof : Roof
        The existing roof under the plan of this alternative.
    then : Roof
        The roof that follows it.
    change_month : int or None
        Month of the planned change, 0 for today; None: only when it must. [months]
    quote : Number
        Price of the first change, planned or forced. [money]
    days : Number
        Days out of use for the first change. [days]
    base_case : bool
        Whether it is what the owner would do otherwise.
    subject : bool
        Whether the verdict is about it.
    leaks : Leaks or None
        Leak figures at the site of this way, from the base date; None: those of the case.
    """

    name: str
    title: str
    roof: Roof
    then: Roof
    change_month: int | None
    quote: Number
    days: Number
    base_case: bool = False
    subject: bool = False
    leaks: Leaks | None = None


@dataclass(frozen=True)
class Loan:
    """A loan that pays for one alternative's change today.

    Parameters
    ----------
    alternative : str
        Name of the alternative.
    principal : Number
        Amount borrowed. [money]
    rate : Number
        Nominal yearly rate as a fraction, a twelfth a month. [1/year]
    months : int
        Number of equal monthly payments. [months]
    """

    alternative: str
    principal: Number
    rate: Number
    months: int


@dataclass(frozen=True)
class Terms:
    """Terms of the account.

    Parameters
    ----------
    study_period : int
        Years that the curves run. [years]
    holding_period : Number
        Years that the owner expects to keep the coach, whole months. [years]
    discount_rate : Number
        Real rate as a fraction. [1/year]
    inflation : Number
        Inflation as a fraction. [1/year]
    escalation : mapping of str to Number
        Real escalation by category of cost. [1/year]
    day_cost, hour_value : Number
        Worth of a day out of use, of an owner's hour. [money/day, money/h]
    """

    study_period: int
    holding_period: Number
    discount_rate: Number
    inflation: Number = 0.0
    escalation: Mapping[str, Number] = field(default_factory=dict)
    day_cost: Number = 0.0
    hour_value: Number = 0.0

    @property
    def months(self) -> int:
        """Months of the study period."""
        return 12 * self.study_period


@dataclass(frozen=True)
class Case:
    """Everything that one evaluation needs."""

    terms: Terms
    leaks: Leaks
    existing: Existing
    alternatives: tuple[Alternative, ...]
    loan: Loan | None = None

    def __repr__(self) -> str:
        """Name the ways, and say over how many years they are followed."""
        ways = ", ".join(way.name for way in self.alternatives)
        said, number = frame_words("case"), len(self.alternatives)
        return said("named", number=number, years=self.terms.study_period, ways=ways)

    @property
    def base_case(self) -> Alternative:
        """The one alternative that is what the owner would do otherwise."""
        return next(a for a in self.alternatives if a.base_case)

    def alternative(self, name: str) -> Alternative:
        """Return the alternative called `name`."""
        return next(a for a in self.alternatives if a.name == name)

    def only(self, names: Container[str | None]) -> Case:
        """Return the case with the alternatives of some names."""
        return replace(self, alternatives=tuple(way for way in self.alternatives if way.name in names))

    def kept(self, years: float) -> Case:
        """Return the case kept for some years and followed no longer: nothing after a sale counts."""
        last = max(1, math.ceil(years - 1e-9))
        return replace(self, terms=replace(self.terms, study_period=last, holding_period=years))

    def leaks_under(self, way: Alternative) -> Leaks:
        """Return the leak figures that hold under an alternative."""
        return self.leaks if way.leaks is None else way.leaks


def draws_of(thing: Any) -> int | None:
    """Return the number of draws in `thing`, or None if every number in it is a plain float.

    Parameters
    ----------
    thing : Any
        A case or any part of one.

    Returns
    -------
    int or None
        Common length of the arrays inside.

    Raises
    ------
    ValueError
        If arrays of different lengths are mixed.
    """
    lengths = {array.shape[0] for array in _arrays(thing)}
    if len(lengths) > 1:
        raise ValueError(f"one case holds arrays of different lengths: {sorted(lengths)}")
    return lengths.pop() if lengths else None


def _arrays(thing: Any) -> list[NDArray[np.float64]]:
    """Collect the arrays with a draws axis inside a nest of data objects."""
    if isinstance(thing, np.ndarray):
        return [thing] if thing.ndim else []
    if is_dataclass(thing) and not isinstance(thing, type):
        return [a for f in fields(thing) for a in _arrays(getattr(thing, f.name))]
    if isinstance(thing, Mapping):
        return [a for value in thing.values() for a in _arrays(value)]
    if isinstance(thing, tuple):
        return [a for value in thing for a in _arrays(value)]
    return []


def take(thing: Any, some: slice | NDArray[np.int64]) -> Any:
    """Return `thing` with every array cut to some draws; what was one object stays one object.

    Parameters
    ----------
    thing : Any
        A case or any part of one.
    some : slice or ndarray of int
        Which draws.

    Returns
    -------
    Any
        The same kind of thing.
    """
    return _taken(thing, some, {})


def _taken(thing: Any, some: slice | NDArray[np.int64], done: dict[int, Any]) -> Any:
    """Cut arrays inside a nest of data objects, each object once."""
    if isinstance(thing, np.ndarray):
        return thing[some] if thing.ndim else thing
    if isinstance(thing, tuple):
        return tuple(_taken(value, some, done) for value in thing)
    if isinstance(thing, Mapping):
        return {key: _taken(value, some, done) for key, value in thing.items()}
    if is_dataclass(thing) and not isinstance(thing, type):
        if id(thing) not in done:
            parts = {f.name: _taken(getattr(thing, f.name), some, done) for f in fields(thing)}
            done[id(thing)] = replace(thing, **parts)
        return done[id(thing)]
    return thing
