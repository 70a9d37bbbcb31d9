"""From a scenario to what a page shows: the verdict first, then the rest; nothing is worked out twice.

Lecture
-------
`studies.assessment.brief` gives the answer of a comparison in one piece. A page wants the word before the
rest, so the same answer is asked for here in parts, with the same futures and the same draws:

    first   every way at the years kept: what to do, by how much, of 20
    whole   what it hangs on, what next, what stands beside
    table   the table of 20s, one plan after another

One evaluator (`studies.futures`) serves all three and the next scenario: a change works out only the ways
that it touches, and the table of 20s takes the ways that the verdict has already. What is kept gives the
same numbers as what is worked out anew.

Between the parts `check` is called; it raises where the work is not wanted any more.

Left out: luck, timing and differences, which are worked out on demand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lifecycle.evaluation.comparison import Comparison, compare, subject_of
from lifecycle.language.verdict import Verdict, verdict_under
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.assessment import Assessment, compared, of_doubt
from lifecycle.studies.doubt import Doubt
from lifecycle.studies.futures import DRAWS, SEED, Evaluator, Futures, futures, in_futures
from lifecycle.studies.habits import Habits, habits, with_own_row, years_shown
from lifecycle.studies.sampling import Contradiction
from lifecycle.studies.verdict import last_year_needed

Check = Callable[[], None]


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
        self._evaluator = Evaluator()
        self._drawn: tuple[Scenario, Futures] | None = None
        self._done: tuple[Scenario, Scenario, Doubt] | None = None

    def first(self, scenario: Scenario, check: Check) -> Answer | None:
        """Return the first lines of the verdict."""
        plain = _uncompared(scenario)
        if plain.subject is None or scenario.trouble:
            return None
        completed, result = self._compared(scenario, check)
        found = of_doubt(completed, result, worth=False)
        plain = _uncompared(completed)
        return Answer(plain, found, verdict_under(plain, found), whole=False)

    def whole(self, scenario: Scenario, check: Check) -> Answer:
        """Return the whole verdict, as `lifecycle compare` prints it."""
        plain = _uncompared(scenario)
        if scenario.trouble:
            return Answer(plain, None, verdict_under(plain, None), whole=True)
        completed, result = self._compared(scenario, check)
        comparison = compare(completed)
        check()
        found = of_doubt(completed, result, evaluator=self._evaluator)
        return Answer(comparison, found, verdict_under(comparison, found), whole=True)

    def _compared(self, scenario: Scenario, check: Check) -> tuple[Scenario, Doubt]:
        """Return a scenario with the one set of ways, and its doubt; once for each scenario."""
        if self._done is None or self._done[0] is not scenario:
            drawn = self._futures(scenario)
            completed, result = compared(
                scenario,
                drawn,
                until=last_year_needed(scenario),
                ahead=years_shown(scenario)[-1],
                evaluator=self._evaluator,
                progress=lambda done, whole: check(),
            )
            self._done = scenario, completed, result
        return self._done[1:]

    def table(self, scenario: Scenario, check: Check) -> Habits | None:
        """Return the table of 20s, worked out plan by plan."""
        plain = _uncompared(scenario)
        if scenario.trouble or plain.subject is None:
            return None
        try:
            table = habits(
                scenario,
                draws=self._draws,
                seed=self._seed,
                evaluator=self._evaluator,
                progress=lambda done, whole: check(),
            )
            return with_own_row(table, *self._compared(scenario, check))
        except Contradiction:
            return None

    def _futures(self, scenario: Scenario) -> Futures:
        """Draw the futures of a scenario, once."""
        if self._drawn is None or self._drawn[0] is not scenario:
            drawn = in_futures(lambda: futures(scenario, draws=self._draws, seed=self._seed), scenario)
            self._drawn = scenario, drawn
        return self._drawn[1]


def _uncompared(scenario: Scenario) -> Comparison:
    """Return a comparison that names its ways and years, and has compared nothing yet."""
    case = resolve(scenario)
    subject = subject_of(case)
    terms = scenario, case, float(case.terms.holding_period), case.terms.study_period
    return Comparison(*terms, case.base_case.name, subject.name if subject else None, {}, (), None, None)
