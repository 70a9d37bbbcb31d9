"""Pictures of twenty: the table of 20s, and twenty coaches.

Lecture
-------
People who do not read distributions read "12 of 20". So a chance p is shown as ``floor(20 p + 0.5)`` of
twenty, always twenty, in one order, filled from the left, and said both ways. None of twenty reads
"fewer than 1 in 40".

The *table of 20s* is doubt: in how many of 20 futures the change is cheaper, by what the owner would
do otherwise and by year of sale. *Twenty coaches* are luck: what happens to coaches like this one by
the last year that it is kept, every input at its likely value. The two are never in one picture. What is
rare and grave has a line of its own, in words.

Left out: how large a bill is.
"""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyBboxPatch, Rectangle

from lifecycle.charts.canvas import HEADING, MARGIN, POINTS, headline, lines_height, placed, wrapped, write
from lifecycle.charts.frame import NOTHING_COMPARED, Where, framed, heading, said_instead, title_of
from lifecycle.charts.palette import GROUND, INK, QUIET, SPRAY
from lifecycle.language.labels import SELDOM, listed, many_of_20, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import inner, money_text
from lifecycle.studies.assessment import Assessment
from lifecycle.studies.doubt import of_20
from lifecycle.studies.habits import Habits

TWENTY = 20

NO_LUCK = say("charts.twenties.no_luck")
"""What stands in place of twenty coaches where there are none."""

LABELS, ROW, HEAD = 2.35, 0.2, 0.42
"""Room for row titles; what is left between rows; height of the heads of the columns. [inch]"""


