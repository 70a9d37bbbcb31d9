"""Loading scenarios: what is taken over, what is shared, units, jobs, and what is kept."""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.scenario import Scenario, resolve

SCENARIOS = Path(__file__).parents[2] / "scenarios"

HEAD = """
[study]
like = "shared"
base_date = 2027-04-01
[owner]
like = "shared"
[leaks]
like = "shared"
[existing]
roof = "membrane"
age = 36
"""

WAYS = """
[alternatives.keep]
base_case = true
[alternatives.coat]
change = "now"
then = "coating"
"""

SHOP = '[roofs.membrane]\nlike = "membrane"\nplan = "shop_every_year"\n'

OWN_JOBS = """
[roofs.membrane]
like = "membrane"
[[roofs.membrane.visits]]
name = "reseal"
every = 12
cost = 950
finds = 0.6
restores = 1
[[roofs.membrane.visits]]
name = "walk"
every = 3
hours = 1
finds = 0.3
[[roofs.membrane.visits]]
name = "wash"
every = 6
cost = 30
"""


def loaded(text: str, ways: str = WAYS) -> Scenario:
    """Load a scenario of shared figures with something beside them."""
    return files.loads(HEAD + text + ways)


def jobs(scenario: Scenario, roof: str) -> dict[str, int]:
    """Return the jobs of a roof and their intervals."""
    return {visit.name: int(scenario.likely(visit.numbers["every"])) for visit in scenario.roofs[roof].visits}


def test_a_file_is_loaded_with_its_name_and_digest(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    content = (HEAD + SHOP + WAYS).encode()
    path.write_bytes(content)
    scenario = files.load(path)
    assert scenario.source == str(path)
    assert scenario.sha256 == hashlib.sha256(content).hexdigest()
    assert scenario.text == content.decode()
    assert scenario.base_date == date(2027, 4, 1)
    assert files.load(str(path)) == scenario


def test_a_byte_order_mark_and_other_line_ends_do_not_matter(tmp_path: Path) -> None:
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (HEAD + SHOP + WAYS).replace("\n", "\r\n").encode())
    assert files.load(path).inputs == loaded(SHOP).inputs


def test_unstated_head_has_its_defaults() -> None:
    scenario = loaded(SHOP)
    assert (scenario.schema, scenario.currency, scenario.units) == (1, "USD", "us")
    assert scenario.title == "a scenario"
    assert scenario.climbs is None


def test_a_shared_figure_is_one_input_for_every_roof_that_takes_it_over() -> None:
    scenario = loaded(
        SHOP + '[roofs.own]\nlike = "membrane"\nplan = "own_reseal"\n',
        WAYS + '[alternatives.own]\nroof = "own"',
    )
    for roof in ("membrane", "own"):
        stated = scenario.roofs[roof].numbers["life_mean"]
        assert stated == scenario.roofs["membrane"].numbers["life_mean"]
    assert [path for path in scenario.inputs if path.endswith("life_mean")] == [
        "roofs.membrane.life_mean",
        "roofs.coating.life_mean",
    ]
    assert scenario.inputs["roofs.membrane.life_mean"].shared


def test_a_figure_named_by_two_jobs_is_one_input() -> None:
    scenario = loaded("[figures]\nshop_reseal_cost = 650\n" + SHOP)
    figure = scenario.inputs["figures.shop_reseal_cost"]
    assert (figure.likely, figure.shared) == (650.0, False)
    assert figure.tool is not None and figure.tool.likely == 1000.0 and figure.tool.shared


def test_the_tools_own_stays_beside_what_a_file_states_anew() -> None:
    scenario = loaded(SHOP + "renew_cost = 9000\nlife_scale = 20\n")
    tool = scenario.inputs["roofs.membrane.renew_cost"].tool
    assert tool is not None and (tool.low, tool.likely, tool.high) == (3900.0, 7800.0, 11700.0)
    assert scenario.inputs["roofs.membrane.life_scale"].tool is None
    assert "roofs.membrane.life_mean" not in scenario.inputs
    stated = files.loads(HEAD.replace("[owner]\n", "[owner]\nday_cost = 10\n") + SHOP + WAYS)
    own = stated.inputs["owner.day_cost"].tool
    assert own is not None and own.likely == 60.0


