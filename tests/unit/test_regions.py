"""Regional guidance: cells as in the table of 20s, the rule, objections, cells held back, editions."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from math import comb
from pathlib import Path

import pytest

from lifecycle.errors import ScenarioError
from lifecycle.files import load, loads
from lifecycle.quantities import Figure
from lifecycle.records.editions import (
    Fixed,
    Seen,
    Standing,
    Told,
    calibration,
    fixed_text,
    judged,
    moved,
    read_edition,
    read_seen,
    rule_sha256,
)
from lifecycle.records.tables import read_sheet
from lifecycle.scenario import Scenario, replaced
from lifecycle.studies.habits import habits
from lifecycle.studies.objections import Objection, changes_of, objections
from lifecycle.studies.region_scenarios import load_protocol, load_regions
from lifecycle.studies.regions import RULE, Region, RegionTable, firmness, region_table

SCENARIOS = Path(__file__).parents[2] / "scenarios"
BASE = SCENARIOS / "humid-coast-motorhome.toml"
HABITS, YEARS, DRAWS = ("shop_every_year", "nothing"), (5, 15), 64
TEXT = f"""scenario = "{BASE.as_posix()}"
habits = ["shop_every_year", "nothing"]
years = [15, 5]
[[regions]]
name = "coast"
place = "Houston"
[[regions]]
name = "split"
places = [{{ place = "Duluth", share = 0.5 }}, {{ place = "Phoenix", share = 0.5 }}]
"""
NOTHING = Objection("nothing", "Nothing is wrong.", "No figure moves.", "judgement", at={"hail_share": 0.0})


@pytest.fixture(scope="module")
def regions(tmp_path_factory: pytest.TempPathFactory) -> tuple[Region, ...]:
    file = tmp_path_factory.mktemp("regions") / "two.toml"
    file.write_text(TEXT, encoding="utf-8")
    return load_regions(load_protocol(str(file)))


@pytest.fixture(scope="module")
def table(regions: tuple[Region, ...]) -> RegionTable:
    tried = {key: one for key, one in objections().items() if key in ("hurried", "late")}
    return region_table(regions, HABITS, YEARS, tried, draws=DRAWS)


def test_a_cell_is_that_of_the_table_of_20s(regions: tuple[Region, ...], table: RegionTable) -> None:
    """Of a scenario with that place, written by hand."""
    by_hand = loads(BASE.read_text(encoding="utf-8").replace('place = "Miami"', 'place = "Houston"'))
    expected = habits(by_hand, draws=DRAWS, years=YEARS).of_20
    for habit in HABITS:
        assert {year: table.cells["coast", habit, year].stated.of_20 for year in YEARS} == expected[habit]


def test_the_order_of_regions_is_only_an_order(regions: tuple[Region, ...], table: RegionTable) -> None:
    other = region_table(regions[::-1], HABITS, YEARS, {}, draws=DRAWS)
    assert {key: cell.stated for key, cell in other.cells.items()} == {
        key: cell.stated for key, cell in table.cells.items()
    }
    assert [key[0] for key in other.cells][:1] == ["split"]


def test_regions_differ_where_the_climate_does(table: RegionTable) -> None:
    assert table.cells["coast", "nothing", 15] != table.cells["split", "nothing", 15]


def test_counts_of_the_headline_are_counts_of_cells(table: RegionTable) -> None:
    assert sum(table.counts().values()) == len(table.cells) == 8
    assert table.counts()["firm", -1] == sum(
        cell.firmness == "firm" and cell.stated.word == "dearer" for cell in table.cells.values()
    )


def test_an_objection_that_changes_nothing_changes_no_word(regions: tuple[Region, ...]) -> None:
    scenario = replaced(regions[0].scenario, {"climate.hail_share": 0.0})
    assert changes_of(NOTHING, scenario) == (
        "such figures stand at this one value already, and have no range to be moved in"
    )
    same = Objection("same", "", "", "judgement", at={"warranty_years": 10.0, "hail_share": 0.0})
    moved_by = region_table([replace(regions[0], scenario=scenario)], HABITS, YEARS, {"same": same}, draws=16)
    assert moved_by.changed_by("same") == {} and moved_by.untried["same"]


def test_a_dear_future_makes_the_change_no_cheaper(table: RegionTable) -> None:
    """A higher rate makes what is saved later count for less, and the change is paid today."""
    for cell in table.cells.values():
        assert cell.objected["hurried"].of_20 <= cell.stated.of_20
    assert table.changed_by("hurried")


def test_firm_needs_every_objection() -> None:
    assert firmness("cheaper", ["cheaper", "cheaper"]) == "firm"
    assert firmness("cheaper", ["cheaper", "probably cheaper"]) == "leaning"
    assert firmness("cheaper", ["dearer"]) == "open"
    assert firmness("probably dearer", []) == "leaning"
    assert firmness("could go either way", ["dearer"]) == "open"


def of(name: str, scenario: Scenario) -> dict[str, Figure | float]:
    changes = changes_of(objections()[name], scenario)
    assert not isinstance(changes, str), changes
    return dict(changes)


def test_ends_are_the_wider_of_range_and_tool() -> None:
    scenario = load(BASE)
    path = "roofs.membrane.joint_leak_growth"
    narrow = replace(scenario.inputs[path], low=1.8, likely=1.9, high=2.0, basis="record", shared=False)
    tuned = replaced(scenario, {path: narrow})
    assert of("slow_growth", scenario)[path] == scenario.inputs[path].low == of("slow_growth", tuned)[path]
    assert of("fast_growth", tuned)[path] == scenario.inputs[path].high
    assert set(of("weather", scenario)) == {
        f"climate.{name}"
        for name in ("heat_exponent", "sun_exponent", "frost_coefficient", "wet_exponent", "hail_share")
    }
    assert set(of("sellers", scenario)) == {
        "roofs.coating.warranty_years",
        "roofs.coating.warranty_share",
    }


def test_what_cannot_be_tried_says_why() -> None:
    scenario, late = load(BASE), objections()["late"]
    path = "roofs.membrane.life_mean"
    assert changes_of(late, scenario, longer=1.2) == "no life here comes from records"
    tuned = replaced(scenario, {path: replace(scenario.inputs[path], basis="record")})
    assert "lives" in str(changes_of(late, tuned))
    longer = changes_of(late, tuned, longer=1.25)
    assert isinstance(longer, dict)
    assert longer[path].likely == 1.25 * scenario.inputs[path].likely
    bare = replaced(scenario, {"study.discount_rate": 0.03})
    assert of("hurried", bare) == {"study.discount_rate": 0.07}, "the tool's own range stands beside it"


def test_too_few_coaches_are_nowhere(regions: tuple[Region, ...]) -> None:
    few = replace(regions[0], coaches={"shop_every_year": 5, "nothing": 4})
    none = replace(regions[1], coaches=dict.fromkeys(HABITS, 4))
    told: list[int] = []
    found = region_table(
        [few, none], HABITS, (5,), {"late": objections()["late"]}, draws=16,
        progress=lambda done, whole: told.append(done * 100 + whole),
    )  # fmt: skip
    assert list(found.cells) == [("coast", "shop_every_year", 5)]
    assert (
        found.withheld() == 3 and list(found.memory) == ["coast"] and list(found.untried["late"]) == ["coast"]
    )
    assert told[-1] == 404


def test_memory_counts_judgement_and_examples(regions: tuple[Region, ...], table: RegionTable) -> None:
    """A figure that becomes a record is one less from memory."""
    scenario = regions[0].scenario
    figure = replace(scenario.inputs["roofs.membrane.life_shape"], basis="record")
    tuned = replace(
        regions[0], scenario=replaced(scenario, {"roofs.membrane.life_shape": figure}), coaches={"nothing": 9}
    )
    counted = region_table([tuned], ("nothing",), (5,), {}, draws=16).memory["coast"]
    assert counted.from_memory == table.memory["coast"].from_memory - 1
    assert counted.figures == table.memory["coast"].figures


def test_all_faults_of_a_file_at_once(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(
        'scenario = "no.toml"\nhabits = ["nothng"]\nyears = [0]\ncolour = 1\nobjections = ["late", "laet"]\n'
        '[[regions]]\nname = "a"\nplace = "Miamy"\n[[regions]]\nname = "b"\n'
        'places = [{ place = "Duluth", share = 0.4 }]\n[[regions]]\nname = "b"\nrecords = "r.toml"\n',
        encoding="utf-8",
    )
    with pytest.raises(ScenarioError) as caught:
        load_regions(load_protocol(str(file)))
    text = str(caught.value)
    for part in (
        'did you mean "nothing"?', "must be whole years", "colour", 'did you mean "late"?',
        'did you mean "Miami"?', "add up to 1; got 0.4", "must be the name of one region",
        "regions.b.coaches", "scenario: no.toml does not exist", "regions.b.records: r.toml does not exist",
    ):  # fmt: skip
        assert part in text, text


@pytest.mark.parametrize(
    ("scenario", "rule"),
    [
        ("trouble-reported.toml", "without trouble reported"),
        ("worked-example-1.toml", "must have a range"),
    ],
)
def test_what_cannot_be_answered_for_is_refused(tmp_path: Path, scenario: str, rule: str) -> None:
    file = tmp_path / "regions.toml"
    file.write_text(TEXT.replace(BASE.name, scenario), encoding="utf-8")
    with pytest.raises(ScenarioError, match=rule):
        load_regions(load_protocol(str(file)))


def test_an_edition_is_what_was_fixed() -> None:
    rule = rule_sha256()
    fixed = Fixed("a", rule, "2027-04-01")
    assert Standing("a", rule, fixed).is_fixed
    assert Standing("b", rule, fixed).changed == ("the protocol",)
    assert Standing("b", "other", fixed).changed == ("the protocol", "the rule or an objection")
    assert not Standing("a", rule, None).is_fixed
    assert rule in fixed_text("x.toml", "a", date(2027, 4, 1))


def test_moved_cells_are_all_that_differ() -> None:
    one, other = Told(15, "probably cheaper", "leaning"), Told(16, "probably cheaper", "leaning")
    keys = [("a", "nothing", year) for year in (3, 5, 8)]
    found = moved({keys[0]: one, keys[1]: one}, {keys[0]: one, keys[1]: other, keys[2]: one})
    assert [(each.key, each.before, each.now) for each in found] == [
        (keys[1], one, other),
        (keys[2], None, one),
    ]
    assert [each.in_words for each in found] == [False, True]


def test_no_edition_is_said() -> None:
    for text in ("", "[]", "{}", json.dumps({"rows": 3})):
        with pytest.raises(ScenarioError, match="must be the result of an edition"):
            read_edition(text, "old.json")


def test_judging_is_the_binomial_test() -> None:
    """12 of 20 or fewer, at a share of 0.8, by the sum of its terms."""
    chance = sum(comb(20, k) * 0.8**k * 0.2 ** (20 - k) for k in range(13))
    assert 0.03 < chance < 0.05 and judged(20, 12, 0.8) == "fewer"
    assert judged(20, 13, 0.8) == "as said"
    assert judged(100_000, 100_000, 1.0) == "more", "20 of 20 says no more than 39 in 40"
    assert judged(19, 0, 0.8) == "too few to judge"


def test_said_against_seen_by_what_was_said() -> None:
    keys = [("a", "nothing", year) for year in (3, 5, 8)]
    said = dict(zip(keys, (Told(15, "", ""), Told(17, "", ""), Told(1, "", "")), strict=True))
    seen = [Seen(keys[0], 30, 20), Seen(keys[1], 10, 8), Seen(keys[2], 4, 4)]
    low, high = calibration(said, seen)
    assert (low.low, low.coaches, low.cheaper, low.judged) == (0, None, None, "too few to judge")
    assert (high.low, high.high, high.cells, high.coaches, high.cheaper) == (15, 17, 2, 40, 28)
    assert high.said == pytest.approx((30 * 15 + 10 * 17) / 800) and high.judged == "as said"


def test_what_was_seen_is_read_with_every_fault() -> None:
    known = [("a", "nothing", 3)]
    head = "region,habit,year,coaches,cheaper\n"
    assert read_seen(read_sheet(f"{head}a,nothing,3,9,4\n", "s.csv"), known) == (Seen(known[0], 9, 4),)
    bad = f"{head}a,nothing,3,9,10\nb,nothng,3,9,4\na,nothing,4,9,4\na,nothing,3,9.5,4\n"
    with pytest.raises(ScenarioError) as caught:
        read_seen(read_sheet(bad, "s.csv"), known)
    for part in ("at most the coaches", '"b"', 'did you mean "nothing"?', "year of sale", "whole numbers"):
        assert part in str(caught.value)


def test_the_page_about_regions_says_the_rule_and_every_objection() -> None:
    page = (SCENARIOS / "regions" / "README.md").read_text(encoding="utf-8")
    for word, meaning in RULE.items():
        assert f"- {word}: {meaning}." in page
    for key, one in objections().items():
        assert f"- `{key}`: {one.title} {one.does}" in page


def test_the_shipped_regions_can_be_answered_for() -> None:
    found = load_regions(load_protocol(str(SCENARIOS / "regions" / "three-regions.toml")))
    assert [region.stands for region in found][:2] == ["Miami", "Minneapolis"]
    climate = found[2].scenario.climate
    assert climate is not None and [place.name for place in climate.places] == ["Duluth", "Phoenix"]
