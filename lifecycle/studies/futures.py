"""Futures: draws of what nobody knows, and what ways cost in each of them; nothing is evaluated twice.

Lecture
-------
Each *future* is one draw of all ranged inputs (`sampling`); all ways stand on the same draws.

*History weighs the futures*: each by the probability that the existing roof, with that future's
inputs, stands today, times, if it is known how many leaks were found on it so far, the Poisson
probability of that number, whose mean is the expected number *found* by a roof that stands. With
weights w that add up to 1 the effective number of draws is ``1 / sum w^2``.

*Prices move together* (rank correlation 0.7: new roofs, visits, patches, rot, and a quote unless the
seller stated it) and so do *lives* (0.5); the scenario may say otherwise for any pair: what we hold
together gives way to it.

The *evaluator* is the one way from futures to costs. It works some futures and some ways at a time, tells
how far it is, and whoever is told may stop it by raising. What a way costs in all futures depends on
nothing but its own resolved numbers, so costs are kept under a digest of these: the next study, or the
same one after one figure has changed, works out only the ways that are new. The cost of a sale after N
years does not depend on what comes later, so a curve that is kept serves shorter ones. A cost is linear in
the prices of the first change, of visits, of the owner's hours and of days out of use. So ways are worked out
without these, line by line of the account, and for each the discounted number of what it is paid for is kept:
another quote, another price of a reseal, another worth of an hour need no evaluation, and categories are
there. Ways with equal roofs to follow are worked out together, and such a roof runs once for them.

Whatever answers scenario after scenario goes through one walk (`walked`), so that how far it is, a stop and
what is kept are settled here.

Where only the cost at the years kept is wanted, futures are sorted by these years and each block of them
is evaluated no further (`lines_at_holding`).

Left out: luck, which is the simulation's.
Source: the model's own; weights by likelihood are importance sampling, textbook.
"""

from __future__ import annotations

import hashlib
import itertools
import math
from collections import OrderedDict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import fault
from lifecycle.evaluation.comparison import compare
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.evaluation.past import log_likelihood
from lifecycle.kinds import CATEGORIES
from lifecycle.quantities import Figure, money_text
from lifecycle.roofs import Alternative, Case, Existing, Number, Roof, Terms, Visit, draws_of, take
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.sampling import Contradiction, Sample, give_way, sample

Array = NDArray[np.float64]
Found = TypeVar("Found")
Place = TypeVar("Place")

Progress = Callable[[int, int], None]
"""Called with how much is done, and how much there is to do; it raises where no more is wanted."""

DRAWS, SEED = 1024, 1
"""Default number of draws and seed on every face."""

PRICES_TOGETHER, LIVES_TOGETHER = 0.7, 0.5
"""Rank correlations of prices with each other, of lives with each other. [-]"""

_BLOCK, _WAYS = 4096, 12
"""Futures, and ways, that are evaluated together: a stop is heeded between two such parts."""

_BLOCK_AT_HOLDING = 2048
"""Futures that are evaluated together where each block ends with its longest holding period."""

KEPT = 64 * 2**20
"""Memory for costs that are kept. [bytes]"""

PRICES = ("renew_cost", "cost", "patch_cost", "rot_cost", "quote")
LIVES = ("life_scale", "life_mean")


class NoFuture(ValueError):
    """No draw can explain the history of the roof."""


@dataclass(frozen=True)
class Futures:
    """Draws of a scenario's inputs, with their weights.

    Parameters
    ----------
    sample : Sample
        Values and scores by input.
    weights : ndarray, shape (draws,)
        By the history of the existing roof; add up to 1. [-]
    """

    sample: Sample
    weights: Array

    @property
    def effective(self) -> float:
        """Effective number of draws."""
        return float(1.0 / np.sum(self.weights**2))


