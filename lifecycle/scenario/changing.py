"""A changed input is a new scenario.

Lecture
-------
Sliders, `--years` and every study that asks "what if" take this one way: the statements stay, an
input is another figure. The tool's own figure stays beside one that takes its place.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from lifecycle.errors import Fault, ScenarioError, stop_at
from lifecycle.quantities import Figure, number_text
from lifecycle.scenario.rules import broken_rules
from lifecycle.scenario.stated import Scenario

SET = "set for this run"
"""Note of an input that was changed by a number."""

LIKE_IT, A_SLIP = 6, 0.9
"""Inputs of a name like a wrong one that are named at most; likeness of a path that is a slip of it. [-]"""


def replaced(scenario: Scenario, changes: Mapping[str, Figure | float | Sequence[float]]) -> Scenario:
    """Return a new scenario in which some inputs are other figures.

    Parameters
    ----------
    scenario : Scenario
        It stays as it is.
    changes : mapping of str to Figure, float or three floats
        By path of the input: a figure, or a number, or low, likely and high (then of basis judgement).
        [unit of the input]

    Returns
    -------
    Scenario
        With `changed` naming the paths.

    Raises
    ------
    ScenarioError
        If a path is not an input, a value is not allowed, or the figures no longer go together.
    """
    faults = [
        Fault(path, "is not an input", remedy=near_input(path, scenario))
        for path in changes
        if path not in scenario.inputs
    ]
    stop_at(faults, scenario.source)
    faults = [
        Fault(path, "must be a number, or three: low, likely, high", repr(change)[:60], "write it as 8.0")
        for path, change in changes.items()
        if not isinstance(change, Figure) and _ends(change) is None
    ]
    stop_at(faults, scenario.source)
    figures = {path: _changed(scenario.inputs[path], change) for path, change in changes.items()}
    faults = [fault for figure in figures.values() for fault in _not_allowed(figure, scenario.units)]
    paths = dict.fromkeys((*scenario.changed, *changes))
    new = replace(scenario, inputs={**scenario.inputs, **figures}, changed=tuple(paths))
    if faults := faults or broken_rules(new):
        raise ScenarioError(faults, scenario.source)
    return new


def at_likely(scenario: Scenario) -> Scenario:
    """Return a scenario without ranges: every input at its likely value.

    Parameters
    ----------
    scenario : Scenario
        It stays as it is.
    """
    figures = {
        path: replace(figure, low=figure.likely, high=figure.likely, shape="")
        for path, figure in scenario.inputs.items()
    }
    return replace(scenario, inputs=figures)


def near_input(path: str, scenario: Scenario) -> str:
    """Say which inputs have a name like that of a path that is none, or how to list them all.

    Parameters
    ----------
    path : str
        A path that is no input.
    scenario : Scenario
        With the inputs.
    """
    known = tuple(scenario.inputs)
    if slips := difflib.get_close_matches(path[:100], known, n=1, cutoff=A_SLIP):
        return f'did you mean "{slips[0]}"?'
    section, _, name = path.rpartition(".")
    wanted, alike = _words(name), {}
    for other, figure in scenario.inputs.items():
        own = _words(f"{other} {figure.field.label}")
        if shared := len(wanted & own):
            alike[other] = (-shared, not other.startswith(section), len(own), other)
    found = sorted(alike, key=alike.__getitem__)
    if not found:
        return "scenario.inputs lists them all"
    return f"inputs of a name like it: {', '.join(found[:LIKE_IT])}; scenario.inputs lists them all"


def _words(path: str) -> set[str]:
    """Return the words that a path is made of."""
    return set(re.findall(r"[^\W_]+", path.casefold()))


def _ends(change: object) -> tuple[float, float, float] | None:
    """Return low, likely and high of a number or of three; None if it is neither."""
    three = tuple(change) if isinstance(change, list | tuple) else (change,) * 3
    if len(three) != 3 or not all(isinstance(one, int | float | np.number) for one in three):
        return None
    if any(isinstance(one, bool) for one in three):
        return None
    low, likely, high = (float(one) for one in three)
    return low, likely, high


def _changed(old: Figure, change: Figure | float | Sequence[float]) -> Figure:
    """Return the figure that takes the place of `old`."""
    tool = old if old.shared else old.tool
    if isinstance(change, Figure):
        own = change.shared
        return replace(change, path=old.path, field=old.field, tool=None if own else tool)
    low, likely, high = _ends(change) or (math.nan,) * 3
    return Figure(
        path=old.path,
        likely=likely,
        low=low,
        high=high,
        shape="pert" if low < high else "",
        basis="judgement",
        source="",
        note=SET,
        field=old.field,
        tool=tool,
    )


def _not_allowed(figure: Figure, units: str) -> list[Fault]:
    """Return a fault if a figure breaks the rule of its field."""
    field, ends = figure.field, (figure.low, figure.likely, figure.high)
    got = " ... ".join(
        dict.fromkeys(number_text(value) if not math.isnan(value) else "nan" for value in ends)
    )
    if not all(math.isfinite(value) and field.low <= value <= field.high for value in ends):
        return [Fault(figure.path, field.rule(units), got)]
    if not figure.low <= figure.likely <= figure.high:
        return [Fault(figure.path, "must have low <= likely <= high", got, "correct low, likely or high")]
    if field.whole and any(value != round(value) for value in ends):
        return [Fault(figure.path, field.rule(units), got)]
    if figure.ranged and not field.ranged:
        return [Fault(figure.path, "must be one number, not a range", got)]
    return []
