"""Worth finding out: what it would save to know more before deciding.

Lecture
-------
From one doubt (`doubt`) at the likely holding period, with all its ways as choices:

- what knowing everything would save, by *group* of inputs, and by single input for the few that one
  can ask for by telephone (`decision.value_of_knowing`); how long the coach is kept is valued on the
  costs at each future's own holding period;
- the *share of the doubt* in the difference between the subject and the base case, by input and by
  basis: "most of this doubt is one number you can ask for";
- a *look before signing* by someone who finds a hidden leak with the probability of a look: it finds
  something with probability ``1 - exp(-finds * hidden)``, where hidden is the expected number of
  leaks that can be found today; a look that found nothing leaves the hidden leaks thinned, which is
  what `inspected_today` means, so the costs after it are exact.

*What to ask for by telephone.* Of the inputs that one can ask for, those are worth a call whose value
may change the choice. What follows from an answer is the way that is cheapest on average, given that
value and nothing else (`decision.costs_by_input`). Along the values of the futures, from the smallest
to the largest, the advice stays or changes; it is told as *stretches*: up to so much this way, above it
that one. The outermost hundredths are left out, for a polynomial says little there.

With very many futures the first ones serve for all but the total: Sobol points are even from the start.

Each value is the most that finding out may cost. Left out: what asking costs, what several
answers together change, and what else a look or a call may be good for.
Source: value of information, textbook; see `decision`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.evaluation.past import today
from lifecycle.quantities import Array, Figure
from lifecycle.roofs import Case
from lifecycle.scenario import Scenario
from lifecycle.studies import decision
from lifecycle.studies.doubt import HOLDING, Doubt
from lifecycle.studies.futures import Evaluator, first, in_draws

CALLS = 3
"""Calls at most."""

LEAST = 0.5
"""Least worth of a call. [money]"""


@dataclass(frozen=True)
class Stretch:
    """A way that is the cheapest on average while an input is at most `up_to`; None: to its end."""

    way: str
    up_to: float | None


@dataclass(frozen=True)
class Call:
    """One input to ask for.

    Parameters
    ----------
    figure : Figure
        The input.
    worth : float
        What knowing it would save, on average: the most that asking may cost. [money]
    stretches : tuple of Stretch
        What follows, from its smallest value to its largest.
    """

    figure: Figure
    worth: float
    stretches: tuple[Stretch, ...]


def calls(scenario: Scenario, result: Doubt, worth: Mapping[str, float]) -> tuple[Call, ...]:
    """Return the calls that are worth most, the best first, with what follows from each."""
    best = sorted((path for path in worth if worth[path] >= LEAST), key=lambda path: -worth[path])
    return tuple(Call(scenario.inputs[path], worth[path], stretches(result, path)) for path in best[:CALLS])


def stretches(result: Doubt, path: str) -> tuple[Stretch, ...]:
    """Return which way is the cheapest on average along the values of one ranged input; neighbours differ."""
    drawn = result.futures
    value, score = drawn.sample.values[path], drawn.sample.scores[path]
    best = np.argmin(decision.costs_by_input(result.at_years, score, drawn.weights), axis=1)
    order = decision.inner_order(value, drawn.weights)
    value, best = value[order], best[order]
    turns = np.flatnonzero(best[1:] != best[:-1])
    ends = [float(value[turn] + value[turn + 1]) / 2.0 for turn in turns]
    ways = [int(best[turn]) for turn in turns] + [int(best[-1])]
    return tuple(Stretch(result.names[way], end) for way, end in zip(ways, [*ends, None], strict=True))


MOST_DRAWS = 16384
"""Futures that a polynomial is fitted to, and a look is tried in, at most."""


@dataclass(frozen=True)
class Knowing:
    """What knowing more is worth.

    Parameters
    ----------
    total : float
        Worth of knowing everything. [money]
    by_group : dict of str to float
        Worth of knowing all inputs of a group (price, life, leak ...). [money]
    by_input : dict of str to float
        Worth of knowing one input that can be asked for by telephone. [money]
    share_by_input : dict of str to float
        Share of the doubt in the difference by input, ``"together"`` for what none does alone;
        adds up to 1. [-]
    share_by_basis : dict of str to float
        The same by basis. [-]
    look : float or None
        Worth of a look before signing; None if nobody knows how well a look finds, or if it was not
        asked for. [money]
    """

    total: float
    by_group: Mapping[str, float]
    by_input: Mapping[str, float]
    share_by_input: Mapping[str, float]
    share_by_basis: Mapping[str, float]
    look: float | None = None


def knowing(scenario: Scenario, result: Doubt, subject: str) -> Knowing:
    """Return what knowing more is worth, about the way that the verdict is on.

    Without a look: its worth (`value_of_a_look`) takes as long as the doubt itself.
    """
    drawn, inputs, some = first(result.futures, MOST_DRAWS), scenario.inputs, slice(0, MOST_DRAWS)
    weights, scores, costs = drawn.weights, drawn.sample.scores, result.at_years[some]
    groups: dict[str, list[Array]] = {}
    for path, score in scores.items():
        if path != HOLDING:
            groups.setdefault(inputs[path].field.group, []).append(score)
    by_group = {name: _worth(costs, group, weights) for name, group in groups.items()}
    by_input = {
        path: _worth(costs, [score], weights)
        for path, score in scores.items()
        if inputs[path].field.by_telephone and path != HOLDING
    }
    if HOLDING in scores and result.own_years is not result.at_years:
        by_group["years kept"] = _worth(result.own_years[some], [scores[HOLDING]], weights)
    certain = {path: score for path, score in scores.items() if path != HOLDING}
    shares = decision.shares_of_doubt(result.net_savings(subject)[some], certain, weights)
    by_basis: dict[str, float] = {}
    for path, share in shares.items():
        basis = inputs[path].basis if path in inputs else path
        by_basis[basis] = by_basis.get(basis, 0.0) + share
    return Knowing(
        decision.perfect_information(result.at_years, result.futures.weights),
        by_group,
        by_input,
        shares,
        by_basis,
    )


def _worth(costs: Array, scores: list[Array], weights: Array) -> float:
    """Worth of knowing some inputs; a polynomial of low degree where there are many."""
    return decision.value_of_knowing(costs, scores, weights, degree=3 if len(scores) < 8 else 1)


def value_of_a_look(scenario: Scenario, result: Doubt, *, evaluator: Evaluator | None = None) -> float | None:
    """Worth of a look before signing; None if no visit is a look that finds leaks. [money]"""
    drawn = first(result.futures, MOST_DRAWS)
    case, weights, draws = in_draws(scenario, drawn), drawn.weights, drawn.weights.size
    finds = _look_finds(case)
    if finds is None:
        return None
    state = today(case.existing, case.leaks, draws)
    hidden = state.hidden.open.sum(axis=(0, 1))
    already = np.asarray(case.existing.inspected_today)
    clean = 1.0 - (1.0 - already) * (1.0 - finds)
    existing = replace(case.existing, inspected_today=np.broadcast_to(clean, (draws,)).copy())
    costs = (evaluator or Evaluator()).costs(replace(case.kept(result.years), existing=existing), draws)
    after = np.stack([costs[name].at_holding for name in result.names], axis=1)
    found = -np.expm1(-finds * hidden)
    return decision.value_of_looking(result.at_years[:draws], found, weights, after_nothing=after)


def _look_finds(case: Case) -> Array | None:
    """Return how well a look finds: the best visit of any way that costs neither seal nor topcoat."""
    visits = [
        visit for way in case.alternatives for roof in (way.roof, way.then) for visit in roof.all_visits
    ]
    looks = [visit for visit in visits if not np.any(visit.restores) and not np.any(visit.rejuvenates)]
    finding = [visit.finds for visit in looks if np.any(visit.finds)]
    return np.asarray(max(finding, key=np.mean)) if finding else None
