"""The commands about doubt: how sure is this, now or later, what would change the answer, why do two differ.

Lecture
-------
As in `commands`: each takes its arguments and returns the text that is printed. What is wrong with
the draws, or with what the scenario says of correlations and history, is one message.
"""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from lifecycle.faces.given import blocks, check_draws, fault, loaded, wrapped
from lifecycle.faces.progress import Waiting

if TYPE_CHECKING:
    from lifecycle.faces.sensitivity_answer import Sensitivity
    from lifecycle.scenario import Scenario
    from lifecycle.studies.assessment import Assessment

Found = TypeVar("Found")


def doubt(arguments: Namespace) -> str:
    """Answer how sure the comparison is.

    Parameters
    ----------
    arguments : Namespace
        file, draws, seed, bill, json, chart.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the draws, or the place of the chart.
    """
    check_draws(arguments.draws, arguments.seed)
    scenario = loaded(arguments.file)

    nothing = nothing_to_study(scenario, arguments.json)
    if nothing:
        return nothing

    from lifecycle.evaluation.comparison import compare as compared
    from lifecycle.faces.doubt_answer import doubt_text
    from lifecycle.faces.doubt_result import doubt_result
    from lifecycle.faces.results import as_json
    from lifecycle.faces.sureness import verdict_under

    comparison = compared(scenario)
    found = assessed(scenario, draws=arguments.draws, seed=arguments.seed, bill=arguments.bill, whole=True)
    answer = verdict_under(comparison, found)
    return as_json(doubt_result(found, answer)) if arguments.json else doubt_text(found, answer)


def timing(arguments: Namespace) -> str:
    """Answer when to change, and how often to reseal.

    Parameters
    ----------
    arguments : Namespace
        file, draws, seed, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario or the draws.
    """
    check_draws(arguments.draws, arguments.seed)
    scenario = loaded(arguments.file)
    nothing = nothing_to_study(scenario, arguments.json)
    if nothing:
        return nothing

    from lifecycle.faces.results import as_json
    from lifecycle.faces.timing_answer import timing_result, timing_text
    from lifecycle.studies import timing as study

    with Waiting() as waiting:
        waiting.step("dates of the change, and intervals between reseals")
        found = in_futures(lambda: study.timing(scenario, draws=arguments.draws, seed=arguments.seed))
    return as_json(timing_result(scenario, found)) if arguments.json else timing_text(scenario, found)


def sensitivity(arguments: Namespace) -> str:
    """Answer what would change the answer.

    Parameters
    ----------
    arguments : Namespace
        file, indices, map (two paths or None), as_correlated, seed, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the inputs of the map, or the seed; and where indices of
        inputs that move together are wanted.
    """
    check_draws(None, arguments.seed)
    scenario = loaded(arguments.file)

    from lifecycle.faces.results import as_json
    from lifecycle.faces.sensitivity_answer import sensitivity_result, sensitivity_text

    if arguments.as_correlated:
        from lifecycle.studies.sensitivity import NOT_AS_CORRELATED

        raise fault("--as-correlated", "is refused", "", NOT_AS_CORRELATED)
    nothing = nothing_to_study(scenario, arguments.json)
    if nothing:
        return nothing
    with Waiting() as waiting:
        found = _what_changes(scenario, arguments, waiting)
    return as_json(sensitivity_result(found)) if arguments.json else sensitivity_text(found)


def _what_changes(scenario: Scenario, arguments: Namespace, waiting: Waiting) -> Sensitivity:
    """Find out what would change the answer; a map first, for its inputs may be unknown."""
    from lifecycle.evaluation.swings import swings
    from lifecycle.faces.sensitivity_answer import Sensitivity
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
        indices = study.indices(scenario, seed=arguments.seed, known_swings=all_swings, progress=waiting.part)
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

    from lifecycle.faces.difference_answer import difference_result, difference_text
    from lifecycle.faces.results import as_json
    from lifecycle.studies import difference as study

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


def nothing_to_study(scenario: Scenario, json: bool) -> str:
    """Return the answer where nothing is compared, or there is one way only; else nothing.

    Parameters
    ----------
    scenario : Scenario
        Any.
    json : bool
        Whether the answer is wanted as JSON.
    """
    if not scenario.trouble and len(scenario.alternatives) > 1:
        return ""

    from lifecycle.evaluation.comparison import compare
    from lifecycle.faces.doubt_result import nothing_compared
    from lifecycle.faces.results import as_json
    from lifecycle.faces.verdict import verdict

    comparison = compare(scenario)
    answer = verdict(comparison)
    return as_json(nothing_compared(comparison, answer)) if json else blocks(wrapped(answer.lines))


def assessed(
    scenario: Scenario,
    *,
    draws: int,
    seed: int,
    bill: float | None = None,
    until: int | None = None,
    whole: bool = False,
) -> Assessment:
    """Gather what doubt says of a scenario.

    Parameters
    ----------
    scenario : Scenario
        Without trouble.
    draws, seed : int
        Number of draws; seed of their points.
    bill : float or None
        Amount above which a bill is large. [money]
    until : int or None
        Last year of sale that is wanted, of a part; None: all that are shown. [years]
    whole : bool
        Whether the table of 20s, the worth of a look and luck are wanted.

    Raises
    ------
    ScenarioError
        If correlations contradict each other, or no draw can explain the history.
    """
    from lifecycle.studies import assessment

    with Waiting() as waiting:
        if whole:
            return in_futures(
                lambda: assessment.whole(scenario, draws=draws, seed=seed, bill=bill, told=waiting.step)
            )
        return in_futures(
            lambda: assessment.brief(scenario, draws=draws, seed=seed, until=until, told=waiting.step)
        )


def in_futures(work: Callable[[], Found]) -> Found:
    """Do work in futures of a scenario; a scenario that allows none is a user's mistake.

    Raises
    ------
    ScenarioError
        If correlations contradict each other, or no draw can explain the history.
    """
    from lifecycle.studies.doubt import NoFuture
    from lifecycle.studies.sampling import Contradiction

    try:
        return work()
    except Contradiction as error:
        raise fault("[[correlations]]", "must be possible together", "", str(error)) from None
    except NoFuture as error:
        raise fault("existing", "must have a history that can be", "", str(error)) from None
