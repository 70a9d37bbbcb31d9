"""Nothing that fails on a page fails in silence: every callback of a widget goes through here.

Lecture
-------
An error in a callback shows nothing on a page. So each one is wrapped: a user's mistake is said as it
stands, anything else in one plain sentence; in both cases the last good answer stays where it is.

Left out: mistakes beside a field, which the field itself explains.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lifecycle.errors import ScenarioError

BROKEN = (
    "Something went wrong in this program, not in what you entered ({kind}). The last good answer still "
    "stands. Try another value, or undo the last change."
)
"""What is said of an error that is no mistake of the user."""

Say = Callable[[str], None]
"""Shows a sentence in the status line."""


def guarded(work: Callable[..., object], say: Say) -> Callable[..., None]:
    """Return a callback that never raises.

    Examples
    --------
    >>> guarded(lambda change: 1 / 0, print)("a change")
    Something went wrong in this program, not in what you entered (ZeroDivisionError). The last good answer \
still stands. Try another value, or undo the last change.
    """

    def safely(*arguments: Any, **named: Any) -> None:
        try:
            work(*arguments, **named)
        except Exception as error:
            say(sentence_of(error))

    return safely


def sentence_of(error: BaseException) -> str:
    """Return what to say of an error."""
    if isinstance(error, ScenarioError):
        return f"That does not work: {error}. The last good answer still stands."
    return BROKEN.format(kind=type(error).__name__)
