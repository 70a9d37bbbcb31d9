"""The commands that make something to take home."""

from __future__ import annotations

from lifecycle.faces.options.parts import Commands, add_draws, add_file, add_json, command


def add(commands: Commands) -> None:
    """Add the commands that make papers."""
    card = command(commands, "card", "a page for people who run nothing", room="commands_card")
    card.add_argument("file", nargs="?", metavar="FILE", help="scenario; default: the card's own coach")
    card.add_argument("--to", metavar="CARD.html", help="page to write")
    add_draws(card)
    add_json(card)

    claims = command(commands, "claims", "what may be said, and what may not?", room="commands_claims")
    add_file(claims)
    add_draws(claims)
    add_json(claims)
