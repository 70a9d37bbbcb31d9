"""One grid: scenarios by changed inputs by years kept, and the answer at every point of it.

Lecture
-------
A *point* is a scenario in which some names say something else: one scenario of several, times one value of
each name that is varied, times one row of a table (a coach of a fleet, say). Point k counts these off, the
last name fastest: a grid of a million points is a few lists, and any part of it can be worked out anywhere.
A name is that of a scenario file (``existing.age``, ``coach.length``) in the units of the file, any input by
its path, or a plain name (`what_if`): ``otherwise`` is the way that the owner would take otherwise.

At each point and each number of years kept the answer is the verdict's own (`assessment.compared`,
`verdict`): the one set of ways, the same futures for all, nothing evaluated twice. A row for each way says:

    cost        mean, and the band of 8 in 10 futures, of the cost in today's money
    saves       what the change in question saves over that way: mean and band; in how many of 20 futures
    price       the quote at which it would cost as much: mean and band

and whether the way leads, or is level with what leads. A row stands on nothing but its own point, years,
draws and seed, all named by its *digest*: it is the same to the bit whatever else is worked out, and by whom.

What is no such table but still a walk over scenarios (the card, regions, the paths of a fleet) goes through
`futures.walked` as well; what differs in inputs only, such as the places of a climate, is one batch
(`switching.in_few`).

Left out: ways that differ from point to point are rows of their own; nothing is interpolated between points.
"""

from __future__ import annotations

import hashlib
import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from lifecycle.data import frame_words
from lifecycle.errors import Fault, ScenarioError, stop_at
from lifecycle.evaluation.expectation import evaluate
from lifecycle.files import restated
from lifecycle.quantities import Array, Figure, Frame, Framed, convert
from lifecycle.scenario import Scenario, Use, replaced, years_kept
from lifecycle.studies.assessment import compared
from lifecycle.studies.doubt import HOLDING, Doubt, band, of_20
from lifecycle.studies.futures import (
    DRAWS,
    SEED,
    Evaluator,
    Progress,
    futures,
    in_draws,
    in_futures,
    walked,
)
from lifecycle.studies.verdict import Judged, judge
from lifecycle.studies.what_if import changed, otherwise_says

Value = float | str | bool | Figure | Sequence[str]

PLAIN = ("otherwise", "place", "quote", "reseal_price", "hour_value")
"""Plain names that may be varied too, as `what_if.changed` takes them."""

FIGURES = PLAIN[2:]
"""Those of figures; the others are said in the file."""


SINGLE = ("existing", "owner", "coach", "climate", "study", "leaks")
"""Sections whose names may be said anew though the file leaves them out."""

COLUMNS: Mapping[str, str] = {
    "years": "float64",
    **dict.fromkeys(("way", "title", "short", "lead", "lead_without_climbing"), "str"),
    **dict.fromkeys(("word", "border", "trouble", "reason"), "str"),
    **dict.fromkeys(("leads", "level", "base_case", "subject", "best_keeping"), "bool"),
    **dict.fromkeys(("cost", "cost_p10", "cost_p90", "saves", "saves_p10", "saves_p90", "of_20"), "float64"),
    **dict.fromkeys(
        ("price", "price_p10", "price_p90", "invested", "ratio", "ratio_p10", "ratio_p90"), "float64"
    ),
    "digest": "str",
}
"""Columns of every row, behind those that say which point it is. [money]; years [years]; of_20, ratio [-]"""

Row = dict[str, Any]
"""One way at one point: every name of `COLUMNS`."""


@dataclass(frozen=True)
class Point:
    """One point of a grid.

    Parameters
    ----------
    number : int
        In the order of the grid, from 0.
    name : str
        Of its scenario.
    says : mapping of str to Value
        What is said otherwise, by name.
    label : str
        What the row of the table is called; "" without a table.
    row : int
        Which row of the table it is of.
    """

    number: int
    name: str
    says: Mapping[str, Value]
    label: str = ""
    row: int = 0


