"""The command that rebuilds the card without software.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. Without a scenario it is
the card's own, which is shipped. The page is written whole or not at all.
"""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from lifecycle.cli.assessing import nothing_to_study
from lifecycle.cli.given import (
    check_draws,
    loaded,
    place_of_page,
)
from lifecycle.cli.progress import Waiting
from lifecycle.errors import fault
from lifecycle.files import write
from lifecycle.studies.doubt import in_futures

if TYPE_CHECKING:
    from lifecycle.scenario import Scenario
    from lifecycle.studies.price_card import PriceCard

OWN = "price-card"
"""Name of the shipped scenario that the card is made of."""


def card(arguments: Namespace) -> str:
    """Write the card without software.

    Parameters
    ----------
    arguments : Namespace
        file, to, draws, seed, json.

    Returns
    -------
    str
        Where it is; or its numbers as JSON.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the draws, or the place of the page.
    """
    place = place_of_page(arguments.to) if arguments.to else None
    if place is None and not arguments.json:
        raise fault("--to", "must name a file ending in .html", "", "write --to price-card.html, or --json")
    check_draws(arguments.draws, arguments.seed)

    from lifecycle.places import scenario_path

    scenario = loaded(arguments.file or str(scenario_path(OWN)))
    nothing = nothing_to_study(scenario, arguments.json)
    if nothing:
        return nothing

    from lifecycle.answers.card import price_card_result, price_card_sheet
    from lifecycle.writers import as_json
    from lifecycle.writers.html import as_html

    found = _worked_out(scenario, arguments.draws, arguments.seed)
    if place is not None:
        write(place, as_html(price_card_sheet(found)).encode("utf-8"))
    return as_json(price_card_result(found)) if arguments.json else f"Card: {place}"


def _worked_out(scenario: Scenario, draws: int, seed: int) -> PriceCard:
    """Work the card out; a scenario that allows none is a user's mistake."""
    from lifecycle.studies.price_card import NoCard, price_card

    with Waiting() as waiting:
        try:
            return in_futures(lambda: price_card(scenario, draws=draws, seed=seed, told=waiting.step))
        except NoCard as error:
            raise fault("coach", "must have a length", "", f"{error}: add [coach] with its length") from None
