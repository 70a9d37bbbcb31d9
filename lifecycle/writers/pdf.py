"""A sheet as a PDF, without a browser: text that can be marked and searched, drawings as pictures.

Lecture
-------
Every block is first laid out as *pieces*, each with its height and what paints it; the pieces are then
put on pages from top to bottom. A heading stays with what follows, a table takes its heads along to
the next page, two columns stay together.

Left out: how a line is written (`pen`); links.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import TypeGuard

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
)
from lifecycle.charts.palette import FAINT, INK, LOOKS, QUIET
from lifecycle.writers.pen import FACE, MARGIN, Paper, Pen, Piece, picture

GUTTER, GAP = 6.0, 1.2
"""White between columns; between blocks. [mm]"""

TINT, SHADE = "#f3f4f8", "#dfe0e6"
"""Ground of what stands out; of cells on grey."""


def as_pdf(sheet: Answer, *, paper: Paper = "a4") -> bytes:
    """Return a sheet as a PDF.

    Parameters
    ----------
    sheet : Answer
        Any.
    paper : str
        "a4" or "letter".

    Returns
    -------
    bytes
        The same for the same sheet.
    """
    return _Writer(sheet, paper).written()


class _Writer:
    """Lays blocks out as pieces and puts them on pages."""

    def __init__(self, sheet: Answer, paper: Paper) -> None:
        self.sheet = sheet
        self.size = sheet.text_size
        self.pen = Pen(sheet, paper)
        self.width = self.pen.pdf.w - 2.0 * MARGIN
        self.bottom = self.pen.pdf.h - MARGIN

    def written(self) -> bytes:
        """Return the whole as bytes."""
        sheet = self.sheet
        pieces = self.pen.text(sheet.title, self.width, 1.7 * self.size, bold=True, own_direction=True)
        if sheet.subtitle:
            pieces += self.pen.text(sheet.subtitle, self.width, self.size, colour=QUIET, own_direction=True)
        pieces += self._blocks(sheet.blocks, self.width)
        if sheet.footer:
            pieces += [self.pen.space(GAP), self.pen.rule(self.width, QUIET)]
            pieces += self.pen.text(sheet.footer, self.width, 0.85 * self.size, colour=QUIET)
        self._put(pieces)
        return bytes(self.pen.pdf.output())

    def _put(self, pieces: Sequence[Piece]) -> None:
        """Put pieces on pages."""
        self.pen.pdf.add_page()
        y = MARGIN
        for place, piece in enumerate(pieces):
            together = piece.height
            for ahead in range(place, len(pieces) - 1):
                if not pieces[ahead].keep:
                    break
                together += pieces[ahead + 1].height
            if piece.new_page or (y + together > self.bottom and y > MARGIN):
                self.pen.pdf.add_page()
                y = MARGIN
                if piece.again is not None:
                    piece.again.paint(MARGIN, y)
                    y += piece.again.height
            piece.paint(MARGIN, y)
            y += piece.height

    def _blocks(self, blocks: Sequence[Block], width: float) -> list[Piece]:
        """Lay blocks out one below the other."""
        pieces: list[Piece] = []
        before: Block | None = None
        for block in blocks:
            if isinstance(block, Rest):
                continue
            if isinstance(block, PageBreak):
                pieces.append(Piece(0.0, lambda x, y: None, keep=True, new_page=True))
            elif _answers(block) and _answers(before):
                pieces[-1:] = [*self._sentence(block, width, goes_on=True), self.pen.space(GAP)]
            else:
                pieces += self._block(block, width)
                if not isinstance(block, Heading):
                    pieces.append(self.pen.space(GAP))
            before = block
        return pieces

    def _block(self, block: Block, width: float) -> list[Piece]:
        """Lay one block out."""
        match block:
            case Heading():
                return self._heading(block, width)
            case Sentence():
                return self._sentence(block, width)
            case Items():
                mark = "–" if block.marks else ""
                marks = [f"{n}." if block.numbered else mark for n in range(1, len(block.lines) + 1)]
                rows = zip(marks, block.lines, strict=True)
                return [piece for mark, line in rows for piece in self._item(mark, line, width)]
            case Table():
                return self._table(block, width)
            case Drawing():
                return self._drawing(block, width)
            case Handwriting():
                return self._handwriting(block, width)
            case Columns():
                return self._columns(block, width)
            case PageBreak() | Rest():
                return []

    def _heading(self, heading: Heading, width: float) -> list[Piece]:
        """Lay a heading out; it stays with what follows."""
        first = heading.level == 2
        size = (1.2 if first else 1.03) * self.size
        above = [self.pen.space(2.0 * GAP if first else GAP)]
        rule = [self.pen.rule(width, INK)] if first else []
        text = self.pen.text(heading.text, width, size, bold=True, own_direction=True)
        pieces = [*above, *rule, *text, self.pen.space(0.4)]
        return [Piece(one.height, one.paint, keep=True) for one in pieces]

    def _sentence(self, sentence: Sentence, width: float, *, goes_on: bool = False) -> list[Piece]:
        """Lay a sentence out by its kind; an answer that goes on is no longer bold."""
        if sentence.kind == "plain":
            return self.pen.text(sentence.text, width, self.size)
        if sentence.kind == "note":
            return self.pen.text(sentence.text, width, 0.88 * self.size, colour=QUIET)
        answer = sentence.kind == "verdict"
        first = answer and not goes_on
        lines = self.pen.text(sentence.text, width - 5.0, (1.08 if first else 1.0) * self.size, bold=first)
        return [self._boxed(lines, width, tinted=answer)]

    def _boxed(self, lines: list[Piece], width: float, *, tinted: bool) -> Piece:
        """Put lines into a box: tinted, or with a frame."""
        height = sum(line.height for line in lines) + 2.0

        def paint(x: float, y: float) -> None:
            if tinted:
                self.pen.fill(x, y, width, height, TINT)
            else:
                self.pen.pdf.set_draw_color(INK)
                self.pen.pdf.set_line_width(0.2)
                self.pen.pdf.rect(x, y, width, height)
            self.pen.fill(x, y, 1.4, height, LOOKS[1].colour if tinted else INK)
            down = y + 1.0
            for line in lines:
                line.paint(x + 3.5, down)
                down += line.height

        return Piece(height, paint)

    def _item(self, mark: str, text: str, width: float) -> list[Piece]:
        """Lay an item of a list out, with its mark."""
        indent = 4.5
        lines = self.pen.text(text, width - indent, self.size)

        def first(x: float, y: float) -> None:
            self.pen.write(mark, x, y, indent, self.size)
            lines[0].paint(x + indent, y)

        rest = [_moved(line, indent) for line in lines[1:]]
        return [Piece(lines[0].height, first, keep=bool(rest)), *rest]

    def _table(self, table: Table, width: float) -> list[Piece]:
        """Lay a table out; its heads go along to a new page."""
        size = 0.9 * self.size
        widths = self._column_widths(table, width, size)
        caption = self.pen.text(table.caption, width, size, bold=True) if table.caption else []
        head = self._row(table.head, table, widths, size, bold=True, rule=INK)
        rows = [
            self._row(row, table, widths, size, bold=place in table.strong, rule=FAINT, number=place)
            for place, row in enumerate(table.rows)
        ]
        note = self.pen.text(table.note, width, 0.88 * self.size, colour=QUIET) if table.note else []
        above = [Piece(line.height, line.paint, keep=True) for line in [*caption, head]]
        body = [Piece(row.height, row.paint, again=head) for row in rows]
        return [*above, *body, *([self.pen.space(0.5)] if note else []), *note]

    def _row(
        self,
        cells: Sequence[str],
        table: Table,
        widths: Sequence[float],
        size: float,
        *,
        bold: bool,
        rule: str,
        number: int | None = None,
    ) -> Piece:
        """Lay a row out."""
        laid = []
        for column, (cell, wide) in enumerate(zip(cells, widths, strict=True)):
            right = column in table.numbers
            laid.append(self.pen.text(cell, wide - 1.5, size, bold=bold, right=right) if cell else [])
        height = max((sum(line.height for line in cell) for cell in laid), default=0.0) + 0.9

        def paint(x: float, y: float) -> None:
            left = x
            for column, (cell, wide) in enumerate(zip(laid, widths, strict=True)):
                down = y + 0.45
                if (number, column) in table.shaded:
                    self.pen.fill(left, y, wide, height, SHADE)
                for line in cell:
                    line.paint(left, down)
                    down += line.height
                left += wide
            self.pen.pdf.set_draw_color(rule)
            self.pen.pdf.set_line_width(0.3 if rule == INK else 0.2)
            self.pen.pdf.line(x, y + height, x + sum(widths), y + height)

        return Piece(height, paint)

    def _column_widths(self, table: Table, width: float, size: float) -> list[float]:
        """Share the width out: a column gets what it needs; those that need more than there is, the rest."""
        columns = list(zip_longest(table.head, *table.rows, fillvalue=""))
        wanted = []
        for column in columns:
            self.pen.pdf.set_font(FACE, "B", size)
            wanted.append(max(self.pen.pdf.get_string_width(self.pen.known(cell)) for cell in column) + 2.0)
        numbers = [wide for place, wide in enumerate(wanted) if place in table.numbers]
        if sum(wanted) <= width:
            spare = width - sum(wanted)
            return [wide + (spare if place == 0 else 0.0) for place, wide in enumerate(wanted)]
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
        return [even[place] if place in open_columns else wide for place, wide in enumerate(wanted)]

    def _drawing(self, drawing: Drawing, width: float) -> list[Piece]:
        """Lay a drawing out, with its sentence for those who cannot see it."""
        wide = width * min(1.0, max(0.05, drawing.share))
        across, up = (float(size) for size in drawing.figure.get_size_inches())
        height = wide * up / across
        most = 0.9 * (self.bottom - MARGIN)
        if height > most:
            wide, height = wide * most / height, most
        drawn = picture(drawing, wide / 25.4)

        def paint(x: float, y: float) -> None:
            self.pen.pdf.image(drawn, x=x, y=y, w=wide, h=height, alt_text=seen(drawing.sentence))

        caption = (
            self.pen.text(drawing.caption, width, 0.88 * self.size, colour=QUIET) if drawing.caption else []
        )
        return [Piece(height, paint, keep=bool(caption)), *caption]

    def _handwriting(self, room: Handwriting, width: float) -> list[Piece]:
        """Lay a label and empty lines out."""
        label = self.pen.text(room.label, width, self.size)
        lines = [_with_rule(self.pen, width) for _ in range(room.lines)]
        return [*(Piece(one.height, one.paint, keep=True) for one in label), *lines]

    def _columns(self, columns: Columns, width: float) -> list[Piece]:
        """Lay two columns out side by side, as one piece; too high for a page: one below the other."""
        wide = (width - GUTTER) / 2.0
        sides = [self._blocks(side, wide) for side in (columns.left, columns.right)]
        height = max(sum(piece.height for piece in side) for side in sides)
        if height > self.bottom - MARGIN:
            return self._blocks([*columns.left, *columns.right], width)

        def paint(x: float, y: float) -> None:
            for left, side in zip((x, x + wide + GUTTER), sides, strict=True):
                down = y
                for piece in side:
                    piece.paint(left, down)
                    down += piece.height

        return [Piece(height, paint)]


def _answers(block: Block | None) -> TypeGuard[Sentence]:
    """Whether a block is a line of the answer."""
    return isinstance(block, Sentence) and block.kind == "verdict"


def _moved(piece: Piece, by: float) -> Piece:
    """Return a piece that is painted further right. [mm]"""
    return Piece(piece.height, lambda x, y: piece.paint(x + by, y), piece.keep, piece.again)


def _with_rule(pen: Pen, width: float) -> Piece:
    """Return an empty line to write on."""
    rule = pen.rule(width, QUIET)
    return Piece(7.0, lambda x, y: rule.paint(x, y + 6.5))
