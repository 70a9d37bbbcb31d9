"""What a good job does, step by step; and at its end, before the owner drives off: is the film as promised?

Lecture
-------
The list follows the steps of the job and prints (`data/words/checklist.toml`), each line with its reason and
its basis: a rule or standard by its name, from memory, the maker's sheet, or common practice without a
source. What must work and be on paper at the hand-over is said once (`data/handover.toml`) and stands in both
answers.

Left out: what a shop must do by the law of its state.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lifecycle.answers.blocks import (
    Answer,
    Block,
    Drawing,
    Handwriting,
    Heading,
    Items,
    Rest,
    Sentence,
    Table,
    charted,
)
from lifecycle.answers.shared import SCHEMA, Told, fields_of, made_by
from lifecycle.files import data
from lifecycle.language.labels import counted, listed
from lifecycle.language.sentences import say, words
from lifecycle.quantities import number_text
from lifecycle.records.handover import READINGS, SPOT_SHARE, FilmCheck

LISTS = ("works", "papers")
"""Lists of what to check, by their names in the data."""


def handover_answer(check: FilmCheck, unit: str) -> Answer:
    """Put the film check and the list of what to check into blocks and plain data."""
    chart = Drawing(charted("plans:film_plan", check, unit))
    lists: list[Block] = []
    for name in LISTS:
        lists += [Heading(say(f"handover.{name}")), Items(entries(name))]
    rows = tuple((spot.name, str(len(spot.readings)), number_text(spot.mean, 4)) for spot in check.spots)
    spots = Table(tuple(words("handover.heads")), rows, say("handover.spots"), numbers=(1, 2))
    where = tuple(_where_not(check, unit))
    blocks = (
        Sentence(film_sentence(check, unit), "verdict"),
        *((Items(where),) if where else ()),
        Sentence(rule(), "note"),
        *lists,
        Rest(),
        spots,
        chart,
    )
    return Answer(say("handover.title"), "", blocks, _data(check, unit), chart)


def entries(name: str) -> tuple[str, ...]:
    """Return a list of what to check, by its name in the data."""
    return tuple(say("handover.entry", **entry) for entry in data("handover.toml")[name])


def film_sentence(check: FilmCheck, unit: str) -> str:
    """Say whether the film is accepted."""
    if not check.judged:
        return say("handover.not_judged", spots=counted(len(check.spots), "spot"), readings=READINGS)
    failed = check.thin or check.area_thin
    said = "accepted" if check.accepted else "not_accepted" if failed else "not_all_judged"
    return say(
        f"handover.{said}",
        spots=counted(len(check.judged), "spot"),
        mean=number_text(check.mean, 4),
        unit=unit,
        film=number_text(check.specified, 4),
    )


def rule() -> str:
    """Say by which rule a film is accepted, and how it is known."""
    return say("handover.rule", readings=READINGS, share=f"{100.0 * SPOT_SHARE:.0f}")


def _where_not(check: FilmCheck, unit: str) -> Iterator[str]:
    """Say where the film is not as promised."""
    if check.area_thin:
        yield say("handover.area_thin", film=number_text(check.specified, 4), unit=unit)
    if check.thin:
        spots = listed(f"{spot.name} {number_text(spot.mean, 4)}" for spot in check.thin)
        yield say("handover.thin", least=number_text(check.least, 4), unit=unit, spots=spots)
    if check.incomplete:
        spots = listed(f"{spot.name} ({len(spot.readings)})" for spot in check.incomplete)
        yield say("handover.incomplete", readings=READINGS, spots=spots)


def _data(check: FilmCheck, unit: str) -> dict[str, Any]:
    """Return the film check and the list as plain data."""
    found = data("handover.toml")
    return {
        "schema": SCHEMA,
        "unit": unit,
        **fields_of(check, "specified", "least", "mean", "accepted"),
        "judged": len(check.judged),
        "area_thin": check.area_thin,
        "thin": [spot.name for spot in check.thin],
        "incomplete": [spot.name for spot in check.incomplete],
        "spots": {
            spot.name: {"readings": list(spot.readings), "mean": spot.mean, "place": list(spot.place)}
            for spot in check.spots
        },
        "placed_by": check.placed_by,
        "rule": rule(),
        **{name: found[name] for name in LISTS},
        "made_by": made_by(None, "film readings", evaluated=False),
    }


BOX = "[ ] "
"""What is ticked by hand."""


def checklist(*, told: Told | None = None) -> Answer:
    """Put what a good job does into blocks and plain data; there is nothing to be told of."""
    steps, blocks = words("checklist.steps"), list[Block]()
    for number, step in enumerate(steps, start=1):
        blocks.append(Heading(f"{number} {step['title']}"))
        lines = [_line(item) for item in step["items"]]
        if step.get("handover"):
            lines += [line for name in ("works", "papers") for line in entries(name)]
        blocks.append(Items(tuple(f"{BOX}{line}" for line in lines), marks=False))
        if step.get("handover"):
            blocks.append(Sentence(say("checklist.handover"), "note"))
        if number == 1:
            blocks.append(Rest())
    data = {"schema": SCHEMA, "steps": steps, "made_by": made_by(None, "checklist", evaluated=False)}
    how, sign = Sentence(say("checklist.how"), "caution"), Handwriting(say("checklist.sign"), 2)
    return Answer(say("checklist.title"), "", (how, *blocks, sign), data)


def _line(item: Mapping[str, Any]) -> str:
    """Return what is done, why, and how that is known."""
    basis = say("checklist.practice") if item["basis"] == "practice" else item["basis"]
    return say("checklist.entry", what=item["what"], why=item["why"], basis=basis)
