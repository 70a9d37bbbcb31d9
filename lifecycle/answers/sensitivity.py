"""What would change the answer? Swings, flips, indices and a map, as blocks and as plain data.

Lecture
-------
The answer is the net savings of the way in question over what the owner would do otherwise, at the years
kept: the mean over the futures, the one number of the verdict, with one figure held and all others as the
futures have them. The first sentence says how many figures change it by
themselves, and which one does so first.

Indices open with what they leave out (`analyst.indices_as.first`). Where nothing can be drawn a map has one
letter for each pair of values: "o" where the way in question is cheaper, "." where it is dearer; the
break-even line runs between them.

Left out: how likely a value is (`doubt`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from lifecycle.answers.blocks import Answer, Block, Drawing, Rest, Sentence, Table
from lifecycle.answers.parts import Silent, fields_of, head_of, made_by
from lifecycle.data import frame_words
from lifecycle.errors import ScenarioError, fault
from lifecycle.evaluation.comparison import compare
from lifecycle.evaluation.swings import Swing
from lifecycle.language.labels import (
    BASES,
    HEADINGS,
    about,
    cheaper_or_dearer,
    counted,
    input_name,
    range_text,
    the_input,
    value_text,
)
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import Verdict, verdict_under
from lifecycle.quantities import capital, in_rows, inner, table_html, unit_text
from lifecycle.studies import assessment
from lifecycle.studies import sensitivity as study
from lifecycle.studies.futures import futures
from lifecycle.studies.register import entry
from lifecycle.studies.sensitivity import Indices, TwoWayMap
from lifecycle.studies.switching import Defaults, Switch, along, defaults, switch_values
from lifecycle.studies.verdict import last_year_needed

if TYPE_CHECKING:
    from collections.abc import Callable

    import pandas
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from lifecycle.answers.parts import Told
    from lifecycle.scenario import Scenario
    from lifecycle.studies.doubt import Doubt

FIRST = 6
"""Figures of the first screen, those that move the answer most."""

LISTED = 10
"""Figures listed at least; every one that changes the answer is."""

DEFAULTS_NAMED = 6
"""Figures of the tool's own that are named at most where they can change the word."""

INDICES_LISTED = 12
"""Inputs whose indices are listed; the others are counted."""

CHEAPER, DEARER = "o", "."
"""Letters of a map."""


@dataclass(frozen=True)
class Sensitivity:
    """What was found out about what would change the answer.

    Parameters
    ----------
    scenario : Scenario
        What was stated.
    subject, than : str
        The way in question, and what it is compared with.
    mean : float
        Mean net savings over the futures. [money]
    swings : tuple of Swing
        Mean net savings with one input at its ends, the largest first.
    switches : dict of str to Switch
        By path.
    defaults : Defaults
        Which of the tool's own figures can change the word.
    indices : Indices or None
        If they were asked for.
    map : TwoWayMap or None
        If one was asked for.
    """

    scenario: Scenario
    subject: str
    than: str
    mean: float
    swings: tuple[Swing, ...]
    switches: dict[str, Switch]
    defaults: Defaults
    indices: Indices | None = None
    map: TwoWayMap | None = None

    def __repr__(self) -> str:
        """Name the figures that move the answer most."""
        head = say("sensitivity.named", way=self.subject, than=self.than, money=f"{self.mean:,.0f}")
        moved = [f"  {one.figure.path}: {one.at_low:,.0f} ... {one.at_high:,.0f}" for one in self.swings[:5]]
        return "\n".join([head, *moved])

    def to_frame(self) -> pandas.DataFrame:
        """Return the ranged figures as rows, the largest swing first, in the units of inputs."""
        said = frame_words("sensitivity", money=self.scenario.currency)
        rows = {
            one.figure.path: {
                said("figure"): input_name(one.figure),
                said("unit"): unit_text(one.figure.field.unit, self.scenario.currency).strip(),
                said("low"): one.figure.low,
                said("likely"): one.figure.likely,
                said("high"): one.figure.high,
                said("at_low"): one.at_low,
                said("at_high"): one.at_high,
                said("changes"): next(iter(self.switches[one.figure.path].at), None),
                said("basis"): one.figure.basis,
            }
            for one in self.swings
        }
        return in_rows(rows)

    def _repr_html_(self) -> str:
        """Show the figures that move the answer most as a table in a notebook."""
        head = frame_words("sensitivity")("figure")
        first = self.to_frame().head(INDICES_LISTED).set_index(head).rename_axis(None)
        return table_html(first, above=[say("sensitivity.first", shown=len(first), all=len(self.swings))])


