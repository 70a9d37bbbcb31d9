"""Statements about money, each with its test: paying back, waiting, labour, insurance, warranty, resale.

Lecture
-------
With S the net savings of the way in question over what the owner would do otherwise:

- *pays back* after Y years: the share of futures with S > 0 if sold then. It fits only if it is also no
  less than probably cheaper than the cheapest upkeep compared; about the same is said as such;
- *waiting a year costs*: the share of futures in which doing it now is cheaper (`grounds`); it does not fit
  where it is less than probably cheaper now than never, the roof kept in the cheapest way;
- *today only*: fits no figures; what is said instead is a twelfth of what waiting a year
  costs, that the year costs about the same, or, if waiting saves, how far the price may rise;
- *own labour* is for nothing where an hour is worth nothing to the owner, and then fits in part, as the
  hours remain;
- *insurance* and *warranty*: the share that they pay of what leaks cost otherwise, and of what leaks and
  a new roof cost afterwards. Terms that are no evidence fit in part at most;
- *resale*: judged only where the share that a buyer pays for is evidence: what less is taken off at the
  sale than otherwise.

Where no input is a range nothing says how sure an answer is, so a statement fits in part at most.

Left out: what money does not show.
Source: the model's own; a convention of our own.
"""

from __future__ import annotations

from lifecycle.evaluation.comparison import Way
from lifecycle.studies.claiming.grounds import Grounds
from lifecycle.studies.claiming.judging import (
    CANNOT,
    DOES_NOT_FIT,
    LEAST_PARTLY,
    PARTLY,
    Ruling,
    at_most_limited,
    by_amount,
    by_share,
    is_evidence,
)
from lifecycle.studies.doubt import of_20
from lifecycle.studies.named import Named
from lifecycle.studies.verdict import CHEAPER, about_the_same, word_without_doubt

MONTHS = 12.0

NO_DOUBT = "one_value"
"""Names the sentence where every input stands at one value."""


def pays_back(grounds: Grounds, year: int | None = None) -> Ruling:
    """Judge that the way in question pays back by a year of sale (None: the years kept). [years]"""
    years = {"years": Named(grounds.years if year is None else year, "years")}
    for asked in ("otherwise", "quote"):
        if asked in grounds.not_sure:
            return Ruling(CANNOT, years, asked)
    middle, dearer = _means(grounds, grounds.base.name, year)
    chance = grounds.doubt.chance_cheaper(grounds.way.name, year=year)
    cheapest = grounds.cheapest_kept
    figures = {
        **years,
        "of_20": Named(chance, "of 20"),
        "middle": Named(middle, "difference"),
        "against_cheapest": Named(_means(grounds, cheapest, year)[0], "difference"),
    }
    if not grounds.in_doubt:
        word = word_without_doubt(middle, dearer)
        return Ruling(PARTLY if word == CHEAPER else DOES_NOT_FIT, figures, sentence=NO_DOUBT)
    judgement = by_share(chance)
    if about_the_same(middle, dearer):
        return Ruling(at_most_limited(judgement), figures, sentence="same")
    if of_20(grounds.doubt.chance_cheaper(grounds.way.name, cheapest, year)) < LEAST_PARTLY:
        judgement = at_most_limited(judgement)
    return Ruling(judgement, figures)


def _means(grounds: Grounds, than: str, year: int | None) -> tuple[float, float]:
    """Return the mean net savings over a way, and the mean cost of the dearer of the two. [money]"""
    doubt = grounds.doubt
    costs = [
        doubt.cost(name) if year is None else doubt.costs[name][:, year] for name in (than, grounds.way.name)
    ]
    means = [float(doubt.futures.weights @ cost) for cost in costs]
    return means[0] - means[1], max(means)


def waiting(grounds: Grounds) -> Ruling:
    """Judge that waiting costs money."""
    found, unknown = grounds.waiting, _no_waiting(grounds)
    if unknown or found is None:
        return Ruling(CANNOT, {"years": Named(grounds.years, "years")}, unknown)
    figures = {
        "money": Named(found.more, "money"),
        "difference": Named(found.more, "difference"),
        "of_20": Named(found.now_cheaper, "of 20"),
    }
    same = about_the_same(found.more, grounds.dearer)
    if not grounds.in_doubt:
        costs = found.more > 0.0 and not same
        return Ruling(PARTLY if costs else DOES_NOT_FIT, figures, sentence=NO_DOUBT)
    never = grounds.doubt.chance_cheaper(grounds.way.name, grounds.cheapest_kept)
    if by_share(found.now_cheaper) != DOES_NOT_FIT and by_share(never) == DOES_NOT_FIT:
        return Ruling(DOES_NOT_FIT, {**figures, "never": Named(never, "of 20")}, sentence="never")
    judgement = by_share(found.now_cheaper)
    return (
        Ruling(at_most_limited(judgement), figures, sentence="same") if same else Ruling(judgement, figures)
    )


