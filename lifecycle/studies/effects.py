"""What each ranged input does to each way's own cost, and why where that is not what its name promises.

Lecture
-------
A swing says what an input does to the difference of two ways; where it moves both, its sign is hidden.
Here it is what the input does to one way alone::

    effect = cost at the high end of the range - cost at the low end

at the years kept, all other inputs at their likely values. By the name of its field an input is expected
to raise the cost or to lower it (`effects.toml`); where a way's sign is the other one, the data must hold a
reason. A sign without one is a fault: more bad jobs that make a way cheaper, say.

Left out: what lies between the ends; inputs that move together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.swings import Accounts, one_at_a_time
from lifecycle.files import data
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario

NOTHING = 0.01
"""Effects smaller than this are none. [money]"""


@dataclass(frozen=True)
class Effect:
    """What one ranged input does to the cost of each way.

    Parameters
    ----------
    figure : Figure
        The input.
    changes : dict of str to float
        By way: cost at the high end less cost at the low end. [money]
    expected : int
        1 if it is expected to raise the cost, -1 to lower it, 0 if nothing is said.
    reason : str
        Why it may be the other way; "" if the data hold none.
    """

    figure: Figure
    changes: Mapping[str, float]
    expected: int
    reason: str

    def sign(self, way: str) -> int:
        """Return 1 if it raises the cost of a way, -1 if it lowers it, else 0."""
        change = self.changes[way]
        return 0 if abs(change) < NOTHING else 1 if change > 0.0 else -1

    @property
    def surprising(self) -> tuple[str, ...]:
        """The ways on which its sign is not the expected one."""
        return tuple(way for way in self.changes if self.sign(way) not in (0, self.expected))


def effects(scenario: Scenario) -> tuple[Effect, ...]:
    """Return what each ranged input does to the cost of each way.

    Parameters
    ----------
    scenario : Scenario
        Any.

    Returns
    -------
    tuple of Effect
        In the order of the scenario.
    """
    said = data("effects.toml")
    found = one_at_a_time(scenario)
    ends = {way: found.at_ends(partial(_cost, way)) for way in found.ledgers}
    effects = []
    for figure in found.ranged:
        name = figure.field.name
        changes = {way: at[figure.path][1] - at[figure.path][0] for way, at in ends.items()}
        expected = (name in said["raises"]) - (name in said["lowers"])
        effects.append(Effect(figure, changes, expected, said["surprises"].get(name, "")))
    return tuple(effects)


def _cost(way: str, accounts: Accounts) -> NDArray[np.float64]:
    """Return the cost of a way at the years kept."""
    return accounts[way].at_holding
