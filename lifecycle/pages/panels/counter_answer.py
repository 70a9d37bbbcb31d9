"""The answer at the counter, in its order: verdict, cheapest way, of 20, whose figures, price, unseen.

Lecture
-------
The order is fixed, so that nobody hears a price before hearing what it is worth:

    1  what the customer would do otherwise, and the verdict against it, also when it says no
    2  the cheapest way that the customer is willing to take
    3  of 20 futures
    4  which figures come from the shop, which were changed here, and the verdict with the tool's own
    5  the highest price worth paying, the price, and what can change it
    6  what was not looked at

The sentences are those of the verdict grammar, unchanged. With trouble only the first section is left,
and it says to open the roof.

Left out: what asks (`counter_questions`, `counter_walk`, `counter_price`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

import ipywidgets

from lifecycle.answers.quote import price_blocks
from lifecycle.language.labels import listed
from lifecycle.language.sentences import words
from lifecycle.language.verdict import of_20_lines, open_it_first, willing_lines
from lifecycle.pages.panels.answering import Answer
from lifecycle.pages.panels.counter_other_work import Offer
from lifecycle.pages.panels.verdict_box import turned_sentence, twenty
from lifecycle.pages.panels.words_on_page import items, paragraphs, table
from lifecycle.studies.quoting import Examination, scope
from lifecycle.writers.html import as_parts

TITLES = {
    1: "Compared with what you would do otherwise",
    2: "The cheapest way you are willing to take",
    3: "Of 20 futures",
    4: "Whose figures are these?",
    5: "The price, and what can change it",
    6: "What was not looked at",
}
"""Heading of each section, in its order."""

WAITING = "No verdict yet"
FIRST = "The price comes after it."
OPEN_TODAY = (
    "What we can do today: open the spot, or measure its moisture. Then enter what was found, and compare "
    "again."
)
ALL_SEEN = "Everything that this page asks for was measured or looked at."
WORK_HEAD = ("work", "price", "when it is the cheaper choice")
SHOWN_UNITS = ("coach",)
"""Names of what was not looked at that the page says in its own words."""

UNMEASURED = "The coach is not measured: no amount can be checked."


class CounterAnswer:
    """The sections of the answer.

    Parameters
    ----------
    asking : widget
        What asks for the price; it stands in section 5.
    """

    def __init__(self, asking: Any) -> None:
        self.sections = {number: _section() for number in TITLES}
        self.first = self.sections[1]
        self.first.add_class("lc-sticky")
        self._asking = ipywidgets.VBox([asking])
        five = ipywidgets.VBox([_head(5), self._asking, self.sections[5]])
        five.add_class("lc-section")
        self.others: dict[int, Any] = {**{number: self.sections[number] for number in (2, 3, 4)}, 5: five}
        self.others[6] = self.sections[6]
        for number in (2, 3, 4, 6):
            self.sections[number].add_class("lc-section")
        self.box = ipywidgets.VBox([self.others[number] for number in (2, 3, 4, 5, 6)])
        self._word: str | None = None
        self._moved: list[str] = []
        self._turned = self._worth = ""

    @property
    def word(self) -> str | None:
        """The word of the verdict; None if there is none."""
        return self._word

    def ask_by(self, asking: Any) -> None:
        """Ask for the price by other controls."""
        self._asking.children = [asking]

    def needed(self, what: Iterable[str]) -> None:
        """Say what has to be known before anything is compared; no price is shown."""
        self._forget()
        said = f"Still needed: {listed(what)}."
        self._put_first(WAITING, [said, FIRST])
        self._show(asked=True)

    def stop(self, trouble: Sequence[str]) -> None:
        """Say to open the roof, and nothing else."""
        self._forget()
        head, *rest = open_it_first(trouble)
        word, _, seen = head.partition(". ")
        self._put_first(f"{word}.", [seen, *rest[:2], OPEN_TODAY], stop=True)
        self._show(asked=False)

    def working(self, moved: Sequence[str]) -> None:
        """Mark what stands there as old."""
        self._moved += [one for one in moved if one not in self._moved]
        for section in self.sections.values():
            section.add_class("lc-old")

    def failed(self) -> None:
        """Let the last answer stand."""
        self._moved = []
        for section in self.sections.values():
            section.remove_class("lc-old")

    def show_first(self, answer: Answer) -> None:
        """Show the verdict, and of 20."""
        parts = answer.verdict.parts
        if self._word is not None and parts.word != self._word:
            self._turned = turned_sentence(self._word, parts.word, self._moved)
        elif self._moved:
            self._turned = ""
        self._word, self._moved, self._worth = parts.word, [], answer.verdict.price
        head, *lines = answer.verdict.lines
        self._put_first(head, lines)
        marks = "" if parts.of_20 is None else f'<div class="lc-big">{twenty(parts.of_20)}</div>'
        of_20 = of_20_lines(answer.found) if answer.found is not None else []
        self._put(3, marks + paragraphs(of_20))

    def show_whole(self, answer: Answer) -> None:
        """Show the cheapest way that the customer is willing to take."""
        found = answer.found
        self._put(2, paragraphs(willing_lines(answer.comparison, found) if found is not None else []))

    def show_rest(
        self, offers: Iterable[str], examination: Examination, work: Iterable[Offer], unseen: Iterable[str]
    ) -> None:
        """Show whose figures these are, the price, other work, and what was not looked at."""
        self._put(4, paragraphs(offers))
        worth = paragraphs([self._worth] if self._worth else [])
        self.sections[5].value = worth + as_parts(price_blocks(examination)) + work_html(work)
        self._fresh(5)
        self._put(6, items(unseen) or paragraphs([ALL_SEEN]))
        self._show(asked=True)

    def _put_first(self, head: str, lines: list[str], *, stop: bool = False) -> None:
        """Put the verdict on the page."""
        kind = ' class="lc-stop"' if stop else ""
        eyebrow = "" if stop else f'<p class="lc-eyebrow">1 {escape(TITLES[1])}</p>'
        first, *more = [*lines, ""]
        self.first.value = (
            f'<div role="status" aria-live="polite" id="verdict"{kind}>'
            f'{eyebrow}<p class="lc-word">{escape(head)}</p>'
            f"{paragraphs([self._turned], kind='lc-turned')}"
            f"<p>{escape(first)}</p>{paragraphs(more)}</div>"
        )
        self.first.remove_class("lc-old")

    def _put(self, number: int, content: str) -> None:
        """Put a section on the page."""
        self.sections[number].value = f"{_heading(number)}{content}"
        self._fresh(number)

    def _fresh(self, number: int) -> None:
        """Mark a section as up to date, and show it."""
        self.sections[number].remove_class("lc-old")
        self.others[number].layout.display = ""

    def _forget(self) -> None:
        """Take the answer and its price away."""
        self._word, self._turned, self._moved, self._worth = None, "", [], ""
        for section in self.sections.values():
            section.value = ""
            section.remove_class("lc-old")

    def _show(self, *, asked: bool) -> None:
        """Show the sections that hold something; the fifth asks for the price."""
        for number, box in self.others.items():
            there = asked if number == 5 else bool(self.sections[number].value)
            box.layout.display = "" if there else "none"


def work_html(work: Iterable[Offer]) -> str:
    """Return other work as a table: each says when it is the cheaper choice."""
    rows = [(offer.work, offer.price, offer.cheaper_when) for offer in work]
    said = "<h3>What else we can do</h3>"
    return f'{said}<div class="lc-left">{table(WORK_HEAD, rows)}</div>' if rows else ""


def unseen_lines(examination: Examination, *, moisture: bool, hours: Iterable[str] = ()) -> list[str]:
    """Say what nobody measured or looked at, and what the price leaves out."""
    names = [name for name in examination.unseen if name != "deck"]
    lines = [UNMEASURED if name in SHOWN_UNITS else words("quote.unseen")[name] for name in names]
    lines += [] if moisture else [words("quote.unseen")["deck"]]
    parts = scope()
    lines += [
        f"Not in the price: {parts[part]['title']}. {parts[part]['ask']}"
        for part in examination.quotes[0].left_out
    ]
    return [*lines, *(f"Asked by the hour, so not in the price: {what}." for what in hours)]


def _section() -> Any:
    """Return a section without content."""
    return ipywidgets.HTML()


def _head(number: int) -> Any:
    """Return the heading of a section as a widget."""
    return ipywidgets.HTML(_heading(number))


def _heading(number: int) -> str:
    """Return the heading of a section."""
    return f"<h2><b>{number}</b> {escape(TITLES[number])}</h2>"
