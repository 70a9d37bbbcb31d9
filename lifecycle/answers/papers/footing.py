"""What every paper rests on: cautions, what the file says of itself, and that it is invented.

Lecture
-------
A paper says of what day it is (the base date of the scenario, no clock), with which version it was made,
and from which file, by the first letters of the digest. Whoever has that file gets the same paper.

Below it stand the day of the figures, who made it and who gains.
"""

from __future__ import annotations

import lifecycle
from lifecycle.answers.blocks import Items, Sentence
from lifecycle.answers.shared import made_line
from lifecycle.language.sentences import say, words
from lifecycle.scenario import Scenario


def footer(scenario: Scenario) -> str:
    """Return the foot of every paper."""
    said = say(
        "papers.footer",
        day=scenario.base_date.isoformat(),
        version=lifecycle.__version__,
        digest=scenario.sha256[:16],
        changed=say("papers.changed") if scenario.changed else "",
    )
    return f"{said} {made_line()}"


def invented(scenario: Scenario) -> tuple[Sentence, ...]:
    """Return the mark of an invented scenario; nothing for another."""
    says = "invented" in scenario.title.lower()
    demo = any(figure.basis == "demo" and not figure.shared for figure in scenario.inputs.values())
    return (Sentence(say("papers.invented"), "caution"),) if says or demo else ()


def caution_lines() -> Items:
    """Return what to mind on and about a roof."""
    return Items(tuple(words("papers.cautions")))
