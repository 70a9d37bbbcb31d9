"""The server of one page: a notebook without its code, for whoever the guard lets in.

Lecture
-------
The server library (Voila) runs a notebook in a kernel of its own for each tab, and sends what the
cells show. Here it is made narrower:

- nothing is read from the user's or the computer's configuration;
- of its handlers only those stay that one page needs (`NEEDED`): a handler that serves files of the
  folder, lists it, or asks for a password does not exist;
- the guard stands before all of them;
- a page may ask for nothing outside: the browser itself refuses it, by the policy that goes with
  every answer;
- one kernel runs the notebook before anybody asks, so that the first page is there some two seconds
  earlier; the next one starts a while after it was taken.

A kernel lives as long as its tab; a tab that is closed or loaded anew ends it. If the tab goes without a
word (a telephone that fell asleep, a broken network) the kernel waits for it `PATIENCE` from then, and
takes back the same tab. A kernel that no tab ever joined, because whoever asked for the page went away, is
ended after `ALONE`. There are no more than `MOST_KERNELS`, for each takes some 200 MB: for one more the one
that waits longest for its tab, `ALONE` at least, is ended; if none waits, whoever asks is told to close one.

Left out: several notebooks in one server.
"""

from __future__ import annotations

import asyncio
import logging
import tempfile
import time
from collections.abc import Collection, Mapping
from contextlib import suppress
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from socket import socket
from typing import Any

import jinja2
from jupyter_server.base.handlers import FileFindHandler
from jupyter_server.services.kernels.handlers import KernelHandler
from jupyterlab_server.themes_handler import ThemesHandler
from tornado.ioloop import PeriodicCallback
from tornado.web import Application, HTTPError
from traitlets.config import Config
from voila.app import Voila
from voila.paths import collect_static_paths, collect_template_paths
from voila.shutdown_kernel_handler import VoilaShutdownKernelHandler
from voila.static_file_handler import MultiStaticFileHandler, TemplateStaticFileHandler
from voila.tornado.handler import TornadoVoilaHandler
from voila.tornado.kernel_websocket_handler import VoilaKernelWebsocketHandler
from voila.voila_identity_provider import VoilaIdentityProvider

from lifecycle.language.sentences import say, words
from lifecycle.pages.server.guard import Doors, Guard, Keys, hosts, is_loopback

NEEDED = (
    KernelHandler,
    VoilaKernelWebsocketHandler,
    TemplateStaticFileHandler,
    MultiStaticFileHandler,
    ThemesHandler,
    VoilaShutdownKernelHandler,
    FileFindHandler,
    TornadoVoilaHandler,
)
"""Handlers that one page needs; the others of the library are left away."""

NARROWER = {TornadoVoilaHandler: "/", TemplateStaticFileHandler: r"/voila/templates/([^/]+/static/.+)"}
"""Where handlers stand that the library puts before more than they are needed for."""

WIDGETS = ("@voila-dashboards/widgets-manager8", "@jupyter-widgets/jupyterlab-manager")
"""Extensions of the page's own script: those that draw widgets. Others that are installed stay out."""

PATIENCE = 1200.0
"""How long a kernel waits for a tab that went without a word. [s]"""

REFILL = 8.0
"""Time from the first page to the start of the next kernel, which would take its processor. [s]"""

ALONE, GLANCE = 60.0, 5.0
"""How long a kernel waits for its first tab, and the time between two looks for those that wait. [s]"""

MOST_KERNELS = 12
"""Tabs at most."""

STARTING, MOMENT = 20.0, 0.05
"""How long a kernel may take to start, and the time between two tries to end it. [s]"""

TEMPLATE, LOOK = Path(__file__).parent / "template", Path(__file__).parents[1] / "look"
"""Folders of the page's own template, and of the style sheets."""

BESIDE = "beside-the-page"
"""Tag of a cell for readers of the notebook, not of the page: an example would anchor whoever answers."""

SHAPE = "lab"
"""The library's template that ours builds on."""

FILTERS = {"words": words}
"""By which a template says what stands in `data/words`."""


class _PageHandler(TornadoVoilaHandler):  # type: ignore[misc]
    """Gives the page, as long as there are not too many."""

    async def get(self, path: str | None = None) -> None:
        """Answer with the page in a kernel of its own."""
        server: PageServer = self.settings["page_server"]
        if len(server.taken()) + server.opening >= MOST_KERNELS:
            await server.end_left(ALONE, most=1)
        if len(server.taken()) + server.opening >= MOST_KERNELS:
            self.set_status(503)
            self.set_header("Content-Type", "text/plain; charset=utf-8")
            self.finish(f"{say('pages.server.full')}\n")
            return
        server.opening += 1
        try:
            if (working := super().get(path)) is not None:  # None: it was not let in
                await working
        finally:
            server.opening -= 1


