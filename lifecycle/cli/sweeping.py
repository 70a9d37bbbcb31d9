"""The commands for many cases: what is to be varied is read, what is wrong said at once, and what it takes.

Lecture
-------
Everything is read before anything is evaluated. A grid of more than `ASKS` answers is tried at one case
first, and the time and the bytes that it takes are said; somebody at a terminal is asked, and a script says
``--yes``.

Left out: how long a cluster takes, which is said as for one processor.
"""

from __future__ import annotations

import math
import sys
import time
from argparse import Namespace
from collections.abc import Collection, Sequence
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from lifecycle.cli.arguments import Waiting, check_folder, duration_text, kind, loaded
from lifecycle.errors import Fault, ScenarioError, fault
from lifecycle.files import write
from lifecycle.language.labels import counted
from lifecycle.language.sentences import say

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.records.fleets import Coaches
    from lifecycle.scenario import Scenario
    from lifecycle.studies.grid import Grid, Point, Value
    from lifecycle.studies.sweeping import Folder

ASKS = 500
"""Answers (cases by years kept) above which it is asked first."""

MOST_POINTS = 10_000_000
"""Cases at most."""

MOST_WORKERS = 256
"""Processes at most."""

NUMBER, WAYS = 8, 8
"""Bytes of a number in a part; rows of a case, about, for the bytes that are said beforehand."""


def sweep(arguments: Namespace) -> Answer:
    """Read scenarios, what is varied and coaches; work all cases out into a folder; say what came out."""
    check_workers(arguments)
    scenarios = {file: loaded(file) for file in dict.fromkeys(arguments.files)}
    over, years = read_over(arguments.over or ()), read_years(arguments.years)
    coaches = _coaches(arguments.coaches, next(iter(scenarios.values())))
    if coaches and (twice := sorted({name for row in coaches.rows for name in row} & set(over))):
        rule = "must not be a column of the table too"
        raise fault("--over", rule, ", ".join(twice), "take it out of one of them")

    from lifecycle.studies.grid import grid

    whole = grid(
        scenarios,
        over,
        years=years,
        rows=coaches.rows if coaches else ({},),
        labels=coaches.labels if coaches else (),
        draws=arguments.draws,
        seed=arguments.seed,
    )
    if len(whole) > MOST_POINTS:
        rule = f"must make at most {MOST_POINTS:,} cases"
        raise fault("--over", rule, f"{len(whole):,}", "sweep part of it, or in wider steps")

    from lifecycle.answers.fleet import sweep_answer

    with Waiting() as waiting:
        skipped, said = checked(whole, coaches, waiting, skip=arguments.skip_faults)
    folder, before = worked_out(whole, arguments, skipped, Path(arguments.to))
    return sweep_answer(whole, folder, before, len(skipped), said)


def fleet(arguments: Namespace) -> Answer:
    """Read a fleet and its budget; say which coaches first, and write a workbook if asked."""
    if not 0.0 < arguments.budget < math.inf:
        remedy = "what you would spend on spraying in a year"
        raise fault("--budget", "must be an amount of money above 0", str(arguments.budget), remedy)
    arguments.csv, book = True, _book_place(arguments.workbook)
    check_workers(arguments)
    base = loaded(arguments.file)
    coaches = _coaches(arguments.coaches, base)
    if coaches is None:
        raise fault("--coaches", "is needed", "", "name a CSV file with a row for each coach")

    from lifecycle.answers.fleet import Fleet, fleet_answer
    from lifecycle.studies.fleet import coaches_of, paths_of, queued
    from lifecycle.studies.grid import grid

    whole = grid(
        base,
        rows=coaches.rows,
        labels=coaches.labels,
        draws=arguments.draws,
        seed=arguments.seed,
        ratios=True,
    )
    with Waiting() as waiting:
        skipped, said = checked(whole, coaches, waiting, skip=arguments.skip_faults)
    with TemporaryDirectory() as own:
        place = Path(arguments.parts) if arguments.parts else Path(own) / "parts"
        folder, _ = worked_out(whole, arguments, skipped, place)
        frame = folder.table(whole.kinds)
    in_order = queued(coaches_of(frame), arguments.budget)
    with Waiting() as waiting:
        waiting.step(say("fleet.spending_table", currency=base.currency))
        paths = paths_of(whole, in_order, progress=waiting.part)
    found = Fleet(whole, coaches.source, arguments.budget, in_order, paths, len(skipped), said)
    answer = fleet_answer(found)
    if book is None:
        return answer

    from lifecycle.answers.blocks import Sentence
    from lifecycle.writers.workbook.fleet import as_fleet_workbook

    write(book, as_fleet_workbook(found))
    return replace(answer, blocks=(*answer.blocks, Sentence(say("fleet.written", place=book), "note")))


