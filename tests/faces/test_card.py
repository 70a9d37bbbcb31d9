"""The card without software: the stored page is fresh, plain, complete in itself, and fair to both sides."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

import lifecycle
from lifecycle.answers.blocks import Answer, Columns, Heading, Items, Sentence, Table
from lifecycle.answers.card import card_answer
from lifecycle.cli.main import main
from lifecycle.files import data, load
from lifecycle.plans import plan_titles
from lifecycle.studies.habits import Habits, PriceCard, price_card
from lifecycle.writers.html import as_html

ROOT = Path(__file__).resolve().parents[2]
OWN = ROOT / "scenarios" / "price-card.toml"
STORED = ROOT / "reports" / "price-card.html"
SOME = ("own_touch_up",)
REBUILD = "rebuild it: lifecycle card --to reports/price-card.html"


class Page(HTMLParser):
    """What stands on a page: tags, attributes, and the text of each element."""

    BLOCKS = frozenset(("h1", "h2", "h3", "p", "li", "th", "td", "caption", "footer", "title"))

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.texts: list[tuple[str, str]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag in self.BLOCKS:
            self.texts.append((tag, ""))

    def handle_data(self, data: str) -> None:
        if self.texts and data.strip():
            tag, before = self.texts[-1]
            self.texts[-1] = (tag, before + data)


def tables_of(page: str) -> list[list[list[str]]]:
    """Return the cells of each table of a page, row by row."""
    return [
        [Page(row).texts and [text for _, text in Page(row).texts] for row in table.split("<tr")[1:]]
        for table in re.findall(r"<table.*?</table>", page, flags=re.DOTALL)
    ]


def texts_of(sheet: Answer) -> list[str]:
    """Return the sentences, headings and items of a sheet that are not made from its numbers."""
    flat = [*sheet.blocks]
    for block in sheet.blocks:
        if isinstance(block, Columns):
            flat += [*block.left, *block.right]
    found = [block.text for block in flat if isinstance(block, Heading | Sentence)]
    return found + [line for block in flat if isinstance(block, Items) for line in block.lines]


@pytest.fixture(scope="module")
def stored() -> str:
    return STORED.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def middle() -> PriceCard:
    """The coach of five years, whole, in the card's own futures."""
    return price_card(load(OWN), ages=(5,))


@pytest.fixture(scope="module")
def others() -> PriceCard:
    """One row for the other ages."""
    return price_card(load(OWN), ages=(1, 10), plans=SOME)


def tables_in(sheet: Answer) -> list[Table]:
    """Return the tables of a sheet that stand in columns."""
    sides = [
        side for block in sheet.blocks if isinstance(block, Columns) for side in (block.left, block.right)
    ]
    return [block for side in sides for block in side if isinstance(block, Table)]


def test_the_stored_card_is_fresh(stored: str, middle: PriceCard, others: PriceCard) -> None:
    found = tables_of(stored)
    sheet = card_answer(middle)
    fresh = [*tables_in(card_answer(others))[:2], *tables_in(sheet)[:2]]
    fresh += tables_in(card_answer(others))[2:4]
    assert len(found) == 7
    for table, made in zip(found, fresh, strict=False):
        assert table[0] == list(made.head)
        rows = {row[0]: row[1:] for row in table[1:]}
        assert list(rows) == [title[:1].upper() + title[1:] for title in plan_titles().values()]
        for row in made.rows:
            assert rows[row[0]] == list(row[1:]), f"{row[0]}: {REBUILD}"
    figures = tables_in(sheet)[-1]
    assert found[-1][1:] == [list(row) for row in figures.rows], REBUILD


def test_what_stands_beside_the_stored_numbers_is_fresh(stored: str, middle: PriceCard) -> None:
    said = [text for _, text in Page(stored).texts]
    sheet = card_answer(middle)
    made = [text for text in texts_of(sheet) if not text.startswith("In short")]
    made += [table.caption for table in tables_in(sheet)[:2]] + [table.note for table in tables_in(sheet)[:2]]
    assert [text for text in made if text not in said] == [], REBUILD
    assert any(sheet.footer in text for text in said), REBUILD
    assert lifecycle.__version__ in sheet.footer and load(OWN).sha256[:16] in sheet.footer


def test_in_short_counts_the_cells_of_the_stored_tables(stored: str) -> None:
    counts = [
        sum(int(cell) >= 15 for row in table[1:] for cell in row[1:]) for table in tables_of(stored)[0:6:2]
    ]
    line = next(text for _, text in Page(stored).texts if text.startswith("In short"))
    ages = data("card.toml")["ages"]
    for age, count in zip(ages, counts, strict=True):
        assert f"{count} for a coach of {age} year" in line
    assert 0 <= counts[0] <= counts[-1] < 35 and counts[-1] > 0


def test_the_page_is_complete_in_itself(stored: str) -> None:
    page = Page(stored)
    assert "script" not in page.tags and "link" not in page.tags and "img" not in page.tags
    assert not [name for name, _ in page.attributes if name.startswith("on") or name in ("src", "href")]
    assert not re.search(r"https?:|url\(|@import|//", stored.replace("<!DOCTYPE", ""))
    assert ("name", "viewport") in page.attributes and ("lang", "en") in page.attributes
    assert len(stored) < 60_000


def test_the_first_words_are_plain(stored: str) -> None:
    text = Page(stored).texts
    assert next(line for tag, line in text if tag == "h1") == "Spray the roof, or go on looking after it?"
    everything = " ".join(text for _, text in text).lower()
    for word in ("net-present", "break-even", "percentile", "quantile", "discount rate"):
        assert word not in everything
    assert "find your row by being honest about what you would do" in everything
    assert "find your column by when you will really sell" in everything
    assert "(invented)" in everything


