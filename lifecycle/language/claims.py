"""Statements and reasons in words: sentences of the data filled with figures, and the case for and against.

Lecture
-------
A sentence has gaps in braces; a study says which figure, and what it is
(`studies.case.Named`). Here is the one way to write each kind: money takes two significant digits and no
sign, a sum of a contract every digit; a chance becomes so many of 20, or one in so many where it is rare.

The case has as many lines on either side, a figure in each; three sentences stand in the data for each topic,
and which is said follows from where the figure points (`studies.case`). A topic that stands on a side though
its figure does not speak for that side says so.

Left out: what money does not show.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from string import Formatter
from typing import Any

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.labels import cheaper_or_dearer, coaches, many_of_20, percent, shared_out, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import convert, inner, money_text, number_text, rounded
from lifecycle.studies.case import AGAINST, FOR, Named, Reason, Sides, case_of
from lifecycle.studies.doubt import Doubt, of_20

MONEY = ("money", "sum", "difference")
"""Kinds of figures that are amounts of money."""

END = ". "
"""What stands between two sentences."""


def filled(sentence: str, figures: Mapping[str, Named], units: str = "us", currency: str = "") -> str:
    """Fill the gaps of sentences; the first amount of money of each is said with its currency.

    Examples
    --------
    >>> filled("{k} futures, about {money}.", {"k": Named(0.6, "of 20"), "money": Named(-2417.0, "money")})
    '12 of 20 futures, about 2,400.'
    >>> some = {"cap": Named(11530.0, "sum"), "more": Named(250.0, "money")}
    >>> filled("Up to {cap}, and about {more} more.", some, currency="USD")
    'Up to 11,530 USD, and about 250 more.'
    """
    texts = all_said(figures, units)
    parts, said_already = [], not currency
    for text, name, *_ in Formatter().parse(sentence):
        said_already = not currency or (said_already and END not in text)
        parts.append(text)
        if name is None:
            continue
        if figures[name].kind in MONEY and not said_already:
            parts.append(_with_currency(figures[name], texts[name], currency))
            said_already = True
        else:
            parts.append(texts[name])
    return "".join(parts)


def _with_currency(figure: Named, text: str, currency: str) -> str:
    """Return an amount of money as text, with its currency."""
    if figure.kind == "difference" and not isinstance(figure.value, str):
        return cheaper_or_dearer(float(figure.value), currency)
    return f"{text} {currency}"


def all_said(figures: Mapping[str, Named], units: str = "us") -> dict[str, str]:
    """Write figures as their kinds are written; parts of one whole add up to twenty.

    Examples
    --------
    >>> parts = {"before": 0.177, "within": 0.484, "after": 0.339}
    >>> all_said({name: Named(part, "part of 20") for name, part in parts.items()})
    {'before': '3 of 20', 'within': '10 of 20', 'after': '7 of 20'}
    """
    parts = {name: float(one.value) for name, one in figures.items() if one.kind == "part of 20"}
    shared = {name: many_of_20(number) for name, number in shared_out(parts).items()}
    return {name: said(figure, units) for name, figure in figures.items()} | shared


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
    if figure.kind in ("of 20", "part of 20"):
        return many_of_20(of_20(value))
    writers: dict[str, Callable[[float], str]] = {
        "money": rounded,
        "sum": money_text,
        "difference": cheaper_or_dearer,
        "coaches": coaches,
        "share": lambda share: percent(share) if share else "0 %",
        "years": years_text,
        "signs": lambda number: say(
            f"claims.signs.{'one' if number == 1 else 'some'}", number=f"{number:.0f}"
        ),
    }
    return writers[figure.kind](value) if figure.kind in writers else _two_digits(value)


def _two_digits(value: float, unit: str = "") -> str:
    """Write a number with two significant digits, and its unit behind it."""
    return f"{number_text(float(f'{value:.2g}'), 2)} {unit}".strip()


@dataclass(frozen=True)
class CaseLines:
    """The case for and the case against, of equal length.

    Parameters
    ----------
    for_, against : tuple of str
        Sentences, the largest sum of money first; none where nothing is compared.
    """

    for_: tuple[str, ...]
    against: tuple[str, ...]


def case_lines(comparison: Comparison, doubt: Doubt | None) -> CaseLines:
    """Put the case for and the case against the way in question into words."""
    if comparison.subject is None or not comparison.ways or doubt is None:
        return CaseLines((), ())
    return lines_of(case_of(comparison, doubt), comparison.scenario.units, comparison.scenario.currency)


def lines_of(sides: Sides, units: str, currency: str = "") -> CaseLines:
    """Put both sides into words."""
    return CaseLines(
        tuple(_line(reason, FOR, units, currency) for reason in sides.for_),
        tuple(_line(reason, AGAINST, units, currency) for reason in sides.against),
    )


def _line(reason: Reason, side: str, units: str, currency: str) -> str:
    """Return the sentence of a reason on one side."""
    known, texts = words(f"claims.reasons.{reason.key}"), all_said(reason.figures, units)
    alike = f"{reason.points}_alike"  # where both counts read the same, though the money differs
    name = alike if alike in known and texts["way"] == texts["otherwise"] else reason.points
    sentence = filled(known[name], reason.figures, units, currency)
    if reason.points in (side, "same"):
        return sentence
    return say("claims.other_way", reason=f"{sentence[0].lower()}{sentence[1:]}")


def case_result(sides: Sides) -> dict[str, Any]:
    """Return the case as plain data."""
    return {
        side: [
            {
                "key": reason.key,
                "points": reason.points,
                "money": reason.money,
                "figures": {
                    name: {"value": figure.value, "kind": figure.kind, "said": said(figure)}
                    for name, figure in reason.figures.items()
                },
            }
            for reason in reasons
        ]
        for side, reasons in ((FOR, sides.for_), (AGAINST, sides.against))
    }
