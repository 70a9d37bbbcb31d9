"""The reference page of scenario files is fresh, whole and readable."""

from __future__ import annotations

from pathlib import Path

from lifecycle import files
from lifecycle.cli.generated import reference_page
from lifecycle.language.sentences import words

PAGE = Path(__file__).parents[2] / "scenarios" / "README.md"


def test_page_is_fresh() -> None:
    written = PAGE.read_text(encoding="utf-8")
    assert written == reference_page(), "run: python -m lifecycle.cli.generated scenarios"


def test_every_section_and_name_stands_on_the_page() -> None:
    page, fields, sections = reference_page(), files.fields(), words("reference.sections")
    assert set(sections) == set(fields)
    for section, names in fields.items():
        part = page.split(sections[section][0], 1)[1]
        for name, field in names.items():
            assert f"| `{name}` | {field.label}" in part, (section, name)


def test_every_shared_figure_and_plan_stands_on_the_page() -> None:
    page, shared = reference_page(), files.shared()
    for section in ("study", "owner", "leaks", "figures"):
        for name in shared[section]:
            assert f"| `{section}.{name}` |" in page
    for plan in shared["plans"]:
        assert f"| `{plan}` |" in page


def test_tables_have_as_many_cells_as_their_heads() -> None:
    cells = 0
    for line in reference_page().splitlines():
        if not line.startswith("|"):
            cells = 0
            continue
        count = line.count("|")
        cells = cells or count
        assert count == cells, line
