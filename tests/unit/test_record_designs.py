"""Records drawn otherwise than the fits think: ends hold the truth, and nothing false is said of a fit.

The design of joints: 1,500 coaches, each followed for four years, looked at every year and resealed every
second one: about 6,000 coach-years and 60 leaks, at the tool's own rates. Leaks start and show at any moment
here, not in months. The ends are those of 8 in 10; of 40 samples 25 to 38 are within what luck does to it
(0.995 either way, binomial, recomputed).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from lifecycle.deterioration import scale_from_mean
from lifecycle.errors import ScenarioError
from lifecycle.files import load, loads
from lifecycle.records.columns import read_map
from lifecycle.records.demo import Truth
from lifecycle.records.estimate import as_rank
from lifecycle.records.joints import JointFit, epochs_of, fit_joints
from lifecycle.records.lives import fit_life, lives_from_looks, roof_lives
from lifecycle.records.looks import Looks, read_looks
from lifecycle.records.site import SiteFactors, site_factors, sites_of
from lifecycle.records.tables import read_sheet
from lifecycle.records.tuning import tool_figures, tuned_text
from lifecycle.scenario import resolve
from lifecycle.scenario.site import site_of
from tests.unit.shop_records import Shop, shop_looks

pytest.importorskip("surpyval", reason="life fits need the extra [records]")

TOOL = tool_figures()
OWN = Truth(
    joint_leaks_ten_years=TOOL["joint_leaks_ten_years"].likely,
    joint_leak_growth=TOOL["joint_leak_growth"].likely,
    sign_years=TOOL["sign_years"].likely,
    look_finds=TOOL["look_finds"].likely,
)
SEALED = Shop(resealed_every=24)
NAMES = ("joint_leaks_ten_years", "joint_leak_growth")


@cache
def fitted(seed: int, shop: Shop, coaches: int = 1500, *, stands: str | None = None) -> JointFit:
    text = shop_looks(coaches, np.random.default_rng([6, seed]), OWN, shop)
    known = read_map({} if stands is None else {"records": {"place": stands, "length": stands}})
    return fit_joints(epochs_of(read_looks(read_sheet(text, "looks.csv"), known)), TOOL)


def held_in(samples: int, shop: Shop) -> dict[str, int]:
    """Return in how many samples each figure's ends hold the truth; every sample gives both figures."""
    held = dict.fromkeys(NAMES, 0)
    for seed in range(samples):
        found = fitted(seed, shop)
        given = {one.name: one for one in found.estimates}
        assert set(NAMES) <= set(given), "no table is empty"
        assert found.fit_chance is None or found.fit_chance > 1e-3
        for name in NAMES:
            held[name] += given[name].holds(getattr(OWN, name))
            assert given[name].low < given[name].likely < given[name].high
    return held


def test_joint_leaks_at_the_tools_own_rates_are_bounded_and_hold_the_truth() -> None:
    """Four samples: fewer than two come once in 140 times."""
    held = held_in(4, SEALED)
    assert all(2 <= number <= 4 for number in held.values()), held


@pytest.mark.slow
def test_joint_leaks_hold_the_truth_in_8_of_10_of_40_samples() -> None:
    held = held_in(40, SEALED)
    assert all(25 <= number <= 38 for number in held.values()), held


def test_what_the_records_cannot_tell_stays_within_the_tools_range_and_is_said() -> None:
    found = fitted(0, SEALED)
    assert "look_finds" in found.kept
    low, high = (TOOL["look_finds"].low, TOOL["look_finds"].high)
    assert low < found.rates.finds < high
    assert found.rates.ten_years < 10.0, "it does not run off"


def test_a_rate_that_is_not_bounded_is_refused() -> None:
    """Seals never older than three months say nothing of joints of ten years."""
    text = "coach,date,seen,reason,where,leaks,laid,resealed\n"
    for coach in range(60):
        text += f"{coach},2021-01,fine,routine,,,2015-01,2020-12\n"
        text += f"{coach},2021-02,{'leak' if coach < 6 else 'fine'},routine,joint,,2015-01,2020-12\n"
    epochs = epochs_of(read_looks(read_sheet(text, "young.csv"), read_map({})))
    with pytest.raises(ScenarioError, match=r"must bound how often joints leak.*--widen"):
        fit_joints(
            epochs, {**TOOL, "joint_leak_growth": replace(TOOL["joint_leak_growth"], low=0.2, high=8.0)}
        )
    found = fit_joints(epochs, TOOL, widen=True)
    assert found.estimates


