"""Commands that take other files than a scenario: what they are given is loaded, and a question answers.

Lecture
-------
Each takes its parsed arguments, checks and loads what they name, and returns an `Answer`. What a command
that studies one scenario does stands in `arguments`.
"""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from lifecycle.cli.arguments import Waiting, loaded, made_place, place_of_scenario
from lifecycle.errors import Fault, ScenarioError, fault, nearest
from lifecycle.files import write
from lifecycle.language.sentences import say

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.answers.records import Fitted
    from lifecycle.answers.regions import Asked
    from lifecycle.records.columns import ColumnMap, Places
    from lifecycle.records.editions import Standing
    from lifecycle.records.handover import FilmCheck
    from lifecycle.records.logbook import Log
    from lifecycle.records.tables import Sheet
    from lifecycle.records.weather import DailyRecord, StationClimate
    from lifecycle.scenario import Scenario
    from lifecycle.studies.region_scenarios import Protocol
    from lifecycle.studies.regions import Answering

Found = TypeVar("Found")

LARGEST_EDITION = 200_000_000
"""Size of the largest result file of an edition. [bytes]"""

FIXED = ".fixed"
"""What the name of a file that fixes another ends with."""


def quote(arguments: Namespace) -> Answer:
    """Load scenarios with quotes, and what was found; answer whether they are complete, and will hold."""
    from lifecycle.answers.quote import quote as answered
    from lifecycle.files import load_found

    scenarios = [loaded(file, arguments.years) for file in arguments.files]
    if _wants_paper(scenarios, arguments):
        from lifecycle.cli.asking import write_paper_quote

        write_paper_quote(scenarios[0], arguments.answers)
        scenarios = [loaded(arguments.files[0], arguments.years)]
    _check_quotes(scenarios, arguments)
    trouble = any(scenario.trouble for scenario in scenarios)
    found = load_found(arguments.found, scenarios[0]) if arguments.found and not trouble else None
    return answered(scenarios, found=found, schedule=arguments.schedule)


def _wants_paper(scenarios: Sequence[Scenario], arguments: Namespace) -> bool:
    """Whether the one scenario was written from answers and has no quote yet: its paper is asked for."""
    first = scenarios[0]
    wants = len(scenarios) == 1 and bool(first.answers) and not first.quotes and first.currency == "USD"
    if arguments.answers and not wants:
        rule = "is for one scenario from `lifecycle new` that has no quote yet"
        raise fault("--answers", rule, arguments.answers, "leave it out")
    return wants and not first.trouble


def _check_quotes(scenarios: Sequence[Scenario], arguments: Namespace) -> None:
    """Check that there are quotes, in one currency, and what the options need."""
    from lifecycle.scenario.takeoff import takeoff_of

    faults = [
        Fault(
            scenario.source,
            "must have a quote",
            remedy="write [quotes.NAME], with its items as [[quotes.NAME.items]]; "
            "scenarios/two-quotes.toml shows how",
        )
        for scenario in scenarios
        if not scenario.quotes and not scenario.trouble
    ]
    currencies = dict.fromkeys(scenario.currency for scenario in scenarios)
    if len(currencies) > 1:
        got = ", ".join(currencies)
        faults.append(Fault("currency", "must be the same in all scenarios: nothing is converted", got))
    if arguments.schedule and not any(scenario.loan for scenario in scenarios):
        rule = "needs a loan: write [loan] with principal, rate, months and the way that it pays for"
        faults.append(Fault("--schedule", rule, "no [loan]"))
    if arguments.found and len(scenarios) > 1:
        faults.append(Fault("--found", "is about one scenario", f"{len(scenarios)} scenarios", "name one"))
    if arguments.chart and takeoff_of(scenarios[0]) is None:
        remedy = "measure the coach: [coach]"
        faults.append(Fault("--chart", "draws the roof of a coach", "no [coach]", remedy))
    if faults:
        raise ScenarioError(faults)


def difference(arguments: Namespace) -> Answer:
    """Load two scenarios; answer why they differ, or what changed in the answer of one since a version."""
    from lifecycle.answers.difference import changed_since
    from lifecycle.answers.difference import difference as answered

    if arguments.since is not None:
        then = _then(arguments)
        with Waiting() as waiting:
            now = loaded(arguments.first, arguments.years)
            return changed_since(then, now, arguments.since, seed=arguments.seed, told=waiting)
    if arguments.second is None:
        raise fault("B", "is needed", "", "name another scenario, or add --since with a version of the tool")
    first, second = (loaded(file, arguments.years) for file in (arguments.first, arguments.second))
    _check_two(first, second, arguments)
    with Waiting() as waiting:
        return answered(first, second, seed=arguments.seed, told=waiting)


