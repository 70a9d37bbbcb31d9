"""What may be said: each statement of the data, judged on one scenario, with what it rests on.

Lecture
-------
A statement (`data/claims.toml`) is judged by the test of its name (`MONEY_AND_ROOFS`). What it rests on is
named by role: the inputs of the roof that the way in question lays, of the standing roof as it is looked
after otherwise, of the leaks, the price, or those that move the answer most. A scenario with other figures
has other inputs in the same roles.

With trouble reported nothing is compared, and only the statements about trouble apply.

Left out: sentences and numbers as text.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from lifecycle.evaluation.comparison import Comparison
from lifecycle.files import data
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, Stated, StatedRoof
from lifecycle.studies.claiming import money_tests, roof_tests
from lifecycle.studies.claiming.grounds import Grounds
from lifecycle.studies.claiming.judging import CANNOT, DOES_NOT_FIT, Ruling
from lifecycle.studies.doubt import Doubt

MONEY_AND_ROOFS: Mapping[str, Callable[[Grounds], Ruling]] = {
    "pays_back": money_tests.pays_back,
    "waiting": money_tests.waiting,
    "today_only": money_tests.today_only,
    "free_labour": money_tests.free_labour,
    "insurance": money_tests.insurance,
    "warranty": money_tests.warranty,
    "resale": money_tests.resale,
    "no_reseal": roof_tests.no_reseal,
    "no_upkeep": roof_tests.no_upkeep,
    "no_leaks": roof_tests.no_leaks,
    "lasts_as_coach": roof_tests.lasts_as_coach,
    "cooler": roof_tests.cooler,
    "quieter": roof_tests.quieter,
    "membrane_life": roof_tests.membrane_life,
    "price_holds": roof_tests.price_holds,
}
"""Test of each statement."""

TROUBLE: Mapping[str, Callable[[Comparison], Ruling]] = {
    "open_first": roof_tests.open_first,
    "spray_over": roof_tests.spray_over,
    "just_a_stain": roof_tests.just_a_stain,
}
"""Test of each statement about trouble."""

DECIDING = 3
"""Inputs that move the answer most, where a statement rests on them."""

JOB_NUMBERS = ("every", "cost", "hours")
"""Numbers of an upkeep job that statements rest on."""


@dataclass(frozen=True)
class Claim:
    """One statement, judged.

    Parameters
    ----------
    key, statement : str
        Its name; the statement that it is, which is judged for several years.
    ruling : Ruling
        The judgement, with its figures.
    rests_on : tuple of Figure
        Inputs that it rests on.
    year : int or None
        Year of sale that it names; None: the years kept, or none.
    """

    key: str
    statement: str
    ruling: Ruling
    rests_on: tuple[Figure, ...]
    year: int | None = None


def claims(
    comparison: Comparison, doubt: Doubt | None, *, not_sure: Collection[str] = ()
) -> tuple[Claim, ...]:
    """Judge every statement on a scenario.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    doubt : Doubt or None
        Of the same scenario, to the later of ten years and the years kept (or of the years shown); None
        with trouble reported.
    not_sure : collection of str
        Questions that the owner was not sure of: "quote", "otherwise".

    Returns
    -------
    tuple of Claim
        In the order of the data.

    Raises
    ------
    ValueError
        If there is no trouble and nothing to compare.
    """
    entries = data("claims.toml")
    if comparison.trouble:
        return tuple(
            _claim(entry, TROUBLE[entry["key"]](comparison), comparison, None) for entry in entries["trouble"]
        )
    if comparison.subject is None or doubt is None:
        raise ValueError("statements are judged on two ways at least, and under doubt")
    grounds = Grounds(comparison, doubt, frozenset(not_sure))
    return tuple(_all(entries["claims"], grounds))


def _all(entries: list[dict[str, Any]], grounds: Grounds) -> Iterator[Claim]:
    """Go through the statements; one that names years is judged for each of them too."""
    comparison = grounds.comparison
    for entry in entries:
        yield _claim(entry, MONEY_AND_ROOFS[entry["key"]](grounds), comparison, grounds)
        for year in entry.get("at", ()):
            if year <= comparison.study_period and year != comparison.holding_period:
                ruling = money_tests.pays_back(grounds, year)
                yield _claim(entry, ruling, comparison, grounds, year)


def _claim(
    entry: Mapping[str, Any],
    ruling: Ruling,
    comparison: Comparison,
    grounds: Grounds | None,
    year: int | None = None,
) -> Claim:
    """Put one statement together."""
    figures = dict.fromkeys(
        figure.path for role in entry["rests_on"] for figure in _in_role(role, comparison, grounds)
    )
    by_path = {**_cooling(comparison.scenario), **comparison.scenario.inputs}
    rests_on = tuple(by_path[path] for path in figures)
    if entry.get("absolute") and ruling.judgement != CANNOT:
        ruling = replace(ruling, judgement=DOES_NOT_FIT)
    key = entry["key"] if year is None else f"{entry['key']}_{year}"
    return Claim(key, entry["key"], ruling, rests_on, year)


def _in_role(role: str, comparison: Comparison, grounds: Grounds | None) -> Iterator[Figure]:
    """Go through the inputs of one role."""
    scenario = comparison.scenario
    section, _, name = role.partition(".")
    if role == "decisive":
        yield from (swing.figure for swing in comparison.swings[:DECIDING])
    elif role == "cooling":
        yield from _cooling(scenario).values()
    elif role == "quote" and grounds is not None:
        yield from _figures(scenario, [grounds.stated.quote])
    elif section == "leaks":
        yield from _figures(scenario, [scenario.leaks.get(name)])
    elif section == "owner":
        yield from _figures(scenario, [scenario.owner.get(name)])
    elif grounds is not None:
        roof = _roof(section, grounds)
        if roof is not None and name == "jobs":
            jobs = [job.numbers.get(number) for job in roof.all_visits for number in JOB_NUMBERS]
            yield from _figures(scenario, jobs)
        elif roof is not None:
            yield from _figures(scenario, [roof.numbers.get(name)])


def _roof(role: str, grounds: Grounds) -> StatedRoof | None:
    """Return the roof in a role: laid, kept otherwise, or kept by the owner's own hours."""
    own = grounds.own_way
    case = grounds.comparison.case
    names = {
        "then": grounds.laid,
        "base": grounds.kept,
        "own": None if own is None else case.alternative(own.name).roof.name,
    }
    name = names[role]
    return None if name is None else grounds.scenario.roofs[name]


def _figures(scenario: Scenario, stated: list[Stated | None]) -> Iterator[Figure]:
    """Go through the inputs of stated numbers, and what multiplies them."""
    for one in stated:
        if one is not None and not isinstance(one, float):
            yield from (scenario.inputs[path] for path in (one.path, *one.ratios))


def _cooling(scenario: Scenario) -> dict[str, Figure]:
    """Return the figures of cooling, by path; none without a climate."""
    climate = scenario.climate
    return {} if climate is None else {figure.path: figure for figure in climate.cooling.values()}
