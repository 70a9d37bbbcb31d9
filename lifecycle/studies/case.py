"""The case for and the case against: what the figures themselves say on either side.

Lecture
-------
A *reason* is one topic (upkeep, selling early, a badly done job ...) with a signed amount of money for
the way in question against what the owner would do otherwise: above 0 it speaks for it. Each topic has a
side that it is looked for on; if its figure points the other way it stands on the other side. Nothing is
weighed or tuned. Reasons overlap, as arguments do: they do not add up to the verdict.

With N the years kept, money as the mean over the futures, and counts and chances at likely values:

    upkeep, leaks, own hours, days, cooling, warranty, sale    what otherwise costs less what the way costs
    new roofs        the same for roofs that nobody planned: without the price of the planned change
    bad futures      cost that 2 of 20 futures exceed: otherwise, less the way
    surer price      width between which 8 in 10 futures lie: otherwise, less the way
    sell early       mean net savings if sold at the low end of the years kept (half of N if it has none)
    cheaper upkeep   mean cost of the cheapest way of keeping it until it must go, less that of the way
    badly done       laying the roof again, with its days; of so many jobs ``1 - exp(-N / defect life)`` fail
    later leak       damage of a leak found when the deck is about to be gone
    maker's warranty what the warranty of the standing roof pays otherwise
    the change       what is paid for it, today or later, with its days and the weight that it adds

Both sides are of equal length: topics that belong on every paper first, then the largest. A side that is
short is filled with its own topics that point the other way, or nowhere, and they say so.

A figure is kept as a number with its *kind*, and so are those of `claims`: how a kind is written, rounded and
with which unit is left to the language, so that one sentence reads the same wherever it is shown.

Left out: what money does not show; a fall from the ladder.
Source: the model's own; the rate of failure of badly done roofs is that of the model.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from lifecycle.deterioration import damage
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.evaluation.expectation import new_roof
from lifecycle.kinds import COVERINGS
from lifecycle.roofs import Leaks
from lifecycle.scenario import takeoff_of
from lifecycle.studies.doubt import Doubt, whole_years
from lifecycle.studies.one_roof import new_leaks

FOR, AGAINST = "for", "against"

MOST = 6
"""Reasons on each side at most."""

LEAST = 0.5
"""Money below which a topic points nowhere. [money]"""

HALF_EARLY = 0.5
"""Selling early is after this share of the years kept, where these have no low end. [-]"""

Said = Literal["for", "against", "same"]

Kind = Literal[
    "money",
    "sum",
    "difference",
    "of 20",
    "part of 20",
    "coaches",
    "share",
    "years",
    "number",
    "signs",
    "mass",
    "warmer",
    "title",
    "text",
]
"""What a number is.

money: an amount; sum: of a contract, never rounded; difference: an amount, positive is cheaper; of 20: a
chance, or share of futures, told in 20s; part of 20: one of chances that add up to 1, told so that they add
up to 20; coaches: a chance that may be rare; share: of a whole, in per cent; years; number: a count; mass
[kg]; warmer [K]; title: no number, but the name of a way; text: words as they are.
"""


@dataclass(frozen=True)
class Named:
    """A number, in the model's own unit, or a text; and what it is."""

    value: float | str
    kind: Kind


@dataclass(frozen=True)
class Reason:
    """One topic with its figure.

    Parameters
    ----------
    key : str
        Names its sentences in the data.
    money : float
        Above 0: speaks for the way in question. [money]
    figures : dict of str to Named
        What its sentences are filled with.
    home : str
        Side that it is looked for on, `FOR` or `AGAINST`.
    always : bool
        Whether it belongs on every paper.
    """

    key: str
    money: float
    figures: Mapping[str, Named]
    home: str
    always: bool = False

    @property
    def points(self) -> Said:
        """Where its figure points: "for", "against", or nowhere: "same"."""
        if abs(self.money) < LEAST:
            return "same"
        return "for" if self.money > 0.0 else "against"

    @property
    def side(self) -> str:
        """The side that it stands on: where it points, at home if it points nowhere."""
        return self.home if self.points == "same" else self.points


@dataclass(frozen=True)
class Sides:
    """The case for and the case against, of equal length, the largest sum of money first."""

    for_: tuple[Reason, ...]
    against: tuple[Reason, ...]


def case_of(comparison: Comparison, doubt: Doubt) -> Sides:
    """Put the reasons for and against the way in question together.

    The comparison has a subject and no trouble (else ValueError); the doubt is of the same scenario, to the
    years kept at least.
    """
    if comparison.subject is None or not comparison.ways:
        raise ValueError("a case for and against needs two ways, and no trouble")
    reasons = tuple(reasons_of(comparison, doubt))
    number = min(MOST, max(sum(one.side == side for one in reasons) for side in (FOR, AGAINST)))
    return Sides(*(_chosen(reasons, side, number) for side in (FOR, AGAINST)))


