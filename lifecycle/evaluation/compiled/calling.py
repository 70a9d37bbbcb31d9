"""From a case to the kernel and back: lines of the account, rows of numbers, results by name.

Lecture
-------
The kernel knows no names and asks no questions. So a case is checked and laid out once, each part from those
before it:

- *lines* of the account: one for each category, upkeep by visit, and, unless totals are all, each count;
  those that make up the totals first, then those that are kept apart,
- *results*: which rows each alternative writes,
- *rows* of numbers: what may differ between draws; the numbers of a roof stand together,
- *calendars*: which visits are due in each month of a spell, a bit for each visit.

Draws are taken some hundred at a time, and shared between the processor's cores: the kernel holds no lock
while it works. What it writes is read by name, where it stands.

Left out: the loan (`expectation`).
"""

from __future__ import annotations

import ctypes
from collections.abc import Collection, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import accumulate, chain
from math import prod

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import discount_factor
from lifecycle.errors import Fault, stop_at
from lifecycle.evaluation.compiled.library import RESULTS, Library
from lifecycle.evaluation.flows import FLOWS
from lifecycle.evaluation.ledger import COUNTS, Apart, Ledger, holding_months
from lifecycle.evaluation.timeline import due_visits, past_visits
from lifecycle.roofs import Alternative, Case, Leaks, Number, Roof, Visit

Array = NDArray[np.float64]
Due = tuple[tuple[Visit, ...], ...]
"""The visits that are due, by month."""

_FEWEST_DRAWS_AT_A_TIME, _MOST_DRAWS_AT_A_TIME = 64, 512
_NO_MEMORY = 1
_MONTH = np.uint32
"""A month of a calendar: a bit for each kind of visit, so that there are no more of them."""

COUNT_LINES = ("renewals", "leaks", "severe_finds", "days_out_of_use", "owners_hours")
"""The lines of what is counted, in the order of `COUNTS`."""

_PARTS = ("chance_renewed", "by_line")
"""Results that are left out where totals are all."""


class _Case(ctypes.Structure):
    """What the kernel is given; pointers, in its order."""

    _fields_ = [
        ("numbers", ctypes.c_void_p),
        ("results", ctypes.c_void_p),
        ("columns", ctypes.c_int64),
        *(
            (name, ctypes.c_void_p)
            for name in (
                "sizes",
                "past",
                "lines",
                "spells",
                "ways",
                "calendar",
                "upkeep_lines",
                "rates",
                "hidden_ages",
                "apart_lines",
            )
        ),
    ]


def unfit(case: Case) -> str | None:
    """Return why the kernel cannot evaluate a case; None: it can."""
    roofs = [case.existing.roof, *(roof for way in case.alternatives for roof in (way.roof, way.then))]
    most = np.iinfo(_MONTH).bits
    if max(len(roof.all_visits) for roof in roofs) > most:
        return f"more than {most} kinds of visit"
    plans = [plan for roof in roofs for plan in (roof.visits, roof.visits_after)]
    twice = any(len({id(visit) for visit in plan}) < len(plan) for plan in plans)
    return "a visit that stands twice in a plan" if twice else None


def evaluate_compiled(
    case: Case,
    draws: int,
    library: Library,
    *,
    totals_only: bool,
    workers: int,
    apart: Collection[str] = (),
) -> dict[str, Ledger]:
    """Return the account of each alternative, without its loan.

    Parameters
    ----------
    case : Case
        Resolved roofs and alternatives; numbers of shape () or (draws,).
    draws : int
        Number of draws.
    library : Library
        The kernel.
    totals_only : bool
        Whether to leave categories and counts out.
    workers : int
        Threads.
    apart : collection of str
        Categories that are no part of the totals.

    Returns
    -------
    dict of str to Ledger
        By name of alternative.

    Raises
    ------
    ScenarioError
        If an age, the study period or the month of a change is too small.
    ValueError
        If the years kept lie outside the study period.
    MemoryError
        If the kernel finds no room to work in.
    """
    _check(case)
    due = {way.name: _due(case, way) for way in case.alternatives}
    lines = _lines(case, due, apart, totals_only)
    places = _places(case, lines, totals_only)
    plan = _laid_out(case, library, due, lines, places)
    results = plan.run(draws, workers)
    return {way.name: _ledger(way, lines, places[way.name].read(results)) for way in case.alternatives}


