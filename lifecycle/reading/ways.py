"""Reading the ways that may be chosen, and a loan.

Lecture
-------
Exactly one way is the base case. A coating that says nothing of upkeep is looked at as often, and
as well, as the roof of the base case: it gets the same plan, from the plan's list for coatings. If
that roof has jobs of its own instead of a plan, each job that finds leaks becomes a look at the
coating with the same interval and the same chance, at the price, days or hours of a look in the
shared data.

An owner who does not go up leaves out the ways whose jobs carry the owner's hours. The base case is
never left out: what cannot be done is not what one would do otherwise.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from lifecycle.errors import nearest
from lifecycle.kinds import COVERINGS
from lifecycle.reading.numbers import read_number, read_numbers
from lifecycle.reading.quotes import price_path
from lifecycle.reading.reader import WORDS, Reader, Table
from lifecycle.reading.roofs import Roofs, plan_visits
from lifecycle.reading.site import read_climate_of_way
from lifecycle.scenario import (
    Numbers,
    Stated,
    StatedAlternative,
    StatedLoan,
    StatedRoof,
    StatedVisit,
    Use,
)

SHOP_LOOK = {"cost": "shop_look_cost", "days": "shop_look_days"}
OWN_LOOK = {"hours": "look_hours"}
"""Shared figures that make a look, by a shop and by the owner."""


def read_alternatives(reader: Reader, roofs: Roofs, stands: str) -> tuple[StatedAlternative, ...]:
    """Read the ways that may be chosen; `stands` is the roof that does, "" after a fault in it."""
    raw = reader.own.get("alternatives")
    if raw is None or raw == {}:
        reader.fault(
            "alternatives",
            "must have one way at least",
            None,
            "add [alternatives.keep] with base_case = true",
        )
        return ()
    tables = reader.named_tables(raw, "alternatives")
    found = [_alternative(reader, roofs, stands, name, entry) for name, entry in tables.items()]
    _check_marks(reader, tables)
    return tuple(way for way in found if way is not None)


def _alternative(reader: Reader, roofs: Roofs, stands: str, name: str, raw: Any) -> StatedAlternative | None:
    """Read one way; None after a fault in its roofs."""
    place = f"alternatives.{name}"
    known = reader.table(raw, place, "alternatives")
    title = reader.text(known["title"], f"{place}.title") if "title" in known else name
    action = reader.text(known["action"], f"{place}.action") if "action" in known else None
    flags: dict[str, Any] = {
        key: bool(reader.flag(known[key], f"{place}.{key}"))
        for key in ("base_case", "subject", "aside")
        if key in known
    }
    roof = roofs.known(known["roof"], f"{place}.roof") if "roof" in known else stands or None
    then = roofs.known(known["then"], f"{place}.then") if "then" in known else roof
    change = _change(reader, known.get("change", "end of life"), f"{place}.change")
    if roof is None or then is None:
        _amounts(reader, known, place, {})
        return None
    if stands and roofs.draft(roof).covering != roofs.draft(stands).covering:
        rule = f"must be the roof that stands under another upkeep: a {roofs.draft(stands).covering}"
        reader.fault(f"{place}.roof", rule, roof, "name what follows with then")
    quote, days = _amounts(reader, known, place, roofs.draft(then).numbers)
    climate = read_climate_of_way(reader, known, place)
    waits = change != 0.0 and then != roof and "roof" not in known
    return StatedAlternative(
        name,
        title or name,
        roof,
        then,
        change,
        quote,
        days,
        base_case=flags.get("base_case", False),
        subject=flags.get("subject", False),
        aside=flags.get("aside", False),
        climate=climate,
        upkeep_open=waits,
        action=action or _action(title or name),
    )


def _action(title: str) -> str:
    """Return what a title says is done, without when; the rest of the house takes no title apart.

    Examples
    --------
    >>> [_action(title) for title in ("Spray now", "Spray in year 5", "Roll on now, by the gallon")]
    ['Spray', 'Spray', 'Roll on']
    """
    return re.split("|".join(map(re.escape, WORDS["said"]["action_ends"])), title)[0]


def _amounts(reader: Reader, known: Table, place: str, then: Numbers) -> tuple[Stated, Stated]:
    """Read price and days of the change; unstated, they are those of the roof that follows."""
    found: list[Stated] = []
    for name, default in (("quote", "renew_cost"), ("days", "renew_days")):
        stated: Stated | None = then.get(default, 0.0)
        if name == "quote" and isinstance(known.get(name), str) and known[name] in reader.section("quotes"):
            stated = Use(price_path(known[name]))  # a [quotes.NAME] goes before a figure of that name
        elif name in known:
            stated = read_number(reader, known[name], f"{place}.{name}", reader.fields["alternatives"][name])
            if name == "quote" and isinstance(stated, Use) and reader.figures[stated.path].high == 0.0:
                reader.notices.append(WORDS["notices"]["free"].format(place=place))
        found.append(0.0 if stated is None else stated)
    return found[0], found[1]


def _change(reader: Reader, raw: Any, place: str) -> Stated | None:
    """Read when the change comes: 0.0 for now, None for the end of life."""
    field = reader.fields["alternatives"]["change"]
    if isinstance(raw, str):
        if raw not in field.words:
            remedy = nearest(raw, field.words)
            reader.fault(place, 'must be "now", a number of years, or "end of life"', raw, remedy)
        return 0.0 if raw == "now" else None
    use = read_number(reader, raw, place, field)
    if use is None:
        return None
    months = 12.0 * reader.figures[use.path].likely
    if abs(months - round(months)) > 0.05:
        reader.fault(
            place, "must fall on a whole month", raw, "a month is a twelfth of a year: 2.5 is 30 months"
        )
    return use


def _check_marks(reader: Reader, tables: Mapping[str, Any]) -> None:
    """Check that one way is the base case, and that at most one other is the subject."""
    marked = {
        mark: [name for name, raw in tables.items() if isinstance(raw, Mapping) and raw.get(mark) is True]
        for mark in ("base_case", "subject", "aside")
    }
    base, subject = marked["base_case"], marked["subject"]
    if len(base) != 1:
        got = f"{len(base)}: {', '.join(base)}" if base else "none"
        rule = "must have exactly one way with base_case = true"
        reader.fault("alternatives", rule, None, "mark what you would do otherwise", got=got)
    if len(subject) > 1:
        rule = "must have one way at most with subject = true"
        remedy = "mark the one that the answer is about"
        reader.fault("alternatives", rule, None, remedy, got=", ".join(subject))
    for name in marked["aside"]:
        if name in (*base, *subject):
            rule = "must not be true on the base case, nor on the way that the answer is about"
            reader.fault(f"alternatives.{name}.aside", rule, None, "these two are always compared")
    for name in set(subject) & set(base):
        rule = "must not be true on the base case"
        reader.fault(f"alternatives.{name}.subject", rule, None, "the answer compares another way with it")


def roofs_in_use(
    reader: Reader, roofs: Roofs, stands: str, ways: Iterable[StatedAlternative]
) -> dict[str, StatedRoof]:
    """Return the roofs in use, whole, each coating with its jobs; `stands` as of `read_alternatives`."""
    ways = tuple(ways)
    names = [name for name in (stands, *(name for way in ways for name in (way.roof, way.then))) if name]
    base = next((way.roof for way in ways if way.base_case), None)
    found: dict[str, StatedRoof] = {}
    for name in dict.fromkeys(names):
        draft = roofs.draft(name)
        silent = COVERINGS[draft.covering].sprayed and draft.plan is None and draft.visits is None
        found[name] = roofs.roof(name)
        if silent and base is not None and base != name:
            found[name] = _looked_at_like(reader, found[name], roofs.roof(base))
    return found


def said_to_end(
    reader: Reader, roofs: Roofs, ways: Iterable[StatedAlternative], used: Mapping[str, StatedRoof]
) -> tuple[StatedAlternative, ...]:
    """Return the ways, those whose own work ends before the roof that stands is changed saying so.

    Notes own work on a roof in use that no plan of a shop stands for.
    """
    stops = reader.shared["stops_climbing"]
    found = []
    for way in ways:
        change = way.change if way.change is None or isinstance(way.change, float) else None
        if isinstance(way.change, Use):
            change = reader.figures[way.change.path].likely
        plan = roofs.draft(way.roof).plan if roofs.by_shop(way.roof) else None
        waits = way.upkeep_open  # its upkeep, and with it its title, is chosen later
        if plan is not None and not waits and (change is None or 12.0 * change > stops["after"]):
            title = stops["title"].format(title=way.title, then=stops["then"][plan])
            way = replace(way, title=title, bare_title=way.title)
        found.append(way)
    if reader.section("owner").get("climbs_in_ten_years") is False:
        for name, roof in used.items():
            own = any(_may_be(reader, visit, "hours") for visit in roof.visits)
            if own and roof.plan is None and "plan_ends" not in roof.numbers:
                reader.notices.append(WORDS["notices"]["own_work_goes_on"].format(roof=name))
    return tuple(found)


def _looked_at_like(reader: Reader, coating: StatedRoof, base: StatedRoof) -> StatedRoof:
    """Return a coating that is looked at as often and as well as the base case's roof, as long as that is."""
    if base.plan is None and base.visits:
        reader.notices.append(WORDS["notices"]["looked_at_like"].format(roof=base.name))
    ends = {name: stated for name, stated in base.numbers.items() if name == "plan_ends"}
    return replace(
        coating,
        visits=_jobs_like(reader, coating, base, base.plan, base.visits),
        visits_after=_jobs_like(reader, coating, base, base.plan_after, base.visits_after) if ends else (),
        numbers={**coating.numbers, **ends},
    )


