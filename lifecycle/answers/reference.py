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
from lifecycle.quantities import BASES, FieldInfo, convert, number_text

INTRODUCTION = """# Scenario files

<!-- Made from the field metadata by `python -m lifecycle.answers.reference`; do not edit. -->

A scenario is a TOML file that says what stands on a coach, how it is looked after, and what may be
done about it. The files of this folder are examples to read and to change. `lifecycle compare FILE`
answers one; whatever is wrong with it is said all at once, with the line.

Worked examples 1 to 4 hold the computation against printed answers and describe no real coach.
Places, shops and prices of the others are invented.

## A number

Wherever a number may stand, a file may say one of these:

```toml
patch_cost = 350                                                              # bare
patch_cost = { value = 350, basis = "offer", note = "said on the telephone" } # with its basis
patch_cost = { low = 200, likely = 350, high = 900, basis = "judgement" }     # a range
patch_cost = "small_repair"                                                   # a figure of [figures]
```

A bare number has the basis of the file: `judgement`, with the note "entered without basis", unless
the file says `basis = "demo"` or another at its top. A named figure, or one that is taken over from
another roof or from the shared data, is one input wherever it is used. A figure of the shared data
that a file states anew keeps the tool's own beside it.

Basis: `published` (needs a `source`), `practice` (common practice, no source), `record` (somebody
wrote it down), `offer` (said by somebody who gains by it), `judgement`, `demo` (set for an example).

Shape of a range: `pert` (if none is said) and `triangular` run from low to high and are most likely
at likely; `uniform` runs from low to high, and likely is the middle; `normal` has its mean at
likely, with one in ten below low and one in ten above high as far as the width says; `lognormal`
has its median at likely.

## What is taken over

- `[study]`, `[owner]` and `[leaks]` with `like = "shared"` take what they do not state from the
  shared data below; without it, what is not stated is as the tables say.
- `[roofs.X]` with `like = "Y"` takes everything of roof Y but what it states. Y is another roof of
  the file, else a shared roof. X may be like the shared roof of its own name.
- A shared roof that is like another is like the *shared* one: what a file states of its own membrane
  does not change the shared coating.
- `leak_ratio` multiplies the joint, age and puncture leaks that are taken over, and only those. A
  roof that is like the shared roof of its own name replaces that roof's ratio.
- Of `life_scale` and `life_mean`, `joint_leaks_first_year` and `joint_leaks_ten_years`, `sign_rate`
  and `sign_years` one may stand; it replaces whichever was taken over.
- A roof's own `visits` replace all jobs of its plan. A coating that says nothing of upkeep gets the
  plan of what you would do otherwise, so that it is looked at as often and as well; if that roof has
  jobs of its own, each job that finds leaks becomes a look at the coating.
- The end of a plan (`plan_ends`) goes with the plan: a roof that states jobs or a plan of its own does
  not take it over.
- With `climbs = false` ways are left out whose jobs need your own hours.
"""

SECTIONS: Mapping[str, tuple[str, str]] = {
    "scenario": ("At the top", "Before any section."),
    "figure": ("A number's table", "What may stand in the braces of a number."),
    "study": ("[study]", "Years and rates."),
    "owner": ("[owner]", "How long, and what your time is worth."),
    "leaks": ("[leaks]", "How leaks show, hurt and are paid for."),
    "roofs": ("[roofs.NAME]", "A roof under an upkeep plan."),
    "visits": (
        "[[roofs.NAME.visits]]",
        "An upkeep job; also in `[[roofs.NAME.visits_after]]`, `[[existing.past_visits]]` and in plans.",
    ),
    "plans": ("[plans.NAME]", "An upkeep plan of your own."),
    "existing": ("[existing]", "The roof that stands today."),
    "hidden_now": ("existing.hidden_now", "An entry of the list."),
    "opened": (
        "[existing.opened]",
        "What was found when trouble was opened; then the ways are compared again, and every answer says so.",
    ),
    "meter": (
        "[existing.meter]",
        "What a moisture meter read on the deck, place by place. Dry readings thin what may be hidden; they"
        " are no proof.",
    ),
    "readings": ("[[existing.meter.readings]]", "What it read at one place."),
    "alternatives": ("[alternatives.NAME]", "A way that you may decide for."),
    "loan": ("[loan]", "A loan that pays for a change today."),
    "coach": (
        "[coach]",
        "The coach, measured. Joint leaks and punctures are then those of a coach of this size; without it"
        " the figures of the roofs hold as written.",
    ),
    "penetrations": ("[[coach.penetrations]]", "Openings or fixtures of one kind and size."),
    "material": ("[coach.material]", "What the coating and the sealant take; not used in the comparison."),
    "climate": (
        "[climate]",
        "Where the coach stands. Ageing, joint leaks, punctures and rot are then those of this place;"
        " without it the figures of the roofs hold as written.",
    ),
    "places": ("climate.places", "An entry of the list."),
    "cooling": ("[climate.cooling]", "What cooling costs; not used in the comparison."),
    "quotes": (
        "[quotes.NAME]",
        'A quote. With `quote = "NAME"` a way costs what its items add up to, less the discount, with tax and'
        " trip; `lifecycle quote` asks whether it is complete and will hold.",
    ),
    "items": (
        "[[quotes.NAME.items]]",
        "An item of a quote; also in `[entries.NAME]` of a price list, without amount and entry.",
    ),
    "prices": ("A price list", "At the top of a file of its own, which a quote names with `prices`."),
    "found": ("What was found", "A file of its own, for `lifecycle quote FILE --found FOUND.toml`."),
    "costing": (
        "[costing]",
        "What a job costs a shop, to see whether a price can be true; not in the comparison.",
    ),
    "correlations": ("[[correlations]]", "Two inputs that go together."),
    "answers": ("[answers]", "Answers to the seven questions, as given; written by `lifecycle new`."),
}
"""Heading and sentence of each section of the field metadata, in the order of the page."""


