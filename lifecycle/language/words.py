"""Chances and bands in words: so many of 20, one in so many, and what 16 of 20 futures lie between.

Lecture
-------
Twenty coaches, always twenty. What rounds to none or to all of them is said as fewer than 1, or more than
39, in 40; what is rare and grave, and alone in its line, as one in so many. Shares that add up to 1 are
shared out so that their numbers add up to 20.

Left out: money and years as text (`labels`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from lifecycle.language.labels import rounded
from lifecycle.language.sentences import say
from lifecycle.quantities import number_text
from lifecycle.studies.doubt import of_20

SELDOM = 0.025
"""Below this a chance is said as one in so many: 1 in 40, where so many of 20 would be none. [-]"""

Name = TypeVar("Name", str, str | int)
"""What a choice goes by."""


def many_of_20(number: int) -> str:
    """Return so many of 20 in words.

    Examples
    --------
    >>> many_of_20(12), many_of_20(0), many_of_20(20)
    ('12 of 20', 'fewer than 1 in 40', 'more than 39 in 40')
    """
    return {0: say("counts.under"), 20: say("counts.over")}.get(number, say("counts.of_20", number=number))


def shared_out(chances: Mapping[Name, float]) -> dict[Name, int]:
    """Share twenty futures out by chances that add up to 1, so that they add up to 20.

    Examples
    --------
    >>> shared_out({"a": 0.334, "b": 0.333, "c": 0.333})
    {'a': 7, 'b': 7, 'c': 6}
    """
    whole = {name: int(20.0 * chance + 1e-9) for name, chance in chances.items()}
    left = 20 - sum(whole.values())
    order = sorted(chances, key=lambda name: whole[name] - 20.0 * chances[name])
    return {name: number + (name in order[:left]) for name, number in whole.items()}


def best_of_20(chances: Mapping[Name, float], name: Name) -> str:
    """Return in how many of 20 futures one choice is the best of all, in words.

    Where twenty futures are shared out the number is the same as there; a share that rounds to none
    or to all is said as it is.

    Examples
    --------
    >>> best_of_20({"a": 0.524, "b": 0.238, "c": 0.238}, "a"), best_of_20({"a": 0.99, "b": 0.01}, "b")
    ('10 of 20', 'fewer than 1 in 40')
    """
    number = shared_out(chances)[name]
    return many_of_20(number if 0 < number < 20 else of_20(chances[name]))


def coaches(chance: float) -> str:
    """Return a chance as so many of 20 coaches, or as one in so many.

    Examples
    --------
    >>> coaches(0.16), coaches(0.006), coaches(0.0)
    ('3 of 20', '1 of 170', 'fewer than 1 in 40')
    >>> coaches(0.03), coaches(0.024)
    ('1 of 20', '1 of 42')
    """
    if chance <= 0.0 or chance >= SELDOM:
        return many_of_20(of_20(chance))
    return say("counts.one_of", number=number_text(float(f"{1.0 / chance:.2g}")))


def range_sentence(low: float, high: float, currency: str = "") -> str:
    """Return line 2: what 16 of 20 futures lie between.

    Examples
    --------
    >>> range_sentence(-1010.0, 6300.0)
    'It could be 1,000 dearer or 6,300 cheaper (16 of 20).'
    >>> range_sentence(410.0, 6300.0), range_sentence(-6300.0, -410.0)
    ('It is somewhere between 410 and 6,300 cheaper (16 of 20).', \
'It is somewhere between 410 and 6,300 dearer (16 of 20).')
    """
    if low < 0.0 < high:
        return say("counts.both_sides", low=rounded(low), high=f"{rounded(high)} {currency}".rstrip())
    small, large = sorted((abs(low), abs(high)))
    word = "cheaper" if high > 0.0 else "dearer"
    most = f"{rounded(large)} {currency}".rstrip()
    return say("counts.one_side", small=rounded(small), large=most, word=word)
