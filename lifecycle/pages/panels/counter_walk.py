"""Walking the roof: what is measured and counted up there, with large buttons, and what it comes to.

Lecture
-------
Length, width, caps, edge; what goes through the roof, by kind and by what happens to it; what the deck
is made of; what a moisture meter reads, place by place. What nobody measured stays empty, and is told as
not looked at.
The roof plan is drawn anew at each change, beside the page; below stand the quantities.

The buttons count what has the fate that is chosen above them; what is counted with another fate stands
behind each name.

Left out: prices.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import ipywidgets

from lifecycle import files
from lifecycle.language.sentences import say as sentence
from lifecycle.language.sentences import words
from lifecycle.pages.panels.counter_customer import MEASURES, Walk
from lifecycle.pages.panels.guard import Say, guarded, sentence_of
from lifecycle.pages.panels.pictures import picture_widget, put
from lifecycle.pages.panels.steppers import Stepper, Steps
from lifecycle.pages.panels.words_on_page import paragraphs, part
from lifecycle.pages.panels.working import Job, Worker, loop_of_page
from lifecycle.quantities import convert
from lifecycle.scenario import Scenario

Took = Callable[[Walk], str]
"""Takes a walk; returns what is wrong with it, or ""."""

STEPS: Mapping[str, tuple[str, float]] = {"us": ("ft", 0.5), "metric": ("m", 0.1)}
EDGE_STEPS: Mapping[str, tuple[str, float]] = {"us": ("in", 0.5), "metric": ("mm", 10.0)}
"""Unit and step of a length, and of the edge, by the units of the page."""

PERCENT = "percent"
"""Unit of a reading."""

MOST = 99
"""Most fixtures of one kind and fate."""


class WalkPanel:
    """What is measured and counted on the roof.

    Parameters
    ----------
    took : callable
        Takes the walk after each change.
    roof : callable
        Returns a scenario with the roof of a walk; runs beside the page.
    say : callable
        Shows a sentence in the status line.
    units : str
        "us" or "metric".
    """

    def __init__(self, took: Took, roof: Callable[[Walk], Scenario], say: Say, units: str = "us") -> None:
        self._took, self._roof, self._say, self.units = took, roof, say, units
        self.walk, self._quiet = Walk(), False
        self._worker = Worker(lambda error: say(sentence_of(error)), loop_of_page())
        self.measures = {
            name: Stepper(_measure(name), _steps(name, units), self._measured(name), say) for name in MEASURES
        }
        kinds = files.fields()["penetrations"]["kind"].choices
        self.fate = ipywidgets.ToggleButtons(options=[(said, fate) for fate, said in _fates().items()])
        count = Steps(1.0, 1.0, 0.0, float(MOST), whole=True)
        self.counts = {kind: Stepper(_capital(kind), count, self._counted(kind), say) for kind in kinds}
        said = words("counter.walk")
        self.none = ipywidgets.Button(description=said["nothing_button"])
        self.deck = ipywidgets.Dropdown(description=said["deck"], options=said["decks"])
        percent = Steps(1.0, 1.0, 0.0, 100.0, PERCENT)
        self.readings = {
            place: Stepper(_capital(place), percent, self._read(place), say, buttons=False)
            for place in said["places"]
        }
        self.limit = Stepper(
            said["limit"], replace(percent, low=1.0), lambda value: self._limit(value), say, buttons=False
        )
        self.dry = ipywidgets.Box()
        self.dry.add_class("lc-steppers")
        self.lacking = ipywidgets.HTML()
        self.said, self.plan = ipywidgets.HTML(), picture_widget()
        self.box = ipywidgets.VBox(self._laid_out())
        self.box.add_class("lc-walk")
        self.fate.observe(guarded(lambda _: self._show_counts(), say), names="value")
        self.none.on_click(guarded(lambda _: self._nothing_through(), say))
        self.deck.observe(guarded(lambda _: self._chosen(), say), names="value")
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
        measures = ipywidgets.Box([stepper.box for stepper in self.measures.values()])
        counts = ipywidgets.Box([stepper.box for stepper in self.counts.values()])
        for box in (measures, counts):
            box.add_class("lc-steppers")
        rest = ipywidgets.Box([self.deck])
        rest.add_class("lc-field")
        said = words("counter.walk")
        counted = ipywidgets.HTML(part("titled", said["through"], paragraphs([said["count"]]), 3))
        self.counted = ipywidgets.HTML()
        metered = ipywidgets.HTML(part("titled", said["moisture"], paragraphs([said["moisture_said"]]), 3))
        head = ipywidgets.HTML(part("titled", said["title"], paragraphs([words("counter.caution.ladder")])))
        parts = [measures, self.plan, self.said, counted, self.fate, counts, self.none, self.counted, rest]
        return [head, *parts, metered, self.limit.box, self.lacking, self.dry]

    def _measured(self, name: str) -> Callable[[float | None], str]:
        """Return what takes one measure."""

        def take(value: float | None) -> str:
            kept = {other: old for other, old in self.walk.measures.items() if other != name}
            unit, own = _unit(name, self.units), files.fields()["coach"][name].unit
            new = kept if value is None else {**kept, name: convert(value, unit, own)}
            return self._take(replace(self.walk, measures=new))

        return take

    def _counted(self, kind: str) -> Callable[[float | None], str]:
        """Return what takes how many there are of a kind."""

        def take(value: float | None) -> str:
            key = kind, str(self.fate.value)
            kept = {other: old for other, old in (self.walk.through or {}).items() if other != key}
            through = {**kept, key: int(value)} if value else kept
            wrong = self._take(replace(self.walk, through=through))
            if not wrong:
                self._show_counts()
            return wrong

        return take

    def _nothing_through(self) -> None:
        """Take that nothing goes through the roof."""
        self._take(replace(self.walk, through={}))
        self._show_counts()

    def _chosen(self) -> None:
        """Take what the deck is made of."""
        if not self._quiet:
            deck = "" if self.deck.value == self.deck.options[0] else str(self.deck.value)
            self._take(replace(self.walk, deck=deck))

    def _read(self, place: str) -> Callable[[float | None], str]:
        """Return what takes the reading at one place."""

        def take(value: float | None) -> str:
            kept = {other: old for other, old in self.walk.readings.items() if other != place}
            return self._metered(readings=kept if value is None else {**kept, place: value})

        return take

    def _limit(self, value: float | None) -> str:
        """Take from where on the meter calls wood wet."""
        return self._metered(limit=value)

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
        known = [*self.readings, *(place for place in walk.readings if place not in self.readings)]
        for place in known[len(self.readings) :]:
            self.readings[place] = Stepper(
                _capital(place), self.limit.steps, self._read(place), self._say, buttons=False
            )
        for place, stepper in self.readings.items():
            stepper.show(walk.readings.get(place))
        self.limit.show(walk.limit)
        self.dry.children = [stepper.box for stepper in self.readings.values()]
        self._say_lacking()

    def _say_lacking(self) -> None:
        """Say that readings without a limit do not count."""
        lacking = bool(self.walk.readings) and self.walk.limit is None
        self.lacking.value = paragraphs(
            [words("counter.walk.limit_needed")] if lacking else [], kind="lc-message"
        )

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
                f"{through[kind, fate]} {said}"
                for fate, said in _fates().items()
                if fate != self.fate.value and through.get((kind, fate))
            ]
            stepper.name(_capital(kind), "; ".join(others))
        self.counted.value = paragraphs([counted_sentence(self.walk)])

    def _draw(self) -> None:
        """Draw the roof and write its quantities, beside the page."""
        self.plan.add_class("lc-old")
        walk = self.walk
        if "length" in walk.measures and self.plan.layout.display == "none":
            self.said.value = paragraphs([words("counter.walk.drawing")])
        self._worker.start(lambda job: self._drawn(walk, job))

    def _drawn(self, walk: Walk, job: Job) -> None:
        """Draw the roof of a walk."""
        from lifecycle.answers.quote import measured
        from lifecycle.charts.roof_plan import describe_roof_plan, roof_plan
        from lifecycle.charts.small import page_picture
        from lifecycle.scenario.takeoff import takeoff_of

        if "length" not in walk.measures:
            job.show(lambda: self._show_plan(None, [words("counter.walk.no_plan")]))
            return
        scenario = self._roof(walk)
        job.check()
        figure = roof_plan(scenario).get_figure(root=True)
        if figure is None:
            raise ValueError("the roof plan stands on no figure")
        content = page_picture(figure)
        sentence = describe_roof_plan(scenario)
        lines = [*measured(takeoff_of(scenario), self.units), words("counter.caution.weight")]
        job.show(lambda: self._show_plan((content, sentence), lines))

    def _show_plan(self, drawn: tuple[bytes, str] | None, lines: list[str]) -> None:
        """Show the roof plan and the quantities."""
        self.plan.layout.display = "none" if drawn is None else ""
        if drawn is not None:
            put(self.plan, *drawn)
        self.plan.remove_class("lc-old")
        self.said.value = paragraphs(lines)


def counted_sentence(walk: Walk) -> str:
    """Say what was counted.

    Examples
    --------
    >>> counted_sentence(Walk(through={("roof vent", "refit"): 2, ("antenna", "remove"): 1}))
    'Counted: 2 roof vents taken off and put back; 1 antenna removed, hole patched.'
    """
    from lifecycle.language.labels import counted

    if walk.through is None:
        return sentence("counter.walk.not_counted")
    parts = [
        f"{counted(count, kind)} {_fates()[fate]}" for (kind, fate), count in walk.through.items() if count
    ]
    return sentence("counter.walk.counted", what="; ".join(parts) or words("counter.walk.nothing"))


def _measure(name: str) -> str:
    """Return what a measure is called on the page."""
    return str(words("counter.walk.measures")[name])


def _fates() -> Mapping[str, str]:
    """Return what happens to a fixture, in words."""
    found: Mapping[str, str] = words("counter.walk.fates")
    return found


def _capital(text: str) -> str:
    """Return a text with a capital at its start."""
    return f"{text[0].upper()}{text[1:]}"


def _unit(name: str, units: str) -> str:
    """Return the unit in which a measure is entered."""
    return (EDGE_STEPS if name == "edge" else STEPS)[units][0]


def _steps(name: str, units: str) -> Steps:
    """Return how a measure is stepped: from that of the reference coach, within what is allowed."""
    unit, step = (EDGE_STEPS if name == "edge" else STEPS)[units]
    info = files.fields()["coach"][name]
    low, high = (convert(value, info.unit, unit) for value in (info.low, info.high))
    first = 0.0 if name == "edge" else convert(_usual(name), "ft", unit)
    return Steps(
        step, round(round(first / step) * step, 6), low, high, {"in": "inches", "ft": "feet"}.get(unit, unit)
    )


def _usual(name: str) -> float:
    """Return a measure of the reference coach; caps share what is not sprayed. [ft]"""
    shared = files.shared()["coach"]
    length: float = shared["reference_length"]["value"]
    if name == "length":
        return length
    if name == "width":
        return float(shared["reference_area"]["value"] / length)
    return float((1.0 - shared["sprayed_share"]["likely"]) * length / 2.0)
