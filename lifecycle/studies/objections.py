"""Objections: what may be held against an answer, each as a change of its figures.

Lecture
-------
An objection is data (`objections.toml`). It moves figures by name, wherever a figure of that name
stands: to the low or high end that they may have, or to one number. The end is the wider of the range
stated and the tool's own figure beside it, so that a narrow range from few records is no shelter.

Some follow a rule that data cannot say:

- *late*: lives that come from records are multiplied by the ratio of the mean life without the correction
for roofs that ended early, to that with it, as the fit of these records gave them; - *sellers*: figures
of people who gain by them give way to the tool's own (`in_place_of_offers`); - *leaks alike*, *life
alike*: a coating has the leaks, or the life, of the membrane that it covers, the very same in each
future; - *unpaid*: no warranty pays anything; - *together*, *apart*: inputs that move together do so
more, ``(1 + |rank|) / 2``, or not at all.

What cannot be tried with the figures at hand is said, with the reason, and changes nothing.

The changed scenario is evaluated in the same futures as the first: figures that moved to one value
keep no doubt, all others are the same draws. Where an objection brings ranges of its own, or moves inputs
together otherwise, its futures are drawn anew with the same seed.

*Both ways*. A figure of basis *offer* was said by somebody who gains by it. Where it took the place of
one of the tool's own figures, that one is kept beside it (`Figure.tool`), and the scenario is answered a
second time with the tool's own in its place. Of a warranty, and of what a surface costs in cooling, the
tool assumes nothing (`ASSUMED`), so nothing is put in the place of an offered one. What the tool has no
figure of, such as the quote, stays as stated and is named.

A *changed* figure stands in the place of one of the tool's own and differs from it, whoever said it.

Both answers are drawn from the same points, and stand at the likely years kept. Where nothing is in doubt
they stand at likely values.

Left out: figures that were offered and happen to be the tool's own.
Source: the model's own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from lifecycle.data import words_of
from lifecycle.evaluation.comparison import Comparison
from lifecycle.files import data
from lifecycle.kinds import COVERINGS
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, Use, replaced
from lifecycle.studies.doubt import Doubt, under
from lifecycle.studies.futures import Futures, correlations, futures, weighed
from lifecycle.studies.sampling import Contradiction
from lifecycle.studies.verdict import OFFER, word_under_doubt, word_without_doubt

ASSUMED: Mapping[str, float] = {"warranty_years": 0.0, "warranty_share": 0.0, "energy_cost": 0.0}
"""What the tool assumes of a field that its data say nothing of. [unit of the field]"""


@dataclass(frozen=True)
class Stand:
    """How the way in question stands against what the owner would do otherwise.

    Parameters
    ----------
    word : str
        Word of the verdict.
    middle : float
        Mean of its net savings; at likely values where nothing is in doubt. [money]
    chance : float or None
        Share of futures in which it is cheaper; None where nothing is in doubt. [-]
    """

    word: str
    middle: float
    chance: float | None


@dataclass(frozen=True)
class BothWays:
    """Offered and changed figures, and the answer with and without the offered ones.

    Parameters
    ----------
    offers : tuple of Figure
        Said by somebody who gains by them.
    own : dict of str to Figure or float
        What takes their place, by path: the tool's own figure, or what it assumes.
    stay : tuple of Figure
        Offers that nothing can take the place of.
    changed : tuple of Figure
        Figures in the place of one of the tool's own, and different from it; offers among them.
    as_stated : Stand
        With the figures as stated.
    with_own : Stand or None
        With the tool's own in place of offers; None where there is nothing to put in place.
    """

    offers: tuple[Figure, ...]
    own: Mapping[str, Figure | float]
    stay: tuple[Figure, ...]
    changed: tuple[Figure, ...]
    as_stated: Stand
    with_own: Stand | None


def offers_of(scenario: Scenario) -> tuple[Figure, ...]:
    """Return the figures that somebody said who gains by them."""
    return tuple(figure for figure in scenario.inputs.values() if figure.basis == OFFER)


def changed_from_own(scenario: Scenario) -> tuple[Figure, ...]:
    """Return the figures that stand in the place of one of the tool's own, and differ from it."""
    return tuple(figure for figure in scenario.inputs.values() if _differs(figure))


