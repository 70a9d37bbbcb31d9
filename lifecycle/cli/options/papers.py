"""The commands that make something to take home."""

from __future__ import annotations

from lifecycle.cli.options.parts import Commands, add_draws, add_file, add_json, command


def add(commands: Commands) -> None:
    """Add the commands that make papers."""
    report = command(commands, "report", "papers to take home", room="commands_report")
    add_file(report)
    report.add_argument("--to", required=True, metavar="FOLDER", help="folder to make, as reports/ours")
    report.add_argument(
        "--replace", action="store_true", help="the folder may hold something: replace its papers"
    )
    add_draws(report)

    card = command(commands, "card", "a page for people who run nothing", room="commands_card")
    card.add_argument(
        "file", nargs="?", metavar="FILE", help="scenario, a TOML file; default: the card's own coach"
    )
    card.add_argument("--to", metavar="CARD.html", help="page to write; needed, but with --json")
    add_draws(card)
    add_json(card)

    logbook = command(
        commands, "logbook", "does the answer still stand, years after?", room="commands_logbook"
    )
    logbook.add_argument(
        "file", metavar="LOG", help="what was done, a TOML or CSV file: date, kind, cost, hours"
    )
    logbook.add_argument(
        "--scenario", required=True, metavar="FILE", help="scenario that the log belongs to, a TOML file"
    )
    logbook.add_argument(
        "--today", metavar="DATE", help="day to which the log runs, as 2030-04-20; default: today"
    )
    logbook.add_argument(
        "--way", metavar="NAME", help="way that you took; default: the one that fits the log"
    )
    logbook.add_argument("--buyer", metavar="FILE.html", help="write a page for the buyer")
    logbook.add_argument("--readings", metavar="CSV", help="film readings for that page: spot, reading")
    logbook.add_argument(
        "--film", type=float, metavar="N", help="dry film promised, in mil, or mm if the scenario is metric"
    )
    add_draws(logbook)
    add_json(logbook)

    claims = command(commands, "claims", "what may be said, and what may not?", room="commands_claims")
    add_file(claims)
    add_draws(claims)
    add_json(claims)