# --- where the leak was ------------------------------------------------------------------------------


PUNCTURED = Shop(resealed_every=0, punctures=0.03)


def test_leaks_elsewhere_are_not_counted_where_a_column_says_so() -> None:
    told = fitted(1, PUNCTURED, 400)
    alone = fitted(1, replace(PUNCTURED, punctures=0.0), 400)
    assert told.epochs.unplaced == 0.0
    rate = told.estimates[0]
    assert rate.low < OWN.joint_leaks_ten_years < rate.high
    assert abs(told.epochs.found - alone.epochs.found) < 0.5 * alone.epochs.found


def test_without_the_column_other_leaks_stand_as_an_offset() -> None:
    """Joints and 0.02 punctures a year: counted as joint leaks, growth seems far slower than it is."""
    text = shop_looks(600, np.random.default_rng([6, 2]), OWN, PUNCTURED, tells_where=False)
    sheet = read_sheet(text, "looks.csv")
    offset, none = (
        fit_joints(epochs_of(read_looks(sheet, read_map(known))), TOOL)
        for known in ({}, {"records": {"where": "joint"}})
    )
    assert offset.epochs.unplaced == 1.0 and none.epochs.unplaced == 0.0
    assert none.rates.growth < offset.rates.growth - 0.2
    assert none.rates.growth < 1.6 < OWN.joint_leak_growth
    assert offset.rates.others > 0.0
    growth = next((one for one in offset.estimates if one.name == "joint_leak_growth"), None)
    assert growth is None or growth.holds(OWN.joint_leak_growth)


def test_several_leaks_of_one_look_are_counted_together() -> None:
    text = (
        "coach,date,seen,reason,where,leaks,laid,resealed\n"
        "A,2020-01,fine,routine,,,2015-01,\nA,2021-01,leak,routine,joint,2,2015-01,\n"
        "A,2021-01,leak,routine,field,1,2015-01,\nA,2021-01,leak,routine,edge,1,2015-01,\n"
        "A,2022-01,fine,routine,,,2015-01,\n"
    )
    looks = read_looks(read_sheet(text, "x.csv"), read_map({}))
    assert looks.leaks.tolist() == [0, 3, 0]
    assert {drop.reason: drop.number for drop in looks.account[0].drops} == {
        "another leak of the same look, counted with it": 2
    }


def test_looks_on_suspicion_written_down_as_routine_are_seen() -> None:
    honest, coded = (
        fitted(3, replace(Shop(resealed_every=0), on_suspicion=share), 800) for share in (0.0, 0.7)
    )
    assert honest.suspicion_chance is not None and honest.suspicion_chance > 0.05
    assert coded.suspicion_chance is not None and coded.suspicion_chance < 0.01


# --- place and size ----------------------------------------------------------------------------------


MIAMI = (("Miami", 1.0),)


def looks_at(places: str | None, length: object) -> Looks:
    """Return looks whose map says where they stand and how long the coaches are."""
    stated = {name: one for name, one in (("place", places), ("length", length)) if one is not None}
    text = shop_looks(400, np.random.default_rng([6, 9]), OWN, Shop(resealed_every=0))
    return read_looks(read_sheet(text, "looks.csv"), read_map({"records": stated}))


def test_factors_of_a_site_are_those_of_the_model() -> None:
    """Against a scenario in Miami with a coach of 34 ft, resolved by the room that scales figures."""
    base = load("scenarios/humid-coast-motorhome.toml")
    assert base.climate is not None and base.climate.places[0].name == "Miami"
    site, found = site_of(base), site_factors(MIAMI, 0.0, base)
    factors = site.factors["membrane"]
    assert found.ageing == pytest.approx(float(factors.ageing))
    assert found.seal_ageing == pytest.approx(float(factors.seal_ageing))
    assert found.punctures == pytest.approx(float(factors.punctures))
    assert site_factors((), 0.0) == SiteFactors()
    assert site_factors((), 7.9248).joints == pytest.approx(1.0, abs=0.01), "26 ft is the reference"
    assert site_factors((), 12.0).area == pytest.approx(12.0 / 7.9248, rel=0.02)


