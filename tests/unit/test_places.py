"""Shipped scenarios are found by name, in the repository and when installed."""

from __future__ import annotations

from pathlib import Path

import pytest

from lifecycle import files, places
from lifecycle.errors import ScenarioError

ROOT = Path(__file__).resolve().parents[2]


def test_every_scenario_of_the_repository_is_found_and_loads() -> None:
    names = places.shipped_names()
    assert set(names) == {path.stem for path in (ROOT / "scenarios").glob("*.toml")}
    assert all(files.load(places.scenario_path(name)).title for name in names)


def test_the_installed_folder_comes_first(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    package = tmp_path / "lifecycle"
    for folder, name in (("scenarios", "mine.toml"), ("notebooks", "mine.ipynb")):
        (package / places.SHIPPED / folder).mkdir(parents=True)
        (package / places.SHIPPED / folder / name).touch()
    monkeypatch.setattr(places, "PACKAGE", package)
    assert places.shipped_names() == ("mine",)
    assert places.scenario_path("mine") == package / "shipped" / "scenarios" / "mine.toml"
    assert [path.name for path in places.notebook_paths()] == ["mine.ipynb"]


def test_an_unknown_name_says_the_nearest() -> None:
    with pytest.raises(ScenarioError, match='own_hand is not a shipped scenario: did you mean "own-hands"'):
        places.scenario_path("own_hand")
