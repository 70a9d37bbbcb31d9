"""What would change the answer? Swings, flips, indices and a map, as text and as plain data.

Lecture
-------
The answer is the net savings of the way in question over what the owner would do otherwise, at the
years kept, with all other inputs at their likely values. The first sentence says how many figures
turn it by themselves, and which one does so first.

Indices open with what they leave out (`sensitivity.SAID_FIRST`). A map is drawn with one letter for
each pair of values: "o" where the way in question is cheaper, "." where it is dearer; the break-even
line runs between them.

Left out: how likely a value is (`doubt_answer`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

import lifecycle
from lifecycle.answers.shared import SCHEMA
from lifecycle.answers.tables import Row, laid_out
from lifecycle.evaluation.swings import Swing
from lifecycle.language.finding_out import named
from lifecycle.language.labels import HEADINGS, cheaper_or_dearer, counted, inner, input_name, value_text
from lifecycle.language.lines import blocks, wrapped
from lifecycle.quantities import about
from lifecycle.scenario import Scenario
from lifecycle.studies.sensitivity import Indices, TwoWayMap
from lifecycle.studies.switching import Defaults, Switch

LISTED = 10
"""Inputs listed at least, the largest swings first; every input that turns the answer is."""

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
    likely : float
        Net savings with every input at its likely value. [money]
    swings : tuple of Swing
        The largest first.
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
    likely: float
    swings: tuple[Swing, ...]
    switches: dict[str, Switch]
    defaults: Defaults
    indices: Indices | None = None
    map: TwoWayMap | None = None


def sensitivity_text(found: Sensitivity) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    found : Sensitivity
        What was found out.

    Returns
    -------
    str
        Many lines.
    """
    return blocks(
        [HEADINGS["sensitivity"], found.scenario.title],
        wrapped([first_sentence(found)]),
        _listed(found),
        wrapped(_defaults(found)),
        _indices(found),
        _map(found),
    )


def _title(found: Sensitivity, name: str) -> str:
    """Return the title of a way."""
    return next(way.title for way in found.scenario.alternatives if way.name == name)


def _turning(found: Sensitivity) -> list[Swing]:
    """Return the inputs that turn the answer by themselves, the largest swing first."""
    return [swing for swing in found.swings if found.switches[swing.figure.path].at]


def first_sentence(found: Sensitivity) -> str:
    """Say how many figures turn the answer by themselves, and which one first.

    Parameters
    ----------
    found : Sensitivity
        What was found out.

    Returns
    -------
    str
    """
    way = f'"{_title(found, found.subject)}"'
    other = f"what you would do otherwise ({inner(_title(found, found.than))})"
    ranged, turning = len(found.swings), _turning(found)
    likely = f"At likely values {way} is {cheaper_or_dearer(found.likely)}, compared with {other}."
    if not ranged:
        return f"Nothing here can change the answer: every input stands at one value. {likely}"
    if not turning:
        word = "cheaper" if found.likely > 0.0 else "dearer"
        return (
            f"No single figure turns the answer: all along each of {counted(ranged, 'range')} {way} stays "
            f"{word}. {likely}"
        )
    first = turning[0].figure
    where = flips_text(found.switches[first.path], found.scenario)
    if len(turning) == 1:
        return (
            f"Only 1 of {counted(ranged, 'figure')} turns the answer alone, {named(first)}: {where}. {likely}"
        )
    many = f"{len(turning)} of {counted(ranged, 'figure')} turn the answer alone"
    return f"{many}, first of all {named(first)}: {where}. {likely}"


def flips_text(switch: Switch, scenario: Scenario) -> str:
    """Say for which values of an input the way in question is cheaper and dearer.

    Parameters
    ----------
    switch : Switch
        Where the answer flips.
    scenario : Scenario
        Gives the units.

    Returns
    -------
    str
        For instance "dearer below about 970, cheaper above".
    """
    if not switch.at:
        return f"stays {'cheaper' if switch.cheaper_at_low else 'dearer'} all along"
    words = ["cheaper", "dearer"] if switch.cheaper_at_low else ["dearer", "cheaper"]
    at = [value_text(switch.figure, float(f"{value:.2g}"), scenario) for value in switch.at]
    parts = [f"{words[0]} below about {at[0]}"]
    parts += [f"{words[place % 2]} up to about {value}" for place, value in enumerate(at[1:], start=1)]
    return ", ".join([*parts, f"{words[len(at) % 2]} above"])


