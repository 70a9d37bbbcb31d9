"""The one set of ways that every answer compares: keeping, changing now, and waiting at its best.

Lecture
-------
Whoever waits looks after the roof meanwhile, and would do so in the cheapest way that is acceptable. A
scenario says when a change may come (in year 5, when the membrane must go) but seldom how the roof is kept
until then; taken with the dearest upkeep, waiting looks worse than it is. So before anything is compared
the set of ways is completed, in the futures of the scenario and at the likely years kept:

- a way that waits under no upkeep of its own gets the one that is cheapest on average, among the roofs of
  the acceptable ways, and says so in its title;
- of changes today that lay the same, the cheapest on one scope stands for all, and is the subject;
- every other date of the same change (the end of year 1, 2 ... and the day when the roof must go) is tried
  with every such upkeep. The cheapest of them joins the set if no other way costs as little, so that
  nothing cheaper is left unsaid. Where nobody said whether the owner climbs, the cheapest without the
  owner's hours joins by the same rule.

*Acceptable* is every way but those with own hours of whoever said no to climbing; reading leaves these out
(`scenario.left_out`). Ties go to the first name in the alphabet: neither the order of a file nor the words of
a title decide.

The names and titles of completed ways are the same on every face, and to complete a set again changes
nothing. `timing` tries the same dates under the same upkeep, so its means are those of this set.

Left out: waiting for a lower price, and changing the upkeep while one waits.
Source: the model's own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from lifecycle.data import words_of
from lifecycle.evaluation.comparison import keeps_what_stands
from lifecycle.evaluation.expectation import evaluate
from lifecycle.evaluation.ledger import Ledger
from lifecycle.files import data
from lifecycle.quantities import inner
from lifecycle.quote import on_one_scope
from lifecycle.reading.quotes import price_path
from lifecycle.roofs import Alternative, Case
from lifecycle.scenario import Scenario, Stated, StatedAlternative, Use, years_kept
from lifecycle.studies.doubt import under
from lifecycle.studies.futures import Evaluator, Futures, Progress, first

NOTHING = "nothing"
"""Name of the way in which nothing is done, which no set holds."""

WHEN_IT_MUST = "when it must"
"""The date of a change that comes when the roof must go."""

MeansOf = Callable[[tuple[StatedAlternative, ...], Futures], dict[str, float]]
"""Returns the mean cost of ways in futures, by name. [money]"""

Tried = Mapping[tuple[str | int, str], StatedAlternative]
"""Ways of waiting, by what waits (a way's name, a year, or `WHEN_IT_MUST`) and the roof that is kept."""


FIRST, WITHIN = 128, 0.05
"""Futures in which all dates are tried; those within this share of the cheapest are tried in all. [-]"""

ROUNDING, DIGITS = 1e-9, 9
"""Means nearer than this share, or alike in so many digits, are the same. [-]"""


def one_set(
    scenario: Scenario,
    drawn: Futures,
    *,
    evaluator: Evaluator | None = None,
    progress: Progress | None = None,
) -> Scenario:
    """Complete the ways of a scenario: waiting under its best upkeep, the best date among them.

    Ways that an earlier completion added are tried anew. The same where nothing is compared, or nothing can
    be put off; evaluator and progress as for `doubt.under`.
    """
    judged = judged_way(scenario)
    stated = replace(
        scenario,
        alternatives=tuple(
            replace(way, subject=way.name == judged) for way in scenario.alternatives if not way.added
        ),
    )
    subject = change_of(stated)
    if stated.trouble or subject is None:
        return stated
    work = evaluator or Evaluator()

    def means_of(ways: tuple[StatedAlternative, ...], some: Futures) -> dict[str, float]:
        asked = replace(stated, alternatives=ways)
        return _means(asked, some, work, progress)

    tried = _promising(stated, _tried(stated, subject), drawn, means_of)
    means = means_of((*stated.alternatives, *tried.values()), drawn)
    ways = []
    for way in stated.alternatives:
        best = _cheapest((one for (what, _), one in tried.items() if what == way.name), means)
        ways.append(way if best is None else _titled(stated, replace(way, roof=best.roof)))
        means[way.name] = means[best.name if best else way.name]
    dated = [one for (what, _), one in tried.items() if isinstance(what, int) or what == WHEN_IT_MUST]
    added: dict[str, StatedAlternative] = {}
    for unclimbed in (False, True) if stated.climbs is None else (False,):
        date, other = (
            _cheapest((way for way in some if not unclimbed or not needs_climbing(stated, way)), means)
            for some in (dated, ways)
        )
        if date is not None and (other is None or means[date.name] < means[other.name] * (1.0 - ROUNDING)):
            new = _as_way(stated, subject, date)
            added[new.name] = new
    return replace(stated, alternatives=(*ways, *added.values()))


def judged_way(scenario: Scenario) -> str | None:
    """Return the change that is judged: of those today that lay the same, the cheapest on one scope.

    None where there is one way only.
    """
    subject = scenario.subject
    if subject is None:
        return None
    return min(rivals(scenario, subject.name), key=lambda way: (on_one_scope_price(scenario, way), way))


def rivals(scenario: Scenario, subject: str) -> tuple[str, ...]:
    """Return the changes today that lay the same roof as the subject, itself among them."""
    ways = {way.name: way for way in scenario.alternatives}
    if ways[subject].change != 0.0:
        return (subject,)
    return tuple(way.name for way in ways.values() if way.change == 0.0 and way.then == ways[subject].then)


def on_one_scope_price(scenario: Scenario, name: str) -> float:
    """Return the price of a change as if it covered what the others cover; a loan is left out. [money]"""
    way = scenario.alternative(name)
    path = way.quote.path if isinstance(way.quote, Use) else ""
    for quote in on_one_scope(scenario.quotes.values()) if len(scenario.quotes) > 1 else ():
        if path == price_path(quote.name):
            return quote.complete
    return scenario.likely(way.quote)


def change_of(scenario: Scenario) -> StatedAlternative | None:
    """Return the way whose change may be put off: the subject, if it lays another kind of roof."""
    way = scenario.subject
    return None if way is None or keeps_what_stands(scenario, way) else way


def needs_climbing(scenario: Scenario, way: StatedAlternative) -> bool:
    """Whether a way counts on the owner's own hours on the roof."""
    roofs = {way.then} if way.change == 0.0 else {way.roof, way.then}
    return any(_climbed(scenario, name) for name in roofs)


def _climbed(scenario: Scenario, roof: str) -> bool:
    """Whether the upkeep of a roof counts on the owner's own hours."""
    visits = scenario.roofs[roof].visits
    return any(may_be_any(scenario, visit.numbers.get("hours", 0.0)) for visit in visits)


def may_be_any(scenario: Scenario, stated: Stated) -> bool:
    """Whether a number may be above 0."""
    return scenario.inputs[stated.path].high > 0.0 if isinstance(stated, Use) else stated > 0.0


def waiting_roofs(scenario: Scenario, *, climbing: bool = True) -> tuple[str, ...]:
    """Return the names of the roofs that the existing one may be while one waits, in alphabetical order.

    A roof of a way that has a climate of its own, such as under a cover, is none of them. Without climbing
    those that count on the owner's hours are left out, unless nothing is left.
    """
    here = (way for way in scenario.alternatives if not way.added and way.climate is None)
    every = tuple(sorted({way.roof for way in here}))
    unclimbed = () if climbing else tuple(name for name in every if not _climbed(scenario, name))
    return unclimbed or every


def dates(years: float) -> tuple[int | str, ...]:
    """Return the dates to which a change may be put off: the end of year 1, 2 ..., and when it must."""
    return (*range(1, math.ceil(years)), WHEN_IT_MUST)


def _tried(scenario: Scenario, subject: StatedAlternative) -> Tried:
    """Return every date, and every way that waits under no upkeep of its own, under every upkeep."""
    years = years_kept(scenario)
    waiting: dict[str | int, StatedAlternative] = {
        when: replace(subject, change=float(when) if isinstance(when, int) else None, subject=False)
        for when in dates(years)
    }
    waiting |= {
        way.name: replace(way, subject=False)
        for way in scenario.alternatives
        if way.upkeep_open and not keeps_what_stands(scenario, way)
    }
    return {
        (what, roof): replace(way, name=f"{what} under {roof}", roof=roof)
        for what, way in waiting.items()
        for roof in waiting_roofs(scenario)
    }


def _promising(scenario: Scenario, tried: Tried, drawn: Futures, means_of: MeansOf) -> Tried:
    """Leave out what the first futures show to be far from the cheapest of its kind, and of all."""
    if drawn.weights.size <= FIRST:
        return tried
    ways = (*scenario.alternatives, *tried.values())
    means = means_of(ways, first(drawn, FIRST))
    named = {way.name for way in scenario.alternatives}
    found: dict[tuple[str | int, str], StatedAlternative] = {}
    for unclimbed in (False, True) if scenario.climbs is None else (False,):
        some = {way.name for way in ways if not unclimbed or not needs_climbing(scenario, way)}
        of_all = min((means[name] for name in some), default=math.inf)
        left = {key: way for key, way in tried.items() if way.name in some}
        least: dict[str | int, float] = {}
        for (what, _), way in left.items():
            least[what] = min(means[way.name], least.get(what, math.inf))
        found |= {
            (what, roof): way
            for (what, roof), way in left.items()
            if means[way.name] - least[what] <= WITHIN * abs(least[what])
            and (what in named or least[what] - of_all <= WITHIN * abs(of_all))
        }
    return found


def _means(
    scenario: Scenario, drawn: Futures, work: Evaluator, progress: Progress | None
) -> dict[str, float]:
    """Return the mean cost of each way at the likely years kept. [money]"""
    years = years_kept(scenario)
    found = under(scenario, drawn, until=math.ceil(years), evaluator=work, progress=progress)
    return dict(zip(found.names, (found.futures.weights @ found.at_years).tolist(), strict=True))


def _cheapest(ways: Iterable[StatedAlternative], means: Mapping[str, float]) -> StatedAlternative | None:
    """Return the way with the smallest mean cost, the first by name of equals; None of none."""
    return min(ways, key=lambda way: (to_rounding(means[way.name]), way.name), default=None)


def to_rounding(mean: float) -> float:
    """Return a mean without the digits that rounding makes: ways that cost the same in truth are equals.

    Examples
    --------
    >>> to_rounding(227.09638889087053) == to_rounding(227.09638889087044)
    True
    """
    return float(f"{mean:.{DIGITS}g}")


def _as_way(scenario: Scenario, subject: StatedAlternative, date: StatedAlternative) -> StatedAlternative:
    """Return a date under an upkeep as a way of the set."""
    titles = words_of("verdict")["titles"]
    when = (
        titles["when_it_must"] if date.change is None else titles["in_year"].format(year=f"{date.change:.0f}")
    )
    name = "when_it_must" if date.change is None else f"in_year_{date.change:.0f}"
    new = replace(date, name=f"{subject.name}_{name}_{date.roof}", added=True, upkeep_open=False)
    return _titled(scenario, replace(new, title=f"{subject.action} {when}", bare_title=""))


def _titled(scenario: Scenario, way: StatedAlternative) -> StatedAlternative:
    """Return a way that waits, with the upkeep until then in its title; as it was where there is only one."""
    titles = words_of("verdict")["titles"]
    own = way.short
    kept = [one for one in scenario.alternatives if one.roof == way.roof and keeps_what_stands(scenario, one)]
    if len(waiting_roofs(scenario)) == 1 or not kept:
        return replace(way, title=own)
    under, stops = min(kept, key=lambda one: one.name), data("shared.toml")["stops_climbing"]["after"]
    soon = way.change is not None and 12.0 * scenario.likely(way.change) <= stops
    upkeep = under.short if soon else under.title  # what goes on later does not matter
    return replace(way, title=own + titles["until_then"].format(upkeep=inner(upkeep)), bare_title=own)


def nothing_done(case: Case) -> Ledger:
    """Return the account of doing nothing in a case.

    The roof that stands gets no upkeep and no look; when it must go the same is laid anew, and gets none.
    """
    bare = replace(case.existing.roof, visits=(), plan_ends=None, visits_after=())
    way = Alternative(NOTHING, NOTHING, bare, bare, None, bare.renew_cost, bare.renew_days, base_case=True)
    return evaluate(replace(case, alternatives=(way,), loan=None))[NOTHING]
