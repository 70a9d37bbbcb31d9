"""Why the answer is what it is, which way is cheapest, and what to do next: for likely values.

Lecture
-------
*Why*: the categories in which the two ways differ most. *Cheapest*: the cheapest way compared; if it
changes later than today, the advice is to wait. *Next*: whoever was not sure of an answer that
decides much is sent there first. Then, of the inputs whose range turns the answer, one that can be
asked for by telephone, the largest swing first; then how long the coach is kept. The value at which
the answer turns is read from a straight line between the likely value and the end that turns it:
exact for prices, near enough for a sentence otherwise.

Left out: what knowing an input is worth (`studies.decision`).
"""

from __future__ import annotations

from collections.abc import Sequence

from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.evaluation.swings import Swing
from lifecycle.interview import NOT_SURE
from lifecycle.kinds import CATEGORIES
from lifecycle.language.labels import (
    cheaper_or_dearer,
    counted,
    inner,
    input_name,
    listed,
    rounded,
    value_text,
    years_text,
)
from lifecycle.language.words import Sureness
from lifecycle.quantities import Figure, about
from lifecycle.scenario import Use
from lifecycle.studies.verdict import about_the_same

UNSURE_YEARS, ELSE_SOLD, ELSE_IF_SAME = (3, 8, 20), 5, 3
"""Years of sale shown to somebody who is not sure how long; else one other year of sale. [years]"""

REASONS, LEAST_REASON = 4, 0.03
"""Categories named as reasons at most; the least share of all differences that is named. [-]"""

REASON_WORDS = {
    "initial": "for the change today",
    "renewal": "for a later new roof",
    "upkeep": "for upkeep",
    "leak damage": "for leak damage",
    "warranty": "through the warranty",
    "insurance": "through the insurance",
    "days": "for days without the coach",
    "hours": "for your own hours",
    "energy": "for cooling",
    "financing": "for the loan",
    "sale": "at the sale",
}
"""Each category of cost as a reason."""

GET_A_QUOTE = "Next: ask for a price with tax, and for how many feet of roof it holds."
DECIDE_OTHERWISE = "Next: settle what you would really do otherwise. The answer hangs on it most."
LOOK_FIRST = "Next: look first, up there and inside, before anything is decided. It costs an hour."


def not_sure(comparison: Comparison, question: str) -> bool:
    """Whether the owner was not sure of an answer, and nobody has given the figure since.

    Parameters
    ----------
    comparison : Comparison
        Of a scenario that may hold answers.
    question : str
        Key of `[answers]`.
    """
    scenario = comparison.scenario
    if scenario.answers.get(question) != NOT_SURE:
        return False
    quotes = (way.quote for way in scenario.alternatives if way.name == comparison.subject)
    stated = {"keep": scenario.owner["holding_period"], "quote": next(quotes, None)}.get(question)
    return not (isinstance(stated, Use) and stated.path in scenario.changed)


def other_years(comparison: Comparison) -> tuple[int, ...]:
    """Return the years of sale that a verdict names besides the years kept. [years]"""
    other = ELSE_IF_SAME if comparison.holding_period == ELSE_SOLD else ELSE_SOLD
    wanted = UNSURE_YEARS if not_sure(comparison, "keep") else (other,)
    shown = range(1, comparison.study_period + 1)
    return tuple(year for year in wanted if year in shown and year != comparison.holding_period)


def if_sold_sentence(comparison: Comparison, name: str) -> str:
    """Say what a way costs against the base case if the coach is sold in other years.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    name : str
        The way.

    Returns
    -------
    str
        With the year from which it stays no dearer, if it is no dearer at the years kept.
    """
    measures = comparison.ways[name].measures
    if measures is None:
        return ""
    sentences = [
        f"If you sell after {years_text(year)}: {cheaper_or_dearer(float(measures.net_savings[year]))}."
        for year in other_years(comparison)
    ]
    first = measures.break_even_year.value
    if first is not None and first <= comparison.holding_period and measures.at_holding >= 0.0:
        sentences.append(
            f"It is no dearer if you sell at the end of year {first:.0f} or of any later year shown."
        )
    elif all(measures.net_savings[1:] < 0.0):
        sentences.append(f"It is dearer whichever of the {comparison.study_period} years shown you sell in.")
    return " ".join(sentences)


def why_sentence(comparison: Comparison, name: str) -> str:
    """Say in which categories a way costs more and less than the base case.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    name : str
        The way.

    Returns
    -------
    str
        The largest differences at the years kept.
    """
    way, base = comparison.ways[name].by_category, comparison.ways[comparison.base_case].by_category
    differences = {category: way[category] - base[category] for category in CATEGORIES}
    total = sum(abs(value) for value in differences.values())
    largest = sorted(differences, key=lambda category: -abs(differences[category]))[:REASONS]
    named = [category for category in largest if abs(differences[category]) > LEAST_REASON * total]
    more = [_reason(category, differences[category]) for category in named if differences[category] > 0.0]
    less = [_reason(category, differences[category]) for category in named if differences[category] < 0.0]
    halves = [f"{word}: {listed(reasons)}" for word, reasons in (("more", more), ("less", less)) if reasons]
    return f"Why, {'; '.join(halves)}." if halves else "Why: the two cost the same in every category."


