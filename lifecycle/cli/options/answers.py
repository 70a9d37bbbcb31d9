"""The commands that answer a question about a scenario, a quote or a film, and the one that asks.

Lecture
-------
Their order is that in which an owner asks: first the seven questions are answered; then which way is
cheaper, how sure is this, now or later, what would change it, where do two people differ, where does
it stand, is the quote complete, is the film as promised, where does every figure come from.
"""

from __future__ import annotations

from lifecycle.cli.options.parts import Commands, add_chart, add_draws, add_file, add_json, add_seed, command

BILL = "in the currency of the file: how often is one bill above AMOUNT? default: half a new roof"
MAP = "a map of where the answer flips by two figures, named as in lifecycle figures: owner.holding_period"
FILM = "dry film (how thick the coating is once dry) that was promised, in mil, or in mm with --units metric"
"""Helps that are too long for a line of code."""


def add(commands: Commands) -> None:
    """Add the commands that answer."""
    new = command(commands, "new", "write a scenario from seven questions")
    new.add_argument("file", nargs="?", metavar="FILE", help="scenario to write; default: print it")
    new.add_argument("--answers", metavar="FILE", help="read the answers from FILE instead of asking")

    compare = command(commands, "compare", "which way is cheaper?")
    add_file(compare)
    compare.add_argument(
        "--years",
        type=float,
        metavar="N",
        help="years that you keep the coach, for this run; default: as in the file",
    )
    add_chart(compare)
    add_draws(compare)
    add_json(compare)

    doubt = command(commands, "doubt", "how sure is this?", room="commands_doubt")
    add_file(doubt)
    add_draws(doubt)
    doubt.add_argument("--bill", type=float, metavar="AMOUNT", help=BILL)
    add_chart(doubt)
    add_json(doubt)

    timing = command(commands, "timing", "now, later or never?", room="commands_doubt")
    add_file(timing)
    add_draws(timing)
    add_chart(timing)
    add_json(timing)

    sensitivity = command(commands, "sensitivity", "what would change the answer?", room="commands_change")
    add_file(sensitivity)
    sensitivity.add_argument(
        "--indices", action="store_true", help="how much of the doubt each figure brings (Sobol indices)"
    )
    sensitivity.add_argument("--map", nargs=2, metavar=("A", "B"), help=MAP)
    sensitivity.add_argument(
        "--as-correlated",
        action="store_true",
        help="refused, with the reason: indices need independent inputs",
    )
    add_seed(sensitivity)
    add_chart(sensitivity)
    add_json(sensitivity)

    difference = command(commands, "difference", "why do two scenarios differ?", room="commands_change")
    difference.add_argument("first", metavar="A", help="scenario, a TOML file")
    difference.add_argument("second", metavar="B", help="another scenario, a TOML file")
    add_seed(difference)
    add_json(difference)

    climate = command(commands, "climate", "where it stands, and the answer elsewhere", room="commands_site")
    add_file(climate)
    add_json(climate)

    quote = command(commands, "quote", "is the quote complete, and will it hold?", room="commands_quote")
    quote.add_argument(
        "files", nargs="+", metavar="FILE", help="one scenario or more with quotes, TOML files"
    )
    quote.add_argument("--found", metavar="FOUND", help="what was found after stripping, a TOML file")
    quote.add_argument("--schedule", action="store_true", help="the loan month by month")
    add_chart(quote, "draw the roof")
    add_json(quote)

    handover = command(
        commands, "handover", "is the film as promised, and what must work?", room="commands_quote"
    )
    handover.add_argument("file", metavar="READINGS", help="film readings, a CSV file: spot, reading")
    handover.add_argument("--film", type=float, required=True, metavar="N", help=FILM)
    handover.add_argument(
        "--units",
        choices=("us", "metric"),
        default="us",
        help="us: mil (a thousandth of an inch), metric: mm; default: us",
    )
    add_chart(handover, "draw the spots")
    add_json(handover)

    figures = command(commands, "figures", "every figure and where it comes from")
    add_file(figures)
    figures.add_argument(
        "--why", metavar="NAME", help='what one printed number stands on, with its sources, as "leak damage"'
    )
    add_json(figures)
