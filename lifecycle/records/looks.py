"""Inspection records: one row for each look, cleaned, with an account of what was left out and why.

Lecture
-------
A look says which coach, when, what was seen, and perhaps why somebody looked, where a leak was, and where the
coach stands. Of each row is kept: a number in place of the coach's name, months in place of days, a word, how
many leaks, and numbers that a life may depend on. Nothing else of the file is looked at.

A coach is one whatever capitals and spaces its name is written with; names that differ only in marks or in
leading noughts (RV-12, RV 12, RV-012) are kept apart and reported: if they are one coach, lives seem longer
than they are.

Rows are left out, in this order, each for the first reason that it meets: no coach; a date that cannot be
read, or none; not looked; no reason of the look, where the reason matters; the same row twice; a look before
the roof was laid; another leak of the same look, which is counted with it; another look at the coach in the
same month that saw no more.

*Where the leak was.* Joints are what the model calls so: seams, edges and the flanges of fixtures. A leak
somewhere else on the roof (`field`) is no joint leak. Of leaks whose place nobody wrote down it is not known.

*What ended.* `end`: the life of the roof was over. `deck_gone`: it was renewed because the deck had rotted,
which is a leak that stayed hidden and no end of its life. `sold`: the coach left, the roof stood.

A look in the month in which the roof was laid counts. The age of a roof is the look's month less the
month in which it was laid; where the file states ages, the month laid follows from them. Months laid that
differ by no more than `SLACK` months are the same roof; another roof on a coach on which nobody saw the one
before end is no evidence of a life, and most often a column that mixes months and years.

Left out: several roofs on one coach at a time; who looked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from lifecycle.data import data
from lifecycle.errors import Fault, stop_at
from lifecycle.quantities import Array, Flags, Whole
from lifecycle.records.columns import (
    MISSING,
    ColumnMap,
    Places,
    ages,
    codes,
    lacking,
    lengths,
    month_text,
    months,
    numbers,
    sites,
    words,
)
from lifecycle.records.tables import Account, Cleaning, Sheet, Texts, at_lines

if TYPE_CHECKING:
    import pandas

FINE, LEAK, END, DECK_GONE, SOLD = 0, 1, 2, 3, 4
"""What was seen, in the order of the data."""

ROUTINE, COMPLAINT = 0, 1
"""Why somebody looked, in the order of the data."""

JOINT, FIELD, FIXTURE, EDGE, UNKNOWN = 0, 1, 2, 3, 4
"""Where the leak was, in the order of the data."""

SLACK = 3
"""How far stated ages may be from what the dates say. [months]"""

DATES = ("date", "laid", "resealed", "joined")
NEEDED = ("coach", "date", "seen")
MAY = ("laid", "age", "reason", "where", "leaks", "resealed", "joined", "place", "length")
"""Columns of looks: those with dates, those that must be there, and those that may be."""

AS_READ = ("month", "seen", "leaks", "laid", "resealed", "joined", "site", "length")
"""Columns of clean looks that need nothing more done to them."""


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
        `FINE`, `LEAK`, `END`, `DECK_GONE` or `SOLD`.
    leaks : ndarray of int, shape (looks,)
        How many leaks were found that are, or may be, at joints.
    reason : ndarray of int, shape (looks,) or None
        `ROUTINE` or `COMPLAINT`; None: nothing says why anybody looked.
    laid, resealed, joined : ndarray of int, shape (looks,)
        Month in which the roof was laid, the joints were last redone, and the coach came under this upkeep;
        `MISSING` where not said. [months]
    site : ndarray of int, shape (looks,)
        Number of the site; `MISSING` where not said.
    sites : tuple of Places
        The sites.
    length : ndarray, shape (looks,)
        Of the coach; 0: that of the reference coach; not a number where not said. [m]
    covariates : ndarray, shape (looks, names)
        Further numbers.
    names : tuple of str
        Their columns.
    lines : ndarray of int, shape (looks,)
        Lines of the file.
    unplaced : float
        Share of all leaks of which nobody wrote down where they were. [-]
    begin : int or None
        Month in which the records begin, if stated. [months]
    all_from_begin : bool
        Whether every coach was there from then on, or since its roof was laid.
    account : Account
        From rows to looks.
    notes : tuple of str
        What must be said of them.
    """

    coach: Whole
    month: Whole
    seen: Whole
    leaks: Whole
    reason: Whole | None
    laid: Whole
    resealed: Whole
    joined: Whole
    site: Whole
    sites: tuple[Places, ...]
    length: Array
    covariates: Array
    names: tuple[str, ...]
    lines: Whole
    unplaced: float = 1.0
    begin: int | None = None
    all_from_begin: bool = False
    account: Account = field(default=())
    notes: tuple[str, ...] = ()

    @property
    def covered(self) -> str:
        """First and last month."""
        return f"{month_text(int(self.month.min()))} to {month_text(int(self.month.max()))}"

    @property
    def coaches(self) -> int:
        """How many coaches there are."""
        return int(np.unique(self.coach).size)


