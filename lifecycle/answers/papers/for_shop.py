"""The paper for the shop: the roof, the scope, and questions. Nothing that the owner keeps to himself.

Lecture
-------
A shop can answer well only what it is asked, so the paper says what is to be priced, part by part, and
what is to be promised. It never says the highest price worth paying, how long the coach is kept, what an
hour or a day is worth to its owner, or what the owner would do otherwise, nor anything from which they
follow: no verdict, no cost of another way, no job of one's own, and no title, for a title may tell.

The questions are those of every job, in one order: what the answer hangs on most follows from what is kept
back, so an order by it would tell. Two owners of one roof hand over the same bytes.

Left out: what another shop asks.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Drawing, Handwriting, Heading, Items, Sentence, Table
from lifecycle.answers.papers.footing import invented
from lifecycle.answers.quote import terms
from lifecycle.answers.shared import made_line
from lifecycle.charts import roof_plan
from lifecycle.language.labels import area_text, length_text
from lifecycle.language.sentences import say, words
from lifecycle.language.trouble import found_lines, path_lines
from lifecycle.scenario import Scenario, geometry_of
from lifecycle.studies.quoting import scope

SIZE = 9.0
"""Size of the text in print. [point]"""


def for_shop(scenario: Scenario) -> Answer:
    """Return the paper for the shop."""
    blocks = [*invented(scenario), *_roof(scenario)]
    blocks += _open_first(scenario) if scenario.trouble else [*_scope(scenario), *_questions()]
    day = scenario.base_date.isoformat()
    return Answer(
        title=say("papers.for_shop.title"),
        subtitle=say("papers.for_shop.subtitle"),
        blocks=(*blocks, Handwriting(say("papers.for_shop.answered"), 2)),
        footer=f"{say('papers.for_shop.footer', day=day)} {made_line()}",
        text_size=SIZE,
        date=day,
    )


def _roof(scenario: Scenario) -> Iterator[Block]:
    """Return what the roof is."""
    yield Heading(say("papers.for_shop.roof"))
    existing = scenario.roofs[scenario.existing.roof]
    facts = [say("papers.for_shop.on_it", covering=existing.covering, age=_age(scenario))]
    facts += found_lines(scenario.seen)
    shape = geometry_of(scenario)
    if shape is None:
        yield Items((*facts, say("papers.for_shop.not_measured")))
        return
    facts.append(
        say(
            "papers.for_shop.size",
            length=length_text(shape.length, scenario.units),
            sprayed=length_text(shape.sprayed_length, scenario.units),
            area=area_text(shape.sprayed_area, scenario.units),
            joints=length_text(shape.joint_length, scenario.units),
        )
    )
    unseen = [text for name, text in words("quote.unseen").items() if name in shape.assumed]
    yield Items((*facts, *unseen))
    yield Drawing(partial(roof_plan, scenario), share=0.6)


def _age(scenario: Scenario) -> str:
    """Return the age of the roof."""
    months = scenario.likely(scenario.existing.numbers["age"])
    if months < 24.0:
        return say("papers.for_shop.months", age=f"{months:.0f}")
    return say("papers.for_shop.years", age=f"{months / 12.0:.0f}")


def _open_first(scenario: Scenario) -> list[Block]:
    """Return what is asked where trouble is reported."""
    return [
        Heading(say("papers.for_shop.open_first")),
        Sentence(
            say("papers.for_shop.seen", trouble=", ".join(scenario.trouble)),
            "caution",
        ),
        Items(path_lines(scenario.seen, to_shop=True), numbered=True),
        Handwriting(say("papers.for_shop.opened"), 5),
    ]


def _scope(scenario: Scenario) -> Iterator[Block]:
    """Return the parts of the job, with room for a price each, and what the quote says of them."""
    yield Heading(say("papers.for_shop.parts"))
    quote = _only_quote(scenario)
    covered = set(quote.covered) if quote is not None else set()
    said, heads = words("papers.for_shop"), words("papers.for_shop.heads")
    named = {name: said["in_it" if name in covered else "not_named"] for name in scope()}
    rows = tuple(
        (part["title"], part["ask"], named[name] if covered else said["blank"])
        for name, part in scope().items()
    )
    yield Table((heads["part"], heads["say"], heads["quoted" if covered else "price"]), rows)
    if quote is None:
        return
    silent = [name for name, text in terms(quote, scenario.units).items() if text is None]
    if silent:
        yield Sentence(say("papers.for_shop.silent", quote=quote.title, terms=", ".join(silent)))


def _only_quote(scenario: Scenario) -> Any:
    """Return the quote of the file if there is just one: of several, none is shown to another shop."""
    return next(iter(scenario.quotes.values())) if len(scenario.quotes) == 1 else None


def _questions() -> Iterator[Block]:
    """Return the questions of every job, in one order."""
    for name, asked in words("papers.shop").items():
        yield Heading(say(f"papers.for_shop.{name}"))
        yield Items(tuple(asked), numbered=True)
