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
from lifecycle.quantities import FieldInfo
from lifecycle.records.columns import REFERENCE, layout

INTRODUCTION = """# Records

<!-- Made from the metadata of records by `python -m lifecycle.answers.records_page`; do not edit. -->

Records of your own take the place of judgement: how long roofs last, how often joints leak, what stripped
roofs hid, what climate it is. The files of this folder are INVENTED, drawn from the model itself.

    lifecycle records scenarios/records/looks.csv --columns scenarios/records/looks-columns.toml --for joints

## Tables

A table is CSV, separated by commas, semicolons or tabs, in UTF-8, plain or packed (`.csv.gz`). Its first row
names the columns; capitals make no difference. A text with a separator in it stands in quotation marks, a
decimal is written with a point. A row with more or fewer cells than names, a name that stands twice, and a
last line that is cut off are refused with their lines. Only the columns that are asked for are read; names of
coaches are replaced by numbers, and days by months.
"""

MAP = """## The column map

A TOML file (`--columns`) says what your columns and words mean. Without one a table must use the names and
words above. Whatever is wrong with a map is said all at once, with the line.

```toml
[columns]            # our name = the name in the file
coach = "unit"
seen = "result"

[seen]               # words for what was seen
fine = ["ok"]
end = ["replaced"]
blank = "fine"       # what an empty cell means: it must be said

[dates]
forms = ["m/d/y"]    # 3/4/2021 is in March

[records]
place = "Miami"      # where they stand: taken out of the figures before these go into a scenario
length = 34
```
"""


def page() -> str:
    """Return the page."""
    return "\n".join([INTRODUCTION, *_kinds(), MAP, *_map()])


def _kinds() -> Iterator[str]:
    """Give a section for each kind of file."""
    raw = data("records.toml")
    for kind in raw["kinds"].values():
        yield f"## {kind['title']}\n\n{kind['asks']}\n\n    {kind['command']}\n"
        yield "| column | holds | |\n|---|---|---|"
        for name in (*kind["needs"], *kind["may"]):
            yield _column(name, raw, needed=name in kind["needs"])
        yield f"\n```csv\n{kind['example'].strip()}\n```\n"


def _column(name: str, raw: dict[str, Any], *, needed: bool) -> str:
    """Return the row of a column."""
    entry = raw["columns"][name]
    words = raw["words"].get(name)
    more = [f"One of {', '.join(words['words'])}."] if words else []
    help_ = " ".join([*(["Required."] if needed else []), *more, entry["help"]]).strip()
    return f"| `{name}` | {entry['label']} | {help_} |"


def _map() -> Iterator[str]:
    """Give a table for each section of a column map."""
    fields = layout()
    for section, one in fields["map"].items():
        if one.kind == "table" and section in fields:
            if section == "columns":
                continue
            yield f"### [{section}]\n\n{one.label.capitalize()}. {one.help}".rstrip() + "\n"
            yield "| name | says | |\n|---|---|---|"
            yield from (_entry(entry) for entry in fields[section].values())
            yield ""
        else:
            yield f"`{section}`: {one.label}. {one.help}".rstrip() + _choices(one) + "\n"
    yield (
        f'`place` and `length` may be "{REFERENCE}": so many places, or coaches, that the tool\'s reference '
        "stands for them. Without them figures are shown, and not written into a scenario: place and size "
        "are in them already and would count twice."
    )


def _entry(one: FieldInfo) -> str:
    """Return the row of an entry of a column map."""
    default = f" If not said: {one.default}." if one.default != "none" else ""
    return f"| `{one.name}` | {one.label} | {(one.help + _choices(one) + default).strip()} |"


def _choices(one: FieldInfo) -> str:
    """Return what may be chosen."""
    return f" One of: {', '.join(one.choices)}." if one.choices else ""


if __name__ == "__main__":
    sys.stdout.write(page() + "\n")
