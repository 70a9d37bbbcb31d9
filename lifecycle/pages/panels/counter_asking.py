"""What a counter measures and asks for a price: the walk on the roof, and what the shop takes for it.

Lecture
-------
*The walk.* Length, width, caps, edge; what goes through the roof, by kind and by what happens to it; what the
deck is made of; what a moisture meter reads, place by place. What nobody measured stays empty, and is told as
not looked at. The buttons count what has the fate that is chosen above them; what is counted with another
fate stands behind each name. The roof plan is drawn anew at each change, beside the page; below stand the
quantities.

*The price.* A price list is loaded from the computer of whoever uses the page, or filled in here, each line
checked as it is typed, and saved as a file. It stays in memory for the session, through any number of
customers, and is never written anywhere unasked. Its entries can be left out of a job one by one. Without a
list one number is the price, with tax, and another the price of new wood. No price is shown here but what the
seller types: what it comes to is shown with the answer.

Left out: what a price comes to (`answers.quote`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

import ipywidgets

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.interview.price_list import price_answers, price_list_text, price_parts
from lifecycle.language.labels import counted
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.counter_customer import MEASURES, Asked, Walk, by_the_hour
from lifecycle.pages.panels.fields import Field, Stepper, Steps, follow
from lifecycle.pages.panels.folds import Fold, telling_worker
from lifecycle.pages.panels.pieces import (
    Tell,
    below,
    beside,
    button,
    dropdown,
    file_link,
    html,
    mark,
    paragraphs,
    part,
    picture_of,
    picture_widget,
    put,
    put_away,
    said,
    upload,
    watched,
)
from lifecycle.pages.panels.session import does_not_fit, with_one
from lifecycle.pages.panels.worker import Job
from lifecycle.quantities import capital, convert
from lifecycle.reading.quotes import PriceList
from lifecycle.scenario import Scenario

STEPS: Mapping[str, tuple[str, float]] = {"us": ("ft", 0.5), "metric": ("m", 0.1)}
EDGE_STEPS: Mapping[str, tuple[str, float]] = {"us": ("in", 0.5), "metric": ("mm", 10.0)}
"""Unit and step of a length, and of the edge, by the units of the page."""

READING = Steps(1.0, 1.0, 0.0, 100.0, "percent")
"""How a reading of a meter is stepped."""

MOST = 99
"""Most fixtures of one kind and fate."""

WITHOUT_LIST = ("number", "wood")
"""Amounts that a price list says."""


class WalkPanel:
    """What is measured and counted on the roof.

    Parameters
    ----------
    took : callable
        Takes the walk after each change; returns what is wrong with it, or "".
    roof : callable
        Returns a scenario with the roof of a walk; runs beside the page.
    tell : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(
        self, took: Callable[[Walk], str], roof: Callable[[Walk], Scenario], tell: Tell, units: str = "us"
    ) -> None:
        self._took, self._roof, self._tell, self.units = took, roof, tell, units
        self.walk, self._quiet = Walk(), False
        self._worker = telling_worker(tell)
        told = words("counter.walk")
        self.measures = {
            name: Stepper(told["measures"][name], _steps(name, units), partial(self._measured, name), tell)
            for name in MEASURES
        }
        kinds = files.fields()["penetrations"]["kind"].choices
        self.fate = ipywidgets.ToggleButtons(options=[(name, fate) for fate, name in _fates().items()])
        count = Steps(1.0, 1.0, 0.0, float(MOST), whole=True)
        self.counts = {
            kind: Stepper(capital(kind), count, partial(self._counted, kind), tell) for kind in kinds
        }
        self.none = button(told["nothing_button"], self._nothing_through, tell)
        self.deck = dropdown(told["deck"], told["decks"])
        self.readings = {place: self._meter(place) for place in told["places"]}
        limit = replace(READING, low=1.0)
        self.limit = Stepper(
            told["limit"], limit, lambda value: self._metered(limit=value), tell, buttons=False
        )
        self.dry = beside("lc-steppers")
        self.lacking, self.said, self.plan = html(), html(), picture_widget()
        self._drawn_plan = beside("lc-chart", self.plan)
        self.box = below("lc-walk", *self._laid_out())
        watched(self.fate, lambda _: self._show_counts(), tell)
        watched(self.deck, lambda _: self._chosen(), tell)
        self.show(Walk())

    def show(self, walk: Walk) -> None:
        """Show a walk without taking it."""
        self.walk, self._quiet = walk, True
        try:
            for name, stepper in self.measures.items():
                unit, own = _unit(name, self.units), files.fields()["coach"][name].unit
                value = walk.measures.get(name)
                stepper.show(None if value is None else round(convert(value, own, unit), 4))
            if walk.deck and walk.deck not in self.deck.options:
                self.deck.options = [*self.deck.options, walk.deck]
            self.deck.value = walk.deck or self.deck.options[0]
            self._show_readings()
        finally:
            self._quiet = False
        self._show_counts()
        self._draw()

    def _laid_out(self) -> list[Any]:
        """Return the controls as they stand below each other."""
        told = words("counter.walk")
        measures, counts = (
            beside("lc-steppers", *(stepper.box for stepper in steppers.values()))
            for steppers in (self.measures, self.counts)
        )
        counted = html(part("titled", told["through"], paragraphs([told["count"]]), 3))
        self.counted, deck = html(), beside("lc-field", self.deck)
        metered = html(part("titled", told["moisture"], paragraphs([told["moisture_said"]]), 3))
        head = html(part("titled", told["title"], paragraphs([say("counter.caution.ladder")])))
        parts = [
            measures,
            self._drawn_plan,
            self.said,
            counted,
            self.fate,
            counts,
            self.none,
            self.counted,
            deck,
        ]
        return [head, *parts, metered, self.limit.box, self.lacking, self.dry]

    def _meter(self, place: str) -> Stepper:
        """Return the control of the reading at one place."""
        return Stepper(capital(place), READING, partial(self._read, place), self._tell, buttons=False)

    def _measured(self, name: str, value: float | None) -> str:
        """Take one measure."""
        unit, own = _unit(name, self.units), files.fields()["coach"][name].unit
        measured = None if value is None else convert(value, unit, own)
        return self._take(replace(self.walk, measures=with_one(self.walk.measures, name, measured)))

    def _counted(self, kind: str, value: float | None) -> str:
        """Take how many there are of a kind."""
        key = kind, str(self.fate.value)
        kept = {other: old for other, old in (self.walk.through or {}).items() if other != key}
        through = {**kept, key: int(value)} if value else kept
        wrong = self._take(replace(self.walk, through=through))
        if not wrong:
            self._show_counts()
        return wrong

    def _nothing_through(self) -> None:
        """Take that nothing goes through the roof."""
        self._take(replace(self.walk, through={}))
        self._show_counts()

    def _chosen(self) -> None:
        """Take what the deck is made of."""
        if not self._quiet:
            deck = "" if self.deck.value == self.deck.options[0] else str(self.deck.value)
            self._take(replace(self.walk, deck=deck))

    def _read(self, place: str, value: float | None) -> str:
        """Take the reading at one place."""
        return self._metered(readings=with_one(self.walk.readings, place, value))

    def _metered(self, **changed: Any) -> str:
        """Take a changed reading or limit."""
        walk = replace(self.walk, **changed)
        wrong = self._took(walk)
        if not wrong:
            self.walk = walk
            self._say_lacking()
        return wrong

    def _show_readings(self) -> None:
        """Show what was read, at the places of the page and at those of a file."""
        walk = self.walk
        for place in walk.readings:
            if place not in self.readings:
                self.readings[place] = self._meter(place)
        for place, stepper in self.readings.items():
            stepper.show(walk.readings.get(place))
        self.limit.show(walk.limit)
        self.dry.children = [stepper.box for stepper in self.readings.values()]
        self._say_lacking()

    def _say_lacking(self) -> None:
        """Say that readings without a limit do not count."""
        lacking = bool(self.walk.readings) and self.walk.limit is None
        told = say("counter.walk.limit_needed") if lacking else ""
        self.lacking.value = paragraphs([told], kind="lc-message")

    def _take(self, walk: Walk) -> str:
        """Take a changed walk, and draw it."""
        wrong = self._took(walk)
        if not wrong:
            self.walk = walk
            self._draw()
        return wrong

    def _show_counts(self) -> None:
        """Show how many there are of each kind with the fate that is chosen."""
        for kind, stepper in self.counts.items():
            through = self.walk.through
            stepper.show(None if through is None else float(through.get((kind, str(self.fate.value)), 0)))
        self._name_counts()

    def _name_counts(self) -> None:
        """Say behind each kind how many have another fate."""
        through = self.walk.through or {}
        for kind, stepper in self.counts.items():
            others = [
                f"{through[kind, fate]} {name}"
                for fate, name in _fates().items()
                if fate != self.fate.value and through.get((kind, fate))
            ]
            stepper.name(capital(kind), "; ".join(others))
        self.counted.value = paragraphs([counted_sentence(self.walk)])

    def _draw(self) -> None:
        """Draw the roof and write its quantities, beside the page."""
        mark(self._drawn_plan, "lc-old", True)
        walk = self.walk
        if "length" in walk.measures and self.plan.layout.display == "none":
            self.said.value = paragraphs([say("counter.walk.drawing")])
        self._worker.start(lambda job: self._drawn(walk, job))

    def _drawn(self, walk: Walk, job: Job) -> None:
        """Draw the roof of a walk."""
        from lifecycle.answers.quote import measured
        from lifecycle.charts import roof_plan
        from lifecycle.scenario.takeoff import takeoff_of

        if "length" not in walk.measures:
            job.show(lambda: self._show_plan(None, [say("counter.walk.no_plan")]))
            return
        scenario = self._roof(walk)
        job.check()
        drawn = picture_of(roof_plan(scenario))
        lines = [*measured(takeoff_of(scenario), self.units), say("counter.caution.weight")]
        job.show(lambda: self._show_plan(drawn, lines))

    def _show_plan(self, drawn: tuple[bytes, str] | None, lines: list[str]) -> None:
        """Show the roof plan and the quantities."""
        put_away(self.plan, drawn is None)
        if drawn is not None:
            put(self.plan, *drawn)
        mark(self._drawn_plan, "lc-old", False)
        self.said.value = paragraphs(lines)


