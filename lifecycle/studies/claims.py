"""What may be said of a roof: each statement of the data, judged on one scenario, with what it rests on.

Lecture
-------
A statement (`data/claims.toml`) is judged by the test of its name (`MONEY_AND_ROOFS`): it
*fits these figures*, *partly*, it *does not fit* them, or it *cannot be judged*; to fit is no evidence.
Shares of futures, of coaches or of a sum of money are judged by one table, the same as that of the verdict's
words::

    18, 19, 20 of 20    fits these figures
    15, 16, 17          partly
    below               does not fit

A statement that knows no exception ("never", "no upkeep at all", "for life", "today only"; `absolute` in the
data) is more than any figures bear, and fits none: its sentence says what the figures say instead. Amounts
are judged by what the verdict calls about the same: one that could not change its word fits in part only. A
figure is *evidence* if its basis is published, common practice or a record; what a seller offers, what
somebody judges, and what was set for an example is none. Where no input is a range nothing says how sure an
answer is, so a statement fits in part at most.

*Money* is the mean over the futures, as the verdict has it. With S the net savings of the way in question
over what the owner would do otherwise:

- *pays back* after Y years: the share of futures with S > 0 if sold then. It fits only if it is also no less
  than probably cheaper than the cheapest upkeep compared; about the same is said as such;
- *waiting a year costs*: the share of futures in which doing it now is cheaper than a year later, the roof
  kept meanwhile in the way that is cheapest on average (as in `timing`); it does not fit where it is less
  than probably cheaper now than never;
- *today only*: what a twelfth of that year costs, that the year costs about the same, or, if waiting saves,
  how far the price may rise;
- *own labour* is for nothing where an hour is worth nothing to the owner, and then fits in part, as the hours
  remain;
- *insurance* and *warranty*: the share that they pay of what leaks cost otherwise, and of what leaks and a
  new roof cost afterwards. Terms that are no evidence fit in part at most;
- *resale*: judged only where the share that a buyer pays for is evidence: what less is taken off at the sale
  than otherwise.

*Roofs.* What happens to one coach is luck; every figure stands at its likely value. With N the years kept:

- *never a reseal*, *no upkeep at all*, *never leaks*, *a lifetime*: the jobs of the plan, and the share of
  new roofs whose joints start a leak, of coaches whose deck goes, of new roofs that get a new leak in N
  years, and of coaches with an unplanned new roof in N years and in all shown;
- *a membrane's stated life*: the share of membranes, laid anew and looked after as otherwise, that need a new
  roof between the two stated ages;
- *cooler*: what a white roof saves against a dark one over N years, as an amount, discounted;
- *the price holds*: only where the quote's cap is no more than its price; in part where it is less above than
  the dearest leak costs; a higher cap limits nothing, and without one nothing holds, nor where something that
  the job needs stands beside the price.

What a statement rests on is named by role: the inputs of the roof that the way in question lays, of the
standing roof as it is looked after otherwise, of the leaks, the price, or those that move the answer most.
With trouble reported nothing is compared, and only the statements about trouble apply.

Left out: sentences and numbers as text; doubt about the figures behind the luck; jobs of a roof that had to
be renewed early.
Source: a convention of our own; the stated life is common practice (`data/claims.toml`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from lifecycle.economics import annual_value
from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.evaluation.expectation import new_roof
from lifecycle.evaluation.opening import opening
from lifecycle.evaluation.timeline import JOINT, due_visits
from lifecycle.files import data
from lifecycle.kinds import COVERINGS, Half
from lifecycle.quantities import Figure
from lifecycle.quote import Quote, added_up, caps
from lifecycle.roofs import Visit
from lifecycle.scenario import Scenario, Stated, StatedAlternative, StatedRoof
from lifecycle.studies.by_place import cooling_of
from lifecycle.studies.case import Named, chance_of_leak, late_damage
from lifecycle.studies.decision import chance_cheaper
from lifecycle.studies.doubt import Doubt, averaged, of_20, whole_years
from lifecycle.studies.futures import Evaluator, in_draws
from lifecycle.studies.one_roof import renewed_by
from lifecycle.studies.timing import waiting_roofs
from lifecycle.studies.verdict import CHEAPER, WORDS, about_the_same, word_without_doubt

FITS, PARTLY, DOES_NOT_FIT, CANNOT = "fits these figures", "partly", "does not fit", "cannot be judged"
JUDGEMENTS = (FITS, PARTLY, DOES_NOT_FIT, CANNOT)
"""Every judgement."""

LEAST_FITTING, LEAST_PARTLY = (least for least, _ in WORDS[:2])
"""So many of 20 fit a statement, or do so in part: where the verdict's words begin."""

