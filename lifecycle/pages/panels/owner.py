"""The owner's page: seven questions, the verdict above them, and what hangs on it.

Lecture
-------
The verdict stands at the top and never scrolls away. Left the questions, right the answer: what next, the
chart, the table of 20s. Below, folded away: the case for and the case against, the ways side by side, now
or later or never, the partner's turn, the papers, and every figure with where it comes from.

A page that was opened with a file shows its answers; a file without answers is shown with the figures
that move it most.

Left out: what a page says before and after (the notebook), and the server.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import ipywidgets

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.claims import case_lines
from lifecycle.language.labels import HEADINGS
from lifecycle.language.sentences import words
from lifecycle.pages.panels.answering import Answer
from lifecycle.pages.panels.arriving import arrival
from lifecycle.pages.panels.figure_fields import FigureLine, Figures
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.guard import guarded, sentence_of
from lifecycle.pages.panels.measured import Measure, Measured, Show
from lifecycle.pages.panels.paper_links import PaperLinks
from lifecycle.pages.panels.partner import Partner
from lifecycle.pages.panels.pictures import shown_chart
from lifecycle.pages.panels.questions import Questions
from lifecycle.pages.panels.results import Results, instead
from lifecycle.pages.panels.saving import file_name, scenario_file
from lifecycle.pages.panels.session import Session, Shows
from lifecycle.pages.panels.state import Entered, plain, still_needed
from lifecycle.pages.panels.style import style_sheet
from lifecycle.pages.panels.top_bar import TopBar, Wanted
from lifecycle.pages.panels.verdict_box import VerdictBox
from lifecycle.pages.panels.words_on_page import paragraphs, part
from lifecycle.pages.panels.working import Job
from lifecycle.scenario import Scenario
from lifecycle.studies.doubt import averaged
from lifecycle.studies.habits import Habits

AFTER_ANSWERS = "This is worked out when the first four questions are answered."
OPEN_FIRST = "Nothing is compared before the roof has been opened."
BY_HAND = (
    "This file was written by hand, so the seven questions are not asked. The figures that move its answer "
    "most can be changed here, all of them below."
)
NOT_RUNNING = "The owner's page: seven questions and their answer. It shows itself where the notebook runs."
"""In the place of the page where nothing runs."""

MOVING = 6
"""Figures shown of a file without answers, those that move it most."""


class OwnerPage:
    """The owner's page; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario or None
        With which it was opened.
    today : date or None
        Day from which a comparison counts; None: today.
    """

    def __init__(self, scenario: Scenario | None = None, today: date | None = None) -> None:
        self.verdict = VerdictBox()
        self.bar = TopBar(Wanted(self._units, self._undo, self._start_over, self._load))
        self.results = Results(lambda: self.session.use_other_ways(), self.bar.say)
        self.session = Session(self._shows(), today or date.today())
        self.questions = Questions(self.session.take, self.bar.say)
        self.figures = Figures(self._figure, self.bar.say)
        self._left = ipywidgets.VBox([self.questions.box])
        self.folds = {
            name: Fold(title, fill, self.bar.say, self._cover if name == "partner" else lambda _: None)
            for name, title, fill in self._folds()
        }
        self.papers, self.timing = PaperLinks(self._scenario), Measured("Work it out", self._timing)
        self.partner: Partner | None = None
        self._left.add_class("lc-asked")
        panel = ipywidgets.VBox([self.verdict.box, self.verdict.said, self.results.box])
        panel.add_class("lc-panel")
        self.columns = ipywidgets.Box([self._left, panel])
        self.columns.add_class("lc-columns")
        self.covered = ipywidgets.HTML(
            paragraphs([words("pages.partner.covered")], kind="lc-note"), layout={"display": "none"}
        )
        folds = ipywidgets.VBox([fold.box for fold in self.folds.values()])
        folds.add_class("lc-folds")
        style = ipywidgets.HTML(style_sheet())
        self.box = ipywidgets.VBox([style, self.bar.box, self.bar.status, self.columns, self.covered, folds])
        self.box.add_class("lc-page")
        self.box.children = [*self.box.children, arrival(self.box)]
        self._needed(still_needed(self.session.entered))
        if scenario is not None:
            guarded(self.session.open, self.bar.say)(scenario)

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Show the page in a notebook; where none runs, a sentence."""
        shown = self.box._repr_mimebundle_(**options)
        data: dict[str, Any] = shown[0] if isinstance(shown, tuple) else shown
        return {**data, "text/plain": NOT_RUNNING}

    def _shows(self) -> Shows:
        """Return what is done with what comes."""
        return Shows(
            entered=self._entered,
            needed=self._needed,
            working=self._working,
            first=self.verdict.show,
            whole=self._whole,
            table=self._table,
            failed=self._failed,
            draw=self.results.draw,
        )

    def _folds(self) -> list[tuple[str, str, Callable[[], list[Any]]]]:
        """Return name, title and content of what is folded away."""
        return [
            ("case", "The case for, and the case against", self._case),
            ("ways", "Every way, and where the money goes", self._ways),
            ("timing", HEADINGS["timing"], lambda: [self.timing.box]),
            ("partner", "The partner's turn", self._partners_turn),
            ("papers", HEADINGS["report"], lambda: [self.papers.box]),
            ("figures", HEADINGS["figures"], self._all_figures),
        ]

    def _scenario(self) -> Scenario | None:
        """Return what is entered, if it is a scenario."""
        return self.session.scenario

    def _entered(self, entered: Entered) -> None:
        """Show a state that did not come from the fields."""
        self.bar.show_units(entered.units)
        if self.questions.units != entered.units:
            self.questions = Questions(self.session.take, self.bar.say, entered.units)
        self.questions.show(entered.answers)
        self.questions.mark(still_needed(entered))
        self._left.children = [self.questions.box] if entered.by_hand is None else self._by_hand()
        self.folds["figures"].renew()

    def _needed(self, numbers: tuple[int, ...]) -> None:
        """Say what has to be answered first."""
        self.questions.mark(numbers)
        self.verdict.needed(numbers)
        self.columns.add_class("lc-empty")
        self.results.clear()
        self._follow()
        for fold in self.folds.values():
            fold.renew()

    def _working(self, moved: tuple[str, ...]) -> None:
        """Mark what stands there as old."""
        self.questions.mark(())
        self.verdict.working(moved)
        self.columns.remove_class("lc-empty")
        self.results.old()
        self._follow()

    def _follow(self) -> None:
        """Let undo, save and old results follow what is entered."""
        self.bar.say("")
        self.bar.undo.disabled = not self.session.can_undo
        entered = self.session.entered
        here = self.session.scenario is not None
        self.bar.offer((file_name(entered), scenario_file(entered)) if here else None)
        for demand in (self.timing, self.papers.demand, self.partner.demand if self.partner else None):
            if demand is not None:
                demand.old()

    def _whole(self, answer: Answer) -> None:
        """Show what hangs on every way."""
        self.verdict.show(answer)
        self.results.show_whole(answer)
        self.results.offer(len(answer.scenario.aside), taken=self.session.entered.other_ways)
        self.folds["case"].renew()
        self.folds["ways"].renew()
        if self.session.entered.by_hand is not None and not self._left_lines:
            self._left.children = self._by_hand()

    @property
    def _left_lines(self) -> bool:
        """Whether the figures of a file stand on the left already."""
        return len(self._left.children[0].children) > 1

    def _table(self, habits: Habits | None, answer: Answer) -> None:
        """Show the table of 20s."""
        self.results.show_table(habits, answer)

    def _failed(self, error: BaseException) -> None:
        """Say what went wrong; the last good answer stays."""
        self.verdict.failed()
        self.bar.say(sentence_of(error))

    def _units(self, units: str) -> None:
        """Show the page in other units."""
        self.session.use_units(units)

    def _undo(self) -> None:
        """Go back to the state before."""
        self.session.undo()

    def _start_over(self) -> None:
        """Empty the page; it can be undone."""
        self.partner = None
        self.session.start_over()

    def _load(self, name: str, content: bytes) -> None:
        """Load a file."""
        self.session.load(name, content)
        self.bar.say(f"Loaded: {name}.")

    def _figure(self, old: Any, changed: Any) -> None:
        """Take a changed figure."""
        self.session.take_figure(old, changed)

    def _by_hand(self) -> list[Any]:
        """Return the figures that move a file without answers most."""
        said = ipywidgets.HTML(paragraphs([BY_HAND]))
        answer, scenario = self.session.answer, self.session.scenario
        if answer is None or scenario is None:
            return [_in_first([said])]
        base = plain(self.session.entered)
        paths = [swing.figure.path for swing in answer.comparison.swings[:MOVING]]
        lines = [
            FigureLine(
                base.inputs[path], scenario.inputs[path], scenario, self._figure, self.bar.say, free=True
            )
            for path in paths
        ]
        return [_in_first([said, *(line.box for line in lines)])]

    def _case(self) -> list[Any]:
        """Return the case for and the case against."""
        answer = self.session.answer
        if answer is None:
            return [ipywidgets.HTML(paragraphs([AFTER_ANSWERS]))]
        lines = case_lines(answer.comparison, answer.found.doubt if answer.found else None)
        if not lines.for_:
            return [ipywidgets.HTML(paragraphs([OPEN_FIRST]))]
        said = words("pages.case")
        return [ipywidgets.HTML(part("sides", (said["for"], lines.for_), (said["against"], lines.against)))]

    def _ways(self) -> list[Any]:
        """Return what the leading way, spraying and the owner's habit cost by year; below, every way."""
        answer = self.session.answer
        if answer is None or answer.found is None:
            return [ipywidgets.HTML(paragraphs([AFTER_ANSWERS if answer is None else OPEN_FIRST]))]
        if table := instead(answer):
            return [ipywidgets.HTML(table)]
        from lifecycle.charts import cost_of_owning

        compared = averaged(answer.comparison, answer.found.doubt)
        leads = answer.verdict.parts.leads
        shown = (leads, compared.subject, compared.base_case)
        few = {name: way for name, way in compared.ways.items() if name in shown}
        said = ipywidgets.HTML(paragraphs([words("pages.ways.three")]))
        every = Fold(words("pages.ways.every"), lambda: [self._every_way(compared)], self.bar.say)
        return [said, shown_chart(cost_of_owning(replace(compared, ways=few))), every.box]

    def _every_way(self, compared: Comparison) -> Any:
        """Return charts of every way."""
        from lifecycle.charts import cost_by_category, cost_of_owning

        pair = ipywidgets.Box([shown_chart(draw(compared)) for draw in (cost_by_category, cost_of_owning)])
        pair.add_class("lc-pair")
        return pair

    def _timing(self, job: Job, measure: Measure) -> Show:
        """Work out now, later or never."""
        from lifecycle.answers.timing import last_day_sentence, when_sentence
        from lifecycle.charts import when_to_change
        from lifecycle.studies.timing import timing

        scenario = self.session.scenario
        if scenario is None or scenario.trouble:
            said = AFTER_ANSWERS if scenario is None else OPEN_FIRST
            return lambda: [ipywidgets.HTML(paragraphs([said]))]
        measure.step("dates of the change, and intervals between reseals")
        found = timing(scenario, progress=measure.part)
        job.check()
        drawn = shown_chart(when_to_change(found, currency=scenario.currency))
        sentences = [when_sentence(scenario, found), last_day_sentence(found, scenario.currency)]
        return lambda: [ipywidgets.HTML(paragraphs(sentences)), drawn]

    def _partners_turn(self) -> list[Any]:
        """Return the partner's questions."""
        if self.partner is None:
            entered = self.session.entered
            self.partner = Partner(
                self._scenario,
                Entered(entered.base_date, units=entered.units),
                self.bar.say,
                lambda: self._cover(False),
            )
        return [self.partner.box]

    def _cover(self, covered: bool) -> None:
        """Cover the first verdict and its answers while the partner answers; or show them again."""
        self.columns.layout.display = "none" if covered else ""
        self.covered.layout.display = "" if covered else "none"
        for name, fold in self.folds.items():
            fold.box.layout.display = "none" if covered and name != "partner" else ""

    def _all_figures(self) -> list[Any]:
        """Return every figure."""
        scenario = self.session.scenario
        if scenario is None:
            return [ipywidgets.HTML(paragraphs([AFTER_ANSWERS]))]
        return self.figures.shown(plain(self.session.entered), scenario)


def _in_first(children: list[Any]) -> Any:
    """Return what stands in the place of the first questions."""
    box = ipywidgets.VBox(children)
    box.add_class("lc-first")
    return box
