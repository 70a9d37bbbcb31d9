"""How often joints leak: looks between two redoings of the joints, and a fit of leaks counted at them.

Lecture
-------
An *epoch* is one roof from the month in which its joints were last redone (or in which it was laid, if
that is later or they never were) to the next redoing. A look in the very month of a redoing belongs to
the epoch before: it saw what the redoing then covered.

The *window* of an epoch is where every leak that came to light would be in the records. It opens at seal
age 0 if the coach was looked at before the epoch began, else at its first routine look; it closes when the
next epoch begins if there is a later routine look, else at the last routine look. In that look's month no
complaint can be in the records, for it would have made the look one. Where nothing says why anybody
looked, every look counts as routine.

Looks outside stay, because they thin what is hidden; what they found is not counted.

*How often joints leak, from leaks counted at looks since the joints were last redone.*

Joints start ``m1 s ^ k`` leaks up to the seal age s (a power-law process). A leak is hidden until signs
inside bring the coach in, at the rate r a year, or until a look finds it, each with the chance p. With H
the expected number hidden and q = 1 - exp(-r / 12), month by month, as in the model::

    H grows by m1 ((s + 1/12)^k - s^k)
    signs find Poisson(H q): the coach comes in with a complaint     H falls to H (1 - q)
    a look finds Poisson(H p) of the rest                            H falls to H (1 - p)

All these numbers are independent (thinned Poisson), so the likelihood is a product: months without a
complaint, months with one, what looks found, and what they did not. It is that which tells a leak rate
from the chance of seeing a leak: *finds, signs and leak rate need looks that found nothing.*

An *epoch* is one roof from one redoing of its joints to the next. Its window runs from its first to its
last routine look: a coach that came in because it leaked is there because of the leak, and how long a
coach would have come in after its last routine look nobody knows. Leaks that started before the window
count as hidden ones, thinned by signs.

Without the reason of the looks nothing tells finds from signs. Then all that is there is taken to be found
at each look: the leaks of the span between two looks are Poisson, and the answer holds *among coaches
brought in*.

With fewer than `FEWEST` complaints r, and with fewer than `FEWEST` leaks at routine looks p, stays at the
tool's own figure.

*Test of fit.* Leaks counted and expected in bands of seal age; Pearson's sum has about a chi-squared
distribution.

*Exact times.* Of a process watched from 0 to T with n leaks at t_i: ``k = n / sum ln(T / t_i)``,
``m1 = n / T ^ k``.

Assumed: all leaks are at joints; a reseal lays open what was hidden; coaches are alike. Left out: silent
leaks, which are found late, if at all before the deck is gone: the rate is that of leaks that can be
found.

Source
------
Power-law process: MIL-HDBK-189 (1981). Delay time between start and find of a defect: Christer; from
memory. Likelihood: derived.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError
from lifecycle.records.columns import MISSING
from lifecycle.records.estimate import (
    FEWEST,
    NINE_IN_TEN,
    Estimate,
    Prior,
    from_working,
    maximum,
    too_few,
)
from lifecycle.records.looks import COMPLAINT, END, ROUTINE, Looks
from lifecycle.records.tables import Account, Count, drop

Whole = NDArray[np.int64]


Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Epochs:
    """Epochs and the looks in them.

    Parameters
    ----------
    opens, closes : ndarray of int, shape (epochs,)
        Seal age after which the window opens, and the last in it. [months]
    watched : ndarray of int, shape (epochs,)
        Last seal age at which a complaint would be in the records. [months]
    epoch, age, leaks : ndarray of int, shape (looks,)
        Epoch of each look, seal age then, leaks found. [-, months, leaks]
    complaint, counted : ndarray of bool, shape (looks,)
        Whether the coach came in with a complaint; whether the look lies in the window.
    has_reason : bool
        Whether the records say why anybody looked.
    account : Account
        From rows to looks that count.
    covered : str
        First and last month.
    """

    opens: Whole
    closes: Whole
    watched: Whole
    epoch: Whole
    age: Whole
    leaks: Whole
    complaint: Flags
    counted: Flags
    has_reason: bool
    account: Account = ()
    covered: str = ""

    @property
    def found(self) -> int:
        """Leaks that count."""
        return int(self.leaks[self.counted].sum())

    @property
    def found_nothing(self) -> int:
        """Looks that count and found nothing."""
        return int(np.sum(self.counted & (self.leaks == 0)))

    @property
    def by_complaint(self) -> int:
        """Complaints that count and had a leak."""
        return int(np.sum(self.counted & self.complaint & (self.leaks > 0)))

    @property
    def by_routine(self) -> int:
        """Leaks that routine looks found."""
        return int(self.leaks[self.counted & ~self.complaint].sum())

    @property
    def years(self) -> float:
        """Years in the windows. [years]"""
        return float(np.sum(self.closes - self.opens)) / 12.0


def epochs_of(looks: Looks) -> Epochs:
    """Put looks into epochs.

    Parameters
    ----------
    looks : Looks
        Cleaned; in the order of coach and month.

    Returns
    -------
    Epochs

    Raises
    ------
    ScenarioError
        If no look counts.
    """
    coach, month = looks.coach, looks.month
    reason = np.full(coach.shape, ROUTINE) if looks.reason is None else looks.reason
    start = _start(looks)
    known = (start != MISSING) & (looks.seen != END)
    epoch = _numbered(coach, start)
    routine = known & (reason == ROUTINE)
    first, last = _ends(epoch, np.where(routine, month, MISSING))
    begins = np.zeros(first.shape, dtype=np.int64)
    begins[epoch] = start
    of = np.zeros(first.shape, dtype=np.int64)
    of[epoch] = coach
    same_before = np.concatenate([[False], of[1:] == of[:-1]])
    same_after = np.concatenate([of[1:] == of[:-1], [False]])
    seen_before = same_before & (first != MISSING)
    later = np.concatenate([last[1:] != MISSING, [False]]) & same_after
    next_begins = np.concatenate([begins[1:], [0]])
    opens = np.where(seen_before, 0, first - begins)
    by_next = later & (next_begins >= last)
    closes = np.where(by_next, next_begins - begins, last - begins)
    usable = (first != MISSING) & (begins != MISSING) & (closes > opens)
    age = month - start
    inside = known & usable[epoch] & (age > opens[epoch]) & (age <= closes[epoch])
    drops = [
        drop(reason_, looks.lines[which])
        for reason_, which in (
            ("no day on which joints were redone or the roof was laid", (start == MISSING)),
            ("the end of a roof", (start != MISSING) & (looks.seen == END)),
            ("nothing known from before it, or of the time after it", known & ~inside),
        )
        if which.any()
    ]
    if not inside.any():
        rule = "must have a coach with two routine looks between which nothing was redone"
        raise ScenarioError(
            [Fault("the records", rule, "none", "longer records, or the reasons of the looks")]
        )
    kept = known & usable[epoch]
    numbers = np.cumsum(usable) - 1
    return Epochs(
        opens=opens[usable],
        closes=closes[usable],
        watched=np.where(by_next, closes, closes - 1)[usable],
        epoch=numbers[epoch[kept]],
        age=age[kept],
        leaks=looks.leaks[kept],
        complaint=reason[kept] == COMPLAINT,
        counted=inside[kept],
        has_reason=looks.reason is not None,
        account=(*looks.account, Count("looks at joints", coach.size, tuple(drops), int(inside.sum()))),
        covered=looks.covered,
    )


def _start(looks: Looks) -> Whole:
    """Return the month in which each look's epoch began."""
    resealed = np.where(looks.resealed <= looks.month, looks.resealed, MISSING)
    start = np.maximum(resealed, looks.laid)
    that_month = (start == looks.month) & (looks.resealed == looks.month)
    before = np.concatenate([[MISSING], start[:-1]])
    before[np.concatenate([[True], looks.coach[1:] != looks.coach[:-1]])] = MISSING
    start = np.where(that_month, np.where(before != MISSING, before, looks.laid), start)
    return np.where(looks.laid == MISSING, np.where(resealed == MISSING, MISSING, start), start)


