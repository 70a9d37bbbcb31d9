"""Many coaches: what a sweep over cases says, and a fleet, as blocks and data.

Lecture
-------
*Many cases*: where the table is, which way leads in how many of them, what was left out. The parts of a sweep
are read one after the other and only counted, so a table that is larger than the memory is no trouble. A case
is one point of the grid at one number of years kept. Where a name that was varied has few values, the ways
that lead are counted by each of them: so one sees where the answer turns.

*A fleet*: first what nobody should pass over: coaches with trouble. Then how many are worth spraying, in
which order under the year's budget, what the others wait for at what price, and what is spent each year. Sums
of a contract (prices, the budget) stand to the unit; what is in doubt has two digits, with the range in which
it lies in 8 of 10 futures.

Left out: the table itself, which stands in its folder; single coaches in full; each is a scenario of its own
(`lifecycle compare`).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lifecycle.answers.blocks import Answer, Block, Items, Rest, Sentence, Table
from lifecycle.answers.parts import SCHEMA, band_text, head_of, made_by, rounded_signed
from lifecycle.errors import Fault
from lifecycle.language.labels import counted, listed, years_text
from lifecycle.language.sentences import say, words
from lifecycle.quantities import Frame, inner, money_text, number_text
from lifecycle.studies.fleet import (
    ABOVE,
    NOT_TODAY,
    ONE,
    OPEN,
    SOLD,
    Coach,
    Path,
    Three,
    same_for_all,
    summed,
)
from lifecycle.studies.grid import Grid
from lifecycle.studies.sweeping import FORMS, MANIFEST, Folder

FEW_VALUES, SHOWN = 12, 20
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
    few = [name for name, values in whole.over.items() if 1 < len(values) <= FEW_VALUES]
    few += ["years"] if 1 < len(whole.years) <= FEW_VALUES else []
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
    return Answer(
        say("sweep.title"), subtitle, blocks, _sweep_data(whole, folder, found, before, left_out, said)
    )


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
        rows = ((title, f"{found.leads[title]:,}", f"{found.level[title]:,}") for title in titles)
        head = (say("sweep.way"), say("sweep.leads_in"), say("sweep.level_in"))
        yield Table.of_numbers(head, rows, say("sweep.leads"))
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
    rows = ((value, *(f"{some[title]:,}" for title in titles)) for value, some in values.items())
    return Table.of_numbers((name, *titles), rows, say("sweep.by_name", name=name))


def _sweep_data(
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


@dataclass(frozen=True)
class Fleet:
    """A fleet as it was worked out.

    Parameters
    ----------
    grid : Grid
        Of its coaches.
    source : str
        Name of the table.
    budget : float
        Of a year. [money]
    coaches : tuple of Coach
        With their turns (`studies.fleet.queued`).
    paths : mapping of int to Path
        By point of the grid, those that were compared.
    left_out : int
        Rows with faults that were left out.
    faults : sequence of Fault
        What was wrong with them.
    """

    grid: Grid
    source: str
    budget: float
    coaches: tuple[Coach, ...]
    paths: Mapping[int, Path]
    left_out: int = 0
    faults: Sequence[Fault] = ()

    @property
    def compared(self) -> tuple[Coach, ...]:
        """Coaches that were compared."""
        return tuple(coach for coach in self.coaches if coach.otherwise)

    @property
    def worth(self) -> tuple[Coach, ...]:
        """Coaches on which the change is worth its price."""
        return tuple(coach for coach in self.compared if coach.turn or coach.stands in (ABOVE, SOLD))

    @property
    def waits(self) -> tuple[Coach, ...]:
        """Those on which it is not."""
        return tuple(coach for coach in self.compared if coach not in self.worth)

    @property
    def currency(self) -> str:
        """Currency of all amounts."""
        return next(iter(self.grid.scenarios.values())).currency


def fleet_answer(fleet: Fleet) -> Answer:
    """Put a fleet into words."""
    base = next(iter(fleet.grid.scenarios.values()))
    blocks: tuple[Block, ...] = (
        *_trouble(fleet),
        *(Sentence(line, "verdict") for line in _verdict(fleet)),
        *_order(fleet),
        *skipped_blocks(fleet.left_out, fleet.faults),
        *_spending(fleet),
        *_same(fleet),
        Rest(),
        *_waits(fleet),
        *_sales(fleet),
        Sentence(
            say(
                "fleet.foot",
                coaches=f"{len(fleet.coaches):,}",
                file=fleet.source,
                compared=f"{len(fleet.compared):,}",
                futures=counted(fleet.grid.draws, "future"),
            ),
            "note",
        ),
    )
    return Answer(say("fleet.title"), base.title, blocks, _data(fleet))


def _trouble(fleet: Fleet) -> Iterator[Block]:
    """Name the coaches with trouble, first and apart; and those that cannot be compared."""
    trouble = [coach for coach in fleet.coaches if coach.stands == OPEN]
    if trouble:
        named = (say("fleet.open_one", coach=one.label, signs=one.trouble) for one in trouble)
        yield Sentence(say("fleet.open_first", coaches=listed(named)), "caution")
    for one in fleet.coaches:
        if one.stands == ONE:
            yield Sentence(say("fleet.nothing", coach=one.label, reason=one.reason), "caution")


def _verdict(fleet: Fleet) -> Iterator[str]:
    """Say on how many the change is worth while, in which order, and what leads on the others."""
    number = f"{len(fleet.compared):,}"
    if not fleet.worth:
        yield say("fleet.none_worth", compared=number)
    elif len(fleet.worth) == 1:
        yield say("fleet.worth_one", compared=number)
    else:
        yield say("fleet.worth_many", number=f"{len(fleet.worth):,}", compared=number)
    turns: dict[int, list[str]] = {}
    for coach in fleet.coaches:
        if coach.turn:
            turns.setdefault(coach.turn, []).append(coach.label)
    if turns:
        parts = (say("fleet.turn", year=year, coaches=listed(some)) for year, some in turns.items())
        yield say("fleet.budget", budget=money_text(fleet.budget, fleet.currency), turns="; ".join(parts))
    for stands, name in ((ABOVE, "fleet.above"), (SOLD, "fleet.sold")):
        some = [coach.label for coach in fleet.coaches if coach.stands == stands]
        if some:
            yield say(name, coaches=listed(some))
    if fleet.waits:
        leads = Counter(coach.lead for coach in fleet.waits).most_common()
        ways = listed(say("fleet.way_in", way=inner(way), number=f"{count:,}") for way, count in leads)
        yield say("fleet.otherwise_keep", ways=ways)


def _order(fleet: Fleet) -> Iterator[Table]:
    """Return the coaches that are worth it, in the order of the budget."""
    if fleet.worth:
        rows = [_order_row(fleet, coach) for coach in fleet.worth]
        shown = None if any(row[-1] for row in rows) else -1  # nobody waits: no column of what that costs
        head, rows = words("fleet.first_head")[:shown], [row[:shown] for row in rows]
        caption, note = say("fleet.first_table", currency=fleet.currency), say("fleet.first_note")
        yield Table.of_numbers(head, rows, caption, note, wraps=True)


def _order_row(fleet: Fleet, coach: Coach) -> tuple[str, ...]:
    """Return one coach that is worth it."""
    path = fleet.paths.get(coach.point)
    wait = rounded_signed(path.waiting) if path and coach.turn and coach.turn > 1 else ""
    ratio = "{} ({} to {})".format(*(number_text(one, 2) for one in coach.ratio))
    return (
        coach.label,
        str(coach.turn or "-"),
        money_text(coach.price),
        f"{rounded_signed(coach.saves[0])} ({_range(coach.saves)})",
        ratio if math.isfinite(coach.ratio[0]) else say("fleet.no_more"),
        _of_20(coach.of_20),
        wait,
    )


def _of_20(number: float) -> str:
    """Return a count of 20; nothing without doubt."""
    return "" if math.isnan(number) else f"{number:.0f}"


def _range(amounts: Sequence[float]) -> str:
    """Return the range of an amount."""
    return band_text(amounts[1], amounts[2])


def _waits(fleet: Fleet) -> Iterator[Table]:
    """Return what waits, and at what price it would be worth while."""
    shown = [coach for coach in fleet.waits if coach.stands != NOT_TODAY]
    if shown:
        rows = tuple(
            (
                coach.label,
                money_text(coach.price),
                rounded_signed(coach.worth[0]) if coach.worth[0] > 0.0 else say("fleet.not_at_any"),
                _range(coach.worth),
                _of_20(coach.of_20),
                years_text(coach.years),
            )
            for coach in sorted(shown, key=lambda one: one.price - one.worth[0])
        )
        caption, note = say("fleet.waits_table", currency=fleet.currency), say("fleet.waits_note")
        head = tuple(words("fleet.waits_head"))
        yield Table(head, rows, caption=caption, note=note, numbers=(1, 2, 3, 4), wraps=True)


def _spending(fleet: Fleet) -> Iterator[Block]:
    """Return what is paid out by year, as now and by the plan, with the ends of 8 in 10 futures."""
    if not fleet.paths:
        return
    now, planned = _by_year(fleet.paths.values())
    shown = [year for year in range(now.shape[1]) if now[:, year].any() or planned[:, year].any()]
    rows = tuple(
        (
            str(year + 1),
            rounded_signed(now[0, year]),
            _range(now[:, year].tolist()),
            rounded_signed(planned[0, year]),
            _range(planned[:, year].tolist()),
        )
        for year in shown
    )
    caption, note = say("fleet.spending_table", currency=fleet.currency), say("fleet.spending_note")
    yield Table.of_numbers(words("fleet.spending_head"), rows, caption, note)


def _by_year(paths: Iterable[Path]) -> tuple[np.ndarray, np.ndarray]:
    """Add up what all coaches pay, as now and by the plan; shape (3, years) each."""
    every = list(paths)
    return np.sum([one.otherwise for one in every], axis=0), np.sum([one.planned for one in every], axis=0)


def _same(fleet: Fleet) -> Iterator[Block]:
    """Return what the same upkeep for all costs, and the days out of use."""
    if not fleet.compared:
        return
    titles = {way.name: way.title for one in fleet.grid.scenarios.values() for way in one.alternatives}
    own, now = _totals(fleet)
    costs = {say("fleet.own"): own, say("fleet.as_now"): now}
    costs |= {titles.get(way, way): cost for way, cost in same_for_all(fleet.compared).items()}
    rows = ((way, rounded_signed(cost[0]), _range(cost)) for way, cost in costs.items())
    caption = say("fleet.same_table", currency=fleet.currency)
    yield Table.of_numbers(words("fleet.same_head"), rows, caption)
    days = [sum(path.days[place] for path in fleet.paths.values()) for place in (0, 1)]
    yield Sentence(say("fleet.days", now=f"{days[0]:,.0f}", planned=f"{days[1]:,.0f}"))


def _totals(fleet: Fleet) -> tuple[Three, Three]:
    """Return what each coach's own way costs in all, and what is done now. [money]"""
    own = summed([coach.lead_cost for coach in fleet.compared])
    return own, summed([coach.costs[coach.otherwise] for coach in fleet.compared])


