"""From a file of regions to a scenario for each: the base scenario, or one from records, in its climate.

Lecture
-------
A region is the base scenario with another climate. Only what says where it stands is exchanged: the
place or places, and drivers of a climate. Cover, how strongly a roof responds and the reference stay as
they are. The new text is read like any other, so a region's scenario can be kept, compared and asked for
its sources as every scenario can.

A region with records names a scenario that they were written into; its climate is exchanged in the same
way, if the region states one. What the records command said of lives, as JSON, gives how much longer they
look if roofs that ended early are forgotten.

What cannot be answered for is a fault: trouble reported, one way only, no range in any figure, a year of
sale beyond the years shown, another currency.

Left out: units of a climate file that does not say them; they are those of the scenario.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lifecycle.data import words_of
from lifecycle.errors import Fault, ScenarioError, stop_at
from lifecycle.files import WHERE, data, load, load_table, load_text, restated, shared
from lifecycle.plans import under_every_plan
from lifecycle.quantities import fields_from, number_text
from lifecycle.reading.reader import Reader
from lifecycle.reading.regions import RegionsFile, StatedRegion, read_regions
from lifecycle.scenario import Scenario
from lifecycle.studies.objections import RECORD, objections
from lifecycle.studies.regions import Region

AT_REFERENCE = "place and size taken out"
"""Stands in the source of figures from records that hold on the reference coach in the reference climate."""


@dataclass(frozen=True)
class Protocol:
    """A file of regions as it was read.

    Parameters
    ----------
    stated : RegionsFile
        What it says.
    folder, source : str
        Where it lies, and its name.
    sha256 : str
        Digest of its text.
    faults : tuple of Fault
        What is wrong with it; with any it is not to be used.
    """

    stated: RegionsFile
    folder: str
    source: str
    sha256: str
    faults: tuple[Fault, ...]


def load_protocol(path: str) -> Protocol:
    """Load a file of regions; the files that it names are not opened."""
    name = os.path.basename(path)
    text = load_text(path)
    layout = fields_from(data("regions.toml"))
    reader = Reader(layout, load_table(path), shared())
    stated, faults = read_regions(reader, tuple(objections()), text=text, source=name)
    return Protocol(stated, os.path.dirname(path), name, hashlib.sha256(text.encode()).hexdigest(), faults)


def check_protocol(protocol: Protocol) -> None:
    """Check a file of regions and the scenario that they start from; records may still be missing.

    Raises ScenarioError with all that is wrong.
    """
    faults = list(protocol.faults)
    _base(protocol, faults)
    stop_at(faults, protocol.source)


def files_of(protocol: Protocol) -> dict[str, str]:
    """Return the digest of every file that regions name, price lists within; "": it is not there."""
    stated = protocol.stated
    scenarios = [stated.scenario, *(one.records for one in stated.regions)]
    others = [name for one in stated.regions for name in (one.climate, one.lives)]
    found = {name: _digest_of_scenario(protocol.folder, name) for name in scenarios if name}
    return found | {name: _digest_of_file(protocol.folder, name) for name in others if name}


def _digest_of_scenario(folder: str, name: str) -> str:
    """Return the digest of a scenario with the price lists that it names."""
    try:
        return load(os.path.join(folder, name)).sha256
    except ScenarioError:
        return _digest_of_file(folder, name)


def _digest_of_file(folder: str, name: str) -> str:
    """Return the digest of a file; "" if it cannot be read."""
    try:
        return hashlib.sha256(load_text(os.path.join(folder, name)).encode()).hexdigest()
    except ScenarioError:
        return ""


def load_regions(protocol: Protocol) -> tuple[Region, ...]:
    """Load a scenario for each region of a file.

    Raises ScenarioError with what is wrong with it, or with any file that it names.
    """
    faults = list(protocol.faults)
    stated = protocol.stated
    base = _base(protocol, faults)
    found = [
        region
        for one in stated.regions
        if (base is not None or one.records) and (region := _region(protocol, one, base, faults)) is not None
    ]
    stop_at(faults, protocol.source)
    return tuple(found)


def _base(protocol: Protocol, faults: list[Fault]) -> Scenario | None:
    """Load the base scenario, and check that it can be answered for."""
    name = protocol.stated.scenario
    if not name:
        return None
    scenario = _loaded(protocol.folder, name, "scenario", faults)
    if scenario is not None:
        faults += _cannot(scenario, "scenario", protocol.stated.years)
    return scenario


def _loaded(folder: str, name: str, place: str, faults: list[Fault]) -> Scenario | None:
    """Load a scenario that the file names; note why it cannot be."""
    try:
        return load(os.path.join(folder, name))
    except ScenarioError as error:
        faults += [_within(place, fault, os.path.basename(name)) for fault in error.faults]
        return None


def _within(place: str, fault: Fault, name: str) -> Fault:
    """Return a fault of another file, at the place that names it."""
    inside = "" if fault.place.endswith(name) else f": {fault.place}"
    return replace(fault, place=f"{place}: {name}{inside}")


def _cannot(scenario: Scenario, place: str, years: Sequence[int]) -> list[Fault]:
    """Return why a scenario cannot be answered for."""
    if scenario.trouble:
        rule = "must be a coach without trouble reported: nothing is compared before it is opened"
        return [Fault(place, rule, ", ".join(scenario.trouble), "name another scenario")]
    try:
        under_every_plan(scenario)
    except ScenarioError as error:
        return [_within(place, fault, scenario.source) for fault in error.faults]
    except ValueError as error:
        return [Fault(place, "must have something to compare", "", str(error))]
    faults = []
    if not any(figure.ranged for figure in scenario.inputs.values()):
        rule = "must have a range for some figure: without any, nothing can be counted of 20 futures"
        faults.append(Fault(place, rule, "none", 'take over the tool\'s own: like = "shared"'))
    last = scenario.likely(scenario.study["study_period"])
    if years and max(years) > last:
        rule = f"must show the years of sale: study.study_period is {number_text(last)} years"
        faults.append(Fault(place, rule, f"sold after {max(years)} years", "leave that year out of years"))
    return faults


def _region(
    protocol: Protocol, stated: StatedRegion, base: Scenario | None, faults: list[Fault]
) -> Region | None:
    """Return one region; note what is wrong with its files."""
    place, folder = f"regions.{stated.name}", protocol.folder
    before = len(faults)
    own = _loaded(folder, stated.records, f"{place}.records", faults) if stated.records else base
    climate = _climate(folder, stated, place, own, faults)
    longer = _longer(folder, stated.lives, f"{place}.lives", faults) if stated.lives else None
    if own is None or len(faults) > before:
        return None
    if base is not None and own.currency != base.currency:
        rule = f"must be in the currency of the others, {base.currency}"
        faults.append(Fault(f"{place}.records", rule, own.currency, "nothing is converted"))
    says = {f"climate.{name}": value for name, value in climate.items()}
    try:
        scenario = restated(own, says) if says else own
    except ScenarioError as error:
        faults += [_within(place, replace(fault, line=None), own.source) for fault in error.faults]
        return None
    if stated.records:
        faults += _cannot(scenario, place, protocol.stated.years)
        faults += _counted_twice(own, place) if climate else []
    return Region(stated.name, _stands(stated, scenario), scenario, stated.coaches, longer)


def _counted_twice(scenario: Scenario, place: str) -> list[Fault]:
    """Return a fault if figures of records have a place in them that would count again in another climate."""
    there = [
        path
        for path, figure in scenario.inputs.items()
        if figure.basis == RECORD and path.startswith("roofs.") and AT_REFERENCE not in figure.source
    ]
    if not there:
        return []
    rule = f"must name figures of records that hold in the reference climate: with '{AT_REFERENCE}' as source"
    remedy = (
        "write them anew with a column map that says where they stand: lifecycle records ... --to NEW.toml; "
        "or leave out place, places and climate here"
    )
    return [Fault(f"{place}.records", rule, ", ".join(there[:3]), remedy)]


def _climate(
    folder: str, stated: StatedRegion, place: str, own: Scenario | None, faults: list[Fault]
) -> Mapping[str, Any]:
    """Return what the region says of its climate, as a scenario would; empty: nothing."""
    if len(stated.places) == 1:
        return {"place": stated.places[0][0]}
    if stated.places:
        return {"places": [{"place": name, "share": share} for name, share in stated.places]}
    if stated.climate is None:
        return {}
    try:
        table = load_table(os.path.join(folder, stated.climate))
    except ScenarioError as error:
        shown = os.path.basename(stated.climate)
        faults += [_within(f"{place}.climate", fault, shown) for fault in error.faults]
        return {}
    section = table.get("climate")
    known = section if isinstance(section, Mapping) else {}
    drivers = {name: value for name, value in known.items() if name in WHERE}
    if not drivers:
        rule = "must name a file with a section [climate], as the weather command writes it"
        faults.append(Fault(f"{place}.climate", rule, stated.climate, "lifecycle weather FILE --to NEW.toml"))
    units = table.get("units")
    if units is not None and own is not None and units != own.units:
        rule = f'must be in the units of the scenario, "{own.units}"'
        faults.append(Fault(f"{place}.climate", rule, str(units), "write the climate in these: --in"))
    return drivers


def _longer(folder: str, name: str, place: str, faults: list[Fault]) -> float | None:
    """Return how much longer lives look without the correction, from what the records command said."""
    try:
        said = json.loads(load_text(os.path.join(folder, name)))
        uncorrected, mean = said["entry_ignored"], said["estimates"]["life_mean"]["likely"]
        return None if uncorrected is None else float(uncorrected) / float(mean)
    except ScenarioError as error:
        faults += [_within(place, fault, os.path.basename(name)) for fault in error.faults]
    except (ValueError, TypeError, KeyError, ZeroDivisionError):
        rule = "must name what the records command said of lives"
        faults.append(Fault(place, rule, name, "lifecycle records FILE --for life --json > LIVES.json"))
    return None


def _stands(stated: StatedRegion, scenario: Scenario) -> str:
    """Return where a region is, in a few words."""
    said = words_of("regions")["stands"]
    if stated.climate is not None:
        return str(said["weather"].format(file=os.path.basename(stated.climate)))
    if len(stated.places) > 1:
        shares = ((name, number_text(100.0 * share, 3)) for name, share in stated.places)
        parts = ", ".join(said["share"].format(place=name, share=share) for name, share in shares)
        return str(said["shares"].format(places=parts))
    if stated.places:
        return stated.places[0][0]
    names = [one.name for one in scenario.climate.places] if scenario.climate else []
    return ", ".join(names) or str(said["as_stated"])
