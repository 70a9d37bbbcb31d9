"""The answer on a page: the verdict on top, what next, the chart, the table of 20s, and papers to take home.

Lecture
-------
The sentences are those of the verdict grammar (`language.verdict`), unchanged; the first is set large. While
a newer answer is worked out the old one stays, in grey. When the word changes, it is said which answer did
it. The chart shows all futures at once and follows the word; the table of 20s follows the chart.

The papers are those of `lifecycle report`, from the same studies with the same draws. They are made when
asked for, which takes a while; each is a link that carries the file.

Left out: what is folded away (`owner`), and the screen at the counter (`counter_answer`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from lifecycle.answers.doubt import twenties, ways_by_years
from lifecycle.language.labels import counted, listed
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import NO_QUOTE, NO_SINGLE, Line, Verdict
from lifecycle.pages.panels.folds import OnDemand, Shown
from lifecycle.pages.panels.pieces import (
    KeptPicture,
    Tell,
    below,
    beside,
    button,
    file_link,
    html,
    items,
    mark,
    paragraphs,
    part,
    put_away,
    said,
)
from lifecycle.pages.panels.pieces import lines as lines_of
from lifecycle.pages.panels.session import Answer, refused
from lifecycle.pages.panels.worker import Measure, Show
from lifecycle.scenario import Scenario
from lifecycle.studies.futures import in_futures
from lifecycle.studies.habits import Habits
from lifecycle.studies.verdict import not_sure
from lifecycle.writers.html import as_parts

HEIGHT, PLACE = 5.5, (0.15, 0.95, 5.7, 3.8)
"""Height of the chart; its axes on it. [inch]"""

UNSAID = (NO_QUOTE, NO_SINGLE)
"""Words of a verdict that holds no price, or no habit: no chart stands for either."""


def at_top(verdict: Verdict) -> tuple[str, list[Line]]:
    """Return the heading of a verdict, a sentence, and the lines that stand below it."""
    head, *rest = verdict.told[: verdict.top]
    return (head[0], rest) if head[0] == verdict.parts.do else (words("pages.by_years"), [head, *rest])


class Turn:
    """The word of the verdict that stands there, and the sentence that says which answers turned it."""

    def __init__(self) -> None:
        self.word: str | None = None
        self.said = ""
        self.moved: list[str] = []

    def by(self, moved: Iterable[str]) -> None:
        """Keep what was changed, in plain words."""
        self.moved += [one for one in moved if one not in self.moved]

    def to(self, word: str | None) -> None:
        """Take the word of a new answer.

        Examples
        --------
        >>> turn = Turn()
        >>> turn.to("probably cheaper")
        >>> turn.by(["the quote"])
        >>> turn.to("dearer")
        >>> turn.said
        'The word changed from "probably cheaper" to "dearer": the quote did it.'
        """
        if self.word is not None and word != self.word:
            did = listed(self.moved) or say("pages.a_change")
            self.said = say("pages.turned", before=self.word, now=word, did=did)
        elif self.moved:
            self.said = ""
        self.word, self.moved = word, []


class VerdictBox:
    """The verdict at the top."""

    def __init__(self) -> None:
        self.html, self.lines = html(), html()
        self.box, self.said = beside("lc-sticky", self.html), beside("lc-said", self.lines)
        self.turn = Turn()

    def needed(self, numbers: tuple[int, ...]) -> None:
        """Say which questions have to be answered before there is a verdict."""
        self.turn = Turn()
        one = "question" if len(numbers) == 1 else "questions"
        needed = say(f"pages.needed.{one}", numbers=listed(str(number) for number in numbers))
        self._put(say("pages.needed.head"), [(needed, False), (say("pages.needed.why"), False)], "")

    def working(self, moved: tuple[str, ...]) -> None:
        """Mark what stands there as old, and keep what was changed."""
        self.turn.by(moved)
        self._mark(old=True)

    def show(self, answer: Answer) -> None:
        """Show a verdict, whole or its first part."""
        parts = answer.verdict.parts
        self.turn.to(parts.word)
        head, rest = at_top(answer.verdict)
        by = parts.by if head == parts.do else None
        self._put(head, rest, say("pages.whole"), of_20=by["of_20"] if by else None)
        self._mark(old=False)

    def failed(self) -> None:
        """Let the last verdict stand."""
        self.turn.moved = []
        self._mark(old=False)

    def _mark(self, *, old: bool) -> None:
        """Mark what stands there as old or new."""
        for box in (self.box, self.said):
            mark(box, "lc-old", old)

    def _put(self, head: str, lines: list[Line], whole: str, of_20: float | None = None) -> None:
        """Put the verdict on the page; `whole`: the name of a link to what stands below it."""
        marks = None if of_20 is None else (int(of_20), filled_marks(int(of_20)))
        self.html.value = part("verdict", head, marks) + (part("jump", whole) if whole else "")
        self.lines.value = part("reached", lines_of(lines) + part("status", [self.turn.said], "lc-turned"))


def twenty(number: int) -> str:
    """Return twenty marks, so many of them filled from the left."""
    return part("twenty", number, filled_marks(number))


def filled_marks(number: int) -> str:
    """Say what twenty marks show."""
    return say("pages.marks", number=str(number))


class Results:
    """What stands beside the questions."""

    def __init__(self, other_ways: Callable[[], object], tell: Tell) -> None:
        self.other = button("", other_ways, tell)
        self.next, self.table, self.beside, self.ways = html(), html(), html(), html()
        self.picture = KeptPicture(HEIGHT, PLACE)
        self._boxes = {
            "picture": beside("lc-chart", self.picture.image),
            "ways": beside("lc-ways", self.ways),
            "next": beside("lc-next", self.next),
            "table": beside("lc-table", self.table),
            "beside": beside("lc-beside", self.beside),
            "other": beside("lc-other", self.other),
        }
        self.box = beside("lc-answer", *self._boxes.values())
        self.clear()

    def clear(self) -> None:
        """Show nothing, as nothing was answered."""
        for widget in (self.next, self.beside, self.table, self.ways, self.picture.image):
            widget.value = ""
        for name in ("picture", "table", "other"):
            self._show(name, there=False)

    def offer(self, number: int, *, taken: bool) -> None:
        """Offer to compare so many other ways, or to leave them aside again."""
        take = say("pages.other_ways.take", ways=counted(number, "other way"))
        self.other.description = self.other.tooltip = say("pages.other_ways.leave") if taken else take
        self._show("other", there=taken or number > 0)

    def old(self) -> None:
        """Mark everything as old."""
        for box in self._boxes.values():
            mark(box, "lc-old", True)

    def _show(self, name: str, *, there: bool = True) -> None:
        """Show a part as new, or leave it out."""
        put_away(self._boxes[name], not there)
        mark(self._boxes[name], "lc-old", False)

    def draw(self, answer: Answer) -> Show:
        """Draw the chart of an answer, if anything is compared; return what shows it, or none."""
        from lifecycle.charts import savings_spread

        found = answer.found
        if found is None or found.subject is None or answer.verdict.parts.word in UNSAID:
            return lambda: self._show("picture", there=False)
        drawn = self.picture.drawn(partial(savings_spread, found))

        def show() -> None:
            self.picture.show(*drawn)
            self._show("picture")

        return show

    def show_whole(self, answer: Answer) -> None:
        """Show what next, and what stands beside the verdict."""
        rest, aside = answer.verdict.told[answer.verdict.top :], answer.verdict.beside
        self.next.value = part("titled", words("pages.next"), lines_of(rest))
        self.beside.value = part("titled", words("pages.beside"), items(aside) if aside else "")
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


class PaperLinks:
    """Makes the papers of what is entered; with an offer where a shop makes one on the page."""

    def __init__(self, scenario: Callable[[], Scenario | None], *, offers: bool = False) -> None:
        self._scenario, self._offers = scenario, offers
        self.demand = OnDemand(say("pages.papers.make"), self._work)
        self.box = below("", said(say("pages.papers.hold")), self.demand.box)

    def _work(self, measure: Measure) -> Shown:
        """Make the papers."""
        scenario = self._scenario()
        if scenario is None:
            raise refused("pages.papers.fault")
        from lifecycle.answers.handover import checklist
        from lifecycle.answers.papers import for_shop, for_us, gather, offer
        from lifecycle.writers.html import as_html
        from lifecycle.writers.pdf import as_pdf

        measure.step(say("pages.papers.working"))
        gathered = in_futures(lambda: gather(scenario, told=measure.step), scenario)
        measure.step(say("report.working"))
        size = "letter" if scenario.units == "us" else "a4"
        sheets = {"us": for_us(gathered), "shop": for_shop(scenario)}
        if self._offers:
            suggested = offer(gathered)
            sheets |= {} if suggested is None else {"offer": suggested}
            sheets["checklist"] = checklist()
        links = []
        for name, sheet in sheets.items():
            measure.check()
            paper = words("pages.papers.names")[name]
            page, pdf = as_html(sheet).encode("utf-8"), as_pdf(sheet, paper=size)  # type: ignore[arg-type]
            links.append(file_link(f"{name}.html", page, "text/html", paper))
            to_print = say("pages.papers.to_print", paper=paper)
            links.append(file_link(f"{name}.pdf", pdf, "application/pdf", to_print))
        shown = part("boxed", "lc-bar", "".join(links))
        return lambda: [html(shown)]