def sensitivity(
    scenario: Scenario,
    *,
    indices: bool = False,
    map: Sequence[str] | None = None,
    as_correlated: bool = False,
    seed: int = study.SEED,
    told: Told,
) -> Answer:
    """Answer what would change the answer."""
    if as_correlated:
        raise fault("--as-correlated", "is refused", "", study.SAYS["not_as_correlated"])
    told.step(say("sensitivity.to_do"))
    scenario, doubt, verdict = worked_out(scenario)
    plan = None
    if map:
        told.step(say("sensitivity.mapping"))
        try:
            plan = study.two_way_map(scenario, *map, doubt=doubt, progress=told.part)
        except ScenarioError as error:
            wrong = "; ".join(str(one) for one in error.faults)
            raise fault("--map", "must name two inputs of this scenario", "", wrong) from None
    points = study.BASE_POINTS if indices else 0
    changes = what_changes(scenario, doubt=doubt, points=points, seed=seed, plan=plan, told=told)
    found = sensitivity_answer(changes)
    blocks = (Sentence(verdict.lines[0], "verdict"), *found.blocks)
    return replace(found, blocks=blocks, data={**found.data, "do": verdict.lines[0]})


def worked_out(scenario: Scenario) -> tuple[Scenario, Doubt, Verdict]:
    """Return a scenario with the one set of ways, its doubt, and its verdict without what it hangs on."""
    years = last_year_needed(scenario)
    completed, doubt = assessment.compared(scenario, futures(scenario), until=years)
    found = assessment.of_doubt(completed, doubt, worth=False)
    return completed, doubt, verdict_under(compare(completed), found)


def what_changes(
    scenario: Scenario,
    *,
    doubt: Doubt | None = None,
    points: int = 0,
    seed: int = study.SEED,
    plan: TwoWayMap | None = None,
    told: Told | None = None,
) -> Sensitivity:
    """Find out what would change the answer, one figure at a time.

    Parameters
    ----------
    scenario : Scenario
        With something to compare.
    doubt : Doubt or None
        Of it, where it is there already.
    points : int
        Base points of indices (shares of the spread), at least 16; 0: none are wanted.
    seed : int
        Of the indices.
    plan : TwoWayMap or None
        A map that was made already.
    told : Told or None
        Hears what is being worked out; may give the work up.

    Returns
    -------
    Sensitivity
        ``swings`` from end to end of each range, ``switches`` where the answer changes, ``indices`` if they
        were wanted; ``to_frame()`` has a row for each figure.

    Raises
    ------
    ScenarioError
        If nothing is compared.
    """
    told = told or Silent()
    told.step(say("sensitivity.working"))
    grid = along(scenario, doubt=doubt, progress=told.part)
    moved = zip(grid.figures, grid.net_savings, strict=True)
    known = sorted(
        (Swing(figure, grid.mean, float(row[0]), float(row[-1])) for figure, row in moved),
        key=lambda swing: -swing.size,
    )
    switches = {switch.figure.path: switch for switch in switch_values(grid)}
    found = None
    if points:
        told.step(say("sensitivity.indexing"))
        found = study.indices(
            scenario, known_swings=tuple(known), points=points, seed=seed, progress=told.part
        )
    pair = grid.subject, grid.than
    return Sensitivity(scenario, *pair, grid.mean, tuple(known), switches, defaults(grid), found, plan)


