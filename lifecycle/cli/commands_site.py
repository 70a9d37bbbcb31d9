"""The command about size and place: where it stands.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed.
"""

from __future__ import annotations

from argparse import Namespace

from lifecycle.cli.given import loaded
from lifecycle.language.lines import blocks, wrapped


def climate(arguments: Namespace) -> str:
    """Say what the place does to the answer, and what the answer is in every other place.

    Parameters
    ----------
    arguments : Namespace
        file, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario.
    """
    scenario = loaded(arguments.file)

    from lifecycle.answers.where import title_of, where_text
    from lifecycle.answers.where_result import where_result
    from lifecycle.studies.by_place import by_place
    from lifecycle.writers import as_json

    found = by_place(scenario)
    if arguments.json:
        return as_json(where_result(found))
    return blocks(title_of(found), *(wrapped(part) for part in where_text(found)))
