"""What stands beside a verdict: what decides if money does not, what to mind, and trouble.

Lecture
-------
*Trouble* is a path: stay off, have it opened, say what was found, compare again. While it is
closed the path stands beside the answer; afterwards every answer and every paper tells that there was trouble
and what was found, so that nobody reads a comparison without knowing it. What the findings do to the figures
is no matter of words (`reading.existing`).

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
from lifecycle.language.labels import about, counted, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import capital, money_text, number_text
from lifecycle.quote import Quote
from lifecycle.reading.quotes import price_path
from lifecycle.roofs import Roof
from lifecycle.scenario import SET, Meter, Opened, Scenario, Seen, Use
from lifecycle.studies.doubt import of_20, whole_years
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
    differing = [f"{name} {_pair(*pair)}" for name, pair in texts.items() if pair[0] != pair[1]]
    chances = _pair(_coaches(way, year), _coaches(than, year))
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


def _pair(one: str, other: str) -> str:
    """Return what two ways come to, side by side."""
    return say("cautions.undecided.pair", one=one, other=other)


def last_whole_year(comparison: Comparison) -> int:
    """Return the last whole year that the coach is kept, at least 1. [years]"""
    return whole_years(comparison.holding_period)


def _coaches(way: Way, year: int) -> str:
    """Return a chance of a new roof as so many of 20."""
    return str(of_20(float(way.chance_renewed[year])) or say("counts.under"))


def cautions(comparison: Comparison) -> Iterator[tuple[str, bool]]:
    """Go through what to mind about a comparison, each with whether it leaves a screen that is too full."""
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
        money = about(unsaid, currency)
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


def path_lines(seen: Seen, *, to_shop: bool = False) -> tuple[str, ...]:
    """Say what to do about trouble that nobody has opened yet; nothing where there is none.

    A shop is not told whom to call, and what to do with this tool.

    Examples
    --------
    >>> path_lines(Seen(("bubble",)))[1]
    'Bubble: open the covering at the bubble: is it water, or only loose glue?'
    """
    if not seen.stops:
        return ()
    what = words("trouble.what")
    opened = [say("trouble.open", sign=capital(sign), what=what[sign]) for sign in seen.stops]
    names = ("keep",) if to_shop else ("call", "insurer", "keep", "then")
    after = (say(f"trouble.{name}") for name in names)
    return (say("trouble.stay_off"), *opened, *after)


def found_lines(seen: Seen, currency: str | None = None) -> tuple[str, ...]:
    """Say what was found where trouble was opened, and what a meter read; without a currency no cost.

    Examples
    --------
    >>> for line in found_lines(Seen(("stain",), Opened("wet", "one panel", 640.0)), "USD"):
    ...     print(line)
    There was trouble: stain. It was opened, and the wood was wet; repaired: one panel.
    That cost 640 USD, the same whichever way is taken, so it is in no comparison here.
    >>> found_lines(Seen())
    ()
    """
    lines = [] if seen.opened is None else _opened(seen.signs, seen.opened, currency)
    return (*lines, *([] if seen.meter is None else _meter(seen.meter)))


def _opened(signs: tuple[str, ...], opened: Opened, currency: str | None) -> list[str]:
    """Say what was found where it was opened."""
    done = {"repaired": opened.repaired} if opened.repaired else {}
    form = "opened_dry_done" if done and opened.found == "dry" else f"opened_{opened.found}"
    said = [say(f"trouble.{form}", signs=listed(signs), **done)]
    if opened.cost is not None and currency is not None:
        said.append(say("trouble.cost", money=f"{money_text(opened.cost)} {currency}"))
    return said


def _meter(meter: Meter) -> list[str]:
    """Say what a moisture meter read."""
    kind = f" ({meter.kind})" if meter.kind else ""
    readings = listed(f"{place} {number_text(percent)}" for place, percent in meter.readings)
    slots = {
        "kind": kind,
        "readings": readings,
        "limit": number_text(meter.limit),
        "places": counted(len(meter.readings), "place"),
    }
    if meter.wet:
        return [say("trouble.meter_wet", wet=len(meter.wet), **slots)]
    values = [percent for _, percent in meter.readings]
    low, high = number_text(min(values)), number_text(max(values))
    said = [say("trouble.meter", low=low, high=high, **slots)]
    if unsure := len(meter.readings) - len(meter.dry):
        at = {"places": counted(unsure, "place"), "wood": number_text(meter.wood)}
        said.append(say("trouble.high_limit", limit=slots["limit"], **at))
    return [*said, say("trouble.no_proof")]
