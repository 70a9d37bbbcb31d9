"""From answers to a scenario: what is checked, what is written, and that it loads."""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest

from lifecycle import files
from lifecycle.answers.comparison import compare
from lifecycle.answers.parts import Silent
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.expectation import evaluate
from lifecycle.interview import NOT_SURE, faults, parts, questions, scenario_text
from lifecycle.interview.questions import own_plans
from lifecycle.interview.typed import place_in
from lifecycle.plans import with_other_ways
from lifecycle.scenario import geometry_of, replaced, resolve, site_of
from lifecycle.writers.terminal import SCREEN, as_text

BASE_DATE = date(2027, 4, 1)
OWNER: dict[str, Any] = {
    "otherwise": "shop_every_year",
    "climbs": True,
    "climbs_in_ten_years": False,
    "reseal_price": {"low": 600, "likely": 650, "high": 900},
    "hour_value": 25,
    "keep": {"low": 6, "likely": 10, "high": 15},
    "quote": 8130,
    "quoted_length": 26,
    "quoted_by": "overall",
    "roof_age": 14,
    "seal_age": "never",
    "length": 26,
    "place": 'Humid "coast" \\ north',
    "sheltered_share": 0.25,
    "trouble": [],
}
UNSURE: dict[str, Any] = {"otherwise": NOT_SURE, "keep": NOT_SURE, "quote": NOT_SURE, "roof_age": 84}
PLANS = tuple(part for part in parts()["otherwise"].values)


def written(answers: dict[str, Any]) -> dict[str, Any]:
    """Return the scenario that `answers` make, as parsed."""
    return tomllib.loads(scenario_text(answers, base_date=BASE_DATE))


def places(answers: dict[str, Any]) -> list[str]:
    """Return the places of all faults."""
    return [fault.place for fault in faults(answers)]


def test_seven_questions_cover_every_name_of_the_answers() -> None:
    assert [question.number for question in questions()] == [1, 2, 3, 4, 5, 6, 7]
    assert set(parts()) == set(files.fields()["answers"]) >= set(files.data("fields.toml")["answers"])


EVERY_ANSWER: dict[str, Any] = {
    **OWNER,
    "length": 30,
    "seal_age": 6,
    "covering": "fibreglass",
    "warranty_years": 5,
    "warranty_in_writing": True,
    "place": "Duluth",
    "second_place": "Miami",
    "second_share": 0.25,
    "trouble": ["stain"],
    "opened": "wet",
    "repaired": "one panel",
    "repair_cost": 900,
    "readings": "front cap 9",
    "meter_limit": 20,
}


@pytest.mark.parametrize("key", sorted(set(parts()) - {"decided"}))
def test_every_answer_changes_what_is_written(key: str) -> None:
    """But for one that only the words of the answer know: whether the owner has decided."""
    assert key in EVERY_ANSWER, "answer it there"
    other = (
        {**EVERY_ANSWER, key: {**UNSURE, "roof_age": 200}[key]}
        if parts()[key].needed
        else {name: value for name, value in EVERY_ANSWER.items() if name != key}
    )
    above = [scenario_text(one, base_date=BASE_DATE).split("[answers]")[0] for one in (EVERY_ANSWER, other)]
    assert above[0] != above[1]


def test_only_the_age_of_the_roof_cannot_be_unsure() -> None:
    assert [part.key for part in parts().values() if part.needed and not part.not_sure] == ["roof_age"]


@pytest.mark.parametrize("plan", PLANS)
def test_every_answer_to_question_one_loads_with_its_plan_as_the_base_case(plan: str) -> None:
    document = written({**OWNER, "otherwise": plan})
    scenario = files.loads(scenario_text({**OWNER, "otherwise": plan}, base_date=BASE_DATE))
    assert document["roofs"]["membrane"]["plan"] == plan
    assert scenario.base_case.name == "keep"
    keeping = [way for way in document["alternatives"].values() if "then" not in way]
    assert len(keeping) >= 4, "a needlessly dear base case must show"


