"""Every figure and where it comes from: a line for each, with the tool's own beside it.

Lecture
-------
A line says in plain words what the figure is, in which unit, what it rests on, and takes another value or
range in its place: one number, or three with strokes between them, low / likely / high. The tool's own
stays beside it and can be put back. What is wrong is explained on the line. Figures that an answer gives
are changed up there; jobs of shipped plans and the table of places are shown only. Long lists are
shortened by words of a name.

Left out: how much each figure matters (`studies.sensitivity`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

import ipywidgets

from lifecycle.errors import ScenarioError
from lifecycle.language.labels import BASES, input_name
from lifecycle.language.sentences import say, words
from lifecycle.pages.panels.folds import Fold
from lifecycle.pages.panels.pieces import (
    Tell,
    below,
    beside,
    button,
    html,
    mark,
    part,
    put_away,
    watched,
)
from lifecycle.pages.panels.session import ASKED, can_be_written
from lifecycle.quantities import Figure, capital, convert, number_text
from lifecycle.scenario import Scenario
from lifecycle.studies.register import entry

Took = Callable[[Figure, Figure | None], None]
"""Takes the figure that stands without a change, and what takes its place (None: nothing)."""

SHORT = 12
"""Figures in a list before any is looked for, and lines of figures that were found at most."""


def groups() -> Mapping[str, str]:
    """Return the heading of each group of figures, in their order."""
    found: Mapping[str, str] = words("pages.figures.groups")
    return found


class Finder:
    """A field that finds figures by words of their names, and a sentence that says how many."""

    def __init__(self, changed: Callable[[], object], tell: Tell) -> None:
        field = ipywidgets.Text(description=say("pages.find.name"))
        self.field, self.said = watched(field, lambda _: changed(), tell), html()

    def among(self, names: Mapping[str, str]) -> list[str] | None:
        """Return the paths of names that hold every word typed; None if nothing is looked for."""
        typed = self.field.value.casefold().split()
        found = [path for path, name in names.items() if all(word in name.casefold() for word in typed)]
        return found if typed else None

    def few(self, inputs: Mapping[str, Figure]) -> list[str]:
        """Return the first paths of what is looked for, and say how many there are."""
        found = self.among({path: input_name(figure) for path, figure in inputs.items()})
        if found is None:
            self.said.value = ""
            return []
        self.tell("every" if len(found) <= SHORT else "many", len(found), len(inputs))
        return found[:SHORT]

    def tell(self, key: str, found: int, among: int) -> None:
        """Say how many were found, by the sentence `key` of the words."""
        told = say(f"pages.find.{key}", number=str(found), all=str(among))
        self.said.value = part("status", [told], "lc-note")


class FigureLine:
    """One figure.

    Parameters
    ----------
    plain, now : Figure
        As it stands without a change on the page, and with it.
    scenario : Scenario
        Gives units and currency.
    took : callable
        Takes a change; raises `ScenarioError` where it is not allowed.
    tell : callable
        Shows a sentence in the status line.
    free : bool
        Whether no question asks for it, as in a file without answers.
    sourced : bool
        Whether to say who published it: for analysts. A file of someone's own may name a person there.
    """

    def __init__(
        self,
        plain: Figure,
        now: Figure,
        scenario: Scenario,
        took: Took,
        tell: Tell,
        *,
        free: bool = False,
        sourced: bool = False,
    ) -> None:
        self._plain, self._scenario, self._took = plain, scenario, took
        self._quiet = False
        asked = None if free else ASKED.get(plain.path)
        self.fixed = asked is not None or not can_be_written(plain)
        self.text = ipywidgets.Text(
            value=_typed(now, scenario),
            continuous_update=False,
            disabled=self.fixed,
            tooltip=input_name(now),
            description=entry(now, scenario).unit or say("pages.figures.no_unit"),
        )
        self.beside = html()
        told = words("pages.figures")
        self.back = button(told["back"], self._put_back, tell, tooltip=told["back_tip"])
        name = html(_said(plain, now, scenario, plain.source if sourced else ""))
        self.box = beside("lc-figure lc-field", name, self.text, below("", self.beside, self.back))
        self._mark(now, say("pages.figures.answer", number=asked) if asked else "")
        watched(self.text, lambda _: self._read(), tell)

    def _read(self) -> None:
        """Read what was typed, and take it if it is allowed."""
        if self._quiet:
            return
        changed = typed_figure(self.text.value, self._plain, self._scenario)
        if isinstance(changed, str):
            self._complain(changed)
            return
        same = _ends(changed) == _ends(self._plain)
        try:
            self._took(self._plain, None if same else changed)
        except ScenarioError as error:
            fault = error.faults[0]
            self._complain(say("pages.figures.rule", rule=fault.rule, remedy=fault.remedy).strip())
            return
        self._mark(self._plain if same else changed)

    def _put_back(self) -> None:
        """Put the figure back that stood here."""
        self._took(self._plain, None)
        self._quiet = True
        self.text.value = _typed(self._plain, self._scenario)
        self._quiet = False
        self._mark(self._plain)

    def _complain(self, why: str) -> None:
        """Explain what is wrong; the last good figure goes on counting."""
        mark(self.box, "lc-wrong", True)
        told = say("pages.figures.not_taken", typed=self.text.value, why=why)
        self.beside.value = part("alert", told, "lc-message")
        put_away(self.back, False)

    def _mark(self, now: Figure, told: str = "") -> None:
        """Say whose figure it is, and offer the one that stood here."""
        mark(self.box, "lc-wrong", False)
        changed = _ends(now) != _ends(self._plain)
        own = self._plain if changed else self._plain.tool
        whose = "own" if self._plain.shared or not changed else "before"
        if own is not None and not told:
            told = say(f"pages.figures.{whose}", amount=entry(own, self._scenario).figure)
        self.beside.value = part("note", told)
        put_away(self.back, not changed)


class Figures:
    """All figures of a scenario, folded by group; any is found by words of its name."""

    def __init__(self, took: Took, tell: Tell) -> None:
        self._took, self._tell = took, tell
        self._plain: Scenario | None = None
        self._now: Scenario | None = None
        self.find, self.found = Finder(self._find, tell), below("")

    def shown(self, plain: Scenario, now: Scenario) -> list[Any]:
        """Return a field to find figures, and the folds of all."""
        self._plain, self._now = plain, now
        grouped: dict[str, list[str]] = {group: [] for group in groups()}
        for path, figure in plain.inputs.items():
            grouped.setdefault(figure.field.group, []).append(path)
        folds = [
            Fold(f"{groups().get(group, group)} ({len(paths)})", partial(self._lines, paths), self._tell).box
            for group, paths in grouped.items()
            if paths
        ]
        self._find()
        return [beside("lc-field", self.find.field), self.find.said, self.found, *folds]

    def _find(self) -> None:
        """Show the lines of what is looked for above the folds."""
        inputs = self._plain.inputs if self._plain else {}
        self.found.children = self._lines(self.find.few(inputs))

    def _lines(self, paths: list[str]) -> list[Any]:
        """Return the lines of some figures."""
        plain, now = self._plain, self._now
        if plain is None or now is None:
            return []
        return figure_lines(paths, plain, now, self._took, self._tell)


def figure_lines(
    paths: Iterable[str], plain: Scenario, now: Scenario, took: Took, tell: Tell, **of_each: bool
) -> list[Any]:
    """Return the lines of those figures that both scenarios have, as widgets."""
    return [
        FigureLine(plain.inputs[path], now.inputs[path], now, took, tell, **of_each).box
        for path in paths
        if path in plain.inputs and path in now.inputs
    ]


def typed_figure(typed: str, old: Figure, scenario: Scenario) -> Figure | str:
    """Return the figure that was typed, or what is wrong with it."""
    joined = re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", typed)
    pieces = [piece.strip() for piece in joined.split("/")]
    try:
        numbers = [float(piece) for piece in pieces]
    except ValueError:
        return say("pages.figures.no_number")
    if len(numbers) not in (1, 3):
        return say("pages.figures.one_or_three")
    if numbers != sorted(numbers):
        return say("pages.figures.must_rise")
    unit = old.field.unit_in(scenario.units)
    metric = [convert(number, unit, old.field.unit) for number in numbers]
    low, likely, high = metric if len(metric) == 3 else metric * 3
    shape = (old.shape or "pert") if low < high else ""
    return replace(
        old,
        low=low,
        likely=likely,
        high=high,
        shape=shape,
        basis="judgement",
        source="",
        note=say("pages.figures.yours"),
        shared=False,
        tool=None,
    )


def _ends(figure: Figure) -> tuple[float, float, float]:
    """Return the numbers of a figure, rounded as they are typed."""
    low, likely, high = (float(f"{value:.6g}") for value in (figure.low, figure.likely, figure.high))
    return low, likely, high


def _typed(figure: Figure, scenario: Scenario) -> str:
    """Return a figure as it is typed."""
    amount = entry(figure, scenario).amount
    numbers = (amount.likely,) if amount.low == amount.high else (amount.low, amount.likely, amount.high)
    return " / ".join(number_text(number) for number in numbers)


def _said(plain: Figure, now: Figure, scenario: Scenario, source: str) -> str:
    """Return what a figure is, and what it rests on."""
    line = entry(now, scenario)
    rests = ": ".join(one for one in (BASES[plain.basis], source) if one)
    note = f" {capital(plain.note)}." if plain.note else ""
    return part("figure", input_name(now), say("pages.figures.rests", meaning=line.meaning, on=rests) + note)
