"""Sentences in lines: the one place where text is broken to a width.

Lecture
-------
A terminal has lines of a fixed width; a page and a PDF break text by themselves. A number keeps its
percent sign, and the items of a list hang.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

WIDTH = 100
"""Width of sentences on the terminal. [characters]"""


def wrapped(lines: Iterable[str]) -> list[str]:
    """Wrap sentences to the width of the terminal; items of a list hang, a number keeps its percent sign.

    Examples
    --------
    >>> wrapped(["- one two"])
    ['- one two']
    >>> wrapped([f"{'one ' * 24}100 %"])[0].splitlines()[1]
    '100 %'
    """
    return [
        textwrap.fill(
            line.replace(" %", "\N{NO-BREAK SPACE}%"),
            WIDTH,
            subsequent_indent="  " if line.startswith("- ") else "",
            break_on_hyphens=False,
            break_long_words=False,
        ).replace("\N{NO-BREAK SPACE}", " ")
        for line in lines
    ]


def blocks(*parts: Iterable[str]) -> str:
    r"""Join blocks of lines with an empty line between them; empty blocks are left out.

    Examples
    --------
    >>> blocks(["one", "two"], [], ["three"])
    'one\ntwo\n\nthree'
    """
    return "\n\n".join("\n".join(block) for block in map(list, parts) if block)