@dataclass(frozen=True)
class Grid:
    """Scenarios by changed inputs by rows of a table, and how they are answered.

    Parameters
    ----------
    scenarios : mapping of str to Scenario
        By name.
    over : mapping of str to tuple of Value
        Values by the name that is varied.
    rows : tuple of mapping of str to Value
        Rows of a table; one empty row where there is none.
    years : tuple of float
        Years kept; none: as each scenario says. [years]
    labels : tuple of str
        What the rows are called.
    draws, seed : int
        Number of futures, and the seed of their points.
    ratios : bool
        Whether the savings-to-investment ratio is wanted; it takes about a third more.
    """

    scenarios: Mapping[str, Scenario]
    over: Mapping[str, tuple[Value, ...]]
    rows: tuple[Mapping[str, Value], ...] = ({},)
    years: tuple[float, ...] = ()
    labels: tuple[str, ...] = ()
    draws: int = DRAWS
    seed: int = SEED
    ratios: bool = False

    def __len__(self) -> int:
        """Return the number of points."""
        return math.prod((len(self.scenarios), *map(len, self.over.values()), len(self.rows)))

    @property
    def names(self) -> tuple[str, ...]:
        """Names that are said otherwise at any point, in order."""
        return tuple(dict.fromkeys((*self.over, *(name for row in self.rows for name in row))))

    @property
    def kinds(self) -> dict[str, str]:
        """Columns of its tidy table, and what they hold."""
        label = {"label": "str"} if self.labels else {}
        words = {name for name, some in self.over.items() if not all(map(_is_number, some))}
        words |= {name for row in self.rows for name, value in row.items() if not _is_number(value)}
        said = {name: "str" if name in words else "float64" for name in self.names}
        return {"point": "int64", "scenario": "str", **label, **said, **COLUMNS}

    def point(self, number: int) -> Point:
        """Return a point by its number."""
        rest, chosen = number, {}
        for name, values in reversed(tuple(self.over.items())):
            rest, which = divmod(rest, len(values))
            chosen[name] = values[which]
        which, row = divmod(rest, len(self.rows))
        says = {**{name: chosen[name] for name in self.over}, **self.rows[row]}
        label = self.labels[row] if self.labels else ""
        return Point(number, tuple(self.scenarios)[which], says, label, row)

    def scenario(self, point: Point) -> Scenario:
        """Return the scenario of a point; raises ScenarioError with all that is wrong with it.

        For evaluation only: it has no text of its own where a name of the file is said otherwise.
        """
        return said_otherwise(self.scenarios[point.name], point.says)


def _plain(value: Value) -> Value:
    """Return a number as a float, whatever kind it is, so that equal values have equal digests."""
    if isinstance(value, bool) or not isinstance(value, int | float | np.number):
        return value
    return float(value)


def _is_number(value: Value) -> bool:
    """Whether a value is a number in a table."""
    return isinstance(value, int | float | Figure) and not isinstance(value, bool)


def said_otherwise(scenario: Scenario, says: Mapping[str, Value], *, worded: bool = False) -> Scenario:
    """Return a scenario in which names of its file, paths of inputs or names of `PLAIN` say something else.

    In the units of the file; `worded` as for `files.restated`. Raises ScenarioError with all that is wrong.

    Examples
    --------
    >>> from lifecycle.files import load
    >>> older = said_otherwise(load("scenarios/humid-coast-motorhome.toml"), {"existing.age": 60})
    >>> older.inputs["existing.age"].likely
    60.0
    """
    plain: dict[str, Any] = {name: value for name, value in says.items() if name in FIGURES}
    others = {name: value for name, value in says.items() if name not in PLAIN}
    written = {name: value for name, value in others.items() if _stands(scenario, name)}
    inputs = {name: value for name, value in others.items() if name not in written}
    new, faults = scenario, list[Fault]()
    if "place" in says:
        written["climate.place"] = says["place"]
    if "otherwise" in says:
        try:
            written |= otherwise_says(scenario, str(says["otherwise"]))
        except ScenarioError as error:
            faults += error.faults
    steps: tuple[Callable[[Scenario], Scenario], ...] = (
        lambda some: restated(some, written, worded=worded) if written else some,
        lambda some: replaced(some, {name: _metric(some, name, one) for name, one in inputs.items()}),
        *(partial(changed, **{name: value}) for name, value in plain.items()),
    )
    for step in steps:
        try:
            new = step(new)
        except ScenarioError as error:
            faults += error.faults
    stop_at(faults, scenario.source)
    return new


