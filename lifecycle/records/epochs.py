"""Looks at joints in order: from one redoing of the joints to the next.

Lecture
-------
An *epoch* is one roof from the month in which its joints were last redone (or in which it was laid, if
that is later or they never were) to the next redoing. A look in the very month of a redoing belongs to
the epoch before: it saw what the redoing then covered.

The *window* of an epoch is where every leak that came to light would be in the records. It opens at seal
age 0 if the coach was looked at before the epoch began, else at its first routine look; it closes when the
next epoch begins if there is a later routine look, else at the last routine look. In that look's month no
complaint can be in the records, for it would have made the look one. Where nothing says why anybody
looked, every look counts as routine.

Looks outside stay, because they thin what is hidden; what they found is not counted.

Source: our own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError
from lifecycle.records.account import Account, Count, drop
from lifecycle.records.cells import MISSING
from lifecycle.records.looks import COMPLAINT, END, ROUTINE, Looks

Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Epochs:
    """Epochs and the looks in them.

    Parameters
    ----------
    opens, closes : ndarray of int, shape (epochs,)
        Seal age after which the window opens, and the last in it. [months]
    watched : ndarray of int, shape (epochs,)
        Last seal age at which a complaint would be in the records. [months]
    epoch, age, leaks : ndarray of int, shape (looks,)
        Epoch of each look, seal age then, leaks found. [-, months, leaks]
    complaint, counted : ndarray of bool, shape (looks,)
        Whether the coach came in with a complaint; whether the look lies in the window.
    has_reason : bool
        Whether the records say why anybody looked.
    account : Account
        From rows to looks that count.
    covered : str
        First and last month.
    """

    opens: Whole
    closes: Whole
    watched: Whole
    epoch: Whole
    age: Whole
    leaks: Whole
    complaint: Flags
    counted: Flags
    has_reason: bool
    account: Account = ()
    covered: str = ""

    @property
    def found(self) -> int:
        """Leaks that count."""
        return int(self.leaks[self.counted].sum())

    @property
    def found_nothing(self) -> int:
        """Looks that count and found nothing."""
        return int(np.sum(self.counted & (self.leaks == 0)))

    @property
    def by_complaint(self) -> int:
        """Complaints that count and had a leak."""
        return int(np.sum(self.counted & self.complaint & (self.leaks > 0)))

    @property
    def by_routine(self) -> int:
        """Leaks that routine looks found."""
        return int(self.leaks[self.counted & ~self.complaint].sum())

    @property
    def years(self) -> float:
        """Years in the windows. [years]"""
        return float(np.sum(self.closes - self.opens)) / 12.0


def epochs_of(looks: Looks) -> Epochs:
    """Put looks into epochs.

    Parameters
    ----------
    looks : Looks
        Cleaned; in the order of coach and month.

    Returns
    -------
    Epochs

    Raises
    ------
    ScenarioError
        If no look counts.
    """
    coach, month = looks.coach, looks.month
    reason = np.full(coach.shape, ROUTINE) if looks.reason is None else looks.reason
    start = _start(looks)
    known = (start != MISSING) & (looks.seen != END)
    epoch = _numbered(coach, start)
    routine = known & (reason == ROUTINE)
    first, last = _ends(epoch, np.where(routine, month, MISSING))
    begins = np.zeros(first.shape, dtype=np.int64)
    begins[epoch] = start
    of = np.zeros(first.shape, dtype=np.int64)
    of[epoch] = coach
    same_before = np.concatenate([[False], of[1:] == of[:-1]])
    same_after = np.concatenate([of[1:] == of[:-1], [False]])
    seen_before = same_before & (first != MISSING)
    later = np.concatenate([last[1:] != MISSING, [False]]) & same_after
    next_begins = np.concatenate([begins[1:], [0]])
    opens = np.where(seen_before, 0, first - begins)
    by_next = later & (next_begins >= last)
    closes = np.where(by_next, next_begins - begins, last - begins)
    usable = (first != MISSING) & (begins != MISSING) & (closes > opens)
    age = month - start
    inside = known & usable[epoch] & (age > opens[epoch]) & (age <= closes[epoch])
    drops = [
        drop(reason_, looks.lines[which])
        for reason_, which in (
            ("no day on which joints were redone or the roof was laid", (start == MISSING)),
            ("the end of a roof", (start != MISSING) & (looks.seen == END)),
            ("nothing known from before it, or of the time after it", known & ~inside),
        )
        if which.any()
    ]
    if not inside.any():
        rule = "must have a coach with two routine looks between which nothing was redone"
        raise ScenarioError(
            [Fault("the records", rule, "none", "longer records, or the reasons of the looks")]
        )
    kept = known & usable[epoch]
    numbers = np.cumsum(usable) - 1
    return Epochs(
        opens=opens[usable],
        closes=closes[usable],
        watched=np.where(by_next, closes, closes - 1)[usable],
        epoch=numbers[epoch[kept]],
        age=age[kept],
        leaks=looks.leaks[kept],
        complaint=reason[kept] == COMPLAINT,
        counted=inside[kept],
        has_reason=looks.reason is not None,
        account=(*looks.account, Count("looks at joints", coach.size, tuple(drops), int(inside.sum()))),
        covered=looks.covered,
    )


def _start(looks: Looks) -> Whole:
    """Return the month in which each look's epoch began."""
    resealed = np.where(looks.resealed <= looks.month, looks.resealed, MISSING)
    start = np.maximum(resealed, looks.laid)
    that_month = (start == looks.month) & (looks.resealed == looks.month)
    before = np.concatenate([[MISSING], start[:-1]])
    before[np.concatenate([[True], looks.coach[1:] != looks.coach[:-1]])] = MISSING
    start = np.where(that_month, np.where(before != MISSING, before, looks.laid), start)
    return np.where(looks.laid == MISSING, np.where(resealed == MISSING, MISSING, start), start)


def _numbered(coach: Whole, start: Whole) -> Whole:
    """Return the number of the epoch of each look, in the order of coach and start."""
    _, number = np.unique(np.column_stack([coach, start]), axis=0, return_inverse=True)
    return number.ravel().astype(np.int64)


def _ends(epoch: Whole, month: Whole) -> tuple[Whole, Whole]:
    """Return the first and the last month of each epoch; `MISSING` where it has none."""
    size = int(epoch.max()) + 1
    first, last = np.full(size, np.iinfo(np.int64).max), np.full(size, MISSING)
    there = month != MISSING
    np.minimum.at(first, epoch[there], month[there])
    np.maximum.at(last, epoch[there], month[there])
    return np.where(last == MISSING, MISSING, first), last
