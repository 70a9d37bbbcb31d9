"""One customer at the counter: answers, a walk on the roof, what is asked; and the scenario they make.

Lecture
-------
The answers are those of the seven questions, but for the price and the length: these come from the
shop and from the walk. A price list is the shop's and outlives the customer; all else is the customer's
and is wiped as one. Nothing here is a widget.

The scenario is the one that `lifecycle new` writes from the answers, with what was measured in
`[coach]` and what is asked in `[quotes.shop]`, every item written out: so the file stands without the
price list. The price of the verdict is what the items add up to, with tax, and what may come on top, as an
offer: what is left out of the job counts where the job needs it. The tool's own price stays beside it. What
nobody measured is left out, and said.

Left out: whether an answer is allowed (`interview`), and how a quote adds up (`quote`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from lifecycle import files
from lifecycle.errors import Fault, ScenarioError
from lifecycle.interview import NOT_SURE, contradictions, parts, scenario_text
from lifecycle.quantities import Figure, convert
from lifecycle.quote import BY_AREA, BY_HOUR, BY_LENGTH, BY_PIECE, Quote, counted
from lifecycle.reading.prices import PriceList
from lifecycle.scenario import Scenario

ASKED = ("otherwise", "keep", "roof_age")
"""Answers without which nothing is compared, besides a price."""

FROM_ELSEWHERE = ("quote", "quoted_length", "quoted_by", "length")
"""Parts of the seven questions that the walk and the shop answer."""

MEASURES = ("length", "width", "front_cap", "rear_cap", "edge")
"""What is measured on a walk, by its name in `[coach]`."""

WET, DRY = "wet", "dry"
"""What a moisture meter says today."""

SHOP = "shop"
"""Name of the quote in the file."""

WHOLE_JOB, NEW_WOOD = "the whole job, with tax", "new wood"
"""Items of a price that is one number."""


@dataclass(frozen=True)
class Walk:
    """What was measured and counted on the roof; None where nobody did.

    Parameters
    ----------
    measures : mapping of str to float
        By the names in `MEASURES`, only those measured. [m; edge: mm]
    through : mapping of (str, str) to int, or None
        How many of a kind have a fate; None: nobody counted.
    deck : str
        What the deck is made of; "" if nobody knows.
    moisture : str
        `WET`, `DRY`, or "" if it was not measured.
    """

    measures: Mapping[str, float] = field(default_factory=dict)
    through: Mapping[tuple[str, str], int] | None = None
    deck: str = ""
    moisture: str = ""


@dataclass(frozen=True)
class Asked:
    """What the shop asks of this customer.

    Parameters
    ----------
    number : float or None
        The price with tax, where there is no price list. [money]
    wood : float or None
        For new wood, with tax, where there is no price list. [money/m2]
    cap, exit_price : float or None
        Most that the bill may be; price of stopping once the roof is open. [money]
    left_out : frozenset of str
        Entries of the price list that are not in this job.
    """

    number: float | None = None
    wood: float | None = None
    cap: float | None = None
    exit_price: float | None = None
    left_out: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Customer:
    """One customer: answers to the questions, the walk, what is asked."""

    answers: Mapping[str, Any] = field(default_factory=dict)
    walk: Walk = field(default_factory=Walk)
    asked: Asked = field(default_factory=Asked)

    @property
    def stops(self) -> tuple[str, ...]:
        """Signs of trouble: with any of them nothing is compared."""
        seen = self.answers.get("trouble")
        signs = tuple(seen) if isinstance(seen, list | tuple) else ()
        return (*signs, "moisture in the roof") if self.walk.moisture == WET else signs


def answered(customer: Customer, key: str, value: Any) -> Customer:
    """Return a customer with one more answer; None: no answer any more."""
    kept = {name: old for name, old in customer.answers.items() if name != key}
    return replace(customer, answers=kept if value is None else {**kept, key: value})


def objections(customer: Customer) -> tuple[Fault, ...]:
    """Return what does not fit together among the answers given so far."""
    return tuple(contradictions(customer.answers))


def still_needed(customer: Customer, prices: PriceList | None) -> tuple[str, ...]:
    """Return what has to be known before anything is compared, in plain words.

    Examples
    --------
    >>> still_needed(Customer({"otherwise": "nothing", "keep": 8}), None)
    ('the age of the roof', 'a price list, or a price')
    """
    missing = [parts()[key].short for key in ASKED if key not in customer.answers]
    if prices is None:
        return (*missing, *([] if customer.asked.number is not None else ["a price list, or a price"]))
    units = {
        entry.get("unit") for _, entry in _entries(prices, customer.asked) if not entry.get("contingent")
    }
    if units & {BY_LENGTH, BY_AREA} and "length" not in customer.walk.measures:
        missing.append(parts()["length"].short)
    if BY_PIECE in units and customer.walk.through is None:
        missing.append("what goes through the roof")
    return tuple(missing)


def roof_of(walk: Walk, units: str, today: date) -> Scenario:
    """Return a scenario with the roof that was walked, and nothing else that was answered."""
    nothing = {"otherwise": NOT_SURE, "keep": NOT_SURE, "quote": NOT_SURE, "roof_age": 0}
    return replace(_loaded(Customer(nothing, walk), today, None), units=units)


def scenario_of(customer: Customer, prices: PriceList | None, units: str, today: date) -> Scenario:
    """Return the scenario of a customer."""
    table = quote_table(customer.asked, prices)
    quote = _quote(_loaded(customer, today, table))
    if not quote.sound:
        fault = Fault("the price", "must have something that is done in any case", remedy="tick it again")
        raise ScenarioError([fault])
    whole = replace(customer, answers={**customer.answers, "quote": _price(quote)})
    return replace(_loaded(whole, today, table), units=units)


def quote_table(asked: Asked, prices: PriceList | None) -> dict[str, Any]:
    """Return what is asked, as it stands in a file in US units."""
    terms = {"cap": asked.cap, "exit_price": asked.exit_price}
    table: dict[str, Any] = {name: value for name, value in terms.items() if value is not None}
    if prices is None:
        items: list[dict[str, Any]] = [{"what": WHOLE_JOB, "price": asked.number or 0.0}]
        if asked.wood is not None:
            wood = convert(asked.wood, "money/m2", "money/sq ft")
            row = {"what": NEW_WOOD, "unit": BY_AREA, "price": wood, "contingent": True}
            items.append({**row, "covers": ["deck repair"]})
        return {"title": "The price asked", **table, "items": items}
    tax = {} if prices.tax is None else {"tax": _written(prices.tax)}
    listed = list(_items(prices, asked))
    return {"title": prices.title or "From the price list", **tax, **table, "items": listed}


def by_the_hour(prices: PriceList) -> tuple[str, ...]:
    """Return what a price list asks by the hour in any case: nobody knows the hours, so it is in no price."""
    return tuple(entry["what"] for entry in prices.entries.values() if _by_hour(entry))


def from_scenario(scenario: Scenario) -> Customer:
    """Return the customer whose answers and coach a scenario holds."""
    from lifecycle.interview.typed import in_feet

    known = in_feet(scenario.answers, scenario.units)
    answers = {key: known[key] for key in parts() if key in known and key not in FROM_ELSEWHERE}
    coach = scenario.coach
    if coach is None:
        return Customer(answers, Walk(), Asked(_number(known.get("quote"))))
    measures = {
        name: scenario.likely(coach.numbers[name])
        for name in MEASURES
        if f"coach.{name}" in scenario.inputs and name in coach.numbers
    }
    through: dict[tuple[str, str], int] | None = None
    if coach.penetrations is not None:
        through = {}
        for one in coach.penetrations:
            key = one.kind, one.fate
            through[key] = through.get(key, 0) + round(scenario.likely(one.numbers["count"]))
    return Customer(answers, Walk(measures, through, coach.deck), Asked(_number(known.get("quote"))))


def _number(value: Any) -> float | None:
    """Return a price that was answered: the likely one of three, None without any."""
    if isinstance(value, Mapping):
        value = value["likely"]
    return float(value) if isinstance(value, int | float) else None


def _entries(prices: PriceList, asked: Asked) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Go through the entries of a price list that are in the job."""
    for name, entry in prices.entries.items():
        if name not in asked.left_out and not _by_hour(entry):
            yield name, entry


