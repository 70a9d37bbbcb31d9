"""A sheet as one page: no script, no outside address, readable on a phone, printed on A4 or Letter.

Lecture
-------
The page is complete in itself: its style stands in its head, its drawings are SVG within it. Drawings of one
page share their letters, for the same letter would otherwise be drawn anew in each; so the page is small and
no name stands in it twice. Every text is escaped. A title has the direction of its first letter.

Print: the paper's own size, lengths in mm and pt. Screen: one column on a phone, and whatever is wider than
the screen (a table) scrolls by itself. Nothing is told by colour alone.

Markup stands in template files of macros (`writers/look/sheet.html`; pages have `pages/look/parts.html`).
Whatever fills a slot is escaped, and what no reader can see is taken out of it (`filled`); only a template
itself can say that a piece is markup already.

Left out: dark themes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Columns, Drawing, PageBreak, seen, whole

LOOK = Path(__file__).parent / "look"
"""Where the style and the markup stand."""


def as_html(sheet: Answer) -> str:
    """Return a sheet as one page.

    Examples
    --------
    >>> from lifecycle.answers.blocks import Sentence
    >>> page = as_html(Answer("Us & <them>", "", (Sentence("Spray now: dearer.", "verdict"),)))
    >>> "Us &amp; &lt;them&gt;" in page, '<p class="verdict">Spray now: dearer.</p>' in page
    (True, True)
    """
    style = (LOOK / "sheet.css").read_text(encoding="utf-8").rstrip()
    return _letters_once(_filled("page", sheet, style, "\n".join(_blocks(sheet.blocks))))


def as_parts(blocks: Iterable[Block]) -> str:
    r"""Return blocks as HTML for a page that has a head and a style of its own.

    Examples
    --------
    >>> from lifecycle.answers.blocks import Heading, Items
    >>> as_parts([Heading("Us & them", 3), Items(("a", "b"))])
    '<h3 dir="auto">Us &amp; them</h3>\n<ul>\n<li>a</li>\n<li>b</li>\n</ul>'
    """
    from lifecycle.charts.canvas import on_a_page
    from lifecycle.charts.svg import dark_rules

    parts = _letters_once("\n".join(_blocks(blocks)))
    rules = dark_rules(parts) if on_a_page() else ""
    return _filled("style", rules) + parts if rules else parts


def _filled(name: str, *slots: object) -> str:
    """Return a piece of markup, filled."""
    return filled(LOOK / "sheet.html", name, *slots)


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    """Return each block as HTML; what follows a page break is told to begin a page."""
    new_page = False
    for block in whole(blocks):
        if isinstance(block, PageBreak):
            new_page = True
        else:
            yield _filled("new_page", _block(block)) if new_page else _block(block)
            new_page = False


def _block(block: Block) -> str:
    """Return one block as HTML."""
    match block:
        case Drawing():
            return _drawing(block)
        case Columns():
            return _filled("columns", *("\n".join(_blocks(side)) for side in (block.left, block.right)))
        case _:
            return _filled(type(block).__name__.lower(), block)


def _drawing(drawing: Drawing) -> str:
    """Return a drawing as a figure with its sentence."""
    from lifecycle.charts import svg

    wide, high, inside = svg.drawing(drawing.figure)
    share = f"{min(1.0, max(0.05, drawing.share)):g}"
    return _filled("drawing", drawing, share, f"0 0 {wide:g} {high:g}", inside)


def _letters_once(page: str) -> str:
    """Leave out everything that an earlier drawing of the page has defined already."""
    known: set[str] = set()

    def kept(found: re.Match[str]) -> str:
        if found[2] in known:
            return ""
        known.add(found[2])
        return found[0]

    return re.sub(_DEFINED, kept, page, flags=re.DOTALL)


_DEFINED = r'<(path|clipPath|pattern) id="([^"]+)"(?:[^>]*/>|.*?</\1>)\n?'
"""A letter, marker, window or hatch that a drawing defines by name."""


@cache
def _macros(template: Path) -> Any:
    """Return the macros of a template."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=FileSystemLoader(template.parent),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
        finalize=lambda slot: seen(slot) if isinstance(slot, str) and not isinstance(slot, Markup) else slot,
    )
    return environment.get_template(template.name).module


def filled(template: Path, macro: str, *slots: Any, **named: Any) -> str:
    """Return a macro of a template, filled."""
    return str(getattr(_macros(template), macro)(*slots, **named))
