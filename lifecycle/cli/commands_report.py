"""The command that makes the papers to take home: one folder of them for a scenario.

Lecture
-------
As in `commands`: it takes its arguments and returns the text that is printed. Where the papers go is
checked before anything is computed. They are written into a folder beside their place first, all of them,
and then put there by renaming; so whoever is stopped, or runs out of room, finds no half of them.

A folder that holds anything is left alone unless it may be replaced; then the papers of that name are
replaced, and whatever else lies there stays.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from argparse import Namespace
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.given import check_draws, loaded
from lifecycle.errors import fault
from lifecycle.language.labels import HEADINGS
from lifecycle.language.lines import blocks, wrapped

if TYPE_CHECKING:
    from lifecycle.answers.gathered import Gathered
    from lifecycle.writers.pen import Paper

PAPERS = {
    "us.html": "for us: everything, a page front and a page back",
    "us.pdf": "the same to print",
    "shop.html": "for the shop: scope and questions, nothing of what you would pay",
    "shop.pdf": "the same to print",
    "workbook.xlsx": "the sums, with formulas, to check and to discount anew",
    "upkeep.ics": "a calendar of upkeep, for the cheapest of these ways",
    "analyst.html": "for the analyst: indices, maps, places, every figure",
}
"""Files that are made, and what each is."""


def report(arguments: Namespace) -> str:
    """Make the papers to take home.

    Parameters
    ----------
    arguments : Namespace
        file, to, replace, draws, seed.

    Returns
    -------
    str
        The verdict, and which papers are where.

    Raises
    ------
    ScenarioError
        With what is wrong with the scenario, the draws, or the folder.
    """
    folder = _place(arguments.to, replace=arguments.replace)
    check_draws(arguments.draws, arguments.seed)
    scenario = loaded(arguments.file)

    from lifecycle.answers.gathered import gather
    from lifecycle.cli.progress import Waiting
    from lifecycle.studies.doubt import in_futures

    with Waiting() as waiting:
        told = in_futures(
            lambda: gather(scenario, draws=arguments.draws, seed=arguments.seed, told=waiting.step)
        )
        waiting.step("the papers")
        papers = papers_of(told)
    _put(folder, papers)
    listed = [f"- {name}: {PAPERS[name]}" for name in papers]
    return blocks(
        [HEADINGS["report"], scenario.title],
        wrapped(told.answer.lines),
        [f"Papers in {folder}", *listed],
    )


def papers_of(told: Gathered) -> dict[str, bytes]:
    """Return the papers of one scenario.

    Parameters
    ----------
    told : Gathered
        What the studies say.

    Returns
    -------
    dict of str to bytes
        By file name.
    """
    from lifecycle.answers.papers.for_analyst import for_analyst
    from lifecycle.answers.papers.for_shop import for_shop
    from lifecycle.answers.papers.for_us import for_us
    from lifecycle.writers.calendar import as_calendar
    from lifecycle.writers.html import as_html
    from lifecycle.writers.pdf import as_pdf
    from lifecycle.writers.workbook import as_workbook

    us, shop = for_us(told), for_shop(told)
    paper: Paper = "letter" if told.scenario.units == "us" else "a4"
    return {
        "us.html": as_html(us).encode("utf-8"),
        "us.pdf": as_pdf(us, paper=paper),
        "shop.html": as_html(shop).encode("utf-8"),
        "shop.pdf": as_pdf(shop, paper=paper),
        "workbook.xlsx": as_workbook(told.comparison, told.studied.found if told.studied else None),
        "upkeep.ics": as_calendar(told.scenario, comparison=told.comparison),
        "analyst.html": as_html(for_analyst(told)).encode("utf-8"),
    }


def _place(name: str, *, replace: bool) -> Path:
    """Check where the papers are to go, before anything is computed."""
    folder = Path(name)
    if folder.exists() and not folder.is_dir():
        raise fault("--to", "must name a folder", f"{name}, a file", "name a folder")
    parent = folder.resolve().parent
    if not parent.is_dir():
        raise fault("--to", "must lie in a folder that exists", str(folder.parent), "make that folder first")
    try:
        full = folder.is_dir() and any(folder.iterdir())
    except OSError as error:
        raise _unwritable(folder, error) from None
    if full and not replace:
        remedy = "name another folder, or add --replace: then only papers of these names are replaced"
        raise fault("--to", "must not hold anything yet", name, remedy)
    if not os.access(folder if folder.is_dir() else parent, os.W_OK):
        raise fault(str(folder), "cannot be written: permission denied", "", "name another folder")
    return folder


def _put(folder: Path, papers: Mapping[str, bytes]) -> None:
    """Put all papers into their folder, or none.

    They are written into a folder beside it, and then renamed.
    """
    whole = folder.resolve()
    made = None
    try:
        try:
            made = Path(tempfile.mkdtemp(prefix=f".{whole.name}.", dir=whole.parent))
            for name, content in papers.items():
                (made / name).write_bytes(content)
            if whole.is_dir():
                for name in papers:
                    os.replace(made / name, whole / name)
            else:
                made.chmod(0o755)
                os.rename(made, whole)
        finally:
            if made is not None and made.exists():
                shutil.rmtree(made, ignore_errors=True)
    except OSError as error:
        raise _unwritable(folder, error) from None


def _unwritable(folder: Path, error: OSError) -> Exception:
    """Return the error of a folder that cannot be written."""
    reason = (error.strerror or str(error)).lower()
    return fault(str(folder), f"cannot be written: {reason}", "", "nothing was changed there")