EVIDENCE = ("published", "practice", "record")
"""Bases of figures that are evidence."""


@dataclass(frozen=True)
class Ruling:
    """A judgement on a statement, with the figures behind it.

    Parameters
    ----------
    judgement : str
        One of `JUDGEMENTS`.
    figures : dict of str to Named
        What its sentences are filled with.
    missing : str
        Name of what is missing, where it cannot be judged; else "".
    sentence : str
        Name of the sentence, where it is not the one of the judgement; else "".
    """

    judgement: str
    figures: Mapping[str, Named] = field(default_factory=dict)
    missing: str = ""
    sentence: str = ""


def by_share(share: float) -> str:
    """Judge a share of futures, of coaches, or of a sum. [0 ... 1]

    Examples
    --------
    >>> [by_share(k / 20) for k in (18, 17, 15, 14)]
    ['fits these figures', 'partly', 'partly', 'does not fit']
    """
    number = of_20(share)
    if number >= LEAST_FITTING:
        return FITS
    return PARTLY if number >= LEAST_PARTLY else DOES_NOT_FIT


def by_amount(amount: float, dearer: float) -> str:
    """Judge an amount that is said to be there, above 0 if it is, beside the cost of the dearer way. [money]

    Examples
    --------
    >>> by_amount(800.0, 12000.0), by_amount(200.0, 12000.0), by_amount(0.2, 12000.0)
    ('fits these figures', 'partly', 'does not fit')
    """
    if amount < 0.5:
        return DOES_NOT_FIT
    return PARTLY if about_the_same(amount, dearer) else FITS


def is_evidence(figure: Figure | None) -> bool:
    """Whether a figure is evidence."""
    return figure is not None and figure.basis in EVIDENCE


def at_most_limited(judgement: str) -> str:
    """Return a judgement that something keeps from fitting more than in part."""
    return PARTLY if judgement == FITS else judgement


MONTHS = 12
"""Months of a year, and of the waiting that is priced. [months]"""

NO_DOUBT = "one_value"
"""Names the sentence where every input stands at one value."""

A_CENT = 0.01
"""Difference of two sums that is none. [money]"""

DECIDING = 3
"""Inputs that move the answer most, where a statement rests on them."""

JOB_NUMBERS = ("every", "cost", "hours")
"""Numbers of an upkeep job that statements rest on."""


@dataclass(frozen=True)
class Waiting:
    """What it costs to wait a year, on average over the futures.

    Parameters
    ----------
    more : float
        What waiting costs more than to do it now; below 0 it saves. [money]
    rise : float
        How far the price may rise in the year before waiting costs more. [money]
    now_cheaper : float
        Share of futures in which it is cheaper to do it now. [-]
    """

    more: float
    rise: float
    now_cheaper: float


