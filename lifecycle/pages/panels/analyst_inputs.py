"""Where an analyst's files come in: a daily weather file, and records of looks or stripped roofs.

Lecture
-------
Each part takes a file and, if need be, a column map; "the invented one" takes those that are shipped. What
it says stands there before it is used: a button puts it into the scenario. Nothing is guessed: units that a
file does not say are asked for.

Left out: what becomes of the scenario (`analyst_page`).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import ipywidgets

from lifecycle.answers.bench import (
    Bench,
    records_of,
    table_of,
    weather_of,
    with_records,
    with_weather,
)
from lifecycle.language.sentences import say as sentence
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.measured import Measure, Measured, Show
from lifecycle.pages.panels.scenario_choice import as_text, received, upload
from lifecycle.pages.panels.study_page import parts_of, said
from lifecycle.pages.panels.working import Job
from lifecycle.places import shipped_file

Use = Callable[[Callable[[Bench], Bench]], object]
"""Takes what makes the next bench of the one that stands."""

WEATHER, LOOKS, SHEETS = "daily-weather", "looks", "job-sheets"
"""Invented records."""

NO_FILE = "Choose a file first, or take the invented one."

PURPOSES = (
    ("how long roofs last (looks, or intervals)", "life"),
    ("how often joints leak (looks)", "joints"),
    ("what stripped roofs hid (job sheets)", "hidden"),
)
"""What records are fitted for, in words."""

UNITS = (("the file or its map says", ""), ("F and inches", "us"), ("C and millimetres", "metric"))


def invented(name: str) -> tuple[bytes, dict[str, Any], str]:
    """Return content, column map and name of the map of an invented record."""
    columns = shipped_file("records", f"{name}-columns.toml")
    content = shipped_file("records", f"{name}.csv").read_bytes()
    return content, table_of(columns.read_text(encoding="utf-8"), columns.name), columns.name


class FileAndMap:
    """Two buttons for files, and one for the invented ones.

    Parameters
    ----------
    name : callable
        Returns the name of the invented record.
    say : callable
        Shows a sentence in the status line.
    """

    def __init__(self, name: Callable[[], str], say: Say) -> None:
        self._name = name
        self.content: bytes | None = None
        self.name, self.columns, self.columns_name = "", dict[str, Any](), ""
        self.file = upload(sentence("pages.load.records"), ".csv")
        self.map = upload(sentence("pages.load.map"), ".toml")
        self.own = ipywidgets.Button(description="Take the invented one")
        self.told = ipywidgets.HTML()
        self.file.observe(guarded(self._file, say), names="value")
        self.map.observe(guarded(self._map, say), names="value")
        self.own.on_click(guarded(lambda _: self.take_invented(), say))
        bar = ipywidgets.Box([self.file, self.map, self.own])
        bar.add_class("lc-bar")
        self.box = ipywidgets.VBox([bar, self.told])

    def take_invented(self) -> None:
        """Take the shipped records."""
        name = self._name()
        self.content, self.columns, self.columns_name = invented(name)
        self.name = f"{name}.csv"
        self._tell()

    def _file(self, change: Any) -> None:
        """Take the records."""
        if change["new"]:
            self.name, self.content = received(change["new"])
            self.file.value = ()
            self._tell()

    def _map(self, change: Any) -> None:
        """Take the column map."""
        if change["new"]:
            name, content = received(change["new"])
            self.map.value = ()
            self.columns, self.columns_name = table_of(as_text(content, name), name), name
            self._tell()

    def _tell(self) -> None:
        """Say what was taken."""
        parts = [self.name or "no records yet", self.columns_name or "no column map"]
        self.told.value = said(f"Taken: {', '.join(parts)}.").value


class WeatherPart:
    """A daily weather file to the climate of the scenario.

    Parameters
    ----------
    bench : callable
        Returns the bench.
    use : callable
        Takes what makes the next bench.
    say : callable
        Shows a sentence in the status line.
    """

    def __init__(self, bench: Callable[[], Bench], use: Use, say: Say) -> None:
        self._bench, self._use, self._say = bench, use, say
        self.given = FileAndMap(lambda: WEATHER, say)
        self.units = ipywidgets.Dropdown(description="Units", options=list(UNITS), tooltip="Units")
        self.read = Measured("Read the weather", self._read)
        self.box = ipywidgets.VBox([self.given.box, _bar(self.units), self.read.box])

    def _read(self, job: Job, measure: Measure) -> Show:
        """Read the file."""
        from lifecycle.answers.weather import weather_answer

        if self.given.content is None:
            return lambda: [said(NO_FILE)]
        measure.step(f"reading {self.given.name}")
        columns = self.given.columns or None
        found = weather_of(
            self.given.content,
            self.given.name,
            columns,
            columns_name=self.given.columns_name,
            units=self.units.value or None,
        )
        job.check()
        name = self.given.name
        answer = weather_answer(found, name, self._bench().now.units)

        def show() -> list[Any]:
            put_in = partial(self._use, lambda now: with_weather(now, found, name))
            put = _button("Use it as the climate", put_in, self._say)
            return [*parts_of(answer), _bar(put)]

        return show


class RecordsPart:
    """Records to ranges of the scenario.

    Parameters
    ----------
    bench : callable
        Returns the bench.
    use : callable
        Takes what makes the next bench.
    say : callable
        Shows a sentence in the status line.
    """

    def __init__(self, bench: Callable[[], Bench], use: Use, say: Say) -> None:
        self._bench, self._use, self._say = bench, use, say
        self.purpose = ipywidgets.Dropdown(description="What for", options=list(PURPOSES), tooltip="What for")
        self.given = FileAndMap(lambda: SHEETS if self.purpose.value == "hidden" else LOOKS, say)
        self.fit = Measured("Clean and fit", self._fit)
        self.box = ipywidgets.VBox([_bar(self.purpose), self.given.box, self.fit.box])

    def _fit(self, job: Job, measure: Measure) -> Show:
        """Clean and fit the records."""
        from lifecycle.answers.records import records_answer

        if self.given.content is None:
            return lambda: [said(NO_FILE)]
        measure.step(f"cleaning and fitting {self.given.name}")
        text = as_text(self.given.content, self.given.name)
        found = records_of(self.purpose.value, text, self.given.name, self.given.columns, self._bench().now)
        job.check()
        answer = records_answer(found, found.source)

        def show() -> list[Any]:
            put_in = partial(self._use, lambda now: with_records(now, found))
            put = _button("Use these figures", put_in, self._say)
            return [*parts_of(answer), _bar(put)]

        return show


def _button(name: str, work: Callable[[], object], say: Say) -> Any:
    """Return a button that does something."""
    button = ipywidgets.Button(description=name, tooltip=name)
    button.on_click(guarded(lambda _: work(), say))
    return button


def _bar(*widgets: Any) -> Any:
    """Return controls beside each other."""
    box = ipywidgets.Box(list(widgets))
    box.add_class("lc-bar")
    return box
