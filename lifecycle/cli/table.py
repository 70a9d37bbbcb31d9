"""The commands in one table: name, the function that answers, and options.

Lecture
-------
The order is that in which people ask: first the questions are answered; then which way is cheaper, how sure
is this, now or later, what would change it; then the shop, the papers, the years after, the analyst's bench.
What a command answers and what an option means is said in `data/words/commands.toml`, for one command or,
under `options`, for all.

A function is named as ``room:function`` and imported when its command runs, so that ``--help`` answers at
once; nothing heavy is imported here. One that studies a scenario takes it and what `takes` names, and
returns an `Answer`; one about no file of the user's takes nothing; any other takes the parsed arguments and
returns an answer, or a text where there is but a sentence to say. What every answering command has
(`ANSWERS`) is added once: JSON, all of it, a file in any form.
"""

from __future__ import annotations

from argparse import ArgumentTypeError
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from lifecycle.data import data
from lifecycle.kinds import Half

Number = TypeVar("Number", int, float)

WORDS = data("words/commands.toml")["commands"]
"""What is said of the commands: read by itself, for the room of words takes longer to import."""


@dataclass(frozen=True)
class Option:
    """One argument of a command, as argparse takes it; what it means stands under `text` in the words."""

    name: str
    text: str
    how: dict[str, Any]


def option(name: str, *, text: str = "", **how: Any) -> Option:
    """Return an argument of a command."""
    return Option(name, text or name.lstrip("-"), how)


def _amount(typed: str) -> float:
    """Read a number."""
    return _read(float, typed, "must be a number")


def _whole(typed: str) -> int:
    """Read a whole number."""
    return _read(int, typed, "must be a whole number")


def _read(kind: type[Number], typed: str, rule: str) -> Number:
    """Read what was typed; what it must be, where it is not."""
    try:
        return kind(typed)
    except ValueError:
        raise ArgumentTypeError(f"{rule}; got {typed!r}") from None


def flag(name: str, **how: Any) -> Option:
    """Return an option that is set or not."""
    return option(name, action="store_true", **how)


def file(name: str, metavar: str = "FILE", **how: Any) -> Option:
    """Return an argument that names a file, or something else in a word."""
    return option(name, metavar=metavar, **how)


def number(name: str, default: int, metavar: str = "N") -> Option:
    """Return an option that takes a whole number."""
    return option(name, type=_whole, default=default, metavar=metavar)


@dataclass(frozen=True)
class Command:
    """One command.

    Parameters
    ----------
    name : str
        How it is called.
    run : str
        The function that answers, as ``room:function``.
    options : tuple of Option
        Its arguments.
    takes : tuple of str or None
        Names of arguments that its function takes besides the scenario (`given.studied`); None: it takes
        all arguments as they are.
    alone : bool
        Whether it is about no file, so that its function takes no arguments.
    always : bool
        Whether it answers itself where nothing is compared.
    trouble : bool
        Whether it answers itself where trouble is reported.
    shipped : str
        Name of the shipped scenario that it takes where none is named.
    """

    name: str
    run: str
    options: tuple[Option, ...] = ()
    takes: tuple[str, ...] | None = None
    alone: bool = False
    always: bool = False
    trouble: bool = False
    shipped: str = ""

    @property
    def question(self) -> str:
        """What it answers."""
        return str(WORDS[self.name]["question"])

    def meaning(self, of: Option) -> str:
        """Return what an option means here."""
        return str({**WORDS["options"], **WORDS[self.name]}[of.text])


FILE, CHART, COLUMNS = file("file"), file("--chart"), file("--columns", "MAP")
SEED = number("--seed", 1)
DRAWS = (number("--draws", 1024), SEED)
YEARS = option("--years", type=_amount, metavar="N")
FORMS = (flag("--json"), flag("--all", dest="everything"))
MADE, TO = file("--to", text="made"), file("--to")
ANSWERS = (*FORMS, TO)
OTHER_WAYS = flag("--other-ways")
UNITS: dict[str, Any] = {"choices": ("us", "metric")}
REPLACE = flag("--replace")
MANY = (flag("--skip-faults"), number("--workers", 1), file("--cluster", "ADDRESS"), flag("--yes"))
"""Options of commands that work out many cases."""

