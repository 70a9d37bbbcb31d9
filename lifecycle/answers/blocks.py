"""An answer: blocks that people read, one below the other, and the same as plain data for programs.

Lecture
-------
Whoever answers a question says what stands in the answer, each fact once; how it looks is settled in one
writer for the terminal, one for a page, one for a PDF, and so on. Papers are answers too. Text is plain:
no markup, so nothing in a title can become one. Characters that no reader can see, and those that turn the
direction of what follows, are taken out by `seen`.

The blocks up to the block `Rest` are what is worth reading first: a terminal shows these, and the rest when
asked for all. A page and a PDF show everything.

A drawing is a figure with a sentence that says what is to be seen; whoever cannot see it reads that. It is
drawn when it is first looked at, so that an answer in words costs no drawing.

Left out: fonts and colours, which belong to the writers.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from importlib import import_module
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    Picture: TypeAlias = "Figure | Axes"

Kind: TypeAlias = Literal["plain", "verdict", "note", "caution"]
"""What a sentence is: said plainly, the answer, small print, or something to mind."""


@dataclass(frozen=True)
class Heading:
    """A heading; level 2 is that of a section, 3 and 4 are below."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Sentence:
    """One or more sentences that stand together; one that waits leaves a screen that is too full first."""

    text: str
    kind: Kind = "plain"
    waits: bool = False


@dataclass(frozen=True)
class Items:
    """A list, a line for each item: numbered if their order matters, without marks if they have their own."""

    lines: tuple[str, ...]
    numbered: bool = False
    marks: bool = True


@dataclass(frozen=True)
class Table:
    """A table.

    Parameters
    ----------
    head : tuple of str
        Heads of the columns; the first may be empty.
    rows : tuple of tuple of str
        Cells, as many in each row as there are heads.
    caption, note : str
        What stands above and below it.
    numbers : tuple of int
        Columns that hold numbers, from 0: flush right.
    row_heads : bool
        Whether the first cell of a row is its head.
    strong : tuple of int
        Rows that stand out, from 0.
    ruled : tuple of int
        Rows with a line above them, from 0.
    shaded : collection of (int, int)
        Cells on grey, by row and column, from 0; the note says what grey means.
    wraps : bool
        Whether a cell with numbers may take more than one line.
    bars : float
        Number that fills a bar beside it, where there is room for bars; 0: none.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    note: str = ""
    numbers: tuple[int, ...] = ()
    row_heads: bool = True
    strong: tuple[int, ...] = ()
    ruled: tuple[int, ...] = ()
    shaded: Collection[tuple[int, int]] = ()
    wraps: bool = False
    bars: float = 0.0

    @classmethod
    def of_numbers(
        cls,
        head: Iterable[str],
        rows: Iterable[Iterable[str]],
        caption: str = "",
        note: str = "",
        **looks: Any,
    ) -> Table:
        """Return a table of numbers, each row with its name in front."""
        heads = tuple(head)
        return cls(heads, tuple(map(tuple, rows)), caption, note, tuple(range(1, len(heads))), **looks)

    def __post_init__(self) -> None:
        """Check that every row has a cell for each head."""
        wrong = [row for row in self.rows if len(row) != len(self.head)]
        if wrong:
            raise ValueError(f"every row needs {len(self.head)} cells; got {wrong[0]!r}")


@dataclass(frozen=True)
class Drawing:
    """A figure, drawn when it is first looked at.

    Parameters
    ----------
    draw : callable or Figure
        Returns the figure, or axes on one; or the figure itself. It is not changed.
    alt : str
        What is to be seen, in a sentence; empty: the figure's own.
    share : float
        Share of the width that it takes in print, 0 to 1. [-]
    caption : str
        What stands below it; empty: nothing.
    letters : tuple of str
        Lines of letters of one width, in its place where nothing can be drawn.
    """

    draw: Callable[[], Picture] | Figure
    alt: str = ""
    share: float = 1.0
    caption: str = ""
    letters: tuple[str, ...] = ()

    @cached_property
    def figure(self) -> Figure:
        """The figure."""
        from matplotlib.figure import Figure

        picture = self.draw() if callable(self.draw) else self.draw
        figure = picture if isinstance(picture, Figure) else picture.get_figure(root=True)
        if figure is None:
            raise ValueError("the chart stands on no figure")
        return figure

    @property
    def sentence(self) -> str:
        """What is to be seen, in a sentence."""
        return self.alt or str(getattr(self.figure, "text_alternative", ""))


def charted(name: str, *given: object) -> Callable[[], Picture]:
    """Return what draws a chart, named by module and function; both are imported when it is drawn."""

    def draw() -> Picture:
        room, chart = name.split(":")
        drawn: Picture = getattr(import_module(f"lifecycle.charts.{room}"), chart)(*given)
        return drawn

    return draw


@dataclass(frozen=True)
class Rest:
    """What is read by whoever wants all of it: the blocks that follow, and first those put together then.

    Parameters
    ----------
    more : callable or None
        Returns what takes a while to put together; None: nothing does.
    """

    more: Callable[[], Iterable[Block]] | None = None

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """What is put together when it is asked for."""
        return tuple(self.more()) if self.more else ()


def whole(blocks: Iterable[Block]) -> Iterator[Block]:
    """Give all blocks, those of the rest in their place."""
    for block in blocks:
        if isinstance(block, Rest):
            yield from whole(block.blocks)
        else:
            yield block


@dataclass(frozen=True)
class PageBreak:
    """What follows begins on a new page, in print."""


@dataclass(frozen=True)
class Handwriting:
    """Room for a pen: a label and empty lines."""

    label: str
    lines: int = 1


@dataclass(frozen=True)
class Columns:
    """Two columns side by side; one below the other where there is no room."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]


Block: TypeAlias = "Heading | Sentence | Items | Table | Drawing | Rest | PageBreak | Handwriting | Columns"
"""What an answer is made of."""


@dataclass(frozen=True)
class Answer:
    """An answer, or a paper.

    Parameters
    ----------
    title, subtitle : str
        The question, and what it is about.
    blocks : tuple of Block
        What stands in it, from top to bottom.
    data : mapping
        The same for programs: str, int, float, bool, None, lists and mappings; no NaN, no infinity.
    chart : Drawing or None
        The drawing that stands for the whole, where somebody asks for a chart alone.
    footer : str
        What it rests on: date, version, hash.
    language : str
        Of the text, as in BCP 47.
    text_size : float
        Size of the text in print; tables and small print are a little smaller. [point]
    date : str
        Day of the paper, YYYY-MM-DD; empty: a PDF names 2000-01-01.
    """

    title: str
    subtitle: str
    blocks: tuple[Block, ...]
    data: Mapping[str, Any] = field(default_factory=dict)
    chart: Drawing | None = None
    footer: str = ""
    language: str = "en"
    text_size: float = 9.0
    date: str = ""


TURNS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")
"""Characters that turn the direction of what follows."""


def seen(text: str) -> str:
    r"""Return a text without what no reader can see.

    Examples
    --------
    >>> seen("our\tcoach\x00 \u202eoops")
    'our coach oops'
    """
    if text.isprintable():  # as a picture is, and most of what is written
        return text
    spaced = "".join(" " if letter.isspace() else letter for letter in text)
    return "".join(
        letter
        for letter in spaced
        if unicodedata.category(letter) not in ("Cc", "Cs", "Co") and letter not in TURNS
    )
