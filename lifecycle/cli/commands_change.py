"""The commands about change: what would change the answer, and why do two scenarios differ.

Lecture
-------
As in `commands`: each takes its arguments and returns the text that is printed. What is wrong with
the names of inputs, or with two scenarios that cannot be compared, is one message.
"""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from lifecycle.cli.given import check_draws, loaded
from lifecycle.cli.progress import Waiting

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario


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
