"""An answer as a PDF, without a browser: text that can be marked and searched, drawings as pictures.

Lecture
-------
Blocks are written from top to bottom by the library that makes the file; it breaks lines and pages, and
repeats the heads of a table on each page. What may not be broken (a box, a drawing, two columns side by
side, a heading and what begins below it) is measured first, and begins a new page if it does not fit.

The typeface comes with the drawing library. Letters that it lacks become a question mark, and text that
runs from right to left is put in the order in which it is seen. Nothing in the file names a user, a path or
the time of making; so the same answer gives the same bytes.

Left out: links; joining of Arabic letters.
"""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Literal, assert_never

from lifecycle.answers.blocks import (
    Answer,
    Block,
    Columns,
    Drawing,
    Handwriting,
    Heading,
    Items,
    PageBreak,
    Rest,
    Sentence,
    Table,
    seen,
    whole,
)
from lifecycle.charts.palette import FAINT, GROUND, INK, QUIET

if TYPE_CHECKING:
    from fpdf import FPDF

Paper = Literal["a4", "letter"]
"""Size of the paper."""

MARGIN, GUTTER, GAP, INDENT, BOX = 10.0, 6.0, 1.2, 4.5, 3.5
"""White at the edges; between columns; between blocks; before an item; within a box. [mm]"""

LINE = 1.2
"""Height of a line in sizes of its text. [-]"""

POINT = 25.4 / 72.0
"""Length of a point. [mm]"""

DOTS = 170
"""Dots an inch of a drawing."""

BELOW = 3
"""Lines that stay with the heading above them."""

PEN = 7.0
"""Height of a line for a pen. [mm]"""

NO_DAY = "2000-01-01"
"""Day of a paper that names none: a PDF must name one, and it shall not be that of its making."""

FACE = "sheet"
"""Name of the typeface within the file."""

TINT, SHADE = "#f3f4f8", "#dfe0e6"
"""Ground of what stands out; of cells on grey."""


def as_pdf(sheet: Answer, *, paper: Paper = "a4") -> bytes:
    """Return an answer as a PDF."""
    writer = _Writer(sheet, paper)
    return bytes(writer.written().output())


