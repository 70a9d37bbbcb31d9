"""Rules between numbers: what one number of a scenario allows another to be.

Lecture
-------
That a number lies within its own bounds is checked where it is read. Here are the rules that need
more than one number: nobody keeps the coach beyond the years shown, no seal and no hidden leak is
older than the roof, a badly done roof has a life, a loan pays for a change today. They hold at
likely values; of a range, draws beyond the years shown are cut when they are drawn. A rule whose
numbers are missing is passed over: that they are missing is said elsewhere.

Left out: whether the figures make sense together (what they imply is shown, not forbidden).
"""

from __future__ import annotations

from collections.abc import Iterator

from lifecycle.errors import Fault
from lifecycle.quantities import number_text
from lifecycle.scenario.stated import Scenario, Stated


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
    return [*_years(scenario), *_ages(scenario), *_bad_roofs(scenario), *_loan(scenario)]


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
    for name, last in existing.last_visits.items():
        stated[f"existing.last_visits.{name}"] = last
    for place, number in stated.items():
        months = scenario.likely(number)
        if months > age + 1e-9:
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


def _place(stated: Stated, place: str) -> str:
    """Return where a number stands: the shared figure that it names, else its own place."""
    return place if isinstance(stated, float) else stated.path