def futures(
    scenario: Scenario,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    alike: Scenario | None = None,
    pairs: Mapping[tuple[str, str], float] | None = None,
) -> Futures:
    """Draw the inputs of a scenario and weigh the draws by the history of its roof.

    Parameters
    ----------
    scenario : Scenario
        With at least one range; without any, all futures are alike.
    draws, seed : int
        Number of draws; seed of their points.
    alike : Scenario or None
        Another scenario with the same draws for the inputs that both have, so that what is said of the
        two agrees; it has no range that the first one lacks.
    pairs : mapping of (str, str) to float, or None
        Rank correlations of inputs; None: those of `correlations`. [-]

    Returns
    -------
    Futures

    Raises
    ------
    NoFuture
        If no draw can explain the history.
    ValueError
        If there are too few draws, or the correlations contradict each other.
    """
    first = [path for path in (alike.inputs if alike else ()) if path in scenario.inputs]
    figures = [scenario.inputs[path] for path in dict.fromkeys([*first, *scenario.inputs])]
    alone = sum(scenario.inputs[path].ranged for path in first) if alike else None
    together = correlations(scenario) if pairs is None else pairs
    return weighed(scenario, sample(figures, draws=draws, seed=seed, correlations=together, alone=alone))


def in_draws(scenario: Scenario, drawn: Futures) -> Case:
    """Return the case of a scenario in futures of it, or of one that has inputs besides."""
    values = drawn.sample.values.items()
    return resolve(scenario, {path: value for path, value in values if path in scenario.inputs})


def first(drawn: Futures, number: int) -> Futures:
    """Return the first of some futures: the points are even from the start.

    Parameters
    ----------
    drawn : Futures
        All of them.
    number : int
        How many are wanted.
    """
    some = slice(0, number)
    values = {path: value[some] for path, value in drawn.sample.values.items()}
    scores = {path: score[some] for path, score in drawn.sample.scores.items()}
    weights = drawn.weights[some] / drawn.weights[some].sum()
    return Futures(replace(drawn.sample, values=values, scores=scores, draws=number), weights)


def weighed(scenario: Scenario, drawn: Sample) -> Futures:
    """Weigh draws by the history of a scenario's roof; `NoFuture` if no draw can explain it."""
    return Futures(drawn, _LAST.of(resolve(scenario, drawn.values), drawn.draws))


def _weights(case: Case, draws: int) -> Array:
    """Return the weight of each future by the history of the existing roof."""
    log_weight = log_likelihood(case, draws)
    highest = float(np.max(log_weight))
    if not np.isfinite(highest):
        raise NoFuture(
            "no draw of the inputs can explain this roof's history (its age, and the leaks found "
            "so far); check existing.age and existing.leaks_found, or widen the ranges of life and leaks"
        )
    weight = np.exp(log_weight - highest)
    return np.asarray(weight / weight.sum())


class HistoryWeights:
    """Weights of futures by the history of the standing roof, each history worked out once.

    Parameters
    ----------
    most : int or None
        Histories that are kept; None: all.
    """

    def __init__(self, most: int | None = None) -> None:
        self._most = most
        self._kept: dict[bytes, Array] = {}

    def of(self, case: Case, draws: int) -> Array:
        """Return the weights of so many draws of a case; they add up to 1, and cannot be changed. [-]"""
        key = _digest((_past(case.existing), case.existing.leaks_found, case.leaks, draws))
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = _weights(case, draws)
            found.setflags(write=False)
            for old in list(self._kept)[: -self._most] if self._most else ():
                self._kept.pop(old, None)
        return found


_LAST = HistoryWeights(most=8)
"""Histories of the last studies: most changes of a page leave the past as it was."""


def correlations(scenario: Scenario) -> dict[tuple[str, str], float]:
    """Return the rank correlation of each pair of inputs that move together, stated or the tool's own. [-]

    The tool's own for inputs that are named give way, if not all can hold (`sampling.give_way`).
    """
    ranged = [figure for figure in scenario.inputs.values() if figure.ranged]
    prices = [figure.path for figure in ranged if _is_price(figure)]
    lives = [figure.path for figure in ranged if figure.field.name in LIVES]
    pairs = {pair: PRICES_TOGETHER for pair in itertools.combinations(prices, 2)}
    pairs |= {pair: LIVES_TOGETHER for pair in itertools.combinations(lives, 2)}
    said = scenario.sections.get("correlations", ())
    return give_way(pairs, {(stated["a"], stated["b"]): stated["rank"].likely for stated in said})


def _is_price(figure: Figure) -> bool:
    """Whether an input is a price that moves with the others; the seller's own quote does not."""
    if figure.field.name == "quote":
        return figure.basis != "offer"
    return figure.field.name in PRICES


