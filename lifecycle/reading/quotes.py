"""Reading what a shop asks: quotes with their price lists, what they add up to, and what was found after all.

Lecture
-------
*A price list* is a file of its own that says once what a shop asks: a title, its units, sales tax, and
entries with the names of an item but amount and entry::

    [entries.spray]
    what = "spray the roof"
    unit = "sprayed length"
    price = 340

The entries `reseal`, `touch_up` and `roof_look` are upkeep, and no part of spraying. What the shop promises
(deposit, validity, warranty, film, from what sum on it calls) may stand at the top, for every quote that
names the list. What a quote states itself goes before what the list says. A bare number of a list is an
offer: it is said by someone who gains by it. The currency must be that of the scenario, for nothing is
converted.

*A quote.* First its items are read, with what their entries of the price list say (`read_quotes`). When the
coach is known, amounts that are not stated are filled in (`add_up`)::

    sprayed length   the quoted length, else the sprayed length (the coach's length, if quoted by overall)
    area             the sprayed area
    each             the fixtures of the coach of that kind and fate
    fixed            1
    contingent       0, unless stated: only the price counts

Then the sound items are added up, and what may come on top is counted (`quote.items`): allowances, entries of
the price list that no item names, and, of a quote line by line, parts that every job needs at the tool's own
price. Their full amounts follow from the coach as above (of the reference coach, where nobody measured it),
or are stated; of an hour that nobody states the shared figure stands.

The price of each quote is one input, ``quotes.NAME.price``, so that ``quote = "NAME"`` is the same as writing
the number where nothing comes on top. Ends of its range: every item, tax and the discount at the ends that
make it low or high; what may come on top in any case, and all of it.

*What was found* after stripping, and what the shop asks now, is a file of its own::

    quote = "shop"         # where the scenario has several
    bill = 9100            # with tax, without your trip
    called = true
    [[items]]
    what = "new wood"      # as in the quote
    amount = 14            # in the unit of that item

What the quote does not name is kept by its name: it was not promised.

Assumed: the price was asked for the coach as measured; a coach changed afterwards leaves it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from lifecycle.coach import Geometry
from lifecycle.errors import Fault, ScenarioError
from lifecycle.quantities import FieldInfo, Fields, Figure, convert, money_text
from lifecycle.quote import (
    BY_AREA,
    BY_HOUR,
    BY_LENGTH,
    BY_PIECE,
    OVERALL,
    WOOD,
    Extra,
    Found,
    Item,
    Quote,
    Terms,
    added_up,
    counted,
    on_top,
)
from lifecycle.reading.numbers import read_figure, read_number, read_on_shared, read_section
from lifecycle.reading.reader import WORDS, Reader, Table, is_number
from lifecycle.scenario import (
    REFIT,
    Numbers,
    Scenario,
    Stated,
    StatedAlternative,
    Use,
    geometry_of,
    refit_hours,
)

Draft = Mapping[str, Any]
"""A quote as read: figures in metric units, amounts as far as they are stated."""

MONEY = ("deposit", "cap", "exit_price")

PriceLists = Mapping[str, "Table | Fault"]
"""Parsed price lists by the name that a quote gives them, or why one could not be read."""

OF_ITEM = ("what", "unit", "contingent", "upgrade", "covers", "left_out")
OF_QUOTE = ("title", "quoted_by", "prices")
OF_TERMS = ("warranty_transfers", "in_writing", "warranty_by", "warranty_ends")
"""What items, quotes and their terms take over as it was said."""

OF_A_QUOTE = ("amount", "entry")
"""Names of an item that a price list does not state."""

UPKEEP = {"reseal": "shop_reseal_cost", "touch_up": "shop_touch_up_cost", "roof_look": "shop_look_cost"}
"""Entries that are no part of spraying, and the shared figure that each stands for."""

TERMS = (
    *("deposit", "validity", "call_first", "warranty_years", "in_writing", "warranty_by", "warranty_ends"),
    "film",
)
"""What a list promises for every quote that names it."""


def price_path(name: str) -> str:
    """Return the path of the input that is the price of a quote.

    Examples
    --------
    >>> price_path("shop")
    'quotes.shop.price'
    """
    return f"quotes.{name}.price"


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
    """Read the price list that a quote names, of those that could be opened; None after a fault."""
    found = lists.get(name)
    if found is None:
        remedy = "load the scenario from a file, with the price list beside it"
        reader.fault(place, "must name a price list that was opened", name, remedy)
        return None
    if isinstance(found, Fault):
        reader.fault(place, f"must name a price list that can be read: {found.rule}", name, found.remedy)
        return None
    own = Reader(reader.fields, found, {})
    own.units, own.basis, own.note = reader.units, "offer", WORDS["notes"]["price_list"]
    read = _read_list(own, reader.own.get("currency", "USD"))
    reader.faults += [replace(one, place=f"{name}: {one.place}") for one in own.faults]
    return None if own.faults else read


def _read_list(own: Reader, currency: Any) -> PriceList:
    """Read a price list by a reader of its own."""
    raw = own.table(own.own, "", "prices")
    own.required(raw, "prices", "")
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
        _check_entry(own, name, entry)
    promised = {name: raw[name] for name in TERMS if name in raw}
    terms = read_section(own, promised, "", "prices", whole=False)
    return PriceList(title or "", entries, tax, terms)


def _check_entry(own: Reader, name: str, entry: Mapping[str, Any]) -> None:
    """Note what an entry lacks, and what it cannot say."""
    own.needed(entry, ("what", "price"), f"entries.{name}")
    for other in OF_A_QUOTE:
        if other in entry:
            own.fault(
                f"entries.{name}.{other}", "is for the items of a quote", None, "take it out of the list"
            )


def _entry_of(
    reader: Reader, raw: Table, place: str, prices: PriceList | None, named: bool
) -> dict[str, Any]:
    """Return the entry that an item names, if its quote names a list; empty if none, or after a fault."""
    if "entry" not in raw:
        return {}
    name, where = raw["entry"], f"{place}.entry"
    if not named:
        reader.fault(where, "must name an entry of a price list", name, 'name the list: prices = "shop.toml"')
        return {}
    if prices is None:
        return {}
    rule = "must name an entry of the price list"
    known = reader.known(name, where, rule, tuple(prices.entries), "write its name")
    return {} if known is None else dict(prices.entries[known])


def read_quotes(reader: Reader, lists: PriceLists) -> dict[str, Draft]:
    """Read every quote, as far as it can be read without the coach; one with a fault is left out.

    The reader gets a figure for the price of each, 0 until it is added up.
    """
    raw = reader.own.get("quotes")
    if raw is None:
        return {}
    for name in raw if isinstance(raw, Mapping) else ():
        reader.figures[price_path(name)] = _figure(reader, name, [0.0] * 3, "judgement", "")
    found = {}
    for name, entry in reader.named_tables(raw, "quotes").items():
        before = len(reader.faults)
        draft = _draft(reader, entry, f"quotes.{name}", lists)
        if len(reader.faults) == before:
            found[name] = draft
    return found


def with_promises(
    reader: Reader,
    ways: Iterable[StatedAlternative],
    roofs: Mapping[str, Numbers],
    quotes: Mapping[str, Draft],
) -> tuple[StatedAlternative, ...]:
    """Return the ways, each with the warranty of the quote that it costs.

    A roof in use (by name: its numbers) that states a warranty keeps its own.
    """
    by_price = {price_path(name): name for name in quotes}
    found = []
    for way in ways:
        name = by_price.get(way.quote.path) if isinstance(way.quote, Use) else None
        own = roofs.get(way.then, {})
        if name is not None and "warranty_years" in quotes[name] and "warranty_years" not in own:
            way = replace(way, warranty=_warranty(reader, name, quotes[name], own))
        found.append(way)
    return tuple(found)


def _warranty(reader: Reader, name: str, draft: Draft, roof: Numbers) -> dict[str, Stated]:
    """Return what a quote promises, by the names of a roof's figures; a share that it lacks is all."""
    numbers: dict[str, Stated] = {"warranty_share": 1.0}
    for key in ("warranty_years", "warranty_share"):
        if key in draft:
            reader.figures[f"quotes.{name}.{key}"] = draft[key]
            numbers[key] = Use(f"quotes.{name}.{key}")
    field = reader.fields["roofs"]["warranty_honoured"]
    figure = "warranty_in_writing" if draft.get("in_writing") else "warranty_spoken"
    honoured = read_number(reader, figure, f"quotes.{name}.in_writing", field)
    if honoured is not None:
        numbers[field.name] = honoured
    return {**numbers, **{key: roof[key] for key in ("warranty_leaking_ends",) if key in roof}}


