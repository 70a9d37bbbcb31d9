"""Reading the roof that stands, the ways that may be chosen, and a loan.

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
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from lifecycle.errors import nearest
from lifecycle.kinds import COVERINGS
from lifecycle.reading.climate import read_climate_of_way
from lifecycle.reading.numbers import read_number
from lifecycle.reading.quotes import price_path
from lifecycle.reading.reader import Reader, Table
from lifecycle.reading.roofs import Roofs
from lifecycle.reading.upkeep import plan_visits, read_visits
from lifecycle.scenario import (
    Numbers,
    Stated,
    StatedAlternative,
    StatedExisting,
    StatedLoan,
    StatedRoof,
    StatedVisit,
    Use,
)

SHOP_LOOK = {"cost": "shop_look_cost", "days": "shop_look_days"}
OWN_LOOK = {"hours": "look_hours"}
"""Shared figures that make a look, by a shop and by the owner."""


def read_existing(reader: Reader, roofs: Roofs) -> StatedExisting:
    """Read the roof that stands; after a fault its roof is "", or numbers are missing.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    roofs : Roofs
        The roofs known.
    """
    if "existing" not in reader.own:
        reader.fault("existing", "is required", None, "say which roof stands, and how old it is: [existing]")
        return StatedExisting("", {})
    raw = reader.table(reader.own["existing"], "existing", "existing")
    reader.required(raw, "existing", "existing", instead={})
    fields = reader.fields["existing"]
    numbers: dict[str, Stated] = {}
    for name, value in raw.items():
        if fields[name].kind == "number":
            use = read_number(reader, value, f"existing.{name}", fields[name])
            if use is not None:
                numbers[name] = use
    roof = roofs.known(raw["roof"], "existing.roof") if "roof" in raw else None
    hidden = _hidden_now(reader, raw.get("hidden_now", []))
    last = _last_visits(reader, raw.get("last_visits", {}))
    past, plan = _past(reader, raw, roofs, roof)
    return StatedExisting(roof or "", numbers, hidden, last, past, plan)


def _hidden_now(reader: Reader, raw: Any) -> tuple[Numbers, ...] | None:
    """Read the leaks hidden today; None: from upkeep."""
    place = "existing.hidden_now"
    if isinstance(raw, str):
        reader.choice(raw, place, reader.fields["existing"]["hidden_now"].words)
        return None
    entries = []
    for where, entry in reader.tables(raw, place):
        known = reader.table(entry, where, "hidden_now")
        complete = reader.required(known, "hidden_now", where, instead={})
        fields = reader.fields["hidden_now"]
        numbers = {
            key: read_number(reader, value, f"{where}.{key}", fields[key]) for key, value in known.items()
        }
        fine: dict[str, Stated] = {key: use for key, use in numbers.items() if use is not None}
        if complete and len(fine) == len(numbers):
            entries.append(fine)
    return tuple(entries)


def _last_visits(reader: Reader, raw: Any) -> Numbers:
    """Read when jobs were last done; whether there are such jobs is checked when all are known."""
    field = reader.fields["existing"]["last_visits"]
    uses = {
        name: read_number(reader, value, f"existing.last_visits.{name}", field)
        for name, value in reader.named_tables(raw, "existing.last_visits").items()
    }
    return {name: use for name, use in uses.items() if use is not None}


def _past(
    reader: Reader, raw: Table, roofs: Roofs, roof: str | None
) -> tuple[tuple[StatedVisit, ...] | None, str | None]:
    """Read the jobs of the past, and the plan that gave them."""
    past: tuple[StatedVisit, ...] | None = None
    plan = None
    if "past_plan" in raw and "past_visits" in raw:
        reader.fault("existing.past_plan", "must not stand beside past_visits", None, "keep one of the two")
    if "past_plan" in raw:
        covering = roofs.draft(roof).covering if roof else "membrane"
        plan = raw["past_plan"] if isinstance(raw["past_plan"], str) else None
        past = plan_visits(reader, raw["past_plan"], covering, "existing.past_plan")
    if "past_visits" in raw:
        past, plan = read_visits(reader, raw["past_visits"], "existing.past_visits"), None
    return past, plan


def read_alternatives(reader: Reader, roofs: Roofs, stands: str) -> tuple[StatedAlternative, ...]:
    """Read the ways that may be chosen.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    roofs : Roofs
        The roofs known.
    stands : str
        Name of the roof that stands; "" after a fault in it.
    """
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
    )


def _amounts(reader: Reader, known: Table, place: str, then: Numbers) -> tuple[Stated, Stated]:
    """Read price and days of the change; unstated, they are those of the roof that follows."""
    found: list[Stated] = []
    for name, default in (("quote", "renew_cost"), ("days", "renew_days")):
        stated: Stated | None = then.get(default, 0.0)
        if name == "quote" and _is_quote(reader, known.get(name)):
            stated = Use(price_path(known[name]))
        elif name in known:
            stated = read_number(reader, known[name], f"{place}.{name}", reader.fields["alternatives"][name])
            if name == "quote" and isinstance(stated, Use) and reader.figures[stated.path].high == 0.0:
                reader.notices.append(
                    f"{place}.quote is 0: that change costs nothing. No price yet? Leave it out."
                )
        found.append(0.0 if stated is None else stated)
    return found[0], found[1]


def _is_quote(reader: Reader, raw: Any) -> bool:
    """Whether a price is the name of a [quotes.NAME], which goes before a figure of that name."""
    quotes = reader.own.get("quotes", {})
    return isinstance(raw, str) and isinstance(quotes, Mapping) and raw in quotes


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
    """Return the roofs in use, whole, each coating with its jobs.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    roofs : Roofs
        The roofs known.
    stands : str
        Name of the roof that stands; "" after a fault in it.
    ways : iterable of StatedAlternative
        The ways read.
    """
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

    Parameters
    ----------
    reader : Reader
        Notes own work that no plan of a shop stands for.
    roofs : Roofs
        The roofs known.
    ways : iterable of StatedAlternative
        The ways read.
    used : mapping of str to StatedRoof
        The roofs in use.
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
    owner = reader.own.get("owner")
    if isinstance(owner, Mapping) and owner.get("climbs_in_ten_years") is False:
        for name, roof in used.items():
            own = any(_may_be(reader, visit, "hours") for visit in roof.visits)
            if own and roof.plan is None and "plan_ends" not in roof.numbers:
                reader.notices.append(
                    f"Your own work on roofs.{name} goes on after ten years: it names no plan that a shop's "
                    "stands for. Say plan_ends and plan_after."
                )
    return tuple(found)


def _looked_at_like(reader: Reader, coating: StatedRoof, base: StatedRoof) -> StatedRoof:
    """Return a coating that is looked at as often and as well as the base case's roof, as long as that is."""
    if base.plan is None and base.visits:
        reader.notices.append(
            f"A coating that says nothing of upkeep is looked at as often, and as well, as roofs.{base.name}."
        )
    ends = {name: stated for name, stated in base.numbers.items() if name == "plan_ends"}
    return replace(
        coating,
        visits=_jobs_like(reader, base, base.plan, base.visits),
        visits_after=_jobs_like(reader, base, base.plan_after, base.visits_after) if ends else (),
        numbers={**coating.numbers, **ends},
    )


