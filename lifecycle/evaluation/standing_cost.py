"""What a roof costs as long as it stands: tables for the accounts of simulated lives.

Lecture
-------
Visits, the owner's hours, days out of use for visits, and energy are not a matter of luck: they are
the same for all roofs of a kind that were laid in month L and stand at the age j. With v the
discount factor of a month at the escalation of a line, and c(i) its amount at age i::

    cost to age j = sum over lines of v^L (c(0) + v c(1) + ... + v^j c(j))

for ``v^(L + i) = v^L v^i``. So each line needs one running sum, and all lines together one table by L
and j. Ages are counted in instants, as in `lives`: ``2 j`` before a sale in the month, ``2 j + 1``
after it. The roof pays energy before the sale of each month but its first, and visits after it.
The residual value at a sale depends on L and j alone as well, and is in the table too.

Left out: the end of the roof, and its leaks (`life_account`).
Source: derived from the model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lifecycle.deterioration import residual_share
from lifecycle.economics import discount_factor
from lifecycle.evaluation.lives import Course
from lifecycle.roofs import ESCALATING, Terms

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Prices:
    """Terms of the account as the lives need them.

    Parameters
    ----------
    terms : Terms
        Terms of the account, one number each.
    factors : dict of str to ndarray, shape (months + 1,)
        Discount factor of each category by month; `"sale"` does not escalate. [-]
    rises : dict of str to ndarray, shape (months + 1,)
        Real rise of the price of each category by month. [-]
    """

    terms: Terms
    factors: dict[str, Array]
    rises: dict[str, Array]


def prices_of(terms: Terms) -> Prices:
    """Return discount factors and price rises by category and month.

    Parameters
    ----------
    terms : Terms
        Terms of the account, one number each.

    Returns
    -------
    Prices
    """
    months = np.arange(terms.months + 1)
    rate = float(terms.discount_rate)
    growth = {name: float(terms.escalation.get(name, 0.0)) for name in ESCALATING} | {"sale": 0.0}
    return Prices(
        terms,
        {
            name: np.asarray(discount_factor(months, discount_rate=rate, escalation=rise))
            for name, rise in growth.items()
        },
        {name: np.asarray((1.0 + rise) ** (months / 12.0)) for name, rise in growth.items()},
    )


@dataclass(frozen=True)
class Upkeep:
    """What a kind of roof costs as long as it stands.

    Parameters
    ----------
    money : dict of str to ndarray, shape (2 months + 2,)
        Name of a line -> its running sum by instant of the spell, discounted to its start. [money]
    counts : dict of str to ndarray, shape (2 months + 2,)
        Running sums of days and hours. [days, h]
    paid : ndarray, shape (months, 2 months + 2)
        All lines together, discounted to the base date, by the month of laying and instant. [money]
    sold : ndarray, shape (months, months + 1)
        The same to a sale, less the residual value then, by the month of laying and age. [money]
    residual : ndarray, shape (months + 1,)
        Residual value by age. [money]
    """

    money: dict[str, Array]
    counts: dict[str, Array]
    paid: Array
    sold: Array
    residual: Array


def upkeep_of(course: Course, prices: Prices, laid_in: int) -> Upkeep:
    """Return what a kind of roof costs as long as it stands.

    Parameters
    ----------
    course : Course
        Tables of this kind of roof.
    prices : Prices
        Terms of the account.
    laid_in : int
        Last month in which one may be laid; the first is 0. [months]

    Returns
    -------
    Upkeep
    """
    terms, roof = prices.terms, course.roof
    rows = len(course.due)
    lines = {f"upkeep: {visit.name}": np.zeros((rows, 2)) for visit in roof.all_visits}
    counts = {"days": np.zeros((rows, 2)), "hours": np.zeros((rows, 2))}
    for month, visits in enumerate(course.due):
        for visit in visits:
            lines[f"upkeep: {visit.name}"][month, 1] += float(visit.cost)
            counts["days"][month, 1] += float(visit.days)
            counts["hours"][month, 1] += float(visit.hours)
    lines["days"] = counts["days"] * float(terms.day_cost)
    lines["hours"] = counts["hours"] * float(terms.hour_value)
    lines["energy"] = np.zeros((rows, 2))
    lines["energy"][1:, 0] = float(roof.energy_cost) / 12.0
    money = {
        name: np.cumsum((amount * line_factor(prices, name)[:, None]).ravel())
        for name, amount in lines.items()
    }
    laid = np.arange(laid_in + 1)
    paid = sum(
        (np.multiply.outer(line_factor(prices, name)[laid], running) for name, running in money.items()),
        np.zeros((laid.size, 2 * rows)),
    )
    unused = residual_share(course.effective_age, shape=roof.life_shape, scale=roof.life_scale)
    residual = float(roof.resale_share) * float(roof.renew_cost) * np.asarray(unused)
    at_base_date = np.multiply.outer(prices.factors["sale"][laid], prices.factors["sale"] * residual)
    return Upkeep(
        money,
        {name: np.cumsum(number.ravel()) for name, number in counts.items()},
        paid,
        paid[:, ::2] - at_base_date,
        residual,
    )


def line_factor(prices: Prices, line: str) -> Array:
    """Return the discount factors of a line of the account, ``"upkeep: NAME"`` or a category.

    Parameters
    ----------
    prices : Prices
        Terms of the account.
    line : str
        Name of the line.

    Returns
    -------
    ndarray, shape (months + 1,)
        By month. [-]
    """
    return prices.factors[line.split(":")[0]]