def recall_compiled(case: Case, draws: int, library: Library) -> tuple[Array, Array]:
    """Return the log chance that the existing roof stands, and the leaks found on it (`past`).

    Parameters
    ----------
    case : Case
        Resolved roofs and alternatives; numbers of shape () or (draws,).
    draws : int
        Number of draws.
    library : Library
        The kernel.

    Returns
    -------
    tuple of ndarray, each of shape (draws,)
        Logarithm of the chance [-]; leaks found so far by a roof that stands [leaks].

    Raises
    ------
    ScenarioError
        If an age, the study period or the month of a change is too small.
    MemoryError
        If the kernel finds no room to work in.
    """
    _check(case)
    layout = library.layout
    rows = _Rows(layout)
    past = _past(case, rows)
    sizes = {**dict.fromkeys(layout["Sizes"], 0), "months": case.existing.age, "rates": 1}
    structures = {
        "sizes": _whole([{**sizes, "rows": len(layout["History"])}], layout["Sizes"]),
        "past": _whole([past], layout["Past"]),
        "calendar": np.array(rows.calendar, dtype=_MONTH),
    }
    plan = _Plan(library, rows.numbers, structures, len(layout["History"]), "lifecycle_recall")
    found = dict(zip(layout["History"], plan.run(draws, 1), strict=True))
    return found["log_stands"], found["found_so_far"]


def _check(case: Case) -> None:
    """Refuse months and years that lie before their beginning: there is no entry for them."""
    existing = case.existing
    back, ahead = "count the months back from today", "count the months from today; None: none is planned"
    least = [
        ("existing.age", existing.age, 0, "months", back),
        ("existing.seal_age", existing.seal_age, 0, "months", back),
        ("terms.study_period", case.terms.study_period, 1, "years", "a sale falls on the end of a year"),
        *(
            (f"alternatives.{way.name}.change_month", way.change_month or 0, 0, "months", ahead)
            for way in case.alternatives
        ),
    ]
    stop_at(
        Fault(place, f"must be {low} {unit} or more", str(value), remedy)
        for place, value, low, unit, remedy in least
        if value < low
    )


def _due(case: Case, way: Alternative) -> tuple[Due, Due]:
    """Return the visits of an alternative: of the standing roof, and of the one that follows."""
    months, planned = case.terms.months, way.change_month
    last = months if planned is None else min(planned, months)
    own = due_visits(way.roof, last, standing=case.existing, planned=planned)
    return own, due_visits(way.then, months)


# --- lines of the account ---------------------------------------------------------------------------


@dataclass(frozen=True)
class _Lines:
    """The lines of the account: money in the totals, money kept apart, first changes, counts."""

    place: Mapping[str, int]
    rate: tuple[int, ...]  # of each line: the place of its rate of escalation
    rates: tuple[Number | None, ...]  # None: not even discounted
    in_totals: int  # so many of the first
    of_way: Mapping[str, tuple[str, ...]]  # the money lines of each alternative, as its account names them
    apart: Mapping[str, tuple[str, ...]]  # those of them that are kept apart


def _lines(
    case: Case, due: Mapping[str, tuple[Due, Due]], apart: Collection[str], totals_only: bool
) -> _Lines:
    """Name the lines, and say which rate of escalation each has.

    Their order is that of the categories, and of the names of visits, whatever other ways there are: so a
    way is added up in one order, and costs the same to the bit in any company.
    """
    rates: dict[float, Number | None] = {0.0: 0.0}
    rate_of: dict[str, int] = {}
    for category in FLOWS:
        rate = case.terms.escalation.get(category, 0.0)
        key = float(rate) if np.ndim(rate) == 0 else float(id(rate))
        rates.setdefault(key, rate)
        rate_of[category] = list(rates).index(key)
    of_way = {}
    for way in case.alternatives:
        names = _names(case, way, due[way.name])
        # An account names lines of one rate of escalation together, as the numpy form does.
        met = list(dict.fromkeys(rate_of[_category(name)] for name in names))
        of_way[way.name] = tuple(sorted(names, key=lambda name: met.index(rate_of[_category(name)])))

    def order(name: str) -> tuple[bool, int, str]:
        return _category(name) in apart, FLOWS.index(_category(name)), name

    money = sorted(set(chain(*of_way.values())), key=order)
    counts = () if totals_only else COUNT_LINES
    return _Lines(
        {name: place for place, name in enumerate([*money, "first_changes", *counts])},
        (*(rate_of[_category(name)] for name in money), rate_of["renewal"], *(len(rates) for _ in counts)),
        (*rates.values(), None),
        sum(_category(name) not in apart for name in money),
        of_way,
        {way: tuple(one for one in names if _category(one) in apart) for way, names in of_way.items()},
    )


