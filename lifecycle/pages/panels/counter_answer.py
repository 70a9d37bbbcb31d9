"""The answer at the counter on one screen: verdict, cheapest way, why, price; the rest folded away below.

Lecture
-------
The order is fixed, so that nobody hears a price before hearing what it is worth:

    1  the verdict, its five lines, also when it says no
    2  the cheapest way with and without climbing
    3  of 20 futures, and why in one line
    4  the price in its two forms

Folded away, in this order: whose figures these are, the price line by line with the highest price worth
paying, other work, what was not looked at. The sentences are those of the verdict grammar, unchanged. A
screen holds `SCREEN_WORDS`: of a longer answer what may wait (`GIVES_WAY`) goes kind by kind into the first
fold. With trouble that nobody opened the path stands in the place of all: stay off, what to open, whom to
call.

Left out: what asks (`questions`, `counter_walk`, `counter_price`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

import ipywidgets

from lifecycle.answers.quote import price_blocks
from lifecycle.interview import doubts
from lifecycle.language.cautions import found_lines, path_lines
from lifecycle.language.labels import by_unit, counted, listed, rounded, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import (
    AGAINST,
    CLIMBING,
    HANGS,
    IF_SOLD,
    TABLE,
    Piece,
    WaysInWords,
    joined,
    willing_lines,
)
from lifecycle.pages.panels.answering import Answer
from lifecycle.pages.panels.counter_other_work import Offer
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.guard import Say
from lifecycle.pages.panels.verdict_box import at_top, turned_sentence, twenty
from lifecycle.pages.panels.words_on_page import items, lines, paragraphs, part, table
from lifecycle.quantities import money_text, number_text
from lifecycle.quote import TwoForms
from lifecycle.scenario import LEAKED, Scenario, Seen
from lifecycle.studies.both_ways import changed_from_own, offers_of
from lifecycle.studies.quoting import Examination, Examined, heavy_terms, scope, usual_film
from lifecycle.writers.html import as_parts

FOLDED = ("figures", "price", "work", "unseen")
"""What is folded away of the answer, in its order."""

SCREEN_WORDS, PRICE_WORDS = 190, 30
"""Words of heading, verdict and what stands beside it; of a plain price; with steps and folds it is 250."""

HOURS, WHY, WHOSE, FOUND, TURNED = "hours", "why", "whose", "found", "turned"
"""What pieces beside the verdict say."""

GIVES_WAY = (IF_SOLD, HOURS, WHY, HANGS, AGAINST, TURNED, CLIMBING, TABLE, WHOSE)
"""What goes into the first fold where the screen does not hold it, the least important first."""

OF = 20
"""Coaches alike, of which so many leaks and new roofs are told."""

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
        self._waiting: tuple[Piece, ...] = ()
        self._put: tuple[Answer, tuple[Piece, ...]] | None = None

    @property
    def word(self) -> str | None:
        """The word of the verdict; None if there is none."""
        return self._word

    def needed(self, what: Iterable[str]) -> None:
        """Say what has to be known before anything is compared; no price is shown."""
        self._forget()
        self._put_first(say("counter.answer.waiting"), say("counter.answer.needed", what=listed(what)))
        self._fold_away()

    def stop(self, seen: Seen, *, found: str) -> None:
        """Show the path of trouble that nobody opened, and nothing else."""
        self._forget()
        told = say("counter.answer.seen", signs=listed(seen.stops))
        self._put_first(say("counter.answer.stop"), told, stop=True)
        last = say(f"counter.answer.{found}_open" if found in LEAKED else "counter.answer.then")
        self.screen.value = items([*path_lines(seen)[:-1], last])
        self._fold_away()

    def working(self, moved: Iterable[str]) -> None:
        """Mark what stands there as old."""
        self._moved += [one for one in moved if one not in self._moved]
        for box in self._parts():
            box.add_class("lc-old")

    def failed(self) -> None:
        """Let the last answer stand."""
        self._moved = []
        for box in self._parts():
            box.remove_class("lc-old")

    def show_first(self, answer: Answer) -> None:
        """Show the verdict, and of 20."""
        parts = answer.verdict.parts
        if self._word is not None and parts.word != self._word:
            self._turned = turned_sentence(self._word, parts.word, self._moved)
        elif self._moved:
            self._turned = ""
        self._word, self._moved, self._worth = parts.word, [], answer.verdict.price
        self._put_screen(answer, ())

    def show_whole(self, answer: Answer) -> None:
        """Show the whole verdict, the cheapest way that the customer is willing to take, and why."""
        self._put_screen(answer, tuple(beside_pieces(answer)))

    def _put_screen(self, answer: Answer, beside: tuple[Piece, ...], price: int = PRICE_WORDS) -> None:
        """Put on the screen what it holds beside a price of so many words, and keep the rest."""
        self._put = answer, beside
        verdict, by = answer.verdict, answer.verdict.parts.by
        head, _ = at_top(verdict)
        pieces = verdict.pieces[1:] if head == verdict.parts.do else verdict.pieces
        turned = [(TURNED, self._turned)] if self._turned else []
        room = SCREEN_WORDS - counted_words((head,)) - max(0, price - PRICE_WORDS)
        shown, self._waiting = fitted((*turned, *pieces, *beside), room)
        self._put_first(head, self._turned if turned and turned[0] in shown else "")
        shown = tuple(piece for piece in shown if piece not in turned)
        marks = twenty(int(by["of_20"] or 0)) if by and beside else ""
        self.screen.value = part("boxed", "lc-two-sides", marks + lines(joined(shown)))
        self.screen.remove_class("lc-old")

    def show_rest(
        self, offers: Iterable[str], examination: Examination, work: Iterable[Offer], unseen: Iterable[str]
    ) -> None:
        """Show whose figures these are, the price, other work, and what was not looked at."""
        worth = paragraphs([self._worth] if self._worth else [])
        if examination.quotes:
            one, units = examination.quotes[0], examination.scenario.units
            said = [price_line(one.forms, units), " ".join([*cautions(one), say("counter.answer.signs")])]
            head = say("counter.answer.price")
            self.price.value = part("titled", head, paragraphs(said), 3)
            if self._put is not None:
                self._put_screen(*self._put, counted_words((head, *said)))
            maker = paragraphs([say("counter.caution.maker")])
            self.folded["price"].value = worth + as_parts(price_blocks(examination)) + maker
        else:
            self.price.value = ""
            self.folded["price"].value = worth + paragraphs([say("counter.answer.no_quote")])
        self.folded["figures"].value = lines(joined(self._waiting)) + paragraphs(offers)
        self.folded["work"].value = work_html(work)
        self.folded["unseen"].value = items(unseen) or paragraphs([say("counter.answer.all_seen")])
        for name, fold in self.folds.items():
            fold.box.layout.display = "" if self.folded[name].value else "none"
        for box in self._parts():
            box.remove_class("lc-old")

    def _filling(self, name: str) -> Callable[[], list[Any]]:
        """Return what fills a fold."""
        return lambda: [self.folded[name]]

    def _parts(self) -> list[Any]:
        """Return every part that can be old."""
        return [self.first, self.screen, self.price, *self.folded.values()]

    def _put_first(self, head: str, said: str, *, stop: bool = False) -> None:
        """Put the heading on the page, with one sentence below it."""
        kind = "lc-turned" if said == self._turned else ""
        self.first.value = part("verdict", head, None, [said], kind, "lc-stop" if stop else "")
        self.first.remove_class("lc-old")

    def _forget(self) -> None:
        """Take the answer and its price away."""
        self._word, self._turned, self._moved, self._worth, self._waiting = None, "", [], "", ()
        self._put = None
        for box in self._parts():
            box.value = ""
            box.remove_class("lc-old")

    def _fold_away(self) -> None:
        """Take the folds of the answer away."""
        for fold in self.folds.values():
            fold.box.layout.display = "none"


def counted_words(texts: Iterable[str]) -> int:
    """Return the number of words of some texts; a mark alone is none.

    Examples
    --------
    >>> counted_words(["Spray now.", "- only looking: 1 / 11"])
    6
    """
    return sum(any(map(str.isalnum, word)) for text in texts for word in text.split())


def fitted(pieces: Sequence[Piece], room: int) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """Return the pieces that a screen holds, and those that wait, each in their order.

    Examples
    --------
    >>> fitted((("much", "a b c"), ("hangs", "d e"), ("next", "f")), 4)
    ((('much', 'a b c'), ('next', 'f')), (('hangs', 'd e'),))
    """
    waiting = set(GIVES_WAY)
    for kind in reversed(GIVES_WAY):
        if counted_words(text for name, text in pieces if name not in waiting - {kind}) <= room:
            waiting.remove(kind)
    return (
        tuple(piece for piece in pieces if piece[0] not in waiting),
        tuple(piece for piece in pieces if piece[0] in waiting),
    )


def beside_pieces(answer: Answer) -> Iterator[Piece]:
    """Go through what stands beside the verdict: hours on the roof, the way without, why, what was found."""
    if answer.found is not None:
        for number, line in enumerate(willing_lines(answer.comparison, answer.found)[1:]):
            yield CLIMBING if number else HOURS, line
        yield from ((WHY, line) for line in why_lines(answer))
        yield WHOSE, whose_line(answer.scenario)
    yield from ((FOUND, line) for line in found_shortly(answer.scenario.seen))


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
        texts = [rounded(value) if money else number_text(round(OF * value)) for value in values]
        return say("counter.answer.pair", one=texts[0], other=texts[1])

    return [
        say(
            "counter.answer.why",
            coaches=str(OF),
            years=years_text(answer.comparison.holding_period),
            currency=answer.comparison.scenario.currency,
            other=WaysInWords(answer.comparison.scenario, parts.subject or "").said(other.name, "doing"),
            renewals=against("renewals"),
            upkeep=against("upkeep", money=True),
            leaks=against("leaks"),
        )
    ]


def whose_line(scenario: Scenario) -> str:
    """Say how many figures come from the shop, and how many of the tool's own were changed."""
    offers = offers_of(scenario)
    changed = [figure for figure in changed_from_own(scenario) if figure not in offers]
    numbers = {"offers": counted(len(offers), "figure"), "changed": str(len(changed))}
    return say("counter.answer.whose", **numbers)