def in_futures(work: Callable[[], Found], scenario: Scenario) -> Found:
    """Do work in futures of a scenario; a scenario that allows none is a user's mistake.

    Where no draw can explain the history, the costs at likely values, which do not ask it, are still told.

    Raises
    ------
    ScenarioError
        If correlations contradict each other, or no draw can explain the history.
    """
    try:
        return work()
    except Contradiction as error:
        raise fault("[[correlations]]", "must be possible together", "", str(error)) from None
    except NoFuture as error:
        remedy = f"{error}. {_at_likely_values(scenario)}"
        raise fault("existing", "must have a history that can be", "", remedy) from None


def _at_likely_values(scenario: Scenario) -> str:
    """Say what each way costs where every figure is as likely and nothing is asked of the history."""
    compared = compare(scenario)
    costs = "; ".join(f"{way.title}: {money_text(way.at_holding)}" for way in compared.ways.values())
    kept = f"kept {compared.holding_period:g} years, in {scenario.currency}"
    return f"At likely values, whatever was found so far, {kept}, it costs: {costs}"


@dataclass(frozen=True)
class Cost:
    """What one way costs in every future; the arrays cannot be changed.

    Parameters
    ----------
    by_year : ndarray, shape (draws, years + 1)
        Net-present cost by year of sale. [money]
    at_holding : ndarray, shape (draws,)
        The same at the holding period. [money]
    first_change : ndarray, shape (draws,)
        Discounted expected number of first changes paid by then. [-]
    by_category : mapping of str to ndarray, shape (draws,)
        What `at_holding` is made of, upkeep as one; empty if the evaluator was not to tell. [money]
    """

    by_year: Array
    at_holding: Array
    first_change: Array
    by_category: Mapping[str, Array]


Lines = dict[str, Array]
"""The lines of a way, discounted; shapes (draws, years + 1) by year, (draws,) at one sale.

Of what has a price it is the number that is paid for, of all else the money.
"""

_SALE, _FIRST_CHANGE = "sale", "first change"
_PRICED = ("upkeep", "hours", "days")
"""Categories of cost that are a price times a number."""


@dataclass(frozen=True)
class _Kept:
    """What is kept of a way: its curve, and what holds at holding periods, by their digest."""

    curve: Lines
    sold: dict[bytes, Lines]

    @property
    def size(self) -> int:
        """Memory that it takes. [bytes]"""
        return sum(one.nbytes for numbers in (self.curve, *self.sold.values()) for one in numbers.values())