def _stands(scenario: Scenario, name: str) -> bool:
    """Whether a name is said in the file, or could be; any other is an input by its path."""
    parts = name.split(".")
    if name not in scenario.inputs:
        return len(parts) > 1
    return len(parts) == 2 and parts[0] in SINGLE


def _metric(scenario: Scenario, name: str, value: Value) -> Figure | float:
    """Return the value of an input in the model's own unit."""
    info = scenario.inputs[name].field if name in scenario.inputs else None
    if info is None or isinstance(value, bool) or not isinstance(value, int | float):
        return value  # type: ignore[return-value]  # whatever it is, `replaced` says what is wrong
    return convert(value, info.unit_us, info.unit) if scenario.units == "us" else float(value)


def grid(
    scenario: Scenario | Mapping[str, Scenario] | Sequence[Scenario],
    over: Mapping[str, Sequence[Value]] | None = None,
    *,
    years: Sequence[float] = (),
    rows: Sequence[Mapping[str, Value]] = ({},),
    labels: Sequence[str] = (),
    draws: int = DRAWS,
    seed: int = SEED,
    ratios: bool = False,
) -> Grid:
    """Lay a grid out; arguments as for `sweep`.

    Raises
    ------
    ScenarioError
        If a list of values is empty, or there is no point.
    """
    if isinstance(scenario, Scenario):
        scenario = {scenario.source or scenario.title: scenario}
    elif not isinstance(scenario, Mapping):
        scenario = {f"{number} {one.title}": one for number, one in enumerate(scenario, start=1)}
    varied = {name: tuple(map(_plain, values)) for name, values in (over or {}).items()}
    said = tuple({name: _plain(value) for name, value in row.items()} for row in rows)
    empty = [
        Fault(name, "must have a value", "none", "leave it out") for name, some in varied.items() if not some
    ]
    if not scenario or not rows:
        empty.append(Fault("the grid", "must have a point", "no scenario or no row"))
    if empty:
        raise ScenarioError(empty)
    return Grid(dict(scenario), varied, said, tuple(map(float, years)), tuple(labels), draws, seed, ratios)


def faults_of(whole: Grid) -> Iterator[tuple[Point, tuple[Fault, ...]]]:
    """Go through the points and give what is wrong with each; nothing is evaluated."""
    for number in range(len(whole)):
        point = whole.point(number)
        try:
            checked = whole.scenario(point)
            for years in whole.years:
                _kept(checked, years)
            yield point, ()
        except ScenarioError as error:
            yield point, error.faults


def answered(whole: Grid, point: Point) -> list[Row]:
    """Return the rows of one point, which stand on no other: which point it is, then `COLUMNS`."""
    which = {"point": point.number, "scenario": point.name, **({"label": point.label} if point.label else {})}
    said = {name: _cell(value) for name, value in point.says.items()}
    rows = answer_rows(
        whole.scenario(point), whole.years, draws=whole.draws, seed=whole.seed, ratios=whole.ratios
    )
    return [{**which, **said, **row} for row in rows]


def _cell(value: Value) -> float | str | bool:
    """Return a value as a cell of a table."""
    if isinstance(value, Figure):
        return value.likely
    return value if isinstance(value, str | float | int) else "; ".join(value)


def answer_rows(
    scenario: Scenario,
    years: Sequence[float] = (),
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    ratios: bool = False,
) -> list[Row]:
    """Answer one scenario by years kept (none: as it says), as given; a row for each way.

    With trouble, or one way only, its one row has the reason. Every row has all names of `COLUMNS`.
    """
    work, found = Evaluator(by_category=False), {}
    for kept in sorted(set(years), reverse=True) or (None,):  # the longest curve serves the others
        some = scenario if kept is None else _kept(scenario, kept)
        found[kept] = _rows(some, draws, seed, ratios, work)
    return [row for kept in (years or (None,)) for row in found[kept]]


def _kept(scenario: Scenario, years: float) -> Scenario:
    """Return a scenario whose coach is kept for some years."""
    stated = scenario.owner["holding_period"]
    return replaced(scenario, {stated.path if isinstance(stated, Use) else HOLDING: years})


