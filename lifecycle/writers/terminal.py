"""An answer as plain text: for a terminal, a mail, a screen reader.

Lecture
-------
Sentences are broken to the width of a terminal, one paragraph each; the lines of the verdict and notes that
follow each other stand close. A table keeps its columns: numbers flush right, words flush left. What is too
wide goes on below, with the first column again; columns of words are broken first.

The blocks after `Rest` are left out unless all of it is wanted; then it is said how to see them. Drawings are
told by their sentence in a file, and left out at a terminal, where their numbers stand in tables.

Left out: fonts, colours.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import assert_never

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
from lifecycle.language.sentences import STROKE, WIDTH, say, wrapped

GAP = 2
"""White between two columns of a table. [characters]"""

LABEL, NARROW = 40, 12
"""The first column gives way to the others as far as the first, a column of words as far as the second."""

SCREEN = 40
"""What a screen holds. [lines]"""


def as_text(answer: Answer, *, everything: bool = True, drawings: bool = False) -> str:
    r"""Return an answer as plain text.

    Examples
    --------
    >>> answer = Answer("How sure?", "", (Sentence("Fairly."), Rest(), Sentence("Of 20 futures, in 15.")))
    >>> print(as_text(answer, everything=False))
    How sure?
    <BLANKLINE>
    Fairly.
    <BLANKLINE>
    There is more: add --all.
    """
    if everything:
        return _written(answer, answer.blocks, drawings) + (
            f"\n\n{wrapped([seen(answer.footer)])[0]}" if answer.footer else ""
        )
    rest = next((place for place, block in enumerate(answer.blocks) if isinstance(block, Rest)), None)
    blocks = list(answer.blocks[:rest])
    after = answer.blocks[len(blocks) :]
    more = any(isinstance(block, Rest) and block.more for block in after) or any(
        _lines(block, drawings) for block in _flat(after)
    )
    waiting = [block for block in blocks if isinstance(block, Sentence) and block.waits]
    while True:
        text = _written(
            answer, [*blocks, *([Sentence(say("commands.said.more"), "note")] if more else [])], drawings
        )
        if not waiting or text.count("\n") < SCREEN:
            return text
        blocks.remove(waiting.pop())
        more = True


def _written(answer: Answer, blocks: Sequence[Block], drawings: bool) -> str:
    """Return the title and blocks of an answer."""
    parts = ["\n".join(wrapped([seen(line) for line in (answer.title, answer.subtitle) if line]))]
    before: Block | None = None
    for block in _flat(blocks):
        written = "\n".join(_lines(block, drawings))
        if written:
            close = _close(before, block)
            gap = "\n" if close else "\n\n"
            parts.append(gap + written if any(parts) else written)
            before = block
    return "".join(parts)


def _flat(blocks: Sequence[Block]) -> Iterator[Block]:
    """Return the blocks with columns one below the other."""
    for block in whole(blocks):
        if isinstance(block, Columns):
            yield from _flat((*block.left, *block.right))
        else:
            yield block


def _close(before: Block | None, block: Block) -> bool:
    """Whether a block stands close below the one before: under its heading, or with its like."""
    if isinstance(before, Heading) or (isinstance(before, Sentence) and before.text.endswith(":")):
        return True
    like = isinstance(before, Sentence) and isinstance(block, Sentence) and before.kind == block.kind
    return like and isinstance(block, Sentence) and block.kind in ("verdict", "note")


def _lines(block: Block, drawings: bool) -> list[str]:
    """Return the lines of one block."""
    match block:
        case Heading() | Sentence():
            return wrapped([seen(block.text)])
        case Items():
            mark = STROKE if block.marks else ""
            marks = [f"{place}. " if block.numbered else mark for place in range(1, len(block.lines) + 1)]
            return wrapped([mark + seen(line) for mark, line in zip(marks, block.lines, strict=True)])
        case Table():
            return table_lines(block)
        case Drawing():
            if block.letters:
                return wrapped([block.letters[0]]) + list(block.letters[1:])
            return wrapped([seen(block.sentence)]) if drawings else []
        case Handwriting():
            return [f"{seen(block.label)}: {'_' * 40}", *(["_" * 60] * (block.lines - 1))]
        case PageBreak() | Rest() | Columns():  # nothing of their own here
            return []
        case _:
            assert_never(block)


def table_lines(table: Table) -> list[str]:
    """Lay a table out in columns; what is too wide goes on below, with the first column again.

    Examples
    --------
    >>> table_lines(Table(("", "[1]", "[2]"), (("leaks", "1", "20"),), numbers=(1, 2)))
    ['       [1]  [2]', 'leaks    1   20']
    """
    grid = [[seen(cell) for cell in row] for row in (table.head, *table.rows)]
    widths = _widths(grid, table.numbers)
    lines = wrapped([seen(table.caption)]) if table.caption else []
    for part, columns in enumerate(_abreast(widths)):
        lines += [""] if part else []
        for place, row in enumerate(grid):
            if not any(row):
                continue
            if place - 1 in table.ruled:
                lines.append("-" * (sum(widths[column] for column in columns) + GAP * (len(columns) - 1)))
            lines += _row([row[column] for column in columns], columns, widths, table.numbers)
    return lines + (wrapped([seen(table.note)]) if table.note else [])


def _widths(grid: Sequence[Sequence[str]], numbers: Sequence[int]) -> list[int]:
    """Share the width out: columns of words give way to the others where there is too little."""
    widths = [
        max(3 if place in numbers else 0, *map(len, column))
        for place, column in enumerate(zip(*grid, strict=True))
    ]
    columns = list(zip(*grid, strict=True))
    longest = [max((len(word) for cell in column for word in cell.split()), default=0) for column in columns]
    for least in (longest, [0] * len(columns)):
        words = [place for place in range(len(widths)) if place not in numbers]
        while sum(widths) + GAP * (len(widths) - 1) > WIDTH and len(words) > 1:
            widest = max(words, key=lambda place: widths[place])
            if widths[widest] <= max(NARROW, least[widest]):
                words.remove(widest)
            else:
                widths[widest] -= 1
    if len(widths) > 1 and 0 not in numbers:
        others = sum(widths[1:]) + GAP * len(widths[1:])
        fewest = max(widths[1:]) + GAP  # one other fits beside it
        widths[0] = min(widths[0], max(NARROW, WIDTH - (others if others <= WIDTH - LABEL else fewest)))
    return widths


def _abreast(widths: Sequence[int]) -> Iterator[list[int]]:
    """Return the columns that stand abreast, the first column always among them."""
    some = [0]
    for column in range(1, len(widths)):
        wide = sum(widths[place] for place in (*some, column)) + GAP * len(some)
        if wide > WIDTH and len(some) > 1:
            yield some
            some = [0]
        some.append(column)
    yield some


def _row(
    cells: Sequence[str], columns: Sequence[int], widths: Sequence[int], numbers: Sequence[int]
) -> list[str]:
    """Return the lines of one row: a cell with words may take several."""
    broken = [
        textwrap.wrap(cell, max(widths[column], 1), break_on_hyphens=False) or [""]
        for cell, column in zip(cells, columns, strict=True)
    ]
    lines = []
    for line in range(max(map(len, broken))):
        texts = [cell[line] if line < len(cell) else "" for cell in broken]
        placed = [
            text.rjust(widths[column]) if column in numbers else text.ljust(widths[column])
            for text, column in zip(texts, columns, strict=True)
        ]
        lines.append((" " * GAP).join(placed).rstrip())
    return lines
