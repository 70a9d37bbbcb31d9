"""Editions: what was fixed beforehand, what changed since the last one, and what was seen of it.

Lecture
-------
*Protocol.* Whoever chooses regions, habits and years after having seen the answer can prove anything. So the
file of regions is the protocol: it is fixed, with a date, before the records are read. What is fixed is a
digest of the file and one of the rule, of the objections and of how they are tried. An answer from any other
file, or by another rule, is not that edition, and says so.

*What changed.* Cells of two editions are laid side by side by region, habit and year. A cell that only one
of them has is new or gone. Why a region changed is split by cause between its two scenarios
(`studies.difference`), for each edition carries the text of its scenarios.

Left out: what the tool's own figures did between two versions; that they changed is known by their digest.

*Said against seen: of what an edition called 15 to 17 of 20, how many were seen?*

An edition says: in so many of 20 futures spraying is cheaper. Later, of n coaches it was cheaper for x.
Cells are put together by what was said: 0-2, 3-5, 6-14, 15-17 and 18-20 of 20. With s the share that was
said, over these coaches, what is seen agrees unless so few, or so many, come about by chance in fewer than
1 of 20 such samples::

    P(X <= x) >= 0.05  and  P(X >= x) >= 0.05,   X binomial (n, s)

Fewer than 20 coaches are too few to judge; fewer than 5 are withheld.

Left out: that coaches of one region are alike, and that one coach may be seen in several years, which both
make chance larger than the binomial; that one coach has luck, while "of 20 futures" is about what nobody
knows.

Source
------
a convention of our own.
binomial test, textbook. The rest is a convention of our own.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, lgamma, log
from typing import Any

from lifecycle.errors import Fault, ScenarioError, nearest
from lifecycle.files import data, shared
from lifecycle.records.columns import numbers
from lifecycle.records.tables import Sheet, need_columns
from lifecycle.studies.regions import FEWEST_COACHES, RULE, Key


@dataclass(frozen=True)
class Fixed:
    """What was fixed: digest of the protocol, digest of the rule, the day."""

    protocol: str
    rule: str
    day: str


@dataclass(frozen=True)
class Standing:
    """How an answer stands to what was fixed.

    Parameters
    ----------
    sha256, rule : str
        Digests of the protocol and of the rule as they are.
    fixed : Fixed or None
        What was fixed; None: nothing.
    """

    sha256: str
    rule: str
    fixed: Fixed | None

    @property
    def changed(self) -> tuple[str, ...]:
        """Return what is no longer as it was fixed."""
        if self.fixed is None:
            return ()
        pairs = {
            "the protocol": (self.fixed.protocol, self.sha256),
            "the rule or an objection": (self.fixed.rule, self.rule),
        }
        return tuple(name for name, (then, now) in pairs.items() if then != now)

    @property
    def is_fixed(self) -> bool:
        """Whether the answer is the edition that was fixed."""
        return self.fixed is not None and not self.changed


def rule_sha256() -> str:
    """Return a digest of the rule and of every objection."""
    return _digest({"rule": dict(RULE), "objections": data("objections.toml")})


def shared_sha256() -> str:
    """Return a digest of the tool's own figures."""
    return _digest(shared())


def _digest(of: Mapping[str, Any]) -> str:
    """Return a digest of plain data."""
    return hashlib.sha256(json.dumps(of, sort_keys=True, default=str).encode()).hexdigest()


def fixed_text(name: str, sha256: str, day: date) -> str:
    """Return the file that fixes a protocol.

    Parameters
    ----------
    name, sha256 : str
        Of the protocol.
    day : date
        Today.
    """
    return (
        "# Fixes a protocol: an answer is this edition only if both digests still hold.\n"
        f"protocol = {json.dumps(name)}\n"
        f"fixed_on = {day.isoformat()}\n"
        f'sha256 = "{sha256}"\n'
        f'rule_sha256 = "{rule_sha256()}"\n'
    )


