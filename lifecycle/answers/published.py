"""Numbers that others printed beside what this tool works out in their place, source by source."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from lifecycle.answers.blocks import Answer, Block, Drawing, Rest, Sentence, Table, charted
from lifecycle.answers.parts import SCHEMA, Told, fields_of, made_by
from lifecycle.language.sentences import say, words
from lifecycle.records.published import Number, Published, published


def method(*, told: Told) -> Answer:
    """Work out what others printed, and put it beside ours."""
    told.step(say("published.working"))
    return published_answer(published())


def published_answer(found: Iterable[Published]) -> Answer:
    """Put printed sources beside our own numbers into blocks and plain data."""
    every, heads = tuple(found), tuple(words("published.heads"))
    counts = (
        (
            one.title,
            str(len(one.numbers)),
            str(sum(number.agrees for number in one.numbers)),
            f"{_apart(one.furthest):.2f}",
        )
        for one in every
    )
    sources = Table.of_numbers(words("published.source_heads"), counts)
    blocks: list[Block] = [Sentence(say("published.first")), sources, Rest()]
    for one in every:
        rows = tuple((number.name, *_cells(number)) for number in one.numbers)
        blocks += [
            Sentence(source_sentence(one)),
            Drawing(charted("method:published_numbers", one)),
            Table(heads, rows, numbers=(1, 2, 3, 4)),
        ]
    data = {
        "schema": SCHEMA,
        "sources": {
            one.key: {
                "source": one.source,
                "status": one.status,
                "numbers": [
                    fields_of(number, "name", "printed", "ours", "allowed", "agrees")
                    for number in one.numbers
                ],
            }
            for one in every
        },
        "made_by": made_by(None, evaluated=False),
    }
    return Answer(say("published.title"), "", tuple(blocks), data)


def source_sentence(found: Published) -> str:
    """Say where printed numbers stand, how they are known, and how many agree with ours."""
    slots = {name: getattr(found, name) for name in ("title", "says", "source", "status")}
    held = {"agree": sum(number.agrees for number in found.numbers), "number": len(found.numbers)}
    if not found.why:
        return say("published.source", **slots, **held)
    allowed = _written_out(found.numbers[0].allowed)
    return say("published.source_why", **slots, **held, allowed=allowed, why=found.why)


def _cells(number: Number) -> tuple[str, ...]:
    """Return a number as printed, ours, what is allowed, how far they are apart, and whether they agree."""
    digits = len(number.printed.partition(".")[2]) + 1
    return (
        number.printed,
        f"{round(number.ours, digits) + 0.0:.{digits}f}",
        _written_out(number.allowed),
        f"{_apart(number):.2f}",
        say("published.yes" if number.agrees else "published.no"),
    )


def _apart(number: Number) -> float:
    """Return how far the printed number and ours are apart, of what is allowed."""
    return abs(number.difference) / number.allowed


def _written_out(allowed: float) -> str:
    """Return a small number without a power of ten.

    Examples
    --------
    >>> _written_out(5e-05), _written_out(1.0)
    ('0.00005', '1')
    """
    return str(np.format_float_positional(allowed, precision=1, fractional=False, trim="-"))
