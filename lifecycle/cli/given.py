"""What the user gave a command: files to read, years, numbers, and places to write to.

Lecture
-------
Whatever is wrong with it is a `ScenarioError` of one fault: the place, the rule, the value got and
the remedy. Places to write to are checked before anything is computed; a file is written beside its
place first and then put there whole, so that a run that is stopped leaves no half of one.
"""

from __future__ import annotations

import math
import os
from argparse import Namespace
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.errors import Fault, ScenarioError, fault, nearest
from lifecycle.files import write

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.scenario import Scenario

MOST_DRAWS = 2**24
"""Draws at most."""

LONGEST_NAME = 255
"""Longest name of a file that systems take. [bytes]"""

SCENARIO = "toml"
"""Kind of scenario files."""

PICTURES = ("png", "svg")
"""Kinds of chart files."""


def loaded(file: str, years: float | None = None, edition: str | None = None) -> Scenario:
    """Load a scenario, with other years kept for this run, or with the figures of an earlier version."""
    from lifecycle.files import load

    scenario = load(file, edition=edition)
    if years is None:
        return scenario

    from lifecycle.scenario import Use, replaced

    stated = scenario.owner["holding_period"]
    if not isinstance(stated, Use):
        raise ValueError("the years kept are no input of this scenario")
    try:
        return replaced(scenario, {stated.path: years})
    except ScenarioError as error:
        raise ScenarioError([replace(one, place="--years") for one in error.faults]) from None


@dataclass(frozen=True)
class Places:
    """Where an answer goes besides the terminal, and the form of that file."""

    chart: Path | None
    to: Path | None
    form: str = ""


def check_given(arguments: Namespace, *, any_form: bool, made: bool = False) -> Places:
    """Check numbers and places that commands share, before anything is computed."""
    given = vars(arguments)
    check_bill(given.get("bill"))
    check_draws(given.get("draws"), given.get("seed", 0))
    chart = place_of_chart(given["chart"]) if given.get("chart") else None
    if not any_form or not given.get("to"):
        return Places(chart, None)
    from lifecycle.writers import FORMS

    place = Path(given["to"])
    form = {"htm": "html"}.get(kind(place), kind(place))
    if made and form == SCENARIO:
        return Places(chart, None)
    if form not in FORMS:
        remedy = "name it answer.html, for instance"
        raise fault(
            "--to", f"must name a file ending in {', '.join(f'.{one}' for one in FORMS)}", str(place), remedy
        )
    check_folder("--to", place)
    return Places(chart, place, form)


def check_draws(draws: int | None, seed: int) -> None:
    """Check a number of draws, where there is one, and a seed, before anything is computed."""
    from lifecycle.studies.sampling import FEWEST_DRAWS

    faults = []
    if draws is not None and draws < FEWEST_DRAWS:
        rule = f"must be at least {FEWEST_DRAWS}, for fewer do not show doubt"
        faults.append(Fault("--draws", rule, str(draws), "leave it out for 1,024"))
    if draws is not None and draws > MOST_DRAWS:
        rule = f"must be at most {MOST_DRAWS:,}, for more do not fit into the memory of a computer"
        faults.append(Fault("--draws", rule, f"{draws:,}", "leave it out for 1,024"))
    if seed < 0:
        faults.append(Fault("--seed", "must be a whole number from 0", str(seed), "leave it out for 1"))
    if faults:
        raise ScenarioError(faults)


def check_bill(amount: float | None) -> None:
    """Check the amount that a bill is to be above."""
    if amount is not None and not 0.0 <= amount < math.inf:
        raise fault("--bill", "must be an amount of money from 0", str(amount), "leave it out")


def place_of_chart(name: str) -> Path:
    """Check where a chart is to go, before anything is computed."""
    place = Path(name)
    if kind(place) not in PICTURES:
        remedy = nearest(kind(place), PICTURES)
        raise fault("--chart", "must name a file ending in .png or .svg", name, remedy)
    check_folder("--chart", place)
    return place


def kind(place: Path) -> str:
    """Return the kind of a chart file by its name.

    Examples
    --------
    >>> kind(Path("look.PNG"))
    'png'
    """
    return place.suffix.removeprefix(".").lower()


def place_of_scenario(name: str) -> Path:
    """Check where a scenario is to go, before anything is asked."""
    place = Path(name)
    if os.path.lexists(place):
        raise fault(name, "exists already, and is not overwritten", "", "name another file")
    check_folder(name, place)
    return place


def check_folder(what: str, place: Path) -> None:
    """Check that a file can be put where it is to go."""
    if not os.path.isdir(place.parent):
        folder = str(place.parent)
        raise fault(what, "must name a file in a folder that exists", folder, "make the folder first")
    if os.path.isdir(place):
        raise fault(what, "must name a file", f"{place}, a folder", "name a file in it")
    if len(os.fsencode(place.name)) > LONGEST_NAME:
        raise fault(what, f"must have a name of at most {LONGEST_NAME} letters", place.name, "shorten it")


def made_place(arguments: Namespace) -> Path | None:
    """Return where the scenario that a command makes is to go; None where none is wanted."""
    wanted = arguments.to is not None and kind(Path(arguments.to)) == SCENARIO
    return place_of_scenario(arguments.to) if wanted else None


def draw(answer: Answer, place: Path) -> str:
    """Put the chart of an answer where it is to go, and say where that is."""
    from lifecycle.charts import picture_bytes

    if answer.chart is None:
        raise fault("--chart", "is of no use here: there is nothing to draw", "", "leave it out")
    write(place, picture_bytes(answer.chart.figure, kind(place)))
    return f"Chart: {place}"
