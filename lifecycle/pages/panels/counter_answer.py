"""The answer at the counter on one screen: verdict, cheapest way, why, price; the rest folded away below.

Lecture
-------
The order is fixed, so that nobody hears a price before hearing what it is worth:

    1  the verdict, its five lines, also when it says no
    2  the cheapest way with and without climbing
    3  of 20 futures, and why in one line
    4  the price in its two forms

Folded away, in this order: whose figures these are, the price line by line with the highest price worth
paying, other work, what was not looked at. The sentences are those of the verdict grammar, unchanged. With
trouble that nobody opened the path stands in the place of all: stay off, what to open, whom to call.

Left out: what asks (`counter_questions`, `counter_walk`, `counter_price`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from html import escape
from typing import Any

import ipywidgets

from lifecycle.answers.quote import price_blocks
from lifecycle.language.labels import by_unit, counted, inner, listed, rounded, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.trouble import found_lines, path_lines
from lifecycle.language.verdict import willing_lines
from lifecycle.pages.panels.answering import Answer
from lifecycle.pages.panels.counter_other_work import Offer
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.guard import Say
from lifecycle.pages.panels.verdict_box import at_top, turned_sentence, twenty
from lifecycle.pages.panels.words_on_page import items, lines, paragraphs, table
from lifecycle.quantities import money_text, number_text
from lifecycle.quote import TwoForms
from lifecycle.scenario import Seen
from lifecycle.studies.quoting import Examination, scope
from lifecycle.writers.html import as_parts

FOLDED = ("figures", "price", "work", "unseen")
"""What is folded away of the answer, in its order."""

SHOWN_UNITS = ("coach",)
"""Names of what was not looked at that the page says in its own words."""


class CounterAnswer:
    """The answer: its heading above all steps, one screen, and what is folded away.

    Parameters
    ----------
    say_status : callable
        Shows a sentence in the status line.
    """

    def __init__(self, say_status: Say) -> None:
        self.first, self.screen, self.price = (ipywidgets.HTML() for _ in range(3))
        self.first.add_class("lc-sticky")
        self.folded = {name: ipywidgets.HTML() for name in FOLDED}
        self.folds: Mapping[str, Fold] = {
            name: Fold(say(f"counter.folds.{name}"), self._filling(name), say_status) for name in FOLDED
        }
        panel = ipywidgets.VBox([self.screen, self.price])
        panel.add_class("lc-panel")
        panel.add_class("lc-screen")
        self.box = panel
        self._word: str | None = None
        self._moved: list[str] = []
        self._turned = self._worth = ""

    @property
    def word(self) -> str | None:
        """The word of the verdict; None if there is none."""
        return self._word

    def needed(self, what: Iterable[str]) -> None:
        """Say what has to be known before anything is compared; no price is shown."""
        self._forget()
        self._put_first(say("counter.answer.waiting"), say("counter.answer.needed", what=listed(what)))
        self._fold_away()

    def stop(self, seen: Seen, *, wet: bool) -> None:
        """Show the path of trouble that nobody opened, and nothing else."""
        self._forget()
        told = say("counter.answer.seen", signs=listed(seen.stops))
        self._put_first(say("counter.answer.stop"), told, stop=True)
        last = say("counter.answer.wet_open" if wet else "counter.answer.then")
        self.screen.value = items([*path_lines(seen)[:-1], last])
        self._fold_away()

    def working(self, moved: Iterable[str]) -> None:
        """Mark what stands there as old."""
        self._moved += [one for one in moved if one not in self._moved]
        for part in self._parts():
            part.add_class("lc-old")

    def failed(self) -> None:
        """Let the last answer stand."""
        self._moved = []
        for part in self._parts():
            part.remove_class("lc-old")

    def show_first(self, answer: Answer) -> None:
        """Show the verdict, and of 20."""
        parts = answer.verdict.parts
        if self._word is not None and parts.word != self._word:
            self._turned = turned_sentence(self._word, parts.word, self._moved)
        elif self._moved:
            self._turned = ""
        self._word, self._moved, self._worth = parts.word, [], answer.verdict.price
        head, rest = at_top(answer.verdict)
        self._put_first(head, self._turned)
        self.screen.value = lines(rest)
        self.screen.remove_class("lc-old")

    def show_whole(self, answer: Answer) -> None:
        """Show the whole verdict, the cheapest way that the customer is willing to take, and why."""
        _, rest = at_top(answer.verdict)
        rest = [*rest, *answer.verdict.lines[answer.verdict.top :]]
        by, beside = answer.verdict.parts.by, []
        if answer.found is not None:
            beside = [*willing_lines(answer.comparison, answer.found)[1:], *why_lines(answer)]
        beside += found_shortly(answer.scenario.seen)
        marks = twenty(int(by["of_20"] or 0)) if by else ""
        self.screen.value = (
            f'<div class="lc-two-sides"><div>{lines(rest)}</div><div>{marks}{paragraphs(beside)}</div></div>'
        )
        self.screen.remove_class("lc-old")

    def show_rest(
        self, offers: Iterable[str], examination: Examination, work: Iterable[Offer], unseen: Iterable[str]
    ) -> None:
        """Show whose figures these are, the price, other work, and what was not looked at."""
        self.folded["figures"].value = paragraphs(offers)
        worth = paragraphs([self._worth] if self._worth else [])
        if examination.quotes:
            forms, units = examination.quotes[0].forms, examination.scenario.units
            said = [price_line(forms, units), say("counter.answer.signs")]
            self.price.value = f"<h3>{escape(say('counter.answer.price'))}</h3>{paragraphs(said)}"
            maker = paragraphs([say("counter.caution.maker")])
            self.folded["price"].value = worth + as_parts(price_blocks(examination)) + maker
        else:
            self.price.value = ""
            self.folded["price"].value = worth + paragraphs([say("counter.answer.no_quote")])
        self.folded["work"].value = work_html(work)
        self.folded["unseen"].value = items(unseen) or paragraphs([say("counter.answer.all_seen")])
        for name, fold in self.folds.items():
            fold.box.layout.display = "" if self.folded[name].value else "none"
        for part in self._parts():
            part.remove_class("lc-old")

    def _filling(self, name: str) -> Callable[[], list[Any]]:
        """Return what fills a fold."""
        return lambda: [self.folded[name]]

    def _parts(self) -> list[Any]:
        """Return every part that can be old."""
        return [self.first, self.screen, self.price, *self.folded.values()]

    def _put_first(self, head: str, said: str, *, stop: bool = False) -> None:
        """Put the heading on the page, with one sentence below it."""
        kind = ' class="lc-stop"' if stop else ""
        turned = paragraphs([said], kind="lc-turned" if said == self._turned else "")
        self.first.value = (
            f'<div role="status" aria-live="polite" id="verdict"{kind}>'
            f'<h2 class="lc-word">{escape(head)}</h2>{turned}</div>'
        )
        self.first.remove_class("lc-old")

    def _forget(self) -> None:
        """Take the answer and its price away."""
        self._word, self._turned, self._moved, self._worth = None, "", [], ""
        for part in self._parts():
            part.value = ""
            part.remove_class("lc-old")

    def _fold_away(self) -> None:
        """Take the folds of the answer away."""
        for fold in self.folds.values():
            fold.box.layout.display = "none"


def why_lines(answer: Answer) -> list[str]:
    """Say in one line why: new roofs, upkeep and leaks of the way that leads, against the other.

    All at likely values, as counts and as cost in today's money over the years kept.
    """
    parts, ways = answer.verdict.parts, answer.comparison.ways
    pair = (parts.leads, parts.leads_over)
    if None in pair or not set(pair) <= set(ways) or pair[0] == pair[1]:
        return []
    one, other = (ways[str(name)] for name in pair)

    def against(name: str, *, money: bool = False) -> str:
        values = [(way.by_category if money else way.expected)[name] for way in (one, other)]
        texts = [rounded(value) if money else number_text(value, 2) for value in values]
        return say("counter.answer.pair", one=texts[0], other=texts[1])

    return [
        say(
            "counter.answer.why",
            years=years_text(answer.comparison.holding_period),
            other=inner(other.title),
            renewals=against("renewals"),
            upkeep=against("upkeep", money=True),
            leaks=against("leaks"),
        )
    ]


def found_shortly(seen: Seen) -> list[str]:
    """Say on the screen that it was opened, and measured; the whole of it stands below (`found_lines`)."""
    said = [] if seen.opened is None else [say(f"counter.answer.opened_{seen.opened.found}")]
    if seen.meter is not None and not seen.meter.wet:
        said.append(say("counter.answer.measured", places=counted(len(seen.meter.readings), "place")))
    return said


def price_line(forms: TwoForms, units: str) -> str:
    """Say the price in its two forms, in one line."""
    wood, cap = say("counter.answer.no_wood"), say("counter.answer.no_cap")
    if forms.wood_price is not None:
        wood = say("counter.answer.wood", price=by_unit(forms.wood_price, "m2", units))
    if forms.cap is not None:
        cap = say("counter.answer.cap", money=money_text(forms.cap))
    slots = {"sound": money_text(forms.sound), "fixed": money_text(forms.all_in)}
    return say("counter.answer.price_line", wood=wood, cap=cap, **slots)


def work_html(work: Iterable[Offer]) -> str:
    """Return other work as a table: each says when it is the cheaper choice."""
    rows = [(offer.work, offer.price, offer.cheaper_when) for offer in work]
    return f'<div class="lc-left">{table(words("counter.work.head"), rows)}</div>' if rows else ""


def unseen_lines(examination: Examination, hours: Iterable[str] = ()) -> list[str]:
    """Say what nobody measured or looked at, and what the price leaves out."""
    seen = examination.scenario.seen
    names = [name for name in examination.unseen if name != "deck"]
    said = [*found_lines(seen)] + [
        say("counter.answer.unmeasured") if name in SHOWN_UNITS else words("quote.unseen")[name]
        for name in names
    ]
    said += [] if seen.dry_places else [words("quote.unseen")["deck"]]
    parts = scope()
    said += [
        say("counter.answer.not_in_price", part=parts[part]["title"], ask=parts[part]["ask"])
        for quoted in examination.quotes[:1]
        for part in quoted.left_out
    ]
    return [*said, *(say("counter.answer.by_the_hour", what=what) for what in hours)]
