"""The simulation: lives of coaches drawn by chance, each with its own account.

Lecture
-------
`simulate` draws lives under each alternative: the roof that stands, then roof after roof of the
kind that follows, one round for each renewal (`lives`), and writes what each life costs
(`life_account`). It is the second evaluation of the one model: its means agree with the
expectation's within their standard errors. The means are not what it is for, since the expectation
has them exactly and sooner; it gives what means hide: *luck*. Leaks come or do not, so one coach
may cost half of another with the same roof, the same owner and the same prices.

With n lives, a mean has the standard error ``s / sqrt(n)``, s the spread of one life's amounts.

The chance of each alternative comes from the seed and the alternative's name. So the same seed
gives the same lives, whatever the order of the alternatives and whichever others there are; and two
alternatives never share their luck: what a leak of one roof would have been on another, nothing
tells. Hence never take the difference of two alternatives life by life.

Left out: doubt about the inputs. Each is one plain number here; the doubt is evaluated by the
expectation, draw by draw, and never mixed unnamed with luck.

Source: simulation of renewal-reward processes, textbook.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.ledger import COUNTS, Ledger, financed
from lifecycle.evaluation.life_account import LifeAccount, Prices, Upkeep, prices_of, upkeep_of
from lifecycle.evaluation.lives import Course, course_of, live
from lifecycle.evaluation.past import Today, today
from lifecycle.evaluation.threads import threads
from lifecycle.evaluation.timeline import Start, due_visits
from lifecycle.kinds import CATEGORIES
from lifecycle.quantities import Array, Flags
from lifecycle.roofs import Alternative, Case, Roof, draws_of

Single = NDArray[np.float32]
Years = NDArray[np.int16]
_Summary = Callable[[NDArray[np.floating]], Array]

_LIVES_AT_A_TIME = 16384
"""Lives in a round; measured. Changing it changes every simulated figure within its standard error."""


@dataclass(frozen=True)
class Lives:
    """Simulated lives under one alternative.

    Parameters
    ----------
    net_present_cost : ndarray, shape (lives, years + 1)
        By year of sale 0 ... study period. [money]
    at_holding : ndarray, shape (lives,)
        Net-present cost at the holding period. [money]
    by_category : dict of str to ndarray, shape (lives,)
        Present value to the holding period; upkeep under ``"upkeep: NAME"``. [money]
    counts : dict of str to ndarray, shape (lives,)
        Counts to the holding period, not discounted.
    largest_bill : ndarray, shape (lives, years + 1)
        Most that leak damage and an unplanned renewal cost in one month, by year of sale; in real
        money of that month, before warranty and insurance. [money]
    first_change : ndarray, shape (lives, years + 1)
        Discount factor of the first change if a sale in the year comes after it, else 0. [-]
    first_change_at_holding : ndarray, shape (lives,)
        The same at the holding period. [-]
    residual_at_holding : ndarray, shape (lives,)
        Present value of the residual value at the holding period. [money]
    new_roof, severe_find, leak_found : ndarray of int, shape (lives,)
        First year of sale that comes after an unplanned new roof, a find with a severe leak in it,
        a leak found or uncovered; years + 1: none. [years]
    seed : int
        Seed of all alternatives.
    """

    net_present_cost: Single
    at_holding: Array
    by_category: Mapping[str, Array]
    counts: Mapping[str, Array]
    largest_bill: Single
    first_change: Single
    first_change_at_holding: Array
    residual_at_holding: Array
    new_roof: Years
    severe_find: Years
    leak_found: Years
    seed: int

    @property
    def number(self) -> int:
        """Number of lives."""
        return self.at_holding.size

    def mean(self) -> Ledger:
        """Return the means over all lives, in the form of the expectation's account with one draw."""
        return self._ledger(_mean)

    def standard_error(self) -> Ledger:
        """Return the standard errors of the means, in the same form."""
        return self._ledger(_standard_error)

    def percentile(self, percent: float | Sequence[float]) -> Array:
        """Net-present cost that so many of a hundred lives do not exceed, by year of sale.

        Parameters
        ----------
        percent : float or sequence of float, shape (...)
            0 ... 100. [%]

        Returns
        -------
        ndarray, shape (..., years + 1)
            Net-present cost. [money]
        """
        return np.asarray(np.percentile(self.net_present_cost, np.asarray(percent, dtype=np.float64), axis=0))

    def chance_of_bill_above(self, amount: float) -> Array:
        """Chance that one month's bill is above an amount, by year of sale.

        Parameters
        ----------
        amount : float
            Leak damage and unplanned renewal of one month. [money]

        Returns
        -------
        ndarray, shape (years + 1,)
            Probability. [-]
        """
        return np.asarray(np.mean(self.largest_bill > amount, axis=0))

    def chance_of_new_roof(self) -> Array:
        """Chance of an unplanned new roof by year of sale, shape (years + 1,)."""
        return self._by_year(self.new_roof)

    def chance_of_severe_find(self) -> Array:
        """Chance of a find with a severe leak in it by year of sale, shape (years + 1,)."""
        return self._by_year(self.severe_find)

    def chance_of_leak(self) -> Array:
        """Chance that a leak is found or uncovered by year of sale, shape (years + 1,)."""
        return self._by_year(self.leak_found)

    def _by_year(self, first: Years) -> Array:
        """Share of lives to which something has happened, by year of sale."""
        columns = self.net_present_cost.shape[1]
        return np.cumsum(np.bincount(first, minlength=columns + 1)[:columns]) / self.number

    def _ledger(self, summary: _Summary) -> Ledger:
        """Sum every column of the lives up to one row."""
        renewed = (self.new_roof[:, None] <= np.arange(self.net_present_cost.shape[1])).astype(np.float32)
        return Ledger(
            net_present_cost=summary(self.net_present_cost),
            at_holding=summary(self.at_holding),
            by_category={name: summary(values) for name, values in self.by_category.items()},
            expected={name: summary(values) for name, values in self.counts.items()},
            chance_renewed=summary(renewed),
            first_change=summary(self.first_change),
            first_change_at_holding=summary(self.first_change_at_holding),
            residual_at_holding=summary(self.residual_at_holding),
            apart={},
        )


