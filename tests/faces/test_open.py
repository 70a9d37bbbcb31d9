"""`lifecycle open`: what is checked first, what is said, how it ends, and that nothing is left."""

from __future__ import annotations

import os
import signal
import socket
import time
import urllib.error
import urllib.request
import uuid
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

import nbformat
import pytest

from lifecycle.cli import papers as open_command
from lifecycle.cli.main import main
from lifecycle.errors import ScenarioError
from lifecycle.pages.server import PAGES, SCENARIO, given_scenario, notebook_of, starting
from lifecycle.pages.server.guard import LOOPBACK, checked, hosts, listening
from lifecycle.pages.server.starting import Opening, said, serve
from lifecycle.places import scenario_path
from tests.faces.serving import needed, serving

LAST = "Stopped. Nothing of the page runs any more.\n"
PROCESSES = pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="no list of processes here")
OWN = scenario_path("own-hands")


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A notebook that shows one line."""
    cells = [nbformat.v4.new_markdown_cell("# Small"), nbformat.v4.new_code_cell("print('shown')")]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    notebook = nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": kernel})
    nbformat.write(notebook, tmp_path / "small.ipynb")
    return tmp_path / "small.ipynb"


@pytest.fixture
def traces(tmp_path: Path) -> tuple[dict[str, str], Callable[[], list[str]]]:
    """An environment to start in, and what is left of it: processes and files."""
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    mark = uuid.uuid4().hex

    def left() -> list[str]:
        files = [str(path) for path in temporary.iterdir()]
        return files + [process for process in Path("/proc").glob("[0-9]*") if _has(process, mark)]

    return {"LIFECYCLE_TEST_MARK": mark, "TMPDIR": str(temporary)}, left


def _has(process: Path, mark: str) -> bool:
    """Whether a process was started, by whatever way, with a mark in its environment."""
    try:
        return mark.encode() in (process / "environ").read_bytes()
    except OSError:
        return False


def answer(url: str, **headers: str) -> tuple[int, str]:
    """Ask for an address; return the status and what came."""
    request = urllib.request.Request(url, headers=headers)
    try:
        with urllib.request.urlopen(request, timeout=30) as got:
            return int(got.status), got.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


@PROCESSES
def test_ctrl_c_ends_the_owners_page_with_one_sentence_and_leaves_nothing(
    traces: tuple[dict[str, str], Callable[[], list[str]]],
) -> None:
    environment, left = traces
    with serving("owner", OWN, environment=environment) as page:
        assert answer(page.url)[0] == 200
        kernels = [one for one in left() if "/proc/" in str(one)]
        assert len(kernels) >= 2, "the server and a kernel"
        status, text = page.ended(signal.SIGINT)
    assert status == 0
    assert text.endswith(f"Stop it with Ctrl-C.\n{LAST}"), text
    assert left() == []


@PROCESSES
def test_ended_by_the_computer_before_the_page_is_worked_out(
    small: Path, traces: tuple[dict[str, str], Callable[[], list[str]]]
) -> None:
    environment, left = traces
    with serving(small, environment=environment) as page:
        status, text = page.ended(signal.SIGTERM)
    assert (status, text.endswith(LAST)) == (0, True), text
    assert left() == []


def test_a_page_that_others_reach_ends_when_nobody_uses_it(small: Path) -> None:
    with serving(small, idle=3.0, address="127.0.0.2") as page:
        assert page.address[0] == "127.0.0.2"
        assert answer(page.url)[0] == 200
        assert answer(page.url, Host=f"127.0.0.1:{page.address[1]}")[0] == 403
        with pytest.raises(OSError), socket.create_connection((LOOPBACK, page.address[1]), timeout=5):
            pass
        begun = time.monotonic()
        status, text = page.ended(None)
    assert status == 0
    assert time.monotonic() - begun > 2.0, "it was just used"
    assert text.endswith("Stopped: nobody used the page for 0 minutes. Nothing of it runs any more.\n")


def test_what_the_address_is_and_who_reaches_it_is_said() -> None:
    whole = "http://127.0.0.1:1/?token=x"
    alone = said(whole, Opening(OWN, browser=False))
    assert whole in alone and "Only this computer reaches it." in alone and "network" not in alone
    assert "If it does not, copy this whole address" in said(whole, Opening(OWN))
    shared = said(whole, Opening(OWN, address="192.168.1.20"))
    assert "Whoever is on the same network and has the whole address can now open and use it." in shared
    assert "could read along" in shared and "60 minutes" in shared and "Only this computer" not in shared


@pytest.mark.parametrize(
    ("address", "reason"),
    [
        ("8.8.8.8", "must be an address of your own network"),
        ("0.0.0.0", "would open the page to every network"),
        ("::", "would open the page to every network"),
        ("169.254.1.1", "must be an address of your own network"),
        ("100.64.0.1", "must be an address of your own network"),
        ("172.32.0.1", "must be an address of your own network"),
        ("2001:db8::1", "must be an address of your own network"),
        ("::ffff:8.8.8.8", "must be an address of your own network"),
        ("localhost", "must be an address in figures"),
        ("192.168.1.20:8000", "must be an address in figures"),
        ("", "must not be empty"),
    ],
)
def test_an_address_that_is_not_ones_own_is_refused(
    address: str, reason: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    needed()
    monkeypatch.setattr(starting, "serve", _never)
    assert main(["open", "--no-browser", "--on", address]) == 2
    text = capsys.readouterr().err
    assert text.startswith("lifecycle: --on ") and reason in text and "Traceback" not in text


def _never(*_: object) -> str:
    raise AssertionError("it was started")


def test_private_addresses_of_both_kinds_are_allowed() -> None:
    for address in ("10.1.2.3", "172.16.0.9", "172.31.255.1", "192.168.0.2", "127.0.0.2", "fd12::5", "::1"):
        assert checked(address) == address
    assert hosts("fd12::5", 8000) == {"[fd12::5]:8000"}
    assert hosts("192.168.0.2", 80) == {"192.168.0.2:80", "192.168.0.2"}


def test_an_address_that_this_computer_has_not_is_refused(small: Path) -> None:
    with pytest.raises(ScenarioError, match="--on must be an address of this computer"):
        serve(Opening(small, address="10.254.253.252"), _never)


def test_a_port_that_is_taken_or_is_none_is_refused(small: Path) -> None:
    with listening(LOOPBACK, 0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(ScenarioError, match=f"--port must be free; got {port}"):
            serve(Opening(small, port=port), _never)
    for port in (-1, 65_536):
        with pytest.raises(ScenarioError, match="--port must be a whole number from 0 to 65,535"):
            serve(Opening(small, port=port), _never)


def test_a_bad_scenario_is_refused_before_anything_starts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    needed()
    monkeypatch.setattr(starting, "serve", _never)
    bad = tmp_path / "bad.toml"
    bad.write_text("[owner]\nholding_period = -3\n", encoding="utf-8")
    assert main(["open", "--scenario", str(bad)]) == 2
    assert "owner.holding_period" in capsys.readouterr().err
    assert main(["open", "--scenario", str(tmp_path / "none.toml")]) == 2
    assert "does not exist" in capsys.readouterr().err


def test_without_the_parts_for_pages_the_remedy_is_named(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(open_command, "find_spec", lambda name: None)
    for more in ([], ["--lab"]):
        assert main(["open", *more]) == 2
        text = capsys.readouterr().err
        assert "are not installed" in text and "pip install 'lifecycle[notebooks]'" in text


def test_an_unknown_page_lists_the_known_ones(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["open", "kitchen"])
    assert stopped.value.code == 2
    text = capsys.readouterr().err
    assert all(page in text for page in PAGES)
    with pytest.raises(ScenarioError, match="kitchen is no page that is installed"):
        notebook_of("kitchen")


def test_a_page_asks_for_its_scenario(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(SCENARIO, raising=False)
    assert given_scenario() is None
    monkeypatch.setenv(SCENARIO, "")
    assert given_scenario() is None
    monkeypatch.setenv(SCENARIO, str(OWN))
    assert given_scenario() == OWN


def test_settings_of_ones_own_leave_the_environment_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    needed()
    monkeypatch.setenv("JUPYTER_DATA_DIR", "somewhere")
    monkeypatch.delenv(SCENARIO, raising=False)
    before = dict(os.environ)
    with starting.own_settings(OWN) as folder:
        assert os.environ["JUPYTER_NO_CONFIG"] == "1" and os.environ["JUPYTER_DATA_DIR"] != "somewhere"
        assert given_scenario() == OWN.resolve()
        assert folder.stat().st_mode & 0o077 == 0, "for its owner only"
    assert dict(os.environ) == before
    assert not folder.exists()


@PROCESSES
def test_the_notebook_with_its_code_is_a_copy_behind_the_same_guard(
    tmp_path: Path, traces: tuple[dict[str, str], Callable[[], list[str]]]
) -> None:
    environment, left = traces
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "jupyter_server_config.py").write_text("raise SystemExit('settings were read')")
    environment |= {"JUPYTER_CONFIG_DIR": str(folder), "JUPYTER_TOKEN": "weak"}
    with serving("owner", OWN, options=["--lab"], environment=environment, folder=folder) as page:
        copy = folder / "owner.ipynb"
        assert copy.read_bytes() == notebook_of("owner").read_bytes()
        assert "/lab/tree/owner.ipynb?token=" in page.url
        status, text = answer(page.url)
        assert status == 200 and '"news": {"disabled": true}' in text.replace("\n", "")
        start = f"http://{page.host}"
        assert answer(page.url, Host="evil.example")[0] == 403
        assert answer(page.url, Origin="http://evil.example")[0] == 403
        assert answer(f"{start}/api/contents")[0] == 403
        assert answer(f"{start}/api/contents?token=weak")[0] == 403
        assert answer(f"{start}/api/contents?token={page.token}")[0] == 200
        status, text = page.ended()
    assert status == 0 and "You work on a copy: owner.ipynb" in text and text.endswith(LAST)
    assert left() == []


def test_the_notebook_with_its_code_stays_on_this_computer_and_keeps_what_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    needed()
    monkeypatch.setattr(starting, "serve", lambda opening, say: str(opening.notebook))
    monkeypatch.chdir(tmp_path)
    assert main(["open", "--lab", "--on", "127.0.0.2"]) == 2
    assert "--lab must stay on this computer" in capsys.readouterr().err
    (tmp_path / "owner.ipynb").write_text("mine")
    assert main(["open", "--lab"]) == 0
    assert str(tmp_path / "owner.ipynb") in capsys.readouterr().out
    assert (tmp_path / "owner.ipynb").read_text() == "mine"


def test_what_is_given_is_what_is_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    needed()
    opened: list[Opening] = []
    monkeypatch.setattr(starting, "serve", lambda opening, say: opened.append(opening) or "")
    given = Namespace(page="owner", scenario=str(OWN), lab=False, on="127.0.0.2", port=8123, browser=False)
    open_command.opened(given)
    wanted = Opening(notebook_of("owner"), OWN, "127.0.0.2", 8123, browser=False)
    assert opened == [wanted] and wanted.shared and wanted.idle == 3600.0