@dataclass(frozen=True)
class Grounds:
    """What statements on one scenario are tested on.

    Parameters
    ----------
    comparison : Comparison
        With a subject, without trouble; its costs means over the futures, its counts at likely values.
    doubt : Doubt
        Of the same scenario.
    not_sure : frozenset of str
        Questions that the owner was not sure of: "quote", "otherwise".
    """

    comparison: Comparison
    doubt: Doubt
    not_sure: frozenset[str] = frozenset()

    @property
    def scenario(self) -> Scenario:
        """What was stated."""
        return self.comparison.scenario

    @property
    def way(self) -> Way:
        """The way in question."""
        return self.comparison.ways[self.comparison.subject or ""]

    @property
    def base(self) -> Way:
        """What the owner would do otherwise."""
        return self.comparison.ways[self.comparison.base_case]

    @property
    def years(self) -> float:
        """Years kept. [years]"""
        return self.comparison.holding_period

    @property
    def whole_years(self) -> int:
        """Last whole year kept, at least 1. [years]"""
        return whole_years(self.years)

    @property
    def today(self) -> bool:
        """Whether the way in question changes the roof today."""
        return self.way.change_month == 0

    @property
    def dearer(self) -> float:
        """Mean cost of the dearer of the two ways. [money]"""
        return max(self.way.at_holding, self.base.at_holding)

    @property
    def laid(self) -> str:
        """Name of the roof that the way in question lays."""
        return self.comparison.case.alternative(self.way.name).then.name

    @property
    def kept(self) -> str:
        """Name of the standing roof as it is looked after otherwise."""
        return self.comparison.case.base_case.roof.name

    @cached_property
    def own_way(self) -> Way | None:
        """The cheapest way of keeping the roof with hours of the owner; the base case if it has any."""
        if self.base.expected["hours"] > 0.0:
            return self.base
        kept = (way for way in self.comparison.ways.values() if way.keeps_what_stands)
        own = (way for way in kept if way.expected["hours"] > 0.0)
        return min(own, key=lambda way: way.at_holding, default=None)

    @cached_property
    def cheapest_kept(self) -> str:
        """Name of the way of keeping the roof that is cheapest on average; the base case if there is none."""
        weights = self.doubt.futures.weights
        kept = [name for name, way in self.comparison.ways.items() if way.keeps_what_stands]
        return min(kept, key=lambda name: float(weights @ self.doubt.cost(name)), default=self.base.name)

    @cached_property
    def quote(self) -> Quote | None:
        """The quote that the price of the way in question is added up from; None if it is a plain number."""
        figure = self.figure(self.stated.quote)
        section, _, rest = (figure.path if figure else "").partition(".")
        return self.scenario.quotes.get(rest.partition(".")[0]) if section == "quotes" else None

    @property
    def stated(self) -> StatedAlternative:
        """The way in question, as stated."""
        return self.scenario.alternative(self.way.name)

    def figure(self, stated: Stated | None) -> Figure | None:
        """Return the input of a stated number; None if it is none."""
        if stated is None or isinstance(stated, float):
            return None
        return self.scenario.inputs[stated.path]

    def jobs(self, way: Way) -> tuple[Visit, ...]:
        """Return the jobs planned from today to the sale, one entry for each time."""
        case = self.comparison.case
        months = math.ceil(12.0 * self.years) - 1
        resolved, planned = case.alternative(way.name), way.change_month
        until = months if planned is None else min(planned - 1, months)
        done: list[tuple[Visit, ...]] = []
        if until >= 0:
            done += due_visits(resolved.roof, until, standing=case.existing, planned=planned)
        if planned is not None and planned <= months:
            done += due_visits(resolved.then, months - planned)
        return tuple(visit for day in done for visit in day)

    @cached_property
    def waiting(self) -> Waiting | None:
        """What it costs to wait a year; None if there is no such year, or nothing is done today."""
        if not self.today or self.years <= 1.0:
            return None
        case = in_draws(self.scenario, self.doubt.futures)
        now = replace(case.alternative(self.way.name), name="now")
        later = {
            f"later, {name}": replace(now, name=f"later, {name}", roof=roof, change_month=MONTHS)
            for name, roof in waiting_roofs(case).items()
        }
        weights = self.doubt.futures.weights
        asked = replace(case.kept(self.years), alternatives=(now, *later.values()), loan=None)
        found = Evaluator().costs(asked, weights.size)
        cost = {name: one.at_holding for name, one in found.items()}
        best = min(later, key=lambda name: float(weights @ cost[name]))
        more = float(weights @ (cost[best] - cost["now"]))
        return Waiting(
            more,
            -more / float(weights @ found[best].first_change),
            chance_cheaper(cost["now"], cost[best], weights),
        )


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
    if not grounds.doubt.any_doubt:
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
    found = _waiting(grounds)
    if isinstance(found, Ruling):
        return found
    figures = {
        "money": Named(found.more, "money"),
        "difference": Named(found.more, "difference"),
        "of_20": Named(found.now_cheaper, "of 20"),
    }
    same = about_the_same(found.more, grounds.dearer)
    if not grounds.doubt.any_doubt:
        costs = found.more > 0.0 and not same
        return Ruling(PARTLY if costs else DOES_NOT_FIT, figures, sentence=NO_DOUBT)
    never = grounds.doubt.chance_cheaper(grounds.way.name, grounds.cheapest_kept)
    if by_share(found.now_cheaper) != DOES_NOT_FIT and by_share(never) == DOES_NOT_FIT:
        return Ruling(DOES_NOT_FIT, {**figures, "never": Named(never, "of 20")}, sentence="never")
    judgement = by_share(found.now_cheaper)
    return Ruling(at_most_limited(judgement) if same else judgement, figures, sentence="same" if same else "")