def _chosen(reasons: tuple[Reason, ...], side: str, number: int) -> tuple[Reason, ...]:
    """Return so many reasons of one side, the largest first; filled up with what points elsewhere."""
    own = [one for one in reasons if one.side == side]
    own.sort(key=lambda one: (not one.always, -abs(one.money)))
    chosen = sorted(own[:number], key=lambda one: -abs(one.money))
    others = [one for one in reasons if one.home == side and one.side != side]
    others.sort(key=lambda one: abs(one.money))
    return (*chosen, *others[: number - len(chosen)])


def reasons_of(comparison: Comparison, doubt: Doubt) -> Iterator[Reason]:
    """Go through all reasons, on whichever side they stand."""
    means = doubt.by_category()
    way, base = (
        replace(comparison.ways[name], by_category=means[name])
        for name in (comparison.subject or "", comparison.base_case)
    )
    later = {one.name: _planned_later(doubt, one) for one in (way, base)}
    yield from _by_category(comparison, way, base, later)
    yield from _by_futures(doubt, way, base)
    yield _paid(comparison, way, later[way.name])
    yield _sell_early(comparison, doubt, way)
    yield from _cheaper_upkeep(comparison, doubt, way)
    yield _badly_done(comparison, way)
    yield _later_leak(comparison, way)
    yield _makers_warranty(comparison, base)


def _planned_later(doubt: Doubt, way: Way) -> float:
    """Return what is paid for a planned change after today. [money]"""
    if way.change_month is None:
        return 0.0
    return doubt.price_of_first_change(way.name) - way.by_category["initial"]


def _by_category(comparison: Comparison, way: Way, base: Way, later: Mapping[str, float]) -> Iterator[Reason]:
    """Return a reason for each category in which the two ways may differ later than today."""
    years = {"years": Named(comparison.holding_period, "years")}
    year = whole_years(comparison.holding_period)
    renewed = {
        "way": Named(float(way.chance_renewed[year]), "of 20"),
        "otherwise": Named(float(base.chance_renewed[year]), "of 20"),
        "year": Named(year, "number"),
    }
    counted = {
        name: {"way": Named(way.expected[name], "number"), "otherwise": Named(base.expected[name], "number")}
        for name in ("leaks", "hours", "days")
    }
    spent = {"way": Named(way.by_category["upkeep"], "money")}
    spent["otherwise"] = Named(base.by_category["upkeep"], "money")
    more = {
        "upkeep": ("upkeep", spent),
        "renewal": ("new_roofs", renewed),
        "leak damage": ("leaks", counted["leaks"]),
        "hours": ("own_hours", counted["hours"]),
        "days": ("days", counted["days"]),
        "energy": ("cooling", {}),
        "sale": ("sale", {}),
        "warranty": ("warranty_pays", {}),
    }
    for category, (key, figures) in more.items():
        money = base.by_category[category] - way.by_category[category]
        if category == "renewal":  # planned changes are no later new roofs
            money += later[way.name] - later[base.name]
        yield Reason(key, money, {**years, **figures, "money": Named(abs(money), "money")}, FOR)


def _by_futures(doubt: Doubt, way: Way, base: Way) -> Iterator[Reason]:
    """Return the reasons that stand on the doubt; none where nothing is in doubt."""
    if not doubt.futures.sample.values:
        return
    bands = {"way": doubt.band(doubt.cost(way.name)), "otherwise": doubt.band(doubt.cost(base.name))}
    high = {name: float(band.p90) for name, band in bands.items()}
    wide = {name: float(band.p90 - band.p10) for name, band in bands.items()}
    for key, both in (("bad_futures", high), ("surer_price", wide)):
        money = both["otherwise"] - both["way"]
        figures = {name: Named(value, "money") for name, value in both.items()}
        yield Reason(key, money, {**figures, "money": Named(abs(money), "money")}, FOR)


def _paid(comparison: Comparison, way: Way, later: float) -> Reason:
    """Return what is paid for the change, with its days and its weight."""
    money = way.by_category["initial"] + later
    days = float(comparison.case.alternative(way.name).days)
    figures = {
        "money": Named(money, "money"),
        "days": Named(days, "number"),
        "year": Named((way.change_month or 0) / 12.0, "number"),
    }
    key = "paid_later" if way.change_month else "paid_today"
    found = takeoff_of(comparison.scenario)
    roof = comparison.case.alternative(way.name).then.name
    if (
        found is not None
        and not way.change_month
        and COVERINGS[comparison.scenario.roofs[roof].covering].sprayed
    ):
        figures["weight"] = Named(abs(found.weight.net_weight), "mass")
        key = "paid_today_heavier" if found.weight.net_weight > 0.0 else "paid_today_lighter"
    return Reason(key, -money, figures, AGAINST, always=True)