def _names(case: Case, way: Alternative, due: tuple[Due, Due]) -> list[str]:
    """Return the names of the money lines of an alternative, as its spells write them."""
    names: list[str] = []
    for roof, days in zip((way.roof, way.then), due, strict=True):
        there = {
            "insurance": np.any(case.leaks_under(way).insured_share),
            "warranty": np.any(roof.warranty_share),
            "energy": np.any(roof.energy_cost),
        }
        for name in FLOWS:
            if name == "upkeep":
                names += [_upkeep(visit) for day in days for visit in day]
            elif there.get(name, True):
                names.append(name)
    return list(dict.fromkeys(names))


def _upkeep(visit: Visit) -> str:
    """Return the line of a visit."""
    return f"upkeep: {visit.name}"


def _category(line: str) -> str:
    """Return the category of a line."""
    return line.split(":")[0]


# --- results ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Places:
    """Where the results of an alternative stand among the rows, each by its name."""

    first: Mapping[str, int]
    shape: Mapping[str, tuple[int, ...]]  # how many of each: () for one number a draw
    end: int

    def read(self, rows: Array) -> dict[str, Array]:
        """Return each result, draws last, where it stands: nothing is copied."""
        return {
            name: rows[first : first + prod(self.shape[name])].reshape(*self.shape[name], rows.shape[1])
            for name, first in self.first.items()
        }


def _places(case: Case, lines: _Lines, totals_only: bool) -> dict[str, _Places]:
    """Give each alternative its rows."""
    names = [name for name in RESULTS if not (totals_only and name in _PARTS)]
    found, start = dict[str, _Places](), 0
    for way in case.alternatives:
        many = {
            "years": case.terms.study_period + 1,
            "aparts": len(lines.apart[way.name]),
            "lines": len(lines.rate),
        }
        shape = {name: tuple(many[axis] for axis in RESULTS[name]) for name in names}
        *first, start = accumulate(map(prod, shape.values()), initial=start)
        found[way.name] = _Places(dict(zip(names, first, strict=True)), shape, start)
    return found


def _ledger(way: Alternative, lines: _Lines, found: Mapping[str, Array]) -> Ledger:
    """Return the account of one alternative."""
    residual = found["residual"]
    by_category, expected = dict[str, Array](), dict[str, Array]()
    if "by_line" in found:
        line = {name: found["by_line"][place] for name, place in lines.place.items()}
        today = way.change_month == 0
        by_category = {name: line[name] for name in lines.of_way[way.name]}
        by_category["initial"] = np.zeros_like(residual) + (way.quote if today else 0.0)
        by_category["renewal"] = by_category["renewal"] - by_category["initial"]
        by_category["sale"] = found["found_at_sale"] - residual
        expected = {count: line[name] for count, name in zip(COUNTS, COUNT_LINES, strict=True)}
        expected["renewals"] = expected["renewals"] - float(today)
    apart = zip(found["apart_by_year"], found["apart_at_holding"], strict=True)
    return Ledger(
        net_present_cost=found["by_year"].T,
        at_holding=found["at_holding"],
        by_category=by_category,
        expected=expected,
        chance_renewed=found.get("chance_renewed", np.empty((0, residual.size))).T,
        first_change=found["first_change"].T,
        first_change_at_holding=found["first_change_at_holding"],
        residual_at_holding=residual,
        apart={
            name: Apart(by_year.T, at_holding)
            for name, (by_year, at_holding) in zip(lines.apart[way.name], apart, strict=True)
        },
    )


# --- numbers and calendars --------------------------------------------------------------------------