def _waiting(grounds: Grounds) -> Waiting | Ruling:
    """Return what waiting costs; or that nothing can be said of it, and why."""
    if "quote" not in grounds.not_sure and grounds.waiting is not None:
        return grounds.waiting
    why = "sold_within_the_year" if grounds.today else "not_today"
    why = "quote" if "quote" in grounds.not_sure else why
    return Ruling(CANNOT, {"years": Named(grounds.years, "years")}, why)


def today_only(grounds: Grounds) -> Ruling:
    """Tell what a month of waiting costs; that one day matters no figures support."""
    found = _waiting(grounds)
    if isinstance(found, Ruling):
        return found
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
    paid, cost = max(0.0, -way.by_category["warranty"]), _of_the_new_roof(grounds)
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


def _of_the_new_roof(grounds: Grounds) -> float:
    """Return what leaks and new roofs cost besides the planned change. [money]"""
    way, planned = grounds.way, 0.0
    if way.change_month is not None:
        planned = grounds.doubt.price_of_first_change(way.name)
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


def no_reseal(grounds: Grounds) -> Ruling:
    """Tell how often the new roof is resealed by its plan; that it never is no figures support."""
    after, otherwise = (grounds.jobs(way) for way in (grounds.way, grounds.base))
    reseals = [job for job in after if np.any(job.restores)]
    figures = {
        "years": Named(grounds.years, "years"),
        "after": Named(len(reseals), "number"),
        "otherwise": Named(sum(bool(np.any(job.restores)) for job in otherwise), "number"),
        "others": Named(len(after) - len(reseals), "number"),
    }
    case = grounds.comparison.case
    then = case.alternative(grounds.way.name).then
    if any(np.any(job.restores) for job in then.visits_when_new):
        return Ruling(DOES_NOT_FIT, figures)
    born = new_roof(then, case).course.born[JOINT, : MONTHS * grounds.whole_years + 1]
    figures["joints"] = Named(float(-np.expm1(-born.sum())), "coaches")
    return Ruling(DOES_NOT_FIT, figures, sentence="none_planned" if grounds.today else "later")


def no_upkeep(grounds: Grounds) -> Ruling:
    """Tell how many jobs are planned; that none is ever needed no figures support."""
    way = grounds.way
    gone = float(-np.expm1(-way.expected["severe finds"]))
    jobs = len(grounds.jobs(way))
    figures = {
        "years": Named(grounds.years, "years"),
        "jobs": Named(jobs, "number"),
        "money": Named(way.by_category["upkeep"] + way.by_category["hours"], "money"),
        "gone": Named(gone, "coaches"),
    }
    return Ruling(DOES_NOT_FIT, figures, sentence="" if jobs else "none_planned")


def no_leaks(grounds: Grounds) -> Ruling:
    """Tell how seldom the new roof leaks; that it never does no figures support."""
    chance = chance_of_leak(grounds.comparison, grounds.way.name)
    figures = {
        "years": Named(grounds.whole_years, "years"),
        "leaks": Named(chance, "of 20"),
        "none": Named(1.0 - chance, "of 20"),
        "way": Named(grounds.way.expected["leaks"], "number"),
        "otherwise": Named(grounds.base.expected["leaks"], "number"),
    }
    return Ruling(DOES_NOT_FIT, figures)