def counted_sentence(walk: Walk) -> str:
    """Say what was counted.

    Examples
    --------
    >>> counted_sentence(Walk(through={("roof vent", "refit"): 2, ("antenna", "remove"): 1}))
    'Counted: 2 roof vents taken off and put back; 1 antenna removed, hole patched.'
    """
    if walk.through is None:
        return say("counter.walk.not_counted")
    parts = [
        f"{counted(count, kind)} {_fates()[fate]}" for (kind, fate), count in walk.through.items() if count
    ]
    return say("counter.walk.counted", what="; ".join(parts) or say("counter.walk.nothing"))


def _fates() -> Mapping[str, str]:
    """Return what happens to a fixture, in words."""
    found: Mapping[str, str] = words("counter.walk.fates")
    return found


def _unit(name: str, units: str) -> str:
    """Return the unit in which a measure is entered."""
    return (EDGE_STEPS if name == "edge" else STEPS)[units][0]


def _steps(name: str, units: str) -> Steps:
    """Return how a measure is stepped: from that of the reference coach, within what is allowed."""
    unit, step = (EDGE_STEPS if name == "edge" else STEPS)[units]
    info = files.fields()["coach"][name]
    low, high = (convert(value, info.unit, unit) for value in (info.low, info.high))
    first = 0.0 if name == "edge" else convert(_usual(name), "ft", unit)
    said = words("counter.walk.units").get(unit, unit)
    return Steps(step, round(round(first / step) * step, 6), low, high, said)


