"""The house keeps its shape: imports point downwards, the top level is short, every test is collected."""

from __future__ import annotations

import ast
import doctest
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
    "lifecycle", "notebooks", "tests", "scenarios", "reports",
}  # fmt: skip


HEAD = r"""(?:"schema": SCHEMA|head_of\()"""
"""The first field of a result."""


def tracked() -> list[str]:
    """Files that git knows; skipped where the tests run without git, which CI never does."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("no git checkout here")
    return [name for name in listed.stdout.splitlines() if (ROOT / name).exists()]


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False)


def test_a_room_imports_only_from_lower_rooms() -> None:
    done = run(
        "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()", "--no-cache"
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_code_is_linted() -> None:
    done = run("-m", "ruff", "check", "--no-cache", ".")
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_docstring_says_what_a_parameter_is() -> None:
    """ "Any." and "Of it." are true of every parameter, and say nothing of one."""
    empty = re.compile(r"^ *(Any|It|Of it|Of them|The same)\.$|\"\"\"(Any|Of it)\.", re.MULTILINE)
    files = list((ROOT / "lifecycle").rglob("*.py"))
    assert files and not [path for path in files if empty.search(path.read_text(encoding="utf-8"))]


@pytest.mark.slow
def test_the_library_is_typed() -> None:
    done = run("-m", "mypy")
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_top_level_holds_what_it_should() -> None:
    entries = {name.split("/")[0] for name in tracked()}
    assert {name for name in entries if not name.startswith(".")} <= TOP_LEVEL
    assert entries >= {"README.md", "DEVELOPERS.md", "pyproject.toml", "lifecycle", "tests", "scenarios"}


def test_what_readme_shows_in_python_comes_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    failed, tried = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert tried >= 5 and not failed


def test_every_test_file_is_collected() -> None:
    """A file that holds tests must carry the name by which the runner finds it."""
    for path in (ROOT / "tests").rglob("*.py"):
        functions = [n for n in ast.walk(ast.parse(path.read_text())) if isinstance(n, ast.FunctionDef)]
        if any(function.name.startswith("test_") for function in functions):
            assert path.name.startswith("test_"), path


def test_every_result_says_what_made_it() -> None:
    """Each place that heads a result also says, by the one function, what made it."""
    places = 0
    for path in (ROOT / "lifecycle").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        heads, made = (len(re.findall(f"(?<!def ){one}", text)) for one in (HEAD, r"made_by\("))
        assert heads == made or path.name == "parts.py", path
        places += made
    assert places > 20


@pytest.mark.slow
def test_every_test_asserts_something() -> None:
    """By an assert, a library's assert, a check of a raised error, or a function of the file that does."""
    idle = []
    for path in (ROOT / "tests").rglob("test_*.py"):
        functions = {
            node.name: ast.dump(node)
            for node in ast.walk(ast.parse(path.read_text()))
            if isinstance(node, ast.FunctionDef)
        }
        signs = ("Assert(", "'raises'", "attr='assert_", "'warns'")
        checking = {name for name, dump in functions.items() if any(sign in dump for sign in signs)}
        for _ in functions:
            checking |= {
                name
                for name, dump in functions.items()
                if any(f"Name(id='{other}'" in dump for other in checking)
            }
        idle += [f"{path.name}::{n}" for n in functions if n.startswith("test_") and n not in checking]
    assert not idle


def test_no_file_names_a_machine_or_a_registry() -> None:
    forbidden = ["/" + name + "/" for name in ("root", "tmp", "home", "work")]
    forbidden += ["py" + "pi.org", "python" + "hosted", "npm" + "js", "deb." + "debian"]
    for name in tracked():
        if name.endswith((".png", ".jpg", ".pdf", ".xlsx")):
            continue
        text = (ROOT / name).read_text(encoding="utf-8")
        assert not [word for word in forbidden if word in text], name


WRITES_MARKUP = {"charts/svg.py"}
"""Modules whose subject is markup: a drawing is made of elements."""

FINDS_MARKUP = {"pages/pocket/__init__.py"}
"""Modules that find an element in a page that they made."""