def reference_page() -> str:
    """Return the reference page of scenario files."""
    fields, shared = files.fields(), files.shared()
    parts = [INTRODUCTION, "## Every name\n"]
    parts.append(
        "**Required** names have no default. *Range*: may be `{ low, likely, high }`. *Telephone*: one can"
        " ask a shop or an insurer for it.\n"
    )
    parts += [_section(name, fields[name].values()) for name in SECTIONS]
    parts += [_shared_figures(shared), _plans(shared["plans"]), _places(shared["places"])]
    return "\n".join(parts)


def _section(name: str, fields: Iterable[FieldInfo]) -> str:
    """Return the heading and the table of one section."""
    heading, sentence = SECTIONS[name]
    lines = [
        f"### `{heading}`" if "[" in heading or "." in heading else f"### {heading}",
        "",
        sentence,
        "",
        "| name | what it is | unit | allowed | if not stated | |",
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
    words = [f'"{word}"' for word in (*field.choices, *field.words)]
    if field.kind in ("number", "table") and field.high < float("inf"):
        ends = tuple(dict.fromkeys((field.low, field.high)))
        spans = [
            " to ".join(number_text(convert(end, field.unit, unit), 4) for end in ends)
            for unit in dict.fromkeys((field.unit_us, field.unit_metric))
        ]
        return ", ".join(["; ".join(spans) + (", whole" if field.whole else ""), *words])
    kinds = {
        "number": "a number",
        "text": "a text",
        "flag": "true or false",
        "date": "a date",
        "name": "a name",
        "list": "a list",
        "table": "a table",
        "loose": "as you like",
        "choice": "",
    }
    return ", ".join(part for part in (kinds[field.kind], *words) if part)


def _shared_figures(shared: Mapping[str, Any]) -> str:
    """Return the table of the shared figures, by their paths."""
    lines = [
        "## Shared data",
        "",
        "What a file takes over with `like`, or by the name of a figure. Every line is an assumption; its",
        "note stands in the register that `lifecycle figures` prints.",
        "",
        "| input | low | likely | high | basis |",
        "|---|---|---|---|---|",
    ]
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
    lines = [
        "## Shared upkeep plans",
        "",
        "| plan | in words | on a membrane | on a coating |",
        "|---|---|---|---|",
    ]
    for name, plan in plans.items():
        jobs = (_jobs(plan[covering]) for covering, kind in COVERINGS.items() if kind.kept_as == covering)
        lines.append(f"| `{name}` | {plan['title']} | {' | '.join(jobs)} |")
    return "\n".join([*lines, ""])


def _jobs(visits: Iterable[Mapping[str, Any]]) -> str:
    """Return the jobs of a plan in a few words."""
    return ", ".join(f"{visit['name']} each {visit['every']} months" for visit in visits) or "nothing"


def _places(places: Mapping[str, Any]) -> str:
    """Return the table of places."""
    units = "sun GJ/m2 | air F | freeze-thaw days | wet days | hail days"
    lines = [
        "## Table of places",
        "",
        "What `[climate]` may name. By the year; m: from memory, or judgement for another reason. The mean",
        "of these places is the reference climate, in which the shared figures of the roofs hold as written.",
        "",
        f"| place | zone (m) | {units} |",
        "|---|---|---|---|---|---|---|",
    ]
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