def _numbered(coach: Whole, start: Whole) -> Whole:
    """Return the number of the epoch of each look, in the order of coach and start."""
    _, number = np.unique(np.column_stack([coach, start]), axis=0, return_inverse=True)
    return number.ravel().astype(np.int64)


def _ends(epoch: Whole, month: Whole) -> tuple[Whole, Whole]:
    """Return the first and the last month of each epoch; `MISSING` where it has none."""
    size = int(epoch.max()) + 1
    first, last = np.full(size, np.iinfo(np.int64).max), np.full(size, MISSING)
    there = month != MISSING
    np.minimum.at(first, epoch[there], month[there])
    np.maximum.at(last, epoch[there], month[there])
    return np.where(last == MISSING, MISSING, first), last


Array = NDArray[np.float64]


BANDS = 6
"""Bands of seal age of the test of fit."""


LARGEST = 4.0
"""Logarithm that no figure is let above while the maximum is sought."""


WIDEST, STRONGLY = 1.5, 0.8
"""Standard error of a logarithm beyond which a figure is not bounded; correlation worth saying."""


def fit_exact_times(times: Array, end: float) -> tuple[float, float]:
    """Fit a power-law process to exact times.

    Parameters
    ----------
    times : ndarray, shape (leaks,)
        When leaks started, above 0 and not above `end`. [years]
    end : float
        Until when was watched. [years]

    Returns
    -------
    float, float
        Growth k, and leaks in the first year m1. [-, leaks]

    Examples
    --------
    >>> growth, first = fit_exact_times(np.array([1.0, 2.0]), 2.0)
    >>> round(growth, 4), round(first * 2.0**growth, 4)
    (2.8854, 2.0)
    """
    growth = times.size / float(np.sum(np.log(end / times)))
    return growth, times.size / end**growth


