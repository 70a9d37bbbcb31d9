"""A chart as a drawing of lines (SVG): as sharp as the screen, in few bytes, and quickly.

Lecture
-------
matplotlib lays a chart out and asks a *renderer* for each line, area and text. This one writes them down in
points, down from the upper left corner, with nothing about when, where or by what they were drawn. Letters
are outlines, so a chart looks the same on every machine; an outline is defined once a drawing, and the row
of letters of a text is kept, for most texts of a chart are those of the last one.

Names within a drawing are made of what they stand for, so that drawings of one page may share them.

Left out: pictures of dots, which no chart has; writing them is refused by the library's base class.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache, lru_cache
from html import escape
from typing import Any
from zlib import crc32

import numpy as np
from matplotlib.backend_bases import RendererBase
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.path import Path
from matplotlib.textpath import text_to_path
from matplotlib.transforms import Affine2D, Transform

from lifecycle.charts.palette import in_the_dark

DOTS = 72
"""Units of a drawing in an inch, so that one is a point."""

LETTERS = {Path.MOVETO: "M", Path.LINETO: "L", Path.CURVE3: "Q", Path.CURVE4: "C", Path.CLOSEPOLY: "z"}
"""What SVG calls the pieces of a path."""

PLAIN = "svg * { stroke-linejoin: round; stroke-linecap: butt; }"
"""How lines of a drawing meet and end where nothing else is said."""


def picture(figure: Figure) -> bytes:
    """Return a figure as the content of an SVG file, with the sentence that it knows."""
    sentence = escape(getattr(figure, "text_alternative", ""), quote=False)
    title = f"<title>{sentence}</title>" if sentence else ""
    return _file(*drawing(figure), f"{title}<style>{PLAIN}</style>", unit="pt")


def page_picture(figure: Figure) -> bytes:
    """Return a figure as an SVG file whose colours follow the light or the dark of the system."""
    wide, high, inside = drawing(figure)
    return _file(wide, high, inside, f"<style>{dark_rules(inside)}</style>")


def dark_rules(drawings: str) -> str:
    """Return the style of drawings: how lines meet, and each of their colours in the dark; empty for none."""
    used = sorted(set(re.findall(r"(fill|stroke): (#[0-9a-f]{6})", drawings)))
    rules = (f'svg [style*="{way}: {one}"] {{ {way}: {in_the_dark(one)} !important; }}' for way, one in used)
    return f"{PLAIN} @media (prefers-color-scheme: dark) {{ {' '.join(rules)} }}" if used else ""


def _file(wide: float, high: float, inside: str, head: str, unit: str = "") -> bytes:
    """Return an SVG file of a size in points."""
    size = f'viewBox="0 0 {wide:g} {high:g}" width="{wide:g}{unit}" height="{high:g}{unit}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{head}{inside}</svg>\n'.encode()


def drawing(figure: Figure) -> tuple[float, float, str]:
    """Return a figure as what stands within an SVG element.

    Parameters
    ----------
    figure : Figure
        At its own size.

    Returns
    -------
    width, height : float
        Of the drawing. [point]
    inside : str
        Its elements; the same for the same figure.
    """
    wide, high = (float(DOTS * one) for one in figure.get_size_inches())
    lines, dots = Lines(wide, high), figure.dpi
    figure.dpi = DOTS
    try:
        figure.draw(lines)
    finally:
        figure.dpi = dots
    return wide, high, "\n".join(["<defs>", *lines.defined.values(), "</defs>", *lines.written])


class Lines(RendererBase):
    """Writes what a figure draws.

    Parameters
    ----------
    width, height : float
        Of the figure. [point]
    """

    def __init__(self, width: float, height: float) -> None:
        super().__init__()
        self._size = width, height
        self._down = Affine2D().scale(1.0, -1.0).translate(0.0, height)
        self.defined: dict[str, str] = {}
        self.written: list[str] = []

    def get_canvas_width_height(self) -> tuple[float, float]:
        """Return the size. [point]"""
        return self._size

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> Any:
        """Return the size of a text, and how far it hangs below its line. [point]"""
        return text_size(s, prop.copy(), ismath)

    def draw_path(self, gc: Any, path: Path, transform: Transform, rgbFace: Any = None) -> None:
        """Write a line or an area."""
        open_line = rgbFace is None and gc.get_hatch() is None
        seen = (0.0, 0.0, *self._size) if open_line else None
        simplify = open_line and path.should_simplify
        outline = outlined(path.cleaned(transform + self._down, clip=seen, simplify=simplify, curves=True))
        if outline:
            self.written.append(f'<path d="{outline}"{self._window(gc)} style="{self._style(gc, rgbFace)}"/>')

    def draw_text(
        self,
        gc: Any,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: Any = False,
        mtext: Any = None,
    ) -> None:
        """Write one line of text as outlines."""
        if ismath:
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)
            return
        defined, row = lettered(s, findfont(prop))
        self.defined |= defined
        size = prop.get_size_in_points() / text_to_path.FONT_SCALE
        turned = f" rotate({-angle:g})" if angle else ""
        place = f"translate({x:.1f} {y:.1f}){turned} scale({size:g} {-size:g})"
        style = _css(_ink("fill", gc.get_rgb()))
        self.written.append(f'<g transform="{place}" style="{style}">{row}</g>')

    def _define(self, kind: str, attributes: str, inside: str) -> str:
        """Define something, and return what refers to it."""
        name = f"{kind[0]}{crc32((attributes + inside).encode()):08x}"
        self.defined[name] = f'<{kind} id="{name}"{attributes}>{inside}</{kind}>'
        return f"url(#{name})"

    def _window(self, gc: Any) -> str:
        """Return the attribute that cuts off what lies outside of a window, if there is one."""
        path, transform = gc.get_clip_path()
        box = gc.get_clip_rectangle()
        if path is None and box is None:
            return ""
        if path is None:
            path, transform = Path.unit_rectangle(), Affine2D().scale(*box.size).translate(*box.p0)
        outline = outlined(path.cleaned(transform + self._down, curves=True))
        named = self._define("clipPath", "", f'<path d="{outline}"/>')
        return f' clip-path="{named}"'

    def _hatch(self, gc: Any, face: Any) -> str:
        """Return a ground with a hatch."""
        ink = _ink("stroke", gc.get_hatch_color()) | _ink("fill", gc.get_hatch_color()[:3])
        ground = _css(_ink("fill", face))
        ink |= {"stroke-width": f"{gc.get_hatch_linewidth():g}", "stroke-linejoin": "miter"}
        under = f'<path d="M0 0h{DOTS}v{DOTS}h-{DOTS}z" style="{ground}"/>'
        size = f' patternUnits="userSpaceOnUse" width="{DOTS}" height="{DOTS}"'
        return self._define(
            "pattern", size, f'{under}<path d="{hatched(gc.get_hatch())}" style="{_css(ink)}"/>'
        )

    def _style(self, gc: Any, face: Any) -> str:
        """Return how a line or an area looks."""
        whole = gc.get_forced_alpha()
        style = _ink("fill", face) if gc.get_hatch() is None else {"fill": self._hatch(gc, face)}
        if gc.get_linewidth():
            style |= _ink("stroke", gc.get_rgb()) | {"stroke-width": f"{gc.get_linewidth():g}"}
            start, dashes = gc.get_dashes()
            if dashes is not None:
                style["stroke-dasharray"] = ",".join(f"{one:g}" for one in dashes)
                style["stroke-dashoffset"] = f"{start:g}"
            meet, end = str(gc.get_joinstyle()), str(gc.get_capstyle())
            style |= {} if meet == "round" else {"stroke-linejoin": meet}
            style |= {} if end == "butt" else {"stroke-linecap": "square" if end == "projecting" else end}
        if whole:
            style = {name: value for name, value in style.items() if not name.endswith("opacity")}
            style["opacity"] = f"{gc.get_alpha():g}"
        return _css(style)


def _ink(way: str, colour: Any) -> dict[str, str]:
    """Return the style of what is filled or drawn in a colour, or in none."""
    if colour is None:
        return {way: "none"}
    clear = {f"{way}-opacity": f"{colour[3]:g}"} if len(colour) == 4 and colour[3] < 1.0 else {}
    return {way: to_hex(colour), **clear}


def _css(style: Mapping[str, str]) -> str:
    """Return a style as an attribute has it."""
    return "; ".join(f"{name}: {value}" for name, value in style.items())


def outlined(path: Path) -> str:
    """Return a path in the letters of SVG, to a tenth of a unit.

    Parameters
    ----------
    path : Path
        In units of the drawing, as `Path.cleaned` gives it.

    Examples
    --------
    >>> outlined(Path([(0, 0), (1, 0), (1, 2.04), (0, 0)], [1, 2, 2, 79]))
    'M0 0L1 0 1 2z'
    """
    parts, last = [], None
    places, codes = np.asarray(path.vertices).tolist(), np.asarray(path.codes).tolist()
    for (x, y), code in zip(places, codes, strict=True):
        if code == Path.STOP:
            break
        letter = "" if code == last and code != Path.MOVETO else LETTERS[code]
        parts.append("z" if code == Path.CLOSEPOLY else f"{letter or ' '}{_short(x)} {_short(y)}")
        last = code
    return "".join(parts)


def _short(number: float) -> str:
    """Return a number to a tenth, without a nought at its end."""
    return f"{number:.1f}".removesuffix(".0")


@cache
def hatched(hatch: str) -> str:
    """Return the outline of a hatch on its tile."""
    tile = Affine2D().scale(DOTS, -DOTS).translate(0.0, DOTS)
    return outlined(Path.hatch(hatch).cleaned(tile, curves=True))


@lru_cache(maxsize=4096)
def text_size(text: str, prop: FontProperties, ismath: Any = False) -> tuple[float, float, float]:
    """Return width and height of a line of text, and how far it hangs below its line. [point]"""
    wide, high, below = text_to_path.get_text_width_height_descent(text, prop, ismath)
    return float(wide), float(high), float(below)


@lru_cache(maxsize=4096)
def lettered(text: str, typeface: str) -> tuple[dict[str, str], str]:
    """Return the outlines of the letters of a text by name, and the row of letters it is made of."""
    font = get_font(typeface)
    font.set_size(text_to_path.FONT_SCALE, text_to_path.DPI)
    row, outlines, _ = text_to_path.get_glyphs_with_font(font, text)
    defined = {
        name: f'<path id="{name}" d="{outlined(Path(*outline).cleaned(curves=True))}"/>'
        for name, outline in outlines.items()
        if len(outline[0])
    }
    used = (f'<use href="#{name}" x="{_short(x)}"/>' for name, x, *_ in row if name in defined)
    return defined, "".join(used)
