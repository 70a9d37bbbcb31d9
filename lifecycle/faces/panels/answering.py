"""From a scenario to what a page shows: the verdict first, then the rest; nothing is worked out twice.

Lecture
-------
`studies.assessment.brief` gives the answer of a comparison in one piece. A page wants the word before the
rest, so the same answer is put together here from its parts, with the same futures and the same draws:

    first   the subject and what the owner would do otherwise: word, range, of 20
    whole   every way: what is cheapest, what next, what stands beside
    table   the table of 20s, one plan after another

The cost of a way in all futures depends on nothing but its own resolved numbers. It is kept under a digest
of these, so a change works out only the ways that it touches. What is kept gives the same numbers as what
is worked out anew, for nothing else goes into them.

Between the parts `check` is called; it raises where the work is not wanted any more.

Left out: luck, timing and differences, which are worked out on demand.
"""

from __future__ import annotations

import hashlib
import pickle
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.comparison import Comparison, compare, subject_of
from lifecycle.evaluation.expectation import evaluate
from lifecycle.faces import advice, words
from lifecycle.faces.assessing import in_futures
from lifecycle.faces.sureness import last_year_named, sureness, verdict_under
from lifecycle.faces.words import Verdict, VerdictParts
from lifecycle.plans import plan_titles, under_every_plan
from lifecycle.roofs import Alternative, Case
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.assessment import NOT_ASKED, Assessment, choosing
from lifecycle.studies.calls import calls
from lifecycle.studies.doubt import DRAWS, SEED, Doubt, Futures, futures, of_20
from lifecycle.studies.habits import Habits, Row, rows_of, years_shown
from lifecycle.studies.knowing import knowing, pair_knowing
from lifecycle.studies.sampling import Contradiction
from lifecycle.studies.verdict import word_under_doubt

Array = NDArray[np.float64]
Check = Callable[[], None]

KEPT = 96
"""Ways and rows that are kept."""


@dataclass(frozen=True)
class Answer:
    """What a page shows of one scenario.

    Parameters
    ----------
    comparison : Comparison
        At likely values; without ways as long as only the first part is there.
    found : Assessment or None
        Its doubt; None where nothing is compared.
    verdict : Verdict
        In parts and words; its first lines only, as long as only the first part is there.
    whole : bool
        Whether every way is in it.
    """

    comparison: Comparison
    found: Assessment | None
    verdict: Verdict
    whole: bool

    @property
    def scenario(self) -> Scenario:
        """What was stated."""
        return self.comparison.scenario


