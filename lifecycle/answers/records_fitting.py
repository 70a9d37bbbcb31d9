"""Records to figures, and figures into a scenario: one way for the command, the notebook and the page.

Lecture
-------
A sheet of records is cleaned and fitted for one purpose: how long roofs last (`life`), how often joints
leak (`joints`), or what stripped roofs hid (`hidden`). What comes of it is the same data for whoever shows
it: the account of the rows, the estimates, and sentences. `tuned` puts estimates into a scenario.

Left out: how each fit works (`records`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lifecycle.records.columns import ColumnMap
    from lifecycle.records.estimate import Estimate
    from lifecycle.records.tables import Account, Sheet
    from lifecycle.records.tuning import Exchanged
    from lifecycle.scenario import Scenario

PURPOSES = ("life", "joints", "hidden")
"""What records are fitted for."""


@dataclass(frozen=True)
class Fitted:
    """What a fit gives.

    Parameters
    ----------
    account : Account
        What became of the rows.
    estimates : tuple of Estimate
        Figures with their ends.
    lines : list of str
        What must be said with them.
    counts : str
        What they rest on.
    fit_chance : float or None
        Chance of records further from the fit than these; None: no test. [-]
    more : dict
        For a result file.
    fit : LifeFit, JointFit or HiddenFit
        The fit itself.
    together : mapping of (str, str) to float
        Rank correlations of the estimates. [-]
    lacks : str
        What nobody said of the records and must be known before they are written into a scenario.
    source : str
        Name of the sheet and what it holds.
    """

    account: Account
    estimates: tuple[Estimate, ...]
    lines: list[str]
    counts: str
    fit_chance: float | None
    more: dict[str, Any]
    fit: Any
    source: str
    together: Mapping[tuple[str, str], float] = field(default_factory=dict)
    lacks: str = ""


def fit_records(
    purpose: str,
    sheet: Sheet,
    known: ColumnMap,
    scenario: Scenario | None = None,
    roof: str | None = None,
    *,
    widen: bool = False,
) -> Fitted:
    """Clean and fit a sheet of records.

    Parameters
    ----------
    purpose : str
        One of `PURPOSES`.
    sheet : Sheet
        The records.
    known : ColumnMap
        What its columns mean.
    scenario : Scenario or None
        Whose upkeep and roof they are held against.
    roof : str or None
        Roof that the records are of; None: the one that stands, else the membrane.
    widen : bool
        Whether too few records are joined to the tool's own figure; else they are refused.

    Returns
    -------
    Fitted

    Raises
    ------
    ScenarioError
        With what is wrong with the records.
    """
    return _FITS[purpose](sheet, known, scenario, roof, widen)


def _life(sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool) -> Fitted:
    """Fit lives."""
    from lifecycle.answers.records_answer import life_lines
    from lifecycle.records.lives import fit_life, lives_from_looks, read_intervals
    from lifecycle.records.looks import read_looks
    from lifecycle.records.tuning import tool_figures

    ready = sheet.has(known.named("upper")) and sheet.has(known.named("lower"))
    covering = _covering(scenario, roof)
    if ready:
        lives = read_intervals(sheet, known, scenario, covering)
    else:
        lives = lives_from_looks(read_looks(sheet, known, reasons=False), scenario, covering)
    tool = tool_figures(_roof(scenario, roof))
    fit = fit_life(lives, priors=tool if widen else None, tool=tool, source=sheet.source)
    counts = f"{lives.roofs} roofs, {lives.ended} ends of life" + (
        f", {lives.covered}" if lives.covered else ""
    )
    effects = {one.name: {"low": one.low, "likely": one.likely, "high": one.high} for one in fit.effects}
    more = {
        "roofs": lives.roofs,
        "ended": lives.ended,
        "scale": fit.scale,
        "entry_ignored": fit.entry_ignored,
        "correlation": fit.together,
        "effects": effects,
        "kept": list(fit.kept),
        "at_reference": lives.brought,
        "widened": fit.widened,
    }
    return Fitted(
        lives.account,
        fit.estimates,
        life_lines(fit),
        counts,
        fit.fit_chance,
        more,
        fit,
        _source(sheet, counts, lives.brought),
        _ranks(fit.correlations),
        "" if lives.brought else PLACE,
    )


def _joints(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool
) -> Fitted:
    """Fit joint leaks."""
    from lifecycle.answers.records_answer import joint_lines
    from lifecycle.records.joints import epochs_of, fit_joints
    from lifecycle.records.looks import read_looks
    from lifecycle.records.tuning import tool_figures

    epochs = epochs_of(read_looks(sheet, known), scenario, _covering(scenario, roof))
    fit = fit_joints(epochs, tool_figures(_roof(scenario, roof)), widen=widen, source=sheet.source)
    counts = f"{epochs.found} leaks in {epochs.years:.0f} years of watching, {epochs.covered}"
    more = {
        "leaks": epochs.found,
        "years": epochs.years,
        "looks_that_found_nothing": epochs.found_nothing,
        "reason_known": epochs.has_reason,
        "leaks_without_a_place": epochs.unplaced,
        "not_told_apart": [[*pair, rank] for pair, rank in fit.alike.items()],
        "kept": list(fit.kept),
        "suspicion_chance": fit.suspicion_chance,
        "at_reference": epochs.sites.known,
        "widened": fit.widened,
    }
    return Fitted(
        epochs.account,
        fit.estimates,
        joint_lines(fit),
        counts,
        fit.fit_chance,
        more,
        fit,
        _source(sheet, counts, epochs.sites.known),
        _ranks(fit.together),
        "" if epochs.sites.known else f"{PLACE}, {SIZE}",
    )


def _hidden(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool
) -> Fitted:
    """Fit what stripped roofs hid."""
    from lifecycle.answers.records_answer import hidden_lines
    from lifecycle.records.hidden import fit_hidden, read_job_sheets
    from lifecycle.records.tuning import tool_figures
    from lifecycle.studies.implied import shipped_membrane

    sheets = read_job_sheets(sheet, known)
    under = scenario if scenario is not None else shipped_membrane()
    fit = fit_hidden(sheets, under, tool_figures(_roof(scenario, roof)), widen=widen, source=sheet.source)
    counts = f"{sheets.roofs} stripped roofs, {sheets.not_sound} not sound"
    wood = fit.allowance
    more = {
        "roofs": sheets.roofs,
        "not_sound": sheets.not_sound,
        "rotten": sheets.rotten,
        "allowance": {
            "share": [wood.share.low, wood.share.likely, wood.share.high],
            "share_rotten": [wood.share_rotten.low, wood.share_rotten.likely, wood.share_rotten.high],
            "areas": wood.areas,
            "area_middle": wood.area_middle,
            "area_nine_in_ten": wood.area_nine_in_ten,
        },
        "reason_known": sheets.has_reason,
        "correlation": fit.together,
        "kept": list(fit.kept),
        "at_reference": sheets.brought,
        "widened": fit.widened,
    }
    names = [one.name for one in fit.estimates]
    return Fitted(
        sheets.account,
        fit.estimates,
        hidden_lines(fit),
        counts,
        fit.fit_chance,
        more,
        fit,
        _source(sheet, counts, sheets.brought),
        _ranks({(names[0], names[1]): fit.together} if len(names) == 2 else {}),
        "" if sheets.brought else f"{PLACE}, {SIZE}",
    )


PLACE = 'where they stand ([records] place = "...", or "reference")'
SIZE = 'how long the coaches are ([records] length = ..., or "reference")'
"""What must be known of records, and how a column map says it."""


def _source(sheet: Sheet, counts: str, brought: bool) -> str:
    """Return what the scenario gets as source."""
    from lifecycle.studies.region_scenarios import AT_REFERENCE

    return f"{sheet.source}: {counts}" + (f"; {AT_REFERENCE}" if brought else "")


def _ranks(together: Mapping[tuple[str, str], float]) -> dict[tuple[str, str], float]:
    """Return correlations of working numbers as ranks."""
    from lifecycle.records.estimate import as_rank

    return {pair: as_rank(one) for pair, one in together.items()}


def _covering(scenario: Scenario | None, roof: str | None) -> str:
    """Return the covering of the roof that the records are of."""
    from lifecycle.files import shared

    name = _roof(scenario, roof)
    if scenario is not None and name in scenario.roofs:
        return scenario.roofs[name].covering
    return str(shared()["roofs"].get(name, {}).get("covering", "membrane"))


def _roof(scenario: Scenario | None, roof: str | None) -> str:
    """Return the roof whose own figures of the tool join too few records."""
    return roof or (scenario.existing.roof if scenario is not None else "membrane")


_Fit = Callable[["Sheet", "ColumnMap", "Scenario | None", "str | None", bool], Fitted]

_FITS: Mapping[str, _Fit] = {"life": _life, "joints": _joints, "hidden": _hidden}


def tuned(
    scenario: Scenario, found: Fitted, *, roof: str | None = None, beside: str | None = None
) -> tuple[str, tuple[Exchanged, ...]]:
    """Put estimates into a scenario.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    found : Fitted
        From `fit_records`.
    roof : str or None
        Roof that the records are of; None: the one that stands.
    beside : str or None
        Folder with the price lists that quotes name.

    Returns
    -------
    str, tuple of Exchanged
        The new text, and each figure before and after.

    Raises
    ------
    ScenarioError
        If nobody says where the records stand, or the new scenario would break a rule.
    """
    from lifecycle.errors import Fault, ScenarioError
    from lifecycle.records.tuning import tuned_text

    if found.lacks:
        rule = (
            "must say before anything is written: place and size of these records are in their figures "
            "already, and would count twice"
        )
        raise ScenarioError([Fault("the column map", rule, "", found.lacks)])
    note = "fitted to records; low and high hold 8 in 10"
    if getattr(found.fit, "widened", False):
        note = "too few records: the tool's own figure, moved by them; low and high hold 8 in 10"
    return tuned_text(
        scenario,
        found.estimates,
        source=found.source,
        note=note,
        roof=roof,
        beside=beside,
        together=found.together,
    )
