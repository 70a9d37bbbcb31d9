"""Worth finding out: what doubt says of calls, looks and settling things, in sentences.

Lecture
-------
Worth is what knowing would save on average, so it is the most that finding out may cost.

Left out: what asking costs; the next step (`verdict`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lifecycle.language.labels import about, the_input, value_text
from lifecycle.language.sentences import say, words
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.value_of_information import Call, Stretch

TOGETHER = "together"
"""Stands for what inputs do together, among the shares of the doubt."""


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


def worth_lines(found: Assessment) -> Iterator[tuple[str, bool]]:
    """Say what finding out is worth: everything, by group, the best calls, a look, and what follows.

    Each line with whether it is one of a list: what one may do.
    """
    if found.knowing is None:
        return
    knowing, currency = found.knowing, found.scenario.currency
    if knowing.total < 0.5:
        yield say("finding_out.nothing"), False
        return
    yield say("finding_out.everything", money=about(knowing.total, currency)), False
    groups = [
        f"{words('finding_out.kinds').get(name, name)} {about(worth)}"
        for name, worth in _dearest_first(knowing.by_group)
        if worth >= 0.5
    ]
    if groups:
        yield say("finding_out.groups", currency=currency, groups="; ".join(groups)), False
    yield from ((_call(call, found), True) for call in found.calls)
    if sum(call.figure.field.group == "price" for call in found.calls) > 1:
        yield say("finding_out.together"), False
    if not found.calls:
        yield say("finding_out.no_call"), True
    if knowing.look is not None:
        yield say("finding_out.look", what=_look(knowing.look, currency)), True


def _call(call: Call, found: Assessment) -> str:
    """Say what to ask for, what it is worth, and what follows from the answer."""
    worth = say(
        "finding_out.call",
        figure=the_input(call.figure),
        money=about(call.worth, found.scenario.currency),
    )
    return f"{worth} {what_follows(call, found)}".rstrip()


def what_follows(call: Call, found: Assessment) -> str:
    """Say which way is the cheapest on average by the answer to a call."""
    if len(call.stretches) < 2:
        return ""
    numbers = way_numbers(found)
    first, *rest = call.stretches
    parts = [say("finding_out.up_to", end=_end(first, call, found), way=numbers[first.way])]
    for stretch in rest:
        where = (
            say("finding_out.above")
            if stretch.up_to is None
            else say("finding_out.to", end=_end(stretch, call, found))
        )
        parts.append(f"{where} {numbers[stretch.way]}")
    return f"{', '.join(parts)}."


def _end(stretch: Stretch, call: Call, found: Assessment) -> str:
    """Return the end of a stretch with its unit."""
    return value_text(call.figure, float(f"{stretch.up_to or 0.0:.2g}"), found.scenario)


def way_numbers(found: Assessment) -> dict[str, str]:
    """Return the number of each way, as it stands in every table."""
    return {name: f"[{place}]" for place, name in enumerate(found.doubt.names, start=1)}


def _look(worth: float, currency: str) -> str:
    """Say what a look is worth."""
    if worth < 0.5:
        return say("finding_out.look_for_nothing")
    return say("finding_out.look_worth", money=about(worth, currency))
