"""The exact expectation: what each alternative costs on average, for every draw of the inputs.

Lecture
-------
`evaluate` runs, for each alternative, the spell of the standing roof under its plan and the spell
of a new roof of the kind that follows, and closes the account of the two (`ledger`). Roofs and
plans that alternatives share are run once. Everything is exact on the grid of months: there is no
sampling here and no other approximation.

Draws are independent of each other; they are taken a few hundred at a time, so that the arrays of
a round (months x draws) stay small, and the rounds are shared between the processor's cores.
Memory therefore does not grow with the number of draws, but for the results; time grows linearly.

The same account is there in two forms. The one to read is this one, in arrays over months; the other is
one pass in C (`compiled`), some ten times as fast, which answers where it is compiled. They agree to 1e-10,
and both with a slow loop that was written apart.

Left out: luck. What one coach may meet is the business of the simulation.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np

from lifecycle.evaluation.compiled.calling import evaluate_compiled, unfit
from lifecycle.evaluation.compiled.library import found
from lifecycle.evaluation.ledger import Apart, Chain, Ledger, close_account, financed, holding_months
from lifecycle.evaluation.past import Today, today
from lifecycle.evaluation.spell import Spell, run_spell
from lifecycle.evaluation.threads import threads
from lifecycle.evaluation.timeline import Start, due_visits
from lifecycle.quantities import Whole
from lifecycle.roofs import Alternative, Case, Leaks, Loan, Roof, Terms, Visit, draws_of, take

_DRAWS_AT_A_TIME = 512
"""Draws in a round; measured for 361 months."""


def evaluate(
    case: Case, *, totals_only: bool = False, workers: int | None = None, apart: Collection[str] = ()
) -> dict[str, Ledger]:
    """Return the account of each alternative, expected over luck, exactly.

    Parameters
    ----------
    case : Case
        Resolved roofs and alternatives; numbers of shape () or (draws,).
    totals_only : bool
        Whether to leave categories and counts out: a fifth faster.
    workers : int or None
        Threads; None: one for each core that is ours (`threads`).
    apart : collection of str
        Categories whose lines are kept by year, each alone, and left out of the totals.

    Returns
    -------
    dict of str to Ledger
        By name of alternative, in the order of the case; first axis of all arrays: draws (one if
        the case holds no arrays).

    Raises
    ------
    ValueError
        If arrays of the case differ in length, or the years kept lie outside the study period.
    """
    draws = draws_of(case) or 1
    workers = workers or threads()
    kernel, _ = found()
    if kernel is not None and unfit(case) is None:
        accounts = evaluate_compiled(
            case, draws, kernel, totals_only=totals_only, workers=workers, apart=apart
        )
    else:
        accounts = evaluate_in_numpy(case, draws, totals_only=totals_only, workers=workers, apart=apart)
    loan = case.loan
    if loan is not None and loan.alternative in accounts:
        accounts[loan.alternative] = _with_loan(accounts[loan.alternative], loan, case.terms, apart)
    return accounts


def evaluate_in_numpy(
    case: Case, draws: int, *, totals_only: bool = False, workers: int = 1, apart: Collection[str] = ()
) -> dict[str, Ledger]:
    """Return what `evaluate` does, without loans, by the form to read first: arrays over all months."""
    if draws_of(case) is None:
        return _evaluate_some(case, 1, totals_only, apart)
    # Draws in which leaks become severe after as many months go together: `hiding` takes them as one.
    order = np.argsort(np.broadcast_to(case.leaks.severe_after, (draws,)), kind="stable")
    parts = [order[start : start + _DRAWS_AT_A_TIME] for start in range(0, draws, _DRAWS_AT_A_TIME)]

    def one(part: Whole) -> dict[str, Ledger]:
        return _evaluate_some(take(case, part), part.size, totals_only, apart)

    with ThreadPoolExecutor(workers) as pool:
        done = list(pool.map(one, parts))
    back = np.argsort(order)
    return {name: _joined([part[name] for part in done], back) for name in done[0]}


def _evaluate_some(case: Case, draws: int, totals_only: bool, apart: Collection[str]) -> dict[str, Ledger]:
    """Evaluate a few draws together, one alternative after another."""
    return {
        way.name: close_account(chain, case.terms, totals_only=totals_only, apart=apart)
        for way, chain in _chains(case, draws)
    }


def chains(case: Case, draws: int = 1) -> dict[str, Chain]:
    """Return the spells of each alternative: leaks, finds and masses by roof and age.

    Parameters
    ----------
    case : Case
        Resolved roofs and alternatives.
    draws : int
        Number of draws in the case (1 if it holds no arrays).

    Returns
    -------
    dict of str to Chain
        Arrays are month-major, shape (months + 1, draws).
    """
    return {way.name: chain for way, chain in _chains(case, draws)}


def _chains(case: Case, draws: int) -> Iterator[tuple[Alternative, Chain]]:
    """Run the spells of one alternative after another; a new roof that several share is run once."""
    state = today(case.existing, case.leaks, draws)
    new_roofs: dict[tuple[int, int], Spell] = {}
    for way in case.alternatives:
        leaks = case.leaks_under(way)
        new = id(way.then), id(leaks)
        if new not in new_roofs:
            new_roofs[new] = new_roof(way.then, case, draws, leaks)
        months, planned = case.terms.months, way.change_month
        standing = standing_roof(way, case, state, draws, months=months, planned=planned)
        yield way, Chain(standing, new_roofs[new], planned)


def new_roof(roof: Roof, case: Case, draws: int = 1, leaks: Leaks | None = None) -> Spell:
    """Return the spell of a roof laid in month 0; leak figures that are not given are the case's."""
    return run_spell(roof, leaks or case.leaks, start=Start(), months=case.terms.months, draws=draws)


