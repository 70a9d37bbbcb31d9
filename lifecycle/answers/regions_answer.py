"""Regional guidance as plain text: what may be said, how firmly, and what attacks on it would change.

Lecture
-------
First what the answer is and whether it was fixed beforehand. Then a sentence that counts the cells of the
tables below it, how far the regions differ, how many figures nobody has measured, and the rule of the words.
Then a table for each region; then each objection with the cells whose word it changes.

A cell is so many of 20 futures and how firmly it may be said. What has too few records stands as words,
without a number.

Left out: money; ask for it by region with the compare command.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import fill

from lifecycle.answers.tables import Row, laid_out
from lifecycle.language.labels import counted, inner, listed, years_text
from lifecycle.language.lines import WIDTH, blocks, wrapped
from lifecycle.records.editions import Standing
from lifecycle.studies.region_scenarios import Protocol
from lifecycle.studies.regions import FIRM, LEANING, OPEN, RULE, TOO_FEW, Key, Region, RegionTable

HEADING = "Region by region"

LISTED = 2
"""Cells that are named for each objection; the others are counted."""

SHORT_DIGEST = 12
"""Characters of a digest that are printed."""

FIRMLY: Mapping[str, str] = {FIRM: "firmly", LEANING: "leaning to"}
"""How firmly, before a side."""

SIDE_WORDS: Mapping[int, str] = {1: "cheaper", -1: "dearer"}


def regions_text(protocol: Protocol, standing: Standing, table: RegionTable, more: Sequence[str]) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    protocol : Protocol
        What was asked.
    standing : Standing
        Whether it was fixed beforehand.
    table : RegionTable
        The answer.
    more : sequence of str
        Blocks about other editions and about what was seen.

    Returns
    -------
    str
        Many lines.
    """
    return blocks(
        [HEADING, protocol.stated.title],
        wrapped([one for one in (protocol.stated.question, standing_sentence(standing)) if one]),
        wrapped(headline(table)),
        wrapped(memory_sentences(table)),
        wrapped(["The words follow one rule:", *(f"- {word}: {meaning}." for word, meaning in RULE.items())]),
        *(_region(region, table) for region in table.regions),
        *_objections(table),
        *([block] for block in more),
        wrapped(closing(table)),
    )


def standing_sentence(standing: Standing) -> str:
    """Say whether an answer is the edition that was fixed.

    Parameters
    ----------
    standing : Standing
        Of the answer.
    """
    digest = standing.sha256[:SHORT_DIGEST]
    if standing.fixed is None:
        return (
            f"Protocol {digest}, not fixed beforehand: this is a trial, not an edition. Fix it before "
            "records are read: --fix."
        )
    day, then = standing.fixed.day, standing.fixed.protocol[:SHORT_DIGEST]
    if standing.is_fixed:
        return f"Protocol {digest}, fixed on {day} and unchanged since: this is that edition."
    return (
        f"Protocol {digest}. This is not the edition fixed on {day} (protocol {then}): "
        f"{listed(standing.changed)} changed since then."
    )


def headline(table: RegionTable) -> list[str]:
    """Say what the tables say, in sentences that count their cells.

    Parameters
    ----------
    table : RegionTable
        The answer.

    Returns
    -------
    list of str
        One or two sentences.
    """
    if not table.cells:
        return ["Nothing can be said: no region has records of enough coaches."]
    counts = table.counts()
    parts = [
        f"{FIRMLY[word]} {SIDE_WORDS[side]} in {counts[(word, side)]}"
        for word in (FIRM, LEANING)
        for side in (1, -1)
        if (word, side) in counts
    ]
    parts += [f"open in {counts[(OPEN, 0)]}"] if (OPEN, 0) in counts else []
    withheld = table.withheld()
    kept = f" {counted(withheld, 'more cell')} held back: {TOO_FEW}." if withheld else ""
    lines = [
        f"Spraying today, in {counted(len(table.cells), 'cell')} of region, habit and year of sale: "
        f"{listed(parts)}.{kept}"
    ]
    same, of = table.alike()
    if of:
        lines.append(
            f"Do the regions differ? For {same} of {counted(of, 'pair')} of habit and year they all have the "
            "same word of the verdict."
        )
    return lines


