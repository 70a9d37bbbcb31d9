"""Where it stands, on the terminal: drivers, factors, and the answer in every place.

Lecture
-------
First the place against the reference climate; then what each effect multiplies the figures by, and
what they do together; what each alone does to the answer; and the same coach in every place of the
table. Factors are written with two decimals: 1.00 changes nothing. What nobody knows stands beside
it: a published survey of building roofs saw no geographic difference.

Left out: doubt and luck, as every figure stands at its likely value; the solar reflectance index, which
is for those who know it (`where_result`).
"""

from __future__ import annotations

from collections.abc import Sequence

from lifecycle.climate import DRIVERS, FASTEST_AGEING, SLOWEST_AGEING, Drivers
from lifecycle.files import fields
from lifecycle.language.labels import HEADINGS, cheaper_or_dearer, counted, inner, listed, years_text
from lifecycle.quantities import about, convert, money_text, number_text
from lifecycle.scenario import StatedAlternative
from lifecycle.studies.by_place import EFFECTS, ByPlace, Standing

SURVEY = (
    "A published survey of building roofs saw no geographic difference, and what heat does in a laboratory "
    "does not carry over to roofs. So every effect above is a guess whose range begins at no effect: read "
    "the differences between places as what could be, not as what is."
)
"""Stands beside every comparison of places."""

DRIVER_WORDS = {
    "sun": "sun on the flat",
    "air_temperature": "air, mean of the year",
    "freeze_thaw_days": "days with frost and thaw",
    "wet_days": "wet days",
    "hail_days": "hail days",
}
"""Short words for drivers."""

HEAD = (*EFFECTS, "size", "together")
"""Columns of the factors."""


def where_text(found: ByPlace) -> list[list[str]]:
    """Return where a coach stands, and the answer in every place, as blocks of lines.

    Parameters
    ----------
    found : ByPlace
        From `studies.by_place`.

    Returns
    -------
    list of list of str
        Sentences, tables, sentences ...; the sentences are not wrapped.
    """
    return [
        _place(found),
        _drivers(found),
        ["What this multiplies the figures by (1.00 changes nothing):", "", *_factors(found)],
        _held(found),
        _alone(found),
        _everywhere(found),
        _range(found),
        [SURVEY],
        _cooling(found),
    ]


def title_of(found: ByPlace) -> list[str]:
    """Return heading and title."""
    return [HEADINGS["climate"], found.scenario.title]


def _place(found: ByPlace) -> list[str]:
    """Say where it stands, under what cover, and against what."""
    climate = found.scenario.climate
    share = float(found.site.sheltered_share)
    cover = f"under cover for {_percent(share)} of the year" if share else "in the open"
    name = climate.reference_name if climate is not None else ""
    lines = [f"It stands {stands_in(found)}, {cover}."]
    lines.append(f"The figures of the roofs hold as written in this reference climate: {name}.")
    if not found.named:
        lines.append(
            "This scenario has no [climate]: its figures hold as written. Name a place to scale them."
        )
    return lines


def stands_in(found: ByPlace) -> str:
    """Name the place or the places."""
    climate = found.scenario.climate
    places = climate.places if climate is not None else ()
    own = climate is not None and any(name in climate.numbers for name in DRIVERS)
    if len(places) == 1:
        where = f"in {places[0].name}"
    elif places:
        parts = (
            f"{_percent(found.scenario.likely(place.share))} of the year in {place.name}" for place in places
        )
        where = listed(parts)
    elif own:
        return "where the scenario says, by its own figures"
    else:
        return "in the reference climate"
    return f"{where} (with figures of its own)" if own else where


def _drivers(found: ByPlace) -> list[str]:
    """Return the drivers here and in the reference."""
    reference = found.site.reference or Drivers()
    rows: list[tuple[str, ...]] = []
    for name in DRIVERS:
        here = getattr(found.here.drivers, name)
        if here is not None:
            other = getattr(reference, name)
            cells = (_driver(name, here, found), "unknown" if other is None else _driver(name, other, found))
            rows.append((f"{DRIVER_WORDS[name]}{_unit(name, found)}", *cells))
    factors = found.here.stands.factors
    if factors.roof_temperature is not None and factors.reference_temperature is not None:
        both = (factors.roof_temperature, factors.reference_temperature)
        label = f"{found.here.stands.covering}, mean of the year{_unit('air_temperature', found)}"
        rows.append((label, *(_driver("air_temperature", one, found) for one in both)))
    return table(("by the year, in the open", "here", "reference"), rows)


