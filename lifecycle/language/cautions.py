"""What stands beside a verdict: what decides if money does not, and what to mind.

Lecture
-------
*What decides if money does not*: hours on the roof, days without the coach,
leaks to be expected, the chance of a new roof; that chance is about what happens to one coach, and
says so. *Looks*: the chance that the upkeep of a year finds a given hidden leak that is not silent::

    1 - product over jobs of (1 - finds) ** (12 / every)

If it differs between the subject's new roof and the roof of the base case, part of the difference in
cost comes from the looking and not from the roof.
"""

from __future__ import annotations

from collections.abc import Iterator

from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.labels import counted, listed, years_text
from lifecycle.language.sentences import say
from lifecycle.language.trouble import found_lines, path_lines
from lifecycle.quantities import about, number_text
from lifecycle.quote import Quote
from lifecycle.reading.quotes import price_path
from lifecycle.roofs import Roof
from lifecycle.scenario import SET, Scenario, Use
from lifecycle.studies.doubt import of_20
from lifecycle.studies.quoting import parts_left_out

SAME_LOOKS = 1e-6
"""Chances of finding a leak within a year that are nearer than this are the same. [-]"""


def undecided_lines(comparison: Comparison, one: str, other: str) -> tuple[str, ...]:
    """Return what decides between two ways where money does not."""
    if one == other or not {one, other} <= set(comparison.ways):
        return ()
    way, than = comparison.ways[one], comparison.ways[other]
    years, year = years_text(comparison.holding_period), last_whole_year(comparison)
    counts = {
        say("cautions.undecided.hours"): (way.expected["hours"], than.expected["hours"]),
        say("cautions.undecided.days"): (way.expected["days"], than.expected["days"]),
        say("cautions.undecided.leaks"): (way.expected["leaks"], than.expected["leaks"]),
    }
    texts = {name: [number_text(value, 2) for value in pair] for name, pair in counts.items()}
    differing = [f"{name} {' against '.join(pair)}" for name, pair in texts.items() if pair[0] != pair[1]]
    chances = " against ".join(_coaches(way_, year) for way_ in (way, than))
    return (
        say(
            "cautions.undecided.differing",
            years=years,
            way=way.title,
            than=than.title,
            what="; ".join(differing) or say("cautions.undecided.nothing"),
        ),
        say("cautions.undecided.luck", year=year, chances=chances),
    )


def last_whole_year(comparison: Comparison) -> int:
    """Return the last whole year that the coach is kept, at least 1. [years]"""
    return max(1, int(comparison.holding_period + 1e-9))


def _coaches(way: Way, year: int) -> str:
    """Return a chance of a new roof as so many of 20."""
    return str(of_20(float(way.chance_renewed[year])) or say("counts.under"))


def cautions(comparison: Comparison, *, waiting: bool = False) -> tuple[str, ...]:
    """Return what to mind about a comparison; or of that only what leaves a screen that is too full."""
    return tuple(line for line, waits in _cautions(comparison) if waits or not waiting)


def _cautions(comparison: Comparison) -> Iterator[tuple[str, bool]]:
    """Go through what to mind, each with whether it may wait."""
    scenario = comparison.scenario
    for line in (*path_lines(scenario.seen), *found_lines(scenario.seen, scenario.currency)):
        yield line, False
    looks = unequal_looks(comparison)
    if looks and comparison.ways:
        yield looks, True
    for line in _incomplete(scenario, comparison.subject):
        yield line, False
    if comparison.ways and _years_are_certain(scenario):
        yield say("cautions.years_certain", years=years_text(comparison.holding_period)), True
    if scenario.left_out:
        ways = listed(f'"{title}"' for title in scenario.left_out.values())
        yield say("cautions.left_out", ways=ways), False
    if scenario.aside and comparison.ways:
        yield say("cautions.aside", number=len(scenario.aside)), True
    own = any(way.expected["hours"] > 0.0 for way in comparison.ways.values())
    if own and scenario.climbs_in_ten_years is False:
        yield say("cautions.stops_climbing"), True
    for line in scenario.notices:
        yield line, False


def _years_are_certain(scenario: Scenario) -> bool:
    """Whether the file states the years kept as one number, where other figures are ranges."""
    stated = scenario.owner["holding_period"]
    years = scenario.inputs[stated.path] if isinstance(stated, Use) else None
    single = years is None or not (years.ranged or years.shape == SET)
    return single and any(figure.ranged for figure in scenario.inputs.values())


def _incomplete(scenario: Scenario, subject: str | None) -> Iterator[str]:
    """Say what the quote leaves out that the answer is about; another one is named on one scope anyway."""
    priced = (way.quote for way in scenario.alternatives if way.name == subject)
    paths = {quote.path for quote in priced if isinstance(quote, Use)}
    for quote in scenario.quotes.values():
        if price_path(quote.name) in paths:
            yield from incomplete_line(quote, say("quote.of_quote", quote=quote.title), scenario.currency)


def incomplete_line(quote: Quote, named: str, currency: str) -> Iterator[str]:
    """Say how many parts of the job a quote leaves out, and what they come to; nothing of a whole one."""
    parts, unsaid = parts_left_out(quote), sum(extra.expected for extra in quote.unsaid)
    if parts:
        money = f"{about(unsaid)} {currency}"
        more = say("quote.incomplete_more", money=money) if unsaid >= 0.5 else ""
        yield say("quote.incomplete", quote=named, parts=counted(len(parts), "part"), more=more)


def unequal_looks(comparison: Comparison) -> str | None:
    """Say that the subject's new roof and the roof of the base case are not looked at as well."""
    if comparison.subject is None:
        return None
    case = comparison.case
    after, otherwise = case.alternative(comparison.subject).then, case.base_case.roof
    chances = yearly_look(after), yearly_look(otherwise)
    if abs(chances[0] - chances[1]) < SAME_LOOKS:
        return None
    found = [round(100.0 * chance) for chance in chances]
    return say(
        "cautions.unequal_looks",
        new=found[0],
        way=case.alternative(comparison.subject).title,
        old=found[1],
        than=case.base_case.title,
    )


def yearly_look(roof: Roof) -> float:
    """Chance that a year's upkeep finds a given hidden leak that is not silent."""
    missed = 1.0
    for visit in roof.visits:
        missed *= (1.0 - float(visit.finds)) ** (12.0 / visit.every)
    return 1.0 - missed