def test_every_answer_of_the_owner_stands_in_the_scenario() -> None:
    document = written(OWNER)
    assert document["owner"]["holding_period"]["likely"] == 10
    assert document["owner"]["hour_value"]["value"] == 25
    assert document["owner"]["climbs"] is True
    assert document["figures"]["shop_reseal_cost"]["likely"] == 650
    assert document["figures"]["coating_quote"]["value"] == 8130
    assert document["figures"]["coating_quote"]["basis"] == "offer"
    assert document["existing"]["age"]["value"] == document["existing"]["seal_age"]["value"] == 14
    assert document["alternatives"]["coat_now"]["subject"] is True
    assert document["alternatives"]["coat_in_year_5"]["change"]["value"] == 5


def test_answers_are_kept_as_they_were_given() -> None:
    assert written(OWNER)["answers"] == OWNER
    assert written(UNSURE)["answers"] == UNSURE
    kept = files.loads(scenario_text(OWNER, base_date=BASE_DATE)).answers
    assert {**kept, "trouble": list(kept["trouble"])} == OWNER


def test_a_written_scenario_gives_its_answers_again() -> None:
    text = scenario_text(OWNER, base_date=BASE_DATE)
    assert scenario_text(tomllib.loads(text)["answers"], base_date=BASE_DATE) == text


def test_not_sure_everywhere_loads_and_compares_all_plans() -> None:
    document = written(UNSURE)
    used = [roof["plan"] for roof in document["roofs"].values() if "plan" in roof]
    assert set(PLANS) < set(used)  # and the other ways
    assert document["answers"]["otherwise"] == NOT_SURE
    assert "quote" not in document["alternatives"]["coat_now"]
    assert "holding_period" not in document["owner"]
    scenario = files.loads(scenario_text(UNSURE, base_date=BASE_DATE))
    assert len(scenario.alternatives) == len(PLANS) + 3
    kept = scenario.inputs["owner.holding_period"]
    assert (kept.low, kept.likely, kept.high) == (3, 8, 20)


def test_prices_of_a_new_roof_follow_the_length() -> None:
    long, reference = written({**OWNER, "length": 39}), written(OWNER)
    for roof in ("membrane", "coating"):
        longer, usual = long["roofs"][roof]["renew_cost"], reference["roofs"][roof]["renew_cost"]
        for name in ("low", "likely", "high"):
            assert longer[name] == pytest.approx(1.5 * usual[name], abs=10)
    assert "renew_cost" not in written(UNSURE)["roofs"]["membrane"]


def test_a_price_a_foot_says_which_foot() -> None:
    assert "313 a foot of the whole coach" in scenario_text(OWNER, base_date=BASE_DATE)
    sprayed = {**OWNER, "quoted_length": 21.6, "quoted_by": "sprayed"}
    assert "376 a sprayed foot" in scenario_text(sprayed, base_date=BASE_DATE)


def test_keeping_it_longer_than_the_years_shown_lengthens_them() -> None:
    document = written({**OWNER, "keep": {"low": 10, "likely": 20, "high": 24.5}})
    assert document["study"]["study_period"] == 25
    assert "study_period" not in written(OWNER)["study"]


@pytest.mark.parametrize("plan", ["shop_every_year", "shop_every_third_year", "nothing", NOT_SURE])
def test_who_does_not_climb_gets_no_way_with_own_hours(plan: str) -> None:
    text = scenario_text({**OWNER, "otherwise": plan, "climbs": False}, base_date=BASE_DATE)
    case = resolve(files.loads(text))
    for way in case.alternatives:
        for roof in (way.roof, way.then):
            assert all(visit.hours == 0 for visit in roof.all_visits), way.name