def _jobs_like(
    reader: Reader, base: StatedRoof, plan: str | None, visits: tuple[StatedVisit, ...]
) -> tuple[StatedVisit, ...]:
    """Return the jobs on a coating that stand for those of a plan, or for a roof's own."""
    if plan is not None:
        return plan_visits(reader, plan, "coating", f"roofs.{base.name}.plan")
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


def check_last_visits(reader: Reader, existing: StatedExisting, roofs: Mapping[str, StatedRoof]) -> None:
    """Note a job that was last done but is a job of no roof."""
    jobs = list(dict.fromkeys(visit.name for roof in roofs.values() for visit in roof.all_visits))
    jobs += [visit.name for visit in existing.past_visits or () if visit.name not in jobs]
    for name in existing.last_visits:
        if name not in jobs:
            place = f"existing.last_visits.{name}"
            reader.fault(place, "must be the name of an upkeep job", name, nearest(name, jobs))


def without_clocks(existing: StatedExisting, roofs: Iterable[StatedRoof]) -> StatedExisting:
    """Return the roof that stands without the clocks of jobs that no roof in use has, nor its past."""
    jobs = {visit.name for roof in roofs for visit in roof.all_visits}
    jobs |= {visit.name for visit in existing.past_visits or ()}
    last = {name: months for name, months in existing.last_visits.items() if name in jobs}
    return replace(existing, last_visits=last)


def without_climbing(
    reader: Reader, ways: tuple[StatedAlternative, ...], roofs: Mapping[str, StatedRoof]
) -> dict[str, str]:
    """Return the ways that need the owner's hours, by name with their titles; note the base case.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    ways : tuple of StatedAlternative
        The ways read.
    roofs : mapping of str to StatedRoof
        The roofs in use.
    """
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
    """Read a loan; None where there is none, or after a fault.

    Parameters
    ----------
    reader : Reader
        Notes the faults.
    names : iterable of str
        Names of the ways.
    """
    if "loan" not in reader.own:
        return None
    raw = reader.table(reader.own["loan"], "loan", "loan")
    complete = reader.required(raw, "loan", "loan", instead={})
    fields = reader.fields["loan"]
    uses = {
        name: read_number(reader, value, f"loan.{name}", fields[name])
        for name, value in raw.items()
        if fields[name].kind == "number"
    }
    names, way = tuple(names), raw.get("alternative")
    if "alternative" in raw and way not in names:
        remedy = nearest(way, names) if isinstance(way, str) else "write its name"
        reader.fault("loan.alternative", "must name a way of [alternatives]", way, remedy)
        return None
    numbers: dict[str, Stated] = {name: use for name, use in uses.items() if use is not None}
    return StatedLoan(str(way), numbers) if complete and len(numbers) == len(uses) else None
