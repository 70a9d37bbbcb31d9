"""The reference page of scenario files, made from the field metadata and the shared data.

Lecture
-------
What a name in a scenario means stands once, in the field metadata. This page is made of it, and of
the shared figures, roofs and plans; nobody writes it by hand. To write it anew::

    python -m lifecycle.answers.reference > scenarios/README.md

Left out: what the figures imply together, which `lifecycle figures` prints.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from typing import Any

from lifecycle import files
from lifecycle.climate import DRIVERS
from lifecycle.kinds import COVERINGS
from lifecycle.language.sentences import say, words
from lifecycle.quantities import BASES, FieldInfo, convert, number_text


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
    missing = "**required**" if field.required else field.default
    marks = [word for word, is_so in (("range", field.ranged), ("telephone", field.by_telephone)) if is_so]
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
        return ", ".join(["; ".join(spans) + (", whole" if field.whole else ""), *chosen])
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
    lines = [*words("reference.plans"), "|---|---|---|---|"]
    for name, plan in plans.items():
        jobs = (_jobs(plan[covering]) for covering, kind in COVERINGS.items() if kind.kept_as == covering)
        lines.append(f"| `{name}` | {plan['title']} | {' | '.join(jobs)} |")
    return "\n".join([*lines, ""])


def _jobs(visits: Iterable[Mapping[str, Any]]) -> str:
    """Return the jobs of a plan in a few words."""
    jobs = (say("reference.job", name=visit["name"], months=visit["every"]) for visit in visits)
    return ", ".join(jobs) or "nothing"


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


def main() -> None:
    """Write the page to standard output."""
    sys.stdout.write(reference_page())


if __name__ == "__main__":
    main()
