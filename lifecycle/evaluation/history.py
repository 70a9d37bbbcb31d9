"""What the roof has come through so far: how likely its history is under given inputs.

Lecture
-------
The existing roof stands today, and perhaps it is known how many leaks were found on it. Its past is
a spell from new under its past upkeep (`past`). Given the inputs, it stands today with the mass of
that spell; given that it stands, the leaks found on it that forced no renewal are Poisson with mean
mu, the sum over months of what signs and visits find. So the likelihood of the history is::

    P(stands today) * mu^k exp(-mu) / k!

with the last factor only where the number k is known; where no more is known than that one leak was found at
least (a wet spot was opened), it is 1 - exp(-mu). The roof that stands was not badly done.

Left out: when the leaks were found.
Source: thinned Poisson processes, textbook.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.past import past_spell
from lifecycle.roofs import Case, Existing, Leaks, take

Array = NDArray[np.float64]

_DRAWS_AT_A_TIME = 512


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
    if case.existing.age == 0:
        return np.zeros(draws)
    parts = []
    for start in range(0, draws, _DRAWS_AT_A_TIME):
        some = slice(start, min(start + _DRAWS_AT_A_TIME, draws))
        existing, leaks = take((case.existing, case.leaks), some)
        parts.append(_some(existing, leaks, some.stop - some.start))
    return np.concatenate(parts)


def _some(existing: Existing, leaks: Leaks, draws: int) -> Array:
    """Return the log likelihood for a few draws."""
    likelihood, found = standing_and_found(existing, leaks, draws)
    if existing.leaks_found is not None:
        number = existing.leaks_found
        with np.errstate(divide="ignore"):
            likelihood = likelihood - found + (number * np.log(found) if number else 0.0)
    elif existing.found_at_least:
        with np.errstate(divide="ignore"):
            likelihood = likelihood + np.log(-np.expm1(-found))
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
    past = past_spell(well_done, leaks, draws)
    found = sum((step.number - step.forcing).sum(axis=0) for step in (past.by_signs, past.by_visits))
    in_time = (1.0 - np.asarray(existing.roof.ends_by_leak)) * past.course.hazard.sum(axis=0)
    forced = past.by_signs.forcing.sum(axis=0) + past.by_visits.forcing.sum(axis=0)
    return np.asarray(-(in_time + forced)), np.asarray(found)
