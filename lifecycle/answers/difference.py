"""Why do two scenarios differ? The difference of their answers by cause, as blocks and as plain data.

Lecture
-------
The first sentence says by how much the two answers differ and what most of it is. Then each answer in a
sentence, and every cause with what the two say and what it adds; the causes add up to the whole. A cause
that works against the whole is said to do so, so that no sign has to be read.

Every amount is a mean over the futures, as everywhere. Left out: who is right.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.parts import SCHEMA, Told, fields_of, made_by
from lifecycle.language.labels import (
    about,
    cheaper_or_dearer,
    counted,
    input_name,
    listed,
    the_input,
    years_text,
)
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines
from lifecycle.quantities import Figure, inner, money_text, rounded
from lifecycle.scenario import Scenario
from lifecycle.studies import difference as study
from lifecycle.studies.difference import Cause, Difference
from lifecycle.studies.futures import SEED

NAMED = 3
"""Causes in the first sentence at most."""

FIRST = 6
"""Causes of the first screen, where there are more than one more."""

LEAST_NAMED = 0.02
"""Least share of the largest cause that is named in the first sentence. [-]"""

LEAST_LISTED = 0.5
"""Least amount of a cause that has a line of its own. [money]"""

SMALL_ERROR = 0.05
"""A standard error below this share of its amount is not said beside it. [-]"""


def difference(first: Scenario, second: Scenario, *, seed: int = SEED, told: Told) -> Answer:
    """Answer why two scenarios differ."""
    told.step(say("difference.to_do"))
    to_do = what_to_do(first), what_to_do(second)
    told.step(say("difference.working"))
    found = study.difference(first, second, seed=seed, progress=told.part)
    return difference_answer(first, second, found, to_do)


def changed_since(then: Scenario, now: Scenario, version: str, *, seed: int = SEED, told: Told) -> Answer:
    """Answer what changed in the answer of a scenario since an earlier version of the tool.

    Both are worked out with today's model: what the model counts otherwise since then is told in words only.
    """
    told.step(say("difference.since.to_do"))
    to_do = what_to_do(then), what_to_do(now)
    told.step(say("difference.since.working"))
    found = study.difference(then, now, seed=seed, progress=told.part)
    titles = {way.name: way.title for way in now.alternatives}
    subject, base = (titles[name] for name in found.ways_second)
    gaps = tuple(cheaper_or_dearer(gap, now.currency) for gap in (found.first, found.second))
    kept = years_text(now.likely(now.owner["holding_period"]))
    same = to_do[0] == to_do[1]
    blocks: list[Block] = [
        Sentence(say("difference.since.now", do=to_do[1]), "verdict"),
        Sentence(
            say("difference.since.same", version=version)
            if same
            else say("difference.since.then", version=version, do=to_do[0]),
            "verdict",
        ),
        Sentence(
            say(
                "difference.since.moved",
                way=subject,
                other=inner(base),
                kept=kept,
                version=version,
                then=gaps[0],
                now=gaps[1],
            )
        ),
    ]
    if any(abs(cause.amount) >= LEAST_LISTED for cause in found.causes):
        blocks.append(
            causes_table(
                found,
                say(
                    "difference.since.causes",
                    way=say("difference.titled", title=subject),
                    currency=now.currency,
                ),
                heads="then",
            )
        )
        blocks.append(Sentence(_notes(found), "note"))
    else:
        blocks.append(Sentence(say("difference.since.no_figure")))
    rules = tuple(words("difference.since.rules")[version])
    blocks += [Heading(say("difference.since.rule_head"), 3), Items(rules)]
    data = {**_data(then, now, found, to_do), "since": version}
    return Answer(say("difference.since.title"), now.title, tuple(blocks), data)


def what_to_do(scenario: Scenario) -> str:
    """Return line 1 of the verdict on a scenario."""
    return first_lines(scenario)[1].lines[0]


def agreement(to_do: tuple[str, str]) -> str:
    """Say whether two answers agree on what to do."""
    if to_do[0] == to_do[1]:
        return say("difference.agree", do=to_do[0])
    return say("difference.disagree", first=to_do[0], second=to_do[1])


def difference_answer(first: Scenario, second: Scenario, found: Difference, to_do: tuple[str, str]) -> Answer:
    """Put the difference of two answers into words."""
    answers = (
        _answer("first", first, found.ways_first, found.first),
        _answer("second", second, found.ways_second, found.second),
    )
    way = way_said(found, first, second)
    blocks: list[Block] = [
        Sentence(agreement(to_do), "verdict"),
        Sentence(first_sentence(found, second.currency, way)),
        Items(answers),
    ]
    causes = sum(abs(cause.amount) >= LEAST_LISTED for cause in found.causes)
    if causes:
        caption = causes_caption(way, second.currency)
        shown = causes if causes <= FIRST + 1 else FIRST
        blocks.append(causes_table(found, caption, last=shown))
        if shown < causes:
            more = say("difference.more_causes", currency=second.currency)
            blocks += [Rest(), causes_table(found, more, first=shown)]
    blocks += [Sentence(_notes(found), "note")] if found.causes else []
    return Answer(say("difference.title"), "", tuple(blocks), _data(first, second, found, to_do))


def way_said(found: Difference, first: Scenario, second: Scenario) -> str:
    """Return the way in question: by its title, where both call it so."""
    pairs = (first, found.ways_first), (second, found.ways_second)
    titles = {scenario.alternative(ways[0]).title for scenario, ways in pairs}
    return say("difference.titled", title=titles.pop()) if len(titles) == 1 else say("difference.the_way")


def causes_caption(way: str, currency: str, where: str = "scenarios") -> str:
    """Say what the table of causes holds, and in what money."""
    return say("difference.causes", way=way, where=say(f"difference.where.{where}"), currency=currency)


def _answer(which: str, scenario: Scenario, ways: tuple[str, str], savings: float) -> str:
    """Put the answer of one scenario into a sentence."""
    titles = {way.name: way.title for way in scenario.alternatives}
    return say(
        "difference.answer",
        which=say(f"difference.{which}"),
        title=scenario.title,
        way=titles[ways[0]],
        by=cheaper_or_dearer(savings, scenario.currency),
        other=inner(titles[ways[1]]),
        kept=years_text(scenario.likely(scenario.owner["holding_period"])),
    )


def _label(cause: Cause, name: Callable[[Figure], str] = input_name) -> str:
    """Return what a cause is, in plain words."""
    if len(cause.figures) == 1 and cause.figures[0][0].path == cause.key:
        return name(cause.figures[0][0])
    return cause.label


def first_sentence(found: Difference, currency: str = "", way: str = "", where: str = "scenarios") -> str:
    """Say where the way in question is how much cheaper or dearer than where, and what most of it is."""
    causes = [cause for cause in found.causes if abs(cause.amount) >= LEAST_LISTED]
    if not causes:
        chance = say("difference.by_draws", money=about(found.by_draws, currency))
        return " ".join(
            [say("difference.nothing"), *([chance] if abs(found.by_draws) >= LEAST_LISTED else [])]
        )
    if abs(found.total) < LEAST_LISTED:
        return say(
            "difference.cancel", things=counted(len(causes), "thing"), first=_label(causes[0], the_input)
        )
    largest = max(abs(cause.amount) for cause in causes)
    shown = [cause for cause in causes if abs(cause.amount) >= LEAST_NAMED * largest][:NAMED]
    along = [cause for cause in shown if cause.amount * found.total > 0.0]
    against = [cause for cause in shown if cause.amount * found.total < 0.0]
    parts = [
        say(
            "difference.further" if place else "difference.part",
            money=about(cause.amount),
            what=_label(cause, the_input),
        )
        for place, cause in enumerate(along)
    ]
    if len(causes) == 1:
        parts = [say("difference.whole", what=_label(causes[0], the_input))]
    units = (currency, *[""] * len(against))
    back = [
        say(
            "difference.back", what=_label(cause, the_input), money=f"{rounded(cause.amount)} {unit}".rstrip()
        )
        for cause, unit in zip(against, units, strict=False)
    ]
    return say(
        "difference.differ",
        way=way or say("difference.the_way"),
        money=about(found.total, currency),
        where=say(f"difference.where.{where}"),
        word=_word(found.total),
        along=say("difference.along", parts=listed(parts)) if parts else "",
        against=say("difference.against", parts=listed(back)) if back else "",
    )


def _word(amount: float) -> str:
    """Return one of the two words."""
    return say("sensitivity.cheaper" if amount > 0.0 else "sensitivity.dearer")


def causes_table(
    found: Difference, caption: str = "", *, heads: str = "heads", first: int = 0, last: int | None = None
) -> Table:
    """Return causes with what the two say; where the last is among them, all add up to the last row."""
    causes = [cause for cause in found.causes if abs(cause.amount) >= LEAST_LISTED]
    shown = causes[first:last]
    rows = [(_label(cause), *_said(cause), _amount(cause.amount, cause.error)) for cause in shown]
    if last is None or last >= len(causes):
        rows.append((say("difference.in_all"), "", "", _amount(found.total)))
    titles = words(f"difference.{heads}")
    return Table(
        tuple(titles[name] for name in ("what", "first", "second", "adds")),
        tuple(rows),
        caption,
        numbers=(3,),
        ruled=(len(shown),),
        strong=(len(shown),),
    )


def _said(cause: Cause) -> tuple[str, str]:
    """Return what the two say of a cause."""
    if cause.first == cause.second:
        return cause.first, say("difference.stated_otherwise", both=cause.second)
    return cause.first, cause.second


def _amount(amount: float, error: float = 0.0) -> str:
    """Return what a cause adds, in a word and whole money."""
    said = f"{money_text(amount, sign='none')} {_word(amount)}"
    small = error < max(LEAST_LISTED, SMALL_ERROR * abs(amount))
    return said if small else say("difference.within", amount=said, error=rounded(error))


def _notes(found: Difference) -> str:
    """Say how the difference was split, and how many causes add nothing."""
    rest = sum(abs(cause.amount) < LEAST_LISTED for cause in found.causes)
    more = {0: "", 1: say("difference.adds_nothing")}.get(rest, say("difference.add_nothing", number=rest))
    one_case = found.draws == 1
    slots = {"method": found.method} if one_case else {"method": found.method, "draws": f"{found.draws:,}"}
    return f"{say('difference.notes_one_case' if one_case else 'difference.notes', **slots)} {more}".rstrip()


def _data(first: Scenario, second: Scenario, found: Difference, to_do: tuple[str, str]) -> dict[str, Any]:
    """Return the answer as plain data for a result file."""
    sides = (
        ("first", first, found.ways_first, found.first),
        ("second", second, found.ways_second, found.second),
    )
    return {
        "schema": SCHEMA,
        "agree": to_do[0] == to_do[1],
        "do": list(to_do),
        **{
            which: {
                "title": scenario.title,
                **dict(zip(("subject", "against", "net_savings"), (*ways, savings), strict=True)),
                "scenario_sha256": scenario.sha256,
            }
            for which, scenario, ways, savings in sides
        },
        "currency": first.currency,
        "difference": found.total,
        "causes": [
            {
                "key": cause.key,
                "label": _label(cause),
                **fields_of(cause, "first", "second", "amount"),
                "standard_error": cause.error,
                "inputs": [one.path for one, _ in cause.figures],
            }
            for cause in found.causes
        ],
        "said": [first_sentence(found, second.currency, way_said(found, first, second)), found.method],
        **fields_of(found, "orders", "by_draws", "seed", "draws"),
        "made_by": made_by(None, "expectation, means over futures, causes taken over one by one"),
    }
