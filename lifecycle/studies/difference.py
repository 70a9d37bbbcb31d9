"""Why two scenarios differ: the difference of their answers, split by cause, adding up exactly.

Lecture
-------
Each scenario has its answer: the mean over its futures of the net savings of its subject over its base
case, at its own likely years kept, the same number as everywhere (`verdict`). A *cause* is something
that the two say differently: an input that both have, or a group that belongs together

- what you would do otherwise: the base case, its roof and upkeep, and whatever follows its plan;
- the roof that stands: its age, its joints, what it hides;
- the way in question; its quote, if it is another input; the loan; the terms; the leak figures.

For a set T of causes v(T) is the answer of the first scenario with T taken over from the second.
One cause after the other is taken over, and what the answer moves by is the cause's; this depends on
the order, so it is averaged over all orders (Shapley value)::

    amount_i = sum over T without i of  |T|! (n - |T| - 1)! / n!  (v(T and i) - v(T))

In each order the moves add up to the whole difference, and so do the means. With more causes than
can be taken over in every order, a number of random orders and their reversed ones are averaged:
still adding up exactly, each amount with a standard error.

*Futures.* All mixed cases stand on the same points: an input that is taken over keeps its place in the
crowd (its normal score) and gets the range of the other scenario. Each mixed case weighs the futures by
the history of its own standing roof. If the two have ranges for other inputs, their own draws are not
quite these; what the two answers are off for it, a few parts in a thousand, is spread over the causes by
how much their effect varies from future to future. Where nothing is a range there is one future.

*Which causes there are.* What two scenarios say differently is sorted into *causes*. Inputs that both
have and whose values or ranges differ are causes of their own; but those of the standing roof
(`existing.`) and of the loan belong together, and what fixes the calendar of a way (how often, when)
goes with that way. What else differs is a difference of statement: another base case, another upkeep
plan, a price that is another input. To find it, both are resolved with the same values of the inputs
that both have, once with those of the first and once with those of the second; whatever part of the
resolved cases still differs is a cause. An input that two roofs share in one scenario only is split
first.

The *parts* are taken by role, not by name: the base case, the subject (the way in question) and its
quote, the roof that stands, the terms, the leak figures, the loan. A mixed case takes each part from
the case to which its cause belongs. Size and place of the coach work on all parts: so they are moved
first, and both scenarios are resolved on the same coach in the same place. Upkeep that follows what
the owner would do otherwise goes with it: that of the subject's roofs if in both scenarios they are
the base case's roof or have its plan, and that of the past if in both it is that of the base case's
roof.

*Figures that roofs take over.* A shared coating takes its leaks over from the shared membrane, so both
roofs use one input, P. A scenario that says something of its own about its membrane leaves the coating
on the tool's figure, and then the two roofs use two inputs: P is the membrane's, ``shared.P`` the
coating's. If one scenario has one input where the other has two, a change of P would move one roof in
one of them and both roofs in the other, and a figure that was only said of the membrane would look like
another coating.

So the input is split: what uses ``shared.P`` in one scenario uses it in the other too, where it stands
at the figure that was used so far. No number of either scenario changes.

Inputs that only other ways use and the years shown are no causes: they do not touch the answer.

Assumed: roofs of the same name are the same roof in both. Left out: how sure either answer is; how
inputs move together, where the two state it differently; figures that roofs of other names take over.
Source: Shapley, A value for n-person games (1953), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import factorial
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from lifecycle.climate import DRIVERS
from lifecycle.data import frame_words, words_of
from lifecycle.errors import fault
from lifecycle.files import shared
from lifecycle.quantities import (
    Array,
    Figure,
    Flags,
    Frame,
    Framed,
    Whole,
    clip_to_bounds,
    convert,
    in_rows,
    inner,
    number_text,
    unit_text,
)
from lifecycle.reading.roofs import all_plans
from lifecycle.roofs import Alternative, Case, Existing, Loan, Roof
from lifecycle.scenario import (
    Scenario,
    Stated,
    StatedAlternative,
    StatedRoof,
    Use,
    geometry_of,
    paths_in,
    resolve,
)
from lifecycle.studies.doubt import HOLDING, under
from lifecycle.studies.futures import (
    DRAWS,
    SEED,
    Evaluator,
    HistoryWeights,
    Progress,
    correlations,
    futures,
)
from lifecycle.studies.sampling import at_score, sample
from lifecycle.studies.switching import inputs_used, ways_in_question
from lifecycle.studies.ways import judged_way, one_set

LEAKS_FOUND = "existing.leaks_found"

SHARED = "shared."
"""Opens the path of a shared figure whose own path the file uses for another figure."""


def with_inputs_alike(first: Scenario, second: Scenario) -> tuple[Scenario, Scenario]:
    """Return two scenarios, with the same numbers, in which roofs of one name use as many inputs."""
    return _split_as(first, second), _split_as(second, first)


def _split_as(scenario: Scenario, other: Scenario) -> Scenario:
    """Return a scenario with an input split in two where the other has two."""
    roofs = {
        name: _roof_as(roof, other.roofs[name]) if name in other.roofs else roof
        for name, roof in scenario.roofs.items()
    }
    used = {path for roof in roofs.values() for stated in roof.numbers.values() for path in paths_in(stated)}
    own = scenario.inputs
    new = {
        path: replace(own[path.removeprefix(SHARED)], path=path)
        for path in sorted(used - own.keys())
        if path.removeprefix(SHARED) in own
    }
    return replace(scenario, roofs=roofs, inputs={**own, **new}) if new else scenario


def _roof_as(roof: StatedRoof, other: StatedRoof) -> StatedRoof:
    """Return a roof that takes over what another takes over from shared inputs of their own."""
    numbers = {
        name: _stated_as(stated, other.numbers.get(name, 0.0)) for name, stated in roof.numbers.items()
    }
    return replace(roof, numbers=numbers)


def _stated_as(stated: Stated, other: Stated) -> Stated:
    """Return a number by the path, and the ratios, that it has in another statement of it."""
    if not isinstance(stated, Use):
        return stated
    own = {path.removeprefix(SHARED): path for path in paths_in(other) if path.startswith(SHARED)}
    return Use(own.get(stated.path, stated.path), tuple(own.get(ratio, ratio) for ratio in stated.ratios))


Drawn = Mapping[str, ArrayLike]
"""Values of inputs in all futures, by path."""

OTHERWISE, STANDING, WAY, QUOTE = "otherwise", "standing", "way", "quote"
TERMS, LEAKS, LOAN = "terms", "leaks", "loan"
SIZE, PLACE = "size", "place"

SAYS: Mapping[str, str] = words_of("difference")["says"]
"""What a scenario says of a group, in words."""

LABELS: Mapping[str, str] = words_of("difference")["groups"]
"""Groups of what two scenarios may state differently, in plain words."""

_GROUP_OF_SECTION = {"existing": STANDING, "loan": LOAN, "coach": SIZE}

_SITES = (SIZE, PLACE)
_PARTS = tuple(group for group in LABELS if group not in _SITES)
_OF_PLACE = (*DRIVERS, "share", "sheltered_share")


@dataclass(frozen=True)
class Cause:
    """Something that two scenarios say differently.

    Parameters
    ----------
    key, label : str
        Path of the input or name of the group; plain words.
    first, second : str
        What the two scenarios say, in words.
    amount : float
        What it adds to the net savings, from the first to the second; 0 until it is known. [money]
    error : float
        Standard error; 0 where every order counts. [money]
    figures : tuple of (Figure, Figure)
        The inputs that differ, in the first and in the second.
    """

    key: str
    label: str
    first: str
    second: str
    amount: float
    error: float
    figures: tuple[tuple[Figure, Figure], ...]


@dataclass(frozen=True)
class TwoScenarios:
    """Two scenarios, and what they say differently.

    Parameters
    ----------
    first, second : Scenario
        What was stated, with inputs alike.
    ways_first, ways_second : tuple of str
        Subject and base case of the two.
    causes : tuple of Cause
        Groups first, then inputs in the order of the second scenario.
    """

    first: Scenario
    second: Scenario
    ways_first: tuple[str, str]
    ways_second: tuple[str, str]
    causes: tuple[Cause, ...]

    def case(self, taken: Flags, drawn: tuple[Drawn, Drawn]) -> Case:
        """Return the mixed case with some causes, (causes,), of the second scenario, in all futures."""
        first, second = drawn
        values = {**second, **first}
        groups = set()
        for cause, flag in zip(self.causes, taken, strict=False):
            groups |= {cause.key} if flag else set()
            values |= {figure.path: drawn[int(flag)][figure.path] for figure, _ in cause.figures}
        mixed = _mixed(_parts_of(self, values, groups), groups)
        return mixed.kept(float(np.asarray(mixed.terms.holding_period)))

    def drawn(self, scores: Mapping[str, Array]) -> tuple[Drawn, Drawn]:
        """Return all inputs of the first and of the second scenario in all futures."""
        first, second = (
            {path: _drawn(figure, scores) for path, figure in scenario.inputs.items()}
            for scenario in (self.first, self.second)
        )
        return first, second

    @property
    def both(self) -> tuple[tuple[Scenario, tuple[str, str]], ...]:
        """Either scenario with its subject and base case."""
        return (self.first, self.ways_first), (self.second, self.ways_second)


def _drawn(figure: Figure, scores: Mapping[str, Array]) -> ArrayLike:
    """Return the values of an input in all futures; one where it is no range, and of the years kept."""
    if not figure.ranged or figure.path not in scores or figure.path == HOLDING:
        return figure.likely
    return clip_to_bounds(figure, at_score(figure, scores[figure.path]))[0]


def two_scenarios(first: Scenario, second: Scenario) -> TwoScenarios:
    """Sort what two scenarios say differently into causes.

    Raises ScenarioError if there is nothing to compare in one of them, or their currencies differ.
    """
    if first.currency != second.currency:
        one, other = (scenario.currency or "no currency" for scenario in (first, second))
        rule = f"is in {one}, the other in {other}"
        raise fault("one scenario", rule, "", "nothing converts one to the other; state both in one")
    first, second = with_inputs_alike(first, second)
    ways = _in_question(first), _in_question(second)
    used = inputs_used(first, *ways[0]) | inputs_used(second, *ways[1]) | {LEAKS_FOUND}
    figures = [
        (first.inputs[path], figure)
        for path, figure in second.inputs.items()
        if path in used and path in first.inputs and _says(first.inputs[path]) != _says(figure)
    ]
    two = TwoScenarios(first, second, *ways, ())
    stated = _stated_differently(two, figures)
    return replace(two, causes=_causes(two, figures, stated))


def _in_question(scenario: Scenario) -> tuple[str, str]:
    """Return the way that is judged, and what the owner would do otherwise."""
    return ways_in_question(scenario, None if scenario.trouble else judged_way(scenario), None)


def _says(figure: Figure) -> tuple[object, ...]:
    """Return what of an input counts for a mean over the futures."""
    if figure.path == HOLDING or not figure.ranged:
        return (figure.likely,)
    return figure.low, figure.likely, figure.high, figure.shape


def _causes(two: TwoScenarios, figures: list[tuple[Figure, Figure]], stated: set[str]) -> tuple[Cause, ...]:
    """Return the causes: groups, then single inputs."""
    by_key: dict[str, list[tuple[Figure, Figure]]] = {group: [] for group in LABELS}
    for pair in figures:
        by_key.setdefault(_key(two, pair[0]), []).append(pair)
    causes = []
    for key, pairs in by_key.items():
        if not pairs and key not in stated:
            continue
        single = key not in LABELS
        label = pairs[0][0].field.label if single else LABELS[key]
        ends = any(one.likely == other.likely for one, other in pairs)
        alike = len({scenario.alternative(base).title for scenario, (_, base) in two.both}) == 1
        how = {"ends": ends, "plan": alike}
        first = _said(two.first, two.ways_first, key, [one for one, _ in pairs], **how)
        second = _said(two.second, two.ways_second, key, [other for _, other in pairs], **how)
        causes.append(Cause(key, label, first, second, 0.0, 0.0, tuple(pairs)))
    return tuple(causes)


def _key(two: TwoScenarios, figure: Figure) -> str:
    """Return the cause that an input belongs to: its own, or a group.

    Numbers that fix the calendar (how often a job is done, the year of a change) go with the way
    that they belong to.
    """
    section = figure.path.partition(".")[0]
    if section in _GROUP_OF_SECTION:
        return _GROUP_OF_SECTION[section]
    if section == "climate" and figure.field.name in _OF_PLACE:
        return PLACE
    if figure.field.ranged:
        return figure.path
    for scenario, (_, base) in two.both:
        way = scenario.alternative(base)
        if figure.path in paths_in((way, scenario.roofs[way.roof], scenario.roofs[way.then])):
            return OTHERWISE
    return WAY


def _said(
    scenario: Scenario, ways: tuple[str, str], key: str, figures: list[Figure], *, ends: bool, plan: bool
) -> str:
    """Return what one scenario says, in words.

    `ends`: of an input, how far it may range too; `plan`: the upkeep plan too, for the titles do not tell.
    """
    if key in (OTHERWISE, WAY):
        way = scenario.alternative(ways[int(key == OTHERWISE)])
        named = scenario.roofs[way.roof].plan if key == OTHERWISE and plan else None
        return _way_in_words(scenario, way, named, figures)
    if key == QUOTE:
        quote = scenario.likely(scenario.alternative(ways[0]).quote)
        return f"{number_text(quote)}{unit_text('money', scenario.currency)}"
    if key in _SITES:
        return _size_in_words(scenario) if key == SIZE else _place_in_words(scenario)
    if key not in LABELS:
        return _with_unit(scenario, figures[0], ends=ends)
    if not figures:
        return SAYS["its_own_way" if key != LOAN or scenario.loan else "no_loan"]
    return ", ".join(f"{figure.field.label} {_with_unit(scenario, figure)}" for figure in figures)


def _way_in_words(scenario: Scenario, way: StatedAlternative, plan: str | None, figures: list[Figure]) -> str:
    """Return the title of a way, its upkeep plan if that says more, and what fixes its calendar otherwise."""
    upkeep = all_plans(shared()).get(plan or "", {}).get("title", plan)
    more = [SAYS["plan"].format(plan=upkeep)] if upkeep and upkeep != inner(way.title) else []
    more += [f"{figure.field.label} {_with_unit(scenario, figure)}" for figure in figures]
    return f"{way.title} ({', '.join(more)})" if more else way.title


def _size_in_words(scenario: Scenario) -> str:
    """Return the size of the coach against the reference coach."""
    shape = geometry_of(scenario)
    if shape is None:
        return SAYS["not_measured"]
    joints, area = (number_text(float(ratio), 3) for ratio in (shape.joint_ratio, shape.area_ratio))
    return SAYS["size"].format(joints=joints, area=area)


def _place_in_words(scenario: Scenario) -> str:
    """Return where the coach stands, and its cover."""
    climate = scenario.climate
    if climate is None:
        return SAYS["no_place"]
    names = [place.name for place in climate.places] or [SAYS["reference"]]
    own = [SAYS["own_climate"]] if any(name in climate.numbers for name in DRIVERS) else []
    share = scenario.likely(climate.numbers.get("sheltered_share", 0.0))
    cover = [SAYS["cover"].format(share=number_text(100.0 * share, 3))] if share else []
    return ", ".join([" and ".join(names), *own, *cover])


def _with_unit(scenario: Scenario, figure: Figure, *, ends: bool = False) -> str:
    """Return the likely value of an input with its unit, in the units of the file; perhaps its ends too."""
    unit = figure.field.unit_in(scenario.units)
    low, likely, high = (
        number_text(convert(value, figure.field.unit, unit))
        for value in (figure.low, figure.likely, figure.high)
    )
    said = f"{likely}{unit_text(unit, scenario.currency)}"
    return SAYS["range"].format(value=said, low=low, high=high) if ends and figure.ranged else said


@dataclass(frozen=True)
class _Parts:
    """The parts of one resolved case, by role.

    `follows` says which upkeep goes with what the owner would do otherwise: that of the subject's
    standing roof, of its new roof, and of the past.
    """

    case: Case
    subject: Alternative
    base: Alternative
    follows: tuple[bool, bool, bool]

    def part(self, group: str) -> Any:
        """Return what belongs to a group, without names, to be compared with another's."""
        roof, then, past = self.follows
        if group == OTHERWISE:
            upkeep = (
                _upkeep(self.subject.roof) if roof else None,
                _upkeep(self.subject.then) if then else None,
                _upkeep(self.case.existing.roof) if past else None,
            )
            return _nameless(self.base), upkeep
        if group == WAY:
            way = _nameless(replace(self.subject, quote=0.0, days=0.0))
            return replace(way, roof=_bare(way.roof, roof), then=_bare(way.then, then))
        if group == QUOTE:
            return self.subject.quote, self.subject.days
        if group == STANDING:
            existing = self.case.existing
            return replace(existing, roof=_bare(existing.roof, past))
        if group == TERMS:
            return replace(self.case.terms, study_period=0)
        return self.case.leaks if group == LEAKS else self.loan

    @property
    def loan(self) -> Loan | None:
        """The loan, for the subject or for the base case; None if it pays for neither."""
        loan = self.case.loan
        roles = {self.subject.name: WAY, self.base.name: OTHERWISE}
        if loan is None or loan.alternative not in roles:
            return None
        return replace(loan, alternative=roles[loan.alternative])