def read_costing(reader: Reader) -> dict[str, Figure]:
    """Read what a job costs a shop, on the shared figures; they are no inputs of the comparison."""
    raw = reader.table(reader.own.get("costing", {}), "costing", "costing")
    uses = read_on_shared(reader, raw, "costing", "costing")
    if "fixture_hours" not in uses:
        field = reader.fields["costing"]["fixture_hours"]
        for kind, refit in reader.shared["refit"].items():
            use = read_number(reader, refit["hours"], f"costing.{REFIT}.{kind}", field, shared=True)
            uses |= {} if use is None else {f"{REFIT}.{kind}": use}
    return {name: reader.figures[use.path] for name, use in uses.items()}


def _draft(reader: Reader, raw: Any, place: str, lists: PriceLists) -> Draft:
    """Read one quote with what its price list says."""
    if not isinstance(raw, Mapping):
        return read_section(reader, raw, place, "quotes")
    named = raw.get("prices")
    prices = read_price_list(reader, named, f"{place}.prices", lists) if isinstance(named, str) else None
    rows = raw.get("items", [])
    entries: list[dict[str, Any]] = []
    if isinstance(rows, list):
        tables = reader.tables(rows, f"{place}.items")
        entries = [_entry_of(reader, row, where, prices, "prices" in raw) for where, row in tables]
        filled = [_with_unit(row, entry) for (_, row), entry in zip(tables, entries, strict=True)]
        raw = {**raw, "items": filled}
    draft = read_section(reader, raw, place, "quotes")
    if prices is not None and prices.tax is not None:
        draft.setdefault("tax", prices.tax)
    for name, told in (prices.terms if prices is not None else {}).items():
        draft.setdefault(name, told)
    items = [{**entry, **item} for entry, item in zip(entries, draft.get("items", ()), strict=False)]
    if prices is not None:
        used = {row.get("entry") for row in rows if isinstance(row, Mapping)}
        left = (entry for name, entry in prices.entries.items() if name not in used and entry.get("covers"))
        items += [{**entry, "left_out": True} for entry in left]
    for count, item in enumerate(items, start=1):
        _check_item(reader, item, f"{place}.items.{count}")
    _check_call(reader, draft, place)
    return {**draft, "items": tuple(items)}


