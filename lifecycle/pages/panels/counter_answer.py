"""The answer at the counter on one screen, and what is folded away below; what else may be sold, and said.

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

A seller who gains by one way only is not believed. So *other work* has a row for whatever else the shop can
do for this coach: a yearly look with touch-up, a reseal every third year, a moisture check today, spraying
later. When a row is the cheaper choice follows from the same futures as the verdict, by the year of sale. The
prices are those of the scenario: the shop's own where it is told, the tool's own range else.

*What may be said* are statements that people make of a coating, judged on this customer's own case
(`studies.claims`), on demand, for they take futures of their own. With trouble only what may be said before
the roof is open is left.

Left out: what asks (`fields`, `counter_asking`), work that the owner does, the case for and against.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from lifecycle.answers.claims import in_hand, judged, may_not_say, may_say, rests_on, rule, statement
from lifecycle.answers.quote import price_blocks
from lifecycle.evaluation.comparison import Comparison
from lifecycle.interview import doubts
from lifecycle.language.cautions import found_lines, path_lines
from lifecycle.language.labels import about, by_unit, coaches, counted, listed, many_of_20, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import (
    AGAINST,
    CLIMBING,
    HANGS,
    IF_SOLD,
    ROW,
    TABLE,
    Piece,
    WaysInWords,
    in_lines,
    willing_lines,
)
from lifecycle.pages.panels.folds import Fold, OnDemand, Shown
from lifecycle.pages.panels.pieces import (
    Tell,
    below,
    html,
    items,
    lines,
    mark,
    paragraphs,
    part,
    put_away,
    said,
    table,
)
from lifecycle.pages.panels.results import Turn, at_top, twenty
from lifecycle.pages.panels.session import Answer, refused
from lifecycle.pages.panels.worker import Measure
from lifecycle.plans import plan_titles
from lifecycle.quantities import Figure, money_text, number_text, rounded
from lifecycle.quote import TwoForms
from lifecycle.scenario import LEAKED, Scenario, Seen
from lifecycle.studies.claims import Claim
from lifecycle.studies.doubt import Doubt, of_20
from lifecycle.studies.futures import DRAWS, in_futures
from lifecycle.studies.objections import changed_from_own, offers_of
from lifecycle.studies.quoting import Examination, Examined, heavy_terms, scope, usual_film
from lifecycle.studies.value_of_information import value_of_a_look
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

WORK = (
    ("touch_up", "shop_look_and_touch_up", "shop_touch_up_cost", "each_year"),
    ("third_year", "shop_every_third_year", "shop_reseal_cost", "each_time"),
)
"""Work of a shop: its name in the words, its plan, the figure of its price, and how often it is due."""

DECK_LOOK, LOOK = "deck look", "figures.shop_look_cost"
"""Part of the job that is a moisture check; the tool's own price of a look."""

EVEN = 0.5
"""Chance from which a way is the cheaper choice in most futures. [-]"""

LEAST_WORTH = 0.5
"""Worth of a look below which it is none. [money]"""


