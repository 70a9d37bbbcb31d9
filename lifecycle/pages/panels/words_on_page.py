"""Small pieces of HTML that every panel shows: text made safe, sentences, lists, tables, links to a file.

Lecture
-------
What a user typed is shown as text, never as markup. A file to keep is a link that carries the file
itself; nothing is written anywhere until the link is followed.

Left out: how things look (`style`).
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from html import escape

STROKE = "- "
"""How an item of a list begins in an answer as plain text."""


def paragraphs(sentences: Iterable[str], *, kind: str = "") -> str:
    """Return sentences as paragraphs.

    Examples
    --------
    >>> paragraphs(["a < b"])
    '<p>a &lt; b</p>'
    """
    mark = f' class="{kind}"' if kind else ""
    return "".join(f"<p{mark}>{escape(sentence)}</p>" for sentence in sentences if sentence)


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
    before, after = every[:first], [line for line in every[first:] if not line.startswith(STROKE)]
    return paragraphs(before) + (items(listed) if listed else "") + paragraphs(after)


def items(sentences: Iterable[str]) -> str:
    """Return sentences as a list."""
    return f"<ul>{''.join(f'<li>{escape(sentence)}</li>' for sentence in sentences)}</ul>"


def table(head: Sequence[str], rows: Sequence[Sequence[str]], *, caption: str = "", marked: int = -1) -> str:
    """Return a table whose first column names the rows."""
    said = f"<caption>{escape(caption)}</caption>" if caption else ""
    top = "".join(
        f'<th scope="col"{_mark(place, marked)}>{escape(name)}</th>' for place, name in enumerate(head)
    )
    body = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>'
        + "".join(
            f"<td{_mark(place, marked)}>{escape(cell)}</td>" for place, cell in enumerate(row[1:], start=1)
        )
        + "</tr>"
        for row in rows
    )
    return (
        f'<div class="lc-wide"><table>{said}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>'
    )


def _mark(place: int, marked: int) -> str:
    """Return the class of a cell of the column that stands out."""
    return ' class="lc-here"' if place == marked else ""


def file_link(name: str, content: bytes, kind: str, said: str) -> str:
    """Return a link that carries a file.

    Examples
    --------
    >>> file_link("a.txt", b"a", "text/plain", "Keep it")
    '<a class="lc-link" download="a.txt" href="data:text/plain;base64,YQ==">Keep it</a>'
    """
    carried = base64.b64encode(content).decode("ascii")
    return (
        f'<a class="lc-link" download="{escape(name)}" href="data:{kind};base64,{carried}">{escape(said)}</a>'
    )