def test_who_does_not_climb_has_the_coating_looked_at_as_often() -> None:
    answers = {**OWNER, "otherwise": "shop_every_third_year", "climbs": False}
    scenario = files.loads(scenario_text(answers, base_date=BASE_DATE))
    membrane, coating = (
        sorted(
            (scenario.likely(visit.numbers["every"]), scenario.likely(visit.numbers["finds"]))
            for visit in scenario.roofs[roof].visits
            if "finds" in visit.numbers
        )
        for roof in ("membrane", "coating")
    )
    assert membrane == coating == [(12, 0.4), (36, 0.6)]


def test_who_stops_climbing_has_it_written_as_a_fact_with_its_cost() -> None:
    """The touch-ups of one's own end after ten years; later and on a coating a shop does it."""
    answers = {**OWNER, "otherwise": "own_touch_up", "keep": 15}
    assert written(answers)["owner"]["climbs_in_ten_years"] is False
    scenario = files.loads(scenario_text(answers, base_date=BASE_DATE))
    keep, coat = (resolve(scenario).alternative(name) for name in ("keep", "coat_now"))
    assert (keep.roof.plan_ends, keep.roof.visits[0].name) == (120, "own touch-up")
    assert [visit.name for visit in keep.then.visits_when_new] == ["shop touch-up"]
    assert [visit.name for visit in coat.then.visits_when_new] == ["shop look", "topcoat"]
    assert keep.title.endswith("; after ten years a shop")
    goes_on = files.loads(scenario_text({**answers, "climbs_in_ten_years": True}, base_date=BASE_DATE))
    costs = [evaluate(resolve(one))["keep"].net_present_cost[0] for one in (scenario, goes_on)]
    assert costs[0][15] > costs[1][15] + 500.0


@pytest.mark.parametrize("plan", ["shop_every_third_year", "only_looks"])
def test_the_answer_of_who_stops_climbing_fits_a_screen(plan: str) -> None:
    """Titles say what goes on after ten years; one that is changed before does not."""
    scenario = files.loads(scenario_text({**OWNER, "otherwise": plan, "keep": 15}, base_date=BASE_DATE))
    answer = compare(scenario, draws=64, seed=1, told=Silent())
    first, whole = as_text(answer, everything=False), as_text(answer)
    assert len(first.splitlines()) <= SCREEN
    assert "In ten years you will not go up any more" in whole
    titles = {way["title"] for way in answer.data["alternatives"].values()}
    assert "You touch up cracks every year yourself; after ten years a shop" in titles
    assert "Spray in year 8; until then you touch up cracks every year yourself" in titles


@pytest.mark.parametrize("age", [14, 144])
@pytest.mark.parametrize("keep", [3, 10])
@pytest.mark.parametrize("climbs", [True, False, NOT_SURE])
@pytest.mark.parametrize("plan", PLANS)
def test_ways_that_fit_are_offered_seven_of_them_at_once(plan: str, climbs: Any, keep: int, age: int) -> None:
    if climbs is False and plan in own_plans():
        return
    answers = {**OWNER, "otherwise": plan, "climbs": climbs, "keep": keep, "roof_age": age, "place": "Miami"}
    scenario = files.loads(scenario_text({**answers, "climbs_in_ten_years": True}, base_date=BASE_DATE))
    ready = {way.name for way in scenario.alternatives if not way.added}
    assert len(ready) == 7
    every = with_other_ways(scenario)
    names = {way.name for way in every.alternatives if not way.added}
    assert names == ready | set(scenario.aside)
    assert not every.left_out and not every.aside
    old, brief, own = age >= 96, keep <= 4, climbs is not False
    assert ("new_roof_now" in names) == old
    assert ("keep_patch_before_sale" in names) == (old and brief)
    assert ("keep_own_roll_on" in names) == ("keep_own_every_third_year" in names) == own
    assert ("keep_under_a_cover" in names) == own
    assert "keep_shop_roll_on" in names
    if not own:
        case = resolve(every)
        hours = [v.hours for way in case.alternatives for v in (*way.roof.all_visits, *way.then.all_visits)]
        assert not any(hours)


