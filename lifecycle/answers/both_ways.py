"""Figures that come from the shop, in sentences: how many, which, and the verdict both ways.

Lecture
-------
First how many figures somebody said who gains by them, mostly the shop; then which of the tool's own were
changed here; then the verdict as stated and with the tool's own instead; then what could not be replaced.
Where the owner is not sure of the price, or of what they would do otherwise, there is no verdict to give both
ways.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from lifecycle.evaluation.comparison import Comparison
from lifecycle.language.labels import cheaper_or_dearer, input_name, listed
from lifecycle.language.sentences import say
from lifecycle.language.words import many_of_20
from lifecycle.quantities import Figure
from lifecycle.studies.both_ways import BothWays, Stand, both_ways
from lifecycle.studies.doubt import Doubt, of_20
from lifecycle.studies.verdict import not_sure

NAMED = 6
"""Figures that are named at most; of more the number is said."""


def offer_lines(comparison: Comparison, doubt: Doubt | None) -> tuple[str, ...]:
    """Say which figures come from somebody who gains by them, and give the verdict both ways."""
    if comparison.subject is None or not comparison.ways or doubt is None:
        return ()
    return both_ways_lines(comparison, both_ways(comparison, doubt))


def both_ways_lines(comparison: Comparison, found: BothWays) -> tuple[str, ...]:
    """Put offered and changed figures, and the verdict both ways, into words."""
    return tuple(_lines(comparison, found))


def _lines(comparison: Comparison, found: BothWays) -> Iterator[str]:
    """Go through the sentences."""
    yield _counted("claims.offers", found.offers) if found.offers else say("claims.offers.none")
    changed = [figure for figure in found.changed if figure not in found.offers]
    if changed:
        yield _counted("claims.changed", changed)
    if not found.offers:
        return
    currency = comparison.scenario.currency
    verdict = not any(not_sure(comparison.scenario, asked) for asked in ("otherwise", "quote"))
    if verdict:
        yield say("claims.offers.as_stated", stand=stand_text(found.as_stated, currency))
    if verdict and found.with_own is not None:
        names = some_named(figure for figure in found.offers if figure.path in found.own)
        yield say(
            "claims.offers.with_own",
            names=names,
            stand=stand_text(found.with_own, currency),
        )
    if found.stay:
        yield say("claims.offers.stay", names=some_named(found.stay))


def _counted(sentence: str, figures: Sequence[Figure]) -> str:
    """Count and name figures."""
    if len(figures) == 1:
        return say(f"{sentence}.one", names=some_named(figures))
    return say(f"{sentence}.many", number=len(figures), names=some_named(figures))


def some_named(figures: Iterable[Figure], most: int = NAMED) -> str:
    """Name figures; of many the first, and how many more there are."""
    names = list(dict.fromkeys(map(input_name, figures)))
    more = [say("claims.more", number=len(names) - most)] if len(names) > most else []
    return listed([*names[:most], *more])


def stand_text(stand: Stand, currency: str = "") -> str:
    """Say how a way stands, in a word and figures.

    Examples
    --------
    >>> stand_text(Stand("probably cheaper", 2417.0, 0.76)), stand_text(Stand("dearer", -800.0, None))
    ('probably cheaper, about 2,400 cheaper; cheaper in 15 of 20 futures', 'dearer, about 800 dearer')
    """
    slots = {"word": stand.word, "middle": cheaper_or_dearer(stand.middle, currency)}
    if stand.chance is None:
        return say("claims.offers.stand", **slots)
    return say("claims.offers.stand_often", **slots, often=many_of_20(of_20(stand.chance)))


def both_ways_result(found: BothWays) -> dict[str, Any]:
    """Return offered and changed figures, and the verdict both ways, as plain data."""
    return {
        "offers": [figure.path for figure in found.offers],
        "changed": [figure.path for figure in found.changed],
        "stay": [figure.path for figure in found.stay],
        "as_stated": _stand_result(found.as_stated),
        "with_own": None if found.with_own is None else _stand_result(found.with_own),
    }


def _stand_result(stand: Stand) -> dict[str, Any]:
    """Return a stand as plain data."""
    number = None if stand.chance is None else of_20(stand.chance)
    return {"word": stand.word, "middle": stand.middle, "of_20": number}
