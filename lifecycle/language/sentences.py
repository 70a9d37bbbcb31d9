"""Every sentence that the tool says, as a template with slots, in data files that anyone can edit.

Lecture
-------
The files under ``data/words`` hold the sentences, a file for each subject and a name for each sentence::

    [timing]
    wait_costs = "Waiting a year costs {money}; an offer's last day matters by no more than that."

Code chooses the sentence and fills the slots (`say`); it writes no words of its own. A slot is a number or a
name that is text already. A sentence with two forms for one and many is two sentences. Lists of words (names
of dates, heads of columns) stand there as tables (`words`).

A terminal has lines of a fixed width (`wrapped`); a page and a PDF break text by themselves.

Left out: other languages; a folder beside ``data/words`` would be the place.
"""

from __future__ import annotations

import string
import textwrap
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from lifecycle.data import words_of

WIDTH = 100
"""Width of sentences on the terminal. [characters]"""

STROKE = "- "
"""How a line begins that is an item of a list, where lines are plain text: a verdict, a terminal."""


def say(name: str, /, **slots: object) -> str:
    """Return a sentence with its slots filled.

    Parameters
    ----------
    name : str
        File and sentence, for instance "timing.wait_costs".
    **slots : object
        What stands in the slots, all that the sentence has and no other.

    Raises
    ------
    KeyError
        If there is no such sentence, or its slots are not those given.

    Examples
    --------
    >>> say("timing.now_costs_more", change="spray", money="about 2,900")
    'To spray now costs about 2,900 more.'
    """
    template = template_of(name)
    wanted = slots_of(template)
    if wanted != set(slots):
        raise KeyError(f"{name} has the slots {sorted(wanted)}, not {sorted(slots)}")
    return template.format(**slots)


def template_of(name: str) -> str:
    """Return a sentence with its slots open."""
    found = words(name)
    if not isinstance(found, str):
        raise KeyError(f"{name} is a table of words, not a sentence")
    return found


def words(name: str) -> Any:
    """Return what stands under a name: a sentence, or a table or list of words; not to be changed.

    The name of a file alone gives all of it.

    Examples
    --------
    >>> words("timing.every")["36"]
    'every third year'
    """
    subject, _, rest = name.partition(".")
    found: Any = words_of(subject)
    for part in rest.split(".") if rest else ():
        if not isinstance(found, Mapping) or part not in found:
            raise KeyError(f"data/words/{subject}.toml has no {rest!r}")
        found = found[part]
    return found


@cache
def slots_of(template: str) -> frozenset[str]:
    """Return the slots of a sentence.

    Examples
    --------
    >>> sorted(slots_of("{a} of {b}"))
    ['a', 'b']
    """
    return frozenset(field for _, field, _, _ in string.Formatter().parse(template) if field)


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
            subsequent_indent="  " if line.startswith(STROKE) else "",
            break_on_hyphens=False,
            break_long_words=False,
        ).replace("\N{NO-BREAK SPACE}", " ")
        for line in lines
    ]
