"""The owner's page: seven questions, the verdict beside them, and what hangs on it.

Lecture
-------
At the very top units, undo, start over, save and load. The verdict never scrolls away. Left the questions,
right the answer: what next, the chart, the table of 20s. Below, folded away: the case for and the case
against, the ways side by side, now or later or never, the partner's turn, the papers, and every figure with
where it comes from.

Nothing is kept until somebody asks: "Save" is a link that carries the file. A page that was opened with a
file shows its answers; a file without answers is shown with the figures that move it most.

The partner's turn is a second set of answers, kept apart from the first. When both are there, the difference
of the two answers is split by cause (`studies.difference`): how much of it is what each would do otherwise,
how long each keeps the coach, and so on. Who is right is not said.

Left out: what a page says before and after (the notebook), and the server.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import ipywidgets

from lifecycle import files
from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.claims import case_lines
from lifecycle.language.labels import HEADINGS, listed
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.fields import Questions
from lifecycle.pages.panels.figure_fields import Figures, figure_lines
from lifecycle.pages.panels.folds import AskedOnceMore, Fold, OnDemand, Shown
from lifecycle.pages.panels.pieces import (
    Page,
    Tell,
    as_text,
    below,
    beside,
    button,
    file_link,
    guarded,
    html,
    mark,
    paragraphs,
    part,
    put_away,
    said,
    sentence_of,
    shown_chart,
    style_sheet,
    upload,
    watched,
)
from lifecycle.pages.panels.results import PaperLinks, Results, VerdictBox, instead
from lifecycle.pages.panels.session import (
    Answer,
    Entered,
    Session,
    Shows,
    answered,
    file_name,
    objection,
    plain,
    refused,
    scenario_of,
    still_needed,
)
from lifecycle.pages.panels.worker import Measure
from lifecycle.scenario import Scenario
from lifecycle.studies.doubt import averaged

if TYPE_CHECKING:
    from lifecycle.studies.difference import Difference

MOVING = 6
"""Figures shown of a file without answers, those that move it most."""

CAUSES = 6
"""Causes of a difference that are listed."""


class OwnerPage(Page):
    """The owner's page; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario or None
        With which it was opened.
    today : date or None
        Day from which a comparison counts; None: today.
    """

    def __init__(self, scenario: Scenario | None = None, today: date | None = None) -> None:
        super().__init__("lc-page", say("pages.owner.not_running"))
        self.verdict = VerdictBox()
        self.session = Session(self._shows(), today or date.today())
        self.bar = TopBar(self.session, self._start_over, self._load, self.tell)
        self.results = Results(self.session.use_other_ways, self.tell)
        self.questions = Questions(self.session.take, self.tell)
        self.figures = Figures(self.session.take_figure, self.tell)
        self._left = below("lc-asked", self.questions.box)
        self.papers = PaperLinks(self._scenario)
        self.timing = OnDemand(say("pages.owner.work_out"), self._timing)
        self.partner: Partner | None = None
        self.folds = {
            name: Fold(title, fill, self.tell, self._cover if name == "partner" else lambda _: None)
            for name, title, fill in self._folds()
        }
        panel = below("lc-panel", self.verdict.box, self.verdict.said, self.results.box)
        self.columns = beside("lc-columns", self._left, panel)
        self.covered = said(say("pages.partner.covered"), kind="lc-note")
        put_away(self.covered)
        folds = below("lc-folds", *(fold.box for fold in self.folds.values()))
        self._lay_out(html(style_sheet()), self.bar.box, self.status, self.columns, self.covered, folds)
        self._needed(still_needed(self.session.entered))
        if scenario is not None:
            guarded(self.session.open, self.tell)(scenario)

    def _shows(self) -> Shows:
        """Return what is done with what comes."""
        return Shows(
            entered=self._entered,
            needed=self._needed,
            working=self._working,
            first=self.verdict.show,
            whole=self._whole,
            table=lambda habits, answer: self.results.show_table(habits, answer),
            failed=self._failed,
            draw=lambda answer: self.results.draw(answer),
        )

    def _folds(self) -> list[tuple[str, str, Shown]]:
        """Return name, title and content of what is folded away."""
        titles = words("pages.owner.folds")
        return [
            ("case", titles["case"], self._case),
            ("ways", titles["ways"], self._ways),
            ("timing", HEADINGS["timing"], lambda: [self.timing.box]),
            ("partner", titles["partner"], self._partners_turn),
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
            self.questions = Questions(self.session.take, self.tell, entered.units)
        self.questions.show(entered.answers)
        self.questions.mark(still_needed(entered))
        self._left.children = [self.questions.box] if entered.by_hand is None else self._by_hand()
        self.folds["figures"].renew()

    def _needed(self, numbers: tuple[int, ...]) -> None:
        """Say what has to be answered first."""
        self.questions.mark(numbers)
        self.verdict.needed(numbers)
        mark(self.columns, "lc-empty", True)
        self.results.clear()
        self._follow()
        for fold in self.folds.values():
            fold.renew()

    def _working(self, moved: tuple[str, ...]) -> None:
        """Mark what stands there as old."""
        self.questions.mark(())
        self.verdict.working(moved)
        mark(self.columns, "lc-empty", False)
        self.results.old()
        self._follow()

    def _follow(self) -> None:
        """Let undo, save and old results follow what is entered."""
        self.tell("")
        self.bar.follow()
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
        lines_stand = len(self._left.children[0].children) > 1
        if self.session.entered.by_hand is not None and not lines_stand:
            self._left.children = self._by_hand()

    def _failed(self, error: BaseException) -> None:
        """Say what went wrong; the last good answer stays, if there is one."""
        self.verdict.failed()
        self.tell(sentence_of(error, answered=self.session.answer is not None))

    def _start_over(self) -> None:
        """Empty the page; it can be undone."""
        self.partner = None
        self.session.start_over()

    def _load(self, name: str, content: bytes) -> None:
        """Load a file."""
        self.session.open(files.loads(as_text(content, name), name))
        self.tell(say("pages.loaded", name=name))

    def _by_hand(self) -> list[Any]:
        """Return the figures that move a file without answers most."""
        told = say("pages.owner.by_hand")
        answer, scenario = self.session.answer, self.session.scenario
        lines: list[Any] = []
        if answer is not None and scenario is not None:
            paths = [swing.figure.path for swing in answer.comparison.swings[:MOVING]]
            base, take = plain(self.session.entered), self.session.take_figure
            lines = figure_lines(paths, base, scenario, take, self.tell, free=True)
        return [below("lc-first", said(told), *lines)]

    def _case(self) -> list[Any]:
        """Return the case for and the case against."""
        answer = self.session.answer
        if answer is None:
            return [said(say("pages.owner.after_answers"))]
        lines = case_lines(answer.comparison, answer.found.doubt if answer.found else None)
        if not lines.for_:
            return [said(say("pages.owner.open_first"))]
        told = words("pages.case")
        return [html(part("sides", (told["for"], lines.for_), (told["against"], lines.against)))]

    def _ways(self) -> list[Any]:
        """Return what the leading way, spraying and the owner's habit cost by year; below, every way."""
        answer = self.session.answer
        if answer is None or answer.found is None:
            return [said(say(f"pages.owner.{'after_answers' if answer is None else 'open_first'}"))]
        if instead_of_charts := instead(answer):
            return [html(instead_of_charts)]
        from lifecycle.charts import cost_of_owning

        compared = averaged(answer.comparison, answer.found.doubt)
        leads = answer.verdict.parts.leads
        shown = (leads, compared.subject, compared.base_case)
        few = {name: way for name, way in compared.ways.items() if name in shown}
        every = Fold(say("pages.ways.every"), lambda: [_every_way(compared)], self.tell)
        chart = shown_chart(cost_of_owning(replace(compared, ways=few)))
        return [said(say("pages.ways.three")), chart, every.box]

    def _timing(self, measure: Measure) -> Shown:
        """Work out now, later or never."""
        from lifecycle.answers.timing import last_day_sentence, when_sentence
        from lifecycle.charts import when_to_change
        from lifecycle.studies.timing import timing

        scenario = self.session.scenario
        if scenario is None or scenario.trouble:
            key = "after_answers" if scenario is None else "open_first"
            return lambda: [said(say(f"pages.owner.{key}"))]
        measure.step(say("timing.working"))
        found = timing(scenario, progress=measure.part)
        measure.check()
        drawn = shown_chart(when_to_change(found, currency=scenario.currency))
        sentences = [when_sentence(scenario, found), last_day_sentence(found, scenario.currency)]
        return lambda: [said(*sentences), drawn]

    def _partners_turn(self) -> list[Any]:
        """Return the partner's questions."""
        if self.partner is None:
            entered = self.session.entered
            empty = Entered(entered.base_date, units=entered.units)
            self.partner = Partner(self._scenario, empty, self.tell, lambda: self._cover(False))
        return [self.partner.box]

    def _cover(self, covered: bool) -> None:
        """Cover the first verdict and its answers while the partner answers; or show them again."""
        put_away(self.columns, covered)
        put_away(self.covered, not covered)
        for name, fold in self.folds.items():
            put_away(fold.box, covered and name != "partner")

    def _all_figures(self) -> list[Any]:
        """Return every figure."""
        scenario = self.session.scenario
        if scenario is None:
            return [said(say("pages.owner.after_answers"))]
        return self.figures.shown(plain(self.session.entered), scenario)


