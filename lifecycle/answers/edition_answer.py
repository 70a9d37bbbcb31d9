"""What changed since another edition, and what was said against what was seen: as text and as plain data.

Lecture
-------
Cells that the two editions say differently come first, then why: for each region whose scenario is another,
the difference of its answers split by cause, by the sentence of the difference command. What a change of
the tool's own figures did cannot be split off, since an edition keeps only what its scenarios state; it is
said that they changed.

What was seen is held against the older edition where one is named, since what is said afterwards proves
nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lifecycle.language.labels import counted, years_text
from lifecycle.language.lines import wrapped
from lifecycle.records.editions import (
    AGREES,
    FEWER,
    FEWEST_TO_JUDGE,
    MORE,
    TOO_FEW,
    Calibration,
    Edition,
    Moved,
    Told,
)

LISTED = 12
"""Cells that are named; the others are counted."""

SEEN_WORDS: Mapping[str, str] = {
    AGREES: "That agrees.",
    FEWER: "That is fewer than chance explains: it said too much for spraying.",
    MORE: "That is more than chance explains: it said too little for spraying.",
    TOO_FEW: f"That is too few to judge: it takes {FEWEST_TO_JUDGE}.",
}
"""What follows from what was seen."""


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

    def text(self) -> list[str]:
        """Return blocks of text; none where nothing was asked."""
        changes = [] if self.before is None else ["\n".join(self._changes(self.before))]
        seen = [] if self.seen is None else ["\n".join(self._seen(self.seen))]
        return [*changes, *seen]

    def _changes(self, before: Edition) -> list[str]:
        """Say what changed since the other edition, and why."""
        day = f"the edition fixed on {before.fixed_on}" if before.fixed_on else "a trial that was not fixed"
        worded = [one for one in self.moved if one.in_words]
        lines = [f"What changed since {day}"]
        lines += wrapped(
            [
                f"{counted(len(self.moved), 'cell')} said differently, {len(worded)} of them in the word or "
                "in how firmly it may be said.",
                *(f"- {_cell_name(one)}: {_told(one.before)} > {_told(one.now)}" for one in worded[:LISTED]),
            ]
        )
        rest = len(worded) - LISTED
        lines += [f"- and {counted(rest, 'more cell')}"] if rest > 0 else []
        lines += wrapped([f"- Why, {region}: {said}" for region, said in self.causes.items()])
        if not self.same_tool:
            lines += wrapped(
                [
                    f"The tool's own figures changed since then too (it was version {before.version}): what "
                    "they did is in no cause above."
                ]
            )
        if not self.same_draws:
            draws, seed = before.drawn
            lines += wrapped([f"The futures were drawn otherwise then ({draws:,} draws, seed {seed})."])
        return lines

    def _seen(self, seen: tuple[Calibration, ...]) -> list[str]:
        """Hold what was seen against what was said."""
        by = "the older edition" if self.before is not None else "this table"
        return [f"What {by} said, and what was seen", *wrapped([f"- {_seen_sentence(one)}" for one in seen])]

    def changes_result(self) -> dict[str, Any] | None:
        """Return what changed as plain data; None where nothing was asked."""
        if self.before is None:
            return None
        return {
            "title": self.before.title,
            "protocol_sha256": self.before.protocol,
            "fixed_on": self.before.fixed_on or None,
            "version": self.before.version,
            "same_figures_of_the_tool": self.same_tool,
            "same_futures": self.same_draws,
            "cells": [
                {
                    "region": one.key[0],
                    "habit": one.key[1],
                    "year": one.key[2],
                    "before": vars(one.before) if one.before else None,
                    "now": vars(one.now) if one.now else None,
                }
                for one in self.moved
            ],
            "causes": dict(self.causes),
        }

    def seen_result(self) -> list[dict[str, Any]] | None:
        """Return what was seen as plain data; None where nothing was asked."""
        if self.seen is None:
            return None
        return [{**vars(one), "sentence": _seen_sentence(one)} for one in self.seen]


def _cell_name(one: Moved) -> str:
    """Return a cell in words."""
    region, habit, year = one.key
    return f"{region}, {habit.replace('_', ' ')}, {years_text(year)}"


def _told(told: Told | None) -> str:
    """Return what was said of a cell."""
    return "not said" if told is None else f"{told.of_20} of 20, {told.word} ({told.firmness})"


def _seen_sentence(one: Calibration) -> str:
    """Say what was said of some cells, and what was seen."""
    said = f"Where it said {one.low} to {one.high} of 20"
    if one.coaches is None or one.cheaper is None or one.said is None:
        return f"{said}, too few coaches were seen to be shown."
    share = 20.0 * one.cheaper / one.coaches
    return (
        f"{said} (on average {20.0 * one.said:.1f}), {one.coaches:,} coaches were seen in "
        f"{counted(one.cells, 'cell')}: spraying was cheaper for {one.cheaper:,} of them, which is "
        f"{share:.1f} of 20. {SEEN_WORDS[one.judged]}"
    )
