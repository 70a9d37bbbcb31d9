"""Regional guidance as plain data for a result file, from which a later edition can be compared.

Lecture
-------
Names are fixed. A row is one region and habit; under its years stand so many of 20, the word of the
verdict, how firmly it may be said, and the same under each objection. A cell with too few records has its
word and no number, and its region has neither scenario nor count where all its cells are such.

Each region carries the text of its scenario, so that a later edition can say what changed and why.
"""

from __future__ import annotations

from typing import Any

import lifecycle
from lifecycle.answers.edition_answer import Edited
from lifecycle.answers.regions_answer import headline, memory_sentences, standing_sentence
from lifecycle.answers.shared import SCHEMA
from lifecycle.records.editions import Standing, shared_sha256
from lifecycle.studies.region_scenarios import Protocol
from lifecycle.studies.regions import RULE, TOO_FEW, Key, Region, RegionTable


def regions_result(
    protocol: Protocol, standing: Standing, table: RegionTable, edited: Edited
) -> dict[str, Any]:
    """Return the whole answer as plain data.

    Parameters
    ----------
    protocol : Protocol
        What was asked.
    standing : Standing
        Whether it was fixed beforehand.
    table : RegionTable
        The answer.
    edited : Edited
        Against another edition, and against what was seen.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    return {
        "schema": SCHEMA,
        "title": protocol.stated.title,
        "question": protocol.stated.question,
        "protocol": _protocol(protocol, standing),
        "rule": dict(RULE),
        "currency": table.regions[0].scenario.currency,
        "said": [*headline(table), *memory_sentences(table)],
        "regions": [_region(region, table) for region in table.regions],
        "habits": dict(table.habits),
        "years": list(table.years),
        "rows": [
            {
                "region": region.name,
                "habit": habit,
                "years": {str(year): _cell(table, (region.name, habit, year)) for year in table.years},
            }
            for region in table.regions
            for habit in table.habits
        ],
        "objections": [_objection(table, key) for key in table.objections],
        "since": edited.changes_result(),
        "seen": edited.seen_result(),
        "draws": table.draws,
        "seed": table.seed,
        "made_by": {
            "version": lifecycle.__version__,
            "method": "expectation",
            "shared_sha256": shared_sha256(),
        },
    }


def _protocol(protocol: Protocol, standing: Standing) -> dict[str, Any]:
    """Return what was fixed, and whether it still is."""
    return {
        "file": protocol.source,
        "sha256": standing.sha256,
        "rule_sha256": standing.rule,
        "fixed_on": standing.fixed.day if standing.fixed else None,
        "is_fixed": standing.is_fixed,
        "changed": list(standing.changed),
        "said": standing_sentence(standing),
    }


def _region(region: Region, table: RegionTable) -> dict[str, Any]:
    """Return one region; without scenario and counts where nothing is said of it."""
    memory = table.memory.get(region.name)
    if memory is None:
        return {"name": region.name, "stands": region.stands, "firmness": TOO_FEW}
    alone = not region.scenario.price_lists
    found = {
        "name": region.name,
        "stands": region.stands,
        "from_records": region.coaches is not None,
        "figures": memory.figures,
        "from_memory": memory.from_memory,
        "scenario": region.scenario.text if alone else None,
        "scenario_sha256": region.scenario.sha256,
    }
    return found if alone else {**found, "reasons": {"scenario": "it names price lists in other files"}}


def _cell(table: RegionTable, key: Key) -> dict[str, Any]:
    """Return one cell; without a number where there are too few records."""
    cell = table.cells.get(key)
    if cell is None:
        return {"firmness": TOO_FEW}
    return {
        "of_20": cell.stated.of_20,
        "word": cell.stated.word,
        "firmness": cell.firmness,
        "under": {name: {"of_20": one.of_20, "word": one.word} for name, one in cell.objected.items()},
    }


def _objection(table: RegionTable, key: str) -> dict[str, Any]:
    """Return one objection and what it changes."""
    one = table.objections[key]
    turned = set(table.turned_by(key))
    return {
        "name": key,
        "title": one.title,
        "does": one.does,
        "basis": one.basis,
        "source": one.source,
        "note": one.note,
        "not_tried": dict(table.untried[key]),
        "changes": [
            {
                "region": cell[0],
                "habit": cell[1],
                "year": cell[2],
                "from": was,
                "to": now,
                "other_side": cell in turned,
            }
            for cell, (was, now) in table.changed_by(key).items()
        ],
    }
