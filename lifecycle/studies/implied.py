"""What the figures imply together: a prior-predictive look at one roof system under each upkeep plan.

Lecture
-------
Figures that look right one by one may be absurd together. So the existing roof system is laid anew
(in thought) under each upkeep plan of the shared data, and under whatever other upkeep the scenario
states, and what follows is put in words that people of the trade can judge: leaks, chances by age,
damage a year, what a stripped roof hides, how many are renewed (`one_roof` says how each is meant).

Each is given at likely values, and with each ranged input at its low and at its high end, one at a
time; all others stay likely. All of it is one batch: draw 0 is likely, then two draws an input.

*Joint bands.* The shared figures are given one by one; the bands (`bands.toml`) say what experienced
people expect them to give *jointly*, at likely values, from new: a prior-predictive check by judgement.
A band on the yearly chance of a new leak is on its mean over the years of age that it names, for joints
never resealed and joints resealed each year are the same in the first year, so that bands which differ
cannot hold year by year; the single years stand beside the mean.

Assumption: one input at a time, so the ends are not a band of doubt. Left out: the age, the past
and the hidden leaks of the roof that stands; this is about its kind.

Source: prior-predictive check, textbook; the bands are judgement, the values are the model's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from lifecycle.data import words_of
from lifecycle.evaluation.spell import Spell, run_spell
from lifecycle.evaluation.timeline import Start
from lifecycle.files import data, fields, loads, shared
from lifecycle.quantities import Array, Figure
from lifecycle.reading.reader import Reader
from lifecycle.reading.roofs import plan_visits
from lifecycle.scenario import (
    Scenario,
    StatedAlternative,
    StatedRoof,
    StatedVisit,
    Values,
    numbers_of_site,
    paths_in,
    resolve,
)
from lifecycle.studies import one_roof
from lifecycle.studies.tracing import Move

NEW_LEAK, HIDDEN, RENEWED = "yearly chance of a new leak", "hidden leak when stripped", "renewed"
"""What a band may be on."""

ROTTEN = "rotten deck when stripped"

SAYS: Mapping[str, str] = words_of("figures")["quantities"]
"""Plain words of what figures imply, and of bands."""

FOLLOWED = 100
"""Years after which no roof is left, to find a mean life. [years]"""


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
        ages = _ages(self.first, self.last)
        return SAYS["band"].format(what=self.what, ages=ages, plan=self.title)


def _ages(first: int, last: int) -> str:
    """Return an age, or some, in words."""
    return SAYS["age" if first == last else "ages"].format(age=first, first=first, last=last)


@dataclass(frozen=True)
class Mixture:
    """Mean life as found over an equal mixture of the shipped plans, and its band. [years]

    Parameters
    ----------
    lives : dict of str to float
        Mean life by plan.
    low, high : float
        Ends of the band.
    stated : dict of str to float
        What is said of some plans, second-hand.
    """

    lives: Mapping[str, float]
    low: float
    high: float
    stated: Mapping[str, float]

    @property
    def mean(self) -> float:
        """Mean life over the mixture."""
        return sum(self.lives.values()) / len(self.lives)

    @property
    def inside(self) -> bool:
        """Whether it lies in the band."""
        return self.low <= self.mean <= self.high


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
    """Check what a scenario's existing roof system gives against the joint bands, in their order.

    Examples
    --------
    >>> checks = joint_bands(shipped_membrane())
    >>> len(checks), all(check.inside for check in checks)
    (13, True)
    """
    bands = data("bands.toml")["bands"]
    spells = _spells(scenario, {band["plan"] for band in bands})
    return tuple(_check(band, spells[band["plan"]]) for band in bands)


def mixture(scenario: Scenario) -> Mixture:
    """Return how long roofs live as they are found, over an equal mixture of the shipped plans.

    Examples
    --------
    >>> found = mixture(shipped_membrane())
    >>> round(found.mean, 1), found.inside
    (16.7, True)
    """
    band, plans = data("bands.toml")["mixture"], shared()["plans"]
    spells = _spells(scenario, set(plans), FOLLOWED)
    lives = {plan: one_roof.mean_life(spells[plan]).item() for plan in plans}
    return Mixture(lives, band["low"], band["high"], band["stated"])


def _spells(scenario: Scenario, plans: Set[str], years: int | None = None) -> dict[str, Spell]:
    """Run the roof from new under some plans, at likely values, to `LAST_YEAR` or longer."""
    under_plans = with_every_plan(scenario)
    ways = tuple(way for way in under_plans.alternatives if way.name in plans)
    return plan_spells(replace(under_plans, alternatives=ways), years=years or LAST_YEAR + 1)


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


STRIPPED_AT = (2, 8, 15)
"""Ages at which the roof is stripped. [years]"""

SPANS = ((0, 3), (4, 8), (9, 15))
"""Years of age over which yearly chances are also given as a mean. [years]"""

LEAKS_OVER, RENEWED_BY = 10, 15
"""Years over which leaks and damage are counted; age by which renewals and late finds are. [years]"""

LAST_YEAR = 15
"""Last year of age that is looked at. [years]"""


@dataclass(frozen=True)
class Quantity:
    """Something that the figures imply, from the spell of a roof from new, shape (draws,).

    `unit` is "leaks", "-" (a share or a chance) or "money/year"; `age` is the one year that a yearly chance
    is of.
    """

    name: str
    label: str
    unit: str
    of: Callable[[Spell], Array]
    age: int | None = None


def _quantities() -> Iterable[Quantity]:
    """Go through all quantities, in the order in which they are shown."""
    last = LEAKS_OVER - 1
    yield _quantity("leaks in ten years", "leaks", partial(one_roof.new_leaks, first=0, last=last))
    for first, last in (*SPANS, *((age, age) for age in range(LAST_YEAR + 1))):
        name = f"new leak, age {first}" if first == last else f"new leak, ages {first} to {last}"
        chance = partial(one_roof.chance_of_new_leak, first=first, last=last)
        quantity = _quantity(name, "-", chance, "new_leak", ages=_ages(first, last))
        yield replace(quantity, age=first) if first == last else quantity
    damage = partial(one_roof.leak_damage_a_year, first=0, last=LEAKS_OVER - 1)
    yield _quantity("leak damage a year", "money/year", damage)
    uncovered = {HIDDEN: one_roof.chance_of_hidden_leak, ROTTEN: one_roof.chance_of_rotten_deck}
    for name, of in uncovered.items():
        for age in STRIPPED_AT:
            yield _quantity(f"{name}, age {age}", "-", partial(of, age=age), name, age=age)
    for name, of in {RENEWED: one_roof.renewed_by, "found late": one_roof.found_late}.items():
        yield _quantity(name, "-", partial(of, age=RENEWED_BY), years=RENEWED_BY)


def _quantity(name: str, unit: str, of: Callable[[Spell], Array], key: str = "", **gaps: object) -> Quantity:
    """Return a quantity with its plain words."""
    return Quantity(name, SAYS[key or name].format(**gaps), unit, of)


QUANTITIES = tuple(_quantities())
"""Everything that is shown, in order; the key is `Quantity.name`."""


@dataclass(frozen=True)
class Extreme:
    """The furthest that one input alone takes a quantity.

    Parameters
    ----------
    value : float
        The quantity. [unit of the quantity]
    figure : Figure
        The input that does it.
    end : str
        "low" or "high": the end of the input's range.
    """

    value: float
    figure: Figure
    end: str


@dataclass(frozen=True)
class Implied:
    """A quantity at likely values, and with each input at either end.

    Parameters
    ----------
    quantity : Quantity
        What it is.
    likely : float
        At likely values. [unit of the quantity]
    swings : tuple of Move
        Inputs that move it, the widest first.
    """

    quantity: Quantity
    likely: float
    swings: tuple[Move, ...]

    @property
    def low(self) -> Extreme | None:
        """The lowest that one input alone gives; None if none lowers it."""
        found = min(self._extremes(), key=lambda extreme: extreme.value, default=None)
        return found if found is not None and found.value < self.likely else None

    @property
    def high(self) -> Extreme | None:
        """The highest that one input alone gives; None if none raises it."""
        found = max(self._extremes(), key=lambda extreme: extreme.value, default=None)
        return found if found is not None and found.value > self.likely else None

    def _extremes(self) -> Iterable[Extreme]:
        """Go through both ends of all inputs that move it."""
        for swing in self.swings:
            yield Extreme(swing.at_low, swing.figure, "low")
            yield Extreme(swing.at_high, swing.figure, "high")


@dataclass(frozen=True)
class PlanImplied:
    """What the figures imply under one upkeep plan.

    Parameters
    ----------
    plan, title : str
        Name of the plan, or ``"roofs.NAME"`` of a roof whose upkeep the scenario states itself; and
        plain words.
    implied : dict of str to Implied
        By name of the quantity, in the order of `QUANTITIES`.
    """

    plan: str
    title: str
    implied: Mapping[str, Implied]


def implied(scenario: Scenario) -> tuple[PlanImplied, ...]:
    """Say what a scenario's figures imply together for its roof system, from new, under each upkeep plan.

    The shared plans in their order, then upkeep that the scenario states itself.
    """
    under_plans = with_every_plan(scenario)
    ranged = _ranged(under_plans)
    spells = plan_spells(under_plans, _one_at_a_time(ranged), 1 + 2 * len(ranged))
    return tuple(
        PlanImplied(
            way.name,
            way.title,
            {quantity.name: _implied(quantity, spells[way.name], ranged) for quantity in QUANTITIES},
        )
        for way in under_plans.alternatives
    )


def _implied(quantity: Quantity, spell: Spell, ranged: tuple[Figure, ...]) -> Implied:
    """Read one quantity from a batch with every input at both ends."""
    values = np.broadcast_to(quantity.of(spell), (1 + 2 * len(ranged),))
    likely = float(values[0])
    swings = [
        Move(figure, float(low), float(high))
        for figure, low, high in zip(ranged, values[1::2], values[2::2], strict=True)
        if max(abs(low - likely), abs(high - likely)) > 1e-12 * max(1.0, abs(likely))
    ]
    swings.sort(key=lambda swing: -swing.size)
    return Implied(quantity, likely, tuple(swings))


def plan_spells(
    under_plans: Scenario, values: Values | None = None, draws: int = 1, years: int = LAST_YEAR + 1
) -> dict[str, Spell]:
    """Run the roof from new under each plan of `with_every_plan`, for some years."""
    case = resolve(under_plans, values)
    leaks = replace(case.leaks, insured_share=0.0)  # damage is meant before insurance
    return {
        way.name: run_spell(way.roof, leaks, start=Start(), months=12 * years, draws=draws)
        for way in case.alternatives
    }


def with_every_plan(scenario: Scenario) -> Scenario:
    """Return a scenario whose ways are the existing roof system under each upkeep plan.

    Only to be looked at from new: its ways have no prices, and none is the base case.
    """
    existing = scenario.roofs[scenario.existing.roof]
    reader = Reader(fields(), {}, shared())
    roofs: dict[str, tuple[str, StatedRoof]] = {}
    for plan, table in shared()["plans"].items():
        visits = _stated_visits(scenario, plan, existing.covering)
        if visits is None:
            visits = plan_visits(reader, plan, existing.covering, f"plans.{plan}")
        roofs[plan] = (table["title"], existing.under(visits, plan))
    for way in scenario.alternatives:
        roof = scenario.roofs[way.roof]
        if roof.plan not in roofs and roof.visits:
            title = SAYS["as_stated"].format(roof=roof.name)
            roofs[f"roofs.{roof.name}"] = (title, roof.under(roof.visits, None))
    ways = tuple(
        StatedAlternative(name, title, f"under {name}", f"under {name}", None, 0.0, 0.0)
        for name, (title, _) in roofs.items()
    )
    return replace(
        scenario,
        inputs={**reader.figures, **scenario.inputs},
        roofs={**scenario.roofs, **{f"under {name}": roof for name, (_, roof) in roofs.items()}},
        alternatives=ways,
        loan=None,
    )


def _stated_visits(scenario: Scenario, plan: str, covering: str) -> tuple[StatedVisit, ...] | None:
    """Return the jobs that a roof of the scenario has by a plan; None if no roof has it."""
    for roof in scenario.roofs.values():
        if roof.plan == plan and roof.covering == covering:
            return roof.visits
    return None


def _ranged(under_plans: Scenario) -> tuple[Figure, ...]:
    """Return the ranged inputs that a roof from new depends on, each once."""
    roofs = (under_plans.roofs[way.roof] for way in under_plans.alternatives)
    paths = dict.fromkeys(paths_in((under_plans.leaks, *numbers_of_site(under_plans), *roofs)))
    return tuple(under_plans.inputs[path] for path in paths if under_plans.inputs[path].ranged)


def _one_at_a_time(ranged: tuple[Figure, ...]) -> dict[str, Array]:
    """Return the values of each input: likely but for its own two draws."""
    values = {}
    for place, figure in enumerate(ranged):
        column = np.full(1 + 2 * len(ranged), figure.likely)
        column[1 + 2 * place], column[2 + 2 * place] = figure.low, figure.high
        values[figure.path] = column
    return values
