"""Something honest to sell besides spraying: other work, what it costs, and when it is the cheaper choice.

Lecture
-------
A seller who gains by one way only is not believed. So each row is work that the shop can do for this
coach: a yearly look with touch-up, a reseal every third year, a moisture check today, and a price for
spraying later. When a row is the cheaper choice follows from the same futures as the verdict, by the
year of sale.

The prices are those of the scenario: the shop's own where it is told, the tool's own range else.

Left out: work that the owner does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.labels import by_unit, coaches, many_of_20, years_text
from lifecycle.language.sentences import say
from lifecycle.plans import plan_titles
from lifecycle.quantities import Figure, about, money_text, number_text
from lifecycle.studies.doubt import Doubt, of_20
from lifecycle.studies.knowing import value_of_a_look
from lifecycle.studies.quoting import Examination

WORK = (
    ("touch_up", "shop_look_and_touch_up", "shop_touch_up_cost", "each_year"),
    ("third_year", "shop_every_third_year", "shop_reseal_cost", "each_time"),
)
"""Work of a shop: its name in the words, its plan, the figure of its price, and how often it is due."""

DECK_LOOK, LOOK = "deck look", "figures.shop_look_cost"
"""Part of the job that is a moisture check; the tool's own price of a look."""

EVEN = 0.5
"""Chance from which a way is the cheaper choice in most futures. [-]"""

LEAST_WORTH = 0.5
"""Worth of a look below which it is none. [money]"""


@dataclass(frozen=True)
class Offer:
    """Work that the shop can do: what it is, what it costs, and when it is the cheaper choice."""

    work: str
    price: str
    cheaper_when: str


def other_work(comparison: Comparison, doubt: Doubt, examination: Examination) -> tuple[Offer, ...]:
    """Return other work, and when it is the cheaper choice."""
    kept = [offer for offer in _upkeep(comparison, doubt) if offer is not None]
    measured = comparison.scenario.seen.dry_places > 0
    check = () if measured else (_check(comparison, doubt, examination),)
    return (*kept, *check, *_later(comparison, doubt, examination))


def _upkeep(comparison: Comparison, doubt: Doubt) -> Iterator[Offer | None]:
    """Go through the work of a shop that keeps the roof."""
    scenario = comparison.scenario
    for work, plan, cost, due in WORK:
        title = plan_titles()[plan]
        ways = [way.name for way in scenario.alternatives if way.title.lower() == title or _is(way, plan)]
        name = next((way for way in ways if way in doubt.names), None)
        figure = scenario.inputs.get(f"figures.{cost}")
        if name is not None and figure is not None:
            price = f"{_range(figure)} {say(f'counter.work.{due}')}"
            when = cheaper_when(doubt, name, comparison.subject or "")
            yield Offer(say(f"counter.work.{work}"), price, when)


def _is(way: object, plan: str) -> bool:
    """Whether a way is named after a plan."""
    return getattr(way, "name", "").endswith(f"_{plan}")


def cheaper_when(doubt: Doubt, name: str, than: str) -> str:
    """Say when a way is the cheaper choice than another, by the year of sale."""
    kept = years_text(doubt.years)
    chance = many_of_20(of_20(doubt.chance_cheaper(name, than)))
    last = doubt.costs[name].shape[1] - 1
    ahead = [doubt.chance_cheaper(name, than, year) >= EVEN for year in range(1, last + 1)]
    until = ahead.index(False) if False in ahead else last
    if until == last:
        when = say("counter.work.always", years=years_text(last))
    elif not any(ahead):
        when = say("counter.work.never", years=years_text(last))
    elif not any(ahead[until:]):
        when = say("counter.work.until", years=years_text(until))
    else:
        when = say("counter.work.changes")
    return say("counter.work.kept", when=when, years=kept, chance=chance)


def _check(comparison: Comparison, doubt: Doubt, examination: Examination) -> Offer:
    """Return a moisture check today."""
    price, worth = _check_price(comparison, examination), value_of_a_look(comparison.scenario, doubt)
    found = examination.opening
    why = say("counter.work.check_why", coaches=coaches(found.wet))
    choice = say("counter.work.check_seldom")
    if worth is not None and worth >= LEAST_WORTH:
        choice = say("counter.work.check_worth", money=about(worth))
    return Offer(say("counter.work.check"), price, f"{why} {choice}")


def _check_price(comparison: Comparison, examination: Examination) -> str:
    """Return the price of a moisture check: the shop's, else the tool's own for a look."""
    for examined in examination.quotes[:1]:
        asked = [item.cost for item in examined.quote.sound if item.covers == (DECK_LOOK,)]
        if asked:
            return money_text(sum(asked) * (1.0 + examined.quote.tax))
    figure = comparison.scenario.inputs.get(LOOK)
    return "ask" if figure is None else _range(figure)


def _later(comparison: Comparison, doubt: Doubt, examination: Examination) -> Iterator[Offer]:
    """Go through spraying later, at the price that holds today."""
    if not examination.quotes:
        return
    one, units = examination.quotes[0], examination.scenario.units
    price = money_text(one.sum.bill) if one.by_length is None else by_unit(one.by_length, "m", units)
    unit = "for the whole job" if one.by_length is None else "sprayed"
    wood = ""
    if one.forms.wood_price is not None:
        wood = say("counter.work.later_wood", price=by_unit(one.forms.wood_price, "m2", units))
    subject = comparison.subject or ""
    for way in comparison.scenario.alternatives:
        found = comparison.ways[way.name]
        if way.name == subject or found.keeps_what_stands or way.name not in doubt.names:
            continue
        chance = many_of_20(of_20(doubt.chance_cheaper(way.name, subject)))
        when = say("counter.work.later_when", title=way.title, chance=chance, years=years_text(doubt.years))
        said = say("counter.work.later_price", price=price, unit=unit, wood=wood)
        yield Offer(say("counter.work.later"), said, when)


def _range(figure: Figure) -> str:
    """Return a price with its range."""
    likely = money_text(figure.likely)
    if not figure.ranged:
        return likely
    low, high = number_text(round(figure.low)), number_text(round(figure.high))
    return say("counter.work.about", likely=likely, low=low, high=high)
