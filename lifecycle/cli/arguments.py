"""What the user gave a command is checked and loaded; and how one that studies a scenario goes on from there.

Lecture
-------
Whatever is wrong with it is a `ScenarioError`: the place, the rule, the value got and the
remedy. Places to write to are checked before anything is computed; a file is written beside its place first
and then put there whole, so that a run that is stopped leaves no half of one.

A scenario gets the years kept that were asked for. Trouble, or one way only: there is nothing to study, and
the answer says so. Very many draws are allowed: it is said beforehand what they take, from a few that are
tried. Contradicting correlations, and a history that no draw can explain, are mistakes of the user.

*Waiting*: from one second on a line on the error stream, if that is a terminal, says what is worked out; it
is wiped away when the work is done (tqdm). Work that tells how much of it is done gets a bar, and the time
that is left. Nothing is shown in a file, in a pipe, or for work that is quick. A thread keeps the time going:
work that is one long step tells nothing between its start and its end.
"""

from __future__ import annotations

import math
import os
import sys
import threading
import time
from argparse import Namespace
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Self, TextIO

from lifecycle.errors import Fault, ScenarioError, fault, nearest
from lifecycle.files import write
from lifecycle.language.sentences import say

if TYPE_CHECKING:
    from types import TracebackType

    from tqdm import tqdm

    from lifecycle.answers.blocks import Answer
    from lifecycle.cli.table import Command
    from lifecycle.scenario import Scenario

QUIET, BETWEEN = 1.0, 0.2
"""Time before the line is first shown, and between two of them. [s]"""

STEP, PART = "{desc}, {elapsed}", "{percentage:.0f} % [{bar:24}] {desc}, {elapsed}, about {remaining} left"
"""The line of work that does not tell how much of it is done, and of work that does."""


