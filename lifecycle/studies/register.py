"""The register of assumptions: every number that an answer stands on, and where it comes from.

Lecture
-------
Every input of a scenario is listed once, by its path, with its meaning, its unit in the scenario's
own units, its value or range, its basis, source and note; and, where it takes the place of one of
the tool's own figures, that figure beside it. What may not be a range (an age, an interval, a year)
is a *statement*: it is listed, and counted apart, because it is no estimate.

The register counts estimates by basis, so that everybody sees how much is judgement, how many come
from somebody who gains by them (`offer`), and how many are not the tool's own any more.

It also says how the tool's own figures stand to the joint bands (`bands`), and which figure gave
way to meet them: one whose note says so (`GIVES_WAY`).

Left out: how much each figure matters.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from lifecycle.data import words_of
from lifecycle.files import shared
from lifecycle.quantities import BASES, FieldInfo, Figure, convert, number_text, unit_text
from lifecycle.scenario import Scenario
from lifecycle.studies.implied import BandCheck, Mixture, joint_bands, mixture, shipped_membrane

GIVES_WAY = "gives way to the joint bands"
"""Stands in the note of a shared figure that is not the trade's own, to meet a band."""


@dataclass(frozen=True)
class Amount:
    """A value or a range, in the units of the scenario.

    Parameters
    ----------
    likely, low, high : float
        All the same for a single value. [unit of the entry]
    shape : str
        Shape of the range; "" for a single value.
    """

    likely: float
    low: float
    high: float
    shape: str

    @property
    def text(self) -> str:
        """The numbers as they are written, without unit."""
        if self.low == self.high:
            return number_text(self.likely)
        return " ... ".join(number_text(value) for value in (self.low, self.likely, self.high))


@dataclass(frozen=True)
class Entry:
    """One line of the register.

    Parameters
    ----------
    path : str
        Name of the input.
    label, term, meaning : str
        Plain words, the trade's or the standard's word, and a sentence.
    unit : str
        Unit, and how it is written behind a number.
    amount : Amount
        Value or range. [unit]
    basis, source, note : str
        Where it comes from.
    own : Amount or None
        The tool's own figure, where this one stands in its place. [unit]
    statement : bool
        Whether it is stated and not estimated: it may not be a range.
    this_run : bool
        Whether it was set for this run only.
    """

    path: str
    label: str
    term: str
    meaning: str
    unit: str
    amount: Amount
    basis: str
    source: str
    note: str
    own: Amount | None
    statement: bool
    this_run: bool

    @property
    def figure(self) -> str:
        """The value or range with its unit."""
        return f"{self.amount.text} {self.unit}".strip()

    @property
    def changed(self) -> bool:
        """Whether it stands in the place of one of the tool's own figures, and differs from it."""
        return self.own is not None and self.own != self.amount

    @property
    def gives_way(self) -> bool:
        """Whether it gave way to meet a joint band."""
        return GIVES_WAY in self.note