def _bare(roof: Roof, without_visits: bool) -> Roof:
    """Return a roof without its name, and perhaps without its upkeep."""
    nothing: dict[str, Any] = {"visits": (), "plan_ends": None, "visits_after": ()}
    return replace(roof, name="", **(nothing if without_visits else {}))


def _upkeep(roof: Roof) -> dict[str, Any]:
    """Return the plans of a roof, and when the first ends."""
    return {name: getattr(roof, name) for name in ("visits", "plan_ends", "visits_after")}


def _nameless(way: Alternative) -> Alternative:
    """Return a way without names and marks."""
    return replace(
        way,
        name="",
        title="",
        base_case=False,
        subject=False,
        roof=_bare(way.roof, False),
        then=_bare(way.then, False),
    )


def _parts_of(two: TwoScenarios, values: Mapping[str, ArrayLike], groups: set[str]) -> tuple[_Parts, _Parts]:
    """Resolve both scenarios with the same values, on the coach and in the place of one of them."""
    follows = _follows(two)
    shown = max(scenario.likely(scenario.study["study_period"]) for scenario in (two.first, two.second))
    parts = []
    for scenario, (subject, base) in two.both:
        path = getattr(scenario.study["study_period"], "path", None)
        own = dict(values) if path is None else {**values, path: shown}
        moved = _moved(two, scenario, groups)
        case = resolve(moved, {path: value for path, value in own.items() if path in moved.inputs})
        parts.append(_Parts(case, case.alternative(subject), case.alternative(base), follows))
    return parts[0], parts[1]