class Waiting:
    """The line, from the start of some work to its end.

    Parameters
    ----------
    stream : TextIO or None
        Where it stands; None: the error stream.

    Examples
    --------
    >>> with Waiting() as waiting:
    ...     waiting.step("the table of 20s")
    ...     waiting.part(1, 4)
    """

    def __init__(self, stream: TextIO | None = None) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._bar: tqdm[None] | None = None
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._show, daemon=True)

    def step(self, what: str) -> None:
        """Say what is being worked out now."""
        if self._thread.is_alive():
            self._close()
            self._bar = self._new(what)

    def part(self, done: int, whole: int) -> None:
        """Say how much of it is done."""
        if self._bar is not None and whole:
            self._bar.total, self._bar.n, self._bar.bar_format = whole, done, PART

    def __enter__(self) -> Self:
        """Start to wait; somebody must be there to see it."""
        if self._stream.isatty():
            self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Wipe the line away."""
        self._over.set()
        if self._thread.is_alive():
            self._thread.join()
        self._close()

    def _new(self, what: str) -> tqdm[None]:
        """Return the bar of one step; its delay, however short, keeps it from being shown when it is made."""
        from tqdm import tqdm

        return tqdm(
            desc=what,
            file=self._stream,
            leave=False,
            ascii=" #",
            bar_format=STEP,
            miniters=0,
            mininterval=0.0,
            delay=0.001,
        )

    def _close(self) -> None:
        """Wipe the bar away, if there is one that was shown."""
        if self._bar is not None:
            self._bar.close()

    def _show(self) -> None:
        """Write the line again and again until the work is done."""
        wait = QUIET
        while not self._over.wait(wait):
            if self._bar is not None:
                self._bar.update(0)
            wait = BETWEEN


MOST_DRAWS = 2**24
"""Draws at most."""

LONGEST_NAME = 255
"""Longest name of a file that systems take. [bytes]"""

SCENARIO = "toml"
"""Kind of scenario files."""

PICTURES = ("png", "svg")
"""Kinds of chart files."""

MANY, TRIED = 16384, 1024
"""Draws above which it is said what they take, and draws that are tried for it."""

WORKING = 0.9
"""Memory of the work itself, whatever the draws: measured at 20,000 of a shipped scenario. [GB]"""


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
    bill = given.get("bill")
    if bill is not None and not 0.0 <= bill < math.inf:
        raise fault("--bill", "must be an amount of money from 0", str(bill), "leave it out")
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
    return say("commands.said.chart", place=place)


def studied(answer: Callable[..., Answer], command: Command, arguments: Namespace) -> Answer:
    """Load the scenario of a command and let a study answer."""
    from lifecycle.plans import with_other_ways
    from lifecycle.scenario import at_likely
    from lifecycle.studies.futures import in_futures

    if command.shipped and not arguments.file:
        from lifecycle.places import scenario_path

        arguments.file = str(scenario_path(command.shipped))
    scenario = loaded(arguments.file, getattr(arguments, "years", None))
    if getattr(arguments, "other_ways", False):
        scenario = with_other_ways(scenario)
    if getattr(arguments, "likely", False):
        scenario = at_likely(scenario)
    nothing = not command.trouble if scenario.trouble else len(scenario.alternatives) < 2
    if nothing and not command.always:
        from lifecycle.answers.comparison import nothing_compared

        return nothing_compared(scenario, command.name)
    named = {name: getattr(arguments, name) for name in command.takes or ()}
    with Waiting() as waiting:
        if named.get("draws", 0) > MANY:
            say_what_it_takes(
                named["draws"],
                scenario,
                lambda few: answer(scenario, **{**named, "draws": few}, told=waiting),
            )
        answered = in_futures(lambda: answer(scenario, **named, told=waiting), scenario)
    return _with_aside(answered, scenario, arguments)


def _with_aside(answered: Answer, scenario: Scenario, arguments: Namespace) -> Answer:
    """Say at the end of the first screen how many other ways stand aside, and how to see them."""
    if not scenario.aside or "other_ways" not in vars(arguments):
        return answered
    from lifecycle.answers.blocks import Rest, Sentence

    command = f"lifecycle {arguments.command} {arguments.file} --other-ways"
    said = say("asking.aside", number=str(len(scenario.aside)), command=command)
    blocks = answered.blocks
    end = next((place for place, block in enumerate(blocks) if isinstance(block, Rest)), len(blocks))
    return replace(answered, blocks=(*blocks[:end], Sentence(said, "note"), *blocks[end:]))


def say_what_it_takes(draws: int, scenario: Scenario, work: Callable[[int], object]) -> None:
    """Say on the error stream how long very many draws take, by trying a few, and how much memory."""
    from lifecycle.studies.sampling import FEWEST_DRAWS

    inputs = sum(figure.ranged for figure in scenario.inputs.values())
    years = scenario.likely(scenario.study["study_period"])
    numbers = 3 * inputs + len(scenario.alternatives) * (years + 4)
    gigabytes = WORKING + 8.0 * numbers * draws / 1e9
    most = memory()
    if gigabytes > most:
        rule = f"must fit into the memory of this computer, {most:.1f} GB"
        got = f"{draws:,}, which take about {gigabytes:.1f} GB"
        fewer = int(max(0.0, most - WORKING) / (8.0 * numbers) * 1e9)
        raise fault("--draws", rule, got, f"take at most {fewer:,}, or leave it out for 1,024")
    work(FEWEST_DRAWS)  # what is done but once is no part of the time of a draw
    start = time.perf_counter()
    work(TRIED)
    seconds = (time.perf_counter() - start) * draws / TRIED
    takes = {"time": duration_text(seconds), "memory": f"{gigabytes:.1f} GB"}
    sys.stderr.write(f"lifecycle: {say('commands.said.takes', draws=f'{draws:,}', **takes)}\n")
    sys.stderr.flush()


def memory() -> float:
    """Return the memory of this computer, or what this process may have of it. [GB]"""
    try:
        import resource

        most = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
        allowed = resource.getrlimit(resource.RLIMIT_AS)[0]
    except (ImportError, AttributeError, ValueError, OSError):  # a system that does not say
        return math.inf
    return (most if allowed == resource.RLIM_INFINITY else min(most, allowed)) / 1e9


def duration_text(seconds: float) -> str:
    """Return a length of time in a round unit.

    Examples
    --------
    >>> duration_text(42.0), duration_text(2100.0), duration_text(9000.0)
    ('42 seconds', '35 minutes', '2.5 hours')
    """
    if seconds < 100.0:
        return say("commands.said.seconds", number=f"{seconds:.0f}")
    if seconds < 6000.0:
        return say("commands.said.minutes", number=f"{seconds / 60.0:.0f}")
    return say("commands.said.hours", number=f"{seconds / 3600.0:.1f}")