class Evaluator:
    """What ways cost in futures; keeps what the next study may ask for again.

    Parameters
    ----------
    by_category : bool
        Whether categories of cost are wanted too: a twelfth more to work out, and twice as much to keep.

    Examples
    --------
    >>> from lifecycle.files import load
    >>> case = resolve(load("scenarios/worked-example-1.toml"))
    >>> round(float(Evaluator().costs(case, 1)["keep"].at_holding[0]), 2)
    11030.51
    """

    def __init__(self, *, by_category: bool = True) -> None:
        self._kept: OrderedDict[bytes, _Kept] = OrderedDict()
        self._by_category, self._apart = by_category, tuple(CATEGORIES) if by_category else _PRICED

    def costs(
        self,
        case: Case,
        draws: int,
        *,
        ahead: int = 0,
        progress: Progress | None = None,
    ) -> dict[str, Cost]:
        """Return what every way of a case costs in every future.

        Parameters
        ----------
        case : Case
            Numbers of shape () or (draws,); its terms say how far curves go and when the coach is sold.
        draws : int
            Number of futures.
        ahead : int
            Year that curves are worked out to, if further than the case asks: another study will ask. [years]
        progress : callable or None
            Called before the first part and after each with the futures done and in all, those of each way
            that is worked out counted; may raise.

        Returns
        -------
        dict of str to Cost
            By way, in the order of the case.
        """
        last = case.terms.study_period
        sale = _sale(case.terms.holding_period)
        known: dict[int, bytes] = {}
        bare = {way.name: unpriced(way, case.terms) for way in case.alternatives}
        shared = _shared_key(case, draws, known)
        keys = {name: _key(case, way, shared, known) for name, (way, _) in bare.items()}
        ways = {keys[name]: way for name, (way, _) in reversed(bare.items())}
        missing = {key: way for key, way in reversed(ways.items()) if not self._has(key, last, sale)}
        if missing:
            further = replace(case.terms, study_period=max(last, ahead), hour_value=1.0, day_cost=1.0)
            worked = _work_out(replace(case, terms=further), missing, draws, self._apart, progress)
            for key, (curve, sold) in worked.items():
                before = self._kept[key].sold if key in self._kept else {}
                self._kept[key] = _Kept(curve, before if sale is None else {**before, sale: sold})
        for key in ways:
            self._kept.move_to_end(key)
        found = {
            name: self._cost(self._kept[keys[name]], case.terms, way, prices, sale)
            for name, (way, prices) in bare.items()
        }
        held = sum(one.size for one in self._kept.values())
        while held > KEPT:
            held -= self._kept.popitem(last=False)[1].size
        return found

    def _has(self, key: bytes, last: int, sale: bytes | None) -> bool:
        """Whether a way is kept, as far and at the sale that is wanted."""
        kept = self._kept.get(key)
        if kept is None or (sale is not None and sale not in kept.sold):
            return False
        return int(kept.curve[_SALE].shape[1]) > last

    def _cost(
        self, kept: _Kept, terms: Terms, way: Alternative, prices: Mapping[str, Number], sale: bytes | None
    ) -> Cost:
        """Return what was wanted of a way, at these prices."""
        curve = {name: number[:, : terms.study_period + 1] for name, number in kept.curve.items()}
        by_year = priced(curve, prices)
        by_year.setflags(write=False)
        year = round(float(np.max(terms.holding_period)))
        sold = kept.sold[sale] if sale else {name: number[:, year] for name, number in curve.items()}
        by_category: dict[str, Array] = {}
        for name, cost in zip(sold, _money(sold, prices), strict=True):
            category = name.partition(":")[0]
            if name == _FIRST_CHANGE:
                category = "initial" if way.change_month == 0 else "renewal"
            by_category[category] = by_category.get(category, 0.0) + cost
        at_holding = np.asarray(sum(by_category.values())) if sale else by_year[:, year]
        return Cost(by_year, at_holding, sold[_FIRST_CHANGE], by_category if self._by_category else {})


def priced(lines: Lines, prices: Mapping[str, Number]) -> Array:
    """Return what lines come to at these prices. [money]"""
    return np.asarray(sum(_money(lines, prices)))


def _money(numbers: Lines, prices: Mapping[str, Number]) -> Iterator[Array]:
    """Give the money of each line at these prices."""
    for name, number in numbers.items():
        price = np.asarray(prices.get(name, 1.0))
        yield np.reshape(price, (-1, *[1] * (number.ndim - 1))) * number


def unpriced(way: Alternative, terms: Terms) -> tuple[Alternative, dict[str, Number]]:
    """Return a way whose first change costs nothing and whose visits cost 1; and its prices by name.

    Visits of one name whose prices differ keep them: their line is money.
    """
    costs: dict[str, Number] = {}
    unlike = set()
    for visit in (*way.roof.all_visits, *way.then.all_visits):
        first = costs.setdefault(visit.name, visit.cost)
        if first is not visit.cost and not np.array_equal(first, visit.cost):
            unlike.add(visit.name)

    def without(visits: tuple[Visit, ...]) -> tuple[Visit, ...]:
        return tuple(one if one.name in unlike else replace(one, cost=1.0) for one in visits)

    def roof(one: Roof) -> Roof:
        return replace(one, visits=without(one.visits), visits_after=without(one.visits_after))

    prices = {f"upkeep: {name}": 1.0 if name in unlike else cost for name, cost in costs.items()}
    prices |= {"hours": terms.hour_value, "days": terms.day_cost, _FIRST_CHANGE: way.quote}
    return replace(way, quote=0.0, roof=roof(way.roof), then=roof(way.then)), prices


def _sale(holding: Number) -> bytes | None:
    """Return a digest of the years kept; None where the curve has it: whole years, alike for all."""
    if np.ndim(holding) == 0 and float(holding) == round(float(holding)):
        return None
    return _digest(np.asarray(holding, dtype=float))