def _moved(two: TwoScenarios, scenario: Scenario, groups: set[str]) -> Scenario:
    """Return a scenario with the coach and the place of the first scenario, or of the second by groups."""
    size, place = (two.second if group in groups else two.first for group in _SITES)
    inputs = {**size.inputs, **place.inputs, **scenario.inputs}
    return replace(scenario, coach=size.coach, climate=place.climate, inputs=inputs)


def _follows(two: TwoScenarios) -> tuple[bool, bool, bool]:
    """Say which upkeep goes with what the owner would do otherwise, in both scenarios."""
    found = []
    for scenario, ways in two.both:
        subject, base = (scenario.alternative(name) for name in ways)
        kept, new = scenario.roofs[base.roof], scenario.roofs[subject.then]
        past = scenario.existing.past_visits is None and scenario.existing.roof == base.roof
        found.append((subject.roof == base.roof, _has_plan(new, kept.plan), past))
    roof, then, past = (one and other for one, other in zip(*found, strict=True))
    return roof, then, past


def _has_plan(roof: StatedRoof, plan: str | None) -> bool:
    """Whether a roof is kept under a plan: named, or taken from the base case because none was."""
    if plan is None or roof.plan is not None:
        return plan is not None and roof.plan == plan
    intervals = (path for visit in roof.visits for path in paths_in(visit.numbers["every"]))
    return all(path.startswith(f"plans.{plan}.") for path in intervals)


