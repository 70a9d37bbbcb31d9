"""The analyst's bench: one scenario before and after its figures were replaced by records.

Lecture
-------
Everything here keeps in memory: a scenario is tuned step by step, each step a new text that is read back
and checked, with what was done in words. Nothing is written; whoever wants the tuned file saves its text.

- *weather*: a daily record becomes the climate. *records*: looks and job sheets become ranges.
- *implied*: what the figures say together, before and after, under one upkeep plan.
- *objections*: the answer again with each objection, as regional guidance counts it, for one region: this
  scenario.
- *difference*: before and after, split by cause.

Left out: the fits and the studies themselves.
"""

from __future__ import annotations

import io
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.language.sentences import say, words
from lifecycle.scenario import Scenario

if TYPE_CHECKING:
    import pandas

    from lifecycle.answers.blocks import Answer
    from lifecycle.answers.records import Fitted
    from lifecycle.records.weather import StationClimate
    from lifecycle.studies.futures import Progress

PLAN = "shop_every_year"
"""Upkeep plan under which figures are looked at, if not said otherwise."""

FEW_DRAWS = 256
"""Futures behind objections where it must be quick."""


@dataclass(frozen=True)
class Workbench:
    """A scenario before and after.

    Parameters
    ----------
    first, now : Scenario
        As it came, and as it stands.
    done : tuple of str
        What was done to it, in order.
    longer : float or None
        How many times as long lives look without the correction for roofs that ended early. [-]
    """

    first: Scenario
    now: Scenario
    done: tuple[str, ...] = ()
    longer: float | None = None

    def __repr__(self) -> str:
        """Name the scenario and what was done to it."""
        return "\n".join([say("workbench.on", title=self.first.title), *(f"  {one}" for one in self.done)])

    def with_weather(self, file: str | Path, *, columns: str | Path | None = None) -> Workbench:
        """Return the bench with the climate of a daily weather file; errors are those of `weather`."""
        from lifecycle.records.weather import weather

        return with_weather(self, weather(file, columns=columns), Path(file).name)

    def fit(self, file: str | Path, purpose: str, *, columns: str | Path | None = None) -> Fitted:
        """Clean and fit records."""
        from lifecycle.files import load_table, load_text
        from lifecycle.records.tables import LARGEST

        known = load_table(columns) if columns is not None else {}
        return records_of(purpose, load_text(file, largest=LARGEST), Path(file).name, known, self.first)

    def with_records(self, found: Fitted) -> Workbench:
        """Return the bench with estimates in the place of judgement."""
        return with_records(self, found)

    def to_frame(self) -> pandas.DataFrame:
        """Return what the figures imply together, before and after."""
        return frame(implied_rows(self), tuple(words("workbench.implied_heads")))

    def from_records(self) -> pandas.DataFrame:
        """Return the figures that come from records now, with their ends and sources."""
        return frame(record_rows(self), tuple(words("workbench.record_heads")))

    def objections(self) -> pandas.DataFrame:
        """Return the answer of now as stated, and under each objection."""
        return frame(objection_rows(self), tuple(words("analyst.page.objection_heads")))


def workbench(scenario: Scenario) -> Workbench:
    """Put a scenario on the bench."""
    return Workbench(scenario, scenario)


def with_text(before: Workbench, text: str, done: str) -> Workbench:
    """Return the bench with a new text of the scenario."""
    from lifecycle.files import loads

    now = loads(text, before.now.source, beside=beside(before.now))
    return replace(before, now=now, done=(*before.done, done))


def beside(scenario: Scenario) -> str | None:
    """Return the folder of the price lists that a scenario names, if it came from a folder."""
    return str(Path(scenario.source).parent) if Path(scenario.source).is_file() else None


