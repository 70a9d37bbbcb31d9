"""Editions: what was fixed beforehand, what changed since the last one, and what was seen of it.

Lecture
-------
*Protocol.* Whoever chooses regions, habits and years after having seen the answer can prove anything. So the
file of regions is the protocol: it is fixed, with a date, before the records are read. What is fixed are
digests of all that moves the answer: the file; the rule, the objections and how they are tried; every file
that it names (the scenario with its price lists, climates, records, lives); the tool's own figures; the
version of the tool. An answer from anything else is not that edition, and says what is other. A file that
was not there yet, such as scenarios with figures from records, is named as one that came later.

*What changed.* Cells of two editions are laid side by side by region, habit and year. A cell that only one
of them has is new or gone. Why a region changed is split by cause between its two scenarios
(`studies.difference`), for each edition carries the text of its scenarios.

*Said against seen.* "Cheaper in 15 of 20 futures" is about what nobody knows; one coach has luck besides, so
that of 20 coaches fewer differ in that way. What can be compared is the mean cost of a way over many coaches:
an edition says mean, 10 and 90 % over the futures. With the mean x of n coaches, whose costs spread by s,

    z = (x - said) / sqrt(((end - said) / 1.2816) ^ 2 + s ^ 2 / n),   end on the side of x

What is seen agrees unless |z| > 1.6449, which comes about in 1 of 10 cells. Fewer than `FEWEST_TO_JUDGE`
coaches are too few to judge; fewer than 5 are withheld.

Left out: what the tool's own figures did between two versions, though that they changed is known by their
digest; that coaches of one region are alike, and that one coach may be seen in several years, which both
make luck larger than this.

Source
------
Editions: a convention of our own. Check of a prediction with its spread and a standard error: textbook.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import sqrt
from typing import Any

from lifecycle import __version__
from lifecycle.errors import Fault, fault, nearest, stop_at
from lifecycle.files import data, shared
from lifecycle.reading.reader import is_number
from lifecycle.records.columns import ColumnMap, lacking, numbers
from lifecycle.records.tables import Sheet
from lifecycle.studies.region_scenarios import Protocol, files_of
from lifecycle.studies.regions import FEWEST_COACHES, RULE, WAYS, Key


@dataclass(frozen=True)
class Digests:
    """What an answer rests on: digests of the protocol, rule and tool's own figures, the version, and files.

    Parameters
    ----------
    protocol, rule, figures, version : str
        Digests; the version of the tool.
    files : mapping of str to str
        Digest of each file that the protocol names, by the name there; "": it is not there.
    """

    protocol: str
    rule: str
    figures: str
    version: str
    files: Mapping[str, str]


@dataclass(frozen=True)
class Fixed:
    """What was fixed, and the day."""

    digests: Digests
    day: str


@dataclass(frozen=True)
class Standing:
    """How an answer stands to what was fixed.

    Parameters
    ----------
    now : Digests
        As they are.
    fixed : Fixed or None
        What was fixed; None: nothing.
    """

    now: Digests
    fixed: Fixed | None = None

    @property
    def changed(self) -> tuple[str, ...]:
        """Return what is no longer as it was fixed."""
        if self.fixed is None:
            return ()
        then, now = self.fixed.digests, self.now
        named: Mapping[str, str] = data("words/regions.toml")["regions"]["no_longer"]
        other = [said for name, said in named.items() if getattr(then, name) != getattr(now, name)]
        files = [
            name for name, digest in now.files.items() if then.files.get(name, digest) not in ("", digest)
        ]
        return (*other, *files)

    @property
    def came_later(self) -> tuple[str, ...]:
        """Return the files that were not there when the protocol was fixed."""
        then = self.fixed.digests.files if self.fixed is not None else {}
        return tuple(name for name, digest in self.now.files.items() if digest and then.get(name) == "")

    @property
    def is_fixed(self) -> bool:
        """Whether the answer is the edition that was fixed."""
        return self.fixed is not None and not self.changed


def digests_of(protocol: Protocol) -> Digests:
    """Return the digests of all that moves the answer to a protocol."""
    return Digests(protocol.sha256, rule_sha256(), shared_sha256(), __version__, files_of(protocol))


def rule_sha256() -> str:
    """Return a digest of the rule and of every objection."""
    return _digest({"rule": dict(RULE), "objections": data("objections.toml")})


def shared_sha256() -> str:
    """Return a digest of the tool's own figures."""
    return _digest(shared())


