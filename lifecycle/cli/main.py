"""The command line: parse, call, print.

Lecture
-------
A user's mistake is one message (or one list) on the error stream and exit status 2, without a
traceback. Stopping with Ctrl-C ends with 130, a reader that goes away (``| head``) with 141, as a
shell reports it. A mistake of the program itself stays a traceback.

How commands are spelt stands in `options`; what each does in a module of its own, imported when the
command runs, so that ``--help`` answers at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

import lifecycle
from lifecycle.cli.options import add_commands

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
        run = getattr(import_module(f"lifecycle.cli.{arguments.room}"), arguments.command)
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
        epilog="Begin with: lifecycle new my-roof.toml, then lifecycle compare my-roof.toml. "
        "lifecycle COMMAND --help explains a command.",
    )
    whole.add_argument("--version", action="version", version=f"lifecycle {lifecycle.__version__}")
    commands = whole.add_subparsers(dest="command", required=True, metavar="COMMAND")

    add_commands(commands)
    return whole
