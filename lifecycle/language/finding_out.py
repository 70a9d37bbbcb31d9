"""Worth finding out: what doubt says of calls, looks and settling things, in sentences.

Lecture
-------
*The biggest number*: the input with the largest share of the doubt in the answer; whether one can ask
for it, settle it oneself, or nobody can tell.

*The next step* under doubt: whoever was not sure of an answer that decides much is sent there first.
Then the call that is worth most to somebody who chooses between the two ways of the verdict, if it is
worth enough to be named. Worth is what knowing would save on average, so it is the most that finding
out may cost.

Left out: what asking costs.
"""

from __future__ import annotations

from collections.abc import Mapping

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language import advice
from lifecycle.language.labels import input_name, value_text, years_text
from lifecycle.quantities import Figure, about
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.knowing import Call, Stretch

WORTH_NAMING = 0.005
"""Least worth of a call that is named, as a share of what the dearer way costs. [-]"""

SHARE_NAMED = 0.1
"""Least share of the doubt of a single number that is named. [-]"""

NEARLY_ALL = 0.95
"""Share from which on it is nearly all: shares of numbers that move together can add up to more. [-]"""

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


def biggest_number(found: Assessment) -> str | None:
    """Say which single number most of the doubt is.

    Parameters
    ----------
    found : Assessment
        With a subject.

    Returns
    -------
    str or None
        For instance "77 % of this doubt is one number that you can ask for: the price of the job (shop
        reseal)."; None if no number stands out.
    """
    if found.knowing is None:
        return None
    single = {path: share for path, share in found.knowing.share_by_input.items() if path != TOGETHER}
    path = max(single, key=lambda one: single[one], default=None)
    if path is None or single[path] < SHARE_NAMED:
        return None
    figure = found.scenario.inputs[path]
    share = "Nearly all" if single[path] >= NEARLY_ALL else percent(single[path])
    return f"{share} of this doubt is one number {_who_knows(figure)}: {named(figure)}."


def _who_knows(figure: Figure) -> str:
    """Say who can tell a number."""
    if figure.field.by_telephone:
        return "that you can ask for"
    return "that you can settle yourself" if figure.field.group == "owner" else "that nobody can tell you yet"


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


def next_step(comparison: Comparison, found: Assessment, *, dearer: float) -> str:
    """Return the best next step under doubt, as a sentence.

    Parameters
    ----------
    comparison : Comparison
        At likely values, with a subject.
    found : Assessment
        Its doubt.
    dearer : float
        Cost of the dearer of the two ways. [money]
    """
    if any(advice.not_sure(comparison, asked) for asked in ("trouble", "otherwise", "quote")):
        return advice.next_step(comparison)
    best = _dearest_first(found.pair_knowing)
    if not best or best[0][1] < WORTH_NAMING * dearer:
        return _nothing_to_ask(comparison, found)
    path, worth = best[0]
    figure = found.scenario.inputs[path]
    turning = next((swing for swing in comparison.swings if swing.figure.path == path), None)
    turns = advice.turning_sentence(turning, comparison) if turning else ""
    value = f"Between these two, knowing it is worth up to {about(worth)}."
    return " ".join(part for part in (f"Next: ask for {named(figure)}.", turns, value) if part)


def _nothing_to_ask(comparison: Comparison, found: Assessment) -> str:
    """Say that no call is worth much, and what the doubt hangs on."""
    years = next((s for s in comparison.swings if s.figure.field.name == "holding_period" and s.flips), None)
    if years is not None:
        kept = years_text(comparison.holding_period)
        turns = advice.turning_sentence(years, comparison)
        return f"Next: settle how long you will keep it; {kept} is assumed. {turns}".rstrip()
    return "Next: nothing that one could ask for would change the choice between these two by much."


def _dearest_first(worth: Mapping[str, float]) -> list[tuple[str, float]]:
    """Return inputs with some worth, the largest first."""
    return sorted(((path, value) for path, value in worth.items() if value > 0.0), key=lambda one: -one[1])


def worth_lines(found: Assessment) -> list[str]:
    """Say what finding out is worth: everything, by group, the best calls, a look, and what follows.

    Parameters
    ----------
    found : Assessment
        The whole of it.

    Returns
    -------
    list of str
        Sentences.
    """
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
    """Say which way is the cheapest on average by the answer to a call.

    Parameters
    ----------
    call : Call
        With its stretches.
    found : Assessment
        Gives titles and units.

    Returns
    -------
    str
        For instance "Up to about 600 take [2], to 900 [3], above it [5]."; empty if nothing changes.
    """
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
