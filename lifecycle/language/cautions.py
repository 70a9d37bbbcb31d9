"""What stands beside a verdict: what moves it most, what decides if money does not, and what to mind.

Lecture
-------
*What moves it most*: the three largest swings, each input at the ends of its range and all others at
their likely values. *What decides if money does not*: hours on the roof, days without the coach,
leaks to be expected, the chance of a new roof; that chance is about what happens to one coach, and
says so. *Looks*: the chance that the upkeep of a year finds a given hidden leak that is not silent::

    1 - product over jobs of (1 - finds) ** (12 / every)

If it differs between the subject's new roof and the roof of the base case, part of the difference in
cost comes from the looking and not from the roof.

Left out: how likely the ends of a range are.
"""

from __future__ import annotations

from collections.abc import Iterator

from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.evaluation.swings import Swing
from lifecycle.language.labels import cheaper_or_dearer, input_name, listed, value_text, years_text
from lifecycle.quantities import number_text
from lifecycle.roofs import Roof
from lifecycle.studies.doubt import of_20
from lifecycle.studies.verdict import OPEN, SAME

SWINGS = 3
"""Swings that stand beside a verdict."""

SAME_LOOKS = 1e-6
"""Chances of finding a leak within a year that are nearer than this are the same. [-]"""


def swing_lines(comparison: Comparison) -> tuple[str, ...]:
    """Return what moves the answer most, one line for each input.

    Parameters
    ----------
    comparison : Comparison
        At likely values.

    Returns
    -------
    tuple of str
        With a heading; that every input stands at one value, if no input is a range.
    """
    largest = comparison.swings[:SWINGS]
    if not largest:
        return ("Every input stands at one value: nothing here says how sure this is.",)
    head = "Every input stands at its likely value. What moves the answer most, one at a time:"
    return head, *(f"- {_swing(swing, comparison)}" for swing in largest)


def _swing(swing: Swing, comparison: Comparison) -> str:
    """Put one swing into words."""
    figure, scenario = swing.figure, comparison.scenario
    low, high = (value_text(figure, end, scenario) for end in (figure.low, figure.high))
    ends = f"at {low} {cheaper_or_dearer(swing.at_low)}, at {high} {cheaper_or_dearer(swing.at_high)}"
    return f"{input_name(figure)}: {ends}"


def undecided_lines(comparison: Comparison, word: str) -> tuple[str, ...]:
    """Return what decides where money does not; empty where it does.

    Parameters
    ----------
    comparison : Comparison
        With a subject.
    word : str
        Word of the verdict.
    """
    if word not in (SAME, OPEN) or comparison.subject is None:
        return ()
    way, base = comparison.ways[comparison.subject], comparison.ways[comparison.base_case]
    years, year = years_text(comparison.holding_period), last_whole_year(comparison)
    counts = {
        "hours on the roof": (way.expected["hours"], base.expected["hours"]),
        "days without the coach": (way.expected["days"], base.expected["days"]),
        "new leaks to expect": (way.expected["leaks"], base.expected["leaks"]),
    }
    texts = {name: [number_text(value, 2) for value in pair] for name, pair in counts.items()}
    differing = [f"{name} {' against '.join(pair)}" for name, pair in texts.items() if pair[0] != pair[1]]
    chances = " against ".join(_coaches(way_, year) for way_ in (way, base))
    return (
        f'The money does not decide this. What does, in {years}, "{way.title}" against what you would do '
        f"otherwise: {'; '.join(differing) or 'nothing else differs'}.",
        f"What happens to one coach: of 20, an unplanned new roof by year {year}: {chances}.",
    )


def last_whole_year(comparison: Comparison) -> int:
    """Return the last whole year that the coach is kept, at least 1. [years]"""
    return max(1, int(comparison.holding_period + 1e-9))


def _coaches(way: Way, year: int) -> str:
    """Return a chance of a new roof as so many of 20."""
    return str(of_20(float(way.chance_renewed[year])) or "fewer than 1 in 40")


def cautions(comparison: Comparison) -> tuple[str, ...]:
    """Return what to mind about a comparison.

    Parameters
    ----------
    comparison : Comparison
        Any.

    Returns
    -------
    tuple of str
        Unequal looks, who climbs, ways left out, and how the file was understood.
    """
    return tuple(_cautions(comparison))


def _cautions(comparison: Comparison) -> Iterator[str]:
    """Go through what to mind."""
    scenario = comparison.scenario
    looks = unequal_looks(comparison)
    if looks and comparison.ways:
        yield looks
    if scenario.left_out:
        titles = listed(f'"{title}"' for title in scenario.left_out.values())
        yield f"Left out, as you do not go up yourself: {titles}."
    if scenario.aside:
        titles = listed(f'"{title}"' for title in scenario.aside.values())
        yield f"Other ways that stand in the file and are not compared: {titles}."
    if scenario.climbs_in_ten_years is False:
        own = [f'"{way.title}"' for way in comparison.ways.values() if way.expected["hours"] > 0.0]
        if own:
            yield (
                "You will not go up in ten years: own work on the roof that stands ends then, and a shop's "
                "plan goes on; a roof laid before is kept by it from its first day. Own work is part of: "
                f"{listed(own)}."
            )
    yield from scenario.notices


def unequal_looks(comparison: Comparison) -> str | None:
    """Say that the subject's new roof and the roof of the base case are not looked at as well.

    Parameters
    ----------
    comparison : Comparison
        Any.

    Returns
    -------
    str or None
        None if the looks are equal or there is no subject.
    """
    if comparison.subject is None:
        return None
    case = comparison.case
    after, otherwise = case.alternative(comparison.subject).then, case.base_case.roof
    chances = yearly_look(after), yearly_look(otherwise)
    if abs(chances[0] - chances[1]) < SAME_LOOKS:
        return None
    found = [round(100.0 * chance) for chance in chances]
    return (
        f"The looks are unequal: of 100 hidden leaks a year's upkeep finds {found[0]} on the new roof of "
        f'"{case.alternative(comparison.subject).title}", {found[1]} on that of "{case.base_case.title}". '
        "So part of the difference comes from the looking, not from the roof."
    )


def yearly_look(roof: Roof) -> float:
    """Chance that a year's upkeep finds a given hidden leak that is not silent.

    Parameters
    ----------
    roof : Roof
        With its jobs, at likely values.

    Returns
    -------
    float
        [-]
    """
    missed = 1.0
    for visit in roof.visits:
        missed *= (1.0 - float(visit.finds)) ** (12.0 / visit.every)
    return 1.0 - missed
