"""The analyst's page: where it stands, what the figures imply, figures replaced by records, and what changed.

Lecture
-------
One scenario on the bench. On top the verdict's first lines, before and now, and what was done to it.
Below, folded: places, what the figures imply before and after, figures by group with the tool's own beside,
a weather file, records, objections, and why the answer differs. Every change is a new scenario that is read
back; the file to keep is a link.

Left out: regions of several scenarios, which are a file for the command.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import ipywidgets

from lifecycle.answers.bench import (
    PLAN,
    Bench,
    bench,
    implied_rows,
    objection_rows,
    record_rows,
    why_it_differs,
    with_text,
)
from lifecycle.answers.shared import Silent
from lifecycle.errors import ScenarioError
from lifecycle.language.labels import HEADINGS, input_name
from lifecycle.language.verdict import first_lines
from lifecycle.pages.panels.analyst_inputs import RecordsPart, WeatherPart
from lifecycle.pages.panels.figure_fields import GROUPS, FigureLine, Finder
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.guard import guarded
from lifecycle.pages.panels.measured import Measure, Measured, Show
from lifecycle.pages.panels.saving import file_name, scenario_file
from lifecycle.pages.panels.state import Entered, with_figure
from lifecycle.pages.panels.study_page import StudyPage, below, parts_of, said
from lifecycle.pages.panels.words_on_page import file_link, paragraphs, part, table
from lifecycle.pages.panels.working import Job
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import DRAWS, in_futures

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario with which the page opens."""

NOT_RUNNING = (
    "The analyst's page: records in the place of judgement. It shows itself where the notebook runs."
)
OPEN_FIRST = "Trouble is reported: open the roof first. Nothing is compared."
NOTHING_DONE = "Nothing was changed yet."
REGIONS = (
    "Regions are a file of several scenarios. The command answers it, fixes it beforehand and compares "
    "editions: lifecycle regions FILE."
)


