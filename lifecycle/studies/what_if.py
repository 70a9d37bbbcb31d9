"""What if: the quote, the years kept, the price of a reseal, what is done otherwise, the place were other.

Lecture
-------
A changed input is a new scenario (`scenario.changing`). Whoever changes one knows it by its plain name, not
by its path, and the path differs from file to file: a quote may be a figure, a price beside a way, or the sum
of a paper's lines. Here each plain name finds its input (`asked_inputs`), and what is wrong with a value is
said under the plain name, which is the name of the variable in a notebook's cell as well.

What is no number is said in the text of the file and read again (`files.restated`): another place, cover and
responses staying; another way that would be done otherwise, and what follows it, as the upkeep of a coating.

No room had it: `by_place` looks at all places at once, sliders and notebooks change what they like.

Left out: statements that no input holds, such as another upkeep plan; they belong into the file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from lifecycle.climate import DRIVERS, Drivers
from lifecycle.errors import ScenarioError, fault, nearest
from lifecycle.files import fields, restated, shared
from lifecycle.quantities import Figure, convert
from lifecycle.scenario import Scenario, Use, replaced, site_of
from lifecycle.studies.by_place import known_drivers, with_climate

Value = Figure | float | Sequence[float]
"""A figure, a number, or three: low, likely, high."""

RESEAL = "reseal"
"""Name of the job whose price is asked about."""


def asked_inputs(scenario: Scenario) -> dict[str, str]:
    """Return the paths of inputs by their plain name: quote, years, reseal_price, hour_value."""
    found = {"years": scenario.owner.get("holding_period"), "hour_value": scenario.owner.get("hour_value")}
    subject = scenario.subject
    if subject is not None:
        found["quote"] = subject.quote
    for roof in (scenario.roofs[scenario.base_case.roof], *scenario.roofs.values()):
        for visit in roof.visits:
            if visit.name == RESEAL and "cost" in visit.numbers:
                found.setdefault("reseal_price", visit.numbers["cost"])
    paths = {name: stated.path for name, stated in found.items() if isinstance(stated, Use)}
    return {name: path for name, path in paths.items() if path in scenario.inputs}


def changed(
    scenario: Scenario,
    changes: Mapping[str, Value] | None = None,
    *,
    quote: Value | None = None,
    years: Value | None = None,
    reseal_price: Value | None = None,
    hour_value: Value | None = None,
    otherwise: str | None = None,
    place: str | Mapping[str, float] | None = None,
) -> Scenario:
    """Return a new scenario in which some figures are others; what is None stays as it is.

    Parameters
    ----------
    scenario : Scenario
        It stays as it is.
    changes : mapping of str to number, three numbers or Figure
        By path of the input, as ``scenario.inputs`` lists them. Three numbers are low, likely, high.
        [unit of the input]
    quote : number or three numbers
        Price of the change in question. [money]
    years : number or three numbers
        Years that you keep the coach. [years]
    reseal_price : number or three numbers
        What a shop asks for a full reseal. [money]
    hour_value : number or three numbers
        What an hour of your own work is worth. [money/hour]
    otherwise : str
        Name of the way that you would take otherwise, as ``scenario.alternatives`` has them.
    place : str or mapping of str to float
        A place of the table, or climate drivers by name, as `weather` finds them. [C or days]

    Raises
    ------
    ScenarioError
        If there is no such input, way or place, or a value is not allowed.

    Examples
    --------
    >>> import lifecycle
    >>> scenario = lifecycle.load("scenarios/worked-example-1.toml")
    >>> changed(scenario, quote=9000, years=12).changed
    ('alternatives.coat_now.quote', 'owner.holding_period')
    """
    new = scenario if place is None else at_place(scenario, place)
    new = new if otherwise is None else _restated(new, otherwise_says(new, otherwise))
    plain = {"quote": quote, "years": years, "reseal_price": reseal_price, "hour_value": hour_value}
    given = {name: value for name, value in plain.items() if value is not None}
    new = replaced(new, changes) if changes else new
    new = new if quote is None else _with_own_quote(new)
    return _named(new, given) if given else new


def _named(scenario: Scenario, given: Mapping[str, Value]) -> Scenario:
    """Change inputs by their plain names; what is wrong is said under these."""
    paths = asked_inputs(scenario)
    for name in given:
        if name not in paths:
            known = f"inputs that it has by name: {', '.join(paths)}"
            raise fault(name, "is no input of this scenario", "", known)
    plain = {paths[name]: name for name in given}
    try:
        return replaced(scenario, {paths[name]: value for name, value in given.items()})
    except ScenarioError as error:
        faults = [replace(one, place=plain.get(one.place, one.place)) for one in error.faults]
        raise ScenarioError(faults) from None


def _with_own_quote(scenario: Scenario) -> Scenario:
    """Return a scenario whose change in question has a price of its own, if that of a later roof stood in."""
    subject = scenario.subject
    if subject is None or subject.quote != scenario.roofs[subject.then].numbers.get("renew_cost"):
        return scenario
    return _restated(scenario, {f"alternatives.{subject.name}.quote": scenario.likely(subject.quote)})


def otherwise_says(scenario: Scenario, name: str) -> dict[str, bool]:
    """Return what a file says, by dotted name, if another of its ways is what would be done otherwise.

    Nothing if it is so already; ScenarioError if there is no such way, or it is the one in question.
    """
    asked = scenario.subject
    names = [way.name for way in scenario.alternatives if asked is None or way.name != asked.name]
    if name not in names:
        rule = "must be a way of the scenario that is not in question"
        raise fault("otherwise", rule, str(name), nearest(str(name), names))
    if name == scenario.base_case.name:
        return {}
    return {
        f"alternatives.{scenario.base_case.name}.base_case": False,
        f"alternatives.{name}.base_case": True,
    }


def at_place(scenario: Scenario, place: str | Mapping[str, float]) -> Scenario:
    """Return a scenario whose coach stands in another place, under the same cover.

    A name of the table of places; or climate drivers by name, others staying as they are [C or days].
    ScenarioError if there is no such place or driver.
    """
    if isinstance(place, str):
        known = tuple(shared()["places"])
        if place not in known:
            raise fault("place", "must be a place of the table", place, nearest(place, known))
        return _restated(scenario, {"climate.place": place})
    if unknown := sorted(set(place) - set(DRIVERS)):
        raise fault("place", "must hold drivers of a climate", unknown[0], nearest(unknown[0], DRIVERS))
    here = known_drivers(site_of(with_climate(scenario)).here or Drivers())
    of_file = {name: field.unit_in(scenario.units) for name, field in fields()["climate"].items()}
    return _restated(
        scenario,
        {
            f"climate.{name}": convert(value, fields()["climate"][name].unit, of_file[name])
            for name, value in {**here, **place}.items()
        },
    )


def _restated(scenario: Scenario, says: Mapping[str, Any]) -> Scenario:
    """Return a scenario whose file says something else; what `changed` changed stays."""
    if not says:
        return scenario
    today = restated(scenario, {}, worded=False)
    if other := [path for path, figure in scenario.inputs.items() if today.inputs.get(path) != figure]:
        rule = "must be as its file says, but for what was changed by `lifecycle.change`"
        raise fault(other[0], rule, "", "load it without edition, or change the file")
    return restated(scenario, says)
