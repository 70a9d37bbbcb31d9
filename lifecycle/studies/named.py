"""A number with what it is, so that a sentence can be filled with it.

Lecture
-------
Claims and reasons are sentences of the data (`claims.toml`) with gaps; a study says what belongs into
each gap: a number and its *kind*. How a kind is written, rounded and with which unit, is left to the
language, so that one sentence reads the same wherever it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "money",
    "sum",
    "difference",
    "of 20",
    "coaches",
    "share",
    "years",
    "number",
    "mass",
    "warmer",
    "title",
    "text",
]
"""What a number is.

money: an amount; sum: of a contract, never rounded; difference: an amount, positive is cheaper; of 20: a
chance, or share of futures, told in 20s; coaches: a chance that may be rare; share: of a whole, in per
cent; years; number: a count; mass [kg]; warmer [K]; title: no number, but the name of a way; text: words as
they are.
"""


@dataclass(frozen=True)
class Named:
    """A number and what it is.

    Parameters
    ----------
    value : float or str
        In the model's own unit; a text for a title.
    kind : Kind
        How it is written, rounded and with which unit.
    """

    value: float | str
    kind: Kind