def found_shortly(seen: Seen) -> list[str]:
    """Say on the screen that it was opened, and measured; the whole of it stands below (`found_lines`)."""
    said = [] if seen.opened is None else [say(f"counter.answer.opened_{seen.opened.found}")]
    if seen.meter is not None and not seen.meter.wet:
        if seen.meter.dry:
            said.append(say("counter.answer.measured", places=counted(len(seen.meter.dry), "place")))
        if len(seen.meter.dry) < len(seen.meter.readings):
            said.append(say("counter.answer.high_limit", wood=number_text(seen.meter.wood)))
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


def cautions(one: Examined) -> Iterator[str]:
    """Say in a few words what keeps a price from being one that holds; all of it stands with its lines."""
    found = one.counted
    if not one.quote.covered:
        yield say("counter.answer.unsaid")
    elif one.left_out:
        yield say("counter.answer.left_out", parts=counted(len(one.left_out), "part"))
    if found.most > found.stated + 0.5:
        money = {name: money_text(getattr(found, name)) for name in ("expected", "most")}
        yield say("counter.answer.counted", **money)
    if one.quote.cap is not None and not one.capped:
        yield say("counter.answer.cap_far")
    if one.plausible is not None and one.plausible.judged(one.sum.bill) == "below":
        yield say("counter.answer.low")
    if one.quote.terms.film is not None and one.quote.terms.film < usual_film()[0] - 1e-9:
        yield say("counter.answer.thin")
    if heavy_terms(one.quote) or any(doubts({"warranty_years": one.quote.terms.warranty_years})):
        yield say("counter.answer.heavy")


def work_html(work: Iterable[Offer]) -> str:
    """Return other work as a table: each says when it is the cheaper choice."""
    rows = [(offer.work, offer.price, offer.cheaper_when) for offer in work]
    return part("boxed", "lc-left", table(words("counter.work.head"), rows)) if rows else ""


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
