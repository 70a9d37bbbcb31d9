"""Size and place of a coach: read from a scenario, and what they do to its resolved figures."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lifecycle import files
from lifecycle.climate import DRIVERS
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.expectation import evaluate
from lifecycle.quantities import convert
from lifecycle.scenario import Scenario, geometry_of, replaced, resolve, site_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
EXAMPLE = (SCENARIOS / "worked-example-2.toml").read_text(encoding="utf-8")
COACH = """
[coach]
length = 32
width = 8.5
front_cap = 2
rear_cap = 2
edge = 3
[[coach.penetrations]]
kind = "roof vent"
count = 2
[[coach.penetrations]]
kind = "plumbing vent"
count = 3
fate = "replace"
"""
DULUTH = '\n[climate]\nplace = "Duluth"\n'


def with_sections(*sections: str) -> Scenario:
    return files.loads(EXAMPLE + "".join(sections))


def faults_of(*sections: str) -> list[str]:
    with pytest.raises(ScenarioError) as caught:
        with_sections(*sections)
    return [str(fault) for fault in caught.value.faults]


def test_without_the_sections_nothing_is_scaled_and_nothing_is_an_input() -> None:
    plain = with_sections()
    assert (plain.coach, plain.climate) == (None, None)
    assert not [path for path in plain.inputs if path.startswith(("coach", "climate"))]
    assert geometry_of(plain) is None
    assert site_of(plain).on_roof("membrane", {"puncture_rate": 0.05}) == {"puncture_rate": 0.05}


def test_an_empty_climate_is_the_reference_and_changes_no_number() -> None:
    found, plain = resolve(with_sections("\n[climate]\n")), resolve(with_sections())
    for one, other in zip(found.alternatives, plain.alternatives, strict=True):
        assert one.then.ageing == pytest.approx(other.then.ageing, rel=1e-12)
        assert one.then.joint_leaks_first_year == pytest.approx(other.then.joint_leaks_first_year, rel=1e-12)
    assert found.leaks.rot_time == pytest.approx(plain.leaks.rot_time, rel=1e-12)


def test_the_reference_is_the_mean_of_the_table_of_places() -> None:
    reference = site_of(with_sections("\n[climate]\n")).reference
    places = files.shared()["places"]
    for name in DRIVERS:
        figures = [place[name] for place in places.values()]
        mean = sum(figure.get("likely", figure.get("value")) for figure in figures) / len(places)
        if name == "air_temperature":
            mean = convert(mean, "F", "C")
        assert getattr(reference, name) == pytest.approx(mean)


def test_a_small_coach_leaks_less_and_each_figure_is_multiplied_by_its_factor() -> None:
    plain, scaled = with_sections(), with_sections(COACH)
    shape = geometry_of(scaled)
    assert shape is not None
    before, after = (case.existing.roof for case in (resolve(plain), resolve(scaled)))
    joints = 2 * (28 + 8.5) + 2 * 2 * 32 / 12 + 3 * np.pi * 6 / 12
    assert shape.joint_ratio == pytest.approx(joints / 85)
    assert after.joint_leaks_first_year == pytest.approx(before.joint_leaks_first_year * joints / 85)
    assert after.puncture_rate == pytest.approx(before.puncture_rate * 32 * 8.5 / 210)
    untouched = ("ageing", "age_leaks_ten_years", "renew_cost", "life_scale")
    assert all(getattr(after, name) == getattr(before, name) for name in untouched)


def test_a_place_multiplies_ageing_joints_punctures_and_rot() -> None:
    plain, there = with_sections(), with_sections(DULUTH)
    site = site_of(there)
    before, after = resolve(plain), resolve(there)
    for covering, pick in (
        ("membrane", lambda c: c.existing.roof),
        ("coating", lambda c: c.alternatives[1].then),
    ):
        factors, one, other = site.factors[covering], pick(before), pick(after)
        assert other.ageing == pytest.approx(one.ageing * factors.ageing)
        joints = factors.joint_leaks(one.joint_leak_growth)
        assert other.joint_leaks_first_year == pytest.approx(one.joint_leaks_first_year * joints)
        assert other.puncture_rate == pytest.approx(one.puncture_rate * factors.punctures)
    assert after.leaks.rot_time == pytest.approx(before.leaks.rot_time * site.factors["coating"].rot_time)
    assert site.factors["membrane"].ageing < 1.0


def test_what_is_hidden_today_is_not_scaled() -> None:
    listed = EXAMPLE.replace('hidden_now = "from upkeep"', "hidden_now = [{ age = 8, joint = 0.1 }]")
    assert listed != EXAMPLE
    assert resolve(files.loads(listed + COACH + DULUTH)).existing.hidden_now[0].joint == 0.1


def test_a_mix_of_places_lies_between_them_and_own_drivers_come_first() -> None:
    places = 'places = [{ place = "Duluth", share = 0.5 }, { place = "Miami", share = 0.5 }]\n'
    here = site_of(with_sections("\n[climate]\n", places, "hail_days = 9\n")).here
    assert here.sun == pytest.approx((4.91 + 7.21) / 2)
    assert here.hail_days == 9.0


def test_the_tool_s_own_figure_stays_beside_a_stated_exponent() -> None:
    figure = with_sections(DULUTH, "heat_exponent = 0.4\n").inputs["climate.heat_exponent"]
    assert (figure.likely, figure.tool.likely, figure.shared) == (0.4, 0.15, False)


@pytest.mark.parametrize(
    ("name", "ends"),
    [
        ("heat_exponent", (0.0, 0.15, 0.5)),
        ("sun_exponent", (0.0, 0.3, 1.0)),
        ("frost_coefficient", (0.0, 0.3, 1.0)),
        ("wet_exponent", (0.0, 0.3, 0.7)),
        ("hail_share", (0.0, 0.2, 0.5)),
        ("membrane_activation_energy", (50.0, 70.0, 100.0)),
        ("sealant_activation_energy", (40.0, 60.0, 90.0)),
    ],
)
def test_every_response_is_one_ranged_input(name: str, ends: tuple[float, ...]) -> None:
    figure = with_sections(DULUTH).inputs[f"climate.{name}"]
    assert (figure.low, figure.likely, figure.high) == ends
    assert figure.basis in ("judgement", "published") and figure.note


def test_arrays_of_draws_flow_through() -> None:
    scenario = with_sections(COACH, DULUTH)
    values = {"climate.heat_exponent": np.array([0.0, 0.5]), "coach.length": np.array([9.0, 10.0])}
    case = resolve(scenario, values)
    one_by_one = [
        resolve(scenario, {path: float(column[k]) for path, column in values.items()}) for k in (0, 1)
    ]
    for name in ("ageing", "joint_leaks_first_year", "puncture_rate"):
        together = getattr(case.existing.roof, name)
        np.testing.assert_allclose(together, [getattr(one.existing.roof, name) for one in one_by_one])


def test_a_reference_of_one_s_own_changes_nothing_where_it_says_nothing() -> None:
    own = "reference = { sun = 6.0, air_temperature = 50 }\n"
    site = site_of(with_sections(DULUTH, own))
    factors = site.factors["membrane"]
    assert (factors.punctures, factors.rot_time, factors.joints_by_frost) == (1.0, 1.0, 1.0)
    assert factors.ageing_by_sun == pytest.approx((4.91 / 6.0) ** 0.3)
    assert site.reference.air_temperature == pytest.approx(10.0)


def test_the_reference_may_be_a_place_and_standing_there_changes_nothing() -> None:
    site = site_of(with_sections(DULUTH, 'reference = "Duluth"\n'))
    assert site.factors["membrane"].ageing == pytest.approx(1.0)
    assert site.here == site.reference


def test_usual_sizes_stand_where_nobody_measured_and_are_shared_by_a_kind() -> None:
    vent = '[[coach.penetrations]]\nkind = "roof vent"\n'
    scenario = with_sections(COACH, vent, "length = 20\n", vent)
    sizes = [one.numbers for one in scenario.coach.penetrations]
    assert sizes[0]["length"] == sizes[3]["length"]
    assert sizes[2]["width"] == sizes[2]["length"], "a vent with a length only is square"
    assert "width" not in sizes[1], "a plumbing vent is round"


def test_slips_are_said_all_at_once() -> None:
    slips = """