class _Writer:
    """Writes the blocks of one answer."""

    def __init__(self, sheet: Answer, paper: Paper) -> None:
        self.sheet, self.size = sheet, sheet.text_size
        self.pdf = _document(sheet, paper)
        self.aside = _aside(self.pdf, paper)
        self.letters = frozenset(getattr(self.pdf.fonts[FACE], "cmap", ()))
        self.measuring = False

    def written(self) -> FPDF:
        """Write the whole."""
        sheet = self.sheet
        self.pdf.add_page()
        self._text(sheet.title, 1.7 * self.size, bold=True, own_direction=True)
        if sheet.subtitle:
            self._text(sheet.subtitle, self.size, colour=QUIET, own_direction=True)
        self._blocks(sheet.blocks)
        if sheet.footer:
            self._space(GAP)
            self._rule(QUIET)
            self._text(sheet.footer, 0.85 * self.size, colour=QUIET)
        return self.pdf

    # --- pieces ------------------------------------------------------------------------------------

    def _known(self, text: str) -> str:
        """Return text in letters that the typeface has."""
        composed = unicodedata.normalize("NFC", seen(text))
        drawn = [letter for letter in composed if unicodedata.category(letter) != "Cf"]
        return "".join(
            letter if ord(letter) in self.letters else "?"
            for letter in drawn
            if not 0xFE00 <= ord(letter) <= 0xFE0F
        )

    def _lines(self, text: str, size: float, *, bold: bool = False) -> list[str]:
        """Break text into lines that fit between the margins."""
        self.pdf.set_font(FACE, "B" if bold else "", size)
        broken = self.pdf.multi_cell(
            0, size * LINE * POINT, self._known(text), align="L", dry_run=True, output="LINES"
        )
        return [str(line) for line in broken]  # type: ignore[union-attr]

    def _text(
        self, text: str, size: float, *, bold: bool = False, colour: str = INK, own_direction: bool = False
    ) -> None:
        """Write text in lines that fit between the margins."""
        lines = self._lines(text, size, bold=bold)
        flush = own_direction and _runs_from_right(self._known(text))
        self.pdf.set_font(FACE, "B" if bold else "", size)
        self.pdf.set_text_color(colour)
        for line in lines:
            height = size * LINE * POINT
            self.pdf.cell(
                0, height, _as_seen(line), align="R" if flush else "L", new_x="LMARGIN", new_y="NEXT"
            )

    def _space(self, height: float) -> None:
        """Leave white."""
        self.pdf.set_y(self.pdf.y + height)

    def _rule(self, colour: str) -> None:
        """Draw a line from margin to margin."""
        pdf = self.pdf
        pdf.set_draw_color(colour)
        pdf.set_line_width(0.4 if colour == INK else 0.2)
        pdf.line(pdf.l_margin, pdf.y, pdf.w - pdf.r_margin, pdf.y)
        self._space(0.7)

    def _fill(self, x: float, width: float, height: float, colour: str) -> None:
        """Fill a rectangle from here down."""
        self.pdf.set_fill_color(colour)
        self.pdf.rect(x, self.pdf.y, width, height, style="F")

    @contextmanager
    def _moved_in(self, left: float, right: float = 0.0) -> Iterator[None]:
        """Move the margins in. [mm]"""
        pdf = self.pdf
        before = pdf.l_margin, pdf.r_margin
        pdf.set_left_margin(before[0] + left)
        pdf.set_right_margin(before[1] + right)
        pdf.set_x(pdf.l_margin)
        yield
        pdf.set_left_margin(before[0])
        pdf.set_right_margin(before[1])
        pdf.set_x(pdf.l_margin)

    def _height(self, write: Callable[[], object]) -> float:
        """Return how high something is, without writing it. [mm]"""
        before, aside = (self.pdf, self.measuring), self.aside
        place, margins = (aside.x, aside.y), (self.pdf.l_margin, self.pdf.r_margin)
        self.pdf, self.measuring = aside, True
        aside.set_left_margin(margins[0])
        aside.set_right_margin(margins[1])
        aside.set_xy(margins[0], MARGIN)
        write()
        height = aside.y - MARGIN
        aside.set_xy(*place)
        self.pdf, self.measuring = before
        return float(height)

    def _room_for(self, height: float) -> None:
        """Begin a new page if there is less room than that below here. [mm]"""
        if self.pdf.y > MARGIN and self.pdf.will_page_break(height):
            self.pdf.add_page()

    # --- blocks ------------------------------------------------------------------------------------

    def _blocks(self, some: Sequence[Block]) -> None:
        """Write blocks one below the other."""
        blocks = tuple(whole(some))
        for place, block in enumerate(blocks):
            after = blocks[place + 1] if place + 1 < len(blocks) else None
            if isinstance(block, PageBreak):
                self.pdf.add_page()
            elif isinstance(block, Heading):
                self._heading(block, after)
            else:
                before = blocks[place - 1] if place else None
                self._block(block, goes_on=_answers(block) and _answers(before))
                if not (_answers(block) and _answers(after)):
                    self._space(GAP)

    def _block(self, block: Block, *, goes_on: bool = False) -> None:
        """Write one block."""
        match block:
            case Sentence():
                self._sentence(block, goes_on=goes_on)
            case Items():
                mark = "–" if block.marks else ""
                marks = [
                    f"{number}." if block.numbered else mark for number in range(1, len(block.lines) + 1)
                ]
                for number, line in zip(marks, block.lines, strict=True):
                    self._item(number, line, widest=marks[-1])
            case Table():
                self._table(block)
            case Drawing():
                self._drawing(block)
            case Handwriting():
                self._handwriting(block)
            case Columns():
                self._columns(block)
            case Heading() | PageBreak() | Rest():  # written by whoever sees its neighbours
                pass
            case _:
                assert_never(block)

    def _heading(self, heading: Heading, after: Block | None) -> None:
        """Write a heading; it stays with what begins below it."""
        first = heading.level == 2
        size = (1.2 if first else 1.03) * self.size
        own = (len(self._lines(heading.text, size, bold=True)) * size * LINE + 8.0) * POINT
        whole = isinstance(after, Columns | Drawing)
        below = self._height(lambda: self._block(after)) if after is not None and whole else 0.0
        if below > self.pdf.eph - own:
            below = 0.0
        self._room_for(own + (below or BELOW * self.size * LINE * POINT))
        if self.pdf.y > MARGIN:
            self._space(2.0 * GAP if first else GAP)
        if first:
            self._rule(INK)
        self._text(heading.text, size, bold=True, own_direction=True)
        self._space(0.4)

    def _sentence(self, sentence: Sentence, *, goes_on: bool) -> None:
        """Write a sentence by its kind; an answer that goes on is no longer bold."""
        if sentence.kind in ("plain", "note"):
            quiet = sentence.kind == "note"
            self._text(sentence.text, (0.88 if quiet else 1.0) * self.size, colour=QUIET if quiet else INK)
            return
        answer = sentence.kind == "verdict"
        bold = answer and not goes_on
        size = (1.08 if bold else 1.0) * self.size
        with self._moved_in(BOX, 5.0 - BOX):
            height = len(self._lines(sentence.text, size, bold=bold)) * size * LINE * POINT + 2.0
        self._room_for(height)
        pdf = self.pdf
        if answer:
            self._fill(pdf.l_margin, pdf.epw, height, TINT)
        else:
            pdf.set_draw_color(INK)
            pdf.set_line_width(0.2)
            pdf.rect(pdf.l_margin, pdf.y, pdf.epw, height)
        self._fill(pdf.l_margin, 1.4, height, INK)
        self._space(1.0)
        with self._moved_in(BOX, 5.0 - BOX):
            self._text(sentence.text, size, bold=bold)
        self._space(1.0)

    def _item(self, mark: str, text: str, *, widest: str) -> None:
        """Write an item of a list, with its mark; all are moved in as the widest mark asks."""
        self._room_for(self.size * LINE * POINT)
        top, pdf = self.pdf.y, self.pdf
        pdf.set_font(FACE, "", self.size)
        pdf.set_text_color(INK)
        indent = max(INDENT, pdf.get_string_width(widest) + 2.0)
        pdf.cell(indent, self.size * LINE * POINT, mark)
        pdf.set_y(top)
        with self._moved_in(indent):
            self._text(text, self.size)

    def _table(self, table: Table) -> None:
        """Write a table; its heads go along to a new page."""
        from fpdf.enums import VAlign
        from fpdf.fonts import FontFace

        size, pdf = 0.9 * self.size, self.pdf
        line = size * LINE * POINT
        self._room_for((BELOW + 1) * line + 4.0)
        if table.caption:
            self._text(table.caption, size, bold=True)
        widths = self._column_widths(table, pdf.epw, size)
        pdf.set_font(FACE, "", size)
        pdf.set_text_color(INK)
        pdf.set_fill_color(0)  # the library takes it for no ground
        pdf.set_draw_color(FAINT)
        pdf.set_line_width(0.2)
        bold = FontFace(emphasis="BOLD")
        with pdf.table(
            width=pdf.epw,
            col_widths=widths,
            align="LEFT",
            v_align=VAlign.T,
            line_height=line,
            borders_layout="HORIZONTAL_LINES",
            headings_style=bold,
            padding=(0.45, 1.5, 0.45, 0.0),
            text_align=tuple(
                "RIGHT" if place in table.numbers else "LEFT" for place in range(len(table.head))
            ),
        ) as written:
            for place, cells in enumerate((table.head, *table.rows), start=-1):
                row = written.row(style=bold if place in table.strong else None)
                for column, cell in enumerate(cells):
                    shaded = (place, column) in table.shaded
                    text = _as_seen(self._known(cell))
                    row.cell(text, style=FontFace(fill_color=SHADE) if shaded else None)
        if table.note:
            self._space(0.5)
            self._text(table.note, 0.88 * self.size, colour=QUIET)

    def _column_widths(self, table: Table, width: float, size: float) -> tuple[float, ...]:
        """Share the width out: a column gets what it needs; those that need more than there is, the rest."""
        self.pdf.set_font(FACE, "B", size)
        wanted = [
            max(self.pdf.get_string_width(self._known(cell)) for cell in column) + 2.0
            for column in zip_longest(table.head, *table.rows, fillvalue="")
        ]
        numbers = [wide for place, wide in enumerate(wanted) if place in table.numbers]
        if sum(wanted) <= width:
            spare = width - sum(wanted)
            return tuple(wide + (spare if place == 0 else 0.0) for place, wide in enumerate(wanted))
        left, open_columns = width, set(range(len(wanted)))
        if sum(numbers) < 0.75 * width:
            left -= sum(numbers)
            open_columns -= set(table.numbers)
        while True:
            fair = left / max(1, len(open_columns))
            small = {place for place in open_columns if wanted[place] <= fair}
            if not small or small == open_columns:
                break
            left -= sum(wanted[place] for place in small)
            open_columns -= small
        share = sum(wanted[place] for place in open_columns) or 1.0
        even = [0.5 * left / max(1, len(open_columns)) + 0.5 * left * wide / share for wide in wanted]
        return tuple(even[place] if place in open_columns else wide for place, wide in enumerate(wanted))

    def _drawing(self, drawing: Drawing) -> None:
        """Put a drawing in, with its sentence for those who cannot see it."""
        pdf = self.pdf
        wide = pdf.epw * min(1.0, max(0.05, drawing.share))
        across, up = (float(size) for size in drawing.figure.get_size_inches())
        most = 0.9 * (pdf.h - 2.0 * MARGIN)
        if wide * up / across > most:
            wide = most * across / up
        height = wide * up / across
        self._room_for(height + (2.0 * self.size * LINE * POINT if drawing.caption else 0.0))
        top, sentence = pdf.y, seen(drawing.sentence)
        if not self.measuring:
            picture = _picture(drawing, wide / 25.4)
            pdf.image(picture, x=pdf.l_margin, y=top, w=wide, h=height, alt_text=sentence)
        pdf.set_y(top + height)
        if drawing.caption:
            self._text(drawing.caption, 0.88 * self.size, colour=QUIET)

    def _handwriting(self, room: Handwriting) -> None:
        """Write a label, and empty lines below it."""
        self._room_for(self.size * LINE * POINT + room.lines * PEN)
        self._text(room.label, self.size)
        for _ in range(room.lines):
            self._space(PEN - 0.7)
            self._rule(QUIET)

    def _columns(self, columns: Columns) -> None:
        """Write two columns side by side; too high for a page: one below the other."""
        height = self._height(lambda: self._side_by_side(columns))
        if height > self.pdf.h - 2.0 * MARGIN:
            self._blocks([*columns.left, *columns.right])
        else:
            self._room_for(height)
            self._side_by_side(columns)

    def _side_by_side(self, columns: Columns) -> None:
        """Write two columns from here down; the longer one gives the height."""
        top, wide = self.pdf.y, (self.pdf.epw - GUTTER) / 2.0
        ends = []
        for side, margins in ((columns.left, (0.0, wide + GUTTER)), (columns.right, (wide + GUTTER, 0.0))):
            self.pdf.set_y(top)
            with self._moved_in(*margins):
                self._blocks(side)
            ends.append(self.pdf.y)
        self.pdf.set_y(max(ends))