def _stated_differently(two: TwoScenarios, figures: list[tuple[Figure, Figure]]) -> set[str]:
    """Return the groups that differ although the inputs that both have stand at the same values."""
    found: set[str] = set()
    for place in (0, 1):
        values = {pair[0].path: pair[place].likely for pair in figures}
        first, second = _parts_of(two, values, set())
        found |= {group for group in _PARTS if first.part(group) != second.part(group)}
        for site in _SITES:
            moved, _ = _parts_of(two, values, {site})
            found |= {site for group in _PARTS if first.part(group) != moved.part(group)}
    return found


def _mixed(parts: tuple[_Parts, _Parts], groups: set[str]) -> Case:
    """Return the case that takes some groups from the second scenario."""
    at = {group: parts[int(group in groups)] for group in _PARTS}
    roof, then, past = parts[0].follows
    otherwise, way = at[OTHERWISE], at[WAY].subject
    base = replace(otherwise.base, name=OTHERWISE, base_case=True, subject=False)
    subject = replace(
        way,
        name=WAY,
        base_case=False,
        subject=True,
        quote=at[QUOTE].subject.quote,
        days=at[QUOTE].subject.days,
        roof=_kept_as(way.roof, otherwise.subject.roof, roof),
        then=_kept_as(way.then, otherwise.subject.then, then),
    )
    existing: Existing = at[STANDING].case.existing
    existing = replace(existing, roof=_kept_as(existing.roof, otherwise.case.existing.roof, past))
    return Case(at[TERMS].case.terms, at[LEAKS].case.leaks, existing, (base, subject), at[LOAN].loan)


