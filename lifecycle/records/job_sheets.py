"""Job sheets of stripped roofs: age, upkeep, and how the deck was.

Lecture
-------
Only a stripped roof shows what it hid. A sheet says how old the roof was, how it was looked after (as one
of the upkeep plans), and whether the deck was sound, wet, or rotten; perhaps the area of wood that was
replaced, and why the roof was stripped. Planned jobs show what all roofs hide; jobs after a complaint
show mostly the bad ones. Where the reason stands on the sheets, only planned jobs are used.

Sheets are left out, each for the first reason: no age; no upkeep that is known; nothing said of the deck;
stripped because of trouble, or no reason said; the same row twice, which can be told only where a column
names the coach: two roofs may well have the same age and the same deck.

Source: our own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.records.account import Account, Count, Drop, drop
from lifecycle.records.cells import MISSING, ages, codes, numbers, words
from lifecycle.records.column_map import COLUMNS, ColumnMap
from lifecycle.records.looks import ROUTINE
from lifecycle.records.sheets import Sheet, at_lines, need_columns

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]

SOUND, WET, ROTTEN = 0, 1, 2
"""How the deck was, in the order of `column_map.WORDS`."""


@dataclass(frozen=True)
class JobSheets:
    """Stripped roofs.

    Parameters
    ----------
    age : ndarray of int, shape (roofs,)
        Age when stripped. [months]
    plan : ndarray of int, shape (roofs,)
        Place of its upkeep among `plans`.
    deck : ndarray of int, shape (roofs,)
        `SOUND`, `WET` or `ROTTEN`.
    area : ndarray, shape (roofs,)
        Wood replaced; not a number where not said. [unit of the sheets]
    plans : tuple of str
        Upkeep plans that occur.
    has_reason : bool
        Whether the sheets say why roofs were stripped.
    account : Account
        From rows to roofs.
    """

    age: Whole
    plan: Whole
    deck: Whole
    area: Array
    plans: tuple[str, ...]
    has_reason: bool
    account: Account = ()

    @property
    def roofs(self) -> int:
        """How many there are."""
        return int(self.age.size)

    @property
    def not_sound(self) -> int:
        """How many had wet or rotten wood."""
        return int(np.sum(self.deck != SOUND))

    @property
    def rotten(self) -> int:
        """How many had a rotten deck."""
        return int(np.sum(self.deck == ROTTEN))


def read_job_sheets(sheet: Sheet, known: ColumnMap) -> JobSheets:
    """Read job sheets.

    Parameters
    ----------
    sheet : Sheet
        The records.
    known : ColumnMap
        What columns and words mean; read with the names of the upkeep plans.

    Returns
    -------
    JobSheets
        At least one.

    Raises
    ------
    ScenarioError
        With every column that is missing and every cell that cannot be read.
    """
    wanted = {name: known.named(name) for name in ("age", "deck")}
    wanted |= {
        name: known.columns[name] for name in ("reason", "area", "upkeep", "coach") if name in known.columns
    }
    if known.upkeep_of_all is None:
        wanted["upkeep"] = known.named("upkeep")
    faults = need_columns(sheet, {COLUMNS[name]: column for name, column in wanted.items()})
    if faults and known.upkeep_of_all is None and known.named("upkeep") not in sheet.names:
        faults.append(
            Fault(
                "upkeep",
                "of the roofs must be known",
                "",
                'or state one for all: [upkeep] all = "only_looks"',
            )
        )
    if faults:
        raise ScenarioError(faults, sheet.source)
    age = ages(sheet, known.named("age"), known, faults)
    deck = words(sheet, "deck", known, faults)
    area = np.full(deck.shape, np.nan)
    if known.named("area") in sheet.names:
        area = numbers(sheet, known.named("area"), faults, what="an area")
    has_reason = known.named("reason") in sheet.names
    reason = words(sheet, "reason", known, faults) if has_reason else np.full(deck.shape, ROUTINE)
    plan, plans = _plans(sheet, known, faults)
    if faults:
        raise ScenarioError(faults, sheet.source)
    named = known.named("coach") in sheet.names
    whole = np.array(["\x1f".join(row) for row in sheet.rows], dtype=object)
    first = np.unique(codes(whole)[0], return_index=True)[1] if named else np.arange(len(whole))
    drops = _left_out(
        sheet,
        {
            "no age": np.isnan(age),
            "no upkeep said": plan == MISSING,
            "nothing said of the deck": deck == MISSING,
            "stripped because of trouble, or no reason said": reason != ROUTINE,
            "the same row twice": ~np.isin(np.arange(len(whole)), first),
        },
    )
    gone, said = drops
    if gone.all():
        left = "; ".join(f"{one.number}: {one.reason}" for one in said)
        raise ScenarioError([Fault(sheet.source, "must have a roof that can be used", left)], sheet.source)
    kept = ~gone
    return JobSheets(
        np.rint(age[kept]).astype(np.int64),
        plan[kept],
        deck[kept],
        area[kept],
        plans,
        has_reason,
        (Count("job sheets", len(sheet.rows), said, int(kept.sum())),),
    )


def _left_out(sheet: Sheet, unusable: dict[str, Flags]) -> tuple[Flags, tuple[Drop, ...]]:
    """Leave rows out, each for the first reason that it meets."""
    gone = np.zeros(len(sheet.rows), dtype=bool)
    drops = []
    for reason, which in unusable.items():
        new = which & ~gone
        if new.any():
            drops.append(drop(reason, sheet.lines[new]))
            gone |= new
    return gone, tuple(drops)


def _plans(sheet: Sheet, known: ColumnMap, faults: list[Fault]) -> tuple[Whole, tuple[str, ...]]:
    """Return the upkeep of each roof, and the plans that occur."""
    if known.upkeep_of_all is not None:
        return np.zeros(len(sheet.rows), dtype=np.int64), (known.upkeep_of_all,)
    name = known.named("upkeep")
    places, different = codes(sheet.column(name))
    found = [known.upkeep.get(text.casefold()) if text else "" for text in different]
    for number, plan in enumerate(found):
        if plan is None:
            rule = f'must be a word for an upkeep plan; "{different[number][:40]}"'
            remedy = (
                f"add it to [upkeep] of the column map; {nearest(different[number], sorted(known.upkeep))}"
            )
            at = at_lines(sheet.lines[places == number])
            faults.append(Fault(f'column "{name}"', f"{rule} is none, {at}", remedy=remedy))
    plans = tuple(sorted({plan for plan in found if plan}))
    numbered = np.array([plans.index(plan) if plan else MISSING for plan in found], dtype=np.int64)
    return numbered[places], plans
