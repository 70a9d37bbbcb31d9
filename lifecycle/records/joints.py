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
looked, every look counts as routine. Looks outside stay, because they thin what is hidden; what they found
is not counted.

Joints start ``m1 s ^ k`` leaks up to the seal age s (a power-law process). A leak is hidden until signs
inside bring the coach in, at the rate r a year, or until a look finds it, each with the chance p. With H
the expected number hidden and q = 1 - exp(-r / 12), month by month, as in the model::

    H grows by m1 ((s + 1/12)^k - s^k)
    signs find Poisson(H q): the coach comes in with a complaint     H falls to H (1 - q)
    a look finds Poisson(H p) of the rest                            H falls to H (1 - p)

All these numbers are independent (thinned Poisson), so the likelihood is a product: months without a
complaint, months with one, what looks found, and what they did not. Between two looks a and b months old
nothing but signs thins, so that no month is gone through by itself::

    H(b) = (1 - q)^(b - a) H(a) + E(b) - (1 - q)^(b - a) E(a)
    E(a) = sum over i <= a of born(i) (1 - q)^(a - i + 1)

*Which figures the records tell.* Leaks that are rare and seen soon look like leaks that are frequent and
seen late. So signs and finds are held by the tool's own range, which joins as a prior (`estimate`): many
records move them, few cannot let the rate run off. They are given as figures of the records only where these
hold `ENOUGH` finds of both kinds and, without either prior, put them more narrowly than the tool does. Growth
is left to the records, and held in the same way only where they do not bound it, or with it the rate. A rate
that even then is not bounded is refused.

*Other leaks.* A look finds punctures and leaks that come with age as well. Where records say where each leak
was, only those at joints count. Where they do not, the tool's own other leaks, hidden and found like these,
stand as an offset for the share of leaks without a place: a factor on them, with the range of the puncture
rate, joins as a prior. Counting them as joint leaks would count them twice.

*Place and size* (`site`): the joints of an epoch leak by the factor of its site, so the figures are those
of the reference.

Without the reason of the looks nothing tells finds from signs. Then all that is there is taken to be found
at each look: the leaks of the span between two looks are Poisson, and the answer holds *among coaches
brought in*.

*Tests of fit.* Leaks counted and expected by seal age: Pearson's sum has about a chi-squared distribution.
And what routine looks found that came soon after another look, within half of the usual time: looks that
somebody made on suspicion and wrote down as routine find leaks where few can have started. The number is
Poisson if the process holds.

*Exact times.* Of a process watched from 0 to T with n leaks at t_i: ``k = n / sum ln(T / t_i)``,
``m1 = n / T ^ k``.

Assumed: a reseal lays open what was hidden; coaches are alike. Left out: silent leaks, which are found
late, if at all before the deck is gone: the rate is that of leaks that can be found.

Source
------
Power-law process: MIL-HDBK-189 (1981). Delay time between start and find of a defect: Christer; from
memory. Likelihood: derived.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import accumulate, combinations, pairwise

import numpy as np

from lifecycle.errors import fault
from lifecycle.quantities import Array, Flags, Whole
from lifecycle.records.columns import MISSING
from lifecycle.records.estimate import (
    FEWEST,
    STRONGLY,
    Estimate,
    Free,
    Prior,
    Sought,
    not_bounded,
    seek,
    too_few,
)
from lifecycle.records.looks import COMPLAINT, DECK_GONE, END, ROUTINE, SOLD, Looks
from lifecycle.records.site import Sites, sites_of
from lifecycle.records.tables import Account, Cleaning
from lifecycle.scenario import Scenario


