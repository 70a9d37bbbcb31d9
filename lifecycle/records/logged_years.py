"""The logged years as the model sees them: which roof stood, what was done on it, what was found.

Lecture
-------
A new roof in the log ends one *stretch* of time and begins the next: on each stretch one roof stands, the
jobs are those that were really done, in the months in which they were done. For every future (draw of
the inputs) the model says how many leaks signs and jobs should have *found* on it, mean mu, given that it
stands. The log says how many were found, k. So a future has seen the log with the likelihood ::

    product over stretches of P(stands to its end) * mu^k exp(-mu) / k!

as the history of the roof before the base date has (`evaluation.past`), and futures are weighed by it.

The same in closed form, for the whole of the logged time: if the doubt makes mu a gamma variable with
mean m and variance v, its shape is ``a = m^2 / v`` and its rate ``b = m / v``; with k found they become
``a + k`` and ``b + 1``. So leaks come ``((a + k) / (b + 1)) / m`` times as often as was expected, and the
number found is negative binomial::

    P(none) = (b / (b + 1)) ^ a        P(j) = P(j - 1) * (a + j - 1) / (j (b + 1))

Without doubt v = 0: nothing is learnt, and the number is Poisson.

A roof is taken to stand until the log says that it was renewed, whatever the reason was; and, as for the
roof that stands at the base date, not to be badly done.

Left out: when within a stretch leaks were found; leaks that stripping uncovered.
Source: gamma-Poisson conjugacy, textbook.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.expectation import standing_roof
from lifecycle.evaluation.past import today as state_at_base_date
from lifecycle.evaluation.spell import Spell, run_spell
from lifecycle.evaluation.timeline import Start
from lifecycle.quantities import Array
from lifecycle.records.logbook import RENEWAL, SALE, Entry, Log, leaks_in
from lifecycle.roofs import Alternative, Case, Roof, Visit, draws_of, take
from lifecycle.studies.futures import Futures, NoFuture

_DRAWS_AT_A_TIME = 512


@dataclass(frozen=True)
class Stretch:
    """Time in which one roof stood.

    Parameters
    ----------
    entries : tuple of Entry
        What was done and found, in order; without the renewals.
    first, last : int
        Months in which it begins and ends. [months]
    renewed : bool
        Whether it begins with a new roof.
    """

    entries: tuple[Entry, ...]
    first: int
    last: int
    renewed: bool

    @property
    def leaks(self) -> int:
        """Leaks found."""
        return leaks_in(self.entries)


def stretches(log: Log) -> tuple[Stretch, ...]:
    """Return the stretches of a log, in order."""
    parts: list[list[Entry]] = [[]]
    firsts = [0]
    for entry in log.entries:
        if entry.kind == RENEWAL:
            parts.append([])
            firsts.append(log.month(entry.day))
        elif entry.kind != SALE:
            parts[-1].append(entry)
    lasts = [*firsts[1:], log.months]
    return tuple(
        Stretch(tuple(part), first, last, place > 0)
        for place, (part, first, last) in enumerate(zip(parts, firsts, lasts, strict=True))
    )


@dataclass(frozen=True)
class Seen:
    """What the log says to each future.

    Parameters
    ----------
    found : ndarray, shape (draws,)
        Leaks that should have been found in the logged time on roofs that stand. [leaks]
    log_likelihood : ndarray, shape (draws,)
        Logarithm of the probability of what the log says. [-]
    """

    found: Array
    log_likelihood: Array


def seen(case: Case, log: Log, draws: int) -> Seen:
    """Hold a log against every future of a case, whose numbers have the shape () or (draws,)."""
    parts = [_seen(some, log, size) for some, size in _rounds(case, draws)]
    return Seen(*(np.concatenate(part) for part in zip(*parts, strict=True)))


def _rounds(case: Case, draws: int) -> Iterator[tuple[Case, int]]:
    """Go through a case some draws at a time."""
    if draws_of(case) is None:
        yield case, draws
        return
    for start in range(0, draws, _DRAWS_AT_A_TIME):
        some = slice(start, min(start + _DRAWS_AT_A_TIME, draws))
        yield take(case, some), some.stop - some.start


def _seen(case: Case, log: Log, draws: int) -> tuple[Array, Array]:
    """Return the number to be found, and the log likelihood, of a few draws."""
    way = case.alternative(log.way)
    total, likelihood = np.zeros(draws), np.zeros(draws)
    for stretch in stretches(log):
        spell = _spell_of(case, way, log, stretch, draws)
        found = spell.found
        total += found
        with np.errstate(divide="ignore"):
            likelihood += np.log(spell.standing.at_sale[-1]) + poisson_log(stretch.leaks, found)
    return total, likelihood


def _spell_of(case: Case, way: Alternative, log: Log, stretch: Stretch, draws: int) -> Spell:
    """Run the roof of a stretch under the jobs that were really done."""
    months = stretch.last - stretch.first
    jobs = jobs_by_name(case, way.then if stretch.renewed else way.roof)
    due: list[list[Visit]] = [[] for _ in range(months + 1)]
    for entry in stretch.entries:
        if entry.kind in jobs:
            due[log.month(entry.day) - stretch.first].append(jobs[entry.kind])
    done = tuple(tuple(day) for day in due)
    if stretch.renewed:
        return _laid_anew(way.then, case, months, draws, done)
    return _standing(way, case, months, draws, done)


def _laid_anew(
    roof: Roof, case: Case, months: int, draws: int, due: tuple[tuple[Visit, ...], ...] | None = None
) -> Spell:
    """Run a new roof, well done."""
    well_done = replace(roof, defect_share=0.0)
    return run_spell(well_done, case.leaks, start=Start(), months=months, draws=draws, due=due)


def _standing(
    way: Alternative,
    case: Case,
    months: int,
    draws: int,
    due: tuple[tuple[Visit, ...], ...] | None = None,
    planned: int | None = None,
) -> Spell:
    """Run the roof that stands at the base date under a way, from that date."""
    state = state_at_base_date(case.existing, case.leaks, draws)
    return standing_roof(way, case, state, draws, months=months, planned=planned, due=due)


def jobs_by_name(case: Case, roof: Roof) -> dict[str, Visit]:
    """Return every job of a case by its name; where roofs differ, that of this roof."""
    roofs = [
        case.existing.roof,
        *(other for way in case.alternatives for other in (way.then, way.roof)),
        roof,
    ]
    return {visit.name: visit for other in roofs for visit in other.all_visits}


def poisson_log(number: int, mean: Array) -> Array:
    """Logarithm of the Poisson probability of a number.

    Examples
    --------
    >>> [round(float(p), 4) for p in np.exp(poisson_log(1, np.array([0.5, 2.0])))]
    [0.3033, 0.2707]
    """
    with np.errstate(divide="ignore"):
        logs = number * np.log(mean) if number else np.zeros_like(mean)
    return np.asarray(logs - mean - math.lgamma(number + 1.0))


def found_as_planned(case: Case, name: str, months: int, draws: int) -> Array:
    """Leaks that should be found if a way goes as planned, its roofs standing, shape (draws,). [leaks]

    From the base date on, over so many months.
    """
    parts = []
    for some, size in _rounds(case, draws):
        way = some.alternative(name)
        change = way.change_month if way.change_month is not None else months + 1
        found = np.zeros(size)
        if change > 0:
            found += _standing(way, some, min(months, change), size, planned=way.change_month).found
        if change <= months:
            found += _laid_anew(way.then, some, months - change, size).found
        parts.append(found)
    return np.concatenate(parts)


@dataclass(frozen=True)
class Rate:
    """How often leaks are found in the logged time: a gamma variable before and after the log.

    Parameters
    ----------
    mean, variance : float
        Of the expected number found, over the futures. [leaks]
    leaks : int
        Found.
    """

    mean: float
    variance: float
    leaks: int

    @property
    def doubted(self) -> bool:
        """Whether the futures differ at all."""
        return self.variance > 1e-9 * self.mean**2

    @property
    def shape(self) -> float:
        """Shape before the log; infinite without doubt. [-]"""
        return self.mean**2 / self.variance if self.doubted else math.inf

    @property
    def rate(self) -> float:
        """Rate before the log; infinite without doubt. [1/leaks]"""
        return self.mean / self.variance if self.doubted else math.inf

    @property
    def after(self) -> float:
        """Expected number in as long a time, after the log. [leaks]"""
        if math.isinf(self.rate):
            return self.mean
        return (self.shape + self.leaks) / (self.rate + 1.0)

    @property
    def times(self) -> float:
        """How many times as often as was expected leaks come, after the log; 1 if none can. [-]"""
        return self.after / self.mean if self.mean > 0.0 else 1.0

    def chance(self, number: int) -> float:
        """Chance of so many leaks, before the log.

        Examples
        --------
        >>> round(Rate(0.5, 0.25, 0).chance(0), 4), round(Rate(0.5, 0.0, 0).chance(0), 4)
        (0.6667, 0.6065)
        """
        if self.mean <= 0.0:
            return float(number == 0)
        if math.isinf(self.rate):
            return float(np.exp(poisson_log(number, np.array(self.mean))))
        a, b = self.shape, self.rate
        log = math.lgamma(a + number) - math.lgamma(a) - math.lgamma(number + 1.0)
        return math.exp(log + a * math.log(b / (b + 1.0)) - number * math.log(b + 1.0))

    def chance_of_as_many(self) -> float:
        """Chance of as many leaks as were found or more; of none if none was found. [-]"""
        if self.leaks == 0:
            return self.chance(0)
        return max(0.0, 1.0 - sum(self.chance(number) for number in range(self.leaks)))


def rate_of(found: Array, weights: Array, leaks: int) -> Rate:
    """Return the gamma variable that has mean and variance of the leaks found in weighed futures.

    Examples
    --------
    >>> rate = rate_of(np.array([0.0, 1.0]), np.array([0.5, 0.5]), 1)
    >>> rate.shape, rate.rate, rate.after
    (1.0, 2.0, 0.6666666666666666)
    """
    mean = float(weights @ found)
    return Rate(mean, float(weights @ (found - mean) ** 2), leaks)


def weighed(drawn: Futures, log_likelihood: Array) -> Futures:
    """Return futures weighed by the log likelihood of what the log says, shape (draws,).

    Raises `NoFuture` if no future can explain the log.
    """
    highest = float(np.max(np.where(drawn.weights > 0.0, log_likelihood, -np.inf)))
    if not np.isfinite(highest):
        raise NoFuture(
            "the log: no draw of the inputs can explain it; check the number of leaks and the dates, or "
            "widen the ranges of life and leaks"
        )
    weight = drawn.weights * np.exp(np.minimum(log_likelihood - highest, 0.0))
    return replace(drawn, weights=weight / weight.sum())
