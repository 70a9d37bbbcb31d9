"""The command about records: looks, intervals and job sheets to figures, and into a scenario.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. Places to write to are
checked first, and nothing is written unless everything went well.
"""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.given import (
    kind,
    loaded,
    place_of_chart,
    place_of_scenario,
)
from lifecycle.errors import fault
from lifecycle.files import write
from lifecycle.language.lines import blocks, wrapped

if TYPE_CHECKING:
    from lifecycle.answers.records_fitting import Fitted
    from lifecycle.scenario import Scenario


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

    from lifecycle.answers import records_answer
    from lifecycle.answers.records_fitting import fit_records
    from lifecycle.files import opened, shared
    from lifecycle.language.labels import HEADINGS
    from lifecycle.records.columns import load_map
    from lifecycle.records.tables import read_sheet
    from lifecycle.writers import as_json

    name = Path(arguments.file).name
    known = load_map(arguments.columns, tuple(shared()["plans"]))
    with opened(arguments.file) as file:
        sheet = read_sheet(file, name)
    said = fit_records(arguments.about, sheet, known, scenario, arguments.roof, widen=arguments.widen)
    made: dict[Path, bytes] = {}
    written = []
    if scenario is not None and new is not None:
        written += _tune(scenario, said, arguments.roof, new, made)
    if chart:
        written += _draw(said, chart, made)
    if arguments.json:
        text = as_json(
            records_answer.records_result(
                arguments.about,
                said.source,
                said.account,
                said.estimates,
                said.lines,
                said.fit_chance,
                said.more,
            )
        )
    else:
        text = blocks(
            [HEADINGS["records"], name],
            wrapped(records_answer.account_lines(said.account)),
            records_answer.estimate_lines(said.estimates),
            wrapped(said.lines),
            wrapped(written),
        )
    for place, content in made.items():
        write(place, content, new=place == new)
    return text


def _tune(
    scenario: Scenario, said: Fitted, roof: str | None, new: Path, made: dict[Path, bytes]
) -> list[str]:
    """Make the new scenario, if any figure changes, and say what does."""
    from lifecycle.answers.records_answer import tuned_lines
    from lifecycle.answers.records_fitting import tuned

    text, exchanged = tuned(scenario, said, roof=roof, beside=str(new.parent))
    if not exchanged:
        return [f"Nothing was tuned, so {new} was not written: see the lines above for why."]
    made[new] = text.encode()
    return tuned_lines(exchanged, said.together, str(new))


def _draw(said: Fitted, place: Path, made: dict[Path, bytes]) -> list[str]:
    """Draw the probability plot and say where it is."""
    from lifecycle.charts import picture_bytes
    from lifecycle.charts.probability_plot import probability_plot

    if not said.fit.points[0].size:
        rule = "draws a single line of ends; there is none here"
        raise fault("--chart", rule, "too few ends, or a life that depends on numbers", "leave it out")
    figure = probability_plot(said.fit).get_figure(root=True)
    assert figure is not None
    made[place] = picture_bytes(figure, kind(place))
    return [f"Chart: {place}"]
