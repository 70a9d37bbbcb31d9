"""Regional guidance: what may be said by region, habit and year of sale, how firmly, and what attacks change.

Lecture
-------
First what the answer is and whether it was fixed beforehand. Then a sentence that counts the cells of the
tables below it, how far the regions differ, and a table for each region; then how many figures nobody has
measured, the rule of the words, and each objection with the cells whose word it changes.

A cell is so many of 20 futures and how firmly it may be said. What has too few records stands as words,
without a number.

*Another edition.* Cells that the two say differently come first, then why: for each region whose scenario is
another, the difference of its answers split by cause, by the sentence of the difference command. What a
change of the tool's own figures did cannot be split off, since an edition keeps only what its scenarios
state; it is said that they changed. What was seen is held against the older edition where one is named, since
what is said afterwards proves nothing.

*Data.* Names are fixed, so that a later edition can be compared. A row is one region and habit; under its
years stand so many of 20, the word of the verdict, how firmly it may be said, and the same under each
objection. A cell with too few records has its word and no number, and its region has neither scenario nor
count where all its cells are such. Each region carries the text of its scenario, so that a later edition can
say what changed and why.

Left out: money; ask for it by region with the compare command.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from lifecycle.answers.blocks import Answer, Block, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.parts import SCHEMA, fields_of, made_by
from lifecycle.errors import ScenarioError, fault
from lifecycle.language.labels import counted, listed, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import inner, money_text
from lifecycle.records.editions import (
    FEWEST_TO_JUDGE,
    Calibration,
    Edition,
    Moved,
    Standing,
    Told,
    calibration,
    moved,
    read_seen,
    shared_sha256,
)
from lifecycle.records.editions import TOO_FEW as TOO_FEW_TO_JUDGE
from lifecycle.studies.objections import objections
from lifecycle.studies.region_scenarios import Protocol
from lifecycle.studies.regions import (
    FIRM,
    LEANING,
    OPEN,
    RULE,
    TOO_FEW,
    Answering,
    Key,
    Region,
    RegionTable,
    region_table,
)

if TYPE_CHECKING:
    from lifecycle.answers import parts
    from lifecycle.records.tables import Sheet

LISTED, LISTED_SINCE = 2, 12
"""Cells that are named for each objection, and of those that changed since another edition."""

SHORT_DIGEST = 12
"""Characters of a digest that are printed."""

FIRST_LINES = 24
"""Lines of tables of regions on the first screen, about."""

SIDES = {1: "cheaper", -1: "dearer"}
"""Name of each side."""


@dataclass(frozen=True)
class Asked:
    """Everything that was read for an answer about regions.

    Parameters
    ----------
    protocol : Protocol
        What is asked.
    regions : tuple of Region
        Of the protocol.
    standing : Standing
        Whether it was fixed beforehand.
    before : Edition or None
        Another edition to hold against this one.
    seen : Sheet or None
        What was seen.
    """

    protocol: Protocol
    regions: tuple[Region, ...]
    standing: Standing
    before: Edition | None = None
    seen: Sheet | None = None


@dataclass(frozen=True)
class Edited:
    """Against another edition, and against what was seen.

    Parameters
    ----------
    before : Edition or None
        The other edition.
    moved : tuple of Moved
        Cells that the two say differently.
    causes : mapping of str to str
        Region: why its answer is another, in a sentence.
    same_tool, same_draws : bool
        Whether the tool's own figures, and number and seed of the futures, are those of the other edition.
    seen : tuple of Calibration, or None
        What was seen; None: nobody said.
    """

    before: Edition | None = None
    moved: tuple[Moved, ...] = ()
    causes: Mapping[str, str] = field(default_factory=dict)
    same_tool: bool = True
    same_draws: bool = True
    seen: tuple[Calibration, ...] | None = None


def regions(
    asked: Asked,
    *,
    draws: int,
    seed: int,
    told: parts.Told,
    by: Answering | None = None,
) -> Answer:
    """Answer what may be said by region, habit and year of sale; `by` what answers each region."""
    stated = asked.protocol.stated
    known = {key: one for key, one in objections().items() if key in stated.objections}
    told.step(say("regions.working"))
    try:
        table = region_table(
            asked.regions,
            stated.habits,
            stated.years,
            known,
            draws=draws,
            seed=seed,
            progress=told.part,
            answer=by,
        )
    except ScenarioError:
        raise
    except ValueError as error:
        raise fault(asked.protocol.source, "cannot be answered", "", str(error)) from None
    return regions_answer(asked.protocol, asked.standing, table, edited(asked, table, told))


def edited(asked: Asked, table: RegionTable, told: parts.Told) -> Edited:
    """Hold an answer against another edition, and what was said against what was seen."""
    now = {
        key: Told(cell.stated.of_20, cell.stated.word, cell.firmness, cell.stated.costs)
        for key, cell in table.cells.items()
    }
    before = asked.before
    said = now if before is None else before.cells
    seen = None if asked.seen is None else calibration(said, read_seen(asked.seen, said))
    if before is None:
        return Edited(seen=seen)
    told.step(say("regions.working_since"))
    same_tool, same_draws = before.figures == shared_sha256(), before.drawn == (table.draws, table.seed)
    return Edited(before, moved(before.cells, now), _causes(table, before), same_tool, same_draws, seen)


def _causes(table: RegionTable, before: Edition) -> dict[str, str]:
    """Say for each region whose scenario is another why its answer is."""
    from lifecycle.answers.difference import first_sentence
    from lifecycle.files import loads
    from lifecycle.studies.difference import difference

    found = {}
    for region in table.regions:
        text = before.scenarios.get(region.name)
        if text is None or region.name not in table.memory or text == region.scenario.text:
            continue
        try:
            split = difference(loads(text, region.name), region.scenario)
        except (ScenarioError, ValueError):
            found[region.name] = say("regions.since.unreadable")
            continue
        years = years_text(region.scenario.likely(region.scenario.owner["holding_period"]))
        said = first_sentence(split, region.scenario.currency, where="editions")
        found[region.name] = say("regions.since.cause", said=said, years=years)
    return found


def regions_answer(
    protocol: Protocol, standing: Standing, table: RegionTable, against: Edited | None = None
) -> Answer:
    """Put regional guidance into blocks and plain data."""
    against = Edited() if against is None else against
    stated = protocol.stated
    first = max(1, FIRST_LINES // (len(table.habits) + 3))
    tables = [_region(region, table) for region in table.regions]
    blocks: list[Block] = [
        *(Sentence(line) for line in (stated.question, standing_sentence(standing)) if line),
        *(Sentence(line, "verdict") for line in headline(table)),
        Sentence(say("regions.no_single_answer")),
        *tables[:first],
        Rest(),
        *tables[first:],
        *map(Sentence, memory_sentences(table)),
        Sentence(f"{say('regions.rule')}:"),
        Items(tuple(say("regions.rule_part", word=word, meaning=meaning) for word, meaning in RULE.items())),
        *_objections(table),
        *_since(against),
        *_seen(against, table.regions[0].scenario.currency),
        Sentence(say("regions.futures", draws=f"{table.draws:,}", seed=table.seed), "note"),
        Sentence(say("regions.behind"), "note"),
    ]
    data = _data(protocol, standing, table, against)
    return Answer(say("regions.title"), stated.title, tuple(blocks), data)


def standing_sentence(standing: Standing) -> str:
    """Say whether an answer is the edition that was fixed."""
    digest = standing.now.protocol[:SHORT_DIGEST]
    if standing.fixed is None:
        return say("regions.trial", digest=digest)
    day, then = standing.fixed.day, standing.fixed.digests.protocol[:SHORT_DIGEST]
    if standing.is_fixed:
        said = say("regions.edition", digest=digest, day=day)
        later = listed(standing.came_later)
        return f"{said} {say('regions.came_later', files=later)}" if later else said
    changed = listed(standing.changed)
    return say("regions.other_edition", digest=digest, day=day, then=then, changed=changed)


def headline(table: RegionTable) -> list[str]:
    """Say what the tables say, in one or two sentences that count their cells."""
    if not table.cells:
        return [say("regions.nothing")]
    counts = table.counts()
    parts = [
        say(
            "regions.part",
            firmly=say(f"regions.firmly.{word}"),
            side=say(f"regions.side.{name}"),
            number=counts[(word, side)],
        )
        for word in (FIRM, LEANING)
        for side, name in SIDES.items()
        if (word, side) in counts
    ]
    parts += [say("regions.open_part", number=counts[(OPEN, 0)])] if (OPEN, 0) in counts else []
    lines = [say("regions.said", cells=counted(len(table.cells), "cell"), parts=listed(parts))]
    if withheld := table.withheld():
        lines[0] += f" {say('regions.held_back', cells=counted(withheld, 'more cell'), reason=TOO_FEW)}"
    same, of = table.alike()
    return [*lines, say("regions.alike", same=same, pairs=counted(of, "pair"))] if of else lines


def memory_sentences(table: RegionTable) -> list[str]:
    """Say how many figures nobody has measured, by region."""
    parts = [
        say("regions.memory_part", memory=one.from_memory, figures=one.figures, region=name)
        for name, one in table.memory.items()
    ]
    return [say("regions.memory", parts=listed(parts))] if parts else []


def _region(region: Region, table: RegionTable) -> Table:
    """Return the table of one region."""
    rows = (
        (title, *(_cell(table, (region.name, habit, year)) for year in table.years))
        for habit, title in table.habits.items()
    )
    head = (say("regions.corner"), *map(years_text, table.years))
    name = "regions.region" if region.coaches is None else "regions.region_from_records"
    caption = say(name, region=region.name, stands=region.stands)
    return Table.of_numbers(head, rows, caption, wraps=True)


def _cell(table: RegionTable, key: Key) -> str:
    """Return a cell as it is printed."""
    cell = table.cells.get(key)
    if cell is None:
        return say("regions.too_few")
    return say("regions.cell", of_20=cell.stated.of_20, firmness=cell.firmness)


def _objections(table: RegionTable) -> Iterator[Block]:
    """Return the objections, each with what it changes."""
    if not table.objections:
        yield Sentence(say("regions.not_tried_at_all"))
        return
    yield Heading(say("regions.objections"))
    yield Items(
        tuple(
            say(
                "regions.objection",
                title=one.title,
                does=one.does,
                basis=": ".join(part for part in (one.basis, one.source) if part),
                effect=_effect(table, key),
            )
            for key, one in table.objections.items()
        )
    )


def _effect(table: RegionTable, key: str) -> str:
    """Say what an objection changes, or why it cannot be tried."""
    untried = table.untried[key]
    if not table.cells:
        return say("regions.was_not_tried")
    if len(untried) == len(table.memory):
        return say("regions.cannot_be_tried", reasons=listed(dict.fromkeys(untried.values())))
    changed, turned = table.changed_by(key), table.turned_by(key)
    cells = counted(sum(key in cell.objected for cell in table.cells.values()), "cell")
    named = [
        say("regions.from_to", cell=cell_name(table, one), was=was, now=now)
        for one, (was, now) in list(changed.items())[:LISTED]
    ]
    named += [say("regions.more", number=len(changed) - LISTED)] if len(changed) > LISTED else []
    over = (
        say("regions.some_over", cells=counted(len(turned), "cell")) if turned else say("regions.none_over")
    )
    said = (
        say("regions.changes", number=len(changed), cells=cells, over=over, named="; ".join(named))
        if changed
        else say("regions.changes_none", cells=cells)
    )
    return f"{said} {say('regions.cannot_be_tried_in', regions=listed(untried))}" if untried else said


def cell_name(table: RegionTable, key: Key) -> str:
    """Return a cell in words."""
    region, habit, year = key
    title = inner(table.habits.get(habit, habit))
    return say("regions.cell_name", region=region, habit=title, years=years_text(year))


def _since(against: Edited) -> Iterator[Block]:
    """Return what changed since another edition, and why."""
    before = against.before
    if before is None:
        return
    day = before.fixed_on
    yield Heading(say("regions.since.edition", day=day) if day else say("regions.since.trial"))
    worded = [one for one in against.moved if one.in_words]
    yield Sentence(say("regions.since.cells", cells=counted(len(against.moved), "cell"), worded=len(worded)))
    lines = [
        say("regions.since.cell", cell=_moved_name(one), before=_told(one.before), now=_told(one.now))
        for one in worded[:LISTED_SINCE]
    ]
    if (rest := len(worded) - LISTED_SINCE) > 0:
        lines.append(say("regions.since.more", cells=counted(rest, "more cell")))
    lines += [say("regions.since.why", region=region, said=said) for region, said in against.causes.items()]
    if lines:
        yield Items(tuple(lines))
    if not against.same_tool:
        yield Sentence(say("regions.since.tool", version=before.version))
    if not against.same_draws:
        draws, seed = before.drawn
        yield Sentence(say("regions.since.drawn", draws=f"{draws:,}", seed=seed))


def _moved_name(one: Moved | Calibration) -> str:
    """Return a cell of two editions in words."""
    region, habit, year = one.key
    return say("regions.cell_name", region=region, habit=habit.replace("_", " "), years=years_text(year))


def _told(told: Told | None) -> str:
    """Return what was said of a cell."""
    if told is None:
        return say("regions.since.not_said")
    return say("regions.since.told", of_20=told.of_20, word=told.word, firmness=told.firmness)


def _seen(against: Edited, currency: str) -> Iterator[Block]:
    """Return what was seen against what was said."""
    if against.seen is None:
        return
    yield Heading(say("regions.since.seen_this" if against.before is None else "regions.since.seen_older"))
    yield Items(tuple(_seen_sentence(one, currency) for one in against.seen))


def _seen_sentence(one: Calibration, currency: str) -> str:
    """Say what a way was said to cost, and what was seen."""
    cell = _moved_name(one)
    way = say(f"regions.way.{one.way}")
    if one.coaches is None or one.cost is None or one.luck is None:
        return say("regions.since.seen_too_few", cell=cell, way=way)
    low, mean, high, cost, luck = (money_text(amount) for amount in (*one.said, one.cost, one.luck))
    judged = (
        say("regions.too_few_to_judge", number=FEWEST_TO_JUDGE)
        if one.judged == TOO_FEW_TO_JUDGE
        else say(f"regions.judged.{one.judged}")
    )
    said = {"low": low, "mean": mean, "high": high, "cost": cost, "luck": luck, "currency": currency}
    coaches = f"{one.coaches:,}"
    return say("regions.since.seen", cell=cell, way=way, coaches=coaches, judged=judged, **said)


def _data(protocol: Protocol, standing: Standing, table: RegionTable, against: Edited) -> dict[str, Any]:
    """Return the whole answer as plain data."""
    return {
        "schema": SCHEMA,
        "title": protocol.stated.title,
        "question": protocol.stated.question,
        "protocol": _protocol_data(protocol, standing),
        "rule": dict(RULE),
        "currency": table.regions[0].scenario.currency,
        "said": [*headline(table), *memory_sentences(table)],
        "regions": [_region_data(region, table) for region in table.regions],
        "habits": dict(table.habits),
        "years": list(table.years),
        "rows": [
            {
                "region": region.name,
                "habit": habit,
                "years": {str(year): _cell_data(table, (region.name, habit, year)) for year in table.years},
            }
            for region in table.regions
            for habit in table.habits
        ],
        "objections": [_objection_data(table, key) for key in table.objections],
        "since": _since_data(against),
        "seen": None
        if against.seen is None
        else [_seen_data(one, table.regions[0].scenario.currency) for one in against.seen],
        "draws": table.draws,
        "seed": table.seed,
        "made_by": {**made_by(None, "expectation"), "shared_sha256": shared_sha256()},
    }


def _cell_of(key: Key) -> dict[str, Any]:
    """Return which cell it is as plain data."""
    return dict(zip(("region", "habit", "year"), key, strict=True))


def _seen_data(one: Calibration, currency: str) -> dict[str, Any]:
    """Return what was said and seen of a way in a cell."""
    return {
        **_cell_of(one.key),
        "way": one.way,
        "said": dict(zip(POINTS, one.said, strict=True)),
        **fields_of(one, "coaches", "cost", "luck", "judged"),
        "sentence": _seen_sentence(one, currency),
    }


def _protocol_data(protocol: Protocol, standing: Standing) -> dict[str, Any]:
    """Return what was fixed, and whether it still is."""
    return {
        "file": protocol.source,
        "sha256": standing.now.protocol,
        "rule_sha256": standing.now.rule,
        "fixed_on": standing.fixed.day if standing.fixed else None,
        "is_fixed": standing.is_fixed,
        "changed": list(standing.changed),
        "said": standing_sentence(standing),
    }


def _region_data(region: Region, table: RegionTable) -> dict[str, Any]:
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
    return found if alone else {**found, "reasons": {"scenario": say("regions.price_lists")}}


POINTS = ("p10", "mean", "p90")
"""Names of the points of a cost."""


def _told_data(told: Told | None) -> dict[str, Any] | None:
    """Return what an edition said of a cell; None: nothing."""
    return None if told is None else fields_of(told, "of_20", "word", "firmness")


def _cell_data(table: RegionTable, key: Key) -> dict[str, Any]:
    """Return one cell; without a number where there are too few records."""
    cell = table.cells.get(key)
    if cell is None:
        return {"firmness": TOO_FEW}
    return {
        **fields_of(cell.stated, "of_20", "word"),
        "firmness": cell.firmness,
        "costs": {way: dict(zip(POINTS, one, strict=True)) for way, one in cell.stated.costs.items()},
        "under": {name: fields_of(one, "of_20", "word") for name, one in cell.objected.items()},
    }


def _objection_data(table: RegionTable, key: str) -> dict[str, Any]:
    """Return one objection and what it changes."""
    one = table.objections[key]
    turned = set(table.turned_by(key))
    return {
        "name": key,
        **fields_of(one, "title", "does", "basis", "source", "note"),
        "not_tried": dict(table.untried[key]),
        "changes": [
            {**_cell_of(cell), "from": was, "to": now, "other_side": cell in turned}
            for cell, (was, now) in table.changed_by(key).items()
        ],
    }


def _since_data(against: Edited) -> dict[str, Any] | None:
    """Return what changed as plain data; None where nothing was asked."""
    before = against.before
    if before is None:
        return None
    return {
        "title": before.title,
        "protocol_sha256": before.protocol,
        "fixed_on": before.fixed_on or None,
        "version": before.version,
        "same_figures_of_the_tool": against.same_tool,
        "same_futures": against.same_draws,
        "cells": [
            {**_cell_of(one.key), "before": _told_data(one.before), "now": _told_data(one.now)}
            for one in against.moved
        ],
        "causes": dict(against.causes),
    }
