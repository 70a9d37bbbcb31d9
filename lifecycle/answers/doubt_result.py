"""Result files of doubt: an assessment as plain data.

Lecture
-------
What is said of the ways under doubt (`doubt_part`) stands alone in the answer of a study of doubt
(`doubt_result`), and within the result of a comparison. Curves have one value for each year of sale
0 ... study period; chances, losses and the worth of finding out stand at the likely years kept.

*Luck* is what happens to one coach, every input at its likely value; it never stands among the
figures of doubt.

There is no NaN and no infinity: where there is no number stands null, with the reason under
`reasons`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import lifecycle
from lifecycle.answers.shared import SCHEMA
from lifecycle.language.words import Verdict
from lifecycle.studies.assessment import Assessment, Luck
from lifecycle.studies.calls import Call
from lifecycle.studies.doubt import Band


def doubt_result(found: Assessment, verdict: Verdict) -> dict[str, Any]:
    """Return an assessment as plain data for a result file.

    Parameters
    ----------
    found : Assessment
        The whole of it.
    verdict : Verdict
        Under this doubt.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    scenario, years = found.scenario, found.doubt.years
    part = doubt_part(found)
    reasons = part.pop("reasons", {})
    answer = {
        "schema": SCHEMA,
        "title": scenario.title,
        "currency": scenario.currency,
        "base_case": found.doubt.base_case,
        "subject": found.subject,
        "holding_period": int(years) if years == int(years) else years,
        **part,
        "luck": _luck_part(found),
        "verdict": [*verdict.lines, *verdict.beside],
        "verdict_parts": verdict.parts.as_result(),
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation by future; luck by simulation",
            "scenario_sha256": scenario.sha256,
        },
    }
    return {**answer, "reasons": reasons} if reasons else answer


def doubt_part(found: Assessment) -> dict[str, Any]:
    """Return what doubt says of the ways as plain data.

    Parameters
    ----------
    found : Assessment
        Brief or whole.

    Returns
    -------
    dict
        With the reasons for what is null, if anything is.
    """
    choosing, knowing, drawn = found.choosing, found.knowing, found.doubt.futures
    titles = {way.name: way.title for way in found.scenario.alternatives}
    reasons = {}
    if found.habits is None:
        reasons["table_of_20s"] = found.no_habits
    if knowing is None:
        reasons["perfect_information"] = reasons["share_of_doubt"] = "there is only one way"
    elif knowing.look is None:
        reasons["look_before_signing"] = found.no_look
    part: dict[str, Any] = {
        "alternatives": {
            name: {
                "title": titles[name],
                "cost": _band(found.costs[name]),
                **({"net_savings": _band(found.net_savings[name])} if name in found.net_savings else {}),
            }
            for name in found.doubt.names
        },
        "chance_cheapest": dict(choosing.chance_cheapest),
        "chance_cheaper": {name: dict(than) for name, than in choosing.chance_cheaper.items()},
        "expected_opportunity_loss": dict(choosing.opportunity_loss),
        "perfect_information": None
        if knowing is None
        else {
            "total": knowing.total,
            "by_group": dict(knowing.by_group),
            "by_input": dict(knowing.by_input),
        },
        "calls": [_call(call) for call in found.calls],
        "look_before_signing": knowing.look if knowing else None,
        "share_of_doubt": None
        if knowing is None
        else {"by_basis": dict(knowing.share_by_basis), "by_input": dict(knowing.share_by_input)},
        "table_of_20s": None if found.habits is None else _by_year(found.habits.of_20),
        "draws": drawn.sample.draws,
        "seed": drawn.sample.seed,
        "effective_draws": drawn.effective,
        "moved_to_a_bound": dict(drawn.sample.moved),
    }
    return {**part, "reasons": reasons} if reasons else part


def _call(call: Call) -> dict[str, Any]:
    """Return a call and what follows from it as plain data."""
    follows = [{"way": stretch.way, "up_to": stretch.up_to} for stretch in call.stretches]
    return {"input": call.figure.path, "worth": call.worth, "what_follows": follows}


def _band(band: Band) -> dict[str, list[float]]:
    """Return a band by year of sale as lists."""
    return {name: getattr(band, name).tolist() for name in ("mean", "p10", "p50", "p90")}


def _by_year(table: Mapping[str, Mapping[int, int]]) -> dict[str, dict[str, int]]:
    """Return a table by year with names as JSON has them."""
    return {plan: {str(year): number for year, number in row.items()} for plan, row in table.items()}


def _luck_part(found: Assessment) -> dict[str, Any] | None:
    """Return what happens to one coach as plain data; None if it was not asked for."""
    if not found.luck:
        return None
    return {
        "lives": found.lives,
        "large_bill": found.large_bill,
        "alternatives": {name: _luck(luck) for name, luck in found.luck.items()},
    }


def _luck(luck: Luck) -> dict[str, Any]:
    """Return the luck of one way as plain data."""
    chances = ("chance_of_large_bill", "chance_of_new_roof", "chance_of_severe_find", "chance_of_leak")
    return {"cost": _band(luck.cost), **{name: getattr(luck, name).tolist() for name in chances}}
