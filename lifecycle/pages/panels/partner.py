"""The partner's turn: the same seven questions, answered by somebody else, and why the two differ.

Lecture
-------
The second set of answers is kept apart from the first. When both are there, the difference of the two
answers is split by cause (`studies.difference`), and said in a sentence: how much of it is what each
would do otherwise, how long each keeps the coach, and so on.

Left out: who is right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets

from lifecycle.errors import Fault, ScenarioError
from lifecycle.language.sentences import say
from lifecycle.pages.panels.folds import OnDemand
from lifecycle.pages.panels.guard import Say
from lifecycle.pages.panels.questions import Questions
from lifecycle.pages.panels.state import Entered, answered, objections, scenario_of, still_needed
from lifecycle.pages.panels.words_on_page import paragraphs
from lifecycle.pages.panels.working import Job
from lifecycle.scenario import Scenario

if TYPE_CHECKING:
    from lifecycle.studies.difference import Difference

SHOWN = 6
"""Causes that are listed."""


class Partner:
    """The second set of answers.

    Parameters
    ----------
    first : callable
        Returns the scenario of the first set, or None.
    empty : Entered
        Nothing entered yet: day and units.
    say : callable
        Shows a sentence in the status line.
    compared : callable
        Called when the two are compared: what was covered may be seen again.
    """

    def __init__(
        self,
        first: Callable[[], Scenario | None],
        empty: Entered,
        say: Say,
        compared: Callable[[], object] = lambda: None,
    ) -> None:
        self._first, self._entered, self._compared = first, empty, compared
        self.questions = Questions(self._take, say, empty.units)
        self.demand = OnDemand("Where do we differ?", self._work)
        self.box = ipywidgets.VBox(
            [
                ipywidgets.HTML(paragraphs([SAID])),
                self.questions.box,
                self.demand.box,
            ]
        )

    def _take(self, key: str, value: Any) -> str:
        """Take an answer of the partner."""
        new = answered(self._entered, key, value)
        for fault in objections(new):
            return f"This does not fit: it {fault.rule}."
        self._entered = new
        self.demand.old()
        return ""

    def _work(self, job: Job, told: Callable[[str], None]) -> Callable[[], list[Any]]:
        """Split the difference by cause."""
        from lifecycle.answers.difference import (
            LEAST_LISTED,
            agreement,
            causes_table,
            first_sentence,
            what_to_do,
        )
        from lifecycle.studies.difference import difference
        from lifecycle.writers.html import as_parts

        one, other = self._first(), self._second()
        if one is None:
            fault = Fault("the first set of answers", "must be there", remedy="answer questions 1 to 4 above")
            raise ScenarioError([fault])
        if one.trouble or other.trouble:
            fault = Fault("trouble", "was seen", remedy="open the roof first, nothing is compared")
            raise ScenarioError([fault])

        def progress(done: int, whole: int) -> None:
            job.check()
            told(f"{done:,} of {whole:,} mixed answers")

        found = by_titles(difference(one, other, progress=progress), one, other)
        said = first_sentence(found, other.currency).replace(
            "the second being", "your partner's answer being"
        )
        you, partner = what_to_do(one), what_to_do(other)
        both = agreement((you, partner))
        if you != partner:
            both = say("pages.partner.disagree", you=you, partner=partner)
        one_case = found.draws == 1
        slots = {} if one_case else {"draws": f"{found.draws:,}"}
        method = say("pages.partner.one_case" if one_case else "pages.partner.method", **slots)
        shown = paragraphs([both, said, f"{method} {RESULT}"])
        if any(abs(cause.amount) >= LEAST_LISTED for cause in found.causes):
            shown += as_parts([causes_table(found, heads="partners", last=SHOWN)])

        def show() -> list[Any]:
            self._compared()
            return [ipywidgets.HTML(shown)]

        return show

    def _second(self) -> Scenario:
        """Return the partner's scenario."""
        needed = still_needed(self._entered)
        if needed:
            numbers = " and ".join(str(number) for number in needed)
            fault = Fault(
                "your partner's answers", f"must have questions {numbers}", remedy="answer them above"
            )
            raise ScenarioError([fault])
        return scenario_of(self._entered)


def by_titles(found: Difference, first: Scenario, second: Scenario) -> Difference:
    """Name what each would do otherwise by its title alone, without key and path of the plan."""
    from lifecycle.studies.difference import OTHERWISE

    names = found.ways_first[1], found.ways_second[1]
    titles = [
        next(way.title for way in scenario.alternatives if way.name == name)
        for scenario, name in zip((first, second), names, strict=True)
    ]
    causes = (
        replace(cause, first=titles[0], second=titles[1]) if cause.key == OTHERWISE else cause
        for cause in found.causes
    )
    return replace(found, causes=tuple(causes))


SAID = (
    "Let your partner answer the seven questions alone, without looking at yours. Then see how much of the "
    "difference is the coach, and how much is the two of you."
)
"""What the partner's turn is for."""

RESULT = "Nobody is right because of it."
"""Below the sentence."""