def _unit(name: str, found: ByPlace) -> str:
    """Return the unit of a driver, behind a comma; none for days."""
    unit = fields()["climate"][name].unit_in(found.scenario.units)
    return "" if unit == "days" else f", {unit}"


def _driver(name: str, value: float, found: ByPlace) -> str:
    """Return a driver in the units of the scenario."""
    field = fields()["climate"][name]
    return number_text(convert(float(value), field.unit, field.unit_in(found.scenario.units)), 3)


def _factors(found: ByPlace) -> list[str]:
    """Return what each effect multiplies, for the roof that stands and the one that may follow."""
    rows = []
    roofs = {"the roof that stands": found.here.stands}
    if found.subject is not None and _way(found).then != _way(found).roof:
        roofs["the roof that follows"] = found.here.then
    size = found.site.geometry
    joints, area = (1.0, 1.0) if size is None else (float(size.joint_ratio), float(size.area_ratio))
    for name, roof in roofs.items():
        factors = roof.factors
        rows.append(
            _row(f"{name}: ageing", factors.ageing, heat=factors.ageing_by_heat, sun=factors.ageing_by_sun)
        )
        frost = factors.joints_by_frost
        whole = roof.joint_leaks * joints
        rows.append(_row(f"{name}: joint leaks", whole, heat=roof.joints_by_heat, frost=frost, size=joints))
        rows.append(_row(f"{name}: punctures", factors.punctures * area, hail=factors.punctures, size=area))
    rows.append(_row("time that rot takes", found.here.rot_time, rain=found.here.rot_time))
    return table(("", *HEAD), rows)


def _row(label: str, together: float, **parts: float) -> tuple[str, ...]:
    """Return a row of factors; effects that do not act on it are left empty."""
    cells = {**parts, "together": together}
    return (label, *(f"{float(cells[name]):.2f}" if name in cells else "" for name in HEAD))


def _held(found: ByPlace) -> list[str]:
    """Say that ageing was held within its range, if it was."""
    held = [
        roof.covering
        for roof in (found.here.stands, found.here.then)
        if roof.factors.ageing in (SLOWEST_AGEING, FASTEST_AGEING)
    ]
    if not held:
        return []
    return [f"Ageing is held within {SLOWEST_AGEING} and {FASTEST_AGEING}: {listed(dict.fromkeys(held))}."]


def _alone(found: ByPlace) -> list[str]:
    """Say what each effect alone does to the answer."""
    if found.without is None:
        return [_nothing(found)]
    lines = [
        f"{_way(found).title}, compared with: {inner(_base(found).title)}; if you keep it "
        f"{years_text(found.years)}, every figure at its likely value:"
    ]
    lines.append(f"- without any effect of the climate: {cheaper_or_dearer(found.without)}")
    for effect, more in found.alone.items():
        lines.append(f"- {effect} alone makes it {_makes(more)}")
    here = found.net_savings(found.here)
    if here is not None:
        lines.append(f"- all of them together: {cheaper_or_dearer(here)}")
    return lines


def _makes(more: float) -> str:
    """Say what an effect does to net savings. [money]"""
    said = cheaper_or_dearer(more)
    return said if said.startswith("about") else "no cheaper and no dearer"


def _nothing(found: ByPlace) -> str:
    """Say why nothing is compared."""
    if found.scenario.trouble:
        return f"Trouble is reported ({listed(found.scenario.trouble)}): open it first. Nothing is compared."
    return "There is one way only: nothing is compared."


