"""A page goes on under load: sockets that ask half a question, tabs that nobody joins, too many tabs.

Everything is on loopback and ends by itself: each socket has a time-out, and the page is stopped after.
"""

from __future__ import annotations

import asyncio
import http.client
import re
import socket
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import nbformat
import pytest

from lifecycle.places import scenario_path
from tests.faces.serving import Page, needed, serving

SOCKETS = 1200
FEW_FILES = 400
"""Files that the server may have open: fewer than there are sockets, more than a page needs."""

QUICK = (
    "import lifecycle.pages.server.server as server; server.ALONE, server.GLANCE, server.MOST_KERNELS,"
    " server.PATIENCE = 2.0, 0.2, 3, 8.0\n"
)
"""Patience for a test."""


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    cells = [nbformat.v4.new_code_cell("print('here')")]
    place = tmp_path_factory.mktemp("page") / "small.ipynb"
    nbformat.write(nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": kernel}), place)
    return place


@pytest.fixture
def small(notebook: Path) -> Iterator[Page]:
    with serving(notebook, scenario_path("own-hands"), first=QUICK, folder=notebook.parent) as served:
        yield served


def asked(page: Page, path: str = "/", **headers: str) -> tuple[int, str]:
    """Ask for a path with the token."""
    connection = http.client.HTTPConnection(*page.address, timeout=30)
    try:
        connection.request("GET", f"{path}?token={page.token}", headers=headers)
        answer = connection.getresponse()
        return answer.status, answer.read().decode("utf-8", "replace")
    finally:
        connection.close()


def many_files() -> None:
    """Let this process have the sockets open, where the system allows it."""
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = SOCKETS + 300
    if hard not in (resource.RLIM_INFINITY,) and hard < wanted:
        pytest.skip(f"this system lets a process have {hard} files open, fewer than the sockets of the test")
    if soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))


@pytest.mark.skipif(sys.platform != "linux", reason="limits of another process are set as on Linux")
def test_half_sent_questions_do_not_keep_others_out(small: Page) -> None:
    import resource

    many_files()
    resource.prlimit(small.process.pid, resource.RLIMIT_NOFILE, (FEW_FILES, FEW_FILES))
    with ExitStack() as open_ones:
        held = []
        for number in range(SOCKETS):
            one = open_ones.enter_context(socket.create_connection(small.address, timeout=10))
            one.sendall(b"GET / HTTP/1.1\r\nHost: " + small.host.encode() + b"\r\nX-Slow: ")
            held.append(one)
            if number % 300 == 299:
                assert asked(small, "/api/kernels/0-0-0-0-0")[0] == 404, "it answers under the load"
        assert asked(small)[0] == 200
        still = 0
        for one in held:
            one.settimeout(0.01)
            try:
                still += one.recv(1) != b""
            except TimeoutError:
                still += 1
            except OSError:
                pass
        assert 0 < still <= 128
    assert asked(small, "/api/kernels/0-0-0-0-0")[0] == 404, "and after it"


def test_a_tab_that_nobody_joins_is_ended_early_and_there_are_not_too_many(small: Page) -> None:
    kernels = []
    for _ in range(3):
        status, body = asked(small)
        assert status == 200
        found = re.search(r'"kernelId":\s*"([0-9a-f-]{36})"', body)
        assert found
        kernels.append(found[1])
    assert asked(small) == (
        503,
        "Too many pages are open. Close a tab that you no longer need, and try again in a minute.\n",
    )
    until = time.monotonic() + 30
    while any(asked(small, f"/api/kernels/{kernel}")[0] == 200 for kernel in kernels):
        assert time.monotonic() < until, "they are ended although they are asked about"
        time.sleep(0.5)
    assert asked(small)[0] == 200


def upgraded(page: Page, kernel: str) -> socket.socket:
    """Join a kernel by a raw socket, as a tab does."""
    raw = socket.create_connection(page.address, timeout=30)
    lines = [
        f"GET /api/kernels/{kernel}/channels?token={page.token} HTTP/1.1",
        *(f"Host: {page.host.upper()}", f"Origin: http://{page.host.upper()}", "Upgrade: websocket"),
        *("Connection: Upgrade", "Sec-WebSocket-Version: 13", "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ=="),
    ]
    raw.sendall("\r\n".join([*lines, "", ""]).encode())
    assert raw.recv(1000).startswith(b"HTTP/1.1 101")
    return raw


