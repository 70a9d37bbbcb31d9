"""Work in futures for a command: what stands in its way, how long it takes, and what is being done.

Lecture
-------
A scenario with trouble, or with one way, has nothing to be sure of: the answer is that of a
comparison. Correlations that contradict each other, and a history that no draw can explain, are
mistakes of the user. Very many draws are allowed: it is said beforehand what they take, from a few
that are tried.
"""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from lifecycle.cli.progress import Waiting
from lifecycle.errors import fault
from lifecycle.language.lines import blocks, wrapped
from lifecycle.studies.doubt import in_futures

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario
    from lifecycle.studies.assessment import Assessment

MANY, TRIED = 16384, 1024
"""Draws above which it is said what they take, and draws that are tried for it."""

WORKING = 0.9
"""Memory of the work itself, whatever the draws: measured at 20,000 of a shipped scenario. [GB]"""

Found = TypeVar("Found")


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

    from lifecycle.answers.doubt_result import nothing_compared
    from lifecycle.answers.results import as_json
    from lifecycle.evaluation.comparison import compare
    from lifecycle.language.verdict import verdict

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

    if draws > MANY:
        say_what_it_takes(
            draws,
            scenario,
            lambda tried: in_futures(lambda: assessment.brief(scenario, draws=tried, seed=seed, until=until)),
        )
    with Waiting() as waiting:
        if whole:
            return in_futures(
                lambda: assessment.whole(scenario, draws=draws, seed=seed, bill=bill, told=waiting.step)
            )
        return in_futures(
            lambda: assessment.brief(scenario, draws=draws, seed=seed, until=until, told=waiting.step)
        )


def say_what_it_takes(draws: int, scenario: Scenario, work: Callable[[int], object]) -> None:
    """Say on the error stream how long very many draws take, by trying a few, and how much memory.

    Parameters
    ----------
    draws : int
        Wanted.
    scenario : Scenario
        Gives the number of inputs, ways and years that are kept of each draw.
    work : callable
        Does the work for a number of draws.

    Raises
    ------
    ScenarioError
        If they need more memory than there is; before any work.
    """
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