class CounterAnswer:
    """The answer: its heading above all steps, one screen, and what is folded away."""

    def __init__(self, tell: Tell) -> None:
        self.first, self.screen, self.price = html(), html(), html()
        self.folded = {name: html() for name in FOLDED}
        self.folds: Mapping[str, Fold] = {
            name: Fold(say(f"counter.folds.{name}"), partial(_one, widget), tell)
            for name, widget in self.folded.items()
        }
        self.head, self._shown = below("lc-sticky", self.first), below("", self.screen)
        self.box = below("lc-panel lc-screen", self._shown, below("", self.price))
        self._boxes = (self.head, *self.box.children, *(fold.inside for fold in self.folds.values()))
        self._turn, self._worth = Turn(), ""
        self._waiting: tuple[Piece, ...] = ()
        self._put: tuple[Answer, tuple[Piece, ...]] | None = None

    @property
    def word(self) -> str | None:
        """The word of the verdict; None if there is none."""
        return self._turn.word

    def needed(self, what: Iterable[str]) -> None:
        """Say what has to be known before anything is compared; no price is shown."""
        self._forget()
        self._put_first(say("pages.needed.head"), say("counter.answer.needed", what=listed(what)))

    def stop(self, seen: Seen, *, found: str) -> None:
        """Show the path of trouble that nobody opened, and nothing else."""
        self._forget()
        told = say("counter.answer.seen", signs=listed(seen.stops))
        self._put_first(say("counter.answer.stop"), told, stop=True)
        last = say(f"counter.answer.{found}_open" if found in LEAKED else "counter.answer.then")
        self.screen.value = items([*path_lines(seen)[:-1], last])

    def working(self, moved: Iterable[str]) -> None:
        """Mark what stands there as old."""
        self._turn.by(moved)
        self._mark(old=True)

    def failed(self) -> None:
        """Let the last answer stand."""
        self._turn.moved = []
        self._mark(old=False)

    def show_first(self, answer: Answer) -> None:
        """Show the verdict, and of 20."""
        self._turn.to(answer.verdict.parts.word)
        self._worth = answer.verdict.price
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
        turned = [(TURNED, self._turn.said)] if self._turn.said else []
        room = SCREEN_WORDS - counted_words((head,)) - max(0, price - PRICE_WORDS)
        shown, self._waiting = fitted((*turned, *pieces, *beside), room)
        self._put_first(head, self._turn.said if turned and turned[0] in shown else "")
        shown = tuple(piece for piece in shown if piece not in turned)
        marks = twenty(int(by["of_20"] or 0)) if by and beside else ""
        self.screen.value = part("boxed", "lc-two-sides", marks + lines(in_lines(shown)))
        mark(self._shown, "lc-old", False)

    def show_rest(
        self, offers: Iterable[str], examination: Examination, work: Iterable[Offer], unseen: Iterable[str]
    ) -> None:
        """Show whose figures these are, the price, other work, and what was not looked at."""
        worth = paragraphs([self._worth] if self._worth else [])
        currency = examination.scenario.currency
        if examination.quotes:
            one, units = examination.quotes[0], examination.scenario.units
            mind = " ".join([*cautions(one, currency), say("counter.answer.signs")])
            said = [price_line(one.forms, units, currency), mind]
            head = say("counter.answer.price")
            self.price.value = part("titled", head, paragraphs(said), 3)
            if self._put is not None:
                self._put_screen(*self._put, counted_words((head, *said)))
            maker = paragraphs([say("counter.caution.maker")])
            self.folded["price"].value = worth + as_parts(price_blocks(examination)) + maker
        else:
            self.price.value = ""
            self.folded["price"].value = worth + paragraphs([say("counter.answer.no_quote")])
        self.folded["figures"].value = lines(in_lines(self._waiting)) + paragraphs(offers)
        rows = [(offer.work, offer.price, offer.cheaper_when) for offer in work]
        heads = [name.format(currency=currency) for name in words("counter.work.head")]
        works = table(heads, rows) if rows else ""
        self.folded["work"].value = part("boxed", "lc-left", works) if rows else ""
        self.folded["unseen"].value = items(unseen) or paragraphs([say("counter.answer.all_seen")])
        for name, fold in self.folds.items():
            put_away(fold.box, not self.folded[name].value)
        self._mark(old=False)

    def _mark(self, *, old: bool) -> None:
        """Mark every part as old or new."""
        for box in self._boxes:
            mark(box, "lc-old", old)

    def _parts(self) -> list[Any]:
        """Return every part that says something of a customer."""
        return [self.first, self.screen, self.price, *self.folded.values()]

    def _put_first(self, head: str, said: str, *, stop: bool = False) -> None:
        """Put the heading on the page, with one sentence below it."""
        kind = "lc-turned" if said == self._turn.said else ""
        self.first.value = part("verdict", head, None, [said], kind, "lc-stop" if stop else "")
        mark(self.head, "lc-old", False)

    def _forget(self) -> None:
        """Take the answer, its price and its folds away."""
        self._turn, self._worth, self._waiting, self._put = Turn(), "", (), None
        for one in self._parts():
            one.value = ""
        self._mark(old=False)
        for fold in self.folds.values():
            put_away(fold.box)


