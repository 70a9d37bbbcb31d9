"""Common practice of the trade, no source: what the tool's own figures and geometry must be able to say.

None of these is published. They are what people of the trade say to each other, written down from memory;
each test says which sentence it stands for. Tolerances are as rough as the sentences.
"""

from __future__ import annotations

import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from lifecycle import files
from lifecycle.language.verdict import open_it_first
from lifecycle.quantities import convert
from lifecycle.quote import Item, Quote, added_up, by_sprayed_length
from lifecycle.scenario.takeoff import takeoff_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def data(name: str) -> dict[str, Any]:
    return tomllib.loads((resources.files("lifecycle") / "data" / name).read_text(encoding="utf-8"))


def test_of_24_ft_overall_20_ft_may_be_to_spray() -> None:
    """Common practice, no source: a coach of 24 ft overall may have 20 ft to spray."""
    takeoff = takeoff_of(files.load(SCENARIOS / "two-quotes.toml"))
    assert takeoff is not None
    assert takeoff.geometry.length == pytest.approx(24 * 0.3048)
    assert takeoff.geometry.sprayed_length == pytest.approx(20 * 0.3048)
    share = data("coach.toml")["coach"]["sprayed_share"]
    assert share["low"] <= 20 / 24 <= share["high"]
    assert 24 * share["likely"] == pytest.approx(20, abs=0.5)


def test_the_price_follows_the_sprayed_length() -> None:
    """Common practice, no source: two coaches with as much to spray cost as much, whatever their length."""
    line = Item("spray", "sprayed length", 24.0, 350.0)
    quote = Quote("a", "A", (line,), quoted_length=24.0, quoted_by="overall")
    assert added_up(by_sprayed_length(quote, 20.0)).price == pytest.approx(20 * 350)


def test_about_3_16_in_in_three_crossing_coats() -> None:
    """Common practice, no source: about 3/16 in of film in three crossing coats, a sixteenth each."""
    material = data("coach.toml")["material"]
    assert material["film"]["likely"] == pytest.approx(1000 * 3 / 16)
    assert material["coats"]["value"] == 3
    takeoff = takeoff_of(files.load(SCENARIOS / "two-quotes.toml"))
    assert takeoff is not None
    assert convert(takeoff.coating.base.film_a_coat, "mm", "in") == pytest.approx(1 / 16)


def test_two_working_days_sound_and_about_a_week_rotten() -> None:
    """Common practice, no source: two working days with a sound deck, about a week with a rotten one."""
    shared = data("shared.toml")
    sound = shared["roofs"]["coating"]["renew_days"]["likely"]
    rotten = sound + shared["leaks"]["severe_days"]["likely"]
    assert sound == 2
    assert rotten == pytest.approx(7)
    hours = data("quote.toml")["costing"]["labour"]
    assert hours["low"] <= 2 * 2 * 8 <= hours["high"]  # two people, two days of eight hours


def test_accessories_are_taken_off_and_put_back() -> None:
    """Common practice, no source: accessories are removed and refitted: meant unless said."""
    assert files.fields()["penetrations"]["fate"].default == "refit"
    assert "fixtures" in data("quote.toml")["scope"]


def test_white_marks_mean_moisture() -> None:
    """Common practice, no source: white marks under rubber mean moisture: open it, compare nothing."""
    assert "white patch" in files.fields()["existing"]["trouble"].choices
    said = open_it_first(["white patch"])
    assert said[0].startswith("Open it first.") and "white patch" in said[0]
