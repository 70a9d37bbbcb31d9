"""The command about weather: from a daily weather file to the climate of a scenario.

Lecture
-------
As in `commands`. The file may be large: it is read in pieces, with a bar that shows how far. The climate
is written as a section `[climate]`; with a scenario named, as that scenario with the section in place,
its other lines and comments as they were.
"""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.given import (
    loaded,
    place_of_scenario,
)
from lifecycle.cli.progress import Waiting
from lifecycle.errors import fault
from lifecycle.files import write

if TYPE_CHECKING:
    from lifecycle.records.weather import DailyRecord, StationClimate
    from lifecycle.scenario import Scenario


def weather(arguments: Namespace) -> str:
    """Answer what a daily weather file says of a climate.

    Parameters
    ----------
    arguments : Namespace
        file, to, scenario, units, columns, station, in_units, json.

    Returns
    -------
    str
        The answer; with a place to write to, the file is written.

    Raises
    ------
    ScenarioError
        With what is wrong with the file, the map, the scenario, or the place to write to.
    """
    place = place_of_scenario(arguments.to) if arguments.to else None
    scenario = loaded(arguments.scenario) if arguments.scenario else None
    if scenario is not None and place is None:
        raise fault("--scenario", "needs a place to write to", arguments.scenario, "--to NEW.toml")
    units = scenario.units if scenario is not None else arguments.in_units or "us"

    from lifecycle.answers.weather_answer import weather_result, weather_text
    from lifecycle.records.weather import station_climate
    from lifecycle.writers import as_json

    source = Path(arguments.file).name
    found = station_climate(_read(arguments, source))
    written = [] if place is None else [_written(found, source, scenario, units, place)]
    if arguments.json:
        return as_json(weather_result(found, source))
    return "\n\n".join([weather_text(found, source, units), *written])


def _read(arguments: Namespace, source: str) -> DailyRecord:
    """Read the weather file in pieces."""
    from lifecycle.files import load_table, opened
    from lifecycle.records.weather import day_columns, read_daily

    if arguments.units and arguments.columns:
        raise fault("--units", "must not stand beside --columns", arguments.units, "the map says the units")
    columns = day_columns(load_table(arguments.columns), arguments.columns) if arguments.columns else None
    with opened(arguments.file) as file, Waiting() as waiting:
        waiting.step("reading the weather")
        size = Path(arguments.file).stat().st_size
        return read_daily(
            file,
            source,
            units=arguments.units,
            columns=columns,
            station=arguments.station,
            told=lambda done: waiting.part(done, size),
        )


def _written(found: StationClimate, source: str, scenario: Scenario | None, units: str, place: Path) -> str:
    """Write the climate, alone or into a scenario, and say where it is."""
    from lifecycle.answers.climate_section import climate_alone, climate_into
    from lifecycle.answers.weather_answer import figures_of

    figures = figures_of(found, source, units)
    text = climate_alone(figures, units) if scenario is None else climate_into(scenario, figures)
    if scenario is not None and not scenario.price_lists:  # a price list lies beside the first file
        from lifecycle.files import loads

        loads(text, str(place))
    write(place, text.encode("utf-8"))
    return f"Written to {place}." + (f" Now: lifecycle compare {place}" if scenario is not None else "")
