"""What may be said, on the terminal and as JSON: each statement with its judgement and its figures.

Lecture
-------
For an honest seller, and for whoever listens to one. Each statement stands as people say it, with its
judgement; then a sentence that may be read out, one that may not, the inputs behind it with where they
come from, and what must be in hand before it is said. The case for and against and the figures that come
from the seller follow.

The sentences stand in the data; here they are filled.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import lifecycle
from lifecycle.answers.both_ways import both_ways_lines, both_ways_result
from lifecycle.answers.shared import SCHEMA
from lifecycle.evaluation.comparison import Comparison
from lifecycle.files import data
from lifecycle.language.assumptions import BASES
from lifecycle.language.case_lines import CaseLines, case_result
from lifecycle.language.filled import filled, said
from lifecycle.language.labels import HEADINGS, inner, input_name, listed, years_text
from lifecycle.language.lines import blocks, wrapped
from lifecycle.quantities import Figure
from lifecycle.studies.both_ways import BothWays
from lifecycle.studies.case import Sides
from lifecycle.studies.claiming import CANNOT, JUDGEMENTS, LIMITED, NOT_SUPPORTED, SUPPORTED, Claim
from lifecycle.studies.doubt import Doubt
from lifecycle.studies.named import Named

SENTENCES = {
    SUPPORTED: "supported",
    LIMITED: "limited",
    NOT_SUPPORTED: "not_supported",
    CANNOT: "cannot_be_judged",
}
"""Name of the sentence of each judgement."""

NO_INPUT = "no figure here"
"""What a statement rests on that no input is behind."""

NAMED = 4
"""Inputs named of one basis at most; the JSON has them all."""

FOR, AGAINST, SELLER = "The case for", "The case against", "Figures that come from a seller"
RULE = (
    "Whoever sells must have the evidence in hand before saying it (FTC advertising rules), and the whole "
    "warranty on paper (16 CFR 239). Money is in today's money; chances of a coach are luck, every figure "
    "at its likely value."
)
"""Stands under the heading."""


def may_say(claim: Claim, units: str = "us") -> str:
    """Return the sentence that may be read out.

    Parameters
    ----------
    claim : Claim
        Judged.
    units : str
        "us" or "metric".
    """
    sentences = claim.entry["may"]
    name = claim.ruling.sentence or SENTENCES[claim.ruling.judgement]
    return filled(sentences[name], _figures(claim), units)


def may_not_say(claim: Claim, units: str = "us") -> str:
    """Return what may not be said, and why.

    Parameters
    ----------
    claim : Claim
        Judged.
    units : str
        "us" or "metric".
    """
    return filled(claim.entry["may_not"], _figures(claim), units)


def _figures(claim: Claim) -> dict[str, Named]:
    """Return the figures of a statement, with what is missing in words."""
    words, figures = data("claims.toml"), dict(claim.ruling.figures)
    if claim.ruling.missing:
        figures["missing"] = Named(words["missing"][claim.ruling.missing], "text")
    if "transfer" in figures:
        figures["transfer"] = Named(words["transfer"][str(figures["transfer"].value)], "text")
    return figures


def rests_on(figures: Sequence[Figure]) -> str:
    """Say on which inputs a statement rests, by where they come from.

    Parameters
    ----------
    figures : sequence of Figure
        The inputs.
    """
    by_basis: dict[str, list[str]] = {}
    for figure in figures:
        by_basis.setdefault(figure.basis, []).append(input_name(figure))
    parts = []
    for basis, every in by_basis.items():
        names = list(dict.fromkeys(every))
        more = [f"{len(names) - NAMED} more"] if len(names) > NAMED else []
        parts.append(f"{listed([*names[:NAMED], *more])} ({BASES[basis]})")
    return "; ".join(parts) or NO_INPUT


def claim_lines(claim: Claim, units: str) -> list[str]:
    """Return one statement as lines.

    Parameters
    ----------
    claim : Claim
        Judged.
    units : str
        "us" or "metric".
    """
    return [
        f'"{claim.said}" {claim.ruling.judgement.upper()}',
        f"- I may say: {may_say(claim, units)}",
        f"- I may not say: {may_not_say(claim, units)}",
        f"- It rests on: {rests_on(claim.rests_on)}.",
        f"- In hand first: {claim.in_hand}",
    ]


def claims_text(
    comparison: Comparison,
    claims: Sequence[Claim],
    case: CaseLines | None = None,
    both: BothWays | None = None,
) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    claims : sequence of Claim
        Judged on it.
    case : CaseLines or None
        The case for and against; None where nothing is compared.
    both : BothWays or None
        Offered figures; None where nothing is compared.

    Returns
    -------
    str
        Many lines.
    """
    scenario = comparison.scenario
    statements = [wrapped(claim_lines(claim, scenario.units)) for claim in claims]
    rest: list[list[str]] = []
    if case is not None and both is not None:
        rest = [
            [FOR, *wrapped(f"- {line}" for line in case.for_)],
            [AGAINST, *wrapped(f"- {line}" for line in case.against)],
            [SELLER, *wrapped(f"- {line}" for line in both_ways_lines(comparison, both))],
        ]
    return blocks(
        [HEADINGS["claims"], scenario.title],
        wrapped([_about(comparison)]),
        wrapped([f"{RULE} All money is in {scenario.currency}."]),
        wrapped(_counted(claims)),
        *statements,
        *rest,
    )


