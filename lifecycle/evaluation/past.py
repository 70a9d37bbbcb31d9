"""Today, from the past upkeep: what the standing roof hides, and how far it has aged.

Lecture
-------
The past of the standing roof is a spell of its own, from the day it was laid to today, under the
visits that it really had, *given that it stands*. What its cohorts hide today follows from the same
course and the same thinning as in `hiding`, read backwards from today: the share of a cohort that
is left is the product of the thinnings from its own month (or, if it was silent, from the month in
which it became severe) to the signs of today. The visits due today are left to the alternatives.

The last full reseal was `seal_age` months ago, others at each interval before that and none since;
all other visits ran from installation. Hidden leaks that are given as a list are taken as listed.

A look today that found nothing thins all but the leaks that are still silent.

Source: derived from the model; a backward product, so that nothing is divided.

*How likely this past is*. The existing roof stands today, and perhaps it is known how many leaks were
found on it. Its past is a spell from new under its past upkeep (`past_spell`). Given the inputs, it stands
today with the mass of that spell; given that it stands, the leaks found on it that forced no renewal are
Poisson with mean mu, the sum over months of what signs and visits find. So the likelihood of the history
is::

    P(stands today) * mu^k exp(-mu) / k!

with the last factor only where the number k is known; where no more is known than that one leak was found
at least (a wet spot was opened), it is 1 - exp(-mu). The roof that stands was not badly done.

The kernel sums both up where it is compiled (`compiled`); `standing_and_found` is the form to read.

Left out: when the leaks were found.
Source: thinned Poisson processes, textbook.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.compiled.calling import recall_compiled, unfit
from lifecycle.evaluation.compiled.library import found
from lifecycle.evaluation.hiding import Cohorts, months_until_severe, sign_chance
from lifecycle.evaluation.spell import Spell, run_spell
from lifecycle.evaluation.timeline import END, JOINT, PUNCTURE, Start, past_visits, timeline
from lifecycle.quantities import Array
from lifecycle.roofs import Case, Existing, Leaks, Number, take


@dataclass(frozen=True)
class Today:
    """The standing roof at the base date.

    Parameters
    ----------
    hidden : Cohorts
        Leaks that nobody has found yet.
    effective_age : Number
        Effective age. [years]
    """

    hidden: Cohorts
    effective_age: Number


def today(existing: Existing, leaks: Leaks, draws: int) -> Today:
    """Return how the existing roof stands at the base date.

    Parameters
    ----------
    existing : Existing
        The roof and its past.
    leaks : Leaks
        Leak figures.
    draws : int
        Number of draws.

    Returns
    -------
    Today
    """
    if existing.hidden_now is None:
        state = _from_upkeep(existing, leaks, draws)
    else:
        age: Number = np.asarray(existing.roof.ageing) * existing.age / 12.0
        state = Today(_listed(existing, leaks, draws), age)
    if existing.effective_age is not None:
        state = Today(state.hidden, existing.effective_age)
    return Today(_looked_at(state.hidden, existing.inspected_today), state.effective_age)


def past_spell(existing: Existing, leaks: Leaks, draws: int) -> Spell:
    """Return the past of the existing roof as a spell that ends today.

    Its last month is today; its visits today are none.

    Parameters
    ----------
    existing : Existing
        The roof and its past.
    leaks : Leaks
        Leak figures.
    draws : int
        Number of draws.

    Returns
    -------
    Spell
        Of length `existing.age`; month j is age j.
    """
    return run_spell(
        existing.roof, leaks, start=Start(), months=existing.age, draws=draws, due=past_visits(existing)
    )


def _from_upkeep(existing: Existing, leaks: Leaks, draws: int) -> Today:
    """Run the past and keep its cohorts."""
    age = existing.age
    course = timeline(existing.roof, Start(), past_visits(existing), draws)
    unseen = 1.0 - np.asarray(sign_chance(leaks))
    on_day = dict(zip(course.days.tolist(), course.misses, strict=True))
    left = np.ones((age + 2, draws))  # left[m]: share of a leak open from month m on
    for month in range(age, 0, -1):
        left[month] = left[month + 1] * unseen * on_day.get(month, 1.0)
    share = np.broadcast_to(np.asarray(leaks.silent_share), (draws,))
    until_severe = np.broadcast_to(months_until_severe(leaks), (draws,))
    months = np.arange(1, age + 1)
    turned = months[:, None] + until_severe  # month in which a silent cohort becomes severe
    still_silent = turned > age
    left_of_silent = np.take_along_axis(left, np.minimum(turned, age + 1), axis=0)
    born = course.born[:, 1:]
    silent_born = born * share
    silent_born[END] = 0.0
    open_today = (born - silent_born) * left[1:-1] + silent_born * left_of_silent * ~still_silent
    cohorts = Cohorts((age - months + 0.5).astype(float), open_today, silent_born * still_silent)
    return Today(cohorts, course.effective_age[-1])


def _listed(existing: Existing, leaks: Leaks, draws: int) -> Cohorts:
    """Return the listed hidden leaks as cohorts."""
    listed = existing.hidden_now or ()
    ages = np.array([entry.age for entry in listed], dtype=float)
    number = np.zeros((4, len(listed), draws))
    silent = np.zeros_like(number)
    for place, entry in enumerate(listed):
        number[JOINT, place] = entry.joint
        number[PUNCTURE, place] = entry.puncture
        not_severe = months_until_severe(leaks, entry.age) > 0
        silent[:, place] = number[:, place] * leaks.silent_share * not_severe
    return Cohorts(ages, number - silent, silent)


def _looked_at(hidden: Cohorts, found: Number) -> Cohorts:
    """Thin what a look today would have found."""
    return Cohorts(hidden.ages, hidden.open * (1.0 - np.asarray(found)), hidden.silent)


_DRAWS_AT_A_TIME = 512

_NONE_FOUND = 1e-12
"""So small an expected number is what rounding leaves where every find forces a renewal. [leaks]"""


def log_likelihood(case: Case, draws: int) -> Array:
    """Logarithm of the probability of the existing roof's history.

    Parameters
    ----------
    case : Case
        Numbers of shape () or (draws,).
    draws : int
        Number of draws.

    Returns
    -------
    ndarray, shape (draws,)
        Minus infinity where the history is impossible. [-]
    """
    existing, leaks = case.existing, case.leaks
    if existing.age == 0:
        return np.zeros(draws)
    kernel, _ = found()
    if kernel is not None and unfit(case) is None:
        likelihood, number = recall_compiled(case, draws, kernel)
    else:
        likelihood, number = standing_and_found(existing, leaks, draws)
    number = np.where(number > _NONE_FOUND, number, 0.0)
    with np.errstate(divide="ignore"):
        if (known := existing.leaks_found) is not None:
            likelihood = likelihood - number + (known * np.log(number) if known else 0.0)
        elif existing.found_at_least:
            likelihood = likelihood + np.log(-np.expm1(-number))
    return likelihood


def standing_and_found(existing: Existing, leaks: Leaks, draws: int) -> tuple[Array, Array]:
    """Logarithm of the chance that the existing roof stands today, and mean number of leaks found on it.

    Parameters
    ----------
    existing : Existing
        The roof and its past.
    leaks : Leaks
        Leak figures.
    draws : int
        Number of draws.

    Returns
    -------
    tuple of ndarray, each of shape (draws,)
        The logarithm, summed up as such, for the chance itself may be too small for a number [-];
        leaks found so far by a roof that stands [leaks].
    """
    well_done = replace(existing, roof=replace(existing.roof, defect_share=0.0))
    parts = []
    for start in range(0, draws, _DRAWS_AT_A_TIME):
        some = slice(start, min(start + _DRAWS_AT_A_TIME, draws))
        own, figures = take((well_done, leaks), some)
        parts.append(_some(own, figures, some.stop - some.start))
    log_stands, number = np.concatenate(parts, axis=1)
    return log_stands, number


def _some(existing: Existing, leaks: Leaks, draws: int) -> Array:
    """Return both for a few draws, shape (2, draws)."""
    past = past_spell(existing, leaks, draws)
    in_time = (1.0 - np.asarray(existing.roof.ends_by_leak)) * past.course.hazard.sum(axis=0)
    forced = past.by_signs.forcing.sum(axis=0) + past.by_visits.forcing.sum(axis=0)
    return np.array([-(in_time + forced), past.found])