def _one(widget: Any) -> list[Any]:
    """Return what fills a fold with one widget."""
    return [widget]


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

    def waits(piece: Piece, but: str = "") -> bool:
        kind = TABLE if piece[0] == ROW else piece[0]
        return kind in waiting and kind != but

    for kind in reversed(GIVES_WAY):
        if counted_words(piece[1] for piece in pieces if not waits(piece, kind)) <= room:
            waiting.remove(kind)
    return tuple(one for one in pieces if not waits(one)), tuple(one for one in pieces if waits(one))


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
        return say("cautions.undecided.pair", one=texts[0], other=texts[1])

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


def price_line(forms: TwoForms, units: str, currency: str) -> str:
    """Say the price in its two forms, in one line."""
    wood, cap = say("counter.answer.no_wood"), say("quote.no_cap")
    if forms.wood_price is not None:
        wood = say("counter.answer.wood", price=by_unit(forms.wood_price, "m2", units))
    if forms.cap is not None:
        cap = say("counter.answer.cap", money=money_text(forms.cap))
    slots = {"sound": money_text(forms.sound), "fixed": money_text(forms.all_in)}
    return say("counter.answer.price_line", wood=wood, cap=cap, currency=currency, **slots)


def cautions(one: Examined, currency: str) -> Iterator[str]:
    """Say in a few words what keeps a price from being one that holds; all of it stands with its lines."""
    found = one.counted
    if not one.quote.covered:
        yield say("counter.answer.unsaid")
    elif one.left_out:
        yield say("counter.answer.left_out", parts=counted(len(one.left_out), "part"))
    if found.most > found.stated + 0.5:
        money = {name: money_text(getattr(found, name)) for name in ("expected", "most")}
        yield say("counter.answer.counted", currency=currency, **money)
    if one.quote.cap is not None and not one.capped:
        yield say("counter.answer.cap_far")
    if one.plausible is not None and one.plausible.judged(one.sum.bill) == "below":
        yield say("counter.answer.low")
    if one.quote.terms.film is not None and one.quote.terms.film < usual_film()[0] - 1e-9:
        yield say("counter.answer.thin")
    if heavy_terms(one.quote) or any(doubts({"warranty_years": one.quote.terms.warranty_years})):
        yield say("counter.answer.heavy")


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
    return [*said, *(say("counter.price.by_hour", what=what) for what in hours)]


@dataclass(frozen=True)
class Offer:
    """Work that the shop can do: what it is, what it costs, and when it is the cheaper choice."""

    work: str
    price: str
    cheaper_when: str


def other_work(comparison: Comparison, doubt: Doubt, examination: Examination) -> tuple[Offer, ...]:
    """Return other work, and when it is the cheaper choice."""
    kept = [offer for offer in _upkeep(comparison, doubt) if offer is not None]
    measured = comparison.scenario.seen.dry_places > 0
    check = () if measured else (_check(comparison, doubt, examination),)
    return (*kept, *check, *_later(comparison, doubt, examination))


def _upkeep(comparison: Comparison, doubt: Doubt) -> Iterator[Offer | None]:
    """Go through the work of a shop that keeps the roof."""
    scenario = comparison.scenario
    for work, plan, cost, due in WORK:
        title = plan_titles()[plan]
        ways = [
            way.name
            for way in scenario.alternatives
            if way.title.lower() == title or way.name.endswith(f"_{plan}")
        ]
        name = next((way for way in ways if way in doubt.names), None)
        figure = scenario.inputs.get(f"figures.{cost}")
        if name is not None and figure is not None:
            price = f"{_range(figure)} {say(f'counter.work.{due}')}"
            when = cheaper_when(doubt, name, comparison.subject or "")
            yield Offer(say(f"counter.work.{work}"), price, when)


def cheaper_when(doubt: Doubt, name: str, than: str) -> str:
    """Say when a way is the cheaper choice than another, by the year of sale."""
    kept = years_text(doubt.years)
    chance = many_of_20(of_20(doubt.chance_cheaper(name, than)))
    last = doubt.costs[name].shape[1] - 1
    ahead = [doubt.chance_cheaper(name, than, year) >= EVEN for year in range(1, last + 1)]
    until = ahead.index(False) if False in ahead else last
    if until == last:
        when = say("counter.work.always", years=years_text(last))
    elif not any(ahead):
        when = say("counter.work.never", years=years_text(last))
    elif not any(ahead[until:]):
        when = say("counter.work.until", years=years_text(until))
    else:
        when = say("counter.work.changes")
    return say("counter.work.kept", when=when, years=kept, chance=chance)


