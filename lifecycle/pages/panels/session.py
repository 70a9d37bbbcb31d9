"""One tab of a page: what is entered, the scenario that it makes, and the answers that follow.

Lecture
-------
*Entered.* A page holds one `Entered`. Each change gives a new one; the old ones are kept, so that a change
can be undone. `scenario_of` writes the answers down as `lifecycle new` does, reads them back, and puts the
changed figures in their places. So a page, the file that it offers to keep and the command line cannot
understand an answer differently. A file that was written by hand has no answers: it is taken as it is, and
only its figures can be changed; the same goes for a file whose ways or roofs were changed after it was
written from answers.

*Answers.* `studies.assessment.brief` gives the answer of a comparison in one piece. A page wants the word
before the rest, so `Answering` gives the same answer in parts, with the same futures and the same draws:

    first   every way at the years kept: what to do, by how much, of 20
    whole   what it hangs on, what next, what stands beside
    table   the table of 20s, one plan after another

One evaluator (`studies.futures`) serves all three and the next scenario: a change works out only the ways
that it touches. What is kept gives the same numbers as what is worked out anew.

*Session.* Every change goes one way: it is checked, becomes the new state, and starts the work; what comes of
it is handed to whoever shows it, part by part. A change that cannot be is refused and nothing moves: the last
good state and its answer stay. A change that comes while work is under way replaces it.

Left out: widgets; whether a single answer is allowed (`interview`); luck, timing and differences, which are
worked out on demand.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from lifecycle import files
from lifecycle.answers.seven_answers import changed_since
from lifecycle.errors import Fault, ScenarioError, fault
from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.interview import contradictions, parts, questions, scenario_text
from lifecycle.language.labels import the_input
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict, verdict_under
from lifecycle.pages.panels.worker import Job, Show, Worker, loop_of_page
from lifecycle.plans import with_other_ways
from lifecycle.quantities import Figure, capital
from lifecycle.scenario import Scenario, replaced, resolve
from lifecycle.studies.assessment import Assessment, compared, of_doubt
from lifecycle.studies.doubt import Doubt
from lifecycle.studies.futures import DRAWS, SEED, Evaluator, Futures, futures, in_futures
from lifecycle.studies.habits import Habits, habits, with_own_row, years_shown
from lifecycle.studies.sampling import Contradiction
from lifecycle.studies.verdict import last_year_needed

ASKED = {
    "owner.holding_period": 2,
    "owner.hour_value": 1,
    "figures.shop_reseal_cost": 1,
    "figures.coating_quote": 3,
    "existing.age": 4,
    "existing.seal_age": 4,
    "coach.length": 5,
}
"""Figures that an answer gives, by path, with the number of the question: they are changed up there."""

SECTIONS = ("study", "owner", "leaks", "figures", "roofs", "existing", "coach", "climate")
"""Sections of a file in which a figure can be changed on a page."""

NAME = "my-roof.toml"
"""Of the file to keep, unless it came from one."""

MOST_BACK = 100
"""Changes that can be undone."""

Check = Callable[[], None]
"""Raises where the work is not wanted any more."""


# ---- what is entered ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Entered:
    """What has been entered.

    Parameters
    ----------
    base_date : date
        Day from which the comparison counts.
    answers : mapping
        Answers to the seven questions, lengths in feet; only those that were given.
    changed : mapping of str to Figure
        Figures that were changed by hand, by path.
    units : str
        Units of the page: "us" or "metric".
    by_hand : Scenario or None
        A file that stands in the place of the answers.
    other_ways : bool
        Whether the ways that stand aside are compared too.
    last : tuple of str
        What was changed last, in plain words; several where a file was loaded.
    """

    base_date: date
    answers: Mapping[str, Any] = field(default_factory=dict)
    changed: Mapping[str, Figure] = field(default_factory=dict)
    units: str = "us"
    by_hand: Scenario | None = None
    other_ways: bool = False
    last: tuple[str, ...] = ()


def answered(entered: Entered, key: str, value: Any) -> Entered:
    """Return what is entered after one more answer.

    Examples
    --------
    >>> one = answered(Entered(date(2027, 4, 1)), "keep", 8)
    >>> dict(one.answers), one.last
    ({'keep': 8}, ('how long you will keep it',))
    """
    return replace(entered, answers=with_one(entered.answers, key, value), last=(parts()[key].short,))


def with_one(given: Mapping[str, Any], key: str, value: Any) -> dict[str, Any]:
    """Return what was given with one more value, the last; None takes it away.

    Examples
    --------
    >>> with_one({"keep": 8, "quote": 1}, "keep", 9), with_one({"keep": 8}, "keep", None)
    ({'quote': 1, 'keep': 9}, {})
    """
    kept = {name: old for name, old in given.items() if name != key}
    return kept if value is None else {**kept, key: value}


def with_figure(entered: Entered, figure: Figure, shown: Figure | None) -> Entered:
    """Return what is entered after a figure was changed, or put back."""
    changed = with_one(entered.changed, figure.path, shown)
    return replace(entered, changed=changed, last=(the_input(figure),))


def still_needed(entered: Entered) -> tuple[int, ...]:
    """Return the numbers of the questions without which nothing can be said.

    Examples
    --------
    >>> still_needed(Entered(date(2027, 4, 1), {"keep": 8}))
    (1, 3, 4)
    """
    if entered.by_hand is not None:
        return ()
    return tuple(
        question.number
        for question in questions()
        if any(part.needed and part.key not in entered.answers for part in question.parts)
    )


def objection(answers: Mapping[str, Any]) -> str:
    """Say what does not fit together among the answers given so far, or ""."""
    return next(map(does_not_fit, contradictions(answers)), "")


def does_not_fit(wrong: Fault, place: str = "") -> str:
    """Say that something entered does not fit, and what to do about it."""
    remedy = f" {capital(wrong.remedy)}." if wrong.remedy else ""
    return f"{say('pages.does_not_fit', place=place or say('asking.it'), rule=wrong.rule)}{remedy}"


def refused(name: str, got: str = "", **slots: str) -> ScenarioError:
    """Return the error whose place, rule and remedy stand among the words under a name."""
    place, rule, remedy = (words(name)[one].format(**slots) for one in ("place", "rule", "remedy"))
    return fault(place, rule, got, remedy)


def scenario_of(entered: Entered) -> Scenario:
    """Return the scenario that was entered."""
    scenario = plain(entered)
    here = {path: figure for path, figure in entered.changed.items() if path in scenario.inputs}
    return files.filed(replaced(scenario, here), apart=True) if here else scenario


def plain(entered: Entered) -> Scenario:
    """Return the scenario without the figures that were changed by hand."""
    scenario = entered.by_hand
    if scenario is None:
        text = scenario_text(entered.answers, base_date=entered.base_date)
        scenario = files.loads(text, say("pages.your_answers"))
    return replace(with_other_ways(scenario) if entered.other_ways else scenario, units=entered.units)


def from_scenario(scenario: Scenario) -> Entered:
    """Return what was entered to make a scenario."""
    from lifecycle.interview.typed import in_feet

    named = (say("pages.the_file", name=scenario.source),)
    answers = in_feet(scenario.answers, scenario.units)
    changed = changed_since(scenario) if answers else None
    if changed is None or not set(answers) <= set(parts()):
        return Entered(scenario.base_date, units=scenario.units, by_hand=scenario, last=named)
    figures = {now.path: now for _, now in changed}
    return Entered(scenario.base_date, answers, figures, scenario.units, last=named)


def can_be_written(figure: Figure) -> bool:
    """Whether a figure has a place of its own in a file."""
    section, *rest = figure.path.split(".")
    return section in SECTIONS and len(rest) == (2 if section == "roofs" else 1)


def file_name(entered: Entered) -> str:
    """Return the name under which a file is kept."""
    source = entered.by_hand.source if entered.by_hand is not None else ""
    last = source.replace("\\", "/").rpartition("/")[2]
    return last if last.endswith(".toml") else NAME


# ---- the answer -----------------------------------------------------------------------------------


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
    """Works answers out, and keeps what the next one may need."""

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
    subject = scenario.subject
    terms = scenario, case, float(case.terms.holding_period), case.terms.study_period
    return Comparison(*terms, case.base_case.name, subject.name if subject else None, {}, (), None, None)


# ---- the tab --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Shows:
    """What a page does with what comes.

    Parameters
    ----------
    entered : callable
        Takes a state that did not come from the fields: they have to show it.
    needed : callable
        Takes the numbers of the questions that still have to be answered; there is no answer.
    working : callable
        Takes what was changed, in plain words.
    first, whole : callable
        Take an answer: its first lines, all of it.
    failed : callable
        Takes an error; the last answer stays.
    table : callable or None
        Takes the table of 20s and its answer; None: the page has none, and none is worked out.
    draw : callable or None
        Draws the chart of an answer beside the page, once its words are there; what it returns shows it.
    """

    entered: Callable[[Entered], object]
    needed: Callable[[tuple[int, ...]], object]
    working: Callable[[tuple[str, ...]], object]
    first: Callable[[Answer], object]
    whole: Callable[[Answer], object]
    failed: Callable[[BaseException], object]
    table: Callable[[Habits | None, Answer], object] | None = None
    draw: Callable[[Answer], Show] | None = None


class Session:
    """What is entered in one tab; a comparison counts from `today`."""

    def __init__(self, shows: Shows, today: date, answering: Answering | None = None) -> None:
        self._shows, self._today = shows, today
        self._answering = answering or Answering()
        self._worker = Worker(shows.failed, loop_of_page())
        self._before: list[Entered] = []
        self.entered = Entered(today)
        self.scenario: Scenario | None = None
        self.answer: Answer | None = None

    @property
    def can_undo(self) -> bool:
        """Whether there is a state to go back to."""
        return bool(self._before)

    def take(self, key: str, value: Any) -> str:
        """Take an answer."""
        if self.entered.answers.get(key) == value:
            return ""
        new = answered(self.entered, key, value)
        if wrong := objection(new.answers):
            return wrong
        self.enter(new)
        return ""

    def take_figure(self, plain: Figure, changed: Figure | None) -> None:
        """Take a figure in the place of another."""
        self.enter(with_figure(self.entered, plain, changed))

    def use_units(self, units: str) -> None:
        """Show the page in other units; nothing else changes."""
        if units != self.entered.units:
            self.enter(replace(self.entered, units=units, last=(say("pages.the_units"),)), back=False)
            self._shows.entered(self.entered)

    def use_other_ways(self) -> None:
        """Compare the ways that stand aside too, or leave them aside again."""
        other = not self.entered.other_ways
        self.enter(replace(self.entered, other_ways=other, last=(say("pages.other_ways.last"),)))

    def open(self, scenario: Scenario) -> None:
        """Enter what a scenario was made from."""
        self.enter(from_scenario(scenario))
        self._shows.entered(self.entered)

    def undo(self) -> None:
        """Go back to the state before."""
        if self._before:
            last = self._before.pop()
            self.enter(replace(last, last=(say("pages.going_back"),)), back=False)
            self._shows.entered(self.entered)

    def start_over(self, *, for_good: bool = False) -> None:
        """Empty the page; for good, nothing of the one before is kept, else it can be undone."""
        self._answering = Answering()
        self.enter(Entered(self._today, units=self.entered.units), back=not for_good)
        if for_good:
            self._before.clear()
        self._shows.entered(self.entered)

    def enter(self, new: Entered, *, back: bool = True) -> None:
        """Take a new state, and work out what follows; the fields that made it show it already."""
        needed = still_needed(new)
        scenario = None if needed else scenario_of(new)
        if back:
            self._before = [*self._before, self.entered][-MOST_BACK:]
        self.entered, self.scenario = new, scenario
        if scenario is None:
            self._worker.give_up()
            self.answer = None
            self._shows.needed(needed)
        else:
            self._shows.working(new.last)
            self._worker.start(lambda job: self._work(scenario, job))

    def _work(self, scenario: Scenario, job: Job) -> None:
        """Work an answer out, part by part."""
        shows, answering = self._shows, self._answering

        def begin(answer: Answer) -> None:
            job.show(lambda: shows.first(answer))
            if shows.draw is not None:
                job.show(shows.draw(answer))

        first = answering.first(scenario, job.check)
        if first is not None:
            begin(first)
        whole = answering.whole(scenario, job.check)
        if first is None:
            begin(whole)

        def show_whole() -> None:
            self.answer = whole
            shows.whole(whole)

        job.show(show_whole)
        show_table = shows.table
        if show_table is None:
            return
        try:
            table = answering.table(scenario, job.check)
        except ScenarioError:
            table = None
        job.show(lambda: show_table(table, whole))
