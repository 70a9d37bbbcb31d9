"""Tricks of a dishonest seller: each played on one scenario, and what the tool says of it.

Lecture
-------
A trick (`data/tricks.toml`) is a change of an invented scenario, or of an honest quote for it, or something
that is said. The answer is the tool's own: a statement that is judged, a warning about a quote, or the first
line of the verdict beside that without the trick. No study knows what a trick is: whoever plays it in a file
of his own reads the same.

Left out: what no answer can see. A lie about an age or a year moves the answer as the truth would.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from typing import Any

from lifecycle.answers.blocks import Answer, Sentence, Table
from lifecycle.answers.claims import judged, may_say
from lifecycle.answers.quote import price_lines, warned
from lifecycle.answers.shared import SCHEMA, Silent, Told, made_by
from lifecycle.files import data, loads
from lifecycle.language.labels import years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict, first_lines
from lifecycle.language.words import many_of_20
from lifecycle.places import scenario_path
from lifecycle.quantities import money_text
from lifecycle.scenario import Scenario
from lifecycle.studies.claiming.claims import MONEY_AND_ROOFS
from lifecycle.studies.doubt import DRAWS
from lifecycle.studies.quoting import examine

WARNINGS = ("cap_far", "on_top", "incomplete", "thin_film")
"""What `shows` may name of the warnings about a quote."""


def tricks(*, draws: int = DRAWS, told: Told) -> Answer:
    """Play every trick and answer with what the tool says."""
    told.step(say("tricks.working"))
    found = data("tricks.toml")
    honest = scenario_of({})
    rows = tuple(
        (str(number), words(f"tricks.told.{key}"), says(key, draws=draws))
        for number, key in enumerate(found["tricks"], start=1)
    )
    first = verdict_on({}, draws)
    price = money_text(honest.inputs["quotes.shop.price"].likely)
    blocks = (
        Sentence(say("tricks.how", base=honest.title.removesuffix(" (invented)"), price=price)),
        Sentence(say("tricks.honest", do=first.lines[0], price=first.price)),
        Table(tuple(words("tricks.heads")), rows),
    )
    played = [{"trick": key, "says": row[2]} for key, row in zip(found["tricks"], rows, strict=True)]
    result = {"schema": SCHEMA, "do": first.lines[0], "tricks": played, "made_by": made_by(honest)}
    return Answer(say("tricks.title"), "", blocks, result)


def scenario_of(trick: Mapping[str, Any]) -> Scenario:
    """Return the scenario with the honest quote and a trick played on it; none: the honest one."""
    import tomlkit

    found = data("tricks.toml")
    text = scenario_path(found["base"]).read_text(encoding="utf-8")
    document = _over(tomllib.loads(text), trick.get("scenario", {}))
    quote = _over(found["quote"], trick.get("quote", {}))
    lines = [item for name, item in quote["items"].items() if name not in trick.get("without", ())]
    document["quotes"] = {"shop": {**quote, "items": lines}}
    ways = document["alternatives"]
    for way in ways.values():
        if "quote" in way:
            way["quote"] = "shop"
    front = trick.get("first", ())
    document["alternatives"] = {
        name: ways[name] for name in (*front, *(one for one in ways if one not in front))
    }
    del document["figures"]["coating_quote"]
    return loads(tomlkit.dumps(document), "a trick")


def _over(below: Mapping[str, Any], above: Mapping[str, Any]) -> dict[str, Any]:
    """Lay one nested table over another; a figure is taken whole."""
    new = dict(below)
    for name, value in above.items():
        whole = not isinstance(value, Mapping) or "value" in value or not isinstance(below.get(name), Mapping)
        new[name] = value if whole else _over(below[name], value)
    return new


def verdict_on(trick: Mapping[str, Any], draws: int) -> Verdict:
    """Return the verdict where a trick is played."""
    return first_lines(scenario_of(trick), draws=draws)[1]


@cache
def _judged(draws: int) -> Mapping[str, str]:
    """Return what is said of every statement on the scenario without a trick."""
    found = judged(scenario_of({}), draws=draws, told=Silent().step)
    return {
        claim.key: say("tricks.judged", judgement=claim.ruling.judgement.capitalize(), said=may_say(claim))
        for claim in found.claims
    }


def says(key: str, *, draws: int = DRAWS) -> str:
    """Return what the tool says of a trick."""
    trick = data("tricks.toml")["tricks"][key]
    shows = trick["shows"]
    if shows in MONEY_AND_ROOFS:
        return _judged(draws)[shows]
    if shows in ("verdict", "if_sold"):
        return _verdict(trick, draws)
    examined = examine(scenario_of(trick)).quotes[0]
    if shows in WARNINGS:
        return " ".join(warned(examined, "us", "USD"))
    return " ".join(price_lines(examined, "us")[1:])


def _verdict(trick: Mapping[str, Any], draws: int) -> str:
    """Say the first line where a trick is played, and whether it is that without it."""
    found, honest = verdict_on(trick, draws), verdict_on({}, draws)
    do = found.lines[0]
    if trick["shows"] == "if_sold":
        year, number = next(iter(found.parts.if_sold.items()))
        return say("tricks.if_sold", do=do, years=years_text(year), of_20=many_of_20(number))
    return say("tricks.same" if do == honest.lines[0] else "tricks.other", do=do)
