"""Objections: what may be held against an answer, each as a change of its figures.

Lecture
-------
An objection is data (`objections.toml`). It moves figures by name, wherever a figure of that name
stands: to the low or high end that they may have, or to one number. The end is the wider of the range
stated and the tool's own figure beside it, so that a narrow range from few records is no shelter.

Some follow a rule that data cannot say:

- *late*: lives that come from records are multiplied by the ratio of the mean life without the
  correction for roofs that ended early, to that with it, as the fit of these records gave them;
- *sellers*: figures of people who gain by them give way to the tool's own (`both_ways`);
- *leaks alike*, *life alike*: a coating has the leaks, or the life, of the membrane that it covers, the very
  same in each future;
- *unpaid*: no warranty pays anything;
- *together*, *apart*: inputs that move together do so more, ``(1 + |rank|) / 2``, or not at all.

What cannot be tried with the figures at hand is said, with the reason, and changes nothing.

The changed scenario is evaluated in the same futures as the first: figures that moved to one value
keep no doubt, all others are the same draws. Where an objection brings ranges of its own, or moves inputs
together otherwise, its futures are drawn anew with the same seed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from lifecycle.data import words_of
from lifecycle.files import data
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, Use, replaced
from lifecycle.studies.both_ways import in_place_of_offers
from lifecycle.studies.futures import Futures, correlations, futures, weighed
from lifecycle.studies.sampling import Contradiction

LIVES = ("life_mean", "life_scale")
"""Names of figures that are a life."""

RECORD = "record"
"""Basis of a figure from records."""

UNTRIED: Mapping[str, str] = words_of("regions")["untried"]
"""Why an objection cannot be tried with the figures at hand."""

Changes = Mapping[str, Figure | float]


@dataclass(frozen=True)
class Objection:
    """What may be held against an answer.

    Parameters
    ----------
    key : str
        Its name.
    title, does : str
        What is said, and what is done to try it; a sentence each.
    basis, source, note : str
        Where it comes from.
    ends : mapping of str to str
        Names of figures, and the end that they move to: "low" or "high".
    at : mapping of str to float
        Names of figures, and the number that they move to. [unit of the figure]
    rule : str
        One of the lecture, or "".
    """

    key: str
    title: str
    does: str
    basis: str
    source: str = ""
    note: str = ""
    ends: Mapping[str, str] = field(default_factory=dict)
    at: Mapping[str, float] = field(default_factory=dict)
    rule: str = ""


def objections() -> dict[str, Objection]:
    """Return every objection by its name, in the order of the data.

    Examples
    --------
    >>> list(objections())[0]
    'suspicion'
    """
    return {key: Objection(key=key, **entry) for key, entry in data("objections.toml").items()}


def changes_of(objection: Objection, scenario: Scenario, *, longer: float | None = None) -> Changes | str:
    """Return what an objection makes of figures, by path; or why it cannot be tried with these.

    `longer` is how many times as long lives from records look without the correction for roofs that ended
    early; None: nobody said. [-]
    """
    if objection.rule == "sellers":
        return in_place_of_offers(scenario) or UNTRIED["no_offer"]
    if objection.rule == "late":
        return _longer_lives(scenario, longer)
    if objection.rule == "unpaid":
        return _unpaid(scenario) or UNTRIED["no_warranty"]
    named = {name: figure for name, figure in scenario.inputs.items() if _last(name) in objection.ends}
    fixed = {
        path: float(objection.at[_last(path)]) for path in scenario.inputs if _last(path) in objection.at
    }
    if not named and not fixed:
        return UNTRIED["no_figure"]
    moved = {path: _end(figure, objection.ends[_last(path)]) for path, figure in named.items()}
    told = {path: value for path, value in {**moved, **fixed}.items() if _moves(scenario.inputs[path], value)}
    return told or UNTRIED["no_range"]


def _last(path: str) -> str:
    """Return the name of a figure."""
    return path.rpartition(".")[2]


def _end(figure: Figure, end: str) -> float:
    """Return the end that a figure may have, by its range or the tool's own beside it."""
    both = [figure, figure.tool] if figure.tool is not None else [figure]
    if end == "low":
        return min(one.low for one in both)
    return max(one.high for one in both)


def _moves(figure: Figure, value: float) -> bool:
    """Whether a figure would be another at this one value."""
    return (figure.low, figure.high) != (value, value)