def _work_out(
    case: Case,
    ways: Mapping[bytes, Alternative],
    draws: int,
    apart: tuple[str, ...],
    progress: Progress | None,
) -> dict[bytes, tuple[Lines, Lines]]:
    """Evaluate some ways line by line without prices: the curve, and what holds at the holding period."""
    key_of = {way.name: key for key, way in ways.items()}
    blocks: dict[bytes, list[tuple[int, Ledger]]] = {key: [] for key in ways}
    some_ways = _together(tuple(ways.values()))
    for some, ledgers in _parts(case, some_ways, np.arange(draws), _BLOCK, progress, apart=apart):
        for name, ledger in ledgers.items():
            blocks[key_of[name]].append((some.size, ledger))
    return {
        key: (
            _numbers_of(some, lambda one: (one.net_present_cost, one.first_change), "by_year"),
            _numbers_of(some, lambda one: (one.at_holding, one.first_change_at_holding), "at_holding"),
        )
        for key, some in blocks.items()
    }


def _numbers_of(
    blocks: Sequence[tuple[int, Ledger]], own: Callable[[Ledger], tuple[Array, Array]], apart: str
) -> Lines:
    """Join the lines of a way over blocks of futures; one that is nothing everywhere is left out.

    `own` picks what remains and first changes of an account, `apart` names what is picked of its other lines.
    """

    def joined(pick: Callable[[Ledger], Array]) -> Array:
        rows = ((size, pick(one)) for size, one in blocks)
        parts = [np.broadcast_to(row, (size, *row.shape[1:])) for size, row in rows]
        number = parts[0] if len(parts) == 1 else np.concatenate(parts)
        number.setflags(write=False)
        return number

    def line(name: str) -> Array:
        return joined(lambda one: getattr(one.apart[name], apart))

    numbers = {_SALE: joined(lambda one: own(one)[0]), _FIRST_CHANGE: joined(lambda one: own(one)[1])}
    lines = {name: line(name) for name in blocks[0][1].apart}
    return numbers | {name: number for name, number in lines.items() if number.any()}


def _parts(
    case: Case,
    groups: Sequence[tuple[Alternative, ...]],
    order: NDArray[np.int64],
    block: int,
    progress: Progress | None,
    *,
    cut: bool = False,
    apart: Collection[str] = (),
) -> Iterator[tuple[NDArray[np.int64], dict[str, Ledger]]]:
    """Evaluate some futures and some ways of a case at a time, and tell how far it is."""
    blocks = [order[start : start + block] for start in range(0, order.size, block)]
    whole, done = order.size * sum(map(len, groups)), 0
    tell = progress or (lambda done, whole: None)
    tell(0, whole)
    for some, ways in itertools.product(blocks, groups):
        part: Case = take(replace(case, alternatives=ways), some)
        if cut:
            years = math.ceil(float(np.max(part.terms.holding_period)) - 1e-9)
            part = replace(part, terms=replace(part.terms, study_period=years))
        yield some, evaluate(part, totals_only=True, apart=apart)
        done += some.size * len(ways)
        tell(done, whole)


def lines_at_holding(case: Case, *, rows: int, progress: Progress | None = None) -> dict[str, Lines]:
    """Return the lines of every way of a case at the years kept, without prices.

    Parameters
    ----------
    case : Case
        Numbers of shape () or (rows,).
    rows : int
        Number of rows.
    progress : callable or None
        Called before the first block of rows and after each with the rows done and in all, those of each
        way counted; may raise.

    Returns
    -------
    dict of str to Lines, shapes (rows,)
        By way; `priced` adds them up. One value repeated where the case holds no arrays.
    """
    bare = tuple(unpriced(way, case.terms)[0] for way in case.alternatives)
    case = replace(case, alternatives=bare, terms=replace(case.terms, hour_value=1.0, day_cost=1.0))
    single = draws_of(case) is None
    kept = np.broadcast_to(np.asarray(case.terms.holding_period, dtype=float), (1 if single else rows,))
    order = np.argsort(kept, kind="stable")
    out: dict[str, Lines] = {way.name: {} for way in bare}
    parts = _parts(case, (bare,), order, _BLOCK_AT_HOLDING, progress, cut=True, apart=CATEGORIES)
    for some, ledgers in parts:
        for name, ledger in ledgers.items():
            lines = {line: kept_apart.at_holding for line, kept_apart in ledger.apart.items()}
            lines |= {_SALE: ledger.at_holding, _FIRST_CHANGE: ledger.first_change_at_holding}
            for line, number in lines.items():
                whole = out[name].setdefault(line, np.zeros(rows))
                whole[slice(None) if single else some] = number
    return out


