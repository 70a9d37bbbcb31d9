"""The pages of analysts: the one on doubt, and the bench.

Lecture
-------
A page is about one scenario at a time, a shipped one or a file. When another is chosen, everything that
stands there is made anew, and work under way is given up. An error says a sentence and leaves what stands
there.

*Doubt.* What moves the answer one figure at a time is worked out at once. Indices, the map and the dates take
longer: each has its button, says how far it is, and can be given up. The lists of the map hold the
figures that move the answer most; any other that may be a range is found by a word of its name. Indices by
default from few points, with error bars that show it; the fine ones are those of the command.

*The bench.* One scenario: on top the verdict's first lines, before and now, and what was done to it. Below,
folded: places, what the figures imply before and after, figures by group with the tool's own beside, a
weather file, records, objections, and why the answer differs. Every change is a new scenario that is read
back; the file to keep is a link. A weather file or records come with a column map, if need be; "the invented
one" takes those that are shipped. What they say stands there before it is used: a button puts it into the
scenario. Nothing is guessed: units that a file does not say are asked for.

Left out: how many futures are cheaper, which is the owner's page; regions of several scenarios, which are a
file for the command.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING, Any

from lifecycle import files
from lifecycle.answers.blocks import Answer, Drawing
from lifecycle.answers.parts import Silent
from lifecycle.answers.workbench import (
    PLAN,
    Workbench,
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
    workbench,
)
from lifecycle.errors import ScenarioError
from lifecycle.language.labels import HEADINGS, input_name
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines
from lifecycle.pages.panels.figure_fields import SHORT, Finder, figure_lines, groups
from lifecycle.pages.panels.folds import Fold, OnDemand, Shown, telling_worker
from lifecycle.pages.panels.pieces import (
    Page,
    Tell,
    as_text,
    below,
    beside,
    button,
    dropdown,
    file_link,
    guarded,
    html,
    paragraphs,
    part,
    said,
    shown_chart,
    style_sheet,
    table,
    title,
    upload,
    watched,
)
from lifecycle.pages.panels.session import Entered, file_name, scenario_of, with_figure
from lifecycle.pages.panels.worker import Job, Measure
from lifecycle.places import scenario_path, shipped_file, shipped_names
from lifecycle.plans import plan_titles
from lifecycle.quantities import Figure, capital
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import DRAWS, in_futures
from lifecycle.writers.html import as_parts

if TYPE_CHECKING:
    from lifecycle.evaluation.comparison import Comparison

OWN = ""
"""Stands in the list of scenarios for a file."""

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario with which a page opens."""


class StudyPage(Page):
    """A page about one scenario; it shows itself in a notebook.

    Parameters
    ----------
    scenario : Scenario
        With which it opens.
    name : str
        In the list of shipped ones; another stands for a file.
    not_running : str
        What stands in its place where nothing runs.
    """

    def __init__(self, scenario: Scenario, name: str, not_running: str) -> None:
        super().__init__("lc-page lc-study", not_running)
        self.scenario = scenario
        self.choice = ScenarioChoice(name, self._took, self.tell)
        self.head, self.parts = html(), below("")
        private = said(say("pages.private_anew"))
        self._lay_out(
            html(style_sheet("study")), private, self.choice.box, self.status, self.head, self.parts
        )

    def open(self, scenario: Scenario) -> None:
        """Show another scenario."""
        guarded(self._took, self.tell)(scenario)

    def _took(self, scenario: Scenario) -> None:
        """Take another scenario, if the page can be made for it."""
        before, self.scenario = self.scenario, scenario
        try:
            made = self._made()
        except Exception:
            self.scenario = before
            raise
        self.head.value = part("title", scenario.title)
        self.parts.children = made

    def _made(self) -> list[Any]:
        """Make all parts for the scenario."""
        raise NotImplementedError


