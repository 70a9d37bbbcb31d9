"""Inspection records: one row for each look, cleaned, with an account of what was left out and why.

Lecture
-------
A look says which coach, when, what was seen, and perhaps why somebody looked. Of each row is kept: a
number in place of the coach's name, months in place of days, a word, how many leaks, the reason, the
month in which the roof was laid and the joints were last redone, and numbers that a life may depend
on. Nothing else of the file is looked at.

Rows are left out, in this order, each for the first reason that it meets: no coach; a date that cannot
be read, or none; not looked; no reason of the look; the same row twice; a look before the roof was laid;
another look at the coach in the same month that saw no more.

A look in the month in which the roof was laid counts. The age of a roof is the look's month less the
month in which it was laid; where the file states ages, the month laid follows from them. Months laid that
differ by no more than `SLACK` months are the same roof; another roof on a coach on which nobody saw the one
before end is no evidence of a life, and most often a column that mixes months and years.

Left out: several roofs on one coach at a time; who looked.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError
from lifecycle.records.columns import (
    COLUMNS,
    MISSING,
    ColumnMap,
    ages,
    codes,
    month_text,
    months,
    numbers,
    words,
)
from lifecycle.records.tables import Account, Count, Drop, Sheet, drop, need_columns

if TYPE_CHECKING:
    import pandas

Whole = NDArray[np.int64]
Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

FINE, LEAK, END = 0, 1, 2
"""What was seen, in the order of `columns.WORDS`."""

ROUTINE, COMPLAINT = 0, 1
"""Why somebody looked, in the order of `columns.WORDS`."""

SLACK = 3
"""How far stated ages may be from what the dates say. [months]"""


@dataclass(frozen=True)
class Looks:
    """Cleaned looks, by coach and month.

    Parameters
    ----------
    coach : ndarray of int, shape (looks,)
        Number of the coach, from 0.
    month : ndarray of int, shape (looks,)
        When. [months]
    seen : ndarray of int, shape (looks,)
        `FINE`, `LEAK` or `END`.
    leaks : ndarray of int, shape (looks,)
        How many leaks were found.
    reason : ndarray of int, shape (looks,) or None
        `ROUTINE` or `COMPLAINT`; None: nothing says why anybody looked.
    laid, resealed : ndarray of int, shape (looks,)
        Month in which the roof was laid and the joints were last redone; `MISSING` where not said. [months]
    covariates : ndarray, shape (looks, names)
        Further numbers.
    names : tuple of str
        Their columns.
    lines : ndarray of int, shape (looks,)
        Lines of the file.
    begin : int or None
        Month in which the records begin, if stated. [months]
    account : Account
        From rows to looks.
    """

    coach: Whole
    month: Whole
    seen: Whole
    leaks: Whole
    reason: Whole | None
    laid: Whole
    resealed: Whole
    covariates: Array
    names: tuple[str, ...]
    lines: Whole
    begin: int | None
    account: Account = field(default=())

    @property
    def covered(self) -> str:
        """First and last month."""
        return f"{month_text(int(self.month.min()))} to {month_text(int(self.month.max()))}"

    @property
    def coaches(self) -> int:
        """How many coaches there are."""
        return int(np.unique(self.coach).size)


def read_looks(sheet: Sheet, known: ColumnMap) -> Looks:
    """Clean a sheet of looks.

    Parameters
    ----------
    sheet : Sheet
        The records.
    known : ColumnMap
        What its columns and words mean.

    Returns
    -------
    Looks
        At least one.

    Raises
    ------
    ScenarioError
        With every column that is missing and every cell that cannot be read.
    """
    faults = need_columns(sheet, _wanted(sheet, known))
    if faults:
        raise ScenarioError(faults, sheet.source)
    table, reasons = _table(sheet, known, faults)
    if faults:
        raise ScenarioError(faults, sheet.source)
    table, drops = _cleaned(table, reasons, sheet)
    if table.empty:
        left = "; ".join(f"{one.number} with {one.reason}" for one in drops)
        raise ScenarioError([Fault(sheet.source, "must have a look that can be used", left)], sheet.source)
    return _looks(table, sheet, known, drops)


def _wanted(sheet: Sheet, known: ColumnMap) -> dict[str, str]:
    """Return the columns that the records must have: those always needed, and those that the map names."""
    needed = {name: known.named(name) for name in ("coach", "date", "seen")}
    needed |= {name: known.columns[name] for name in known.columns if name in COLUMNS}
    if not any(known.named(name) in sheet.names for name in ("laid", "age")):
        needed["laid"] = known.named("laid")
    return {COLUMNS[name]: column for name, column in needed.items()} | {
        f"the covariate {name}": name for name in known.covariates
    }


def _table(sheet: Sheet, known: ColumnMap, faults: list[Fault]) -> tuple[pandas.DataFrame, dict[str, Flags]]:
    """Read every column that there is; return a row for each look, and which rows cannot be used."""
    import pandas

    def has(name: str) -> bool:
        return known.named(name) in sheet.names

    def column_of_dates(name: str) -> tuple[Whole, Flags]:
        if has(name):
            return months(sheet, known.named(name), known, faults)
        return np.full(len(sheet.rows), MISSING, dtype=np.int64), np.zeros(len(sheet.rows), dtype=bool)

    coach_texts = sheet.column(known.named("coach"))
    month, unreadable = column_of_dates("date")
    laid, laid_unreadable = column_of_dates("laid")
    resealed, resealed_unreadable = column_of_dates("resealed")
    seen = words(sheet, "seen", known, faults)
    reason = words(sheet, "reason", known, faults) if has("reason") else None
    found = np.where(seen == LEAK, 1, 0)
    if has("leaks"):
        stated = numbers(sheet, known.named("leaks"), faults, high=1000.0, what="how many leaks")
        found = np.where(np.isnan(stated) | (seen == MISSING), found, stated).astype(np.int64)
    if not has("laid") and has("age"):
        age = ages(sheet, known.named("age"), known, faults)
        laid = np.where(np.isnan(age), MISSING, month - np.rint(np.nan_to_num(age))).astype(np.int64)
    table = pandas.DataFrame(
        {
            "coach": codes(coach_texts)[0],
            "month": month,
            "seen": seen,
            "leaks": found,
            "reason": reason if reason is not None else MISSING,
            "laid": laid,
            "resealed": resealed,
        }
    )
    for name in known.covariates:
        table[f"covariate {name}"] = numbers(sheet, name, faults, low=-1e9, high=1e9, what="a number")
    table["line"] = sheet.lines
    unusable = {
        "no coach": coach_texts == "",
        "a date that cannot be read": unreadable | laid_unreadable | resealed_unreadable,
        "no date": month == MISSING,
        "not looked": seen == MISSING,
    }
    if reason is not None:
        unusable["no reason of the look"] = reason == MISSING
    return table, unusable


def _cleaned(
    table: pandas.DataFrame, unusable: dict[str, Flags], sheet: Sheet
) -> tuple[pandas.DataFrame, list[Drop]]:
    """Leave rows out, each for the first reason that it meets."""
    from pandas.util import hash_array

    gone = np.zeros(len(table), dtype=bool)
    drops = []

    def leave_out(reason: str, which: Flags) -> None:
        new = which & ~gone
        if new.any():
            drops.append(drop(reason, table["line"].to_numpy()[new]))
            gone[new] = True

    for reason, which in unusable.items():
        leave_out(reason, which)
    whole = np.array(["\x1f".join(row) for row in sheet.rows], dtype=object)
    same = table.assign(whole=hash_array(whole)).duplicated("whole").to_numpy()
    leave_out("the same row twice", same)
    laid = table["laid"].to_numpy()
    leave_out("a look before the roof was laid", (laid != MISSING) & (table["month"].to_numpy() < laid))
    rest = table[~gone].sort_values(["coach", "month", "seen", "leaks", "reason"], kind="stable")
    less = rest[rest.duplicated(["coach", "month"], keep="last")].index.to_numpy()
    leave_out("another look at the coach that month which saw no less", np.isin(np.arange(len(table)), less))
    kept = table[~gone].sort_values(["coach", "month"], kind="stable").reset_index(drop=True)
    return kept, drops


def _looks(table: pandas.DataFrame, sheet: Sheet, known: ColumnMap, drops: list[Drop]) -> Looks:
    """Return a clean table as looks."""
    numbered = codes(table["coach"].to_numpy())[0]
    account = (Count("looks", len(sheet.rows), tuple(drops), len(table)),)
    has_reason = known.named("reason") in sheet.names
    return Looks(
        coach=numbered,
        month=table["month"].to_numpy(),
        seen=table["seen"].to_numpy(),
        leaks=table["leaks"].to_numpy(),
        reason=table["reason"].to_numpy() if has_reason else None,
        laid=table["laid"].to_numpy(),
        resealed=table["resealed"].to_numpy(),
        covariates=table[[f"covariate {name}" for name in known.covariates]].to_numpy(dtype=float),
        names=known.covariates,
        lines=table["line"].to_numpy(),
        begin=known.begin,
        account=account,
    )
