"""The card without software: a page that answers for most people who will never run anything.

Lecture
-------
For a coach of each age two tables stand side by side, with the same rows (what you would do otherwise)
and columns (year of sale): in how many of 20 futures spraying is cheaper, and what it is worth a
sprayed length. Each has a sentence, made by rule from its numbers, that says what it shows. Rows
keep their order and their look whatever they say: one that says no to spraying stands as one that
says yes. On grey are the cases that could go either way, so neither side is shaded.

A price is given twice: the even price, and behind it in brackets the careful one (`studies.habits`).
Its fixed texts and the choice of figures are data.

Left out: the cheapest way of all; it is said in words that a cheap row beats a dear one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import lifecycle
from lifecycle.answers.blocks import Answer, Block, Columns, Heading, Items, Rest, Sentence, Table
from lifecycle.answers.doubt import twenties
from lifecycle.answers.parts import fields_of, head_of, made_by
from lifecycle.errors import fault
from lifecycle.files import data
from lifecycle.language.labels import BASES, HEADINGS, counted, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import capital, convert, inner, number_text, rounded
from lifecycle.studies.habits import Habits, NoCard, PriceCard, ages_for, plans_for, price_card
from lifecycle.studies.register import entry
from lifecycle.studies.verdict import OPEN, WORDS

if TYPE_CHECKING:
    from lifecycle.answers.parts import Told
    from lifecycle.scenario import Scenario

NONE = "-"
"""Where no price is low enough."""

TEXT = 8.3
"""Size of the text in print: two sides of a sheet. [point]"""


@dataclass(frozen=True)
class _Card:
    """The numbers of the card in the units of the scenario, and its texts."""

    card: PriceCard

    @property
    def unit(self) -> str:
        """Unit of length, in short."""
        return "ft" if self.card.scenario.units == "us" else "m"

    @property
    def sprayed(self) -> float:
        """Sprayed length. [unit]"""
        return convert(self.card.sprayed_length, "m", self.unit)

    def price(self, money: float) -> str:
        """Return a price a sprayed length, to two digits; a dash where none is low enough."""
        each = money / self.sprayed
        return rounded(each) if each >= 0.5 else NONE

    @property
    def names(self) -> dict[str, str]:
        """What the slots of the fixed texts are filled with."""
        unit, units = words("card.units")[self.unit]
        return {
            "unit": unit,
            "units": units,
            "short": self.unit,
            "quote": self.price(self.card.quote),
            "currency": self.card.scenario.currency,
            "sprayed": number_text(round(self.sprayed, 1)),
            "length": number_text(round(convert(self.card.length, "m", self.unit), 1)),
            "draws": f"{self.card.draws:,}",
            "places": str(len(data("places.toml")["places"])),
        }

    def text(self, name: str, **own: str) -> str:
        """Return a text of the card, filled in."""
        return str(words(f"card.{name}")).format(**self.names, **own)

    def lines(self, name: str) -> tuple[str, ...]:
        """Return a list of texts of the card, filled in."""
        return tuple(line.format(**self.names) for line in words(f"card.{name}"))


def card(scenario: Scenario, *, draws: int, seed: int, told: Told) -> Answer:
    """Make the card without software."""
    try:
        ages, plans = ages_for(scenario), plans_for(scenario)
        return card_answer(
            price_card(scenario, draws=draws, seed=seed, ages=ages, plans=plans, told=told.step)
        )
    except NoCard as error:
        raise fault("coach", "must have a length", "", f"{error}: add [coach] with its length") from None


def card_answer(card: PriceCard) -> Answer:
    """Write the card as a paper."""
    told = _Card(card)
    return Answer(
        title=HEADINGS["card"],
        subtitle=told.text("subtitle"),
        blocks=tuple(_blocks(told)),
        data=_data(told),
        footer=_footer(told),
        text_size=TEXT,
    )


def _blocks(told: _Card) -> Iterator[Block]:
    """Go through what stands on the card."""
    yield Sentence(told.text("first"))
    yield Sentence(told.text("open_first"), "caution")
    yield Sentence(_in_short(told))
    if told.card.scenario.climbs is False:
        yield Sentence(told.text("no_climbing"))
    yield Heading(say("card.steps_head"))
    yield Items(told.lines("steps"), numbered=True)
    yield from (Sentence(line) for line in _example(told))
    yield Rest()
    yield from (Sentence(told.text(name)) for name in ("of_20", "prices", "sprayed"))
    for age, table in told.card.tables.items():
        yield Heading(say("card.age", age=years_text(age)))
        yield Columns((_of_20(told, table),), (_prices(told, table),))
    yield Heading(say("card.minds_head"))
    yield Items(told.lines("minds"))
    yield Heading(say("card.rests_head"))
    yield Columns((Items(tuple(_rests_on(told))),), (_figures(told),))
    yield Heading(say("card.cautions_head"))
    yield Items(told.lines("cautions"))


def _in_short(told: _Card) -> str:
    """Say for each age in how many cases spraying is probably cheaper."""
    sides = {age: _sides(table) for age, table in told.card.tables.items()}
    cheaper = (
        say("card.cheaper", cases=cheaper, age=years_text(age)) for age, (cheaper, _, _) in sides.items()
    )
    return told.text("in_short", cases=str(sum(next(iter(sides.values())))), cheaper=listed(cheaper))


def _example(told: _Card) -> Iterator[str]:
    """Read one case of the card aloud, if it is on it."""
    example = data("card.toml")["example"]
    age, plan, year = example["age"], example["plan"], example["year"]
    table = told.card.tables.get(age)
    if table is None or year not in table.years:
        return
    plan = plan if plan in table.titles else next(iter(table.titles))
    even, careful = (told.price(prices[plan][year]) for prices in (table.even_price, table.careful_price))
    worth = say("card.no_price") if even == NONE else told.text("even", even=even)
    yield told.text(
        "example",
        age=years_text(age),
        plan=table.titles[plan],
        sale=years_text(year),
        often=_in_words(table.of_20[plan][year]),
        worth=worth if careful == NONE else f"{worth} {told.text('careful', careful=careful)}",
    )


def _in_words(number: int) -> str:
    """Return so many of 20 futures in words."""
    ends = {0: "card.few", 20: "card.nearly_all"}
    return say(ends[number]) if number in ends else say("card.often", number=number)


def _of_20(told: _Card, table: Habits) -> Table:
    """Return the table of 20s, on grey what could go either way, and a sentence that says what it shows."""
    open_cases = frozenset(
        (row, column)
        for row, plan in enumerate(table.titles)
        for column, year in enumerate(table.years, start=1)
        if _least(OPEN) <= table.of_20[plan][year] < _least("probably cheaper")
    )
    return replace(
        twenties(table, ""),
        head=_head(table),
        rows=_rows(table, table.of_20),
        caption=told.text("counts"),
        note=_what_counts_show(table),
        shaded=open_cases,
        bars=0.0,
    )


def _least(word: str) -> int:
    """Return the smallest number of 20 that has a word."""
    return next(number for number, known in WORDS if known == word)


def _sides(table: Habits) -> tuple[int, int, int]:
    """Return in how many cases spraying is probably cheaper, probably dearer, and neither."""
    cells = [number for row in table.of_20.values() for number in row.values()]
    cheaper = sum(number >= _least("probably cheaper") for number in cells)
    dearer = sum(number < _least(OPEN) for number in cells)
    return cheaper, dearer, len(cells) - cheaper - dearer


def _what_counts_show(table: Habits) -> str:
    """Say in a sentence what a table of 20s shows.

    By rule: the cases of either side and between, and the years in which all rows are on one side.
    """
    cheaper, dearer, between = _sides(table)
    cases = cheaper + dearer + between
    parts = [say("card.sides", cheaper=cheaper, cases=cases, dearer=dearer, between=between)]
    columns = {year: [row[year] for row in table.of_20.values()] for year in table.years}
    early = [year for year, column in columns.items() if max(column) < _least(OPEN)]
    late = [year for year, column in columns.items() if min(column) >= _least("probably cheaper")]
    parts += [say("card.early", years=_years(early))] if early else []
    parts += [say("card.late", years=_years(late))] if late else []
    return " ".join(parts)


def _years(years: list[int]) -> str:
    """Return some years of sale in words."""
    *others, last = map(str, years)
    return say("card.some_years", others=", ".join(others), last=last) if others else years_text(years[0])


def _prices(told: _Card, table: Habits) -> Table:
    """Return the table of prices, and the sentence that says what it shows."""
    both = {plan: {year: _both(told, table, plan, year) for year in table.years} for plan in table.titles}
    note = _what_prices_show(told, table)
    return Table.of_numbers(_head(table), _rows(table, both), told.text("worth"), note, wraps=True)


def _both(told: _Card, table: Habits, plan: str, year: int) -> str:
    """Return the even price, and the careful one in brackets."""
    even, careful = (told.price(prices[plan][year]) for prices in (table.even_price, table.careful_price))
    return even if even == NONE else say("card.both", even=even, careful=careful)


def _what_prices_show(told: _Card, table: Habits) -> str:
    """Say in a sentence what a table of prices shows: its largest and its smallest even price."""
    cells = {(plan, year): table.even_price[plan][year] for plan in table.titles for year in table.years}
    most, least = max(cells, key=cells.__getitem__), min(cells, key=cells.__getitem__)
    none = sum(told.price(price) == NONE for price in cells.values())
    if none == len(cells):
        return say("card.no_price_in_any")
    text = say("card.most", price=told.price(cells[most]), case=_case(table, *most))
    if none:
        return f"{text} {say('card.no_price_in', none=none, cases=len(cells))}"
    return f"{text} {say('card.least', price=told.price(cells[least]), case=_case(table, *least))}"


def _case(table: Habits, plan: str, year: int) -> str:
    """Return one case in words."""
    return say("card.case", sale=years_text(year), plan=table.titles[plan])


def _head(table: Habits) -> tuple[str, ...]:
    """Return the heads of the columns."""
    return (say("card.sold_after"), *map(str, table.years))


def _rows(table: Habits, cells: Mapping[str, Mapping[int, object]]) -> tuple[tuple[str, ...], ...]:
    """Return a row for each plan, its title with a capital."""
    return tuple(
        (capital(title), *(str(cells[plan][year]) for year in table.years))
        for plan, title in table.titles.items()
    )


def _rests_on(told: _Card) -> Iterator[str]:
    """Say what the card rests on: coach, place, past, and what is counted."""
    scenario = told.card.scenario
    yield told.text("judgement")
    yield say(
        "card.coach",
        coach=inner(scenario.title),
        size=told.text("size"),
        currency=scenario.currency,
        day=scenario.base_date,
    )
    yield told.text("place_mean" if scenario.climate is None else "place_own")
    yield told.text("past")
    yield told.text("method")
    yield from told.lines("counted")
    yield _bases(told.card)


def _figures(told: _Card) -> Table:
    """Return the main figures with range and basis."""
    entries = [entry(figure, told.card.scenario) for figure in told.card.figures]
    return Table(
        head=tuple(words("card.figure_heads")),
        rows=tuple(
            (
                _figure(words("card.figures")[one.path], one.unit),
                *(number_text(end) for end in (one.amount.low, one.amount.likely, one.amount.high)),
                one.basis,
            )
            for one in entries
        ),
        numbers=(1, 2, 3),
    )


def _figure(name: str, unit: str) -> str:
    """Return the name of a figure, with its unit unless the name says it."""
    return name if unit in name else say("card.figure", figure=name, unit=unit)


def _bases(card: PriceCard) -> str:
    """Say how many figures rest on what."""
    parts = [f"{number} {BASES[basis]}" for basis, number in card.estimates.items()]
    return say(
        "card.estimates", estimates=counted(sum(card.estimates.values()), "estimate"), parts="; ".join(parts)
    )


def _footer(told: _Card) -> str:
    """Say how the numbers were got, and how to get others."""
    card = told.card
    futures = say(
        "card.futures",
        draws=f"{card.draws:,}",
        seed=card.seed,
        version=lifecycle.__version__,
        digest=card.scenario.sha256[:16],
    )
    return f"{told.text('own')} {futures}"


def _data(told: _Card) -> dict[str, Any]:
    """Return the card as plain data: prices in money a unit of sprayed length, not rounded, or null."""
    card = told.card

    def each(money: float) -> float | None:
        return money / told.sprayed if money > 0.0 else None

    return {
        **head_of(card.scenario),
        "unit": told.unit,
        "sprayed_length": told.sprayed,
        "quote": card.quote / told.sprayed,
        "ages": {
            str(age): {
                plan: {
                    str(year): {
                        "of_20": table.of_20[plan][year],
                        "chance": table.chance[plan][year],
                        "even_price": each(table.even_price[plan][year]),
                        "careful_price": each(table.careful_price[plan][year]),
                    }
                    for year in table.years
                }
                for plan in table.titles
            }
            for age, table in card.tables.items()
        },
        **fields_of(card, "draws", "seed"),
        "made_by": made_by(card.scenario, "expectation by future"),
        "reasons": {"even_price, careful_price": say("card.null_price")},
    }