def test_a_recoat_is_planned_work_and_no_new_roof() -> None:
    """Rolled on in years 6 and 12, it is paid as upkeep, and fewer new roofs are needed than without."""
    scenario = with_other_ways(files.loads(scenario_text({**OWNER, "keep": 14}, base_date=BASE_DATE)))
    case = resolve(replaced(scenario, {"owner.holding_period": 14.0}))
    found = evaluate(case)
    rolled, looked = found["keep_shop_roll_on"], found["keep_only_looks"]
    paid = rolled.by_category["upkeep: coat"][0]
    assert paid == pytest.approx(840 * (1.03**-6 + 1.03**-12) * 0.75, rel=0.25)  # some roofs end before
    assert rolled.expected["renewals"][0] < looked.expected["renewals"][0]


def test_a_cover_has_a_site_a_price_and_hours_of_its_own() -> None:
    answers = {**OWNER, "place": "Miami", "climbs_in_ten_years": True, "sheltered_share": 0.0}
    scenario = with_other_ways(files.loads(scenario_text(answers, base_date=BASE_DATE)))
    case = resolve(scenario)
    keep, cover = case.base_case, case.alternative("keep_under_a_cover")
    assert cover.roof.ageing < keep.roof.ageing
    assert case.leaks_under(cover).rot_time > case.leaks.rot_time
    cost = evaluate(case)["keep_under_a_cover"].by_category
    assert cost["upkeep: cover"][0] > 450.0  # bought today and again
    assert cost["hours"][0] > 0.0
    assert "keep_under_a_cover" not in written({**OWNER, "place": NOT_SURE})["alternatives"]
    assert "keep_under_a_cover" not in written({**answers, "sheltered_share": 0.75})["alternatives"]


def test_a_warranty_is_written_as_it_was_said() -> None:
    spoken = resolve(files.loads(scenario_text({**OWNER, "warranty_years": 10}, base_date=BASE_DATE)))
    answers = {**OWNER, "warranty_years": 10, "warranty_in_writing": True}
    in_writing = resolve(files.loads(scenario_text(answers, base_date=BASE_DATE)))
    then = [case.alternative("coat_now").then for case in (spoken, in_writing)]
    assert [roof.warranty_years for roof in then] == [10.0, 10.0]
    assert [roof.warranty_honoured for roof in then] == [0.3, 0.75]
    assert "warranty_years" not in written({**OWNER, "warranty_years": 0})["roofs"]["coating"]


def test_a_skin_of_fibreglass_is_the_roof_that_stands() -> None:
    scenario = files.loads(scenario_text({**OWNER, "covering": "fibreglass"}, base_date=BASE_DATE))
    assert scenario.roofs[scenario.existing.roof].covering == "fibreglass"
    titles = [way.title for way in scenario.alternatives]
    assert "Spray when the fibreglass skin must go" in titles
    assert not any(name.startswith("roofs.membrane.life_mean") for name in scenario.inputs)


def test_trouble_is_passed_on_and_a_clean_look_counts() -> None:
    text = scenario_text({**OWNER, "trouble": ["stain", "bubble"]}, base_date=BASE_DATE)
    assert files.loads(text).trouble == ("stain", "bubble")
    assert written(OWNER)["existing"]["inspected_today"] == "look_finds"
    assert "inspected_today" not in written(UNSURE)["existing"]
    assert "Look first" in scenario_text(UNSURE, base_date=BASE_DATE)


def test_first_three_questions_and_the_age_must_be_answered() -> None:
    assert places({}) == ["answers.otherwise", "answers.keep", "answers.quote", "answers.roof_age"]