def read_looks(sheet: Sheet, known: ColumnMap, *, reasons: bool = True) -> Looks:
    """Clean a sheet of looks; at least one is left, or all that is wrong with columns and cells is said.

    `reasons`: whether it matters why somebody looked; for leaks it does, for lives it does not.
    """
    dated = any(sheet.has(known.named(name)) for name in ("laid", "age"))
    faults = lacking(sheet, known, NEEDED if dated else (*NEEDED, "laid"), MAY)
    stop_at(faults, sheet.source)
    table, unusable, found_sites = _table(sheet, known, reasons, faults)
    stop_at(faults, sheet.source)
    cleaning = _cleaned(table, unusable, sheet)
    cleaning.stop_if_empty(sheet.source, "must have a look that can be used", sheet.source, " with ")
    table = table[cleaning.kept].sort_values(["coach", "month"], kind="stable").reset_index(drop=True)
    return Looks(
        **{name: table[name].to_numpy() for name in AS_READ},
        coach=codes(table["coach"].to_numpy())[0],
        reason=table["reason"].to_numpy() if reasons and sheet.has(known.named("reason")) else None,
        sites=found_sites,
        covariates=table[[f"covariate {name}" for name in known.covariates]].to_numpy(dtype=float),
        names=known.covariates,
        lines=table["line"].to_numpy(),
        unplaced=_unplaced(table, sheet.has(known.named("where")), known.all_at_joints),
        begin=known.begin,
        all_from_begin=known.all_from_begin,
        account=(cleaning.count,),
        notes=_look_alikes(sheet, known),
    )


def _unplaced(table: pandas.DataFrame, has_where: bool, all_at_joints: bool) -> float:
    """Return the share of leaks of which nobody says where they were."""
    if all_at_joints:
        return 0.0
    if not has_where:
        return 1.0
    every = table["leaks"].sum() + table["elsewhere"].sum()
    return float(table["unknown"].sum() / every) if every else 0.0


def _folded(texts: Texts) -> Texts:
    """Return names without regard to capitals and spaces."""
    return np.array([" ".join(str(text).casefold().split()) for text in texts], dtype=object)


def _look_alikes(sheet: Sheet, known: ColumnMap) -> tuple[str, ...]:
    """Report names of coaches that differ only in marks or leading noughts."""
    places, different = codes(_folded(sheet.column(known.named("coach"))))
    bare = [re.sub(r"\b0+(?=\d)", "", re.sub(r"[\W_]+", " ", name)).replace(" ", "") for name in different]
    first: dict[str, int] = {}
    alike = []
    for number, name in enumerate(bare):
        other = first.setdefault(name, number)
        if other != number and name:
            alike += [int(sheet.lines[places == one][0]) for one in (other, number)]
    if not alike:
        return ()
    said: str = data("words/records.toml")["records"]["look_alikes"]
    return (said.format(lines=at_lines(dict.fromkeys(alike))),)