def _with_unit(row: Table, entry: Table) -> dict[str, Any]:
    """Return an item as parsed, with the unit that its amount and price are read in."""
    return {**row, "unit": row.get("unit", entry["unit"])} if "unit" in entry else dict(row)


def _check_item(reader: Reader, item: Draft, place: str) -> None:
    """Note what an item lacks."""
    if all(one.place != f"{place}.entry" for one in reader.faults):
        reader.needed(item, ("what", "price"), place, ", or name an entry")


def _check_call(reader: Reader, draft: Draft, place: str) -> None:
    """Note how long a quote holds and from what sum on they call, where these cannot be."""
    validity = draft.get("validity", "")
    if not isinstance(validity, str | date) and not (is_number(validity) and validity >= 0):
        rule = "must be a date, a number of days or a text"
        reader.fault(f"{place}.validity", rule, validity, "validity = 30")
    call = draft.get("call_first", False)
    if not isinstance(call, bool) and not (is_number(call) and call >= 0):
        remedy = "call_first = 300 means: they call before anything above 300"
        reader.fault(f"{place}.call_first", "must be true, false or an amount of money", call, remedy)


def add_up(reader: Reader, scenario: Scenario, drafts: Mapping[str, Draft]) -> Scenario:
    """Fill in the amounts from the coach, add up every quote, and enter the prices among the inputs."""
    roof = _measured(scenario) if drafts else None
    sizes = _sizes(reader, roof)
    quotes, figures = {}, {}
    for name, draft in drafts.items():
        before = len(reader.faults)
        amounts = [_amount(reader, scenario, roof, draft, row, name) for row in _rows(draft)]
        if len(reader.faults) > before:
            continue
        fulls = [_full(scenario, sizes, draft, item) for _, item in _rows(draft)]
        low, quote, high = (
            _with_extras(reader, scenario, sizes[BY_AREA], _quote(name, draft, amounts, fulls, end))
            for end in ("low", "likely", "high")
        )
        _check_sums(reader, quote)
        _check_used(reader, scenario, quote)
        quotes[name] = quote
        prices = [counted(low).least, counted(quote).expected, counted(high).most]
        prices = [round(price, 6) for price in prices]
        note = WORDS["notes"]["added_up_and_more" if quote.extras else "added_up"]
        basis, note = _basis(draft, quote), note.format(items=len(quote.sound))
        figures[price_path(name)] = _figure(reader, name, prices, basis, note)
    inputs = {path: figures.get(path, figure) for path, figure in scenario.inputs.items()}
    return replace(scenario, inputs=inputs, quotes=quotes)


