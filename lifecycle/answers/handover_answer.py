"""Before the owner drives off: the film check, and the list of what must work, in words and as plain data."""

from __future__ import annotations

from typing import Any

import lifecycle
from lifecycle.answers.shared import SCHEMA
from lifecycle.files import data
from lifecycle.language.labels import counted, listed
from lifecycle.quantities import number_text
from lifecycle.records.handover import READINGS, SPOT_SHARE, FilmCheck

HEADING = "Before you drive off"

RULE = (
    f"The rule: a spot is the mean of {READINGS} readings; no spot below {100.0 * SPOT_SHARE:.0f} % of the "
    "specified film, the mean of all spots not below it (SSPC-PA 2, from memory, and written for steel)."
)
"""The rule, and how it is known."""


def film_lines(check: FilmCheck, unit: str) -> list[str]:
    """Say whether the film is accepted, and where it is not.

    Parameters
    ----------
    check : FilmCheck
        Readings against the specified film.
    unit : str
        Unit of the readings.
    """
    number = len(check.spots)
    film, least, mean = (number_text(value, 4) for value in (check.specified, check.least, check.mean))
    verdict = "The film is as promised" if check.accepted else "The film is not yet as promised"
    lines = [f"{verdict}: {counted(number, 'spot')}, on average {mean} {unit} of {film} specified."]
    if check.area_thin:
        lines.append(f"- The mean of all spots is below {film} {unit}: on average the roof lacks film.")
    if check.thin:
        spots = listed(f"{spot.name} {number_text(spot.mean, 4)}" for spot in check.thin)
        lines.append(f"- Below {least} {unit}: {spots}. Ask for another coat there.")
    if check.incomplete:
        spots = listed(f"{spot.name} ({len(spot.readings)})" for spot in check.incomplete)
        lines.append(f"- Fewer than {READINGS} readings, so not judged: {spots}.")
    return [*lines, RULE]


def list_lines() -> list[list[str]]:
    """Return what must work, and what must be there on paper, as blocks of lines."""
    found = data("handover.toml")
    return [
        [heading, *(f"- {entry['what']}. {entry['check']}" for entry in found[name])]
        for heading, name in (("What must work:", "works"), ("What must be there on paper:", "papers"))
    ]


def handover_result(check: FilmCheck, unit: str) -> dict[str, Any]:
    """Return the film check and the list as plain data.

    Parameters
    ----------
    check : FilmCheck
        Readings against the specified film.
    unit : str
        Unit of the readings.
    """
    found = data("handover.toml")
    return {
        "schema": SCHEMA,
        "unit": unit,
        "specified": check.specified,
        "least": check.least,
        "mean": check.mean,
        "accepted": check.accepted,
        "area_thin": check.area_thin,
        "thin": [spot.name for spot in check.thin],
        "incomplete": [spot.name for spot in check.incomplete],
        "spots": {
            spot.name: {"readings": list(spot.readings), "mean": spot.mean, "place": list(spot.place)}
            for spot in check.spots
        },
        "placed_by": check.placed_by,
        "rule": RULE,
        "works": found["works"],
        "papers": found["papers"],
        "made_by": {"version": lifecycle.__version__, "method": "film readings"},
    }
