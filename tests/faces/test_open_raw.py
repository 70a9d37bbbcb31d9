"""A page answers whoever has its address, and nobody else: raw requests and a raw socket.

One small notebook is served for the whole module, from a folder with a picture, another notebook and
a scenario file in it, and with settings beside it that would open everything if they were read.
"""

from __future__ import annotations

import http.client
import json
import re
import socket
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import nbformat
import pytest

from lifecycle.pages.server.server import BESIDE
from lifecycle.places import scenario_path
from tests.faces.serving import Page, serving

ASIDE = "Only for readers of the notebook"

SECRET = "no one may read this line"
SCENARIO = scenario_path("own-hands")
CELL = "import os; print('begins with', os.environ['LIFECYCLE_SCENARIO'])"
OPEN_ALL = {
    "Voila": {"token": "", "ip": "0.0.0.0"},
    "VoilaConfiguration": {"file_allowlist": [".*"], "file_denylist": []},
}


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    body: str
    headers: dict[str, str]


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    folder = tmp_path_factory.mktemp("page")
    beside = nbformat.v4.new_markdown_cell(ASIDE, metadata={"tags": [BESIDE]})
    cells = [nbformat.v4.new_markdown_cell("# A small page"), nbformat.v4.new_code_cell(CELL), beside]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    notebook = nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": kernel})
    nbformat.write(notebook, folder / "small.ipynb")
    for name in ("roof.png", "other.ipynb", "mine.toml", "notes.txt"):
        (folder / name).write_text(SECRET, encoding="utf-8")
    (folder / "voila.json").write_text(json.dumps(OPEN_ALL), encoding="utf-8")
    read = f"from pathlib import Path; Path({str(folder / 'was-read')!r}).touch()"
    (folder / "jupyter_config.py").write_text(read, encoding="utf-8")
    (folder / "voila.py").write_text(read, encoding="utf-8")
    environment = {"JUPYTER_CONFIG_DIR": str(folder), "JUPYTER_CONFIG_PATH": str(folder)}
    with serving(folder / "small.ipynb", SCENARIO, environment=environment, folder=folder) as served:
        yield served
    assert not (folder / "was-read").exists(), "settings that are not ours were read"


def asked(small: Page, path: str, method: str = "GET", **headers: str) -> Answer:
    """Ask for a path as it stands, without the token."""
    connection = http.client.HTTPConnection(*small.address, timeout=30)
    try:
        connection.putrequest(method, path, skip_host="Host" in headers)
        for name, value in headers.items():
            connection.putheader(name.replace("_", "-"), value)
        connection.endheaders()
        answer = connection.getresponse()
        return Answer(answer.status, answer.read().decode("utf-8", "replace"), dict(answer.getheaders()))
    finally:
        connection.close()


def with_token(small: Page, path: str) -> str:
    return f"{path}{'&' if '?' in path else '?'}token={small.token}"


@pytest.fixture(scope="module")
def whole(small: Page) -> Answer:
    """The page, as whoever has its address gets it."""
    return asked(small, with_token(small, "/"))


@pytest.fixture(scope="module")
def channel(whole: Answer) -> str:
    """The kernel channel of the page."""
    found = re.search(r'"kernelId":\s*"([0-9a-f-]{36})"', whole.body)
    assert found, whole.body[-2000:]
    return f"/api/kernels/{found[1]}/channels"


def script(whole: Answer) -> str:
    """One of the server library's own scripts, without its version."""
    found = re.search(r'src="(/voila/static/voila\.js)', whole.body)
    assert found
    return found[1]


def test_whoever_has_the_address_gets_the_page(whole: Answer) -> None:
    assert whole.status == 200
    assert "<title>A small page</title>" in whole.body
    assert "One moment: the page is being worked out on this computer." in whole.body


def test_what_stands_beside_the_page_is_not_on_it(whole: Answer) -> None:
    assert "A small page" in whole.body and ASIDE not in whole.body


def test_the_page_is_told_its_scenario_and_nothing_of_its_code(whole: Answer) -> None:
    assert f"begins with {SCENARIO}" in whole.body
    assert "os.environ" not in whole.body


def test_no_address_outside_stands_on_the_page_and_none_may_be_asked(whole: Answer) -> None:
    assert re.findall(r"(?:https?:)?//[\w-]+(?:\.[\w-]+)+", whole.body) == []
    policy = whole.headers["Content-Security-Policy"]
    allowed = dict(rule.split(" ", 1) for rule in policy.split("; "))
    assert set(allowed["default-src"].split()) == {
        "'self'",
        "data:",
        "blob:",
        "'unsafe-inline'",
        "'unsafe-eval'",
    }
    hosts = {source for source in allowed["connect-src"].split() if source != "'self'"}
    assert hosts and all(re.fullmatch(r"ws://(127\.0\.0\.1|localhost):\d+", host) for host in hosts)


