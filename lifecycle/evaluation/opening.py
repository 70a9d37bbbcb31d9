"""Once the roof is open: what stripping uncovers today, with its chance, its mean and its tail.

Lecture
-------
The roof that stands hides leaks of several classes and ages (`past`). Their numbers are independent
Poisson numbers with means n_i, and a leak hidden for u_i years does the damage
``D_i = patch_cost + rot_cost (1 - exp(-u_i / rot_time))``. So with lambda the sum of the n_i::

    chance of wet wood     1 - exp(-lambda)
    chance of a rotten deck   1 - exp(-sum of n_i with u_i > severe_after)
    mean extra             sum of n_i D_i
    extra                  compound Poisson; its distribution by Panjer's recursion

on a grid of money, damage rounded to the nearest step. For ``p_k`` the chance of an extra of k steps
and ``f_j`` the share of leaks whose damage is j steps::

    p_0 = exp(-lambda (1 - f_0))        p_k = lambda / k * sum over j of j f_j p_(k - j)

This is luck: what happens to one coach, every input at its likely value. Stripping today is meant:
nothing is insured here, and no warranty pays.

Left out: doubt about the inputs; work that hides behind the deck.

Source
------
Panjer (1981), recursive evaluation of a family of compound distributions; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lifecycle.deterioration import damage
from lifecycle.evaluation.hiding import months_until_severe
from lifecycle.evaluation.past import today
from lifecycle.quantities import Array
from lifecycle.roofs import Case

STEPS = 400
"""Steps of the grid that the dearest leak takes."""

TAIL = 1e-9
"""Chance beyond which the distribution is cut."""


@dataclass(frozen=True)
class Opening:
    """What stripping uncovers today.

    Parameters
    ----------
    wet, rotten : float
        Chance of wet wood anywhere; of a deck that is gone. [-]
    leaks : float
        Expected number of hidden leaks. [leaks]
    mean : float
        Mean extra. [money]
    extra, chance : ndarray, shape (points,)
        Extra on a grid, and the chance of each. [money, -]
    """

    wet: float
    rotten: float
    leaks: float
    mean: float
    extra: Array
    chance: Array

    def percentile(self, share: float) -> float:
        """Return the extra that so many coaches stay at or below.

        Parameters
        ----------
        share : float
            Share of coaches, above 0 and below 1. [-]
        """
        place = int(np.searchsorted(np.cumsum(self.chance), share - 1e-12))
        return float(self.extra[min(place, self.extra.size - 1)])

    def up_to(self, most: float) -> tuple[float, float]:
        """Return mean and standard deviation of the extra where no more than `most` is paid of it.

        Parameters
        ----------
        most : float
            May be infinite. [money]

        Returns
        -------
        float, float
            [money]
        """
        paid = np.minimum(self.extra, most)
        mean = float(self.chance @ paid)
        return mean, float(np.sqrt(max(0.0, float(self.chance @ paid**2) - mean**2)))


def opening(case: Case) -> Opening:
    """Work out what stripping the standing roof uncovers today.

    Parameters
    ----------
    case : Case
        With plain numbers, no arrays of draws.

    Returns
    -------
    Opening
    """
    hidden = today(case.existing, case.leaks, 1).hidden
    numbers = (hidden.open + hidden.silent).sum(axis=0)[:, 0]
    leaks = case.leaks
    damages = np.asarray(
        damage(
            hidden.ages / 12.0,
            patch_cost=float(leaks.patch_cost),
            rot_cost=float(leaks.rot_cost),
            rot_time=float(leaks.rot_time),
        )
    )
    severe = np.array([int(months_until_severe(leaks, age)) == 0 for age in hidden.ages], dtype=bool)
    extra, chance = compound_poisson(numbers, damages)
    return Opening(
        wet=float(-np.expm1(-numbers.sum())),
        rotten=float(-np.expm1(-numbers[severe].sum())),
        leaks=float(numbers.sum()),
        mean=float(numbers @ damages),
        extra=extra,
        chance=chance,
    )


def compound_poisson(numbers: Array, damages: Array) -> tuple[Array, Array]:
    """Distribution of the sum of damages whose numbers are independent Poisson numbers.

    Parameters
    ----------
    numbers, damages : ndarray, shape (classes,)
        Expected numbers, and the damage of one. [leaks, money]

    Returns
    -------
    extra, chance : ndarray, shape (points,)
        A grid from 0, and the chance of each point; what lies beyond is less likely than `TAIL`.

    Examples
    --------
    >>> extra, chance = compound_poisson(np.array([0.5]), np.array([100.0]))
    >>> round(float(chance[0]), 4), round(float(chance[extra == 100.0][0]), 4)
    (0.6065, 0.3033)
    """
    total, dearest = float(numbers.sum()), float(damages.max(initial=0.0))
    if total <= 0.0 or dearest <= 0.0:
        return np.zeros(1), np.ones(1)
    step: float = dearest / STEPS
    share = np.bincount(np.rint(damages / step).astype(int), weights=numbers / total, minlength=STEPS + 1)
    weighted = np.arange(1, STEPS + 1) * share[1:]
    chance = [float(np.exp(-total * (1.0 - share[0])))]
    known = chance[0]
    while known < 1.0 - TAIL and len(chance) < STEPS * (20 + 10 * int(total)):
        k = len(chance)
        reach = min(k, STEPS)
        back = np.array(chance[k - reach :][::-1])
        chance.append(total / k * float(weighted[:reach] @ back))
        known += chance[-1]
    return np.arange(len(chance), dtype=np.float64) * step, np.array(chance, dtype=np.float64)