def test_trouble_comes_before_any_number(stored: str) -> None:
    assert stored.index("opened first") < stored.index("<table")
    assert "Spraying over wet wood shuts the water in." in stored


def test_every_row_looks_the_same_whatever_it_says(stored: str) -> None:
    assert 'class="strong"' not in stored
    for table in re.findall(r"<table.*?</table>", stored, flags=re.DOTALL)[0:6:2]:
        for cell, number in re.findall(r'<td class="([^"]*)">(\d+)</td>', table):
            assert ("shaded" in cell) == (6 <= int(number) <= 14)


def made_up(card: PriceCard, chance: float, price: float) -> PriceCard:
    """Return a card whose cases are all alike. [-], [money]"""
    table = card.tables[5]

    def alike(value: float) -> dict[str, dict[int, float]]:
        return {plan: dict.fromkeys(table.years, value) for plan in table.titles}

    prices = alike(price), alike(price), alike(price / 2.0)
    return replace(card, tables={5: Habits(table.titles, table.years, alike(chance), *prices, 64, 1)})


def test_sentences_are_as_sure_for_either_side(middle: PriceCard) -> None:
    dearer, cheaper = (
        tables_in(card_answer(made_up(middle, chance, price))) for chance, price in ((0.0, -5.0), (1.0, 9e3))
    )
    turned = dearer[0].note.replace("dearer", "#").replace("cheaper", "dearer").replace("#", "cheaper")
    numbers = re.compile(r"\d+")
    assert numbers.sub("n", turned).split(". ")[-1] == numbers.sub("n", cheaper[0].note).split(". ")[-1]
    assert "Sold after 3, 5, 8, 10 or 15 years, it is probably dearer whatever" in dearer[0].note
    assert dearer[1].note == "No price is low enough in any of these cases."
    assert {cell for row in dearer[1].rows for cell in row[1:]} == {"-"}
    assert {cell for row in dearer[0].rows for cell in row[1:]} == {"0"}


def test_an_example_of_a_case_that_no_price_suits(middle: PriceCard) -> None:
    line = next(text for text in texts_of(card_answer(made_up(middle, 0.0, -5.0))) if "An example" in text)
    assert line.endswith("spraying is cheaper in fewer than 1 in 40 futures. No price is low enough.")


@pytest.mark.parametrize("unit", ["us", "metric"])
def test_prices_are_for_a_length_in_the_units_of_the_scenario(middle: PriceCard, unit: str) -> None:
    card = replace(middle, scenario=replace(middle.scenario, units=unit))
    caption = tables_in(card_answer(card))[1].caption
    cell = tables_in(card_answer(card))[1].rows[0][5]
    each = middle.tables[5].even_price["shop_every_year"][15] / middle.sprayed_length
    each *= 0.3048 if unit == "us" else 1.0
    assert ("a sprayed foot" if unit == "us" else "a sprayed metre") in caption
    assert float(cell.split(" ")[0].replace(",", "")) == pytest.approx(each, rel=0.05)


def test_titles_cannot_become_markup(middle: PriceCard) -> None:
    nasty = replace(middle.scenario, title='<script>alert("x")</script> & =1+1')
    page = as_html(card_answer(replace(middle, scenario=nasty)))
    assert "<script" not in page and "&lt;script&gt;" in page


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Return exit status, answer and errors of a command."""
    status = main(("card", *arguments))
    said = capsys.readouterr()
    return status, said.out, said.err


def test_the_command_writes_the_page_and_gives_its_numbers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lifecycle.answers.card.ages_for", lambda _: (10, 2))
    place = tmp_path / "card.html"
    status, out, _ = run(capsys, "--to", str(place), "--json", "--draws", "32", "--seed", "2")
    found = json.loads(out)
    assert status == 0 and [path.name for path in tmp_path.iterdir()] == ["card.html"]
    shown = tables_of(place.read_text(encoding="utf-8"))
    assert list(found["ages"]) == ["10", "2"] and found["draws"] == 32
    for number, table in enumerate(found["ages"].values()):
        counts, prices = shown[2 * number], shown[2 * number + 1]
        for row, plan in enumerate(table, start=1):
            assert [int(cell) for cell in counts[row][1:]] == [one["of_20"] for one in table[plan].values()]
            for cell, one in zip(prices[row][1:], table[plan].values(), strict=True):
                assert (cell == "-") == (one["even_price"] is None or one["even_price"] < 0.5)
    assert found["quote"] == pytest.approx(350.0, abs=0.5)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--to", "card.docx"), "must name a file ending in .html"),
        (("--to", "no-such-folder/card.html"), "in a folder that exists"),
        (("--to", "card.html", "--draws", "3"), "at least 16"),
        (("--to", "card.html", "no-such.toml"), "does not exist"),
        ((str(ROOT / "scenarios/worked-example-1.toml"), "--to", "card.html"), "[coach] with its length"),
    ],
)
def test_a_mistake_is_one_message_and_no_page(
    arguments: tuple[str, ...],
    said: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    status, out, errors = run(capsys, *arguments)
    assert (status, out) == (2, "")
    assert said in errors and "Traceback" not in errors
    assert not list(tmp_path.iterdir())


def test_with_trouble_there_is_no_card(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "card.html"
    status, out, _ = run(capsys, str(ROOT / "scenarios/trouble-reported.toml"), "--to", str(place))
    assert (status, out) == (0, f"Written to {place}\n")
    page = place.read_text(encoding="utf-8")
    assert "Open it first." in page and "<table" not in page