def _sales(fleet: Fleet) -> Iterator[Table]:
    """Return on how many coaches the change is worth its price, by the years until they are sold."""
    every, worth = (Counter(one.years for one in some) for some in (fleet.compared, fleet.worth))
    if len(every) > 1:
        rows = ((years_text(years), f"{every[years]:,}", f"{worth[years]:,}") for years in sorted(every))
        yield Table.of_numbers(words("fleet.sale_head"), rows, say("fleet.sale_table"))


def _data(fleet: Fleet) -> dict[str, Any]:
    """Return the same for programs."""
    base = next(iter(fleet.grid.scenarios.values()))
    now, planned = _by_year(fleet.paths.values()) if fleet.paths else (np.zeros((3, 0)),) * 2
    own, as_now = _totals(fleet)
    return {
        **head_of(base),
        "budget": fleet.budget,
        "coaches": [_coach_data(fleet, coach) for coach in fleet.coaches],
        "spending": {
            name: [_three(one) for one in some.T.tolist()]
            for name, some in (("as_now", now), ("by_plan", planned))
        },
        "cost": {
            "each_its_own": _three(own),
            "as_now": _three(as_now),
            "same_for_all": {way: _three(cost) for way, cost in same_for_all(fleet.compared).items()},
        },
        "left_out": fleet.left_out,
        "faults": [str(one) for one in fleet.faults],
        "draws": fleet.grid.draws,
        "seed": fleet.grid.seed,
        "made_by": made_by(base, "expectation"),
    }


def _coach_data(fleet: Fleet, coach: Coach) -> dict[str, Any]:
    """Return one coach for programs."""
    path = fleet.paths.get(coach.point)
    return {
        "coach": coach.label,
        "stands": coach.stands,
        "reason": coach.reason or None,
        "turn": coach.turn,
        "years": _finite(coach.years),
        "leads": coach.lead_way or None,
        "otherwise": coach.otherwise or None,
        "best_way_of_keeping": coach.keeping or None,
        "price": _finite(coach.price),
        "highest_price": _three(coach.worth),
        "saves": _three(coach.saves),
        "savings_to_investment": _three(coach.ratio),
        "of_20": _finite(coach.of_20),
        "word": coach.word or None,
        "waiting_costs": path.waiting if path else None,
        "days": {"as_now": path.days[0], "by_plan": path.days[1]} if path else None,
    }


def _three(amounts: Sequence[float]) -> dict[str, float | None]:
    """Return a mean with its ends for programs."""
    return dict(zip(("mean", "p10", "p90"), map(_finite, amounts), strict=True))


def _finite(number: float) -> float | None:
    """Return a number; None where there is none."""
    return number if math.isfinite(number) else None
