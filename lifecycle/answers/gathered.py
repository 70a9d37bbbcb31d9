"""Everything that the papers of one scenario say, worked out once.

Lecture
-------
The papers for the owner, the shop and the analyst, the workbook and the calendar stand on the same
answers; each study runs once, with the same draws and the same seed as on the command line. So no two
papers can say two things, and none says another thing than ``lifecycle compare``.

With trouble reported, or with one way only, nothing is compared: the studies are left out, and the
papers say why.

Left out: what stands on which paper.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from lifecycle.answers.sensitivity import Sensitivity, what_changes
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.language.verdict import Verdict, verdict_under
from lifecycle.scenario import Scenario
from lifecycle.studies import assessment
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.by_place import ByPlace, by_place
from lifecycle.studies.doubt import DRAWS, SEED
from lifecycle.studies.sensitivity import TwoWayMap, two_way_map
from lifecycle.studies.timing import Timing, timing

POINTS = 128
"""Base points of the indices on the analyst's paper; the command takes more."""

Told = Callable[[str], None]
"""Called with what is being worked out."""


@dataclass(frozen=True)
class Studied:
    """What the studies of a comparison say.

    Parameters
    ----------
    found : Assessment
        Doubt and luck, all of it.
    timing : Timing
        Now, later or never.
    change : Sensitivity
        What would change the answer, with indices, and a map of the two figures that move it most.
    """

    found: Assessment
    timing: Timing
    change: Sensitivity


@dataclass(frozen=True)
class Gathered:
    """What the papers of one scenario say.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    answer : Verdict
        Under doubt, where there is any.
    studied : Studied or None
        None where nothing is compared.
    places : ByPlace
        Where it stands.
    """

    comparison: Comparison
    answer: Verdict
    studied: Studied | None
    places: ByPlace

    @property
    def scenario(self) -> Scenario:
        """What was stated."""
        return self.comparison.scenario


def gather(scenario: Scenario, *, draws: int = DRAWS, seed: int = SEED, told: Told | None = None) -> Gathered:
    """Work out what the papers of a scenario say."""
    comparison = compare(scenario)
    if not comparison.ways or comparison.subject is None:
        return Gathered(comparison, verdict_under(comparison, None), None, by_place(scenario))
    with ThreadPoolExecutor(1) as beside:
        waiting = beside.submit(timing, scenario, draws=draws, seed=seed)
        found = assessment.whole(scenario, draws=draws, seed=seed, told=told)
        change = what_changes(found.scenario, doubt=found.doubt, points=POINTS, seed=seed)
        change = replace(change, map=_map(found, [swing.figure.path for swing in change.swings]))
        studied = Studied(found, waiting.result(), change)
        comparison = compare(found.scenario)
        places = by_place(found.scenario, doubt=found.doubt)
    return Gathered(comparison, verdict_under(comparison, found), studied, places)


def _map(found: Assessment, paths: list[str]) -> TwoWayMap | None:
    """Return the map of the two figures that move the answer most; None with fewer ranges."""
    return two_way_map(found.scenario, *paths[:2], doubt=found.doubt) if len(paths) > 1 else None
