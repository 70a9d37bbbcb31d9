"""An invented customer at the counter, printed where a notebook is read with its code; a page shows none.

Lecture
-------
The answer in the order of the page, for a shipped scenario with a quote from a price list.
"""

from __future__ import annotations

from lifecycle.charts.small import on_a_page

NAME = "two-quotes"
"""The shipped scenario that is shown."""


def counter_example_text() -> str:
    """Return the answer for an invented customer; nothing on a page.

    Returns
    -------
    str
        The sections of the page, in their order.
    """
    if on_a_page():
        return ""
    from lifecycle import files
    from lifecycle.answers.blocks import Answer, Heading, Items, Sentence
    from lifecycle.answers.both_ways import offer_lines
    from lifecycle.answers.quote import price_blocks
    from lifecycle.evaluation.comparison import compare
    from lifecycle.language.verdict import of_20_lines, verdict_under, willing_lines
    from lifecycle.pages.panels.counter_answer import TITLES, unseen_lines
    from lifecycle.places import scenario_path
    from lifecycle.studies.assessment import brief
    from lifecycle.studies.quoting import examine
    from lifecycle.writers.terminal import as_text

    scenario = files.load(scenario_path(NAME))
    found, examination = brief(scenario), examine(scenario)
    comparison = compare(found.scenario)
    sections = {
        1: map(Sentence, verdict_under(comparison, found).lines),
        2: map(Sentence, willing_lines(comparison, found)),
        3: map(Sentence, of_20_lines(found)),
        4: map(Sentence, offer_lines(comparison, found.doubt)),
        5: price_blocks(examination),
        6: (Items(tuple(unseen_lines(examination, moisture=False))),),
    }
    blocks = [
        block
        for number, title in TITLES.items()
        for block in (Heading(f"{number}  {title}"), *sections[number])
    ]
    return as_text(Answer(f"An invented customer: {scenario.title}", "", tuple(blocks)))