def _kept_as(roof: Roof, other: Roof, follows: bool) -> Roof:
    """Return a roof, with the upkeep of another if it follows it."""
    return replace(roof, **_upkeep(other)) if follows else roof


ORDERS = 4
"""Default number of random orders; each is gone through backwards too."""

ROUNDING = 1e-6
"""A spread below this is none. [money]"""

MOST_CAUSES = 6
"""Up to so many causes every order counts."""

SPLIT_DRAWS = 128
"""Futures in which the causes are taken over one by one, at most; both answers stand on all of them."""


@dataclass(frozen=True)
class Difference(Framed):
    """The difference between the answers of two scenarios, by cause.

    Parameters
    ----------
    first, second : float
        Net savings of the subject over the base case in the two scenarios, means over the futures. [money]
    ways_first, ways_second : tuple of str
        Subject and base case of the two.
    causes : tuple of Cause
        The largest amount first.
    orders : int or None
        Number of orders that were averaged; None: all.
    seed : int
        Seed of the random orders and of the futures.
    currency : str
        Unit of all money.
    draws : int
        Futures that every amount is a mean over, 1 where nothing is a range.
    by_draws : float
        What no cause makes: other figures are drawn, so each scenario has futures of its own. [money]

    Raises
    ------
    ValueError
        If the causes do not add up to the difference.
    """

    first: float
    second: float
    ways_first: tuple[str, str]
    ways_second: tuple[str, str]
    causes: tuple[Cause, ...]
    orders: int | None
    seed: int
    currency: str = "money"
    draws: int = DRAWS
    by_draws: float = 0.0

    def __post_init__(self) -> None:
        left = self.total - sum(cause.amount for cause in self.causes) - self.by_draws
        if abs(left) > 1e-6 * max(1.0, abs(self.first), abs(self.second)):
            raise ValueError(f"the causes do not add up to the difference: {left} is left")

    def __repr__(self) -> str:
        """Name the causes with their amounts, a line each."""
        three = {"total": self.total, "first": self.first, "second": self.second}
        head = frame_words("difference")("named", **{name: f"{one:,.0f}" for name, one in three.items()})
        return "\n".join([head, *(f"  {cause.key}: {cause.amount:,.0f}" for cause in self.causes)])

    def to_frame(self) -> Frame:
        """Return the causes as rows: what the two say, and what it adds to the net savings [money]."""
        said = frame_words("difference", money=self.currency)
        rows = {
            cause.key: {
                said("cause"): cause.label,
                said("first"): cause.first,
                said("second"): cause.second,
                said("amount"): cause.amount,
                **({} if self.orders is None else {said("error"): cause.error}),
            }
            for cause in self.causes
        }
        return in_rows(rows)

    @property
    def total(self) -> float:
        """Net savings in the second scenario less those in the first. [money]"""
        return self.second - self.first

    @property
    def method(self) -> str:
        """How the difference was split, in a sentence."""
        said = words_of("difference")["method"]
        if self.orders is None:
            return str(said["every_order"])
        return str(said["some_orders"]).format(orders=self.orders, seed=self.seed)