def _table(
    sheet: Sheet, known: ColumnMap, reasons: bool, faults: list[Fault]
) -> tuple[pandas.DataFrame, dict[str, Flags], tuple[Places, ...]]:
    """Read every column that there is: a row for each look, which rows cannot be used, and the sites."""
    import pandas

    names = _folded(sheet.column(known.named("coach")))
    dates = {name: months(sheet, known.named(name), known, faults) for name in DATES}
    month, laid, resealed, joined = (dates[name][0] for name in DATES)
    seen = words(sheet, "seen", known, faults)
    reason = words(sheet, "reason", known, faults) if reasons else np.full(seen.shape, MISSING)
    leaks = _leaks(sheet, known, seen, faults)
    if not sheet.has(known.named("laid")):
        age = ages(sheet, known.named("age"), known, faults)
        laid = np.where(np.isnan(age), MISSING, month - np.rint(np.nan_to_num(age))).astype(np.int64)
    site, found_sites = sites(sheet, known, faults)
    table = pandas.DataFrame(
        {
            "coach": codes(names)[0],
            "month": month,
            "seen": seen,
            **leaks,
            "reason": reason,
            "laid": laid,
            "resealed": resealed,
            "joined": joined,
            "site": site,
            "length": lengths(sheet, known, faults),
        }
    )
    for name in known.covariates:
        table[f"covariate {name}"] = numbers(sheet, name, faults, low=-1e9, high=1e9, what="a number")
    table["line"] = sheet.lines
    unusable = {
        "no_coach": names == "",
        "unreadable_date": np.any([wrong for _, wrong in dates.values()], axis=0),
        "no_date": month == MISSING,
        "not_looked": seen == MISSING,
    }
    if reasons and sheet.has(known.named("reason")):
        unusable["no_reason"] = reason == MISSING
    return table, unusable, found_sites


def _leaks(sheet: Sheet, known: ColumnMap, seen: Whole, faults: list[Fault]) -> dict[str, Whole]:
    """Read how many leaks each look found, at joints or not, and where."""
    stated = numbers(sheet, known.named("leaks"), faults, high=1000.0, whole=True, what="how many leaks")
    unsaid = np.isnan(stated) | (seen == MISSING)
    found = np.where(unsaid, seen == LEAK, np.nan_to_num(stated)).astype(np.int64)
    where, has_where = words(sheet, "where", known, faults, asks=False), sheet.has(known.named("where"))
    where = np.where(where == MISSING, JOINT if known.all_at_joints and not has_where else UNKNOWN, where)
    return {
        "leaks": np.where(where == FIELD, 0, found),
        "elsewhere": np.where(where == FIELD, found, 0),
        "unknown": np.where(where == UNKNOWN, found, 0),
        "where": np.where((found > 0) & has_where, where, MISSING),
    }


def _cleaned(table: pandas.DataFrame, unusable: dict[str, Flags], sheet: Sheet) -> Cleaning:
    """Leave rows out; leaks that go with those of another row are added to them in the table."""
    from pandas.util import hash_array

    cleaning = Cleaning("looks", sheet.lines)
    for reason, which in unusable.items():
        cleaning.leave_out(reason, which)
    whole = np.array(["\x1f".join(row).casefold() for row in sheet.rows], dtype=object)
    cleaning.leave_out("twice", table.assign(whole=hash_array(whole)).duplicated("whole").to_numpy())
    laid = table["laid"].to_numpy()
    cleaning.leave_out("before_laid", (laid != MISSING) & (table["month"].to_numpy() < laid))
    rest = table[cleaning.kept]
    leaky = rest[(rest["seen"] == LEAK) & (rest["where"] != MISSING)]
    leaky = leaky[~leaky.duplicated(["coach", "month", "where"])]
    another = leaky.duplicated(["coach", "month"])
    if another.any():
        counts = ["leaks", "elsewhere", "unknown"]
        together = leaky.groupby(["coach", "month"])[counts].transform("sum")
        table.loc[together.index, counts] = together
        cleaning.leave_out("another_leak", _rows(table, another[another].index))
    rest = table[cleaning.kept].sort_values(["coach", "month", "seen", "leaks", "reason"], kind="stable")
    less = rest[rest.duplicated(["coach", "month"], keep="last")].index
    cleaning.leave_out("saw_no_more", _rows(table, less))
    return cleaning


def _rows(table: pandas.DataFrame, index: pandas.Index[int]) -> Flags:
    """Return which rows of a table an index names."""
    return np.isin(np.arange(len(table)), index.to_numpy())