def _listed(found: Sensitivity) -> list[str]:
    """List the largest swings, and every input that turns the answer."""
    if not found.swings:
        return []
    turning = {swing.figure.path for swing in _turning(found)}
    shown = [s for place, s in enumerate(found.swings) if place < LISTED or s.figure.path in turning]
    rest = [swing for swing in found.swings if swing not in shown]
    lines = [
        "One at a time through its range, all others at their likely values, the largest first (money in "
        f"{found.scenario.currency}):"
    ]
    lines += [f"- {_swing(swing, found)}" for swing in shown]
    if rest:
        size = max(swing.size for swing in rest)
        lines.append(f"Of the other {len(rest)} none turns it, and none moves it by more than {about(size)}.")
    return wrapped(lines)


def _swing(swing: Swing, found: Sensitivity) -> str:
    """Put one swing, and where it flips, into words."""
    figure, scenario = swing.figure, found.scenario
    low, high = (value_text(figure, end, scenario) for end in (figure.low, figure.high))
    ends = f"at {low} {cheaper_or_dearer(swing.at_low)}, at {high} {cheaper_or_dearer(swing.at_high)}"
    switch = found.switches[figure.path]
    flips = f"; {flips_text(switch, scenario)}" if switch.at else ""
    return f"{input_name(figure)}: {ends}{flips}"


def _defaults(found: Sensitivity) -> list[str]:
    """Say which of the tool's own figures cannot change the word."""
    known = found.defaults
    if not known.safe and not known.able:
        return []
    sizes = {swing.figure.path: swing.size for swing in found.swings}
    able = sorted((figure for figure, _ in known.able), key=lambda figure: -sizes[figure.path])
    names = [input_name(figure) for figure in able[:DEFAULTS_NAMED]]
    names += [f"{len(able) - DEFAULTS_NAMED} more"] if len(able) > DEFAULTS_NAMED else []
    can = f"Of the tool's own figures {len(able)} can change it alone: {'; '.join(names)}." if able else ""
    other = "The other" if able else "The tool's own"
    cannot = f"{other} {counted(len(known.safe), 'figure')} cannot change this word." if known.safe else ""
    said = (f'At likely values the word is "{known.word}".', can, cannot)
    return [" ".join(part for part in said if part)]


def _indices(found: Sensitivity) -> list[str]:
    """Return the table of indices."""
    indices = found.indices
    if indices is None:
        return []
    if not indices.inputs:
        return ["There are no indices: no input is a range."]
    shown = indices.inputs[:INDICES_LISTED]
    rows = [
        Row(
            input_name(one.figure),
            (_percent(one.first, one.first_error), _percent(one.total, one.total_error)),
        )
        for one in shown
    ]
    heads = ["alone, %", "in all, %"]
    lines = [
        "How much of the spread of the answer each figure brings (first-order and total Sobol indices).",
        indices.said_first,
    ]
    rest = len(indices.inputs) - len(shown)
    tail = [f"{rest} more bring less."] if rest else []
    return [*wrapped(lines), *laid_out(rows, 2, heads=heads), *tail]


def _percent(share: float, error: float) -> str:
    """Return a share and its standard error in percent."""
    return f"{round(100.0 * share)} +- {round(100.0 * error)}"


