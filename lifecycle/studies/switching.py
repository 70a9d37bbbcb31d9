"""The answer as a function of its inputs, and where it changes: switch values, and defaults that cannot.

Lecture
-------
*Rows.* A study asks again and again: with these inputs at these values and all others at their likely ones,
what do ways cost at the years kept (`costs`)? A *row* is one set of such values; all rows of a question are
evaluated together, exactly. A way depends on the inputs of its own roofs, of the roof that stands, and of the
terms; rows that are alike in these are evaluated once for it. A job that restores the whole age of the seals
fixes the calendar and one that restores a little less does not, so rows in which such an input stands at 1
are evaluated apart. Nothing after a sale counts, so rows are followed no further
(`futures.lines_at_holding`). Whether the inputs can be so together is not asked there.

*Holding.* One input after another is held at values through its range, all others lie as in the futures, and
the coach is kept for the likely years. The answer f is the mean net savings over the futures, the one number
of the verdict; what holding an input does to it is taken from the first of these futures, in pairs::

    f(x_i = v) = mean over all futures + (mean with x_i = v - mean with x_i as drawn) over the first ones

so that the answer is the same number as everywhere, and the noise of few futures drops out of the
difference. The chance that the way is cheaper is taken in the same manner. Where the input bears on the
history of the standing roof, each value weighs the futures anew.

- *Switch value*: where f changes sign. Every change of sign between two neighbours on the grid is narrowed
  by cutting its interval into eight, three times, and then taken on a straight line; for an answer that
  jumps (years kept are whole months) it is the place of the jump. There may be several, or none in the
  range.
- *A default cannot change the word* if the word of the verdict (`verdict.word_under_doubt`) is the word all
  along its range. Asked of inputs that are the tool's own: whoever has stated a figure knows what it may be.

Left out: two crossings between the same two neighbours on the grid; inputs that move together.
Source: the model's own; the paired difference is a control variate, textbook.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lifecycle.errors import fault, nearest
from lifecycle.evaluation.past import log_likelihood
from lifecycle.quantities import Array, Figure, Whole
from lifecycle.scenario import Scenario, StatedAlternative, StatedVisit, paths_in, resolve
from lifecycle.studies.doubt import HOLDING, Doubt, under
from lifecycle.studies.futures import (
    Futures,
    Lines,
    Progress,
    first,
    futures,
    lines_at_holding,
    priced,
    unpriced,
)
from lifecycle.studies.verdict import settled, word_under_doubt, word_without_doubt
from lifecycle.studies.ways import judged_way

POINTS, FEW = 5, 64
"""Values of each range on the grid, its ends among them; futures in which they are tried."""

CLEAR = 0.025
"""What a chance has to move by, beyond a limit, to change a word: half a count of 20. [-]"""

Point = Mapping[str, float]
"""Values of the inputs that are held, by path; all others lie as in the futures."""

_PIECES, _TIMES = 8, 3
"""How an interval with a change of sign is narrowed."""


def ways_in_question(scenario: Scenario, subject: str | None, than: str | None) -> tuple[str, str]:
    """Return the names of a way (None: the subject) and of what it is compared with (None: the base case).

    Raises ScenarioError if a name is unknown, both are the same, there is one way, or trouble is reported.
    """
    if scenario.trouble:
        seen = f"({', '.join(scenario.trouble)})"
        raise fault("trouble", f"is reported {seen}", "", "open the roof first, then compare")
    names = [way.name for way in scenario.alternatives]
    for name in (subject, than):
        if name is not None and name not in names:
            raise fault(repr(name), "is not a way of this scenario", "", nearest(name, names))
    asked = subject or (scenario.subject.name if scenario.subject else None)
    other = than or scenario.base_case.name
    if asked is None or asked == other:
        raise fault(repr(other), "cannot be compared with itself", "", "name another way, or add one")
    return asked, other


def costs(
    scenario: Scenario,
    names: Sequence[str],
    rows: Mapping[str, Array],
    *,
    progress: Progress | None = None,
) -> dict[str, Array]:
    """Net-present cost of some ways at the years kept, for each row of inputs, shape (rows,), by way. [money]

    Parameters
    ----------
    scenario : Scenario
        What was stated; inputs without a row stand at their likely values.
    names : sequence of str
        Names of the ways to evaluate.
    rows : mapping of str to ndarray, shape (rows,)
        Values by path of the input; none: one row, everything likely. [unit of the input]
    progress : callable or None
        Called with the rows done and all rows, the distinct ones of each way counted; may raise.
    """
    size = len(next(iter(rows.values()))) if rows else 1
    own: dict[str, tuple[str, ...]] = {}
    dear: dict[str, set[str]] = {}
    for name in names:
        bare, dear[name] = _without_prices(scenario, scenario.alternative(name))
        used = inputs_used(bare, name)
        own[name] = tuple(path for path in rows if path in used)
    parts = []
    for paths in dict.fromkeys(own.values()):
        alike = tuple(name for name in names if own[name] == paths)
        parts.append((alike, *_distinct([rows[path] for path in paths], size), paths))
    whole = sum(len(distinct) * len(alike) for alike, distinct, *_ in parts)
    out: dict[str, Array] = {}
    done = 0
    for alike, distinct, place, paths in parts:
        values = {path: distinct[:, column] for column, path in enumerate(paths)}
        part = _lines(scenario, alike, values, len(distinct), _shifted(progress, done, whole))
        for name, lines in part.items():
            case = resolve(scenario, {path: row for path, row in rows.items() if path in dear[name]})
            _, prices = unpriced(case.alternative(name), case.terms)
            out[name] = priced({line: number[place] for line, number in lines.items()}, prices)
        done += len(distinct) * len(alike)
    return {name: out[name] for name in names}


def _without_prices(scenario: Scenario, way: StatedAlternative) -> tuple[Scenario, set[str]]:
    """Return a scenario without the prices of a way's lines (`futures.unpriced`), and the inputs in them.

    Jobs of one name whose prices differ keep them.
    """
    visits = [visit for name in (way.roof, way.then) for visit in scenario.roofs[name].all_visits]
    costs = {visit.name: visit.numbers.get("cost", 0.0) for visit in visits}
    unlike = {visit.name for visit in visits if visit.numbers.get("cost", 0.0) != costs[visit.name]}

    def bare(jobs: tuple[StatedVisit, ...]) -> tuple[StatedVisit, ...]:
        return tuple(
            job if job.name in unlike else replace(job, numbers={**job.numbers, "cost": 0.0}) for job in jobs
        )

    prices = {name: scenario.owner.get(name, 0.0) for name in ("hour_value", "day_cost")}
    stripped = replace(
        scenario,
        owner={**scenario.owner, **dict.fromkeys(prices, 0.0)},
        roofs={
            name: replace(roof, visits=bare(roof.visits), visits_after=bare(roof.visits_after))
            for name, roof in scenario.roofs.items()
        },
        alternatives=(replace(way, quote=0.0),),
    )
    return stripped, set(paths_in((way.quote, prices, costs)))


def _distinct(columns: Sequence[Array], size: int) -> tuple[Array, Whole]:
    """Return the distinct rows of some columns, and for each row the place of the one alike."""
    if not columns:
        return np.empty((1, 0)), np.zeros(size, dtype=np.int64)
    rows = np.ascontiguousarray(np.stack(columns, axis=1)) + 0.0
    keys = rows.view(np.dtype((np.void, rows.itemsize * rows.shape[1])))[:, 0]
    _, each, place = np.unique(keys, return_index=True, return_inverse=True)
    return rows[each], place


def _lines(
    scenario: Scenario,
    names: Sequence[str],
    rows: Mapping[str, Array],
    size: int,
    progress: Progress | None,
) -> dict[str, Lines]:
    """Return the lines of some ways for each row, rows that fix the calendar apart."""
    kinds = np.zeros(size, dtype=np.int64)
    full = [rows[path] == 1.0 for path in rows if scenario.inputs[path].field.name == "restores"]
    for place, column in enumerate(full):
        kinds += column.astype(np.int64) << place
    out: dict[str, Lines] = {name: {} for name in names}
    done = 0
    for kind in np.unique(kinds):
        some = np.flatnonzero(kinds == kind)
        case = resolve(scenario, {path: values[some] for path, values in rows.items()})
        part = lines_at_holding(
            case.only(names),
            rows=some.size,
            progress=_shifted(progress, done, size * len(names)),
        )
        for name, lines in part.items():
            for line, number in lines.items():
                out[name].setdefault(line, np.zeros(size))[some] = number
        done += some.size * len(names)
    return out


def _shifted(progress: Progress | None, before: int, size: int) -> Progress | None:
    """Return a progress that counts the rows done before."""
    if progress is None:
        return None
    report = progress
    return lambda done, _: report(before + done, size)


def inputs_used(scenario: Scenario, *names: str) -> frozenset[str]:
    """Return the paths of all inputs that the cost of some ways at the years kept may depend on.

    The years shown and the leaks found so far are not among them.
    """
    ways = [way for way in scenario.alternatives if way.name in names]
    roofs = {scenario.existing.roof} | {roof for way in ways for roof in (way.roof, way.then)}
    terms = {name: stated for name, stated in scenario.study.items() if name != "study_period"}
    numbers = {name: stated for name, stated in scenario.existing.numbers.items() if name != "leaks_found"}
    used = (
        terms,
        scenario.owner,
        scenario.leaks,
        scenario.escalation,
        replace(scenario.existing, numbers=numbers),
        tuple(ways),
        tuple(scenario.roofs[roof] for roof in roofs),
        scenario.loan if scenario.loan is not None and scenario.loan.alternative in names else None,
        scenario.coach,
        scenario.climate,
    )
    return frozenset(paths_in(used))


@dataclass(frozen=True)
class Along:
    """Net savings of one way over another along the range of each ranged input, means over the futures.

    Parameters
    ----------
    subject, than : str
        The way in question, and the way that it is compared with.
    figures : tuple of Figure
        The ranged inputs, in the order of the scenario.
    values : ndarray, shape (inputs, points)
        Values of each input, from its low to its high end. [unit of the input]
    net_savings : ndarray, shape (inputs, points)
        Mean net savings of the subject with that input there. [money]
    chances : ndarray, shape (inputs, points)
        Share of the futures in which it is cheaper. [-]
    mean : float
        Mean net savings with every input as the futures have it. [money]
    word : str
        The verdict's word for the two.
    held : Held
        What tries further values.
    """

    subject: str
    than: str
    figures: tuple[Figure, ...]
    values: Array
    net_savings: Array
    chances: Array
    mean: float
    word: str
    held: Held


@dataclass(frozen=True)
class Held:
    """Two ways in some futures, with inputs held at values.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    pair : tuple of str
        The way in question, and the way that it is compared with.
    few : Futures
        Those in which values are tried; one where nothing is a range.
    mean, chance : float
        Of the net savings in all futures. [money, -]
    """

    scenario: Scenario
    pair: tuple[str, str]
    few: Futures
    mean: float
    chance: float

    def at(self, points: Sequence[Point], *, progress: Progress | None = None) -> tuple[Array, Array]:
        """Return mean net savings [money] and chance [-] at points, (points,) each."""
        cost, weights = in_few(self.scenario, self.few, ({}, *points), ways=self.pair, progress=progress)
        saved = cost[self.pair[1]] - cost[self.pair[0]]
        means, chances = np.sum(weights * saved, axis=1), np.sum(weights * (saved > 0.0), axis=1)
        shifted = np.clip(self.chance + chances[1:] - chances[0], 0.0, 1.0)
        return self.mean + means[1:] - means[0], shifted


def in_few(
    scenario: Scenario,
    few: Futures,
    points: Sequence[Point],
    *,
    ways: Collection[str],
    progress: Progress | None = None,
) -> tuple[dict[str, Array], Array]:
    """Return what ways cost at points in a few futures [money], and the weights [-], (points, draws) each.

    The coach is kept for the likely years. A point that bears on the history of the standing roof weighs the
    futures anew.
    """
    draws, inputs = few.weights.size, scenario.inputs
    drawn = {path: value for path, value in few.sample.values.items() if path in inputs}
    shape = len(points), draws
    likely = {path: inputs[path].likely for point in points for path in point} | drawn
    likely |= {path: inputs[path].likely for path in drawn if path == HOLDING}
    values = {path: np.broadcast_to(own, shape).copy() for path, own in sorted(likely.items())}
    for place, point in enumerate(points):
        for path, value in point.items():
            values[path][place] = value
    rows = {path: value.ravel() for path, value in values.items()}
    cost = costs(scenario, tuple(ways), rows, progress=progress)
    found = {way: np.broadcast_to(one, len(points) * draws).reshape(shape) for way, one in cost.items()}
    weights = np.tile(few.weights, (len(points), 1))
    past = _of_the_past(scenario)
    told = [place for place, point in enumerate(points) if point.keys() & past]
    if told:
        some = np.concatenate([np.arange(place * draws, (place + 1) * draws) for place in told])
        case = resolve(scenario, {path: value[some] for path, value in rows.items()})
        logs = log_likelihood(case, some.size).reshape(len(told), draws)
        weight = np.exp(logs - logs.max(axis=1, keepdims=True))
        weights[told] = weight / weight.sum(axis=1, keepdims=True)
    return found, weights


def _of_the_past(scenario: Scenario) -> set[str]:
    """Return the paths of the inputs that bear on the history of the standing roof."""
    roof = scenario.roofs[scenario.existing.roof]
    return set(paths_in((scenario.existing, roof, scenario.leaks, scenario.coach, scenario.climate)))


def held(
    scenario: Scenario,
    *,
    doubt: Doubt | None = None,
    subject: str | None = None,
    than: str | None = None,
    few: int = FEW,
) -> Held:
    """Return two ways in the first few futures, ready for inputs to be held at values.

    Names of ways are None for the way that is judged, and for the base case; ScenarioError if one is unknown,
    or there is only one. The doubt is worked out where it is not there already.
    """
    pair = ways_in_question(scenario, subject or (None if scenario.trouble else judged_way(scenario)), than)
    if doubt is None:
        drawn = futures(scenario)
        until = math.ceil(scenario.likely(scenario.owner["holding_period"]))
        doubt = under(scenario, drawn, until=until, ways={*pair, scenario.base_case.name})
        doubt = settled(scenario, doubt)
    size = min(few, doubt.futures.weights.size) if doubt.futures.sample.values else 1
    mean = float(doubt.futures.weights @ doubt.net_savings(*pair))
    return Held(scenario, pair, first(doubt.futures, size), mean, doubt.chance_cheaper(*pair))


@dataclass(frozen=True)
class Switch:
    """Where one input turns the answer.

    Parameters
    ----------
    figure : Figure
        The input.
    at : tuple of float
        Values at which the mean net savings change sign, from low to high. [unit of the input]
    cheaper_at_low : bool
        Whether the subject is the cheaper of the two at the low end of the range.
    """

    figure: Figure
    at: tuple[float, ...]
    cheaper_at_low: bool


@dataclass(frozen=True)
class Defaults:
    """Which of the tool's own figures can change the word of the verdict.

    Parameters
    ----------
    word : str
        The verdict's.
    safe : tuple of Figure
        Those whose whole range leaves it.
    able : tuple of (Figure, tuple of str)
        The others, each with the other words along its range, from low to high.
    """

    word: str
    safe: tuple[Figure, ...]
    able: tuple[tuple[Figure, tuple[str, ...]], ...]


def along(
    scenario: Scenario,
    *,
    doubt: Doubt | None = None,
    points: int = POINTS,
    progress: Progress | None = None,
) -> Along:
    """Evaluate the two ways in question along the range of each ranged input; `doubt` as for `held`."""
    tried = held(scenario, doubt=doubt)
    figures = tuple(figure for figure in scenario.inputs.values() if figure.ranged)
    values = np.array([np.linspace(figure.low, figure.high, points) for figure in figures])
    at = [{figure.path: value} for figure, row in zip(figures, values, strict=True) for value in row]
    savings, chances = (found.reshape(len(figures), points) for found in tried.at(at, progress=progress))
    word = word_under_doubt(tried.chance)
    if not figures:
        cost = costs(scenario, tried.pair, {})
        word = word_without_doubt(tried.mean, max(float(one[0]) for one in cost.values()))
    values = values.reshape(len(figures), points)
    return Along(*tried.pair, figures, values, savings, chances, tried.mean, word, tried)


def switch_values(grid: Along) -> tuple[Switch, ...]:
    """Find the values of each ranged input at which the answer changes, in the order of the scenario."""
    cheaper = grid.net_savings >= 0.0
    inputs, places = np.nonzero(cheaper[:, 1:] != cheaper[:, :-1])
    found = _narrowed(
        grid.held,
        [grid.figures[place] for place in inputs],
        np.stack([grid.values[inputs, places], grid.values[inputs, places + 1]], axis=1),
        np.stack([grid.net_savings[inputs, places], grid.net_savings[inputs, places + 1]], axis=1),
    )
    switches = []
    for place, figure in enumerate(grid.figures):
        at = tuple(float(value) for value in found[inputs == place])
        switches.append(Switch(figure, at, bool(cheaper[place, 0])))
    return tuple(switches)


def _narrowed(tried: Held, figures: Sequence[Figure], x: Array, y: Array) -> Array:
    """Return where the savings change sign between two values of each input, shape (intervals,)."""
    if not figures:
        return np.empty(0)
    every = np.arange(len(figures))
    for _ in range(_TIMES):
        inner = np.linspace(x[:, 0], x[:, 1], _PIECES + 1, axis=1)[:, 1:-1]
        at = [{figure.path: value} for figure, row in zip(figures, inner, strict=True) for value in row]
        xs = np.column_stack([x[:, 0], inner, x[:, 1]])
        ys = np.column_stack([y[:, 0], tried.at(at)[0].reshape(inner.shape), y[:, 1]])
        place = np.argmax((ys[:, 1:] >= 0.0) != (ys[:, :-1] >= 0.0), axis=1)
        x = np.stack([xs[every, place], xs[every, place + 1]], axis=1)
        y = np.stack([ys[every, place], ys[every, place + 1]], axis=1)
    return np.asarray(x[:, 0] + (x[:, 1] - x[:, 0]) * y[:, 0] / (y[:, 0] - y[:, 1]))


def defaults(grid: Along) -> Defaults:
    """Sort the tool's own ranged figures by whether they can change the word of the verdict.

    A chance counts as moved by what it moves beyond half a count of 20: so few futures tell no less.
    """
    safe, able = [], []
    for figure, chances in zip(grid.figures, grid.chances, strict=True):
        if not figure.shared:
            continue
        moved = chances - grid.held.chance
        clear = grid.held.chance + np.sign(moved) * np.maximum(np.abs(moved) - CLEAR, 0.0)
        words = [word_under_doubt(float(chance)) for chance in clear]
        others = tuple(dict.fromkeys(other for other in words if other != grid.word))
        if others:
            able.append((figure, others))
        else:
            safe.append(figure)
    return Defaults(grid.word, tuple(safe), tuple(able))