def _then(arguments: Namespace) -> Scenario:
    """Load the scenario with the figures of an earlier version, and check that it can be compared."""
    from lifecycle.files import EDITIONS

    if arguments.second is not None:
        raise fault(
            "--since", "stands instead of a second scenario", arguments.second, "leave one of them out"
        )
    if arguments.since not in EDITIONS:
        rule = f"must be a version whose figures are known: {', '.join(EDITIONS)}"
        raise fault("--since", rule, arguments.since, nearest(arguments.since, EDITIONS))
    scenario = loaded(arguments.first, arguments.years, arguments.since)
    _check_two(scenario, scenario, arguments)
    return scenario


def _check_two(first: Scenario, second: Scenario, arguments: Namespace) -> None:
    """Check that two scenarios can be compared with each other."""
    from lifecycle.studies.switching import ways_in_question

    faults = []
    named = (
        {arguments.first: first} if first is second else {arguments.first: first, arguments.second: second}
    )
    for name, scenario in named.items():
        try:
            ways_in_question(scenario, None, None)
        except ValueError as error:
            faults.append(Fault(name, "must have something to compare", "", str(error)))
    if first.currency != second.currency:
        rule, got = "must be in the currency of the first", second.currency or "no currency"
        faults.append(Fault(arguments.second, rule, got, f"state both in {first.currency or 'one currency'}"))
    if faults:
        raise ScenarioError(faults)


def handover(arguments: Namespace) -> Answer:
    """Load film readings; answer whether the film is as promised, and list what must work."""
    from lifecycle.answers.handover import handover_answer

    stated = arguments.units or ""
    return handover_answer(*_film(arguments.file, arguments.film, stated, _columns(arguments), sure=stated))


def _film(
    readings: str, film: str, units: str, columns: ColumnMap | None = None, *, sure: str = ""
) -> tuple[FilmCheck, str]:
    """Hold film readings against the film promised; return their unit too, checked unless it is `sure`."""
    from lifecycle.files import opened
    from lifecycle.records.handover import asked_for_unit, check_film, film_of, read_readings

    promised, unit = film_of(film, units)
    with opened(readings) as file:
        check = check_film(read_readings(file, readings, columns, unit), promised)
    if not sure:
        asked_for_unit(check, unit)
    return check, unit


def logbook(arguments: Namespace) -> Answer:
    """Load a log and its scenario; answer whether the answer still stands, or make the page for the buyer."""
    if arguments.readings and not arguments.buyer:
        raise fault("--readings", "belong to the page for the buyer", "", "add --buyer")
    if arguments.film is not None and not arguments.readings:
        raise fault("--film", "belongs to film readings", str(arguments.film), "add --readings FILE.csv")
    today = _day(arguments.today)
    scenario = loaded(arguments.scenario)
    log = _log(arguments.file, scenario, today, arguments.way, _columns(arguments))
    if arguments.buyer:
        from lifecycle.answers.handover import for_buyer, promised_film

        if not arguments.readings:
            return for_buyer(scenario, log, None)
        promised = arguments.film if arguments.film is not None else promised_film(scenario)
        if promised is None:
            raise fault("--film", "must be the dry film promised", "nothing", "the film of the quote")
        film, _ = _film(arguments.readings, str(promised), scenario.units)
        return for_buyer(scenario, log, film)

    from lifecycle.answers.logbook import logbook as answered
    from lifecycle.studies.futures import in_futures

    with Waiting() as waiting:
        return in_futures(
            lambda: answered(scenario, log, draws=arguments.draws, seed=arguments.seed, told=waiting),
            scenario,
        )


def _day(raw: str | None) -> date:
    """Return the day to which the log runs."""
    if raw is None:
        return date.today()
    try:
        return date.fromisoformat(raw)
    except ValueError:
        raise fault(
            "--today", "must be a day written as YYYY-MM-DD", raw, "for instance 2030-04-20"
        ) from None


def _columns(arguments: Namespace) -> ColumnMap | None:
    """Load the column map that was named; None: our own names hold."""
    from lifecycle.records.columns import load_map

    return load_map(arguments.columns) if arguments.columns else None