def _map(found: Sensitivity) -> list[str]:
    """Return the map as letters, and its break-even line."""
    if found.map is None:
        return []
    plan, scenario = found.map, found.scenario
    ends = [value_text(plan.up, float(value), scenario) for value in plan.up_values]
    width = max(len(end) for end in ends)
    lines = [
        f"{CHEAPER} {inner(_title(found, plan.subject))} is cheaper, {DEARER} it is dearer; up: "
        f"{input_name(plan.up)}; across: {input_name(plan.across)}."
    ]
    lines += [note[:1].upper() + note[1:] + "." for note in plan.notes]
    rows = [
        f"{ends[row].rjust(width)}  {''.join(CHEAPER if saved >= 0.0 else DEARER for saved in savings)}"
        for row, savings in reversed(list(enumerate(plan.net_savings)))
    ]
    left, right = (value_text(plan.across, float(plan.across_values[end]), scenario) for end in (0, -1))
    across = " " * (width + 2) + left + right.rjust(max(1, len(plan.across_values) - len(left)))
    return [*wrapped(lines), *rows, across]


def break_even_line(plan: TwoWayMap) -> list[tuple[float, float]]:
    """Return points of a map at which both ways cost the same.

    Parameters
    ----------
    plan : TwoWayMap
        Any.

    Returns
    -------
    list of (float, float)
        Values across and up, on straight lines between neighbours across; empty if there are none.
        [units of the inputs]
    """
    cheaper = plan.net_savings >= 0.0
    points = []
    for row, column in zip(*np.nonzero(cheaper[:, 1:] != cheaper[:, :-1]), strict=True):
        one, other = plan.net_savings[row, column], plan.net_savings[row, column + 1]
        start, end = plan.across_values[column], plan.across_values[column + 1]
        points.append((float(start + (end - start) * one / (one - other)), float(plan.up_values[row])))
    return points


def sensitivity_result(found: Sensitivity) -> dict[str, Any]:
    """Return the answer as plain data for a result file.

    Parameters
    ----------
    found : Sensitivity
        What was found out.

    Returns
    -------
    dict
        Of str, int, float, bool, None, lists and dicts.
    """
    scenario = found.scenario
    answer: dict[str, Any] = {
        "schema": SCHEMA,
        "title": scenario.title,
        "currency": scenario.currency,
        "subject": found.subject,
        "against": found.than,
        "net_savings": found.likely,
        "said": [first_sentence(found), found.defaults.sentence],
        "swings": [_swing_result(swing, found.switches[swing.figure.path]) for swing in found.swings],
        "defaults": {
            "word": found.defaults.word,
            "cannot_change_it": [figure.path for figure in found.defaults.safe],
            "can_change_it": {figure.path: list(words) for figure, words in found.defaults.able},
        },
    }
    if found.indices is not None:
        answer["indices"] = _indices_result(found.indices)
    if found.map is not None:
        answer["map"] = _map_result(found.map)
    answer["made_by"] = {
        "version": lifecycle.__version__,
        "method": "expectation, one input at a time",
        "scenario_sha256": scenario.sha256,
    }
    return answer


def _swing_result(swing: Swing, switch: Switch) -> dict[str, Any]:
    """Return one swing and its flips as plain data."""
    figure = swing.figure
    row = {
        "input": figure.path,
        "low": figure.low,
        "likely": figure.likely,
        "high": figure.high,
        "at_low": swing.at_low,
        "at_high": swing.at_high,
        "switch_values": list(switch.at),
        "cheaper_at_low": switch.cheaper_at_low,
    }
    return {**row, "reasons": {"switch_values": switch.reason}} if switch.reason else row


def _indices_result(indices: Indices) -> dict[str, Any]:
    """Return indices as plain data."""
    return {
        "said_first": indices.said_first,
        "by_input": {
            one.figure.path: {
                "first": one.first,
                "first_error": one.first_error,
                "total": one.total,
                "total_error": one.total_error,
            }
            for one in indices.inputs
        },
        "held_at_likely": [figure.path for figure in indices.held],
        "mean": indices.mean,
        "variance": indices.variance,
        "base_points": indices.points,
        "seed": indices.seed,
        "evaluations": indices.evaluations,
    }


def _map_result(plan: TwoWayMap) -> dict[str, Any]:
    """Return a map as plain data."""
    return {
        "across": plan.across.path,
        "up": plan.up.path,
        "across_values": plan.across_values.tolist(),
        "up_values": plan.up_values.tolist(),
        "net_savings": plan.net_savings.tolist(),
        "break_even_line": [list(point) for point in break_even_line(plan)],
        "notes": list(plan.notes),
    }
