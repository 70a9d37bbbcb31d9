"""The command that opens a page in a browser.

Lecture
-------
The names of the pages stand in `pages.server`, which imports nothing heavy.
"""

from __future__ import annotations

from lifecycle.cli.options.parts import Commands, command
from lifecycle.pages.server import PAGES


def add(commands: Commands) -> None:
    """Add the command."""
    page = command(
        commands, "open", "a page in your browser: questions, answer, charts", room="commands_open"
    )
    page.add_argument(
        "page",
        nargs="?",
        choices=PAGES,
        default=PAGES[0],
        metavar="PAGE",
        help=f"{', '.join(PAGES)}; default: {PAGES[0]}",
    )
    page.add_argument("--scenario", metavar="FILE", help="begin with this scenario, a TOML file")
    page.add_argument("--lab", action="store_true", help="the same with its code, in JupyterLab")
    page.add_argument(
        "--on", metavar="ADDRESS", help="for a tablet: reach it at this address of your own network"
    )
    page.add_argument("--port", type=int, default=0, metavar="N", help="port; default: one that is free")
    page.add_argument("--no-browser", dest="browser", action="store_false", help="do not open the browser")