def _rows(scenario: Scenario, draws: int, seed: int, ratios: bool, work: Evaluator) -> list[Row]:
    """Return a row for each way of the one set, or one with the reason why nothing is compared."""
    years = years_kept(scenario)
    bare = dict.fromkeys(COLUMNS, "") | {
        name: False if kind == "bool" else math.nan for name, kind in COLUMNS.items() if kind != "str"
    }
    bare |= {"years": years, "digest": digest_of(scenario, draws, seed)}
    if scenario.trouble:
        trouble = ", ".join(scenario.trouble)
        return [{**bare, "trouble": trouble, "reason": f"trouble: {trouble}"}]
    until = max(1, math.ceil(years))

    def worked() -> tuple[Scenario, Doubt]:
        return compared(scenario, futures(scenario, draws=draws, seed=seed), until=until, evaluator=work)

    try:
        completed, doubt = in_futures(worked, scenario)
    except ScenarioError as error:  # no draw can explain the history of such a roof
        return [{**bare, "reason": str(error.faults[0])}]
    judged = judge(completed, doubt, hangs=False)
    if judged is None:
        return [{**bare, "reason": "one way only"}]
    quote = _quote(judged, doubt)
    ratio = _ratios(judged, doubt) if ratios else {}
    return [{**bare, **_of_way(judged, doubt, name, quote), **ratio.get(name, {})} for name in doubt.names]


def _of_way(judged: Judged, doubt: Doubt, name: str, quote: Array | None) -> Row:
    """Return what is said of one way."""
    way = judged.scenario.alternative(name)
    without = judged.unclimbed.way if judged.unclimbed else ""
    row: Row = {
        "way": name,
        "title": way.title,
        "short": way.short,
        "lead": judged.lead.place.way,
        "lead_without_climbing": without,
        "word": judged.word or "",
        "border": "; ".join(dict.fromkeys(border.what for border in judged.borders)),
        "leads": name in judged.lead.place.ways,
        "level": any(name in place.ways for place in judged.lead.level),
        "base_case": name == judged.against,
        "subject": name == judged.subject,
        "best_keeping": bool(judged.prices) and name == judged.prices[0].than,
        **_band("cost", doubt, doubt.cost(name)),
    }
    if name == judged.subject:
        return row
    row |= _band("saves", doubt, doubt.net_savings(judged.subject, name))
    if doubt.futures.sample.values:
        row["of_20"] = float(of_20(doubt.chance_cheaper(judged.subject, name)))
    if quote is not None:
        row |= _band("price", doubt, quote + doubt.net_savings(judged.subject, name))
    return row


def _band(name: str, doubt: Doubt, values: Array) -> Row:
    """Return mean and band of values over the futures."""
    found = band(values, doubt.futures.weights)
    return {name: float(found.mean), f"{name}_p10": float(found.p10), f"{name}_p90": float(found.p90)}


def _quote(judged: Judged, doubt: Doubt) -> Array | None:
    """Return the price of the change in question by future; None if it is not one of today. [money]"""
    if judged.scenario.alternative(judged.subject).change != 0.0:
        return None
    return np.asarray(in_draws(judged.scenario, doubt.futures).alternative(judged.subject).quote)


def _ratios(judged: Judged, doubt: Doubt) -> dict[str, Row]:
    """Return what each unit of money that the change lays out more saves, against what it is judged by.

    The savings-to-investment ratio of the means; its band is that of the savings over the mean investment.
    """
    others = {judged.against, *(price.than for price in judged.prices)} - {judged.subject}
    case = in_draws(judged.scenario, doubt.futures)
    ledgers = evaluate(case.only({judged.subject, *others}).kept(doubt.years))
    found: dict[str, Row] = {}
    for name in others:
        more = ledgers[judged.subject].invested - ledgers[name].invested
        mean = float(doubt.futures.weights @ np.broadcast_to(more, doubt.futures.weights.shape))
        found[name] = {"invested": mean}
        if mean > 0.0:
            found[name] |= _band("ratio", doubt, (doubt.net_savings(judged.subject, name) + more) / mean)
    return found


def digest_of(scenario: Scenario, draws: int, seed: int) -> str:
    """Return a digest of all that a row stands on: the file, every figure, the owner's way, the draws."""
    figures = [(one.path, one.low, one.likely, one.high, one.shape) for one in scenario.inputs.values()]
    whole = (scenario.sha256, scenario.base_case.name, figures, draws, seed)
    return hashlib.sha256(repr(whole).encode()).hexdigest()[:16]