class AnalystPage(StudyPage):
    """The analyst's page; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario
        With which it opens.
    name : str
        In the list of shipped ones.
    draws : int
        Futures behind objections.
    """

    def __init__(self, scenario: Scenario, name: str = "", draws: int = DRAWS) -> None:
        super().__init__(scenario, name, NOT_RUNNING)
        self._draws = draws
        self.bench: Bench = bench(scenario)
        self._came: tuple[Scenario, str] | None = None
        self.open(scenario)

    def _made(self) -> list[Any]:
        """Put the scenario on the bench and make the parts."""
        self.bench = bench(self.scenario)
        self._begin_edit()
        self.answer, self.save = ipywidgets.HTML(), ipywidgets.HTML()
        self.back = ipywidgets.Button(description="Put everything back", tooltip="Put everything back")
        self.back.on_click(guarded(lambda _: self._put_back(), self.say))
        self.weather = WeatherPart(lambda: self.bench, self.use, self.say)
        self.records = RecordsPart(lambda: self.bench, self.use, self.say)
        self.objections = Measured("Try every objection", self._objections)
        self.difference = Measured("Split the difference by cause", self._difference)
        self.plan = ipywidgets.Dropdown(description="Looked after so", options=self._plans(), value=PLAN)
        self.group = ipywidgets.Dropdown(description="Group", options=self._groups(), tooltip="Group")
        self.lines, self.find = ipywidgets.VBox(), Finder(self._show_lines, self.say)
        self.plan.observe(guarded(lambda _: self.folds["implied"].renew(), self.say), names="value")
        self.group.observe(guarded(lambda _: self._show_group(), self.say), names="value")
        self.folds = {key: Fold(name, fill, self.say) for key, name, fill in self._folds()}
        bar = ipywidgets.Box([self.save, self.back])
        bar.add_class("lc-bar")
        folds = ipywidgets.VBox([fold.box for fold in self.folds.values()])
        folds.add_class("lc-folds")
        self._show_answer()
        return [self.answer, bar, folds]

    def _folds(self) -> list[tuple[str, str, Callable[[], list[Any]]]]:
        """Return name, title and content of what is folded away."""
        return [
            ("places", HEADINGS["climate"], self._places),
            ("implied", "What the figures imply, before and now", self._implied),
            ("figures", "Change figures", self._figures),
            ("weather", "A daily weather file", lambda: [self.weather.box]),
            ("records", HEADINGS["records"], lambda: [self.records.box]),
            ("objections", "What may be held against it", lambda: [self.objections.box, said(REGIONS)]),
            ("difference", "Why the answer differs", lambda: [self.difference.box]),
        ]

    def use(self, change: Callable[[Bench], Bench]) -> None:
        """Take the next bench."""
        self.bench = change(self.bench)
        self._begin_edit()
        self._follow(f"Used: {self.bench.done[-1]}.")

    def _put_back(self) -> None:
        """Go back to the scenario as it came."""
        self.bench = bench(self.bench.first)
        self._begin_edit()
        self._follow("Everything is put back.")

    def _follow(self, text: str) -> None:
        """Let everything follow the bench."""
        for demand in (self.objections, self.difference):
            demand.old()
        self._show_answer()
        for key in ("places", "implied", "figures"):
            self.folds[key].renew()
        self.say(text)

    def _show_answer(self) -> None:
        """Show the answer before and now, what was done, and the file to keep."""
        found = self.bench
        if self._came is None or self._came[0] is not found.first:
            self._came = found.first, _answer(found.first)
        rows = [("As it came", self._came[1])]
        rows += [("Now", _answer(found.now))] if found.done else []
        done = [f"Done so far: {'; '.join(found.done)}."] if found.done else [NOTHING_DONE]
        records = record_rows(found)
        listed = (
            table(("figure from records", "low ... likely ... high", "source"), records) if records else ""
        )
        self.answer.value = (
            "".join(paragraphs([f"{name}: {text}"]) for name, text in rows)
            + paragraphs(done)
            + part("boxed", "lc-wide lc-loose", listed)
        )
        self.save.value = file_link(
            file_name(Entered(found.now.base_date, by_hand=found.first)).replace(".toml", "-tuned.toml"),
            found.now.text.encode("utf-8"),
            "application/toml",
            "Save the scenario as it stands",
        )

    def _plans(self) -> list[tuple[str, str]]:
        """Return the upkeep plans."""
        from lifecycle.plans import plan_titles

        return [(title, plan) for plan, title in plan_titles().items()]

    def _groups(self) -> list[tuple[str, str]]:
        """Return the groups that the scenario has figures of."""
        here = {figure.field.group for figure in self.scenario.inputs.values()}
        return [(name, group) for group, name in GROUPS.items() if group in here]

    def _places(self) -> list[Any]:
        """Return where it stands, and the answer in every place."""
        from lifecycle.answers.climate import climate

        now = self.bench.now
        return parts_of(in_futures(lambda: climate(now, told=Silent()), now))

    def _implied(self) -> list[Any]:
        """Return what the figures imply, before and now."""
        rows = [
            (name, *(text.replace("-", "\N{NON-BREAKING HYPHEN}") for text in both))
            for name, *both in implied_rows(self.bench, self.plan.value)
        ]
        heads = ("for such a roof laid anew", "as it came", "now")
        said_ = "In brackets the lowest and highest that one figure alone makes of it."
        shown = ipywidgets.HTML(paragraphs([said_]) + table(heads, rows))
        return [_bar(self.plan), shown]

    def _figures(self) -> list[Any]:
        """Return the figures of a group, or those that are looked for."""
        self._show_lines()
        return [_bar(self.group, self.find.field), self.find.said, self.lines]

    def _begin_edit(self) -> None:
        """Let figures be changed from here."""
        now = self.bench.now
        self._edited = Entered(now.base_date, units=now.units, by_hand=now)
        self._done_before = self.bench.done

    def _show_group(self) -> None:
        """Show the lines of the group chosen, and look for nothing."""
        self.find.field.value = ""
        self._show_lines()

    def _show_lines(self) -> None:
        """Show the lines of what is looked for, in every group; of the group chosen where nothing is."""
        base, now = self._edited.by_hand, self.bench.now
        if base is None:
            return
        paths = self.find.few(base.inputs)
        if not self.find.field.value.strip():
            paths = [path for path, figure in base.inputs.items() if figure.field.group == self.group.value]
            self.find.tell("group", len(paths), len(base.inputs))
        line = partial(FigureLine, free=True, sourced=True)
        made = [
            line(base.inputs[path], now.inputs[path], now, self._figure, self.say)
            for path in paths
            if path in now.inputs
        ]
        self.lines.children = [line.box for line in made]

    def _figure(self, old: Figure, changed: Figure | None) -> None:
        """Take a figure that was typed; `ScenarioError` where it is not allowed."""
        new = with_figure(self._edited, old, changed)
        names = [input_name(figure) for figure in new.changed.values()]
        before = Bench(self.bench.first, self.bench.now, self._done_before, self.bench.longer)
        done = f"by hand: {', '.join(names)}" if names else ""
        after = with_text(before, scenario_file(new), done)
        self._edited = new
        self.bench = after if names else Bench(after.first, after.now, self._done_before, after.longer)
        for demand in (self.objections, self.difference):
            demand.old()
        self._show_answer()
        for key in ("places", "implied"):
            self.folds[key].renew()
        self.say("")

    def _objections(self, job: Job, measure: Measure) -> Show:
        """Try every objection."""
        if self.bench.now.trouble:
            return partial(_children, said(OPEN_FIRST))
        measure.step("the answer under every objection")
        rows = objection_rows(self.bench, plan=self.plan.value, draws=self._draws, progress=measure.part)
        job.check()
        heads = ("what may be held against it", "cheaper in", "word")
        against = dict((plan, title) for title, plan in self._plans())[self.plan.value]
        first = f"The change today, compared with: {against}; sold after the years kept."
        shown = part("boxed", "lc-wide lc-loose", table(heads, rows))
        return partial(_children, said(first), ipywidgets.HTML(shown))

    def _difference(self, job: Job, measure: Measure) -> Show:
        """Split the difference by cause."""
        if not self.bench.done or self.bench.now.trouble:
            return partial(_children, said(OPEN_FIRST if self.bench.done else NOTHING_DONE))
        measure.step("what the two say differently")
        answer = why_it_differs(self.bench, progress=measure.part)
        job.check()
        return partial(_children, *parts_of(answer))


def _answer(scenario: Scenario) -> str:
    """Return the first lines of the verdict of a scenario; why there is none where its history cannot be."""
    if scenario.trouble:
        return OPEN_FIRST
    try:
        return " ".join(in_futures(lambda: first_lines(scenario), scenario)[1].first)
    except ScenarioError as error:
        return str(error)


def _children(*widgets: Any) -> list[Any]:
    """Return what is shown."""
    return [below(*widgets)]


def _bar(*widgets: Any) -> Any:
    """Return controls beside each other."""
    box = ipywidgets.Box(list(widgets))
    box.add_class("lc-bar")
    return box
