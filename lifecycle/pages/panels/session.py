"""One tab of a page: what is entered, what was before, and the answers that follow from it.

Lecture
-------
Every change goes one way: it is checked, becomes the new state, and starts the work; what comes of it is
handed to whoever shows it, part by part:

    needed -> nothing can be said yet        working -> what stands there is old now
    first -> the word, then its chart        whole -> every way        table -> the table of 20s

A change that cannot be is refused and nothing moves: the last good state and its answer stay. A change
that comes while work is under way replaces it.

Left out: widgets.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.language.sentences import say
from lifecycle.pages.panels.answering import Answer, Answering
from lifecycle.pages.panels.state import (
    Entered,
    answered,
    from_scenario,
    objections,
    scenario_of,
    still_needed,
    with_figure,
)
from lifecycle.pages.panels.working import Job, Show, Worker, loop_of_page
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.habits import Habits

MOST_BACK = 100
"""Changes that can be undone."""


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
    """What is entered in one tab.

    Parameters
    ----------
    shows : Shows
        What the page does with what comes.
    today : date
        Day from which a comparison counts.
    answering : Answering or None
        Works answers out.
    """

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
        for fault in objections(new):
            remedy = f" {fault.remedy[0].upper()}{fault.remedy[1:]}." if fault.remedy else ""
            return f"This does not fit: it {fault.rule}.{remedy}"
        self._move_to(new)
        return ""

    def take_figure(self, plain: Figure, changed: Figure | None) -> None:
        """Take a figure in the place of another."""
        new = with_figure(self.entered, plain, changed)
        scenario_of(new)
        self._move_to(new)

    def use_units(self, units: str) -> None:
        """Show the page in other units; nothing else changes."""
        if units != self.entered.units:
            self._move_to(replace(self.entered, units=units, last=("the units",)), back=False)
            self._shows.entered(self.entered)

    def use_other_ways(self) -> None:
        """Compare the ways that stand aside too, or leave them aside again."""
        other = not self.entered.other_ways
        self._move_to(replace(self.entered, other_ways=other, last=(say("pages.other_ways.last"),)))

    def load(self, name: str, content: bytes) -> None:
        """Load a scenario file."""
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = "\0"
        self.open(files.loads(text, name))

    def open(self, scenario: Scenario) -> None:
        """Enter what a scenario was made from."""
        self._move_to(from_scenario(scenario))
        self._shows.entered(self.entered)

    def enter(self, new: Entered) -> None:
        """Enter a state that another face made; the fields that made it show it already."""
        self._move_to(new)

    def undo(self) -> None:
        """Go back to the state before."""
        if self._before:
            last = self._before.pop()
            self._move_to(replace(last, last=(say("pages.going_back"),)), back=False)
            self._shows.entered(self.entered)

    def start_over(self, *, for_good: bool = False) -> None:
        """Empty the page; for good, nothing of the one before is kept, else it can be undone."""
        self._answering = Answering()
        self._move_to(Entered(self._today, units=self.entered.units), back=not for_good)
        if for_good:
            self._before.clear()
        self._shows.entered(self.entered)

    def _move_to(self, new: Entered, *, back: bool = True) -> None:
        """Take a new state, and work out what follows."""
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