def _longer_lives(scenario: Scenario, longer: float | None) -> Changes | str:
    """Return lives from records as they look without the correction."""
    lives = {
        path: figure
        for path, figure in scenario.inputs.items()
        if _last(path) in LIVES and figure.basis == RECORD
    }
    if not lives:
        return UNTRIED["no_record"]
    if longer is None:
        return UNTRIED["no_fit"]
    return {path: _scaled(figure, longer) for path, figure in lives.items()}


def _scaled(figure: Figure, by: float) -> Figure:
    """Return a figure multiplied, within its bounds."""
    low, likely, high = (
        min(max(value * by, figure.field.low), figure.field.high)
        for value in (figure.low, figure.likely, figure.high)
    )
    return replace(figure, low=low, likely=likely, high=high)


HONOURED = "warranty_honoured"
"""Share of what a warranty promises that it pays."""

ALIKE: Mapping[str, tuple[str, ...]] = {
    "leaks_alike": (
        "joint_leaks_ten_years",
        "joint_leaks_first_year",
        "joint_leak_growth",
        "age_leaks_ten_years",
        "age_leak_growth",
        "puncture_rate",
    ),
    "life_alike": ("life_mean", "life_scale", "life_shape"),
}
"""Figures that a coating has of the membrane, by rule."""

TOGETHER = ("together", "apart")
"""Rules about how inputs move together."""


def _unpaid(scenario: Scenario) -> Changes:
    """Return every share of a warranty that is honoured as none."""
    stated = [roof.numbers.get(HONOURED) for roof in scenario.roofs.values()]
    paths = {one.path for one in stated if isinstance(one, Use)}
    return {path: 0.0 for path in paths if _moves(scenario.inputs[path], 0.0)}


def _coated_alike(scenario: Scenario, names: tuple[str, ...]) -> Scenario | str:
    """Return a scenario whose coated roofs have some figures of the membrane that stands."""
    stands = scenario.roofs[scenario.existing.roof]
    coated = [roof for roof in scenario.roofs.values() if roof.covering == "coating"]
    if stands.covering != "membrane" or not coated:
        return UNTRIED["no_coating"]
    own = {name: stands.numbers[name] for name in names if name in stands.numbers}
    roofs = dict(scenario.roofs)
    for roof in coated:
        kept = {name: use for name, use in roof.numbers.items() if name not in names}
        roofs[roof.name] = replace(roof, numbers={**kept, **own})
    return replace(scenario, roofs=roofs)


def _together(scenario: Scenario, rule: str) -> dict[tuple[str, str], float]:
    """Return the rank correlations of inputs, stronger or none. [-]"""
    if rule == "apart":
        return {}
    return {
        pair: (rank + (1.0 if rank > 0.0 else -1.0)) / 2.0 for pair, rank in correlations(scenario).items()
    }


def objected(
    objection: Objection,
    scenario: Scenario,
    drawn: Futures,
    *,
    longer: float | None = None,
    alike: Scenario | None = None,
) -> tuple[Scenario, Futures] | str:
    """Return a scenario under an objection, with its futures; or why it cannot be tried with these figures.

    The futures are those of the scenario as drawn; `longer` as in `changes_of`, `alike` as in `futures`.
    """
    sample = drawn.sample
    if objection.rule in ALIKE:
        new = _coated_alike(scenario, ALIKE[objection.rule])
        return new if isinstance(new, str) else (new, weighed(new, sample))
    if objection.rule in TOGETHER:
        if not correlations(scenario):
            return UNTRIED["no_pair"]
        pairs = _together(scenario, objection.rule)
        try:
            return scenario, futures(scenario, draws=sample.draws, seed=sample.seed, alike=alike, pairs=pairs)
        except Contradiction:
            return UNTRIED["no_more"]
    changes = changes_of(objection, scenario, longer=longer)
    return changes if isinstance(changes, str) else under_objection(scenario, drawn, changes, alike=alike)


def under_objection(
    scenario: Scenario, drawn: Futures, changes: Changes, *, alike: Scenario | None = None
) -> tuple[Scenario, Futures]:
    """Return a scenario with other figures by path, and its futures.

    The same draws wherever no range is new, weighed anew by the history of the roof; else drawn anew.
    """
    new = replaced(scenario, changes)
    sample = drawn.sample
    if any(figure.ranged and figure != scenario.inputs[path] for path, figure in new.inputs.items()):
        return new, futures(new, draws=sample.draws, seed=sample.seed, alike=alike)
    ranged = {path for path, figure in new.inputs.items() if figure.ranged}
    left = replace(sample, values={path: one for path, one in sample.values.items() if path in ranged})
    return new, weighed(new, left)
