"""The case for and the case against, as lines: as many on either side, a figure in each.

Lecture
-------
The sentences stand in the data, three for each topic; which of them is said follows from where the figure
points (`studies.case`). A topic that stands on a side though its figure does not speak for that side says
so.

Left out: what money does not show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.filled import filled, said
from lifecycle.language.sentences import say, words
from lifecycle.studies.case import AGAINST, FOR, Reason, Sides, case_of
from lifecycle.studies.doubt import Doubt


@dataclass(frozen=True)
class CaseLines:
    """The case for and the case against, of equal length.

    Parameters
    ----------
    for_, against : tuple of str
        Sentences, the largest sum of money first; none where nothing is compared.
    """

    for_: tuple[str, ...]
    against: tuple[str, ...]


def case_lines(comparison: Comparison, doubt: Doubt | None) -> CaseLines:
    """Put the case for and the case against the way in question into words."""
    if comparison.subject is None or not comparison.ways or doubt is None:
        return CaseLines((), ())
    return lines_of(case_of(comparison, doubt), comparison.scenario.units, comparison.scenario.currency)


def lines_of(sides: Sides, units: str, currency: str = "") -> CaseLines:
    """Put both sides into words."""
    return CaseLines(
        tuple(_line(reason, FOR, units, currency) for reason in sides.for_),
        tuple(_line(reason, AGAINST, units, currency) for reason in sides.against),
    )


def _line(reason: Reason, side: str, units: str, currency: str) -> str:
    """Return the sentence of a reason on one side."""
    sentence = filled(words(f"claims.reasons.{reason.key}.{reason.points}"), reason.figures, units, currency)
    if reason.points in (side, "same"):
        return sentence
    return say("claims.other_way", reason=f"{sentence[0].lower()}{sentence[1:]}")


def case_result(sides: Sides) -> dict[str, Any]:
    """Return the case as plain data."""
    return {
        side: [
            {
                "key": reason.key,
                "points": reason.points,
                "money": reason.money,
                "figures": {
                    name: {"value": figure.value, "kind": figure.kind, "said": said(figure)}
                    for name, figure in reason.figures.items()
                },
            }
            for reason in reasons
        ]
        for side, reasons in ((FOR, sides.for_), (AGAINST, sides.against))
    }
