"""The page about records, made from the metadata that reads them.

Lecture
-------
What a table of records may hold, what its words mean and what a column map may say stands once, in
`records.toml`, from which records are read. This page is made of it; nobody writes it by hand. To write it
anew::

    python -m lifecycle.answers.records_page > scenarios/records/README.md
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Any

from lifecycle.files import data
from lifecycle.language.sentences import say, words
from lifecycle.quantities import FieldInfo
from lifecycle.records.columns import REFERENCE, layout


def page() -> str:
    """Return the page."""
    return "\n".join([words("records_page.introduction"), *_kinds(), words("records_page.map"), *_map()])


def _kinds() -> Iterator[str]:
    """Give a section for each kind of file."""
    raw = data("records.toml")
    for kind in raw["kinds"].values():
        yield f"## {kind['title']}\n\n{kind['asks']}\n\n    {kind['command']}\n"
        yield say("records_page.columns")
        for name in (*kind["needs"], *kind["may"]):
            yield _column(name, raw, needed=name in kind["needs"])
        yield f"\n```csv\n{kind['example'].strip()}\n```\n"


def _column(name: str, raw: dict[str, Any], *, needed: bool) -> str:
    """Return the row of a column."""
    entry = raw["columns"][name]
    known = raw["words"].get(name)
    more = [say("records_page.one_of", words=", ".join(known["words"]))] if known else []
    required = [say("records_page.required")] if needed else []
    help_ = " ".join([*required, *more, entry["help"]]).strip()
    return f"| `{name}` | {entry['label']} | {help_} |"


def _map() -> Iterator[str]:
    """Give a table for each section of a column map."""
    fields = layout()
    for section, one in fields["map"].items():
        if one.kind == "table" and section in fields:
            if section == "columns":
                continue
            yield f"### [{section}]\n\n{one.label.capitalize()}. {one.help}".rstrip() + "\n"
            yield say("records_page.entries")
            yield from (_entry(entry) for entry in fields[section].values())
            yield ""
        else:
            yield f"`{section}`: {one.label}. {one.help}".rstrip() + _choices(one) + "\n"
    yield say("records_page.reference", reference=REFERENCE)


def _entry(one: FieldInfo) -> str:
    """Return the row of an entry of a column map."""
    default = say("records_page.if_not_said", default=one.default) if one.default != "none" else ""
    return f"| `{one.name}` | {one.label} | {(one.help + _choices(one) + default).strip()} |"


def _choices(one: FieldInfo) -> str:
    """Return what may be chosen."""
    return say("records_page.one_of_choices", choices=", ".join(one.choices)) if one.choices else ""


if __name__ == "__main__":
    sys.stdout.write(page() + "\n")
