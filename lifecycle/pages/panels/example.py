"""An invented example, printed where a notebook is read with its code; a page shows none.

Lecture
-------
Whoever opens the notebook sees what an answer looks like before answering anything. On a page that would
anchor people on somebody else's coach, so there nothing is shown.
"""

from __future__ import annotations

from lifecycle.charts.small import on_a_page

NAME = "humid-coast-motorhome"
"""The shipped scenario that is shown."""


def example_text() -> str:
    """Return the answer for an invented coach; nothing on a page.

    Returns
    -------
    str
        The title, the verdict and what stands beside it.
    """
    if on_a_page():
        return ""
    from lifecycle import files
    from lifecycle.evaluation.comparison import compare
    from lifecycle.language.assumptions import bases_sentence
    from lifecycle.language.verdict import verdict_under
    from lifecycle.places import scenario_path
    from lifecycle.studies.assessment import brief

    scenario = files.load(scenario_path(NAME))
    found = brief(scenario)
    answer = verdict_under(compare(found.scenario), found)
    head = f"An invented example: {scenario.title}"
    return "\n\n".join([head, *answer.lines, *answer.beside, bases_sentence(scenario)])