@dataclass(frozen=True)
class JointFit:
    """Joint leaks, fitted.

    Parameters
    ----------
    epochs : Epochs
        What it was fitted to.
    first_year, growth : float
        m1 and k. [leaks, -]
    signs, finds : float
        Rate at which signs show a leak, and chance that a look finds one. [1/year, -]
    estimates : tuple of Estimate
        joint_leaks_ten_years and joint_leak_growth; sign_years and look_finds where the records tell.
    kept : tuple of str
        What stayed at the tool's own figure, or at finding everything.
    together : mapping of tuple of str to float
        Correlation of pairs that go together strongly. [-]
    bands : ndarray, shape (bands, 3)
        Seal age at the end, leaks counted, leaks expected. [years, leaks, leaks]
    fit_chance : float or None
        Chance of a misfit as large, if the process holds; None: too few leaks to test. [-]
    widened : bool
        Whether the tool's own figures joined.
    """

    epochs: Epochs
    first_year: float
    growth: float
    signs: float
    finds: float
    estimates: tuple[Estimate, ...]
    kept: tuple[str, ...]
    together: Mapping[tuple[str, str], float]
    bands: Array
    fit_chance: float | None
    widened: bool = False


class _Course:
    """Epochs laid out month by month, so that a likelihood is one pass over months of seal age."""

    def __init__(self, epochs: Epochs) -> None:
        order = np.argsort(-epochs.closes, kind="stable")
        place = np.argsort(order)
        self.opens, self.closes, self.watched = (
            ends[order] for ends in (epochs.opens, epochs.closes, epochs.watched)
        )
        self.last = int(self.closes[0])
        self.active = [int(np.searchsorted(-self.closes, -age, side="right")) for age in range(self.last + 1)]
        by_age = np.argsort(epochs.age, kind="stable")
        inside = by_age[
            (epochs.age[by_age] > 0) & (epochs.age[by_age] <= epochs.closes[epochs.epoch[by_age]])
        ]
        self.epoch, self.age = place[epochs.epoch[inside]], epochs.age[inside]
        self.leaks = epochs.leaks[inside].astype(float)
        self.complaint, self.counted = epochs.complaint[inside], epochs.counted[inside]
        self.counts = [
            ((self.opens[:active] < age) & (age <= self.watched[:active])).astype(np.float64)
            for age, active in enumerate(self.active)
        ]
        self.cuts = np.searchsorted(self.age, np.arange(self.last + 2))

    def run(self, first_year: float, growth: float, q: float, p: float) -> tuple[Array, Array]:
        """Return what is hidden at each look before its month's signs, and signs expected by month."""
        hidden = np.zeros(self.closes.size)
        at_looks, signs = np.zeros(self.age.size), np.zeros(self.last + 1)
        ages = np.arange(self.last + 1) / 12.0
        born, cuts = np.diff(first_year * ages**growth).tolist(), self.cuts.tolist()
        for age in range(1, self.last + 1):
            active = hidden[: self.active[age]]
            active += born[age - 1]
            signs[age] = q * float(np.einsum("i,i->", active, self.counts[age]))
            first, after = cuts[age], cuts[age + 1]
            if first == after:
                active *= 1.0 - q
                continue
            which = self.epoch[first:after]
            at_looks[first:after] = hidden[which]
            active *= 1.0 - q
            hidden[which] *= 1.0 - p
        return at_looks, signs


