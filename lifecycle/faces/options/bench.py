"""The commands of the analyst's bench: from records to figures."""

from __future__ import annotations

from lifecycle.faces.options.parts import Commands, add_json, command


def add(commands: Commands) -> None:
    """Add the commands that read records."""
    weather = command(commands, "weather", "a climate from a daily weather file", room="commands_weather")
    weather.add_argument("file", metavar="FILE", help="daily weather, a CSV file")
    weather.add_argument("--to", metavar="NEW.toml", help="write the climate, or the scenario with it")
    weather.add_argument("--scenario", metavar="FILE", help="scenario that gets the climate")
    weather.add_argument(
        "--units", choices=("us", "metric"), help="units of a daily export: F and in, or C and mm"
    )
    weather.add_argument("--columns", metavar="MAP", help="column map of another form, a TOML file")
    weather.add_argument("--station", metavar="NAME", help="station, where the file holds several")
    weather.add_argument(
        "--in", dest="in_units", choices=("us", "metric"), help="units to answer in; default: us"
    )
    add_json(weather)