COMMANDS = (
    Command(
        "new",
        "cli.asking:new",
        (
            file("file", nargs="?"),
            file("--answers"),
            option("--correct", nargs="?", const="any", metavar="ANSWER"),
        ),
    ),
    Command(
        "compare",
        "answers.comparison:compare",
        (FILE, YEARS, OTHER_WAYS, flag("--likely"), CHART, *DRAWS, *ANSWERS),
        takes=("draws", "seed"),
        always=True,
    ),
    Command(
        "doubt",
        "answers.doubt:doubt",
        (FILE, YEARS, OTHER_WAYS, *DRAWS, option("--bill", type=_amount, metavar="AMOUNT"), CHART, *ANSWERS),
        takes=("draws", "seed", "bill"),
    ),
    Command(
        "timing",
        "answers.timing:timing",
        (FILE, YEARS, OTHER_WAYS, *DRAWS, CHART, *ANSWERS),
        takes=("draws", "seed"),
    ),
    Command(
        "sensitivity",
        "answers.sensitivity:sensitivity",
        (
            FILE,
            YEARS,
            flag("--indices"),
            option("--map", nargs=2, metavar=("A", "B")),
            flag("--as-correlated"),
            SEED,
            CHART,
            *ANSWERS,
        ),
        takes=("indices", "map", "as_correlated", "seed"),
    ),
    Command(
        "difference",
        "cli.loading:difference",
        (
            file("first", "A"),
            file("second", "B", nargs="?"),
            file("--since", "VERSION"),
            YEARS,
            SEED,
            *ANSWERS,
        ),
    ),
    Command("climate", "answers.climate:climate", (FILE, YEARS, *ANSWERS), takes=(), always=True),
    Command(
        "quote",
        "cli.loading:quote",
        (
            file("files", nargs="+"),
            file("--answers"),
            file("--found", "FOUND"),
            flag("--schedule"),
            YEARS,
            CHART,
            *ANSWERS,
        ),
    ),
    Command(
        "handover",
        "cli.loading:handover",
        (
            file("file", "READINGS"),
            file("--film", "N", required=True),
            option("--units", **UNITS),
            COLUMNS,
            CHART,
            *ANSWERS,
        ),
    ),
    Command("checklist", "answers.handover:checklist", ANSWERS, alone=True),
    Command("tricks", "answers.claims:tricks", ANSWERS, alone=True),
    Command(
        "figures",
        "answers.figures:figures",
        (FILE, YEARS, file("--why", "NAME"), *ANSWERS),
        takes=("why",),
        always=True,
    ),
    Command(
        "report",
        "cli.papers:report",
        (FILE, YEARS, file("--to", "FOLDER", required=True), REPLACE, *DRAWS, *FORMS),
    ),
    Command(
        "card",
        "answers.card:card",
        (file("file", nargs="?"), *DRAWS, *ANSWERS),
        takes=("draws", "seed"),
        shipped="price-card",
    ),
    Command("pocket", "cli.papers:pocket", (file("--to", required=True),)),
    Command(
        "logbook",
        "cli.loading:logbook",
        (
            file("file", "LOG"),
            file("--scenario", required=True),
            file("--today", "DATE"),
            file("--way", "NAME"),
            COLUMNS,
            flag("--buyer"),
            file("--readings", "CSV"),
            file("--film", "N"),
            *DRAWS,
            *ANSWERS,
        ),
    ),
    Command(
        "claims",
        "answers.claims:claims",
        (FILE, YEARS, *DRAWS, *ANSWERS),
        takes=("draws", "seed"),
        trouble=True,
    ),
    Command("method", "answers.published:method", ANSWERS, alone=True),
    Command("notebooks", "cli.papers:notebooks", (file("--to", "FOLDER", required=True), REPLACE, *FORMS)),
    Command(
        "open",
        "cli.papers:opened",
        (
            option(
                "page",
                nargs="?",
                choices=("owner", "counter", "analyst", "doubt", "method"),
                default="owner",
                metavar="PAGE",
            ),
            file("--scenario"),
            flag("--lab"),
            file("--on", "ADDRESS"),
            number("--port", 0),
            option("--no-browser", dest="browser", action="store_false"),
        ),
    ),
    Command(
        "sweep",
        "cli.sweeping:sweep",
        (
            file("files", nargs="+"),
            option("--over", action="append", metavar="NAME=VALUES"),
            file("--coaches"),
            file("--years", "LIST"),
            file("--to", "FOLDER", required=True),
            flag("--csv"),
            *MANY,
            *DRAWS,
            *FORMS,
        ),
    ),
    Command(
        "fleet",
        "cli.sweeping:fleet",
        (
            FILE,
            file("--coaches", required=True),
            option("--budget", type=_amount, required=True, metavar="AMOUNT"),
            file("--workbook"),
            file("--parts", "FOLDER"),
            *MANY,
            *DRAWS,
            *ANSWERS,
        ),
    ),
    Command(
        "weather",
        "cli.loading:weather",
        (
            FILE,
            MADE,
            file("--scenario"),
            option("--units", **UNITS),
            COLUMNS,
            file("--station", "NAME"),
            option("--in", dest="in_units", **UNITS),
            *FORMS,
        ),
    ),
    Command(
        "records",
        "cli.loading:records",
        (
            FILE,
            option("--for", dest="about", required=True, choices=("life", "joints", "hidden")),
            COLUMNS,
            file("--scenario"),
            MADE,
            file("--roof", "NAME"),
            flag("--widen"),
            CHART,
            *FORMS,
        ),
    ),
    Command(
        "regions",
        "cli.loading:regions",
        (
            FILE,
            flag("--fix"),
            file("--against", "OLD.json"),
            file("--seen", "SEEN.csv"),
            file("--region", "NAME"),
            file("--parts", "FOLDER", nargs="+"),
            *MANY[1:3],
            MADE,
            *DRAWS,
            *FORMS,
        ),
    ),
)
"""Every command."""


def check_words(commands: Iterable[Command]) -> None:
    """Refuse commands whose question, or the meaning of whose options, is said nowhere.

    Raises
    ------
    Half
        With all that the first of them lacks.

    Examples
    --------
    >>> check_words([Command("storage", "answers.storage:storage", (FILE, flag("--winter")))])
    Traceback (most recent call last):
        ...
    lifecycle.kinds.Half: data/words/commands.toml: [commands.storage] lacks question, winter
    """
    for command in commands:
        said = {**WORDS["options"], **WORDS.get(command.name, {})}
        lacks = [key for key in ("question", *(one.text for one in command.options)) if key not in said]
        if lacks:
            raise Half(f"data/words/commands.toml: [commands.{command.name}] lacks {', '.join(lacks)}")


check_words(COMMANDS)
