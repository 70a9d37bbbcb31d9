"""The card without software: a page that answers for most people who will never run anything.

Lecture
-------
For a coach of each age two tables stand side by side, with the same rows (what you would do otherwise)
and columns (year of sale): in how many of 20 futures spraying is cheaper, and what it is worth a
sprayed length. Each has a sentence, made by rule from its numbers, that says what it shows. Rows
keep their order and their look whatever they say: one that says no to spraying stands as one that
says yes. On grey are the cases that could go either way, so neither side is shaded.

A price is given twice: the even price, and behind it in brackets the careful one (`studies.habits`).
Fixed texts and the choice of figures are data (`data/card.toml`).

Left out: the cheapest way of all; it is said in words that a cheap row beats a dear one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import lifecycle
from lifecycle.answers.blocks import Answer, Block, Columns, Heading, Items, Sentence, Table
from lifecycle.answers.shared import SCHEMA
from lifecycle.files import data
from lifecycle.language.assumptions import BASES
from lifecycle.language.labels import counted, inner, listed, rounded, years_text
from lifecycle.quantities import convert, number_text
from lifecycle.studies.habits import Habits
from lifecycle.studies.price_card import PriceCard
from lifecycle.studies.register import entry
from lifecycle.studies.verdict import OPEN, WORDS

NONE = "-"
"""Where no price is low enough."""

TEXT = 8.3
"""Size of the text in print: two sides of a sheet. [point]"""

LONG = {"ft": ("foot", "feet"), "m": ("metre", "metres")}
"""A unit of length in words: one of it, and many."""


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
        """What the braces of the texts are filled with."""
        unit, units = LONG[self.unit]
        return {
            "unit": unit,
            "units": units,
            "short": self.unit,
            "quote": self.price(self.card.quote),
            "sprayed": number_text(round(self.sprayed, 1)),
            "length": number_text(round(convert(self.card.length, "m", self.unit), 1)),
            "draws": f"{self.card.draws:,}",
            "places": str(len(data("places.toml")["places"])),
        }

    def text(self, name: str) -> str:
        """Return a text of the card, filled in."""
        return str(data("card.toml")["text"][name]).format(**self.names)

    def lines(self, name: str) -> tuple[str, ...]:
        """Return a list of texts of the card, filled in."""
        return tuple(line.format(**self.names) for line in data("card.toml")["text"][name])


def price_card_sheet(card: PriceCard) -> Answer:
    """Write the card as a paper.

    Parameters
    ----------
    card : PriceCard
        Its numbers.

    Returns
    -------
    Answer
    """
    told = _Card(card)
    return Answer(
        title=told.text("title"),
        subtitle=told.text("subtitle"),
        blocks=tuple(_blocks(told)),
        footer=_footer(told),
        text_size=TEXT,
    )


def _blocks(told: _Card) -> Iterator[Block]:
    """Go through what stands on the card."""
    yield Sentence(told.text("first"))
    yield Sentence(told.text("open_first"), "caution")
    yield Sentence(_in_short(told))
    yield Heading("How to read this card")
    yield Items(told.lines("steps"), numbered=True)
    yield from (Sentence(line) for line in _example(told))
    yield from (Sentence(told.text(name)) for name in ("of_20", "prices", "sprayed"))
    for age, table in told.card.tables.items():
        yield Heading(f"A coach that is {years_text(age)} old")
        yield Columns(tuple(_of_20(told, table)), tuple(_prices(told, table)))
    yield Heading("Mind when you read it")
    yield Items(told.lines("minds"))
    yield Heading("What it rests on")
    yield Columns((Items(tuple(_rests_on(told))),), (_figures(told),))
    yield Heading("Cautions")
    yield Items(told.lines("cautions"))


def _in_short(told: _Card) -> str:
    """Say for each age in how many cases spraying is probably cheaper."""
    sides = {age: _sides(table) for age, table in told.card.tables.items()}
    cheaper = [f"{cheaper} for a coach of {years_text(age)}" for age, (cheaper, _, _) in sides.items()]
    own = {"cases": str(sum(next(iter(sides.values())))), "cheaper": listed(cheaper)}
    return str(data("card.toml")["text"]["in_short"]).format(**told.names, **own)


def _example(told: _Card) -> Iterator[str]:
    """Read one case of the card aloud, if it is on it."""
    example = data("card.toml")["example"]
    age, plan, year = example["age"], example["plan"], example["year"]
    table = told.card.tables.get(age)
    if table is None or year not in table.years or plan not in table.titles:
        return
    unit = told.names["unit"]
    even, careful = (told.price(prices[plan][year]) for prices in (table.even_price, table.careful_price))
    worth = f"It is about even at {even} a sprayed {unit}." if even != NONE else "No price is low enough."
    less = f" To be careful, pay at most {careful}." if careful != NONE else ""
    yield (
        f"An example: your coach is {years_text(age)} old. If you do not spray, {table.titles[plan]}. "
        f"You sell after {years_text(year)}. At {told.names['quote']} a sprayed {unit}, spraying is cheaper "
        f"in {_in_words(table.of_20[plan][year])}. {worth}{less}"
    )


def _in_words(number: int) -> str:
    """Return so many of 20 futures in words."""
    return {0: "fewer than 1 in 40 futures", 20: "nearly all futures"}.get(number, f"{number} of 20 futures")


def _of_20(told: _Card, table: Habits) -> Iterator[Block]:
    """Return the table of 20s, and the sentence that says what it shows."""
    found = table.of_20
    open_cases = tuple(
        (row, column)
        for row, plan in enumerate(table.titles)
        for column, year in enumerate(table.years, start=1)
        if _least(OPEN) <= found[plan][year] < _least("probably cheaper")
    )
    unit = told.names["unit"]
    yield Table(
        head=_head(table),
        rows=tuple(
            (_row(title), *(str(found[plan][year]) for year in table.years))
            for plan, title in table.titles.items()
        ),
        caption=f"In how many of 20 is spraying cheaper, at {told.names['quote']} a {unit}?",
        numbers=tuple(range(1, len(table.years) + 1)),
        shaded=open_cases,
        note=_what_counts_show(table),
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
    parts = [
        f"Spraying is probably cheaper in {cheaper} of these {cheaper + dearer + between} cases, "
        f"and probably dearer in {dearer}. In {between} it could go either way."
    ]
    columns = {year: [row[year] for row in table.of_20.values()] for year in table.years}
    early = [year for year, column in columns.items() if max(column) < _least(OPEN)]
    late = [year for year, column in columns.items() if min(column) >= _least("probably cheaper")]
    if early:
        parts.append(f"Sold after {_years(early)}, it is probably dearer whatever you would do otherwise.")
    if late:
        parts.append(f"Sold after {_years(late)}, it is probably cheaper whatever you would do otherwise.")
    return " ".join(parts)


def _years(years: list[int]) -> str:
    """Return some years of sale in words."""
    *others, last = map(str, years)
    return f"{', '.join(others)} or {last} years" if others else years_text(years[0])


def _prices(told: _Card, table: Habits) -> Iterator[Block]:
    """Return the table of prices, and the sentence that says what it shows."""
    currency, unit = told.card.scenario.currency, told.names["unit"]
    yield Table(
        head=_head(table),
        rows=tuple(
            (_row(title), *(_both(told, table, plan, year) for year in table.years))
            for plan, title in table.titles.items()
        ),
        caption=f"Highest price worth paying, {currency} a sprayed {unit}: even (careful)",
        numbers=tuple(range(1, len(table.years) + 1)),
        wraps=True,
        note=_what_prices_show(told, table),
    )


def _both(told: _Card, table: Habits, plan: str, year: int) -> str:
    """Return the even price, and the careful one in brackets."""
    even, careful = (told.price(prices[plan][year]) for prices in (table.even_price, table.careful_price))
    return even if even == NONE else f"{even} ({careful})"


def _what_prices_show(told: _Card, table: Habits) -> str:
    """Say in a sentence what a table of prices shows: its largest and its smallest even price."""
    cells = {(plan, year): table.even_price[plan][year] for plan in table.titles for year in table.years}
    most, least = max(cells, key=cells.__getitem__), min(cells, key=cells.__getitem__)
    none = sum(told.price(price) == NONE for price in cells.values())
    if none == len(cells):
        return "No price is low enough in any of these cases."
    text = f"Most: {told.price(cells[most])} {_case(table, *most)}."
    if none:
        return f"{text} No price is low enough in {none} of these {len(cells)} cases."
    return f"{text} Least: {told.price(cells[least])} {_case(table, *least)}."


def _case(table: Habits, plan: str, year: int) -> str:
    """Return one case in words."""
    return f"(sold after {years_text(year)}; {table.titles[plan]})"


def _head(table: Habits) -> tuple[str, ...]:
    """Return the heads of the columns."""
    return ("If you do not spray ... and sell after", *(f"{year} yr" for year in table.years))


def _row(title: str) -> str:
    """Return the head of a row."""
    return title[:1].upper() + title[1:]


def _rests_on(told: _Card) -> Iterator[str]:
    """Say what the card rests on: coach, place, past, and what is counted."""
    scenario = told.card.scenario
    yield told.text("judgement")
    yield (
        f"The coach: {inner(scenario.title)}. {told.text('size')} "
        f"Prices are in {scenario.currency}, as they are on {scenario.base_date}."
    )
    yield told.text("place_mean" if scenario.climate is None else "place_own")
    yield told.text("past")
    yield told.text("method")
    yield from told.lines("counted")
    yield _bases(told.card)


def _figures(told: _Card) -> Table:
    """Return the main figures with range and basis."""
    words = data("card.toml")["figures"]
    entries = [entry(figure, told.card.scenario) for figure in told.card.figures]
    return Table(
        head=("The main figures", "low", "likely", "high", "basis"),
        rows=tuple(
            (
                words[one.path] if one.unit in words[one.path] else f"{words[one.path]}, {one.unit}",
                *(number_text(end) for end in (one.amount.low, one.amount.likely, one.amount.high)),
                one.basis,
            )
            for one in entries
        ),
        numbers=(1, 2, 3),
    )


def _bases(card: PriceCard) -> str:
    """Say how many figures rest on what."""
    parts = [f"{number} {BASES[basis]}" for basis, number in card.estimates.items()]
    return f"{counted(sum(card.estimates.values()), 'estimate')} in all: {'; '.join(parts)}."


def _footer(told: _Card) -> str:
    """Say how the numbers were got, and how to get others."""
    card = told.card
    return (
        f"{told.text('own')} "
        f"{card.draws:,} futures, seed {card.seed}. Made by lifecycle {lifecycle.__version__} from a "
        f"scenario with the fingerprint {card.scenario.sha256[:16]}."
    )


def price_card_result(card: PriceCard) -> dict[str, Any]:
    """Return the card as plain data.

    Parameters
    ----------
    card : PriceCard
        Its numbers.

    Returns
    -------
    dict
        Prices in money a unit of sprayed length, not rounded; null where no price is low enough.
    """
    told = _Card(card)

    def each(money: float) -> float | None:
        return money / told.sprayed if money > 0.0 else None

    return {
        "schema": SCHEMA,
        "title": card.scenario.title,
        "currency": card.scenario.currency,
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
        "draws": card.draws,
        "seed": card.seed,
        "made_by": {"version": lifecycle.__version__, "scenario_sha256": card.scenario.sha256},
        "reasons": {"even_price, careful_price": "null: no price above 0 is low enough"},
    }