def _log_likelihood(course: _Course, first_year: float, growth: float, rate: float, p: float) -> float:
    """Return the log likelihood of complaints and looks."""
    from scipy.special import gammaln

    q = -np.expm1(-rate / 12.0)
    at_looks, signs = course.run(first_year, growth, q, p)
    counted = course.counted
    hidden, leaks = at_looks[counted], course.leaks[counted]
    looked = hidden * (1.0 - q) * p
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        by_looking = leaks * np.log(looked) - looked - gammaln(leaks + 1.0)
        by_looking = np.where(leaks == 0.0, -looked, by_looking)
        both = hidden * q + looked
        with_sign = leaks * np.log(both) - both - gammaln(leaks + 1.0)
        share = np.where(both > 0.0, (looked / both) ** leaks, 0.0)
        came_in = with_sign + np.log1p(-share) + hidden * q
    complained = course.complaint[counted] & (leaks > 0.0)
    return float(np.where(complained, came_in, by_looking).sum() - signs.sum())


def fit_joints(
    epochs: Epochs,
    tool: Mapping[str, Prior],
    *,
    widen: bool = False,
    source: str = "the records",
) -> JointFit:
    """Fit joint leaks.

    Parameters
    ----------
    epochs : Epochs
        The records.
    tool : mapping of str to Prior
        The tool's own joint_leaks_ten_years, joint_leak_growth, sign_years, look_finds.
    widen : bool
        Whether fewer than `FEWEST` leaks may move the tool's own figures; else they are refused.
    source : str
        Name of the file, for messages.

    Returns
    -------
    JointFit

    Raises
    ------
    ScenarioError
        If there are too few leaks, or no look found nothing.
    """
    widened = epochs.found < FEWEST
    if widened and not widen:
        raise too_few(epochs.found, "leaks", source)
    if epochs.found_nothing == 0:
        rule = "must hold looks that found nothing: from finds alone nobody can tell how rare they are"
        raise ScenarioError([Fault(source, rule, "every look found a leak", "record the others too")])
    course = _Course(epochs)
    free = _free(epochs)
    names = ("joint_leaks_ten_years", "joint_leak_growth", *free)
    fixed = {"sign_years": tool["sign_years"].likely, "look_finds": tool["look_finds"].likely}

    def figures(working: Array) -> dict[str, float]:
        found = dict(fixed)
        for name, value in zip(names, working, strict=True):
            found[name] = (
                1.0 / (1.0 + exp(min(-value, 50.0))) if name == "look_finds" else exp(min(value, LARGEST))
            )
        return found

    def likelihood(working: Array) -> float:
        found = figures(working)
        growth = found["joint_leak_growth"]
        first = found["joint_leaks_ten_years"] / 10.0**growth
        rate, finds = (1.0 / found["sign_years"], found["look_finds"]) if epochs.has_reason else (0.0, 1.0)
        joined = sum(
            tool[name].log_density(working[place]) for place, name in enumerate(names[:2]) if widened
        )
        return _log_likelihood(course, first, growth, rate, finds) + joined

    start = [tool[name].middle for name in names]
    if "look_finds" in names:
        finds = tool["look_finds"].likely
        start[names.index("look_finds")] = log(finds / (1.0 - finds))
    best, covariance, _ = maximum(likelihood, np.array(start), events=epochs.found)
    found = figures(best)
    growth = found["joint_leak_growth"]
    first = found["joint_leaks_ten_years"] / 10.0**growth
    rate, finds = (1.0 / found["sign_years"], found["look_finds"]) if epochs.has_reason else (0.0, 1.0)
    bands = _in_bands(course, first, growth, rate, finds)
    return JointFit(
        epochs,
        first,
        growth,
        rate,
        finds,
        _estimates(names, best, covariance),
        tuple(name for name in fixed if name not in names),
        _together(names, covariance),
        bands,
        _fit_chance(bands),
        widened,
    )


