"""The grid: what a point says, and that its rows are the verdict's own, whoever works them out."""

from dataclasses import replace

import pandas.testing
import pytest

import lifecycle
from lifecycle.errors import ScenarioError
from lifecycle.files import load, restated
from lifecycle.language.verdict import verdict_of
from lifecycle.scenario import at_likely, replaced
from lifecycle.studies.assessment import brief
from lifecycle.studies.grid import answered, frame_of, grid, said_otherwise

COAST, TRAILER = "scenarios/humid-coast-motorhome.toml", "scenarios/cold-stored-trailer.toml"


def test_a_point_is_counted_off_the_last_name_fastest():
    whole = grid(
        {"a": load(COAST), "b": load(TRAILER)},
        {"existing.age": [14, 26], "owner.hour_value": [10, 20, 30]},
        rows=[{"coach.length": 24}, {"coach.length": 30}],
        labels=["one", "two"],
    )
    assert len(whole) == 2 * 2 * 3 * 2
    said = [(point.name, point.label, *point.says.values()) for point in map(whole.point, range(len(whole)))]
    assert said[0] == ("a", "one", 14, 10, 24)
    assert said[1] == ("a", "one", 14, 20, 24)
    assert said[3] == ("a", "one", 26, 10, 24)
    assert said[6] == ("a", "two", 14, 10, 30)
    assert said[-1] == ("b", "two", 26, 30, 30)
    assert len(set(said)) == len(said)


@pytest.mark.parametrize("name", [COAST, TRAILER])
def test_rows_are_the_verdict(name):
    """The lead, the count of 20, the word and both prices are those that `lifecycle compare` prints."""
    scenario = load(name)
    kept = replaced(scenario, {"owner.holding_period": 5.0})
    frame = lifecycle.sweep(scenario, years=[5], draws=256).to_frame().set_index("way")
    judged = brief(kept, draws=256).judged
    assert frame.lead.iloc[0] == verdict_of(kept, draws=256).parts.leads
    assert (frame.lead == judged.lead.place.way).all()
    assert set(frame.index[frame.leads]) == set(judged.lead.place.ways)
    assert set(frame.index[frame.level]) == {way for place in judged.lead.level for way in place.ways}
    assert frame.loc[judged.against, "of_20"] == judged.pair.of_20
    assert (frame.word == judged.word).all()
    assert frame.loc[judged.against, "saves"] == pytest.approx(judged.pair.mean, abs=1e-9)
    for price in judged.prices:
        got = frame.loc[price.than, ["price", "price_p10", "price_p90"]].tolist()
        assert got == pytest.approx([price.mean, price.low, price.high])


def test_a_row_stands_on_nothing_but_its_own_point():
    found = lifecycle.sweep(load(TRAILER), {"existing.age": [60, 90, 120]}, years=[4, 8], draws=64)
    together = found.to_frame()
    apart = [row for number in (2, 0, 1) for row in answered(found.grid, found.grid.point(number))]
    alone = frame_of(found.grid.kinds, apart).sort_values("point", kind="stable").reset_index(drop=True)
    pandas.testing.assert_frame_equal(together, alone, check_exact=True)
    turned = lifecycle.sweep(load(TRAILER), {"existing.age": [120]}, years=[8, 4], draws=64).to_frame()
    last, turned = (one.sort_values(["years", "way"]) for one in (together[together.point == 2], turned))
    assert last.cost.tolist() == turned.cost.tolist()
    assert last.digest.tolist() == turned.digest.tolist()


def test_every_digest_tells_what_it_stands_on():
    scenario = load(COAST)
    over = {"existing.age": [30, 60], "owner.hour_value": [10, 20], "otherwise": ["keep", "keep_looked_at"]}
    frame = lifecycle.sweep(scenario, over, years=[5, 8], draws=16).to_frame()
    assert frame.groupby(["point", "years"]).digest.nunique().max() == 1
    assert frame.digest.nunique() == 16
    assert (
        lifecycle.sweep(scenario, over, years=[5], draws=32).to_frame().digest.isin(frame.digest).sum() == 0
    )


def test_otherwise_is_a_way_by_name():
    scenario = load(COAST)
    frame = lifecycle.sweep(scenario, {"otherwise": ["keep", "keep_looked_at"]}, draws=64).to_frame()
    assert frame[frame.base_case & (frame.point == 0)].way.tolist() == ["keep"]
    assert frame[frame.base_case & (frame.point == 1)].way.tolist() == ["keep_looked_at"]


