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
import textwrap
from argparse import Namespace
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.errors import Fault, ScenarioError, nearest

if TYPE_CHECKING:
    from lifecycle.evaluation.comparison import Comparison
    from lifecycle.scenario import Scenario

WIDTH = 100
"""Width of sentences on the terminal. [characters]"""

PICTURES = ("png", "svg")
"""Kinds of chart files."""


def compare(arguments: Namespace) -> str:
    """Answer which way is cheaper.

    Parameters
    ----------
    arguments : Namespace
        file, years, chart, json.

    Returns
    -------
    str
        The answer; with a chart, the file is written.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the years, or the place of the chart.
    """
    chart = _place_of_chart(arguments.chart) if arguments.chart else None
    scenario = _with_years(_loaded(arguments.file), arguments.years)

    from lifecycle.evaluation.comparison import compare as compared
    from lifecycle.faces.results import as_json, result
    from lifecycle.faces.verdict import verdict

    comparison = compared(scenario)
    answer = verdict(comparison)
    drawn = [_draw(comparison, chart)] if chart else []
    if arguments.json:
        return as_json(result(comparison, answer))

    from lifecycle.faces.labels import HEADINGS
    from lifecycle.faces.tables import cheapest_lines, ways_table

    blocks = [
        [HEADINGS["compare"], scenario.title],
        _wrapped(answer.lines),
        _wrapped(answer.beside),
        [ways_table(comparison)] if comparison.ways else [],
        cheapest_lines(comparison),
        drawn,
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def figures(arguments: Namespace) -> str:
    """List every figure, where it comes from, and what the figures imply together.

    Parameters
    ----------
    arguments : Namespace
        file, json.

    Returns
    -------
    str
        The register.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario.
    """
    scenario = _loaded(arguments.file)

    from lifecycle.faces.figures import figures_result, figures_text
    from lifecycle.faces.results import as_json

    return as_json(figures_result(scenario)) if arguments.json else figures_text(scenario)


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
    place = _place_of_scenario(arguments.file) if arguments.file else None

    from lifecycle.faces.asking import ask, read_answers
    from lifecycle.interview import scenario_text

    answers = read_answers(arguments.answers) if arguments.answers else ask(_typed, _shown)
    text = scenario_text(answers, base_date=date.today())
    if place is None:
        return text.rstrip("\n")
    _write(place, text.encode("utf-8"))
    return f"Written to {place}. Now: lifecycle compare {place}"


def _typed(prompt: str) -> str:
    """Return a line typed at a prompt; the prompt is no part of the output."""
    sys.stderr.write(prompt)
    sys.stderr.flush()
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.rstrip("\n")


def _shown(line: str) -> None:
    """Show a line that is no part of the output."""
    sys.stderr.write(f"{line}\n")


def _loaded(file: str) -> Scenario:
    """Load a scenario."""
    from lifecycle.files import load

    return load(file)


def _with_years(scenario: Scenario, years: float | None) -> Scenario:
    """Return the scenario with other years kept, for this run."""
    if years is None:
        return scenario

    from lifecycle.scenario import Use, replaced

    stated = scenario.owner["holding_period"]
    if not isinstance(stated, Use):
        raise ValueError("the years kept are no input of this scenario")
    try:
        return replaced(scenario, {stated.path: years})
    except ScenarioError as error:
        raise ScenarioError([replace(fault, place="--years") for fault in error.faults]) from None


def _draw(comparison: Comparison, place: Path) -> str:
    """Draw the first look and say where it is."""
    from lifecycle.faces.charts import first_look, picture_bytes

    _write(place, picture_bytes(first_look(comparison), _kind(place)))
    return f"Chart: {place}"


def _kind(place: Path) -> str:
    """Return the kind of a chart file by its name."""
    return place.suffix.removeprefix(".").lower()


def _place_of_chart(name: str) -> Path:
    """Check where a chart is to go, before anything is computed."""
    place = Path(name)
    if _kind(place) not in PICTURES:
        remedy = nearest(_kind(place), PICTURES)
        raise _fault("--chart", "must name a file ending in .png or .svg", name, remedy)
    _check_folder("--chart", place)
    return place


def _place_of_scenario(name: str) -> Path:
    """Check where a scenario is to go, before anything is asked."""
    place = Path(name)
    if place.exists():
        raise _fault(name, "exists already, and is not overwritten", "", "name another file")
    _check_folder(name, place)
    return place


def _check_folder(what: str, place: Path) -> None:
    """Check that a file can be put where it is to go."""
    if not place.parent.is_dir():
        folder = str(place.parent)
        raise _fault(what, "must name a file in a folder that exists", folder, "make the folder first")
    if place.is_dir():
        raise _fault(what, "must name a file", f"{place}, a folder", "name a file in it")


def _write(place: Path, content: bytes) -> None:
    """Write a file whole."""
    try:
        place.write_bytes(content)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise _fault(str(place), f"cannot be written: {reason}", "", "") from None


def _fault(place: str, rule: str, got: str, remedy: str) -> ScenarioError:
    """Return the error for one mistake."""
    return ScenarioError([Fault(place, rule, got, remedy)])


def _wrapped(lines: tuple[str, ...]) -> list[str]:
    """Wrap sentences to the width of the terminal; items of a list hang."""
    return [
        textwrap.fill(
            line,
            WIDTH,
            subsequent_indent="  " if line.startswith("- ") else "",
            break_on_hyphens=False,
            break_long_words=False,
        )
        for line in lines
    ]
