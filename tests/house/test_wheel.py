"""The built wheel stands by itself: it carries notebooks and scenarios, and works without the repository."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

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
    notebooks = {path.name for path in (package / "shipped" / "notebooks").glob("*.ipynb")}
    assert notebooks == {path.name for path in (ROOT / "notebooks").glob("*.ipynb")}
    assert "owner.ipynb" in notebooks
    assert (package / "shipped" / "scenarios" / "prices" / "by-the-foot.toml").is_file()
    assert (package / "data" / "shared.toml").is_file()


def test_it_answers_without_the_repository(installed: Path, tmp_path: Path) -> None:
    scenario = installed / "lifecycle" / "shipped" / "scenarios" / "own-hands.toml"
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]);"
        "import lifecycle; assert lifecycle.__file__.startswith(sys.argv[1]);"
        "from lifecycle.faces.cli import main; sys.exit(main(['compare', sys.argv[2]]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(installed), str(scenario)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "compared with" in done.stdout