def difference(
    first: Scenario,
    second: Scenario,
    *,
    seed: int = SEED,
    orders: int = ORDERS,
    draws: int = DRAWS,
    progress: Progress | None = None,
) -> Difference:
    """Split the difference between the answers of two scenarios by cause.

    Parameters
    ----------
    first, second : Scenario
        What was stated.
    seed, orders : int
        Seed of the futures and of random orders; number of these where there are too many causes for all
        orders, at least 2.
    draws : int
        Futures that every answer is the mean of.
    progress : callable or None
        Called with how much is done, and how much there is to do.

    Returns
    -------
    Difference
        Of the net savings of the way in question; its causes add up to it.

    Raises
    ------
    ScenarioError
        If there is nothing to compare in one of them, or their currencies differ.
    NoFuture
        If no future can explain the history of a roof.
    """
    first, second = (_waiting_at_its_best(one, draws, seed) for one in (first, second))
    two = two_scenarios(first, second)
    number = len(two.causes)
    every_order = number <= MOST_CAUSES
    sequences = [] if every_order else _orders(number, max(2, orders), seed)
    taken = _all_sets(number) if every_order else _along(sequences)
    sets, place = np.unique(taken.reshape(-1, max(1, number)), axis=0, return_inverse=True)
    found = _means(two, sets, min(draws, SPLIT_DRAWS), seed, progress)
    values, by_future = (one[place.ravel()] for one in found)
    errors = np.zeros(number) if every_order else _errors(sequences, values)

    def split(answers: Array) -> Array:
        """Return the amounts of the causes from answers, shape (answers, ...). [money]"""
        if every_order:
            return _mean_over_all_orders(answers, number=number)
        return np.asarray(_moves(sequences, answers).mean(axis=0))

    ends = tuple(
        _own_mean(scenario, ways, draws, seed)
        for scenario, ways in ((first, two.ways_first), (second, two.ways_second))
    )
    amounts = _with_own_draws(split(values), split(by_future).std(axis=-1), ends[1] - ends[0])
    causes = [
        replace(cause, amount=float(amount), error=float(error))
        for cause, amount, error in zip(two.causes, amounts, errors, strict=True)
    ]
    causes.sort(key=lambda cause: -abs(cause.amount))
    return Difference(
        ends[0],
        ends[1],
        two.ways_first,
        two.ways_second,
        tuple(causes),
        None if every_order else len(sequences),
        seed,
        first.currency,
        draws if any(figure.ranged for one in (first, second) for figure in one.inputs.values()) else 1,
        ends[1] - ends[0] - float(amounts.sum()),
    )


