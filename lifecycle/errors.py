"""What can be wrong with what a user wrote, and how it is said.

Lecture
-------
A *fault* names the place, the rule that is broken (with its unit), the value got, and what to do
about it, with the nearest known name where a name is unknown. All faults of one file are reported
together, as one `ScenarioError`. It is the only error that a user's mistake raises: whoever calls
prints it as it stands and shows no traceback.

What is left out: mistakes of the program itself. They stay what Python makes of them.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

LISTED = 12
"""Known names listed when none is near."""

SHOWN = 60
"""Faults shown at most; the rest are counted."""

LONGEST, LONGEST_TEXT = 60, 240
"""Letters of a name or a value that are shown; of a path, or of words about a value."""


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong.

    Parameters
    ----------
    place : str
        Dotted path within the file, for instance ``"owner.holding_period"``, or the file itself.
    rule : str
        What must be, with its unit; reads on from the place: ``"must be from 0 to 1"``.
    got : str
        The value got, as written; "" where there is none.
    remedy : str
        What to do about it.
    line : int or None
        Line of the file, where known.

    Examples
    --------
    >>> print(Fault("leaks.silent_share", "must be from 0 to 1", "1.2", "20 % is written 0.2", 14))
    leaks.silent_share (line 14) must be from 0 to 1; got 1.2: 20 % is written 0.2
    """

    place: str
    rule: str
    got: str = ""
    remedy: str = ""
    line: int | None = None

    def __str__(self) -> str:
        is_path = "/" in self.place or "\\" in self.place
        names = self.place if is_path else ".".join(map(safe, self.place.split(".")))
        place = safe(names, LONGEST_TEXT)
        where = f"{place} (line {self.line})" if self.line else place
        got = f"; got {safe(self.got, LONGEST_TEXT)}" if self.got else ""
        remedy = f": {self.remedy}" if self.remedy else ""
        return _printable(f"{where} {self.rule}{got}{remedy}")


def safe(text: str, longest: int = LONGEST) -> str:
    r"""Return a text that is safe to print: no control characters, cut to a readable length.

    Parameters
    ----------
    text : str
        Of any length.
    longest : int
        Letters that are shown.

    Returns
    -------
    str

    Examples
    --------
    >>> safe("a\nb"), len(safe("x" * 1000))
    ('a?b', 64)
    """
    return _printable(text[:longest]) + (" ..." if len(text) > longest else "")


def _printable(text: str) -> str:
    """Return a text with a question mark for each letter that cannot be printed."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)


class ScenarioError(ValueError):
    """All that is wrong with a scenario, or with a change to one.

    Parameters
    ----------
    faults : iterable of Fault
        At least one.
    source : str
        Name of the file, where there is one.

    Examples
    --------
    >>> print(ScenarioError([Fault("existing.age", "is required", remedy="state it")], "mine.toml"))
    mine.toml: existing.age is required: state it
    """

    def __init__(self, faults: Iterable[Fault], source: str = "") -> None:
        self.faults = tuple(faults)
        self.source = source
        super().__init__(self._text())

    def _render_traceback_(self) -> list[str]:
        """Show the message alone in a notebook: where our code stood helps nobody who slipped."""
        return str(self).splitlines()

    def _text(self) -> str:
        """Put all faults into words."""
        start = f"{safe(self.source, LONGEST_TEXT)}: " if self.source else ""
        if len(self.faults) == 1:
            return f"{start}{self.faults[0]}"
        lines = [f"  {fault}" for fault in self.faults[:SHOWN]]
        if len(self.faults) > SHOWN:
            lines.append(f"  and {len(self.faults) - SHOWN} more")
        return "\n".join([f"{start}{len(self.faults)} faults", *lines])


def nearest(name: str, known: Sequence[str]) -> str:
    """Say which known name is nearest to `name`, or list the known ones.

    Parameters
    ----------
    name : str
        A name that is not known.
    known : sequence of str
        The names that are.

    Returns
    -------
    str
        A remedy.

    Examples
    --------
    >>> nearest("patch_cots", ["patch_cost", "rot_cost"])
    'did you mean "patch_cost"?'
    >>> nearest("xyz", ["patch_cost", "rot_cost"])
    'known: patch_cost, rot_cost'
    """
    match = closest(name, known)
    if match is not None:
        return f'did you mean "{match}"?'
    if not known:
        return "none is known here"
    more = ", ..." if len(known) > LISTED else ""
    return f"known: {', '.join(list(known)[:LISTED])}{more}"


def closest(name: str, known: Sequence[str]) -> str | None:
    """Return the known name that `name` is probably a slip of, or None.

    Parameters
    ----------
    name : str
        A name that is not known.
    known : sequence of str
        The names that are.

    Returns
    -------
    str or None
        The nearest known name.

    Examples
    --------
    >>> closest("Membrane", ["membrane", "coating"])
    'membrane'
    """
    plain = {other.casefold().replace("_", " ").replace("-", " "): other for other in known}
    wanted = name[:100].casefold().replace("_", " ").replace("-", " ")
    found = difflib.get_close_matches(wanted, list(plain), n=1, cutoff=0.6)
    return plain[found[0]] if found else None


def fault(
    place: str, rule: str, got: str = "", remedy: str = "", *, line: int | None = None, source: str = ""
) -> ScenarioError:
    """Return the error for one mistake."""
    return ScenarioError([Fault(place, rule, got, remedy, line)], source)


def stop_at(faults: Iterable[Fault], source: str = "") -> None:
    """Raise all faults at once, each once, if there are any."""
    if each := tuple(dict.fromkeys(faults)):
        raise ScenarioError(each, source)
