"""The commands of the analyst's bench: from records to figures."""

from __future__ import annotations

from lifecycle.cli.options.parts import Commands, add_chart, add_draws, add_json, command


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

    records = command(commands, "records", "what the records say", room="commands_records")
    records.add_argument("file", metavar="FILE", help="looks, intervals or job sheets, a CSV file")
    records.add_argument(
        "--for",
        dest="about",
        required=True,
        choices=("life", "joints", "hidden"),
        help="how long roofs last, how often joints leak, or what stripped roofs hid",
    )
    records.add_argument("--columns", metavar="MAP", help="what its columns and words mean, a TOML file")
    records.add_argument("--scenario", metavar="FILE", help="scenario that gets the figures")
    records.add_argument("--to", metavar="NEW.toml", help="write that scenario to NEW.toml")
    records.add_argument(
        "--roof", metavar="NAME", help="its roof that they are of; default: the standing one"
    )
    records.add_argument(
        "--widen", action="store_true", help="let records that are too few move the tool's own figures"
    )
    add_chart(records, "draw the lives")
    add_json(records)

    regions = command(
        commands, "regions", "what may be said by region, habit and year of sale", room="commands_regions"
    )
    regions.add_argument("file", metavar="FILE", help="regions, habits and years, a TOML file")
    regions.add_argument(
        "--fix", action="store_true", help="fix what will be answered, before records are read"
    )
    regions.add_argument(
        "--against", metavar="OLD.json", help="say what changed since another edition, and why"
    )
    regions.add_argument("--seen", metavar="SEEN.csv", help="hold what was said against what was seen")
    regions.add_argument("--region", metavar="NAME", help="write the scenario of one region, with --to")
    regions.add_argument("--to", metavar="NEW.toml", help="write it to NEW.toml")
    add_draws(regions)
    add_json(regions)