class _Rows:
    """What spells read, as it is laid out; whoever adds to it is told where that stands."""

    def __init__(self, layout: Mapping[str, Sequence[str]]) -> None:
        self.layout = layout
        self.numbers: list[Number] = []
        self.calendar: list[int] = []
        self.upkeep_lines: list[int] = []
        self._first: dict[tuple[object, ...], int] = {}

    def add(self, *numbers: Number) -> int:
        """Add numbers, and return the first row."""
        self.numbers += numbers
        return len(self.numbers) - len(numbers)

    def named(self, kind: str, **numbers: Number) -> int:
        """Add the numbers of a kind of thing, and return the first row."""
        return self.add(*(numbers[name] for name in self.layout[kind]))

    def of(self, kind: str, *things: object) -> int:
        """Return the first row of the numbers of some things; they stand once, and together."""
        key = (kind, *map(id, things))
        if key not in self._first:
            self._first[key] = len(self.numbers)
            for thing in things:
                self.named(kind, **vars(thing))
        return self._first[key]

    def visits(self, due: Due, place: Mapping[str, int] | None = None) -> dict[str, int]:
        """Return where the calendar of some visits stands, their numbers, and, if wanted, their lines."""
        visits = list({id(visit): visit for day in due for visit in day}.values())
        bit = {id(visit): 1 << place for place, visit in enumerate(visits)}
        placed = {"due": len(self.calendar), "visits": len(visits), "upkeep_line": len(self.upkeep_lines)}
        self.calendar += [sum(bit[id(visit)] for visit in day) if day else 0 for day in due]
        self.upkeep_lines += [] if place is None else [place[_upkeep(visit)] for visit in visits]
        return {**placed, "visit": self.of("Visit", *visits)}

    def spell(self, roof: Roof, leaks: Leaks, due: Due, lines: _Lines, **change: Number) -> dict[str, int]:
        """Return where all stands that a spell reads."""
        first = {"roof": self.of("Roof", roof), "leaks": self.of("Leaks", leaks)}
        visits = self.visits(due, lines.place)
        return {**first, **visits, "change": self.named("Change", **change), "last": len(due) - 1}


