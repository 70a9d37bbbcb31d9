"""Commands that take other files than a scenario: what they are given is loaded, and a question answers.

Lecture
-------
Each takes its parsed arguments, checks and loads what they name, and returns an `Answer`. What a command
that studies one scenario does stands in `studying`.
"""

from __future__ import annotations

import math
from argparse import Namespace
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lifecycle.cli.given import loaded
from lifecycle.errors import Fault, ScenarioError, fault

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.scenario import Scenario


def quote(arguments: Namespace) -> Answer:
    """Load scenarios with quotes, and what was found; answer whether they are complete, and will hold.

    Raises
    ------
    ScenarioError
        With what is wrong with a scenario, with what was found, or with what is asked of them.
    """
    from lifecycle.answers.quote import quote as answered
    from lifecycle.files import load_found

    scenarios = [loaded(file, arguments.years) for file in arguments.files]
    _check_quotes(scenarios, arguments)
    trouble = any(scenario.trouble for scenario in scenarios)
    found = load_found(arguments.found, scenarios[0]) if arguments.found and not trouble else None
    return answered(scenarios, found=found, schedule=arguments.schedule)


def _check_quotes(scenarios: Sequence[Scenario], arguments: Namespace) -> None:
    """Check that there are quotes, in one currency, and what the options need."""
    from lifecycle.scenario.takeoff import takeoff_of

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
    if arguments.schedule and not any(scenario.loan for scenario in scenarios):
        rule = "needs a loan: write [loan] with principal, rate, months and the way that it pays for"
        faults.append(Fault("--schedule", rule, "no [loan]"))
    if arguments.found and len(scenarios) > 1:
        faults.append(Fault("--found", "is about one scenario", f"{len(scenarios)} scenarios", "name one"))
    if arguments.chart and takeoff_of(scenarios[0]) is None:
        remedy = "measure the coach: [coach]"
        faults.append(Fault("--chart", "draws the roof of a coach", "no [coach]", remedy))
    if faults:
        raise ScenarioError(faults)


def handover(arguments: Namespace) -> Answer:
    """Load film readings; answer whether the film is as promised, and list what must work.

    Raises
    ------
    ScenarioError
        With what is wrong with the readings or the film.
    """
    if not 0.0 < arguments.film < math.inf:
        remedy = "the dry film of the quote: 3/16 in is 187.5 mil"
        raise fault("--film", "must be above 0", str(arguments.film), remedy)

    from lifecycle.answers.handover import handover_answer
    from lifecycle.files import load_text
    from lifecycle.records.handover import check_film, read_readings

    unit = {"us": "mil", "metric": "mm"}[arguments.units]
    readings = read_readings(load_text(arguments.file), arguments.file)
    return handover_answer(check_film(readings, arguments.film), unit)
