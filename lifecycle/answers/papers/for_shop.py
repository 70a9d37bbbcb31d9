"""The paper for the shop: the roof, the scope, and questions. Nothing that the owner keeps to himself.

Lecture
-------
A shop can answer well only what it is asked, so the paper says what is to be priced, part by part, and
asks for what the answer hangs on most. It never says the highest price worth paying, how long the coach
is kept, or what an hour or a day is worth to its owner, nor anything from which they follow: no verdict,
no cost of another way, and no title, for a title may tell.

Which figures matter most is found as if the coach were anybody's: years, hours and days stand at the
tool's own figures. So two owners of one roof hand over the same paper, whatever they keep for themselves.

Left out: what another shop asks.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Drawing, Handwriting, Heading, Items, Sentence, Table
from lifecycle.answers.gathered import Gathered
from lifecycle.answers.papers.footing import invented
from lifecycle.answers.quote import terms
from lifecycle.answers.shared import made_line
from lifecycle.charts import roof_plan
from lifecycle.evaluation.swings import swings
from lifecycle.files import shared
from lifecycle.language.labels import area_text, input_name, length_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, Use, geometry_of, replaced, resolve
from lifecycle.studies.answer import ways_in_question
from lifecycle.studies.quoting import scope

PRIVATE = ("holding_period", "hour_value", "day_cost")
"""Figures of the owner that stand at the tool's own, whatever they are."""

ASKED = 6
"""Figures asked for at most, those that the answer hangs on most."""

SIZE = 9.0
"""Size of the text in print. [point]"""


def for_shop(told: Gathered) -> Answer:
    """Return the paper for the shop."""
    scenario = told.scenario
    blocks = [*invented(scenario), *_roof(scenario)]
    blocks += _open_first(scenario) if scenario.trouble else [*_scope(scenario), *_questions(scenario)]
    day = scenario.base_date.isoformat()
    return Answer(
        title=say("papers.for_shop.title"),
        subtitle=say("papers.for_shop.subtitle"),
        blocks=(*blocks, Handwriting(say("papers.for_shop.answered"), 2)),
        footer=f"{say('papers.for_shop.footer', day=day)} {made_line()}",
        text_size=SIZE,
        date=day,
    )


def anybody(scenario: Scenario) -> Scenario:
    """Return a scenario whose private figures stand at the tool's own."""
    changes = {}
    for name in PRIVATE:
        stated, own = scenario.owner.get(name), shared()["owner"].get(name)
        if isinstance(stated, Use) and own is not None:
            changes[stated.path] = _likely(own)
    held = scenario.owner["holding_period"]
    if isinstance(held, Use):
        shown = scenario.likely(scenario.study["study_period"])
        changes[held.path] = min(changes.get(held.path, shown), shown)
    return replaced(scenario, changes)


def _likely(stated: Any) -> float:
    """Return the likely value of a shared figure."""
    if isinstance(stated, dict):
        stated = stated["likely"] if "likely" in stated else stated["value"]
    return float(stated)


def _roof(scenario: Scenario) -> Iterator[Block]:
    """Return what the roof is."""
    yield Heading(say("papers.for_shop.roof"))
    existing = scenario.roofs[scenario.existing.roof]
    facts = [say("papers.for_shop.on_it", covering=existing.covering, age=_age(scenario))]
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
        Items(tuple(words("papers.open_it")[1:4]), numbered=True),
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


def _questions(scenario: Scenario) -> Iterator[Block]:
    """Return the questions: those of every job, and those that the answer hangs on most."""
    asked, heads = words("papers.shop"), words("papers.for_shop.heads")
    yield Heading(say("papers.for_shop.price"))
    yield Items(tuple(asked["price"]), numbered=True)
    yield Heading(say("papers.for_shop.promised"))
    yield Items(tuple(asked["promise"]), numbered=True)
    figures = asked_for(scenario)
    if figures:
        yield Heading(say("papers.for_shop.most"))
        blank, first = words("papers.for_shop.blank"), say("papers.for_shop.first")
        rows = tuple((input_name(one), asked["figures"][one.field.name], blank) for one in figures)
        yield Table((heads["figure"], heads["question"], heads["answer"]), rows, note=first)


def asked_for(scenario: Scenario) -> tuple[Figure, ...]:
    """Return the figures that a shop can tell and that the answer hangs on most, the largest first."""
    plain = anybody(scenario)
    if len(resolve(plain).alternatives) < 2:
        return ()
    pair = ways_in_question(plain, None, None)
    known = words("papers.shop.figures")
    able = [
        swing.figure
        for swing in swings(plain, *pair)
        if swing.figure.field.by_telephone and swing.figure.field.name in known
    ]
    return tuple(able[:ASKED])
