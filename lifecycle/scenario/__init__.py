"""The scenario as frozen data, a changed input, and the step to resolved roofs."""

from lifecycle.scenario.changing import SET, at_likely, near_input, replaced
from lifecycle.scenario.resolving import resolve, years_kept
from lifecycle.scenario.rules import broken_rules
from lifecycle.scenario.site import Site, exchange_of, geometry_of, site_of
from lifecycle.scenario.stated import (
    LEAKED,
    Meter,
    Numbers,
    Opened,
    Scenario,
    Seen,
    Stated,
    StatedAlternative,
    StatedClimate,
    StatedCoach,
    StatedExisting,
    StatedLoan,
    StatedPenetration,
    StatedPlace,
    StatedRoof,
    StatedVisit,
    Use,
    numbers_of_site,
    paths_in,
)
from lifecycle.scenario.takeoff import REFIT, Takeoff, refit_hours, takeoff_of
from lifecycle.scenario.values import Lookup, Values

__all__ = [
    "LEAKED",
    "REFIT",
    "SET",
    "Lookup",
    "Meter",
    "Numbers",
    "Opened",
    "Scenario",
    "Seen",
    "Site",
    "Stated",
    "StatedAlternative",
    "StatedClimate",
    "StatedCoach",
    "StatedExisting",
    "StatedLoan",
    "StatedPenetration",
    "StatedPlace",
    "StatedRoof",
    "StatedVisit",
    "Takeoff",
    "Use",
    "Values",
    "at_likely",
    "broken_rules",
    "exchange_of",
    "geometry_of",
    "near_input",
    "numbers_of_site",
    "paths_in",
    "refit_hours",
    "replaced",
    "resolve",
    "site_of",
    "takeoff_of",
    "years_kept",
]