def _every_way(compared: Comparison) -> Any:
    """Return charts of every way."""
    from lifecycle.charts import cost_by_category, cost_of_owning

    return beside("lc-pair", *(shown_chart(draw(compared)) for draw in (cost_by_category, cost_of_owning)))


class TopBar:
    """The bar of a page: units, undo, start over, load and save."""

    def __init__(
        self,
        session: Session,
        start_over: Callable[[], None],
        load: Callable[[str, bytes], None],
        tell: Tell,
    ) -> None:
        self._session, self._quiet = session, False
        told = words("pages.bar")
        self.units = ipywidgets.ToggleButtons(
            options=[(told["feet"], "us"), (told["metres"], "metric")],
            tooltips=[told["feet"], told["metres"]],
            tooltip=told["units"],
        )
        self.undo = button(told["undo"], session.undo, tell, disabled=True, tooltip=told["undo_tip"])
        self.over = AskedOnceMore(told["over"], "start_over", start_over, tell)
        self.load = upload(say("pages.load.scenario"), ".toml", load, tell)
        self.save = html()
        bar = beside("lc-bar", self.units, self.undo, self.over.button, self.load, self.save)
        self.box = below("lc-top", bar, self.over.box, said(say("pages.private")))
        watched(self.units, self._units, tell)

    def follow(self) -> None:
        """Let undo, and the file to keep, follow what is entered."""
        session, told = self._session, words("pages.bar")
        self.undo.disabled = not session.can_undo
        if session.scenario is None:
            self.save.value = part("note", told["not_yet"])
        else:
            text = session.scenario.text.encode("utf-8")
            name = file_name(session.entered)
            self.save.value = file_link(name, text, "application/toml", told["save"])

    def show_units(self, units: str) -> None:
        """Show the units of the page without asking for them."""
        self._quiet = True
        self.units.value = units
        self._quiet = False

    def _units(self, units: str) -> None:
        """Show the page in other units."""
        if not self._quiet:
            self._session.use_units(units)


