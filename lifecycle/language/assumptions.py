"""On what the figures of an answer rest, for people who do not read a register: in one sentence."""

from __future__ import annotations

from collections.abc import Mapping

from lifecycle.language.labels import counted
from lifecycle.language.sentences import say, words
from lifecycle.scenario import Scenario
from lifecycle.studies.register import register

BASES: Mapping[str, str] = words("labels.bases")
"""What each basis means, in plain words."""


def bases_sentence(scenario: Scenario) -> str:
    """Say on what the estimates of a scenario rest."""
    table = register(scenario)
    parts = [f"{number} {BASES[basis]}" for basis, number in table.by_basis.items() if number]
    return say("labels.estimates", estimates=counted(table.estimates, "estimate"), bases="; ".join(parts))
