"""The commands about change: what would change the answer, and why do two scenarios differ.

Lecture
-------
As in `commands`: each takes its arguments and returns the text that is printed. What is wrong with
the names of inputs, or with two scenarios that cannot be compared, is one message.
"""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.assessing import nothing_to_study
from lifecycle.cli.given import check_draws, draw_figure, loaded, place_of_chart
from lifecycle.cli.progress import Waiting
from lifecycle.errors import fault
from lifecycle.language.lines import blocks

if TYPE_CHECKING:
    from lifecycle.answers.sensitivity_answer import Sensitivity
    from lifecycle.scenario import Scenario


def sensitivity(arguments: Namespace) -> str:
    """Answer what would change the answer.

    Parameters
    ----------
    arguments : Namespace
        file, indices, map (two paths or None), as_correlated, seed, chart, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the inputs of the map, the seed, or the place of the
        chart; and where indices of inputs that move together are wanted.
    """
    chart = place_of_chart(arguments.chart) if arguments.chart else None
    check_draws(None, arguments.seed)
    scenario = loaded(arguments.file)

    from lifecycle.answers.sensitivity_answer import sensitivity_result, sensitivity_text
    from lifecycle.writers import as_json

    if arguments.as_correlated:
        from lifecycle.studies.sensitivity import NOT_AS_CORRELATED

        raise fault("--as-correlated", "is refused", "", NOT_AS_CORRELATED)
    nothing = nothing_to_study(scenario, arguments.json)
    if nothing:
        return nothing
    with Waiting() as waiting:
        found = _what_changes(scenario, arguments, waiting)
    drawn = [_draw(found, chart)] if chart else []
    return as_json(sensitivity_result(found)) if arguments.json else blocks([sensitivity_text(found)], drawn)


def _draw(found: Sensitivity, place: Path) -> str:
    """Draw what would change the answer and say where it is."""
    from lifecycle.answers.change_sheet import change_sheet

    return draw_figure(change_sheet(found), place)


def _what_changes(scenario: Scenario, arguments: Namespace, waiting: Waiting) -> Sensitivity:
    """Find out what would change the answer; a map first, for its inputs may be unknown."""
    from lifecycle.answers.sensitivity_answer import Sensitivity
    from lifecycle.evaluation.swings import swings
    from lifecycle.studies import sensitivity as study
    from lifecycle.studies.switching import along, defaults, switch_values

    plan = indices = None
    if arguments.map:
        waiting.step("the map")
        try:
            plan = study.two_way_map(scenario, *arguments.map, progress=waiting.part)
        except ValueError as error:
            raise fault("--map", "must name two inputs of this scenario", "", str(error)) from None
    waiting.step("each figure along its range")
    grid = along(scenario, progress=waiting.part)
    all_swings = swings(scenario, grid.subject, grid.than)
    switches = {switch.figure.path: switch for switch in switch_values(scenario, grid)}
    if arguments.indices:
        waiting.step("indices")
        asked = {"points": study.BASE_POINTS, "seed": arguments.seed}
        indices = study.indices(scenario, known_swings=all_swings, progress=waiting.part, **asked)
    likely = grid.likely_than - grid.likely
    pair = grid.subject, grid.than
    return Sensitivity(scenario, *pair, likely, all_swings, switches, defaults(grid), indices, plan)


def difference(arguments: Namespace) -> str:
    """Answer why two scenarios differ.

    Parameters
    ----------
    arguments : Namespace
        first, second, seed, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with either scenario, or if nothing can be compared in one of them.
    """
    check_draws(None, arguments.seed)
    first, second = loaded(arguments.first), loaded(arguments.second)

    from lifecycle.answers.difference_answer import difference_result, difference_text
    from lifecycle.studies import difference as study
    from lifecycle.writers import as_json

    _check_two(first, second, arguments)
    with Waiting() as waiting:
        waiting.step("what the two say differently, taken over one by one")
        found = study.difference(first, second, seed=arguments.seed, progress=waiting.part)
    return (
        as_json(difference_result(first, second, found))
        if arguments.json
        else difference_text(first, second, found)
    )


def _check_two(first: Scenario, second: Scenario, arguments: Namespace) -> None:
    """Check that two scenarios can be compared with each other."""
    from lifecycle.errors import Fault, ScenarioError
    from lifecycle.studies.answer import ways_in_question

    faults = []
    for name, scenario in ((arguments.first, first), (arguments.second, second)):
        try:
            ways_in_question(scenario, None, None)
        except ValueError as error:
            faults.append(Fault(name, "must have something to compare", "", str(error)))
    if first.currency != second.currency:
        rule, got = "must be in the currency of the first", second.currency or "no currency"
        faults.append(Fault(arguments.second, rule, got, f"state both in {first.currency or 'one currency'}"))
    if faults:
        raise ScenarioError(faults)
