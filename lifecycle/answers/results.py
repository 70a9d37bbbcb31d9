"""Result files: a comparison and its verdict as JSON.

Lecture
-------
Names are fixed, so that files written today stay readable. Money is in the currency of the scenario
at the base date, present values; counts are not discounted. There is no NaN and no infinity: where
there is no number stands null, with the reason under `reasons`. A remark on a number that is there
stands under `reasons` too.

With trouble reported `alternatives` is null.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

import lifecycle
from lifecycle.evaluation.comparison import Comparison, Measures, Way
from lifecycle.language.words import Verdict

SCHEMA = 1
"""Version of the layout of result files."""


def result(
    comparison: Comparison, verdict: Verdict, doubt: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return a comparison as plain data for a result file.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    verdict : Verdict
        On it.
    doubt : mapping or None
        What doubt says of the ways, as plain data; None where it was not asked, or nothing is compared.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    scenario = comparison.scenario
    kept = comparison.holding_period
    answer: dict[str, Any] = {
        "schema": SCHEMA,
        "title": scenario.title,
        "currency": scenario.currency,
        "base_case": comparison.base_case,
        "holding_period": int(kept) if kept == int(kept) else kept,
        "study_period": comparison.study_period,
        "alternatives": {name: _way(way) for name, way in comparison.ways.items()} or None,
        "cheapest": comparison.cheapest,
        "cheapest_way_of_keeping": comparison.cheapest_way_of_keeping,
        "verdict": [*verdict.lines, *verdict.beside],
        "verdict_parts": verdict.parts.as_result(),
        "doubt": doubt,
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "scenario_sha256": scenario.sha256,
        },
    }
    reasons = _reasons(comparison, doubt)
    return {**answer, "reasons": reasons} if reasons else answer


def _reasons(comparison: Comparison, doubt: Mapping[str, Any] | None) -> dict[str, str]:
    """Say why something of the whole is null."""
    if comparison.trouble:
        return dict.fromkeys(("alternatives", "doubt"), trouble_reason(comparison.trouble))
    reasons = {} if doubt is not None else {"doubt": "not asked for"}
    if comparison.cheapest_way_of_keeping is None:
        reasons["cheapest_way_of_keeping"] = "no way keeps the roof that stands"
    return reasons


def trouble_reason(trouble: Sequence[str]) -> str:
    """Say why nothing is compared where trouble is reported.

    Examples
    --------
    >>> trouble_reason(["stain", "soft spot"])
    'open it first: trouble is reported (stain, soft spot), so nothing is compared'
    """
    return f"open it first: trouble is reported ({', '.join(trouble)}), so nothing is compared"


def _way(way: Way) -> dict[str, Any]:
    """Return one way as plain data."""
    categories: dict[str, Any] = {**way.by_category, "upkeep": dict(way.upkeep)}
    own = {
        "title": way.title,
        "net_present_cost": way.net_present_cost.tolist(),
        "annual_value": list(way.annual_value),
        "by_category": categories,
        "expected": dict(way.expected),
        "chance_renewed": way.chance_renewed.tolist(),
    }
    return own | (_measures(way.measures) if way.measures else {})


def _measures(measures: Measures) -> dict[str, Any]:
    """Return the measures of a way as plain data."""
    answers = measures.answers
    values: dict[str, Any] = {name: answer.value for name, answer in answers.items()}
    if values["break_even_year"] is not None:
        values["break_even_year"] = int(values["break_even_year"])
    price = values.pop("break_even_price")
    return {
        "net_savings": measures.net_savings.tolist(),
        **values,
        "crossings": list(measures.crossings),
        "break_even_price": price,
        "reasons": {name: answer.reason for name, answer in answers.items() if answer.reason},
    }


def as_json(data: Mapping[str, Any]) -> str:
    """Return plain data as JSON text.

    Parameters
    ----------
    data : mapping
        Without NaN and infinity.

    Raises
    ------
    ValueError
        If there is one.

    Examples
    --------
    >>> as_json({"a": [0.5, None]})
    '{"a": [0.5, null]}'
    """
    return json.dumps(data, allow_nan=False)
