"""`lifecycle report`: where the papers go, what is refused, and that nothing half is left."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import pytest

from lifecycle.cli import papers
from lifecycle.cli.main import main
from lifecycle.cli.papers import PAPERS
from lifecycle.places import notebook_paths

TROUBLE = str(Path(__file__).parents[2] / "scenarios" / "trouble-reported.toml")


def mistake(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Return what the command says of a mistake."""
    assert main(["report", *arguments]) == 2
    captured = capsys.readouterr()
    assert not captured.out and "Traceback" not in captured.err
    return " ".join(captured.err.split())


def test_the_papers_are_made_and_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "ours"
    assert main(["report", TROUBLE, "--to", str(folder)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Paper to take home") and "Open it first" in said
    assert sorted(path.name for path in folder.iterdir()) == sorted(PAPERS)
    assert all(name in said for name in PAPERS)
    assert os.listdir(tmp_path) == ["ours"]


def test_what_a_second_process_leaves_undone_is_made_by_this_one(monkeypatch: pytest.MonkeyPatch) -> None:
    names = list(PAPERS)
    monkeypatch.setattr(papers, "_others", lambda told: dict.fromkeys(names[1:], told))
    monkeypatch.setattr(papers, "_sheets", lambda told: dict.fromkeys(names[:1], told))
    with ProcessPoolExecutor(1) as second:
        with pytest.raises(BrokenProcessPool):
            second.submit(os._exit, 1).result()
        assert papers.papers_of(b"told", second) == dict.fromkeys(names, b"told")  # type: ignore[arg-type]


def test_an_empty_folder_is_used(tmp_path: Path) -> None:
    assert main(["report", TROUBLE, "--to", str(tmp_path)]) == 0
    assert (tmp_path / "us.html").is_file()


def test_a_folder_with_other_files_is_left_alone_unless_it_may_be_replaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    (tmp_path / "us.html").write_text("old")
    said = mistake(capsys, TROUBLE, "--to", str(tmp_path))
    assert "--replace" in said and "must not hold anything yet" in said
    assert (tmp_path / "us.html").read_text() == "old"
    assert main(["report", TROUBLE, "--to", str(tmp_path), "--replace"]) == 0
    assert (tmp_path / "letter.txt").read_text() == "mine"
    assert (tmp_path / "us.html").read_text().startswith("<!DOCTYPE html>")
    assert sorted(os.listdir(tmp_path)) == sorted([*PAPERS, "letter.txt"])


@pytest.mark.parametrize("replace", [False, True])
def test_a_full_disk_leaves_nothing_half(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, replace: bool
) -> None:
    folder = tmp_path / "ours"
    if replace:
        folder.mkdir()
        (folder / "us.html").write_text("old")
    written: list[str] = []
    write = Path.write_bytes

    def full(path: Path, content: Any) -> int:
        if len(written) == 3:
            raise OSError(28, "No space left on device")
        written.append(path.name)
        return write(path, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    said = mistake(capsys, TROUBLE, "--to", str(folder), *(["--replace"] if replace else []))
    assert "no space left on device" in said and len(written) == 3
    assert os.listdir(tmp_path) == (["ours"] if replace else [])
    if replace:
        assert (folder / "us.html").read_text() == "old" and os.listdir(folder) == ["us.html"]


def test_whoever_stops_it_finds_nothing_half(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(path: Path, content: Any) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "write_bytes", stopped)
    assert main(["report", TROUBLE, "--to", str(tmp_path / "ours")]) == 130
    assert os.listdir(tmp_path) == []


def test_places_that_cannot_be_are_refused_before_anything_is_computed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(papers, "loaded", lambda *_: pytest.fail("it was computed"))
    (tmp_path / "file").write_text("mine")
    assert "must name a folder" in mistake(capsys, TROUBLE, "--to", str(tmp_path / "file"))
    assert "must lie in a folder that exists" in mistake(capsys, TROUBLE, "--to", str(tmp_path / "a" / "b"))
    said = mistake(capsys, TROUBLE, "--to", str(tmp_path / "x"), "--draws", "3")
    assert "--draws" in said and os.listdir(tmp_path) == ["file"]


def test_a_folder_without_permission_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "access", lambda place, mode: False)
    said = mistake(capsys, TROUBLE, "--to", str(tmp_path / "x"))
    assert "permission denied" in said and os.listdir(tmp_path) == []


def test_notebooks_are_copied_into_a_folder_that_holds_nothing(tmp_path: Path, capsys: Any) -> None:
    folder = tmp_path / "mine"
    assert main(["notebooks", "--to", str(folder)]) == 0
    assert {path.name for path in folder.iterdir()} == {path.name for path in notebook_paths()}
    assert all((folder / path.name).read_bytes() == path.read_bytes() for path in notebook_paths())
    assert "first-steps.ipynb: First steps" in capsys.readouterr().out
    (folder / "owner.ipynb").write_text("mine")
    assert main(["notebooks", "--to", str(folder)]) == 2
    assert (folder / "owner.ipynb").read_text() == "mine" and "--replace" in capsys.readouterr().err
    assert main(["notebooks", "--to", str(folder), "--replace"]) == 0
    assert (folder / "owner.ipynb").read_text() != "mine"
