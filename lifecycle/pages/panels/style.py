"""How the pages look: style sheets of our own, from a phone to a wide screen.

Lecture
-------
The sheets stand in ``pages/look``: colours, sizes and distances have names in `tokens.css`, and nothing else
names any; `page.css` is what all pages share, and a page may have a sheet besides. The design is written down
in DEVELOPERS.md.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from lifecycle.writers.html import filled

LOOK = Path(__file__).parents[1] / "look"
"""Where the style sheets stand."""


@cache
def style_sheet(*besides: str) -> str:
    """Return the style of a page as HTML."""
    sheets = ((LOOK / f"{name}.css").read_text(encoding="utf-8") for name in ("tokens", "page", *besides))
    return filled(LOOK / "parts.html", "style", "".join(sheets))
