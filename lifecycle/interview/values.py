"""Writing a value as TOML on one line.

Lecture
-------
A number that was told becomes a table with its basis and a note, so that nobody takes it for the
tool's own. Three numbers become a range.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lifecycle.files import data
from lifecycle.interview.answers import RANGE


def amount(value: Any, basis: str, note: str) -> str:
    """Write one number or three as a TOML table with basis and note.

    Examples
    --------
    >>> amount(4, "judgement", "your answer")
    '{value = 4, basis = "judgement", note = "your answer"}'
    """
    numbers = {name: value[name] for name in RANGE} if isinstance(value, Mapping) else {"value": value}
    return value_text({**numbers, "basis": basis, "note": note})


def value_text(value: Any) -> str:
    """Write a value as TOML on one line.

    Examples
    --------
    >>> value_text({"low": 4, "note": "your answer"})
    '{low = 4, note = "your answer"}'
    """
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        table.update(value)
        return table.as_string()
    text: str = tomlkit.item(value).as_string()
    return text


def noted(name: str, **slots: str) -> list[str]:
    """Return a comment of a written file, line by line, in the words of the data."""
    text: str = data("words/written.toml")["written"][name]
    return [f"# {line}" for line in text.format(**slots).splitlines()]
