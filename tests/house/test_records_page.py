"""The page about records is the one that the metadata makes, whole, and its examples can be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from lifecycle.cli.generated import records_page
from lifecycle.files import data
from lifecycle.records.columns import layout
from lifecycle.records.tables import read_sheet

PAGE = Path(__file__).parents[2] / "scenarios" / "records" / "README.md"
RAW = data("records.toml")


def test_page_is_fresh() -> None:
    """Else run: python -m lifecycle.cli.generated scenarios"""
    assert PAGE.read_text(encoding="utf-8") == records_page()


def test_every_column_word_and_entry_stands_on_the_page() -> None:
    text = records_page()
    for name in RAW["columns"]:
        assert f"| `{name}` |" in text, name
    for entry in RAW["words"].values():
        assert all(word in text for word in entry["words"])
    for section in ("dates", "units", "records", "seen", "reason", "where", "deck"):
        for name in layout()[section]:
            assert f"`{name}`" in text, (section, name)


@pytest.mark.parametrize("kind", list(RAW["kinds"]))
def test_an_example_has_the_columns_of_its_kind(kind: str) -> None:
    stated = RAW["kinds"][kind]
    sheet = read_sheet(stated["example"].strip() + "\n", kind)
    assert set(stated["needs"]) <= set(sheet.names) <= {*stated["needs"], *stated["may"]}
    assert {*stated["needs"], *stated["may"]} <= set(RAW["columns"])


def test_the_readers_ask_for_the_columns_that_the_page_names() -> None:
    from lifecycle.records.editions import NAMES
    from lifecycle.records.handover import COLUMNS, PLACE
    from lifecycle.records.logbook import COLUMNS as OF_LOG
    from lifecycle.records.logbook import REQUIRED
    from lifecycle.records.looks import MAY, NEEDED
    from lifecycle.records.weather import MEASURED

    kinds = {name: (tuple(kind["needs"]), tuple(kind["may"])) for name, kind in RAW["kinds"].items()}
    assert kinds["looks"] == (NEEDED, MAY)
    assert kinds["film"] == (COLUMNS, PLACE)
    assert kinds["seen"] == (NAMES, ())
    assert kinds["log"][0] == REQUIRED and (*kinds["log"][0], *kinds["log"][1]) == OF_LOG
    assert set(MEASURED) <= set(kinds["weather"][1])