def test_the_tools_own_of_a_coatings_leaks_carries_the_ratio() -> None:
    scenario = loaded(SHOP + '[roofs.coating]\nlike = "coating"\npuncture_rate = 0.002\n')
    tool = scenario.inputs["roofs.coating.puncture_rate"].tool
    assert tool is not None and tool.likely == pytest.approx(0.01 * 0.3)


def test_what_a_file_says_of_its_membrane_does_not_change_the_shared_coating() -> None:
    scenario = loaded(SHOP + "puncture_rate = 0.5\n")
    case = resolve(scenario)
    assert case.existing.roof.puncture_rate == 0.5
    assert case.alternative("coat").then.puncture_rate == pytest.approx(0.01 * 0.3)
    assert scenario.inputs["shared.roofs.membrane.puncture_rate"].likely == 0.01
    assert scenario.inputs["roofs.membrane.puncture_rate"].likely == 0.5


def test_a_ratio_stated_for_the_shared_roof_of_that_name_replaces_its_ratio() -> None:
    scenario = loaded(SHOP + '[roofs.coating]\nlike = "coating"\nleak_ratio = 1\n')
    assert resolve(scenario).alternative("coat").then.puncture_rate == pytest.approx(0.01)
    tool = scenario.inputs["roofs.coating.leak_ratio"].tool
    assert tool is not None and tool.likely == 0.3


def test_a_ratio_of_another_roof_multiplies_once_more() -> None:
    ways = WAYS.replace('"coating"', '"better"')
    scenario = loaded(SHOP + '[roofs.better]\nlike = "coating"\nleak_ratio = 0.5\n', ways)
    assert resolve(scenario).alternative("coat").then.puncture_rate == pytest.approx(0.01 * 0.3 * 0.5)


def test_a_chain_of_roofs_takes_over_step_by_step() -> None:
    text = (
        SHOP
        + "resale_share = 0.2\n"
        + '[roofs.b]\nlike = "membrane"\nrenew_days = 9\n[roofs.c]\nlike = "b"\n'
    )
    scenario = loaded(text, WAYS + '[alternatives.c]\nroof = "c"\n')
    roof = resolve(scenario).alternative("c").roof
    assert (roof.resale_share, roof.renew_days) == (0.2, 9.0)
    assert scenario.roofs["c"].numbers["renew_days"] == scenario.roofs["c"].numbers["renew_days"]
    assert jobs(scenario, "c") == {"reseal": 12}


def test_first_year_leaks_stated_replace_ten_years_taken_over() -> None:
    scenario = loaded(SHOP + "joint_leaks_first_year = 0.05\n")
    assert resolve(scenario).existing.roof.joint_leaks_first_year == 0.05
    assert "joint_leaks_ten_years" not in scenario.roofs["membrane"].numbers


def test_a_rate_of_signs_replaces_the_shared_years() -> None:
    stated = (HEAD + SHOP + WAYS).replace("[leaks]\n", "[leaks]\nsign_rate = 3\n")
    scenario = files.loads(stated)
    assert resolve(scenario).leaks.sign_rate == 3.0
    assert "leaks.sign_years" not in scenario.inputs
    assert resolve(loaded(SHOP)).leaks.sign_rate == pytest.approx(1 / 0.75)


def test_two_coatings_without_upkeep_are_said_once() -> None:
    text = OWN_JOBS + '[roofs.second]\nlike = "coating"\n'
    scenario = loaded(text, WAYS + '[alternatives.second]\nthen = "second"\n')
    assert len(scenario.notices) == 1
    assert scenario.roofs["second"].visits == scenario.roofs["coating"].visits


@pytest.mark.parametrize("plan", ["shop_every_year", "shop_every_third_year", "own_touch_up", "nothing"])
def test_a_coating_that_says_nothing_gets_the_plan_of_the_base_case(plan: str) -> None:
    scenario = loaded(f'[roofs.membrane]\nlike = "membrane"\nplan = "{plan}"\n')
    listed = files.shared()["plans"][plan]["coating"]
    assert jobs(scenario, "coating") == {visit["name"]: visit["every"] for visit in listed}


def test_a_coating_keeps_a_plan_of_its_own() -> None:
    scenario = loaded(SHOP + '[roofs.coating]\nlike = "coating"\nplan = "only_looks"\n')
    assert jobs(scenario, "coating") == {"own look": 12}


