"""What the notebook on doubt stores of an invented coach: text and small pictures; a page shows none.

Lecture
-------
Whoever reads the notebook without running it sees what the page gives. The dates are worked out from
few futures there, which the text says; the page and the command take more.

Left out: the page itself (`doubt_page`).
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from lifecycle.charts.small import on_a_page

if TYPE_CHECKING:
    from lifecycle.charts.small import SmallPicture
    from lifecycle.scenario import Scenario
    from lifecycle.studies.timing import Timing

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario that is shown."""

FEW_POINTS, FEW_DRAWS = 64, 128
"""Base points of the indices, and futures behind the dates."""

HEADS = ("What moves the answer of an invented example", "When to change, and how often to reseal")


@cache
def _scenario() -> Scenario:
    """Return the scenario that is shown."""
    from lifecycle import files
    from lifecycle.places import scenario_path

    return files.load(scenario_path(EXAMPLE))


@cache
def _timing() -> Timing:
    """Return its dates, from few futures."""
    from lifecycle.studies.timing import timing

    return timing(_scenario(), draws=FEW_DRAWS)


def changes_text() -> str:
    """Return what would change the answer; nothing on a page."""
    if on_a_page():
        return ""
    from lifecycle.answers.sensitivity import sensitivity_answer, what_changes
    from lifecycle.writers.terminal import as_text

    return f"{HEADS[0]}\n\n{as_text(sensitivity_answer(what_changes(_scenario())))}"


def swings_picture() -> SmallPicture | None:
    """Return the picture of what moves the answer; nothing on a page."""
    if on_a_page():
        return None
    from lifecycle.charts import swings
    from lifecycle.charts.small import SmallPicture
    from lifecycle.evaluation.comparison import compare

    return SmallPicture(swings(compare(_scenario())))


def indices_picture() -> SmallPicture | None:
    """Return the picture of what brings the doubt, from few points; nothing on a page."""
    if on_a_page():
        return None
    from lifecycle.charts import indices
    from lifecycle.charts.small import SmallPicture
    from lifecycle.studies.sensitivity import indices as worked_out

    return SmallPicture(indices(worked_out(_scenario(), points=FEW_POINTS)))


def map_picture() -> SmallPicture | None:
    """Return the map of the two figures that move the answer most; nothing on a page."""
    if on_a_page():
        return None
    from lifecycle.charts import answer_map
    from lifecycle.charts.small import SmallPicture
    from lifecycle.evaluation.comparison import compare
    from lifecycle.studies.sensitivity import two_way_map

    scenario = _scenario()
    across, up = (swing.figure.path for swing in compare(scenario).swings[:2])
    return SmallPicture(answer_map(two_way_map(scenario, across, up), scenario))


def dates_text() -> str:
    """Return when to change and how often to reseal; nothing on a page."""
    if on_a_page():
        return ""
    from lifecycle.answers.timing import timing_answer
    from lifecycle.writers.terminal import as_text

    few = f"From {FEW_DRAWS} futures only, to be quick; the page and the command take more."
    return f"{HEADS[1]}\n\n{few}\n\n{as_text(timing_answer(_scenario(), _timing()))}"


def dates_picture() -> SmallPicture | None:
    """Return the picture of the dates; nothing on a page."""
    if on_a_page():
        return None
    from lifecycle.charts import when_to_change
    from lifecycle.charts.small import SmallPicture

    return SmallPicture(when_to_change(_timing(), currency=_scenario().currency))