def _mean(values: NDArray[np.floating]) -> Array:
    """Mean over lives, with an axis of one draw."""
    return np.asarray(values.mean(axis=0, dtype=float))[None]


def _standard_error(values: NDArray[np.floating]) -> Array:
    """Return the standard error of the mean over lives, with an axis of one draw."""
    spread = np.asarray(values.std(axis=0, ddof=1, dtype=float))
    return np.asarray(spread[None] / np.sqrt(values.shape[0]))


def simulate(
    case: Case, *, lives: int = 100_000, seed: int = 1, workers: int | None = None
) -> dict[str, Lives]:
    """Draw lives under each alternative.

    Parameters
    ----------
    case : Case
        Resolved roofs and alternatives; plain numbers, no arrays.
    lives : int
        Number of lives for each alternative, at least 2.
    seed : int
        Not negative. The same seed gives the same lives, whatever the number of workers.
    workers : int or None
        Threads; None: one for each core.

    Returns
    -------
    dict of str to Lives
        By name of alternative, in the order of the case.

    Raises
    ------
    ValueError
        If the case holds arrays, or `lives` or `seed` is out of range.

    Notes
    -----
    100,000 lives of 20 years take about a third of a second for each alternative.
    """
    if draws_of(case) is not None:
        raise ValueError("a simulation needs plain numbers: this case holds an array of draws")
    if lives < 2:
        raise ValueError(f"lives must be at least 2, got {lives}")
    if seed < 0:
        raise ValueError(f"seed must not be negative, got {seed}")
    state = today(case.existing, case.leaks, 1)
    prices = prices_of(case.terms)
    return {
        way.name: _simulate_one(way, case, state, prices, lives, seed, workers) for way in case.alternatives
    }


@dataclass(frozen=True)
class _Kind:
    """A kind of roof: its course, and what it costs as long as it stands."""

    course: Course
    upkeep: Upkeep