[coach]
length = 20
front_cap = 12
rear_cap = 9
[coach.material]
film = 0
volume_solids = 1.2
[[coach.penetrations]]
kind = "roof vnet"
[climate]
places = [{ place = "Miamy", share = 0.5 }, { place = "Denver", share = 0.4 }]
"""
    found = faults_of(slips)
    said = "\n".join(found)
    assert len(found) == 6, said
    assert (
        "coach.rear_cap" in said
        and "21 ft of caps" in said
        and "below the length of the coach, 20 ft" in said
    )
    assert "must be a number from 1 to 1,000 mil; got 0" in said
    assert "coach.material.volume_solids" in said and "must be a number from 0.01 to 1; got 1.2" in said
    assert 'did you mean "roof vent"?' in said
    assert 'did you mean "Miami"?' in said
    assert "add up to 1; got 0.9" in said


@pytest.mark.parametrize(
    ("section", "place", "said"),
    [
        ("[coach]\nlength = 20\nfront_cap = 20\n", "coach.front_cap", "must leave something to spray"),
        (
            "[coach]\nlength = { low = 18, likely = 24, high = 26 }\n"
            "front_cap = { low = 1, likely = 2, high = 9 }\nrear_cap = { low = 1, likely = 2, high = 9 }\n",
            "coach.rear_cap",
            "18 ft of caps",
        ),
        (
            '[coach]\nlength = 20\n[[coach.penetrations]]\nkind = "hatch"\ncount = 40\n',
            "coach.penetrations",
            "must cover less than the roof between the caps",
        ),
        (
            '[coach]\n[[coach.penetrations]]\nkind = "hatch"\nfate = "keep"\n',
            "fate",
            "refit, replace, remove",
        ),
        ("[coach]\n[[coach.penetrations]]\ncount = 2\n", "coach.penetrations.1.kind", "is required"),
        ("[coach.material]\ntransfer = 120\n", "coach.material.transfer", "from 0.01 to 1; got 120"),
        ('[climate]\nplace = "Atlantis"\n', "climate.place", "must be a place of the table"),
        ('[climate]\nplace = "Xyz"\n', "climate.place", "known: Miami, Houston"),
        ('[climate]\nplace = "miami"\n', "climate.place", 'did you mean "Miami"?'),
        ('[climate]\nplace = "Miami"\nplaces = []\n', "climate.place", "must not stand beside places"),
        (
            '[climate]\nplaces = [{ place = "Miami", share = 0.5 }, { place = "Miami", share = 0.5 }]\n',
            "climate.places.2.place",
            "must be named once",
        ),
        ("[climate]\nsheltered_share = 75\n", "climate.sheltered_share", "75 % is written 0.75"),
        (
            "[climate]\nreference = { hail_days = 0 }\n",
            "climate.reference.hail_days",
            "from 0.01 to 366 days",
        ),
        ("[climate]\nreference = { place = 0 }\n", "climate.reference.place", "is no driver of a climate"),
        ('[climate]\nreference = "Atlantis"\n', "climate.reference", "must be a place of the table"),
        (
            '[climate]\n[alternatives.under_cover.climate]\nplace = "Atlantis"\n',
            "alternatives.under_cover.climate.place",
            "must be a place of the table",
        ),
        (
            "[climate]\n[alternatives.under_cover]\nsheltered_share = 1.5\n",
            "alternatives.under_cover.sheltered_share",
            "from 0 to 1",
        ),
        (
            "[climate]\n[alternatives.under_cover]\nsheltered_share = 0.5\nclimate = {}\n",
            "alternatives.under_cover.sheltered_share",
            "must not stand beside climate",
        ),
        (
            '[climate]\n[alternatives.under_cover.climate]\nreference = "Miami"\n',
            "alternatives.under_cover.climate.reference",
            "stands in [climate] for all ways",
        ),
        (
            '[climate]\n[alternatives.under_cover.climate]\nplaces = [{ place = "Miami", share = 0.5 }]\n',
            "alternatives.under_cover.climate.places",
            "add up to 1",
        ),
    ],
)
def test_a_slip_is_said_with_its_place_and_remedy(section: str, place: str, said: str) -> None:
    found = faults_of("\n" + section)
    assert any(place in fault and said in fault for fault in found), found


def test_a_way_may_have_a_site_of_its_own_from_today_on() -> None:
    """Its roofs and its rot are those of the other site; the past and all other ways stay."""
    plain = resolve(with_sections(DULUTH))
    covered = "\n[alternatives.under_cover]\nsheltered_share = 1\n"
    moved = '\n[alternatives.moved.climate]\nplace = "Miami"\nhail_days = 0\n'
    case = resolve(with_sections(DULUTH, covered, moved))
    under = resolve(with_sections(DULUTH, "sheltered_share = 1\n"))
    miami = resolve(with_sections('\n[climate]\nplace = "Miami"\nhail_days = 0\n'))
    assert case.existing == plain.existing and case.leaks == plain.leaks
    assert case.alternatives[: len(plain.alternatives)] == plain.alternatives
    for name, other in (("under_cover", under), ("moved", miami)):
        way = case.alternative(name)
        assert way.roof == other.base_case.roof != plain.base_case.roof
        assert case.leaks_under(way) == other.leaks != plain.leaks
    assert case.alternative("under_cover").roof.ageing < plain.base_case.roof.ageing
    cost = {name: ledger.net_present_cost[0, -1] for name, ledger in evaluate(case).items()}
    assert cost["under_cover"] < cost["keep"]


def test_a_changed_input_obeys_the_same_rules() -> None:
    scenario = with_sections(COACH, '\n[climate]\nplaces = [{ place = "Miami", share = 1.0 }]\n')
    with pytest.raises(ScenarioError, match="must leave something to spray"):
        replaced(scenario, {"coach.front_cap": 6.0, "coach.rear_cap": 6.0})
    with pytest.raises(ScenarioError, match="add up to 1"):
        replaced(scenario, {"climate.places.1.share": 0.5})
    longer = replaced(scenario, {"coach.length": 11.0})
    assert geometry_of(longer).joint_ratio > geometry_of(scenario).joint_ratio


def test_a_replaced_place_is_another_scenario_with_its_own_factors() -> None:
    scenario = with_sections(DULUTH)
    nowhere = replace(scenario, climate=None)
    assert resolve(nowhere).leaks == resolve(with_sections()).leaks
    assert resolve(scenario).leaks != resolve(nowhere).leaks


@pytest.mark.parametrize("kind", files.fields()["penetrations"]["kind"].choices)
def test_every_kind_of_penetration_has_a_usual_size(kind: str) -> None:
    usual = files.shared()["fixtures"][kind]
    assert "length" in usual
    assert all(size["basis"] == "judgement" and size["note"] for size in usual.values())
