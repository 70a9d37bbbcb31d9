"""The answer in every place, on average; and what each effect does alone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lifecycle import files
from lifecycle.answers.climate import climate_answer
from lifecycle.evaluation.comparison import compare
from lifecycle.scenario import SET, Scenario, resolve
from lifecycle.studies.by_place import EFFECTS, ByPlace, by_place, with_climate
from lifecycle.studies.doubt import under
from lifecycle.studies.futures import futures
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


def means(scenario: Scenario) -> dict[str, float]:
    """Return what each way costs on average over the futures, at the years kept."""
    drawn = futures(scenario)
    found = under(scenario, drawn, until=8)
    return dict(zip(found.names, (drawn.weights @ found.at_years).tolist(), strict=True))


def saved(*sections: str) -> float:
    """Return the mean net savings of the way in question."""
    found = means(loaded(*sections))
    return found["keep"] - found["coat_now"]


def sure(scenario: Scenario) -> Scenario:
    """Return a scenario with every figure at its likely value."""
    fixed = {
        path: replace(one, low=one.likely, high=one.likely, shape=SET)
        for path, one in scenario.inputs.items()
    }
    return replace(scenario, inputs=fixed)


def text_of(found: ByPlace) -> str:
    return as_text(climate_answer(found))


def test_a_place_of_the_table_is_the_doubt_of_that_place_by_itself() -> None:
    """But for what the futures behind the first ones would add: those move by less than 1 %."""
    found = shown(DULUTH)
    for name in ("Miami", "Denver"):
        alone = means(loaded(DULUTH.replace("Duluth", name)))
        row = next(place for place in found.places if place.name == name)
        assert row.costs == pytest.approx(alone, rel=0.01)
        assert row.cheapest == min(alone, key=lambda way: alone[way])


def test_where_nothing_is_in_doubt_a_place_is_the_comparison_of_it() -> None:
    found = by_place(sure(loaded(DULUTH)))
    assert found.futures == 1
    alone = compare(sure(loaded(DULUTH.replace("Duluth", "El Paso"))))
    row = next(place for place in found.places if place.name == "El Paso")
    assert row.costs == pytest.approx({way: one.at_holding for way, one in alone.ways.items()}, rel=1e-9)
    assert "in the one case that is stated" in " ".join(text_of(found).split())


def test_here_is_the_comparison_itself_and_the_place_of_the_table() -> None:
    found = shown(DULUTH)
    assert found.here.costs == pytest.approx(means(loaded(DULUTH)), rel=1e-12)
    duluth = next(place for place in found.places if place.name == "Duluth")
    assert duluth.costs == pytest.approx(found.here.costs)
    assert duluth.stands.factors.ageing == pytest.approx(found.here.stands.factors.ageing)


def test_without_any_effect_the_answer_is_that_of_the_scenario_without_a_climate() -> None:
    assert shown(DULUTH).without == pytest.approx(compare(loaded()).net_savings("coat_now"), abs=15.0)


@pytest.mark.parametrize(("effect", "exponent"), EFFECTS.items())
def test_an_effect_alone_is_the_scenario_with_all_others_switched_off(effect: str, exponent: str) -> None:
    found = shown(DULUTH)
    others = "".join(f"{name} = 0\n" for name in EFFECTS.values() if name != exponent)
    assert found.alone[effect] == pytest.approx(saved(DULUTH, others) - saved(DULUTH, NOWHERE), abs=15.0)


def test_with_every_effect_off_all_places_are_alike() -> None:
    found = shown(DULUTH, NOWHERE)
    savings = [found.net_savings(place) for place in found.places]
    assert savings == pytest.approx([found.without] * len(found.places))


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
    assert "survey of building roofs saw no geographic difference" in " ".join(text.split())
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
    assert "Nothing is compared before the roof is open." in text
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
