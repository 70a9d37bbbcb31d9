"""Plain words for everything that has a standard term, and small pieces of text that all writers share.

Lecture
-------
Owners read plain words; the standard's term stands beside them for those who know it. Labels of
inputs live in the field metadata; here are the words for what is computed. Money in a sentence is
rounded to two significant digits, for no figure behind it is known better; a table may show it
whole. A sign becomes a word: *cheaper* or *dearer*, never a minus.

Chances are told in twenty coaches, always twenty. What rounds to none or to all of them is said as fewer than
1, or more than 39, in 40; what is rare and grave, and alone in its line, as one in so many. Shares that add
up to 1 are shared out so that their numbers add up to 20.

Left out: other languages.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TypeVar

from lifecycle.language.sentences import say, words
from lifecycle.quantities import Figure, convert, money_text, number_text, rounded, unit_text
from lifecycle.scenario import Scenario
from lifecycle.studies.doubt import of_20

HEADINGS: Mapping[str, str] = words("labels.headings")
"""Heading of each command's answer."""

LABELS: Mapping[str, str] = words("labels.terms")
"""Plain label of each standard term."""

BASES: Mapping[str, str] = words("labels.bases")
"""What each basis means, in plain words."""

SELDOM = 0.025
"""Below this a chance is said as one in so many: 1 in 40, where so many of 20 would be none. [-]"""

Name = TypeVar("Name", str, str | int)
"""What a choice goes by."""

PLURALS = (" years", " hours", " days", " leaks", " months")
"""Units that lose their last letter after 1."""


def years_text(years: float) -> str:
    """Return a time in years and months.

    Examples
    --------
    >>> years_text(10), years_text(1.0), years_text(7.5), years_text(0.25)
    ('10 years', '1 year', '7 years 6 months', '3 months')
    """
    whole, months = divmod(round(12.0 * years), 12)
    parts = [counted(whole, "year")] if whole else []
    if months or not whole:
        parts.append(counted(months, "month"))
    return " ".join(parts)


def counted(number: int, word: str) -> str:
    """Return a number of things.

    Examples
    --------
    >>> counted(1, "figure"), counted(1200, "figure")
    ('1 figure', '1,200 figures')
    """
    return f"{number:,} {word}{'' if number == 1 else 's'}"


def about(amount: float, currency: str = "") -> str:
    """Return an amount for a sentence: two significant digits, no sign; its currency, unless one is near.

    Examples
    --------
    >>> about(-2417.0, "USD"), about(0.2)
    ('about 2,400 USD', 'about 0')
    """
    return say("labels.about", money=f"{rounded(amount)} {currency}".rstrip())


def cheaper_or_dearer(net_savings: float, currency: str = "") -> str:
    """Say a difference in words, with its currency where none stands beside it.

    Examples
    --------
    >>> cheaper_or_dearer(2417.0), cheaper_or_dearer(-2417.0, "USD"), cheaper_or_dearer(-0.2)
    ('about 2,400 cheaper', 'about 2,400 USD dearer', 'no cheaper and no dearer')
    """
    if abs(net_savings) < 0.5:
        return say("labels.difference.none")
    money = about(net_savings, currency)
    return say(f"labels.difference.{'cheaper' if net_savings > 0.0 else 'dearer'}", money=money)


def listed(things: Iterable[str]) -> str:
    """Join words with commas and "and".

    Examples
    --------
    >>> listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])
    ('a', 'a and b', 'a, b and c')
    """
    every = list(things)
    return str(words("labels.and")).join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


def input_name(figure: Figure) -> str:
    """Return what an input is, and of what, in plain words: what its label leaves open stands in brackets."""
    field, parts = figure.field, figure.path.split(".")
    if parts[0] == "figures":
        where = parts[1:]
    elif field.name in parts[1:-1]:
        where = parts[-1:]
    elif parts[0] in ("roofs", "plans"):
        where = [part for part in reversed(parts[1:-1]) if part != "visits"]
    else:
        where = parts[1:-1]
    known, text = words("labels.subjects"), field.label
    plain = [part.removesuffix(f"_{field.name}").replace("_", " ") for part in where]
    names = [name for name in (known.get(name, name) for name in plain) if name]
    named = parts[0] in ("roofs", "plans", "existing") or figure.path.endswith(f"_{field.name}")
    if field.subject and names and named:
        text = text.replace(field.subject, names.pop(0), 1)
    if names:
        text = say("labels.of", label=text, names=re.sub(r", (?=\d)", " ", ", ".join(names)))
    for heard, said in words("labels.mended").items():
        text = text.replace(heard, said)
    return text