OURS = {TornadoVoilaHandler: _PageHandler}
"""Our own handlers in the place of the library's."""


class PageServer(Voila):  # type: ignore[misc]
    """Serves one notebook as a page.

    Parameters
    ----------
    notebook : Path
        The page.
    address : str
        As `guard.checked`.
    port : int
        Of the socket it will listen at.
    token : str
        What the address of the page ends in.
    folder : Path
        A folder of its own, for the files through which kernels are reached.
    """

    def __init__(self, notebook: Path, *, address: str, port: int, token: str, folder: Path) -> None:
        super().__init__(
            notebook_path=str(notebook),
            token=token,
            ip=address,
            port=port,
            open_browser=False,
            config_file_paths=[],
            connection_dir_root=str(folder),
            log_level=logging.ERROR,
        )
        cookie = f"lifecycle-{port}"
        self._filling: list[asyncio.TimerHandle] = []
        self._joined: set[str] = set()
        self._left: dict[str, float] = {}
        self.opening = 0
        self.identity_provider_class = VoilaIdentityProvider
        self.guard = Guard(hosts(address, port), Keys(token, cookie, self.cookie_secret))
        self.tornado_settings = {
            "headers": policy(self.guard.hosts),
            "log_function": _say_nothing,
            "allow_remote_access": not is_loopback(address),
            "disable_check_xsrf": True,  # the guard asks for our own Origin instead
        }
        logging.getLogger("tornado.general").setLevel(logging.ERROR)
        self.update_config(_configuration(cookie))
        self.initialize([])

    def setup_template_dirs(self) -> None:
        """Put our own template before the library's."""
        names = ["voila", "nbconvert"]
        self.template_paths = [str(TEMPLATE), str(LOOK), *collect_template_paths(names, SHAPE, prune=True)]
        self.static_paths = collect_static_paths(names, SHAPE)

    def init_settings(self) -> dict[str, Any]:
        """Return the settings of the library, with our own page for what goes wrong."""
        settings: dict[str, Any] = super().init_settings()
        loader = jinja2.FileSystemLoader(str(TEMPLATE))
        settings["jinja2_env"] = jinja2.Environment(loader=loader, autoescape=True)
        settings["jinja2_env"].filters |= FILTERS
        self._fill = self.kernel_manager.fill_if_needed
        self.kernel_manager.fill_if_needed = self._fill_later
        self._connect = self.kernel_manager.notify_connect
        self.kernel_manager.notify_connect = self._join
        self._disconnect = self.kernel_manager.notify_disconnect
        self.kernel_manager.notify_disconnect = self._leave
        self._get = self.contents_manager.get
        self.contents_manager.get = self._page_only
        settings["page_server"] = self
        return settings

    def _page_only(self, *arguments: Any, **named: Any) -> dict[str, Any]:
        """Return a file as the library does, a notebook without the cells that stand beside its page."""
        model: dict[str, Any] = self._get(*arguments, **named)
        if model.get("type") == "notebook" and model.get("content"):
            kept = [one for one in model["content"].cells if BESIDE not in one.metadata.get("tags", ())]
            model["content"].cells = kept
        return model

    def _join(self, kernel_id: str) -> None:
        """Note that a tab has joined a kernel."""
        self._joined.add(kernel_id)
        self._left.pop(kernel_id, None)
        self._connect(kernel_id)

    def _leave(self, kernel_id: str) -> None:
        """Note when the last channel of a tab to its kernel went."""
        self._disconnect(kernel_id)
        if not self.kernel_manager._kernel_connections.get(kernel_id):
            self._left[kernel_id] = time.monotonic()

    def taken(self) -> list[dict[str, Any]]:
        """Return the kernels that were given to somebody: all but the one that waits for a page."""
        ready = [task for pool in self.kernel_manager._pools.values() for task in pool if task.done()]
        waiting = {task.result()["kernel_id"] for task in ready if task.exception() is None}
        return [one for one in self.started() if one["id"] not in waiting]

    def started(self) -> list[dict[str, Any]]:
        """Return the kernels that have started; the library's list fails while one of them starts."""
        kernels = self.kernel_manager
        there = [one for one in kernels.list_kernel_ids() if one in kernels]
        known = (one for one in there if kernels.get_kernel(one).trait_has_value("last_activity"))
        return [kernels.kernel_model(one) for one in known]

    async def _end_waiting(self) -> None:
        """End the kernels that no tab joined in time, and those whose tab does not come back."""
        now = datetime.now(UTC)
        for kernel in self.taken():
            since = (now - datetime.fromisoformat(kernel["last_activity"])).total_seconds()
            if kernel["id"] not in self._joined and since > ALONE and kernel["execution_state"] != "busy":
                await self._end(kernel["id"])
        await self.end_left(PATIENCE)

    async def end_left(self, patience: float, *, most: int | None = None) -> None:
        """End the kernels that have waited longer for their tab, the longest first."""
        until = time.monotonic() - patience
        for kernel_id, since in sorted(self._left.items(), key=lambda one: one[1])[:most]:
            if since <= until:
                await self._end(kernel_id)

    async def _end(self, kernel_id: str) -> None:
        """End a kernel."""
        self._left.pop(kernel_id, None)
        with suppress(HTTPError):  # it has ended by itself meanwhile
            await self.kernel_manager.shutdown_kernel(kernel_id, now=True)

    def _fill_later(self, *, notebook_name: str, **_: Any) -> None:
        """Start the next kernel after a while, unless the page has ended by then."""
        loop = asyncio.get_running_loop()
        self._filling.append(loop.call_later(REFILL, partial(self._fill, 0, notebook_name)))

    def init_handlers(self) -> list[Any]:
        """Return the handlers that one page needs, each where it is needed."""
        kept = [one for one in super().init_handlers() if issubclass(one[1], NEEDED)]
        return [(NARROWER.get(one[1], one[0]), OURS.get(one[1], one[1]), *one[2:]) for one in kept]

    def open(self, place: socket) -> None:
        """Begin to serve at a socket that listens, within a running event loop."""
        self.connection_dir = tempfile.mkdtemp(dir=self.connection_dir_root)
        self.app = Application(**self.init_settings())
        self.app.settings.update(self.tornado_settings)
        self.app.add_handlers(".*$", self.init_handlers())
        self.guard.stand_before(self.app)
        self._doors = Doors(self.app, self.guard)
        self._looking = PeriodicCallback(self._end_waiting, 1000.0 * GLANCE)
        self._looking.start()
        self._doors.add_socket(place)

    async def close(self) -> None:
        """Stop to serve, and end every kernel at once: a page keeps nothing that was not saved."""
        self.log.setLevel(logging.CRITICAL)
        self._looking.stop()
        for filling in self._filling:
            filling.cancel()
        self._doors.stop()
        await self._doors.close_all_connections()
        await self._end_kernels()

    async def _end_kernels(self) -> None:
        """End every kernel; one that is just being started is not there yet, so try again."""
        until = time.monotonic() + STARTING
        while True:
            try:
                return await self.kernel_manager.shutdown_all(now=True)  # type: ignore[no-any-return]
            except HTTPError:
                if time.monotonic() > until:
                    raise
                await asyncio.sleep(MOMENT)

    def unused(self) -> float:
        """Return how long nobody used the page: no request, and nothing worked out. [s]"""
        worked = [kernel["last_activity"] for kernel in self.started()]
        now = datetime.now(UTC)
        since = [(now - datetime.fromisoformat(one)).total_seconds() for one in worked]
        return min([time.monotonic() - self.guard.last, *since])