@dataclass(frozen=True)
class Epochs:
    """Epochs and the looks in them.

    Parameters
    ----------
    opens, closes : ndarray of int, shape (epochs,)
        Seal age after which the window opens, and the last in it. [months]
    watched : ndarray of int, shape (epochs,)
        Last seal age at which a complaint would be in the records. [months]
    roof_age : ndarray of int, shape (epochs,)
        Age of the roof when the epoch began. [months]
    sites : Sites
        What place and size of each do.
    epoch, age, leaks : ndarray of int, shape (looks,)
        Epoch of each look, seal age then, leaks found. [-, months, leaks]
    complaint, counted : ndarray of bool, shape (looks,)
        Whether the coach came in with a complaint; whether the look lies in the window.
    has_reason : bool
        Whether the records say why anybody looked.
    unplaced : float
        Share of leaks of which nobody says where they were. [-]
    account : Account
        From rows to looks that count.
    covered : str
        First and last month.
    notes : tuple of str
        What must be said of the records.
    """

    opens: Whole
    closes: Whole
    watched: Whole
    roof_age: Whole
    sites: Sites
    epoch: Whole
    age: Whole
    leaks: Whole
    complaint: Flags
    counted: Flags
    has_reason: bool
    unplaced: float = 0.0
    account: Account = ()
    covered: str = ""
    notes: tuple[str, ...] = ()

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


