"""A changed input is a new scenario.

Lecture
-------
Sliders, `--years` and every study that asks "what if" take this one way: the statements stay, an
input is another figure. The tool's own figure stays beside one that takes its place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.quantities import Figure, number_text
from lifecycle.scenario.rules import broken_rules
from lifecycle.scenario.stated import Scenario


def replaced(scenario: Scenario, changes: Mapping[str, Figure | float]) -> Scenario:
    """Return a new scenario in which some inputs are other figures.

    Parameters
    ----------
    scenario : Scenario
        It stays as it is.
    changes : mapping of str to Figure or float
        By path of the input: a figure, or a number (then a single value of basis judgement).
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
        Fault(path, "is not an input", remedy=nearest(path, tuple(scenario.inputs)))
        for path in changes
        if path not in scenario.inputs
    ]
    if faults:
        raise ScenarioError(faults, scenario.source)
    faults = [
        Fault(path, "must be a number or a figure", repr(change)[:60], "write it as 8.0, for instance")
        for path, change in changes.items()
        if isinstance(change, bool) or not isinstance(change, Figure | int | float | np.number)
    ]
    if faults:
        raise ScenarioError(faults, scenario.source)
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


def _changed(old: Figure, change: Figure | float) -> Figure:
    """Return the figure that takes the place of `old`."""
    tool = old if old.shared else old.tool
    if isinstance(change, Figure):
        own = change.shared
        return replace(change, path=old.path, field=old.field, tool=None if own else tool)
    value = float(change)
    return Figure(
        path=old.path,
        likely=value,
        low=value,
        high=value,
        shape="",
        basis="judgement",
        source="",
        note="set for this run",
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
    if field.whole and any(value != round(value) for value in ends):
        return [Fault(figure.path, field.rule(units), got)]
    if figure.ranged and not field.ranged:
        return [Fault(figure.path, "must be one number, not a range", got)]
    return []
