"""Examined quotes as plain data for a result file; money in the currency, measures in metric units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import lifecycle
from lifecycle.answers.shared import SCHEMA, trouble_reason
from lifecycle.evaluation.opening import Opening
from lifecycle.quote import Held, OnOneScope, Quote
from lifecycle.scenario import Scenario
from lifecycle.scenario.takeoff import Takeoff
from lifecycle.studies.quoting import TAIL, Examination, Examined, LoanTerms


def quote_result(
    examinations: Sequence[Examination],
    scoped: Sequence[OnOneScope],
    bill: tuple[Quote, Held, bool | None] | None = None,
) -> dict[str, Any]:
    """Return examined quotes as plain data.

    Parameters
    ----------
    examinations : sequence of Examination
        One for each scenario.
    scoped : sequence of OnOneScope
        All quotes on one scope, in order; empty for a single quote.
    bill : (Quote, Held, bool or None), or None
        Quote that was signed, its bill against the promise, whether they called.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    return {
        "schema": SCHEMA,
        "currency": examinations[0].scenario.currency,
        "scenarios": [_scenario(one) for one in examinations],
        "on_one_scope": [
            {**asdict(one), "added": dict(one.added), "complete": one.complete} for one in scoped
        ],
        "found": None if bill is None else _bill(*bill),
        "made_by": {"version": lifecycle.__version__, "method": "expectation"},
    }


def open_first(scenario: Scenario) -> dict[str, Any]:
    """Return the answer where trouble is reported: nothing is examined."""
    reason = trouble_reason(scenario.trouble)
    return {
        "schema": SCHEMA,
        "title": scenario.title,
        "currency": scenario.currency,
        "scenarios": None,
        "reasons": {"scenarios": reason},
    }


def _scenario(one: Examination) -> dict[str, Any]:
    """Return the quotes of one scenario."""
    return {
        "title": one.scenario.title,
        "scenario_sha256": one.scenario.sha256,
        "roof": None if one.takeoff is None else _roof(one.takeoff),
        "once_open": _opening(one.opening),
        "not_looked_at": list(one.unseen),
        "quotes": {examined.quote.name: _quote(examined) for examined in one.quotes},
        "loan": None if one.loan is None else _loan(one.loan),
    }


def _loan(loan: LoanTerms) -> dict[str, Any]:
    """Return what a loan costs, and its schedule month by month."""
    parts = {name: values.tolist() for name, values in vars(loan.schedule).items()}
    return {**vars(loan), "schedule": parts}


def _roof(takeoff: Takeoff) -> dict[str, Any]:
    """Return what is measured, and what it takes."""
    shape = takeoff.geometry
    names = ("length", "width", "sprayed_length", "sprayed_area", "joint_length")
    return {
        **{name: float(getattr(shape, name)) for name in names},
        "assumed": list(shape.assumed),
        "base_volume": float(takeoff.coating.base.volume),
        "topcoat_volume": float(takeoff.coating.topcoat.volume),
        "cartridges": takeoff.cartridges,
        "net_weight": float(takeoff.coating.net_weight),
    }


def _opening(found: Opening) -> dict[str, float]:
    """Return what stripping uncovers."""
    return {
        "chance_wet": found.wet,
        "chance_rotten": found.rotten,
        "mean": found.mean,
        "p90": found.percentile(TAIL),
    }


def _quote(one: Examined) -> dict[str, Any]:
    """Return one quote."""
    quote = one.quote
    return {
        "title": quote.title,
        "items": [{**asdict(item), "covers": list(item.covers), "cost": item.cost} for item in quote.items],
        "sum": asdict(one.sum),
        "price_by_sprayed_length": one.by_length,
        "recomputed_by_sprayed_length": one.recomputed,
        "two_forms": {**asdict(one.forms), "all_in": one.forms.all_in},
        "plausible": _plausible(one),
        "left_out": list(one.left_out),
        "terms": _terms(quote),
    }


def _plausible(one: Examined) -> Mapping[str, Any] | None:
    """Return what material and labour make of the price."""
    if one.plausible is None:
        return None
    return {**asdict(one.plausible), "judged": one.plausible.judged(one.sum.bill)}


def _terms(quote: Quote) -> dict[str, Any]:
    """Return what a quote promises besides its price."""
    names = ("deposit", "cap", "exit_price", "call_first", "quoted_length", "quoted_by", "lodging")
    return {**asdict(quote.terms), **{name: getattr(quote, name) for name in names}}


def _bill(quote: Quote, result: Held, called: bool | None) -> dict[str, Any]:
    """Return a bill against the promise."""
    whole = {**asdict(result), "by_item": dict(result.by_item), "unpromised": list(result.unpromised)}
    return {"quote": quote.name, **whole, "above": result.above, "called": called}