def epochs_of(looks: Looks, scenario: Scenario | None = None, covering: str = "membrane") -> Epochs:
    """Put cleaned looks, in the order of coach and month, into epochs; refused if no look counts."""
    coach, month = looks.coach, looks.month
    ended = np.isin(looks.seen, (END, DECK_GONE, SOLD))
    reason = np.full(coach.shape, ROUTINE) if looks.reason is None else looks.reason
    start = _start(looks)
    known = (start != MISSING) & ~ended
    epochs, one_look, epoch = np.unique(
        np.column_stack([coach, start]), axis=0, return_index=True, return_inverse=True
    )
    epoch, begins, same = epoch.ravel(), epochs[:, 1], epochs[1:, 0] == epochs[:-1, 0]
    first, last = _ends(epoch, np.where(known & (reason == ROUTINE), month, MISSING))
    opens = np.where(np.append(False, same) & (first != MISSING), 0, first - begins)
    by_next = np.append(same & (last[1:] != MISSING) & (begins[1:] >= last[:-1]), False)
    closes = np.where(by_next, np.append(begins[1:], 0), last) - begins
    usable = (first != MISSING) & (begins != MISSING) & (closes > opens)
    age = month - start
    inside = known & usable[epoch] & (age > opens[epoch]) & (age <= closes[epoch])
    cleaning = Cleaning("looks_at_joints", looks.lines)
    cleaning.leave_out("not_redone_or_laid", start == MISSING)
    cleaning.leave_out("end_or_sale", ended)
    cleaning.leave_out("unwatched", ~inside)
    if not inside.any():
        rule = "must have a coach with two routine looks between which nothing was redone"
        raise fault("the records", rule, "none", "longer records, or the reasons of the looks")
    kept = known & usable[epoch]
    numbers, laid = np.cumsum(usable) - 1, looks.laid[one_look]
    roof_age = np.where(laid == MISSING, 0, np.maximum(begins - laid, 0))
    return Epochs(
        opens=opens[usable],
        closes=closes[usable],
        watched=np.where(by_next, closes, closes - 1)[usable],
        roof_age=roof_age[usable],
        sites=sites_of(
            looks.site[one_look][usable], looks.sites, looks.length[one_look][usable], scenario, covering
        ),
        epoch=numbers[epoch[kept]],
        age=age[kept],
        leaks=looks.leaks[kept],
        complaint=reason[kept] == COMPLAINT,
        counted=inside[kept],
        has_reason=looks.reason is not None,
        unplaced=looks.unplaced,
        account=(*looks.account, cleaning.count),
        covered=looks.covered,
        notes=looks.notes,
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


def _ends(epoch: Whole, month: Whole) -> tuple[Whole, Whole]:
    """Return the first and the last month of each epoch; `MISSING` where it has none."""
    size = int(epoch.max()) + 1
    first, last = np.full(size, np.iinfo(np.int64).max), np.full(size, MISSING)
    there = month != MISSING
    np.minimum.at(first, epoch[there], month[there])
    np.maximum.at(last, epoch[there], month[there])
    return np.where(last == MISSING, MISSING, first), last


BANDS = 6
"""Bands of seal age of the test of fit, at most."""

CURVES = 2
"""Figures of the curve that a test of fit has to give up as degrees."""

HIGHEST = 50.0
"""Most leaks in ten years that are sought. [leaks]"""

SEEING = ("sign_years", "look_finds")
"""How leaks come to light."""

ENOUGH = 30
"""Complaints, and leaks at routine looks, from which on records may tell how leaks come to light: with fewer
those that seem to tell it are mostly the ones that are wrong by luck."""

LONGEST_SIGNS = 50.0
"""Longest time until signs show a leak that is sought. [years]"""


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
class Rates:
    """The figures of joints at which a likelihood is taken.

    Parameters
    ----------
    ten_years, growth : float
        Leaks of joints never redone in ten years, and how they grow. [leaks, -]
    signs : float
        Rate at which signs show a leak. [1/year]
    finds : float
        Chance that a look finds one. [-]
    others : float
        What the tool's own other leaks are multiplied with. [-]
    """

    ten_years: float
    growth: float
    signs: float
    finds: float
    others: float

    @property
    def first_year(self) -> float:
        """Leaks in the first year, m1. [leaks]"""
        return float(self.ten_years / 10.0**self.growth)


@dataclass(frozen=True)
class Band:
    """Leaks counted and expected in a band of seal age, or of months since the look before.

    Parameters
    ----------
    end : float
        The last in it. [years or months]
    counted, expected : float
        [leaks]
    """

    end: float
    counted: float
    expected: float


@dataclass(frozen=True)
class JointFit:
    """Joint leaks, fitted.

    Parameters
    ----------
    epochs : Epochs
        What it was fitted to.
    rates : Rates
        At the maximum.
    estimates : tuple of Estimate
        joint_leaks_ten_years, and what else the records tell of joint_leak_growth, sign_years, look_finds.
    kept : tuple of str
        What stayed within the tool's own range, or at finding everything.
    together : mapping of (str, str) to float
        Correlation of each pair of estimates. [-]
    bands : tuple of Band
        By seal age.
    fit_chance : float or None
        Chance of a misfit as large, if the process holds; None: too few leaks to test. [-]
    suspicion_chance : float or None
        Chance that looks soon after others find so many; None: too few leaks at routine looks to see it. [-]
    widened : bool
        Whether the tool's own figures joined for all.
    """

    epochs: Epochs
    rates: Rates
    estimates: tuple[Estimate, ...]
    kept: tuple[str, ...]
    together: Mapping[tuple[str, str], float]
    bands: tuple[Band, ...]
    fit_chance: float | None
    suspicion_chance: float | None
    widened: bool = False

    @property
    def alike(self) -> dict[tuple[str, str], float]:
        """Pairs that the records cannot well tell apart, with their correlation. [-]"""
        return {pair: rank for pair, rank in self.together.items() if abs(rank) >= STRONGLY}


@dataclass(frozen=True)
class Others:
    """The tool's own leaks that are not at joints.

    Parameters
    ----------
    punctures : float
        [leaks/year]
    ten_years, growth : float
        Leaks by age in ten years, and how they grow. [leaks, -]
    spread : Prior or None
        How far all of them may be off, as a factor. [-]
    """

    punctures: float = 0.0
    ten_years: float = 0.0
    growth: float = 1.0
    spread: Prior | None = None


def other_leaks(tool: Mapping[str, Prior]) -> Others:
    """Return the tool's own leaks that are not at joints: punctures, and those that come with age."""
    rate = tool["puncture_rate"]
    spread = Prior(rate.low / rate.likely, 1.0, rate.high / rate.likely, "other_leaks")
    return Others(rate.likely, tool["age_leaks_ten_years"].likely, tool["age_leak_growth"].likely, spread)


@dataclass
class _Flow:
    """Looks of all epochs in the order in which they follow each other, so that all epochs run at once."""

    epochs: Epochs
    others: Others
    looks: Whole = field(init=False)

    def __post_init__(self) -> None:
        epochs = self.epochs
        inside = (epochs.age > 0) & (epochs.age <= epochs.closes[epochs.epoch])
        by_next = epochs.watched == epochs.closes
        last = np.zeros(epochs.closes.size, dtype=np.int64)
        np.maximum.at(last, epochs.epoch[inside], epochs.age[inside])
        # the time after the last look until joints are redone: a look that finds nothing and counts nothing
        tail = np.flatnonzero(by_next & (epochs.closes > last))
        looks = np.flatnonzero(inside)
        of = np.concatenate([epochs.epoch[looks], tail])
        age = np.concatenate([epochs.age[looks], epochs.closes[tail]])
        number = np.concatenate([looks, np.full(tail.size, -1)])
        order = np.lexsort((age, of))
        of, age, number = of[order], age[order], number[order]
        first = np.concatenate([[True], of[1:] != of[:-1]])
        before = np.where(first, 0, np.concatenate([[0], age[:-1]]))
        place = np.arange(of.size)
        rank = place - np.maximum.accumulate(np.where(first, place, 0))
        by_rank = np.argsort(rank, kind="stable")
        self.of, self.age, self.before, number = of[by_rank], age[by_rank], before[by_rank], number[by_rank]
        self.cuts = np.searchsorted(rank[by_rank], np.arange(int(rank.max()) + 2))
        self.is_look = number >= 0
        self.looks = np.where(self.is_look, number, 0)
        self.counts = self.age > epochs.opens[self.of]
        self.last_month = self.counts & (self.age > epochs.watched[self.of])
        self.leaks = np.where(self.is_look, epochs.leaks[self.looks], 0).astype(float)
        self.counted = self.is_look & epochs.counted[self.looks]
        self.complaint = self.counted & epochs.complaint[self.looks] & (self.leaks > 0.0)
        self.offset = epochs.roof_age[self.of]
        self.longest = int((self.age + self.offset).max())

    def processes(self, rates: Rates) -> Iterator[tuple[Array, Array, Whole]]:
        """Give each kind of leak: started by month of age, the factor of each look's epoch, its age then."""
        sites, others = self.epochs.sites, self.others
        years = np.arange(self.longest + 1) / 12.0
        at_joints = rates.first_year * np.diff(years**rates.growth, prepend=0.0)
        yield (
            at_joints,
            (sites.joints * sites.seal_ageing**rates.growth * sites.frost)[self.of],
            np.zeros_like(self.offset),
        )
        share = self.epochs.unplaced * rates.others
        if share > 0.0:
            punctures = np.full(years.size, share * others.punctures / 12.0)
            yield punctures, (sites.area * sites.punctures)[self.of], self.offset
            by_age = share * others.ten_years * np.diff((years / 10.0) ** others.growth, prepend=0.0)
            yield by_age, (sites.ageing**others.growth)[self.of], self.offset

    def run(self, rates: Rates) -> tuple[Array, Array]:
        """Return what is hidden at each look, and the complaints expected since the one before it.

        Parameters
        ----------
        rates : Rates
            The figures.

        Returns
        -------
        hidden, shown : ndarray, shape (looks,)
            After the signs of the look's month; only where they would be in the records. [leaks]
        """
        q = -np.expm1(-rates.signs / 12.0)
        stays = (1.0 - q) ** (self.age - self.before)
        hidden, shown, grown, new = np.zeros((4, self.of.size))
        for born, factor, offset in self.processes(rates):
            still, started = _between(born, self.before + offset, self.age + offset, stays, q)
            grown += factor * still
            new += factor * started
        left = np.zeros(self.epochs.closes.size)
        for first, after in pairwise(self.cuts.tolist()):
            of = self.of[first:after]
            carried = left[of]
            now = carried * stays[first:after] + grown[first:after]
            shown[first:after] = carried + new[first:after] - now
            hidden[first:after] = now
            left[of] = now * (1.0 - rates.finds)
        last = q / (1.0 - q) * hidden
        return hidden, np.where(self.counts, shown, 0.0) - np.where(self.last_month, last, 0.0)

    def log_likelihood(self, rates: Rates) -> float:
        """Return the log likelihood of complaints and looks, but for a constant."""
        q = -np.expm1(-rates.signs / 12.0)
        hidden, shown = self.run(rates)
        counted = self.counted
        after, leaks = hidden[counted], self.leaks[counted]
        looked, by_signs = after * rates.finds, after * q / (1.0 - q)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            by_looking = np.where(leaks > 0.0, leaks * np.log(looked), 0.0) - looked
            both = by_signs + looked
            share = np.where(both > 0.0, (looked / both) ** leaks, 0.0)
            came_in = leaks * np.log(both) - both + np.log1p(-share) + by_signs
        return float(np.where(self.complaint[counted], came_in, by_looking).sum() - shown.sum())


def _between(born: Array, before: Whole, age: Whole, stays: Array, q: float) -> tuple[Array, Array]:
    """Return the leaks started between two ages of which no sign was seen yet, and all that started."""
    open_ = np.array(list(accumulate(born.tolist(), lambda left, new: (left + new) * (1.0 - q))))
    total = np.cumsum(born)
    return open_[age] - stays * open_[before], total[age] - total[before]


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
        The tool's own figures of joints, signs, finds and other leaks.
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
        If there are too few leaks, no look found nothing, or the records do not bound the rate.
    """
    widened = widen and epochs.found < FEWEST
    if epochs.found < FEWEST and not widen:
        raise too_few(epochs.found, "leaks", source)
    if epochs.found_nothing == 0:
        rule = "must hold looks that found nothing: from finds alone nobody can tell how rare they are"
        raise fault(source, rule, "every look found a leak", "record the others too")
    flow = _Flow(epochs, other_leaks(tool) if epochs.unplaced > 0.0 else Others())
    rate, growth = "joint_leaks_ten_years", "joint_leak_growth"
    held: tuple[str, ...] = (rate, growth) if widened else ()
    found = _sought(flow, tool, held, (rate, growth))
    if not widened and (_unbounded(found, growth) or _unbounded(found, rate)):
        held = (growth,)
        found = _sought(flow, tool, held, (rate, growth))
    if _unbounded(found, rate):
        if not widen:
            raise not_bounded("how often joints leak", source)
        widened, held = True, (rate, growth)
        found = _sought(flow, tool, held, (rate, growth))
    told = [found.estimate(name) for name in (rate, growth) if widened or name not in held]
    enough = epochs.has_reason and min(epochs.by_complaint, epochs.by_routine) >= ENOUGH
    if enough and any(found.may_tell(name) for name in SEEING):
        alone = _sought(flow, tool, held, SEEING, alone=True)
        told += [alone.tells(name, tool[name]) for name in SEEING]
    estimates = [one for one in told if one is not None]
    names = [one.name for one in estimates]
    rates = _rates(flow, [found.at(one.name) for one in found.free], [one.name for one in found.free])
    bands = _bands(flow, rates)
    possible = ("joint_leaks_ten_years", "joint_leak_growth", "sign_years", "look_finds")
    return JointFit(
        epochs,
        rates,
        tuple(estimates),
        tuple(name for name in possible if name not in names),
        {pair: found.together(*pair) for pair in combinations(names, 2)},
        bands,
        _chance(bands, CURVES),
        _luck_of(_soon(flow, rates)) if epochs.has_reason and epochs.by_routine >= FEWEST else None,
        widened,
    )


def _unbounded(found: Sought, name: str) -> bool:
    """Whether the records leave a figure at a bound, or without an end."""
    return name in found.at_a_bound or found.estimate(name) is None


def _sought(
    flow: _Flow, tool: Mapping[str, Prior], held: tuple[str, ...], asked: tuple[str, ...], alone: bool = False
) -> Sought:
    """Find the figures; those of `held`, and signs and finds unless alone, by the tool's own range too."""
    bounds = {"joint_leaks_ten_years": (1e-4, HIGHEST), "joint_leak_growth": (0.2, 8.0)}
    if flow.epochs.has_reason:
        bounds |= {"sign_years": (0.02, LONGEST_SIGNS), "look_finds": (0.005, 0.995)}
    joined = held if alone else (*SEEING, *held)
    free = [
        Free(name, low, high, tool[name].likely, tool[name] if name in joined else None)
        for name, (low, high) in bounds.items()
    ]
    if flow.others.spread is not None:
        free.append(Free("other_leaks", 1e-3, 1e3, 1.0, flow.others.spread))
    names = [one.name for one in free]
    return seek(lambda figures: flow.log_likelihood(_rates(flow, figures, names)), free, asked)


def _rates(flow: _Flow, figures: Array | list[float], names: list[str]) -> Rates:
    """Return figures as rates."""
    found = dict(zip(names, map(float, figures), strict=True))
    told = flow.epochs.has_reason
    return Rates(
        found["joint_leaks_ten_years"],
        found["joint_leak_growth"],
        1.0 / found["sign_years"] if told else 0.0,
        found["look_finds"] if told else 1.0,
        found.get("other_leaks", 0.0),
    )


def _bands(flow: _Flow, rates: Rates) -> tuple[Band, ...]:
    """Return leaks counted and expected in bands of seal age that expect about equal numbers.

    Complaints are expected over the time since the look before, and put where the look is that ends it.
    """
    hidden, signs = flow.run(rates)
    expected = np.where(flow.counted, hidden * rates.finds, 0.0) + signs
    seen = np.where(flow.counted, flow.leaks, 0.0)
    order = np.argsort(flow.age, kind="stable")
    by, expected, seen = flow.age[order], expected[order], seen[order]
    total = np.cumsum(expected)
    most = min(BANDS, int(total[-1] // FEWEST))
    if most < 2:
        return ()
    cuts = np.searchsorted(total, total[-1] * np.arange(1, most) / most)
    ends = np.unique(np.concatenate([np.searchsorted(by, by[cuts], side="right"), [by.size]]))
    return tuple(
        Band(float(by[to - 1]) / 12.0, float(seen[first:to].sum()), float(expected[first:to].sum()))
        for first, to in pairwise([0, *ends.tolist()])
    )


def _soon(flow: _Flow, rates: Rates) -> Band:
    """Return what routine looks found, and should find, within half of the usual time since another look."""
    routine = flow.counted & ~flow.complaint
    gap = flow.age - flow.before
    within = 0.5 * float(np.median(gap[routine])) if routine.any() else 0.0
    some = routine & (gap <= within)
    expected = flow.run(rates)[0] * rates.finds
    return Band(within, float(flow.leaks[some].sum()), float(expected[some].sum()))


def _luck_of(soon: Band) -> float:
    """Return the chance of so many leaks, or more, where so few are expected."""
    from scipy.special import pdtrc

    return float(pdtrc(soon.counted - 1.0, soon.expected)) if soon.counted > 0.0 else 1.0


def _chance(bands: tuple[Band, ...], given_up: int) -> float | None:
    """Return the chance of bands that lie as far from what is expected."""
    from scipy.special import chdtrc

    if len(bands) <= given_up + 1 or min(band.expected for band in bands) < FEWEST - 1:
        return None
    distance = sum((band.counted - band.expected) ** 2 / band.expected for band in bands)
    return float(chdtrc(len(bands) - given_up, distance))