@dataclass(frozen=True)
class _Plan:
    """A case laid out for the kernel."""

    library: Library
    numbers: Sequence[Number]  # row by row
    structures: Mapping[str, NDArray[np.generic]]
    rows: int  # of results
    entry: str = "lifecycle_expect"

    def run(self, draws: int, workers: int) -> Array:
        """Evaluate some hundred draws at a time; shape (rows, draws)."""
        results = np.empty((self.rows, draws))
        size = min(_MOST_DRAWS_AT_A_TIME, max(_FEWEST_DRAWS_AT_A_TIME, -(-draws // workers)))
        starts = range(0, draws, size)

        def some(start: int) -> None:
            end = min(start + size, draws)
            results[:, start:end] = self._run(start, end)

        if len(starts) == 1:
            some(0)
        else:
            with ThreadPoolExecutor(workers) as pool:
                list(pool.map(some, starts))
        return results

    def _run(self, start: int, end: int) -> Array:
        """Evaluate the draws start ... end - 1; shape (rows, draws)."""
        lanes = self.library.lanes
        columns = -(-(end - start) // lanes) * lanes
        numbers = np.empty((len(self.numbers), columns))
        for row, value in zip(numbers, self.numbers, strict=True):
            several = np.ndim(value) > 0
            row[: end - start] = value[start:end] if several else value  # type: ignore[index]
            row[end - start :] = row[end - start - 1]
        results = np.full((self.rows, columns), np.nan)
        given = {name: array.ctypes.data for name, array in self.structures.items()}
        case = _Case(numbers=numbers.ctypes.data, results=results.ctypes.data, columns=columns, **given)
        failed = getattr(self.library.functions, self.entry)(ctypes.addressof(case), 0, columns)
        if failed == _NO_MEMORY:
            raise MemoryError("the evaluation finds no memory to work in")
        if failed:
            raise RuntimeError("the kernel writes a result where no row is laid out for it")
        return results[:, : end - start]


def _laid_out(
    case: Case,
    library: Library,
    due: Mapping[str, tuple[Due, Due]],
    lines: _Lines,
    places: Mapping[str, _Places],
) -> _Plan:
    """Lay out a case: its terms, then its past, the spells of new roofs, those of the standing one."""
    terms, layout, rows = case.terms, library.layout, _Rows(library.layout)
    holding = holding_months(terms).astype(float)
    rows.named("Terms", holding_months=holding, day_cost=terms.day_cost, hour_value=terms.hour_value)
    rows.add(*(_discount_of_a_month(terms.discount_rate, rate) for rate in lines.rates))
    past = _past(case, rows)
    following, new_roofs = _new_roofs(case, due, lines, rows)
    standing = [_standing(case, way, due[way.name][0], lines, rows) for way in case.alternatives]
    ways: list[dict[str, int]] = []
    apart: list[int] = []
    for place, way in enumerate(case.alternatives, start=len(new_roofs)):
        own = [lines.place[name] for name in lines.apart[way.name]]
        spells = {"existing": place, "following": following[way.name]}
        results = {**dict.fromkeys(RESULTS, -1), **places[way.name].first}
        ways.append({**spells, "apart": len(apart), "aparts": len(own), **results})
        apart += own
    end = max(place.end for place in places.values())
    sizes = {
        "months": terms.months,
        "years": terms.study_period,
        "new_roofs": len(new_roofs),
        "ways": len(ways),
        "lines": len(lines.rate),
        "money_lines": lines.in_totals,
        "rates": len(lines.rates),
        "rows": end,
        "most_cohorts": max(past["age"], past["listed"], 0),
    }
    which = {name.replace(" ", "_"): place for name, place in lines.place.items()}
    structures = {
        "sizes": _whole([sizes], layout["Sizes"]),
        "past": _whole([past], layout["Past"]),
        "lines": _whole([dict.fromkeys(layout["Lines"], -1) | which], layout["Lines"]),
        "spells": _whole([*new_roofs, *standing], layout["Spell"]),
        "ways": _whole(ways, layout["Way"]),
        "calendar": np.array(rows.calendar, dtype=_MONTH),
        "upkeep_lines": np.array([*rows.upkeep_lines, 0], dtype=np.int32),
        "rates": np.array(lines.rate, dtype=np.int32),
        "hidden_ages": np.array([leak.age for leak in case.existing.hidden_now or ()], dtype=float),
        "apart_lines": np.array([*apart, 0], dtype=np.int32),
    }
    return _Plan(library, rows.numbers, structures, end)


def _new_roofs(
    case: Case, due: Mapping[str, tuple[Due, Due]], lines: _Lines, rows: _Rows
) -> tuple[dict[str, int], list[dict[str, int]]]:
    """Lay out the spells of new roofs, each once; return which of them follows each alternative, and all."""
    known: dict[tuple[int, int], int] = {}
    following: dict[str, int] = {}
    spells: list[dict[str, int]] = []
    fresh = {"planned": -1, "newly_laid": 1, "calendar_age": 0, "seal_age": 0}
    for way in case.alternatives:
        new, leaks = way.then, case.leaks_under(way)
        following[way.name] = known.setdefault((id(new), id(leaks)), len(spells))
        if following[way.name] == len(spells):
            change = {"quote": new.renew_cost, "days": new.renew_days}
            spells.append(fresh | rows.spell(new, leaks, due[way.name][1], lines, **change))
    return following, spells


def _standing(case: Case, way: Alternative, due: Due, lines: _Lines, rows: _Rows) -> dict[str, int]:
    """Lay out the spell of the standing roof under an alternative."""
    planned, existing = way.change_month, case.existing
    today = {
        "planned": planned if planned is not None and planned <= case.terms.months else -1,
        "newly_laid": 0,
        "calendar_age": existing.age,
        "seal_age": existing.seal_age,
    }
    change = {"quote": way.quote, "days": way.days}
    return today | rows.spell(way.roof, case.leaks_under(way), due, lines, **change)


def _discount_of_a_month(discount_rate: Number, escalation: Number | None) -> Number:
    """Return what a month discounts at a rate of escalation; None: nothing."""
    if escalation is None:
        return 1.0
    rate, growth = np.asarray(discount_rate), np.asarray(escalation)
    return np.asarray(discount_factor(1.0, discount_rate=rate, escalation=growth))


def _past(case: Case, rows: _Rows) -> dict[str, int]:
    """Lay out the past of the standing roof."""
    existing, hidden = case.existing, case.existing.hidden_now
    return {
        "age": existing.age,
        "roof": rows.of("Roof", existing.roof),
        "leaks": rows.of("Leaks", case.leaks),
        **rows.visits(past_visits(existing)),
        "listed": -1 if hidden is None else len(hidden),
        "hidden_leak": rows.of("HiddenLeak", *hidden or ()),
        "inspected": rows.add(existing.inspected_today),
        "effective_age": -1 if existing.effective_age is None else rows.add(existing.effective_age),
    }


def _whole(things: Sequence[Mapping[str, int]], names: Sequence[str]) -> NDArray[np.int32]:
    """Return whole numbers as the kernel's structures, shape (things, names)."""
    return np.array([[thing[name] for name in names] for thing in things], dtype=np.int32)
