"""The page on doubt: what would change the answer, what brings the doubt, a map of two figures, and when.

Lecture
-------
What moves the answer one figure at a time is worked out at once. Indices, the map and the dates take
longer: each has its button, says how far it is, and can be given up. The lists of the map hold the
figures that move the answer most; any other that may be a range is found by a word of its name.

Indices by default from few points, with error bars that show it; the fine ones are those of the command.

Left out: how many futures are cheaper, which is the owner's page.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import ipywidgets

from lifecycle.language.labels import HEADINGS, input_name
from lifecycle.pages.panels.figure_fields import SHORT, Finder
from lifecycle.pages.panels.guard import sentence_of
from lifecycle.pages.panels.measured import Measure, Measured, Show
from lifecycle.pages.panels.pictures import shown_chart
from lifecycle.pages.panels.study_page import StudyPage, below, parts_of, said, title
from lifecycle.pages.panels.words_on_page import paragraphs
from lifecycle.pages.panels.working import Job, Worker, loop_of_page
from lifecycle.scenario import Scenario
from lifecycle.writers.html import as_parts

if TYPE_CHECKING:
    from lifecycle.evaluation.comparison import Comparison

FOLLOWS = "Where each figure changes the answer is being worked out."

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario with which the page opens."""

NOT_RUNNING = "The page on doubt: what would change the answer. It shows itself where the notebook runs."
OPEN_FIRST = (
    "Trouble is reported: open the roof first. Nothing is compared, so nothing can change the answer."
)
TWICE = "Choose two different figures."

QUICK = 128
"""Points of quick indices."""

DRAWS = 1024
"""Futures behind the dates."""


class DoubtPage(StudyPage):
    """The page on doubt; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario
        With which it opens.
    name : str
        In the list of shipped ones.
    draws : int
        Futures behind the dates.
    """

    def __init__(self, scenario: Scenario, name: str = "", draws: int = DRAWS) -> None:
        super().__init__(scenario, name, NOT_RUNNING)
        self._draws = draws
        self._follows = Worker(self._failed, loop_of_page())
        self.open(scenario)

    def _made(self) -> list[Any]:
        """Make the parts."""
        from lifecycle.evaluation.comparison import compare

        self._follows.give_up()
        if self.scenario.trouble:
            return [said(OPEN_FIRST)]
        self._comparison = compare(self.scenario)
        self._figures = map_inputs(self._comparison)
        self.lists = self._lists()
        self.find = Finder(self._find, self.say)
        self._find()
        self.fineness = ipywidgets.Dropdown(
            description="How fine",
            options=[("quick, wide error bars", QUICK), ("as the command does it", 0)],
            tooltip="How fine",
        )
        self.indices = Measured("Work the shares out", self._indices)
        self.map = Measured("Draw the map", self._map)
        self.timing = Measured("Work the dates out", self._timing)
        return [
            *self._first(),
            title("What brings the doubt"),
            said("How much of the spread of the answer each figure brings, alone and with all it does."),
            _bar(self.fineness),
            self.indices.box,
            title("Two figures at once"),
            said("All others lie as the futures have them. The answer changes at the thick line."),
            _bar(self.find.field),
            self.find.said,
            _bar(*self.lists),
            self.map.box,
            title(HEADINGS["timing"]),
            said("What each date of the change costs, and each interval between full reseals."),
            self.timing.box,
        ]

    def _first(self) -> list[Any]:
        """Return what moves the answer, one figure at a time; where it turns follows."""
        self.turns, self.bars, self.list = said(FOLLOWS), ipywidgets.VBox(), ipywidgets.HTML()
        self._follows.start(self._where_it_turns)
        beside = ipywidgets.Box([self.bars, self.list])
        beside.add_class("lc-beside-each")
        return [self.turns, beside]

    def _where_it_turns(self, job: Job) -> None:
        """Find out where each figure changes the answer."""
        from lifecycle.answers.sensitivity import first_sentence, listed_blocks, what_changes
        from lifecycle.charts import swings

        found = what_changes(self.scenario, told=Measure(job, lambda *_: None))
        bars = shown_chart(swings(self._comparison, moved=found.swings))
        first, rest = paragraphs([first_sentence(found)]), as_parts(listed_blocks(found))
        job.show(lambda: self._show_changes(first, bars, rest))

    def _show_changes(self, first: str, bars: Any, rest: str) -> None:
        """Show how far each figure moves the answer, and where it changes."""
        self.turns.value, self.bars.children, self.list.value = first, (bars,), rest

    def _failed(self, error: BaseException) -> None:
        """Say what went wrong; what stands there stays."""
        self.say(sentence_of(error))

    def _lists(self) -> list[Any]:
        """Return two lists of figures, those that move the answer most first."""
        options = [(label, path) for path, label in self._figures.items()]
        ends = zip(("Across", "Up"), (0, 1), strict=True)
        return [
            ipywidgets.Dropdown(
                description=name,
                options=options,
                value=options[min(place, len(options) - 1)][1] if options else None,
                tooltip=name,
            )
            for name, place in ends
        ]

    def _find(self) -> None:
        """Shorten the lists to the figures whose name holds what is typed; what is chosen stays."""
        among = self.find.among(self._figures)
        found = list(self._figures)[:SHORT] if among is None else among
        for one in self.lists:
            chosen = one.value
            kept = [(name, path) for path, name in self._figures.items() if path in (*found, chosen)]
            one.options, one.value = kept, chosen
        self.find.tell("first" if among is None else "found", len(found), len(self._figures))

    def _indices(self, job: Job, measure: Measure) -> Show:
        """Work indices out."""
        from lifecycle.charts import indices
        from lifecycle.studies import sensitivity as study

        measure.step("shares of the spread")
        points = self.fineness.value or study.BASE_POINTS
        found = study.indices(self.scenario, points=points, progress=measure.part)
        job.check()
        return partial(_children, shown_chart(indices(found)))

    def _map(self, job: Job, measure: Measure) -> Show:
        """Draw the map of two figures."""
        from lifecycle.charts import answer_map
        from lifecycle.studies.sensitivity import two_way_map

        across, up = (one.value for one in self.lists)
        if across == up or across is None:
            return partial(_children, said(TWICE))
        measure.step("the map")
        try:
            found = two_way_map(self.scenario, across, up, progress=measure.part)
        except ValueError as error:
            return partial(_children, said(f"There is no such map: {error}."))
        job.check()
        notes = said(*(f"{note[0].upper()}{note[1:]}." for note in found.notes))
        return partial(_children, notes, shown_chart(answer_map(found, self.scenario)))

    def _timing(self, job: Job, measure: Measure) -> Show:
        """Work out now, later or never."""
        from lifecycle.answers.timing import timing_answer
        from lifecycle.studies.timing import timing

        measure.step("dates of the change, and intervals between reseals")
        found = timing(self.scenario, draws=self._draws, progress=measure.part)
        job.check()
        return partial(_children, *parts_of(timing_answer(self.scenario, found)))


def map_inputs(comparison: Comparison) -> dict[str, str]:
    """Return the figures that a map may have, by path with their plain names."""
    moving = [swing.figure for swing in comparison.swings]
    figures = comparison.scenario.inputs.values()
    others = [figure for figure in figures if figure.field.ranged and figure.likely]
    return {figure.path: input_name(figure) for figure in [*moving, *others]}


def _children(*widgets: Any) -> list[Any]:
    """Return what is shown."""
    return [below(*widgets)]


def _bar(*widgets: Any) -> Any:
    """Return controls beside each other."""
    box = ipywidgets.Box(list(widgets))
    box.add_class("lc-bar")
    return box
