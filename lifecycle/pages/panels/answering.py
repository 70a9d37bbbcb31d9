"""From a scenario to what a page shows: the verdict first, then the rest; nothing is worked out twice.

Lecture
-------
`studies.assessment.brief` gives the answer of a comparison in one piece. A page wants the word before the
rest, so the same answer is put together here from its parts, with the same futures and the same draws:

    first   the subject and what the owner would do otherwise: word, range, of 20
    whole   every way: what is cheapest, what next, what stands beside
    table   the table of 20s, one plan after another

The cost of a way in all futures depends on nothing but its own resolved numbers. It is kept under a digest
of these, so a change works out only the ways that it touches, and the table of 20s takes the ways that the
verdict has already. What is kept gives the same numbers as what is worked out anew, for nothing else goes
into them. Ways that share the roof that follows are worked out together.

Between the parts `check` is called; it raises where the work is not wanted any more.

Left out: luck, timing and differences, which are worked out on demand.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.comparison import Comparison, compare, subject_of
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.language import advice, words
from lifecycle.language.sureness import last_year_named, sureness, verdict_under
from lifecycle.language.words import Verdict, VerdictParts
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.roofs import Alternative, Case, Existing
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.assessment import NOT_ASKED, Assessment, choosing
from lifecycle.studies.calls import calls
from lifecycle.studies.doubt import DRAWS, SEED, Doubt, Futures, futures, in_futures, of_20
from lifecycle.studies.habits import Habits, row_of, years_shown
from lifecycle.studies.knowing import knowing, pair_knowing
from lifecycle.studies.sampling import Contradiction
from lifecycle.studies.verdict import word_under_doubt

Array = NDArray[np.float64]
Check = Callable[[], None]

KEPT = 96
"""Ways that are kept."""


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
        self._kept: OrderedDict[bytes, _Cost] = OrderedDict()
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
        rows = {}
        for plan in plan_titles():
            pair = f"{CHANGE}{plan}", f"{KEEP}{plan}"
            costs = self._costs(case, pair, drawn.weights.size, (self._longest(laid_out),), None, check)
            changed, kept = (costs[name].by_year for name in pair)
            rows[plan] = row_of(case.alternative(pair[0]).quote, changed, kept, shown, drawn.weights)
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
        """Evaluate some ways in given futures, as `studies.doubt.under` does.

        All of them are worked out as far as the table of 20s looks; those that are wanted alone only as far
        as the verdict does, unless they are there already.
        """
        case = resolve(scenario, drawn.sample.values)
        years = float(np.asarray(resolve(scenario).terms.holding_period))
        longest = max(until, self._longest(scenario))
        lasts = (longest, until) if wanted else (longest,)
        names = wanted or tuple(way.name for way in case.alternatives)
        costs = self._costs(case, names, drawn.weights.size, lasts, years, check)
        by_year = {name: costs[name].by_year[:, : until + 1] for name in names}
        at_years = np.stack([costs[name].at(years) for name in names], axis=1)
        return Doubt(drawn, names, case.base_case.name, years, by_year, at_years, at_years)

    @staticmethod
    def _longest(scenario: Scenario) -> int:
        """Return the last year of the table of 20s."""
        return years_shown(scenario)[-1]

    def _costs(
        self,
        case: Case,
        names: Sequence[str],
        draws: int,
        lasts: Sequence[int],
        years: float | None,
        check: Check,
    ) -> dict[str, _Cost]:
        """Return the cost of some ways by year of sale and at the years kept.

        They are taken to the first of the last years for which they are there; what is there for none of
        them is worked out to the last one.
        """
        odd = years if years is not None and years != round(years) else None

        def account(last: int) -> Case:
            holding = float(last) if odd is None else odd
            return replace(case, terms=replace(case.terms, study_period=last, holding_period=holding))

        keys = {name: [_key(account(last), name, draws) for last in lasts] for name in names}
        missing = [name for name in names if not any(key in self._kept for key in keys[name])]
        for together in _by_following(case, missing):
            check()
            ledgers = evaluate(replace(account(lasts[-1]), alternatives=together), totals_only=True)
            for name, ledger in ledgers.items():
                self._kept[keys[name][-1]] = _Cost.of(ledger, odd, draws)
        used = {name: next(key for key in keys[name] if key in self._kept) for name in names}
        for key in used.values():
            self._kept.move_to_end(key)
        found = {name: self._kept[key] for name, key in used.items()}
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return found


@dataclass(frozen=True)
class _Cost:
    """Cost of one way by future: by year of sale (draws, years + 1), and at odd years (draws,). [money]"""

    by_year: Array
    at_odd: Array | None

    @classmethod
    def of(cls, ledger: Ledger, odd: float | None, draws: int) -> _Cost:
        """Take it from an account; odd years are those that are no whole number."""
        wide = np.broadcast_to(ledger.net_present_cost, (draws, ledger.net_present_cost.shape[1]))
        return cls(wide, None if odd is None else np.broadcast_to(ledger.at_holding, (draws,)))

    def at(self, years: float) -> Array:
        """Return the cost at the years kept."""
        return self.by_year[:, round(years)] if self.at_odd is None else self.at_odd


def _key(case: Case, name: str, draws: int) -> bytes:
    """Return a digest of all numbers that the cost of a way stands on; names are none of them."""
    way = replace(case.alternative(name), name="", title="", base_case=False, subject=False)
    way = replace(way, roof=replace(way.roof, name=""), then=replace(way.then, name=""))
    loan = case.loan if case.loan and case.loan.alternative == name else None
    digest = hashlib.blake2b(digest_size=16)
    _add(digest, (case.leaks, _past(case.existing), way, case.terms, loan, draws))
    return digest.digest()


def _add(digest: hashlib.blake2b, thing: object) -> None:
    """Add all numbers within a thing to a digest, each where it stands."""
    if isinstance(thing, np.ndarray):
        digest.update(f"{thing.shape}".encode() + thing.tobytes())
    elif is_dataclass(thing):
        for part in fields(thing):
            _add(digest, getattr(thing, part.name))
    elif isinstance(thing, Mapping):
        for key, value in thing.items():
            _add(digest, (key, value))
    elif isinstance(thing, tuple):
        digest.update(b"(")
        for value in thing:
            _add(digest, value)
    else:
        digest.update(f"{thing!r},".encode())


def _past(existing: Existing) -> Existing:
    """Return what the past of the standing roof stands on: its visits, but not what they cost."""
    visits = tuple(replace(visit, cost=0.0, hours=0.0, days=0.0) for visit in existing.roof.visits)
    return replace(existing, roof=replace(existing.roof, name="", visits=visits))


def _by_following(case: Case, names: Sequence[str]) -> list[tuple[Alternative, ...]]:
    """Return ways in groups that share the roof that follows, which is then worked out once."""
    groups: dict[int, list[Alternative]] = {}
    for name in names:
        way = case.alternative(name)
        groups.setdefault(id(way.then), []).append(way)
    return [tuple(group) for group in groups.values()]


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
