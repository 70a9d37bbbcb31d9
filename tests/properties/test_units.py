"""A scenario says the same in feet and in metres: the same comparison, material and factors."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lifecycle import files
from lifecycle.evaluation.comparison import compare
from lifecycle.scenario import Scenario, site_of, takeoff_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
EXAMPLE = (SCENARIOS / "worked-example-3.toml").read_text(encoding="utf-8")
FT, IN, MIL, LB, GAL = 0.3048, 25.4, 0.0254, 0.45359237, 3.785411784


def coach(length: float, width: float, cap: float, vent: float, film: float, air: float, *, us: bool) -> str:
    """Return a coach in its place, stated in feet and Fahrenheit, or in metres and Celsius."""
    ft, inch, mil, lb = (1.0, 1.0, 1.0, 1.0) if us else (FT, IN, MIL, LB)
    density = 9.0 if us else 9.0 * LB / GAL
    membrane = 0.3 if us else 0.3 * LB / FT**2
    return f"""
[coach]
length = {length * ft!r}
width = {{ low = {width * ft * 0.9!r}, likely = {width * ft!r}, high = {width * ft * 1.1!r} }}
front_cap = {cap * ft!r}
rear_cap = {cap * ft!r}
edge = {3.0 * inch!r}
cargo_capacity = {1200.0 * lb!r}
gross_rating = {15000.0 * lb!r}
[[coach.penetrations]]
kind = "roof vent"
count = 2
length = {vent * inch!r}
[[coach.penetrations]]
kind = "plumbing vent"
[coach.material]
film = {film * mil!r}
density = {density!r}
membrane_weight = {membrane!r}
[climate]
place = "Denver"
air_temperature = {air if us else (air - 32.0) / 1.8!r}
sheltered_share = 0.4
"""


def loaded(section: str, *, us: bool) -> Scenario:
    assert EXAMPLE.count('units = "us"') == 1
    units = "us" if us else "metric"
    return files.loads(EXAMPLE.replace('units = "us"', f'units = "{units}"') + section)


@settings(max_examples=8, deadline=None)
@given(
    length=st.floats(18.0, 45.0),
    width=st.floats(6.5, 8.5),
    cap=st.floats(0.0, 4.0),
    vent=st.floats(10.0, 30.0),
    film=st.floats(60.0, 250.0),
    air=st.floats(30.0, 80.0),
)
def test_feet_and_metres_give_the_same(
    length: float, width: float, cap: float, vent: float, film: float, air: float
) -> None:
    us, metric = (
        loaded(coach(length, width, cap, vent, film, air, us=flag), us=flag) for flag in (True, False)
    )
    one, other = compare(us), compare(metric)
    for name in one.ways:
        np.testing.assert_allclose(
            one.ways[name].net_present_cost, other.ways[name].net_present_cost, rtol=1e-9, atol=1e-6
        )
        assert one.ways[name].quote == other.ways[name].quote
    first, second = takeoff_of(us), takeoff_of(metric)
    assert first is not None and second is not None
    assert first.coating.net_weight == pytest.approx(second.coating.net_weight, rel=1e-9)
    assert first.coating.base.volume == pytest.approx(second.coating.base.volume, rel=1e-9)
    assert first.weight.left == pytest.approx(second.weight.left, rel=1e-9)
    assert first.cartridges == second.cartridges
    factors = [site_of(scenario).factors["membrane"] for scenario in (us, metric)]
    assert factors[0].ageing == pytest.approx(factors[1].ageing, rel=1e-9)


@settings(max_examples=12, deadline=None)
@given(share=st.floats(0.0, 1.0), split=st.floats(0.0, 1.0))
def test_cover_and_a_mix_of_places_keep_every_factor_finite_and_between(share: float, split: float) -> None:
    """In two places it ages no faster than in the worse of them, and no slower than in the better."""
    places = [("Duluth", 1.0 - split), ("Phoenix", split)]
    listed = ", ".join(f'{{ place = "{name}", share = {part!r} }}' for name, part in places)
    cover = f"sheltered_share = {share!r}\n"
    mix = site_of(loaded(f"\n[climate]\nplaces = [{listed}]\n{cover}", us=True)).factors["membrane"]
    ends = [
        site_of(loaded(f'\n[climate]\nplace = "{name}"\n{cover}', us=True)).factors["membrane"]
        for name, _ in places
    ]
    for name in ("ageing", "punctures", "rot_time", "joints_by_frost", "seal_ageing"):
        low, high = sorted(getattr(end, name) for end in ends)
        value = getattr(mix, name)
        assert np.isfinite(value)
        assert low * (1.0 - 1e-9) <= value <= high * (1.0 + 1e-9), name
