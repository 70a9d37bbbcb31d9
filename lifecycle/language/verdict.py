"""From a comparison to its verdict: parts and words, joined in one place for every face.

Lecture
-------
Which sentences stand in a verdict follows from what is known. Trouble: nothing but "open it first".
No other way: nothing to compare with. Not sure what one would do otherwise: the difference from each
way of keeping the roof. No quote yet: the highest price worth paying. Else the grammar of `words`,
with doubt if a study gives it, at likely values if not.

Left out: the sentences themselves (`words`, `advice`, `cautions`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from lifecycle.evaluation.comparison import Comparison, Way
from lifecycle.language import advice, cautions, words
from lifecycle.language.labels import cheaper_or_dearer, inner, years_text
from lifecycle.language.words import Sureness, Verdict, VerdictParts
from lifecycle.studies.doubt import of_20
from lifecycle.studies.verdict import word_under_doubt, word_without_doubt


def verdict(
    comparison: Comparison, sureness: Sureness | None = None, *, next_step: str | None = None
) -> Verdict:
    """Put the verdict on a comparison into parts and words.

    Parameters
    ----------
    comparison : Comparison
        At likely values.
    sureness : Sureness or None
        What doubt adds; None: every input at its likely value.
    next_step : str or None
        What to do next, where a study knows better than the swings.

    Returns
    -------
    Verdict
    """
    subject, base, years = comparison.subject, comparison.base_case, comparison.holding_period
    cheapest = (sureness.cheapest if sureness else None) or comparison.cheapest
    parts = VerdictParts(subject, base, years, words.ONE_WAY, cheapest_willing=cheapest)
    beside = cautions.cautions(comparison)
    if comparison.trouble:
        step = words.OPEN_STEP
        parts = replace(parts, word=words.OPEN_FIRST, next_step=step)
        return Verdict(parts, words.open_it_first(comparison.trouble), beside)
    if subject is None:
        line = f"{comparison.ways[base].title}: there is no other way here to compare it with."
        return Verdict(parts, (line,), beside)
    parts = replace(parts, next_step=next_step or advice.next_step(comparison))
    if advice.not_sure(comparison, "quote"):
        parts = replace(parts, word=words.NO_QUOTE)
        return _closed(comparison, parts, _prices(comparison, sureness), sureness)
    if advice.not_sure(comparison, "otherwise"):
        parts = replace(parts, word=words.NO_SINGLE)
        return _closed(comparison, parts, _differences(comparison, sureness), sureness)
    if sureness is None:
        return _at_likely(comparison, parts)
    return _under_doubt(comparison, parts, sureness)


def _subject(comparison: Comparison) -> Way:
    """Return the way that the verdict is about, where there is one."""
    if comparison.subject is None:
        raise ValueError("there is no way that the verdict could be about")
    return comparison.ways[comparison.subject]


def _against(comparison: Comparison) -> list[Way]:
    """Return what the subject is compared with: every way of keeping the roof, if that is not sure."""
    if not advice.not_sure(comparison, "otherwise"):
        return [comparison.ways[comparison.base_case]]
    return [way for way in comparison.ways.values() if way.keeps_what_stands]


def _by_years(comparison: Comparison, text: Callable[[str, int | None], str]) -> list[str]:
    """Return a heading of years kept, and what `text` says of each way compared with, year by year.

    `text` takes the name of the other way and the year of sale, None for the years kept.
    """
    unsure = advice.not_sure(comparison, "keep")
    kept = comparison.holding_period
    years: dict[float, int | None] = {kept: None}
    years |= {float(year): year for year in (advice.other_years(comparison) if unsure else ())}
    ordered = [years[number] for number in sorted(years)]
    named = " / ".join(years_text(year or kept) for year in ordered)
    lines = [f"compared with, if you keep it {named}:"]
    for way in _against(comparison):
        lines.append(f"- {inner(way.title)}: {' / '.join(text(way.name, year) for year in ordered)}")
    return lines


def _prices(comparison: Comparison, sureness: Sureness | None) -> tuple[str, ...]:
    """Return the highest price worth paying against what it is compared with."""
    subject = _subject(comparison)
    spreads = sureness.prices if sureness else {}

    def price(than: str, year: int | None) -> str:
        if (than, year) in spreads:
            return words.highest_price_spread(spreads[than, year])
        return words.highest_price_text(comparison.break_even_price(subject.name, than, year).value)

    head, *lines = _by_years(comparison, price)
    return f'There is no quote yet. Highest price worth paying for "{subject.title}", {head}', *lines


def _differences(comparison: Comparison, sureness: Sureness | None) -> tuple[str, ...]:
    """Return the difference from every way of keeping the roof."""
    subject = _subject(comparison)
    spreads = sureness.savings if sureness else {}

    def difference(than: str, year: int | None) -> str:
        if (than, year) in spreads:
            return words.savings_spread(spreads[than, year])
        return cheaper_or_dearer(comparison.net_savings(subject.name, than, year))

    head, *lines = _by_years(comparison, difference)
    start = "There is no single verdict, as you are not sure what you would do otherwise."
    futures = " and in how many futures it is cheaper," if spreads else ""
    return f'{start} "{subject.title}",{futures} {head}', *lines


def _at_likely(comparison: Comparison, parts: VerdictParts) -> Verdict:
    """Return the verdict with every input at its likely value."""
    subject, base = _subject(comparison), comparison.ways[comparison.base_case]
    middle = comparison.net_savings(subject.name)
    word = word_without_doubt(middle, max(subject.at_holding, base.at_holding))
    parts = replace(parts, word=word, middle=middle)
    lines = (
        words.answer_sentence(parts, subject.title, base.title),
        advice.if_sold_sentence(comparison, subject.name),
        advice.why_sentence(comparison, subject.name),
    )
    return _closed(comparison, parts, lines)


def _closed(
    comparison: Comparison, parts: VerdictParts, lines: tuple[str, ...], sureness: Sureness | None = None
) -> Verdict:
    """Add what is cheapest and what next, and what stands beside."""
    last = (advice.cheapest_sentence(comparison, sureness), parts.next_step or "")
    beside = (
        *cautions.undecided_lines(comparison, parts.word),
        *(sureness.remarks if sureness and parts.word != words.NO_SINGLE else ()),
        *(cautions.swing_lines(comparison) if parts.middle is not None else ()),
        *cautions.cautions(comparison),
    )
    return Verdict(parts, tuple(line for line in (*lines, *last) if line), beside)


def _under_doubt(comparison: Comparison, parts: VerdictParts, sureness: Sureness) -> Verdict:
    """Return the verdict under doubt, in four lines."""
    subject, base = _subject(comparison), comparison.ways[comparison.base_case]
    parts = replace(
        parts,
        word=word_under_doubt(sureness.chance, sureness.middle, sureness.dearer),
        middle=sureness.middle,
        low=sureness.low,
        high=sureness.high,
        of_20=of_20(sureness.chance),
        if_sold={year: of_20(chance) for year, chance in sureness.if_sold.items()},
    )
    cheapest = advice.cheapest_sentence(comparison, sureness)
    last = (words.mean_sentence(sureness), cheapest, parts.next_step)
    lines = (
        words.answer_sentence(parts, subject.title, base.title),
        words.range_sentence(sureness.low, sureness.high),
        " ".join([words.of_20_sentence(of_20(sureness.chance), parts.if_sold), *sureness.warnings]),
        " ".join(sentence for sentence in last if sentence),
    )
    undecided = cautions.undecided_lines(comparison, parts.word)
    return Verdict(parts, lines, (*undecided, *sureness.remarks, *cautions.cautions(comparison)))
