"""Seven questions, and the scenario that their answers make."""

from lifecycle.interview.answers import (
    NEVER,
    NOT_SURE,
    Doubt,
    Part,
    Question,
    broken_rule,
    contradictions,
    doubts,
    faults,
    groups,
    parts,
    questions,
)
from lifecycle.interview.writing import scenario_text

__all__ = [
    "NEVER",
    "NOT_SURE",
    "Doubt",
    "Part",
    "Question",
    "broken_rule",
    "contradictions",
    "doubts",
    "faults",
    "groups",
    "parts",
    "questions",
    "scenario_text",
]