def test_a_tab_that_goes_without_a_word_is_waited_for_and_not_for_ever(small: Page) -> None:
    kernels = []
    for _ in range(2):
        _, body = asked(small)
        found = re.search(r'"kernelId":\s*"([0-9a-f-]{36})"', body)
        assert found
        kernels.append(found[1])
    stays = upgraded(small, kernels[0])
    upgraded(small, kernels[1]).close()
    time.sleep(5.0)
    assert asked(small, f"/api/kernels/{kernels[1]}")[0] == 200
    until = time.monotonic() + 30
    while asked(small, f"/api/kernels/{kernels[1]}")[0] == 200:
        assert time.monotonic() < until, "it is ended although it is asked about"
        time.sleep(0.5)
    assert asked(small, f"/api/kernels/{kernels[0]}")[0] == 200, "its tab is there"
    stays.close()


def test_for_one_page_too_many_the_one_whose_tab_is_gone_longest_makes_room(small: Page) -> None:
    kernels, tabs = [], []
    for _ in range(3):
        _, body = asked(small)
        found = re.search(r'"kernelId":\s*"([0-9a-f-]{36})"', body)
        assert found
        kernels.append(found[1])
        tabs.append(upgraded(small, found[1]))
    for tab in tabs:
        tab.close()
        time.sleep(1.0)
    time.sleep(1.5)
    assert asked(small)[0] == 200
    assert [asked(small, f"/api/kernels/{one}")[0] for one in kernels] == [404, 200, 200]


def test_a_kernel_that_has_not_started_yet_keeps_no_page_from_being_given() -> None:
    needed()
    from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager, ServerKernelManager
    from traitlets import TraitError

    from lifecycle.pages.server.server import PageServer

    kernels = AsyncMappingKernelManager()
    kernels._pools = {}
    for name in ("starts", "runs"):
        kernels._kernels[name] = ServerKernelManager()
    kernels._kernels["runs"].last_activity = datetime.now(UTC)
    kernels._kernels["runs"].execution_state = "idle"
    with pytest.raises(TraitError):  # so the library's own list is no use here
        kernels.list_kernels()
    server = SimpleNamespace(kernel_manager=kernels, guard=SimpleNamespace(last=0.0))
    server.started = partial(PageServer.started, server)
    assert [one["id"] for one in PageServer.taken(server)] == ["runs"]
    assert PageServer.unused(server) < 60.0


def test_its_names_are_read_without_case_by_every_handler(small: Page) -> None:
    port = small.address[1]
    for name in ("LOCALHOST", "LocalHost", "127.0.0.1"):
        assert asked(small, "/api/kernels/0-0-0-0-0", Host=f"{name}:{port}")[0] == 404
        origin = f"http://{name}:{port}"
        assert asked(small, "/api/kernels/0-0-0-0-0", Host=f"{name}:{port}", Origin=origin)[0] == 404
        assert asked(small, Host=f"{name}:{port}")[0] == 200


SLOW = {
    "half a head": b"GET / HTTP/1.1\r\nHost: 127.0.0.1:1\r\nX-Slow: ",
    "nothing": b"",
    "half a body": b"POST / HTTP/1.1\r\nHost: 127.0.0.1:1\r\nContent-Length: 9\r\n\r\nabc",
    "a whole question, and no more": b"GET / HTTP/1.1\r\nHost: 127.0.0.1:1\r\n\r\n",
}


@pytest.mark.parametrize("slow", SLOW)
def test_who_does_not_go_on_asking_is_not_waited_for(slow: str, monkeypatch: pytest.MonkeyPatch) -> None:
    needed()
    from tornado.web import Application, RequestHandler

    from lifecycle.pages.server import guard

    class Says(RequestHandler):
        def get(self) -> None:
            self.write("said")

        post = get

    async def life() -> tuple[bytes, float]:
        monkeypatch.setattr(guard, "ASKING", 0.3)
        application = Application([("/", Says)])
        place = socket.create_server(("127.0.0.1", 0))
        place.setblocking(False)
        doors = guard.Doors(application, guard.Guard({"127.0.0.1:1"}))
        doors.add_socket(place)
        reader, writer = await asyncio.open_connection(*place.getsockname())
        writer.write(SLOW[slow])
        start = time.monotonic()
        answer = await asyncio.wait_for(reader.read(), 10.0)  # until it is closed
        writer.close()
        doors.stop()
        await doors.close_all_connections()
        return answer, time.monotonic() - start

    answer, took = asyncio.run(life())
    assert took > 0.25
    assert (b"said" in answer) is (slow == "a whole question, and no more")