def _rows(draft: Draft) -> Iterable[tuple[int, Draft]]:
    """Go through the items with their numbers."""
    return enumerate(draft["items"], start=1)


def _measured(scenario: Scenario) -> Geometry | None:
    """Return the roof as measured; None without a coach, or with one that cannot be."""
    try:
        return geometry_of(scenario)
    except (ValueError, KeyError):
        return None


def _amount(
    reader: Reader,
    scenario: Scenario,
    roof: Geometry | None,
    draft: Draft,
    row: tuple[int, Draft],
    name: str,
) -> Figure | float:
    """Return the amount of an item: as stated, else from the coach."""
    count, item = row
    if "amount" in item:
        stated: Figure = item["amount"]
        return stated
    unit, found = item.get("unit", "fixed"), None
    if item.get("contingent") or item.get("left_out"):
        return 0.0
    if unit == BY_LENGTH and "quoted_length" in draft:
        found = draft["quoted_length"].likely
    elif unit == BY_LENGTH and roof is not None:
        found = roof.length if draft.get("quoted_by") == OVERALL else roof.sprayed_length
    elif unit == BY_AREA and roof is not None:
        found = roof.sprayed_area
    elif unit == BY_PIECE:
        found = _pieces(scenario, item)
    elif unit == "fixed":
        found = 1.0
    if found is None:
        remedy = "state the hours" if unit == BY_HOUR else "state it, or measure the coach: [coach]"
        reader.fault(f"quotes.{name}.items.{count}.amount", f"is required of an item by {unit}", None, remedy)
        return 0.0
    return float(found)


def _full(scenario: Scenario, sizes: Mapping[str, float], draft: Draft, item: Draft) -> tuple[float, float]:
    """Return the amount of an allowance if it is needed, likely and at most."""
    unit, hours = item.get("unit", "fixed"), scenario.costing["unsaid_hours"]
    stated = item["amount"].likely if "amount" in item else 0.0
    if unit == BY_HOUR:
        return (stated, stated) if stated > 0.0 else (hours.likely, hours.high)
    whole = sizes.get(unit, 1.0)
    if unit == BY_LENGTH and "quoted_length" in draft:
        whole = draft["quoted_length"].likely
    elif unit == BY_PIECE:
        whole = 1.0 if (pieces := _pieces(scenario, item)) is None else pieces
    covered = item.get("covers", ()) and WOOD not in item["covers"]
    full = max(stated, whole) if covered or stated <= 0.0 else stated
    return full, full


