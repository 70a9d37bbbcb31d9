"""Reading what was found after stripping, and what the shop asks now.

Lecture
-------
A file of its own::

    quote = "shop"         # where the scenario has several
    bill = 9100            # with tax, without your trip
    called = true
    [[items]]
    what = "new wood"      # as in the quote
    amount = 14            # in the unit of that item

What the quote does not name is kept by its name: it was not promised.
"""

from __future__ import annotations

from collections.abc import Mapping

from lifecycle.errors import ScenarioError, nearest
from lifecycle.quantities import Fields
from lifecycle.quote import Found, Quote
from lifecycle.reading.kept import read_section
from lifecycle.reading.reader import Reader, Table


def read_found(
    own: Table, fields: Fields, quotes: Mapping[str, Quote], *, source: str = "", units: str = "us"
) -> tuple[str, Found]:
    """Read a parsed file of what was found.

    Parameters
    ----------
    own : mapping
        As parsed.
    fields : Fields
        The field metadata.
    quotes : mapping of str to Quote
        Quotes that it may be about.
    source, units : str
        Name of the file; units where it states none.

    Returns
    -------
    str, Found
        Name of the quote, and what was found.

    Raises
    ------
    ScenarioError
        With all its faults.
    """
    reader = Reader(fields, own, {})
    raw = reader.table(own, "", "found")
    reader.units = units
    if "units" in raw:
        reader.units = reader.choice(raw["units"], "units", fields["found"]["units"].choices) or units
    name = _quote(reader, raw, quotes)
    items = quotes[name].items if name else ()
    unit = {item.what: item.unit for item in items}
    rows = raw.get("items", [])
    if isinstance(rows, list):
        rows = [
            {"unit": unit.get(str(row.get("what")), "fixed"), **row} if isinstance(row, Mapping) else row
            for row in rows
        ]
    found = read_section(reader, {**raw, "items": rows}, "", "found")
    if not rows:
        remedy = "state [[items]]: what, and the amount found; amount = 0 says that nothing was"
        reader.fault("items", "must have a line for what was found", None, remedy)
    amounts: dict[str, float] = {}
    for count, item in enumerate(found.get("items", ()), start=1):
        for needed in ("what", "amount"):
            if needed not in item and not any(
                one.place == f"items.{count}.{needed}" for one in reader.faults
            ):
                reader.fault(f"items.{count}.{needed}", "is required", None, f"state {needed}")
        if "what" in item and "amount" in item:
            amounts[item["what"]] = amounts.get(item["what"], 0.0) + item["amount"].likely
    if reader.faults:
        raise ScenarioError(reader.faults, source)
    return name or "", Found(found["bill"].likely, amounts, found.get("called"))


def _quote(reader: Reader, raw: Table, quotes: Mapping[str, Quote]) -> str | None:
    """Return the name of the quote that was signed."""
    name = raw.get("quote", next(iter(quotes)) if len(quotes) == 1 else None)
    if isinstance(name, str) and name in quotes:
        return name
    remedy = nearest(name, tuple(quotes)) if isinstance(name, str) else f"one of: {', '.join(quotes)}"
    reader.fault("quote", "must name a [quotes.NAME] of the scenario", name, remedy)
    return None
