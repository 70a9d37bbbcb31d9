"""How sure is this? The answer of a study of doubt as plain text.

Lecture
-------
First the verdict, as a comparison gives it. Then what each way costs and how it stands against what
the owner would do otherwise, for a few years of sale: the mean, what 8 in 10 futures lie between, and
so many of 20. Then who is cheapest, who beats whom, and the table of 20s by what you would do
otherwise. Twenty futures are always twenty: so many of 20 that share them out add up to 20.

*Luck* stands by itself and is named: twenty coaches, not twenty futures. Then what a wrong choice
costs, what is worth finding out, and where the doubt comes from.

Where no input is a range there are no futures to count, and only costs and luck are shown.

Money in tables is rounded to two significant digits, for no figure behind it is known better.

Left out: percentiles and indices by name, which are for analysts (see the result file).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from lifecycle.answers.shared import rounded_signed
from lifecycle.answers.tables import Row, laid_out
from lifecycle.language.finding_out import (
    TOGETHER,
    askable_share,
    biggest_number,
    percent,
    way_numbers,
    worth_lines,
)
from lifecycle.language.labels import HEADINGS, LABELS, counted, listed, rounded, years_text
from lifecycle.language.lines import blocks, wrapped
from lifecycle.language.sureness import few_draws
from lifecycle.language.words import NO_QUOTE, NO_SINGLE, Verdict, many_of_20, shared_out
from lifecycle.studies.assessment import Assessment, Luck
from lifecycle.studies.doubt import Band, of_20

Renewed: TypeAlias = Mapping[str, NDArray[np.float64]]
"""Chance of an unplanned new roof by way and year. [-]"""

YEARS = (3, 5, 10, 15)
"""Years of sale shown besides the years kept, as far as the study goes. [years]"""

COLUMNS = 4
"""Years of sale shown at most."""

ENDS = "0: fewer than 1 in 40; 20: more than 39 in 40"
"""How the ends of so many of 20 read."""

QUITE_SURE, FAIRLY_SURE = 18, 15
"""So many of 20 futures on one side are called quite and fairly sure."""

BASIS_WORDS = {
    "published": "published figures",
    "practice": "common practice",
    "record": "records",
    "offer": "what the seller says",
    "judgement": "judgement",
    "demo": "figures set for the example",
    TOGETHER: "figures acting together",
}
"""Where figures come from, in words."""


def doubt_text(found: Assessment, verdict: Verdict, exact: Renewed | None = None) -> str:
    """Return the whole answer as plain text.

    Parameters
    ----------
    found : Assessment
        The whole of it.
    verdict : Verdict
        Under this doubt.
    exact : mapping of str to ndarray, shape (years + 1,), or None
        Chance of an unplanned new roof by way and year, as the expectation has it; None: as drawn. [-]

    Returns
    -------
    str
        Many lines.
    """
    of_futures = [
        _savings(found),
        _cheapest(found),
        _pairs(found),
        _table_of_20s(found),
    ]
    of_choosing = [_losses(found), _worth(found), _shares(found)]
    sure = found.any_doubt
    return blocks(
        [HEADINGS["doubt"], found.scenario.title],
        wrapped([first_sentence(found, verdict)]),
        wrapped(verdict.lines),
        _legend(found),
        _costs(found),
        *(of_futures if sure else []),
        _luck(found, exact or {}),
        *(of_choosing if sure else []),
    )


def first_sentence(found: Assessment, verdict: Verdict) -> str:
    """Say in one sentence what was done about what nobody knows.

    Parameters
    ----------
    found : Assessment
        Any.
    verdict : Verdict
        Under this doubt; where an answer is missing nothing is sure or unsure.

    Returns
    -------
    str
    """
    drawn = found.doubt.futures
    ranged = len(drawn.sample.values)
    if not ranged:
        return (
            "Every input stands at one value, so nothing here says how sure this is: give a range to every "
            "figure that you are not sure of."
        )
    few = few_draws(found)
    sentences = [
        few or ("" if verdict.parts.word in (NO_QUOTE, NO_SINGLE) else _how_sure(found)),
        f"Nobody knows {counted(ranged, 'figure')} of this comparison for sure: so it was made "
        f"{drawn.sample.draws:,} times, each time with a set of figures that could all be true (a future), "
        "the same for all ways.",
    ]
    return " ".join(sentence for sentence in sentences if sentence)


def _how_sure(found: Assessment) -> str:
    """Say how sure it is which of the two ways of the verdict is cheaper."""
    if found.subject is None:
        return ""
    number, title = of_20(found.doubt.chance_cheaper(found.subject)), _titles(found)[found.subject]
    wins, word = (number, "cheaper") if number >= 10 else (20 - number, "dearer")
    sure = "Quite sure" if wins >= QUITE_SURE else "Fairly sure" if wins >= FAIRLY_SURE else "Not sure"
    return f'{sure}: in {many_of_20(wins)} futures "{title}" is {word} than what you would do otherwise.'


def _titles(found: Assessment) -> dict[str, str]:
    """Return the titles of the ways, in order."""
    titles = {way.name: way.title for way in found.scenario.alternatives}
    return {name: titles[name] for name in found.doubt.names}


def _legend(found: Assessment) -> list[str]:
    """Return the ways with their numbers."""
    numbers = way_numbers(found)
    base = f"   ({LABELS['base case']})"
    return [
        f"{numbers[name]} {title}{base if name == found.doubt.base_case else ''}"
        for name, title in _titles(found).items()
    ]


def shown_years(found: Assessment) -> list[int]:
    """Return the years of sale of the tables: some round ones, and the whole years kept. [years]"""
    last = found.doubt.costs[found.doubt.base_case].shape[1] - 1
    kept = min(max(1, round(found.doubt.years)), last)
    others = sorted(
        (year for year in YEARS if year <= last and year != kept), key=lambda year: abs(year - kept)
    )
    return sorted([kept, *others[: COLUMNS - 1]])


def _costs(found: Assessment) -> list[str]:
    """Return what each way costs by year of sale."""
    years, average = shown_years(found), " on average" if found.any_doubt else ""
    rows = []
    for name, number in way_numbers(found).items():
        band = found.costs[name]
        rows.append(Row(f"{number}{average}", tuple(rounded_signed(band.mean[year]) for year in years)))
        if found.any_doubt:
            rows.append(Row("    8 in 10 from", tuple(_between(band, year) for year in years)))
    currency = found.scenario.currency
    head = f"What each way costs, {currency} in today's money, by the year in which you sell"
    return [head, *_by_year(rows, years)]


def _savings(found: Assessment) -> list[str]:
    """Return how each way stands against what the owner would do otherwise."""
    if not found.net_savings:
        return []
    years, numbers, result = shown_years(found), way_numbers(found), found.doubt
    rows = []
    for name, band in found.net_savings.items():
        chances = (result.chance_cheaper(name, year=year) for year in years)
        rows.append(
            Row(f"{numbers[name]} on average", tuple(_signed(float(band.mean[year])) for year in years))
        )
        rows.append(Row("    8 in 10 from", tuple(_signed(float(band.p10[year])) for year in years)))
        rows.append(Row("    to", tuple(_signed(float(band.p90[year])) for year in years)))
        rows.append(Row("    cheaper in, of 20", tuple(_of_20_text(chance) for chance in chances)))
    base = way_numbers(found)[found.doubt.base_case]
    return [
        f"Cheaper or dearer than what you would do otherwise {base}, by the year in which you sell",
        *_by_year(rows, years),
    ]


def _by_year(rows: Sequence[Row], years: Sequence[int]) -> list[str]:
    """Lay rows out under years of sale."""
    return laid_out(rows, len(years), heads=[years_text(year) for year in years], corner="sold after")


def _between(band: Band, year: int) -> str:
    """Return the 8 in 10 band of a cost."""
    return f"{rounded_signed(float(band.p10[year]))} to {rounded_signed(float(band.p90[year]))}"


def _signed(savings: float) -> str:
    """Return net savings in a word and a number."""
    if abs(savings) < 0.5:
        return "the same"
    return f"{rounded(savings)} {'cheaper' if savings > 0.0 else 'dearer'}"


def _of_20_text(chance: float) -> str:
    """Return a chance as so many of 20, in a table."""
    return str(of_20(chance))


def _cheapest(found: Assessment) -> list[str]:
    """Say in how many of 20 futures each way is the cheapest."""
    numbers, titles = way_numbers(found), _titles(found)
    if len(titles) < 2:
        return []
    shared = shared_out(found.choosing.chance_cheapest)
    order = sorted(shared, key=lambda name: -found.choosing.chance_cheapest[name])
    kept = years_text(found.doubt.years)
    lines = [f"Of 20 futures, cheapest of all in, if you keep it {kept} (ways within 1 % share the place)"]
    named = [name for name in order if shared[name]]
    lines += [f"{'o' * shared[name]:<20} {shared[name]:>2}  {numbers[name]} {titles[name]}" for name in named]
    rest = [numbers[name] for name in titles if name not in named]
    return [*lines, f"{'none':>23}  {listed(rest)}"] if rest else lines


def _pairs(found: Assessment) -> list[str]:
    """Return in how many of 20 futures each way beats each other."""
    numbers, chances = way_numbers(found), found.choosing.chance_cheaper
    if len(numbers) < 3:
        return []
    rows = [
        Row(
            f"{numbers[one]} beats",
            tuple(_of_20_text(chances[one][other]) if other != one else "" for other in numbers),
        )
        for one in numbers
    ]
    head = f"Of 20 futures, the way at the left is cheaper than the way above in ({ENDS})"
    return [*wrapped([head]), *laid_out(rows, len(numbers))]


def _table_of_20s(found: Assessment) -> list[str]:
    """Return the table of 20s: what you would do otherwise by year of sale."""
    if found.habits is None or found.subject is None:
        return []
    habits = found.habits
    rows = []
    for plan, title in habits.titles.items():
        cells = tuple(_of_20_text(habits.chance[plan][year]) for year in habits.years)
        rows.append(Row(title, cells))
    subject = _titles(found)[found.subject]
    head = (
        f'Of 20 futures, "{subject}" (done today, and looked at as often) is cheaper in so many, by what you '
        "would do otherwise and by the year in which you sell"
    )
    heads = [str(year) for year in habits.years]
    return [*wrapped([head]), *laid_out(rows, len(heads), heads=heads, corner="sold after ... years")]


def _luck(found: Assessment, exact: Renewed) -> list[str]:
    """Return what happens to one coach, way by way; new roofs are exact where `exact` has them."""
    if not found.luck:
        return []
    last = next(iter(found.luck.values())).chance_of_new_roof.size - 1
    year = min(max(1, round(found.doubt.years)), last)
    bill = (
        rounded(found.large_bill)
        if found.large_bill == _two_digits(found.large_bill)
        else f"{found.large_bill:,.0f}"
    )
    drawn = f"{found.lives:,} lives drawn by chance for each way" + ("; new roofs exact" if exact else "")
    head = wrapped(
        [
            "Luck, which is another thing: leaks come or they do not. Of 20 coaches like this one, every "
            f"figure at its likely value ({drawn}):"
        ]
    )
    lucks = list(found.luck.values())
    renewed = [exact.get(name, luck.chance_of_new_roof) for name, luck in found.luck.items()]
    rows = [
        Row(
            f"2 of 20 cost less than, by year {year}",
            tuple(rounded_signed(luck.cost.p10[year]) for luck in lucks),
        ),
        Row("half of them cost less than", tuple(rounded_signed(luck.cost.p50[year]) for luck in lucks)),
        Row("2 of 20 cost more than", tuple(rounded_signed(luck.cost.p90[year]) for luck in lucks)),
        Row(f"one bill above {bill} by year {year}", _coaches(lucks, "chance_of_large_bill", year)),
        *(
            Row(
                f"an unplanned new roof by year {other}",
                tuple(_of_20_text(float(chance[other])) for chance in renewed),
            )
            for other in shown_years(found)
        ),
        Row(f"any leak found by year {year}", _coaches(lucks, "chance_of_leak", year)),
        Row(f"a gone deck by year {year}", _coaches(lucks, "chance_of_severe_find", year)),
    ]
    return [*head, *laid_out(rows, len(lucks))]


def _two_digits(amount: float) -> float:
    """Round to two significant digits."""
    return float(f"{amount:.2g}")


def _coaches(lucks: Sequence[Luck], name: str, year: int) -> tuple[str, ...]:
    """Return a chance of each way as so many of 20 coaches."""
    return tuple(_of_20_text(float(getattr(luck, name)[year])) for luck in lucks)


def _losses(found: Assessment) -> list[str]:
    """Say what a wrong choice costs."""
    loss, numbers = found.choosing.opportunity_loss, way_numbers(found)
    if len(loss) < 2:
        return []
    order = sorted(loss, key=lambda name: loss[name])
    titles = _titles(found)
    head = "What a wrong choice costs: on average over the futures, above what would have been the cheapest"
    width = max(len(rounded(value)) for value in loss.values())
    return [head, *(f"{rounded(loss[name]):>{width}}  {numbers[name]} {titles[name]}" for name in order)]


def _worth(found: Assessment) -> list[str]:
    """Say what is worth finding out."""
    lines = worth_lines(found)
    return ["Worth finding out", *wrapped(lines)] if lines else []


def _shares(found: Assessment) -> list[str]:
    """Say where the doubt comes from."""
    if found.knowing is None or not found.knowing.share_by_basis:
        return []
    pair = " against ".join(
        way_numbers(found)[name] for name in (found.subject, found.doubt.base_case) if name
    )
    return [f"Where the doubt comes from, {pair}", *wrapped(_share_lines(found))]


def _share_lines(found: Assessment) -> Iterator[str]:
    """Say which number most of the doubt is, and the shares by basis."""
    if found.knowing is None:
        return
    number = biggest_number(found)
    if number:
        yield number
    asked = askable_share(found)
    if asked >= 0.005:
        yield f"All numbers that one can ask for by telephone together: {percent(min(asked, 1.0))}."
    shares = {basis: max(0.0, share) for basis, share in found.knowing.share_by_basis.items()}
    whole = sum(shares.values())  # a part below 0 is chance: the others then add up to a little more
    by_basis = sorted(((basis, share / whole) for basis, share in shares.items()), key=lambda one: -one[1])
    named = [
        f"{BASIS_WORDS.get(basis, basis)} {percent(share)}" for basis, share in by_basis if share >= 0.005
    ]
    yield f"By where the figures come from: {listed(named)}."
