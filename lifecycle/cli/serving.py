"""The command that opens a page in a browser.

Lecture
-------
What is returned is printed when the page has ended. What must be known before is written while it runs.
Everything the user gave is checked before anything is started.
"""

from __future__ import annotations

import sys
from argparse import Namespace
from importlib.util import find_spec
from pathlib import Path

from lifecycle.cli.given import loaded
from lifecycle.errors import fault


def open(arguments: Namespace) -> str:
    """Serve a page until it is stopped."""
    from lifecycle.pages.server import notebook_of
    from lifecycle.pages.server.address import LOOPBACK, checked

    _check_parts("jupyterlab" if arguments.lab else "voila")
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
    from lifecycle.pages.server.address import LOOPBACK

    if address != LOOPBACK:
        remedy = "leave out --on, or --lab"
        raise fault("--lab", "must stay on this computer, for code can do anything on it", "", remedy)

    from lifecycle.pages.server.laboratory import copied

    place, new = copied(notebook, Path.cwd())
    if new:
        _say(f"You work on a copy: {place.name}, in this folder. The page itself stays as it is.")
    else:
        _say(f"You work on {place.name}, which was in this folder already.")
    return place


def _check_parts(name: str) -> None:
    """Check that what serves a page is installed."""
    if find_spec(name) is None:
        remedy = "install them: python -m pip install 'lifecycle[notebooks]'"
        raise fault("open", "needs the parts for pages, which are not installed", "", remedy)


def _say(text: str) -> None:
    """Show what must be known while the page is served."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()
