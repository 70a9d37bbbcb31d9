"""The command line: parse, call, print.

Lecture
-------
A user's mistake is one message (or one list) on the error stream and exit status 2, without a
traceback. Stopping with Ctrl-C ends with 130, a reader that goes away (``| head``) with 141, as a
shell reports it. A mistake of the program itself stays a traceback.

What a command does stands in `commands`; it is imported when a command runs, so that ``--help``
answers at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TypeAlias

import lifecycle

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"
"""Where commands are added."""

MISTAKE, STOPPED, NOBODY_READS = 2, 130, 141
"""Exit statuses besides 0."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line.

    Parameters
    ----------
    argv : sequence of str or None
        Arguments; None: those of the process.

    Returns
    -------
    int
        Exit status.
    """
    arguments = parser().parse_args(argv)

    from lifecycle.errors import ScenarioError

    try:
        run = getattr(import_module(f"lifecycle.faces.{arguments.room}"), arguments.command)
        _put(run(arguments))
    except ScenarioError as error:
        print(f"lifecycle: {error}", file=sys.stderr)
        return MISTAKE
    except KeyboardInterrupt:
        print("\nlifecycle: stopped", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NOBODY_READS
    return 0


def _put(text: str) -> None:
    """Print text; what the terminal cannot show becomes a question mark."""
    encoding = sys.stdout.encoding or "utf-8"
    print(text.encode(encoding, "replace").decode(encoding), flush=True)


def parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    whole = argparse.ArgumentParser(
        prog="lifecycle",
        description="What each way of looking after a coach roof costs, and which is cheaper.",
    )
    whole.add_argument("--version", action="version", version=f"lifecycle {lifecycle.__version__}")
    commands = whole.add_subparsers(dest="command", required=True, metavar="COMMAND")

    compare = _command(commands, "compare", "which way is cheaper?")
    _add_file(compare)
    compare.add_argument(
        "--years", type=float, metavar="N", help="years that you keep the coach, for this run"
    )
    compare.add_argument("--chart", metavar="FILE", help="draw a chart to FILE.png or FILE.svg")
    _add_draws(compare)
    _add_json(compare)

    doubt = _command(commands, "doubt", "how sure is this?", room="commands_doubt")
    _add_file(doubt)
    _add_draws(doubt)
    doubt.add_argument("--bill", type=float, metavar="AMOUNT", help="how often does one bill exceed AMOUNT?")
    doubt.add_argument("--chart", metavar="FILE", help="draw a chart to FILE.png or FILE.svg")
    _add_json(doubt)

    timing = _command(commands, "timing", "now, later or never?", room="commands_doubt")
    _add_file(timing)
    _add_draws(timing)
    _add_json(timing)

    sensitivity = _command(commands, "sensitivity", "what would change the answer?", room="commands_change")
    _add_file(sensitivity)
    sensitivity.add_argument("--indices", action="store_true", help="Sobol indices with error bars")
    sensitivity.add_argument("--map", nargs=2, metavar=("A", "B"), help="a map of two inputs")
    sensitivity.add_argument(
        "--as-correlated",
        action="store_true",
        help="refused, with the reason: indices need independent inputs",
    )
    _add_seed(sensitivity)
    _add_json(sensitivity)

    difference = _command(commands, "difference", "why do two scenarios differ?", room="commands_change")
    difference.add_argument("first", metavar="A", help="scenario, a TOML file")
    difference.add_argument("second", metavar="B", help="another")
    _add_seed(difference)
    _add_json(difference)

    climate = _command(commands, "climate", "where it stands, and the answer elsewhere", room="commands_site")
    _add_file(climate)
    _add_json(climate)

    quote = _command(commands, "quote", "is the quote complete, and will it hold?", room="commands_quote")
    quote.add_argument("files", nargs="+", metavar="FILE", help="scenarios with quotes, TOML files")
    quote.add_argument("--found", metavar="FOUND", help="what was found after stripping, a TOML file")
    quote.add_argument("--chart", metavar="FILE", help="draw the roof to FILE.png or FILE.svg")
    _add_json(quote)

    handover = _command(
        commands, "handover", "is the film as promised, and what must work?", room="commands_quote"
    )
    handover.add_argument("file", metavar="READINGS", help="film readings, a CSV file: spot, reading")
    handover.add_argument("--film", type=float, required=True, metavar="N", help="specified dry film")
    handover.add_argument(
        "--units", choices=("us", "metric"), default="us", help="us: mil, metric: mm; default: us"
    )
    handover.add_argument("--chart", metavar="FILE", help="draw the spots to FILE.png or FILE.svg")
    _add_json(handover)

    figures = _command(commands, "figures", "every figure and where it comes from")
    _add_file(figures)
    _add_json(figures)

    new = _command(commands, "new", "write a scenario from seven questions")
    new.add_argument("file", nargs="?", metavar="FILE", help="scenario to write; default: print it")
    new.add_argument("--answers", metavar="FILE", help="read the answers from FILE instead of asking")
    return whole


def _command(
    commands: Commands, name: str, question: str, *, room: str = "commands"
) -> argparse.ArgumentParser:
    """Add a command; `room` is the module of the faces that holds its function."""
    command = commands.add_parser(name, help=question)
    command.set_defaults(room=room)
    return command


def _add_draws(command: argparse.ArgumentParser) -> None:
    """Add the number of draws and their seed to the arguments of a command."""
    command.add_argument("--draws", type=int, default=1024, metavar="N", help="futures drawn; default: 1024")
    _add_seed(command)


def _add_seed(command: argparse.ArgumentParser) -> None:
    """Add the seed to the arguments of a command."""
    command.add_argument("--seed", type=int, default=1, metavar="N", help="seed of the draws; default: 1")


def _add_file(command: argparse.ArgumentParser) -> None:
    """Add the scenario to the arguments of a command."""
    command.add_argument("file", metavar="FILE", help="scenario, a TOML file")


def _add_json(command: argparse.ArgumentParser) -> None:
    """Add the choice of JSON to the arguments of a command."""
    command.add_argument("--json", action="store_true", help="print the answer as JSON")


if __name__ == "__main__":
    sys.exit(main())