def table_of_20s(table: Habits, ax: Where = None) -> Axes:
    """Draw in how many of 20 futures the change is cheaper, by habit and year of sale.

    Parameters
    ----------
    table : Habits
        The table.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    titles = [wrapped(title, LABELS - 0.1) for title in table.titles.values()]
    rows = [max(lines_height(len(lines)), 0.42) + ROW for lines in titles]
    head, note = headline(_caption()), wrapped(say("doubt.twenties_note"))
    ax = framed(
        ax,
        describe_table_of_20s(table),
        height=sum(rows),
        below=lines_height(len(note)) + 2 * MARGIN,
        above=HEAD + 0.15 + lines_height(len(head), HEADING) + MARGIN,
    )
    width = _in_inches(ax, sum(rows))
    column = (width - LABELS) / len(table.years)
    for place, year in enumerate(table.years):
        middle = LABELS + (place + 0.5) * column
        write(ax, middle, 0.0, str(year), bold=True, across="center", by=ax.transData, shift=(0.0, 5.0))
    write(ax, 0.0, 0.0, say("labels.sold_after"), colour=QUIET, by=ax.transData, shift=(0.0, 5.0))
    top = 0.0
    for cells, lines, row in zip(table.of_20.values(), titles, rows, strict=True):
        ax.plot([0.0, width], [top, top], color=QUIET, linewidth=0.6, clip_on=False)
        write(ax, 0.0, top + row / 2.0, "\n".join(lines), up="center_baseline", by=ax.transData)
        for place, year in enumerate(table.years):
            _cell(ax, LABELS + place * column, top + row / 2.0, 0.8 * column, cells[year])
        top += row
    heading(ax, head, above=HEAD)
    down = -(MARGIN + lines_height(0.8)) * POINTS
    for number, line in enumerate(note):
        write(ax, 0.0, 0.0, line, colour=QUIET, shift=(0.0, down - lines_height(number) * POINTS))
    return ax


def _caption() -> str:
    """Return the heading of the table of 20s."""
    return say("doubt.twenties", change=inner(say("charts.twenties.change")))


def _in_inches(ax: Axes, height: float) -> float:
    """Let places on axes be inches from their upper left corner, and return their width. [inch]"""
    width = placed(ax)[2]
    ax.set(xlim=(0.0, width), ylim=(height, 0.0))
    ax.set_axis_off()
    return width


def _cell(ax: Axes, left: float, middle: float, width: float, number: int) -> None:
    """Draw a number of 20 with a bar that is filled as far."""
    write(ax, left + width / 0.8 / 2.0, middle - 0.02, str(number), across="center", by=ax.transData)
    corner, high, part = (left + 0.125 * width, middle + 0.05), 0.1, width * number / TWENTY
    ax.add_artist(Rectangle(corner, part, high, facecolor=SPRAY.colour, linewidth=0.0))
    ax.add_artist(Rectangle(corner, width, high, facecolor="none", edgecolor=INK, linewidth=0.8))


def describe_table_of_20s(table: Habits) -> str:
    """Say in one sentence what `table_of_20s` shows."""
    rows = [
        f"{table.titles[plan]}: {listed(str(number) for number in cells.values())}"
        for plan, cells in table.of_20.items()
    ]
    years = listed(str(year) for year in table.years)
    return say("doubt.twenties_alt", caption=_caption(), years=years, rows="; ".join(rows))


def twenty_coaches(found: Assessment, way: str, ax: Where = None) -> Axes:
    """Draw what happens to twenty coaches like this one under one way.

    Parameters
    ----------
    found : Assessment
        With luck; without it a sentence says so.
    way : str
        Name of the way.
    ax : Axes or None
        Where; None: on a picture of its own.

    Returns
    -------
    Axes
    """
    if found.scenario.trouble or way not in found.luck:
        return said_instead(NOTHING_COMPARED if found.scenario.trouble else NO_LUCK, ax)
    events = luck_sentences(found, way)
    head = headline(_coaches_heading(found, way))
    rows = [wrapped(said) for said, _ in events]
    heights = [
        lines_height(len(lines)) + (COACH + 0.16 if number is not None else 0.0) + 0.16
        for lines, (_, number) in zip(rows, events, strict=True)
    ]
    above = lines_height(len(head), HEADING) + 2 * MARGIN
    said, height = describe_twenty_coaches(found, way), sum(heights)
    ax = framed(ax, said, height=height, below=MARGIN, above=above)
    width, top = _in_inches(ax, height), 0.0
    for lines, (_, number), height in zip(rows, events, heights, strict=True):
        for count, line in enumerate(lines):
            write(ax, 0.0, top + lines_height(count + 0.85), line, by=ax.transData)
        if number is not None:
            under = top + lines_height(len(lines)) + 0.08
            for place in range(TWENTY):
                _coach(ax, place * width / TWENTY, under, 0.8 * width / TWENTY, filled=place < number)
        top += height
    heading(ax, head, above=MARGIN)
    return ax


COACH = 0.22
"""Height of a coach. [inch]"""


def _coach(ax: Axes, left: float, top: float, width: float, *, filled: bool) -> None:
    """Draw a coach: a box on two wheels, filled or not."""
    high = 0.72 * COACH
    body = FancyBboxPatch(
        (left, top),
        width,
        high,
        boxstyle="round,pad=0.0,rounding_size=0.04",
        facecolor=INK if filled else GROUND,
        edgecolor=INK,
        linewidth=1.0,
    )
    ax.add_artist(body)
    for share in (0.25, 0.75):
        wheel = Circle(
            (left + share * width, top + high), 0.042, facecolor=INK, edgecolor=GROUND, linewidth=1.2
        )
        ax.add_artist(wheel)


def luck_sentences(found: Assessment, way: str) -> list[tuple[str, int | None]]:
    """Say what happens to coaches under one way by the last year kept, each said both ways.

    Parameters
    ----------
    found : Assessment
        With luck.
    way : str
        Name of the way.

    Returns
    -------
    list of (str, int or None)
        Sentence, and so many of twenty; none where it is rare and only said.
    """
    luck, year = found.luck[way], max(1, int(found.doubt.years + 1e-9))
    bill = money_text(found.large_bill, found.scenario.currency)
    events = {
        "leak": luck.chance_of_leak,
        "new_roof": luck.chance_of_new_roof,
        "bill": luck.chance_of_large_bill,
    }
    said: list[tuple[str, int | None]] = []
    for name, chances in events.items():
        chance, slots = float(chances[year]), {"bill": bill} if name == "bill" else {}
        one, many = (say(f"charts.twenties.{name}.{form}", **slots) for form in ("one", "many"))
        said.append((both_ways(chance, one, many), of_20(chance)))
    gone = float(luck.chance_of_severe_find[year])
    seldom = gone < SELDOM
    grave = say("charts.twenties.deck_gone", many=one_in(gone) if seldom else many_of_20(of_20(gone)))
    return [(say("charts.twenties.luck"), None), *said, (grave, None if seldom else of_20(gone))]


def both_ways(chance: float, one: str, many: str) -> str:
    """Say a chance as so many of twenty, and how many not.

    Parameters
    ----------
    chance : float
        [-]
    one, many : str
        What happens, of one coach and of several.

    Returns
    -------
    str

    Examples
    --------
    >>> both_ways(0.2, "leaks", "leak"), both_ways(0.05, "leaks", "leak")
    ('4 leak, 16 do not.', '1 leaks, 19 do not.')
    >>> both_ways(0.01, "leaks", "leak"), both_ways(0.99, "leaks", "leak")
    ('Fewer than 1 in 40 leaks.', 'All but fewer than 1 in 40 leak.')
    """
    number = of_20(chance)
    if number == 0:
        return say("charts.twenties.under_1", what=one)
    if number == TWENTY:
        return say("charts.twenties.over_39", what=many)
    rest = TWENTY - number
    form = "one_not" if rest == 1 else "many_not"
    return say(f"charts.twenties.{form}", number=number, what=one if number == 1 else many, rest=rest)


def one_in(chance: float) -> str:
    """Say a rare chance as one of so many.

    Examples
    --------
    >>> one_in(0.005), one_in(0.0)
    ('1 of 200', 'fewer than 1 of 1,000')
    """
    if chance < 0.001:
        return say("charts.twenties.under_1000")
    return say("charts.twenties.one_of", many=f"{round(1.0 / chance):,}")


def _coaches_heading(found: Assessment, way: str) -> str:
    """Return the heading of twenty coaches."""
    years = years_text(max(1, int(found.doubt.years + 1e-9)))
    return say("charts.twenties.title", way=title_of(found, way), years=years)


def describe_twenty_coaches(found: Assessment, way: str) -> str:
    """Say in one sentence what `twenty_coaches` shows."""
    said = " ".join(sentence for sentence, _ in luck_sentences(found, way))
    return f"{_coaches_heading(found, way)}. {said}"
