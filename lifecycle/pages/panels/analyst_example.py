"""What the analyst's notebook stores: an invented coach, tuned by invented records; a page shows none.

Lecture
-------
The same steps as on the page, one after the other, on files that are shipped and marked invented. The bench
is put up once and goes on from step to step; it stays in memory.

Left out: the page itself (`analyst_page`).
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from lifecycle.answers.bench import (
    Bench,
    bench,
    frame,
    implied_frame,
    objection_frame,
    record_rows,
    records_of,
    table_of,
    trial,
    weather_of,
    why_it_differs,
    with_records,
    with_weather,
)
from lifecycle.charts.small import on_a_page
from lifecycle.places import scenario_path, shipped_file

if TYPE_CHECKING:
    import pandas

    from lifecycle.answers.records import Fitted
    from lifecycle.charts.small import SmallPicture
    from lifecycle.records.weather import StationClimate

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario that is tuned."""

WEATHER, LOOKS, SHEETS = "daily-weather", "looks", "job-sheets"
"""Invented records."""

REGIONS = "three-regions.toml"
REGION_DRAWS, TRIED = 64, ("suspicion", "sellers")
"""Invented regions; futures behind them, and objections that are tried, few to be quick."""


def invented(name: str) -> tuple[bytes, dict[str, Any], str]:
    """Return content, column map and name of the map of an invented record.

    Parameters
    ----------
    name : str
        Without its ending.
    """
    columns = shipped_file("records", f"{name}-columns.toml")
    content = shipped_file("records", f"{name}.csv").read_bytes()
    return content, table_of(columns.read_text(encoding="utf-8"), columns.name), columns.name


@cache
def start() -> Bench:
    """Return the bench before anything is done."""
    from lifecycle import files

    return bench(files.load(scenario_path(EXAMPLE)))


@cache
def _weather() -> StationClimate:
    """Return the invented climate."""
    content, columns, name = invented(WEATHER)
    return weather_of(content, f"{WEATHER}.csv", columns, columns_name=name)


@cache
def fitted(purpose: str) -> Fitted:
    """Return the invented records, cleaned and fitted.

    Parameters
    ----------
    purpose : str
        "life", "joints" or "hidden".
    """
    name = SHEETS if purpose == "hidden" else LOOKS
    content, columns, _ = invented(name)
    return records_of(purpose, content.decode("utf-8"), f"{name}.csv", columns, start().first)


@cache
def tuned() -> Bench:
    """Return the bench after weather and records."""
    found = with_weather(start(), _weather(), f"{WEATHER}.csv")
    for purpose in ("life", "joints", "hidden"):
        found = with_records(found, fitted(purpose))
    return found


def places_text() -> str:
    """Return where the coach stands, and the answer in every place; nothing on a page."""
    if on_a_page():
        return ""
    from lifecycle.answers.climate import climate_answer
    from lifecycle.studies.by_place import by_place
    from lifecycle.writers.terminal import as_text

    return as_text(climate_answer(by_place(start().first)))


def implied_before() -> pandas.DataFrame | None:
    """Return what the figures imply before anything is done; nothing on a page."""
    return None if on_a_page() else implied_frame(start()).drop(columns="after")


def weather_said() -> str:
    """Return what the invented weather file says; nothing on a page."""
    if on_a_page():
        return ""
    from lifecycle.answers.weather import weather_answer
    from lifecycle.writers.terminal import as_text

    return as_text(weather_answer(_weather(), f"{WEATHER}.csv", start().first.units))


def records_said(purpose: str) -> str:
    """Return what the invented records say; nothing on a page.

    Parameters
    ----------
    purpose : str
        "life", "joints" or "hidden".
    """
    if on_a_page():
        return ""
    from lifecycle.answers.records import records_answer
    from lifecycle.writers.terminal import as_text

    found = fitted(purpose)
    return as_text(records_answer(found, found.source))


def lives_picture() -> SmallPicture | None:
    """Return the picture of lives, their points and their band; nothing on a page."""
    if on_a_page():
        return None
    from lifecycle.charts.probability_plot import probability_plot
    from lifecycle.charts.small import SmallPicture

    return SmallPicture(probability_plot(fitted("life").fit))


def implied_after() -> pandas.DataFrame | None:
    """Return what the figures imply before and after; nothing on a page."""
    return None if on_a_page() else implied_frame(tuned())


def from_records() -> pandas.DataFrame | None:
    """Return the figures that come from records now; nothing on a page."""
    if on_a_page():
        return None
    return frame(record_rows(tuned()), ("figure", "low ... likely ... high", "source"))


def regions_said() -> str:
    """Return the answer for invented regions, from few futures and objections; nothing on a page."""
    if on_a_page():
        return ""
    few = f"{REGION_DRAWS} futures and {len(TRIED)} objections only, to be quick; the command takes all."
    from lifecycle.writers.terminal import as_text

    answer = as_text(trial(str(shipped_file("regions", REGIONS)), draws=REGION_DRAWS, tried=TRIED))
    return f"{few}\n\n{answer}"


def objections_table() -> pandas.DataFrame | None:
    """Return what may be held against the tuned answer; nothing on a page."""
    return None if on_a_page() else objection_frame(tuned())


def difference_said() -> str:
    """Say why the tuned scenario answers otherwise; nothing on a page."""
    from lifecycle.writers.terminal import as_text

    return "" if on_a_page() else as_text(why_it_differs(tuned()))


def tuned_said() -> str:
    """Say what was done to the scenario, in memory only; nothing on a page."""
    if on_a_page():
        return ""
    steps = "\n".join(f"- {one}" for one in tuned().done)
    size = len(tuned().now.text.splitlines())
    return f"{steps}\nThe tuned scenario has {size} lines. It is kept in memory: save it from the page."
