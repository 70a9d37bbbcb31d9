"""The commands that fill a folder: papers to take home for a scenario, copies of the notebooks.

Lecture
-------
Where the papers go is checked before anything is computed. All of them are put there, or none
(`files.write_all`).

A folder that holds anything is left alone unless it may be replaced; then the papers of that name are
replaced, and whatever else lies there stays.
"""

from __future__ import annotations

import json
import os
from argparse import Namespace
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.given import LONGEST_NAME, loaded
from lifecycle.errors import fault
from lifecycle.files import write_all
from lifecycle.language.labels import HEADINGS
from lifecycle.language.sentences import say, words

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.answers.gathered import Gathered
    from lifecycle.writers.pdf import Paper

PAPERS: Mapping[str, str] = words("report.papers")
"""Files that are made, and what each is."""


def report(arguments: Namespace) -> Answer:
    """Make the papers to take home; answer with the verdict, and which papers are where."""
    folder = _place(arguments.to, PAPERS, replace=arguments.replace)
    scenario = loaded(arguments.file, arguments.years)

    from lifecycle.answers.blocks import Answer, Items, Sentence
    from lifecycle.answers.gathered import gather
    from lifecycle.answers.shared import head_of, made_by, verdict_blocks
    from lifecycle.cli.progress import Waiting
    from lifecycle.studies.doubt import in_futures

    with Waiting() as waiting:
        told = in_futures(
            lambda: gather(scenario, draws=arguments.draws, seed=arguments.seed, told=waiting.step), scenario
        )
        waiting.step(say("report.working"))
        papers = papers_of(told)
    write_all(folder, papers)
    listed = Items(tuple(say("report.paper", file=name, what=PAPERS[name]) for name in papers))
    where = Sentence(f"{say('report.folder', folder=folder)}:")
    data = {
        **head_of(scenario),
        "verdict": list(told.answer.lines),
        "folder": str(folder),
        "papers": {name: PAPERS[name] for name in papers},
        "made_by": made_by(scenario, "expectation"),
    }
    blocks = (*verdict_blocks(told.answer)[: len(told.answer.lines)], where, listed)
    return Answer(HEADINGS["report"], scenario.title, blocks, data)


def papers_of(told: Gathered) -> dict[str, bytes]:
    """Return the papers of one scenario."""
    from lifecycle.answers.papers.for_analyst import for_analyst
    from lifecycle.answers.papers.for_shop import for_shop
    from lifecycle.answers.papers.for_us import for_us
    from lifecycle.writers.calendar import as_calendar
    from lifecycle.writers.html import as_html
    from lifecycle.writers.pdf import as_pdf
    from lifecycle.writers.workbook import as_workbook

    us, shop = for_us(told), for_shop(told.scenario)
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


def notebooks(arguments: Namespace) -> Answer:
    """Copy the shipped notebooks into a folder; answer with what each is."""
    from lifecycle.answers.blocks import Answer, Items, Sentence
    from lifecycle.places import notebook_paths

    contents = {path.name: path.read_bytes() for path in notebook_paths()}
    folder = _place(arguments.to, tuple(contents), replace=arguments.replace)
    write_all(folder, contents)
    listed = Items(tuple(f"{name}: {_first_line(content)}" for name, content in contents.items()))
    where = Sentence(f"{say('report.notebooks', folder=folder)}:")
    data = {"folder": str(folder), "notebooks": sorted(contents)}
    return Answer(HEADINGS["notebooks"], "", (where, listed), data)


def _first_line(content: bytes) -> str:
    """Return the heading of a notebook."""
    cell = json.loads(content)["cells"][0]
    return "".join(cell["source"]).splitlines()[0].lstrip("# ")


def _place(name: str, names: Iterable[str], *, replace: bool) -> Path:
    """Check where files are to go, before anything is computed."""
    folder = Path(name)
    if len(os.fsencode(folder.name)) > LONGEST_NAME:
        raise fault("--to", f"must have a name of at most {LONGEST_NAME} letters", name, "shorten it")
    if folder.exists() and not folder.is_dir():
        raise fault("--to", "must name a folder", f"{name}, a file", "name a folder")
    parent = folder.resolve().parent
    if not parent.is_dir():
        raise fault("--to", "must lie in a folder that exists", str(folder.parent), "make that folder first")
    try:
        full = folder.is_dir() and any(folder.iterdir())
    except OSError as error:
        raise _unwritable(folder, error) from None
    if replace and (taken := [one for one in names if (folder / one).is_dir()]):
        raise fault(str(folder / taken[0]), "must be a file", "a folder", "move it away first")
    if full and not replace:
        remedy = "name another folder, or add --replace: then only files of these names are replaced"
        raise fault("--to", "must not hold anything yet", name, remedy)
    if not os.access(folder if folder.is_dir() else parent, os.W_OK):
        raise fault(str(folder), "cannot be written: permission denied", "", "name another folder")
    return folder


def _unwritable(folder: Path, error: OSError) -> Exception:
    """Return the error of a folder that cannot be written."""
    reason = (error.strerror or str(error)).lower()
    return fault(str(folder), f"cannot be written: {reason}", "", "nothing was changed there")
