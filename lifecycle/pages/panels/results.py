"""The answer on a page: what next, the chart, the table of 20s.

Lecture
-------
The chart shows all futures at once; it follows the word of the verdict. The table of 20s is marked as
old and follows. The sentences are those of the verdict, unchanged.

Left out: the verdict at the top (`verdict_box`), and what is folded away (`owner`).
"""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets

from lifecycle.answers.doubt import twenties, ways_by_years
from lifecycle.language.labels import counted
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import NO_QUOTE, NO_SINGLE
from lifecycle.pages.panels.answering import Answer
from lifecycle.pages.panels.folds import held
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.pages.panels.pictures import KeptPicture
from lifecycle.pages.panels.words_on_page import items, lines, paragraphs, part
from lifecycle.pages.panels.working import Show
from lifecycle.studies.habits import Habits
from lifecycle.studies.verdict import not_sure
from lifecycle.writers.html import as_parts

HEIGHT, PLACE = 5.5, (0.15, 0.95, 5.7, 3.8)
"""Height of the chart; its axes on it. [inch]"""

UNSAID = (NO_QUOTE, NO_SINGLE)
"""Words of a verdict that holds no price, or no habit: no chart stands for either."""


class Results:
    """What stands beside the questions."""

    def __init__(self, other_ways: Callable[[], object], say: Say) -> None:
        self.other = ipywidgets.Button()
        self.other.on_click(guarded(lambda _: other_ways(), say))
        self.next, self.table, self.beside, self.ways = (ipywidgets.HTML() for _ in range(4))
        self.picture = KeptPicture(HEIGHT, PLACE)
        self._boxes = {
            "picture": held(self.picture.image, "lc-chart"),
            "ways": held(self.ways, "lc-ways"),
            "next": held(self.next, "lc-next"),
            "table": held(self.table, "lc-table"),
            "beside": held(self.beside, "lc-beside"),
            "other": held(self.other, "lc-other"),
        }
        self.box = ipywidgets.Box(list(self._boxes.values()))
        self.box.add_class("lc-answer")
        self.clear()

    def clear(self) -> None:
        """Show nothing, as nothing was answered."""
        for widget in (self.next, self.beside, self.table, self.ways, self.picture.image):
            widget.value = ""
        for name in ("picture", "table", "other"):
            self._show(name, there=False)

    def offer(self, number: int, *, taken: bool) -> None:
        """Offer to compare so many other ways, or to leave them aside again."""
        name = (
            say("pages.other_ways.leave")
            if taken
            else say("pages.other_ways.take", ways=counted(number, "other way"))
        )
        self.other.description = self.other.tooltip = name
        self._show("other", there=taken or number > 0)

    def old(self) -> None:
        """Mark everything as old."""
        for box in self._boxes.values():
            box.add_class("lc-old")

    def _show(self, name: str, *, there: bool = True) -> None:
        """Show a part as new, or leave it out."""
        self._boxes[name].layout.display = "" if there else "none"
        self._boxes[name].remove_class("lc-old")

    def draw(self, answer: Answer) -> Show:
        """Draw the chart of an answer, if anything is compared; return what shows it, or none."""
        from lifecycle.charts import describe_savings_spread, savings_spread

        found = answer.found
        if found is None or found.subject is None or answer.verdict.parts.word in UNSAID:
            return lambda: self._show("picture", there=False)
        sentence = describe_savings_spread(found)
        drawn = self.picture.drawn(lambda axes: savings_spread(found, axes), sentence)

        def show() -> None:
            self.picture.show(drawn, sentence)
            self._show("picture")

        return show

    def show_whole(self, answer: Answer) -> None:
        """Show what next, and what stands beside the verdict."""
        rest, beside = answer.verdict.lines[answer.verdict.top :], answer.verdict.beside
        self.next.value = part("titled", words("pages.next"), lines(rest))
        self.beside.value = part("titled", words("pages.beside"), items(beside) if beside else "")
        self.ways.value = instead(answer)
        self._show("ways", there=bool(self.ways.value))
        self._show("next")
        self._show("beside")

    def show_table(self, habits: Habits | None, answer: Answer) -> None:
        """Show the table of 20s."""
        priced = answer.verdict.parts.word != NO_QUOTE
        without = words("pages.no_table.compared" if priced else "pages.no_table.priced")
        there = habits is not None and priced
        self.table.value = _table(habits, answer) if habits and there else paragraphs([without])
        self._show("table")


def instead(answer: Answer) -> str:
    """Return what stands in the place of charts where price or habit is not sure: the ways by years."""
    found, word = answer.found, answer.verdict.parts.word
    if found is None or word not in UNSAID:
        return ""
    return as_parts([ways_by_years(found, priced=word != NO_QUOTE)])


def _table(habits: Habits, answer: Answer) -> str:
    """Return the table of 20s as HTML; the owner's own row and year stand out, where they are known."""
    titles = {way.name: way.title for way in answer.scenario.alternatives}
    compared = answer.comparison
    own = None if answer.verdict.parts.word == NO_SINGLE else titles[compared.base_case]
    kept = None if not_sure(answer.scenario, "keep") else compared.holding_period
    return as_parts([twenties(habits, titles[compared.subject or ""], own=own, kept=kept)])
