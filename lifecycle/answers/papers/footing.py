"""What every paper rests on: cautions, what the file says of itself, and that it is invented.

Lecture
-------
A paper says of what day it is (the base date of the scenario, no clock), with which version it was made,
and from which file, by the first letters of the digest. Whoever has that file gets the same paper.

Left out: who made it.
"""

from __future__ import annotations

import lifecycle
from lifecycle.answers.blocks import Items, Sentence
from lifecycle.files import data
from lifecycle.scenario import Scenario

INVENTED = "Invented: an example for nobody's coach. Do not decide by it."
"""Stands on every paper of a file that says so of itself."""


def footer(scenario: Scenario) -> str:
    """Return the foot of every paper.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    str
        Date, version, and digest of the file.
    """
    changed = " with figures changed for this run" if scenario.changed else ""
    return (
        f"As of {scenario.base_date.isoformat()}, today's money of that day. Made with lifecycle "
        f"{lifecycle.__version__} from the file with SHA-256 {scenario.sha256[:16]}{changed}. "
        "The same file and version give the same paper. Nothing was sent anywhere."
    )


def invented(scenario: Scenario) -> tuple[Sentence, ...]:
    """Return the mark of an invented scenario; nothing for another.

    Parameters
    ----------
    scenario : Scenario
        Invented if its title says so, or a figure of its own is set for an example.
    """
    says = "invented" in scenario.title.lower()
    demo = any(figure.basis == "demo" and not figure.shared for figure in scenario.inputs.values())
    return (Sentence(INVENTED, "caution"),) if says or demo else ()


def caution_lines() -> Items:
    """Return what to mind on and about a roof."""
    return Items(tuple(data("papers.toml")["cautions"]))