def sensitivity_answer(found: Sensitivity) -> Answer:
    """Put what would change the answer into words."""
    asked = [*indices_blocks(found), *_map_blocks(found)]
    first = asked or [*moving_blocks(found, most=FIRST), *_defaults(found)]
    rest = [
        *moving_blocks(found, start=0 if asked else FIRST, most=_listed(found)),
        *(_defaults(found) if asked else []),
    ]
    drawings = [Drawing(partial(_chart, found, place)) for place in range(1 + (found.indices is not None))]
    return Answer(
        HEADINGS["sensitivity"],
        found.scenario.title,
        (Sentence(first_sentence(found)), *first, Rest(), *rest, *drawings),
        _data(found),
        Drawing(partial(_drawn, found)),
    )


def listed_blocks(found: Sensitivity) -> list[Block]:
    """Return all figures that are listed, in one table, and what the tool's own can change."""
    return [*moving_blocks(found, most=_listed(found)), *_defaults(found)]


def _listed(found: Sensitivity) -> int:
    """Return how many figures are listed: down to the last that changes the answer."""
    turning = {swing.figure.path for swing in _turning(found)}
    last = max((place for place, one in enumerate(found.swings) if one.figure.path in turning), default=0)
    return max(LISTED, last + 1)


def _title(found: Sensitivity, name: str) -> str:
    """Return the title of a way."""
    return found.scenario.alternative(name).title


def _turning(found: Sensitivity) -> list[Swing]:
    """Return the inputs that change the answer by themselves, the largest swing first."""
    return [swing for swing in found.swings if found.switches[swing.figure.path].at]


def first_sentence(found: Sensitivity) -> str:
    """Say how many figures change the answer by themselves, and which one first."""
    way, turning = _title(found, found.subject), _turning(found)
    other = inner(_title(found, found.than))
    by = cheaper_or_dearer(found.mean, found.scenario.currency)
    if not found.swings:
        return say("sensitivity.no_range", way=way, by=by, other=other)
    pair = say("sensitivity.pair", way=way, by=by, other=other)
    if not turning:
        ranges, word = counted(len(found.swings), "range"), _word(found.mean > 0.0)
        return say("sensitivity.no_figure", ranges=ranges, word=word, pair=pair)
    figure = turning[0].figure
    where = flips_text(found.switches[figure.path], found.scenario)
    slots = {"figures": counted(len(found.swings), "figure"), "first": the_input(figure), "where": where}
    if len(turning) == 1:
        return say("sensitivity.one_figure", **slots, pair=pair)
    return say("sensitivity.many_figures", number=len(turning), **slots, pair=pair)


def _word(cheaper: bool) -> str:
    """Return one of the two words."""
    return say("sensitivity.cheaper" if cheaper else "sensitivity.dearer")


def flips_text(switch: Switch, scenario: Scenario) -> str:
    """Say for which values of an input the way in question is cheaper and dearer."""
    if not switch.at:
        return say("sensitivity.stays", word=_word(switch.cheaper_at_low))
    both = [_word(switch.cheaper_at_low), _word(not switch.cheaper_at_low)]
    at = [value_text(switch.figure, float(f"{value:.2g}"), scenario) for value in switch.at]
    parts = [
        say("sensitivity.up_to" if place else "sensitivity.below", word=both[place % 2], value=value)
        for place, value in enumerate(at)
    ]
    return ", ".join([*parts, say("sensitivity.above", word=both[len(at) % 2])])


def moving_blocks(found: Sensitivity, *, most: int, start: int = 0) -> Iterator[Block]:
    """Return the figures that move the answer most, and where each changes it."""
    shown, rest = found.swings[start:most], found.swings[most:]
    if not shown:
        return
    heads = words("sensitivity.heads")
    yield Table(
        tuple(heads[name] for name in ("figure", "low", "high", "changes", "rests_on")),
        tuple(_moved(swing, found) for swing in shown),
        say(
            "sensitivity.moving_less" if start else "sensitivity.moving",
            way=_title(found, found.subject),
            currency=found.scenario.currency,
        ),
    )
    if rest:
        most_moved = max(swing.size for swing in rest)
        slots: dict[str, object] = {
            "number": len(rest),
            "money": about(most_moved, found.scenario.currency),
        }
        changing = sum(bool(found.switches[swing.figure.path].at) for swing in rest)
        name = {0: "none_changes", 1: "one_changes"}.get(changing, "some_change")
        slots |= {"changing": changing} if changing > 1 else {}
        yield Sentence(say(f"sensitivity.others.{name}", **slots), "note")