def lasts_as_coach(grounds: Grounds) -> Ruling:
    """Tell how long the new roof lasts; that it is for a lifetime no figures support."""
    renewed = grounds.way.chance_renewed
    to_sale, to_end = (1.0 - float(renewed[year]) for year in (grounds.whole_years, -1))
    figures = {
        "years": Named(grounds.whole_years, "years"),
        "shown": Named(grounds.comparison.study_period, "years"),
        "to_sale": Named(to_sale, "of 20"),
        "to_end": Named(to_end, "of 20"),
        "renewed": Named(1.0 - to_sale, "of 20"),
    }
    return Ruling(DOES_NOT_FIT, figures)


def cooler(grounds: Grounds) -> Ruling:
    """Judge that a white roof saves on cooling."""
    scenario = grounds.scenario
    found = cooling_of(scenario)
    inputs = {"inputs": Named(len(scenario.inputs), "number")}
    if not COVERINGS[scenario.roofs[grounds.laid].covering].sprayed:
        return Ruling(CANNOT, inputs, "surface")
    if found is None:
        return Ruling(CANNOT, inputs, "sun")
    rate, years = float(grounds.comparison.case.terms.discount_rate), grounds.whole_years
    total = found.money / float(annual_value(1.0, discount_rate=rate, years=years))
    figures = {
        "warmer": Named(found.warmer, "warmer"),
        "money": Named(found.money, "money"),
        "total": Named(total, "money"),
        "years": Named(years, "years"),
    }
    return Ruling(by_amount(total, grounds.dearer), figures)


def quieter(grounds: Grounds) -> Ruling:
    """Judge that it makes the coach quieter: nothing here is about noise."""
    return Ruling(CANNOT, {"inputs": Named(len(grounds.scenario.inputs), "number")}, "noise")


def membrane_life(grounds: Grounds) -> Ruling:
    """Judge the life that makers of membranes state."""
    stated = data("claims.toml")["stated_life"]
    low, high = int(stated["low"]), int(stated["high"])
    figures = {"low": Named(low, "years"), "high": Named(high, "years")}
    if grounds.scenario.roofs[grounds.kept].covering != stated["covering"]:
        return Ruling(CANNOT, figures, "no_membrane")
    if grounds.comparison.study_period < high:
        return Ruling(CANNOT, figures, "years_shown")
    case = grounds.comparison.case
    spell = new_roof(case.base_case.roof, case)
    before, until = (float(renewed_by(spell, age)[0]) for age in (low, high))
    shares = {"before": before, "within": until - before, "after": 1.0 - until}
    figures |= {name: Named(one, "part of 20") for name, one in shares.items()}
    return Ruling(by_share(until - before), figures)


def price_holds(grounds: Grounds) -> Ruling:
    """Judge that the price holds, whatever is found."""
    found, quote = opening(grounds.comparison.case), grounds.quote
    figures = {
        "wet": Named(found.wet, "coaches"),
        "gone": Named(found.rotten, "coaches"),
        "mean": Named(found.mean, "money"),
    }
    if not grounds.today:
        return Ruling(CANNOT, {**figures, "years": Named(grounds.years, "years")}, "not_today")
    if quote is None or quote.cap is None:
        return Ruling(DOES_NOT_FIT, figures)
    price, leaks = added_up(quote).bill, grounds.comparison.case.leaks
    figures |= {"cap": Named(quote.cap, "sum"), "price": Named(price, "sum")}
    beside = sum(extra.expected for extra in quote.extras if extra.parts)
    if beside > A_CENT:
        figures["beside"] = Named(beside, "money")
        return Ruling(DOES_NOT_FIT, figures, sentence="not_whole")
    if not caps(quote, float(leaks.patch_cost + leaks.rot_cost)):
        return Ruling(DOES_NOT_FIT, figures, sentence="far")
    return Ruling(PARTLY if quote.cap > price + A_CENT else FITS, figures)


