"""What a quantity is: meaning, unit, allowed values; a figure with its range and basis; number text.

Lecture
-------
A *field* is a name that may stand in a scenario, with what it means (`FieldInfo`). A *figure* is a
number that was stated for one: a single value, or a range with a shape, and always a basis
(`Figure`). Money, years, months and leaks are the same everywhere. Lengths, areas, masses, volumes
and temperatures are held in metric units; a file in US units is converted on the way in::

    metric value = US value * factor + offset

A price for a unit (``money/ft``) converts with the inverse factor and no offset.

Assumed: US gallons, avoirdupois pounds, feet of 1959. Left out: currencies; nothing converts one.

Source
------
Factors: international yard and pound agreement of 1959 (1 ft = 0.3048 m, 1 lb = 0.45359237 kg) and
the US gallon of 231 cubic inches, 1 Btu = 1055.05585262 J; exact by definition, from memory.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    import pandas

Frame: TypeAlias = "pandas.DataFrame"
"""A table; pandas is imported when one is made."""

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]
"""Arrays of numbers, of whole numbers, and of what holds or does not."""

SHAPES = ("pert", "triangular", "uniform", "normal", "lognormal")
"""Shapes of a range; the first is meant where none is stated."""

BASES = ("published", "practice", "record", "offer", "judgement", "demo")
"""Where a number may come from."""

UNITS = ("us", "metric")
"""Systems of units that a file may be in."""

CONVERSIONS: Mapping[str, tuple[str, float, float]] = {
    "ft": ("m", 0.3048, 0.0),
    "in": ("mm", 25.4, 0.0),
    "mil": ("mm", 0.0254, 0.0),
    "sq ft": ("m2", 0.3048**2, 0.0),
    "US gal": ("L", 3.785411784, 0.0),
    "fl oz": ("mL", 29.5735295625, 0.0),
    "lb": ("kg", 0.45359237, 0.0),
    "lb/sq ft": ("kg/m2", 0.45359237 / 0.3048**2, 0.0),
    "lb/US gal": ("kg/L", 0.45359237 / 3.785411784, 0.0),
    "F": ("C", 5.0 / 9.0, -160.0 / 9.0),
    "ft2 h F/Btu": ("m2 K/W", 0.3048**2 * 3600.0 / 1.8 / 1055.05585262, 0.0),
    "Btu/Wh": ("W/W", 1055.05585262 / 3600.0, 0.0),
}
"""US unit: metric unit, factor, offset."""

PHYSICAL_UNITS = ("W/(m2 K)", "W/m2", "m2 K/W", "ft2 h F/Btu", "W/W", "Btu/Wh", "kJ/mol")
"""Units that are written behind a number as they stand."""

LARGE = 100.0
"""A column of numbers that reaches so far is shown in whole numbers, unless some are below 1."""

FRACTION_UNITS = ("-", "1/year")
"""Units in which a number is a fraction or a plain ratio."""


@dataclass(frozen=True)
class FieldInfo:
    """What a name in a scenario means.

    Parameters
    ----------
    name, section : str
        The name, and the section of the file that it belongs to.
    kind : str
        number, text, flag, date, choice, name, list, table or loose (kept as written).
    label, term : str
        Plain words, and the trade's or the standard's word (the label where there is none).
    unit, unit_us, unit_metric : str
        The model's own unit, and those that a file states it in.
    low, high : float
        Smallest and largest value allowed. [unit]
    whole : bool
        Whether only whole numbers are allowed.
    default : str
        What holds where it is not stated, in words.
    required : bool
        Whether it must be stated.
    ranged : bool
        Whether it may be a range.
    asks : bool
        Whether the label is a question ("how often ..."), which takes no article.
    subject : str
        The words of the label that the name of what the field is of may replace; "" if there are none.
    help : str
        A sentence.
    group : str
        price, life, leak, looks, damage, time, money, owner, place or text.
    by_telephone : bool
        Whether one can ask for it by telephone.
    choices : tuple of str
        Allowed values of a choice.
    words : tuple of str
        Words that may stand instead of a number.
    """

    name: str
    section: str
    label: str
    kind: str = "number"
    term: str = ""
    unit: str = ""
    unit_us: str = ""
    unit_metric: str = ""
    low: float = -math.inf
    high: float = math.inf
    whole: bool = False
    default: str = "none"
    required: bool = False
    ranged: bool = False
    asks: bool = False
    subject: str = ""
    help: str = ""
    group: str = ""
    by_telephone: bool = False
    choices: tuple[str, ...] = ()
    words: tuple[str, ...] = ()

    def unit_in(self, units: str) -> str:
        """Return the unit that a file in `units` ("us" or "metric") states it in."""
        return (self.unit_us if units == "us" else self.unit_metric) or self.unit

    def rule(self, units: str = "metric") -> str:
        """Say which numbers are allowed, with the unit of a file in `units`.

        Examples
        --------
        >>> FieldInfo("finds", "visits", "chance", unit="-", low=0, high=1).rule()
        'must be a number from 0 to 1'
        """
        unit = self.unit_in(units)
        low, high = (convert(value, self.unit, unit) for value in (self.low, self.high))
        kind = "a whole number" if self.whole else "a number"
        return f"must be {kind} from {number_text(low)} to {number_text(high)}{unit_text(unit)}"


Fields = Mapping[str, Mapping[str, FieldInfo]]
"""Every field, by section and name."""


@dataclass(frozen=True)
class Figure:
    """A number that was stated, with its range and its basis.

    Parameters
    ----------
    path : str
        Name of the input, for instance ``"roofs.membrane.life_scale"``.
    likely, low, high : float
        Likely value and the ends of the range; all the same for a single value. [field.unit]
    shape : str
        One of `SHAPES`; "" for a single value.
    basis, source, note : str
        Where it comes from.
    field : FieldInfo
        What it means.
    tool : Figure or None
        The tool's own figure, where this one stands in its place.
    shared : bool
        Whether it is one of the tool's own.
    """

    path: str
    likely: float
    low: float
    high: float
    shape: str
    basis: str
    source: str
    note: str
    field: FieldInfo
    tool: Figure | None = None
    shared: bool = False

    @property
    def ranged(self) -> bool:
        """Whether it is a range and not a single value."""
        return self.low < self.high


def fields_from(data: Mapping[str, Mapping[str, Mapping[str, Any]]]) -> Fields:
    """Build the fields from the field metadata.

    Parameters
    ----------
    data : mapping
        Section, name, and what stands for the name.

    Returns
    -------
    mapping of str to mapping of str to FieldInfo
        By section and name.
    """
    return {
        section: {name: _field(section, name, entry) for name, entry in names.items()}
        for section, names in data.items()
    }


def _field(section: str, name: str, entry: Mapping[str, Any]) -> FieldInfo:
    """Build one field, with its US and metric units filled in."""
    stated: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in entry.items()
    }
    before, _, marked = stated["label"].partition("{")
    stated["subject"], _, after = marked.partition("}")
    stated["label"] = f"{before}{stated['subject']}{after}"
    stated.setdefault("term", stated["label"])
    for units in ("unit_us", "unit_metric"):
        stated.setdefault(units, stated.get("unit", ""))
    return FieldInfo(name=name, section=section, **stated)


def convert(value: float, unit: str, to: str) -> float:
    """Convert a value between a US unit and its metric one.

    Parameters
    ----------
    value : float
        In `unit`.
    unit, to : str
        Units of `CONVERSIONS`, or prices for one of them (``"money/ft"``); or the same unit.

    Returns
    -------
    float
        In `to`.

    Raises
    ------
    ValueError
        If there is no conversion between the two.

    Examples
    --------
    >>> convert(10, "ft", "m"), convert(212, "F", "C"), round(convert(350, "money/ft", "money/m"), 2)
    (3.048, 100.0, 1148.29)
    """
    if unit == to:
        return value
    if unit.startswith("money/") and to.startswith("money/"):
        one = convert(1.0, unit.removeprefix("money/"), to.removeprefix("money/"))
        return value / one
    if unit in CONVERSIONS and CONVERSIONS[unit][0] == to:
        _, factor, offset = CONVERSIONS[unit]
        return value * factor + offset
    if to in CONVERSIONS and CONVERSIONS[to][0] == unit:
        _, factor, offset = CONVERSIONS[to]
        return (value - offset) / factor
    raise ValueError(f"no conversion from {unit!r} to {to!r}; known: {', '.join(CONVERSIONS)}")


def clip_to_bounds(figure: Figure, values: ArrayLike) -> tuple[NDArray[np.float64], int]:
    """Move values outside the allowed ones of `figure` to the nearest allowed one.

    Parameters
    ----------
    figure : Figure
        The input that the values are drawn for.
    values : ndarray, shape (draws,)
        Drawn values. [figure.field.unit]

    Returns
    -------
    values : ndarray, shape (draws,)
        Within the bounds.
    moved_count : int
        How many were moved.

    Examples
    --------
    >>> share = FieldInfo("finds", "visits", "chance", unit="-", low=0, high=1)
    >>> figure = Figure("x", 0.9, 0.7, 1.0, "normal", "judgement", "", "", share)
    >>> clip_to_bounds(figure, [0.8, 1.1])
    (array([0.8, 1. ]), 1)
    """
    drawn = np.asarray(values, dtype=float)
    kept = np.clip(drawn, figure.field.low, figure.field.high)
    return kept, int(np.count_nonzero(kept != drawn))


def unit_text(unit: str, currency: str = "") -> str:
    """Return a unit as it is written behind a number, with a space before it; "" for a plain ratio.

    Examples
    --------
    >>> unit_text("years"), unit_text("money/day", "USD"), unit_text("1/year"), unit_text("-")
    (' years', ' USD a day', ' a year', '')
    """
    if unit in ("", "-"):
        return ""
    if unit in PHYSICAL_UNITS:
        return f" {unit}"
    whole, _, each = unit.partition("/")
    names = {"money": currency or "in the currency", "h": "hours", "1": "", "leaks": "leaks"}
    singular = {"h": "an hour", "m2": "a square metre", "m": "a metre", "L": "a litre"}
    parts = [names.get(whole, whole), singular.get(each, f"a {each}") if each else ""]
    return "".join(f" {part}" for part in parts if part)


def number_text(value: float, digits: int = 6) -> str:
    """Return a number with thousands separators and no more digits than needed.

    Parameters
    ----------
    value : float
        Any finite number, or infinity.
    digits : int
        Significant digits at most; whole numbers keep all theirs.

    Returns
    -------
    str
        For instance "1,200" or "0.03".

    Examples
    --------
    >>> number_text(1200.0), number_text(0.03), number_text(1 / 3, 3), number_text(float("inf"))
    ('1,200', '0.03', '0.333', 'endless')
    """
    if math.isinf(value):
        return "endless" if value > 0 else "no limit"
    if value == round(value) and abs(value) < 1e15:
        return f"{round(value):,}"
    if abs(value) >= 10**digits:
        return f"{value:,.0f}" if abs(value) < 1e15 else f"{value:.3g}"
    return f"{value:,.{digits}g}"


class Framed:
    """A result that has a table, which a notebook shows."""

    def to_frame(self) -> pandas.DataFrame:
        """Return the table."""
        raise NotImplementedError

    def _repr_html_(self) -> str:
        """Show the table in a notebook."""
        return table_html(self.to_frame())


def in_rows(rows: Mapping[Any, Mapping[Any, Any]]) -> pandas.DataFrame:
    """Return a table of some rows by name, each with its cells by the head of their column."""
    import pandas

    return pandas.DataFrame.from_dict(rows, orient="index")


def table_html(frame: pandas.DataFrame, *, across: bool = False, above: Sequence[str] = ()) -> str:
    """Return a table as a notebook shows it: no more digits than needed, nothing cut off, no NaN.

    Parameters
    ----------
    frame : pandas.DataFrame
        Of numbers and texts; the unit stands in the heads.
    across : bool
        Whether its columns become rows.
    above : sequence of str
        Sentences that stand above it.

    Returns
    -------
    str

    Examples
    --------
    >>> import pandas
    >>> html = table_html(pandas.DataFrame({"cost [USD]": [1234.56, None], "chance": [0.4567, 1.0]}))
    >>> [cell.strip(" <td>/") for cell in html.splitlines() if "<td>" in cell]
    ['1,235', '0.457', '', '1']
    """
    import pandas

    texts = pandas.DataFrame({head: _column_texts(head, frame[head]) for head in frame}, frame.index)
    texts.columns = frame.columns
    with pandas.option_context("display.max_colwidth", None):
        table = (texts.T if across else texts).to_html(border=0, na_rep="")
    return "".join([*(element("p", line) for line in above), table])


def element(name: str, text: str = "", **attributes: str) -> str:
    """Return an element of a page, with what stands in it as text; `class_` is the attribute of that name.

    Examples
    --------
    >>> element("b", "a < b", class_="lc-new")
    '<b class="lc-new">a &lt; b</b>'
    """
    from xml.etree import ElementTree

    made = ElementTree.Element(name, {key.rstrip("_"): value for key, value in attributes.items()})
    made.text = text
    return ElementTree.tostring(made, encoding="unicode", method="html")


def _column_texts(head: object, values: Iterable[Any]) -> list[str]:
    """Return the texts of a column: whole numbers of money and where all are large, else three digits."""
    cells = [None if isinstance(one, float) and math.isnan(one) else one for one in values]
    sizes = [abs(one) for one in cells if isinstance(one, int | float) and one]
    large = bool(sizes) and max(sizes) >= LARGE and min(sizes) >= 1.0
    whole = large or re.search(r"\[[A-Z]{3}\]$", str(head)) is not None
    return [_cell_text(cell, whole) for cell in cells]


def _cell_text(cell: object, whole: bool) -> str:
    """Return the text of one cell; "" where there is none."""
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return number_text(round(cell)) if whole else number_text(cell, 3)
    return "" if cell is None else str(cell)


Kept = TypeVar("Kept")


class WhenAsked(Mapping[str, Kept]):
    """A mapping that is made when somebody first looks into it.

    Parameters
    ----------
    made : callable
        Returns the mapping.

    Examples
    --------
    >>> WhenAsked(lambda: {"a": 1})["a"]
    1
    """

    def __init__(self, made: Callable[[], Mapping[str, Kept]]) -> None:
        self._made = made

    @cached_property
    def _whole(self) -> Mapping[str, Kept]:
        """What is made once."""
        return self._made()

    def __getitem__(self, name: str) -> Kept:
        """Return what goes by a name."""
        return self._whole[name]

    def __iter__(self) -> Iterator[str]:
        """Give the names."""
        return iter(self._whole)

    def __len__(self) -> int:
        """Return the number of names."""
        return len(self._whole)

    def __reduce__(self) -> tuple[Any, ...]:
        """Go to another process made."""
        return dict, (dict(self),)


def money_text(amount: float, currency: str = "", *, sign: str = "minus") -> str:
    """Return whole money with thousands separators.

    Parameters
    ----------
    amount : float
        Amount. [money]
    currency : str
        Set behind the amount; "" where it is named once in a heading.
    sign : str
        "minus": a minus sign where the amount is negative; "both": a plus sign too; "none": no
        sign, where words say which way it goes.

    Returns
    -------
    str
        For instance "7,100".

    Raises
    ------
    ValueError
        If the amount is not finite, or `sign` is unknown.

    Examples
    --------
    >>> money_text(7100.4), money_text(-7100, "USD")
    ('7,100', '-7,100 USD')
    >>> money_text(250, sign="both"), money_text(-9, sign="none")
    ('+250', '9')
    """
    if sign not in ("minus", "both", "none"):
        raise ValueError(f"sign must be minus, both or none; got {sign!r}")
    whole = _half_up(amount, 1.0)
    text = f"{whole:+,}" if sign == "both" and whole else f"{abs(whole) if sign == 'none' else whole:,}"
    return f"{text} {currency}".rstrip()


def inner(title: str) -> str:
    """Return a title as it stands within a sentence.

    Examples
    --------
    >>> inner("A shop reseals every year"), inner("RV shop does it"), inner("I reseal it")
    ('a shop reseals every year', 'RV shop does it', 'I reseal it')
    """
    word = title.split(" ", 1)[0]
    keep = word == "I" or word[1:] != word[1:].lower()
    return title if keep else title[:1].lower() + title[1:]


def capital(text: str) -> str:
    """Return a text with its first letter made capital, as it begins a sentence.

    Examples
    --------
    >>> capital("spray now"), capital("RV shop"), capital("")
    ('Spray now', 'RV shop', '')
    """
    return text[:1].upper() + text[1:]


def rounded(amount: float) -> str:
    """Return an amount for a sentence, without sign and with two significant digits.

    Parameters
    ----------
    amount : float
        Amount; its sign is left to the words. [money]

    Returns
    -------
    str
        For instance "2,400".

    Raises
    ------
    ValueError
        If the amount is not finite.

    Examples
    --------
    >>> rounded(2417.0), rounded(-996.0), rounded(0.2)
    ('2,400', '1,000', '0')
    """
    size = abs(amount)
    if not math.isfinite(size):
        raise ValueError(f"money must be finite; got {amount}")
    step = 10.0 ** max(0, math.floor(math.log10(size)) - 1) if size >= 1 else 1.0
    return f"{_half_up(size, step):,}"


def _half_up(amount: float, step: float) -> int:
    """Round to a multiple of `step`, halves away from zero."""
    if not math.isfinite(amount):
        raise ValueError(f"money must be finite; got {amount}")
    return int(math.copysign(math.floor(abs(amount) / step + 0.5) * step, amount))
