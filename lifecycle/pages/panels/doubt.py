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

from typing import TYPE_CHECKING, Any

from lifecycle.language.labels import HEADINGS, input_name
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.figure_fields import SHORT, Finder
from lifecycle.pages.panels.folds import OnDemand, Shown, telling_worker
from lifecycle.pages.panels.pieces import below, beside, dropdown, html, paragraphs, said, shown_chart, title
from lifecycle.pages.panels.study import StudyPage, parts_of, stacked
from lifecycle.pages.panels.working import Job, Measure
from lifecycle.scenario import Scenario
from lifecycle.writers.html import as_parts

if TYPE_CHECKING:
    from lifecycle.evaluation.comparison import Comparison

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
        super().__init__(scenario, name, say("analyst.doubt_page.not_running"))
        self._draws = draws
        self._follows = telling_worker(self.tell)
        self.open(scenario)

    def _made(self) -> list[Any]:
        """Make the parts."""
        from lifecycle.evaluation.comparison import compare

        told = words("analyst.doubt_page")
        self._follows.give_up()
        if self.scenario.trouble:
            return [said(told["open_first"])]
        self._comparison = compare(self.scenario)
        self._figures = map_inputs(self._comparison)
        self.lists = self._lists()
        self.find = Finder(self._find, self.tell)
        self._find()
        fineness = [(told["quick"], QUICK), (told["fine"], 0)]
        self.fineness = dropdown(told["how_fine"], fineness)
        self.indices = OnDemand(told["work_shares"], self._indices)
        self.map = OnDemand(told["draw_map"], self._map)
        self.timing = OnDemand(told["work_dates"], self._timing)
        return [
            *self._first(),
            title(told["shares"]),
            said(told["shares_said"]),
            beside("lc-bar", self.fineness),
            self.indices.box,
            title(told["map"]),
            said(told["map_said"]),
            beside("lc-bar", self.find.field),
            self.find.said,
            beside("lc-bar", *self.lists),
            self.map.box,
            title(HEADINGS["timing"]),
            said(told["dates_said"]),
            self.timing.box,
        ]

    def _first(self) -> list[Any]:
        """Return what moves the answer, one figure at a time; where it turns follows."""
        self.turns, self.bars, self.list = said(say("analyst.doubt_page.follows")), below(""), html()
        self._follows.start(self._where_it_turns)
        return [self.turns, beside("lc-beside-each", self.bars, self.list)]

    def _where_it_turns(self, job: Job) -> None:
        """Find out where each figure changes the answer."""
        from lifecycle.answers.sensitivity import first_sentence, listed_blocks, what_changes
        from lifecycle.charts import swings

        found = what_changes(self.scenario, told=Measure(job, lambda *_: None))
        bars = shown_chart(swings(self._comparison, moved=found.swings))
        first, rest = paragraphs([first_sentence(found)]), as_parts(listed_blocks(found))

        def show() -> None:
            self.turns.value, self.bars.children, self.list.value = first, (bars,), rest

        job.show(show)

    def _lists(self) -> list[Any]:
        """Return two lists of figures, those that move the answer most first."""
        options = [(label, path) for path, label in self._figures.items()]
        chosen: list[str | None] = [path for _, path in options[:2] * 2] or [None, None]
        return [
            dropdown(say(f"analyst.doubt_page.{end}"), options, value=value)
            for end, value in zip(("across", "up"), chosen, strict=False)
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

    def _indices(self, measure: Measure) -> Shown:
        """Work indices out."""
        from lifecycle.charts import indices
        from lifecycle.studies import sensitivity as study

        measure.step(say("analyst.doubt_page.at_shares"))
        points = self.fineness.value or study.BASE_POINTS
        found = study.indices(self.scenario, points=points, progress=measure.part)
        measure.check()
        return stacked(shown_chart(indices(found)))

    def _map(self, measure: Measure) -> Shown:
        """Draw the map of two figures."""
        from lifecycle.charts import answer_map
        from lifecycle.studies.sensitivity import two_way_map

        across, up = (one.value for one in self.lists)
        if across == up or across is None:
            return stacked(said(say("analyst.doubt_page.twice")))
        measure.step(say("analyst.doubt_page.at_map"))
        try:
            found = two_way_map(self.scenario, across, up, progress=measure.part)
        except ValueError as error:
            return stacked(said(say("analyst.doubt_page.no_map", why=error)))
        measure.check()
        notes = said(*(f"{note[0].upper()}{note[1:]}." for note in found.notes))
        return stacked(notes, shown_chart(answer_map(found, self.scenario)))

    def _timing(self, measure: Measure) -> Shown:
        """Work out now, later or never."""
        from lifecycle.answers.timing import timing_answer
        from lifecycle.studies.timing import timing

        measure.step(say("pages.dates"))
        found = timing(self.scenario, draws=self._draws, progress=measure.part)
        measure.check()
        return stacked(*parts_of(timing_answer(self.scenario, found)))


def map_inputs(comparison: Comparison) -> dict[str, str]:
    """Return the figures that a map may have, by path with their plain names."""
    moving = [swing.figure for swing in comparison.swings]
    figures = comparison.scenario.inputs.values()
    others = [figure for figure in figures if figure.field.ranged and figure.likely]
    return {figure.path: input_name(figure) for figure in [*moving, *others]}
