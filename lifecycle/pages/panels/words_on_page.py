"""Small pieces of markup that every panel shows: sentences, lists, tables, links to a file.

Lecture
-------
The markup stands in ``pages/look/parts.html``, each piece with a name. What a user typed is shown as text,
never as markup. A file to keep is a link that carries the file itself; nothing is written anywhere until the
link is followed.

Left out: how things look (`style`).
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from typing import Any

from lifecycle.pages.panels.style import LOOK
from lifecycle.writers.html import filled

STROKE = "- "
"""How an item of a list begins in an answer as plain text."""


def part(name: str, *slots: Any, **named: Any) -> str:
    """Return a piece of markup by its name, filled.

    Examples
    --------
    >>> part("note", "a < b")
    '<span class="lc-note">a &lt; b</span>'
    """
    return filled(LOOK / "parts.html", name, *slots, **named).strip()


def paragraphs(sentences: Iterable[str], *, kind: str = "") -> str:
    """Return sentences as paragraphs.

    Examples
    --------
    >>> paragraphs(["a < b"])
    '<p>a &lt; b</p>'
    """
    return part("paragraphs", sentences, kind)


def lines(sentences: Iterable[str]) -> str:
    """Return lines of an answer as paragraphs; those that begin with a stroke as a list.

    Examples
    --------
    >>> lines(["a", "- b", "- c"])
    '<p>a</p><ul><li>b</li><li>c</li></ul>'
    """
    every = list(sentences)
    listed = [line.removeprefix(STROKE) for line in every if line.startswith(STROKE)]
    first = next((place for place, line in enumerate(every) if line.startswith(STROKE)), len(every))
    return part(
        "lines", every[:first], listed, [line for line in every[first:] if not line.startswith(STROKE)]
    )


def items(sentences: Iterable[str]) -> str:
    """Return sentences as a list."""
    return part("items", sentences)


def table(head: Sequence[str], rows: Sequence[Sequence[str]], *, caption: str = "", marked: int = -1) -> str:
    """Return a table whose first column names the rows."""
    return part("table", head, rows, caption, marked)


def file_link(name: str, content: bytes, kind: str, said: str) -> str:
    """Return a link that carries a file.

    Examples
    --------
    >>> file_link("a.txt", b"a", "text/plain", "Keep it")
    '<a class="lc-link" download="a.txt" href="data:text/plain;base64,YQ==">Keep it</a>'
    """
    return part("file_link", name, carried(content, kind), said)


def carried(content: bytes, kind: str) -> str:
    """Return an address that carries a file itself."""
    return f"data:{kind};base64,{base64.b64encode(content).decode('ascii')}"