class Partner:
    """The second set of answers.

    Parameters
    ----------
    first : callable
        Returns the scenario of the first set, or None.
    empty : Entered
        Nothing entered yet: day and units.
    tell : callable
        Shows a sentence in the status line.
    compared : callable
        Called when the two are compared: what was covered may be seen again.
    """

    def __init__(
        self,
        first: Callable[[], Scenario | None],
        empty: Entered,
        tell: Tell,
        compared: Callable[[], object] = lambda: None,
    ) -> None:
        self._first, self._entered, self._compared = first, empty, compared
        self.questions = Questions(self._take, tell, empty.units)
        self.demand = OnDemand(say("pages.partner.ask"), self._work)
        self.box = below("", said(say("pages.partner.alone")), self.questions.box, self.demand.box)

    def _take(self, key: str, value: Any) -> str:
        """Take an answer of the partner."""
        new = answered(self._entered, key, value)
        if wrong := objection(new.answers):
            return wrong
        self._entered = new
        self.demand.old()
        return ""

    def _work(self, measure: Measure) -> Shown:
        """Split the difference by cause."""
        from lifecycle.answers.difference import (
            LEAST_LISTED,
            causes_caption,
            causes_table,
            first_sentence,
            way_said,
        )
        from lifecycle.studies.difference import difference
        from lifecycle.writers.html import as_parts

        one, other = self._first(), self._second()
        if one is None:
            raise refused("pages.partner.fault.first")
        if one.trouble or other.trouble:
            raise refused("pages.partner.fault.trouble")

        def progress(done: int, whole: int) -> None:
            measure.step(say("pages.partner.mixed", done=f"{done:,}", whole=f"{whole:,}"))

        found = by_titles(difference(one, other, progress=progress), one, other)
        way = way_said(found, one, other)
        gap = first_sentence(found, other.currency, way, "partners")
        one_case = found.draws == 1
        slots = {} if one_case else {"draws": f"{found.draws:,}"}
        method = say("pages.partner.one_case" if one_case else "pages.partner.method", **slots)
        shown = paragraphs([_both(one, other), gap, f"{method} {say('pages.partner.nobody_right')}"])
        if any(abs(cause.amount) >= LEAST_LISTED for cause in found.causes):
            caption = causes_caption(way, other.currency, "partners")
            shown += as_parts([causes_table(found, caption, heads="partners", last=CAUSES)])

        def show() -> list[Any]:
            self._compared()
            return [html(shown)]

        return show

    def _second(self) -> Scenario:
        """Return the partner's scenario."""
        if needed := still_needed(self._entered):
            numbers = listed(str(number) for number in needed)
            raise refused("pages.partner.fault.second", numbers=numbers)
        return scenario_of(self._entered)


def _both(one: Scenario, other: Scenario) -> str:
    """Say what each should do, and whether that is the same."""
    from lifecycle.answers.difference import agreement, what_to_do

    you, partner = what_to_do(one), what_to_do(other)
    if you == partner:
        return agreement((you, partner))
    return say("pages.partner.disagree", you=you, partner=partner)


def by_titles(found: Difference, first: Scenario, second: Scenario) -> Difference:
    """Name what each would do otherwise by its title alone, without key and path of the plan."""
    from lifecycle.studies.difference import OTHERWISE

    names = found.ways_first[1], found.ways_second[1]
    titles = [scenario.alternative(name).title for scenario, name in zip((first, second), names, strict=True)]
    causes = (
        replace(cause, first=titles[0], second=titles[1]) if cause.key == OTHERWISE else cause
        for cause in found.causes
    )
    return replace(found, causes=tuple(causes))
