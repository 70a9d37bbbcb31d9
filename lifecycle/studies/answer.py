"""The answer as a function of the inputs: what ways cost at the years kept, for many rows of inputs.

Lecture
-------
Studies of sensitivity ask one question again and again: with these inputs at these values and all
others at their likely ones, what are the net savings of one way (the *subject*) over another (what
the owner would do otherwise)? A *row* is one set of such values; all rows of a question are
evaluated together, exactly.

The cost at a sale does not depend on what happens after it, so rows with holding periods alike are
evaluated together, and no further (`futures.costs_at_holding`).

A job that restores the whole age of the seals fixes the calendar; one that restores a little less
does not. Rows in which such an input stands at 1 are therefore evaluated apart from the others.

A way depends on the inputs of its own roofs, of the roof that stands, and of the terms; rows that are
alike in these are evaluated once for it.

Left out: doubt. Whether the inputs can be so together is not asked here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import fault, nearest
from lifecycle.evaluation.comparison import subject_of
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, Use, near_input, resolve
from lifecycle.studies.futures import Progress, costs_at_holding

Array = NDArray[np.float64]


def ways_in_question(scenario: Scenario, subject: str | None, than: str | None) -> tuple[str, str]:
    """Return the names of a way (None: the subject) and of what it is compared with (None: the base case).

    Raises ScenarioError if a name is unknown, both are the same, there is one way, or trouble is reported.
    """
    if scenario.trouble:
        seen = f"({', '.join(scenario.trouble)})"
        raise fault("trouble", f"is reported {seen}", "", "open the roof first, then compare")
    case = resolve(scenario)
    names = [way.name for way in case.alternatives]
    for name in (subject, than):
        if name is not None and name not in names:
            raise fault(repr(name), "is not a way of this scenario", "", nearest(name, names))
    way = subject_of(case)
    asked = subject or (way.name if way else None)
    other = than or case.base_case.name
    if asked is None or asked == other:
        raise fault(repr(other), "cannot be compared with itself", "", "name another way, or add one")
    return asked, other


def input_called(scenario: Scenario, path: str) -> Figure:
    """Return the input of a path; ScenarioError with paths like it if there is none."""
    if path not in scenario.inputs:
        raise fault(repr(path), "is not an input", "", near_input(path, scenario))
    return scenario.inputs[path]


def fixes_calendar(figure: Figure) -> bool:
    """Whether an input may make of a job a full reseal, which fixes the calendar."""
    return figure.field.name == "restores"


def costs(
    scenario: Scenario,
    names: Sequence[str],
    rows: Mapping[str, Array],
    *,
    progress: Progress | None = None,
) -> dict[str, Array]:
    """Net-present cost of some ways at the years kept, for each row of inputs.

    Parameters
    ----------
    scenario : Scenario
        What was stated; inputs without a row stand at their likely values.
    names : sequence of str
        Names of the ways to evaluate.
    rows : mapping of str to ndarray, shape (rows,)
        Values by path of the input; none: one row, everything likely. [unit of the input]
    progress : callable or None
        Called with the rows done and all rows, the distinct ones of each way counted; may raise.

    Returns
    -------
    dict of str to ndarray, shape (rows,)
        By way. [money]
    """
    size = len(next(iter(rows.values()))) if rows else 1
    used = {name: inputs_used(scenario, name) for name in names}
    own = {name: tuple(path for path in rows if path in used[name]) for name in names}
    parts = []
    for paths in dict.fromkeys(own.values()):
        alike = tuple(name for name in names if own[name] == paths)
        parts.append((alike, *_distinct([rows[path] for path in paths], size), paths))
    whole = sum(len(distinct) * len(alike) for alike, distinct, *_ in parts)
    out: dict[str, Array] = {}
    done = 0
    for alike, distinct, place, paths in parts:
        values = {path: distinct[:, column] for column, path in enumerate(paths)}
        part = _costs(scenario, alike, values, len(distinct), _shifted(progress, done, whole))
        out |= {name: cost[place] for name, cost in part.items()}
        done += len(distinct) * len(alike)
    return {name: out[name] for name in names}


def _distinct(columns: Sequence[Array], size: int) -> tuple[Array, NDArray[np.int64]]:
    """Return the distinct rows of some columns, and for each row the place of the one alike."""
    if not columns:
        return np.empty((1, 0)), np.zeros(size, dtype=np.int64)
    rows = np.ascontiguousarray(np.stack(columns, axis=1)) + 0.0
    keys = rows.view(np.dtype((np.void, rows.itemsize * rows.shape[1])))[:, 0]
    _, first, place = np.unique(keys, return_index=True, return_inverse=True)
    return rows[first], place


def _costs(
    scenario: Scenario,
    names: Sequence[str],
    rows: Mapping[str, Array],
    size: int,
    progress: Progress | None,
) -> dict[str, Array]:
    """Net-present cost of some ways for each row, rows that fix the calendar apart. [money]"""
    kinds = np.zeros(size, dtype=np.int64)
    full = [rows[path] == 1.0 for path in rows if fixes_calendar(scenario.inputs[path])]
    for place, column in enumerate(full):
        kinds += column.astype(np.int64) << place
    out = {name: np.empty(size) for name in names}
    done = 0
    for kind in np.unique(kinds):
        some = np.flatnonzero(kinds == kind)
        case = resolve(scenario, {path: values[some] for path, values in rows.items()})
        ways = tuple(way for way in case.alternatives if way.name in names)
        part = costs_at_holding(
            replace(case, alternatives=ways),
            rows=some.size,
            progress=_shifted(progress, done, size * len(names)),
        )
        for name in names:
            out[name][some] = part[name]
        done += some.size * len(names)
    return out


def _shifted(progress: Progress | None, before: int, size: int) -> Progress | None:
    """Return a progress that counts the rows done before."""
    if progress is None:
        return None
    report = progress
    return lambda done, _: report(before + done, size)


def inputs_used(scenario: Scenario, *names: str) -> frozenset[str]:
    """Return the paths of all inputs that the cost of some ways at the years kept may depend on.

    The years shown and the leaks found so far are not among them.
    """
    ways = [way for way in scenario.alternatives if way.name in names]
    roofs = {scenario.existing.roof} | {roof for way in ways for roof in (way.roof, way.then)}
    terms = {name: stated for name, stated in scenario.study.items() if name != "study_period"}
    numbers = {name: stated for name, stated in scenario.existing.numbers.items() if name != "leaks_found"}
    used = (
        terms,
        scenario.owner,
        scenario.leaks,
        scenario.escalation,
        replace(scenario.existing, numbers=numbers),
        tuple(ways),
        tuple(scenario.roofs[roof] for roof in roofs),
        scenario.loan if scenario.loan is not None and scenario.loan.alternative in names else (),
        scenario.coach or (),
        scenario.climate or (),
    )
    return frozenset(paths_in(used))


def paths_in(thing: Any) -> set[str]:
    """Return the paths of the inputs used inside a nest of statements."""
    if isinstance(thing, Use):
        return {thing.path, *thing.ratios}
    if thing is None or isinstance(thing, str | float | int):
        return set()
    if isinstance(thing, Mapping):
        return {path for value in thing.values() for path in paths_in(value)}
    if isinstance(thing, tuple):
        return {path for value in thing for path in paths_in(value)}
    if is_dataclass(thing) and not isinstance(thing, type):
        return {path for part in fields(thing) for path in paths_in(getattr(thing, part.name))}
    return set()
