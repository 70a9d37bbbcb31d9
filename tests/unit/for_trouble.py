"""Roofs that are stripped for trouble: what tests hold the tool's figures against, and no command shows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lifecycle.evaluation.hiding import sign_chance
from lifecycle.evaluation.spell import Spell
from lifecycle.studies.one_roof import _months, _severe, _share, _visited_in

Array = NDArray[np.float64]


def rotten_among_stripped_for_trouble(spell: Spell, age: int) -> Array:
    """Share with a rotten deck of roofs stripped for trouble in the year before an age; 0 if none. [-]

    Notes
    -----
    A find forces the stripping if it is severe or an end leak. With S severe leaks open and E end
    leaks that are not, of which the share f is found, ``1 - exp(-f (S + E))`` are stripped, and
    ``exp(-S) (1 - exp(-f E))`` of all without any severe leak.
    """
    months = _months(age - 1, age - 1)
    chosen = _visited_in(spell, months)
    days = spell.days[chosen]
    shown = np.asarray(sign_chance(spell.leaks))
    severe, stood = _severe(spell), spell.standing
    end = spell.hidden.open_end - spell.hidden.severe_end

    def stripped(mass: Array, found: Array, severe: Array, end: Array) -> tuple[Array, Array]:
        """Return the mass stripped, and that of it with a severe leak."""
        forced = -np.expm1(-found * (severe + end))
        sound = np.exp(-severe) * -np.expm1(-found * end)
        return (mass * forced).sum(0), (mass * (forced - sound)).sum(0)

    by_signs = stripped(stood.start[months], shown, severe[months], end[months])
    left = 1.0 - shown
    by_visits = stripped(
        stood.at_sale[days], 1.0 - spell.course.misses[chosen], left * severe[days], left * end[days]
    )
    return _share(by_signs[1] + by_visits[1], by_signs[0] + by_visits[0])
