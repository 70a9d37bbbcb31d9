"""Which ways of keeping the roof fit the answers, and how many of them stand ready.

Lecture
-------
What the owner would do otherwise is one way. Further ones are data (`questions.toml`), the first first; those
that do not fit the answers are left out: own work where the owner does not go up, a patch before a sale where
the coach is kept for long, a new roof where the old one is young. As many as make seven rows with what the
owner would do and the ways of spraying stand ready; the others are offered behind them.

Left out: how they are written down (`writing`), and whether they are worth their money.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lifecycle import files
from lifecycle.interview.answers import NOT_SURE, Answers, own_plans
from lifecycle.interview.site import place_in
from lifecycle.reading.reader import is_number
from lifecycle.reading.upkeep import all_plans


@dataclass(frozen=True)
class Offer:
    """A way of keeping the roof that is offered: title, what the data say of it, whether it is ready."""

    title: str
    data: Mapping[str, Any]
    ready: bool

    @property
    def name(self) -> str:
        """Its name in the file."""
        return str(self.data.get("plan") or self.data["way"])

    @property
    def keeps(self) -> bool:
        """Whether the roof that stands is kept, under a plan or with further jobs."""
        return "plan" in self.data or "jobs" in self.data

    @property
    def lines(self) -> list[str]:
        """What says in the file that it is one of the other ways."""
        return [] if self.ready else ["aside = true                   # one of the other ways"]


def base_plan(known: Answers) -> str:
    """Return the plan of what the owner would do otherwise, or the first that can stand for it."""
    data = files.data("questions.toml")
    base: str = data["when_not_sure"] if known["otherwise"] == NOT_SURE else known["otherwise"]
    plans: Mapping[str, Any] = files.shared()["plans"]
    if known["climbs"] is not False or base not in own_plans():
        return base
    return next(plan for plan in plans if plan not in own_plans())


def offered(known: Answers) -> tuple[Offer, ...]:
    """Return the ways of keeping the roof that fit the answers, those that stand ready first.

    Parameters
    ----------
    known : mapping
        Keys and values of `[answers]`; a part that is missing is "not sure".
    """
    data, base = files.data("questions.toml"), base_plan(known)
    listed = list(data["ways"])
    if known["otherwise"] == NOT_SURE:
        plans = files.shared()["plans"]
        listed = [{"plan": plan} for plan in plans] + [way for way in listed if way.get("plan") not in plans]
    fitting = [way for way in listed if way.get("plan") != base and _fits(known, way)]
    most = len(files.shared()["plans"]) - 1 if known["otherwise"] == NOT_SURE else data["rows"] - 4
    words = {"roof": called(known), "otherwise": title_of(known, base)}
    return tuple(
        Offer(
            title_of(known, way["plan"]) if "plan" in way else way["title"].format(**words),
            way,
            number < most,
        )
        for number, way in enumerate(fitting)
    )


def _fits(known: Answers, way: Mapping[str, Any]) -> bool:
    """Whether a way fits the answers."""
    keep = known["keep"]
    years = keep["likely"] if isinstance(keep, Mapping) else keep if is_number(keep) else math.inf
    if known["roof_age"] < way.get("roof_age_from", 0) or years > way.get("keep_to", math.inf):
        return False
    if "sheltered_share" in way:
        sheltered = known["sheltered_share"] if is_number(known["sheltered_share"]) else 0.0
        goes_up = known["climbs"] is not False and known["climbs_in_ten_years"] is not False
        return goes_up and sheltered < 0.5 and place_in(known["place"]) is not None
    return known["climbs"] is not False or way.get("plan") not in own_plans()


def standing(known: Answers) -> str:
    """Return the name of the roof that stands."""
    return "fibreglass" if known["covering"] == "fibreglass" else "membrane"


def called(known: Answers) -> str:
    """Return what the roof that stands is called in a sentence."""
    roof = standing(known)
    return "fibreglass skin" if roof == "fibreglass" else roof


def plan_of(known: Answers, plan: str) -> str:
    """Return the plan that is written: a shop's, where the owner does not go up."""
    by_shop: Mapping[str, str] = files.shared()["stops_climbing"]["plans"]
    return by_shop.get(plan, plan) if known["climbs"] is False else plan


def title_of(known: Answers, plan: str) -> str:
    """Return the plain title of `plan`."""
    title: str = all_plans(files.shared())[plan_of(known, plan)]["title"]
    return title[0].upper() + title[1:]