def test_a_coating_is_looked_at_as_often_and_as_well_as_jobs_without_a_plan() -> None:
    scenario = loaded(OWN_JOBS)
    membrane, coating = resolve(scenario).existing.roof, resolve(scenario).alternative("coat").then
    assert [(visit.every, visit.finds) for visit in coating.visits] == [(12, 0.6), (3, 0.3)]
    assert [visit.restores for visit in coating.visits] == [0.0, 0.0]
    assert coating.visits[0].cost == 150.0 and coating.visits[1].hours == 1.0
    assert len(membrane.visits) == 3
    assert any("looked at as often" in notice for notice in scenario.notices)


def test_own_jobs_replace_all_jobs_of_a_plan() -> None:
    scenario = loaded(SHOP + 'visits = [{ name = "look", every = 24 }]\n')
    assert jobs(scenario, "membrane") == {"look": 24}
    assert "roofs.membrane.visits.look.every" in scenario.inputs


def test_a_plan_of_the_file_stands_before_the_shared_one() -> None:
    text = SHOP + '[plans.shop_every_year]\nmembrane = [{ name = "reseal", every = 18, cost = 700 }]\n'
    scenario = loaded(text)
    assert jobs(scenario, "membrane") == {"reseal": 18}
    assert jobs(scenario, "coating") == {}
    assert scenario.inputs["plans.shop_every_year.membrane.reseal.cost"].likely == 700.0


def test_the_past_is_that_of_the_roof_unless_stated() -> None:
    assert [visit.name for visit in resolve(loaded(SHOP)).existing.roof.visits] == ["reseal"]
    text = HEAD + 'past_plan = "only_looks"\n' + SHOP + WAYS
    case = resolve(files.loads(text))
    assert [visit.name for visit in case.existing.roof.visits] == ["own look"]
    assert [visit.name for visit in case.alternatives[0].roof.visits] == ["reseal"]
    text = HEAD + 'past_visits = [{ name = "wash", every = 6 }]\n' + SHOP + WAYS
    assert [visit.name for visit in resolve(files.loads(text)).existing.roof.visits] == ["wash"]


def test_whoever_does_not_go_up_leaves_out_ways_with_own_hours() -> None:
    text = SHOP + '[roofs.own]\nlike = "membrane"\nplan = "own_touch_up"\n'
    ways = WAYS + '[alternatives.own]\ntitle = "Do it myself"\nroof = "own"\n'
    climbing = loaded(text, ways)
    staying = files.loads((HEAD + text + ways).replace("[owner]\n", "[owner]\nclimbs = false\n"))
    assert [way.name for way in climbing.alternatives] == ["keep", "coat", "own"]
    assert [way.name for way in staying.alternatives] == ["keep", "coat"]
    assert staying.left_out == {"own": "Do it myself"}
    assert staying.climbs is False
    assert not any("own_touch_up" in path for path in staying.inputs)


def test_own_work_ends_when_the_owner_stops_climbing() -> None:
    text = SHOP + '[roofs.own]\nlike = "membrane"\nplan = "own_reseal"\n'
    text += '[roofs.mine]\nlike = "own"\nplan_ends = 60\nplan_after = "nothing"\n'
    text += '[roofs.odd]\nlike = "own"\nvisits = [{ name = "wash", every = 12, hours = 1 }]\n'
    ways = WAYS + "".join(
        f'[alternatives.{name}]\ntitle = "Mine"\nroof = "{roof}"\n{more}'
        for name, roof, more in (
            ("own", "own", ""),
            ("mine", "mine", ""),
            ("odd", "odd", ""),
            ("sooner", "own", 'change = 5\nthen = "coating"\n'),
        )
    )
    stops = (HEAD + text + ways).replace("[owner]\n", "[owner]\nclimbs_in_ten_years = false\n")
    scenario = files.loads(stops)
    roofs, titles = scenario.roofs, {way.name: way.title for way in scenario.alternatives}
    assert roofs["own"].numbers["plan_ends"] == 120.0
    assert [visit.name for visit in roofs["own"].visits_after] == ["reseal", "shop look in between"]
    assert titles["own"] == ("Mine; after ten years a shop reseals every third year")
    assert titles["sooner"] == titles["mine"] == titles["odd"] == "Mine"
    assert scenario.likely(roofs["mine"].numbers["plan_ends"]) == 60.0 and not roofs["mine"].visits_after
    assert "plan_ends" not in roofs["odd"].numbers
    assert any("roofs.odd goes on after ten years" in notice for notice in scenario.notices)
    assert "plan_ends" not in roofs["membrane"].numbers  # a shop does it anyway
    assert "plan_ends" not in loaded(text, ways).roofs["own"].numbers