def _log(file: str, scenario: Scenario, today: date, way: str | None, known: ColumnMap | None) -> Log:
    """Read a log and hold it against its scenario."""
    from lifecycle.files import load_table, load_text, opened
    from lifecycle.records.logbook import checked_log, kinds_of, read_csv, read_table

    kinds = kinds_of(scenario)
    if file.lower().endswith(".toml"):
        written = read_table(load_table(file), load_text(file), file, kinds)
    elif file.lower().endswith((".csv", ".csv.gz")):
        with opened(file) as table:
            written = read_csv(table, file, kinds, known)
    else:
        raise fault(file, "must be a log: a file ending in .toml or .csv", "", "save it as one of them")
    return checked_log(
        written.entries, scenario, today, way=way or written.way, source=file, faults=written.faults
    )


def weather(arguments: Namespace) -> Answer:
    """Read a daily weather file, in pieces; answer what it says of a climate, and write that if asked."""
    place = made_place(arguments)
    scenario = loaded(arguments.scenario) if arguments.scenario else None
    if scenario is not None and place is None:
        raise fault("--scenario", "needs a place to write to", arguments.scenario, "--to NEW.toml")
    units = scenario.units if scenario is not None else arguments.in_units or "us"

    from lifecycle.answers.weather import weather_answer
    from lifecycle.records.weather import station_climate

    source = Path(arguments.file).name
    found = station_climate(*_weather_read(arguments, source))
    written = "" if place is None else _climate_written(found, source, scenario, units, place)
    return weather_answer(found, source, units, written)


def _weather_read(arguments: Namespace, source: str) -> tuple[DailyRecord, Places | None]:
    """Read the weather file in pieces; return it, and where its column map says that the station is."""
    from lifecycle.files import opened
    from lifecycle.records.weather import read_daily

    if arguments.units and arguments.columns:
        raise fault("--units", "must not stand beside --columns", arguments.units, "the map says the units")
    columns = _columns(arguments)
    with opened(arguments.file) as file, Waiting() as waiting:
        waiting.step(say("weather.reading"))
        size = Path(arguments.file).stat().st_size
        record = read_daily(
            file,
            source,
            units=arguments.units,
            columns=columns,
            station=arguments.station,
            told=lambda done: waiting.part(done, size),
        )
    return record, None if columns is None else columns.places


def _climate_written(
    found: StationClimate, source: str, scenario: Scenario | None, units: str, place: Path
) -> str:
    """Write the climate, alone or into a scenario, all else as it was; say where it is."""
    from lifecycle.answers.weather import climate_alone, climate_into, figures_of

    figures = figures_of(found, source, units)
    text = climate_alone(figures, units) if scenario is None else climate_into(scenario, figures)
    if scenario is not None and not scenario.price_lists:  # a price list lies beside the first file
        from lifecycle.files import loads

        loads(text, str(place))
    write(place, text.encode("utf-8"))
    return say("weather.written" if scenario is None else "asking.written", place=place)


def regions(arguments: Namespace) -> Answer | str:
    """Load regions; answer by region, habit and year of sale, fix what will be answered, or write a region.

    Fixing writes a file beside the protocol, and answers nothing; the day comes from the clock there and
    nowhere else, so that the same answer has the same bytes on every day.
    """
    if arguments.fix:
        for other in ("against", "seen", "region", "to"):
            if getattr(arguments, other) is not None:
                rule = f"must not stand beside --{other}"
                raise fault("--fix", rule, "", "fix first, and answer in a run of its own")
        return _fixed(arguments.file)
    place = made_place(arguments)
    if arguments.region or place:
        return _region_written(arguments.file, arguments.region, place)

    from lifecycle.answers.regions import regions as answered

    asked = _asked(arguments)
    with Waiting() as waiting:
        return answered(asked, draws=arguments.draws, seed=arguments.seed, told=waiting, by=_by(arguments))


def _by(arguments: Namespace) -> Answering | None:
    """Return what answers regions: kept in folders, by several workers; None: here, and nothing is kept."""
    from lifecycle.cli.sweeping import check_workers
    from lifecycle.studies.regions import kept_in

    check_workers(arguments)
    if not arguments.parts and (arguments.workers > 1 or arguments.cluster):
        rule = "is needed for that: each region is kept as it is done"
        raise fault("--parts", rule, "", "name a folder: --parts FOLDER")
    if not arguments.parts:
        return None
    folders = [Path(name) for name in arguments.parts]
    return kept_in(folders, workers=arguments.workers, cluster=arguments.cluster or "")


