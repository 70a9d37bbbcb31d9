"""Run every notebook anew, store its outputs, with nothing of this machine, and draw README's pictures.

Run after anything that changes what a notebook shows, for all notebooks or those named::

    python tests/faces/refresh_notebooks.py
    python tests/faces/refresh_notebooks.py owner climate
"""

from __future__ import annotations

import base64
import io
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"

PICTURES = NOTEBOOKS.parent / "reports" / "notebooks"
"""Where the small pictures for README stand."""

SMALL, SHAPE = 280, 0.75
"""Width of a small picture [pixel]; most of its height in widths."""

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


def draw_small(path: Path) -> None:
    """Draw the upper part of the first picture of a notebook small."""
    from PIL import Image

    outputs = [one for cell in nbformat.read(path, 4).cells for one in cell.get("outputs", ())]
    first = next(found for one in outputs if (found := one.get("data", {}).get("image/png")))
    with Image.open(io.BytesIO(base64.b64decode(first))) as image:
        whole = image.convert("RGB").crop((0, 0, image.width, min(image.height, round(SHAPE * image.width))))
    size = SMALL, round(whole.height * SMALL / whole.width)
    small = whole.resize(size, Image.Resampling.LANCZOS).quantize(64, dither=Image.Dither.NONE)
    PICTURES.mkdir(exist_ok=True)
    small.save(PICTURES / f"{path.stem}.png", optimize=True)


if __name__ == "__main__":
    for notebook_path in sorted(NOTEBOOKS.glob("*.ipynb")):
        if not sys.argv[1:] or notebook_path.stem in sys.argv[1:]:
            refresh(notebook_path)
            draw_small(notebook_path)
