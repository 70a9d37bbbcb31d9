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
    from lifecycle.answers.both_ways import offer_lines
    from lifecycle.answers.quote import form_lines, price_lines
    from lifecycle.evaluation.comparison import compare
    from lifecycle.language.lines import blocks, wrapped
    from lifecycle.language.verdict import of_20_lines, verdict_under, willing_lines
    from lifecycle.pages.panels.counter_answer import TITLES, unseen_lines
    from lifecycle.pages.panels.counter_price_text import change_lines
    from lifecycle.places import scenario_path
    from lifecycle.studies.assessment import brief
    from lifecycle.studies.quoting import examine

    scenario = files.load(scenario_path(NAME))
    found, examination = brief(scenario), examine(scenario)
    comparison = compare(found.scenario)
    one, units = examination.quotes[0], scenario.units
    price = [*price_lines(one, units), *form_lines(one.forms, units), *change_lines(one, examination)]
    sections = {
        1: verdict_under(comparison, found).lines,
        2: willing_lines(comparison, found),
        3: of_20_lines(found),
        4: offer_lines(comparison, found.doubt),
        5: price,
        6: [f"- {line}" for line in unseen_lines(examination, moisture=False)],
    }
    head = [f"An invented customer: {scenario.title}"]
    return blocks(head, *([f"{number}  {TITLES[number]}", *wrapped(sections[number])] for number in TITLES))
