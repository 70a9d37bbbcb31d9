"""Figures and words as data, installed with the package; and the function that reads them.

It reads by tomli, the compiled twin of the standard library's reader: in less than half the time.
"""

from __future__ import annotations

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