def test_plain_names_are_those_of_change():
    scenario = load(COAST)
    said = said_otherwise(scenario, {"quote": 9000.0, "place": "Denver", "reseal_price": 500.0})
    changed = lifecycle.change(scenario, quote=9000.0, place="Denver", reseal_price=500.0)
    assert said.inputs == changed.inputs


def test_trouble_is_a_row_with_its_reason():
    rows = [{"existing.trouble": ["stain", "soft spot"]}, {}]
    frame = lifecycle.sweep(load(COAST), rows=rows, labels=["A", "B"], draws=16).to_frame()
    first = frame[frame.label == "A"]
    assert first.reason.tolist() == ["trouble: stain, soft spot"]
    assert first.trouble.tolist() == ["stain, soft spot"]
    assert first.cost.isna().all()
    assert (frame[frame.label == "B"].reason == "").all()


def test_a_file_that_says_otherwise_is_the_file_changed_by_hand(tmp_path):
    scenario = load(COAST)
    text = scenario.text.replace("length = 32 ", "length = 24 ").replace(
        'place = "Miami"', 'place = "Denver"'
    )
    (tmp_path / "own.toml").write_text(text)
    by_hand = load(tmp_path / "own.toml")
    said = said_otherwise(scenario, {"coach.length": 24, "climate.place": "Denver"}, worded=True)
    assert said.inputs == by_hand.inputs
    assert "# ft, from end to end" in said.text
    assert restated(scenario, {"coach.length": 24}, worded=False).text == ""


def test_an_input_that_stands_in_no_file_is_said_in_the_units_of_the_file():
    scenario = load(COAST)
    said = said_otherwise(scenario, {"coach.fixtures.plumbing vent.length": 8})
    assert said.inputs["coach.fixtures.plumbing vent.length"].likely == pytest.approx(8 * 25.4)
    kept = replace(scenario, units="metric")
    said = said_otherwise(kept, {"coach.fixtures.plumbing vent.length": 200})
    assert said.inputs["coach.fixtures.plumbing vent.length"].likely == 200.0


def test_changes_made_before_stay():
    changed = replaced(load(COAST), {"leaks.sign_years": 0.5})
    said = said_otherwise(changed, {"existing.age": 40})
    assert said.inputs["leaks.sign_years"].likely == 0.5
    assert said.changed == ("leaks.sign_years",)


def test_faults_of_all_points_at_once():
    with pytest.raises(ScenarioError) as caught:
        lifecycle.sweep(
            load(COAST), {"existing.age": [14, -3, 99999], "climate.place": ["Denver", "Nowhere"]}
        )
    places = [one.place for one in caught.value.faults]
    assert [place.partition(":")[0] for place in places] == [
        *("point 1", "point 2", "point 3", "point 3", "point 4", "point 5", "point 5")
    ]


@pytest.mark.parametrize(
    ("over", "said"),
    [
        ({"existing.agee": [3]}, "existing.agee"),
        ({"quite.unknown": [3]}, "quite"),
        ({"unknown": [3]}, "unknown"),
        ({"otherwise": ["nobody"]}, "otherwise"),
        ({"quote": ["dear"]}, "quote"),
        ({"quote": [-5]}, "quote"),
        ({"place": ["Nowhere"]}, "place"),
        ({"owner.hour_value": ["dear"]}, "owner.hour_value"),
        ({"owner.hour_value": []}, "owner.hour_value"),
        ({"existing.age": [float("nan")]}, "existing.age"),
        ({"existing": [3]}, "existing"),
        ({"title.more": [3]}, "title.more"),
    ],
)
def test_a_name_or_value_that_cannot_be_is_one_message(over, said):
    with pytest.raises(ScenarioError, match=said):
        lifecycle.sweep(load(COAST), over, draws=16)


def test_ratio_is_the_measure_of_the_comparison():
    """Without ranges the ratio of the grid is the savings-to-investment ratio of `compare` (ASTM E964)."""
    scenario = at_likely(load("scenarios/worked-example-1.toml"))
    frame = lifecycle.sweep(scenario, draws=16, ratios=True).to_frame().set_index("way")
    ratio = lifecycle.compare(scenario).ways["coat_now"].measures.savings_to_investment.value
    assert frame.loc["keep", "ratio"] == pytest.approx(ratio, rel=1e-9)
