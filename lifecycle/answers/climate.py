"""Where it stands: drivers, factors, and the answer in every place, as blocks and as plain data.

Lecture
-------
First the place, what each of its effects alone does to the answer, and the same coach in every place of
the table; then the place against the reference climate, and what each effect multiplies the figures by.
Factors are written with two decimals: 1.00 changes nothing. What nobody knows stands beside it: a published
survey of building roofs saw no geographic difference.

*Data.* Lengths stand in metres and temperatures in C. Factors are those of the climate alone; those of the
size stand apart. Where nothing is compared there is null. The solar reflectance index stands there only, for
those who know it.

All money is the mean over the futures, here the number of the verdict. Left out: luck.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import partial
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Items, Rest, Sentence, Table
from lifecycle.answers.parts import Told, fields_of, head_of, made_by
from lifecycle.climate import DRIVERS, FASTEST_AGEING, SLOWEST_AGEING, Drivers
from lifecycle.evaluation.comparison import compare
from lifecycle.files import fields
from lifecycle.heat import solar_reflectance_index
from lifecycle.kinds import COVERINGS
from lifecycle.language.labels import HEADINGS, about, cheaper_or_dearer, counted, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import first_lines, verdict_under
from lifecycle.quantities import convert, inner, money_text, number_text
from lifecycle.scenario import Scenario, StatedAlternative
from lifecycle.studies.assessment import compared, of_doubt
from lifecycle.studies.by_place import EFFECTS, ByPlace, OnRoof, Standing, by_place
from lifecycle.studies.futures import futures
from lifecycle.studies.verdict import last_year_needed


def climate(scenario: Scenario, *, told: Told) -> Answer:
    """Answer what the place does to the answer, and what the answer is in every other place."""
    told.step(say("sensitivity.to_do"))
    if scenario.trouble:
        return climate_answer(by_place(scenario), first_lines(scenario)[1].lines[0])
    until = last_year_needed(scenario)
    completed, doubt = compared(scenario, futures(scenario), until=until)
    line = verdict_under(compare(completed), of_doubt(completed, doubt, worth=False)).lines[0]
    told.step(say("climate.working"))
    return climate_answer(by_place(completed, doubt=doubt), line)


def climate_answer(found: ByPlace, line: str = "") -> Answer:
    """Put where it stands, and the answer in every place, into words."""
    blocks: tuple[Block, ...] = (
        *([Sentence(line, "verdict")] if line else []),
        Sentence(" ".join(_place(found))),
        *_nothing(found, line),
        *places_blocks(found),
        Rest(),
        *_alone(found),
        *_drivers(found),
        *_factors(found),
        *_cooling(found),
    )
    return Answer(HEADINGS["climate"], found.scenario.title, blocks, {**_data(found), "do": line or None})


def _place(found: ByPlace) -> Iterator[str]:
    """Say where it stands, under what cover, and against what."""
    climate, share = found.scenario.climate, float(found.site.sheltered_share)
    cover = say("climate.under_cover", share=_percent(share)) if share else say("climate.in_the_open")
    yield say("climate.stands", where=stands_in(found), cover=cover)
    yield say("climate.reference", name=climate.reference_name if climate is not None else "")
    if not found.named:
        yield say("climate.no_climate")


def stands_in(found: ByPlace) -> str:
    """Name the place or the places."""
    climate = found.scenario.climate
    places = climate.places if climate is not None else ()
    own = climate is not None and any(name in climate.numbers for name in DRIVERS)
    if not places:
        return say("climate.only_own_figures" if own else "climate.in_reference")
    where = say("climate.in_place", place=places[0].name)
    if len(places) > 1:
        shares = ((_percent(found.scenario.likely(place.share)), place.name) for place in places)
        where = listed(say("climate.in_places", share=share, place=name) for share, name in shares)
    return say("climate.own_figures", where=where) if own else where


def _nothing(found: ByPlace, line: str) -> Iterator[Sentence]:
    """Say why nothing is compared, where it is so and the first line does not say it."""
    if found.scenario.trouble:
        yield Sentence(say("climate.trouble"))
    elif found.without is None and not line:
        yield Sentence(say("climate.one_way"))


def _alone(found: ByPlace) -> Iterator[Block]:
    """Say what each effect alone does to the answer."""
    if found.without is None:
        return
    other, kept = inner(_called(found, found.base_case).title), years_text(found.years)
    slots = {"sure": _sure(found), "currency": found.scenario.currency}
    yield Sentence(say("climate.alone", way=_way(found).title, other=other, kept=kept, **slots))
    lines = [say("climate.without", by=cheaper_or_dearer(found.without))]
    lines += [
        say("climate.effect", effect=effect, by=cheaper_or_dearer(more))
        for effect, more in found.alone.items()
    ]
    here = found.net_savings(found.here)
    lines += [say("climate.together", by=cheaper_or_dearer(here))] if here is not None else []
    yield Items(tuple(lines))


def places_blocks(found: ByPlace) -> Iterator[Block]:
    """Return the same coach in every place, and how far the answer goes from place to place."""
    every = (*found.places, found.here)
    compared = found.subject is not None and bool(found.here.costs)
    heads, what = words("climate.place_heads"), words("climate.what")
    gaps = [_gap_cells(found, place) if compared else {} for place in every]
    filled = [name for name in ("cheaper", "dearer") if any(gap.get(name) for gap in gaps)]
    numbers = {way.name: f"[{count}]" for count, way in enumerate(found.scenario.alternatives, start=1)}
    money = (*filled, "cheapest") if compared else ()
    shown = (heads["place"], heads["zone"], *what.values(), *(heads[name] for name in money))
    rows = []
    for place, gap in zip(every, gaps, strict=True):
        cells = [gap[name] for name in filled]
        cells += [numbers[place.cheapest or found.base_case]] if compared else []
        rows.append((*_place_cells(found, place), *cells))
    unit = say("climate.places_money", currency=found.scenario.currency) if filled else ""
    cover = say("climate.same_cover") if found.site.sheltered_share else ""
    yield Table(
        shown,
        tuple(rows),
        say("climate.places", cover=cover, money=unit),
        _places_note(found, filled) if compared else "",
        numbers=tuple(range(2, len(shown))),
        ruled=(len(every) - 1,),
        strong=(len(every) - 1,),
    )
    if compared:
        often = Counter(place.cheapest for place in found.places)
        whole = counted(len(found.places), "place")
        lines = [
            say(
                "climate.cheapest",
                way=f"{numbers[one]} {_called(found, one).title}",
                number=often[one],
                places=whole,
            )
            for one in dict.fromkeys(place.cheapest for place in every)
            if one is not None
        ]
        yield Items(tuple(lines), marks=False)
        yield from _range(found)
    yield Sentence(say("climate.survey"), "caution")


def _places_note(found: ByPlace, filled: list[str]) -> str:
    """Say what is compared, and how."""
    slots = {"other": inner(_called(found, found.base_case).title), "sure": _sure(found)}
    gap = words("climate.gaps")[" ".join(filled)]
    return say("climate.places_note", gap=gap, way=_way(found).title, **slots)


def _sure(found: ByPlace) -> str:
    """Say whether money is a mean over futures."""
    return say("charts.costs.on_average" if found.futures > 1 else "climate.one_case")


def _place_cells(found: ByPlace, place: Standing) -> tuple[str, ...]:
    """Return a place, its zone and its factors."""
    joints, area = _sizes(found)
    factors = place.stands.factors
    numbers = (factors.ageing, place.stands.joint_leaks * joints, factors.punctures * area, place.rot_time)
    return (place.name or say("climate.here"), place.zone, *(f"{float(number):.2f}" for number in numbers))


def _gap_cells(found: ByPlace, place: Standing) -> dict[str, str]:
    """Return by how much the way in question is cheaper, and by how much dearer, in one place."""
    savings = found.net_savings(place) or 0.0
    both = {"cheaper": savings, "dearer": -savings}
    return {name: money_text(one) if one >= 0.5 else "" for name, one in both.items()}


def _sizes(found: ByPlace) -> tuple[float, float]:
    """Return joints and roof of the coach as multiples of the reference coach. [-]"""
    size = found.site.geometry
    return (1.0, 1.0) if size is None else (float(size.joint_ratio), float(size.area_ratio))


def _range(found: ByPlace) -> Iterator[Sentence]:
    """Say how far the answer goes from place to place."""
    savings = {place.name: found.net_savings(place) for place in found.places}
    known = {name: value for name, value in savings.items() if value is not None}
    if not known:
        return
    best, worst = max(known, key=lambda name: known[name]), min(known, key=lambda name: known[name])
    yield Sentence(
        say(
            "climate.range",
            way=_way(found).title,
            cheaper=sum(value > 0.0 for value in known.values()),
            places=counted(len(known), "place"),
            worst_by=cheaper_or_dearer(known[worst], found.scenario.currency),
            worst=worst,
            best_by=cheaper_or_dearer(known[best], found.scenario.currency),
            best=best,
        )
    )


def _drivers(found: ByPlace) -> Iterator[Table]:
    """Return the drivers here and in the reference."""
    reference, labels = found.site.reference or Drivers(), words("climate.drivers_of")
    rows: list[tuple[str, ...]] = []
    for name in DRIVERS:
        here, other = getattr(found.here.drivers, name), getattr(reference, name)
        if here is not None:
            beside = say("climate.unknown") if other is None else _driver(name, other, found)
            rows.append((f"{labels[name]}{_unit(name, found)}", _driver(name, here, found), beside))
    factors, covering = found.here.stands.factors, found.here.stands.covering
    if factors.roof_temperature is not None and factors.reference_temperature is not None:
        label = say("climate.roof_temperature", covering=covering, unit=_unit("air_temperature", found))
        both = (factors.roof_temperature, factors.reference_temperature)
        rows.append((label, *(_driver("air_temperature", one, found) for one in both)))
    if rows:
        heads = tuple(words("climate.driver_heads").values())
        yield Table(heads, tuple(rows), say("climate.drivers"), numbers=(1, 2))


def _unit(name: str, found: ByPlace) -> str:
    """Return the unit of a driver, behind a comma; none for days."""
    unit = fields()["climate"][name].unit_in(found.scenario.units)
    return "" if unit == "days" else f", {unit}"


def _driver(name: str, value: float, found: ByPlace) -> str:
    """Return a driver in the units of the scenario."""
    field = fields()["climate"][name]
    return number_text(convert(float(value), field.unit, field.unit_in(found.scenario.units)), 3)


def _factors(found: ByPlace) -> Iterator[Block]:
    """Return what each effect multiplies, for the roof that stands and the one that may follow."""
    (joints, area), what, roofs = _sizes(found), words("climate.what"), words("climate.roofs")
    heads = {**dict(zip(EFFECTS, EFFECTS, strict=True)), **words("climate.factor_heads")}

    def row(label: str, together: float, **parts: float) -> tuple[str, ...]:
        cells = {**parts, "together": together}
        return (label, *(f"{float(cells[name]):.2f}" if name in cells else "" for name in heads))

    rows = []
    both = {"stands": found.here.stands}
    if found.subject is not None and _way(found).then != _way(found).roof:
        both["follows"] = found.here.then
    for name, roof in both.items():
        label, factors = partial(say, "climate.factor", roof=roofs[name]), roof.factors
        leaks = {"heat": roof.joints_by_heat, "frost": factors.joints_by_frost, "size": joints}
        ageing = {"heat": factors.ageing_by_heat, "sun": factors.ageing_by_sun}
        rows.append(row(label(what=what["ageing"]), factors.ageing, **ageing))
        rows.append(row(label(what=what["joints"]), roof.joint_leaks * joints, **leaks))
        holes = {"hail": factors.punctures, "size": area}
        rows.append(row(label(what=what["punctures"]), factors.punctures * area, **holes))
    rows.append(row(what["rot"], found.here.rot_time, rain=found.here.rot_time))
    numbers = tuple(range(1, len(heads) + 1))
    yield Table(("", *heads.values()), tuple(rows), say("climate.factors"), numbers=numbers)
    ends = (SLOWEST_AGEING, FASTEST_AGEING)
    held = [roof.covering for roof in (found.here.stands, found.here.then) if roof.factors.ageing in ends]
    if held:
        coverings = listed(dict.fromkeys(held))
        yield Sentence(say("climate.held", least=ends[0], most=ends[1], coverings=coverings))


def _cooling(found: ByPlace) -> Iterator[Sentence]:
    """Say what a white roof saves in cooling."""
    saved = found.cooling
    if saved is not None:
        power, currency = number_text(float(f"{saved.power:.2g}")), found.scenario.currency
        yield Sentence(say("climate.cooling", money=about(saved.money), currency=currency, power=power))


def _percent(share: float) -> str:
    """Return a share in per cent."""
    return f"{number_text(100.0 * share, 3)} %"


def _called(found: ByPlace, name: str) -> StatedAlternative:
    """Return the statement of a way."""
    return found.scenario.alternative(name)


def _way(found: ByPlace) -> StatedAlternative:
    """Return the way in question."""
    return _called(found, found.subject or found.base_case)


def _data(found: ByPlace) -> dict[str, Any]:
    """Return where a coach stands, and the answer in every place, as plain data."""
    scenario, size = found.scenario, found.site.geometry
    return {
        **head_of(scenario),
        "holding_period": found.years,
        **fields_of(found, "base_case", "subject"),
        "has_climate": found.named,
        "stands": stands_in(found),
        "sheltered_share": float(found.site.sheltered_share),
        "reference": {
            "name": scenario.climate.reference_name if scenario.climate else None,
            "drivers": _drivers_result(found.site.reference or Drivers()),
        },
        "size": None
        if size is None
        else {"joint_length_ratio": float(size.joint_ratio), "roof_area_ratio": float(size.area_ratio)},
        "here": _standing_result(found, found.here),
        "effects_alone": dict(found.alone),
        "net_savings_without_climate": found.without,
        "places": {place.name: _standing_result(found, place) for place in found.places},
        "solar_reflectance_index": _indices(scenario),
        "cooling": None
        if found.cooling is None
        else fields_of(found.cooling, "warmer", "heat", "power", "money"),
        "caution": say("climate.survey"),
        "futures": found.futures,
        "made_by": made_by(scenario, "expectation"),
    }


def _drivers_result(drivers: Drivers) -> dict[str, float | None]:
    """Return drivers as plain data."""
    return {name: None if value is None else float(value) for name, value in vars(drivers).items()}


def _standing_result(found: ByPlace, place: Standing) -> dict[str, Any]:
    """Return one place as plain data."""
    return {
        "zone": place.zone or None,
        "drivers": _drivers_result(place.drivers),
        "roof_that_stands": _roof_result(place.stands),
        "roof_that_follows": _roof_result(place.then),
        "rot_time": place.rot_time,
        "net_present_cost": dict(place.costs) or None,
        "net_savings": found.net_savings(place),
        "cheapest": place.cheapest,
    }


def _roof_result(roof: OnRoof) -> dict[str, Any]:
    """Return what a climate does to a roof as plain data; factors of the climate alone."""
    factors = roof.factors
    warm = factors.roof_temperature
    return {
        "covering": roof.covering,
        "roof_temperature": None if warm is None else float(warm),
        "acceleration": float(factors.heat),
        "sealant_acceleration": float(factors.sealant_heat),
        "ageing": float(factors.ageing),
        "ageing_by": {"heat": float(factors.ageing_by_heat), "sun": float(factors.ageing_by_sun)},
        "joint_leaks": roof.joint_leaks,
        "joint_leaks_by": {"heat": roof.joints_by_heat, "frost": float(factors.joints_by_frost)},
        "punctures": float(factors.punctures),
    }


def _indices(scenario: Scenario) -> dict[str, float]:
    """Return the solar reflectance index of the two coverings, and of the two roofs compared for cooling."""
    climate = scenario.climate
    if climate is None:
        return {}
    found = {}
    for name in {kind.kept_as: kind for kind in COVERINGS.values()}:
        both = (scenario.likely(climate.numbers[f"{name}_{what}"]) for what in ("reflectance", "emittance"))
        found[name] = float(solar_reflectance_index(*both))
    for name in ("white", "dark"):
        pair = (climate.cooling[f"{name}_{what}"].likely for what in ("reflectance", "emittance"))
        found[name] = float(solar_reflectance_index(*pair))
    return found