def early_year(comparison: Comparison) -> int:
    """Year of an early sale: the low end of the years kept, else half of them; at least 1. [years]"""
    stated = comparison.scenario.owner["holding_period"]
    figure = None if isinstance(stated, float) else comparison.scenario.inputs[stated.path]
    ranged = figure is not None and figure.low < comparison.holding_period
    early = figure.low if figure is not None and ranged else HALF_EARLY * comparison.holding_period
    return max(1, min(math.floor(early + 1e-9), math.ceil(comparison.holding_period)))


def _sell_early(comparison: Comparison, doubt: Doubt, way: Way) -> Reason:
    """Return what selling early makes of it."""
    year = early_year(comparison)
    savings = doubt.costs[doubt.base_case][:, year] - doubt.costs[way.name][:, year]
    money = float(doubt.futures.weights @ savings)
    key = "sell_early" if doubt.futures.sample.values else "sell_early_sure"
    figures = {
        "years": Named(year, "years"),
        "of_20": Named(doubt.chance_cheaper(way.name, year=year), "of 20"),
        "money": Named(abs(money), "money"),
    }
    return Reason(key, money, figures, AGAINST, always=True)


def _cheaper_upkeep(comparison: Comparison, doubt: Doubt, way: Way) -> Iterator[Reason]:
    """Return the cheapest way of keeping the roof until it must go, on average over the futures."""
    weights = doubt.futures.weights
    means = {
        name: float(weights @ doubt.cost(name))
        for name, other in comparison.ways.items()
        if other.change_month is None and name != way.name
    }
    if not means:
        return
    cheapest = min(means, key=lambda name: means[name])
    money = means[cheapest] - float(weights @ doubt.cost(way.name))
    other = comparison.ways[cheapest]
    figures = {
        "title": Named(other.title, "title"),
        "hours": Named(other.expected["hours"], "number"),
        "money": Named(abs(money), "money"),
        "of_20": Named(doubt.chance_cheaper(cheapest, way.name), "of 20"),
    }
    key = "cheaper_upkeep" if doubt.futures.sample.values else "cheaper_upkeep_sure"
    yield Reason(key, money, figures, AGAINST, always=True)


def _badly_done(comparison: Comparison, way: Way) -> Reason:
    """Return what a badly done job costs when nobody pays for it."""
    roof = comparison.case.alternative(way.name).then
    share, life = float(roof.defect_share), float(roof.defect_life)
    fails = -math.expm1(-comparison.holding_period / life) if share > 0.0 else 0.0
    again = float(roof.renew_cost) + float(roof.renew_days) * float(comparison.case.terms.day_cost)
    figures = {
        "badly": Named(share, "of 20"),
        "fails": Named(fails, "of 20"),
        "life": Named(life if share > 0.0 else 0.0, "years"),
        "money": Named(again, "money"),
        "warranty": Named(-way.by_category["warranty"], "money"),
        "years": Named(comparison.holding_period, "years"),
    }
    return Reason("badly_done", -again if share > 0.0 else 0.0, figures, AGAINST, always=True)


def chance_of_leak(comparison: Comparison, name: str) -> float:
    """Chance that the roof of a way, once laid, gets a leak within the years kept, if it stands. [-]"""
    spell = new_roof(comparison.case.alternative(name).then, comparison.case)
    year = whole_years(comparison.holding_period)
    return float(-np.expm1(-new_leaks(spell, 0, year - 1))[0])


def late_damage(leaks: Leaks) -> float:
    """Return what a leak costs that is found when the deck is about to be gone. [money]"""
    patch, rot = leaks.patch_cost, leaks.rot_cost
    return float(damage(leaks.severe_after, patch_cost=patch, rot_cost=rot, rot_time=leaks.rot_time))


def _later_leak(comparison: Comparison, way: Way) -> Reason:
    """Return what a leak of the new roof costs if it is found late."""
    leaks = comparison.case.leaks
    chance = chance_of_leak(comparison, way.name)
    late = late_damage(leaks)
    figures = {
        "of_20": Named(chance, "of 20"),
        "years": Named(whole_years(comparison.holding_period), "years"),
        "money": Named(late, "money"),
        "soon": Named(float(leaks.patch_cost), "money"),
        "late": Named(float(leaks.severe_after), "years"),
    }
    return Reason("later_leak", -late if chance > 0.0 else 0.0, figures, AGAINST, always=True)


def _makers_warranty(comparison: Comparison, base: Way) -> Reason:
    """Return what the warranty of the standing roof pays, and may no longer."""
    existing = comparison.case.existing
    left = float(comparison.case.base_case.roof.warranty_years) - existing.age / 12.0
    money = max(0.0, -base.by_category["warranty"]) if left > 0.0 else 0.0
    figures = {
        "age": Named(existing.age / 12.0, "years"),
        "left": Named(max(0.0, left), "years"),
        "money": Named(money, "money"),
    }
    return Reason("makers_warranty", -money, figures, AGAINST, always=True)
