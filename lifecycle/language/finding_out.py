"""Worth finding out: what doubt says of calls, looks and settling things, in sentences.

Lecture
-------
Worth is what knowing would save on average, so it is the most that finding out may cost.

Left out: what asking costs; the next step (`verdict`).
"""

from __future__ import annotations

from collections.abc import Mapping

from lifecycle.language.labels import input_name, value_text
from lifecycle.quantities import Figure, about
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.knowing import Call, Stretch

GROUP_WORDS = {
    "price": "prices",
    "life": "how long roofs last",
    "leak": "how often leaks start",
    "looks": "how well looks find leaks",
    "damage": "what leaks cost",
    "money": "rates, insurance and warranty",
    "owner": "what your time is worth",
    "place": "size of the coach and where it stands",
    "years kept": "how long you will keep it",
}
"""Groups of inputs, in words."""

TOGETHER = "together"
"""Stands for what inputs do together, among the shares of the doubt."""


def named(figure: Figure) -> str:
    """Return the name of an input within a sentence."""
    return f"the {input_name(figure)}"


def percent(share: float) -> str:
    """Return a share as whole percent.

    Examples
    --------
    >>> percent(0.766), percent(0.004)
    ('77 %', 'less than 1 %')
    """
    whole = round(100.0 * share)
    return f"{whole} %" if whole else "less than 1 %"


def askable_share(found: Assessment) -> float:
    """Return the share of the doubt that lies in numbers one can ask for. [-]"""
    if found.knowing is None:
        return 0.0
    inputs = found.scenario.inputs
    return sum(
        share
        for path, share in found.knowing.share_by_input.items()
        if path in inputs and inputs[path].field.by_telephone
    )


def _dearest_first(worth: Mapping[str, float]) -> list[tuple[str, float]]:
    """Return inputs with some worth, the largest first."""
    return sorted(((path, value) for path, value in worth.items() if value > 0.0), key=lambda one: -one[1])


def worth_lines(found: Assessment) -> list[str]:
    """Say what finding out is worth: everything, by group, the best calls, a look, and what follows."""
    if found.knowing is None:
        return []
    knowing = found.knowing
    if knowing.total < 0.5:
        return ["Nothing is worth finding out: the same way is the cheapest in every future."]
    lines = [
        f"Knowing everything before choosing among all these ways would save {about(knowing.total)}, on "
        "average. So no call, no look and no study is worth more than that."
    ]
    groups = [
        f"{GROUP_WORDS.get(name, name)} {about(worth)}"
        for name, worth in _dearest_first(knowing.by_group)
        if worth >= 0.5
    ]
    if groups:
        lines.append(f"Knowing one kind of thing is worth up to: {'; '.join(groups)}.")
    lines += [_call(call, found) for call in found.calls]
    if sum(call.figure.field.group == "price" for call in found.calls) > 1:
        lines.append("  Prices move together: one that is high hints that the others are.")
    if not found.calls:
        lines.append("- No single number that one can ask for by telephone would change the choice.")
    if knowing.look is not None:
        lines.append(f"- A look before signing, up there and inside: {_look(knowing.look)}")
    return lines


def _call(call: Call, found: Assessment) -> str:
    """Say what to ask for, what it is worth, and what follows from the answer."""
    worth = f"- Ask for {named(call.figure)}: worth up to {about(call.worth)}."
    return f"{worth} {what_follows(call, found)}".rstrip()


def what_follows(call: Call, found: Assessment) -> str:
    """Say which way is the cheapest on average by the answer to a call."""
    if len(call.stretches) < 2:
        return ""
    numbers = way_numbers(found)
    first, *rest = call.stretches
    parts = [f"Up to about {_end(first, call, found)} take {numbers[first.way]}"]
    for stretch in rest:
        where = "above it" if stretch.up_to is None else f"to {_end(stretch, call, found)}"
        parts.append(f"{where} {numbers[stretch.way]}")
    return f"{', '.join(parts)}."


def _end(stretch: Stretch, call: Call, found: Assessment) -> str:
    """Return the end of a stretch with its unit."""
    return value_text(call.figure, float(f"{stretch.up_to or 0.0:.2g}"), found.scenario)


def way_numbers(found: Assessment) -> dict[str, str]:
    """Return the number of each way, as it stands in every table."""
    return {name: f"[{place}]" for place, name in enumerate(found.doubt.names, start=1)}


def _look(worth: float) -> str:
    """Say what a look is worth."""
    if worth < 0.5:
        return "what it finds would not change the choice; it may still spare a later leak."
    return f"worth up to {about(worth)}. Do not pay more for it only to choose."
