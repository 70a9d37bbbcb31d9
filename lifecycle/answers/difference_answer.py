"""Why do two scenarios differ? The difference of their answers by cause, as text and as plain data.

Lecture
-------
The first sentence says by how much the two answers differ and what most of it is. Then each answer in
a sentence, and every cause with what the two say and what it adds; the causes add up to the whole.
A cause that works against the whole is said to do so, so that no sign has to be read.

Left out: who is right.
"""

from __future__ import annotations

from textwrap import fill
from typing import Any

import lifecycle
from lifecycle.answers.shared import SCHEMA
from lifecycle.language.labels import (
    cheaper_or_dearer,
    counted,
    inner,
    input_name,
    listed,
    rounded,
    years_text,
)
from lifecycle.language.lines import WIDTH, blocks, wrapped
from lifecycle.quantities import about, money_text
from lifecycle.scenario import Scenario
from lifecycle.studies.difference import Cause, Difference

HEADING = "Why do the two differ?"

NAMED = 3
"""Causes in the first sentence at most."""

LEAST_NAMED = 0.02
"""Least share of the largest cause that is named in the first sentence. [-]"""

LEAST_LISTED = 0.5
"""Least amount of a cause that has a line of its own. [money]"""


def difference_text(first: Scenario, second: Scenario, found: Difference) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    first, second : Scenario
        What was stated.
    found : Difference
        Between their answers.

    Returns
    -------
    str
        Some lines.
    """
    answers = [
        _answer("First", first, found.ways_first, found.first),
        _answer("Second", second, found.ways_second, found.second),
    ]
    return blocks(
        [HEADING],
        wrapped([first_sentence(found)]),
        wrapped(answers),
        _causes(found, second),
        wrapped(_notes(found)),
    )


def _answer(which: str, scenario: Scenario, ways: tuple[str, str], savings: float) -> str:
    """Put the answer of one scenario into a sentence."""
    titles = {way.name: way.title for way in scenario.alternatives}
    years = years_text(scenario.likely(scenario.owner["holding_period"]))
    return (
        f'- {which}, {scenario.title}: "{titles[ways[0]]}" is {cheaper_or_dearer(savings)}, compared with '
        f"{inner(titles[ways[1]])}, if you keep it {years}."
    )


def label(cause: Cause) -> str:
    """Return what a cause is, in plain words."""
    if len(cause.figures) == 1 and cause.figures[0][0].path == cause.key:
        return input_name(cause.figures[0][0])
    return cause.label


def first_sentence(found: Difference) -> str:
    """Say by how much the answers differ, and what most of it is.

    Parameters
    ----------
    found : Difference
        With its causes.

    Returns
    -------
    str
        For instance "The answers differ by about 9,200: about 5,700 of it is what you would do otherwise,
        about 3,500 years you keep it."
    """
    causes = [cause for cause in found.causes if abs(cause.amount) >= LEAST_LISTED]
    if not causes:
        return "The two give the same answer: nothing that matters to it is said differently."
    if abs(found.total) < LEAST_LISTED:
        return (
            f"The two give the same answer, though they differ in {counted(len(causes), 'thing')}, which "
            f"cancel out: first of all {label(causes[0])}."
        )
    word = "cheaper" if found.total > 0.0 else "dearer"
    largest = max(abs(cause.amount) for cause in causes)
    shown = [cause for cause in causes if abs(cause.amount) >= LEAST_NAMED * largest][:NAMED]
    along = [cause for cause in shown if cause.amount * found.total > 0.0]
    against = [cause for cause in shown if cause.amount * found.total < 0.0]
    whole = "all" if len(causes) == 1 else None
    parts = [f"{whole or about(cause.amount)} of it is {label(cause)}" for cause in along[:1]]
    parts += [f"{about(cause.amount)} {label(cause)}" for cause in along[1:]]
    said = f": {listed(parts)}" if parts else ""
    back = [f"{label(cause)} ({rounded(cause.amount)})" for cause in against]
    other = f". Against it: {listed(back)}" if back else ""
    return f"The answers differ by {about(found.total)}, the second being {word}{said}{other}."


def _causes(found: Difference, second: Scenario) -> list[str]:
    """List the causes with what the two say."""
    shown = [cause for cause in found.causes if abs(cause.amount) >= LEAST_LISTED]
    if not shown:
        return []
    amounts = [_amount(cause.amount) for cause in shown]
    width = max(len(amount) for amount in amounts)
    lines = [f"What makes the second cheaper or dearer, {second.currency} in today's money"]
    for cause, amount in zip(shown, amounts, strict=True):
        error = f", within {rounded(cause.error)}" if cause.error >= LEAST_LISTED else ""
        lines.append(f"{amount:>{width}}  {label(cause)}{error}")
        lines += [
            fill(said, WIDTH, initial_indent=" " * (width + 4), subsequent_indent=" " * (width + 6))
            for said in _said(cause)
        ]
    return [*lines, "-" * width, f"{_amount(found.total):>{width}}  in all"]


def _said(cause: Cause) -> list[str]:
    """Return what the two say of a cause."""
    if cause.first == cause.second:
        return [f"both: {cause.first}, but stated otherwise"]
    return [f"first: {cause.first}", f"second: {cause.second}"]


def _amount(amount: float) -> str:
    """Return what a cause adds, in a word and whole money."""
    return f"{money_text(amount, sign='none')} {'cheaper' if amount > 0.0 else 'dearer'}"


def _notes(found: Difference) -> list[str]:
    """Say how the difference was split, and how many causes add nothing."""
    rest = sum(abs(cause.amount) < LEAST_LISTED for cause in found.causes)
    more = f" {counted(rest, 'further difference')} of statement adds nothing." if rest == 1 else ""
    more = f" {counted(rest, 'further difference')} of statement add nothing." if rest > 1 else more
    return [f"{found.method} All inputs stand at their likely values.{more}"] if found.causes else []


def difference_result(first: Scenario, second: Scenario, found: Difference) -> dict[str, Any]:
    """Return the answer as plain data for a result file.

    Parameters
    ----------
    first, second : Scenario
        What was stated.
    found : Difference
        Between their answers.

    Returns
    -------
    dict
        Of str, int, float, None, lists and dicts.
    """
    sides = (
        ("first", first, found.ways_first, found.first),
        ("second", second, found.ways_second, found.second),
    )
    return {
        "schema": SCHEMA,
        **{
            which: {
                "title": scenario.title,
                "subject": ways[0],
                "against": ways[1],
                "net_savings": savings,
                "scenario_sha256": scenario.sha256,
            }
            for which, scenario, ways, savings in sides
        },
        "currency": first.currency,
        "difference": found.total,
        "causes": [
            {
                "key": cause.key,
                "label": label(cause),
                "first": cause.first,
                "second": cause.second,
                "amount": cause.amount,
                "standard_error": cause.error,
                "inputs": [one.path for one, _ in cause.figures],
            }
            for cause in found.causes
        ],
        "said": [first_sentence(found), found.method],
        "orders": found.orders,
        "seed": found.seed,
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation, causes taken over in every order",
        },
    }
