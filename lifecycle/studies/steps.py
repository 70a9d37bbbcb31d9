"""The model step by step, as curves of one scenario: what is computed, shown by itself.

Lecture
-------
Each function takes one step of the model out and draws it for the roofs of a scenario, with every figure
at its likely value:

- *life*: survival ``exp(-(a t / scale) ** shape)`` by age t, a the effective years a year of its climate;
- *joints*: leaks started by an age, power law in the age of the seal, which a full reseal sets to 0;
- *hiding*: the chance that a roof hides a leak at an age, under some upkeep plans;
- *damage*: what a leak costs by the time that it stays hidden;
- *renewal*: the chance that the roof was renewed by the year of sale, for each way;
- *discounting*: what a dollar of a later year weighs.

Left out: everything at once, which is the comparison.

Source: the model; each curve is computed by the function that the comparison uses.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from lifecycle.data import words_of
from lifecycle.deterioration import damage, leaks_between, survival
from lifecycle.economics import discount_factor
from lifecycle.errors import fault, nearest
from lifecycle.evaluation.expectation import evaluate
from lifecycle.kinds import COVERINGS
from lifecycle.quantities import Array, Frame, Framed
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.implied import LAST_YEAR, plan_spells, with_every_plan
from lifecycle.studies.one_roof import chance_of_hidden_leak

YEARS = 30
"""Ages up to which a roof is followed. [years]"""

RESEALED: Mapping[str, int] = {"never": 12 * YEARS, "third_year": 36, "every_year": 12}
"""Intervals between full reseals, by the name of their words. [months]"""

LONGEST_HIDDEN = 6
"""Time that a leak is followed. [years]"""

SHOWN_PLANS = ("nothing", "only_looks", "own_touch_up", "shop_every_year")
"""Upkeep plans that are drawn, as far as they are shipped."""

AGES = tuple(range(1, LAST_YEAR + 1))
"""Ages at which a roof is looked into. [years]"""


@dataclass(frozen=True)
class Curves(Framed):
    """Lines over one axis.

    Parameters
    ----------
    title : str
        What is drawn.
    across, up : str
        Names of the axes, with units.
    lines : tuple of (str, ndarray, ndarray)
        Name, places across, places up.
    mark : tuple of (float, str), or None
        A place across that means something, and what.
    """

    title: str
    across: str
    up: str
    lines: tuple[tuple[str, Array, Array], ...]
    mark: tuple[float, str] | None = None

    def __repr__(self) -> str:
        """Name the lines, each with its first and its last height."""
        ends = [f"  {name}: {up[0]:,.4g} to {up[-1]:,.4g}" for name, _, up in self.lines]
        return "\n".join([f"{self.title}, by {self.across}", *ends])

    def to_frame(self) -> Frame:
        """Return the lines as columns, by the places across that any of them has."""
        import pandas

        columns = {name: pandas.Series(up, across) for name, across, up in self.lines}
        return pandas.DataFrame(columns).rename_axis(self.across)


def _said(name: str) -> Mapping[str, str]:
    """Return the words of one step."""
    words: Mapping[str, str] = words_of("charts")["explained"][name]
    return words


def _curves(
    name: str,
    lines: tuple[tuple[str, Array, Array], ...],
    mark: tuple[float, str] | None = None,
    *,
    currency: str = "",
) -> Curves:
    """Return the lines of one step with its words."""
    said = _said(name)
    up = said["up"].format(currency=currency).rstrip(", ")
    return Curves(said["title"], said["across"], up, lines, mark)


def life(scenario: Scenario) -> Curves:
    """Return the share of roofs of each kind that stand, by age."""
    case = resolve(scenario)
    roofs = {
        (
            float(np.asarray(roof.life_shape)),
            float(np.asarray(roof.life_scale)),
            scenario.roofs[roof.name].covering,
        ): roof
        for way in case.alternatives
        for roof in (way.then, way.roof)
    }
    age = np.arange(0, 12 * YEARS + 1) / 12.0
    lines = tuple(
        (
            f"{covering}: {roof.name}" if [key[2] for key in roofs].count(covering) > 1 else covering,
            age,
            100.0 * np.asarray(survival(roof.ageing * age, shape=shape, scale=scale)),
        )
        for (shape, scale, covering), roof in sorted(
            roofs.items(), key=lambda pair: COVERINGS[pair[0][2]].sprayed
        )
    )
    return _curves("life", lines)


def joints(scenario: Scenario) -> Curves:
    """Return the joint leaks started by an age, with and without reseals, of the roof that stands."""
    roof = resolve(scenario).alternatives[0].roof
    month, said = np.arange(12 * LAST_YEAR), _said("joints")
    lines = []
    for name, every in RESEALED.items():
        seal = month % every
        started = leaks_between(
            seal / 12.0,
            (seal + 1) / 12.0,
            first_year=roof.joint_leaks_first_year,
            growth=roof.joint_leak_growth,
        )
        lines.append((said[name], np.append(0, month + 1) / 12.0, np.append(0.0, np.cumsum(started))))
    return _curves("joints", tuple(lines))


def hiding(scenario: Scenario) -> Curves:
    """Return the chance that a roof hides a leak, by age, under some upkeep plans."""
    under_plans = with_every_plan(scenario)
    spells = plan_spells(under_plans)
    titles = {way.name: way.title for way in under_plans.alternatives}
    ages = np.array(AGES, dtype=float)
    lines = tuple(
        (
            titles.get(plan, plan),
            ages,
            np.array([100.0 * float(chance_of_hidden_leak(spells[plan], age)[0]) for age in AGES]),
        )
        for plan in [name for name in SHOWN_PLANS if name in spells] or list(spells)[:3]
    )
    return _curves("hiding", lines)


def harm(scenario: Scenario) -> Curves:
    """Return what a leak costs by how long it stays hidden, and when the deck is gone."""
    leaks = resolve(scenario).leaks
    hidden = np.linspace(0.0, LONGEST_HIDDEN, 12 * LONGEST_HIDDEN + 1)
    cost = damage(hidden, patch_cost=leaks.patch_cost, rot_cost=leaks.rot_cost, rot_time=leaks.rot_time)
    limit = float(np.asarray(leaks.severe_after))
    said = _said("harm")
    mark = (limit, said["mark"]) if limit <= LONGEST_HIDDEN else None
    return _curves("harm", ((said["line"], hidden, np.asarray(cost)),), mark, currency=scenario.currency)


def renewal(scenario: Scenario) -> Curves:
    """Return the chance that the roof had to be renewed, by year of sale: the base case, and changes now."""
    case = resolve(scenario)
    ledgers = evaluate(case)
    shown = [way for way in case.alternatives if way.base_case or way.change_month == 0]
    years = np.arange(case.terms.study_period + 1, dtype=float)
    lines = tuple((way.title, years, 100.0 * ledgers[way.name].chance_renewed[0]) for way in shown)
    return _curves("renewal", lines)


def discounting(scenario: Scenario) -> Curves:
    """Return what a dollar of a later year weighs, at the scenario's rate and without one."""
    terms = resolve(scenario).terms
    months = np.arange(12 * terms.study_period + 1)
    rate, said = float(np.asarray(terms.discount_rate)), _said("discounting")
    lines = tuple(
        (name, months / 12.0, np.asarray(discount_factor(months, discount_rate=at)))
        for name, at in ((said["rate"].format(rate=f"{rate:.1%}"), rate), (said["nothing"], 0.0))
    )
    return _curves("discounting", lines)


def step(scenario: Scenario, name: str) -> Curves:
    """Return one step of the model as lines.

    Parameters
    ----------
    scenario : Scenario
        Any; every figure at its likely value.
    name : str
        One of `STEPS`.

    Raises
    ------
    ScenarioError
        If there is no such step.
    """
    if name not in STEPS:
        raise fault("step", "must be one of the model", name, nearest(name, tuple(STEPS)))
    return STEPS[name](scenario)


STEPS: Mapping[str, Callable[[Scenario], Curves]] = {
    one.__name__: one for one in (life, joints, hiding, harm, renewal, discounting)
}
"""The steps in the order of the model."""
