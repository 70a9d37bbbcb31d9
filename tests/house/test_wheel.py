"""The built wheel stands by itself: it carries notebooks and scenarios, and works without the repository."""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
import urllib.request
from pathlib import Path
from typing import Any

import nbformat
import pytest

from tests.faces.serving import serving

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built and installed into a folder of its own."""
    place = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    built = [*pip, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(place), str(ROOT)]
    subprocess.run(built, check=True, capture_output=True)
    (wheel,) = place.glob("lifecycle-*.whl")
    target = place / "site"
    subprocess.run([*pip, "install", "--no-deps", "--target", str(target), str(wheel)], check=True)
    return target


def test_it_carries_scenarios_notebooks_and_data(installed: Path) -> None:
    package = installed / "lifecycle"
    shipped = {path.name for path in (package / "shipped" / "scenarios").glob("*.toml")}
    assert shipped == {path.name for path in (ROOT / "scenarios").glob("*.toml")}
    notebooks = {path.name for path in (package / "shipped" / "notebooks").rglob("*")}
    assert notebooks == {path.name for path in (ROOT / "notebooks").glob("*.ipynb")}
    assert "owner.ipynb" in notebooks
    assert (package / "shipped" / "scenarios" / "prices" / "by-the-foot.toml").is_file()
    assert (package / "data" / "shared.toml").is_file()


def test_it_carries_the_kernel_where_a_compiler_is(installed: Path) -> None:
    """In two forms on a usual processor: for any of its kind, and a faster one."""
    if not any(shutil.which(name) for name in ("cc", "gcc", "clang")):
        pytest.skip("no compiler here")
    kernels = list((installed / "lifecycle" / "evaluation" / "compiled").glob("kernel-*"))
    assert len(kernels) == (2 if platform.machine() == "x86_64" else 1)
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]);"
        "from lifecycle.evaluation.compiled.library import found; print(found())"
    )
    done = subprocess.run([sys.executable, "-c", code, str(installed)], capture_output=True, text=True)
    assert done.stdout.startswith("(Library("), done.stdout + done.stderr


def test_it_answers_without_the_repository(installed: Path, tmp_path: Path) -> None:
    scenario = installed / "lifecycle" / "shipped" / "scenarios" / "own-hands.toml"
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]);"
        "import lifecycle; assert lifecycle.__file__.startswith(sys.argv[1]);"
        "from lifecycle.cli import main; sys.exit(main(['compare', sys.argv[2]]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(installed), str(scenario)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "Cost in today's money [USD]" in done.stdout


def test_a_copied_notebook_runs_from_top_to_bottom_without_the_repository(
    installed: Path, tmp_path: Path
) -> None:
    """As somebody does who has the wheel: copy the notebooks out, run one, get what is stored in it."""
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    copy = [sys.executable, "-P", "-m", "lifecycle", "notebooks", "--to", "mine"]
    subprocess.run(copy, cwd=tmp_path, env=environment, check=True, capture_output=True)
    place = tmp_path / "mine" / "first-steps.ipynb"
    stored = nbformat.read(place, as_version=4)
    run = [
        *(sys.executable, "-P", "-m", "nbconvert", "--to", "notebook", "--execute"),
        *("--ExecutePreprocessor.timeout=600", "--output", "run.ipynb", place.name),
    ]
    done = subprocess.run(run, cwd=place.parent, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-2000:]
    for before, after in zip(stored.cells, nbformat.read(place.parent / "run.ipynb", 4).cells, strict=True):
        assert texts(before) == texts(after), before.id


def texts(cell: Any) -> list[str]:
    """Return what a cell says in plain text: of a picture its sentence."""
    return [one.get("text", one.get("data", {}).get("text/plain", "")) for one in cell.get("outputs", ())]


def test_its_page_opens_without_the_repository(installed: Path, tmp_path: Path) -> None:
    environment = {"PYTHONPATH": str(installed)}
    with serving("owner", environment=environment, folder=tmp_path) as page:
        with urllib.request.urlopen(page.url, timeout=60) as answer:
            text = answer.read().decode()
        command = Path(f"/proc/{page.process.pid}/environ")
        assert not command.exists() or str(installed).encode() in command.read_bytes()
    assert "<title>Spray the roof, or go on looking after it?</title>" in text
    assert "widget-view" in text
