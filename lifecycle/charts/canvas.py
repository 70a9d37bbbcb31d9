"""The sheet that charts are drawn on, and how it is shown: as a file, on a page, in few bytes in notebooks.

Lecture
-------
Every picture is `WIDTH` inches wide. On a phone about 370 points of a page are left for it, so text
of s typographic points is read there as ``s / 72 * 370 / WIDTH`` points: 12 become 10. Nothing is
written smaller. Places are given in inches, so that nothing moves when the numbers do.

On a page a chart is a drawing of lines, so it is as sharp as the screen; it holds a partner of each of its
colours for the dark, and the browser takes the one that the system is set to. In a notebook it is drawn with
fewer dots, and with the few colours of charts in steps to the ground as the only ones: a fourth of the bytes,
and nothing is lost that an eye could see. The sentence stays with the picture.

Assumed: a white ground and the typeface that comes with the drawing library.
"""

from __future__ import annotations

import base64
import io
import os
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text

from lifecycle.charts.palette import FAINT, GROUND, INK, LOOKS, QUIET, TINT
from lifecycle.charts.svg import page_picture, picture, text_size
from lifecycle.quantities import element

STEPS = 6
"""Steps from a colour of the charts to the ground, the edges of lines and letters."""

NEAR_WHITE = 236.0
"""Above it a colour is left to white, so that the ground stays white."""

SHARE = 2.0 / 3.0
"""Dots kept along an edge, of those in print. [-]"""


PREHEATED, SERVER, LIBRARY = "VOILA_PREHEAT", "SERVER_SOFTWARE", "voila"
"""How the program behind a page is told apart from a notebook with its code."""


def picture_bytes(figure: Figure, kind: str) -> bytes:
    """Return a figure as the content of a file; it names no user, path, software or time.

    Parameters
    ----------
    figure : Figure
        At its own size.
    kind : str
        "png" or "svg".

    Returns
    -------
    bytes
        The same for the same figure.

    Raises
    ------
    ValueError
        If the kind is another.
    """
    if kind not in ("png", "svg"):
        raise ValueError(f"a picture is png or svg; got {kind!r}")
    if kind == "svg":
        return picture(figure)
    sentence = getattr(figure, "text_alternative", "") or None
    out, metadata = io.BytesIO(), {"Description": sentence, "Software": None}
    figure.savefig(out, format="png", metadata=metadata, facecolor=GROUND, bbox_inches=None)
    return out.getvalue()


def on_a_page(environment: Mapping[str, str] = os.environ) -> bool:
    """Whether this runs behind a page.

    Examples
    --------
    >>> on_a_page({}), on_a_page({"SERVER_SOFTWARE": "voila/0.5"})
    (False, True)
    """
    return PREHEATED in environment or environment.get(SERVER, "").startswith(LIBRARY)


class SmallPicture:
    """A chart that shows itself in a notebook in few bytes.

    Parameters
    ----------
    chart : Axes or Figure
        With a text alternative.

    Raises
    ------
    ValueError
        If the axes stand on no figure, or the chart has no sentence.
    """

    def __init__(self, chart: Axes | Figure) -> None:
        figure = chart if isinstance(chart, Figure) else chart.get_figure(root=True)
        self.text_alternative = str(getattr(figure, "text_alternative", ""))
        if figure is None or not self.text_alternative:
            raise ValueError("a picture in a notebook needs a figure with its sentence")
        self._paged = on_a_page()
        self.content = page_picture(figure) if self._paged else _in_few_bytes(picture_bytes(figure, "png"))

    def _repr_mimebundle_(self, **_: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        """Return the picture, and its sentence where no picture can be shown.

        A page gets it as HTML: its program shows pictures of the other kind without their sentence.
        """
        if self._paged:
            carried = base64.b64encode(self.content).decode("ascii")
            address = f"data:image/svg+xml;base64,{carried}"
            image = element("img", class_="lc-drawing", alt=self.text_alternative, src=address)
            return {"text/html": image, "text/plain": self.text_alternative}, {}
        shown = {"image/png": self.content, "text/plain": self.text_alternative}
        return shown, {"image/png": {"alt": self.text_alternative}}


def kept_colours() -> list[tuple[int, int, int]]:
    """Return the colours that a small picture may have: those of the charts, in steps to the ground.

    Returns
    -------
    list of (int, int, int)
        Red, green and blue; at most 256, as many as a palette holds.

    Examples
    --------
    >>> kept_colours()[0]
    (255, 255, 255)
    """
    from matplotlib.colors import to_rgb

    own = [INK, QUIET, FAINT, *(look.colour for look in LOOKS), TINT]
    ground = to_rgb(GROUND)
    found = {(255, 255, 255): None}
    for colour in own:
        for step in range(STEPS):
            mixed = [
                full + (white - full) * step / STEPS
                for full, white in zip(to_rgb(colour), ground, strict=True)
            ]
            red, green, blue = (round(255.0 * part) for part in mixed)
            if (red + green + blue) / 3.0 < NEAR_WHITE:
                found[(red, green, blue)] = None
    return list(found)


def _in_few_bytes(content: bytes) -> bytes:
    """Return a picture with fewer dots and few colours."""
    from PIL import Image

    with Image.open(io.BytesIO(content)) as image:
        whole = image.convert("RGB")
    size = round(whole.width * SHARE), round(whole.height * SHARE)
    reduced = whole.resize(size, Image.Resampling.LANCZOS)
    out = io.BytesIO()
    palette = Image.new("P", (1, 1))
    palette.putpalette([part for colour in kept_colours() for part in colour])
    reduced.quantize(palette=palette, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


WIDTH, MARGIN = 6.0, 0.15
FULL = WIDTH - 2 * MARGIN
"""Width of every picture; white left at its edges; what is left between. [inch]"""

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


def text_width(text: str, size: float = TEXT, *, bold: bool = False) -> float:
    """Return the width of one line of text. [inch]"""
    return text_size(text, _typeface(size, bold))[0] / POINTS


@cache
def _typeface(size: float, bold: bool) -> FontProperties:
    """Return the typeface in a size."""
    return FontProperties(family=TYPEFACE, size=size, weight="bold" if bold else "normal")


def wrapped(text: str, width: float = FULL, size: float = TEXT, *, bold: bool = False) -> list[str]:
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


def headline(text: str) -> list[str]:
    """Break a heading into lines as wide as a picture."""
    return wrapped(text, FULL, HEADING, bold=True)


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
