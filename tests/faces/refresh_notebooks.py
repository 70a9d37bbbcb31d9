"""Run every notebook anew and store its outputs, with nothing of this machine in them.

Run after anything that changes what a notebook shows, for all notebooks or those named::

    python tests/faces/refresh_notebooks.py
    python tests/faces/refresh_notebooks.py owner climate
"""

from __future__ import annotations

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"

METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
"""All that a notebook may say of the program that ran it."""


def refresh(path: Path) -> None:
    """Run one notebook and write it back."""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook, timeout=300, record_timing=False, resources={"metadata": {"path": path.parent}}
    )
    client.execute()
    notebook.metadata = nbformat.from_dict(METADATA)
    for cell in notebook.cells:
        kept = {name: value for name, value in cell.metadata.items() if name == "tags"}
        cell.metadata = nbformat.from_dict(kept)
    nbformat.write(notebook, path)


if __name__ == "__main__":
    for notebook_path in sorted(NOTEBOOKS.glob("*.ipynb")):
        if not sys.argv[1:] or notebook_path.stem in sys.argv[1:]:
            refresh(notebook_path)
