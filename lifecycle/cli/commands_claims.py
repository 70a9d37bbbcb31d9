"""The command about what may be said.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. Only what the statements
need is worked out: doubt to ten years or the years kept, and no luck.
"""

from __future__ import annotations

import math
from argparse import Namespace
from dataclasses import replace
from typing import TYPE_CHECKING

from lifecycle.cli.assessing import nothing_to_study
from lifecycle.cli.given import check_draws, loaded
from lifecycle.cli.progress import Waiting
from lifecycle.studies.doubt import in_futures

if TYPE_CHECKING:
    from lifecycle.evaluation.comparison import Comparison
    from lifecycle.scenario import StatedAlternative

YEARS = 10
"""Years of sale that statements name, besides the years kept. [years]"""


def claims(arguments: Namespace) -> str:
    """Judge what is commonly said, on the figures of a scenario.

    Parameters
    ----------
    arguments : Namespace
        file, draws, seed, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario or the draws.
    """
    check_draws(arguments.draws, arguments.seed)
    scenario = loaded(arguments.file)
    if not scenario.trouble:
        nothing = nothing_to_study(scenario, arguments.json)
        if nothing:
            return nothing

    from lifecycle.answers.claims_answer import claims_result, claims_text
    from lifecycle.evaluation.comparison import compare as compared
    from lifecycle.language import advice
    from lifecycle.language.case_lines import lines_of
    from lifecycle.studies.both_ways import both_ways
    from lifecycle.studies.case import case_of
    from lifecycle.studies.claiming import claims as judged
    from lifecycle.studies.doubt import futures, under
    from lifecycle.writers import as_json

    comparison = compared(scenario)
    if scenario.trouble:
        found = judged(comparison, None)
        return as_json(claims_result(comparison, found)) if arguments.json else claims_text(comparison, found)
    until = min(max(math.ceil(comparison.holding_period), YEARS), comparison.study_period)
    needed = replace(scenario, alternatives=_ways_spoken_of(comparison))
    with Waiting() as waiting:
        waiting.step(f"{arguments.draws:,} futures")
        doubt = in_futures(
            lambda: under(needed, futures(needed, draws=arguments.draws, seed=arguments.seed), until=until)
        )
        waiting.step("statements, and the case for and against")
        unsure = [asked for asked in ("otherwise", "quote") if advice.not_sure(comparison, asked)]
        found = judged(comparison, doubt, not_sure=unsure)
        sides = case_of(comparison, doubt)
        both = in_futures(lambda: both_ways(comparison, doubt))
    if arguments.json:
        return as_json(claims_result(comparison, found, sides=sides, both=both, doubt=doubt))
    return claims_text(comparison, found, lines_of(sides, scenario.units), both)


def _ways_spoken_of(comparison: Comparison) -> tuple[StatedAlternative, ...]:
    """Return the ways spoken of: the one in question, the base case, and those that keep the roof."""
    return tuple(
        way
        for way in comparison.scenario.alternatives
        if way.base_case or way.name == comparison.subject or comparison.ways[way.name].keeps_what_stands
    )
