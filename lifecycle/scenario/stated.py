"""A scenario as frozen data: what was stated, with every number by the path of its input.

Lecture
-------
A scenario holds every distinct number once, as a `Figure` among its `inputs`. What is stated of
roofs, visits and alternatives refers to these by path (`Use`); so a figure that two roofs share is
one input, and a changed input is a new scenario with the same statements. A `Use` may carry
*ratios*: paths of inputs that multiply the number on its way (`leak_ratio`). A number that is no
input (an endless life, a price of 0 that nobody stated) stands as a plain float.

What is left out: reading files (`reading`, `files`), and what the numbers mean together
(`resolving`).

*Looking a stated number up*. Whoever resolves a scenario goes through its statements and asks for each
number. A number is that of its input, times the ratios on its way; an input stands at its likely value
unless a value was given for it: one number, or an array with one value for each draw.

Left out: whether values lie within the bounds of an input (`quantities.clip_to_bounds`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, is_dataclass
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from lifecycle.data import frame_words
from lifecycle.errors import nearest
from lifecycle.quantities import Figure
from lifecycle.quote import Quote
from lifecycle.roofs import Number


@dataclass(frozen=True)
class Use:
    """The use of an input at one place.

    Parameters
    ----------
    path : str
        Path of the input.
    ratios : tuple of str
        Paths of the inputs that multiply it.
    """

    path: str
    ratios: tuple[str, ...] = ()


Stated = Use | float
"""An input in use, or a plain number that is no input."""

Numbers = Mapping[str, Stated]
"""Numbers by field name."""


@dataclass(frozen=True)
class StatedVisit:
    """An upkeep job: its name, and its numbers by field name."""

    name: str
    numbers: Numbers


@dataclass(frozen=True)
class StatedRoof:
    """A roof: covering, upkeep plan and its numbers by field name.

    Parameters
    ----------
    name, covering : str
        Name in the file; name of a covering.
    numbers : mapping
        By field name.
    visits : tuple of StatedVisit
        Upkeep jobs.
    plan : str or None
        Name of the upkeep plan that gave them.
    visits_after : tuple of StatedVisit
        Upkeep jobs once the plan has ended, `plan_ends` among the numbers.
    plan_after : str or None
        Name of the upkeep plan that gave these.
    """

    name: str
    covering: str
    numbers: Numbers
    visits: tuple[StatedVisit, ...] = ()
    plan: str | None = None
    visits_after: tuple[StatedVisit, ...] = ()
    plan_after: str | None = None

    @property
    def all_visits(self) -> tuple[StatedVisit, ...]:
        """The upkeep jobs of both plans."""
        return (*self.visits, *self.visits_after)

    def under(self, visits: tuple[StatedVisit, ...], plan: str | None) -> StatedRoof:
        """Return this roof under one plan that does not end."""
        numbers = {name: stated for name, stated in self.numbers.items() if name != "plan_ends"}
        return StatedRoof(self.name, self.covering, numbers, visits, plan)


@dataclass(frozen=True)
class StatedExisting:
    """The roof that stands.

    Parameters
    ----------
    roof : str
        Name of the roof.
    numbers : mapping
        age, seal_age, effective_age, inspected_today, leaks_found, where stated.
    hidden_now : tuple of mapping, or None
        Numbers of each entry; None: from upkeep.
    last_visits : mapping
        Months since a job was last done, by its name.
    past_visits : tuple of StatedVisit, or None
        Jobs of the past; None: those of the roof.
    dry_places : int
        Places of the deck that were measured or opened, and dry; `numbers` has `meter_finds` then.
    found_at_least : int
        Leaks that were found at least, where nobody counted them.
    """

    roof: str
    numbers: Numbers
    hidden_now: tuple[Numbers, ...] | None = ()
    last_visits: Numbers = field(default_factory=dict)
    past_visits: tuple[StatedVisit, ...] | None = None
    dry_places: int = 0
    found_at_least: int = 0


LEAKED = ("wet", "gone")
"""What is found where a leak was: wet wood, or a deck that is rotten through."""


@dataclass(frozen=True)
class Opened:
    """What was found when trouble was opened.

    Parameters
    ----------
    found : str
        "dry", or one of `LEAKED`.
    repaired : str
        What was repaired; "" if nothing was.
    cost : float or None
        What that cost; None: not said. It is in no comparison. [money]
    """

    found: str
    repaired: str = ""
    cost: float | None = None


@dataclass(frozen=True)
class Meter:
    """A moisture meter and what it read.

    Parameters
    ----------
    limit : float
        Above it wood counts as wet. [percent]
    readings : tuple of (str, float)
        Place and reading. [percent]
    kind : str
        Kind of meter; "" if nobody said.
    wood : float
        Above it wood is wet on a scale for wood; up to the limit it is not dry either. [percent]
    """

    limit: float
    readings: tuple[tuple[str, float], ...]
    kind: str = ""
    wood: float = float("inf")

    @property
    def wet(self) -> tuple[tuple[str, float], ...]:
        """The readings above the limit."""
        return tuple(one for one in self.readings if one[1] > self.limit)

    @property
    def dry(self) -> tuple[tuple[str, float], ...]:
        """The readings that say that the wood is dry."""
        return tuple(one for one in self.readings if one[1] <= min(self.limit, self.wood))


@dataclass(frozen=True)
class Seen:
    """What was seen of trouble, what was found when it was opened, what a meter read.

    Parameters
    ----------
    signs : tuple of str
        What was seen, a reading above the limit among it.
    opened : Opened or None
        None: not opened yet.
    meter : Meter or None
        None: nothing was measured.
    """

    signs: tuple[str, ...] = ()
    opened: Opened | None = None
    meter: Meter | None = None

    @property
    def stops(self) -> tuple[str, ...]:
        """Trouble that nobody has opened yet: with any of it nothing is compared."""
        return self.signs if self.opened is None else ()

    @property
    def dry_places(self) -> int:
        """Places that were measured or opened, and dry."""
        measured = 0 if self.meter is None else len(self.meter.dry)
        return measured + (self.opened is not None and self.opened.found == "dry")


@dataclass(frozen=True)
class StatedAlternative:
    """One way that the owner may decide for.

    Parameters
    ----------
    name, title : str
        Name in the file, plain title.
    roof, then : str
        Names of roofs: the existing one under this way's upkeep, and what follows.
    change : Use, float or None
        Years to the change, 0.0 for "now"; None: at the end of life. [years]
    quote, days : Use or float
        Price and days of the change.
    base_case, subject : bool
        Whether it is what the owner would do otherwise; whether the answer is about it.
    aside : bool
        Whether it is compared only with the other ways.
    warranty : mapping
        Figures of the warranty that its quote promises for the roof that follows, by field name.
    climate : StatedClimate or None
        What is other where the coach stands this way, from the base date; None: nothing.
    upkeep_open, added : bool
        Whether it waits under no upkeep that the file states; whether it is no way of the file
        (`studies.ways`).
    bare_title : str
        Title before the upkeep that goes on, or that is taken until then, was added to it; "": none was.
    action : str
        What is done at the change, as an order: "Spray".
    """

    name: str
    title: str
    roof: str
    then: str
    change: Stated | None
    quote: Stated
    days: Stated
    base_case: bool = False
    subject: bool = False
    aside: bool = False
    warranty: Numbers = field(default_factory=dict)
    climate: StatedClimate | None = None
    upkeep_open: bool = False
    added: bool = False
    bare_title: str = ""
    action: str = ""

    @property
    def short(self) -> str:
        """Title without the upkeep that goes on, or that is taken until then."""
        return self.bare_title or self.title


@dataclass(frozen=True)
class StatedLoan:
    """A loan: the name of the alternative it pays for; principal, rate and months."""

    alternative: str
    numbers: Numbers


@dataclass(frozen=True)
class StatedPenetration:
    """Openings or fixtures of one kind: what they are, what happens to them, and count, length, width."""

    kind: str
    fate: str
    numbers: Numbers


@dataclass(frozen=True)
class StatedCoach:
    """The coach, measured.

    Parameters
    ----------
    numbers : mapping
        Dimensions and the reference coach, by field name; what nobody measured is left out.
    penetrations : tuple of StatedPenetration, or None
        None: nobody counted.
    deck : str
        What the deck is made of.
    limits, material : mapping of str to Figure
        Weights of the label, where stated; coating and sealant. They are no inputs: the comparison does
        not depend on them.
    """

    numbers: Numbers
    penetrations: tuple[StatedPenetration, ...] | None = None
    deck: str = ""
    limits: Mapping[str, Figure] = field(default_factory=dict)
    material: Mapping[str, Figure] = field(default_factory=dict)


@dataclass(frozen=True)
class StatedPlace:
    """A place of the table: its name, the share of the year there, and its drivers by field name."""

    name: str
    share: Stated
    numbers: Numbers


@dataclass(frozen=True)
class StatedClimate:
    """Where the coach stands.

    Parameters
    ----------
    numbers : mapping
        The coach's own drivers, its share under cover, and how a roof responds, by field name.
    places : tuple of StatedPlace
        Where the other drivers come from; none: they are the reference's.
    reference : mapping
        Drivers in which the figures of the roofs hold as written, by field name; what is left out
        changes nothing.
    reference_name : str
        What to call it.
    cooling : mapping of str to Figure
        Figures of cooling. They are no inputs: the comparison does not depend on them.
    """

    numbers: Numbers
    places: tuple[StatedPlace, ...]
    reference: Numbers
    reference_name: str
    cooling: Mapping[str, Figure] = field(default_factory=dict)


@dataclass(frozen=True)
class Scenario:
    """A scenario: inputs, what is stated of roofs and ways, and what is kept for other questions.

    Parameters
    ----------
    title, currency, units : str
        As stated; `units` is "us" or "metric".
    base_date : date
        Day to which all money is brought back.
    inputs : mapping of str to Figure
        Every distinct number used, by path, in the order of the file.
    study, owner, leaks, escalation : mapping
        Numbers of these sections by field name; escalation by category of cost.
    roofs : mapping of str to StatedRoof
        The roofs in use.
    existing : StatedExisting
        The roof that stands.
    alternatives : tuple of StatedAlternative
        The ways compared.
    left_out : mapping of str to str
        Ways left out because the owner does not go up: name and title.
    aside : mapping of str to str
        Other ways that stand in the file and are not compared: name and title.
    loan : StatedLoan or None
        A loan.
    climbs, climbs_in_ten_years : bool or None
        Whether the owner goes up, now and in ten years; None: not said.
    trouble : tuple of str
        Trouble that nobody has opened yet: with any, nothing is compared.
    seen : Seen
        All that was seen, opened and measured.
    notices : tuple of str
        What the reader should know about how the file was understood.
    coach : StatedCoach or None
        The coach, measured; None: the figures of the roofs hold as written.
    climate : StatedClimate or None
        Where it stands; None: the figures of the roofs hold as written.
    quotes : mapping of str to Quote
        Quotes by name, at likely values; the price of one that a way names is an input.
    price_lists : mapping
        Price lists that the quotes name, as parsed.
    costing : mapping of str to Figure
        What a job costs a shop. They are no inputs: the comparison does not depend on them.
    sections : mapping
        quotes, correlations and answers: read, checked and kept, numbers in metric units.
    changed : tuple of str
        Paths of inputs changed since the file was read.
    schema : int
        Version of the layout.
    sha256, source, text : str
        Digest of the file, its name, and the file as it was read.
    """

    title: str
    currency: str
    units: str
    base_date: date
    inputs: Mapping[str, Figure]
    study: Numbers
    owner: Numbers
    leaks: Numbers
    escalation: Numbers
    roofs: Mapping[str, StatedRoof]
    existing: StatedExisting
    alternatives: tuple[StatedAlternative, ...]
    left_out: Mapping[str, str] = field(default_factory=dict)
    aside: Mapping[str, str] = field(default_factory=dict)
    loan: StatedLoan | None = None
    climbs: bool | None = None
    climbs_in_ten_years: bool | None = None
    trouble: tuple[str, ...] = ()
    seen: Seen = field(default_factory=Seen)
    notices: tuple[str, ...] = ()
    coach: StatedCoach | None = None
    climate: StatedClimate | None = None
    quotes: Mapping[str, Quote] = field(default_factory=dict)
    price_lists: Mapping[str, Any] = field(default_factory=dict)
    costing: Mapping[str, Figure] = field(default_factory=dict)
    sections: Mapping[str, Any] = field(default_factory=dict)
    changed: tuple[str, ...] = ()
    schema: int = 1
    sha256: str = ""
    source: str = ""
    text: str = ""

    def __repr__(self) -> str:
        """Name it in a sentence, with the number of its ways and figures."""
        ranged = sum(figure.ranged for figure in self.inputs.values())
        ways, figures = len(self.alternatives), len(self.inputs)
        said = frame_words("scenario")
        return said("named", title=self.title, ways=ways, figures=figures, ranged=ranged)

    @property
    def base_case(self) -> StatedAlternative:
        """What the owner would do otherwise."""
        return next(way for way in self.alternatives if way.base_case)

    @property
    def subject(self) -> StatedAlternative | None:
        """The way that the answer is about; None if there is only one.

        The one marked so, else the first by name that changes now, else the first that is not the base case.
        """
        others = sorted((way for way in self.alternatives if not way.base_case), key=lambda way: way.name)
        marked = [way for way in others if way.subject]
        now = [way for way in others if way.change is not None and round(12.0 * self.likely(way.change)) == 0]
        return next(iter([*marked, *now, *others]), None)

    def alternative(self, name: str) -> StatedAlternative:
        """Return the way called `name`."""
        return next(way for way in self.alternatives if way.name == name)

    @property
    def answers(self) -> Mapping[str, Any]:
        """The answers to the seven questions that the file was made from; empty if it was not."""
        kept: Mapping[str, Any] = self.sections.get("answers", {})
        return kept

    def likely(self, stated: Stated) -> float:
        """Return a stated number with every input at its likely value."""
        if isinstance(stated, float):
            return stated
        value = self.inputs[stated.path].likely
        for path in stated.ratios:
            value *= self.inputs[path].likely
        return value


def paths_in(thing: Any) -> Iterator[str]:
    """Go through the paths of the inputs used inside a nest of statements, in its order."""
    parts: Iterable[Any] = ()
    if isinstance(thing, Use):
        yield from (thing.path, *thing.ratios)
    elif isinstance(thing, Mapping):
        parts = thing.values()
    elif isinstance(thing, tuple):
        parts = thing
    elif is_dataclass(thing):
        parts = vars(thing).values()
    for part in parts:
        yield from paths_in(part)


def numbers_of_site(scenario: Scenario) -> Iterator[Stated]:
    """Go through the numbers of the coach and of every climate; none where neither stands."""
    if scenario.coach is not None:
        yield from scenario.coach.numbers.values()
        for one in scenario.coach.penetrations or ():
            yield from one.numbers.values()
    for climate in (scenario.climate, *(way.climate for way in scenario.alternatives)):
        if climate is not None:
            for place in climate.places:
                yield from (place.share, *place.numbers.values())
            yield from climate.numbers.values()
            yield from climate.reference.values()


Values = Mapping[str, ArrayLike]
"""Values by path: a number, or an array of shape (draws,)."""


class Lookup:
    """Look-up of a stated number: the given value of its input, else the likely one.

    Parameters
    ----------
    scenario : Scenario
        With the inputs.
    values : mapping of str to float or ndarray, shape (draws,)
        Values instead of the likely ones, by path. [unit of the input]

    Raises
    ------
    ValueError
        If a path is not an input, or an input that fixes the calendar is given an array.
    """

    def __init__(self, scenario: Scenario, values: Values) -> None:
        self.inputs = scenario.inputs
        self.values = {path: self._checked(path, value) for path, value in values.items()}

    def _checked(self, path: str, value: ArrayLike) -> Number:
        """Return a given value as a float or an array of draws."""
        if path not in self.inputs:
            raise ValueError(f"{path!r} is not an input: {nearest(path, tuple(self.inputs))}")
        array = np.asarray(value, dtype=float)
        if array.ndim == 0:
            return float(array)
        if not self.inputs[path].field.ranged:
            raise ValueError(f"{path} fixes the calendar: it takes one number, not an array")
        if array.ndim > 1:
            raise ValueError(f"{path} takes an array of shape (draws,), not {array.shape}")
        return array

    def __call__(self, stated: Stated) -> Number:
        """Return the number, times its ratios."""
        if isinstance(stated, float):
            return stated
        value = self._at(stated.path)
        for ratio in stated.ratios:
            value = value * self._at(ratio)
        return value

    def _at(self, path: str) -> Number:
        """Return the value of one input."""
        return self.values[path] if path in self.values else self.inputs[path].likely

    def whole(self, stated: Stated, unit: float = 1.0) -> int:
        """Return a number that fixes the calendar, in whole units."""
        return round(float(self(stated)) * unit)

    def all(self, numbers: Numbers) -> dict[str, Any]:
        """Return every number of a section."""
        return {name: self(stated) for name, stated in numbers.items()}