def read_fixed(raw: Mapping[str, Any], source: str) -> Fixed:
    """Read what was fixed.

    Parameters
    ----------
    raw : mapping
        As parsed.
    source : str
        Name of the file.

    Returns
    -------
    Fixed

    Raises
    ------
    ScenarioError
        If it is no such file.
    """
    wanted = {"fixed_on": date, "sha256": str, "rule_sha256": str}
    faults = [
        Fault(name, "is required", "", "fix the protocol anew, as another edition")
        for name, kind in wanted.items()
        if not isinstance(raw.get(name), kind)
    ]
    if faults:
        raise ScenarioError(faults, source)
    return Fixed(raw["sha256"], raw["rule_sha256"], raw["fixed_on"].isoformat())


@dataclass(frozen=True)
class Told:
    """What an edition said of a cell."""

    of_20: int
    word: str
    firmness: str


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
    """Read the result file of an edition.

    Parameters
    ----------
    text : str
        JSON, as the regions command prints it.
    source : str
        Name of the file.

    Returns
    -------
    Edition

    Raises
    ------
    ScenarioError
        If it is no such file.
    """
    try:
        raw = json.loads(text)
        cells = {
            (_text(row["region"]), _text(row["habit"]), int(year)): Told(
                _whole(cell["of_20"], 20), _text(cell["word"]), _text(cell["firmness"])
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
        raise ScenarioError([Fault(source, rule, got, remedy)]) from None


class _Other(ValueError):
    """Something else than an edition holds at that place."""


def _text(raw: Any) -> str:
    """Return a text of an edition."""
    if not isinstance(raw, str):
        raise _Other(f"{json.dumps(raw)} where a text stands")
    return raw


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
    """Return the cells that two editions do not say alike, in the order of the later one.

    Parameters
    ----------
    before, now : mapping of (str, str, int) to Told
        Cells of the two.
    """
    every = dict.fromkeys([*now, *before])
    return tuple(
        Moved(key, before.get(key), now.get(key)) for key in every if before.get(key) != now.get(key)
    )


BANDS = ((0, 2), (3, 5), (6, 14), (15, 17), (18, 20))
"""What was said, of 20: first and last number."""


FEWEST_TO_JUDGE = 20
"""Coaches that what was said can be judged by."""


CHANCE = 0.05
"""Less likely than this is no chance. [-]"""


LEAST_SHARE = 1.0 / 40.0
""""0 of 20" says fewer than 1 in 40, and "20 of 20" more than 39 in 40. [-]"""


MOST_SEEN = 1e5
"""Coaches of one row at most."""


@dataclass(frozen=True)
class Seen:
    """What was seen of a cell: of so many coaches it was cheaper for so many."""

    key: Key
    coaches: int
    cheaper: int


def read_seen(sheet: Sheet, known: Iterable[Key]) -> tuple[Seen, ...]:
    """Read what was seen.

    Parameters
    ----------
    sheet : Sheet
        Columns region, habit, year, coaches, cheaper.
    known : iterable of (str, str, int)
        Cells that something was said of.

    Returns
    -------
    tuple of Seen
        Of cells that something was said of; at least one.

    Raises
    ------
    ScenarioError
        With every cell that cannot be read.
    """
    names = ("region", "habit", "year", "coaches", "cheaper")
    meaning = ("as published", "name of the plan", "of sale", "how many were seen", "for how many")
    faults = need_columns(sheet, dict(zip(meaning, names, strict=True)))
    if faults:
        raise ScenarioError(faults, sheet.source)
    cells = list(known)
    columns = [
        numbers(sheet, name, faults, high=MOST_SEEN, may_be_empty=False, what="a whole number")
        for name in names[2:]
    ]
    if faults:
        raise ScenarioError(faults, sheet.source)
    found = []
    for region, habit, year, coaches, cheaper, line in zip(
        sheet.column("region"), sheet.column("habit"), *columns, sheet.lines, strict=True
    ):
        faults += _of_row(str(region), str(habit), (year, coaches, cheaper), cells, int(line))
        if not faults:
            found.append(Seen((str(region), str(habit), int(year)), int(coaches), int(cheaper)))
    keys = [one.key for one in found]
    if len(set(keys)) < len(keys):
        faults.append(Fault("a row", "must stand once for each region, habit and year", "", "add them up"))
    if faults:
        raise ScenarioError(faults, sheet.source)
    return tuple(found)


def _of_row(
    region: str, habit: str, amounts: Sequence[float], cells: Sequence[Key], line: int
) -> list[Fault]:
    """Return what is wrong with a row."""
    faults = []
    for place, name, known in (
        ("region", region, tuple(dict.fromkeys(key[0] for key in cells))),
        ("habit", habit, tuple(dict.fromkeys(key[1] for key in cells))),
    ):
        if name not in known:
            rule = "must be one that something was said of"
            faults.append(Fault(f'column "{place}"', rule, f'"{name}"', nearest(name, known), line))
    if any(amount != round(amount) for amount in amounts):
        return [*faults, Fault("a row", "must have whole numbers", "", "correct it", line)]
    year, coaches, cheaper = amounts
    if not faults and (region, habit, int(year)) not in cells:
        rule = "must be a year of sale that something was said of"
        faults.append(Fault('column "year"', rule, str(int(year)), "leave the row out", line))
    if cheaper > coaches:
        rule = "must be at most the coaches that were seen"
        faults.append(Fault('column "cheaper"', rule, f"{int(cheaper)} of {int(coaches)}", "", line))
    return faults


FEWER, AGREES, MORE, TOO_FEW = "fewer", "as said", "more", "too few to judge"
"""What is seen against what was said."""


@dataclass(frozen=True)
class Calibration:
    """What was said of some cells against what was seen.

    Parameters
    ----------
    low, high : int
        What was said, of 20: first and last number.
    cells : int
        That were seen.
    coaches, cheaper : int or None
        Seen, and cheaper; None: withheld.
    said : float or None
        Share that was said, over these coaches. [-]
    judged : str
        `FEWER`, `AGREES`, `MORE` or `TOO_FEW`.
    """

    low: int
    high: int
    cells: int
    coaches: int | None
    cheaper: int | None
    said: float | None
    judged: str


def calibration(said: Mapping[Key, Told], seen: Sequence[Seen]) -> tuple[Calibration, ...]:
    """Hold what was seen against what was said.

    Parameters
    ----------
    said : mapping of (str, str, int) to Told
        Cells of an edition.
    seen : sequence of Seen
        Of these cells.

    Returns
    -------
    tuple of Calibration
        By what was said; bands of which nothing was seen are left out.
    """
    found = []
    for low, high in BANDS:
        some = [one for one in seen if one.coaches and low <= said[one.key].of_20 <= high]
        if some:
            found.append(_calibrated(low, high, some, said))
    return tuple(found)


def _calibrated(low: int, high: int, some: Sequence[Seen], said: Mapping[Key, Told]) -> Calibration:
    """Hold what was seen of one band against what was said."""
    coaches, cheaper = sum(one.coaches for one in some), sum(one.cheaper for one in some)
    if coaches < FEWEST_COACHES:
        return Calibration(low, high, len(some), None, None, None, TOO_FEW)
    share = sum(one.coaches * said[one.key].of_20 for one in some) / (20.0 * coaches)
    return Calibration(low, high, len(some), coaches, cheaper, share, judged(coaches, cheaper, share))


def judged(coaches: int, cheaper: int, share: float) -> str:
    """Judge what was seen against the share that was said.

    Parameters
    ----------
    coaches, cheaper : int
        Seen, and cheaper.
    share : float
        That was said. [-]

    Returns
    -------
    str
        `FEWER`, `AGREES`, `MORE` or `TOO_FEW`.

    Examples
    --------
    >>> judged(40, 32, 0.8), judged(40, 20, 0.8), judged(40, 40, 0.8), judged(19, 0, 0.8)
    ('as said', 'fewer', 'more', 'too few to judge')
    """
    if coaches < FEWEST_TO_JUDGE:
        return TOO_FEW
    share = min(max(share, LEAST_SHARE), 1.0 - LEAST_SHARE)
    at_most = sum(_chance(number, coaches, share) for number in range(cheaper + 1))
    at_least = sum(_chance(number, coaches, share) for number in range(cheaper, coaches + 1))
    if at_most < CHANCE:
        return FEWER
    return MORE if at_least < CHANCE else AGREES


def _chance(number: int, of: int, share: float) -> float:
    """Return the chance of exactly so many, for a share above 0 and below 1."""
    ways = lgamma(of + 1.0) - lgamma(number + 1.0) - lgamma(of - number + 1.0)
    return exp(ways + number * log(share) + (of - number) * log(1.0 - share))
