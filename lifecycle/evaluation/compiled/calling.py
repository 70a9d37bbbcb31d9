"""From a case to the kernel and back: rows of numbers, calendars of visits, lines of the account.

Lecture
-------
The kernel knows no names and asks no questions. So the caller lays out, once for a case,

- *numbers*: what may differ between draws, row by row; the numbers of a roof stand together,
- *calendars*: which visits are due in each month of a spell, a bit for each visit,
- *lines* of the account: one for each category, upkeep by visit, and, unless totals are all, each count;
  those that make up the totals first, then those that are kept apart,

and checks every size and index. Draws are taken some hundred at a time, and shared between the
processor's cores: the kernel holds no lock while it works.

Left out: the loan (`expectation`).
"""

from __future__ import annotations

import ctypes
from collections.abc import Collection, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lifecycle.economics import discount_factor
from lifecycle.evaluation.compiled.library import Library
from lifecycle.evaluation.ledger import COUNTS, Apart, Ledger, holding_months
from lifecycle.evaluation.past import past_visits
from lifecycle.evaluation.timeline import due_visits
from lifecycle.roofs import Alternative, Case, Number, Roof, Visit

Array = NDArray[np.float64]

_FEWEST_DRAWS_AT_A_TIME, _MOST_DRAWS_AT_A_TIME = 64, 512
_MOST_VISITS = 32

CATEGORIES_IN_ORDER = ("renewal", "leak damage", "insurance", "warranty", "energy", "upkeep", "days", "hours")
"""In the order in which a spell writes them."""

