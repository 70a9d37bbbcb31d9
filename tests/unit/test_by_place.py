"""The answer in every place, from one batch; and what each effect does alone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.answers.climate import climate_answer
from lifecycle.evaluation.comparison import compare
from lifecycle.scenario import Scenario, resolve
from lifecycle.studies.by_place import EFFECTS, ByPlace, by_place, with_climate
from lifecycle.writers.terminal import as_text

SCENARIOS = Path(__file__).parents[2] / "scenarios"
EXAMPLE = (SCENARIOS / "worked-example-2.toml").read_text(encoding="utf-8")
DULUTH = '\n[climate]\nplace = "Duluth"\nsheltered_share = 0.3\n'
NOWHERE = "".join(f"{name} = 0\n" for name in EFFECTS.values())


def loaded(*sections: str) -> Scenario:
    return files.loads(EXAMPLE + "".join(sections))


@cache
def shown(*sections: str) -> ByPlace:
    return by_place(loaded(*sections))


def text_of(found: ByPlace) -> str:
    return as_text(climate_answer(found))


def test_a_row_of_the_batch_is_the_comparison_of_that_place_by_itself() -> None:
    found = shown(DULUTH)
    for name in ("Miami", "Denver"):
        alone = compare(loaded(DULUTH.replace("Duluth", name)))
        row = next(place for place in found.places if place.name == name)
        for way, stated in alone.ways.items():
            assert row.costs[way] == pytest.approx(stated.at_holding, rel=1e-9)
        assert row.cheapest == alone.cheapest


def test_here_is_the_comparison_itself_and_the_place_of_the_table() -> None:
    found = shown(DULUTH)
    comparison = compare(loaded(DULUTH))
    assert found.net_savings(found.here) == pytest.approx(comparison.net_savings("coat_now"))
    duluth = next(place for place in found.places if place.name == "Duluth")
    assert duluth.costs == pytest.approx(found.here.costs)
    assert duluth.stands.factors.ageing == pytest.approx(found.here.stands.factors.ageing)


def test_without_any_effect_the_answer_is_that_of_the_scenario_without_a_climate() -> None:
    assert shown(DULUTH).without == pytest.approx(compare(loaded()).net_savings("coat_now"))


@pytest.mark.parametrize(("effect", "exponent"), EFFECTS.items())
def test_an_effect_alone_is_the_scenario_with_all_others_switched_off(effect: str, exponent: str) -> None:
    found = shown(DULUTH)
    others = "".join(f"{name} = 0\n" for name in EFFECTS.values() if name != exponent)
    alone = compare(loaded(DULUTH, others)).net_savings("coat_now")
    assert found.alone[effect] == pytest.approx(alone - found.without, abs=1e-6)


def test_with_every_effect_off_all_places_are_alike() -> None:
    found = shown(DULUTH, NOWHERE)
    savings = [found.net_savings(place) for place in found.places]
    assert savings == pytest.approx([found.without] * 14)


def test_a_scenario_without_a_climate_stands_in_the_reference() -> None:
    plain = loaded()
    found = shown()
    assert not found.named
    assert found.net_savings(found.here) == pytest.approx(compare(plain).net_savings("coat_now"))
    assert resolve(with_climate(plain)).leaks.rot_time == pytest.approx(resolve(plain).leaks.rot_time)
    assert found.here.stands.factors.ageing == pytest.approx(1.0)
    assert "has no [climate]" in text_of(found)


def test_a_changed_input_is_kept() -> None:
    from lifecycle.scenario import replaced

    dearer = replaced(loaded(), {"alternatives.coat_now.quote": 9900.0})
    assert by_place(dearer).without == pytest.approx(shown().without - 2000.0)


def test_fourteen_places_stand_with_their_factors_and_the_survey_is_named() -> None:
    text = text_of(shown(DULUTH))
    for name, place in files.shared()["places"].items():
        assert f"\n{name} " in text and f" {place['zone']} " in text
    assert "published survey of building roofs saw no geographic difference" in text
    assert "It stands in Duluth, under cover for 30 % of the year." in text


def test_a_mix_and_own_figures_are_named() -> None:
    mix = '\n[climate]\nplaces = [{ place = "Duluth", share = 0.6 }, { place = "Miami", share = 0.4 }]\n'
    assert "60 % of the year in Duluth and 40 % of the year in Miami" in text_of(shown(mix))
    assert "(with figures of its own)" in text_of(shown(mix, "hail_days = 4\n"))
    assert "where the scenario says, by its own figures" in text_of(shown("\n[climate]\nhail_days = 4\n"))


def test_a_driver_that_the_reference_lacks_is_unknown_there() -> None:
    text = text_of(shown(DULUTH, "reference = { sun = 6 }\n"))
    assert "unknown" in text


def test_ageing_that_is_held_is_said() -> None:
    assert "Ageing is held within 0.6 and 1.6: membrane and coating" in text_of(
        shown(DULUTH, "heat_exponent = 2\nsun_exponent = 2\n")
    )
    assert "held" not in text_of(shown(DULUTH))


def test_trouble_leaves_the_factors_and_compares_nothing() -> None:
    troubled = by_place(replace(loaded(DULUTH), trouble=("stain",)))
    assert (troubled.without, troubled.alone, troubled.here.costs) == (None, {}, {})
    text = text_of(troubled)
    assert "Trouble is reported (stain): open it first. Nothing is compared." in text
    assert "Cheapest of all" not in text


def test_cooling_is_small_grows_with_the_roof_and_falls_under_cover() -> None:
    plain, under = shown(DULUTH.replace("0.3", "0")), shown(DULUTH)
    assert 0.0 < under.cooling.money < plain.cooling.money < 20.0
    large = shown(DULUTH, "\n[coach]\nlength = 40\n")
    assert large.cooling.money == pytest.approx(under.cooling.money * 40 / 26)
    assert "That is small" in " ".join(text_of(under).split())


def test_tables_fit_the_terminal() -> None:
    lines = text_of(shown(DULUTH)).splitlines()
    assert max(len(line) for line in lines) <= 100
