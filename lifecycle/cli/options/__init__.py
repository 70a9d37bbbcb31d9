"""How the commands of the command line are spelt, by what they are for.

Lecture
-------
`answers` holds the commands that answer a question, `papers` those that make something to take home,
`pages` the one that opens a page in a browser, `bench` those of the analyst. `parts` holds what they
share. Nothing heavy is imported here: a parser is made at each start.
"""

from __future__ import annotations

from lifecycle.cli.options import answers, bench, pages, papers
from lifecycle.cli.options.parts import Commands


def add_commands(commands: Commands) -> None:
    """Add every command."""
    answers.add(commands)
    papers.add(commands)
    pages.add(commands)
    bench.add(commands)
