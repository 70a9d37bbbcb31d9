"""Estimates into a scenario: ranges with the basis "record", everything else as it was written.

Lecture
-------
A scenario file is somebody's own text, with comments. Only the figures that the records gave are
exchanged, each where the scenario takes it from:

- figures of the roof in its own section, `[roofs.NAME]`, made if it is not there;
- silent share and signs in `[leaks]`;
- the chance that a look finds a leak in `[figures]`, where plans take it from, if one does;
- how strongly heat and sun age a roof in `[climate]`, if the scenario has one.

Figures that were fitted together go together: their rank correlations are written as `[[correlations]]`,
in place of those of the same two figures.

A figure that says the same in another way (`life_scale` beside `life_mean`) is taken out, since one of
them may stand. The new text is read back and checked before anybody gets it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lifecycle.errors import fault, nearest
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
    "heat_exponent": "climate",
    "sun_exponent": "climate",
}
"""Section of each figure that records may give."""

BESIDE: Mapping[str, str] = {
    "puncture_rate": "roof",
    "age_leak_growth": "roof",
}
"""Section of further figures of the tool that a fit may need."""

INSTEAD: Mapping[str, str] = {
    "life_mean": "life_scale",
    "joint_leaks_ten_years": "joint_leaks_first_year",
    "sign_years": "sign_rate",
}
"""The name that says the same in another way."""

WEAKEST = 0.05
"""Weakest rank correlation that is written. [-]"""

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
    """Return the tool's own figures that records may replace, by name; an unknown roof is a membrane.

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
        "climate": data["climate"],
    }
    found = {}
    for name, place in {**PLACES, **BESIDE}.items():
        stated = tables[place][name]
        low, likely, high = (
            float(stated.get(end, stated.get("value", 0.0))) for end in ("low", "likely", "high")
        )
        found[name] = Prior(low, likely, high, name)
    return found


def tuned_text(
    scenario: Scenario,
    estimates: Iterable[Estimate],
    *,
    source: str,
    note: str,
    roof: str | None = None,
    beside: str | None = None,
    together: Mapping[tuple[str, str], float] | None = None,
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
    together : mapping of (str, str) to float, or None
        Rank correlations of the estimates, by their names. [-]

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
        raise fault("--roof", "must be a roof of the scenario", roof, nearest(roof, list(scenario.roofs)))
    document = tomlkit.parse(scenario.text)
    used = [one for one in estimates if _takes(scenario, one.name)]
    for estimate in used:
        table = _table(document, PLACES[estimate.name], roof)
        table.pop(INSTEAD.get(estimate.name, ""), None)
        table[estimate.name] = _range(estimate, source, note)
    names = [one.name for one in used]
    pairs = {pair: rank for pair, rank in (together or {}).items() if set(pair) <= set(names)}
    _write_together(document, {(_path(a, roof), _path(b, roof)): rank for (a, b), rank in pairs.items()})
    text = tomlkit.dumps(document)
    after = loads(text, scenario.source, beside=beside)
    return text, tuple(_exchanged(scenario, after, estimate.name, roof) for estimate in used)


def _takes(scenario: Scenario, name: str) -> bool:
    """Whether a scenario takes a figure from somewhere."""
    if PLACES[name] == "climate":
        return scenario.climate is not None
    return PLACES[name] != "figures" or f"figures.{name}" in scenario.inputs


def _path(name: str, roof: str) -> str:
    """Return the path of a figure."""
    return f"roofs.{roof}.{name}" if PLACES[name] == "roof" else f"{PLACES[name]}.{name}"


def _write_together(document: Any, pairs: Mapping[tuple[str, str], float]) -> None:
    """Write rank correlations, in place of those of the same two figures."""
    import tomlkit

    wanted = {pair: rank for pair, rank in pairs.items() if abs(rank) >= WEAKEST}
    if not wanted and not pairs:
        return
    same = [set(pair) for pair in pairs]
    kept = [one for one in document.get("correlations", []) if {one.get("a"), one.get("b")} not in same]
    document.pop("correlations", None)
    found = tomlkit.aot()
    for one in kept:
        found.append(one)
    for (a, b), rank in wanted.items():
        table = tomlkit.table()
        table.update({"a": a, "b": b, "rank": round(rank, 2)})
        found.append(table)
    if len(found):
        document["correlations"] = found


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
    path = _path(name, roof)
    place = path.rpartition(".")[0]
    old = before.inputs.get(path) or before.inputs.get(f"{place}.{INSTEAD.get(name, '')}")
    if old is None and PLACES[name] == "roof":
        stated = before.roofs[roof].numbers
        use = stated.get(name) or stated.get(INSTEAD.get(name, ""))
        old = before.inputs.get(use.path) if use is not None and hasattr(use, "path") else None
    return Exchanged(path, old, after.inputs[path])
