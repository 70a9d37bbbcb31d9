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
from lifecycle.interview import NOT_SURE, parts, scenario_text, seen_of
from lifecycle.language.labels import listed
from lifecycle.language.sentences import say
from lifecycle.pages.panels.session import refused
from lifecycle.quantities import Figure, convert
from lifecycle.quote import BY_AREA, BY_HOUR, BY_LENGTH, BY_PIECE, Quote, counted
from lifecycle.reading.quotes import UPKEEP, PriceList
from lifecycle.scenario import Scenario, Seen

ASKED = ("otherwise", "keep", "roof_age")
"""Answers without which nothing is compared, besides a price."""

FROM_ELSEWHERE = ("quote", "quoted_length", "quoted_by", "decided", "length")
"""Parts of the seven questions that the walk and the shop answer, or that a counter does not ask."""

METER = ("readings", "meter_limit")
"""Parts that the walk answers by place."""

MEASURES = ("length", "width", "front_cap", "rear_cap", "edge")
"""What is measured on a walk, by its name in `[coach]`."""

NAMED = 2
"""Ways that are named where a file holds them and the page does not; of more the number is said."""

SHOP = "shop"
"""Name of the quote in the file."""


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
    readings : mapping of str to float
        What a moisture meter read, by place. [percent]
    limit : float or None
        From where on this meter calls wood wet. [percent]
    """

    measures: Mapping[str, float] = field(default_factory=dict)
    through: Mapping[tuple[str, str], int] | None = None
    deck: str = ""
    readings: Mapping[str, float] = field(default_factory=dict)
    limit: float | None = None


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
    def known(self) -> Mapping[str, Any]:
        """The answers, with what was measured of moisture among them."""
        walk = self.walk
        if not walk.readings or walk.limit is None:
            return self.answers
        read = ", ".join(f"{place} {percent:g}" for place, percent in walk.readings.items())
        return {**self.answers, "readings": read, "meter_limit": walk.limit}

    @property
    def seen(self) -> Seen:
        """What was seen, opened and measured: with trouble that nobody opened nothing is compared."""
        return seen_of(self.known)


def still_needed(customer: Customer, prices: PriceList | None) -> tuple[str, ...]:
    """Return what has to be known before anything is compared, in plain words.

    Examples
    --------
    >>> still_needed(Customer({"otherwise": "nothing", "keep": 8}), None)
    ('the age of the roof', 'a price list, or a price')
    """
    missing = [parts()[key].short for key in ASKED if key not in customer.answers]
    if prices is None:
        priced = customer.asked.number is not None
        return (*missing, *([] if priced else [say("counter.answer.price_needed")]))
    units = {
        entry.get("unit") for _, entry in _entries(prices, customer.asked) if not entry.get("contingent")
    }
    if units & {BY_LENGTH, BY_AREA} and "length" not in customer.walk.measures:
        missing.append(parts()["length"].short)
    if BY_PIECE in units and customer.walk.through is None:
        missing.append(say("counter.answer.through_needed"))
    return tuple(missing)


def roof_of(walk: Walk, units: str, today: date) -> Scenario:
    """Return a scenario with the roof that was walked, and nothing else that was answered."""
    nothing = {"otherwise": NOT_SURE, "keep": NOT_SURE, "quote": NOT_SURE, "roof_age": 0}
    return replace(_loaded(Customer(nothing, walk), today, None), units=units)


def to_open(customer: Customer, units: str, today: date) -> Scenario | None:
    """Return the scenario of a customer whose roof is to be opened first, without a price.

    None as long as nobody knows how old the roof is. What was not answered is not sure.
    """
    if "roof_age" not in customer.answers:
        return None
    unsure = {"otherwise": NOT_SURE, "keep": NOT_SURE, "quote": NOT_SURE}
    asked = replace(customer, answers={**unsure, **customer.answers})
    return replace(_loaded(asked, today, None), units=units)


def scenario_of(customer: Customer, prices: PriceList | None, units: str, today: date) -> Scenario:
    """Return the scenario of a customer."""
    table = quote_table(customer.asked, prices)
    quote = _loaded(customer, today, table).quotes[SHOP]
    if not quote.sound:
        raise refused("counter.unsound")
    whole = replace(customer, answers={**customer.answers, "quote": _price(quote), **_warranty(prices)})
    return replace(_loaded(whole, today, table, upkeep_prices(prices)), units=units)


def _warranty(prices: PriceList | None) -> dict[str, Any]:
    """Return the answers on the warranty that a price list gives: spoken, where it does not say."""
    terms = {} if prices is None else prices.terms
    if "warranty_years" not in terms:
        return {}
    written = bool(terms.get("in_writing", False))
    return {"warranty_years": terms["warranty_years"].likely, "warranty_in_writing": written}


def upkeep_prices(prices: PriceList | None) -> dict[str, Any]:
    """Return what the shop asks for upkeep, with tax, by the shared figure that it stands for."""
    found: dict[str, Any] = {}
    for name, figure in UPKEEP.items():
        if prices is not None and name in prices.entries:
            stated = _written(prices.entries[name]["price"])
            taxed = 1.0 + (0.0 if prices.tax is None else prices.tax.likely)
            ends = {end: value for end, value in stated.items() if isinstance(value, float)}
            with_tax = {end: round(value * taxed, 2) for end, value in ends.items()}
            found[figure] = {**stated, **with_tax, "note": say("counter.upkeep_note")}
    return found


def quote_table(asked: Asked, prices: PriceList | None) -> dict[str, Any]:
    """Return what is asked, as it stands in a file in US units."""
    terms = {"cap": asked.cap, "exit_price": asked.exit_price}
    table: dict[str, Any] = {name: value for name, value in terms.items() if value is not None}
    if prices is None:
        items: list[dict[str, Any]] = [{"what": say("counter.whole_job"), "price": asked.number or 0.0}]
        if asked.wood is not None:
            wood = convert(asked.wood, "money/m2", "money/sq ft")
            row = {"what": say("counter.new_wood"), "unit": BY_AREA, "price": wood, "contingent": True}
            items.append({**row, "covers": ["deck repair"]})
        return {"title": say("counter.price_asked"), **table, "items": items}
    tax = {} if prices.tax is None else {"tax": _written(prices.tax)}
    found = list(_items(prices, asked))
    promised = {
        name: _written(told) if isinstance(told, Figure) else told for name, told in prices.terms.items()
    }
    title = prices.title or say("counter.from_list")
    return {"title": title, **tax, **promised, **table, "items": found}


def by_the_hour(prices: PriceList) -> tuple[str, ...]:
    """Return what a price list asks by the hour in any case: nobody knows the hours, so it is in no price."""
    return tuple(entry["what"] for entry in prices.job.values() if _by_hour(entry))


def from_scenario(scenario: Scenario) -> Customer:
    """Return the customer whose answers and coach a scenario holds."""
    from lifecycle.interview.typed import in_feet

    known = in_feet(scenario.answers, scenario.units)
    elsewhere = (*FROM_ELSEWHERE, *METER)
    answers = {key: known[key] for key in parts() if key in known and key not in elsewhere}
    meter, coach = scenario.seen.meter, scenario.coach
    read = Walk() if meter is None else Walk(readings=dict(meter.readings), limit=meter.limit)
    if coach is None:
        return Customer(answers, read, Asked(_number(known.get("quote"))))
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
    walk = replace(read, measures=measures, through=through, deck=coach.deck)
    return Customer(answers, walk, Asked(_number(known.get("quote"))))


def not_kept(scenario: Scenario, asked: Scenario | None) -> list[str]:
    """Name what a scenario holds that is lost where the page asks for it anew.

    Parameters
    ----------
    scenario : Scenario
        As its file was read.
    asked : Scenario or None
        What the page makes of it; None: it lacks an answer still, so all of this is lost.
    """
    kept = {} if asked is None else asked.inputs
    figures = [
        path
        for path, figure in scenario.inputs.items()
        if not figure.shared and (path not in kept or _differs(figure, kept[path]))
    ]
    ways = {way.name for way in asked.alternatives} if asked is not None else set()
    titles = [way.title for way in scenario.alternatives if way.name not in ways]
    past = scenario.existing.past_visits, scenario.existing.hidden_now
    has = {
        "quotes": bool(scenario.quotes),
        "loan": scenario.loan is not None,
        "climate": scenario.climate is not None and (asked is None or asked.climate is None),
        "past": past != (None, None) and (asked is None or past[0] != asked.existing.past_visits),
        "correlations": bool(scenario.sections.get("correlations")),
    }
    said = [say(f"counter.lost.{name}") for name, there in has.items() if there]
    if len(figures) == 1:
        said.insert(0, say("counter.lost.figure"))
    elif figures:
        said.insert(0, say("counter.lost.figures", number=len(figures)))
    if len(titles) > NAMED:
        said.insert(0, say("counter.lost.many_ways", number=len(titles)))
    elif titles:
        said.insert(0, say("counter.lost.ways", titles=listed(f'"{title}"' for title in titles)))
    return said


def _differs(one: Figure, other: Figure) -> bool:
    """Whether two figures say other numbers."""
    return (one.low, one.likely, one.high) != (other.low, other.likely, other.high)


def _number(value: Any) -> float | None:
    """Return a price that was answered: the likely one of three, None without any."""
    if isinstance(value, Mapping):
        value = value["likely"]
    return float(value) if isinstance(value, int | float) else None


def _entries(prices: PriceList, asked: Asked) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Go through the entries of a price list that are in the job."""
    for name, entry in prices.job.items():
        if name not in asked.left_out and not _by_hour(entry):
            yield name, entry


