"""The commands in one table: name, question, options, and the function that answers.

Lecture
-------
The order is that in which people ask: first the questions are answered; then which way is cheaper, how sure
is this, now or later, what would change it; then the shop, the papers, the years after, the analyst's bench.

A function is named as ``room:function`` and imported when its command runs, so that ``--help`` answers at
once; nothing heavy is imported here. One that studies a scenario takes it and what `takes` names, and
returns an `Answer`; any other takes the parsed arguments and returns an answer, or a text where there is
but a sentence to say. What every answering command has (`ANSWERS`) is added once: another number of years
kept, JSON, all of it, a file in any form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Option:
    """One argument of a command, as argparse takes it."""

    names: tuple[str, ...]
    words: dict[str, Any]


def option(*names: str, **words: Any) -> Option:
    """Return an argument of a command."""
    return Option(names, words)


@dataclass(frozen=True)
class Command:
    """One command.

    Parameters
    ----------
    name, question : str
        How it is called, and what it answers.
    run : str
        The function that answers, as ``room:function``.
    options : tuple of Option
        Its arguments.
    takes : tuple of str or None
        Names of arguments that its function takes besides the scenario (`studying.studied`); None: it takes
        all arguments as they are.
    always : bool
        Whether it answers itself where nothing is compared.
    trouble : bool
        Whether it answers itself where trouble is reported.
    shipped : str
        Name of the shipped scenario that it takes where none is named.
    """

    name: str
    question: str
    run: str
    options: tuple[Option, ...] = ()
    takes: tuple[str, ...] | None = None
    always: bool = False
    trouble: bool = False
    shipped: str = ""


def file(**words: Any) -> Option:
    """Return the scenario as an argument."""
    return option("file", **{"metavar": "FILE", "help": "scenario, a TOML file", **words})


def chart(what: str = "draw a chart") -> Option:
    """Return the place of a chart as an option."""
    return option("--chart", metavar="FILE", help=f"{what} to FILE.png or FILE.svg; default: none")


SEED = option(
    "--seed",
    type=int,
    default=1,
    metavar="N",
    help="a whole number: the same seed draws the same futures; default: 1",
)
DRAWS = (
    option("--draws", type=int, default=1024, metavar="N", help="futures drawn, at least 16; default: 1024"),
    SEED,
)
YEARS = option(
    "--years",
    type=float,
    metavar="N",
    help="years that you keep the coach, for this run; default: as in the file",
)
FORMS = (
    option("--json", action="store_true", help="print the answer as JSON, for programs"),
    option("--all", action="store_true", dest="everything", help="print all of it, not the first screen"),
)
MADE = option(
    "--to",
    metavar="FILE",
    help="write what is made of it to NEW.toml, or the whole answer to FILE.html, .pdf, .txt or .json",
)
TO = option("--to", metavar="FILE", help="write the whole answer to FILE.html, .pdf, .txt or .json")
ANSWERS = (*FORMS, TO)

BILL = "in the currency of the file: how often is one bill above AMOUNT? default: half a new roof"
MAP = "a map of where the answer changes by two figures, named as in lifecycle figures: owner.holding_period"
FILM = "dry film (how thick the coating is once dry) that was promised, with its unit: 187.5mil, 4.76mm"

CORRECT = "read the answers of FILE back and correct one, by its number in the list or its name, as keep"

OTHER_WAYS = option(
    "--other-ways", action="store_true", help="compare the other ways too, those that stand aside in the file"
)

OVER = (
    "what is varied: NAME=a,b,c or NAME=low:high:step, NAME as in the scenario (existing.age) or in "
    "lifecycle figures; may stand several times"
)
COACHES = "a row for each coach, columns named as in the scenario (coach, existing.age ...), a CSV file"
PARTS = "keep each region in the first FOLDER, so that a run that was stopped goes on; take what others have"
CSV = option("--csv", action="store_true", help="write CSV, not Parquet")
MANY = (
    option("--skip-faults", action="store_true", help="leave out rows that cannot be, and list them"),
    option("--workers", type=int, default=1, metavar="N", help="processes on this machine; default: 1"),
    option("--cluster", metavar="ADDRESS", help="a Dask scheduler that takes the work: tcp://127.0.0.1:8786"),
    option("--yes", action="store_true", help="do not ask first, however much it is"),
)
"""Options of commands that work out many cases."""

COLUMNS = option("--columns", metavar="MAP", help="what the columns and words of a table mean, a TOML file")

COMMANDS = (
    Command(
        "new",
        "write a scenario from seven questions",
        "cli.asking:new",
        (
            option("file", nargs="?", metavar="FILE", help="scenario to write; default: print it"),
            option("--answers", metavar="FILE", help="read the answers from FILE instead of asking"),
            option("--correct", nargs="?", const="any", metavar="ANSWER", help=CORRECT),
        ),
    ),
    Command(
        "compare",
        "which way is cheaper?",
        "answers.comparison:compare",
        (
            file(),
            YEARS,
            OTHER_WAYS,
            option("--likely", action="store_true", help="one case only: every figure at its likely value"),
            chart(),
            *DRAWS,
            *ANSWERS,
        ),
        takes=("draws", "seed"),
        always=True,
    ),
    Command(
        "doubt",
        "how sure is this?",
        "answers.doubt:doubt",
        (
            file(),
            YEARS,
            OTHER_WAYS,
            *DRAWS,
            option("--bill", type=float, metavar="AMOUNT", help=BILL),
            chart(),
            *ANSWERS,
        ),
        takes=("draws", "seed", "bill"),
    ),
    Command(
        "timing",
        "now, later or never?",
        "answers.timing:timing",
        (file(), YEARS, OTHER_WAYS, *DRAWS, chart(), *ANSWERS),
        takes=("draws", "seed"),
    ),
    Command(
        "sensitivity",
        "what would change the answer?",
        "answers.sensitivity:sensitivity",
        (
            file(),
            YEARS,
            option(
                "--indices",
                action="store_true",
                help="how much of the doubt each figure brings (Sobol indices)",
            ),
            option("--map", nargs=2, metavar=("A", "B"), help=MAP),
            option(
                "--as-correlated",
                action="store_true",
                help="refused, with the reason: indices need independent inputs",
            ),
            SEED,
            chart(),
            *ANSWERS,
        ),
        takes=("indices", "map", "as_correlated", "seed"),
    ),
    Command(
        "difference",
        "why do two scenarios differ?",
        "cli.loading:difference",
        (
            option("first", metavar="A", help="scenario, a TOML file"),
            option("second", nargs="?", metavar="B", help="another scenario, a TOML file"),
            option(
                "--since",
                metavar="VERSION",
                help="instead of B: what changed in the answer of A since that version of the tool, as 0.1.0",
            ),
            YEARS,
            SEED,
            *ANSWERS,
        ),
    ),
    Command(
        "climate",
        "where it stands, and the answer elsewhere",
        "answers.climate:climate",
        (file(), YEARS, *ANSWERS),
        takes=(),
        always=True,
    ),
    Command(
        "quote",
        "is the quote complete, and will it hold?",
        "cli.loading:quote",
        (
            option("files", nargs="+", metavar="FILE", help="one scenario or more with quotes, TOML files"),
            option(
                "--answers", metavar="FILE", help="lines of a quote on paper, under [paper]; default: ask"
            ),
            option("--found", metavar="FOUND", help="what was found after stripping, a TOML file"),
            option("--schedule", action="store_true", help="the loan month by month"),
            YEARS,
            chart("draw the roof"),
            *ANSWERS,
        ),
    ),
    Command(
        "handover",
        "is the film as promised, and what must work?",
        "cli.loading:handover",
        (
            option("file", metavar="READINGS", help="film readings, a CSV file: spot, reading"),
            option("--film", required=True, metavar="N", help=FILM),
            option(
                "--units",
                choices=("us", "metric"),
                help="of the readings: us: mil (a thousandth of an inch), metric: mm; default: as the film",
            ),
            COLUMNS,
            chart("draw the spots"),
            *ANSWERS,
        ),
    ),
    Command(
        "checklist",
        "what does a good job do, step by step?",
        "cli.loading:checklist",
        ANSWERS,
    ),
    Command(
        "tricks",
        "what does the tool say of a dishonest seller's tricks?",
        "cli.loading:tricks",
        ANSWERS,
    ),
    Command(
        "figures",
        "every figure and where it comes from",
        "answers.figures:figures",
        (
            file(),
            YEARS,
            option(
                "--why",
                metavar="NAME",
                help='what one printed number stands on, with its sources, as "leak damage"',
            ),
            *ANSWERS,
        ),
        takes=("why",),
        always=True,
    ),
    Command(
        "report",
        "papers to take home",
        "cli.papers:report",
        (
            file(),
            YEARS,
            option("--to", required=True, metavar="FOLDER", help="folder to make, as reports/ours"),
            option(
                "--replace",
                action="store_true",
                help="the folder may hold something: replace its papers",
            ),
            *DRAWS,
            *FORMS,
        ),
    ),
    Command(
        "card",
        "a page for people who run nothing",
        "answers.card:card",
        (
            file(nargs="?", help="scenario, a TOML file; default: the card's own coach"),
            *DRAWS,
            *ANSWERS,
        ),
        takes=("draws", "seed"),
        shipped="price-card",
    ),
    Command(
        "pocket",
        "a page for a telephone that works the answer out",
        "cli.papers:pocket",
        (
            option(
                "--to",
                required=True,
                metavar="FILE",
                help="HTML file to write; the page complete in itself, for any device with a browser",
            ),
        ),
    ),
    Command(
        "logbook",
        "does the answer still stand, years after?",
        "cli.loading:logbook",
        (
            option("file", metavar="LOG", help="what was done, a TOML or CSV file: date, kind, cost, hours"),
            option(
                "--scenario",
                required=True,
                metavar="FILE",
                help="scenario that the log belongs to, a TOML file",
            ),
            option(
                "--today", metavar="DATE", help="day to which the log runs, as 2030-04-20; default: today"
            ),
            option("--way", metavar="NAME", help="way that you took; default: the one that fits the log"),
            COLUMNS,
            option("--buyer", action="store_true", help="the page for the buyer instead: add --to FILE"),
            option("--readings", metavar="CSV", help="film readings for that page: spot, reading"),
            option(
                "--film",
                metavar="N",
                help="dry film promised; default: in mil, or mm if the scenario is metric",
            ),
            *DRAWS,
            *ANSWERS,
        ),
    ),
    Command(
        "claims",
        "what may be said, and what may not?",
        "answers.claims:claims",
        (file(), YEARS, *DRAWS, *ANSWERS),
        takes=("draws", "seed"),
        trouble=True,
    ),
    Command(
        "method",
        "numbers that others printed, beside ours",
        "cli.loading:method",
        ANSWERS,
    ),
    Command(
        "notebooks",
        "the notebooks, to read, run and change",
        "cli.papers:notebooks",
        (
            option("--to", required=True, metavar="FOLDER", help="folder to make, for copies of them"),
            option(
                "--replace",
                action="store_true",
                help="the folder may hold something: replace its notebooks",
            ),
            *FORMS,
        ),
    ),
    Command(
        "open",
        "a page in your browser: questions, answer, charts",
        "cli.serving:open",
        (
            option(
                "page",
                nargs="?",
                choices=("owner", "counter", "analyst", "doubt", "method"),
                default="owner",
                metavar="PAGE",
                help="owner, counter, analyst, doubt, method; default: owner",
            ),
            option("--scenario", metavar="FILE", help="begin with this scenario, a TOML file"),
            option("--lab", action="store_true", help="the same with its code, in JupyterLab"),
            option(
                "--on", metavar="ADDRESS", help="for a tablet: reach it at this address of your own network"
            ),
            option("--port", type=int, default=0, metavar="N", help="port; default: one that is free"),
            option("--no-browser", dest="browser", action="store_false", help="do not open the browser"),
        ),
    ),
    Command(
        "sweep",
        "many cases at once: one table of answers",
        "cli.sweeping:sweep",
        (
            option("files", nargs="+", metavar="FILE", help="one scenario or more, TOML files"),
            option("--over", action="append", metavar="NAME=VALUES", help=OVER),
            option("--coaches", metavar="FILE", help=COACHES),
            option(
                "--years", metavar="LIST", help="years kept, as 3,5,8 or 2:20:2; default: as the file says"
            ),
            option(
                "--to",
                required=True,
                metavar="FOLDER",
                help="folder of the table; one that was begun goes on",
            ),
            CSV,
            *MANY,
            *DRAWS,
            *FORMS,
        ),
    ),
    Command(
        "fleet",
        "which coaches of a fleet first, under a yearly budget?",
        "cli.sweeping:fleet",
        (
            file(help="what the coaches have in common: a scenario, a TOML file"),
            option("--coaches", required=True, metavar="FILE", help=COACHES),
            option(
                "--budget",
                type=float,
                required=True,
                metavar="AMOUNT",
                help="for spraying in each year, in the currency of the file",
            ),
            option("--workbook", metavar="FILE", help="write the fleet to FILE.xlsx, with live formulas"),
            option(
                "--parts", metavar="FOLDER", help="keep what is worked out: a run that was stopped goes on"
            ),
            *MANY,
            *DRAWS,
            *ANSWERS,
        ),
    ),
    Command(
        "weather",
        "a climate from a daily weather file",
        "cli.loading:weather",
        (
            option("file", metavar="FILE", help="daily weather, a CSV file"),
            MADE,
            option("--scenario", metavar="FILE", help="scenario that gets the climate"),
            option(
                "--units", choices=("us", "metric"), help="units of a daily export: F and in, or C and mm"
            ),
            COLUMNS,
            option("--station", metavar="NAME", help="station, where the file holds several"),
            option("--in", dest="in_units", choices=("us", "metric"), help="units to answer in; default: us"),
            *FORMS,
        ),
    ),
    Command(
        "records",
        "what the records say",
        "cli.loading:records",
        (
            option("file", metavar="FILE", help="looks, intervals or job sheets, a CSV file"),
            option(
                "--for",
                dest="about",
                required=True,
                choices=("life", "joints", "hidden"),
                help="how long roofs last, how often joints leak, or what stripped roofs hid",
            ),
            COLUMNS,
            option("--scenario", metavar="FILE", help="scenario that gets the figures"),
            MADE,
            option("--roof", metavar="NAME", help="its roof that they are of; default: the standing one"),
            option(
                "--widen",
                action="store_true",
                help="let records that are too few move the tool's own figures",
            ),
            chart("draw the lives"),
            *FORMS,
        ),
    ),
    Command(
        "regions",
        "what may be said by region, habit and year of sale",
        "cli.loading:regions",
        (
            option("file", metavar="FILE", help="regions, habits and years, a TOML file"),
            option("--fix", action="store_true", help="fix what will be answered, before records are read"),
            option("--against", metavar="OLD.json", help="say what changed since another edition, and why"),
            option("--seen", metavar="SEEN.csv", help="hold what was said against what was seen"),
            option("--region", metavar="NAME", help="write the scenario of one region, with --to"),
            option("--parts", nargs="+", metavar="FOLDER", help=PARTS),
            *MANY[1:3],
            MADE,
            *DRAWS,
            *FORMS,
        ),
    ),
)
"""Every command."""