def test_no_markup_stands_in_strings() -> None:
    """Markup stands in `pages/look` and `writers/look`; docstrings and doctests show it."""
    found = []
    files = {path.relative_to(ROOT / "lifecycle").as_posix(): path for path in ROOT.glob("lifecycle/**/*.py")}
    assert files.keys() > WRITES_MARKUP | FINDS_MARKUP
    for name in sorted(files.keys() - WRITES_MARKUP - FINDS_MARKUP):
        tree = ast.parse(files[name].read_text(encoding="utf-8"))
        said = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in said:
                tag = re.search(r"(?<!\(\?P)</?[a-z]\w*( [^>]*)?/?>|<[a-z]+ [a-z-]+=", node.value)
                found += [f"{name}:{node.lineno} {tag[0]}"] if tag else []
    assert not found


NAMES = {
    "use strict",
    "mark full",
    "upkeep:",
    "not sure",
    "when it must",
    "worn out",
    "under",
    "keep under",
    "change under",
}
"""Names in scripts that hold a blank: an answer, and ways that nobody reads."""

COMMANDS = {"lifecycle new --answers answers.toml ours.toml\nlifecycle compare ours.toml"}
"""What a template shows to be copied."""


def _texts_of_script(text: str) -> Iterator[str]:
    """Go through the texts of a script that hold a blank beside a word; faults are for who programs."""
    text = re.sub(r"/\*.*?\*/|^\s*//.*?$|Error\(.*?\)", "", text, flags=re.DOTALL | re.MULTILINE)
    for found in re.finditer(r"'([^'\n]*)'|\"([^\"\n]*)\"|`([^`]*)`", text):
        said = re.sub(r"\$\{.*?\}+", "", "".join(filter(None, found.groups())))
        spoken = (
            " " in said and re.search("[A-Za-z]{2}", said) and not re.search(r"[.#\[=>{_][A-Za-z({ ]", said)
        )
        if spoken and said.strip() not in NAMES:
            yield said


def _texts_of_template(text: str) -> Iterator[str]:
    """Go through what a template says between its tags."""
    text = re.sub(r"{#.*?#}|<(style|script)\b.*?</\1>|{{.*?}}|{%.*?%}", "", text, flags=re.DOTALL)
    for said in re.split(r"<[^>]*>|[\w-]+=\"\"", text):
        if re.search(r"[A-Za-z]{2,}", re.sub(r"&\w+;", "", said)) and said not in COMMANDS:
            yield said


def test_scripts_and_templates_have_no_words_of_their_own() -> None:
    """What a page says stands in `data/words`."""
    kinds = {"*.js": _texts_of_script, "*.html": _texts_of_template, "*.j2": _texts_of_template}
    files = [(path, texts) for kind, texts in kinds.items() for path in ROOT.glob(f"lifecycle/**/{kind}")]
    found = [(path.name, said) for path, texts in files for said in texts(path.read_text(encoding="utf-8"))]
    assert len(files) > 10 and not found


TWICE = {
    "set for the example", "low ... likely ... high", "cost in today's money", "what you would do otherwise",
    "What may be said", "taken off and put back", "highest price worth paying",
    "pays if you keep it at least ... years", "16 of 20 from", "16 of 20 futures", "cheaper in, of 20",
}  # fmt: skip
"""Heads of columns, names in a list or among choices, words of lower rooms: with the same letters twice."""


def _said_in(table: Any) -> Iterator[str]:
    """Go through the texts of a file of words."""
    if isinstance(table, str):
        yield table
    elif isinstance(table, dict | list):
        for one in table.values() if isinstance(table, dict) else table:
            yield from _said_in(one)


def test_a_sentence_stands_in_one_file_of_words() -> None:
    """Four words or more, gaps counted, are a sentence."""
    files: dict[str, set[str]] = {}
    for path in ROOT.glob("lifecycle/data/words/*.toml"):
        for said in _said_in(tomllib.loads(path.read_text(encoding="utf-8"))):
            if len(said.split()) >= 4:
                files.setdefault(said, set()).add(path.stem)
    assert len(files) > 1000 and {said for said, places in files.items() if len(places) > 1} == TWICE


def test_sizes_and_colours_of_pages_have_names() -> None:
    """Only `tokens.css` says a colour or a pixel; a condition on the width of the screen can take no name."""
    sheets = [one for one in ROOT.glob("lifecycle/pages/*/*.css") if one.stem != "tokens"]
    found = []
    for sheet in sheets:
        text = re.sub(r"/\*.*?\*/|@media[^{]*", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)
        found += [
            (sheet.name, one) for one in re.findall(r"[\d.]+px|#[0-9a-f]{3,8}\b(?=[;\s])|rgba?\(", text)
        ]
    assert len(sheets) >= 3 and not found
