"""A pen for a PDF: text in lines that fit, rules, grounds and pictures, each as a piece with its height.

Lecture
-------
A *piece* is what is painted whole: its height, and what paints it at a place. `pdf` lays the blocks of
a sheet out as pieces and puts them on pages.

The typeface comes with the drawing library. Letters that it lacks become a question mark, and text
that runs from right to left is put in the order in which it is seen. Nothing in the file names a
user, a path or the time of making; so the same sheet gives the same bytes.

Left out: joining of Arabic letters; breaking of words.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from lifecycle.answers.blocks import Answer, Drawing, seen
from lifecycle.charts.palette import GROUND, INK

if TYPE_CHECKING:
    from fpdf import FPDF

Paper = Literal["a4", "letter"]
"""Size of the paper."""

MARGIN = 10.0
"""White at the edges. [mm]"""

LINE = 1.2
"""Height of a line in sizes of its text. [-]"""

POINT = 25.4 / 72.0
"""Length of a point. [mm]"""

DOTS = 170
"""Dots an inch of a drawing."""

NO_DAY = "2000-01-01"
"""Day of a paper that names none: a PDF must name one, and it shall not be that of its making."""

FACE = "sheet"
"""Name of the typeface within the file."""


@dataclass(frozen=True)
class Piece:
    """Something that is painted whole: its height [mm], how, and whether the next one stays with it.

    `again` is painted once more on a new page before this piece: the heads of a table.
    """

    height: float
    paint: Callable[[float, float], None]
    keep: bool = False
    again: Piece | None = None
    new_page: bool = False


class Pen:
    """Writes on the pages of one document.

    Parameters
    ----------
    sheet : Answer
        Gives title, language and date of the document.
    paper : str
        "a4" or "letter".
    """

    def __init__(self, sheet: Answer, paper: Paper) -> None:
        self.pdf, self._letters = _document(sheet, paper)

    def text(
        self,
        text: str,
        width: float,
        size: float,
        *,
        bold: bool = False,
        colour: str = INK,
        right: bool = False,
        own_direction: bool = False,
    ) -> list[Piece]:
        """Break text into lines that fit, one piece each."""
        known = self.known(text)
        broken = self._broken(known, width, size, bold=bold)
        flush = right or (own_direction and _runs_from_right(known))
        height = size * LINE * POINT

        def line_piece(line: str) -> Piece:
            shown = _as_seen(line)

            def paint(x: float, y: float) -> None:
                self.write(shown, x, y, width, size, bold=bold, colour=colour, right=flush)

            return Piece(height, paint)

        return [line_piece(line) for line in broken]

    def _broken(self, text: str, width: float, size: float, *, bold: bool) -> list[str]:
        """Break text into lines that fit a width; a word that is wider is cut."""
        self.pdf.set_font(FACE, "B" if bold else "", size)
        space = self.pdf.get_string_width(" ")
        lines, taken = [""], 0.0
        for word in text.split():
            wide = self.pdf.get_string_width(word)
            if lines[-1] and taken + space + wide > width:
                lines.append("")
                taken = 0.0
            while wide > width and len(word) > 1:
                fits = self._fitting(word, width)
                lines[-1] = word[:fits]
                lines.append("")
                word = word[fits:]
                wide = self.pdf.get_string_width(word)
            taken += wide + (space if lines[-1] else 0.0)
            lines[-1] = f"{lines[-1]} {word}".strip()
        return lines

    def _fitting(self, word: str, width: float) -> int:
        """Return how many letters of a word fit a width, at least one."""
        wide = 0.0
        for place, letter in enumerate(word):
            wide += self.pdf.get_string_width(letter)
            if wide > width:
                return max(1, place)
        return len(word)

    def write(
        self,
        line: str,
        x: float,
        y: float,
        width: float,
        size: float,
        *,
        bold: bool = False,
        colour: str = INK,
        right: bool = False,
    ) -> None:
        """Write one line."""
        self.pdf.set_font(FACE, "B" if bold else "", size)
        self.pdf.set_text_color(colour)
        self.pdf.set_xy(x, y)
        self.pdf.cell(width, size * LINE * POINT, line, align="R" if right else "L")

    def known(self, text: str) -> str:
        """Return text in letters that the typeface has."""
        composed = unicodedata.normalize("NFC", seen(text))
        drawn = [letter for letter in composed if unicodedata.category(letter) != "Cf"]
        return "".join(
            letter if ord(letter) in self._letters else "?"
            for letter in drawn
            if not 0xFE00 <= ord(letter) <= 0xFE0F
        )

    def fill(self, x: float, y: float, width: float, height: float, colour: str) -> None:
        """Fill a rectangle."""
        self.pdf.set_fill_color(colour)
        self.pdf.rect(x, y, width, height, style="F")

    def space(self, height: float) -> Piece:
        """Return an empty piece."""
        return Piece(height, lambda x, y: None)

    def rule(self, width: float, colour: str) -> Piece:
        """Return a line across."""

        def paint(x: float, y: float) -> None:
            self.pdf.set_draw_color(colour)
            self.pdf.set_line_width(0.4 if colour == INK else 0.2)
            self.pdf.line(x, y, x + width, y)

        return Piece(0.7, paint)


def _document(sheet: Answer, paper: Paper) -> tuple[FPDF, frozenset[int]]:
    """Return an empty document that tells title and language only, and the letters of its typeface."""
    import matplotlib
    from fpdf import FPDF

    pdf = FPDF(unit="mm", format=paper)
    pdf.set_auto_page_break(False)
    pdf.set_margin(MARGIN)
    pdf.c_margin = 0.0
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    pdf.add_font(FACE, "", folder / "DejaVuSans.ttf")
    pdf.add_font(FACE, "B", folder / "DejaVuSans-Bold.ttf")
    pdf.set_title(seen(sheet.title))
    pdf.set_lang(sheet.language)
    pdf.set_producer("")
    pdf.set_creation_date(datetime.fromisoformat(sheet.date or NO_DAY).replace(tzinfo=UTC))
    return pdf, frozenset(getattr(pdf.fonts[FACE], "cmap", ()))


def picture(drawing: Drawing, width: float) -> io.BytesIO:
    """Return a drawing as a PNG for a width. [inch]"""
    out = io.BytesIO()
    dots = DOTS * width / float(drawing.figure.get_size_inches()[0])
    drawing.figure.savefig(out, format="png", dpi=dots, facecolor=GROUND, metadata={"Software": None})
    out.seek(0)
    return out


def _from_right(letter: str) -> bool:
    """Whether a letter is written from right to left."""
    return unicodedata.bidirectional(letter) in ("R", "AL")


def _runs_from_right(text: str) -> bool:
    """Whether the first letter of a text that has a direction runs from right to left."""
    strong = (letter for letter in text if unicodedata.bidirectional(letter) in ("L", "R", "AL"))
    return _from_right(next(strong, " "))


def _as_seen(line: str) -> str:
    """Return a line in the order in which its letters are seen from left to right."""
    if not any(map(_from_right, line)):
        return line
    from fpdf.bidi import BidiParagraph

    return str(BidiParagraph(line).get_reordered_string())