def _book_place(name: str | None) -> Path | None:
    """Check where a workbook is to go."""
    if name is None:
        return None
    if kind(Path(name)) != "xlsx":
        raise fault(
            "--workbook", "must name a file ending in .xlsx", name, "name it fleet.xlsx, for instance"
        )
    check_folder("--workbook", Path(name))
    return Path(name)


def worked_out(
    whole: Grid, arguments: Namespace, skipped: Collection[int], place: Path
) -> tuple[Folder, int]:
    """Work a grid out into its folder; return the folder, and how many cases were there before."""
    from lifecycle.studies.sweeping import folder_of, run

    folder = folder_of(whole, place, csv=arguments.csv, skipped=skipped)
    to_do = sum(len(folder.numbers(number)) for number in folder.missing())
    if to_do * max(1, len(whole.years)) > ASKS and not arguments.yes:
        ask_first(whole, folder, to_do, arguments.workers)
    with Waiting() as waiting:
        waiting.step(say("sweep.answering", cases=counted(to_do, "case")))
        run(whole, folder, workers=arguments.workers, cluster=arguments.cluster or "", progress=waiting.part)
    return folder, len(whole) - len(folder.skipped) - to_do


def check_workers(arguments: Namespace) -> None:
    """Check how many processes are wanted, and that they are wanted here."""
    if not 1 <= arguments.workers <= MOST_WORKERS:
        rule = f"must be a whole number from 1 to {MOST_WORKERS}"
        raise fault("--workers", rule, str(arguments.workers), "one for each processor is most that helps")
    if arguments.cluster and arguments.workers > 1:
        raise fault("--workers", "must not stand beside --cluster", "", "the cluster has workers of its own")
    if not getattr(arguments, "csv", True):
        try:
            import pyarrow  # noqa: F401
        except ImportError:
            remedy = "python -m pip install -e '.[scale]', or add --csv"
            raise fault("--to", "needs pyarrow for Parquet", "it is not installed", remedy) from None


def read_over(given: Sequence[str]) -> dict[str, tuple[Value, ...]]:
    """Read what is varied: ``NAME=a,b,c`` or ``NAME=low:high:step``, all that is wrong at once."""
    from lifecycle.records.fleets import value_of

    found: dict[str, tuple[Value, ...]] = {}
    faults = []
    for text in given:
        name, equals, values = text.partition("=")
        name = name.strip()
        if not equals or not name or not values.strip():
            remedy = "as existing.age=24,60,120 or owner.hour_value=0:40:10"
            faults.append(Fault("--over", "must be NAME=a,b,c or NAME=low:high:step", text, remedy))
        elif name in found:
            faults.append(Fault(f"--over {name}", "must stand once", text, "put all values into one"))
        elif values.count(":") == 2 and "," not in values:
            steps = _steps(name, values)
            if isinstance(steps, Fault):
                faults.append(steps)
            else:
                found[name] = steps
        else:
            words = [one.strip() for one in values.split(",")]
            if len(set(words)) < len(words) or "" in words:
                rule = "must have different values, none of them empty"
                faults.append(Fault(f"--over {name}", rule, values, "a decimal comma is written as a point"))
            found[name] = tuple(value_of(word) for word in words)
    if faults:
        raise ScenarioError(faults)
    return found