def _trouble(comparison: Comparison) -> dict[str, Named]:
    """Return what is reported, and what a leak costs that is found soon and late."""
    leaks, trouble = comparison.case.leaks, comparison.trouble
    return {
        "signs": Named(len(trouble), "signs"),
        "names": Named(", ".join(trouble), "text"),
        "soon": Named(float(leaks.patch_cost), "money"),
        "late": Named(float(leaks.severe_after), "years"),
        "money": Named(late_damage(leaks), "money"),
    }


MONEY_AND_ROOFS: Mapping[str, Callable[..., Ruling]] = {
    judge.__name__: judge
    for judge in (
        *(pays_back, waiting, today_only, free_labour, insurance, warranty, resale, no_reseal),
        *(no_upkeep, no_leaks, lasts_as_coach, cooler, quieter, membrane_life, price_holds),
    )
}
"""Test of each statement; of one that is judged for years of sale (`at`), it takes a year too."""

TROUBLE = {"open_first": (FITS, ""), "spray_over": (DOES_NOT_FIT, ""), "just_a_stain": (CANNOT, "opened")}
"""Judgement on each statement about trouble, and what is missing: nobody knows before it is open."""


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
    """Judge every statement on a scenario, in the order of the data.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    doubt : Doubt or None
        Of the same scenario, to the later of ten years and the years kept (or of the years shown); None
        with trouble reported.
    not_sure : collection of str
        Questions that the owner was not sure of: "quote", "otherwise".
    """
    entries = data("claims.toml")
    for table, tests in (("claims", MONEY_AND_ROOFS), ("trouble", TROUBLE)):
        if half := sorted({entry["key"] for entry in entries[table]} ^ set(tests)):
            raise Half(f"{half} stands either in data/claims.toml or in studies/claims.py: it must in both")
    if comparison.trouble:
        figures = _trouble(comparison)
        rulings = {key: Ruling(judgement, figures, why) for key, (judgement, why) in TROUBLE.items()}
        return tuple(_claim(entry, rulings[entry["key"]], comparison, None) for entry in entries["trouble"])
    if comparison.subject is None or doubt is None:
        raise ValueError("statements are judged on two ways at least, and under doubt")
    means = replace(averaged(comparison, doubt), study_period=comparison.study_period)
    return tuple(_all(entries["claims"], Grounds(means, doubt, frozenset(not_sure))))


def _all(entries: list[dict[str, Any]], grounds: Grounds) -> Iterator[Claim]:
    """Go through the statements; one that names years is judged for each of them too."""
    comparison = grounds.comparison
    for entry in entries:
        yield _claim(entry, MONEY_AND_ROOFS[entry["key"]](grounds), comparison, grounds)
        for year in entry.get("at", ()):
            if year <= comparison.study_period and year != comparison.holding_period:
                ruling = MONEY_AND_ROOFS[entry["key"]](grounds, year)
                yield _claim(entry, ruling, comparison, grounds, year)


def _claim(
    entry: Mapping[str, Any],
    ruling: Ruling,
    comparison: Comparison,
    grounds: Grounds | None,
    year: int | None = None,
) -> Claim:
    """Put one statement together."""
    every = (figure.path for role in entry["rests_on"] for figure in _in_role(role, comparison, grounds))
    by_path = {**_cooling(comparison.scenario), **comparison.scenario.inputs}
    rests_on = tuple(by_path[path] for path in dict.fromkeys(every))
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
    if role == "own":
        own = grounds.own_way
        return None if own is None else grounds.scenario.roofs[grounds.scenario.alternative(own.name).roof]
    return grounds.scenario.roofs[{"then": grounds.laid, "base": grounds.kept}[role]]


def _figures(scenario: Scenario, stated: list[Stated | None]) -> Iterator[Figure]:
    """Go through the inputs of stated numbers, and what multiplies them."""
    for one in stated:
        if one is not None and not isinstance(one, float):
            yield from (scenario.inputs[path] for path in (one.path, *one.ratios))


def _cooling(scenario: Scenario) -> dict[str, Figure]:
    """Return the figures of cooling, by path; none without a climate."""
    climate = scenario.climate
    return {} if climate is None else {figure.path: figure for figure in climate.cooling.values()}