def _everywhere(found: ByPlace) -> list[str]:
    """Return the same coach in every place."""
    cover = ", under the same cover" if found.site.sheltered_share else ""
    lines = [f"The same coach and owner in every place{cover}; factors of the roof that stands:", ""]
    head = ["place", "zone", "ageing", "joints", "punct.", "rot time"]
    compared = found.subject is not None and bool(found.here.costs)
    if compared:
        head += ["cheaper by", "dearer by", "cheapest"]
    rows = [_place_row(found, place, compared) for place in (*found.places, found.here)]
    lines += table(head, rows[:-1], last=rows[-1])
    if compared:
        number = {way.name: count for count, way in enumerate(found.scenario.alternatives, start=1)}
        shown = dict.fromkeys(place.cheapest for place in (*found.places, found.here))
        lines += [
            "",
            f"Cheaper or dearer: {inner(_way(found).title)}, in {found.scenario.currency}. Cheapest of all:",
        ]
        lines += [f"[{number[name]}] {_called(found, name).title}" for name in shown if name is not None]
    return lines


def _place_row(found: ByPlace, place: Standing, compared: bool) -> tuple[str, ...]:
    """Return the row of one place."""
    factors = place.stands.factors
    size = found.site.geometry
    joints, area = (1.0, 1.0) if size is None else (float(size.joint_ratio), float(size.area_ratio))
    numbers = (factors.ageing, place.stands.joint_leaks * joints, factors.punctures * area, place.rot_time)
    cells = [place.name or "here", place.zone, *(f"{float(number):.2f}" for number in numbers)]
    if compared:
        savings = found.net_savings(place) or 0.0
        cells += [
            money_text(savings) if savings >= 0.5 else "",
            money_text(-savings) if savings <= -0.5 else "",
        ]
        names = [way.name for way in found.scenario.alternatives]
        cells.append(f"[{names.index(place.cheapest or '') + 1}]")
    return tuple(cells)


def _range(found: ByPlace) -> list[str]:
    """Say how far the answer goes from place to place."""
    savings = {place.name: found.net_savings(place) for place in found.places}
    known = {name: value for name, value in savings.items() if value is not None}
    if not known:
        return []
    best, worst = max(known, key=lambda name: known[name]), min(known, key=lambda name: known[name])
    cheaper = sum(value > 0.0 for value in known.values())
    return [
        f"In {cheaper} of {counted(len(known), 'place')} it is cheaper: from "
        f"{cheaper_or_dearer(known[worst])} ({worst}) to {cheaper_or_dearer(known[best])} ({best})."
    ]


def _cooling(found: ByPlace) -> list[str]:
    """Say what a white roof saves in cooling."""
    saved = found.cooling
    if saved is None:
        return []
    power = number_text(float(f"{saved.power:.2g}"))
    return [
        f"Cooling: under a white roof it costs {about(saved.money)} {found.scenario.currency} a year less "
        f"than under a black one ({power} kWh). That is small, and no part of the comparison unless a roof "
        "states its energy_cost."
    ]


def table(head: Sequence[str], rows: Sequence[Sequence[str]], last: Sequence[str] | None = None) -> list[str]:
    """Lay out rows in columns: the first flush left, the others flush right.

    Parameters
    ----------
    head : sequence of str
        Of the columns.
    rows : sequence of sequence of str
        Cells.
    last : sequence of str or None
        A row below a rule.

    Examples
    --------
    >>> table(("place", "days"), [("Duluth", "75"), ("Miami", "0")])
    ['place   days', 'Duluth    75', 'Miami      0']
    """
    every = [head, *rows, *([last] if last is not None else [])]
    widths = [max(len(row[column]) for row in every) for column in range(len(head))]
    lines = [
        (
            row[0].ljust(widths[0])
            + "".join(f"  {cell:>{width}}" for cell, width in zip(row[1:], widths[1:], strict=True))
        ).rstrip()
        for row in every
    ]
    if last is not None:
        lines.insert(-1, "-" * max(len(line) for line in lines))
    return lines


def _percent(share: float) -> str:
    """Return a share in per cent."""
    return f"{number_text(100.0 * share, 3)} %"


def _called(found: ByPlace, name: str) -> StatedAlternative:
    """Return the statement of a way."""
    return next(way for way in found.scenario.alternatives if way.name == name)


def _way(found: ByPlace) -> StatedAlternative:
    """Return the way in question."""
    return _called(found, found.subject or found.base_case)


def _base(found: ByPlace) -> StatedAlternative:
    """Return what the owner would do otherwise."""
    return _called(found, found.base_case)
