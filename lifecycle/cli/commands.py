"""What each command of the command line does: from its arguments to the text that it prints.

Lecture
-------
A command loads, calls one function of a lower room, and returns text; `cli` prints it. Whatever is
wrong with what the user gave is a `ScenarioError`, raised before anything is written. Places to
write to are checked before anything is computed. The rooms are imported inside each command, so that
asking for help costs no time.

Left out: how arguments are spelt (`cli`).
"""

from __future__ import annotations

import sys
from argparse import Namespace
from datetime import date
from typing import TYPE_CHECKING

from lifecycle.cli.given import (
    place_of_scenario,
)
from lifecycle.errors import fault
from lifecycle.files import write

if TYPE_CHECKING:
    pass


def new(arguments: Namespace) -> str:
    """Write a scenario from the answers to seven questions.

    Parameters
    ----------
    arguments : Namespace
        file (or None: the scenario itself is returned), answers (or None: they are asked for).

    Returns
    -------
    str
        The scenario, or where it was written.

    Raises
    ------
    ScenarioError
        With what is wrong with the answers or the place to write to.
    """
    place = place_of_scenario(arguments.file) if arguments.file else None

    from lifecycle.cli.asking import ask, read_answers
    from lifecycle.interview import scenario_text

    answers = read_answers(arguments.answers) if arguments.answers else ask(_typed, _shown)
    text = scenario_text(answers, base_date=date.today())
    if place is None:
        return text.rstrip("\n")
    write(place, text.encode("utf-8"), new=True)
    return f"Written to {place}. Now: lifecycle compare {place}"


def _typed(prompt: str) -> str:
    """Return a line typed at a prompt; the prompt is no part of the output."""
    sys.stderr.write(prompt)
    sys.stderr.flush()
    if sys.stdin is None:  # closed
        raise EOFError
    try:
        line = sys.stdin.readline()
        line.encode()
    except UnicodeError:
        remedy = "save it as UTF-8, or use --answers FILE"
        raise fault("the standard input", "must be text in UTF-8", "", remedy) from None
    if not sys.stdin.isatty():
        sys.stderr.write(line if line.endswith("\n") else f"{line}\n")
    if not line:
        raise EOFError
    return line.rstrip("\n")


def _shown(line: str) -> None:
    """Show a line that is no part of the output."""
    sys.stderr.write(f"{line}\n")
