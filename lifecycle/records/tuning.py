"""Estimates into a scenario: ranges with the basis "record", everything else as it was written.

Lecture
-------
A scenario file is somebody's own text, with comments. Only the figures that the records gave are
exchanged, each where the scenario takes it from:

- figures of the roof in its own section, `[roofs.NAME]`, made if it is not there;
- silent share and signs in `[leaks]`;
- the chance that a look finds a leak in `[figures]`, where plans take it from, if one does.

A figure that says the same in another way (`life_scale` beside `life_mean`) is taken out, since one of
them may stand. The new text is read back and checked before anybody gets it.

Left out: correlations of the figures; they are said beside the estimates.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.files import loads, shared
from lifecycle.quantities import Figure
from lifecycle.records.estimate import Estimate, Prior
from lifecycle.scenario import Scenario

PLACES: Mapping[str, str] = {
    "life_mean": "roof",
    "life_shape": "roof",
    "joint_leaks_ten_years": "roof",
    "joint_leak_growth": "roof",
    "age_leaks_ten_years": "roof",
    "silent_share": "leaks",
    "sign_years": "leaks",
    "look_finds": "figures",
}
"""Section of each figure that records may give."""

INSTEAD: Mapping[str, str] = {
    "life_mean": "life_scale",
    "joint_leaks_ten_years": "joint_leaks_first_year",
    "sign_years": "sign_rate",
}
"""The name that says the same in another way."""

DIGITS = 4
"""Significant digits that are written."""


@dataclass(frozen=True)
class Exchanged:
    """One figure of a scenario before and after.

    Parameters
    ----------
    path : str
        Of the input.
    before : Figure or None
        None: it was not stated.
    after : Figure
        From the records.
    """

    path: str
    before: Figure | None
    after: Figure


def tool_figures(roof: str = "membrane") -> dict[str, Prior]:
    """Return the tool's own figures, as far as records may replace them.

    Parameters
    ----------
    roof : str
        Name of a roof; one that the tool does not know is taken for a membrane.

    Returns
    -------
    dict of str to Prior
        By name.

    Examples
    --------
    >>> tool_figures()["sign_years"].likely
    0.75
    """
    data = shared()
    own = data["roofs"].get(roof, {})
    tables = {
        "roof": {**data["roofs"]["membrane"], **own},
        "leaks": data["leaks"],
        "figures": data["figures"],
    }
    found = {}
    for name, place in PLACES.items():
        stated = tables[place][name]
        found[name] = Prior(
            *(float(stated.get(end, stated.get("value", 0.0))) for end in ("low", "likely", "high"))
        )
    return found


def tuned_text(
    scenario: Scenario,
    estimates: Iterable[Estimate],
    *,
    source: str,
    note: str,
    roof: str | None = None,
    beside: str | None = None,
) -> tuple[str, tuple[Exchanged, ...]]:
    """Write estimates into a scenario.

    Parameters
    ----------
    scenario : Scenario
        As loaded; its text is kept but for the figures.
    estimates : iterable of Estimate
        What the records gave.
    source, note : str
        Where they come from, and what must be said with them.
    roof : str or None
        Roof that they are of; None: the one that stands.
    beside : str or None
        Folder with the price lists that quotes name.

    Returns
    -------
    str, tuple of Exchanged
        The new text, and each figure before and after.

    Raises
    ------
    ScenarioError
        If there is no such roof, or the new scenario would break a rule.
    """
    import tomlkit

    roof = roof or scenario.existing.roof
    if roof not in scenario.roofs:
        raise ScenarioError(
            [Fault("--roof", "must be a roof of the scenario", roof, nearest(roof, list(scenario.roofs)))]
        )
    document = tomlkit.parse(scenario.text)
    used = [
        one for one in estimates if PLACES[one.name] != "figures" or f"figures.{one.name}" in scenario.inputs
    ]
    for estimate in used:
        table = _table(document, PLACES[estimate.name], roof)
        table.pop(INSTEAD.get(estimate.name, ""), None)
        table[estimate.name] = _range(estimate, source, note)
    text = tomlkit.dumps(document)
    after = loads(text, scenario.source, beside=beside)
    return text, tuple(_exchanged(scenario, after, estimate.name, roof) for estimate in used)


def _table(document: Any, place: str, roof: str) -> Any:
    """Return the table that a figure stands in, made if it is not there."""
    import tomlkit

    if place != "roof":
        if place not in document:
            document[place] = tomlkit.table()
            if place == "leaks":
                document[place]["like"] = "shared"
        return document[place]
    if "roofs" not in document:
        document["roofs"] = tomlkit.table(is_super_table=True)
    if roof not in document["roofs"]:
        document["roofs"][roof] = tomlkit.table()
        document["roofs"][roof]["like"] = roof
    return document["roofs"][roof]


def _range(estimate: Estimate, source: str, note: str) -> Any:
    """Return an estimate as a range in braces."""
    import tomlkit

    found = tomlkit.inline_table()
    for name, value in (("low", estimate.low), ("likely", estimate.likely), ("high", estimate.high)):
        found[name] = float(f"{value:.{DIGITS}g}")
    found["shape"] = estimate.shape
    found["basis"] = "record"
    found["source"] = source
    found["note"] = note
    return found


def _exchanged(before: Scenario, after: Scenario, name: str, roof: str) -> Exchanged:
    """Return a figure before and after."""
    place = {"roof": f"roofs.{roof}", "leaks": "leaks", "figures": "figures"}[PLACES[name]]
    path = f"{place}.{name}"
    old = before.inputs.get(path) or before.inputs.get(f"{place}.{INSTEAD.get(name, '')}")
    if old is None and PLACES[name] == "roof":
        stated = before.roofs[roof].numbers
        use = stated.get(name) or stated.get(INSTEAD.get(name, ""))
        old = before.inputs.get(use.path) if use is not None and hasattr(use, "path") else None
    return Exchanged(path, old, after.inputs[path])
