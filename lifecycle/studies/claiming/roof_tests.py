"""Statements about roofs, each with its test: upkeep, leaks, life, heat, noise, wood, trouble.

Lecture
-------
What happens to one coach is luck; every figure stands at its likely value. With N the years kept:

- *never a reseal*, *no upkeep at all*, *never leaks*, *a lifetime*: fit no figures, for a plan without a job
  is no promise. What is said instead: the jobs of the plan, and the share of new roofs whose joints start a
  leak, of coaches whose deck goes, of new roofs that get a new leak in N years, and of coaches with an
  unplanned new roof in N years and in all shown;
- *a membrane's stated life*: the share of membranes, laid anew and looked after as otherwise, that need a
  new roof between the two stated ages;
- *cooler*: what a white roof saves against a dark one over N years, as an amount, discounted;
- *the price holds*: only where the quote's cap is no more than its price; in part where it is less
  above than the dearest leak costs; a higher cap limits nothing, and without one nothing holds, nor where
  something that the job needs stands beside the price.

Left out: doubt about the figures behind the luck.
Source: the model's own; the stated life is common practice (`data/claims.toml`).
"""

from __future__ import annotations

import numpy as np

from lifecycle.deterioration import damage
from lifecycle.economics import annual_value
from lifecycle.evaluation.comparison import Comparison
from lifecycle.evaluation.expectation import new_roof
from lifecycle.evaluation.opening import opening
from lifecycle.evaluation.timeline import JOINT
from lifecycle.files import data
from lifecycle.kinds import COVERINGS
from lifecycle.quote import added_up, caps
from lifecycle.studies.by_place import cooling_of
from lifecycle.studies.case import chance_of_leak
from lifecycle.studies.claiming.grounds import Grounds
from lifecycle.studies.claiming.judging import (
    CANNOT,
    DOES_NOT_FIT,
    FITS,
    PARTLY,
    Ruling,
    by_amount,
    by_share,
)
from lifecycle.studies.named import Named
from lifecycle.studies.one_roof import renewed_by

MONTHS = 12

A_CENT = 0.01
"""Difference of two sums that is none. [money]"""


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
    if grounds.scenario.roofs[grounds.kept].covering != "membrane":
        return Ruling(CANNOT, figures, "no_membrane")
    if grounds.comparison.study_period < high:
        return Ruling(CANNOT, figures, "years_shown")
    case = grounds.comparison.case
    spell = new_roof(case.base_case.roof, case)
    before, until = (float(renewed_by(spell, age)[0]) for age in (low, high))
    shares = {"before": before, "within": until - before, "after": 1.0 - until}
    return Ruling(
        by_share(until - before), {**figures, **{name: Named(one, "of 20") for name, one in shares.items()}}
    )


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
    late = float(
        damage(
            leaks.severe_after, patch_cost=leaks.patch_cost, rot_cost=leaks.rot_cost, rot_time=leaks.rot_time
        )
    )
    signs = f"{len(trouble)} sign{'' if len(trouble) == 1 else 's'}"
    return {
        "signs": Named(signs, "text"),
        "names": Named(", ".join(trouble), "text"),
        "soon": Named(float(leaks.patch_cost), "money"),
        "late": Named(float(leaks.severe_after), "years"),
        "money": Named(late, "money"),
    }


def open_first(comparison: Comparison) -> Ruling:
    """Judge that a roof with trouble has to be opened first."""
    return Ruling(FITS, _trouble(comparison))


def spray_over(comparison: Comparison) -> Ruling:
    """Judge that trouble can be sprayed over."""
    return Ruling(DOES_NOT_FIT, _trouble(comparison))


def just_a_stain(comparison: Comparison) -> Ruling:
    """Judge that trouble is nothing: nobody knows before it is open."""
    return Ruling(CANNOT, _trouble(comparison), "opened")
