"""Lengths and areas of a roof."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from lifecycle.coach import Coach, Penetration, Reference, geometry

FT, IN = 0.3048, 25.4
REFERENCE = Reference(length=26 * FT, joint_length=85 * FT, roof_area=210 * FT**2, sprayed_share=0.83)


def test_common_practice_24_feet_overall_may_have_20_to_spray() -> None:
    """Common practice, no source."""
    found = geometry(Coach(length=24 * FT, width=8 * FT, front_cap=2 * FT, rear_cap=2 * FT), REFERENCE)
    assert found.sprayed_length == pytest.approx(20 * FT)
    assert found.sprayed_area == pytest.approx(160 * FT**2)
    assert found.roof_area == pytest.approx(192 * FT**2)


def test_joints_are_sides_ends_and_every_flange() -> None:
    through = (
        Penetration("roof vent", 2, 16 * IN, 18 * IN),
        Penetration("plumbing vent", 3, 6 * IN),
        Penetration("ladder", 4, 4 * IN, 4 * IN, "remove"),
    )
    coach = Coach(24 * FT, 8 * FT, 2 * FT, 2 * FT, penetrations=through)
    found = geometry(coach, REFERENCE)
    flanges = 2 * 2 * 34 / 12 + 3 * pi * 6 / 12 + 4 * 16 / 12
    assert found.perimeter == pytest.approx(56 * FT)
    assert found.flange_length == pytest.approx(flanges * FT)
    assert found.joint_length == pytest.approx((56 + flanges) * FT)
    assert found.joint_ratio == pytest.approx((56 + flanges) / 85)
    assert found.covered_area == pytest.approx((2 * 16 * 18 + 3 * pi * 9 + 4 * 16) / 144 * FT**2)
    assert found.assumed == ()


def test_edge_returns_are_sprayed_on_both_sides_and_nothing_is_stripped_there() -> None:
    flat = Coach(24 * FT, 8 * FT, 2 * FT, 2 * FT, penetrations=())
    turned = geometry(replace(flat, edge=3 * IN), REFERENCE)
    assert turned.sprayed_area - geometry(flat, REFERENCE).sprayed_area == pytest.approx(20 * 0.5 * FT**2)
    assert turned.stripped_area == geometry(flat, REFERENCE).sprayed_area


def test_a_coach_of_which_only_the_reference_length_is_known_is_the_reference_coach() -> None:
    found = geometry(Coach(length=26 * FT), REFERENCE)
    assert (found.joint_ratio, found.area_ratio) == (pytest.approx(1.0), pytest.approx(1.0))
    assert found.sprayed_length == pytest.approx(0.83 * 26 * FT)
    assert found.assumed == ("width", "caps", "penetrations")


def test_a_coach_of_which_nothing_is_known_is_the_reference_coach() -> None:
    found = geometry(Coach(), REFERENCE)
    assert (found.joint_ratio, found.area_ratio) == (pytest.approx(1.0), pytest.approx(1.0))
    assert found.assumed == ("length", "width", "caps", "penetrations")


def test_one_cap_known_means_that_the_other_end_has_none() -> None:
    found = geometry(Coach(length=8.0, width=2.4, front_cap=1.0), REFERENCE)
    assert found.sprayed_length == 7.0
    assert "caps" not in found.assumed


def test_no_penetrations_is_another_thing_than_nobody_counted() -> None:
    none = geometry(Coach(length=8.0, penetrations=()), REFERENCE)
    unknown = geometry(Coach(length=8.0), REFERENCE)
    assert none.flange_length == 0.0
    assert unknown.flange_length == pytest.approx(REFERENCE.flange_length)
    assert unknown.flange_length > 0.0


def test_caps_as_long_as_the_coach_leave_nothing_to_spray() -> None:
    for rear in (4.0, 5.0):
        found = geometry(Coach(length=8.0, width=2.0, front_cap=4.0, rear_cap=rear), REFERENCE)
        assert (found.sprayed_length, found.sprayed_area, found.perimeter) == (0.0, 0.0, 4.0)


def test_draws_flow_through() -> None:
    length = np.array([7.0, 8.0, 9.0])
    found = geometry(Coach(length=length, width=2.4, front_cap=0.5, rear_cap=0.5), REFERENCE)
    np.testing.assert_allclose(found.sprayed_area, (length - 1.0) * 2.4)
    assert found.joint_ratio.shape == (3,)
    assert np.all(np.diff(found.joint_ratio) > 0)
