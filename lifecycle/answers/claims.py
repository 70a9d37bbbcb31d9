"""What may be said, for an honest seller and for whoever listens to one.

Lecture
-------
What to do stands first, and the highest price worth paying, in the words of the verdict. Each statement
stands as people say it, with its judgement; then a sentence that may be read out, one that may
not, the inputs behind it with where they come from, and what must be in hand before it is said. The case for
and against and the figures that come from the shop follow.

Only what the statements need is worked out: doubt to ten years or the years kept, and no luck.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.both_ways import both_ways_lines, both_ways_result, some_named
from lifecycle.answers.shared import head_of, made_by
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.language.case_lines import case_result, lines_of
from lifecycle.language.filled import filled, said
from lifecycle.language.labels import BASES, HEADINGS, inner, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines
from lifecycle.studies import claiming
from lifecycle.studies.both_ways import BothWays, both_ways
from lifecycle.studies.case import Sides, case_of
from lifecycle.studies.claiming import CANNOT, DOES_NOT_FIT, FITS, JUDGEMENTS, PARTLY, Claim
from lifecycle.studies.doubt import SEED, Doubt, Futures, futures, under
from lifecycle.studies.named import Named
from lifecycle.studies.verdict import not_sure

if TYPE_CHECKING:
    from lifecycle.answers.shared import Told
    from lifecycle.quantities import Figure
    from lifecycle.scenario import Scenario, StatedAlternative

YEARS = 10
"""Years of sale that statements name, besides the years kept. [years]"""

SENTENCES = {
    FITS: "supported",
    PARTLY: "limited",
    DOES_NOT_FIT: "not_supported",
    CANNOT: "cannot_be_judged",
}
"""Name of the sentence of each judgement."""

NAMED = 4
"""Inputs named of one basis at most; the data has them all."""


@dataclass(frozen=True)
class Judged:
    """Statements judged on a scenario.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    claims : tuple of Claim
        In the order of the data.
    doubt : Doubt or None
        Of the same scenario; None with trouble reported.
    """

    comparison: Comparison
    claims: tuple[Claim, ...]
    doubt: Doubt | None


def claims(scenario: Scenario, *, draws: int, seed: int, told: Told) -> Answer:
    """Judge what is commonly said, on the figures of a scenario."""
    completed, verdict = first_lines(scenario, draws=draws, seed=seed)
    drawn = None if scenario.trouble else futures(scenario, draws=draws, seed=seed)
    found = judged(completed, draws=draws, seed=seed, drawn=drawn, told=told.step)
    first = verdict.first
    if found.doubt is None:
        return claims_answer(found, first)
    return claims_answer(
        found, first, case_of(found.comparison, found.doubt), both_ways(found.comparison, found.doubt)
    )


def judged(
    scenario: Scenario,
    *,
    draws: int,
    seed: int = SEED,
    drawn: Futures | None = None,
    told: Callable[[str], None],
) -> Judged:
    """Judge every statement on a scenario, in futures that are drawn already, or in as many new ones."""
    comparison = compare(scenario)
    if scenario.trouble:
        return Judged(comparison, claiming.claims(comparison, None), None)
    until = min(max(math.ceil(comparison.holding_period), YEARS), comparison.study_period)
    needed = replace(scenario, alternatives=_ways_spoken_of(comparison))
    told(say("claims.futures", draws=f"{draws:,}"))
    doubt = under(needed, drawn or futures(needed, draws=draws, seed=seed), until=until)
    told(say("claims.working"))
    unsure = [asked for asked in ("otherwise", "quote") if not_sure(comparison.scenario, asked)]
    return Judged(comparison, claiming.claims(comparison, doubt, not_sure=unsure), doubt)


def _ways_spoken_of(comparison: Comparison) -> tuple[StatedAlternative, ...]:
    """Return the ways spoken of: the one in question, the base case, and those that keep it till it goes."""
    return tuple(
        way
        for way in comparison.scenario.alternatives
        if way.base_case or way.name == comparison.subject or comparison.ways[way.name].change_month is None
    )


def claims_answer(
    found: Judged, first: Sequence[str], sides: Sides | None = None, both: BothWays | None = None
) -> Answer:
    """Put judged statements into blocks and plain data."""
    scenario, judgements = found.comparison.scenario, [claim.ruling.judgement for claim in found.claims]
    counts = ((word, judgements.count(word)) for word in JUDGEMENTS)
    counted = listed(say("claims.judged", number=number, judgement=word) for word, number in counts)
    rows = tuple(
        (say("claims.statement", said=statement(claim)), claim.ruling.judgement) for claim in found.claims
    )
    said_in = scenario.units, scenario.currency
    blocks: list[Block] = [
        *(Sentence(line, "verdict") for line in first),
        Sentence(_about(found.comparison)),
        Sentence(say("claims.counted", number=len(rows), judgements=counted)),
        Table(tuple(words("claims.heads")), rows),
        Sentence(rule(scenario.currency), "note"),
        Rest(),
        *(block for claim in found.claims for block in claim_blocks(claim, *said_in)),
    ]
    if sides is not None and both is not None:
        case = lines_of(sides, *said_in)
        for head, lines in (
            ("for", case.for_),
            ("against", case.against),
            ("seller", both_ways_lines(found.comparison, both)),
        ):
            blocks += [Heading(say(f"claims.{head}")), Items(tuple(lines))]
    data = {**_data(found, sides, both), "do": first[0]}
    return Answer(HEADINGS["claims"], scenario.title, tuple(blocks), data)


def statement(claim: Claim) -> str:
    """Return what people say."""
    own = f"claims.statements.{claim.statement}"
    return say(f"{own}.said") if claim.year is None else say(f"{own}.said_at", year=claim.year)


def rule(currency: str) -> str:
    """Say what whoever sells must keep to, and how money and chances are meant."""
    return f"{say('claims.rule')} {say('claims.currency', currency=currency)}"


def claim_blocks(claim: Claim, units: str, currency: str) -> Iterator[Block]:
    """Return one statement with what may be said of it, and why."""
    judgement = claim.ruling.judgement.upper()
    yield Heading(say("claims.headed", said=statement(claim), judgement=judgement), 3)
    yield Items(
        (
            say("claims.may", said=may_say(claim, units, currency)),
            say("claims.may_not", said=may_not_say(claim, units, currency)),
            say("claims.rests_on", inputs=rests_on(claim.rests_on)),
            say("claims.in_hand", what=in_hand(claim)),
        )
    )


def may_say(claim: Claim, units: str = "us", currency: str = "") -> str:
    """Return the sentence that may be read out."""
    name = claim.ruling.sentence or SENTENCES[claim.ruling.judgement]
    return filled(words(f"claims.statements.{claim.statement}.may.{name}"), _figures(claim), units, currency)


def may_not_say(claim: Claim, units: str = "us", currency: str = "") -> str:
    """Return what may not be said, and why."""
    return filled(words(f"claims.statements.{claim.statement}.may_not"), _figures(claim), units, currency)


def in_hand(claim: Claim) -> str:
    """Return what whoever says it must have before saying it."""
    return say(f"claims.statements.{claim.statement}.in_hand")


def _figures(claim: Claim) -> dict[str, Named]:
    """Return the figures of a statement, with what is missing in words."""
    figures = dict(claim.ruling.figures)
    if missing := _missing(claim):
        figures["missing"] = Named(missing, "text")
    if "transfer" in figures:
        figures["transfer"] = Named(say(f"claims.transfer.{figures['transfer'].value}"), "text")
    return figures


def _missing(claim: Claim) -> str | None:
    """Return what is missing, in words."""
    return say(f"claims.missing.{claim.ruling.missing}") if claim.ruling.missing else None


def rests_on(figures: Sequence[Figure]) -> str:
    """Say on which inputs a statement rests, by where they come from."""
    by_basis: dict[str, list[Figure]] = {}
    for figure in figures:
        by_basis.setdefault(figure.basis, []).append(figure)
    parts = (
        say("claims.of_basis", inputs=some_named(every, NAMED), basis=BASES[basis])
        for basis, every in by_basis.items()
    )
    return "; ".join(parts) or say("claims.no_input")


def _about(comparison: Comparison) -> str:
    """Say which two ways are compared, and for how long; with trouble, that nothing is."""
    if comparison.trouble or comparison.subject is None:
        return say("claims.trouble", signs=listed(comparison.trouble))
    return say(
        "claims.about",
        way=comparison.ways[comparison.subject].title,
        otherwise=inner(comparison.ways[comparison.base_case].title),
        years=years_text(comparison.holding_period),
    )


def _data(found: Judged, sides: Sides | None, both: BothWays | None) -> dict[str, Any]:
    """Return the answer as plain data."""
    comparison = found.comparison
    scenario, kept = comparison.scenario, comparison.holding_period
    drawn = None if found.doubt is None else found.doubt.futures.sample
    return {
        **head_of(scenario),
        "trouble": list(comparison.trouble),
        "subject": comparison.subject,
        "base_case": comparison.base_case,
        "holding_period": int(kept) if kept == int(kept) else kept,
        "claims": [_claim_data(claim, scenario.units, scenario.currency) for claim in found.claims],
        "case": None if sides is None else case_result(sides),
        "both_ways": None if both is None else both_ways_result(both),
        "draws": None if drawn is None else drawn.draws,
        "seed": None if drawn is None else drawn.seed,
        "made_by": made_by(scenario, "expectation"),
    }


def _claim_data(claim: Claim, units: str, currency: str) -> dict[str, Any]:
    """Return one statement as plain data."""
    return {
        "key": claim.key,
        "said": statement(claim),
        "judgement": claim.ruling.judgement,
        "may_say": may_say(claim, units, currency),
        "may_not_say": may_not_say(claim, units, currency),
        "missing": _missing(claim),
        "in_hand": in_hand(claim),
        "figures": {
            name: {"value": figure.value, "kind": figure.kind, "said": said(figure, units)}
            for name, figure in claim.ruling.figures.items()
        },
        "rests_on": [
            {
                "path": figure.path,
                "label": figure.field.label,
                "basis": figure.basis,
                "likely": figure.likely,
            }
            for figure in claim.rests_on
        ],
    }