def _no_waiting(grounds: Grounds) -> str:
    """Return why nothing can be said of waiting; "" if something can."""
    if "quote" in grounds.not_sure:
        return "quote"
    if not grounds.today:
        return "not_today"
    return "" if grounds.waiting is not None else "sold_within_the_year"


def today_only(grounds: Grounds) -> Ruling:
    """Tell what a month of waiting costs; that one day matters no figures support."""
    found, unknown = grounds.waiting, _no_waiting(grounds)
    if unknown or found is None:
        return Ruling(CANNOT, {"years": Named(grounds.years, "years")}, unknown)
    figures = {
        "month": Named(max(0.0, found.more / MONTHS), "money"),
        "rise": Named(max(0.0, found.rise), "money"),
        "later": Named(-found.more, "difference"),
    }
    if about_the_same(found.more, grounds.dearer):
        return Ruling(DOES_NOT_FIT, figures, sentence="same")
    return Ruling(DOES_NOT_FIT, figures, sentence="costs" if found.more > 0.0 else "")


def free_labour(grounds: Grounds) -> Ruling:
    """Judge that one's own labour costs nothing."""
    years, way = {"years": Named(grounds.years, "years")}, grounds.own_way
    if way is None:
        return Ruling(CANNOT, {**years, "hours": Named(0.0, "number")}, "own_way")
    money = way.by_category["hours"]
    figures = {
        **years,
        "hours": Named(way.expected["hours"], "number"),
        "hours_money": Named(money, "money"),
        "material": Named(way.by_category["upkeep"], "money"),
        "title": Named(way.title, "title"),
    }
    return Ruling(DOES_NOT_FIT if money > 0.0 else PARTLY, figures)


def insurance(grounds: Grounds) -> Ruling:
    """Judge that insurance pays for leaks, if the owner does what they would do otherwise."""
    way = grounds.base
    damage, paid = way.by_category["leak damage"], max(0.0, -way.by_category["insurance"])
    figures = {
        "years": Named(grounds.years, "years"),
        "damage": Named(damage, "money"),
        "paid": Named(paid, "money"),
    }
    if damage <= 0.0:
        return Ruling(CANNOT, figures, "no_damage")
    figures["share"] = Named(paid / damage, "share")
    return Ruling(by_share(paid / damage), figures)


def warranty(grounds: Grounds) -> Ruling:
    """Judge that the warranty covers what happens to the new roof."""
    way, numbers = grounds.way, grounds.scenario.roofs[grounds.laid].numbers
    terms = [grounds.figure(numbers.get(name)) for name in ("warranty_years", "warranty_share")]
    paid, cost = max(0.0, -way.by_category["warranty"]), _of_the_new_roof(way)
    figures = {
        "years": Named(grounds.years, "years"),
        "paid": Named(paid, "money"),
        "cost": Named(cost, "money"),
        "transfer": Named(_passes_on(grounds), "text"),
    }
    if any(one is None or one.likely <= 0.0 for one in terms):
        return Ruling(CANNOT, figures, "warranty_terms")
    if cost <= 0.0:
        return Ruling(CANNOT, figures, "no_damage")
    figures["share"] = Named(paid / cost, "share")
    judgement = by_share(paid / cost)
    return Ruling(judgement if all(map(is_evidence, terms)) else at_most_limited(judgement), figures)


def _of_the_new_roof(way: Way) -> float:
    """Return what leaks and new roofs cost besides the planned change. [money]"""
    planned = 0.0 if way.change_month is None else way.quote * way.first_changes_at_holding
    return way.by_category["leak damage"] + way.by_category["renewal"] + way.by_category["initial"] - planned


def _passes_on(grounds: Grounds) -> str:
    """Return which words say whether the warranty passes on: "passes_on", "ends_with_sale", "not_said"."""
    transfers = None if grounds.quote is None else grounds.quote.terms.warranty_transfers
    return {True: "passes_on", False: "ends_with_sale", None: "not_said"}[transfers]


def resale(grounds: Grounds) -> Ruling:
    """Judge that the coach sells for more with the new roof."""
    gain = grounds.base.by_category["sale"] - grounds.way.by_category["sale"]
    figure = grounds.figure(grounds.scenario.roofs[grounds.laid].numbers.get("resale_share"))
    figures = {
        "years": Named(grounds.years, "years"),
        "money": Named(gain, "money"),
        "difference": Named(gain, "difference"),
        "share": Named(figure.likely if figure else 0.0, "share"),
    }
    if not is_evidence(figure):
        return Ruling(CANNOT, figures, "sales")
    return Ruling(by_amount(gain, grounds.dearer), figures)
