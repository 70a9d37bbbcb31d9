"""Where the shipped scenarios and notebooks lie: in the installed package, or in the repository.

Lecture
-------
A wheel carries both folders below the package, under `SHIPPED`; in the repository they stand beside
the package. So a notebook finds its scenario wherever it is started.

Left out: opening them (`files`).
"""

from __future__ import annotations

from pathlib import Path

from lifecycle.errors import Fault, ScenarioError, nearest

PACKAGE = Path(__file__).parent
SHIPPED = "shipped"
"""Folder of the installed package that holds scenarios and notebooks."""


def shipped_names() -> tuple[str, ...]:
    """Return the names of the shipped scenarios, sorted."""
    return tuple(sorted(path.stem for path in _folder("scenarios").glob("*.toml")))


def scenario_path(name: str) -> Path:
    """Return the path of a shipped scenario.

    Parameters
    ----------
    name : str
        Name of its file, without the ending.

    Returns
    -------
    Path

    Raises
    ------
    ScenarioError
        If there is none of that name.

    Examples
    --------
    >>> scenario_path("own-hands").name
    'own-hands.toml'
    """
    if name not in shipped_names():
        raise ScenarioError([Fault(name, "is not a shipped scenario", remedy=nearest(name, shipped_names()))])
    return _folder("scenarios") / f"{name}.toml"


def shipped_file(folder: str, name: str) -> Path:
    """Return the path of a shipped file that is no scenario.

    Parameters
    ----------
    folder : str
        "records", "regions", "logbooks", "prices" or "fleets".
    name : str
        Name of the file.

    Returns
    -------
    Path

    Raises
    ------
    ScenarioError
        If there is none of that name.

    Examples
    --------
    >>> shipped_file("records", "looks.csv").name
    'looks.csv'
    """
    place = _folder("scenarios") / folder
    known = tuple(sorted(path.name for path in place.glob("*") if path.is_file()))
    if name not in known:
        raise ScenarioError([Fault(name, f"is no shipped file of {folder}", remedy=nearest(name, known))])
    return place / name


def notebook_paths() -> tuple[Path, ...]:
    """Return the paths of the shipped notebooks, sorted."""
    return tuple(sorted(_folder("notebooks").glob("*.ipynb")))


def _folder(name: str) -> Path:
    """Return the folder of that name: the installed one, else the one beside the package."""
    installed = PACKAGE / SHIPPED / name
    return installed if installed.is_dir() else PACKAGE.parent / name
