"""Work in futures for a command: what stands in its way, how long it takes, and what is being done.

Lecture
-------
A scenario with trouble, or with one way, has nothing to be sure of: the answer is that of a
comparison. Correlations that contradict each other, and a history that no draw can explain, are
mistakes of the user. Very many draws are allowed: it is said beforehand what they take, from a few
that are tried.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from lifecycle.cli.progress import Waiting
from lifecycle.cli.studying import MANY, say_what_it_takes
from lifecycle.studies.doubt import in_futures

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario
    from lifecycle.studies.assessment import Assessment


def nothing_to_study(scenario: Scenario, json: bool) -> str:
    """Return the answer where nothing is compared, or there is one way only; else nothing."""
    if not scenario.trouble and len(scenario.alternatives) > 1:
        return ""
    from lifecycle.answers.comparison import nothing_compared
    from lifecycle.writers import as_json
    from lifecycle.writers.terminal import as_text

    answer = nothing_compared(scenario)
    return as_json(answer.data) if json else as_text(answer)


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