def _items(prices: PriceList, asked: Asked) -> Iterator[dict[str, Any]]:
    """Go through the items of a quote: what is left out of the job is named, hours are an allowance."""
    for name, entry in prices.entries.items():
        if name in asked.left_out:
            yield from [{**_item(entry), "left_out": True}] if entry.get("covers") else []
        else:
            yield {**_item(entry), "contingent": True} if _by_hour(entry) else _item(entry)


def _price(quote: Quote) -> float | dict[str, float]:
    """Return the price of the verdict: what is asked, with what may come on top."""
    found = counted(quote)
    if not quote.extras:
        return round(found.stated, 2)
    ends = {"low": found.least, "likely": found.expected, "high": found.most}
    return {end: round(price, 2) for end, price in ends.items()}


def _by_hour(entry: Mapping[str, Any]) -> bool:
    """Whether an entry is asked by the hour in any case."""
    return entry.get("unit") == BY_HOUR and not entry.get("contingent", False)


def _item(entry: Mapping[str, Any]) -> dict[str, Any]:
    """Return an entry of a price list as an item of a quote."""
    plain = {name: value for name, value in entry.items() if name not in ("price", "covers")}
    return {**plain, "price": _written(entry["price"]), "covers": list(entry.get("covers", ()))}


def _written(figure: Figure) -> dict[str, Any]:
    """Return a figure as it stands in a file in US units."""
    ends = {"low": figure.low, "likely": figure.likely, "high": figure.high}
    numbers = {
        name: round(convert(value, figure.field.unit, figure.field.unit_in("us")), 8)
        for name, value in ends.items()
    }
    kept = numbers if figure.ranged else {"value": numbers["likely"]}
    said = {"source": figure.source, "note": figure.note}
    return {**kept, "basis": figure.basis, **{name: text for name, text in said.items() if text}}


