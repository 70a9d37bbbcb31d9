"""The scenario as frozen data, a changed input, and the step to resolved roofs."""

from lifecycle.scenario.changing import replaced
from lifecycle.scenario.resolving import Values, resolve
from lifecycle.scenario.rules import broken_rules
from lifecycle.scenario.stated import (
    Numbers,
    Scenario,
    Stated,
    StatedAlternative,
    StatedExisting,
    StatedLoan,
    StatedRoof,
    StatedVisit,
    Use,
)

__all__ = [
    "Numbers",
    "Scenario",
    "Stated",
    "StatedAlternative",
    "StatedExisting",
    "StatedLoan",
    "StatedRoof",
    "StatedVisit",
    "Use",
    "Values",
    "broken_rules",
    "replaced",
    "resolve",
]
