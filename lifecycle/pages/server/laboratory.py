"""The notebook of a page with its code, for whoever wants to see or change how it is made.

Lecture
-------
JupyterLab on this computer only, with a token, without anybody's settings, without its news and its
look for updates, and behind the same guard as a page: a foreign Host or Origin is refused before
anything else; the token is looked at by the library itself.

The shipped notebook is never written to. What is opened is a copy in the folder one is in, which
stays there afterwards: whoever changes a notebook wants to keep it. If a file of that name is there
already, it is opened as it is.

Left out: an address other than this computer's; terminals.
"""

from __future__ import annotations

import json
import logging
import time
from pathlib import Path
from socket import socket

from jupyter_core.paths import jupyter_config_dir
from jupyterlab.labapp import LabApp
from traitlets.config import Config

from lifecycle.files import write
from lifecycle.pages.server.guard import LOOPBACK, Doors, Guard, hosts

QUIET = {
    "@jupyterlab/apputils-extension:notification": {
        "fetchNews": "false",
        "checkForUpdates": False,
        "doNotDisturbMode": True,
    }
}
"""Settings that keep JupyterLab from asking for news and updates."""


class Laboratory:
    """Serves one folder in JupyterLab.

    Parameters
    ----------
    folder : Path
        With the notebook.
    port : int
        Of the socket it will listen at.
    token : str
        What its address ends in.
    """

    def __init__(self, folder: Path, *, port: int, token: str) -> None:
        own = Path(jupyter_config_dir()) / "labconfig"
        own.mkdir(parents=True, exist_ok=True)
        (own / "default_setting_overrides.json").write_text(json.dumps(QUIET), encoding="utf-8")
        logging.getLogger("tornado.general").setLevel(logging.ERROR)
        self._server = LabApp.make_serverapp(
            jpserver_extensions={LabApp.get_extension_package(): True},
            config=_configuration(folder, port, token),
        )
        self._server.initialize(
            argv=[], find_extensions=False, new_httpserver=False, starter_extension=LabApp.name
        )
        self._guard = Guard(hosts(LOOPBACK, port))

    def open(self, place: socket) -> None:
        """Begin to serve at a socket that listens, within a running event loop."""
        self._guard.stand_before(self._server.web_app)
        self._doors = Doors(self._server.web_app, self._guard)
        self._doors.add_socket(place)

    async def close(self) -> None:
        """Stop to serve, and end every kernel at once."""
        self._server.log.setLevel(logging.CRITICAL)
        self._doors.stop()
        await self._server.cleanup_extensions()
        await self._server.kernel_manager.shutdown_all(now=True)
        await self._doors.close_all_connections()

    def unused(self) -> float:
        """Return how long nobody asked for anything. [s]"""
        return time.monotonic() - self._guard.last


def copied(notebook: Path, folder: Path) -> tuple[Path, bool]:
    """Return the notebook to work on in a folder, and whether it was put there now."""
    place = folder / notebook.name
    if place.exists():
        return place, False
    write(place, notebook.read_bytes())
    return place, True


def _configuration(folder: Path, port: int, token: str) -> Config:
    """Return what the parts of the library are told."""
    return Config(
        {
            "ServerApp": {
                "ip": LOOPBACK,
                "port": port,
                "root_dir": str(folder),
                "open_browser": False,
                "terminals_enabled": False,
                "log_level": logging.ERROR,
                "allow_root": True,
            },
            "LabApp": {"log_level": logging.ERROR, "news_url": None, "extension_manager": "readonly"},
            "IdentityProvider": {
                "token": token,
                "cookie_name": f"lifecycle-{port}",
                "cookie_options": {"samesite": "Lax", "expires_days": None},
            },
            "KernelManager": {"transport_encryption": "auto"},
            "KernelSpecManager": {"kernel_dirs": []},
        }
    )
