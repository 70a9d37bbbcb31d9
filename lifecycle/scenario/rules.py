"""Rules between numbers: what one number of a scenario allows another to be.

Lecture
-------
That a number lies within its own bounds is checked where it is read. Here are the rules that need
more than one number: nobody keeps the coach beyond the years shown, no seal and no hidden leak is
older than the roof, a badly done roof has a life, a loan pays for a change today, caps are shorter
than their coach, shares of a year make a year, figures that move together are there. They hold at
likely values, those of the coach over its ranges; draws beyond the years shown are cut when they are
drawn. A rule whose numbers are missing is passed over: that they are missing is said elsewhere.

Left out: whether the figures make sense together (what they imply is shown, not forbidden).
"""

from __future__ import annotations

from collections.abc import Iterator

from lifecycle.errors import Fault, closest, safe
from lifecycle.quantities import convert, number_text, unit_text
from lifecycle.scenario.site import geometry_of
from lifecycle.scenario.stated import Scenario, Stated, Use


def broken_rules(scenario: Scenario) -> list[Fault]:
    """Return a fault for every rule between numbers that a scenario breaks.

    Parameters
    ----------
    scenario : Scenario
        Each number within its own bounds.

    Returns
    -------
    list of Fault
        Empty if all hold.
    """
    return [
        *_years(scenario),
        *_ages(scenario),
        *_bad_roofs(scenario),
        *_loan(scenario),
        *_coach(scenario),
        *_shares(scenario),
        *_correlations(scenario),
    ]


def _years(scenario: Scenario) -> Iterator[Fault]:
    """Check that the years kept lie within the years shown."""
    if "study_period" not in scenario.study or "holding_period" not in scenario.owner:
        return
    years = scenario.likely(scenario.study["study_period"])
    kept = scenario.likely(scenario.owner["holding_period"])
    if kept > years:
        yield Fault(
            _place(scenario.owner["holding_period"], "owner.holding_period"),
            f"must not be above study.study_period, {number_text(years)} years",
            f"{number_text(kept)} years",
            "keep it for fewer years, or let study.study_period be longer",
        )


def _ages(scenario: Scenario) -> Iterator[Fault]:
    """Check that nothing on the existing roof is older than the roof."""
    existing = scenario.existing
    if "age" not in existing.numbers:
        return
    age = scenario.likely(existing.numbers["age"])
    stated: dict[str, Stated] = {}
    if "seal_age" in existing.numbers:
        stated["existing.seal_age"] = existing.numbers["seal_age"]
    for count, entry in enumerate(existing.hidden_now or (), start=1):
        stated[f"existing.hidden_now.{count}.age"] = entry["age"]
    due_today: dict[str, float] = {}  # as long ago as its interval: due today, whatever the age of the roof
    for name, last in existing.last_visits.items():
        place = f"existing.last_visits.{name}"
        stated[place] = last
        jobs = [visit for roof in scenario.roofs.values() for visit in roof.visits if visit.name == name]
        due_today[place] = max((scenario.likely(job.numbers["every"]) for job in jobs), default=float("inf"))
    for place, number in stated.items():
        months = scenario.likely(number)
        if months > max(age, due_today.get(place, 0.0)) + 1e-9:
            yield Fault(
                _place(number, place),
                f"must not be above existing.age, {number_text(age)} months",
                f"{number_text(months)} months",
                "nothing on the roof is older than the roof",
            )


def _bad_roofs(scenario: Scenario) -> Iterator[Fault]:
    """Check that a roof that may be badly done says how long such a roof lasts."""
    for roof in scenario.roofs.values():
        share = roof.numbers.get("defect_share", 0.0)
        most = share if isinstance(share, float) else scenario.inputs[share.path].high
        if most > 0 and "defect_life" not in roof.numbers:
            yield Fault(
                f"roofs.{roof.name}.defect_life",
                "is required where defect_share is above 0",
                remedy="state the years until a badly done roof fails",
            )


def _loan(scenario: Scenario) -> Iterator[Fault]:
    """Check that a loan pays for a change today."""
    for way in scenario.alternatives:
        paid = scenario.loan is not None and way.name == scenario.loan.alternative
        if paid and (way.change is None or scenario.likely(way.change) != 0.0):
            yield Fault(
                "loan.alternative",
                'must name a way with change = "now"',
                f'"{way.name}"',
                "a loan is reckoned only for a change today",
            )


