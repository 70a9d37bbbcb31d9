"""How long roofs lasted, as far as it was seen: intervals of age, from looks or ready-made.

Lecture
-------
A roof came into the records at the age `entry`, was last known to stand at `lower`, and was first known
to have ended at `upper` (infinite: it still stood). It contributes, with survival S,

    (S(lower) - S(upper)) / S(entry)

Dividing by S(entry) is *left truncation*: a roof that ended before it could come into the records is
not in them, so that old roofs in the records are the lasting ones. Leaving it out makes lives too long.

From looks: `entry` is the age in the month in which the records begin, if the map states it and the roof
was older than new then; else the age at the first look. A look that finds the end closes the interval
which the look before it (or the entry) opened. Without a stated beginning a roof that is first seen at
its end is left out: it is in the records only because it ended. All ages are in months here and years
in a fit; an end in the month of the look before is taken to lie within that month.

Ready-made intervals have the columns lower and upper, and may have entry, count and covariates. An empty
upper is a roof that stands; equal ends are an age known exactly.

Source: the likelihood of truncated and interval-censored lives, textbook.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError
from lifecycle.records.account import Account, Count, Drop, drop
from lifecycle.records.cells import MISSING, ages, numbers
from lifecycle.records.column_map import COLUMNS, ColumnMap
from lifecycle.records.looks import END, SLACK, Looks
from lifecycle.records.sheets import Sheet, at_lines, need_columns

if TYPE_CHECKING:
    import pandas

Array = NDArray[np.float64]


UNSURE = "two days on which it was laid, and no end between: months and years mixed?"
"""Why roofs are left out whose coach seems to have got another unseen."""


@dataclass(frozen=True)
class RoofLives:
    """Lives of roofs as far as they were seen.

    Parameters
    ----------
    lower, upper, entry : ndarray, shape (roofs,)
        Last known to stand, first known to have ended (may be infinite), came into the records. [years]
    number : ndarray, shape (roofs,)
        How many such roofs.
    covariates : ndarray, shape (roofs, names)
        Numbers that a life may depend on.
    names : tuple of str
        Their names.
    account : Account
        From rows to roofs.
    covered : str
        First and last month of the looks; "" where the records have no dates.

    Raises
    ------
    ValueError
        If an interval runs backwards, or a roof came in after its end.
    """

    lower: Array
    upper: Array
    entry: Array
    number: Array
    covariates: Array
    names: tuple[str, ...] = ()
    account: Account = ()
    covered: str = ""

    def __post_init__(self) -> None:
        if np.any(self.lower > self.upper) or np.any(self.entry > self.lower):
            raise ValueError("needs entry <= lower <= upper in every row")

    @property
    def roofs(self) -> int:
        """How many roofs there are."""
        return int(self.number.sum())

    @property
    def ended(self) -> int:
        """How many of them ended."""
        return int(self.number[np.isfinite(self.upper)].sum())

    @property
    def oldest(self) -> float:
        """Highest age at which a roof was seen. [years]"""
        return float(max(self.lower.max(), self.upper[np.isfinite(self.upper)].max(initial=0.0)))

    @property
    def came_in_late(self) -> int:
        """How many came into the records at an age above 0."""
        return int(self.number[self.entry > 0.0].sum())


def roof_lives(
    lower: Array,
    upper: Array,
    entry: Array | float = 0.0,
    number: Array | None = None,
    covariates: Array | None = None,
    names: tuple[str, ...] = (),
    account: Account = (),
    covered: str = "",
) -> RoofLives:
    """Put equal roofs together.

    Parameters
    ----------
    lower, upper, entry, number, covariates, names, account, covered
        As of `RoofLives`.

    Returns
    -------
    RoofLives

    Examples
    --------
    >>> lives = roof_lives(np.array([2.0, 2.0, 5.0]), np.array([3.0, 3.0, np.inf]))
    >>> lives.number.tolist(), lives.roofs, lives.ended
    ([2.0, 1.0], 3, 2)
    """
    lower = np.asarray(lower, dtype=float)
    counts = np.ones(lower.shape) if number is None else np.asarray(number, dtype=float)
    further = np.empty((lower.size, 0)) if covariates is None else np.asarray(covariates, dtype=float)
    rows = np.column_stack([lower, upper, np.broadcast_to(entry, lower.shape), further])
    different, place = np.unique(rows, axis=0, return_inverse=True)
    together = np.bincount(place.ravel(), weights=counts, minlength=len(different)).astype(np.float64)
    low, high, came = different[:, :3].T
    return RoofLives(low, high, came, together, different[:, 3:], names, account, covered)


def lives_from_looks(looks: Looks) -> RoofLives:
    """Turn looks into the lives of roofs.

    Parameters
    ----------
    looks : Looks
        Cleaned.

    Returns
    -------
    RoofLives

    Raises
    ------
    ScenarioError
        If no roof can be used.
    """
    import pandas

    table = pandas.DataFrame(
        {
            "coach": looks.coach,
            "month": looks.month,
            "seen": looks.seen,
            "laid": looks.laid,
            "line": looks.lines,
        }
    )
    roofs, first = _by_roof(table)
    drops: list[Drop] = []
    gone = np.zeros(len(roofs), dtype=bool)

    def leave_out(reason: str, which: NDArray[np.bool_]) -> None:
        new = which & ~gone
        if new.any():
            drops.append(drop(reason, roofs["line"].to_numpy()[new]))
            gone[new] = True

    laid = roofs["laid"].to_numpy()
    last, end = roofs["last"].to_numpy(dtype=float), roofs["end"].to_numpy(dtype=float)
    came = roofs["first"].to_numpy(dtype=float)
    leave_out("no day on which the roof was laid", laid == MISSING)
    leave_out(UNSURE, roofs["unsure"].to_numpy())
    if looks.begin is not None:
        leave_out("a life that ended before the records begin", end < looks.begin)
        came = np.maximum(laid, float(looks.begin))
    else:
        leave_out("only seen at its end: it is in the records because it ended", np.isnan(last))
        leave_out("a single look: nothing is known of it afterwards", (last == came) & np.isnan(end))
    came = np.fmin(came, np.fmin(last, end))
    covariates = looks.covariates[first]
    missing = np.asarray(np.isnan(covariates).any(axis=1), dtype=np.bool_)
    leave_out("a number missing that its life may depend on", missing)
    kept = ~gone
    account = (*looks.account, Count("roofs", len(roofs), tuple(drops), int(kept.sum())))
    if not kept.any():
        left = "; ".join(f"{one.number}: {one.reason}" for one in drops)
        raise ScenarioError([Fault("the records", "must have a roof that can be used", left)])
    lower = np.fmax(last, came)
    upper = np.where(np.isnan(end), np.inf, np.maximum(end, lower + 1.0))
    low, high, entry = ((values - laid)[kept] / 12.0 for values in (lower, upper, came))
    return roof_lives(low, high, entry, None, covariates[kept], looks.names, account, looks.covered)


def _by_roof(table: pandas.DataFrame) -> tuple[pandas.DataFrame, NDArray[np.int64]]:
    """Return a row for each roof, and the place of its first look.

    A roof is what was laid on a coach in one month, give or take `SLACK`; looks after its end are no
    looks at it. Columns: laid, first, last (standing, before the end), end, line, unsure.
    """
    laid = table["laid"].to_numpy()
    order = np.lexsort((table["month"].to_numpy(), laid, table["coach"].to_numpy()))
    sorted_ = table.iloc[order].reset_index(drop=True)
    another = (sorted_["coach"].diff() != 0) | (sorted_["laid"].diff() > SLACK)
    sorted_["roof"] = another.cumsum() - 1
    sorted_["place"] = order
    sorted_ = sorted_.sort_values(["roof", "month"], kind="stable")
    ended = sorted_["seen"] == END
    grouped = sorted_.groupby("roof", sort=True)
    end = sorted_["month"].where(ended).groupby(sorted_["roof"]).min()
    before = sorted_["month"].where(~ended & ~(sorted_["month"] > sorted_["roof"].map(end)))
    roofs = grouped.agg(
        coach=("coach", "first"),
        laid=("laid", "min"),
        first=("month", "min"),
        latest=("month", "max"),
        line=("line", "first"),
        place=("place", "first"),
    )
    roofs["end"] = end
    roofs["last"] = before.groupby(sorted_["roof"]).max()
    # Another roof on the coach though nobody saw this one end, or while it was still looked at.
    following = roofs["laid"].shift(-1).where(roofs["coach"].shift(-1) == roofs["coach"])
    unended = roofs["end"].isna() | (roofs["latest"] > following + SLACK)
    unsure = (following.notna() & unended).to_numpy()
    roofs["unsure"] = unsure | np.concatenate([[False], unsure[:-1]])
    return roofs.reset_index(drop=True), roofs["place"].to_numpy(dtype=np.int64)


def read_intervals(sheet: Sheet, known: ColumnMap) -> RoofLives:
    """Read ready-made intervals.

    Parameters
    ----------
    sheet : Sheet
        The records.
    known : ColumnMap
        What its columns mean, and the unit of ages.

    Returns
    -------
    RoofLives

    Raises
    ------
    ScenarioError
        With every column that is missing and every interval that cannot be.
    """
    wanted = {COLUMNS[name]: known.named(name) for name in ("lower", "upper")}
    wanted |= {COLUMNS[name]: known.columns[name] for name in ("entry", "count") if name in known.columns}
    wanted |= {f"the covariate {name}": name for name in known.covariates}
    faults = need_columns(sheet, wanted)
    if faults:
        raise ScenarioError(faults, sheet.source)
    lower = np.nan_to_num(ages(sheet, known.named("lower"), known, faults))
    upper = ages(sheet, known.named("upper"), known, faults)
    upper = np.where(np.isnan(upper), np.inf, upper)
    entry, number = np.zeros(lower.shape), np.ones(lower.shape)
    if known.named("entry") in sheet.names:
        entry = np.nan_to_num(ages(sheet, known.named("entry"), known, faults))
    if known.named("count") in sheet.names:
        number = numbers(sheet, known.named("count"), faults, low=1.0, may_be_empty=False, what="how many")
    further = [
        numbers(sheet, name, faults, low=-1e9, high=1e9, may_be_empty=False) for name in known.covariates
    ]
    if not faults:
        faults = _impossible(sheet, known, lower, upper, entry)
    if faults:
        raise ScenarioError(list(dict.fromkeys(faults)), sheet.source)
    covariates = np.column_stack(further) if further else None
    account = (Count("rows", len(sheet.rows), (), len(sheet.rows)),)
    lower = np.maximum(lower, entry)
    ends = (lower / 12.0, upper / 12.0, entry / 12.0, number)
    return roof_lives(*ends, covariates=covariates, names=known.covariates, account=account)


def _impossible(sheet: Sheet, known: ColumnMap, lower: Array, upper: Array, entry: Array) -> list[Fault]:
    """Return a fault for each kind of interval that cannot be."""
    lines = sheet.lines
    backwards = lower > upper
    late = ~backwards & (entry > 0.0) & ((entry >= upper) | (np.isinf(upper) & (entry > lower)))
    names = [known.named(name) for name in ("lower", "upper", "entry")]
    faults = []
    if backwards.any():
        rule = f'must not be above column "{names[1]}": the interval runs backwards'
        faults.append(Fault(f'column "{names[0]}"', rule, at_lines(lines[backwards]), "swap or correct them"))
    if late.any():
        rule = "must be below the age at which the roof was last seen, or had ended: it came in after that"
        faults.append(
            Fault(f'column "{names[2]}"', rule, at_lines(lines[late]), "correct them, or leave them out")
        )
    return faults