def _differs(figure: Figure) -> bool:
    """Whether a figure differs from the tool's own beside it."""
    own = figure.tool
    if own is None:
        return False
    return (own.low, own.likely, own.high, own.shape) != (
        figure.low,
        figure.likely,
        figure.high,
        figure.shape,
    )


def in_place_of_offers(scenario: Scenario) -> dict[str, Figure | float]:
    """Return what takes the place of offered figures, by path."""
    found: dict[str, Figure | float] = {}
    for figure in offers_of(scenario):
        if figure.tool is not None:
            found[figure.path] = figure.tool
        elif figure.field.name in ASSUMED:
            found[figure.path] = ASSUMED[figure.field.name]
    return found


def without_offers(scenario: Scenario) -> Scenario:
    """Return the scenario with the tool's own figures in the place of offered ones."""
    return replaced(scenario, in_place_of_offers(scenario))


def both_ways(comparison: Comparison, doubt: Doubt) -> BothWays:
    """Answer a scenario with its offered figures, and with the tool's own in their place.

    The comparison has a subject and no trouble (else ValueError); the doubt is of the same scenario.
    """
    scenario, subject = comparison.scenario, comparison.subject
    if subject is None or not comparison.ways:
        raise ValueError("both ways of an answer need an answer")
    own = in_place_of_offers(scenario)
    offers = offers_of(scenario)
    return BothWays(
        offers,
        own,
        tuple(figure for figure in offers if figure.path not in own),
        changed_from_own(scenario),
        _stand(doubt, subject),
        _stand(_doubt_of_two(without_offers(scenario), doubt, subject), subject) if own else None,
    )


def _doubt_of_two(scenario: Scenario, like: Doubt, subject: str) -> Doubt:
    """Return the doubt of two ways of a scenario, from as many draws and the seed of another."""
    ways = tuple(way for way in scenario.alternatives if way.base_case or way.name == subject)
    two = replace(scenario, alternatives=ways)
    drawn = futures(two, draws=like.futures.sample.draws, seed=like.futures.sample.seed)
    return under(two, drawn, until=math.ceil(like.years))


def _stand(doubt: Doubt, subject: str) -> Stand:
    """Return word, middle and chance of a way under a doubt."""
    middle = float(doubt.band(doubt.net_savings(subject)).mean)
    dearer = max(float(doubt.futures.weights @ doubt.cost(name)) for name in (subject, doubt.base_case))
    if not doubt.futures.sample.values:
        return Stand(word_without_doubt(middle, dearer), middle, None)
    chance = doubt.chance_cheaper(subject)
    return Stand(word_under_doubt(chance), middle, chance)


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
"""Figures that a coating has of the roof that it covers, by rule."""

TOGETHER = ("together", "apart")
"""Rules about how inputs move together."""


def _unpaid(scenario: Scenario) -> Changes:
    """Return every share of a warranty that is honoured as none."""
    stated = [roof.numbers.get(HONOURED) for roof in scenario.roofs.values()]
    paths = {one.path for one in stated if isinstance(one, Use)}
    return {path: 0.0 for path in paths if _moves(scenario.inputs[path], 0.0)}


def _coated_alike(scenario: Scenario, names: tuple[str, ...]) -> Scenario | str:
    """Return a scenario whose sprayed roofs have some figures of the roof that stands."""
    stands = scenario.roofs[scenario.existing.roof]
    coated = [roof for roof in scenario.roofs.values() if COVERINGS[roof.covering].sprayed]
    if COVERINGS[stands.covering].sprayed or not coated:
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
