"""Files below `scenarios` that are made, never written by hand: two pages of reference, and invented records.

Lecture
-------
What a name in a scenario, a column of a table or an entry of a column map means stands once, in the metadata
by which it is read; the pages are made of that, and of the shared figures, roofs, plans and places. After a
change of these, or of the model, write all anew; tests say when one is out of date::

    python -m lifecycle.cli.generated scenarios

Left out: what the figures imply together, which `lifecycle figures` prints.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from lifecycle import files
from lifecycle.climate import DRIVERS
from lifecycle.files import data
from lifecycle.kinds import COVERINGS
from lifecycle.language.sentences import say, words
from lifecycle.quantities import BASES, FieldInfo, convert, number_text
from lifecycle.records.columns import REFERENCE, layout


def reference_page() -> str:
    """Return the reference page of scenario files."""
    fields, shared = files.fields(), files.shared()
    said = words("reference")
    parts = [said["introduction"], said["every_name"], said["marks"]]
    for name, (heading, sentence) in said["sections"].items():
        parts.append(_section(heading, sentence, fields[name].values()))
    parts += [_shared_figures(shared), _plans(shared["plans"]), _places(shared["places"])]
    return "\n".join(parts)


def _section(heading: str, sentence: str, fields: Iterable[FieldInfo]) -> str:
    """Return the heading and the table of one section."""
    lines = [
        f"### `{heading}`" if "[" in heading or "." in heading else f"### {heading}",
        "",
        sentence,
        "",
        say("reference.heads"),
        "|---|---|---|---|---|---|",
        *(_row(field) for field in fields),
        "",
    ]
    return "\n".join(lines)


def _row(field: FieldInfo) -> str:
    """Return the row of one name."""
    term = f" ({field.term})" if field.term != field.label else ""
    meaning = f"{field.label}{term}" + (f": {field.help}" if field.help else "")
    missing = say("reference.required") if field.required else field.default
    marks = [say(f"reference.mark.{name}") for name in ("ranged", "by_telephone") if getattr(field, name)]
    cells = (f"`{field.name}`", meaning, _unit(field), _allowed(field), missing, ", ".join(marks))
    return f"| {' | '.join(cells)} |"


def _unit(field: FieldInfo) -> str:
    """Return the unit of a field; both where US and metric ones differ."""
    if field.unit_us != field.unit_metric:
        return f"{field.unit_us}; {field.unit_metric}"
    return field.unit


def _allowed(field: FieldInfo) -> str:
    """Say what may stand for a field."""
    chosen = [f'"{word}"' for word in (*field.choices, *field.words)]
    if field.kind in ("number", "table") and field.high < float("inf"):
        ends = tuple(dict.fromkeys((field.low, field.high)))
        spans = [
            " to ".join(number_text(convert(end, field.unit, unit), 4) for end in ends)
            for unit in dict.fromkeys((field.unit_us, field.unit_metric))
        ]
        return ", ".join(["; ".join(spans) + (say("reference.whole") if field.whole else ""), *chosen])
    return ", ".join(part for part in (words("reference.kinds")[field.kind], *chosen) if part)


def _shared_figures(shared: Mapping[str, Any]) -> str:
    """Return the table of the shared figures, by their paths."""
    lines = [*words("reference.shared"), "|---|---|---|---|---|"]
    for section in ("study", "owner", "leaks", "figures", "coach", "climate"):
        lines += [_figure(f"{section}.{name}", value) for name, value in shared[section].items()]
    beside = {"material": "coach.material", "cooling": "climate.cooling", "costing": "costing"}
    for section, place in beside.items():
        lines += [_figure(f"{place}.{name}", value) for name, value in shared[section].items()]
    for kind, sizes in shared["fixtures"].items():
        lines += [_figure(f"coach.fixtures.{kind}.{name}", value) for name, value in sizes.items()]
    for roof, numbers in shared["roofs"].items():
        lines += [_figure(f"roofs.{roof}.{name}", value) for name, value in numbers.items()]
    return "\n".join([*lines, ""])


def _figure(path: str, value: Any) -> str:
    """Return the row of one shared figure, or of a word that stands with a roof."""
    if isinstance(value, str):
        return f'| `{path}` | | "{value}" | | |'
    if not isinstance(value, Mapping):
        return f"| `{path}` | | {number_text(value)} | | {BASES[4]} |"
    likely = value.get("likely", value.get("value"))
    cells = ["" if end is None else number_text(end) for end in (value.get("low"), likely, value.get("high"))]
    return f"| `{path}` | {' | '.join(cells)} | {value['basis']} |"


def _plans(plans: Mapping[str, Any]) -> str:
    """Return the table of the shared upkeep plans."""
    kept = [name for name, kind in COVERINGS.items() if kind.kept_as == name]
    heads = "".join(say("reference.on", covering=COVERINGS[name].label) for name in kept)
    lines = ["\n".join(words("reference.plans")) + heads, f"|---|---|{'---|' * len(kept)}"]
    for name, plan in plans.items():
        jobs = (_jobs(plan[covering]) for covering in kept)
        lines.append(f"| `{name}` | {plan['title']} | {' | '.join(jobs)} |")
    return "\n".join([*lines, ""])


def _jobs(visits: Iterable[Mapping[str, Any]]) -> str:
    """Return the jobs of a plan in a few words."""
    jobs = (say("reference.job", name=visit["name"], months=visit["every"]) for visit in visits)
    return ", ".join(jobs) or say("reference.nothing")


def _places(places: Mapping[str, Any]) -> str:
    """Return the table of places."""
    lines = [*words("reference.places"), "|---|---|---|---|---|---|---|"]
    for name, place in places.items():
        cells = " | ".join(_driver(place[driver]) for driver in DRIVERS)
        lines.append(f"| {name} | {place['zone']} | {cells} |")
    return "\n".join([*lines, ""])


def _driver(value: Mapping[str, Any]) -> str:
    """Return a driver of a place, marked if it is from memory."""
    likely = number_text(value.get("likely", value.get("value")))
    return likely if value["basis"] == "published" else f"{likely} m"


def records_page() -> str:
    """Return the page about records, from what the reader of records knows (`records.toml`)."""
    parts = [words("records_page.introduction"), *_kinds(), words("records_page.map"), *_map()]
    return "\n".join(parts) + "\n"


def _kinds() -> Iterator[str]:
    """Give a section for each kind of file."""
    raw = data("records.toml")
    for kind in raw["kinds"].values():
        yield f"## {kind['title']}\n\n{kind['asks']}\n\n    {kind['command']}\n"
        yield say("records_page.columns")
        for name in (*kind["needs"], *kind["may"]):
            yield _column(name, raw, kind)
        yield f"\n```csv\n{kind['example'].strip()}\n```\n"


def _column(name: str, raw: dict[str, Any], kind: dict[str, Any]) -> str:
    """Return the row of a column in one kind of file."""
    entry = {**raw["columns"][name], **kind.get("says", {}).get(name, {})}
    known = raw["words"].get(name)
    more = [say("records_page.one_of", words=", ".join(known["words"]))] if known else []
    required = [say("records_page.required")] if name in kind["needs"] else []
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


SEED, COACHES, JOBS, OLDEST = 2027, 300, 240, 15
"""Seed; coaches with looks; stripped roofs, and the highest age of one. [-, -, -, years]"""

PLANS = ("nothing", "only_looks", "shop_every_year")
"""Upkeep of the stripped roofs."""


def demo_files() -> dict[str, str]:
    """Return the invented records by name: all in them follows from `records.demo.Truth` and a seed."""
    import numpy as np

    from lifecycle.records.demo import demo_job_sheets, demo_looks, demo_weather, untidy
    from lifecycle.records.hidden import hidden_by_age
    from lifecycle.studies.implied import shipped_membrane

    generator = np.random.default_rng(SEED)
    looks = untidy(demo_looks(COACHES, generator), generator)
    model = hidden_by_age(shipped_membrane(), PLANS, 12 * OLDEST)
    sheets = demo_job_sheets(JOBS, model, generator)
    weather = demo_weather(np.random.default_rng(SEED))
    return {"looks.csv": looks, "job-sheets.csv": sheets, "daily-weather.csv": weather}


def generated() -> dict[str, str]:
    """Return the content of each generated file by its place below `scenarios`."""
    pages = {"README.md": reference_page(), "records/README.md": records_page()}
    return {**pages, **{f"records/{name}": text for name, text in demo_files().items()}}


def main(folder: str) -> None:
    """Write the files anew."""
    from lifecycle.files import write

    for name, text in generated().items():
        write(Path(folder) / name, text.encode())


if __name__ == "__main__":
    main(sys.argv[1])
