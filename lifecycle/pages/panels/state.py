"""What has been entered on a page: answers, changed figures, units; and the scenario that they make.

Lecture
-------
A page holds one `Entered`. Each change gives a new one; the old ones are kept, so that a change can be
undone. Nothing here is a widget, and nothing is computed: `scenario_of` writes the answers down as
`lifecycle new` does, reads them back, and puts the changed figures in their places, as the file that is
offered to keep says them. So a page, its file and the command line cannot understand an answer differently.

A file that was written by hand has no answers. It is taken as it is, and only its figures can be
changed; the same goes for a file whose ways or roofs were changed after it was written from answers.

What was changed last is kept with the state, so that a page can say which change moved the answer.

Left out: whether a single answer is allowed (`interview`), and which widgets ask for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from lifecycle import files
from lifecycle.answers.seven_answers import changed_since
from lifecycle.errors import Fault
from lifecycle.interview import contradictions, parts, questions, scenario_text
from lifecycle.language.labels import input_name
from lifecycle.plans import with_other_ways
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, replaced

FIRST = 3
"""Questions that must be answered before anything is said."""

ASKED = {
    "owner.holding_period": 2,
    "owner.hour_value": 1,
    "figures.shop_reseal_cost": 1,
    "figures.coating_quote": 3,
    "existing.age": 4,
    "existing.seal_age": 4,
    "coach.length": 5,
}
"""Figures that an answer gives, by path, with the number of the question: they are changed up there."""


@dataclass(frozen=True)
class Entered:
    """What has been entered.

    Parameters
    ----------
    base_date : date
        Day from which the comparison counts.
    answers : mapping
        Answers to the seven questions, lengths in feet; only those that were given.
    changed : mapping of str to Figure
        Figures that were changed by hand, by path.
    units : str
        Units of the page: "us" or "metric".
    by_hand : Scenario or None
        A file that stands in the place of the answers.
    other_ways : bool
        Whether the ways that stand aside are compared too.
    last : tuple of str
        What was changed last, in plain words; several where a file was loaded.
    """

    base_date: date
    answers: Mapping[str, Any] = field(default_factory=dict)
    changed: Mapping[str, Figure] = field(default_factory=dict)
    units: str = "us"
    by_hand: Scenario | None = None
    other_ways: bool = False
    last: tuple[str, ...] = ()


def answered(entered: Entered, key: str, value: Any) -> Entered:
    """Return what is entered after one more answer.

    Examples
    --------
    >>> one = answered(Entered(date(2027, 4, 1)), "keep", 8)
    >>> dict(one.answers), one.last
    ({'keep': 8}, ('how long you will keep it',))
    """
    kept = {name: old for name, old in entered.answers.items() if name != key}
    answers = kept if value is None else {**kept, key: value}
    return replace(entered, answers=answers, last=(parts()[key].short,))


def with_figure(entered: Entered, figure: Figure, shown: Figure | None) -> Entered:
    """Return what is entered after a figure was changed, or put back."""
    kept = {path: old for path, old in entered.changed.items() if path != figure.path}
    changed = kept if shown is None else {**kept, figure.path: shown}
    return replace(entered, changed=changed, last=(f"the {input_name(figure)}",))


def still_needed(entered: Entered) -> tuple[int, ...]:
    """Return the numbers of the questions without which nothing can be said.

    Examples
    --------
    >>> still_needed(Entered(date(2027, 4, 1), {"keep": 8}))
    (1, 3, 4)
    """
    if entered.by_hand is not None:
        return ()
    return tuple(
        question.number
        for question in questions()
        if any(part.needed and part.key not in entered.answers for part in question.parts)
    )


def objections(entered: Entered) -> tuple[Fault, ...]:
    """Return what does not fit together among the answers given so far."""
    return () if entered.by_hand is not None else tuple(contradictions(entered.answers))


def scenario_of(entered: Entered) -> Scenario:
    """Return the scenario that was entered."""
    scenario = plain(entered)
    here = {path: figure for path, figure in entered.changed.items() if path in scenario.inputs}
    return files.filed(replaced(scenario, here), apart=True) if here else scenario


def plain(entered: Entered) -> Scenario:
    """Return the scenario without the figures that were changed by hand."""
    scenario = entered.by_hand
    if scenario is None:
        text = scenario_text(entered.answers, base_date=entered.base_date)
        scenario = files.loads(text, "your answers")
    return replace(with_other_ways(scenario) if entered.other_ways else scenario, units=entered.units)


def from_scenario(scenario: Scenario) -> Entered:
    """Return what was entered to make a scenario."""
    from lifecycle.interview.typed import in_feet

    named = (f"the file {scenario.source}",)
    answers = in_feet(scenario.answers, scenario.units)
    changed = changed_since(scenario) if answers else None
    if changed is None or not set(answers) <= set(parts()):
        return Entered(scenario.base_date, units=scenario.units, by_hand=scenario, last=named)
    figures = {now.path: now for _, now in changed}
    return Entered(scenario.base_date, answers, figures, scenario.units, last=named)
