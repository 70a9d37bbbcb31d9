"""The verdict grammar: every word, every sentence, and what is never said."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from lifecycle.evaluation.comparison import Comparison, compare
from lifecycle.evaluation.swings import Swing
from lifecycle.files import load, loads
from lifecycle.interview import scenario_text
from lifecycle.language import advice, cautions, labels, words
from lifecycle.language.verdict import verdict
from lifecycle.language.words import Sureness, VerdictParts
from lifecycle.roofs import CATEGORIES, Roof, Visit
from lifecycle.scenario import replaced
from lifecycle.studies.verdict import word_under_doubt, word_without_doubt

SCENARIOS = Path(__file__).parents[2] / "scenarios"
ALL = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


@cache
def shipped(name: str) -> Comparison:
    """Return the comparison of a shipped scenario."""
    return compare(load(SCENARIOS / f"{name}.toml"))


@cache
def answered(**answers: Any) -> Comparison:
    """Return the comparison that some answers to the seven questions make."""
    given: dict[str, Any] = {"otherwise": "own_touch_up", "keep": 8, "quote": 8130, "roof_age": 14}
    return compare(loads(scenario_text({**given, **answers}, base_date=date(2027, 4, 1))))


@pytest.mark.parametrize(
    ("of_20", "word"),
    [
        (20, "cheaper"),
        (18, "cheaper"),
        (17, "probably cheaper"),
        (15, "probably cheaper"),
        (14, "could go either way"),
        (6, "could go either way"),
        (5, "probably dearer"),
        (3, "probably dearer"),
        (2, "dearer"),
        (0, "dearer"),
    ],
)
def test_the_word_by_the_share_of_futures(of_20: int, word: str) -> None:
    assert word_under_doubt(of_20 / 20, 3000.0, 12000.0) == word


def test_shares_are_rounded_half_up_before_the_word() -> None:
    assert word_under_doubt(0.8749, 3000.0, 12000.0) == "probably cheaper"
    assert word_under_doubt(0.875, 3000.0, 12000.0) == "cheaper"


def test_about_the_same_goes_first_whatever_the_share() -> None:
    assert word_under_doubt(1.0, 249.0, 1000.0) == "about the same"
    assert word_under_doubt(0.0, -359.0, 12000.0) == "about the same"
    assert word_under_doubt(1.0, 361.0, 12000.0) == "cheaper"
    assert word_without_doubt(-250.0, 1000.0) == "dearer"


@pytest.mark.parametrize("name", [name for name in ALL if name != "trouble-reported"])
def test_without_doubt_there_is_no_probably_and_no_of_20_futures(name: str) -> None:
    said = verdict(shipped(name))
    assert said.parts.word in ("cheaper", "dearer", "about the same")
    assert said.parts.of_20 is None
    assert said.parts.if_sold == {}
    text = "\n".join((*said.lines, *said.beside))
    assert "probably" not in text
    assert "futures" not in text
    assert re.search(r"Every input stands at (its likely|one) value", text)


@pytest.mark.parametrize("name", ALL)
def test_what_is_never_said(name: str) -> None:
    said = verdict(shipped(name))
    for line in (*said.lines, *said.beside):
        assert not re.search(r"\bsaves?\b|breaks even|net-present|-\d|\bnan\b|\bNone\b(?! of)", line), line
        money = re.findall(r"about ([\d,]+)", line)
        for amount in money:
            assert len(amount.replace(",", "").strip("0")) <= 2, line


def test_the_answer_names_word_against_years_and_money() -> None:
    first = verdict(shipped("cold-stored-trailer")).lines[0]
    assert first.startswith(
        "Spray now: dearer, compared with what you would do otherwise (a shop reseals every"
    )
    assert "if you keep it 9 years" in first
    assert first.endswith("dearer in today's money.")


def test_the_break_even_year_is_named_only_if_it_is_no_dearer_at_the_years_kept() -> None:
    cheaper, dearer = shipped("worked-example-1"), shipped("humid-coast-motorhome")
    assert "It is no dearer if you sell at the end of year 6" in " ".join(verdict(cheaper).lines)
    measures = dearer.ways["coat_now"].measures
    assert measures is not None
    assert measures.break_even_year.value == 14.0
    assert "no dearer" not in " ".join(verdict(dearer).lines)


def test_the_other_year_of_sale_is_named_with_its_own_figure() -> None:
    found = shipped("worked-example-2")
    assert "If you sell after 5 years: about 860 cheaper." in verdict(found).lines[1]
    kept_five = compare(replaced(found.scenario, {"owner.holding_period": 5.0}))
    assert "If you sell after 3 years:" in verdict(kept_five).lines[1]


def test_why_names_the_largest_differences() -> None:
    why = advice.why_sentence(shipped("worked-example-1"), "coat_now")
    assert why.startswith("Why, more: 7,100 for the change today; less: 7,300 for upkeep")


def test_touching_up_is_said_to_be_cheapest() -> None:
    line = advice.cheapest_sentence(shipped("humid-coast-motorhome"))
    assert line.startswith("Cheapest is to keep the roof that stands: the owner touches up cracks every year")


def test_waiting_is_said_to_be_cheapest() -> None:
    assert advice.cheapest_sentence(shipped("own-hands")).startswith("Cheapest is to wait: spray when")


def test_what_one_does_otherwise_is_said_to_be_cheapest() -> None:
    found = shipped("worked-example-1")
    base = replace(found, cheapest="keep", subject="coat_later")
    assert advice.cheapest_sentence(base).startswith("Cheapest is what you would do otherwise: keep the")


def test_nothing_is_cheaper_than_the_subject() -> None:
    assert advice.cheapest_sentence(shipped("worked-example-1")) == "None of the ways compared is cheaper."


def test_the_next_step_is_a_price_that_one_can_ask_for() -> None:
    step = advice.next_step(shipped("humid-coast-motorhome"))
    assert step.startswith("Next: ask for the price of the job (shop reseal). Above about ")
    found = shipped("humid-coast-motorhome")
    turns = float(step.removesuffix(" this turns.").rsplit(" ", 1)[1].replace(",", ""))
    at = [compare(replaced(found.scenario, {"figures.shop_reseal_cost": turns + d})) for d in (-20.0, 20.0)]
    assert at[0].net_savings("coat_now") < 0.0 < at[1].net_savings("coat_now")


def test_the_next_step_where_nothing_turns_the_answer() -> None:
    step = advice.next_step(shipped("sells-in-three-years"))
    assert "None of the" in step
    assert "nothing that one could ask for" in step


def test_the_turning_value_lies_on_a_straight_line_to_the_end_that_turns() -> None:
    figure = shipped("humid-coast-motorhome").scenario.inputs["figures.shop_reseal_cost"]
    rising = Swing(figure, 100.0, -600.0, 900.0)
    expected = figure.likely - (figure.likely - figure.low) * 100.0 / 700.0
    assert advice.turning_value(rising) == pytest.approx(expected)
    assert advice.turning_value(Swing(figure, 100.0, 50.0, 900.0)) is None


def test_undecided_money_names_what_decides() -> None:
    scenario = shipped("humid-coast-motorhome").scenario
    said = verdict(compare(replaced(scenario, {"figures.coating_quote": 8050.0})))
    assert said.parts.word == "about the same"
    assert said.beside[0].startswith("The money does not decide this. What does, in 10 years")
    assert "days without the coach 7.5 against 12" in said.beside[0]
    assert said.beside[1].startswith("What happens to one coach: of 20, an unplanned new roof by year 10: 5 ")


def test_three_swings_stand_beside_the_verdict() -> None:
    beside = verdict(shipped("cold-stored-trailer")).beside
    rows = [line for line in beside if line.startswith("- ")]
    assert len(rows) == 3
    assert rows[0] == (
        "- price of the job (shop reseal): at 300 about 5,900 dearer, at 2,000 about 1,200 dearer"
    )


def test_unequal_looks_are_named_and_equal_ones_are_not() -> None:
    looks = cautions.unequal_looks(shipped("worked-example-1"))
    assert looks is not None
    assert "a year's upkeep finds 40 on the new roof" in looks
    assert "95 on that of" in looks
    assert cautions.unequal_looks(shipped("humid-coast-motorhome")) is None


def test_the_chance_of_a_find_within_a_year() -> None:
    jobs = (Visit("look", 6, finds=0.5), Visit("reseal", 24, finds=0.36))
    assert cautions.yearly_look(Roof("r", 3.0, 17.0, visits=jobs)) == pytest.approx(1 - 0.5**2 * 0.64**0.5)
    assert cautions.yearly_look(Roof("r", 3.0, 17.0)) == 0.0


def test_trouble_is_opened_first() -> None:
    said = verdict(shipped("trouble-reported"))
    assert said.lines[0] == "Open it first. Trouble is reported: stain and soft spot."
    assert said.parts.word == "open it first"
    assert said.parts.middle is None


def test_a_single_way_has_nothing_to_compare_with() -> None:
    found = shipped("worked-example-1")
    alone = replace(found, subject=None, ways={"keep": found.ways["keep"]}, cheapest="keep")
    said = verdict(alone)
    assert said.parts.word == "only one way"
    assert "no other way" in said.lines[0]


def test_not_sure_what_otherwise_gives_no_single_verdict() -> None:
    found = answered(otherwise="not sure")
    said = verdict(found)
    assert said.parts.word == "no single verdict"
    assert said.parts.middle is None
    rows = [line for line in said.lines if line.startswith("- ")]
    assert len(rows) == sum(way.keeps_what_stands for way in found.ways.values()) == 7
    assert said.lines[-1] == advice.DECIDE_OTHERWISE


def test_not_sure_how_long_shows_three_eight_and_twenty_years() -> None:
    line = verdict(answered(keep="not sure")).lines[1]
    assert "after 3 years:" in line
    assert "after 20 years:" in line
    both = verdict(answered(keep="not sure", otherwise="not sure")).lines
    assert both[0].endswith("if you keep it 3 years / 8 years / 20 years:")
    assert both[1].count(" / ") == 2


def test_without_a_quote_the_highest_price_is_named() -> None:
    found = answered(quote="not sure")
    said = verdict(found)
    price = found.break_even_price("coat_now").value
    assert price is not None
    assert said.parts.word == "no quote yet"
    assert words.highest_price_text(price) in said.lines[1]
    assert said.lines[-1] == advice.GET_A_QUOTE


def test_a_figure_given_for_this_run_is_an_answer() -> None:
    unsure = answered(keep="not sure")
    kept = compare(replaced(unsure.scenario, {"owner.holding_period": 10.0}))
    assert "after 20 years" not in verdict(kept).lines[1]
    assert "If you sell after 5 years:" in verdict(kept).lines[1]


def test_nobody_has_looked() -> None:
    assert verdict(answered(trouble="not sure")).parts.next_step == advice.LOOK_FIRST


def test_who_will_not_climb_in_ten_years_is_told() -> None:
    found = answered(climbs=True, climbs_in_ten_years=False)
    scenario = replace(found.scenario, climbs_in_ten_years=False)
    said = cautions.cautions(replace(found, scenario=scenario))
    assert any("You will not go up in ten years" in line for line in said)


def test_ways_left_out_are_named() -> None:
    found = shipped("humid-coast-motorhome")
    scenario = replace(found.scenario, left_out={"x": "The owner paints it"})
    assert 'Left out, as you do not go up yourself: "The owner paints it".' in cautions.cautions(
        replace(found, scenario=scenario)
    )


SURE = Sureness(0.6, 2417.0, -1010.0, 6300.0, 2100.0, 12000.0, {5: 0.06})


def test_the_grammar_under_doubt() -> None:
    said = verdict(shipped("humid-coast-motorhome"), SURE, next_step="Next: ask.")
    assert said.parts == VerdictParts(
        "coat_now", "keep", 10.0, "could go either way", 2417.0, -1010.0, 6300.0, 12, {5: 1},
        "keep_touched_up", "Next: ask.",
    )  # fmt: skip
    assert said.lines[0].startswith("Spray now: could go either way, compared with")
    assert said.lines[0].endswith("about 2,400 cheaper in today's money.")
    assert said.lines[1] == "It could be 1,000 dearer or 6,300 cheaper (8 in 10)."
    assert said.lines[2] == (
        "Of 20 such futures, it is cheaper in 12 and dearer in 8. "
        "If you sell after 5 years: cheaper in 1 of 20."
    )
    assert said.lines[3].endswith("Next: ask.")
    assert len(said.lines) == 4
    assert said.beside[0].startswith("The money does not decide this.")


def test_the_mean_is_named_where_its_sign_differs() -> None:
    said = verdict(shipped("humid-coast-motorhome"), replace(SURE, mean=-520.0))
    assert said.lines[3].startswith("On average it is about 520 dearer")
    assert words.mean_sentence(SURE) is None


def test_parts_as_they_stand_in_a_result() -> None:
    parts = VerdictParts("a", "b", 8.0, "cheaper", if_sold={5: 1})
    result = parts.as_result()
    assert list(result) == [
        "subject", "against", "years", "word", "middle", "low", "high", "of_20", "if_sold",
        "cheapest_willing", "next_step",
    ]  # fmt: skip
    assert result["if_sold"] == {"5": 1}
    assert isinstance(result["years"], int)
    assert VerdictParts("a", "b", 7.5, "cheaper").as_result()["years"] == 7.5


def test_no_chance_and_every_chance() -> None:
    assert words.of_20_sentence(0, {5: 0}) == (
        "It is cheaper in fewer than 1 in 40 such futures. "
        "If you sell after 5 years: cheaper in fewer than 1 in 40."
    )
    assert words.of_20_sentence(20, {}) == "It is dearer in fewer than 1 in 40 such futures."


def test_both_ends_on_one_side() -> None:
    assert words.range_sentence(-900.0, -100.0) == "It is somewhere between 100 and 900 dearer (8 in 10)."


def test_every_category_has_its_words() -> None:
    assert set(advice.REASON_WORDS) == set(CATEGORIES)


def test_names_of_inputs_say_where_they_stand() -> None:
    inputs = shipped("humid-coast-motorhome").scenario.inputs
    assert labels.input_name(inputs["roofs.membrane.life_mean"]) == "mean life (membrane)"
    assert labels.input_name(inputs["figures.shop_reseal_cost"]) == "price of the job (shop reseal)"
    assert labels.input_name(inputs["owner.holding_period"]) == "years you keep it"
    own = shipped("worked-example-1").scenario.inputs["roofs.membrane.visits.reseal.cost"]
    assert labels.input_name(own) == "price of the job (reseal, membrane)"