def _moved(swing: Swing, found: Sensitivity) -> tuple[str, ...]:
    """Return the row of one figure."""
    scenario, figure = found.scenario, swing.figure
    switch = found.switches[figure.path]
    return (
        say("sensitivity.range", figure=input_name(figure), ends=range_text(figure, scenario)),
        cheaper_or_dearer(swing.at_low),
        cheaper_or_dearer(swing.at_high),
        flips_text(switch, scenario) if switch.at else say("sensitivity.no"),
        BASES[entry(figure, scenario).basis],
    )


def _defaults(found: Sensitivity) -> Iterator[Sentence]:
    """Return the sentence on the tool's own figures as a block."""
    yield from (Sentence(line) for line in (defaults_sentence(found),) if line)


def defaults_sentence(found: Sensitivity) -> str:
    """Say which of the tool's own figures can change the word, those that move the answer most first."""
    known = found.defaults
    if not known.safe and not known.able:
        return ""
    sizes = {swing.figure.path: swing.size for swing in found.swings}
    able = sorted((figure for figure, _ in known.able), key=lambda figure: -sizes[figure.path])
    names = [the_input(figure) for figure in able[:DEFAULTS_NAMED]]
    more = len(able) - DEFAULTS_NAMED
    names += [say("labels.more", number=more)] if more > 0 else []
    said = [say("sensitivity.word", word=known.word)]
    said += [say("sensitivity.can_change", number=len(able), figures="; ".join(names))] if able else []
    cannot = "sensitivity.cannot_change" if able else "sensitivity.none_can_change"
    said += [say(cannot, figures=counted(len(known.safe), "figure"))] if known.safe else []
    return " ".join(said)


def indices_blocks(found: Sensitivity, *, most: int = INDICES_LISTED) -> Iterator[Block]:
    """Return the table of indices, with what has to be said first; nothing if they were not asked for."""
    indices = found.indices
    if indices is None:
        return
    if not indices.inputs:
        yield Sentence(say("sensitivity.no_indices"))
        return
    shown, rest = indices.inputs[:most], indices.inputs[most:]
    heads = words("sensitivity.heads")
    yield Sentence(indices.said_first)
    yield Table(
        (heads["figure"], heads["alone"], heads["in_all"]),
        tuple(
            (
                input_name(one.figure),
                _percent(one.first, one.first_error),
                _percent(one.total, one.total_error),
            )
            for one in shown
        ),
        say("sensitivity.indices"),
        say("sensitivity.more_indices", number=len(rest)) if rest else "",
        numbers=(1, 2),
    )


def _percent(share: float, error: float) -> str:
    """Return a share and its standard error in percent."""
    return say("sensitivity.share", share=round(100.0 * share), error=round(100.0 * error))


def _map_blocks(found: Sensitivity) -> Iterator[Block]:
    """Return the map, in letters where nothing can be drawn."""
    if found.map is None:
        return
    yield from (Sentence(f"{capital(note)}.") for note in found.map.notes)
    yield Drawing(partial(_chart, found, -1), letters=_letters(found.map, found.scenario))


def _letters(plan: TwoWayMap, scenario: Scenario) -> tuple[str, ...]:
    """Return a map as letters."""
    way = inner(scenario.alternative(plan.subject).title)
    ends = [value_text(plan.up, float(value), scenario) for value in plan.up_values]
    width = max(len(end) for end in ends)
    rows = [
        f"{ends[row].rjust(width)}  {''.join(CHEAPER if saved >= 0.0 else DEARER for saved in savings)}"
        for row, savings in reversed(list(enumerate(plan.net_savings)))
    ]
    left, right = (value_text(plan.across, float(plan.across_values[end]), scenario) for end in (0, -1))
    across = " " * (width + 2) + left + right.rjust(max(1, len(plan.across_values) - len(left)))
    named_ = {"up": input_name(plan.up), "across": input_name(plan.across)}
    return (say("sensitivity.map_letters", cheaper=CHEAPER, dearer=DEARER, way=way, **named_), *rows, across)


