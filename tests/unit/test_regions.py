"""Regional guidance: cells as in the table of 20s, the rule, objections, cells held back, editions."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

import lifecycle
from lifecycle.errors import ScenarioError
from lifecycle.files import load, loads
from lifecycle.plans import CHANGE, KEEP, under_every_plan
from lifecycle.quantities import Figure
from lifecycle.records.editions import (
    Digests,
    Seen,
    Standing,
    Told,
    calibration,
    digests_of,
    fixed_text,
    judged,
    moved,
    read_edition,
    read_fixed,
    read_seen,
)
from lifecycle.records.tables import read_sheet
from lifecycle.scenario import Scenario, replaced
from lifecycle.studies.futures import futures, in_draws
from lifecycle.studies.habits import habits
from lifecycle.studies.objections import Objection, changes_of, objected, objections
from lifecycle.studies.region_scenarios import load_protocol, load_regions
from lifecycle.studies.regions import (
    RULE,
    Region,
    RegionJob,
    RegionTable,
    firmness,
    kept_in,
    region_table,
)
from lifecycle.studies.sweeping import made_with

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
    assert told[-1] == 202, "two evaluations, as stated and under one objection"


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


def test_an_edition_is_what_was_fixed_with_all_that_moves_its_answer(tmp_path: Path) -> None:
    base = tmp_path / "base.toml"
    base.write_text(BASE.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "two.toml").write_text(
        'scenario = "base.toml"\n[[regions]]\nname = "a"\nrecords = "tuned.toml"\ncoaches = 9\n'
        '[[regions]]\nname = "b"\nclimate = "yard.toml"\n',
        encoding="utf-8",
    )

    def now() -> Digests:
        return digests_of(load_protocol(str(tmp_path / "two.toml")))

    text = fixed_text("two.toml", now(), date(2027, 4, 1))
    fixed = read_fixed(tomllib.loads(text), "two.toml.fixed")
    assert fixed.day == "2027-04-01" and now().files["tuned.toml"] == "" == now().files["yard.toml"]
    assert Standing(now(), fixed).is_fixed and not Standing(now()).is_fixed
    (tmp_path / "tuned.toml").write_text(BASE.read_text(encoding="utf-8"), encoding="utf-8")
    later = Standing(now(), fixed)
    assert later.is_fixed and later.came_later == ("tuned.toml",), "records come after the protocol"
    base.write_text(
        BASE.read_text(encoding="utf-8").replace("quote", "quote ") + "# later\n", encoding="utf-8"
    )
    assert Standing(now(), fixed).changed == ("base.toml",), "a quote that changed is no longer unchanged"
    for name, said in (("rule", "the rule or an objection"), ("figures", "the tool's own figures")):
        assert said in Standing(replace(fixed.digests, **{name: "other"}), fixed).changed
    assert Standing(replace(fixed.digests, protocol="b", version="9"), fixed).changed == (
        "the protocol",
        "the version of the tool",
    )
    with pytest.raises(ScenarioError, match="shared_sha256 is required"):
        read_fixed({"fixed_on": date(2027, 4, 1), "sha256": "a", "rule_sha256": "b"}, "old.fixed")


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


def test_figures_of_records_that_have_their_place_in_them_are_not_moved_to_another(tmp_path: Path) -> None:
    """A life seen in Miami, written by hand, must not age once more in Houston."""
    life = 'life_mean = { low = 12, likely = 14, high = 16, basis = "record", source = "%s" }'
    text = BASE.read_text(encoding="utf-8")
    stated = '[[regions]]\nname = "a"\nrecords = "tuned.toml"\ncoaches = 9\n'

    def load_with(source: str, more: str) -> tuple[Region, ...]:
        tuned = text.replace("[roofs.membrane]", "[roofs.membrane]\n" + life % source, 1)
        assert tuned != text
        (tmp_path / "tuned.toml").write_text(tuned, encoding="utf-8")
        (tmp_path / "r.toml").write_text(f'scenario = "tuned.toml"\n{stated}{more}', encoding="utf-8")
        return load_regions(load_protocol(str(tmp_path / "r.toml")))

    with pytest.raises(ScenarioError, match=r"regions\.a\.records.*hold in the reference climate"):
        load_with("looks of ours", 'place = "Houston"\n')
    assert load_with("looks of ours", ""), "where they stand they may stay"
    assert load_with("looks of ours; place and size taken out", 'place = "Houston"\n')


def test_judging_weighs_doubt_and_luck() -> None:
    """By hand: 8 in 10 from 8,000 to 13,000 about 10,000 are spreads of 1,560.6 below and 2,340.9 above."""
    said = (8000.0, 10000.0, 13000.0)
    below, above = 10000.0 - 1.6449 * 1560.6, 10000.0 + 1.6449 * 2340.9
    assert judged(below + 5.0, 0.0, said) == "as said" and judged(below - 5.0, 0.0, said) == "less"
    assert judged(above - 5.0, 0.0, said) == "as said" and judged(above + 5.0, 0.0, said) == "more"
    assert judged(below - 5.0, 1000.0, said) == "as said", "few coaches have much luck"


def test_a_world_exactly_at_likely_values_agrees_with_what_was_said(regions: tuple[Region, ...]) -> None:
    """Coaches whose costs are drawn with luck about the cost at likely values: their mean agrees. The share
    of coaches for whom spraying was cheaper would not: it has the luck of each coach in it."""
    table = region_table(regions[:1], HABITS, YEARS, {}, draws=DRAWS)
    said = {key: Told(cell.stated.of_20, "", "", cell.stated.costs) for key, cell in table.cells.items()}
    likely = lifecycle.compare(under_every_plan(regions[0].scenario))
    generator = np.random.default_rng(5)
    seen = []
    for key in said:
        for way, kind in (("kept", KEEP), ("sprayed", CHANGE)):
            mean = likely.ways[f"{kind}{key[1]}"].net_present_cost[key[2]]
            coaches = generator.gamma(0.5, 2.0, 200) * float(mean)
            seen.append(Seen(key, way, 200, float(coaches.mean()), float(coaches.std(ddof=1))))
    found = calibration(said, seen)
    assert len(found) == 2 * len(said)
    agree = sum(one.judged == "as said" for one in found)
    assert agree >= 0.75 * len(found)
    dear = [replace(one, cost=2.0 * one.cost) for one in seen]
    assert sum(one.judged == "more" for one in calibration(said, dear)) > 0.5 * len(dear)


def test_few_coaches_are_withheld_or_not_judged() -> None:
    key = ("a", "nothing", 3)
    said = {key: Told(15, "", "", {"kept": (1.0, 2.0, 3.0)})}
    few, some = calibration(said, [Seen(key, "kept", 4, 9.0, 1.0), Seen(key, "kept", 19, 9.0, 1.0)])
    assert (few.coaches, few.cost, few.judged) == (None, None, "too few to judge")
    assert (some.coaches, some.judged) == (19, "too few to judge")
    assert calibration(said, [Seen(key, "sprayed", 30, 9.0, 1.0)]) == ()


def test_what_was_seen_is_read_with_every_fault() -> None:
    key = ("a", "nothing", 3)
    known = {key: Told(15, "", "", {"kept": (1.0, 2.0, 3.0)})}
    head = "region,habit,year,way,coaches,cost,spread\n"
    good = read_seen(read_sheet(f"{head}a,nothing,3,kept,9,4,1\n", "s.csv"), known)
    assert good == (Seen(key, "kept", 9, 4.0, 1.0),)
    bad = f"{head}b,nothng,3,kept,9,4,1\na,nothing,4,kept,9,4,1\na,nothing,3,sold,9,4,1\n"
    with pytest.raises(ScenarioError) as caught:
        read_seen(read_sheet(bad, "s.csv"), known)
    for part in ('"b"', 'did you mean "nothing"?', "year of sale", 'column "way" (line 4)'):
        assert part in str(caught.value)
    with pytest.raises(ScenarioError, match="how many, a whole number"):
        read_seen(read_sheet(f"{head}a,nothing,3,kept,9.5,4,1\n", "s.csv"), known)
    with pytest.raises(ScenarioError, match="an edition that says what each way costs"):
        read_seen(read_sheet(f"{head}a,nothing,3,kept,9,4,1\n", "s.csv"), {key: Told(15, "", "")})


def test_objections_to_the_coating_take_the_very_figures_of_the_membrane() -> None:
    laid_out = under_every_plan(load(BASE))
    drawn = futures(laid_out, draws=16)
    coating = {}
    for name in ("leaks_alike", "life_alike"):
        found = objected(objections()[name], laid_out, drawn)
        assert not isinstance(found, str)
        scenario, again = found
        assert again.sample is drawn.sample
        case = in_draws(scenario, again)
        coating[name] = next(way.then for way in case.alternatives if way.name == f"{CHANGE}nothing")
        stands = case.existing.roof
    alike, own = coating["leaks_alike"], coating["life_alike"]
    assert np.array_equal(alike.joint_leak_growth, stands.joint_leak_growth)
    assert np.array_equal(alike.puncture_rate, stands.puncture_rate)
    assert not np.array_equal(own.puncture_rate, stands.puncture_rate)
    assert np.array_equal(own.life_scale, stands.life_scale)


def test_objections_about_what_moves_together() -> None:
    laid_out = under_every_plan(load(BASE))
    drawn = futures(laid_out, draws=256)
    path, other = "roofs.membrane.life_mean", "roofs.coating.life_mean"
    ranks = []
    for name in ("apart", "", "together"):
        found = objected(objections()[name], laid_out, drawn) if name else (laid_out, drawn)
        assert not isinstance(found, str)
        values = found[1].sample.values
        ranks.append(float(np.corrcoef(np.argsort(np.argsort([values[path], values[other]])))[0, 1]))
    assert ranks == pytest.approx([0.0, 0.5, 0.75], abs=0.1)


def test_no_warranty_pays_under_its_objection() -> None:
    assert set(of("unpaid", load(BASE)).values()) == {0.0}


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


def test_regions_that_are_kept_go_on_and_folders_go_together(
    regions: tuple[Region, ...], table: RegionTable, tmp_path: Path
) -> None:
    """One region here, two there, all of them from both: the very table, and nothing is answered twice."""
    tried = table.objections
    here, there = [tmp_path / "here"], [tmp_path / "there"]
    region_table(regions[:1], HABITS, YEARS, tried, draws=DRAWS, answer=kept_in(here))
    region_table(regions[1:], HABITS, YEARS, tried, draws=DRAWS, answer=kept_in(there))
    told: list[tuple[int, int]] = []
    both = region_table(
        regions, HABITS, YEARS, tried, draws=DRAWS, answer=kept_in([*here, *there]),
        progress=lambda done, whole: told.append((done, whole)),
    )  # fmt: skip
    assert told == [(0, 0)], "nothing is answered twice"
    assert both.cells == table.cells and both.untried == table.untried
    for key, cell in both.cells.items():
        assert cell.stated.costs == table.cells[key].stated.costs
    assert len(list(here[0].glob("region-*.json"))) == len(regions)
    for place in here[0].glob("region-*.json"):
        place.write_text("{}")
        with pytest.raises(ScenarioError, match="as it was kept"):
            region_table(regions, HABITS, YEARS, tried, draws=DRAWS, answer=kept_in(here))
        break


def test_a_region_is_kept_by_what_it_stands_on(regions: tuple[Region, ...]) -> None:
    """Its name may be another; other futures, years, habits or objections are another answer."""
    known = objections()
    job = RegionJob(0, regions[0], HABITS, (5,), {"late": known["late"]}, 64, 1, made_with())
    same = replace(job, number=3, region=replace(regions[0], name="another name"))
    assert same.file == job.file
    others = [
        *(replace(job, draws=32), replace(job, seed=2), replace(job, years=(5, 8))),
        *(replace(job, plans=HABITS[:1]), replace(job, objections={}), replace(job, made_with="other")),
        *(replace(job, region=replace(regions[0], longer=1.2)), replace(job, region=regions[1])),
    ]
    assert len({job.file, *(one.file for one in others)}) == 1 + len(others)