def _usual(name: str) -> float:
    """Return a measure of the reference coach; caps share what is not sprayed. [ft]"""
    shared = files.shared()["coach"]
    length: float = shared["reference_length"]["value"]
    if name == "length":
        return length
    if name == "width":
        return float(shared["reference_area"]["value"] / length)
    return float((1.0 - shared["sprayed_share"]["likely"]) * length / 2.0)


class PricePanel:
    """What the shop asks.

    Parameters
    ----------
    took : callable
        Takes what is asked of this customer; returns what is wrong with it, or "".
    listed : callable
        Takes the price list, or None where it was taken away.
    tell : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(
        self,
        took: Callable[[Asked], str],
        listed: Callable[[PriceList | None], object],
        tell: Tell,
        units: str = "us",
    ) -> None:
        self._took, self._listed, self._tell, self.units = took, listed, tell, units
        self.asked, self._quiet = Asked(), False
        self.prices: PriceList | None = None
        told = words("counter.price")
        self.load = upload(say("pages.load.prices"), ".toml", self._loaded, tell)
        self.away = button(told["away"], lambda: self.use(None), tell)
        self.entries = beside("lc-entries")
        self.job = Fold(told["in_job"], lambda: [self.entries], tell)
        self.form = Fold(told["fill"], self._form, tell)
        self.fields: dict[str, Field] = {}
        self.said, self.save = html(), html()
        self.filled: dict[str, Any] = {}
        self.amounts = {name: self._amount(name) for name in told["amounts"]}
        cautions = paragraphs([say("counter.caution.strip"), say("counter.caution.spray")])
        self.box = below(
            "",
            html(part("titled", told["title"], cautions)),
            self.said,
            beside("lc-bar", self.load, self.away),
            self.form.box,
            self.job.box,
            beside("lc-steppers", *(stepper.box for stepper in self.amounts.values())),
        )
        self.show(Asked())

    def show(self, asked: Asked) -> None:
        """Show what is asked without taking it; the price list stays."""
        self.asked = asked
        for name, stepper in self.amounts.items():
            value = getattr(asked, name)
            stepper.show(None if value is None else self._in_units(name, value))
        self._show_list()

    def use(self, prices: PriceList | None) -> None:
        """Use a price list, or none."""
        self.prices = prices
        self.show(replace(self.asked, left_out=frozenset()))
        self.form.renew()
        self._listed(prices)

    def _form(self) -> list[Any]:
        """Return the price list as fields, made when they are wanted first."""
        known = {} if self.prices is None else price_answers(self.prices, self.units)
        if known is None:
            return [said(say("counter.price.by_hand"))]
        self.filled = known
        if not self.fields:
            parts = price_parts(self.units)
            self.fields = {key: Field(one, self._fill, self._tell, self.units) for key, one in parts.items()}
        for key, field in self.fields.items():
            field.show(known.get(key))
        follow(self.fields.values(), self.filled)
        rows = beside("lc-two", *(field.box for field in self.fields.values()))
        return [said(say("counter.price.fill_said")), rows, self.save]

    def _fill(self, key: str, value: Any) -> str:
        """Take one line of the price list; return why not, or ""."""
        filled = with_one(self.filled, key, value)
        title = say("counter.price.title_of_form")
        content = price_list_text(filled, self.units, title).encode("utf-8")
        try:
            prices = files.loads_prices(content, title)
        except ScenarioError as error:
            return does_not_fit(error.faults[0])
        self.filled = filled
        follow(self.fields.values(), self.filled)
        usable = any(not entry.get("contingent") for entry in prices.job.values())
        link = file_link("prices.toml", content, "application/toml", say("counter.price.save"))
        self.save.value = link + paragraphs([] if usable else [say("counter.price.no_job")])
        self.prices = prices if usable else None
        self._show_list()
        self._listed(self.prices)
        return ""

    def _amount(self, name: str) -> Stepper:
        """Return the control of one amount."""
        most = files.fields()["quotes"]["cap"].high
        area = "m2" if self.units == "metric" else "sq ft"
        label = words("counter.price.amounts")[name].replace("{area}", area)

        def take(value: float | None) -> str:
            kept = value
            if name == "wood" and value is not None and self.units == "us":
                kept = convert(value, "money/sq ft", "money/m2")
            changed: dict[str, Any] = {name: kept}
            return self._take(replace(self.asked, **changed))

        return Stepper(label, Steps(most, 0.0, 0.0, most), take, self._tell, buttons=False)

    def _take(self, asked: Asked) -> str:
        """Take what is asked."""
        wrong = self._took(asked)
        if not wrong:
            self.asked = asked
        return wrong

    def _in_units(self, name: str, value: float) -> float:
        """Return an amount as it is shown."""
        if name == "wood" and self.units == "us":
            return round(convert(value, "money/m2", "money/sq ft"), 4)
        return value

    def _show_list(self) -> None:
        """Show what the price list holds, and what has to be typed without one."""
        prices = self.prices
        put_away(self.away, prices is None)
        put_away(self.job.box, prices is None)
        for name in WITHOUT_LIST:
            put_away(self.amounts[name].box, prices is not None)
        lines = [say("counter.price.no_list")]
        if prices is not None:
            lines = [say("counter.price.list", title=prices.title or say("counter.price.untitled"))]
            if hours := by_the_hour(prices):
                lines.append(say("counter.price.by_hour", what=", ".join(hours)))
        self.said.value = paragraphs(lines)
        self.entries.children = [self._entry(name, entry) for name, entry in _listed(prices)]

    def _entry(self, name: str, entry: Mapping[str, Any]) -> Any:
        """Return the control of one entry of the list."""
        only = bool(entry.get("contingent"))
        what = say("counter.price.only_if", what=entry["what"]) if only else entry["what"]
        box = ipywidgets.Checkbox(description=what, value=name not in self.asked.left_out, indent=False)
        return watched(box, lambda wanted: self._ticked(name, box, wanted), self._tell)

    def _ticked(self, name: str, box: Any, wanted: bool) -> None:
        """Take an entry in, or leave it out; one that cannot be left out comes back."""
        if self._quiet:
            return
        left_out = self.asked.left_out - {name} if wanted else self.asked.left_out | {name}
        if wrong := self._take(replace(self.asked, left_out=left_out)):
            self._quiet = True
            box.value = not wanted
            self._quiet = False
            self._tell(wrong)

    def _loaded(self, name: str, content: bytes) -> None:
        """Read a price list."""
        prices = files.loads_prices(content, name)
        self.use(prices)
        self._tell(say("counter.price.loaded", title=prices.title or name))


def _listed(prices: PriceList | None) -> list[tuple[str, Mapping[str, Any]]]:
    """Return the entries of a price list that can be in a job."""
    if prices is None:
        return []
    hours = by_the_hour(prices)
    return [(name, entry) for name, entry in prices.job.items() if entry["what"] not in hours]
