"""What the notebook on the method shows, one thing a call.

Lecture
-------
The notebook holds words only. Each call here returns a picture with its sentence, a table, or a text. All
are about one shipped scenario, or the one that the page was opened with, every figure at its likely value
but for the picture of doubt.

Left out: the working out (`studies.explained`, `studies.agreement`, `records.published`).
"""

from __future__ import annotations

from functools import cache
from html import escape
from typing import TYPE_CHECKING

from lifecycle.charts.small import SmallPicture, on_a_page
from lifecycle.kinds import CATEGORIES

if TYPE_CHECKING:
    import pandas

    from lifecycle.records.published import Published
    from lifecycle.scenario import Scenario
    from lifecycle.studies.agreement import Agreement, Line

EXAMPLE = "humid-coast-motorhome"
"""The shipped scenario that is shown."""

COUNT_LABELS = {"leaks": "leaks", "severe finds": "decks gone", "renewals": "new roofs"}
"""Plain name of what is counted."""


class Paragraphs:
    """A text that a page breaks by itself, and a notebook shows as it is laid out.

    Parameters
    ----------
    text : str
        Paragraphs with an empty line between them.
    """

    def __init__(self, text: str) -> None:
        self.text = text

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        """Return the text; for a page as paragraphs."""
        if on_a_page():
            parts = "".join(f"<p>{escape(part)}</p>" for part in self.text.split("\n\n"))
            return {"text/html": parts, "text/plain": self.text}
        return {"text/plain": self.text}


@cache
def scenario() -> Scenario:
    """Return the scenario that is shown."""
    from lifecycle import files
    from lifecycle.pages.server import given_scenario
    from lifecycle.places import scenario_path

    return files.load(given_scenario() or scenario_path(EXAMPLE))


@cache
def _printed() -> dict[str, Published]:
    """Return every printed source, worked out once."""
    from lifecycle.records.published import published

    return {one.key: one for one in published()}


@cache
def _both() -> Agreement:
    """Return the two evaluations beside each other, worked out once."""
    from lifecycle.studies.agreement import agreement

    return agreement(scenario())


def shown() -> Paragraphs:
    """Say which scenario the pictures are of."""
    return Paragraphs(f"The pictures are of: {scenario().title}.")


def step(name: str) -> SmallPicture:
    """Draw one step of the model.

    Parameters
    ----------
    name : str
        One of `studies.explained.STEPS`.

    Returns
    -------
    SmallPicture
    """
    from lifecycle.charts.explained import step as drawn
    from lifecycle.studies.explained import STEPS

    return SmallPicture(drawn(STEPS[name](scenario())))


def futures() -> SmallPicture:
    """Draw what nobody knows for sure: the spread of the answer over the default number of futures."""
    from lifecycle.charts import savings_spread
    from lifecycle.studies.assessment import brief

    return SmallPicture(savings_spread(brief(scenario())))


def printed(name: str) -> SmallPicture:
    """Redraw a printed source beside its printed numbers.

    Parameters
    ----------
    name : str
        An entry of `data/published.toml`.

    Returns
    -------
    SmallPicture
    """
    from lifecycle.charts.published import published_numbers

    return SmallPicture(published_numbers(_printed()[name]))


def sources() -> Paragraphs:
    """Say where each printed number stands, and how it is known."""
    from lifecycle.answers.published import source_sentence
    from lifecycle.language.lines import wrapped

    return Paragraphs("\n\n".join(wrapped(map(source_sentence, _printed().values()))))


def differences() -> pandas.DataFrame:
    """Return printed numbers, our own, and how far they are apart."""
    from lifecycle.answers.published import difference_table

    return difference_table(_printed().values())


def both_ways_of_working_it_out() -> SmallPicture:
    """Draw exact averages against lives drawn by chance."""
    from lifecycle.charts.agreement import agreement_dots

    return SmallPicture(agreement_dots(_both()))


def both_as_a_table() -> pandas.DataFrame:
    """Return the lines of what the owner would do otherwise and of the change, worked out both ways."""
    import pandas

    found, case = _both(), scenario()
    titles = [way.title for way in case.alternatives if way.base_case or way.subject] or [
        case.alternatives[0].title
    ]
    rows = {
        (line.way, _named(line, case.currency)): {
            "exact average": f"{line.expected:,.{_decimals(line)}f}",
            "lives by chance": f"{line.mean:,.{_decimals(line)}f}",
            "give or take": f"{line.error:,.{_decimals(line)}f}",
            "standard errors apart": f"{line.apart:+.1f}",
        }
        for line in found.lines
        if line.way in titles
    }
    table = pandas.DataFrame.from_dict(rows, orient="index")
    table.index = pandas.MultiIndex.from_tuples(list(rows), names=["way", "line"])
    return table


def _named(line: Line, currency: str) -> str:
    """Return the plain name of a line with its unit.

    Examples
    --------
    >>> from lifecycle.studies.agreement import Line
    >>> _named(Line("any", "upkeep: reseal", 1.0, 1.0, 1.0), "USD")
    'upkeep: reseal, USD'
    >>> _named(Line("any", "severe finds", 1.0, 1.0, 1.0), "USD")
    'decks gone, number'
    """
    if line.name in COUNT_LABELS:
        return f"{COUNT_LABELS[line.name]}, number"
    category, between, job = line.name.partition(": ")
    label = CATEGORIES[category].label if category in CATEGORIES else category
    return f"{label}{between}{job}, {currency}"


def _decimals(line: Line) -> int:
    """Decimals shown: counts are small."""
    return 3 if line.name in COUNT_LABELS else 2