def test_all_faults_are_told_at_once_with_the_nearest_name() -> None:
    wrong = {**OWNER, "kep": 3, "quote": -1, "climbs": "perhaps", "place": "two\nlines", "trouble": ["rust"]}
    with pytest.raises(ScenarioError) as caught:
        scenario_text(wrong, base_date=BASE_DATE)
    assert {fault.place for fault in caught.value.faults} == {
        "answers.kep",
        "answers.quote",
        "answers.climbs",
        "answers.place",
        "answers.trouble",
    }
    assert 'did you mean "keep"?' in str(caught.value)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("keep", {"low": 9, "likely": 8, "high": 10}),
        ("keep", {"low": 9, "high": 10}),
        ("keep", float("nan")),
        ("keep", 500),
        ("keep", True),
        ("otherwise", "pray"),
        ("otherwise", ["nothing"]),
        ("roof_age", NOT_SURE),
        ("roof_age", 14.5),
        ("seal_age", "long ago"),
        ("quoted_by", 3),
        ("sheltered_share", 6),
        ("trouble", "stain"),
        ("length", float("inf")),
    ],
)
def test_an_answer_that_is_none_is_named(key: str, value: object) -> None:
    assert places({**OWNER, key: value}) == [f"answers.{key}"]


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"seal_age": 15}, "answers.seal_age"),
        ({"quoted_by": "sprayed", "quoted_length": 30}, "answers.length"),
        ({"otherwise": "own_reseal", "climbs": False}, "answers.climbs"),
    ],
)
def test_answers_that_contradict_each_other_are_named(changed: dict[str, Any], place: str) -> None:
    assert places({**OWNER, **changed}) == [place]


def test_the_length_becomes_a_coach_and_scales_joints_and_punctures() -> None:
    scenario = files.loads(scenario_text({**OWNER, "length": 39}, base_date=BASE_DATE))
    shape = geometry_of(scenario)
    assert shape is not None
    assert shape.area_ratio == pytest.approx(1.5)
    assert shape.assumed == ("width", "caps", "penetrations")
    assert "coach" not in written({**OWNER, "length": NOT_SURE, "quoted_by": NOT_SURE})


@pytest.mark.parametrize(
    ("answer", "name"),
    [
        ("Duluth", "Duluth"),
        ("duluth", "Duluth"),
        ("Miami, Florida", "Miami"),
        ("near San Francisco", "San Francisco"),
        ("between Denver and Chicago", None),
        ("Humid coast", None),
        (NOT_SURE, None),
    ],
)
def test_a_place_of_the_table_is_known_by_its_name(answer: str, name: str | None) -> None:
    assert place_in(answer) == name
    climate = written({**OWNER, "place": answer})["climate"]
    assert climate.get("place") == name


def test_place_and_cover_become_a_climate() -> None:
    scenario = files.loads(scenario_text({**OWNER, "place": "Duluth"}, base_date=BASE_DATE))
    assert scenario.climate is not None
    assert [place.name for place in scenario.climate.places] == ["Duluth"]
    assert site_of(scenario).sheltered_share == 0.25


def test_two_places_share_the_year() -> None:
    both = {**OWNER, "place": "Duluth", "second_place": "Phoenix", "second_share": 5 / 12}
    shares = written(both)["climate"]["places"]
    assert [entry["place"] for entry in shares] == ["Duluth", "Phoenix"]
    assert sum(entry["share"] for entry in shares) == pytest.approx(1.0)
    assert files.loads(scenario_text(both, base_date=BASE_DATE)).climate is not None
    without = written({**both, "second_share": NOT_SURE})["climate"]
    assert without["place"] == "Duluth" and "places" not in without


def test_an_unknown_place_is_a_comment_that_lists_the_table() -> None:
    text = scenario_text({**OWNER, "sheltered_share": 0}, base_date=BASE_DATE)
    assert "is not in the table of places" in text
    assert all(name in text for name in files.shared()["places"])
    assert "climate" not in tomllib.loads(text)
    assert resolve(files.loads(text)).leaks.rot_time == 2.0


def test_the_question_names_every_place_of_the_table() -> None:
    asked = parts()["place"].ask
    assert all(name in asked for name in files.shared()["places"])


def test_nothing_known_of_size_and_place_writes_neither_section() -> None:
    assert {"coach", "climate"}.isdisjoint(written(UNSURE))
