"""Figures that roofs take over: one input in one scenario, two in another; made two in both.

Lecture
-------
A shared coating takes its leaks over from the shared membrane, so both roofs use one input, P. A scenario
that says something of its own about its membrane leaves the coating on the tool's figure, and then the
two roofs use two inputs: P is the membrane's, ``shared.P`` the coating's. If one scenario has one input
where the other has two, a change of P would move one roof in one of them and both roofs in the other,
and a figure that was only said of the membrane would look like another coating.

So the input is split: what uses ``shared.P`` in one scenario uses it in the other too, where it stands at
the figure that was used so far. No number of either scenario changes.

Assumed: roofs of the same name are the same roof in both.
Left out: figures that roofs of other names take over.
Source: the model's own.
"""

from __future__ import annotations

from dataclasses import replace

from lifecycle.scenario import Scenario, Stated, StatedRoof, Use

SHARED = "shared."
"""Opens the path of a shared figure whose own path the file uses for another figure."""


def with_inputs_alike(first: Scenario, second: Scenario) -> tuple[Scenario, Scenario]:
    """Return two scenarios in which roofs of one name take figures over from as many inputs.

    Parameters
    ----------
    first, second : Scenario
        What was stated.

    Returns
    -------
    tuple of Scenario
        With the same numbers.
    """
    return _split_as(first, second), _split_as(second, first)


def _split_as(scenario: Scenario, other: Scenario) -> Scenario:
    """Return a scenario with an input split in two where the other has two."""
    roofs = {
        name: _roof_as(roof, other.roofs[name]) if name in other.roofs else roof
        for name, roof in scenario.roofs.items()
    }
    used = {path for roof in roofs.values() for stated in roof.numbers.values() for path in _paths(stated)}
    own = scenario.inputs
    new = {
        path: replace(own[path.removeprefix(SHARED)], path=path)
        for path in sorted(used - own.keys())
        if path.removeprefix(SHARED) in own
    }
    return replace(scenario, roofs=roofs, inputs={**own, **new}) if new else scenario


def _roof_as(roof: StatedRoof, other: StatedRoof) -> StatedRoof:
    """Return a roof that takes over what another takes over from shared inputs of their own."""
    numbers = {
        name: _stated_as(stated, other.numbers.get(name, 0.0)) for name, stated in roof.numbers.items()
    }
    return replace(roof, numbers=numbers)


def _stated_as(stated: Stated, other: Stated) -> Stated:
    """Return a number by the path, and the ratios, that it has in another statement of it."""
    if not isinstance(stated, Use):
        return stated
    shared = {path.removeprefix(SHARED): path for path in _paths(other) if path.startswith(SHARED)}
    return Use(
        shared.get(stated.path, stated.path), tuple(shared.get(ratio, ratio) for ratio in stated.ratios)
    )


def _paths(stated: Stated) -> tuple[str, ...]:
    """Return the paths that a number uses."""
    return (stated.path, *stated.ratios) if isinstance(stated, Use) else ()
