"""The life of a page: from the first check to the last sentence.

Lecture
-------
One process serves one page, with a token of its own and at a port of its own. It says where the
page is and who can reach it, opens the browser, and waits: for Ctrl-C, for being ended by the
computer (a closed terminal, a shutdown), or until nobody has used the page for a while, where it
can be reached from elsewhere. Then it ends every kernel, removes its folder and says so.

The process has settings of its own: what the user or the computer configured for notebooks is not
read, so that it can weaken nothing here.

Left out: a page that goes on without the terminal it was started in. The address with the token is
handed to the browser as its argument, which other users of the same computer could see for a moment.
"""

from __future__ import annotations

import asyncio
import os
import secrets
import shutil
import signal
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from socket import socket
from typing import Protocol
from urllib.parse import quote

from lifecycle.language.sentences import say
from lifecycle.pages.server import SCENARIO
from lifecycle.pages.server.guard import LOOPBACK, link, listening

IDLE = 3600.0
"""How long a page that others can reach stays without being used. [s]"""

TOKEN_BYTES = 32
"""Random bytes of a token."""

SIGNALS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK") if hasattr(signal, name)
)
"""What ends a page."""


class Served(Protocol):
    """What can be served: a page, or a notebook with its code."""

    def open(self, place: socket) -> None:
        """Begin to serve at a socket that listens, within a running event loop."""

    async def close(self) -> None:
        """Stop to serve, and end what was started."""

    def unused(self) -> float:
        """Return how long nobody used it. [s]"""


@dataclass(frozen=True)
class Opening:
    """What is to be opened, and how.

    Parameters
    ----------
    notebook : Path
        The page.
    scenario : Path or None
        A scenario file that was checked; None: the page begins empty.
    address : str
        As `guard.checked`.
    port : int
        0: one that is free.
    browser : bool
        Open the browser.
    idle : float
        How long a page that others can reach stays without being used. [s]
    code : bool
        The notebook with its code instead, as it lies in its folder.
    """

    notebook: Path
    scenario: Path | None = None
    address: str = LOOPBACK
    port: int = 0
    browser: bool = True
    idle: float = IDLE
    code: bool = False

    @property
    def shared(self) -> bool:
        """Whether an address was asked for that others may reach."""
        return self.address != LOOPBACK

    @property
    def minutes(self) -> int:
        """How long a page that others can reach stays without being used. [minutes]"""
        return round(self.idle / 60.0)


def serve(opening: Opening, tell: Callable[[str], object]) -> str:
    """Serve a page until it is stopped."""
    place = listening(opening.address, opening.port)
    port = place.getsockname()[1]
    token = secrets.token_urlsafe(TOKEN_BYTES)
    path = f"/lab/tree/{quote(opening.notebook.name)}" if opening.code else "/"
    whole = link(opening.address, port, f"{path}?token={token}")
    with place, own_settings(opening.scenario) as folder:
        made = partial(_made, opening, port, token, folder)
        return asyncio.run(_life(made, place, opening, whole, tell))


def _made(opening: Opening, port: int, token: str, folder: Path) -> Served:
    """Return what is to be served."""
    if opening.code:
        from lifecycle.pages.server.laboratory import Laboratory

        return Laboratory(opening.notebook.parent, port=port, token=token)
    from lifecycle.pages.server.server import PageServer

    return PageServer(
        opening.notebook,
        address=opening.address,
        port=port,
        token=token,
        folder=folder,
    )


async def _life(
    made: Callable[[], Served],
    place: socket,
    opening: Opening,
    whole: str,
    tell: Callable[[str], object],
) -> str:
    """Serve within an event loop, from the first sentence to the last."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    served = made()
    for number in SIGNALS:
        signal.signal(number, lambda *_: loop.call_soon_threadsafe(stop.set))
    served.open(place)
    try:
        tell(said(whole, opening))
        if opening.browser:
            threading.Thread(target=_browse, args=(whole,), daemon=True).start()
        used = await _until(stop, served, opening.idle if opening.shared else None)
    finally:
        await served.close()
    return say("pages.server.stopped") if used else say("pages.server.unused", minutes=opening.minutes)


async def _until(stop: asyncio.Event, served: Served, idle: float | None) -> bool:
    """Wait for the end; return whether somebody asked for it."""
    while True:
        left = None if idle is None else idle - served.unused()
        if left is not None and left <= 0.0:
            return False
        with suppress(TimeoutError):
            await asyncio.wait_for(stop.wait(), left)
            return True


def said(whole: str, opening: Opening) -> str:
    """Return what is said when a page is there."""
    lines = [say("pages.server.address", address=whole)]
    lines.append(say(f"pages.server.{'opens' if opening.browser else 'copy'}"))
    if opening.shared:
        lines += [say("pages.server.shared"), say("pages.server.not_encrypted")]
        lines.append(say("pages.server.idle", minutes=opening.minutes))
    else:
        lines.append(say("pages.server.here"))
    return "\n".join([*lines, say("pages.server.end")])


@contextmanager
def own_settings(scenario: Path | None) -> Iterator[Path]:
    """Work in a folder of one's own, without anybody's settings for notebooks; remove it after."""
    folder = Path(tempfile.mkdtemp(prefix="lifecycle-"))
    own = {
        "JUPYTER_NO_CONFIG": "1",
        "JUPYTER_DATA_DIR": str(folder / "data"),
        "JUPYTER_RUNTIME_DIR": str(folder / "runtime"),
        "IPYTHONDIR": str(folder / "ipython"),
        "PYDEVD_DISABLE_FILE_VALIDATION": "1",
        SCENARIO: str(scenario.resolve()) if scenario is not None else "",
    }
    before = {name: os.environ.get(name) for name in own}
    os.environ.update(own)
    try:
        yield folder
    finally:
        from jupyter_core.paths import jupyter_config_dir

        shutil.rmtree(jupyter_config_dir(), ignore_errors=True)
        shutil.rmtree(folder, ignore_errors=True)
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _browse(whole: str) -> None:
    """Open the browser, if there is one."""
    import webbrowser

    with suppress(webbrowser.Error):
        webbrowser.open(whole)