def standing_roof(
    way: Alternative,
    case: Case,
    state: Today,
    draws: int,
    *,
    months: int,
    planned: int | None,
    due: tuple[tuple[Visit, ...], ...] | None = None,
) -> Spell:
    """Return the spell of the existing roof under one alternative, its visits by plan or as they were due."""
    existing = case.existing
    last = months if planned is None else min(planned, months)
    return run_spell(
        way.roof,
        case.leaks_under(way),
        start=Start(existing.age, existing.seal_age, state.effective_age),
        months=months,
        draws=draws,
        planned=planned,
        hidden_at_start=state.hidden,
        newly_laid=False,
        change_cost=way.quote,
        change_days=way.days,
        due=due or due_visits(way.roof, last, standing=existing, planned=planned),
    )


def _with_loan(ledger: Ledger, loan: Loan, terms: Terms, apart: Collection[str]) -> Ledger:
    """Add what financing costs, to the totals or as a line apart."""
    draws, columns = ledger.net_present_cost.shape
    holding = np.broadcast_to(holding_months(terms), (draws,))
    at_holding = financed(loan, terms, holding[:, None], draws)[:, 0]
    cost = np.zeros((draws, columns))
    cost[:, 1:] = financed(loan, terms, 12 * np.arange(1, columns), draws)
    if "financing" in apart:
        return replace(ledger, apart={**ledger.apart, "financing": Apart(cost, at_holding)})
    return replace(
        ledger,
        net_present_cost=ledger.net_present_cost + cost,
        at_holding=ledger.at_holding + at_holding,
        by_category={**ledger.by_category, "financing": at_holding},
    )


def _joined(parts: Sequence[Any], back: Whole) -> Any:
    """Join accounts of one alternative, or what is in them, over rounds of draws; put the draws in order."""
    first = parts[0]
    if isinstance(first, Ledger | Apart):
        return type(first)(**_joined([vars(part) for part in parts], back))
    if isinstance(first, Mapping):
        return {name: _joined([part[name] for part in parts], back) for name in first}
    return np.concatenate(parts)[back]