def _loaded(customer: Customer, today: date, quote: Mapping[str, Any] | None) -> Scenario:
    """Return the scenario of a customer as its file is read."""
    import tomlkit

    document: Any = tomlkit.parse(scenario_text(_answers(customer), base_date=today))
    walk = customer.walk
    coach = document.setdefault("coach", {}) if _walked(walk) else {}
    for name, value in walk.measures.items():
        if name != "length":
            coach[name] = _measured(name, value)
    if walk.deck:
        coach["deck"] = walk.deck
    if walk.through is not None:
        coach["penetrations"] = [
            {"kind": kind, "count": count, "fate": fate}
            for (kind, fate), count in walk.through.items()
            if count
        ]
    if quote is not None:
        document["quotes"] = {SHOP: {**quote, "items": [_inlined(item) for item in quote["items"]]}}
        if "tax" in quote:
            document["quotes"][SHOP]["tax"] = _inline(quote["tax"])
    return files.loads(tomlkit.dumps(document), "this customer")


def _walked(walk: Walk) -> bool:
    """Whether anything at all is known of the roof."""
    return bool(walk.measures or walk.deck or walk.through is not None)


def _answers(customer: Customer) -> dict[str, Any]:
    """Return all answers, with those that the walk gives, lengths in feet."""
    measures = customer.walk.measures
    answers = {"quote": NOT_SURE, **customer.answers}
    if "length" not in measures:
        return answers
    feet = {name: convert(value, "m", "ft") for name, value in measures.items() if name != "edge"}
    answers["length"] = round(feet["length"], 3)
    caps = [feet[name] for name in ("front_cap", "rear_cap") if name in feet]
    sprayed = feet["length"] - sum(caps)
    if caps and sprayed < parts()["quoted_length"].low:
        rule = "must leave a roof between the caps"
        raise ScenarioError([Fault("the caps", rule, f"{sprayed:.3g} ft", "measure length and caps again")])
    if caps:
        answers |= {"quoted_length": round(sprayed, 3), "quoted_by": "sprayed"}
    return answers


def _measured(name: str, value: float) -> Any:
    """Return a measure as it stands in a file in US units."""
    info = files.fields()["coach"][name]
    number = round(convert(value, info.unit, info.unit_us), 4)
    return _inline({"value": number, "basis": "practice", "note": "measured on the roof"})


def _inlined(item: Mapping[str, Any]) -> dict[str, Any]:
    """Return an item with its price on one line."""
    price = item["price"]
    return {**item, "price": _inline(price) if isinstance(price, Mapping) else price}


def _inline(table: Mapping[str, Any]) -> Any:
    """Return a table that is written on one line."""
    import tomlkit

    written = tomlkit.inline_table()
    written.update(table)
    return written


def _quote(scenario: Scenario) -> Quote:
    """Return what is asked."""
    return scenario.quotes[SHOP]
