"""The commands that write papers, copy the notebooks, or give a page: the pocket page, one in a browser.

Lecture
-------
What the user gave is checked before anything is computed or started. All papers are put into their folder, or
none (`files.write_all`). Half of them are made in a second process, which gets ready while the studies run;
where none can be had safely, this one makes all. A folder that holds anything is left alone unless it may be
replaced; then the papers of that name are replaced, and whatever else lies there stays. What must be known
while a page is served is written at once; what is returned is printed when it has ended.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from argparse import Namespace
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from lifecycle.cli.arguments import LONGEST_NAME, Waiting, loaded
from lifecycle.errors import fault
from lifecycle.files import write, write_all
from lifecycle.language.labels import HEADINGS
from lifecycle.language.sentences import say, words

if TYPE_CHECKING:
    from lifecycle.answers.blocks import Answer
    from lifecycle.answers.papers import Gathered
    from lifecycle.writers.pdf import Paper

PAPERS: Mapping[str, str] = words("report.papers")
"""Files that are made, and what each is."""


def report(arguments: Namespace) -> Answer:
    """Make the papers to take home; answer with the verdict, and which papers are where."""
    folder = _place(arguments.to, PAPERS, replace=arguments.replace)
    scenario = loaded(arguments.file, arguments.years)

    from lifecycle.answers.blocks import Answer, Items, Sentence
    from lifecycle.answers.papers import gather
    from lifecycle.answers.parts import head_of, made_by, verdict_blocks
    from lifecycle.studies.futures import in_futures

    with _beside() as second, Waiting() as waiting:
        told = in_futures(
            lambda: gather(scenario, draws=arguments.draws, seed=arguments.seed, told=waiting.step), scenario
        )
        waiting.step(say("report.working"))
        papers = papers_of(told, second)
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


def papers_of(told: Gathered, second: Executor | None = None) -> dict[str, bytes]:
    """Return the papers of one scenario; a second process makes some of them."""
    from concurrent.futures.process import BrokenProcessPool

    try:
        making = second.submit(_sheets, told) if second else None
        papers = _others(told) | (making.result() if making else _sheets(told))
    except BrokenProcessPool:  # somebody ended it
        papers = _others(told) | _sheets(told)
    return {name: papers[name] for name in PAPERS}


def _sheets(told: Gathered) -> dict[str, bytes]:
    """Return the papers for us and for the shop as PDF: about half of the work."""
    from lifecycle.answers.papers import for_shop, for_us
    from lifecycle.writers.pdf import as_pdf

    paper: Paper = "letter" if told.scenario.units == "us" else "a4"
    return {
        "us.pdf": as_pdf(for_us(told), paper=paper),
        "shop.pdf": as_pdf(for_shop(told.scenario), paper=paper),
    }


def _others(told: Gathered) -> dict[str, bytes]:
    """Return all other papers."""
    from lifecycle.answers.papers import for_analyst, for_shop, for_us
    from lifecycle.writers.calendar import as_calendar
    from lifecycle.writers.html import as_html
    from lifecycle.writers.workbook import as_workbook

    return {
        "us.html": as_html(for_us(told)).encode("utf-8"),
        "shop.html": as_html(for_shop(told.scenario)).encode("utf-8"),
        "analyst.html": as_html(for_analyst(told)).encode("utf-8"),
        "workbook.xlsx": as_workbook(told.comparison, told.studied.found if told.studied else None),
        "upkeep.ics": as_calendar(told.scenario, told.comparison.cheapest),
    }


@contextmanager
def _beside() -> Iterator[Executor | None]:
    """Give a second process; None where there is one core, or a fork might copy a lock that is held."""
    from lifecycle.evaluation.threads import threads

    if sys.platform != "linux" or threads() < 2 or threading.active_count() > 1:
        yield None
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(1, mp_context=get_context("fork"), initializer=_get_ready) as second:
        try:
            second.submit(len, ())
        except OSError:  # no room for another process
            yield None
        else:
            yield second


def _get_ready() -> None:
    """Begin as a worker, and load what writes papers."""
    from lifecycle.studies.sweeping import as_worker

    as_worker()
    import lifecycle.answers.papers
    import lifecycle.writers.pdf  # noqa: F401


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
        reason = (error.strerror or str(error)).lower()
        raise fault(str(folder), f"cannot be written: {reason}", "", "nothing was changed there") from None
    if replace and (taken := [one for one in names if (folder / one).is_dir()]):
        raise fault(str(folder / taken[0]), "must be a file", "a folder", "move it away first")
    if full and not replace:
        remedy = "name another folder, or add --replace: then only files of these names are replaced"
        raise fault("--to", "must not hold anything yet", name, remedy)
    if not os.access(folder if folder.is_dir() else parent, os.W_OK):
        raise fault(str(folder), "cannot be written: permission denied", "", "name another folder")
    return folder


def pocket(arguments: Namespace) -> str:
    """Write the pocket page to a file; the kernel of a page that stands there is taken again if it fits."""
    place = Path(arguments.to)
    if place.suffix.lower() not in (".html", ".htm"):
        raise fault("--to", "must name an HTML file", arguments.to, "write it as pocket.html")
    if not place.parent.is_dir():
        raise fault("--to", "must lie in a folder that exists", str(place.parent), "make the folder first")

    from lifecycle.pages.pocket import pocket_page

    older = place.read_text(encoding="utf-8", errors="replace") if place.is_file() else ""
    page = pocket_page(older).encode()
    write(place, page)
    return say("pocket.told.written", place=place, size=f"{len(page) / 1000:,.0f}")


def opened(arguments: Namespace) -> str:
    """Serve a page until it is stopped."""
    from lifecycle.pages.server import notebook_of
    from lifecycle.pages.server.guard import LOOPBACK, checked

    if find_spec("jupyterlab" if arguments.lab else "voila") is None:
        remedy = "install them: python -m pip install 'lifecycle[notebooks]'"
        raise fault("open", "needs the parts for pages, which are not installed", "", remedy)
    notebook = notebook_of(arguments.page)
    address = LOOPBACK if arguments.on is None else checked(arguments.on)
    if arguments.scenario is not None:
        loaded(arguments.scenario)
    if arguments.lab:
        notebook = _own_copy(notebook, address)

    from lifecycle.pages.server.starting import Opening, serve

    opening = Opening(
        notebook,
        scenario=None if arguments.scenario is None else Path(arguments.scenario),
        address=address,
        port=arguments.port,
        browser=arguments.browser,
        code=arguments.lab,
    )
    return serve(opening, _say)


def _own_copy(notebook: Path, address: str) -> Path:
    """Put a copy of a notebook where it may be changed, and say so."""
    from lifecycle.pages.server.guard import LOOPBACK

    if address != LOOPBACK:
        remedy = "leave out --on, or --lab"
        raise fault("--lab", "must stay on this computer, for code can do anything on it", "", remedy)

    from lifecycle.pages.server.laboratory import copied

    place, new = copied(notebook, Path.cwd())
    _say(say(f"commands.said.{'copied' if new else 'copied_before'}", name=place.name))
    return place


def _say(text: str) -> None:
    """Show what must be known while the page is served."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()
