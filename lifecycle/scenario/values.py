"""Looking up a stated number: the value given for its input, else the likely one.

Lecture
-------
Whoever resolves a scenario goes through its statements and asks for each number. A number is that
of its input, times the ratios on its way; an input stands at its likely value unless a value was
given for it: one number, or an array with one value for each draw.

Left out: whether values lie within the bounds of an input (`quantities.clip_to_bounds`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from lifecycle.errors import nearest
from lifecycle.roofs import Number
from lifecycle.scenario.stated import Numbers, Scenario, Stated

Values = Mapping[str, ArrayLike]
"""Values by path: a number, or an array of shape (draws,)."""


class Lookup:
    """Look-up of a stated number: the given value of its input, else the likely one.

    Parameters
    ----------
    scenario : Scenario
        With the inputs.
    values : mapping of str to float or ndarray, shape (draws,)
        Values instead of the likely ones, by path. [unit of the input]

    Raises
    ------
    ValueError
        If a path is not an input, or an input that fixes the calendar is given an array.
    """

    def __init__(self, scenario: Scenario, values: Values) -> None:
        self.inputs = scenario.inputs
        self.values = {path: self._checked(path, value) for path, value in values.items()}

    def _checked(self, path: str, value: ArrayLike) -> Number:
        """Return a given value as a float or an array of draws."""
        if path not in self.inputs:
            raise ValueError(f"{path!r} is not an input: {nearest(path, tuple(self.inputs))}")
        array = np.asarray(value, dtype=float)
        if array.ndim == 0:
            return float(array)
        if not self.inputs[path].field.ranged:
            raise ValueError(f"{path} fixes the calendar: it takes one number, not an array")
        if array.ndim > 1:
            raise ValueError(f"{path} takes an array of shape (draws,), not {array.shape}")
        return array

    def __call__(self, stated: Stated) -> Number:
        """Return the number, times its ratios."""
        if isinstance(stated, float):
            return stated
        value = self._at(stated.path)
        for ratio in stated.ratios:
            value = value * self._at(ratio)
        return value

    def _at(self, path: str) -> Number:
        """Return the value of one input."""
        return self.values[path] if path in self.values else self.inputs[path].likely

    def whole(self, stated: Stated, unit: float = 1.0) -> int:
        """Return a number that fixes the calendar, in whole units."""
        return round(float(self(stated)) * unit)

    def all(self, numbers: Numbers) -> dict[str, Any]:
        """Return every number of a section."""
        return {name: self(stated) for name, stated in numbers.items()}