def _reason(category: str, difference: float) -> str:
    """Name a category with its difference."""
    return f"{rounded(difference)} {REASON_WORDS[category]}"


def cheapest_sentence(comparison: Comparison, sureness: Sureness | None = None) -> str:
    """Say which of the ways compared is the cheapest, and by how much.

    Parameters
    ----------
    comparison : Comparison
        At likely values, with a subject.
    sureness : Sureness or None
        What doubt says of it; None: at likely values.
    """
    if comparison.subject is None or comparison.cheapest is None:
        return ""
    if sureness is not None and sureness.cheapest is not None:
        return _cheapest_under_doubt(comparison, sureness, comparison.ways[sureness.cheapest])
    subject, cheapest = comparison.ways[comparison.subject], comparison.ways[comparison.cheapest]
    if cheapest is subject:
        return "None of the ways compared is cheaper."
    difference = subject.at_holding - cheapest.at_holding
    start = _advice(comparison, cheapest)
    if about_the_same(difference, subject.at_holding):
        return f'{start}: {inner(cheapest.title)}. It costs about the same as "{subject.title}".'
    return f'{start}: {inner(cheapest.title)}, {about(difference)} less than "{subject.title}".'


def _cheapest_under_doubt(comparison: Comparison, sureness: Sureness, cheapest: Way) -> str:
    """Say which way is the cheapest on average over the futures, by how much, and how often."""
    often = f"cheapest of all in {sureness.cheapest_often} futures"
    if cheapest.name == comparison.subject:
        return f"None of the ways compared is cheaper on average; it is {often}."
    title = comparison.ways[comparison.subject or cheapest.name].title
    less = sureness.cheapest_less
    by = (
        f'it costs about the same as "{title}" on average'
        if about_the_same(less, sureness.dearer)
        else f'{about(less)} less than "{title}" on average'
    )
    return f"{_advice(comparison, cheapest)}: {inner(cheapest.title)}, {by}, and {often}."


def _advice(comparison: Comparison, cheapest: Way) -> str:
    """Return the words before the cheapest way."""
    if cheapest.name == comparison.base_case:
        return "Cheapest is what you would do otherwise"
    if cheapest.keeps_what_stands:
        return "Cheapest is to keep the roof that stands"
    return "Cheapest now" if cheapest.change_month == 0 else "Cheapest is to wait"


def next_step(comparison: Comparison) -> str:
    """Return the best next step at likely values, as a sentence.

    Parameters
    ----------
    comparison : Comparison
        At likely values, with a subject.
    """
    for asked, step in (("trouble", LOOK_FIRST), ("otherwise", DECIDE_OTHERWISE), ("quote", GET_A_QUOTE)):
        if not_sure(comparison, asked):
            return step
    turning = [swing for swing in comparison.swings if swing.flips]
    for swing in turning:
        if swing.figure.field.by_telephone:
            return f"Next: ask for the {input_name(swing.figure)}. {turning_sentence(swing, comparison)}"
    for swing in turning:
        if swing.figure.field.name == "holding_period":
            return f"Next: settle the {input_name(swing.figure)}. {turning_sentence(swing, comparison)}"
    if not comparison.swings:
        return "Next: give a range to every figure that you are not sure of. Every input stands at one value."
    return f"Next: nothing that one could ask for turns this. {_what_turns(comparison, turning)}"


def _what_turns(comparison: Comparison, turning: Sequence[Swing]) -> str:
    """Say which figure that nobody can ask for turns the answer, or that none does."""
    if turning:
        return (
            f"What could is the {input_name(turning[0].figure)}. {turning_sentence(turning[0], comparison)}"
        )
    return f"None of the {counted(len(comparison.swings), 'figure')} with a range does by itself."


def turning_sentence(swing: Swing, comparison: Comparison) -> str:
    """Say at which value of an input the answer turns.

    Parameters
    ----------
    swing : Swing
        One that flips.
    comparison : Comparison
        Gives the units.

    Returns
    -------
    str
        For instance "Below about 720 this turns."
    """
    value = turning_value(swing)
    if value is None:
        return ""
    side = "Below" if value < swing.figure.likely else "Above"
    return f"{side} about {value_text(swing.figure, _two_digits(value), comparison.scenario)} this turns."


def turning_value(swing: Swing) -> float | None:
    """Return the value at which net savings are zero, on straight lines from the likely value.

    Parameters
    ----------
    swing : Swing
        Net savings at low, likely and high.

    Returns
    -------
    float or None
        The nearest to the likely value; None if the sign does not change. [unit of the input]
    """
    figure: Figure = swing.figure
    ends = ((figure.low, swing.at_low), (figure.high, swing.at_high))
    found = [
        figure.likely + (value - figure.likely) * swing.likely / (swing.likely - savings)
        for value, savings in ends
        if swing.likely * savings < 0.0
    ]
    return min(found, key=lambda value: abs(value - figure.likely), default=None)


def _two_digits(value: float) -> float:
    """Round to two significant digits."""
    return float(f"{value:.2g}")