def walked(
    points: Sequence[Place],
    answer: Callable[[Place, Evaluator], Found],
    *,
    progress: Progress | None = None,
) -> list[Found]:
    """Answer points one after the other: the one walk over scenarios.

    Parameters
    ----------
    points : sequence
        Whatever tells them apart.
    answer : callable
        Takes a point and the one evaluator of the walk.
    progress : callable or None
        Called before the first point and after each with points done and in all; may raise.

    Returns
    -------
    list
        In the order of the points.
    """
    work, tell = Evaluator(by_category=False), progress or (lambda done, whole: None)
    found = []
    for number, point in enumerate(points):
        tell(number, len(points))
        found.append(answer(point, work))
    tell(len(points), len(points))
    return found


def _together(ways: Sequence[Alternative]) -> list[tuple[Alternative, ...]]:
    """Return ways in groups to be evaluated together, those with equal roofs to follow side by side."""
    following: dict[bytes, list[Alternative]] = {}
    known: dict[int, bytes] = {}
    for way in ways:
        alike = following.setdefault(_digest(replace(way.then, name=""), known), [])
        alike.append(replace(way, then=alike[0].then) if alike else way)
    in_order = [way for alike in following.values() for way in alike]
    return [tuple(in_order[first : first + _WAYS]) for first in range(0, len(in_order), _WAYS)]


def _shared_key(case: Case, draws: int, known: dict[int, bytes]) -> bytes:
    """Return a digest of all numbers that every unpriced way of a case stands on."""
    terms = replace(case.terms, study_period=0, holding_period=0.0, hour_value=0.0, day_cost=0.0)
    bare = replace(case, terms=terms, existing=_past(case.existing), alternatives=(), loan=None)
    return _digest((bare, draws), known)


def _key(case: Case, way: Alternative, shared: bytes, known: dict[int, bytes]) -> bytes:
    """Return a digest of all numbers that an unpriced way stands on; no name of it or its roofs is one.

    Arrays of a case that another of its ways has too are `known`, and what all ways have is `shared`.
    """
    bare = replace(way, name="", title="", base_case=False, subject=False)
    bare = replace(bare, roof=replace(bare.roof, name=""), then=replace(bare.then, name=""))
    loan = replace(case.loan, alternative="") if case.loan and case.loan.alternative == way.name else None
    return _digest((shared, bare, loan), known)


def _past(existing: Existing) -> Existing:
    """Return what the past of the standing roof stands on: its visits, but not what they cost."""
    visits = tuple(replace(visit, cost=0.0, hours=0.0, days=0.0) for visit in existing.roof.visits)
    return replace(existing, leaks_found=None, roof=replace(existing.roof, name="", visits=visits))


def _digest(thing: object, known: dict[int, bytes] | None = None) -> bytes:
    """Return a digest of all numbers within a thing, each where it stands; arrays that are known count so."""
    numbers: list[object] = []
    _flatten(thing, numbers, {} if known is None else known)
    return _short(repr(numbers).encode())


def _short(content: bytes) -> bytes:
    """Return a short digest of some bytes."""
    return hashlib.blake2b(content, digest_size=16).digest()


def _flatten(thing: object, numbers: list[object], known: dict[int, bytes]) -> None:
    """Add all numbers within a thing to a list that tells their places apart; arrays by their digest."""
    kind: Any = type(thing)
    if kind in _PLAIN:
        numbers.append(thing)
    elif kind is np.ndarray:
        array: Any = thing
        if id(array) not in known:
            known[id(array)] = _short(f"{array.shape}".encode() + array.tobytes())
        numbers.append(known[id(array)])
    elif names := _names(kind):
        for name in names:
            _flatten(getattr(thing, name), numbers, known)
    elif isinstance(thing, Mapping):
        for both in thing.items():
            _flatten(both, numbers, known)
    elif kind is tuple:
        numbers.append("(")
        for value in thing:  # type: ignore[attr-defined]
            _flatten(value, numbers, known)
    else:
        numbers.append(thing)


_PLAIN = frozenset((float, str, int, bool, type(None)))


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """Return the names of the fields of a kind of thing; none of what has no fields."""
    return tuple(field.name for field in fields(kind)) if is_dataclass(kind) else ()
