"""How sure is this, on one sheet: the answer, the table of 20s, the spread, and what each way costs.

Lecture
-------
The sheet is headed by the first line of the verdict, as it stands on every other face. Below it stand
three charts of doubt, each as wide as a phone, in the order in which people ask: in how many of 20
futures, how much cheaper or dearer, and what each way costs by the year of sale. Each chart keeps the
room that it takes on a picture of its own. Where no input is a range there are no futures to count: a
sentence says so.

Left out: luck, which is another kind of chance and never in the same picture (`twenties`, `stories`).
"""

from __future__ import annotations

from functools import partial

from matplotlib.figure import Figure

from lifecycle.charts.futures import (
    describe_owning_under_doubt,
    describe_savings_spread,
    owning_under_doubt,
    savings_spread,
)
from lifecycle.charts.stacked import Described, described, stacked
from lifecycle.charts.twenties import describe_table_of_20s, table_of_20s
from lifecycle.language.words import Verdict
from lifecycle.studies.assessment import Assessment


def doubt_sheet(found: Assessment, answer: Verdict) -> Figure:
    """Draw how sure an answer is.

    Parameters
    ----------
    found : Assessment
        The whole of it; without a table of 20s that chart is left out.
    answer : Verdict
        Under this doubt.

    Returns
    -------
    Figure
        With a text alternative.
    """
    return stacked(answer.lines[0], _charts(found))


def _charts(found: Assessment) -> list[Described]:
    """Return the charts of the sheet and their sentences; without doubt one sentence says so."""
    owning: Described = partial(owning_under_doubt, found), describe_owning_under_doubt(found)
    if not found.any_doubt:
        return [owning]
    charts: list[Described] = []
    if found.habits is not None:
        charts.append((partial(table_of_20s, found.habits), describe_table_of_20s(found.habits)))
    charts.append((partial(savings_spread, found), describe_savings_spread(found)))
    return [*charts, owning]


def describe_doubt_sheet(found: Assessment, answer: Verdict) -> str:
    """Say what `doubt_sheet` shows: the verdict's first line, and its charts.

    Parameters
    ----------
    found : Assessment
        The whole of it.
    answer : Verdict
        Under this doubt.

    Returns
    -------
    str
    """
    return described(answer.lines[0], _charts(found))