def table_of(text: str, name: str) -> dict[str, Any]:
    """Parse a column map that was handed over.

    Examples
    --------
    >>> table_of("units = 'us'", "map.toml")
    {'units': 'us'}
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ScenarioError([Fault(name, f"must be TOML: {error}")], name) from None


def weather_of(
    content: bytes,
    name: str,
    columns: Mapping[str, Any] | None = None,
    *,
    columns_name: str = "",
    units: str | None = None,
) -> StationClimate:
    """Read a daily weather file that was handed over."""
    from lifecycle.records.columns import read_map
    from lifecycle.records.weather import read_daily, station_climate

    known = read_map(columns, columns_name) if columns is not None else None
    record = read_daily(io.BytesIO(content), name, units=units, columns=known)
    return station_climate(record, None if known is None else known.places)


def with_weather(before: Workbench, found: StationClimate, name: str) -> Workbench:
    """Return the bench with the climate of a station."""
    from lifecycle.answers.weather import climate_into, figures_of

    done = (
        say("workbench.climate", station=found.station, file=name)
        if found.station
        else say("workbench.climate_alone", file=name)
    )
    text = climate_into(before.now, figures_of(found, name, before.now.units))
    return with_text(before, text, done)


def records_of(purpose: str, text: str, name: str, columns: Mapping[str, Any], scenario: Scenario) -> Fitted:
    """Clean and fit records that were handed over."""
    from lifecycle.answers.records import fit_records
    from lifecycle.files import shared
    from lifecycle.records.columns import read_map
    from lifecycle.records.tables import read_sheet

    known = read_map(dict(columns), name, tuple(shared()["plans"]))
    return fit_records(purpose, read_sheet(text, name), known, scenario)


def with_records(before: Workbench, found: Fitted) -> Workbench:
    """Return the bench with estimates in the place of judgement."""
    from lifecycle.answers.records import tuned

    text, _ = tuned(before.now, found, beside=beside(before.now))
    after = with_text(before, text, found.source)
    ignored = found.more.get("entry_ignored")
    mean = {one.name: one.likely for one in found.estimates}.get("life_mean")
    return after if ignored is None or mean is None else replace(after, longer=float(ignored) / mean)


def implied_rows(before: Workbench, plan: str = PLAN) -> list[tuple[str, str, str]]:
    """Return what the figures imply together, before and after."""
    from lifecycle.answers.figures import implied_text, quantity_label
    from lifecycle.studies.implied import QUANTITIES, implied

    both = [{one.plan: one.implied for one in implied(scenario)} for scenario in (before.first, before.now)]
    if plan not in both[0] or plan not in both[1]:
        raise ScenarioError([Fault(plan, "is no upkeep plan", remedy=nearest(plan, tuple(both[0])))])
    shown = [quantity for quantity in QUANTITIES if quantity.age is None]
    first, now = (values[plan] for values in both)
    return [
        (quantity_label(one, before.now.currency), implied_text(first[one.name]), implied_text(now[one.name]))
        for one in shown
    ]


def objection_rows(
    before: Workbench, *, plan: str = PLAN, draws: int = FEW_DRAWS, progress: Progress | None = None
) -> list[tuple[str, str, str]]:
    """Return the answer as stated and under each objection."""
    from lifecycle.studies.objections import objections
    from lifecycle.studies.regions import Region, region_table

    year = max(1, round(before.now.likely(before.now.owner["holding_period"])))
    here = say("workbench.here")
    region = Region(here, "", before.now, longer=before.longer)
    table = region_table([region], [plan], [year], objections(), draws=draws, progress=progress)
    (cell,) = table.cells.values()
    rows = [(say("workbench.as_stated"), _of_20(cell.stated), cell.stated.word)]
    for key, one in objections().items():
        tried = cell.objected.get(key)
        untried = table.untried.get(key, {}).get(here, "")
        cells = (_of_20(tried), tried.word) if tried is not None else (say("workbench.not_tried"), untried)
        rows.append((one.title, *cells))
    return rows


def _of_20(said: Any) -> str:
    """Return in how many of 20 futures the change is cheaper."""
    return say("counts.of_20", number=said.of_20)


def frame(rows: Sequence[tuple[str, ...]], heads: tuple[str, ...]) -> pandas.DataFrame:
    """Return rows of text as a table whose first column names them."""
    import pandas

    table = pandas.DataFrame(
        [row[1:] for row in rows], index=[row[0] for row in rows], columns=list(heads[1:])
    )
    table.index.name = heads[0]
    return table


def why_it_differs(before: Workbench, progress: Progress | None = None) -> Answer:
    """Answer why the scenario before and the one after differ."""
    from lifecycle.answers.difference import difference_answer, what_to_do
    from lifecycle.studies.difference import difference

    found = difference(before.first, before.now, progress=progress)
    to_do = what_to_do(before.first), what_to_do(before.now)
    return difference_answer(before.first, before.now, found, to_do)


def record_rows(before: Workbench) -> list[tuple[str, str, str]]:
    """Return the figures that come from records now."""
    from lifecycle.studies.register import register

    return [
        (line.label, line.figure, line.source)
        for line in register(before.now).entries
        if line.basis == "record"
    ]
