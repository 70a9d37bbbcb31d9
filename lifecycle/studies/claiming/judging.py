"""The four judgements on a statement, and the rules that lead to them.

Lecture
-------
A statement *fits these figures*, *partly*, it *does not fit* them, or it *cannot be judged*; to fit is no
evidence. Shares of futures, of coaches or of a sum of money are judged by one
table, the same as that of the verdict's words::

    18, 19, 20 of 20    fits these figures
    15, 16, 17          partly
    below               does not fit

A statement that knows no exception ("never", "no upkeep at all", "for life", "today only"; `absolute` in the
data) is more than any figures bear, and fits none: its sentence says what the figures say instead.

Amounts of money are judged by what the verdict calls about the same: an amount that could not change its
word fits in part only. A figure is *evidence* if its basis is published, common
practice or a record; what a seller offers, what somebody judges, and what was set for an example is none.

Left out: how a statement is tested (`money_tests`, `roof_tests`).
Source: a convention of our own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lifecycle.quantities import Figure
from lifecycle.studies.doubt import of_20
from lifecycle.studies.named import Named
from lifecycle.studies.verdict import WORDS, about_the_same

FITS, PARTLY, DOES_NOT_FIT, CANNOT = (
    "fits these figures",
    "partly",
    "does not fit",
    "cannot be judged",
)
JUDGEMENTS = (FITS, PARTLY, DOES_NOT_FIT, CANNOT)
"""Every judgement."""

LEAST_FITTING, LEAST_PARTLY = (least for least, _ in WORDS[:2])
"""So many of 20 fit a statement, or do so in part: where the verdict's words begin."""

EVIDENCE = ("published", "practice", "record")
"""Bases of figures that are evidence."""


@dataclass(frozen=True)
class Ruling:
    """A judgement on a statement, with the figures behind it.

    Parameters
    ----------
    judgement : str
        One of `JUDGEMENTS`.
    figures : dict of str to Named
        What its sentences are filled with.
    missing : str
        Name of what is missing, where it cannot be judged; else "".
    sentence : str
        Name of the sentence, where it is not the one of the judgement; else "".
    """

    judgement: str
    figures: Mapping[str, Named] = field(default_factory=dict)
    missing: str = ""
    sentence: str = ""


def by_share(share: float) -> str:
    """Judge a share of futures, of coaches, or of a sum. [0 ... 1]

    Examples
    --------
    >>> [by_share(k / 20) for k in (18, 17, 15, 14)]
    ['fits these figures', 'partly', 'partly', 'does not fit']
    """
    number = of_20(share)
    if number >= LEAST_FITTING:
        return FITS
    return PARTLY if number >= LEAST_PARTLY else DOES_NOT_FIT


def by_amount(amount: float, dearer: float) -> str:
    """Judge an amount that is said to be there, above 0 if it is, beside the cost of the dearer way. [money]

    Examples
    --------
    >>> by_amount(800.0, 12000.0), by_amount(200.0, 12000.0), by_amount(0.2, 12000.0)
    ('fits these figures', 'partly', 'does not fit')
    """
    if amount < 0.5:
        return DOES_NOT_FIT
    return PARTLY if about_the_same(amount, dearer) else FITS


def is_evidence(figure: Figure | None) -> bool:
    """Whether a figure is evidence."""
    return figure is not None and figure.basis in EVIDENCE


def at_most_limited(judgement: str) -> str:
    """Return a judgement that something keeps from fitting more than in part."""
    return PARTLY if judgement == FITS else judgement
