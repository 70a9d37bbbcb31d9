"""Cells of the workbook: texts, numbers, and formulas that hold their value.

Lecture
-------
A text is always written as a text: a title that begins with = + - or @ stays what it is, and is never
computed. A formula is written together with the value that the library has for it, so that programs
that do not compute show it too. Looks are named here once. A column and a row are counted from 0;
addresses in formulas are written as spreadsheets do.

Left out: anything that the machine or its user would add, such as an author or the time.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from io import BytesIO
from typing import Any

from lifecycle.answers.blocks import seen
from lifecycle.charts.palette import INK, QUIET
from lifecycle.scenario import Scenario

MONEY, FACTOR, SHARE, RATE, NUMBER, WHOLE, YEARS, CHANGE, YEAR = (
    "money",
    "factor",
    "share",
    "rate",
    "number",
    "whole",
    "years",
    "change me",
    "year of sale",
)
"""Looks of numbers."""

LONGEST = 1000
"""Letters of a text at most. [letters]"""

HEADER, LINE_OF_PAGE = 60, 90
"""Letters of a title at the head of a column, and on a line of its own, at most. [letters]"""

_NUMBERS = {
    MONEY: "#,##0.00",
    FACTOR: "0.000000",
    SHARE: "0.0%",
    RATE: "0.00%",
    NUMBER: "#,##0.######",
    WHOLE: "0",
    YEARS: "0.00",
    CHANGE: "#,##0.######",
}

_LOOKS: Mapping[str, Mapping[str, Any]] = {
    "plain": {"text_wrap": True},
    "title": {"bold": True, "font_size": 14},
    "heading": {"bold": True, "font_size": 12},
    "head": {"bold": True, "text_wrap": True, "bottom": 1, "align": "right"},
    "head left": {"bold": True, "text_wrap": True, "bottom": 1},
    "label": {"bold": True, "text_wrap": True},
    "note": {"font_color": QUIET, "italic": True, "text_wrap": True},
    "right": {"align": "right", "text_wrap": True},
    "behind": {"indent": 1, "text_wrap": True},
    **{name: {"num_format": code} for name, code in _NUMBERS.items()},
    "total": {"num_format": _NUMBERS[MONEY], "bold": True, "top": 1},
    YEAR: {"num_format": "0", "align": "left"},
    "total label": {"bold": True, "top": 1},
    CHANGE: {"num_format": _NUMBERS[CHANGE], "bg_color": "#fff4c2", "border": 1, "border_color": QUIET},
}

_WRAPPED = {name for name, look in _LOOKS.items() if look.get("text_wrap")}

LINE, MOST_LINES, TITLE_LINES, ROOM = 13.0, 30, 2, 1.05
"""Height of a line [points]; lines of a row at most, of a title; room for a letter. [widths of a figure]"""

Value = float | str
"""What a cell holds."""


class Book:
    """A workbook that is being written; the scenario gives title, day and size of the paper."""

    def __init__(self, scenario: Scenario) -> None:
        from datetime import datetime

        import xlsxwriter

        self._content = BytesIO()
        self._paper = 1 if scenario.units == "us" else 9  # Letter, A4
        options = {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        }
        self._book = xlsxwriter.Workbook(self._content, options)
        day = scenario.base_date
        self._book.set_properties(
            {"title": shown(scenario.title, 200), "created": datetime(day.year, day.month, day.day)}
        )
        base = {"font_name": "Arial", "font_size": 10, "font_color": INK, "valign": "top"}
        self._pages: list[Page] = []
        self._looks = {name: self._book.add_format({**base, **look}) for name, look in _LOOKS.items()}

    def page(self, name: str, widths: Sequence[float]) -> Page:
        """Add a page with columns of some widths. [letters]"""
        sheet = self._book.add_worksheet(name)
        for column, width in enumerate(widths):
            sheet.set_column(column, column, width)
        sheet.set_landscape()
        sheet.set_paper(self._paper)
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.6)
        sheet.set_footer("&L&A&R&P / &N")
        self._pages.append(Page(name, sheet, self._looks, widths))
        return self._pages[-1]

    def name(self, name: str, page: str, place: str) -> None:
        """Give a cell or a range a name that formulas use."""
        self._book.define_name(name, f"={quoted(page)}!{place}")

    def content(self) -> bytes:
        """Close the workbook and return its content."""
        for page in self._pages:
            page.finish()
        self._book.close()
        return self._content.getvalue()


class Page:
    """One page of the workbook: name on its tab, worksheet, formats by name, widths of columns [letters]."""

    def __init__(self, name: str, sheet: Any, looks: Mapping[str, Any], widths: Sequence[float]) -> None:
        self.name, self._sheet, self._looks, self._widths = name, sheet, looks, widths
        self._lines: dict[int, int] = {}

    def text(self, row: int, column: int, text: str, look: str = "plain", *, most: int = LONGEST) -> None:
        """Write a text, as a text whatever it begins with."""
        written = shown(text, most)
        self._sheet.write_string(row, column, written, self._looks[look])
        if look in _WRAPPED:
            self._as_high_as(row, written, self._widths[column])

    def texts(self, row: int, column: int, texts: Iterable[str], look: str = "plain") -> None:
        """Write texts beside each other."""
        for place, text in enumerate(texts):
            self.text(row, column + place, text, look)

    def titles(self, row: int, column: int, titles: Iterable[str]) -> None:
        """Write titles at the heads of columns of numbers."""
        for place, title in enumerate(titles):
            self.text(row, column + place, title, "head", most=HEADER)

    def number(self, row: int, column: int, value: float, look: str = MONEY) -> None:
        """Write a number."""
        self._sheet.write_number(row, column, value, self._looks[look])

    def value(self, row: int, column: int, value: Value, look: str = MONEY) -> None:
        """Write a number, or the text that stands in its place."""
        if isinstance(value, str):
            self.text(row, column, value, "right")
        else:
            self.number(row, column, value, look)

    def formula(self, row: int, column: int, formula: str, value: Value, look: str = MONEY) -> None:
        """Write a formula and its value."""
        shape = "right" if isinstance(value, str) else look
        self._sheet.write_formula(row, column, f"={formula}", self._looks[shape], value)

    def sentence(self, row: int, text: str, look: str = "plain", *, most: int = LONGEST) -> None:
        """Write a sentence over all columns."""
        last = len(self._widths) - 1
        self._sheet.merge_range(row, 0, row, last, "", self._looks[look])
        written = shown(text, most)
        self._sheet.write_string(row, 0, written, self._looks[look])
        if look in _WRAPPED:
            self._as_high_as(row, written, sum(self._widths))
        elif look == "title":
            self._lines[row] = TITLE_LINES

    def print_columns(self, number: int, rows: int) -> None:
        """Print only the first columns, of some rows."""
        self._sheet.print_area(0, 0, rows - 1, number - 1)

    def _as_high_as(self, row: int, text: str, width: float) -> None:
        """Let a row be high enough for a text in some width. [letters]"""
        lines = math.ceil(len(text) * ROOM / width)
        self._lines[row] = max(lines, self._lines.get(row, 1))

    def finish(self) -> None:
        """Make each row as high as its texts are."""
        for row, lines in self._lines.items():
            if lines > 1:
                self._sheet.set_row(row, LINE * min(lines, MOST_LINES))

    def freeze(self, row: int, column: int = 0, *, repeat: bool = False) -> None:
        """Keep rows above and columns before in sight; repeat the last of the rows on every printed page."""
        self._sheet.freeze_panes(row, column)
        if repeat:
            self._sheet.repeat_rows(row - 1)


def shown(text: str, most: int = LONGEST) -> str:
    """Return a text as a cell holds it: no letters that cannot be seen, cut to a readable length.

    Examples
    --------
    >>> shown("=1+1"), shown("a" * 70, 10)
    ('=1+1', 'aaaaaaaaa…')
    """
    seen_text = seen(text)
    return seen_text if len(seen_text) <= most else f"{seen_text[: most - 1]}…"


def quoted(page: str) -> str:
    """Return the name of a page as formulas write it.

    Examples
    --------
    >>> quoted("Way 1")
    "'Way 1'"
    """
    return "'" + page.replace("'", "''") + "'"


def cell(row: int, column: int, *, page: str = "", fixed: bool = False) -> str:
    """Return the address of a cell.

    Examples
    --------
    >>> cell(0, 27), cell(5, 2, page="Way 1", fixed=True)
    ('AB1', "'Way 1'!$C$6")
    """
    dollar = "$" if fixed else ""
    place = f"{dollar}{_letters(column)}{dollar}{row + 1}"
    return f"{quoted(page)}!{place}" if page else place


def span(first: tuple[int, int], last: tuple[int, int], *, page: str = "") -> str:
    """Return the address of a range that does not move when a formula is copied.

    Examples
    --------
    >>> span((5, 2), (9, 3), page="Way 1")
    "'Way 1'!$C$6:$D$10"
    """
    place = f"{cell(*first, fixed=True)}:{cell(*last, fixed=True)}"
    return f"{quoted(page)}!{place}" if page else place


def _letters(column: int) -> str:
    """Return the letters of a column."""
    before, last = divmod(column, 26)
    return (_letters(before - 1) if before else "") + chr(ord("A") + last)