def test_a_roof_with_a_plan_of_its_own_does_not_take_over_the_end_of_another() -> None:
    text = SHOP + '[roofs.own]\nlike = "membrane"\nplan_ends = 60\nplan_after = "only_looks"\n'
    text += '[roofs.same]\nlike = "own"\n[roofs.other]\nlike = "own"\nplan = "own_reseal"\n'
    ways = WAYS + "".join(f'[alternatives.{name}]\nroof = "{name}"\n' for name in ("own", "same", "other"))
    roofs = loaded(text, ways).roofs
    assert roofs["same"].numbers["plan_ends"] == roofs["own"].numbers["plan_ends"]
    assert roofs["same"].visits_after == roofs["own"].visits_after != ()
    assert "plan_ends" not in roofs["other"].numbers and not roofs["other"].visits_after


NOT_UP = (HEAD + SHOP.replace("shop_every_year", "own_reseal") + WAYS).replace(
    "[owner]\n", "[owner]\nclimbs = false\n"
)


def test_a_base_case_that_needs_climbing_is_a_fault_for_whoever_does_not_go_up() -> None:
    by_shop = (
        '[roofs.by_shop]\nlike = "membrane"\nplan = "shop_every_year"\n[alternatives.shop]\nroof = "by_shop"'
    )
    with pytest.raises(ScenarioError, match=r"alternatives\.keep .*must not need your own hours"):
        files.loads(f"{NOT_UP}{by_shop}\n")


def test_where_no_way_is_acceptable_it_is_said_and_what_would_be_is_named() -> None:
    with pytest.raises(ScenarioError) as caught:
        files.loads(NOT_UP)
    (fault,) = caught.value.faults
    assert fault.place == "alternatives" and "acceptable" in fault.rule and fault.got == '"keep, coat"'
    named = re.search(r'plan = "(\w+)"', fault.remedy)
    assert named is not None
    assert not files.loads(NOT_UP.replace("own_reseal", named[1])).left_out


def test_unstated_price_and_days_are_those_of_the_roof_that_follows() -> None:
    scenario = loaded(SHOP)
    coat = scenario.alternatives[1]
    assert coat.quote == scenario.roofs["coating"].numbers["renew_cost"]
    assert coat.days == scenario.roofs["coating"].numbers["renew_days"]


def test_a_loan_is_used_with_the_way_it_pays_for() -> None:
    loan = '[loan]\nalternative = "coat"\nprincipal = 6000\nrate = 0.0899\nmonths = 120\n'
    case = resolve(loaded(SHOP, WAYS + loan))
    assert case.loan is not None
    assert (case.loan.principal, case.loan.rate, case.loan.months) == (6000.0, 0.0899, 120)


def test_numbers_keep_their_basis_and_say_if_they_have_none() -> None:
    text = SHOP + 'renew_cost = 9000\nrenew_days = { value = 4, basis = "offer", note = "said the shop" }\n'
    inputs = loaded(text).inputs
    bare, offer = inputs["roofs.membrane.renew_cost"], inputs["roofs.membrane.renew_days"]
    assert (bare.basis, bare.note) == ("judgement", "entered without basis")
    assert (offer.basis, offer.note) == ("offer", "said the shop")
    demo = files.loads('basis = "demo"\n' + HEAD + text + WAYS).inputs["roofs.membrane.renew_cost"]
    assert (demo.basis, demo.note) == ("demo", "set for the example")


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ("{ low = 1, likely = 2, high = 4 }", (1.0, 2.0, 4.0, "pert")),
        ('{ low = 1, high = 4, shape = "uniform" }', (1.0, 2.5, 4.0, "uniform")),
        ('{ low = 1, likely = 2, high = 4, shape = "lognormal" }', (1.0, 2.0, 4.0, "lognormal")),
        ("{ low = 2, likely = 2, high = 2 }", (2.0, 2.0, 2.0, "")),
        ("{ value = 3 }", (3.0, 3.0, 3.0, "")),
    ],
)
def test_ranges_and_their_shapes(stated: str, expected: tuple[float, float, float, str]) -> None:
    figure = loaded(SHOP + f"renew_days = {stated}\n").inputs["roofs.membrane.renew_days"]
    assert (figure.low, figure.likely, figure.high, figure.shape) == expected


