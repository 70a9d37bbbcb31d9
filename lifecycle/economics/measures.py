"""Measures of worth: what the net savings of an alternative amount to, in the standard's terms.

Lecture
-------
Net savings ``S[N]`` are the present cost of the base case less that of the alternative if sold after
N years; ``I`` is the further investment, ``d`` the discount rate::

    savings-to-investment ratio        SIR = (S + I) / I
    adjusted internal rate of return   AIRR = (1 + d) SIR ** (1 / N) - 1
    payback                            first N >= 1 with S[N] >= 0, in a straight line from N - 1
    break-even year                    first whole N from which S stays >= 0
    crossings                          years N >= 2 in which "S[N] >= 0" differs from N - 1

Net savings down to `TOLERANCE` below zero count as zero: half a hundredth is not a loss. A measure
that does not exist is an `Answer` with a reason. Left out: ranking by ratio under a budget.

Source
------
ASTM E964, E1057, E1121 by their scope clauses; 10 CFR 436.21. The break-even year is ours.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lifecycle.economics.discounting import checked_rate

TOLERANCE = 0.005
"""Half a hundredth: net savings no further below zero count as zero. [money]"""

NO_INVESTMENT, SAVES_NOTHING = "no investment beyond the base case's", "the investment saves nothing"
NEVER_STAYS = "not within the study period"
"""Reasons why there is no such number; a workbook says the same."""


@dataclass(frozen=True)
class Answer:
    """A number, or none with the reason; a number may carry a remark as well.

    Parameters
    ----------
    value : float or None
        The number, None where there is no such number.
    reason : str or None
        Why there is none, or what to know about the number.

    Examples
    --------
    >>> Answer(None, "not within 8 years")
    Answer(value=None, reason='not within 8 years')
    """

    value: float | None
    reason: str | None = None

    def __post_init__(self) -> None:
        if self.value is None and not self.reason:
            raise ValueError("an answer without a value needs a reason")


def savings_to_investment(net_savings: float, investment: float) -> Answer:
    """Savings-to-investment ratio (ASTM E964): ``(net savings + I) / I``.

    Parameters
    ----------
    net_savings : float
        Present cost of the base case less that of the alternative. [money]
    investment : float
        I, present value of the further investment over the base case's. [money]

    Returns
    -------
    Answer
        The ratio [-]; none where nothing is invested or the ratio is not above 0.

    Source
    ------
    10 CFR 436.21.

    Examples
    --------
    >>> savings_to_investment(500.0, 1000.0)
    Answer(value=1.5, reason=None)
    """
    if investment <= 0.0:
        return Answer(None, NO_INVESTMENT)
    ratio = float((net_savings + investment) / investment)
    if ratio <= 0.0:
        return Answer(None, SAVES_NOTHING)
    return Answer(ratio)


def adjusted_internal_rate_of_return(ratio: Answer | float, *, discount_rate: float, years: float) -> Answer:
    """Return the adjusted internal rate of return (ASTM E1057): ``(1 + d) SIR ** (1 / N) - 1``.

    Parameters
    ----------
    ratio : Answer or float
        Savings-to-investment ratio. [-]
    discount_rate : float
        Real rate as a fraction; savings are taken to be laid out again at it. [1/year]
    years : float
        Years held, above 0. [years]

    Returns
    -------
    Answer
        Rate [1/year]; none, with the same reason, where the ratio has none.

    Raises
    ------
    ValueError
        If `years` is not above 0 or `discount_rate` is not above -1.

    Examples
    --------
    >>> round(adjusted_internal_rate_of_return(1.0, discount_rate=0.03, years=8).value, 6)
    0.03
    """
    if years <= 0:
        raise ValueError(f"years must be above 0, got {years!r}")
    answer = ratio if isinstance(ratio, Answer) else Answer(float(ratio))
    if answer.value is None:
        return answer
    if answer.value <= 0.0:
        return Answer(None, SAVES_NOTHING)
    growth = 1.0 + float(checked_rate(discount_rate, "discount_rate"))
    return Answer(growth * answer.value ** (1.0 / years) - 1.0)


def payback(net_savings_by_year: ArrayLike) -> Answer:
    """Payback (ASTM E1121) from net savings by year of sale.

    Parameters
    ----------
    net_savings_by_year : array_like, shape (n + 1,)
        Net savings if sold after 0, 1, ... n years; year 0 is not looked at. Discounted, they give
        the discounted payback; at a rate of 0, the simple payback. [money]

    Returns
    -------
    Answer
        Years, interpolated in a straight line within the year. In year 1 the value is 1 with the
        remark "within the first year"; none if not within n years. [years]

    Raises
    ------
    ValueError
        If it is not one row of at least two years, or a number is missing.

    Examples
    --------
    >>> payback([0.0, -30.0, -10.0, 30.0])
    Answer(value=2.25, reason=None)
    >>> payback([0.0, -30.0, -10.0])
    Answer(value=None, reason='not within 2 years')
    """
    savings = _by_year(net_savings_by_year)
    reached = np.flatnonzero(_not_dearer(savings)) + 1
    if reached.size == 0:
        return Answer(None, not_within(savings.size - 1))
    year = int(reached[0])
    if year == 1:
        return Answer(1.0, "within the first year")
    before, after = float(savings[year - 1]), max(0.0, float(savings[year]))
    return Answer(year - 1 + before / (before - after))


def break_even_year(net_savings_by_year: ArrayLike) -> Answer:
    """First year from which a sale at the end of any later year leaves the alternative no dearer.

    Parameters
    ----------
    net_savings_by_year : array_like, shape (n + 1,)
        Net savings if sold after 0, 1, ... n years; year 0 is not looked at. [money]

    Returns
    -------
    Answer
        Whole year; none if not within the study period. [years]

    Raises
    ------
    ValueError
        If it is not one row of at least two years, or a number is missing.

    Examples
    --------
    >>> break_even_year([0.0, -5.0, 1.0, -2.0, 3.0, 4.0])
    Answer(value=4.0, reason=None)
    """
    good = _not_dearer(_by_year(net_savings_by_year))
    if not good[-1]:
        return Answer(None, NEVER_STAYS)
    bad = np.flatnonzero(~good)
    return Answer(float(bad[-1] + 2) if bad.size else 1.0)


def crossings(net_savings_by_year: ArrayLike) -> list[int]:
    """Years from the second on in which the cheaper of the two changes.

    Parameters
    ----------
    net_savings_by_year : array_like, shape (n + 1,)
        Net savings if sold after 0, 1, ... n years; year 0 is not looked at. [money]

    Returns
    -------
    list of int
        Years N >= 2 in which "no dearer" differs from year N - 1. [years]

    Examples
    --------
    >>> crossings([0.0, -5.0, 1.0, -2.0, 3.0, 4.0])
    [2, 3, 4]
    """
    good = _not_dearer(_by_year(net_savings_by_year))
    return [int(year) for year in np.flatnonzero(good[1:] != good[:-1]) + 2]


def _by_year(values: ArrayLike) -> NDArray[np.float64]:
    """Return one row of at least two years, nothing missing, as an array."""
    row = np.asarray(values, dtype=float)
    if row.ndim != 1 or row.size < 2:
        raise ValueError(f"one row with year 0 and at least one year more is needed, got shape {row.shape}")
    if not np.all(np.isfinite(row)):
        raise ValueError(f"every year needs a finite number, got {row}")
    return row


def _not_dearer(savings: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether the alternative is no dearer if sold after year 1, 2, ... n; shape (n,)."""
    return np.asarray(savings[1:] >= -TOLERANCE)


def not_within(years: int) -> str:
    """Return the reason of what does not happen in the years shown.

    Examples
    --------
    >>> not_within(1), not_within(8)
    ('not within 1 year', 'not within 8 years')
    """
    return f"not within {years} year" if years == 1 else f"not within {years} years"
