"""The owner's notebook runs from any folder and on any coach, and says what the library says."""

from __future__ import annotations

import ast
import json
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure

import lifecycle
from lifecycle.faces.assumptions import assumptions, bases_sentence, what_moves_it
from lifecycle.faces.sureness import verdict_under
from lifecycle.places import notebook_paths, scenario_path
from lifecycle.studies.assessment import brief

OWNER = next(path for path in notebook_paths() if path.name == "owner.ipynb")
SHOWN = "humid-coast-motorhome"


def code_cells() -> list[dict[str, Any]]:
    return [
        cell for cell in json.loads(OWNER.read_text(encoding="utf-8"))["cells"] if cell["cell_type"] == "code"
    ]


def run_on(name: str) -> list[Any]:
    """Run the cells on another shipped scenario; return what each shows last."""
    space: dict[str, Any] = {}
    shown = []
    for cell in code_cells():
        tree = ast.parse("".join(cell["source"]).replace(SHOWN, name))
        last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
        exec(compile(tree, OWNER.name, "exec"), space)
        if isinstance(last, ast.Expr):
            shown.append(eval(compile(ast.Expression(last.value), OWNER.name, "eval"), space))
    return shown


@pytest.mark.parametrize("name", ["own-hands", "worked-example-3", "trouble-reported"])
def test_it_runs_on_other_coaches_and_from_any_folder(
    name: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    shown = run_on(name)
    printed = capsys.readouterr().out
    scenario = lifecycle.load(scenario_path(name))
    answer = verdict_under(lifecycle.compare(scenario), brief(scenario))
    assert scenario.title in printed
    assert all(line in printed for line in (*answer.lines, *answer.beside))
    assert sum(isinstance(thing, Figure) for thing in shown) == 6


def test_the_stored_answer_is_that_of_the_library() -> None:
    scenario = lifecycle.load(scenario_path(SHOWN))
    answer = verdict_under(lifecycle.compare(scenario), brief(scenario))
    stored = {cell["id"]: cell["outputs"][0] for cell in code_cells()}
    assert "".join(stored["answer"]["text"]) == "\n\n".join(answer.lines) + "\n"
    assert "".join(stored["bases"]["text"]) == f"{bases_sentence(scenario)}\n"


def test_every_figure_stands_in_the_table_with_its_basis() -> None:
    scenario = lifecycle.load(scenario_path(SHOWN))
    table = assumptions(scenario)
    assert len(table) == len(scenario.inputs)
    assert list(table.columns) == ["low ... likely ... high", "rests on"]
    assert (table["rests on"] != "").all()
    assert table.loc["years you keep it", "low ... likely ... high"] == "6 ... 10 ... 15 years"
    published = [figure for figure in scenario.inputs.values() if figure.basis == "published"]
    assert published
    for figure in published:
        assert table["rests on"].str.contains(figure.source, regex=False).any()


def test_the_figures_that_move_the_answer_most_come_first() -> None:
    comparison = lifecycle.compare(lifecycle.load(scenario_path(SHOWN)))
    table = what_moves_it(comparison, most=3)
    sizes = [swing.size for swing in comparison.swings]
    assert sizes == sorted(sizes, reverse=True) and len(table) == 3
    assert "cheaper" in table.iloc[0]["at its high end"] and "dearer" in table.iloc[0]["at its low end"]
    without_ranges = lifecycle.compare(lifecycle.load(scenario_path("worked-example-1")))
    assert what_moves_it(without_ranges).empty
