"""The offer of a shop to a customer, to be printed at a counter: a suggestion until the shop signs it.

Lecture
-------
The order is that of the counter: the verdict, also when it says no, then the price line by line, its two
forms, what can change it, what is promised and what is not said, what was not looked at. The customer takes
it along; it binds nobody before the shop has signed which of the two forms it offers.

Left out: the highest price worth paying, which is the customer's own.
"""

from __future__ import annotations

from lifecycle.answers.blocks import Answer, Handwriting, Heading, Items, Sentence
from lifecycle.answers.gathered import Gathered
from lifecycle.answers.papers.footing import footer, invented
from lifecycle.answers.quote import price_blocks, terms_said
from lifecycle.language.sentences import say, words
from lifecycle.language.trouble import found_lines
from lifecycle.studies.quoting import examine

SIZE = 9.0
"""Size of the text in print. [point]"""


def offer(gathered: Gathered) -> Answer | None:
    """Return the offer; None where there is trouble to open first, or no quote line by line."""
    scenario = gathered.scenario
    if scenario.trouble or not scenario.quotes:
        return None
    examination = examine(scenario)
    unseen = [words("quote.unseen")[name] for name in examination.unseen]
    first, *others = gathered.answer.lines
    blocks = (
        *invented(scenario),
        Sentence(say("papers.offer.suggested"), "caution"),
        Sentence(first, "verdict"),
        *map(Sentence, others),
        Heading(say("counter.answer.price")),
        *price_blocks(examination),
        *map(Sentence, terms_said(examination.quotes[0].quote, scenario.units)),
        *map(Sentence, found_lines(scenario.seen)),
        *((Heading(say("quote.not_looked_at")), Items(tuple(unseen))) if unseen else ()),
        Handwriting(say("papers.offer.signed"), 2),
    )
    day = scenario.base_date.isoformat()
    title = say("papers.offer.title")
    return Answer(title, scenario.title, blocks, footer=footer(scenario), text_size=SIZE, date=day)