def _simulate_one(
    way: Alternative, case: Case, state: Today, prices: Prices, lives: int, seed: int, workers: int | None
) -> Lives:
    """Draw lives under one alternative, some thousands at a time."""
    terms, existing, leaks = case.terms, case.existing, case.leaks_under(way)
    standing = course_of(
        way.roof,
        leaks,
        start=Start(existing.age, existing.seal_age, float(np.ravel(state.effective_age)[0])),
        due=due_visits(way.roof, terms.months, standing=existing, planned=way.change_month),
        planned=way.change_month,
        hidden_at_start=state.hidden,
        newly_laid=False,
        end_cost=float(way.quote),
        end_days=float(way.days),
    )
    following = course_of(way.then, leaks, start=Start(), due=due_visits(way.then, terms.months))
    kinds = (
        _Kind(standing, upkeep_of(standing, prices, 0)),
        _Kind(following, upkeep_of(following, prices, terms.months)),
    )
    visits = dict.fromkeys(f"upkeep: {v.name}" for roof in (way.roof, way.then) for v in roof.all_visits)
    lines = tuple(line for name in CATEGORIES for line in (visits if name == "upkeep" else [name]))
    out = _empty(lives, terms.study_period, lines, seed)
    own_stream = np.random.SeedSequence(seed, spawn_key=tuple(way.name.encode()))

    def some(start: int, stream: np.random.SeedSequence) -> None:
        """Draw the lives from `start` on, each round from a stream of its own, and keep them."""
        size = min(_LIVES_AT_A_TIME, lives - start)
        chance = np.random.default_rng(stream)
        honoured = {kind.course.roof.name: _honoured(kind.course.roof, size, chance) for kind in kinds}
        account = LifeAccount(prices, leaks, size, lines, honoured)
        _live_through(kinds, account, chance)
        _keep(account, out, slice(start, start + size))

    starts = range(0, lives, _LIVES_AT_A_TIME)
    with ThreadPoolExecutor(workers or threads()) as pool:
        list(pool.map(some, starts, own_stream.spawn(len(starts))))
    return _with_financing(out, way, case)


def _live_through(kinds: tuple[_Kind, _Kind], account: LifeAccount, chance: np.random.Generator) -> None:
    """Draw roof after roof of some lives until all lives have come to the last sale."""
    standing, following = kinds
    life = np.arange(account.lives)
    laid = np.zeros(account.lives, dtype=np.int64)
    kind = standing
    while life.size:
        month = laid >> 1
        fates = live(kind.course, account.months - month, account.leaks, chance)
        account.enter(life, laid, kind.course, kind.upkeep, fates, first=kind is standing)
        ended = fates.end < kind.course.never
        life, laid = life[ended], 2 * month[ended] + fates.end[ended]
        kind = following


def _honoured(roof: Roof, lives: int, chance: np.random.Generator) -> Flags:
    """Draw in which lives the warranty of a roof is honoured; nothing is drawn where it is certain."""
    sure = float(roof.warranty_honoured)
    return np.full(lives, sure == 1.0) if sure in (0.0, 1.0) else chance.random(lives) < sure


def _empty(lives: int, years: int, lines: tuple[str, ...], seed: int) -> Lives:
    """Return room for lives."""
    shape = lives, years + 1

    def whole() -> Years:
        return np.empty(lives, dtype=np.int16)

    return Lives(
        net_present_cost=np.empty(shape, dtype=np.float32),
        at_holding=np.zeros(lives),
        by_category={name: np.empty(lives) for name in lines},
        counts={name: np.empty(lives) for name in COUNTS},
        largest_bill=np.empty(shape, dtype=np.float32),
        first_change=np.empty(shape, dtype=np.float32),
        first_change_at_holding=np.empty(lives),
        residual_at_holding=np.empty(lives),
        new_roof=whole(),
        severe_find=whole(),
        leak_found=whole(),
        seed=seed,
    )


def _keep(account: LifeAccount, out: Lives, some: slice) -> None:
    """Write the accounts of some lives into their room."""
    out.net_present_cost[some] = account.totals()
    out.largest_bill[some] = account.largest_bills()
    first_change, out.first_change_at_holding[some] = account.first_changes()
    out.first_change[some] = first_change
    out.residual_at_holding[some] = account.residual
    for name, values in account.counts.items():
        out.counts[name][some] = values
    for name, values in account.by_line.items():
        out.by_category[name][some] = values - account.residual if name == "sale" else values
        out.at_holding[some] += out.by_category[name][some]
    out.new_roof[some] = account.new_roof
    out.severe_find[some] = account.severe_find
    out.leak_found[some] = account.leak_found


def _with_financing(out: Lives, way: Alternative, case: Case) -> Lives:
    """Add what a loan costs, the same for all lives, to what was written of them."""
    loan, terms = case.loan, case.terms
    if loan is None or loan.alternative != way.name:
        return out
    months = np.append(12 * np.arange(1, terms.study_period + 1), round(12.0 * float(terms.holding_period)))
    cost = financed(loan, terms, months)[0]
    out.net_present_cost[:, 1:] += cost[:-1].astype(np.float32)
    out.by_category["financing"][:] = cost[-1]
    out.at_holding[:] += cost[-1]
    return out