def _waiting_at_its_best(scenario: Scenario, draws: int, seed: int) -> Scenario:
    """Return a scenario whose way in question, if it waits under no upkeep of its own, has the best."""
    if scenario.trouble or all(way.added or not way.upkeep_open for way in scenario.alternatives):
        return scenario
    way = scenario.alternative(_in_question(scenario)[0])
    return one_set(scenario, futures(scenario, draws=draws, seed=seed)) if way.upkeep_open else scenario


def _own_mean(scenario: Scenario, ways: tuple[str, str], draws: int, seed: int) -> float:
    """Return the answer of one scenario in its own futures, as a comparison has it. [money]"""
    until = math.ceil(scenario.likely(scenario.owner["holding_period"]))
    drawn = futures(scenario, draws=draws, seed=seed)
    found = under(scenario, drawn, until=until, ways={*ways, scenario.base_case.name})
    return float(found.futures.weights @ found.net_savings(*ways))


def _with_own_draws(amounts: Array, spreads: Array, total: float) -> Array:
    """Spread over the causes, by how far their futures lie apart, what the whole is off. [money]"""
    off, whole = total - amounts.sum(), spreads.sum()
    return amounts + off * spreads / whole if whole > ROUNDING else amounts


def _means(
    two: TwoScenarios, sets: Flags, draws: int, seed: int, progress: Progress | None
) -> tuple[Array, Array]:
    """Return the answer of each set of causes, (sets, causes), on average and by future. [money]"""
    scores = _scores(two, draws, seed)
    rows = draws if scores else 1
    work, weights, drawn = Evaluator(by_category=False), HistoryWeights(), two.drawn(scores)
    longest = max(math.ceil(one.likely(one.owner["holding_period"])) for one in (two.first, two.second))
    means, by_future = np.empty(len(sets)), np.empty((len(sets), rows))
    for number, taken in enumerate(sets):
        case = two.case(taken, drawn)
        cost = work.costs(case, rows, ahead=longest)
        by_future[number] = cost[OTHERWISE].at_holding - cost[WAY].at_holding
        means[number] = float(weights.of(case, rows) @ by_future[number])
        if progress is not None:
            progress(number + 1, len(sets))
    return means, by_future