def test_joint_leaks_are_brought_to_the_reference() -> None:
    """Exactly: records of Miami on long coaches give the rate divided by what Miami and length do."""
    plain = fit_joints(epochs_of(looks_at("reference", "reference")), TOOL)
    there = fit_joints(epochs_of(looks_at("Miami", 34)), TOOL)
    site = site_factors(MIAMI, 34 * 0.3048)
    by = site.joints * site.seal_ageing**plain.rates.growth * site.frost
    assert there.rates.growth == pytest.approx(plain.rates.growth, rel=1e-3)
    assert there.rates.ten_years == pytest.approx(plain.rates.ten_years / by, rel=5e-3)
    assert not epochs_of(looks_at(None, None)).sites.known


def test_lives_seen_at_a_place_give_back_the_reference_life_in_a_scenario_there() -> None:
    """Roofs that live 15 effective years, drawn in Miami: tuned in a scenario of Miami they age once."""
    ageing = site_factors(MIAMI).ageing
    scale = scale_from_mean(15.0, 3.0)
    life = scale / ageing * np.random.default_rng(12).weibull(3.0, 3000)
    site = sites_of(np.zeros(3000, dtype=np.int64), (MIAMI,), np.zeros(3000))
    lower = np.floor(life)
    found = fit_life(roof_lives(lower, lower + 1.0, site=site), only_figures=True)
    mean = next(one for one in found.estimates if one.name == "life_mean")
    assert mean.likely == pytest.approx(15.0, rel=0.02)
    naive = fit_life(roof_lives(lower, lower + 1.0), only_figures=True).estimates[0].likely
    assert naive == pytest.approx(15.0 / ageing, rel=0.02)
    base = load("scenarios/humid-coast-motorhome.toml")
    text, _ = tuned_text(base, found.estimates, source="lives.csv", note="fitted")
    case = resolve(loads(text, base.source, beside="scenarios"))
    roof = case.existing.roof
    seen_there = float(roof.life_scale) * 0.893 / float(roof.ageing)
    assert seen_there == pytest.approx(float(life.mean()), rel=0.03), "not aged twice"


def test_records_of_several_places_tell_what_climate_does_or_say_that_they_do_not() -> None:
    """Lives drawn with a heat exponent of 0.4 (the tool's guess: 0.15) in hot, mild and cold places."""
    from lifecycle.climate import ageing_factor

    places = tuple(((name, 1.0),) for name in ("Phoenix", "Houston", "Duluth", "Minneapolis"))
    generator = np.random.default_rng(15)

    def drawn(roofs: int) -> tuple[np.ndarray, object]:
        where = generator.integers(0, len(places), roofs)
        site = sites_of(where, places, np.zeros(roofs))
        ageing = ageing_factor(site.heat**0.4, site.sun**0.3)
        return scale_from_mean(15.0, 3.0) / ageing * generator.weibull(3.0, roofs), site

    life, site = drawn(4000)
    lower = np.floor(life)
    found = fit_life(roof_lives(lower, lower + 1.0, site=site), tool=TOOL, only_figures=True)
    given = {one.name: one for one in found.estimates}
    assert given["heat_exponent"].low < 0.4 < given["heat_exponent"].high * 1.3
    assert given["heat_exponent"].likely > 0.25
    assert given["life_mean"].likely == pytest.approx(15.0, rel=0.05)
    life, site = drawn(40)
    lower = np.floor(life)
    few = fit_life(roof_lives(lower, lower + 1.0, site=site), tool=TOOL, only_figures=True)
    assert {"heat_exponent", "sun_exponent"} & set(few.kept)


# --- figures that go together ------------------------------------------------------------------------


def test_correlations_of_a_fit_are_written_with_the_figures() -> None:
    found = fitted(0, SEALED, stands="reference")
    pair = ("joint_leaks_ten_years", "joint_leak_growth")
    assert found.together[pair] > 0.8, "a higher power puts more leaks at ten years"
    base = load("scenarios/humid-coast-motorhome.toml")
    ranks = {pair: as_rank(found.together[pair])}
    text, _ = tuned_text(base, found.estimates, source="looks.csv", note="fitted", together=ranks)
    tuned = loads(text, base.source, beside="scenarios")
    (stated,) = tuned.sections["correlations"]
    assert (stated["a"], stated["b"]) == tuple(f"roofs.membrane.{name}" for name in pair)
    assert stated["rank"].likely == pytest.approx(ranks[pair], abs=0.006)
    again, _ = tuned_text(tuned, found.estimates, source="looks.csv", note="fitted", together={pair: 0.2})
    (other,) = loads(again, base.source, beside="scenarios").sections["correlations"]
    assert other["rank"].likely == 0.2, "exchanged, not written twice"


