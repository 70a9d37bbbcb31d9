"""The pieces that the parsers of commands are made of.

Lecture
-------
A command names the module of the faces that holds its function; the module is imported when the
command runs, so that ``--help`` answers at once. Options that several commands have are added here,
so that they are spelt and explained alike everywhere.
"""

from __future__ import annotations

import argparse
from typing import TypeAlias

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"
"""Where commands are added."""


def command(
    commands: Commands, name: str, question: str, *, room: str = "commands"
) -> argparse.ArgumentParser:
    """Add a command; `room` is the module of the faces that holds its function."""
    added = commands.add_parser(name, help=question, description=f"{question[0].upper()}{question[1:]}")
    added.set_defaults(room=room)
    return added


def add_file(command: argparse.ArgumentParser) -> None:
    """Add the scenario to the arguments of a command."""
    command.add_argument("file", metavar="FILE", help="scenario, a TOML file")


def add_draws(command: argparse.ArgumentParser) -> None:
    """Add the number of draws and their seed to the arguments of a command."""
    command.add_argument(
        "--draws", type=int, default=1024, metavar="N", help="futures drawn, at least 16; default: 1024"
    )
    add_seed(command)


def add_seed(command: argparse.ArgumentParser) -> None:
    """Add the seed to the arguments of a command."""
    command.add_argument(
        "--seed",
        type=int,
        default=1,
        metavar="N",
        help="a whole number: the same seed draws the same futures; default: 1",
    )


def add_chart(command: argparse.ArgumentParser, what: str = "draw a chart") -> None:
    """Add the place of a chart to the arguments of a command."""
    command.add_argument("--chart", metavar="FILE", help=f"{what} to FILE.png or FILE.svg; default: none")


def add_json(command: argparse.ArgumentParser) -> None:
    """Add the choice of JSON to the arguments of a command."""
    command.add_argument("--json", action="store_true", help="print the answer as JSON, for programs")