def memory_sentences(table: RegionTable) -> list[str]:
    """Say how many figures nobody has measured, by region.

    Parameters
    ----------
    table : RegionTable
        The answer.
    """
    if not table.memory:
        return []
    parts = [f"{one.from_memory} of {one.figures} behind {name}" for name, one in table.memory.items()]
    return [
        f"Figures that nobody has measured (judgement from memory, or set for an example): {listed(parts)}."
    ]


def _region(region: Region, table: RegionTable) -> list[str]:
    """Return the table of one region."""
    rows = [
        Row(title, tuple(_cell(table, (region.name, habit, year)) for year in table.years))
        for habit, title in table.habits.items()
    ]
    records = "" if region.coaches is None else "; from records"
    head = f"{region.name} ({region.stands}{records}): spraying today is cheaper in so many of 20 futures"
    heads = [years_text(year) for year in table.years]
    corner = "what you would do otherwise; sold after"
    return [*wrapped([head]), *laid_out(rows, len(heads), heads=heads, corner=corner)]


def _cell(table: RegionTable, key: Key) -> str:
    """Return a cell as it is printed."""
    cell = table.cells.get(key)
    return "too few" if cell is None else f"{cell.stated.of_20} {cell.firmness}"


def _objections(table: RegionTable) -> list[list[str]]:
    """Return the objections, each with what it changes."""
    if not table.objections:
        return [["No objection was tried, so firm means no more than 18 of 20."]]
    lines = ["What could be held against it, and what that would change"]
    for key, objection in table.objections.items():
        lines += wrapped([f"- {objection.title} {objection.does} {_basis(table, key)}"])
        lines += [fill(_effect(table, key), WIDTH, initial_indent="    ", subsequent_indent="    ")]
    return [lines]


def _basis(table: RegionTable, key: str) -> str:
    """Say where an objection comes from."""
    one = table.objections[key]
    return f"[{': '.join(part for part in (one.basis, one.source) if part)}]"


def _effect(table: RegionTable, key: str) -> str:
    """Say what an objection changes, or why it cannot be tried."""
    untried = table.untried[key]
    if not table.cells:
        return "It was not tried."
    if len(untried) == len(table.memory):
        reasons = list(dict.fromkeys(untried.values()))
        return f"It cannot be tried with these figures: {listed(reasons)}."
    changed, turned = table.changed_by(key), table.turned_by(key)
    tried = sum(key in cell.objected for cell in table.cells.values())
    more = "" if not untried else f" It cannot be tried in {listed(untried)}."
    if not changed:
        return f"It changes the word in none of {counted(tried, 'cell')}.{more}"
    named = [f"{cell_name(table, one)}: {was} > {now}" for one, (was, now) in list(changed.items())[:LISTED]]
    rest = f"; and {len(changed) - LISTED} more" if len(changed) > LISTED else ""
    over = f"{counted(len(turned), 'cell')} to the other side" if turned else "none to the other side"
    return (
        f"It changes the word in {len(changed)} of {counted(tried, 'cell')}, {over} "
        f"({'; '.join(named)}{rest}).{more}"
    )


def cell_name(table: RegionTable, key: Key) -> str:
    """Return a cell in words."""
    region, habit, year = key
    return f"{region}, {inner(table.habits.get(habit, habit))}, {years_text(year)}"


def closing(table: RegionTable) -> list[str]:
    """Say what the numbers are, and how to find what is behind them.

    Parameters
    ----------
    table : RegionTable
        The answer.
    """
    return [
        f"{table.draws:,} futures, seed {table.seed}, the same for every objection. A future is a set of "
        "figures that could all be true; what happens to one coach is another matter.",
        "From a number to its figures, bases and sources: write a region's scenario (--region NAME --to "
        'NEW.toml), then lifecycle figures NEW.toml --why "cheaper or dearer by". Every cell under every '
        "objection: --json.",
    ]
