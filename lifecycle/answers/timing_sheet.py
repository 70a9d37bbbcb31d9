"""Now, later or never, on one sheet: what each date of the change costs, and each interval of reseals.

Lecture
-------
The sheet is headed by the first sentence of the answer in words. Where no way of keeping the roof has
a full reseal the second chart is left out.

Left out: luck.
"""

from __future__ import annotations

from functools import partial

from matplotlib.figure import Figure

from lifecycle.answers.timing_answer import when_sentence
from lifecycle.charts.stacked import Described, stacked
from lifecycle.charts.waiting import (
    describe_how_often_to_reseal,
    describe_when_to_change,
    how_often_to_reseal,
    when_to_change,
)
from lifecycle.scenario import Scenario
from lifecycle.studies.timing import Timing


def timing_sheet(scenario: Scenario, found: Timing) -> Figure:
    """Draw when to change and how often to reseal.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    found : Timing
        Its dates and intervals.

    Returns
    -------
    Figure
        With a text alternative.
    """
    currency = scenario.currency
    dates = partial(when_to_change, found, currency=currency)
    charts: list[Described] = [(dates, describe_when_to_change(found, currency=currency))]
    if found.reseal:
        intervals = partial(how_often_to_reseal, found, currency=currency)
        charts.append((intervals, describe_how_often_to_reseal(found, currency=currency)))
    return stacked(when_sentence(scenario, found), charts)
