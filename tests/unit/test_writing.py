"""Writing files: whole or not at all, one by one and a folder at a time; killed at any step, two at once."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lifecycle import files
from lifecycle.errors import ScenarioError

PAPERS = {"us.pdf": b"new us", "shop.pdf": b"new shop", "upkeep.ics": b"new upkeep"}
BEFORE = {"us.pdf": b"old us", "upkeep.ics": b"old upkeep", "mine.txt": b"mine"}


def in_folder(folder: Path) -> dict[str, bytes]:
    """Return what stands in a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def filled(folder: Path) -> Path:
    """Make a folder with older papers."""
    folder.mkdir()
    for name, content in BEFORE.items():
        (folder / name).write_bytes(content)
    return folder


def test_a_file_is_written_with_the_rights_of_any_new_file(tmp_path: Path) -> None:
    files.write(tmp_path / "a.txt", b"a")
    (tmp_path / "b.txt").write_bytes(b"a")
    assert in_folder(tmp_path) == {"a.txt": b"a", "b.txt": b"a"}
    assert (tmp_path / "a.txt").stat().st_mode == (tmp_path / "b.txt").stat().st_mode


def test_a_new_file_is_not_put_over_one_that_came_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "mine.toml"
    place.write_bytes(b"theirs")

    def without_links(source: object, target: object) -> None:
        raise PermissionError(1, "no links here")

    for _ in range(2):
        with pytest.raises(ScenarioError, match="exists already, and is not overwritten: name another file"):
            files.write(place, b"mine", new=True)
        assert in_folder(tmp_path) == {"mine.toml": b"theirs"}
        monkeypatch.setattr("lifecycle.files.os.link", without_links)
    files.write(tmp_path / "other.toml", b"mine", new=True)
    assert in_folder(tmp_path) == {"mine.toml": b"theirs", "other.toml": b"mine"}


def put_new(place: str, number: int, results: Any) -> None:
    """Try to be the one that makes a file."""
    try:
        files.write(Path(place), f"{number}".encode() * 10_000, new=True)
        results.put(number)
    except ScenarioError:
        results.put(None)


def test_of_many_at_once_one_makes_the_file_and_the_others_are_told(tmp_path: Path) -> None:
    start = multiprocessing.get_context("spawn")
    results = start.Queue()
    place = tmp_path / "new.toml"
    work = [start.Process(target=put_new, args=(str(place), number, results)) for number in range(4)]
    for one in work:
        one.start()
    made = [results.get(timeout=60) for _ in work]
    for one in work:
        one.join()
    (winner,) = [number for number in made if number is not None]
    assert in_folder(tmp_path) == {"new.toml": f"{winner}".encode() * 10_000}


def test_two_writers_at_once_do_not_share_a_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While one is about to put its part in place, another writes the same place whole."""
    place, replace = tmp_path / "chart.png", os.replace

    def other_first(source: Any, target: Any) -> None:
        monkeypatch.setattr("lifecycle.files.os.replace", replace)
        files.write(place, b"other")
        assert place.read_bytes() == b"other"
        replace(source, target)

    monkeypatch.setattr("lifecycle.files.os.replace", other_first)
    files.write(place, b"mine")
    assert in_folder(tmp_path) == {"chart.png": b"mine"}


def test_papers_come_into_a_new_folder_all_at_once(tmp_path: Path) -> None:
    files.write_all(tmp_path / "papers", PAPERS)
    assert in_folder(tmp_path / "papers") == PAPERS
    assert [path.name for path in tmp_path.iterdir()] == ["papers"]


def test_papers_replace_those_of_their_names_and_no_others(tmp_path: Path) -> None:
    files.write_all(filled(tmp_path / "papers"), PAPERS)
    assert in_folder(tmp_path / "papers") == {**PAPERS, "mine.txt": b"mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["papers"]


def test_a_folder_in_the_way_changes_nothing(tmp_path: Path) -> None:
    folder = filled(tmp_path / "papers")
    (folder / "shop.pdf").mkdir()
    with pytest.raises(ScenarioError, match=r"shop\.pdf must be a file; got a folder: move it away first"):
        files.write_all(folder, PAPERS)
    (folder / "shop.pdf").rmdir()
    assert in_folder(folder) == BEFORE


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("step", range(5))
def test_papers_that_are_stopped_half_way_are_put_back(
    step: int, error: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two old ones are taken away and three new ones come: five renamings, stopped before each."""
    folder, rename, done = filled(tmp_path / "papers"), os.rename, iter(range(99))

    def stops(source: Any, target: Any) -> None:
        if next(done) == step:
            raise error
        rename(source, target)

    monkeypatch.setattr("lifecycle.files.os.rename", stops)
    with pytest.raises((ScenarioError, KeyboardInterrupt)):
        files.write_all(folder, PAPERS)
    assert in_folder(folder) == BEFORE
    assert [path.name for path in tmp_path.iterdir()] == ["papers"]


KILLED = """
import os, signal, sys
from pathlib import Path
from lifecycle import files
name, step, folder = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])
work, done = getattr(os, name), 0
def killed(*given):
    global done
    if done == step:
        os.kill(os.getpid(), signal.SIGKILL)
    done += 1
    work(*given)
setattr(os, name, killed)
papers = {"us.pdf": b"new us", "shop.pdf": b"new shop", "upkeep.ics": b"new upkeep"}
files.write(folder / "us.pdf", b"new us") if name == "replace" else files.write_all(folder, papers)
"""


@pytest.mark.skipif(os.name != "posix", reason="no such signal, and no way to ask whether a process runs")
@pytest.mark.parametrize(("name", "step"), [("replace", 0), *(("rename", step) for step in range(5))])
def test_what_a_killed_run_left_is_cleaned_by_the_next(name: str, step: int, tmp_path: Path) -> None:
    folder = filled(tmp_path / "papers")
    command = [sys.executable, "-c", KILLED, name, str(step), str(folder)]
    assert subprocess.run(command, check=False).returncode == -signal.SIGKILL
    beside = folder if name == "replace" else tmp_path
    assert any(path.name.endswith(".part") for path in beside.iterdir())
    for kept, content in BEFORE.items():  # nothing is lost: it stands in its place, or in the part
        assert content in (path.read_bytes() for path in tmp_path.rglob(kept))
    again: Callable[[], None] = (
        (lambda: files.write(folder / "us.pdf", b"again"))
        if name == "replace"
        else (lambda: files.write_all(folder, {"us.pdf": b"again"}))
    )
    again()
    after = in_folder(folder)
    assert {kept: after[kept] for kept in BEFORE} == {**BEFORE, "us.pdf": b"again"}
    assert [path.name for path in tmp_path.iterdir()] == ["papers"]


def test_the_part_of_a_run_that_is_still_at_work_stays(tmp_path: Path) -> None:
    mine = tmp_path / f".a.txt.{os.getpid()}-0123abcd.part"
    other = tmp_path / ".a.txt.notes.part"
    for part in (mine, other):
        part.write_bytes(b"at work")
    files.write(tmp_path / "a.txt", b"a")
    assert in_folder(tmp_path) == {"a.txt": b"a", mine.name: b"at work", other.name: b"at work"}


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(ScenarioError, match="cannot be written: not a directory: nothing was changed there"):
        files.write(tmp_path / "file" / "a.txt", b"a")
    with pytest.raises(ScenarioError, match="cannot be written: file name too long"):
        files.write(tmp_path / ("x" * 300), b"a")
