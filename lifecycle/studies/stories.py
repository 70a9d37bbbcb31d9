"""A good, a middle and a bad story: three lives of coaches under one way, told as bills by year.

Lecture
-------
A mean is a bill that nobody pays. So lives are drawn by chance (`simulation`), every input at its
likely value, and three of them are told: those whose bills by the last year kept come nearest to what
1, 5 and 9 of 10 lives do not exceed. The bills of a year are what is paid in it, in prices of today and
not discounted, less what warranty and insurance pay.

Different ways do not share their luck: the bad story of one way says nothing about another's.

Left out: the sale, a loan, and doubt about the inputs.
Source: the model's own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.simulation import Lives, simulate
from lifecycle.quantities import Array
from lifecycle.roofs import Case, Roof
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.doubt import whole_years

LIVES, SEED = 20_000, 1
"""Lives drawn for each way, and their seed."""

TOLD: Mapping[str, float] = {"good": 10.0, "middle": 50.0, "bad": 90.0}
"""Name of each story, and the share of lives that cost no more. [%]"""


@dataclass(frozen=True)
class Story:
    """One life, told by what was paid in each year.

    Parameters
    ----------
    bills : ndarray, shape (years,)
        Paid in year 1, 2 ... [money]
    leak, new_roof, deck_gone : int or None
        First year in which a leak was found, an unplanned new roof laid, a deck found gone. [years]
    """

    bills: Array
    leak: int | None
    new_roof: int | None
    deck_gone: int | None

    @property
    def total(self) -> float:
        """All that was paid. [money]"""
        return float(self.bills.sum())


@dataclass(frozen=True)
class Stories:
    """Three stories for each way.

    Parameters
    ----------
    ways : dict of str to dict of str to Story
        By way, and by the name of the story, from good to bad.
    years : int
        Last whole year kept, at least 1. [years]
    lives, seed : int
        Lives drawn for each way, and their seed.
    """

    ways: Mapping[str, Mapping[str, Story]]
    years: int
    lives: int
    seed: int


def stories(
    scenario: Scenario, *, ways: Collection[str] = (), lives: int = LIVES, seed: int = SEED
) -> Stories:
    """Draw lives under some ways (none named: all) and tell three of each; with trouble nothing is told."""
    case = resolve(scenario)
    years = whole_years(float(case.terms.holding_period))
    if scenario.trouble:
        return Stories({}, years, lives, seed)
    if ways:
        case = case.only(ways)
    drawn = simulate(unsold(case).kept(float(years)), lives=lives, seed=seed)
    return Stories({name: _told(some, years) for name, some in drawn.items()}, years, lives, seed)


def unsold(case: Case) -> Case:
    """Return a case without discounting, sale and loan: its running cost is then what was paid."""

    def worthless(roof: Roof) -> Roof:
        return replace(roof, resale_share=0.0)

    return replace(
        case,
        terms=replace(case.terms, discount_rate=0.0),
        leaks=replace(case.leaks, found_at_sale=0.0),
        existing=replace(case.existing, roof=worthless(case.existing.roof)),
        alternatives=tuple(
            replace(way, roof=worthless(way.roof), then=worthless(way.then)) for way in case.alternatives
        ),
        loan=None,
    )


def _told(lives: Lives, years: int) -> dict[str, Story]:
    """Tell the lives nearest to the percentiles of what was paid."""
    paid = np.asarray(lives.net_present_cost, dtype=float)
    last = paid[:, years]
    out = {}
    for name, percent in TOLD.items():
        life = int(np.argmin(np.abs(last - np.percentile(last, percent))))
        events = (one[life] for one in (lives.leak_found, lives.new_roof, lives.severe_find))
        out[name] = Story(np.diff(paid[life]), *(int(year) if year <= years else None for year in events))
    return out
