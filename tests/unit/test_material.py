"""Coating, weight and sealant."""

from __future__ import annotations

import numpy as np
import pytest

from lifecycle.material import (
    Layer,
    bead_length,
    cartridges,
    coating,
    label_limit,
    layer_material,
    ribbon_section,
    weight_check,
)

BASE = Layer(film=4.0, volume_solids=1.0, transfer=0.8, density=1.1, coats=4.0)
TOPCOAT = Layer(film=0.25, volume_solids=0.5, transfer=0.8, density=1.2, coats=2.0)


def test_volume_grows_with_film_and_falls_with_solids_and_transfer() -> None:
    assert layer_material(BASE, 10.0).volume == pytest.approx(50.0)
    assert layer_material(TOPCOAT, 10.0).volume == pytest.approx(6.25)


def test_overspray_and_solvent_add_no_weight() -> None:
    wasteful = Layer(film=4.0, volume_solids=0.5, transfer=0.4, density=1.1, coats=4.0)
    assert layer_material(wasteful, 10.0).weight == layer_material(BASE, 10.0).weight == pytest.approx(44.0)


def test_each_coat_has_its_share_of_the_film() -> None:
    assert layer_material(BASE, 10.0).film_a_coat == 1.0
    assert layer_material(TOPCOAT, 10.0).film_a_coat == 0.125


def test_volume_is_the_film_over_what_stays_and_lands() -> None:
    dry = 10.0 * BASE.film
    assert layer_material(BASE, 10.0).volume * BASE.volume_solids * BASE.transfer == pytest.approx(dry)


def test_no_topcoat_takes_nothing() -> None:
    none = layer_material(Layer(0.0, 0.5, 0.8, 1.2), 10.0)
    assert (none.volume, none.weight) == (0.0, 0.0)


def test_what_is_stripped_gives_weight_back() -> None:
    found = coating(BASE, TOPCOAT, area=10.0, stripped_area=9.0, membrane_weight=1.5)
    assert found.added == pytest.approx(44.0 + 3.0)
    assert found.given_back == pytest.approx(13.5)
    assert found.net_weight == pytest.approx(33.5)


@pytest.mark.parametrize(
    ("slip", "message"),
    [
        ({"volume_solids": 1.2}, "volume_solids must be above 0 and at most 1; got 1.2"),
        ({"volume_solids": 0.0}, "volume_solids must be above 0"),
        ({"transfer": 0.0}, "transfer must be above 0"),
        ({"film": -1.0}, "needs a film and a coat"),
        ({"coats": 0.0}, "needs a film and a coat"),
    ],
)
def test_a_layer_that_cannot_be_is_refused(slip: dict[str, float], message: str) -> None:
    stated = {"film": 4.0, "volume_solids": 1.0, "transfer": 0.8, "density": 1.1, "coats": 3.0, **slip}
    with pytest.raises(ValueError, match=message):
        layer_material(Layer(**stated), 10.0)


def test_a_film_of_nothing_takes_nothing() -> None:
    assert layer_material(Layer(0.0, 1.0, 0.8, 1.1), 10.0).volume == 0.0


def test_the_label_takes_the_lesser_of_the_two() -> None:
    assert label_limit(2000.0, share=0.015, weight=45.36) == pytest.approx(30.0)
    assert label_limit(9000.0, share=0.015, weight=45.36) == pytest.approx(45.36)


def test_weight_against_its_limits() -> None:
    fine = weight_check(40.0, cargo_capacity=400.0, label_limit=45.0)
    assert (fine.left, fine.too_heavy, fine.on_label) == (360.0, False, False)
    heavy = weight_check(50.0, cargo_capacity=40.0, label_limit=45.0)
    assert (heavy.left, heavy.too_heavy, heavy.on_label) == (-10.0, True, True)


def test_an_unknown_limit_is_passed_over() -> None:
    unknown = weight_check(50.0)
    assert (unknown.left, unknown.too_heavy, unknown.on_label) == (None, False, False)


def test_cartridges_are_whole() -> None:
    section = ribbon_section(38.1, 3.175)
    exact = bead_length(300.0, section)
    assert cartridges(10 * exact, section=section, cartridge=300.0, waste=0.0) == 10
    assert cartridges(10 * exact, section=section, cartridge=300.0, waste=0.12) == 12
    assert cartridges(0.0, section=section, cartridge=300.0, waste=0.12) == 0


def test_a_bead_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="bead and cartridge must be above 0"):
        cartridges(10.0, section=0.0, cartridge=300.0, waste=0.1)


def test_draws_flow_through() -> None:
    film = np.array([3.0, 4.0, 5.0])
    found = coating(Layer(film, 1.0, 0.8, 1.1), TOPCOAT, area=10.0, stripped_area=9.0, membrane_weight=1.5)
    np.testing.assert_allclose(found.base.volume, 10.0 * film / 0.8)
    assert found.net_weight.shape == (3,)