def _about(comparison: Comparison) -> str:
    """Say which two ways are compared, and for how long; with trouble, that nothing is."""
    if comparison.trouble or comparison.subject is None:
        return (
            f"Trouble is reported: {listed(comparison.trouble)}. Nothing is compared, and only this may be "
            "said before the roof is open."
        )
    way, base = comparison.ways[comparison.subject], comparison.ways[comparison.base_case]
    return (
        f'About "{way.title}", compared with what you would do otherwise ({inner(base.title)}), if you keep '
        f"it {years_text(comparison.holding_period)}."
    )


def _counted(claims: Sequence[Claim]) -> list[str]:
    """Count the statements by judgement."""
    numbers = [
        (judgement, sum(claim.ruling.judgement == judgement for claim in claims)) for judgement in JUDGEMENTS
    ]
    return [
        f"Of {len(claims)} statements: {listed(f'{number} {judgement}' for judgement, number in numbers)}."
    ]


def claims_result(
    comparison: Comparison,
    claims: Sequence[Claim],
    *,
    sides: Sides | None = None,
    both: BothWays | None = None,
    doubt: Doubt | None = None,
) -> dict[str, Any]:
    """Return the whole answer as plain data.

    Parameters
    ----------
    comparison, claims
        As for `claims_text`.
    sides, both
        The case, and offered figures; None where nothing is compared.
    doubt : Doubt or None
        Of the same scenario.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    scenario, kept = comparison.scenario, comparison.holding_period
    drawn = None if doubt is None else doubt.futures.sample
    return {
        "schema": SCHEMA,
        "title": scenario.title,
        "currency": scenario.currency,
        "trouble": list(comparison.trouble),
        "subject": comparison.subject,
        "base_case": comparison.base_case,
        "holding_period": int(kept) if kept == int(kept) else kept,
        "claims": [_claim_result(claim, scenario.units) for claim in claims],
        "case": None if sides is None else case_result(sides),
        "both_ways": None if both is None else both_ways_result(both),
        "draws": None if drawn is None else drawn.draws,
        "seed": None if drawn is None else drawn.seed,
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "scenario_sha256": scenario.sha256,
        },
    }


def _claim_result(claim: Claim, units: str) -> dict[str, Any]:
    """Return one statement as plain data."""
    return {
        "key": claim.key,
        "said": claim.said,
        "judgement": claim.ruling.judgement,
        "may_say": may_say(claim, units),
        "may_not_say": may_not_say(claim, units),
        "missing": _missing(claim),
        "in_hand": claim.in_hand,
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


def _missing(claim: Claim) -> str | None:
    """Return what is missing, in words."""
    missing = claim.ruling.missing
    return data("claims.toml")["missing"][missing] if missing else None