def _coach(scenario: Scenario) -> Iterator[Fault]:
    """Check over their ranges that caps leave something to spray, and that penetrations leave some of it."""
    if scenario.coach is None or not scenario.coach.numbers:
        return
    shortest = {path: scenario.inputs[path].low for path in _paths(scenario, "length", "width")}
    longest = {path: scenario.inputs[path].high for path in _paths(scenario, "front_cap", "rear_cap")}
    widest = {
        stated.path: scenario.inputs[stated.path].high
        for one in scenario.coach.penetrations or ()
        for stated in one.numbers.values()
        if isinstance(stated, Use)
    }
    least = geometry_of(scenario, {**widest, **shortest, **longest})
    if least is None:
        return
    if least.sprayed_length <= 0.0:
        yield Fault(
            next(iter(reversed(longest))),
            f"must leave something to spray: the caps together below the length of the coach, "
            f"{_size(scenario, 'length', least.length)}",
            f"{_size(scenario, 'length', sum(longest.values()))} of caps",
            "measure from the end of the coach to where the membrane begins",
        )
    elif least.covered_area >= least.stripped_area:
        yield Fault(
            "coach.penetrations",
            "must cover less than the roof between the caps, "
            f"{_size(scenario, 'reference_area', least.stripped_area)}",
            _size(scenario, "reference_area", least.covered_area),
            "correct count, length or width: they are those of the flanges",
        )


def _paths(scenario: Scenario, *names: str) -> list[str]:
    """Return the paths of some dimensions of the coach, of those that are stated."""
    numbers = scenario.coach.numbers if scenario.coach is not None else {}
    return [stated.path for name in names if isinstance(stated := numbers.get(name), Use)]


def _size(scenario: Scenario, name: str, value: float) -> str:
    """Return a size in the units of the file, as those of the coach's field of that name."""
    numbers = scenario.coach.numbers if scenario.coach is not None else {}
    stated = numbers[name] if name in numbers else numbers["reference_length"]
    field = scenario.inputs[stated.path].field if isinstance(stated, Use) else None
    if field is None:
        return number_text(value, 3)
    unit = field.unit_in(scenario.units)
    return f"{number_text(convert(value, field.unit, unit), 3)}{unit_text(unit)}"


def _shares(scenario: Scenario) -> Iterator[Fault]:
    """Check that the shares of the year in several places add up to a year."""
    climates = {"climate": scenario.climate}
    climates |= {f"alternatives.{way.name}.climate": way.climate for way in scenario.alternatives}
    for where, climate in climates.items():
        if climate is None or len(climate.places) == 0:
            continue
        whole = sum(scenario.likely(place.share) for place in climate.places)
        if abs(whole - 1.0) <= 1e-3:
            continue
        yield Fault(
            f"{where}.places",
            "must have shares of the year that add up to 1",
            number_text(whole, 4),
            "seven months of the year are 0.583, five are 0.417",
        )


def _correlations(scenario: Scenario) -> Iterator[Fault]:
    """Check that figures said to move together are figures of this scenario."""
    before: dict[frozenset[str], int] = {}
    for count, pair in enumerate(scenario.sections.get("correlations", ()), start=1):
        both = frozenset(str(pair.get(side)) for side in ("a", "b"))
        if before.setdefault(both, count) != count:
            rule = f"must not say again what correlations.{before[both]} says"
            yield Fault(f"correlations.{count}", rule, "", "keep one of the two")
        if pair.get("a") is not None and pair.get("a") == pair.get("b"):
            rule, got = "must name another figure than a", f'"{safe(pair["b"])}"'
            yield Fault(f"correlations.{count}.b", rule, got, "a figure moves with itself anyhow")
        for side in ("a", "b"):
            name = pair.get(side)
            if name is not None and name not in scenario.inputs:
                remedy = closest(name, list(scenario.inputs))
                yield Fault(
                    f"correlations.{count}.{side}",
                    "must name a figure that this scenario uses",
                    f'"{safe(name)}"',
                    f'did you mean "{remedy}"?' if remedy else "the figures command lists them all",
                )


def _place(stated: Stated, place: str) -> str:
    """Return where a number stands: the shared figure that it names, else its own place."""
    return place if isinstance(stated, float) else stated.path
