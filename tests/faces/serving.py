"""Serves a page for tests, as `lifecycle open` does, in a process of its own."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

PATIENCE = 60.0
"""How long a page may take to be there, and to end. [s]"""

COMMAND = "import sys; from lifecycle.cli import main; sys.exit(main(sys.argv[1:]))"
ANY_NOTEBOOK = (
    "import sys; from pathlib import Path; from lifecycle.pages.server.starting import Opening, serve;"
    "scenario, idle, address = sys.argv[2:];"
    "opening = Opening(Path(sys.argv[1]), Path(scenario) if scenario else None, browser=False,"
    " address=address, idle=float(idle));"
    "print(serve(opening, lambda text: print(text, flush=True)))"
)


@dataclass(frozen=True)
class Page:
    """A page that is served."""

    url: str
    process: subprocess.Popen[str]
    said: list[str]

    @property
    def token(self) -> str:
        return parse_qs(urlsplit(self.url).query)["token"][0]

    @property
    def host(self) -> str:
        return urlsplit(self.url).netloc

    @property
    def address(self) -> tuple[str, int]:
        parts = urlsplit(self.url)
        assert parts.hostname and parts.port
        return parts.hostname, parts.port

    def ended(self, by: signal.Signals | None = signal.SIGINT) -> tuple[int, str]:
        """End it, or wait for its end; return its status and all that it said."""
        if by is not None:
            self.process.send_signal(by)
        status = self.process.wait(PATIENCE)
        return status, "".join(self.said)


def needed() -> None:
    """Skip where the parts for pages are missing, which is a failure on CI."""
    missing = [name for name in ("voila", "ipywidgets") if find_spec(name) is None]
    if missing:
        reason = f"not installed: {', '.join(missing)}; they come with lifecycle[notebooks]"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)


@contextmanager
def serving(
    page: str | Path,
    scenario: str | Path | None = None,
    *,
    options: Sequence[str] = (),
    idle: float = 3600.0,
    address: str = "127.0.0.1",
    environment: dict[str, str] | None = None,
    folder: Path | None = None,
    first: str = "",
) -> Iterator[Page]:
    """Serve a page by its name, or any notebook by its path; end it after.

    Parameters
    ----------
    page : str or Path
        "owner", ..., or a notebook.
    scenario : str, Path or None
        A scenario file.
    options : sequence of str
        More options of the command; only for a page by its name.
    idle, address : float, str
        As in `Opening`; only for a notebook by its path.
    environment : dict or None
        More of the environment.
    folder : Path or None
        Where it is started.
    first : str
        Python that runs before; only for a notebook by its path.
    """
    needed()
    if isinstance(page, Path):
        words = [first + ANY_NOTEBOOK, str(page), str(scenario or ""), str(idle), address]
    else:
        given = ["--scenario", str(scenario)] if scenario else []
        words = [COMMAND, "open", page, "--no-browser", *given, *options]
    process = subprocess.Popen(
        [sys.executable, "-P", "-c", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, **(environment or {})},
        cwd=folder,
        start_new_session=True,
    )
    said: list[str] = []
    there, url = threading.Event(), []

    def read() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            said.append(line)
            if found := re.search(r"http://\S+", line):
                url.append(found[0])
            if "Ctrl-C" in line:
                there.set()
        there.set()

    reader = threading.Thread(target=read, daemon=True)
    reader.start()
    try:
        assert there.wait(PATIENCE) and url, "".join(said)
        yield Page(url[0], process, said)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.wait(PATIENCE)
        reader.join(PATIENCE)
