"""The command about records: looks, intervals and job sheets to figures, and into a scenario.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. Places to write to are
checked first, and nothing is written unless everything went well.
"""

from __future__ import annotations

from argparse import Namespace
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lifecycle.faces.given import (
    blocks,
    fault,
    kind,
    loaded,
    place_of_chart,
    place_of_scenario,
    wrapped,
    write,
)

if TYPE_CHECKING:
    from lifecycle.records.account import Account
    from lifecycle.records.column_map import ColumnMap
    from lifecycle.records.estimate import Estimate
    from lifecycle.records.sheets import Sheet
    from lifecycle.scenario import Scenario


@dataclass(frozen=True)
class _Said:
    """What a fit gives to the command."""

    account: Account
    estimates: tuple[Estimate, ...]
    lines: list[str]
    counts: str
    fit_chance: float | None
    more: dict[str, Any]
    fit: Any = None


def records(arguments: Namespace) -> str:
    """Fit what records say, and write it into a scenario if asked.

    Parameters
    ----------
    arguments : Namespace
        file, about, columns, scenario, to, roof, widen, chart, json.

    Returns
    -------
    str
        The answer; with a place for a scenario or a chart, these are written.

    Raises
    ------
    ScenarioError
        With what is wrong with the records, the column map, the scenario or a place.
    """
    chart = place_of_chart(arguments.chart) if arguments.chart else None
    if chart and arguments.about != "life":
        raise fault("--chart", "draws lives only", f"--for {arguments.about}", "leave it out")
    if bool(arguments.scenario) != bool(arguments.to) and not (
        arguments.scenario and arguments.about == "hidden"
    ):
        raise fault("--scenario", "and --to go together", "one of them", "name the scenario and the new file")
    new = place_of_scenario(arguments.to) if arguments.to else None
    scenario = loaded(arguments.scenario) if arguments.scenario else None

    from lifecycle.faces import records_answer
    from lifecycle.faces.labels import HEADINGS
    from lifecycle.faces.results import as_json
    from lifecycle.files import load_table, load_text, shared
    from lifecycle.records.column_map import read_map
    from lifecycle.records.sheets import LARGEST, read_sheet

    name = Path(arguments.file).name
    raw = load_table(arguments.columns) if arguments.columns else {}
    known = read_map(raw, Path(arguments.columns or "").name, tuple(shared()["plans"]))
    sheet = read_sheet(load_text(arguments.file, largest=LARGEST), name)
    said = {"life": _life, "joints": _joints, "hidden": _hidden}[arguments.about](
        sheet, known, scenario, arguments.roof, arguments.widen
    )
    source = f"{name}: {said.counts}"
    written = []
    if scenario is not None and new is not None:
        written = _tune(scenario, said, source, arguments.roof, new)
    if chart:
        written += _draw(said, chart)
    if arguments.json:
        return as_json(
            records_answer.records_result(
                arguments.about, source, said.account, said.estimates, said.lines, said.fit_chance, said.more
            )
        )
    return blocks(
        [HEADINGS["records"], name],
        wrapped(records_answer.account_lines(said.account)),
        records_answer.estimate_lines(said.estimates),
        wrapped(said.lines),
        wrapped(written),
    )


def _life(sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool) -> _Said:
    """Fit lives."""
    from lifecycle.faces.records_answer import life_lines
    from lifecycle.records.life_fit import fit_life
    from lifecycle.records.looks import read_looks
    from lifecycle.records.roof_lives import lives_from_looks, read_intervals
    from lifecycle.records.tuning import tool_figures

    ready = known.named("upper") in sheet.names and known.named("lower") in sheet.names
    lives = read_intervals(sheet, known) if ready else lives_from_looks(read_looks(sheet, known))
    priors = tool_figures(_roof(scenario, roof)) if widen else None
    fit = fit_life(lives, priors=priors, source=sheet.source)
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
        "widened": fit.widened,
    }
    return _Said(lives.account, fit.estimates, life_lines(fit), counts, fit.fit_chance, more, fit)


def _joints(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool
) -> _Said:
    """Fit joint leaks."""
    from lifecycle.faces.records_answer import joint_lines
    from lifecycle.records.epochs import epochs_of
    from lifecycle.records.joint_fit import fit_joints
    from lifecycle.records.looks import read_looks
    from lifecycle.records.tuning import tool_figures

    epochs = epochs_of(read_looks(sheet, known))
    fit = fit_joints(epochs, tool_figures(_roof(scenario, roof)), widen=widen, source=sheet.source)
    counts = f"{epochs.found} leaks in {epochs.years:.0f} years of watching, {epochs.covered}"
    more = {
        "leaks": epochs.found,
        "years": epochs.years,
        "looks_that_found_nothing": epochs.found_nothing,
        "reason_known": epochs.has_reason,
        "not_told_apart": [[*pair, rank] for pair, rank in fit.together.items()],
        "kept": list(fit.kept),
        "widened": fit.widened,
    }
    return _Said(epochs.account, fit.estimates, joint_lines(fit), counts, fit.fit_chance, more, fit)


def _hidden(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool
) -> _Said:
    """Fit what stripped roofs hid."""
    from lifecycle.faces.records_answer import hidden_lines
    from lifecycle.records.hidden_fit import fit_hidden
    from lifecycle.records.job_sheets import read_job_sheets
    from lifecycle.records.tuning import tool_figures
    from lifecycle.studies.bands import shipped_membrane

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
        "widened": fit.widened,
    }
    return _Said(sheets.account, fit.estimates, hidden_lines(fit), counts, fit.fit_chance, more, fit)


def _roof(scenario: Scenario | None, roof: str | None) -> str:
    """Return the roof whose own figures of the tool join too few records."""
    return roof or (scenario.existing.roof if scenario is not None else "membrane")


def _tune(scenario: Scenario, said: _Said, source: str, roof: str | None, new: Path) -> list[str]:
    """Write the new scenario and say what changed."""
    from lifecycle.faces.records_answer import tuned_lines
    from lifecycle.records.tuning import tuned_text

    note = "fitted to records; low and high hold 8 in 10"
    if getattr(said.fit, "widened", False):
        note = "too few records: the tool's own figure, moved by them; low and high hold 8 in 10"
    text, exchanged = tuned_text(
        scenario, said.estimates, source=source, note=note, roof=roof, beside=str(new.parent)
    )
    write(new, text.encode())
    return tuned_lines(exchanged, str(new))


def _draw(said: _Said, place: Path) -> list[str]:
    """Draw the probability plot and say where it is."""
    from lifecycle.faces.charts import picture_bytes
    from lifecycle.faces.charts.probability_plot import probability_plot

    if not said.fit.points[0].size:
        rule = "draws a single line of ends; there is none here"
        raise fault("--chart", rule, "too few ends, or a life that depends on numbers", "leave it out")
    figure = probability_plot(said.fit).get_figure(root=True)
    assert figure is not None
    write(place, picture_bytes(figure, kind(place)))
    return [f"Chart: {place}"]
