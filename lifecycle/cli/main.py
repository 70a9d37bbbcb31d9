"""The command line: parse, answer, print.

Lecture
-------
Every command goes one way (`run`): what the user gave is checked and loaded (`arguments`), the function of
the table answers, and a writer puts the answer into the form that was asked for. Places to write to are
checked before anything is computed, and a file is written whole or not at all.

A user's mistake is one message (or one list) on the error stream and exit status 2, without a traceback.
Stopping with Ctrl-C ends with 130, a reader that goes away (``| head``) with 141, as a shell reports it. A
mistake of the program itself stays a traceback.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING

import lifecycle
from lifecycle.cli.table import COMMANDS, MADE, TO, WORDS, Command

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer

MISTAKE, STOPPED, NOBODY_READS = 2, 130, 141
"""Exit statuses besides 0."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # draws are shared out by ourselves
    from lifecycle.errors import ScenarioError, fault, nearest

    words, names = sys.argv[1:] if argv is None else argv, [command.name for command in COMMANDS]
    if words and not words[0].startswith("-") and words[0] not in names:
        slip = fault(repr(words[0]), "is not a command", "", nearest(words[0], names))
        print(f"lifecycle: {slip}", file=sys.stderr)
        return MISTAKE
    arguments = parser().parse_args(words)
    command = next(command for command in COMMANDS if command.name == arguments.command)
    if sys.stderr is None:  # closed, but what a command is doing is written there
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115

    try:
        _check(arguments)
        _put(run(command, arguments))
    except ScenarioError as error:
        print(f"lifecycle: {error}", file=sys.stderr)
        return MISTAKE
    except KeyboardInterrupt:
        print(f"\nlifecycle: {WORDS['said']['stopped']}", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        _silence()
        return NOBODY_READS
    return 0


def run(command: Command, arguments: argparse.Namespace) -> str:
    """Check what was given, answer, and write the answer where and as it is wanted."""
    from lifecycle.cli.arguments import Waiting, check_given, draw, studied

    made = MADE in command.options
    places = check_given(arguments, any_form=made or TO in command.options, made=made)
    room, name = command.run.split(":")
    function = getattr(import_module(f"lifecycle.{room}"), name)
    answered: Answer | str
    if command.alone:
        with Waiting() as waiting:
            answered = function(told=waiting)
    elif command.takes is None:
        answered = function(arguments)
    else:
        answered = studied(function, command, arguments)
    if isinstance(answered, str):
        return answered

    from lifecycle.answers.parts import signed
    from lifecycle.files import write
    from lifecycle.language.sentences import say
    from lifecycle.writers import as_json, written

    answered, said = signed(answered), []
    if places.chart is not None:
        said.append(draw(answered, places.chart))
    if places.to is not None:
        write(places.to, written(answered, places.form))
        said.append(say("commands.said.written", place=places.to))
    if arguments.json:
        return as_json(answered.data)

    from lifecycle.writers.terminal import as_text

    text = "" if places.to is not None else as_text(answered, everything=arguments.everything)
    return "\n\n".join(part for part in (text, "\n".join(said)) if part)


def _check(arguments: argparse.Namespace) -> None:
    """Check that no option is empty: ``--chart ""`` is a slip in a script, and no wish for no chart."""
    from lifecycle.errors import fault

    for name, value in vars(arguments).items():
        if value == "" and name != "file":
            raise fault(f"--{name.replace('_', '-')}", "must not be empty", '""', "name it, or leave it out")


def _put(text: str) -> None:
    """Print text; what the terminal cannot show becomes a question mark."""
    from lifecycle.errors import fault

    if sys.stdout is None:
        raise fault("the standard output", "must be open", "", "let the answer go to a screen or a file")
    encoding = sys.stdout.encoding or "utf-8"
    try:
        print(text.encode(encoding, "replace").decode(encoding), flush=True)
    except BrokenPipeError:
        raise
    except OSError as error:
        _silence()
        reason = (error.strerror or str(error)).lower()
        raise fault("the standard output", f"cannot be written: {reason}", "", "make room") from None


def _silence() -> None:
    """Let what is still to be written vanish: there is nowhere to write it to."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


class _Version(argparse.Action):
    """Print the version, and which form of the evaluation answers here, and why."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object, **__: object) -> None:
        """Print, and end."""
        from lifecycle.errors import ScenarioError
        from lifecycle.evaluation.compiled.library import form, found

        try:
            said = f"evaluation: {form()} ({found()[1]})"
        except ScenarioError as error:
            parser.exit(MISTAKE, f"lifecycle: {error}\n")
        print(f"lifecycle {lifecycle.__version__}, {said}")
        parser.exit()


def parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    whole = argparse.ArgumentParser(prog="lifecycle", description=WORDS["about"], epilog=WORDS["begin"])
    whole.add_argument("--version", action=_Version, nargs=0, help=WORDS["version"])
    commands = whole.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for command in COMMANDS:
        question = command.question
        added = commands.add_parser(
            command.name, help=question, description=f"{question[0].upper()}{question[1:]}"
        )
        for option in command.options:
            added.add_argument(option.name, help=command.meaning(option), **option.how)
    return whole
