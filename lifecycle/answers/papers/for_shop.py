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
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Handwriting, Heading, Items, Sentence, Table
from lifecycle.answers.gathered import Gathered
from lifecycle.answers.papers.footing import invented
from lifecycle.answers.papers.for_us import drawn
from lifecycle.answers.quote import terms
from lifecycle.charts import roof_plan
from lifecycle.evaluation.swings import swings
from lifecycle.files import data, shared
from lifecycle.language.labels import area_text, input_name, length_text
from lifecycle.language.sentences import words
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, Use, geometry_of, replaced, resolve
from lifecycle.studies.answer import ways_in_question
from lifecycle.studies.quoting import scope

TITLE = "For the shop: a roof to be priced"
"""Of the paper."""

PRIVATE = ("holding_period", "hour_value", "day_cost")
"""Figures of the owner that stand at the tool's own, whatever they are."""

ASKED = 6
"""Figures asked for at most, those that the answer hangs on most."""

FIRST = "What matters most to our choice stands first."
"""Below what is asked for."""

BLANK = "__________"
"""Room for a number."""

SIZE = 9.0
"""Size of the text in print. [point]"""


def for_shop(told: Gathered) -> Answer:
    """Return the paper for the shop.

    Parameters
    ----------
    told : Gathered
        What the studies say; only what the roof is and what was stated of quotes is taken from it.

    Returns
    -------
    Answer
    """
    scenario = told.scenario
    blocks = [*invented(scenario), *_roof(scenario)]
    blocks += _open_first(scenario) if scenario.trouble else [*_scope(scenario), *_questions(scenario)]
    day = scenario.base_date.isoformat()
    return Answer(
        title=TITLE,
        subtitle="Please price what stands here, and answer in writing.",
        blocks=(*blocks, Handwriting("Shop, date, and who answered", 2)),
        footer=f"As of {day}. This paper says what is to be done, not what we would pay.",
        text_size=SIZE,
        date=day,
    )


def anybody(scenario: Scenario) -> Scenario:
    """Return a scenario whose private figures stand at the tool's own.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    Scenario
        The same for two owners of the same roof.
    """
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
    yield Heading("The roof")
    existing = scenario.roofs[scenario.existing.roof]
    facts = [f"On it now: {existing.covering}, {_age(scenario)}."]
    shape = geometry_of(scenario)
    if shape is None:
        yield Items((*facts, "Nobody has measured the coach yet. Please measure it, caps and edges too."))
        return
    facts.append(
        f"{length_text(shape.length, scenario.units)} from end to end, of which "
        f"{length_text(shape.sprayed_length, scenario.units)} between the caps; "
        f"{area_text(shape.sprayed_area, scenario.units)} with the edges; "
        f"{length_text(shape.joint_length, scenario.units)} of joints."
    )
    unseen = [text for name, text in words("quote.unseen").items() if name in shape.assumed]
    yield Items((*facts, *unseen))
    yield drawn(roof_plan(scenario), share=0.6)


def _age(scenario: Scenario) -> str:
    """Return the age of the roof."""
    months = scenario.likely(scenario.existing.numbers["age"])
    return f"{months:.0f} months old" if months < 24.0 else f"{months / 12.0:.0f} years old"


def _open_first(scenario: Scenario) -> list[Block]:
    """Return what is asked where trouble is reported."""
    return [
        Heading("Open it first"),
        Sentence(
            f"We have seen: {', '.join(scenario.trouble)}. Please do not quote a new roof or a coating yet.",
            "caution",
        ),
        Items(tuple(data("papers.toml")["open_it"][1:4]), numbered=True),
        Handwriting("Price to open and close it; what was found; what was measured", 5),
    ]


def _scope(scenario: Scenario) -> Iterator[Block]:
    """Return the parts of the job, with room for a price each, and what the quote says of them."""
    yield Heading("Parts of the job")
    quote = _only_quote(scenario)
    covered = set(quote.covered) if quote is not None else set()
    rows = tuple(
        (part["title"], part["ask"], "" if not covered else "in it" if name in covered else "not named")
        for name, part in scope().items()
    )
    if covered:
        yield Table(("part", "please say", "in your quote"), rows)
    else:
        yield Table(("part", "please say", "price"), tuple((*row[:2], BLANK) for row in rows))
    if quote is None:
        return
    silent = [name for name, text in terms(quote, scenario.units).items() if text is None]
    if silent:
        yield Sentence(f'Your quote "{quote.title}" does not say: {", ".join(silent)}. Please do.')


def _only_quote(scenario: Scenario) -> Any:
    """Return the quote of the file if there is just one: of several, none is shown to another shop."""
    return next(iter(scenario.quotes.values())) if len(scenario.quotes) == 1 else None


def _questions(scenario: Scenario) -> Iterator[Block]:
    """Return the questions: those of every job, and those that the answer hangs on most."""
    asked = data("papers.toml")["shop"]
    yield Heading("Price, and what can change it")
    yield Items(tuple(asked["price"]), numbered=True)
    yield Heading("What is promised, on paper")
    yield Items(tuple(asked["promise"]), numbered=True)
    figures = asked_for(scenario)
    if figures:
        yield Heading("What we would most like to know")
        rows = tuple((input_name(one), asked["figures"][one.field.name], BLANK) for one in figures)
        yield Table(("figure", "question", "answer"), rows, note=FIRST)


def asked_for(scenario: Scenario) -> tuple[Figure, ...]:
    """Return the figures that a shop can tell and that the answer hangs on most, the largest first.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    tuple of Figure
        Found as if the coach were anybody's; none where there is one way only.
    """
    plain = anybody(scenario)
    if len(resolve(plain).alternatives) < 2:
        return ()
    pair = ways_in_question(plain, None, None)
    known = data("papers.toml")["shop"]["figures"]
    able = [
        swing.figure
        for swing in swings(plain, *pair)
        if swing.figure.field.by_telephone and swing.figure.field.name in known
    ]
    return tuple(able[:ASKED])
