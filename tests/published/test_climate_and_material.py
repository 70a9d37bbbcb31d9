"""Heat, joints and material against published numbers and plain geometry.

Sources, and how each number is known, stand beside each check.
"""

from __future__ import annotations

import math

import pytest

from lifecycle.deterioration import survival
from lifecycle.heat import (
    Exchange,
    Surface,
    acceleration_factor,
    sol_air_temperature,
    solar_reflectance_index,
    surface_temperature,
)
from lifecycle.material import (
    Layer,
    bead_length,
    coating,
    layer_material,
    ribbon_section,
)
from lifecycle.quantities import convert


def feet_a_gallon(layer: Layer) -> float:
    """Square feet that a US gallon covers, from what a square metre takes."""
    return convert(1.0 / layer_material(layer, 1.0).volume, "m2", "sq ft") * convert(1.0, "US gal", "L")


def layer(film: float, *, solids: float = 1.0, transfer: float = 1.0, density: float = 9.0) -> Layer:
    """Return a layer stated in mil and pounds a US gallon."""
    return Layer(convert(film, "mil", "mm"), solids, transfer, convert(density, "lb/US gal", "kg/L"))


def test_l6_acceleration_from_60_to_100_degrees() -> None:
    """Documentation of the package reliability (seen): 1.2 eV, k = 8.617333262e-5 eV/K.

    The source prints k cut; its exact value, 8.617333262145e-5, gives the printed digits (the cut one
    88.29574589). Tolerance: half a unit of the last printed digit.
    """
    factor = acceleration_factor(100.0, 60.0, activation_energy=1.2, gas_constant=8.617333262145e-5)
    assert factor == pytest.approx(88.29574588, abs=5e-9)


def test_l6_is_the_same_in_kilojoules() -> None:
    """Derived: 1 eV is 96.48533212 kJ/mol. Tolerance: the digits of k in the source."""
    factor = acceleration_factor(100.0, 60.0, activation_energy=1.2 * 96.48533212)
    assert factor == pytest.approx(88.29574588, rel=1e-9)


def test_h1_a_gallon_one_mil_thick_covers_1604_square_feet() -> None:
    """Geometry: 231 cubic inches spread one mil thick; 1604 is the trade's printed constant.

    Tolerance: half a unit of the last printed digit, here and below.
    """
    assert feet_a_gallon(layer(1.0)) == pytest.approx(1604.17, abs=5e-3)
    assert feet_a_gallon(layer(187.5)) == pytest.approx(8.556, abs=5e-4)


def test_h1_160_square_feet_at_three_sixteenths_of_an_inch() -> None:
    """Geometry: 18.7 US gal, 168 lb at 9.0 lb a gallon; 1.05 lb a square foot."""
    area = convert(160.0, "sq ft", "m2")
    taken = layer_material(layer(187.5), area)
    assert convert(taken.volume, "L", "US gal") == pytest.approx(18.7, abs=0.05)
    assert convert(taken.weight, "kg", "lb") == pytest.approx(168.0, abs=0.5)
    assert convert(taken.weight, "kg", "lb") / 160.0 == pytest.approx(1.05, abs=5e-3)
    none = layer(0.0)
    both = coating(layer(187.5), none, area=area, stripped_area=0.0, membrane_weight=0.0)
    assert both.net_weight == pytest.approx(taken.weight)


def test_h2_coverage_with_solids_and_transfer() -> None:
    """Paint society, question-and-answer page, May 2004 (seen): 52 % solids, 35 % transfer, 1.5 mil.

    194.6 sq ft a gallon; the source prints 194.5, for it starts from 1604 and rounds on the way.
    """
    assert feet_a_gallon(layer(1.5, solids=0.52, transfer=0.35)) == pytest.approx(194.6, abs=0.05)


@pytest.mark.parametrize(
    ("section", "feet"),
    [(math.pi / 4.0 * convert(0.25, "in", "mm") ** 2, 31.6), (ribbon_section(38.1, 3.175), 8.3)],
)
def test_h3_bead_of_a_cartridge(section: float, feet: float) -> None:
    """Arithmetic: 10.3 fl oz as a round bead of 1/4 in, and as a ribbon of 1-1/2 x 1/8 in."""
    metres = bead_length(convert(10.3, "fl oz", "mL"), section)
    assert convert(metres, "m", "ft") == pytest.approx(feet, abs=0.05)


@pytest.mark.parametrize(
    ("reflectance", "emittance", "printed"),
    [
        (0.05, 0.90, 0),
        (0.80, 0.90, 100),
        (0.06, 0.86, -1),
        (0.34, 0.90, 37),
        (0.26, 0.92, 28),
        (0.83, 0.92, 104),
    ],
)
def test_h4_solar_reflectance_index(reflectance: float, emittance: float, printed: int) -> None:
    """ASTM E1980 in medium wind; table of Lawrence Berkeley Laboratory (seen).

    Tolerance 1: the table rounds reflectance and emittance to two digits, which moves the index by
    up to 0.7.
    """
    assert solar_reflectance_index(reflectance, emittance) == pytest.approx(printed, abs=1.0)


def test_h5_standard_surfaces_in_medium_wind() -> None:
    """Worked example of a test laboratory for ASTM E1980 (seen). Half a unit of the last digit."""
    assert surface_temperature(0.05, 0.90) == pytest.approx(355.6, abs=0.05)
    assert surface_temperature(0.80, 0.90) == pytest.approx(317.8, abs=0.05)


@pytest.mark.parametrize(("reflectance", "printed"), [(0.55, 128.3), (0.10, 173.3)])
def test_h6_sol_air_temperature(reflectance: float, printed: float) -> None:
    """ASHRAE formula (recomputed): 90 F, 300 Btu/(h ft2), a/ho 0.15 and 0.30, less 6.67 F to the sky.

    With ho = 3.0 Btu/(h ft2 F), a is 0.45 and 0.90, and the loss is 20 Btu/(h ft2). Half a unit of
    the last digit.
    """
    surface = Surface(reflectance, emittance=1.0)
    found = sol_air_temperature(90.0, 300.0, surface=surface, exchange=Exchange(3.0, 20.0))
    assert found == pytest.approx(printed, abs=0.05)


def test_h8_survey_of_building_joints() -> None:
    """RILEM TC 190-SBJ (seen; fit recomputed): 55 % failed within 10 years, 5 % outlast 20.

    The two shares fix a Weibull life: shape ln(ln(0.05) / ln(0.45)) / ln 2. Printed shape 1.908 and
    scale 11.25 years: half a unit of the last digit moves a share by less than 0.0005.
    """
    shape = math.log(math.log(0.05) / math.log(0.45)) / math.log(20.0 / 10.0)
    scale = 10.0 / (-math.log(0.45)) ** (1.0 / shape)
    assert (shape, scale) == (pytest.approx(1.908, abs=5e-4), pytest.approx(11.25, abs=5e-3))
    assert survival(10.0, shape=1.908, scale=11.25) == pytest.approx(0.45, abs=5e-4)
    assert survival(20.0, shape=1.908, scale=11.25) == pytest.approx(0.05, abs=5e-4)


def test_h8_is_the_growth_of_joint_leaks_in_the_shared_data() -> None:
    """Same source: the cumulative hazard of that life grows with the power 1.908 of the age.

    The shared figure says 1.9. Tolerance: half a unit of its last digit.
    """
    from lifecycle.files import shared

    growth = shared()["roofs"]["membrane"]["joint_leak_growth"]
    assert growth["likely"] == pytest.approx(1.908, abs=0.05)
    assert "RILEM" in growth["source"]
