"""Trouble in words: what to open and whom to call; and, once it was opened or measured, what was found.

Lecture
-------
Trouble is a path: stay off, have it opened, say what was found, compare again. While it is closed the path
stands beside the answer; afterwards every answer and every paper tells that there was trouble and what was
found, so that nobody reads a comparison without knowing it. It stands by itself, for the verdict, the papers
and the pages all tell it.

Left out: what the findings do to the figures (`reading.existing`).
"""

from __future__ import annotations

from lifecycle.language.labels import counted, listed
from lifecycle.language.sentences import say, words
from lifecycle.quantities import money_text, number_text
from lifecycle.scenario import Meter, Opened, Seen


def path_lines(seen: Seen, *, to_shop: bool = False) -> tuple[str, ...]:
    """Say what to do about trouble that nobody has opened yet; nothing where there is none.

    A shop is not told whom to call, and what to do with this tool.

    Examples
    --------
    >>> path_lines(Seen(("bubble",)))[1]
    'Bubble: open the covering at the bubble: is it water, or only loose glue?'
    """
    if not seen.stops:
        return ()
    what = words("trouble.what")
    opened = [
        say("trouble.open", sign=f"{sign[0].upper()}{sign[1:]}", what=what[sign]) for sign in seen.stops
    ]
    names = ("keep",) if to_shop else ("call", "insurer", "keep", "then")
    after = (say(f"trouble.{name}") for name in names)
    return (say("trouble.stay_off"), *opened, *after)


def found_lines(seen: Seen, currency: str | None = None) -> tuple[str, ...]:
    """Say what was found where trouble was opened, and what a meter read; without a currency no cost.

    Examples
    --------
    >>> for line in found_lines(Seen(("stain",), Opened("wet", "one panel", 640.0)), "USD"):
    ...     print(line)
    There was trouble: stain. It was opened, and the wood was wet; repaired: one panel.
    That cost 640 USD, the same whichever way is taken, so it is in no comparison here.
    >>> found_lines(Seen())
    ()
    """
    lines = [] if seen.opened is None else _opened(seen.signs, seen.opened, currency)
    return (*lines, *([] if seen.meter is None else _meter(seen.meter)))


def _opened(signs: tuple[str, ...], opened: Opened, currency: str | None) -> list[str]:
    """Say what was found where it was opened."""
    done = {"repaired": opened.repaired} if opened.repaired else {}
    form = "opened_dry_done" if done and opened.found == "dry" else f"opened_{opened.found}"
    said = [say(f"trouble.{form}", signs=listed(signs), **done)]
    if opened.cost is not None and currency is not None:
        said.append(say("trouble.cost", money=f"{money_text(opened.cost)} {currency}"))
    return said


def _meter(meter: Meter) -> list[str]:
    """Say what a moisture meter read."""
    kind = f" ({meter.kind})" if meter.kind else ""
    readings = listed(f"{place} {number_text(percent)}" for place, percent in meter.readings)
    slots = {
        "kind": kind,
        "readings": readings,
        "limit": number_text(meter.limit),
        "places": counted(len(meter.readings), "place"),
    }
    if meter.wet:
        return [say("trouble.meter_wet", wet=len(meter.wet), **slots)]
    values = [percent for _, percent in meter.readings]
    low, high = number_text(min(values)), number_text(max(values))
    said = [say("trouble.meter", low=low, high=high, **slots)]
    if unsure := len(meter.readings) - len(meter.dry):
        at = {"places": counted(unsure, "place"), "wood": number_text(meter.wood)}
        said.append(say("trouble.high_limit", limit=slots["limit"], **at))
    return [*said, say("trouble.no_proof")]
