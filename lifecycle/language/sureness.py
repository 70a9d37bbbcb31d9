"""From doubt to the verdict: what an assessment adds to a comparison at likely values.

Lecture
-------
The verdict under doubt stands on the median of the net savings, their 10 and 90 % points, and the
chance of being cheaper, all at the likely years kept and for other years of sale. The cheapest way is
the one with the smallest mean over the futures. Somebody who is not sure what they would do otherwise
gets each difference with its chance; somebody without a quote the highest price worth paying, future
by future: the price of a change today less what it is dearer by.

Without any range there is no doubt, and the verdict says that every input stands at one value.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language import advice
from lifecycle.language.finding_out import biggest_number, next_step
from lifecycle.language.verdict import verdict
from lifecycle.language.words import Spread, Sureness, Verdict, best_of_20
from lifecycle.scenario import resolve
from lifecycle.studies.assessment import Assessment

Array = NDArray[np.float64]

FEW = 100.0
"""Effective draws below which it is said that they are few."""


def verdict_under(comparison: Comparison, found: Assessment | None) -> Verdict:
    """Put the verdict on a comparison into words, under doubt where there is any.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    found : Assessment or None
        Its doubt; None where nothing is compared.

    Returns
    -------
    Verdict
    """
    if found is None or not found.any_doubt or comparison.subject is None:
        return verdict(comparison)
    sure = sureness(comparison, found)
    return verdict(comparison, sure, next_step=next_step(comparison, found, dearer=sure.dearer))


def last_year_named(comparison: Comparison) -> int:
    """Return the last year of sale that a verdict on a comparison names. [years]

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    """
    return max(math.ceil(comparison.holding_period), *advice.other_years(comparison), 1)


def sureness(comparison: Comparison, found: Assessment) -> Sureness:
    """Return what doubt adds to a comparison.

    Parameters
    ----------
    comparison : Comparison
        At likely values, with a subject.
    found : Assessment
        Its doubt.

    Returns
    -------
    Sureness
    """
    result, subject, base = found.doubt, comparison.subject or "", comparison.base_case
    savings = result.band(result.net_savings(subject))
    middles = [float(result.band(result.cost(name)).p50) for name in (subject, base)]
    weights = result.futures.weights
    less = float(weights @ (result.cost(subject) - result.cost(found.cheapest)))
    years = advice.other_years(comparison)
    unsure = {asked: advice.not_sure(comparison, asked) for asked in ("otherwise", "quote")}
    return Sureness(
        chance=result.chance_cheaper(subject),
        middle=float(savings.p50),
        low=float(savings.p10),
        high=float(savings.p90),
        mean=float(savings.mean),
        dearer=max(middles),
        if_sold={year: result.chance_cheaper(subject, base, year) for year in years},
        cheapest=found.cheapest,
        cheapest_less=less,
        cheapest_often=best_of_20(found.choosing.chance_cheapest, found.cheapest),
        savings=_savings(comparison, found, years) if unsure["otherwise"] else {},
        prices=_prices(comparison, found, years) if unsure["quote"] else {},
        remarks=tuple(line for line in (biggest_number(found),) if line),
        warnings=tuple(line for line in (few_draws(found),) if line),
    )


def few_draws(found: Assessment) -> str | None:
    """Say that few draws fit the history of the roof; None if there are enough."""
    effective, draws = found.doubt.futures.effective, found.doubt.futures.sample.draws
    if effective >= min(FEW, 0.5 * draws):
        return None
    return (
        f"Mind: the history of this roof fits few futures; of {draws:,} draws only about {effective:.0f} "
        "count. Take more draws, or check its age and the leaks found."
    )


def _others(comparison: Comparison) -> list[str]:
    """Return every way that the subject may be compared with."""
    return [name for name in comparison.ways if name != comparison.subject]


def _savings(
    comparison: Comparison, found: Assessment, years: tuple[int, ...]
) -> dict[tuple[str, int | None], Spread]:
    """Return the net savings of the subject against each other way. [money]"""
    result, subject = found.doubt, comparison.subject or ""
    return {
        (than, year): _spread(
            found,
            _costs(found, than, year) - _costs(found, subject, year),
            result.chance_cheaper(subject, than, year),
        )
        for than in _others(comparison)
        for year in (None, *years)
    }


def _prices(
    comparison: Comparison, found: Assessment, years: tuple[int, ...]
) -> dict[tuple[str, int | None], Spread]:
    """Return the highest price worth paying for a change today against each other way. [money]"""
    subject = comparison.subject or ""
    if comparison.ways[subject].change_month != 0:
        return {}
    values = {
        path: value
        for path, value in found.doubt.futures.sample.values.items()
        if path in found.scenario.inputs
    }
    quote = np.asarray(resolve(found.scenario, values).alternative(subject).quote)
    return {
        (than, year): _spread(found, quote + _costs(found, than, year) - _costs(found, subject, year))
        for than in _others(comparison)
        for year in (None, *years)
    }


def _costs(found: Assessment, name: str, year: int | None) -> Array:
    """Return the cost of a way by future at a year of sale. [money]"""
    return found.doubt.cost(name) if year is None else found.doubt.costs[name][:, year]


def _spread(found: Assessment, values: Array, chance: float | None = None) -> Spread:
    """Sum values over the futures up; the chance is that of being above 0 unless it is given."""
    band = found.doubt.band(values)
    above = float(found.doubt.futures.weights @ (values > 0.0)) if chance is None else chance
    return Spread(float(band.p50), float(band.p10), float(band.p90), above)
