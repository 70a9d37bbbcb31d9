"""What would change the answer, on one sheet: swings, and indices and a map if they were asked for.

Lecture
-------
The sheet is headed by the first sentence of the answer in words. Below it stand the swings of the
figures that move the answer most, the indices, and the map of two figures.

Left out: switch values, which are numbers and stand in the table.
"""

from __future__ import annotations

from functools import partial

from matplotlib.figure import Figure

from lifecycle.answers.sensitivity_answer import Sensitivity, first_sentence
from lifecycle.charts.shares import answer_map, describe_answer_map, describe_indices, indices
from lifecycle.charts.stacked import Described, stacked
from lifecycle.charts.swings import describe_swings, swings
from lifecycle.evaluation.comparison import compare


def change_sheet(found: Sensitivity) -> Figure:
    """Draw what would change the answer.

    Parameters
    ----------
    found : Sensitivity
        What was found out.

    Returns
    -------
    Figure
        With a text alternative.
    """
    comparison = compare(found.scenario)
    charts: list[Described] = [(partial(swings, comparison), describe_swings(comparison))]
    if found.indices is not None:
        charts.append((partial(indices, found.indices), describe_indices(found.indices)))
    if found.map is not None:
        drawn = partial(answer_map, found.map, found.scenario)
        charts.append((drawn, describe_answer_map(found.map, found.scenario)))
    return stacked(first_sentence(found), charts)
