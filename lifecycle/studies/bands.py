"""Joint bands: what the shipped membrane must give together, and whether it does.

Lecture
-------
The shared figures are given one by one; the bands (`bands.toml`) say what experienced people expect
them to give *jointly*, at likely values, from new: a prior-predictive check by judgement. A band on
the yearly chance of a new leak is on its mean over the years of age that it names, for joints never
resealed and joints resealed each year are the same in the first year, so that bands which differ
cannot hold year by year; the single years stand beside the mean.

Assumption: likely values. Left out: doubt; how wide an input alone swings a quantity is `implied`.

Source: the bands are judgement; the values are the model's.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from typing import Any

from lifecycle.evaluation.spell import Spell
from lifecycle.files import data, loads, shared
from lifecycle.scenario import Scenario
from lifecycle.studies import one_roof
from lifecycle.studies.implied import plan_spells, with_every_plan

NEW_LEAK, HIDDEN, RENEWED = "yearly chance of a new leak", "hidden leak when stripped", "renewed"
"""What a band may be on."""


@dataclass(frozen=True)
class BandCheck:
    """One band, and what the figures give.

    Parameters
    ----------
    what : str
        `NEW_LEAK`, `HIDDEN` or `RENEWED`.
    plan, title : str
        Upkeep plan, and its plain words.
    first, last : int
        Years of age; the same where the band is at one age. [years]
    value, low, high : float
        What the figures give at likely values, and the ends of the band. [-]
    by_year : tuple of float
        For `NEW_LEAK` the value in each year of age, else empty. [-]
    """

    what: str
    plan: str
    title: str
    first: int
    last: int
    value: float
    low: float
    high: float
    by_year: tuple[float, ...] = ()

    @property
    def inside(self) -> bool:
        """Whether the value lies in the band."""
        return self.low <= self.value <= self.high

    @property
    def years_outside(self) -> Mapping[int, float]:
        """The value in the single years of age that lie outside, by age; the mean may lie inside."""
        by_age = zip(range(self.first, self.last + 1), self.by_year, strict=False)
        return {age: value for age, value in by_age if not self.low <= value <= self.high}

    @property
    def label(self) -> str:
        """The band in plain words."""
        ages = f"age {self.first}" if self.first == self.last else f"ages {self.first} to {self.last}"
        return f"{self.what}, {ages}: {self.title}"


def shipped_membrane() -> Scenario:
    """Return a scenario of nothing but the tool's own figures: the shipped membrane, just laid."""
    like_shared = "\n".join(f'[{section}]\nlike = "shared"' for section in ("owner", "leaks", "study"))
    roof = data("bands.toml")["roof"]
    return loads(
        f"{like_shared}\nbase_date = 2000-01-01\n"
        f'[existing]\nroof = "{roof}"\nage = 0\n'
        "[alternatives.keep]\nbase_case = true\n",
        "the tool's own figures",
    )


def joint_bands(scenario: Scenario) -> tuple[BandCheck, ...]:
    """Check what a scenario's existing roof system gives against the joint bands.

    Parameters
    ----------
    scenario : Scenario
        `shipped_membrane` for the tool's own figures.

    Returns
    -------
    tuple of BandCheck
        In the order of the bands.

    Examples
    --------
    >>> checks = joint_bands(shipped_membrane())
    >>> len(checks), all(check.inside for check in checks)
    (10, True)
    """
    bands = data("bands.toml")["bands"]
    spells = _spells(scenario, {band["plan"] for band in bands})
    return tuple(_check(band, spells[band["plan"]]) for band in bands)


def _spells(scenario: Scenario, plans: Set[str]) -> dict[str, Spell]:
    """Run the roof from new under some plans, at likely values."""
    under_plans = with_every_plan(scenario)
    ways = tuple(way for way in under_plans.alternatives if way.name in plans)
    return plan_spells(replace(under_plans, alternatives=ways))


def _check(band: Mapping[str, Any], spell: Spell) -> BandCheck:
    """Check one band against the spell of its plan."""
    what, plan = band["what"], band["plan"]
    first, last = band["ages"] if "ages" in band else (band["age"], band["age"])
    by_year: tuple[float, ...] = ()
    if what == NEW_LEAK:
        value = one_roof.chance_of_new_leak(spell, first, last)
        ages = range(first, last + 1)
        by_year = tuple(one_roof.chance_of_new_leak(spell, age, age).item() for age in ages)
    elif what == HIDDEN:
        value = one_roof.chance_of_hidden_leak(spell, first)
    elif what == RENEWED:
        value = one_roof.renewed_by(spell, first)
    else:
        raise ValueError(f"a band on {what!r} is unknown; known: {NEW_LEAK}, {HIDDEN}, {RENEWED}")
    title = shared()["plans"][plan]["title"]
    return BandCheck(what, plan, title, first, last, value.item(), band["low"], band["high"], by_year)
