"""The ways side by side: by category of cost, what they cost, and what follows; as text and as rows.

Lecture
-------
On the terminal each way is a numbered column and each category a row, so that any number of ways
fits: wide tables go on below. Whole money stands in a table; only sentences are rounded. A minus
stands for money that comes in. *Cheaper by* and *dearer by* are rows of their own, so that no sign
has to be read.

The highest price worth paying is named for ways that lay another roof; for a way that keeps what
stands it would be the price of the same roof laid anew. The chance of an unplanned new roof is what
happens to one coach, as so many of 20.

For notebooks the same stands as rows, one for each way, with plain numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language.cautions import last_whole_year
from lifecycle.language.labels import CATEGORY_LABELS, LABELS, years_text
from lifecycle.language.lines import WIDTH, wrapped
from lifecycle.quantities import money_text
from lifecycle.studies.doubt import of_20

if TYPE_CHECKING:
    import pandas

NONE = "-"
"""Stands where there is nothing to say."""


@dataclass(frozen=True)
class Row:
    """One line of a table: its label, and a text for each way; `rule` draws a line above it."""

    label: str
    cells: tuple[str, ...]
    rule: bool = False


def ways_table(comparison: Comparison) -> str:
    """Return the ways side by side as plain text.

    Parameters
    ----------
    comparison : Comparison
        At likely values.

    Returns
    -------
    str
        A legend of the ways, and the table; several lines. With trouble, that nothing is compared.
    """
    if not comparison.ways:
        return "Nothing is compared."
    head = (
        f"{comparison.scenario.currency} in today's money, every figure at its likely value, if you keep it "
        f"{years_text(comparison.holding_period)}; a minus is money that comes in"
    )
    table = laid_out(_rows(comparison), len(comparison.ways))
    return "\n".join([*_legend(comparison), "", *wrapped([head]), "", *table])


def _legend(comparison: Comparison) -> list[str]:
    """Return the ways with their numbers."""
    remarks = {comparison.base_case: f"   ({LABELS['base case']})"}
    return [
        f"[{number}] {way.title}{remarks.get(name, '')}"
        for number, (name, way) in enumerate(comparison.ways.items(), start=1)
    ]


def _rows(comparison: Comparison) -> list[Row]:
    """Return the rows of the table; categories that are nothing in every way are left out."""
    ways = list(comparison.ways.values())
    rows = []
    for category, label in CATEGORY_LABELS.items():
        amounts = [way.by_category[category] for way in ways]
        if any(abs(amount) >= 0.5 for amount in amounts):
            rows.append(Row(label, tuple(map(money_text, amounts))))
    savings = [comparison.net_savings(way.name) for way in ways]
    year = last_whole_year(comparison)
    return [
        *rows,
        Row(LABELS["net-present cost"], tuple(money_text(way.at_holding) for way in ways), rule=True),
        Row("cheaper by", tuple(_if_above(amount) for amount in savings)),
        Row("dearer by", tuple(_if_above(-amount) for amount in savings)),
        Row(
            LABELS["break-even year"],
            tuple(_break_even(way, comparison.study_period) for way in ways),
        ),
        Row(LABELS["break-even price"], tuple(_highest_price(way) for way in ways)),
        Row(f"of 20 coaches, unplanned new roof by year {year}", tuple(_coaches(way, year) for way in ways)),
    ]


def _if_above(amount: float) -> str:
    """Return money above half a unit."""
    return money_text(amount) if amount >= 0.5 else ""


def _break_even(way: Way, study_period: int) -> str:
    """Return the break-even year."""
    if way.measures is None:
        return NONE
    year = way.measures.break_even_year.value
    return f"{year:.0f}" if year is not None else f"not in {study_period}"


def _highest_price(way: Way) -> str:
    """Return the highest price worth paying for the change."""
    if way.measures is None or way.keeps_what_stands:
        return NONE
    price = way.measures.break_even_price.value
    if price is None:
        return NONE
    return money_text(price) if price > 0.0 else "none"


def _coaches(way: Way, year: int) -> str:
    """Return the chance of an unplanned new roof as so many of 20."""
    number = of_20(float(way.chance_renewed[year]))
    return str(number) if number else "<1 in 40"


def laid_out(
    rows: Sequence[Row], columns: int, *, heads: Sequence[str] | None = None, corner: str = ""
) -> list[str]:
    """Lay rows out under numbered columns; what is too wide goes on below.

    Parameters
    ----------
    rows : sequence of Row
        Each with `columns` cells.
    columns : int
        Number of columns.
    heads : sequence of str or None
        What stands above each column; None: its number.
    corner : str
        What stands above the labels.

    Returns
    -------
    list of str
        Lines.

    Examples
    --------
    >>> laid_out([Row("leaks", ("1", "20"))], 2)
    ['       [1]  [2]', 'leaks    1   20']
    """
    above = list(heads) if heads is not None else [f"[{place + 1}]" for place in range(columns)]
    first = max(len(corner), *(len(row.label) for row in rows))
    column = 2 + max(3, *(len(cell) for cells in (above, *(row.cells for row in rows)) for cell in cells))
    abreast = max(1, (WIDTH - first) // column)
    lines: list[str] = []
    for start in range(0, columns, abreast):
        some = range(start, min(start + abreast, columns))
        lines += [""] if lines else []
        lines.append(corner.ljust(first) + "".join(above[place].rjust(column) for place in some))
        for row in rows:
            if row.rule:
                lines.append("-" * (first + column * len(some)))
            cells = "".join(row.cells[place].rjust(column) for place in some)
            lines.append((row.label.ljust(first) + cells).rstrip())
    return lines


def cheapest_lines(comparison: Comparison) -> list[str]:
    """Return the cheapest of all ways, and the cheapest way of keeping what stands.

    Parameters
    ----------
    comparison : Comparison
        At likely values.

    Returns
    -------
    list of str
        Two lines; empty with trouble.
    """
    if comparison.cheapest is None:
        return []
    lines = [f"Cheapest of all: {_named(comparison, comparison.cheapest)}"]
    keeping = comparison.cheapest_way_of_keeping
    found = _named(comparison, keeping) if keeping else "none of these ways keeps it"
    return [*lines, f"Cheapest way of keeping the roof that stands: {found}"]


def _named(comparison: Comparison, name: str) -> str:
    """Return a way by its title, with its cost."""
    way = comparison.ways[name]
    return f"{way.title}, {money_text(way.at_holding, comparison.scenario.currency)}"


def records(comparison: Comparison) -> list[dict[str, Any]]:
    """Return the ways as rows of plain numbers, one for each way.

    Parameters
    ----------
    comparison : Comparison
        At likely values.

    Returns
    -------
    list of dict
        Title under "way", categories and measures under their plain labels; None where there is no
        answer.
    """
    year = last_whole_year(comparison)
    rows = []
    for way in comparison.ways.values():
        measures = way.measures
        keeps = way.keeps_what_stands or measures is None
        rows.append(
            {
                LABELS["alternative"]: way.title,
                **{CATEGORY_LABELS[name]: amount for name, amount in way.by_category.items()},
                LABELS["net-present cost"]: way.at_holding,
                LABELS["net savings"]: measures.at_holding if measures else None,
                LABELS["break-even year"]: measures.break_even_year.value if measures else None,
                LABELS["break-even price"]: None
                if keeps or not measures
                else measures.break_even_price.value,
                f"chance of an unplanned new roof by year {year}": float(way.chance_renewed[year]),
            }
        )
    return rows


def frame(comparison: Comparison) -> pandas.DataFrame:
    """Return the ways as a data frame for notebooks, one column for each way.

    Parameters
    ----------
    comparison : Comparison
        At likely values.

    Returns
    -------
    pandas.DataFrame
        Rows as in `records`, without categories that are nothing in every way; columns are titles.
    """
    import pandas

    table = pandas.DataFrame(records(comparison))
    if table.empty:
        return table
    nothing = [label for label in CATEGORY_LABELS.values() if table[label].abs().max() < 0.5]
    return table.drop(columns=nothing).set_index(LABELS["alternative"]).T