def _jobs_like(
    reader: Reader, coating: StatedRoof, base: StatedRoof, plan: str | None, visits: tuple[StatedVisit, ...]
) -> tuple[StatedVisit, ...]:
    """Return the jobs on a coating that stand for those of a plan, or for a roof's own."""
    if plan is not None:
        return plan_visits(reader, plan, coating.covering, f"roofs.{base.name}.plan")
    return tuple(_look(reader, visit) for visit in visits if _may_be(reader, visit, "finds"))


def _look(reader: Reader, visit: StatedVisit) -> StatedVisit:
    """Return the look at a coating that stands for a job on the membrane."""
    figures = reader.fields["visits"]
    numbers: dict[str, Stated] = {name: visit.numbers[name] for name in ("every", "finds")}
    for name, figure in (OWN_LOOK if _may_be(reader, visit, "hours") else SHOP_LOOK).items():
        use = read_number(reader, figure, f"figures.{figure}", figures[name])
        if use is not None:
            numbers[name] = use
    return StatedVisit(f"look ({visit.name})", numbers)


def without_climbing(
    reader: Reader, ways: tuple[StatedAlternative, ...], roofs: Mapping[str, StatedRoof]
) -> dict[str, str]:
    """Return the ways that need the owner's hours, by name with their titles; note the base case."""
    climbed = {
        name
        for name, roof in roofs.items()
        if any(_may_be(reader, visit, "hours") for visit in roof.all_visits)
    }
    needing = [way for way in ways if {way.roof, way.then} & climbed]
    if needing and len(needing) == len(ways):
        shops: Mapping[str, str] = reader.shared["stops_climbing"]["plans"]
        plans = dict.fromkeys(shops[plan] for roof in roofs.values() if (plan := roof.plan) in shops and plan)
        such = f", its roof with plan = {' or '.join(json.dumps(plan) for plan in plans)}" if plans else ""
        reader.fault(
            "alternatives",
            "must hold an acceptable way: each of these needs your own hours on the roof, and owner.climbs "
            "is false",
            ", ".join(way.name for way in needing),
            f"add a way in which a shop does the work{such}, and make it the base case",
        )
        return {}
    for way in needing:
        if way.base_case:
            rule = "must not need your own hours on the roof, as owner.climbs is false"
            remedy = "choose as base case what you would really do, or take out climbs = false"
            reader.fault(f"alternatives.{way.name}", rule, None, remedy)
    return {way.name: way.title for way in needing if not way.base_case}


def _may_be(reader: Reader, visit: StatedVisit, name: str) -> bool:
    """Whether a number of an upkeep job may be above 0."""
    use = visit.numbers.get(name)
    return isinstance(use, Use) and reader.figures[use.path].high > 0


def read_loan(reader: Reader, names: Iterable[str]) -> StatedLoan | None:
    """Read a loan for one of the ways of these names; None where there is none, or after a fault."""
    if "loan" not in reader.own:
        return None
    raw = reader.table(reader.own["loan"], "loan", "loan")
    complete = reader.required(raw, "loan", "loan")
    numbers, all_read = read_numbers(reader, raw, "loan", "loan")
    way, rule = raw.get("alternative"), "must name a way of [alternatives]"
    if "alternative" in raw:
        way = reader.known(way, "loan.alternative", rule, tuple(names), "write its name")
    return StatedLoan(way, numbers) if way is not None and complete and all_read else None