def _steps(name: str, values: str) -> tuple[Value, ...] | Fault:
    """Return low, low + step ... high; or what is wrong with them."""
    rule = "must be low:high:step, three numbers, low not above high and step above 0"
    remedy = "as 24:120:24, which is 24, 48, 72, 96, 120"
    try:
        low, high, step = (Decimal(one.strip()) for one in values.split(":"))
        number = int((high - low) / step) + 1
    except (InvalidOperation, ArithmeticError, ValueError):
        return Fault(f"--over {name}", rule, values, remedy)
    if step <= 0 or high < low or not all(one.is_finite() for one in (low, high, step)):
        return Fault(f"--over {name}", rule, values, remedy)
    if number > MOST_POINTS:
        return Fault(
            f"--over {name}", f"must make at most {MOST_POINTS:,} cases", f"{number:,}", "wider steps"
        )
    return tuple(float(low + step * place) for place in range(number))


def read_years(given: str | None) -> tuple[float, ...]:
    """Read the years kept; none: as the scenario says."""
    if given is None:
        return ()
    found = read_over([f"--years={given}"])["--years"]
    wrong = [str(one) for one in found if isinstance(one, bool) or not isinstance(one, int | float)]
    if wrong:
        rule = "must be numbers of years, as 3,5,8 or 2:20:2"
        raise fault("--years", rule, ", ".join(wrong), "leave it out for those of the scenario")
    return tuple(float(one) for one in found if isinstance(one, int | float))


def _coaches(file: str | None, base: Scenario) -> Coaches | None:
    """Read the table of coaches, if there is one."""
    if file is None:
        return None

    from lifecycle.records.fleets import coaches

    return coaches(file, base)


def checked(
    whole: Grid, coaches: Coaches | None, waiting: Waiting, *, skip: bool
) -> tuple[tuple[int, ...], list[Fault]]:
    """Read every case and raise all that is wrong; or return, if asked, what is left out and why."""
    from lifecycle.records.fleets import told
    from lifecycle.studies.grid import faults_of

    waiting.step(say("sweep.reading"))
    found = []
    for point, faults in faults_of(whole):
        if point.number % 64 == 0:
            waiting.part(point.number, len(whole))
        if faults:
            found.append((point, faults))
    if coaches is not None:
        said = told(coaches, found)
    else:
        said = [
            replace(one, place=f"{_named(point)}: {one.place}", line=None)
            for point, faults in found
            for one in faults
        ]
    if found and (not skip or len(found) == len(whole)):
        raise ScenarioError(dict.fromkeys(said), coaches.source if coaches else "")
    return tuple(point.number for point, _ in found), said


def _named(point: Point) -> str:
    """Name a case by what it says."""
    return ", ".join(f"{name} = {value}" for name, value in point.says.items()) or point.name


def ask_first(whole: Grid, folder: Folder, to_do: int, workers: int) -> None:
    """Say what a large sweep takes, by trying one case, and ask whether to go on."""
    from lifecycle.answers.fleet import size_text
    from lifecycle.cli.asking import typed_line
    from lifecycle.studies.sweeping import block_of, part_of

    block = block_of(whole, folder, folder.missing()[0])
    one = replace(block, points=block.points[:1])
    part_of(one)  # what is done but once is no part of the time of a case
    start = time.perf_counter()
    size = len(part_of(one))
    seconds = (time.perf_counter() - start) * to_do / workers
    parts = math.ceil(to_do / folder.size)
    more = (to_do - parts) * NUMBER * len(block.kinds) * WAYS * max(1, len(whole.years))
    much = say(
        "sweep.much",
        cases=counted(to_do, "case"),
        time=duration_text(seconds),
        workers=counted(workers, "processor"),
        size=size_text(size * parts + more),
    )
    if sys.stdin is None or not sys.stdin.isatty():
        raise fault("--yes", "is needed for so much", "", say("commands.said.much", much=much))
    sys.stderr.write(f"{much}\n")
    try:
        answer = typed_line(say("sweep.go_on"))
    except EOFError:
        answer = ""
    if answer.strip().casefold() not in ("yes", "y"):
        raise fault("--to", "is not worked out", "", "nothing was done")
