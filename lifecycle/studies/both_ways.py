"""Figures that somebody gains by, and the answer both ways: as stated, and with the tool's own instead.

Lecture
-------
A figure of basis *offer* was said by somebody who gains by it. Where it took the place of one of the
tool's own figures, that one is kept beside it (`Figure.tool`), and the scenario is answered a second time
with the tool's own in its place. Of a warranty, and of what a surface costs in cooling, the tool assumes
nothing (`ASSUMED`), so nothing is put in the place of an offered one. What the tool has no figure of,
such as the quote, stays as stated and is named.

A *changed* figure stands in the place of one of the tool's own and differs from it, whoever said it.

Both answers are drawn from the same points, and stand at the likely years kept. Where nothing is in doubt
they stand at likely values.

Left out: figures that were offered and happen to be the tool's own.
Source: the model's own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from lifecycle.evaluation.comparison import Comparison
from lifecycle.quantities import Figure
from lifecycle.scenario import Scenario, replaced
from lifecycle.studies.doubt import Doubt, under
from lifecycle.studies.futures import futures
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