def test_figures_of_the_file_that_nothing_uses_are_said() -> None:
    scenario = loaded("[figures]\nspare = 3\n" + SHOP)
    assert scenario.notices == ("figures.spare is used nowhere in this file.",)
    assert "figures.spare" not in scenario.inputs


KEPT = """
[coach]
length = 32
width = { low = 8, likely = 8.5, high = 9 }
gross_rating = 20000
edge = 3
deck = "plywood"
[[coach.penetrations]]
kind = "roof vent"
count = 3
length = 14
fate = "refit"
[climate]
places = [{ place = "Duluth", share = 0.7 }, { place = "Miami", share = 0.3 }]
air_temperature = 50
sheltered_share = 0.25
[quotes.shop]
validity = 2027-06-01
quoted_length = 26
[[quotes.shop.items]]
what = "spray"
unit = "sprayed length"
amount = 26
price = 350
[[quotes.shop.items]]
what = "wood"
unit = "area"
amount = 10
price = 20
contingent = true
[[correlations]]
a = "roofs.membrane.renew_cost"
b = "roofs.coating.renew_cost"
rank = 0.5
[answers]
otherwise = "shop_every_year"
keep = { low = 4, likely = 8, high = 12 }
hour_value = "not sure"
trouble = []
"""


def test_coach_and_climate_are_read_in_metric_units() -> None:
    scenario = loaded(SHOP, WAYS + KEPT)
    inputs, coach, climate = scenario.inputs, scenario.coach, scenario.climate
    assert inputs["coach.length"].likely == pytest.approx(9.7536)
    assert inputs["coach.width"].high == pytest.approx(2.7432)
    assert inputs["coach.edge"].likely == pytest.approx(76.2)
    assert inputs["coach.penetrations.1.length"].likely == pytest.approx(355.6)
    assert inputs["climate.air_temperature"].likely == pytest.approx(10.0)
    assert inputs["climate.places.2.share"].likely == 0.3
    assert coach is not None and climate is not None
    assert coach.deck == "plywood"
    assert coach.limits["gross_rating"].likely == pytest.approx(9071.8474)
    assert [place.name for place in climate.places] == ["Duluth", "Miami"]


def test_sections_for_other_questions_are_kept_in_metric_units() -> None:
    sections = loaded(SHOP, WAYS + KEPT).sections
    items = sections["quotes"]["shop"]["items"]
    assert items[0]["amount"].likely == pytest.approx(26 * 0.3048)
    assert items[0]["price"].likely == pytest.approx(350 / 0.3048)
    assert items[0]["amount"].likely * items[0]["price"].likely == pytest.approx(26 * 350)
    assert items[1]["price"].likely == pytest.approx(20 / 0.09290304)
    assert sections["correlations"][0]["rank"].likely == 0.5
    assert sections["answers"]["keep"] == {"low": 4, "likely": 8, "high": 12}


def test_metric_files_are_taken_as_they_are() -> None:
    scenario = files.loads('units = "metric"\n' + HEAD + SHOP + WAYS + KEPT)
    assert scenario.inputs["coach.length"].likely == 32.0
    assert scenario.inputs["climate.air_temperature"].likely == 50.0
    assert scenario.sections["quotes"]["shop"]["items"][0]["price"].likely == 350.0
    assert scenario.answers["hour_value"] == "not sure"


def test_kept_sections_are_no_inputs_and_change_no_case() -> None:
    kept = KEPT[KEPT.index("[quotes.shop]") :]
    with_them, without = loaded(SHOP, WAYS + kept), loaded(SHOP)
    assert set(with_them.sections) == {"quotes", "correlations", "answers"}
    assert with_them.inputs == without.inputs
    assert resolve(with_them) == resolve(without)


