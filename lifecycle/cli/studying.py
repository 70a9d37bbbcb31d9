"""From a scenario file to an answer that a study gives: what every such command does.

Lecture
-------
The scenario is loaded and gets the years kept that were asked for. Trouble, or one way only: there is
nothing to study, and the answer says so. Very many draws are allowed: it is said beforehand what they take,
from a few that are tried. Contradicting correlations, and a history that no draw can explain, are mistakes
of the user.
"""

from __future__ import annotations

import math
import os
import sys
import time
from argparse import Namespace
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from lifecycle.cli.given import loaded
from lifecycle.cli.progress import Waiting
from lifecycle.errors import fault
from lifecycle.language.sentences import say
from lifecycle.plans import with_other_ways
from lifecycle.scenario import at_likely
from lifecycle.studies.doubt import in_futures

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.scenario import Scenario

MANY, TRIED = 16384, 1024
"""Draws above which it is said what they take, and draws that are tried for it."""

WORKING = 0.9
"""Memory of the work itself, whatever the draws: measured at 20,000 of a shipped scenario. [GB]"""


def studied(
    answer: Callable[..., Answer],
    takes: Sequence[str],
    arguments: Namespace,
    *,
    always: bool = False,
    trouble: bool = False,
) -> Answer:
    """Load the scenario of a command and let a study answer."""
    scenario = loaded(arguments.file, getattr(arguments, "years", None))
    if getattr(arguments, "other_ways", False):
        scenario = with_other_ways(scenario)
    if getattr(arguments, "likely", False):
        scenario = at_likely(scenario)
    nothing = not trouble if scenario.trouble else len(scenario.alternatives) < 2
    if nothing and not always:
        from lifecycle.answers.comparison import nothing_compared

        return nothing_compared(scenario)
    named = {name: getattr(arguments, name) for name in takes}
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
    sys.stderr.write(
        f"lifecycle: {draws:,} draws take about {duration_text(seconds)} and {gigabytes:.1f} GB of memory "
        "here. 1,024 are enough for every figure in words. Ctrl-C stops it.\n"
    )
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
        return f"{seconds:.0f} seconds"
    return f"{seconds / 60.0:.0f} minutes" if seconds < 6000.0 else f"{seconds / 3600.0:.1f} hours"