def _sizes(reader: Reader, roof: Geometry | None) -> dict[str, float]:
    """Return the sprayed length and area; those of the reference coach where nobody measured it. [m, m2]"""
    if roof is not None:
        return {BY_LENGTH: float(roof.sprayed_length), BY_AREA: float(roof.sprayed_area)}
    coach = reader.shared["coach"]
    share = coach["sprayed_share"]["likely"]
    length, area = coach["reference_length"]["value"], coach["reference_area"]["value"]
    return {
        BY_LENGTH: share * convert(length, "ft", "m"),
        BY_AREA: share * convert(area, "sq ft", "m2"),
    }


def _with_extras(reader: Reader, scenario: Scenario, area: float, quote: Quote) -> Quote:
    """Return a quote with what may come on top of it."""
    scope: Mapping[str, Any] = reader.shared["scope"]
    needed = [part for part, entry in scope.items() if entry.get("needed")]
    extras = on_top(quote, needed=needed, share_needed=scenario.costing["needed_share"].likely)
    named = {part for item in quote.sound for part in item.covers}
    lacking = set(needed).difference(named, *(one.parts for one in extras)) if named else ()
    taxed = 1.0 + quote.tax
    own = tuple(_own_price(scope, part, scenario, area, taxed) for part in scope if part in lacking)
    if quote.itemised:
        return replace(quote, extras=(*extras, *own))
    return replace(quote, extras=extras, unsaid=own)


def _own_price(scope: Mapping[str, Any], part: str, scenario: Scenario, area: float, taxed: float) -> Extra:
    """Return what a part of the job comes to by the tool's own figures."""
    own = scope[part]["own"]
    by = convert(1.0, "money/sq ft", "money/m2") * area if own["unit"] == BY_AREA else 1.0
    low, likely, high = (own[end] * by for end in ("low", "likely", "high"))
    if part == "fixtures" and (hours := refit_hours(scenario)) is not None:
        costing = scenario.costing
        hour = costing["hour_price"].likely / (1.0 - costing["overhead"].likely)
        low, likely, high = (one * hour for one in hours)
    return Extra(scope[part]["title"], (part,), low * taxed, likely * taxed, high * taxed, left_out=True)


def _pieces(scenario: Scenario, item: Draft) -> float | None:
    """Count the fixtures that an item is for; None if nobody counted them."""
    if scenario.coach is None or scenario.coach.penetrations is None:
        return None
    return sum(
        scenario.likely(one.numbers["count"])
        for one in scenario.coach.penetrations
        if item.get("fixture") in (None, one.kind) and item.get("fate") in (None, one.fate)
    )


def _quote(
    name: str, draft: Draft, amounts: list[Figure | float], fulls: list[tuple[float, float]], end: str
) -> Quote:
    """Return a quote at one end of every range."""
    other = {"low": "high", "likely": "likely", "high": "low"}[end]
    items = tuple(
        Item(
            **{"unit": "fixed", **_said(item, OF_ITEM)},
            amount=_at(amount, end),
            price=_at(item["price"], end),
            stated="amount" in item,
            full=full,
            most=most,
        )
        for item, amount, (full, most) in zip(draft["items"], amounts, fulls, strict=True)
    )
    likely = {key: draft[key].likely for key in (*MONEY, "lodging", "quoted_length") if key in draft}
    call = draft.get("call_first")
    return Quote(
        name=name,
        items=items,
        tax=_at(draft.get("tax", 0.0), end),
        discount=_at(draft.get("discount", 0.0), other),
        trip=_at(draft.get("trip", 0.0), end),
        call_first=None if call is None or call is False else 0.0 if call is True else float(call),
        terms=_terms(draft),
        **{"title": name, **_said(draft, OF_QUOTE)},
        **likely,
    )


