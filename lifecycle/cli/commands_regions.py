"""The command about regions: guidance by region, habit and year of sale, as an edition.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. Fixing a protocol writes a
file beside it, and answers nothing; the day comes from the clock there and nowhere else, so that the same
answer has the same bytes on every day.
"""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from lifecycle.cli.given import (
    check_draws,
    place_of_scenario,
)
from lifecycle.cli.progress import Waiting
from lifecycle.errors import fault
from lifecycle.files import write

if TYPE_CHECKING:
    from lifecycle.answers.edition_answer import Edited
    from lifecycle.records.editions import Edition, Standing
    from lifecycle.records.tables import Sheet
    from lifecycle.studies.region_scenarios import Protocol
    from lifecycle.studies.regions import Region, RegionTable

Found = TypeVar("Found")

LARGEST_EDITION = 20_000_000
"""Size of the largest result file of an edition. [bytes]"""

FIXED = ".fixed"
"""What the name of a file that fixes another ends with."""


def regions(arguments: Namespace) -> str:
    """Answer by region, habit and year of sale; or fix what will be answered.

    Parameters
    ----------
    arguments : Namespace
        file, fix, against, seen, region, to, draws, seed, json.

    Returns
    -------
    str
        The answer.

    Raises
    ------
    ScenarioError
        With what is wrong with the file, or with one that it names.
    """
    if arguments.fix:
        for other in ("against", "seen", "region", "to"):
            if getattr(arguments, other) is not None:
                rule = f"must not stand beside --{other}"
                raise fault("--fix", rule, "", "fix first, and answer in a run of its own")
        return _fixed(arguments)
    if arguments.region or arguments.to:
        return _written(arguments)

    from lifecycle.answers.regions_answer import regions_text
    from lifecycle.answers.regions_result import regions_result
    from lifecycle.studies.objections import objections
    from lifecycle.studies.regions import region_table
    from lifecycle.writers import as_json

    given = _given(arguments)
    stated = given.protocol.stated
    tried = {key: one for key, one in objections().items() if key in stated.objections}
    with Waiting() as waiting:
        waiting.step("regions, as stated and under every objection")
        asked = {"draws": arguments.draws, "seed": arguments.seed}
        try:
            table = region_table(
                given.regions, stated.habits, stated.years, tried, **asked, progress=waiting.part
            )
        except ValueError as error:
            raise fault(given.protocol.source, "cannot be answered", "", str(error)) from None
        edited = _edited(given, table, waiting)
    if arguments.json:
        return as_json(regions_result(given.protocol, given.standing, table, edited))
    return regions_text(given.protocol, given.standing, table, edited.text())


@dataclass(frozen=True)
class _Given:
    """Everything that was read, before anything is worked out."""

    protocol: Protocol
    regions: tuple[Region, ...]
    standing: Standing
    before: Edition | None
    seen: Sheet | None


def _given(arguments: Namespace) -> _Given:
    """Read everything, and say at once all that is wrong."""
    from lifecycle.errors import Fault, ScenarioError
    from lifecycle.files import load_text
    from lifecycle.records.editions import read_edition
    from lifecycle.records.tables import read_sheet
    from lifecycle.studies.region_scenarios import load_protocol, load_regions

    faults: list[Fault] = []

    def tried(read: Callable[[], Found]) -> Found | None:
        try:
            return read()
        except ScenarioError as error:
            faults.extend(error.faults)
            return None

    tried(lambda: check_draws(arguments.draws, arguments.seed))
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
    sheet = tried(lambda: read_sheet(load_text(seen), Path(seen).name)) if seen else None
    if faults or protocol is None or every is None or standing is None:
        raise ScenarioError(faults, Path(arguments.file).name)
    return _Given(protocol, every, standing, before, sheet)


def _standing(file: str, protocol: Protocol) -> Standing:
    """Return how a protocol stands to what was fixed beside it."""
    from lifecycle.files import load_table
    from lifecycle.records.editions import Standing, read_fixed, rule_sha256

    beside = file + FIXED
    fixed = read_fixed(load_table(beside), Path(beside).name) if Path(beside).exists() else None
    return Standing(protocol.sha256, rule_sha256(), fixed)


def _fixed(arguments: Namespace) -> str:
    """Fix a protocol and say so."""
    from datetime import date

    from lifecycle.records.editions import fixed_text
    from lifecycle.studies.region_scenarios import check_protocol, load_protocol

    protocol = load_protocol(arguments.file)
    check_protocol(protocol)
    place = place_of_scenario(arguments.file + FIXED)
    today = date.today()
    write(place, fixed_text(protocol.source, protocol.sha256, today).encode())
    return (
        f"Fixed on {today.isoformat()}: {place}. Keep both files. From now on an answer is this edition only "
        "if the protocol, the rule and the objections stay as they are."
    )


def _written(arguments: Namespace) -> str:
    """Write the scenario of one region, so that its figures can be looked into."""
    from lifecycle.errors import nearest
    from lifecycle.studies.region_scenarios import load_protocol, load_regions

    if not (arguments.region and arguments.to):
        remedy = "--region NAME --to NEW.toml"
        raise fault("--region", "and --to go together", "one of them", remedy)
    every = {region.name: region for region in load_regions(load_protocol(arguments.file))}
    if arguments.region not in every:
        rule = "must be a region of the file"
        raise fault("--region", rule, arguments.region, nearest(arguments.region, tuple(every)))
    region = every[arguments.region]
    if not any(map(region.shown, region.coaches or ())) and region.coaches is not None:
        raise fault("--region", "has too few records to be shown", arguments.region, "name another region")
    if region.scenario.price_lists:
        rule = "cannot be written apart from its price lists"
        raise fault("--region", rule, arguments.region, "work with the scenario that it starts from")
    place = place_of_scenario(arguments.to)
    write(place, region.scenario.text.encode())
    return f'Written to {place}. Now: lifecycle figures {place} --why "cheaper or dearer by"'


def _edited(given: _Given, table: RegionTable, waiting: Waiting) -> Edited:
    """Hold the answer against another edition, and what was said against what was seen."""
    from lifecycle.answers.edition_answer import Edited
    from lifecycle.records.editions import Told, calibration, moved, read_seen, shared_sha256

    now = {key: Told(cell.stated.of_20, cell.stated.word, cell.firmness) for key, cell in table.cells.items()}
    before = given.before
    said = now if before is None else before.cells
    seen = None if given.seen is None else calibration(said, read_seen(given.seen, said))
    if before is None:
        return Edited(seen=seen)
    waiting.step("what changed since, and why")
    causes = _causes(table, before)
    same_tool, same_draws = before.figures == shared_sha256(), before.drawn == (table.draws, table.seed)
    return Edited(before, moved(before.cells, now), causes, same_tool, same_draws, seen)


def _causes(table: RegionTable, before: Edition) -> dict[str, str]:
    """Say for each region whose scenario is another why its answer is."""
    from lifecycle.answers.difference import first_sentence
    from lifecycle.errors import ScenarioError
    from lifecycle.files import loads
    from lifecycle.language.labels import years_text
    from lifecycle.studies.difference import difference

    found = {}
    for region in table.regions:
        text = before.scenarios.get(region.name)
        if text is None or region.name not in table.memory or text == region.scenario.text:
            continue
        try:
            split = difference(loads(text, region.name), region.scenario)
        except (ScenarioError, ValueError):
            found[region.name] = "the scenario of the older edition can no longer be read or compared"
            continue
        years = years_text(region.scenario.likely(region.scenario.owner["holding_period"]))
        found[region.name] = f"{first_sentence(split)} (At likely values, kept {years}.)"
    return found
