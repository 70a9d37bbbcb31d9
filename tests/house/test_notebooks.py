"""Notebooks stay thin, carry their outputs, and say nothing of the machine that ran them."""

from __future__ import annotations

import ast
import base64
import itertools
import json
import re
from pathlib import Path
from typing import Any

import pytest

import lifecycle
from lifecycle import charts
from lifecycle.pages.server.server import BESIDE

NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))

LONGEST_CELL = 12
"""Lines of code in a cell, comments and blank lines left out."""

NOT_COMPARED = "nbval-ignore-output"
"""Tag of a cell whose output holds lines as drawn, which are not the same on every machine."""

PAGES = {"owner_page", "counter_page", "doubt_page", "analyst_page", "given"}
"""What a cell may call of the panels: the page itself, or the scenario that it was opened with."""

OFFERED = {"lifecycle": set(lifecycle.__all__), "charts": set(charts.__all__), "panels": PAGES}
"""Names that cells may take from what they import."""

IMPORTS = {"import lifecycle", "from lifecycle import charts", "from lifecycle.pages import panels"}

LARGEST_PICTURE, LARGEST_FOLDER, SMALL_PICTURE = 100_000, 2_000_000, 20_000
"""Of a stored picture, of all notebooks, and of a picture in README. [bytes]"""

FORBIDDEN = (
    ast.FunctionDef,
    ast.AsyncFunctionDef,
    ast.ClassDef,
    ast.Lambda,
    ast.For,
    ast.While,
    ast.If,
    ast.Try,
    ast.ListComp,
    ast.SetComp,
    ast.DictComp,
    ast.GeneratorExp,
    ast.BinOp,
    ast.AugAssign,
    ast.UnaryOp,
)
"""Definitions, loops, branches and arithmetic: they belong to the library."""


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return [cell for cell in notebook["cells"] if cell["cell_type"] == kind]


def source(cell: dict[str, Any]) -> str:
    return "".join(cell["source"])


def test_there_is_an_owners_notebook() -> None:
    assert "owner.ipynb" in {path.name for path in NOTEBOOKS}


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_cells_hold_no_program(path: Path) -> None:
    for cell in cells(path, "code"):
        found = [
            type(node).__name__ for node in ast.walk(ast.parse(source(cell))) if isinstance(node, FORBIDDEN)
        ]
        assert not found, f"{cell['id']}: {', '.join(found)}"


def test_the_check_sees_a_program() -> None:
    for text in ("[x for x in y]", "a + b", "-a", "def f(): pass", "while a: b()", "a += 1", "lambda: 1"):
        assert any(isinstance(node, FORBIDDEN) for node in ast.walk(ast.parse(text))), text


def outside(text: str) -> list[str]:
    """Return what a cell takes from elsewhere than the library's own face."""
    found = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import | ast.ImportFrom) and ast.unparse(node) not in IMPORTS:
            found.append(ast.unparse(node))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            name = node.value.id
            if name in OFFERED and node.attr not in OFFERED[name]:
                found.append(f"{name}.{node.attr}")
    return found


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_no_cell_calls_anything_outside_the_face_of_the_library(path: Path) -> None:
    found = {cell["id"]: outside(source(cell)) for cell in cells(path, "code")}
    assert not {name: what for name, what in found.items() if what}


def test_the_check_sees_what_is_outside() -> None:
    for text in ("import numpy", "from lifecycle.pages.panels import x", "lifecycle.no()", "panels.no()"):
        assert outside(text), text
    assert not outside("import lifecycle\nlifecycle.compare(scenario).to_frame().round()")


READING = ("first-steps", "owner", "counter", "sensitivity", "climate", "records", "fleet", "method")
"""In the order in which they are read."""


