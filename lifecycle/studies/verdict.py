"""The word of a verdict: a rule between numbers, the same for studies and faces.

Lecture
-------
The word follows from the share p of futures in which a way is cheaper, and from its middle net
savings m::

    "about the same"       |m| < 3 % of the dearer way, or < 250; whatever p
    "cheaper"              floor(20 p + 0.5) = 18, 19, 20
    "probably cheaper"     15, 16, 17
    "could go either way"  6 ... 14
    "probably dearer"      3, 4, 5
    "dearer"               0, 1, 2

Without doubt there is no p: only "cheaper", "dearer" or "about the same".

Left out: sentences (the faces), and which futures there are (`doubt`).
Source: a convention of our own.
"""

from __future__ import annotations

from lifecycle.studies.doubt import of_20

SAME_SHARE, SAME_MONEY = 0.03, 250.0
"""Two ways are about the same within this share of the dearer one [-], or this much [money]."""

SAME, CHEAPER, OPEN, DEARER = "about the same", "cheaper", "could go either way", "dearer"

WORDS = ((18, CHEAPER), (15, "probably cheaper"), (6, OPEN), (3, "probably dearer"))
"""Word from so many of 20 futures on; below the last: "dearer"."""


def about_the_same(difference: float, dearer: float) -> bool:
    """Whether two ways cost about the same.

    Parameters
    ----------
    difference : float
        Between their costs. [money]
    dearer : float
        Cost of the dearer one. [money]

    Examples
    --------
    >>> about_the_same(-249.0, 1000.0), about_the_same(300.0, 12000.0), about_the_same(300.0, 9000.0)
    (True, True, False)
    """
    return abs(difference) < max(SAME_SHARE * abs(dearer), SAME_MONEY)


def word_without_doubt(middle: float, dearer: float) -> str:
    """Return the word where every input stands at one value.

    Parameters
    ----------
    middle : float
        Net savings. [money]
    dearer : float
        Cost of the dearer way. [money]

    Examples
    --------
    >>> word_without_doubt(2400.0, 12000.0), word_without_doubt(-2400.0, 12000.0)
    ('cheaper', 'dearer')
    """
    if about_the_same(middle, dearer):
        return SAME
    return CHEAPER if middle > 0.0 else DEARER


def word_under_doubt(chance: float, middle: float, dearer: float) -> str:
    """Return the word for a share of futures.

    Parameters
    ----------
    chance : float
        Share of futures in which the way is cheaper. [-]
    middle : float
        Median of its net savings. [money]
    dearer : float
        Cost of the dearer way. [money]

    Examples
    --------
    >>> [word_under_doubt(k / 20, 3000.0, 12000.0) for k in (18, 17, 14, 5, 2)]
    ['cheaper', 'probably cheaper', 'could go either way', 'probably dearer', 'dearer']
    """
    if about_the_same(middle, dearer):
        return SAME
    return next((word for least, word in WORDS if of_20(chance) >= least), DEARER)
