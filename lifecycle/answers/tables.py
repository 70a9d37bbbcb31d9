"""Rows under numbered columns, as text. To go: answers are blocks, and the terminal lays tables out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lifecycle.language.lines import WIDTH

NONE = "-"
"""Stands where there is nothing to say."""


@dataclass(frozen=True)
class Row:
    """One line of a table: its label, and a text for each way; `rule` draws a line above it."""

    label: str
    cells: tuple[str, ...]
    rule: bool = False


def laid_out(
    rows: Sequence[Row], columns: int, *, heads: Sequence[str] | None = None, corner: str = ""
) -> list[str]:
    """Lay rows out under numbered columns; what is too wide goes on below.

    Parameters
    ----------
    rows : sequence of Row
        Each with `columns` cells.
    columns : int
        Number of columns.
    heads : sequence of str or None
        What stands above each column; None: its number.
    corner : str
        What stands above the labels.

    Returns
    -------
    list of str
        Lines.

    Examples
    --------
    >>> laid_out([Row("leaks", ("1", "20"))], 2)
    ['       [1]  [2]', 'leaks    1   20']
    """
    above = list(heads) if heads is not None else [f"[{place + 1}]" for place in range(columns)]
    first = max(len(corner), *(len(row.label) for row in rows))
    column = 2 + max(3, *(len(cell) for cells in (above, *(row.cells for row in rows)) for cell in cells))
    abreast = max(1, (WIDTH - first) // column)
    lines: list[str] = []
    for start in range(0, columns, abreast):
        some = range(start, min(start + abreast, columns))
        lines += [""] if lines else []
        lines.append(corner.ljust(first) + "".join(above[place].rjust(column) for place in some))
        for row in rows:
            if row.rule:
                lines.append("-" * (first + column * len(some)))
            cells = "".join(row.cells[place].rjust(column) for place in some)
            lines.append((row.label.ljust(first) + cells).rstrip())
    return lines
