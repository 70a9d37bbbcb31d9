"""Sentences of the data, filled with figures: one way to write each kind of figure, wherever it is shown.

Lecture
-------
A sentence has gaps in braces; a study says which figure, and what it is (`studies.named`). Money takes two
significant digits and no sign, a sum of a contract every digit; a chance becomes so many of 20, or one in so
many where it is rare.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import islice
from string import Formatter

from lifecycle.language.finding_out import percent
from lifecycle.language.labels import cheaper_or_dearer, inner, rounded, years_text
from lifecycle.language.words import coaches, many_of_20
from lifecycle.quantities import convert, money_text, number_text
from lifecycle.studies.doubt import of_20
from lifecycle.studies.named import Named

MONEY = ("money", "sum", "difference")
"""Kinds of figures that are amounts of money."""


def filled(sentence: str, figures: Mapping[str, Named], units: str = "us", currency: str = "") -> str:
    """Fill the gaps of a sentence; the first amount of money is said with its currency.

    Examples
    --------
    >>> filled("{k} futures, about {money}.", {"k": Named(0.6, "of 20"), "money": Named(-2417.0, "money")})
    '12 of 20 futures, about 2,400.'
    >>> some = {"cap": Named(11530.0, "sum"), "more": Named(250.0, "money")}
    >>> filled("Up to {cap}, and about {more} more.", some, currency="USD")
    'Up to 11,530 USD, and about 250 more.'
    """
    texts = {name: said(figure, units) for name, figure in figures.items()}
    money = (name for _, name, *_ in Formatter().parse(sentence) if name and figures[name].kind in MONEY)
    for first in islice(money, 1 if currency else 0):
        kind, value = figures[first].kind, figures[first].value
        difference = kind == "difference" and not isinstance(value, str)
        texts[first] = (
            cheaper_or_dearer(float(value), currency) if difference else f"{texts[first]} {currency}"
        )
    return sentence.format_map(texts)


def said(figure: Named, units: str = "us") -> str:
    """Write one figure as its kind is written.

    Examples
    --------
    >>> said(Named(0.006, "coaches")), said(Named(0.01, "of 20")), said(Named(2.5, "years"))
    ('1 of 170', 'fewer than 1 in 40', '2 years 6 months')
    >>> said(Named(100.0, "mass")), said(Named(5.0, "warmer")), said(Named(0.303, "number"))
    ('220 lb', '9 F', '0.3')
    >>> said(Named(-800.0, "difference")), said(Named(0.12, "share")), said(Named("I look", "title"))
    ('about 800 dearer', '12 %', 'I look')
    >>> said(Named(11530.0, "sum")), said(Named(11530.0, "money"))
    ('11,530', '12,000')
    """
    if isinstance(figure.value, str):
        return inner(figure.value) if figure.kind == "title" else figure.value
    value = figure.value
    if figure.kind == "mass":
        return _two_digits(convert(value, "kg", "lb"), "lb") if units == "us" else _two_digits(value, "kg")
    if figure.kind == "warmer":
        return _two_digits(1.8 * value, "F") if units == "us" else _two_digits(value, "C")
    if figure.kind == "of 20":
        return many_of_20(of_20(value))
    writers: dict[str, Callable[[float], str]] = {
        "money": rounded,
        "sum": money_text,
        "difference": cheaper_or_dearer,
        "coaches": coaches,
        "share": lambda share: percent(share) if share else "0 %",
        "years": years_text,
    }
    return writers[figure.kind](value) if figure.kind in writers else _two_digits(value)


def _two_digits(value: float, unit: str = "") -> str:
    """Write a number with two significant digits, and its unit behind it."""
    return f"{number_text(float(f'{value:.2g}'), 2)} {unit}".strip()