def test_they_lead_to_each_other_in_reading_order() -> None:
    """The first names all, each leads to the next, and README lists them so, each with its picture."""
    assert sorted(READING) == sorted(path.stem for path in NOTEBOOKS)
    words = {path.stem: "".join(source(cell) for cell in cells(path, "markdown")) for path in NOTEBOOKS}
    linked = re.findall(r"\(([a-z-]+)\.ipynb\)", words[READING[0]])
    assert linked == list(READING[1:])
    for one, following in list(itertools.pairwise(READING))[1:]:
        assert re.findall(r"\(([a-z-]+)\.ipynb\)", words[one]) == [following, READING[0]], one
    readme = (NOTEBOOKS[0].parents[1] / "README.md").read_text(encoding="utf-8")
    assert re.findall(r"notebooks/([a-z-]+)\.ipynb\)", readme) == list(READING)
    for name in READING:
        picture = NOTEBOOKS[0].parents[1] / "reports" / "notebooks" / f"{name}.png"
        assert f"reports/notebooks/{name}.png" in readme and picture.stat().st_size < SMALL_PICTURE


def test_the_notebooks_are_small_and_lead_to_each_other() -> None:
    assert sum(path.stat().st_size for path in NOTEBOOKS) < LARGEST_FOLDER
    for path in NOTEBOOKS:
        for cell in cells(path, "code"):
            for output in cell["outputs"]:
                picture = output.get("data", {}).get("image/png", "")
                drawn = re.findall(
                    r"<svg.*?</svg>", "".join(output.get("data", {}).get("text/html", "")), re.DOTALL
                )
                sizes = [len(base64.b64decode(picture)), *map(len, drawn)]
                assert max(sizes) < LARGEST_PICTURE, cell["id"]
        words = "".join(source(cell) for cell in cells(path, "markdown"))
        links = set(re.findall(r"\]\(([^)]*\.ipynb)\)", words))
        assert links and links <= {other.name for other in NOTEBOOKS}, path.stem


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_cells_are_short(path: Path) -> None:
    for cell in cells(path, "code"):
        lines = [line for line in source(cell).splitlines() if line.strip() and not line.startswith("#")]
        assert 1 <= len(lines) <= LONGEST_CELL, cell["id"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_every_code_cell_stores_what_it_shows_and_no_error(path: Path) -> None:
    for place, cell in enumerate(cells(path, "code"), start=1):
        assert cell["execution_count"] == place, f"{cell['id']}: run all cells in order"
        assert cell["outputs"], f"{cell['id']} shows nothing: join it to the next cell"
        for output in cell["outputs"]:
            assert output["output_type"] != "error", cell["id"]
            assert output.get("name") != "stderr", cell["id"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_pictures_have_a_text_alternative_which_is_what_is_compared(path: Path) -> None:
    """nbval compares texts and tables, and of a picture its sentence, beside it as plain text."""
    for cell in cells(path, "code"):
        pictures = [output for output in cell["outputs"] if "image/png" in output.get("data", {})]
        drawn = any("<svg" in "".join(one.get("data", {}).get("text/html", "")) for one in cell["outputs"])
        assert drawn == (NOT_COMPARED in cell["metadata"].get("tags", ())), cell["id"]
        for picture in pictures:
            said = "".join(picture["data"]["text/plain"])
            assert said == picture["metadata"]["image/png"]["alt"] and len(said) > 40, cell["id"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_no_number_is_typed_into_prose(path: Path) -> None:
    for cell in cells(path, "markdown"):
        prose = re.sub(r"`[^`]*`", "", source(cell))
        assert not re.search(r"\d", prose), cell["id"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_nothing_names_the_machine(path: Path) -> None:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    assert set(notebook["metadata"]) == {"kernelspec", "language_info"}
    assert notebook["metadata"]["kernelspec"]["name"] == "python3"
    assert set(notebook["metadata"]["language_info"]) == {"name"}
    tags = [tag for cell in notebook["cells"] for tag in cell["metadata"].get("tags", ())]
    assert set(tags) <= {BESIDE, NOT_COMPARED}
    assert all(set(cell["metadata"]) <= {"tags"} for cell in notebook["cells"])


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_cells_have_names_that_stay(path: Path) -> None:
    names = [cell["id"] for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]
    assert len(set(names)) == len(names)
    assert not [name for name in names if re.fullmatch(r"[0-9a-f]{8}(-[0-9a-f-]+)?", name)]