@dataclass(frozen=True)
class Register:
    """Every number of a scenario with where it comes from.

    Parameters
    ----------
    entries : tuple of Entry
        In the order of the scenario.
    bands : tuple of BandCheck
        How the tool's own membrane stands to the joint bands.
    mixture : Mixture
        How long such membranes live, over an equal mixture of the plans.
    gave_way : tuple of Entry
        The tool's own figures that gave way to meet them.
    """

    entries: tuple[Entry, ...]
    bands: tuple[BandCheck, ...]
    mixture: Mixture
    gave_way: tuple[Entry, ...]

    @property
    def by_basis(self) -> Mapping[str, int]:
        """Number of estimates by basis, in the order of `quantities.BASES`; statements left out."""
        estimates = [entry.basis for entry in self.entries if not entry.statement]
        return {basis: estimates.count(basis) for basis in BASES}

    @property
    def estimates(self) -> int:
        """Number of estimates."""
        return sum(not entry.statement for entry in self.entries)

    @property
    def statements(self) -> int:
        """Number of statements."""
        return sum(entry.statement for entry in self.entries)

    @property
    def offers(self) -> int:
        """Number of entries that somebody said who gains by it."""
        return sum(entry.basis == "offer" for entry in self.entries)

    @property
    def changed(self) -> int:
        """Number of entries that stand in the place of one of the tool's own figures, and differ."""
        return sum(entry.changed for entry in self.entries)

    @property
    def on_bands(self) -> tuple[str, ...]:
        """Say in plain words how the tool's own figures stand to the joint bands."""
        said = words_of("figures")["bands"]
        inside = [check for check in self.bands if check.inside]
        lines = [said["together"].format(inside=len(inside), bands=len(self.bands))]
        for check in self.bands:
            ends = {"value": _percent(check.value), "low": _percent(check.low), "high": _percent(check.high)}
            lines.append(said["inside" if check.inside else "outside"].format(label=check.label, **ends))
        lines.append(_lives(self.mixture, said))
        for check in (one for one in inside if one.years_outside):
            years = check.years_outside.items()
            ages = ", ".join(said["age"].format(age=age, value=_percent(value)) for age, value in years)
            lines.append(said["single_years"].format(label=check.label, years=ages))
        gave_way = ({"label": one.label, "path": one.path, "note": one.note} for one in self.gave_way)
        lines += [said["gave_way"].format(**entry) for entry in gave_way]
        if not self.gave_way:
            lines.append(said["none_gave_way"])
        return tuple(lines)


def register(scenario: Scenario) -> Register:
    """List every number that a scenario stands on."""
    return Register(tuple(entry(figure, scenario) for figure in scenario.inputs.values()), *_of_the_tool())


@cache
def _of_the_tool() -> tuple[tuple[BandCheck, ...], Mixture, tuple[Entry, ...]]:
    """Return how the tool's own figures stand to the joint bands, and those that gave way."""
    shipped = shipped_membrane()
    own = (entry(figure, shipped) for figure in shipped.inputs.values())
    return joint_bands(shipped), mixture(shipped), tuple(one for one in own if one.gives_way)


def entry(figure: Figure, scenario: Scenario) -> Entry:
    """Return the line of one figure, in the units of a scenario."""
    field = figure.field
    return Entry(
        path=figure.path,
        label=field.label,
        term=field.term or field.label,
        meaning=field.help,
        unit=unit_text(field.unit_in(scenario.units), scenario.currency).strip(),
        amount=_amount(figure, field, scenario.units),
        basis=figure.basis,
        source=figure.source,
        note=figure.note,
        own=None if figure.tool is None else _amount(figure.tool, field, scenario.units),
        statement=not field.ranged,
        this_run=figure.path in scenario.changed,
    )


def _amount(figure: Figure, field: FieldInfo, units: str) -> Amount:
    """Return the numbers of a figure in the units of the scenario."""
    to = field.unit_in(units)
    low, likely, high = (convert(value, field.unit, to) for value in (figure.low, figure.likely, figure.high))
    return Amount(likely, low, high, figure.shape)


def _lives(found: Mixture, said: Mapping[str, str]) -> str:
    """Say how long roofs live as they are found."""
    titles = {plan: shared()["plans"][plan]["title"] for plan in found.stated}
    stated = (
        said["life"].format(plan=titles[plan], years=f"{found.lives[plan]:.1f}", said=f"{years:g}")
        for plan, years in found.stated.items()
    )
    ends = {"low": f"{found.low:g}", "high": f"{found.high:g}", "stated": ", ".join(stated)}
    key = "mixture_inside" if found.inside else "mixture_outside"
    return said[key].format(plans=len(found.lives), mean=f"{found.mean:.1f}", **ends)


def _percent(share: float) -> str:
    """Return a share in per cent."""
    return f"{number_text(100.0 * share, 2)} %"