def the_input(figure: Figure) -> str:
    """Return the name of an input within a sentence."""
    name = input_name(figure)
    return name if figure.field.asks else say("labels.the", name=name)


def in_percent(figure: Figure) -> bool:
    """Whether an input is a rate of money, which is said in percent a year."""
    return figure.field.unit == "1/year" and figure.field.group == "money"


def amount_of(figure: Figure, value: float, scenario: Scenario) -> tuple[str, str]:
    """Return a value of an input as number and unit, in the units and the currency of the scenario."""
    unit = figure.field.unit_in(scenario.units)
    name = unit_text(unit, scenario.currency)
    if in_percent(figure):
        return say("labels.percent", number=number_text(100.0 * value, 3)), name
    number = number_text(convert(value, figure.field.unit, unit), 3)
    return number, name[:-1] if number == "1" and name in PLURALS else name


def value_text(figure: Figure, value: float, scenario: Scenario) -> str:
    """Return a value of an input with its unit."""
    return "".join(amount_of(figure, value, scenario))


def range_text(figure: Figure, scenario: Scenario) -> str:
    """Return the ends of an input, with their unit once."""
    low, high = (amount_of(figure, end, scenario) for end in (figure.low, figure.high))
    return from_to(low[0], *high)


def from_to(low: str, high: str, unit: str = "") -> str:
    """Return two numbers as a range, with their unit once.

    Examples
    --------
    >>> from_to("1", "30", " years"), from_to("0.1", "1")
    ('1 to 30 years', '0.1 to 1')
    """
    return say("labels.range", low=low, high=high) + unit


def length_text(metres: float, units: str) -> str:
    """Return a length in the units of a file.

    Examples
    --------
    >>> length_text(6.096, "us"), length_text(6.096, "metric")
    ('20 ft', '6.1 m')
    """
    return f"{convert(metres, 'm', 'ft'):.3g} ft" if units == "us" else f"{metres:.3g} m"


def area_text(square_metres: float, units: str) -> str:
    """Return an area in the units of a file.

    Examples
    --------
    >>> area_text(10.0, "us"), area_text(10.0, "metric")
    ('108 sq ft', '10 m2')
    """
    return (
        f"{convert(square_metres, 'm2', 'sq ft'):.3g} sq ft" if units == "us" else f"{square_metres:.3g} m2"
    )


def by_unit(price: float, unit: str, units: str, currency: str = "") -> str:
    """Return a price for one metre or square metre by the foot or square foot, where a file is in these.

    Examples
    --------
    >>> by_unit(1000.0, "m", "us"), by_unit(1000.0, "m", "metric", "EUR")
    ('305 a ft', '1,000 EUR a m')
    """
    own = {"m": "ft", "m2": "sq ft"}[unit] if units == "us" else unit
    money = f"{unit_price(convert(price, f'money/{unit}', f'money/{own}'))} {currency}".rstrip()
    return f"{money} a {own}"


def unit_price(price: float) -> str:
    """Return a price for one: whole, unless it is small."""
    return money_text(price) if abs(price) >= 100.0 else number_text(round(price, 2))


def percent(share: float) -> str:
    """Return a share as whole percent.

    Examples
    --------
    >>> percent(0.766), percent(0.004)
    ('77 %', 'less than 1 %')
    """
    whole = round(100.0 * share)
    return f"{whole} %" if whole else say("finding_out.under_1_percent")


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
    number, of = coaches_of(chance)
    return many_of_20(number) if of == 20 else say("counts.one_of", number=number_text(of))


def coaches_of(chance: float) -> tuple[int, float]:
    """Return a chance as so many coaches of 20, or as one of so many.

    Examples
    --------
    >>> coaches_of(0.16), coaches_of(0.006), coaches_of(0.0)
    ((3, 20), (1, 170.0), (0, 20))
    """
    return (of_20(chance), 20) if chance <= 0.0 or chance >= SELDOM else (1, float(f"{1.0 / chance:.2g}"))


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
