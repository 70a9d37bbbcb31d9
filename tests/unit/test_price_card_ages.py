"""A card answers for the coach's own age too."""

from __future__ import annotations

import pytest

import lifecycle
from lifecycle.answers.card import card
from lifecycle.answers.parts import Silent
from lifecycle.files import load
from lifecycle.studies.habits import ages_for, ages_shown


def test_a_card_has_the_age_of_its_own_coach() -> None:
    """The coach of own-hands is 50 months old (its file), so four years; the shared ages stay."""
    scenario = load("scenarios/own-hands.toml")
    assert ages_for(scenario) == tuple(sorted({*ages_shown(), 4}))
    assert set(card(scenario, draws=16, seed=1, told=Silent()).data["ages"]) == {"1", "4", "5", "10"}


@pytest.mark.parametrize("months", [4, 12])
def test_a_coach_of_a_year_or_less_has_the_row_of_one_year(months: int) -> None:
    """12 months are one year, which is a shared age; 4 months round to none, and count as the first."""
    young = lifecycle.change(
        load("scenarios/own-hands.toml"), {"existing.age": months, "existing.seal_age": 0}
    )
    assert ages_for(young) == ages_shown()


def test_the_shipped_card_shows_the_shared_ages_only() -> None:
    assert ages_for(load("scenarios/price-card.toml")) == ages_shown()
