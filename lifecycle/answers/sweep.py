"""Many cases: where the table is, which way leads in how many of them, what was left out, as blocks and data.

Lecture
-------
The parts of a sweep are read one after the other and only counted, so a table that is larger than the memory
is no trouble. A case is one point of the grid at one number of years kept. Where a name that was varied has
few values, the ways that lead are counted by each of them: so one sees where the answer turns.

Left out: the table itself, which stands in its folder.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Items, Rest, Sentence, Table
from lifecycle.answers.shared import SCHEMA, made_by
from lifecycle.errors import Fault
from lifecycle.language.labels import counted, listed, years_text
from lifecycle.language.sentences import say
from lifecycle.quantities import Frame, number_text
from lifecycle.studies.grid import Grid
from lifecycle.studies.sweeping import FORMS, MANIFEST, Folder

FEW, SHOWN = 12, 20
"""Values of a name for which ways are counted by value, at most; faults that are listed."""


@dataclass
class Counts:
    """What is counted over all cases.

    Parameters
    ----------
    rows, cases, borders : int
        Rows of the table; cases that were compared; those on a border.
    leads, level, words, reasons : Counter
        By title of the way that leads, or is level with it; by word; by reason why nothing is compared.
    by_name : dict of str to dict of str to Counter
        Titles that lead, by name that was varied and its value.
    """

    rows: int = 0
    cases: int = 0
    borders: int = 0
    leads: Counter[str] = field(default_factory=Counter)
    level: Counter[str] = field(default_factory=Counter)
    words: Counter[str] = field(default_factory=Counter)
    reasons: Counter[str] = field(default_factory=Counter)
    by_name: dict[str, dict[str, Counter[str]]] = field(default_factory=dict)

    def add(self, frame: Frame, names: Sequence[str]) -> None:
        """Count one part."""
        self.rows += len(frame)
        self.reasons.update(frame.reason[frame.reason != ""])
        first = frame[(frame.way == frame.lead) & (frame.reason == "")]
        self.cases += len(first)
        self.borders += int((first.border != "").sum())
        self.leads.update(first.title)
        self.level.update(frame.title[frame.level])
        self.words.update(first.word[first.word != ""])
        for name in names:
            values = self.by_name.setdefault(name, {})
            for value, title in zip(first[name], first.title, strict=True):
                shown = number_text(value) if isinstance(value, float) else str(value)
                values.setdefault(shown, Counter())[title] += 1


def counts_of(whole: Grid, folder: Folder) -> Counts:
    """Count all that is in a folder."""
    found = Counts()
    few = [name for name, values in whole.over.items() if 1 < len(values) <= FEW]
    few += ["years"] if 1 < len(whole.years) <= FEW else []
    for frame in folder.frames(whole.kinds):
        found.add(frame, few)
    return found


def sweep_answer(whole: Grid, folder: Folder, before: int, left_out: int, said: Sequence[Fault]) -> Answer:
    """Say what came out of a sweep."""
    found = counts_of(whole, folder)
    blocks: tuple[Block, ...] = (
        *_sentences(whole, folder, found, before),
        *_leads(found),
        *_words(found),
        *skipped_blocks(left_out, said),
        Sentence(say(f"sweep.read_{FORMS[folder.csv]}", folder=folder.place), "note"),
        Rest(),
        *(_by_name(name, values) for name, values in found.by_name.items()),
    )
    subtitle = "; ".join(one.title for one in whole.scenarios.values())
    return Answer(say("sweep.title"), subtitle, blocks, _data(whole, folder, found, before, left_out, said))


def _sentences(whole: Grid, folder: Folder, found: Counts, before: int) -> Iterator[Sentence]:
    """Say how much there is, and where."""
    years = listed(map(years_text, sorted(whole.years)))
    yield Sentence(
        say(
            "sweep.done",
            cases=_cases(whole, len(whole) - len(folder.skipped)),
            years=say("sweep.years_kept", years=years) if whole.years else say("sweep.years_own"),
            futures=counted(whole.draws, "future"),
            rows=counted(found.rows, "row"),
            folder=folder.place,
            parts=counted(folder.blocks, "part"),
            size=size_text(size_of(folder)),
        )
    )
    if before:
        yield Sentence(say("sweep.went_on", cases=_cases(whole, before)))


def _cases(whole: Grid, points: int) -> str:
    """Return how many cases some points are: one for each number of years kept."""
    return counted(points * max(1, len(whole.years)), "case")


def size_of(folder: Folder) -> int:
    """Return the size of all parts. [bytes]"""
    return sum(folder.part(number).stat().st_size for number in range(folder.blocks))


def size_text(size: float) -> str:
    """Return a number of bytes in a round unit.

    Examples
    --------
    >>> size_text(20_985), size_text(31_000_000), size_text(2.4e9)
    ('21 kB', '31 MB', '2.4 GB')
    """
    if size < 1e9:
        return f"{size / 1e6:,.0f} MB" if size >= 1e6 else f"{size / 1e3:,.0f} kB"
    return f"{size / 1e9:,.1f} GB"


def _leads(found: Counts) -> Iterator[Block]:
    """Return the ways that lead, with the number of cases, and what is said of borders and of no answer."""
    titles = sorted({*found.leads, *found.level}, key=lambda title: (-found.leads[title], title))
    if titles:
        rows = tuple((title, f"{found.leads[title]:,}", f"{found.level[title]:,}") for title in titles)
        head = (say("sweep.way"), say("sweep.leads_in"), say("sweep.level_in"))
        yield Table(head, rows, caption=say("sweep.leads"), numbers=(1, 2))
    if found.borders:
        yield Sentence(say("sweep.borders", cases=counted(found.borders, "case")), "note")
    for reason, number in found.reasons.most_common(SHOWN):
        yield Sentence(say("sweep.reasons", cases=counted(number, "case"), reason=reason))


def _words(found: Counts) -> Iterator[Block]:
    """Say the word of the verdict, by number of cases."""
    if found.words:
        parts = (
            say("sweep.word_part", word=word, cases=counted(number, "case"))
            for word, number in found.words.most_common()
        )
        yield Sentence(say("sweep.words", parts=listed(parts)))


def skipped_blocks(left_out: int, said: Sequence[Fault]) -> Iterator[Block]:
    """Say how many cases were left out, and list why."""
    if left_out:
        yield Sentence(say("sweep.left_out", cases=counted(left_out, "case")), "caution")
        yield Items(tuple(str(one) for one in said[:SHOWN]))


def _by_name(name: str, values: Mapping[str, Counter[str]]) -> Table:
    """Return how often each way leads by the value of a name."""
    titles = sorted({title for some in values.values() for title in some})
    rows = tuple((value, *(f"{some[title]:,}" for title in titles)) for value, some in values.items())
    return Table(
        (name, *titles),
        rows,
        caption=say("sweep.by_name", name=name),
        numbers=tuple(range(1, len(titles) + 1)),
    )


def _data(
    whole: Grid, folder: Folder, found: Counts, before: int, left_out: int, said: Sequence[Fault]
) -> dict[str, Any]:
    """Return the same for programs."""
    return {
        "schema": SCHEMA,
        "folder": str(folder.place),
        "manifest": MANIFEST,
        "grid": folder.digest,
        "points": len(whole),
        "there_before": before,
        "years": list(whole.years),
        "parts": folder.blocks,
        "bytes": size_of(folder),
        "rows": found.rows,
        "cases": found.cases,
        "leads": dict(found.leads),
        "level_with": dict(found.level),
        "words": dict(found.words),
        "on_a_border": found.borders,
        "reasons": dict(found.reasons),
        "by_name": {
            name: {value: dict(some) for value, some in of.items()} for name, of in found.by_name.items()
        },
        "left_out": left_out,
        "faults": [str(one) for one in said],
        "draws": whole.draws,
        "seed": whole.seed,
        "made_by": made_by(None, "expectation"),
    }
