"""Size and place of the coach, written down from the answers: `[coach]` and `[climate]`.

Lecture
-------
The length becomes `[coach]`: joint leaks and punctures are then those of a coach of that length, as
wide as the reference coach, with caps and openings as on it.

The places become `[climate]` if they are of the table of places: by the name alone, or a name that
stands in what was answered ("Miami, Florida"). With two places the second has the share of the year
that was told. A place that is not of the table is left out, with a comment that lists the table; so is
a second one without its share. Cover counts in any place, also in the reference climate.

Without length, place and cover neither section is written: the figures hold as they are.
"""

from __future__ import annotations

import difflib
import textwrap
from collections.abc import Mapping
from typing import Any

from lifecycle import files
from lifecycle.interview.answers import NOT_SURE, Answers
from lifecycle.interview.values import amount, noted, value_text
from lifecycle.reading.reader import is_number

WIDTH = 96
"""Of a comment. [characters]"""


def site_text(known: Answers, length: float | None) -> str:
    """Write size and place of the coach.

    Parameters
    ----------
    known : mapping
        Answers, "not sure" where there is none.
    length : float or None
        Of the coach, as far as it is known. [ft]

    Returns
    -------
    str
        TOML; "" where nothing is known.
    """
    return "\n".join([*_coach(length), *_climate(known)])


def place_in(answer: Any) -> str | None:
    """Return the place of the table that an answer names, or None.

    Examples
    --------
    >>> place_in("duluth"), place_in("Miami, Florida"), place_in("a humid coast")
    ('Duluth', 'Miami', None)
    """
    if not isinstance(answer, str):
        return None
    said = f" {''.join(letter if letter.isalnum() else ' ' for letter in answer.casefold())} "
    named = [name for name in files.shared()["places"] if f" {name.casefold()} " in said]
    return named[0] if len(named) == 1 else None


def near_places(answer: str) -> tuple[str, ...]:
    """Return the places of the table whose names are nearest to what was typed; all if none is near.

    Examples
    --------
    >>> near_places("Miamy, FL"), len(near_places("a humid coast")) > 10
    (('Miami',), True)
    """
    names = {name.casefold(): name for name in files.shared()["places"]}
    words = [answer.casefold(), *answer.casefold().replace(",", " ").split()]
    near = [names[one] for word in words for one in difflib.get_close_matches(word, names, n=3, cutoff=0.7)]
    return tuple(dict.fromkeys(near)) or tuple(names.values())


def _coach(length: float | None) -> list[str]:
    """Write the coach."""
    if length is None:
        return []
    return [
        *noted("coach"),
        "[coach]",
        f"length = {amount(length, 'judgement', 'your answer, in ft')}",
        "",
    ]


def _climate(known: Answers) -> list[str]:
    """Write where the coach stands."""
    lines = _places(known)
    cover = known["sheltered_share"]
    if is_number(cover) and cover > 0:
        lines += [
            *noted("under_cover"),
            f"sheltered_share = {amount(cover, 'judgement', 'your answer')}",
        ]
    written = [line for line in lines if not line.startswith("#")]
    if not lines:
        return []
    head = ["[climate]"] if written else []
    return [*noted("climate"), *head, *lines, ""]


def _places(known: Answers) -> list[str]:
    """Write the place or the places."""
    answers = {key: known[key] for key in ("place", "second_place") if known[key] not in (NOT_SURE, "")}
    found = {key: place_in(answer) for key, answer in answers.items()}
    lines = []
    for key, answer in answers.items():
        if found[key] is None:
            names = ", ".join(files.shared()["places"])
            lines += noted("unknown_place", place=value_text(answer))
            lines += [f"# {line}" for line in textwrap.wrap(names, WIDTH)]
    first, second, share = found.get("place"), found.get("second_place"), known["second_share"]
    if first is None:
        return lines
    if second is None or second == first or not is_number(share) or not 0.0 < share < 1.0:
        return [*lines, f"place = {value_text(first)}"]
    shares: Mapping[str, float] = {first: 1.0 - round(share, 4), second: round(share, 4)}
    entries = ", ".join(value_text({"place": name, "share": part}) for name, part in shares.items())
    return [*lines, f"places = [{entries}]"]