def _digest(of: Mapping[str, Any]) -> str:
    """Return a digest of plain data."""
    return hashlib.sha256(json.dumps(of, sort_keys=True, default=str).encode()).hexdigest()


def fixed_text(name: str, digests: Digests, day: date) -> str:
    """Return the file that fixes a protocol of that name today: digests of all that moves the answer."""
    said = data("words/regions.toml")["regions"]
    files = "".join(f"{json.dumps(name)} = {json.dumps(digest)}\n" for name, digest in digests.files.items())
    return (
        f"# {said['fixes']}\n"
        f"protocol = {json.dumps(name)}\n"
        f"fixed_on = {day.isoformat()}\n"
        f'sha256 = "{digests.protocol}"\n'
        f'rule_sha256 = "{digests.rule}"\n'
        f'shared_sha256 = "{digests.figures}"\n'
        f"version = {json.dumps(digests.version)}\n"
        f"\n# {said['fixes_files']}\n[files]\n{files}"
    )


def read_fixed(raw: Mapping[str, Any], source: str) -> Fixed:
    """Read what was fixed from the parsed file; a `ScenarioError` if it is none."""
    texts = ("sha256", "rule_sha256", "shared_sha256", "version")
    wanted = {"fixed_on": date, **dict.fromkeys(texts, str), "files": Mapping}
    faults = [
        Fault(name, "is required", "", "fix the protocol anew, as another edition")
        for name, kind in wanted.items()
        if not isinstance(raw.get(name), kind)
    ]
    stop_at(faults, source)
    protocol, rule, figures, version = (raw[name] for name in texts)
    files = {name: str(digest) for name, digest in raw["files"].items()}
    return Fixed(Digests(protocol, rule, figures, version, files), raw["fixed_on"].isoformat())


@dataclass(frozen=True)
class Told:
    """What an edition said of a cell; `costs` as of `regions.Said`, none where it did not say them."""

    of_20: int
    word: str
    firmness: str
    costs: Mapping[str, tuple[float, float, float]] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Edition:
    """An edition as its result file tells it.

    Parameters
    ----------
    title, protocol, fixed_on, version, figures : str
        Title; digest of the protocol; the day it was fixed, "" if it was not; version of the tool; digest
        of its own figures.
    currency : str
        Of every amount.
    drawn : tuple of int
        Number of futures, and their seed.
    cells : mapping of (str, str, int) to Told
        By region, habit and year; withheld ones are not there.
    scenarios : mapping of str to str
        Text of each region's scenario, where it can be read without other files.
    """

    title: str
    protocol: str
    fixed_on: str
    version: str
    figures: str
    currency: str
    drawn: tuple[int, int]
    cells: Mapping[Key, Told]
    scenarios: Mapping[str, str]


