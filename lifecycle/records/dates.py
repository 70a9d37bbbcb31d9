"""Dates as people write them, to the month; what can be read in two ways is asked for, never guessed.

Lecture
-------
A month is counted as ``12 year + month - 1``; the day is read, checked and forgotten. These forms say
by themselves what they mean and are always read::

    2021-03-14   2021-03   2021/03/14   14.3.2021   14 Mar 2021   Mar 14, 2021   March 2021

Numbers between slashes or hyphens with the year last may start with the day or with the month. Which
one it is stands in the column map, one of `STATED`; a day above 12 proves it for that row only, and
nothing is concluded from it. Years have four digits.

Left out: clock times (cut off after a T or a space), months in other languages.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable

STATED = ("m/d/y", "d/m/y", "m-d-y", "d-m-y")
"""Forms that a column map must state, because the same text can mean two days."""

_DAY, _MONTH, _YEAR = r"(?P<day>\d{1,2})", r"(?P<month>\d{1,2})", r"(?P<year>\d{4})"
_WORD = r"(?P<word>[A-Za-z]{3,9})\.?"
_ALWAYS = tuple(
    re.compile(form)
    for form in (
        rf"{_YEAR}-{_MONTH}(?:-{_DAY})?",
        rf"{_YEAR}/{_MONTH}(?:/{_DAY})?",
        rf"{_DAY}\.\s?{_MONTH}\.\s?{_YEAR}",
        rf"{_DAY}[ -]{_WORD}[ -]{_YEAR}",
        rf"{_WORD} {_DAY},? {_YEAR}",
        rf"{_WORD},? {_YEAR}",
    )
)
_BY_FORM = {
    "m/d/y": re.compile(rf"{_MONTH}/{_DAY}/{_YEAR}"),
    "d/m/y": re.compile(rf"{_DAY}/{_MONTH}/{_YEAR}"),
    "m-d-y": re.compile(rf"{_MONTH}-{_DAY}-{_YEAR}"),
    "d-m-y": re.compile(rf"{_DAY}-{_MONTH}-{_YEAR}"),
}
_TWO_WAYS = re.compile(r"\d{1,2}[/-]\d{1,2}[/-]\d{4}")
_CLOCK = re.compile(r"[T ]\d{1,2}:\d{2}.*$")
_NAMES = {name.casefold(): number for number, name in enumerate(calendar.month_abbr) if name}
EARLIEST, LATEST = 1900, 2200
"""Years that a date may lie in. [years]"""


def read_month(text: str, forms: Iterable[str] = ()) -> int | None:
    """Return the month of a date, or None if it cannot be read.

    Parameters
    ----------
    text : str
        One date.
    forms : iterable of str
        Of `STATED`, those that the records use.

    Returns
    -------
    int or None
        Months since the year 0. [months]

    Examples
    --------
    >>> read_month("2021-03-14") == read_month("14.3.2021") == read_month("Mar 14, 2021")
    True
    >>> read_month("3/4/2021") is None, month_text(read_month("3/4/2021", ["d/m/y"]))
    (True, '2021-04')
    >>> read_month("31.2.2021") is None
    True
    """
    plain = _CLOCK.sub("", text.strip())
    for pattern in (*_ALWAYS, *(_BY_FORM[form] for form in forms)):
        found = pattern.fullmatch(plain)
        if found:
            return _month(found.groupdict())
    return None


def _month(parts: dict[str, str | None]) -> int | None:
    """Return the month of a date in parts, if there is such a day."""
    word = parts.get("word")
    month = _NAMES.get(word[:3].casefold(), 0) if word else int(parts["month"] or 0)
    if word and not calendar.month_name[month].casefold().startswith(word.casefold()) and word != "Sept":
        return None
    year, day = int(parts["year"] or 0), int(parts.get("day") or 1)
    if not (EARLIEST <= year <= LATEST and 1 <= month <= 12):
        return None
    if not 1 <= day <= calendar.monthrange(year, month)[1]:
        return None
    return 12 * year + month - 1


def two_ways(text: str) -> bool:
    """Whether a date may start with the day or with the month, so that its form must be stated.

    Examples
    --------
    >>> two_ways("3/4/2021"), two_ways("2021-03-04")
    (True, False)
    """
    return _TWO_WAYS.fullmatch(_CLOCK.sub("", text.strip())) is not None


def month_text(month: int) -> str:
    """Return a month as text.

    Examples
    --------
    >>> month_text(12 * 2021 + 2)
    '2021-03'
    """
    return f"{month // 12:04d}-{month % 12 + 1:02d}"