def _items(prices: PriceList, asked: Asked) -> Iterator[dict[str, Any]]:
    """Go through the items of a quote: what is left out of the job is named, hours are an allowance."""
    for name, entry in prices.job.items():
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


def _loaded(
    customer: Customer,
    today: date,
    quote: Mapping[str, Any] | None,
    upkeep: Mapping[str, Any] | None = None,
) -> Scenario:
    """Return the scenario of a customer as its file is read; a price that the customer named goes first."""
    import tomlkit

    document: Any = tomlkit.parse(scenario_text(_answers(customer), base_date=today))
    walk = customer.walk
    for name, price in (upkeep or {}).items():
        document.setdefault("figures", {}).setdefault(name, files.on_one_line(price))
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
        plain = {name: _plain(one) for name, one in quote.items()}
        document["quotes"] = {
            SHOP: {**plain, "items": [{**item, "price": _plain(item["price"])} for item in quote["items"]]}
        }
    return files.loads(tomlkit.dumps(document), say("counter.this_customer"))


def _walked(walk: Walk) -> bool:
    """Whether anything at all is known of the roof."""
    return bool(walk.measures or walk.deck or walk.through is not None)


def _answers(customer: Customer) -> dict[str, Any]:
    """Return all answers, with those that the walk gives, lengths in feet."""
    measures = customer.walk.measures
    answers = {"quote": NOT_SURE, **customer.known}
    if "length" not in measures:
        return answers
    feet = {name: convert(value, "m", "ft") for name, value in measures.items() if name != "edge"}
    answers["length"] = round(feet["length"], 3)
    caps = [feet[name] for name in ("front_cap", "rear_cap") if name in feet]
    sprayed = feet["length"] - sum(caps)
    if caps and sprayed < parts()["quoted_length"].low:
        raise refused("counter.caps", f"{sprayed:.3g} ft")
    if caps:
        answers |= {"quoted_length": round(sprayed, 3), "quoted_by": "sprayed"}
    return answers


def _measured(name: str, value: float) -> Any:
    """Return a measure as it stands in a file in US units."""
    info = files.fields()["coach"][name]
    number = round(convert(value, info.unit, info.unit_us), 4)
    return files.on_one_line({"value": number, "basis": "practice", "note": say("counter.measured_note")})


def _plain(entry: Any) -> Any:
    """Return an entry as it is written; a table on one line."""
    return files.on_one_line(entry) if isinstance(entry, Mapping) else entry
