"""The analyst's page: where it stands, what the figures imply, figures replaced by records, and what changed.

Lecture
-------
One scenario on the bench. On top the verdict's first lines, before and now, and what was done to it. Below,
folded: places, what the figures imply before and after, figures by group with the tool's own beside, a
weather file, records, objections, and why the answer differs. Every change is a new scenario that is read
back; the file to keep is a link.

A weather file or records come with a column map, if need be; "the invented one" takes those that are shipped.
What they say stands there before it is used: a button puts it into the scenario. Nothing is guessed: units
that a file does not say are asked for.

Left out: regions of several scenarios, which are a file for the command.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from lifecycle.answers.bench import (
    PLAN,
    Bench,
    bench,
    implied_rows,
    objection_rows,
    record_rows,
    records_of,
    table_of,
    weather_of,
    why_it_differs,
    with_records,
    with_text,
    with_weather,
)
from lifecycle.answers.blocks import Answer
from lifecycle.answers.shared import Silent
from lifecycle.errors import ScenarioError
from lifecycle.language.labels import HEADINGS, input_name
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines
from lifecycle.pages.panels.figure_fields import Finder, figure_lines, groups
from lifecycle.pages.panels.folds import Fold, OnDemand, Shown
from lifecycle.pages.panels.pieces import (
    Tell,
    as_text,
    below,
    beside,
    button,
    dropdown,
    file_link,
    html,
    paragraphs,
    part,
    said,
    table,
    upload,
    watched,
)
from lifecycle.pages.panels.session import Entered, file_name, scenario_of, with_figure
from lifecycle.pages.panels.study import StudyPage, parts_of, stacked
from lifecycle.pages.panels.working import Measure
from lifecycle.places import shipped_file
from lifecycle.plans import plan_titles
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import DRAWS, in_futures

WEATHER, LOOKS, SHEETS = "daily-weather", "looks", "job-sheets"
"""Invented records."""

Use = Callable[[Callable[[Bench], Bench]], object]
"""Takes what makes the next bench of the one that stands."""


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
        super().__init__(scenario, name, say("analyst.page.not_running"))
        self._draws = draws
        self.bench: Bench = bench(scenario)
        self._came: tuple[Scenario, str] | None = None
        self.open(scenario)

    def _made(self) -> list[Any]:
        """Put the scenario on the bench and make the parts."""
        told = words("analyst.page")
        self.bench = bench(self.scenario)
        self._begin_edit()
        self.answer, self.save = html(), html()
        self.back = button(told["put_back"], self._put_back, self.tell)
        self.weather = WeatherPart(lambda: self.bench, self.use, self.tell)
        self.records = RecordsPart(lambda: self.bench, self.use, self.tell)
        self.objections = OnDemand(told["try"], self._objections)
        self.difference = OnDemand(told["split"], self._difference)
        plans = [(title, plan) for plan, title in plan_titles().items()]
        self.plan = dropdown(told["looked_after"], plans, value=PLAN)
        here = {figure.field.group for figure in self.scenario.inputs.values()}
        shown = [(name, group) for group, name in groups().items() if group in here]
        self.group = dropdown(told["group"], shown)
        self.lines, self.find = below(""), Finder(self._show_lines, self.tell)
        watched(self.plan, lambda _: self.folds["implied"].renew(), self.tell)
        watched(self.group, lambda _: self._show_group(), self.tell)
        self.folds = {key: Fold(name, fill, self.tell) for key, name, fill in self._folds()}
        self._show_answer()
        folds = below("lc-folds", *(fold.box for fold in self.folds.values()))
        return [self.answer, beside("lc-bar", self.save, self.back), folds]

    def _folds(self) -> list[tuple[str, str, Shown]]:
        """Return name, title and content of what is folded away."""
        titles, regions = words("analyst.page.folds"), said(say("analyst.page.regions"))
        return [
            ("places", HEADINGS["climate"], self._places),
            ("implied", titles["implied"], self._implied),
            ("figures", titles["figures"], self._figures),
            ("weather", titles["weather"], lambda: [self.weather.box]),
            ("records", HEADINGS["records"], lambda: [self.records.box]),
            ("objections", titles["objections"], lambda: [self.objections.box, regions]),
            ("difference", titles["difference"], lambda: [self.difference.box]),
        ]

    def use(self, change: Callable[[Bench], Bench]) -> None:
        """Take the next bench."""
        self.bench = change(self.bench)
        self._begin_edit()
        self._follow(say("analyst.page.used", what=self.bench.done[-1]))

    def _put_back(self) -> None:
        """Go back to the scenario as it came."""
        self.bench = bench(self.bench.first)
        self._begin_edit()
        self._follow(say("analyst.page.is_back"))

    def _follow(self, text: str, *, figures: bool = True) -> None:
        """Let everything follow the bench; the lines of figures stay where one of them was typed."""
        for demand in (self.objections, self.difference):
            demand.old()
        self._show_answer()
        for key in ("places", "implied", *(["figures"] if figures else [])):
            self.folds[key].renew()
        self.tell(text)

    def _show_answer(self) -> None:
        """Show the answer before and now, what was done, and the file to keep."""
        told, found = words("analyst.page"), self.bench
        if self._came is None or self._came[0] is not found.first:
            self._came = found.first, answer_lines(found.first)
        came = say("analyst.page.as_it_came", answer=self._came[1])
        now = [say("analyst.page.now", answer=answer_lines(found.now))] if found.done else []
        done = say("analyst.page.done", what="; ".join(found.done)) if found.done else told["nothing_done"]
        records = record_rows(found)
        listed = table(told["record_heads"], records) if records else ""
        self.answer.value = paragraphs([came, *now, done]) + part("boxed", "lc-wide lc-loose", listed)
        name = file_name(Entered(found.now.base_date, by_hand=found.first))
        name, content = name.replace(".toml", "-tuned.toml"), found.now.text.encode("utf-8")
        self.save.value = file_link(name, content, "application/toml", told["save"])

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
        shown = paragraphs([say("analyst.page.in_brackets")]) + table(
            words("analyst.page.implied_heads"), rows
        )
        return [beside("lc-bar", self.plan), html(shown)]

    def _figures(self) -> list[Any]:
        """Return the figures of a group, or those that are looked for."""
        self._show_lines()
        return [beside("lc-bar", self.group, self.find.field), self.find.said, self.lines]

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
        self.lines.children = figure_lines(paths, base, now, self._figure, self.tell, free=True, sourced=True)

    def _figure(self, old: Figure, changed: Figure | None) -> None:
        """Take a figure that was typed; `ScenarioError` where it is not allowed."""
        new = with_figure(self._edited, old, changed)
        names = [input_name(figure) for figure in new.changed.values()]
        before = Bench(self.bench.first, self.bench.now, self._done_before, self.bench.longer)
        done = say("analyst.page.by_hand", figures=", ".join(names)) if names else ""
        after = with_text(before, scenario_of(new).text, done)
        self._edited = new
        self.bench = after if names else Bench(after.first, after.now, self._done_before, after.longer)
        self._follow("", figures=False)

    def _objections(self, measure: Measure) -> Shown:
        """Try every objection."""
        if self.bench.now.trouble:
            return stacked(said(say("analyst.page.open_first")))
        measure.step(say("analyst.page.at_objections"))
        rows = objection_rows(self.bench, plan=self.plan.value, draws=self._draws, progress=measure.part)
        measure.check()
        first = say("analyst.page.against", plan=plan_titles()[self.plan.value])
        shown = part("boxed", "lc-wide lc-loose", table(words("analyst.page.objection_heads"), rows))
        return stacked(said(first), html(shown))

    def _difference(self, measure: Measure) -> Shown:
        """Split the difference by cause."""
        if not self.bench.done or self.bench.now.trouble:
            return stacked(said(say(f"analyst.page.{'open_first' if self.bench.done else 'nothing_done'}")))
        measure.step(say("analyst.page.at_difference"))
        answer = why_it_differs(self.bench, progress=measure.part)
        measure.check()
        return stacked(*parts_of(answer))


def answer_lines(scenario: Scenario) -> str:
    """Return the first lines of the verdict of a scenario; why there is none where its history cannot be."""
    if scenario.trouble:
        return say("analyst.page.open_first")
    try:
        return " ".join(in_futures(lambda: first_lines(scenario), scenario)[1].first)
    except ScenarioError as error:
        return str(error)


class FileAndMap:
    """Two buttons for files, and one for the invented ones; `invented` names the record of that."""

    def __init__(self, invented: Callable[[], str], tell: Tell) -> None:
        self._invented = invented
        self.content: bytes | None = None
        self.name, self.columns, self.columns_name = "", dict[str, Any](), ""
        self.file = upload(say("pages.load.records"), ".csv", self._file, tell)
        self.map = upload(say("pages.load.map"), ".toml", self._map, tell)
        self.own = button(say("analyst.page.take_invented"), self.take_invented, tell)
        self.told = html()
        self.box = below("", beside("lc-bar", self.file, self.map, self.own), self.told)

    def take_invented(self) -> None:
        """Take the shipped records."""
        name = self._invented()
        columns = shipped_file("records", f"{name}-columns.toml")
        self._map(columns.name, columns.read_bytes())
        self._file(f"{name}.csv", shipped_file("records", f"{name}.csv").read_bytes())

    def _file(self, name: str, content: bytes) -> None:
        """Take the records."""
        self.name, self.content = name, content
        self._tell()

    def _map(self, name: str, content: bytes) -> None:
        """Take the column map."""
        self.columns, self.columns_name = table_of(as_text(content, name), name), name
        self._tell()

    def _tell(self) -> None:
        """Say what was taken."""
        told = words("analyst.page")
        file, columns = self.name or told["no_records"], self.columns_name or told["no_map"]
        self.told.value = paragraphs([say("analyst.page.taken", file=file, map=columns)])


class WeatherPart:
    """A daily weather file to the climate of the scenario."""

    def __init__(self, now: Callable[[], Bench], use: Use, tell: Tell) -> None:
        self._now, self._use, self._tell = now, use, tell
        told = words("analyst.page")
        self.given = FileAndMap(lambda: WEATHER, tell)
        units = [(told["units_of_file"], ""), (told["units_us"], "us"), (told["units_metric"], "metric")]
        self.units = dropdown(told["units"], units)
        self.read = OnDemand(told["read_weather"], self._read)
        self.box = below("", self.given.box, beside("lc-bar", self.units), self.read.box)

    def _read(self, measure: Measure) -> Shown:
        """Read the file."""
        from lifecycle.answers.weather import weather_answer

        given = self.given
        if given.content is None:
            return lambda: [said(say("analyst.page.no_file"))]
        measure.step(say("analyst.page.at_weather", file=given.name))
        columns, units = given.columns or None, self.units.value or None
        found = weather_of(given.content, given.name, columns, columns_name=given.columns_name, units=units)
        measure.check()
        name = given.name
        answer = weather_answer(found, name, self._now().now.units)
        put_in = partial(self._use, lambda now: with_weather(now, found, name))
        return _used(answer, say("analyst.page.use_weather"), put_in, self._tell)


class RecordsPart:
    """Records to ranges of the scenario."""

    def __init__(self, now: Callable[[], Bench], use: Use, tell: Tell) -> None:
        self._now, self._use, self._tell = now, use, tell
        told = words("analyst.page")
        purposes = [(name, purpose) for purpose, name in told["purposes"].items()]
        self.purpose = dropdown(told["what_for"], purposes)
        self.given = FileAndMap(lambda: SHEETS if self.purpose.value == "hidden" else LOOKS, tell)
        self.fit = OnDemand(told["fit"], self._fit)
        self.box = below("", beside("lc-bar", self.purpose), self.given.box, self.fit.box)

    def _fit(self, measure: Measure) -> Shown:
        """Clean and fit the records."""
        from lifecycle.answers.records import records_answer

        given = self.given
        if given.content is None:
            return lambda: [said(say("analyst.page.no_file"))]
        measure.step(say("analyst.page.at_records", file=given.name))
        text = as_text(given.content, given.name)
        found = records_of(self.purpose.value, text, given.name, given.columns, self._now().now)
        measure.check()
        answer = records_answer(found, found.source)
        put_in = partial(self._use, lambda now: with_records(now, found))
        return _used(answer, say("analyst.page.use_records"), put_in, self._tell)


def _used(answer: Answer, name: str, put_in: Callable[[], object], tell: Tell) -> Shown:
    """Return what shows an answer, and a button that puts it into the scenario."""
    return lambda: [*parts_of(answer), beside("lc-bar", button(name, put_in, tell))]