def _free(epochs: Epochs) -> tuple[str, ...]:
    """Return which of signs and finds the records can tell."""
    if not epochs.has_reason:
        return ()
    signs = ("sign_years",) if epochs.by_complaint >= FEWEST else ()
    return (*signs, "look_finds") if epochs.by_routine >= FEWEST else signs


def _estimates(names: tuple[str, ...], best: Array, covariance: Array) -> tuple[Estimate, ...]:
    """Return the figures that the records bound."""
    found = []
    for name, value, error in zip(names, best, np.sqrt(np.diag(covariance)), strict=True):
        if not error < WIDEST:
            continue
        if name == "look_finds":
            likely, low, high = (
                1.0 / (1.0 + exp(-value - sign * NINE_IN_TEN * error)) for sign in (0.0, -1.0, 1.0)
            )
            found.append(Estimate(name, likely, low, high, shape="normal"))
        else:
            found.append(from_working(name, float(value), float(error)))
    return tuple(found)


def _together(names: tuple[str, ...], covariance: Array) -> dict[tuple[str, str], float]:
    """Return the pairs that the records cannot well tell apart."""
    error = np.sqrt(np.diag(covariance))
    rank = covariance / np.outer(error, error)
    return {
        (names[one], names[other]): float(rank[one, other])
        for one in range(len(names))
        for other in range(one + 1, len(names))
        if abs(rank[one, other]) >= STRONGLY
    }


def _in_bands(course: _Course, first: float, growth: float, rate: float, finds: float) -> Array:
    """Return leaks counted and expected in bands of seal age that expect equal numbers."""
    q = -np.expm1(-rate / 12.0)
    at_looks, expected = course.run(first, growth, q, finds)
    counted = course.counted
    age = course.age[counted]
    np.add.at(expected, age, at_looks[counted] * (1.0 - q) * finds)
    seen = np.bincount(age, weights=course.leaks[counted], minlength=expected.size)
    total = np.cumsum(expected)
    ends = np.unique(np.searchsorted(total, total[-1] * np.arange(1, BANDS + 1) / BANDS - 1e-9))
    cuts = np.concatenate([[-1], np.minimum(ends, expected.size - 1)])
    sums = [
        [to / 12.0, seen[after + 1 : to + 1].sum(), expected[after + 1 : to + 1].sum()]
        for after, to in pairwise(cuts.tolist())
    ]
    return np.array(sums)


def _fit_chance(bands: Array) -> float | None:
    """Return the chance of bands that lie as far from what is expected."""
    from scipy.special import chdtrc

    if len(bands) <= 3 or bands[:, 2].min() < FEWEST:
        return None
    distance = float(np.sum((bands[:, 1] - bands[:, 2]) ** 2 / bands[:, 2]))
    return float(chdtrc(len(bands) - 2, distance))