def _answers(block: Block | None) -> bool:
    """Whether a block is a line of the answer."""
    return isinstance(block, Sentence) and block.kind == "verdict"


def _document(sheet: Answer, paper: Paper) -> FPDF:
    """Return an empty document that tells title and language only."""
    import matplotlib
    from fpdf import FPDF

    pdf = FPDF(unit="mm", format=paper)
    pdf.set_margin(MARGIN)
    pdf.set_auto_page_break(True, MARGIN)
    pdf.c_margin = 0.0
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    pdf.add_font(FACE, "", folder / "DejaVuSans.ttf")
    pdf.add_font(FACE, "B", folder / "DejaVuSans-Bold.ttf")
    pdf.set_title(seen(sheet.title))
    pdf.set_lang(sheet.language)
    pdf.set_producer("")
    pdf.set_creation_date(datetime.fromisoformat(sheet.date or NO_DAY).replace(tzinfo=UTC))
    return pdf


def _aside(pdf: FPDF, paper: Paper) -> FPDF:
    """Return a document in which pieces are measured: one endless page, in the typeface of the other.

    `FPDF.offset_rendering` copies the whole document each time, which took a third of a sheet's time.
    """
    from fpdf import FPDF

    aside = FPDF(unit="mm", format=paper)
    aside.set_margin(MARGIN)
    aside.set_auto_page_break(False)
    aside.c_margin = 0.0
    aside.fonts.update(pdf.fonts)
    aside.add_page()
    return aside


def _picture(drawing: Drawing, width: float) -> io.BytesIO:
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