def test_the_layout_that_other_people_write_loads() -> None:
    text = """
schema = 1
title = "A title of your own"
currency = "USD"
units = "us"
[study]
base_date = 2027-04-01
study_period = 20
discount_rate = { low = 0.01, likely = 0.03, high = 0.06, shape = "pert", basis = "judgement", note = "..." }
inflation = 0.025
escalation = { "upkeep" = 0.01 }
[owner]
holding_period = { low = 4, likely = 8, high = 15, shape = "triangular", basis = "judgement" }
hour_value = 20.0
day_cost = 60.0
climbs = true
[leaks]
sign_rate = 1.2
patch_cost = 350
rot_time = 2
severe_after = 1
[roofs.membrane]
life_shape = 3.5
life_scale = 17
[[roofs.membrane.visits]]
name = "reseal"
every = 12
cost = 950
finds = 0.6
restores = 1.0
[roofs.membrane_own]
like = "membrane"
plan = "own_reseal"
[existing]
roof = "membrane"
age = 36
seal_age = 10
hidden_now = [ { age = 8, joint = 0.10, puncture = 0.05 }, { age = 20, joint = 0.02, puncture = 0.01 } ]
last_visits = { reseal = 3 }
[alternatives.keep]
title = "A shop reseals every year"
base_case = true
roof = "membrane"
change = "end of life"
then = "membrane"
[alternatives.coat_now]
title = "Spray now"
change = "now"
then = "coating"
quote = 7100
days = 4
subject = true
[alternatives.own]
roof = "membrane_own"
"""
    case = resolve(files.loads(text))
    assert case.alternative("coat_now").change_month == 0
    assert case.alternative("coat_now").then.visits[0].finds == 0.6
    assert case.alternative("own").roof.life_scale == 17.0
    assert case.existing.last_visits == {"reseal": 3}
    assert case.terms.escalation == {"upkeep": 0.01}


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_scenarios_load_with_a_basis_for_every_input(path: Path) -> None:
    scenario = files.load(path)
    assert all(figure.basis and figure.note for figure in scenario.inputs.values())
    assert scenario.notices == ()
    assert len(resolve(scenario).alternatives) == len(scenario.alternatives)


def test_loading_needs_no_heavy_library() -> None:
    code = (
        "import sys; from lifecycle import files;"
        f"files.load({str(SCENARIOS / 'own-hands.toml')!r});"
        "print([name for name in ('pandas', 'scipy', 'matplotlib', 'tomlkit') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_skin_of_fibreglass_is_kept_as_a_membrane_and_has_figures_of_its_own() -> None:
    text = (HEAD + SHOP + WAYS).replace('roof = "membrane"', 'roof = "skin"')
    text += '[roofs.skin]\nlike = "fibreglass"\nplan = "shop_every_year"\n'
    scenario = files.loads(text)
    skin, membrane = scenario.roofs["skin"], files.loads(HEAD + SHOP + WAYS).roofs["membrane"]
    assert skin.covering == "fibreglass" and skin.visits == membrane.visits
    assert scenario.likely(skin.numbers["life_mean"]) == 25.0
    assert skin.numbers["life_shape"] == membrane.numbers["life_shape"]
    notes = [scenario.inputs[skin.numbers[name].path].note for name in ("life_mean", "puncture_rate")]
    assert all("thinner than all others" in note for note in notes)
    with pytest.raises(ScenarioError, match="must be the roof that stands under another upkeep"):
        files.loads(text + '[alternatives.other]\nroof = "membrane"\n')
    at_home = resolve(files.loads(text + '[climate]\nplace = "Duluth"\n'))
    assert at_home.base_case.roof.ageing == pytest.approx(
        resolve(files.loads(HEAD + SHOP + WAYS + '[climate]\nplace = "Duluth"\n')).base_case.roof.ageing
    )


def test_a_name_with_a_line_break_is_no_place_to_write_to(tmp_path: Path) -> None:
    for write in (
        lambda: files.write(tmp_path / "a\nb.txt", b"text"),
        lambda: files.write_all(tmp_path / "a\tb", {"one.txt": b"text"}),
    ):
        with pytest.raises(ScenarioError, match="must be a name without line breaks or tabs"):
            write()
    assert list(tmp_path.iterdir()) == []