def _check(comparison: Comparison, doubt: Doubt, examination: Examination) -> Offer:
    """Return a moisture check today."""
    price, worth = _check_price(comparison, examination), value_of_a_look(comparison.scenario, doubt)
    found = examination.opening
    why = say("counter.work.check_why", coaches=coaches(found.wet))
    choice = say("counter.work.check_seldom")
    if worth is not None and worth >= LEAST_WORTH:
        choice = say("counter.work.check_worth", money=about(worth, comparison.scenario.currency))
    return Offer(say("counter.work.check"), price, f"{why} {choice}")


def _check_price(comparison: Comparison, examination: Examination) -> str:
    """Return the price of a moisture check: the shop's, else the tool's own for a look."""
    for examined in examination.quotes[:1]:
        asked = [item.cost for item in examined.quote.sound if item.covers == (DECK_LOOK,)]
        if asked:
            return money_text(sum(asked) * (1.0 + examined.quote.tax))
    figure = comparison.scenario.inputs.get(LOOK)
    return say("counter.work.ask") if figure is None else _range(figure)


def _later(comparison: Comparison, doubt: Doubt, examination: Examination) -> Iterator[Offer]:
    """Go through spraying later, at the price that holds today."""
    if not examination.quotes:
        return
    one, units = examination.quotes[0], examination.scenario.units
    price = money_text(one.sum.bill) if one.by_length is None else by_unit(one.by_length, "m", units)
    unit = say(f"counter.work.{'whole_job' if one.by_length is None else 'sprayed'}")
    wood = ""
    if one.forms.wood_price is not None:
        wood = say("counter.work.later_wood", price=by_unit(one.forms.wood_price, "m2", units))
    subject = comparison.subject or ""
    for way in comparison.scenario.alternatives:
        found = comparison.ways[way.name]
        if way.name == subject or found.keeps_what_stands or way.name not in doubt.names:
            continue
        chance = many_of_20(of_20(doubt.chance_cheaper(way.name, subject)))
        when = say("counter.work.later_when", title=way.title, chance=chance, years=years_text(doubt.years))
        said = say("counter.work.later_price", price=price, unit=unit, wood=wood)
        yield Offer(say("counter.work.later"), said, when)


def _range(figure: Figure) -> str:
    """Return a price with its range."""
    likely = money_text(figure.likely)
    if not figure.ranged:
        return likely
    low, high = number_text(round(figure.low)), number_text(round(figure.high))
    return say("counter.work.about", likely=likely, low=low, high=high)


class SaidPanel:
    """What may be said to this customer, judged on demand in so many futures."""

    def __init__(self, scenario: Callable[[], Scenario | None], draws: int = DRAWS) -> None:
        self._scenario, self._draws = scenario, draws
        self.demand = OnDemand(say("counter.said.judge"), self._work)
        self.box = below("", said(say("counter.said.intro")), self.demand.box)

    def _work(self, measure: Measure) -> Shown:
        """Judge every statement."""
        scenario = self._scenario()
        if scenario is None:
            raise refused("counter.said.fault")
        judged_now = partial(judged, scenario, draws=self._draws, told=measure.step)
        found = in_futures(judged_now, scenario)
        content = paragraphs([rule(scenario.currency)]) + "".join(
            claim_html(claim, scenario.units, scenario.currency) for claim in found.claims
        )
        return lambda: [html(content)]


def claim_html(claim: Claim, units: str, currency: str) -> str:
    """Return one statement with its judgement, what may be said, and why."""
    lines = [
        say("claims.may", said=may_say(claim, units, currency)),
        say("claims.may_not", said=may_not_say(claim, units, currency)),
    ]
    reasons = [
        say("claims.rests_on", inputs=rests_on(claim.rests_on)),
        say("claims.in_hand", what=in_hand(claim)),
    ]
    return part("statement", statement(claim), claim.ruling.judgement, lines, reasons)