@dataclass(frozen=True)
class Sweep(Framed):
    """A grid and what came out.

    Parameters
    ----------
    grid : Grid
        What was asked.
    rows : tuple of dict
        A row for each point, years kept and way.
    """

    grid: Grid
    rows: tuple[Row, ...] = field(repr=False)

    def __repr__(self) -> str:
        """Name the size."""
        said = frame_words("sweep")
        names = self.grid.names or said("nothing")
        return said("named", points=len(self.grid), names=names, rows=len(self.rows))

    def to_frame(self) -> Frame:
        """Return the tidy table.

        Returns
        -------
        pandas.DataFrame
            A row for each point, years kept and way: `point`, `scenario`, the names that were varied, and
            `COLUMNS`; nothing where a number is not to be had, with the reason under `reason`.
        """
        return frame_of(self.grid.kinds, self.rows)


def frame_of(kinds: Mapping[str, str], rows: Sequence[Row]) -> Frame:
    """Return rows as a tidy table; all parts of one grid have the same columns and kinds (`Grid.kinds`)."""
    import pandas

    frame = pandas.DataFrame(list(rows), columns=list(kinds))
    words = [name for name, kind in kinds.items() if kind == "str"]
    return frame.fillna(dict.fromkeys(words, "")).astype(dict(kinds))


def sweep(
    scenario: Scenario | Mapping[str, Scenario] | Sequence[Scenario],
    over: Mapping[str, Sequence[Value]] | None = None,
    *,
    years: Sequence[float] = (),
    rows: Sequence[Mapping[str, Value]] = ({},),
    labels: Sequence[str] = (),
    draws: int = DRAWS,
    seed: int = SEED,
    ratios: bool = False,
    progress: Progress | None = None,
) -> Sweep:
    """Answer a grid: scenarios by changed inputs by years kept, a row for each way.

    Parameters
    ----------
    scenario : Scenario, mapping of str to Scenario, or sequence of Scenario
        One or several, by name.
    over : mapping of str to sequence, or None
        Values by the name that is varied: a name of the scenario file (``"existing.age"``,
        ``"coach.length"``), an input as `lifecycle figures` calls it, or one of ``otherwise``, ``place``,
        ``quote``, ``reseal_price``, ``hour_value``. [unit of the file]
    years : sequence of float
        Years kept; none: as each scenario says. [years]
    rows : sequence of mapping
        Rows of a table, each of names and values: a coach of a fleet.
    labels : sequence of str
        What the rows are called.
    draws, seed : int
        Number of futures, and the seed of their points; below 1,024 borders are not settled by more draws.
    ratios : bool
        Whether the savings-to-investment ratio is wanted.
    progress : callable or None
        Called with points done and in all; may raise.

    Returns
    -------
    Sweep
        ``to_frame()`` is the tidy table.

    Raises
    ------
    ScenarioError
        With the faults of every point.

    Examples
    --------
    >>> import lifecycle
    >>> scenario = lifecycle.load("scenarios/humid-coast-motorhome.toml")
    >>> found = lifecycle.sweep(scenario, {"existing.age": [14, 62]}, years=[5, 10], draws=64)
    >>> found
    Sweep of 2 points by ('existing.age',): 28 rows
    >>> frame = found.to_frame()
    >>> sprayed = frame[frame.subject]
    >>> sprayed.groupby(["existing.age", "years"]).cost.count().to_dict()
    {(14.0, 5.0): 1, (14.0, 10.0): 1, (62.0, 5.0): 1, (62.0, 10.0): 1}
    """
    whole = grid(scenario, over, years=years, rows=rows, labels=labels, draws=draws, seed=seed, ratios=ratios)
    faults = [
        replace(one, place=f"point {point.number}: {one.place}", line=None)
        for point, some in faults_of(whole)
        for one in some
    ]
    stop_at(faults)
    by_point = walked(range(len(whole)), lambda one, _: answered(whole, whole.point(one)), progress=progress)
    return Sweep(whole, tuple(itertools.chain.from_iterable(by_point)))