# --- who comes late, and how a record ends -----------------------------------------------------------


def lives_text(joined: bool, seed: int = 21) -> str:
    """Return roofs of which each coach came at some age: 15 years of mean life, a look each year."""
    generator = np.random.default_rng(seed)
    rows = ["coach,date,seen,laid" + (",joined" if joined else "")]
    for coach in range(1500):
        laid = 12 * 1995 + int(generator.integers(0, 240))
        came = laid + int(generator.integers(0, 200))
        ends = laid + round(12.0 * scale_from_mean(15.0, 3.0) * float(generator.weibull(3.0)))
        if ends <= came:
            continue
        for month in range(came + 12, 12 * 2024, 12):
            seen = "end" if month >= ends else "fine"
            cells = [coach, month, seen, laid, came]
            texts = [f"{one // 12}-{one % 12 + 1:02d}" for one in (cells[1], cells[3], cells[4])]
            rows.append(f"{coach},{texts[0]},{seen},{texts[1]}" + (f",{texts[2]}" if joined else ""))
            if seen == "end":
                break
    return "\n".join(rows) + "\n"


def test_coaches_that_come_later_need_the_day_on_which_they_came() -> None:
    import datetime

    begin = {"records": {"begin": datetime.date(1995, 1, 1)}}
    sheet = read_sheet(lives_text(joined=False), "x.csv")
    with pytest.raises(ScenarioError, match=r"must say when coaches came.*\[columns\] joined"):
        lives_from_looks(read_looks(sheet, read_map(begin)))
    told = lives_from_looks(read_looks(read_sheet(lives_text(joined=True), "x.csv"), read_map(begin)))
    mean = fit_life(told, only_figures=True).estimates[0]
    assert mean.low * 0.98 < 15.0 < mean.high * 1.02
    begin["records"]["all_from_begin"] = True
    wrong = fit_life(lives_from_looks(read_looks(sheet, read_map(begin))), only_figures=True).estimates[0]
    assert wrong.likely > 1.05 * mean.likely, "immortal time: who says so without it being so"


def test_a_sale_and_a_deck_that_is_gone_are_no_end_of_a_life() -> None:
    text = (
        "coach,date,seen,laid\nA,2020-01,fine,2015-01\nA,2021-01,sold,2015-01\n"
        "B,2020-01,fine,2015-01\nB,2022-01,deck gone,2015-01\nC,2020-01,fine,2015-01\nC,2021-01,end,2015-01\n"
    )
    found = lives_from_looks(read_looks(read_sheet(text, "x.csv"), read_map({})))
    rows = sorted(zip(found.lower.tolist(), found.upper.tolist(), strict=True))
    assert rows == [(5.0, 6.0), (6.0, np.inf), (7.0, np.inf)]


def test_coach_names_are_folded_and_look_alikes_reported() -> None:
    text = (
        "coach,date,seen,laid\nRV-0001,2020-01,fine,2015-01\nrv-0001 ,2021-01,fine,2015-01\n"
        "RV 1,2022-01,fine,2015-01\nB2,2022-01,fine,2015-01\n"
    )
    looks = read_looks(read_sheet(text, "x.csv"), read_map({}))
    assert looks.coaches == 3
    (note,) = looks.notes
    assert "differ only in marks or leading noughts (lines 2, 4)" in note and "RV" not in note


def test_a_look_without_a_reason_is_left_out_only_where_the_reason_matters() -> None:
    text = "coach,date,seen,reason,laid\nA,2020-01,fine,,2015-01\nA,2021-01,fine,routine,2015-01\n"
    known = read_map({"reason": {"blank": "drop"}})
    sheet = read_sheet(text, "x.csv")
    assert read_looks(sheet, known).month.size == 1
    assert read_looks(sheet, known, reasons=False).month.size == 2


def test_a_shape_that_few_ends_do_not_bound_is_held_by_the_tools_range() -> None:
    """Eight roofs that all ended within one interval of looks: any close shape fits as well."""
    lower = np.concatenate([np.full(8, 14.0), np.full(4, 10.0)])
    upper = np.concatenate([np.full(8, 16.0), np.full(4, np.inf)])
    found = fit_life(roof_lives(lower, upper), tool=TOOL)
    assert [one.name for one in found.estimates] == ["life_mean"] and found.kept == ("life_shape",)
    assert TOOL["life_shape"].low < found.shape < 2.0 * TOOL["life_shape"].high