def _said(draft: Draft, names: Iterable[str]) -> dict[str, Any]:
    """Return what a quote, or an item, says of some names."""
    return {name: draft[name] for name in names if name in draft}


def _terms(draft: Draft) -> Terms:
    """Return what else a quote promises."""
    names = ("warranty_years", "topcoat_years", "topcoat_price", "film")
    numbers = {key: draft[key].likely for key in names if key in draft}
    validity = draft.get("validity")
    if is_number(validity):
        validity = WORDS["said"]["days"].format(days=f"{validity:g}")
    return Terms(
        validity="" if validity is None else str(validity),
        **_said(draft, OF_TERMS),
        **numbers,
    )


def _at(figure: Figure | float, end: str) -> float:
    """Return a figure at one of its ends."""
    return figure if isinstance(figure, float) else float(getattr(figure, end))


def _check_sums(reader: Reader, quote: Quote) -> None:
    """Note a discount, deposit or cap that does not go with what the items add up to."""
    total, place = added_up(quote), f"quotes.{quote.name}"
    if quote.discount > total.items:
        rule = f"must not be above the items, {money_text(total.items)}"
        reader.fault(f"{place}.discount", rule, quote.discount, "it is money, taken off before tax")
    elif quote.deposit is not None and quote.deposit > total.bill + 0.005 and quote.sound:
        rule = f"must not be above the price, {money_text(total.bill)}"
        reader.fault(f"{place}.deposit", rule, quote.deposit, "a deposit is part of the price")
    elif quote.cap is not None and quote.cap < total.bill - 0.005:
        rule = f"must not be below the price of a sound job, {money_text(total.bill)}"
        reader.fault(f"{place}.cap", rule, quote.cap, "a cap holds with tax and whatever is found")


def _check_used(reader: Reader, scenario: Scenario, quote: Quote) -> None:
    """Note a quote that a way is to cost but that adds up to nothing."""
    used = any(path == price_path(quote.name) for path in scenario.inputs)
    if used and not quote.sound:
        rule = "must have an item that is done in any case, as a way names it as its price"
        reader.fault(
            f"quotes.{quote.name}.items", rule, None, "state its items, or write the price as a number"
        )


def _basis(draft: Draft, quote: Quote) -> str:
    """Return the basis of a price: that of its dearest sound item."""
    costs = [item.cost if item.sound else 0.0 for item in quote.items]
    if not costs:
        return "judgement"
    dearest = max(range(len(costs)), key=lambda place: costs[place])
    basis: str = draft["items"][dearest]["price"].basis
    return basis


def _figure(reader: Reader, name: str, prices: list[float], basis: str, note: str) -> Figure:
    """Return the price of a quote as a figure."""
    low, likely, high = prices
    field: FieldInfo = reader.fields["alternatives"]["quote"]
    shape = "pert" if low < high else ""
    return Figure(price_path(name), likely, low, high, shape, basis, "", note, field)


def read_found(
    own: Table, fields: Fields, quotes: Mapping[str, Quote], *, source: str = "", units: str = "us"
) -> tuple[str, Found]:
    """Read a parsed file of what was found, in these units where it states none; return its quote's name too.

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
    name = raw.get("quote", next(iter(quotes)) if len(quotes) == 1 else None)
    rule = "must name a [quotes.NAME] of the scenario"
    name = reader.known(name, "quote", rule, tuple(quotes), f"one of: {', '.join(quotes)}")
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
        reader.needed(item, ("what", "amount"), f"items.{count}")
        if "what" in item and "amount" in item:
            amounts[item["what"]] = amounts.get(item["what"], 0.0) + item["amount"].likely
    if reader.faults:
        raise ScenarioError(reader.faults, source)
    return name or "", Found(found["bill"].likely, amounts, found.get("called"))