COUNT_LINES = ("renewals", "leaks", "severe_finds", "days_out_of_use", "owners_hours")
"""The lines of what is counted, in the order of `COUNTS`."""


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
    if max(len(roof.all_visits) for roof in roofs) > _MOST_VISITS:
        return f"more than {_MOST_VISITS} kinds of visit"
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
    MemoryError
        If the kernel finds no room to work in.
    """
    plan = _Plan(case, library, totals_only, apart)
    results = np.empty((plan.rows[-1], draws))
    size = min(_MOST_DRAWS_AT_A_TIME, max(_FEWEST_DRAWS_AT_A_TIME, -(-draws // workers)))
    starts = range(0, draws, size)

    def some(start: int) -> None:
        end = min(start + size, draws)
        results[:, start:end] = plan.run(start, end)

    if len(starts) == 1:
        some(0)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(some, starts))
    return {way.name: plan.ledger(way, results) for way in case.alternatives}


class _Plan:
    """A case laid out for the kernel.

    Parameters
    ----------
    case : Case
        Resolved roofs and alternatives.
    library : Library
        The kernel.
    totals_only : bool
        Whether to leave categories and counts out.
    apart : collection of str
        Categories that are no part of the totals.
    """

    def __init__(self, case: Case, library: Library, totals_only: bool, apart: Collection[str]) -> None:
        self.case, self.library, self.totals_only, self.apart = case, library, totals_only, apart
        self.values: list[Number] = []
        self.placed: dict[tuple[str, int], int] = {}
        self.calendar: list[int] = []
        self.upkeep_lines: list[int] = []
        self.apart_lines: list[int] = []
        self.rows = [0]
        self.months, self.years = case.terms.months, case.terms.study_period
        self._name_lines()
        self._lay_out()

    # --- lines of the account -----------------------------------------------------------------------

    def _name_lines(self) -> None:
        """Name the lines, and say which rate of escalation each has.

        Their order is that of the categories, and of the names of visits, whatever other ways there are: so
        a way is added up in one order, and costs the same to the bit in any company.
        """
        case = self.case
        rates: dict[float, int] = {0.0: 0}
        self.growth: list[Number] = [0.0]
        self.category_rate: dict[str, int] = {}
        for category in CATEGORIES_IN_ORDER:
            rate = case.terms.escalation.get(category, 0.0)
            key = float(rate) if np.ndim(rate) == 0 else float(id(rate))
            if key not in rates:
                rates[key] = len(self.growth)
                self.growth.append(rate)
            self.category_rate[category] = rates[key]
        self.due = {way.name: self._due_of(way) for way in case.alternatives}
        self.names = {way.name: self._names(way) for way in case.alternatives}
        place = {category: place for place, category in enumerate(CATEGORIES_IN_ORDER)}
        names = {name for names in self.names.values() for name in names}
        ordered = sorted(names, key=lambda name: (self._is_apart(name), place[name.split(":")[0]], name))
        self.lines = {name: place for place, name in enumerate(ordered)}
        self.line_rate = [self._rate_of(name) for name in ordered]
        self.money_lines = sum(not self._is_apart(name) for name in ordered)
        self.first_changes = len(self.line_rate)
        self.line_rate.append(self.category_rate["renewal"])
        if not self.totals_only:
            self.count_line = {name: len(self.line_rate) + i for i, name in enumerate(COUNT_LINES)}
            self.line_rate += [len(self.growth)] * len(COUNT_LINES)

    def _rate_of(self, name: str) -> int:
        """Return the place of a line's rate of escalation."""
        return self.category_rate[name.split(":")[0]]

    def _is_apart(self, name: str) -> bool:
        """Whether a line is no part of the totals."""
        return name.split(":")[0] in self.apart

    def _names(self, way: Alternative) -> list[str]:
        """Return the names of the money lines of an alternative, those of one rate of escalation together."""
        names: list[str] = []
        for roof, due in zip((way.roof, way.then), self.due[way.name], strict=True):
            there = {
                "insurance": np.any(self.case.leaks_under(way).insured_share),
                "warranty": np.any(roof.warranty_share),
                "energy": np.any(roof.energy_cost),
            }
            done = dict.fromkeys(f"upkeep: {visit.name}" for day in due for visit in day)
            for name in CATEGORIES_IN_ORDER:
                names += done if name == "upkeep" else [name] if there.get(name, True) else []
        groups = dict.fromkeys(self._rate_of(name) for name in names)
        once = dict.fromkeys(names)
        return [name for rate in groups for name in once if self._rate_of(name) == rate]

    def _due_of(self, way: Alternative) -> tuple[tuple[tuple[Visit, ...], ...], ...]:
        """Return the visits by month of the standing roof, and of the one that follows."""
        existing, months, planned = self.case.existing, self.months, way.change_month
        last = months if planned is None else min(planned, months)
        own = due_visits(way.roof, last, standing=existing, planned=planned)
        return own, due_visits(way.then, months)

    # --- numbers and calendars ----------------------------------------------------------------------

    def _rows(self, kind: str, things: Sequence[Any]) -> int:
        """Return the first row of the numbers of some things that stand together."""
        first = len(self.values)
        for thing in things:
            key = kind, id(thing)
            if len(things) == 1 and key in self.placed:
                return self.placed[key]
            self.placed.setdefault(key, len(self.values))
            self.values += [getattr(thing, name) for name in self.library.layout[kind]]
        return first

    def _visits(self, due: tuple[tuple[Visit, ...], ...], *, lines: bool) -> dict[str, int]:
        """Lay out the visits that are due in a spell, and return where."""
        visits = list({id(visit): visit for day in due for visit in day}.values())
        bit = {id(visit): 1 << place for place, visit in enumerate(visits)}
        placed = {"due": len(self.calendar), "visits": len(visits), "upkeep_line": len(self.upkeep_lines)}
        self.calendar += [sum(bit[id(visit)] for visit in day) for day in due]
        if lines:
            self.upkeep_lines += [self.lines[f"upkeep: {visit.name}"] for visit in visits]
        return {**placed, "visit": self._rows("Visit", visits) if visits else 0}

    def _lay_out(self) -> None:
        """Lay out numbers, calendars and structures."""
        case, terms = self.case, self.case.terms
        existing, changes = case.existing, [way.change_month or 0 for way in case.alternatives]
        if min(existing.age, existing.seal_age, self.years - 1, *changes) < 0:
            raise ValueError("ages and the month of a change must not be negative, nor the study period 0")
        self.values += [holding_months(terms).astype(float), terms.day_cost, terms.hour_value]
        rate_row = len(self.values)
        month = [
            discount_factor(1.0, discount_rate=np.asarray(terms.discount_rate), escalation=np.asarray(rate))
            for rate in self.growth
        ]
        self.values += [*month, 1.0]
        past = self._past()
        spells, ways = self._spells_and_ways()
        sizes = {
            "months": self.months,
            "years": self.years,
            "new_roofs": len(spells) - len(ways),
            "ways": len(ways),
            "lines": len(self.line_rate),
            "money_lines": self.money_lines,
            "rates": len(self.growth) + 1,
            "rate": rate_row,
            "terms": 0,
            "by_line": not self.totals_only,
            "most_cohorts": max(past["age"], past["listed"], 0),
        }
        line = {name.replace(" ", "_"): place for name, place in self.lines.items()}
        counts = {} if self.totals_only else self.count_line
        which = {**line, **counts, "first_changes": self.first_changes}
        layout = self.library.layout
        self.arrays = {
            "sizes": _whole([sizes], layout["Sizes"]),
            "past": _whole([past], layout["Past"]),
            "lines": _whole([{name: which.get(name, -1) for name in layout["Lines"]}], layout["Lines"]),
            "spells": _whole(spells, layout["Spell"]),
            "ways": _whole(ways, layout["Way"]),
            "calendar": np.array(self.calendar, dtype=np.uint32),
            "upkeep_lines": np.array([*self.upkeep_lines, 0], dtype=np.int32),
            "rates": np.array(self.line_rate, dtype=np.int32),
            "hidden_ages": np.array([leak.age for leak in case.existing.hidden_now or ()], dtype=float),
            "apart_lines": np.array([*self.apart_lines, 0], dtype=np.int32),
        }

    def _spells_and_ways(self) -> tuple[list[dict[str, int]], list[dict[str, int]]]:
        """Lay out the spells, those of new roofs first, and each alternative with its rows of results."""
        new_roofs: dict[tuple[int, int], int] = {}
        spells: list[dict[str, int]] = []
        for way in self.case.alternatives:
            new = id(way.then), id(self.case.leaks_under(way))
            if new not in new_roofs:
                new_roofs[new] = len(spells)
                spells.append(self._new_roof(way))
        ways: list[dict[str, int]] = []
        by_line = 0 if self.totals_only else self.years + 1 + len(self.line_rate)
        for way in self.case.alternatives:
            own = [self.lines[name] for name in self.names[way.name] if self._is_apart(name)]
            ways.append(
                {
                    "existing": len(spells),
                    "following": new_roofs[id(way.then), id(self.case.leaks_under(way))],
                    "results": self.rows[-1],
                    "apart": len(self.apart_lines),
                    "aparts": len(own),
                }
            )
            spells.append(self._standing_roof(way))
            self.apart_lines += own
            self.rows.append(self.rows[-1] + (2 + len(own)) * (self.years + 2) + 2 + by_line)
        return spells, ways

    def _past(self) -> dict[str, int]:
        """Lay out the past of the standing roof."""
        existing = self.case.existing
        hidden, effective_age = existing.hidden_now, existing.effective_age
        self.values.append(existing.inspected_today)
        inspected = len(self.values) - 1
        if effective_age is not None:
            self.values.append(effective_age)
        return {
            "age": existing.age,
            "roof": self._rows("Roof", [existing.roof]),
            "leaks": self._rows("Leaks", [self.case.leaks]),
            **self._visits(past_visits(existing), lines=False),
            "listed": -1 if hidden is None else len(hidden),
            "hidden_leak": self._rows("HiddenLeak", hidden) if hidden else 0,
            "inspected": inspected,
            "effective_age": -1 if effective_age is None else inspected + 1,
        }

    def _new_roof(self, way: Alternative) -> dict[str, int]:
        """Lay out the spell of a roof laid in month 0."""
        change = len(self.values)
        self.values += [way.then.renew_cost, way.then.renew_days]
        return {
            **self._spell(way, way.then, self.due[way.name][1], change),
            "last": self.months,
            "planned": -1,
            "newly_laid": 1,
            "calendar_age": 0,
            "seal_age": 0,
        }

    def _standing_roof(self, way: Alternative) -> dict[str, int]:
        """Lay out the spell of the existing roof under one alternative."""
        existing, planned = self.case.existing, way.change_month
        change = len(self.values)
        self.values += [way.quote, way.days]
        within = planned is not None and planned <= self.months
        return {
            **self._spell(way, way.roof, self.due[way.name][0], change),
            "last": planned if planned is not None and within else self.months,
            "planned": planned if planned is not None and within else -1,
            "newly_laid": 0,
            "calendar_age": existing.age,
            "seal_age": existing.seal_age,
        }

    def _spell(
        self, way: Alternative, roof: Roof, due: tuple[tuple[Visit, ...], ...], change: int
    ) -> dict[str, int]:
        """Lay out what all spells have."""
        return {
            "roof": self._rows("Roof", [roof]),
            "leaks": self._rows("Leaks", [self.case.leaks_under(way)]),
            "change": change,
            **self._visits(due, lines=True),
        }

    # --- the call, and back -------------------------------------------------------------------------

    def run(self, start: int, end: int) -> Array:
        """Evaluate the draws start ... end - 1; shape (rows, draws)."""
        lanes = self.library.lanes
        columns = -(-(end - start) // lanes) * lanes
        numbers = np.empty((len(self.values), columns))
        for row, value in zip(numbers, self.values, strict=True):
            several = np.ndim(value) > 0
            row[: end - start] = value[start:end] if several else value  # type: ignore[index]
            row[end - start :] = row[end - start - 1]
        results = np.empty((self.rows[-1], columns))
        case = _Case(
            numbers.ctypes.data,
            results.ctypes.data,
            columns,
            *(array.ctypes.data for array in self.arrays.values()),
        )
        if self.library.functions.lifecycle_expect(ctypes.addressof(case), 0, columns):
            raise MemoryError("the evaluation finds no memory to work in")
        return results[:, : end - start]

    def ledger(self, way: Alternative, results: Array) -> Ledger:
        """Read the account of one alternative."""
        place = [other.name for other in self.case.alternatives].index(way.name)
        own, at = results[self.rows[place] : self.rows[place + 1]], 0
        years, draws = self.years + 1, results.shape[1]

        def some(number: int) -> Array:
            """Return the next rows, shape (draws, number), where they stand: nothing is copied."""
            nonlocal at
            at += number
            return own[at - number : at].T

        by_year = some(years)
        at_holding, found, residual, first_change = some(4).T
        first_changes = some(years)
        apart = {
            name: Apart(at_holding=some(1)[:, 0], by_year=some(years))
            for name in self.names[way.name]
            if self._is_apart(name)
        }
        if self.totals_only:
            none = np.empty((draws, 0))
            return Ledger(by_year, at_holding, {}, {}, none, first_changes, first_change, residual, apart)
        chance = some(years)
        lines = own[at:]
        by_category = {name: lines[self.lines[name]] for name in self.names[way.name]}
        expected = {
            count: lines[self.count_line[line]] for count, line in zip(COUNTS, COUNT_LINES, strict=True)
        }
        today = way.change_month == 0
        by_category["initial"] = np.zeros(draws) + (way.quote if today else 0.0)
        by_category["renewal"] = by_category["renewal"] - by_category["initial"]
        by_category["sale"] = found - residual
        expected["renewals"] = expected["renewals"] - float(today)
        return Ledger(
            by_year, at_holding, by_category, expected, chance, first_changes, first_change, residual, apart
        )


def _whole(things: Sequence[dict[str, int]], names: Sequence[str]) -> NDArray[np.int32]:
    """Return whole numbers as the kernel's structures, shape (things, names)."""
    return np.array([[thing[name] for name in names] for thing in things], dtype=np.int32)