def break_even_line(plan: TwoWayMap) -> list[tuple[float, float]]:
    """Return points of a map at which both ways cost the same."""
    cheaper = plan.net_savings >= 0.0
    points = []
    for row, column in zip(*np.nonzero(cheaper[:, 1:] != cheaper[:, :-1]), strict=True):
        one, other = plan.net_savings[row, column], plan.net_savings[row, column + 1]
        start, end = plan.across_values[column], plan.across_values[column + 1]
        points.append((float(start + (end - start) * one / (one - other)), float(plan.up_values[row])))
    return points


def _charts(found: Sensitivity) -> list[Callable[..., Axes]]:
    """Return the charts: swings, and indices and map if they were asked for."""
    from lifecycle.charts import answer_map, indices, swings

    charts: list[Callable[..., Axes]] = [partial(swings, compare(found.scenario), moved=found.swings)]
    charts += [partial(indices, found.indices)] if found.indices is not None else []
    charts += [partial(answer_map, found.map, found.scenario)] if found.map is not None else []
    return charts


def _chart(found: Sensitivity, place: int) -> Axes:
    """Draw one of the charts."""
    return _charts(found)[place]()


def _drawn(found: Sensitivity) -> Figure:
    """Draw what would change the answer on one sheet, under the first sentence."""
    from lifecycle.charts.sheets import stacked

    return stacked(first_sentence(found), _charts(found))


def _data(found: Sensitivity) -> dict[str, Any]:
    """Return the answer as plain data for a result file."""
    return {
        **head_of(found.scenario),
        "subject": found.subject,
        "against": found.than,
        "net_savings": found.mean,
        "said": [first_sentence(found), defaults_sentence(found)],
        "swings": [_swing_result(swing, found.switches[swing.figure.path]) for swing in found.swings],
        "defaults": {
            "word": found.defaults.word,
            "cannot_change_it": [figure.path for figure in found.defaults.safe],
            "can_change_it": {figure.path: list(others) for figure, others in found.defaults.able},
        },
        **({} if found.indices is None else {"indices": _indices_result(found.indices)}),
        **({} if found.map is None else {"map": _map_result(found.map)}),
        "made_by": made_by(found.scenario, "expectation, means over futures, one input at a time"),
    }


def _swing_result(swing: Swing, switch: Switch) -> dict[str, Any]:
    """Return one swing and its flips as plain data."""
    figure = swing.figure
    row = {
        "input": figure.path,
        **fields_of(figure, "low", "likely", "high"),
        **fields_of(swing, "at_low", "at_high"),
        "switch_values": list(switch.at),
        "cheaper_at_low": switch.cheaper_at_low,
    }
    none = {"reasons": {"switch_values": say("sensitivity.none_in_range")}}
    return row if switch.at else {**row, **none}


def _indices_result(indices: Indices) -> dict[str, Any]:
    """Return indices as plain data."""
    return {
        "said_first": indices.said_first,
        "by_input": {
            one.figure.path: fields_of(one, "first", "first_error", "total", "total_error")
            for one in indices.inputs
        },
        "held_at_likely": [figure.path for figure in indices.held],
        **fields_of(indices, "mean", "variance"),
        "base_points": indices.points,
        **fields_of(indices, "seed", "evaluations"),
    }


def _map_result(plan: TwoWayMap) -> dict[str, Any]:
    """Return a map as plain data."""
    return {
        "across": plan.across.path,
        "up": plan.up.path,
        **{name: getattr(plan, name).tolist() for name in ("across_values", "up_values", "net_savings")},
        "break_even_line": [list(point) for point in break_even_line(plan)],
        "notes": list(plan.notes),
    }
