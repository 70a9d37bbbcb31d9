"""Reading a shop's price list: a file of its own, whose entries the items of a quote may name.

Lecture
-------
A price list says once what a shop asks: a title, its units, sales tax, and entries::

    [entries.spray]
    what = "spray the roof"
    unit = "sprayed length"
    price = 340

The entries `reseal`, `touch_up` and `roof_look` are upkeep, and no part of spraying. What the shop promises
(deposit, validity, warranty, film, from what sum on it calls) may stand at the top, for every quote that
names the list and does not say it itself.

An entry has the names of an item but amount and entry. What a quote states itself goes before what
the list says. A bare number of a list is an offer: it is said by someone who gains by it. The
currency must be that of the scenario, for nothing is converted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lifecycle.errors import Fault, nearest
from lifecycle.quantities import Figure
from lifecycle.reading.kept import read_section
from lifecycle.reading.numbers import read_figure
from lifecycle.reading.reader import Reader, Table

PriceLists = Mapping[str, "Table | Fault"]
"""Parsed price lists by the name that a quote gives them, or why one could not be read."""

OF_A_QUOTE = ("amount", "entry")
"""Names of an item that a price list does not state."""


UPKEEP = {"reseal": "shop_reseal_cost", "touch_up": "shop_touch_up_cost", "roof_look": "shop_look_cost"}
"""Entries that are no part of spraying, and the shared figure that each stands for."""

TERMS = (
    *("deposit", "validity", "call_first", "warranty_years", "in_writing", "warranty_by", "warranty_ends"),
    "film",
)
"""What a list promises for every quote that names it."""


@dataclass(frozen=True)
class PriceList:
    """A price list: title, entries by name with figures in metric units, tax, and what it promises."""

    title: str = ""
    entries: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    tax: Figure | None = None
    terms: Mapping[str, Any] = field(default_factory=dict)

    @property
    def job(self) -> Mapping[str, Mapping[str, Any]]:
        """The entries that can be part of spraying."""
        return {name: entry for name, entry in self.entries.items() if name not in UPKEEP}


def read_price_list(reader: Reader, name: str, place: str, lists: PriceLists) -> PriceList | None:
    """Read the price list that a quote names.

    Parameters
    ----------
    reader : Reader
        Of the scenario; notes the faults.
    name : str
        As the quote gives it.
    place : str
        Where the quote names it.
    lists : mapping
        What could be opened.

    Returns
    -------
    PriceList or None
        None after a fault in the list.
    """
    found = lists.get(name)
    if found is None:
        remedy = "load the scenario from a file, with the price list beside it"
        reader.fault(place, "must name a price list that was opened", name, remedy)
        return None
    if isinstance(found, Fault):
        reader.fault(place, f"must name a price list that can be read: {found.rule}", name, found.remedy)
        return None
    own = Reader(reader.fields, found, {})
    own.units, own.basis, own.note = reader.units, "offer", "as the price list states it"
    read = _read(own, reader.own.get("currency", "USD"))
    reader.faults += [replace(one, place=f"{name}: {one.place}") for one in own.faults]
    return None if own.faults else read


def _read(own: Reader, currency: Any) -> PriceList:
    """Read a price list by a reader of its own."""
    raw = own.table(own.own, "", "prices")
    own.required(raw, "prices", "", instead={})
    if "currency" in raw and raw["currency"] != currency:
        rule = f"must be the scenario's, {currency}: nothing is converted"
        own.fault("currency", rule, raw["currency"], "write one price list for each currency")
    for name in ("units", "basis"):
        if name in raw and (choice := own.choice(raw[name], name, own.fields["prices"][name].choices)):
            setattr(own, name, choice)
    title = own.text(raw["title"], "title") if "title" in raw else None
    tax = read_figure(own, raw["tax"], "tax", own.fields["prices"]["tax"]) if "tax" in raw else None
    entries = {
        name: read_section(own, entry, f"entries.{name}", "items")
        for name, entry in own.named_tables(raw.get("entries", {}), "entries").items()
    }
    for name, entry in entries.items():
        _check(own, name, entry)
    promised = {name: raw[name] for name in TERMS if name in raw}
    terms = read_section(own, promised, "", "prices", whole=False)
    return PriceList(title or "", entries, tax, terms)


def _check(own: Reader, name: str, entry: Mapping[str, Any]) -> None:
    """Note what an entry lacks, and what it cannot say."""
    for needed in ("what", "price"):
        if needed not in entry and not _noted(own, f"entries.{name}.{needed}"):
            own.fault(f"entries.{name}.{needed}", "is required", None, f"state {needed}")
    for other in OF_A_QUOTE:
        if other in entry:
            own.fault(
                f"entries.{name}.{other}", "is for the items of a quote", None, "take it out of the list"
            )


def _noted(own: Reader, place: str) -> bool:
    """Whether a fault of that place was noted."""
    return any(one.place == place for one in own.faults)


def entry_of(reader: Reader, raw: Table, place: str, prices: PriceList | None, named: bool) -> dict[str, Any]:
    """Return the entry that an item names; empty if it names none, or after a fault.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    raw : mapping
        The item, as parsed.
    place : str
        Path of the item.
    prices : PriceList or None
        List of the quote; None if it has none or it could not be read.
    named : bool
        Whether the quote names a list.
    """
    if "entry" not in raw:
        return {}
    name, where = raw["entry"], f"{place}.entry"
    if not named:
        reader.fault(where, "must name an entry of a price list", name, 'name the list: prices = "shop.toml"')
        return {}
    if prices is None:
        return {}
    if not isinstance(name, str) or name not in prices.entries:
        known = tuple(prices.entries)
        remedy = nearest(name, known) if isinstance(name, str) else "write its name"
        reader.fault(where, "must name an entry of the price list", name, remedy)
        return {}
    return dict(prices.entries[name])
