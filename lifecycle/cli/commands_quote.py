"""The commands about a price: is the quote complete and will it hold; and what to check at the hand-over.

Lecture
-------
As in `commands`: each takes its arguments and returns the text that is printed.
"""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.given import draw_figure, loaded, place_of_chart
from lifecycle.errors import Fault, ScenarioError, fault
from lifecycle.language.lines import blocks, wrapped

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario


def quote(arguments: Namespace) -> str:
    """Answer whether quotes are complete, and whether they will hold.

    Parameters
    ----------
    arguments : Namespace
        files, found, schedule, chart, json.

    Returns
    -------
    str
        The answer; with a chart, the file is written.

    Raises
    ------
    ScenarioError
        With what is wrong with a scenario, with what was found, or with the place of the chart.
    """
    chart = place_of_chart(arguments.chart) if arguments.chart else None
    scenarios = [loaded(file) for file in arguments.files]
    _check(scenarios, found=arguments.found is not None, schedule=arguments.schedule)
    troubled = next((scenario for scenario in scenarios if scenario.trouble), None)

    from lifecycle.answers.quote_result import open_first, quote_result
    from lifecycle.writers import as_json

    if troubled is not None:
        from lifecycle.language.words import open_it_first

        if arguments.json:
            return as_json(open_first(troubled))
        return blocks(_heading(), wrapped(open_it_first(troubled.trouble)))

    from lifecycle.answers import quote_answer
    from lifecycle.files import load_found
    from lifecycle.quote import held, on_one_scope
    from lifecycle.studies.quoting import examine

    examinations = [examine(scenario) for scenario in scenarios]
    every = [(one.scenario.units, quote) for one in examinations for quote in one.quotes]
    scoped = on_one_scope(quote.quote for _, quote in every) if len(every) > 1 else ()
    bill = None
    if arguments.found:
        name, found = load_found(arguments.found, scenarios[0])
        bill = (scenarios[0].quotes[name], held(scenarios[0].quotes[name], found), found.called)
    drawn = _draw(scenarios[0], chart) if chart else []
    if arguments.json:
        return as_json(quote_result(examinations, scoped, bill))
    parts = [part for one in examinations for part in quote_answer.answer(one)]
    if arguments.schedule:
        parts += [quote_answer.schedule_lines(one.loan) for one in examinations if one.loan is not None]
    if scoped:
        parts += quote_answer.side_by_side(every, scoped)
    if bill:
        parts.append([*quote_answer.held_lines(bill[1], bill[0]), *quote_answer.call_lines(bill[1], bill[2])])
    return blocks(_heading(), *([*_wrapped(part)] for part in parts), drawn)


def _heading() -> list[str]:
    """Return the heading of the answer."""
    from lifecycle.language.labels import HEADINGS

    return [HEADINGS["quote"]]


def _wrapped(part: list[str]) -> list[str]:
    """Wrap sentences; lines of a table stay."""
    return [line if line.startswith(" ") else wrapped([line])[0] for line in part]


def _check(scenarios: list[Scenario], *, found: bool, schedule: bool) -> None:
    """Check that there are quotes, in one currency, and one scenario for what was found."""
    faults = [
        Fault(
            scenario.source,
            "must have a quote",
            remedy="write [quotes.NAME], with its items as [[quotes.NAME.items]]; "
            "scenarios/two-quotes.toml shows how",
        )
        for scenario in scenarios
        if not scenario.quotes and not scenario.trouble
    ]
    currencies = dict.fromkeys(scenario.currency for scenario in scenarios)
    if len(currencies) > 1:
        got = ", ".join(currencies)
        faults.append(Fault("currency", "must be the same in all scenarios: nothing is converted", got))
    if schedule and not any(scenario.loan for scenario in scenarios):
        rule = "needs a loan: write [loan] with principal, rate, months and the way that it pays for"
        faults.append(Fault("--schedule", rule, "no [loan]"))
    if found and len(scenarios) > 1:
        faults.append(Fault("--found", "is about one scenario", f"{len(scenarios)} scenarios", "name one"))
    if faults:
        raise ScenarioError(faults)


def _draw(scenario: Scenario, place: Path) -> list[str]:
    """Draw the roof and say where it is."""
    from lifecycle.charts.roof_plan import roof_plan
    from lifecycle.scenario.takeoff import takeoff_of

    if takeoff_of(scenario) is None:
        raise fault("--chart", "draws the roof of a coach", "no [coach]", "measure the coach: [coach]")
    return [draw_figure(roof_plan(scenario), place)]


def handover(arguments: Namespace) -> str:
    """Answer whether the film is as promised, and list what must work before the owner drives off.

    Parameters
    ----------
    arguments : Namespace
        file, film, units, chart, json.

    Returns
    -------
    str
        The answer; with a chart, the file is written.

    Raises
    ------
    ScenarioError
        With what is wrong with the readings, the film, or the place of the chart.
    """
    chart = place_of_chart(arguments.chart) if arguments.chart else None
    if not 0.0 < arguments.film < float("inf"):
        remedy = "the dry film of the quote: 3/16 in is 187.5 mil"
        raise fault("--film", "must be above 0", str(arguments.film), remedy)

    from lifecycle.answers import handover_answer
    from lifecycle.files import load_text
    from lifecycle.records.handover import check_film, read_readings

    unit = {"us": "mil", "metric": "mm"}[arguments.units]
    check = check_film(read_readings(load_text(arguments.file), arguments.file), arguments.film)
    drawn = []
    if chart:
        from lifecycle.charts.film_plan import film_plan

        drawn = [draw_figure(film_plan(check, unit), chart)]
    if arguments.json:
        from lifecycle.writers import as_json

        return as_json(handover_answer.handover_result(check, unit))
    return blocks(
        [handover_answer.HEADING],
        wrapped(handover_answer.film_lines(check, unit)),
        *(wrapped(part) for part in handover_answer.list_lines()),
        drawn,
    )
