"""Invented records that no command needs: of a shop that works otherwise than the fits think; tidy looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from lifecycle.records.columns import month_text
from lifecycle.records.demo import BEGIN, Look, Truth


@dataclass(frozen=True)
class Shop:
    """How a shop looks after coaches, for records that are drawn otherwise than the fits think.

    Leaks start and show at any moment here, not in months; a complaint comes in the month of the first sign.

    Parameters
    ----------
    years : float
        How long each coach is followed. [years]
    looked_every, resealed_every : int
        Between routine looks, and between redoings of all joints (a multiple; 0: never). [months]
    oldest : int
        Age of the oldest roof when its coach comes. [months]
    punctures : float
        Leaks elsewhere on the roof. [leaks/year]
    on_suspicion : float
        Share of the complaints that are written down as routine. [-]
    """

    years: float = 4.0
    looked_every: int = 12
    resealed_every: int = 12
    oldest: int = 96
    punctures: float = 0.0
    on_suspicion: float = 0.0


def shop_looks(
    coaches: int, generator: np.random.Generator, truth: Truth, shop: Shop, *, tells_where: bool = True
) -> str:
    """Draw the looks of a shop, as CSV in our own names and words.

    `tells_where`: whether a column says where each leak was.
    """
    rows = [f"coach,date,seen,reason,{'where,' if tells_where else ''}leaks,laid,resealed"]
    months = round(12.0 * shop.years)
    for coach in range(coaches):
        begins = BEGIN + int(generator.integers(0, 12))
        laid = begins - int(generator.integers(0, shop.oldest + 1))
        sealed = 0 if shop.resealed_every else laid - begins
        starts = [sealed, *range(shop.resealed_every, months, shop.resealed_every or months)]
        looked = [(0, "routine", (0, 0))] if sealed == 0 else []
        for start, end in zip(starts, [*starts[1:], months], strict=True):
            first = max(start, 0)
            born, elsewhere, shown = _moments(start, first, end, truth, shop, generator)
            routine = [month for month in range(start + 1, end + 1) if month % shop.looked_every == 0]
            routine = [month for month in routine if month >= first]
            open_ = np.ones(born.size, dtype=bool)
            for month in sorted({*routine, *(np.ceil(shown[shown < end]).astype(int)).tolist()}):
                signs = open_ & (shown <= month)
                if month not in routine and not signs.any():
                    continue
                seen = signs | (open_ & (born <= month) & (generator.random(born.size) < truth.look_finds))
                open_ &= ~seen
                reason = "complaint" if signs.any() and generator.random() >= shop.on_suspicion else "routine"
                counts = int(np.sum(seen & ~elsewhere)), int(np.sum(seen & elsewhere))
                looked.append((month, reason, counts))
            rows += _shop_rows(coach, begins, laid, start, looked, tells_where)
            looked = []
    return "\n".join(rows) + "\n"


def _moments(
    start: int, first: int, end: int, truth: Truth, shop: Shop, generator: np.random.Generator
) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """Draw when leaks of an epoch start, whether elsewhere, and when signs would show them. [months]"""
    span = (end - start) / 12.0
    joints = int(generator.poisson(truth.joint_leaks_ten_years * (span / 10.0) ** truth.joint_leak_growth))
    others = int(generator.poisson(shop.punctures * span))
    ages = np.concatenate(
        [span * generator.random(joints) ** (1.0 / truth.joint_leak_growth), span * generator.random(others)]
    )
    born = start + 12.0 * ages
    shown = born + generator.exponential(12.0 * truth.sign_years, born.size)
    there = shown > first
    return born[there], (np.arange(born.size) >= joints)[there], shown[there]


def _shop_rows(
    coach: int,
    begins: int,
    laid: int,
    start: int,
    looked: list[tuple[int, str, tuple[int, int]]],
    tells_where: bool,
) -> list[str]:
    """Write the looks of an epoch, a row for each place of leaks."""
    rows = []
    resealed = month_text(begins + start) if begins + start > laid else ""
    for month, reason, (joints, elsewhere) in looked:
        found = [("joint", joints), ("field", elsewhere)] if tells_where else [("", joints + elsewhere)]
        found = [one for one in found if one[1]] or [("", 0)]
        for where, leaks in found:
            cells = [coach, month_text(begins + month), "leak" if leaks else "fine", reason]
            cells += [where] if tells_where else []
            rows.append(",".join(map(str, [*cells, leaks, month_text(laid), resealed])))
    return rows


def looks_text(looks: Sequence[Look]) -> str:
    """Write looks as CSV in our own names and words."""
    rows = ["coach,date,seen,reason,laid,resealed,leaks"]
    for look in looks:
        resealed = "" if look.resealed is None else month_text(look.resealed)
        dates = month_text(look.month), month_text(look.laid)
        rows.append(f"{look.coach},{dates[0]},{look.seen},{look.reason},{dates[1]},{resealed},{look.leaks}")
    return "\n".join(rows) + "\n"
