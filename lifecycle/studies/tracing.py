"""From a printed result to the figures that it stands on; and what each figure does to each way alone.

Lecture
-------
A *result* of one way at the years kept is a function of the inputs. It is traced by moving one input at a
time to the two ends of its range, all others at their likely values::

    move of an input = result at its high end, result at its low end

An input that moves the result by nothing is no part of it. So the list is found by computing, not by
hand, and cannot go out of date. Inputs that stand at one value are nudged by a hundredth, to find those
that the result stands on as well. The moves are evaluated once (`moved`); any number of results is read
from them.

A swing says what an input does to the difference of two ways; where it moves both, its sign is hidden. An
*effect* is what it does to one way alone: its cost at the years kept at the high end of the range, less that
at the low end. By the name of its field an input is expected to raise the cost or to lower it
(`effects.toml`); where a way's sign is the other one, the data must hold a reason. A sign without one is a
fault: more bad jobs that make a way cheaper, say.

Left out: ages, intervals and years shown, which are stated and not estimated; what lies between the ends;
inputs that move together (`studies.doubt`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from lifecycle.errors import nearest
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.evaluation.swings import LIKELY, Accounts, OneAtATime, is_full_reseal, one_at_a_time
from lifecycle.files import data
from lifecycle.quantities import Array, Figure
from lifecycle.scenario import Scenario, resolve

NOTHING = 1e-9
"""Moves below this share of the largest are none. [-]"""

A_CENT = 0.01
"""Effects on the cost of a way smaller than this are none. [money]"""

NUDGE = 0.01
"""What an input at one value is moved by, as a share of it; by itself where it is 0. [-]"""


@dataclass(frozen=True)
class Result:
    """What a printed result is.

    Parameters
    ----------
    name : str
        As in result files.
    label, term : str
        Plain words; the standard's word.
    kind : str
        "cost", "savings", "category", "count" or "chance".
    unit : str
        "money", what is counted, or "-".
    how : str
        How it is worked out, in plain words.
    """

    name: str
    label: str
    term: str
    kind: str
    unit: str
    how: str


@dataclass(frozen=True)
class Move:
    """What one input alone makes of a result: at its low and its high end. [unit of the result]"""

    figure: Figure
    at_low: float
    at_high: float

    @property
    def size(self) -> float:
        """Distance between the two. [unit of the result]"""
        return abs(self.at_high - self.at_low)


@dataclass(frozen=True)
class Trace:
    """A result and the inputs that move it.

    Parameters
    ----------
    result : Result
        What it is.
    way, than : str
        The way, and what it is compared with ("" where it is not).
    years : float
        Years kept. [years]
    likely : float
        With every input at its likely value. [unit of the result]
    moves : tuple of Move
        Inputs that move it, the largest move first.
    fixed : tuple of Figure
        Inputs at one value that it stands on as well, in the order of the scenario.
    still : int
        Ranged inputs that do not move it.
    """

    result: Result
    way: str
    than: str
    years: float
    likely: float
    moves: tuple[Move, ...]
    fixed: tuple[Figure, ...]
    still: int


def results() -> dict[str, Result]:
    """Return every result that can be traced, by name."""
    return {name: Result(name=name, **entry) for name, entry in data("results.toml").items()}


def result_called(name: str) -> Result | None:
    """Return a result by its name, its label or its standard's word; None if there is none.

    Examples
    --------
    >>> result_called("leak damage").name, result_called("cost in today's money").name
    ('leak damage', 'net_present_cost')
    >>> result_called("nothing") is None
    True
    """
    plain = name.strip().casefold().replace("_", " ")
    for one in results().values():
        if plain in (one.name.replace("_", " "), one.label.casefold(), one.term.casefold()):
            return one
    return None


@dataclass(frozen=True)
class Moved:
    """A scenario with one input moved at a time.

    Parameters
    ----------
    scenario : Scenario
        Coach, roofs, ways and terms, as a file states them.
    ends : OneAtATime
        Ranged inputs at their ends.
    nudged : dict of str to dict of str to Ledger
        By path of an input at one value: the accounts with it nudged.
    row : dict of str to int
        The draw of those accounts in which it is.
    """

    scenario: Scenario
    ends: OneAtATime
    nudged: Mapping[str, Accounts]
    row: Mapping[str, int]


def moved(scenario: Scenario) -> Moved:
    """Move one input of a scenario without trouble at a time.

    Takes two evaluations, and one or two more for each job that is a full reseal.
    """
    single = [one for one in scenario.inputs.values() if one.field.ranged and not one.ranged]
    together = [figure for figure in single if not is_full_reseal(figure)]
    values = {figure.path: np.full(len(together), figure.likely) for figure in together}
    for row, figure in enumerate(together):
        values[figure.path][row] = _nudge(figure)
    accounts = evaluate(resolve(scenario, values)) if together else {}
    nudged: dict[str, Accounts] = {figure.path: accounts for figure in together}
    for figure in single:
        if figure.path not in nudged:
            nudged[figure.path] = evaluate(resolve(scenario, {figure.path: _nudge(figure)}))
    rows = {figure.path: row for row, figure in enumerate(together)}
    return Moved(scenario, one_at_a_time(scenario), nudged, {path: rows.get(path, 0) for path in nudged})


def _nudge(figure: Figure) -> float:
    """Return the value of an input, nudged."""
    return figure.likely * (1.0 - NUDGE) if figure.likely else min(NUDGE, figure.field.high)


def trace(scenario: Scenario, result: Result, way: str | None = None, accounts: Moved | None = None) -> Trace:
    """Find the inputs that a result of one way stands on, in a scenario that reports no trouble.

    The way is the subject of the verdict where none is named, or the base case if there is none; ValueError
    if there is no such way, or it would be compared with itself. `accounts` are those of this scenario, where
    several results are traced.
    """
    case = resolve(scenario)
    names = [one.name for one in case.alternatives]
    if way is not None and way not in names:
        raise ValueError(f"{way!r} is not a way of this scenario: {nearest(way, names)}")
    subject = scenario.subject
    name = way or (subject.name if subject else case.base_case.name)
    than = case.base_case.name if result.kind == "savings" else ""
    if name == than:
        raise ValueError(f"{name!r} is what you would do otherwise and cannot be compared with itself")
    years = float(np.asarray(case.terms.holding_period))
    read = _reader(result, name, than, years)
    accounts = accounts or moved(scenario)
    ends, likely = accounts.ends.at_ends(read), float(read(accounts.ends.ledgers)[LIKELY])
    moves = [Move(figure, *ends[figure.path]) for figure in accounts.ends.ranged]
    largest = max((move.size for move in moves), default=0.0)
    moving = [move for move in moves if move.size > NOTHING * max(largest, 1.0)]
    ordered = tuple(sorted(moving, key=lambda move: -move.size))
    fixed = _stood_on(accounts, read, likely)
    return Trace(result, name, than, years, likely, ordered, fixed, len(moves) - len(moving))


def _stood_on(accounts: Moved, read: Callable[[Accounts], Array], likely: float) -> tuple[Figure, ...]:
    """Return the inputs at one value whose nudge moves the result."""
    values = {path: float(read(found)[accounts.row[path]]) for path, found in accounts.nudged.items()}
    least = NOTHING * max(abs(likely), 1.0)
    inputs = accounts.scenario.inputs
    return tuple(inputs[path] for path, value in values.items() if abs(value - likely) > least)


def _reader(result: Result, way: str, than: str, years: float) -> Callable[[Accounts], Array]:
    """Return what takes the result out of accounts, shape (draws,)."""

    def read(ledgers: Accounts) -> Array:
        account = ledgers[way]
        if result.kind == "cost":
            return account.at_holding
        if result.kind == "savings":
            return ledgers[than].at_holding - account.at_holding
        if result.kind == "category":
            return _category(account, result.name)
        if result.kind == "count":
            return account.expected[result.name]
        return account.chance_renewed[:, round(years)]

    return read


def _category(account: Ledger, name: str) -> Array:
    """Return a category of cost; upkeep is the sum of its jobs, and what an account lacks is 0."""
    parts = [
        money for part, money in account.by_category.items() if part == name or part.startswith(f"{name}: ")
    ]
    return np.asarray(np.sum([np.zeros_like(account.at_holding), *parts], axis=0))


@dataclass(frozen=True)
class Effect:
    """What one ranged input does to the cost of each way.

    Parameters
    ----------
    figure : Figure
        The input.
    changes : dict of str to float
        By way: cost at the high end less cost at the low end. [money]
    expected : int
        1 if it is expected to raise the cost, -1 to lower it, 0 if nothing is said.
    reason : str
        Why it may be the other way; "" if the data hold none.
    """

    figure: Figure
    changes: Mapping[str, float]
    expected: int
    reason: str

    def sign(self, way: str) -> int:
        """Return 1 if it raises the cost of a way, -1 if it lowers it, else 0."""
        change = self.changes[way]
        return 0 if abs(change) < A_CENT else 1 if change > 0.0 else -1

    @property
    def surprising(self) -> tuple[str, ...]:
        """The ways on which its sign is not the expected one."""
        return tuple(way for way in self.changes if self.sign(way) not in (0, self.expected))


def effects(scenario: Scenario) -> tuple[Effect, ...]:
    """Return what each ranged input does to the cost of each way, in the order of the scenario."""
    said = data("effects.toml")
    found = one_at_a_time(scenario)
    ends = {way: found.at_ends(partial(_cost, way)) for way in found.ledgers}
    effects = []
    for figure in found.ranged:
        name = figure.field.name
        changes = {way: at[figure.path][1] - at[figure.path][0] for way, at in ends.items()}
        expected = (name in said["raises"]) - (name in said["lowers"])
        effects.append(Effect(figure, changes, expected, said["surprises"].get(name, "")))
    return tuple(effects)


def _cost(way: str, accounts: Accounts) -> Array:
    """Return the cost of a way at the years kept."""
    return accounts[way].at_holding
