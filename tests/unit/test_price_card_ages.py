"""A card answers for the coach's own age too."""

from __future__ import annotations

from lifecycle.answers.card import card
from lifecycle.answers.shared import Silent
from lifecycle.files import load
from lifecycle.studies.habits import ages_for, ages_shown


def test_a_card_has_the_age_of_its_own_coach() -> None:
    """The coach of own-hands is 50 months old (its file), so four years; the shared ages stay."""
    scenario = load("scenarios/own-hands.toml")
    assert ages_for(scenario) == tuple(sorted({*ages_shown(), 4}))
    assert set(card(scenario, draws=16, seed=1, told=Silent()).data["ages"]) == {"1", "4", "5", "10"}


def test_the_shipped_card_shows_the_shared_ages_only() -> None:
    assert ages_for(load("scenarios/price-card.toml")) == ages_shown()
