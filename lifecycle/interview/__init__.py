"""Seven questions, and the scenario that their answers make."""

from lifecycle.interview.questions import (
    NEVER,
    NOT_SURE,
    Doubt,
    Part,
    Question,
    broken_rule,
    contradictions,
    doubts,
    faults,
    follows,
    groups,
    parts,
    questions,
    read_readings,
    seen_of,
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
    "follows",
    "groups",
    "parts",
    "questions",
    "read_readings",
    "scenario_text",
    "seen_of",
]