def read_edition(text: str, source: str) -> Edition:
    """Read the result file of an edition, JSON of the regions command; a `ScenarioError` if it is none."""
    try:
        raw = json.loads(text)
        cells = {
            (_text(row["region"]), _text(row["habit"]), int(year)): Told(
                _whole(cell["of_20"], 20),
                _text(cell["word"]),
                _text(cell["firmness"]),
                {way: _band(one) for way, one in cell.get("costs", {}).items()},
            )
            for row in raw["rows"]
            for year, cell in row["years"].items()
            if cell.get("of_20") is not None
        }
        return Edition(
            title=_text(raw["title"]),
            protocol=_text(raw["protocol"]["sha256"]),
            fixed_on=_text(raw["protocol"]["fixed_on"] or ""),
            version=_text(raw["made_by"]["version"]),
            figures=_text(raw["made_by"]["shared_sha256"]),
            currency=_text(raw["currency"]),
            drawn=(_whole(raw["draws"]), _whole(raw["seed"])),
            cells=cells,
            scenarios={
                _text(one["name"]): _text(one["scenario"]) for one in raw["regions"] if one.get("scenario")
            },
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        rule = "must be the result of an edition"
        got = str(error) if isinstance(error, _Other) else "something else"
        remedy = "lifecycle regions FILE --json > EDITION.json"
        raise fault(source, rule, got, remedy) from None


class _Other(ValueError):
    """Something else than an edition holds at that place."""


def _text(raw: Any) -> str:
    """Return a text of an edition."""
    if not isinstance(raw, str):
        raise _Other(f"{json.dumps(raw)} where a text stands")
    return raw


def _band(raw: Any) -> tuple[float, float, float]:
    """Return what a way costs in an edition: 10 %, mean and 90 %; older ones have the 50 % for the mean."""
    found = [raw[name] for name in ("p10", "mean" if "mean" in raw else "p50", "p90")]
    if not all(is_number(one) for one in found) or found[0] > found[2]:
        raise _Other(f"{json.dumps(raw)} where a cost stands")
    low, mean, high = map(float, found)
    return low, mean, high


def _whole(raw: Any, most: int = 2**63) -> int:
    """Return a whole number of an edition, from 0."""
    if not isinstance(raw, int) or isinstance(raw, bool) or not 0 <= raw <= most:
        raise _Other(f"{json.dumps(raw)} where a whole number stands")
    return raw


@dataclass(frozen=True)
class Moved:
    """A cell that two editions say differently; None: one of them lacks it."""

    key: Key
    before: Told | None
    now: Told | None

    @property
    def in_words(self) -> bool:
        """Whether more than the count moved: the word, or how firmly it may be said."""
        if self.before is None or self.now is None:
            return True
        return (self.before.word, self.before.firmness) != (self.now.word, self.now.firmness)


def moved(before: Mapping[Key, Told], now: Mapping[Key, Told]) -> tuple[Moved, ...]:
    """Return the cells that two editions do not say alike, in the order of the later one."""
    every = dict.fromkeys([*now, *before])
    return tuple(
        Moved(key, before.get(key), now.get(key)) for key in every if before.get(key) != now.get(key)
    )


FEWEST_TO_JUDGE = 20
"""Coaches that what was said can be judged by."""

NINE_IN_TEN, NINETEEN_IN_TWENTY = 1.2815515655446004, 1.6448536269514722
"""Standard normal values: ends of 8 in 10, and beyond which what is seen does not agree."""

MOST_SEEN, DEAREST = 1e5, 1e7
"""Coaches of one row, and their cost, at most. [-, money]"""

NAMES = ("region", "habit", "year", "way", "coaches", "cost", "spread")
"""Columns of what was seen."""


@dataclass(frozen=True)
class Seen:
    """What was seen of a way in a cell: so many coaches cost so much, with so large a spread. [money]"""

    key: Key
    way: str
    coaches: int
    cost: float
    spread: float


def read_seen(sheet: Sheet, known: Mapping[Key, Told]) -> tuple[Seen, ...]:
    """Read what was seen, by the columns `NAMES`, of cells that something was said of; at least one."""
    faults = lacking(sheet, ColumnMap(), NAMES)
    if not faults and not any(told.costs for told in known.values()):
        rule = "must be held against an edition that says what each way costs"
        faults.append(Fault(sheet.source, rule, "one that does not", "answer it anew with this version"))
    stop_at(faults, sheet.source)
    year = numbers(sheet, "year", faults, high=MOST_SEEN, whole=True, may_be_empty=False, what="a year")
    coaches = numbers(
        sheet, "coaches", faults, high=MOST_SEEN, whole=True, may_be_empty=False, what="how many"
    )
    cost = numbers(sheet, "cost", faults, low=-DEAREST, high=DEAREST, may_be_empty=False, what="a mean cost")
    spread = numbers(sheet, "spread", faults, high=DEAREST, may_be_empty=False, what="a standard deviation")
    stop_at(faults, sheet.source)
    regions, habits, ways = (sheet.column(name) for name in ("region", "habit", "way"))
    found = []
    for row, line in enumerate(sheet.lines.tolist()):
        key, way = (str(regions[row]), str(habits[row]), int(year[row])), str(ways[row])
        faults += _of_row(key, way, tuple(known), line)
        found.append(Seen(key, way, int(coaches[row]), float(cost[row]), float(spread[row])))
    if len({(one.key, one.way) for one in found}) < len(found):
        rule = "must stand once for each region, habit, year and way"
        faults.append(Fault("a row", rule, "", "put them together"))
    stop_at(faults, sheet.source)
    return tuple(found)


def _of_row(key: Key, way: str, cells: Sequence[Key], line: int) -> list[Fault]:
    """Return what is wrong with a row."""
    faults = []
    for place, name, known in (
        ("region", key[0], tuple(dict.fromkeys(cell[0] for cell in cells))),
        ("habit", key[1], tuple(dict.fromkeys(cell[1] for cell in cells))),
        ("way", way, WAYS),
    ):
        if name not in known:
            rule = "must be one that something was said of"
            faults.append(Fault(f'column "{place}"', rule, f'"{name}"', nearest(name, known), line))
    if not faults and key not in cells:
        rule = "must be a year of sale that something was said of"
        faults.append(Fault('column "year"', rule, str(key[2]), "leave the row out", line))
    return faults


LESS, AGREES, MORE, TOO_FEW = "less", "as said", "more", "too few to judge"
"""What is seen against what was said: it cost less, as much, or more."""


@dataclass(frozen=True)
class Calibration:
    """What was said of a way in a cell against what was seen.

    Parameters
    ----------
    key : (str, str, int)
        Region, habit, year of sale.
    way : str
        Kept or sprayed.
    said : (float, float, float)
        10, 50 and 90 % of its mean cost. [money]
    coaches : int or None
        Seen; None: withheld.
    cost, luck : float or None
        Mean cost of these, and how far luck alone puts it off: its standard error; None: withheld. [money]
    judged : str
        `LESS`, `AGREES`, `MORE` or `TOO_FEW`.
    """

    key: Key
    way: str
    said: tuple[float, float, float]
    coaches: int | None
    cost: float | None
    luck: float | None
    judged: str


def calibration(said: Mapping[Key, Told], seen: Sequence[Seen]) -> tuple[Calibration, ...]:
    """Hold what was seen against what was said; ways whose cost was not said are left out."""
    found = []
    for one in seen:
        told = said[one.key].costs.get(one.way)
        if told is None or not one.coaches:
            continue
        if one.coaches < FEWEST_COACHES:
            found.append(Calibration(one.key, one.way, told, None, None, None, TOO_FEW))
            continue
        luck = one.spread / sqrt(one.coaches)
        word = judged(one.cost, luck, told) if one.coaches >= FEWEST_TO_JUDGE else TOO_FEW
        found.append(Calibration(one.key, one.way, told, one.coaches, one.cost, luck, word))
    return tuple(found)


def judged(cost: float, luck: float, said: tuple[float, float, float]) -> str:
    """Judge a mean cost that was seen, with its standard error, by 10 %, mean and 90 % as said. [money]

    Returns `LESS`, `AGREES` or `MORE`.

    Examples
    --------
    >>> [judged(cost, 300.0, (8000.0, 10000.0, 13000.0)) for cost in (7000.0, 9000.0, 14500.0)]
    ['less', 'as said', 'more']
    """
    low, mean, high = said
    doubt = ((mean - low) if cost < mean else (high - mean)) / NINE_IN_TEN
    spread = sqrt(doubt**2 + luck**2)
    if abs(cost - mean) <= NINETEEN_IN_TWENTY * spread:
        return AGREES
    return LESS if cost < mean else MORE