@pytest.mark.parametrize("token", ["", "?token=", "?token=wrong", "?TOKEN={}", "?token={}x"])
@pytest.mark.parametrize("path", ["/", "/api/kernels/0", "/login", "/anything", "{channel}", "{kernel}"])
def test_without_the_token_there_is_nothing(small: Page, channel: str, path: str, token: str) -> None:
    kernel = channel.removesuffix("/channels")
    answer = asked(small, path.format(channel=channel, kernel=kernel) + token.format(small.token))
    assert answer.status == 403
    assert "the token" not in answer.body and "?token=" in answer.body
    assert "Set-Cookie" not in answer.headers


def test_the_cookie_stands_for_the_token_and_is_kept_from_scripts(small: Page, whole: Answer) -> None:
    cookie = whole.headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie and "expires" not in cookie
    kept = cookie.partition(";")[0]
    assert asked(small, "/api/kernels/0-0-0-0-0", Cookie=kept).status == 404
    name, _, value = kept.partition("=")
    assert asked(small, "/api/kernels/0-0-0-0-0", Cookie=f"{name}={value[:-3]}abc").status == 403


def test_the_token_may_come_in_a_header(small: Page) -> None:
    assert asked(small, "/api/kernels/0-0-0-0-0", Authorization=f"token {small.token}").status == 404
    assert asked(small, "/api/kernels/0-0-0-0-0", Authorization="token wrong").status == 403


def test_the_librarys_own_scripts_need_no_token(small: Page, whole: Answer) -> None:
    answer = asked(small, script(whole))
    assert answer.status == 200 and "javascript" in answer.headers["Content-Type"]


FOREIGN_HOSTS = ("evil.example", "evil.example:{port}", "127.0.0.1.evil.example:{port}", "127.0.0.1", "")
FOREIGN_ORIGINS = (
    "http://evil.example",
    "http://evil.example:{port}",
    "https://127.0.0.1:{port}",
    "http://localhost:{port}",
    "http://127.0.0.1:1",
    "null",
    "",
)


def paths(small: Page, whole: Answer, channel: str) -> list[str]:
    """A path of every handler there is, with the token, and one of none."""
    kernel = channel.removesuffix("/channels")
    library = re.findall(r'(?:src|href)="(/voila/templates/[^"?]+)', whole.body)
    assert library
    own = ["/", kernel, channel, script(whole), library[0], "/voila/labextensions/x", "/voila/api/themes/x"]
    return [with_token(small, path) for path in [*own, "/voila/api/shutdown/x", "/no/such/thing"]]


@pytest.mark.parametrize("host", FOREIGN_HOSTS)
def test_under_another_name_everything_is_refused(
    small: Page, whole: Answer, channel: str, host: str
) -> None:
    for path in paths(small, whole, channel):
        answer = asked(small, path, Host=host.format(port=small.address[1]))
        assert answer.status == 403, (path, answer)
        assert answer.body == "This page is not asked for under its own name.\n"


@pytest.mark.parametrize("origin", FOREIGN_ORIGINS)
def test_another_page_is_refused_with_the_token(
    small: Page, whole: Answer, channel: str, origin: str
) -> None:
    for path in paths(small, whole, channel):
        answer = asked(small, path, Origin=origin.format(port=small.address[1]))
        assert answer.status == 403, (path, answer)
        assert answer.body == "Another page asked for this one. It answers only to itself.\n"
        assert "Access-Control-Allow-Origin" not in answer.headers


def test_it_answers_to_both_of_its_names_and_to_itself(small: Page) -> None:
    for name in ("127.0.0.1", "localhost"):
        host = f"{name}:{small.address[1]}"
        path = with_token(small, "/api/kernels/0-0-0-0-0")
        assert asked(small, path, Host=host, Origin=f"http://{host}").status == 404


@pytest.mark.parametrize("method", ["POST", "DELETE", "PATCH", "PUT"])
def test_what_changes_something_wants_its_own_origin_or_the_token(
    small: Page, whole: Answer, channel: str, method: str
) -> None:
    cookie = whole.headers["Set-Cookie"].partition(";")[0]
    kernel = channel.removesuffix("/channels")
    for path in (kernel, f"/voila/api/shutdown/{kernel.rpartition('/')[2]}"):
        assert asked(small, path, method, Cookie=cookie).status == 403
    assert asked(small, kernel, Cookie=cookie).status == 200, "the kernel runs on"