class ScenarioChoice:
    """A list of scenarios and a button for a file; `took` takes the scenario that is chosen."""

    def __init__(self, name: str, took: Callable[[Scenario], object], tell: Tell) -> None:
        self._took, self._tell = took, tell
        names = [(one.replace("-", " "), one) for one in shipped_names()]
        self.shipped = dropdown(
            say("analyst.page.invented_coach"),
            [(say("asking.page.choose"), OWN), *names],
            value=name if name in shipped_names() else OWN,
        )
        watched(self.shipped, self._shipped, tell)
        self.file = upload(say("pages.load.scenario"), ".toml", self._loaded, tell)
        self.box = beside("lc-bar", self.shipped, self.file)

    def _shipped(self, name: str) -> None:
        """Take a shipped scenario."""
        if name != OWN:
            self._took(files.load(scenario_path(name)))
            self._tell("")

    def _loaded(self, name: str, content: bytes) -> None:
        """Take a file."""
        self._took(files.loads(as_text(content, name), name))
        self.shipped.value = OWN
        self._tell(say("pages.loaded", name=name))


def parts_of(answer: Answer) -> list[Any]:
    """Return an answer as widgets: its blocks, and each drawing as an image with its sentence."""
    widgets: list[Any] = []
    for is_drawing, group in groupby(answer.blocks, key=lambda block: isinstance(block, Drawing)):
        if is_drawing:
            widgets += [shown_chart(block.figure) for block in group if isinstance(block, Drawing)]
        else:
            widgets.append(html(as_parts(group)))
    return widgets


def stacked(*widgets: Any) -> Callable[[], list[Any]]:
    """Return what shows widgets below each other, as the result of work."""
    return lambda: [below("", *widgets)]


QUICK = 128
"""Points of quick indices."""


class DoubtPage(StudyPage):
    """The page on doubt, opened as any `StudyPage`; `draws` is the number of futures behind the dates."""

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
            title(say("charts.shares.title")),
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
        measure.step(say("sensitivity.mapping"))
        try:
            found = two_way_map(self.scenario, across, up, progress=measure.part)
        except ValueError as error:
            return stacked(said(say("analyst.doubt_page.no_map", why=error)))
        measure.check()
        notes = said(*(f"{capital(note)}." for note in found.notes))
        return stacked(notes, shown_chart(answer_map(found, self.scenario)))

    def _timing(self, measure: Measure) -> Shown:
        """Work out now, later or never."""
        from lifecycle.answers.timing import timing_answer
        from lifecycle.studies.timing import timing

        measure.step(say("timing.working"))
        found = timing(self.scenario, draws=self._draws, progress=measure.part)
        measure.check()
        return stacked(*parts_of(timing_answer(self.scenario, found)))


def map_inputs(comparison: Comparison) -> dict[str, str]:
    """Return the figures that a map may have, by path with their plain names."""
    moving = [swing.figure for swing in comparison.swings]
    figures = comparison.scenario.inputs.values()
    others = [figure for figure in figures if figure.field.ranged and figure.likely]
    return {figure.path: input_name(figure) for figure in [*moving, *others]}


WEATHER, LOOKS, SHEETS = "daily-weather", "looks", "job-sheets"
"""Invented records."""

Use = Callable[[Callable[[Workbench], Workbench]], object]
"""Takes what makes the next bench of the one that stands."""


class AnalystPage(StudyPage):
    """The analyst's page, opened as any `StudyPage`; `draws` is the number of futures behind objections."""

    def __init__(self, scenario: Scenario, name: str = "", draws: int = DRAWS) -> None:
        super().__init__(scenario, name, say("analyst.page.not_running"))
        self._draws = draws
        self.bench: Workbench = workbench(scenario)
        self._came: tuple[Scenario, str] | None = None
        self.open(scenario)

    def _made(self) -> list[Any]:
        """Put the scenario on the bench and make the parts."""
        told = words("analyst.page")
        self.bench = workbench(self.scenario)
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

    def use(self, change: Callable[[Workbench], Workbench]) -> None:
        """Take the next bench."""
        self.bench = change(self.bench)
        self._begin_edit()
        self._follow(say("analyst.page.used", what=self.bench.done[-1]))

    def _put_back(self) -> None:
        """Go back to the scenario as it came."""
        self.bench = workbench(self.bench.first)
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
        before = Workbench(self.bench.first, self.bench.now, self._done_before, self.bench.longer)
        done = say("analyst.page.by_hand", figures=", ".join(names)) if names else ""
        after = with_text(before, scenario_of(new).text, done)
        self._edited = new
        self.bench = after if names else Workbench(after.first, after.now, self._done_before, after.longer)
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

    def __init__(self, now: Callable[[], Workbench], use: Use, tell: Tell) -> None:
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

    def __init__(self, now: Callable[[], Workbench], use: Use, tell: Tell) -> None:
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
