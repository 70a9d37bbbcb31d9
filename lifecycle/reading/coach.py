"""Reading the coach: its dimensions, what goes through its roof, and what coating it takes.

Lecture
-------
Dimensions, penetrations and the reference coach are inputs: joint leaks and punctures depend on them.
Weights of the label, coating and sealant are figures, but no inputs: the comparison does not depend
on them. What is not stated of the reference, of a penetration's size and of the material is a shared
figure; two penetrations of one kind that nobody measured share it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lifecycle.quantities import Figure
from lifecycle.reading.numbers import read_number, read_on_shared
from lifecycle.reading.reader import Reader, Table
from lifecycle.scenario import Stated, StatedCoach, StatedPenetration, Use

LIMITS = ("gross_rating", "cargo_capacity")
"""Weights of the label."""


def read_coach(reader: Reader) -> StatedCoach | None:
    """Read the coach.

    Parameters
    ----------
    reader : Reader
        Notes the faults.

    Returns
    -------
    StatedCoach or None
        None where the file has none; without numbers after a fault in a dimension.
    """
    if "coach" not in reader.own:
        return None
    raw = reader.table(reader.own["coach"], "coach", "coach")
    before = len(reader.faults)
    uses = read_on_shared(reader, raw, "coach", "coach")
    fine = len(reader.faults) == before
    limits = {name: reader.figures[use.path] for name, use in uses.items() if name in LIMITS}
    numbers: dict[str, Stated] = {name: use for name, use in uses.items() if fine and name not in LIMITS}
    through = None
    if "penetrations" in raw:
        through = tuple(
            one
            for where, entry in reader.tables(raw["penetrations"], "coach.penetrations")
            if (one := _penetration(reader, entry, where)) is not None
        )
    deck = reader.text(raw["deck"], "coach.deck") if "deck" in raw else None
    return StatedCoach(numbers, through, deck or "", limits, _figures(reader, raw.get("material", {})))


def _figures(reader: Reader, raw: Any) -> Mapping[str, Figure]:
    """Read coating and sealant."""
    place = "coach.material"
    uses = read_on_shared(reader, reader.table(raw, place, "material"), place, "material")
    return {name: reader.figures[use.path] for name, use in uses.items()}


def _penetration(reader: Reader, entry: Table, place: str) -> StatedPenetration | None:
    """Read openings or fixtures of one kind; None after a fault."""
    fields = reader.fields["penetrations"]
    known = reader.table(entry, place, "penetrations")
    fate = reader.choice(known["fate"], f"{place}.fate", fields["fate"].choices) if "fate" in known else None
    own: dict[str, Use | None] = {
        name: read_number(reader, known[name], f"{place}.{name}", fields[name])
        for name in ("count", "length", "width")
        if name in known
    }
    if not reader.required(known, "penetrations", place, instead={}):
        return None
    kind = reader.choice(known["kind"], f"{place}.kind", fields["kind"].choices)
    if kind is None or None in own.values():
        return None
    numbers: dict[str, Stated] = {"count": 1.0}
    numbers |= {name: use for name, use in own.items() if use is not None}
    return StatedPenetration(kind, fate or fields["fate"].default, numbers | _usual(reader, kind, own))


def _usual(reader: Reader, kind: str, own: Mapping[str, Use | None]) -> dict[str, Stated]:
    """Return the usual size of a kind where it was not measured; a kind without width is round.

    Of a kind that is not round, with a length and no width, the width is the length.
    """
    usual, fields = reader.shared["fixtures"][kind], reader.fields["penetrations"]
    found: dict[str, Stated] = {}
    for name in ("length", "width"):
        if name in own or name not in usual:
            continue
        if name == "width" and own.get("length") is not None:
            found[name] = own["length"] or 0.0
            continue
        use = read_number(reader, usual[name], f"coach.fixtures.{kind}.{name}", fields[name], shared=True)
        if use is not None:
            found[name] = use
    return found
