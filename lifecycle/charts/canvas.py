"""The sheet that charts are drawn on: fixed size, our own text, labels spread apart, a plain file.

Lecture
-------
Every picture is `WIDTH` inches wide. On a phone about 370 points of a page are left for it, so text
of s typographic points is read there as ``s / 72 * 370 / WIDTH`` points: 12 become 10. Nothing is
written smaller. Places are given in inches, so that nothing moves when the numbers do.

Assumed: a white ground and the typeface that comes with the drawing library. Left out: dark themes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text
from matplotlib.textpath import text_to_path

from lifecycle.charts.palette import GROUND, INK
from lifecycle.charts.small import SmallPicture

WIDTH, MARGIN = 6.0, 0.15
"""Width of every picture; white left at its edges. [inch]"""

TEXT, HEADING = 12.0, 14.0
"""Size of text, and of headings. [point]"""

LINE = 1.3
"""Height of a line of text in sizes of the text. [-]"""

TYPEFACE = "DejaVu Sans"
DOTS = 144
"""Dots an inch of a saved picture."""

POINTS = 72.0
"""Points in an inch."""


class Picture(Figure):
    """A figure that knows in one sentence what it shows, and shows itself in a notebook.

    Parameters
    ----------
    height : float
        Height; the width is `WIDTH`. [inch]
    text_alternative : str
        One sentence that says what is to be seen.
    """

    def __init__(self, height: float, text_alternative: str = "") -> None:
        super().__init__(figsize=(WIDTH, height), dpi=DOTS, facecolor=GROUND)
        FigureCanvasAgg(self)
        self.text_alternative = text_alternative

    def axes_at(self, left: float, bottom: float, width: float, height: float) -> Axes:
        """Add axes at a place in inches from the lower left corner."""
        wide, high = self.get_size_inches()
        axes: Axes = self.add_axes((left / wide, bottom / high, width / wide, height / high))
        return axes

    def _repr_mimebundle_(self, **_: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        """Return the picture in few bytes, and its sentence where no picture can be shown."""
        return SmallPicture(self)._repr_mimebundle_()


def write(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    *,
    size: float = TEXT,
    bold: bool = False,
    colour: str = INK,
    across: str = "left",
    up: str = "baseline",
    shift: tuple[float, float] = (0.0, 0.0),
    by: Any = None,
    clear: bool = False,
) -> Text:
    """Write text on axes, taken literally: a dollar sign is a dollar sign.

    Parameters
    ----------
    axes : Axes
        Where.
    x, y : float
        Place, in coordinates `by` (shares of the axes if None).
    text : str
        What.
    size : float
        Size. [point]
    bold : bool
        Whether in bold.
    colour : str
        Colour.
    across, up : str
        Alignment, in matplotlib's words.
    shift : tuple of float
        Moved right and up by. [point]
    by : transform, or None
        Coordinates of the place.
    clear : bool
        Whether lines behind it are hidden.

    Returns
    -------
    Text
    """
    note = axes.annotate(
        text,
        (x, y),
        xycoords=by or axes.transAxes,
        xytext=shift,
        textcoords="offset points",
        ha=across,
        va=up,
        color=colour,
        fontsize=size,
        fontfamily=TYPEFACE,
        fontweight="bold" if bold else "normal",
        linespacing=LINE * 0.93,
        annotation_clip=False,
        bbox={"facecolor": GROUND, "edgecolor": "none", "pad": 0.5} if clear else None,
    )
    note.set_parse_math(False)
    return note


@lru_cache(maxsize=4096)
def text_width(text: str, size: float = TEXT, *, bold: bool = False) -> float:
    """Return the width of one line of text. [inch]"""
    properties = FontProperties(family=TYPEFACE, size=size, weight="bold" if bold else "normal")
    wide, _, _ = text_to_path.get_text_width_height_descent(text, properties, ismath=False)
    return float(wide) / POINTS


def wrapped(text: str, width: float, size: float = TEXT, *, bold: bool = False) -> list[str]:
    """Break text into lines that fit a width; a word that is wider is cut.

    Parameters
    ----------
    text : str
        One paragraph.
    width : float
        Room. [inch]
    size : float
        Size of the text. [point]
    bold : bool
        Whether it will be bold.

    Returns
    -------
    list of str
        At least one line.
    """
    lines = [""]
    for word in _cut(text.split(), width, size, bold):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size, bold=bold) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _cut(words: Sequence[str], width: float, size: float, bold: bool) -> Iterator[str]:
    """Give words, those too wide in pieces."""
    for word in words:
        rest = word
        while rest and text_width(rest, size, bold=bold) > width:
            fits = max(1, next(n for n in range(len(rest), 0, -1) if _fits(rest[:n], width, size, bold)))
            yield rest[:fits]
            rest = rest[fits:]
        if rest:
            yield rest


def _fits(text: str, width: float, size: float, bold: bool) -> bool:
    """Whether text fits; a single letter always does."""
    return len(text) == 1 or text_width(text, size, bold=bold) <= width


def lines_height(number: float, size: float = TEXT) -> float:
    """Return the height of so many lines of text. [inch]"""
    return number * size * LINE / POINTS


def placed(axes: Axes) -> tuple[float, float, float, float]:
    """Return left, bottom, width and height of axes on their figure. [inch]"""
    figure = axes.get_figure(root=True)
    if figure is None:
        raise ValueError("these axes stand on no figure")
    wide, high = figure.get_size_inches()
    box = axes.get_position()
    return box.x0 * wide, box.y0 * high, box.width * wide, box.height * high