class Answering:
    """Works answers out, and keeps what the next one may need.

    Parameters
    ----------
    draws, seed : int
        Of the futures.
    """

    def __init__(self, draws: int = DRAWS, seed: int = SEED) -> None:
        self._draws, self._seed = draws, seed
        self._kept: OrderedDict[bytes, object] = OrderedDict()
        self._drawn: tuple[Scenario, Futures] | None = None

    def first(self, scenario: Scenario, check: Check) -> Answer | None:
        """Return word, range and chance of the verdict.

        Parameters
        ----------
        scenario : Scenario
            What was stated.
        check : callable
            Called between two parts.

        Returns
        -------
        Answer or None
            None where the verdict takes every way, or where there is no doubt.

        Raises
        ------
        ScenarioError
            If no future can be drawn.
        """
        plain = _uncompared(scenario)
        if plain.subject is None or scenario.trouble:
            return None
        if any(advice.not_sure(plain, asked) for asked in ("quote", "otherwise")):
            return None
        drawn = self._futures(scenario)
        if not drawn.sample.values:
            return None
        check()
        wanted = plain.base_case, plain.subject
        result = self._doubt(scenario, drawn, last_year_named(plain), check, wanted)
        found = _assessment(scenario, result, plain.subject)
        return Answer(plain, found, _first_lines(plain, found), whole=False)

    def whole(self, scenario: Scenario, check: Check) -> Answer:
        """Return the whole verdict, as `lifecycle compare` prints it.

        Parameters
        ----------
        scenario, check
            As for `first`.

        Returns
        -------
        Answer

        Raises
        ------
        ScenarioError
            If no future can be drawn.
        """
        plain = _uncompared(scenario)
        if scenario.trouble:
            return Answer(plain, None, verdict_under(plain, None), whole=True)
        drawn = self._futures(scenario)
        result = self._doubt(scenario, drawn, last_year_named(plain), check)
        comparison = compare(scenario)
        check()
        found = _assessment(scenario, result, plain.subject, knows=True)
        return Answer(comparison, found, verdict_under(comparison, found), whole=True)

    def table(self, scenario: Scenario, check: Check) -> Habits | None:
        """Return the table of 20s, worked out plan by plan.

        Parameters
        ----------
        scenario, check
            As for `first`.

        Returns
        -------
        Habits or None
            None where there is nothing to compare.
        """
        plain = _uncompared(scenario)
        if scenario.trouble or plain.subject is None:
            return None
        laid_out = under_every_plan(scenario)
        shown = years_shown(laid_out)
        try:
            drawn = futures(laid_out, draws=self._draws, seed=self._seed, alike=scenario)
        except Contradiction:
            return None
        case = resolve(laid_out, drawn.sample.values)
        case = replace(case, terms=replace(case.terms, holding_period=float(shown[-1])))
        rows = {}
        for plan in plan_titles():
            check()
            ways = tuple(way for way in case.alternatives if way.name.endswith(f" under {plan}"))
            pair = replace(case, alternatives=ways)
            rows[plan] = self._row(pair, plan, shown, drawn.weights)
        return Habits.of(rows, shown, draws=self._draws, seed=self._seed)

    def _futures(self, scenario: Scenario) -> Futures:
        """Draw the futures of a scenario, once."""
        if self._drawn is None or self._drawn[0] is not scenario:
            drawn = in_futures(lambda: futures(scenario, draws=self._draws, seed=self._seed))
            self._drawn = scenario, drawn
        return self._drawn[1]

    def _doubt(
        self,
        scenario: Scenario,
        drawn: Futures,
        until: int,
        check: Check,
        wanted: tuple[str, ...] | None = None,
    ) -> Doubt:
        """Evaluate some ways in given futures, as `studies.doubt.under` does, one after another."""
        case = resolve(scenario, drawn.sample.values)
        years = float(np.asarray(resolve(scenario).terms.holding_period))
        case = replace(case, terms=replace(case.terms, study_period=until, holding_period=years))
        costs, at_years = {}, []
        for way in case.alternatives:
            if wanted is None or way.name in wanted:
                check()
                costs[way.name], at_holding = self._cost(case, way, drawn.weights.size)
                at_years.append(at_holding)
        stacked = np.stack(at_years, axis=1)
        return Doubt(drawn, tuple(costs), case.base_case.name, years, costs, stacked, stacked)

    def _cost(self, case: Case, way: Alternative, draws: int) -> tuple[Array, Array]:
        """Return the cost of one way by future and year of sale, and at the years kept. [money]"""

        def work() -> tuple[Array, Array]:
            ledger = evaluate(alone, totals_only=True)[way.name]
            by_year = np.broadcast_to(ledger.net_present_cost, (draws, ledger.net_present_cost.shape[1]))
            return by_year, np.broadcast_to(ledger.at_holding, (draws,))

        alone = replace(case, alternatives=(way,))
        found: tuple[Array, Array] = self._keep(("way", alone, draws), work)  # type: ignore[assignment]
        return found

    def _row(self, pair: Case, plan: str, shown: tuple[int, ...], weights: Array) -> Row:
        """Return one row of the table of 20s."""
        key = ("row", pair, shown, weights)
        row: Row = self._keep(key, lambda: rows_of(pair, [plan], shown, weights)[plan])  # type: ignore[assignment]
        return row

    def _keep(self, of: object, work: Callable[[], object]) -> object:
        """Return what was worked out from the same numbers before, or work it out now."""
        key = hashlib.blake2b(pickle.dumps(of), digest_size=16).digest()
        if key not in self._kept:
            self._kept[key] = work()
        self._kept.move_to_end(key)
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return self._kept[key]


def _uncompared(scenario: Scenario) -> Comparison:
    """Return a comparison that names its ways and years, and has compared nothing yet."""
    case = resolve(scenario)
    subject = subject_of(case)
    terms = scenario, case, float(case.terms.holding_period), case.terms.study_period
    return Comparison(*terms, case.base_case.name, subject.name if subject else None, {}, (), None, None)


def _assessment(scenario: Scenario, result: Doubt, subject: str | None, *, knows: bool = False) -> Assessment:
    """Put an assessment together as `studies.assessment.brief` does; without `knows` nothing of worth."""
    costs = {name: result.band(cost) for name, cost in result.costs.items()} if knows else {}
    base = result.costs[result.base_case]
    others = {name: cost for name, cost in result.costs.items() if knows and name != result.base_case}
    known = knowing(scenario, result, subject, look=False) if knows and subject else None
    return Assessment(
        scenario,
        result,
        subject,
        costs,
        {name: result.band(base - cost) for name, cost in others.items()},
        choosing(result),
        known,
        pair_knowing(scenario, result, subject) if known and subject else {},
        calls(scenario, result, known.by_input) if known else (),
        None,
        NOT_ASKED,
        NOT_ASKED,
        {},
        0.0,
        0,
    )


def _first_lines(plain: Comparison, found: Assessment) -> Verdict:
    """Return the first three lines of the verdict under doubt."""
    sure = sureness(plain, found)
    titles = {way.name: way.title for way in plain.scenario.alternatives}
    parts = VerdictParts(
        plain.subject,
        plain.base_case,
        plain.holding_period,
        word_under_doubt(sure.chance, sure.middle, sure.dearer),
        middle=sure.middle,
        low=sure.low,
        high=sure.high,
        of_20=of_20(sure.chance),
        if_sold={year: of_20(chance) for year, chance in sure.if_sold.items()},
    )
    lines = (
        words.answer_sentence(parts, titles[plain.subject or ""], titles[plain.base_case]),
        words.range_sentence(sure.low, sure.high),
        " ".join([words.of_20_sentence(of_20(sure.chance), parts.if_sold), *sure.warnings]),
    )
    return Verdict(parts, lines)
