"""Figures and words as data, installed with the package; and the function that reads them.

It reads by tomli, the compiled twin of the standard library's reader: in less than half the time.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import tomli


@cache
def data(name: str) -> dict[str, Any]:
    """Return a data file of the package, as parsed; not to be changed.

    Parameters
    ----------
    name : str
        For instance "shared.toml".

    Returns
    -------
    dict
        Its tables.
    """
    return tomli.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))


def words_of(subject: str) -> dict[str, Any]:
    """Return the sentences of one subject (`data/words`), for rooms below `language`; not to be changed."""
    found: dict[str, Any] = data(f"words/{subject}.toml")[subject]
    return found


def frame_words(kind: str, /, **always: object) -> Callable[..., str]:
    """Return what fills the words of a kind of result, its short text and the heads of its table.

    Parameters
    ----------
    kind : str
        Table of `data/words/frames.toml`.
    **always : object
        What stands in slots of all of them.

    Returns
    -------
    callable
        Takes the key of a word and what stands in its own slots.

    Examples
    --------
    >>> said = frame_words("by_place", money="USD")
    >>> said("here"), said("cost", way="keep")
    ('here', 'keep [USD]')
    """
    words = words_of("frames")[kind]

    def said(key: str, /, **slots: object) -> str:
        return str(words[key]).format(**always, **slots)

    return said
