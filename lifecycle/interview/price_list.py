"""A shop's price list, filled in: what is asked, what is wrong with an answer, and the file that they make.

Lecture
-------
The parts are data (`price_list.toml`). A part with an `entry` becomes an entry of the list, the others stand
at its top. What was left empty stands in the file as a comment, so that an empty list is the template to
fill in by hand. Reseal, touch-up and a look alone are no part of spraying, and are told so.

A room of its own beside the quote on paper: another paper, filled in by the shop. Left out: entries of other
names, which are written by hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lifecycle import files
from lifecycle.interview.questions import NOT_SURE, Answers, Part
from lifecycle.interview.writing import value_text
from lifecycle.quantities import FieldInfo, Figure, convert
from lifecycle.reading.quotes import PriceList

EMPTY = {"line": '"..."', "yes_no": "true", "number": "0"}
"""What stands behind a name that was left out, by kind."""


def _data() -> Mapping[str, Any]:
    """Return the data: the parts, and the words of the file."""
    return files.data("price_list.toml")


def price_parts(units: str = "us") -> Mapping[str, Part]:
    """Return what is asked of a shop, by key, in the order of asking.

    Examples
    --------
    >>> price_parts()["spray"].ask, price_parts("metric")["wood"].ask
    ('Mask and spray, over the edges, a sprayed foot', 'New wood, only if it is found to be needed, a m2')
    """
    found = {}
    for row in _data()["parts"]:
        plain = {name: value for name, value in row.items() if name not in ("entry", "divide")}
        usual = {"kind": "number", "unit": "money", "high": 1_000_000, "not_sure": False}
        part = {**usual, "short": row["ask"], **plain}
        slots = _data()["units"][units]
        texts = {name: part[name].format(**slots) for name in ("ask", "short", "unit")}
        found[row["key"]] = Part(**{**part, **texts, "by_choice": True})
    return found


def price_list_text(answers: Answers, units: str = "us", title: str = "") -> str:
    """Write a price list, in its units; what is not answered stands there as a comment."""
    top, entries = [], []
    for row in _data()["parts"]:
        key = row["key"]
        answer = answers.get(key)
        given = answer is not None and answer != NOT_SURE
        mark = "" if given else "# "
        ask = price_parts(units)[key].ask
        asked = f"# {ask}{'' if ask.endswith('?') else '.'}"
        if "divide" in row:
            asked = f"{asked} {_data()['as_a_fraction']}"
        value = _value(row, answer) if given else EMPTY[row.get("kind", "number")]
        if "entry" not in row:
            top += [asked, f"{mark}{key} = {value}"]
            continue
        lines = {**row["entry"], "price": None}
        entries += ["", asked, f"{mark}[entries.{key}]"]
        entries += [
            f"{mark}{name} = {value if name == 'price' else value_text(one)}" for name, one in lines.items()
        ]
    head = _data()["head"].format(title=value_text(title or _data()["title"]), units=value_text(units))
    none = (
        [] if any(row["key"] in answers for row in _data()["parts"] if "entry" in row) else ["", "[entries]"]
    )
    return "\n".join([head, *top, *none, *entries, ""])


def _value(row: Mapping[str, Any], answer: Any) -> str:
    """Return an answer as it stands in the list."""
    if "divide" in row:
        return value_text(round(float(answer) / row["divide"], 6))
    return value_text(answer)


def price_answers(prices: PriceList, units: str = "us") -> dict[str, Any] | None:
    """Return the answers that a price list stands for; None if it holds what is not asked."""
    found: dict[str, Any] = {}
    known = {row["key"]: row for row in _data()["parts"]}
    for name, entry in prices.entries.items():
        own = known.get(name, {}).get("entry")
        plain = {key: value for key, value in entry.items() if key not in ("price", "covers")}
        price = entry["price"]
        if own is None or price.ranged:
            return None
        if plain != {key: value for key, value in own.items() if key != "covers"}:
            return None
        found[name] = _number(price, units)
    stated = {**prices.terms, **({} if prices.tax is None else {"tax": prices.tax})}
    for name, value in stated.items():
        figure = isinstance(value, Figure)
        found[name] = round(_number(value, units) * known[name].get("divide", 1), 6) if figure else value
    return found


def _number(figure: Figure, units: str) -> float:
    """Return a figure in the units of a page."""
    field: FieldInfo = figure.field
    return round(convert(figure.likely, field.unit, field.unit_in(units)), 6)
