"""What may be said, for an honest seller and for whoever listens to one; and what a dishonest one would meet.

Lecture
-------
What to do stands first, and the highest price worth paying, in the words of the verdict. Each statement
stands as people say it, with its judgement; then a sentence that may be read out, one that may not, the
inputs behind it with where they come from, and what must be in hand before it is said. Then come the case for
and against, and the figures of whoever gains by them: how many, which of the tool's own were changed, the
verdict as stated and with the tool's own instead. Where the owner is not sure of the price, or of what they
would do otherwise, there is no verdict to give both ways. Only what the statements need is worked out: doubt
to ten years or the years kept, no luck.

A trick (`data/tricks.toml`) is a change of an invented scenario, or of an honest quote for it, or something
that is said. The answer is the tool's own: a statement that is judged, a warning about a quote, or the first
line of the verdict beside that without the trick. No study knows what a trick is: whoever plays it in a file
reads the same.

Left out: what no answer can see. A lie about an age or a year moves the answer as the truth would.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.parts import SCHEMA, Silent, Told, fields_of, head_of, made_by, whole_if
from lifecycle.answers.quote import price_lines, warned
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.files import data, loads
from lifecycle.language.claims import all_said, case_result, filled, lines_of
from lifecycle.language.labels import (
    BASES,
    HEADINGS,
    about,
    cheaper_or_dearer,
    listed,
    many_of_20,
    the_input,
    years_text,
)
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict, first_lines
from lifecycle.places import scenario_path
from lifecycle.quantities import Figure, inner, money_text
from lifecycle.scenario import Scenario
from lifecycle.studies.case import Named, Sides, case_of
from lifecycle.studies.claims import CANNOT, DOES_NOT_FIT, FITS, JUDGEMENTS, MONEY_AND_ROOFS, PARTLY, Claim
from lifecycle.studies.claims import claims as judged_claims
from lifecycle.studies.doubt import Doubt, of_20, under
from lifecycle.studies.futures import DRAWS, SEED, Futures, futures
from lifecycle.studies.objections import BothWays, Stand, both_ways
from lifecycle.studies.quoting import examine
from lifecycle.studies.verdict import not_sure

if TYPE_CHECKING:
    from lifecycle.answers.parts import Told
    from lifecycle.quantities import Figure
    from lifecycle.scenario import Scenario, StatedAlternative

YEARS = 10
"""Years of sale that statements name, besides the years kept. [years]"""

SENTENCES = {FITS: "supported", PARTLY: "limited", DOES_NOT_FIT: "not_supported", CANNOT: "cannot_be_judged"}
"""Name of the sentence of each judgement."""

NAMED = 4
"""Inputs named of one basis at most; the data has them all."""


@dataclass(frozen=True)
class Judged:
    """Statements judged on a scenario, in the order of the data; no doubt where trouble is reported."""

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
        return Judged(comparison, judged_claims(comparison, None), None)
    until = min(max(math.ceil(comparison.holding_period), YEARS), comparison.study_period)
    needed = replace(scenario, alternatives=_ways_spoken_of(comparison))
    told(say("claims.futures", draws=f"{draws:,}"))
    doubt = under(needed, drawn or futures(needed, draws=draws, seed=seed), until=until)
    told(say("claims.working"))
    unsure = [asked for asked in ("otherwise", "quote") if not_sure(comparison.scenario, asked)]
    return Judged(comparison, judged_claims(comparison, doubt, not_sure=unsure), doubt)


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
    return say("claims.rule", currency=currency)


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
        return say("claims.trouble")
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
        "holding_period": whole_if(kept),
        "claims": [_claim_data(claim, scenario.units, scenario.currency) for claim in found.claims],
        "case": None if sides is None else case_result(sides),
        "both_ways": None if both is None else both_ways_result(both),
        "draws": None if drawn is None else drawn.draws,
        "seed": None if drawn is None else drawn.seed,
        "made_by": made_by(scenario, "expectation"),
    }


def _claim_data(claim: Claim, units: str, currency: str) -> dict[str, Any]:
    """Return one statement as plain data."""
    told = all_said(claim.ruling.figures, units)
    return {
        "key": claim.key,
        "said": statement(claim),
        "judgement": claim.ruling.judgement,
        "may_say": may_say(claim, units, currency),
        "may_not_say": may_not_say(claim, units, currency),
        "missing": _missing(claim),
        "in_hand": in_hand(claim),
        "figures": {
            name: {"value": figure.value, "kind": figure.kind, "said": told[name]}
            for name, figure in claim.ruling.figures.items()
        },
        "rests_on": [
            {"path": figure.path, "label": figure.field.label, **fields_of(figure, "basis", "likely")}
            for figure in claim.rests_on
        ],
    }


MOST_NAMED = 6
"""Figures that are named at most; of more the number is said."""


def offer_lines(comparison: Comparison, doubt: Doubt | None) -> tuple[str, ...]:
    """Say which figures come from somebody who gains by them, and give the verdict both ways."""
    if comparison.subject is None or not comparison.ways or doubt is None:
        return ()
    return both_ways_lines(comparison, both_ways(comparison, doubt))


def both_ways_lines(comparison: Comparison, found: BothWays) -> tuple[str, ...]:
    """Put offered and changed figures, and the verdict both ways, into words."""
    return tuple(_lines(comparison, found))


def _lines(comparison: Comparison, found: BothWays) -> Iterator[str]:
    """Go through the sentences."""
    yield _counted("claims.offers", found.offers) if found.offers else say("claims.offers.none")
    changed = [figure for figure in found.changed if figure not in found.offers]
    if changed:
        yield _counted("claims.changed", changed)
    if not found.offers:
        return
    currency = comparison.scenario.currency
    verdict = not any(not_sure(comparison.scenario, asked) for asked in ("otherwise", "quote"))
    if verdict:
        yield say("claims.offers.as_stated", stand=stand_text(found.as_stated, currency))
    if verdict and found.with_own is not None:
        names = some_named(figure for figure in found.offers if figure.path in found.own)
        yield say("claims.offers.with_own", names=names, stand=stand_text(found.with_own, currency))
    if found.stay:
        yield say("claims.offers.stay", names=some_named(found.stay))


def _counted(sentence: str, figures: Sequence[Figure]) -> str:
    """Count and name figures."""
    if len(figures) == 1:
        return say(f"{sentence}.one", names=some_named(figures))
    return say(f"{sentence}.many", number=len(figures), names=some_named(figures))


def some_named(figures: Iterable[Figure], most: int = MOST_NAMED) -> str:
    """Name figures; of many the first, and how many more there are."""
    names = list(dict.fromkeys(map(the_input, figures)))
    more = [say("labels.more", number=len(names) - most)] if len(names) > most else []
    return listed([*names[:most], *more])


def stand_text(stand: Stand, currency: str = "") -> str:
    """Say how a way stands, in a word and figures.

    Examples
    --------
    >>> stand_text(Stand("probably cheaper", 2417.0, 0.76)), stand_text(Stand("dearer", -800.0, None))
    ('probably cheaper, by about 2,400; cheaper in 15 of 20 futures', 'dearer, by about 800')
    """
    agrees = abs(stand.middle) >= 0.5 and stand.word.endswith("cheaper" if stand.middle > 0.0 else "dearer")
    by = say("claims.offers.by", money=about(stand.middle, currency)) if agrees else ""
    slots = {"word": stand.word, "middle": by or cheaper_or_dearer(stand.middle, currency)}
    if stand.chance is None:
        return say("claims.offers.stand", **slots)
    return say("claims.offers.stand_often", **slots, often=many_of_20(of_20(stand.chance)))


def both_ways_result(found: BothWays) -> dict[str, Any]:
    """Return offered and changed figures, and the verdict both ways, as plain data."""
    return {
        "offers": [figure.path for figure in found.offers],
        "changed": [figure.path for figure in found.changed],
        "stay": [figure.path for figure in found.stay],
        "as_stated": _stand_result(found.as_stated),
        "with_own": None if found.with_own is None else _stand_result(found.with_own),
    }


def _stand_result(stand: Stand) -> dict[str, Any]:
    """Return a stand as plain data."""
    number = None if stand.chance is None else of_20(stand.chance)
    return {"word": stand.word, "middle": stand.middle, "of_20": number}


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
    price = f"{money_text(honest.inputs['quotes.shop.price'].likely)} {honest.currency}"
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
    honest = scenario_of({})
    found = judged(honest, draws=draws, told=Silent().step)
    return {
        claim.key: say(
            "tricks.judged",
            judgement=claim.ruling.judgement.capitalize(),
            said=may_say(claim, honest.units, honest.currency),
        )
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
    return " ".join(price_lines(examined, "us", "USD")[1:])


def _verdict(trick: Mapping[str, Any], draws: int) -> str:
    """Say the first line where a trick is played, and whether it is that without it."""
    found, honest = verdict_on(trick, draws), verdict_on({}, draws)
    do = found.lines[0]
    if trick["shows"] == "if_sold":
        year, number = next(iter(found.parts.if_sold.items()))
        return say("tricks.if_sold", do=do, years=years_text(year), of_20=many_of_20(number))
    return say("tricks.same") if do == honest.lines[0] else say("tricks.other", do=do)