FOLDERS = (
    "/",
    "/voila/files/",
    "/files/",
    "/static/",
    "/notebooks/",
    "/voila/render/",
    "/api/contents/",
    "/voila/api/contents/",
    "/voila/static/",
    "/voila/static/..%2f",
    "/voila/static/%2e%2e/",
    "/voila/templates/lab/static/..%2f..%2f",
    "/voila/labextensions/..%2f",
    "/voila/api/themes/..%2f",
    "/..%2f",
)


@pytest.mark.parametrize("folder", FOLDERS)
def test_no_file_of_the_folder_is_served(small: Page, folder: str) -> None:
    for name in ("roof.png", "other.ipynb", "small.ipynb", "mine.toml", "notes.txt", "voila.json"):
        answer = asked(small, with_token(small, folder + name))
        assert answer.status in (403, 404), (folder + name, answer)
        assert SECRET not in answer.body and "cells" not in answer.body


def test_no_file_is_served_by_a_long_way_round(small: Page, tmp_path: Path) -> None:
    place = tmp_path / "secret.png"
    place.write_text(SECRET, encoding="utf-8")
    up = "..%2f" * 12
    for start in ("/voila/static/", "/voila/labextensions/", "/voila/templates/lab/static/", "/voila/files/"):
        for way in (up, "../" * 12, "%2f", "/"):
            answer = asked(small, with_token(small, f"{start}{way}{str(place).lstrip('/')}"))
            assert answer.status in (403, 404), (start, way, answer)
            assert SECRET not in answer.body


def sent(small: Page, lines: list[str]) -> str:
    """Send lines by a raw socket and return the first line of the answer."""
    with socket.create_connection(small.address, timeout=30) as raw:
        raw.sendall("\r\n".join([*lines, "", ""]).encode())
        return raw.makefile("rb").readline().decode().strip()


def upgrade(small: Page, path: str, *lines: str) -> str:
    """Ask for a channel by a raw socket and return the first line of the answer."""
    key = "dGhlIHNhbXBsZSBub25jZQ=="
    start = [f"GET {path} HTTP/1.1", "Upgrade: websocket", "Connection: Upgrade"]
    return sent(small, [*start, "Sec-WebSocket-Version: 13", f"Sec-WebSocket-Key: {key}", *lines])


def test_the_kernel_channel_opens_only_to_the_page_itself(small: Page, channel: str) -> None:
    host = f"Host: {small.host}"
    path = with_token(small, channel)
    refused = "HTTP/1.1 403 Forbidden"
    assert upgrade(small, path, host, f"Origin: http://{small.host}") == "HTTP/1.1 101 Switching Protocols"
    assert upgrade(small, channel, host, f"Origin: http://{small.host}") == refused
    assert upgrade(small, path, host, "Origin: http://evil.example") == refused
    assert upgrade(small, path, host, "Origin: null") == refused
    assert upgrade(small, path, host, "Sec-WebSocket-Origin: http://evil.example") == refused
    own = f"Origin: http://{small.host}"
    assert upgrade(small, path, host, own, "Origin: http://evil.example") == refused
    assert upgrade(small, path, "Host: evil.example", "Origin: http://evil.example") == refused
    assert upgrade(small, path, "Host: evil.example", own) == refused


def test_a_raw_socket_gets_no_further(small: Page) -> None:
    path, host = with_token(small, "/"), f"Host: {small.host}"
    assert " 200 " in sent(small, [f"GET {path} HTTP/1.1", host, "Connection: close"]) + " "
    for lines in (
        [f"GET {path} HTTP/1.1", "Connection: close"],
        [f"GET {path} HTTP/1.0"],
        [f"GET {path} HTTP/1.1", host, "Host: evil.example"],
        [f"GET {path} HTTP/1.1", "Host: evil.example", host],
        [f"GET http://{small.host}{path} HTTP/1.1", "Host: evil.example"],
        [f"GET {path} HTTP/1.1", f"Host: {small.host}@evil.example"],
        [f"GET {path} HTTP/1.1", f"Host: {small.host}, evil.example"],
    ):
        assert sent(small, lines).split(" ")[1] in ("400", "403"), lines


def test_what_is_not_there_is_said_plainly(small: Page) -> None:
    answer = asked(small, with_token(small, "/api/kernels/0-0-0-0-0"))
    assert answer.status == 404
    assert not re.search(r"jupyter|voil|tornado", answer.body + answer.headers["Server"], re.I)