def policy(names: Collection[str]) -> Mapping[str, str]:
    """Return the headers that keep a page from asking anything outside."""
    channels = " ".join(sorted(f"ws://{name}" for name in names))
    own = "'self' data: blob: 'unsafe-inline' 'unsafe-eval'"
    rules = (
        f"default-src {own}",
        f"connect-src 'self' {channels}",
        "object-src 'none'",
        "base-uri 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
    return {
        "Content-Security-Policy": "; ".join(rules),
        "Referrer-Policy": "same-origin",
        "X-Content-Type-Options": "nosniff",
        "Server": "lifecycle",
    }


def _configuration(cookie: str) -> Config:
    """Return what the parts of the library are told."""
    return Config(
        {
            "VoilaConfiguration": {
                "template": SHAPE,
                "theme": "light",
                "allow_template_override": "NO",
                "allow_theme_override": "NO",
                "preheat_kernel": True,
                "default_pool_size": 1,
                "show_tracebacks": False,
                "file_allowlist": [],
                "extension_allowlist": list(WIDGETS),
            },
            "VoilaExporter": {"filters": FILTERS},
            "MappingKernelManager": {"default_kernel_name": "python3"},
            "KernelManager": {"transport_encryption": "auto"},
            "KernelSpecManager": {"kernel_dirs": []},
            "IdentityProvider": {
                "cookie_name": cookie,
                "cookie_options": {"samesite": "Lax", "expires_days": None},
            },
            "NotebookNotary": {"db_file": ":memory:"},
        }
    )


def _say_nothing(handler: Any) -> None:
    """Keep no log of requests: their addresses hold the token."""
