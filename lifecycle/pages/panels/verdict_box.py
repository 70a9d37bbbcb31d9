"""The verdict at the top of a page: what to do, by how much, twenty marks, and which answer turned it.

Lecture
-------
The sentences are those of the verdict grammar (`language.verdict`), unchanged; the first is set large.
While a newer answer is worked out the old one stays, in grey. When the word changes, it is said which
answer did it.

Left out: what next, and what stands beside (`results`).
"""

from __future__ import annotations

import ipywidgets

from lifecycle.language.labels import listed
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict
from lifecycle.pages.panels.answering import Answer
from lifecycle.pages.panels.folds import held
from lifecycle.pages.panels.words_on_page import lines as as_lines
from lifecycle.pages.panels.words_on_page import part

WAITING = "No verdict yet"
"""In the place of the word as long as something is needed."""

WHY_NONE = (
    'It stands on your answers, not on somebody else\'s coach. "Not sure" is an answer to every question but '
    "the age of the roof."
)
"""Why there is no verdict without answers."""


def at_top(verdict: Verdict) -> tuple[str, list[str]]:
    """Return the heading of a verdict, a sentence, and the lines that stand below it."""
    head, *rest = verdict.lines[: verdict.top]
    return (head, rest) if head == verdict.parts.do else (words("pages.by_years"), [head, *rest])


class VerdictBox:
    """The verdict at the top."""

    def __init__(self) -> None:
        self.html, self.lines = ipywidgets.HTML(), ipywidgets.HTML()
        self.box, self.said = held(self.html, "lc-sticky"), held(self.lines, "lc-said")
        self._word: str | None = None
        self._turned = ""
        self._moved: list[str] = []

    @property
    def word(self) -> str | None:
        """The word that stands there; None if there is no verdict."""
        return self._word

    def needed(self, numbers: tuple[int, ...]) -> None:
        """Say which questions have to be answered before there is a verdict."""
        self._word, self._turned, self._moved = None, "", []
        named = listed(str(number) for number in numbers)
        question = "question" if len(numbers) == 1 else "questions"
        said = f"Still needed: {question} {named}."
        self._put(WAITING, [said, WHY_NONE], "")

    def working(self, moved: tuple[str, ...]) -> None:
        """Mark what stands there as old, and keep what was changed."""
        self._moved += [one for one in moved if one not in self._moved]
        for box in (self.box, self.said):
            box.add_class("lc-old")

    def show(self, answer: Answer) -> None:
        """Show a verdict, whole or its first part."""
        parts = answer.verdict.parts
        if self._word is not None and parts.word != self._word:
            self._turned = turned_sentence(self._word, parts.word, self._moved)
        elif self._moved:
            self._turned = ""
        self._word, self._moved = parts.word, []
        head, rest = at_top(answer.verdict)
        by = parts.by if head == parts.do else None
        self._put(head, rest, say("pages.whole"), of_20=by["of_20"] if by else None)
        self._new()

    def failed(self) -> None:
        """Let the last verdict stand."""
        self._moved = []
        self._new()

    def _new(self) -> None:
        """Mark what stands there as new."""
        for box in (self.box, self.said):
            box.remove_class("lc-old")

    def _put(self, head: str, lines: list[str], whole: str, of_20: float | None = None) -> None:
        """Put the verdict on the page; `whole`: the name of a link to what stands below it."""
        marks = None if of_20 is None else (int(of_20), filled_marks(int(of_20)))
        self.html.value = part("verdict", head, marks) + (part("jump", whole) if whole else "")
        self.lines.value = part("reached", as_lines(lines) + part("status", [self._turned], "lc-turned"))


def turned_sentence(before: str, now: str, moved: list[str]) -> str:
    """Say that the word changed, and which answer did it.

    Examples
    --------
    >>> turned_sentence("probably cheaper", "dearer", ["the quote"])
    'The word changed from "probably cheaper" to "dearer": the quote did it.'
    """
    did = listed(moved) or "a change"
    return f'The word changed from "{before}" to "{now}": {did} did it.'


def twenty(number: int) -> str:
    """Return twenty marks, so many of them filled from the left."""
    return part("twenty", number, filled_marks(number))


def filled_marks(number: int) -> str:
    """Say what twenty marks show."""
    return say("pages.marks", number=str(number))