def _asked(arguments: Namespace) -> Asked:
    """Read everything, and say at once all that is wrong."""
    from lifecycle.answers.regions import Asked
    from lifecycle.files import load_text
    from lifecycle.records.editions import read_edition
    from lifecycle.studies.region_scenarios import load_protocol, load_regions

    faults: list[Fault] = []

    def tried(read: Callable[[], Found]) -> Found | None:
        try:
            return read()
        except ScenarioError as error:
            faults.extend(error.faults)
            return None

    protocol = tried(lambda: load_protocol(arguments.file))
    every = tried(lambda: load_regions(protocol)) if protocol else None
    standing = tried(lambda: _standing(arguments.file, protocol)) if protocol else None
    name = arguments.against
    before = (
        tried(lambda: read_edition(load_text(name, largest=LARGEST_EDITION), Path(name).name))
        if name
        else None
    )
    seen = arguments.seen
    sheet = tried(lambda: _sheet(seen)) if seen else None
    if faults or protocol is None or every is None or standing is None:
        raise ScenarioError(faults, Path(arguments.file).name)
    return Asked(protocol, every, standing, before, sheet)


def _sheet(path: str) -> Sheet:
    """Read a table."""
    from lifecycle.files import opened
    from lifecycle.records.tables import read_sheet

    with opened(path) as file:
        return read_sheet(file, Path(path).name)


def _standing(file: str, protocol: Protocol) -> Standing:
    """Return how a protocol stands to what was fixed beside it."""
    from lifecycle.files import load_table
    from lifecycle.records.editions import Standing, digests_of, read_fixed

    beside = file + FIXED
    fixed = read_fixed(load_table(beside), Path(beside).name) if Path(beside).exists() else None
    return Standing(digests_of(protocol), fixed)


def _fixed(file: str) -> str:
    """Fix a protocol and say so."""
    from lifecycle.records.editions import digests_of, fixed_text
    from lifecycle.studies.region_scenarios import check_protocol, load_protocol

    protocol = load_protocol(file)
    check_protocol(protocol)
    place = place_of_scenario(file + FIXED)
    today = date.today()
    write(place, fixed_text(protocol.source, digests_of(protocol), today).encode())
    return say("regions.fixed", day=today.isoformat(), place=place)


def _region_written(file: str, name: str | None, place: Path | None) -> str:
    """Write the scenario of one region, so that its figures can be looked into."""
    from lifecycle.studies.region_scenarios import load_protocol, load_regions

    if name is None or place is None:
        raise fault("--region", "and --to go together", "one of them", "--region NAME --to NEW.toml")
    every = {region.name: region for region in load_regions(load_protocol(file))}
    if name not in every:
        raise fault("--region", "must be a region of the file", name, nearest(name, tuple(every)))
    region = every[name]
    if not any(map(region.shown, region.coaches or ())) and region.coaches is not None:
        raise fault("--region", "has too few records to be shown", name, "name another region")
    if region.scenario.price_lists:
        rule = "cannot be written apart from its price lists"
        raise fault("--region", rule, name, "work with the scenario that it starts from")
    write(place, region.scenario.text.encode())
    return say("regions.written", place=place)


def records(arguments: Namespace) -> Answer:
    """Clean and fit records; answer what they say, and write it into a scenario if asked."""
    if arguments.chart and arguments.about != "life":
        raise fault("--chart", "draws lives only", f"--for {arguments.about}", "leave it out")
    place = made_place(arguments)
    alone = arguments.scenario and arguments.about == "hidden"
    if bool(arguments.scenario) != bool(place) and not alone:
        raise fault("--scenario", "and --to go together", "one of them", "name the scenario and the new file")
    scenario = loaded(arguments.scenario) if arguments.scenario else None

    from lifecycle.answers.records import fit_records, records_answer
    from lifecycle.files import shared
    from lifecycle.records.columns import load_map

    known = load_map(arguments.columns, tuple(shared()["plans"]))
    sheet = _sheet(arguments.file)
    found = fit_records(arguments.about, sheet, known, scenario, arguments.roof, widen=arguments.widen)
    if arguments.chart and not found.fit.points[0].size:
        rule = "draws a single line of ends; there is none here"
        raise fault("--chart", rule, "too few ends, or a life that depends on numbers", "leave it out")
    written = _records_written(scenario, found, arguments.roof, place) if scenario and place else ()
    return records_answer(found, Path(arguments.file).name, written)


def _records_written(scenario: Scenario, found: Fitted, roof: str | None, place: Path) -> tuple[str, ...]:
    """Write the new scenario, if any figure changes, and say what does."""
    from lifecycle.answers.records import tuned, tuned_lines

    text, exchanged = tuned(scenario, found, roof=roof, beside=str(place.parent))
    if exchanged:
        write(place, text.encode(), new=True)
    return tuned_lines(exchanged, found.together, str(place))
