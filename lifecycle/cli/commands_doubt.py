"""The commands about doubt: how sure is this, and now, later or never.

Lecture
-------
As in `commands`: each takes its arguments and returns the text that is printed. What is wrong with
the draws, or with what the scenario says of correlations and history, is one message.
"""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.assessing import assessed, nothing_to_study
from lifecycle.cli.given import check_bill, check_draws, draw_figure, loaded, place_of_chart
from lifecycle.language.lines import blocks

if TYPE_CHECKING:
    from lifecycle.language.words import Verdict
    from lifecycle.studies.assessment import Assessment


def doubt(arguments: Namespace) -> str:
    """Answer how sure the comparison is.

    Parameters
    ----------
    arguments : Namespace
        file, draws, seed, bill, json, chart.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the draws, or the place of the chart.
    """
    chart = place_of_chart(arguments.chart) if arguments.chart else None
    check_bill(arguments.bill)
    check_draws(arguments.draws, arguments.seed)
    scenario = loaded(arguments.file)

    nothing = nothing_to_study(scenario, arguments.json)
    if nothing:
        return nothing

    from lifecycle.answers.doubt_answer import doubt_text
    from lifecycle.answers.doubt_result import doubt_result
    from lifecycle.evaluation.comparison import compare as compared
    from lifecycle.language.sureness import verdict_under
    from lifecycle.writers import as_json

    comparison = compared(scenario)
    found = assessed(scenario, draws=arguments.draws, seed=arguments.seed, bill=arguments.bill, whole=True)
    answer = verdict_under(comparison, found)
    drawn = [_draw(found, answer, chart)] if chart else []
    if arguments.json:
        return as_json(doubt_result(found, answer))
    exact = {name: way.chance_renewed for name, way in comparison.ways.items()}
    return blocks([doubt_text(found, answer, exact)], drawn)


def _draw(found: Assessment, answer: Verdict, place: Path) -> str:
    """Draw the sheet of doubt and say where it is."""
    from lifecycle.charts import doubt_sheet

    return draw_figure(doubt_sheet(found, answer), place)
