"""A log held against its scenario, as plain data for a result file."""

from __future__ import annotations

from typing import Any

import lifecycle
from lifecycle.answers.logbook_answer import Years
from lifecycle.answers.shared import SCHEMA
from lifecycle.records.from_today import Answer, FromToday, what_becomes
from lifecycle.records.logged_years import Rate
from lifecycle.records.so_far import Held
from lifecycle.studies.doubt import Band, of_20


def logbook_result(years: Years) -> dict[str, Any]:
    """Return everything that is said of a log as plain data.

    Parameters
    ----------
    years : Years
        The log held against its scenario.
    """
    log, account = years.log, years.account
    return {
        "schema": SCHEMA,
        "title": years.scenario.title,
        "currency": years.scenario.currency,
        "base_date": str(log.start),
        "until": str(log.until),
        "months": log.months,
        "way": log.way,
        "way_said": log.way_said,
        "entries": len(log.entries),
        "sold": log.sale is not None,
        "account": {
            "months": account.months,
            "paid_in_the_money_of_the_day": account.paid,
            "rows": {row.name: _held(row) for row in account.rows},
            "total": _held(account.total),
            "hours": _held(account.hours),
            "other_way": account.other,
            "other_total": _band(account.other_total),
            "other_hours": _band(account.other_hours),
            "share_without_repairs": account.no_repairs,
            "share_with_fewer_repairs": account.fewer_repairs,
        },
        "leaks": {"found": years.rate.leaks, **_rate(years.rate), "other_way": _other(years.other_rate)},
        "prices": {
            price.name: {"times": price.times, "paid": price.paid, "taken": price.taken}
            for price in years.prices
        },
        "answer": _today(years.today),
        "notices": list(log.notices),
        "reasons": _reasons(years),
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "scenario_sha256": years.scenario.sha256,
        },
    }


def _reasons(years: Years) -> dict[str, str]:
    """Say why something is null."""
    reasons = {}
    if years.today is None:
        reasons["answer"] = "the coach is sold"
    if years.account.other is None:
        reasons["account.other_way"] = "there is only one way"
    return reasons


def _held(row: Held) -> dict[str, Any]:
    """Return one row of the account as plain data."""
    return {"spent": row.spent, "expected": _band(row.expected), "within": row.within}


def _band(band: Band | None) -> dict[str, float] | None:
    """Return a band as plain data."""
    return {name: float(value) for name, value in vars(band).items()} if band is not None else None


def _rate(rate: Rate) -> dict[str, Any]:
    """Return what leaks say as plain data."""
    return {
        "expected_found": rate.mean,
        "variance": rate.variance,
        "expected_found_after": rate.after,
        "times_as_often": rate.times,
        "chance_of_none": rate.chance(0),
        "chance_of_as_many": rate.chance_of_as_many(),
    }


def _other(rate: Rate | None) -> dict[str, Any] | None:
    """Return the same for the other way, of which nothing was found or not found."""
    if rate is None:
        return None
    names = ("expected_found", "variance", "chance_of_none", "chance_of_as_many")
    return {name: value for name, value in _rate(rate).items() if name in names}


def _today(found: FromToday | None) -> dict[str, Any] | None:
    """Return whether the answer stands as plain data."""
    if found is None:
        return None
    later = found.hindsight if found.closed else found.now
    return {
        "becomes": what_becomes(found.then, later) if found.then and later else None,
        "closed": found.closed,
        "then": _answer(found.then),
        "hindsight": _answer(found.hindsight),
        "now": _answer(found.now),
        "remaining": [_answer(one) for one in found.remaining],
        "over": list(found.over),
        "years_are_up": found.years_are_up,
        "effective_draws": found.effective,
    }


def _answer(answer: Answer | None) -> dict[str, Any] | None:
    """Return one answer as plain data."""
    if answer is None:
        return None
    chance = answer.chance
    return {**vars(answer), "of_20": None if chance is None else of_20(chance)}