def _scores(two: TwoScenarios, draws: int, seed: int) -> Mapping[str, Array]:
    """Return the place of each future among all, by input that is a range in either scenario. [-]"""
    inputs = dict(two.second.inputs)
    for path, figure in two.first.inputs.items():
        if figure.ranged or path not in inputs:
            inputs[path] = figure
    said = [*(one.sections.get("correlations", ()) for one in (two.second, two.first))]
    sections = {**two.first.sections, "correlations": (*said[0], *said[1])}
    both = replace(two.first, inputs=inputs, sections=sections)
    return sample(list(inputs.values()), draws=draws, seed=seed, correlations=correlations(both)).scores


def _all_sets(number: int) -> Flags:
    """Return every set of causes, shape (2^number, number); set k holds the bits of k."""
    sets = np.arange(2**number)
    return np.asarray((sets[:, None] >> np.arange(max(1, number))) & 1, dtype=bool)


def _mean_over_all_orders(values: Array, *, number: int) -> Array:
    """Return the amounts of the causes from the answer of every set, shape (sets, ...). [money]"""
    sets = np.arange(len(values))
    size = _all_sets(number).sum(axis=1)
    share = np.array([factorial(k) * factorial(number - k - 1) / factorial(number) for k in range(number)])
    amounts = np.empty((number, *values.shape[1:]))
    for cause in range(number):
        without = sets[(sets >> cause) & 1 == 0]
        amounts[cause] = share[size[without]] @ (values[without | 1 << cause] - values[without])
    return amounts


def _orders(number: int, orders: int, seed: int) -> list[Whole]:
    """Return random orders of the causes, each followed by its reversed one."""
    generator = np.random.default_rng(seed)
    drawn = [generator.permutation(number) for _ in range(orders)]
    return [order for one in drawn for order in (one, one[::-1])]


def _along(sequences: Sequence[Whole]) -> Flags:
    """Return the sets of causes that each order goes through, shape (orders, causes + 1, causes)."""
    number = len(sequences[0])
    taken = np.zeros((len(sequences), number + 1, number), dtype=bool)
    for row, order in enumerate(sequences):
        for step, cause in enumerate(order):
            taken[row, step + 1 :, cause] = True
    return taken


def _errors(sequences: Sequence[Whole], values: Array) -> Array:
    """Return the standard errors of the amounts, an order and its reversed one being one draw. [money]"""
    moves = _moves(sequences, values)
    pairs = moves.reshape(-1, 2, moves.shape[1]).mean(axis=1)
    return np.asarray(pairs.std(axis=0, ddof=1) / np.sqrt(pairs.shape[0]))


def _moves(sequences: Sequence[Whole], values: Array) -> Array:
    """Return what each cause adds in each order, shape (orders, causes, ...). [money]"""
    along = values.reshape(len(sequences), -1, *values.shape[1:])
    moves = np.empty((len(sequences), along.shape[1] - 1, *values.shape[1:]))
    for row, order in enumerate(sequences):
        moves[row, order] = np.diff(along[row], axis=0)
    return moves
