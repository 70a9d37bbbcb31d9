"""From a scenario to *resolved roofs*: plain numbers that the model computes on.

Lecture
-------
Every input stands at its likely value, except those for which values are given: one number, or an
array with one value for each draw. On the way the other forms of a number become the model's own::

    life_scale             = life_mean / Gamma(1 + 1 / life_shape)
    joint_leaks_first_year = joint_leaks_ten_years / 10 ** joint_leak_growth
    sign_rate              = 1 / sign_years
    inherited leaks        = figure * leak_ratio
    1 - inspected_today    = (1 - inspected_today) * (1 - finds of a place) ** dry places

for each draw with the draw's own numbers. The holding period is rounded to whole months and cut at
the study period; a change falls on a whole month. Where `[coach]` or `[climate]` stand, what a roof
states is multiplied by their factors (`site`); without them nothing is scaled. A way with a site of its
own has its roofs and leak figures resolved there; the past is the scenario's.

Left out: whether values lie within the bounds of an input (`quantities.clip_to_bounds`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from lifecycle.deterioration import first_year_leaks, scale_from_mean
from lifecycle.roofs import (
    Alternative,
    Case,
    Existing,
    HiddenLeak,
    Leaks,
    Loan,
    Number,
    Roof,
    Terms,
    Visit,
)
from lifecycle.scenario.site import Site, looked_up
from lifecycle.scenario.stated import Lookup, Scenario, StatedAlternative, StatedRoof, StatedVisit, Values


def resolve(scenario: Scenario, values: Values | None = None) -> Case:
    """Resolve a scenario to what the model computes on.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    values : mapping of str to float or ndarray, shape (draws,)
        Values instead of the likely ones, by path of the input. [unit of the input]

    Returns
    -------
    Case
        Arrays of shape (draws,) wherever an array had a part in a number, else floats.

    Raises
    ------
    ValueError
        If a path is not an input, or an input that fixes the calendar is given an array.
    """
    number = Lookup(scenario, values or {})
    site = looked_up(scenario, number)
    roofs = {name: _roof(roof, number, site) for name, roof in scenario.roofs.items()}
    terms = _terms(scenario, number)
    known: dict[tuple[Any, ...], Roof] = {}
    return Case(
        terms=terms,
        leaks=_leaks(scenario, number, site),
        existing=_existing(scenario, number, roofs),
        alternatives=tuple(
            _alternative(scenario, way, number, roofs, known) for way in scenario.alternatives
        ),
        loan=_loan(scenario, number),
    )


def years_kept(scenario: Scenario) -> float:
    """Return the likely years kept: whole months, no longer than the study period. [years]"""
    return float(_terms(scenario, Lookup(scenario, {})).holding_period)


def _terms(scenario: Scenario, number: Lookup) -> Terms:
    """Resolve the terms of the account."""
    study = {name: stated for name, stated in scenario.study.items() if name != "study_period"}
    owner = number.all(scenario.owner)
    years = number.whole(scenario.study["study_period"])
    owner["holding_period"] = _whole_months(owner["holding_period"], years)
    escalation = number.all(scenario.escalation)
    return Terms(study_period=years, escalation=escalation, **number.all(study), **owner)


def _whole_months(holding_period: Number, study_period: int) -> Number:
    """Round a holding period to whole months, at least one, and cut it at the study period."""
    months = np.clip(np.rint(12.0 * np.asarray(holding_period)), 1.0, 12.0 * study_period)
    years = months / 12.0
    return years if years.ndim else float(years)


def _leaks(scenario: Scenario, number: Lookup, site: Site) -> Leaks:
    """Resolve the leak figures."""
    leaks = number.all(scenario.leaks)
    if "sign_years" in leaks:
        leaks["sign_rate"] = 1.0 / leaks.pop("sign_years")
    return Leaks(**site.on_leaks(leaks))


def _roof(roof: StatedRoof, number: Lookup, site: Site) -> Roof:
    """Resolve one roof."""
    stated = number.all(roof.numbers)
    if "life_mean" in stated:
        stated["life_scale"] = scale_from_mean(stated.pop("life_mean"), stated["life_shape"])
    if "joint_leaks_ten_years" in stated:
        growth = stated.get("joint_leak_growth", Roof.joint_leak_growth)
        stated["joint_leaks_first_year"] = first_year_leaks(stated.pop("joint_leaks_ten_years"), growth)
    ends = stated.pop("plan_ends", None)
    return Roof(
        name=roof.name,
        visits=_visits(roof.visits, number),
        plan_ends=None if ends is None else round(float(ends)),
        visits_after=_visits(roof.visits_after, number),
        **site.on_roof(roof.covering, stated),
    )


def _visits(visits: tuple[StatedVisit, ...], number: Lookup) -> tuple[Visit, ...]:
    """Resolve upkeep jobs."""
    return tuple(
        Visit(
            name=visit.name,
            every=number.whole(visit.numbers["every"]),
            **number.all({name: stated for name, stated in visit.numbers.items() if name != "every"}),
        )
        for visit in visits
    )


def _existing(scenario: Scenario, number: Lookup, roofs: Mapping[str, Roof]) -> Existing:
    """Resolve the roof that stands."""
    existing = scenario.existing
    roof = roofs[existing.roof]
    if existing.past_visits is not None:
        roof = replace(roof, visits=_visits(existing.past_visits, number))
    stated: dict[str, Any] = {
        name: number.whole(use) if name in _WHOLE else number(use) for name, use in existing.numbers.items()
    }
    stated.setdefault("seal_age", stated["age"])
    finds = stated.pop("meter_finds", 0.0)
    if existing.dry_places:
        missed = (1.0 - finds) ** existing.dry_places
        stated["inspected_today"] = 1.0 - (1.0 - stated.get("inspected_today", 0.0)) * missed
    hidden = existing.hidden_now
    return Existing(
        roof=roof,
        hidden_now=None if hidden is None else tuple(HiddenLeak(**number.all(entry)) for entry in hidden),
        last_visits={name: number.whole(stated) for name, stated in existing.last_visits.items()},
        found_at_least=existing.found_at_least,
        **stated,
    )


_WHOLE = ("age", "seal_age", "leaks_found")


def _alternative(
    scenario: Scenario,
    way: StatedAlternative,
    number: Lookup,
    roofs: Mapping[str, Roof],
    known: dict[tuple[Any, ...], Roof],
) -> Alternative:
    """Resolve one alternative, at a site of its own if it has one, with the warranty of its quote.

    `known` keeps the roofs with such a warranty, so that ways with one quote share one roof.
    """
    leaks = None
    if way.climate is not None:
        site = looked_up(scenario, number, way.climate)
        roofs = {
            name: _roof(scenario.roofs[name], number, site) for name in dict.fromkeys((way.roof, way.then))
        }
        leaks = _leaks(scenario, number, site)
    then = roofs[way.then]
    if way.warranty:
        key = id(then), *sorted(way.warranty.items(), key=str)
        then = known.setdefault(key, replace(then, **number.all(way.warranty)))
    return Alternative(
        name=way.name,
        title=way.title,
        roof=roofs[way.roof],
        then=then,
        change_month=None if way.change is None else number.whole(way.change, unit=12.0),
        quote=number(way.quote),
        days=number(way.days),
        base_case=way.base_case,
        subject=way.subject,
        leaks=leaks,
    )


def _loan(scenario: Scenario, number: Lookup) -> Loan | None:
    """Resolve the loan, where there is one."""
    if scenario.loan is None:
        return None
    numbers = scenario.loan.numbers
    return Loan(
        alternative=scenario.loan.alternative,
        principal=number(numbers["principal"]),
        rate=number(numbers["rate"]),
        months=number.whole(numbers["months"]),
    )
