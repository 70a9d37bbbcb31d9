"""What a coach needs: from its measures and the figures of the material."""

from __future__ import annotations

from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.answers.figures import figures_of, takeoff_lines, takeoff_result
from lifecycle.quantities import convert
from lifecycle.scenario import Takeoff, takeoff_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
EXAMPLE = (SCENARIOS / "worked-example-1.toml").read_text(encoding="utf-8")
COACH = """
[coach]
length = 24
width = 8
front_cap = 2
rear_cap = 2
gross_rating = 14000
cargo_capacity = 1000
penetrations = []
[coach.material]
film = 187.5
volume_solids = 1
transfer = 1
density = 9
topcoat_film = 0
membrane_weight = 0
"""
METRIC = f"""
[coach]
length = 7.3152
width = 2.4384
front_cap = 0.6096
rear_cap = 0.6096
gross_rating = 6350.29318
cargo_capacity = 453.59237
penetrations = []
[coach.material]
film = 4.7625
volume_solids = 1
transfer = 1
density = {9 * 0.45359237 / 3.785411784!r}
topcoat_film = 0
membrane_weight = 0
"""


def needs(section: str) -> Takeoff:
    found = takeoff_of(files.loads(EXAMPLE + section))
    assert found is not None
    return found


def test_without_a_coach_there_is_nothing_to_take_off() -> None:
    assert takeoff_of(files.loads(EXAMPLE)) is None
    assert figures_of(files.loads(EXAMPLE)) == ()


def test_160_square_feet_at_three_sixteenths_of_an_inch() -> None:
    """Geometry, as the trade prints it: 18.7 US gal and 168 lb. Half a unit of the last digit."""
    found = needs(COACH)
    assert convert(found.coating.base.volume, "L", "US gal") == pytest.approx(18.7, abs=0.05)
    assert convert(found.coating.net_weight, "kg", "lb") == pytest.approx(168.0, abs=0.5)
    assert convert(found.weight.left, "kg", "lb") == pytest.approx(1000.0 - 168.3, abs=0.1)
    assert convert(found.weight.label_limit, "kg", "lb") == pytest.approx(100.0)
    assert found.weight.on_label


def test_cartridges_of_all_joints_by_hand() -> None:
    """56 ft of joints; a ribbon of 1-1/2 x 1/8 in gives 8.26 ft a cartridge; 12 % wasted on top."""
    assert needs(COACH).cartridges == 8  # 56 * 1.12 / 8.26 = 7.59


def test_a_small_coach_takes_the_share_of_its_gross_rating() -> None:
    found = needs(COACH.replace("14000", "4000"))
    assert convert(found.weight.label_limit, "kg", "lb") == pytest.approx(60.0)


def test_metric_and_us_measures_need_the_same() -> None:
    us, metric = needs(COACH), takeoff_of(files.loads(metric_example() + METRIC))
    assert metric is not None
    assert metric.coating.net_weight == pytest.approx(us.coating.net_weight, rel=1e-9)
    assert metric.coating.base.volume == pytest.approx(us.coating.base.volume, rel=1e-9)
    assert metric.weight.left == pytest.approx(us.weight.left, rel=1e-9)
    assert metric.cartridges == us.cartridges


def metric_example() -> str:
    assert EXAMPLE.count('units = "us"') == 1
    return EXAMPLE.replace('units = "us"', 'units = "metric"')


def test_the_two_ends_are_the_least_and_the_most_of_all_combinations() -> None:
    found = needs("\n[coach]\nlength = 26\n")
    for of in (lambda c: c.base.volume, lambda c: c.topcoat.volume, lambda c: c.net_weight):
        assert of(found.least) < of(found.coating) < of(found.most)


def test_too_heavy_is_said_with_the_excess() -> None:
    scenario = files.loads(EXAMPLE + COACH.replace("cargo_capacity = 1000", "cargo_capacity = 100"))
    found = takeoff_of(scenario)
    assert found is not None and found.weight.too_heavy
    assert "TOO HEAVY: 68.3 lb above the cargo capacity of 100 lb." in takeoff_lines(found, scenario)


def test_what_nobody_measured_is_named_and_a_missing_capacity_is_asked_for() -> None:
    scenario = files.loads(EXAMPLE + "\n[coach]\nlength = 26\n")
    found = takeoff_of(scenario)
    assert found is not None
    text = "\n".join(takeoff_lines(found, scenario))
    assert "Not measured, as on the reference coach: width, caps and penetrations." in text
    assert "Cargo capacity: not stated." in text
    assert "(72 FR 68442)" not in text


def test_lines_speak_the_units_of_the_scenario() -> None:
    for units, words in (
        ("us", ("US gal", "sq ft", "187.5 mil", " lb")),
        ("metric", (" L ", " m2", "4.76 mm", " kg")),
    ):
        scenario = files.loads(EXAMPLE.replace('units = "us"', f'units = "{units}"') + "\n[coach]\n")
        found = takeoff_of(scenario)
        assert found is not None
        text = "\n".join(takeoff_lines(found, scenario))
        assert all(word in text for word in words), text


def test_no_topcoat_is_none() -> None:
    scenario = files.loads(EXAMPLE + COACH)
    found = takeoff_of(scenario)
    assert found is not None
    assert "Topcoat: none." in takeoff_lines(found, scenario)
    assert takeoff_result(found)["coating"]["topcoat"]["volume"] == 0.0


def test_figures_of_the_material_are_no_inputs_and_each_has_a_basis() -> None:
    scenario = files.loads(EXAMPLE + "\n[coach]\n[climate]\n")
    others = figures_of(scenario)
    assert len(others) > 20
    assert not {figure.path for figure in others} & set(scenario.inputs)
    assert all(figure.basis and (figure.note or figure.source) for figure in others)
