"""Regional guidance: region by habit by year of sale, in how many of 20 futures, and how firmly.

Lecture
-------
A *region* is a scenario in a climate: one place, a mix of places or a weather station's. Each is laid out
under every upkeep plan (`plans`), and the change today is compared with each habit, by year of sale, as
in the table of 20s (`habits`): the same draws, so the same numbers. A *cell* is one region, habit and year.

Each cell has the word of the verdict (`verdict`) as stated, and one for each objection that can be tried
(`objections`). From these follows how firmly it may be said, by the one rule of this house::

    firm              the word is "cheaper" or "dearer" (18 of 20 on one side), as stated and under every
                      objection
    leaning           the word is on one side (15 of 20), as stated, and no objection puts it on the other
    open              everything else
    too few records   records of fewer than 5 coaches stand behind it: nothing is evaluated or kept

A headline counts cells, so it stands on the same rows.

A region is answered by itself (`RegionJob`). Where there are hundreds, each is kept in a folder as it is
done, in a file named by all that it stands on (`kept_in`): what was killed goes on, several workers share the
list, and folders of several machines or of other lists of regions are laid together to one edition.

Left out: how many coaches there are in a region; luck.
Source: a convention of our own.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from itertools import accumulate
from pathlib import Path
from typing import Any, TypeAlias

from lifecycle.data import words_of
from lifecycle.errors import fault
from lifecycle.files import load_text, shared, write
from lifecycle.plans import CHANGE, KEEP, plan_titles, under_every_plan
from lifecycle.quantities import Array
from lifecycle.scenario import Scenario
from lifecycle.studies.decision import chance_cheaper
from lifecycle.studies.doubt import band, of_20
from lifecycle.studies.futures import DRAWS, SEED, Evaluator, Futures, Progress, futures, in_draws, walked
from lifecycle.studies.grid import digest_of
from lifecycle.studies.habits import costs_of_pairs
from lifecycle.studies.objections import Objection, objected
from lifecycle.studies.sweeping import made_folder, made_with, shared_out
from lifecycle.studies.verdict import CHEAPER, DEARER, WORDS, word_under_doubt

LARGEST_PART = 10_000_000
"""Size of the largest answer of a region that is kept. [bytes]"""

FEWEST_COACHES = 5
"""Coaches that records must be of for a cell to be shown."""

FIRM, LEANING, OPEN, TOO_FEW = "firm", "leaning", "open", "too few records"
"""How firmly a cell may be said."""

SIDES: Mapping[str, int] = {CHEAPER: 1, f"probably {CHEAPER}": 1, f"probably {DEARER}": -1, DEARER: -1}
"""Side of a word; one that is not here is on none."""

RULE: Mapping[str, str] = {
    word: rule.format(firm=WORDS[0][0], leaning=WORDS[1][0], coaches=FEWEST_COACHES)
    for word, rule in words_of("regions")["rule_of"].items()
}
"""The rule in plain words."""

WAYS = ("kept", "sprayed")
"""The two ways of a cell: looked after by the habit, or sprayed today."""

FROM_MEMORY = ("judgement", "demo")
"""Bases of figures that nobody has measured."""


@dataclass(frozen=True)
class Region:
    """A region to be answered for.

    Parameters
    ----------
    name : str
        As published.
    stands : str
        Its climate in a few words.
    scenario : Scenario
        In that climate.
    coaches : mapping of str to int, or None
        Coaches in the records behind it, by habit; None: no records stand behind it.
    longer : float or None
        How many times as long lives from records look without the correction for roofs that ended
        early. [-]
    """

    name: str
    stands: str
    scenario: Scenario
    coaches: Mapping[str, int] | None = None
    longer: float | None = None

    def shown(self, habit: str) -> bool:
        """Whether enough coaches stand behind a habit."""
        return self.coaches is None or self.coaches.get(habit, 0) >= FEWEST_COACHES


Key = tuple[str, str, int]
"""Region, habit, year of sale."""

Answering: TypeAlias = "Callable[[Sequence[RegionJob], Progress | None], list[RegionPart]]"
"""Answers regions in their order, and tells how far it is."""


@dataclass(frozen=True)
class Said:
    """What is said of a cell in one set of futures.

    Parameters
    ----------
    of_20 : int
        In so many of 20 futures the change is cheaper.
    word : str
        Of the verdict.
    costs : mapping of str to (float, float, float)
        By way, kept or sprayed: 10 %, mean and 90 % of what it costs on average, luck apart. [money]
    """

    of_20: int
    word: str
    costs: Mapping[str, tuple[float, float, float]] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Cell:
    """One region, habit and year.

    Parameters
    ----------
    stated : Said
        With the figures as stated.
    objected : mapping of str to Said
        Under each objection that could be tried.
    """

    stated: Said
    objected: Mapping[str, Said]

    @property
    def firmness(self) -> str:
        """How firmly it may be said."""
        return firmness(self.stated.word, [one.word for one in self.objected.values()])


@dataclass(frozen=True)
class Memory:
    """How many estimates a region stands on, and how many of them nobody has measured."""

    figures: int
    from_memory: int


@dataclass(frozen=True)
class RegionTable:
    """The whole table.

    Parameters
    ----------
    regions : tuple of Region
        In the order of the file.
    habits : mapping of str to str
        Plan and its title.
    years : tuple of int
        Of sale. [years]
    cells : mapping of (str, str, int) to Cell
        By region, habit and year; those with too few records are not there.
    untried : mapping of str to mapping of str to str
        Objection, region: why it could not be tried there.
    objections : mapping of str to Objection
        All that were asked for.
    memory : mapping of str to Memory
        By region; those without a cell are not there.
    draws, seed : int
        Of the futures.
    """

    regions: tuple[Region, ...]
    habits: Mapping[str, str]
    years: tuple[int, ...]
    cells: Mapping[Key, Cell]
    untried: Mapping[str, Mapping[str, str]]
    objections: Mapping[str, Objection]
    memory: Mapping[str, Memory]
    draws: int
    seed: int

    def counts(self) -> dict[tuple[str, int], int]:
        """Return how many cells there are by firmness and side."""
        found: dict[tuple[str, int], int] = {}
        for cell in self.cells.values():
            kind = cell.firmness, SIDES.get(cell.stated.word, 0) if cell.firmness != OPEN else 0
            found[kind] = found.get(kind, 0) + 1
        return found

    def withheld(self) -> int:
        """Return how many cells have too few records."""
        return len(self.regions) * len(self.habits) * len(self.years) - len(self.cells)

    def changed_by(self, objection: str) -> dict[Key, tuple[str, str]]:
        """Return the cells whose word an objection changes: the word as stated, and under it."""
        return {
            key: (cell.stated.word, cell.objected[objection].word)
            for key, cell in self.cells.items()
            if objection in cell.objected and cell.objected[objection].word != cell.stated.word
        }

    def turned_by(self, objection: str) -> list[Key]:
        """Return the cells that an objection turns to the other side."""
        changed = self.changed_by(objection)
        return [key for key, (one, other) in changed.items() if SIDES.get(one, 0) * SIDES.get(other, 0) < 0]

    def alike(self) -> tuple[int, int]:
        """Return for how many habits and years all regions shown have one word, and of how many."""
        words: dict[tuple[str, int], list[str]] = {}
        for (_, habit, year), cell in self.cells.items():
            words.setdefault((habit, year), []).append(cell.stated.word)
        several = [one for one in words.values() if len(one) > 1]
        return sum(len(set(one)) == 1 for one in several), len(several)


def firmness(word: str, objected: Sequence[str]) -> str:
    """Say how firmly a word may be said, as stated and under each objection: the rule of the lecture.

    Examples
    --------
    >>> firmness("dearer", ["dearer"]), firmness("dearer", ["probably dearer", "about the same"])
    ('firm', 'leaning')
    >>> firmness("dearer", ["probably cheaper"]), firmness("about the same", ["about the same"])
    ('open', 'open')
    """
    side = SIDES.get(word, 0)
    if word in (CHEAPER, DEARER) and all(other == word for other in objected):
        return FIRM
    return LEANING if side and all(SIDES.get(other, 0) != -side for other in objected) else OPEN


def region_table(
    regions: Sequence[Region],
    habits: Sequence[str],
    years: Sequence[int],
    objections: Mapping[str, Objection],
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress | None = None,
    answer: Answering | None = None,
) -> RegionTable:
    """Answer for every region, habit and year, as stated and under every objection.

    Parameters
    ----------
    regions : sequence of Region
        With different names.
    habits : sequence of str
        Names of shipped plans.
    years : sequence of int
        Of sale, within every study period. [years]
    objections : mapping of str to Objection
        To be tried.
    draws, seed : int
        Of the futures.
    progress : callable or None
        Called with how many evaluations are done, and how many there are.
    answer : callable or None
        Answers regions in their order (`kept_in`); None: here, one after the other.
    """
    shown = tuple(sorted(set(years)))
    jobs = [
        RegionJob(number, region, tuple(plans), shown, dict(objections), draws, seed, made_with())
        for number, region in enumerate(regions)
        if (plans := [habit for habit in habits if region.shown(habit)])
    ]
    parts = (answer or one_by_one)(jobs, progress)
    titles = plan_titles()
    return RegionTable(
        tuple(regions),
        {habit: titles[habit] for habit in habits},
        shown,
        {
            (job.region.name, *place): cell
            for job, part in zip(jobs, parts, strict=True)
            for place, cell in part.cells.items()
        },
        {
            key: {
                job.region.name: part.untried[key]
                for job, part in zip(jobs, parts, strict=True)
                if key in part.untried
            }
            for key in objections
        },
        dict(objections),
        {job.region.name: _memory(job.region.scenario) for job in jobs},
        draws,
        seed,
    )


def one_by_one(jobs: Sequence[RegionJob], progress: Progress | None) -> list[RegionPart]:
    """Answer regions here, one after the other; tell how many evaluations are done."""
    tell = progress or (lambda done, whole: None)
    steps = [1 + len(job.objections) for job in jobs]
    before = dict(zip((job.number for job in jobs), accumulate(steps, initial=0), strict=False))

    def answer(job: RegionJob, work: Evaluator) -> RegionPart:
        return answer_region(job, work, lambda done: tell(before[job.number] + done, sum(steps)))

    return walked(jobs, answer)


def kept_in(folders: Sequence[Path], *, workers: int = 1, cluster: str = "") -> Answering:
    """Return what answers regions and keeps each in a folder, so that what was killed goes on.

    Parameters
    ----------
    folders : sequence of Path
        The first is written to, and made if it is not there; what the others have is taken over. A file is
        named by what its region stands on: folders of several machines, or other lists of regions, go
        together.
    workers, cluster
        As for `sweeping.run`.
    """

    def answer(jobs: Sequence[RegionJob], progress: Progress | None) -> list[RegionPart]:
        with made_folder(folders[0]):
            folders[0].mkdir(exist_ok=True)
        tell, content = progress or (lambda done, whole: None), {}
        for job in jobs:
            place = next((one / job.file for one in folders if (one / job.file).is_file()), None)
            if place is not None:
                content[job.number] = load_text(place, largest=LARGEST_PART).encode()
                if place.parent != folders[0]:
                    write(folders[0] / job.file, content[job.number])
        missing = [job for job in jobs if job.number not in content]
        tell(0, len(missing))
        for done, (job, said) in enumerate(
            shared_out(iter(missing), len(missing), workers=workers, cluster=cluster), start=1
        ):
            write(folders[0] / job.file, said)
            content[job.number] = said
            tell(done, len(missing))
        return [_read_part(content[job.number], folders[0] / job.file) for job in jobs]

    return answer


@dataclass(frozen=True)
class RegionPart:
    """What is said of one region.

    Parameters
    ----------
    cells : mapping of (str, int) to Cell
        By habit and year.
    untried : mapping of str to str
        Objection: why it could not be tried.
    """

    cells: Mapping[tuple[str, int], Cell]
    untried: Mapping[str, str]


@dataclass(frozen=True)
class RegionJob:
    """One region that is to be answered, with all that it stands on.

    Parameters
    ----------
    number : int
        Among the regions.
    region : Region
        The region.
    plans : tuple of str
        Habits with enough records.
    years : tuple of int
        Of sale. [years]
    objections : mapping of str to Objection
        To be tried.
    draws, seed : int
        Of the futures.
    made_with : str
        Version, and form of the evaluation, that have to answer.
    """

    number: int
    region: Region
    plans: tuple[str, ...]
    years: tuple[int, ...]
    objections: Mapping[str, Objection]
    draws: int
    seed: int
    made_with: str

    @property
    def named(self) -> str:
        """Name the region."""
        return f"region {self.region.name}"

    @property
    def file(self) -> str:
        """Name of the file that keeps its answer: a digest of all that it stands on, but not its name."""
        stands = digest_of(self.region.scenario, self.draws, self.seed)
        objections = sorted((key, repr(one)) for key, one in self.objections.items())
        tool = hashlib.sha256(repr(shared()).encode()).hexdigest()
        whole = (stands, self.plans, self.years, objections, self.region.longer, self.made_with, tool, RULE)
        return f"region-{hashlib.sha256(repr(whole).encode()).hexdigest()[:16]}.json"

    def content(self) -> bytes:
        """Answer the region and return it as JSON."""
        part = answer_region(self, Evaluator(by_category=False))
        cells = [
            {"habit": habit, "year": year, "stated": asdict(cell.stated)}
            | {"objected": {key: asdict(one) for key, one in cell.objected.items()}}
            for (habit, year), cell in part.cells.items()
        ]
        return (json.dumps({"cells": cells, "untried": dict(part.untried)}) + "\n").encode()


def _read_part(content: bytes, place: Path) -> RegionPart:
    """Read the answer of a region that was kept."""
    try:
        said = json.loads(content)
        cells = {
            (one["habit"], one["year"]): Cell(
                _read_said(one["stated"]), {key: _read_said(by) for key, by in one["objected"].items()}
            )
            for one in said["cells"]
        }
        return RegionPart(cells, said["untried"])
    except (ValueError, TypeError, KeyError):
        rule, remedy = "must be the answer of a region as it was kept", "take it away: it is made anew"
        raise fault(str(place), rule, "", remedy) from None


def _read_said(said: Mapping[str, Any]) -> Said:
    """Read what was said of a cell."""
    return Said(said["of_20"], said["word"], {way: tuple(three) for way, three in said["costs"].items()})


def answer_region(
    job: RegionJob, work: Evaluator, tell: Callable[[int], None] = lambda done: None
) -> RegionPart:
    """Answer for one region; also say which objections cannot be tried there. `tell` hears how far it is."""
    region = job.region
    laid_out = under_every_plan(region.scenario)
    drawn = futures(laid_out, draws=job.draws, seed=job.seed, alike=region.scenario)
    stated = _said(laid_out, drawn, job.plans, job.years, work)
    tell(1)
    by_objection: dict[str, Mapping[tuple[str, int], Said]] = {}
    cannot = {}
    for done, (key, objection) in enumerate(job.objections.items(), start=2):
        moved = objected(objection, laid_out, drawn, longer=region.longer, alike=region.scenario)
        if isinstance(moved, str):
            cannot[key] = moved
        else:
            by_objection[key] = _said(*moved, job.plans, job.years, work)
        tell(done)
    cells = {
        place: Cell(one, {key: by[place] for key, by in by_objection.items()})
        for place, one in stated.items()
    }
    return RegionPart(cells, cannot)


def _said(
    laid_out: Scenario, drawn: Futures, plans: Sequence[str], years: Sequence[int], work: Evaluator
) -> dict[tuple[str, int], Said]:
    """Return what is said by habit and year in given futures."""
    some = _ways_of(laid_out, plans)
    pairs = costs_of_pairs(in_draws(some, drawn), plans, years[-1], drawn.weights.size, work)
    return {
        (plan, year): _of(changed[:, year], kept[:, year], drawn.weights)
        for plan, (changed, kept) in pairs.items()
        for year in years
    }


def _ways_of(laid_out: Scenario, plans: Iterable[str]) -> Scenario:
    """Return a scenario with the pairs of ways of some plans only."""
    names = [f"{kind}{plan}" for plan in plans for kind in (KEEP, CHANGE)]
    ways = [way for way in laid_out.alternatives if way.name in names]
    first = replace(ways[0], base_case=True)
    return replace(laid_out, alternatives=(first, *ways[1:]))


def _of(changed: Array, kept: Array, weights: Array) -> Said:
    """Return what is said of two costs, shape (draws,) each."""
    chance = chance_cheaper(changed, kept, weights)
    bands = {way: band(cost, weights) for way, cost in zip(WAYS, (kept, changed), strict=True)}
    costs = {way: (float(one.p10), float(one.mean), float(one.p90)) for way, one in bands.items()}
    return Said(of_20(chance), word_under_doubt(chance), costs)


def _memory(scenario: Scenario) -> Memory:
    """Count the estimates that the table stands on, and those that nobody has measured."""
    estimates = [one for one in under_every_plan(scenario).inputs.values() if one.field.ranged]
    return Memory(len(estimates), sum(one.basis in FROM_MEMORY for one in estimates))
